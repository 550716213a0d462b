/* cable.c - a power conductor. SPDX-License-Identifier: MIT */
#include "circuit/parts/cable.h"

#include "circuit/body.h"
#include "circuit/kinds.h"
#include "jackvolt/heat.h"

#include <math.h>
#include <string.h>

/* Longest run that makes sense on a vehicle, m (judgement; finds a unit mistaken). */
#define LONGEST_M 200.0

const jv_key jv_cable_keys[JV_CABLE_KEYS] = {
    {"a", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "terminal at one end"},
    {"b", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "terminal at the other end"},
    {"size", JV_KEY_SIZE, 0, 0, 0, 0, NULL, NULL, NULL,
     "conductor size: \"6 AWG\", \"SAE 6\" or \"16 mm2\""},
    {"length", JV_KEY_QUANTITY, JV_DIM_LENGTH, 0, 0, LONGEST_M, NULL, NULL, NULL,
     "length of this conductor, one way"},
    {"metal", JV_KEY_WORD, 0, 0, 0, 0, "copper|tinned copper|copper-clad aluminium|aluminium", NULL,
     NULL, "metal of the strands; copper when absent"},
    {"insulation", JV_KEY_TEXT, 0, 0, 0, 0, NULL, NULL, NULL,
     "insulation type, for example \"SGX\" or \"GXL\""},
    {"surroundings.air", JV_KEY_QUANTITY, JV_DIM_TEMPERATURE, JV_NEGATIVE_OK | JV_ZERO_OK, -60, 200,
     NULL, NULL, NULL, "temperature of the air around it; the ambient of the case when absent"},
    {"surroundings.loom", JV_KEY_FLAG, 0, 0, 0, 0, NULL, NULL, NULL,
     "it runs in a loom or conduit"},
    {"surroundings.bundle", JV_KEY_QUANTITY, JV_DIM_NUMBER, JV_NO_SPREAD, 1, 100, NULL, NULL, NULL,
     "number of loaded cables in its bundle, itself included"},
    {"surroundings.wet", JV_KEY_FLAG, 0, 0, 0, 0, NULL, NULL, NULL, "it gets wet"},
    {"conductor_temperature", JV_KEY_QUANTITY, JV_DIM_TEMPERATURE, JV_NEGATIVE_OK | JV_ZERO_OK, -60,
     300, NULL, NULL, NULL,
     "fixes the temperature of the conductor; found from its current when absent"},
    {"strands", JV_KEY_TEXT, 0, 0, 0, 0, NULL, NULL, NULL,
     "make-up of the strands, for the record"},
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "ohms of the whole conductor; replaces size and length"},
    {"colour", JV_KEY_TEXT, 0, 0, 0, 0, NULL, NULL, NULL, "colour, for the cut list"},
    {"terminals", JV_KEY_TEXT, 0, 0, 0, 0, NULL, NULL, NULL,
     "what is crimped to its ends, for the cut list: \"ring M8, ring 1/4 in stud\""},
};

jv_status jv_cable_conductor(const jv_circuit *c, const jv_part *p, jv_conductor *out) {
    const jv_slot *slot = jv_part_slot(c, p, JV_CABLE_SIZE);
    jv_size size;
    if (!slot)
        return JV_ERR_UNKNOWN;
    if (slot->index >= 0)
        size = (jv_size){(jv_size_system)slot->index, slot->second, slot->value.nominal};
    else if (jv_size_read(slot->text, &size, NULL) != JV_OK)
        return JV_ERR_UNKNOWN;
    int metal = jv_part_word(c, p, JV_CABLE_METAL, JV_METAL_COPPER);
    return jv_conductor_make(&size, (jv_metal)metal, out);
}

jv_wall jv_cable_wall(const jv_circuit *c, const jv_part *p) {
    /* Thin, general and thick walls of SAE J1128 and J1127 cable, by type name. */
    static const char *const thin[] = {"TWP", "TXL", "TWE", "FLRY", "FLR"};
    static const char *const thick[] = {"SGT", "SGX", "SGR", "STX", "HDT"};
    const jv_slot *s = jv_part_slot(c, p, JV_CABLE_INSULATION);
    if (!s)
        return JV_WALL_GENERAL;
    for (size_t i = 0; i < sizeof thin / sizeof thin[0]; i++)
        if (strncmp(s->text, thin[i], strlen(thin[i])) == 0)
            return JV_WALL_THIN;
    for (size_t i = 0; i < sizeof thick / sizeof thick[0]; i++)
        if (strncmp(s->text, thick[i], strlen(thick[i])) == 0)
            return JV_WALL_THICK;
    return JV_WALL_GENERAL;
}

