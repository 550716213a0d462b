/* layout.h - example circuits that the program carries. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_LAYOUT_H
#define JACKVOLT_LAYOUT_H

#include <stddef.h>

/* A layout is the text of an example circuit of circuits/, put into the library when it is built:
 * a vehicle to begin from (jackvolt new, jackvolt walk --like), wherever the program stands. */
typedef struct jv_layout {
    const char *name; /* "small-trailer", the file's name without its end */
    const char *text; /* of the circuit file, zero-terminated */
    size_t length;
} jv_layout;

/* All of them, in the order of their names; static. */
size_t jv_layouts(const jv_layout **list);
/* The one of that name; NULL when there is none. */
const jv_layout *jv_layout_find(const char *name);

#endif
