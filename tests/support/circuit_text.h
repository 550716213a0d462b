/* circuit_text.h - circuit files written in a test. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_CIRCUIT_TEXT_H
#define TESTS_SUPPORT_CIRCUIT_TEXT_H

#include "circuit/circuit.h"
#include "jackvolt/read.h"

/* Parts that every circuit below needs, from "post+" to "post-". */
#define SOURCE                                                                   \
    "\"bat\": {\"is\": \"battery\", \"plus\": \"post+\", \"minus\": \"post-\", " \
    "\"open_circuit\": \"12.6 V\", \"resistance\": \"10 mohm\"}"
#define LAMP                                                                                    \
    "\"lamp\": {\"is\": \"load\", \"plus\": \"post+\", \"minus\": \"post-\", \"current\": \"2 " \
    "A\"}"
#define FILE_OF(parts) "{\"circuit\": \"c\", \"parts\": {" SOURCE ", " parts "}}"

/* The example of the file format. */
extern const char example[];

jv_status read_with(const char *text, const char *const *sets, size_t n_sets, jv_diags *d,
                    jv_circuit **out);
/* How many faults a text has; they come back in d. */
size_t faults_of(const char *text, const char *const *sets, size_t n_sets, jv_diags *d);
/* Reads a text that holds together; prints what is wrong otherwise. */
jv_circuit *sound(const char *text, const char *const *sets, size_t n_sets);
/* A key of a part, NULL when it is absent, and its value. */
const jv_slot *slot_of(const jv_circuit *c, const char *part, const char *key);
double value_of(const jv_circuit *c, const char *part, const char *key);

#endif
