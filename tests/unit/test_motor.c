/* test_motor.c - motors against textbook and data-sheet points. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/motor.h"
#include "tests/support/close.h"

#define PI 3.14159265358979323846

static const double rpm = 2 * PI / 60;

/* Data-sheet points of public 12 V motors and the R, kt, ke worked out from them by
 * R = V/Is, kt = Ts/(Is - I0), ke = (V - I0 R)/w0 (WPILib motor constants; A, B, C, E, I). */
static void constants_follow_from_the_data_sheet(void **state) {
    (void)state;
    static const struct {
        double w0_rpm, i0, is, ts, r, kt, ke;
    } cases[] = {
        {5310, 2.7, 133, 2.42, 0.0902, 0.01857, 0.02114},
        {5840, 3, 89, 1.41, 0.1348, 0.01640, 0.01896},
        {13180, 1.8, 53, 0.43, 0.2264, 0.00840, 0.00840},
        {5800, 1.6, 18, 0.28, 0.6667, 0.01707, 0.01800},
        {7200, 0.19, 6.031, 0.0910057, 1.9897, 0.01558, 0.01541},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jv_motor m;
        assert_int_equal(jv_motor_from_stall(12, cases[i].w0_rpm * rpm, cases[i].i0, cases[i].is,
                                             cases[i].ts, &m),
                         JV_OK);
        assert_close(m.resistance_ohm, cases[i].r, 6e-4, 0);
        assert_close(m.kt_nm_a, cases[i].kt, 6e-4, 0);
        assert_close(m.ke_v_s, cases[i].ke, 6e-4, 0);
        /* and the no-load point comes back */
        jv_motor_point p = jv_motor_steady(&m, 12, 0);
        assert_close(p.current_a, cases[i].i0, 1e-12, 0);
        assert_close(p.speed, cases[i].w0_rpm * rpm, 1e-12, 0);
    }
    jv_motor m;
    assert_int_equal(jv_motor_from_stall(12, 500, 3, 3, 1, &m), JV_ERR_RANGE);
    assert_int_equal(jv_motor_from_two_points(12, 300, 3, 400, 30, 1, &m), JV_ERR_RANGE);
}

/* Leg set L30, invented so that all equations close: R 0.10, ke = kt = 0.028, I0 3. Two
 * running points by hand: I 3 -> w0 = (12 - 0.3)/0.028 = 417.857; I 32.2, T 0.8176 ->
 * w = (12 - 3.22)/0.028 = 313.571. */
static void two_running_points_give_the_same_motor(void **state) {
    (void)state;
    jv_motor m;
    double w0 = 11.7 / 0.028, w1 = 8.78 / 0.028;
    assert_int_equal(jv_motor_from_two_points(12, w0, 3, w1, 32.2, 29.2 * 0.028, &m), JV_OK);
    assert_close(m.resistance_ohm, 0.10, 1e-9, 0);
    assert_close(m.ke_v_s, 0.028, 1e-9, 0);
    assert_close(m.kt_nm_a, 0.028, 1e-9, 0);
}

static const jv_motor l30 = {.resistance_ohm = 0.10,
                             .ke_v_s = 0.028,
                             .kt_nm_a = 0.028,
                             .no_load_a = 3,
                             .magnet_per_k = -0.002,
                             .inertia_kg_m2 = 1.5e-4,
                             .inductance_h = 0.10e-3};

/* The popular belief, that a starved motor draws less, is wrong while it turns. */
static void a_starved_motor_keeps_its_current_and_slows(void **state) {
    (void)state;
    double torque = 0.8176, before = INFINITY; /* 29.2 A x 0.028 */
    for (double v = 14; v > 3.3; v -= 0.1) {
        jv_motor_point p = jv_motor_steady(&l30, v, torque);
        assert_false(p.stalled);
        assert_close(p.current_a, 32.2, 1e-12, 0);
        assert_close(p.slope, 0, 0, 0);
        assert_true(p.speed < before);
        before = p.speed;
    }
    /* below I R = 3.22 V it stalls and is a resistor */
    jv_motor_point p = jv_motor_steady(&l30, 3.0, torque);
    assert_true(p.stalled);
    assert_close(p.current_a, 30, 1e-12, 0);
    assert_close(p.slope, 10, 1e-12, 0);
    assert_close(p.speed, 0, 0, 0);
}

