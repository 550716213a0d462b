/* size_text.c - a sizing for a person: sizes, neighbours, cut list, proof. SPDX-License-Identifier:
 * MIT
 */
#include "jackvolt/render.h"
#include "render/cautions.h"
#include "render/text_table.h"

#include <math.h>
#include <string.h>

enum { DIGITS = 3 };
static const double kg_per_lb = 0.45359237; /* international pound */

static void cell_quantity(jv_text_table *t, double value, jv_dim dim, jv_units units) {
    jv_text text = {0};
    if (isnan(value))
        jv_text_add(&text, "-");
    else
        jv_quantity_print(&text, value, dim, units, DIGITS);
    jv_text_table_cell(t, jv_text_str(&text), JV_TINT_NONE);
    t->failed |= text.failed;
    jv_text_clear(&text);
}

static void cell_size(jv_text_table *t, const jv_size *size, jv_tint tint) {
    jv_text text = {0};
    jv_size_print(&text, size);
    jv_text_table_cell(t, jv_text_str(&text), tint);
    t->failed |= text.failed;
    jv_text_clear(&text);
}

static void heads(jv_text_table *t, const char *const *names, size_t n, size_t left) {
    for (size_t i = 0; i < n; i++)
        jv_text_table_column(t, names[i], i < left ? JV_LEFT : JV_RIGHT);
}

static void line(jv_text *out, const jv_style *style, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void line(jv_text *out, const jv_style *style, const char *format, ...) {
    jv_text text = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&text, format, args);
    va_end(args);
    jv_wrap(out, jv_text_str(&text), 0, style->width);
    out->failed |= text.failed;
    jv_text_clear(&text);
}

static void print_cut_list(const jv_sizing *s, const jv_style *style, jv_text *out) {
    jv_text_table t = {0};
    bool colours = false, studs = false, all = true;
    for (size_t i = 0; i < s->n_runs; i++) {
        colours = colours || s->runs[i].colour;
        studs = studs || s->runs[i].terminals;
        all = all && s->runs[i].terminals;
    }
    static const char *const first[] = {"cut list", "was", "fit"};
    static const char *const last[] = {"length", "mass", "carries"};
    heads(&t, first, sizeof first / sizeof first[0], 3);
    if (colours)
        jv_text_table_column(&t, "colour", JV_LEFT);
    if (studs)
        jv_text_table_column(&t, "studs", JV_LEFT);
    heads(&t, last, sizeof last / sizeof last[0], 0);
    jv_text_table_column(&t, "fuse", JV_LEFT);
    for (size_t i = 0; i < s->n_runs; i++) {
        const jv_size_run *r = &s->runs[i];
        jv_text_table_row(&t);
        jv_text_table_cell(&t, r->name, JV_TINT_NONE);
        cell_size(&t, &r->was, JV_TINT_NONE);
        cell_size(&t, &r->size, JV_TINT_GOOD);
        if (colours)
            jv_text_table_cell(&t, r->colour ? r->colour : "-", JV_TINT_NONE);
        if (studs)
            jv_text_table_cell(&t, r->terminals ? r->terminals : "not given", JV_TINT_NONE);
        cell_quantity(&t, r->length_m, JV_DIM_LENGTH, style->units);
        cell_quantity(&t, r->mass_kg, JV_DIM_MASS, style->units);
        cell_quantity(&t, r->carries_a, JV_DIM_CURRENT, style->units);
        jv_text_table_cell(&t, r->fuse ? r->fuse : "-", JV_TINT_NONE);
    }
    jv_text_table_print(&t, style, 0, out);
    if (style->units == JV_UNITS_US)
        line(out, style, "Metal of all pieces: %.2f lb, before %.2f lb.", s->copper_kg / kg_per_lb,
             s->was_kg / kg_per_lb);
    else
        line(out, style, "Metal of all pieces: %.2f kg, before %.2f kg.", s->copper_kg, s->was_kg);
    if (!isnan(s->cost))
        line(out, style, "Cost by the price list: %.2f.", s->cost);
    line(out, style,
         "Lengths are of each conductor, as the file gives them; leave some to strip and crimp.%s",
         all ? ""
         : studs
             ? " Where no stud is given, measure it."
             : " Stud sizes: not given in the file (\"terminals\" of a cable, or \"stud\" of the "
               "contact at its end); measure them.");
    jv_text_add_char(out, '\n');
}

