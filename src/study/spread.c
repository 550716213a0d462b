/* spread.c - the quantities that vary, and a net to try them in. SPDX-License-Identifier: MIT */
#include "study/spread.h"

#include "circuit/part_kind.h"
#include "jackvolt/heat.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

/* FNV-1a, 64 bits (Fowler, Noll, Vo; public domain constants). */
static uint64_t address_of(const char *name) {
    uint64_t h = UINT64_C(14695981039346656037);
    for (; *name; name++) {
        h ^= (unsigned char)*name;
        h *= UINT64_C(1099511628211);
    }
    return h;
}

/* --- gathering --- */

typedef struct jv_gather {
    jv_spreads *out;
    size_t capacity; /* of the list */
    bool failed;
} jv_gather;

static jv_vary *find_name(const jv_spreads *s, const char *name) {
    for (size_t k = 0; k < s->n; k++)
        if (strcmp(s->list[k].shown.name, name) == 0)
            return &s->list[k];
    return NULL;
}

static void add_target(jv_gather *g, jv_vary *v, jv_target target) {
    jv_target *more = jv_arena_alloc(&g->out->arena, v->n_targets + 1, sizeof *more);
    if (!more) {
        g->failed = true;
        return;
    }
    if (v->n_targets)
        memcpy(more, v->targets, v->n_targets * sizeof *more);
    more[v->n_targets++] = target;
    v->targets = more;
}

/* shared: a quantity of the same name takes the target too. Otherwise names are unique. */
static void add(jv_gather *g, const char *name, bool shared, const jv_value *value, jv_dim dim,
                jv_target target) {
    jv_spreads *s = g->out;
    if (value->spread == JV_EXACT || g->failed)
        return;
    jv_vary *v = shared ? find_name(s, name) : NULL;
    if (v) {
        v->shown.parts++;
        add_target(g, v, target);
        return;
    }
    if (s->n == g->capacity) {
        size_t wanted = 2 * g->capacity + 16;
        jv_vary *moved = jv_resize(s->list, wanted, sizeof *moved);
        if (!moved) {
            g->failed = true;
            return;
        }
        s->list = moved;
        g->capacity = wanted;
    }
    v = &s->list[s->n];
    memset(v, 0, sizeof *v);
    v->shown.name = jv_arena_copy(&s->arena, name, strlen(name));
    if (!v->shown.name) {
        g->failed = true;
        return;
    }
    v->shown.dim = dim;
    v->shown.value = *value;
    v->shown.parts = 1;
    v->address = address_of(name);
    s->n++;
    add_target(g, v, target);
}

static void add_slot(jv_gather *g, const jv_part *p, const jv_slot *slot) {
    const jv_circuit *c = g->out->circuit;
    const jv_key *key = &p->kind->keys[slot->key];
    if (key->type != JV_KEY_QUANTITY && key->type != JV_KEY_POINTS)
        return;
    jv_text name = {0};
    jv_text_addf(&name, "%s.%s", p->with ? p->with : p->name, key->name);
    if (key->type == JV_KEY_POINTS)
        jv_text_addf(&name, ".%s", slot->index >= 0 ? c->terminals[slot->index] : slot->text);
    g->failed |= name.failed;
    jv_target target = {JV_TARGET_SLOT, (uint32_t)(slot - c->slots)};
    add(g, jv_text_str(&name), p->with != NULL, &slot->value, key->dim, target);
    jv_text_clear(&name);
}

static void add_named(jv_gather *g, const char *owner, const char *what, const jv_value *value,
                      jv_dim dim, jv_target_kind kind, size_t index) {
    jv_text name = {0};
    jv_text_addf(&name, "%s.%s", owner, what);
    g->failed |= name.failed;
    jv_target target = {kind, (uint32_t)index};
    add(g, jv_text_str(&name), false, value, dim, target);
    jv_text_clear(&name);
}

static jv_dim load_dim(uint8_t kind) {
    switch ((jv_load_kind)kind) {
    case JV_LOAD_AMPS:
        return JV_DIM_CURRENT;
    case JV_LOAD_FORCE:
        return JV_DIM_FORCE;
    case JV_LOAD_PRESSURE:
        return JV_DIM_PRESSURE;
    case JV_LOAD_SHARE:
    case JV_LOAD_FREE:
    case JV_LOAD_RATED:
    case JV_LOAD_STALLED:
    case JV_LOAD_TRAVEL:
        break;
    }
    return JV_DIM_RATIO;
}

