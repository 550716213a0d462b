/* timing.c - what benches share: clock, medians, memory. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L
#include "timing.h"

#include "jackvolt/memory.h"

#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>

enum { MOST_REPEATS = 101 };

double timing_now(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

double timing_wall(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

double timing_children(void) {
    struct rusage r;
    getrusage(RUSAGE_CHILDREN, &r);
    return (double)(r.ru_utime.tv_sec + r.ru_stime.tv_sec) +
           1e-6 * (double)(r.ru_utime.tv_usec + r.ru_stime.tv_usec);
}

static int by_size(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *taken, int n) {
    qsort(taken, (size_t)n, sizeof *taken, by_size);
    return taken[n / 2];
}

double timing_median(void (*work)(void *ctx), void *ctx, int repeats) {
    double taken[MOST_REPEATS];
    if (repeats > MOST_REPEATS)
        repeats = MOST_REPEATS;
    for (int k = 0; k < repeats; k++) {
        double start = timing_now();
        work(ctx);
        taken[k] = timing_now() - start;
    }
    return median(taken, repeats);
}

double timing_ratio(void (*work)(void *ctx), void (*bare)(void *ctx), void *ctx, int repeats) {
    double ratio[MOST_REPEATS];
    if (repeats > MOST_REPEATS)
        repeats = MOST_REPEATS;
    for (int k = 0; k < repeats; k++) {
        double start = timing_now();
        work(ctx);
        double between = timing_now();
        bare(ctx);
        ratio[k] = (between - start) / (timing_now() - between);
    }
    return median(ratio, repeats);
}

/* Sizes stand before the blocks. */
static size_t held, peak;

static void *metered_resize(void *ctx, void *block, size_t size) {
    (void)ctx;
    max_align_t *head = block ? (max_align_t *)block - 1 : NULL;
    size_t old = head ? *(size_t *)(void *)head : 0;
    if (size == 0) {
        held -= old;
        free(head);
        return NULL;
    }
    max_align_t *fresh = realloc(head, size + sizeof *head);
    if (!fresh)
        return NULL;
    *(size_t *)(void *)fresh = size;
    held += size - old;
    peak = held > peak ? held : peak;
    return fresh + 1;
}

void memory_start(void) {
    static const jv_memory_hook hook = {metered_resize, NULL};
    jv_memory_set_hook(&hook);
    peak = held;
}

size_t memory_held(void) {
    return held;
}

size_t memory_peak(void) {
    return peak;
}

void memory_stop(void) {
    jv_memory_set_hook(NULL);
}
