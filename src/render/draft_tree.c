/* draft_tree.c - a tree of JSON, written anew with changes. SPDX-License-Identifier: MIT */
#include "render/draft.h"

#include "render/json_out.h"

#include <ctype.h>
#include <string.h>

/* --- a list of changes --- */

void jv_tree_put(jv_changes_list *list, const jv_json_value *object, const char *key,
                 jv_change_kind kind, const char *text, const jv_json_value *node) {
    enum { AT_ONCE = 64 };
    if (list->failed || !object)
        return;
    if (list->n == list->room) {
        jv_tree_change *more = jv_resize(list->items, list->room + AT_ONCE, sizeof *more);
        if (!more) {
            list->failed = true;
            return;
        }
        list->items = more;
        list->room += AT_ONCE;
    }
    jv_tree_change *c = &list->items[list->n];
    *c = (jv_tree_change){object, NULL, kind, NULL, node};
    c->key = jv_arena_copy(&list->arena, key, strlen(key));
    c->text = text ? jv_arena_copy(&list->arena, text, strlen(text)) : NULL;
    if (!c->key || (text && !c->text))
        list->failed = true;
    else
        list->n++;
}

void jv_changes_list_clear(jv_changes_list *list) {
    jv_arena_clear(&list->arena);
    jv_free(list->items);
    memset(list, 0, sizeof *list);
}

/* The newest change of a key of an object. */
static const jv_tree_change *change_of(const jv_changes_list *list, const jv_json_value *object,
                                       const char *key) {
    for (size_t i = list ? list->n : 0; i > 0; i--)
        if (list->items[i - 1].object == object && strcmp(list->items[i - 1].key, key) == 0)
            return &list->items[i - 1];
    return NULL;
}

/* --- copying --- */

static void copy(jv_json *j, jv_json_node *parent, const char *key, const jv_json_value *v,
                 const jv_changes_list *list);

static void put_lines(jv_json *j, jv_json_node *parent, const char *key, const char *lines) {
    if (!strchr(lines, '\n')) {
        jv_json_text(j, parent, key, lines);
        return;
    }
    jv_json_node *array = jv_json_array(j, parent, key);
    for (const char *line = lines; *line;) {
        size_t n = strcspn(line, "\n");
        jv_text one = {0};
        jv_text_add_n(&one, line, n);
        j->failed |= one.failed;
        jv_json_text(j, array, NULL, jv_text_str(&one));
        jv_text_clear(&one);
        line += n + (line[n] == '\n');
    }
}

static void put_change(jv_json *j, jv_json_node *parent, const char *key, const jv_tree_change *c) {
    if (c->kind == JV_PUT_TEXT)
        jv_json_text(j, parent, key, c->text);
    else if (c->kind == JV_PUT_LINES)
        put_lines(j, parent, key, c->text);
    else if (c->kind == JV_PUT_NODE)
        copy(j, parent, key, c->node, NULL);
}

/* Is it the newest change of its key? Older ones are void. */
static bool is_newest(const jv_changes_list *list, size_t i) {
    return change_of(list, list->items[i].object, list->items[i].key) == &list->items[i];
}

/* Keys that the object has not yet; those of an object in it that is not there make it. */
static void put_new(jv_json *j, jv_json_node *to, const jv_json_value *object,
                    const jv_changes_list *list) {
    for (size_t i = 0; i < list->n; i++) {
        const jv_tree_change *c = &list->items[i];
        if (c->object != object || c->kind == JV_PUT_NOTHING || !is_newest(list, i) ||
            jv_json_member(object, c->key))
            continue;
        const char *dot = strchr(c->key, '.');
        if (!dot) {
            put_change(j, to, c->key, c);
            continue;
        }
        size_t n = (size_t)(dot - c->key) + 1;
        bool first = true;
        for (size_t k = 0; k < i; k++)
            first = first && !(list->items[k].object == object &&
                               strncmp(list->items[k].key, c->key, n) == 0);
        if (!first)
            continue;
        jv_text name = {0};
        jv_text_add_n(&name, c->key, n - 1);
        jv_json_node *inner = jv_json_object(j, to, jv_text_str(&name));
        jv_text_clear(&name);
        for (size_t k = i; k < list->n; k++)
            if (list->items[k].object == object && is_newest(list, k) &&
                strncmp(list->items[k].key, c->key, n) == 0)
                put_change(j, inner, list->items[k].key + n, &list->items[k]);
    }
}

