/* large.h - blocks on huge pages. SPDX-License-Identifier: MIT */
#ifndef BASE_LARGE_H
#define BASE_LARGE_H

#include <stddef.h>

/* malloc, but from 2 MB on laid on huge pages where the system has them. Free with free; NULL
 * when memory is short. */
void *jv_large_alloc(size_t size);

#endif
