/* setup.c - what a run of a sequence stands on. SPDX-License-Identifier: MIT */
#include "study/sequence/play.h"

#include "circuit/fault.h"
#include "circuit/remark.h"

#include <math.h>
#include <string.h>

static jv_status gather_faults(jv_play *p) {
    size_t n = 0;
    const jv_fault *given = p->options->faults ? jv_faults_list(p->options->faults, &n) : NULL;
    p->faults = jv_zalloc(n + 2, sizeof *p->faults);
    if (!p->faults)
        return JV_ERR_MEMORY;
    if (n)
        memcpy(p->faults, given, n * sizeof *p->faults);
    if (p->tweak && p->tweak->less_part >= 0) {
        jv_fault less = {0};
        less.part = (uint32_t)p->tweak->less_part;
        less.way = JV_WAY_ADDED;
        less.value = -p->tweak->less_ohm;
        less.to = -1;
        p->faults[n++] = less;
    }
    p->n_faults = n;
    return JV_OK;
}

static jv_status allocate(jv_play *p) {
    size_t parts = p->c->n_parts + 1;
    p->now.runs = jv_zalloc(parts, sizeof *p->now.runs);
    p->queue = jv_zalloc(parts, sizeof *p->queue);
    p->part_open = jv_zalloc(parts, sizeof *p->part_open);
    p->releases = jv_zalloc(parts, sizeof *p->releases);
    p->step_starts = jv_arena_alloc(p->arena, p->plan->n_steps + 1, sizeof *p->step_starts);
    if (!p->now.runs || !p->queue || !p->part_open || !p->releases || !p->step_starts)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < p->plan->n_steps; i++)
        p->step_starts[i] = NAN;
    p->now.name = "now";
    p->now.has_ambient = p->plan->has_ambient;
    p->now.ambient = p->plan->ambient;
    p->now.has_charge = p->plan->has_charge;
    p->now.charge = p->plan->charge;
    return JV_OK;
}

static jv_status point_buffers(jv_play *p) {
    p->n_g = p->motion->n_events + p->n_monitors + 1;
    size_t most = p->motion->n > p->n_g ? p->motion->n : p->n_g;
    for (int k = 0; k < JV_PLAY_POINTS; k++) {
        p->g[k] = jv_zalloc(p->n_g + JV_BODY_EVENTS, sizeof **p->g);
        p->values[k] = jv_zalloc(most + 1, sizeof **p->values);
        if (!p->g[k] || !p->values[k])
            return JV_ERR_MEMORY;
    }
    return JV_OK;
}

/* What was taken for granted, as sentences of the result. */
static jv_status keep_assumed(jv_play *p, const jv_remarks *r) {
    const char **list = jv_arena_alloc(p->arena, r->n + 1, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    size_t n = 0;
    for (size_t k = 0; k < r->n; k++) {
        jv_text t = {0};
        jv_text_addf(&t, "%s: %s", jv_play_part_name(p, (uint32_t)r->list[k].part),
                     r->list[k].text);
        list[n] = jv_arena_copy(p->arena, jv_text_str(&t), t.length);
        jv_text_clear(&t);
        if (!list[n++])
            return JV_ERR_MEMORY;
    }
    p->heads.assumed = list;
    p->heads.n_assumed = n;
    return JV_OK;
}

jv_status jv_play_make(jv_play *p) {
    enum { ASSUMED_KEPT = 100 };
    jv_remarks r = {0};
    r.arena = p->arena;
    r.room = ASSUMED_KEPT;
    r.list = jv_arena_alloc(p->arena, ASSUMED_KEPT, sizeof *r.list);
    jv_status status = r.list ? allocate(p) : JV_ERR_MEMORY;
    if (status == JV_OK)
        status = gather_faults(p);
    if (status == JV_OK)
        status = jv_net_build(p->c, &p->now, p->faults, p->n_faults, &p->net);
    if (status == JV_OK)
        status = jv_motion_new(p->net, p->tolerance, &r, &p->motion);
    if (status == JV_OK)
        status = keep_assumed(p, &r);
    if (status == JV_OK)
        status = jv_monitors_make(p);
    if (status == JV_OK)
        status = jv_fuses_make(p);
    if (status == JV_OK)
        status = point_buffers(p);
    if (status == JV_OK)
        status = jv_tracks_make(p);
    return status;
}
