/* test_relay.c - relay coils, hot and cold. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/relay.h"
#include "tests/support/close.h"

/* W23: 16 V at 25 degC: 19.70 V at 85, 20.62 at 100, 12.92 at -25 degC (schrackrelays.com
 * application notes, printed 19.7, 20.6, 12.9). W21: 290 ohm at 25 degC is 401.75 ohm at
 * 125 degC by 290 x 359.5/259.5 (leachcorp.com note 102). */
static void copper_figures_grow_with_temperature(void **state) {
    (void)state;
    assert_close(jv_coil_scale(16, 25, 85), 19.70, 3e-4, 0);
    assert_close(jv_coil_scale(16, 25, 100), 20.62, 3e-4, 0);
    assert_close(jv_coil_scale(16, 25, -25), 12.92, 3e-4, 0);
    assert_close(jv_coil_scale(290, 25, 125), 401.75, 2e-5, 0);
}

/* 7.2 V at 20 degC becomes 8.3 V at 60, 9.0 at 85, 9.6 at 105, 10.2 at 125 degC:
 * 7.2 (234.5 + T)/254.5. */
static void a_hot_relay_needs_more_volts(void **state) {
    (void)state;
    static const double rows[][2] = {{20, 7.2}, {60, 8.3}, {85, 9.0}, {105, 9.6}, {125, 10.2}};
    jv_relay r = {.coil_ohm = 90, .pull_in_v = 7.2, .drop_out_v = 1.2, .self_heat_k = 52};
    for (size_t i = 0; i < 5; i++)
        assert_close(jv_relay_pull_in_v(&r, rows[i][0]), rows[i][1], 0, 0.051);
    /* amps at pull-in stay: V and R grow alike */
    assert_close(jv_coil_current(&r, jv_relay_pull_in_v(&r, 125), 125), 0.08, 1e-9, 0);
    assert_close(jv_coil_temp_c(&r, 33, 12), 85, 1e-12, 0);
    assert_close(jv_coil_temp_c(&r, 33, 6), 46, 1e-12, 0); /* a quarter of the power */
    r.rated_v = 24;
    assert_close(jv_coil_temp_c(&r, 33, 12), 46, 1e-12, 0);
}

static void it_remembers_between_its_two_limits(void **state) {
    (void)state;
    jv_relay r = {.coil_ohm = 90, .pull_in_v = 7.2, .drop_out_v = 1.2};
    assert_false(jv_relay_closed(&r, false, 7.1, 20));
    assert_true(jv_relay_closed(&r, true, 7.1, 20));
    assert_true(jv_relay_closed(&r, false, 7.2, 20));
    assert_true(jv_relay_closed(&r, false, -7.2, 20));
    assert_true(jv_relay_closed(&r, true, 1.3, 20));
    assert_false(jv_relay_closed(&r, true, 1.2, 20));
    /* hot at 9.5 V on a flat battery: stays open, though it would hold at 3 V */
    assert_false(jv_relay_closed(&r, false, 9.5, 105));
    assert_true(jv_relay_closed(&r, true, 3, 105));
}

/* Chatter: load 0.10 ohm, drop-out 3 V, 12.5 V: 12.5 x 0.1/(0.1 + Rs) < 3 needs Rs above
 * 0.3167 ohm. Buzz: 5 + 3 + 2 ms is 100 Hz. */
static void a_bad_joint_makes_it_chatter(void **state) {
    (void)state;
    jv_relay r = {.coil_ohm = 90, .pull_in_v = 7.2, .drop_out_v = 3};
    assert_false(jv_relay_chatters(&r, 12.5, 0.10, 0.316, 20));
    assert_true(jv_relay_chatters(&r, 12.5, 0.10, 0.317, 20));
    assert_false(jv_relay_chatters(&r, 7.0, 0.10, 1, 20)); /* never closes at all */
    assert_close(jv_relay_buzz_hz(5e-3, 3e-3, 2e-3), 100, 1e-12, 0);
    jv_relay a = jv_relay_assumed(12); /* 60 % and 10 % of rated: printed guarantees */
    assert_close(a.pull_in_v, 7.2, 1e-12, 0);
    assert_close(a.drop_out_v, 1.2, 1e-12, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(copper_figures_grow_with_temperature),
        cmocka_unit_test(a_hot_relay_needs_more_volts),
        cmocka_unit_test(it_remembers_between_its_two_limits),
        cmocka_unit_test(a_bad_joint_makes_it_chatter),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
