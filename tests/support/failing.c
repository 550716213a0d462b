/* failing.c - an allocation hook that fails on demand and counts. SPDX-License-Identifier: MIT */
#include "failing.h"

#include "jackvolt/memory.h"

#include <stdlib.h>

typedef struct failing_state {
    size_t fail_from;
    size_t calls;
    long blocks;
} failing_state;

static failing_state state;

static void *failing_resize(void *ctx, void *block, size_t size) {
    failing_state *s = ctx;
    if (size == 0) {
        s->blocks -= block != NULL;
        free(block);
        return NULL;
    }
    s->calls++;
    if (s->fail_from != 0 && s->calls >= s->fail_from) {
        return NULL;
    }
    void *result = realloc(block, size);
    s->blocks += block == NULL && result != NULL;
    return result;
}

void failing_start(size_t n) {
    static const jv_memory_hook hook = {failing_resize, &state};
    state = (failing_state){.fail_from = n};
    jv_memory_set_hook(&hook);
}

size_t failing_calls(void) {
    return state.calls;
}

long failing_blocks(void) {
    return state.blocks;
}

void failing_stop(void) {
    jv_memory_set_hook(NULL);
}
