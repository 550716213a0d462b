/* truth.h - a random vehicle with a fault, as a person would meter it. SPDX-License-Identifier: MIT
 */
#ifndef TESTS_TRIAL_TRUTH_H
#define TESTS_TRIAL_TRUTH_H

#include "circuit/fault.h"
#include "study/find/finder.h"

#include <stdint.h>

/* Counter-free small generator (xorshift64*, Vigna 2016): the trial's own, so that the product's
 * draws and the trial's share nothing. */
typedef struct truth_random {
    uint64_t state;
} truth_random;
void truth_seed(truth_random *r, uint64_t seed);
double truth_uniform(truth_random *r); /* 0 .. 1 */
double truth_normal(truth_random *r);

typedef struct truth_style {
    double spread;   /* healthy spreads times this */
    double severity; /* severities times this */
    bool flat;       /* every fault equally likely */
    double wrong;    /* share of readings that are wild */
} truth_style;

typedef struct truth {
    jv_circuit *c; /* its own copy of the circuit, values drawn */
    jv_fault fault[8];
    size_t n_faults;
    jv_meter meter;
    double gain_v, gain_a, gain_ohm;
    double scale_v; /* a meter that reads low: 1 = sound */
    bool foreign;   /* in no list */
    double present; /* share of the runs in which the fault is there; 1 = always */
    truth_random random;
    double wrong;
} truth;

/* Draws a vehicle from a circuit file. False when it cannot be read. */
bool truth_make(truth *t, const char *file, const truth_style *style, uint64_t seed);
void truth_clear(truth *t);
/* What the meter shows for a check; false when there is no operating point. */
bool truth_reading(truth *t, const jv_finder *f, size_t check, double *value, bool *over);
/* Volts at the terminals, and speeds of the motors, in a case (index) or at rest. */
typedef struct truth_point {
    bool found;
    double *v;   /* of each terminal */
    double *emf; /* of each part that is a running motor; NAN otherwise */
} truth_point;
bool truth_solve(truth *t, jv_setup setup, size_t loading, const size_t *off, size_t n_off,
                 truth_point *out);
void truth_point_clear(truth_point *p);

#endif
