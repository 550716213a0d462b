/* reader.h - what the readers of one circuit file share. SPDX-License-Identifier: MIT */
#ifndef READ_READER_H
#define READ_READER_H

#include "circuit/circuit.h"
#include "circuit/part_kind.h"
#include "read/json.h"

/* A value of the file or of a change made for this run; node NULL = absent. A change has
 * a document of its own, so that its faults show its own text. */
typedef struct jv_source {
    const jv_json_doc *doc;
    const jv_json_value *node;
} jv_source;

struct jv_change;

/* A name that is taken, and the section that took it ("part", "watch", "case"). */
typedef struct jv_taken {
    const char *name;
    const char *section;
} jv_taken;

typedef struct jv_reader {
    jv_circuit *circuit;
    jv_diags *diags;
    const jv_json_doc *doc; /* the file */
    struct jv_change *changes;
    size_t n_changes;
    jv_taken *taken; /* open addressing, at most half full */
    size_t n_taken, taken_buckets;
    /* The object that is being read: stands in front of each message. */
    const char *owner_kind;
    const char *owner_name;      /* NULL = the file itself */
    bool faulted;                /* a fault was found since the object was begun */
    const jv_json_value *object; /* whose keys were gathered last */
    /* A place known already: those behind it are counted on from there. */
    size_t known_offset, known_line, known_column;
} jv_reader;

/* Report a fault at a value, or at its key. The owner is put in front of the message.
 * Past JV_DIAG_LIMIT a fault is only counted, in constant time. */
void jv_reader_fault(jv_reader *r, jv_source at, bool at_key, jv_code code, const char *hint,
                     const char *message, ...) __attribute__((format(printf, 6, 7)));
/* True when further faults are only counted: no need to look for hints. */
bool jv_reader_full(const jv_reader *r);
void jv_reader_own(jv_reader *r, const char *kind, const char *name);
/* A text that lives as long as the circuit; NULL (and the circuit marked) without memory. */
const char *jv_reader_keep(jv_reader *r, const char *text);
/* Line and column of a value of the file or its key, as slots and parts hold them; keep: those
 * asked for next stand behind it. */
void jv_reader_mark(jv_reader *r, size_t offset, bool keep, uint32_t *line, uint16_t *column);
/* False when a text holds what a terminal would obey instead of showing it: control characters
 * but those of `also`, and marks that turn the direction of writing. */
bool jv_reader_shows(const char *text, const char *also);
/* False, and told, when a name is empty or does not show. */
bool jv_reader_is_name(jv_reader *r, jv_source at, bool at_key, const char *name);
/* Takes a name, which must live as long as the reader. False: it was taken; told here when
 * another section took it (the JSON reader has told of two in one object). */
bool jv_reader_take_name(jv_reader *r, jv_source at, const char *section, const char *name);
void jv_reader_free_names(jv_reader *r); /* all names are free again */
jv_source jv_reader_at(jv_source parent, const jv_json_value *node);

/* The nearest of several names, taken one by one. */
typedef struct jv_near {
    const char *word;
    const char *best; /* NULL = none is near enough to be a slip */
    size_t least;
} jv_near;
jv_near jv_near_begin(const char *word);
void jv_near_try(jv_near *n, const char *name);
/* "Did you mean ...?" into hint, or `otherwise`. */
void jv_near_hint(const jv_near *n, const char *otherwise, jv_text *hint);

#endif