static void copy_object(jv_json *j, jv_json_node *to, const jv_json_value *v,
                        const jv_changes_list *list) {
    for (const jv_json_value *m = v->as.first; m; m = m->next) {
        const jv_tree_change *c = change_of(list, v, m->key);
        if (c)
            put_change(j, to, m->key, c);
        else
            copy(j, to, m->key, m, list);
    }
    if (list)
        put_new(j, to, v, list);
}

static void copy(jv_json *j, jv_json_node *parent, const char *key, const jv_json_value *v,
                 const jv_changes_list *list) {
    jv_json_node *node;
    switch ((jv_json_type)v->type) {
    case JV_JSON_OBJECT:
        node = jv_json_object(j, parent, key);
        copy_object(j, node, v, list);
        break;
    case JV_JSON_ARRAY:
        node = jv_json_array(j, parent, key);
        for (const jv_json_value *m = v->as.first; m; m = m->next)
            copy(j, node, NULL, m, list);
        break;
    case JV_JSON_STRING:
        jv_json_text(j, parent, key, v->as.string);
        break;
    case JV_JSON_NUMBER:
        jv_json_number(j, parent, key, v->as.number, NULL);
        break;
    case JV_JSON_BOOL:
        jv_json_bool(j, parent, key, v->as.boolean);
        break;
    case JV_JSON_NULL:
    case JV_JSON_BAD:
        jv_json_null(j, parent, key, NULL);
        break;
    }
}

jv_status jv_tree_write(const jv_json_value *root, const jv_changes_list *list, jv_text *out) {
    jv_json j;
    jv_json_node *node = jv_json_begin(&j);
    j.fills = true;
    copy_object(&j, node, root, list);
    j.failed |= list && list->failed;
    return jv_json_print(&j, out);
}

/* --- another number of jacks --- */

bool jv_has_prefix(const char *name, const char *prefix) {
    size_t n = strlen(prefix);
    return strncmp(name, prefix, n) == 0 && !isalnum((unsigned char)name[n]);
}

size_t jv_prefix_length(const char *name) {
    const char *space = strrchr(name, ' ');
    return space ? (size_t)(space - name) : strlen(name);
}

/* Names of the jacks that are put in, by how many there are then. */
static const char *const ordinals[JV_DRAFT_MOST_JACKS + 1] = {"",      "first",   "second",
                                                              "third", "fourth",  "fifth",
                                                              "sixth", "seventh", "eighth"};

typedef struct jv_recount {
    jv_json *j;
    char out[JV_DRAFT_MOST_JACKS][64]; /* prefixes that go */
    size_t n_out;
    char model[64];   /* prefix that is copied */
    size_t from, to;  /* ordinals that are put in: from <= k < to */
    const char *name; /* in place of the model while a copy is made; NULL = no copy */
} jv_recount;

static bool goes(const jv_recount *r, const char *name) {
    for (size_t i = 0; i < r->n_out; i++)
        if (jv_has_prefix(name, r->out[i]))
            return true;
    return false;
}

static void add_name(const jv_recount *r, const char *text, jv_text *out) {
    bool named = r->name && jv_has_prefix(text, r->model);
    if (named)
        jv_text_add(out, r->name);
    jv_text_add(out, text + (named ? strlen(r->model) : 0));
}

