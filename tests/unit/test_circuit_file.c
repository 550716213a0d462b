/* test_circuit_file.c - circuit files. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/part_kind.h"
#include "tests/support/circuit_text.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"

static const double exact = 1e-12;

/* Inch, foot, pound force: NIST SP 811, exact; 22 ft = 6.7056 m, 2000 lbf = 8896.443230521 N. */
static void reads_values_in_si(void **state) {
    (void)state;
    jv_circuit *c = sound(example, NULL, 0);
    assert_string_equal(jv_circuit_name(c), "small trailer, two rear jacks");
    assert_int_equal(jv_circuit_parts(c), 5);
    assert_int_equal(jv_circuit_terminals(c), 5);
    assert_string_equal(jv_circuit_part_name(c, 2), "feed");
    assert_string_equal(jv_circuit_part_kind(c, 2), "cable");
    assert_close(value_of(c, "feed", "length"), 6.7056, exact, 0);
    assert_close(value_of(c, "left jack", "rated_force"), 8896.443230521, 1e-12, 0);
    assert_close(value_of(c, "house battery", "capacity"), 360000.0, exact, 0); /* 100 Ah in C */
    const jv_slot *charge = slot_of(c, "house battery", "charge");
    assert_int_equal(charge->value.spread, JV_UNIFORM);
    assert_close(charge->value.low, 0.65, exact, 0);
    assert_close(charge->value.high, 0.95, exact, 0);
    assert_int_equal(slot_of(c, "house battery", "chemistry")->index, 0);
    assert_int_equal(slot_of(c, "main fuse", "style")->index, 2);
    assert_string_equal(slot_of(c, "feed", "size")->text, "6 AWG");
    assert_string_equal(slot_of(c, "feed", "insulation")->text, "SGX");
    assert_null(slot_of(c, "feed", "metal"));
    assert_string_equal(c->terminals[slot_of(c, "feed", "a")->index], "feed.in");
    assert_close(c->ambient.nominal, 20.0, exact, 0);
    assert_false(c->ambient_assumed);
    assert_string_equal(c->terminals[c->reference], "post-");
    assert_false(c->reference_given);
    jv_circuit_free(&c);
}

static void reads_watches_and_cases(void **state) {
    (void)state;
    jv_circuit *c = sound(example, NULL, 0);
    assert_int_equal(c->n_watches, 1);
    const jv_watch *w = &c->watches[0];
    assert_string_equal(w->name, "low-voltage stop");
    assert_string_equal(c->terminals[w->plus], "ctl+");
    assert_string_equal(c->terminals[w->minus], "ctl-");
    assert_int_equal(w->part, -1);
    assert_close(w->below.nominal, 10.0, exact, 0);
    assert_close(w->held_for.nominal, 0.2, exact, 0);
    assert_true(isnan(w->reset_above.nominal));
    assert_int_equal(w->state, JV_RUNNING);
    assert_int_equal(w->action, JV_STOP_ALL);
    assert_false(w->assumed);
    assert_int_equal(w->line, 19);
    assert_int_equal(c->n_cases, 1);
    const jv_case *k = &c->cases[0];
    assert_string_equal(k->name, "lifting");
    assert_int_equal(k->n_runs, 1);
    assert_int_equal(k->runs[0].part, jv_circuit_find_part(c, "left jack"));
    assert_int_equal(k->runs[0].direction, 1);
    assert_int_equal(k->runs[0].kind, JV_LOAD_AMPS);
    assert_close(k->runs[0].value.nominal, 24.0, exact, 0);
    assert_false(k->has_ambient || k->has_time || k->has_charge);
    jv_circuit_free(&c);
}

static void reads_a_watch_at_a_controller(void **state) {
    (void)state;
    jv_circuit *c =
        sound("{\"circuit\": \"c\", \"parts\": {" SOURCE ", \"ctl\": {\"is\": \"controller\", "
              "\"plus\": \"post+\", \"minus\": \"post-\"}}, \"watches\": {\"w\": {\"at\": "
              "\"ctl\", \"reset_above\": \"11.5 V\", \"ignored_for\": \"0.5 s\", \"while\": "
              "\"resting\", \"then\": \"refuse to start\", \"comment\": \"before a run\"}}}",
              NULL, 0);
    const jv_watch *w = &c->watches[0];
    assert_int_equal(w->part, jv_circuit_find_part(c, "ctl"));
    assert_string_equal(c->terminals[w->plus], "post+");
    assert_string_equal(c->terminals[w->minus], "post-");
    assert_true(w->assumed); /* no "below" */
    assert_close(w->reset_above.nominal, 11.5, exact, 0);
    assert_close(w->ignored_for.nominal, 0.5, exact, 0);
    assert_int_equal(w->state, JV_RESTING);
    assert_int_equal(w->action, JV_REFUSE_START);
    jv_circuit_free(&c);
}

