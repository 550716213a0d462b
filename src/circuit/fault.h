/* fault.h - faults put into a circuit, for those who solve it. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_FAULT_H
#define CIRCUIT_FAULT_H

#include "circuit/part_kind.h"

/* The faults read so far, in the order they came; valid until the next add or the free.
 * NULL faults: none. */
const jv_fault *jv_faults_list(const jv_faults *faults, size_t *n);

/* Severity that a failure has when nobody says: the geometric middle of its spread; 0 when
 * it has none. */
double jv_failure_middle(const jv_failure *failure);

/* Writes a fault in the words that jv_faults_add reads: "ground stud: 35 mohm added". */
void jv_fault_print(jv_text *out, const jv_circuit *c, const jv_fault *fault);

#endif
