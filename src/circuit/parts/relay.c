/* relay.c - a relay or contactor with its coil. SPDX-License-Identifier: MIT */
#include "jackvolt/relay.h"

#include "circuit/body.h"
#include "circuit/kinds.h"
#include "circuit/parts/switch.h"

#include <math.h>
#include <string.h>

/* Element 0 is the contact, element 1 (when the coil has terminals) the coil. The state of
 * element 0 remembers whether the armature is held, which makes it a relay: between
 * drop-out and pull-in it stays as it was. A first solution starts released. */

enum {
    A,
    B,
    COIL_PLUS,
    COIL_MINUS,
    RESISTANCE,
    COIL_RESISTANCE,
    PULL_IN,
    DROP_OUT,
    COMMANDED_BY,
    COIL_TEMPERATURE,
    PULL_TIME,
    RELEASE_TIME,
    COIL_HEATING,
    COIL_TIME,
    KEYS
};
enum { CONTACT, COIL };
enum { RELEASED, HELD };
enum { BY_CASE_OFF = 1, BY_CASE_ON = 2 };

static const jv_key keys[KEYS] = {
    {"a", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "contact terminal on one side"},
    {"b", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL,
     "contact terminal on the other side"},
    {"coil_plus", JV_KEY_TERMINAL, 0, 0, 0, 0, NULL, NULL, NULL,
     "coil terminal; without coil terminals the contact follows commanded_by at any volts"},
    {"coil_minus", JV_KEY_TERMINAL, 0, 0, 0, 0, NULL, NULL, NULL, "other coil terminal"},
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, "3 mohm */ 2",
     "typical contact of a 30 A automotive relay, data sheet; spread: judgement",
     "ohms of the closed contact"},
    {"coil_resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, 0, 0, 0, NULL, "90 ohm",
     "assumed 12 V relay, data sheets", "ohms of the coil at 20 degC"},
    {"pull_in", JV_KEY_QUANTITY, JV_DIM_VOLTAGE, 0, 0, 0, NULL, "7.2 V",
     "60 % of 12 V, guaranteed by data sheets of 12 V relays",
     "coil volts that close it, at 20 degC"},
    {"drop_out", JV_KEY_QUANTITY, JV_DIM_VOLTAGE, 0, 0, 0, NULL, "1.2 V",
     "10 % of 12 V, guaranteed by data sheets of 12 V relays",
     "coil volts at which it lets go, at 20 degC"},
    {"commanded_by", JV_KEY_PART, 0, 0, 0, 0, NULL, NULL, NULL,
     "the jack, pump, load or switch with which the coil is fed; always fed when absent"},
    {"coil_temperature", JV_KEY_QUANTITY, JV_DIM_TEMPERATURE, JV_NEGATIVE_OK | JV_ZERO_OK, -60, 200,
     NULL, NULL, NULL, "temperature of the coil; the ambient of the case when absent"},
    {"pull_time", JV_KEY_QUANTITY, JV_DIM_TIME, 0, 0, 1, NULL, "7 ms",
     "middle of 5 to 10 ms printed in data sheets of automotive relays",
     "time from enough volts at the coil to the closed contact"},
    {"release_time", JV_KEY_QUANTITY, JV_DIM_TIME, 0, 0, 1, NULL, "5 ms",
     "middle of 3 to 7 ms printed in data sheets of automotive relays",
     "time from too few volts at the coil to the open contact"},
    {"coil_heating", JV_KEY_QUANTITY, JV_DIM_TEMPERATURE_RISE, JV_ZERO_OK, 0, 150, NULL, NULL, NULL,
     "how much warmer than its surroundings the coil gets at 12 V in the end, in a sequence; it "
     "stays as it is when absent"},
    {"coil_time", JV_KEY_QUANTITY, JV_DIM_TIME, 0, 0, 36000, NULL, NULL, NULL,
     "time constant of that; 5 min in a sequence when absent (judgement)"},
};

static bool has_coil(const jv_circuit *c, const jv_part *p) {
    return jv_part_has(c, p, COIL_PLUS) && jv_part_has(c, p, COIL_MINUS);
}

static const jv_part *commander(const jv_circuit *c, const jv_part *p) {
    const jv_slot *slot = jv_part_slot(c, p, COMMANDED_BY);
    return slot && slot->index >= 0 ? &c->parts[slot->index] : NULL;
}

