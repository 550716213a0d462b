/* sha256.h - the SHA-256 digest of FIPS 180-4. SPDX-License-Identifier: MIT */
#ifndef BASE_SHA256_H
#define BASE_SHA256_H

#include <stddef.h>

/* The digest of length bytes as 64 lower-case hex digits with a zero behind them. It names
 * the input of a report: no secret hangs on it. */
void jv_sha256_hex(const void *data, size_t length, char out[65]);

#endif
