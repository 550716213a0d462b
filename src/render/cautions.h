/* cautions.h - what stands before any advice on fuses and cables. SPDX-License-Identifier: MIT */
#ifndef RENDER_CAUTIONS_H
#define RENDER_CAUTIONS_H

#include "jackvolt/render.h"

/* Dangers first, then what comes before our word: codes, maker, licensed practice. */
void jv_cautions_print(const jv_style *style, jv_text *out);
/* The last of them alone, for machines. */
extern const char jv_caution_codes[];

#endif
