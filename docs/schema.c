/* schema.c - writes docs/circuit.schema.json and the tables of docs/format.md from the tables of
 * part kinds and of the reader. SPDX-License-Identifier: MIT */
#include "circuit/part_kind.h"
#include "read/form.h"
#include "read/value.h"
#include "render/json_out.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NAME_BYTES = 64 };

/* --- words that the schema and the tables share --- */

static const char *const key_forms[] = {
    [JV_KEY_QUANTITY] = "",
    [JV_KEY_WORD] = "",
    [JV_KEY_FLAG] = "`true` or `false`",
    [JV_KEY_TEXT] = "text",
    [JV_KEY_SIZE] = "conductor size",
    [JV_KEY_TERMINAL] = "terminal",
    [JV_KEY_PART] = "name of a part",
    [JV_KEY_POINTS] = "{terminal: resistance, ...}",
    [JV_KEY_PINS] = "{name: [terminal, terminal], ...}",
    [JV_KEY_OUTPUTS] = "{name: terminal, ...} or {name: [terminal, terminal], ...}",
    [JV_KEY_CURVE] = "[[percent, least s, greatest s], ...]",
};

static const char *const shape_forms[] = {
    [JV_SHAPE_KEY] = "",
    [JV_SHAPE_COMMENT] = "text, or list of texts",
    [JV_SHAPE_WATCHED] = "[terminal, terminal], or name of a controller",
    [JV_SHAPE_LOADS] = "{part: load, ...}",
    [JV_SHAPE_LIST] = "[part, ...]",
    [JV_SHAPE_PARTS] = "{name: part, ...}",
    [JV_SHAPE_WATCHES] = "{name: watch, ...}",
    [JV_SHAPE_CASES] = "{name: case, ...}",
    [JV_SHAPE_WAIVERS] = "{rule: waiver, ...}",
    [JV_SHAPE_SEQUENCES] = "{name: sequence, ...}",
    [JV_SHAPE_STEPS] = "[step, ...]",
    [JV_SHAPE_STEP_LOADS] = "[part, ...] or {part: load, ...}",
};

static void add_limits(jv_text *out, const jv_key *key) {
    bool ranged = key->least != 0.0 || key->most != 0.0;
    if (ranged && (key->least != 0.0 || (key->flags & JV_ZERO_OK) != 0)) {
        jv_text_add(out, ", ");
        jv_print_limit(out, key->least, key->dim);
        jv_text_add(out, " to ");
        jv_print_limit(out, key->most, key->dim);
    } else if (ranged) {
        jv_text_add(out, ", up to ");
        jv_print_limit(out, key->most, key->dim);
    } else if ((key->flags & JV_ZERO_OK) != 0 && (key->flags & JV_NEGATIVE_OK) == 0) {
        jv_text_add(out, ", may be zero");
    }
    if ((key->flags & JV_NO_SPREAD) != 0) {
        jv_text_add(out, ", no spread");
    }
}

/* Calls for each of the choices "a|b|c". */
static void each_choice(const char *choices, void (*call)(void *to, const char *word), void *to) {
    while (*choices != '\0') {
        char word[NAME_BYTES];
        size_t n = strcspn(choices, "|");
        n = n < sizeof word - 1 ? n : sizeof word - 1;
        memcpy(word, choices, n);
        word[n] = '\0';
        call(to, word);
        choices += n;
        choices += *choices == '|';
    }
}

/* --- the schema --- */

typedef struct jv_list {
    jv_json *json;
    jv_json_node *array;
} jv_list;

static void add_word(void *to, const char *word) {
    jv_list *list = to;
    jv_json_text(list->json, list->array, NULL, word);
}

static void add_reference(jv_json *j, jv_json_node *node, const char *name) {
    jv_text path = {0};
    jv_text_addf(&path, "#/$defs/%s", name);
    jv_json_text(j, node, "$ref", jv_text_str(&path));
    j->failed = j->failed || path.failed;
    jv_text_clear(&path);
}

