/* motion.c - a net in time: bodies, and volts that fit the states. SPDX-License-Identifier: MIT */
#include "solve/time/motion.h"

#include "circuit/remark.h"
#include "jackvolt/heat.h"

#include <math.h>
#include <string.h>

/* Sums of energy are held more closely than what they are made of, so that they balance. */
static const double sums_strict = 0.002;

static jv_status count_bodies(jv_motion *m) {
    const jv_circuit *c = m->net->circuit;
    m->bodies = jv_zalloc(c->n_parts + 1, sizeof *m->bodies);
    m->body_of = jv_alloc(c->n_parts + 1, sizeof *m->body_of);
    if (!m->bodies || !m->body_of)
        return JV_ERR_MEMORY;
    for (size_t p = 0; p < c->n_parts; p++)
        m->body_of[p] = -1;
    return JV_OK;
}

/* Bodies may change the law of their port: before the system is made. */
static jv_status start_bodies(jv_motion *m, jv_remarks *assumed, double *x) {
    const jv_circuit *c = m->net->circuit;
    for (size_t p = 0; p < c->n_parts; p++) {
        const jv_body_kind *kind = c->parts[p].kind->body;
        size_t first = m->net->first[p], own = m->net->own[p];
        if (!kind || kind->port >= own)
            continue;
        void *work = jv_arena_alloc(&m->arena, 1, kind->work);
        if (!work)
            return JV_ERR_MEMORY;
        jv_body *b = &m->bodies[m->n_bodies];
        assumed->part = p;
        memset(x + m->n_x, 0, JV_BODY_STATES * sizeof *x);
        if (!kind->start(&m->net->scene, &c->parts[p], m->net->elements + first, own, work,
                         x + m->n_x, assumed))
            continue;
        b->kind = kind;
        b->part = (uint32_t)p;
        b->element = (uint32_t)(first + kind->port);
        b->work = work;
        b->x = (uint32_t)m->n_x;
        b->event = (uint32_t)m->n_events;
        b->henry = kind->inductance ? kind->inductance(work) : 0.0;
        m->body_of[p] = (int32_t)m->n_bodies++;
        m->n_x += kind->n_states;
        m->n_events += kind->n_events;
    }
    return JV_OK;
}

static jv_status allocate(jv_motion *m) {
    m->n_y = (size_t)m->system->n;
    m->n_e = m->net->n_elements;
    for (size_t k = 0; k < m->n_e; k++) {
        uint8_t law = m->net->elements[k].law;
        m->other_laws |= law != JV_SERIES && law != JV_SINK;
    }
    m->n = m->n_y + m->n_x + 2 * m->n_e;
    double **const vectors[] = {&m->now,  &m->last,  &m->c3,   &m->c4,   &m->stage,
                                &m->rhs,  &m->fixed, &m->k[0], &m->k[1], &m->k[2],
                                &m->k[3], &m->k[4],  &m->k[5], &m->g[0], &m->g[1],
                                &m->g[2], &m->g[3],  &m->g[4], &m->g[5]};
    for (size_t i = 0; i < sizeof vectors / sizeof vectors[0]; i++) {
        *vectors[i] = jv_arena_alloc(&m->arena, m->n + 2 * JV_RODAS_ROOM, sizeof **vectors[i]);
        if (!*vectors[i])
            return JV_ERR_MEMORY;
    }
    jv_rodas_weigh(&m->weights);
    m->width = jv_lane_widest();
    m->wires = jv_arena_alloc(&m->arena, m->n_e + 1, sizeof *m->wires);
    if (!m->wires)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < m->n_e; k++) {
        const jv_element *e = &m->net->elements[k];
        m->wires[k] = (jv_wire){e->a, e->b, m->system->current[k],
                                e->law == JV_REGULATOR ? e->c : -1, e->law == JV_SERIES};
    }
    m->modes = jv_arena_alloc(&m->arena, m->n_e + 1, sizeof *m->modes);
    m->served = jv_arena_alloc(&m->arena, m->n_e + 1, sizeof *m->served);
    if (!m->modes || !m->served)
        return JV_ERR_MEMORY;
    m->scale = jv_arena_alloc(&m->arena, m->n_x + 1, sizeof *m->scale);
    m->strict = jv_arena_alloc(&m->arena, m->n_x + 1, sizeof *m->strict);
    return m->scale && m->strict ? JV_OK : JV_ERR_MEMORY;
}

