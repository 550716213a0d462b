/* test_scatter.c - worst case and odds of whole circuits. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "base/lane.h"
#include "jackvolt/read.h"
#include "jackvolt/render.h"
#include "jackvolt/scatter.h"
#include "study/worst.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"

static jv_circuit *read_text(const char *text) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_status status = jv_circuit_read_text(text, strlen(text), "test", NULL, &d, &c);
    if (status != JV_OK) {
        jv_text t = {0};
        jv_diags_print(&d, &t);
        print_error("%s\n", jv_text_str(&t));
        jv_text_clear(&t);
    }
    jv_diags_clear(&d);
    assert_int_equal(status, JV_OK);
    return c;
}

static jv_circuit *read_example(const char *path) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    assert_int_equal(jv_circuit_read_file(path, NULL, &d, &c), JV_OK);
    jv_diags_clear(&d);
    return c;
}

/* Two jacks on one feed, a load beside them, a return of cable and frame in parallel; every
 * kind of spread. `%s`: the loads of the case. */
static const char pattern[] =
    "{\"circuit\": \"a trailer of the test\", \"parts\": {"
    "\"bat\": {\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\","
    "  \"open_circuit\": \"12.2 V .. 12.8 V\", \"resistance\": \"6 mohm .. 14 mohm\"},"
    "\"clamp\": {\"is\": \"contact\", \"a\": \"p\", \"b\": \"c\", \"resistance\": \"1 mohm */ 2\"},"
    "\"feed\": {\"is\": \"cable\", \"a\": \"c\", \"b\": \"x\", \"size\": \"6 AWG\","
    "  \"length\": \"20 ft +/- 5 %%\"},"
    "\"left cable\": {\"is\": \"cable\", \"a\": \"x\", \"b\": \"l\", \"size\": \"10 AWG\","
    "  \"length\": \"8 ft .. 12 ft\"},"
    "\"left\": {\"is\": \"jack\", \"plus\": \"l\", \"minus\": \"y\", \"rated_force\": \"2000 lbf\","
    "  \"rated_current\": \"28 A\", \"no_load_current\": \"6 A\","
    "  \"stall_current\": \"90 A\"},"
    "\"right\": {\"is\": \"jack\", \"plus\": \"x\", \"minus\": \"y\","
    "  \"rated_force\": \"2000 lbf\", \"rated_current\": \"28 A\", \"no_load_current\": \"6 A\","
    "  \"stall_current\": \"80 A .. 120 A\"},"
    "\"lights\": {\"is\": \"load\", \"plus\": \"c\", \"minus\": \"y\","
    "  \"power\": \"40 W +/- 10 W\"},"
    "\"return\": {\"is\": \"cable\", \"a\": \"y\", \"b\": \"s\", \"size\": \"8 AWG\","
    "  \"length\": \"20 ft .. 24 ft\"},"
    "\"frame\": {\"is\": \"frame\", \"points\": {\"y\": \"1 mohm .. 20 mohm\","
    "  \"s\": \"2 mohm */ 3\"}, \"resistance\": \"2 mohm .. 4 mohm\"},"
    "\"stud\": {\"is\": \"contact\", \"a\": \"s\", \"b\": \"m\","
    "  \"resistance\": \"0.3 mohm .. 3 mohm\"}},"
    "\"watches\": {\"stop\": {\"at\": [\"x\", \"y\"], \"below\": \"10.4 V .. 10.6 V\"}},"
    "\"cases\": {\"lifting\": {%s}}}";

static jv_circuit *read_pattern(const char *loads) {
    jv_text t = {0};
    jv_text_addf(&t, pattern, loads);
    jv_circuit *c = read_text(jv_text_str(&t));
    jv_text_clear(&t);
    return c;
}

static const char lifts[] = "\"lift\": {\"left\": \"1000 lbf .. 1400 lbf\", \"right\": \"24 A\"}";
static const char heats[] =
    "\"lift\": {\"left\": \"60 % .. 80 %\", \"right\": \"20 A .. 24 A\"}, \"ambient\": "
    "\"0 degC .. 40 degC\"";
