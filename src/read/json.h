/* json.h - JSON (RFC 8259) with places, all faults at once. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_READ_JSON_H
#define JACKVOLT_READ_JSON_H

#include "jackvolt/diag.h"
#include "jackvolt/memory.h"
#include "jackvolt/status.h"
#include "jackvolt/text.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A tree of nodes that know where in the text they stand, so that a later fault
 * ("length must be above zero") can be shown in its line. Reading goes on behind a
 * fault: every independent one is reported, and what follows from it is not.
 *
 * Nodes, keys and strings live in the document's arena; number texts and places
 * need the caller's text, which must stay until jv_json_doc_clear. */
typedef enum jv_json_type {
    JV_JSON_NULL,
    JV_JSON_BOOL,
    JV_JSON_NUMBER,
    JV_JSON_STRING,
    JV_JSON_ARRAY,
    JV_JSON_OBJECT,
    JV_JSON_BAD /* a fault was already reported here: say nothing more about this value */
} jv_json_type;

/* 40 bytes. Offsets count bytes from doc->text. */
typedef struct jv_json_value {
    union {
        double number; /* finite */
        bool boolean;
        const char *string;                /* unescaped UTF-8, zero-terminated, no zero inside */
        const struct jv_json_value *first; /* first child of an array or object, NULL when empty */
    } as;
    const char *key;                  /* like a string; NULL when not a member of an object */
    const struct jv_json_value *next; /* next child of the same parent, in file order */
    uint32_t key_length;              /* bytes of key */
    uint32_t key_offset;              /* where the key starts (its quote) */
    uint32_t offset;                  /* where the value starts */
    uint32_t type : 3;                /* a jv_json_type */
    uint32_t length : 29;             /* string: bytes; number: bytes of its text at offset;
                                         array and object: children */
} jv_json_value;

/* A zeroed struct is valid and empty. */
typedef struct jv_json_doc {
    jv_arena arena;
    const char *file;          /* as given, not copied; NULL = unnamed */
    const char *text;          /* behind the byte order mark, if there is one */
    size_t length;             /* bytes of text */
    const jv_json_value *root; /* NULL: nothing that can be walked */
    size_t nodes;
    struct jv_json_mark *marks; /* line and column at fixed steps, for jv_json_place_at */
} jv_json_doc;

/* Zero means the default. */
typedef struct jv_json_options {
    size_t max_depth; /* levels of arrays and objects; default 64, most 4096 */
    size_t max_bytes; /* default 64 MiB, most 512 MiB - 1 */
} jv_json_options;

#define JV_JSON_DEFAULT_DEPTH 64
#define JV_JSON_DEFAULT_BYTES ((size_t)64 << 20)

/* Read length bytes of text. file: name for messages, may be NULL; file and text
 * must outlive doc. options may be NULL. *doc must be empty.
 * JV_OK: root is set. JV_ERR_INPUT: the faults are in diags (sorted by place), at
 * most about JV_DIAG_LIMIT of them are looked for; root is set all the same when the
 * faults leave the structure beyond doubt (a trailing comma, a duplicate key, a bad
 * number), so that the caller can look for more, and NULL otherwise. JV_ERR_MEMORY: root is
 * NULL. In every case doc is to be cleared. */
jv_status jv_json_read(const char *text, size_t length, const char *file,
                       const jv_json_options *options, jv_diags *diags, jv_json_doc *doc);
void jv_json_doc_clear(jv_json_doc *doc);

/* The member of an object; NULL when there is none or node is no object (or NULL).
 * Linear in the number of members. With duplicates (a reported fault): the first. */
const jv_json_value *jv_json_member(const jv_json_value *node, const char *key);

/* Line and column (characters, from 1) of a byte of the text, of a value, of its
 * key. The pointer of the place is NULL: attach a jv_json_pointer when wanted. Each
 * takes a bounded time whatever the size of the file. */
jv_place jv_json_place_at(const jv_json_doc *doc, size_t offset);
jv_place jv_json_place(const jv_json_doc *doc, const jv_json_value *node);
jv_place jv_json_key_place(const jv_json_doc *doc, const jv_json_value *node);

/* Append the JSON pointer (RFC 6901) of a node; the root's is empty. Walks from the
 * root past earlier siblings: for messages, not for loops. */
void jv_json_pointer(const jv_json_doc *doc, const jv_json_value *node, jv_text *out);

/* Report a fault of a node: place, pointer, message; hint may be NULL. at_key shows
 * the key instead of the value. The line of the file is attached. */
void jv_json_fault(const jv_json_doc *doc, const jv_json_value *node, bool at_key, jv_diags *diags,
                   jv_code code, const char *hint, const char *message, ...)
    __attribute__((format(printf, 7, 8)));
/* Attach the line around a byte of the text to the newest fault. Long lines are left
 * out when the place is too far to the right to be shown. */
void jv_json_show_line(const jv_json_doc *doc, size_t offset, jv_diags *diags);

const char *jv_json_type_name(jv_json_type type); /* "a number", "an object"; never NULL */

#endif
