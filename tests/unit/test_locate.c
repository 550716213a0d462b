/* test_locate.c - distances along a lead, against printed examples. SPDX-License-Identifier: MIT */
#include "jackvolt/locate.h"
#include "tests/support/close.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static void murray_loops(void **state) {
    (void)state;
    double d;
    /* Hawkins Electrical Guide vol. 3, at Fig. 597: A = 332 of 1000, loop 54.07 ohm, 16.46 ohm a
     * mile; printed 1.09 miles, recomputed 1.090598. */
    assert_int_equal(jv_locate_murray(668.0, 332.0, 54.07, &d), JV_OK);
    assert_close(d / 16.46, 1.090598, 1e-6, 0);
    /* examians.com, MGVCL paper of 30 July 2021, shift 2: 600 m looped with its equal, 3:1; printed
     * 300 m. */
    assert_int_equal(jv_locate_murray(3.0, 1.0, 1200.0, &d), JV_OK);
    assert_close(d, 300.0, 1e-12, 0);
    /* Same site, shift 3: 300 m, 20 ohm on the faulty core, 40 ohm on the sound one; computed
     * 20/60 x 600. */
    assert_int_equal(jv_locate_murray(40.0, 20.0, 600.0, &d), JV_OK);
    assert_close(d, 200.0, 1e-12, 0);
    /* expertsmind.com library 5138490: arms 2 and 1, 300 m: 200 m lies on the faulty core, the
     * other way round 400 m does not. */
    assert_int_equal(jv_locate_murray(2.0, 1.0, 600.0, &d), JV_OK);
    assert_close(d, 200.0, 1e-12, 0);
    assert_int_equal(jv_locate_murray(1.0, 2.0, 600.0, &d), JV_OK);
    assert_close(d, 400.0, 1e-12, 0);
    assert_int_equal(jv_locate_murray(0.0, 0.0, 600.0, &d), JV_ERR_RANGE);
}

static void varley_loops(void **state) {
    (void)state;
    double d, whole;
    /* Formula of expertsmind.co.uk 2477793, inputs and answer by hand: 200 m of 120 mm2, leads 10 m
     * of 10 mm2, Ri/Rf = 0.2: (0.8 - 0.2 x 0.6) 200 = 136 m; 160 m without the leads. */
    assert_int_equal(jv_locate_varley_ratio(0.2, 120.0, 200.0, 10.0, 10.0, &d), JV_OK);
    assert_close(d, 136.0, 1e-12, 0);
    assert_int_equal(jv_locate_varley_ratio(0.2, 120.0, 200.0, 10.0, 0.0, &d), JV_OK);
    assert_close(d, 160.0, 1e-12, 0);
    /* askfilo.com 3136393330383430: 0.5 ohm/km, P = 15, Q = 40. S1 = 20, S2 = 10 gives a negative
     * distance and is refused; S1 = 10, S2 = 20: 7.5 ohm for both, X = 2.727273 ohm. */
    assert_int_equal(jv_locate_varley(15.0, 40.0, 20.0, 10.0, &d, &whole), JV_ERR_RANGE);
    assert_int_equal(jv_locate_varley(15.0, 40.0, 10.0, 20.0, &d, &whole), JV_OK);
    assert_close(whole, 7.5, 1e-12, 0);
    assert_close(d, 2.727273, 1e-6, 0);
    assert_close(d / 0.5, 5.454545, 1e-6, 0);
}

static void bridges(void **state) {
    (void)state;
    double open, source;
    /* Everything Physical Science grade 11, example 8, p. 456: printed 12 ohm. */
    assert_close(jv_bridge_balanced(4.0, 8.0, 6.0), 12.0, 1e-12, 0);
    /* Giancoli, 7th edition, chapter 19: computed R2 R3/R1. */
    assert_close(jv_bridge_balanced(590.0, 972.0, 78.6), 129.490, 1e-5, 0);
    /* arab-eng.org thread 270324: 5 V, 120, 120, 120, 120.1 ohm, meter 50 ohm; Thevenin by hand
     * 1.041233 mV, 120.02499 ohm, 6.123999 uA. B is the higher side here: sign by hand. */
    double i = jv_bridge_current(5.0, 120.0, 120.0, 120.0, 120.1, 50.0, &open, &source);
    assert_close(open, 1.041233e-3, 1e-6, 0);
    assert_close(source, 120.02499, 1e-7, 0);
    assert_close(i, 6.123999e-6, 1e-6, 0);
    /* meritnation.com 7217465 prints 1.071 A and a node at 14.28 V on a 5 V supply: wrong. By hand
     * 1.666667 V behind 4 ohm into 10 ohm: 0.119048 A. */
    i = jv_bridge_current(5.0, 2.0, 4.0, 4.0, 8.0, 10.0, &open, &source);
    assert_close(open, 1.666667, 1e-6, 0);
    assert_close(source, 4.0, 1e-12, 0);
    assert_close(i, 0.119048, 1e-5, 0);
}

static void ohms_and_drops_along_a_lead(void **state) {
    (void)state;
    jv_distance d;
    /* By hand: 20 AWG, 33.3 mohm/m, lead and return 66.6 mohm/m; 0.566 ohm shown, leads 0.2 ohm:
     * 0.366/0.0666 = 5.4955 m; meter 0.1 ohm, short 0.05 ohm: sqrt(0.0125)/0.0666 = 1.6787 m. */
    assert_int_equal(jv_locate_ohms(0.566, 0.2, 0.0666, 10.0, 0.1, 0.05, 0.0, &d), JV_OK);
    assert_close(d.from_a, 5.4955, 1e-4, 0);
    assert_close(d.sd, 1.6787, 1e-4, 0);
    /* The drop with a known 2 A is far finer: 0.18315 V / 2 A / 0.0333 = 2.75 m; 0.1 mV, 1 % of the
     * current: sqrt((1e-4/2)^2 + (0.091575 x 0.01)^2)/0.0333 = 0.02754 m. */
    assert_int_equal(jv_locate_drop(0.18315, 2.0, 0.0333, 10.0, 1e-4, 0.02, 0.0, &d), JV_OK);
    assert_close(d.from_a, 2.75, 1e-9, 0);
    assert_close(d.sd, 0.02754, 1e-3, 0);
    /* Beyond the end, and without current. */
    assert_int_equal(jv_locate_drop(2.0, 2.0, 0.0333, 10.0, 1e-4, 0.02, 0.01, &d), JV_ERR_RANGE);
    assert_int_equal(jv_locate_drop(0.1, 0.0, 0.0333, 10.0, 1e-4, 0.02, 0.01, &d), JV_ERR_RANGE);
    assert_int_equal(jv_locate_ohms(0.1, 0.2, 0.0, 10.0, 0.1, 0.0, 0.0, &d), JV_ERR_RANGE);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(murray_loops),
        cmocka_unit_test(varley_loops),
        cmocka_unit_test(bridges),
        cmocka_unit_test(ohms_and_drops_along_a_lead),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