static void add_case(jv_gather *g) {
    const jv_circuit *c = g->out->circuit;
    const jv_case *k = g->out->loading;
    const jv_target ambient = {JV_TARGET_AMBIENT, 0}, charge = {JV_TARGET_CHARGE, 0},
                    time = {JV_TARGET_TIME, 0};
    for (size_t i = 0; i < k->n_runs; i++)
        if (k->runs[i].kind <= JV_LOAD_SHARE)
            add_named(g, c->parts[k->runs[i].part].name, "load", &k->runs[i].value,
                      load_dim(k->runs[i].kind), JV_TARGET_RUN, i);
    add(g, "ambient", false, k->has_ambient ? &k->ambient : &c->ambient, JV_DIM_TEMPERATURE,
        ambient);
    if (k->has_charge)
        add(g, "charge of the case", false, &k->charge, JV_DIM_RATIO, charge);
    if (k->has_time)
        add(g, "time of the case", false, &k->run_for, JV_DIM_TIME, time);
    for (size_t i = 0; i < c->n_watches; i++)
        add_named(g, c->watches[i].name, "below", &c->watches[i].below, JV_DIM_VOLTAGE,
                  JV_TARGET_LIMIT, i);
}

/* --- which parts a quantity reaches --- */

typedef struct jv_reach {
    uint32_t *list;
    size_t n;
    uint32_t *seen; /* of each part: number of the last quantity that reached it, from 1 */
    uint32_t number;
} jv_reach;

static void reach(jv_reach *r, size_t part) {
    if (r->seen[part] == r->number)
        return;
    r->seen[part] = r->number;
    r->list[r->n++] = (uint32_t)part;
}

/* A part, those that name it (a relay its commander), and the other end of a driven motor. */
static void reach_part(const jv_circuit *c, jv_reach *r, uint32_t part) {
    reach(r, part);
    if (c->parts[part].driver >= 0)
        reach(r, (size_t)c->parts[part].driver);
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        if (p->driver == (int32_t)part)
            reach(r, i);
        for (uint32_t k = 0; k < p->n_slots; k++) {
            const jv_slot *slot = &c->slots[p->first_slot + k];
            if (p->kind->keys[slot->key].type == JV_KEY_PART && slot->index == (int32_t)part)
                reach(r, i);
        }
    }
}

static uint32_t owner_of(const jv_circuit *c, uint32_t slot) {
    size_t low = 0, high = c->n_parts;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (c->parts[middle].first_slot <= slot)
            low = middle;
        else
            high = middle;
    }
    return (uint32_t)low;
}

static void reach_targets(const jv_spreads *s, const jv_vary *v, jv_reach *r) {
    r->n = 0;
    r->number++;
    for (size_t k = 0; k < v->n_targets; k++) {
        uint32_t index = v->targets[k].index;
        switch (v->targets[k].kind) {
        case JV_TARGET_SLOT:
            reach_part(s->circuit, r, owner_of(s->circuit, index));
            break;
        case JV_TARGET_RUN:
            reach_part(s->circuit, r, s->loading->runs[index].part);
            break;
        case JV_TARGET_CHARGE:
        case JV_TARGET_AMBIENT:
        case JV_TARGET_TIME:
            for (size_t i = 0; i < s->circuit->n_parts; i++)
                reach(r, i);
            break;
        case JV_TARGET_LIMIT:
            break;
        }
    }
}

static jv_status find_parts(jv_spreads *s) {
    size_t n = s->circuit->n_parts + 1;
    jv_reach r = {jv_alloc(n, sizeof *r.list), 0, jv_zalloc(n, sizeof *r.seen), 0};
    jv_status status = r.list && r.seen ? JV_OK : JV_ERR_MEMORY;
    for (size_t q = 0; q < s->n && status == JV_OK; q++) {
        reach_targets(s, &s->list[q], &r);
        uint32_t *parts = jv_arena_alloc(&s->arena, r.n + 1, sizeof *parts);
        if (!parts) {
            status = JV_ERR_MEMORY;
            break;
        }
        memcpy(parts, r.list, r.n * sizeof *parts);
        s->list[q].parts = parts;
        s->list[q].n_parts = r.n;
    }
    jv_free(r.list);
    jv_free(r.seen);
    return status;
}

jv_status jv_spreads_find(const jv_circuit *c, const jv_case *loading, jv_spreads *out) {
    memset(out, 0, sizeof *out);
    out->circuit = c;
    out->loading = loading;
    jv_gather g = {out, 0, false};
    for (size_t i = 0; i < c->n_parts && !g.failed; i++)
        for (uint32_t k = 0; k < c->parts[i].n_slots; k++)
            add_slot(&g, &c->parts[i], &c->slots[c->parts[i].first_slot + k]);
    add_case(&g);
    if (g.failed || find_parts(out) != JV_OK) {
        jv_spreads_clear(out);
        return JV_ERR_MEMORY;
    }
    return JV_OK;
}

