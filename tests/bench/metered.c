/* metered.c - how much memory a run of the library holds, and a clock. SPDX-License-Identifier: MIT
 */
#define _POSIX_C_SOURCE 200809L
#include "tests/bench/metered.h"

#include "jackvolt/memory.h"

#include <stdlib.h>
#include <time.h>

/* The size of a block stands before it. */
static void *metered_resize(void *ctx, void *block, size_t size) {
    metered *m = ctx;
    max_align_t *head = block != NULL ? (max_align_t *)block - 1 : NULL;
    size_t old = head != NULL ? *(size_t *)(void *)head : 0;
    if (size == 0) {
        m->held -= old;
        free(head);
        return NULL;
    }
    max_align_t *fresh = realloc(head, size + sizeof *head);
    if (fresh == NULL) {
        return NULL;
    }
    *(size_t *)(void *)fresh = size;
    m->held += size - old;
    m->peak = m->held > m->peak ? m->held : m->peak;
    return fresh + 1;
}

void metered_hook(metered *m) {
    const jv_memory_hook hook = {metered_resize, m};
    m->held = 0;
    m->peak = 0;
    jv_memory_set_hook(&hook);
}

void metered_start(metered *m) {
    m->peak = m->held;
}

double metered_now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}
