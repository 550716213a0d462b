/* test_draft.c - circuit files made from a layout and answers. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "circuit/circuit.h"
#include "jackvolt/draft.h"
#include "jackvolt/drop.h"
#include "jackvolt/read.h"
#include "read/json.h"
#include "render/draft.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"

/* What a person might answer to each kind of question; each differs from every layout. */
static const char *const answers[JV_ASK_KINDS] = {
    [JV_ASK_NAME] = "our \"van\"", [JV_ASK_AMBIENT] = "61 degF",   [JV_ASK_CHEMISTRY] = "gel",
    [JV_ASK_CAPACITY] = "83 Ah",   [JV_ASK_CHARGE] = "71 %",       [JV_ASK_AGE] = "31 months",
    [JV_ASK_FUSE] = "75 A",        [JV_ASK_LENGTH] = "13 ft 5 in", [JV_ASK_SIZE] = "SAE 2",
    [JV_ASK_METAL] = "aluminium",  [JV_ASK_LOAD] = "2100 lbf",     [JV_ASK_CURRENT] = "37 A",
    [JV_ASK_FREE] = "7 A",         [JV_ASK_STALL] = "131 A",       [JV_ASK_STOP] = "9.3 V"};
static const char pump_answer[] = "1900 psi";

static const char *answer_of(const jv_draft *d, size_t i) {
    const jv_asked *q = &d->asked[i];
    bool pump = q->ask == JV_ASK_LOAD && jv_draft_is(d->parts[q->targets[0]], "pump");
    return pump ? pump_answer : answers[q->ask];
}

static jv_draft *begin(const char *layout, size_t jacks) {
    jv_draft *d = NULL;
    jv_refusal refusal;
    const jv_layout *l = jv_layout_find(layout);
    assert_non_null(l);
    assert_int_equal(jv_draft_new(l, jacks, JV_UNITS_US, &refusal, &d), JV_OK);
    return d;
}

static void give_all(jv_draft *d) {
    for (size_t i = 0; i < jv_draft_questions(d); i++) {
        jv_refusal refusal = {0};
        if (jv_draft_answer(d, i, answer_of(d, i), &refusal) != JV_OK)
            fail_msg("%s: %s: %s", d->layout->name, jv_draft_question(d, i)->text, refusal.message);
    }
}

/* The file, read; every case of it has an operating point or a reason for none. */
static jv_circuit *written(const jv_draft *d, jv_text *text) {
    jv_diags diags = {0};
    jv_circuit *c = NULL;
    jv_drop *drop = NULL;
    jv_drop_options how = {0};
    assert_int_equal(jv_draft_write(d, text), JV_OK);
    if (jv_circuit_read_text(jv_text_str(text), text->length, "made", NULL, &diags, &c) != JV_OK)
        fail_msg("%s: %s", d->layout->name, diags.count ? diags.items[0].message : "no memory");
    assert_int_equal(jv_drop_run(c, &how, &drop), JV_OK);
    jv_drop_free(&drop);
    jv_diags_clear(&diags);
    return c;
}

static void read_made(const jv_text *text, jv_json_doc *doc) {
    jv_diags diags = {0};
    assert_int_equal(jv_json_read(jv_text_str(text), text->length, NULL, NULL, &diags, doc), JV_OK);
    jv_diags_clear(&diags);
}

static const char *value_in(const jv_json_doc *doc, const char *section, const char *name,
                            const char *key) {
    const jv_json_value *object = jv_json_member(jv_json_member(doc->root, section), name);
    assert_non_null(object);
    return jv_draft_value(object, key);
}

static void every_layout_with_nothing_known_is_a_circuit(void **state) {
    (void)state;
    const jv_layout *list;
    size_t n = jv_layouts(&list);
    for (size_t i = 0; i < n; i++) {
        jv_draft *d = begin(list[i].name, 0);
        jv_text text = {0};
        jv_draft_close(d, JV_KNOWN_NOT);
        jv_circuit *c = written(d, &text);
        /* Judgement is named in the file. */
        assert_non_null(strstr(jv_circuit_comment(c), "Not known"));
        for (size_t w = 0; w < c->n_watches; w++)
            if (c->watches[w].below.nominal > 6.0)
                assert_true(c->watches[w].assumed);
        jv_circuit_free(&c);
        jv_text_clear(&text);
        jv_draft_free(&d);
    }
}

