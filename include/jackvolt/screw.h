/* screw.h - power screw and gearbox. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_SCREW_H
#define JACKVOLT_SCREW_H

#include "jackvolt/motor.h"

#include <stdbool.h>

/* Symbols of the trade: F axial load, d major diameter, dm mean, p pitch, l lead, f thread
 * friction, a half thread angle (0 square, 14.5 deg Acme, 15 deg metric trapezoidal),
 * fc, dc collar friction and mean diameter. */
typedef struct jv_screw {
    double mean_m;          /* dm */
    double lead_m;          /* l */
    double half_angle;      /* a, rad */
    double friction;        /* f */
    double collar_friction; /* fc; 0 = ball thrust bearing neglected */
    double collar_mean_m;   /* dc */
    bool normal_angle;      /* divide by cos of the normal angle, tan an = tan a cos lambda */
} jv_screw;

/* dm = d - p/2. */
double jv_screw_mean_m(double major_m, double pitch_m);
/* (W1) T = F dm/2 (l + pi f dm sec a)/(pi dm - f l sec a) + F fc dc/2; Shigley Eqs. 8-1, 8-5,
 * 8-6. Infinity when the screw jams (pi dm <= f l sec a). N m. */
double jv_screw_raise_nm(const jv_screw *s, double force_n);
/* (W2) T = F dm/2 (pi f dm sec a - l)/(pi dm + f l sec a) + F fc dc/2. Negative: it runs down
 * by itself. */
double jv_screw_lower_nm(const jv_screw *s, double force_n);
/* (W3) e = F l/(2 pi T_raise). */
double jv_screw_efficiency(const jv_screw *s);
/* (W4) f sec a > tan lambda (thread alone); with_collar: T_lower > 0. */
bool jv_screw_locks(const jv_screw *s, bool with_collar);
/* tan lambda = l/(pi dm), rad. */
double jv_screw_lead_angle(const jv_screw *s);
/* Force that a torque raises. */
double jv_screw_force_n(const jv_screw *s, double torque_nm);
/* (W5) mean diameter of a collar: (do + di)/2 for uniform wear,
 * 2/3 (do^3 - di^3)/(do^2 - di^2) for uniform pressure. Both arguments are diameters. */
double jv_collar_mean_wear_m(double outer_m, double inner_m);
double jv_collar_mean_pressure_m(double outer_m, double inner_m);

/* Gearbox: ratio motor turns per screw turn, efficiency of its meshes, constant drag
 * at the motor shaft (light load: drag dominates). */
typedef struct jv_gear {
    double ratio;
    double efficiency;
    double drag_nm;
} jv_gear;
/* (W6) T_in = T_drag + T_out/(N eta). */
double jv_gear_motor_nm(const jv_gear *g, double out_nm);
/* Stages one after the other: ratios and efficiencies multiply, drags refer to the motor. */
jv_gear jv_gear_chain(const jv_gear *stages, int count);
/* (W7) worm mesh: (cos an - f tan lambda)/(cos an + f cot lambda). */
double jv_worm_efficiency(double normal_angle, double friction, double lead_angle);

/* The whole leg. */
typedef struct jv_leg {
    jv_motor motor; /* at its temperature: see jv_motor_at */
    jv_gear gear;
    jv_screw screw;
} jv_leg;
/* Current that a force asks (motor at its temperature); force < 0 lowers. (W8) */
double jv_leg_load_current(const jv_leg *leg, double force_n);
/* Steady point at v: current and speed of the leg in m/s (0 when stalled). */
typedef struct jv_leg_point {
    double current_a;
    double speed; /* m/s, sign of the volts */
    double slope; /* dI/dV */
    bool stalled;
} jv_leg_point;
jv_leg_point jv_leg_steady(const jv_leg *leg, double v, double force_n);
/* (W9) greatest force at v volts on the motor. */
double jv_leg_stall_force_n(const jv_leg *leg, double v);
/* Tube drag: F (1 + 2 mu side/F a/b) -> F + mu (2 side a/b). */
double jv_leg_with_tube_drag_n(double force_n, double side_n, double mu, double overhang_m,
                               double guide_m);

#endif
