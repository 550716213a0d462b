/* controller.c - the module that drives the motors. SPDX-License-Identifier: MIT */
#include "circuit/parts/controller.h"

#include "circuit/kinds.h"
#include "circuit/parts/steady.h"

#include <math.h>

#define Q(name, dim, flags, fallback, basis, help) \
    { name, JV_KEY_QUANTITY, dim, flags, 0, 0, NULL, fallback, basis, help }

static const jv_key keys[JV_CONTROLLER_KEYS] = {
    {"plus", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "its plus pin"},
    {"minus", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "its minus pin"},
    {"outputs", JV_KEY_OUTPUTS, 0, JV_LONE_OK, 0, 0, NULL, NULL, NULL,
     "motor outputs: {NAME: terminal} when the motor's minus is wired elsewhere, "
     "{NAME: [plus, minus]} when both ends are driven and it can reverse"},
    {"inputs", JV_KEY_OUTPUTS, 0, JV_LONE_OK, 0, 0, NULL, NULL, NULL,
     "signal inputs: {NAME: terminal}"},
    Q("input_resistance", JV_DIM_RESISTANCE, 0, "100 kohm", "from memory",
      "ohms of each input to the minus pin"),
    Q("current", JV_DIM_CURRENT, JV_ZERO_OK, "200 mA", "from memory",
      "its own current, all motors off"),
    Q("reverse_drop", JV_DIM_VOLTAGE, JV_ZERO_OK, NULL, NULL,
      "volts that its reverse-battery protection takes from what it senses; 0 V when absent"),
    Q("channel_resistance", JV_DIM_RESISTANCE, JV_ZERO_OK, "10 mohm", "from memory",
      "ohms of one output channel, both contacts together"),
    Q("reset_voltage", JV_DIM_VOLTAGE, 0, NULL, NULL, "it resets below these volts"),
    Q("stop_current", JV_DIM_CURRENT, 0, NULL, NULL, "it stops an output above this current"),
    Q("time_limit", JV_DIM_TIME, 0, NULL, NULL, "it stops an output after this time"),
    Q("soft_start", JV_DIM_TIME, JV_ZERO_OK, NULL, NULL,
      "time over which it brings a motor up, in a sequence"),
    Q("reset_held_for", JV_DIM_TIME, JV_ZERO_OK, NULL, NULL,
      "how long the volts must be below reset_voltage; 5 ms in a sequence when absent"),
    Q("restart_time", JV_DIM_TIME, 0, NULL, NULL,
      "time until it works again after a reset; 1 s in a sequence when absent"),
    Q("stop_held_for", JV_DIM_TIME, JV_ZERO_OK, NULL, NULL,
      "how long the current must be above stop_current; 200 ms in a sequence when absent"),
    Q("stop_ignored_for", JV_DIM_TIME, JV_ZERO_OK, NULL, NULL,
      "how long it looks away from the current after a start; 300 ms in a sequence when absent"),
    Q("pulse_timeout", JV_DIM_TIME, 0, NULL, NULL,
      "it stops a jack whose sensor gives no pulse for this long; not watched when absent"),
};

const jv_slot *jv_controller_outputs(const jv_circuit *c, const jv_part *p, size_t *n) {
    return jv_part_entries(c, p, JV_CONTROLLER_OUTPUTS, n);
}

double jv_controller_reverse_drop(const jv_scene *s, const jv_part *p) {
    return jv_scene_value(s, p, JV_CONTROLLER_REVERSE_DROP, 0.0);
}

double jv_controller_senses_v(const jv_scene *s, const jv_part *p, double pins_v) {
    double sensed = pins_v - jv_controller_reverse_drop(s, p);
    /* Protection that passes no current makes no volts of its own. */
    return pins_v >= 0.0 && sensed < 0.0 ? 0.0 : sensed;
}

/* The way an output is driven by one run; 0 when that run is no matter of it. */
static int driven_by(const jv_scene *s, const jv_run *run, int32_t self, size_t output) {
    const jv_part *motor = &s->circuit->parts[run->part];
    if (motor->driver != self || motor->driver_output != (int16_t)output)
        return 0;
    return run->direction < 0 ? -1 : 1;
}

int jv_controller_drives(const jv_scene *s, const jv_part *p, size_t output) {
    if (!s->loading)
        return 0;
    int32_t self = (int32_t)(p - s->circuit->parts);
    int way = 0;
    if (s->first_driven) {
        for (int32_t k = s->first_driven[self]; k >= 0 && !way; k = s->next_driven[k])
            way = driven_by(s, &s->loading->runs[k], self, output);
        return way;
    }
    for (size_t i = 0; i < s->loading->n_runs && !way; i++)
        way = driven_by(s, &s->loading->runs[i], self, output);
    return way;
}

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    size_t n;
    const jv_slot *inputs = jv_part_entries(c, p, JV_CONTROLLER_INPUTS, &n);
    for (size_t k = 0; k < n; k++)
        if (inputs[k].second >= 0)
            jv_part_fault(d, c, p, JV_CONTROLLER_INPUTS, JV_CODE_KEY_TYPE,
                          "Give one terminal for each input.", "input \"%s\" has two terminals",
                          inputs[k].text);
    const jv_slot *outputs = jv_controller_outputs(c, p, &n);
    for (size_t k = 0; k < n; k++)
        if (outputs[k].index == outputs[k].second)
            jv_part_fault(d, c, p, JV_CONTROLLER_OUTPUTS, JV_CODE_SHORTED_PART,
                          "Give the two ends of the pair different terminals.",
                          "both ends of output \"%s\" are terminal \"%s\"", outputs[k].text,
                          c->terminals[outputs[k].index]);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    int32_t plus = jv_part_terminal(c, p, JV_CONTROLLER_PLUS);
    int32_t minus = jv_part_terminal(c, p, JV_CONTROLLER_MINUS);
    size_t n;
    jv_wiring_add(w, p, JV_SINK, JV_CONTROLLER_OWN, plus, minus, -1);
    const jv_slot *out = jv_controller_outputs(c, p, &n);
    for (size_t k = 0; k < n; k++) {
        jv_wiring_add(w, p, JV_SERIES, JV_CONTROLLER_FEED, plus, out[k].index, -1);
        if (out[k].second < 0)
            continue;
        jv_wiring_add(w, p, JV_SERIES, JV_CONTROLLER_BACK, out[k].second, minus, -1);
        jv_wiring_add(w, p, JV_SERIES, JV_CONTROLLER_FEED_TURNED, plus, out[k].second, -1);
        jv_wiring_add(w, p, JV_SERIES, JV_CONTROLLER_BACK_TURNED, out[k].index, minus, -1);
    }
    const jv_slot *in = jv_part_entries(c, p, JV_CONTROLLER_INPUTS, &n);
    for (size_t k = 0; k < n; k++)
        jv_wiring_add(w, p, JV_SINK, JV_CONTROLLER_INPUT, in[k].index, minus, -1);
}

