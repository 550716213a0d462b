/* rig.h - the small circuits that runs in time are tried on. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_RIG_H
#define TESTS_SUPPORT_RIG_H

#include "circuit/circuit.h"

/* A battery between "post" and "minus" in which nothing changes. Part 0. */
jv_circuit *rig_circuit(const char *volts, const char *ohm);
/* A jack by its plate: 12 V and 120 A at stall, so 0.1 ohm; 4 A free, 24 A rated at 1000 lbf and
 * 10 in/min; 20 ms to its speed. Its other keys may follow before build_close. */
uint32_t rig_jack(jv_circuit *c, const char *name, const char *plus, const char *minus);
/* The same with another time to its speed. */
uint32_t rig_jack_of(jv_circuit *c, const char *name, const char *plus, const char *minus,
                     const char *spin_up);
/* A watch that never acts, so that none is assumed; then the circuit is finished. */
void rig_finish(jv_circuit *c);

#endif
