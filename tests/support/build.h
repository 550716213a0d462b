/* build.h - build small circuits in a test, keys by name. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_BUILD_H
#define TESTS_SUPPORT_BUILD_H

#include "circuit/circuit.h"
#include "circuit/net.h"
#include "circuit/part_kind.h"

/* Each call fails the cmocka test when the kind has no such key, the text is no quantity or
 * word of the key, or memory is short. Order: build_part, its keys, build_close. */

/* An empty circuit at an ambient of 20 degC; free it with jv_circuit_free. */
jv_circuit *build_circuit(void);
/* Starts a part of a kind ("fuse"); its index comes back. */
uint32_t build_part(jv_circuit *c, const char *kind, const char *name);
uint32_t build_part_of(jv_circuit *c, const jv_part_kind *kind, const char *name);
void build_terminal(jv_circuit *c, const char *key, const char *terminal);
void build_quantity(jv_circuit *c, const char *key, const char *text);
void build_word(jv_circuit *c, const char *key, const char *word);
void build_flag(jv_circuit *c, const char *key, bool value);
void build_text(jv_circuit *c, const char *key, const char *text);      /* TEXT, SIZE */
void build_reference(jv_circuit *c, const char *key, const char *part); /* PART */
void build_point(jv_circuit *c, const char *key, const char *terminal, const char *quantity);
/* PINS, OUTPUTS; second may be NULL for an output. */
void build_pin(jv_circuit *c, const char *key, const char *name, const char *first,
               const char *second);
void build_curve(jv_circuit *c, const char *key, double percent, double least_s, double greatest_s);
void build_close(jv_circuit *c);

/* A part with the two terminals of its keys 0 and 1 (frames and connectors have none). */
uint32_t build_between(jv_circuit *c, const char *kind, const char *name, const char *first,
                       const char *second);

/* The net of a case (NULL = at rest) with n faults; free it with jv_net_free. */
jv_net *build_net(const jv_circuit *c, const jv_case *loading, const jv_fault *faults, size_t n);
/* The k-th element of a part. */
jv_element *build_element(const jv_net *net, uint32_t part, size_t k);
/* A fault of a part: no position, no terminal, no pin. */
jv_fault build_fault(uint32_t part, jv_way way, double value);
/* How many diagnostics of one code there are. */
size_t build_count(const jv_diags *d, jv_code code);

#endif
