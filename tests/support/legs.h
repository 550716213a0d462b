/* legs.h - the generic leg set of the run that the start figures come from.
 * SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_LEGS_H
#define TESTS_SUPPORT_LEGS_H

#include "circuit/circuit.h"

/* A source of 12.6 V and 10 mohm, 10 mohm of common harness, and n legs behind 20 mohm each.
 * Motor 0.10 ohm, 0.10 mH, 0.028 V s, 1.5e-4 kg m2, 3.0 A; gear 60 at 75 %; 1-5 Acme screw with
 * friction 0.15 (mean diameter 0.9 in); 60 lbf free, ground at 40 mm, 2000 lbf over the next 30 mm,
 * then 8 lbf/mm, stop at 110 mm. Parts: 0 battery, 1 harness, then branch and leg in turn. */
jv_circuit *legs_circuit(size_t n);
/* One such leg between a terminal and "minus". */
void legs_add(jv_circuit *c, const char *name, const char *plus);
/* The same whose winding warms as an assumed one does, with a stroke of 2 m. */
void legs_add_warm(jv_circuit *c, const char *name, const char *plus);
void legs_add_between(jv_circuit *c, const char *name, const char *plus, const char *minus);
/* Finishes a circuit, or fails the test with its first fault. */
void legs_finish(jv_circuit *c);

#endif
