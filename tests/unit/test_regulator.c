/* test_regulator.c - the supply of the sensors. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/regulator.h"
#include "tests/support/close.h"

static const jv_regulator five = {.set_v = 5,
                                  .dropout_v = 0.5,
                                  .limit_a = 0.3,
                                  .short_a = 0.1,
                                  .resistance_ohm = 0.1,
                                  .own_a = 5e-3};

/* By hand: 12 V in: 5 V; 5.2 V in: 4.7 V; 0.3 V in: nothing. */
static void output_follows_a_low_input(void **state) {
    (void)state;
    assert_close(jv_regulator_open_v(&five, 12), 5, 0, 0);
    assert_close(jv_regulator_open_v(&five, 5.2), 4.7, 1e-12, 0);
    assert_close(jv_regulator_open_v(&five, 0.3), 0, 0, 0);
    assert_close(jv_regulator_limit_a(&five, 0.3, 0), 0, 0, 0);
}

/* By hand: into 99.9 ohm: 5/100 = 50 mA, 4.995 V. Into a dead short: 0.1 A, 0 V. Into
 * 5 ohm: on the fold V = 5 I and I = 0.1 + 0.2 V/5: I = 0.1/(1 - 0.2) = 0.125 A, 0.625 V.
 * Into 16.5666 ohm it is just at the limit: 0.3 A. */
static void load_short_and_fold(void **state) {
    (void)state;
    jv_regulator_state is;
    double amps;
    assert_close(jv_regulator_into(&five, 12, 99.9, &amps, &is), 4.995, 1e-12, 0);
    assert_close(amps, 0.05, 1e-12, 0);
    assert_int_equal(is, JV_REGULATOR_HOLDS);
    assert_close(jv_regulator_into(&five, 12, 0, &amps, &is), 0, 0, 0);
    assert_close(amps, 0.1, 1e-12, 0);
    assert_int_equal(is, JV_REGULATOR_LIMITS);
    assert_close(jv_regulator_into(&five, 12, 5, &amps, &is), 0.625, 1e-12, 0);
    assert_close(amps, 0.125, 1e-12, 0);
    assert_close(jv_regulator_into(&five, 5.2, 46.9, &amps, &is), 4.69, 1e-12, 0);
    assert_int_equal(is, JV_REGULATOR_STARVED);
    jv_regulator plain = five;
    plain.short_a = 0; /* no fold: the same limit down to zero volts */
    jv_regulator_into(&plain, 12, 0, &amps, &is);
    assert_close(amps, 0.3, 1e-12, 0);
    assert_close(jv_regulator_into(&plain, 12, 1, NULL, NULL), 0.3, 1e-12, 0);
}

/* Current as a function of the output volts is the same device: it meets the load line, its
 * slopes are the differences, and nothing flows back into it. */
static void current_agrees_with_the_load_line(void **state) {
    (void)state;
    static const double loads[] = {0.5, 5, 12, 17, 30, 1000};
    for (size_t i = 0; i < sizeof loads / sizeof loads[0]; i++) {
        double amps, volts = jv_regulator_into(&five, 12, loads[i], &amps, NULL);
        assert_close(jv_regulator_current(&five, 12, volts, NULL, NULL, NULL), amps, 1e-9, 0);
    }
    jv_regulator_state is;
    assert_close(jv_regulator_current(&five, 12, 6, NULL, NULL, &is), 0, 0, 0);
    static const double points[][2] = {{12, 4.99}, {5.2, 4.69}, {12, 2}, {12, 5.5}, {5.1, 0.2}};
    for (size_t i = 0; i < 5; i++) {
        double in = points[i][0], out = points[i][1], dout, din, h = 1e-6;
        jv_regulator_current(&five, in, out, &dout, &din, NULL);
        double up = jv_regulator_current(&five, in, out + h, NULL, NULL, NULL);
        double down = jv_regulator_current(&five, in, out - h, NULL, NULL, NULL);
        assert_close(dout, (up - down) / (2 * h), 1e-6, 1e-6);
        up = jv_regulator_current(&five, in + h, out, NULL, NULL, NULL);
        down = jv_regulator_current(&five, in - h, out, NULL, NULL, NULL);
        assert_close(din, (up - down) / (2 * h), 1e-6, 1e-6);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(output_follows_a_low_input),
        cmocka_unit_test(load_short_and_fold),
        cmocka_unit_test(current_agrees_with_the_load_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