static void every_answer_stands_in_the_file_as_it_was_given(void **state) {
    (void)state;
    const jv_layout *list;
    size_t n = jv_layouts(&list);
    for (size_t i = 0; i < n; i++) {
        jv_draft *d = begin(list[i].name, 0);
        jv_text text = {0};
        jv_json_doc doc = {0};
        give_all(d);
        jv_circuit *c = written(d, &text);
        read_made(&text, &doc);
        assert_string_equal(jv_circuit_name(c), answers[JV_ASK_NAME]);
        assert_close(c->ambient.nominal, (61.0 - 32.0) / 1.8, 1e-12, 0.0);
        for (size_t k = 0; k < d->n_asked; k++) {
            const jv_asked *q = &d->asked[k];
            for (size_t t = 0; t < q->n_targets; t++)
                assert_string_equal(value_in(&doc, q->ask == JV_ASK_STOP ? "watches" : "parts",
                                             jv_ask_object(d, q, q->targets[t])->key,
                                             jv_ask_key(d, q, q->targets[t])),
                                    answer_of(d, k));
        }
        jv_json_doc_clear(&doc);
        jv_circuit_free(&c);
        jv_text_clear(&text);
        jv_draft_free(&d);
    }
}

static void same_json(const jv_json_value *a, const jv_json_value *b) {
    assert_int_equal(a->type, b->type);
    assert_true(a->key == b->key || strcmp(a->key, b->key) == 0);
    const jv_json_value *x, *y;
    switch ((jv_json_type)a->type) {
    case JV_JSON_OBJECT:
    case JV_JSON_ARRAY:
        for (x = a->as.first, y = b->as.first; x && y; x = x->next, y = y->next)
            if (!x->key || strcmp(x->key, "comment") != 0)
                same_json(x, y);
        assert_true(x == y); /* both at their end */
        break;
    case JV_JSON_STRING:
        assert_string_equal(a->as.string, b->as.string);
        break;
    case JV_JSON_NUMBER:
        assert_true(a->as.number == b->as.number);
        break;
    case JV_JSON_BOOL:
        assert_int_equal(a->as.boolean, b->as.boolean);
        break;
    case JV_JSON_NULL:
    case JV_JSON_BAD:
        fail();
    }
}

static void all_as_in_the_layout_is_the_layout(void **state) {
    (void)state;
    const jv_layout *list;
    size_t n = jv_layouts(&list);
    for (size_t i = 0; i < n; i++) {
        jv_draft *d = begin(list[i].name, 0);
        jv_text text = {0};
        jv_json_doc doc = {0};
        jv_diags diags = {0};
        jv_draft_close(d, JV_KNOWN_LAYOUT);
        jv_circuit *c = written(d, &text);
        jv_json_doc own = {0};
        read_made(&text, &doc);
        assert_int_equal(jv_json_read(list[i].text, list[i].length, NULL, NULL, &diags, &own),
                         JV_OK);
        same_json(own.root, doc.root); /* order of keys and parts too */
        jv_json_doc_clear(&own);
        jv_json_doc_clear(&doc);
        jv_diags_clear(&diags);
        jv_circuit_free(&c);
        jv_text_clear(&text);
        jv_draft_free(&d);
    }
}

static size_t jacks_of(const jv_circuit *c) {
    size_t n = 0;
    for (size_t i = 0; i < jv_circuit_parts(c); i++)
        n += strcmp(jv_circuit_part_kind(c, i), "jack") == 0;
    return n;
}

static void a_layout_takes_any_number_of_jacks(void **state) {
    (void)state;
    const jv_layout *list;
    size_t n = jv_layouts(&list);
    for (size_t i = 0; i < n; i++)
        for (size_t jacks = JV_DRAFT_LEAST_JACKS;
             jacks <= JV_DRAFT_MOST_JACKS && jv_layout_jacks(&list[i]); jacks++) {
            jv_draft *d = begin(list[i].name, jacks);
            jv_text text = {0};
            if (jacks % 2)
                give_all(d);
            jv_draft_close(d, JV_KNOWN_NOT);
            jv_circuit *c = written(d, &text);
            assert_int_equal(jacks_of(c), jacks);
            jv_circuit_free(&c);
            jv_text_clear(&text);
            jv_draft_free(&d);
        }
}

