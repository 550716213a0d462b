/* inrush.h - what the start of motors takes out of a fuse. SPDX-License-Identifier: MIT */
#ifndef STUDY_INRUSH_H
#define STUDY_INRUSH_H

#include "circuit/circuit.h"

/* The first motor of a case whose start nobody knows: neither its spin_up nor the inertia of its
 * motor is given; NULL = all are known. */
const char *jv_inrush_unknown(const jv_circuit *c, const jv_case *k);

/* All motors of the case start at once at the strongest source, from rest, in time: of each part,
 * the share of its earliest opening (theory P6) that is used when they are up to speed (fuses and
 * breakers with a curve; else 0), and the greatest current. used, most_a: of each part of c.
 * JV_ERR_UNSOLVED: it does not start. JV_ERR_MEMORY. */
jv_status jv_inrush_find(const jv_circuit *c, const jv_case *k, double *used, double *most_a);

#endif
