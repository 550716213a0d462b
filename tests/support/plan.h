/* plan.h - sequences in a test, and what a run gave. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_PLAN_H
#define TESTS_SUPPORT_PLAN_H

#include "circuit/circuit.h"
#include "jackvolt/sequence.h"

enum { PLAN_STEPS = 64, PLAN_RUNS = 8 };

/* An empty sequence of up to PLAN_STEPS steps, of up to PLAN_RUNS motors each. */
jv_plan *plan_new(jv_circuit *c, const char *name);
/* A step that lasts at most for_s (NAN: no such end). */
jv_plan_step *plan_step(jv_circuit *c, jv_plan *p, const char *name, double for_s);
/* A motor of a step: direction +1 or -1. */
void plan_run(jv_plan_step *s, uint32_t part, int direction, jv_load_kind kind, double value);
/* A watch between two terminals. */
jv_watch *plan_watch(jv_circuit *c, const char *name, const char *plus, const char *minus,
                     double below, double held_for, jv_watch_action action);

/* Runs, or fails the test. */
jv_sequence *plan_play(const jv_circuit *c, const jv_sequence_options *how);
/* The trace value at a time: of the last sample no later than t. Fails when there is no such
 * trace. */
double plan_value(const jv_sequence *s, const char *trace, const char *unit, double t);
/* The first event of a kind from t on; fails the test when there is none. */
const jv_sequence_event *plan_event(const jv_sequence *s, jv_happening what, double from_s);
size_t plan_count(const jv_sequence *s, jv_happening what);

#endif
