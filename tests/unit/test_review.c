/* test_review.c - the design rules against figures worked by hand. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/memory.h"
#include "jackvolt/read.h"
#include "jackvolt/render.h"
#include "jackvolt/review.h"
#include "tests/support/close.h"
#include "tests/support/review_circuit.h"

static const jv_review_row *find_row(const jv_review *r, const char *rule, const char *part) {
    for (size_t i = 0; i < r->n_rows; i++)
        if (strcmp(r->rows[i].rule->id, rule) == 0 && strcmp(r->rows[i].part, part) == 0)
            return &r->rows[i];
    return NULL;
}

typedef struct expectation {
    const char *name;
    const char *parts, *sections;
    const char *sets[4];
    const char *rule, *part;
    jv_rule_verdict verdict;
    double figure, limit; /* NAN = not asked */
    double rel;
} expectation;

static void expect(const expectation *e) {
    size_t n = 0;
    while (n < 4 && e->sets[n])
        n++;
    jv_circuit *c =
        review_circuit(e->parts ? e->parts : "", e->sections ? e->sections : "", e->sets, n);
    jv_review *r = NULL;
    assert_int_equal(jv_review_run(c, &r), JV_OK);
    const jv_review_row *row = find_row(r, e->rule, e->part);
    if (!row || row->verdict != e->verdict)
        print_error("%s: %s at %s is %s: %s\n", e->name, e->rule, e->part,
                    row ? jv_rule_verdict_word(row->verdict) : "not asked", row ? row->reason : "");
    assert_non_null(row);
    assert_int_equal(row->verdict, e->verdict);
    if (!isnan(e->figure))
        assert_close(row->figure, e->figure, e->rel, 1e-9);
    if (!isnan(e->limit))
        assert_close(row->limit, e->limit, e->rel, 1e-9);
    assert_true(*row->basis && *row->reason && *row->rule->source);
    if (row->verdict == JV_RULE_UNKNOWN)
        assert_non_null(row->look_in);
    jv_review_free(&r);
    jv_circuit_free(&c);
}

/* Each row's figure and limit by hand:
 *   fuse-fits-cable     14 AWG at 125 degC: 33 CFR 183.425 Table 5 gives 40 A, in 20 degC air no
 * more fuse-lasting        75 % of 40 A = 30 A, 24 A run; of 30 A 22.5 A; a breaker 40/1.25 = 32 A
 *   conductor-temp.     limits of the insulation table: SGX 125, GPT 80 degC
 *   drop-motors         at 20 degC by r = 17.241e-3 x 1.02 / 21.151 mm2 = 0.83143 mohm/m: feed and
 *                       return 10 m 8.3143 mohm, fuse 40 A maxi 24 A: 1.5 x 1.4 mohm..; checked by
 *                       its sign, and exactly where all ohms are given
 *   connector-rating    24 A through a pin of 20 and of 30 A
 *   relay-pull-in       7 V x (234.5 + 85)/254.5 = 8.788 V; 10 V -> 12.554 V, above what there is
 *   sensor-supply       5 V + 0.5 V; 9 V regulator + 3 V = 12 V under 24 A: not there
 *   return-size         8 AWG (8.366 mm2/1.02) under 4 AWG (21.151/1.02)
 *   unfused-length      1 m of cable on the battery side; 7 in = 0.1778 m, in a loom 40 in = 1.016
 * m watch-worst-case    at 24 A and given ohms only: 12.6 - 24 x 8 mohm ... see there */
