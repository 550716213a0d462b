/* size_work.h - what the pieces of a sizing share. SPDX-License-Identifier: MIT */
#ifndef STUDY_SIZE_WORK_H
#define STUDY_SIZE_WORK_H

#include "study/size_model.h"

typedef struct jv_size_work {
    jv_size_model m;
    jv_sizing *result;
    jv_size_found found;
    jv_size_cut *cuts;
    size_t n_cuts, cut_room;
    size_t *whole; /* room for one pick */
    size_t nodes, rounds;
    bool exact;           /* every choice was tried */
    bool ended;           /* the rounds came to rest */
    const char *unclear;  /* a cable whose short finds no operating point; NULL = none */
    bool short_of_memory; /* while it was told: for the functions here that return words */
    bool doubts_fail;     /* every cheaper choice that a cut kept out was tried, and fails */
} jv_size_work;

/* Put a pick (NULL: all at their largest) in the copy. */
void jv_size_put_all(jv_size_work *w, const size_t *pick);
jv_status jv_size_worst(jv_size_work *w, size_t loading, const jv_watch *watch,
                        jv_bench_answer *out);
/* What the short at a cable (index into guards.cables) does at the pick, in words; NULL = it holds.
 */
const char *jv_size_short_at(jv_size_work *w, const size_t *pick, size_t cable);
/* The first that fails. */
const char *jv_size_first_short(jv_size_work *w, const size_t *pick);
/* At chosen odds: other draws of the pick found, by the whole equations. *holds: in all watches. */
jv_status jv_size_odds_check(jv_size_work *w, bool *holds);
/* A text that lives as long as the result. printf-like. */
const char *jv_size_say(jv_size_work *w, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* A limit that a measure is below, in words. */
const char *jv_size_limit_words(jv_size_work *w, const jv_size_scene *s, const jv_limit *l,
                                double now);
/* Fill in what is missing where nothing holds. */
jv_status jv_size_tell_misses(jv_size_work *w);
/* Fill in the result: runs, neighbours, fuses, watches, what is missing, the review. */
jv_status jv_size_tell(jv_size_work *w);

#endif
