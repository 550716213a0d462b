/* test_find_care.c - what must hold of every step that the finder offers. SPDX-License-Identifier:
 * MIT */
#include "jackvolt/read.h"
#include "study/find/finder.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

static const char *const files[] = {
    "circuits/corroded-stud.json", "circuits/frame-return.json",    "circuits/lithium-pack.json",
    "circuits/long-trailer.json",  "circuits/motor-home-pump.json", "circuits/sensor-harness.json",
    "circuits/shore-power.json",   "circuits/small-trailer.json",   "circuits/thin-feed.json",
    "circuits/tow-vehicle.json",   "circuits/work-truck.json",
};
enum { FILES = sizeof files / sizeof files[0] };

static jv_circuit *read_circuit(const char *file) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    if (jv_circuit_read_file(file, NULL, &d, &c) != JV_OK)
        fail_msg("%s cannot be read", file);
    jv_diags_clear(&d);
    return c;
}

static jv_finder *make(const jv_circuit *c, const jv_find_options *options) {
    jv_finder *f = NULL;
    assert_int_equal(jv_finder_new(c, options, &f), JV_OK);
    return f;
}

static void wants(const char *file, const jv_check *v, bool when, uint32_t care, const char *what) {
    if (when && (v->care & care) != care)
        fail_msg("%s: %s: lacks the cautions of %s", file, v->text, what);
}

static void every_check_has_its_cautions(void **state) {
    (void)state;
    for (size_t k = 0; k < FILES; k++) {
        jv_circuit *c = read_circuit(files[k]);
        jv_finder *f = make(c, NULL);
        assert_true(jv_finder_checks(f) > 10);
        for (size_t i = 0; i < jv_finder_checks(f); i++) {
            const jv_check *v = jv_finder_check(f, i);
            bool battery = v->place == JV_PLACE_BATTERY || v->far_place == JV_PLACE_BATTERY;
            bool under = v->place == JV_PLACE_JACK || v->far_place == JV_PLACE_JACK;
            assert_true(v->minutes > 0.0 && isfinite(v->minutes));
            wants(files[k], v, true, JV_CARE_METER, "every reading");
            wants(files[k], v, under, JV_CARE_SUPPORT | JV_CARE_CHOCKS | JV_CARE_UNCOMMANDED,
                  "work at a jack");
            wants(files[k], v, v->setup == JV_SETUP_RUN,
                  JV_CARE_CLIP_ON | JV_CARE_CHOCKS | JV_CARE_SUPPORT | JV_CARE_DUTY, "a run");
            wants(files[k], v, battery, JV_CARE_GAS | JV_CARE_RINGS, "work at a battery");
            wants(files[k], v, v->setup == JV_SETUP_ISOLATED,
                  JV_CARE_SOURCES | JV_CARE_CAPACITORS | JV_CARE_MINUS_FIRST | JV_CARE_BEFORE_OFF,
                  "isolation");
            wants(files[k], v, v->n_off > 0, JV_CARE_UNPLUG, "unplugging");
        }
        jv_finder_free(&f);
        jv_circuit_free(&c);
    }
}

/* Ohms only where every source is off: in the model that predicts them too. */
static void ohms_only_when_dead(void **state) {
    (void)state;
    size_t ohms = 0;
    for (size_t k = 0; k < FILES; k++) {
        jv_circuit *c = read_circuit(files[k]);
        jv_finder *f = make(c, NULL);
        for (size_t i = 0; i < f->n_checks; i++) {
            const jv_check *v = &f->checks[i].view;
            assert_int_equal(v->kind == JV_CHECK_OHMS, v->setup == JV_SETUP_ISOLATED);
            if (v->kind != JV_CHECK_OHMS)
                continue;
            const jv_find_setup *s = &f->setups[f->checks[i].setup];
            ohms++;
            for (size_t e = 0; e < s->net->n_elements; e++)
                if (c->parts[s->net->elements[e].part].kind->is_source)
                    assert_true(s->net->elements[e].open);
        }
        /* And a person cannot ask for it either. */
        jv_check live;
        memset(&live, 0, sizeof live);
        live.kind = JV_CHECK_OHMS;
        live.setup = JV_SETUP_REST;
        live.loading = live.part = JV_FIND_NONE;
        live.minus = 1;
        size_t check;
        bool turned;
        assert_int_equal(jv_finder_find_check(f, &live, &check, &turned), JV_ERR_RANGE);
        jv_finder_free(&f);
        jv_circuit_free(&c);
    }
    assert_true(ohms > 20);
}

