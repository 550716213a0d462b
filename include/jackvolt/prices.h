/* prices.h - price lists of cable. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_PRICES_H
#define JACKVOLT_PRICES_H

#include "jackvolt/diag.h"
#include "jackvolt/quantity.h"
#include "jackvolt/status.h"

#include <stddef.h>

typedef struct jv_price {
    jv_size size;
    double per_m; /* any currency */
} jv_price;

/* Read a price list: one size a line, "6 AWG, 2.40" or "16 mm2, 3.10 per m" or "... per ft"; per
 * metre when nothing is said; empty lines and lines that begin with # are passed over. *out is
 * freed with jv_free. JV_ERR_INPUT, JV_ERR_SYSTEM: reasons in diags. JV_ERR_MEMORY. */
jv_status jv_prices_read_file(const char *path, jv_diags *diags, jv_price **out, size_t *n);
jv_status jv_prices_read_text(const char *text, const char *name, jv_diags *diags, jv_price **out,
                              size_t *n);

#endif
