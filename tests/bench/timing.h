/* timing.h - what benches share: clock, medians, memory. SPDX-License-Identifier: MIT */
#ifndef TESTS_BENCH_TIMING_H
#define TESTS_BENCH_TIMING_H

#include <stddef.h>

/* Processor time of this process, s: what others do on the machine counts less. */
double timing_now(void);
double timing_wall(void);     /* s, monotonic */
double timing_children(void); /* processor time of children that have ended, s */

/* Median of the processor seconds that each of `repeats` (1 .. 101) calls takes. */
double timing_median(void (*work)(void *ctx), void *ctx, int repeats);
/* Median of the ratios of two calls made in turn. */
double timing_ratio(void (*work)(void *ctx), void (*bare)(void *ctx), void *ctx, int repeats);

/* From now on counts what the library holds; the peak starts at what is held. */
void memory_start(void);
size_t memory_held(void);
size_t memory_peak(void);
void memory_stop(void);

#endif
