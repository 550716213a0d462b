/* one_part.h - look at one part of a small circuit in a test. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_ONE_PART_H
#define TESTS_SUPPORT_ONE_PART_H

#include "tests/support/build.h"

/* A circuit of one part between "x" and "y"; its keys follow. */
jv_circuit *alone(const char *kind);
/* One element of one part in a case with one fault or none; the net is gone again. */
jv_element element(const jv_circuit *c, uint32_t part, size_t k, const jv_case *loading,
                   const jv_fault *fault);
/* Ohms of the first element of a part in a case, with faults, and whether it is open. */
double ohms(const jv_circuit *c, uint32_t part, const jv_case *loading, const jv_fault *faults,
            size_t n);
bool is_open(const jv_circuit *c, uint32_t part, const jv_case *loading, const jv_fault *faults,
             size_t n);
/* How many faults of one code the part finds in itself. */
size_t faults_found(const jv_circuit *c, uint32_t part, jv_code code);
/* The value of a key, NULL when it is absent. */
const jv_slot *slot_named(const jv_circuit *c, uint32_t part, const char *key);

jv_run run_of(uint32_t part, int direction, jv_load_kind kind, double value);
jv_case case_of(jv_run *runs, size_t n);

#endif
