/* look_battery.c - batteries and what a supply may do. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L /* pthread_once */
#include "tables/look.h"

#include "jackvolt/text.h"

#include <math.h>
#include <pthread.h>

static const char *const chemistry_names[] = {"flooded", "agm", "gel", "lfp"};

const char *jv_chemistry_name(jv_chemistry chemistry) {
    return (size_t)chemistry < JV_COUNT(chemistry_names) ? chemistry_names[chemistry]
                                                         : "unknown chemistry";
}

jv_status jv_chemistry_read(const char *name, jv_chemistry *out) {
    size_t i = jv_look_name(chemistry_names, JV_COUNT(chemistry_names), name);
    if (i == JV_COUNT(chemistry_names)) {
        return JV_ERR_UNKNOWN;
    }
    *out = (jv_chemistry)i;
    return JV_OK;
}

/* ---- rested volts ---- */

/* The rows of the table ocv that make each curve, and the temperature they were taken at.
 * flooded: the data file that equals a battery maker's table at 26.7 degC (the army manual's
 *   12.6 / 12.4 / 12.2 / 12.0 / 11.7 V lies within 0.06 V but at 0 %, three minutes after load).
 * AGM: the 26 Ah VRLA battery of a university test, eleven points; the owner manual's band
 *   edges lie within 0.11 V.
 * gel: the same data file as flooded.
 * LFP: one 3 Ah cell times four, mean of charge and discharge (hysteresis 0.075 V each way). */
static const struct {
    const char *battery;
    const char *temperature;
} ocv_rows[] = {
    [JV_CHEMISTRY_FLOODED] = {"flooded", "26.7"},
    [JV_CHEMISTRY_AGM] = {"VRLA 26 Ah (university test)", "22"},
    [JV_CHEMISTRY_GEL] = {"gel", "26.7"},
    [JV_CHEMISTRY_LFP] = {"LFP 4S", "25"},
};
/* The shift is counted from the temperature of the flooded curve. */
#define SHIFT_BASE_C 26.7

static jv_status look_ocv_curve(jv_chemistry chemistry, jv_curve *out, double *at_degC) {
    if ((size_t)chemistry >= JV_COUNT(ocv_rows)) {
        return JV_ERR_RANGE;
    }
    const jv_table *t = &jv_rows_ocv;
    const jv_wish wishes[] = {{"kind", "ocv"},
                              {"battery", ocv_rows[chemistry].battery},
                              {"temperature", ocv_rows[chemistry].temperature},
                              /* another flooded table at 26.7 degC is for acid of 1.277 */
                              {"note", "acid 1.265 when full"}};
    size_t n = chemistry == JV_CHEMISTRY_FLOODED ? 4 : 3;
    jv_figure taken_at;
    jv_status status =
        jv_look_number(t, jv_look_row(t, wishes, n, 0), "temperature", 1.0, &taken_at);
    if (status == JV_OK) {
        status = jv_look_curve(t, wishes, n, "charge", 0.01, "volts", 1.0, out);
    }
    if (status != JV_OK) {
        return status;
    }
    if (chemistry == JV_CHEMISTRY_LFP && out->count >= 2) {
        /* 14.12 V at 100 % is the end of charging, not a rested value: the figure of 99 %
         * (13.45 V) stands for full. */
        out->count--;
        out->x[out->count - 1] = 1.0;
        out->note = "flat: 0.1 V is 30 % of charge; top taken at the 99 % figure";
    }
    *at_degC = taken_at.value;
    return JV_OK;
}

static jv_status look_ocv_shift_curve(jv_chemistry chemistry, jv_curve *out) {
    if ((size_t)chemistry >= JV_COUNT(ocv_rows)) {
        return JV_ERR_RANGE;
    }
    if (chemistry == JV_CHEMISTRY_LFP) {
        return JV_ERR_UNKNOWN;
    }
    const jv_wish wish = {"kind", "ocv vs temperature"};
    jv_status status = jv_look_curve(&jv_rows_ocv, &wish, 1, "temperature", 1.0, "volts", 1.0, out);
    if (status == JV_OK) {
        double base = jv_curve_at(out, SHIFT_BASE_C);
        for (size_t i = 0; i < out->count; i++) {
            out->y[i] -= base;
        }
        out->note = chemistry == JV_CHEMISTRY_FLOODED ? "" : "shift of a flooded battery";
    }
    return status;
}

