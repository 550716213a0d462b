/* read.h - circuit files. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_READ_H
#define JACKVOLT_READ_H

#include "jackvolt/circuit.h"
#include "jackvolt/diag.h"
#include "jackvolt/status.h"

#include <stddef.h>

/* The form of a circuit file is docs/format.md; its JSON Schema docs/circuit.schema.json. */

/* Zero means the default. */
typedef struct jv_read_options {
    const char *const *sets; /* "PART.KEY=VALUE", changes for this run; later ones win */
    size_t n_sets;
} jv_read_options;

/* Read a circuit file ("-" = standard input) or a text in memory. All faults of the input
 * are collected in diags (warnings may be there after JV_OK too). JV_ERR_INPUT: refused;
 * JV_ERR_SYSTEM: the file cannot be read (reason in diags); JV_ERR_MEMORY. options may be
 * NULL. *out must be freed with jv_circuit_free; name (for messages) is copied. */
jv_status jv_circuit_read_file(const char *path, const jv_read_options *options, jv_diags *diags,
                               jv_circuit **out);
jv_status jv_circuit_read_text(const char *text, size_t length, const char *name,
                               const jv_read_options *options, jv_diags *diags, jv_circuit **out);

#endif