void jv_spreads_clear(jv_spreads *s) {
    jv_free(s->list);
    jv_arena_clear(&s->arena);
    memset(s, 0, sizeof *s);
}

/* --- trying --- */

static jv_status allocate(jv_trial *t) {
    const jv_circuit *c = t->spreads->circuit;
    size_t n = (size_t)t->system->n, elements = t->net->n_elements;
    t->x = jv_alloc(c->n_slots + 1, sizeof *t->x);
    t->limit = jv_alloc(c->n_watches + 1, sizeof *t->limit);
    t->nominal_seen = jv_alloc(c->n_watches + 1, sizeof *t->nominal_seen);
    t->fresh = jv_alloc(elements + 1, sizeof *t->fresh);
    t->start_x = jv_zalloc(n + 1, sizeof *t->start_x);
    t->start_mode = jv_zalloc(elements + 1, sizeof *t->start_mode);
    if (!t->x || !t->limit || !t->nominal_seen || !t->fresh || !t->start_x || !t->start_mode)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < c->n_slots; k++)
        t->x[k] = c->slots[k].value.nominal;
    for (size_t k = 0; k < c->n_watches; k++)
        t->limit[k] = c->watches[k].below.nominal;
    memcpy(t->fresh, t->net->elements, elements * sizeof *t->fresh);
    return JV_OK;
}

static jv_status copy_case(const jv_spreads *s, jv_case *out) {
    *out = *s->loading;
    out->runs = jv_alloc(out->n_runs + 1, sizeof *out->runs);
    if (!out->runs)
        return JV_ERR_MEMORY;
    if (out->n_runs)
        memcpy(out->runs, s->loading->runs, out->n_runs * sizeof *out->runs);
    return JV_OK;
}

static jv_status solve_nominal(jv_trial *t) {
    const jv_circuit *c = t->spreads->circuit;
    jv_status status;
    bool found = jv_trial_solve(t, &t->nominal, &status);
    for (size_t k = 0; k < c->n_watches; k++)
        t->nominal_seen[k] = found ? jv_trial_seen(t, k, t->nominal.v) : NAN;
    if (!found)
        return status;
    memcpy(t->start_x, t->system->x, (size_t)t->system->n * sizeof *t->start_x);
    memcpy(t->start_mode, t->system->mode, t->net->n_elements * sizeof *t->start_mode);
    return JV_OK;
}

/* True for each element (marks[n_elements]) that warms and whose warming no quantity moves. */
static void mark_still(jv_trial *t, const jv_heat_body *bodies, uint8_t *marks) {
    const jv_net *net = t->net;
    for (size_t k = 0; k < net->n_elements; k++)
        marks[k] = net->elements[k].heat != NULL;
    for (size_t q = 0; q < t->spreads->n; q++) {
        const jv_vary *v = &t->spreads->list[q];
        const double ends[] = {v->shown.value.low, v->shown.value.high, v->shown.value.nominal};
        for (size_t end = 0; end < sizeof ends / sizeof ends[0]; end++) {
            jv_trial_put(t, q, ends[end]);
            jv_trial_load(t, q);
            for (size_t p = 0; p < v->n_parts; p++)
                for (size_t k = net->first[v->parts[p]]; k < net->first[v->parts[p] + 1]; k++) {
                    const jv_element *e = &net->elements[k];
                    if (marks[k] &&
                        (memcmp(e->heat, &bodies[e->heat - net->heats], sizeof *e->heat) != 0 ||
                         e->air_c != t->fresh[k].air_c || e->heat_s != t->fresh[k].heat_s))
                        marks[k] = 0;
                }
        }
    }
}

/* The curves reach this far beyond the nominal current, A and times it. */
static const double reach_a = 40.0, reach_times = 3.0;