/* Volts to add to the chemistry's curve at this temperature; 0 where none is known. */
static double shift_at(jv_chemistry chemistry, double at_degC, double degC, jv_curve *ocv) {
    jv_curve shift;
    if (degC == at_degC || jv_table_ocv_shift_curve(chemistry, &shift) != JV_OK) {
        return 0.0;
    }
    ocv->confidence = jv_confidence_worse(ocv->confidence, shift.confidence);
    return jv_curve_at(&shift, degC) - jv_curve_at(&shift, at_degC);
}

jv_status jv_table_ocv(jv_chemistry chemistry, double charge, double degC, jv_figure *volts) {
    jv_curve c;
    double at_degC;
    if (!(charge >= 0.0 && charge <= 1.0) || !(degC >= -40.0 && degC <= 60.0)) {
        return JV_ERR_RANGE;
    }
    jv_status status = jv_table_ocv_curve(chemistry, &c, &at_degC);
    if (status != JV_OK) {
        return status;
    }
    double shift = shift_at(chemistry, at_degC, degC, &c);
    *volts = (jv_figure){.value = jv_curve_at(&c, charge) + shift,
                         .source = c.source,
                         .confidence = c.confidence,
                         .note = c.note};
    return JV_OK;
}

jv_status jv_table_charge(jv_chemistry chemistry, double volts, double degC, jv_figure *charge) {
    jv_curve c;
    double at_degC;
    if (isnan(volts) || !(degC >= -40.0 && degC <= 60.0)) {
        return JV_ERR_RANGE;
    }
    jv_status status = jv_table_ocv_curve(chemistry, &c, &at_degC);
    if (status != JV_OK) {
        return status;
    }
    double shift = shift_at(chemistry, at_degC, degC, &c);
    *charge = (jv_figure){.value = jv_curve_inverse(&c, volts - shift),
                          .source = c.source,
                          .confidence = c.confidence,
                          .note = c.note};
    return JV_OK;
}

/* ---- resistance, capacity ---- */

/* ohm Ah of the measured batteries at full charge: 26 Ah x 12.2, 91 Ah x 3.75, 104 Ah x 4.0
 * mohm. The middle one is typical. */
static jv_status vrla_resistance_ah(jv_range *out) {
    static const char *const batteries[] = {"12 V VRLA 26 Ah", "12 V deep-cycle VRLA 91 Ah",
                                            "12 V VRLA 104 Ah"};
    double ohm_ah[JV_COUNT(batteries)];
    const jv_table *t = &jv_rows_battery_resistance;
    jv_figure ohm;
    for (size_t i = 0; i < JV_COUNT(batteries); i++) {
        const jv_wish wishes[] = {{"kind", "resistance"},
                                  {"battery", batteries[i]},
                                  {"charge", "100"}};
        size_t row = jv_look_row(t, wishes, JV_COUNT(wishes), 0);
        jv_figure ah;
        if (jv_look_number(t, row, "resistance", 1e-3, &ohm) != JV_OK ||
            jv_look_number(t, row, "capacity", 1.0, &ah) != JV_OK) {
            return JV_ERR_UNKNOWN;
        }
        ohm_ah[i] = ohm.value * ah.value;
    }
    *out = (jv_range){.low = ohm_ah[0],
                      .typical = ohm_ah[1],
                      .high = ohm_ah[2],
                      .source = ohm.source,
                      .confidence = JV_USABLE,
                      .note = "three VRLA batteries, pulse, 22 degC"};
    return JV_OK;
}

/* From memory: the milliohm range of a named battery times its capacity range. */
static jv_status remembered_resistance_ah(const char *battery, jv_range *out) {
    const jv_table *t = &jv_rows_battery_resistance;
    const jv_wish wishes[] = {{"kind", "typical"}, {"battery", battery}};
    size_t row = jv_look_row(t, wishes, JV_COUNT(wishes), 0);
    jv_range ohm;
    jv_range ah;
    if (jv_look_span(t, row, "resistance", 1e-3, &ohm) != JV_OK ||
        jv_look_span(t, row, "capacity", 1.0, &ah) != JV_OK) {
        return JV_ERR_UNKNOWN;
    }
    *out = ohm;
    out->low *= ah.low;
    out->typical *= ah.typical;
    out->high *= ah.high;
    return JV_OK;
}

