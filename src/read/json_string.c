/* json_string.c - strings of a JSON text, and what was meant by bad ones. SPDX-License-Identifier:
 * MIT */
#include "read/json_reader.h"

#include <string.h>

/* --- where a string ends --- */

/* Quotation marks that people or word processors put instead of ". */
static const struct {
    const char *open;
    const char *close[3];
} odd_quotes[] = {
    {"'", {"'", NULL, NULL}},
    {"`", {"`", "'", NULL}},
    {"\xe2\x80\x9c", {"\xe2\x80\x9d", "\xe2\x80\x9c", "\""}}, /* U+201C */
    {"\xe2\x80\x9d", {"\xe2\x80\x9d", "\xe2\x80\x9c", "\""}}, /* U+201D */
    {"\xe2\x80\x9e", {"\xe2\x80\x9c", "\xe2\x80\x9d", "\""}}, /* U+201E */
    {"\xe2\x80\x98", {"\xe2\x80\x99", "\xe2\x80\x98", "'"}},  /* U+2018 */
    {"\xe2\x80\x99", {"\xe2\x80\x99", "\xe2\x80\x98", "'"}},  /* U+2019 */
    {"\xc2\xab", {"\xc2\xbb", NULL, NULL}},                   /* U+00AB */
};
#define ODD_QUOTES (sizeof odd_quotes / sizeof odd_quotes[0])

static bool stands_at(const jv_json_reader *r, size_t at, const char *s) {
    size_t n = strlen(s);
    return at <= r->length && r->length - at >= n && memcmp(r->text + at, s, n) == 0;
}

static size_t odd_quote_at(const jv_json_reader *r, size_t at) {
    size_t i = 0;
    while (i < ODD_QUOTES && !stands_at(r, at, odd_quotes[i].open)) {
        i++;
    }
    return i;
}

bool jv_json_at_quote(const jv_json_reader *r) {
    char c = jv_json_byte(r, r->at);
    return c == '"' || ((c == '\'' || c == '`' || (unsigned char)c >= 0x80) &&
                        odd_quote_at(r, r->at) < ODD_QUOTES);
}

typedef struct span {
    size_t start; /* of the content */
    size_t end;   /* of the content */
    size_t next;  /* where reading goes on */
    bool told;    /* a fault of the string as a whole was reported */
    bool plain;   /* no escape, no control character: the content stands as it is */
} span;

#define SHORT_TAIL 64 /* bytes; a longer tail of brackets is not looked into */

/* The end of what a string was meant to hold when its closing quote is missing:
 * before the comma, the blanks and the brackets that end the line. */
static size_t meant_end(const jv_json_reader *r, size_t start, size_t end) {
    size_t at = end;
    while (at > start && strchr(" \t\r,]}", r->text[at - 1]) != NULL) {
        at--;
    }
    /* A bracket opened in the content is closed in the content. */
    for (size_t i = start; i < at && end - at <= SHORT_TAIL; i++) {
        const char *open = strchr("[{", r->text[i]);
        size_t closer = at;
        while (open != NULL && closer < end && strchr(" \t\r,", r->text[closer]) != NULL) {
            closer++;
        }
        if (open != NULL && closer < end && r->text[closer] == (*open == '[' ? ']' : '}')) {
            at = closer + 1;
        }
    }
    return at;
}

static size_t find_colon(const jv_json_reader *r, size_t start, size_t end) {
    while (start < end && r->text[start] != ':') {
        start++;
    }
    return start;
}

static void tell_unclosed(jv_json_reader *r, span *s, size_t open, size_t line_end, bool as_key) {
    size_t colon = as_key ? find_colon(r, s->start, line_end) : line_end;
    s->end = colon < line_end ? colon : meant_end(r, s->start, line_end);
    s->next = s->end;
    s->told = true;
    jv_json_report(r, JV_CODE_JSON_SYNTAX, open, "close it with \" behind its last character",
                   "this string has no closing quote");
    if (s->next >= r->length) {
        r->quiet_end = true;
    }
}