static const char heats_in_time[] = "\"lift\": {\"left\": \"24 A\", \"right\": \"20 A .. 24 A\"}, "
                                    "\"ambient\": \"0 degC .. 40 degC\", \"for\": \"60 s\"";
static const char stalls[] = "\"lift\": {\"left\": \"1000 lbf\", \"right\": \"stalled\"}";

typedef struct study {
    jv_circuit *circuit;
    jv_spreads spreads;
    jv_trial trial;
    double *values, *slopes;
} study;

static void begin(study *out, const char *loads) {
    out->circuit = read_pattern(loads);
    assert_int_equal(jv_spreads_find(out->circuit, &out->circuit->cases[0], &out->spreads), JV_OK);
    assert_int_equal(jv_trial_make(&out->spreads, NULL, 0, NULL, &out->trial), JV_OK);
    out->values = calloc(out->spreads.n, sizeof *out->values);
    out->slopes = calloc(out->spreads.n, sizeof *out->slopes);
    for (size_t q = 0; q < out->spreads.n; q++)
        out->values[q] = out->spreads.list[q].shown.value.nominal;
}

static void end(study *s) {
    free(s->values);
    free(s->slopes);
    jv_trial_clear(&s->trial);
    jv_spreads_clear(&s->spreads);
    jv_circuit_free(&s->circuit);
}

static double margin_at(study *s) {
    jv_point point;
    jv_status status;
    for (size_t q = 0; q < s->spreads.n; q++)
        jv_trial_put(&s->trial, q, s->values[q]);
    assert_true(jv_trial_solve(&s->trial, &point, &status));
    return jv_trial_seen(&s->trial, 0, point.v) - s->trial.limit[0];
}

/* Central difference of whole solutions, the error of the fourth order by two steps
 * (Richardson). */
static double difference(study *s, size_t q, double h) {
    double at = s->values[q], d[2];
    for (int k = 0; k < 2; k++) {
        double step = k ? h / 2.0 : h;
        s->values[q] = at + step;
        d[k] = margin_at(s);
        s->values[q] = at - step;
        d[k] = (d[k] - margin_at(s)) / (2.0 * step);
    }
    s->values[q] = at;
    return (4.0 * d[1] - d[0]) / 3.0;
}

static void check_slopes(const char *loads, double share) {
    study s;
    begin(&s, loads);
    size_t n = s.spreads.n;
    double *slopes = s.slopes;
    margin_at(&s);
    assert_int_equal(jv_worst_slopes(&s.trial, 0, s.values, slopes), JV_OK);
    for (size_t q = 0; q < n; q++) {
        const jv_value *v = &s.spreads.list[q].shown.value;
        double range = v->high - v->low, want = difference(&s, q, 0.02 * range);
        /* what a whole range does below 1e-8 V is rounding */
        assert_close(slopes[q] * range, want * range, share, 1e-8);
    }
    end(&s);
}

static void sensitivities_are_central_differences(void **state) {
    (void)state;
    check_slopes(lifts, 1e-6);
    check_slopes(stalls, 1e-6);
    check_slopes(heats, 1e-6);
}

/* Temperatures in time are known to some 1e-4 K of 40 K (heat.h), so the whole solutions do not
 * tell more than 1e-5. */
static void sensitivities_of_heating_are_central_differences(void **state) {
    (void)state;
    check_slopes(heats_in_time, 1e-5);
}

/* All corners, one by one. */
static double least_of_all_corners(study *s) {
    double least = INFINITY;
    size_t n = s->spreads.n;
    assert_in_range(n, 10, 14);
    for (uint32_t corner = 0; corner < UINT32_C(1) << n; corner++) {
        for (size_t q = 0; q < n; q++) {
            const jv_value *v = &s->spreads.list[q].shown.value;
            s->values[q] = corner >> q & 1u ? v->high : v->low;
        }
        least = fmin(least, margin_at(s));
    }
    return least;
}

