/* find_out.h - what the outputs of the fault finder share. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_RENDER_FIND_OUT_H
#define JACKVOLT_RENDER_FIND_OUT_H

#include "jackvolt/find.h"
#include "render/json_out.h"

/* Suspects below this are not listed (but the first always is). */
#define JV_ODDS_LISTED 0.005

/* "faults": [{"fault", "part", "probability"}]; all: also those that are not likely. */
void jv_odds_json(jv_json *j, jv_json_node *root, const jv_circuit *c, const jv_finder *f,
                  bool all);

#endif
