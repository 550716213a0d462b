/* scatter.h - worst case and odds over the spreads. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_SCATTER_H
#define JACKVOLT_SCATTER_H

#include "jackvolt/circuit.h"
#include "jackvolt/diag.h"
#include "jackvolt/quantity.h"
#include "jackvolt/status.h"
#include "jackvolt/text.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A circuit file gives quantities with a spread ("65 % .. 95 %", "16 ft +/- 5 %"). All of
 * them vary together here: keys of parts, loads of the running jacks, charge, time and
 * ambient of the case, limits of watches. Parts with the same "with" share one draw for each
 * key that they have in common.
 *
 * Worst case: each watch's least margin with every quantity at an end of its range (normal
 * and log-normal spreads: two standard deviations). The end is chosen by the sign of the
 * sensitivity, taken again at the corner found until the signs stand; then points between
 * are tried against it.
 *
 * Odds: draws of all quantities at random, a watch trips in a draw when the steady volts
 * that it sees are below its limit (its dwell is not looked at). Draw d of quantity q is a
 * function of (seed, d, name of q) alone, and all that is kept of the draws are whole
 * numbers, so that the answer is the same to the bit however the draws are shared out among
 * threads, runs and machines.
 *
 * One case a run: shares and odds of different cases do not add up. SI units. */

typedef struct jv_scatter_quantity {
    const char *name; /* "feed.length"; shared: "TAG.length"; "left jack.load", "ambient" */
    jv_dim dim;
    jv_value value;
    size_t parts; /* how many share the draw; 1 = its own */
} jv_scatter_quantity;

typedef struct jv_scatter_worst {
    bool found;        /* there is an operating point at the corner */
    double seen_v;     /* volts that the watch sees there */
    double margin_v;   /* seen - limit, the limit at its worse end too */
    bool proved;       /* no tried point was lower, and each quantity pulled one way at all of
                          them: the response is monotone as far as was tried */
    size_t tried;      /* points between that were tried */
    size_t rounds;     /* corners until the signs stood */
    const double *at;  /* value of each quantity there */
    const double *per; /* dV(seen - limit) over the whole range of each quantity, from low to
                          high, by its sensitivity at nominal values; V */
} jv_scatter_worst;

/* Bins of volts that percentiles and the drawing come from. */
#define JV_SCATTER_BINS 32768
#define JV_SCATTER_LEAST_V (-2.0)
#define JV_SCATTER_BIN_V (1.0 / 1024.0)

typedef struct jv_scatter_watch {
    const char *name;
    double limit_v; /* nominal */
    bool assumed;   /* the limit is not from the file */
    const char *basis;
    bool counts;      /* in this case's state; when not, only the name is set */
    double nominal_v; /* seen with nothing varied; NAN: no operating point */
    uint64_t trips;
    uint64_t unsolved;       /* draws without an operating point */
    double trip_probability; /* of the solved draws; NAN without any */
    double low95, high95;    /* Wilson; unsolved draws count as holding in low95, as trips in
                                high95 */
    double p1_v, p5_v, p50_v, p95_v, p99_v, mean_v, deviation_v;
    const uint64_t *bins; /* JV_SCATTER_BINS; what lies outside is in the outermost */
    const double *share;  /* of each quantity: first-order share of the variance of the volts
                             seen; NULL when nothing varies */
    double rest;          /* what only several quantities together bring */
    jv_scatter_worst worst;
} jv_scatter_watch;

typedef struct jv_scatter {
    const char *circuit;
    const char *case_name;
    bool running;
    uint64_t seed;
    uint64_t asked;     /* draws of the whole study */
    uint64_t draws;     /* draws in this answer */
    uint64_t scalar;    /* of them solved one at a time, not in lanes */
    bool interrupted;   /* stopped early */
    unsigned slice, of; /* 1 of 1: the whole study */
    const jv_scatter_quantity *quantities;
    size_t n_quantities;
    const jv_scatter_watch *watches;
    size_t n_watches;
    bool finding; /* a watch trips in the worst case or in any draw, or something unsolved */
} jv_scatter;

typedef struct jv_scatter_options {
    const char *case_name; /* NULL: of the cases in which a motor runs (of all when none does)
                              the one with the least nominal margin at a watch */
    const jv_faults *faults;
    uint64_t draws;     /* 0 = JV_SCATTER_DRAWS */
    uint64_t seed;      /* 0 is a seed like any other */
    unsigned threads;   /* 0 = as many as the machine has */
    unsigned slice, of; /* 0, 0 = all; else 1 .. of */
    bool one_at_a_time; /* no lanes: for tests and the bench */
    unsigned registers; /* bits: 0 = the widest of this machine; 128, 256, 512: for the test that
                           the answer is the same */
    bool no_worst;      /* leave the worst case out */
    /* Called now and then by the thread that called jv_scatter_run; false ends the run with
     * the answer so far. May be NULL. */
    bool (*go_on)(void *ctx, uint64_t done, uint64_t of);
    void *ctx;
} jv_scatter_options;

#define JV_SCATTER_DRAWS 100000
/* Most draws of a study: the sums that are kept of them hold so many. */
#define JV_SCATTER_MOST (UINT64_C(1) << 36)

/* Run. JV_ERR_UNKNOWN: no such case. JV_ERR_RANGE: draws above JV_SCATTER_MOST, a slice out of its
 * range, registers that this machine does not have. JV_ERR_MEMORY. JV_ERR_SYSTEM: no thread could
 * be started. *out must be freed; the circuit may go before it. */
jv_status jv_scatter_run(const jv_circuit *c, const jv_scatter_options *options, jv_scatter **out);
void jv_scatter_free(jv_scatter **scatter); /* takes NULL, leaves NULL */

/* Join the slices of one study, each a file that jv_scatter_slice (render.h) has written: the
 * answer is, to the bit, that of one run. JV_ERR_INPUT: reasons in d (no slice file, slices of
 * different studies, one missing, given twice or stopped early). JV_ERR_SYSTEM: a file cannot be
 * read, likewise. JV_ERR_MEMORY. *out must be freed. */
jv_status jv_scatter_join(const char *const *paths, size_t n, jv_diags *d, jv_scatter **out);

#endif
