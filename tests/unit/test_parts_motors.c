/* test_parts_motors.c - jacks and pumps. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/kinds.h"
#include "circuit/parts/jack.h"
#include "circuit/parts/pump.h"
#include "tests/support/close.h"
#include "tests/support/one_part.h"

static const double lbf_n = 4.4482216152605; /* exact: 0.45359237 kg x 9.80665 m/s2 */

/* --- jack --- */

/* The plate of the design's example: 28 A rated, 6 A free, 90 A held fast, 2000 lbf. */
static jv_circuit *plate_jack(const char *stall) {
    jv_circuit *c = alone("jack");
    build_quantity(c, "rated_force", "2000 lbf");
    build_quantity(c, "rated_current", "28 A");
    build_quantity(c, "no_load_current", "6 A");
    if (stall)
        build_quantity(c, "stall_current", stall);
    build_close(c);
    return c;
}

/* I = 6 + 22 F/2000 (M6): 1700 lbf 24.7 A; 60 % 19.2 A; lowering a third: 6 + 22/3 = 13.33 A. */
static void plate_jack_asks_by_its_load(void **state) {
    (void)state;
    jv_circuit *c = plate_jack("90 A");
    const struct {
        int direction;
        jv_load_kind kind;
        double value, amps;
    } rows[] = {
        {1, JV_LOAD_AMPS, 24.0, 24.0},
        {-1, JV_LOAD_AMPS, 24.0, 24.0},
        {1, JV_LOAD_FORCE, 1700 * lbf_n, 24.7},
        {1, JV_LOAD_SHARE, 0.60, 19.2},
        {1, JV_LOAD_FREE, 0.0, 6.0},
        {1, JV_LOAD_RATED, 0.0, 28.0},
        {-1, JV_LOAD_RATED, 0.0, 6.0 + 22.0 / 3.0},
        {1, JV_LOAD_STALLED, 0.0, INFINITY},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        jv_run run = run_of(0, rows[i].direction, rows[i].kind, rows[i].value);
        jv_case k = case_of(&run, 1);
        jv_element e = element(c, 0, 0, &k, NULL);
        assert_int_equal(e.law, JV_SINK);
        assert_int_equal(e.open, 0);
        assert_close(e.limit, rows[i].amps, 1e-9, 0);
        assert_close(e.r, 12.0 / 90.0, 1e-9, 0); /* rated volts over stall current, 20 degC */
    }
    assert_int_equal(element(c, 0, 0, NULL, NULL).open, 1);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 0);
    jv_circuit_free(&c);
}

static void a_share_needs_no_rated_force(void **state) {
    (void)state;
    jv_circuit *c = alone("jack");
    build_quantity(c, "rated_current", "28 A");
    build_quantity(c, "no_load_current", "6 A");
    build_close(c);
    jv_run run = run_of(0, 1, JV_LOAD_SHARE, 0.5);
    jv_case k = case_of(&run, 1);
    jv_element e = element(c, 0, 0, &k, NULL);
    assert_close(e.limit, 17.0, 1e-9, 0);
    /* Stall current assumed: 3.5 x 28 A = 98 A. */
    assert_close(e.r, 12.0 / 98.0, 1e-9, 0);
    jv_circuit_free(&c);
}

static void jack_faults(void **state) {
    (void)state;
    jv_circuit *c = plate_jack("90 A");
    jv_run run = run_of(0, 1, JV_LOAD_AMPS, 24.0);
    jv_case k = case_of(&run, 1);
    jv_fault drag = build_fault(0, JV_WAY_DRAG, 1.5);
    assert_close(element(c, 0, 0, &k, &drag).limit, 36.0, 1e-12, 0);
    jv_fault worn = build_fault(0, JV_WAY_ADDED, 0.1);
    assert_close(element(c, 0, 0, &k, &worn).r, 12.0 / 90.0 + 0.1, 1e-9, 0);
    assert_close(element(c, 0, 0, &k, &worn).limit, 24.0, 1e-12, 0);
    jv_fault stuck = build_fault(0, JV_WAY_STUCK, 0);
    assert_true(isinf(element(c, 0, 0, &k, &stuck).limit));
    jv_fault open = build_fault(0, JV_WAY_OPEN, 0);
    assert_int_equal(element(c, 0, 0, &k, &open).open, 1);
    /* Shorted inside: a branch of its own across the jack, there whether it runs or not. */
    jv_fault inside = build_fault(0, JV_WAY_INSIDE, 0.02);
    jv_element e = element(c, 0, 1, NULL, &inside);
    assert_int_equal(e.law, JV_SERIES);
    assert_close(e.r, 0.02, 1e-12, 0);
    assert_int_equal(e.open, 0);
    jv_circuit_free(&c);
}

