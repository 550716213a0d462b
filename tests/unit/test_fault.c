/* test_fault.c - faults in words. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/fault.h"
#include "jackvolt/tables.h"
#include "tests/support/build.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"

enum { BATTERY, STUD, LEAD, RELAY_NAME, PLUGS, CONTROLLER, JACK, SENSOR, BARE, FEED };

static jv_circuit *make(void) {
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "house battery", "post+", "post-");
    build_close(c);
    build_between(c, "contact", "ground stud", "sensor ground", "post-");
    build_quantity(c, "resistance", "1 mohm");
    build_close(c);
    build_between(c, "lead", "left supply lead", "5V", "left 5V");
    build_quantity(c, "resistance", "50 mohm");
    build_close(c);
    build_between(c, "contact", "F2: holder", "a2", "b2"); /* a name with a colon */
    build_quantity(c, "resistance", "1 mohm");
    build_close(c);
    build_part(c, "connector", "plug");
    build_pin(c, "pins", "3 left", "p3a", "p3b");
    build_pin(c, "pins", "4", "p4a", "p4b");
    build_close(c);
    build_between(c, "controller", "controller", "post+", "post-");
    build_pin(c, "outputs", "left jack", "l+", "l-");
    build_close(c);
    build_between(c, "jack", "left jack", "l+", "l-");
    build_quantity(c, "rated_current", "28 A");
    build_close(c);
    build_between(c, "hall", "left sensor", "left 5V", "sensor ground");
    build_close(c);
    build_between(c, "contact", "F2", "sensor", "a2"); /* "sensor" also begins a longer name */
    build_quantity(c, "resistance", "1 mohm");
    build_close(c);
    build_between(c, "cable", "feed", "post+", "5V");
    build_quantity(c, "resistance", "4 mohm");
    build_close(c);
    return c;
}

/* Reads one text into one fault; fails the test when it cannot. */
static jv_fault read_one(const jv_circuit *c, const char *text) {
    jv_diags d = {0};
    jv_faults *faults = jv_faults_new();
    assert_non_null(faults);
    if (jv_faults_add(faults, c, text, &d) != JV_OK)
        fail_msg("\"%s\": %s", text, d.count ? d.items[0].message : "no reason");
    size_t n;
    const jv_fault *list = jv_faults_list(faults, &n);
    assert_int_equal(n, 1);
    jv_fault fault = list[0];
    jv_faults_free(&faults);
    assert_null(faults);
    jv_diags_clear(&d);
    return fault;
}

static const struct sized {
    const char *text;
    uint32_t part;
    jv_way way;
    double value, tolerance;
} sized[] = {
    {"ground stud: 35 mohm added", STUD, JV_WAY_ADDED, 0.035, 1e-12},
    {"  ground stud :  35 mohm   ADDED ", STUD, JV_WAY_ADDED, 0.035, 1e-12},
    {"ground stud: 0.035 ohm added", STUD, JV_WAY_ADDED, 0.035, 1e-12},
    {"F2: open", BARE, JV_WAY_OPEN, 0.0, 0},
    {"F2: holder: open", RELAY_NAME, JV_WAY_OPEN, 0.0, 0},
    {"house battery: weak 250 %", BATTERY, JV_WAY_WEAK, 2.5, 1e-12},
    {"house battery: discharged to 30 %", BATTERY, JV_WAY_CHARGE, 0.3, 1e-12},
    {"left jack: dragging 150 %", JACK, JV_WAY_DRAG, 1.5, 1e-12},
    {"left jack: worn brushes 80 mohm", JACK, JV_WAY_ADDED, 0.08, 1e-12},
    {"left jack: shorted inside 0 ohm", JACK, JV_WAY_INSIDE, 0.0, 0},
    {"left jack: binding", JACK, JV_WAY_STUCK, 0.0, 0},
    {"left sensor: leaks 30 mA", SENSOR, JV_WAY_LEAK, 0.03, 1e-12},
    {"ground stud: 20 mohm added when hot", STUD, JV_WAY_HOT, 0.020, 1e-12},
    {"F2: 0.1 ohm added now and then", BARE, JV_WAY_LOOSE, 0.1, 1e-12},
    {"house battery: unlisted load 12 A", BATTERY, JV_WAY_LEAK, 12.0, 1e-12},
    {"controller: unlisted load 40 A", CONTROLLER, JV_WAY_LEAK, 40.0, 1e-12},
    {"feed: undersized to 63 %", FEED, JV_WAY_THIN, 0.63, 1e-12},
    {"feed: of copper-clad aluminium", FEED, JV_WAY_METAL, JV_METAL_COPPER_CLAD_ALUMINIUM, 0},
    {"feed: of aluminium", FEED, JV_WAY_METAL, JV_METAL_ALUMINIUM, 0},
    {"controller: dead", CONTROLLER, JV_WAY_DEAD, 0.0, 0},
};