static void reversed_polarity_is_the_mirror(void **state) {
    (void)state;
    for (double v = 0.5; v < 14; v += 0.75) {
        jv_motor_point a = jv_motor_steady(&l30, v, 0.5), b = jv_motor_steady(&l30, -v, 0.5);
        assert_close(b.current_a, -a.current_a, 0, 0);
        assert_close(b.speed, -a.speed, 0, 0);
        assert_close(b.slope, a.slope, 0, 0);
        assert_true(a.stalled == b.stalled);
    }
}

/* W16: 120 V motor, 7.00 A, 0.720 ohm: back EMF 114.96 V (printed 115), start 166.7 A
 * (167), 7.28 ohm in series for a 15.0 A start. edu.com physics problem 894787.
 * W17: 13 ohm, 120 V, back EMF 66 V: 9.23 A at switch-on, 4.15 A at speed.
 * W18: 115 V, 6.5 A running, 21.5 A at start: back EMF 80.23 V.
 * W19: 220 V, 30 A, 0.75 ohm: 197.5 V (Bakshi ch. 9 ex. 3). */
static void back_emf_and_start_of_the_textbooks(void **state) {
    (void)state;
    static const struct {
        double v, ohm, amps, emf, start;
    } cases[] = {
        {120, 0.720, 7.00, 114.96, 166.67},
        {120, 13, 54.0 / 13, 66, 9.231},
        {115, 115 / 21.5, 6.5, 80.23, 21.5},
        {220, 0.75, 30, 197.5, 293.33},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jv_drive d = {.load_a = cases[i].amps, .resistance_ohm = cases[i].ohm};
        jv_motor_point p = jv_drive_steady(&d, cases[i].v);
        assert_close(p.current_a, cases[i].amps, 1e-12, 0);
        assert_close(p.speed, cases[i].emf, 1e-4, 0);
        d.load_a = INFINITY; /* rotor held */
        p = jv_drive_steady(&d, cases[i].v);
        assert_close(p.current_a, cases[i].start, 1e-4, 0);
        assert_true(p.stalled);
    }
    jv_motor m = {.resistance_ohm = 0.720, .ke_v_s = 1, .kt_nm_a = 1, .no_load_a = 1000};
    assert_close(jv_motor_inrush(&m, 120, 7.28, 0, 1), 15.0, 1e-4, 0);
}

/* W11: 220 V, 10 A, 900 rpm, Ra 1 ohm: 9.33 ohm in series for 500 rpm at the same torque.
 * W13: 120 V, Ra 0.25 ohm, brush 3 V: E 110 -> 28 A, E 105 -> 48 A (Kosow ex. 4-7).
 * W14: E at 38, 19, 47.5 A: 1800, 1862.5, 1768.7 rpm (Kosow ex. 4-8, Ra 0.2, brush 3 V). */
static void speed_and_series_resistance_of_the_textbooks(void **state) {
    (void)state;
    jv_motor m = {.resistance_ohm = 1, .kt_nm_a = 1, .no_load_a = 10};
    m.ke_v_s = (220 - 10) / (900 * rpm);
    assert_close(jv_motor_steady(&m, 220, 0).speed, 900 * rpm, 1e-12, 0);
    m.resistance_ohm += 9.3333;
    assert_close(jv_motor_steady(&m, 220, 0).speed, 500 * rpm, 1e-4, 0);
    assert_close(jv_motor_steady(&m, 220, 0).current_a, 10, 1e-12, 0);

    jv_motor k = {.resistance_ohm = 0.25, .ke_v_s = 1, .kt_nm_a = 1, .brush_v = 3};
    assert_close(jv_motor_steady(&k, 120, 28).speed, 110, 1e-12, 0);
    assert_close(jv_motor_steady(&k, 120, 48).speed, 105, 1e-12, 0);

    jv_motor s = {.resistance_ohm = 0.2, .kt_nm_a = 1, .brush_v = 3};
    s.ke_v_s = (120 - 3 - 38 * 0.2) / (1800 * rpm);
    assert_close(jv_motor_steady(&s, 120, 38).speed, 1800 * rpm, 1e-9, 0);
    assert_close(jv_motor_steady(&s, 120, 19).speed, 1862.5 * rpm, 1e-4, 0);
    assert_close(jv_motor_steady(&s, 120, 47.5).speed, 1768.7 * rpm, 1e-4, 0);
}

