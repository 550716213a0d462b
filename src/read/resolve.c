/* resolve.c - where changes of a circuit file go. SPDX-License-Identifier: MIT */
#include "read/resolve.h"

#include "read/change.h"

#include <string.h>

jv_status jv_resolve(const jv_json_doc *doc, jv_circuit *scratch, const char *const *sets, size_t n,
                     jv_diags *diags, jv_resolution *out) {
    memset(out, 0, sizeof *out);
    if (n == 0) {
        return JV_OK;
    }
    out->reader = jv_zalloc(1, sizeof *out->reader);
    out->items = jv_zalloc(n, sizeof *out->items);
    if (out->reader == NULL || out->items == NULL) {
        return JV_ERR_MEMORY;
    }
    out->reader->circuit = scratch;
    out->reader->diags = diags;
    out->reader->doc = doc;
    jv_status status = jv_changes_read(out->reader, sets, n);
    for (size_t i = 0; i < out->reader->n_changes && status == JV_OK; i++) {
        const jv_change *c = &out->reader->changes[i];
        out->items[out->n++] = (jv_resolved){c->object, c->key, c->value};
    }
    return status;
}

void jv_resolution_clear(jv_resolution *r) {
    if (r->reader != NULL) {
        jv_changes_clear(r->reader);
    }
    jv_free(r->reader);
    jv_free(r->items);
    memset(r, 0, sizeof *r);
}
