/* sources.c - citations by their key. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

#include <string.h>

static const struct {
    const jv_source *items;
    const size_t *count;
} parts[] = {
    {jv_sources_conductors, &jv_sources_conductors_count},
    {jv_sources_protection, &jv_sources_protection_count},
    {jv_sources_supply, &jv_sources_supply_count},
    {jv_sources_load, &jv_sources_load_count},
};

/* Keys in rows are not zero-terminated one by one, hence the length. */
static const jv_source *find(const char *key, size_t length) {
    for (size_t p = 0; p < JV_COUNT(parts); p++) {
        for (size_t i = 0; i < *parts[p].count; i++) {
            const jv_source *s = &parts[p].items[i];
            if (strlen(s->key) == length && memcmp(s->key, key, length) == 0) {
                return s;
            }
        }
    }
    return NULL;
}

const jv_source *jv_source_find(const char *key) {
    return find(key, strlen(key));
}

size_t jv_source_count(void) {
    size_t n = 0;
    for (size_t p = 0; p < JV_COUNT(parts); p++) {
        n += *parts[p].count;
    }
    return n;
}

const jv_source *jv_source_at(size_t i) {
    for (size_t p = 0; p < JV_COUNT(parts); p++) {
        if (i < *parts[p].count) {
            return &parts[p].items[i];
        }
        i -= *parts[p].count;
    }
    return NULL;
}

const jv_source *jv_table_row_source(const jv_table_row *row, size_t i) {
    const char *key = row->sources;
    while (*key != '\0') {
        size_t length = strcspn(key, " ");
        if (i == 0) {
            return find(key, length);
        }
        i--;
        key += length;
        key += strspn(key, " ");
    }
    return NULL;
}
