/* relay.c - relay and contactor coils. SPDX-License-Identifier: MIT */
#include "jackvolt/relay.h"

static const double copper_zero = 234.5; /* degC below 0 where copper's R would vanish */
static const double reference_c = 20;
static const double coil_v = 12; /* usual rated volts */

jv_relay jv_relay_assumed(double rated_v) {
    /* Printed guarantees of 12 V relays: pull-in 58..67 %, drop-out 4..10 %, coil
     * 75..300 ohm; the 45 A class has 90 ohm. */
    return (jv_relay){.coil_ohm = 90,
                      .pull_in_v = 0.60 * rated_v,
                      .drop_out_v = 0.10 * rated_v,
                      .rated_v = rated_v};
}

double jv_coil_scale(double value, double at_c, double coil_c) {
    return value * (copper_zero + coil_c) / (copper_zero + at_c);
}

double jv_coil_ohm(const jv_relay *r, double coil_c) {
    return jv_coil_scale(r->coil_ohm, reference_c, coil_c);
}
double jv_coil_current(const jv_relay *r, double volts, double coil_c) {
    return volts / jv_coil_ohm(r, coil_c);
}
double jv_relay_pull_in_v(const jv_relay *r, double coil_c) {
    return jv_coil_scale(r->pull_in_v, reference_c, coil_c);
}
double jv_relay_drop_out_v(const jv_relay *r, double coil_c) {
    return jv_coil_scale(r->drop_out_v, reference_c, coil_c);
}

double jv_coil_temp_c(const jv_relay *r, double ambient_c, double volts) {
    double share = volts / (r->rated_v > 0 ? r->rated_v : coil_v);
    return ambient_c + r->self_heat_k * share * share;
}

bool jv_relay_closed(const jv_relay *r, bool was_closed, double volts, double coil_c) {
    double size = volts < 0 ? -volts : volts; /* a plain coil pulls either way round */
    if (size >= jv_relay_pull_in_v(r, coil_c))
        return true;
    return was_closed && size > jv_relay_drop_out_v(r, coil_c);
}

bool jv_relay_chatters(const jv_relay *r, double open_v, double load_ohm, double source_ohm,
                       double coil_c) {
    double loaded = open_v * load_ohm / (load_ohm + source_ohm);
    return jv_relay_closed(r, false, open_v, coil_c) && !jv_relay_closed(r, true, loaded, coil_c);
}

double jv_relay_buzz_hz(double pull_s, double release_s, double bounce_s) {
    return 1 / (pull_s + release_s + bounce_s);
}
