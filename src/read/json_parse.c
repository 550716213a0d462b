/* json_parse.c - the JSON parser: goes on behind faults. SPDX-License-Identifier: MIT */
#include "read/json_reader.h"

#include <string.h>

/* How it goes on. Each fault is reported once and the frame then put into the state
 * in which it would be had the text been right: a missing comma is taken as there, a
 * value that is missing becomes JV_JSON_BAD. Where brackets do not match, the choice
 * with which the rest of the file balances best is taken (json_mend.c). A gap between
 * two values gets one message (frame.quiet). */

static void take_comma(jv_json_reader *r, bool there) {
    jv_json_frame *f = &r->frames[r->depth];
    f->comma = there ? r->at : f->behind;
    f->after_comma = there;
    f->quiet = false;
    f->want = f->kind == JV_JSON_IN_OBJECT ? JV_WANT_KEY : JV_WANT_VALUE;
    r->at += there;
}

/* A comma where a key or an entry is due. A row of them is one fault. */
static void extra_comma(jv_json_reader *r) {
    jv_json_frame *f = &r->frames[r->depth];
    if (!f->quiet) {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "take it out",
                       f->after_comma ? "two commas with nothing between them"
                                      : "a comma before anything else");
    }
    f->quiet = true;
    r->at++;
}

static void key_done(jv_json_reader *r, const jv_json_token *token) {
    jv_json_frame *f = &r->frames[r->depth];
    f->key = token->string;
    f->key_length = token->length;
    f->key_offset = token->start;
    f->behind = token->end;
    f->in_child = true;
    f->quiet = false;
    f->want = JV_WANT_COLON;
}

static void key_missing(jv_json_reader *r, const char *message) {
    jv_json_frame *f = &r->frames[r->depth];
    if (!f->quiet) {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "a member is \"key\": value", "%s", message);
    }
    f->key = NULL;
    f->key_length = 0;
    f->key_offset = r->at;
    f->want = JV_WANT_VALUE;
    r->unsound = true;
}

static void step_key(jv_json_reader *r, char c) {
    jv_json_token token = {0};
    if (jv_json_at_quote(r)) {
        jv_json_scan_string(r, true, &token);
        key_done(r, &token);
    } else if (c == '}' || c == ']') {
        jv_json_close_bracket(r);
    } else if (c == ',') {
        extra_comma(r);
    } else if (c == ':') {
        key_missing(r, "a colon without a key before it");
        r->at++;
        r->frames[r->depth].behind = r->at;
    } else if (c == '{' || c == '[') {
        key_missing(r, "a value without a key");
    } else if (jv_json_scan_bare_key(r, &token)) {
        key_done(r, &token);
    } else {
        r->unsound = true;
        r->frames[r->depth].quiet = true;
        r->frames[r->depth].want = JV_WANT_COMMA;
    }
}

/* c: what stands there instead; a bracket that does not fit gets its own message. */
static void value_missing(jv_json_reader *r, char c) {
    char shown[JV_JSON_QUOTE];
    jv_json_frame *f = &r->frames[r->depth];
    if (!f->quiet && f->key != NULL && c != ']') {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, f->behind, "write a value, or take the key out",
                       "key \"%s\" has no value", jv_json_quote(f->key, f->key_length, shown));
    }
    jv_json_add_bad(r, f->behind, f->behind);
}

static void step_colon(jv_json_reader *r, char c) {
    jv_json_frame *f = &r->frames[r->depth];
    f->want = JV_WANT_VALUE;
    if (c == ':') {
        r->at++;
        f->behind = r->at;
    } else if (c == '=') {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "write a colon", "= where a colon is due");
        r->at += jv_json_byte(r, r->at + 1) == '>' ? 2 : 1;
        f->behind = r->at;
    } else if (c == ',' || c == '}' || c == ']') {
        value_missing(r, c);
    } else {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, f->behind, "write : between key and value",
                       "no colon behind the key");
    }
}