static void add_type(jv_json *j, jv_json_node *node, const char *type) {
    jv_json_text(j, node, "type", type);
}

/* An object whose members are all of one definition. */
static void add_map(jv_json *j, jv_json_node *node, const char *definition) {
    add_type(j, node, "object");
    add_reference(j, jv_json_object(j, node, "additionalProperties"), definition);
}

static void add_quantity(jv_json *j, jv_json_node *node, const jv_key *key) {
    if (key->dim == JV_DIM_NUMBER) {
        add_reference(j, node, "number");
        return;
    }
    add_type(j, node, "string");
    jv_json_text(j, node, "pattern", "[0-9].*[^0-9. ]");
}

/* What the value of a key must be. */
static void add_value(jv_json *j, jv_json_node *node, const jv_key *key) {
    jv_list choices = {j, NULL};
    switch (key->type) {
    case JV_KEY_QUANTITY:
        add_quantity(j, node, key);
        break;
    case JV_KEY_WORD:
        choices.array = jv_json_array(j, node, "enum");
        each_choice(key->choices, add_word, &choices);
        break;
    case JV_KEY_FLAG:
        add_type(j, node, "boolean");
        break;
    case JV_KEY_TEXT:
    case JV_KEY_TERMINAL:
    case JV_KEY_PART:
        add_reference(j, node, "name");
        break;
    case JV_KEY_SIZE:
        add_reference(j, node, "size");
        break;
    case JV_KEY_POINTS:
        add_map(j, node, "resistance");
        break;
    case JV_KEY_PINS:
        add_map(j, node, "pair");
        break;
    case JV_KEY_OUTPUTS:
        add_map(j, node, "output");
        break;
    case JV_KEY_CURVE:
        add_type(j, node, "array");
        add_reference(j, jv_json_object(j, node, "items"), "curve_point");
        break;
    }
}

static void add_about(jv_json *j, jv_json_node *node, const jv_key *key) {
    jv_text about = {0};
    jv_text_add(&about, key->help);
    if (key->type == JV_KEY_QUANTITY || key->type == JV_KEY_POINTS) {
        if (key->dim != JV_DIM_NUMBER) {
            jv_text_addf(&about, " (%s: %s", jv_dim_name(key->dim), jv_dim_units(key->dim));
        } else {
            jv_text_add(&about, " (number");
        }
        add_limits(&about, key);
        jv_text_add(&about, ")");
    }
    if (key->fallback != NULL) {
        jv_text_addf(&about, "; %s when absent", key->fallback);
    }
    jv_json_text(j, node, "description", jv_text_str(&about));
    j->failed = j->failed || about.failed;
    jv_text_clear(&about);
}

static void add_row(jv_json *j, jv_json_node *properties, const jv_row *row) {
    jv_json_node *node = jv_json_object(j, properties, row->key.name);
    add_about(j, node, &row->key);
    switch (row->shape) {
    case JV_SHAPE_KEY:
        add_value(j, node, &row->key);
        break;
    case JV_SHAPE_COMMENT:
        add_reference(j, node, "comment");
        break;
    case JV_SHAPE_WATCHED:
        add_reference(j, node, "output");
        break;
    case JV_SHAPE_LOADS:
        add_map(j, node, "load");
        break;
    case JV_SHAPE_LIST:
        add_type(j, node, "array");
        add_reference(j, jv_json_object(j, node, "items"), "name");
        break;
    case JV_SHAPE_PARTS:
        add_map(j, node, "part");
        break;
    case JV_SHAPE_WATCHES:
        add_map(j, node, "watch");
        break;
    case JV_SHAPE_CASES:
        add_map(j, node, "case");
        break;
    case JV_SHAPE_WAIVERS:
        add_map(j, node, "waiver");
        break;
    case JV_SHAPE_SEQUENCES:
        add_map(j, node, "sequence");
        break;
    case JV_SHAPE_STEPS:
        add_type(j, node, "array");
        add_reference(j, jv_json_object(j, node, "items"), "step");
        break;
    case JV_SHAPE_STEP_LOADS:
        add_reference(j, node, "step_loads");
        break;
    }
}