/* W20: peak power at half the no-load speed and half the stall torque: 600 rpm, 0.325 N m ->
 * 5.1 W; 3750 rpm, 0.0722 -> 7.1 W; 92 rpm, 1.6 -> 3.9 W (MIT 2.007). */
static void peak_power_lies_at_half_speed(void **state) {
    (void)state;
    static const double cases[][3] = {{600, 0.325, 5.1}, {3750, 0.0722, 7.1}, {92, 1.6, 3.9}};
    for (size_t i = 0; i < 3; i++) {
        jv_motor m;
        jv_motor_from_stall(12, cases[i][0] * rpm, 0, 10, cases[i][1], &m);
        double best = 0, at = 0;
        for (double share = 0.01; share < 1; share += 0.01) {
            double power = jv_motor_steady(&m, 12, share * cases[i][1]).speed * share * cases[i][1];
            if (power > best) {
                best = power, at = share;
            }
        }
        assert_close(at, 0.5, 0, 0.006);
        assert_close(best, cases[i][2], 0, 0.05); /* printed to 0.1 W */
    }
}

/* W15: 10 hp (7460 W) series motor, 220 V, Ra + Rf = 1 ohm, rotational loss 1040 W: 50 A,
 * efficiency 67.82 %. Torque 8500/w with k chosen for any speed, here 100 rad/s. */
static void series_motor_of_the_textbook(void **state) {
    (void)state;
    jv_series_motor m = {.resistance_ohm = 1, .k = 8500.0 / 100 / (50 * 50)};
    jv_motor_point p = jv_series_steady(&m, 220, 85);
    assert_close(p.current_a, 50, 1e-9, 0);
    assert_close(p.speed, 100, 1e-9, 0);
    assert_close(7460 / (220 * p.current_a), 0.6782, 1e-4, 0);
    /* current is independent of the volts, and grows as the root of the torque */
    assert_close(jv_series_steady(&m, 150, 85).current_a, 50, 1e-9, 0);
    assert_close(jv_series_steady(&m, 220, 4 * 85).current_a, 100, 1e-9, 0);
    /* turned round: current changes sign, the direction stays; below I R it stalls */
    assert_close(jv_series_steady(&m, -220, 85).current_a, -50, 1e-9, 0);
    assert_close(jv_series_steady(&m, -220, 85).speed, 100, 1e-9, 0);
    assert_true(jv_series_steady(&m, 40, 85).stalled);
    assert_close(jv_series_steady(&m, 40, 85).current_a, 40, 1e-12, 0);
    assert_true(isinf(jv_series_steady(&m, 220, 0).speed));
    /* saturated with Ih = 50: k I^2/(1 + I/50) = T at I = 50 for T = 85/2 */
    m.saturation_a = 50;
    assert_close(jv_series_steady(&m, 220, 42.5).current_a, 50, 1e-9, 0);
}

/* Factors of copper (0.00393/K at 20 degC) and ferrite (-0.2 %/K): table of combined factors
 * at -20, 60, 100, 120 degC: R 0.843 1.157 1.314 1.393, ke 1.08 0.92 0.84 0.80, current at
 * the same torque 0.93 1.09 1.19 1.25. */
static void heat_moves_resistance_and_magnet(void **state) {
    (void)state;
    static const double cases[][4] = {{-20, 0.843, 1.08, 0.93},
                                      {60, 1.157, 0.92, 1.09},
                                      {100, 1.314, 0.84, 1.19},
                                      {120, 1.393, 0.80, 1.25}};
    for (size_t i = 0; i < 4; i++) {
        jv_motor hot = jv_motor_at(&l30, cases[i][0], cases[i][0]);
        assert_close(hot.resistance_ohm / 0.10, cases[i][1], 6e-4, 0);
        assert_close(hot.ke_v_s / 0.028, cases[i][2], 1e-9, 0);
        assert_close(jv_motor_steady(&hot, 12, 0.5).current_a /
                         jv_motor_steady(&l30, 12, 0.5).current_a,
                     cases[i][3], 0, 0.006);
        assert_close(jv_jack_current_at(20, -0.002, cases[i][0]), 20 / cases[i][2], 1e-12, 0);
    }
}

