/* table.c - the list of tables, and reading of their cells. SPDX-License-Identifier: MIT */
#include "jackvolt/text.h"
#include "tables/rows.h"

#include <math.h>
#include <string.h>

/* In printing order: conductors, protection, sources, sensors and meters, loads. */
static const jv_table *const tables[] = {
    &jv_rows_awg,
    &jv_rows_sae,
    &jv_rows_metric,
    &jv_rows_iso6722,
    &jv_rows_metals,
    &jv_rows_adiabatic,
    &jv_rows_withstand,
    &jv_rows_insulation,
    &jv_rows_ampacity,
    &jv_rows_ampacity_factors,
    &jv_rows_drop_tables,
    &jv_rows_fuse_times,
    &jv_rows_fuse_resistance,
    &jv_rows_fuse_derating,
    &jv_rows_fuse_rules,
    &jv_rows_fuse_ratings,
    &jv_rows_breakers,
    &jv_rows_contacts,
    &jv_rows_drop_limits,
    &jv_rows_rules,
    &jv_rows_ocv,
    &jv_rows_battery_resistance,
    &jv_rows_cranking,
    &jv_rows_battery_models,
    &jv_rows_supplies,
    &jv_rows_undervoltage,
    &jv_rows_hall,
    &jv_rows_meter,
    &jv_rows_motors,
    &jv_rows_screws,
    &jv_rows_screw_friction,
    &jv_rows_gears,
    &jv_rows_vehicle_loads,
};

const char *jv_confidence_word(jv_confidence c) {
    switch (c) {
    case JV_SOLID:
        return "solid";
    case JV_USABLE:
        return "usable";
    case JV_WEAK:
        break;
    }
    return "not for a verdict";
}

jv_confidence jv_confidence_worse(jv_confidence a, jv_confidence b) {
    return a > b ? a : b;
}

size_t jv_table_count(void) {
    return JV_COUNT(tables);
}

const jv_table *jv_table_at(size_t i) {
    return i < JV_COUNT(tables) ? tables[i] : NULL;
}

const jv_table *jv_table_get(const char *name) {
    for (size_t i = 0; i < JV_COUNT(tables); i++) {
        if (strcmp(tables[i]->name, name) == 0) {
            return tables[i];
        }
    }
    return NULL;
}

const char *jv_table_cell(const jv_table *t, size_t row, size_t column) {
    if (row >= t->row_count || column >= t->column_count) {
        return "";
    }
    const char *cell = t->rows[row].cells[column];
    return cell ? cell : "";
}

size_t jv_table_column_find(const jv_table *t, const char *name) {
    size_t i = 0;
    while (i < t->column_count && strcmp(t->columns[i].name, name) != 0) {
        i++;
    }
    return i;
}

size_t jv_table_row_find(const jv_table *t, size_t column, const char *text, size_t from) {
    for (size_t i = from; i < t->row_count; i++) {
        if (strcmp(jv_table_cell(t, i, column), text) == 0) {
            return i;
        }
    }
    return t->row_count;
}

jv_status jv_table_number(const jv_table *t, size_t row, size_t column, jv_figure *out) {
    const char *cell = jv_table_cell(t, row, column);
    const char *end;
    double value;
    if (!jv_number_read(cell, &value, &end) || *end != '\0' || !isfinite(value)) {
        return JV_ERR_UNKNOWN;
    }
    const jv_table_row *r = &t->rows[row];
    *out = (jv_figure){.value = value,
                       .source = jv_table_row_source(r, 0),
                       .confidence = jv_confidence_worse(r->confidence, t->columns[column].limit),
                       .note = jv_table_cell(t, row, jv_table_column_find(t, "note"))};
    return JV_OK;
}
