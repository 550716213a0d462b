/* connector.c - a plug and its socket, pin by pin. SPDX-License-Identifier: MIT */
#include "circuit/kinds.h"
#include "circuit/parts/joint.h"

#include <math.h>

enum { PINS, RESISTANCE, RATING, KEYS };

/* From this rating a pin counts as a power contact, A: small sealed connectors take wire up
 * to 1.5 mm2, which their makers rate below it (judgement, no published source). */
static const double power_pin_a = 20.0;

static const jv_key keys[KEYS] = {
    {"pins", JV_KEY_PINS, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL,
     "name of each pin with the terminal on either side: {\"1\": [\"lead end\", \"jack plus\"]}"},
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "ohms of each mated pin; that of a sound small or power contact, by rating, when absent"},
    {"rating", JV_KEY_QUANTITY, JV_DIM_CURRENT, JV_NO_SPREAD, 0, 0, NULL, NULL, NULL,
     "current that each pin may carry"},
};

static bool known(const jv_contact_figures *f, jv_status status) {
    return status == JV_OK && f->has_typical && f->typical.typical > 0.0;
}

/* Nobody says which: anything from a power contact to a small one. */
static void assume_either(jv_circuit *c) {
    jv_contact_figures small = {0}, large = {0};
    if (!known(&small, jv_table_contact(JV_CONTACT_CONNECTOR_SMALL, &small)) ||
        !known(&large, jv_table_contact(JV_CONTACT_CONNECTOR_LARGE, &large))) {
        jv_joint_assume(c, RESISTANCE, JV_CONTACT_CONNECTOR_LARGE);
        return;
    }
    double low = fmin(small.typical.typical, large.typical.typical);
    double high = fmax(small.typical.typical, large.typical.typical);
    jv_range range = {low, sqrt(low * high), high, small.typical.source, JV_WEAK, ""};
    jv_value v = jv_joint_spread(&range);
    jv_circuit_assume(c, RESISTANCE, &v, "between a power contact (%s) and a small one (%s)",
                      large.typical.source->title, small.typical.source->title);
}

static void assume(jv_circuit *c, const jv_part *p) {
    const jv_slot *rating = jv_part_slot(c, p, RATING);
    if (!rating)
        assume_either(c);
    else
        jv_joint_assume(c, RESISTANCE,
                        rating->value.nominal < power_pin_a ? JV_CONTACT_CONNECTOR_SMALL
                                                            : JV_CONTACT_CONNECTOR_LARGE);
}

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    size_t n;
    const jv_slot *pins = jv_part_entries(c, p, PINS, &n);
    for (size_t i = 0; i < n; i++)
        if (pins[i].index >= 0 && pins[i].index == pins[i].second)
            jv_part_fault(d, c, p, PINS, JV_CODE_SHORTED_PART,
                          "Give its two sides two different terminals.",
                          "both sides of pin \"%s\" of connector \"%s\" are at terminal \"%s\"",
                          pins[i].text, p->name, c->terminals[pins[i].index]);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    size_t n;
    const jv_slot *pins = jv_part_entries(c, p, PINS, &n);
    for (size_t i = 0; i < n; i++)
        jv_wiring_add(w, p, JV_SERIES, 0, pins[i].index, pins[i].second, -1);
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    size_t pins;
    const jv_slot *pin = jv_part_entries(s->circuit, p, PINS, &pins);
    for (size_t i = 0; i < n && i < pins; i++) {
        e[i].r = jv_scene_value(s, p, RESISTANCE, NAN);
        e[i].r_slope = 0.0;
        jv_series_faults(s, p, &e[i], pin[i].text);
    }
}

/* Power pins 0.07, sensor pins 0.05 of the complaints: the middle, corroded far more often
 * than open (judgement). */
static const jv_failure failures[] = {
    {JV_WAY_ADDED, "<R> added at pin <N>", 0.04, 0.010, 0.500,
     "unplug, clean and tighten or replace the pin", 15.0, "judgement, no published source"},
    {JV_WAY_OPEN, "pin <N> open", 0.02, 0, 0, "seat the pin again or replace it", 15.0,
     "judgement, no published source"},
    {JV_WAY_LOOSE, "<R> added at pin <N> now and then", 0.002, 0.050, 2.0,
     "pull at each wire, tighten or replace the pin", 15.0, "common practice, no source"},
};

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    (void)v;
    (void)r;
    (void)e;
    size_t pins;
    const jv_slot *pin = jv_part_entries(s->circuit, p, PINS, &pins);
    double rating = jv_scene_value(s, p, RATING, NAN);
    for (size_t k = 0; k < n && k < pins; k++)
        if (fabs(i[k]) > rating)
            jv_remark(out, true, "pin \"%s\" carries %.1f A; it is rated for %.1f A", pin[k].text,
                      fabs(i[k]), rating);
}

const jv_part_kind jv_kind_connector = {
    .name = "connector",
    .summary = "a plug and its socket, pin by pin",
    .keys = keys,
    .n_keys = KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_series = true,
    .own_faults = true,
    .assume = assume,
    .check = check,
    .connect = connect,
    .load = load,
    .remark = remark,
};
