/* test_screw.c - screws and gears against textbook examples. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/screw.h"
#include "tests/support/close.h"

#define PI 3.14159265358979323846

static const double deg = PI / 180;
static const double inch = 0.0254, lbf = 4.4482216153;

/* W1: Mott, Machine Elements 4th ed., Example 17-1: 12,500 lb, Acme 1 1/2-4, Dp 1.3429 in,
 * L 0.250 in, f 0.15, 14.5 deg. Recomputed 3.391 deg, 1814 lb in up (printed 1809 with the
 * book's rounding), efficiency 0.274, 796 lb in down. */
static void mott_17_1(void **state) {
    (void)state;
    jv_screw s = {.mean_m = 1.3429 * inch,
                  .lead_m = 0.250 * inch,
                  .half_angle = 14.5 * deg,
                  .friction = 0.15};
    double f = 12500 * lbf, lb_in = lbf * inch;
    assert_close(jv_screw_lead_angle(&s) / deg, 3.391, 2e-4, 0);
    assert_close(jv_screw_raise_nm(&s, f) / lb_in, 1814, 5e-4, 0);
    assert_close(jv_screw_raise_nm(&s, f) / lb_in, 1809, 4e-3, 0);
    assert_close(jv_screw_lower_nm(&s, f) / lb_in, 796, 1e-3, 0);
    assert_close(jv_screw_efficiency(&s), 0.274, 2e-3, 0);
    assert_true(jv_screw_locks(&s, false));
    /* the normal angle is a little smaller, so is the torque, by less than 0.1 % here */
    double plain = jv_screw_raise_nm(&s, f);
    s.normal_angle = true;
    assert_true(jv_screw_raise_nm(&s, f) < plain);
    assert_close(jv_screw_raise_nm(&s, f), plain, 1e-3, 0);
}

/* W2: Shigley 8th ed., problem 8-4: 6 kN, l 5 mm, dm 22.5 mm, f 0.08, collar 0.05 at 40 mm:
 * raising 10.23 + 6 = 16.23 N m, lowering 0.622 + 6 = 6.622 N m, e = 0.294, self-locking. */
static void shigley_8_4(void **state) {
    (void)state;
    jv_screw s = {.mean_m = 22.5e-3,
                  .lead_m = 5e-3,
                  .friction = 0.08,
                  .collar_friction = 0.05,
                  .collar_mean_m = 40e-3};
    assert_close(jv_screw_raise_nm(&s, 6000), 16.23, 5e-4, 0);
    assert_close(jv_screw_lower_nm(&s, 6000), 6.622, 1e-4, 0);
    assert_close(jv_screw_efficiency(&s), 0.294, 5e-4, 0);
    assert_true(jv_screw_locks(&s, false));
    assert_true(jv_screw_locks(&s, true));
    assert_close(jv_screw_force_n(&s, jv_screw_raise_nm(&s, 6000)), 6000, 1e-12, 0);
}

/* W4: Bhandari, Design of Machine Elements, Example 6.1: triple start square 50 x 8 mm, 15 kN,
 * friction 0.15, collar 0.15 at 100/65 mm, uniform wear: 204,644.14 and 87,401.51 N mm. The
 * thread alone overhauls (-5,411 N mm), the collar holds it. */
static void bhandari_6_1(void **state) {
    (void)state;
    jv_screw s = {.mean_m = jv_screw_mean_m(50e-3, 8e-3),
                  .lead_m = 24e-3,
                  .friction = 0.15,
                  .collar_friction = 0.15,
                  .collar_mean_m = jv_collar_mean_wear_m(100e-3, 65e-3)};
    assert_close(jv_screw_raise_nm(&s, 15000), 204.64414, 1e-7, 0);
    assert_close(jv_screw_lower_nm(&s, 15000), 87.40151, 1e-6, 0);
    assert_false(jv_screw_locks(&s, false));
    assert_true(jv_screw_locks(&s, true));
    s.collar_friction = 0;
    assert_close(jv_screw_lower_nm(&s, 15000), -5.411, 1e-4, 0);
}

/* W5: same, Example 6.4: square 40 x 7 mm, 7 kN up, 3 kN down, thread 0.15, washer 0.12 at
 * 80/40 mm; over two arms of 500 mm: 52.410253 N up, 15.626055 N down, e = 0.148799. */
static void bhandari_6_4(void **state) {
    (void)state;
    jv_screw s = {.mean_m = jv_screw_mean_m(40e-3, 7e-3),
                  .lead_m = 7e-3,
                  .friction = 0.15,
                  .collar_friction = 0.12,
                  .collar_mean_m = jv_collar_mean_wear_m(80e-3, 40e-3)};
    assert_close(jv_screw_raise_nm(&s, 7000) / 1.0, 52.410253, 1e-7, 0);
    assert_close(jv_screw_lower_nm(&s, 3000) / 1.0, 15.626055, 1e-6, 0);
    assert_close(jv_screw_efficiency(&s), 0.148799, 1e-5, 0);
}

