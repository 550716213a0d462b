/* render.h - results as text for people and as JSON. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_RENDER_H
#define JACKVOLT_RENDER_H

#include "jackvolt/cable.h"
#include "jackvolt/card.h"
#include "jackvolt/circuit.h"
#include "jackvolt/drop.h"
#include "jackvolt/find.h"
#include "jackvolt/harness.h"
#include "jackvolt/quantity.h"
#include "jackvolt/review.h"
#include "jackvolt/scatter.h"
#include "jackvolt/sequence.h"
#include "jackvolt/size.h"
#include "jackvolt/status.h"
#include "jackvolt/tables.h"
#include "jackvolt/text.h"
#include "jackvolt/walk.h"

#include <stdbool.h>
#include <stddef.h>

/* Text is UTF-8 unless style.ascii asks for less. A render function appends to a
 * jv_text, whose `failed` flag tells about memory; JSON functions return a status
 * because the tree behind them can run out of memory as well. */

#define JV_STYLE_WIDTH 80 /* columns of a plain terminal and of a printed sheet */

/* How text shall look. A zeroed struct is SI, Unicode, no colour, everything shown;
 * set width (0 is taken as JV_STYLE_WIDTH). */
typedef struct jv_style {
    jv_units units;
    bool ascii;
    bool colour; /* terminal escapes; never the only sign of anything */
    bool quiet;  /* only the verdict */
    size_t width;
} jv_style;

/* Append sentences wrapped at spaces to `width` columns (0: JV_STYLE_WIDTH), every
 * line starting at column `indent`; text already on the current line of `out` stays,
 * so that a label may stand before the first line. "\n" in the text starts a new
 * line. A word longer than a line is not cut. Ends with a newline. */
void jv_wrap(jv_text *out, const char *text, size_t indent, size_t width);

/* Reference tables. The list of all tables; one table with its sources column; the
 * citations of the sources that a table (NULL: every table) uses. */
void jv_table_list_text(const jv_style *style, jv_text *out);
jv_status jv_table_list_json(jv_text *out);
void jv_table_text(const jv_table *table, const jv_style *style, jv_text *out);
void jv_table_sources_text(const jv_table *table, const jv_style *style, jv_text *out);
jv_status jv_table_json(const jv_table *table, jv_text *out);

/* A card as one self-contained XHTML page: links do the walk, a small script of its own keeps the
 * list of answers. It can be read as XML and as HTML. JV_ERR_MEMORY. */
jv_status jv_card_page(const jv_card *card, jv_text *out);

/* The answer of jv_cable_find. The text puts every caution before the advice. */
void jv_cable_text(const jv_cable_answer *answer, const jv_style *style, jv_text *out);
jv_status jv_cable_json(const jv_cable_answer *answer, jv_text *out);
/* The answer of jv_drop_run. Both say the same figures. */
void jv_drop_text(const jv_drop *drop, const jv_style *style, jv_text *out);
jv_status jv_drop_json(const jv_drop *drop, jv_text *out);
/* The answer of jv_sequence_run, with a plot of volts and current in the text. */
void jv_sequence_text(const jv_sequence *sequence, const jv_style *style, jv_text *out);
jv_status jv_sequence_json(const jv_sequence *sequence, jv_text *out);

/* The answer of jv_scatter_run or jv_scatter_join. */
void jv_scatter_text(const jv_scatter *scatter, const jv_style *style, jv_text *out);
jv_status jv_scatter_json(const jv_scatter *scatter, jv_text *out);
/* What jv_scatter_join needs of a slice, as JSON: whole numbers, none of the draws. */
jv_status jv_scatter_slice(const jv_scatter *scatter, jv_text *out);

/* A review; and many: one file in full, several as a summary, worst first, with what fails. JSON:
 * one file alone is the object of docs/manual.md, several stand in "files". SARIF 2.1.0 and
 * JUnit XML for build servers. Every text puts the cautions before the findings. */
void jv_review_text(const jv_review *review, const jv_style *style, jv_text *out);
void jv_review_batch_text(const jv_review_batch *batch, const jv_style *style, jv_text *out);
jv_status jv_review_batch_json(const jv_review_batch *batch, jv_text *out);
jv_status jv_review_batch_sarif(const jv_review_batch *batch, jv_text *out);
jv_status jv_review_batch_junit(const jv_review_batch *batch, jv_text *out);

/* The answer of jv_size_find. The text puts the cautions before the advice. */
void jv_size_text(const jv_sizing *sizing, const jv_style *style, jv_text *out);
jv_status jv_size_json(const jv_sizing *sizing, jv_text *out);

/* A planned harness as a circuit file. */
jv_status jv_harness_circuit(const jv_harness_plan *plan, jv_text *out);
/* Wires of it for which copper is assumed, since the harness file does not name their metal. */
size_t jv_harness_assumed_copper(const jv_harness_plan *plan);
/* Is that the name of a metal that a circuit file knows? metal may be NULL. */
bool jv_harness_metal_known(const char *metal);
/* What became of a harness on its way into a circuit: counts, what is missing, assumed, left out
 * and passed over, a few lines. */
void jv_harness_remarks(const jv_harness_plan *plan, const jv_style *style, jv_text *out);
/* All that was read of a harness and all that was passed over. */
void jv_harness_list_text(const jv_harness *harness, const jv_style *style, jv_text *out);
jv_status jv_harness_list_json(const jv_harness *harness, jv_text *out);

/* What a circuit file holds: one sentence; and the same counts of n files. */
void jv_check_text(const char *file, const jv_circuit *c, const jv_style *style, jv_text *out);
jv_status jv_check_json(const char *const *files, jv_circuit *const *circuits, size_t n,
                        jv_text *out);

/* What the fault finder makes of the evidence: ranked suspects with what speaks for and against
 * them, and the next reading or repair with its cautions first. why: number of a suspect whose odds
 * are told reading by reading; JV_FIND_NONE = none. all: every suspect is listed, not only the
 * likely ones. */
jv_status jv_find_text(jv_finder *f, const jv_circuit *c, size_t why, bool all,
                       const jv_style *style, jv_text *out);
jv_status jv_find_json(jv_finder *f, const jv_circuit *c, size_t why, bool all, jv_text *out);

/* A walk: cautions of a set of bits (those in `told` in brief), a step as one screen, the odds as
 * bars, what the newest answer meant, and the record. */
void jv_cautions_text(uint32_t care, uint32_t told, const jv_style *style, jv_text *out);
void jv_step_text(const jv_step *step, const jv_style *style, jv_text *out);
void jv_odds_text(const jv_finder *f, const jv_style *style, jv_text *out);
void jv_meaning_text(const jv_walk *w, const jv_style *style, jv_text *out);
void jv_walk_text(const jv_walk *w, const jv_style *style, jv_text *out);
jv_status jv_walk_json(const jv_walk *w, jv_text *out);

#endif
