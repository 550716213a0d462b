/* resolve.h - where changes of a circuit file go, for who writes it anew.
 * SPDX-License-Identifier: MIT */
#ifndef READ_RESOLVE_H
#define READ_RESOLVE_H

#include "circuit/circuit.h"
#include "read/json.h"

/* "PART.KEY=VALUE", found in a file by the rules of change.h. */
typedef struct jv_resolved {
    const jv_json_value *object; /* whose key; NULL = refused */
    const char *key;             /* "KEY" or "KEY.ENTRY" */
    const jv_json_value *value;  /* a text, or a list or object */
} jv_resolved;

typedef struct jv_resolution {
    struct jv_reader *reader; /* keeps the texts */
    jv_resolved *items;
    size_t n;
} jv_resolution;

/* doc: of the file; it and the sets must outlive the resolution. scratch: a circuit that keeps the
 * keys. Changes that name nothing are reported in diags. JV_ERR_MEMORY. Always to be cleared. */
jv_status jv_resolve(const jv_json_doc *doc, jv_circuit *scratch, const char *const *sets, size_t n,
                     jv_diags *diags, jv_resolution *out);
void jv_resolution_clear(jv_resolution *r);

#endif
