/* drop_json.c - the steady study as JSON. SPDX-License-Identifier: MIT */
#include "jackvolt/drop.h"
#include "jackvolt/render.h"
#include "render/json_out.h"

#include <math.h>

static const double percent = 100.0;

static const char *side_word(jv_side side) {
    switch (side) {
    case JV_SIDE_SOURCE:
        return "source";
    case JV_SIDE_PLUS:
        return "plus";
    case JV_SIDE_BETWEEN:
        return "between sources";
    case JV_SIDE_RETURN:
        return "return";
    case JV_SIDE_NONE:
        break;
    }
    return "none";
}

static const char *verdict_word(jv_verdict verdict) {
    switch (verdict) {
    case JV_HOLDS:
        return "holds";
    case JV_TRIPS:
        return "trips";
    case JV_NOT_WATCHED:
        return "not watched";
    case JV_VERDICT_UNKNOWN:
        break;
    }
    return "unknown";
}

/* Leaves a key out where it means nothing for the part. */
static void add_if(jv_json *j, jv_json_node *o, const char *key, double value) {
    if (!isnan(value))
        jv_json_number(j, o, key, value, NULL);
}

static void add_part(jv_json *j, jv_json_node *parts, const jv_circuit *c, size_t index,
                     const jv_drop_part *d) {
    jv_json_node *o = jv_json_object(j, parts, jv_circuit_part_name(c, index));
    jv_json_text(j, o, "is", jv_circuit_part_kind(c, index));
    jv_json_number(j, o, "drop_V", d->drop_v, "no current path");
    jv_json_number(j, o, "current_A", d->current_a, "no current path");
    jv_json_number(j, o, "power_W", d->power_w, "no current path");
    jv_json_number(j, o, "share_percent", percent * d->share, "not on the way to the named load");
    jv_json_number(j, o, "resistance_ohm", d->resistance_ohm, "not a closed conductor");
    jv_json_number(j, o, "temperature_C", d->temperature_c, "not known");
    jv_json_text(j, o, "side", side_word(d->side));
    add_if(j, o, "delivers_A", d->delivers_a);
    add_if(j, o, "open_circuit_V", d->open_circuit_v);
    add_if(j, o, "load_A", d->load_a);
    if (!isnan(d->speed_share)) {
        jv_json_number(j, o, "speed_percent", percent * d->speed_share, NULL);
        jv_json_bool(j, o, "stalled", d->stalled);
    }
}

static void add_watch(jv_json *j, jv_json_node *watches, const jv_drop_watch *w) {
    static const char out_of_reach[] = "this change alone does not bring it to the limit";
    jv_json_node *o = jv_json_object(j, watches, w->name);
    jv_json_number(j, o, "seen_V", w->seen_v, "no operating point");
    jv_json_number(j, o, "limit_V", w->limit_v, NULL);
    jv_json_number(j, o, "margin_V", w->margin_v, "no operating point");
    jv_json_bool(j, o, "assumed", w->assumed);
    if (w->basis)
        jv_json_text(j, o, "basis", w->basis);
    jv_json_text(j, o, "verdict", verdict_word(w->verdict));
    if (w->verdict == JV_VERDICT_UNKNOWN && !isnan(w->seen_v))
        jv_json_text(j, o, "why", "it hangs on ohms that the file does not give");
    if (w->doubt_low_v < w->doubt_high_v) {
        jv_json_number(j, o, "least_seen_V", w->doubt_low_v, NULL);
        jv_json_number(j, o, "most_seen_V", w->doubt_high_v, NULL);
    }
    if (w->verdict == JV_NOT_WATCHED)
        return;
    jv_json_node *l = jv_json_object(j, o, "to_the_limit");
    jv_json_number(j, l, "feed_ohm", w->levers.feed_ohm, out_of_reach);
    jv_json_number(j, l, "return_ohm", w->levers.return_ohm, out_of_reach);
    jv_json_number(j, l, "charge_percent", percent * w->levers.charge, out_of_reach);
    jv_json_number(j, l, "load_percent", percent * w->levers.load, out_of_reach);
}

