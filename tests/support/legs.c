/* legs.c - the generic leg set of the run that the start figures come from.
 * SPDX-License-Identifier: MIT */
#include "legs.h"

#include "build.h"
#include "plan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <stdio.h>
#include <cmocka.h>

static void leg(jv_circuit *c, const char *name, const char *plus, const char *minus, bool cold) {
    build_between(c, "jack", name, plus, minus);
    build_quantity(c, "rated_force", "3000 lbf");
    build_quantity(c, "stroke", cold ? "110 mm" : "2 m");
    build_quantity(c, "travel.free", "40 mm");
    build_quantity(c, "travel.ramp", "30 mm");
    build_quantity(c, "travel.force", "2000 lbf");
    build_quantity(c, "travel.rate", "203.2 lbf/in"); /* 8 lbf/mm */
    build_quantity(c, "travel.drag", "60 lbf");
    build_quantity(c, "motor.resistance", "0.10 ohm");
    build_quantity(c, "motor.constant", "0.028 V s/rad");
    build_quantity(c, "motor.no_load_current", "3.0 A");
    build_quantity(c, "motor.inertia", "1.5e-4 kg m2");
    build_quantity(c, "motor.inductance", "0.10 mH");
    build_quantity(c, "gear.ratio", "60");
    build_quantity(c, "gear.efficiency", "75 %");
    build_quantity(c, "screw.diameter", "1 in");
    build_quantity(c, "screw.lead", "0.2 in");
    build_quantity(c, "screw.friction", "0.15");
    /* The ball thrust bearing that is part of the printed efficiency of 0.293: 0.0079 at 1.5 in. */
    build_quantity(c, "screw.collar_friction", "0.0079");
    build_quantity(c, "screw.collar_diameter", "1.5 in");
    if (cold) /* the windings stay at 20 degC in that run */
        build_quantity(c, "heat.winding", "1e9 J/K");
    build_close(c);
}

void legs_add(jv_circuit *c, const char *name, const char *plus) {
    leg(c, name, plus, "minus", true);
}

void legs_add_between(jv_circuit *c, const char *name, const char *plus, const char *minus) {
    leg(c, name, plus, minus, true);
}

void legs_add_warm(jv_circuit *c, const char *name, const char *plus) {
    leg(c, name, plus, "minus", false);
}

void legs_finish(jv_circuit *c) {
    jv_diags d = {0};
    jv_circuit_finish(c, &d);
    if (d.errors)
        fail_msg("%s", d.items[0].message);
    jv_diags_clear(&d);
}

jv_circuit *legs_circuit(size_t n) {
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "battery", "post", "minus");
    build_quantity(c, "open_circuit", "12.6 V");
    build_quantity(c, "resistance", "10 mohm");
    build_close(c);
    build_between(c, "cable", "harness", "post", "bus");
    build_quantity(c, "resistance", "10 mohm");
    build_close(c);
    for (size_t k = 0; k < n; k++) {
        char branch[32], name[32], end[32];
        snprintf(branch, sizeof branch, "branch %zu", k + 1);
        snprintf(name, sizeof name, "leg %zu", k + 1);
        snprintf(end, sizeof end, "end %zu", k + 1);
        build_between(c, "cable", branch, "bus", end);
        build_quantity(c, "resistance", "20 mohm");
        build_close(c);
        legs_add(c, name, end);
    }
    plan_watch(c, "bus", "bus", "minus", 5.0, 0.0, JV_WARN);
    legs_finish(c);
    return c;
}
