/* heat.h - how warm a cable runs. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_HEAT_H
#define JACKVOLT_HEAT_H

#include "jackvolt/conductor.h"
#include "jackvolt/status.h"

#include <stdbool.h>

/* One metre of a horizontal insulated cable in still air. Per metre:
 *   (H1) I^2 R20 (1 + a (T - 20)) = q(s),  T = Ta + s + q(s) W
 *   (H2) q(s) = b [ pi s (0.36 k + 0.518/f(Pr) k Ra^(1/4)) + pi D e S ((Ta + s)^4 - Ta^4) ]
 * s surface rise K, T conductor, Ta air, W thermal resistance of the insulation K m/W,
 * D overall diameter, b derating of a bundle, e emissivity, S Stefan-Boltzmann.
 * Convection: Churchill and Chu (1975), horizontal cylinder, laminar form, 1e-6 < Ra < 1e9
 * (Mills, Basic Heat and Mass Transfer, Eq. 4.87). Air properties at the film. */

/* What lies around the cable. A zeroed struct is a lone cable in air of 0 degC:
 * set air_c. */
typedef struct jv_surroundings {
    double air_c;
    int loaded_together; /* current-carrying cables in the bundle; 0 or 1 = alone */
    bool loom;           /* in a split loom or conduit: one more air gap (estimate, no source) */
} jv_surroundings;
/* A wet cable gets no credit for its cooling (safe side); wet counts in the
 * rating of its insulation instead (tables). */

/* Coefficients worked out once for each cable; read only after jv_heat_body_make. */
typedef struct jv_heat_body {
    double r20;        /* ohm/m */
    double alpha;      /* 1/K */
    double air_c;      /* degC */
    double resist;     /* W: insulation (and loom gap), K m/W */
    double still;      /* pi 0.36 k at air temperature, W/(m K) */
    double still_t;    /* its change per K of film rise */
    double rise;       /* factor of s^(5/4), W/(m K^1.25), at air temperature */
    double rise_t;     /* its change per K of film rise */
    double radiate;    /* pi D e S, W/(m K^4) */
    double air_k;      /* absolute air temperature, K */
    double warm_start; /* W/(m K) between conductor and air at 40 K rise */
    double capacity;   /* J/(m K), metal and a share of the insulation */
    double limit_c;    /* above this a steady state is called none (metal melts) */
    double repeats;    /* how often its current comes and goes; 0, 1 = once; infinity = for ever */
    double pause_s;    /* without current, between two of them */
} jv_heat_body;

/* Set up. wall: insulation thickness class. Never fails for a conductor that
 * jv_conductor_make filled. */
void jv_heat_body_make(const jv_conductor *c, jv_wall wall, const jv_surroundings *where,
                       jv_heat_body *out);
/* The same with measured geometry: diameters in m, insulation conductivity W/(m K). */
typedef struct jv_heat_shape {
    double bare_m;       /* over the strand */
    double overall_m;    /* over the insulation, >= bare_m */
    double conductivity; /* insulation, W/(m K); 0 = 0.2 (PVC, XLPE: common value) */
    double emissivity;   /* 0 = 0.9 */
} jv_heat_shape;
void jv_heat_body_shape(const jv_conductor *c, const jv_heat_shape *shape,
                        const jv_surroundings *where, jv_heat_body *out);

typedef struct jv_heat_steady {
    double temp_c;  /* conductor; the limit when there is no steady state */
    double slope;   /* dT/dI, K/A (0 when there is no steady state) */
    double r_per_m; /* ohm/m at temp_c */
    double r_slope; /* d(ohm/m)/dI */
    bool none;      /* thermal runaway: no steady state below limit_c */
    int steps;      /* Newton steps taken */
} jv_heat_steady;

/* Steady conductor temperature at a current (sign of no matter). (H1) by Newton's method
 * in s; no allocation, 3 to 5 steps. */