/* W6: same, Example 6.6: trapezoidal 52 x 8 mm, 15 deg, 2 kN, 0.15 / 0.12, collar 100/60,
 * 30 rpm: 0.0618377 kW, 12.9371 %. */
static void bhandari_6_6(void **state) {
    (void)state;
    jv_screw s = {.mean_m = jv_screw_mean_m(52e-3, 8e-3),
                  .lead_m = 8e-3,
                  .half_angle = 15 * deg,
                  .friction = 0.15,
                  .collar_friction = 0.12,
                  .collar_mean_m = jv_collar_mean_wear_m(100e-3, 60e-3)};
    assert_close(jv_screw_raise_nm(&s, 2000) * 30 * 2 * PI / 60, 61.8377, 1e-5, 0);
    assert_close(jv_screw_efficiency(&s), 0.129371, 1e-5, 0);
}

/* W7: Jindal, Machine Design, Example 16-1: d 30, p 6 mm square, 20 kN, f 0.2, collar 0.15 at
 * radii 8 and 16 mm: 110.148 N m.
 * W8: adaptivebooks.org statics 5.6.1 problem 2: 10,000 lb, two threads per inch, mean 2 in,
 * 0.2, square: 2840 in lb (2841.0).
 * W9: 20 kN, efficiency 0.70, lead 10 mm: 45.5 N m (45.47). */
static void jindal_and_statics(void **state) {
    (void)state;
    jv_screw s = {.mean_m = 27e-3,
                  .lead_m = 6e-3,
                  .friction = 0.2,
                  .collar_friction = 0.15,
                  .collar_mean_m = jv_collar_mean_wear_m(32e-3, 16e-3)};
    assert_close(jv_screw_raise_nm(&s, 20000), 110.148, 1e-5, 0);
    jv_screw a = {.mean_m = 2 * inch, .lead_m = 0.5 * inch, .friction = 0.2};
    assert_close(jv_screw_raise_nm(&a, 10000 * lbf) / (lbf * inch), 2841.0, 1e-4, 0);
    assert_close(jv_screw_raise_nm(&a, 10000 * lbf) / (lbf * inch), 2840, 1e-3, 0);
    /* e = 0.70 and l = 10 mm: square with f = tan L (1 - e)/(e + tan^2 L), from (W3) turned
     * round, at any mean diameter */
    double t = 10.0 / (PI * 30), e = 0.70;
    jv_screw n = {.mean_m = 30e-3, .lead_m = 10e-3, .friction = t * (1 - e) / (e + t * t)};
    assert_close(jv_screw_raise_nm(&n, 20000), 45.47, 1e-4, 0);
}

/* Acme rows by Shigley's Eq. 8-5 form, collar friction none, dm = d - p/2: designation, starts,
 * f, efficiency, N mm per N raising and lowering, self-locking. */
static void acme_table(void **state) {
    (void)state;
    static const struct {
        double d, pitch, starts, f, e, raise, lower;
        bool locks;
    } rows[] = {
        {12.7, 2.54, 1, 0.08, 0.459, 0.8816, 0.0676, true},
        {12.7, 2.54, 1, 0.15, 0.310, 1.3040, 0.4760, true},
        {12.7, 2.54, 2, 0.10, 0.570, 1.4196, -0.2151, false},
        {15.875, 3.175, 2, 0.08, 0.624, 1.6199, -0.4155, false},
        {19.05, 25.4 / 6, 1, 0.15, 0.335, 2.0103, 0.6303, true},
        {19.05, 25.4 / 6, 2, 0.15, 0.494, 2.7265, -0.0349, false},
        {22.225, 25.4 / 6, 1, 0.20, 0.242, 2.7894, 1.3841, true},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        jv_screw s = {.mean_m = jv_screw_mean_m(rows[i].d * 1e-3, rows[i].pitch * 1e-3),
                      .lead_m = rows[i].starts * rows[i].pitch * 1e-3,
                      .half_angle = 14.5 * deg,
                      .friction = rows[i].f};
        assert_close(jv_screw_efficiency(&s), rows[i].e, 0, 6e-4);
        assert_close(jv_screw_raise_nm(&s, 1) * 1e3, rows[i].raise, 1e-4, 0);
        assert_close(jv_screw_lower_nm(&s, 1) * 1e3, rows[i].lower, 0, 1e-4);
        assert_true(jv_screw_locks(&s, false) == rows[i].locks);
    }
    jv_screw jams = {.mean_m = 5e-3, .lead_m = 40e-3, .friction = 0.5};
    assert_true(isinf(jv_screw_raise_nm(&jams, 1)));
    assert_close(jv_screw_efficiency(&jams), 0, 0, 0);
}

