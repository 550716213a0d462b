/* step.c - one Rosenbrock step of a net in time. SPDX-License-Identifier: MIT */
#include "solve/time/motion.h"

#include <math.h>
#include <string.h>

/* RODASP of G. Steinebach (1995), of the family of E. Hairer and G. Wanner, Solving Ordinary
 * Differential Equations II, 2nd ed. (1996), section VI.4: order 4(3), stiffly accurate, L-stable,
 * and made to lose little order on stiff problems; coefficients in transformed form: (M/(c h) - J)
 * k_i = f(u + sum a_ij k_j) + M sum (c_ij/h) k_j,  u1 = u + sum a_6j k_j + k_6, error k_6. The
 * dense output is of order 3. */
static const double gamma_c = 0.25;
static const double a_[JV_STAGES][JV_STAGES] = {
    {0},
    {3.0},
    {1.831036793486759, 0.4955183967433795},
    {2.304376582692669, -0.05249275245743001, -1.176798761832782},
    {-7.170454962423024, -4.741636671481785, -16.31002631330971, -1.062004044111401},
    {-7.170454962423024, -4.741636671481785, -16.31002631330971, -1.062004044111401, 1.0},
};
static const double c_[JV_STAGES][JV_STAGES] = {
    {0},
    {-12.0},
    {-8.791795173947035, -2.207865586973518},
    {10.81793056857153, 6.780270611428266, 19.53485944642410},
    {34.19095006749676, 15.49671153725963, 54.74760875964130, 14.16005392148534},
    {34.62605830930532, 15.30084976114473, 56.99955578662667, 18.40807009793095,
     -5.714285714285717},
};
static const double d_[2][JV_STAGES - 1] = {
    {25.09876703708589, 11.62013104361867, 28.49148307714626, -5.664021568594133, 0.0},
    {1.638054557396973, -0.7373619806678748, 8.477918219238990, 15.99253148779520,
     -1.882352941176471},
};

/* Least step, share of t and absolute, s. */
static const double least_h = 1e-12;

/* Inverse of a small matrix by elimination with pivots. */
static bool invert(size_t n, double a[JV_BODY_STATES][JV_BODY_STATES],
                   double out[JV_BODY_STATES][JV_BODY_STATES]) {
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            out[i][j] = i == j ? 1.0 : 0.0;
    for (size_t k = 0; k < n; k++) {
        size_t best = k;
        for (size_t i = k + 1; i < n; i++)
            if (fabs(a[i][k]) > fabs(a[best][k]))
                best = i;
        if (!(fabs(a[best][k]) > 0.0))
            return false;
        for (size_t j = 0; j < n && best != k; j++) {
            double swap = a[k][j];
            a[k][j] = a[best][j];
            a[best][j] = swap;
            swap = out[k][j];
            out[k][j] = out[best][j];
            out[best][j] = swap;
        }
        double by = 1.0 / a[k][k];
        for (size_t j = 0; j < n; j++) {
            a[k][j] *= by;
            out[k][j] *= by;
        }
        for (size_t i = 0; i < n; i++) {
            double f = a[i][k];
            if (i == k || f == 0.0)
                continue;
            for (size_t j = 0; j < n; j++) {
                a[i][j] -= f * a[k][j];
                out[i][j] -= f * out[k][j];
            }
        }
    }
    return true;
}

/* Bodies at the values of a stage: ports become straight lines, rates are kept. */
static void bodies_at(jv_motion *m, const double *values, jv_body_law *law, bool keep, double ch) {
    for (size_t k = 0; k < m->n_bodies; k++) {
        jv_body *b = &m->bodies[k];
        jv_element *e = &m->net->elements[b->element];
        size_t n = b->kind->n_states;
        if (!n)
            continue;
        if (keep)
            b->core = (uint32_t)(b->kind->moving ? b->kind->moving(b->work) : b->kind->n_core);
        size_t core = b->core;
        double i = values[b->row];
        b->kind->law(b->work, values + jv_motion_x(m, b), i, law);
        e->r = law->drop_i;
        e->e = law->drop - law->drop_i * i;
        memcpy(b->rate, law->rate, n * sizeof *law->rate);
        if (!keep)
            continue;
        memcpy(b->drop_x, law->drop_x, n * sizeof *law->drop_x);
        memcpy(b->rate_i, law->rate_i, n * sizeof *law->rate_i);
        for (size_t r = core; r < n; r++)
            memcpy(b->inverse[r], law->rate_x[r], core * sizeof law->rate_x[r][0]);
        double shifted[JV_BODY_STATES][JV_BODY_STATES];
        for (size_t r = 0; r < core; r++)
            for (size_t c = 0; c < core; c++)
                shifted[r][c] = (r == c ? 1.0 / ch : 0.0) - law->rate_x[r][c];
        invert(core, shifted, b->inverse);
    }
}

