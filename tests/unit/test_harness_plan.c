/* test_harness_plan.c - harness and side file become a circuit. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/read.h"
#include "jackvolt/render.h"
#include "tests/support/circuit_text.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"
#include "tests/support/harness_text.h"

static const char own_file[] = "tests/harness/rear-jacks.kbl";
static const char own_side[] = "tests/harness/rear-jacks.side.json";

static void print_faults(const jv_diags *d) {
    jv_text t = {0};
    jv_diags_print(d, &t);
    print_message("%s", jv_text_str(&t));
    jv_text_clear(&t);
}

static jv_harness *harness_of(const char *path) {
    jv_diags d = {0};
    jv_harness *h = NULL;
    assert_int_equal(jv_harness_read_file(path, &d, &h), JV_OK);
    return h;
}

static jv_harness_side *side_of(const char *text) {
    jv_diags d = {0};
    jv_harness_side *side = NULL;
    jv_status status = jv_harness_side_read_text(text, strlen(text), "side.json", &d, &side);
    print_faults(&d);
    assert_int_equal(status, JV_OK);
    return side;
}

static jv_harness_plan *plan_of(const jv_harness *h, const jv_harness_side *side) {
    jv_diags d = {0};
    jv_harness_plan *plan = NULL;
    jv_status status = jv_harness_plan_make(h, side, &d, &plan);
    print_faults(&d);
    assert_int_equal(status, JV_OK);
    return plan;
}

/* The circuit that a plan makes, read by the reader of circuit files. */
static jv_circuit *circuit_of(const jv_harness_plan *plan) {
    jv_text t = {0};
    jv_diags d = {0};
    jv_circuit *c = NULL;
    assert_int_equal(jv_harness_circuit(plan, &t), JV_OK);
    jv_status status = jv_circuit_read_text(jv_text_str(&t), t.length, "made.json", NULL, &d, &c);
    print_faults(&d);
    assert_int_equal(status, JV_OK);
    jv_text_clear(&t);
    return c;
}

static const char *end_of(const jv_circuit *c, const char *part, const char *key) {
    return c->terminals[slot_of(c, part, key)->index];
}

static void a_harness_and_its_side_file_make_a_circuit(void **state) {
    (void)state;
    jv_diags d = {0};
    jv_harness *h = harness_of(own_file);
    jv_harness_side *side = NULL;
    assert_int_equal(jv_harness_side_read_file(own_side, &d, &side), JV_OK);
    jv_harness_plan *plan = plan_of(h, side);
    assert_true(plan->has_source);
    assert_int_equal(plan->n_lone, 0);
    assert_int_equal(plan->n_missing, 0);
    jv_circuit *c = circuit_of(plan);
    /* 16 mm2, 6400 mm and 60 A stand in the harness file; 2.7 m and post+ in the side file. */
    assert_close(value_of(c, "wire 2", "size"), 16.0, 0.0, 0.0);
    assert_close(value_of(c, "wire 2", "length"), 6.4, 1e-12, 0.0);
    assert_close(value_of(c, "F1", "rating"), 60.0, 0.0, 0.0);
    assert_close(value_of(c, "wire 9", "length"), 2.7, 1e-12, 0.0);
    assert_non_null(slot_of(c, "F1", "style"));
    assert_string_equal(end_of(c, "wire 1", "a"), "post+");
    assert_string_equal(end_of(c, "wire 1", "b"), "RA.1");
    assert_string_equal(end_of(c, "F1", "a"), "BOX.A.1"); /* the bar's first point in use */
    assert_string_equal(end_of(c, "F1", "b"), "BOX.B.1");
    /* 9 wires and 2 pieces with current, 2 fuses, 2 bolts of the box, 5 parts of the side file;
     * wire 11, both sensor cores and the core without ends are not there. */
    assert_int_equal(c->n_parts, 9 + 2 + 2 + 2 + 5);
    assert_non_null(slot_of(c, "wire 1", "metal"));
    assert_int_equal(jv_harness_assumed_copper(plan), 11 - 2); /* wires 1 and 2 are of Cu */
    jv_circuit_free(&c);
    jv_harness_plan_free(&plan);
    jv_harness_side_free(&side);
    jv_harness_free(&h);
}