static void jacks_that_are_put_in_are_wired_and_loaded_like_the_last_one(void **state) {
    (void)state;
    jv_draft *d = begin("work-truck", 5);
    jv_text text = {0};
    jv_json_doc doc = {0};
    jv_draft_close(d, JV_KNOWN_LAYOUT);
    jv_circuit *c = written(d, &text);
    read_made(&text, &doc);
    assert_string_equal(value_in(&doc, "parts", "fifth cable", "b"), "fifth plug+");
    assert_string_equal(value_in(&doc, "parts", "fifth outrigger", "minus"), "fifth jack-");
    const jv_json_value *cases = jv_json_member(doc.root, "cases");
    const jv_json_value *pair = jv_json_member(cases, "rear pair lifting");
    assert_string_equal(jv_draft_value(jv_json_member(pair, "lift"), "fifth outrigger"),
                        "3600 lbf");
    const jv_json_value *parts = jv_json_member(doc.root, "parts");
    assert_string_equal(
        jv_draft_value(jv_json_member(jv_json_member(parts, "controller"), "outputs"), "fifth"),
        "fifth out");
    assert_string_equal(jv_draft_value(jv_json_member(jv_json_member(parts, "truck frame"),
                                                      "points"),
                                       "fifth bond"),
                        "0.2 mohm .. 2 mohm");
    jv_json_doc_clear(&doc);
    jv_circuit_free(&c);
    jv_text_clear(&text);
    jv_draft_free(&d);
}

static void jacks_that_are_left_out_take_their_cases_with_them(void **state) {
    (void)state;
    jv_draft *d = begin("long-trailer", 4); /* the fifth is the tongue jack */
    jv_text text = {0};
    jv_circuit *c;
    jv_draft_close(d, JV_KNOWN_LAYOUT);
    c = written(d, &text);
    assert_null(strstr(jv_text_str(&text), "\"tongue"));
    assert_int_equal(jv_circuit_find_case(c, "tongue lifting"), jv_circuit_cases(c));
    assert_true(jv_circuit_find_case(c, "all four lifting") < jv_circuit_cases(c));
    jv_circuit_free(&c);
    jv_text_clear(&text);
    jv_draft_free(&d);
}

/* 22 ft of 6 AWG, by hand: d = 0.127 mm * 92^(30/39) = 4.1154 mm, A = 13.302 mm2;
 * 17.241e-3 ohm mm2/m * 1.02 / 13.302 mm2 = 1.3220 mohm/m (ASTM B258, B3, B8); 22 ft = 6.7056 m.
 * Two gauge numbers change the area by 92^(4/39) = 1.5901.
 * Length given as 20 ft = 6.096 m: 8.059 mohm / 1.5901 = 5.068, * 1.5901 = 12.815.
 * Length not known: 0.7 * 22 ft: 6.2054 / 1.5901 = 3.9025; 1.5 * 22 ft: 13.297 * 1.5901 = 21.144.
 */
static void a_cable_of_unknown_size_has_a_range_of_ohms(void **state) {
    (void)state;
    static const struct {
        const char *length;
        double low_mohm, high_mohm;
    } rows[] = {{"20 ft", 5.068, 12.815}, {"", 3.9025, 21.144}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        jv_draft *d = begin("small-trailer", 0);
        jv_text text = {0};
        jv_json_doc doc = {0};
        jv_refusal refusal;
        jv_value v;
        assert_int_equal(jv_draft_option(d, "length", rows[i].length, &refusal), JV_OK);
        jv_draft_close(d, JV_KNOWN_NOT);
        jv_circuit *c = written(d, &text);
        read_made(&text, &doc);
        assert_null(value_in(&doc, "parts", "feed", "size"));
        assert_null(value_in(&doc, "parts", "feed", "length"));
        assert_int_equal(jv_quantity_read(value_in(&doc, "parts", "feed", "resistance"),
                                          JV_DIM_RESISTANCE, &v, NULL),
                         JV_OK);
        assert_close(v.low * 1e3, rows[i].low_mohm, 3e-3, 0.0); /* three digits are written */
        assert_close(v.high * 1e3, rows[i].high_mohm, 3e-3, 0.0);
        /* Out and back are of one reel: they vary together. */
        assert_string_equal(value_in(&doc, "parts", "feed", "with"),
                            value_in(&doc, "parts", "return", "with"));
        jv_json_doc_clear(&doc);
        jv_circuit_free(&c);
        jv_text_clear(&text);
        jv_draft_free(&d);
    }
}

