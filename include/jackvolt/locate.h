/* locate.h - how far along a lead a fault is. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_LOCATE_H
#define JACKVOLT_LOCATE_H

#include "jackvolt/status.h"

/* Pure functions; ohm, V, A, and any one unit of length. Each names its equation of docs/theory.md
 * section on locating. A distance comes with one standard deviation. JV_ERR_RANGE: figures that
 * no place on the lead explains (negative, beyond the end, zero currents). */

typedef struct jv_distance {
    double from_a; /* same unit as the length */
    double sd;
} jv_distance;

/* (L1) Ohms from one end of a lead through the short to its return, read with a meter:
 * loop_ohm less the meter's leads less the ohms of the short itself. ohm_per_length: of lead and
 * return together. reading_sd, short_sd: standard deviations, ohm; share_sd: of ohm_per_length. */
jv_status jv_locate_ohms(double loop_ohm, double lead_ohm, double ohm_per_length, double length,
                         double reading_sd, double short_sd, double share_sd, jv_distance *out);

/* (L2) Millivolts along the lead with a steady limited current that flows as far as the short:
 * drop_v between end a and the other end (which carries no current beyond the short), current_a.
 * The ohms of the short do not count. */
jv_status jv_locate_drop(double drop_v, double current_a, double ohm_per_length, double length,
                         double drop_sd, double current_sd, double share_sd, jv_distance *out);

/* (L3) Murray loop: a sound wire of the same size joined to the far end of the faulty one, the
 * bridge's arms P (to the sound wire) and Q (to the faulty one) balanced:
 * d = Q/(P + Q) loop, from the test end along the faulty wire. */
jv_status jv_locate_murray(double arm_sound, double arm_faulty, double loop, double *distance);

/* (L4) Varley loop: P/Q = (R + X)/S2 with the battery to the loop, P/Q = R/(X + S1) with it to
 * earth: R + X = P S2/Q, X = (Q (R + X) - P S1)/(P + Q). x: ohms from the faulty wire's test end
 * to the fault; whole: ohms of both wires. JV_ERR_RANGE when the place lies outside the loop. */
jv_status jv_locate_varley(double p, double q, double s_earth, double s_loop, double *x,
                           double *whole);
/* (L5) The same by ratio, connecting leads taken off: initial (earth) and final (loop) settings
 * r_i, r_f, cable of area a_c and length, test leads of area a_l and length l_l:
 * x = [(r_f - r_i)/r_f - (r_i/r_f)(a_c l_l)/(a_l length)] length. */
jv_status jv_locate_varley_ratio(double r_i_over_r_f, double area_c, double length, double area_l,
                                 double length_l, double *distance);

/* (L6) Wheatstone bridge in balance, Rx : R3 = R2 : R1. */
double jv_bridge_balanced(double r1, double r2, double r3);
/* (L7) Out of balance: source v across A C; arms AB, BC, CD, DA; a meter of ohms between B and D.
 * open_v and source_ohm (may be NULL): Thevenin's, seen by the meter. Amps from B to D. */
double jv_bridge_current(double v, double ab, double bc, double cd, double da, double meter_ohm,
                         double *open_v, double *source_ohm);

#endif
