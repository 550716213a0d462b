/* close.h - compare numbers and show both when they differ. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_CLOSE_H
#define TESTS_SUPPORT_CLOSE_H

/* Fails the cmocka test unless |actual - expected| <= rel * |expected| + abs. NaN is close to
 * nothing; an infinity only to itself. Prints both values, their difference and the bound. */
#define assert_close(actual, expected, rel, abs) \
    close_check((actual), (expected), (rel), (abs), #actual, __FILE__, __LINE__)

void close_check(double actual, double expected, double rel, double abs, const char *what,
                 const char *file, int line);

#endif
