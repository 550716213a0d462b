/* test_drop.c - the steady study: ways, shares, levers, short memory. SPDX-License-Identifier: MIT
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <suitesparse/SuiteSparse_config.h>
#include <cmocka.h>

#include "jackvolt/drop.h"
#include "jackvolt/read.h"
#include "tests/support/build.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"

static jv_circuit *read_circuit(const char *text) {
    jv_circuit *c = NULL;
    jv_diags d = {0};
    jv_status status = jv_circuit_read_text(text, strlen(text), "test", NULL, &d, &c);
    if (status != JV_OK)
        fail_msg("%s", d.count ? d.items[0].message : "not read");
    jv_diags_clear(&d);
    return c;
}

static jv_drop *run(const jv_circuit *c, const jv_faults *faults, bool no_levers) {
    jv_drop *drop = NULL;
    const jv_drop_options options = {.faults = faults, .no_levers = no_levers};
    assert_int_equal(jv_drop_run(c, &options, &drop), JV_OK);
    return drop;
}

static jv_faults *faults_of(const jv_circuit *c, const char *text) {
    jv_faults *f = jv_faults_new();
    jv_diags d = {0};
    if (jv_faults_add(f, c, text, &d) != JV_OK)
        fail_msg("%s", d.count ? d.items[0].message : text);
    jv_diags_clear(&d);
    return f;
}

static const jv_drop_part *part(const jv_circuit *c, const jv_drop_case *k, const char *name) {
    int32_t p = jv_circuit_find_part(c, name);
    if (p < 0)
        fail_msg("no part \"%s\"", name);
    return &k->parts[p];
}

static double terminal(const jv_circuit *c, const jv_drop_case *k, const char *name) {
    int32_t t = jv_circuit_find_terminal(c, name);
    assert_true(t >= 0);
    return k->terminal_v[t];
}

/* Shares of the parts on the way sum to one; so do the steps. */
static void shares_add_up(const jv_circuit *c, const jv_drop_case *k) {
    double sum = 0.0, steps = 0.0;
    for (size_t p = 0; p < jv_circuit_parts(c); p++)
        if (!isnan(k->parts[p].share))
            sum += k->parts[p].share;
    for (size_t s = 0; s < k->n_steps; s++)
        steps += k->steps[s].drop_v;
    assert_true(k->n_steps > 0);
    assert_close(sum, 1.0, 1e-9, 0);
    assert_close(steps, k->lost_v, 1e-9, 0);
    assert_close(k->source_v - k->load_v, k->lost_v, 1e-9, 0);
}

/* --- one feed, one return --- */

#define PLAIN_PARTS                                                                             \
    "\"battery\":{\"is\":\"battery\",\"plus\":\"b+\",\"minus\":\"b-\",\"open_circuit\":\"12.6 " \
    "V\",\"resistance\":\"10 mohm\"},"                                                          \
    "\"feed\":{\"is\":\"cable\",\"a\":\"b+\",\"b\":\"c+\",\"resistance\":\"20 mohm\"},"         \
    "\"return\":{\"is\":\"cable\",\"a\":\"c-\",\"b\":\"stud\",\"resistance\":\"15 mohm\"},"     \
    "\"stud\":{\"is\":\"contact\",\"a\":\"stud\",\"b\":\"b-\",\"resistance\":\"5 mohm\"}"

static const char plain[] =
    "{\"circuit\":\"plain\",\"parts\":{" PLAIN_PARTS
    ",\"jack\":{\"is\":\"jack\",\"plus\":\"c+\",\"minus\":\"c-\",\"rated_current\":\"28 A\","
    "\"no_load_current\":\"6 A\",\"stall_current\":\"90 A\"}},"
    "\"watches\":{\"stop\":{\"at\":[\"c+\",\"c-\"],\"below\":\"10.5 V\",\"while\":\"running\"}},"
    "\"cases\":{\"lifting\":{\"lift\":{\"jack\":\"30 A\"}}}}";