/* Nothing is asked for ohms before something was read live; then ohms may come. */
static void live_before_dead(void **state) {
    (void)state;
    jv_circuit *c = read_circuit("circuits/sensor-harness.json");
    jv_finder *f = make(c, NULL);
    jv_next next;
    /* Without a live reading that could be taken there is no step at all. */
    for (size_t i = 0; i < f->n_checks; i++)
        if (f->checks[i].view.setup != JV_SETUP_ISOLATED)
            assert_int_equal(jv_finder_skip(f, i), JV_OK);
    jv_symptom y = {JV_SYMPTOM_SENSOR, (size_t)jv_circuit_find_part(c, "rear left sensor"),
                    JV_FIND_NONE, false};
    assert_int_equal(jv_finder_add_symptom(f, &y), JV_OK);
    assert_int_equal(jv_finder_next(f, &next), JV_OK);
    assert_int_equal(next.kind, JV_NEXT_OPEN);
    /* After one, the ohms are offered. */
    for (size_t i = 0; i < f->n_checks; i++)
        if (strcmp(f->checks[i].view.text, "volts from \"sensor+\" to \"ctl-\", at rest") == 0)
            assert_int_equal(jv_finder_add_reading(f, i, 0.03, false), JV_OK);
    assert_int_equal(jv_finder_next(f, &next), JV_OK);
    assert_int_equal(next.kind, JV_NEXT_CHECK);
    assert_int_equal(f->checks[next.check].view.kind, JV_CHECK_OHMS);
    assert_true(next.minutes > f->checks[next.check].view.minutes); /* isolating is paid for */
    jv_finder_free(&f);
    jv_circuit_free(&c);
}

static void owners_stay_out_from_under(void **state) {
    (void)state;
    const jv_find_options options = {.owner = true};
    jv_circuit *c = read_circuit("circuits/long-trailer.json");
    jv_finder *f = make(c, &options);
    size_t offered = 0;
    for (size_t i = 0; i < f->n_checks; i++) {
        const jv_check *v = &f->checks[i].view;
        bool under = v->place == JV_PLACE_JACK || v->far_place == JV_PLACE_JACK;
        assert_true(!under || f->checks[i].skipped);
        offered += !f->checks[i].skipped;
    }
    assert_true(offered > 10);
    jv_finder_free(&f);
    jv_circuit_free(&c);
}

/* --- the bookkeeping of evidence --- */

static size_t check_of(const jv_finder *f, const char *text) {
    for (size_t i = 0; i < f->n_checks; i++)
        if (strcmp(f->checks[i].view.text, text) == 0)
            return i;
    fail_msg("there is no check \"%s\"", text);
    return 0;
}

static void odds_sum_to_one_and_come_back(void **state) {
    (void)state;
    jv_circuit *c = read_circuit("circuits/small-trailer.json");
    jv_finder *f = make(c, NULL), *g = make(c, NULL);
    size_t rest = 0, n, m;
    while (f->checks[rest].view.kind != JV_CHECK_VOLTS)
        rest++;
    const jv_odds *o = jv_finder_odds(f, &n);
    double first[4], sum = 0.0;
    for (size_t k = 0; k < n; k++)
        sum += o[k].probability;
    assert_close(sum, 1.0, 1e-12, 0);
    for (size_t k = 0; k < 4; k++)
        first[k] = o[k].probability;
    assert_int_equal(jv_finder_add_reading(f, rest, 11.2, false), JV_OK);
    assert_int_equal(jv_finder_add_reading(g, rest, 11.2, false), JV_OK);
    const jv_odds *p = jv_finder_odds(g, &m);
    o = jv_finder_odds(f, &n);
    assert_int_equal(n, m);
    for (size_t k = 0; k < n; k++) { /* the same calls, the same answers, to the last bit */
        assert_int_equal(o[k].suspect, p[k].suspect);
        assert_memory_equal(&o[k].probability, &p[k].probability, sizeof(double));
    }
    assert_true(fabs(o[0].probability - first[0]) > 1e-3);
    assert_int_equal(jv_finder_undo(f), JV_OK);
    o = jv_finder_odds(f, &n);
    for (size_t k = 0; k < 4; k++)
        assert_close(o[k].probability, first[k], 1e-12, 0);
    assert_int_equal(jv_finder_undo(f), JV_ERR_RANGE);
    jv_finder_free(&f);
    jv_finder_free(&g);
    jv_circuit_free(&c);
}

