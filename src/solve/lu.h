/* lu.h - sparse LU, the one place that knows KLU. SPDX-License-Identifier: MIT */
#ifndef SOLVE_LU_H
#define SOLVE_LU_H

#include "jackvolt/status.h"

#include <stdbool.h>
#include <stddef.h>

/* Factors of a square matrix in compressed columns: column j holds rows ai[ap[j]] ..
 * ai[ap[j + 1] - 1], sorted. ap and ai are borrowed and must outlive the factors. */
typedef struct jv_lu jv_lu;

/* One symbolic analysis for a pattern. JV_ERR_MEMORY; JV_ERR_UNSOLVED when the pattern
 * alone is singular. */
jv_status jv_lu_new(int n, int *ap, int *ai, jv_lu **out);
void jv_lu_free(jv_lu **lu);

/* Factor values ax: with the pivots of the last time where that is sound (the cheap way),
 * with fresh pivots otherwise or when `fresh` asks for it. JV_ERR_UNSOLVED: singular, and
 * *bad (may be NULL) is the column where it showed. */
jv_status jv_lu_factor(jv_lu *lu, double *ax, bool fresh, int *bad);
/* Solve in place. */
jv_status jv_lu_solve(jv_lu *lu, double *b);
/* The same with the transposed matrix (for sensitivities). */
jv_status jv_lu_solve_transposed(jv_lu *lu, double *b);

/* The pivots of the last factors in their order: pivot k stands in row[k], col[k] (n of each). */
jv_status jv_lu_pivots(jv_lu *lu, int *row, int *col);

/* How often each was done since jv_lu_new. */
typedef struct jv_lu_counts {
    size_t factors, refactors, solves;
} jv_lu_counts;
jv_lu_counts jv_lu_counted(const jv_lu *lu);
/* Bytes of the factors. */
size_t jv_lu_memory(const jv_lu *lu);
/* Estimate of the condition number (1-norm), infinity when it cannot be had. */
double jv_lu_condition(jv_lu *lu, double *ax);

#endif
