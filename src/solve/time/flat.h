/* flat.h - elimination of a small net, in the order that KLU chose. SPDX-License-Identifier: MIT */
#ifndef SOLVE_TIME_FLAT_H
#define SOLVE_TIME_FLAT_H

#include "solve/lanes_lu.h"

/* A step solves the same few equations six times. KLU's own work is made for thousands of them: for
 * tens half of its time goes into blocks, scaling and permuting. Here its pivots and its fill are
 * kept and the elimination goes straight through them; where a pivot withers KLU chooses anew. */
enum { JV_FLAT_MOST = 256 }; /* unknowns; above that KLU itself serves */

typedef struct jv_flat {
    jv_lanes_lu order;       /* n = 0: none yet */
    int32_t *place;          /* of each number of the matrix */
    double *value, *inverse; /* factors: L below, U above, one over the pivots */
    double *usual, *work;    /* pivots when the order was chosen; n */
    size_t made;             /* how often KLU chose */
} jv_flat;

/* Factors a matrix in compressed columns, whose pattern never changes. JV_ERR_UNSOLVED: singular.
 */
jv_status jv_flat_factor(jv_flat *f, int n, int *ap, int *ai, double *ax);
/* b becomes the solution. */
void jv_flat_solve(jv_flat *f, double *b);
void jv_flat_clear(jv_flat *f);

#endif
