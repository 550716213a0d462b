/* pump.c - hydraulic pump pack. SPDX-License-Identifier: MIT */
#include "jackvolt/pump.h"

#include <math.h>

#define PI 3.14159265358979323846

static const double plate_v = 12; /* usual rated volts */

static double relieved(double pressure_pa, double relief_pa) {
    return relief_pa > 0 && pressure_pa > relief_pa ? relief_pa : pressure_pa;
}

double jv_pump_torque_nm(const jv_pump *p, double pressure_pa) {
    return relieved(pressure_pa, p->relief_pa) * p->displacement_m3 / (2 * PI * p->mechanical);
}

double jv_pump_flow_m3_s(const jv_pump *p, double speed_rad_s) {
    return p->displacement_m3 * speed_rad_s / (2 * PI) * p->volumetric;
}

static double bore_area(double bore_m) {
    return PI / 4 * bore_m * bore_m;
}

double jv_cylinder_speed(double flow_m3_s, double bore_m, int legs) {
    return flow_m3_s / (legs * bore_area(bore_m));
}
double jv_cylinder_force_n(double pressure_pa, double bore_m) {
    return pressure_pa * bore_area(bore_m);
}
double jv_cylinder_pressure_pa(double force_n, double bore_m) {
    return force_n / bore_area(bore_m);
}

double jv_pump_plate_current(const jv_pump_plate *p, double pressure_pa) {
    double share = fabs(relieved(pressure_pa, p->relief_pa)) / p->rated_pressure_pa;
    if (p->kind == JV_PUMP_MAGNET)
        return p->idle_a + (p->rated_a - p->idle_a) * share;
    double idle2 = p->idle_a * p->idle_a;
    return sqrt(idle2 + (p->rated_a * p->rated_a - idle2) * share);
}

double jv_pump_plate_resistance(const jv_pump_plate *p) {
    double stall = p->stall_a > 0 ? p->stall_a : JV_JACK_STALL_FACTOR * p->rated_a;
    return (p->rated_v > 0 ? p->rated_v : plate_v) / stall;
}

/* At the relief the oil goes back to the tank: the pump turns, the leg does not. */
static jv_pump_point together(const jv_pump *p, jv_motor_point m, double pressure_pa) {
    bool spills = p->relief_pa > 0 && pressure_pa >= p->relief_pa;
    return (jv_pump_point){.current_a = m.current_a,
                           .slope = m.slope,
                           .flow_m3_s = spills ? 0 : jv_pump_flow_m3_s(p, m.speed),
                           .speed_rad_s = m.speed,
                           .stalled = m.stalled};
}

jv_pump_point jv_pump_magnet_steady(const jv_pump *p, const jv_motor *m, double v,
                                    double pressure_pa) {
    return together(p, jv_motor_steady(m, v, jv_pump_torque_nm(p, pressure_pa)), pressure_pa);
}

jv_pump_point jv_pump_series_steady(const jv_pump *p, const jv_series_motor *m, double v,
                                    double pressure_pa) {
    return together(p, jv_series_steady(m, v, jv_pump_torque_nm(p, pressure_pa)), pressure_pa);
}
