/* json_out.c - a JSON document on cJSON. SPDX-License-Identifier: MIT */
#include "render/json_out.h"

#include "jackvolt/memory.h"

#include <cjson/cJSON.h>
#include <string.h>

/* Columns within which an object or array without children of its own kind is printed
 * on one line. */
#define FLAT_COLUMNS 100

static void *hook_alloc(size_t size) {
    return jv_alloc(1, size);
}

static cJSON *node(jv_json_node *n) {
    return (cJSON *)n;
}

jv_json_node *jv_json_begin(jv_json *j) {
    /* cJSON shall take its memory where all of this library's memory comes from. The
     * hook is process-wide; the values are the same at every call. */
    cJSON_Hooks hooks = {hook_alloc, jv_free};
    cJSON_InitHooks(&hooks);
    *j = (jv_json){(jv_json_node *)cJSON_CreateObject(), false, false};
    j->failed = !j->root;
    return j->root;
}

/* Hang a new item into its parent; the item is freed when that cannot be done. */
static jv_json_node *attach(jv_json *j, jv_json_node *parent, const char *key, cJSON *item) {
    bool done = item && parent &&
                (key ? cJSON_AddItemToObject(node(parent), key, item)
                     : cJSON_AddItemToArray(node(parent), item));
    if (done)
        return (jv_json_node *)item;
    j->failed = true;
    cJSON_Delete(item);
    return NULL;
}

jv_json_node *jv_json_object(jv_json *j, jv_json_node *parent, const char *key) {
    return attach(j, parent, key, parent ? cJSON_CreateObject() : NULL);
}

jv_json_node *jv_json_array(jv_json *j, jv_json_node *parent, const char *key) {
    return attach(j, parent, key, parent ? cJSON_CreateArray() : NULL);
}

void jv_json_text(jv_json *j, jv_json_node *parent, const char *key, const char *value) {
    attach(j, parent, key, parent ? cJSON_CreateString(value) : NULL);
}

void jv_json_bool(jv_json *j, jv_json_node *parent, const char *key, bool value) {
    attach(j, parent, key, parent ? cJSON_CreateBool(value) : NULL);
}

void jv_json_null(jv_json *j, jv_json_node *parent, const char *key, const char *reason) {
    attach(j, parent, key, parent ? cJSON_CreateNull() : NULL);
    if (!key || !reason)
        return;
    jv_text name = {0};
    jv_text_addf(&name, "%s_reason", key);
    j->failed |= name.failed;
    jv_json_text(j, parent, jv_text_str(&name), reason);
    jv_text_clear(&name);
}

void jv_json_number(jv_json *j, jv_json_node *parent, const char *key, double value,
                    const char *reason) {
    char digits[32];
    if (jv_number_shortest(value, digits))
        attach(j, parent, key, parent ? cJSON_CreateRaw(digits) : NULL);
    else
        jv_json_null(j, parent, key, reason ? reason : "not a finite number");
}

/* A text that needs no escape is written as it is, which most are; true when it was. */
static bool print_plain(const char *text, jv_text *out) {
    size_t n = 0;
    for (; text[n] != '\0'; n++)
        if ((unsigned char)text[n] < 0x20 || text[n] == '"' || text[n] == '\\' || text[n] == 0x7F)
            return false;
    jv_text_add_char(out, '"');
    jv_text_add_n(out, text, n);
    jv_text_add_char(out, '"');
    return true;
}

/* A leaf, or with `key` its name, quoted and escaped by cJSON. */
static void print_leaf(jv_json *j, const cJSON *item, jv_text *out) {
    if (cJSON_IsRaw(item)) {
        jv_text_add(out, item->valuestring);
        return;
    }
    if (cJSON_IsString(item) && print_plain(item->valuestring, out))
        return;
    char *text = cJSON_PrintUnformatted(item);
    j->failed |= !text;
    jv_text_add(out, text ? text : "");
    cJSON_free(text);
}

static void print_key(jv_json *j, const cJSON *item, jv_text *out) {
    if (!item->string)
        return;
    if (!print_plain(item->string, out)) {
        cJSON *key = cJSON_CreateStringReference(item->string);
        if (key)
            print_leaf(j, key, out);
        else
            j->failed = true;
        cJSON_Delete(key);
    }
    jv_text_add(out, ": ");
}

static bool is_leaf(const cJSON *item) {
    return !cJSON_IsObject(item) && !cJSON_IsArray(item);
}

