/* drop_text.c - the steady study for a person. SPDX-License-Identifier: MIT */
#include "jackvolt/drop.h"
#include "jackvolt/render.h"
#include "render/drop_words.h"
#include "render/text_table.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double percent = 100.0;
/* A or W: below this a sum is exact for people, and the same on every machine. */
static const double exact = 1e-9;
/* At rest less than this between source and loads is not worth a table (judgement). */
static const double noticed_v = 0.1;
enum { DIGITS = 3, INDENT = 2 };

static void cell_quantity(jv_text_table *t, double value, jv_dim dim, jv_units units, int digits,
                          jv_tint tint) {
    jv_text text = {0};
    if (!isnan(value))
        jv_quantity_print(&text, value, dim, units, digits);
    jv_text_table_cell(t, jv_text_str(&text), tint);
    if (text.failed)
        t->failed = true;
    jv_text_clear(&text);
}

static void cell_text(jv_text_table *t, jv_text *text, jv_tint tint) {
    jv_text_table_cell(t, jv_text_str(text), tint);
    if (text->failed)
        t->failed = true;
    jv_text_clear(text);
}

static void cell_volts(jv_text_table *t, double volts, jv_tint tint) {
    jv_text text = {0};
    jv_text_addf(&text, "%.3f V", volts + 0.0);
    cell_text(t, &text, tint);
}

static void loss_rows(jv_text_table *t, const jv_drop *drop, const jv_drop_case *k,
                      const jv_loss *losses, size_t n, const jv_style *style) {
    enum { BAR = 16 };
    for (size_t i = 0; i < n;) {
        size_t end = i;
        double sum = 0.0;
        while (end < n && losses[end].side == losses[i].side)
            sum += losses[end++].drop_v;
        jv_text text = {0};
        jv_text_table_row(t);
        jv_text_table_cell(t, jv_words_side(losses[i].side), JV_TINT_STRONG);
        cell_volts(t, sum, JV_TINT_STRONG);
        jv_text_addf(&text, "%.0f %%", percent * sum / k->lost_v);
        cell_text(t, &text, JV_TINT_STRONG);
        for (; i < end; i++) {
            const jv_drop_part *d = &k->parts[losses[i].part];
            double share = losses[i].drop_v / k->lost_v;
            jv_text_table_row(t);
            jv_text_addf(&text, "  %s", jv_circuit_part_name(drop->circuit, losses[i].part));
            cell_text(t, &text, JV_TINT_NONE);
            cell_volts(t, losses[i].drop_v, JV_TINT_NONE);
            jv_text_addf(&text, "%.0f %%", percent * share);
            cell_text(t, &text, JV_TINT_NONE);
            jv_bar(&text, share, BAR, style->ascii);
            cell_text(t, &text, JV_TINT_NONE);
            cell_quantity(t, jv_words_amps(losses[i].current_a), JV_DIM_CURRENT, style->units,
                          DIGITS, JV_TINT_NONE);
            /* A part of several pieces has the ohms of what the way passes of it. */
            double ohms = losses[i].side == JV_SIDE_SOURCE ? d->resistance_ohm
                                                           : losses[i].drop_v / losses[i].current_a;
            cell_quantity(t, ohms, JV_DIM_RESISTANCE, style->units, DIGITS, JV_TINT_NONE);
            cell_quantity(t, d->temperature_c, JV_DIM_TEMPERATURE, style->units, 2, JV_TINT_NONE);
        }
    }
}

