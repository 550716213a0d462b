/* hall.c - the sensor that counts the turns of a jack. SPDX-License-Identifier: MIT */
#include "circuit/parts/hall.h"

#include "circuit/kinds.h"
#include "circuit/parts/steady.h"

#include <math.h>

#define Q(name, dim, flags, fallback, basis, help) \
    { name, JV_KEY_QUANTITY, dim, flags, 0, 0, NULL, fallback, basis, help }

static const jv_key keys[JV_HALL_KEYS] = {
    {"supply", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "its supply pin"},
    {"minus", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "its ground pin"},
    {"signal", JV_KEY_TERMINAL, 0, JV_LONE_OK, 0, 0, NULL, NULL, NULL,
     "its signal pin; none with two wires"},
    Q("current", JV_DIM_CURRENT, 0, "5 mA",
      "data sheet of an open-drain gear-tooth sensor, middle of 2.5 to 7.5 mA",
      "its own current; with two wires the current when low"),
    Q("high_current", JV_DIM_CURRENT, 0, NULL, NULL, "with two wires: the current when high"),
    Q("minimum", JV_DIM_VOLTAGE, 0, "4.5 V", "from memory", "least volts at which it works"),
    {"output", JV_KEY_WORD, 0, 0, 0, 0, "open drain|two wire", NULL, NULL,
     "how it signals; open drain when absent"},
    {"output_state", JV_KEY_WORD, 0, 0, 0, 0, "low|high", NULL, NULL,
     "state in which it stands still; low when absent"},
    Q("on_resistance", JV_DIM_RESISTANCE, 0, "22 ohm", "from memory",
      "ohms of its output when low"),
    Q("pull_up", JV_DIM_RESISTANCE, 0, NULL, NULL, "resistor that pulls the signal up"),
    {"pull_up_to", JV_KEY_TERMINAL, 0, 0, 0, 0, NULL, NULL, NULL,
     "terminal to which that resistor goes"},
    Q("pulses_per_turn", JV_DIM_NUMBER, JV_NO_SPREAD, NULL, NULL,
      "pulses in one turn of the motor"),
    {"counts", JV_KEY_PART, 0, 0, 0, 0, NULL, NULL, NULL, "the jack or pump whose turns it counts"},
};

jv_hall jv_hall_of_scene(const jv_scene *s, const jv_part *p) {
    jv_hall h = {0};
    h.output = (jv_hall_output)jv_part_word(s->circuit, p, JV_HALL_OUTPUT, JV_HALL_OPEN_DRAIN);
    h.minimum_v = jv_scene_value(s, p, JV_HALL_MINIMUM, 0.0);
    h.current_a = jv_scene_value(s, p, JV_HALL_CURRENT, 0.0);
    h.high_a = jv_scene_value(s, p, JV_HALL_HIGH_CURRENT, h.current_a);
    h.on_ohm = jv_scene_value(s, p, JV_HALL_ON_RESISTANCE, 0.0);
    h.pull_up_ohm = jv_scene_value(s, p, JV_HALL_PULL_UP, 0.0);
    return h;
}

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    bool two_wire = jv_part_word(c, p, JV_HALL_OUTPUT, JV_HALL_OPEN_DRAIN) == JV_HALL_TWO_WIRE;
    bool pull_up = jv_part_has(c, p, JV_HALL_PULL_UP), to = jv_part_has(c, p, JV_HALL_PULL_UP_TO);
    bool signal = jv_part_has(c, p, JV_HALL_SIGNAL);
    if (pull_up != to)
        jv_part_fault(d, c, p, pull_up ? JV_HALL_PULL_UP : JV_HALL_PULL_UP_TO, JV_CODE_KEY_MISSING,
                      "Give both: \"pull_up\": \"10 kohm\", \"pull_up_to\": a terminal.",
                      "sensor \"%s\" has one of \"pull_up\" and \"pull_up_to\"", p->name);
    if (to && !signal)
        jv_part_fault(d, c, p, JV_HALL_PULL_UP_TO, JV_CODE_KEY_MISSING,
                      "Give \"signal\": a terminal.", "sensor \"%s\" has a pull-up but no signal",
                      p->name);
    if (two_wire && signal)
        jv_part_fault(d, c, p, JV_HALL_SIGNAL, JV_CODE_KEYS_CLASH,
                      "Take \"signal\" out, or give \"output\": \"open drain\".",
                      "sensor \"%s\" has two wires, and a third", p->name);
    if (two_wire && !jv_part_has(c, p, JV_HALL_HIGH_CURRENT))
        jv_part_fault(d, c, p, JV_HALL_OUTPUT, JV_CODE_KEY_MISSING,
                      "Give \"high_current\": \"14 mA\"; \"current\" is the low one.",
                      "sensor \"%s\" signals by its current, but has no high_current", p->name);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    int32_t minus = jv_part_terminal(c, p, JV_HALL_MINUS);
    int32_t signal = jv_part_terminal(c, p, JV_HALL_SIGNAL);
    int32_t to = jv_part_terminal(c, p, JV_HALL_PULL_UP_TO);
    jv_wiring_add(w, p, JV_SINK, JV_HALL_OWN, jv_part_terminal(c, p, JV_HALL_SUPPLY), minus, -1);
    if (signal < 0)
        return;
    jv_wiring_add(w, p, JV_SERIES, JV_HALL_STAGE, signal, minus, -1);
    if (to >= 0)
        jv_wiring_add(w, p, JV_SINK, JV_HALL_PULL, to, signal, -1);
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    /* Its own current is there from a part of the volts it works from: bias circuits start
     * early (judgement, no source). */
    static const double knee_share = 0.25;
    jv_hall h = jv_hall_of_scene(s, p);
    bool high = jv_part_word(s->circuit, p, JV_HALL_OUTPUT_STATE, 0) == 1;
    bool open = jv_scene_is_off(s, p);
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_OPEN)
            open = true;
    double own = h.output == JV_HALL_TWO_WIRE && high ? h.high_a : h.current_a;
    jv_sink_steady(&e[0], own, knee_share * h.minimum_v);
    if (open)
        e[0].open = 1;
    for (size_t k = 1; k < n; k++) {
        bool stage = e[k].role == JV_HALL_STAGE;
        e[k].r = stage ? h.on_ohm : h.pull_up_ohm;
        e[k].limit = INFINITY;
        /* The pull-up sits in the receiver: it stays when the sensor is unplugged. */
        if (stage)
            e[k].open = high || open || e[k].state;
    }
}

