/* draws.h - the circuit as a response to draws. SPDX-License-Identifier: MIT */
#ifndef STUDY_DRAWS_H
#define STUDY_DRAWS_H

#include "study/moves.h"
#include "study/sample.h"

/* What the workers of one study have in common. Read only while they work. */
typedef struct jv_draws {
    const jv_spreads *spreads;
    const jv_fault *faults;
    size_t n_faults;
    const jv_trial *nominal; /* a trial at its nominal point, with the heat curves */
    const jv_moves *moves;
    const size_t *watches; /* numbers of those that count */
    size_t n_watches;
    bool one_at_a_time;
    jv_lane_width width;  /* of the registers */
    jv_lu_counts *counts; /* of a worker that is dismissed, for the bench; NULL = not wanted */
} jv_draws;

jv_response jv_draws_response(jv_draws *d);

#endif