static void print_losses(const jv_drop *drop, const jv_drop_case *k, const jv_style *style,
                         jv_text *out) {
    jv_loss *losses = jv_alloc(k->n_steps + 1, sizeof *losses);
    if (!losses) {
        out->failed = true;
        return;
    }
    size_t n = jv_words_losses(k, losses);
    jv_text line = {0};
    jv_text_addf(
        &line,
        "Where the volts went: %.2f V at the source unloaded, %.2f V at \"%s\", %.2f V lost on "
        "the way.",
        k->source_v, k->load_v, jv_circuit_part_name(drop->circuit, k->load), k->lost_v);
    jv_text_add(out, "\n");
    jv_wrap(out, jv_text_str(&line), 0, style->width);
    jv_text_clear(&line);
    jv_text_table t = {0};
    jv_text_table_column(&t, "", JV_LEFT);
    jv_text_table_column(&t, "volts", JV_RIGHT);
    jv_text_table_column(&t, "share", JV_RIGHT);
    jv_text_table_column(&t, "", JV_LEFT);
    jv_text_table_column(&t, "amps", JV_RIGHT);
    jv_text_table_column(&t, "ohms", JV_RIGHT);
    jv_text_table_column(&t, "warm", JV_RIGHT);
    loss_rows(&t, drop, k, losses, n, style);
    jv_text_table_print(&t, style, INDENT, out);
    jv_free(losses);
}

static void stair(jv_text *out, const jv_style *style, double level, double full,
                  const char *what) {
    enum { BAR = 34 };
    jv_text_addf(out, "  %6.2f V ", fabs(level) < 0.005 ? 0.0 : level);
    jv_bar(out, level / full, BAR, style->ascii);
    jv_text_addf(out, " %s\n", what);
}

/* Levels against the source's minus, from its open-circuit volts out to the load and back. */
static void print_staircase(const jv_drop *drop, const jv_drop_case *k, const jv_style *style,
                            jv_text *out) {
    const char *arrow = style->ascii ? "->" : "\xE2\x86\x92";
    double base = k->steps[k->n_steps - 1].level_v, full = k->source_v;
    if (k->steps[k->n_steps - 1].side != JV_SIDE_RETURN)
        base = 0.0;
    jv_drop_step *steps = jv_zalloc(k->n_steps, sizeof *steps);
    if (!steps) {
        out->failed = true;
        return;
    }
    size_t n = jv_words_steps(drop, k, steps);
    jv_text_add(out, "\nStaircase of volts, out and back (against the source's minus):\n");
    bool loaded = false;
    jv_text what = {0};
    jv_text_addf(&what, "%s unloaded", jv_circuit_part_name(drop->circuit, k->steps[0].part));
    stair(out, style, full, full, jv_text_str(&what));
    for (size_t i = 0; i < n; i++) {
        const jv_drop_step *s = &steps[i];
        const char *to = jv_circuit_terminal_name(drop->circuit, s->to);
        if (s->side == JV_SIDE_RETURN && !loaded) {
            jv_text_clear(&what);
            jv_text_addf(&what, "behind \"%s\", which keeps %.2f V",
                         jv_circuit_part_name(drop->circuit, k->load), k->load_v);
            stair(out, style, -base, full, jv_text_str(&what));
            loaded = true;
        }
        jv_text_clear(&what);
        jv_text_addf(&what, "-%.2f V %s %s %s", s->drop_v,
                     jv_circuit_part_name(drop->circuit, s->part), arrow, to ? to : "inside");
        stair(out, style, s->level_v - base, full, jv_text_str(&what));
    }
    if (what.failed)
        out->failed = true;
    jv_text_clear(&what);
    jv_free(steps);
}

static void print_levers(const jv_drop_watch *w, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    jv_words_levers(w, &line);
    jv_wrap(out, jv_text_str(&line), 2 * INDENT, style->width);
    if (line.failed)
        out->failed = true;
    jv_text_clear(&line);
}

static void print_doubt(const jv_drop_watch *w, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    jv_text_add(&line, "Not known whether it trips: ");
    jv_words_doubt(w, &line);
    jv_text_add(&line, ".");
    jv_wrap(out, jv_text_str(&line), 2 * INDENT, style->width);
    if (line.failed)
        out->failed = true;
    jv_text_clear(&line);
}