/* A starved sensor lets its signal go (state 1). The band keeps it from toggling. */
static bool settle(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, const double *v,
                   const double *i) {
    static const double recovers = 1.02; /* of the least volts (judgement, no source) */
    (void)i;
    if (n < 2)
        return false;
    double volts = v[e[0].a] - v[e[0].b];
    double minimum = jv_scene_value(s, p, JV_HALL_MINIMUM, 0.0);
    uint8_t starved = volts < minimum * (e[1].state ? recovers : 1.0);
    if (starved == e[1].state)
        return false;
    e[1].state = starved;
    for (size_t k = 0; k < n; k++)
        e[k].open = 0;
    load(s, p, e, n);
    return true;
}

/* Weights: share of low-voltage complaints, 0.02 for a sensor in all. Weights, severities
 * and minutes are judgement, no published source. */
#define JUDGED "judgement, no published source"
static const jv_failure failures[] = {
    {JV_WAY_INSIDE, "shorted inside <R>", 0.007, 0.5, 50.0, "replace the sensor", 30.0, JUDGED},
    {JV_WAY_OPEN, "open", 0.009, 0, 0, "replace the sensor", 30.0, JUDGED},
    {JV_WAY_LEAK, "leaks <I>", 0.004, 0.010, 0.20, "dry or replace the sensor", 30.0, JUDGED},
};

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    (void)n;
    (void)i;
    (void)r;
    jv_hall h = jv_hall_of_scene(s, p);
    double volts = v[e[0].a] - v[e[0].b];
    if (jv_scene_is_off(s, p))
        return;
    jv_hall_state state = jv_hall_check(&h, volts);
    if (state == JV_HALL_STARVED)
        jv_remark(out, true, "gets %.2f V and needs %.2f V: its pulses are lost", jv_shown_v(volts),
                  h.minimum_v);
    if (state == JV_HALL_TOO_HIGH)
        jv_remark(out, true, "gets %.2f V, more than it stands", volts);
}

const jv_part_kind jv_kind_hall = {
    .name = "hall",
    .summary = "the sensor that counts the turns of a jack",
    .keys = keys,
    .n_keys = JV_HALL_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .check = check,
    .connect = connect,
    .load = load,
    .settle = settle,
    .remark = remark,
};
