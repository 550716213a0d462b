/* remark.c - collects what part kinds say of themselves. SPDX-License-Identifier: MIT */
#include "circuit/remark.h"

void jv_remark(jv_remarks *r, bool serious, const char *format, ...) {
    if (r->n == r->room || r->failed)
        return;
    jv_text t = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&t, format, args);
    va_end(args);
    const char *copy = t.failed ? NULL : jv_arena_copy(r->arena, jv_text_str(&t), t.length);
    jv_text_clear(&t);
    if (!copy) {
        r->failed = true;
        return;
    }
    jv_remark_item item = {r->part, serious, copy};
    r->list[r->n++] = item;
}