static void print_watches(const jv_drop_case *k, const jv_style *style, jv_text *out) {
    jv_text_add(out, "\nWatches\n");
    for (size_t i = 0; i < k->n_watches; i++) {
        const jv_drop_watch *w = &k->watches[i];
        jv_text_addf(out, "  %s: ", w->name);
        if (w->verdict == JV_NOT_WATCHED) {
            jv_text_addf(out, "does not count in this case (sees %.2f V)\n",
                         jv_words_volts(w->seen_v));
            continue;
        }
        jv_paint(out, style->colour,
                 w->verdict == JV_TRIPS   ? JV_TINT_BAD
                 : w->verdict == JV_HOLDS ? JV_TINT_GOOD
                                          : JV_TINT_UNSURE,
                 w->verdict == JV_TRIPS   ? "TRIPS"
                 : w->verdict == JV_HOLDS ? "holds"
                                          : "unknown");
        if (!isnan(w->seen_v))
            jv_text_addf(out, ", sees %.2f V, limit %.2f V, margin %+.2f V",
                         jv_words_volts(w->seen_v), w->limit_v, w->margin_v);
        if (w->assumed)
            jv_text_addf(out, "\n    limit assumed (%s): look up the vehicle's own", w->basis);
        jv_text_add(out, "\n");
        if (w->verdict == JV_VERDICT_UNKNOWN && !isnan(w->seen_v))
            print_doubt(w, style, out);
        if (!isnan(w->seen_v))
            print_levers(w, style, out);
    }
}

static void print_motors(const jv_drop *drop, const jv_drop_case *k, const jv_style *style,
                         jv_text *out) {
    jv_text_table t = {0};
    jv_text_table_column(&t, "Motors that run", JV_LEFT);
    jv_text_table_column(&t, "volts", JV_RIGHT);
    jv_text_table_column(&t, "amps", JV_RIGHT);
    jv_text_table_column(&t, "speed", JV_LEFT);
    size_t n = 0;
    for (size_t i = 0; i < jv_circuit_parts(drop->circuit); i++) {
        const jv_drop_part *d = &k->parts[i];
        jv_text text = {0};
        if (isnan(d->speed_share) && !d->stalled)
            continue;
        n++;
        jv_text_table_row(&t);
        jv_text_table_cell(&t, jv_circuit_part_name(drop->circuit, i), JV_TINT_NONE);
        jv_text_addf(&text, "%.2f V", fabs(d->drop_v));
        cell_text(&t, &text, JV_TINT_NONE);
        cell_quantity(&t, jv_words_amps(d->current_a), JV_DIM_CURRENT, style->units, DIGITS,
                      JV_TINT_NONE);
        if (d->stalled)
            jv_text_add(&text, "stands still (stalled)");
        else
            jv_text_addf(&text, "%.0f %% of its speed at rated volts", percent * d->speed_share);
        cell_text(&t, &text, d->stalled ? JV_TINT_BAD : JV_TINT_NONE);
    }
    if (n) {
        jv_text_add(out, "\n");
        jv_text_table_print(&t, style, INDENT, out);
    } else {
        jv_arena_clear(&t.arena);
    }
}

static void print_remark(const jv_drop *drop, const jv_drop_remark *r, const jv_style *style,
                         jv_text *out) {
    const char *part = jv_circuit_part_name(drop->circuit, r->part);
    jv_text line = {0};
    if (part)
        jv_text_addf(&line, "%s %s", part, r->text);
    else
        jv_text_add(&line, r->text);
    jv_text_add(out, r->serious ? "! " : "- ");
    jv_wrap(out, jv_text_str(&line), INDENT, style->width);
    if (line.failed)
        out->failed = true;
    jv_text_clear(&line);
}

static void print_remarks(const jv_drop *drop, const jv_drop_case *k, bool serious,
                          const jv_style *style, jv_text *out) {
    for (size_t i = 0; i < k->n_remarks; i++)
        if (k->remarks[i].serious == serious)
            print_remark(drop, &k->remarks[i], style, out);
}

