/* cable_json.c - the cable for one circuit, for scripts.
 * SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "render/json_out.h"

#define NO_STEADY "no steady temperature below melting"

static void add_size(jv_json *j, jv_json_node *item, const char *key, const jv_size *size) {
    jv_text text = {0};
    jv_size_print(&text, size);
    j->failed |= text.failed;
    jv_json_text(j, item, key, jv_text_str(&text));
    jv_text_clear(&text);
}

static void add_row(jv_json *j, jv_json_node *rows, const jv_cable_row *row) {
    jv_json_node *item = jv_json_object(j, rows, NULL);
    add_size(j, item, "size", &row->size);
    jv_json_number(j, item, "area_mm2", row->area_mm2, NULL);
    jv_json_number(j, item, "resistance_ohm", row->resistance_ohm, NO_STEADY);
    jv_json_number(j, item, "drop_V", row->drop_v, NO_STEADY);
    jv_json_number(j, item, "drop_percent", 100 * row->drop_share, NO_STEADY);
    jv_json_number(j, item, "volts_left_V", row->left_v, NO_STEADY);
    jv_json_number(j, item, "temperature_C", row->temp_c, NO_STEADY);
    jv_json_number(j, item, "fuse_A", row->fuse_a, "no rating between current and cable");
    jv_json_number(j, item, "mass_kg", row->mass_kg, NULL);
    jv_json_text(j, item, "verdict", jv_cable_verdict_word(row->verdict));
    jv_json_text(j, item, "why", row->why);
    jv_json_number(j, item, "carries_A", row->carries_a, NULL);
    jv_json_text(j, item, "confidence", jv_confidence_word(row->confidence));
}

static void add_assumed(jv_json *j, jv_json_node *root, const jv_cable_answer *a) {
    jv_json_node *assumed = jv_json_array(j, root, "assumed");
    if (a->supply_assumed)
        jv_json_text(j, assumed, NULL, "supply_V");
    if (a->question.limit == JV_CABLE_LIMIT_DEFAULT)
        jv_json_text(j, assumed, NULL, "limit_drop_V");
    if (a->insulation_assumed)
        jv_json_text(j, assumed, NULL, "insulation");
    if (a->air_assumed)
        jv_json_text(j, assumed, NULL, "air_C");
}

jv_status jv_cable_json(const jv_cable_answer *a, jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_number(&j, root, "loop_m", a->question.loop_m, NULL);
    jv_json_number(&j, root, "one_way_m", a->one_way_m, NULL);
    jv_json_number(&j, root, "current_A", a->question.current_a, NULL);
    jv_json_node *rows = jv_json_array(&j, root, "rows");
    for (size_t i = 0; i < a->count; i++)
        add_row(&j, rows, &a->rows[i]);
    if (a->chosen < a->count)
        add_size(&j, root, "chosen", &a->rows[a->chosen].size);
    else
        jv_json_null(&j, root, "chosen",
                     a->count ? a->rows[a->count - 1].why : "no size is known of this kind");
    jv_json_number(&j, root, "supply_V", a->question.supply_v, NULL);
    jv_json_number(&j, root, "limit_drop_V", a->limit_drop_v, NULL);
    jv_json_text(&j, root, "metal", jv_metal_name(a->question.metal));
    jv_json_text(&j, root, "insulation", a->question.insulation);
    jv_json_number(&j, root, "insulation_limit_C", a->insulation_c.value, NULL);
    jv_json_number(&j, root, "air_C", a->question.air_c, NULL);
    add_assumed(&j, root, a);
    return jv_json_print(&j, out);
}
