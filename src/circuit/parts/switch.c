/* switch.c - a switch or disconnect. SPDX-License-Identifier: MIT */
#include "circuit/parts/switch.h"

#include "circuit/kinds.h"

#include <math.h>

enum { A, B, RESISTANCE, CLOSED, KEYS };
enum { BY_CASE_OFF = 1 };

static const jv_key keys[KEYS] = {
    {"a", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "terminal on one side"},
    {"b", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "terminal on the other side"},
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, "3 mohm */ 2",
     "typical contact of a 30 A automotive relay, data sheet; a switch is taken alike (judgement)",
     "ohms when closed"},
    {"closed", JV_KEY_FLAG, 0, 0, 0, 0, NULL, NULL, NULL,
     "true when absent; the \"on\" and \"off\" lists of a case override it"},
};

int jv_scene_switching(const jv_scene *s, const jv_part *p) {
    return s->plugged_off ? s->plugged_off[p - s->circuit->parts] : 0;
}

bool jv_switch_closed(const jv_scene *s, const jv_part *p) {
    int switching = jv_scene_switching(s, p);
    if (switching)
        return switching != BY_CASE_OFF;
    return jv_part_flag(s->circuit, p, CLOSED, true);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_wiring_add(w, p, JV_SERIES, 0, jv_part_terminal(c, p, A), jv_part_terminal(c, p, B), -1);
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    e->r = jv_scene_value(s, p, RESISTANCE, NAN);
    e->r_slope = 0.0;
    e->open = !jv_switch_closed(s, p);
}

/* No weight of its own is listed: below that of a relay (0.03), which works harder. */
static const jv_failure failures[] = {
    {JV_WAY_ADDED, "<R> added", 0.01, 0.004, 0.300, "replace the switch", 20.0,
     "judgement, no published source"},
    {JV_WAY_OPEN, "open", 0.005, 0, 0, "replace the switch", 20.0,
     "judgement, no published source"},
};

const jv_part_kind jv_kind_switch = {
    .name = "switch",
    .summary = "a switch or battery disconnect",
    .keys = keys,
    .n_keys = KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_series = true,
    .connect = connect,
    .load = load,
};