/* Length of the group at the start of a dotted name, 0 when there is none. */
static size_t group_length(const char *name) {
    const char *point = strchr(name, '.');
    return point != NULL ? (size_t)(point - name) : 0;
}

/* Rows of one group, which stand side by side: from row i; gives the one behind. */
static size_t add_row_group(jv_json *j, jv_json_node *properties, const jv_row *rows, size_t n,
                            size_t i) {
    char name[NAME_BYTES];
    size_t length = group_length(rows[i].key.name);
    snprintf(name, sizeof name, "%.*s", (int)length, rows[i].key.name);
    jv_json_node *group = jv_json_object(j, properties, name);
    add_type(j, group, "object");
    jv_json_node *inner = jv_json_object(j, group, "properties");
    for (; i < n && group_length(rows[i].key.name) == length &&
           strncmp(rows[i].key.name, name, length) == 0;
         i++) {
        jv_row row = rows[i];
        row.key.name += length + 1;
        add_row(j, inner, &row);
    }
    jv_json_bool(j, group, "additionalProperties", false);
    return i;
}

/* The properties and needed keys of an object that is read by rows; no others are allowed. */
static void add_rows(jv_json *j, jv_json_node *node, const jv_row *rows, size_t n) {
    add_type(j, node, "object");
    jv_json_node *properties = jv_json_object(j, node, "properties");
    for (size_t i = 0; i < n;) {
        if (group_length(rows[i].key.name) > 0) {
            i = add_row_group(j, properties, rows, n, i);
            continue;
        }
        add_row(j, properties, &rows[i]);
        i++;
    }
    jv_json_node *required = jv_json_array(j, node, "required");
    for (size_t i = 0; i < n; i++) {
        if ((rows[i].key.flags & JV_NEEDED) != 0) {
            jv_json_text(j, required, NULL, rows[i].key.name);
        }
    }
    jv_json_bool(j, node, "additionalProperties", false);
}

/* Keys of one group, which stand side by side: from key i; gives the one behind. */
static size_t add_group(jv_json *j, jv_json_node *properties, const jv_part_kind *kind, size_t i) {
    char name[NAME_BYTES];
    size_t length = group_length(kind->keys[i].name);
    snprintf(name, sizeof name, "%.*s", (int)length, kind->keys[i].name);
    jv_json_node *group = jv_json_object(j, properties, name);
    add_type(j, group, "object");
    jv_json_node *inner = jv_json_object(j, group, "properties");
    add_row(j, inner, &jv_part_rows[JV_COMMON_COMMENT]);
    for (; i < kind->n_keys && group_length(kind->keys[i].name) == length &&
           strncmp(kind->keys[i].name, name, length) == 0;
         i++) {
        jv_json_node *node = jv_json_object(j, inner, kind->keys[i].name + length + 1);
        add_about(j, node, &kind->keys[i]);
        add_value(j, node, &kind->keys[i]);
    }
    jv_json_bool(j, group, "additionalProperties", false);
    return i;
}

static void kind_definition(const jv_part_kind *kind, char name[NAME_BYTES]) {
    snprintf(name, NAME_BYTES, "kind_%s", kind->name);
}

static void add_kind(jv_json *j, jv_json_node *definitions, const jv_part_kind *kind) {
    char name[NAME_BYTES];
    kind_definition(kind, name);
    jv_json_node *node = jv_json_object(j, definitions, name);
    jv_json_text(j, node, "description", kind->summary);
    add_type(j, node, "object");
    jv_json_node *properties = jv_json_object(j, node, "properties");
    jv_json_text(j, jv_json_object(j, properties, "is"), "const", kind->name);
    for (size_t i = JV_COMMON_IS + 1; i < JV_COMMON_KEYS; i++) {
        add_row(j, properties, &jv_part_rows[i]);
    }
    for (size_t i = 0; i < kind->n_keys;) {
        if (group_length(kind->keys[i].name) > 0) {
            i = add_group(j, properties, kind, i);
            continue;
        }
        jv_json_node *key = jv_json_object(j, properties, kind->keys[i].name);
        add_about(j, key, &kind->keys[i]);
        add_value(j, key, &kind->keys[i]);
        i++;
    }
    jv_json_node *required = jv_json_array(j, node, "required");
    jv_json_text(j, required, NULL, "is");
    for (size_t i = 0; i < kind->n_keys; i++) {
        if ((kind->keys[i].flags & JV_NEEDED) != 0) {
            jv_json_text(j, required, NULL, kind->keys[i].name);
        }
    }
    jv_json_bool(j, node, "additionalProperties", false);
}