/* Lines and columns counted by hand in the text above. */
static void keeps_the_place_of_each_value(void **state) {
    (void)state;
    jv_circuit *c = sound(example, NULL, 0);
    const jv_slot *length = slot_of(c, "feed", "length");
    assert_int_equal(length->line, 11);
    assert_int_equal(length->column, 24);
    const jv_slot *size = slot_of(c, "return", "size");
    assert_int_equal(size->line, 12);
    assert_int_equal(size->column, 66); /* 4 + 10 + 16 + 13 + 14 + 8 before it */
    assert_int_equal(c->parts[4].line, 14);
    assert_int_equal(c->parts[4].column, 5);
    jv_circuit_free(&c);
}

static void counts_characters_in_places(void **state) {
    (void)state;
    jv_circuit *c = sound("{\"circuit\": \"c\", \"parts\": {" SOURCE ",\n"
                          "\"\xCE\xA9\xCE\xA9\": {\"comment\": \"\xE2\x82\xAC\", \"is\": \"load\", "
                          "\"plus\": \"post+\", \"minus\": \"post-\", \"current\": \"2 A\"}}}",
                          NULL, 0);
    /* "XX": {"comment": "E", "is": "load", "plus": "post+" ...: the value of plus starts at
     * column 7 + 11 + 5 + 14 + 8 + 1 = 46 of characters. */
    assert_int_equal(slot_of(c, "\xCE\xA9\xCE\xA9", "plus")->line, 2);
    assert_int_equal(slot_of(c, "\xCE\xA9\xCE\xA9", "plus")->column, 46);
    jv_circuit_free(&c);
}

static void assumes_what_the_file_leaves_out(void **state) {
    (void)state;
    jv_circuit *c = sound(FILE_OF(LAMP), NULL, 0);
    assert_true(c->ambient_assumed);
    assert_close(c->ambient.nominal, 20.0, exact, 0);
    assert_null(jv_circuit_comment(c));
    assert_int_equal(jv_circuit_cases(c), 1);
    assert_string_equal(jv_circuit_case_name(c, 0), "at rest");
    jv_circuit_free(&c);
}

static void reads_comments_tags_and_reference(void **state) {
    (void)state;
    jv_circuit *c = sound("{\"circuit\": \"c\", \"comment\": [\"one\", \"two\"], \"reference\": "
                          "\"post+\", \"parts\": {" SOURCE ", \"lamp\": {\"is\": \"load\", "
                          "\"comment\": \"bright\", \"with\": \"reel 1\", \"plus\": \"post+\", "
                          "\"minus\": \"post-\", \"current\": \"2 A\", \"on\": false}}, "
                          "\"cases\": {\"dark\": {\"comment\": \"night\", \"off\": [\"lamp\"], "
                          "\"ambient\": \"-10 degC\", \"charge\": \"50 %\", \"for\": \"90 s\"}}}",
                          NULL, 0);
    assert_string_equal(jv_circuit_comment(c), "one\ntwo");
    assert_string_equal(c->terminals[c->reference], "post+");
    assert_true(c->reference_given);
    assert_string_equal(c->parts[1].with, "reel 1");
    assert_null(c->parts[0].with);
    assert_int_equal(slot_of(c, "lamp", "on")->index, 0);
    const jv_case *k = &c->cases[0];
    assert_string_equal(k->comment, "night");
    assert_int_equal(k->n_off, 1);
    assert_int_equal(k->off[0], 1);
    assert_true(k->has_ambient && k->has_charge && k->has_time);
    assert_close(k->ambient.nominal, -10.0, exact, 0);
    assert_close(k->charge.nominal, 0.5, exact, 0);
    assert_close(k->run_for.nominal, 90.0, exact, 0);
    jv_circuit_free(&c);
}

