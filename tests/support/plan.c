/* plan.c - sequences in a test, and what a run gave. SPDX-License-Identifier: MIT */
#include "plan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

jv_plan *plan_new(jv_circuit *c, const char *name) {
    jv_plan *p = jv_circuit_add_plan(c, name);
    assert_non_null(p);
    p->steps = jv_arena_alloc(&c->arena, PLAN_STEPS, sizeof *p->steps);
    assert_non_null(p->steps);
    return p;
}

jv_plan_step *plan_step(jv_circuit *c, jv_plan *p, const char *name, double for_s) {
    assert_true(p->n_steps < PLAN_STEPS);
    jv_plan_step *s = &p->steps[p->n_steps++];
    *s = jv_plan_step_new(name);
    s->for_s = for_s;
    s->loading.runs = jv_arena_alloc(&c->arena, PLAN_RUNS, sizeof *s->loading.runs);
    assert_non_null(s->loading.runs);
    return s;
}

void plan_run(jv_plan_step *s, uint32_t part, int direction, jv_load_kind kind, double value) {
    assert_true(s->loading.n_runs < PLAN_RUNS);
    jv_run run = {part, (int8_t)direction, (uint8_t)kind, jv_value_exact(value)};
    s->loading.runs[s->loading.n_runs++] = run;
}

jv_watch *plan_watch(jv_circuit *c, const char *name, const char *plus, const char *minus,
                     double below, double held_for, jv_watch_action action) {
    jv_watch *w = jv_circuit_add_watch(c, name);
    assert_non_null(w);
    w->plus = jv_circuit_terminal(c, plus);
    w->minus = jv_circuit_terminal(c, minus);
    w->below = jv_value_exact(below);
    w->held_for = jv_value_exact(held_for);
    w->action = action;
    return w;
}

jv_sequence *plan_play(const jv_circuit *c, const jv_sequence_options *how) {
    jv_sequence *s = NULL;
    assert_int_equal(jv_sequence_run(c, how, &s), JV_OK);
    assert_non_null(s);
    return s;
}

double plan_value(const jv_sequence *s, const char *trace, const char *unit, double t) {
    static const double slack = 1e-9;
    for (size_t k = 0; k < s->n_traces; k++) {
        if (strcmp(s->traces[k].name, trace) != 0 || strcmp(s->traces[k].unit, unit) != 0)
            continue;
        size_t at = 0;
        while (at + 1 < s->n_samples && s->times[at + 1] <= t + slack)
            at++;
        return s->traces[k].values[at];
    }
    fail_msg("there is no trace \"%s\" in %s", trace, unit);
    return 0.0;
}

const jv_sequence_event *plan_event(const jv_sequence *s, jv_happening what, double from_s) {
    for (size_t k = 0; k < s->n_events; k++)
        if (s->events[k].what == what && s->events[k].t_s >= from_s)
            return &s->events[k];
    fail_msg("\"%s\" does not happen from %g s on", jv_happening_word(what), from_s);
    return NULL;
}

size_t plan_count(const jv_sequence *s, jv_happening what) {
    size_t n = 0;
    for (size_t k = 0; k < s->n_events; k++)
        n += s->events[k].what == what;
    return n;
}