/* A part: "is" decides which definition holds. */
static void add_part(jv_json *j, jv_json_node *definitions) {
    jv_json_node *part = jv_json_object(j, definitions, "part");
    add_type(j, part, "object");
    jv_json_node *is = jv_json_object(j, jv_json_object(j, part, "properties"), "is");
    jv_json_text(j, is, "description", jv_part_rows[JV_COMMON_IS].key.help);
    jv_json_node *kinds = jv_json_array(j, is, "enum");
    jv_json_text(j, jv_json_array(j, part, "required"), NULL, "is");
    jv_json_node *all = jv_json_array(j, part, "allOf");
    for (size_t i = 0; i < jv_kinds_count; i++) {
        const char *name = jv_kinds[i]->name;
        jv_json_text(j, kinds, NULL, name);
        jv_json_node *branch = jv_json_object(j, all, NULL);
        jv_json_node *when = jv_json_object(j, branch, "if");
        jv_json_node *same = jv_json_object(j, jv_json_object(j, when, "properties"), "is");
        jv_json_text(j, same, "const", name);
        char definition[NAME_BYTES];
        kind_definition(jv_kinds[i], definition);
        add_reference(j, jv_json_object(j, branch, "then"), definition);
    }
}

static jv_json_node *add_text_definition(jv_json *j, jv_json_node *definitions, const char *name,
                                         const char *pattern, const char *about) {
    jv_json_node *node = jv_json_object(j, definitions, name);
    jv_json_text(j, node, "description", about);
    add_type(j, node, "string");
    jv_json_text(j, node, "pattern", pattern);
    return node;
}

static void add_list_of(jv_json *j, jv_json_node *node, const char *definition, double n) {
    add_type(j, node, "array");
    add_reference(j, jv_json_object(j, node, "items"), definition);
    jv_json_number(j, node, "minItems", n, NULL);
    jv_json_number(j, node, "maxItems", n, NULL);
}

static void add_common(jv_json *j, jv_json_node *definitions) {
    add_text_definition(j, definitions, "name", ".", "a name or a text, not empty");
    add_text_definition(j, definitions, "size", "[0-9]",
                        "conductor size: 6 AWG, #6, 2/0, SAE 6, 16 mm2");
    add_text_definition(j, definitions, "resistance", "[0-9].*[^0-9. ]", "resistance: 0.5 mohm");
    add_text_definition(j, definitions, "load", "^(free|rated|stalled|travel|.*[0-9].*[^0-9. ].*)$",
                        "load of a jack or pump: 1700 lbf, 1500 psi, 31 A, 60 %, free, rated, "
                        "stalled, travel");
    jv_json_node *loads = jv_json_array(j, jv_json_object(j, definitions, "step_loads"), "anyOf");
    jv_json_node *jacks = jv_json_object(j, loads, NULL);
    add_type(j, jacks, "array");
    add_reference(j, jv_json_object(j, jacks, "items"), "name");
    add_map(j, jv_json_object(j, loads, NULL), "load");
    jv_json_node *pair = jv_json_object(j, definitions, "pair");
    jv_json_text(j, pair, "description", "two terminals");
    add_list_of(j, pair, "name", 2);
    jv_json_node *either = jv_json_array(j, jv_json_object(j, definitions, "output"), "anyOf");
    add_reference(j, jv_json_object(j, either, NULL), "name");
    add_reference(j, jv_json_object(j, either, NULL), "pair");
    jv_json_node *number = jv_json_array(j, jv_json_object(j, definitions, "number"), "anyOf");
    add_type(j, jv_json_object(j, number, NULL), "number");
    add_reference(j, jv_json_object(j, number, NULL), "size"); /* a text with a digit */
    jv_json_node *point = jv_json_object(j, definitions, "curve_point");
    jv_json_text(j, point, "description", "percent of the rating, least seconds, greatest seconds");
    add_type(j, point, "array");
    jv_json_node *figure = jv_json_object(j, point, "items");
    add_type(j, figure, "number");
    jv_json_number(j, figure, "minimum", 0, NULL);
    jv_json_number(j, point, "minItems", 3, NULL);
    jv_json_number(j, point, "maxItems", 3, NULL);
    jv_json_node *comment = jv_json_array(j, jv_json_object(j, definitions, "comment"), "anyOf");
    add_type(j, jv_json_object(j, comment, NULL), "string");
    jv_json_node *lines = jv_json_object(j, comment, NULL);
    add_type(j, lines, "array");
    add_type(j, jv_json_object(j, lines, "items"), "string");
}

