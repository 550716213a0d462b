/* breaker.h - what a sequence asks of a breaker. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_BREAKER_H
#define CIRCUIT_PARTS_BREAKER_H

#include "circuit/part_kind.h"

/* Time in which an automatic one has cooled and closes again; `otherwise` when not given. */
double jv_breaker_reset_s(const jv_scene *s, const jv_part *p, double otherwise);

#endif
