/* number.h - the digits of a number, without locale. SPDX-License-Identifier: MIT */
#ifndef BASE_NUMBER_H
#define BASE_NUMBER_H

#include <stdbool.h>

/* Decimal digits that always tell two doubles apart (IEEE 754 binary64, C11 DBL_DECIMAL_DIG). */
#define JV_NUMBER_DIGITS 17

/* Rounds the finite |value| to `count` (1 .. 17) significant decimal digits: digits[0] stands
 * before the point, the rest behind it, times 10^exponent. Zero gives zeros and exponent 0. */
void jv_number_digits(double value, int count, char digits[JV_NUMBER_DIGITS + 1], int *exponent);

/* Writes digits (zero-terminated) times 10^exponent in plain or exponent form, whichever a JSON
 * reader and a person take more easily. `out` must hold 32 bytes. */
void jv_number_layout(bool negative, const char *digits, int exponent, char out[32]);

#endif
