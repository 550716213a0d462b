/* paint.c - colour on a terminal, and bars. SPDX-License-Identifier: MIT */
#include "render/paint.h"

#include <math.h>

void jv_paint(jv_text *out, bool colour, jv_tint tint, const char *text) {
    /* Select Graphic Rendition codes of ECMA-48: 1 bold, 31 red, 32 green, 33 yellow,
     * 0 back to plain. */
    static const char *const starts[] = {"", "\x1b[32m", "\x1b[31m", "\x1b[33m", "\x1b[1m"};
    bool painted = colour && tint != JV_TINT_NONE;
    if (painted)
        jv_text_add(out, starts[tint]);
    jv_text_add(out, text);
    if (painted)
        jv_text_add(out, "\x1b[0m");
}

void jv_bar(jv_text *out, double share, size_t width, bool ascii) {
    /* U+2589 .. U+258F count down from seven eighths to one. */
    static const char *const part_blocks[] = {"",
                                              "\xE2\x96\x8F",
                                              "\xE2\x96\x8E",
                                              "\xE2\x96\x8D",
                                              "\xE2\x96\x8C",
                                              "\xE2\x96\x8B",
                                              "\xE2\x96\x8A",
                                              "\xE2\x96\x89"};
    const size_t steps = ascii ? 1 : 8;     /* of one column */
    share = share > 0 ? fmin(share, 1) : 0; /* NaN compares false and becomes 0 */
    size_t filled = (size_t)lround(share * (double)(width * steps));
    if (share > 0 && !filled && width)
        filled = 1;
    size_t whole = filled / steps, part = filled % steps;
    jv_text_repeat(out, ascii ? "#" : "\xE2\x96\x88", whole);
    jv_text_add(out, part_blocks[part]);
    jv_text_repeat(out, " ", width - whole - (part != 0));
}