static bool can_command(const jv_part_kind *k) {
    return k->is_motor || k == &jv_kind_switch || strcmp(k->name, "load") == 0;
}

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    bool plus = jv_part_has(c, p, COIL_PLUS), minus = jv_part_has(c, p, COIL_MINUS);
    if (plus != minus)
        jv_part_fault(d, c, p, -1, JV_CODE_KEY_MISSING,
                      "Give both \"coil_plus\" and \"coil_minus\".",
                      "the coil of relay \"%s\" has one terminal alone", p->name);
    if (!plus && !minus && !jv_part_has(c, p, COMMANDED_BY))
        jv_part_fault(d, c, p, -1, JV_CODE_KEY_MISSING,
                      "Give \"coil_plus\" and \"coil_minus\", or \"commanded_by\".",
                      "nothing closes relay \"%s\"", p->name);
    if (plus && minus && jv_part_terminal(c, p, COIL_PLUS) == jv_part_terminal(c, p, COIL_MINUS))
        jv_part_fault(d, c, p, COIL_MINUS, JV_CODE_SHORTED_PART,
                      "Give the coil two different terminals.",
                      "both ends of the coil of relay \"%s\" are at one terminal", p->name);
    const jv_part *by = commander(c, p);
    if (by && !can_command(by->kind))
        jv_part_fault(d, c, p, COMMANDED_BY, JV_CODE_PART_KIND,
                      "Name a jack, a pump, a load or a switch.",
                      "relay \"%s\" cannot be commanded by %s \"%s\"", p->name, by->kind->name,
                      by->name);
    const jv_slot *in = jv_part_slot(c, p, PULL_IN), *out = jv_part_slot(c, p, DROP_OUT);
    if (in && out && out->value.nominal >= in->value.nominal)
        jv_part_fault(d, c, p, DROP_OUT, JV_CODE_KEYS_CLASH, "Drop-out lies below pull-in.",
                      "relay \"%s\" drops out at %g V, not below its pull-in of %g V", p->name,
                      out->value.nominal, in->value.nominal);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_wiring_add(w, p, JV_SERIES, CONTACT, jv_part_terminal(c, p, A), jv_part_terminal(c, p, B),
                  -1);
    if (has_coil(c, p))
        jv_wiring_add(w, p, JV_SINK, COIL, jv_part_terminal(c, p, COIL_PLUS),
                      jv_part_terminal(c, p, COIL_MINUS), -1);
}

static bool has_way(const jv_scene *s, const jv_part *p, jv_way way) {
    size_t at = 0;
    const jv_fault *f;
    while ((f = jv_scene_fault(s, p, &at)) != NULL)
        if (f->way == way)
            return true;
    return false;
}

/* Does the case want this relay closed? */
static bool commanded(const jv_scene *s, const jv_part *p) {
    int switching = jv_scene_switching(s, p);
    if (switching)
        return switching == BY_CASE_ON;
    const jv_part *by = commander(s->circuit, p);
    if (!by)
        return true;
    if (by->kind == &jv_kind_switch)
        return jv_switch_closed(s, by);
    if (jv_scene_switching(s, by))
        return jv_scene_switching(s, by) == BY_CASE_ON;
    return jv_scene_run(s, by) != NULL;
}

/* The contact in line with what its armature does. */
static void set_contact(const jv_scene *s, const jv_part *p, jv_element *contact) {
    bool closed = contact->state == HELD || has_way(s, p, JV_WAY_STUCK);
    contact->open = !closed || jv_scene_is_off(s, p) || has_way(s, p, JV_WAY_OPEN);
}

/* A coil that cannot pull lets go at once, whatever its terminals carry. */
static bool can_pull(const jv_scene *s, const jv_part *p) {
    return commanded(s, p) && !has_way(s, p, JV_WAY_DEAD);
}

static jv_relay figures(const jv_scene *s, const jv_part *p) {
    jv_relay r = {0};
    r.coil_ohm = jv_scene_value(s, p, COIL_RESISTANCE, NAN);
    r.pull_in_v = jv_scene_value(s, p, PULL_IN, NAN);
    r.drop_out_v = jv_scene_value(s, p, DROP_OUT, NAN);
    return r;
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    e[CONTACT].r = jv_scene_value(s, p, RESISTANCE, NAN);
    e[CONTACT].r_slope = 0.0;
    bool pulls = can_pull(s, p);
    if (!pulls)
        e[CONTACT].state = RELEASED;
    else if (n <= COIL)
        e[CONTACT].state = HELD;
    jv_series_faults(s, p, &e[CONTACT], NULL);
    set_contact(s, p, &e[CONTACT]);
    if (n <= COIL)
        return;
    jv_relay r = figures(s, p);
    e[COIL].r = jv_coil_ohm(&r, jv_scene_air_c(s, p, COIL_TEMPERATURE));
    e[COIL].open = !pulls;
}

