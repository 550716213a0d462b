/* look_ampacity.c - ampacity and its factors. SPDX-License-Identifier: MIT */
#include "tables/look.h"

#include "jackvolt/text.h"

#include <math.h>
#include <string.h>

static const struct {
    const char *name;         /* in the tables ampacity and ampacity-factors */
    const char *engine_space; /* condition of its engine-space rows, or NULL */
    const char *factor;       /* its engine-space factors, or NULL */
    double engine_air_C;      /* air of an engine space, NAN = no such figures */
    bool metric;
} kinds[] = {
    [JV_AMPACITY_33CFR183] = {"33 CFR 183.425", NULL, "33 CFR 183.425 engine space", 50.0, false},
    [JV_AMPACITY_ABYC_E11] = {"ABYC E-11", "boats, engine space", NULL, 50.0, false},
    [JV_AMPACITY_NEC_310_17] = {"NFPA 70 310.17", NULL, NULL, NAN, false},
    [JV_AMPACITY_ISO_10133] = {"ISO 10133", NULL, "ISO 10133 engine space", 60.0, true},
    [JV_AMPACITY_FAA] = {"FAA AC 43.13-1B", NULL, NULL, NAN, false},
    [JV_AMPACITY_THIN_WALL] = {"thin wall", NULL, NULL, NAN, true},
};

/* sqrt((Ti - Ta) / (Ti - base)): heat carried off goes with the rise over the air, heat made
 * with the square of the current. */
static double square_root_rule(double insulation_C, double air_C, double base_C) {
    double share = (insulation_C - air_C) / (insulation_C - base_C);
    return share > 0.0 ? sqrt(share) : 0.0;
}

static void size_text(const jv_size *size, jv_text *out) {
    if (size->system == JV_SIZE_MM2) {
        jv_text_addf(out, "%g", size->area_mm2);
    } else if (size->gauge < 1) {
        jv_text_addf(out, "%d/0", 1 - size->gauge);
    } else {
        jv_text_addf(out, "%d", size->gauge);
    }
}

/* The row of the hottest column that the insulation reaches; row_count when there is none. */
static size_t column_row(const jv_table *t, const jv_wish *wishes, size_t n, double insulation_C,
                         double *column_C) {
    size_t best = t->row_count;
    size_t row = jv_look_row(t, wishes, n, 0);
    for (; row < t->row_count; row = jv_look_row(t, wishes, n, row + 1)) {
        jv_figure f;
        if (jv_look_number(t, row, "insulation", 1.0, &f) == JV_OK && f.value <= insulation_C &&
            (best == t->row_count || f.value > *column_C)) {
            best = row;
            *column_C = f.value;
        }
    }
    return best;
}

/* Engine-space factor of a table for its column. The printed ISO factors are filed for 60 degC
 * but are those of 50 degC air; the square-root rule at 60 degC is lower and is taken. */
static jv_status engine_factor(jv_ampacity_table table, double column_C, jv_figure *amps) {
    const jv_wish wish = {"table", kinds[table].factor};
    double factor_C = 0.0;
    size_t row = column_row(&jv_rows_ampacity_factors, &wish, 1, column_C, &factor_C);
    jv_figure f;
    jv_status status = jv_look_number(&jv_rows_ampacity_factors, row, "factor", 1.0, &f);
    if (status != JV_OK) {
        return status;
    }
    if (table == JV_AMPACITY_ISO_10133) {
        f.value = square_root_rule(column_C, kinds[table].engine_air_C, 30.0);
    }
    amps->value *= f.value;
    amps->confidence = jv_confidence_worse(amps->confidence, f.confidence);
    amps->note = "engine space";
    return JV_OK;
}

