/* test_fuse.c - fuses and breakers. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/fuse.h"
#include "tests/support/close.h"

static jv_time_curve curve(jv_fuse_style style, double rating) {
    jv_time_curve c;
    assert_int_equal(jv_table_fuse_curve(style, rating, &c), JV_OK);
    return c;
}

/* Printed bands, percent: mini blade 135: 0.75 .. 600 s, 200: 0.15 .. 5, 350: 0.08 .. 0.5, 600:
 * 0.03 .. 0.1 (mini15_note); regular blade the same to 350; maxi 135: 60 .. 1800, 200: 2 .. 50,
 * 350: 0.2 .. 7, 600: 0.04 .. 1 (maxi40_note). */
static void printed_points_come_back(void **state) {
    (void)state;
    static const struct {
        jv_fuse_style style;
        double rating, percent, least, greatest;
    } rows[] = {
        {JV_FUSE_BLADE_F, 15, 135, 0.75, 600}, {JV_FUSE_BLADE_F, 15, 200, 0.15, 5},
        {JV_FUSE_BLADE_F, 15, 350, 0.08, 0.5}, {JV_FUSE_BLADE_F, 15, 600, 0.03, 0.1},
        {JV_FUSE_BLADE_C, 20, 135, 0.75, 600}, {JV_FUSE_BLADE_C, 20, 350, 0.08, 0.5},
        {JV_FUSE_BLADE_E, 40, 135, 60, 1800},  {JV_FUSE_BLADE_E, 40, 200, 2, 50},
        {JV_FUSE_BLADE_E, 40, 600, 0.04, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        jv_time_curve c = curve(rows[i].style, rows[i].rating);
        jv_fuse_band b = jv_fuse_opens(&c, rows[i].percent / 100);
        assert_int_equal(b.known, JV_FUSE_BAND);
        assert_close(b.least_s, rows[i].least, 1e-9, 0);
        assert_close(b.greatest_s, rows[i].greatest, 1e-9, 0);
        assert_true(b.confidence == JV_SOLID || b.confidence == JV_USABLE);
    }
}

/* By hand between 200 and 350 % of the mini blade, half way in log current (264.575 %):
 * sqrt(0.15 x 0.08) = 0.109545 and sqrt(5 x 0.5) = 1.581139 s. */
static void between_points_it_is_straight_in_logs(void **state) {
    (void)state;
    jv_time_curve c = curve(JV_FUSE_BLADE_F, 15);
    jv_fuse_band b = jv_fuse_opens(&c, sqrt(2.0 * 3.5));
    assert_int_equal(b.known, JV_FUSE_BAND);
    assert_close(b.least_s, 0.109545, 1e-5, 0);
    assert_close(b.greatest_s, 1.581139, 1e-6, 0);
    double before = INFINITY;
    for (double x = 1.35; x < 8; x += 0.01) {
        b = jv_fuse_opens(&c, x);
        assert_true(b.greatest_s <= before);
        before = b.greatest_s;
    }
}

/* Worked example: a 10 A mini may hold 13.5 A for ever; 13.5 to 20 A at most 600 s .. ; 60 A and
 * more at most 0.1 s. No maximum is printed between 110 and 135 %. */
static void outside_the_points_it_says_what_is_not_known(void **state) {
    (void)state;
    jv_time_curve c = curve(JV_FUSE_BLADE_F, 10);
    jv_fuse_band b = jv_fuse_opens(&c, 1.0);
    assert_int_equal(b.known, JV_FUSE_HOLDS);
    assert_close(b.least_s, 360000, 1e-9, 0);
    assert_true(isnan(b.greatest_s));
    b = jv_fuse_opens(&c, 1.2);
    assert_int_equal(b.known, JV_FUSE_PARTLY);
    assert_true(isnan(b.greatest_s));
    assert_true(b.least_s < 360000 && b.least_s > 0.75);
    b = jv_fuse_opens(&c, 90); /* 900 A */
    assert_int_equal(b.known, JV_FUSE_PARTLY);
    assert_close(b.greatest_s, 0.1, 1e-9, 0);
    assert_true(isnan(b.least_s));
    assert_int_equal(jv_fuse_opens(&c, 0).known, JV_FUSE_UNKNOWN);
    assert_int_equal(jv_fuse_opens(&c, NAN).known, JV_FUSE_UNKNOWN);
    jv_time_curve empty = {0};
    assert_int_equal(jv_fuse_opens(&empty, 2).known, JV_FUSE_UNKNOWN);
    assert_int_equal(jv_fuse_opens(&empty, 2).confidence, JV_WEAK);
}

/* Bolt-in strips rest on memory: whatever they answer is for no verdict. */
static void memory_stays_marked(void **state) {
    (void)state;
    jv_time_curve c = curve(JV_FUSE_BOLT_IN, 100);
    for (double x = 0.5; x < 10; x += 0.25) {
        assert_int_equal(jv_fuse_opens(&c, x).confidence, JV_WEAK);
    }
    assert_int_equal(jv_fuse_opens(&c, 2).known, JV_FUSE_BAND);
}

static void a_curve_of_the_users_own(void **state) {
    (void)state;
    jv_time_curve c;
    const double points[][3] = {{110, 360000, INFINITY}, {150, 10, 100}, {300, 0.1, 1}};
    assert_int_equal(jv_fuse_user_curve(points, 3, JV_USABLE, &c), JV_OK);
    assert_close(jv_fuse_opens(&c, 1.5).greatest_s, 100, 1e-12, 0);
    assert_close(jv_fuse_opens(&c, 1.5 * sqrt(2)).greatest_s, 10, 1e-9, 0); /* by hand */
    assert_close(jv_fuse_opens(&c, 1.5 * sqrt(2)).least_s, 1, 1e-9, 0);
    assert_int_equal(jv_fuse_opens(&c, 2).confidence, JV_USABLE);
    const double falling[][3] = {{150, 10, 100}, {110, 1, 10}};
    const double crossed[][3] = {{150, 100, 10}};
    const double zero[][3] = {{0, 1, 10}};
    const double first[][3] = {{150, 10, 100}};
    assert_int_equal(jv_fuse_user_curve(falling, 2, JV_USABLE, &c), JV_ERR_RANGE);
    assert_int_equal(jv_fuse_user_curve(crossed, 1, JV_USABLE, &c), JV_ERR_RANGE);
    assert_int_equal(jv_fuse_user_curve(zero, 1, JV_USABLE, &c), JV_ERR_RANGE);
    assert_int_equal(jv_fuse_user_curve(points, 0, JV_USABLE, &c), JV_ERR_RANGE);
    assert_int_equal(jv_fuse_user_curve(points, 99, JV_USABLE, &c), JV_ERR_RANGE);
    assert_int_equal(jv_fuse_user_curve(first, 1, JV_USABLE, &c), JV_OK);
    assert_int_equal(jv_fuse_opens(&c, 1.2).known, JV_FUSE_UNKNOWN); /* no hold point */
}

/* Mini 7.5 A 10.85 mohm, 15 A 4.58 mohm (sheets); 0.21 W at 4.36 A; 15 A mini 1.0 mV is 218 mA.
 * Hot over cold at rated current 1.34 .. 1.67. */
static void resistance_of_the_sheets(void **state) {
    (void)state;
    jv_fuse_ohms o;
    assert_int_equal(jv_fuse_resistance(JV_FUSE_BLADE_F, 7.5, &o), JV_OK);
    assert_close(o.cold_ohm, 10.85e-3, 1e-9, 0);
    assert_close(4.36 * 4.36 * jv_fuse_resistance_at(&o, 0), 0.206, 2e-3, 0);
    assert_int_equal(jv_fuse_resistance(JV_FUSE_BLADE_F, 15, &o), JV_OK);
    assert_close(1e-3 / o.cold_ohm, 0.218, 3e-3, 0);
    assert_true(o.hot_ohm / o.cold_ohm >= 1.3 && o.hot_ohm / o.cold_ohm <= 1.7);
    assert_close(jv_fuse_resistance_at(&o, 1), o.hot_ohm, 1e-12, 0);
    assert_close(jv_fuse_resistance_at(&o, -1), o.hot_ohm, 1e-12, 0);
    assert_close(jv_fuse_resistance_at(&o, 0), o.cold_ohm, 1e-12, 0);
    assert_close(jv_fuse_resistance_at(&o, 5), jv_fuse_resistance_at(&o, 1.35), 1e-12, 0);
    assert_int_equal(jv_fuse_resistance((jv_fuse_style)77, 15, &o), JV_ERR_RANGE);
}

/* 0.75 of the rating at 25 degC (fuse makers) times the maxi line 1.0 at 20, 0.85 at 65, 0.75 at
 * 85, 0.55 at 125 degC. */
static void hot_surroundings_leave_less(void **state) {
    (void)state;
    static const double rows[][2] = {{20, 1}, {65, 0.85}, {85, 0.75}, {125, 0.55}};
    jv_figure f;
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(jv_fuse_lasting_share(JV_FUSE_BLADE_E, rows[i][0], &f), JV_OK);
        assert_close(f.value, 0.75 * rows[i][1], 1e-9, 0);
    }
    assert_int_equal(jv_fuse_lasting_share(JV_FUSE_BLADE_C, 65, &f), JV_OK);
    assert_true(f.value <= 0.75 && f.value >= 0.6);
    assert_int_equal(jv_fuse_lasting_share(JV_FUSE_BLADE_E, 300, &f), JV_ERR_RANGE);
    /* mini25_i2t_note: 625 A2s at 240 A: 10.85 ms */
    assert_close(jv_fuse_melt_s(625, 240), 10.85e-3, 1e-4, 0);
}