static void check_worst(const char *loads, size_t spreads) {
    study s;
    begin(&s, loads);
    jv_arena arena = {0};
    jv_scatter_worst worst;
    assert_int_equal(s.spreads.n, spreads);
    assert_int_equal(jv_worst_find(&s.trial, 0, 1, &arena, &worst), JV_OK);
    assert_true(worst.found);
    assert_true(worst.proved);
    assert_close(worst.margin_v, least_of_all_corners(&s), 0.0, 1e-9);
    for (size_t q = 0; q < s.spreads.n; q++) /* and the values that it names are the place */
        s.values[q] = worst.at[q];
    assert_close(margin_at(&s), worst.margin_v, 0.0, 1e-12);
    jv_arena_clear(&arena);
    end(&s);
}

static void worst_corner_is_the_least_of_all(void **state) {
    (void)state;
    check_worst(lifts, 14);
    check_worst(stalls, 13);
}

/* The middle is worst where a resistance divides: a load of r ohms behind R takes the power
 * V^2 r / (R + r)^2, and volts across a bridge R / (R + a) - R / (R + b) have their largest size
 * at R = sqrt(a b), between the ends. 12 V, a = 2 ohm, b = 8 ohm: v(R) = 12 (R / (R + 8) -
 * R / (R + 2)), least at R = 4 ohm: 12 (4 / 12 - 4 / 6) = -4 V; at the ends 1 ohm and 40 ohm
 * 12 (1/9 - 1/3) = -2.667 V and 12 (40/48 - 40/42) = -1.429 V. Both arms share R. */
static void not_proved_where_the_response_turns(void **state) {
    static const char bridge[] =
        "{\"circuit\": \"by hand\", \"parts\": {\"bat\": {\"is\": \"battery\", \"plus\": \"p\", "
        "\"minus\": \"m\","
        "\"open_circuit\": \"12 V\", \"resistance\": \"0 ohm\"},"
        "\"r1\": {\"is\": \"contact\", \"a\": \"u\", \"b\": \"m\", \"with\": \"arms\","
        "\"resistance\": \"1 ohm .. 40 ohm\"},"
        "\"r2\": {\"is\": \"contact\", \"a\": \"w\", \"b\": \"m\", \"with\": \"arms\","
        "\"resistance\": \"1 ohm .. 40 ohm\"},"
        "\"a\": {\"is\": \"contact\", \"a\": \"p\", \"b\": \"u\", \"resistance\": \"8 ohm\"},"
        "\"b\": {\"is\": \"contact\", \"a\": \"p\", \"b\": \"w\", \"resistance\": \"2 ohm\"}},"
        "\"watches\": {\"bridge\": {\"at\": [\"u\", \"w\"], \"below\": \"0.1 V\"}}}";
    (void)state;
    jv_circuit *c = read_text(bridge);
    jv_scatter *s = NULL;
    const jv_scatter_options how = {.draws = 5000, .threads = 1};
    assert_int_equal(jv_scatter_run(c, &how, &s), JV_OK);
    assert_int_equal(s->n_quantities, 1);
    assert_string_equal(s->quantities[0].name, "arms.resistance");
    assert_int_equal(s->quantities[0].parts, 2);
    assert_false(s->watches[0].worst.proved);
    /* the best of the points tried comes near, and never below */
    assert_close(s->watches[0].worst.seen_v, -4.0, 0.0, 0.01);
    assert_true(s->watches[0].worst.seen_v >= -4.0 - 1e-9);
    jv_scatter_free(&s);
    jv_circuit_free(&c);
}

static const char one_ohm[] =
    "{\"circuit\": \"by hand\", \"parts\": {\"bat\": {\"is\": \"battery\", \"plus\": \"p\", "
    "\"minus\": \"m\","
    "\"open_circuit\": \"12 V\", \"resistance\": \"0 ohm\"},"
    "\"r\": {\"is\": \"contact\", \"a\": \"p\", \"b\": \"u\","
    "\"resistance\": \"20 mohm .. 60 mohm\"},"
    "\"l\": {\"is\": \"load\", \"plus\": \"u\", \"minus\": \"m\", \"current\": \"50 A\"}},"
    "\"watches\": {\"w\": {\"at\": [\"u\", \"m\"], \"below\": \"10 V\"}}}";

/* One resistance, by hand: 12 V behind 20 .. 60 mohm (log-uniform) with 50 A drawn: volts below
 * 10 V when R > 40 mohm: odds 1 - ln(40/20) / ln(60/20) = 0.36907; median of R sqrt(20 * 60) =
 * 34.641 mohm: 10.268 V; worst 12 - 50 * 0.06 = 9 V. */
