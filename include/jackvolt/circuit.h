/* circuit.h - a circuit read into memory. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CIRCUIT_H
#define JACKVOLT_CIRCUIT_H

#include "jackvolt/diag.h"
#include "jackvolt/status.h"

#include <stddef.h>

/* A circuit is parts joined at named terminals, with watches (what can stop the
 * work) and cases (loading states). It is made by a reader (read.h) and does not
 * change afterwards. */
typedef struct jv_circuit jv_circuit;

void jv_circuit_free(jv_circuit **circuit); /* takes NULL, leaves NULL */

/* Names stay valid as long as the circuit does. Indexes count from 0 in the order
 * of the file; an index out of range gives NULL. */
const char *jv_circuit_name(const jv_circuit *c);
const char *jv_circuit_comment(const jv_circuit *c); /* NULL = none */
size_t jv_circuit_parts(const jv_circuit *c);
const char *jv_circuit_part_name(const jv_circuit *c, size_t part);
const char *jv_circuit_part_kind(const jv_circuit *c, size_t part);
size_t jv_circuit_terminals(const jv_circuit *c);
const char *jv_circuit_terminal_name(const jv_circuit *c, size_t terminal);
size_t jv_circuit_watches(const jv_circuit *c);
size_t jv_circuit_cases(const jv_circuit *c);
const char *jv_circuit_case_name(const jv_circuit *c, size_t loading);
/* Index of a case by name; cases() when there is none. */
size_t jv_circuit_find_case(const jv_circuit *c, const char *name);
/* Sequences: the same. */
size_t jv_circuit_sequences(const jv_circuit *c);
const char *jv_circuit_sequence_name(const jv_circuit *c, size_t sequence);
size_t jv_circuit_find_sequence(const jv_circuit *c, const char *name);
/* Bytes that the circuit holds. */
size_t jv_circuit_memory(const jv_circuit *c);

/* Faults put into a circuit for a what-if run, in the words of docs/format.md:
 * "ground stud: 35 mohm added", "F2: open",
 * "left supply lead: shorted to sensor ground at 40 % from a". */
typedef struct jv_faults jv_faults;
jv_faults *jv_faults_new(void); /* NULL when memory is short */
void jv_faults_free(jv_faults **faults);
/* Read one fault. JV_ERR_INPUT: reasons in d (place: a column of "--fault", the text
 * as given). */
jv_status jv_faults_add(jv_faults *faults, const jv_circuit *c, const char *text, jv_diags *d);

#endif