static void sides_and_shares_of_one_feed(void **state) {
    (void)state;
    /* 30 A: battery 0.30 V, feed 0.60, return 0.45, stud 0.15: 1.50 V lost, 11.10 V left. */
    jv_circuit *c = read_circuit(plain);
    jv_drop *d = run(c, NULL, true);
    const jv_drop_case *k = &d->cases[0];
    shares_add_up(c, k);
    assert_close(k->lost_v, 1.5, 1e-9, 0);
    assert_close(k->load_v, 11.1, 1e-9, 0);
    assert_close(part(c, k, "battery")->share, 0.2, 1e-9, 0);
    assert_close(part(c, k, "feed")->share, 0.4, 1e-9, 0);
    assert_close(part(c, k, "return")->share, 0.3, 1e-9, 0);
    assert_close(part(c, k, "stud")->share, 0.1, 1e-9, 0);
    assert_int_equal(part(c, k, "battery")->side, JV_SIDE_SOURCE);
    assert_int_equal(part(c, k, "feed")->side, JV_SIDE_PLUS);
    assert_int_equal(part(c, k, "return")->side, JV_SIDE_RETURN);
    assert_int_equal(part(c, k, "stud")->side, JV_SIDE_RETURN);
    assert_close(k->watches[0].seen_v, 11.1, 1e-9, 0);
    assert_int_equal(k->watches[0].verdict, JV_HOLDS);
    jv_drop_free(&d);
    jv_circuit_free(&c);
}

static void levers_bring_the_watch_to_its_limit(void **state) {
    (void)state;
    /* 0.6 V to spare at 30 A: 20 mohm more on either side; by load: 12.6 - 0.05 I = 10.5 V
     * at 42 A, 40 % more. */
    jv_circuit *c = read_circuit(plain);
    jv_drop *d = run(c, NULL, false);
    const jv_levers *l = &d->cases[0].watches[0].levers;
    assert_close(l->feed_ohm, 0.020, 0, 1e-6);
    assert_close(l->return_ohm, 0.020, 0, 1e-6);
    assert_close(l->load, 0.40, 0, 1e-5);
    assert_true(isnan(l->charge)); /* given by its volts: its charge is not known */
    char text[64];
    snprintf(text, sizeof text, "feed: %.9f ohm added", l->feed_ohm);
    jv_faults *f = faults_of(c, text);
    jv_drop *e = run(c, f, true);
    assert_close(e->cases[0].watches[0].seen_v, 10.5, 0, 2e-5);
    jv_faults_free(&f);
    jv_drop_free(&d);
    jv_drop_free(&e);
    jv_circuit_free(&c);
}

/* Two cables abreast carry 40 A together; 12.6 V - 40 A x (10 + feed + 10) mohm. Equal ones of 20
 * mohm are 10: 11.4 V, 0.8 V to spare, 20 mohm in line with both. 20 and 30 mohm are 12: 11.32 V,
 * 0.72 V, 18 mohm. */
static void lever_of_cables_abreast_is_in_line_with_all(void **state) {
    (void)state;
    static const struct {
        const char *second;
        double lever_ohm;
    } rows[] = {{"20 mohm", 0.020}, {"30 mohm", 0.018}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[1024];
        snprintf(text, sizeof text,
                 "{\"circuit\": \"twin\", \"parts\": {"
                 "\"battery\": {\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", "
                 "\"open_circuit\": \"12.6 V\", \"resistance\": \"10 mohm\"},"
                 "\"one\": {\"is\": \"cable\", \"a\": \"p\", \"b\": \"x\", "
                 "\"resistance\": \"20 mohm\"},"
                 "\"two\": {\"is\": \"cable\", \"a\": \"x\", \"b\": \"p\", "
                 "\"resistance\": \"%s\"},"
                 "\"return\": {\"is\": \"cable\", \"a\": \"y\", \"b\": \"m\", "
                 "\"resistance\": \"10 mohm\"},"
                 "\"load\": {\"is\": \"load\", \"plus\": \"x\", \"minus\": \"y\", "
                 "\"current\": \"40 A\"}},"
                 "\"watches\": {\"stop\": {\"at\": [\"x\", \"y\"], \"below\": \"10.6 V\"}},"
                 "\"cases\": {\"on\": {}}}",
                 rows[i].second);
        jv_circuit *c = read_circuit(text);
        jv_drop *d = run(c, NULL, false);
        const jv_levers *l = &d->cases[0].watches[0].levers;
        assert_close(l->feed_ohm, rows[i].lever_ohm, 0, 1e-6);
        assert_close(l->return_ohm, rows[i].lever_ohm, 0, 1e-6);
        jv_drop_free(&d);
        jv_circuit_free(&c);
    }
}