static jv_status look_resistance_ah(jv_chemistry chemistry, jv_range *out) {
    switch (chemistry) {
    case JV_CHEMISTRY_FLOODED:
        return remembered_resistance_ah("deep cycle group 27", out);
    case JV_CHEMISTRY_AGM:
    case JV_CHEMISTRY_GEL:
        return vrla_resistance_ah(out);
    case JV_CHEMISTRY_LFP:
        return remembered_resistance_ah("LFP 100 Ah with protection board", out);
    }
    return JV_ERR_RANGE;
}

/* Divide a curve by its own value at x. */
static void relative_to(jv_curve *c, double x) {
    double base = jv_curve_at(c, x);
    for (size_t i = 0; i < c->count; i++) {
        c->y[i] /= base;
    }
    c->confidence = jv_confidence_worse(c->confidence, JV_USABLE); /* a ratio is derived */
}

static jv_status look_resistance_charge(jv_chemistry chemistry, jv_curve *out) {
    if ((size_t)chemistry >= JV_COUNT(ocv_rows)) {
        return JV_ERR_RANGE;
    }
    bool lfp = chemistry == JV_CHEMISTRY_LFP;
    const jv_wish wishes[] = {{"kind", "resistance"},
                              {"battery", lfp ? "LFP single cell 3 Ah" : "12 V VRLA 26 Ah"},
                              {"temperature", lfp ? "25" : "22"}};
    jv_status status = jv_look_curve(&jv_rows_battery_resistance, wishes, JV_COUNT(wishes),
                                     "charge", 0.01, "resistance", 1e-3, out);
    if (status == JV_OK) {
        relative_to(out, 1.0);
        out->note = chemistry == JV_CHEMISTRY_AGM ? "a 26 Ah battery; larger ones rise less"
                    : lfp                         ? "one 3 Ah cell"
                                                  : "a VRLA battery of 26 Ah";
    }
    return status;
}

static jv_status look_resistance_temperature(jv_chemistry chemistry, jv_curve *out) {
    if ((size_t)chemistry >= JV_COUNT(ocv_rows)) {
        return JV_ERR_RANGE;
    }
    const jv_table *t = &jv_rows_battery_resistance;
    if (chemistry == JV_CHEMISTRY_LFP) {
        const jv_wish wishes[] = {{"kind", "temp factor"}, {"battery", "LFP cell"}};
        jv_status status =
            jv_look_curve(t, wishes, JV_COUNT(wishes), "temperature", 1.0, "factor", 1.0, out);
        if (status == JV_OK) {
            out->note = "10 to 40 degC only; colder than 10 degC it is higher, not known how much";
        }
        return status;
    }
    /* Cranking power of a full battery taken as 1/R: an upper bound. What load test tables
     * allow for is 1.32 at -18 degC; memory says 1.3 at 0 and 2.0 at -18 degC. */
    const jv_wish wishes[] = {{"kind", "temp factor"}, {"note", "power taken as 1/R"}};
    jv_status status =
        jv_look_curve(t, wishes, JV_COUNT(wishes), "temperature", 1.0, "factor", 1.0, out);
    if (status == JV_OK) {
        out->note = "upper bound; load test tables allow 1.32 at -18 degC";
    }
    return status;
}

jv_status jv_table_capacity_temperature(jv_chemistry chemistry, jv_curve *out) {
    if ((size_t)chemistry >= JV_COUNT(ocv_rows)) {
        return JV_ERR_RANGE;
    }
    bool lfp = chemistry == JV_CHEMISTRY_LFP;
    const jv_wish wishes[] = {{"kind", "capacity vs temp"},
                              {"item", lfp ? "LFP cell 10 Ah" : "full battery"}};
    jv_status status = jv_look_curve(&jv_rows_cranking, wishes, JV_COUNT(wishes), "temperature",
                                     1.0, "value", 0.01, out);
    if (status == JV_OK && out->count < JV_CURVE_POINTS) {
        /* The rows are percent of the warm capacity, which is 1 by that definition. */
        out->x[out->count] = lfp ? 25.0 : 26.7;
        out->y[out->count] = 1.0;
        out->count++;
    }
    return status;
}

