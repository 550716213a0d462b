/* harness_list.c - all that was read of a harness, as text and JSON. SPDX-License-Identifier: MIT
 */
#include "jackvolt/render.h"

#include "render/json_out.h"
#include "render/text_table.h"

#include <math.h>
#include <string.h>

static const double MM_PER_M = 1e3, MM2_PER_M2 = 1e6;

static const char *const kinds[] = {"connector", "ring terminal", "splice", "open end", "fuse box"};

static const char *point_name(const jv_harness_parts *h, size_t point) {
    return point != JV_HARNESS_NONE ? h->points[point].name : NULL;
}

static void text_cell(jv_text_table *t, const char *text) {
    jv_text_table_cell(t, text != NULL ? text : "-", JV_TINT_NONE);
}

/* The digits of the file, "-" for what it does not say. */
static void number_cell(jv_text_table *t, double value) {
    jv_text text = {0};
    if (isnan(value)) {
        jv_text_add(&text, "-");
    } else {
        jv_text_addf(&text, "%.9g", value);
    }
    jv_text_table_cell(t, jv_text_str(&text), JV_TINT_NONE);
    t->failed = t->failed || text.failed;
    jv_text_clear(&text);
}

static void list_wires(const jv_harness_parts *h, const jv_style *style, jv_text *out) {
    jv_text_table t = {0};
    static const char *const heads[] = {"wire",   "mm2",  "mm", "length", "route mm",
                                        "colour", "from", "to", "cable",  "signal"};
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
        bool number = i == 1 || i == 2 || i == 4;
        jv_text_table_column(&t, heads[i], number ? JV_RIGHT : JV_LEFT);
    }
    for (size_t i = 0; i < h->n_wires; i++) {
        const jv_harness_wire *w = &h->wires[i];
        jv_text_table_row(&t);
        text_cell(&t, w->name);
        number_cell(&t, w->area_m2 * MM2_PER_M2);
        number_cell(&t, w->length_m * MM_PER_M);
        text_cell(&t, w->length_kind);
        number_cell(&t, w->routed_m * MM_PER_M);
        text_cell(&t, w->colour);
        text_cell(&t, point_name(h, w->from));
        text_cell(&t, point_name(h, w->to));
        text_cell(&t, w->cable);
        text_cell(&t, w->signal);
    }
    jv_text_table_print(&t, style, 2, out);
}

static void list_fuses(const jv_harness_parts *h, const jv_style *style, jv_text *out) {
    if (h->n_fuses == 0) {
        return;
    }
    jv_text_table t = {0};
    static const char *const heads[] = {"fuse", "A", "type", "place", "from", "to", "for"};
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
        jv_text_table_column(&t, heads[i], i == 1 ? JV_RIGHT : JV_LEFT);
    }
    for (size_t i = 0; i < h->n_fuses; i++) {
        const jv_harness_fuse *f = &h->fuses[i];
        jv_text_table_row(&t);
        text_cell(&t, f->name);
        number_cell(&t, f->rating_a);
        text_cell(&t, f->type);
        text_cell(&t, f->place);
        text_cell(&t, point_name(h, f->from));
        text_cell(&t, point_name(h, f->to));
        text_cell(&t, f->about);
    }
    jv_text_add(out, "\n");
    jv_text_table_print(&t, style, 2, out);
}

static void list_connectors(const jv_harness_parts *h, const jv_style *style, jv_text *out) {
    if (h->n_connectors == 0) {
        return;
    }
    jv_text_table t = {0};
    jv_text_table_column(&t, "connector", JV_LEFT);
    jv_text_table_column(&t, "is", JV_LEFT);
    jv_text_table_column(&t, "what", JV_LEFT);
    for (size_t i = 0; i < h->n_connectors; i++) {
        jv_text_table_row(&t);
        text_cell(&t, h->connectors[i].name);
        text_cell(&t, kinds[h->connectors[i].kind]);
        text_cell(&t, h->connectors[i].about);
    }
    for (size_t i = 0; i < h->n_devices; i++) {
        jv_text_table_row(&t);
        text_cell(&t, h->devices[i].name);
        text_cell(&t, h->devices[i].kind != NULL ? h->devices[i].kind : "to classify");
        text_cell(&t, h->devices[i].about);
    }
    jv_text_add(out, "\n");
    jv_text_table_print(&t, style, 2, out);
}

