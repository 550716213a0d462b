/* lanes_fit.c - temperatures of conductors as polynomials. SPDX-License-Identifier: MIT */
#include "circuit/circuit.h"
#include "circuit/parts/cable.h"
#include "jackvolt/heat.h"
#include "jackvolt/memory.h"
#include "solve/lanes_net.h"

#include <math.h>
#include <string.h>

enum { N = JV_LANES_TERMS, M = JV_LANES_BY_TERMS, CHECKS = 64 };
static const double pi = 3.14159265358979323846;

static double node(int k, int n) {
    return cos(pi * (k + 0.5) / n);
}

/* Sums of Chebyshev polynomials to powers: T(n + 1) = 2 x T(n) - T(n - 1). most <= N. */
static void to_powers(const double *c, int most, double *term) {
    double before[N + 1] = {1.0}, now[N + 1] = {0.0, 1.0};
    memset(term, 0, (size_t)most * sizeof *term);
    term[0] = c[0];
    for (int n = 1; n < most; n++) {
        double next[N + 1] = {0};
        for (int k = 0; k < N; k++) {
            if (k < most)
                term[k] += c[n] * now[k];
            next[k + 1] += 2.0 * now[k];
            next[k] -= before[k];
        }
        memcpy(before, now, sizeof before);
        memcpy(now, next, sizeof now);
    }
}

/* The polynomial that takes the values f at the Chebyshev nodes. */
static void interpolate(const double *f, int most, double *term) {
    double c[N] = {0};
    for (int k = 0; k < most; k++)
        for (int n = 0; n < most; n++)
            c[n] += (n ? 2.0 : 1.0) / most * f[k] * cos(n * pi * (k + 0.5) / most);
    to_powers(c, most, term);
}

static double power_sum(const double *term, int most, double x) {
    double sum = term[most - 1];
    for (int n = most - 2; n >= 0; n--)
        sum = sum * x + term[n];
    return sum;
}

static void reach(jv_lane_member *m, double low, double high) {
    m->middle = 0.5 * (low + high);
    m->half = 0.5 * (high - low);
    m->per_half = 1.0 / m->half;
}

/* As wide as it fits about the current of the start: shares of the current, and amperes beyond
 * them. */
typedef struct jv_reach {
    double less, more, beyond_a;
} jv_reach;
static const jv_reach reaches[] = {{0.0, 2.9, 39.0}, {0.0, 2.5, 15.0}, {0.0, 1.8, 10.0},
                                   {0.2, 2.0, 5.0},  {0.4, 1.6, 2.0},  {0.6, 1.4, 1.0}};
enum { REACHES = sizeof reaches / sizeof reaches[0] };

/* --- one curve --- */

/* Chebyshev interpolation of its curve between two currents. True when it meets the curve. */
static bool fit_between(jv_lane_member *m, double low, double high) {
    static const double near_k = 5e-5; /* some 1e-7 V on the way of a jack */
    double f[N], t, slope;
    reach(m, low, high);
    for (int k = 0; k < N; k++)
        if (!jv_heat_curve_at(m->curve, m->middle + m->half * node(k, N), &f[k], &slope))
            return false;
    interpolate(f, N, m->term);
    for (int k = 0; k <= CHECKS; k++) {
        double x = 2.0 * k / CHECKS - 1.0;
        if (!jv_heat_curve_at(m->curve, m->middle + m->half * x, &t, &slope) ||
            !(fabs(power_sum(m->term, N, x) - t) <= near_k))
            return false;
    }
    return true;
}

void jv_lanes_fit(jv_lane_member *m, double amps) {
    for (size_t k = 0; k < REACHES && !m->smooth; k++) {
        double low = fmax(reaches[k].less * amps - reaches[k].beyond_a, 0.0);
        double high = fmin(reaches[k].more * amps + reaches[k].beyond_a, 0.999 * m->curve->most_a);
        m->smooth = high > low && fit_between(m, low, high);
    }
}

/* --- a curve that air or time moves --- */

typedef struct jv_mover {
    const jv_circuit *c;
    const jv_element *e;
    const jv_lanes_by *by;
    jv_heat_body body;
    double time_s, air_c;
} jv_mover;

