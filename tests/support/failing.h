/* failing.h - an allocation hook that fails on demand and counts. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_FAILING_H
#define TESTS_SUPPORT_FAILING_H

#include <stddef.h>

/* From now on the library's allocation number `n` (from 1) and all later ones fail; 0: none fails.
 * Counts of calls and of blocks still held start anew. */
void failing_start(size_t n);
size_t failing_calls(void); /* allocations asked for since failing_start, frees not counted */
long failing_blocks(void);  /* blocks allocated less blocks freed: 0 = nothing leaked */
void failing_stop(void);    /* back to the C library */

#endif
