/* regulator.h - the supply of the sensors. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_REGULATOR_H
#define JACKVOLT_REGULATOR_H

/* (G1) out = min(set, in - dropout), never below 0, while the load takes no more than limit;
 * past it the current folds on a straight line to the short-circuit current at 0 V. */
typedef struct jv_regulator {
    double set_v;
    double dropout_v;      /* at full current */
    double limit_a;        /* > 0 */
    double short_a;        /* into a dead short; 0 = same as limit_a */
    double resistance_ohm; /* output resistance while regulating, >= 0 */
    double own_a;          /* its own current */
} jv_regulator;

typedef enum jv_regulator_state {
    JV_REGULATOR_HOLDS,   /* at set volts */
    JV_REGULATOR_STARVED, /* input too low: follows the input */
    JV_REGULATOR_LIMITS   /* current limit or short */
} jv_regulator_state;

/* Output volts with no current limit acting. */
double jv_regulator_open_v(const jv_regulator *r, double in_v);
/* Greatest current at output volts out_v. */
double jv_regulator_limit_a(const jv_regulator *r, double in_v, double out_v);
/* Current delivered at output volts out_v (>= 0: it cannot sink); slopes may be NULL. */
double jv_regulator_current(const jv_regulator *r, double in_v, double out_v, double *dout,
                            double *din, jv_regulator_state *state);
/* Volts and current into a plain resistance. load_ohm 0 = dead short. */
double jv_regulator_into(const jv_regulator *r, double in_v, double load_ohm, double *current_a,
                         jv_regulator_state *state);

#endif