/* Takes the states out of the port's row, and adds its inductance. */
static void eliminate(jv_motion *m, double ch) {
    jv_system *s = m->system;
    for (size_t k = 0; k < m->n_bodies; k++) {
        const jv_body *b = &m->bodies[k];
        size_t n = b->core;
        if (!n || m->net->elements[b->element].open)
            continue;
        double sum = b->henry / ch;
        for (size_t r = 0; r < n; r++) {
            double row = 0.0;
            for (size_t c = 0; c < n; c++)
                row += b->inverse[r][c] * b->rate_i[c];
            sum += b->drop_x[r] * row;
        }
        s->ax[s->slot[s->slot_at[b->element] + 4]] -= sum;
    }
}

/* Power into an element at values, and its change along k (charge, energy). */
static void quadrature(jv_motion *m, const double *values, const double *k, size_t element,
                       double rate[2], double along[2]) {
    const jv_element *e = &m->net->elements[element];
    int32_t j = m->system->current[element];
    double v = values[e->a] - values[e->b], kv = k[e->a] - k[e->b], i, ki;
    if (j >= 0) {
        i = values[j];
        ki = k[j];
    } else {
        i = jv_motion_amps(m, element, values);
        double g = 0.0;
        if (e->law == JV_POWER)
            g = v > e->e ? -i / v : e->limit / (e->e * e->e);
        else if (m->system->mode[element] == JV_MODE_LINEAR)
            g = 1.0 / e->r;
        ki = e->open ? 0.0 : g * kv;
    }
    rate[0] = i;
    along[0] = ki;
    if (e->law == JV_REGULATOR) { /* its output shares the current of its input */
        double u = values[e->a] - values[e->c], ku = k[e->a] - k[e->c];
        rate[1] = u * i;
        along[1] = ku * i + u * ki;
    } else {
        rate[1] = v * i;
        along[1] = kv * i + v * ki;
    }
}

static void quadratures(jv_motion *m, const double *values, int stage) {
    double ch = gamma_c * m->h, rate[2], along[2];
    double *k = m->k[stage];
    for (size_t e = 0; e < m->n_e; e++) {
        quadrature(m, values, k, e, rate, along);
        for (size_t q = 0; q < 2; q++) {
            size_t at = m->n_y + m->n_x + q * m->n_e + e;
            k[at] = ch * (rate[q] + along[q] + m->fixed[at]);
        }
    }
}

/* Right side of a stage, states taken out. */
static void right_side(jv_motion *m) {
    jv_system *s = m->system;
    for (size_t i = 0; i < m->n_y; i++)
        m->rhs[i] = -s->f[i];
    for (size_t k = 0; k < m->n_bodies; k++) {
        const jv_body *b = &m->bodies[k];
        size_t n = b->core;
        if (!n || m->net->elements[b->element].open)
            continue;
        const double *fixed = m->fixed + jv_motion_x(m, b);
        double sum = b->henry > 0.0 ? -b->henry * m->fixed[b->row] : 0.0;
        for (size_t r = 0; r < n; r++) {
            double row = 0.0;
            for (size_t c = 0; c < n; c++)
                row += b->inverse[r][c] * (b->rate[c] + fixed[c]);
            sum += b->drop_x[r] * row;
        }
        m->rhs[b->row] += sum;
    }
}

static void states_back(jv_motion *m, double *k) {
    double ch = gamma_c * m->h;
    for (size_t at = 0; at < m->n_bodies; at++) {
        const jv_body *b = &m->bodies[at];
        size_t n = b->kind->n_states, core = b->core, x = jv_motion_x(m, b);
        double i = n ? k[b->row] : 0.0, side[JV_BODY_STATES] = {0};
        for (size_t c = 0; c < n; c++)
            side[c] = b->rate[c] + m->fixed[x + c] + b->rate_i[c] * i;
        for (size_t r = 0; r < core; r++) {
            double row = 0.0;
            for (size_t c = 0; c < core; c++)
                row += b->inverse[r][c] * side[c];
            k[x + r] = row;
        }
        for (size_t r = core; r < n; r++) { /* they only add up: rows of dg/dx */
            double row = side[r];
            for (size_t c = 0; c < core; c++)
                row += b->inverse[r][c] * k[x + c];
            k[x + r] = ch * row;
        }
    }
}

static void combine(jv_motion *m, int stage, double *out) {
    size_t y = m->n_y, states = m->n_y + m->n_x;
    memcpy(out, m->now, states * sizeof *out);
    memset(m->fixed, 0, m->n * sizeof *m->fixed);
    for (int j = 0; j < stage; j++) {
        const double *restrict k = m->k[j];
        double *restrict to = out, *restrict fixed = m->fixed;
        double a = a_[stage][j], c = c_[stage][j] / m->h;
        for (size_t i = 0; i < y; i++)
            to[i] += a * k[i];
        for (size_t i = y; i < states; i++) {
            to[i] += a * k[i];
            fixed[i] += c * k[i];
        }
        for (size_t i = states; i < m->n; i++)
            fixed[i] += c * k[i];
        for (size_t b = 0; b < m->n_bodies; b++) /* rows of inductances are differential, too */
            if (m->bodies[b].henry > 0.0)
                fixed[m->bodies[b].row] += c * k[m->bodies[b].row];
    }
}