static void print_verdict(const jv_drop *drop, const jv_drop_case *k, const jv_style *style,
                          jv_text *out) {
    jv_text line = {0};
    jv_tint tint;
    const char *word = jv_words_verdict(k, jv_words_watch(k), &tint);
    jv_words_reason(drop, k, "see the lines marked ! below", &line);
    jv_paint(out, style->colour, tint, word);
    jv_wrap(out, jv_text_str(&line), 0, style->width);
    if (line.failed)
        out->failed = true;
    jv_text_clear(&line);
}

static void print_case(const jv_drop *drop, const jv_drop_case *k, const jv_style *style,
                       jv_text *out) {
    jv_text_addf(out, "Case \"%s\"\n", k->name);
    print_verdict(drop, k, style, out);
    if (style->quiet && k->finding && !jv_words_trips(k))
        print_remarks(drop, k, true, style, out); /* the verdict speaks of them */
    if (style->quiet || !k->converged)
        return;
    if (k->n_steps && (k->running || k->lost_v > noticed_v)) {
        print_losses(drop, k, style, out);
        print_staircase(drop, k, style, out);
    }
    print_motors(drop, k, style, out);
    print_watches(k, style, out);
    if (k->n_remarks)
        jv_text_add(out, "\nAlso\n");
    print_remarks(drop, k, true, style, out);
    print_remarks(drop, k, false, style, out);
    jv_text_addf(out,
                 "\nChecked: currents at each terminal sum to zero within %.0e A, power within "
                 "%.0e W.\n",
                 fmax(k->residual_a, exact), fmax(k->power_error_w, exact));
}

/* One line a case, before the details of each. */
static void print_summary(const jv_drop *drop, const jv_style *style, jv_text *out) {
    jv_text_table t = {0};
    jv_text_table_column(&t, "Case", JV_LEFT);
    jv_text_table_column(&t, "", JV_LEFT);
    jv_text_table_column(&t, "margin", JV_RIGHT);
    jv_text_table_column(&t, "of", JV_LEFT);
    for (size_t i = 0; i < drop->n_cases; i++) {
        const jv_drop_case *k = &drop->cases[i];
        const jv_drop_watch *w = jv_words_watch(k);
        jv_tint tint;
        const char *word = jv_words_verdict(k, w, &tint);
        jv_text text = {0};
        jv_text_table_row(&t);
        jv_text_table_cell(&t, k->name, JV_TINT_NONE);
        jv_text_table_cell(&t, word, tint);
        if (k->converged && w)
            jv_text_addf(&text, "%+.2f V", w->margin_v);
        cell_text(&t, &text, JV_TINT_NONE);
        jv_text_table_cell(&t, k->converged && w ? w->name : "", JV_TINT_NONE);
    }
    jv_text_add(out, "\n");
    jv_text_table_print(&t, style, INDENT, out);
}

void jv_drop_text(const jv_drop *drop, const jv_style *style, jv_text *out) {
    const char *comment = jv_circuit_comment(drop->circuit);
    jv_text_addf(out, "%s\n", jv_circuit_name(drop->circuit));
    if (comment && !style->quiet)
        jv_wrap(out, comment, 0, style->width);
    if (drop->n_cases > 1 && !style->quiet)
        print_summary(drop, style, out);
    for (size_t i = 0; i < drop->n_cases; i++) {
        jv_text_add(out, "\n");
        print_case(drop, &drop->cases[i], style, out);
    }
    if (!style->quiet)
        jv_wrap(
            out,
            "\nBefore hands go on it: wheels chocked, nobody under a vehicle that stands on its "
            "jacks, every source off (charger, solar panel, tow vehicle, battery minus) before a "
            "cable is touched. Local codes and licensed practice come first.",
            0, style->width);
}
