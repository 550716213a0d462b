/* name_map.h - numbers by name. SPDX-License-Identifier: MIT */
#ifndef READ_NAME_MAP_H
#define READ_NAME_MAP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A zeroed struct is valid and empty. Names are borrowed. */
typedef struct jv_name_map {
    struct jv_name_entry *entries;
    size_t n, buckets;
} jv_name_map;

/* The number of a name, 0 = it has none. */
uint32_t jv_name_map_get(const jv_name_map *map, const char *name);
/* Give a name that has none a number (above 0). False when memory is short. */
bool jv_name_map_add(jv_name_map *map, const char *name, uint32_t number);
void jv_name_map_clear(jv_name_map *map);

#endif
