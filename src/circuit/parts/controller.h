/* controller.h - the module that drives the motors. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_CONTROLLER_H
#define CIRCUIT_PARTS_CONTROLLER_H

#include "circuit/part_kind.h"

/* The outputs of a controller: index = first terminal, second = the other of a pair or -1. */
const jv_slot *jv_controller_outputs(const jv_circuit *c, const jv_part *p, size_t *n);
/* Volts between its pins and what it senses (reverse-battery drop), V; 0 when not given. */
double jv_controller_reverse_drop(const jv_scene *s, const jv_part *p);

#endif
