/* fuse.c - fuses and breakers. SPDX-License-Identifier: MIT */
#include "jackvolt/fuse.h"

#include <math.h>

jv_status jv_fuse_user_curve(const double (*points)[3], size_t n, jv_confidence confidence,
                             jv_time_curve *out) {
    static const double percent = 100;
    if (n < 1 || n > JV_TIME_POINTS)
        return JV_ERR_RANGE;
    jv_time_curve curve = {.count = n, .confidence = confidence};
    double before = 0;
    for (size_t i = 0; i < n; i++) {
        double fraction = points[i][0] / percent, least = points[i][1], most = points[i][2];
        if (!(fraction > before && least >= 0 && most > 0 && least <= most))
            return JV_ERR_RANGE;
        before = fraction;
        curve.points[i] = (jv_time_point){
            .fraction = fraction, .least_s = least, .greatest_s = most, .confidence = confidence};
    }
    *out = curve;
    return JV_OK;
}

static bool has_least(const jv_time_point *p) {
    return p->least_s > 0;
}
static bool has_greatest(const jv_time_point *p) {
    return isfinite(p->greatest_s);
}

/* Straight line in log t against log I. */
static double between(double x, double x0, double y0, double x1, double y1) {
    double share = log(x / x0) / log(x1 / x0);
    return y0 * pow(y1 / y0, share);
}

static void use(jv_fuse_band *band, const jv_time_point *p) {
    band->confidence = jv_confidence_worse(band->confidence, p->confidence);
}

static void judge(jv_fuse_band *band) {
    bool least = isfinite(band->least_s), greatest = isfinite(band->greatest_s);
    band->known = least && greatest   ? JV_FUSE_BAND
                  : least || greatest ? JV_FUSE_PARTLY
                                      : JV_FUSE_UNKNOWN;
    if (band->known == JV_FUSE_UNKNOWN)
        band->confidence = JV_WEAK;
}

jv_fuse_band jv_fuse_opens(const jv_time_curve *curve, double fraction) {
    jv_fuse_band band = {JV_FUSE_UNKNOWN, NAN, NAN, JV_WEAK};
    const jv_time_point *p = curve->points;
    if (curve->count == 0 || !(fraction > 0))
        return band;
    if (fraction <= p[0].fraction && !has_greatest(&p[0]) && has_least(&p[0]))
        return (jv_fuse_band){JV_FUSE_HOLDS, p[0].least_s, NAN, p[0].confidence};
    if (fraction < p[0].fraction)
        return band;
    band.confidence = JV_SOLID;
    size_t i = 0; /* p[i] is at or below the current */
    while (i + 1 < curve->count && p[i + 1].fraction <= fraction)
        i++;
    const jv_time_point *low = &p[i], *high = i + 1 < curve->count ? &p[i + 1] : NULL;
    use(&band, low);
    if (fraction == low->fraction) {
        if (has_least(low))
            band.least_s = low->least_s;
        if (has_greatest(low))
            band.greatest_s = low->greatest_s;
    } else if (!high) { /* a bigger current never clears later */
        if (has_greatest(low))
            band.greatest_s = low->greatest_s;
    } else {
        use(&band, high);
        if (has_least(low) && has_least(high))
            band.least_s =
                between(fraction, low->fraction, low->least_s, high->fraction, high->least_s);
        if (has_greatest(low) && has_greatest(high))
            band.greatest_s =
                between(fraction, low->fraction, low->greatest_s, high->fraction, high->greatest_s);
    }
    judge(&band);
    return band;
}

jv_status jv_fuse_resistance(jv_fuse_style style, double rating_a, jv_fuse_ohms *out) {
    jv_figure cold;
    jv_range ratio;
    jv_status status = jv_table_fuse_resistance(style, rating_a, &cold);
    if (status == JV_OK)
        status = jv_table_fuse_hot_ratio(&ratio);
    if (status != JV_OK)
        return status;
    *out = (jv_fuse_ohms){.cold_ohm = cold.value,
                          .hot_ohm = cold.value * ratio.typical,
                          .confidence = jv_confidence_worse(cold.confidence, ratio.confidence)};
    return JV_OK;
}

double jv_fuse_resistance_at(const jv_fuse_ohms *ohms, double share) {
    static const double most = 1.35; /* must-open point of every style: hotter does not last */
    double s = fabs(share) < most ? fabs(share) : most;
    return ohms->cold_ohm + (ohms->hot_ohm - ohms->cold_ohm) * s * s;
}

jv_status jv_fuse_lasting_share(jv_fuse_style style, double ambient_c, jv_figure *out) {
    jv_figure share, ambient;
    jv_status status = jv_table_fuse_continuous(&share);
    if (status != JV_OK)
        return status;
    status = jv_table_fuse_ambient(style, ambient_c, &ambient);
    if (status == JV_ERR_UNKNOWN) {
        status = jv_table_fuse_ambient(JV_FUSE_BLADE_E, ambient_c, &ambient);
        if (status == JV_OK) {
            ambient.confidence = jv_confidence_worse(ambient.confidence, JV_USABLE);
            ambient.note = "derating line of the maxi blade";
        }
    }
    if (status != JV_OK)
        return status;
    ambient.confidence = jv_confidence_worse(ambient.confidence, share.confidence);
    ambient.value *= share.value;
    *out = ambient;
    return JV_OK;
}

double jv_fuse_melt_s(double i2t_a2s, double current_a) {
    return i2t_a2s / (current_a * current_a);
}

bool jv_breaker_closes(jv_breaker_type type, double elapsed_s, double reset_s, bool fed,
                       bool pressed) {
    bool cool = elapsed_s >= reset_s;
    switch (type) {
    case JV_BREAKER_AUTOMATIC:
        return cool;
    case JV_BREAKER_MODIFIED:
        return cool && !fed; /* its heater keeps it open while fed */
    case JV_BREAKER_MANUAL:
    default:
        return cool && pressed;
    }
}