/* (M7) at 10 V and 28 A: (10 - 28 x 0.1333)/(12 - 28 x 0.1333) = 6.2667/8.2667 = 0.75806. */
static void plate_jack_moves_by_its_volts(void **state) {
    (void)state;
    jv_circuit *c = plate_jack("90 A");
    jv_run run = run_of(0, 1, JV_LOAD_RATED, 0), down = run_of(0, -1, JV_LOAD_AMPS, 10);
    jv_case k = case_of(&run, 1), lower = case_of(&down, 1);
    jv_net *net = build_net(c, &k, NULL, 0);
    jv_jack_motion m = jv_jack_speed(&net->scene, &c->parts[0], 10.0, 28.0);
    assert_close(m.ratio, 94.0 / 124.0, 1e-9, 0);
    assert_true(isnan(m.speed));
    assert_false(m.stalled);
    assert_false(m.stall_assumed);
    /* Held fast: all volts on the ohms. */
    m = jv_jack_speed(&net->scene, &c->parts[0], 3.0, 3.0 / (12.0 / 90.0));
    assert_true(m.stalled);
    assert_close(m.ratio, 0.0, 0, 0);
    jv_net_free(&net);
    net = build_net(c, NULL, NULL, 0);
    m = jv_jack_speed(&net->scene, &c->parts[0], 0.0, 0.0);
    assert_false(m.stalled);
    assert_close(m.ratio, 0.0, 0, 0);
    jv_net_free(&net);
    net = build_net(c, &lower, NULL, 0);
    assert_false(jv_jack_speed(&net->scene, &c->parts[0], -11.0, -10.0).stalled);
    jv_net_free(&net);
    jv_circuit_free(&c);

    c = plate_jack(NULL);
    net = build_net(c, &k, NULL, 0);
    assert_true(jv_jack_speed(&net->scene, &c->parts[0], 10.0, 28.0).stall_assumed);
    jv_net_free(&net);
    jv_circuit_free(&c);
}

/* Leg L30 of the load models: 0.10 ohm, 0.028, 3 A, 60:1 at 0.75, 1-5 Acme, f = 0.15, and
 * e = 0.2932 with its ball thrust bearing. The thread alone asks 2.6080 mm (Shigley Eq. 8-5), the
 * bearing so l/(2 pi e) - 2.6080 = 0.1495 mm = fc dc/2: 0.01 at 29.90 mm. */
static jv_circuit *leg_jack(void) {
    jv_circuit *c = alone("jack");
    build_quantity(c, "rated_force", "3000 lbf");
    build_quantity(c, "motor.resistance", "0.10 ohm");
    build_quantity(c, "motor.constant", "0.028 V s/rad");
    build_quantity(c, "motor.no_load_current", "3.0 A");
    build_quantity(c, "gear.ratio", "60");
    build_quantity(c, "gear.efficiency", "75 %");
    build_quantity(c, "screw.diameter", "1 in");
    build_quantity(c, "screw.lead", "0.2 in");
    build_quantity(c, "screw.friction", "0.15");
    build_quantity(c, "screw.collar_friction", "0.01");
    build_quantity(c, "screw.collar_diameter", "29.90 mm");
    build_close(c);
    return c;
}

/* Printed there: 32.2 A at 3000 lbf; 12.0 V 10.0 in/min, 10.0 V 7.7, 8.0 V 5.4; 17.6 A at half;
 * 3.6 A with 2 % of the rating. Figures have three digits, speeds two. */
