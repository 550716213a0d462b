/* cautions.c - what stands before any advice on fuses and cables. SPDX-License-Identifier: MIT */
#include "render/cautions.h"

const char jv_caution_codes[] =
    "Local codes, the vehicle maker's instructions and licensed practice come first. These are "
    "estimates, no certificate of safety.";

void jv_cautions_print(const jv_style *style, jv_text *out) {
    static const char *const cautions[] = {
        "DANGER: nobody goes under a vehicle that stands on its jacks. Wheels down and chocked.",
        "WARNING: a shorted cable burns and throws metal. Before any cable comes off: rings and "
        "watch off, every source away (battery, second battery, charger, solar panel, tow "
        "vehicle), the minus clamp first and on again last. Think of the breakaway brake and of "
        "saved positions before that.",
        "WARNING: a fuse guards its cable: the same type at the source end, never one above what "
        "the cable carries, never bridged.",
        jv_caution_codes};
    for (size_t i = 0; i < sizeof cautions / sizeof cautions[0]; i++)
        jv_wrap(out, cautions[i], 0, style->width);
    jv_text_add_char(out, '\n');
}
