/* layout.c - example circuits that the program carries. SPDX-License-Identifier: MIT */
#include "jackvolt/layout.h"

#include "read/layouts.h"

#include <string.h>

size_t jv_layouts(const jv_layout **list) {
    *list = jv_layouts_built;
    return jv_layouts_built_count;
}

const jv_layout *jv_layout_find(const char *name) {
    for (size_t i = 0; i < jv_layouts_built_count; i++) {
        if (strcmp(jv_layouts_built[i].name, name) == 0) {
            return &jv_layouts_built[i];
        }
    }
    return NULL;
}
