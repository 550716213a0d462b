/* draft.h - a circuit file in the making. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_DRAFT_H
#define JACKVOLT_DRAFT_H

#include "jackvolt/diag.h"
#include "jackvolt/layout.h"
#include "jackvolt/render.h"
#include "jackvolt/status.h"
#include "jackvolt/text.h"

#include <stdbool.h>
#include <stddef.h>

/* A draft begins from a layout (layout.h) and asks, one by one, what another vehicle has of its
 * own. An answer is what a person knows, or that it is not known. What is not known becomes a
 * spread round the layout's figure where the key may have one (how wide is judgement, and the file
 * says so), is left to the program's own assumption (the limit of a watch, a stall current), or
 * stays as in the layout where it is a word or a rating. Each answer is tried at once: it is taken
 * when the file with it in can be read. */
typedef struct jv_draft jv_draft;

typedef enum jv_known {
    JV_KNOWN_OPEN,  /* not answered yet */
    JV_KNOWN_GIVEN, /* a value */
    JV_KNOWN_NOT,   /* not known */
    JV_KNOWN_LAYOUT /* it is as in the layout */
} jv_known;

typedef struct jv_question {
    const char *option;  /* of the command line that answers it: "length"; NULL = none does */
    const char *about;   /* "length" */
    const char *text;    /* the question */
    const char *example; /* "18 ft, 5.5 m" */
    const char *layout;  /* what the layout has; NULL = nothing */
    jv_known known;
    const char *answer; /* as given; NULL = none */
} jv_question;

/* Why something is not taken. */
typedef struct jv_refusal {
    jv_code code;
    char message[240];
    char hint[240]; /* "" = none */
} jv_refusal;

/* Least and greatest number of jacks that a draft may be asked for (judgement). */
enum { JV_DRAFT_LEAST_JACKS = 1, JV_DRAFT_MOST_JACKS = 8 };
/* How many jacks a layout has; 0 = none (a pump). */
size_t jv_layout_jacks(const jv_layout *layout);
/* The name of its circuit, into out. JV_ERR_MEMORY. */
jv_status jv_layout_title(const jv_layout *layout, jv_text *out);

/* Begin. jacks: how many; 0 = as many as the layout has. Jacks too many are left out, the last
 * ones first, with all that is named after them; more are copies of the last one. units: of the
 * spreads that are written. JV_ERR_INPUT: refusal says why. Free with jv_draft_free. */
jv_status jv_draft_new(const jv_layout *layout, size_t jacks, jv_units units, jv_refusal *refusal,
                       jv_draft **out);
void jv_draft_free(jv_draft **draft); /* takes NULL, leaves NULL */

size_t jv_draft_questions(const jv_draft *d);
/* Valid until the next jv_draft_set. */
const jv_question *jv_draft_question(const jv_draft *d, size_t i);
/* Answer a question: a value, "same" (as in the layout), "" or "unknown". JV_ERR_INPUT: not taken,
 * refusal says why, the question stays as it was. */
jv_status jv_draft_answer(jv_draft *d, size_t i, const char *text, jv_refusal *refusal);
void jv_draft_reopen(jv_draft *d, size_t i);
/* Answer every open question that goes with an option ("length"). JV_ERR_UNKNOWN: the layout has
 * none. */
jv_status jv_draft_option(jv_draft *d, const char *option, const char *text, jv_refusal *refusal);
/* "PART.KEY=VALUE", as for jackvolt drop --set: answers the question of that part when there is
 * one, else changes what no question asks. JV_ERR_INPUT: reasons in diags. */
jv_status jv_draft_set(jv_draft *d, const char *text, jv_diags *diags);
/* Close all open questions: as JV_KNOWN_NOT or JV_KNOWN_LAYOUT. */
void jv_draft_close(jv_draft *d, jv_known known);

/* Append the circuit file. JV_ERR_MEMORY. */
jv_status jv_draft_write(const jv_draft *d, jv_text *out);
/* Append what is known so far, from the battery to the jacks, a line a part. */
void jv_draft_text(const jv_draft *d, const jv_style *style, jv_text *out);
/* Append file, layout and answers as JSON. JV_ERR_MEMORY. */
jv_status jv_draft_json(const jv_draft *d, const char *file, jv_text *out);

#endif
