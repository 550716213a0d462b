/* harness_side.h - a side file in memory. SPDX-License-Identifier: MIT */
#ifndef READ_HARNESS_SIDE_H
#define READ_HARNESS_SIDE_H

#include "circuit/part_kind.h"
#include "jackvolt/harness.h"
#include "read/json.h"

struct jv_harness_side {
    char *text;
    jv_json_doc doc;
    jv_arena arena;
    const char *name;
};

/* A section of the side file; NULL = absent, or no object. */
const jv_json_value *jv_harness_side_section(const jv_harness_side *side, const char *name);
/* The kind that a part of it says it is; NULL = none or an unknown one. */
const jv_part_kind *jv_harness_side_kind(const jv_json_value *part);
/* The key of a kind that holds names of terminals, by the member that gives it; NULL = it
 * holds none. */
const jv_key *jv_harness_side_key(const jv_part_kind *kind, const jv_json_value *member);

/* Every name of a terminal in a value of such a key: `use` is called for each. */
typedef void (*jv_harness_use)(void *ctx, const jv_json_value *at, const char *name);
void jv_harness_side_names(jv_key_type type, const jv_json_value *value, jv_harness_use use,
                           void *ctx);

#endif
