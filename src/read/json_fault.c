/* json_fault.c - faults of a JSON text with place, pointer and line. SPDX-License-Identifier: MIT
 */
#include "read/json_reader.h"

#include <string.h>

#define QUOTE_BYTES 40 /* of a text are shown in a message */

const char *jv_json_quote(const char *text, size_t length, char out[JV_JSON_QUOTE]) {
    size_t n = 0;
    size_t i = 0;
    while (i < length && n < QUOTE_BYTES) {
        size_t step = jv_utf8_step(text + i, length - i);
        if (step == 0 || (unsigned char)text[i] < ' ' || text[i] == 0x7f) {
            out[n++] = '?';
            i++;
            continue;
        }
        memcpy(out + n, text + i, step);
        n += step;
        i += step;
    }
    if (i < length) {
        memcpy(out + n, "...", 3);
        n += 3;
    }
    out[n] = '\0';
    return out;
}

void jv_json_show_line(const jv_json_doc *doc, size_t offset, jv_diags *diags) {
    size_t start = offset < doc->length ? offset : doc->length;
    size_t farthest = start > JV_DIAG_LINE ? start - JV_DIAG_LINE : 0;
    while (start > farthest && doc->text[start - 1] != '\n') {
        start--;
    }
    if (start > 0 && doc->text[start - 1] != '\n') {
        return;
    }
    size_t end = start;
    while (end < doc->length && end - start <= JV_DIAG_LINE && doc->text[end] != '\n') {
        end++;
    }
    while (end > start && doc->text[end - 1] == '\r') {
        end--;
    }
    jv_diag_source_line(diags, doc->text + start, end - start);
}

static void add_fault(const jv_json_doc *doc, size_t offset, const char *pointer, jv_diags *diags,
                      jv_code code, const char *hint, const char *message) {
    jv_place place = jv_json_place_at(doc, offset);
    place.pointer = pointer;
    jv_diag_add(diags, JV_ERROR, code, &place, hint, "%s", message);
    jv_json_show_line(doc, offset, diags);
}

void jv_json_fault(const jv_json_doc *doc, const jv_json_value *node, bool at_key, jv_diags *diags,
                   jv_code code, const char *hint, const char *message, ...) {
    if (diags->errors >= JV_DIAG_LIMIT) { /* only counted; the pointer is a long walk */
        jv_diag_add(diags, JV_ERROR, code, NULL, NULL, "%s", "");
        return;
    }
    jv_text text = {0};
    jv_text pointer = {0};
    va_list args;
    va_start(args, message);
    jv_text_vaddf(&text, message, args);
    va_end(args);
    jv_json_pointer(doc, node, &pointer);
    size_t offset = at_key && node->key != NULL ? node->key_offset : node->offset;
    add_fault(doc, offset, jv_text_str(&pointer), diags, code, hint, jv_text_str(&text));
    if (text.failed || pointer.failed) {
        diags->out_of_memory = true;
    }
    jv_text_clear(&text);
    jv_text_clear(&pointer);
}

void jv_json_pointer_step(jv_text *out, const char *key, size_t length) {
    jv_text_add_char(out, '/');
    for (size_t i = 0; i < length; i++) {
        if (key[i] == '~') {
            jv_text_add(out, "~0");
        } else if (key[i] == '/') {
            jv_text_add(out, "~1");
        } else {
            jv_text_add_char(out, key[i]);
        }
    }
}

static void open_pointer(const jv_json_reader *r, jv_text *out) {
    for (size_t i = 1; r->frames != NULL && i <= r->depth; i++) {
        const jv_json_frame *f = &r->frames[i];
        if (!f->in_child) {
            return;
        }
        if (f->kind == JV_JSON_IN_ARRAY) {
            jv_text_addf(out, "/%zu", f->count);
        } else if (f->key != NULL) {
            jv_json_pointer_step(out, f->key, f->key_length);
        }
    }
}

void jv_json_report(jv_json_reader *r, jv_code code, size_t offset, const char *hint,
                    const char *message, ...) {
    if (r->stop) {
        return;
    }
    jv_text text = {0};
    jv_text pointer = {0};
    va_list args;
    va_start(args, message);
    jv_text_vaddf(&text, message, args);
    va_end(args);
    open_pointer(r, &pointer);
    add_fault(r->doc, offset, pointer.length > 0 ? jv_text_str(&pointer) : NULL, r->diags, code,
              hint, jv_text_str(&text));
    r->faults++;
    r->stop = r->faults > JV_DIAG_LIMIT;
    if (text.failed || pointer.failed || r->diags->out_of_memory) {
        r->out_of_memory = true;
        r->stop = true;
    }
    jv_text_clear(&text);
    jv_text_clear(&pointer);
}
