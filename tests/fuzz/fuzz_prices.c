/* fuzz_prices.c - any bytes as a price list. SPDX-License-Identifier: MIT */
#include "jackvolt/memory.h"
#include "jackvolt/size.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void require(bool holds) {
    if (!holds)
        abort();
}

/* Either prices above zero, or a reason for each refusal. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char *text = malloc(size + 1);
    jv_diags d = {0};
    jv_price *prices = NULL;
    size_t n = 0;
    if (!text)
        return 0;
    memcpy(text, data, size);
    text[size] = '\0';
    jv_status status = jv_prices_read_text(text, "list", &d, &prices, &n);
    require(status == JV_OK || status == JV_ERR_INPUT || status == JV_ERR_MEMORY);
    require((status == JV_OK) == (prices != NULL));
    require(status != JV_ERR_INPUT || d.errors > 0);
    for (size_t i = 0; i < n; i++)
        require(prices[i].per_m > 0 && isfinite(prices[i].per_m));
    jv_free(prices);
    jv_diags_clear(&d);
    free(text);
    return 0;
}