/* One remark for all that sees it; a jack may be either way round. */
static void a_battery_put_in_backwards_is_told_once(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\": \"back\", \"parts\": {"
        "\"battery\": {\"is\": \"battery\", \"plus\": \"%s\", \"minus\": \"%s\", "
        "\"open_circuit\": \"12.6 V\", \"resistance\": \"10 mohm\"},"
        "\"jack\": {\"is\": \"jack\", \"plus\": \"p\", \"minus\": \"m\", \"rated_force\": "
        "\"2000 lbf\", \"rated_current\": \"24 A\", \"no_load_current\": \"4 A\"},"
        "\"lamp\": {\"is\": \"load\", \"plus\": \"p\", \"minus\": \"m\", \"current\": "
        "\"1 A\"},"
        "\"radio\": {\"is\": \"load\", \"plus\": \"p\", \"minus\": \"m\", \"current\": "
        "\"1 A\"}},"
        "\"cases\": {\"rest\": {}}}";
    for (size_t backwards = 0; backwards < 2; backwards++) {
        char made[1024];
        snprintf(made, sizeof made, text, backwards ? "m" : "p", backwards ? "p" : "m");
        jv_circuit *c = read_circuit(made);
        jv_drop *d = run(c, NULL, true);
        size_t told = 0;
        for (size_t i = 0; i < d->cases[0].n_remarks; i++)
            told +=
                strstr(d->cases[0].remarks[i].text, "\"battery\" is put in backwards") != NULL &&
                d->cases[0].remarks[i].serious;
        assert_int_equal(told, backwards);
        jv_drop_free(&d);
        jv_circuit_free(&c);
    }
}

static void lever_of_a_tripped_watch_is_what_to_take_away(void **state) {
    (void)state;
    /* 40 mohm more in the stud: 9.9 V, 0.6 V short, so 20 mohm must go, or a load of a fraction:
     * 12.6 - 0.09 I = 10.5 at 23.333 A, 22.22 % less. The feed side has 20 mohm in all. */
    jv_circuit *c = read_circuit(plain);
    jv_faults *f = faults_of(c, "stud: 40 mohm added");
    jv_drop *d = run(c, f, false);
    const jv_drop_watch *w = &d->cases[0].watches[0];
    assert_int_equal(w->verdict, JV_TRIPS);
    assert_true(d->finding);
    assert_close(w->margin_v, -0.6, 1e-9, 0);
    assert_close(w->levers.return_ohm, -0.020, 0, 1e-6);
    assert_close(w->levers.load, 2.1 / 0.09 / 30.0 - 1.0, 0, 1e-5);
    jv_faults_free(&f);
    jv_drop_free(&d);
    jv_circuit_free(&c);
}

static void lever_of_charge_is_at_the_limit_too(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\":\"charge\",\"parts\":{\"battery\":{\"is\":\"battery\",\"plus\":\"b+\","
        "\"minus\":\"b-\",\"chemistry\":\"flooded\",\"capacity\":\"100 Ah\",\"charge\":\"90 %\"},"
        "\"feed\":{\"is\":\"cable\",\"a\":\"b+\",\"b\":\"c+\",\"resistance\":\"10 mohm\"},"
        "\"jack\":{\"is\":\"jack\",\"plus\":\"c+\",\"minus\":\"b-\",\"rated_current\":\"28 A\"}},"
        "\"watches\":{\"stop\":{\"at\":[\"c+\",\"b-\"],\"below\":\"11.6 "
        "V\",\"while\":\"running\"}},"
        "\"cases\":{\"lifting\":{\"lift\":{\"jack\":\"24 A\"}}}}";
    jv_circuit *c = read_circuit(text);
    jv_drop *d = run(c, NULL, false);
    double less = d->cases[0].watches[0].levers.charge;
    assert_true(less > 0.0 && less < 0.9);
    char fault[64];
    snprintf(fault, sizeof fault, "battery: discharged to %.7f %%", 100.0 * (0.9 - less));
    jv_faults *f = faults_of(c, fault);
    jv_drop *e = run(c, f, true);
    assert_close(e->cases[0].watches[0].seen_v, 11.6, 0, 1e-4);
    jv_faults_free(&f);
    jv_drop_free(&d);
    jv_drop_free(&e);
    jv_circuit_free(&c);
}

/* --- lowering through a bridge --- */

