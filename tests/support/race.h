/* race.h - the same motors and battery as plain differential equations. SPDX-License-Identifier:
 * MIT */
#ifndef TESTS_SUPPORT_RACE_H
#define TESTS_SUPPORT_RACE_H

#include "circuit/circuit.h"
#include "jackvolt/battery.h"
#include "solve/time/motion.h"

/* n legs (legs.h) behind a battery with charge and polarisation, each at constant amps:
 *   y = [i, w, x, Tw, Tc] of each leg, then z, v1.
 *   v = U(z) - v1 - (r(z) + rh) sum i,  L i' = v - (rb + R(Tw)) i - ke w,  J w' = kt (i - I)
 *   x' = w l/(2 pi N),  Cw Tw' = R i^2 - (Tw - Tc)/Rwc,  Cc Tc' = (Tw - Tc)/Rwc - (Tc - Ta)/Rca
 *   z' = -sum i/C,  v1' = (sum i - v1/r1)/c1
 * written down here once more, from the texts, and not from the library. */
enum { RACE_LEGS = 4, RACE_OF_LEG = 5, RACE_MOST = RACE_LEGS * RACE_OF_LEG + 2 };

typedef struct race {
    size_t n, size;
    double amps[RACE_LEGS]; /* what each load asks */
    bool held[RACE_LEGS];   /* its rotor has not broken away: w' = 0 */
    double charge_now;      /* of the battery at the start */
    jv_battery_model model;
    size_t evaluations;
} race;

/* That circuit: part 0 battery, 1 harness, then branch and leg in turn. */
jv_circuit *race_circuit(size_t n);
void race_begin(race *r, size_t n, const double *amps);
/* At rest, before the first current: y of size. */
void race_rest(const race *r, double y[]);
int race_rates(double t, const double y[], double f[], void *r);
int race_jacobian(double t, const double y[], double *dfdy, double dfdt[], void *r);
/* The same rates from the parts' own laws and the net's own sparse solver: what a general
 * integrator that knows nothing of this net would have to do. context: a race_motion. */
int race_net_rates(double t, const double y[], double f[], void *context);
/* The values of the library's run in the order of y. */
void race_values(const jv_motion *m, size_t n, double y[]);

/* A motion of that circuit, its legs commanded with these amps and broken away. `loading` must
 * outlive it. */
typedef struct race_motion {
    jv_circuit *circuit;
    jv_net *net;
    jv_motion *motion;
    jv_case loading;
    jv_run runs[RACE_LEGS];
    jv_arena arena;
} race_motion;
void race_motion_new(race_motion *m, size_t n, const double *amps, double tolerance);
void race_motion_step(race_motion *m, double until);
void race_motion_to(race_motion *m, double t);
void race_motion_command(race_motion *m, const double *amps);
void race_motion_free(race_motion *m);

#endif
