/* look_contact.c - contacts, drop limits, rules, friction, gears. SPDX-License-Identifier: MIT */
#include "tables/look.h"

#include <math.h>
#include <string.h>

static const char *const kind_names[] = {
    "crimp",           "blade",           "stud",  "post clamp", "bond", "holder",
    "connector small", "connector large", "relay", "switch"};

/* Rows of the table contacts that stand for a kind: what a sound one has (one row, or the rows
 * of its low and high end) and what a new one may have at most. NULL where nothing was found:
 * a post clamp, a holder and a switch have drop limits only. */
static const struct {
    const char *typical_low;
    const char *typical_high;
    const char *limit;
} contact_rows[] = {
    [JV_CONTACT_CRIMP] = {"permanent joint (crimp, weld) in a connector", NULL, NULL},
    [JV_CONTACT_BLADE] = {NULL, NULL,
                          "6.3 mm (.250) blade receptacle, 12 AWG, crimp + friction contact"},
    [JV_CONTACT_STUD] = {NULL, NULL, "stud terminal .250 in, MIL-DTL-83454A"},
    [JV_CONTACT_POST_CLAMP] = {NULL, NULL, NULL},
    [JV_CONTACT_BOND] = {NULL, NULL, "exposed frame to structure, FAA AC 43.13-1B 11-188 f"},
    [JV_CONTACT_HOLDER] = {NULL, NULL, NULL},
    [JV_CONTACT_CONNECTOR_SMALL] = {"vehicle connector, small", NULL,
                                    "small sealed connector contact (0.35-1.5 mm2)"},
    [JV_CONTACT_CONNECTOR_LARGE] = {"high-current bullet connector 30 A", NULL,
                                    "high-current bullet connector 30 A"},
    [JV_CONTACT_RELAY] = {"automotive 30 A relay contact",
                          "automotive 12 A medium relay, lamp model contact",
                          "automotive 30 A relay contact"},
    [JV_CONTACT_SWITCH] = {NULL, NULL, NULL},
};

const char *jv_contact_kind_name(jv_contact_kind kind) {
    return (size_t)kind < JV_COUNT(kind_names) ? kind_names[kind] : "unknown contact";
}

jv_status jv_contact_kind_read(const char *name, jv_contact_kind *out) {
    size_t i = jv_look_name(kind_names, JV_COUNT(kind_names), name);
    if (i == JV_COUNT(kind_names)) {
        return JV_ERR_UNKNOWN;
    }
    *out = (jv_contact_kind)i;
    return JV_OK;
}

/* First row of that item whose kind begins so ("limit after test" is a limit). */
static size_t contact_row(const char *item, const char *kind) {
    const jv_table *t = &jv_rows_contacts;
    size_t row = jv_table_row_find(t, 0, item, 0);
    while (row < t->row_count && strncmp(jv_table_cell(t, row, 1), kind, strlen(kind)) != 0) {
        row = jv_table_row_find(t, 0, item, row + 1);
    }
    return row;
}

static bool typical_range(const char *low_item, const char *high_item, jv_range *out) {
    const jv_table *t = &jv_rows_contacts;
    jv_figure low;
    jv_figure high;
    size_t row = contact_row(low_item, "typical");
    if (jv_look_number(t, row, "resistance", 1e-3, &low) != JV_OK) {
        return false;
    }
    high = low;
    if (high_item) {
        if (jv_look_number(t, contact_row(high_item, ""), "resistance", 1e-3, &high) != JV_OK) {
            return false;
        }
    } else {
        jv_figure upper;
        if (jv_look_number(t, row, "upper", 1e-3, &upper) == JV_OK) {
            high = upper;
        }
    }
    *out = (jv_range){.low = low.value,
                      .typical = sqrt(low.value * high.value), /* a spread over decades */
                      .high = high.value,
                      .source = low.source,
                      .confidence = jv_confidence_worse(low.confidence, high.confidence),
                      .note = low.note};
    return true;
}

