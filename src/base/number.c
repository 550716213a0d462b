/* number.c - numbers to digits and back, without locale. SPDX-License-Identifier: MIT */
#include "base/number.h"

#include "jackvolt/text.h"

#include <errno.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Powers of ten that a double holds exactly. A whole number below 2^53 times or divided by one of
 * them is a single rounding of exact operands, hence the correctly rounded value (W. D. Clinger,
 * "How to read floating point numbers accurately", PLDI 1990). */
#define EXACT_POWER 22
static const double POWER_OF_TEN[EXACT_POWER + 1] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                     1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                     1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
static const uint64_t EXACT_WHOLE = (uint64_t)1 << 53;

/* A double halfway between two others has at most 767 significant digits; one more digit that says
 * "not zero" behind them is all that can still matter for rounding. */
#define MANTISSA_DIGITS 800
/* Beyond this power of ten every mantissa of MANTISSA_DIGITS digits is zero or infinite. */
#define EXPONENT_LIMIT 5000
/* Exponents are clamped here while they are read, far from overflow of the sum below. */
static const int64_t EXPONENT_CLAMP = (int64_t)1 << 60;

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/* A decimal number taken apart: digits (without zeros in front) times 10^exponent. */
typedef struct decimal {
    char digits[MANTISSA_DIGITS + 2];
    size_t count;
    uint64_t whole; /* the digits as a number, while count <= 19 */
    int64_t exponent;
    bool negative;
} decimal;

static void take_digit(decimal *d, char c) {
    if (d->count == 0 && c == '0') {
        return;
    }
    if (d->count < MANTISSA_DIGITS) {
        if (d->count < 19) { /* 10^19 - 1 fits 64 bits */
            d->whole = d->whole * 10 + (uint64_t)(c - '0');
        }
        d->digits[d->count++] = c;
        return;
    }
    if (c != '0') {
        d->digits[MANTISSA_DIGITS - 1] = '1'; /* sticky; that far back its value is of no matter */
    }
    d->exponent++;
}

/* Reads "e+12" at s; returns the place behind it, or s when there is none. */
static const char *read_exponent(const char *s, int64_t *exponent) {
    if (*s != 'e' && *s != 'E') {
        return s;
    }
    const char *p = s + 1;
    const bool negative = *p == '-';
    if (*p == '+' || *p == '-') {
        p++;
    }
    if (!is_digit(*p)) {
        return s;
    }
    int64_t e = 0;
    for (; is_digit(*p); p++) {
        e = e < EXPONENT_CLAMP / 16 ? e * 10 + (*p - '0') : e;
    }
    *exponent += negative ? -e : e;
    return p;
}

/* Takes the number at s apart; returns the place behind it, NULL when there is none. */
static const char *read_decimal(const char *s, decimal *d) {
    const char *p = s;
    d->count = 0;
    d->whole = 0;
    d->exponent = 0;
    d->negative = *p == '-';
    if (*p == '+' || *p == '-') {
        p++;
    }
    const bool digits_before = is_digit(*p);
    for (; is_digit(*p); p++) {
        take_digit(d, *p);
    }
    if (*p == '.' && is_digit(p[1])) {
        for (p++; is_digit(*p); p++) {
            d->exponent--;
            take_digit(d, *p);
        }
    } else if (!digits_before) {
        return NULL;
    }
    return read_exponent(p, &d->exponent);
}

/* The general case by the C library, which rounds correctly (IEC 60559). Written as whole digits
 * with an exponent the text has no decimal point for a locale to change. */
static double round_with_libc(decimal *d) {
    char text[MANTISSA_DIGITS + 16];
    int64_t exponent = d->exponent;
    if (exponent > EXPONENT_LIMIT) {
        exponent = EXPONENT_LIMIT;
    } else if (exponent < -EXPONENT_LIMIT) {
        exponent = -EXPONENT_LIMIT;
    }
    d->digits[d->count] = '\0';
    snprintf(text, sizeof text, "%se%d", d->digits, (int)exponent);
    const int saved = errno; /* the caller did not ask for errno to change */
    const double value = strtod(text, NULL);
    errno = saved;
    return value;
}

bool jv_number_read(const char *s, double *value, const char **end) {
    decimal d;
    const char *behind = read_decimal(s, &d);
    if (behind == NULL) {
        return false;
    }
    double v;
    if (d.count == 0) {
        v = 0.0;
    } else if (d.count <= 19 && d.whole < EXACT_WHOLE && d.exponent >= -EXACT_POWER &&
               d.exponent <= EXACT_POWER) {
        v = d.exponent < 0 ? (double)d.whole / POWER_OF_TEN[-d.exponent]
                           : (double)d.whole * POWER_OF_TEN[d.exponent];
    } else {
        v = round_with_libc(&d);
    }
    *value = d.negative ? -v : v;
    if (end != NULL) {
        *end = behind;
    }
    return true;
}

