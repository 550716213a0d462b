/* battery.c - a 12 V battery, with the cut-offs of a managed pack. SPDX-License-Identifier: MIT */
#include "circuit/parts/battery.h"

#include "circuit/body.h"
#include "circuit/kinds.h"
#include "jackvolt/heat.h"

#include <math.h>

#define T(name, help) \
    { name, JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, help }
#define Q(name, dim, flags, least, most, help) \
    { name, JV_KEY_QUANTITY, dim, flags, least, most, NULL, NULL, NULL, help }
#define W(name, choices, help) \
    { name, JV_KEY_WORD, 0, 0, 0, 0, choices, NULL, NULL, help }

/* A 12 V battery reads between these, V: find a wrong unit or a 24 V bank (judgement). */
#define LEAST_V 1.0
#define MOST_V 18.0
/* Electrolyte temperatures that the model takes, degC (battery.h). */
#define COLDEST_C (-50.0)
#define HOTTEST_C 80.0

static const jv_key keys[JV_BATTERY_KEYS] = {
    T("plus", "terminal of the plus post"),
    T("minus", "terminal of the minus post"),
    Q("open_circuit", JV_DIM_VOLTAGE, 0, LEAST_V, MOST_V,
      "volts with nothing connected; used as they stand"),
    Q("resistance", JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, "ohms inside; used as they stand"),
    W("chemistry", "flooded|agm|gel|lfp", "kind of battery; lfp = lithium iron phosphate"),
    Q("capacity", JV_DIM_CHARGE, 0, 0, 0, "capacity of this battery over 20 hours"),
    Q("charge", JV_DIM_RATIO, JV_ZERO_OK, 0, 1, "charge left, 0 % empty to 100 % full"),
    Q("rested", JV_DIM_VOLTAGE, 0, LEAST_V, MOST_V,
      "volts after a rest, from which the charge is judged when that is not known"),
    Q("rested_for", JV_DIM_TIME, JV_ZERO_OK, 0, 0, "how long it had rested then"),
    Q("charged_ago", JV_DIM_TIME, JV_ZERO_OK, 0, 0, "time since a charge ended: surface charge"),
    Q("cold_cranking", JV_DIM_CURRENT, 0, 0, 0, "cranking rating on its label"),
    W("cranking_standard", "sae|en|iec|din|mca", "standard of that rating; sae when absent"),
    {"group", JV_KEY_TEXT, 0, 0, 0, 0, NULL, NULL, NULL,
     "group size, for example \"24\" or \"31\""},
    Q("age", JV_DIM_TIME, JV_ZERO_OK, 0, 0, "time in service"),
    Q("temperature", JV_DIM_TEMPERATURE, JV_ZERO_OK | JV_NEGATIVE_OK, COLDEST_C, HOTTEST_C,
      "temperature of the battery; the ambient of the case when absent"),
    Q("reserve", JV_DIM_TIME, 0, 0, 0, "reserve capacity on its label: time at 25 A"),
    Q("tester_resistance", JV_DIM_RESISTANCE, 0, 0, 0, "ohms that a conductance tester showed"),
    Q("tester_cranking", JV_DIM_CURRENT, 0, 0, 0, "cranking amps (SAE) that a tester showed"),
    Q("cutoff_voltage", JV_DIM_VOLTAGE, 0, 0, MOST_V, "managed pack: opens below these volts"),
    Q("cutoff_reset", JV_DIM_VOLTAGE, 0, 0, MOST_V, "managed pack: closes again above these volts"),
    Q("cutoff_current", JV_DIM_CURRENT, 0, 0, 0, "managed pack: opens above this current"),
    Q("cutoff_delay", JV_DIM_TIME, JV_ZERO_OK, 0, 0, "how long a cut-off must be passed to act"),
    Q("cutoff_cold", JV_DIM_TEMPERATURE, JV_ZERO_OK | JV_NEGATIVE_OK, COLDEST_C, HOTTEST_C,
      "managed pack: delivers nothing below this temperature"),
    Q("cutoff_cold_charge", JV_DIM_TEMPERATURE, JV_ZERO_OK | JV_NEGATIVE_OK, COLDEST_C, HOTTEST_C,
      "managed pack: takes no charge below this temperature"),
};

double jv_battery_temperature_c(const jv_scene *s, const jv_part *p) {
    double t = jv_scene_air_c(s, p, JV_BATTERY_TEMPERATURE);
    return fmin(fmax(t, COLDEST_C), HOTTEST_C);
}

/* Seconds of a key in another unit of time; NAN when absent. */
static double time_in(const jv_scene *s, const jv_part *p, unsigned key, double unit_s) {
    return jv_scene_value(s, p, key, NAN) / unit_s;
}

