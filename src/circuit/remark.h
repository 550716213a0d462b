/* remark.h - collects what part kinds say of themselves. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_REMARK_H
#define CIRCUIT_REMARK_H

#include "circuit/part_kind.h"

typedef struct jv_remark_item {
    size_t part;
    bool serious;
    const char *text;
} jv_remark_item;

struct jv_remarks {
    jv_arena *arena; /* texts are copied there */
    jv_remark_item *list;
    size_t n, room; /* beyond the room remarks are dropped */
    size_t part;    /* whose turn it is */
    bool failed;    /* memory was short */
};

#endif
