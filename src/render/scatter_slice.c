/* scatter_slice.c - what a slice leaves for the join, as JSON. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "render/json_out.h"
#include "study/scatter.h"

/* Whole numbers may pass what a JSON reader keeps exactly, so they are texts. */
static void add_whole(jv_json *j, jv_json_node *o, const char *key, uint64_t n) {
    jv_text t = {0};
    jv_text_addf(&t, "%llu", (unsigned long long)n);
    jv_json_text(j, o, key, jv_text_str(&t));
    j->failed |= t.failed;
    jv_text_clear(&t);
}

static void add_text(jv_json *j, jv_json_node *o, const char *key, jv_text *t) {
    jv_json_text(j, o, key, jv_text_str(t));
    j->failed |= t->failed;
    jv_text_clear(t);
}

static void add_quantity(jv_json *j, jv_json_node *list, const jv_scatter_quantity *q) {
    jv_json_node *o = jv_json_object(j, list, NULL);
    jv_json_text(j, o, "name", q->name);
    jv_json_number(j, o, "dim", (double)q->dim, NULL);
    jv_json_number(j, o, "spread", (double)q->value.spread, NULL);
    jv_json_number(j, o, "nominal", q->value.nominal, NULL);
    jv_json_number(j, o, "low", q->value.low, NULL);
    jv_json_number(j, o, "high", q->value.high, NULL);
    jv_json_number(j, o, "parts", (double)q->parts, NULL);
}

static void add_numbers(jv_json *j, jv_json_node *o, const char *key, const double *x, size_t n) {
    jv_json_node *list = jv_json_array(j, o, key);
    for (size_t k = 0; k < n; k++)
        jv_json_number(j, list, NULL, x[k], NULL);
}

static void add_worst(jv_json *j, jv_json_node *watch, const jv_scatter_worst *w, size_t n) {
    jv_json_node *o = jv_json_object(j, watch, "worst");
    jv_json_bool(j, o, "found", w->found);
    jv_json_number(j, o, "seen_V", w->seen_v, NULL);
    jv_json_number(j, o, "margin_V", w->margin_v, NULL);
    jv_json_bool(j, o, "proved", w->proved);
    jv_json_number(j, o, "tried", (double)w->tried, NULL);
    jv_json_number(j, o, "rounds", (double)w->rounds, NULL);
    if (!w->at || !w->per)
        return;
    add_numbers(j, o, "at", w->at, n);
    add_numbers(j, o, "per", w->per, n);
}

/* "number:count number:count ..", those that are not empty. */
static void add_counts(jv_json *j, jv_json_node *o, const char *key, const uint64_t *counts,
                       size_t n) {
    jv_text t = {0};
    for (size_t k = 0; k < n; k++)
        if (counts[k])
            jv_text_addf(&t, "%s%zu:%llu", t.length ? " " : "", k, (unsigned long long)counts[k]);
    add_text(j, o, key, &t);
}

static void add_tally(jv_json *j, jv_json_node *watch, const jv_tally_watch *w, size_t cells) {
    jv_json_node *o = jv_json_object(j, watch, "tally");
    jv_text t = {0};
    add_whole(j, o, "trips", w->trips);
    add_whole(j, o, "square_low", w->square_low);
    add_whole(j, o, "square_high", w->square_high);
    jv_text_addf(&t, "%lld", (long long)w->sum);
    add_text(j, o, "sum", &t);
    add_counts(j, o, "bins", w->bins, JV_SCATTER_BINS);
    for (size_t k = 0; k < cells; k++)
        jv_text_addf(&t, "%s%lld", k ? " " : "", (long long)w->cell_sum[k]);
    add_text(j, o, "cells", &t);
}

static void add_watch(jv_json *j, jv_json_node *list, const jv_scatter_owner *o,
                      const jv_scatter_watch *w, size_t *next) {
    size_t n = o->result.n_quantities;
    jv_json_node *watch = jv_json_object(j, list, NULL);
    jv_json_text(j, watch, "name", w->name);
    jv_json_bool(j, watch, "counts", w->counts);
    jv_json_number(j, watch, "limit_V", w->limit_v, NULL);
    jv_json_bool(j, watch, "assumed", w->assumed);
    if (w->basis)
        jv_json_text(j, watch, "basis", w->basis);
    if (!w->counts)
        return;
    jv_json_number(j, watch, "nominal_V", w->nominal_v, NULL);
    add_worst(j, watch, &w->worst, n);
    add_tally(j, watch, &o->tally.watches[(*next)++], n * JV_TALLY_CELLS);
}

jv_status jv_scatter_slice(const jv_scatter *s, jv_text *out) {
    const jv_scatter_owner *owner = (const jv_scatter_owner *)s;
    const jv_tally *t = &owner->tally;
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_number(&j, root, "jackvolt_scatter_slice", 1.0, NULL);
    add_whole(&j, root, "study", owner->study);
    jv_json_text(&j, root, "circuit", s->circuit);
    jv_json_text(&j, root, "case", s->case_name);
    jv_json_bool(&j, root, "running", s->running);
    add_whole(&j, root, "seed", s->seed);
    add_whole(&j, root, "asked", s->asked);
    jv_json_number(&j, root, "slice", (double)s->slice, NULL);
    jv_json_number(&j, root, "of", (double)s->of, NULL);
    jv_json_bool(&j, root, "interrupted", s->interrupted);
    add_whole(&j, root, "draws", t->draws);
    add_whole(&j, root, "unsolved", t->unsolved);
    add_whole(&j, root, "scalar", t->scalar);
    add_counts(&j, root, "cells", t->cell_count, s->n_quantities * JV_TALLY_CELLS);
    jv_json_node *quantities = jv_json_array(&j, root, "quantities");
    for (size_t q = 0; q < s->n_quantities; q++)
        add_quantity(&j, quantities, &s->quantities[q]);
    jv_json_node *watches = jv_json_array(&j, root, "watches");
    size_t next = 0;
    for (size_t k = 0; k < s->n_watches; k++)
        add_watch(&j, watches, owner, &s->watches[k], &next);
    return jv_json_print(&j, out);
}