/* The residual alone, without the matrix: what stages behind the first need. Straight lines and
 * sinks only; a net with other laws is evaluated whole. */
static void residual(jv_motion *m) {
    jv_system *s = m->system;
    const double *x = s->x;
    double *f = s->f;
    if (m->other_laws) {
        jv_system_evaluate(s);
        return;
    }
    memset(f, 0, m->n_y * sizeof *f);
    for (size_t i = 0; i < m->net->n_nodes; i++)
        if (s->anchored[i])
            f[i] += x[i];
    for (size_t k = 0; k < m->n_e; k++) {
        const jv_element *e = &m->net->elements[k];
        int32_t j = s->current[k];
        double v = x[e->a] - x[e->b], i;
        if (j >= 0) {
            i = x[j];
            f[j] = e->open ? i : v - e->r * i - e->e;
        } else if (e->open) {
            continue;
        } else {
            i = s->mode[k] == JV_MODE_LINEAR  ? v / e->r
                : s->mode[k] == JV_MODE_LIMIT ? e->limit
                                              : -e->back;
        }
        f[e->a] += i;
        f[e->b] -= i;
    }
}

static jv_status run_stage(jv_motion *m, int stage) {
    jv_system *s = m->system;
    jv_body_law law;
    double ch = gamma_c * m->h;
    combine(m, stage, m->stage);
    memcpy(s->x, m->stage, m->n_y * sizeof *s->x);
    bodies_at(m, m->stage, &law, stage == 0, ch);
    if (stage == 0)
        jv_system_evaluate(s);
    else
        residual(m);
    m->evaluations++;
    if (stage == 0) {
        eliminate(m, ch);
        jv_status status = jv_lu_factor(s->lu, s->ax, false, NULL);
        m->factors++;
        if (status != JV_OK)
            return status;
    }
    right_side(m);
    jv_status status = jv_lu_solve(s->lu, m->rhs);
    if (status != JV_OK)
        return status;
    memcpy(m->k[stage], m->rhs, m->n_y * sizeof *m->rhs);
    states_back(m, m->k[stage]);
    quadratures(m, m->stage, stage);
    return JV_OK;
}

/* Root mean square of the last stage over the states and the currents of inductances. */
static double error_of(const jv_motion *m) {
    double sum = 0.0;
    size_t count = 0;
    const double *err = m->k[JV_STAGES - 1];
    for (size_t i = 0; i < m->n_x; i++) {
        size_t at = m->n_y + i;
        double size = m->strict[i] * (m->scale[i] + fmax(fabs(m->now[at]), fabs(m->stage[at])));
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

/* u1 = stage 6 + k6, for the integrals too. */
static void finish(jv_motion *m) {
    size_t first = m->n_y + m->n_x;
    for (size_t i = 0; i < first; i++)
        m->stage[i] += m->k[JV_STAGES - 1][i];
    for (size_t i = first; i < m->n; i++) {
        double sum = m->now[i] + m->k[JV_STAGES - 1][i];
        for (int j = 0; j < JV_STAGES - 1; j++)
            sum += a_[JV_STAGES - 1][j] * m->k[j][i];
        m->stage[i] = sum;
    }
}

static void dense(jv_motion *m) {
    memset(m->c3, 0, m->n * sizeof *m->c3);
    memset(m->c4, 0, m->n * sizeof *m->c4);
    for (int j = 0; j < JV_STAGES - 1; j++) {
        const double *k = m->k[j];
        for (size_t i = 0; i < m->n; i++) {
            m->c3[i] += d_[0][j] * k[i];
            m->c4[i] += d_[1][j] * k[i];
        }
    }
}

/* The next step from this error and the one before (Gustafsson's predictive controller). */
static double factor_for(jv_motion *m, double error, bool accepted) {
    static const double safety = 0.9, most = 6.0, least = 0.2;
    double e = fmax(error, 1e-8);
    double factor = safety * pow(e, -0.25);
    if (accepted && m->steps > 0) {
        double predicted = safety * (m->h / m->h_last) * pow(m->error_last / (e * e), 0.25);
        factor = fmin(factor, predicted);
    }
    return fmin(most, fmax(least, factor));
}

static jv_status try_step(jv_motion *m, double *error) {
    *error = INFINITY;
    for (int stage = 0; stage < JV_STAGES; stage++) {
        jv_status status = run_stage(m, stage);
        if (status == JV_ERR_UNSOLVED)
            return JV_OK; /* a smaller step may serve */
        if (status != JV_OK)
            return status;
    }
    finish(m);
    *error = error_of(m);
    return JV_OK;
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
            dense(m);
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
