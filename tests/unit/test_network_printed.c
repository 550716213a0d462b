/* test_network_printed.c - published networks as whole circuits. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "tests/support/build.h"
#include "tests/support/close.h"
#include "tests/support/solved.h"

/* The keys of the sources are those of `jackvolt table` and of the project's list of sources. */

static void battery(jv_circuit *c, const char *name, const char *plus, const char *minus,
                    const char *volts, const char *ohms) {
    build_between(c, "battery", name, plus, minus);
    build_quantity(c, "open_circuit", volts);
    build_quantity(c, "resistance", ohms);
    build_close(c);
    if (c->reference < 0)
        c->reference = jv_circuit_find_terminal(c, minus);
}

static void resistor(jv_circuit *c, const char *name, const char *a, const char *b,
                     const char *ohms) {
    build_between(c, "contact", name, a, b);
    build_quantity(c, "resistance", ohms);
    build_close(c);
}

static void load(jv_circuit *c, const char *key, const char *value) {
    build_between(c, "load", "load", "+", "-");
    build_quantity(c, key, value);
    build_close(c);
}

typedef struct printed {
    const char *emf, *inside, *key, *value;
    double amps, volts, amps_within, volts_within;
} printed;

/* Terminal volts of a battery under a load, as printed; half of the last printed digit. */
static const printed batteries[] = {
    /* OSX-START (college physics, starting a car): 200 A, 10.0 V */
    {"12.0 V", "0.0100 ohm", "resistance", "0.0500 ohm", 200.0, 10.0, 0.5, 0.05},
    /* PH12: 10.8 V at 100 A, load 0.108 ohm */
    {"12 V", "0.012 ohm", "resistance", "0.108 ohm", 100.0, 10.8, 0.5, 0.05},
    /* JEE80: 10.4 V at 80 A */
    {"12 V", "0.02 ohm", "current", "80 A", 80.0, 10.4, 1e-9, 0.05},
    /* QA20: 11.4 V at 20.0 A gives 0.03 ohm; here the other way round */
    {"12.0 V", "0.03 ohm", "current", "20.0 A", 20.0, 11.4, 1e-9, 0.05},
    /* UNI40: 4.0 V at 40 A gives 0.2 ohm */
    {"12 V", "0.2 ohm", "current", "40 A", 40.0, 4.0, 1e-9, 0.05},
    /* QA140: 140 A through 0.0305 and 0.055 ohm (140.35); its volts are not printed:
     * 140.35 x 0.055 = 7.72 */
    {"12 V", "0.0305 ohm", "resistance", "0.055 ohm", 140.0, 7.72, 0.5, 0.005},
};

static void batteries_under_load_as_printed(void **state) {
    (void)state;
    for (size_t k = 0; k < sizeof batteries / sizeof batteries[0]; k++) {
        const printed *p = &batteries[k];
        jv_circuit *c = build_circuit();
        battery(c, "battery", "+", "-", p->emf, p->inside);
        load(c, p->key, p->value);
        solved s = solved_at(c, NULL, NULL, 0);
        assert_close(solved_amps(&s, "load", 0), p->amps, 0, p->amps_within);
        assert_close(solved_volts(&s, "+", "-"), p->volts, 0, p->volts_within);
        solved_free(&s);
        jv_circuit_free(&c);
    }
}