static void print_fuses(const jv_sizing *s, const jv_style *style, jv_text *out) {
    static const char *const names[] = {"fuse", "was", "fit", "runs at", "thinnest cable carries"};
    jv_text_table t = {0};
    heads(&t, names, sizeof names / sizeof names[0], 1);
    for (size_t i = 0; i < s->n_fuses; i++) {
        const jv_size_fuse *f = &s->fuses[i];
        jv_text_table_row(&t);
        jv_text_table_cell(&t, f->name, JV_TINT_NONE);
        cell_quantity(&t, f->was_a, JV_DIM_CURRENT, style->units);
        cell_quantity(&t, f->rating_a, JV_DIM_CURRENT, style->units);
        cell_quantity(&t, f->most_a, JV_DIM_CURRENT, style->units);
        cell_quantity(&t, isfinite(f->carries_a) ? f->carries_a : NAN, JV_DIM_CURRENT,
                      style->units);
    }
    if (s->n_fuses)
        jv_text_table_print(&t, style, 0, out);
    for (size_t i = 0; i < s->n_fuses; i++)
        if (*s->fuses[i].note)
            line(out, style, "%s: %s.", s->fuses[i].name, s->fuses[i].note);
    if (s->n_fuses) {
        line(out, style,
             "A fuse guards its cables. Whether a motor stands being held fast until its fuse "
             "opens is "
             "another matter: fuse-stall of the review gives that current and time.");
        jv_text_add_char(out, '\n');
    }
}

/* A number of volts that may be nothing. */
static void cell_gain(jv_text_table *t, double volts) {
    static const double nothing_v = 0.005;
    if (isnan(volts) || fabs(volts) < nothing_v)
        jv_text_table_cell(t, "-", JV_TINT_NONE);
    else
        jv_text_table_number(t, volts, 2);
}

static void print_neighbours(const jv_sizing *s, const jv_style *style, jv_text *out) {
    static const char *const names[] = {"neighbours", "fit",     "one down", "fails",
                                        "one up",     "heavier", "gains V"};
    jv_text_table t = {0};
    heads(&t, names, sizeof names / sizeof names[0], 5);
    for (size_t i = 0; i < s->n_runs; i++) {
        const jv_size_run *r = &s->runs[i];
        jv_text_table_row(&t);
        jv_text_table_cell(&t, r->name, JV_TINT_NONE);
        cell_size(&t, &r->size, JV_TINT_GOOD);
        if (r->has_down)
            cell_size(&t, &r->down, JV_TINT_NONE);
        else
            jv_text_table_cell(&t, "none", JV_TINT_NONE);
        jv_text_table_cell(&t,
                           !r->has_down    ? "-"
                           : r->down_fails ? r->down_brief
                                           : "holds as well",
                           JV_TINT_NONE);
        if (r->has_up)
            cell_size(&t, &r->up, JV_TINT_NONE);
        else
            jv_text_table_cell(&t, "none", JV_TINT_NONE);
        cell_quantity(&t, r->has_up ? r->up_kg : NAN, JV_DIM_MASS, style->units);
        cell_gain(&t, r->has_up ? r->up_v : NAN);
    }
    jv_text_table_print(&t, style, 0, out);
    for (size_t i = 0; i < s->n_runs; i++) {
        const jv_size_run *r = &s->runs[i];
        jv_text size = {0};
        if (!r->has_down || !r->down_fails)
            continue;
        jv_size_print(&size, &r->down);
        line(out, style, "%s at %s: %s.", r->name, jv_text_str(&size), r->down_fails);
        out->failed |= size.failed;
        jv_text_clear(&size);
    }
    line(out, style,
         "Gains: the most that any watch gains by one size up, in its worst case%s. Heavier: metal "
         "more.",
         s->odds > 0 ? " or with nothing varied" : "");
    jv_text_add_char(out, '\n');
}

