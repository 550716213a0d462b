/* remarks.h - what a person should know of an operating point. SPDX-License-Identifier: MIT */
#ifndef STUDY_REMARKS_H
#define STUDY_REMARKS_H

#include "jackvolt/drop.h"
#include "solve/point.h"

/* Fills out->remarks from what each kind says of its parts and from the solution as a
 * whole; sets out->finding when one is serious. Texts go to the arena. */
jv_status jv_remarks_gather(const jv_net *net, const jv_point *point, jv_arena *arena,
                            jv_drop_case *out);

#endif
