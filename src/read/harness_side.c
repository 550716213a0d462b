/* harness_side.c - what a harness file cannot say, from a file beside it.
 * SPDX-License-Identifier: MIT */
#include "read/harness_side.h"

#include "read/file.h"
#include "read/form.h"
#include "read/reader.h"

#include <string.h>

static const char terminals_section[] = "terminals";

const jv_json_value *jv_harness_side_section(const jv_harness_side *side, const char *name) {
    const jv_json_value *node = side != NULL ? jv_json_member(side->doc.root, name) : NULL;
    return node != NULL && node->type == JV_JSON_OBJECT ? node : NULL;
}

const jv_part_kind *jv_harness_side_kind(const jv_json_value *part) {
    const jv_json_value *is = jv_json_member(part, "is");
    return is != NULL && is->type == JV_JSON_STRING ? jv_kind_find(is->as.string) : NULL;
}

const jv_key *jv_harness_side_key(const jv_part_kind *kind, const jv_json_value *member) {
    for (size_t i = 0; kind != NULL && i < kind->n_keys; i++) {
        const jv_key *key = &kind->keys[i];
        bool names = key->type == JV_KEY_TERMINAL || key->type == JV_KEY_PINS ||
                     key->type == JV_KEY_OUTPUTS || key->type == JV_KEY_POINTS;
        if (names && member->key != NULL && strcmp(key->name, member->key) == 0) {
            return key;
        }
    }
    return NULL;
}

/* Strings of a value and of what it holds, to the depth that pins and outputs have. */
static void use_strings(const jv_json_value *value, int depth, jv_harness_use use, void *ctx) {
    if (value->type == JV_JSON_STRING) {
        use(ctx, value, value->as.string);
        return;
    }
    bool holds = value->type == JV_JSON_ARRAY || value->type == JV_JSON_OBJECT;
    for (const jv_json_value *c = holds && depth > 0 ? value->as.first : NULL; c != NULL;
         c = c->next) {
        use_strings(c, depth - 1, use, ctx);
    }
}

void jv_harness_side_names(jv_key_type type, const jv_json_value *value, jv_harness_use use,
                           void *ctx) {
    enum { LEVELS = 2 }; /* {NAME: [terminal, terminal]} */
    if (type != JV_KEY_POINTS) {
        use_strings(value, LEVELS, use, ctx);
        return;
    }
    for (const jv_json_value *c = value->type == JV_JSON_OBJECT ? value->as.first : NULL; c != NULL;
         c = c->next) {
        if (c->key != NULL) {
            use(ctx, c, c->key);
        }
    }
}

static void tell_key(const jv_harness_side *side, const jv_json_value *node, jv_diags *diags) {
    jv_near near = jv_near_begin(node->key);
    jv_text hint = {0};
    for (size_t i = 0; i < jv_file_rows_count; i++) {
        jv_near_try(&near, jv_file_rows[i].key.name);
    }
    jv_near_try(&near, terminals_section);
    jv_near_hint(&near, "A side file has the sections of a circuit file, and \"terminals\".",
                 &hint);
    jv_json_fault(&side->doc, node, true, diags, JV_CODE_KEY_UNKNOWN, jv_text_str(&hint),
                  "a side file has no key \"%.60s\"", node->key);
    jv_text_clear(&hint);
}

/* The sections are those of a circuit file, whose reader checks what stands in them; here only
 * what the plan looks into. */
static void check(const jv_harness_side *side, jv_diags *diags) {
    const jv_json_value *root = side->doc.root;
    if (root->type != JV_JSON_OBJECT) {
        jv_json_fault(&side->doc, root, false, diags, JV_CODE_KEY_TYPE, "Write { ... }.",
                      "a side file is an object");
        return;
    }
    for (const jv_json_value *node = root->as.first; node != NULL; node = node->next) {
        bool known = node->key == NULL || strcmp(node->key, terminals_section) == 0;
        for (size_t i = 0; i < jv_file_rows_count && !known; i++) {
            known = strcmp(node->key, jv_file_rows[i].key.name) == 0;
        }
        if (!known) {
            tell_key(side, node, diags);
        }
    }
    const jv_json_value *terminals = jv_json_member(root, terminals_section);
    if (terminals != NULL && terminals->type != JV_JSON_OBJECT) {
        jv_json_fault(&side->doc, terminals, false, diags, JV_CODE_KEY_TYPE,
                      "Write {\"X1.1\": \"post+\"}.", "\"terminals\" is an object");
    }
    const jv_json_value *parts = jv_json_member(root, "parts");
    for (const jv_json_value *p = parts != NULL && parts->type == JV_JSON_OBJECT ? parts->as.first
                                                                                 : NULL;
         p != NULL; p = p->next) {
        if (p->type != JV_JSON_OBJECT) {
            jv_json_fault(&side->doc, p, false, diags, JV_CODE_KEY_TYPE, "Write {\"is\": ...}.",
                          "a part is an object");
        }
    }
}

static jv_status take(char *text, size_t length, const char *name, jv_diags *diags,
                      jv_harness_side **out) {
    jv_harness_side *side = jv_zalloc(1, sizeof *side);
    if (side == NULL) {
        jv_free(text);
        return JV_ERR_MEMORY;
    }
    side->text = text;
    side->name = jv_arena_copy(&side->arena, name, strlen(name));
    size_t before = diags->errors;
    jv_status status = side->name == NULL
                           ? JV_ERR_MEMORY
                           : jv_json_read(text, length, side->name, NULL, diags, &side->doc);
    if (status == JV_OK) {
        check(side, diags);
        status = diags->out_of_memory     ? JV_ERR_MEMORY
                 : diags->errors > before ? JV_ERR_INPUT
                                          : JV_OK;
    }
    if (status != JV_OK) {
        jv_harness_side_free(&side);
        return status;
    }
    *out = side;
    return JV_OK;
}

jv_status jv_harness_side_read_file(const char *path, jv_diags *diags, jv_harness_side **out) {
    char *data = NULL;
    size_t size = 0;
    jv_status status = jv_file_read(path, JV_JSON_DEFAULT_BYTES, diags, &data, &size);
    return status == JV_OK ? take(data, size, path, diags, out) : status;
}

jv_status jv_harness_side_read_text(const char *text, size_t length, const char *name,
                                    jv_diags *diags, jv_harness_side **out) {
    char *copy = jv_alloc(length + 1, 1);
    if (copy == NULL) {
        return JV_ERR_MEMORY;
    }
    memcpy(copy, text, length);
    copy[length] = '\0';
    return take(copy, length, name, diags, out);
}

void jv_harness_side_free(jv_harness_side **side) {
    jv_harness_side *s = *side;
    if (s == NULL) {
        return;
    }
    jv_json_doc_clear(&s->doc);
    jv_arena_clear(&s->arena);
    jv_free(s->text);
    jv_free(s);
    *side = NULL;
}