static void sizes_are_read(void **state) {
    (void)state;
    jv_circuit *c = make();
    for (size_t i = 0; i < sizeof sized / sizeof sized[0]; i++) {
        jv_fault f = read_one(c, sized[i].text);
        assert_int_equal(f.part, sized[i].part);
        assert_int_equal(f.way, sized[i].way);
        assert_int_equal(c->parts[f.part].kind->failures[f.failure].way, sized[i].way);
        assert_close(f.value, sized[i].value, sized[i].tolerance, 0);
        assert_null(f.pin);
        assert_int_equal(f.to, -1);
    }
    jv_circuit_free(&c);
}

/* Left out: the geometric middle of the spread that the kind declares. */
static void a_size_left_out_is_the_middle(void **state) {
    (void)state;
    static const char *const texts[] = {"house battery: weak",          "house battery: discharged",
                                        "house battery: one cell dead", "ground stud: added",
                                        "left jack: dragging",          "left sensor: leaks"};
    jv_circuit *c = make();
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        jv_fault f = read_one(c, texts[i]);
        const jv_failure *failure = &c->parts[f.part].kind->failures[f.failure];
        assert_true(failure->low > 0.0);
        assert_close(f.value * f.value, failure->low * failure->high, 1e-12, 0);
    }
    jv_circuit_free(&c);
}

static const struct shorted {
    const char *text;
    const char *to;
    double position, ohms;
} shorts[] = {
    {"left supply lead: shorted to sensor ground at 40 % from a", "sensor ground", 0.40, 0},
    {"left supply lead: shorted to sensor ground at 40 % from b", "sensor ground", 0.60, 0},
    {"left supply lead: shorted to sensor ground at 40 % from left 5V", "sensor ground", 0.60, 0},
    {"left supply lead: shorted to sensor ground at 40 % from 5V", "sensor ground", 0.40, 0},
    {"left supply lead: shorted to sensor ground at 40 %", "sensor ground", 0.40, 0},
    {"left supply lead: shorted to sensor ground", "sensor ground", 0.50, 0},
    {"left supply lead: shorted to sensor", "sensor", 0.50, 0},
    {"left supply lead: shorted to sensor through 3 ohm", "sensor", 0.50, 3},
    {"left supply lead: shorted to post- at 10 % from b through 0.2 ohm", "post-", 0.90, 0.2},
};

static void shorts_have_a_place(void **state) {
    (void)state;
    jv_circuit *c = make();
    for (size_t i = 0; i < sizeof shorts / sizeof shorts[0]; i++) {
        jv_fault f = read_one(c, shorts[i].text);
        assert_int_equal(f.part, LEAD);
        assert_int_equal(f.way, JV_WAY_SHORT);
        assert_int_equal(f.to, jv_circuit_find_terminal(c, shorts[i].to));
        assert_close(f.position, shorts[i].position, 1e-12, 0);
        assert_close(f.value, shorts[i].ohms, 1e-12, 0);
    }
    jv_circuit_free(&c);
}

