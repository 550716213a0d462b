/* load.c - lights, brakes, a refrigerator: anything else that draws. SPDX-License-Identifier: MIT
 */
#include "circuit/kinds.h"
#include "circuit/parts/steady.h"

#include <math.h>

enum { PLUS, MINUS, CURRENT, POWER, RESISTANCE, MINIMUM, ON, KEYS };

/* Volts down to which a constant-power load keeps its power when nobody says
 * (judgement, no source: half of the nominal volts of the circuit). */
static const double floor_v = 6.0;

static const jv_key keys[KEYS] = {
    {"plus", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "plus terminal"},
    {"minus", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "minus terminal"},
    {"current", JV_KEY_QUANTITY, JV_DIM_CURRENT, 0, 0, 0, NULL, NULL, NULL,
     "it draws this current whatever its volts"},
    {"power", JV_KEY_QUANTITY, JV_DIM_POWER, 0, 0, 0, NULL, NULL, NULL,
     "it draws this power whatever its volts: a converter or an inverter"},
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, 0, 0, 0, NULL, NULL, NULL,
     "it is a plain resistance: a heater, a lamp"},
    {"minimum", JV_KEY_QUANTITY, JV_DIM_VOLTAGE, 0, 0, 0, NULL, NULL, NULL,
     "least volts at which it works"},
    {"on", JV_KEY_FLAG, 0, 0, 0, 0, NULL, NULL, NULL,
     "false: it is off unless a case switches it on; true when absent"},
};

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    int given = 0, last = -1;
    for (unsigned key = CURRENT; key <= RESISTANCE; key++)
        if (jv_part_has(c, p, key)) {
            given++;
            last = (int)key;
        }
    if (given == 0)
        jv_part_fault(
            d, c, p, -1, JV_CODE_KEY_MISSING,
            "Give \"current\": \"4 A\", or \"power\": \"50 W\", or \"resistance\": \"3 ohm\".",
            "load \"%s\" does not say what it draws", p->name);
    if (given > 1)
        jv_part_fault(d, c, p, last, JV_CODE_KEYS_CLASH,
                      "Keep one of \"current\", \"power\" and \"resistance\".",
                      "load \"%s\" says %d times what it draws", p->name, given);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_law law = jv_part_has(c, p, POWER) ? JV_POWER : JV_SINK;
    jv_wiring_add(w, p, law, 0, jv_part_terminal(c, p, PLUS), jv_part_terminal(c, p, MINUS), -1);
}

static bool is_on(const jv_scene *s, const jv_part *p) {
    enum { SWITCHED_ON = 2 };
    bool on = jv_part_flag(s->circuit, p, ON, true);
    if (s->plugged_off && s->plugged_off[p - s->circuit->parts] == SWITCHED_ON)
        on = true;
    if (jv_scene_is_off(s, p))
        on = false;
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_OPEN)
            on = false;
    return on;
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    double power = jv_scene_value(s, p, POWER, NAN);
    double ohms = jv_scene_value(s, p, RESISTANCE, NAN);
    if (!isnan(power)) {
        e->limit = power;
        e->e = jv_scene_value(s, p, MINIMUM, floor_v);
    } else if (!isnan(ohms)) {
        e->r = ohms;
        e->limit = e->back = INFINITY;
    } else {
        jv_sink_steady(e, jv_scene_value(s, p, CURRENT, 0.0), JV_STEADY_KNEE_V);
    }
    if (!is_on(s, p))
        e->open = 1;
}

/* Weights, severities and minutes: judgement, no published source. */
#define JUDGED "judgement, no published source"
static const jv_failure failures[] = {
    {JV_WAY_OPEN, "open", 0.002, 0, 0, "replace it", 30.0, JUDGED},
    {JV_WAY_INSIDE, "shorted inside <R>", 0.002, 0.010, 0.50, "replace it", 30.0, JUDGED},
    {JV_WAY_LEAK, "leaks <I>", 0.004, 0.05, 5.0, "find what stays on in it", 30.0, JUDGED},
};

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    (void)i;
    (void)r;
    (void)n;
    double volts = v[e->a] - v[e->b], least = jv_scene_value(s, p, MINIMUM, NAN);
    if (!e->open && volts < least)
        jv_remark(out, true, "gets %.2f V and needs %.2f V to work", jv_shown_v(volts), least);
}

const jv_part_kind jv_kind_load = {
    .name = "load",
    .summary = "anything else that draws: lights, brakes, a refrigerator",
    .keys = keys,
    .n_keys = KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .check = check,
    .connect = connect,
    .load = load,
    .remark = remark,
};
