/* stage.c - one stage of a Rosenbrock step of a net in time. SPDX-License-Identifier: MIT */
#include "solve/time/motion.h"

#include <math.h>
#include <string.h>

/* A small matrix becomes its inverse, by elimination with pivots. False: it has none. */
JV_LANE_BODY bool invert(size_t n, double a[JV_BODY_STATES][JV_BODY_STATES]) {
    size_t from[JV_BODY_STATES];
    for (size_t k = 0; k < n; k++) {
        size_t best = k;
        for (size_t i = k + 1; i < n; i++)
            if (fabs(a[i][k]) > fabs(a[best][k]))
                best = i;
        if (!(fabs(a[best][k]) > 0.0))
            return false;
        from[k] = best;
        for (size_t j = 0; j < n && best != k; j++) {
            double swap = a[k][j];
            a[k][j] = a[best][j];
            a[best][j] = swap;
        }
        double by = 1.0 / a[k][k];
        a[k][k] = 1.0;
        for (size_t j = 0; j < n; j++)
            a[k][j] *= by;
        for (size_t i = 0; i < n; i++) {
            double f = a[i][k];
            if (i == k || f == 0.0)
                continue;
            a[i][k] = 0.0;
            for (size_t j = 0; j < n; j++)
                a[i][j] -= f * a[k][j];
        }
    }
    for (size_t k = n; k-- > 0;) /* what rows were exchanged, columns are */
        for (size_t i = 0; i < n && from[k] != k; i++) {
            double swap = a[i][k];
            a[i][k] = a[i][from[k]];
            a[i][from[k]] = swap;
        }
    return true;
}

/* Room for the states of any body as one value; no more aligned than memory comes. */
typedef double room __attribute__((vector_size(64), aligned(8), may_alias));

static inline room *in(double *v) {
    return (room *)(void *)v;
}

static inline const room *of(const double *v) {
    return (const room *)(const void *)v;
}

/* The matrix of a body for the step: what couples is inverted, what only adds up follows. */
static void slopes_of(jv_body *b, const jv_body_law *law, double ch) {
    size_t n = b->kind->n_states, core = b->core;
    double inverse[JV_BODY_STATES][JV_BODY_STATES];
    for (size_t r = 0; r < core; r++)
        for (size_t c = 0; c < core; c++)
            inverse[r][c] = (r == c ? 1.0 / ch : 0.0) - law->rate_x[r][c];
    if (core == JV_BODY_CORE) /* a motor's: with its numbers in the code */
        invert(JV_BODY_CORE, inverse);
    else
        invert(core, inverse);
    memset(b->matrix, 0, sizeof b->matrix);
    memset(b->own, 0, sizeof b->own);
    memset(b->volts_by, 0, sizeof b->volts_by);
    b->volts_by_amp = 0.0;
    for (size_t r = 0; r < core; r++) {
        double sum = 0.0;
        for (size_t c = 0; c < core; c++) {
            b->matrix[c][r] = inverse[r][c];
            b->volts_by[c] += law->drop_x[r] * inverse[r][c];
            sum += inverse[r][c] * law->rate_i[c];
        }
        b->by_amp[r] = sum;
        b->volts_by_amp += law->drop_x[r] * sum;
    }
    for (size_t r = core; r < n; r++) {
        double sum = law->rate_i[r];
        b->own[r] = ch;
        for (size_t k = 0; k < core; k++) {
            double by = ch * law->rate_x[r][k];
            sum += law->rate_x[r][k] * b->by_amp[k];
            for (size_t c = 0; c < core && by != 0.0; c++)
                b->matrix[c][r] += by * inverse[k][c];
        }
        b->by_amp[r] = ch * sum;
    }
}

double jv_body_rates(const jv_body *b, const double *x, double i, double *drop_i, double *rate) {
    if (b->kind->rates)
        return b->kind->rates(b->work, x, i, drop_i, rate);
    jv_body_law law;
    b->kind->law(b->work, x, i, &law);
    memcpy(rate, law.rate, b->kind->n_states * sizeof *rate);
    *drop_i = law.drop_i;
    return law.drop;
}