static void reads_groups_maps_and_curves(void **state) {
    (void)state;
    jv_circuit *c = sound(
        FILE_OF(
            "\"steel\": {\"is\": \"frame\", \"points\": {\"f1\": \"1 mohm\", \"post-\": \"2 mohm "
            "*/ 2\"}}, "
            "\"plug\": {\"is\": \"connector\", \"pins\": {\"1\": [\"post+\", \"p1\"], \"2\": "
            "[\"f1\", \"p2\"]}}, "
            "\"ctl\": {\"is\": \"controller\", \"plus\": \"p1\", \"minus\": \"p2\", "
            "\"outputs\": {\"left\": [\"l+\", \"l-\"], \"right\": \"r+\"}}, "
            "\"l\": {\"is\": \"load\", \"plus\": \"l+\", \"minus\": \"l-\", \"resistance\": \"1 "
            "ohm\"}, "
            "\"r\": {\"is\": \"load\", \"plus\": \"r+\", \"minus\": \"p2\", \"resistance\": \"1 "
            "ohm\"}, "
            "\"fuse\": {\"is\": \"fuse\", \"a\": \"post+\", \"b\": \"w\", \"rating\": \"10 A\", "
            "\"curve\": [[135, 0.75, 600], [200, 0.15, 5]]}, "
            "\"wire\": {\"is\": \"cable\", \"a\": \"w\", \"b\": \"post-\", \"surroundings\": "
            "{\"comment\": \"under the floor\", \"air\": \"40 degC\", \"wet\": true, \"bundle\": "
            "3}, \"resistance\": \"5 ohm\"}"),
        NULL, 0);
    size_t n = 0;
    const jv_part *steel = &c->parts[jv_circuit_find_part(c, "steel")];
    const jv_slot *point = jv_part_entries(c, steel, slot_of(c, "steel", "points")->key, &n);
    assert_int_equal(n, 2);
    assert_string_equal(point[0].text, "f1");
    assert_string_equal(c->terminals[point[0].index], "f1");
    assert_close(point[0].value.nominal, 0.001, exact, 0);
    assert_int_equal(point[1].value.spread, JV_LOG_NORMAL);
    const jv_slot *pin = slot_of(c, "plug", "pins");
    assert_string_equal(pin[1].text, "2");
    assert_string_equal(c->terminals[pin[1].index], "f1");
    assert_string_equal(c->terminals[pin[1].second], "p2");
    const jv_slot *out = slot_of(c, "ctl", "outputs");
    assert_string_equal(out[0].text, "left");
    assert_string_equal(c->terminals[out[0].second], "l-");
    assert_string_equal(c->terminals[out[1].index], "r+");
    assert_int_equal(out[1].second, -1);
    const jv_slot *curve = slot_of(c, "fuse", "curve");
    assert_close(curve[0].value.nominal, 135.0, exact, 0);
    assert_close(curve[0].value.low, 0.75, exact, 0);
    assert_close(curve[0].value.high, 600.0, exact, 0);
    assert_close(curve[1].value.nominal, 200.0, exact, 0);
    assert_close(value_of(c, "wire", "surroundings.air"), 40.0, exact, 0);
    assert_close(value_of(c, "wire", "surroundings.bundle"), 3.0, exact, 0);
    assert_int_equal(slot_of(c, "wire", "surroundings.wet")->index, 1);
    assert_null(slot_of(c, "wire", "surroundings.loom"));
    jv_circuit_free(&c);
}

/* A part may name one that stands later. */
static void resolves_parts_named_ahead(void **state) {
    (void)state;
    jv_circuit *c = sound(FILE_OF("\"relay\": {\"is\": \"relay\", \"a\": \"post+\", \"b\": \"x\", "
                                  "\"commanded_by\": \"lamp\"}, \"lamp\": {\"is\": \"load\", "
                                  "\"plus\": \"x\", \"minus\": \"post-\", \"power\": \"20 W\"}"),
                          NULL, 0);
    assert_int_equal(slot_of(c, "relay", "commanded_by")->index, jv_circuit_find_part(c, "lamp"));
    jv_circuit_free(&c);
}

