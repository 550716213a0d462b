/* rig.c - the small circuits that runs in time are tried on. SPDX-License-Identifier: MIT */
#include "tests/support/rig.h"

#include "tests/support/build.h"
#include "tests/support/legs.h"
#include "tests/support/plan.h"

jv_circuit *rig_circuit(const char *volts, const char *ohm) {
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "battery", "post", "minus");
    build_quantity(c, "open_circuit", volts);
    build_quantity(c, "resistance", ohm);
    build_close(c);
    return c;
}

uint32_t rig_jack_of(jv_circuit *c, const char *name, const char *plus, const char *minus,
                     const char *spin_up) {
    uint32_t part = build_between(c, "jack", name, plus, minus);
    build_quantity(c, "rated_force", "1000 lbf");
    build_quantity(c, "rated_current", "24 A");
    build_quantity(c, "no_load_current", "4 A");
    build_quantity(c, "stall_current", "120 A");
    build_quantity(c, "rated_speed", "10 in/min");
    build_quantity(c, "spin_up", spin_up);
    return part;
}

uint32_t rig_jack(jv_circuit *c, const char *name, const char *plus, const char *minus) {
    return rig_jack_of(c, name, plus, minus, "20 ms");
}

void rig_finish(jv_circuit *c) {
    plan_watch(c, "w", "post", "minus", 0.5, 0.0, JV_WARN);
    legs_finish(c);
}
