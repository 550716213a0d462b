/* hall.c - Hall sensors of the jack motors. SPDX-License-Identifier: MIT */
#include "jackvolt/hall.h"

#include <math.h>

#define PI 3.14159265358979323846

/* Data sheets of motor encoders and gear-tooth sensors: 4.5 .. 24 V; open drain 22 ohm. */
static const double usual_least_v = 4.5, usual_most_v = 24, usual_on_ohm = 22;

jv_hall_state jv_hall_check(const jv_hall *h, double supply_v) {
    if (supply_v < (h->minimum_v > 0 ? h->minimum_v : usual_least_v))
        return JV_HALL_STARVED;
    if (supply_v > (h->maximum_v > 0 ? h->maximum_v : usual_most_v))
        return JV_HALL_TOO_HIGH;
    return JV_HALL_WORKS;
}

jv_hall_levels jv_hall_signal(const jv_hall *h, double pull_up_v, double shift_v, double load_ohm) {
    jv_hall_levels l = {0};
    if (h->output == JV_HALL_TWO_WIRE) {
        /* the signal is a current: the ground shift drops out */
        l.low_v = h->current_a * h->pull_up_ohm;
        l.high_v = h->high_a * h->pull_up_ohm;
        l.sink_a = h->current_a;
        return l;
    }
    double share = load_ohm > 0 ? load_ohm / (load_ohm + h->pull_up_ohm) : 1;
    double source_ohm = h->pull_up_ohm * share;
    l.high_v = pull_up_v * share;
    if (h->low_v > 0) {
        l.low_v = shift_v + h->low_v;
        l.sink_a = (l.high_v - l.low_v) / source_ohm;
    } else {
        double on = h->on_ohm > 0 ? h->on_ohm : usual_on_ohm;
        l.sink_a = (l.high_v - shift_v) / (source_ohm + on);
        l.low_v = shift_v + l.sink_a * on;
    }
    return l;
}

bool jv_hall_readable(const jv_hall_levels *l, double low_limit_v, double high_limit_v) {
    return l->low_v < low_limit_v && l->high_v > high_limit_v;
}

double jv_hall_pulse_hz(double speed_rad_s, double pulses_per_turn) {
    return fabs(speed_rad_s) / (2 * PI) * pulses_per_turn;
}

double jv_hall_gap_s(double speed_rad_s, double pulses_per_turn) {
    double hz = jv_hall_pulse_hz(speed_rad_s, pulses_per_turn);
    return hz > 0 ? 1 / hz : INFINITY;
}

double jv_hall_sense_ohm(double supply_v, double minimum_v, double high_a) {
    return (supply_v - minimum_v) / high_a;
}
