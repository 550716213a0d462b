/* json_word.c - what stands without quotes where a JSON value is due. SPDX-License-Identifier: MIT
 */
#include "read/json_reader.h"

#include <math.h>
#include <string.h>

/* Does a value end here, so that what stands before is complete? */
static bool value_ends(const jv_json_reader *r, size_t at) {
    at = jv_json_past_blanks(r, at);
    char c = jv_json_byte(r, at);
    return strchr(",}]\n\"{[:", c) != NULL ||
           (c == '/' && at > 0 && jv_json_is_blank(r->text[at - 1])) ||
           (c == '#' && !jv_json_is_digit(jv_json_byte(r, at + 1)));
}

static size_t word_end(const jv_json_reader *r, size_t at) {
    while (at < r->length && strchr(" \t\r\n,}]{[\"", r->text[at]) == NULL) {
        if (r->text[at] == ';' && value_ends(r, at + 1)) {
            break; /* meant as a comma */
        }
        at++;
    }
    return at;
}

/* The run of words from start to the end of the value or line. */
static size_t run_end(const jv_json_reader *r, size_t start) {
    size_t end = word_end(r, start);
    end = end > start ? end : start + 1;
    for (;;) {
        size_t at = jv_json_past_blanks(r, end);
        char c = jv_json_byte(r, at);
        bool comment = c == '/' && strchr("/*", jv_json_byte(r, at + 1)) != NULL;
        comment = comment || (c == '#' && !jv_json_is_digit(jv_json_byte(r, at + 1)));
        size_t next = word_end(r, at);
        if (at == end || comment || c == '\'' || next == at) {
            return end;
        }
        end = next;
    }
}

static bool same_word(const char *s, size_t n, const char *word) {
    for (size_t i = 0; i < n; i++) {
        char c = s[i] >= 'A' && s[i] <= 'Z' ? (char)(s[i] | 0x20) : s[i];
        if (word[i] == '\0' || c != word[i]) {
            return false;
        }
    }
    return word[n] == '\0';
}

static bool is_one_of(const char *s, size_t n, const char *const *words) {
    for (; *words != NULL; words++) {
        if (same_word(s, n, *words)) {
            return true;
        }
    }
    return false;
}

/* A word that JSON lacks, and what is meant: NULL when it is another word. */
static const char *meant_literal(const char *s, size_t n, jv_json_type *type, bool *value) {
    static const char *const yes[] = {"true", "yes", NULL};
    static const char *const no[] = {"false", "no", NULL};
    static const char *const nothing[] = {"null", "none", "nil", "undefined", NULL};
    static const char *const infinite[] = {"nan",  "+nan",     "-nan",      "inf",       "+inf",
                                           "-inf", "infinity", "+infinity", "-infinity", NULL};
    *type = JV_JSON_BOOL;
    *value = true;
    if (is_one_of(s, n, yes)) {
        return "write true";
    }
    *value = false;
    if (is_one_of(s, n, no)) {
        return "write false";
    }
    *type = JV_JSON_NULL;
    if (is_one_of(s, n, nothing)) {
        return "write null, or leave the member out";
    }
    *type = JV_JSON_BAD;
    return is_one_of(s, n, infinite) ? "JSON numbers are finite; leave the member out" : NULL;
}

/* What is wrong with one word that looks like a number; NULL when it does not. */
static const char *number_fault(const char *s, size_t n, const char **hint) {
    size_t sign = s[0] == '-' || s[0] == '+';
    const char *d = s + sign;
    size_t left = n - sign;
    if (n == 1 && sign == 1) {
        *hint = "write its digits";
        return "no digits";
    }
    if (left == 0 ||
        (!jv_json_is_digit(d[0]) && !(d[0] == '.' && left > 1 && jv_json_is_digit(d[1])))) {
        return NULL;
    }
    if (left > 2 && d[0] == '0' && (d[1] == 'x' || d[1] == 'X')) {
        *hint = "write it in decimal digits";
        return "hexadecimal";
    }
    for (size_t i = 0; i < left; i++) {
        bool exponent = (d[i] == 'e' || d[i] == 'E') && i > 0;
        if (!jv_json_is_digit(d[i]) && !exponent && strchr("+-._", d[i]) == NULL) {
            return NULL; /* letters behind: a quantity */
        }
    }
    if (s[0] == '+') {
        *hint = "leave the + out";
        return "a plus sign before it";
    }
    if (d[0] == '.') {
        *hint = "write 0 before the point";
        return "no digit before the point";
    }
    if (memchr(d, '_', left) != NULL) {
        *hint = "leave the _ out";
        return "an underscore in it";
    }
    if (left > 1 && d[0] == '0' && jv_json_is_digit(d[1])) {
        *hint = "leave the leading zero out";
        return "a leading zero";
    }
    if (d[left - 1] == '.') {
        *hint = "write a digit behind the point, or leave it out";
        return "no digit behind the point";
    }
    if (strchr("eE+-", d[left - 1]) != NULL) {
        *hint = "write digits behind the e";
        return "no digits in its exponent";
    }
    *hint = "write digits, one point, and an exponent such as e-3 if need be";
    return "not a decimal number";
}

