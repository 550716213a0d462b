/* table.h - odds, information and plans over plain tables. SPDX-License-Identifier: MIT */
#ifndef STUDY_FIND_TABLE_H
#define STUDY_FIND_TABLE_H

#include "jackvolt/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The arithmetic of the finder, apart from where its likelihoods come from: the circuit model
 * fills them in for the engine, a published table for its tests. Costs in minutes, any one unit
 * will do. */

/* -sum p log2 p of weights that sum to `total`, bits. */
double jv_entropy_bits(const double *p, size_t n, double total);
/* Bayes: out_k = weight_k likelihood_k; returns their sum (the evidence of unit weights). */
double jv_weigh(const double *weight, const double *likelihood, size_t n, double *out);

/* Hypotheses and tests: likelihood of outcome o of test t under hypothesis h. */
typedef struct jv_table_tests {
    size_t n_hypotheses, n_tests, n_outcomes; /* outcomes of every test; unused ones are 0 */
    const double *likelihood;                 /* [test][outcome][hypothesis] */
    const double *cost;                       /* of each test */
} jv_table_tests;

/* Expected fall of the entropy by one test, bits. scratch: n_hypotheses. */
double jv_table_information(const jv_table_tests *t, const double *weight, size_t test,
                            double *scratch);
/* The test that tells most for its cost; ahead: that with the least expected cost when the rest is
 * done so (rollout: Tu and Pattipati, IEEE Trans. SMC-A 33 (2003) 86-99). n_tests when none tells
 * anything. JV_ERR_MEMORY. */
jv_status jv_table_next(const jv_table_tests *t, const double *weight, bool ahead, size_t *test);
/* Expected cost of going on in that way until no test tells anything more. */
jv_status jv_table_cost(const jv_table_tests *t, const double *weight, bool ahead, double *cost);

/* --- repairs (theory A1 .. A3: Heckerman, Breese, Rommelse 1995) --- */

typedef struct jv_action {
    double p;      /* probability that this is it */
    double check;  /* minutes to check (or to replace blind) */
    double repair; /* minutes more when it is it */
} jv_action;

/* Order of least expected cost: by falling p / check. order: n. */
void jv_action_order(const jv_action *a, size_t n, size_t *order);
/* Expected cost of the first m of an order, then a call that costs `call` and never fails. */
double jv_action_cost(const jv_action *a, const size_t *order, size_t m, double call);
/* How many of the order to do before the call, and what it costs then. */
size_t jv_action_plan(const jv_action *a, const size_t *order, size_t n, double call, double *cost);

/* --- conflicts (theory (b): Reiter 1987, de Kleer and Williams 1987) --- */

/* Keeps the minimal ones of n sets (bit i = member i); returns how many. */
size_t jv_sets_minimal(uint32_t *sets, size_t n);
/* Minimal sets that meet every one of n conflicts; at most `most`, which must suffice for the
 * sets met on the way too. Returns how many. */
size_t jv_sets_hitting(const uint32_t *conflicts, size_t n, uint32_t *out, size_t most);

#endif
