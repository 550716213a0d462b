/* test_meter.c - what a meter shows. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/meter.h"
#include "tests/support/close.h"

/* D14: 0.5 ohm, 400 ohm range, 0.8 % + 5 counts of 0.1: +-0.504 ohm. A14: 1 % at 12 V is
 * 120 mV. */
static void percent_and_counts(void **state) {
    (void)state;
    jv_meter m = jv_meter_plain();
    assert_close(jv_meter_error(&m.ohms, 0.5), 0.504, 1e-12, 0);
    jv_meter_range cheap = {.percent = 1, .step = 0.01};
    assert_close(jv_meter_error(&cheap, 12), 0.120, 1e-12, 0);
    assert_close(jv_meter_error(&cheap, -12), 0.120, 1e-12, 0);
    /* 0.5 % + 3 counts of 10 mV at 12.6 V: 0.063 + 0.03 = 0.093 V (0.09 V) */
    assert_close(jv_meter_error(&m.volts, 12.6), 0.093, 1e-12, 0);
    assert_close(jv_meter_difference_error(&m.volts, 12.6, 12.6), 0.186, 1e-12, 0);
}

static void it_rounds_and_overloads(void **state) {
    (void)state;
    jv_meter m = jv_meter_plain();
    assert_close(jv_meter_shown(&m.volts, 12.6371), 12.64, 1e-12, 0);
    assert_close(jv_meter_shown(&m.volts, -0.004), 0, 0, 1e-12);
    assert_true(isinf(jv_meter_shown(&m.millivolts, 1)));
    assert_true(isinf(jv_meter_shown(&m.ohms, 1e6)));
}

/* 10 Mohm input at 12 V draws 1.2 uA; behind 1 Mohm it shows 12 x 10/11 = 10.909 V, which is
 * how a floating lead looks alive. */
static void input_and_leads_count(void **state) {
    (void)state;
    jv_meter m = jv_meter_plain();
    assert_close(12 / m.input_ohm, 1.2e-6, 1e-12, 0);
    assert_close(jv_meter_loaded_v(&m, 12, 1e6), 10.9090909, 1e-8, 0);
    assert_close(jv_meter_loaded_v(&m, 12, 0.05), 12, 1e-7, 0);
    m.input_ohm = 0;
    assert_close(jv_meter_loaded_v(&m, 12, 1e6), 10.9090909, 1e-8, 0);
    double error;
    assert_close(jv_meter_ohms_shown(&m, 0.31, &error), 0.5, 1e-12, 0); /* 0.51 on a 0.1 step */
    assert_close(error, 0.008 * 0.51 + 0.5, 1e-12, 0);
    assert_close(jv_meter_test_v(&m, 100), 0.05, 1e-12, 0);
    assert_close(jv_meter_test_v(&m, 1e6), 1.2, 0, 0);
}

/* By hand: from 12.5 to 7.8 V for 10 ms, 0.3 s display: 7.8 + 4.7 e^(-1/30) = 12.3459 V. */
static void a_slow_display_hides_a_dip(void **state) {
    (void)state;
    jv_meter m = jv_meter_plain();
    assert_close(jv_meter_dip_shown(&m, 12.5, 7.8, 0.010), 12.3459, 1e-5, 0);
    assert_close(jv_meter_dip_shown(&m, 12.5, 7.8, 10), 7.8, 1e-9, 0);
    m.response_s = 0;
    assert_close(jv_meter_dip_shown(&m, 12.5, 7.8, 0.010), 7.8, 0, 0);
}

/* A drop of at least 50 steps of 0.1 mV over 3.3 mohm wants 1.515 A. */
static void current_that_a_drop_reading_needs(void **state) {
    (void)state;
    jv_meter m = jv_meter_plain();
    assert_close(jv_meter_current_for(&m.millivolts, 3.3e-3, 50), 1.51515, 1e-5, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(percent_and_counts),
        cmocka_unit_test(it_rounds_and_overloads),
        cmocka_unit_test(input_and_leads_count),
        cmocka_unit_test(a_slow_display_hides_a_dip),
        cmocka_unit_test(current_that_a_drop_reading_needs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