/* At a line end inside a string: does the next line start like JSON (the quote is
 * missing) or like prose (the string runs over several lines)? A word with a colon may
 * be either: a comma before the line end tells. *next: where the next text starts. */
static bool next_line_is_json(const jv_json_reader *r, size_t line_end, size_t *next) {
    size_t at = line_end;
    while (jv_json_is_blank(jv_json_byte(r, at)) || jv_json_byte(r, at) == '\n') {
        at++;
    }
    *next = at;
    size_t last = line_end;
    while (last > 0 && jv_json_is_blank(r->text[last - 1])) {
        last--;
    }
    bool comma = last > 0 && r->text[last - 1] == ',';
    return at >= r->length || strchr("\"'{}[]/#", r->text[at]) != NULL ||
           (comma && jv_json_bare_key_at(r, at));
}

/* Does the quote at `at` look like one that opens a string or closes a key? */
static bool quote_of_another(const jv_json_reader *r, size_t at) {
    size_t before = at;
    while (before > 0 && jv_json_is_blank(r->text[before - 1])) {
        before--;
    }
    size_t behind = jv_json_past_blanks(r, at + 1);
    return (before > 0 && strchr(",:[{", r->text[before - 1]) != NULL) ||
           jv_json_byte(r, behind) == ':';
}

/* Bytes from `at` to a quote on the same line behind which a value ends; 0 = none. */
static size_t later_quote(const jv_json_reader *r, size_t at) {
    for (size_t i = at; i < r->length && r->text[i] != '\n'; i++) {
        if (r->text[i] == '\\') {
            i++;
        } else if (r->text[i] == '"') {
            size_t behind = jv_json_past_blanks(r, i + 1);
            if (quote_of_another(r, i)) {
                return 0;
            }
            if (strchr(",}]\n", jv_json_byte(r, behind)) != NULL) {
                return i - at;
            }
        }
    }
    return 0;
}

/* A string closed, but what stands behind it fits nowhere: a quote is missing, or
 * there is one too many. */
static void mend_closed(jv_json_reader *r, span *s, size_t open, bool as_key) {
    char behind = jv_json_byte(r, s->next);
    if (behind == '\0' || strchr(",:}]\n\r", behind) != NULL) {
        return;
    }
    size_t at = jv_json_past_blanks(r, s->next);
    if (as_key) {
        size_t colon = find_colon(r, s->start, s->end);
        if (at == s->next && colon < s->end && strchr("=/#", behind) == NULL) {
            tell_unclosed(r, s, open, s->end, true);
        }
        return;
    }
    size_t last = s->end;
    while (last > s->start && jv_json_is_blank(r->text[last - 1])) {
        last--;
    }
    if (at == s->next && last > s->start && r->text[last - 1] == ',') {
        tell_unclosed(r, s, open, s->end, false);
        return;
    }
    char c = jv_json_byte(r, at);
    bool letter = (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || at == s->next;
    size_t more = letter && c != '"' ? later_quote(r, at) : 0;
    if (more > 0) {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, s->end,
                       "write \\\" for a quote inside a string (inches: in)",
                       "the string ends at this quote, but its text seems to go on");
        s->told = true;
        s->end = at + more;
        s->next = s->end + 1;
    }
}