static void gather(const jv_scene *s, const jv_part *p, jv_battery_known *k) {
    static const double minute_s = 60.0, hour_s = 3600.0;
    static const double year_s = 365.0 * 24.0 * 3600.0; /* NIST SP 811: year of 365 days */
    static const double coulomb_per_ah = 3600.0;
    const jv_circuit *c = s->circuit;
    jv_battery_known_nothing(k);
    k->chemistry_known = jv_part_has(c, p, JV_BATTERY_CHEMISTRY);
    k->chemistry = (jv_chemistry)jv_part_word(c, p, JV_BATTERY_CHEMISTRY, JV_CHEMISTRY_FLOODED);
    k->open_circuit_v = jv_scene_value(s, p, JV_BATTERY_OPEN_CIRCUIT, NAN);
    k->resistance_ohm = jv_scene_value(s, p, JV_BATTERY_RESISTANCE, NAN);
    k->charge = jv_scene_value(s, p, JV_BATTERY_CHARGE, NAN);
    if (!isnan(k->charge))
        k->charge = fmin(fmax(k->charge, 0.0), 1.0);
    k->rested_v = jv_scene_value(s, p, JV_BATTERY_RESTED, NAN);
    k->rested_h = time_in(s, p, JV_BATTERY_RESTED_FOR, hour_s);
    k->charged_ago_h = time_in(s, p, JV_BATTERY_CHARGED_AGO, hour_s);
    k->capacity_ah = jv_scene_value(s, p, JV_BATTERY_CAPACITY, NAN) / coulomb_per_ah;
    k->cranking_a = jv_scene_value(s, p, JV_BATTERY_CRANKING, NAN);
    k->cranking = (jv_cranking_standard)jv_part_word(c, p, JV_BATTERY_STANDARD, JV_CRANKING_SAE);
    k->reserve_min = time_in(s, p, JV_BATTERY_RESERVE, minute_s);
    k->tester_ohm = jv_scene_value(s, p, JV_BATTERY_TESTER_RESISTANCE, NAN);
    k->tester_cranking_a = jv_scene_value(s, p, JV_BATTERY_TESTER_CRANKING, NAN);
    k->age_years = time_in(s, p, JV_BATTERY_AGE, year_s);
    k->temp_c = jv_battery_temperature_c(s, p);
    const jv_slot *group = jv_part_slot(c, p, JV_BATTERY_GROUP);
    k->group = group ? group->text : NULL;
}

/* Another charge for the whole battery. Figures that the file fixes are those of its
 * charge of today, so they follow by the difference and the ratio of the model: a battery
 * given by its volts can be discharged too. */
static void set_charge(jv_battery_model *m, double charge) {
    double was = m->charge;
    if (m->fixed_voltage)
        was = jv_battery_charge_from_rest(m->chemistry, m->open_circuit_v, m->temp_c, NULL);
    double volts = m->open_circuit_v + jv_battery_ocv(m->chemistry, charge, m->temp_c) -
                   jv_battery_ocv(m->chemistry, was, m->temp_c);
    double ohms = m->resistance_ohm * jv_battery_charge_factor(m->chemistry, charge) /
                  jv_battery_charge_factor(m->chemistry, was);
    jv_battery_move(m, charge, m->temp_c);
    if (m->fixed_voltage)
        m->open_circuit_v = volts;
    if (m->fixed_resistance)
        m->resistance_ohm = ohms;
}

/* A dead cell gives no volts and stays in the way of the current. */
static void lose_cell(jv_battery_model *m, double factor) {
    static const double lead_cells = 6.0, lithium_cells = 4.0; /* in series in 12 V */
    double cells = m->chemistry == JV_CHEMISTRY_LFP ? lithium_cells : lead_cells;
    m->open_circuit_v *= (cells - 1.0) / cells;
    if (factor > 0.0)
        m->resistance_ohm *= factor;
}

