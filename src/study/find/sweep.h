/* sweep.h - all singles and all their pairs at once. SPDX-License-Identifier: MIT */
#ifndef STUDY_FIND_SWEEP_H
#define STUDY_FIND_SWEEP_H

#include "study/find/finder.h"

/* Predictions of every look of one setup under every single suspect at its middle severity and
 * every pair of them, by (F1) with two gates. */
typedef struct jv_sweep {
    size_t singles; /* suspects that are one gate here */
    size_t others;  /* singles that are not */
    size_t pairs;   /* singles and pairs predicted */
    size_t flips;   /* of them those that push a motor or supply off its piece: more gates */
    size_t wholes;  /* singles and pairs that gates do not reach (opened bridges): a solve each */
    size_t solves;  /* backward solves that it took */
    double sum;     /* of all predictions, so that none is left out */
} jv_sweep;

/* take(ctx, i, k, mean): predictions of singles i and k (k = i: the single alone), n_looks numbers;
 * may be NULL. */
jv_status jv_sweep_run(jv_finder *f, size_t setup,
                       void (*take)(void *ctx, size_t i, size_t k, const double *mean), void *ctx,
                       jv_sweep *out);

#endif