/* Bodies at the values of the first stage: slopes, which the other stages keep. */
static void begin_bodies(jv_motion *m, double ch) {
    jv_body_law law;
    for (size_t k = 0; k < m->n_bodies; k++) {
        jv_body *b = &m->bodies[k];
        jv_element *e = &m->net->elements[b->element];
        if (!b->kind->n_states)
            continue;
        double i = m->stage[b->row];
        b->core = (uint32_t)(b->kind->moving ? b->kind->moving(b->work) : b->kind->n_core);
        b->kind->law(b->work, m->stage + jv_motion_x(m, b), i, &law);
        slopes_of(b, &law, ch);
        memcpy(b->rate, law.rate, b->kind->n_states * sizeof *law.rate);
        e->r = law.drop_i;
        e->e = law.drop - law.drop_i * i;
    }
}

/* Their ports become straight lines at the values of a stage. */
static void bodies_at(jv_motion *m) {
    const double *values = m->stage;
    for (size_t k = 0; k < m->n_bodies; k++) {
        jv_body *b = &m->bodies[k];
        if (!b->kind->n_states)
            continue;
        jv_element *e = &m->net->elements[b->element];
        double i = values[b->row];
        double drop = jv_body_rates(b, values + jv_motion_x(m, b), i, &e->r, b->rate);
        e->e = drop - e->r * i;
    }
}

/* Takes the states out of the port's row, and adds its inductance. */
static void eliminate(jv_motion *m, double ch) {
    jv_system *s = m->system;
    for (size_t k = 0; k < m->n_bodies; k++) {
        const jv_body *b = &m->bodies[k];
        if (b->core && !m->net->elements[b->element].open)
            s->ax[s->slot[s->slot_at[b->element] + JV_AT_OWN]] -= b->henry / ch + b->volts_by_amp;
    }
}

/* What the states of a body do without its current: into moved; answers with their volts. */
JV_LANE_BODY double move(jv_body *b, size_t core, const double *fixed) {
    double side[JV_BODY_ROOM], volts = 0.0;
    *in(side) = *of(b->rate) + *of(fixed);
    room moved = *of(b->own) * *of(side);
    JV_LANE_UNROLL
    for (size_t c = 0; c < core; c++) {
        moved += *of(b->matrix[c]) * side[c];
        volts += b->volts_by[c] * side[c];
    }
    *in(b->moved) = moved;
    return volts;
}

static double move_body(jv_body *b, const double *fixed) {
    switch (b->core) { /* those that are met most with their numbers in the code */
    case 1:
        return move(b, 1, fixed);
    case 2:
        return move(b, 2, fixed);
    case JV_BODY_CORE:
        return move(b, JV_BODY_CORE, fixed);
    default:
        return move(b, b->core, fixed);
    }
}

/* Right side of a stage, states taken out. */
static void right_side(jv_motion *m) {
    const double *f = m->system->f;
    for (size_t i = 0; i < m->n_y; i++)
        m->rhs[i] = -f[i];
    for (size_t k = 0; k < m->n_bodies; k++) {
        jv_body *b = &m->bodies[k];
        if (!b->core)
            continue;
        double volts = move_body(b, m->fixed + jv_motion_x(m, b));
        if (!m->net->elements[b->element].open)
            m->rhs[b->row] += volts - b->henry * m->fixed[b->row];
    }
}

/* Each writes all its room: what stands behind its states belongs to the next. */
static void states_back(const jv_motion *m, double *k) {
    for (size_t at = 0; at < m->n_bodies; at++) {
        const jv_body *b = &m->bodies[at];
        if (b->core)
            *in(k + jv_motion_x(m, b)) = *of(b->moved) + *of(b->by_amp) * k[b->row];
    }
}

