/* size_text.c - a sizing for a person: sizes, neighbours, cut list, proof. SPDX-License-Identifier:
 * MIT
 */
#include "jackvolt/render.h"
#include "render/cautions.h"
#include "render/text_table.h"

#include <math.h>
#include <string.h>

enum { DIGITS = 3 };
/* Cut pieces a little long: ends are stripped and crimped (common practice, no source). */
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
    static const char *const names[] = {"cut list", "was",  "fit",     "colour", "terminals",
                                        "length",   "mass", "carries", "fuse"};
    jv_text_table t = {0};
    heads(&t, names, sizeof names / sizeof names[0], 5);
    for (size_t i = 0; i < s->n_runs; i++) {
        const jv_size_run *r = &s->runs[i];
        jv_text_table_row(&t);
        jv_text_table_cell(&t, r->name, JV_TINT_NONE);
        cell_size(&t, &r->was, JV_TINT_NONE);
        cell_size(&t, &r->size, JV_TINT_GOOD);
        jv_text_table_cell(&t, r->colour ? r->colour : "-", JV_TINT_NONE);
        jv_text_table_cell(&t, r->terminals ? r->terminals : "-", JV_TINT_NONE);
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
         "Lengths are of each conductor, as the file gives them; leave some to strip and crimp. "
         "Stud "
         "sizes: measure the stud.");
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
    if (s->n_fuses)
        jv_text_add_char(out, '\n');
}

static void print_neighbours(const jv_sizing *s, const jv_style *style, jv_text *out) {
    jv_paint(out, style->colour, JV_TINT_STRONG, "The neighbours\n");
    for (size_t i = 0; i < s->n_runs; i++) {
        const jv_size_run *r = &s->runs[i];
        jv_text text = {0};
        jv_text_addf(&text, "%s, ", r->name);
        jv_size_print(&text, &r->size);
        jv_text_add(&text, ": ");
        if (r->has_down) {
            jv_text_add(&text, "one size down, ");
            jv_size_print(&text, &r->down);
            jv_text_addf(&text, ", %s; ", r->down_fails ? r->down_fails : "holds as well");
        } else {
            jv_text_add(&text, "the thinnest there is; ");
        }
        if (r->has_up) {
            jv_text_add(&text, "one size up, ");
            jv_size_print(&text, &r->up);
            jv_text_add(&text, ", takes ");
            jv_quantity_print(&text, r->up_kg, JV_DIM_MASS, style->units, DIGITS);
            jv_text_addf(&text, " more metal and gains a watch up to %.2f V.",
                         fabs(r->up_v) < 0.005 ? 0.0 : r->up_v);
        } else {
            jv_text_add(&text, "the thickest there is.");
        }
        jv_wrap(out, jv_text_str(&text), 0, style->width);
        out->failed |= text.failed;
        jv_text_clear(&text);
    }
    jv_text_add_char(out, '\n');
}

static void print_proof_reading(const jv_sizing *s, const jv_style *style, jv_text *out) {
    static const char *const names[] = {
        "reading that proves it", "case", "expect", "from", "to", "limit", "before, worst"};
    jv_text_table t = {0};
    heads(&t, names, sizeof names / sizeof names[0], 2);
    for (size_t i = 0; i < s->n_watches; i++) {
        const jv_size_watch *w = &s->watches[i];
        jv_text_table_row(&t);
        jv_text_table_cell(&t, w->name, JV_TINT_NONE);
        jv_text_table_cell(&t, w->loading, JV_TINT_NONE);
        jv_text_table_number(&t, w->nominal_v, 2);
        jv_text_table_number(&t, w->worst_v, 2);
        jv_text_table_number(&t, w->best_v, 2);
        jv_text_table_number(&t, w->limit_v, 2);
        jv_text_table_number(&t, w->before_v, 2);
    }
    if (!s->n_watches)
        return;
    jv_text_table_print(&t, style, 0, out);
    line(out, style,
         "Volts where the watch looks, while the case runs. Clip the leads on with the wheels down "
         "and everyone out, run the jacks, read from where it is safe. A reading below \"from\" is "
         "outside all that the file allows: look for a bad joint.");
    jv_text_add_char(out, '\n');
}

static void print_verdict(const jv_sizing *s, const jv_style *style, jv_text *out) {
    static const char *const proofs[] = {
        "No choice of less metal holds: proved by branch and bound.",
        "Nothing lighter was found; that nothing lighter holds is proved only if a thicker cable "
        "is "
        "never worse.",
        "Nothing holds."};
    line(out, style, "%s",
         s->runs && !isnan(s->cost) && s->proof == JV_SIZE_PROVED
             ? "No cheaper choice holds: proved by branch and bound."
             : proofs[s->proof]);
    if (s->n_sets) {
        jv_text_add(out, "Changes, for --set or the file:\n");
        for (size_t i = 0; i < s->n_sets; i++)
            jv_text_addf(out, "  %s\n", s->sets[i]);
    }
    line(out, style, "Review of the sized circuit: %zu fail, %zu unknown.", s->review_failed,
         s->review_unknown);
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
