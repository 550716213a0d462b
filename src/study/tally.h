/* tally.h - what is kept of many draws, in whole numbers. SPDX-License-Identifier: MIT */
#ifndef STUDY_TALLY_H
#define STUDY_TALLY_H

#include "jackvolt/memory.h"
#include "jackvolt/scatter.h"
#include "study/random.h"

/* Whole numbers add up to the same whatever the order: no tree of partial sums is needed for
 * the answer to be the same to the bit, and slices join exactly. Volts are counted in steps of
 * 2^-20 V (1 uV), clipped at 64 V. The size does not depend on the number of draws. */
enum { JV_TALLY_CELLS = 64 }; /* equal steps of probability of one quantity */

typedef struct jv_tally_watch {
    uint64_t trips;
    int64_t sum;                      /* of volts seen */
    uint64_t square_low, square_high; /* of their squares: 128 bits */
    uint64_t *bins;                   /* JV_SCATTER_BINS */
    int64_t *cell_sum;                /* of volts by quantity and cell */
} jv_tally_watch;

typedef struct jv_tally {
    size_t n_quantities, n_watches;
    uint64_t draws;    /* all */
    uint64_t unsolved; /* of them */
    uint64_t scalar;   /* of them solved one at a time */
    uint64_t *cell_count;
    jv_tally_watch *watches;
    int64_t (*steps)[JV_SIDE]; /* of the draws being added */
} jv_tally;

/* A zeroed struct may be cleared. JV_ERR_MEMORY. */
jv_status jv_tally_make(size_t n_quantities, size_t n_watches, jv_tally *out);
void jv_tally_clear(jv_tally *t);
/* JV_SIDE draws side by side. of: bits of the draws that count; solved: those with an operating
 * point. u: probabilities by quantity; seen, limit: volts by watch. */
void jv_tally_add(jv_tally *t, unsigned of, unsigned solved, double (*u)[JV_SIDE],
                  double (*seen)[JV_SIDE], double (*limit)[JV_SIDE]);
void jv_tally_join(jv_tally *t, const jv_tally *more);

/* The figures of one watch from its tally; shares: n_quantities to fill. out->bins points into
 * the tally. */
void jv_tally_figures(const jv_tally *t, size_t watch, double *shares, jv_scatter_watch *out);
/* Wilson's 95 % interval of k of n; [0, 1] for n = 0. E. B. Wilson, "Probable inference, the
 * law of succession, and statistical inference", J. Am. Stat. Assoc. 22 (1927) 209-212. */
void jv_wilson(double k, double n, double *low, double *high);

#endif