static bool has_load(const jv_json_value *v, const jv_recount *r, bool left) {
    static const char *const keys[] = {"lift", "lower", "run"};
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        const jv_json_value *list = jv_json_member(v, keys[i]);
        bool array = list && list->type == JV_JSON_ARRAY;
        for (const jv_json_value *m = list ? list->as.first : NULL; m; m = m->next)
            if (!left || !goes(r, array ? m->as.string : m->key))
                return true;
    }
    return false;
}

/* A case or a step all of whose jacks go. */
static bool is_void(const jv_recount *r, const jv_json_value *v) {
    return v->type == JV_JSON_OBJECT && has_load(v, r, false) && !has_load(v, r, true);
}

static void recount(jv_recount *r, jv_json_node *parent, const char *key, const jv_json_value *v);

static void recount_members(jv_recount *r, jv_json_node *to, const jv_json_value *v) {
    for (const jv_json_value *m = v->as.first; m; m = m->next)
        if (r->name || (!goes(r, m->key) && !is_void(r, m)))
            recount(r, to, m->key, m);
    for (size_t k = r->from; k < r->to && !r->name; k++) {
        r->name = ordinals[k];
        for (const jv_json_value *m = v->as.first; m; m = m->next)
            if (jv_has_prefix(m->key, r->model))
                recount(r, to, m->key, m);
        r->name = NULL;
    }
}

/* A list: of parts under the keys that name parts, else of anything. */
static void recount_array(jv_recount *r, jv_json_node *to, const char *key,
                          const jv_json_value *v) {
    bool parts = key && (strcmp(key, "lift") == 0 || strcmp(key, "lower") == 0 ||
                         strcmp(key, "on") == 0 || strcmp(key, "off") == 0);
    for (const jv_json_value *m = v->as.first; m; m = m->next)
        if (!(parts && goes(r, m->as.string)) && !is_void(r, m))
            recount(r, to, NULL, m);
    for (size_t k = r->from; k < r->to && !r->name && parts; k++) {
        r->name = ordinals[k];
        for (const jv_json_value *m = v->as.first; m; m = m->next)
            if (jv_has_prefix(m->as.string, r->model))
                recount(r, to, NULL, m);
        r->name = NULL;
    }
}

static void recount(jv_recount *r, jv_json_node *parent, const char *key, const jv_json_value *v) {
    jv_text name = {0}, text = {0};
    if (key)
        add_name(r, key, &name);
    const char *named = key ? jv_text_str(&name) : NULL;
    if (v->type == JV_JSON_OBJECT) {
        recount_members(r, jv_json_object(r->j, parent, named), v);
    } else if (v->type == JV_JSON_ARRAY) {
        recount_array(r, jv_json_array(r->j, parent, named), key, v);
    } else if (v->type == JV_JSON_STRING) {
        add_name(r, v->as.string, &text);
        jv_json_text(r->j, parent, named, jv_text_str(&text));
    } else {
        copy(r->j, parent, named, v, NULL);
    }
    r->j->failed |= name.failed || text.failed;
    jv_text_clear(&name);
    jv_text_clear(&text);
}

static void set_prefix(char to[64], const char *name) {
    size_t n = jv_prefix_length(name);
    n = n < 63 ? n : 63;
    memcpy(to, name, n);
    to[n] = '\0';
}

jv_status jv_tree_recount(const jv_json_value *root, size_t jacks, jv_text *out) {
    jv_json j;
    jv_recount r = {.j = &j};
    size_t n = 0;
    const jv_json_value *parts = jv_json_member(root, "parts");
    for (const jv_json_value *m = parts ? parts->as.first : NULL; m; m = m->next) {
        if (!jv_draft_is(m, "jack"))
            continue;
        if (n++ >= jacks && r.n_out < JV_DRAFT_MOST_JACKS)
            set_prefix(r.out[r.n_out++], m->key);
        set_prefix(r.model, m->key);
    }
    r.from = n + 1;
    r.to = jacks + 1; /* nothing when it has as many */
    jv_json_node *node = jv_json_begin(&j);
    recount_members(&r, node, root);
    return jv_json_print(&j, out);
}