jv_status jv_table_peukert(jv_chemistry chemistry, jv_range *out) {
    static const char *const batteries[] = {"flooded", "VRLA AGM", "gel", "LFP"};
    const jv_table *t = &jv_rows_battery_models;
    if ((size_t)chemistry >= JV_COUNT(batteries)) {
        return JV_ERR_RANGE;
    }
    const jv_wish wishes[] = {{"model", "Peukert"},
                              {"battery", batteries[chemistry]},
                              {"parameter", "k"}};
    return jv_look_span(t, jv_look_row(t, wishes, JV_COUNT(wishes), 0), "value", 1.0, out);
}

/* ---- ratings, tests, supply codes ---- */

static jv_status look_cranking(jv_cranking_standard standard, jv_cranking_test *out) {
    static const char *const items[] = {
        [JV_CRANKING_SAE] = "SAE cold cranking (J537)",
        [JV_CRANKING_EN] = "EN 50342-1 cold cranking",
        [JV_CRANKING_IEC] = "IEC 60095-1 (old, IEC 95-1)",
        [JV_CRANKING_DIN] = "DIN 43539-2 (withdrawn)",
        [JV_CRANKING_MCA] = "cranking amps CA / marine cranking amps MCA",
    };
    if ((size_t)standard >= JV_COUNT(items)) {
        return JV_ERR_RANGE;
    }
    const jv_table *t = &jv_rows_cranking;
    const jv_wish wishes[] = {{"kind", "definition"}, {"item", items[standard]}};
    size_t row = jv_look_row(t, wishes, JV_COUNT(wishes), 0);
    jv_figure temperature;
    jv_figure time;
    jv_figure volts;
    if (jv_look_number(t, row, "temperature", 1.0, &temperature) != JV_OK ||
        jv_look_number(t, row, "duration", 1.0, &time) != JV_OK ||
        jv_look_number(t, row, "end", 1.0, &volts) != JV_OK) {
        return JV_ERR_UNKNOWN;
    }
    *out = (jv_cranking_test){.degC = temperature.value,
                              .seconds = time.value,
                              .end_volts = volts.value,
                              .source = volts.source,
                              .confidence = volts.confidence};
    return JV_OK;
}

static jv_status group_span(const char *group, const char *kind, const char *what, double scale,
                            jv_range *out) {
    jv_text item = {0};
    jv_text_addf(&item, "group %s %s %s", group, kind, what);
    const jv_wish wish = {"item", jv_text_str(&item)};
    jv_status status =
        item.failed ? JV_ERR_MEMORY
                    : jv_look_span(&jv_rows_cranking, jv_look_row(&jv_rows_cranking, &wish, 1, 0),
                                   "value", scale, out);
    jv_text_clear(&item);
    return status;
}

jv_status jv_table_battery_group(const char *group, const char *kind, jv_group_figures *out) {
    jv_group_figures f;
    jv_status status = group_span(group, kind, "CCA", 1.0, &f.cold_cranking_A);
    if (status == JV_OK) {
        status = group_span(group, kind, "reserve capacity", 60.0, &f.reserve_s); /* minutes */
    }
    if (status == JV_OK) {
        status = group_span(group, kind, "capacity", 3600.0, &f.capacity_C); /* Ah */
    }
    if (status == JV_OK) {
        *out = f;
    }
    return status;
}

static jv_status look_load_test(jv_curve *out) {
    /* Of the three tables the one that reaches the coldest; the others differ by 0.1 V. */
    const jv_wish wishes[] = {{"figure", "load test minimum"},
                              {"meaning", "below: replace battery"}};
    return jv_look_curve(&jv_rows_undervoltage, wishes, JV_COUNT(wishes), "temperature", 1.0,
                         "volts", 1.0, out);
}

