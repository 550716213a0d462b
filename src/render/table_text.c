/* table_text.c - the reference tables as text. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "render/table_uses.h"
#include "render/text_table.h"

#include <string.h>

/* A column whose cells are plain numbers (or empty) lines up on the right. */
static jv_align column_align(const jv_table *table, size_t column) {
    size_t numbers = 0;
    for (size_t r = 0; r < table->row_count; r++) {
        double value;
        const char *cell = jv_table_cell(table, r, column), *end;
        if (!*cell)
            continue;
        if (!jv_number_read(cell, &value, &end) || *end)
            return JV_LEFT;
        numbers++;
    }
    return numbers ? JV_RIGHT : JV_LEFT;
}

static jv_tint confidence_tint(jv_confidence confidence) {
    return confidence == JV_SOLID  ? JV_TINT_GOOD
           : confidence == JV_WEAK ? JV_TINT_UNSURE
                                   : JV_TINT_NONE;
}

static void add_heading(jv_text_table *t, const jv_table *table, size_t column) {
    const jv_table_column *c = &table->columns[column];
    jv_text heading = {0};
    jv_text_add(&heading, c->name);
    if (*c->unit)
        jv_text_addf(&heading, " (%s)", c->unit);
    /* A figure of this column is worth no more than the mark says. */
    if (c->limit == JV_WEAK)
        jv_text_add_char(&heading, '*');
    t->failed |= heading.failed;
    jv_text_table_column(t, jv_text_str(&heading), column_align(table, column));
    jv_text_clear(&heading);
}

static void add_row(jv_text_table *t, const jv_table *table, size_t r) {
    const jv_table_row *row = &table->rows[r];
    jv_text_table_row(t);
    for (size_t c = 0; c < table->column_count; c++)
        jv_text_table_cell(t, jv_table_cell(table, r, c), JV_TINT_NONE);
    jv_text_table_cell(t, jv_confidence_word(row->confidence), confidence_tint(row->confidence));
    jv_text_table_cell(t, row->sources, JV_TINT_NONE);
}

void jv_table_text(const jv_table *table, const jv_style *style, jv_text *out) {
    jv_text_table t = {0};
    bool marked = false;
    if (!style->quiet)
        jv_text_addf(out, "%s\n\n", table->title);
    for (size_t c = 0; c < table->column_count; c++) {
        add_heading(&t, table, c);
        marked |= table->columns[c].limit == JV_WEAK;
    }
    jv_text_table_column(&t, "confidence", JV_LEFT);
    jv_text_table_column(&t, "source", JV_LEFT);
    for (size_t r = 0; r < table->row_count; r++)
        add_row(&t, table, r);
    jv_text_table_print(&t, style, 0, out);
    if (style->quiet)
        return;
    jv_text_add_char(out, '\n');
    if (marked)
        jv_wrap(out, "* A column from memory: its figures do not decide a verdict.", 0,
                style->width);
    jv_wrap(out,
            "solid: may decide a verdict. usable: a failing verdict must say "
            "that it hangs on it. "
            "not for a verdict: memory, common practice or judgement. An empty "
            "cell is no figure "
            "known, never zero.",
            0, style->width);
}

void jv_table_list_text(const jv_style *style, jv_text *out) {
    jv_text_table t = {0};
    jv_text_table_column(&t, "table", JV_LEFT);
    jv_text_table_column(&t, "rows", JV_RIGHT);
    jv_text_table_column(&t, "what it holds", JV_LEFT);
    for (size_t i = 0; i < jv_table_count(); i++) {
        const jv_table *table = jv_table_at(i);
        jv_text_table_row(&t);
        jv_text_table_cell(&t, table->name, JV_TINT_NONE);
        jv_text_table_number(&t, (double)table->row_count, 0);
        jv_text_table_cell(&t, table->title, JV_TINT_NONE);
    }
    jv_text_table_print(&t, style, 0, out);
    if (!style->quiet)
        jv_text_add(out, "\njackvolt table NAME prints one; --sources adds where "
                         "its figures come from.\n");
}

static bool row_uses(const jv_table_row *row, const jv_source *source) {
    const jv_source *used;
    for (size_t i = 0; (used = jv_table_row_source(row, i)); i++)
        if (used == source)
            return true;
    return false;
}

bool jv_table_uses(const jv_table *table, const jv_source *source) {
    if (!table)
        return true;
    for (size_t r = 0; r < table->row_count; r++)
        if (row_uses(&table->rows[r], source))
            return true;
    return false;
}

void jv_table_sources_text(const jv_table *table, const jv_style *style, jv_text *out) {
    size_t widest = 0;
    for (size_t i = 0; i < jv_source_count(); i++) {
        size_t width = strlen(jv_source_at(i)->key);
        if (jv_table_uses(table, jv_source_at(i)) && width > widest)
            widest = width;
    }
    jv_text_add(out, "Sources\n");
    for (size_t i = 0; i < jv_source_count(); i++) {
        const jv_source *source = jv_source_at(i);
        if (!jv_table_uses(table, source))
            continue;
        jv_text_addf(out, "  %s", source->key);
        jv_text line = {0};
        jv_text_add(&line, source->title);
        if (*source->url)
            jv_text_addf(&line, " %s", source->url);
        out->failed |= line.failed;
        jv_wrap(out, jv_text_str(&line), widest + 4, style->width);
        jv_text_clear(&line);
    }
}
