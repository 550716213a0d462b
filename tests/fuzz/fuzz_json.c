/* fuzz_json.c - any bytes through the JSON reader. SPDX-License-Identifier: MIT */
#include <stdint.h>
#include <stdlib.h>

#include "read/json.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* Everything that a caller would touch; the sum keeps it from being optimised away. */
static size_t visit(const jv_json_doc *doc, const jv_json_value *node, jv_text *out) {
    size_t sum = jv_json_place(doc, node).column + jv_json_key_place(doc, node).line;
    if (node->offset > doc->length || node->key_offset > doc->length) {
        abort();
    }
    if (node->key != NULL && !jv_text_is_utf8(node->key, node->key_length, &sum)) {
        abort();
    }
    if (node->type == JV_JSON_STRING && (node->as.string[node->length] != '\0' ||
                                         !jv_text_is_utf8(node->as.string, node->length, &sum))) {
        abort();
    }
    if (node->type == JV_JSON_ARRAY || node->type == JV_JSON_OBJECT) {
        size_t children = 0;
        for (const jv_json_value *c = node->as.first; c != NULL; c = c->next) {
            children++;
            sum += visit(doc, c, out);
        }
        if (children != node->length) {
            abort();
        }
    }
    if (out->length < 1000) {
        jv_json_pointer(doc, node, out);
    }
    return sum;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    jv_diags diags = {0};
    jv_json_doc doc;
    jv_text out = {0};
    const jv_json_options options = {.max_depth = 20};
    jv_status status = jv_json_read((const char *)data, size, "fuzz", &options, &diags, &doc);
    if ((status == JV_OK) != (diags.errors == 0) || (status == JV_OK && doc.root == NULL)) {
        abort();
    }
    if (doc.root != NULL) {
        visit(&doc, doc.root, &out);
    }
    jv_diags_print(&diags, &out);
    jv_text_clear(&out);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&diags);
    return 0;
}
