/* test_hall.c - Hall sensors. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/hall.h"
#include "tests/support/close.h"

#define PI 3.14159265358979323846

static void the_supply_window(void **state) {
    (void)state;
    jv_hall usual = {0}; /* 4.5 .. 24 V: motor encoder and gear-tooth sheets */
    assert_int_equal(jv_hall_check(&usual, 5), JV_HALL_WORKS);
    assert_int_equal(jv_hall_check(&usual, 4.4), JV_HALL_STARVED);
    assert_int_equal(jv_hall_check(&usual, 25), JV_HALL_TOO_HIGH);
    jv_hall wide = {.minimum_v = 2.5, .maximum_v = 38};
    assert_int_equal(jv_hall_check(&wide, 4.4), JV_HALL_WORKS);
}

/* D12: 5 V, pull-up 4.7 kohm, output low 0.4 V: (5 - 0.4)/4700 = 0.98 mA. */
static void an_open_drain_sinks_its_pull_up(void **state) {
    (void)state;
    jv_hall h = {.pull_up_ohm = 4700, .low_v = 0.4};
    jv_hall_levels l = jv_hall_signal(&h, 5, 0, 0);
    assert_close(l.sink_a, 0.98e-3, 2e-3, 0);
    assert_close(l.low_v, 0.4, 1e-12, 0);
    assert_close(l.high_v, 5, 1e-12, 0);
    /* its ground 0.6 V up on a shared return: 1.0 V is no low for a 0.8 V input */
    l = jv_hall_signal(&h, 5, 0.6, 0);
    assert_close(l.low_v, 1.0, 1e-12, 0);
    assert_false(jv_hall_readable(&l, 0.8, 2));
    l = jv_hall_signal(&h, 5, 0.1, 0);
    assert_true(jv_hall_readable(&l, 0.8, 2));
    /* 22 ohm transistor by hand: 5/4722 = 1.05887 mA, 23.295 mV */
    h.low_v = 0;
    l = jv_hall_signal(&h, 5, 0, 0);
    assert_close(l.sink_a, 1.05887e-3, 1e-5, 0);
    assert_close(l.low_v, 23.295e-3, 1e-4, 0);
    /* a 4.7 kohm input halves the high level */
    l = jv_hall_signal(&h, 5, 0, 4700);
    assert_close(l.high_v, 2.5, 1e-12, 0);
}

/* D11: supply at least 10.5 V, 3.75 V, 17 mA: 397 ohm. The signal is a current, so a ground
 * shift does not move it. */
static void two_wires_carry_a_current(void **state) {
    (void)state;
    assert_close(jv_hall_sense_ohm(10.5, 3.75, 17e-3), 397, 1e-3, 0);
    jv_hall h = {
        .output = JV_HALL_TWO_WIRE, .current_a = 3.3e-3, .high_a = 14.3e-3, .pull_up_ohm = 100};
    jv_hall_levels l = jv_hall_signal(&h, 5, 0.6, 0);
    assert_close(l.low_v, 0.33, 1e-12, 0);
    assert_close(l.high_v, 1.43, 1e-12, 0);
}

/* 3000 rpm and 2 pulses a turn: 100 Hz, 10 ms between pulses. */
static void pulses_follow_the_speed(void **state) {
    (void)state;
    double w = 3000 * 2 * PI / 60;
    assert_close(jv_hall_pulse_hz(w, 2), 100, 1e-12, 0);
    assert_close(jv_hall_pulse_hz(-w, 2), 100, 1e-12, 0);
    assert_close(jv_hall_gap_s(w, 2), 0.01, 1e-12, 0);
    assert_true(isinf(jv_hall_gap_s(0, 2)));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_supply_window),
        cmocka_unit_test(an_open_drain_sinks_its_pull_up),
        cmocka_unit_test(two_wires_carry_a_current),
        cmocka_unit_test(pulses_follow_the_speed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
