/* card_part.h - how the page of a card looks and what its script does. SPDX-License-Identifier: MIT
 */
#ifndef RENDER_CARD_PART_H
#define RENDER_CARD_PART_H

#include "render/page.h"

/* None of < > & may stand in either (page.h). */
extern const char *const jv_card_css[];
extern const char jv_card_rules[];
extern const char jv_card_script[];

#endif
