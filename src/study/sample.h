/* sample.h - many draws of a response, on several threads. SPDX-License-Identifier: MIT */
#ifndef STUDY_SAMPLE_H
#define STUDY_SAMPLE_H

#include "study/spread.h"
#include "study/tally.h"

/* A response: JV_SIDE draws of all quantities in, volts of all watches out. A worker is used by
 * one thread at a time. Within a block the draws come one after the other, so that what a
 * worker carries from draw to draw (pivots) starts anew at each block and the answer does not
 * depend on who did what. */
typedef struct jv_response {
    void *ctx;
    const jv_vary *quantities; /* their values and addresses */
    size_t n_quantities, n_watches;
    jv_status (*hire)(void *ctx, void **worker);
    void (*dismiss)(void *ctx, void *worker);
    void (*block)(void *worker); /* a block begins */
    /* values[quantity], seen[watch], limit[watch]; of: bits of the draws wanted; bits of *solved:
     * those with an operating point; *scalar: how many were solved one at a time. JV_ERR_MEMORY
     * ends the run. */
    jv_status (*respond)(void *worker, unsigned of, double (*values)[JV_SIDE],
                         double (*seen)[JV_SIDE], double (*limit)[JV_SIDE], unsigned *solved,
                         unsigned *scalar);
} jv_response;

enum { JV_SAMPLE_BLOCK = 1024 }; /* draws; a multiple of JV_SIDE */

typedef struct jv_sample_plan {
    uint64_t draws; /* of the whole study */
    uint64_t seed;
    unsigned threads;                                     /* at least 1 */
    unsigned slice, of;                                   /* 1 of 1 = all */
    jv_lane_width width;                                  /* of the registers */
    bool (*go_on)(void *ctx, uint64_t done, uint64_t of); /* may be NULL */
    void *ctx;
} jv_sample_plan;

/* Blocks of a slice: *first .. *end - 1; the slices of a study share out all its blocks. */
void jv_sample_share(const jv_sample_plan *plan, uint64_t *first, uint64_t *end);
/* tally must be made and empty. *interrupted: go_on said no. JV_ERR_MEMORY, JV_ERR_SYSTEM. */
jv_status jv_sample_run(const jv_response *response, const jv_sample_plan *plan, jv_tally *tally,
                        bool *interrupted);

#endif