static jv_status make_curves(jv_trial *t) {
    jv_net *net = t->net;
    size_t n = 0, next = 0;
    for (size_t k = 0; k < net->n_elements; k++)
        n += net->elements[k].heat != NULL;
    uint8_t *marks = jv_alloc(net->n_elements + 1, sizeof *marks);
    jv_heat_body *bodies = jv_alloc(n + 1, sizeof *bodies);
    t->curves = jv_alloc(n + 1, sizeof *t->curves);
    jv_status status = marks && bodies && t->curves ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK) {
        memcpy(bodies, net->heats, n * sizeof *bodies);
        mark_still(t, bodies, marks);
    }
    for (size_t k = 0; k < net->n_elements && status == JV_OK; k++) {
        if (!marks[k])
            continue;
        double amps = fabs(t->system->i_now[k]);
        jv_heat_curve *curve = &t->curves[next++];
        jv_heat_curve_make(&t->fresh[k], reach_a + reach_times * amps, curve);
        t->fresh[k].curve = curve;
    }
    jv_free(marks);
    jv_free(bodies);
    return status;
}

jv_status jv_trial_make(const jv_spreads *spreads, const jv_fault *faults, size_t n_faults,
                        const jv_trial *like, jv_trial *out) {
    memset(out, 0, sizeof *out);
    out->spreads = spreads;
    jv_status status = copy_case(spreads, &out->loading);
    if (status == JV_OK)
        status = jv_net_build(spreads->circuit, &out->loading, faults, n_faults, &out->net);
    if (status == JV_OK)
        status = jv_system_new(out->net, &out->system);
    if (status == JV_OK)
        status = allocate(out);
    if (like)
        for (size_t k = 0; status == JV_OK && k < out->net->n_elements; k++)
            out->fresh[k].curve = like->fresh[k].curve;
    if (status == JV_OK)
        status = solve_nominal(out);
    if (status == JV_OK && !like)
        status = make_curves(out);
    if (status == JV_OK && !like)
        status = solve_nominal(out);
    if (status != JV_OK)
        jv_trial_clear(out);
    return status;
}

void jv_trial_clear(jv_trial *t) {
    jv_system_free(&t->system);
    jv_net_free(&t->net);
    void *const blocks[] = {t->loading.runs, t->x,       t->limit,      t->nominal_seen,
                            t->fresh,        t->start_x, t->start_mode, t->curves};
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
    memset(t, 0, sizeof *t);
}

void jv_trial_put(jv_trial *t, size_t q, double value) {
    const jv_vary *v = &t->spreads->list[q];
    for (size_t k = 0; k < v->n_targets; k++) {
        uint32_t index = v->targets[k].index;
        switch (v->targets[k].kind) {
        case JV_TARGET_SLOT:
            t->x[index] = value;
            break;
        case JV_TARGET_RUN:
            t->loading.runs[index].value.nominal = value;
            break;
        case JV_TARGET_CHARGE:
            t->loading.charge.nominal = fmin(fmax(value, 0.0), 1.0);
            break;
        case JV_TARGET_AMBIENT:
            t->loading.ambient.nominal = t->net->scene.ambient_c = value;
            break;
        case JV_TARGET_TIME:
            t->loading.run_for.nominal = fmax(value, 0.0);
            break;
        case JV_TARGET_LIMIT:
            t->limit[index] = value;
            break;
        }
    }
}

void jv_trial_load(jv_trial *t, size_t q) {
    const jv_vary *v = &t->spreads->list[q];
    t->net->scene.x = t->x;
    for (size_t k = 0; k < v->n_parts; k++)
        jv_net_load_part(t->net, v->parts[k]);
}

void jv_trial_rewind(jv_trial *t) {
    memcpy(t->net->elements, t->fresh, t->net->n_elements * sizeof *t->fresh);
    memcpy(t->system->x, t->start_x, (size_t)t->system->n * sizeof *t->start_x);
    memcpy(t->system->mode, t->start_mode, t->net->n_elements * sizeof *t->start_mode);
}

void jv_trial_anew(jv_trial *t) {
    jv_trial_rewind(t);
    for (size_t q = 0; q < t->spreads->n; q++)
        jv_trial_put(t, q, t->spreads->list[q].shown.value.nominal);
    jv_net_load(t->net, t->x);
    jv_system_evaluate(t->system);
    jv_lu_factor(t->system->lu, t->system->ax, true, NULL); /* if not, the next will tell */
}

bool jv_trial_solve(jv_trial *t, jv_point *point, jv_status *status) {
    jv_trial_rewind(t);
    jv_net_load(t->net, t->x);
    *status = jv_point_find(t->system, true, point);
    if (*status == JV_ERR_UNSOLVED)
        *status = JV_OK;
    return *status == JV_OK &&
           (point->outcome == JV_POINT_FOUND || point->outcome == JV_POINT_CANNOT_DELIVER);
}

double jv_trial_seen(const jv_trial *t, size_t watch, const double *v) {
    return jv_watch_seen(&t->net->scene, &t->spreads->circuit->watches[watch], v);
}