static void assert_same_slot(const jv_circuit *a, const jv_slot *x, const jv_circuit *b,
                             const jv_slot *y, jv_key_type type) {
    assert_int_equal(x->key, y->key);
    assert_int_equal(x->origin, y->origin);
    assert_memory_equal(&x->value.nominal, &y->value.nominal, sizeof x->value.nominal);
    assert_memory_equal(&x->value.low, &y->value.low, sizeof x->value.low);
    assert_memory_equal(&x->value.high, &y->value.high, sizeof x->value.high);
    assert_string_equal(x->text, y->text);
    if (type == JV_KEY_TERMINAL) {
        assert_string_equal(a->terminals[x->index], b->terminals[y->index]);
    }
}

/* Parts and keys in another order: the same parts with the same values in the same order of slots.
 */
static void order_changes_nothing(void **state) {
    (void)state;
    jv_circuit *a = sound(FILE_OF("\"feed\": {\"is\": \"cable\", \"a\": \"post+\", \"b\": \"x\", "
                                  "\"size\": \"6 AWG\", \"length\": \"22 ft\"}, \"lamp\": {\"is\": "
                                  "\"load\", \"plus\": \"x\", \"minus\": \"post-\", \"current\": "
                                  "\"2 A\"}"),
                          NULL, 0);
    jv_circuit *b = sound("{\"parts\": {\"lamp\": {\"current\": \"2 A\", \"minus\": \"post-\", "
                          "\"plus\": \"x\", \"is\": \"load\"}, \"feed\": {\"length\": \"22 ft\", "
                          "\"size\": \"6 AWG\", \"b\": \"x\", \"a\": \"post+\", \"is\": "
                          "\"cable\"}, " SOURCE "}, \"circuit\": \"c\"}",
                          NULL, 0);
    assert_int_equal(a->n_parts, b->n_parts);
    assert_int_equal(a->n_terminals, b->n_terminals);
    for (size_t i = 0; i < a->n_parts; i++) {
        const jv_part *p = &a->parts[i];
        const jv_part *q = &b->parts[jv_circuit_find_part(b, p->name)];
        assert_ptr_equal(p->kind, q->kind);
        assert_int_equal(p->n_slots, q->n_slots);
        for (uint32_t k = 0; k < p->n_slots; k++) {
            const jv_slot *x = &a->slots[p->first_slot + k];
            assert_same_slot(a, x, b, &b->slots[q->first_slot + k], p->kind->keys[x->key].type);
        }
    }
    jv_circuit_free(&a);
    jv_circuit_free(&b);
}

