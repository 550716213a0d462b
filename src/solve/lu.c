/* lu.c - sparse LU by KLU. SPDX-License-Identifier: MIT */
#include "solve/lu.h"

#include "base/large.h"
#include "jackvolt/memory.h"
#include "jackvolt/solver.h"

#include <math.h>
#include <stdint.h>
#include <string.h>
#include <suitesparse/SuiteSparse_config.h>
#include <suitesparse/klu.h>

/* Old pivots are kept while the reciprocal condition estimate (smallest over largest
 * pivot) stays within this factor of what it was with fresh pivots. */
static const double kept_quality = 1e-3;

/* The rows come scaled: each current and each volt enters with 1, ohms and siemens are beside it.
 * Row maxima would cost a quarter of factoring again. */
static const int unscaled = -1;

struct jv_lu {
    int n;
    int *ap, *ai;
    klu_common common;
    klu_symbolic *symbolic;
    klu_numeric *numeric;
    double fresh_quality;
    jv_lu_counts counts;
};

static void *large_zeros(size_t n, size_t size) {
    if (size && n > SIZE_MAX / size)
        return NULL;
    void *block = jv_large_alloc(n * size);
    return block ? memset(block, 0, n * size) : NULL;
}

void jv_solver_large_blocks(void) {
    SuiteSparse_config.malloc_func = jv_large_alloc;
    SuiteSparse_config.calloc_func = large_zeros;
}

jv_status jv_lu_new(int n, int *ap, int *ai, jv_lu **out) {
    jv_lu *lu = jv_zalloc(1, sizeof *lu);
    if (!lu)
        return JV_ERR_MEMORY;
    lu->n = n;
    lu->ap = ap;
    lu->ai = ai;
    klu_defaults(&lu->common);
    lu->common.scale = unscaled;
    lu->symbolic = klu_analyze(n, ap, ai, &lu->common);
    if (!lu->symbolic) {
        jv_status status = lu->common.status == KLU_OUT_OF_MEMORY ? JV_ERR_MEMORY : JV_ERR_UNSOLVED;
        jv_lu_free(&lu);
        return status;
    }
    *out = lu;
    return JV_OK;
}

void jv_lu_free(jv_lu **lu) {
    if (!lu || !*lu)
        return;
    if ((*lu)->numeric)
        klu_free_numeric(&(*lu)->numeric, &(*lu)->common);
    if ((*lu)->symbolic)
        klu_free_symbolic(&(*lu)->symbolic, &(*lu)->common);
    jv_free(*lu);
    *lu = NULL;
}

/* Smallest over largest pivot, as klu_rcond: in four lanes, a third of its time. */
static double quality(const jv_lu *lu) {
    const double *pivot = lu->numeric->Udiag;
    double least[4] = {INFINITY, INFINITY, INFINITY, INFINITY}, most[4] = {0.0, 0.0, 0.0, 0.0};
    int k = 0;
    for (; k + 4 <= lu->n; k += 4)
        for (int m = 0; m < 4; m++) {
            double size = fabs(pivot[k + m]);
            least[m] = size < least[m] ? size : least[m];
            most[m] = size > most[m] ? size : most[m];
        }
    for (; k < lu->n; k++) {
        double size = fabs(pivot[k]);
        least[0] = size < least[0] ? size : least[0];
        most[0] = size > most[0] ? size : most[0];
    }
    return fmin(fmin(least[0], least[1]), fmin(least[2], least[3])) /
           fmax(fmax(most[0], most[1]), fmax(most[2], most[3]));
}

static jv_status factor_fresh(jv_lu *lu, double *ax, int *bad) {
    if (lu->numeric)
        klu_free_numeric(&lu->numeric, &lu->common);
    lu->numeric = klu_factor(lu->ap, lu->ai, ax, lu->symbolic, &lu->common);
    lu->counts.factors++;
    if (lu->numeric && lu->common.status == KLU_OK) {
        lu->fresh_quality = quality(lu);
        return JV_OK;
    }
    if (bad)
        *bad = lu->common.singular_col;
    if (lu->common.status == KLU_OUT_OF_MEMORY)
        return JV_ERR_MEMORY;
    return JV_ERR_UNSOLVED;
}

jv_status jv_lu_factor(jv_lu *lu, double *ax, bool fresh, int *bad) {
    if (fresh || !lu->numeric)
        return factor_fresh(lu, ax, bad);
    lu->counts.refactors++;
    if (klu_refactor(lu->ap, lu->ai, ax, lu->symbolic, lu->numeric, &lu->common) &&
        lu->common.status == KLU_OK && quality(lu) >= kept_quality * lu->fresh_quality)
        return JV_OK;
    return factor_fresh(lu, ax, bad);
}

jv_status jv_lu_solve(jv_lu *lu, double *b) {
    lu->counts.solves++;
    return klu_solve(lu->symbolic, lu->numeric, lu->n, 1, b, &lu->common) ? JV_OK : JV_ERR_MEMORY;
}

jv_status jv_lu_solve_transposed(jv_lu *lu, double *b) {
    lu->counts.solves++;
    return klu_tsolve(lu->symbolic, lu->numeric, lu->n, 1, b, &lu->common) ? JV_OK : JV_ERR_MEMORY;
}

jv_status jv_lu_pivots(jv_lu *lu, int *row, int *col) {
    if (!lu->numeric)
        return JV_ERR_UNSOLVED;
    for (int k = 0; k < lu->n; k++) {
        row[k] = lu->numeric->Pnum[k];
        col[k] = lu->symbolic->Q[k];
    }
    return JV_OK;
}

jv_lu_counts jv_lu_counted(const jv_lu *lu) {
    return lu->counts;
}

size_t jv_lu_memory(const jv_lu *lu) {
    return lu->common.memusage;
}

double jv_lu_condition(jv_lu *lu, double *ax) {
    if (!klu_condest(lu->ap, ax, lu->symbolic, lu->numeric, &lu->common))
        return INFINITY;
    return lu->common.condest;
}