static void one_resistance_by_hand(void **state) {
    (void)state;
    enum { DRAWS = 50000 };
    jv_circuit *c = read_text(one_ohm);
    jv_scatter *s = NULL;
    const jv_scatter_options how = {.draws = DRAWS, .threads = 1, .seed = 4};
    assert_int_equal(jv_scatter_run(c, &how, &s), JV_OK);
    const jv_scatter_watch *w = &s->watches[0];
    double odds = 1.0 - log(2.0) / log(3.0);
    assert_close(w->trip_probability, odds, 0.0, 4.0 * sqrt(odds * (1.0 - odds) / DRAWS));
    assert_true(w->low95 < w->trip_probability && w->trip_probability < w->high95);
    assert_close(w->p50_v, 12.0 - 50.0 * sqrt(0.02 * 0.06), 0.0, 0.02);
    assert_close(w->worst.seen_v, 9.0, 1e-9, 0.0);
    assert_close(w->worst.margin_v, -1.0, 1e-8, 0.0);
    assert_true(w->worst.proved);
    assert_close(w->worst.at[0], 0.06, 1e-12, 0.0);
    /* the one quantity has all of the variance but what is lost within a cell of it */
    assert_close(w->share[0], 1.0, 0.0, 0.001);
    assert_close(w->share[0] + w->rest, 1.0, 1e-12, 0.0);
    assert_true(s->finding);
    jv_scatter_free(&s);
    jv_circuit_free(&c);
}

static void same_answer(const jv_scatter *a, const jv_scatter *b) {
    jv_text x = {0}, y = {0};
    assert_int_equal(jv_scatter_json(a, &x), JV_OK);
    assert_int_equal(jv_scatter_json(b, &y), JV_OK);
    assert_string_equal(jv_text_str(&x), jv_text_str(&y));
    jv_text_clear(&x);
    jv_text_clear(&y);
    for (size_t k = 0; k < a->n_watches; k++)
        if (a->watches[k].counts)
            assert_memory_equal(a->watches[k].bins, b->watches[k].bins,
                                JV_SCATTER_BINS * sizeof *a->watches[k].bins);
}

static void threads_give_the_same_to_the_bit(void **state) {
    (void)state;
    jv_circuit *c = read_example("circuits/long-trailer.json");
    jv_scatter *one = NULL;
    jv_scatter_options how = {.draws = 5000, .threads = 1, .seed = 7};
    assert_int_equal(jv_scatter_run(c, &how, &one), JV_OK);
    for (how.threads = 2; how.threads <= 4; how.threads++) {
        jv_scatter *many = NULL;
        assert_int_equal(jv_scatter_run(c, &how, &many), JV_OK);
        same_answer(one, many);
        jv_scatter_free(&many);
    }
    jv_scatter_free(&one);
    jv_circuit_free(&c);
}

/* Everything that was counted and summed, as it is handed on: its bytes. */
static void slice_bytes(const jv_circuit *c, const jv_scatter_options *how, jv_text *out) {
    jv_scatter *s = NULL;
    assert_int_equal(jv_scatter_run(c, how, &s), JV_OK);
    assert_int_equal(jv_scatter_slice(s, out), JV_OK);
    assert_true(s->draws == how->draws);
    jv_scatter_free(&s);
}

/* Every example, as it is and with air that varies, by the copies of the kernels for registers of
 * 128, 256 and 512 bits, on one, two and four threads: the same bytes. A copy that this machine
 * cannot run is named and refused, never taken for another. */
