/* care.h - what to be told before an act, in words. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CARE_H
#define JACKVOLT_CARE_H

#include "jackvolt/find.h"

#include <stddef.h>
#include <stdint.h>

/* The signal words of ANSI Z535.4 and ISO 3864-2, worst first: DANGER kills or maims for certain,
 * WARNING may, CAUTION injures lightly, NOTICE damages things. The sentences are our own; each says
 * what hurts, what it does, and how it is avoided. */
typedef enum jv_signal {
    JV_SIGNAL_DANGER,
    JV_SIGNAL_WARNING,
    JV_SIGNAL_CAUTION,
    JV_SIGNAL_NOTICE
} jv_signal;
const char *jv_signal_word(jv_signal signal); /* never NULL */

typedef struct jv_precaution {
    jv_care care; /* the one bit that it belongs to */
    jv_signal signal;
    const char *text;  /* in full */
    const char *brief; /* to be said again later, in a line */
    const char *basis; /* where it comes from */
} jv_precaution;

/* One row for each bit of jv_care, worst first. */
size_t jv_precaution_count(void);
const jv_precaution *jv_precaution_at(size_t i); /* NULL from the count on */
/* The cautions of a set of bits, worst first; at most `most` of them. Returns how many there
 * are. */
size_t jv_precautions_of(uint32_t care, const jv_precaution **out, size_t most);
/* Said once, before everything else: whose rules come first. */
const char *jv_care_preface(void);

#endif
