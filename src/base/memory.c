/* memory.c - allocation hook and arena. SPDX-License-Identifier: MIT */
#define _DEFAULT_SOURCE /* madvise */
#include "jackvolt/memory.h"
#include "base/large.h"

#include <malloc.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

/* Payload of the first block of an arena; each further block doubles up to the largest, so that a
 * small arena stays small and a large one costs few calls of the hook. */
static const size_t FIRST_BLOCK = 1024;
static const size_t LARGEST_BLOCK = (size_t)1 << 22;

struct jv_arena_block {
    struct jv_arena_block *next; /* older */
    size_t used;
    size_t capacity;
    max_align_t data[]; /* max_align_t: whatever stands first is aligned */
};

/* Blocks from `large` on are laid on huge pages where the system has them: a circuit of 100,000
 * parts is solved a fifth faster for it. */
static const size_t huge_page = (size_t)1 << 21, large = (size_t)1 << 21;

void *jv_large_alloc(size_t size) {
    void *block = malloc(size);
#ifdef MADV_HUGEPAGE
    if (block && size >= large) {
        /* The whole huge pages in it: the rest belongs to neighbours, too. A block that starts on
         * such a page would not do: asking for that takes a larger hole than the block left when it
         * was given back, and the heap would creep. */
        uintptr_t start = (uintptr_t)block, first = (start + huge_page - 1) / huge_page * huge_page,
                  end = (start + size) / huge_page * huge_page;
        if (end > first)
            (void)madvise((char *)block + (first - start), end - first, MADV_HUGEPAGE);
    }
#endif
    return block;
}

static void *resize_with_libc(void *ctx, void *block, size_t size) {
    (void)ctx;
    if (size == 0) {
        free(block);
        return NULL;
    }
    if (!block || size < large)
        return block ? realloc(block, size) : jv_large_alloc(size);
    /* Moved by hand: what grew out of small pages would stay on them. */
    void *moved = jv_large_alloc(size);
    if (moved) {
        size_t held = malloc_usable_size(block);
        memcpy(moved, block, held < size ? held : size);
        free(block);
    }
    return moved;
}

/* The one mutable global of the library: see memory.h for when it may be set. */
static jv_memory_hook memory_hook = {resize_with_libc, NULL};

void jv_memory_set_hook(const jv_memory_hook *hook) {
    if (hook != NULL) {
        memory_hook = *hook;
    } else {
        memory_hook = (jv_memory_hook){resize_with_libc, NULL};
    }
}

/* n * size, or 0 when that is zero or does not fit. */
static size_t product(size_t n, size_t size) {
    if (n == 0 || size == 0 || n > SIZE_MAX / size) {
        return 0;
    }
    return n * size;
}

void *jv_resize(void *block, size_t n, size_t size) {
    const size_t bytes = product(n, size);
    return bytes == 0 ? NULL : memory_hook.resize(memory_hook.ctx, block, bytes);
}

void *jv_alloc(size_t n, size_t size) {
    return jv_resize(NULL, n, size);
}

void *jv_zalloc(size_t n, size_t size) {
    void *block = jv_alloc(n, size);
    if (block != NULL) {
        memset(block, 0, n * size);
    }
    return block;
}

void jv_free(void *block) {
    if (block != NULL) {
        memory_hook.resize(memory_hook.ctx, block, 0);
    }
}

static struct jv_arena_block *add_block(jv_arena *arena, size_t bytes) {
    size_t capacity = FIRST_BLOCK;
    if (arena->head != NULL) {
        capacity = arena->head->capacity;
        capacity = capacity < LARGEST_BLOCK / 2 ? 2 * capacity : LARGEST_BLOCK;
    }
    if (capacity < bytes) {
        capacity = bytes;
    }
    if (capacity > SIZE_MAX - sizeof(struct jv_arena_block)) {
        return NULL;
    }
    struct jv_arena_block *block = jv_alloc(1, sizeof *block + capacity);
    if (block != NULL) {
        block->next = arena->head;
        block->used = 0;
        block->capacity = capacity;
        arena->head = block;
        arena->total += sizeof *block + capacity;
    }
    return block;
}

static void *take(jv_arena *arena, size_t n, size_t size, size_t *taken) {
    const size_t align = _Alignof(max_align_t);
    size_t bytes = product(n, size);
    if (bytes == 0 && n != 0 && size != 0) {
        return NULL; /* the product overflows */
    }
    if (bytes > SIZE_MAX - align) {
        return NULL;
    }
    /* An empty array gets an address of its own too: NULL would look like a failure. */
    bytes = bytes == 0 ? align : (bytes + align - 1) / align * align;

    struct jv_arena_block *block = arena->head;
    if (block == NULL || bytes > block->capacity - block->used) {
        block = add_block(arena, bytes);
        if (block == NULL) {
            return NULL;
        }
    }
    char *p = (char *)block->data + block->used;
    block->used += bytes;
    *taken = bytes;
    return p;
}

void *jv_arena_alloc(jv_arena *arena, size_t n, size_t size) {
    size_t bytes;
    void *p = take(arena, n, size, &bytes);
    return p ? memset(p, 0, bytes) : NULL;
}

void *jv_arena_take(jv_arena *arena, size_t n, size_t size) {
    size_t bytes;
    return take(arena, n, size, &bytes);
}

char *jv_arena_copy(jv_arena *arena, const char *text, size_t length) {
    if (length == SIZE_MAX) {
        return NULL;
    }
    char *copy = jv_arena_alloc(arena, length + 1, 1);
    if (copy != NULL && length > 0) {
        memcpy(copy, text, length);
    }
    return copy;
}

void jv_arena_clear(jv_arena *arena) {
    struct jv_arena_block *block = arena->head;
    while (block != NULL) {
        struct jv_arena_block *next = block->next;
        jv_free(block);
        block = next;
    }
    *arena = (jv_arena){NULL, 0};
}
