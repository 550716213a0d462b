/* levers.h - how far a watch is from its limit, in terms of repairs. SPDX-License-Identifier: MIT
 */
#ifndef STUDY_LEVERS_H
#define STUDY_LEVERS_H

#include "study/watch.h"
#include "study/way.h"

/* Works on a net and system that are at their operating point and leaves them there.
 * charge_faults: JV_WAY_CHARGE faults of the net, one a battery (their value is moved), with
 * charge_now[n]; n = 0 where no battery's charge is known. JV_ERR_MEMORY. */
typedef struct jv_lever_bench {
    jv_system *system;
    const jv_way_found *way;
    jv_fault *charge_faults;
    const double *charge_now;
    size_t n_batteries;
    double now_v; /* what the watch sees now */
} jv_lever_bench;

jv_status jv_levers_find(const jv_lever_bench *bench, const jv_watch *watch, jv_levers *out);

#endif
