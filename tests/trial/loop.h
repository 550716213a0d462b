/* loop.h - pieces of the closed-loop trial. SPDX-License-Identifier: MIT */
#ifndef TESTS_TRIAL_LOOP_H
#define TESTS_TRIAL_LOOP_H

#include "tests/support/truth.h"

enum { LOOP_SYMPTOMS = 32, LOOP_BINS = 11 };
/* The bin of those called 90 %: .85 to .95. */
enum { LOOP_CALLED_90 = 9 };

typedef struct loop_complaint {
    jv_symptom list[LOOP_SYMPTOMS];
    size_t n;
    size_t setup; /* in which it was seen */
    bool sensors; /* a sensor is lost or its rail is down */
    size_t motor; /* slow or still; JV_FIND_NONE */
} loop_complaint;

/* What a person would tell of this vehicle that its sound twin does not do; false = nothing. */
bool loop_complain(truth *t, jv_finder *f, loop_complaint *out);

typedef struct loop_result {
    bool named, right, proof_held;
    size_t suspect;
    size_t checks;
    double minutes;
} loop_result;

typedef struct loop_bins {
    double said[LOOP_BINS], right[LOOP_BINS];
    size_t n[LOOP_BINS];
} loop_bins;

/* The engine, step by step, to a name or to "open"; then the repair and its proof reading. */
bool loop_engine(truth *t, jv_finder *f, const loop_complaint *y, loop_bins *bins,
                 loop_result *out);
/* Fixed procedures on the same vehicle. */
typedef enum loop_fixed_kind {
    LOOP_FRONT_TO_BACK,
    LOOP_SLOW_JACK_FIRST,
    LOOP_HALF_SPLIT
} loop_fixed_kind;
bool loop_fixed(truth *t, jv_finder *f, const loop_complaint *y, loop_fixed_kind kind,
                loop_result *out);

/* Faults that are in no list. Kinds 0 .. LOOP_FOREIGN - 1; half were looked at while tuning. */
enum { LOOP_FOREIGN = 12 };
bool loop_foreign_tuned(int kind);
const char *loop_foreign_name(int kind);
bool loop_foreign(truth *t, const jv_finder *f, int kind);
/* A fault of the list, by prior or flat. */
void loop_draw(truth *t, const jv_finder *f, const truth_style *style);
/* Is this suspect at fault, or one that no check here can tell from it? */
bool loop_is_right(const truth *t, jv_finder *f, size_t suspect);

#endif
