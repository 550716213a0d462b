/* json_bracket.c - opening and closing brackets of a JSON text. SPDX-License-Identifier: MIT */
#include "read/json_reader.h"

#include <string.h>

void jv_json_open_bracket(jv_json_reader *r) {
    bool object = r->text[r->at] == '{';
    if (r->depth == r->max_depth) {
        if (!r->deep_told) {
            jv_json_report(r, JV_CODE_JSON_DEPTH, r->at, jv_code_advice(JV_CODE_JSON_DEPTH),
                           "nested more than %zu levels deep", r->max_depth);
        }
        r->deep_told = true;
        size_t start = r->at;
        r->at = jv_json_skip_nested(r, start);
        r->quiet_end = r->quiet_end || r->at == r->length;
        jv_json_add_bad(r, start, r->at);
        return;
    }
    jv_json_value *node = jv_json_add(r, object ? JV_JSON_OBJECT : JV_JSON_ARRAY, r->at);
    if (node == NULL) {
        return;
    }
    r->at++;
    r->depth++;
    r->frames[r->depth] = (jv_json_frame){.node = node,
                                          .behind = r->at,
                                          .kind = object ? JV_JSON_IN_OBJECT : JV_JSON_IN_ARRAY,
                                          .want = object ? JV_WANT_KEY : JV_WANT_VALUE};
}

void jv_json_close_frame(jv_json_reader *r) {
    jv_json_frame *f = &r->frames[r->depth];
    f->node->length = (uint32_t)f->count & 0x1fffffffU;
    if (f->kind == JV_JSON_IN_OBJECT) {
        jv_json_find_duplicates(r);
    }
    r->depth--;
    jv_json_value_done(r, r->at);
}

static char opener_of(const jv_json_frame *f) {
    return f->kind == JV_JSON_IN_OBJECT ? '{' : '[';
}

char jv_json_closer(const jv_json_frame *f) {
    return f->kind == JV_JSON_IN_OBJECT ? '}' : ']';
}

void jv_json_tell_missing_closer(jv_json_reader *r, size_t offset) {
    const jv_json_frame *f = &r->frames[r->depth];
    jv_text hint = {0};
    jv_text_addf(&hint, "write %c where it should end", jv_json_closer(f));
    jv_place open = jv_json_place_at(r->doc, f->node->offset);
    jv_json_report(r, JV_CODE_JSON_SYNTAX, offset, jv_text_str(&hint),
                   "the %c of line %zu, column %zu is not closed before this", opener_of(f),
                   open.line, open.column);
    r->out_of_memory = r->out_of_memory || hint.failed;
    jv_text_clear(&hint);
}

/* A closing bracket of the other kind stands at r->at. */
static void close_mismatched(jv_json_reader *r) {
    char closer = r->text[r->at];
    jv_json_frame *f = &r->frames[r->depth];
    size_t frames = jv_json_frames_to_close(r, closer);
    f->in_child = false;
    r->unsound = true;
    if (frames == 0) {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "take it out", "one %c too many", closer);
        r->at++;
        f->quiet = true;
        return;
    }
    if (frames == 1) {
        jv_text hint = {0};
        jv_place open = jv_json_place_at(r->doc, f->node->offset);
        jv_text_addf(&hint, "write %c", jv_json_closer(f));
        jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, jv_text_str(&hint),
                       "%c closes the %c of line %zu, column %zu", closer, opener_of(f), open.line,
                       open.column);
        r->out_of_memory = r->out_of_memory || hint.failed;
        jv_text_clear(&hint);
    } else {
        jv_json_tell_missing_closer(r, r->at);
    }
    for (; frames > 1; frames--) {
        jv_json_close_frame(r);
    }
    r->at++;
    jv_json_close_frame(r);
}

static void trailing_comma(jv_json_reader *r) {
    jv_json_frame *f = &r->frames[r->depth];
    if (f->after_comma && !f->quiet) {
        f->in_child = false;
        jv_json_report(r, JV_CODE_JSON_SYNTAX, f->comma, "take the comma out",
                       "a comma behind the last %s",
                       f->kind == JV_JSON_IN_OBJECT ? "member" : "entry");
    }
}

void jv_json_close_bracket(jv_json_reader *r) {
    jv_json_frame *f = &r->frames[r->depth];
    if (r->text[r->at] != jv_json_closer(f)) {
        close_mismatched(r);
        return;
    }
    trailing_comma(r);
    r->at++;
    jv_json_close_frame(r);
}

/* One message: mostly one bracket is missing. */
void jv_json_tell_unclosed(jv_json_reader *r) {
    jv_json_frame *f = &r->frames[r->depth];
    size_t end = r->length;
    while (end > 0 && strchr(" \t\r\n", r->text[end - 1]) != NULL) {
        end--;
    }
    r->unsound = true;
    if (r->quiet_end) {
        return;
    }
    size_t suspect = 0;
    bool found = jv_json_suspect(r, &suspect);
    size_t opener = found ? suspect : f->node->offset;
    jv_place open = jv_json_place_at(r->doc, opener);
    bool object = r->text[opener] == '{';
    jv_text hint = {0};
    if (found) {
        jv_text_addf(&hint, "by its indentation the %c of line %zu lacks its %c", r->text[opener],
                     open.line, object ? '}' : ']');
    } else {
        jv_text_add(&hint, "write ");
        for (size_t i = r->depth; i > 0; i--) {
            jv_text_add_char(&hint, jv_json_closer(&r->frames[i]));
        }
        jv_text_add(&hint, " at the end, or sooner");
    }
    f->in_child = false;
    jv_json_report(r, JV_CODE_JSON_SYNTAX, end, jv_text_str(&hint),
                   "the file ends, but the %c of line %zu, column %zu is not closed",
                   r->text[opener], open.line, open.column);
    r->out_of_memory = r->out_of_memory || hint.failed;
    jv_text_clear(&hint);
}
