/* file.h - a whole input file in memory. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_READ_FILE_H
#define JACKVOLT_READ_FILE_H

#include "jackvolt/diag.h"
#include "jackvolt/status.h"

#include <stdbool.h>
#include <stddef.h>

/* Read a file, or standard input when path is "-". On JV_OK *data is zero-terminated
 * behind *size bytes and freed with jv_free. max_bytes: larger inputs are refused
 * before they are read, where the system knows the size, and as soon as they pass it
 * (pipes) where not. JV_ERR_SYSTEM: the reason (missing, no permission, a directory, too
 * large, read error) is in diags. JV_ERR_MEMORY: no memory. Needs no locale. */
jv_status jv_file_read(const char *path, size_t max_bytes, jv_diags *diags, char **data,
                       size_t *size);

/* Hand a file, or standard input when path is "-", piece by piece to `take`, which answers
 * whether it wants more (JV_OK comes back when it does not). Refused as above. */
jv_status jv_file_stream(const char *path, size_t max_bytes, jv_diags *diags,
                         bool (*take)(void *ctx, const char *bytes, size_t length), void *ctx);

#endif
