/* saved.c - a walk as a file of answers. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include "read/json.h"

#include <string.h>

static const char form[] = "jackvolt walk";
static const double version = 1.0;

static void quote(jv_text *out, const char *s) {
    jv_text_add_char(out, '"');
    for (; *s; s++) {
        unsigned char c = (unsigned char)*s;
        if (c == '"' || c == '\\')
            jv_text_add_char(out, '\\');
        if (c < ' ')
            jv_text_addf(out, "\\u%04x", c);
        else
            jv_text_add_char(out, *s);
    }
    jv_text_add_char(out, '"');
}

static const char *kind_word(jv_walk_kind kind) {
    return kind == JV_WALK_SENSOR ? "sensor" : "sag";
}

void jv_walk_save(const jv_walk *w, const char *const *sets, size_t n_sets, const char *meter,
                  jv_text *out) {
    jv_text_addf(out, "{\n  \"%s\": 1,\n  \"circuit\": ", form);
    quote(out, w->c->name ? w->c->name : "");
    jv_text_addf(out, ",\n  \"walk\": \"%s\",\n  \"sets\": [", kind_word(w->options.kind));
    for (size_t k = 0; k < n_sets; k++) {
        jv_text_add(out, k ? ", " : "");
        quote(out, sets[k]);
    }
    jv_text_add(out, "],\n");
    if (meter) {
        jv_text_add(out, "  \"meter\": ");
        quote(out, meter);
        jv_text_add(out, ",\n");
    }
    if (w->options.find.owner)
        jv_text_add(out, "  \"owner\": true,\n");
    jv_text_add(out, "  \"answers\": [");
    for (size_t k = 0; k < w->n_entries; k++) {
        jv_text_add(out, k ? ",\n    " : "\n    ");
        quote(out, w->entries[k].answer);
    }
    jv_text_add(out, w->n_entries ? "\n  ]\n}\n" : "]\n}\n");
}

void jv_walk_saved_clear(jv_walk_saved *saved) {
    jv_arena_clear(&saved->arena);
    memset(saved, 0, sizeof *saved);
}

/* --- lines --- */

static jv_status load_lines(const char *text, size_t length, jv_walk_saved *out) {
    size_t lines = 1;
    for (size_t k = 0; k < length; k++)
        lines += text[k] == '\n';
    out->answers = jv_arena_alloc(&out->arena, lines, sizeof *out->answers);
    if (!out->answers)
        return JV_ERR_MEMORY;
    const char *end = text + length;
    while (text < end) {
        const char *stop = memchr(text, '\n', (size_t)(end - text));
        size_t n = (size_t)((stop ? stop : end) - text);
        size_t from = 0;
        while (from < n && (text[from] == ' ' || text[from] == '\t'))
            from++;
        while (n > from && (text[n - 1] == ' ' || text[n - 1] == '\t' || text[n - 1] == '\r'))
            n--;
        if (n > from && text[from] != '#') {
            const char *kept = jv_arena_copy(&out->arena, text + from, n - from);
            if (!kept)
                return JV_ERR_MEMORY;
            out->answers[out->n_answers++] = kept;
        }
        text = stop ? stop + 1 : end;
    }
    return JV_OK;
}

/* --- JSON --- */

static jv_status bad(const jv_json_doc *doc, const jv_json_value *node, jv_diags *diags,
                     const char *what) {
    jv_json_fault(doc, node, false, diags, JV_CODE_KEY_TYPE,
                  "Give the file that a walk has saved, or plain lines of answers.",
                  "this is no saved walk: %s", what);
    return JV_ERR_INPUT;
}

static jv_status take_list(const jv_json_doc *doc, const char *key, jv_diags *diags,
                           jv_arena *arena, const char ***list, size_t *n) {
    const jv_json_value *node = jv_json_member(doc->root, key);
    if (!node || node->type != JV_JSON_ARRAY)
        return bad(doc, node ? node : doc->root, diags, "a list of texts is missing");
    *list = jv_arena_alloc(arena, node->length + 1, sizeof **list);
    if (!*list)
        return JV_ERR_MEMORY;
    for (const jv_json_value *v = node->as.first; v; v = v->next) {
        if (v->type != JV_JSON_STRING)
            return bad(doc, v, diags, "not a text");
        (*list)[*n] = jv_arena_copy(arena, v->as.string, v->length);
        if (!(*list)[(*n)++])
            return JV_ERR_MEMORY;
    }
    return JV_OK;
}

static jv_status take_head(const jv_json_doc *doc, jv_diags *diags, jv_walk_saved *out) {
    const jv_json_value *of = jv_json_member(doc->root, form);
    const jv_json_value *circuit = jv_json_member(doc->root, "circuit");
    const jv_json_value *walk = jv_json_member(doc->root, "walk");
    if (!of || of->type != JV_JSON_NUMBER || of->as.number < version || of->as.number > version)
        return bad(doc, of ? of : doc->root, diags, "not written by a walk of this version");
    if (!circuit || circuit->type != JV_JSON_STRING || !walk || walk->type != JV_JSON_STRING)
        return bad(doc, doc->root, diags, "circuit or walk is missing");
    out->circuit = jv_arena_copy(&out->arena, circuit->as.string, circuit->length);
    bool sensor = strcmp(walk->as.string, "sensor") == 0;
    if (!sensor && strcmp(walk->as.string, "sag") != 0)
        return bad(doc, walk, diags, "walk is neither sag nor sensor");
    out->kind = sensor ? JV_WALK_SENSOR : JV_WALK_SAG;
    const jv_json_value *meter = jv_json_member(doc->root, "meter");
    const jv_json_value *owner = jv_json_member(doc->root, "owner");
    if (meter && meter->type != JV_JSON_STRING)
        return bad(doc, meter, diags, "meter is not a text");
    if (owner && owner->type != JV_JSON_BOOL)
        return bad(doc, owner, diags, "owner is neither true nor false");
    out->owner = owner && owner->as.boolean;
    if (meter)
        out->meter = jv_arena_copy(&out->arena, meter->as.string, meter->length);
    return out->circuit && (!meter || out->meter) ? JV_OK : JV_ERR_MEMORY;
}

static jv_status load_json(const char *text, size_t length, const char *name, jv_diags *diags,
                           jv_walk_saved *out) {
    jv_json_doc doc = {0};
    jv_status status = jv_json_read(text, length, name, NULL, diags, &doc);
    if (status == JV_OK && doc.root->type != JV_JSON_OBJECT)
        status = bad(&doc, doc.root, diags, "not an object");
    if (status == JV_OK)
        status = take_head(&doc, diags, out);
    if (status == JV_OK)
        status = take_list(&doc, "sets", diags, &out->arena, &out->sets, &out->n_sets);
    if (status == JV_OK)
        status = take_list(&doc, "answers", diags, &out->arena, &out->answers, &out->n_answers);
    jv_json_doc_clear(&doc);
    return status;
}

jv_status jv_walk_load(const char *text, size_t length, const char *name, jv_diags *diags,
                       jv_walk_saved *out) {
    size_t at = 0;
    memset(out, 0, sizeof *out);
    while (at < length &&
           (text[at] == ' ' || text[at] == '\n' || text[at] == '\r' || text[at] == '\t'))
        at++;
    jv_status status = at < length && text[at] == '{' ? load_json(text, length, name, diags, out)
                                                      : load_lines(text, length, out);
    if (status != JV_OK)
        jv_walk_saved_clear(out);
    return status;
}
