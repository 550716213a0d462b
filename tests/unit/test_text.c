/* test_text.c - text buffer, numbers, UTF-8, edit distance. SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700 /* mkdtemp, setenv, P_tmpdir */

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <float.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/text.h"
#include "tests/support/failing.h"

static void appends_in_order(void **state) {
    (void)state;
    jv_text t = {0};
    assert_string_equal(jv_text_str(&t), "");
    jv_text_add(&t, "volts");
    jv_text_add_char(&t, ':');
    jv_text_add_n(&t, " 12 and more", 3);
    jv_text_repeat(&t, "-=", 3);
    jv_text_addf(&t, " %.2f %s %d%%", 1.5, "V", 7);
    assert_string_equal(jv_text_str(&t), "volts: 12-=-=-= 1.50 V 7%");
    assert_int_equal(t.length, strlen(t.data));
    for (int i = 0; i < 5000; i++) {
        jv_text_add_char(&t, 'x');
    }
    assert_int_equal(t.length, 25 + 5000);
    assert_int_equal(strlen(t.data), t.length);
    jv_text_clear(&t);
    assert_null(t.data);
    jv_text_add(&t, "again");
    assert_string_equal(jv_text_str(&t), "again");
    jv_text_clear(&t);
}

static void failed_allocation_keeps_what_there_is(void **state) {
    (void)state;
    failing_start(2);
    jv_text t = {0};
    jv_text_add(&t, "kept");
    jv_text_repeat(&t, "0123456789", 10);
    assert_true(t.failed);
    assert_string_equal(jv_text_str(&t), "kept");
    jv_text_add(&t, "!");
    jv_text_addf(&t, "%d", 1);
    assert_string_equal(jv_text_str(&t), "kept");
    jv_text_clear(&t);
    jv_text_repeat(&t, "0123456789", SIZE_MAX / 4);
    assert_true(t.failed);
    jv_text_clear(&t);
    assert_int_equal(failing_blocks(), 0);
    failing_stop();
}

/* Expected texts: decimal literals that are the shortest of their doubles, after D. Gay, "Correctly
 * rounded binary-decimal and decimal-binary conversions" (1990), and the well-known hard ones. */
static void shortest_digits(void **state) {
    (void)state;
    static const struct {
        double value;
        const char *text;
    } cases[] = {
        {0.0, "0"},
        {-0.0, "0"},
        {1.0, "1"},
        {-1.5, "-1.5"},
        {0.1, "0.1"},
        {0.3, "0.3"},
        {0.1 + 0.2, "0.30000000000000004"},
        {100.0, "100"},
        {12.6, "12.6"},
        {0.00393, "0.00393"},
        {1e-6, "0.000001"},
        {1e-7, "1e-7"},
        {1.5e-9, "1.5e-9"},
        {1e20, "100000000000000000000"},
        {1e21, "1e21"},
        {1e22, "1e22"},
        {1e23, "1e23"},
        {9007199254740993.0, "9007199254740992"},
        {123456789012345680.0, "123456789012345680"},
        {0x1p-44, "5.684341886080802e-14"}, /* the nearest 16 digits do not read back */
        {5e-324, "5e-324"},
        {DBL_MIN, "2.2250738585072014e-308"},
        {DBL_MAX, "1.7976931348623157e308"},
        {2.0 / 3.0, "0.6666666666666666"},
    };
    char out[32];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        assert_true(jv_number_shortest(cases[i].value, out));
        assert_string_equal(out, cases[i].text);
    }
    out[0] = 'u';
    assert_false(jv_number_shortest((double)NAN, out));
    assert_false(jv_number_shortest((double)INFINITY, out));
    assert_int_equal(out[0], 'u');
}

/* Numbers drawn over all exponents, and short ones: each text reads back as the same double, and 15
 * digits are never exceeded where 15 are enough. */