jv_status jv_battery_of_scene(const jv_scene *s, const jv_part *p, jv_battery_model *out) {
    jv_battery_known known;
    jv_battery_model m;
    gather(s, p, &known);
    /* What was read of it (a tester, rested volts) was read in the file's own air, whatever
     * the air of this case. */
    double here_c = known.temp_c;
    known.temp_c = jv_scene_value(s, p, JV_BATTERY_TEMPERATURE, s->circuit->ambient.nominal);
    known.temp_c = fmin(fmax(known.temp_c, COLDEST_C), HOTTEST_C);
    jv_status status = jv_battery_model_make(&known, &m);
    if (status != JV_OK)
        return status;
    jv_battery_move(&m, m.charge, here_c);
    /* Motors take the surface charge away within seconds; the volts under load are those
     * of the plates. */
    if (s->loading && s->loading->n_runs) {
        if (!m.fixed_voltage)
            m.open_circuit_v -= m.surface_v;
        m.surface_v = 0.0;
    }
    if (s->loading && s->loading->has_charge)
        set_charge(&m, s->loading->charge.nominal);
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_CHARGE)
            set_charge(&m, fmin(fmax(f->value, 0.0), 1.0));
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;) {
        if (f->way == JV_WAY_WEAK)
            m.resistance_ohm *= f->value;
        if (f->way == JV_WAY_CELL)
            lose_cell(&m, f->value);
    }
    *out = m;
    return JV_OK;
}

void jv_battery_limits(const jv_scene *s, const jv_part *p, jv_pack_limits *out) {
    double delay = jv_scene_value(s, p, JV_BATTERY_CUTOFF_DELAY, 0.0);
    out->low_v = jv_scene_value(s, p, JV_BATTERY_CUTOFF_VOLTAGE, NAN);
    out->low_reset_v = jv_scene_value(s, p, JV_BATTERY_CUTOFF_RESET, out->low_v);
    out->over_a = jv_scene_value(s, p, JV_BATTERY_CUTOFF_CURRENT, NAN);
    out->low_delay_s = out->over_delay_s = delay;
    out->cold_discharge_c = jv_scene_value(s, p, JV_BATTERY_CUTOFF_COLD, NAN);
    out->cold_charge_c = jv_scene_value(s, p, JV_BATTERY_CUTOFF_COLD_CHARGE, NAN);
}

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    jv_scene s = {0};
    s.circuit = c;
    s.ambient_c = c->ambient.nominal;
    jv_battery_model m;
    if (jv_battery_of_scene(&s, p, &m) != JV_OK)
        jv_part_fault(d, c, p, -1, JV_CODE_QUANTITY_RANGE,
                      "Check its charge, ratings and temperature against its label.",
                      "no battery has the figures of \"%s\"", p->name);
    if (jv_part_has(c, p, JV_BATTERY_CHARGE) && jv_part_has(c, p, JV_BATTERY_RESTED))
        jv_part_fault(
            d, c, p, JV_BATTERY_RESTED, JV_CODE_KEYS_CLASH,
            "Keep \"charge\" when you know it, else \"rested\".",
            "battery \"%s\" gives its charge twice, as \"charge\" and as \"rested\" volts",
            p->name);
    const jv_slot *low = jv_part_slot(c, p, JV_BATTERY_CUTOFF_VOLTAGE);
    const jv_slot *reset = jv_part_slot(c, p, JV_BATTERY_CUTOFF_RESET);
    if (low && reset && reset->value.nominal < low->value.nominal)
        jv_part_fault(d, c, p, JV_BATTERY_CUTOFF_RESET, JV_CODE_KEYS_CLASH,
                      "Give \"cutoff_reset\" above \"cutoff_voltage\".",
                      "the pack would close again at %g V, below the %g V at which it opens",
                      reset->value.nominal, low->value.nominal);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_wiring_add(w, p, JV_SERIES, 0, jv_part_terminal(c, p, JV_BATTERY_PLUS),
                  jv_part_terminal(c, p, JV_BATTERY_MINUS), -1);
}

/* What the slow part of the battery adds to its ohms by the time that the case has run for
 * (theory B1): all of it in the steady state, none where the user fixed the ohms. */
static double polarisation_ohm(const jv_scene *s, const jv_battery_model *m) {
    if (m->fixed_resistance || !s->loading || !s->loading->n_runs)
        return 0.0;
    if (!s->loading->has_time)
        return m->polarisation_ohm;
    double tau_s = m->polarisation_ohm * m->polarisation_f;
    return m->polarisation_ohm * jv_duty_share(s->loading->run_for.nominal, s->loading->pause_s,
                                               jv_case_times(s->loading), tau_s);
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    jv_battery_model m;
    if (jv_battery_of_scene(s, p, &m) != JV_OK) { /* check() refuses such files; a draw may not */
        e->open = 1;
        return;
    }
    e->e = m.open_circuit_v;
    e->r = m.resistance_ohm + polarisation_ohm(s, &m);
    e->r_slope = 0.0;
    if (e->state != JV_PACK_CLOSED)
        e->open = 1;
    jv_series_faults(s, p, e, NULL);
}

/* A cut-off that acts stays: with its load gone the pack recovers, and would close and
 * open for ever. When it closes again is a matter of time (sequences). */
