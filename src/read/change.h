/* change.h - changes to a circuit file for one run. SPDX-License-Identifier: MIT */
#ifndef READ_CHANGE_H
#define READ_CHANGE_H

#include "read/form.h"

/* "PART.KEY=VALUE": read before the file is interpreted, put in where the object that it
 * names is read. The object is known by its node in the file. */
typedef struct jv_change {
    const char *text;            /* as given; lives as long as the reader */
    jv_json_doc doc;             /* of the text, named "--set" */
    jv_json_value plain;         /* VALUE as a text */
    const jv_json_value *value;  /* plain, or a list or object read from VALUE */
    const jv_json_value *object; /* whose key it is; NULL = refused */
    char *key;                   /* "KEY" or "KEY.ENTRY" of a map */
} jv_change;

/* Find the objects that the changes name; reports those that name none. JV_ERR_MEMORY. */
jv_status jv_changes_read(jv_reader *r, const char *const *sets, size_t n);
void jv_changes_clear(jv_reader *r);
/* Put the changes of an object in the place of its own values (form.h); unknown keys are
 * reported. */
void jv_changes_put(jv_reader *r, const jv_json_value *object, const jv_names *blocks,
                    size_t n_blocks, jv_source *found);
/* The value of one entry of a map of the object that is read (r->object), or a change of it:
 * "lift.left jack". */
jv_source jv_changes_entry(const jv_reader *r, const char *key, jv_source entry);

#endif
