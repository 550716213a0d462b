/* json.c - members, places and pointers of a JSON document. SPDX-License-Identifier: MIT */
#include "read/json.h"

#include "read/json_reader.h"

#include <string.h>

const jv_json_value *jv_json_member(const jv_json_value *node, const char *key) {
    if (node == NULL || node->type != JV_JSON_OBJECT) {
        return NULL;
    }
    size_t length = strlen(key);
    for (const jv_json_value *child = node->as.first; child != NULL; child = child->next) {
        if (child->key != NULL && child->key_length == length &&
            memcmp(child->key, key, length) == 0) {
            return child;
        }
    }
    return NULL;
}

jv_place jv_json_place(const jv_json_doc *doc, const jv_json_value *node) {
    return jv_json_place_at(doc, node->offset);
}

jv_place jv_json_key_place(const jv_json_doc *doc, const jv_json_value *node) {
    return jv_json_place_at(doc, node->key != NULL ? node->key_offset : node->offset);
}

/* Children stand in file order, so the one that holds a later node is the last that
 * starts no later than it: no parent links are needed. */
static const jv_json_value *child_towards(const jv_json_value *parent, const jv_json_value *node,
                                          size_t *index) {
    const jv_json_value *best = NULL;
    size_t i = 0;
    for (const jv_json_value *child = parent->as.first; child != NULL; child = child->next, i++) {
        if (child->offset > node->offset) {
            break;
        }
        best = child;
        *index = i;
        if (child == node) {
            break;
        }
    }
    return best;
}

void jv_json_pointer(const jv_json_doc *doc, const jv_json_value *node, jv_text *out) {
    const jv_json_value *at = doc->root;
    while (at != NULL && at != node && (at->type == JV_JSON_ARRAY || at->type == JV_JSON_OBJECT)) {
        size_t index = 0;
        at = child_towards(at, node, &index);
        if (at == NULL) {
            return;
        }
        if (at->key != NULL) {
            jv_json_pointer_step(out, at->key, at->key_length);
        } else {
            jv_text_addf(out, "/%zu", index);
        }
    }
}

void jv_json_doc_clear(jv_json_doc *doc) {
    jv_arena_clear(&doc->arena);
    jv_free(doc->marks);
    *doc = (jv_json_doc){0};
}

const char *jv_json_type_name(jv_json_type type) {
    switch (type) {
    case JV_JSON_NULL:
        return "null";
    case JV_JSON_BOOL:
        return "true or false";
    case JV_JSON_NUMBER:
        return "a number";
    case JV_JSON_STRING:
        return "a string";
    case JV_JSON_ARRAY:
        return "a list";
    case JV_JSON_OBJECT:
        return "an object";
    case JV_JSON_BAD:
        break;
    }
    return "a faulty value";
}