/* Plate 2000 lbf, 28 A, 6 A, 90 A at 12 V. By hand: half the force 17 A; R = 12/90 =
 * 0.13333; at 10 V and 28 A speed (10 - 3.7333)/(12 - 3.7333) = 0.75806; it stalls below
 * 28 x 0.13333 = 3.7333 V; at 3 V it can hold I = 22.5 A: (22.5 - 6)/22 = 0.75 of the force. */
static void a_jack_by_its_plate(void **state) {
    (void)state;
    jv_jack_plate p = {
        .rated_force_n = 8896.4, .rated_a = 28, .no_load_a = 6, .stall_a = 90, .lower_share = 0};
    double r = jv_jack_resistance(&p);
    assert_close(r, 0.133333333, 1e-8, 0);
    assert_close(jv_jack_load_current(&p, 0), 6, 1e-12, 0);
    assert_close(jv_jack_load_current(&p, 8896.4), 28, 1e-12, 0);
    assert_close(jv_jack_load_current(&p, 4448.2), 17, 1e-12, 0);
    assert_close(jv_jack_load_current(&p, -8896.4), 6 + 22.0 / 3, 1e-12, 0); /* lowering: a third */
    assert_close(jv_jack_speed_ratio(&p, 12, 28, r), 1, 1e-12, 0);
    assert_close(jv_jack_speed_ratio(&p, 10, 28, r), 0.758064516, 1e-8, 0);
    assert_close(jv_jack_speed_ratio(&p, 3.7, 28, r), 0, 0, 0);
    assert_close(jv_jack_stall_force(&p, 3, r), 0.75 * 8896.4, 1e-12, 0);
    assert_close(jv_jack_stall_force(&p, 0.5, r), 0, 0, 0);
    jv_drive d = {28, r};
    assert_close(jv_drive_stall_v(&d), 3.73333333, 1e-8, 0);
    /* worn brushes: twice the ohms, the same current, less speed */
    jv_drive worn = {28, 2 * r};
    assert_close(jv_drive_steady(&worn, 10).current_a, 28, 0, 0);
    assert_true(jv_drive_steady(&worn, 10).speed < jv_drive_steady(&d, 10).speed);
    p.stall_a = NAN; /* not known: 3.5 x 28 */
    assert_close(jv_jack_resistance(&p), 12 / 98.0, 1e-12, 0);
    p.rated_v = 24;
    assert_close(jv_jack_resistance(&p), 24 / 98.0, 1e-12, 0);
}

/* Start of L30 behind 40 mohm from 12.6 V, I_run 3.6 A. A run of the two equations with a
 * fixed step of 20 us (events of a levelling sequence): peak 84 A at 2.7 ms. Two
 * motors share 20 of those mohm: 60 mohm each, peak 74 A at 2.5 ms. */
static void inrush_peak_agrees_with_the_stepped_run(void **state) {
    (void)state;
    double at;
    assert_close(jv_motor_inrush_peak(&l30, 12.6, 0.040, 0.6 * 0.028, &at), 84, 0.01, 0);
    assert_close(at, 2.7e-3, 0.03, 0);
    assert_close(jv_motor_inrush_peak(&l30, 12.6, 0.060, 0.6 * 0.028, &at), 74, 0.01, 0);
    assert_close(at, 2.5e-3, 0.03, 0);
    /* tau_e = 0.1 mH/0.14 = 0.714 ms; tau_m = 1.5e-4 x 0.14/0.028^2 = 26.8 ms */
    assert_close(jv_motor_tau_e(&l30, 0.04), 0.714286e-3, 1e-5, 0);
    assert_close(jv_motor_tau_m(&l30, 0.04), 26.7857e-3, 1e-5, 0);
}

