/* review_text.c - a review for a person. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "render/cautions.h"
#include "render/text_table.h"

#include <math.h>
#include <string.h>

enum { DIGITS = 3, INDENT = 6 };
static const double m2_per_mm2 = 1e-6;

/* A figure in the unit of its row, for people. */
static void add_figure(jv_text *out, double value, const char *unit, jv_units units) {
    static const struct {
        const char *unit;
        jv_dim dim;
    } dims[] = {{"A", JV_DIM_CURRENT},
                {"V", JV_DIM_VOLTAGE},
                {"s", JV_DIM_TIME},
                {"degC", JV_DIM_TEMPERATURE},
                {"m", JV_DIM_LENGTH}};
    if (!isfinite(value)) {
        jv_text_add(out, isnan(value) ? "-" : "for good");
        return;
    }
    for (size_t i = 0; i < sizeof dims / sizeof dims[0]; i++)
        if (strcmp(unit, dims[i].unit) == 0) {
            jv_quantity_print(out, value, dims[i].dim, units, DIGITS);
            return;
        }
    if (strcmp(unit, "mm2") == 0)
        jv_quantity_print(out, value * m2_per_mm2, JV_DIM_AREA, JV_UNITS_SI, DIGITS);
    else
        jv_text_addf(out, "%.1f %s", value, unit);
}

static jv_tint tint_of(jv_rule_verdict v) {
    static const jv_tint tints[] = {JV_TINT_BAD, JV_TINT_UNSURE, JV_TINT_UNSURE, JV_TINT_GOOD};
    return tints[v];
}

static const char *loud(jv_rule_verdict v) {
    static const char *const words[] = {"FAIL", "UNKNOWN", "WAIVED", "pass"};
    return words[v];
}

static void add_limits(const jv_review_row *row, jv_units units, jv_text *out) {
    if (!isnan(row->figure)) {
        add_figure(out, row->figure, row->unit, units);
        if (!isnan(row->limit)) {
            jv_text_add(out, row->limit_is_least ? ", at least " : ", at most ");
            add_figure(out, row->limit, row->unit, units);
        }
        jv_text_add(out, ": ");
    }
}

static void print_row(const jv_review_row *row, const jv_style *style, jv_text *out) {
    jv_paint(out, style->colour, tint_of(row->verdict), loud(row->verdict));
    jv_text_addf(out, "  %s at %s", row->rule->id, row->part);
    if (row->loading)
        jv_text_addf(out, ", case \"%s\"", row->loading);
    jv_text_add_char(out, '\n');
    jv_text line = {0};
    jv_text_addf(&line, "%s ", row->rule->statement);
    add_limits(row, style->units, &line);
    jv_text_addf(&line, "%s.", row->reason);
    jv_wrap(out, jv_text_str(&line), INDENT, style->width);
    out->failed |= line.failed;
    jv_text_clear(&line);
    jv_text_addf(&line, "Basis: %s. Source: %s%s%s.", row->basis, row->rule->source,
                 *row->rule->clause ? ", " : "", row->rule->clause);
    if (row->look_in)
        jv_text_addf(&line, " Look in: %s.", row->look_in);
    if (row->waiver_reason)
        jv_text_addf(&line, " Waived by %s on %s: %s.", row->waiver_name, row->waiver_date,
                     row->waiver_reason);
    jv_wrap(out, jv_text_str(&line), INDENT, style->width);
    out->failed |= line.failed;
    jv_text_clear(&line);
}

/* What passed, a line each. */
static void print_passed(const jv_review *r, const jv_style *style, jv_text *out) {
    jv_text_table t = {0};
    jv_text_table_column(&t, "passed", JV_LEFT);
    jv_text_table_column(&t, "at", JV_LEFT);
    jv_text_table_column(&t, "figure", JV_RIGHT);
    jv_text_table_column(&t, "limit", JV_RIGHT);
    for (size_t i = 0; i < r->n_rows; i++) {
        const jv_review_row *row = &r->rows[i];
        if (row->verdict != JV_RULE_PASS)
            continue;
        jv_text figure = {0}, limit = {0};
        add_figure(&figure, row->figure, row->unit, style->units);
        add_figure(&limit, row->limit, row->unit, style->units);
        jv_text_table_row(&t);
        jv_text_table_cell(&t, row->rule->id, JV_TINT_NONE);
        jv_text_table_cell(&t, row->part, JV_TINT_NONE);
        jv_text_table_cell(&t, jv_text_str(&figure), JV_TINT_NONE);
        jv_text_table_cell(&t, jv_text_str(&limit), JV_TINT_NONE);
        out->failed |= figure.failed || limit.failed;
        jv_text_clear(&figure);
        jv_text_clear(&limit);
    }
    if (r->passed)
        jv_text_table_print(&t, style, 0, out);
}

static void add_counts(const jv_review *r, jv_text *out) {
    jv_text_addf(out, "%zu of %zu fail, %zu unknown, %zu waived, %zu pass", r->failed, r->n_rows,
                 r->unknown, r->waived, r->passed);
}

