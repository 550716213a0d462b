/* evidence.h - readings, symptoms and meters in words. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_EVIDENCE_H
#define JACKVOLT_EVIDENCE_H

#include "jackvolt/diag.h"
#include "jackvolt/find.h"
#include "jackvolt/status.h"

#include <stdbool.h>
#include <stddef.h>

/* Plain lines, described in docs/format.md. Names may stand in quotes; without them the longest
 * name that fits is taken. A reading:
 *   volts PLUS MINUS [WHEN] [without PART, ..] = 9.6 V
 *   volts across PART [pin NAME] [WHEN] .. = 35 mV
 *   amps PART [WHEN] = 48 A
 *   ohms PLUS MINUS [without PART, ..] = 0.4 ohm        (or OL)
 *   look PART = good                                    (or bad)
 * WHEN is "in CASE" or "at rest" (taken when nothing is said). A symptom:
 *   WATCH trips|holds [WHEN]
 *   JACK slow|not slow|still|moves [WHEN]
 *   all slow|not slow in CASE
 *   SENSOR lost|works [WHEN]
 *   happens cold|after minutes|now and then
 *   changed battery|wiring|jack|weather */

/* Give a line to a finder. place: of the line, for messages (its column is found). JV_ERR_INPUT:
 * reasons in diags; JV_ERR_MEMORY. */
jv_status jv_reading_take(jv_finder *f, const jv_circuit *c, const char *text,
                          const jv_place *place, jv_diags *diags);
jv_status jv_symptom_take(jv_finder *f, const jv_circuit *c, const char *text,
                          const jv_place *place, jv_diags *diags);
/* Lines of both kinds; empty lines and those that begin with # are passed over. All faults are
 * collected. */
jv_status jv_evidence_take(jv_finder *f, const jv_circuit *c, const char *text, size_t length,
                           const char *file, jv_diags *diags);

/* A meter, changes to the plain one, separated by semicolons: "volts 0.5 % + 3 x 10 mV",
 * "millivolts ..", "ohms ..", "amps ..", "leads 0.2 ohm", "peak hold", "no clamp", "no ohms". */
jv_status jv_meter_take(const char *text, jv_meter *meter, bool *no_clamp, bool *no_ohms,
                        jv_diags *diags);

/* Append a symptom, by its number in the order added (proofs not counted), in the words in which it
 * is written: "low-voltage stop" trips in "lifting". Nothing when there is none of that number. */
void jv_symptom_print(const jv_finder *f, size_t symptom, jv_text *out);

/* The suspect that a person means: its words, or words that only it has; JV_FIND_NONE with a fault
 * in diags. */
size_t jv_suspect_take(const jv_finder *f, const char *text, jv_diags *diags);

/* The circuit as found: the text of its file with the quantities that the readings moved, as value
 * and spread. The named fault's own severity stands in it when `with_fault`. JV_ERR_INPUT: the text
 * is no circuit file. */
jv_status jv_fit_write(jv_finder *f, const jv_circuit *c, const char *text, size_t length,
                       bool with_fault, jv_text *out);

#endif