static jv_status make(jv_motion *m, jv_remarks *assumed) {
    jv_status status = count_bodies(m);
    if (status != JV_OK)
        return status;
    size_t most = (m->net->circuit->n_parts + 1) * JV_BODY_STATES;
    double *x = jv_zalloc(most, sizeof *x);
    if (!x)
        return JV_ERR_MEMORY;
    status = start_bodies(m, assumed, x);
    if (status == JV_OK)
        status = jv_system_new(m->net, &m->system);
    if (status == JV_OK)
        status = allocate(m);
    if (status == JV_OK) {
        memcpy(m->now + m->n_y, x, m->n_x * sizeof *x);
        for (size_t k = 0; k < m->n_bodies; k++) {
            jv_body *b = &m->bodies[k];
            b->row = m->system->current[b->element];
            for (size_t s = 0; s < b->kind->n_states; s++) {
                m->scale[b->x + s] = b->kind->scale[s];
                m->strict[b->x + s] = m->tolerance * (s < b->kind->n_core ? 1.0 : sums_strict);
            }
        }
    }
    jv_free(x);
    return status;
}

jv_status jv_motion_new(jv_net *net, double tolerance, jv_remarks *assumed, jv_motion **out) {
    jv_motion *m = jv_zalloc(1, sizeof *m);
    if (!m)
        return JV_ERR_MEMORY;
    m->net = net;
    m->tolerance = tolerance;
    m->error_last = 0.0;
    jv_status status = make(m, assumed);
    if (status != JV_OK) {
        jv_motion_free(&m);
        return status;
    }
    *out = m;
    return JV_OK;
}

void jv_motion_free(jv_motion **motion) {
    if (!motion || !*motion)
        return;
    jv_motion *m = *motion;
    jv_system_free(&m->system);
    jv_flat_clear(&m->flat);
    jv_free(m->bodies);
    jv_free(m->body_of);
    jv_arena_clear(&m->arena);
    jv_free(m);
    *motion = NULL;
}

double jv_body_amps(const jv_motion *m, const jv_body *b, const double *values) {
    if (b->row >= 0)
        return values[b->row];
    const jv_element *e = &m->net->elements[b->element];
    return e->open ? 0.0 : (values[e->a] - values[e->b]) / e->r;
}

double jv_body_volts(const jv_motion *m, const jv_body *b, const double *values) {
    const jv_element *e = &m->net->elements[b->element];
    return values[e->a] - values[e->b];
}

double jv_motion_amps(const jv_motion *m, size_t element, const double *values) {
    const jv_element *e = &m->net->elements[element];
    int32_t j = m->system->current[element];
    if (j >= 0)
        return values[j];
    if (e->open)
        return 0.0;
    double v = values[e->a] - values[e->b];
    if (e->law == JV_POWER) {
        double watts = e->limit * m->system->power_share;
        return v > e->e ? watts / v : watts / (e->e * e->e) * v;
    }
    if (m->system->mode[element] == JV_MODE_LINEAR)
        return v / e->r;
    return m->system->mode[element] == JV_MODE_LIMIT ? e->limit : -e->back;
}

void jv_motion_events(const jv_motion *m, const double *values, double *g) {
    for (size_t k = 0; k < m->n_bodies; k++) {
        const jv_body *b = &m->bodies[k];
        if (b->kind->events)
            b->kind->events(b->work, values + jv_motion_x(m, b), jv_body_amps(m, b, values),
                            jv_body_volts(m, b, values), g + b->event);
    }
}

/* Load changes r, e and the heat bodies of all elements: what a body rules is put right after. */
static void load(jv_motion *m) {
    const jv_circuit *c = m->net->circuit;
    size_t next = 0;
    for (size_t k = 0; k < m->net->n_elements; k++)
        if (m->net->elements[k].warms)
            m->net->elements[k].heat = &m->net->heats[next++];
    jv_net_load(m->net, m->net->scene.x == m->net->nominal ? NULL : m->net->scene.x);
    for (size_t k = 0; k < m->n_bodies; k++) {
        jv_body *b = &m->bodies[k];
        size_t first = m->net->first[b->part];
        if (b->kind->command)
            b->kind->command(&m->net->scene, &c->parts[b->part], m->net->elements + first,
                             m->net->own[b->part], b->work, m->now + jv_motion_x(m, b), m->t);
        if (b->kind->n_states)
            m->net->elements[b->element].heat = NULL;
    }
}

