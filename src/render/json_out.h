/* json_out.h - a JSON document, built and printed. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_RENDER_JSON_OUT_H
#define JACKVOLT_RENDER_JSON_OUT_H

#include "jackvolt/status.h"
#include "jackvolt/text.h"

/* The one place that knows cJSON. Members keep the order in which they are added.
 * A node function takes the parent (object: key needed; array: key NULL) and may be
 * given a NULL parent after a failure: it then does nothing, so that only
 * jv_json_print needs its status checked. Numbers have the shortest digits that read
 * back exactly, no minus zero; what is not finite becomes null with a member
 * "KEY_reason" behind it. */

typedef struct jv_json {
    struct jv_json_node *root;
    bool failed;
    bool fills; /* lines are filled: short members of an object share a line */
} jv_json;
typedef struct jv_json_node jv_json_node;

/* Start a document whose root is an object; j is zeroed by this. */
jv_json_node *jv_json_begin(jv_json *j);
jv_json_node *jv_json_object(jv_json *j, jv_json_node *parent, const char *key);
jv_json_node *jv_json_array(jv_json *j, jv_json_node *parent, const char *key);
/* reason: why the value is not finite, NULL = "not a finite number". */
void jv_json_number(jv_json *j, jv_json_node *parent, const char *key, double value,
                    const char *reason);
void jv_json_text(jv_json *j, jv_json_node *parent, const char *key, const char *value);
void jv_json_bool(jv_json *j, jv_json_node *parent, const char *key, bool value);
/* null, and "KEY_reason" (not in an array, and not when reason is NULL). */
void jv_json_null(jv_json *j, jv_json_node *parent, const char *key, const char *reason);
/* Append the document, two spaces a level, what is flat and short on one line, with a
 * newline at its end; then free it. JV_ERR_MEMORY when any step ran out of memory. */
jv_status jv_json_print(jv_json *j, jv_text *out);
/* Free without printing. */
void jv_json_clear(jv_json *j);

#endif
