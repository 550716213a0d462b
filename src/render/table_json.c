/* table_json.c - the reference tables as JSON. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "render/json_out.h"
#include "render/table_uses.h"

jv_status jv_table_list_json(jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_node *tables = jv_json_array(&j, root, "tables");
    for (size_t i = 0; i < jv_table_count(); i++) {
        const jv_table *table = jv_table_at(i);
        jv_json_node *item = jv_json_object(&j, tables, NULL);
        jv_json_text(&j, item, "table", table->name);
        jv_json_text(&j, item, "title", table->title);
        jv_json_number(&j, item, "rows", (double)table->row_count, NULL);
    }
    return jv_json_print(&j, out);
}

static void add_columns(jv_json *j, jv_json_node *root, const jv_table *table) {
    jv_json_node *columns = jv_json_array(j, root, "columns");
    for (size_t c = 0; c < table->column_count; c++) {
        const jv_table_column *column = &table->columns[c];
        jv_json_node *item = jv_json_object(j, columns, NULL);
        jv_json_text(j, item, "name", column->name);
        jv_json_text(j, item, "unit", column->unit);
        if (column->limit)
            jv_json_text(j, item, "at_best", jv_confidence_word(column->limit));
    }
}

/* A number where the cell is one, null where nothing is known, else the text.
 */
static void add_cell(jv_json *j, jv_json_node *cells, const jv_table *table, size_t r, size_t c) {
    const char *text = jv_table_cell(table, r, c);
    const char *unit = table->columns[c].unit;
    double value;
    const char *end;
    jv_text key = {0};
    jv_text_add(&key, table->columns[c].name);
    /* The unit is part of the key: a table may have one length in ft and in m. */
    if (*unit)
        jv_text_addf(&key, " (%s)", unit);
    j->failed |= key.failed;
    const char *name = jv_text_str(&key);
    if (!*text)
        jv_json_null(j, cells, name, NULL);
    else if (jv_number_read(text, &value, &end) && !*end)
        jv_json_number(j, cells, name, value, NULL);
    else
        jv_json_text(j, cells, name, text);
    jv_text_clear(&key);
}

static void add_row(jv_json *j, jv_json_node *rows, const jv_table *table, size_t r) {
    jv_json_node *item = jv_json_object(j, rows, NULL);
    jv_json_node *cells = jv_json_object(j, item, "cells");
    for (size_t c = 0; c < table->column_count; c++)
        add_cell(j, cells, table, r, c);
    jv_json_text(j, item, "confidence", jv_confidence_word(table->rows[r].confidence));
    jv_json_node *sources = jv_json_array(j, item, "sources");
    const jv_source *source;
    for (size_t i = 0; (source = jv_table_row_source(&table->rows[r], i)); i++)
        jv_json_text(j, sources, NULL, source->key);
}

static void add_sources(jv_json *j, jv_json_node *root, const jv_table *table) {
    jv_json_node *sources = jv_json_object(j, root, "sources");
    for (size_t i = 0; i < jv_source_count(); i++) {
        const jv_source *source = jv_source_at(i);
        if (!jv_table_uses(table, source))
            continue;
        jv_json_node *item = jv_json_object(j, sources, source->key);
        jv_json_text(j, item, "title", source->title);
        if (*source->url)
            jv_json_text(j, item, "url", source->url);
    }
}

jv_status jv_table_json(const jv_table *table, jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "table", table->name);
    jv_json_text(&j, root, "title", table->title);
    add_columns(&j, root, table);
    jv_json_node *rows = jv_json_array(&j, root, "rows");
    for (size_t r = 0; r < table->row_count; r++)
        add_row(&j, rows, table, r);
    add_sources(&j, root, table);
    return jv_json_print(&j, out);
}
