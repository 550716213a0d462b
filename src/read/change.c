/* change.c - changes to a circuit file for one run. SPDX-License-Identifier: MIT */
#include "read/change.h"

#include <string.h>

static const char form[] = "Write PART.KEY=VALUE, for example \"feed.size=2 AWG\".";

/* Refuses the change: the fault is shown at a byte of its text. */
static void tell(jv_reader *r, jv_change *c, size_t offset, jv_code code, const char *hint,
                 const char *message) {
    jv_json_value at = c->plain;
    at.offset = (uint32_t)offset;
    jv_json_doc doc = {
        .file = c->doc.file, .text = c->text, .length = strlen(c->text), .root = &at};
    jv_source source = {&doc, &at};
    jv_reader_fault(r, source, false, code, hint, "%s", message);
    c->object = NULL;
}

static void tell_word(jv_reader *r, jv_change *c, size_t offset, jv_code code, const char *hint,
                      const char *message, const char *word) {
    jv_text text = {0};
    jv_text_addf(&text, "%s \"%s\"", message, word);
    tell(r, c, offset, code, hint, jv_text_str(&text));
    jv_text_clear(&text);
}

/* The longest name of a member of the section that the text begins with, before a point. */
static const jv_json_value *longest(const jv_json_value *section, const char *text,
                                    const jv_json_value *best) {
    if (section == NULL || section->type != JV_JSON_OBJECT) {
        return best;
    }
    for (const jv_json_value *n = section->as.first; n != NULL; n = n->next) {
        bool longer = n->key != NULL && (best == NULL || n->key_length > best->key_length);
        if (longer && strncmp(text, n->key, n->key_length) == 0 && text[n->key_length] == '.') {
            best = n;
        }
    }
    return best;
}

static void try_names(jv_near *near, const jv_json_value *section) {
    if (section == NULL || section->type != JV_JSON_OBJECT) {
        return;
    }
    for (const jv_json_value *n = section->as.first; n != NULL; n = n->next) {
        if (n->key != NULL) {
            jv_near_try(near, n->key);
        }
    }
}

static const char *const sections[] = {"parts", "watches", "cases"};
enum { SECTIONS = sizeof sections / sizeof sections[0] };

/* No part, watch or case has the name before the last point of PART.KEY. */
static void tell_unknown(jv_reader *r, jv_change *c, size_t length) {
    jv_text name = {0};
    jv_text hint = {0};
    jv_text_add_n(&name, c->text, length);
    jv_near near = jv_near_begin(jv_text_str(&name));
    for (size_t i = 0; i < SECTIONS; i++) {
        try_names(&near, jv_json_member(r->doc->root, sections[i]));
    }
    jv_near_hint(&near, "Use the name of a part, a watch or a case.", &hint);
    tell_word(r, c, 0, JV_CODE_PART_UNKNOWN, jv_text_str(&hint), "there is no part, watch or case",
              jv_text_str(&name));
    jv_text_clear(&name);
    jv_text_clear(&hint);
}

/* Where the name of the key starts; the object is set, or NULL with a fault. */
static size_t find_object(jv_reader *r, jv_change *c, const char *equals) {
    const jv_json_value *best = NULL;
    for (size_t i = 0; i < SECTIONS; i++) {
        best = longest(jv_json_member(r->doc->root, sections[i]), c->text, best);
    }
    if (best != NULL) {
        c->object = best;
        return best->key_length + 1;
    }
    if (equals == NULL) {
        tell_word(r, c, 0, JV_CODE_SET_FORM, form, "no = in the change", c->text);
        return 0;
    }
    const char *point = NULL;
    for (const char *s = c->text; s < equals; s++) {
        point = *s == '.' ? s : point;
    }
    if (point != NULL) {
        tell_unknown(r, c, (size_t)(point - c->text));
    } else {
        c->object = r->doc->root;
    }
    return 0;
}

static size_t spaces(const char *s) {
    return strspn(s, " \t");
}

/* Lists and objects are JSON, all else is a text as it stands. */
static jv_status read_value(jv_reader *r, jv_change *c, const char *value) {
    size_t length = strlen(value);
    while (length > 0 && (value[length - 1] == ' ' || value[length - 1] == '\t')) {
        length--;
    }
    c->plain.type = JV_JSON_STRING;
    c->plain.offset = (uint32_t)(value - c->text);
    c->plain.length = (uint32_t)length & ((UINT32_C(1) << 29) - 1);
    c->value = &c->plain;
    if (*value != '{' && *value != '[') {
        c->plain.as.string = jv_arena_copy(&c->doc.arena, value, length);
        return c->plain.as.string != NULL ? JV_OK : JV_ERR_MEMORY;
    }
    jv_arena_clear(&c->doc.arena);
    memset(&c->doc, 0, sizeof c->doc);
    jv_status status = jv_json_read(value, length, "--set", NULL, r->diags, &c->doc);
    c->value = c->doc.root;
    if (status == JV_ERR_INPUT || c->value == NULL) {
        c->object = NULL;
    }
    return status == JV_ERR_MEMORY ? status : JV_OK;
}

