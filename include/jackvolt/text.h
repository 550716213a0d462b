/* text.h - growing text buffer, numbers without locale. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_TEXT_H
#define JACKVOLT_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

/* Text buffer. Invariant: data is NULL or zero-terminated at data[length]. When
 * an allocation fails the buffer keeps what it has, `failed` is set and stays
 * set, and later appends do nothing: check once at the end. A zeroed struct is a
 * valid empty buffer. */
typedef struct jv_text {
    char *data;
    size_t length;
    size_t capacity;
    bool failed;
} jv_text;

void jv_text_add(jv_text *t, const char *s);
void jv_text_add_n(jv_text *t, const char *s, size_t n);
void jv_text_add_char(jv_text *t, char c);
void jv_text_repeat(jv_text *t, const char *s, size_t times);
/* printf-like; %g and %f print a point whatever the locale. No %ls, %lc, %n. */
void jv_text_addf(jv_text *t, const char *format, ...) __attribute__((format(printf, 2, 3)));
void jv_text_vaddf(jv_text *t, const char *format, va_list args)
    __attribute__((format(printf, 2, 0)));
const char *jv_text_str(const jv_text *t); /* never NULL; valid until the next change */
void jv_text_clear(jv_text *t);            /* frees; the buffer is empty and usable */

/* Shortest decimal digits that read back as exactly `value` (JSON number form).
 * Minus zero prints as 0. NaN and infinity: nothing is written, false returned.
 * out must hold 32 bytes. */
bool jv_number_shortest(double value, char out[32]);
/* Read a decimal number at s, correctly rounded (no locale, no hex, no NaN/inf, no space before
 * it); sets *end past it (end may be NULL). Taken: a sign, digits, a point with digits behind it,
 * an exponent; ".5", "+5" and "007" are read though JSON knows them not, and a point with no digit
 * behind it is left standing, so that "5..6" reads as 5. False when there is none; an overflow
 * gives infinity and true. */
bool jv_number_read(const char *s, double *value, const char **end);

/* Number of columns a UTF-8 text takes on a terminal (all our glyphs are one
 * column wide; combining marks are not used). */
size_t jv_text_columns(const char *utf8);
/* True when length bytes are valid UTF-8; *bad is set to the first bad offset. */
bool jv_text_is_utf8(const char *s, size_t length, size_t *bad);
/* Edit distance (Levenshtein, ASCII case folded) cut off at limit + 1; used for
 * "did you mean". */
size_t jv_text_distance(const char *a, const char *b, size_t limit);

#endif
