/* drop_words.h - sentences about the steady study. SPDX-License-Identifier: MIT */
#ifndef RENDER_DROP_WORDS_H
#define RENDER_DROP_WORDS_H

#include "jackvolt/drop.h"
#include "jackvolt/text.h"
#include "render/paint.h"

/* What text and page say alike. */

/* Volts as they are shown, to 0.01 V: rounding leaves no "-0.00". */
static inline double jv_words_volts(double v) {
    return v > -0.005 && v < 0.005 ? 0.0 : v;
}

/* Amps as they are shown, without a sign: what a dead branch is left with is rounding, less
 * than any meter shows, not current. */
static inline double jv_words_amps(double a) {
    static const double nothing_a = 1e-6;
    double size = a < 0.0 ? -a : a;
    return size < nothing_a ? 0.0 : size;
}

/* One line of "where the volts went": the steps of a part on one side. */
typedef struct jv_loss {
    size_t part;
    jv_side side;
    double drop_v, current_a;
} jv_loss;

/* The lines of a case, side after side, widest first; losses has room for n_steps. */
size_t jv_words_losses(const jv_drop_case *k, jv_loss *losses);
const char *jv_words_side(jv_side side);
/* The steps of a case as a person follows them: those that end inside a part (a frame is many
 * pieces) are one with those that leave it. steps has room for n_steps; how many. */
size_t jv_words_steps(const jv_drop *drop, const jv_drop_case *k, jv_drop_step *steps);

/* The watch nearest to, or farthest below, its limit among those that count; NULL = none. */
const jv_drop_watch *jv_words_watch(const jv_drop_case *k);
/* How many watches trip. */
size_t jv_words_trips(const jv_drop_case *k);
/* The part that loses most; jv_circuit_parts() = none. */
size_t jv_words_worst(const jv_drop *drop, const jv_drop_case *k);
/* The verdict of a case in a word or two; w: jv_words_watch. */
const char *jv_words_verdict(const jv_drop_case *k, const jv_drop_watch *w, jv_tint *tint);
/* The reason behind it, from the colon on. see: where the serious remarks stand. */
void jv_words_reason(const jv_drop *drop, const jv_drop_case *k, const char *see, jv_text *out);
/* Why a watch that sees volts has no verdict: half a sentence. */
void jv_words_doubt(const jv_drop_watch *w, jv_text *line);
/* What brings a watch to its limit, or keeps it from it: a sentence. */
void jv_words_levers(const jv_drop_watch *w, jv_text *out);

#endif
