/* walk_json.c - the record of a walk for scripts. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "jackvolt/walk.h"
#include "render/find_out.h"

static const char *end_word(const jv_walk *w) {
    switch (jv_walk_ended(w)) {
    case JV_WALK_PROVED:
        return "proved";
    case JV_WALK_HANDED_ON:
        return "handed on";
    case JV_WALK_GOES_ON:
        break;
    }
    return "not finished";
}

jv_status jv_walk_json(const jv_walk *w, jv_text *out) {
    jv_json j;
    const jv_circuit *c = jv_walk_circuit(w);
    jv_json_node *root = jv_json_begin(&j);
    const jv_suspect *named = jv_walk_named(w);
    jv_json_text(&j, root, "circuit", jv_circuit_name(c));
    jv_json_text(&j, root, "walk", jv_walk_kind_of(w) == JV_WALK_SENSOR ? "sensor" : "sag");
    jv_json_text(&j, root, "end", end_word(w));
    jv_json_text(&j, root, "result", jv_walk_result(w));
    jv_json_bool(&j, root, "power_left_off", jv_walk_is_dead(w));
    if (named) {
        jv_json_node *o = jv_json_object(&j, root, "named");
        jv_json_text(&j, o, "fault", named->words);
        jv_json_text(&j, o, "part", jv_circuit_part_name(c, named->part[0]));
        jv_json_text(&j, o, "repair", named->repair);
        jv_json_number(&j, o, "minutes", named->minutes, NULL);
    }
    jv_json_node *steps = jv_json_array(&j, root, "steps");
    for (size_t k = 0; k < jv_walk_answers(w); k++) {
        const jv_walk_entry *e = jv_walk_entry_at(w, k);
        jv_json_node *o = jv_json_object(&j, steps, NULL);
        jv_json_text(&j, o, "title", e->title);
        if (*e->asked)
            jv_json_text(&j, o, "probes", e->asked);
        jv_json_text(&j, o, "answer", e->words);
        if (*e->meaning)
            jv_json_text(&j, o, "meaning", e->meaning);
    }
    jv_odds_json(&j, root, c, jv_walk_finder(w), false);
    return jv_json_print(&j, out);
}
