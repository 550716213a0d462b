/* json_scan.c - blanks and comments of a JSON text, room for strings. SPDX-License-Identifier: MIT
 */
#include "read/json_reader.h"

#include <string.h>

#define SHARED_BYTES 32   /* strings up to this length share memory with equal ones */
#define CHARS_CHUNK 16384 /* bytes taken from the arena at a time for short strings */

/* --- blanks and comments --- */

/* Bytes of a space that JSON does not know: form feed, vertical tab, and the spaces
 * of Unicode that come in with text copied from a page. */
static size_t odd_space(const jv_json_reader *r) {
    static const char *const spaces[] = {"\f",           "\v",           "\xc2\xa0",
                                         "\xef\xbb\xbf", "\xe2\x80\xaf", "\xe3\x80\x80",
                                         "\xe2\x80\xa8", "\xe2\x80\xa9", "\xe2\x81\xa0"};
    for (size_t i = 0; i < sizeof spaces / sizeof spaces[0]; i++) {
        size_t n = strlen(spaces[i]);
        if (r->length - r->at >= n && memcmp(r->text + r->at, spaces[i], n) == 0) {
            return n;
        }
    }
    /* U+2000 .. U+200B */
    bool general = jv_json_byte(r, r->at) == '\xe2' && jv_json_byte(r, r->at + 1) == '\x80';
    unsigned char third = (unsigned char)jv_json_byte(r, r->at + 2);
    return general && third >= 0x80 && third <= 0x8b ? 3 : 0;
}

static void skip_odd_spaces(jv_json_reader *r, size_t n) {
    jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "put a plain blank there",
                   "a space of another kind than JSON allows (such as a no-break space)");
    for (; n > 0; n = r->at < r->length ? odd_space(r) : 0) {
        r->at += n;
        while (jv_json_is_blank(jv_json_byte(r, r->at))) {
            r->at++;
        }
    }
}

static bool at_comment(const jv_json_reader *r) {
    char c = jv_json_byte(r, r->at);
    char next = jv_json_byte(r, r->at + 1);
    if (c == '#') { /* "#6" is a wire size that lacks its quotes */
        return r->frames[r->depth].want != JV_WANT_VALUE || !jv_json_is_digit(next);
    }
    return c == '/' && (next == '/' || next == '*');
}

static void skip_one_comment(jv_json_reader *r) {
    if (jv_json_byte(r, r->at + 1) == '*' && r->text[r->at] == '/') {
        size_t start = r->at;
        for (r->at += 2; r->at < r->length; r->at++) {
            if (r->text[r->at] == '*' && jv_json_byte(r, r->at + 1) == '/') {
                r->at += 2;
                return;
            }
        }
        jv_json_report(r, JV_CODE_JSON_SYNTAX, start, "close it with */, or better take it out",
                       "this comment has no end");
        r->quiet_end = true;
        return;
    }
    while (r->at < r->length && r->text[r->at] != '\n') {
        r->at++;
    }
}

static void skip_plain_space(jv_json_reader *r) {
    while (r->at < r->length && (jv_json_is_blank(r->text[r->at]) || r->text[r->at] == '\n')) {
        r->at++;
    }
}

/* Comment lines of one style that follow each other are one fault. */
static void skip_comments(jv_json_reader *r) {
    size_t start = r->at;
    size_t faults = r->faults;
    do {
        skip_one_comment(r);
        skip_plain_space(r);
    } while (r->at < r->length && at_comment(r) && jv_json_byte(r, r->at + 1) != '*' &&
             r->text[r->at] == r->text[start] && jv_json_byte(r, start + 1) != '*');
    if (r->faults == faults) {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, start,
                       "take it out, or make it a member such as \"note\": \"...\"",
                       "JSON has no comments");
    }
}

void jv_json_skip_space(jv_json_reader *r) {
    for (;;) {
        skip_plain_space(r);
        if (r->at >= r->length) {
            return;
        }
        char c = r->text[r->at];
        if (c != '/' && c != '#' && c != '\f' && c != '\v' && (unsigned char)c < 0x80) {
            return;
        }
        size_t odd = odd_space(r);
        if (odd > 0) {
            skip_odd_spaces(r, odd);
        } else if (at_comment(r)) {
            skip_comments(r);
        } else {
            return;
        }
    }
}

/* --- keeping strings --- */

static char *new_chars(jv_json_reader *r, size_t n) {
    if (n > CHARS_CHUNK / 4) {
        return jv_arena_alloc(&r->doc->arena, n, 1);
    }
    if (r->chars_left < n) {
        /* A small file takes little: the first chunk is as large as its text. */
        size_t chunk = r->chars == NULL && r->length < CHARS_CHUNK ? r->length + n : CHARS_CHUNK;
        r->chars = jv_arena_alloc(&r->doc->arena, chunk, 1);
        r->chars_left = r->chars != NULL ? chunk : 0;
        if (r->chars == NULL) {
            return NULL;
        }
    }
    char *s = r->chars;
    r->chars += n;
    r->chars_left -= n;
    return s;
}

const char *jv_json_keep(jv_json_reader *r, const char *s, size_t length) {
    const char **slot = NULL;
    if (length <= SHARED_BYTES) {
        uint32_t hash = 2166136261U; /* FNV-1a, 32 bit: offset basis and prime */
        for (size_t i = 0; i < length; i++) {
            hash = (hash ^ (unsigned char)s[i]) * 16777619U;
        }
        slot = &r->cache[(hash ^ (hash >> 16)) % JV_JSON_CACHE];
        if (*slot != NULL && strncmp(*slot, s, length) == 0 && (*slot)[length] == '\0') {
            return *slot;
        }
    }
    char *copy = new_chars(r, length + 1);
    if (copy == NULL) {
        r->out_of_memory = true;
        r->stop = true;
        return NULL;
    }
    memcpy(copy, s, length);
    copy[length] = '\0';
    if (slot != NULL) {
        *slot = copy;
    }
    return copy;
}
