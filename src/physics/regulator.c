/* regulator.c - the supply of the sensors. SPDX-License-Identifier: MIT */
#include "jackvolt/regulator.h"

#include <stdbool.h>
#include <stddef.h>

static const double least_ohm = 1e-3; /* output of a good regulator; keeps the current finite */

static double output_ohm(const jv_regulator *r) {
    return r->resistance_ohm > least_ohm ? r->resistance_ohm : least_ohm;
}
static double shorted_a(const jv_regulator *r) {
    return r->short_a > 0 ? r->short_a : r->limit_a;
}

double jv_regulator_open_v(const jv_regulator *r, double in_v) {
    double passes = in_v - r->dropout_v;
    if (passes < 0)
        return 0;
    return passes < r->set_v ? passes : r->set_v;
}

double jv_regulator_limit_a(const jv_regulator *r, double in_v, double out_v) {
    if (jv_regulator_open_v(r, in_v) <= 0)
        return 0;
    double share = out_v / r->set_v;
    if (share < 0)
        share = 0;
    if (share > 1)
        share = 1;
    return shorted_a(r) + (r->limit_a - shorted_a(r)) * share;
}

double jv_regulator_current(const jv_regulator *r, double in_v, double out_v, double *dout,
                            double *din, jv_regulator_state *state) {
    double ohm = output_ohm(r), open = jv_regulator_open_v(r, in_v);
    bool starved = open < r->set_v;
    double amps = (open - out_v) / ohm, most = jv_regulator_limit_a(r, in_v, out_v);
    double by_out = -1 / ohm, by_in = starved && open > 0 ? 1 / ohm : 0;
    jv_regulator_state is = starved ? JV_REGULATOR_STARVED : JV_REGULATOR_HOLDS;
    if (amps <= 0) {
        amps = by_out = by_in = 0;
    } else if (amps > most) {
        amps = most;
        by_out = out_v > 0 ? (r->limit_a - shorted_a(r)) / r->set_v : 0;
        by_in = 0;
        is = JV_REGULATOR_LIMITS;
    }
    if (dout)
        *dout = by_out;
    if (din)
        *din = by_in;
    if (state)
        *state = is;
    return amps;
}

double jv_regulator_into(const jv_regulator *r, double in_v, double load_ohm, double *current_a,
                         jv_regulator_state *state) {
    double open = jv_regulator_open_v(r, in_v);
    double amps = open / (output_ohm(r) + load_ohm), volts = amps * load_ohm;
    jv_regulator_state is = open < r->set_v ? JV_REGULATOR_STARVED : JV_REGULATOR_HOLDS;
    if (amps > jv_regulator_limit_a(r, in_v, volts)) {
        /* where V = I R meets the fold I = Is + (Il - Is) V/set */
        amps = shorted_a(r) / (1 - (r->limit_a - shorted_a(r)) * load_ohm / r->set_v);
        volts = amps * load_ohm;
        is = JV_REGULATOR_LIMITS;
    }
    if (current_a)
        *current_a = amps;
    if (state)
        *state = is;
    return volts;
}