/* Ports at the states, as a straight line at their present current: v = e + r i. An inductance
 * keeps its current: a huge r with e to fit would spoil the numbers, so its row is i = i0. */
static void ports(jv_motion *m, const double *held) {
    jv_body_law law;
    for (size_t k = 0; k < m->n_bodies; k++) {
        jv_body *b = &m->bodies[k];
        jv_element *e = &m->net->elements[b->element];
        if (!b->kind->n_states || e->open)
            continue;
        double i = b->henry > 0.0 ? held[k] : m->system->x[b->row];
        b->kind->law(b->work, m->now + jv_motion_x(m, b), i, &law);
        e->r = law.drop_i;
        e->e = law.drop - law.drop_i * i;
    }
}

/* Rows of inductances: i - i0 = 0. */
static void hold(jv_motion *m, const double *held) {
    jv_system *s = m->system;
    for (size_t k = 0; k < m->n_bodies; k++) {
        jv_body *b = &m->bodies[k];
        if (!(b->henry > 0.0) || s->net->elements[b->element].open)
            continue;
        const int32_t *at = s->slot + s->slot_at[b->element];
        s->f[b->row] = s->x[b->row] - held[k];
        s->scale[b->row] = fabs(s->x[b->row]) + fabs(held[k]);
        s->ax[at[JV_AT_A]] = s->ax[at[JV_AT_B]] = 0.0;
        s->ax[at[JV_AT_OWN]] = 1.0;
    }
}

/* Newton with the currents of inductances held; the pieces of all laws follow. */
jv_status jv_motion_fit(jv_motion *m, const double *held, bool *found, int *bad) {
    enum { STEPS = 60, FREE_STEPS = 12 };
    static const double good = 1e-12;
    jv_system *s = m->system;
    *found = false;
    double last = INFINITY;
    for (int step = 0; step < STEPS; step++) {
        size_t changed = step ? jv_system_modes(s, step < FREE_STEPS ? SIZE_MAX : 1) : 0;
        ports(m, held);
        jv_system_evaluate(s);
        hold(m, held);
        double worst = 0.0, largest = 0.0;
        for (int i = 0; i < s->n; i++)
            largest = fmax(largest, s->scale[i]);
        for (int i = 0; i < s->n; i++)
            worst = fmax(worst, fabs(s->f[i]) / fmax(s->scale[i], 1e-6 * largest + 1e-30));
        m->evaluations++;
        if (!isfinite(worst))
            return JV_OK;
        if (step && !changed && (worst <= good || (worst <= 1e-9 && worst > 0.5 * last))) {
            *found = true;
            return JV_OK;
        }
        last = worst;
        jv_status status = jv_lu_factor(s->lu, s->ax, step == 0, bad);
        m->factors++;
        if (status != JV_OK)
            return status;
        for (int i = 0; i < s->n; i++)
            s->dx[i] = -s->f[i];
        status = jv_lu_solve(s->lu, s->dx);
        if (status != JV_OK)
            return status;
        for (int i = 0; i < s->n; i++)
            s->x[i] += s->dx[i];
    }
    return JV_OK;
}

/* Kinds without a body bring their discrete states in line as in the steady answer. */
static bool settle_kinds(jv_motion *m) {
    const jv_circuit *c = m->net->circuit;
    bool changed = false;
    for (size_t p = 0; p < c->n_parts; p++) {
        const jv_part_kind *kind = c->parts[p].kind;
        size_t first = m->net->first[p];
        if (!kind->settle || m->body_of[p] >= 0)
            continue;
        if (kind->settle(&m->net->scene, &c->parts[p], m->net->elements + first, m->net->own[p],
                         m->system->x, m->system->i_now + first))
            changed = true;
    }
    return changed;
}