/* Find the end of a "..." string that starts at open. */
static span find_string(jv_json_reader *r, size_t open, bool as_key) {
    span s = {open + 1, open + 1, open + 1, false, true};
    size_t at = open + 1;
    for (;;) {
        while (at < r->length && r->text[at] != '"' && r->text[at] != '\\' &&
               (unsigned char)r->text[at] >= ' ') {
            at++;
        }
        char c = jv_json_byte(r, at);
        size_t next = at;
        if (c == '"') {
            s.end = at;
            s.next = at + 1;
            mend_closed(r, &s, open, as_key);
            s.plain = s.plain && !s.told && !r->bad_bytes;
            return s;
        }
        s.plain = false;
        if (c == '\0' || (c == '\n' && next_line_is_json(r, at, &next))) {
            if (s.told) {
                s.end = s.next = at;
            } else {
                tell_unclosed(r, &s, open, at, as_key);
            }
            return s;
        }
        if (c == '\n' && !s.told) {
            jv_json_report(r, JV_CODE_JSON_SYNTAX, at, "write \\n, or keep the text on one line",
                           "the line ends inside a string");
            s.told = true;
        }
        bool pair = c == '\\' && jv_json_byte(r, at + 1) != '\n' && at + 1 < r->length;
        at = c == '\n' ? next : at + (pair ? 2 : 1);
    }
}

/* Find the end of a string in other quotation marks, on its line. */
static span find_odd_string(jv_json_reader *r, size_t kind, bool as_key) {
    size_t open = r->at;
    size_t start = open + strlen(odd_quotes[kind].open);
    jv_json_report(r, JV_CODE_JSON_SYNTAX, open, "write \" before and behind it",
                   "%s around a string",
                   r->text[open] == '\'' ? "single quotes" : "other quotation marks than \"");
    size_t at = start;
    for (; at < r->length && r->text[at] != '\n'; at++) {
        for (size_t i = 0; i < 3 && odd_quotes[kind].close[i] != NULL; i++) {
            if (stands_at(r, at, odd_quotes[kind].close[i])) {
                size_t next = at + strlen(odd_quotes[kind].close[i]);
                return (span){start, at, next, true, false};
            }
        }
        at += r->text[at] == '\\' && jv_json_byte(r, at + 1) != '\n' ? 1 : 0;
    }
    at = at < r->length ? at : r->length;
    size_t colon = as_key ? find_colon(r, start, at) : at;
    at = colon < at ? colon : meant_end(r, start, at);
    return (span){start, at, at, true, false};
}

/* --- what a string means --- */

static int hex_digit(char c) {
    if ((c >= '0' && c <= '9')) {
        return c - '0';
    }
    char lower = (char)(c | 0x20);
    return lower >= 'a' && lower <= 'f' ? lower - 'a' + 10 : -1;
}

/* The four hex digits at `at`; -1 when they are not there. */
static long hex_four(const jv_json_reader *r, size_t at, size_t end) {
    long value = 0;
    for (size_t i = 0; i < 4; i++) {
        int digit = at + i < end ? hex_digit(r->text[at + i]) : -1;
        if (digit < 0) {
            return -1;
        }
        value = value * 16 + digit;
    }
    return value;
}

static void add_utf8(jv_text *t, unsigned long code) {
    char bytes[4];
    size_t n = code < 0x80 ? 1 : code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
    static const unsigned char lead[] = {0, 0, 0xc0, 0xe0, 0xf0};
    for (size_t i = n; i-- > 1;) {
        bytes[i] = (char)(0x80 | (code & 0x3f));
        code >>= 6;
    }
    bytes[0] = (char)(lead[n] | code);
    jv_text_add_n(t, bytes, n);
}

/* \uXXXX at `at` (the backslash), with its second half when it is a surrogate. Returns
 * its length, 0 for a bad one; *why says what is wrong. */
static size_t unicode_escape(jv_json_reader *r, size_t at, size_t end, const char **why) {
    long code = hex_four(r, at + 2, end);
    if (code < 0) {
        *why = "\\u wants four hex digits";
        return 0;
    }
    if (code == 0) {
        *why = "\\u0000 is no character of a name or a text";
        return 0;
    }
    if (code < 0xd800 || code > 0xdfff) {
        add_utf8(&r->scratch, (unsigned long)code);
        return 6;
    }
    bool pair = code < 0xdc00 && at + 7 < end && r->text[at + 6] == '\\' && r->text[at + 7] == 'u';
    long low = pair ? hex_four(r, at + 8, end) : -1;
    if (low < 0xdc00 || low > 0xdfff) {
        *why = "half of a surrogate pair; both halves are needed";
        return 0;
    }
    add_utf8(&r->scratch, 0x10000UL + (unsigned long)((code - 0xd800) << 10 | (low - 0xdc00)));
    return 12;
}

