/* review_circuit.h - a small sound circuit for tests of review. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_REVIEW_CIRCUIT_H
#define TESTS_SUPPORT_REVIEW_CIRCUIT_H

#include "jackvolt/circuit.h"

#include <stddef.h>

/* One jack, a fuse at the post, cable out and back; with more parts and more sections of the
 * file (JSON text, each with its leading comma; "" = none) and changes. Fails the cmocka test
 * when it cannot be read; free with jv_circuit_free. */
jv_circuit *review_circuit(const char *parts, const char *sections, const char *const *sets,
                           size_t n_sets);
/* A section that waives a rule of the feed, one of the return, and one that is none. */
extern const char review_waivers[];

#endif
