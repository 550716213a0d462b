/* test_network_properties.c - what every solution must have in common. SPDX-License-Identifier: MIT
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/parts/jack.h"
#include "jackvolt/heat.h"
#include "tests/support/build.h"
#include "tests/support/close.h"
#include "tests/support/solved.h"
#include "tests/support/wild.h"

enum { CIRCUITS = 120 };

/* What a circuit without current leaves, A and V. */
static const double rounding = 1e-12;

static unsigned rounds(void) {
    return getenv("JV_LONG") ? 20 * CIRCUITS : CIRCUITS;
}

static double largest(const double *x, size_t n) {
    double most = 0.0;
    for (size_t k = 0; k < n; k++)
        most = fmax(most, fabs(x[k]));
    return most;
}

/* --- every circuit --- */

static void currents_sum_to_zero_and_power_balances(void **state) {
    (void)state;
    const wild_options options = {0};
    unsigned solutions = 0;
    for (unsigned seed = 1; seed <= rounds(); seed++) {
        wild w;
        wild_make(&w, seed, &options);
        solved s = solved_try(w.c, w.loading, w.faults, w.n_faults);
        if (s.point.outcome == JV_POINT_FOUND) {
            const jv_net *net = s.net;
            double *sum = calloc(net->n_nodes, sizeof *sum), power = 0.0, moved = 0.0;
            for (size_t k = 0; k < net->n_elements; k++) {
                const jv_element *e = &net->elements[k];
                double i = s.point.i[k], v = s.point.v[e->a] - s.point.v[e->b];
                double own = 0.0;
                int32_t out = e->law == JV_REGULATOR ? e->c : e->b;
                if (e->law == JV_REGULATOR && !e->open)
                    own = e->quiescent * fmin(v, 1.0);
                sum[e->a] += i + own;
                sum[out] -= i;
                sum[e->b] -= own;
                /* Tellegen: the sum of volts times amps over all branches is zero. */
                double taken = i * (s.point.v[e->a] - s.point.v[out]) + own * v;
                power += taken;
                moved += fabs(taken);
            }
            double top = largest(s.point.i, net->n_elements);
            for (size_t k = 0; k < net->n_nodes; k++)
                assert_close(sum[k], 0.0, 0, 1e-12 * top + 1e-12);
            assert_close(power, 0.0, 0, 1e-11 * moved + 1e-12);
            assert_true(s.point.power_error_w <= 1e-10 * moved + 1e-9);
            assert_true(s.point.residual_a <= 1e-10 * top + 1e-9);
            free(sum);
            solutions++;
        }
        solved_free(&s);
        wild_free(&w);
    }
    assert_true(solutions > rounds() * 9 / 10);
}

/* The answer of one circuit with its parts in another order, by names. */
static void order_of_parts_changes_nothing(void **state) {
    (void)state;
    for (unsigned seed = 1; seed <= rounds(); seed++) {
        const wild_options plain = {.monotone = true};
        const wild_options mixed = {.monotone = true, .shuffle = seed + 99u};
        wild a, b;
        wild_make(&a, seed, &plain);
        wild_make(&b, seed, &mixed);
        /* Faults are drawn up to a number in the order of the file: leave them out. */
        solved x = solved_at(a.c, a.loading, NULL, 0), y = solved_at(b.c, b.loading, NULL, 0);
        double top = largest(x.point.i, x.net->n_elements);
        assert_int_equal(a.c->n_parts, b.c->n_parts);
        for (size_t p = 0; p < a.c->n_parts; p++) {
            int32_t q = jv_circuit_find_part(b.c, a.c->parts[p].name);
            assert_true(q >= 0);
            uint32_t from = x.net->first[p], to = y.net->first[q];
            for (uint32_t k = 0; from + k < x.net->first[p + 1]; k++)
                assert_close(y.point.i[to + k], x.point.i[from + k], 1e-9, 1e-10 * top + rounding);
        }
        solved_free(&x);
        solved_free(&y);
        wild_free(&a);
        wild_free(&b);
    }
}

