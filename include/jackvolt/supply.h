/* supply.h - a regulated source that cannot take current in. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_SUPPLY_H
#define JACKVOLT_SUPPLY_H

#include <stdbool.h>

/* Converter, alternator, tow vehicle or solar regulator. (S1) I >= 0 always:
 *   I = 0             V >= set_v        (the battery is higher: it only blocks)
 *   I = (set_v - V)/r 0 < I < limit_a
 *   I = limit_a       below             constant current
 * Hiccup: past the limit it stops and tries again; over time it gives hiccup_share of the
 * limit. */
typedef enum jv_overload { JV_OVERLOAD_CONSTANT_CURRENT, JV_OVERLOAD_HICCUP } jv_overload;

typedef struct jv_supply {
    double set_v;
    double resistance_ohm; /* > 0; droop */
    double limit_a;        /* > 0 or infinity */
    jv_overload overload;
    double hiccup_share; /* mean share of limit_a while in hiccup, 0 .. 1; 0 = off */
    double drop_out_v;   /* constant current ends below this volts (0 = holds to zero) */
} jv_supply;

typedef enum jv_supply_state {
    JV_SUPPLY_BLOCKS, /* the terminals are above set_v */
    JV_SUPPLY_REGULATES,
    JV_SUPPLY_LIMITS,
    JV_SUPPLY_HICCUP
} jv_supply_state;

/* Current out at terminal volts v, and its slope dI/dV (one of the two at a kink). slope and
 * state may be NULL. */
double jv_supply_current(const jv_supply *s, double v, double *slope, jv_supply_state *state);

#endif
