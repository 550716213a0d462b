/* name_map.c - numbers by name. SPDX-License-Identifier: MIT */
#include "read/name_map.h"

#include "jackvolt/memory.h"

#include <string.h>

enum { FIRST_BUCKETS = 64 };

typedef struct jv_name_entry {
    const char *name; /* NULL = free */
    uint32_t hash, number;
} jv_name_entry;

/* FNV-1a, 32 bits (Fowler, Noll, Vo; public domain constants). */
static uint32_t hash_of(const char *s) {
    uint32_t hash = UINT32_C(2166136261);
    for (; *s != '\0'; s++) {
        hash = (hash ^ (unsigned char)*s) * UINT32_C(16777619);
    }
    return hash ^ (hash >> 15);
}

/* Open addressing in a table at most half full. */
static jv_name_entry *place_of(jv_name_entry *table, size_t buckets, const char *name,
                               uint32_t hash) {
    size_t k = hash & (buckets - 1);
    while (table[k].name != NULL && (table[k].hash != hash || strcmp(table[k].name, name) != 0)) {
        k = (k + 1) & (buckets - 1);
    }
    return &table[k];
}

uint32_t jv_name_map_get(const jv_name_map *map, const char *name) {
    return map->n > 0 ? place_of(map->entries, map->buckets, name, hash_of(name))->number : 0;
}

bool jv_name_map_add(jv_name_map *map, const char *name, uint32_t number) {
    if (2 * (map->n + 1) > map->buckets) {
        size_t wanted = map->buckets > 0 ? 2 * map->buckets : FIRST_BUCKETS;
        jv_name_entry *fresh = jv_zalloc(wanted, sizeof *fresh);
        if (fresh == NULL) {
            return false;
        }
        for (size_t i = 0; i < map->buckets; i++) {
            const jv_name_entry *e = &map->entries[i];
            if (e->name != NULL) {
                *place_of(fresh, wanted, e->name, e->hash) = *e;
            }
        }
        jv_free(map->entries);
        map->entries = fresh;
        map->buckets = wanted;
    }
    uint32_t hash = hash_of(name);
    *place_of(map->entries, map->buckets, name, hash) = (jv_name_entry){name, hash, number};
    map->n++;
    return true;
}

void jv_name_map_clear(jv_name_map *map) {
    jv_free(map->entries);
    *map = (jv_name_map){0};
}
