/* locate.c - finds the first event in a step. SPDX-License-Identifier: MIT */
#include "study/sequence/play.h"

#include <math.h>
#include <string.h>

enum { POINTS = JV_PLAY_POINTS };
static const double shares[POINTS] = {0.0, 0.25, 0.5, 0.75, 1.0};
static const double located_s = 1e-6; /* events are found to this; 1e-3 is promised */

static void functions(jv_play *p, const double *values, double *g) {
    size_t bodies = p->motion->n_events;
    jv_motion_events(p->motion, values, g);
    jv_monitors_events(p, values, g + bodies);
    g[bodies + p->n_monitors] = jv_motion_pieces_hold(p->motion, values) ? -1.0 : 1.0;
}

static double one_function(jv_play *p, size_t event, double share) {
    double *g = p->g[0], *values = p->values[0];
    jv_motion_look(p->motion, share, values);
    functions(p, values, g);
    return g[event];
}

/* Between a (below zero) and b (not below): secant with bisection's safety (Illinois). */
static double root(jv_play *p, size_t event, double a, double ga, double b, double gb) {
    int side = 0;
    p->located++;
    while ((b - a) * p->motion->h_last > located_s) {
        double c = (a * gb - b * ga) / (gb - ga);
        double inner = 0.01 * (b - a);
        c = fmin(fmax(c, a + inner), b - inner);
        double g = one_function(p, event, c);
        if (g >= 0.0) {
            b = c;
            gb = g;
            if (side == 1)
                ga *= 0.5;
            side = 1;
        } else {
            a = c;
            ga = g;
            if (side == -1)
                gb *= 0.5;
            side = -1;
        }
    }
    return b;
}

/* The top of the parabola through three neighbouring points, where it lies between them. */
static double top_of(double g0, double g1, double g2, double at1, double step) {
    double bend = g0 - 2.0 * g1 + g2;
    if (!(bend < 0.0))
        return -1.0;
    return at1 + 0.5 * step * (g0 - g2) / bend;
}

/* The share at which one function rises through zero, 2 = it does not. Where all points lie below,
 * the highest one's surroundings are looked at: a crossing that only grazes. */
static double crossing(jv_play *p, size_t event) {
    double g[POINTS];
    int best = 0;
    for (int k = 0; k < POINTS; k++) {
        g[k] = p->g[k][event];
        if (g[k] > g[best])
            best = k;
    }
    if (g[best] <= JV_NO_EVENT)
        return 2.0;
    for (int k = 1; k < POINTS; k++)
        if (g[k - 1] < 0.0 && g[k] >= 0.0)
            return root(p, event, shares[k - 1], g[k - 1], shares[k], g[k]);
    if (g[best] >= 0.0)
        return 2.0;
    int middle = best == 0 ? 1 : best == POINTS - 1 ? POINTS - 2 : best;
    double top = top_of(g[middle - 1], g[middle], g[middle + 1], shares[middle], shares[1]);
    if (top <= 0.0 || top >= 1.0)
        return 2.0;
    double high = one_function(p, event, top);
    if (high < 0.0)
        return 2.0;
    int left = (int)(top / shares[1]);
    return root(p, event, shares[left], g[left], top, high);
}

/* The first event of the last step; *share 2 = none. p->g[0] is used up by looking closer, so
 * crossings are first gathered from a copy. */
size_t jv_locate_first(jv_play *p, double *share) {
    size_t which = 0;
    *share = 2.0;
    for (int k = 1; k < POINTS - 1; k++) {
        jv_motion_look(p->motion, shares[k], p->values[k]);
        functions(p, p->values[k], p->g[k]);
    }
    functions(p, p->motion->now, p->g[POINTS - 1]);
    functions(p, p->motion->last, p->g[0]);
    double *start = p->values[1]; /* no longer needed: what g was at the start */
    memcpy(start, p->g[0], p->n_g * sizeof *start);
    for (size_t e = 0; e < p->n_g; e++) {
        p->g[0][e] = start[e];
        double at = crossing(p, e);
        memcpy(p->g[0], start, p->n_g * sizeof *start);
        if (at >= *share)
            continue;
        *share = at;
        which = e;
    }
    return which;
}
