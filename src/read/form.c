/* form.c - finds the keys of an object of a circuit file. SPDX-License-Identifier: MIT */
#include "read/form.h"

#include "read/change.h"
#include "read/value.h"

#include <string.h>

const char *jv_names_at(const jv_names *names, size_t i) {
    return *(const char *const *)((const char *)names->base + i * names->stride);
}

/* Where the search in the blocks stands: names that begin with `prefix`. */
typedef struct jv_search {
    jv_reader *r;
    const jv_names *blocks;
    size_t n_blocks;
    const char *prefix; /* a name; its first `length` bytes are meant */
    size_t length;
    jv_source *found;
} jv_search;

static const char *name_at(const jv_search *s, size_t i) {
    for (size_t b = 0; b < s->n_blocks; b++) {
        if (i < s->blocks[b].count) {
            return jv_names_at(&s->blocks[b], i);
        }
        i -= s->blocks[b].count;
    }
    return NULL;
}

/* What of a name stands behind the prefix; NULL when it has another. */
static const char *behind(const jv_search *s, const char *name) {
    return strncmp(name, s->prefix, s->length) == 0 ? name + s->length : NULL;
}

static void tell_unknown(jv_search *s, jv_source member) {
    if (jv_reader_full(s->r)) {
        jv_reader_fault(s->r, member, true, JV_CODE_KEY_UNKNOWN, NULL, "unknown key");
        return;
    }
    jv_near near = jv_near_begin(member.node->key);
    jv_text known = {0};
    jv_text hint = {0};
    const char *name;
    size_t meant = 0;
    for (size_t i = 0; (name = name_at(s, i)) != NULL; i++) {
        const char *rest = behind(s, name);
        if (rest != NULL) {
            size_t least = near.least;
            jv_near_try(&near, rest);
            meant = near.least < least ? i : meant;
            jv_text_addf(&known, "%s%s", known.length > 0 ? ", " : "Known keys: ", rest);
        }
    }
    jv_text_add(&known, ".");
    if (near.best != NULL && strchr(near.best, '.') != NULL) {
        size_t group = strcspn(near.best, ".");
        jv_text_addf(&hint, "Write \"%.*s\": {\"%s\": ...}.", (int)group, near.best,
                     near.best + group + 1);
    } else {
        jv_near_hint(&near, jv_text_str(&known), &hint);
    }
    jv_reader_fault(s->r, member, true, JV_CODE_KEY_UNKNOWN, jv_text_str(&hint),
                    "unknown key \"%.*s%s\"", (int)s->length, s->prefix, member.node->key);
    if (known.failed || hint.failed) {
        s->r->diags->out_of_memory = true;
    }
    if (near.best != NULL && s->found[meant].doc == NULL) {
        s->found[meant].doc = member.doc; /* a slip of the pen: do not call it missing, too */
    }
    jv_text_clear(&known);
    jv_text_clear(&hint);
}

static void put(jv_search *s, size_t i, jv_source member) {
    if (s->found[i].doc != NULL) {
        return; /* a duplicate key: the JSON reader has reported it */
    }
    s->found[i] = member;
    if (member.node->type == JV_JSON_BAD) {
        s->found[i].node = NULL;
        s->r->faulted = true;
    }
}

static void gather_object(jv_search *s, jv_source object);

/* A member that is a group of keys: "motor": {"resistance": ..}. */
static void gather_group(jv_search *s, jv_source member, const char *name, size_t length) {
    jv_search inner = *s;
    inner.prefix = name;
    inner.length = length;
    if (member.node->type == JV_JSON_OBJECT) {
        gather_object(&inner, member);
    } else if (member.node->type == JV_JSON_BAD) {
        s->r->faulted = true;
    } else {
        jv_reader_fault(s->r, member, false, JV_CODE_KEY_TYPE,
                        "Write the keys of the group in braces.",
                        "\"%s\" must be an object with keys of its own, not %s", member.node->key,
                        jv_json_type_name((jv_json_type)member.node->type));
    }
}

static void gather_member(jv_search *s, jv_source member) {
    const char *key = member.node->key;
    if (key == NULL) {
        s->r->faulted = true; /* a fault of the syntax, reported */
        return;
    }
    if (s->length > 0 && strcmp(key, "comment") == 0) { /* objects name it among their keys */
        jv_read_comment(s->r, member, NULL);
        return;
    }
    size_t length = member.node->key_length;
    const char *name;
    for (size_t i = 0; (name = name_at(s, i)) != NULL; i++) {
        const char *rest = behind(s, name);
        if (rest == NULL || strncmp(rest, key, length) != 0) {
            continue;
        }
        if (rest[length] == '\0' && strchr(rest, '.') == NULL) {
            put(s, i, member);
            return;
        }
        if (rest[length] == '.') {
            gather_group(s, member, name, s->length + length + 1);
            return;
        }
    }
    tell_unknown(s, member);
}

/* Recursion is as deep as names have dots. */
static void gather_object(jv_search *s, jv_source object) {
    for (const jv_json_value *n = object.node->as.first; n != NULL; n = n->next) {
        gather_member(s, jv_reader_at(object, n));
    }
}

void jv_form_gather(jv_reader *r, jv_source object, const jv_names *blocks, size_t n_blocks,
                    jv_source *found) {
    memset(found, 0, JV_FORM_MOST * sizeof *found);
    jv_search search = {r, blocks, n_blocks, "", 0, found};
    r->object = object.node;
    gather_object(&search, object);
    if (r->n_changes > 0) {
        jv_changes_put(r, object.node, blocks, n_blocks, found);
    }
}

void jv_form_missing(jv_reader *r, jv_source object, const jv_key *key) {
    jv_text hint = {0};
    jv_text_addf(&hint, "Add \"%s\": %s.", key->name, key->help);
    jv_reader_fault(r, object, true, JV_CODE_KEY_MISSING, jv_text_str(&hint),
                    "key \"%s\" is missing", key->name);
    jv_text_clear(&hint);
}

bool jv_form_is_object(jv_reader *r, jv_source from, const char *what) {
    if (from.node->type == JV_JSON_OBJECT) {
        return true;
    }
    if (from.node->type == JV_JSON_BAD) {
        r->faulted = true;
    } else {
        jv_reader_fault(r, from, false, JV_CODE_KEY_TYPE,
                        "Write its keys in braces: {\"...\": ...}.", "%s must be an object, not %s",
                        what, jv_json_type_name((jv_json_type)from.node->type));
    }
    return false;
}

void jv_form_read(jv_reader *r, const jv_row *rows, size_t n_rows, jv_source object, void *target) {
    jv_source found[JV_FORM_MOST];
    jv_names names = {rows, sizeof *rows, n_rows};
    jv_form_gather(r, object, &names, 1, found);
    for (size_t i = 0; i < n_rows; i++) {
        if (found[i].node != NULL) {
            rows[i].take(r, target, &rows[i].key, found[i]);
        } else if ((rows[i].key.flags & JV_NEEDED) != 0 && found[i].doc == NULL) {
            jv_form_missing(r, object, &rows[i].key);
        }
    }
}