static void print_proof_reading(const jv_sizing *s, const jv_style *style, jv_text *out) {
    bool odds = s->odds > 0;
    const char *const names[] = {
        "reading that proves it",           "case", "expect", "from", "to", "limit",
        odds ? "holds in" : "before, worst"};
    static const double percent = 100;
    double off = 0;
    jv_text_table t = {0};
    heads(&t, names, sizeof names / sizeof names[0], 2);
    for (size_t i = 0; i < s->n_watches; i++) {
        const jv_size_watch *w = &s->watches[i];
        jv_text share = {0};
        jv_text_table_row(&t);
        jv_text_table_cell(&t, w->name, JV_TINT_NONE);
        jv_text_table_cell(&t, w->loading, JV_TINT_NONE);
        jv_text_table_number(&t, w->nominal_v, 2);
        jv_text_table_number(&t, w->worst_v, 2);
        jv_text_table_number(&t, w->best_v, 2);
        jv_text_table_number(&t, w->limit_v, 2);
        if (!odds) {
            jv_text_table_number(&t, w->before_v, 2);
            continue;
        }
        jv_text_addf(&share, "%.1f %%", percent * w->holds);
        jv_text_table_cell(&t, jv_text_str(&share), JV_TINT_NONE);
        t.failed |= share.failed;
        jv_text_clear(&share);
        off = fmax(off, fmax(w->high95 - w->holds, w->holds - w->low95));
    }
    if (!s->n_watches)
        return;
    jv_text_table_print(&t, style, 0, out);
    if (odds)
        line(out, style,
             "Holds in: share of %.0f draws of all that has a spread, other draws than those that "
             "the "
             "sizes were chosen by; good to %.2g %% (95 %% interval).",
             (double)s->draws, percent * off);
    line(out, style,
         "Volts where the watch looks, while the case runs. Clip the leads on with the wheels down "
         "and everyone out, run the jacks, read from where it is safe. A reading below \"from\" is "
         "outside all that the file allows: look for a bad joint.");
    jv_text_add_char(out, '\n');
}

/* Least, and how sure. */
static void print_proof(const jv_sizing *s, const jv_style *style, jv_text *out) {
    const char *what = isnan(s->cost) ? "No choice of less metal holds" : "No cheaper choice holds";
    if (s->odds > 0)
        line(out, style,
             "Chosen so that every watch holds in %g %% of the draws, not in its worst case.",
             100 * s->odds);
    if (s->proof == JV_SIZE_PROVED && s->odds > 0)
        line(out, style, "%s in so many of %zu draws: proved by branch and bound.", what,
             s->searched);
    else if (s->proof == JV_SIZE_PROVED)
        line(out, style, "%s: proved.", what);
    else
        line(out, style, "NOT PROVED the least: %s. Nothing %s was found.",
             s->unproved ? s->unproved : "thicker was taken as never worse",
             isnan(s->cost) ? "lighter" : "cheaper");
}

static void print_verdict(const jv_sizing *s, const jv_style *style, jv_text *out) {
    print_proof(s, style, out);
    if (s->n_sets) {
        jv_text_add(out, "Changes, for --set or the file:\n");
        for (size_t i = 0; i < s->n_sets; i++)
            jv_text_addf(out, "  %s\n", s->sets[i]);
    }
    line(out, style, "Review of the sized circuit: %zu fail, %zu unknown.", s->review_failed,
         s->review_unknown);
    if (s->beyond_odds)
        line(out, style,
             "Left out of these: %zu worst %s in which a watch falls below its limit, as the odds "
             "that "
             "you chose allow.",
             s->beyond_odds, s->beyond_odds == 1 ? "case" : "cases");
    for (size_t i = 0; i < s->n_still; i++)
        line(out, style, "FAIL %s.", s->still[i]);
}

static void print_misses(const jv_sizing *s, const jv_style *style, jv_text *out) {
    line(out, style, "%s: no choice of sizes holds.", jv_circuit_name(s->circuit));
    for (size_t i = 0; i < s->n_misses; i++) {
        const jv_size_miss *m = &s->misses[i];
        if (m->loading)
            line(out, style, "%s, case \"%s\": %s.", m->part, m->loading, m->what);
        else
            line(out, style, "%s: %s.", m->part, m->what);
    }
    if (s->unproved && s->n_misses)
        line(out, style, "That nothing holds is not proved: %s.", s->unproved);
}

void jv_size_text(const jv_sizing *s, const jv_style *style, jv_text *out) {
    if (!s->possible) {
        if (!style->quiet)
            jv_cautions_print(style, out);
        print_misses(s, style, out);
        return;
    }
    if (style->quiet) {
        for (size_t i = 0; i < s->n_sets; i++)
            jv_text_addf(out, "%s\n", s->sets[i]);
        return;
    }
    jv_paint(out, style->colour, JV_TINT_STRONG, jv_circuit_name(s->circuit));
    jv_text_add(out, "\n\n");
    jv_cautions_print(style, out);
    print_cut_list(s, style, out);
    print_fuses(s, style, out);
    print_neighbours(s, style, out);
    print_proof_reading(s, style, out);
    print_verdict(s, style, out);
}
