/* test_render.c - wrapping, tables, bars, colour and JSON. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/render.h"
#include "render/json_out.h"
#include "render/paint.h"
#include "render/text_table.h"
#include "tests/support/failing.h"

static void wraps_at_spaces_and_keeps_the_label(void **state) {
    (void)state;
    jv_text t = {0};
    jv_text_add(&t, "ab");
    jv_wrap(&t, "one two three four", 4, 13);
    /* Columns 4 .. 12 hold nine: "one two" is 7, with " three" 13. */
    assert_string_equal(jv_text_str(&t), "ab  one two\n    three\n    four\n");
    jv_text_clear(&t);
    jv_wrap(&t, "a\nb  c", 0, 80);
    assert_string_equal(jv_text_str(&t), "a\nb c\n");
    jv_text_clear(&t);
    jv_wrap(&t, "longerthanten x", 0, 10);
    assert_string_equal(jv_text_str(&t), "longerthanten\nx\n");
    jv_text_clear(&t);
    /* The ohm sign is two bytes and one column: "1 \u03A9 2" is five columns. */
    jv_wrap(&t, "1 \xCE\xA9 2", 0, 5);
    assert_string_equal(jv_text_str(&t), "1 \xCE\xA9 2\n");
    jv_text_clear(&t);
}

static void aligns_columns_by_characters(void **state) {
    (void)state;
    jv_text_table t = {0};
    jv_text out = {0};
    const jv_style style = {.width = 80};
    jv_text_table_column(&t, "part", JV_LEFT);
    jv_text_table_column(&t, "V", JV_RIGHT);
    jv_text_table_column(&t, "note", JV_LEFT);
    jv_text_table_row(&t);
    jv_text_table_cell(&t, "m\xC2\xB5", JV_TINT_NONE);
    jv_text_table_number(&t, 10.25, 1);
    jv_text_table_row(&t);
    jv_text_table_cell(&t, NULL, JV_TINT_NONE);
    jv_text_table_number(&t, -0.01, 1);
    jv_text_table_cell(&t, "x", JV_TINT_GOOD);
    jv_text_table_row(&t);
    jv_text_table_cell(&t, "feed", JV_TINT_NONE);
    jv_text_table_number(&t, NAN, 1);
    jv_text_table_cell(&t, "ok", JV_TINT_BAD);
    jv_text_table_cell(&t, "dropped", JV_TINT_NONE);
    jv_text_table_print(&t, &style, 1, &out);
    /* -0.01 to one digit is no "-0.0". 10.25 is exact in binary; printf rounds half to even. */
    assert_string_equal(jv_text_str(&out), " part     V  note\n"
                                           " m\xC2\xB5    10.2\n"
                                           "        0.0  x\n"
                                           " feed     -  ok\n");
    jv_text_clear(&out);
}

static void colours_without_moving_columns(void **state) {
    (void)state;
    jv_text out = {0};
    jv_text_table t = {0};
    const jv_style style = {.width = 80, .colour = true};
    jv_text_table_column(&t, "a", JV_RIGHT);
    jv_text_table_row(&t);
    jv_text_table_cell(&t, "bad", JV_TINT_BAD);
    jv_text_table_print(&t, &style, 0, &out);
    assert_string_equal(jv_text_str(&out), "  \x1b[1ma\x1b[0m\n\x1b[31mbad\x1b[0m\n");
    jv_text_clear(&out);
    jv_paint(&out, false, JV_TINT_BAD, "plain");
    assert_string_equal(jv_text_str(&out), "plain");
    jv_text_clear(&out);
}

static void draws_bars_in_eighths(void **state) {
    (void)state;
    static const struct {
        double share;
        size_t width;
        bool ascii;
        const char *expected;
    } cases[] = {
        {0, 4, false, "    "},
        {1, 4, false, "\xE2\x96\x88\xE2\x96\x88\xE2\x96\x88\xE2\x96\x88"},
        {2, 2, true, "##"},
        {-1, 2, true, "  "},
        {0.5, 4, true, "##  "},
        /* 0.5 of 1 column: U+258C left half; 0.375 of 2 columns: six eighths, U+258A. */
        {0.5, 1, false, "\xE2\x96\x8C"},
        {0.375, 2, false, "\xE2\x96\x8A "},
        /* Next to nothing still shows: one eighth, U+258F. */
        {1e-6, 2, false, "\xE2\x96\x8F "},
        {NAN, 2, false, "  "},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jv_text out = {0};
        jv_bar(&out, cases[i].share, cases[i].width, cases[i].ascii);
        assert_string_equal(jv_text_str(&out), cases[i].expected);
        assert_int_equal(jv_text_columns(jv_text_str(&out)), cases[i].width);
        jv_text_clear(&out);
    }
}

static void build(jv_json *j) {
    jv_json_node *root = jv_json_begin(j);
    jv_json_text(j, root, "z", "quote \" and \n");
    jv_json_number(j, root, "a", -0.0, NULL);
    jv_json_number(j, root, "third", 0.1, NULL);
    jv_json_number(j, root, "fuse_A", NAN, "none fits");
    jv_json_number(j, root, "far", INFINITY, NULL);
    jv_json_bool(j, root, "yes", true);
    jv_json_null(j, root, "gone", "never was");
    jv_json_node *rows = jv_json_array(j, root, "rows");
    jv_json_node *row = jv_json_object(j, rows, NULL);
    jv_json_number(j, row, "x", 1, NULL);
    jv_json_text(j, row, "key \"q\"", "v");
    jv_json_array(j, root, "empty");
}