static void leg_jack_is_the_leg_of_the_models(void **state) {
    (void)state;
    static const double in_per_min = 0.0254 / 60.0;
    jv_circuit *c = leg_jack();
    jv_run run = run_of(0, 1, JV_LOAD_FORCE, 3000 * lbf_n);
    jv_case k = case_of(&run, 1);
    assert_close(element(c, 0, 0, &k, NULL).limit, 32.2, 0, 0.05);
    assert_close(element(c, 0, 0, &k, NULL).r, 0.10, 1e-9, 0);
    run = run_of(0, 1, JV_LOAD_SHARE, 0.5);
    assert_close(element(c, 0, 0, &k, NULL).limit, 17.6, 0, 0.05);
    run = run_of(0, 1, JV_LOAD_SHARE, 0.02);
    assert_close(element(c, 0, 0, &k, NULL).limit, 3.6, 0, 0.05);
    run = run_of(0, 1, JV_LOAD_RATED, 0);
    jv_net *net = build_net(c, &k, NULL, 0);
    const double rows[][2] = {{12.0, 10.0}, {10.0, 7.7}, {8.0, 5.4}};
    for (size_t i = 0; i < 3; i++) {
        jv_jack_motion m = jv_jack_speed(&net->scene, &c->parts[0], rows[i][0], 32.2);
        assert_close(m.speed / in_per_min, rows[i][1], 0, 0.06);
        assert_false(m.stall_assumed);
    }
    jv_jack_motion rated = jv_jack_speed(&net->scene, &c->parts[0], 12.0, 32.2);
    assert_close(rated.ratio, 1.0, 2e-3, 0);
    jv_net_free(&net);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 0);
    jv_circuit_free(&c);
}

/* Table of the load models, ferrite at 60 degC: R x 1.157, current at the same torque x 1.09. */
static void warm_motor_has_more_ohms_and_amps(void **state) {
    (void)state;
    jv_circuit *c = alone("jack");
    build_quantity(c, "rated_force", "2000 lbf");
    build_quantity(c, "rated_current", "28 A");
    build_quantity(c, "no_load_current", "6 A");
    build_quantity(c, "stall_current", "90 A");
    build_quantity(c, "temperature", "60 degC");
    build_word(c, "magnet", "ferrite");
    build_close(c);
    jv_run run = run_of(0, 1, JV_LOAD_RATED, 0);
    jv_case k = case_of(&run, 1);
    jv_element e = element(c, 0, 0, &k, NULL);
    assert_close(e.r / (12.0 / 90.0), 1.157, 0, 5e-4);
    assert_close(e.limit / 28.0, 1.09, 0, 5e-3);
    run = run_of(0, 1, JV_LOAD_AMPS, 24.0); /* a clamp's reading is what flows */
    assert_close(element(c, 0, 0, &k, NULL).limit, 24.0, 1e-12, 0);
    jv_circuit_free(&c);
}

static void jack_says_what_it_misses(void **state) {
    (void)state;
    jv_circuit *c = alone("jack");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 1); /* no current at all */
    jv_circuit_free(&c);
    c = alone("jack");
    build_quantity(c, "gear.ratio", "60");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 6); /* the rest of the leg */
    jv_circuit_free(&c);
    c = alone("jack");
    build_quantity(c, "rated_current", "28 A");
    build_quantity(c, "no_load_current", "30 A");
    build_quantity(c, "stall_current", "20 A");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_QUANTITY_RANGE), 2);
    jv_circuit_free(&c);
    c = alone("jack");
    build_quantity(c, "rated_current", "28 A");
    build_close(c);
    jv_run runs[] = {run_of(0, 1, JV_LOAD_FORCE, 1000), run_of(0, 1, JV_LOAD_PRESSURE, 1e6)};
    jv_case *k = jv_circuit_add_case(c, "lifting");
    k->runs = runs;
    k->n_runs = 2;
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 2); /* rated force, free current */
    assert_int_equal(faults_found(c, 0, JV_CODE_QUANTITY_UNIT), 1);
    jv_circuit_free(&c);
}

/* --- pump --- */

/* Generic pack of the load models: 1.2 cm3/rev, 0.85, 0.90, 0.028 ohm, 0.032, 12 A, bore 2 in;
 * 100 bar: 82 A, at 12 V 3.13 L/min and 61 in/min; 10 V 2.48 L/min. */