/* The escape at `at`: adds its character. Returns its length, 0 for a bad one. */
static size_t read_escape(jv_json_reader *r, size_t at, size_t end, const char **why) {
    static const char names[] = "\"\\/bfnrt";
    static const char means[] = "\"\\/\b\f\n\r\t";
    char c = at + 1 < end ? r->text[at + 1] : '\0';
    if (c == 'u') {
        return unicode_escape(r, at, end, why);
    }
    const char *name = c != '\0' ? strchr(names, c) : NULL;
    if (name == NULL) {
        *why = "not an escape of JSON";
        return 0;
    }
    jv_text_add_char(&r->scratch, means[name - names]);
    return 2;
}

static void tell_escape(jv_json_reader *r, size_t at, size_t end, const char *why) {
    char shown[JV_JSON_QUOTE];
    size_t n = at + 1 < end ? 1 + jv_utf8_step(r->text + at + 1, end - at - 1) : 1;
    if (n == 2 && r->text[at + 1] == 'u') {
        while (n < 6 && at + n < end && hex_digit(r->text[at + n]) >= 0) {
            n++;
        }
    }
    jv_json_report(r, JV_CODE_JSON_SYNTAX, at,
                   "write \\\\ for a backslash; allowed are \\\" \\\\ \\/ \\b \\f \\n \\r \\t and "
                   "\\u with four hex digits",
                   "bad escape %s: %s", jv_json_quote(r->text + at, n, shown), why);
}

/* The content into r->scratch. At most one fault of each kind a string. False when a
 * character had to be left out. */
static bool unescape(jv_json_reader *r, const span *s) {
    bool escape_told = s->told;
    bool control_told = escape_told;
    bool whole = true;
    jv_json_scratch(r);
    for (size_t at = s->start; at < s->end;) {
        const char *why = NULL;
        unsigned char c = (unsigned char)r->text[at];
        size_t step = jv_utf8_step(r->text + at, s->end - at);
        if (c == '\\') {
            step = read_escape(r, at, s->end, &why);
            if (step == 0 && !escape_told) {
                tell_escape(r, at, s->end, why);
                escape_told = true;
            }
            whole = whole && step > 0;
            at += step > 0 ? step : 1;
            continue;
        }
        if (c < ' ' && !control_told) {
            jv_json_report(r, JV_CODE_JSON_SYNTAX, at,
                           c == '\t' ? "write \\t or a blank" : "take it out",
                           "control character U+%04X in a string", (unsigned)c);
            control_told = true;
        }
        if (step == 0) { /* reported for the file as a whole */
            jv_text_add_char(&r->scratch, '?');
        } else {
            jv_text_add_n(&r->scratch, r->text + at, step);
        }
        at += step > 0 ? step : 1;
    }
    return whole;
}

void jv_json_scan_string(jv_json_reader *r, bool as_key, jv_json_token *token) {
    size_t open = r->at;
    span s = r->text[open] == '"' ? find_string(r, open, as_key)
                                  : find_odd_string(r, odd_quote_at(r, open), as_key);
    token->start = open;
    token->end = s.next;
    token->type = JV_JSON_STRING;
    const char *content = r->text + s.start;
    size_t length = s.end - s.start;
    if (!s.plain) {
        token->type = unescape(r, &s) ? JV_JSON_STRING : JV_JSON_BAD;
        content = jv_text_str(&r->scratch);
        length = r->scratch.length;
        if (r->scratch.failed) {
            r->out_of_memory = true;
            r->stop = true;
        }
    }
    token->string = jv_json_keep(r, content, length);
    token->length = length;
    r->at = s.next;
}
