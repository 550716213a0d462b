/* test_tables.c - every table is whole: sources, confidence, counts. SPDX-License-Identifier: MIT
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/tables.h"
#include "jackvolt/text.h"
#include "tests/support/close.h"

/* How many rows each document or data file gave when it was read. A row that gets lost, or a
 * figure that comes in without being counted, shows here. */
static const struct {
    const char *name;
    size_t rows;
} counts[] = {
    {"awg", 32},
    {"sae", 16},
    {"metric", 15},
    {"iso6722", 18},
    {"metals", 18},
    {"adiabatic", 4},
    {"withstand", 97},
    {"insulation", 29},
    {"ampacity", 334},
    {"drop-tables", 322},
    {"ampacity-factors", 54},
    {"fuse-times", 75},
    {"fuse-resistance", 24},
    {"fuse-derating", 23},
    {"fuse-rules", 6},
    {"fuse-ratings", 5},
    {"breakers", 22},
    {"contacts", 47},
    {"drop-limits", 29},
    {"rules", 95},
    {"ocv", 177},
    {"battery-resistance", 129},
    {"cranking", 63},
    {"battery-models", 109},
    {"supplies", 80},
    {"undervoltage", 52},
    {"hall", 66},
    {"meter", 49},
    {"motors", 15},
    {"screws", 97},
    {"screw-friction", 26},
    {"gears", 56},
    {"vehicle-loads", 54},
};

static void tables_have_their_rows(void **state) {
    (void)state;
    assert_int_equal(jv_table_count(), sizeof counts / sizeof counts[0]);
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        const jv_table *t = jv_table_get(counts[i].name);
        assert_non_null(t);
        if (t->row_count != counts[i].rows) {
            print_error("%s\n", t->name);
        }
        assert_int_equal(t->row_count, counts[i].rows);
    }
}

static void tables_are_well_formed(void **state) {
    (void)state;
    for (size_t i = 0; i < jv_table_count(); i++) {
        const jv_table *t = jv_table_at(i);
        assert_ptr_equal(jv_table_get(t->name), t); /* so names are unique */
        assert_true(strlen(t->title) > 10);
        assert_in_range(t->column_count, 1, JV_TABLE_COLUMNS);
        for (size_t c = 0; c < t->column_count; c++) {
            assert_true(t->columns[c].name[0] != '\0');
            assert_non_null(t->columns[c].unit);
        }
        for (size_t r = 0; r < t->row_count; r++) {
            bool any = false;
            for (size_t c = 0; c < JV_TABLE_COLUMNS; c++) {
                const char *cell = t->rows[r].cells[c];
                if (c >= t->column_count) {
                    assert_null(cell);
                }
                for (const char *s = cell ? cell : ""; *s != '\0'; s++) {
                    assert_in_range(*s, ' ', '~');
                    any = true;
                }
            }
            assert_true(any);
        }
    }
    assert_null(jv_table_at(jv_table_count()));
    assert_null(jv_table_get("no such table"));
}

static bool is_memory(const char *key) {
    return strncmp(key, "MEM", 3) == 0 || strcmp(key, "CP") == 0 || strcmp(key, "NONE") == 0;
}

static void every_row_has_sources_and_confidence(void **state) {
    (void)state;
    for (size_t i = 0; i < jv_table_count(); i++) {
        const jv_table *t = jv_table_at(i);
        for (size_t r = 0; r < t->row_count; r++) {
            const jv_table_row *row = &t->rows[r];
            size_t keys = 1;
            for (const char *s = row->sources; *s != '\0'; s++) {
                keys += *s == ' ';
            }
            bool text_seen = false;
            for (size_t k = 0; k < keys; k++) {
                const jv_source *source = jv_table_row_source(row, k);
                if (!source) {
                    print_error("%s row %zu: %s\n", t->name, r, row->sources);
                }
                assert_non_null(source);
                text_seen = text_seen || !is_memory(source->key);
            }
            assert_null(jv_table_row_source(row, keys));
            assert_in_range(row->confidence, JV_SOLID, JV_WEAK);
            const char *first = jv_table_row_source(row, 0)->key;
            if (is_memory(first) || strcmp(first, "DER") == 0) {
                assert_int_not_equal(row->confidence, JV_SOLID);
            }
            if (!text_seen) {
                assert_int_equal(row->confidence, JV_WEAK);
            }
        }
    }
}

static void sources_are_whole_and_used(void **state) {
    (void)state;
    for (size_t i = 0; i < jv_source_count(); i++) {
        const jv_source *s = jv_source_at(i);
        assert_ptr_equal(jv_source_find(s->key), s); /* so keys are unique */
        assert_null(strchr(s->key, ' '));
        assert_true(strlen(s->title) > 10);
        assert_true(s->url[0] == '\0' || strncmp(s->url, "http", 4) == 0);
        /* Two formulas are cited by the calculations, not by a row. */
        bool used = strcmp(s->key, "ABYC-K") == 0 || strcmp(s->key, "ISO10133-F") == 0;
        for (size_t t = 0; t < jv_table_count() && !used; t++) {
            const jv_table *table = jv_table_at(t);
            for (size_t r = 0; r < table->row_count && !used; r++) {
                const jv_source *cited;
                for (size_t k = 0; (cited = jv_table_row_source(&table->rows[r], k)) != NULL; k++) {
                    used = used || cited == s;
                }
            }
        }
        if (!used) {
            print_error("%s\n", s->key);
        }
        assert_true(used);
    }
    assert_null(jv_source_at(jv_source_count()));
    assert_null(jv_source_find("no such key"));
    assert_null(jv_source_find(""));
}

