/* contact.c - joints. SPDX-License-Identifier: MIT */
#include "jackvolt/contact.h"

#include "jackvolt/heat.h"

#include <math.h>

double jv_contact_drop_v(double ohm, double current_a) {
    return ohm * current_a;
}
double jv_contact_heat_w(double ohm, double current_a) {
    return ohm * current_a * current_a;
}

double jv_contact_duty_ohm(double cold_ohm, double hot_ohm, double heats_in_s, double t_s,
                           double pause_s, double repeats) {
    static const double constants = 3; /* 95 % of the way after three time constants */
    double share = jv_duty_share(t_s, pause_s, repeats, heats_in_s / constants);
    return cold_ohm + (hot_ohm - cold_ohm) * share;
}

double jv_contact_warming_ohm(double cold_ohm, double hot_ohm, double heats_in_s, double t_s) {
    return jv_contact_duty_ohm(cold_ohm, hot_ohm, heats_in_s, t_s, 0, 1);
}

double jv_contact_rise_k(double rise1_k, double i1_a, double i2_a) {
    double ratio = i2_a / i1_a;
    return rise1_k * ratio * ratio;
}

double jv_contact_spot_c(double drop_v, double body_c) {
    static const double kelvin = 273.15;
    static const double lorenz = 2.44e-8; /* V2/K2, Wiedemann-Franz */
    double body = body_c + kelvin;
    return sqrt(body * body + drop_v * drop_v / (4 * lorenz)) - kelvin;
}
