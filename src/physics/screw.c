/* screw.c - power screw and gearbox. SPDX-License-Identifier: MIT */
#include "jackvolt/screw.h"

#include <math.h>

#define PI 3.14159265358979323846

double jv_screw_mean_m(double major_m, double pitch_m) {
    return major_m - pitch_m / 2;
}

double jv_screw_lead_angle(const jv_screw *s) {
    return atan2(s->lead_m, PI * s->mean_m);
}

/* f sec a. */
static double thread_friction(const jv_screw *s) {
    double angle = s->half_angle;
    if (s->normal_angle)
        angle = atan(tan(angle) * cos(jv_screw_lead_angle(s)));
    return s->friction / cos(angle);
}

static double collar_nm(const jv_screw *s, double force_n) {
    return force_n * s->collar_friction * s->collar_mean_m / 2;
}

double jv_screw_raise_nm(const jv_screw *s, double force_n) {
    double f = thread_friction(s), turn = PI * s->mean_m, below = turn - f * s->lead_m;
    if (!(below > 0))
        return INFINITY;
    return force_n * s->mean_m / 2 * (s->lead_m + f * turn) / below + collar_nm(s, force_n);
}

double jv_screw_lower_nm(const jv_screw *s, double force_n) {
    double f = thread_friction(s), turn = PI * s->mean_m;
    return force_n * s->mean_m / 2 * (f * turn - s->lead_m) / (turn + f * s->lead_m) +
           collar_nm(s, force_n);
}

double jv_screw_efficiency(const jv_screw *s) {
    return s->lead_m / (2 * PI * jv_screw_raise_nm(s, 1));
}

bool jv_screw_locks(const jv_screw *s, bool with_collar) {
    if (with_collar)
        return jv_screw_lower_nm(s, 1) > 0;
    return thread_friction(s) > tan(jv_screw_lead_angle(s));
}

double jv_screw_force_n(const jv_screw *s, double torque_nm) {
    return torque_nm / jv_screw_raise_nm(s, 1);
}

double jv_collar_mean_wear_m(double outer_m, double inner_m) {
    return (outer_m + inner_m) / 2;
}

double jv_collar_mean_pressure_m(double outer_m, double inner_m) {
    double cubes = pow(outer_m, 3) - pow(inner_m, 3);
    return 2.0 / 3 * cubes / (outer_m * outer_m - inner_m * inner_m);
}

double jv_gear_motor_nm(const jv_gear *g, double out_nm) {
    return g->drag_nm + out_nm / (g->ratio * g->efficiency);
}

jv_gear jv_gear_chain(const jv_gear *stages, int count) {
    jv_gear all = {.ratio = 1, .efficiency = 1};
    for (int i = 0; i < count; i++) {
        all.ratio *= stages[i].ratio;
        all.efficiency *= stages[i].efficiency;
        all.drag_nm += stages[i].drag_nm;
    }
    return all;
}

double jv_worm_efficiency(double normal_angle, double friction, double lead_angle) {
    double c = cos(normal_angle), t = tan(lead_angle);
    return (c - friction * t) / (c + friction / t);
}

/* Torque at the motor shaft. A load that runs down by itself pushes the gear backwards, and
 * the meshes eat their share of the push. */
static double motor_nm(const jv_leg *leg, double force_n) {
    if (force_n >= 0)
        return jv_gear_motor_nm(&leg->gear, jv_screw_raise_nm(&leg->screw, force_n));
    double lower = jv_screw_lower_nm(&leg->screw, -force_n);
    if (lower >= 0)
        return jv_gear_motor_nm(&leg->gear, lower);
    return leg->gear.drag_nm + lower * leg->gear.efficiency / leg->gear.ratio;
}

double jv_leg_load_current(const jv_leg *leg, double force_n) {
    double amps = motor_nm(leg, force_n) / leg->motor.kt_nm_a + leg->motor.no_load_a;
    return amps > 0 ? amps : 0;
}

jv_leg_point jv_leg_steady(const jv_leg *leg, double v, double force_n) {
    double drag = leg->motor.no_load_a * leg->motor.kt_nm_a, torque = motor_nm(leg, force_n);
    jv_motor_point p = jv_motor_steady(&leg->motor, v, torque > -drag ? torque : -drag);
    double per_rad = leg->screw.lead_m / (2 * PI * leg->gear.ratio);
    return (jv_leg_point){p.current_a, p.speed * per_rad, p.slope, p.stalled};
}

double jv_leg_stall_force_n(const jv_leg *leg, double v) {
    const jv_motor *m = &leg->motor;
    double amps = (fabs(v) - m->brush_v) / m->resistance_ohm - m->no_load_a;
    double shaft = amps * m->kt_nm_a - leg->gear.drag_nm;
    if (!(shaft > 0))
        return 0;
    return jv_screw_force_n(&leg->screw, shaft * leg->gear.ratio * leg->gear.efficiency);
}

double jv_leg_with_tube_drag_n(double force_n, double side_n, double mu, double overhang_m,
                               double guide_m) {
    return force_n + mu * 2 * fabs(side_n) * overhang_m / guide_m;
}
