/* curve.c - temperature of a conductor by its current, tabulated. SPDX-License-Identifier: MIT */
#include "solve/curve.h"

#include "jackvolt/heat.h"

/* A steady temperature this near to the end of the conductor (share of the way from the air)
 * is left to the exact law: there the curve is steep. */
static const double cool = 0.6;

static double exact(const jv_element *e, double current_a) {
    if (isinf(e->heat_s))
        return jv_heat_steady_at(e->heat, current_a).temp_c;
    return jv_heat_after(e->heat, current_a, e->air_c, e->heat_s);
}

/* Slopes by differences of the fourth order; the curve is even in the current, which gives the
 * points before the first; at the far end by differences of the second order. */
static void find_slopes(jv_heat_curve *c) {
    enum { N = JV_HEAT_CURVE_PIECES };
    const double *t = c->temp_c;
    c->slope[0] = 0.0;
    for (int k = 1; k < N - 1; k++) {
        double before = t[k >= 2 ? k - 2 : 2 - k];
        c->slope[k] = (before - 8.0 * t[k - 1] + 8.0 * t[k + 1] - t[k + 2]) / 12.0;
    }
    c->slope[N - 1] = (t[N] - t[N - 2]) / 2.0;
    c->slope[N] = (3.0 * t[N] - 4.0 * t[N - 1] + t[N - 2]) / 2.0;
}

void jv_heat_curve_make(const jv_element *e, double most_a, jv_heat_curve *out) {
    double step = most_a / JV_HEAT_CURVE_PIECES, limit = e->heat->limit_c;
    double hottest = e->air_c + cool * (limit - e->air_c);
    int last = 0;
    out->per_piece = 1.0 / step;
    for (int k = 0; k <= JV_HEAT_CURVE_PIECES; k++) {
        out->temp_c[k] = exact(e, k * step);
        if (last == k - 1 && out->temp_c[k] <= hottest)
            last = k;
    }
    find_slopes(out);
    /* Slopes at the last two good points look ahead to points that may be at the limit. */
    enum { MARGIN = 3 };
    if (last < JV_HEAT_CURVE_PIECES)
        last = last > MARGIN ? last - MARGIN : 0;
    out->most_a = last * step;
}
