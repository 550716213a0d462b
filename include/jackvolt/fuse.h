/* fuse.h - fuses and breakers. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_FUSE_H
#define JACKVOLT_FUSE_H

#include "jackvolt/status.h"
#include "jackvolt/tables.h"

#include <stdbool.h>
#include <stddef.h>

/* Opening bands are jv_time_curve of tables.h (least_s 0 = no lower limit known, greatest_s
 * infinity = a hold point). A user's own curve is one too: */

/* Curve from n points (percent, least s, greatest s), rising percent. JV_ERR_RANGE: n not
 * 1 .. JV_TIME_POINTS, percent not rising or not positive, least above greatest, times
 * negative. confidence: what the user's source is worth. */
jv_status jv_fuse_user_curve(const double (*points)[3], size_t n, jv_confidence confidence,
                             jv_time_curve *out);

/* Answer at one current. */
typedef enum jv_fuse_known {
    JV_FUSE_HOLDS,  /* at or below the hold point: not before least_s (its carry time) */
    JV_FUSE_BAND,   /* both ends known */
    JV_FUSE_PARTLY, /* one end known: the other is NAN */
    JV_FUSE_UNKNOWN /* no answer */
} jv_fuse_known;
typedef struct jv_fuse_band {
    jv_fuse_known known;
    double least_s;           /* it may open from here; NAN = not known */
    double greatest_s;        /* it is open by here; NAN = not known */
    jv_confidence confidence; /* worst of the points used */
} jv_fuse_band;

/* fraction = current / rating, > 0. (F1) straight lines in log time against log current
 * between neighbouring points that both print that end; between a hold point and the next
 * the greatest time is not known; above the last point the last greatest_s stands (a
 * bigger current never clears later) and least_s is not known; below the first: holds
 * when that is a hold point, else unknown. */
jv_fuse_band jv_fuse_opens(const jv_time_curve *curve, double fraction);

/* Cold and hot resistance of a style and rating, ohm. (F2) jv_table_fuse_resistance
 * and hot = typical ratio x cold at rated current. JV_ERR_* of the tables. */
typedef struct jv_fuse_ohms {
    double cold_ohm;
    double hot_ohm; /* at rated current */
    jv_confidence confidence;
} jv_fuse_ohms;
jv_status jv_fuse_resistance(jv_fuse_style style, double rating_a, jv_fuse_ohms *out);
/* At a steady share of the rating: cold + (hot - cold) x share^2, share cut to 0..1.35. */
double jv_fuse_resistance_at(const jv_fuse_ohms *ohms, double share);

/* (F3) largest lasting current, share of the rating: jv_table_fuse_continuous times
 * jv_table_fuse_ambient; styles without a derating row of their own take the maxi blade
 * line as USABLE. -40 .. 125 degC. */
jv_status jv_fuse_lasting_share(jv_fuse_style style, double ambient_c, jv_figure *out);
/* Time to melt from a typical I2t at a fault current. */
double jv_fuse_melt_s(double i2t_a2s, double current_a);

/* Does an open breaker close? elapsed since it opened, s; fed: still supplied through its
 * line side; pressed: somebody resets it. reset_s: cooling time of type I. */
bool jv_breaker_closes(jv_breaker_type type, double elapsed_s, double reset_s, bool fed,
                       bool pressed);

#endif