static void lowering_turns_the_current_in_the_jack(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\":\"bridge\",\"parts\":{" PLAIN_PARTS
        ",\"controller\":{\"is\":\"controller\",\"plus\":\"c+\",\"minus\":\"c-\",\"outputs\":{"
        "\"left\":[\"l+\",\"l-\"]},\"current\":\"0 A\",\"channel_resistance\":\"12 mohm\"},"
        "\"jack\":{\"is\":\"jack\",\"plus\":\"l+\",\"minus\":\"l-\",\"rated_current\":\"28 A\"}},"
        "\"cases\":{\"lift\":{\"lift\":{\"jack\":\"20 A\"}},\"lower\":{\"lower\":{\"jack\":\"20 "
        "A\"}}}}";
    jv_circuit *c = read_circuit(text);
    jv_drop *d = run(c, NULL, true);
    for (int k = 0; k < 2; k++) {
        /* 20 A: 12.6 - 20 x (10 + 20 + 12 + 15 + 5) mohm = 11.36 V. */
        const jv_drop_case *s = &d->cases[k];
        shares_add_up(c, s);
        double sense = k ? -1.0 : 1.0;
        assert_close(part(c, s, "jack")->current_a, sense * 20.0, 1e-9, 0);
        assert_close(terminal(c, s, "l+") - terminal(c, s, "l-"), sense * 11.36, 1e-9, 0);
        assert_close(s->load_v, 11.36, 1e-9, 0);
        assert_close(part(c, s, "controller")->share, 0.24 / 1.24, 1e-9, 0);
        assert_close(part(c, s, "feed")->current_a, 20.0, 1e-9, 0);
    }
    jv_drop_free(&d);
    jv_circuit_free(&c);
}

/* --- frame beside the return cable --- */

static void frame_takes_its_part_of_the_return(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\":\"frame\",\"parts\":{" PLAIN_PARTS
        ",\"frame\":{\"is\":\"frame\",\"points\":{\"c-\":\"2 mohm\",\"stud\":\"2 mohm\"},"
        "\"resistance\":\"1 mohm\"},"
        "\"jack\":{\"is\":\"jack\",\"plus\":\"c+\",\"minus\":\"c-\",\"rated_current\":\"28 A\"}},"
        "\"cases\":{\"lifting\":{\"lift\":{\"jack\":\"30 A\"}}}}";
    /* 15 mohm of cable beside 5 of frame: 22.5 A by the frame, 7.5 A by the cable, 0.1125 V. */
    jv_circuit *c = read_circuit(text);
    jv_drop *d = run(c, NULL, true);
    const jv_drop_case *k = &d->cases[0];
    shares_add_up(c, k);
    assert_close(part(c, k, "return")->current_a, 7.5, 1e-9, 0);
    assert_close(part(c, k, "return")->drop_v, 0.1125, 1e-9, 0);
    assert_close(terminal(c, k, "c-") - terminal(c, k, "stud"), 0.1125, 1e-9, 0);
    assert_int_equal(part(c, k, "frame")->side, JV_SIDE_RETURN); /* the larger current */
    assert_true(isnan(part(c, k, "return")->share));
    assert_close(k->lost_v, 30.0 * 0.035 + 0.1125, 1e-9, 0);
    jv_drop_free(&d);
    jv_circuit_free(&c);
}

/* --- banks --- */

#define JACK_ON(plus, minus)                                             \
    "\"jack\":{\"is\":\"jack\",\"plus\":\"" plus "\",\"minus\":\"" minus \
    "\",\"rated_current\":\"28 A\"}},\"cases\":{\"lifting\":{\"lift\":{\"jack\":\"30 A\"}}}}"

static void two_batteries_in_series_are_both_on_the_way(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\":\"series\",\"parts\":{"
        "\"lower\":{\"is\":\"battery\",\"plus\":\"m\",\"minus\":\"b-\",\"open_circuit\":\"6.3 V\","
        "\"resistance\":\"4 mohm\"},"
        "\"link\":{\"is\":\"cable\",\"a\":\"m\",\"b\":\"n\",\"resistance\":\"1 mohm\"},"
        "\"upper\":{\"is\":\"battery\",\"plus\":\"b+\",\"minus\":\"n\",\"open_circuit\":\"6.3 V\","
        "\"resistance\":\"5 mohm\"},"
        "\"feed\":{\"is\":\"cable\",\"a\":\"b+\",\"b\":\"c+\",\"resistance\":\"20 mohm\"}," JACK_ON(
            "c+", "b-");
    jv_circuit *c = read_circuit(text);
    jv_drop *d = run(c, NULL, true);
    const jv_drop_case *k = &d->cases[0];
    shares_add_up(c, k);
    assert_close(k->source_v, 12.6, 1e-12, 0);
    assert_close(k->lost_v, 30.0 * 0.030, 1e-9, 0);
    assert_int_equal(part(c, k, "lower")->side, JV_SIDE_SOURCE);
    assert_int_equal(part(c, k, "upper")->side, JV_SIDE_SOURCE);
    assert_int_equal(part(c, k, "link")->side, JV_SIDE_BETWEEN);
    assert_int_equal(part(c, k, "feed")->side, JV_SIDE_PLUS);
    jv_drop_free(&d);
    jv_circuit_free(&c);
}

