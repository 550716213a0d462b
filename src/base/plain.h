/* plain.h - a quantity's text brought to plain ASCII. SPDX-License-Identifier: MIT */
#ifndef BASE_PLAIN_H
#define BASE_PLAIN_H

#include "jackvolt/diag.h"
#include "jackvolt/quantity.h"

#include <stdbool.h>
#include <stddef.h>

/* No quantity or size that a person writes is longer. */
#define JV_PLAIN_LENGTH 120

/* The text with its signs spelled out (ohm, u, deg, +/-, .., -), white space as blanks, and any
 * other byte that is not ASCII as '?'. origin[i] is the byte of the text from which c[i] came, so
 * that a message can quote what was written. c is zero-terminated. */
typedef struct jv_plain {
    const char *text;
    char c[JV_PLAIN_LENGTH + 1];
    size_t origin[JV_PLAIN_LENGTH + 1];
    size_t length;
    jv_quantity_fault *fault; /* may be NULL */
} jv_plain;

/* Fills *plain; JV_ERR_INPUT with the fault set when the text is empty or too long. */
jv_status jv_plain_make(jv_plain *plain, const char *text, jv_quantity_fault *fault);

/* Sets the fault and returns JV_ERR_INPUT. The message is `before`, what was written from `start`
 * to `end` in quotes, and `behind`. */
jv_status jv_plain_fault(const jv_plain *plain, jv_code code, size_t start, size_t end,
                         const char *before, const char *behind, const char *hint);

size_t jv_plain_skip_blanks(const jv_plain *plain, size_t at);
bool jv_plain_is_digit(char c);
bool jv_plain_is_letter(char c);
char jv_plain_lower(char c);

#endif