static void verdicts_by_hand(void **state) {
    (void)state;
    static const expectation cases[] = {
        {"sound", NULL, NULL, {0}, "operating-point", "sound", JV_RULE_PASS, NAN, NAN, 0},
        {"fuse under cable", NULL, NULL, {0}, "fuse-fits-cable", "feed", JV_RULE_PASS, 40, NAN, 0},
        {"fuse at the printed figure",
         NULL,
         NULL,
         {"feed.size=14 AWG"},
         "fuse-fits-cable",
         "feed",
         JV_RULE_PASS,
         40,
         40,
         1e-9},
        {"fuse above cable",
         NULL,
         NULL,
         {"feed.size=16 AWG"},
         "fuse-fits-cable",
         "feed",
         JV_RULE_FAIL,
         40,
         30,
         1e-9},
        {"guarded", NULL, NULL, {0}, "cable-outlives-fuse", "feed", JV_RULE_PASS, NAN, NAN, 0},
        {"not guarded",
         NULL,
         NULL,
         {"fuse.rating=80 A", "feed.size=16 AWG"},
         "cable-outlives-fuse",
         "feed",
         JV_RULE_FAIL,
         NAN,
         NAN,
         0},
        {"limits from memory",
         NULL,
         NULL,
         {"fuse.style=bolt-in strip"},
         "short-opens-fuse",
         "feed",
         JV_RULE_UNKNOWN,
         NAN,
         NAN,
         0},
        {"its own sheet settles it",
         NULL,
         NULL,
         {"fuse.style=bolt-in strip", "fuse.curve=[[135, 60, 1800], [200, 2, 15], [600, 0.1, 1]]",
          "fuse.curve_source=data sheet of the fuse, page 2"},
         "short-opens-fuse",
         "feed",
         JV_RULE_PASS,
         NAN,
         54,
         1e-9},
        {"short", NULL, NULL, {0}, "short-opens-fuse", "feed", JV_RULE_PASS, NAN, 54, 1e-9},
        {"lasting", NULL, NULL, {0}, "fuse-lasting", "fuse", JV_RULE_PASS, 24, 30, 1e-6},
        {"too small to last",
         NULL,
         NULL,
         {"fuse.rating=30 A"},
         "fuse-lasting",
         "fuse",
         JV_RULE_FAIL,
         24,
         22.5,
         1e-6},
        {"warm",
         NULL,
         NULL,
         {"feed.size=14 AWG", "feed.insulation=GPT", "feed.surroundings.air=70 degC"},
         "conductor-temperature",
         "feed",
         JV_RULE_FAIL,
         NAN,
         80,
         0},
        {"cool", NULL, NULL, {0}, "conductor-temperature", "feed", JV_RULE_PASS, NAN, 125, 0},
        {"return as large",
         NULL,
         NULL,
         {0},
         "return-size",
         "return",
         JV_RULE_PASS,
         20.736,
         20.736,
         1e-4},
        {"return thinner",
         NULL,
         NULL,
         {"return.size=8 AWG"},
         "return-size",
         "return",
         JV_RULE_FAIL,
         8.2017,
         20.736,
         1e-4},
        {"clad",
         NULL,
         NULL,
         {"feed.metal=copper-clad aluminium"},
         "metal",
         "feed",
         JV_RULE_FAIL,
         NAN,
         NAN,
         0},
        {"copper", NULL, NULL, {0}, "metal", "feed", JV_RULE_PASS, NAN, NAN, 0},
        {"fuse at the post",
         NULL,
         NULL,
         {0},
         "fuse-near-source",
         "fuse",
         JV_RULE_PASS,
         0,
         0.1778,
         1e-9},
        {"relay",
         ",\"relay\": {\"is\": \"relay\", \"a\": \"x\", \"b\": \"z\", \"coil_plus\": \"x\", "
         "\"coil_minus\": \"y\", \"pull_in\": \"7 V\", \"coil_temperature\": \"85 degC\"}, "
         "\"lamp\": {\"is\": \"load\", \"plus\": \"z\", \"minus\": \"y\", \"current\": \"1 A\"}",
         NULL,
         {0},
         "relay-pull-in",
         "relay",
         JV_RULE_PASS,
         NAN,
         7 * 319.5 / 254.5,
         1e-9},
        {"relay too hot",
         ",\"relay\": {\"is\": \"relay\", \"a\": \"x\", \"b\": \"z\", \"coil_plus\": "
         "\"x\", \"coil_minus\": \"y\", \"pull_in\": \"10 V\", \"coil_temperature\": "
         "\"85 degC\"}, \"lamp\": {\"is\": \"load\", \"plus\": \"z\", \"minus\": \"y\", "
         "\"current\": \"1 A\"}",
         NULL,
         {0},
         "relay-pull-in",
         "relay",
         JV_RULE_FAIL,
         NAN,
         10 * 319.5 / 254.5,
         1e-9},
        {"relay of no known pull-in",
         ",\"relay\": {\"is\": \"relay\", \"a\": \"x\", \"b\": \"z\", "
         "\"coil_plus\": \"x\", \"coil_minus\": \"y\"}, \"lamp\": {\"is\": "
         "\"load\", \"plus\": \"z\", \"minus\": \"y\", \"current\": \"1 A\"}",
         NULL,
         {0},
         "relay-pull-in",
         "relay",
         JV_RULE_UNKNOWN,
         NAN,
         NAN,
         0},
        {"sensor supply",
         ",\"rail\": {\"is\": \"sensor_supply\", \"in\": \"x\", \"minus\": \"y\", \"out\": "
         "\"s\", \"set_voltage\": \"5 V\", \"dropout\": \"0.5 V\", \"limit\": \"0.1 A\"}, "
         "\"sensor\": {\"is\": \"load\", \"plus\": \"s\", \"minus\": \"y\", \"current\": "
         "\"10 mA\"}",
         NULL,
         {0},
         "sensor-supply",
         "rail",
         JV_RULE_PASS,
         NAN,
         5.5,
         1e-9},
        {"starved rail",
         ",\"rail\": {\"is\": \"sensor_supply\", \"in\": \"x\", \"minus\": \"y\", \"out\": "
         "\"s\", \"set_voltage\": \"9 V\", \"dropout\": \"3.5 V\", \"limit\": \"0.1 A\"}, "
         "\"sensor\": {\"is\": \"load\", \"plus\": \"s\", \"minus\": \"y\", \"current\": "
         "\"10 mA\"}",
         NULL,
         {0},
         "sensor-supply",
         "rail",
         JV_RULE_FAIL,
         NAN,
         12.5,
         1e-9},
        {"no fuse on the lamp",
         ",\"lead\": {\"is\": \"cable\", \"a\": \"p\", \"b\": \"z\", \"size\": "
         "\"14 AWG\", \"length\": \"1 m\", \"insulation\": \"GXL\"}, \"lamp\": "
         "{\"is\": \"load\", \"plus\": \"z\", \"minus\": \"m\", \"current\": \"2 A\"}",
         NULL,
         {0},
         "unfused-length",
         "lead",
         JV_RULE_FAIL,
         1,
         0.1778,
         1e-9},
        {"short enough in a loom",
         ",\"lead\": {\"is\": \"cable\", \"a\": \"p\", \"b\": \"z\", \"size\": "
         "\"14 AWG\", \"length\": \"1 m\", \"insulation\": \"GXL\", "
         "\"surroundings\": {\"loom\": true}}, \"lamp\": {\"is\": \"load\", "
         "\"plus\": \"z\", \"minus\": \"m\", \"current\": \"2 A\"}",
         NULL,
         {0},
         "unfused-length",
         "lead",
         JV_RULE_PASS,
         1,
         1.016,
         1e-9},
        {"pin too small",
         ",\"plug\": {\"is\": \"connector\", \"pins\": {\"1\": [\"x\", \"z\"]}, "
         "\"resistance\": \"1 mohm\", \"rating\": \"20 A\"}, \"heater\": {\"is\": \"load\", "
         "\"plus\": \"z\", \"minus\": \"y\", \"current\": \"24 A\"}",
         NULL,
         {0},
         "connector-rating",
         "plug",
         JV_RULE_FAIL,
         24,
         20,
         1e-6},
        {"pin without a rating",
         ",\"plug\": {\"is\": \"connector\", \"pins\": {\"1\": [\"x\", \"z\"]}, "
         "\"resistance\": \"1 mohm\"}, \"heater\": {\"is\": \"load\", \"plus\": "
         "\"z\", \"minus\": \"y\", \"current\": \"24 A\"}",
         NULL,
         {0},
         "connector-rating",
         "plug",
         JV_RULE_UNKNOWN,
         24,
         NAN,
         1e-6},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        expect(&cases[i]);
}

/* All ohms given: battery 8, fuse 2, feed 10, return 10 mohm. At 24 A +/- 10 % (worst 26.4 A) the
 * watch sees 12.6 - 26.4 x 0.030 = 11.808 V at worst, 12.6 - 24 x 0.030 = 11.88 nominal; the
 * wiring loses 24 x 0.022 = 0.528 V of 12.6 - 24 x 0.008 = 12.408 V: 4.255 %. */
static void worst_case_and_drop_in_closed_form(void **state) {
    (void)state;
    static const char *const sets[] = {"fuse.resistance=2 mohm", "feed.resistance=10 mohm",
                                       "return.resistance=10 mohm",
                                       "lift.lift.jack=21.6 A .. 26.4 A"};
    jv_circuit *c = review_circuit("", "", sets, 4);
    jv_review *r = NULL;
    assert_int_equal(jv_review_run(c, &r), JV_OK);
    const jv_review_row *watch = find_row(r, "watch-worst-case", "low");
    const jv_review_row *drop = find_row(r, "drop-motors", "jack");
    assert_non_null(watch);
    assert_non_null(drop);
    assert_close(watch->figure, 11.808, 1e-9, 0);
    assert_close(watch->limit, 10, 0, 0);
    assert_int_equal(watch->verdict, JV_RULE_PASS);
    assert_close(drop->figure, 100 * 0.528 / 12.408, 1e-6, 0);
    assert_close(drop->limit, 10, 0, 0);
    assert_int_equal(r->changes, 4);
    jv_review_free(&r);
    jv_circuit_free(&c);
}

/* The circuit above with 80 mohm more in the return: 12.6 - 26.4 x 0.110 = 9.696 V at worst, below
 * 10 V; the wiring loses 24 x 0.102 = 2.448 V of 12.408 V, 19.73 %. */
static void a_fault_is_in_every_operating_point(void **state) {
    (void)state;
    static const char *const sets[] = {"fuse.resistance=2 mohm", "feed.resistance=10 mohm",
                                       "return.resistance=10 mohm",
                                       "lift.lift.jack=21.6 A .. 26.4 A"};
    jv_circuit *c = review_circuit("", "", sets, 4);
    jv_diags diags = {0};
    jv_faults *faults = jv_faults_new();
    jv_review *r = NULL;
    assert_int_equal(jv_faults_add(faults, c, "return: 80 mohm added", &diags), JV_OK);
    assert_int_equal(jv_review_run_with(c, faults, &r), JV_OK);
    const jv_review_row *watch = find_row(r, "watch-worst-case", "low");
    const jv_review_row *drop = find_row(r, "drop-motors", "jack");
    assert_close(watch->figure, 9.696, 1e-9, 0);
    assert_int_equal(watch->verdict, JV_RULE_FAIL);
    assert_close(drop->figure, 100 * 2.448 / 12.408, 1e-6, 0);
    jv_review_free(&r);
    jv_faults_free(&faults);
    jv_circuit_free(&c);
}

/* A watch that trips only because of an assumed battery is a question, not a failure; an assumed
 * limit is one too. */
static void what_is_assumed_does_not_decide(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\": \"bare\", \"parts\": {\"battery\": {\"is\": \"battery\", \"plus\": \"p\", "
        "\"minus\": \"m\"}, \"load\": {\"is\": \"load\", \"plus\": \"p\", \"minus\": \"m\", "
        "\"current\": "
        "\"200 A\"}}, \"watches\": {\"w\": {\"at\": [\"p\", \"m\"], \"below\": \"12.0 V\", "
        "\"while\": "
        "\"always\"}}, \"cases\": {\"on\": {}}}";
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_review *r = NULL;
    assert_int_equal(jv_circuit_read_text(text, strlen(text), "bare", NULL, &d, &c), JV_OK);
    assert_int_equal(jv_review_run(c, &r), JV_OK);
    const jv_review_row *row = find_row(r, "watch-worst-case", "w");
    assert_true(row->figure < row->limit);
    assert_int_equal(row->verdict, JV_RULE_UNKNOWN);
    assert_non_null(row->look_in);
    jv_review_free(&r);
    jv_circuit_free(&c);
    jv_diags_clear(&d);
}

static void waived_rules_stay_in_sight(void **state) {
    (void)state;
    static const char *const sets[] = {"feed.metal=aluminium"};
    jv_circuit *c = review_circuit("", review_waivers, sets, 1);
    jv_review *r = NULL;
    assert_int_equal(jv_review_run(c, &r), JV_OK);
    const jv_review_row *row = find_row(r, "metal", "feed");
    assert_int_equal(row->verdict, JV_RULE_WAIVED);
    assert_int_equal(row->without_waiver, JV_RULE_FAIL);
    assert_string_equal(row->waiver_reason, "stock on the shelf");
    assert_string_equal(row->waiver_name, "harness desk");
    assert_string_equal(row->waiver_date, "2026-11-25");
    assert_int_equal(r->waived, 1);
    assert_int_equal(r->n_idle, 2); /* what passes needs none; a rule that is not there */
    assert_string_equal(r->revision, "C");
    assert_int_equal(strlen(r->sha256), 64);
    assert_int_equal(r->failed + r->unknown + r->waived + r->passed, r->n_rows);
    for (size_t i = 1; i < r->n_rows; i++)
        assert_true(r->rows[i - 1].verdict <= r->rows[i].verdict);
    jv_review_free(&r);
    jv_circuit_free(&c);
}

/* Rules name their documents as the table of rules has them. */
static void sources_are_those_of_the_tables(void **state) {
    (void)state;
    static const struct {
        const char *rule, *row;
    } pairs[] = {{"fuse-fits-cable", "FAA-01"}, {"unfused-length", "CFR-03"},
                 {"breaker-type", "CFR-01"},    {"drop-motors", "ABYC-08b"},
                 {"return-size", "NEC-04"},     {"metal", "NEC-06"}};
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        jv_rule rule;
        assert_int_equal(jv_table_rule(pairs[i].row, &rule), JV_OK);
        assert_int_not_equal(rule.confidence, JV_WEAK);
        const jv_review_rule *found = NULL;
        for (size_t k = 0; k < jv_review_rule_count(); k++)
            if (strcmp(jv_review_rule_at(k)->id, pairs[i].rule) == 0)
                found = jv_review_rule_at(k);
        assert_non_null(found);
        assert_int_equal(strncmp(found->source, rule.standard, strlen(rule.standard)), 0);
        assert_non_null(strstr(found->clause[0] ? found->clause : rule.clause, rule.clause));
    }
    assert_null(jv_review_rule_at(jv_review_rule_count()));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdicts_by_hand),
        cmocka_unit_test(worst_case_and_drop_in_closed_form),
        cmocka_unit_test(a_fault_is_in_every_operating_point),
        cmocka_unit_test(what_is_assumed_does_not_decide),
        cmocka_unit_test(waived_rules_stay_in_sight),
        cmocka_unit_test(sources_are_those_of_the_tables),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
