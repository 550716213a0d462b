/* test_size_fuse_care.c - no fuse is raised over a cable that does not carry it, however that cable
 * is given. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "jackvolt/read.h"
#include "jackvolt/size.h"

/* A heater of 40 A behind a fuse of 20 A: at 75 % of its rating (Fuse application guide) it takes
 * 40 / 0.75 = 53.3 A, so 60 A, the next one sold. Beside the heater stands what is to be tried. */
static jv_sizing *size_feed(const char *beside, const char *cases, bool lead, jv_circuit **c) {
    static const char *const resize[] = {"feed", "lead"};
    jv_text j = {0};
    jv_diags d = {0};
    jv_sizing *s = NULL;
    jv_text_addf(&j,
                 "{\"circuit\": \"heater\", \"ambient\": \"20 degC\", \"parts\": {"
                 "\"battery\": {\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", "
                 "\"open_circuit\": \"12.6 V\", \"resistance\": \"10 mohm\"},"
                 "\"main\": {\"is\": \"fuse\", \"a\": \"p\", \"b\": \"f\", \"rating\": \"20 A\", "
                 "\"style\": \"blade E\", \"resistance\": \"1 mohm\"},"
                 "\"feed\": {\"is\": \"cable\", \"a\": \"f\", \"b\": \"x\", \"size\": \"6 AWG\", "
                 "\"length\": \"1 m\", \"insulation\": \"SGX\"},"
                 "\"heater\": {\"is\": \"load\", \"plus\": \"x\", \"minus\": \"m\", \"current\": "
                 "\"40 A\"}%s},"
                 "\"watches\": {\"heat\": {\"at\": [\"x\", \"m\"], \"below\": \"10 V\", \"while\": "
                 "\"always\"}}, \"cases\": {\"on\": {%s}}}",
                 beside, cases);
    assert_false(j.failed);
    jv_status status = jv_circuit_read_text(jv_text_str(&j), j.length, "heater", NULL, &d, c);
    if (status != JV_OK)
        print_error("%s\n", d.count ? d.items[0].message : "");
    assert_int_equal(status, JV_OK);
    const jv_size_options how = {.resize = resize, .n_resize = lead ? 2 : 1, .no_budget = true};
    assert_int_equal(jv_size_find(*c, &how, &d, &s), JV_OK);
    assert_int_equal(s->n_fuses, 1);
    jv_diags_clear(&d);
    jv_text_clear(&j);
    return s;
}

/* 18 AWG carries 25 A at the very most, in any insulation (33 CFR 183.425 Table 5, the rows of 125
 * and 200 degC), so that 60 A is out. By (C1) 40 m of it have about 0.84 ohm: a dead short at its
 * far end passes 12.6 / 0.85 = 14.8 A, which it would carry. One nearer to the fuse passes more. */
static void stays(const char *beside, const char *cases, bool lead, const char *says) {
    jv_circuit *c = NULL;
    jv_sizing *s = size_feed(beside, cases, lead, &c);
    if (s->fuses[0].changed || !strstr(s->fuses[0].note, says))
        print_error("%g A: %s\n", s->fuses[0].rating_a, s->fuses[0].note);
    assert_false(s->fuses[0].changed);
    assert_true(s->fuses[0].rating_a <= 20.0);
    assert_non_null(strstr(s->fuses[0].note, says));
    jv_sizing_free(&s);
    jv_circuit_free(&c);
}

#define LAMP \
    ",\"lamp\": {\"is\": \"load\", \"plus\": \"l\", \"minus\": \"m\", \"current\": \"1 A\"}"

static void stays_below_a_long_thin_cable(void **state) {
    (void)state;
    stays(",\"lead\": {\"is\": \"cable\", \"a\": \"x\", \"b\": \"l\", \"size\": \"18 AWG\", "
          "\"length\": \"40 m\", \"insulation\": \"SGX\"}" LAMP,
          "", false, "\"lead\" keeps its size and carries");
}

static void stays_below_a_cable_given_by_size_and_ohms(void **state) {
    (void)state;
    stays(",\"lead\": {\"is\": \"cable\", \"a\": \"x\", \"b\": \"l\", \"size\": \"18 AWG\", "
          "\"resistance\": \"20 mohm\", \"insulation\": \"SGX\"}" LAMP,
          "", false, "\"lead\" keeps its size and carries");
}

static void stays_where_it_is_not_known_what_a_cable_carries(void **state) {
    (void)state;
    stays(",\"lead\": {\"is\": \"cable\", \"a\": \"x\", \"b\": \"l\", \"resistance\": "
          "\"20 mohm\"}" LAMP,
          "", false, "what \"lead\" carries is not known");
}

/* Nor does sizing it help: nothing says what it is to carry, so it is not made thicker. */
static void stays_below_a_cable_that_no_case_loads(void **state) {
    (void)state;
    static const char lead[] =
        ",\"lead\": {\"is\": \"cable\", \"a\": \"x\", \"b\": \"l\", \"size\": \"18 AWG\", "
        "\"length\": \"2 m\", \"insulation\": \"SGX\"}" LAMP;
    stays(lead, "\"off\": [\"lamp\"]", false, "\"lead\" keeps its size and carries");
    stays(lead, "\"off\": [\"lamp\"]", true, "\"lead\" keeps its size and carries");
}

static void rises_to(const char *beside) {
    jv_circuit *c = NULL;
    jv_sizing *s = size_feed(beside, "", false, &c);
    if (!s->fuses[0].changed)
        print_error("%s\n", s->fuses[0].note);
    assert_true(s->fuses[0].changed);
    assert_true(s->fuses[0].rating_a == 60.0);
    jv_sizing_free(&s);
    jv_circuit_free(&c);
}

/* 6 AWG carries 80 A at the least (33 CFR 183.425 Table 5, the row of 60 degC). */
static void rises_where_all_behind_it_carry_it(void **state) {
    (void)state;
    rises_to("");
    rises_to(",\"lead\": {\"is\": \"cable\", \"a\": \"x\", \"b\": \"l\", \"size\": \"6 AWG\", "
             "\"length\": \"2 m\", \"insulation\": \"SGX\"}" LAMP);
}

/* A supply of 100 mA lets no more through than a lead of 20 AWG carries: the fuse before it is not
 * what guards that lead. */
static void rises_past_a_supply_that_limits(void **state) {
    (void)state;
    rises_to(",\"rail\": {\"is\": \"sensor_supply\", \"in\": \"x\", \"minus\": \"m\", \"out\": "
             "\"v\", \"set_voltage\": \"5 V\", \"limit\": \"100 mA\"},"
             "\"lead\": {\"is\": \"lead\", \"a\": \"v\", \"b\": \"h\", \"size\": \"20 AWG\", "
             "\"length\": \"3 m\"},"
             "\"sensor\": {\"is\": \"hall\", \"supply\": \"h\", \"minus\": \"m\"}");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(stays_below_a_long_thin_cable),
        cmocka_unit_test(stays_below_a_cable_given_by_size_and_ohms),
        cmocka_unit_test(stays_where_it_is_not_known_what_a_cable_carries),
        cmocka_unit_test(stays_below_a_cable_that_no_case_loads),
        cmocka_unit_test(rises_where_all_behind_it_carry_it),
        cmocka_unit_test(rises_past_a_supply_that_limits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
