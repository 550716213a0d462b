/* supply.c - a converter, an alternator, a tow vehicle, a solar regulator. SPDX-License-Identifier:
 * MIT */
#include "circuit/parts/supply.h"

#include "circuit/body.h"

#include "circuit/kinds.h"
#include "jackvolt/supply.h"

#include <math.h>

/* Mean share of its limit that a supply gives while it stops and tries again, when nobody
 * says (judgement, no source). */
#define HICCUP_SHARE 0.2

static const jv_key keys[JV_SUPPLY_KEYS] = {
    {"plus", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "plus terminal"},
    {"minus", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "minus terminal"},
    {"set_voltage", JV_KEY_QUANTITY, JV_DIM_VOLTAGE, JV_NEEDED, 0, 0, NULL, NULL, NULL,
     "volts that it holds"},
    {"limit", JV_KEY_QUANTITY, JV_DIM_CURRENT, 0, 0, 0, NULL, NULL, NULL,
     "greatest current that it delivers; no limit when absent"},
    {"overload", JV_KEY_WORD, 0, 0, 0, 0, "constant_current|hiccup", NULL, NULL,
     "what it does past the limit: keeps the current, or stops and tries again; "
     "constant_current when absent"},
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, "5 mohm",
     "judgement, no published source", "ohms by which its volts fall with the current"},
    {"hiccup_share", JV_KEY_QUANTITY, JV_DIM_RATIO, JV_ZERO_OK, 0, 1, NULL, NULL, NULL,
     "mean current past the limit of a hiccup supply, as a share of the limit; 20 % when absent"},
};

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    bool hiccup = jv_part_word(c, p, JV_SUPPLY_OVERLOAD, 0) == JV_OVERLOAD_HICCUP;
    if (hiccup && !jv_part_has(c, p, JV_SUPPLY_LIMIT))
        jv_part_fault(d, c, p, JV_SUPPLY_OVERLOAD, JV_CODE_KEY_MISSING,
                      "Give \"limit\": \"55 A\", the current past which it stops.",
                      "supply \"%s\" stops past its limit, but has none", p->name);
    if (!hiccup && jv_part_has(c, p, JV_SUPPLY_HICCUP_SHARE))
        jv_part_fault(d, c, p, JV_SUPPLY_HICCUP_SHARE, JV_CODE_KEYS_CLASH,
                      "Give \"overload\": \"hiccup\", or take \"hiccup_share\" out.",
                      "supply \"%s\" is not one that stops and tries again", p->name);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_wiring_add(w, p, JV_SOURCE, 0, jv_part_terminal(c, p, JV_SUPPLY_PLUS),
                  jv_part_terminal(c, p, JV_SUPPLY_MINUS), -1);
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    e->e = jv_scene_value(s, p, JV_SUPPLY_SET_VOLTAGE, NAN);
    e->r = jv_scene_value(s, p, JV_SUPPLY_RESISTANCE, NAN);
    e->limit = jv_scene_value(s, p, JV_SUPPLY_LIMIT, INFINITY);
    e->back = e->limit;
    if (jv_part_word(s->circuit, p, JV_SUPPLY_OVERLOAD, 0) == JV_OVERLOAD_HICCUP)
        e->back = e->limit * jv_scene_value(s, p, JV_SUPPLY_HICCUP_SHARE, HICCUP_SHARE);
    if (e->state == JV_SUPPLY_TRIES)
        e->limit = e->back;
    if (jv_scene_is_off(s, p))
        e->open = 1;
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_DEAD)
            e->open = 1;
}

/* Overloaded: at its limit, and its volts lower than it holds there. An overload that passed
 * only while others had not yet come on does not show: the answer is looked at when all hold. */
static bool settle(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, const double *v,
                   const double *i) {
    static const double clearly = 1e-6; /* of its volts */
    (void)s;
    (void)p;
    (void)n;
    (void)i;
    double volts = v[e->a] - v[e->b];
    if (e->open || e->state == JV_SUPPLY_TRIES || !(e->back < e->limit) ||
        volts > e->e * (1.0 - clearly) - e->r * e->limit)
        return false;
    e->state = JV_SUPPLY_TRIES;
    e->limit = e->back;
    return true;
}

/* Weight and minutes: judgement, no published source. */
static const jv_failure failures[] = {
    {JV_WAY_DEAD, "not helping", 0.03, 0, 0, "find its own fuse, breaker, plug or switch", 20.0,
     "judgement, no published source"},
};

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    static const double nearly = 1.0 - 1e-6, idle_a = 1e-6;
    (void)s;
    (void)p;
    (void)n;
    (void)r;
    double volts = v[e->a] - v[e->b];
    if (e->open)
        jv_remark(out, false, "is not connected or does not help");
    else if (e->state == JV_SUPPLY_TRIES)
        jv_remark(out, true, "is overloaded and switches off and on: %.1f A on average", -i[0]);
    else if (-i[0] >= nearly * e->limit)
        jv_remark(out, false, "delivers all it can, %.0f A, and its volts are down to %.1f V",
                  -i[0], volts);
    else if (-i[0] <= idle_a)
        jv_remark(out, false, "delivers nothing: the battery is above its %.1f V", e->e);
}

const jv_part_kind jv_kind_supply = {
    .name = "supply",
    .summary =
        "a regulated source that takes no current in: converter, alternator, tow vehicle, solar",
    .keys = keys,
    .n_keys = JV_SUPPLY_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_source = true,
    .check = check,
    .connect = connect,
    .load = load,
    .settle = settle,
    .body = &jv_body_supply,
    .remark = remark,
};