static void reference_changes_no_drop(void **state) {
    (void)state;
    const wild_options options = {.monotone = true};
    for (unsigned seed = 1; seed <= rounds(); seed++) {
        wild w;
        wild_make(&w, seed, &options);
        solved x = solved_at(w.c, w.loading, w.faults, w.n_faults);
        unsigned pick = seed;
        w.c->reference = (int32_t)(wild_draw(&pick) % w.c->n_terminals);
        solved y = solved_at(w.c, w.loading, w.faults, w.n_faults);
        assert_close(y.point.v[w.c->reference], 0.0, 0, 1e-12);
        double top = largest(x.point.i, x.net->n_elements);
        for (size_t k = 0; k < x.net->n_elements; k++) {
            const jv_element *e = &x.net->elements[k];
            assert_close(y.point.i[k], x.point.i[k], 1e-9, 1e-10 * top + rounding);
            if (e->law == JV_SERIES && !e->open)
                assert_close(y.point.r[k] * y.point.i[k], x.point.r[k] * x.point.i[k], 1e-9,
                             1e-10 * top * x.point.r[k] + rounding);
        }
        solved_free(&x);
        solved_free(&y);
        wild_free(&w);
    }
}

static void operating_point_is_the_same_from_many_starts(void **state) {
    (void)state;
    enum { STARTS = 6 };
    const wild_options options = {.monotone = true};
    for (unsigned seed = 1; seed <= rounds(); seed++) {
        wild w;
        wild_make(&w, seed, &options);
        solved s = solved_at(w.c, w.loading, w.faults, w.n_faults);
        size_t elements = s.net->n_elements;
        double *i = malloc(elements * sizeof *i), top = largest(s.point.i, elements);
        memcpy(i, s.point.i, elements * sizeof *i);
        unsigned draw = seed;
        for (int k = 0; k < STARTS; k++) {
            for (int m = 0; m < s.system->n; m++)
                s.system->x[m] = wild_between(&draw, -100.0, 100.0);
            for (size_t m = 0; m < elements; m++)
                s.system->mode[m] = 0;
            assert_int_equal(jv_point_find(s.system, true, &s.point), JV_OK);
            assert_int_equal(s.point.outcome, JV_POINT_FOUND);
            for (size_t m = 0; m < elements; m++)
                assert_close(s.point.i[m], i[m], 1e-8, 1e-9 * top + 1e-9);
        }
        free(i);
        solved_free(&s);
        wild_free(&w);
    }
}

/* Everything lies behind the battery: more ohms there lower the volts of every load. */
static void added_ohms_never_raise_the_volts_behind(void **state) {
    (void)state;
    const wild_options options = {.one_source = true};
    unsigned compared = 0;
    for (unsigned seed = 1; seed <= rounds(); seed++) {
        wild w;
        wild_make(&w, seed, &options);
        jv_fault ohms = build_fault(0, JV_WAY_ADDED, 0.001);
        assert_string_equal(w.c->parts[0].kind->name, "battery");
        solved x = solved_at(w.c, w.loading, &ohms, 1);
        ohms.value = 0.015;
        solved y = solved_at(w.c, w.loading, &ohms, 1);
        bool same_states = memcmp(x.system->mode, y.system->mode, x.net->n_elements) == 0;
        for (size_t k = 0; same_states && k < x.net->n_elements; k++) {
            const jv_element *e = &x.net->elements[k];
            if (e->law != JV_SINK || e->open)
                continue;
            double before = fabs(x.point.v[e->a] - x.point.v[e->b]);
            double after = fabs(y.point.v[e->a] - y.point.v[e->b]);
            assert_true(after <= before + 1e-9);
            compared++;
        }
        solved_free(&x);
        solved_free(&y);
        wild_free(&w);
    }
    assert_true(compared > rounds());
}

/* --- one cable, one jack --- */

typedef struct bench {
    jv_circuit *c;
    jv_run run;
    jv_case loading;
} bench;