/* Points that a circuit joins: bars, shared contacts, and what is plugged together. */
static void list_joints(const jv_harness_parts *h, jv_text *out) {
    bool any = false;
    for (size_t i = 0; i < h->n_points; i++) {
        const jv_harness_point *p = &h->points[i];
        if (p->joint == i || !p->used) {
            continue;
        }
        jv_text_add(out, any ? "" : "\n  joined without ohms:\n");
        jv_text_addf(out, "    %s with %s\n", p->name, h->points[p->joint].name);
        any = true;
    }
    for (size_t i = 0; i < h->n_mates; i++) {
        jv_text_add(out, i > 0 ? "" : "\n  plugged together:\n");
        jv_text_addf(out, "    %s with %s", h->points[h->mates[i].from].name,
                     h->points[h->mates[i].to].name);
        if (!isnan(h->mates[i].ohm)) {
            jv_text_addf(out, ", %.9g mohm", h->mates[i].ohm * 1e3);
        }
        jv_text_add(out, "\n");
    }
}

static void list_rest(const jv_harness_parts *h, jv_text *out) {
    for (size_t i = 0; i < h->n_findings; i++) {
        const jv_harness_finding *f = &h->findings[i];
        jv_text_add(out, i > 0 ? "" : "\n  found:\n");
        jv_text_addf(out, "    W%d line %zu: %s\n", (int)f->code, f->line, f->text);
    }
    for (size_t i = 0; i < h->n_skips; i++) {
        jv_text_add(out, i > 0 ? "" : "\n  passed over:\n");
        jv_text_addf(out, "    %6zu %s\n", h->skips[i].count, h->skips[i].kind);
    }
}

void jv_harness_list_text(const jv_harness *harness, const jv_style *style, jv_text *out) {
    const jv_harness_parts *h = jv_harness_content(harness);
    jv_text_addf(out, "%s %s", h->format, h->version != NULL ? h->version : "of no version");
    if (h->name != NULL) {
        jv_text_addf(out, ", %s", h->name);
    }
    jv_text_addf(out, ": %zu wires, %zu connectors, %zu fuses\n\n", h->n_wires, h->n_connectors,
                 h->n_fuses);
    list_wires(h, style, out);
    list_fuses(h, style, out);
    list_connectors(h, style, out);
    list_joints(h, out);
    list_rest(h, out);
}

static void text_or_null(jv_json *j, jv_json_node *node, const char *key, const char *text) {
    if (text != NULL) {
        jv_json_text(j, node, key, text);
    } else {
        jv_json_null(j, node, key, NULL);
    }
}

static void number_or_null(jv_json *j, jv_json_node *node, const char *key, double value) {
    if (isnan(value)) {
        jv_json_null(j, node, key, NULL);
    } else {
        jv_json_number(j, node, key, value, NULL);
    }
}

static void json_wires(jv_json *j, jv_json_node *root, const jv_harness_parts *h) {
    jv_json_node *all = jv_json_object(j, root, "wires");
    for (size_t i = 0; i < h->n_wires; i++) {
        const jv_harness_wire *w = &h->wires[i];
        jv_json_node *node = jv_json_object(j, all, w->name);
        text_or_null(j, node, "cable", w->cable);
        number_or_null(j, node, "area_mm2", w->area_m2 * MM2_PER_M2);
        number_or_null(j, node, "length_m", w->length_m);
        text_or_null(j, node, "length_kind", w->length_kind);
        number_or_null(j, node, "route_m", w->routed_m);
        number_or_null(j, node, "ohm_per_m", w->ohm_per_m);
        text_or_null(j, node, "metal", w->metal);
        text_or_null(j, node, "colour", w->colour);
        text_or_null(j, node, "signal", w->signal);
        text_or_null(j, node, "from", point_name(h, w->from));
        text_or_null(j, node, "to", point_name(h, w->to));
        jv_json_number(j, node, "line", (double)w->line, NULL);
    }
}

