/* circuit_file.c - reads a circuit file. SPDX-License-Identifier: MIT */
#include "jackvolt/read.h"

#include "base/sha256.h"
#include "read/change.h"
#include "read/file.h"
#include "read/sections.h"
#include "read/value.h"

#include <string.h>

static const double assumed_ambient_c = 20.0; /* room temperature: docs/format.md */

static void take_name(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    const char *name = jv_read_text(r, from, key->name);
    if (name != NULL && jv_reader_is_name(r, from, false, name)) {
        r->circuit->name = jv_reader_keep(r, name);
    }
}

static void take_comment(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    (void)key;
    jv_read_comment(r, from, &r->circuit->comment);
}

static void take_revision(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    const char *text = jv_read_text(r, from, key->name);
    if (text != NULL) {
        r->circuit->revision = jv_reader_keep(r, text);
    }
}

static void take_ambient(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    if (jv_read_quantity(r, from, key, &r->circuit->ambient)) {
        r->circuit->ambient_assumed = false;
    }
}

static void take_reference(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    const char *name = jv_read_text(r, from, key->name);
    if (name != NULL) {
        r->circuit->reference = jv_refer_terminal(r, from, name);
        r->circuit->reference_given = r->circuit->reference >= 0;
    }
}

#define PLAIN(name, flags, help) \
    { name, JV_KEY_TEXT, JV_DIM_NUMBER, flags, 0, 0, NULL, NULL, NULL, help }

/* In the order in which they are read: what refers to parts stands behind them. */
const jv_row jv_file_rows[] = {
    {PLAIN("circuit", JV_NEEDED, "name of the circuit"), JV_SHAPE_KEY, take_name},
    {PLAIN("comment", 0, "for people; a text or a list of texts"), JV_SHAPE_COMMENT, take_comment},
    {PLAIN("revision", 0, "state of the design, as its maker counts; shown in a review"),
     JV_SHAPE_KEY, take_revision},
    {{"ambient", JV_KEY_QUANTITY, JV_DIM_TEMPERATURE, JV_ZERO_OK | JV_NEGATIVE_OK, -60, 90, NULL,
      "20 degC", "room temperature", "temperature around"},
     JV_SHAPE_KEY,
     take_ambient},
    {PLAIN("parts", JV_NEEDED, "the parts by their names"), JV_SHAPE_PARTS, jv_parts_take},
    {PLAIN("reference", 0, "terminal at 0 V; the minus of the first battery when absent"),
     JV_SHAPE_KEY, take_reference},
    {PLAIN("watches", 0, "what can stop the work, by its name"), JV_SHAPE_WATCHES, jv_watches_take},
    {PLAIN("cases", 0, "loading states by their names"), JV_SHAPE_CASES, jv_cases_take},
    {PLAIN("waive", 0, "rules of the review that are set aside, each with who, when and why"),
     JV_SHAPE_WAIVERS, jv_waivers_take},
    {PLAIN("sequences", 0, "cases in time by their names"), JV_SHAPE_SEQUENCES, jv_plans_take},
};
const size_t jv_file_rows_count = sizeof jv_file_rows / sizeof jv_file_rows[0];

static void read_root(jv_reader *r) {
    jv_source root = {r->doc, r->doc->root};
    jv_reader_own(r, NULL, NULL);
    if (!jv_form_is_object(r, root, "a circuit file")) {
        r->circuit->incomplete = true;
        return;
    }
    const jv_json_value *parts = jv_json_member(root.node, "parts");
    if (parts == NULL || parts->type != JV_JSON_OBJECT) {
        r->circuit->incomplete = true;
    }
    jv_form_read(r, jv_file_rows, jv_file_rows_count, root, NULL);
}