static void a_bad_battery_in_a_bank_shows(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\":\"bank\",\"parts\":{"
        "\"good\":{\"is\":\"battery\",\"plus\":\"b+\",\"minus\":\"b-\",\"open_circuit\":\"12.6 V\","
        "\"resistance\":\"6 mohm\"},"
        "\"bad\":{\"is\":\"battery\",\"plus\":\"b+\",\"minus\":\"b-\",\"open_circuit\":\"12.0 V\","
        "\"resistance\":\"40 mohm\"},"
        "\"feed\":{\"is\":\"cable\",\"a\":\"b+\",\"b\":\"c+\",\"resistance\":\"20 mohm\"}," JACK_ON(
            "c+", "b-");
    /* (12.6 - V)/0.006 + (12.0 - V)/0.040 = 30: V = 2370/191.6667 = 12.365217 V; the good one
     * gives 39.1304 A, 9.1304 A of them into the bad one. */
    jv_circuit *c = read_circuit(text);
    jv_drop *d = run(c, NULL, true);
    const jv_drop_case *k = &d->cases[0];
    double v = (12.6 / 0.006 + 12.0 / 0.040 - 30.0) / (1.0 / 0.006 + 1.0 / 0.040);
    shares_add_up(c, k);
    assert_close(part(c, k, "good")->delivers_a, (12.6 - v) / 0.006, 1e-9, 0);
    assert_close(part(c, k, "bad")->delivers_a, (12.0 - v) / 0.040, 1e-9, 0);
    assert_true(part(c, k, "bad")->delivers_a < -9.0);
    assert_int_equal(part(c, k, "good")->side, JV_SIDE_SOURCE);
    assert_int_equal(part(c, k, "bad")->side, JV_SIDE_NONE);
    assert_true(isnan(part(c, k, "bad")->share));
    jv_drop_free(&d);
    jv_circuit_free(&c);
}

static void a_tow_vehicle_feeds_through_its_charge_line(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\":\"tow\",\"parts\":{"
        "\"battery\":{\"is\":\"battery\",\"plus\":\"b+\",\"minus\":\"b-\",\"open_circuit\":\"10.8 "
        "V\",\"resistance\":\"30 mohm\"},"
        "\"tow vehicle\":{\"is\":\"supply\",\"plus\":\"t+\",\"minus\":\"t-\",\"set_voltage\":\"14 "
        "V\",\"resistance\":\"5 mohm\"},"
        "\"charge line\":{\"is\":\"cable\",\"a\":\"t+\",\"b\":\"b+\",\"resistance\":\"80 mohm\"},"
        "\"ground pin\":{\"is\":\"contact\",\"a\":\"b-\",\"b\":\"t-\",\"resistance\":\"15 mohm\"},"
        "\"feed\":{\"is\":\"cable\",\"a\":\"b+\",\"b\":\"c+\",\"resistance\":\"20 mohm\"}," JACK_ON(
            "c+", "b-");
    /* (14 - V)/0.1 + (10.8 - V)/0.03 = 30: V = (140 + 360 - 30)/(10 + 33.3333) = 10.846154 V:
     * 31.53846 A by the line, 1.53846 A into the battery. */
    jv_circuit *c = read_circuit(text);
    jv_drop *d = run(c, NULL, true);
    const jv_drop_case *k = &d->cases[0];
    double v = 470.0 / (10.0 + 1.0 / 0.03);
    shares_add_up(c, k);
    assert_close(part(c, k, "tow vehicle")->delivers_a, (14.0 - v) / 0.1, 1e-9, 0);
    assert_close(part(c, k, "battery")->delivers_a, (10.8 - v) / 0.03, 1e-8, 0);
    assert_int_equal(part(c, k, "charge line")->side, JV_SIDE_PLUS);
    assert_int_equal(part(c, k, "ground pin")->side, JV_SIDE_RETURN);
    assert_close(k->source_v, 14.0, 1e-12, 0);
    assert_close(k->lost_v, 14.0 - v + 30.0 * 0.02, 1e-9, 0);
    jv_drop_free(&d);
    jv_circuit_free(&c);
}

