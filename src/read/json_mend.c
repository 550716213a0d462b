/* json_mend.c - brackets that do not match: which one is wrong. SPDX-License-Identifier: MIT */
#include "read/json_reader.h"

#include <stdlib.h>
#include <string.h>

size_t jv_json_skip_string(const jv_json_reader *r, size_t at) {
    for (at++; at < r->length; at++) {
        if (r->text[at] == '"') {
            return at + 1;
        }
        if (r->text[at] == '\n') {
            return at;
        }
        at += r->text[at] == '\\' && jv_json_byte(r, at + 1) != '\n';
    }
    return r->length;
}

/* The next bracket outside strings from `at` on, or the length of the text. */
static size_t next_bracket(const jv_json_reader *r, size_t at) {
    while (at < r->length) {
        char c = r->text[at];
        if (c == '{' || c == '}' || c == '[' || c == ']') {
            return at;
        }
        at = c == '"' ? jv_json_skip_string(r, at) : at + 1;
    }
    return r->length;
}

/* How many more braces and brackets the rest of the text closes than it opens. */
typedef struct balance {
    long objects;
    long arrays;
} balance;

static balance balance_from(const jv_json_reader *r, size_t at) {
    balance b = {0, 0};
    for (at = next_bracket(r, at); at < r->length; at = next_bracket(r, at + 1)) {
        b.objects += (r->text[at] == '}') - (r->text[at] == '{');
        b.arrays += (r->text[at] == ']') - (r->text[at] == '[');
    }
    return b;
}

/* How far the frames that stay open when `closed` are closed are from what the rest of
 * the text closes: brackets of either kind count most, because a bracket of the wrong kind
 * further on does not change them; then each kind for itself. */
static long misfit(const jv_json_reader *r, size_t closed, balance rest) {
    for (size_t i = 1; i + closed <= r->depth; i++) {
        rest.objects -= r->frames[i].kind == JV_JSON_IN_OBJECT;
        rest.arrays -= r->frames[i].kind == JV_JSON_IN_ARRAY;
    }
    const long far_more = (long)JV_JSON_MOST_DEPTH * 4;
    return labs(rest.objects + rest.arrays) * far_more + labs(rest.objects) + labs(rest.arrays);
}

size_t jv_json_frames_to_close(const jv_json_reader *r, char closer) {
    jv_json_kind kind = closer == '}' ? JV_JSON_IN_OBJECT : JV_JSON_IN_ARRAY;
    size_t missing = 1;
    while (missing <= r->depth && r->frames[r->depth + 1 - missing].kind != kind) {
        missing++;
    }
    balance rest = balance_from(r, r->at + 1);
    size_t best = 1; /* the wrong kind of bracket */
    if (missing <= r->depth && misfit(r, missing, rest) <= misfit(r, best, rest)) {
        best = missing;
    }
    return misfit(r, 0, rest) < misfit(r, best, rest) ? 0 : best;
}

bool jv_json_array_unclosed(const jv_json_reader *r) {
    if (r->depth < 2 || r->frames[r->depth - 1].kind != JV_JSON_IN_OBJECT) {
        return false;
    }
    balance rest = balance_from(r, r->at);
    return misfit(r, 1, rest) < misfit(r, 0, rest);
}

size_t jv_json_skip_nested(const jv_json_reader *r, size_t offset) {
    size_t open = 0;
    for (size_t at = next_bracket(r, offset); at < r->length; at = next_bracket(r, at + 1)) {
        bool opens = r->text[at] == '{' || r->text[at] == '[';
        open = opens ? open + 1 : open - 1;
        if (open == 0) {
            return at + 1;
        }
    }
    return r->length;
}

/* Blanks before the first sign of the line of `at`; *first: `at` is that sign. */
static size_t indent_of(const jv_json_reader *r, size_t at, bool *first) {
    size_t start = at;
    while (start > 0 && r->text[start - 1] != '\n') {
        start--;
    }
    size_t sign = start;
    while (r->text[sign] == ' ' || r->text[sign] == '\t') {
        sign++;
    }
    *first = sign == at;
    return sign - start;
}

bool jv_json_suspect(jv_json_reader *r, size_t *offset) {
    size_t depth = 0;
    for (size_t at = next_bracket(r, 0); at < r->length; at = next_bracket(r, at + 1)) {
        if (r->text[at] == '{' || r->text[at] == '[') {
            if (depth > r->max_depth) {
                return false;
            }
            r->frames[depth++].opener = at;
            continue;
        }
        if (depth == 0) {
            return false;
        }
        size_t opener = r->frames[--depth].opener;
        bool own_line = false;
        bool ignored = false;
        if (memchr(r->text + opener, '\n', at - opener) != NULL &&
            indent_of(r, at, &own_line) < indent_of(r, opener, &ignored) && own_line) {
            *offset = opener;
            return true;
        }
    }
    return false;
}
