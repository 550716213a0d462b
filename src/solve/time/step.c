/* step.c - steps of a net in time: error and length. SPDX-License-Identifier: MIT */
#include "solve/time/motion.h"

#include <math.h>
#include <string.h>

/* Least step, s. */
static const double least_h = 1e-12;

static inline double greater(double a, double b) {
    return a > b ? a : b;
}

/* Root mean square of the last stage over the states and the currents of inductances. */
static double error_of(const jv_motion *m) {
    double sum = 0.0;
    size_t count = 0;
    const double *err = m->k[JV_STAGES - 1];
    for (size_t i = 0; i < m->n_x; i++) {
        size_t at = m->n_y + i;
        double size = m->strict[i] * (m->scale[i] + greater(fabs(m->now[at]), fabs(m->stage[at])));
        double e = err[at] / size;
        sum += e * e;
        count++;
    }
    for (size_t k = 0; k < m->n_bodies; k++) {
        const jv_body *b = &m->bodies[k];
        if (!(b->henry > 0.0) || m->net->elements[b->element].open)
            continue;
        double size = m->tolerance * (1.0 + fmax(fabs(m->now[b->row]), fabs(m->stage[b->row])));
        double e = err[b->row] / size;
        sum += e * e;
        count++;
    }
    /* Where a constant power comes to its fold its volts leave in no time, the states hardly. */
    for (size_t k = 0; k < m->n_e && m->other_laws; k++) {
        const jv_element *x = &m->net->elements[k];
        if (x->law != JV_POWER || x->open)
            continue;
        double size = m->tolerance * (1.0 + fabs(m->stage[x->a] - m->stage[x->b]));
        double e = (err[x->a] - err[x->b]) / size;
        sum += e * e;
        count++;
    }
    double most = 0.0;
    for (size_t i = 0; i < m->n_y + m->n_x; i++)
        if (!isfinite(m->stage[i]))
            most = INFINITY;
    return isfinite(most) && count ? sqrt(sum / (double)count) : most;
}

/* The next step from this error and the one before (Gustafsson's predictive controller). */
static double factor_for(jv_motion *m, double error, bool accepted) {
    static const double safety = 0.9, most = 6.0, most_at_first = 100.0, least = 0.2;
    double e = fmax(error, 1e-8);
    double factor = safety * pow(e, -0.25);
    if (!(m->error_last > 0.0)) /* the first step after a jump was a guess */
        return fmin(most_at_first, fmax(least, factor));
    if (accepted) {
        double predicted = safety * (m->h / m->h_last) * pow(m->error_last / (e * e), 0.25);
        factor = fmin(factor, predicted);
    }
    return fmin(most, fmax(least, factor));
}

static jv_status try_step(jv_motion *m, double *error) {
    *error = INFINITY;
    for (int stage = 0; stage < JV_STAGES; stage++) {
        jv_status status = jv_motion_stage(m, stage);
        if (status == JV_ERR_UNSOLVED)
            return JV_OK; /* a smaller step may serve */
        if (status != JV_OK)
            return status;
    }
    jv_rodas_end(m->width, m->n_y + m->n_x, m->k, m->stage);
    *error = error_of(m);
    return JV_OK;
}

/* Dense output of the step, and the sums of charge and energy. */
static void finish(jv_motion *m) {
    size_t first = m->n_y + m->n_x;
    jv_rodas_dense(m->width, first, m->k, m->c3, m->c4);
    jv_rodas_sums(m->width, &m->weights, 2 * m->n_e, m->now + first, m->g, m->h, m->stage + first,
                  m->c3 + first, m->c4 + first);
}

jv_status jv_motion_step(jv_motion *m, double until) {
    double wanted = m->h > 0.0 ? m->h : 1e-6;
    if (until - m->t < least_h) { /* no more than rounding lies between */
        m->t = fmax(m->t, until);
        m->t_last = m->t;
        m->h_last = 0.0;
        memcpy(m->last, m->now, m->n * sizeof *m->last);
        memset(m->c3, 0, m->n * sizeof *m->c3);
        memset(m->c4, 0, m->n * sizeof *m->c4);
        return JV_OK;
    }
    for (;;) {
        double left = until - m->t, error;
        /* Two even steps rather than a long one and a sliver. */
        m->h = wanted >= left ? left : wanted > 0.5 * left ? 0.5 * left : wanted;
        if (m->h < least_h)
            return JV_ERR_UNSOLVED;
        jv_status status = try_step(m, &error);
        if (status != JV_OK)
            return status;
        double factor = factor_for(m, error, error <= 1.0);
        if (error <= 1.0) {
            double h = m->h;
            finish(m);
            m->error_last = fmax(error, 1e-2);
            m->h_last = h;
            m->t_last = m->t;
            double *swap = m->last;
            m->last = m->now;
            m->now = m->stage;
            m->stage = swap;
            m->t = h >= left ? until : m->t + h;
            /* A step cut short by `until` says little of the next one. */
            m->h = h < wanted ? fmax(wanted, h * factor) : h * factor;
            m->steps++;
            return JV_OK;
        }
        m->rejected++;
        wanted = isfinite(error) ? m->h * factor : 0.1 * m->h;
    }
}

void jv_motion_look(const jv_motion *m, double share, double *out) {
    for (size_t i = 0; i < m->n_y + m->n_x; i++)
        out[i] = jv_motion_value(m, i, share);
}

void jv_motion_at(const jv_motion *m, double share, double *out) {
    for (size_t i = 0; i < m->n; i++)
        out[i] = jv_motion_value(m, i, share);
}

void jv_motion_cut(jv_motion *m, double share) {
    jv_motion_at(m, share, m->stage);
    double *swap = m->now;
    m->now = m->stage;
    m->stage = swap;
    m->t = m->t_last + share * m->h_last;
}
