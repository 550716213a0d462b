/* look_fuse.c - fuses and breakers. SPDX-License-Identifier: MIT */
#include "tables/look.h"

#include <math.h>

static const char *const style_names[] = {"blade C", "blade E", "blade F", "bolt-in strip",
                                          "glass"};

/* The standard that each style's limits stand under in the table fuse-times. Glass: the road
 * vehicle cartridge of SAE J554, not the 5x20 mm tube of UL 248-14. */
static const char *const style_standards[] = {"ISO 8820-3 type C (regular blade)",
                                              "ISO 8820-3:2002 type E / SAE J1888 (maxi)",
                                              "ISO 8820-3 type F (mini blade)",
                                              "ISO 8820-5 / bolt-in strip (midi and mega style)",
                                              "SAE J554"};

const char *jv_fuse_style_name(jv_fuse_style style) {
    return (size_t)style < JV_COUNT(style_names) ? style_names[style] : "unknown style";
}

jv_status jv_fuse_style_read(const char *name, jv_fuse_style *out) {
    size_t i = jv_look_name(style_names, JV_COUNT(style_names), name);
    if (i == JV_COUNT(style_names)) {
        return JV_ERR_UNKNOWN;
    }
    *out = (jv_fuse_style)i;
    return JV_OK;
}

/* Points of all rows that meet the wishes, in the order of the table (rising current). An
 * empty shortest time is no lower limit, an empty longest time none above: a hold point. */
static jv_status read_points(const jv_table *t, const jv_wish *wishes, size_t n,
                             jv_time_curve *out) {
    jv_time_curve c = {.confidence = JV_SOLID};
    size_t row = jv_look_row(t, wishes, n, 0);
    for (; row < t->row_count && c.count < JV_TIME_POINTS;
         row = jv_look_row(t, wishes, n, row + 1)) {
        jv_figure share;
        jv_figure time;
        jv_time_point p = {.least_s = 0.0, .greatest_s = INFINITY};
        bool any = false;
        if (jv_look_number(t, row, "current", 0.01, &share) != JV_OK) {
            continue;
        }
        if (jv_look_number(t, row, "shortest", 1.0, &time) == JV_OK) {
            p.least_s = time.value;
            any = true;
        }
        if (jv_look_number(t, row, "longest", 1.0, &time) == JV_OK) {
            p.greatest_s = time.value;
            any = true;
        }
        if (any) {
            p.fraction = share.value;
            p.source = share.source;
            p.confidence = share.confidence;
            c.confidence = jv_confidence_worse(c.confidence, p.confidence);
            c.points[c.count++] = p;
        }
    }
    if (c.count == 0) {
        return JV_ERR_UNKNOWN;
    }
    *out = c;
    return JV_OK;
}

jv_status jv_table_fuse_curve(jv_fuse_style style, double rating_A, jv_time_curve *out) {
    if ((size_t)style >= JV_COUNT(style_names) || !(rating_A > 0.0)) {
        return JV_ERR_RANGE;
    }
    jv_wish wishes[3] = {{"standard", style_standards[style]}};
    size_t n = 1;
    if (style == JV_FUSE_BLADE_C) {
        wishes[n++] = (jv_wish){"ratings", rating_A >= 35.0 ? "35-40" : "3-40"};
    } else if (style == JV_FUSE_BLADE_F) {
        wishes[n++] = (jv_wish){"type", "mini blade 32 V"}; /* not the 58 V variant */
    }
    return read_points(&jv_rows_fuse_times, wishes, n, out);
}

/* The steps of the table fuse-ratings, once more as numbers to choose from. */
static const double ratings_c[] = {3, 5, 7.5, 10, 15, 20, 25, 30, 35, 40};
static const double ratings_e[] = {20, 25, 30, 35, 40, 50, 60, 70, 80};
static const double ratings_f[] = {2, 3, 5, 7.5, 10, 15, 20, 25, 30};
static const double ratings_bolt[] = {30,  40,  50,  60,  70,  80,  100, 125, 150,
                                      175, 200, 225, 250, 300, 350, 400, 450, 500};
static const double ratings_glass[] = {1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30};

const double *jv_table_fuse_ratings(jv_fuse_style style, size_t *n) {
    switch (style) {
    case JV_FUSE_BLADE_C:
        *n = JV_COUNT(ratings_c);
        return ratings_c;
    case JV_FUSE_BLADE_E:
        *n = JV_COUNT(ratings_e);
        return ratings_e;
    case JV_FUSE_BLADE_F:
        *n = JV_COUNT(ratings_f);
        return ratings_f;
    case JV_FUSE_BOLT_IN:
        *n = JV_COUNT(ratings_bolt);
        return ratings_bolt;
    case JV_FUSE_GLASS:
        *n = JV_COUNT(ratings_glass);
        return ratings_glass;
    }
    *n = 0;
    return NULL;
}

/* ---- resistance ---- */

/* Best trusted row of that style and rating with a cold resistance. */
static jv_status sheet_resistance(const char *style, double rating_A, jv_figure *best,
                                  bool *found) {
    const jv_table *t = &jv_rows_fuse_resistance;
    size_t column = jv_table_column_find(t, "style");
    size_t row = jv_table_row_find(t, column, style, 0);
    for (; row < t->row_count; row = jv_table_row_find(t, column, style, row + 1)) {
        jv_figure rating;
        jv_figure ohm;
        if (jv_look_number(t, row, "rating", 1.0, &rating) == JV_OK && rating.value == rating_A &&
            jv_look_number(t, row, "cold resistance", 1e-3, &ohm) == JV_OK &&
            (!*found || ohm.confidence < best->confidence)) {
            *best = ohm;
            *found = true;
        }
    }
    return *found ? JV_OK : JV_ERR_UNKNOWN;
}

