/* draft.h - inside a circuit file in the making. SPDX-License-Identifier: MIT */
#ifndef RENDER_DRAFT_H
#define RENDER_DRAFT_H

#include "circuit/circuit.h"
#include "jackvolt/draft.h"
#include "read/json.h"

#include <stdint.h>

typedef enum jv_ask {
    JV_ASK_NAME,
    JV_ASK_AMBIENT,
    JV_ASK_CHEMISTRY,
    JV_ASK_CAPACITY,
    JV_ASK_CHARGE,
    JV_ASK_AGE,
    JV_ASK_FUSE,
    JV_ASK_LENGTH,
    JV_ASK_SIZE,
    JV_ASK_METAL,
    JV_ASK_LOAD, /* rated force, or rated pressure of a pump */
    JV_ASK_CURRENT,
    JV_ASK_FREE,
    JV_ASK_STALL,
    JV_ASK_STOP,
    JV_ASK_KINDS
} jv_ask;

/* A question and what it is about: parts (or a watch) that are alike in it. */
typedef struct jv_asked {
    jv_ask ask;
    bool branch; /* parts of a jack's own branch */
    uint32_t *targets;
    size_t n_targets;
    jv_question shown;
} jv_asked;

/* One change of the layout's tree. */
typedef enum jv_change_kind {
    JV_PUT_TEXT,
    JV_PUT_LINES,
    JV_PUT_NODE,
    JV_PUT_NOTHING
} jv_change_kind;
typedef struct jv_tree_change {
    const jv_json_value *object; /* whose key */
    const char *key;             /* dotted: of an object in it that is not there yet */
    jv_change_kind kind;
    const char *text;          /* LINES: with line ends between them */
    const jv_json_value *node; /* NODE: a value of another document */
} jv_tree_change;

typedef struct jv_changes_list {
    jv_arena arena;
    jv_tree_change *items;
    size_t n, room;
    bool failed;
} jv_changes_list;

struct jv_draft {
    jv_arena arena;
    const jv_layout *layout;
    jv_units units;
    jv_text base; /* the layout with as many jacks as asked for */
    jv_json_doc doc;
    jv_circuit *scratch; /* holds what reading changes keeps */
    const jv_json_value **parts, **watches;
    size_t n_parts, n_watches, n_jacks;
    const char **prefixes; /* of the jacks: "left", "front right" */
    size_t n_prefixes;
    jv_asked *asked;
    size_t n_asked;
    const char **sets; /* changes that no question asks for */
    size_t n_sets;
    bool failed; /* memory was short */
};

enum { JV_MOST_ASKED = 256, JV_MOST_SETS = 256, JV_MOST_DRAFT_PARTS = 512 };

/* draft_tree.c: trees of the JSON reader, written anew with changes. */
void jv_tree_put(jv_changes_list *list, const jv_json_value *object, const char *key,
                 jv_change_kind kind, const char *text, const jv_json_value *node);
jv_status jv_tree_write(const jv_json_value *root, const jv_changes_list *list, jv_text *out);
void jv_changes_list_clear(jv_changes_list *list);
/* A name that belongs to a jack's prefix: "left", "left cable", "left.in". */
bool jv_has_prefix(const char *name, const char *prefix);
/* The text of a layout with this many jacks; `count` is what it has. JV_ERR_MEMORY. */
jv_status jv_tree_recount(const jv_json_value *root, size_t jacks, jv_text *out);
/* The prefix of a jack's name: all but its last word. */
size_t jv_prefix_length(const char *name);

/* draft_ask.c: the questions of a layout. */
void jv_ask_all(jv_draft *d);
/* The text of a key of a part; NULL when it has none. */
const char *jv_draft_value(const jv_json_value *object, const char *key);
bool jv_draft_is(const jv_json_value *part, const char *kind);
/* The key that a question asks of a target, and its value in the layout (NULL = none). */
const char *jv_ask_key(const jv_draft *d, const jv_asked *q, uint32_t target);
const char *jv_ask_layout(const jv_draft *d, const jv_asked *q, uint32_t target);
const jv_json_value *jv_ask_object(const jv_draft *d, const jv_asked *q, uint32_t target);
/* The question of that kind about a part; NULL = none. */
const jv_asked *jv_asked_of(const jv_draft *d, jv_ask ask, uint32_t target);
void jv_ask_text(jv_draft *d, jv_asked *q);
extern const char *const jv_ask_about[JV_ASK_KINDS];

/* draft_spread.c: what stands in the file where nobody knows. */
/* Of a battery whose chemistry neither person nor layout says (judgement). */
extern const char jv_draft_usual_chemistry[];
/* Append the spread of a question about a target; false: it has none, out is unchanged. */
bool jv_draft_spread(const jv_draft *d, const jv_asked *q, uint32_t target, jv_text *out);
/* Ohms of a cable whose size is not known; false when they cannot be told. */
bool jv_draft_ohms(const jv_draft *d, uint32_t part, jv_text *out);
/* Nominal value of a text; NAN when there is none. */
double jv_draft_nominal(const char *text, jv_dim dim);

/* draft_apply.c: answers as changes of the tree. */
void jv_draft_apply(const jv_draft *d, jv_changes_list *out);

#endif