jv_status jv_cable_body(const jv_circuit *c, const jv_part *p, double air_c, jv_heat_body *out) {
    jv_conductor wire;
    jv_status status = jv_cable_conductor(c, p, &wire);
    if (status != JV_OK)
        return status;
    const jv_slot *bundle = jv_part_slot(c, p, JV_CABLE_BUNDLE);
    jv_surroundings where = {air_c, bundle ? (int)bundle->value.nominal : 1,
                             jv_part_flag(c, p, JV_CABLE_LOOM, false)};
    jv_heat_body_make(&wire, jv_cable_wall(c, p), &where, out);
    return JV_OK;
}

void jv_cable_check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    bool ohms = jv_part_has(c, p, JV_CABLE_RESISTANCE);
    bool size = jv_part_has(c, p, JV_CABLE_SIZE), length = jv_part_has(c, p, JV_CABLE_LENGTH);
    if (!ohms && !size)
        jv_part_fault(d, c, p, -1, JV_CODE_KEY_MISSING,
                      "Give \"size\": \"6 AWG\", or \"resistance\".", "%s \"%s\" has no size",
                      p->kind->name, p->name);
    if (!ohms && !length)
        jv_part_fault(d, c, p, -1, JV_CODE_KEY_MISSING,
                      "Give \"length\": \"22 ft\" (of this conductor, one way), or \"resistance\".",
                      "%s \"%s\" has no length", p->kind->name, p->name);
    jv_conductor made;
    if (size && jv_cable_conductor(c, p, &made) != JV_OK)
        jv_part_fault(
            d, c, p, JV_CABLE_SIZE, JV_CODE_SIZE_UNKNOWN,
            "Use a size that is sold: 'jackvolt table sae' and 'jackvolt table metric' list them.",
            "no figures are known for size \"%s\"", jv_part_slot(c, p, JV_CABLE_SIZE)->text);
    jv_figure limit;
    const jv_slot *insulation = jv_part_slot(c, p, JV_CABLE_INSULATION);
    if (insulation && jv_table_insulation(insulation->text, &limit) != JV_OK)
        jv_part_fault(d, c, p, JV_CABLE_INSULATION, JV_CODE_WORD_UNKNOWN,
                      "'jackvolt table insulation' lists the types that are known.",
                      "insulation type \"%s\" is not known", insulation->text);
}

void jv_cable_connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    int32_t e = jv_wiring_add(w, p, JV_SERIES, 0, jv_part_terminal(c, p, JV_CABLE_A),
                              jv_part_terminal(c, p, JV_CABLE_B), -1);
    if (!jv_part_has(c, p, JV_CABLE_RESISTANCE) && !jv_part_has(c, p, JV_CABLE_TEMPERATURE))
        jv_wiring_warms(w, e);
}

/* A cable that is another one than the file says. */
typedef struct jv_cable_other {
    double share;   /* of its section */
    jv_metal metal; /* of its strands */
    double ohms;    /* factor on its resistance at 20 degC, by both */
} jv_cable_other;

/* (C16) R'/R = rho'/rho / share of the section. */
static jv_cable_other other(const jv_scene *s, const jv_part *p) {
    jv_cable_other o = {1.0, JV_METAL_COPPER, 1.0};
    jv_metal_figures was, is;
    size_t at = 0;
    const jv_fault *f = jv_scene_fault(s, p, &at);
    if (!f)
        return o;
    jv_metal written = (jv_metal)jv_part_word(s->circuit, p, JV_CABLE_METAL, JV_METAL_COPPER);
    o.metal = written;
    for (; f; f = jv_scene_fault(s, p, &at)) {
        if (f->way == JV_WAY_THIN && f->value > 0.0)
            o.share *= f->value;
        else if (f->way == JV_WAY_METAL)
            o.metal = (jv_metal)f->value;
    }
    if (o.metal != written && jv_table_metal(written, &was) == JV_OK &&
        jv_table_metal(o.metal, &is) == JV_OK)
        o.ohms = is.resistivity.value / was.resistivity.value;
    o.ohms /= o.share;
    return o;
}

/* The heat body of such a cable: as long and in the same place, and its insulation no thinner. */
static void heat_of_other(const jv_conductor *wire, const jv_cable_other *o, jv_heat_body *b) {
    b->r20 *= o->ohms;
    b->alpha = wire->alpha20_per_k;
    b->capacity *= o->share;
}

