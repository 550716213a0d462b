/* sequence_json.c - a run in time as JSON. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "jackvolt/sequence.h"
#include "render/json_out.h"

#include <math.h>
#include <string.h>

static const double percent = 100.0;

static const char *stop_word(jv_sequence_stop stop) {
    static const char *const words[] = {"done",  "tripped", "refused", "too long",
                                        "clock", "asked",   "unsolved"};
    return words[stop];
}

static void add_if(jv_json *j, jv_json_node *o, const char *key, double value) {
    if (!isnan(value))
        jv_json_number(j, o, key, value, NULL);
}

static void add_events(jv_json *j, jv_json_node *root, const jv_sequence *s) {
    jv_json_node *list = jv_json_array(j, root, "events");
    for (size_t k = 0; k < s->n_events; k++) {
        const jv_sequence_event *e = &s->events[k];
        jv_json_node *o = jv_json_object(j, list, NULL);
        const char *part = jv_circuit_part_name(s->circuit, e->part);
        jv_json_number(j, o, "t_s", e->t_s, NULL);
        jv_json_text(j, o, "what", jv_happening_word(e->what));
        if (e->watch < s->n_watches)
            jv_json_text(j, o, "part_or_watch", s->watches[e->watch].name);
        else if (part)
            jv_json_text(j, o, "part_or_watch", part);
        else
            jv_json_null(j, o, "part_or_watch", NULL);
        if (e->step < s->n_steps)
            jv_json_text(j, o, "step", s->steps[e->step]);
        jv_json_bool(j, o, "serious", e->serious);
        if (e->weak)
            jv_json_bool(j, o, "weak", true);
        jv_json_text(j, o, "text", e->text);
    }
}

static void add_cause(jv_json *j, jv_json_node *o, const jv_sequence *s,
                      const jv_sequence_cause *c) {
    jv_json_node *n = jv_json_object(j, o, "cause");
    const char *widest = jv_circuit_part_name(s->circuit, c->widest);
    if (c->step < s->n_steps)
        jv_json_text(j, n, "step", s->steps[c->step]);
    jv_json_number(j, n, "seen_V", c->seen_v, NULL);
    add_if(j, n, "open_circuit_V", c->open_v);
    if (!widest)
        return;
    jv_json_number(j, n, "source_V", c->source_v, NULL);
    jv_json_number(j, n, "plus_V", c->plus_v, NULL);
    jv_json_number(j, n, "return_V", c->return_v, NULL);
    jv_json_number(j, n, "current_A", c->current_a, NULL);
    jv_json_text(j, n, "widest", widest);
    jv_json_number(j, n, "widest_V", c->widest_v, NULL);
}

static void add_watches(jv_json *j, jv_json_node *root, const jv_sequence *s) {
    static const char never[] = "it never counted";
    jv_json_node *all = jv_json_object(j, root, "watches");
    for (size_t k = 0; k < s->n_watches; k++) {
        const jv_sequence_watch *w = &s->watches[k];
        jv_json_node *o = jv_json_object(j, all, w->name);
        jv_json_number(j, o, "lowest_V", w->lowest_v, never);
        jv_json_number(j, o, "at_s", w->at_s, never);
        jv_json_number(j, o, "under_s", w->under_s, NULL);
        jv_json_bool(j, o, "trips", w->trips > 0);
        jv_json_number(j, o, "first_trip_s", w->first_trip_s, "it does not trip");
        jv_json_number(j, o, "trip_count", (double)w->trips, NULL);
        jv_json_number(j, o, "limit_V", w->limit_v, NULL);
        jv_json_number(j, o, "held_for_s", w->held_for_s, NULL);
        jv_json_number(j, o, "held_lowest_V", w->held_lowest_v, "it counted less than its dwell");
        jv_json_number(j, o, "shown_lowest_V", w->shown_lowest_v, never);
        jv_json_number(j, o, "longest_under_s", w->longest_under_s, NULL);
        jv_json_bool(j, o, "assumed", w->assumed);
        if (w->basis)
            jv_json_text(j, o, "basis", w->basis);
        if (w->trips)
            add_cause(j, o, s, &w->cause);
    }
}

static bool is_fuse(const char *kind) {
    return strcmp(kind, "fuse") == 0 || strcmp(kind, "breaker") == 0;
}

/* The state that it is left in, whether it had to do or not. */
static void add_fuse(jv_json *j, jv_json_node *o, const jv_sequence_part *p) {
    static const char unknown[] = "no times are known of its kind", not_here[] = "not in this run";
    const char *why = isnan(p->used_early) ? unknown : not_here;
    jv_json_number(j, o, "used_earliest_percent", percent * p->used_early, unknown);
    jv_json_number(j, o, "used_latest_percent", percent * p->used_late, unknown);
    jv_json_number(j, o, "may_open_s", p->may_open_s, why);
    jv_json_number(j, o, "opens_s", p->opens_s, why);
    jv_json_bool(j, o, "open_at_end", p->open_at_end);
    if (p->weak_times)
        jv_json_bool(j, o, "times_weak", true);
}