/* A rested 14.9 V: no fault of the list reads that. It is read again first, then said. */
static void contradictions_are_said(void **state) {
    (void)state;
    jv_circuit *c = read_circuit("circuits/long-trailer.json");
    jv_finder *f = make(c, NULL);
    size_t rest = check_of(f, "volts from \"post+\" to \"post-\" (battery), at rest");
    jv_next next;
    jv_closure now;
    assert_int_equal(jv_finder_add_reading(f, rest, 14.9, false), JV_OK);
    assert_int_equal(jv_finder_next(f, &next), JV_OK);
    assert_int_equal(next.kind, JV_NEXT_CHECK);
    assert_int_equal(next.check, rest);
    assert_int_equal(jv_finder_add_reading(f, rest, 14.91, false), JV_OK);
    assert_int_equal(jv_finder_closure(f, &now), JV_OK);
    assert_int_equal(now.state, JV_FIND_UNEXPLAINED);
    assert_int_equal(now.odd_check, rest);
    assert_true(now.odd_reads.high < 14.0);
    assert_int_equal(jv_finder_next(f, &next), JV_OK);
    assert_int_equal(next.kind, JV_NEXT_OPEN);
    jv_finder_free(&f);
    jv_circuit_free(&c);
}

static void a_slip_that_is_read_again_is_forgotten(void **state) {
    (void)state;
    jv_circuit *c = read_circuit("circuits/long-trailer.json");
    jv_finder *f = make(c, NULL), *g = make(c, NULL);
    size_t rest = check_of(f, "volts from \"post+\" to \"post-\" (battery), at rest"), n;
    assert_int_equal(jv_finder_add_reading(f, rest, 16.9, false), JV_OK);
    assert_int_equal(jv_finder_add_reading(f, rest, 12.45, false), JV_OK);
    assert_int_equal(jv_finder_add_reading(g, rest, 12.45, false), JV_OK);
    assert_close(jv_finder_odds(f, &n)[0].probability, jv_finder_odds(g, &n)[0].probability, 1e-12,
                 0);
    jv_finder_free(&f);
    jv_finder_free(&g);
    jv_circuit_free(&c);
}

static void explained_bits_add_up(void **state) {
    (void)state;
    jv_circuit *c = read_circuit("circuits/long-trailer.json");
    jv_finder *f = make(c, NULL);
    size_t stud = 0, n;
    jv_symptom y = {JV_SYMPTOM_TRIPS, 0, jv_circuit_find_case(c, "rear pair lifting"), false};
    assert_int_equal(jv_finder_add_symptom(f, &y), JV_OK);
    assert_int_equal(
        jv_finder_add_reading(f,
                              check_of(f, "volts from \"ground bar\" to \"strap.end\" (ground "
                                          "stud), case \"rear pair lifting\" running"),
                              2.9, false),
        JV_OK);
    while (strcmp(f->suspects[stud].view.words, "ground stud: added resistance") != 0)
        stud++;
    double prior = f->suspects[stud].view.prior;
    double after = f->part_odds[c->n_parts + stud];
    const jv_reason *r;
    assert_int_equal(jv_finder_explain(f, stud, &r, &n), JV_OK);
    assert_int_equal(n, 2);
    assert_close(r[0].for_it + r[1].for_it,
                 log2(after / (1.0 - after)) - log2(prior / (1.0 - prior)), 1e-6, 0);
    assert_true(after > 0.7 && r[1].for_it > 1.0);
    assert_close(r[1].odds_after, after, 1e-12, 0);
    jv_finder_free(&f);
    jv_circuit_free(&c);
}