static void power_of_a_loaded_battery_as_printed(void **state) {
    (void)state;
    /* PH12: 1200 W from the source, 1080 W in the load, 120 W in the battery. */
    jv_circuit *c = build_circuit();
    battery(c, "battery", "+", "-", "12 V", "0.012 ohm");
    load(c, "resistance", "0.108 ohm");
    solved s = solved_at(c, NULL, NULL, 0);
    double i = solved_amps(&s, "load", 0);
    assert_close(12.0 * i, 1200.0, 1e-9, 0);
    assert_close(i * solved_volts(&s, "+", "-"), 1080.0, 1e-9, 0);
    assert_close(-solved_drop(&s, "battery") * i, 120.0, 1e-9, 0);
    assert_true(s.point.power_error_w < 1e-9);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void cells_in_series_as_printed(void **state) {
    (void)state;
    /* QA-SER: two cells of 1.5 V and 0.5 ohm, 14 ohm: 0.2 A, 2.8 V, 0.2 V lost. */
    jv_circuit *c = build_circuit();
    battery(c, "lower", "middle", "-", "1.5 V", "0.5 ohm");
    battery(c, "upper", "+", "middle", "1.5 V", "0.5 ohm");
    load(c, "resistance", "14 ohm");
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(solved_amps(&s, "load", 0), 0.2, 1e-12, 0);
    assert_close(solved_volts(&s, "+", "-"), 2.8, 1e-12, 0);
    assert_close(-solved_drop(&s, "lower") - solved_drop(&s, "upper"), 0.2, 1e-12, 0);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void two_batteries_in_parallel(void **state) {
    (void)state;
    /* Hand work: 12.65 V behind 6 and 8 mohm, 120 A. 6 x 8/14 = 3.428571 mohm together,
     * 12.65 - 0.12 x 3.428571 = 12.238571 V; the 6 mohm one gives 120 x 8/14 = 68.571 A. */
    jv_circuit *c = build_circuit();
    battery(c, "good", "+", "-", "12.65 V", "6 mohm");
    battery(c, "other", "+", "-", "12.65 V", "8 mohm");
    load(c, "current", "120 A");
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(solved_volts(&s, "+", "-"), 12.65 - 120.0 * 0.048 / 14.0, 1e-12, 0);
    assert_close(-solved_amps(&s, "good", 0), 120.0 * 8.0 / 14.0, 1e-12, 0);
    assert_close(-solved_amps(&s, "other", 0), 120.0 * 6.0 / 14.0, 1e-12, 0);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void two_six_volt_batteries_in_series(void **state) {
    (void)state;
    /* Hand work: 2 x 6.32 = 12.64 V, 2 x 3 = 6 mohm, 120 A: 12.64 - 0.72 = 11.92 V. */
    jv_circuit *c = build_circuit();
    battery(c, "lower", "middle", "-", "6.32 V", "3 mohm");
    battery(c, "upper", "+", "middle", "6.32 V", "3 mohm");
    load(c, "current", "120 A");
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(solved_volts(&s, "+", "-"), 11.92, 1e-12, 0);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void unequal_batteries_exchange_current(void **state) {
    (void)state;
    /* Hand work: 12.8 V behind 5 mohm and 12.2 V behind 8 mohm, nothing else: 0.6/0.013 =
     * 46.1538 A, bus 12.8 - 46.1538 x 0.005 = 12.56923 V. */
    jv_circuit *c = build_circuit();
    battery(c, "full", "+", "-", "12.8 V", "5 mohm");
    battery(c, "low", "+", "-", "12.2 V", "8 mohm");
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(-solved_amps(&s, "full", 0), 0.6 / 0.013, 1e-12, 0);
    assert_close(solved_amps(&s, "low", 0), 0.6 / 0.013, 1e-12, 0);
    assert_close(solved_volts(&s, "+", "-"), 12.8 - 0.6 / 0.013 * 0.005, 1e-12, 0);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void two_battery_loops_of_the_textbook(void **state) {
    (void)state;
    /* The exercise of the branch current method: 28 V and 4 ohm, 7 V and 1 ohm, both across
     * 2 ohm (Kuphaldt, Lessons In Electric Circuits, vol. I, ch. 10; figures from memory, so
     * by hand): (28 - V)/4 + (7 - V)/1 = V/2, 14 = 1.75 V, V = 8 V: 5 A, 4 A, and 1 A into
     * the 7 V battery. */
    jv_circuit *c = build_circuit();
    battery(c, "large", "p", "-", "28 V", "0 ohm");
    resistor(c, "four", "p", "top", "4 ohm");
    resistor(c, "two", "top", "-", "2 ohm");
    resistor(c, "one", "top", "q", "1 ohm");
    battery(c, "small", "q", "-", "7 V", "0 ohm");
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(solved_volts(&s, "top", "-"), 8.0, 1e-12, 0);
    assert_close(solved_amps(&s, "four", 0), 5.0, 1e-12, 0);
    assert_close(solved_amps(&s, "two", 0), 4.0, 1e-12, 0);
    assert_close(solved_amps(&s, "one", 0), 1.0, 1e-12, 0);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void unbalanced_bridge_of_the_textbook(void **state) {
    (void)state;
    /* Mesh exercise of the same chapter: 24 V, arms 150 and 50 ohm above, 300 and 250 below,
     * 100 across; printed 136.092 mA in all, 42.299 and 93.793 above, 58.851 and 77.241
     * below, 16.552 across (from memory). By hand, L and R the two middles:
     *   (24 - L)/150 = (L - R)/100 + L/300  ->  L = 8 + R/2
     *   (24 - R)/50 + (L - R)/100 = R/250   ->  R = 0.56/0.029 = 19.310345 V, L = 17.655172 V */
    jv_circuit *c = build_circuit();
    battery(c, "battery", "top", "foot", "24 V", "0 ohm");
    resistor(c, "upper left", "top", "L", "150 ohm");
    resistor(c, "upper right", "top", "R", "50 ohm");
    resistor(c, "across", "L", "R", "100 ohm");
    resistor(c, "lower left", "L", "foot", "300 ohm");
    resistor(c, "lower right", "R", "foot", "250 ohm");
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(solved_volts(&s, "R", "foot"), 0.56 / 0.029, 1e-12, 0);
    assert_close(solved_volts(&s, "L", "foot"), 8.0 + 0.28 / 0.029, 1e-12, 0);
    const double half_digit = 0.5e-6;
    assert_close(-solved_amps(&s, "battery", 0), 136.092e-3, 0, half_digit);
    assert_close(solved_amps(&s, "upper left", 0), 42.299e-3, 0, half_digit);
    assert_close(solved_amps(&s, "upper right", 0), 93.793e-3, 0, half_digit);
    assert_close(-solved_amps(&s, "across", 0), 16.552e-3, 0, half_digit);
    assert_close(solved_amps(&s, "lower left", 0), 58.851e-3, 0, half_digit);
    assert_close(solved_amps(&s, "lower right", 0), 77.241e-3, 0, half_digit);
    solved_free(&s);
    jv_circuit_free(&c);
}

static void balanced_bridge_carries_nothing_across(void **state) {
    (void)state;
    /* Wheatstone: 100/200 = 300/600, so the middle sees no volts; 300 beside 900 ohm is 225. */
    jv_circuit *c = build_circuit();
    battery(c, "battery", "top", "foot", "12 V", "0 ohm");
    resistor(c, "upper left", "top", "L", "100 ohm");
    resistor(c, "upper right", "top", "R", "300 ohm");
    resistor(c, "across", "L", "R", "5 ohm");
    resistor(c, "lower left", "L", "foot", "200 ohm");
    resistor(c, "lower right", "R", "foot", "600 ohm");
    solved s = solved_at(c, NULL, NULL, 0);
    assert_close(solved_amps(&s, "across", 0), 0.0, 0, 1e-15);
    assert_close(-solved_amps(&s, "battery", 0), 12.0 / 225.0, 1e-12, 0);
    solved_free(&s);
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(batteries_under_load_as_printed),
        cmocka_unit_test(power_of_a_loaded_battery_as_printed),
        cmocka_unit_test(cells_in_series_as_printed),
        cmocka_unit_test(two_batteries_in_parallel),
        cmocka_unit_test(two_six_volt_batteries_in_series),
        cmocka_unit_test(unequal_batteries_exchange_current),
        cmocka_unit_test(two_battery_loops_of_the_textbook),
        cmocka_unit_test(unbalanced_bridge_of_the_textbook),
        cmocka_unit_test(balanced_bridge_carries_nothing_across),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