static void scalar(jv_json_reader *r) {
    jv_json_token token = {0};
    r->frames[r->depth].in_child = true;
    if (jv_json_at_quote(r)) {
        jv_json_scan_string(r, false, &token);
    } else {
        jv_json_scan_word(r, &token);
    }
    jv_json_value *node = r->stop ? NULL : jv_json_add(r, token.type, token.start);
    if (node == NULL) {
        return;
    }
    if (token.type == JV_JSON_STRING) {
        node->as.string = token.string;
        node->length = (uint32_t)token.length & 0x1fffffffU;
    } else if (token.type == JV_JSON_NUMBER) {
        node->as.number = token.number;
        node->length = (uint32_t)token.length & 0x1fffffffU;
    } else if (token.type == JV_JSON_BOOL) {
        node->as.boolean = token.number > 0;
    }
    jv_json_value_done(r, token.end);
}

static void step_value(jv_json_reader *r, char c) {
    jv_json_frame *f = &r->frames[r->depth];
    if (c == '{' || c == '[') {
        f->in_child = true;
        jv_json_open_bracket(r);
    } else if (c == ':') {
        if (!f->quiet) {
            jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "take it out", "a colon too many");
        }
        r->at++;
    } else if (c != ',' && c != '}' && c != ']') {
        scalar(r);
    } else if (f->kind == JV_JSON_IN_OBJECT) {
        value_missing(r, c);
    } else if (f->kind == JV_JSON_IN_ARRAY && c == ',') {
        extra_comma(r);
    } else if (f->kind == JV_JSON_IN_ARRAY) {
        jv_json_close_bracket(r);
    } else {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "start with {",
                       "%c before anything was opened", c);
        r->unsound = true;
        r->stop = true;
    }
}

/* A colon behind an entry of an array. */
static void colon_in_array(jv_json_reader *r) {
    jv_json_frame *f = &r->frames[r->depth];
    if (!f->members) {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "write { } around \"key\": value",
                       "a member with a key in a list");
    }
    f->members = true;
    f->want = JV_WANT_VALUE;
    f->quiet = true;
    r->unsound = true;
    r->at++;
}

/* An array that should have ended before the string just read, which is a key of the
 * object around it. */
static void end_array_before_key(jv_json_reader *r) {
    jv_json_frame *f = &r->frames[r->depth];
    jv_json_token token = {.start = f->last->offset,
                           .end = f->behind,
                           .string = f->last->as.string,
                           .length = f->last->length};
    jv_json_tell_missing_closer(r, token.start);
    r->unsound = true;
    jv_json_close_frame(r);
    key_done(r, &token);
}

/* Something else than a comma or the end stands behind a value. */
static void junk_behind_value(jv_json_reader *r, char c) {
    jv_json_frame *f = &r->frames[r->depth];
    size_t start = r->at;
    if (c == ';' || c == '=') {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, start, "write a comma",
                       "%c where a comma or the end is due", c);
        r->at++;
        take_comma(r, false);
        return;
    }
    while (r->at < r->length && strchr(",}]{[\"\n", r->text[r->at]) == NULL) {
        r->at++;
    }
    char shown[JV_JSON_QUOTE];
    size_t end = r->at;
    while (end > start && strchr(" \t\r", r->text[end - 1]) != NULL) {
        end--;
    }
    if (!f->quiet) {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, start, "take it out, or put a comma before it",
                       "%s stands behind a value",
                       jv_json_quote(r->text + start, end - start, shown));
    }
    f->quiet = true;
}

static bool starts_value(const jv_json_reader *r, char c) {
    jv_json_token ignored;
    return c == '{' || c == '[' || c == '-' || jv_json_is_digit(c) || jv_json_at_quote(r) ||
           jv_json_literal_at(r, r->at, &ignored);
}

