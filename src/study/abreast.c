/* abreast.c - draws of a circuit solved side by side. SPDX-License-Identifier: MIT */
#include "study/abreast.h"

#include "circuit/kinds.h"
#include "circuit/part_kind.h"
#include "circuit/parts/battery.h"

#include <math.h>
#include <string.h>

_Static_assert((int)JV_LANES == (int)JV_SIDE, "a lane is a draw");

enum { STAGES = 8 }; /* states that follow from each other; more is no circuit for lanes */

typedef struct jv_stage {
    jv_element *elements; /* in the states of this stage, nominal numbers */
    jv_lanes *lanes;
} jv_stage;

struct jv_abreast {
    jv_trial *trial;
    const jv_moves *moves;
    jv_stage stages[STAGES];
    size_t n_stages;
    uint32_t *live; /* parts whose states may change */
    size_t n_live;
    double *v;             /* of each node, one draw */
    double *amps;          /* of the elements of one part */
    jv_element *looked_at; /* the elements of one part */
    uint8_t *bits;         /* of each element: numbers that move */
    uint8_t *needed;       /* of each node: a watch or a part with states looks at it */
    jv_lanes_by *by;       /* elements whose heating moves */
    size_t n_by;
    jv_lane_width width;
    jv_status status;
};

/* A battery without cut-offs and a relay without a coil never change. */
static bool can_change(const jv_circuit *c, const jv_net *net, size_t part) {
    const jv_part *p = &c->parts[part];
    if (!p->kind->settle)
        return false;
    if (p->kind == &jv_kind_relay || p->kind == &jv_kind_hall)
        return net->own[part] > 1;
    if (p->kind != &jv_kind_battery)
        return true;
    static const unsigned cutoffs[] = {JV_BATTERY_CUTOFF_VOLTAGE, JV_BATTERY_CUTOFF_CURRENT,
                                       JV_BATTERY_CUTOFF_COLD, JV_BATTERY_CUTOFF_COLD_CHARGE};
    for (size_t k = 0; k < sizeof cutoffs / sizeof cutoffs[0]; k++)
        if (jv_part_has(c, p, cutoffs[k]))
            return true;
    return false;
}

/* --- the stages of the nominal circuit --- */

/* What a stage leaves behind when it ends: its lanes. */
static void end_stage(jv_abreast *a) {
    jv_system *s = a->trial->system;
    jv_stage *stage = &a->stages[a->n_stages - 1];
    const jv_lanes_start start = {.elements = stage->elements,
                                  .n_elements = a->trial->net->n_elements,
                                  .n_nodes = a->trial->net->n_nodes,
                                  .anchored = s->anchored,
                                  .mode = s->mode,
                                  .v = s->x,
                                  .i = s->i_now,
                                  .moves = a->bits,
                                  .needed = a->needed,
                                  .circuit = a->trial->spreads->circuit,
                                  .by = a->by,
                                  .n_by = a->n_by,
                                  .width = a->width};
    if (a->status == JV_OK)
        a->status = jv_lanes_new(&start, &stage->lanes);
}

static void begin_stage(jv_abreast *a) {
    const jv_net *net = a->trial->net;
    if (a->n_stages == STAGES)
        a->status = JV_ERR_UNSOLVED;
    if (a->status != JV_OK)
        return;
    jv_stage *stage = &a->stages[a->n_stages++];
    stage->elements = jv_alloc(net->n_elements + 1, sizeof *stage->elements);
    if (!stage->elements)
        a->status = JV_ERR_MEMORY;
    else
        memcpy(stage->elements, net->elements, net->n_elements * sizeof *net->elements);
}

/* Called between two stages, with the states of the next. */
static void next_stage(void *ctx) {
    jv_abreast *a = ctx;
    end_stage(a);
    jv_net_load(a->trial->net, a->trial->x);
    begin_stage(a);
}

static jv_status find_stages(jv_abreast *a) {
    jv_trial *t = a->trial;
    jv_point point;
    void (*reload)(void *) = t->system->reload;
    void *ctx = t->system->reload_ctx;
    t->system->reload = next_stage;
    t->system->reload_ctx = a;
    jv_trial_rewind(t);
    jv_net_load(t->net, t->x);
    begin_stage(a);
    jv_status status = jv_point_find(t->system, true, &point);
    if (status == JV_OK && point.outcome != JV_POINT_FOUND)
        status = JV_ERR_UNSOLVED;
    if (status == JV_OK)
        end_stage(a);
    t->system->reload = reload;
    t->system->reload_ctx = ctx;
    return status == JV_OK ? a->status : status;
}

static void list_live(jv_abreast *a) {
    const jv_circuit *c = a->trial->spreads->circuit;
    for (size_t p = 0; p < c->n_parts; p++) {
        if (!can_change(c, a->trial->net, p))
            continue;
        a->live[a->n_live++] = (uint32_t)p;
    }
}

