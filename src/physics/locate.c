/* locate.c - how far along a lead a fault is. SPDX-License-Identifier: MIT */
#include "jackvolt/locate.h"

#include <math.h>

static double square(double x) {
    return x * x;
}

/* d = ohms / ohm_per_length; relative variances add. */
static jv_status from_ohms(double ohms, double sd_ohm, double ohm_per_length, double length,
                           double share_sd, jv_distance *out) {
    if (!(ohm_per_length > 0.0) || !(length > 0.0))
        return JV_ERR_RANGE;
    double d = ohms / ohm_per_length;
    double sd = sqrt(square(sd_ohm / ohm_per_length) + square(d * share_sd));
    /* What lies outside by more than three deviations is no place on this lead. */
    if (!(d > -3.0 * sd) || !(d < length + 3.0 * sd))
        return JV_ERR_RANGE;
    out->from_a = fmin(fmax(d, 0.0), length);
    out->sd = sd;
    return JV_OK;
}

jv_status jv_locate_ohms(double loop_ohm, double lead_ohm, double ohm_per_length, double length,
                         double reading_sd, double short_sd, double share_sd, jv_distance *out) {
    double sd = sqrt(square(reading_sd) + square(short_sd));
    return from_ohms(loop_ohm - lead_ohm, sd, ohm_per_length, length, share_sd, out);
}

jv_status jv_locate_drop(double drop_v, double current_a, double ohm_per_length, double length,
                         double drop_sd, double current_sd, double share_sd, jv_distance *out) {
    if (!(current_a > 0.0))
        return JV_ERR_RANGE;
    double ohms = drop_v / current_a;
    double sd = sqrt(square(drop_sd / current_a) + square(ohms * current_sd / current_a));
    return from_ohms(ohms, sd, ohm_per_length, length, share_sd, out);
}

jv_status jv_locate_murray(double arm_sound, double arm_faulty, double loop, double *distance) {
    if (!(arm_sound >= 0.0) || !(arm_faulty >= 0.0) || !(arm_sound + arm_faulty > 0.0) ||
        !(loop > 0.0))
        return JV_ERR_RANGE;
    *distance = arm_faulty / (arm_sound + arm_faulty) * loop;
    return JV_OK;
}

jv_status jv_locate_varley(double p, double q, double s_earth, double s_loop, double *x,
                           double *whole) {
    if (!(p > 0.0) || !(q > 0.0) || !(s_earth >= 0.0) || !(s_loop > 0.0))
        return JV_ERR_RANGE;
    double both = p * s_loop / q, to_fault = (q * both - p * s_earth) / (p + q);
    if (!(to_fault >= 0.0) || !(to_fault <= both))
        return JV_ERR_RANGE;
    *x = to_fault;
    *whole = both;
    return JV_OK;
}

jv_status jv_locate_varley_ratio(double r_i_over_r_f, double area_c, double length, double area_l,
                                 double length_l, double *distance) {
    if (!(area_c > 0.0) || !(area_l > 0.0) || !(length > 0.0) || !(length_l >= 0.0) ||
        !(r_i_over_r_f >= 0.0))
        return JV_ERR_RANGE;
    double d =
        ((1.0 - r_i_over_r_f) - r_i_over_r_f * (area_c * length_l) / (area_l * length)) * length;
    if (!(d >= 0.0) || !(d <= length))
        return JV_ERR_RANGE;
    *distance = d;
    return JV_OK;
}

double jv_bridge_balanced(double r1, double r2, double r3) {
    return r2 * r3 / r1;
}

double jv_bridge_current(double v, double ab, double bc, double cd, double da, double meter_ohm,
                         double *open_v, double *source_ohm) {
    double open = v * (bc / (ab + bc) - cd / (cd + da));
    double source = ab * bc / (ab + bc) + cd * da / (cd + da);
    if (open_v)
        *open_v = open;
    if (source_ohm)
        *source_ohm = source;
    return open / (source + meter_ohm);
}
