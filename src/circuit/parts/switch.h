/* switch.h - what others ask a switch. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_SWITCH_H
#define CIRCUIT_PARTS_SWITCH_H

#include "circuit/part_kind.h"

/* Is it closed in this scene: by the case, else by the file? */
bool jv_switch_closed(const jv_scene *s, const jv_part *p);
/* What the case does to a part: 1 = opened, unplugged or switched off, 2 = switched on,
 * 0 = as the file says. */
int jv_scene_switching(const jv_scene *s, const jv_part *p);

#endif