void jv_number_digits(double value, int count, char digits[JV_NUMBER_DIGITS + 1], int *exponent) {
    char text[48];
    snprintf(text, sizeof text, "%.*e", count - 1, fabs(value));
    /* Take the digits alone: the sign between them is the locale's and may be several bytes. */
    const char *p = text;
    int n = 0;
    for (; *p != 'e' && *p != '\0'; p++) {
        if (is_digit(*p) && n < count) {
            digits[n++] = *p;
        }
    }
    digits[n] = '\0';
    *exponent = *p == 'e' ? (int)strtol(p + 1, NULL, 10) : 0;
}

void jv_number_layout(bool negative, const char *digits, int exponent, char out[32]) {
    /* Plain form within these powers of ten; both keep the longest text under 32 bytes. */
    const int least_plain = -6;
    const int greatest_plain = 20;
    const int count = (int)strlen(digits);
    size_t n = 0;

    if (negative) {
        out[n++] = '-';
    }
    if (exponent < least_plain || exponent > greatest_plain) {
        const char *point = count > 1 ? "." : "";
        snprintf(out + n, 32 - n, "%c%s%se%d", digits[0], point, digits + 1, exponent);
        return;
    }
    if (exponent < 0) {
        out[n++] = '0';
        out[n++] = '.';
        for (int i = -1; i > exponent; i--) {
            out[n++] = '0';
        }
    }
    for (int i = 0; i < count || i <= exponent; i++) {
        if (exponent >= 0 && i == exponent + 1) {
            out[n++] = '.';
        }
        out[n++] = digits[i < count ? i : count - 1];
        if (i >= count) {
            out[n - 1] = '0';
        }
    }
    out[n] = '\0';
}

/* value = whole / 10^k for a small k, with whole short enough (below 10^15) that no shorter decimal
 * reads back as the same double: DBL_DIG = 15 digits survive the way there and back. */
static bool short_decimal(double magnitude, char digits[JV_NUMBER_DIGITS + 1], int *exponent) {
    const double whole_limit = 1e15;
    const int most_places = 9;
    for (int k = 0; k <= most_places; k++) {
        const double whole = rint(magnitude * POWER_OF_TEN[k]);
        if (whole >= whole_limit) {
            return false;
        }
        if (whole / POWER_OF_TEN[k] == magnitude) {
            char reversed[JV_NUMBER_DIGITS + 1];
            int n = 0;
            for (uint64_t w = (uint64_t)whole; w != 0; w /= 10) {
                reversed[n++] = (char)('0' + w % 10);
            }
            for (int i = 0; i < n; i++) {
                digits[i] = reversed[n - 1 - i];
            }
            digits[n] = '\0';
            *exponent = n - 1 - k;
            return n > 0;
        }
    }
    return false;
}

/* True when the digits read back as `magnitude`. */
static bool reads_back(double magnitude, const char *digits, int exponent) {
    char text[32] = "";
    double back;
    jv_number_layout(false, digits, exponent, text);
    return jv_number_read(text, &back, NULL) && back == magnitude;
}

/* Adds one in the last place. Above a power of two doubles lie twice as far apart as below it, so
 * the decimal next above the nearest one may read back where the nearest, lying below, does not. */
static void next_above(char *digits, int *exponent) {
    size_t i = strlen(digits);
    while (i > 0 && digits[i - 1] == '9') {
        digits[--i] = '0';
    }
    if (i > 0) {
        digits[i - 1]++;
    } else {
        digits[0] = '1';
        (*exponent)++;
    }
}

/* The digits of `count` places that read back as `magnitude`, if there are such. */
static bool digits_that_read_back(double magnitude, int count, char digits[JV_NUMBER_DIGITS + 1],
                                  int *exponent) {
    jv_number_digits(magnitude, count, digits, exponent);
    if (reads_back(magnitude, digits, *exponent)) {
        return true;
    }
    next_above(digits, exponent);
    return reads_back(magnitude, digits, *exponent);
}

bool jv_number_shortest(double value, char out[32]) {
    if (!isfinite(value)) {
        return false;
    }
    char digits[JV_NUMBER_DIGITS + 1] = "0";
    int exponent = 0;
    const double magnitude = fabs(value);
    if (magnitude != 0.0 && !short_decimal(magnitude, digits, &exponent)) {
        /* 15 digits name every shorter decimal, with zeros behind it; 17 always suffice. Below the
         * normal range a double holds fewer digits, so fewer may do. */
        int count = magnitude < 2.2250738585072014e-308 /* DBL_MIN */ ? 1 : 15;
        while (!digits_that_read_back(magnitude, count, digits, &exponent) &&
               count < JV_NUMBER_DIGITS) {
            count++;
        }
    }
    for (size_t n = strlen(digits); n > 1 && digits[n - 1] == '0'; n--) {
        digits[n - 1] = '\0';
    }
    jv_number_layout(value < 0.0, digits, exponent, out);
    return true;
}
