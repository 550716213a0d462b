/* test_pump.c - hydraulic pump packs. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/pump.h"
#include "tests/support/close.h"

#define PI 3.14159265358979323846

static const double inch = 0.0254, lbf = 4.4482216153, psi = 6894.757, bar = 1e5;

/* W28: Esposito, Example 5-8: 5 in3/rev, 1000 psi: theoretical torque p D/2 pi = 795.8 lb in;
 * 20 gpm at 1000 rpm: eta_v 0.924, Q_t = 21.65 gpm; 795.8/900 = 0.884; overall 81.7 %. */
static void esposito_5_8(void **state) {
    (void)state;
    const double gallon = 231 * inch * inch * inch;
    jv_pump p = {.displacement_m3 = 5 * inch * inch * inch, .mechanical = 1, .volumetric = 1};
    assert_close(jv_pump_torque_nm(&p, 1000 * psi) / (lbf * inch), 795.8, 1e-4, 0);
    assert_close(jv_pump_flow_m3_s(&p, 1000 * 2 * PI / 60) / gallon * 60, 21.65, 3e-4, 0);
    p.mechanical = 0.884;
    p.volumetric = 0.924;
    assert_close(jv_pump_torque_nm(&p, 1000 * psi) / (lbf * inch), 900, 1e-3, 0);
    assert_close(jv_pump_flow_m3_s(&p, 1000 * 2 * PI / 60) / gallon * 60, 20, 1e-3, 0);
}

/* Generic pack, worked out from its formulas: D 1.2 cm3, 0.85, 0.90, R 0.028, ke = kt = 0.032,
 * I0 12 A, bore 50.8 mm; rows: bar, N m, A, rpm and L/min and in/min at 12 V, rpm at 10 V, lbf. */
static void generic_pack(void **state) {
    (void)state;
    static const double rows[][8] = {{10, 0.22, 19, 3422, 3.70, 72, 2825, 456},
                                     {50, 1.12, 47, 3187, 3.44, 67, 2591, 2278},
                                     {100, 2.25, 82, 2894, 3.13, 61, 2297, 4557},
                                     {150, 3.37, 117, 2601, 2.81, 55, 2004, 6835},
                                     {200, 4.49, 152, 2307, 2.49, 48, 1710, 9113},
                                     {240, 5.39, 181, 2073, 2.24, 43, 1476, 10936}};
    jv_pump p = {.displacement_m3 = 1.2e-6, .mechanical = 0.85, .volumetric = 0.90};
    jv_motor m = {.resistance_ohm = 0.028, .ke_v_s = 0.032, .kt_nm_a = 0.032, .no_load_a = 12};
    for (size_t i = 0; i < 6; i++) {
        double pa = rows[i][0] * bar;
        jv_pump_point at = jv_pump_magnet_steady(&p, &m, 12, pa);
        assert_close(jv_pump_torque_nm(&p, pa), rows[i][1], 0, 0.006);
        assert_close(at.current_a, rows[i][2], 0, 0.55);
        assert_close(at.speed_rad_s * 60 / (2 * PI), rows[i][3], 3e-4, 0.5);
        assert_close(at.flow_m3_s * 60e3, rows[i][4], 0, 0.006);
        assert_close(jv_cylinder_speed(at.flow_m3_s, 0.0508, 1) / inch * 60, rows[i][5], 0, 0.6);
        jv_pump_point low = jv_pump_magnet_steady(&p, &m, 10, pa);
        assert_close(low.speed_rad_s * 60 / (2 * PI), rows[i][6], 3e-4, 0.5);
        assert_close(low.current_a, at.current_a, 1e-12, 0); /* pressure sets the amps */
        assert_close(jv_cylinder_force_n(pa, 0.0508) / lbf, rows[i][7], 0, 0.6);
        assert_close(jv_cylinder_pressure_pa(jv_cylinder_force_n(pa, 0.0508), 0.0508), pa, 1e-12,
                     0);
    }
    /* locked: V/R = 429 A */
    assert_close(jv_pump_magnet_steady(&p, &m, 12, 5000 * bar).current_a, 429, 2e-3, 0);
    assert_true(jv_pump_magnet_steady(&p, &m, 12, 5000 * bar).stalled);
    /* at the relief the amps are pinned and the leg stands */
    p.relief_pa = 200 * bar;
    jv_pump_point spill = jv_pump_magnet_steady(&p, &m, 12, 300 * bar);
    assert_close(spill.current_a, 152, 0, 0.55);
    assert_close(spill.flow_m3_s, 0, 0, 0);
    assert_true(spill.speed_rad_s > 0);
}

/* Plate 150 bar at 120 A, idle 20 A. By hand at 37.5 bar: magnet 20 + 100/4 = 45 A; series
 * sqrt(400 + 14000/4) = 62.45 A. */
static void by_the_plate(void **state) {
    (void)state;
    jv_pump_plate p = {.kind = JV_PUMP_MAGNET,
                       .rated_pressure_pa = 150 * bar,
                       .rated_a = 120,
                       .idle_a = 20,
                       .stall_a = 400};
    assert_close(jv_pump_plate_current(&p, 0), 20, 1e-12, 0);
    assert_close(jv_pump_plate_current(&p, 37.5 * bar), 45, 1e-12, 0);
    assert_close(jv_pump_plate_current(&p, 150 * bar), 120, 1e-12, 0);
    assert_close(jv_pump_plate_resistance(&p), 0.03, 1e-12, 0);
    p.kind = JV_PUMP_SERIES;
    assert_close(jv_pump_plate_current(&p, 0), 20, 1e-12, 0);
    assert_close(jv_pump_plate_current(&p, 37.5 * bar), 62.44998, 1e-6, 0);
    assert_close(jv_pump_plate_current(&p, 150 * bar), 120, 1e-12, 0);
    p.relief_pa = 37.5 * bar;
    assert_close(jv_pump_plate_current(&p, 150 * bar), 62.44998, 1e-6, 0);
    p.stall_a = NAN;
    p.rated_v = 24;
    assert_close(jv_pump_plate_resistance(&p), 24 / 420.0, 1e-12, 0);
}

/* Series pump by hand: k = 1e-4, R = 0.03, D = 1.2 cm3, lossless: 100 bar asks 1.2/(2 pi) x 10
 * = 1.909859 N m = k I^2: 138.198 A; w = (12 - 4.14594)/0.0138198 = 568.319 rad/s. */
static void series_pump(void **state) {
    (void)state;
    jv_pump p = {.displacement_m3 = 1.2e-6, .mechanical = 1, .volumetric = 1};
    jv_series_motor m = {.resistance_ohm = 0.03, .k = 1e-4};
    jv_pump_point at = jv_pump_series_steady(&p, &m, 12, 100 * bar);
    assert_close(at.current_a, 138.198, 1e-5, 0);
    assert_close(at.speed_rad_s, 568.319, 1e-5, 0);
    assert_close(at.flow_m3_s, 1.2e-6 * 568.319 / (2 * PI), 1e-5, 0);
    assert_close(jv_pump_series_steady(&p, &m, 9, 100 * bar).current_a, 138.198, 1e-5, 0);
    assert_true(jv_pump_series_steady(&p, &m, 4, 100 * bar).stalled);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(esposito_5_8),
        cmocka_unit_test(generic_pack),
        cmocka_unit_test(by_the_plate),
        cmocka_unit_test(series_pump),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
