/* test_sequence_legs.c - jacks in time against printed runs. SPDX-License-Identifier: MIT */
#include "tests/support/build.h"
#include "tests/support/close.h"
#include "tests/support/legs.h"
#include "tests/support/plan.h"

#include "circuit/remark.h"
#include "solve/time/motion.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <cmocka.h>

/* loads/events.md of the reference, "Start transient, sampled": a run of another program with
 * fixed steps of 20 us. */
typedef struct jv_sample {
    double t, amps, bus, motor, rpm;
} jv_sample;
enum { SAMPLES = 9 };
static const jv_sample one[SAMPLES] = {
    {0.005, 79.0, 11.02, 9.44, 618},   {0.010, 65.9, 11.28, 9.96, 1233},
    {0.020, 46.0, 11.68, 10.76, 2156}, {0.030, 32.5, 11.95, 11.30, 2784},
    {0.050, 17.0, 12.26, 11.92, 3503}, {0.080, 7.8, 12.44, 12.29, 3929},
    {0.100, 5.6, 12.49, 12.38, 4035},  {0.150, 3.9, 12.52, 12.45, 4113},
    {0.200, 3.6, 12.53, 12.45, 4124},
};
static const jv_sample two[SAMPLES] = {
    {0.005, 70.0, 9.80, 8.40, 551},    {0.010, 59.8, 10.21, 9.01, 1099},
    {0.020, 43.8, 10.85, 9.97, 1951},  {0.030, 32.4, 11.30, 10.65, 2561},
    {0.050, 18.4, 11.86, 11.50, 3311}, {0.080, 9.0, 12.24, 12.06, 3811},
    {0.100, 6.4, 12.34, 12.22, 3953},  {0.150, 4.1, 12.44, 12.35, 4074},
    {0.200, 3.7, 12.45, 12.38, 4096},
};
static const jv_sample four[SAMPLES] = {
    {0.005, 57.1, 8.03, 6.89, 452},    {0.010, 50.4, 8.56, 7.56, 900},
    {0.020, 39.5, 9.44, 8.65, 1634},   {0.030, 31.2, 10.11, 9.48, 2197},
    {0.050, 19.8, 11.01, 10.62, 2960}, {0.080, 10.9, 11.73, 11.51, 3559},
    {0.100, 7.9, 11.97, 11.81, 3762},  {0.150, 4.7, 12.22, 12.13, 3975},
    {0.200, 3.9, 12.29, 12.21, 4032},
};

/* 1 %, and half of the last digit printed. */
static const double rel = 0.01, half_amp = 0.06, half_volt = 0.006, half_rpm = 0.6;
static const double rpm_per_hz = 60.0;

/* All legs lift by their travel from rest. */
static jv_circuit *lifting(size_t n, double for_s) {
    jv_circuit *c = legs_circuit(n);
    jv_plan *p = plan_new(c, "lift");
    jv_plan_step *s = plan_step(c, p, "lift", for_s);
    for (size_t k = 0; k < n; k++)
        plan_run(s, (uint32_t)(3 + 2 * k), 1, JV_LOAD_TRAVEL, 0.0);
    return c;
}

