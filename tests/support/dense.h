/* dense.h - the operating point of a net by dense linear algebra. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_DENSE_H
#define TESTS_SUPPORT_DENSE_H

#include "circuit/net.h"

#include <stdbool.h>
#include <stddef.h>

/* An answer to hold the solver to, found without it. The numbers of the elements and which of
 * them are open are taken from the net; the equations are written anew as a sparse tableau:
 *   unknowns  volts of every node, then a current for every element, then the own current
 *             of every regulator
 *   rows      Kirchhoff's current law at each node, but V = 0 at one node of each island;
 *             one branch law an element in the piece that holds; one row for own currents
 * LAPACK solves them (dgesvx: equilibrated and refined). Pieces are found by repair: start
 * with the linear ones, solve, replace what the answer contradicts; when that circles, one
 * at a time in random order. Warm conductors and constant power are linearised at the last
 * answer and followed until that repeats. */
typedef struct dense_point {
    size_t n, n_nodes, n_elements;
    double *v;       /* volts of each node; 0 at the ground of its island */
    double *i;       /* current of each element, a to b (regulator: a to c) */
    double *r;       /* ohms of a SERIES element at its current */
    int *piece;      /* of each element */
    int32_t *ground; /* of each node: the grounded node of its island */
    double rcond;    /* reciprocal condition of the equilibrated matrix, 1-norm */
    double ferr;     /* bound of dgesvx for the largest relative error of the answer */
    int solves;
    bool even; /* joints of zero ohms in parallel were made to share evenly */
} dense_point;

/* Find the point; `guess_v`, `guess_i` (may be NULL) choose the pieces to start from.
 * False when no consistent pieces were found in many tries. Free with dense_free. */
bool dense_solve(const jv_net *net, const double *guess_v, const double *guess_i, unsigned seed,
                 dense_point *out);
void dense_free(dense_point *p);

/* How well another answer (node volts, element currents) satisfies these equations with the
 * pieces of p: the largest |A z - b| / (|A| |z| + |b|) of a row, where a row smaller than
 * 1e-6 of the largest is measured by that, and the current of a law without an unknown of
 * its own counts as the two products that it is the difference of. */
double dense_backward(const jv_net *net, const dense_point *p, const double *v, const double *i);

#endif