static bool settle(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, const double *v,
                   const double *i) {
    (void)i;
    if (n <= COIL || !can_pull(s, p))
        return false; /* load has settled it */
    jv_relay r = figures(s, p);
    double volts = v[e[COIL].a] - v[e[COIL].b];
    bool held = jv_relay_closed(&r, e[CONTACT].state == HELD, volts,
                                jv_scene_air_c(s, p, COIL_TEMPERATURE));
    if (held == (e[CONTACT].state == HELD))
        return false;
    e[CONTACT].state = held ? HELD : RELEASED;
    set_contact(s, p, &e[CONTACT]);
    return true;
}

/* Burnt contacts or coil together 0.03 of the complaints, split by judgement. */
static const jv_failure failures[] = {
    {JV_WAY_ADDED, "<R> added", 0.015, 0.004, 0.300, "replace the relay", 15.0,
     "judgement, no published source"},
    {JV_WAY_DEAD, "does not pull in", 0.008, 0, 0, "replace the relay", 15.0,
     "judgement, no published source"},
    {JV_WAY_OPEN, "open", 0.004, 0, 0, "replace the relay", 15.0, "judgement, no published source"},
    {JV_WAY_STUCK, "stuck closed", 0.003, 0, 0, "replace the relay", 15.0,
     "judgement, no published source"},
};

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    (void)i;
    (void)r;
    const jv_part *by = commander(s->circuit, p);
    bool runs = s->loading && s->loading->n_runs;
    if (runs && by && by->kind == &jv_kind_switch && !commanded(s, p))
        jv_remark(out, false, "is open: \"%s\" is off", by->name);
    if (n <= COIL || e[COIL].open)
        return;
    jv_relay figure = figures(s, p);
    double coil_c = jv_scene_air_c(s, p, COIL_TEMPERATURE), volts = v[e[COIL].a] - v[e[COIL].b];
    double pull_in = jv_relay_pull_in_v(&figure, coil_c),
           drop_out = jv_relay_drop_out_v(&figure, coil_c);
    if (e[CONTACT].state != HELD)
        jv_remark(
            out, true,
            "does not pull in: its coil gets %.1f V and needs %.1f V at %.0f degC (%.0f degF)",
            volts, pull_in, coil_c, jv_shown_f(coil_c));
    else if (volts < pull_in)
        jv_remark(out, false,
                  "holds at %.1f V (it lets go at %.1f V), but would not pull in again below "
                  "%.1f V",
                  volts, drop_out, pull_in);
}

/* In time (body.h): between the volts and the contact lies the time of the armature. A volt that
 * comes back in that time stops the move. */
enum { MOVES, EVENTS };
static const double coil_tau_s = 300.0; /* judgement */
static const double rated_v = 12.0;
static const double copper_20 = 254.5; /* 234.5 + 20, as jv_coil_scale */
static const char *const states[] = {"coil, degC"};
static const double scale[] = {10.0};
static const size_t chatter_counts = 3; /* drop-outs in one command that are called chatter */

typedef struct jv_relay_time {
    bool held, moving, pulls;
    int commands; /* 0 before the first, 1 while it rests, 2 = more */
    jv_relay figures;
    double rise_k, tau_s, air_c; /* of the coil at its rated volts, its time constant */
    double pull_s, release_s, due;
    size_t drops;
} jv_relay_time;

static bool start(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, jv_remarks *assumed) {
    jv_relay_time *w = work;
    if (n <= COIL)
        return false;
    e[COIL].law = JV_SERIES; /* its temperature goes by its current */
    w->figures = figures(s, p);
    w->air_c = x[0] = jv_scene_air_c(s, p, COIL_TEMPERATURE);
    w->rise_k = jv_scene_value(s, p, COIL_HEATING, 0.0);
    w->tau_s = jv_scene_value(s, p, COIL_TIME, coil_tau_s);
    if (w->rise_k > 0.0 && !jv_part_has(s->circuit, p, COIL_TIME))
        jv_remark(assumed, false, "coil_time: 5 min are assumed (judgement)");
    w->pull_s = jv_scene_value(s, p, PULL_TIME, 0.0);
    w->release_s = jv_scene_value(s, p, RELEASE_TIME, 0.0);
    w->due = INFINITY;
    return true;
}

