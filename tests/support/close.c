/* close.c - compare numbers and show both when they differ. SPDX-License-Identifier: MIT */
#include "close.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

void close_check(double actual, double expected, double rel, double abs, const char *what,
                 const char *file, int line) {
    const double bound = rel * fabs(expected) + abs;
    const double difference = fabs(actual - expected);

    /* Equal infinities have a NaN difference; the second test is false for every NaN. */
    if ((isinf(expected) && actual == expected) || (isfinite(expected) && difference <= bound)) {
        return;
    }
    print_error("%s: got %.17g, expected %.17g, difference %.3g, allowed %.3g\n", what, actual,
                expected, difference, bound);
    _fail(file, line);
}
