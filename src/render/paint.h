/* paint.h - colour on a terminal, and bars. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_RENDER_PAINT_H
#define JACKVOLT_RENDER_PAINT_H

#include "jackvolt/render.h"

/* What a text says; the colour follows. Colour is never the only sign: the words say
 * the same. */
typedef enum jv_tint {
    JV_TINT_NONE,
    JV_TINT_GOOD,
    JV_TINT_BAD,
    JV_TINT_UNSURE,
    JV_TINT_STRONG
} jv_tint;

/* Append text in a tint; plain when colour is false or the tint is none. */
void jv_paint(jv_text *out, bool colour, jv_tint tint, const char *text);

/* A bar of `width` columns filled to `share` (clamped to 0 .. 1; NaN is empty), in
 * eighths of a column with block characters, in whole columns of '#' with ascii.
 * Padded with spaces to the width. A share above zero always shows. */
void jv_bar(jv_text *out, double share, size_t width, bool ascii);

#endif