/* The anchor holds the reference at zero but for rounding, other islands at their own. */
static void zero_reference(jv_motion *m) {
    int32_t reference = m->net->circuit->reference;
    double zero = reference >= 0 ? m->system->x[reference] : 0.0;
    for (size_t k = 0; k < m->net->n_nodes; k++)
        m->system->x[k] -= zero;
}

static bool some_starve(const jv_motion *m) {
    for (size_t k = 0; k < m->n_e && m->other_laws; k++) {
        const jv_element *e = &m->net->elements[k];
        if (e->law == JV_POWER && !e->open && !(m->now[e->a] - m->now[e->b] > e->e))
            return true;
    }
    return false;
}

/* Of the two roots of a constant power the upper is taken, where there is one. */
static jv_status look_at_power(jv_motion *m, jv_point *point) {
    jv_status status = jv_motion_power(m, 1.0);
    if (status != JV_OK || !(m->power_w > 0.0))
        return status;
    if (m->power_share < 1.0) {
        point->outcome = JV_POINT_CANNOT_DELIVER;
        return JV_OK;
    }
    memcpy(m->system->x, m->fixed, m->n_y * sizeof *m->now);
    zero_reference(m);
    memcpy(m->now, m->system->x, m->n_y * sizeof *m->now);
    m->settled = true;
    point->outcome = JV_POINT_FOUND;
    return JV_OK;
}

jv_status jv_motion_settle(jv_motion *m, bool reload, jv_point *point) {
    enum { ROUNDS = 20 };
    jv_system *s = m->system;
    memset(point, 0, sizeof *point);
    if (reload) {
        jv_status status = jv_net_command(m->net);
        if (status != JV_OK)
            return status;
        load(m);
    }
    double *held = m->rhs; /* one a body: there are fewer bodies than values */
    for (size_t k = 0; k < m->n_bodies; k++) {
        jv_body *b = &m->bodies[k];
        held[k] = b->row >= 0 ? m->now[b->row] : 0.0;
        if (m->net->elements[b->element].open)
            b->arc_j += 0.5 * b->henry * held[k] * held[k];
    }
    memcpy(s->x, m->now, m->n_y * sizeof *s->x);
    bool found = false, moving = true;
    int bad = -1;
    for (int round = 0; round < ROUNDS && moving; round++) {
        jv_status status = jv_system_anchor(s);
        if (status == JV_OK)
            status = jv_motion_fit(m, held, &found, &bad);
        if (status != JV_OK && status != JV_ERR_UNSOLVED)
            return status;
        if (!found)
            break;
        moving = settle_kinds(m);
        if (moving)
            load(m);
    }
    zero_reference(m);
    memcpy(m->now, s->x, m->n_y * sizeof *s->x);
    m->settled = found;
    point->outcome = !found ? JV_POINT_NOT_FOUND : moving ? JV_POINT_CHATTERS : JV_POINT_FOUND;
    if (!found || some_starve(m)) {
        jv_status status = look_at_power(m, point);
        if (status != JV_OK)
            return status;
    }
    for (size_t k = 0; k < m->n_e && m->other_laws; k++) {
        const jv_element *e = &m->net->elements[k];
        m->served[k] = m->now[e->a] - m->now[e->b] > e->e;
    }
    if (bad >= 0)
        point->where = jv_system_unknown_name(s, bad);
    point->v = s->x;
    point->i = s->i_now;
    return JV_OK;
}

bool jv_motion_pieces_hold(jv_motion *m, const double *values) {
    jv_system *s = m->system;
    memcpy(s->x, values, m->n_y * sizeof *s->x);
    for (size_t k = 0; k < m->n_e; k++) {
        int8_t mode = s->mode[k];
        const jv_element *e = &m->net->elements[k];
        if (e->law == JV_POWER && !e->open && (values[e->a] - values[e->b] > e->e) != m->served[k])
            return false;
        if (e->law == JV_SERIES || e->law == JV_POWER)
            continue;
        m->modes[k] = mode;
    }
    bool hold = jv_system_modes(s, SIZE_MAX) == 0;
    for (size_t k = 0; k < m->n_e && !hold; k++)
        if (m->net->elements[k].law != JV_SERIES && m->net->elements[k].law != JV_POWER)
            s->mode[k] = m->modes[k];
    return hold;
}