/* Loads of the layout's motors follow the answered ones. By hand, small-trailer: 24 A of a jack of
 * 24 A rated, 4 A free is 100 %; 1700 of 2000 lbf is 85 %, 1500 is 75 %. motor-home-pump: 1600 of
 * 2175 psi is 74 %, 200 A is (200 - 19)/(117 - 19) = 185 %; "free" stays. */
static void loads_become_shares_of_the_rating(void **state) {
    (void)state;
    static const struct {
        const char *layout, *option, *answer, *loading, *key, *part, *load;
    } rows[] = {
        {"small-trailer", "force", "9 kN", "lifting", "lift", "left jack", "100 %"},
        {"small-trailer", "current", "30 A", "one side", "lift", "left jack", "85 %"},
        {"small-trailer", "current", "30 A", "lowering", "lower", "right jack", "75 %"},
        {"motor-home-pump", "pressure", "150 bar", "front axle lifting", "run", "pump", "74 %"},
        {"motor-home-pump", "current", "90 A", "cold morning", "run", "pump", "185 %"},
        {"motor-home-pump", "current", "90 A", "legs extending", "run", "pump", "free"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        jv_draft *d = begin(rows[i].layout, 0);
        jv_text text = {0};
        jv_json_doc doc = {0};
        jv_refusal refusal;
        assert_int_equal(jv_draft_option(d, rows[i].option, rows[i].answer, &refusal), JV_OK);
        jv_draft_close(d, JV_KNOWN_LAYOUT);
        assert_int_equal(jv_draft_write(d, &text), JV_OK);
        read_made(&text, &doc);
        const jv_json_value *loading =
            jv_json_member(jv_json_member(doc.root, "cases"), rows[i].loading);
        assert_string_equal(jv_draft_value(jv_json_member(loading, rows[i].key), rows[i].part),
                            rows[i].load);
        jv_json_doc_clear(&doc);
        jv_text_clear(&text);
        jv_draft_free(&d);
    }
}

static void rested_volts_take_the_place_of_the_charge(void **state) {
    (void)state;
    jv_draft *d = begin("corroded-stud", 0);
    jv_text text = {0};
    jv_json_doc doc = {0};
    jv_refusal refusal;
    assert_int_equal(jv_draft_option(d, "charge", "12.5 V", &refusal), JV_OK);
    jv_draft_close(d, JV_KNOWN_NOT);
    jv_circuit *c = written(d, &text);
    read_made(&text, &doc);
    assert_string_equal(value_in(&doc, "parts", "house battery", "rested"), "12.5 V");
    assert_null(value_in(&doc, "parts", "house battery", "charge"));
    /* A tester's reading and a rusted stud are those of the layout's vehicle. */
    assert_null(value_in(&doc, "parts", "house battery", "tester_resistance"));
    assert_null(value_in(&doc, "parts", "ground stud", "resistance"));
    jv_json_doc_clear(&doc);
    jv_circuit_free(&c);
    jv_text_clear(&text);
    jv_draft_free(&d);
}

static void what_cannot_be_is_refused_with_a_reason_and_changes_nothing(void **state) {
    (void)state;
    static const struct {
        const char *option, *answer;
        jv_code code;
    } rows[] = {{"length", "-3 ft", JV_CODE_QUANTITY_RANGE},
                {"length", "3 V", JV_CODE_QUANTITY_UNIT},
                {"length", "3", JV_CODE_QUANTITY_BARE},
                {"length", "900 m", JV_CODE_QUANTITY_RANGE},
                {"size", "6", JV_CODE_QUANTITY_BARE},
                {"size", "SAE 7", JV_CODE_SIZE_UNKNOWN},
                {"chemistry", "wet", JV_CODE_WORD_UNKNOWN},
                {"charge", "130 %", JV_CODE_QUANTITY_RANGE},
                {"charge", "13 A", JV_CODE_QUANTITY_UNIT},
                {"fuse", "55 ft", JV_CODE_QUANTITY_UNIT},
                {"stall-current", "20 A", JV_CODE_QUANTITY_RANGE},
                {"metal", "copper", JV_CODE_OPTION_CONFLICT},
                {"pressure", "100 bar", JV_CODE_OPTION_CONFLICT}};
    jv_draft *d = begin("small-trailer", 0);
    jv_text before = {0}, after = {0};
    assert_int_equal(jv_draft_write(d, &before), JV_OK);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        jv_refusal refusal = {0};
        jv_status status = jv_draft_option(d, rows[i].option, rows[i].answer, &refusal);
        assert_int_not_equal(status, JV_OK);
        if (refusal.code != rows[i].code)
            fail_msg("%s %s: code %d: %s", rows[i].option, rows[i].answer, refusal.code,
                     refusal.message);
        assert_true(refusal.message[0] != '\0');
    }
    assert_int_equal(jv_draft_write(d, &after), JV_OK);
    assert_string_equal(jv_text_str(&before), jv_text_str(&after));
    jv_text_clear(&before);
    jv_text_clear(&after);
    jv_draft_free(&d);
}

