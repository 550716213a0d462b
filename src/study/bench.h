/* bench.h - one case of a circuit with its spreads movable. SPDX-License-Identifier: MIT */
#ifndef STUDY_BENCH_H
#define STUDY_BENCH_H

#include "solve/point.h"

#include <stdint.h>

/* A knob is one quantity with a spread: a slot, all slots of one key with a shared tag, the
 * ambient, the charge that the case gives, or the load of a run. Each stands at its low end,
 * its nominal value or its high end. */
typedef enum jv_knob_kind {
    JV_KNOB_SLOT,
    JV_KNOB_AMBIENT,
    JV_KNOB_CHARGE,
    JV_KNOB_RUN
} jv_knob_kind;
typedef struct jv_knob {
    jv_knob_kind kind;
    uint32_t index;  /* SLOT: the first slot; RUN: number of the run */
    const char *tag; /* shared with slots of the same key; NULL = alone */
    jv_value value;
    int end; /* -1, 0, +1 */
} jv_knob;

typedef struct jv_bench {
    const jv_circuit *c;
    const jv_case *given;
    jv_case loading; /* a copy, with runs of its own */
    jv_net *net;
    jv_system *system;
    double *x; /* value of each slot */
    jv_knob *knobs;
    size_t n_knobs;
    size_t solves;
} jv_bench;

/* Open with all knobs nominal; faults must outlive it. JV_ERR_MEMORY. */
jv_status jv_bench_open(const jv_circuit *c, const jv_case *given, const jv_fault *faults,
                        size_t n_faults, jv_bench **out);
void jv_bench_free(jv_bench **bench);

/* Move a knob; it counts from the next load. */
void jv_bench_turn(jv_bench *b, size_t knob, int end);
void jv_bench_turn_all(jv_bench *b, int end);
/* Loads and ambient at their high ends, all else nominal: what heats most. */
void jv_bench_turn_hot(jv_bench *b);
/* Does the case hold a motor fast? Then it is a fault to be stood, not a way to run. */
bool jv_case_holds_fast(const jv_case *k);
/* Load the values into the net: relays released, cut-offs closed. */
void jv_bench_load(jv_bench *b);
/* Find the operating point of what is loaded. JV_ERR_MEMORY; anything else is in the outcome. */
jv_status jv_bench_find(jv_bench *b, jv_point *out);
bool jv_point_is_answer(const jv_point *p); /* FOUND or CANNOT_DELIVER */

/* A figure of a point that a worst case makes as small as it can; -INFINITY stands for no
 * operating point. */
typedef double (*jv_measure)(const jv_bench *b, const jv_point *p, const void *ctx);

typedef struct jv_bench_answer {
    double nominal;
    double worst;
    bool settled; /* at the corner every turn of a knob makes it better, and nothing in between is
                     worse: as far as ends and middles tell, not a proof for every net */
} jv_bench_answer;
/* Turn every knob to the end that makes the measure least, again until it stands; the knobs stay
 * there and that corner is loaded and found (*at may be NULL). After `prepare` (may be
 * NULL) has changed what was loaded. */
typedef struct jv_bench_question {
    jv_measure measure;
    const void *ctx;
    void (*prepare)(jv_bench *b, const void *prepare_ctx);
    const void *prepare_ctx;
} jv_bench_question;
jv_status jv_bench_worst(jv_bench *b, const jv_bench_question *q, jv_bench_answer *out,
                         jv_point *at);

/* Volts that a watch (ctx) sees, less the highest that its limit may be. */
double jv_measure_watch(const jv_bench *b, const jv_point *p, const void *watch);

#endif
