/* fuse.c - a fuse in its holder. SPDX-License-Identifier: MIT */
#include "circuit/parts/fuse.h"

#include "circuit/kinds.h"
#include "circuit/parts/joint.h"

#include <math.h>

static const jv_key keys[JV_FUSE_KEYS] = {
    JV_FUSE_KEY_A,
    JV_FUSE_KEY_B,
    {"rating", JV_KEY_QUANTITY, JV_DIM_CURRENT, JV_NEEDED | JV_NO_SPREAD, 0, 0, NULL, NULL, NULL,
     "rated current"},
    {"style", JV_KEY_WORD, 0, 0, 0, 0, "blade C|blade E|blade F|bolt-in strip|glass", NULL, NULL,
     "what fuse it is: gives its ohms and its opening times"},
    JV_FUSE_KEY_CURVE,
    JV_FUSE_KEY_SOURCE,
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "ohms of the fuse, warm; that of its style and rating at rated current when absent"},
};

bool jv_fuse_is(const jv_part *p) {
    return p->kind == &jv_kind_fuse || p->kind == &jv_kind_breaker;
}

/* The user's curve of a part, JV_ERR_RANGE when it cannot stand, JV_ERR_UNKNOWN when absent. */
static jv_status own_curve(const jv_circuit *c, const jv_part *p, jv_time_curve *out) {
    size_t n;
    const jv_slot *slots = jv_part_entries(c, p, JV_FUSE_CURVE, &n);
    if (!n)
        return JV_ERR_UNKNOWN;
    if (n > JV_TIME_POINTS)
        return JV_ERR_RANGE;
    double points[JV_TIME_POINTS][3];
    for (size_t i = 0; i < n; i++) {
        points[i][0] = slots[i].value.nominal;
        points[i][1] = slots[i].value.low;
        points[i][2] = slots[i].value.high;
    }
    bool sourced = jv_part_has(c, p, JV_FUSE_CURVE_SOURCE);
    return jv_fuse_user_curve((const double(*)[3])points, n, sourced ? JV_USABLE : JV_WEAK, out);
}

jv_status jv_fuse_part_curve(const jv_circuit *c, const jv_part *p, jv_time_curve *out) {
    if (!jv_fuse_is(p))
        return JV_ERR_RANGE;
    jv_status own = own_curve(c, p, out);
    if (own != JV_ERR_UNKNOWN)
        return own;
    int word = jv_part_word(c, p, JV_FUSE_STYLE, -1);
    /* SAE J553 sets the same limits for its three types. */
    if (p->kind == &jv_kind_breaker)
        return jv_table_breaker_curve(word < 0 ? JV_BREAKER_AUTOMATIC : (jv_breaker_type)word, out);
    const jv_slot *rating = jv_part_slot(c, p, JV_FUSE_RATING);
    if (word < 0 || !rating)
        return JV_ERR_UNKNOWN;
    return jv_table_fuse_curve((jv_fuse_style)word, rating->value.nominal, out);
}

jv_status jv_fuse_part_device(const jv_circuit *c, const jv_part *p, double rating_a, double air_c,
                              jv_device *out) {
    static const double sheet_air_c = 25; /* up to here a fuse's sheet holds as printed */
    const jv_slot *rating = jv_part_slot(c, p, JV_FUSE_RATING);
    jv_device d = {.rating_a = rating_a, .share = 1};
    jv_status status = jv_fuse_part_curve(c, p, &d.curve);
    if (status != JV_OK || !rating)
        return status == JV_OK ? JV_ERR_UNKNOWN : status;
    if (isnan(rating_a))
        d.rating_a = rating->value.nominal;
    d.confidence = d.curve.confidence;
    int style = jv_part_word(c, p, JV_FUSE_STYLE, JV_FUSE_BLADE_C);
    jv_figure share;
    if (p->kind == &jv_kind_fuse && air_c > sheet_air_c &&
        jv_table_fuse_ambient((jv_fuse_style)style, air_c, &share) == JV_OK) {
        d.share = share.value;
        d.confidence = jv_confidence_worse(d.confidence, share.confidence);
    }
    *out = d;
    return JV_OK;
}

void jv_fuse_check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    jv_time_curve curve;
    if (own_curve(c, p, &curve) == JV_ERR_RANGE)
        jv_part_fault(
            d, c, p, JV_FUSE_CURVE, JV_CODE_QUANTITY_RANGE,
            "Write for example [[135, 0.75, 600], [200, 0.15, 5]].",
            "the curve of \"%s\" must have 1 to %d points of rising percent, each with its "
            "least time no longer than its greatest",
            p->name, (int)JV_TIME_POINTS);
    if (jv_part_has(c, p, JV_FUSE_CURVE_SOURCE) && !jv_part_has(c, p, JV_FUSE_CURVE))
        jv_part_fault(d, c, p, JV_FUSE_CURVE_SOURCE, JV_CODE_KEY_MISSING,
                      "Give \"curve\", or take \"curve_source\" out.",
                      "\"%s\" names the source of a curve that it does not have", p->name);
}

