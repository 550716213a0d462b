/* pump.h - hydraulic pump pack. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_PUMP_H
#define JACKVOLT_PUMP_H

#include "jackvolt/motor.h"

/* (P1) T = dp D/(2 pi eta_hm), Q = D w/(2 pi) eta_v, leg speed = Q/(n A). */
typedef struct jv_pump {
    double displacement_m3; /* D per turn */
    double mechanical;      /* eta_hm, 0..1 */
    double volumetric;      /* eta_v, 0..1 */
    double relief_pa;       /* pressure is pinned here; 0 or infinity = none */
} jv_pump;

double jv_pump_torque_nm(const jv_pump *p, double pressure_pa); /* relief applied */
double jv_pump_flow_m3_s(const jv_pump *p, double speed_rad_s);
double jv_cylinder_speed(double flow_m3_s, double bore_m, int legs); /* m/s */
double jv_cylinder_force_n(double pressure_pa, double bore_m);
double jv_cylinder_pressure_pa(double force_n, double bore_m);

/* By its plate: rated_pressure at rated_a, idle_a at no pressure, at rated_v. Permanent
 * magnet: linear in pressure; series: (P2) square root law between the two points,
 * I = sqrt(I0^2 + (Ir^2 - I0^2) p/pr). */
typedef enum jv_pump_kind { JV_PUMP_MAGNET, JV_PUMP_SERIES } jv_pump_kind;
typedef struct jv_pump_plate {
    jv_pump_kind kind;
    double rated_pressure_pa;
    double rated_a;
    double idle_a;
    double stall_a;   /* <= 0 or NAN: JV_JACK_STALL_FACTOR x rated, assumed */
    double rated_v;   /* 0 = 12 */
    double relief_pa; /* 0 = none */
} jv_pump_plate;
double jv_pump_plate_current(const jv_pump_plate *p, double pressure_pa);
double jv_pump_plate_resistance(const jv_pump_plate *p);

/* Pump and motor together at v volts. Flow 0 when stalled. */
typedef struct jv_pump_point {
    double current_a;
    double slope; /* dI/dV */
    double flow_m3_s;
    double speed_rad_s;
    bool stalled;
} jv_pump_point;
jv_pump_point jv_pump_magnet_steady(const jv_pump *p, const jv_motor *m, double v,
                                    double pressure_pa);
jv_pump_point jv_pump_series_steady(const jv_pump *p, const jv_series_motor *m, double v,
                                    double pressure_pa);

#endif
