/* inrush.c - what the start of motors takes out of a fuse. SPDX-License-Identifier: MIT */
#include "study/inrush.h"

#include "circuit/part_kind.h"
#include "jackvolt/sequence.h"
#include "study/bench.h"
#include "study/guards.h"

#include <math.h>
#include <string.h>

/* Motors of jacks and pumps are up to speed in a tenth of a second or two; a soft
 * start of their controller comes on top. */
static const double start_s = 2.0;

const char *jv_inrush_unknown(const jv_circuit *c, const jv_case *k) {
    static const char *const keys[] = {"spin_up", "motor.inertia"};
    for (size_t r = 0; r < k->n_runs; r++) {
        const jv_part *p = &c->parts[k->runs[r].part];
        bool known = false;
        for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
            const jv_slot *s = jv_part_named(c, p, keys[i]);
            known = known || (s && s->origin != JV_FALLBACK);
        }
        if (!known)
            return p->name;
    }
    return NULL;
}

/* Slots of the copy at the strong ends of their spreads. */
static jv_status strengthen(const jv_circuit *c, const jv_case *k, jv_slot *slots,
                            jv_case *loading) {
    jv_bench *b = NULL;
    jv_status status = jv_bench_open(c, k, NULL, 0, &b);
    if (status != JV_OK)
        return status;
    jv_bench_turn_strong(b, 1);
    memcpy(slots, c->slots, c->n_slots * sizeof *slots);
    for (size_t i = 0; i < c->n_slots; i++)
        if (slots[i].value.spread != JV_EXACT)
            slots[i].value = jv_value_exact(b->x[i]);
    loading->charge = jv_value_exact(b->loading.charge.nominal);
    jv_bench_free(&b);
    return JV_OK;
}

/* Every motor lifts, from the bottom of its travel: no end of a stroke holds it within a start, and
 * lifting asks for no less current than lowering. */
static void lift_from_the_bottom(const jv_circuit *c, const jv_case *k, jv_slot *slots,
                                 jv_run *runs) {
    for (size_t r = 0; r < k->n_runs; r++) {
        const jv_slot *start = jv_part_named(c, &c->parts[k->runs[r].part], "travel.start");
        runs[r] = k->runs[r];
        runs[r].direction = 1;
        if (start)
            slots[start - c->slots].value = jv_value_exact(0);
    }
}

static double longest_soft_start(const jv_circuit *c) {
    double longest = 0;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_slot *s = jv_part_named(c, &c->parts[i], "soft_start");
        if (s)
            longest = fmax(longest, s->value.high);
    }
    return longest;
}

jv_status jv_inrush_find(const jv_circuit *c, const jv_case *k, double *used, double *most_a) {
    jv_circuit copy = *c;
    jv_plan_step step = {.loading = *k,
                         .for_s = start_s + longest_soft_start(c),
                         .extension_m = NAN,
                         .force_n = NAN,
                         .current_a = NAN,
                         .until_watch = -1};
    jv_plan plan = {.name = k->name, .steps = &step, .n_steps = 1, .longest_s = NAN};
    jv_slot *slots = jv_alloc(c->n_slots + 1, sizeof *slots);
    step.loading.runs = jv_alloc(k->n_runs + 1, sizeof *step.loading.runs);
    jv_status status =
        slots && step.loading.runs ? strengthen(c, k, slots, &step.loading) : JV_ERR_MEMORY;
    if (status == JV_OK)
        lift_from_the_bottom(c, k, slots, step.loading.runs);
    plan.has_ambient = k->has_ambient;
    plan.ambient = k->ambient;
    plan.has_charge = k->has_charge;
    plan.charge = step.loading.charge;
    copy.slots = slots;
    copy.plans = &plan;
    copy.n_plans = 1;
    copy.n_watches = 0; /* what a watch would stop is not asked here */
    const jv_sequence_options how = {.every_s = 1, .no_cures = true};
    jv_sequence *s = NULL;
    if (status == JV_OK)
        status = jv_sequence_run(&copy, &how, &s);
    if (status == JV_OK && s->stop == JV_STOP_UNSOLVED)
        status = JV_ERR_UNSOLVED;
    for (size_t i = 0; status == JV_OK && i < c->n_parts; i++) {
        used[i] = s->parts[i].used_early;
        most_a[i] = s->parts[i].peak_a;
        if (!(used[i] > 0))
            used[i] = 0;
    }
    jv_sequence_free(&s);
    jv_free(slots);
    jv_free(step.loading.runs);
    return status == JV_ERR_UNKNOWN ? JV_ERR_UNSOLVED : status;
}
