/* report.h - a page with pictures for people who would rather look. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_REPORT_H
#define JACKVOLT_REPORT_H

#include "jackvolt/circuit.h"
#include "jackvolt/drop.h"
#include "jackvolt/find.h"
#include "jackvolt/render.h"
#include "jackvolt/review.h"
#include "jackvolt/scatter.h"
#include "jackvolt/sequence.h"
#include "jackvolt/size.h"
#include "jackvolt/status.h"
#include "jackvolt/text.h"
#include "jackvolt/walk.h"

#include <stddef.h>

/* One self-contained XHTML page: no script, no other file, SVG in the text. It can be read
 * as XML and as HTML. Cautions stand first, sources and what is assumed last. A study that
 * is not given (NULL) has no section. */

typedef enum jv_report_kind {
    JV_REPORT_FULL,  /* everything, for the file */
    JV_REPORT_SHEET, /* one page for who measures: drawing, what a meter should read, boxes; after
                        a walk the record that a customer gets */
    JV_REPORT_OWNER  /* one page in plain words */
} jv_report_kind;

/* What a page is made of. Everything is borrowed and must outlive the call. */
typedef struct jv_report {
    jv_report_kind kind;
    const jv_circuit *circuit;   /* needed */
    const jv_drop *drop;         /* needed; every case of it is listed */
    const jv_drop *healthy;      /* the same cases without the faults put in; NULL = no faults */
    const jv_sequence *sequence; /* NULL = not run, and so for those that follow */
    const jv_review *review;
    const jv_scatter *scatter;
    const jv_sizing *sizing;
    jv_finder *finder;         /* with its evidence; asked for its next reading */
    const jv_walk *walk;       /* of this circuit: makes a record of the sheet */
    const char *meter;         /* the meter of the walk, in words; NULL = a line to write on */
    const char *drawn_case;    /* the case that is drawn; NULL = the one nearest to its limit */
    const char *const *faults; /* as they were put in, for the record */
    size_t n_faults;
} jv_report;

/* The case of a steady study that a page draws: the one named, else the one that does not
 * converge or whose counting watch is nearest to or farthest below its limit, a running one
 * before one at rest. NULL when drop has no case or none of that name. */
const jv_drop_case *jv_report_case(const jv_drop *drop, const char *name);

/* Append the page to out. JV_ERR_MEMORY; JV_ERR_UNKNOWN: no such case. Only style->units is
 * looked at. */
jv_status jv_report_page(const jv_report *report, const jv_style *style, jv_text *out);

#endif