static void print_verdict(const jv_review *r, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    jv_text_addf(&line, "%s: ", r->circuit);
    add_counts(r, &line);
    jv_text_add(&line, ".");
    if (r->unknown)
        jv_text_add(&line, " Unknown is no pass: each says which document settles it.");
    jv_wrap(out, jv_text_str(&line), 0, style->width);
    out->failed |= line.failed;
    jv_text_clear(&line);
}

static void print_head(const jv_review *r, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    jv_paint(out, style->colour, JV_TINT_STRONG, r->circuit);
    jv_text_add_char(out, '\n');
    jv_text_addf(&line, "File: %s", r->file ? r->file : "none");
    jv_text_addf(&line, ". Revision: %s.", r->revision ? r->revision : "none given");
    if (r->changes)
        jv_text_addf(&line, " %zu value%s changed for this run.", r->changes,
                     r->changes == 1 ? "" : "s");
    jv_wrap(out, jv_text_str(&line), 0, style->width);
    out->failed |= line.failed;
    jv_text_clear(&line);
    jv_text_addf(out, "SHA-256 of the file: %s\n\n", *r->sha256 ? r->sha256 : "none");
}

static void print_idle(const jv_review *r, const jv_style *style, jv_text *out) {
    for (size_t i = 0; i < r->n_idle; i++) {
        jv_text line = {0};
        jv_text_addf(&line,
                     "The waiver \"%s\" meets nothing that fails or is unknown: take it out.",
                     r->idle_waivers[i]);
        jv_wrap(out, jv_text_str(&line), 0, style->width);
        out->failed |= line.failed;
        jv_text_clear(&line);
    }
    if (r->n_idle)
        jv_text_add_char(out, '\n');
}

void jv_review_text(const jv_review *r, const jv_style *style, jv_text *out) {
    if (style->quiet) {
        print_verdict(r, style, out);
        return;
    }
    print_head(r, style, out);
    jv_cautions_print(style, out);
    for (size_t i = 0; i < r->n_rows; i++)
        if (r->rows[i].verdict != JV_RULE_PASS)
            print_row(&r->rows[i], style, out);
    if (r->n_rows > r->passed)
        jv_text_add_char(out, '\n');
    print_passed(r, style, out);
    if (r->passed)
        jv_text_add_char(out, '\n');
    print_idle(r, style, out);
    print_verdict(r, style, out);
}

/* ---- many files ---- */

/* Files worst first: passed over, then by failures, then by unknowns, then as given. */
static bool worse(const jv_review_entry *a, const jv_review_entry *b) {
    if (!a->review || !b->review)
        return !a->review && b->review;
    if (a->review->failed != b->review->failed)
        return a->review->failed > b->review->failed;
    return a->review->unknown > b->review->unknown;
}

static size_t *order_of(const jv_review_batch *batch) {
    size_t *order = jv_alloc(batch->n + 1, sizeof *order);
    for (size_t i = 0; order && i < batch->n; i++) {
        size_t k = i;
        for (; k > 0 && worse(&batch->entries[i], &batch->entries[order[k - 1]]); k--)
            order[k] = order[k - 1];
        order[k] = i;
    }
    return order;
}

static void summary_row(jv_text_table *t, const jv_review_entry *e) {
    jv_text_table_row(t);
    jv_text_table_cell(t, e->path, JV_TINT_NONE);
    if (!e->review) {
        jv_text_table_cell(t, "passed over", JV_TINT_BAD);
        return;
    }
    const jv_review *r = e->review;
    jv_rule_verdict v = r->failed ? JV_RULE_FAIL : r->unknown ? JV_RULE_UNKNOWN : JV_RULE_PASS;
    jv_text_table_cell(t, loud(v), tint_of(v));
    jv_text_table_number(t, (double)r->failed, 0);
    jv_text_table_number(t, (double)r->unknown, 0);
    jv_text_table_number(t, (double)r->waived, 0);
    jv_text_table_number(t, (double)r->passed, 0);
}

void jv_review_batch_text(const jv_review_batch *batch, const jv_style *style, jv_text *out) {
    if (batch->n == 1 && batch->entries[0].review) {
        jv_review_text(batch->entries[0].review, style, out);
        return;
    }
    size_t *order = order_of(batch);
    if (!order) {
        out->failed = true;
        return;
    }
    static const char *const heads[] = {"file", "verdict", "fail", "unknown", "waived", "pass"};
    jv_text_table t = {0};
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++)
        jv_text_table_column(&t, heads[i], i < 2 ? JV_LEFT : JV_RIGHT);
    for (size_t i = 0; i < batch->n; i++)
        summary_row(&t, &batch->entries[order[i]]);
    jv_text_table_print(&t, style, 0, out);
    jv_text_add_char(out, '\n');
    if (!style->quiet)
        jv_cautions_print(style, out);
    for (size_t i = 0; i < batch->n && !style->quiet; i++) {
        const jv_review *r = batch->entries[order[i]].review;
        if (!r || !r->failed)
            continue;
        jv_paint(out, style->colour, JV_TINT_STRONG, batch->entries[order[i]].path);
        jv_text_add_char(out, '\n');
        for (size_t k = 0; k < r->n_rows; k++)
            if (r->rows[k].verdict == JV_RULE_FAIL)
                print_row(&r->rows[k], style, out);
        jv_text_add_char(out, '\n');
    }
    jv_free(order);
}
