/* laws.h - what the laws and the choice of their pieces share. SPDX-License-Identifier: MIT */
#ifndef SOLVE_LAWS_H
#define SOLVE_LAWS_H

#include "solve/system.h"

#include <math.h>

/* fmax without its care for NaN, which costs a call each time. */
static inline double jv_greater(double a, double b) {
    return a > b ? a : b;
}

/* Largest size among x[n], in four lanes: one would wait for itself. */
static inline double jv_greatest(const double *x, size_t n) {
    double most[4] = {0.0, 0.0, 0.0, 0.0};
    size_t k = 0;
    for (; k + 4 <= n; k += 4)
        for (size_t m = 0; m < 4; m++)
            most[m] = jv_greater(fabs(x[k + m]), most[m]);
    for (; k < n; k++)
        most[0] = jv_greater(fabs(x[k]), most[0]);
    return jv_greater(jv_greater(most[0], most[1]), jv_greater(most[2], most[3]));
}

/* Volts that it tries to hold at its output. */
static inline double jv_regulator_target(const jv_element *e, double input) {
    double room = input - e->drop;
    return room < e->e ? (room > 0.0 ? room : 0.0) : e->e;
}

/* What an answer may miss a border between two pieces by. */
typedef struct jv_give {
    double v, a;
} jv_give;
jv_give jv_piece_give(jv_largest largest);
/* True when element k, as taken in l, changes its piece. */
bool jv_piece_change(jv_system *s, size_t k, const jv_lean *l, const jv_give *give);

/* What a law reads of e as it is now; `heats`: those of the system. */
static inline void jv_lean_take(const jv_element *e, jv_lean *l, jv_lean_heat *heats) {
    l->a = e->a;
    l->b = e->b;
    l->law = e->law;
    l->open = e->open;
    l->warm = JV_COLD;
    if (e->law == JV_SINK) {
        l->siemens = 1.0 / e->r;
        l->limit = e->limit;
        l->back = e->back;
    } else if (e->heat) { /* which never has volts of its own */
        l->warm = isinf(e->heat_s) && !e->curve ? JV_WARM_STEADY : JV_WARM_BY_ELEMENT;
        l->r_per_k = e->r * e->r_slope;
        l->r_at_zero = e->r - l->r_per_k * e->r_at_c;
        l->heat_c = e->heat_c;
        heats[l->heat] = (jv_lean_heat){e->heat_a, e->heat_per_a, e->heat};
    } else {
        l->r = e->r;
        l->e = e->e;
    }
}

#endif
