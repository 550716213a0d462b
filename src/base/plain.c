/* plain.c - a quantity's text brought to plain ASCII. SPDX-License-Identifier: MIT */
#include "base/plain.h"

#include "jackvolt/text.h"

#include <stdio.h>
#include <string.h>

/* Signs in UTF-8 and what they stand for. */
static const struct {
    const char *sign;
    const char *plain;
} SIGNS[] = {
    {"\t", " "},
    {"\n", " "},
    {"\r", " "},
    {"^", ""},         /* mm^2 */
    {"\xC2\xA0", " "}, /* no-break space */
    {"\xC2\xB0", "deg"},
    {"\xC2\xB1", "+/-"},
    {"\xC2\xB2", "2"},
    {"\xC2\xB3", "3"},
    {"\xC2\xB5", "u"},     /* micro sign */
    {"\xC2\xB7", " "},     /* middle dot, as in N.m */
    {"\xCE\xA9", "ohm"},   /* Greek capital omega */
    {"\xCE\xBC", "u"},     /* Greek small mu */
    {"\xE2\x80\x89", " "}, /* thin space */
    {"\xE2\x80\x93", "-"}, /* en dash */
    {"\xE2\x80\xA6", ".."},
    {"\xE2\x80\xAF", " "}, /* narrow no-break space */
    {"\xE2\x80\xB2", "'"},
    {"\xE2\x80\xB3", "\""},
    {"\xE2\x84\x83", "degC"},
    {"\xE2\x84\x89", "degF"},
    {"\xE2\x84\xA6", "ohm"}, /* ohm sign */
    {"\xE2\x88\x92", "-"},   /* minus sign */
    {"\xE2\x8B\x85", " "},   /* dot operator */
};

/* The plain form of the sign at s and the bytes it takes; one other byte stands for itself. */
static const char *plain_sign(const char *s, size_t *taken, char other[2]) {
    for (size_t i = 0; i < sizeof SIGNS / sizeof SIGNS[0]; i++) {
        const size_t n = strlen(SIGNS[i].sign);
        if (strncmp(s, SIGNS[i].sign, n) == 0) {
            *taken = n;
            return SIGNS[i].plain;
        }
    }
    const unsigned char c = (unsigned char)*s;
    other[0] = c < 0x20 || c >= 0x7F ? '?' : *s;
    other[1] = '\0';
    *taken = 1;
    return other;
}

/* A message may be cut inside a character, and what it quotes may be no UTF-8 at all. */
static void mend_utf8(char *s) {
    size_t bad;
    const size_t length = strlen(s);
    while (!jv_text_is_utf8(s, length, &bad)) {
        s[bad] = '?';
    }
}

jv_status jv_plain_fault(const jv_plain *plain, jv_code code, size_t start, size_t end,
                         const char *before, const char *behind, const char *hint) {
    const size_t longest_quote = 40; /* bytes; leaves room for the words around it */
    jv_quantity_fault *fault = plain->fault;
    if (fault == NULL) {
        return JV_ERR_INPUT;
    }
    const char *from = plain->text + plain->origin[start];
    size_t n = plain->origin[end] - plain->origin[start];
    const char *more = n > longest_quote ? "..." : "";
    n = n > longest_quote ? longest_quote : n;
    while (n > 0 && from[n - 1] == ' ') {
        n--;
    }
    fault->code = (int)code;
    fault->offset = plain->origin[start];
    if (n > 0) {
        snprintf(fault->message, sizeof fault->message, "%s'%.*s%s'%s", before, (int)n, from, more,
                 behind);
    } else {
        snprintf(fault->message, sizeof fault->message, "%snothing%s", before, behind);
    }
    snprintf(fault->hint, sizeof fault->hint, "%s", hint);
    mend_utf8(fault->message);
    return JV_ERR_INPUT;
}

jv_status jv_plain_make(jv_plain *plain, const char *text, jv_quantity_fault *fault) {
    plain->text = text;
    plain->length = 0;
    plain->fault = fault;
    size_t at = 0;
    size_t n = 0;
    while (text[at] != '\0') {
        char other[2];
        size_t taken;
        for (const char *s = plain_sign(text + at, &taken, other); *s != '\0'; s++) {
            if (n == JV_PLAIN_LENGTH) {
                plain->origin[n] = at;
                return jv_plain_fault(plain, JV_CODE_QUANTITY_FORM, 0, n, "",
                                      " is too long for a quantity",
                                      "write a number, a space and a unit");
            }
            plain->c[n] = *s;
            plain->origin[n++] = at;
        }
        at += taken;
    }
    plain->c[n] = '\0';
    plain->origin[n] = at;
    plain->length = n;
    if (jv_plain_skip_blanks(plain, 0) == n) {
        return jv_plain_fault(plain, JV_CODE_QUANTITY_FORM, n, n, "", " is written here",
                              "write a number, a space and a unit");
    }
    return JV_OK;
}

size_t jv_plain_skip_blanks(const jv_plain *plain, size_t at) {
    while (plain->c[at] == ' ') {
        at++;
    }
    return at;
}

bool jv_plain_is_digit(char c) {
    return c >= '0' && c <= '9';
}

bool jv_plain_is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

char jv_plain_lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}
