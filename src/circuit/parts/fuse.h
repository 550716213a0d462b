/* fuse.h - what fuses and breakers share. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_FUSE_H
#define CIRCUIT_PARTS_FUSE_H

#include "circuit/part_kind.h"
#include "jackvolt/protection.h"

/* First keys of fuse and breaker, in the order of their tables. */
enum {
    JV_FUSE_A,
    JV_FUSE_B,
    JV_FUSE_RATING,
    JV_FUSE_STYLE, /* breaker: the word of "reset" */
    JV_FUSE_CURVE,
    JV_FUSE_CURVE_SOURCE,
    JV_FUSE_RESISTANCE,
    JV_FUSE_KEYS
};

/* Rows that both tables have. */
#define JV_FUSE_KEY_A \
    { "a", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "terminal on one side" }
#define JV_FUSE_KEY_B \
    { "b", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "terminal on the other side" }
#define JV_FUSE_KEY_CURVE                                                                      \
    {                                                                                          \
        "curve", JV_KEY_CURVE, 0, 0, 0, 0, NULL, NULL, NULL,                                   \
            "its own opening times: [[percent of rating, least s, greatest s], ...], percent " \
            "rising"                                                                           \
    }
#define JV_FUSE_KEY_SOURCE \
    { "curve_source", JV_KEY_TEXT, 0, 0, 0, 0, NULL, NULL, NULL, "where the curve comes from" }

/* True for the parts that the functions below take. */
bool jv_fuse_is(const jv_part *p);
/* The opening times that hold for a fuse or breaker: its own curve (USABLE when its source
 * is named, else WEAK), else those of its style or of SAE J553. JV_ERR_UNKNOWN: neither. */
jv_status jv_fuse_part_curve(const jv_circuit *c, const jv_part *p, jv_time_curve *out);
/* The same as a device in air of air_c: what the air leaves of a fuse's rating is that of its style
 * (blade C when not given); up to 25 degC, and for a breaker, all of it. rating_a may be another
 * than the file's; NAN = the file's. */
jv_status jv_fuse_part_device(const jv_circuit *c, const jv_part *p, double rating_a, double air_c,
                              jv_device *out);
/* A curve that cannot be used, or whose source is missing. */
void jv_fuse_check(const jv_circuit *c, const jv_part *p, jv_diags *d);
void jv_fuse_connect(jv_wiring *w, const jv_circuit *c, const jv_part *p);
void jv_fuse_load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n);

void jv_fuse_remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                    const double *v, const double *i, const double *r, jv_remarks *out);

#endif