static void every_double_comes_back(void **state) {
    (void)state;
    uint64_t bits = 88172645463325252U;
    for (int i = 0; i < 40000; i++) {
        bits ^= bits << 13;
        bits ^= bits >> 7;
        bits ^= bits << 17;
        double value;
        if (i % 2 == 0) {
            memcpy(&value, &bits, sizeof value);
        } else {
            value = (double)(bits % 10000000) / 1e4;
        }
        if (!isfinite(value)) {
            continue;
        }
        char text[32];
        double back;
        const char *end;
        assert_true(jv_number_shortest(value, text));
        assert_true(jv_number_read(text, &back, &end));
        assert_int_equal(*end, '\0');
        assert_memory_equal(&value, &back, sizeof value);
        assert_true(i % 2 == 0 || strlen(text) <= 8);
    }
}

static void reads_numbers(void **state) {
    (void)state;
    static const struct {
        const char *text;
        double value;
        size_t length;
    } cases[] = {
        {"0", 0.0, 1},
        {"12.5 V", 12.5, 4},
        {"+3", 3.0, 2},
        {"-40degF", -40.0, 3},
        {".5", 0.5, 2},
        {"5.", 5.0, 1},
        {"5..6", 5.0, 1},
        {"0.3..5", 0.3, 3},
        {"1e3", 1000.0, 3},
        {"1E-2x", 0.01, 4},
        {"5e", 5.0, 1},
        {"5e+", 5.0, 1},
        {"007", 7.0, 3},
        {"0x10", 0.0, 1},
        {"1,5", 1.0, 1},
        {"9007199254740993", 9007199254740992.0, 16}, /* halfway: to even */
        {"9007199254740995", 9007199254740996.0, 16}, /* halfway: to even */
        {"9007199254740993.00000000000000000000000001", 9007199254740994.0, 43},
        {"2.2250738585072011e-308", 2.2250738585072011e-308, 23},
        {"1e400", (double)INFINITY, 5},
        {"-1e99999999999999999999999", -(double)INFINITY, 26},
        {"1e-400", 0.0, 6},
        {"0e99999", 0.0, 7},
        {"1e-99999999999999999999999", 0.0, 26},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double value = -1.0;
        const char *end = NULL;
        assert_true(jv_number_read(cases[i].text, &value, &end));
        assert_true(value == cases[i].value);
        assert_int_equal(end - cases[i].text, cases[i].length);
    }
    static const char *const refused[] = {"",    "-",   ".",    "+.", "e5",
                                          "nan", "inf", "-inf", " 5", "x"};
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        double value;
        assert_false(jv_number_read(refused[i], &value, NULL));
    }
}

/* 1 + 2^-53 lies halfway between 1 and the next double; a digit 1000 places on decides. */
static void rounds_by_a_far_digit(void **state) {
    (void)state;
    const char *half = "1.00000000000000011102230246251565404236316680908203125";
    char text[1200];
    memset(text, '0', sizeof text);
    memcpy(text, half, strlen(half));
    text[1199] = '\0';
    double value;
    assert_true(jv_number_read(text, &value, NULL));
    assert_true(value == 1.0);
    text[1198] = '1';
    assert_true(jv_number_read(text, &value, NULL));
    assert_true(value == 1.0 + DBL_EPSILON);
}

/* A locale with a decimal comma, made for this test from the system's sources of locales, so that
 * it does not matter which ones are installed. */
static void with_decimal_comma(void (*check)(void)) {
    char directory[] = P_tmpdir "/jackvolt-locale-XXXXXX";
    char command[200];
    char comma[8];
    assert_non_null(mkdtemp(directory));
    snprintf(command, sizeof command, "localedef -i de_DE -f UTF-8 %s/de_DE.UTF-8", directory);
    assert_int_equal(system(command), 0);
    assert_int_equal(setenv("LOCPATH", directory, 1), 0);
    assert_non_null(setlocale(LC_ALL, "de_DE.UTF-8"));
    snprintf(comma, sizeof comma, "%.1f", 0.5);
    assert_string_equal(comma, "0,5"); /* the check below has something to resist */
    check();
    setlocale(LC_ALL, "C");
    unsetenv("LOCPATH");
    snprintf(command, sizeof command, "rm -r %s", directory);
    assert_int_equal(system(command), 0);
}