void jv_cable_load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    jv_conductor wire;
    jv_cable_other o = other(s, p);
    double ohms = jv_scene_value(s, p, JV_CABLE_RESISTANCE, NAN);
    if (!isnan(ohms) || jv_cable_conductor(s->circuit, p, &wire) != JV_OK) {
        e->r = ohms * o.ohms;
        e->r_slope = 0.0;
        return;
    }
    jv_metal_figures metal;
    if (o.ohms != 1.0 && jv_table_metal(o.metal, &metal) == JV_OK)
        wire.alpha20_per_k = metal.alpha.value;
    static const double reference_c = 20.0; /* r20 and alpha20 hold there */
    e->r = o.ohms * wire.r20_ohm_per_m * jv_scene_value(s, p, JV_CABLE_LENGTH, NAN);
    e->r_slope = wire.alpha20_per_k;
    e->r_at_c = reference_c;
    e->air_c = jv_scene_air_c(s, p, JV_CABLE_AIR);
    if (!e->heat) {
        e->temperature_c = jv_scene_value(s, p, JV_CABLE_TEMPERATURE, e->air_c);
        e->r *= 1.0 + e->r_slope * (e->temperature_c - reference_c);
        e->r_slope = 0.0;
        return;
    }
    jv_cable_body(s->circuit, p, e->air_c, e->heat); /* it has a wire: it was made above */
    if (o.ohms != 1.0)
        heat_of_other(&wire, &o, e->heat);
    e->heat_s = INFINITY;
    if (!s->loading || !s->loading->has_time)
        return;
    e->heat_s = s->loading->run_for.nominal;
    if (s->loading->pause_s > 0) {
        e->heat->repeats = s->loading->repeats;
        e->heat->pause_s = s->loading->pause_s;
    }
}

/* A bad lug 0.06, open strands or a chafed short 0.03 of the complaints (judgement).
 * Severities and minutes: judgement, no published source, but where a table is named. */
static const jv_failure failures[] = {
    {JV_WAY_ADDED, "<R> added", 0.06, 0.010, 0.30, "clean the ends or replace the cable", 45.0,
     "judgement, no published source"},
    {JV_WAY_OPEN, "open", 0.01, 0, 0, "replace the cable", 60.0, "judgement, no published source"},
    {JV_WAY_SHORT, "shorted to <T> at <P> from <E>", 0.02, 0, 0,
     "replace the cable, mend its route", 60.0, "judgement, no published source"},
    {JV_WAY_THIN, "undersized to <P>", 0.004, 0.4, 0.8,
     "replace it by a cable of the size in the file, or of a size that holds", 60.0,
     "common practice, no source"},
    {JV_WAY_METAL, "of <W>", 0.004, 0, 0, "replace it by a copper cable of that size", 60.0,
     "common practice, no source; ohms by the table of metals"},
};

static double fahrenheit(double celsius) {
    return 32.0 + 1.8 * celsius;
}

/* Warm beyond what its insulation may be, or without any steady temperature. */
void jv_cable_remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                     const double *v, const double *i, const double *r, jv_remarks *out) {
    (void)v;
    (void)r;
    (void)n;
    if (!(e->temperature_c > jv_table_insulation_coolest()))
        return; /* or nobody knows */
    if (e->heat && e->temperature_c >= e->heat->limit_c) {
        jv_remark(out, true, "finds no temperature that lasts at %.0f A: it burns", fabs(i[0]));
        return;
    }
    /* The weakest that vehicle cable is sold with, SAE J1128. */
    static const char weakest[] = "GPT";
    const jv_slot *name = jv_part_slot(s->circuit, p, JV_CABLE_INSULATION);
    jv_figure limit;
    if (jv_table_insulation(name ? name->text : weakest, &limit) != JV_OK ||
        e->temperature_c <= limit.value)
        return;
    double warm_f = fahrenheit(e->temperature_c), limit_f = fahrenheit(limit.value);
    if (!name)
        jv_remark(out, false,
                  "runs at %.0f degC (%.0f degF); the file does not name its insulation, and %s "
                  "stands %.0f degC (%.0f degF)",
                  e->temperature_c, warm_f, weakest, limit.value, limit_f);
    else
        jv_remark(
            out, limit.confidence != JV_WEAK,
            "runs at %.0f degC (%.0f degF); its insulation (%s) stands %.0f degC (%.0f degF)%s",
            e->temperature_c, warm_f, name->text, limit.value, limit_f,
            limit.confidence == JV_WEAK ? ", a figure from memory" : "");
}

const jv_part_kind jv_kind_cable = {
    .name = "cable",
    .summary = "a power conductor",
    .keys = jv_cable_keys,
    .n_keys = JV_CABLE_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_series = true,
    .check = jv_cable_check,
    .connect = jv_cable_connect,
    .load = jv_cable_load,
    .remark = jv_cable_remark,
    .body = &jv_body_cable,
};