static jv_status write_schema(jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "$schema", "https://json-schema.org/draft/2020-12/schema");
    jv_json_text(&j, root, "title", "jackvolt circuit file");
    jv_json_text(&j, root, "description",
                 "Written by make docs from the tables of the program; docs/format.md tells more.");
    add_rows(&j, root, jv_file_rows, jv_file_rows_count);
    jv_json_node *definitions = jv_json_object(&j, root, "$defs");
    add_part(&j, definitions);
    for (size_t i = 0; i < jv_kinds_count; i++) {
        add_kind(&j, definitions, jv_kinds[i]);
    }
    add_rows(&j, jv_json_object(&j, definitions, "watch"), jv_watch_rows, jv_watch_rows_count);
    add_rows(&j, jv_json_object(&j, definitions, "case"), jv_case_rows, jv_case_rows_count);
    add_rows(&j, jv_json_object(&j, definitions, "waiver"), jv_waiver_rows, jv_waiver_rows_count);
    add_rows(&j, jv_json_object(&j, definitions, "sequence"), jv_plan_rows, jv_plan_rows_count);
    add_rows(&j, jv_json_object(&j, definitions, "step"), jv_step_rows, jv_step_rows_count);
    add_common(&j, definitions);
    return jv_json_print(&j, out);
}

/* --- the tables of docs/format.md --- */

static void add_choice(void *to, const char *word) {
    jv_text *out = to;
    bool first = out->length == 0 || out->data[out->length - 1] == ' ';
    jv_text_addf(out, "%s`%s`", first ? "" : ", ", word);
}

/* One line of a table; | ends a cell, so that it is written as &#124;. */
static void add_line(jv_text *out, const jv_key *key, const char *form) {
    jv_text_addf(out, "| `%s` | ", key->name);
    if (form[0] != '\0') {
        jv_text_add(out, form);
    } else if (key->type == JV_KEY_WORD && key->choices != NULL) {
        each_choice(key->choices, add_choice, out);
    } else if (key->type == JV_KEY_QUANTITY) {
        jv_text_add(out, key->dim == JV_DIM_NUMBER ? "number" : jv_dim_name(key->dim));
        add_limits(out, key);
    } else {
        jv_text_add(out, "kind of part");
    }
    if (key->type == JV_KEY_POINTS) {
        add_limits(out, key);
    }
    jv_text_addf(out, " | %s", (key->flags & JV_NEEDED) != 0 ? "needed" : "");
    if (key->fallback != NULL) {
        jv_text_addf(out, "%s (%s)", key->fallback, key->basis);
    }
    jv_text_addf(out, " | %s |\n", key->help);
}

static const char table_head[] = "| key | value | when absent | what |\n|---|---|---|---|\n";