static void start_as_sampled(size_t n, const jv_sample *samples, const jv_sample *peak) {
    jv_circuit *c = lifting(n, 0.25);
    jv_sequence_options how = {0};
    how.every_s = 1e-4;
    how.no_cures = true;
    jv_sequence *s = plan_play(c, &how);
    for (size_t k = 0; k < SAMPLES; k++) {
        const jv_sample *e = &samples[k];
        assert_close(plan_value(s, "leg 1", "A", e->t), e->amps, rel, half_amp);
        assert_close(plan_value(s, "bus", "V", e->t), e->bus, rel, half_volt);
        assert_close(plan_value(s, "leg 1", "V", e->t), e->motor, rel, half_volt);
        /* From the volts: w = (V - R I)/ke once the inductance has settled (0.71 ms); and as the
         * slope of the travel, 0.2 in for 60 turns. */
        double turns =
            (plan_value(s, "leg 1", "m", e->t + 1e-3) - plan_value(s, "leg 1", "m", e->t - 1e-3)) /
            2e-3 / 5.08e-3 * 60.0;
        assert_close(turns * rpm_per_hz, e->rpm, rel, half_rpm);
        for (size_t leg = 1; leg < n; leg++) { /* all alike */
            char name[32];
            snprintf(name, sizeof name, "leg %zu", leg + 1);
            assert_close(plan_value(s, name, "A", e->t), plan_value(s, "leg 1", "A", e->t), 1e-9,
                         1e-9);
        }
    }
    assert_close(s->parts[3].peak_a, peak->amps, rel, half_amp);
    assert_close(s->parts[3].peak_at_s, peak->t, 0.1, 2e-4);
    assert_close(s->watches[0].lowest_v, peak->bus, rel, half_volt);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

static void starts_are_as_another_program_had_them(void **state) {
    (void)state;
    static const jv_sample peaks[] = {{0.0027, 83.8, 10.92, 9.25, 0},
                                      {0.0025, 74.3, 9.63, 8.14, 0},
                                      {0.0022, 60.4, 7.77, 6.56, 0}};
    start_as_sampled(1, one, &peaks[0]);
    start_as_sampled(2, two, &peaks[1]);
    start_as_sampled(4, four, &peaks[2]);
}

/* The same list, events 5 to 7 and 13: free run, ramp, plateau, end stop (the leg is held there
 * until its time is up). */
static void runs_to_the_end_stop_as_listed(void **state) {
    (void)state;
    static const struct {
        size_t n;
        double bus_free, plateau_first, plateau_last, stalled, bus_stalled, motor_stalled;
    } rows[] = {
        {1, 12.53, 12.1, NAN, 90.0, 10.80, 9.00},
        {2, 12.46, 11.70, 11.58, 78.7, 9.45, NAN},
        {4, NAN, 10.81, 10.55, 63.0, 7.56, NAN},
    };
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        jv_circuit *c = lifting(rows[r].n, 35.0);
        jv_sequence_options how = {0};
        how.every_s = 0.01;
        how.no_cures = true;
        jv_sequence *s = plan_play(c, &how);
        double ground = plan_event(s, JV_GROUND, 0.0)->t_s;
        double full = plan_event(s, JV_FULL_LOAD, 0.0)->t_s;
        double end = plan_event(s, JV_STROKE_END, 0.0)->t_s;
        assert_close(plan_value(s, "leg 1", "A", ground - 0.1), 3.6, rel, half_amp);
        if (!isnan(rows[r].bus_free))
            assert_close(plan_value(s, "bus", "V", ground - 0.1), rows[r].bus_free, rel, half_volt);
        assert_close(plan_value(s, "leg 1", "A", full + 0.3), 22.5, rel, 0.2);
        assert_close(plan_value(s, "bus", "V", full + 0.3), rows[r].plateau_first, rel, 0.05);
        assert_close(plan_value(s, "leg 1", "A", end - 0.05), 25.5, rel, half_amp);
        if (!isnan(rows[r].plateau_last))
            assert_close(plan_value(s, "bus", "V", end - 0.05), rows[r].plateau_last, rel,
                         half_volt);
        assert_close(plan_value(s, "leg 1", "A", end + 0.1), rows[r].stalled, rel, half_amp);
        assert_close(plan_value(s, "bus", "V", end + 0.1), rows[r].bus_stalled, rel, half_volt);
        if (!isnan(rows[r].motor_stalled))
            assert_close(plan_value(s, "leg 1", "V", end + 0.1), rows[r].motor_stalled, rel,
                         half_volt);
        assert_close(s->balance.charge_error, 0.0, 0.0, 1e-6);
        assert_close(s->balance.energy_error, 0.0, 0.0, 1e-6);
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
}

/* The piecewise script for a pair in the same file: ground at 7.0 s, end stop between 22.3 and
 * 22.41 s, amps and force between; the force tells the travel: 60 lbf to 40 mm, 2000 lbf at 70 mm,
 * then 8 lbf/mm. */
static void a_pair_meets_the_ground_when_it_should(void **state) {
    (void)state;
    jv_circuit *c = lifting(2, 23.0);
    jv_sequence_options how = {0};
    how.every_s = 0.05;
    how.no_cures = true;
    jv_sequence *s = plan_play(c, &how);
    assert_close(plan_event(s, JV_GROUND, 0.0)->t_s, 7.0, rel, 0.0);
    assert_close(plan_event(s, JV_STROKE_END, 0.0)->t_s, 22.35, rel, 0.0);
    static const double script[][3] = {{8.05, 7.4, 464},    {9.05, 10.8, 811},
                                       {10.05, 14.0, 1141}, {11.05, 17.1, 1456},
                                       {12.05, 20.0, 1756}, {13.05, 22.5, 2005},
                                       {16.05, 23.5, 2108}, {20.05, 24.8, 2243}};
    for (size_t k = 0; k < sizeof script / sizeof script[0]; k++) {
        double force = script[k][2];
        double mm = force < 2000 ? 40 + (force - 60) / (2000 - 60) * 30 : 70 + (force - 2000) / 8;
        assert_close(plan_value(s, "leg 1", "A", script[k][0]), script[k][1], rel, half_amp);
        assert_close(plan_value(s, "leg 1", "m", script[k][0]), mm * 1e-3, rel, 1e-4);
    }
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* The generic sets of loads/models.md (e), with what is printed of them at 12 V: amps and in/min at
 * full load and free (2 % of the rating as drag), amps at half load and locked. Bearing: so that
 * the screw's efficiency is the one printed, 0.293 and 0.316. */
typedef struct jv_set {
    const char *force, *ohm, *constant, *idle, *inertia, *ratio, *gear, *diameter, *lead;
    const char *bearing, *bearing_diameter;
    double full_a, free_a, full_speed, free_speed, half_a, locked_a;
} jv_set;
static const jv_set sets[] = {
    {"3500 lbf", "0.10 ohm", "0.028 V s/rad", "3.0 A", "1.5e-4 kg m2", "67", "75 %", "1 in",
     "0.2 in", "0.0079", "1.5 in", 33.5, 3.6, 8.8, 11.8, 18.3, 120},
    {"3000 lbf", "0.10 ohm", "0.028 V s/rad", "3.0 A", "1.5e-4 kg m2", "60", "75 %", "1 in",
     "0.2 in", "0.0079", "1.5 in", 32.2, 3.6, 10.0, 13.2, 17.6, 120},
    {"2000 lbf", "0.14 ohm", "0.029 V s/rad", "2.5 A", "1.0e-4 kg m2", "45", "75 %", "0.75 in",
     "0.166667 in", "0.0096", "1 in", 21.9, 2.9, 10.9, 14.1, 12.2, 86},
    {"1000 lbf", "0.25 ohm", "0.030 V s/rad", "1.5 A", "0.6e-4 kg m2", "40", "70 %", "0.75 in",
     "0.166667 in", "0.0096", "1 in", 12.8, 1.7, 11.7, 15.3, 7.1, 48},
};

/* A stiff source and one jack of a set: part 1. */
static jv_circuit *set_circuit(const jv_set *set, const char *volts) {
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "battery", "post", "minus");
    build_quantity(c, "open_circuit", volts);
    build_quantity(c, "resistance", "0 ohm");
    build_close(c);
    build_between(c, "jack", "leg", "post", "minus");
    build_quantity(c, "rated_force", set->force);
    build_quantity(c, "travel.free", "50 mm");
    build_quantity(c, "travel.ramp", "10 mm");
    build_quantity(c, "motor.resistance", set->ohm);
    build_quantity(c, "motor.constant", set->constant);
    build_quantity(c, "motor.no_load_current", set->idle);
    build_quantity(c, "motor.inertia", set->inertia);
    build_quantity(c, "gear.ratio", set->ratio);
    build_quantity(c, "gear.efficiency", set->gear);
    build_quantity(c, "screw.diameter", set->diameter);
    build_quantity(c, "screw.lead", set->lead);
    build_quantity(c, "screw.friction", "0.15");
    build_quantity(c, "screw.collar_friction", set->bearing);
    build_quantity(c, "screw.collar_diameter", set->bearing_diameter);
    build_quantity(c, "heat.winding", "1e9 J/K");
    build_close(c);
    plan_watch(c, "bus", "post", "minus", 1.0, 0.0, JV_WARN);
    legs_finish(c);
    return c;
}

/* The same section: the leg of 3000 lbf at full load against its terminal volts: time of 12 in. */
static void stroke_times_grow_as_the_volts_fall(void **state) {
    (void)state;
    static const struct {
        const char *volts;
        double seconds;
    } rows[] = {{"12.6 V", 68}, {"12 V", 72}, {"11 V", 81}, {"10.5 V", 87},
                {"10 V", 93},   {"9 V", 110}, {"8 V", 133}};
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        jv_circuit *c = set_circuit(&sets[1], rows[k].volts);
        jv_plan_step *s = plan_step(c, plan_new(c, "lift"), "lift", NAN);
        s->extension_m = 0.3048;
        plan_run(s, 1, 1, JV_LOAD_RATED, 0.0);
        jv_sequence_options how = {0};
        how.no_cures = true;
        jv_sequence *run = plan_play(c, &how);
        assert_close(plan_event(run, JV_JACK_STOPS, 0.0)->t_s, rows[k].seconds, rel, 0.5);
        assert_close(plan_value(run, "leg", "A", 50.0), 32.2, rel, half_amp);
        jv_sequence_free(&run);
        jv_circuit_free(&c);
    }
}

