/* setup.c - one way in which the circuit is powered and plugged. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include "circuit/kinds.h"

#include <math.h>
#include <string.h>

/* Ohms: a meter's test current, A, when it states none (from memory). */
static const double usual_test_a = 0.5e-3;

static void free_all(void *const *blocks, size_t n) {
    for (size_t k = 0; k < n; k++)
        jv_free(blocks[k]);
}

void jv_setup_free(jv_find_setup *s) {
    for (int k = 0; k < s->n; k++) {
        if (s->col)
            jv_free(s->col[k]);
        if (s->row)
            jv_free(s->row[k]);
    }
    jv_system_free(&s->system);
    jv_net_free(&s->net);
    jv_system_free(&s->spare_system);
    jv_net_free(&s->spare);
    void *const blocks[] = {s->off,    s->off_public, s->x,         s->col,    s->row,
                            s->frozen, s->sound,      s->mode,      s->island, s->motor,
                            s->terms,  s->looks,      s->sound_emf, s->ax};
    free_all(blocks, sizeof blocks / sizeof blocks[0]);
    memset(s, 0, sizeof *s);
}

static const double *inverse(jv_find_setup *s, double **of, int32_t i, bool transposed) {
    if (of[i])
        return of[i];
    double *x = jv_zalloc((size_t)s->n, sizeof *x);
    if (!x)
        return NULL;
    x[i] = 1.0;
    jv_status status =
        transposed ? jv_lu_solve_transposed(s->system->lu, x) : jv_lu_solve(s->system->lu, x);
    if (status != JV_OK) {
        jv_free(x);
        return NULL;
    }
    return of[i] = x;
}

const double *jv_setup_col(jv_find_setup *s, int32_t i) {
    return inverse(s, s->col, i, false);
}
const double *jv_setup_row(jv_find_setup *s, int32_t i) {
    return inverse(s, s->row, i, true);
}

/* Plain conductors differ from the sound ones by what faults add alone: no tables are read. */
static bool load_conductor(jv_find_setup *s, size_t part) {
    const jv_part *p = &s->net->circuit->parts[part];
    if (!s->usable || !p->kind->is_series || p->kind->own_faults || p->kind->settle)
        return false;
    for (size_t k = 0; k < s->net->scene.n_faults; k++) {
        jv_way way = (jv_way)s->net->scene.faults[k].way;
        if (way == JV_WAY_HOT || way == JV_WAY_THIN || way == JV_WAY_METAL)
            return false; /* the kind's own work */
    }
    size_t first = s->net->first[part];
    memcpy(s->net->elements + first, s->sound + first,
           (s->net->first[part + 1] - first) * sizeof *s->sound);
    for (size_t k = 0; k < s->net->own[part]; k++)
        jv_series_faults(&s->net->scene, p, &s->net->elements[first + k], NULL);
    return true;
}

void jv_setup_load_part(jv_find_setup *s, const jv_fault *faults, size_t n, size_t part) {
    s->net->scene.faults = faults;
    s->net->scene.n_faults = n;
    if (n && load_conductor(s, part)) {
        s->net->scene.faults = NULL;
        s->net->scene.n_faults = 0;
        return;
    }
    jv_net_load_part(s->net, part);
    for (size_t k = s->net->first[part]; k < s->net->first[part + 1]; k++)
        s->net->elements[k].r += s->frozen[k];
    s->net->scene.faults = NULL;
    s->net->scene.n_faults = 0;
}

size_t jv_setup_look(jv_find_setup *s, const jv_look *look) {
    if (s->n_looks == s->cap_looks) {
        size_t wanted = s->cap_looks ? 2 * s->cap_looks : 32;
        jv_look *moved = jv_resize(s->looks, wanted, sizeof *moved);
        if (!moved)
            return JV_FIND_NONE;
        s->looks = moved;
        s->cap_looks = wanted;
    }
    s->looks[s->n_looks] = *look;
    return s->n_looks++;
}

/* The case with everything that is off. */
static jv_status make_case(jv_finder *f, jv_find_setup *s, const size_t *off, size_t n_off) {
    const jv_circuit *c = f->c;
    const jv_case *base = s->loading != JV_FIND_NONE ? &c->cases[s->loading] : NULL;
    size_t n = 0;
    if (base)
        s->made = *base;
    s->off = jv_alloc(c->n_parts + n_off + 1 + (base ? base->n_off : 0), sizeof *s->off);
    s->off_public = jv_alloc(n_off + 1, sizeof *s->off_public);
    if (!s->off || !s->off_public)
        return JV_ERR_MEMORY;
    for (size_t k = 0; base && k < base->n_off; k++)
        s->off[n++] = base->off[k];
    for (size_t k = 0; k < n_off; k++) {
        s->off_public[s->n_off_public++] = off[k];
        s->off[n++] = (uint32_t)off[k];
    }
    for (size_t i = 0; s->kind == JV_SETUP_ISOLATED && i < c->n_parts; i++) {
        const jv_part_kind *kind = c->parts[i].kind;
        if (kind->is_source || kind == &jv_kind_sensor_supply || kind == &jv_kind_controller)
            s->off[n++] = (uint32_t)i;
    }
    s->made.off = s->off;
    s->made.n_off = n;
    return JV_OK;
}

