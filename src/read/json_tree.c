/* json_tree.c - the nodes of a JSON document as they are read. SPDX-License-Identifier: MIT */
#include "read/json_reader.h"

#include <string.h>

#define FEW_MEMBERS 16  /* up to here every key is compared with every other */
#define FIRST_NODES 64  /* nodes taken from the arena at first */
#define MORE_NODES 2048 /* and later */

static jv_json_value *new_node(jv_json_reader *r) {
    if (r->pool_left == 0) {
        size_t n = r->pool == NULL ? FIRST_NODES : MORE_NODES;
        r->pool = jv_arena_alloc(&r->doc->arena, n, sizeof *r->pool);
        if (r->pool == NULL) {
            r->out_of_memory = true;
            r->stop = true;
            return NULL;
        }
        r->pool_left = n;
    }
    r->pool_left--;
    r->doc->nodes++;
    return r->pool++;
}

jv_json_value *jv_json_add(jv_json_reader *r, jv_json_type type, size_t offset) {
    jv_json_frame *f = &r->frames[r->depth];
    jv_json_value *node = new_node(r);
    if (node == NULL) {
        return NULL;
    }
    node->type = (uint32_t)type & 7U;
    node->offset = (uint32_t)offset;
    if (f->kind == JV_JSON_IN_OBJECT) {
        node->key = f->key;
        node->key_length = (uint32_t)f->key_length;
        node->key_offset = (uint32_t)f->key_offset;
    }
    if (f->last != NULL) {
        f->last->next = node;
    } else if (f->node != NULL) {
        f->node->as.first = node;
    } else {
        r->doc->root = node;
    }
    f->last = node;
    f->want = f->kind == JV_JSON_DOCUMENT ? JV_WANT_END : JV_WANT_COMMA;
    return node;
}

void jv_json_value_done(jv_json_reader *r, size_t behind) {
    jv_json_frame *f = &r->frames[r->depth];
    f->count++;
    f->behind = behind;
    f->in_child = false;
    f->after_comma = false;
    f->quiet = false;
}

void jv_json_add_bad(jv_json_reader *r, size_t offset, size_t behind) {
    if (jv_json_add(r, JV_JSON_BAD, offset) != NULL) {
        jv_json_value_done(r, behind);
    }
}

static void tell_duplicate(jv_json_reader *r, const jv_json_value *first,
                           const jv_json_value *again) {
    char shown[JV_JSON_QUOTE];
    jv_json_frame *f = &r->frames[r->depth];
    f->key = again->key; /* for the pointer */
    f->key_length = again->key_length;
    f->in_child = true;
    jv_json_report(r, JV_CODE_JSON_DUPLICATE, again->key_offset, "keep one of the two",
                   "key \"%s\" stands twice in this object; first on line %zu",
                   jv_json_quote(again->key, again->key_length, shown),
                   jv_json_place_at(r->doc, first->key_offset).line);
}

static bool same_key(const jv_json_value *a, const jv_json_value *b) {
    return a->key_length == b->key_length && a->key != NULL && b->key != NULL &&
           (a->key == b->key || memcmp(a->key, b->key, a->key_length) == 0);
}

static void compare_few(jv_json_reader *r, const jv_json_value *object) {
    for (const jv_json_value *b = object->as.first; b != NULL; b = b->next) {
        for (const jv_json_value *a = object->as.first; a != b; a = a->next) {
            if (same_key(a, b)) {
                tell_duplicate(r, a, b);
                break;
            }
        }
    }
}

static size_t hash_key(const jv_json_value *node) {
    uint64_t hash = UINT64_C(14695981039346656037); /* FNV-1a, 64 bit: offset basis, prime */
    for (size_t i = 0; i < node->key_length; i++) {
        hash = (hash ^ (unsigned char)node->key[i]) * UINT64_C(1099511628211);
    }
    return (size_t)(hash ^ (hash >> 32));
}

typedef struct slot {
    const jv_json_value *member;
} slot;

/* Open addressing in a table at most half full: linear in the number of members. */
static void compare_many(jv_json_reader *r, const jv_json_value *object) {
    size_t size = 2 * FEW_MEMBERS;
    while (size < 2 * (size_t)object->length) {
        size *= 2;
    }
    slot *table = jv_zalloc(size, sizeof *table);
    if (table == NULL) {
        r->out_of_memory = true;
        r->stop = true;
        return;
    }
    for (const jv_json_value *b = object->as.first; b != NULL && !r->stop; b = b->next) {
        if (b->key == NULL) { /* a fault, reported */
            continue;
        }
        size_t i = hash_key(b) & (size - 1);
        while (table[i].member != NULL && !same_key(table[i].member, b)) {
            i = (i + 1) & (size - 1);
        }
        if (table[i].member == NULL) {
            table[i].member = b;
        } else {
            tell_duplicate(r, table[i].member, b);
        }
    }
    jv_free(table);
}

void jv_json_find_duplicates(jv_json_reader *r) {
    jv_json_frame *f = &r->frames[r->depth];
    if (!f->compared && f->count > FEW_MEMBERS) {
        compare_many(r, f->node);
    } else if (!f->compared) {
        compare_few(r, f->node);
    }
    f->compared = true;
}