static void without_a_side_file_all_is_kept_and_what_is_missing_told(void **state) {
    (void)state;
    jv_harness *h = harness_of(own_file);
    jv_harness_plan *plan = plan_of(h, NULL);
    assert_false(plan->has_source);
    for (size_t i = 0; i < plan->harness->n_wires; i++) {
        bool no_ends = plan->harness->wires[i].from == JV_HARNESS_NONE;
        assert_int_equal(plan->wire_fate[i], no_ends ? JV_HARNESS_BROKEN : JV_HARNESS_KEPT);
    }
    /* BAT+, BAT-, GND, CTL.1, 3 to 8, LEFT 2, RIGHT 2, SENS 2, LAMP2, SPARE. CTL.2 has two wires,
     * LAMP1 two pieces. */
    assert_int_equal(plan->n_lone, 3 + 7 + 2 + 2 + 2 + 1 + 1);
    jv_text t = {0};
    jv_style style = {0};
    jv_harness_remarks(plan, &style, &t);
    assert_non_null(strstr(jv_text_str(&t), "missing: a battery or supply"));
    assert_non_null(strstr(jv_text_str(&t), "missing: 18 terminals with one part only: "));
    jv_text_clear(&t);
    jv_harness_plan_free(&plan);
    jv_harness_free(&h);
}

#define SIDE_SOURCE                                                         \
    "\"bat\": {\"is\": \"battery\", \"plus\": \"X1.1\", \"minus\": \"m\", " \
    "\"open_circuit\": \"12.6 V\", \"resistance\": \"10 mohm\"}"
#define SIDE_LAMP \
    "\"lamp\": {\"is\": \"load\", \"plus\": \"X2.1\", \"minus\": \"m\", \"current\": \"2 A\"}"

static const char plain[] = KBL_FILE("", KBL_PLAIN(""));

static void a_length_that_is_not_known_is_missing_until_given(void **state) {
    (void)state;
    static const char file[] =
        KBL_FILE("",
                 KBL_RING("X1", "") KBL_RING("X2", "") KBL_WIRE("o1", "1", KBL_LENGTH("DMU", "0"))
                     KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("1", "p_X2")));
    jv_harness *h = harness_sound(file);
    jv_harness_side *side = side_of("{\"parts\": {" SIDE_SOURCE "," SIDE_LAMP "}}");
    jv_harness_plan *plan = plan_of(h, side);
    assert_int_equal(plan->n_missing, 1);
    assert_string_equal(plan->missing[0], "length of \"wire 1\"");
    jv_harness_plan_free(&plan);
    jv_harness_side_free(&side);
    side = side_of("{\"parts\": {" SIDE_SOURCE "," SIDE_LAMP
                   ", \"wire 1\": {\"length\": \"3 m +/- 5 %\"}}}");
    plan = plan_of(h, side);
    assert_int_equal(plan->n_missing, 0);
    jv_circuit *c = circuit_of(plan);
    assert_close(value_of(c, "wire 1", "length"), 3.0, 1e-12, 0.0);
    jv_circuit_free(&c);
    jv_harness_plan_free(&plan);
    jv_harness_side_free(&side);
    jv_harness_free(&h);
}

static void one_name_for_two_points_joins_them(void **state) {
    (void)state;
    static const char file[] =
        KBL_FILE("",
                 KBL_RING("X1", "") KBL_RING("X2", "") KBL_RING("X3", "")
                     KBL_WIRE("o1", "1", KBL_LENGTH("DMU", "1")) KBL_WIRE("o2", "2",
                                                                          KBL_LENGTH("DMU", "2"))
                         KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("1", "p_X2"))
                             KBL_CONNECTION("k2", "o2", KBL_END("0", "p_X3") KBL_END("1", "p_X2")));
    jv_harness *h = harness_sound(file);
    jv_harness_side *side =
        side_of("{\"terminals\": {\"X1.1\": \"stud\", \"X3.1\": \"stud\"}, \"reference\": \"m\", "
                "\"watches\": {\"w\": {\"at\": [\"X2.1\", \"m\"], \"below\": \"9 V\"}}, "
                "\"parts\": {\"bat\": {\"is\": \"battery\", \"plus\": \"X1.1\", \"minus\": \"m\", "
                "\"open_circuit\": \"12.6 V\", \"resistance\": \"10 mohm\"}," SIDE_LAMP "}}");
    jv_harness_plan *plan = plan_of(h, side);
    jv_circuit *c = circuit_of(plan);
    assert_string_equal(end_of(c, "wire 1", "a"), "stud");
    assert_string_equal(end_of(c, "wire 2", "a"), "stud");
    assert_string_equal(end_of(c, "bat", "plus"), "stud"); /* named by its point in the side file */
    assert_int_equal(c->n_watches, 1);
    jv_circuit_free(&c);
    jv_harness_plan_free(&plan);
    jv_harness_side_free(&side);
    jv_harness_free(&h);
}