static bool stand_at(jv_mover *v, double place) {
    double value = 0.5 * (v->by->least + v->by->most) + 0.5 * (v->by->most - v->by->least) * place;
    v->body = *v->e->heat;
    v->air_c = v->e->air_c;
    v->time_s = v->e->heat_s;
    if (v->by->field == JV_FIELD_TIME) {
        v->time_s = value;
        return value > 0.0;
    }
    v->air_c = value;
    if (jv_cable_body(v->c, &v->c->parts[v->e->part], value, &v->body) != JV_OK)
        return false;
    v->body.repeats = v->e->heat->repeats;
    v->body.pause_s = v->e->heat->pause_s;
    return true;
}

/* False where the conductor comes near to its end: there the curve is steep. */
static bool warm_at(const jv_mover *v, double amps, double *temp) {
    static const double cool = 0.6; /* as in curve.c */
    if (isinf(v->time_s)) {
        jv_heat_steady s = jv_heat_steady_at(&v->body, amps);
        *temp = s.temp_c;
        if (s.none)
            return false;
    } else {
        *temp = jv_heat_after(&v->body, amps, v->air_c, v->time_s);
    }
    return *temp < v->air_c + cool * (v->body.limit_c - v->air_c);
}

static double drawn_sum(const jv_lane_member *m, double x, double y) {
    double sum = 0.0;
    for (int n = N - 1; n >= 0; n--)
        sum = sum * x + power_sum(m->of_term + n * M, M, y);
    return sum;
}

double jv_lanes_warm_at(const jv_lane_member *m, double amps, double by) {
    return drawn_sum(m, (fabs(amps) - m->middle) * m->per_half,
                     (by - m->by_middle) * m->per_by_half);
}

static bool fit_drawn(jv_lane_member *m, jv_mover *v, double low, double high) {
    /* (heat.h) temperatures in time are known to some 1e-4 K */
    static const double near_k = 2e-4;
    enum { CURRENTS = 12, PLACES = 6 };
    double rows[M][N], column[M];
    reach(m, low, high);
    for (int y = 0; y < M; y++) {
        double f[N];
        if (!stand_at(v, node(y, M)))
            return false;
        for (int k = 0; k < N; k++)
            if (!warm_at(v, m->middle + m->half * node(k, N), &f[k]))
                return false;
        interpolate(f, N, rows[y]);
    }
    for (int n = 0; n < N; n++) {
        for (int y = 0; y < M; y++)
            column[y] = rows[y][n];
        interpolate(column, M, m->of_term + n * M);
    }
    for (int p = 0; p <= PLACES; p++) {
        double y = 2.0 * p / PLACES - 1.0;
        if (!stand_at(v, y))
            return false;
        for (int k = 0; k <= CURRENTS; k++) {
            double t, x = 2.0 * k / CURRENTS - 1.0;
            if (!warm_at(v, m->middle + m->half * x, &t) ||
                !(fabs(drawn_sum(m, x, y) - t) <= near_k))
                return false;
        }
    }
    return true;
}

jv_status jv_lanes_fit_by(const jv_lanes_start *s, const jv_lanes_by *by, double amps,
                          jv_lane_member *m) {
    jv_mover v = {.c = s->circuit, .e = &s->elements[by->element], .by = by};
    m->of_term = jv_alloc(N * M, sizeof *m->of_term);
    m->drawn = jv_alloc(N, sizeof *m->drawn);
    if (!m->of_term || !m->drawn)
        return JV_ERR_MEMORY;
    m->by = by->field;
    m->by_middle = 0.5 * (by->least + by->most);
    m->per_by_half = 2.0 / (by->most - by->least);
    for (size_t k = 0; k < REACHES && !m->smooth; k++) {
        double low = fmax(reaches[k].less * amps - reaches[k].beyond_a, 0.0);
        double high = reaches[k].more * amps + reaches[k].beyond_a;
        m->smooth = fit_drawn(m, &v, low, high);
    }
    return m->smooth ? JV_OK : JV_ERR_UNSOLVED;
}
