/* draft_spread.c - what stands in a circuit file where nobody knows. SPDX-License-Identifier: MIT
 */
#include "render/draft.h"

#include "jackvolt/conductor.h"

#include <math.h>
#include <string.h>

/* How far another vehicle may be from the layout, as factors on its figure. Judgement, no
 * published source: the file that is written says so. */
typedef struct jv_factors {
    double low, high;
} jv_factors;
static const jv_factors length_factors = {0.7, 1.5};
static const jv_factors capacity_factors = {0.6, 1.4};
static const jv_factors load_factors = {0.8, 1.25};
static const jv_factors current_factors = {0.8, 1.25};
static const jv_factors free_factors = {0.6, 1.6};
/* Where the layout's battery has no such figure (judgement). */
static const double usual_capacity_c = 100.0 * 3600.0; /* 100 Ah */

const char jv_draft_usual_chemistry[] = "flooded";

/* Two gauge numbers either way: the area changes by 92^(4/39) = 1.59 (ASTM B258: a step of one
 * number in diameter is 92^(1/39), in area its square). */
static double two_gauges(void) {
    return pow(92.0, 4.0 / 39.0);
}

enum { DIGITS = 2, OHM_DIGITS = 3 };

double jv_draft_nominal(const char *text, jv_dim dim) {
    jv_value v;
    return text && jv_quantity_read(text, dim, &v, NULL) == JV_OK ? v.nominal : NAN;
}

static bool range(const jv_draft *d, double value, jv_factors f, jv_dim dim, jv_text *out) {
    if (!(value > 0.0))
        return false;
    jv_quantity_print(out, f.low * value, dim, d->units, DIGITS);
    jv_text_add(out, " .. ");
    jv_quantity_print(out, f.high * value, dim, d->units, DIGITS);
    return true;
}

/* The rated current that holds for a motor now: as answered, or the layout's. */
static double rated_current(const jv_draft *d, uint32_t target, bool answered) {
    const jv_asked *q = jv_asked_of(d, JV_ASK_CURRENT, target);
    if (answered && q && q->shown.known == JV_KNOWN_GIVEN)
        return jv_draft_nominal(q->shown.answer, JV_DIM_CURRENT);
    return q ? jv_draft_nominal(jv_ask_layout(d, q, target), JV_DIM_CURRENT) : NAN;
}

/* A free current goes with the rated one. */
static bool free_range(const jv_draft *d, uint32_t target, double layout, jv_text *out) {
    double ratio = rated_current(d, target, true) / rated_current(d, target, false);
    return range(d, isnan(ratio) ? layout : layout * ratio, free_factors, JV_DIM_CURRENT, out);
}

bool jv_draft_spread(const jv_draft *d, const jv_asked *q, uint32_t target, jv_text *out) {
    const char *text = jv_ask_layout(d, q, target);
    double capacity;
    switch (q->ask) {
    case JV_ASK_AMBIENT:
        jv_text_add(out, d->units == JV_UNITS_US ? "32 degF .. 95 degF" : "0 degC .. 35 degC");
        return true;
    case JV_ASK_CAPACITY:
        capacity = jv_draft_nominal(text, JV_DIM_CHARGE);
        return range(d, isnan(capacity) ? usual_capacity_c : capacity, capacity_factors,
                     JV_DIM_CHARGE, out);
    case JV_ASK_CHARGE:
        jv_text_add(out, "40 % .. 100 %");
        return true;
    case JV_ASK_AGE:
        jv_text_add(out, "0 years .. 6 years");
        return true;
    case JV_ASK_LENGTH:
        return range(d, jv_draft_nominal(text, JV_DIM_LENGTH), length_factors, JV_DIM_LENGTH, out);
    case JV_ASK_LOAD: {
        bool pump = jv_draft_is(d->parts[target], "pump");
        jv_dim dim = pump ? JV_DIM_PRESSURE : JV_DIM_FORCE;
        return range(d, jv_draft_nominal(text, dim), load_factors, dim, out);
    }
    case JV_ASK_CURRENT:
        return range(d, jv_draft_nominal(text, JV_DIM_CURRENT), current_factors, JV_DIM_CURRENT,
                     out);
    case JV_ASK_FREE:
        return free_range(d, target, jv_draft_nominal(text, JV_DIM_CURRENT), out);
    default:
        return false;
    }
}

/* Length of a cable as answered, or the layout's; its spread when it is not known. */
static bool length_of(const jv_draft *d, uint32_t part, jv_value *out) {
    const jv_asked *q = jv_asked_of(d, JV_ASK_LENGTH, part);
    if (!q)
        return false;
    const char *text =
        q->shown.known == JV_KNOWN_GIVEN ? q->shown.answer : jv_ask_layout(d, q, part);
    if (!text || jv_quantity_read(text, JV_DIM_LENGTH, out, NULL) != JV_OK)
        return false;
    if (q->shown.known == JV_KNOWN_NOT) {
        out->low = out->nominal * length_factors.low;
        out->high = out->nominal * length_factors.high;
    }
    return true;
}

static jv_metal metal_of(const jv_draft *d, uint32_t part) {
    static const struct {
        const char *name;
        jv_metal metal;
    } metals[] = {{"copper", JV_METAL_COPPER},
                  {"tinned copper", JV_METAL_TINNED_COPPER},
                  {"copper-clad aluminium", JV_METAL_COPPER_CLAD_ALUMINIUM},
                  {"aluminium", JV_METAL_ALUMINIUM}};
    const jv_asked *q = jv_asked_of(d, JV_ASK_METAL, part);
    const char *name = q && q->shown.known == JV_KNOWN_GIVEN
                           ? q->shown.answer
                           : jv_draft_value(d->parts[part], "metal");
    for (size_t i = 0; name && i < sizeof metals / sizeof metals[0]; i++)
        if (strcmp(metals[i].name, name) == 0)
            return metals[i].metal;
    return JV_METAL_COPPER;
}

bool jv_draft_ohms(const jv_draft *d, uint32_t part, jv_text *out) {
    jv_size size;
    jv_conductor wire;
    jv_value length;
    const char *text = jv_draft_value(d->parts[part], "size");
    if (!text || jv_size_read(text, &size, NULL) != JV_OK || !length_of(d, part, &length) ||
        jv_conductor_make(&size, metal_of(d, part), &wire) != JV_OK)
        return false;
    double factor = two_gauges();
    jv_quantity_print(out, wire.r20_ohm_per_m * length.low / factor, JV_DIM_RESISTANCE, d->units,
                      OHM_DIGITS);
    jv_text_add(out, " .. ");
    jv_quantity_print(out, wire.r20_ohm_per_m * length.high * factor, JV_DIM_RESISTANCE, d->units,
                      OHM_DIGITS);
    return true;
}
