/* steady.h - steady currents, shared by the parts that draw one. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_STEADY_H
#define CIRCUIT_PARTS_STEADY_H

#include "circuit/element.h"

/* A steady electronic load keeps its current down to this voltage, V, and fades to zero
 * below it, so that it never makes current (judgement, no source). */
#define JV_STEADY_KNEE_V 0.5

/* Makes a SINK draw amps at any volts above knee_v; none at all when amps is not above 0. */
static inline void jv_sink_steady(jv_element *e, double amps, double knee_v) {
    bool draws = amps > 0.0;
    e->limit = e->back = draws ? amps : 0.0;
    e->r = draws ? knee_v / amps : knee_v;
    if (!draws)
        e->open = 1;
}

#endif
