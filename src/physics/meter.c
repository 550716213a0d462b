/* meter.c - what a meter shows. SPDX-License-Identifier: MIT */
#include "jackvolt/meter.h"

#include <math.h>

static const double usual_input_ohm = 10e6; /* hand meters, DMM-REQ */

jv_meter jv_meter_plain(void) {
    return (jv_meter){
        .volts = {.percent = 0.5, .counts = 3, .step = 0.01, .full_scale = 40},
        .millivolts = {.percent = 0.5, .counts = 3, .step = 0.1e-3, .full_scale = 0.4},
        .ohms = {.percent = 0.8, .counts = 5, .step = 0.1, .full_scale = 400},
        .amps = {.percent = 2.5, .counts = 5, .step = 0.1, .full_scale = 400},
        .input_ohm = usual_input_ohm,
        .lead_ohm = 0.2,
        .test_a = 0.5e-3,
        .open_v = 1.2,
        .response_s = 0.3,
    };
}

double jv_meter_error(const jv_meter_range *r, double x) {
    return r->percent / 100 * fabs(x) + r->counts * r->step;
}

double jv_meter_shown(const jv_meter_range *r, double x) {
    if (r->full_scale > 0 && fabs(x) > r->full_scale)
        return INFINITY; /* overload sign */
    return r->step > 0 ? round(x / r->step) * r->step : x;
}

double jv_meter_loaded_v(const jv_meter *m, double open_v, double source_ohm) {
    double input = m->input_ohm > 0 ? m->input_ohm : usual_input_ohm;
    return open_v * input / (input + source_ohm);
}

double jv_meter_ohms_shown(const jv_meter *m, double ohm, double *error) {
    double through = ohm + m->lead_ohm;
    if (error)
        *error = jv_meter_error(&m->ohms, through);
    return jv_meter_shown(&m->ohms, through);
}

double jv_meter_test_v(const jv_meter *m, double ohm) {
    double v = m->test_a * ohm;
    return v < m->open_v ? v : m->open_v;
}

double jv_meter_dip_shown(const jv_meter *m, double v0, double v1, double dip_s) {
    if (!(m->response_s > 0))
        return v1;
    return v1 + (v0 - v1) * exp(-dip_s / m->response_s);
}

double jv_meter_difference_error(const jv_meter_range *r, double a, double b) {
    return jv_meter_error(r, a) + jv_meter_error(r, b);
}

double jv_meter_current_for(const jv_meter_range *r, double ohm, double times) {
    return times * r->step / ohm;
}