/* The residual alone, without the matrix: what stages behind the first need. */
static void residual(jv_motion *m) {
    jv_system *s = m->system;
    const double *x = s->x;
    double *f = s->f;
    memset(f, 0, m->n_y * sizeof *f);
    for (size_t i = 0; i < m->net->n_nodes; i++)
        if (s->anchored[i])
            f[i] += x[i];
    for (size_t k = 0; k < m->n_e; k++) {
        const jv_wire *w = &m->wires[k];
        const jv_element *e = &m->net->elements[k];
        if (!w->straight) {
            jv_system_stamp(s, k); /* what it adds to the matrix is not used */
            continue;
        }
        double i = x[w->j], v = x[w->a] - x[w->b];
        f[w->j] = e->open ? i : v - e->r * i - e->e;
        f[w->a] += i;
        f[w->b] -= i;
    }
}

/* Current of an element without an unknown, and its change along k. */
static double nodal(const jv_motion *m, size_t element, const double *values, double v, double kv,
                    double *along) {
    const jv_element *e = &m->net->elements[element];
    double i = jv_motion_amps(m, element, values), g = 0.0;
    if (e->law == JV_POWER)
        g = v > e->e ? -i / v : e->limit / (e->e * e->e);
    else if (m->system->mode[element] == JV_MODE_LINEAR)
        g = 1.0 / e->r;
    *along = e->open ? 0.0 : g * kv;
    return i;
}

/* Amps and watts into each element at values, and their change along k: charge and energy. */
static void amps_and_watts(jv_motion *m, const double *values, const double *k, double *g) {
    double *charge = g, *energy = g + m->n_e;
    for (size_t e = 0; e < m->n_e; e++) {
        const jv_wire *w = &m->wires[e];
        double v = values[w->a] - values[w->b], kv = k[w->a] - k[w->b], i, ki;
        if (w->j >= 0) {
            i = values[w->j];
            ki = k[w->j];
        } else {
            i = nodal(m, e, values, v, kv, &ki);
        }
        charge[e] = i + ki;
        if (w->c >= 0) { /* a regulator's output shares the current of its input */
            v = values[w->a] - values[w->c];
            kv = k[w->a] - k[w->c];
        }
        energy[e] = v * i + kv * i + v * ki;
    }
}

jv_status jv_motion_factor(jv_motion *m) {
    jv_system *s = m->system;
    m->factors++;
    if (s->n > JV_FLAT_MOST)
        return jv_lu_factor(s->lu, s->ax, false, NULL);
    return jv_flat_factor(&m->flat, s->n, s->ap, s->ai, s->ax);
}

jv_status jv_motion_solve(jv_motion *m, double *b) {
    if (m->system->n > JV_FLAT_MOST)
        return jv_lu_solve(m->system->lu, b);
    jv_flat_solve(&m->flat, b);
    return JV_OK;
}

jv_status jv_motion_stage(jv_motion *m, int stage) {
    jv_system *s = m->system;
    double ch = jv_rodas_gamma * m->h;
    size_t n = m->n_y + m->n_x;
    jv_rodas_stage(m->width, stage, n, m->now, m->k, m->h, m->stage, m->fixed);
    memcpy(s->x, m->stage, m->n_y * sizeof *s->x);
    m->evaluations++;
    if (stage == 0) {
        begin_bodies(m, ch);
        jv_system_evaluate(s);
        eliminate(m, ch);
        jv_status status = jv_motion_factor(m);
        if (status != JV_OK)
            return status;
    } else {
        bodies_at(m);
        residual(m);
    }
    right_side(m);
    jv_status status = jv_motion_solve(m, m->rhs);
    if (status != JV_OK)
        return status;
    memcpy(m->k[stage], m->rhs, m->n_y * sizeof *m->rhs);
    states_back(m, m->k[stage]);
    amps_and_watts(m, m->stage, m->k[stage], m->g[stage]);
    return JV_OK;
}
