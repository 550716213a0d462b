/* form.h - the keys that an object of a circuit file may have. SPDX-License-Identifier: MIT */
#ifndef READ_FORM_H
#define READ_FORM_H

#include "read/reader.h"

/* What the value of a key looks like where jv_key.type does not say it. */
typedef enum jv_shape {
    JV_SHAPE_KEY, /* as key.type says */
    JV_SHAPE_COMMENT,
    JV_SHAPE_WATCHED, /* [terminal, terminal] or the name of a controller */
    JV_SHAPE_LOADS,   /* {PART: load} */
    JV_SHAPE_LIST,    /* [PART, ...] */
    JV_SHAPE_PARTS,
    JV_SHAPE_WATCHES,
    JV_SHAPE_CASES,
    JV_SHAPE_WAIVERS, /* {RULE or "RULE at PART": waiver} */
    JV_SHAPE_SEQUENCES,
    JV_SHAPE_STEPS,     /* [step, ...] */
    JV_SHAPE_STEP_LOADS /* {PART: load} or [PART, ...] */
} jv_shape;

/* One key of the file itself, of a watch or of a case. A new section of the file is one
 * row of jv_file_rows. */
typedef struct jv_row {
    jv_key key; /* first: names are found through it */
    jv_shape shape;
    void (*take)(jv_reader *r, void *object, const jv_key *key, jv_source from);
} jv_row;

/* Names of keys in an array of jv_key or jv_row. */
typedef struct jv_names {
    const void *base;
    size_t stride;
    size_t count;
} jv_names;
const char *jv_names_at(const jv_names *names, size_t i);

enum { JV_FORM_MOST = 64 }; /* keys of one object, all together */

/* Find the value of each key of the blocks of names (numbered through), with the changes
 * of this run put in; found holds JV_FORM_MOST entries. Unknown keys are reported. An entry
 * with a doc and no node stands for a key whose value is known to be bad, or whose name was
 * misspelt: both are reported, the key is not missing. */
void jv_form_gather(jv_reader *r, jv_source object, const jv_names *blocks, size_t n_blocks,
                    jv_source *found);
/* Report a needed key that is absent; at: the object. */
void jv_form_missing(jv_reader *r, jv_source object, const jv_key *key);
/* Read a whole object by rows: each row's take in the order of the rows. */
void jv_form_read(jv_reader *r, const jv_row *rows, size_t n_rows, jv_source object, void *target);
/* True when node is an object; otherwise the fault is reported. what: "a part". */
bool jv_form_is_object(jv_reader *r, jv_source from, const char *what);

extern const jv_row jv_file_rows[], jv_watch_rows[], jv_case_rows[], jv_waiver_rows[];
extern const size_t jv_file_rows_count, jv_watch_rows_count, jv_case_rows_count,
    jv_waiver_rows_count;
extern const jv_row jv_plan_rows[], jv_step_rows[];
extern const size_t jv_plan_rows_count, jv_step_rows_count;
/* Keys of every part: "is", "comment", "with". */
enum { JV_COMMON_IS, JV_COMMON_COMMENT, JV_COMMON_WITH, JV_COMMON_KEYS };
extern const jv_row jv_part_rows[JV_COMMON_KEYS];

#endif
