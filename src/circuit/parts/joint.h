/* joint.h - the ohms of joints whose file gives none. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_JOINT_H
#define CIRCUIT_PARTS_JOINT_H

#include "circuit/part_kind.h"
#include "jackvolt/tables.h"

/* A published range as a value: log-normal about the typical figure, wide enough to
 * hold both ends. low may be 0 or unknown; then only the upper end counts. */
jv_value jv_joint_spread(const jv_range *range);
/* Gives the newest part's key the ohms of a sound joint of this kind: the typical figure
 * of the table, else half the largest allowed of a new one, else a judgement. */
void jv_joint_assume(jv_circuit *c, unsigned key, jv_contact_kind kind);

#endif
