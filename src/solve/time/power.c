/* power.c - how much of a constant power reaches its loads in time. SPDX-License-Identifier: MIT */
#include "solve/time/motion.h"

#include <string.h>

enum { HALVINGS = 26 };

static bool asks(const jv_element *e) {
    return e->law == JV_POWER && !e->open && e->limit > 0.0;
}

/* The loads that have more than their least volts while none of them draws: m->modes. */
static void mark(jv_motion *m) {
    const double *x = m->system->x;
    m->power_w = 0.0;
    for (size_t k = 0; k < m->n_e; k++) {
        const jv_element *e = &m->net->elements[k];
        m->modes[k] = asks(e) && x[e->a] - x[e->b] > e->e;
        if (!m->modes[k])
            continue;
        m->power_w += e->limit;
        m->power_part = e->part;
    }
}

/* All of them on the upper of the two roots of v i = P. */
static bool upper(jv_motion *m) {
    const double *x = m->system->x;
    for (size_t k = 0; k < m->n_e; k++) {
        const jv_element *e = &m->net->elements[k];
        if (!m->modes[k] || x[e->a] - x[e->b] > e->e)
            continue;
        m->power_part = e->part;
        return false;
    }
    return true;
}

/* From the point in `from`, at a share of the power. */
static jv_status at_share(jv_motion *m, const double *held, const double *from, double share,
                          bool *good) {
    jv_system *s = m->system;
    int bad = -1;
    memcpy(s->x, from, m->n_y * sizeof *s->x);
    s->power_share = share;
    jv_status status = jv_motion_fit(m, held, good, &bad);
    if (status == JV_ERR_UNSOLVED) {
        *good = false;
        return JV_OK;
    }
    return status;
}

static jv_status bracket(jv_motion *m, const double *held, double *from, double most) {
    double low = 0.0, high = most;
    for (int k = 0; k < HALVINGS; k++) {
        double share = k ? 0.5 * (low + high) : most;
        bool good;
        jv_status status = at_share(m, held, from, share, &good);
        if (status != JV_OK)
            return status;
        if (good && upper(m)) {
            low = share;
            memcpy(from, m->system->x, m->n_y * sizeof *from);
            if (share >= most)
                break;
        } else {
            high = share;
        }
    }
    m->power_share = low;
    return JV_OK;
}

jv_status jv_motion_power(jv_motion *m, double most) {
    double *held = m->rhs, *from = m->fixed; /* room of a step, free between steps */
    bool good;
    m->power_w = 0.0;
    m->power_share = most;
    for (size_t k = 0; k < m->n_bodies; k++)
        held[k] = m->bodies[k].row >= 0 ? m->now[m->bodies[k].row] : 0.0;
    memcpy(from, m->now, m->n_y * sizeof *from);
    jv_status status = at_share(m, held, from, 0.0, &good);
    if (status == JV_OK && good) {
        mark(m);
        memcpy(from, m->system->x, m->n_y * sizeof *from);
        if (m->power_w > 0.0)
            status = bracket(m, held, from, most);
    }
    m->system->power_share = 1.0;
    memcpy(m->system->x, m->now, m->n_y * sizeof *m->system->x);
    return status;
}