static void what_hangs_together_with_nothing_is_left_out(void **state) {
    (void)state;
    /* A ring of two wires between X3 and X4: no end is open, but no source reaches it. */
    static const char file[] =
        KBL_FILE("",
                 KBL_PLAIN("") KBL_RING("X3", "") KBL_RING("X4", "")
                     KBL_WIRE("o2", "2", KBL_LENGTH("DMU", "2")) KBL_WIRE("o3", "3",
                                                                          KBL_LENGTH("DMU", "2"))
                         KBL_CONNECTION("k2", "o2", KBL_END("0", "p_X3") KBL_END("1", "p_X4"))
                             KBL_CONNECTION("k3", "o3", KBL_END("0", "p_X3") KBL_END("1", "p_X4")));
    jv_harness *h = harness_sound(file);
    jv_harness_side *side = side_of("{\"parts\": {" SIDE_SOURCE "," SIDE_LAMP "}}");
    jv_harness_plan *plan = plan_of(h, side);
    assert_int_equal(plan->wire_fate[0], JV_HARNESS_KEPT);
    assert_int_equal(plan->wire_fate[1], JV_HARNESS_APART);
    assert_int_equal(plan->wire_fate[2], JV_HARNESS_APART);
    jv_circuit *c = circuit_of(plan);
    assert_int_equal(c->n_parts, 3);
    jv_circuit_free(&c);
    jv_harness_plan_free(&plan);
    jv_harness_side_free(&side);
    jv_harness_free(&h);
}

static void ends_plugged_together_become_a_connector(void **state) {
    (void)state;
    static const char file[] = KBL_FILE(
        "",
        KBL_RING("X1", "") KBL_RING("X2", "") KBL_RING(
            "X4",
            "") "<Connector_occurrence id=\"c3\"><Id>X3</Id><Part>h</Part><Contact_points "
                "id=\"p3\">"
                "<Contacted_cavity>v3</Contacted_cavity></Contact_points><Slots id=\"s3\">"
                "<Mated_slots>s_X2</Mated_slots><Part>hs</Part><Cavities id=\"v3\"><Part>hc</Part>"
                "</Cavities></Slots></Connector_occurrence>" KBL_WIRE("o1", "1",
                                                                      KBL_LENGTH("DMU", "1"))
                    KBL_WIRE("o2", "2", KBL_LENGTH("DMU", "2"))
                        KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("1", "p_X2"))
                            KBL_CONNECTION("k2", "o2", KBL_END("0", "p3") KBL_END("1", "p_X4")));
    jv_harness *h = harness_sound(file);
    jv_harness_side *side =
        side_of("{\"parts\": {" SIDE_SOURCE ", \"X2 to X3\": {\"resistance\": \"2 mohm\"}, "
                "\"lamp\": {\"is\": \"load\", \"plus\": \"X4.1\", \"minus\": \"m\", \"current\": "
                "\"2 A\"}}}");
    jv_harness_plan *plan = plan_of(h, side);
    jv_circuit *c = circuit_of(plan);
    const jv_slot *pin = slot_of(c, "X2 to X3", "pins");
    assert_string_equal(c->terminals[pin->index], "X2.1");
    assert_string_equal(c->terminals[pin->second], "X3.1");
    assert_close(value_of(c, "X2 to X3", "resistance"), 2e-3, 1e-12, 0.0);
    jv_circuit_free(&c);
    jv_harness_plan_free(&plan);
    jv_harness_side_free(&side);
    jv_harness_free(&h);
}

static void refused_side(const char *text, jv_code code, const char *words, const char *hint) {
    jv_diags d = {0};
    jv_harness *h = harness_sound(plain);
    jv_harness_side *side = NULL;
    jv_harness_plan *plan = NULL;
    jv_status status = jv_harness_side_read_text(text, strlen(text), "side.json", &d, &side);
    if (status == JV_OK) {
        status = jv_harness_plan_make(h, side, &d, &plan);
    }
    assert_int_equal(status, JV_ERR_INPUT);
    assert_null(plan);
    harness_tells(&d, code, words);
    assert_non_null(strstr(d.items[0].hint, hint));
    assert_string_equal(d.items[0].place.file, "side.json");
    assert_true(d.items[0].place.line > 0);
    jv_diags_clear(&d);
    jv_harness_side_free(&side);
    jv_harness_free(&h);
}

