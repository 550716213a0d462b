/* test_circuit_faults.c - faults of circuit files, and changes for one run.
 * SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/part_kind.h"
#include "tests/support/build.h"
#include "tests/support/circuit_text.h"
#include "tests/support/close.h"

static const double exact = 1e-12;

/* --- faults --- */

static void tells_all_faults_at_once(void **state) {
    (void)state;
    jv_diags d = {0};
    /* A comma too many (line 5), and behind it one fault each of the kinds a file can have. */
    size_t n =
        faults_of("{\"circuit\": \"c\", \"sekwence\": {},\n"
                  "\"parts\": {" SOURCE ",\n"
                  "\"a\": {\"is\": \"cable\", \"a\": \"post+\", \"b\": \"x\", \"size\": \"6\"},\n"
                  "\"b\": {\"is\": \"cabel\"},\n"
                  "\"c\": {\"is\": \"load\", \"plus\": \"x\", \"current\": 2,},\n"
                  "\"d\": 4},\n"
                  "\"watches\": {\"w\": {\"at\": \"bat\", \"below\": \"3 W\", \"then\": 1}},\n"
                  "\"cases\": {\"k\": {\"lift\": {\"a\": \"1 A\"}, \"for\": \"-1 s\"}}}",
                  NULL, 0, &d);
    assert_int_equal(n, 12);
    assert_int_equal(build_count(&d, JV_CODE_JSON_SYNTAX), 1);
    assert_int_equal(build_count(&d, JV_CODE_KEY_UNKNOWN), 1);
    assert_int_equal(build_count(&d, JV_CODE_QUANTITY_BARE), 2); /* size 6, current 2 */
    assert_int_equal(build_count(&d, JV_CODE_WORD_UNKNOWN), 1);  /* cabel */
    assert_int_equal(build_count(&d, JV_CODE_KEY_MISSING), 1);   /* minus */
    assert_int_equal(build_count(&d, JV_CODE_KEY_TYPE), 2);      /* d, then */
    assert_int_equal(build_count(&d, JV_CODE_PART_KIND), 2);     /* at, lift */
    assert_int_equal(build_count(&d, JV_CODE_QUANTITY_UNIT), 1);
    assert_int_equal(build_count(&d, JV_CODE_QUANTITY_RANGE), 1);
    for (size_t i = 1; i < d.count; i++) { /* in the order of the file, each with its line */
        assert_true(d.items[i - 1].place.line <= d.items[i].place.line);
        assert_non_null(d.items[i].source_line);
    }
    jv_diags_clear(&d);
}

static void shows_place_pointer_line_and_hint(void **state) {
    (void)state;
    jv_diags d = {0};
    assert_int_equal(faults_of("{\"circuit\": \"c\", \"parts\": {" SOURCE ",\n"
                               "  \"a/b\": {\"is\": \"load\", \"plus\": \"post+\", \"minus\": "
                               "\"post-\", \"curent\": \"2 A\"}}}",
                               NULL, 0, &d),
                     1);
    const jv_diag *fault = &d.items[0];
    assert_int_equal(fault->code, JV_CODE_KEY_UNKNOWN);
    assert_string_equal(fault->place.file, "c.json");
    assert_string_equal(fault->place.pointer, "/parts/a~1b/curent");
    assert_int_equal(fault->place.line, 2);
    /* Before it: 2 + 7 + 15 + 17 + 18. */
    assert_int_equal(fault->place.column, 60);
    assert_string_equal(fault->hint, "Did you mean \"current\"?");
    assert_string_equal(fault->source_line, "  \"a/b\": {\"is\": \"load\", \"plus\": \"post+\", "
                                            "\"minus\": \"post-\", \"curent\": \"2 A\"}}}");
    jv_diags_clear(&d);
}

/* Faults of the whole get the line of the file, too. */
static void shows_the_line_of_a_lone_terminal(void **state) {
    (void)state;
    jv_diags d = {0};
    assert_int_equal(faults_of("{\"circuit\": \"c\", \"parts\": {" SOURCE ",\r\n" LAMP ",\r\n"
                               "\"w\": {\"is\": \"cable\", \"a\": \"post+\", \"b\": \"lonely\", "
                               "\"resistance\": \"1 ohm\"}}}",
                               NULL, 0, &d),
                     1);
    assert_int_equal(d.items[0].code, JV_CODE_TERMINAL_LONE);
    assert_string_equal(d.items[0].place.pointer, "/parts/w/b");
    assert_int_equal(d.items[0].place.line, 3);
    assert_string_equal(d.items[0].source_line,
                        "\"w\": {\"is\": \"cable\", \"a\": \"post+\", \"b\": \"lonely\", "
                        "\"resistance\": \"1 ohm\"}}}");
    jv_diags_clear(&d);
}

