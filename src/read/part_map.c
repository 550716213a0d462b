/* part_map.c - keys of a part that are maps or lists. SPDX-License-Identifier: MIT */
#include "read/change.h"
#include "read/sections.h"
#include "read/value.h"

#include <math.h>

static bool is_map(jv_reader *r, const jv_key *key, jv_source from, const char *hint) {
    if (!jv_read_is(r, from, key->name, JV_JSON_OBJECT, "an object", hint)) {
        return false;
    }
    if (from.node->as.first == NULL && (key->flags & JV_NEEDED) != 0) {
        jv_reader_fault(r, from, false, JV_CODE_KEY_MISSING, hint, "\"%s\" is empty", key->name);
        return false;
    }
    return true;
}

/* {TERMINAL: quantity} */
static void take_points(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    if (!is_map(r, key, from, "Write {\"TERMINAL\": \"0.5 mohm\", ...}.")) {
        r->circuit->incomplete = true;
        return;
    }
    for (const jv_json_value *n = from.node->as.first; n != NULL; n = n->next) {
        if (n->key == NULL || !jv_reader_is_name(r, jv_reader_at(from, n), true, n->key)) {
            continue;
        }
        jv_source entry = jv_changes_entry(r, key->name, jv_reader_at(from, n));
        jv_value value = jv_value_exact(NAN);
        jv_read_quantity(r, entry, key, &value);
        int32_t terminal = jv_circuit_terminal(r->circuit, n->key);
        jv_slot *s = terminal >= 0 ? jv_part_slot_new(r, number, entry, NULL) : NULL;
        if (s != NULL) {
            s->text = r->circuit->terminals[terminal];
            s->index = terminal;
            s->value = value;
        }
    }
}

/* The two terminals of a list; false with a fault. */
static bool take_pair(jv_reader *r, const char *name, jv_source pair, int32_t *first,
                      int32_t *second) {
    if (pair.node->length != 2) {
        jv_reader_fault(r, pair, false, JV_CODE_KEY_TYPE, "Write [\"TERMINAL\", \"TERMINAL\"].",
                        "\"%s\" must be a list of two terminals, not of %u", name,
                        (unsigned)pair.node->length);
        r->circuit->incomplete = true;
        return false;
    }
    const jv_json_value *a = pair.node->as.first;
    *first = jv_part_terminal_take(r, name, jv_reader_at(pair, a));
    *second = jv_part_terminal_take(r, name, jv_reader_at(pair, a->next));
    return *first >= 0 && *second >= 0;
}

/* {NAME: [terminal, terminal]}, of outputs {NAME: terminal} too. */
static void take_named(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    bool pairs_only = key->type == JV_KEY_PINS;
    const char *hint = pairs_only ? "Write {\"NAME\": [\"TERMINAL\", \"TERMINAL\"], ...}."
                                  : "Write {\"NAME\": \"TERMINAL\", ...} or {\"NAME\": "
                                    "[\"TERMINAL\", \"TERMINAL\"], ...}.";
    if (!is_map(r, key, from, hint)) {
        r->circuit->incomplete = true;
        return;
    }
    for (const jv_json_value *n = from.node->as.first; n != NULL; n = n->next) {
        if (n->key == NULL || !jv_reader_is_name(r, jv_reader_at(from, n), true, n->key)) {
            r->circuit->incomplete = true;
            continue; /* reported; without a key it was a fault of the syntax */
        }
        jv_source entry = jv_changes_entry(r, key->name, jv_reader_at(from, n));
        int32_t first = -1;
        int32_t second = -1;
        if (entry.node->type == JV_JSON_STRING && !pairs_only) {
            first = jv_part_terminal_take(r, n->key, entry);
        } else if (!jv_read_is(r, entry, n->key, JV_JSON_ARRAY,
                               pairs_only ? "a list of two terminals"
                                          : "a terminal or a list of two",
                               hint) ||
                   !take_pair(r, n->key, entry, &first, &second)) {
            r->circuit->incomplete = true;
            continue;
        }
        jv_slot *s = first >= 0 ? jv_part_slot_new(r, number, entry, n->key) : NULL;
        if (s != NULL) {
            s->index = first;
            s->second = second;
        }
    }
}

static bool is_point(const jv_json_value *row) {
    if (row->type != JV_JSON_ARRAY || row->length != 3) {
        return false;
    }
    for (const jv_json_value *n = row->as.first; n != NULL; n = n->next) {
        if (n->type != JV_JSON_NUMBER || n->as.number < 0.0) {
            return false;
        }
    }
    const jv_json_value *percent = row->as.first;
    return percent != NULL && percent->as.number > 0.0;
}

/* [[percent of the rating, least s, greatest s], ...] */
static void take_curve(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    static const char form[] = "Write for example [[135, 0.75, 600], [200, 0.15, 5]].";
    if (!jv_read_is(r, from, key->name, JV_JSON_ARRAY, "a list of points", form)) {
        return;
    }
    for (const jv_json_value *n = from.node->as.first; n != NULL; n = n->next) {
        jv_source row = jv_reader_at(from, n);
        if (n->type == JV_JSON_BAD) {
            r->faulted = true;
        } else if (!is_point(n)) {
            jv_reader_fault(r, row, false, JV_CODE_KEY_TYPE, form,
                            "a point of \"%s\" must be three numbers: percent of the rating, least "
                            "seconds, greatest seconds",
                            key->name);
        } else {
            const jv_json_value *percent = n->as.first;
            jv_slot *s = jv_part_slot_new(r, number, row, NULL);
            if (s != NULL) {
                s->value = jv_value_exact(percent->as.number);
                s->value.low = percent->next->as.number;
                s->value.high = percent->next->next->as.number;
            }
        }
    }
}

void jv_part_map_take(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    if (key->type == JV_KEY_POINTS) {
        take_points(r, number, key, from);
    } else if (key->type == JV_KEY_CURVE) {
        take_curve(r, number, key, from);
    } else {
        take_named(r, number, key, from);
    }
}
