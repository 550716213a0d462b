/* sensor_supply.c - the regulator that feeds the sensors. SPDX-License-Identifier: MIT */
#include "circuit/kinds.h"

#include <math.h>

enum { IN, MINUS, OUT, SET_VOLTAGE, DROPOUT, LIMIT, SHORT_CURRENT, CURRENT, RESISTANCE, KEYS };

static const jv_key keys[KEYS] = {
    {"in", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "input terminal"},
    {"minus", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "its ground"},
    {"out", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "output terminal"},
    {"set_voltage", JV_KEY_QUANTITY, JV_DIM_VOLTAGE, JV_NEEDED, 0, 0, NULL, NULL, NULL,
     "volts that it holds"},
    {"dropout", JV_KEY_QUANTITY, JV_DIM_VOLTAGE, JV_ZERO_OK, 0, 0, NULL, "0.6 V",
     "data sheet of a 5 V tracking regulator of the 250 mA class, greatest value",
     "least volts between input and output"},
    {"limit", JV_KEY_QUANTITY, JV_DIM_CURRENT, JV_NEEDED, 0, 0, NULL, NULL, NULL,
     "greatest current that it delivers"},
    {"short_circuit_current", JV_KEY_QUANTITY, JV_DIM_CURRENT, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "current into a dead short; the limit when absent"},
    {"current", JV_KEY_QUANTITY, JV_DIM_CURRENT, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "its own current; none when absent"},
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "ohms by which its volts fall with the current; none when absent"},
};

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    const jv_slot *limit = jv_part_slot(c, p, LIMIT);
    const jv_slot *dead_short = jv_part_slot(c, p, SHORT_CURRENT);
    if (limit && dead_short && dead_short->value.nominal > limit->value.nominal)
        jv_part_fault(d, c, p, SHORT_CURRENT, JV_CODE_QUANTITY_RANGE,
                      "Exchange the two if they are swapped.",
                      "short_circuit_current %g A is above the limit %g A",
                      dead_short->value.nominal, limit->value.nominal);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_wiring_add(w, p, JV_REGULATOR, 0, jv_part_terminal(c, p, IN), jv_part_terminal(c, p, MINUS),
                  jv_part_terminal(c, p, OUT));
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    e->e = jv_scene_value(s, p, SET_VOLTAGE, NAN);
    e->drop = jv_scene_value(s, p, DROPOUT, 0.0);
    e->limit = jv_scene_value(s, p, LIMIT, NAN);
    e->back = fmin(jv_scene_value(s, p, SHORT_CURRENT, e->limit), e->limit);
    e->quiescent = jv_scene_value(s, p, CURRENT, 0.0);
    e->r = jv_scene_value(s, p, RESISTANCE, 0.0);
    if (jv_scene_is_off(s, p))
        e->open = 1;
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_DEAD)
            e->open = 1;
}

/* Weight and minutes: judgement, no published source. */
static const jv_failure failures[] = {
    {JV_WAY_DEAD, "failed", 0.005, 0, 0, "replace the controller or the regulator", 60.0,
     "judgement, no published source"},
};

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    static const double sound =
        0.97; /* of the set volts: data sheets hold 2 to 3 % (from memory) */
    (void)s;
    (void)p;
    (void)n;
    (void)r;
    double in = v[e->a] - v[e->b], volts = v[e->c] - v[e->b];
    if (e->open)
        jv_remark(out, true, "gives nothing: it has failed or is off");
    else if (volts >= sound * e->e)
        return;
    else if (in - e->drop < e->e)
        jv_remark(out, true,
                  "cannot hold its %.1f V: its input is down to %.2f V, its output to %.2f V", e->e,
                  jv_shown_v(in), jv_shown_v(volts));
    else
        jv_remark(out, true, "is in its current limit at %.0f mA: the sensors get %.2f V",
                  1e3 * i[0], jv_shown_v(volts));
}

const jv_part_kind jv_kind_sensor_supply = {
    .name = "sensor_supply",
    .summary = "the regulator that feeds the sensors",
    .keys = keys,
    .n_keys = KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .check = check,
    .connect = connect,
    .load = load,
    .remark = remark,
};