static void add_way(jv_json *j, jv_json_node *o, const jv_circuit *c, const jv_drop_case *k) {
    if (!k->n_steps)
        return;
    jv_json_node *way = jv_json_object(j, o, "way");
    jv_json_text(j, way, "load", jv_circuit_part_name(c, k->load));
    jv_json_number(j, way, "source_V", k->source_v, NULL);
    jv_json_number(j, way, "load_V", k->load_v, NULL);
    jv_json_number(j, way, "lost_V", k->lost_v, NULL);
    jv_json_node *steps = jv_json_array(j, way, "steps");
    for (size_t i = 0; i < k->n_steps; i++) {
        const jv_drop_step *s = &k->steps[i];
        const char *from = jv_circuit_terminal_name(c, s->from),
                   *to = jv_circuit_terminal_name(c, s->to);
        jv_json_node *step = jv_json_object(j, steps, NULL);
        jv_json_text(j, step, "part", jv_circuit_part_name(c, s->part));
        if (from)
            jv_json_text(j, step, "from", from);
        if (to)
            jv_json_text(j, step, "to", to);
        jv_json_number(j, step, "drop_V", s->drop_v, NULL);
        jv_json_number(j, step, "current_A", s->current_a, NULL);
        jv_json_text(j, step, "side", side_word(s->side));
    }
}

static void add_remarks(jv_json *j, jv_json_node *o, const jv_circuit *c, const jv_drop_case *k) {
    jv_json_node *list = jv_json_array(j, o, "remarks");
    for (size_t i = 0; i < k->n_remarks; i++) {
        jv_json_node *r = jv_json_object(j, list, NULL);
        const char *part = jv_circuit_part_name(c, k->remarks[i].part);
        if (part)
            jv_json_text(j, r, "part", part);
        jv_json_bool(j, r, "serious", k->remarks[i].serious);
        jv_json_text(j, r, "text", k->remarks[i].text);
    }
}

static void add_case(jv_json *j, jv_json_node *cases, const jv_circuit *c, const jv_drop_case *k) {
    jv_json_node *o = jv_json_object(j, cases, NULL);
    jv_json_text(j, o, "case", k->name);
    jv_json_bool(j, o, "converged", k->converged);
    if (k->trouble)
        jv_json_text(j, o, "trouble", k->trouble);
    jv_json_number(j, o, "residual_A", k->residual_a, "no operating point");
    jv_json_number(j, o, "power_error_W", k->power_error_w, "no operating point");
    if (k->deliverable < 1.0)
        jv_json_number(j, o, "deliverable_percent", percent * k->deliverable, NULL);
    jv_json_node *terminals = jv_json_object(j, o, "terminals");
    for (size_t i = 0; i < jv_circuit_terminals(c); i++)
        jv_json_number(j, terminals, jv_circuit_terminal_name(c, i),
                       k->converged ? k->terminal_v[i] : NAN, "no operating point");
    jv_json_node *parts = jv_json_object(j, o, "parts");
    for (size_t i = 0; i < jv_circuit_parts(c); i++)
        add_part(j, parts, c, i, &k->parts[i]);
    jv_json_node *watches = jv_json_object(j, o, "watches");
    for (size_t i = 0; i < k->n_watches; i++)
        add_watch(j, watches, &k->watches[i]);
    add_way(j, o, c, k);
    add_remarks(j, o, c, k);
}

jv_status jv_drop_json(const jv_drop *drop, jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "circuit", jv_circuit_name(drop->circuit));
    jv_json_node *cases = jv_json_array(&j, root, "cases");
    for (size_t i = 0; i < drop->n_cases; i++)
        add_case(&j, cases, drop->circuit, &drop->cases[i]);
    return jv_json_print(&j, out);
}
