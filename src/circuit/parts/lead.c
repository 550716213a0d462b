/* lead.c - a thin signal or supply lead. SPDX-License-Identifier: MIT */
#include "circuit/kinds.h"
#include "circuit/parts/cable.h"

/* Chafed or open sensor leads together 0.06 of the complaints, split by judgement.
 * Severity of a bad joint in a thin lead: ohms, not milliohms, before anyone notices. */
static const jv_failure failures[] = {
    {JV_WAY_SHORT, "shorted to <T> at <P> from <E>", 0.03, 0, 0,
     "replace or mend the lead, keep it off the edge that chafed it", 30.0,
     "judgement, no published source"},
    {JV_WAY_OPEN, "open", 0.02, 0, 0, "replace or mend the lead", 30.0,
     "judgement, no published source"},
    {JV_WAY_ADDED, "<R> added", 0.01, 1.0, 1000.0, "clean and refit its ends, or replace the lead",
     30.0, "judgement, no published source"},
};

const jv_part_kind jv_kind_lead = {
    .name = "lead",
    .summary = "a thin signal or supply lead",
    .keys = jv_cable_keys,
    .n_keys = JV_CABLE_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_series = true,
    .check = jv_cable_check,
    .connect = jv_cable_connect,
    .load = jv_cable_load,
    .remark = jv_cable_remark,
};
