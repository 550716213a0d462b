/* svg_drawing.h - the texts and marks of a diagram. SPDX-License-Identifier: MIT */
#ifndef RENDER_SVG_DRAWING_H
#define RENDER_SVG_DRAWING_H

#include "render/report_part.h"
#include "render/svg.h"

/* Units of the drawing. */
#define JV_TEXT_HIGH 9.0  /* of names and figures */
#define JV_LINE_STEP 10.5 /* from text line to text line */
#define JV_PILL_HALF 19.0 /* volts of a node */
#define JV_PILL_HIGH 12.0
#define JV_BOX_ABOVE 34.0 /* of a controller, round its lines */
#define JV_BOX_BELOW 22.0
enum { JV_NAME_COLUMNS = 12, JV_SIDE_COLUMNS = 16, JV_NAME_LINES = 3, JV_WORST = 3 };
enum { JV_PIECE_LINES = 12 }; /* the most that a piece has on one side */

typedef struct jv_draw_work {
    jv_report_work *report;
    jv_page *page;
    jv_drawing *d;
    jv_tag *wires, *symbols, *texts;
    bool plain;             /* no figures: for a sheet on which they are written */
    size_t worst[JV_WORST]; /* parts with the widest drops, widest first; n_parts = none */
} jv_draw_work;

/* 1 .. JV_WORST; 0 = none of them. */
size_t jv_draw_rank(const jv_draw_work *w, size_t part);
/* Splits a name at spaces into at most JV_NAME_LINES lines of some width; the last takes what
 * is left. */
size_t jv_draw_split(jv_report_work *w, const char *name, size_t width, const char *lines[]);
/* Lines above and below a series piece, and beside an across piece; how many. */
size_t jv_draw_head(jv_draw_work *w, const jv_piece *p, const char *lines[]);
size_t jv_draw_tail(jv_draw_work *w, const jv_piece *p, const char *lines[]);
size_t jv_draw_side_lines(jv_draw_work *w, const jv_piece *p, const char *lines[]);
/* Room between a line and the texts above it, and to the base of the first below. */
double jv_draw_rise(const jv_piece *p);
double jv_draw_fall(const jv_piece *p);
/* jv_draw_measure; context: the jv_draw_work. */
jv_draw_room jv_draw_measure_piece(const void *context, const jv_piece *p);

#endif
