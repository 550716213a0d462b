/* scatter.h - the answer of a scatter study from its tally. SPDX-License-Identifier: MIT */
#ifndef STUDY_SCATTER_H
#define STUDY_SCATTER_H

#include "study/tally.h"

/* The public answer and all that it points to. */
typedef struct jv_scatter_owner {
    jv_scatter result; /* first: the public pointer is the owner's */
    jv_arena arena;
    jv_tally tally; /* of the watches that count, in their order */
    uint64_t study; /* hash of all that decides the answer but the slice */
    jv_scatter_watch *watches;
    jv_scatter_quantity *quantities;
} jv_scatter_owner;

/* Fills in the figures that follow from the tally: one place for a run and for joined slices. */
jv_status jv_scatter_conclude(jv_scatter_owner *o);

#endif
