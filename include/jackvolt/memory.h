/* memory.h - allocation hook and arena. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_MEMORY_H
#define JACKVOLT_MEMORY_H

#include <stddef.h>

/* The one hook through which all of this library's own memory comes. It is
 * process-wide and meant to be set once, before the first other call (tests set
 * it to fail the n-th allocation). resize(ctx, NULL, n) allocates,
 * resize(ctx, p, 0) frees and returns NULL. NULL restores the C library. */
typedef struct jv_memory_hook {
    void *(*resize)(void *ctx, void *block, size_t size);
    void *ctx;
} jv_memory_hook;
void jv_memory_set_hook(const jv_memory_hook *hook);

/* Allocate n * size bytes (uninitialised / zeroed); NULL when the product
 * overflows, is zero, or memory is short. Free with jv_free. */
void *jv_alloc(size_t n, size_t size);
void *jv_zalloc(size_t n, size_t size);
/* Resize a block to n * size bytes; on failure NULL, and the block stays valid. */
void *jv_resize(void *block, size_t n, size_t size);
void jv_free(void *block); /* takes NULL */

/* Arena: memory that is given back all at once. Pointers stay valid until
 * jv_arena_clear. A zeroed struct is a valid empty arena. Never copied. */
typedef struct jv_arena {
    struct jv_arena_block *head; /* newest block, NULL when empty */
    size_t total;                /* bytes taken from the hook */
} jv_arena;

/* n * size bytes, zeroed, aligned for any type; NULL when memory is short or the product
 * overflows. Zero bytes give a valid pointer. */
void *jv_arena_alloc(jv_arena *arena, size_t n, size_t size);
/* The same, not zeroed: for what is filled at once. */
void *jv_arena_take(jv_arena *arena, size_t n, size_t size);
/* A zero-terminated copy of length bytes of text; NULL when memory is short. */
char *jv_arena_copy(jv_arena *arena, const char *text, size_t length);
void jv_arena_clear(jv_arena *arena); /* frees every block; the arena is empty again */

#endif