static void check_numbers(void) {
    jv_text t = {0};
    char out[32];
    double value;
    jv_text_addf(&t, "%.2f %g", 12.25, 0.5);
    assert_string_equal(jv_text_str(&t), "12.25 0.5");
    assert_true(jv_number_shortest(1.0 / 3.0, out));
    assert_string_equal(out, "0.3333333333333333");
    assert_true(jv_number_read("0.33333333333333331483", &value, NULL));
    assert_true(value == 1.0 / 3.0);
    assert_true(jv_number_read("12.5", &value, NULL));
    assert_true(value == 12.5);
    jv_text_clear(&t);
}

static void a_decimal_comma_changes_nothing(void **state) {
    (void)state;
    with_decimal_comma(check_numbers);
}

static void columns_and_utf8(void **state) {
    (void)state;
    assert_int_equal(jv_text_columns(""), 0);
    assert_int_equal(jv_text_columns("0.8 m\xCE\xA9"), 6);
    assert_int_equal(jv_text_columns("20 \xC2\xB0"
                                     "C"),
                     5);
    static const struct {
        const char *text;
        size_t length;
        size_t bad; /* SIZE_MAX: valid */
    } cases[] = {
        {"plain", 5, SIZE_MAX},     {"\xC3\xA9\xE2\x82\xAC\xF0\x9F\x94\x8B", 9, SIZE_MAX},
        {"a\0b", 3, SIZE_MAX},      {"ab\x80", 3, 2},      /* continuation alone */
        {"\xC0\xAF", 2, 0},                                /* overlong */
        {"\xE0\x80\xAF", 3, 0},                            /* overlong */
        {"x\xED\xA0\x80", 4, 1},                           /* surrogate */
        {"\xF4\x90\x80\x80", 4, 0},                        /* above U+10FFFF */
        {"\xF5\x80\x80\x80", 4, 0}, {"12 \xE2\x82", 5, 3}, /* cut short */
        {"\xE2\x28\xA1", 3, 0},     {"\xFF", 1, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        size_t bad = SIZE_MAX;
        const bool valid = jv_text_is_utf8(cases[i].text, cases[i].length, &bad);
        assert_int_equal(valid, cases[i].bad == SIZE_MAX);
        assert_int_equal(bad, cases[i].bad);
    }
}

/* kitten/sitting = 3 and Saturday/Sunday = 3: the examples of the textbooks on edit distance. */
static void edit_distance(void **state) {
    (void)state;
    assert_int_equal(jv_text_distance("kitten", "sitting", 5), 3);
    assert_int_equal(jv_text_distance("Saturday", "sunday", 5), 3);
    assert_int_equal(jv_text_distance("sitting", "kitten", 2), 3); /* limit + 1 */
    assert_int_equal(jv_text_distance("length", "LENGTH", 2), 0);
    assert_int_equal(jv_text_distance("lenght", "length", 2), 2);
    assert_int_equal(jv_text_distance("", "abc", 3), 3);
    assert_int_equal(jv_text_distance("abc", "", 3), 3);
    assert_int_equal(jv_text_distance("", "", 0), 0);
    assert_int_equal(jv_text_distance("a", "abcdefgh", 2), 3);
    char longer[200];
    memset(longer, 'a', sizeof longer - 1);
    longer[199] = '\0';
    assert_int_equal(jv_text_distance(longer, longer, 2), 3);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(appends_in_order),
        cmocka_unit_test(failed_allocation_keeps_what_there_is),
        cmocka_unit_test(shortest_digits),
        cmocka_unit_test(every_double_comes_back),
        cmocka_unit_test(reads_numbers),
        cmocka_unit_test(rounds_by_a_far_digit),
        cmocka_unit_test(a_decimal_comma_changes_nothing),
        cmocka_unit_test(columns_and_utf8),
        cmocka_unit_test(edit_distance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
