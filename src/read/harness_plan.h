/* harness_plan.h - what renderers need of a plan. SPDX-License-Identifier: MIT */
#ifndef READ_HARNESS_PLAN_H
#define READ_HARNESS_PLAN_H

#include "jackvolt/harness.h"
#include "read/harness_side.h"

/* The name that a terminal of the side file gets in the circuit: that of the joint when it is
 * one of the points of the harness, else itself. */
const char *jv_harness_plan_name(const jv_harness_plan *plan, const char *name);
/* The part of the side file that adds keys to a part of the harness; NULL = none. */
const jv_json_value *jv_harness_plan_added(const jv_harness_plan *plan, const char *part);
/* Is a part of the side file one that adds keys to a part of the harness? */
bool jv_harness_plan_adds(const jv_harness_plan *plan, const jv_json_value *part);
/* A point's name behind its connector's. */
const char *jv_harness_plan_cavity(const jv_harness_plan *plan, size_t point);

#endif