static void step_comma(jv_json_reader *r, char c) {
    jv_json_frame *f = &r->frames[r->depth];
    if (c == ',') {
        take_comma(r, true);
    } else if (c == '}' || c == ']') {
        jv_json_close_bracket(r);
    } else if (c == ':' && f->kind == JV_JSON_IN_ARRAY) {
        bool string = f->last != NULL && f->last->type == JV_JSON_STRING;
        if (string && !f->members && jv_json_array_unclosed(r)) {
            end_array_before_key(r);
        } else {
            colon_in_array(r);
        }
    } else if (c == ':') {
        key_missing(r, "a colon behind a value");
        r->at++;
    } else if (starts_value(r, c) ||
               (f->kind == JV_JSON_IN_OBJECT && jv_json_bare_key_at(r, r->at))) {
        bool told = f->quiet;
        if (!told) {
            jv_json_report(r, JV_CODE_JSON_SYNTAX, f->behind, "write a comma",
                           "no comma behind the %s",
                           f->kind == JV_JSON_IN_OBJECT ? "member" : "entry");
        }
        take_comma(r, false);
        f->quiet = c == '{' || c == '[';
    } else {
        junk_behind_value(r, c);
    }
}

/* More text behind the outermost value. */
static void step_end(jv_json_reader *r, char c) {
    const jv_json_value *root = r->doc->root;
    jv_json_frame *f = &r->frames[0];
    bool container = root->type == JV_JSON_OBJECT || root->type == JV_JSON_ARRAY;
    r->unsound = true;
    if (container && c == ',') {
        /* Its frame is still there: go on as if it had not been closed. */
        jv_json_report(r, JV_CODE_JSON_SYNTAX, f->behind - 1, "take one bracket out",
                       "this %c closes the whole document, but it goes on", r->text[f->behind - 1]);
        r->depth = 1;
        take_comma(r, true);
        return;
    }
    if (c == ':' && root->type == JV_JSON_STRING) {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, root->offset, "write { before the first member",
                       "the document starts without {");
    } else {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "one file holds one value; take the rest out",
                       "text behind the end of the document");
    }
    r->stop = true;
}

static void step(jv_json_reader *r) {
    char c = r->text[r->at];
    switch (r->frames[r->depth].want) {
    case JV_WANT_KEY:
        step_key(r, c);
        break;
    case JV_WANT_COLON:
        step_colon(r, c);
        break;
    case JV_WANT_VALUE:
        step_value(r, c);
        break;
    case JV_WANT_COMMA:
        step_comma(r, c);
        break;
    case JV_WANT_END:
        step_end(r, c);
        break;
    }
}

static void parse(jv_json_reader *r) {
    r->frames[0] = (jv_json_frame){.kind = JV_JSON_DOCUMENT, .want = JV_WANT_VALUE};
    for (;;) {
        jv_json_skip_space(r);
        if (r->stop || r->at >= r->length) {
            break;
        }
        step(r);
    }
    if (!r->stop && r->depth > 0) {
        jv_json_tell_unclosed(r);
    } else if (!r->stop && r->doc->root == NULL && r->faults == 0) {
        jv_json_report(r, JV_CODE_JSON_EMPTY, 0, NULL, "the file holds no value");
    }
}

static size_t depth_limit(const jv_json_options *options) {
    size_t depth =
        options != NULL && options->max_depth > 0 ? options->max_depth : JV_JSON_DEFAULT_DEPTH;
    return depth < JV_JSON_MOST_DEPTH ? depth : JV_JSON_MOST_DEPTH;
}

jv_status jv_json_read(const char *text, size_t length, const char *file,
                       const jv_json_options *options, jv_diags *diags, jv_json_doc *doc) {
    *doc = (jv_json_doc){.file = file, .text = text, .length = 0};
    jv_json_reader r = {.text = text,
                        .length = length,
                        .doc = doc,
                        .diags = diags,
                        .max_depth = depth_limit(options)};
    if (jv_json_open(&r, options)) {
        r.frames = jv_zalloc(r.max_depth + 1, sizeof *r.frames);
        r.out_of_memory = r.out_of_memory || r.frames == NULL;
        if (!r.out_of_memory) {
            parse(&r);
        }
    }
    jv_free(r.frames);
    jv_text_clear(&r.scratch);
    if (r.out_of_memory || diags->out_of_memory) {
        doc->root = NULL;
        return JV_ERR_MEMORY;
    }
    if (r.unsound || r.stop) {
        doc->root = NULL;
    }
    if (r.faults > 0) {
        jv_diags_sort(diags);
        return JV_ERR_INPUT;
    }
    return JV_OK;
}
