/* fuzz_quantity.c - any bytes as a quantity of any dimension and as a size.
 * SPDX-License-Identifier: MIT */
#include "jackvolt/quantity.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void require(bool holds) {
    if (!holds) {
        abort();
    }
}

static void check_value(const jv_value *v, jv_dim dim) {
    const double rounding = 1e-12;
    jv_text out = {0};
    require(isfinite(v->nominal) && isfinite(v->low) && isfinite(v->high));
    require(v->low <= v->high);
    require(v->nominal >= v->low - rounding * fabs(v->low));
    require(v->nominal <= v->high + rounding * fabs(v->high));
    for (int z = -40; z <= 40; z += 8) {
        require(!isnan(jv_value_at(v, z)));
    }
    jv_quantity_print(&out, v->nominal, dim, JV_UNITS_US, 9);
    require(out.failed || out.length > 0);
    jv_text_clear(&out);
}

static void check_fault(const jv_quantity_fault *fault, size_t length) {
    size_t bad;
    const size_t message = strlen(fault->message);
    require(fault->code != 0 && fault->offset <= length);
    require(message > 0 && message < sizeof fault->message);
    require(strlen(fault->hint) < sizeof fault->hint);
    require(jv_text_is_utf8(fault->message, message, &bad));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char *text = malloc(size + 1);
    if (text == NULL) {
        return 0;
    }
    if (size > 0) {
        memcpy(text, data, size);
    }
    text[size] = '\0';
    for (int dim = 0; dim < JV_DIM_COUNT_; dim++) {
        jv_value value;
        jv_quantity_fault fault = {0};
        if (jv_quantity_read(text, (jv_dim)dim, &value, &fault) == JV_OK) {
            check_value(&value, (jv_dim)dim);
        } else {
            check_fault(&fault, strlen(text));
        }
    }
    jv_size conductor;
    jv_size again;
    jv_quantity_fault fault = {0};
    if (jv_size_read(text, &conductor, &fault) == JV_OK) {
        jv_text out = {0};
        jv_size_print(&out, &conductor);
        require(jv_size_read(jv_text_str(&out), &again, NULL) == JV_OK);
        require(again.system == conductor.system && again.gauge == conductor.gauge &&
                again.area_mm2 == conductor.area_mm2);
        jv_text_clear(&out);
    } else {
        check_fault(&fault, strlen(text));
    }
    free(text);
    return 0;
}
