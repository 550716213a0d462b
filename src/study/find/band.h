/* band.h - readings of which only a band is known. SPDX-License-Identifier: MIT */
#ifndef STUDY_FIND_BAND_H
#define STUDY_FIND_BAND_H

#include "jackvolt/find.h"

/* A reading that is known to lie between two values, on the scale on which it is weighed
 * (jv_reading_of_value). */
typedef struct jv_band {
    bool is;          /* false: the value itself counts */
    double low, high; /* may be infinite */
} jv_band;

/* The band of the readings that are given from now on; NULL: none. */
void jv_finder_band(jv_finder *f, const jv_band *band);
jv_band jv_finder_band_now(const jv_finder *f);

/* P(a normal reading lies in the band). What that teaches of it: the mean moves by *shift standard
 * deviations, the variance falls by the share *shrink (moments of a normal cut off at both ends).
 */
double jv_band_mass(const jv_band *b, double mean, double sd, double *shift, double *shrink);

#endif