/* One output: the channel's ohms are shared evenly by its two ends. Faults of the output
 * count once on the way, at the end that feeds it. Returns the number of elements used. */
static size_t load_output(const jv_scene *s, const jv_part *p, const jv_slot *out, int drives,
                          jv_element *e) {
    double ohms = jv_scene_value(s, p, JV_CONTROLLER_CHANNEL_RESISTANCE, 0.0);
    if (out->second < 0) {
        e[0].r = ohms;
        e[0].open = drives == 0;
        jv_series_faults(s, p, &e[0], out->text);
        return 1;
    }
    enum { ENDS = 4, FIRST_TURNED = 2 };
    for (size_t k = 0; k < ENDS; k++) {
        bool turned = k >= FIRST_TURNED;
        e[k].r = ohms / 2.0;
        e[k].open = turned ? drives >= 0 : drives <= 0;
        bool feeds = e[k].role == JV_CONTROLLER_FEED || e[k].role == JV_CONTROLLER_FEED_TURNED;
        if (feeds)
            jv_series_faults(s, p, &e[k], out->text);
    }
    return ENDS;
}

static bool is_dead(const jv_scene *s, const jv_part *p) {
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_DEAD)
            return true;
    return jv_scene_is_off(s, p);
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    size_t n_outputs;
    jv_sink_steady(&e[0], jv_scene_value(s, p, JV_CONTROLLER_CURRENT, 0.0), JV_STEADY_KNEE_V);
    const jv_slot *out = jv_controller_outputs(s->circuit, p, &n_outputs);
    size_t at = 1;
    for (size_t k = 0; k < n_outputs; k++)
        at += load_output(s, p, &out[k], jv_controller_drives(s, p, k), e + at);
    for (; at < n; at++) {
        e[at].r = jv_scene_value(s, p, JV_CONTROLLER_INPUT_RESISTANCE, NAN);
        e[at].limit = INFINITY;
    }
    if (is_dead(s, p))
        for (size_t k = 0; k < n; k++)
            e[k].open = 1;
}

/* Weights: share of low-voltage complaints, 0.01 for a controller in all. Weights,
 * severities and minutes are judgement, no published source. */
#define JUDGED "judgement, no published source"
enum { UNLISTED = 4 };
static const jv_failure failures[] = {
    {JV_WAY_ADDED, "<R> added in output <N>", 0.003, 0.010, 0.20, "replace the controller", 60.0,
     JUDGED},
    {JV_WAY_OPEN, "output <N> open", 0.003, 0, 0, "replace the controller", 60.0, JUDGED},
    {JV_WAY_DEAD, "dead", 0.003, 0, 0, "replace the controller", 60.0, JUDGED},
    {JV_WAY_LEAK, "leaks <I>", 0.001, 0.05, 5.0, "replace the controller", 60.0, JUDGED},
    {JV_WAY_LEAK, "unlisted load <I>", 0.003, 5.0, 150.0,
     "find what hangs on its feed that the file does not list, and take it off", 30.0,
     "common practice, no source"},
};

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    (void)r;
    double volts = jv_controller_senses_v(s, p, v[e[0].a] - v[e[0].b]);
    double reset = jv_scene_value(s, p, JV_CONTROLLER_RESET_VOLTAGE, NAN);
    double stop = jv_scene_value(s, p, JV_CONTROLLER_STOP_CURRENT, NAN);
    if (volts < reset)
        jv_remark(out, true, "resets: it senses %.2f V and needs %.2f V", volts, reset);
    for (size_t k = 1; k < n; k++)
        if (e[k].law == JV_SERIES && fabs(i[k]) > stop &&
            (e[k].role == JV_CONTROLLER_FEED || e[k].role == JV_CONTROLLER_FEED_TURNED))
            jv_remark(out, true,
                      "stops an output: it carries %.0f A, the over-current stop is %.0f A",
                      fabs(i[k]), stop);
}

const jv_part_kind jv_kind_controller = {
    .name = "controller",
    .summary = "the module that drives the motors",
    .keys = keys,
    .n_keys = JV_CONTROLLER_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .mended_apart = 1U << UNLISTED,
    .check = check,
    .connect = connect,
    .load = load,
    .remark = remark,
};