static void json_fuses(jv_json *j, jv_json_node *root, const jv_harness_parts *h) {
    jv_json_node *all = jv_json_object(j, root, "fuses");
    for (size_t i = 0; i < h->n_fuses; i++) {
        const jv_harness_fuse *f = &h->fuses[i];
        jv_json_node *node = jv_json_object(j, all, f->name);
        number_or_null(j, node, "rating_A", f->rating_a);
        text_or_null(j, node, "type", f->type);
        text_or_null(j, node, "place", f->place);
        number_or_null(j, node, "slot_least_A", f->slot_least_a);
        number_or_null(j, node, "slot_most_A", f->slot_most_a);
        text_or_null(j, node, "from", point_name(h, f->from));
        text_or_null(j, node, "to", point_name(h, f->to));
        text_or_null(j, node, "about", f->about);
    }
}

static void json_places(jv_json *j, jv_json_node *root, const jv_harness_parts *h) {
    jv_json_node *all = jv_json_object(j, root, "connectors");
    for (size_t i = 0; i < h->n_connectors; i++) {
        jv_json_node *node = jv_json_object(j, all, h->connectors[i].name);
        jv_json_text(j, node, "is", kinds[h->connectors[i].kind]);
        text_or_null(j, node, "about", h->connectors[i].about);
    }
    all = jv_json_object(j, root, "joined");
    for (size_t i = 0; i < h->n_points; i++) {
        if (h->points[i].joint != i && h->points[i].used) {
            jv_json_text(j, all, h->points[i].name, h->points[h->points[i].joint].name);
        }
    }
    all = jv_json_array(j, root, "plugged");
    for (size_t i = 0; i < h->n_mates; i++) {
        jv_json_node *node = jv_json_object(j, all, NULL);
        jv_json_text(j, node, "from", h->points[h->mates[i].from].name);
        jv_json_text(j, node, "to", h->points[h->mates[i].to].name);
        number_or_null(j, node, "resistance_ohm", h->mates[i].ohm);
    }
}

static void json_rest(jv_json *j, jv_json_node *root, const jv_harness_parts *h) {
    jv_json_node *all = jv_json_array(j, root, "devices");
    for (size_t i = 0; i < h->n_devices; i++) {
        jv_json_node *node = jv_json_object(j, all, NULL);
        jv_json_text(j, node, "name", h->devices[i].name);
        text_or_null(j, node, "about", h->devices[i].about);
        text_or_null(j, node, "kind", h->devices[i].kind);
    }
    all = jv_json_array(j, root, "found");
    for (size_t i = 0; i < h->n_findings; i++) {
        jv_json_node *node = jv_json_object(j, all, NULL);
        jv_json_number(j, node, "code", (double)h->findings[i].code, NULL);
        jv_json_number(j, node, "line", (double)h->findings[i].line, NULL);
        jv_json_text(j, node, "text", h->findings[i].text);
    }
    all = jv_json_object(j, root, "passed_over");
    for (size_t i = 0; i < h->n_skips; i++) {
        jv_json_number(j, all, h->skips[i].kind, (double)h->skips[i].count, NULL);
    }
}

jv_status jv_harness_list_json(const jv_harness *harness, jv_text *out) {
    const jv_harness_parts *h = jv_harness_content(harness);
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "format", h->format);
    text_or_null(&j, root, "version", h->version);
    text_or_null(&j, root, "harness", h->name);
    json_wires(&j, root, h);
    json_fuses(&j, root, h);
    json_places(&j, root, h);
    json_rest(&j, root, h);
    return jv_json_print(&j, out);
}