/* The closed form must satisfy the two equations: stepped here by Runge-Kutta. */
static void inrush_satisfies_its_equations(void **state) {
    (void)state;
    static const double inertia[] = {1.5e-4, 5.1020408e-6, 2e-6}; /* over, near critical, under */
    for (size_t n = 0; n < 3; n++) {
        jv_motor m = l30;
        m.inertia_kg_m2 = inertia[n];
        double rs = 0.04, torque = 0.1, i = 0, w = 0, h = 1e-6, r = m.resistance_ohm + rs;
        double drag = torque + m.no_load_a * m.kt_nm_a, top = 0, top_at = 0;
        for (int k = 1; k <= 20000; k++) {
            double di[4], dw[4], x = i, y = w;
            for (int s = 0; s < 4; s++) {
                di[s] = (12.6 - r * x - m.ke_v_s * y) / m.inductance_h;
                dw[s] = (m.kt_nm_a * x - drag) / m.inertia_kg_m2;
                double part = s == 2 ? h : h / 2;
                x = i + part * di[s], y = w + part * dw[s];
            }
            i += h / 6 * (di[0] + 2 * di[1] + 2 * di[2] + di[3]);
            w += h / 6 * (dw[0] + 2 * dw[1] + 2 * dw[2] + dw[3]);
            if (i > top) {
                top = i, top_at = k * h;
            }
            if (k % 1000 == 0)
                assert_close(jv_motor_inrush(&m, 12.6, rs, torque, k * h), i, 1e-7, 1e-7);
        }
        double at;
        assert_close(jv_motor_inrush_peak(&m, 12.6, rs, torque, &at), top, 1e-7, 0);
        assert_close(at, top_at, 0, 2e-6);
    }
    jv_motor plain = l30;
    plain.inductance_h = 0;
    /* I_run + (I_lock - I_run)/e after tau_m: I_lock 90, I_run 3 */
    assert_close(jv_motor_inrush(&plain, 12.6, 0.04, 0, 26.785714e-3), 3 + 87 / exp(1), 1e-6, 0);
    double at;
    assert_close(jv_motor_inrush_peak(&plain, 12.6, 0.04, 0, &at), 90, 1e-12, 0);
    assert_close(at, 0, 0, 0);
    assert_close(jv_motor_inrush_peak(&l30, 12.6, 0.04, 100, &at), 90, 1e-12, 0);
    assert_true(isinf(at));
}

/* W24: winding 80 ohm at 20 degC, 100 ohm later: 83.625 degC. Copper rate 0.13, 0.50, 2.0,
 * 4.5, 12.6, 32 K/s at 5 .. 80 A/mm2 (1.724e-8 ohm m, 8890 kg/m3, 385 J/kg K).
 * L30: 0.15 kg copper, 58 J/K; 104 W gives 1.8 K/s; locked at 90 A, 810 W, 14 K/s. */
static void windings_heat(void **state) {
    (void)state;
    static const double rates[][2] = {{5, 0.13}, {10, 0.50}, {20, 2.0},
                                      {30, 4.5}, {50, 12.6}, {80, 32}};
    for (size_t i = 0; i < 6; i++)
        assert_close(jv_copper_rate_k_s(rates[i][0]), rates[i][1], 0.035, 0);
    assert_close(jv_winding_rate(32.2, 0.10, 20, 58), 1.8, 0.01, 0);
    assert_close(jv_winding_rate(90, 0.10, 20, 58), 14, 0.01, 0);
    /* 100 W at 20 degC and 1 K/W by hand: T = (20 + 100/254.5 x 234.5)/(1 - 100/254.5) =
     * 184.725 degC; then R/R20 = 419.22/254.5 = 1.6472 and 164.72 W make the rise of 164.72 K */
    double t = jv_winding_steady_c(10, 1, 0, 20, 1);
    assert_close(t, 184.725, 1e-5, 0);
    assert_true(isnan(jv_winding_steady_c(20, 1, 0, 20, 1)));
    assert_close(jv_brush_ohm(0.01, 0), 0.01, 1e-12, 0);
    assert_true(jv_brush_ohm(0.01, 0.5) > jv_brush_ohm(0.01, 0.2));
    assert_true(isinf(jv_brush_ohm(0.01, 1)));
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(constants_follow_from_the_data_sheet),
        cmocka_unit_test(two_running_points_give_the_same_motor),
        cmocka_unit_test(a_starved_motor_keeps_its_current_and_slows),
        cmocka_unit_test(reversed_polarity_is_the_mirror),
        cmocka_unit_test(back_emf_and_start_of_the_textbooks),
        cmocka_unit_test(speed_and_series_resistance_of_the_textbooks),
        cmocka_unit_test(peak_power_lies_at_half_speed),
        cmocka_unit_test(series_motor_of_the_textbook),
        cmocka_unit_test(heat_moves_resistance_and_magnet),
        cmocka_unit_test(a_jack_by_its_plate),
        cmocka_unit_test(inrush_peak_agrees_with_the_stepped_run),
        cmocka_unit_test(inrush_satisfies_its_equations),
        cmocka_unit_test(windings_heat),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