static jv_status read_change(jv_reader *r, jv_change *c, const char *text) {
    c->text = text;
    c->doc.text = text;
    c->doc.length = strlen(text);
    c->doc.file = "--set";
    c->doc.root = &c->plain;
    size_t bad = 0;
    if (!jv_text_is_utf8(text, c->doc.length, &bad)) {
        tell(r, c, bad, JV_CODE_JSON_UTF8, NULL, "the change is not UTF-8");
        return JV_OK;
    }
    const char *equals = strchr(text, '=');
    size_t key = find_object(r, c, equals);
    if (c->object == NULL) {
        return JV_OK;
    }
    equals = strchr(text + key, '=');
    size_t end = equals != NULL ? (size_t)(equals - text) : 0;
    while (end > key && (text[end - 1] == ' ' || text[end - 1] == '\t')) {
        end--;
    }
    if (end <= key) {
        tell_word(r, c, key, JV_CODE_SET_FORM, form, "no KEY=VALUE in the change", text);
        return JV_OK;
    }
    jv_arena *arena = &r->circuit->arena;
    c->key = jv_arena_copy(arena, text + key, end - key);
    if (c->key == NULL) {
        return JV_ERR_MEMORY;
    }
    return read_value(r, c, equals + 1 + spaces(equals + 1));
}

jv_status jv_changes_read(jv_reader *r, const char *const *sets, size_t n) {
    r->changes = jv_zalloc(n, sizeof *r->changes);
    if (r->changes == NULL) {
        return JV_ERR_MEMORY;
    }
    r->n_changes = n;
    jv_reader_own(r, NULL, NULL);
    for (size_t i = 0; i < n; i++) {
        jv_status status = read_change(r, &r->changes[i], sets[i]);
        if (status != JV_OK) {
            return status;
        }
    }
    return JV_OK;
}

void jv_changes_clear(jv_reader *r) {
    for (size_t i = 0; i < r->n_changes; i++) {
        jv_json_doc_clear(&r->changes[i].doc);
    }
    jv_free(r->changes);
    r->changes = NULL;
    r->n_changes = 0;
}

/* Number of the key that a change sets, or of the map whose entry it sets; -1: none. */
static long find_key(const jv_change *c, const jv_names *blocks, size_t n_blocks, bool *entry) {
    long number = 0;
    long map = -1;
    for (size_t b = 0; b < n_blocks; b++) {
        for (size_t i = 0; i < blocks[b].count; i++, number++) {
            const char *name = jv_names_at(&blocks[b], i);
            size_t length = strlen(name);
            if (strcmp(name, c->key) == 0) {
                *entry = false;
                return number;
            }
            if (strncmp(name, c->key, length) == 0 && c->key[length] == '.') {
                map = number;
            }
        }
    }
    *entry = true;
    return map;
}

static void tell_key(jv_reader *r, jv_change *c, const jv_names *blocks, size_t n_blocks) {
    jv_near near = jv_near_begin(c->key);
    jv_text known = {0};
    jv_text hint = {0};
    for (size_t b = 0; b < n_blocks; b++) {
        for (size_t i = 0; i < blocks[b].count; i++) {
            const char *name = jv_names_at(&blocks[b], i);
            jv_near_try(&near, name);
            jv_text_addf(&known, "%s%s", known.length > 0 ? ", " : "Known keys: ", name);
        }
    }
    jv_near_hint(&near, jv_text_str(&known), &hint);
    size_t offset = c->object == r->doc->root ? 0 : c->object->key_length + 1;
    tell_word(r, c, offset, JV_CODE_KEY_UNKNOWN, jv_text_str(&hint), "unknown key", c->key);
    jv_text_clear(&known);
    jv_text_clear(&hint);
}

/* An entry that the map of the file does not have. */
static bool has_entry(const jv_change *c, const jv_names *blocks, size_t n_blocks, long number,
                      const jv_source *map) {
    size_t b = 0;
    while (b + 1 < n_blocks && number >= (long)blocks[b].count) {
        number -= (long)blocks[b++].count;
    }
    const char *entry = c->key + strlen(jv_names_at(&blocks[b], (size_t)number)) + 1;
    return map->node != NULL && map->node->type == JV_JSON_OBJECT &&
           jv_json_member(map->node, entry) != NULL;
}

void jv_changes_put(jv_reader *r, const jv_json_value *object, const jv_names *blocks,
                    size_t n_blocks, jv_source *found) {
    for (size_t i = 0; i < r->n_changes; i++) {
        jv_change *c = &r->changes[i];
        if (c->object != object) {
            continue;
        }
        bool entry = false;
        long number = find_key(c, blocks, n_blocks, &entry);
        if (number < 0 || (entry && !has_entry(c, blocks, n_blocks, number, &found[number]))) {
            tell_key(r, c, blocks, n_blocks);
        } else if (!entry) {
            found[number].doc = &c->doc;
            found[number].node = c->value;
        }
    }
}

jv_source jv_changes_entry(const jv_reader *r, const char *key, jv_source entry) {
    size_t length = strlen(key);
    for (size_t i = r->n_changes; i > 0; i--) {
        const jv_change *c = &r->changes[i - 1];
        if (c->object != NULL && c->object == r->object && strncmp(c->key, key, length) == 0 &&
            c->key[length] == '.' && strcmp(c->key + length + 1, entry.node->key) == 0) {
            jv_source changed = {&c->doc, c->value};
            return changed;
        }
    }
    return entry;
}
