/* solved.h - a circuit at its operating point, for tests. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_SOLVED_H
#define TESTS_SUPPORT_SOLVED_H

#include "circuit/net.h"
#include "solve/point.h"

typedef struct solved {
    jv_net *net;
    jv_system *system;
    jv_point point;
} solved;

/* Builds the net of a case (NULL = at rest) and solves it; the circuit and the faults must
 * outlive it. Fails the test when that goes wrong or no operating point is found. */
solved solved_at(const jv_circuit *c, const jv_case *loading, const jv_fault *faults, size_t n);
/* The same, whatever comes of it. */
solved solved_try(const jv_circuit *c, const jv_case *loading, const jv_fault *faults, size_t n);
void solved_free(solved *s);

/* Volts between two terminals. */
double solved_volts(const solved *s, const char *plus, const char *minus);
/* Current of element k of a part, a to b. */
double solved_amps(const solved *s, const char *part, size_t k);
/* Volts lost in the first element of a conductor, R times I. */
double solved_drop(const solved *s, const char *part);

#endif