static void add_part(jv_json *j, jv_json_node *all, const jv_sequence *s, size_t i) {
    const jv_sequence_part *p = &s->parts[i];
    jv_json_node *o = jv_json_object(j, all, jv_circuit_part_name(s->circuit, i));
    jv_json_text(j, o, "is", jv_circuit_part_kind(s->circuit, i));
    jv_json_number(j, o, "charge_As", p->charge_as, NULL);
    jv_json_number(j, o, "energy_J", p->energy_j, NULL);
    jv_json_number(j, o, "peak_A", p->peak_a, NULL);
    add_if(j, o, "peak_at_s", p->peak_at_s);
    add_if(j, o, "lowest_V", p->lowest_v);
    add_if(j, o, "hottest_C", p->hottest_c);
    add_if(j, o, "heat_J", p->heat_j);
    add_if(j, o, "runs_s", p->runs_s);
    add_if(j, o, "time_limit_s", p->limit_s);
    add_if(j, o, "travel_m", p->travel_m);
    add_if(j, o, "extension_m", p->extension_m);
    add_if(j, o, "pulses", p->pulses);
    add_if(j, o, "lost_pulses", p->lost_pulses);
    if (is_fuse(jv_circuit_part_kind(s->circuit, i)))
        add_fuse(j, o, p);
    add_if(j, o, "charge_start_percent", percent * p->charge_start);
    add_if(j, o, "charge_end_percent", percent * p->charge_end);
    if (p->releases)
        jv_json_number(j, o, "releases", (double)p->releases, NULL);
}

static void add_cures(jv_json *j, jv_json_node *root, const jv_sequence *s) {
    static const char *const kinds[] = {"one at a time", "stagger", "less ohms", "charge", "dwell"};
    static const char *const units[] = {"helps", "stagger_s", "less_ohm", "charge", "dwell_s"};
    jv_json_node *list = jv_json_array(j, root, "what_it_would_take");
    for (size_t k = 0; k < s->n_cures; k++) {
        const jv_sequence_cure *c = &s->cures[k];
        jv_json_node *o = jv_json_object(j, list, NULL);
        const char *part = jv_circuit_part_name(s->circuit, c->part);
        jv_json_text(j, o, "watch", s->watches[c->watch].name);
        jv_json_text(j, o, "change", kinds[c->kind]);
        if (part)
            jv_json_text(j, o, "part", part);
        if (c->kind == JV_CURE_ONE_AT_A_TIME)
            jv_json_bool(j, o, units[c->kind], c->amount > 0.0);
        else
            jv_json_number(j, o, units[c->kind], c->amount, "this change alone does not help");
        jv_json_text(j, o, "text", c->text);
    }
}

static void add_search(jv_json *j, jv_json_node *root, const jv_sequence *s) {
    const char *cut = jv_sequence_search_text(s);
    jv_json_text(j, root, "search", stop_word(s->search));
    if (cut)
        jv_json_text(j, root, "search_text", cut);
}

static void add_steps(jv_json *j, jv_json_node *root, const jv_sequence *s) {
    jv_json_node *list = jv_json_array(j, root, "steps");
    for (size_t k = 0; k < s->n_steps; k++) {
        jv_json_node *o = jv_json_object(j, list, NULL);
        jv_json_text(j, o, "step", s->steps[k]);
        jv_json_number(j, o, "starts_s", s->step_starts[k], "not reached");
    }
}

jv_status jv_sequence_json(const jv_sequence *s, jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "circuit", jv_circuit_name(s->circuit));
    jv_json_text(&j, root, "sequence", s->name);
    jv_json_bool(&j, root, "generic", s->generic);
    jv_json_text(&j, root, "end", stop_word(s->stop));
    jv_json_number(&j, root, "end_s", s->end_s, NULL);
    jv_json_text(&j, root, "end_text", s->end);
    jv_json_bool(&j, root, "finding", s->finding);
    add_steps(&j, root, s);
    add_events(&j, root, s);
    add_watches(&j, root, s);
    jv_json_node *parts = jv_json_object(&j, root, "parts");
    for (size_t i = 0; i < jv_circuit_parts(s->circuit); i++)
        add_part(&j, parts, s, i);
    add_cures(&j, root, s);
    add_search(&j, root, s);
    jv_json_node *b = jv_json_object(&j, root, "balance");
    jv_json_number(&j, b, "charge_error", s->balance.charge_error, NULL);
    jv_json_number(&j, b, "energy_error", s->balance.energy_error, NULL);
    jv_json_number(&j, b, "delivered_J", s->balance.delivered_j, NULL);
    jv_json_node *assumed = jv_json_array(&j, root, "assumed");
    for (size_t k = 0; k < s->n_assumed; k++)
        jv_json_text(&j, assumed, NULL, s->assumed[k]);
    return jv_json_print(&j, out);
}