/* Cold ohms; *why names where they come from. */
static double cold_ohm(int style, double rating_a, const char **why) {
    /* Cold ohms times rating of blade fuses of 15 A and more, V: derived from their sheets
     * (56 to 68 mV); taken for a style that is not given or has no figure. */
    static const double thumb_v = 0.06;
    jv_figure cold;
    if (style >= 0 && jv_table_fuse_resistance((jv_fuse_style)style, rating_a, &cold) == JV_OK) {
        *why = cold.source->title;
        return cold.value;
    }
    *why = "0.06 V over its rating, derived from the sheets of blade fuses";
    return thumb_v / rating_a;
}

/* The ohms at rated current; the spread reaches down to the cold ones, so that a fuse that
 * runs cool is not taken for another one. */
static void assume(jv_circuit *c, const jv_part *p) {
    const jv_slot *rating = jv_part_slot(c, p, JV_FUSE_RATING);
    if (!rating || !(rating->value.nominal > 0.0))
        return;
    const char *why;
    double cold = cold_ohm(jv_part_word(c, p, JV_FUSE_STYLE, -1), rating->value.nominal, &why);
    jv_range ratio;
    bool hot = jv_table_fuse_hot_ratio(&ratio) == JV_OK;
    double warm = hot ? cold * ratio.typical : cold;
    jv_range range = {.low = cold, .typical = warm, .high = warm};
    jv_value v = jv_joint_spread(&range);
    jv_circuit_assume(c, JV_FUSE_RESISTANCE, &v, "%s; cold figure: %s",
                      hot ? "warm from its rated current" : "taken cold", why);
}

void jv_fuse_connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_wiring_add(w, p, JV_SERIES, 0, jv_part_terminal(c, p, JV_FUSE_A),
                  jv_part_terminal(c, p, JV_FUSE_B), -1);
}

void jv_fuse_load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    e->r = jv_scene_value(s, p, JV_FUSE_RESISTANCE, NAN);
    e->r_slope = 0.0;
}

/* Open as the root cause 0.01, heated or loose holder 0.03 of the complaints (judgement). */
static const jv_failure failures[] = {
    {JV_WAY_OPEN, "open", 0.01, 0, 0,
     "find what opened it, then fit a fuse of the same rating, never a larger one", 5.0,
     "judgement, no published source"},
    {JV_WAY_ADDED, "<R> added", 0.03, 0.004, 0.100, "clean or replace the holder", 20.0,
     "judgement, no published source"},
};

/* More than its rating: when it may open. */
void jv_fuse_remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                    const double *v, const double *i, const double *r, jv_remarks *out) {
    (void)v;
    (void)r;
    (void)n;
    double rating = jv_scene_value(s, p, JV_FUSE_RATING, NAN), share = fabs(i[0]) / rating;
    jv_time_curve curve;
    if (e->open || !(share > 1.0))
        return;
    if (jv_fuse_part_curve(s->circuit, p, &curve) != JV_OK) {
        jv_remark(out, true,
                  "carries %.0f A, %.0f %% of its rating; when it opens is unknown: give its "
                  "\"style\" or \"curve\"",
                  fabs(i[0]), 100.0 * share);
        return;
    }
    jv_fuse_band band = jv_fuse_opens(&curve, share);
    if (band.known == JV_FUSE_BAND)
        jv_remark(out, true,
                  "carries %.0f A, %.0f %% of its rating: it opens after %.3g s to %.3g s if "
                  "that lasts%s",
                  fabs(i[0]), 100.0 * share, band.least_s, band.greatest_s,
                  band.confidence == JV_WEAK ? " (figures from memory: a hint only)" : "");
    else
        jv_remark(out, true,
                  "carries %.0f A, %.0f %% of its rating; how long it bears that is not "
                  "published",
                  fabs(i[0]), 100.0 * share);
}

const jv_part_kind jv_kind_fuse = {
    .name = "fuse",
    .summary = "a fuse in its holder",
    .keys = keys,
    .n_keys = JV_FUSE_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_series = true,
    .assume = assume,
    .check = jv_fuse_check,
    .connect = jv_fuse_connect,
    .load = jv_fuse_load,
    .remark = jv_fuse_remark,
};
