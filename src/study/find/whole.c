/* whole.c - a state that no low rank reaches: the faulted net solved by itself.
 * SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include <math.h>
#include <string.h>

typedef struct jv_whole {
    jv_finder *f;
    const jv_find_state *state;
    jv_find_setup *s;
    jv_record *r;
    jv_net *net;
    jv_system *system;
    int32_t *map;     /* unknown of the sound system -> of this one */
    int32_t *element; /* likewise elements */
    double *y;
    int32_t *island;
    bool borrowed; /* net and system are the setup's spare ones */
} jv_whole;

static bool is_short(const jv_whole *w, size_t part) {
    for (size_t k = 0; k < w->state->n_faults; k++)
        if (w->state->fault[k].part == part && w->state->fault[k].way == JV_WAY_SHORT)
            return true;
    return false;
}

/* Does the fault add branches to the net? */
static bool adds_branch(const jv_whole *w) {
    for (size_t k = 0; k < w->state->n_faults; k++) {
        jv_way way = (jv_way)w->state->fault[k].way;
        if (way == JV_WAY_SHORT || way == JV_WAY_LEAK || way == JV_WAY_INSIDE)
            return true;
    }
    return false;
}

/* Numbers of nodes and currents follow from the elements that both nets have. */
static void make_map(jv_whole *w) {
    const jv_net *old = w->s->net;
    for (int i = 0; i < w->s->n; i++)
        w->map[i] = i < (int)w->f->c->n_terminals ? i : -1;
    for (size_t p = 0; p < w->f->c->n_parts; p++) {
        for (size_t k = 0; k < old->own[p]; k++) {
            size_t a = old->first[p] + k, b = w->net->first[p] + k;
            const jv_element *x = &old->elements[a], *y = &w->net->elements[b];
            bool split = k == 0 && is_short(w, p);
            w->element[a] = (int32_t)b;
            w->map[x->a] = y->a;
            if (!split)
                w->map[x->b] = y->b;
            if (x->c >= 0)
                w->map[x->c] = y->c;
            if (w->s->system->current[a] >= 0)
                w->map[w->s->system->current[a]] = w->system->current[b];
        }
    }
}

/* Share of the warmth of a part's first element that its near part keeps: a short splits it. */
static double near_share(const jv_whole *w, size_t part) {
    for (size_t k = 0; k < w->state->n_faults; k++)
        if (w->state->fault[k].part == part && w->state->fault[k].way == JV_WAY_SHORT)
            return w->state->fault[k].position;
    return 1.0;
}

/* Numbers and states of the sound net, with its warmth; then the faulted parts. */
static void take_numbers(jv_whole *w) {
    const jv_find_setup *s = w->s;
    for (size_t k = 0; k < w->net->n_elements; k++)
        w->net->elements[k].heat = NULL;
    w->net->scene.x = w->f->mean_x;
    for (size_t p = 0; p < w->f->c->n_parts; p++)
        for (size_t k = 0; k < s->net->own[p]; k++) {
            jv_element *e = &w->net->elements[w->net->first[p] + k];
            int32_t a = e->a, b = e->b, c = e->c;
            *e = s->sound[s->net->first[p] + k];
            e->a = a;
            e->b = b;
            e->c = c;
        }
    w->net->scene.faults = w->state->fault;
    w->net->scene.n_faults = w->state->n_faults;
    for (size_t i = 0; i < w->state->n_faults; i++) {
        size_t p = w->state->fault[i].part, first = w->net->first[p], own = s->net->own[p];
        const double *warm = s->frozen + s->net->first[p];
        jv_net_load_part(w->net, p);
        for (size_t k = 0; k < own; k++)
            w->net->elements[first + k].r += warm[k] * (k ? 1.0 : near_share(w, p));
        if (is_short(w, p))
            w->net->elements[first + own].r += warm[0] * (1.0 - near_share(w, p));
    }
}

static jv_status solve_dead(jv_whole *w, bool *found) {
    jv_system *y = w->system;
    memset(y->x, 0, (size_t)y->n * sizeof *y->x);
    memset(y->mode, 0, w->net->n_elements);
    jv_status status = jv_system_anchor(y);
    if (status != JV_OK)
        return status;
    jv_system_evaluate(y);
    status = jv_lu_factor(y->lu, y->ax, true, NULL);
    if (status != JV_OK)
        return status == JV_ERR_MEMORY ? status : JV_OK;
    memset(y->x, 0, (size_t)y->n * sizeof *y->x);
    *found = true;
    if (w->island[w->s->inject_p] != w->island[w->s->inject_q])
        return JV_OK;
    y->x[w->s->inject_p] = w->f->meter.test_a;
    y->x[w->s->inject_q] = -w->f->meter.test_a;
    return jv_lu_solve(y->lu, y->x);
}