/* Of a map the entry is named, and its place shown. */
static void shows_the_entry_of_a_lone_pin(void **state) {
    (void)state;
    jv_diags d = {0};
    assert_int_equal(faults_of(FILE_OF(LAMP ", \"plug\": {\"is\": \"connector\", \"pins\": {\n"
                                            "\"1\": [\"post+\", \"post-\"],\n"
                                            "\"2/3\": [\"post+\", \"lonely\"]}}"),
                               NULL, 0, &d),
                     1);
    assert_int_equal(d.items[0].code, JV_CODE_TERMINAL_LONE);
    assert_string_equal(d.items[0].place.pointer, "/parts/plug/pins/2~13");
    assert_int_equal(d.items[0].place.line, 3);
    assert_int_equal(d.items[0].place.column, 8);
    jv_diags_clear(&d);
}

/* Faults of a case, or of another file read before, do not hide an island. */
static void an_island_is_told_beside_other_faults(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\": \"c\", \"parts\": {" SOURCE ", " LAMP ", \"far\": {\"is\": \"load\", "
        "\"plus\": \"x\", \"minus\": \"y\", \"current\": \"1 A\"}, \"wire\": {\"is\": "
        "\"cable\", \"a\": \"x\", \"b\": \"y\", \"resistance\": \"1 ohm\"}}, \"cases\": {\"k\": "
        "{\"off\": [\"lanp\"]}}}";
    jv_diags d = {0};
    assert_int_equal(faults_of(text, NULL, 0, &d), 2);
    assert_int_equal(build_count(&d, JV_CODE_PART_UNKNOWN), 1);
    assert_int_equal(build_count(&d, JV_CODE_ISLAND), 1);
    assert_int_equal(faults_of(text, NULL, 0, &d), 4);
    jv_diags_clear(&d);
}

/* What follows from a fault is not told: no lone terminal, no missing key, no missing source. */
static void tells_no_consequences(void **state) {
    (void)state;
    static const char *const texts[] = {
        FILE_OF("\"w\": {\"is\": \"cable\", \"a\": \"post+\", \"b\": \"x\", \"size\": \"6 AWG\", "
                "\"lenght\": \"2 m\"}, \"l\": {\"is\": \"load\", \"plus\": \"x\", \"minus\": "
                "\"post-\", \"current\": \"2 A\"}"),
        FILE_OF("\"w\": {\"is\": \"cabel\", \"a\": \"post+\", \"b\": \"x\"}, \"l\": {\"is\": "
                "\"load\", \"plus\": \"x\", \"minus\": \"post-\", \"current\": \"2 A\"}"),
        FILE_OF("\"l\": {\"is\": \"load\", \"plus\": \"post+\", \"minus\": \"post-\", \"current\": "
                "\"2 V\"}"),
        FILE_OF(
            "\"l\": {\"is\": \"load\", \"plus\": 3, \"minus\": \"post-\", \"current\": \"2 A\"}"),
        "{\"circuit\": \"c\", \"parts\": {\"bat\": {\"is\": \"batery\", \"plus\": \"p\", "
        "\"minus\": "
        "\"m\"}}, \"watches\": {\"w\": {\"at\": [\"p\", \"m\"]}}}",
        "{\"circuit\": \"c\"}",
        "[]",
        "3",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        jv_diags d = {0};
        assert_int_equal(faults_of(texts[i], NULL, 0, &d), 1);
        jv_diags_clear(&d);
    }
}

static void a_watch_may_not_have_the_name_of_a_part(void **state) {
    (void)state;
    jv_diags d = {0};
    assert_int_equal(faults_of("{\"circuit\": \"c\", \"parts\": {" SOURCE ", " LAMP
                               "}, \"watches\": {\"lamp\": "
                               "{\"at\": [\"post+\", \"post-\"]}}, \"cases\": {\"lamp\": {}}}",
                               NULL, 0, &d),
                     1);
    assert_int_equal(build_count(&d, JV_CODE_NAME_DUPLICATE), 1);
    jv_diags_clear(&d);
}

static void a_missing_file_is_a_fault_of_the_system(void **state) {
    (void)state;
    jv_diags d = {0};
    jv_circuit *c = NULL;
    assert_int_equal(jv_circuit_read_file("no/such/circuit.json", NULL, &d, &c), JV_ERR_SYSTEM);
    assert_null(c);
    assert_int_equal(build_count(&d, JV_CODE_FILE_MISSING), 1);
    jv_diags_clear(&d);
}

/* --- changes for one run --- */