static void pins_and_outputs_are_named(void **state) {
    (void)state;
    jv_circuit *c = make();
    jv_fault f = read_one(c, "plug: pin 3 left open");
    assert_int_equal(f.way, JV_WAY_OPEN);
    assert_string_equal(f.pin, "3 left");
    f = read_one(c, "plug: 0.2 ohm added at pin 4");
    assert_string_equal(f.pin, "4");
    assert_close(f.value, 0.2, 1e-12, 0);
    f = read_one(c, "controller: output left jack open");
    assert_string_equal(f.pin, "left jack");
    jv_circuit_free(&c);
}

static const struct refused {
    const char *text;
    jv_code code;
    const char *said; /* stands in the message or the hint */
} refusals[] = {
    {"ground stud", JV_CODE_FAULT_FORM, "colon"},
    {"", JV_CODE_FAULT_FORM, "colon"},
    {"ground stub: open", JV_CODE_PART_UNKNOWN, "\"ground stud\""},
    {"quite another thing: open", JV_CODE_PART_UNKNOWN, "quite another thing"},
    {"ground stud: broken", JV_CODE_FAULT_FORM, "\"35 mohm added\", \"open\""},
    {"ground stud:", JV_CODE_FAULT_FORM, "\"open\""},
    {"ground stud: open wide", JV_CODE_FAULT_FORM, "\"open\""},
    {"ground stud: 35 added", JV_CODE_QUANTITY_BARE, "35"},
    {"ground stud: 35 V added", JV_CODE_QUANTITY_UNIT, "added"},
    {"ground stud: -1 ohm added", JV_CODE_QUANTITY_RANGE, "negative"},
    {"ground stud: 1 mohm .. 2 mohm added", JV_CODE_QUANTITY_SPREAD, "one size"},
    {"house battery: discharged to 130 %", JV_CODE_QUANTITY_RANGE, "100 %"},
    {"left jack: dragging 0 %", JV_CODE_QUANTITY_RANGE, "above zero"},
    {"left sensor: leaks 0 A", JV_CODE_QUANTITY_RANGE, "above zero"},
    {"left supply lead: shorted to sensor grund at 40 % from a", JV_CODE_TERMINAL_UNKNOWN,
     "\"sensor ground\""},
    {"left supply lead: shorted to sensor ground at 140 % from a", JV_CODE_QUANTITY_RANGE,
     "0 % to 100 %"},
    {"left supply lead: shorted to sensor ground at 40 % from c", JV_CODE_FAULT_FORM, "from a"},
    {"left supply lead: shorted to sensor ground through 3 A", JV_CODE_QUANTITY_UNIT, "A"},
    {"plug: pin 9 open", JV_CODE_FAULT_FORM, "no such pin"},
};

static void refusals_say_what_would_be_right(void **state) {
    (void)state;
    jv_circuit *c = make();
    for (size_t i = 0; i < sizeof refusals / sizeof refusals[0]; i++) {
        const struct refused *r = &refusals[i];
        jv_diags d = {0};
        jv_faults *faults = jv_faults_new();
        if (jv_faults_add(faults, c, r->text, &d) != JV_ERR_INPUT)
            fail_msg("\"%s\" was taken", r->text);
        assert_int_equal(d.count, 1);
        if (d.items[0].code != r->code ||
            (!strstr(d.items[0].message, r->said) && !strstr(d.items[0].hint, r->said)))
            fail_msg("\"%s\": E%d %s / %s", r->text, (int)d.items[0].code, d.items[0].message,
                     d.items[0].hint);
        /* The text is shown, with a mark under what cannot stand: the name of the part, or what
         * stands behind its colon. */
        assert_string_equal(d.items[0].place.file, "--fault");
        assert_string_equal(d.items[0].source_line, r->text);
        const char *colon = strchr(r->text, ':');
        size_t behind = colon ? (size_t)(colon - r->text) + 1 : 0;
        bool whole = !colon || r->code == JV_CODE_PART_UNKNOWN;
        assert_int_equal(d.items[0].place.line, 1);
        assert_int_equal(d.items[0].place.column,
                         whole ? 1 : behind + strspn(r->text + behind, " ") + 1);
        size_t n;
        jv_faults_list(faults, &n);
        assert_int_equal(n, 0);
        jv_faults_free(&faults);
        jv_diags_clear(&d);
    }
    jv_circuit_free(&c);
}