static void prints_json_in_the_order_given(void **state) {
    (void)state;
    jv_json j;
    jv_text out = {0};
    build(&j);
    assert_int_equal(jv_json_print(&j, &out), JV_OK);
    assert_string_equal(jv_text_str(&out), "{\n"
                                           "  \"z\": \"quote \\\" and \\n\",\n"
                                           "  \"a\": 0,\n"
                                           "  \"third\": 0.1,\n"
                                           "  \"fuse_A\": null,\n"
                                           "  \"fuse_A_reason\": \"none fits\",\n"
                                           "  \"far\": null,\n"
                                           "  \"far_reason\": \"not a finite number\",\n"
                                           "  \"yes\": true,\n"
                                           "  \"gone\": null,\n"
                                           "  \"gone_reason\": \"never was\",\n"
                                           "  \"rows\": [\n"
                                           "    {\"x\": 1, \"key \\\"q\\\"\": \"v\"}\n"
                                           "  ],\n"
                                           "  \"empty\": []\n"
                                           "}\n");
    jv_text_clear(&out);
}

static void breaks_a_long_flat_object_over_lines(void **state) {
    (void)state;
    jv_json j;
    jv_text out = {0};
    jv_json_node *row = jv_json_object(&j, jv_json_begin(&j), "row");
    jv_json_text(&j, row, "a", "0123456789012345678901234567890123456789012345");
    jv_json_text(&j, row, "b", "0123456789012345678901234567890123456789012345");
    assert_int_equal(jv_json_print(&j, &out), JV_OK);
    assert_string_equal(jv_text_str(&out),
                        "{\n"
                        "  \"row\": {\n"
                        "    \"a\": \"0123456789012345678901234567890123456789012345\",\n"
                        "    \"b\": \"0123456789012345678901234567890123456789012345\"\n"
                        "  }\n"
                        "}\n");
    jv_text_clear(&out);
}

static void every_failed_allocation_of_json_is_an_error(void **state) {
    (void)state;
    size_t n = 1;
    for (;; n++) {
        jv_json j;
        jv_text out = {0};
        failing_start(n);
        build(&j);
        jv_status status = jv_json_print(&j, &out);
        bool all_done = failing_calls() < n;
        jv_text_clear(&out);
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
        if (all_done) {
            assert_int_equal(status, JV_OK);
            break;
        }
        assert_int_equal(status, JV_ERR_MEMORY);
    }
    assert_true(n > 10);
}

static void every_failed_allocation_of_a_table_is_an_error(void **state) {
    (void)state;
    const jv_style style = {.width = 80};
    for (size_t n = 1;; n++) {
        jv_text_table t = {0};
        jv_text out = {0};
        failing_start(n);
        jv_text_table_column(&t, "heading", JV_LEFT);
        for (int i = 0; i < 40; i++) {
            jv_text_table_row(&t);
            jv_text_table_cell(&t, "cell", JV_TINT_NONE);
        }
        jv_text_table_print(&t, &style, 0, &out);
        bool all_done = failing_calls() < n, failed = out.failed;
        jv_text_clear(&out);
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
        assert_int_equal(failed, !all_done);
        if (all_done)
            break;
    }
}

static void print_page(size_t page, jv_text *out) {
    const jv_style style = {.width = 80, .colour = true};
    jv_cable_answer answer;
    const jv_cable_question question = {.current_a = 30, .loop_m = page % 2 ? 14 : 1000};
    assert_int_equal(jv_cable_find(&question, &answer), JV_OK);
    jv_status status = JV_OK;
    switch (page) {
    case 0:
    case 1:
        jv_cable_text(&answer, &style, out);
        break;
    case 2:
    case 3:
        status = jv_cable_json(&answer, out);
        break;
    case 4:
        jv_table_text(jv_table_get("insulation"), &style, out);
        break;
    case 5:
        status = jv_table_json(jv_table_get("insulation"), out);
        break;
    case 6:
        jv_table_list_text(&style, out);
        break;
    case 7:
        status = jv_table_list_json(out);
        break;
    default:
        jv_table_sources_text(jv_table_get("insulation"), &style, out);
        break;
    }
    if (status != JV_OK) {
        out->failed = true;
    }
}

/* Each page with its n-th allocation failing, closer at the beginning: a page takes thousands,
 * all of a few kinds. */
static void every_failed_allocation_of_a_page_is_an_error(void **state) {
    (void)state;
    for (size_t page = 0; page < 9; page++) {
        for (size_t n = 1;; n += 1 + n / 50) {
            jv_text out = {0};
            failing_start(n);
            print_page(page, &out);
            bool all_done = failing_calls() < n, failed = out.failed;
            jv_text_clear(&out);
            assert_int_equal(failing_blocks(), 0);
            failing_stop();
            assert_int_equal(failed, !all_done);
            if (all_done) {
                break;
            }
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wraps_at_spaces_and_keeps_the_label),
        cmocka_unit_test(aligns_columns_by_characters),
        cmocka_unit_test(colours_without_moving_columns),
        cmocka_unit_test(draws_bars_in_eighths),
        cmocka_unit_test(prints_json_in_the_order_given),
        cmocka_unit_test(breaks_a_long_flat_object_over_lines),
        cmocka_unit_test(every_failed_allocation_of_json_is_an_error),
        cmocka_unit_test(every_failed_allocation_of_a_table_is_an_error),
        cmocka_unit_test(every_failed_allocation_of_a_page_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
