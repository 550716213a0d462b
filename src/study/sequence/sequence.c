/* sequence.c - a levelling sequence in time. SPDX-License-Identifier: MIT */
#include "jackvolt/sequence.h"

#include "study/sequence/play.h"

#include <math.h>
#include <string.h>

typedef struct jv_sequence_owner {
    jv_sequence result; /* first: the public handle */
    jv_arena arena;
    jv_plan plan; /* our own, where the file has none */
} jv_sequence_owner;

static jv_status choose_plan(jv_sequence_owner *o, const jv_circuit *c, const char *name,
                             const jv_plan **plan) {
    if (name) {
        size_t at = jv_circuit_find_sequence(c, name);
        if (at == c->n_plans)
            return JV_ERR_UNKNOWN;
        *plan = &c->plans[at];
        return JV_OK;
    }
    if (c->n_plans) {
        *plan = &c->plans[0];
        return JV_OK;
    }
    o->result.generic = true;
    *plan = &o->plan;
    return jv_plan_generic(c, &o->arena, &o->plan);
}

static jv_status keep_events(jv_play *p, jv_arena *arena, jv_sequence *out) {
    jv_sequence_event *list = jv_arena_alloc(arena, p->n_events + 1, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    if (p->n_events)
        memcpy(list, p->events, p->n_events * sizeof *list);
    out->events = list;
    out->n_events = p->n_events;
    for (size_t k = 0; k < p->n_events; k++)
        if (list[k].serious)
            out->finding = true;
    return JV_OK;
}

static jv_status fill(jv_play *p, jv_arena *arena, jv_sequence *out) {
    const char **names = jv_arena_alloc(arena, p->plan->n_steps + 1, sizeof *names);
    if (!names)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < p->plan->n_steps; k++)
        names[k] = p->plan->steps[k].loading.name;
    out->steps = names;
    out->step_starts = p->step_starts;
    out->n_steps = p->plan->n_steps;
    out->name = p->plan->name;
    out->stop = p->stop;
    out->end = p->why;
    out->end_s = p->motion->t;
    out->assumed = p->heads.assumed;
    out->n_assumed = p->heads.n_assumed;
    jv_tell(p, JV_ENDS, UINT32_MAX, -1, p->stop != JV_STOP_DONE && p->stop != JV_STOP_ASKED, false,
            "%s", p->why);
    jv_status status = keep_events(p, arena, out);
    if (status == JV_OK)
        status = jv_tracks_finish(p, out);
    out->effort.steps = p->motion->steps;
    out->effort.rejected = p->motion->rejected;
    out->effort.factors = p->motion->factors;
    out->effort.evaluations = p->motion->evaluations;
    out->effort.located = p->located;
    out->effort.wall_s = jv_wall_now() - p->wall_start;
    return status;
}

jv_status jv_sequence_run(const jv_circuit *c, const jv_sequence_options *options,
                          jv_sequence **out) {
    static const jv_sequence_options usual = {0};
    if (!options)
        options = &usual;
    jv_sequence_owner *owner = jv_zalloc(1, sizeof *owner);
    if (!owner)
        return JV_ERR_MEMORY;
    jv_sequence *result = &owner->result;
    result->circuit = c;
    jv_play play = {0};
    play.c = c;
    play.options = options;
    play.arena = &owner->arena;
    jv_status status = choose_plan(owner, c, options->name, &play.plan);
    if (status == JV_OK) {
        status = jv_play_run(&play);
        if (status == JV_OK)
            status = fill(&play, &owner->arena, result);
        if (status == JV_OK && !options->no_cures)
            status = jv_cures_find(c, play.plan, options, play.wall_start, &owner->arena, result);
        jv_play_free(&play);
    }
    if (status != JV_OK) {
        jv_sequence_free(&result);
        return status;
    }
    *out = result;
    return JV_OK;
}

const char *jv_sequence_search_text(const jv_sequence *sequence) {
    if (sequence->search == JV_STOP_DONE)
        return NULL;
    return sequence->search == JV_STOP_ASKED
               ? "The search for what it would take was cut short: it was asked to stop."
               : "The search for what it would take was cut short: its wall clock limit is over.";
}

void jv_sequence_free(jv_sequence **sequence) {
    if (!sequence || !*sequence)
        return;
    jv_sequence_owner *owner = (jv_sequence_owner *)*sequence;
    jv_arena_clear(&owner->arena);
    jv_free(owner);
    *sequence = NULL;
}