static void a_side_file_that_does_not_fit_is_told_with_its_place(void **state) {
    (void)state;
    refused_side("{\"terminals\": {\"X1.2\": \"post+\"}}", JV_CODE_HARNESS_SIDE,
                 "the harness has no point \"X1.2\"", "Did you mean \"X1.1\"?");
    refused_side("{\"parts\": {\"wire 7\": {\"length\": \"2 m\"}}}", JV_CODE_HARNESS_SIDE,
                 "the harness has no part \"wire 7\"", "Did you mean \"wire 1\"?");
    refused_side("{\"parts\": {\"wire 1\": {\"a\": \"x\"}}}", JV_CODE_HARNESS_SIDE,
                 "says where it ends", "Take it out");
    refused_side("{\"part\": {}}", JV_CODE_KEY_UNKNOWN, "no key \"part\"", "\"parts\"");
    refused_side("{\"terminals\": []}", JV_CODE_KEY_TYPE, "is an object", "post+");
    refused_side("{\"terminals\": {\"X1.1\": 7}}", JV_CODE_KEY_TYPE, "is a text", "post+");
    refused_side("{\"parts\": {\"x\": 7}}", JV_CODE_KEY_TYPE, "a part is an object", "is");
    refused_side("[]", JV_CODE_KEY_TYPE, "a side file is an object", "{");
}

static void each_failed_allocation_is_a_clean_error(void **state) {
    (void)state;
    size_t all = 0;
    for (size_t n = 0; n == 0 || n <= all; n++) {
        failing_start(n);
        jv_diags d = {0};
        jv_harness *h = NULL;
        jv_harness_side *side = NULL;
        jv_harness_plan *plan = NULL;
        jv_text out = {0};
        jv_status status = jv_harness_read_text(plain, sizeof plain - 1, "h", &d, &h);
        static const char text[] = "{\"terminals\": {\"X1.1\": \"p\"}, \"parts\": {" SIDE_SOURCE
                                   "," SIDE_LAMP ", \"wire 1\": {\"length\": \"3 m\"}}}";
        if (status == JV_OK) {
            status = jv_harness_side_read_text(text, sizeof text - 1, "s", &d, &side);
        }
        if (status == JV_OK) {
            status = jv_harness_plan_make(h, side, &d, &plan);
        }
        if (status == JV_OK) {
            status = jv_harness_circuit(plan, &out);
        }
        assert_int_equal(status, n == 0 ? JV_OK : JV_ERR_MEMORY);
        jv_text_clear(&out);
        jv_harness_plan_free(&plan);
        jv_harness_side_free(&side);
        jv_harness_free(&h);
        jv_diags_clear(&d);
        assert_int_equal(failing_blocks(), 0);
        if (n == 0) {
            all = failing_calls();
            assert_true(all > 40);
        }
    }
    failing_stop();
}

static void lists_print_what_was_read(void **state) {
    (void)state;
    jv_harness *h = harness_of(own_file);
    jv_text text = {0}, json = {0};
    jv_style style = {0};
    jv_harness_list_text(h, &style, &text);
    assert_int_equal(jv_harness_list_json(h, &json), JV_OK);
    static const char *const in_text[] = {"6400.002", "BOX.F1.out", "pump relay", "W704"};
    static const char *const in_json[] = {"\"route_m\": 6.400002", "\"rating_A\": 60",
                                          "\"slot_most_A\": 60", "\"code\": 704",
                                          "\"Assembly_part\": 1"};
    for (size_t i = 0; i < sizeof in_text / sizeof in_text[0]; i++) {
        assert_non_null(strstr(jv_text_str(&text), in_text[i]));
    }
    for (size_t i = 0; i < sizeof in_json / sizeof in_json[0]; i++) {
        assert_non_null(strstr(jv_text_str(&json), in_json[i]));
    }
    jv_text_clear(&text);
    jv_text_clear(&json);
    jv_harness_free(&h);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_harness_and_its_side_file_make_a_circuit),
        cmocka_unit_test(without_a_side_file_all_is_kept_and_what_is_missing_told),
        cmocka_unit_test(a_length_that_is_not_known_is_missing_until_given),
        cmocka_unit_test(one_name_for_two_points_joins_them),
        cmocka_unit_test(what_hangs_together_with_nothing_is_left_out),
        cmocka_unit_test(ends_plugged_together_become_a_connector),
        cmocka_unit_test(a_side_file_that_does_not_fit_is_told_with_its_place),
        cmocka_unit_test(each_failed_allocation_is_a_clean_error),
        cmocka_unit_test(lists_print_what_was_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