static void cells_and_numbers(void **state) {
    (void)state;
    const jv_table *sae = jv_table_get("sae");
    size_t size = jv_table_column_find(sae, "size");
    size_t area = jv_table_column_find(sae, "printed area");
    size_t memory = jv_table_column_find(sae, "J1128 area, from memory");
    size_t row = jv_table_row_find(sae, size, "6", 0);
    jv_figure f;
    assert_int_equal(jv_table_number(sae, row, area, &f), JV_OK);
    assert_close(f.value, 24538.0, 0.0, 0.0);
    assert_int_equal(f.confidence, JV_SOLID);
    assert_string_equal(f.source->key, "SAECM-B");
    /* a column from memory caps the confidence of a solid row */
    row = jv_table_row_find(sae, size, "18", 0);
    assert_int_equal(jv_table_number(sae, row, memory, &f), JV_OK);
    assert_int_equal(sae->rows[row].confidence, JV_SOLID);
    assert_int_equal(f.confidence, JV_WEAK);
    /* empty, out of range, text, more than a number */
    row = jv_table_row_find(sae, size, "22", 0);
    assert_int_equal(jv_table_number(sae, row, area, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_number(sae, row, sae->column_count, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_number(sae, sae->row_count, area, &f), JV_ERR_UNKNOWN);
    assert_string_equal(jv_table_cell(sae, sae->row_count, 0), "");
    assert_string_equal(jv_table_cell(sae, 0, 99), "");
    const jv_table *cranking = jv_table_get("cranking");
    size_t value = jv_table_column_find(cranking, "value");
    row = jv_table_row_find(cranking, value, ">=70", 0);
    assert_true(row < cranking->row_count);
    assert_int_equal(jv_table_number(cranking, row, value, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_column_find(sae, "no such column"), sae->column_count);
    assert_int_equal(jv_table_row_find(sae, size, "7", 0), sae->row_count);
}

static void words_of_confidence(void **state) {
    (void)state;
    assert_string_equal(jv_confidence_word(JV_SOLID), "solid");
    assert_string_equal(jv_confidence_word(JV_USABLE), "usable");
    assert_string_equal(jv_confidence_word(JV_WEAK), "not for a verdict");
    assert_string_equal(jv_confidence_word((jv_confidence)0), "not for a verdict");
    assert_int_equal(jv_confidence_worse(JV_SOLID, JV_WEAK), JV_WEAK);
    assert_int_equal(jv_confidence_worse(JV_USABLE, JV_SOLID), JV_USABLE);
}

/* The sizes to choose from are those of the tables, thinnest first. */
static void sizes_match_the_tables(void **state) {
    (void)state;
    static const char *const tables[] = {"awg", "sae", "iso6722"};
    static const jv_size_system systems[] = {JV_SIZE_AWG, JV_SIZE_SAE, JV_SIZE_MM2};
    for (size_t s = 0; s < 3; s++) {
        const jv_table *t = jv_table_get(tables[s]);
        size_t n;
        const jv_size *sizes = jv_table_sizes(systems[s], &n);
        assert_non_null(sizes);
        if (s > 0) {
            assert_int_equal(n, t->row_count); /* AWG has in-between sizes that are not sold */
        }
        for (size_t i = 0; i < n; i++) {
            jv_text text = {0};
            if (sizes[i].system == JV_SIZE_MM2) {
                jv_text_addf(&text, "%g", sizes[i].area_mm2);
                assert_true(i == 0 || sizes[i].area_mm2 > sizes[i - 1].area_mm2);
            } else {
                jv_text_addf(&text, "%d%s",
                             sizes[i].gauge < 1 ? 1 - sizes[i].gauge : sizes[i].gauge,
                             sizes[i].gauge < 1 ? "/0" : "");
                assert_true(i == 0 || sizes[i].gauge < sizes[i - 1].gauge);
            }
            assert_int_equal(sizes[i].system, systems[s]);
            assert_true(jv_table_row_find(t, 0, jv_text_str(&text), 0) < t->row_count);
            jv_text_clear(&text);
        }
    }
    size_t n = 1;
    assert_null(jv_table_sizes((jv_size_system)9, &n));
    assert_int_equal(n, 0);
}

static void ratings_match_the_table(void **state) {
    (void)state;
    const jv_table *t = jv_table_get("fuse-ratings");
    for (int style = JV_FUSE_BLADE_C; style <= JV_FUSE_GLASS; style++) {
        size_t n;
        const double *ratings = jv_table_fuse_ratings((jv_fuse_style)style, &n);
        size_t row = jv_table_row_find(t, 0, jv_fuse_style_name((jv_fuse_style)style), 0);
        const char *s = jv_table_cell(t, row, 1);
        for (size_t i = 0; i < n; i++) {
            double printed;
            assert_true(jv_number_read(s, &printed, &s));
            assert_close(ratings[i], printed, 0.0, 0.0);
            s += *s == ' ';
        }
        assert_string_equal(s, "");
    }
    size_t n = 1;
    assert_null(jv_table_fuse_ratings((jv_fuse_style)9, &n));
    assert_int_equal(n, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tables_have_their_rows),
        cmocka_unit_test(tables_are_well_formed),
        cmocka_unit_test(every_row_has_sources_and_confidence),
        cmocka_unit_test(sources_are_whole_and_used),
        cmocka_unit_test(cells_and_numbers),
        cmocka_unit_test(words_of_confidence),
        cmocka_unit_test(sizes_match_the_tables),
        cmocka_unit_test(ratings_match_the_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