jv_status jv_table_contact(jv_contact_kind kind, jv_contact_figures *out) {
    if ((size_t)kind >= JV_COUNT(contact_rows)) {
        return JV_ERR_RANGE;
    }
    jv_contact_figures f = {0};
    if (contact_rows[kind].typical_low) {
        f.has_typical = typical_range(contact_rows[kind].typical_low,
                                      contact_rows[kind].typical_high, &f.typical);
    }
    if (contact_rows[kind].limit) {
        f.has_limit =
            jv_look_number(&jv_rows_contacts, contact_row(contact_rows[kind].limit, "limit"),
                           "resistance", 1e-3, &f.limit) == JV_OK;
    }
    if (!f.has_typical && !f.has_limit) {
        return JV_ERR_UNKNOWN;
    }
    *out = f;
    return JV_OK;
}

jv_status jv_table_drop_limit(jv_drop_piece piece, jv_figure *volts) {
    static const char *const pieces[] = {
        [JV_DROP_SMALL_CONNECTION] = "small-wire connection",
        [JV_DROP_POWER_CONNECTION] = "high-current connection",
        [JV_DROP_POWER_CABLE] = "high-current cable",
        [JV_DROP_SWITCH] = "switch or solenoid contacts",
        [JV_DROP_ANY_TOTAL] = "any tested cable or switch, total",
        [JV_DROP_GROUND] = "ground circuit",
        [JV_DROP_POST_CLAMP] = "battery post to clamp, each post",
        [JV_DROP_ACCESSORY_TOTAL] = "total of supply and return for an accessory",
    };
    if ((size_t)piece >= JV_COUNT(pieces)) {
        return JV_ERR_RANGE;
    }
    const jv_table *t = &jv_rows_drop_limits;
    return jv_look_number(t, jv_table_row_find(t, 0, pieces[piece], 0), "limit", 1e-3, volts);
}

jv_status jv_table_rule(const char *id, jv_rule *out) {
    const jv_table *t = &jv_rows_rules;
    size_t row = jv_table_row_find(t, 0, id, 0);
    if (row == t->row_count) {
        return JV_ERR_UNKNOWN;
    }
    jv_rule r = {.id = jv_table_cell(t, row, 0),
                 .standard = jv_table_cell(t, row, jv_table_column_find(t, "standard")),
                 .clause = jv_table_cell(t, row, jv_table_column_find(t, "clause")),
                 .topic = jv_table_cell(t, row, jv_table_column_find(t, "topic")),
                 .rule = jv_table_cell(t, row, jv_table_column_find(t, "rule")),
                 .unit = jv_table_cell(t, row, jv_table_column_find(t, "unit")),
                 .applies = jv_table_cell(t, row, jv_table_column_find(t, "applies to")),
                 .source = jv_table_row_source(&t->rows[row], 0),
                 .confidence = t->rows[row].confidence};
    jv_figure value;
    r.has_value = jv_look_number(t, row, "value", 1.0, &value) == JV_OK;
    if (r.has_value) {
        r.value = value.value;
    }
    *out = r;
    return JV_OK;
}

jv_status jv_table_thread_friction(const char *screw, const char *nut, const char *condition,
                                   jv_range *out) {
    const jv_table *t = &jv_rows_screw_friction;
    const jv_wish wishes[] = {
        {"pair", "thread"}, {"moving", screw}, {"fixed", nut}, {"condition", condition}};
    return jv_look_range(t, jv_look_row(t, wishes, JV_COUNT(wishes), 0), "low", "high", 1.0, out);
}

jv_status jv_table_gear_efficiency(const char *kind, jv_range *out) {
    const jv_table *t = &jv_rows_gears;
    size_t length = strlen(kind);
    for (size_t row = 0; length > 0 && row < t->row_count; row++) {
        if (strncmp(jv_table_cell(t, row, 0), kind, length) == 0) {
            return jv_look_range(t, row, "low", "high", 1.0, out);
        }
    }
    return JV_ERR_UNKNOWN;
}
