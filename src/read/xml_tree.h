/* xml_tree.h - the elements of an XML file that matter, streamed into a lean tree.
 * SPDX-License-Identifier: MIT */
#ifndef READ_XML_TREE_H
#define READ_XML_TREE_H

#include "jackvolt/diag.h"
#include "jackvolt/memory.h"
#include "jackvolt/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* libxml2 reads the file in pieces and calls back for each element; only those whose name is
 * a word of the form are kept, 40 bytes each. What is passed over is counted by name. */

/* A node number; 0 = none. The root is 1. */
typedef uint32_t jv_xml_at;

typedef struct jv_xml_node {
    uint16_t name; /* word of the form */
    uint16_t type; /* word of xsi:type without its prefix; 0 = none or not a word */
    uint32_t line;
    jv_xml_at parent, first, next;
    uint32_t mark;    /* free for the reader of the form */
    const char *id;   /* attribute id; NULL = none, or no link leads to its kind */
    const char *text; /* trimmed; NULL = none but blanks */
} jv_xml_node;

/* One kind of file. */
typedef struct jv_xml_form {
    const char *const *words; /* [1] is the name of the root element; [0] is not used */
    size_t n_words;
    /* Is this element read? name is never 0; type is 0 when it is absent or no word. */
    bool (*keep)(uint16_t parent, uint16_t name, uint16_t type);
    const uint16_t *targets; /* words of elements that links lead to, ends with 0: their ids are
                                kept, those of mere values are not */
} jv_xml_form;

typedef struct jv_xml_skip {
    const char *kind;
    size_t count;
} jv_xml_skip;

enum { JV_XML_CHUNK_BITS = 12, JV_XML_CHUNK = 1 << JV_XML_CHUNK_BITS };

/* A zeroed struct is valid and empty. */
typedef struct jv_xml {
    jv_arena arena;
    const char *file;
    const jv_xml_form *form;
    const char *version_hint; /* attribute version_id of the root; NULL = none */
    jv_xml_node **chunks;
    size_t n_nodes, chunk_room; /* nodes, counted from 1; chunks there is room for */
    size_t most_nodes;          /* 0 = JV_HARNESS_NODES */
    jv_xml_skip *skips;
    size_t n_skips, skip_room;
    struct jv_xml_name *names; /* where an id stands, by its hash */
    size_t name_buckets;       /* a power of two */
    char *pool;                /* room for texts */
    size_t pool_left;
} jv_xml;

/* Read a file ("-" = standard input), or a text in memory (path NULL). The root must be that
 * of one of the forms. *xml must be zeroed (but most_nodes), and is to be cleared in every case. */
jv_status jv_xml_read_file(const char *path, const jv_xml_form *const *forms, size_t n_forms,
                           jv_diags *diags, jv_xml *xml);
jv_status jv_xml_read_text(const char *text, size_t length, const char *name,
                           const jv_xml_form *const *forms, size_t n_forms, jv_diags *diags,
                           jv_xml *xml);
void jv_xml_clear(jv_xml *xml);

static inline jv_xml_node *jv_xml_get(const jv_xml *xml, jv_xml_at at) {
    return &xml->chunks[at >> JV_XML_CHUNK_BITS][at & (JV_XML_CHUNK - 1)];
}

/* First child of that name, and the next sibling of the same name; 0 = none. */
jv_xml_at jv_xml_child(const jv_xml *xml, jv_xml_at parent, uint16_t name);
jv_xml_at jv_xml_again(const jv_xml *xml, jv_xml_at at);
/* Text of the first child of that name; NULL when there is none, it is blank, or it is one of
 * the marks for "no value" ("/NULL", "/ANY"). */
const char *jv_xml_text(const jv_xml *xml, jv_xml_at parent, uint16_t name);
/* The same of a node itself. */
const char *jv_xml_own_text(const jv_xml *xml, jv_xml_at at);

/* Index the ids; double ones are reported. JV_ERR_MEMORY or JV_OK. */
jv_status jv_xml_index(jv_xml *xml, jv_diags *diags);
/* The node of an id of `length` bytes; 0 = none. */
jv_xml_at jv_xml_find(const jv_xml *xml, const char *id, size_t length);
/* The next id of a blank-separated list: *text moves behind it; 0 bytes = no more. */
size_t jv_xml_next_id(const char **text, const char **id);

/* What a link leads to: the node whose id is the text of `at`, of one of up to two names (0 = no
 * second). 0 with a fault reported when there is none, or it is of another name; 0 without
 * one when at is 0 or holds no text. */
jv_xml_at jv_xml_link(const jv_xml *xml, jv_xml_at at, uint16_t name, uint16_t other,
                      jv_diags *diags);
/* The same for one id of a list. */
jv_xml_at jv_xml_link_id(const jv_xml *xml, jv_xml_at at, const char *id, size_t length,
                         uint16_t name, uint16_t other, jv_diags *diags);

/* A number in the text of a node. False with a fault reported when it is none; *value is NAN,
 * and true, when there is no text or it is "/NULL" or "NaN". */
bool jv_xml_number(const jv_xml *xml, jv_xml_at at, double *value, jv_diags *diags);

/* Report a fault at a node: file, line, path of elements. hint may be NULL. */
void jv_xml_fault(const jv_xml *xml, jv_xml_at at, jv_diags *diags, jv_code code, const char *hint,
                  const char *message, ...) __attribute__((format(printf, 6, 7)));

#endif