jv_heat_steady jv_heat_steady_at(const jv_heat_body *b, double current_a);
/* The same by a search that starts at near_c (degC, a guess of no weight; at or below the air:
 * none): 1 or 2 steps when it is near. The answers agree to about 1e-12 of the rise. */
jv_heat_steady jv_heat_steady_near(const jv_heat_body *b, double current_a, double near_c);
/* The inverse: current at which the conductor settles at temp_c (ampacity for that
 * limit); 0 when temp_c <= air. */
double jv_heat_current_for(const jv_heat_body *b, double temp_c);
/* Heat leaving a metre whose conductor is at temp_c, W/m; *slope (may be NULL) gets
 * W/(m K). Negative below air temperature. */
double jv_heat_flow(const jv_heat_body *b, double temp_c, double *slope);
/* (H3) dT/dt = (I^2 R(T) - q(T))/C, K/s; *slope (may be NULL) gets d(dT/dt)/dT, 1/s. */
double jv_heat_rate(const jv_heat_body *b, double current_a, double temp_c, double *slope);
/* Temperature after time_s at a constant current from start_c, one body. With repeats: when the
 * last of them ends (H11): T_on(n) = after(I, T_off(n - 1), time_s), T_off(n) = after(0, T_on(n),
 * pause_s), T_off(0) = start_c. A long time ends
 * exactly at jv_heat_steady_at; runaway stops at limit_c. About 1e-4 K, some microseconds. */
double jv_heat_after(const jv_heat_body *b, double current_a, double start_c, double time_s);
/* (H10) the same in closed form, about 0.3 us: right at both ends of time, in between within 1 %
 * of the whole rise (0.5 % seen). *slope (may be NULL) gets dT/dI, K/A, by a difference. For a
 * solver that asks many times. */
double jv_heat_after_quick(const jv_heat_body *b, double current_a, double start_c, double time_s,
                           double *slope);
/* (H4) time constant of small changes around temp_c at a current, s; infinity or negative
 * means runaway there. */
double jv_heat_time_constant(const jv_heat_body *b, double current_a, double temp_c);
/* Time until the conductor reaches temp_c from start_c, s; infinity when it never does. */
double jv_heat_time_to(const jv_heat_body *b, double current_a, double start_c, double temp_c);

/* First-order rise and duty (Dubey ch. 4; Kosow ch. 13), any body with one time constant.
 * (H5) rise(t) = end + (start - end) e^(-t/tau). */
double jv_first_order(double start, double end, double time_s, double tau_s);
/* (H6) peak rise of an on/off cycle over the steady rise. tau_off: while off. */
double jv_duty_peak_ratio(double on_s, double off_s, double tau_on_s, double tau_off_s);
/* (H12) rise at the end of the last of `repeats` on-times (infinity: for ever) over the steady
 * rise, first order, one time constant: (1 - e^-a) (1 - r^n)/(1 - r), a = on/tau, r = e^-(a + b),
 * b = off/tau. Without repeats 1 - e^-a. tau_s 0: 1. */
double jv_duty_share(double on_s, double off_s, double repeats, double tau_s);
/* (H7) short-time overload factor; c = constant loss / copper loss at rating. */
double jv_overload_factor(double on_s, double tau_s, double constant_loss_ratio);
/* (H8) the same for a periodic on/off duty. */
double jv_overload_factor_periodic(double on_s, double off_s, double tau_on_s, double tau_off_s,
                                   double constant_loss_ratio);

/* Ampacity factor for loaded cables in one bundle: 1, 0.70 (3), 0.60 (4-6), 0.50 (7-24),
 * 0.40 (25 and more); two count as 1 in that table. US Coast Guard compliance guideline. */
double jv_bundle_factor(int loaded_together);
/* (H9) ampacity correction for another air temperature: sqrt((Tr - Ta)/(Tr - Tb)); 0 at or
 * above the rating. */
double jv_ambient_factor(double rating_c, double base_air_c, double air_c);

#endif
