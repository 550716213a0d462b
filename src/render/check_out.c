/* check_out.c - what a circuit file holds, as text and JSON. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"

#include "render/json_out.h"

static void add_count(jv_text *out, const char *before, size_t n, const char *one,
                      const char *many) {
    jv_text_addf(out, "%s%zu %s", before, n, n == 1 ? one : many);
}

void jv_check_text(const char *file, const jv_circuit *c, const jv_style *style, jv_text *out) {
    jv_text_addf(out, "%s: holds together", file);
    if (!style->quiet) {
        add_count(out, ": ", jv_circuit_parts(c), "part", "parts");
        add_count(out, ", ", jv_circuit_terminals(c), "terminal", "terminals");
        add_count(out, ", ", jv_circuit_watches(c), "watch", "watches");
        add_count(out, ", ", jv_circuit_cases(c), "case", "cases");
    }
    jv_text_add(out, ".\n");
}

jv_status jv_check_json(const char *const *files, jv_circuit *const *circuits, size_t n,
                        jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_node *list = jv_json_array(&j, root, "files");
    for (size_t i = 0; i < n; i++) {
        const jv_circuit *c = circuits[i];
        jv_json_node *row = jv_json_object(&j, list, NULL);
        jv_json_text(&j, row, "file", files[i]);
        jv_json_text(&j, row, "circuit", jv_circuit_name(c));
        jv_json_number(&j, row, "parts", (double)jv_circuit_parts(c), NULL);
        jv_json_number(&j, row, "terminals", (double)jv_circuit_terminals(c), NULL);
        jv_json_number(&j, row, "watches", (double)jv_circuit_watches(c), NULL);
        jv_json_number(&j, row, "cases", (double)jv_circuit_cases(c), NULL);
    }
    return jv_json_print(&j, out);
}