/* Faults found in the whole have a place but no line of the file yet. */
static void show_lines(const char *text, size_t length, const char *file, jv_diags *d) {
    jv_diags_sort(d);
    size_t line = 1;
    size_t at = 0;
    for (size_t i = 0; i < d->count; i++) {
        jv_diag *item = &d->items[i];
        bool here = item->place.file != NULL && file != NULL && strcmp(item->place.file, file) == 0;
        if (!here || item->source_line != NULL || item->place.line < line) {
            continue;
        }
        while (line < item->place.line) {
            const char *end = memchr(text + at, '\n', length - at);
            if (end == NULL) {
                return;
            }
            at = (size_t)(end - text) + 1;
            line++;
        }
        const char *end = memchr(text + at, '\n', length - at);
        size_t stop = end != NULL ? (size_t)(end - text) : length;
        while (stop > at && text[stop - 1] == '\r') {
            stop--;
        }
        if (stop - at <= JV_DIAG_LINE) {
            d->newest = i + 1;
            jv_diag_source_line(d, text + at, stop - at);
        }
    }
    d->newest = 0;
}

static jv_status read_tree(jv_reader *r, const jv_read_options *options) {
    jv_status status = JV_OK;
    if (options != NULL && options->n_sets > 0) {
        status = jv_changes_read(r, options->sets, options->n_sets);
    }
    if (status == JV_OK) {
        read_root(r);
    }
    jv_changes_clear(r);
    jv_reader_free_names(r);
    return status;
}

static jv_circuit *new_circuit(const char *name) {
    jv_circuit *c = jv_circuit_new();
    if (c == NULL) {
        return NULL;
    }
    c->ambient = jv_value_exact(assumed_ambient_c);
    c->ambient_assumed = true;
    c->file = name != NULL ? jv_arena_copy(&c->arena, name, strlen(name)) : NULL;
    if (name != NULL && c->file == NULL) {
        jv_circuit_free(&c);
    }
    return c;
}

jv_status jv_circuit_read_text(const char *text, size_t length, const char *name,
                               const jv_read_options *options, jv_diags *diags, jv_circuit **out) {
    size_t errors = diags->errors;
    jv_circuit *c = new_circuit(name);
    if (c == NULL) {
        return JV_ERR_MEMORY;
    }
    jv_sha256_hex(text, length, c->sha256);
    c->n_changes = options != NULL ? options->n_sets : 0;
    jv_json_doc doc = {0};
    jv_reader r = {.circuit = c, .diags = diags, .doc = &doc};
    jv_status status = jv_json_read(text, length, c->file, NULL, diags, &doc);
    bool usable = doc.root != NULL && status != JV_ERR_MEMORY;
    if (usable) {
        jv_status read = read_tree(&r, options);
        status = status == JV_OK ? read : status;
    }
    size_t mark = doc.text != NULL ? (size_t)(doc.text - text) : 0;
    jv_json_doc_clear(&doc); /* the tree is the largest thing in memory */
    if (usable && status != JV_ERR_MEMORY && !c->out_of_memory) {
        jv_circuit_finish(c, diags);
        show_lines(text + mark, length - mark, c->file, diags);
    }
    if (c->out_of_memory || diags->out_of_memory) {
        status = JV_ERR_MEMORY;
    } else if (status == JV_OK && diags->errors > errors) {
        status = JV_ERR_INPUT;
    }
    if (status != JV_OK) {
        jv_circuit_free(&c);
        return status;
    }
    *out = c;
    return JV_OK;
}

jv_status jv_circuit_read_file(const char *path, const jv_read_options *options, jv_diags *diags,
                               jv_circuit **out) {
    char *data = NULL;
    size_t size = 0;
    jv_status status = jv_file_read(path, JV_JSON_DEFAULT_BYTES, diags, &data, &size);
    if (status != JV_OK) {
        return status;
    }
    const char *name = strcmp(path, "-") == 0 ? "<stdin>" : path;
    status = jv_circuit_read_text(data, size, name, options, diags, out);
    jv_free(data);
    return status;
}