static void every_copy_and_any_threads_give_the_same_bytes(void **state) {
    static const char *const paths[] = {
        "circuits/corroded-stud.json",  "circuits/four-jacks.json",
        "circuits/frame-return.json",   "circuits/lithium-pack.json",
        "circuits/long-trailer.json",   "circuits/motor-home-pump.json",
        "circuits/shore-power.json",    "circuits/small-trailer.json",
        "circuits/thin-feed.json",      "circuits/tow-vehicle.json",
        "circuits/sensor-harness.json", "circuits/work-truck.json"};
    static const unsigned copies[] = {128, 256, 512}, threads[] = {1, 2, 4};
    size_t compared = 0;
    (void)state;
    for (size_t k = 0; k < 2 * sizeof paths / sizeof paths[0]; k++) {
        jv_circuit *c = read_example(paths[k / 2]);
        jv_text first = {0};
        if (k % 2)
            c->ambient = (jv_value){20.0, 0.0, 40.0, JV_UNIFORM};
        for (size_t i = 0; i < 9; i++) {
            jv_scatter_options how = {.draws = 2100, .seed = 11, .no_worst = true};
            jv_text now = {0};
            how.registers = copies[i / 3];
            how.threads = threads[i % 3];
            if (!jv_lane_has((jv_lane_width)(i / 3))) {
                jv_scatter *none = NULL;
                assert_int_equal(jv_scatter_run(c, &how, &none), JV_ERR_RANGE);
                if (k == 0 && i % 3 == 0)
                    print_message("the copy of %u bits: not on this machine\n", how.registers);
                continue;
            }
            slice_bytes(c, &how, i ? &now : &first);
            if (i)
                assert_string_equal(jv_text_str(&now), jv_text_str(&first));
            compared += i > 0;
            jv_text_clear(&now);
        }
        jv_text_clear(&first);
        jv_circuit_free(&c);
    }
    print_message("%zu answers compared\n", compared);
    assert_true(compared >= 2 * 2 * sizeof paths / sizeof paths[0]);
    const jv_scatter_options odd = {.registers = 64};
    jv_circuit *c = read_example(paths[0]);
    jv_scatter *none = NULL;
    assert_int_equal(jv_scatter_run(c, &odd, &none), JV_ERR_RANGE);
    jv_circuit_free(&c);
}

static void check_allocations(jv_circuit *c, const jv_scatter_options *how) {
    bool done = false;
    for (size_t n = 1; !done; n++) {
        jv_scatter *s = NULL;
        jv_text t = {0};
        failing_start(n);
        jv_status status = jv_scatter_run(c, how, &s);
        if (status == JV_OK)
            status = jv_scatter_slice(s, &t);
        done = status == JV_OK;
        if (!done)
            assert_int_equal(status, JV_ERR_MEMORY);
        jv_scatter_free(&s);
        jv_text_clear(&t);
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
    }
    jv_circuit_free(&c);
}

static void each_failed_allocation_is_a_clean_error(void **state) {
    (void)state;
    const jv_scatter_options odds = {.draws = 8, .threads = 1, .no_worst = true};
    const jv_scatter_options all = {.draws = 8, .threads = 1};
    check_allocations(read_pattern(lifts), &odds);
    check_allocations(read_text(one_ohm), &all);
}

static void what_does_not_fit_is_refused(void **state) {
    (void)state;
    jv_circuit *c = read_pattern(lifts);
    jv_scatter *s = NULL;
    const jv_scatter_options no_case = {.case_name = "no such case"};
    const jv_scatter_options too_many = {.draws = JV_SCATTER_MOST + 1};
    const jv_scatter_options no_slice = {.slice = 4, .of = 3}, zeroth = {.of = 3};
    assert_int_equal(jv_scatter_run(c, &no_case, &s), JV_ERR_UNKNOWN);
    assert_int_equal(jv_scatter_run(c, &too_many, &s), JV_ERR_RANGE);
    assert_int_equal(jv_scatter_run(c, &no_slice, &s), JV_ERR_RANGE);
    assert_int_equal(jv_scatter_run(c, &zeroth, &s), JV_ERR_RANGE);
    assert_null(s);
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sensitivities_are_central_differences),
        cmocka_unit_test(sensitivities_of_heating_are_central_differences),
        cmocka_unit_test(worst_corner_is_the_least_of_all),
        cmocka_unit_test(not_proved_where_the_response_turns),
        cmocka_unit_test(one_resistance_by_hand),
        cmocka_unit_test(threads_give_the_same_to_the_bit),
        cmocka_unit_test(every_copy_and_any_threads_give_the_same_bytes),
        cmocka_unit_test(each_failed_allocation_is_a_clean_error),
        cmocka_unit_test(what_does_not_fit_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
