/* laws.h - what the laws and the choice of their pieces share. SPDX-License-Identifier: MIT */
#ifndef SOLVE_LAWS_H
#define SOLVE_LAWS_H

#include "solve/system.h"

#include <math.h>

/* fmax without its care for NaN, which costs a call each time. */
static inline double jv_greater(double a, double b) {
    return a > b ? a : b;
}

/* Volts that it tries to hold at its output. */
static inline double jv_regulator_target(const jv_element *e, double input) {
    double room = input - e->drop;
    return room < e->e ? (room > 0.0 ? room : 0.0) : e->e;
}

/* What a law reads of e as it is now. */
static inline void jv_lean_take(const jv_element *e, jv_lean *l) {
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
        l->heat_a = e->heat_a;
        l->heat_c = e->heat_c;
        l->heat_per_a = e->heat_per_a;
        l->heat = e->heat;
    } else {
        l->r = e->r;
        l->e = e->e;
    }
}

#endif
