/* doubt.h - does a verdict hang on figures that nobody gave? SPDX-License-Identifier: MIT */
#ifndef STUDY_DOUBT_H
#define STUDY_DOUBT_H

#include "solve/point.h"

/* Ohms that nobody gave: fallbacks of the parts, and those of batteries of which only the
 * capacity is known. */
typedef struct jv_doubt {
    jv_system *system;   /* at its operating point, and left there */
    jv_fault *batteries; /* JV_WAY_WEAK faults of the net, value 1, one a battery */
    size_t n_batteries;
} jv_doubt;

/* How many batteries of the circuit are in doubt, and their faults; room for n_parts. */
size_t jv_doubt_batteries(const jv_scene *s, jv_fault *faults);
/* What each watch of the circuit sees with all of them at their greatest (low_v) and at
 * their least (high_v). NAN where there is no operating point. JV_ERR_MEMORY. */
jv_status jv_doubt_find(const jv_doubt *d, double *low_v, double *high_v);

#endif
