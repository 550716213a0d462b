/* metered.h - how much memory a run of the library holds, and a clock. SPDX-License-Identifier: MIT
 */
#ifndef TESTS_BENCH_METERED_H
#define TESTS_BENCH_METERED_H

#include <stddef.h>

/* Bytes that the library holds now, and the most since metered_start. */
typedef struct metered {
    size_t held;
    size_t peak;
} metered;

void metered_hook(metered *m);  /* from now on all of the library's memory is counted in m */
void metered_start(metered *m); /* the peak counts anew */
double metered_now(void);       /* seconds of a clock that only goes on */

#endif
