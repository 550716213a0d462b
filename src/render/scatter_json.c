/* scatter_json.c - worst case and odds as JSON. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "render/json_out.h"

static void add_worst(jv_json *j, jv_json_node *o, const jv_scatter *s, const jv_scatter_worst *w) {
    jv_json_number(j, o, "worst_V", w->seen_v, "no operating point there, or not looked for");
    jv_json_number(j, o, "worst_margin_V", w->margin_v, "no operating point there");
    jv_json_bool(j, o, "worst_proved", w->proved);
    if (!w->found)
        return;
    jv_json_node *at = jv_json_object(j, o, "worst_at");
    for (size_t q = 0; q < s->n_quantities; q++)
        jv_json_number(j, at, s->quantities[q].name, w->at[q], NULL);
}

static void add_watch(jv_json *j, jv_json_node *watches, const jv_scatter *s,
                      const jv_scatter_watch *w) {
    static const char none[] = "it does not count in this case", unsolved[] = "no draw was solved";
    jv_json_node *o = jv_json_object(j, watches, w->name);
    if (!w->counts) {
        jv_json_null(j, o, "trip_probability", none);
        return;
    }
    jv_json_number(j, o, "trip_probability", w->trip_probability, unsolved);
    jv_json_number(j, o, "low95", w->low95, NULL);
    jv_json_number(j, o, "high95", w->high95, NULL);
    jv_json_number(j, o, "trips", (double)w->trips, NULL);
    jv_json_number(j, o, "unsolved", (double)w->unsolved, NULL);
    jv_json_number(j, o, "limit_V", w->limit_v, NULL);
    jv_json_bool(j, o, "assumed", w->assumed);
    jv_json_number(j, o, "nominal_V", w->nominal_v, "no operating point");
    add_worst(j, o, s, &w->worst);
    jv_json_number(j, o, "p1_V", w->p1_v, unsolved);
    jv_json_number(j, o, "p5_V", w->p5_v, unsolved);
    jv_json_number(j, o, "p50_V", w->p50_v, unsolved);
    jv_json_number(j, o, "p95_V", w->p95_v, unsolved);
    jv_json_number(j, o, "p99_V", w->p99_v, unsolved);
    jv_json_number(j, o, "mean_V", w->mean_v, unsolved);
    jv_json_number(j, o, "deviation_V", w->deviation_v, unsolved);
}

static void add_shares(jv_json *j, jv_json_node *parent, const jv_scatter *s,
                       const jv_scatter_watch *w) {
    if (!w->counts)
        return;
    if (!w->share) {
        jv_json_null(j, parent, w->name, "the volts do not vary");
        return;
    }
    jv_json_node *o = jv_json_object(j, parent, w->name);
    for (size_t q = 0; q < s->n_quantities; q++)
        jv_json_number(j, o, s->quantities[q].name, w->share[q], NULL);
    jv_json_number(j, o, "rest", w->rest, NULL);
}

jv_status jv_scatter_json(const jv_scatter *s, jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "circuit", s->circuit);
    jv_json_text(&j, root, "case", s->case_name);
    jv_json_number(&j, root, "draws", (double)s->draws, NULL);
    jv_json_number(&j, root, "asked", (double)s->asked, NULL);
    jv_text seed = {0};
    jv_text_addf(&seed, "%llu", (unsigned long long)s->seed);
    jv_json_text(&j, root, "seed", jv_text_str(&seed));
    jv_json_bool(&j, root, "interrupted", s->interrupted);
    jv_json_node *watches = jv_json_object(&j, root, "watches");
    for (size_t k = 0; k < s->n_watches; k++)
        add_watch(&j, watches, s, &s->watches[k]);
    jv_json_node *shares = jv_json_object(&j, root, "contributions");
    for (size_t k = 0; k < s->n_watches; k++)
        add_shares(&j, shares, s, &s->watches[k]);
    jv_status status = jv_json_print(&j, out);
    bool failed = seed.failed;
    jv_text_clear(&seed);
    return failed ? JV_ERR_MEMORY : status;
}
