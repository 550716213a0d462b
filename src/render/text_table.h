/* text_table.h - aligned columns of text. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_RENDER_TEXT_TABLE_H
#define JACKVOLT_RENDER_TEXT_TABLE_H

#include "jackvolt/memory.h"
#include "render/paint.h"

/* A table is gathered first and printed once all widths are known. Texts are copied.
 * Memory failure is remembered and handed to the output (out->failed). Columns are
 * measured in characters, not bytes. Nothing is wrapped or cut. */

#define JV_TEXT_TABLE_COLUMNS 24

typedef enum jv_align { JV_LEFT, JV_RIGHT } jv_align;

typedef struct jv_text_table {
    jv_arena arena;
    size_t columns;
    jv_align align[JV_TEXT_TABLE_COLUMNS];
    size_t width[JV_TEXT_TABLE_COLUMNS];
    struct jv_text_table_row *first, *last; /* the headings are the first row */
    size_t filled;                          /* cells of the newest row */
    bool failed;
} jv_text_table;

/* Start with a zeroed struct; then one call for each column, left to right. */
void jv_text_table_column(jv_text_table *t, const char *heading, jv_align align);
/* Start a new row, then add its cells from left to right; missing ones stay empty,
 * cells beyond the last column are dropped. NULL is an empty cell. */
void jv_text_table_row(jv_text_table *t);
void jv_text_table_cell(jv_text_table *t, const char *text, jv_tint tint);
/* A number with `decimals` digits behind the point (right-aligned columns line up);
 * NaN and infinity show as "-". */
void jv_text_table_number(jv_text_table *t, double value, int decimals);
/* Append the table to out, each line indented, columns two spaces apart, headings
 * first; then free it. Line ends carry no spaces. */
void jv_text_table_print(jv_text_table *t, const jv_style *style, size_t indent, jv_text *out);

#endif