/* Conductors keep the temperature that the sound run gives them: a fault changes currents by
 * too little to matter, and the equations stay linear. */
static void freeze(jv_find_setup *s) {
    jv_net *net = s->net;
    for (size_t k = 0; k < net->n_elements; k++) {
        jv_element *e = &net->elements[k];
        if (!e->heat)
            continue;
        double warm = e->open ? e->r : s->system->r_now[k];
        e->heat = NULL;
        jv_net_load_part(net, e->part);
        s->frozen[k] = warm - e->r;
    }
    for (size_t k = 0; k < net->n_elements; k++)
        net->elements[k].r += s->frozen[k];
}

static jv_status find_islands(jv_find_setup *s) {
    size_t n = s->net->n_nodes;
    for (size_t i = 0; i < n; i++)
        s->island[i] = (int32_t)i;
    bool moved = true;
    while (moved) {
        moved = false;
        for (size_t k = 0; k < s->net->n_elements; k++) {
            const jv_element *e = &s->net->elements[k];
            if (e->open)
                continue;
            int32_t nodes[3] = {e->a, e->b, e->c >= 0 ? e->c : e->a};
            int32_t least = s->island[nodes[0]];
            for (size_t t = 1; t < 3; t++)
                least = s->island[nodes[t]] < least ? s->island[nodes[t]] : least;
            for (size_t t = 0; t < 3; t++)
                if (s->island[nodes[t]] != least) {
                    s->island[nodes[t]] = least;
                    moved = true;
                }
        }
    }
    return JV_OK;
}

static jv_status allocate(jv_find_setup *s) {
    size_t n = (size_t)s->n + 1, e = s->net->n_elements + 1;
    s->x = jv_zalloc(n, sizeof *s->x);
    s->ax = jv_zalloc((size_t)s->system->ap[s->n] + 1, sizeof *s->ax);
    s->col = jv_zalloc(n, sizeof *s->col);
    s->row = jv_zalloc(n, sizeof *s->row);
    s->frozen = jv_zalloc(e, sizeof *s->frozen);
    s->sound = jv_alloc(e, sizeof *s->sound);
    s->mode = jv_zalloc(e, sizeof *s->mode);
    s->motor = jv_zalloc(e, sizeof *s->motor);
    s->sound_emf = jv_zalloc(e, sizeof *s->sound_emf);
    s->island = jv_alloc(s->net->n_nodes + 1, sizeof *s->island);
    bool ok = s->x && s->ax && s->col && s->row && s->frozen && s->sound && s->mode && s->motor &&
              s->sound_emf && s->island;
    return ok ? JV_OK : JV_ERR_MEMORY;
}

/* Ohms: nothing is powered, so every law is on the piece through zero, and the probes put their
 * test current in. */
static jv_status solve_dead(jv_finder *f, jv_find_setup *s) {
    jv_system *y = s->system;
    memset(y->x, 0, (size_t)s->n * sizeof *y->x);
    memset(y->mode, 0, s->net->n_elements);
    jv_status status = jv_system_anchor(y);
    if (status != JV_OK)
        return status;
    for (size_t k = 0; k < s->net->n_elements; k++)
        s->net->elements[k].heat = NULL;
    jv_net_load(s->net, f->mean_x);
    jv_system_evaluate(y);
    status = jv_lu_factor(y->lu, y->ax, true, NULL);
    if (status != JV_OK)
        return status == JV_ERR_UNSOLVED ? JV_OK : status;
    double amps = f->meter.test_a > 0.0 ? f->meter.test_a : usual_test_a;
    s->x[s->inject_p] += amps;
    s->x[s->inject_q] -= amps;
    find_islands(s);
    /* Between two islands nothing flows: the looks show overload. */
    if (s->island[s->inject_p] != s->island[s->inject_q])
        memset(s->x, 0, (size_t)s->n * sizeof *s->x);
    s->usable = true;
    return jv_lu_solve(y->lu, s->x);
}

/* The solver keeps a thousand millionth of a sink's own conductance where its law is flat
 * (laws.c, slope_floor), which Newton's steps correct and one low-rank step would not: take it
 * out, unless the equations cannot do without. */
