/* units.h - the table of units. SPDX-License-Identifier: MIT */
#ifndef BASE_UNITS_H
#define BASE_UNITS_H

#include "jackvolt/quantity.h"

#include <stdbool.h>

/* SI value = (number - zero) * multiplier / divisor. Two factors, because a division by 1000 is
 * rounded once and a multiplication by 0.001 twice. */
typedef struct jv_unit {
    jv_dim dim;
    bool any_case;    /* capitals do not matter: no other unit differs by them alone */
    const char *text; /* without blanks, '*' and '^' */
    double multiplier;
    double divisor;
    double zero;
} jv_unit;

/* The unit written `text` (without blanks) of a dimension; NULL = none. */
const jv_unit *jv_unit_find(const char *text, jv_dim dim);
/* The same in any dimension. */
const jv_unit *jv_unit_find_any(const char *text);

double jv_unit_to_si(const jv_unit *unit, double number);
/* A difference, to which the unit's zero is nothing: 9 degF are 5 K. */
double jv_unit_difference_to_si(const jv_unit *unit, double number);
double jv_unit_from_si(const jv_unit *unit, double value);

#endif