/* Battery, cable of a length, jack; the jack lifts at an exact current. */
static bench make_bench(const char *volts, const char *length, const char *fixed_c, double amps) {
    bench b = {.c = build_circuit()};
    build_between(b.c, "battery", "battery", "+", "-");
    build_quantity(b.c, "open_circuit", volts);
    build_quantity(b.c, "resistance", "10 mohm");
    build_close(b.c);
    build_between(b.c, "cable", "feed", "+", "jack+");
    build_text(b.c, "size", "10 AWG");
    build_quantity(b.c, "length", length);
    if (fixed_c)
        build_quantity(b.c, "conductor_temperature", fixed_c);
    build_close(b.c);
    build_between(b.c, "jack", "jack", "jack+", "-");
    build_quantity(b.c, "rated_current", "28 A");
    build_quantity(b.c, "no_load_current", "6 A");
    build_quantity(b.c, "stall_current", "90 A");
    build_close(b.c);
    b.c->reference = jv_circuit_find_terminal(b.c, "-");
    b.run.part = 2;
    b.run.direction = 1;
    b.run.kind = JV_LOAD_AMPS;
    b.run.value = jv_value_exact(amps);
    b.loading.name = "lifting";
    b.loading.n_runs = 1;
    return b;
}

static solved run_bench(bench *b) {
    b->loading.runs = &b->run;
    return solved_at(b->c, &b->loading, NULL, 0);
}

static void twice_the_length_drops_twice_as_much(void **state) {
    (void)state;
    bench one = make_bench("12.6 V", "5 m", "40 degC", 24.0);
    bench two = make_bench("12.6 V", "10 m", "40 degC", 24.0);
    solved x = run_bench(&one), y = run_bench(&two);
    assert_close(solved_drop(&y, "feed"), 2.0 * solved_drop(&x, "feed"), 1e-12, 0);
    assert_close(solved_amps(&y, "feed", 0), 24.0, 1e-12, 0);
    solved_free(&x);
    solved_free(&y);
    jv_circuit_free(&one.c);
    jv_circuit_free(&two.c);
}

static void a_warm_cable_keeps_its_own_temperature(void **state) {
    (void)state;
    /* Not fixed, both lengths settle at the temperature of 24 A: the drops are as 1 to 2 still,
     * and the temperature is that of the heat balance (test_heat.c) at the current found. */
    bench one = make_bench("12.6 V", "5 m", NULL, 24.0);
    bench two = make_bench("12.6 V", "10 m", NULL, 24.0);
    solved x = run_bench(&one), y = run_bench(&two);
    const jv_element *cable = build_element(x.net, 1, 0);
    assert_close(solved_drop(&y, "feed"), 2.0 * solved_drop(&x, "feed"), 1e-9, 0);
    assert_close(cable->temperature_c, jv_heat_steady_at(cable->heat, 24.0).temp_c, 1e-9, 0);
    assert_true(cable->temperature_c > 25.0);
    solved_free(&x);
    solved_free(&y);
    jv_circuit_free(&one.c);
    jv_circuit_free(&two.c);
}

static void a_running_jack_keeps_its_current_and_slows_down(void **state) {
    (void)state;
    static const char *const volts[] = {"13 V", "12 V", "11 V", "9 V", "7 V"};
    double last = INFINITY;
    for (size_t k = 0; k < sizeof volts / sizeof volts[0]; k++) {
        bench b = make_bench(volts[k], "5 m", NULL, 24.0);
        solved s = run_bench(&b);
        double v = solved_volts(&s, "jack+", "-"), i = solved_amps(&s, "jack", 0);
        assert_close(i, 24.0, 1e-12, 0);
        jv_jack_motion m = jv_jack_speed(&s.net->scene, &b.c->parts[2], v, i);
        assert_false(m.stalled);
        assert_true(m.ratio > 0.0 && m.ratio < last);
        last = m.ratio;
        solved_free(&s);
        jv_circuit_free(&b.c);
    }
    /* Below V = R I it stalls and draws V/R: R = 12/90 ohm, so 24 A need 3.2 V. */
    bench b = make_bench("3 V", "5 m", NULL, 24.0);
    solved s = run_bench(&b);
    double v = solved_volts(&s, "jack+", "-");
    assert_true(v < 3.2);
    assert_close(solved_amps(&s, "jack", 0), v / (12.0 / 90.0), 1e-12, 0);
    solved_free(&s);
    jv_circuit_free(&b.c);
}

static void ohms_of_a_fault_lower_the_volts_as_ohms_law_says(void **state) {
    (void)state;
    bench b = make_bench("12.6 V", "5 m", NULL, 24.0);
    b.loading.runs = &b.run;
    jv_fault f = build_fault(1, JV_WAY_ADDED, 0.035);
    solved x = solved_at(b.c, &b.loading, NULL, 0), y = solved_at(b.c, &b.loading, &f, 1);
    assert_close(solved_volts(&x, "jack+", "-") - solved_volts(&y, "jack+", "-"), 0.035 * 24.0,
                 1e-9, 0);
    solved_free(&x);
    solved_free(&y);
    jv_circuit_free(&b.c);
}