static void generic_sets_run_at_their_speeds(void **state) {
    (void)state;
    for (size_t k = 0; k < sizeof sets / sizeof sets[0]; k++) {
        jv_circuit *c = set_circuit(&sets[k], "12 V");
        jv_plan *p = plan_new(c, "lift");
        plan_run(plan_step(c, p, "lift", 30.0), 1, 1, JV_LOAD_TRAVEL, 0.0);
        plan_run(plan_step(c, p, "half", 5.0), 1, 1, JV_LOAD_SHARE, 0.5);
        plan_run(plan_step(c, p, "held", 1.0), 1, 1, JV_LOAD_STALLED, 0.0);
        jv_sequence_options how = {0};
        how.every_s = 0.5;
        how.no_cures = true;
        jv_sequence *s = plan_play(c, &how);
        double inch_per_min = 60.0 / 0.0254;
        double early = (plan_value(s, "leg", "m", 5.0) - plan_value(s, "leg", "m", 2.0)) / 3.0;
        double late = (plan_value(s, "leg", "m", 29.0) - plan_value(s, "leg", "m", 24.0)) / 5.0;
        assert_close(early * inch_per_min, sets[k].free_speed, rel, 0.05);
        assert_close(late * inch_per_min, sets[k].full_speed, rel, 0.05);
        assert_close(plan_value(s, "leg", "A", 5.0), sets[k].free_a, rel, 0.05);
        assert_close(plan_value(s, "leg", "A", 29.0), sets[k].full_a, rel, 0.05);
        assert_close(plan_value(s, "leg", "A", 34.0), sets[k].half_a, rel, 0.05);
        assert_close(plan_value(s, "leg", "A", 35.5), sets[k].locked_a, rel, 0.5);
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(starts_are_as_another_program_had_them),
        cmocka_unit_test(runs_to_the_end_stop_as_listed),
        cmocka_unit_test(a_pair_meets_the_ground_when_it_should),
        cmocka_unit_test(stroke_times_grow_as_the_volts_fall),
        cmocka_unit_test(generic_sets_run_at_their_speeds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
