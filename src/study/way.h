/* way.h - the way of the current to a load and back. SPDX-License-Identifier: MIT */
#ifndef STUDY_WAY_H
#define STUDY_WAY_H

#include "jackvolt/drop.h"
#include "solve/point.h"

/* One element on the way, in the direction of the current. */
typedef struct jv_way_step {
    uint32_t element;
    int32_t from, to; /* nodes */
    double drop_v;    /* volts lost: >= 0 on a sound way */
    double current_a; /* >= 0 */
    jv_side side;
} jv_way_step;

typedef struct jv_way_found {
    jv_way_step *steps; /* from the source's plus to the load, then back to its minus */
    size_t n;
    double source_v; /* open-circuit volts met on the way */
    double lost_v;   /* what the steps lose together */
    double load_v;
} jv_way_found;

/* Follow the largest current from the load (element `load`) back to a source and round to
 * the load again. Leaves n = 0 when no current flows. JV_ERR_MEMORY. */
jv_status jv_way_find(const jv_net *net, const jv_point *point, uint32_t load, jv_way_found *out);
void jv_way_free(jv_way_found *way);

/* The element that the study names as the load: the running motor with the lowest volts,
 * else the element of a load that takes the most power; UINT32_MAX when nothing draws. */
uint32_t jv_way_load(const jv_net *net, const jv_point *point, bool *motor);

#endif