static void faults_gather_in_order(void **state) {
    (void)state;
    jv_circuit *c = make();
    jv_diags d = {0};
    jv_faults *faults = jv_faults_new();
    for (size_t i = 0; i < sizeof sized / sizeof sized[0]; i++)
        assert_int_equal(jv_faults_add(faults, c, sized[i].text, &d), JV_OK);
    size_t n;
    const jv_fault *list = jv_faults_list(faults, &n);
    assert_int_equal(n, sizeof sized / sizeof sized[0]);
    for (size_t i = 0; i < n; i++)
        assert_int_equal(list[i].way, sized[i].way);
    assert_null(jv_faults_list(NULL, &n));
    assert_int_equal(n, 0);
    jv_faults_free(&faults);
    jv_diags_clear(&d);
    jv_circuit_free(&c);
}

/* What is written reads back as the same fault. */
static void printed_faults_read_back(void **state) {
    (void)state;
    jv_circuit *c = make();
    jv_text out = {0};
    jv_fault f = read_one(c, "ground stud: 35 mohm added");
    jv_fault_print(&out, c, &f);
    assert_string_equal(jv_text_str(&out), "ground stud: 35.0 mohm added");
    for (size_t i = 0; i < sizeof shorts / sizeof shorts[0]; i++) {
        f = read_one(c, shorts[i].text);
        jv_text_clear(&out);
        jv_fault_print(&out, c, &f);
        jv_fault again = read_one(c, jv_text_str(&out));
        assert_int_equal(again.to, f.to);
        assert_close(again.position, f.position, 1e-12, 0);
        assert_close(again.value, f.value, 1e-12, 0);
    }
    jv_text_clear(&out);
    f = read_one(c, "plug: 0.2 ohm added at pin 4");
    jv_fault_print(&out, c, &f);
    assert_string_equal(read_one(c, jv_text_str(&out)).pin, "4");
    jv_text_clear(&out);
    jv_circuit_free(&c);
}

/* Every allocation may fail: a clean error, nothing kept, nothing lost. */
static void short_memory_is_a_clean_error(void **state) {
    (void)state;
    static const char *const texts[] = {"ground stud: 35 mohm added", "ground stud: broken",
                                        "left supply lead: shorted to nowhere", "nobody: open"};
    jv_circuit *c = make();
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        size_t calls = 1;
        for (size_t n = 1; n <= calls; n++) {
            jv_diags d = {0};
            failing_start(0);
            jv_faults *faults = jv_faults_new();
            (void)jv_faults_add(faults, c, texts[i], &d);
            jv_faults_free(&faults);
            jv_diags_clear(&d);
            calls = failing_calls();
            failing_start(n);
            faults = jv_faults_new();
            if (faults)
                assert_int_equal(jv_faults_add(faults, c, texts[i], &d), JV_ERR_MEMORY);
            else
                assert_int_equal(n, 1);
            jv_faults_free(&faults);
            jv_diags_clear(&d);
            assert_int_equal(failing_blocks(), 0);
            failing_stop();
        }
        assert_true(calls > 2);
    }
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sizes_are_read),
        cmocka_unit_test(a_size_left_out_is_the_middle),
        cmocka_unit_test(shorts_have_a_place),
        cmocka_unit_test(pins_and_outputs_are_named),
        cmocka_unit_test(refusals_say_what_would_be_right),
        cmocka_unit_test(faults_gather_in_order),
        cmocka_unit_test(printed_faults_read_back),
        cmocka_unit_test(short_memory_is_a_clean_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