static void a_number_of_jacks_that_cannot_be_is_refused(void **state) {
    (void)state;
    jv_draft *d = NULL;
    jv_refusal refusal = {0};
    assert_int_equal(jv_draft_new(jv_layout_find("small-trailer"), JV_DRAFT_MOST_JACKS + 1,
                                  JV_UNITS_SI, &refusal, &d),
                     JV_ERR_INPUT);
    assert_int_equal(refusal.code, JV_CODE_OPTION_CHOICE);
    assert_int_equal(jv_draft_new(jv_layout_find("motor-home-pump"), 2, JV_UNITS_SI, &refusal, &d),
                     JV_ERR_INPUT);
    assert_int_equal(refusal.code, JV_CODE_OPTION_CONFLICT);
    assert_null(d);
}

/* A rated current above the layout's stall current is taken, since that one is no longer known. */
static void another_motor_takes_none_of_the_layouts_currents(void **state) {
    (void)state;
    jv_draft *d = begin("small-trailer", 0);
    jv_text text = {0};
    jv_json_doc doc = {0};
    jv_refusal refusal;
    jv_value v;
    assert_int_equal(jv_draft_option(d, "current", "96 A", &refusal), JV_OK);
    jv_draft_close(d, JV_KNOWN_NOT);
    jv_circuit *c = written(d, &text);
    read_made(&text, &doc);
    assert_null(value_in(&doc, "parts", "left jack", "stall_current"));
    /* 4 A of 24 A is 16 A of 96 A; 0.6 and 1.6 times that, in two digits. */
    assert_int_equal(jv_quantity_read(value_in(&doc, "parts", "left jack", "no_load_current"),
                                      JV_DIM_CURRENT, &v, NULL),
                     JV_OK);
    assert_close(v.low, 9.6, 1e-9, 0.0);
    assert_close(v.high, 26.0, 1e-9, 0.0);
    jv_json_doc_clear(&doc);
    jv_circuit_free(&c);
    jv_text_clear(&text);
    jv_draft_free(&d);
}

static void a_change_answers_for_its_own_part_only(void **state) {
    (void)state;
    jv_draft *d = begin("small-trailer", 0);
    jv_diags diags = {0};
    jv_refusal refusal;
    jv_text text = {0};
    jv_json_doc doc = {0};
    assert_int_equal(jv_draft_set(d, "return.length=19 ft", &diags), JV_OK);
    assert_int_equal(jv_draft_option(d, "length", "17 ft", &refusal), JV_OK);
    assert_int_equal(jv_draft_set(d, "house battery.rested=12.4 V", &diags), JV_OK);
    assert_int_equal(jv_draft_set(d, "feed.surroundings.air=95 degF", &diags), JV_OK);
    assert_int_equal(jv_draft_set(d, "feed.surroundings.loom=true", &diags), JV_OK);
    assert_int_equal(jv_draft_set(d, "lights.on=false", &diags), JV_OK);
    assert_int_equal(
        jv_draft_set(d, "controller.outputs.left=[\"left out+\", \"left out-\"]", &diags), JV_OK);
    assert_int_equal(jv_draft_set(d, "lifting.lift.left jack=21 A", &diags), JV_OK);
    jv_draft_close(d, JV_KNOWN_LAYOUT);
    jv_circuit *c = written(d, &text);
    read_made(&text, &doc);
    assert_string_equal(value_in(&doc, "parts", "return", "length"), "19 ft");
    assert_string_equal(value_in(&doc, "parts", "feed", "length"), "17 ft");
    assert_string_equal(value_in(&doc, "parts", "house battery", "rested"), "12.4 V");
    assert_null(value_in(&doc, "parts", "house battery", "charge"));
    const jv_json_value *feed = jv_json_member(jv_json_member(doc.root, "parts"), "feed");
    const jv_json_value *around = jv_json_member(feed, "surroundings");
    assert_string_equal(jv_draft_value(around, "air"), "95 degF");
    assert_int_equal(jv_json_member(around, "loom")->type, JV_JSON_BOOL);
    const jv_json_value *lights = jv_json_member(jv_json_member(doc.root, "parts"), "lights");
    assert_int_equal(jv_json_member(lights, "on")->type, JV_JSON_BOOL);
    const jv_json_value *lifting = jv_json_member(jv_json_member(doc.root, "cases"), "lifting");
    assert_string_equal(jv_draft_value(jv_json_member(lifting, "lift"), "left jack"), "21 A");
    /* Reasons are those of the reader. */
    assert_int_equal(jv_draft_set(d, "fed.length=3 ft", &diags), JV_ERR_INPUT);
    assert_int_equal(diags.items[diags.count - 1].code, JV_CODE_PART_UNKNOWN);
    jv_json_doc_clear(&doc);
    jv_circuit_free(&c);
    jv_text_clear(&text);
    jv_diags_clear(&diags);
    jv_draft_free(&d);
}

