/* supply.c - a regulated source that cannot take current in. SPDX-License-Identifier: MIT */
#include "jackvolt/supply.h"

#include <stddef.h>

static double answer(double amps, double per_volt, jv_supply_state state, double *slope,
                     jv_supply_state *out) {
    if (slope)
        *slope = per_volt;
    if (out)
        *out = state;
    return amps;
}

double jv_supply_current(const jv_supply *s, double v, double *slope, jv_supply_state *state) {
    double amps = (s->set_v - v) / s->resistance_ohm;
    if (amps <= 0)
        return answer(0, 0, JV_SUPPLY_BLOCKS, slope, state);
    if (amps < s->limit_a)
        return answer(amps, -1 / s->resistance_ohm, JV_SUPPLY_REGULATES, slope, state);
    if (s->overload == JV_OVERLOAD_HICCUP || v < s->drop_out_v)
        return answer(s->hiccup_share * s->limit_a, 0, JV_SUPPLY_HICCUP, slope, state);
    return answer(s->limit_a, 0, JV_SUPPLY_LIMITS, slope, state);
}
