/* worst.h - the worst case of a watch over all spreads. SPDX-License-Identifier: MIT */
#ifndef STUDY_WORST_H
#define STUDY_WORST_H

#include "study/spread.h"

/* Sensitivities of the margin (volts seen - limit) of a watch at the operating point at which
 * the trial is (jv_trial_solve), with the values that were put there: per[q] = d margin /
 * d value. One transposed solve. JV_ERR_UNSOLVED, JV_ERR_MEMORY. */
jv_status jv_worst_slopes(jv_trial *t, size_t watch, const double *values, double *per);

/* The worst case of one watch. Arrays of *out come from the arena. `seed` addresses the points
 * that are tried between. Leaves nominal values in the trial. JV_ERR_MEMORY. */
jv_status jv_worst_find(jv_trial *t, size_t watch, uint64_t seed, jv_arena *arena,
                        jv_scatter_worst *out);

#endif