/* SAE J553 summary: I closes again by itself, II stays open while it is fed, III waits for a
 * person, and holding its button cannot keep it closed on a fault (it must cool first). */
static void breakers_come_back_in_their_own_ways(void **state) {
    (void)state;
    assert_false(jv_breaker_closes(JV_BREAKER_AUTOMATIC, 5, 10, true, false));
    assert_true(jv_breaker_closes(JV_BREAKER_AUTOMATIC, 10, 10, true, false));
    assert_false(jv_breaker_closes(JV_BREAKER_MODIFIED, 1000, 10, true, false));
    assert_true(jv_breaker_closes(JV_BREAKER_MODIFIED, 1000, 10, false, false));
    assert_false(jv_breaker_closes(JV_BREAKER_MANUAL, 1000, 10, true, false));
    assert_true(jv_breaker_closes(JV_BREAKER_MANUAL, 1000, 10, true, true));
    assert_false(jv_breaker_closes(JV_BREAKER_MANUAL, 5, 10, true, true));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(printed_points_come_back),
        cmocka_unit_test(between_points_it_is_straight_in_logs),
        cmocka_unit_test(outside_the_points_it_says_what_is_not_known),
        cmocka_unit_test(memory_stays_marked),
        cmocka_unit_test(a_curve_of_the_users_own),
        cmocka_unit_test(resistance_of_the_sheets),
        cmocka_unit_test(hot_surroundings_leave_less),
        cmocka_unit_test(breakers_come_back_in_their_own_ways),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
