/* motor.h - direct-current motors of jacks and pumps. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_MOTOR_H
#define JACKVOLT_MOTOR_H

#include "jackvolt/status.h"

#include <stdbool.h>

/* Permanent magnet: (M1) V = I R + ke w + Vb, (M2) J dw/dt = kt I - T0 - TL. While it turns
 * its current is set by the load, I = (TL + T0)/kt, not by its volts; volts set the
 * speed. (M3) it stalls when V - Vb <= I R, and then I = (V - Vb)/R. So
 * I = min(I_load, (V - Vb)/R). Belief that a starved motor draws less: wrong while it turns.
 * Reversed polarity is the mirror: same current with the sign turned. */

typedef struct jv_motor {
    double resistance_ohm; /* R at 20 degC, brushes included */
    double ke_v_s;         /* V s/rad at 20 degC */
    double kt_nm_a;        /* N m/A at 20 degC */
    double no_load_a;      /* I0 = T0/kt */
    double brush_v;        /* Vb, 0 when lumped in R */
    double magnet_per_k;   /* change of ke, kt per K: ferrite -0.002, 0 = none */
    double inertia_kg_m2;  /* 0 = not known */
    double inductance_h;   /* 0 = not known */
} jv_motor;

/* From data-sheet points: no-load speed rad/s and A, stall A and N m at volts v.
 * (M4) R = V/Is, ke = (V - I0 R)/w0, kt = Ts/(Is - I0). Stall torque <= 0: kt = ke.
 * JV_ERR_RANGE when Is <= I0 or a figure is not positive. */
jv_status jv_motor_from_stall(double v, double w0, double i0, double is, double ts, jv_motor *out);
/* (M5) from two running points, no stall: R = V (w0 - w1)/(I1 w0 - I0 w1). */
jv_status jv_motor_from_two_points(double v, double w0, double i0, double w1, double i1, double t1,
                                   jv_motor *out);
/* At a winding and magnet temperature: R (234.5 + T)/254.5 and ke, kt (1 + a (T - 20)). */
jv_motor jv_motor_at(const jv_motor *m, double winding_c, double magnet_c);

typedef struct jv_motor_point {
    double current_a; /* sign of the volts */
    double speed;     /* rad/s, sign of the volts */
    double slope;     /* dI/dV, A/V: 0 running, 1/R stalled */
    bool stalled;
} jv_motor_point;
/* Steady point at v volts with torque_nm at the shaft (>= 0, opposing). */
jv_motor_point jv_motor_steady(const jv_motor *m, double v, double torque_nm);

/* A jack by its plate: figures at its own terminals, rated_v, 20 degC. (M6) current between
 * the two running points is linear in force: I = I0 + (Ir - I0) F/Fr. */
typedef struct jv_jack_plate {
    double rated_force_n;
    double rated_a;
    double no_load_a;
    double stall_a;     /* <= 0 or NAN: not known, see jv_jack_assumed_stall */
    double rated_v;     /* 0 = 12 */
    double rated_speed; /* m/s at rated force and volts; 0 = not known */
    double lower_share; /* current above no-load when lowering, share of lifting; 0 = 1/3 */
} jv_jack_plate;

/* Stall current assumed for a plate without one: factor x rated (common practice, no source;
 * invented generic legs have 3.6 to 3.9). */
#define JV_JACK_STALL_FACTOR 3.5
double jv_jack_assumed_stall(const jv_jack_plate *p);
/* R at 20 degC: rated_v / stall_a. */
double jv_jack_resistance(const jv_jack_plate *p);
/* (M6); force < 0 lowers: I0 + share (Ir - I0)|F|/Fr. */
double jv_jack_load_current(const jv_jack_plate *p, double force_n);
/* Winding temperature: current at the same force grows as 1/(1 + a (T - 20)). */
double jv_jack_current_at(double current_20_a, double magnet_per_k, double temp_c);

/* A running jack seen from the circuit: I = min(I_load, |V|/R) with the sign of V.
 * added_ohm: worn brushes or a bad joint inside; same current, less speed. */
typedef struct jv_drive {
    double load_a;         /* what its load asks, >= 0 */
    double resistance_ohm; /* R at its temperature + added_ohm, > 0 */
} jv_drive;
jv_motor_point jv_drive_steady(const jv_drive *d, double v); /* speed: back EMF V - I R, V */
/* (M7) speed over rated speed: (V - I R)/(Vr - Ir R). 0 when stalled. */
double jv_jack_speed_ratio(const jv_jack_plate *p, double v, double current_a,
                           double resistance_ohm);
/* Lowest volts at which it still turns: I R. */
double jv_drive_stall_v(const jv_drive *d);
/* (M8) greatest force at v: the plate line where I = V/R. */
double jv_jack_stall_force(const jv_jack_plate *p, double v, double resistance_ohm);

/* Series wound: (M9) T = k I^2, V = I (Ra + Rf) + k I w. */
typedef struct jv_series_motor {
    double resistance_ohm; /* Ra + Rf at 20 degC */
    double k;              /* N m/A^2 = V s/(rad A) */
    double drag_nm;        /* T0 */
    double saturation_a;   /* Ih: flux I/(1 + I/Ih); 0 = no saturation */
} jv_series_motor;
/* Reversing its volts turns the current round but not the direction. Unloaded: speed infinite. */
jv_motor_point jv_series_steady(const jv_series_motor *m, double v, double torque_nm);

/* Start: (M10) t_e = L/(R + Rs), t_m = J (R + Rs)/(ke kt), I_lock = V/(R + Rs). */
double jv_motor_tau_e(const jv_motor *m, double source_ohm);
double jv_motor_tau_m(const jv_motor *m, double source_ohm);
/* (M11) current t seconds after closing, rotor still: I'' + a I' + b I = b I_run with
 * a = (R + Rs)/L, b = ke kt/(L J); for t_e << t_m that is I_run + (I_lock - I_run) e^(-t/t_m).
 * inertia 0: held at I_lock; inductance 0: jumps there. */
double jv_motor_inrush(const jv_motor *m, double open_v, double source_ohm, double torque_nm,
                       double t_s);
/* Greatest current of the start, and when (infinity: it stays locked). at_s may be NULL. */
double jv_motor_inrush_peak(const jv_motor *m, double open_v, double source_ohm, double torque_nm,
                            double *at_s);

/* Winding. (M12) adiabatic rate: I^2 R(T)/(C), K/s; C J/K. */
double jv_winding_rate(double current_a, double r20, double temp_c, double heat_j_k);
/* (M13) steady rise and time: R(T) = R20(234.5+T)/254.5 with thermal resistance K/W to the
 * air. NAN when the loss runs away. */
double jv_winding_steady_c(double current_a, double r20, double other_w, double air_c,
                           double k_per_w);
/* Copper: 0.00504 K/s x (A/mm2)^2 at 20 degC. */
double jv_copper_rate_k_s(double density_a_mm2);

/* Brush wear: series resistance added for a worn share 0..1; 1 = worn out, then contact is
 * lost (infinity). Common practice, no source: r = r_new (1 + 4 w). */
double jv_brush_ohm(double new_ohm, double worn);

#endif