static jv_status factor(jv_whole *w, bool *found) {
    jv_system_evaluate(w->system);
    jv_status status = jv_lu_factor(w->system->lu, w->system->ax, true, NULL);
    *found = status == JV_OK;
    return status == JV_ERR_MEMORY ? status : JV_OK;
}

static bool settle(jv_whole *w) {
    bool moved = false;
    for (size_t p = 0; p < w->f->c->n_parts; p++) {
        const jv_part_kind *kind = w->f->c->parts[p].kind;
        uint32_t first = w->net->first[p];
        if (kind->settle &&
            kind->settle(&w->net->scene, &w->f->c->parts[p], w->net->elements + first,
                         w->net->own[p], w->system->x, w->system->i_now + first))
            moved = true;
    }
    return moved;
}

/* From the state in which the sound circuit is: relays held. */
static jv_status solve_live(jv_whole *w, bool *found) {
    enum { ROUNDS = 6 };
    jv_point point;
    size_t n = (size_t)w->system->n;
    memset(w->system->x, 0, (size_t)w->system->n * sizeof *w->system->x);
    memset(w->system->mode, 0, w->net->n_elements);
    for (int i = 0; i < w->s->n; i++)
        if (w->map[i] >= 0)
            w->system->x[w->map[i]] = w->s->x[i];
    for (size_t k = 0; k < w->s->net->n_elements; k++)
        w->system->mode[w->element[k]] = w->s->mode[k];
    for (int round = 0; round < ROUNDS; round++) {
        jv_status status = jv_system_anchor(w->system);
        if (status == JV_OK)
            status = jv_point_refine(w->system, &point);
        if (status == JV_ERR_MEMORY)
            return status;
        if (status != JV_OK || point.outcome != JV_POINT_FOUND)
            return JV_OK;
        if (round + 1 == ROUNDS)
            break;
        if (!settle(w))
            return factor(w, found);
        memcpy(w->y, w->system->x, n * sizeof *w->y);
    }
    jv_status status = factor(w, found);
    if (status != JV_OK || !settle(w))
        return status;
    /* It starves and recovers in turn: a meter shows the middle. */
    w->r->swing = jv_zalloc((size_t)w->s->n + 1, sizeof *w->r->swing);
    if (!w->r->swing)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < n; k++) {
        w->y[k] = 0.5 * (w->system->x[k] - w->y[k]);
        w->system->x[k] -= w->y[k];
    }
    for (int i = 0; i < w->s->n; i++)
        w->r->swing[i] = w->map[i] >= 0 ? w->y[w->map[i]] : 0.0;
    return JV_OK;
}

static jv_status make_spare(jv_whole *w) {
    jv_find_setup *s = w->s;
    if (s->spare_system)
        return JV_OK;
    jv_status status = jv_net_build(w->f->c, &s->made, NULL, 0, &s->spare);
    if (status != JV_OK)
        return status;
    s->spare->scene.first_fault = NULL; /* faults come and go: they are searched */
    jv_net_load(s->spare, w->f->mean_x);
    return jv_system_new(s->spare, &s->spare_system);
}

static void join_islands(const jv_whole *w) {
    size_t n = w->net->n_nodes;
    for (size_t i = 0; i < n; i++)
        w->island[i] = (int32_t)i;
    for (bool moved = true; moved;) {
        moved = false;
        for (size_t k = 0; k < w->net->n_elements; k++) {
            const jv_element *e = &w->net->elements[k];
            int32_t nodes[3] = {e->a, e->b, e->c >= 0 ? e->c : e->a};
            int32_t least = w->island[nodes[0]];
            if (e->open)
                continue;
            for (size_t t = 1; t < 3; t++)
                least = w->island[nodes[t]] < least ? w->island[nodes[t]] : least;
            for (size_t t = 0; t < 3; t++) {
                moved = moved || w->island[nodes[t]] != least;
                w->island[nodes[t]] = least;
            }
        }
    }
}

