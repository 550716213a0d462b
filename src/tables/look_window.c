/* look_window.c - least, typical, most of sensors and supplies. SPDX-License-Identifier: MIT */
#include "tables/look.h"

#include <math.h>
#include <string.h>

/* Factor from a printed unit to SI; units not listed stand as they are. */
static double to_si(const char *unit) {
    static const struct {
        const char *unit;
        double factor;
    } units[] = {{"mA", 1e-3},  {"uA", 1e-6},  {"mV", 1e-3}, {"us", 1e-6},
                 {"ms", 1e-3},  {"mT", 1e-3},  {"uF", 1e-6}, {"Mohm", 1e6},
                 {"mm2", 1e-6}, {"h", 3600.0}, {"min", 60.0}};
    for (size_t i = 0; i < JV_COUNT(units); i++) {
        if (strcmp(units[i].unit, unit) == 0) {
            return units[i].factor;
        }
    }
    return 1.0;
}

static double end_of(const jv_table *t, size_t row, const char *column, double scale,
                     jv_figure *origin, size_t *known) {
    jv_figure f;
    if (jv_look_number(t, row, column, scale, &f) != JV_OK) {
        return NAN;
    }
    *origin = f;
    (*known)++;
    return f.value;
}

static jv_status window(const jv_table *t, const jv_wish *wishes, jv_window *out) {
    size_t row = jv_look_row(t, wishes, 2, 0);
    const char *unit = jv_table_cell(t, row, jv_table_column_find(t, "unit"));
    double scale = to_si(unit);
    jv_figure origin = {0};
    size_t known = 0;
    jv_window w = {.unit = unit,
                   .condition = jv_table_cell(t, row, jv_table_column_find(t, "condition"))};
    w.least = end_of(t, row, "least", scale, &origin, &known);
    w.typical = end_of(t, row, "typical", scale, &origin, &known);
    w.most = end_of(t, row, "most", scale, &origin, &known);
    if (known == 0) {
        return JV_ERR_UNKNOWN;
    }
    w.source = origin.source;
    w.confidence = origin.confidence;
    w.note = origin.note;
    *out = w;
    return JV_OK;
}

jv_status jv_table_hall(const char *of_class, const char *parameter, jv_window *out) {
    const jv_wish wishes[] = {{"class", of_class}, {"parameter", parameter}};
    return window(&jv_rows_hall, wishes, out);
}

jv_status jv_table_supply(const char *kind, const char *item, jv_window *out) {
    const jv_wish wishes[] = {{"kind", kind}, {"item", item}};
    return window(&jv_rows_supplies, wishes, out);
}