/* Which numbers of which elements move. A part that is loaded may move all of them. */
static void mark_moves(jv_abreast *a) {
    const jv_net *net = a->trial->net;
    for (size_t m = 0; m < a->moves->n; m++) {
        const jv_move_part *p = &a->moves->parts[m];
        if (p->kind == JV_MOVE_LOAD)
            memset(a->bits + net->first[p->part], 0xFF,
                   net->first[p->part + 1] - net->first[p->part]);
        for (size_t k = 0; k < p->n_moves; k++)
            a->bits[p->moves[k].element] |= (uint8_t)(1u << p->moves[k].field);
    }
}

/* How far the sum of a move reaches over all draws. */
static jv_lanes_by reach_of(const jv_abreast *a, const jv_move *m) {
    jv_lanes_by by = {m->element, m->field, m->constant, m->constant};
    for (size_t k = 0; k < m->n_terms; k++) {
        double least, most;
        jv_reach_of(&a->trial->spreads->list[m->with[k]].shown.value, &least, &most);
        by.least += fmin(m->per[k] * least, m->per[k] * most);
        by.most += fmax(m->per[k] * least, m->per[k] * most);
    }
    return by;
}

/* False: a conductor heats in a way that lanes cannot follow. */
static bool list_by(jv_abreast *a) {
    for (size_t p = 0; p < a->moves->n; p++) {
        const jv_move_part *part = &a->moves->parts[p];
        for (size_t k = 0; k < part->n_moves && part->heats; k++) {
            if (part->moves[k].field != JV_FIELD_AIR && part->moves[k].field != JV_FIELD_TIME)
                continue;
            if (part->kind != JV_MOVE_AFFINE ||
                (a->n_by && a->by[a->n_by - 1].element == part->moves[k].element))
                return false;
            a->by[a->n_by++] = reach_of(a, &part->moves[k]);
        }
    }
    return true;
}

static void mark_needed(jv_abreast *a) {
    const jv_circuit *c = a->trial->spreads->circuit;
    const jv_net *net = a->trial->net;
    for (size_t k = 0; k < c->n_watches; k++)
        a->needed[c->watches[k].plus] = a->needed[c->watches[k].minus] = 1;
    for (size_t k = 0; k < a->n_live; k++)
        for (uint32_t m = net->first[a->live[k]]; m < net->first[a->live[k] + 1]; m++) {
            const jv_element *e = &net->elements[m];
            a->needed[e->a] = a->needed[e->b] = 1;
            if (e->c >= 0)
                a->needed[e->c] = 1;
        }
}

jv_status jv_abreast_new(jv_trial *t, const jv_moves *moves, jv_lane_width width,
                         jv_abreast **out) {
    if (moves->shape || t->nominal.outcome != JV_POINT_FOUND)
        return JV_ERR_UNSOLVED;
    jv_abreast *a = jv_zalloc(1, sizeof *a);
    if (!a)
        return JV_ERR_MEMORY;
    a->trial = t;
    a->moves = moves;
    a->width = width;
    size_t parts = t->spreads->circuit->n_parts + 1, elements = t->net->n_elements + 1;
    a->live = jv_alloc(parts, sizeof *a->live);
    a->v = jv_zalloc(t->net->n_nodes + 1, sizeof *a->v);
    a->amps = jv_zalloc(elements, sizeof *a->amps);
    a->looked_at = jv_alloc(elements, sizeof *a->looked_at);
    a->bits = jv_zalloc(elements, sizeof *a->bits);
    a->needed = jv_zalloc(t->net->n_nodes + 1, sizeof *a->needed);
    a->by = jv_alloc(elements, sizeof *a->by);
    jv_status status = JV_ERR_MEMORY;
    if (a->live && a->v && a->amps && a->looked_at && a->bits && a->needed && a->by) {
        list_live(a);
        mark_moves(a);
        mark_needed(a);
        status = list_by(a) ? find_stages(a) : JV_ERR_UNSOLVED;
    }
    if (status != JV_OK) {
        jv_abreast_free(&a);
        return status;
    }
    *out = a;
    return JV_OK;
}

void jv_abreast_free(jv_abreast **abreast) {
    if (!abreast || !*abreast)
        return;
    jv_abreast *a = *abreast;
    for (size_t k = 0; k < a->n_stages; k++) {
        jv_lanes_free(&a->stages[k].lanes);
        jv_free(a->stages[k].elements);
    }
    jv_free(a->live);
    jv_free(a->v);
    jv_free(a->amps);
    jv_free(a->looked_at);
    jv_free(a->bits);
    jv_free(a->needed);
    jv_free(a->by);
    jv_free(a);
    *abreast = NULL;
}

/* --- numbers into lanes --- */