/* Report bare text where a value is due, and make of it what is meant. */
static void tell_bare(jv_json_reader *r, size_t end, jv_json_token *token) {
    char shown[JV_JSON_QUOTE];
    const char *s = r->text + token->start;
    size_t n = end - token->start;
    const char *hint = NULL;
    bool value = false;
    bool one_word = memchr(s, ' ', n) == NULL;
    jv_json_quote(s, n, shown);
    token->end = end;
    hint = meant_literal(s, n, &token->type, &value);
    if (hint != NULL) {
        token->number = value ? 1 : 0;
        jv_json_report(r, JV_CODE_JSON_SYNTAX, token->start, hint, "%s is not a JSON value", shown);
        return;
    }
    bool quote = jv_json_byte(r, end) == '"' && value_ends(r, end + 1);
    const char *fault = one_word && !quote ? number_fault(s, n, &hint) : NULL;
    if (fault != NULL) {
        token->type = JV_JSON_BAD;
        jv_json_report(r, JV_CODE_JSON_SYNTAX, token->start, hint, "bad number %s: %s", shown,
                       fault);
        return;
    }
    jv_text advice = {0};
    jv_text_addf(&advice, "write \"%s\"", shown);
    jv_json_report(r, JV_CODE_JSON_SYNTAX, token->start, jv_text_str(&advice),
                   quote ? "%s has no opening quote" : "%s stands without quotes", shown);
    r->out_of_memory = r->out_of_memory || advice.failed;
    jv_text_clear(&advice);
    token->end = quote ? end + 1 : end;
    bool fit = memchr(s, '\\', n) == NULL && !r->bad_bytes;
    token->type = fit ? JV_JSON_STRING : JV_JSON_BAD;
    token->length = n;
    token->string = fit ? jv_json_keep(r, s, n) : NULL;
}

bool jv_json_literal_at(const jv_json_reader *r, size_t at, jv_json_token *token) {
    static const struct {
        const char *word;
        size_t length;
        jv_json_type type;
        double value;
    } literals[] = {{"true", 4, JV_JSON_BOOL, 1},
                    {"false", 5, JV_JSON_BOOL, 0},
                    {"null", 4, JV_JSON_NULL, 0}};
    for (size_t i = 0; i < sizeof literals / sizeof literals[0]; i++) {
        size_t n = literals[i].length;
        char behind = jv_json_byte(r, at + n);
        if (r->length - at >= n && memcmp(r->text + at, literals[i].word, n) == 0 &&
            strchr(" \t\r\n,}]:\"{[/#'", behind) != NULL) {
            token->type = literals[i].type;
            token->number = literals[i].value;
            token->end = at + n;
            return true;
        }
    }
    return false;
}

/* A number ends at `end`. Is it complete, or does a unit or more of the same word
 * follow, so that a quantity without quotes or a bad number is meant? */
static bool number_stands_alone(const jv_json_reader *r, size_t end) {
    if (jv_json_byte(r, end) == '"') { /* a closing quote that was never opened? */
        size_t behind = jv_json_past_blanks(r, end + 1);
        return strchr(",}]\n", jv_json_byte(r, behind)) == NULL;
    }
    if (value_ends(r, end) || jv_json_byte(r, end) == ';') {
        return true;
    }
    size_t at = jv_json_past_blanks(r, end);
    char c = jv_json_byte(r, at);
    jv_json_token ignored;
    /* Behind a blank another number or word of JSON means that a comma is missing. */
    bool negative = c == '-' && jv_json_is_digit(jv_json_byte(r, at + 1));
    return at > end && (jv_json_is_digit(c) || negative || strchr("'#/;=", c) != NULL ||
                        jv_json_literal_at(r, at, &ignored) || jv_json_bare_key_at(r, at));
}

void jv_json_scan_word(jv_json_reader *r, jv_json_token *token) {
    token->start = r->at;
    token->string = NULL;
    token->length = 0;
    token->number = 0;
    char c = r->text[r->at];
    jv_json_digits n =
        c == '-' || jv_json_is_digit(c) ? jv_json_number_at(r, r->at) : (jv_json_digits){0};
    if (n.length > 0 && number_stands_alone(r, r->at + n.length)) {
        token->type = JV_JSON_NUMBER;
        token->length = n.length;
        token->end = r->at + n.length;
        if (!jv_json_number_value(r, r->at, &n, &token->number)) {
            r->out_of_memory = true;
            r->stop = true;
        } else if (!isfinite(token->number)) {
            jv_json_report(r, JV_CODE_JSON_SYNTAX, r->at, "numbers reach up to about 1.8e308",
                           "number too large");
            token->type = JV_JSON_BAD;
        }
    } else if (!jv_json_literal_at(r, r->at, token)) {
        tell_bare(r, run_end(r, r->at), token);
    }
    r->at = token->end;
}
