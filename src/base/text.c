/* text.c - growing text buffer, UTF-8, edit distance. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L /* newlocale, uselocale */

#include "jackvolt/text.h"

#include "jackvolt/memory.h"

#include <locale.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

/* Room for `more` bytes and the zero behind them. */
static bool reserve(jv_text *t, size_t more) {
    const size_t first_capacity = 64;
    if (t->failed || more > SIZE_MAX / 2 - t->length - 1) {
        t->failed = true;
        return false;
    }
    const size_t needed = t->length + more + 1;
    if (needed <= t->capacity) {
        return true;
    }
    size_t capacity = t->capacity == 0 ? first_capacity : t->capacity;
    while (capacity < needed) {
        capacity *= 2;
    }
    char *data = jv_resize(t->data, capacity, 1);
    if (data == NULL) {
        t->failed = true;
        return false;
    }
    t->data = data;
    t->capacity = capacity;
    data[t->length] = '\0';
    return true;
}

void jv_text_add_n(jv_text *t, const char *s, size_t n) {
    if (n > 0 && reserve(t, n)) {
        memcpy(t->data + t->length, s, n);
        t->length += n;
        t->data[t->length] = '\0';
    }
}

void jv_text_add(jv_text *t, const char *s) {
    jv_text_add_n(t, s, strlen(s));
}

void jv_text_add_char(jv_text *t, char c) {
    jv_text_add_n(t, &c, 1);
}

void jv_text_repeat(jv_text *t, const char *s, size_t times) {
    const size_t n = strlen(s);
    if (n == 0 || times == 0) {
        return;
    }
    if (times > SIZE_MAX / 2 / n) {
        t->failed = true;
        return;
    }
    if (!reserve(t, n * times)) {
        return;
    }
    for (size_t i = 0; i < times; i++) {
        jv_text_add_n(t, s, n);
    }
}

/* The printf family takes its decimal point from the locale of the thread, so that is the C locale
 * for the time of the call. */
void jv_text_vaddf(jv_text *t, const char *format, va_list args) {
    const locale_t c_locale = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (c_locale == (locale_t)0) {
        t->failed = true;
        return;
    }
    const locale_t before = uselocale(c_locale);
    va_list again;
    va_copy(again, args);
    const int n = vsnprintf(NULL, 0, format, args);
    if (n < 0) {
        t->failed = true;
    } else if (reserve(t, (size_t)n)) {
        vsnprintf(t->data + t->length, (size_t)n + 1, format, again);
        t->length += (size_t)n;
    }
    va_end(again);
    uselocale(before);
    freelocale(c_locale);
}

void jv_text_addf(jv_text *t, const char *format, ...) {
    va_list args;
    va_start(args, format);
    jv_text_vaddf(t, format, args);
    va_end(args);
}

const char *jv_text_str(const jv_text *t) {
    return t->data != NULL ? t->data : "";
}

void jv_text_clear(jv_text *t) {
    jv_free(t->data);
    *t = (jv_text){NULL, 0, 0, false};
}

size_t jv_text_columns(const char *utf8) {
    size_t columns = 0;
    for (const char *p = utf8; *p != '\0'; p++) {
        /* Every byte but the continuation bytes 10xxxxxx starts a character. */
        columns += ((unsigned char)*p & 0xC0U) != 0x80U;
    }
    return columns;
}

/* Bytes of the well-formed UTF-8 sequence at s, 0 when there is none: Unicode Standard, table 3-7
 * (no overlong forms, no surrogates, nothing above U+10FFFF). */
static size_t sequence_length(const unsigned char *s, size_t available) {
    const unsigned char first = s[0];
    unsigned char low = 0x80;
    unsigned char high = 0xBF;
    size_t n;

    if (first < 0x80) {
        return 1;
    }
    if (first >= 0xC2 && first <= 0xDF) {
        n = 2;
    } else if (first >= 0xE0 && first <= 0xEF) {
        n = 3;
        low = first == 0xE0 ? 0xA0 : low;
        high = first == 0xED ? 0x9F : high;
    } else if (first >= 0xF0 && first <= 0xF4) {
        n = 4;
        low = first == 0xF0 ? 0x90 : low;
        high = first == 0xF4 ? 0x8F : high;
    } else {
        return 0;
    }
    if (available < n || s[1] < low || s[1] > high) {
        return 0;
    }
    for (size_t i = 2; i < n; i++) {
        if ((s[i] & 0xC0U) != 0x80U) {
            return 0;
        }
    }
    return n;
}

bool jv_text_is_utf8(const char *s, size_t length, size_t *bad) {
    size_t i = 0;
    while (i < length) {
        const size_t n = sequence_length((const unsigned char *)s + i, length - i);
        if (n == 0) {
            if (bad != NULL) {
                *bad = i;
            }
            return false;
        }
        i += n;
    }
    return true;
}

static char folded(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static size_t least(size_t a, size_t b) {
    return a < b ? a : b;
}

/* Row by row of the Levenshtein table, one row kept on the stack: names longer than that are no
 * misspellings of each other worth proposing. */
size_t jv_text_distance(const char *a, const char *b, size_t limit) {
    enum { LONGEST = 64 };
    size_t row[LONGEST + 1];
    const size_t length_a = strlen(a);
    const size_t length_b = strlen(b);
    const size_t gap = length_a > length_b ? length_a - length_b : length_b - length_a;

    if (gap > limit || length_b > LONGEST) {
        return limit + 1;
    }
    for (size_t j = 0; j <= length_b; j++) {
        row[j] = j;
    }
    for (size_t i = 1; i <= length_a; i++) {
        size_t diagonal = row[0];
        size_t best = row[0] = i;
        for (size_t j = 1; j <= length_b; j++) {
            const size_t changed = diagonal + (folded(a[i - 1]) != folded(b[j - 1]));
            diagonal = row[j];
            row[j] = least(changed, least(row[j], row[j - 1]) + 1);
            best = least(best, row[j]);
        }
        if (best > limit) {
            return limit + 1;
        }
    }
    return least(row[length_b], limit + 1);
}