static bool has_only_leaves(const cJSON *item) {
    for (const cJSON *child = item->child; child; child = child->next)
        if (!is_leaf(child))
            return false;
    return true;
}

/* Print `item` without line breaks; only called when all its children are leaves. */
static void print_flat(jv_json *j, const cJSON *item, jv_text *out) {
    if (is_leaf(item)) {
        print_leaf(j, item, out);
        return;
    }
    jv_text_add_char(out, cJSON_IsArray(item) ? '[' : '{');
    for (const cJSON *child = item->child; child; child = child->next) {
        print_key(j, child, out);
        print_leaf(j, child, out);
        if (child->next)
            jv_text_add(out, ", ");
    }
    jv_text_add_char(out, cJSON_IsArray(item) ? ']' : '}');
}

/* True when the flat form was printed because it fits. */
static bool print_if_flat(jv_json *j, const cJSON *item, size_t column, jv_text *out) {
    if (!has_only_leaves(item))
        return false;
    jv_text flat = {0};
    print_flat(j, item, &flat);
    j->failed |= flat.failed;
    bool fits = !item->child || column + jv_text_columns(jv_text_str(&flat)) <= FLAT_COLUMNS;
    if (fits)
        jv_text_add(out, jv_text_str(&flat));
    jv_text_clear(&flat);
    return fits;
}

/* The last line of a text. */
static const char *last_line(const jv_text *out) {
    const char *line = out->length ? strrchr(out->data, '\n') : NULL;
    return line ? line + 1 : jv_text_str(out);
}

/* Puts a member on the line that the one before it stands on, where that is one line and there is
 * room. */
static bool goes_on(jv_json *j, const cJSON *child, jv_text *out) {
    jv_text flat = {0};
    const char *line = last_line(out);
    if (!has_only_leaves(child) || strchr("]}", line[strspn(line, " ")]))
        return false;
    print_key(j, child, &flat);
    print_flat(j, child, &flat);
    bool fits =
        jv_text_columns(line) + jv_text_columns(jv_text_str(&flat)) + 2 <= FLAT_COLUMNS; /* " ," */
    if (fits)
        jv_text_addf(out, " %s", jv_text_str(&flat));
    j->failed |= flat.failed;
    jv_text_clear(&flat);
    return fits;
}

/* Is it an object of texts and numbers for the most part: its lines may be filled? */
static bool is_plain(const cJSON *item) {
    size_t leaves = 0, others = 0;
    for (const cJSON *child = item->child; child; child = child->next)
        is_leaf(child) ? (void)leaves++ : (void)others++;
    return cJSON_IsObject(item) && leaves > others;
}

/* Depth is that of the documents built here: a handful, so recursion is safe. */
static void print_item(jv_json *j, const cJSON *item, size_t level, size_t column, jv_text *out) {
    if (is_leaf(item)) {
        print_leaf(j, item, out);
        return;
    }
    if (level && print_if_flat(j, item, column, out))
        return;
    bool fills = j->fills && level && is_plain(item);
    jv_text_add(out, cJSON_IsArray(item) ? "[\n" : "{\n");
    for (const cJSON *child = item->child; child; child = child->next) {
        bool first = child == item->child;
        if (fills && !first && goes_on(j, child, out)) {
            jv_text_add(out, child->next ? "," : "\n");
            continue;
        }
        if (fills && !first)
            jv_text_add_char(out, '\n');
        jv_text_repeat(out, "  ", level + 1);
        print_key(j, child, out);
        size_t key_columns = child->string ? jv_text_columns(child->string) + 4 : 0;
        print_item(j, child, level + 1, 2 * (level + 1) + key_columns, out);
        jv_text_add(out, !child->next ? "\n" : fills ? "," : ",\n");
    }
    jv_text_repeat(out, "  ", level);
    jv_text_add_char(out, cJSON_IsArray(item) ? ']' : '}');
}

jv_status jv_json_print(jv_json *j, jv_text *out) {
    if (!j->failed) {
        print_item(j, node(j->root), 0, 0, out);
        jv_text_add_char(out, '\n');
    }
    bool failed = j->failed || out->failed;
    jv_json_clear(j);
    return failed ? JV_ERR_MEMORY : JV_OK;
}

void jv_json_clear(jv_json *j) {
    cJSON_Delete(node(j->root));
    *j = (jv_json){0};
}