static void the_list_grows_with_the_answers(void **state) {
    (void)state;
    jv_draft *d = begin("small-trailer", 0);
    const jv_style style = {.units = JV_UNITS_US, .width = 80};
    jv_text text = {0};
    jv_refusal refusal;
    jv_draft_text(d, &style, &text);
    assert_null(strstr(jv_text_str(&text), "feed"));
    jv_text_clear(&text);
    assert_int_equal(jv_draft_option(d, "length", "17 ft", &refusal), JV_OK);
    jv_draft_text(d, &style, &text);
    assert_non_null(strstr(jv_text_str(&text), "feed"));
    assert_non_null(strstr(jv_text_str(&text), "17 ft, .."));
    assert_null(strstr(jv_text_str(&text), "jack"));
    jv_text_clear(&text);
    jv_draft_free(&d);
}

/* With every n-th allocation failing, the answer is "no memory" and nothing leaks. */
static void memory_that_runs_out_is_a_clean_error(void **state) {
    (void)state;
    const jv_layout *layout = jv_layout_find("tow-vehicle");
    size_t n = 1;
    for (bool done = false; !done; n += 1 + n / 40) {
        jv_draft *d = NULL;
        jv_text text = {0};
        jv_diags diags = {0};
        jv_refusal refusal;
        failing_start(n);
        jv_status status = jv_draft_new(layout, 2, JV_UNITS_US, &refusal, &d);
        if (status == JV_OK)
            status = jv_draft_option(d, "length", "17 ft", &refusal);
        if (status == JV_OK)
            status = jv_draft_set(d, "brake controller.current=2 A", &diags);
        if (status == JV_OK) {
            jv_draft_close(d, JV_KNOWN_NOT);
            status = jv_draft_write(d, &text);
        }
        if (status == JV_OK)
            status = jv_draft_json(d, "x.json", &text);
        jv_text_clear(&text);
        jv_diags_clear(&diags);
        jv_draft_free(&d);
        done = failing_calls() < n;
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
        if (status != (done ? JV_OK : JV_ERR_MEMORY))
            fail_msg("allocation %zu: %s", n, jv_status_text(status));
    }
    assert_true(n > 100);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_layout_with_nothing_known_is_a_circuit),
        cmocka_unit_test(every_answer_stands_in_the_file_as_it_was_given),
        cmocka_unit_test(all_as_in_the_layout_is_the_layout),
        cmocka_unit_test(a_layout_takes_any_number_of_jacks),
        cmocka_unit_test(jacks_that_are_put_in_are_wired_and_loaded_like_the_last_one),
        cmocka_unit_test(jacks_that_are_left_out_take_their_cases_with_them),
        cmocka_unit_test(a_cable_of_unknown_size_has_a_range_of_ohms),
        cmocka_unit_test(loads_become_shares_of_the_rating),
        cmocka_unit_test(rested_volts_take_the_place_of_the_charge),
        cmocka_unit_test(what_cannot_be_is_refused_with_a_reason_and_changes_nothing),
        cmocka_unit_test(a_number_of_jacks_that_cannot_be_is_refused),
        cmocka_unit_test(another_motor_takes_none_of_the_layouts_currents),
        cmocka_unit_test(a_change_answers_for_its_own_part_only),
        cmocka_unit_test(the_list_grows_with_the_answers),
        cmocka_unit_test(memory_that_runs_out_is_a_clean_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
