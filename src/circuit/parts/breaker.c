/* breaker.c - a thermal circuit breaker. SPDX-License-Identifier: MIT */
#include "circuit/parts/breaker.h"

#include "circuit/kinds.h"
#include "circuit/parts/fuse.h"

#include <math.h>

/* Drop of a sound thermal breaker at its rating, and the factor of its spread: judgement,
 * no published source. */
static const double drop_at_rating_v = 0.1;
static const double drop_factor = 2.0;

enum { RESET_TIME = JV_FUSE_KEYS, BREAKER_KEYS };

static const jv_key keys[BREAKER_KEYS] = {
    JV_FUSE_KEY_A,
    JV_FUSE_KEY_B,
    {"rating", JV_KEY_QUANTITY, JV_DIM_CURRENT, JV_NEEDED | JV_NO_SPREAD, 0, 0, NULL, NULL, NULL,
     "rated current"},
    {"reset", JV_KEY_WORD, 0, 0, 0, 0, "automatic|modified|manual", NULL, NULL,
     "how it closes again; automatic when absent, the kind that cycles on a fault"},
    JV_FUSE_KEY_CURVE,
    JV_FUSE_KEY_SOURCE,
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "ohms of the closed breaker; 0.1 V at its rating when absent"},
    {"reset_time", JV_KEY_QUANTITY, JV_DIM_TIME, 0, 0, 0, NULL, NULL, NULL,
     "automatic: time until it has cooled and closes; 15 s in a sequence when absent"},
};

static void assume(jv_circuit *c, const jv_part *p) {
    const jv_slot *rating = jv_part_slot(c, p, JV_FUSE_RATING);
    if (!rating || !(rating->value.nominal > 0.0))
        return;
    double ohm = drop_at_rating_v / rating->value.nominal;
    jv_value v = {ohm, ohm / drop_factor, ohm * drop_factor, JV_LOG_NORMAL};
    jv_circuit_assume(c, JV_FUSE_RESISTANCE, &v,
                      "0.1 V at its rating: judgement, no published source");
}

/* Weak or mis-sized 0.02 of the complaints, split by judgement. */
static const jv_failure failures[] = {
    {JV_WAY_OPEN, "open", 0.012, 0, 0,
     "find what tripped it; reset it once, or replace it by one of the same rating, never a larger "
     "one",
     15.0, "judgement, no published source"},
    {JV_WAY_ADDED, "<R> added", 0.008, 0.004, 0.100, "replace it by one of the same rating", 15.0,
     "judgement, no published source"},
};

double jv_breaker_reset_s(const jv_scene *s, const jv_part *p, double otherwise) {
    return jv_scene_value(s, p, RESET_TIME, otherwise);
}

const jv_part_kind jv_kind_breaker = {
    .name = "breaker",
    .summary = "a thermal circuit breaker",
    .keys = keys,
    .n_keys = BREAKER_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_series = true,
    .assume = assume,
    .check = jv_fuse_check,
    .connect = jv_fuse_connect,
    .load = jv_fuse_load,
    .remark = jv_fuse_remark,
};