static void add_table(jv_text *out, const jv_row *rows, size_t n) {
    jv_text_add(out, table_head);
    for (size_t i = 0; i < n; i++) {
        add_line(out, &rows[i].key,
                 rows[i].shape != JV_SHAPE_KEY ? shape_forms[rows[i].shape]
                                               : key_forms[rows[i].key.type]);
    }
}

static void add_kind_table(jv_text *out, const jv_part_kind *kind) {
    jv_text_addf(out, "\n### %s\n\n%c%s.\n\n%s", kind->name, toupper((unsigned char)*kind->summary),
                 kind->summary + 1, table_head);
    for (size_t i = 0; i < kind->n_keys; i++) {
        add_line(out, &kind->keys[i], key_forms[kind->keys[i].type]);
    }
    for (size_t i = 0; i < kind->n_failures; i++) {
        jv_text_addf(out, "%s`%s`", i == 0 ? "\nFaults: " : ", ", kind->failures[i].words);
    }
    if (kind->n_failures > 0) {
        jv_text_add(out, ".\n");
    }
}

/* The tables that a mark of docs/format.md asks for: "file", "watch", "case", "sequence", "step",
 * "part", "kinds". */
static void add_asked(jv_text *out, const char *name) {
    if (strcmp(name, "file") == 0) {
        add_table(out, jv_file_rows, jv_file_rows_count);
    } else if (strcmp(name, "watch") == 0) {
        add_table(out, jv_watch_rows, jv_watch_rows_count);
    } else if (strcmp(name, "case") == 0) {
        add_table(out, jv_case_rows, jv_case_rows_count);
    } else if (strcmp(name, "waiver") == 0) {
        add_table(out, jv_waiver_rows, jv_waiver_rows_count);
    } else if (strcmp(name, "sequence") == 0) {
        add_table(out, jv_plan_rows, jv_plan_rows_count);
    } else if (strcmp(name, "step") == 0) {
        add_table(out, jv_step_rows, jv_step_rows_count);
    } else if (strcmp(name, "part") == 0) {
        add_table(out, jv_part_rows, JV_COMMON_KEYS);
    } else if (strcmp(name, "units") == 0) {
        jv_text_add(out, "| what | units |\n|---|---|\n");
        for (int dim = 0; dim < JV_DIM_COUNT_; dim++) {
            if (dim != JV_DIM_NUMBER) {
                jv_text_addf(out, "| %s | %s |\n", jv_dim_name((jv_dim)dim),
                             jv_dim_units((jv_dim)dim));
            }
        }
    } else {
        for (size_t i = 0; i < jv_kinds_count; i++) {
            add_kind_table(out, jv_kinds[i]);
        }
    }
}

static const char mark[] = "<!-- table of ";
static const char end_mark[] = "<!-- end -->";

/* Copies the document; what stands between a mark and its end is written anew. */
static bool write_format(const char *path, jv_text *out) {
    enum { LINE = 4096 };
    static char line[LINE];
    FILE *file = fopen(path, "r");
    if (file == NULL) {
        return false;
    }
    bool skip = false;
    while (fgets(line, sizeof line, file) != NULL) {
        skip = skip && strncmp(line, end_mark, strlen(end_mark)) != 0;
        if (!skip) {
            jv_text_add(out, line);
        }
        if (strncmp(line, mark, strlen(mark)) == 0) {
            char name[NAME_BYTES] = "";
            const char *from = line + strlen(mark);
            snprintf(name, sizeof name, "%.*s", (int)strcspn(from, " "), from);
            add_asked(out, name);
            skip = true;
        }
    }
    return fclose(file) == 0;
}

/* schema: the JSON Schema; FILE: that document with its tables written anew. */
int main(int argc, char **argv) {
    jv_text out = {0};
    bool good = argc == 2;
    if (good && strcmp(argv[1], "schema") == 0) {
        good = write_schema(&out) == JV_OK;
    } else if (good) {
        good = write_format(argv[1], &out);
    }
    good = good && !out.failed && fputs(jv_text_str(&out), stdout) >= 0;
    jv_text_clear(&out);
    return good ? EXIT_SUCCESS : EXIT_FAILURE;
}
