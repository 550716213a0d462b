/* curve.h - temperature of a conductor by its current, tabulated. SPDX-License-Identifier: MIT */
#ifndef SOLVE_CURVE_H
#define SOLVE_CURVE_H

#include "circuit/element.h"
#include "jackvolt/memory.h"
#include "jackvolt/status.h"

#include <math.h>
#include <stddef.h>

/* A study that solves one circuit many times asks each cable for its temperature many times
 * over, always with the same heat body, air and time: only the current differs. The curve
 * answers by cubic Hermite pieces between tabulated points. The temperature is a function of
 * the size of the current alone. */
enum { JV_HEAT_CURVE_PIECES = 96 };
typedef struct jv_heat_curve {
    double per_piece; /* pieces an ampere */
    /* degC, degC a piece at the points; one more than there are pieces */
    double temp_c[JV_HEAT_CURVE_PIECES + 1], slope[JV_HEAT_CURVE_PIECES + 1];
    double most_a; /* where it ends, or the conductor finds no steady temperature */
} jv_heat_curve;

/* Tabulate for the heat body, air and time that the element has now, from 0 to most_a. */
void jv_heat_curve_make(const jv_element *e, double most_a, jv_heat_curve *out);

/* False beyond its end. *temp: degC, *slope: K/A (its sign follows the current's). */
static inline bool jv_heat_curve_at(const jv_heat_curve *c, double current_a, double *temp,
                                    double *slope) {
    double i = fabs(current_a);
    if (!(i < c->most_a))
        return false;
    double place = i * c->per_piece;
    int k = (int)place;
    double t = place - k, s = 1.0 - t;
    double rise = c->temp_c[k + 1] - c->temp_c[k];
    double a = c->slope[k] - rise, b = rise - c->slope[k + 1];
    *temp = s * c->temp_c[k] + t * c->temp_c[k + 1] + t * s * (a * s + b * t);
    double per = rise + (s - t) * (a * s + b * t) + t * s * (b - a);
    *slope = copysign(per * c->per_piece, current_a);
    return true;
}

#endif