static void pump_is_the_pack_of_the_models(void **state) {
    (void)state;
    static const double litre_per_min = 1e-3 / 60.0, in_per_min = 0.0254 / 60.0;
    jv_circuit *c = alone("pump");
    build_quantity(c, "motor.resistance", "0.028 ohm");
    build_quantity(c, "motor.constant", "0.032 V s/rad");
    build_quantity(c, "motor.no_load_current", "12 A");
    build_quantity(c, "displacement", "1.2 cm3/rev");
    build_quantity(c, "mechanical_efficiency", "85 %");
    build_quantity(c, "volumetric_efficiency", "90 %");
    build_quantity(c, "bore", "2 in");
    build_quantity(c, "relief", "240 bar");
    build_close(c);
    const double rows[][2] = {{10e5, 19}, {50e5, 47}, {100e5, 82}, {200e5, 152}, {300e5, 181}};
    jv_run run;
    jv_case k = case_of(&run, 1);
    for (size_t i = 0; i < 5; i++) {
        run = run_of(0, 1, JV_LOAD_PRESSURE, rows[i][0]);
        assert_close(element(c, 0, 0, &k, NULL).limit, rows[i][1], 0, 0.6);
    }
    run = run_of(0, 1, JV_LOAD_PRESSURE, 100e5);
    jv_net *net = build_net(c, &k, NULL, 0);
    jv_pump_motion m = jv_pump_moves(&net->scene, &c->parts[0], 12.0, 82.2);
    assert_close(m.flow_m3_s / litre_per_min, 3.13, 0, 0.006);
    assert_close(m.speed / in_per_min, 61.0, 0, 0.6);
    m = jv_pump_moves(&net->scene, &c->parts[0], 10.0, 82.2);
    assert_close(m.flow_m3_s / litre_per_min, 2.48, 0, 0.006);
    jv_net_free(&net);
    /* 4557 lbf on one leg is 100 bar. */
    run = run_of(0, 1, JV_LOAD_FORCE, 4557 * lbf_n);
    assert_close(element(c, 0, 0, &k, NULL).limit, 82.0, 0, 0.6);
    jv_circuit_free(&c);
}

/* (P2) 20 A idle, 100 A rated; at half pressure a magnet motor 60 A, a series motor
 * sqrt(400 + 9600/2) = 72.1 A. */
static void pump_by_plate_follows_its_field(void **state) {
    (void)state;
    static const char *const fields[] = {"permanent magnet", "series"};
    const double amps[] = {60.0, sqrt(5200.0)};
    for (int i = 0; i < 2; i++) {
        jv_circuit *c = alone("pump");
        build_word(c, "kind", fields[i]);
        build_quantity(c, "rated_pressure", "3000 psi");
        build_quantity(c, "rated_current", "100 A");
        build_quantity(c, "idle_current", "20 A");
        build_close(c);
        jv_run run = run_of(0, 1, JV_LOAD_SHARE, 0.5);
        jv_case k = case_of(&run, 1);
        jv_element e = element(c, 0, 0, &k, NULL);
        assert_close(e.limit, amps[i], 1e-9, 0);
        assert_close(e.r, 12.0 / 350.0, 1e-9, 0); /* stall assumed: 3.5 x 100 A */
        jv_fault worn = build_fault(0, JV_WAY_ADDED, 0.05);
        assert_close(element(c, 0, 0, &k, &worn).r, 12.0 / 350.0 + 0.05, 1e-9, 0);
        assert_int_equal(element(c, 0, 0, NULL, NULL).open, 1);
        jv_net *net = build_net(c, &k, NULL, 0);
        jv_pump_motion m = jv_pump_moves(&net->scene, &c->parts[0], 11.0, amps[i]);
        assert_true(isnan(m.flow_m3_s) && m.stall_assumed && !m.stalled);
        assert_true(jv_pump_moves(&net->scene, &c->parts[0], 1.2, 35.0).stalled);
        jv_net_free(&net);
        assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 0);
        jv_circuit_free(&c);
    }
}

static void pump_says_what_it_misses(void **state) {
    (void)state;
    jv_circuit *c = alone("pump");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 1);
    jv_circuit_free(&c);
    c = alone("pump");
    build_word(c, "kind", "series");
    build_quantity(c, "displacement", "1.2 cm3/rev");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 2);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEYS_CLASH), 1);
    jv_circuit_free(&c);
    c = alone("pump");
    build_quantity(c, "rated_current", "100 A");
    build_close(c);
    jv_run run = run_of(0, 1, JV_LOAD_FORCE, 1000);
    jv_case *k = jv_circuit_add_case(c, "lifting");
    k->runs = &run;
    k->n_runs = 1;
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 3); /* bore, pressure, idle */
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plate_jack_asks_by_its_load),
        cmocka_unit_test(a_share_needs_no_rated_force),
        cmocka_unit_test(jack_faults),
        cmocka_unit_test(plate_jack_moves_by_its_volts),
        cmocka_unit_test(leg_jack_is_the_leg_of_the_models),
        cmocka_unit_test(warm_motor_has_more_ohms_and_amps),
        cmocka_unit_test(jack_says_what_it_misses),
        cmocka_unit_test(pump_is_the_pack_of_the_models),
        cmocka_unit_test(pump_by_plate_follows_its_field),
        cmocka_unit_test(pump_says_what_it_misses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