static jv_status slopes(jv_whole *w, size_t number) {
    const jv_look *look = &w->s->looks[number];
    size_t n_u = w->f->n_unknowns;
    float *out = w->r->slope + number * n_u;
    memset(w->y, 0, (size_t)w->system->n * sizeof *w->y);
    for (size_t k = 0; k < look->n; k++)
        if (w->map[look->index[k]] >= 0)
            w->y[w->map[look->index[k]]] += look->weight[k];
    jv_status status = jv_lu_solve_transposed(w->system->lu, w->y);
    for (size_t k = 0; status == JV_OK && k < w->s->n_terms; k++) {
        const jv_term *t = &w->s->terms[k];
        int32_t e = w->element[t->element], row = w->map[t->row];
        bool other = w->system->mode[e] != w->s->mode[t->element] || w->net->elements[e].open;
        if (!other && row >= 0)
            out[t->unknown] -= (float)(w->y[row] * jv_term_at(t, w->r->x));
    }
    return status;
}

/* Means and slopes of each look; between two islands a meter shows nothing. */
static jv_status fill(jv_whole *w) {
    jv_record *r = w->r;
    const jv_find_setup *s = w->s;
    for (int i = 0; i < s->n; i++)
        r->x[i] = w->map[i] >= 0 ? w->system->x[w->map[i]] : 0.0;
    for (size_t k = 0; k < s->n_motors; k++) {
        const jv_element *e = &w->net->elements[w->element[s->motor[k]]];
        double v = fabs(w->system->x[e->a] - w->system->x[e->b]);
        r->emf[k] = e->open ? 0.0 : fmax(v - fmin(v / e->r, e->limit) * e->r, 0.0);
    }
    r->n_looks = s->n_looks;
    r->mean = jv_zalloc(s->n_looks + 1, sizeof *r->mean);
    r->slope = jv_zalloc(s->n_looks * w->f->n_unknowns + 1, sizeof *r->slope);
    if (!r->mean || !r->slope)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < s->n_looks; k++) {
        const jv_look *look = &s->looks[k];
        bool apart = look->n == 2 && look->index[0] < (int32_t)s->net->n_nodes &&
                     look->index[1] < (int32_t)s->net->n_nodes && w->map[look->index[0]] >= 0 &&
                     w->map[look->index[1]] >= 0 &&
                     w->island[w->map[look->index[0]]] != w->island[w->map[look->index[1]]];
        r->mean[k] = NAN;
        if (apart && (look->kind == JV_LOOK_VOLTS || look->kind == JV_LOOK_OHMS)) {
            r->mean[k] = look->kind == JV_LOOK_OHMS ? INFINITY : 0.0;
            continue;
        }
        jv_status status = slopes(w, k);
        if (status != JV_OK)
            return status;
    }
    return JV_OK;
}

static jv_status make_net(jv_whole *w) {
    jv_status status;
    if (adds_branch(w)) {
        status = jv_net_build(w->f->c, &w->s->made, w->state->fault, w->state->n_faults, &w->net);
        return status == JV_OK ? jv_system_new(w->net, &w->system) : status;
    }
    status = make_spare(w);
    w->net = w->s->spare;
    w->system = w->s->spare_system;
    w->borrowed = true;
    return status;
}

static jv_status solve(jv_whole *w) {
    jv_status status = make_net(w);
    if (status != JV_OK)
        return status;
    size_t n = (size_t)w->s->n + (size_t)w->system->n + 1;
    w->map = jv_alloc(n, sizeof *w->map);
    w->y = jv_alloc(n, sizeof *w->y);
    w->element = jv_alloc(w->s->net->n_elements + 1, sizeof *w->element);
    w->island = jv_alloc(w->net->n_nodes + 1, sizeof *w->island);
    if (!w->map || !w->y || !w->element || !w->island)
        return JV_ERR_MEMORY;
    bool found = false;
    take_numbers(w);
    make_map(w);
    join_islands(w);
    status = w->s->kind == JV_SETUP_ISOLATED ? solve_dead(w, &found) : solve_live(w, &found);
    if (status != JV_OK || !found)
        return status;
    join_islands(w);
    w->r->how = JV_RECORD_WHOLE;
    return fill(w);
}

jv_status jv_record_whole(jv_finder *f, const jv_find_state *state, jv_find_setup *s,
                          jv_record *r) {
    jv_whole w;
    memset(&w, 0, sizeof w);
    w.f = f;
    w.state = state;
    w.s = s;
    w.r = r;
    r->how = JV_RECORD_NOTHING;
    f->n_full++;
    jv_status status = solve(&w);
    if (status == JV_ERR_UNSOLVED) {
        r->how = JV_RECORD_NOTHING;
        status = JV_OK;
    }
    if (w.borrowed && w.net) {
        w.net->scene.faults = NULL;
        w.net->scene.n_faults = 0;
    } else {
        jv_system_free(&w.system);
        jv_net_free(&w.net);
    }
    jv_free(w.map);
    jv_free(w.y);
    jv_free(w.element);
    jv_free(w.island);
    return status;
}