static void changes_replace_and_add(void **state) {
    (void)state;
    static const char *const sets[] = {
        "feed.size=2 AWG",
        "feed.metal = aluminium ", /* added; spaces around do not count */
        "feed.surroundings.air=40 degC",
        "feed.surroundings.wet=true",
        "ambient=-10 degC",
        "low-voltage stop.below=11 V",
        "lifting.charge=50 %",
        "lifting.lift.left jack=1700 lbf",
        "feed.length=1 ft",
        "feed.length=10 m", /* the later one wins */
        "lifting.off=[\"main fuse\"]",
    };
    jv_circuit *c = sound(example, sets, sizeof sets / sizeof sets[0]);
    assert_string_equal(slot_of(c, "feed", "size")->text, "2 AWG");
    assert_int_equal(slot_of(c, "feed", "size")->origin, JV_SET);
    assert_int_equal(slot_of(c, "feed", "size")->line, 10); /* the part's */
    assert_int_equal(slot_of(c, "feed", "insulation")->origin, JV_GIVEN);
    assert_int_equal(slot_of(c, "feed", "metal")->index, 3);
    assert_close(value_of(c, "feed", "surroundings.air"), 40.0, exact, 0);
    assert_int_equal(slot_of(c, "feed", "surroundings.wet")->index, 1);
    assert_close(value_of(c, "feed", "length"), 10.0, exact, 0);
    assert_close(value_of(c, "return", "length"), 6.7056, exact, 0);
    assert_close(c->ambient.nominal, -10.0, exact, 0);
    assert_close(c->watches[0].below.nominal, 11.0, exact, 0);
    assert_close(c->cases[0].charge.nominal, 0.5, exact, 0);
    assert_int_equal(c->cases[0].runs[0].kind, JV_LOAD_FORCE);
    assert_int_equal(c->cases[0].n_off, 1);
    jv_circuit_free(&c);
}

/* Names with points, spaces and the sign =: the longest known one is meant. */
static void changes_find_the_longest_name(void **state) {
    (void)state;
    static const char text[] =
        FILE_OF("\"a\": {\"is\": \"load\", \"plus\": \"post+\", \"minus\": \"post-\", \"current\": "
                "\"1 A\"}, \"a.b = c\": {\"is\": \"load\", \"plus\": \"post+\", \"minus\": "
                "\"post-\", \"current\": \"1 A\"}");
    static const char *const sets[] = {"a.b = c.current=3 A", "a.current=2 A"};
    jv_circuit *c = sound(text, sets, 2);
    assert_close(value_of(c, "a", "current"), 2.0, exact, 0);
    assert_close(value_of(c, "a.b = c", "current"), 3.0, exact, 0);
    jv_circuit_free(&c);
}

static void changes_that_cannot_stand(void **state) {
    (void)state;
    static const struct {
        const char *set;
        jv_code code;
        size_t column;
        const char *hint;
    } cases[] = {
        {"fed.size=2 AWG", JV_CODE_PART_UNKNOWN, 1, "Did you mean \"feed\"?"},
        {"feed.sise=2 AWG", JV_CODE_KEY_UNKNOWN, 6, "Did you mean \"size\"?"},
        {"feed.size", JV_CODE_SET_FORM, 6, NULL},
        {"feed", JV_CODE_SET_FORM, 1, NULL},
        {"", JV_CODE_SET_FORM, 1, NULL},
        {"feed.=3", JV_CODE_SET_FORM, 6, NULL},
        {"ambiant=3 degC", JV_CODE_KEY_UNKNOWN, 1, "Did you mean \"ambient\"?"},
        {"feed.length=3 V", JV_CODE_QUANTITY_UNIT, 13, NULL},
        {"feed.length=", JV_CODE_QUANTITY_FORM, 13, NULL},
        {"feed.surroundings.wet=perhaps", JV_CODE_KEY_TYPE, 23, NULL},
        {"lifting.lift.right jack=3 A", JV_CODE_KEY_UNKNOWN, 9, NULL},
        {"lifting.off=[\"main fuse\"", JV_CODE_JSON_SYNTAX, 0, NULL},
        {"feed.size=\xFF", JV_CODE_JSON_UTF8, 11, NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jv_diags d = {0};
        assert_int_equal(faults_of(example, &cases[i].set, 1, &d), 1);
        assert_int_equal(d.items[0].code, cases[i].code);
        assert_string_equal(d.items[0].place.file, "--set");
        if (cases[i].column > 0) {
            assert_int_equal(d.items[0].place.column, cases[i].column);
        }
        if (cases[i].hint != NULL) {
            assert_string_equal(d.items[0].hint, cases[i].hint);
        }
        jv_diags_clear(&d);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tells_all_faults_at_once),
        cmocka_unit_test(shows_place_pointer_line_and_hint),
        cmocka_unit_test(shows_the_line_of_a_lone_terminal),
        cmocka_unit_test(shows_the_entry_of_a_lone_pin),
        cmocka_unit_test(an_island_is_told_beside_other_faults),
        cmocka_unit_test(tells_no_consequences),
        cmocka_unit_test(a_watch_may_not_have_the_name_of_a_part),
        cmocka_unit_test(a_missing_file_is_a_fault_of_the_system),
        cmocka_unit_test(changes_replace_and_add),
        cmocka_unit_test(changes_find_the_longest_name),
        cmocka_unit_test(changes_that_cannot_stand),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