/* --- findings --- */

static jv_circuit *power_bench(const char *watts, const char *least) {
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "battery", "+", "-");
    build_quantity(c, "open_circuit", "12 V");
    build_quantity(c, "resistance", "50 mohm");
    build_close(c);
    build_between(c, "contact", "lug", "+", "in");
    build_quantity(c, "resistance", "50 mohm");
    build_close(c);
    build_between(c, "load", "inverter", "in", "-");
    build_quantity(c, "power", watts);
    build_quantity(c, "minimum", least);
    build_close(c);
    c->reference = jv_circuit_find_terminal(c, "-");
    return c;
}

static void constant_power_takes_the_upper_root(void **state) {
    (void)state;
    /* v^2 - 12 v + 0.1 P = 0, P = 300 W: v = 6 + sqrt(36 - 30) = 8.449490 V. */
    jv_circuit *c = power_bench("300 W", "5 V");
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(solved_volts(&s, "in", "-"), 6.0 + sqrt(6.0), 1e-10, 0);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void more_power_than_the_source_has_is_a_finding(void **state) {
    (void)state;
    /* The most that 12 V behind 0.1 ohm gives is V^2/4R = 360 W, at 6 V; 480 W: 75 %. */
    jv_circuit *c = power_bench("480 W", "5 V");
    solved s = solved_try(c, NULL, NULL, 0);
    assert_int_equal(s.point.outcome, JV_POINT_CANNOT_DELIVER);
    assert_close(s.point.power_share, 0.75, 0, 1e-5);
    solved_free(&s);
    jv_circuit_free(&c);
    /* With a floor of 8 V: 8 x (12 - 8)/0.1 = 320 W of 480 W. */
    c = power_bench("480 W", "8 V");
    s = solved_try(c, NULL, NULL, 0);
    assert_int_equal(s.point.outcome, JV_POINT_CANNOT_DELIVER);
    assert_close(s.point.power_share, 320.0 / 480.0, 0, 1e-5);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void a_relay_that_starves_itself_chatters(void **state) {
    (void)state;
    /* Its contact feeds 60 A through 0.15 ohm that its coil shares: 12 - 9 = 3 V, above drop-out
     * of 4 V it would hold, below it lets go, and at 12 V it pulls in again. */
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "battery", "+", "-");
    build_quantity(c, "open_circuit", "12 V");
    build_quantity(c, "resistance", "150 mohm");
    build_close(c);
    build_between(c, "relay", "main relay", "+", "out");
    build_terminal(c, "coil_plus", "+");
    build_terminal(c, "coil_minus", "-");
    build_quantity(c, "drop_out", "4 V");
    build_close(c);
    build_between(c, "load", "heater", "out", "-");
    build_quantity(c, "current", "60 A");
    build_close(c);
    c->reference = jv_circuit_find_terminal(c, "-");
    solved s = solved_try(c, NULL, NULL, 0);
    assert_int_equal(s.point.outcome, JV_POINT_CHATTERS);
    assert_string_equal(s.point.where, "main relay");
    solved_free(&s);
    jv_circuit_free(&c);
}

/* --- corners --- */

static void supply(jv_circuit *c, const char *name, const char *plus, const char *minus,
                   const char *volts, const char *ohms) {
    build_between(c, "supply", name, plus, minus);
    build_quantity(c, "set_voltage", volts);
    build_quantity(c, "resistance", ohms);
    build_close(c);
    if (c->reference < 0)
        c->reference = jv_circuit_find_terminal(c, minus);
}

static void idle_supplies_show_the_highest_volts(void **state) {
    (void)state;
    static const char *const ohms[] = {"5 mohm", "0 ohm"};
    for (size_t k = 0; k < 2; k++) {
        jv_circuit *c = build_circuit();
        supply(c, "converter", "+", "-", "13.6 V", ohms[k]);
        supply(c, "solar", "+", "-", "14.2 V", ohms[k]);
        solved s = solved_at(c, NULL, NULL, 0);
        assert_close(solved_volts(&s, "+", "-"), 14.2, 0, 1e-8);
        /* The lower one blocks but for its leak of 1 nS times 0.6 V. */
        assert_close(solved_amps(&s, "converter", 0), 0.6 * JV_BLOCKED_LEAK_S, 1e-6, 0);
        solved_free(&s);
        jv_circuit_free(&c);
    }
}

static void equal_supplies_without_ohms_share_evenly(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    supply(c, "one", "+", "-", "13.6 V", "0 ohm");
    supply(c, "two", "+", "-", "13.6 V", "0 ohm");
    build_between(c, "load", "heater", "+", "-");
    build_quantity(c, "resistance", "1 ohm");
    build_close(c);
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(-solved_amps(&s, "one", 0), 6.8, 1e-6, 0);
    assert_close(-solved_amps(&s, "two", 0), 6.8, 1e-6, 0);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void a_load_between_two_islands_gets_nothing(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    supply(c, "one", "a", "b", "13.6 V", "5 mohm");
    supply(c, "two", "c", "d", "12.6 V", "5 mohm");
    build_between(c, "load", "bridge", "a", "d");
    build_quantity(c, "current", "5 A");
    build_close(c);
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(solved_amps(&s, "bridge", 0), 0.0, 0, 1e-9);
    assert_close(solved_volts(&s, "a", "b"), 13.6, 0, 1e-8);
    assert_close(solved_volts(&s, "c", "d"), 12.6, 0, 1e-8);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void a_starved_regulator_without_load_follows_its_input(void **state) {
    (void)state;
    static const char *const inputs[] = {"5.2 V", "0.4 V"};
    static const double wanted[] = {4.6, 0.0}; /* dropout 0.6 V; never below zero */
    for (size_t k = 0; k < 2; k++) {
        jv_circuit *c = build_circuit();
        supply(c, "source", "+", "-", inputs[k], "5 mohm");
        build_part(c, "sensor_supply", "rail");
        build_terminal(c, "in", "+");
        build_terminal(c, "minus", "-");
        build_terminal(c, "out", "out");
        build_quantity(c, "set_voltage", "5 V");
        build_quantity(c, "limit", "100 mA");
        build_close(c);
        solved s = solved_at(c, NULL, NULL, 0);
        assert_close(solved_volts(&s, "out", "-"), wanted[k], 0, 1e-8);
        solved_free(&s);
        jv_circuit_free(&c);
    }
}

static void a_dead_circuit_is_solved_too(void **state) {
    (void)state;
    bench b = make_bench("12.6 V", "5 m", NULL, 24.0);
    jv_fault open = build_fault(0, JV_WAY_OPEN, 0.0);
    b.loading.runs = &b.run;
    solved s = solved_at(b.c, &b.loading, &open, 1);
    assert_close(solved_amps(&s, "jack", 0), 0.0, 0, 1e-9);
    assert_close(solved_volts(&s, "jack+", "-"), 0.0, 0, 1e-9);
    solved_free(&s);
    jv_circuit_free(&b.c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(currents_sum_to_zero_and_power_balances),
        cmocka_unit_test(order_of_parts_changes_nothing),
        cmocka_unit_test(reference_changes_no_drop),
        cmocka_unit_test(operating_point_is_the_same_from_many_starts),
        cmocka_unit_test(added_ohms_never_raise_the_volts_behind),
        cmocka_unit_test(twice_the_length_drops_twice_as_much),
        cmocka_unit_test(a_warm_cable_keeps_its_own_temperature),
        cmocka_unit_test(a_running_jack_keeps_its_current_and_slows_down),
        cmocka_unit_test(ohms_of_a_fault_lower_the_volts_as_ohms_law_says),
        cmocka_unit_test(constant_power_takes_the_upper_root),
        cmocka_unit_test(more_power_than_the_source_has_is_a_finding),
        cmocka_unit_test(a_relay_that_starves_itself_chatters),
        cmocka_unit_test(idle_supplies_show_the_highest_volts),
        cmocka_unit_test(equal_supplies_without_ohms_share_evenly),
        cmocka_unit_test(a_load_between_two_islands_gets_nothing),
        cmocka_unit_test(a_starved_regulator_without_load_follows_its_input),
        cmocka_unit_test(a_dead_circuit_is_solved_too),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