static void put_values(jv_abreast *a, double (*values)[JV_SIDE], unsigned draw) {
    for (size_t q = 0; q < a->trial->spreads->n; q++)
        jv_trial_put(a->trial, q, values[q][draw]);
    a->trial->net->scene.x = a->trial->x;
}

/* Loads a part for the draws that no form serves, and copies what comes out. False: its shape
 * moved. */
static unsigned load_part(jv_abreast *a, const jv_stage *stage, const jv_move_part *p,
                          double (*values)[JV_SIDE], unsigned draws) {
    jv_net *net = a->trial->net;
    uint32_t first = net->first[p->part], n = net->first[p->part + 1] - first;
    unsigned shaped = 0;
    for (unsigned d = 0; d < JV_SIDE; d++) {
        if (!(draws >> d & 1u))
            continue;
        put_values(a, values, d);
        memcpy(net->elements + first, stage->elements + first, n * sizeof *net->elements);
        jv_net_load_part(net, p->part);
        for (uint32_t k = first; k < first + n; k++) {
            if (net->elements[k].open != stage->elements[k].open ||
                net->elements[k].r_slope != stage->elements[k].r_slope)
                shaped |= 1u << d;
            for (int field = 0; field < JV_FIELDS; field++)
                jv_lanes_number(stage->lanes, k, (jv_field)field)[d] =
                    *jv_field_of(&net->elements[k], (jv_field)field);
        }
    }
    return shaped;
}

static unsigned put_numbers(jv_abreast *a, const jv_stage *stage, double (*values)[JV_SIDE],
                            double (*numbers)[JV_SIDE], const unsigned *load) {
    size_t next = 0;
    unsigned shaped = 0;
    for (size_t m = 0; m < a->moves->n; m++) {
        const jv_move_part *p = &a->moves->parts[m];
        for (size_t k = 0; k < p->n_moves; k++, next++)
            memcpy(jv_lanes_number(stage->lanes, p->moves[k].element, p->moves[k].field),
                   numbers[next], sizeof numbers[next]);
        if (load[m])
            shaped |= load_part(a, stage, p, values, load[m]);
    }
    return shaped;
}

/* --- states --- */

/* Does a part end up in the states of the next stage (NULL: in its own)? */
static bool settles_alike(jv_abreast *a, const jv_stage *stage, const jv_stage *next, uint32_t part,
                          unsigned draw) {
    const jv_net *net = a->trial->net;
    const jv_part *p = &a->trial->spreads->circuit->parts[part];
    uint32_t first = net->first[part], own = net->own[part];
    jv_element *e = a->looked_at;
    memcpy(e, stage->elements + first, own * sizeof *e);
    for (uint32_t k = 0; k < own; k++) {
        double amps[JV_LANES];
        for (int field = 0; field < JV_FIELDS; field++)
            *jv_field_of(&e[k], (jv_field)field) =
                jv_lanes_number(stage->lanes, first + k, (jv_field)field)[draw];
        a->v[e[k].a] = jv_lanes_volts(stage->lanes, (size_t)e[k].a)[draw];
        a->v[e[k].b] = jv_lanes_volts(stage->lanes, (size_t)e[k].b)[draw];
        if (e[k].c >= 0)
            a->v[e[k].c] = jv_lanes_volts(stage->lanes, (size_t)e[k].c)[draw];
        jv_lanes_current(stage->lanes, first + k, amps);
        a->amps[k] = amps[draw];
    }
    bool changed = p->kind->settle(&net->scene, p, e, own, a->v, a->amps);
    if (!next)
        return !changed;
    for (uint32_t k = 0; k < own; k++)
        if (e[k].state != next->elements[first + k].state)
            return false;
    return true;
}

static unsigned check_states(jv_abreast *a, size_t stage, double (*values)[JV_SIDE],
                             unsigned draws) {
    const jv_stage *next = stage + 1 < a->n_stages ? &a->stages[stage + 1] : NULL;
    unsigned same = draws;
    for (unsigned d = 0; d < JV_SIDE && a->n_live; d++) {
        if (!(draws >> d & 1u))
            continue;
        put_values(a, values, d);
        for (size_t k = 0; k < a->n_live; k++)
            if (!settles_alike(a, &a->stages[stage], next, a->live[k], d)) {
                same &= ~(1u << d);
                break;
            }
    }
    return same;
}

unsigned jv_abreast_solve(jv_abreast *a, double (*values)[JV_SIDE], double (*numbers)[JV_SIDE],
                          const unsigned *load) {
    unsigned good = (1u << JV_SIDE) - 1u;
    for (size_t k = 0; k < a->n_stages && good; k++) {
        good &= ~put_numbers(a, &a->stages[k], values, numbers, load);
        good &= jv_lanes_solve(a->stages[k].lanes);
        good = check_states(a, k, values, good);
    }
    return good;
}

const double *jv_abreast_volts(const jv_abreast *a, size_t node) {
    return jv_lanes_volts(a->stages[a->n_stages - 1].lanes, node);
}
