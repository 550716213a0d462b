/* test_supply.c - a source that cannot take current in. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/supply.h"
#include "tests/support/close.h"

static double at(const jv_supply *s, double v, double *slope, jv_supply_state *is) {
    return jv_supply_current(s, v, slope, is);
}

/* By hand: 13.6 V, 10 mohm, 45 A: at 13.5 V (13.6 - 13.5)/0.01 = 10 A; limit at 13.15 V. */
static void it_regulates_limits_and_blocks(void **state) {
    (void)state;
    jv_supply s = {.set_v = 13.6, .resistance_ohm = 0.01, .limit_a = 45};
    double slope;
    jv_supply_state is;
    assert_close(at(&s, 13.5, &slope, &is), 10, 1e-9, 0);
    assert_close(slope, -100, 1e-12, 0);
    assert_int_equal(is, JV_SUPPLY_REGULATES);
    assert_close(at(&s, 12, &slope, &is), 45, 1e-12, 0);
    assert_close(slope, 0, 0, 0);
    assert_int_equal(is, JV_SUPPLY_LIMITS);
    assert_close(at(&s, 14.4, &slope, &is), 0, 0, 0); /* a higher battery does not feed it */
    assert_int_equal(is, JV_SUPPLY_BLOCKS);
    assert_close(at(&s, 0, NULL, NULL), 45, 1e-12, 0);
    for (double v = 0; v < 16; v += 0.01)
        assert_true(at(&s, v, NULL, NULL) >= at(&s, v + 0.01, NULL, NULL));
}

static void overloads_end_in_hiccup_where_told(void **state) {
    (void)state;
    jv_supply s = {.set_v = 13.6,
                   .resistance_ohm = 0.01,
                   .limit_a = 45,
                   .overload = JV_OVERLOAD_HICCUP,
                   .hiccup_share = 0.1};
    jv_supply_state is;
    assert_close(at(&s, 13.5, NULL, &is), 10, 1e-9, 0);
    assert_close(at(&s, 12, NULL, &is), 4.5, 1e-12, 0);
    assert_int_equal(is, JV_SUPPLY_HICCUP);
    s.overload = JV_OVERLOAD_CONSTANT_CURRENT;
    s.drop_out_v = 9;
    s.hiccup_share = 0;
    assert_close(at(&s, 9.1, NULL, &is), 45, 1e-12, 0);
    assert_close(at(&s, 8.9, NULL, &is), 0, 0, 0);
    s.limit_a = INFINITY;
    s.drop_out_v = 0;
    assert_close(at(&s, 12.6, NULL, &is), 100, 1e-9, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_regulates_limits_and_blocks),
        cmocka_unit_test(overloads_end_in_hiccup_where_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
