/* text_table.c - aligned columns of text. SPDX-License-Identifier: MIT */
#include "render/text_table.h"

#include <math.h>
#include <string.h>

typedef struct jv_text_table_row {
    struct jv_text_table_row *next;
    const char *cells[JV_TEXT_TABLE_COLUMNS];
    jv_tint tints[JV_TEXT_TABLE_COLUMNS];
} jv_text_table_row_t;

void jv_text_table_row(jv_text_table *t) {
    jv_text_table_row_t *row = jv_arena_alloc(&t->arena, 1, sizeof *row);
    if (!row) {
        t->failed = true;
        return;
    }
    if (t->last)
        t->last->next = row;
    else
        t->first = row;
    t->last = row;
    t->filled = 0;
}

void jv_text_table_cell(jv_text_table *t, const char *text, jv_tint tint) {
    if (t->failed || t->filled >= t->columns)
        return;
    size_t at = t->filled++;
    if (!text)
        text = "";
    t->last->cells[at] = jv_arena_copy(&t->arena, text, strlen(text));
    t->last->tints[at] = tint;
    if (!t->last->cells[at])
        t->failed = true;
    size_t width = jv_text_columns(text);
    if (width > t->width[at])
        t->width[at] = width;
}

void jv_text_table_column(jv_text_table *t, const char *heading, jv_align align) {
    if (t->columns >= JV_TEXT_TABLE_COLUMNS) {
        t->failed = true;
        return;
    }
    if (!t->first)
        jv_text_table_row(t);
    t->align[t->columns++] = align;
    jv_text_table_cell(t, heading, JV_TINT_STRONG);
}

void jv_text_table_number(jv_text_table *t, double value, int decimals) {
    jv_text cell = {0};
    /* Half a last digit below zero must not print as "-0.00". */
    double least = 0.5 * pow(10, -decimals);
    if (isfinite(value))
        jv_text_addf(&cell, "%.*f", decimals, fabs(value) < least ? 0.0 : value);
    else
        jv_text_add_char(&cell, '-');
    t->failed |= cell.failed;
    jv_text_table_cell(t, jv_text_str(&cell), JV_TINT_NONE);
    jv_text_clear(&cell);
}

static void print_row(const jv_text_table *t, const jv_text_table_row_t *row, bool colour,
                      size_t indent, jv_text *out) {
    /* Spaces are owed until something is printed behind them. */
    size_t owed = indent;
    for (size_t c = 0; c < t->columns; c++) {
        const char *text = row->cells[c] ? row->cells[c] : "";
        size_t free_columns = t->width[c] - jv_text_columns(text);
        if (t->align[c] == JV_RIGHT)
            owed += free_columns;
        if (*text) {
            jv_text_repeat(out, " ", owed);
            jv_paint(out, colour, row->tints[c], text);
            owed = 0;
        } else {
            owed += t->align[c] == JV_RIGHT ? 0 : t->width[c];
            free_columns = 0;
        }
        if (t->align[c] == JV_LEFT)
            owed += free_columns;
        owed += 2;
    }
    jv_text_add_char(out, '\n');
}

void jv_text_table_print(jv_text_table *t, const jv_style *style, size_t indent, jv_text *out) {
    if (t->failed)
        out->failed = true;
    else
        for (const jv_text_table_row_t *row = t->first; row; row = row->next)
            print_row(t, row, style->colour, indent, out);
    jv_arena_clear(&t->arena);
    *t = (jv_text_table){0};
}