static void reads_each_form_of_load(void **state) {
    (void)state;
    /* 1 lbf = 4.4482216152605 N, 1 psi = 6894.757293168 Pa: NIST SP 811. */
    static const struct {
        const char *text;
        const char *part;
        jv_load_kind kind;
        double value;
    } cases[] = {
        {"1700 lbf", "j", JV_LOAD_FORCE, 7561.97674594285},
        {"31 A", "j", JV_LOAD_AMPS, 31.0},
        {"60 %", "j", JV_LOAD_SHARE, 0.6},
        {"free", "j", JV_LOAD_FREE, 0.0},
        {"rated", "j", JV_LOAD_RATED, 0.0},
        {"stalled", "j", JV_LOAD_STALLED, 0.0},
        {"0 lbf", "j", JV_LOAD_FORCE, 0.0},
        {"1500 psi", "pump", JV_LOAD_PRESSURE, 10342135.939752},
        {"24 A .. 30 A", "j", JV_LOAD_AMPS, 27.0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jv_text text = {0};
        jv_text_addf(&text,
                     "{\"circuit\": \"c\", \"parts\": {" SOURCE ", "
                     "\"j\": {\"is\": \"jack\", \"plus\": \"post+\", \"minus\": \"post-\", "
                     "\"rated_force\": \"2000 lbf\", \"rated_current\": \"28 A\", "
                     "\"no_load_current\": \"6 A\"}, "
                     "\"pump\": {\"is\": \"pump\", \"plus\": \"post+\", \"minus\": \"post-\", "
                     "\"rated_pressure\": \"2500 psi\", \"rated_current\": \"120 A\", "
                     "\"idle_current\": \"40 A\"}}, "
                     "\"cases\": {\"k\": {\"%s\": {\"%s\": \"%s\"}}}}",
                     cases[i].part[0] == 'j' ? "lower" : "run", cases[i].part, cases[i].text);
        jv_circuit *c = sound(jv_text_str(&text), NULL, 0);
        const jv_run *run = c->cases[0].runs;
        assert_int_equal(run->kind, cases[i].kind);
        assert_close(run->value.nominal, cases[i].value, exact, 0);
        assert_int_equal(run->direction, cases[i].part[0] == 'j' ? -1 : 1);
        jv_circuit_free(&c);
        jv_text_clear(&text);
    }
}

/* --- size and memory --- */

/* A chain of n cables behind a battery, with a lamp at its end. */
static void write_chain(jv_text *out, int n) {
    jv_text_add(out, "{\"circuit\": \"c\", \"parts\": {" SOURCE);
    for (int i = 0; i < n; i++) {
        jv_text_addf(
            out,
            ",\n\"cable %d\": {\"is\": \"cable\", \"a\": \"%s%d\", \"b\": \"t%d\", \"size\": "
            "\"6 AWG\", \"length\": \"22 ft +/- 5 %%\", \"insulation\": \"SGX\", "
            "\"surroundings\": {\"air\": \"30 degC\", \"loom\": true}}",
            i, "t", i, i + 1);
    }
    jv_text_addf(
        out,
        ", \"first\": {\"is\": \"cable\", \"a\": \"post+\", \"b\": \"t0\", \"resistance\": "
        "\"1 mohm\"}, \"lamp\": {\"is\": \"load\", \"plus\": \"t%d\", \"minus\": "
        "\"post-\", \"current\": \"2 A\"}}}",
        n);
}

static void a_part_takes_less_than_a_kilobyte(void **state) {
    (void)state;
    enum { PARTS = 3000 };
    jv_text text = {0};
    write_chain(&text, PARTS);
    jv_circuit *c = sound(jv_text_str(&text), NULL, 0);
    assert_int_equal(jv_circuit_parts(c), PARTS + 3);
    assert_in_range(jv_circuit_memory(c) / PARTS, 1, 999);
    jv_circuit_free(&c);
    jv_text_clear(&text);
}

static void check_failing(const char *text, const char *const *sets, size_t n_sets,
                          jv_status wanted) {
    failing_start(0);
    jv_diags d = {0};
    jv_circuit *c = NULL;
    assert_int_equal(read_with(text, sets, n_sets, &d, &c), wanted);
    size_t calls = failing_calls();
    jv_circuit_free(&c);
    jv_diags_clear(&d);
    assert_int_equal(failing_blocks(), 0);
    assert_true(calls > 10);
    for (size_t n = 1; n <= calls; n++) {
        failing_start(n);
        jv_status status = read_with(text, sets, n_sets, &d, &c);
        assert_int_equal(status, JV_ERR_MEMORY);
        assert_null(c);
        jv_diags_clear(&d);
        assert_int_equal(failing_blocks(), 0);
    }
    failing_stop();
}

static void memory_running_short_is_a_clean_error(void **state) {
    (void)state;
    static const char *const sets[] = {"feed.size=2 AWG", "lifting.off=[\"main fuse\"]"};
    check_failing(example, sets, 2, JV_OK);
}

static void memory_running_short_among_faults_is_a_clean_error(void **state) {
    (void)state;
    static const char *const sets[] = {"fed.size=2 AWG", "bat.rezistance=1 ohm"};
    check_failing(FILE_OF(
                      "\"w\": {\"is\": \"cable\", \"a\": \"post+\", \"b\": \"x\", \"size\": \"6\", "
                      "\"lenght\": 3, \"metal\": \"coper\"}, \"k\": {\"is\": \"cabel\"}"),
                  sets, 2, JV_ERR_INPUT);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_values_in_si),
        cmocka_unit_test(reads_watches_and_cases),
        cmocka_unit_test(reads_a_watch_at_a_controller),
        cmocka_unit_test(keeps_the_place_of_each_value),
        cmocka_unit_test(counts_characters_in_places),
        cmocka_unit_test(assumes_what_the_file_leaves_out),
        cmocka_unit_test(reads_comments_tags_and_reference),
        cmocka_unit_test(reads_groups_maps_and_curves),
        cmocka_unit_test(resolves_parts_named_ahead),
        cmocka_unit_test(order_changes_nothing),
        cmocka_unit_test(reads_each_form_of_load),
        cmocka_unit_test(a_part_takes_less_than_a_kilobyte),
        cmocka_unit_test(memory_running_short_is_a_clean_error),
        cmocka_unit_test(memory_running_short_among_faults_is_a_clean_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