/* Generic leg L30 by hand: 3000 lbf = 13,345 N, e = 0.2932, l = 5.08 mm: T_s = F l/(2 pi e) =
 * 36.8 N m; N = 60, 0.75: T_m = 0.818 N m; I = 0.818/0.028 + 3 = 32.2 A; at 12 V w =
 * 313.5 rad/s, 4.22 mm/s = 9.98 in/min; 12 in in 72 s. */
static void whole_leg(void **state) {
    (void)state;
    double mean = 22.86e-3, t = 5.08e-3 / (PI * mean), e = 0.2932;
    jv_leg leg = {
        .motor = {.resistance_ohm = 0.10, .ke_v_s = 0.028, .kt_nm_a = 0.028, .no_load_a = 3},
        .gear = {.ratio = 60, .efficiency = 0.75},
        .screw = {.mean_m = mean, .lead_m = 5.08e-3, .friction = t * (1 - e) / (e + t * t)}};
    double force = 3000 * lbf;
    assert_close(jv_screw_raise_nm(&leg.screw, force), 36.8, 1e-3, 0);
    assert_close(jv_leg_load_current(&leg, force), 32.2, 1e-3, 0);
    /* speed against terminal volts, in/min: 12.6 10.7, 12 10.0, 11 8.8, 10 7.7, 9 6.6, 8 5.4 */
    static const double speeds[][2] = {{12.6, 10.7}, {12, 10.0}, {11, 8.8},
                                       {10, 7.7},    {9, 6.6},   {8, 5.4}};
    for (size_t i = 0; i < 6; i++) {
        jv_leg_point p = jv_leg_steady(&leg, speeds[i][0], force);
        assert_close(p.current_a, 32.2, 1e-3, 0);
        assert_close(p.speed / inch * 60, speeds[i][1], 0, 0.051);
    }
    /* ideal 12 V: stalls at 12,000 lbf; when only 90 A come through (9 V): 8,900 lbf */
    assert_close(jv_leg_stall_force_n(&leg, 12) / lbf, 12000, 0.01, 0);
    assert_close(jv_leg_stall_force_n(&leg, 9) / lbf, 8900, 0.01, 0);
    assert_close(jv_leg_stall_force_n(&leg, 0.1), 0, 0, 0);
    jv_leg_point stall = jv_leg_steady(&leg, 9, jv_leg_stall_force_n(&leg, 9) * 1.0001);
    assert_true(stall.stalled);
    assert_close(stall.current_a, 90, 1e-12, 0);
    assert_close(stall.speed, 0, 0, 0);
    /* lowering asks less than lifting, more than nothing */
    double down = jv_leg_load_current(&leg, -force);
    assert_true(down > 3 && down < 32.2 / 2);
    /* a thread that overhauls pushes the motor along */
    leg.screw.friction = 0;
    assert_true(jv_leg_load_current(&leg, -force) < 3);
    assert_true(jv_leg_steady(&leg, 12, -force).current_a >= 0);
}

/* Gears by hand: 3:1 at 0.95 and 20:1 at 0.8 with drags 0.01 and 0.02 N m: 60:1, 0.76,
 * 0.03; 45.6 N m out needs 0.03 + 45.6/(60 x 0.76) = 1.03 N m. Worm, an = 14.5 deg, lead
 * angle 5 deg, f 0.05: (0.96815 - 0.05 x 0.08749)/(0.96815 + 0.05/0.08749) = 0.62597. */
static void gears(void **state) {
    (void)state;
    const jv_gear stages[] = {{3, 0.95, 0.01}, {20, 0.8, 0.02}};
    jv_gear g = jv_gear_chain(stages, 2);
    assert_close(g.ratio, 60, 1e-12, 0);
    assert_close(g.efficiency, 0.76, 1e-12, 0);
    assert_close(jv_gear_motor_nm(&g, 45.6), 1.03, 1e-12, 0);
    assert_close(jv_worm_efficiency(14.5 * deg, 0.05, 5 * deg), 0.62597, 1e-5, 0);
    /* uniform pressure ring 100/50 mm: 2/3 (1 - 1/8)/(1 - 1/4) x 100 = 77.78 mm */
    assert_close(jv_collar_mean_pressure_m(0.1, 0.05), 0.0777778, 1e-6, 0);
    /* 10 kN with 1 kN side load, mu 0.15, a/b = 2: 10,000 + 0.15 x 2 x 1000 x 2 = 10,600 */
    assert_close(jv_leg_with_tube_drag_n(10000, -1000, 0.15, 0.6, 0.3), 10600, 1e-12, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mott_17_1),    cmocka_unit_test(shigley_8_4),
        cmocka_unit_test(bhandari_6_1), cmocka_unit_test(bhandari_6_4),
        cmocka_unit_test(bhandari_6_6), cmocka_unit_test(jindal_and_statics),
        cmocka_unit_test(acme_table),   cmocka_unit_test(whole_leg),
        cmocka_unit_test(gears),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