static bool settle(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, const double *v,
                   const double *i) {
    (void)n;
    if (e->open)
        return false;
    jv_pack_limits limits;
    jv_battery_limits(s, p, &limits);
    jv_pack_why why =
        jv_pack_check(&limits, v[e->a] - v[e->b], -i[0], jv_battery_temperature_c(s, p));
    if (why == JV_PACK_CLOSED)
        return false;
    e->state = (uint8_t)why;
    e->open = 1;
    return true;
}

/* Weights: share of low-voltage complaints; weak, discharged and sulphated batteries 0.26 of
 * them together. Weights, severities and minutes are judgement, no published source. */
#define JUDGED "judgement, no published source"
enum { DISCHARGED = 0, UNLISTED = 5 };
static const jv_failure failures[] = {
    {JV_WAY_CHARGE, "discharged to <P>", 0.11, 0.10, 0.50, "charge it, then test it under load",
     30.0, JUDGED},
    {JV_WAY_WEAK, "weak <P>", 0.10, 1.5, 5.0, "replace the battery", 30.0, JUDGED},
    {JV_WAY_CELL, "one cell dead", 0.03, 1.2, 3.0, "replace the battery", 30.0, JUDGED},
    {JV_WAY_ADDED, "<R> added", 0.01, 0.010, 0.10, "replace the battery", 30.0, JUDGED},
    {JV_WAY_OPEN, "open", 0.01, 0, 0, "replace the battery", 30.0, JUDGED},
    {JV_WAY_LEAK, "unlisted load <I>", 0.002, 1.0, 60.0,
     "find what hangs on it that the file does not list, and take it off", 30.0,
     "common practice, no source"},
};

/* Is there a supply that may charge it in this case? */
static bool is_charged(const jv_scene *s) {
    for (size_t k = 0; k < s->circuit->n_parts; k++) {
        const jv_part *p = &s->circuit->parts[k];
        if (p->kind == &jv_kind_supply && !jv_scene_is_off(s, p))
            return true;
    }
    return false;
}

/* How far an assumed figure may be trusted; NULL: it stands in a text. */
static const char *doubt(const jv_battery_note *note) {
    const jv_source *source = jv_source_find(note->source);
    if (!source)
        return note->source;
    return note->confidence == JV_WEAK ? "from memory" : NULL;
}

/* All that nobody said of it, in one sentence, and how to do better. */
static void remark_assumed(const jv_battery_model *m, jv_remarks *out) {
    jv_text list = {0};
    for (size_t k = 0; k < m->note_count; k++) {
        const char *why = doubt(&m->notes[k]);
        if (!m->notes[k].assumed)
            continue;
        jv_text_addf(&list, "%s%s", list.length ? "; " : "", m->notes[k].what);
        if (why)
            jv_text_addf(&list, " (%s)", why);
    }
    if (list.length)
        jv_remark(out, false, "is partly assumed: %s", jv_text_str(&list));
    jv_text_clear(&list);
}

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    static const char *const why[] = {"", "its volts fell below the cut-off",
                                      "its current passed the cut-off",
                                      "it is too cold to deliver"};
    static const double noticed_a = 0.5; /* between batteries at rest (judgement) */
    (void)n;
    if (e->state != JV_PACK_CLOSED) {
        jv_remark(out, true, "has switched itself off: %s", why[e->state]);
        return;
    }
    /* Beyond half of its volts more load gets less power: no load, a short (judgement). */
    if (!e->open && e->e > 0.0 && -i[0] * r[0] > 0.5 * e->e)
        jv_remark(out, true, "gives %.0f A and keeps %.1f V at its posts: it is shorted", -i[0],
                  fabs(v[e->a] - v[e->b]));
    if (s->loading && i[0] > noticed_a) {
        bool charger = is_charged(s);
        jv_remark(out, !charger, "takes in %.1f A%s", i[0],
                  charger ? "" : " from another battery: the two do not match");
    }
    jv_battery_model m;
    if (jv_battery_of_scene(s, p, &m) != JV_OK || (m.fixed_voltage && m.fixed_resistance))
        return;
    remark_assumed(&m, out);
}

const jv_part_kind jv_kind_battery = {
    .name = "battery",
    .summary = "a 12 V battery",
    .keys = keys,
    .n_keys = JV_BATTERY_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .mended_apart = 1U << DISCHARGED | 1U << UNLISTED,
    .is_source = true,
    .check = check,
    .connect = connect,
    .load = load,
    .settle = settle,
    .body = &jv_body_battery,
    .remark = remark,
};