static void impossible_values_are_refused(void **state) {
    (void)state;
    jv_circuit *c = read_circuit("circuits/small-trailer.json");
    jv_finder *f = make(c, NULL);
    size_t volts = 0, look = 0;
    while (f->checks[volts].view.kind != JV_CHECK_VOLTS)
        volts++;
    while (f->checks[look].view.kind != JV_CHECK_LOOK)
        look++;
    assert_int_equal(jv_finder_add_reading(f, volts, 1243.0, false), JV_ERR_RANGE);
    assert_int_equal(jv_finder_add_reading(f, volts, NAN, false), JV_ERR_RANGE);
    assert_int_equal(jv_finder_add_reading(f, volts, 12.0, true), JV_ERR_RANGE);
    assert_int_equal(jv_finder_add_reading(f, look, 0.4, false), JV_ERR_RANGE);
    assert_int_equal(jv_finder_add_reading(f, f->n_checks, 1.0, false), JV_ERR_RANGE);
    jv_symptom y = {JV_SYMPTOM_SLOW, c->n_parts, JV_FIND_NONE, false};
    assert_int_equal(jv_finder_add_symptom(f, &y), JV_ERR_RANGE);
    assert_int_equal(f->n_entries, 0);
    const jv_find_options options = {.only_case = "no such case"};
    jv_finder *g = NULL;
    assert_int_equal(jv_finder_new(c, &options, &g), JV_ERR_UNKNOWN);
    assert_null(g);
    jv_finder_free(&f);
    jv_circuit_free(&c);
}

/* A complaint, three steps answered as the sound circuit would, why, order, fit, repair, proof;
 * false when memory was short on the way. */
static bool short_find(const jv_circuit *c) {
    jv_finder *f = NULL;
    jv_next next;
    jv_closure now;
    jv_symptom y = {JV_SYMPTOM_TRIPS, 0, JV_FIND_NONE, false};
    for (size_t k = 0; k < jv_circuit_cases(c); k++)
        if (c->cases[k].n_runs)
            y.loading = k;
    bool ok = jv_finder_new(c, NULL, &f) == JV_OK && jv_finder_add_symptom(f, &y) == JV_OK;
    for (int k = 0; ok && k < 3; k++) {
        ok = jv_finder_next(f, &next) == JV_OK;
        if (!ok || next.check == JV_FIND_NONE)
            break;
        jv_expected e = jv_finder_expect(f, next.check, JV_FIND_NONE);
        ok = jv_finder_add_reading(f, next.check, isnan(e.value) ? 0.0 : e.value, false) == JV_OK;
    }
    if (ok) {
        size_t n, order[4], n_order = 4, n_fit = 8;
        jv_fitted fit[8];
        const jv_reason *reasons;
        ok = jv_finder_explain(f, 0, &reasons, &n) == JV_OK &&
             jv_finder_repair_order(f, order, &n_order) == JV_OK &&
             jv_finder_fit(f, fit, &n_fit) == JV_OK && jv_finder_closure(f, &now) == JV_OK &&
             jv_finder_repaired(f, 0) == JV_OK && jv_finder_next(f, &next) == JV_OK &&
             jv_finder_undo(f) == JV_OK && jv_finder_undo(f) == JV_OK;
    }
    jv_finder_free(&f);
    return ok;
}

/* Every allocation in turn is the first that fails (each with JV_LONG, else a spread of them): the
 * finder says so, or had gone past all that it cannot do without; nothing is kept. */
static void memory_that_is_short_is_a_clean_error(void **state) {
    (void)state;
    jv_circuit *c = read_circuit("circuits/four-jacks.json");
    failing_start(0);
    assert_true(short_find(c));
    size_t calls = failing_calls();
    assert_int_equal(failing_blocks(), 0);
    size_t spacing = getenv("JV_LONG") ? 1 : 1 + calls / 200;
    for (size_t n = 1; n <= calls; n += spacing) {
        failing_start(n);
        bool whole = short_find(c);
        if (whole || failing_blocks() != 0)
            fail_msg("allocation %zu of %zu: %s, %ld blocks kept", n, calls,
                     whole ? "not noticed" : "noticed", failing_blocks());
    }
    failing_stop();
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_check_has_its_cautions),
        cmocka_unit_test(ohms_only_when_dead),
        cmocka_unit_test(live_before_dead),
        cmocka_unit_test(owners_stay_out_from_under),
        cmocka_unit_test(odds_sum_to_one_and_come_back),
        cmocka_unit_test(contradictions_are_said),
        cmocka_unit_test(a_slip_that_is_read_again_is_forgotten),
        cmocka_unit_test(explained_bits_add_up),
        cmocka_unit_test(impossible_values_are_refused),
        cmocka_unit_test(memory_that_is_short_is_a_clean_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