jv_status jv_table_ampacity(jv_ampacity_table table, const jv_size *size, double insulation_degC,
                            bool engine_space, jv_figure *amps) {
    if ((size_t)table >= JV_COUNT(kinds)) {
        return JV_ERR_RANGE;
    }
    bool metric = size->system == JV_SIZE_MM2;
    if (metric != kinds[table].metric ||
        (engine_space && !kinds[table].engine_space && !kinds[table].factor)) {
        return JV_ERR_UNKNOWN;
    }
    jv_text text = {0};
    size_text(size, &text);
    if (text.failed) {
        jv_text_clear(&text);
        return JV_ERR_MEMORY;
    }
    const char *condition =
        engine_space && kinds[table].engine_space ? kinds[table].engine_space : NULL;
    jv_wish wishes[3] = {{"table", kinds[table].name}, {"size", jv_text_str(&text)}, {"", ""}};
    size_t n = 2;
    if (condition || table == JV_AMPACITY_ABYC_E11) {
        wishes[n++] = (jv_wish){"condition", condition ? condition : "boats"};
    }
    double column_C = 0.0;
    size_t row = column_row(&jv_rows_ampacity, wishes, n, insulation_degC, &column_C);
    jv_text_clear(&text);
    jv_figure f;
    jv_status status = jv_look_number(&jv_rows_ampacity, row, "current", 1.0, &f);
    if (status == JV_OK && engine_space && !condition) {
        status = engine_factor(table, column_C, &f);
    }
    if (status != JV_OK) {
        return status;
    }
    if (size->system == JV_SIZE_SAE) {
        f.note = "AWG figure; the SAE size has less copper";
    }
    *amps = f;
    return JV_OK;
}

jv_status jv_table_ampacity_air(jv_ampacity_table table, bool engine_space, double *degC) {
    if ((size_t)table >= JV_COUNT(kinds)) {
        return JV_ERR_RANGE;
    }
    if (engine_space) {
        if (isnan(kinds[table].engine_air_C)) {
            return JV_ERR_UNKNOWN;
        }
        *degC = kinds[table].engine_air_C;
        return JV_OK;
    }
    const jv_wish wish = {"table", kinds[table].name};
    jv_figure f;
    jv_status status =
        jv_look_number(&jv_rows_ampacity, jv_look_row(&jv_rows_ampacity, &wish, 1, 0), "ambient",
                       1.0, &f);
    if (status == JV_OK) {
        *degC = f.value;
    }
    return status;
}

/* Printed factor of a column: the coolest band that still covers the air. */
static jv_status printed_factor(double column_C, double ambient_C, jv_figure *factor) {
    const jv_table *t = &jv_rows_ampacity_factors;
    const jv_wish wish = {"table", "NFPA 70 310.15(B)(1)"};
    double band = INFINITY;
    size_t best = t->row_count;
    size_t row = jv_look_row(t, &wish, 1, 0);
    for (; row < t->row_count; row = jv_look_row(t, &wish, 1, row + 1)) {
        jv_figure insulation;
        jv_figure air;
        if (jv_look_number(t, row, "insulation", 1.0, &insulation) == JV_OK &&
            jv_look_number(t, row, "ambient", 1.0, &air) == JV_OK && insulation.value == column_C &&
            air.value >= ambient_C && air.value < band) {
            band = air.value;
            best = row;
        }
    }
    return jv_look_number(t, best, "factor", 1.0, factor);
}

jv_status jv_table_ampacity_ambient(double insulation_degC, double ambient_degC,
                                    jv_figure *factor) {
    double by_rule = square_root_rule(insulation_degC, ambient_degC, 30.0);
    if (!(insulation_degC >= 60.0) || isnan(ambient_degC) || by_rule <= 0.0) {
        return JV_ERR_UNKNOWN;
    }
    if (insulation_degC > 90.0) {
        *factor = (jv_figure){.value = by_rule,
                              .source = jv_source_find("CALC"),
                              .confidence = JV_USABLE,
                              .note = "square-root rule; no printed column above 90 degC"};
        return JV_OK;
    }
    double column_C = insulation_degC >= 90.0 ? 90.0 : insulation_degC >= 75.0 ? 75.0 : 60.0;
    jv_figure f;
    jv_status status = printed_factor(column_C, ambient_degC, &f);
    if (status == JV_OK) {
        /* Insulation between two columns gains less from cool air than the lower column says. */
        if (ambient_degC < 30.0 && insulation_degC > column_C && f.value > by_rule) {
            f.value = by_rule;
        }
        *factor = f;
    }
    return status;
}