jv_status jv_table_supply_code(char code, jv_figure *least_V, jv_figure *most_V) {
    static const char *const items[] = {"supply range code A, 12 V", "supply range code B, 12 V",
                                        "supply range code C, 12 V", "supply range code D, 12 V"};
    if (code < 'A' || code > 'D') {
        return JV_ERR_RANGE;
    }
    const jv_table *t = &jv_rows_supplies;
    const jv_wish wish = {"item", items[code - 'A']};
    size_t row = jv_look_row(t, &wish, 1, 0);
    jv_figure least;
    jv_status status = jv_look_number(t, row, "least", 1.0, &least);
    if (status == JV_OK) {
        status = jv_look_number(t, row, "most", 1.0, most_V);
    }
    if (status == JV_OK) {
        *least_V = least;
    }
    return status;
}

/* ---- kept ---- */

/* What batteries are made of, looked up once in the life of the program: circuits are loaded
 * anew for each draw, and reading cells takes a thousand times as long as copying a curve. */
typedef struct kept_curve {
    jv_status status;
    jv_curve curve;
} kept_curve;

enum { CHEMISTRIES = JV_COUNT(ocv_rows), STANDARDS = JV_CRANKING_MCA + 1 };

static struct {
    kept_curve ocv[CHEMISTRIES], shift[CHEMISTRIES], charge[CHEMISTRIES], cold[CHEMISTRIES];
    kept_curve load_test;
    double ocv_degC[CHEMISTRIES];
    jv_status ah_status[CHEMISTRIES], cranking_status[STANDARDS];
    jv_range ah[CHEMISTRIES];
    jv_cranking_test cranking[STANDARDS];
} kept;

static void look_all_up(void) {
    for (size_t i = 0; i < CHEMISTRIES; i++) {
        jv_chemistry c = (jv_chemistry)i;
        kept.ocv[i].status = look_ocv_curve(c, &kept.ocv[i].curve, &kept.ocv_degC[i]);
        kept.shift[i].status = look_ocv_shift_curve(c, &kept.shift[i].curve);
        kept.charge[i].status = look_resistance_charge(c, &kept.charge[i].curve);
        kept.cold[i].status = look_resistance_temperature(c, &kept.cold[i].curve);
        kept.ah_status[i] = look_resistance_ah(c, &kept.ah[i]);
    }
    for (size_t i = 0; i < STANDARDS; i++) {
        kept.cranking_status[i] = look_cranking((jv_cranking_standard)i, &kept.cranking[i]);
    }
    kept.load_test.status = look_load_test(&kept.load_test.curve);
}

static void look_once(void) {
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    pthread_once(&once, look_all_up);
}

static jv_status give(const kept_curve *all, size_t i, jv_curve *out) {
    if (i >= CHEMISTRIES) {
        return JV_ERR_RANGE;
    }
    look_once();
    if (all[i].status == JV_OK) {
        *out = all[i].curve;
    }
    return all[i].status;
}

jv_status jv_table_ocv_curve(jv_chemistry chemistry, jv_curve *out, double *at_degC) {
    jv_status status = give(kept.ocv, (size_t)chemistry, out);
    if (status == JV_OK) {
        *at_degC = kept.ocv_degC[chemistry];
    }
    return status;
}

jv_status jv_table_ocv_shift_curve(jv_chemistry chemistry, jv_curve *out) {
    return give(kept.shift, (size_t)chemistry, out);
}

jv_status jv_table_resistance_charge(jv_chemistry chemistry, jv_curve *out) {
    return give(kept.charge, (size_t)chemistry, out);
}

jv_status jv_table_resistance_temperature(jv_chemistry chemistry, jv_curve *out) {
    return give(kept.cold, (size_t)chemistry, out);
}

jv_status jv_table_load_test(jv_curve *out) {
    return give(&kept.load_test, 0, out);
}

jv_status jv_table_resistance_ah(jv_chemistry chemistry, jv_range *out) {
    if ((size_t)chemistry >= CHEMISTRIES) {
        return JV_ERR_RANGE;
    }
    look_once();
    if (kept.ah_status[chemistry] == JV_OK) {
        *out = kept.ah[chemistry];
    }
    return kept.ah_status[chemistry];
}

jv_status jv_table_cranking(jv_cranking_standard standard, jv_cranking_test *out) {
    if ((size_t)standard >= STANDARDS) {
        return JV_ERR_RANGE;
    }
    look_once();
    if (kept.cranking_status[standard] == JV_OK) {
        *out = kept.cranking[standard];
    }
    return kept.cranking_status[standard];
}