static void command(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                    double *x, double t) {
    jv_relay_time *w = work;
    (void)n;
    (void)x;
    w->air_c = jv_scene_air_c(s, p, COIL_TEMPERATURE);
    bool pulls = can_pull(s, p);
    if (w->commands < 2)
        w->commands++;
    if (w->commands == 1) /* what was fed before has long pulled in, if it can: see events */
        w->held = pulls;
    if (!pulls && w->pulls) { /* the coil is switched off: it lets go after its time */
        w->moving = w->held;
        w->due = w->held ? t + w->release_s : INFINITY;
    }
    if (pulls && !w->pulls)
        w->drops = 0;
    w->pulls = pulls;
    e[CONTACT].state = w->held ? HELD : RELEASED;
    set_contact(s, p, &e[CONTACT]);
}

/* v = R(T) i,  T' = (rise (R(T) i/12)^2 - (T - Ta))/tau: in the end that of jv_coil_temp_c. */
static void law(const void *work, const double *x, double i, jv_body_law *out) {
    const jv_relay_time *w = work;
    memset(out, 0, sizeof *out);
    double r = jv_coil_ohm(&w->figures, x[0]), r_t = w->figures.coil_ohm / copper_20;
    double share = r * i / rated_v;
    out->drop = r * i;
    out->drop_i = r;
    out->drop_x[0] = r_t * i;
    out->rate[0] = (w->rise_k * share * share - (x[0] - w->air_c)) / w->tau_s;
    out->rate_i[0] = 2.0 * w->rise_k * share * r / (rated_v * w->tau_s);
    out->rate_x[0][0] = (2.0 * w->rise_k * share * r_t * i / rated_v - 1.0) / w->tau_s;
}

static double temperature(const void *work, const double *x) {
    (void)work;
    return x[0];
}

static void events(const void *work, const double *x, double i, double v, double *g) {
    const jv_relay_time *w = work;
    (void)i;
    g[MOVES] = JV_NO_EVENT;
    if (!w->pulls)
        return;
    double pull_in_v = jv_relay_pull_in_v(&w->figures, x[0]);
    if (w->commands == 1) {
        g[MOVES] = w->held && v < pull_in_v ? 1.0 : JV_NO_EVENT;
        return;
    }
    double wants = w->held ? jv_relay_drop_out_v(&w->figures, x[0]) - v : v - pull_in_v;
    g[MOVES] = (w->moving ? -wants : wants) + 1e-12; /* zero exactly is not missed */
}

static void act(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work, double *x,
                double i, double v, size_t event, double t, jv_body_deed *deed) {
    jv_relay_time *w = work;
    (void)n;
    (void)i;
    if (w->commands == 1) { /* at rest it has too few volts to have pulled in */
        w->held = false;
        e[CONTACT].state = RELEASED;
        set_contact(s, p, &e[CONTACT]);
        deed->switched = true;
        return;
    }
    if (event == MOVES) {
        w->moving = !w->moving;
        w->due = w->moving ? t + (w->held ? w->release_s : w->pull_s) : INFINITY;
        return;
    }
    w->moving = false;
    w->due = INFINITY;
    w->held = !w->held;
    e[CONTACT].state = w->held ? HELD : RELEASED;
    set_contact(s, p, &e[CONTACT]);
    deed->switched = deed->told = true;
    deed->what = w->held ? JV_RELAY_PULLS : JV_RELAY_DROPS;
    if (!w->pulls || w->held) {
        jv_text_add(&deed->text, w->held ? "pulls in" : "lets go");
        deed->told = w->drops < chatter_counts;
        return;
    }
    w->drops++;
    deed->serious = true;
    deed->told = w->drops <= chatter_counts;
    deed->what = w->drops == chatter_counts ? JV_CHATTERS : JV_RELAY_DROPS;
    jv_text_addf(
        &deed->text,
        w->drops == chatter_counts
            ? "chatters: its coil gets %.1f V when its contact closes, and lets go at %.1f V"
            : "lets go: its coil gets %.1f V, it holds above %.1f V",
        v, jv_relay_drop_out_v(&w->figures, x[0]));
}

static double due(const void *work) {
    return ((const jv_relay_time *)work)->due;
}

const jv_body_kind jv_body_relay = {
    .n_states = 1,
    .n_core = 1,
    .names = states,
    .scale = scale,
    .law = law,
    .temperature = temperature,
    .work = sizeof(jv_relay_time),
    .port = COIL,
    .start = start,
    .command = command,
    .n_events = EVENTS,
    .events = events,
    .due = due,
    .act = act,
};

const jv_part_kind jv_kind_relay = {
    .name = "relay",
    .summary = "a relay or contactor with its coil",
    .keys = keys,
    .n_keys = KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_series = true,
    .own_faults = true,
    .check = check,
    .connect = connect,
    .load = load,
    .settle = settle,
    .remark = remark,
    .body = &jv_body_relay,
};