static void take_floor(jv_find_setup *s, double sign) {
    static const double slope_floor = 1e-9;
    jv_system *y = s->system;
    for (size_t k = 0; k < s->net->n_elements; k++) {
        const jv_element *e = &s->net->elements[k];
        const int32_t *at = y->slot + y->slot_at[k];
        if (e->law != JV_SINK || e->open || y->mode[k] == JV_MODE_LINEAR)
            continue;
        double g = sign * slope_floor / e->r;
        y->ax[at[0]] -= g;
        y->ax[at[1]] += g;
        y->ax[at[2]] += g;
        y->ax[at[3]] -= g;
    }
}

static jv_status factor(jv_find_setup *s) {
    jv_system *y = s->system;
    jv_system_evaluate(y);
    take_floor(s, 1.0);
    jv_status status = jv_lu_factor(y->lu, y->ax, true, NULL);
    if (status != JV_ERR_UNSOLVED)
        return status;
    take_floor(s, -1.0);
    return jv_lu_factor(y->lu, y->ax, true, NULL);
}

static jv_status solve_live(jv_find_setup *s) {
    jv_point point;
    jv_status status = jv_point_find(s->system, false, &point);
    if (status == JV_ERR_MEMORY)
        return status;
    if (status != JV_OK || point.outcome != JV_POINT_FOUND)
        return JV_OK;
    freeze(s);
    /* The currents of warm conductors are those found: only the equations are made linear. */
    status = jv_point_refine(s->system, &point);
    if (status == JV_ERR_MEMORY)
        return status;
    status = factor(s);
    if (status != JV_OK)
        return status == JV_ERR_UNSOLVED ? JV_OK : status;
    memcpy(s->x, s->system->x, (size_t)s->n * sizeof *s->x);
    s->usable = true;
    return find_islands(s);
}

static void find_motors(jv_find_setup *s) {
    for (size_t k = 0; k < s->net->n_elements; k++) {
        const jv_element *e = &s->net->elements[k];
        if (!s->net->circuit->parts[e->part].kind->is_motor || e->law != JV_SINK || e->open ||
            e->role != 0)
            continue;
        double v = fabs(s->x[e->a] - s->x[e->b]);
        double i = fmin(v / e->r, s->mode[k] == JV_MODE_BACK ? e->back : e->limit);
        s->sound_emf[s->n_motors] = fmax(v - i * e->r, 0.0);
        s->motor[s->n_motors++] = (uint32_t)k;
    }
}

static jv_status build(jv_finder *f, jv_find_setup *s) {
    jv_status status = jv_net_build(f->c, &s->made, NULL, 0, &s->net);
    if (status != JV_OK)
        return status;
    s->net->scene.first_fault = NULL; /* faults come and go: they are searched */
    jv_net_load(s->net, f->mean_x);
    status = jv_system_new(s->net, &s->system);
    if (status != JV_OK)
        return status;
    s->n = s->system->n;
    status = allocate(s);
    if (status != JV_OK)
        return status;
    status = s->kind == JV_SETUP_ISOLATED ? solve_dead(f, s) : solve_live(s);
    if (status != JV_OK || !s->usable)
        return status;
    memcpy(s->ax, s->system->ax, (size_t)s->system->ap[s->n] * sizeof *s->ax);
    memcpy(s->mode, s->system->mode, s->net->n_elements * sizeof *s->mode);
    memcpy(s->sound, s->net->elements, s->net->n_elements * sizeof *s->sound);
    find_motors(s);
    return jv_terms_make(f, s);
}

static bool same(const jv_find_setup *s, jv_setup kind, size_t loading, const size_t *off,
                 size_t n_off, int32_t p, int32_t q) {
    return s->kind == kind && s->loading == loading && s->n_off_public == n_off &&
           s->inject_p == p && s->inject_q == q &&
           (!n_off || memcmp(s->off_public, off, n_off * sizeof *off) == 0);
}

jv_status jv_setup_get(jv_finder *f, jv_setup kind, size_t loading, const size_t *off, size_t n_off,
                       int32_t p, int32_t q, size_t *setup) {
    for (size_t k = 0; k < f->n_setups; k++)
        if (same(&f->setups[k], kind, loading, off, n_off, p, q)) {
            *setup = k;
            return JV_OK;
        }
    if (f->n_setups == f->cap_setups)
        return JV_ERR_RANGE;
    jv_find_setup *s = &f->setups[f->n_setups];
    memset(s, 0, sizeof *s);
    s->kind = kind;
    s->loading = loading;
    s->inject_p = p;
    s->inject_q = q;
    jv_status status = make_case(f, s, off, n_off);
    if (status == JV_OK)
        status = build(f, s);
    if (status == JV_ERR_UNSOLVED)
        status = JV_OK; /* not usable */
    if (status != JV_OK) {
        jv_setup_free(s);
        return status;
    }
    *setup = f->n_setups++;
    return JV_OK;
}
