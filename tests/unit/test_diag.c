/* test_diag.c - faults of an input, collected. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

#include "jackvolt/diag.h"
#include "tests/support/failing.h"

static void prints_place_pointer_line_caret_and_hint(void **state) {
    (void)state;
    jv_diags d = {0};
    const jv_place place = {"trailer.json", "/parts/feed/length", 3, 12};
    jv_diag_add(&d, JV_ERROR, JV_CODE_QUANTITY_BARE, &place, "write \"22 ft\"", "%d has no unit",
                22);
    jv_diag_source_line(&d, "\t\"length\": 22,", 14);
    jv_text out = {0};
    jv_diags_print(&d, &out);
    assert_string_equal(jv_text_str(&out), "trailer.json:3:12: error E201: 22 has no unit\n"
                                           "  at /parts/feed/length\n"
                                           "    \t\"length\": 22,\n"
                                           "    \t          ^\n"
                                           "  hint: write \"22 ft\"\n");
    assert_int_equal(d.errors, 1);
    jv_text_clear(&out);
    jv_diags_clear(&d);
    assert_int_equal(d.count, 0);
}

static void caret_counts_characters(void **state) {
    (void)state;
    jv_diags d = {0};
    const jv_place place = {NULL, NULL, 1, 4};
    jv_diag_add(&d, JV_NOTE, JV_CODE_JSON_SYNTAX, &place, NULL, "here");
    jv_diag_source_line(&d, "\xCE\xA9\xCE\xA9\xCE\xA9!", 7);
    jv_text out = {0};
    jv_diags_print(&d, &out);
    assert_string_equal(jv_text_str(&out), "input:1:4: note E101: here\n"
                                           "    \xCE\xA9\xCE\xA9\xCE\xA9!\n"
                                           "       ^\n");
    jv_text_clear(&out);
    jv_diags_clear(&d);
}

static void tames_what_an_input_may_hold(void **state) {
    (void)state;
    jv_diags d = {0};
    const jv_place place = {"a\nb", "/\x1B[2J", 0, 0};
    jv_diag_add(&d, JV_WARNING, JV_CODE_JSON_UTF8, &place,
                "\xC2\x9B"
                "x",
                "got '%s'", "\x1B\xFF\x7F");
    char line[400];
    memset(line, 'x', sizeof line);
    line[1] = '\0';
    line[2] = (char)0xC3;
    /* A two-byte character across the cut is left out whole. */
    line[JV_DIAG_LINE - 1] = (char)0xC3;
    line[JV_DIAG_LINE] = (char)0xA9;
    jv_diag_source_line(&d, line, sizeof line);
    assert_string_equal(d.items[0].message, "got '\?\?\?'");
    assert_string_equal(d.items[0].hint, "\?\?x");
    assert_string_equal(d.items[0].place.file, "a?b");
    assert_string_equal(d.items[0].place.pointer, "/?[2J");
    assert_int_equal(strlen(d.items[0].source_line), JV_DIAG_LINE - 1);
    assert_memory_equal(d.items[0].source_line, "x\?\?x", 4);
    jv_diags_clear(&d);
}

static void sorts_by_place_and_keeps_order(void **state) {
    (void)state;
    jv_diags d = {0};
    static const jv_place places[] = {
        {"b", NULL, 1, 1},  {"a", NULL, 9, 1}, {"a", NULL, 2, 7},
        {NULL, NULL, 0, 0}, {"a", NULL, 2, 7}, {"a", NULL, 2, 3},
    };
    for (int i = 0; i < 6; i++) {
        jv_diag_add(&d, JV_ERROR, JV_CODE_JSON_SYNTAX, &places[i], NULL, "%d", i);
    }
    jv_diags_sort(&d);
    static const char *const order[] = {"3", "5", "2", "4", "1", "0"};
    for (int i = 0; i < 6; i++) {
        assert_string_equal(d.items[i].message, order[i]);
    }
    jv_diags_clear(&d);
}

static void counts_beyond_the_limit_and_keeps_errors(void **state) {
    (void)state;
    jv_diags d = {0};
    for (int i = 0; i < 60; i++) {
        jv_diag_add(&d, JV_WARNING, JV_CODE_JSON_SYNTAX, NULL, NULL, "warning %d", i);
    }
    jv_diag_source_line(&d, "must not stick to an older entry", 32);
    jv_diag_add(&d, JV_ERROR, JV_CODE_JSON_DUPLICATE, NULL, NULL, "the error");
    assert_int_equal(d.count, JV_DIAG_LIMIT);
    assert_int_equal(d.warnings, 60);
    assert_int_equal(d.errors, 1);
    assert_string_equal(d.items[JV_DIAG_LIMIT - 1].message, "the error");
    for (size_t i = 0; i < d.count; i++) {
        assert_null(d.items[i].source_line);
    }
    jv_text out = {0};
    jv_diags_print(&d, &out);
    assert_non_null(strstr(jv_text_str(&out), "error E104: the error\nand 11 more\n"));
    jv_text_clear(&out);
    jv_diags_clear(&d);
}

static void add_some(jv_diags *d) {
    const jv_place place = {"file", "/pointer", 1, 1};
    for (int i = 0; i < 8; i++) {
        jv_diag_add(d, JV_ERROR, JV_CODE_JSON_SYNTAX, &place, "hint", "%0300d", i);
        jv_diag_source_line(d, "line", 4);
    }
}

static void every_failed_allocation_is_counted_and_clean(void **state) {
    (void)state;
    jv_diags d = {0};
    failing_start(0);
    add_some(&d);
    jv_diags_clear(&d);
    const size_t calls = failing_calls();
    assert_true(calls > 8); /* a text for each message, and the arena */
    for (size_t n = 1; n <= calls; n++) {
        failing_start(n);
        add_some(&d);
        assert_int_equal(d.errors, 8);
        assert_true(d.out_of_memory);
        for (size_t i = 0; i < d.count; i++) {
            assert_non_null(d.items[i].message);
        }
        jv_diags_clear(&d);
        assert_int_equal(failing_blocks(), 0);
    }
    failing_stop();
}

static void every_code_has_a_title_advice_and_own_number(void **state) {
    (void)state;
    static const int numbers[] = {
#define JV_CODE(name, number, title, advice) number,
#include "jackvolt/codes.def"
#undef JV_CODE
    };
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        assert_in_range(numbers[i], 101, 799);
        for (size_t k = 0; k < i; k++) {
            assert_int_not_equal(numbers[i], numbers[k]);
        }
        assert_true(strlen(jv_code_title((jv_code)numbers[i])) > 3);
        assert_true(strlen(jv_code_advice((jv_code)numbers[i])) > 8);
    }
    assert_string_equal(jv_code_title((jv_code)9999), "unknown fault");
    assert_string_equal(jv_code_advice((jv_code)9999), "");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(prints_place_pointer_line_caret_and_hint),
        cmocka_unit_test(caret_counts_characters),
        cmocka_unit_test(tames_what_an_input_may_hold),
        cmocka_unit_test(sorts_by_place_and_keeps_order),
        cmocka_unit_test(counts_beyond_the_limit_and_keeps_errors),
        cmocka_unit_test(every_failed_allocation_is_counted_and_clean),
        cmocka_unit_test(every_code_has_a_title_advice_and_own_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