static void a_circuit_without_current_has_no_way(void **state) {
    (void)state;
    jv_circuit *c = read_circuit(plain);
    jv_faults *f = faults_of(c, "feed: open");
    jv_drop *d = run(c, f, false);
    const jv_drop_case *k = &d->cases[0];
    assert_true(k->converged);
    assert_int_equal(k->n_steps, 0);
    assert_int_equal(k->watches[0].verdict, JV_TRIPS);
    assert_close(k->watches[0].seen_v, 0.0, 0, 1e-9);
    assert_true(isnan(part(c, k, "stud")->share));
    jv_faults_free(&f);
    jv_drop_free(&d);
    jv_circuit_free(&c);
}

/* --- short memory --- */

/* The sparse solver takes its memory through its own configuration: the n-th and all later
 * of its allocations fail too. */
static size_t klu_calls, klu_fail_from;
static long klu_blocks;

static void *klu_give(void *block, size_t bytes) {
    klu_calls++;
    if (klu_fail_from && klu_calls >= klu_fail_from)
        return NULL;
    void *got = realloc(block, bytes);
    klu_blocks += !block && got;
    return got;
}

static void *klu_malloc(size_t bytes) {
    return klu_give(NULL, bytes);
}

static void *klu_calloc(size_t n, size_t bytes) {
    void *got = klu_give(NULL, n * bytes);
    if (got)
        memset(got, 0, n * bytes);
    return got;
}

static void *klu_realloc(void *block, size_t bytes) {
    return klu_give(block, bytes);
}

static void klu_free(void *block) {
    klu_blocks -= block != NULL;
    free(block);
}

static void klu_start(size_t fail_from) {
    SuiteSparse_config.malloc_func = klu_malloc;
    SuiteSparse_config.calloc_func = klu_calloc;
    SuiteSparse_config.realloc_func = klu_realloc;
    SuiteSparse_config.free_func = klu_free;
    klu_fail_from = fail_from;
    klu_calls = 0;
    klu_blocks = 0;
}

static void klu_stop(void) {
    SuiteSparse_config.malloc_func = malloc;
    SuiteSparse_config.calloc_func = calloc;
    SuiteSparse_config.realloc_func = realloc;
    SuiteSparse_config.free_func = free;
}

/* Runs the study with allocation n of either kind failing; JV_OK ends the row. */
static jv_status starve(const jv_circuit *c, size_t own, size_t klu) {
    const jv_drop_options options = {0};
    jv_drop *d = NULL;
    failing_start(own);
    klu_start(klu);
    jv_status status = jv_drop_run(c, &options, &d);
    if (status == JV_OK)
        jv_drop_free(&d);
    else
        assert_null(d);
    assert_int_equal(failing_blocks(), 0);
    assert_int_equal(klu_blocks, 0);
    klu_stop();
    failing_stop();
    return status;
}

static void every_failed_allocation_is_a_clean_error(void **state) {
    (void)state;
    jv_circuit *c = read_circuit(plain);
    assert_int_equal(starve(c, 0, 0), JV_OK);
    size_t own = 1, klu = 1;
    for (; own < 10000; own++) {
        jv_status status = starve(c, own, 0);
        if (status == JV_OK)
            break;
        assert_int_equal(status, JV_ERR_MEMORY);
    }
    for (; klu < 100000; klu++) {
        jv_status status = starve(c, 0, klu);
        if (status == JV_OK)
            break;
        assert_int_equal(status, JV_ERR_MEMORY);
    }
    assert_true(own > 20 && own < 10000);
    assert_true(klu > 10 && klu < 100000);
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sides_and_shares_of_one_feed),
        cmocka_unit_test(levers_bring_the_watch_to_its_limit),
        cmocka_unit_test(lever_of_cables_abreast_is_in_line_with_all),
        cmocka_unit_test(a_battery_put_in_backwards_is_told_once),
        cmocka_unit_test(lever_of_a_tripped_watch_is_what_to_take_away),
        cmocka_unit_test(lever_of_charge_is_at_the_limit_too),
        cmocka_unit_test(lowering_turns_the_current_in_the_jack),
        cmocka_unit_test(frame_takes_its_part_of_the_return),
        cmocka_unit_test(two_batteries_in_series_are_both_on_the_way),
        cmocka_unit_test(a_bad_battery_in_a_bank_shows),
        cmocka_unit_test(a_tow_vehicle_feeds_through_its_charge_line),
        cmocka_unit_test(a_circuit_without_current_has_no_way),
        cmocka_unit_test(every_failed_allocation_is_a_clean_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
