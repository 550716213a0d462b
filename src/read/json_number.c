/* json_number.c - numbers of a JSON text. SPDX-License-Identifier: MIT */
#include "read/json_reader.h"

#define EXACT_DIGITS 15 /* decimal digits that a double always holds exactly */
#define EXACT_POWER 22  /* powers of ten up to this one are exact doubles */

static size_t take_digits(const jv_json_reader *r, size_t at, jv_json_digits *n) {
    size_t start = at;
    while (jv_json_is_digit(jv_json_byte(r, at))) {
        n->count += n->count > 0 || r->text[at] != '0';
        if (n->count <= EXACT_DIGITS) {
            n->digits = n->digits * 10 + (uint64_t)(r->text[at] - '0');
        }
        at++;
    }
    return at - start;
}

static size_t take_exponent(const jv_json_reader *r, size_t at, int *exponent) {
    const int enough = 100000; /* beyond any double, far from overflow of int */
    size_t start = at;
    char sign = jv_json_byte(r, ++at);
    at += sign == '+' || sign == '-';
    size_t first = at;
    while (jv_json_is_digit(jv_json_byte(r, at))) {
        *exponent = *exponent < enough ? *exponent * 10 + (r->text[at] - '0') : *exponent;
        at++;
    }
    *exponent = sign == '-' ? -*exponent : *exponent;
    return at > first ? at - start : 0;
}

/* number = [ "-" ] ( "0" / digit1-9 *digit ) [ "." 1*digit ] [ e [ sign ] 1*digit ],
 * RFC 8259 section 6. */
jv_json_digits jv_json_number_at(const jv_json_reader *r, size_t start) {
    jv_json_digits n = {0};
    size_t at = start;
    n.negative = jv_json_byte(r, at) == '-';
    at += n.negative;
    size_t whole = jv_json_byte(r, at) == '0' ? 1 : take_digits(r, at, &n);
    if (whole == 0) {
        return n;
    }
    at += whole;
    if (jv_json_byte(r, at) == '.') {
        size_t places = take_digits(r, at + 1, &n);
        if (places == 0) {
            return n;
        }
        at += 1 + places;
        n.scale = places < 10000 ? -(int)places : -10000;
    }
    char e = jv_json_byte(r, at);
    if (e == 'e' || e == 'E') {
        int exponent = 0;
        size_t bytes = take_exponent(r, at, &exponent);
        if (bytes == 0) {
            return n;
        }
        at += bytes;
        n.scale += exponent;
    }
    n.length = at - start;
    return n;
}

/* Few digits and a small power: both are exact doubles and one operation rounds
 * right (W. D. Clinger, How to read floating point numbers accurately, 1990). All
 * others go the long way. False when memory is short. */
bool jv_json_number_value(jv_json_reader *r, size_t start, const jv_json_digits *n, double *value) {
    static const double powers[EXACT_POWER + 1] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                   1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                   1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    if (n->count <= EXACT_DIGITS && n->scale >= -EXACT_POWER && n->scale <= EXACT_POWER) {
        double x = (double)n->digits;
        x = n->scale < 0 ? x / powers[-n->scale] : x * powers[n->scale];
        *value = n->negative ? -x : x;
        return true;
    }
    const char *end = NULL;
    /* A copy, because the text need not end in a zero. */
    jv_text_add_n(jv_json_scratch(r), r->text + start, n->length);
    if (r->scratch.failed) {
        return false;
    }
    return jv_number_read(jv_text_str(&r->scratch), value, &end);
}