/* Volts of cold resistance times rating, for a style and rating without a sheet. */
static const char *resistance_rule(jv_fuse_style style, double rating_A) {
    switch (style) {
    case JV_FUSE_BLADE_C:
    case JV_FUSE_BLADE_F:
        return rating_A < 15.0 ? "cold resistance x rating, mini below 15 A"
                               : "cold resistance x rating, blade and maxi 15-40 A";
    case JV_FUSE_BLADE_E:
        return rating_A > 40.0 ? "cold resistance x rating, maxi 50-80 A"
                               : "cold resistance x rating, blade and maxi 15-40 A";
    case JV_FUSE_BOLT_IN:
        return "cold resistance x rating, bolt-in strip";
    case JV_FUSE_GLASS:
        break;
    }
    return NULL;
}

jv_status jv_table_fuse_resistance(jv_fuse_style style, double rating_A, jv_figure *ohm) {
    static const char *const sheets[][2] = {{"regular blade 32 V", "regular blade"},
                                            {"maxi blade 32 V", ""},
                                            {"mini blade 32 V", "mini blade"},
                                            {"midi bolt-in 70 V", ""},
                                            {"", ""}};
    if ((size_t)style >= JV_COUNT(sheets) || !(rating_A > 0.0)) {
        return JV_ERR_RANGE;
    }
    jv_figure best;
    bool found = false;
    for (size_t i = 0; i < 2; i++) {
        sheet_resistance(sheets[style][i], rating_A, &best, &found);
    }
    if (found) {
        *ohm = best;
        return JV_OK;
    }
    const char *rule = resistance_rule(style, rating_A);
    if (!rule) {
        return JV_ERR_UNKNOWN;
    }
    const jv_table *t = &jv_rows_fuse_rules;
    jv_status status = jv_look_number(t, jv_table_row_find(t, 0, rule, 0), "typical",
                                      1e-3 / rating_A, ohm); /* mV to V, then over A */
    if (status == JV_OK) {
        ohm->note = "no sheet of this rating; cold resistance x rating of its neighbours";
    }
    return status;
}

jv_status jv_table_fuse_hot_ratio(jv_range *out) {
    const jv_table *t = &jv_rows_fuse_rules;
    return jv_look_range(t, jv_table_row_find(t, 0, "resistance at rated current / cold", 0), "low",
                         "high", 1.0, out);
}

jv_status jv_table_fuse_continuous(jv_figure *fraction) {
    const jv_table *t = &jv_rows_fuse_rules;
    return jv_look_number(t, jv_table_row_find(t, 0, "lasting current / rating at 25 degC", 0),
                          "typical", 1.0, fraction);
}

/* The maxi sheet is the one that prints a whole curve. The mini sheets (58 V, 10 A: 0.98 at
 * 0 degC and 0.73 at 80 degC; 15 A: 0.867 at 20 and 0.6 at 100) fall to 0.80 at 80 and 0.69 at
 * 100 degC of their own value at 20 degC; the maxi curve gives 0.775 and 0.675: safer. */
jv_status jv_table_fuse_ambient(jv_fuse_style style, double ambient_degC, jv_figure *fraction) {
    if ((size_t)style >= JV_COUNT(style_names) || !(ambient_degC >= -40.0) ||
        !(ambient_degC <= 125.0)) {
        return JV_ERR_RANGE;
    }
    const jv_wish wishes[] = {{"item", "fuse"}, {"style", "maxi blade 32 V"}};
    jv_curve c;
    jv_status status =
        jv_look_curve(&jv_rows_fuse_derating, wishes, 2, "ambient", 1.0, "share", 1.0, &c);
    if (status != JV_OK) {
        return status;
    }
    *fraction = (jv_figure){.value = jv_curve_at(&c, ambient_degC),
                            .source = c.source,
                            .confidence = c.confidence,
                            .note = ""};
    if (style == JV_FUSE_BLADE_F) {
        fraction->note = "maxi curve; the mini sheets agree within 3 %";
    } else if (style != JV_FUSE_BLADE_E) {
        fraction->confidence = JV_WEAK;
        fraction->note = "maxi curve; no sheet of this style";
    }
    return JV_OK;
}

/* ---- breakers ---- */

static const char *const breaker_names[] = {"automatic", "modified", "manual"};
static const char *const breaker_types[] = {"I", "II", "III"};

const char *jv_breaker_type_name(jv_breaker_type type) {
    return (size_t)type < JV_COUNT(breaker_names) ? breaker_names[type] : "unknown type";
}

jv_status jv_breaker_type_read(const char *name, jv_breaker_type *out) {
    size_t i = jv_look_name(breaker_names, JV_COUNT(breaker_names), name);
    if (i == JV_COUNT(breaker_names)) {
        i = jv_look_name(breaker_types, JV_COUNT(breaker_types), name);
    }
    if (i == JV_COUNT(breaker_types)) {
        return JV_ERR_UNKNOWN;
    }
    *out = (jv_breaker_type)i;
    return JV_OK;
}

/* SAE J553 calibrates all three types alike; they differ in what happens afterwards. */
jv_status jv_table_breaker_curve(jv_breaker_type type, jv_time_curve *out) {
    if ((size_t)type >= JV_COUNT(breaker_names)) {
        return JV_ERR_RANGE;
    }
    const jv_wish wishes[] = {{"standard", "SAE J553"}, {"type", "all"}};
    return read_points(&jv_rows_breakers, wishes, 2, out);
}
