/* test_sequence_steps.c - air and ends of steps, checks before a start, soft starts, warm coils.
 * SPDX-License-Identifier: MIT */
#include "tests/support/build.h"
#include "tests/support/close.h"
#include "tests/support/legs.h"
#include "tests/support/plan.h"
#include "tests/support/rig.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

static const jv_sequence_options plain = {.every_s = 1e-3, .no_cures = true, .longest_s = 2000.0};

/* --- steps in another air, checks before the start, soft starts, warm coils --- */

/* A winding and a case that are one body of 101 J/K, 2 K/W from the air: from 20 degC into 60 degC
 * it goes as 60 - 40 e^(-t/202 s); in the next step, which says nothing of it, back. */
static void a_step_may_have_its_own_air(void **state) {
    (void)state;
    static const double tau = 2.0 * 101.0, warm_s = 150.0, cool_s = 99.0, shown_s = 1.0;
    for (int k = 0; k < 2; k++) {
        jv_circuit *c = rig_circuit("12 V", "0 ohm");
        uint32_t jack = rig_jack(c, "jack", "post", "minus");
        build_quantity(c, "heat.winding", "1 J/K");
        build_quantity(c, "heat.winding_to_case", "0.0001 K/W");
        build_quantity(c, "heat.case", "100 J/K");
        build_quantity(c, "heat.case_to_air", "2 K/W");
        build_close(c);
        rig_finish(c);
        jv_plan *p = plan_new(c, "stand");
        jv_plan_step *sun = plan_step(c, p, "in the sun", warm_s);
        sun->loading.has_ambient = true;
        sun->loading.ambient = jv_value_exact(60.0);
        if (k)
            plan_step(c, p, "in the shade", cool_s);
        jv_sequence *s = plan_play(c, &plain);
        double warm = 60.0 - 40.0 * exp(-warm_s / tau);
        if (k) {
            assert_close(s->parts[jack].hottest_c, warm, 1e-4, 0.0);
            assert_close(s->parts[jack].ends_c,
                         20.0 + (warm - 20.0) * exp(-(cool_s + shown_s) / tau), 1e-4, 0.0);
        } else { /* the second that is shown after the end is in the air of the last step */
            assert_close(s->parts[jack].ends_c, 60.0 - 40.0 * exp(-(warm_s + shown_s) / tau), 1e-4,
                         0.0);
        }
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
}

/* A sequence that lifts at once: too few volts at rest hold the start back, and refuse it after the
 * dwell of the check. Enough volts: it starts at once. */
static void the_resting_check_comes_before_the_first_step(void **state) {
    (void)state;
    static const char *const volts[] = {"11.5 V", "12.5 V"};
    for (int k = 0; k < 2; k++) {
        jv_circuit *c = rig_circuit(volts[k], "10 mohm");
        uint32_t jack = rig_jack(c, "jack", "post", "minus");
        build_close(c);
        plan_watch(c, "rest", "post", "minus", 12.0, 0.5, JV_REFUSE_START)->state = JV_RESTING;
        legs_finish(c);
        plan_run(plan_step(c, plan_new(c, "run"), "lift", 5.0), jack, 1, JV_LOAD_AMPS, 20.0);
        jv_sequence *s = plan_play(c, &plain);
        assert_int_equal(plan_count(s, JV_JACK_STARTS), k);
        if (k) {
            assert_int_equal(s->stop, JV_STOP_DONE);
            assert_true(s->step_starts[0] == 0.0);
        } else {
            assert_int_equal(s->stop, JV_STOP_REFUSED);
            assert_close(s->watches[0].first_trip_s, 0.5, 0.0, 1e-6);
            assert_close(s->end_s, 0.5, 0.0, 1e-6);
            assert_true(isnan(s->step_starts[0]) && s->finding);
        }
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
}

/* A chopper whose share d grows evenly from 0.05 to 1 in a second gives the motor d V; the feed
 * carries d times its amps. u' = (i - I) R/tau and i = (d V - u)/R: it stays at rest until
 * d V/R = I, and then i = I + d' (V/R) tau (1 - e^(-t/tau)): 2.28 A above its load, where a hard
 * start has 120 A. */
static void a_soft_start_is_a_ramp_of_the_volts(void **state) {
    (void)state;
    static const double lock = 120.0, load = 10.0, tau = 0.020, least = 0.05, ramp_s = 1.0;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    build_between(c, "controller", "controller", "post", "minus");
    build_pin(c, "outputs", "jack", "out+", "out-");
    build_quantity(c, "channel_resistance", "0 ohm");
    build_quantity(c, "current", "0 A");
    build_quantity(c, "soft_start", "1 s");
    build_close(c);
    uint32_t jack = rig_jack(c, "jack", "out+", "out-");
    build_quantity(c, "heat.winding", "1e9 J/K");
    build_close(c);
    rig_finish(c);
    plan_run(plan_step(c, plan_new(c, "run"), "run", 2.0), jack, 1, JV_LOAD_AMPS, load);
    jv_sequence *s = plan_play(c, &plain);
    double slope = (1.0 - least) / ramp_s, away = (load / lock - least) / slope;
    double above = slope * lock * tau;
    for (double t = 0.01; t < ramp_s - 0.002; t += 0.013) {
        double at = floor(t / 1e-3 + 0.5) * 1e-3, d = least + slope * at;
        double amps = at < away ? d * lock : load + above * (1.0 - exp(-(at - away) / tau));
        assert_close(plan_value(s, "jack", "A", at), d * amps, 1e-4, 1e-3);
    }
    /* After it the surplus fades. */
    double t = 1.01, rest = above * exp(-(t - ramp_s) / tau);
    assert_close(plan_value(s, "jack", "A", t), load + rest, 1e-3, 0.0);
    assert_close(s->parts[jack].peak_a, load + above, 1e-3, 0.0);
    assert_true(s->balance.energy_error < 1e-6);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* T = 20 + 52 (V/12)^2 (1 - e^(-t/tau)) at V volts; pull-in grows with the copper: 7.2 V (234.5 +
 * T)/254.5 (theory R1; 52 K is printed for one relay at its nominal volts). Held for 300 s it is at
 * 68 degC and wants 8.6 V: with 7.9 V there it does not pull in again, and a cold one does. */
static void a_coil_that_is_warm_does_not_pull_in_again(void **state) {
    (void)state;
    static const double tau = 100.0, held_s = 300.0, shown_s = 1.0;
    for (int k = 0; k < 3; k++) {
        jv_circuit *c = rig_circuit("12 V", k == 2 ? "0 ohm" : "1 ohm");
        uint32_t list[] = {build_between(c, "load", "lamp", "post", "minus"), 0};
        build_quantity(c, "current", "1 mA");
        build_flag(c, "on", false);
        build_close(c);
        list[1] = build_between(c, "load", "heater", "post", "minus");
        build_quantity(c, "current", "4 A");
        build_flag(c, "on", false);
        build_close(c);
        uint32_t relay = build_between(c, "relay", "relay", "post", "out");
        build_terminal(c, "coil_plus", "post");
        build_terminal(c, "coil_minus", "minus");
        build_reference(c, "commanded_by", "lamp");
        if (k)
            build_quantity(c, "coil_heating", "52 K");
        build_quantity(c, "coil_time", "100 s");
        build_close(c);
        build_between(c, "load", "fan", "out", "minus");
        build_quantity(c, "current", "1 mA");
        build_close(c);
        rig_finish(c);
        jv_plan *p = plan_new(c, "run");
        jv_plan_step *hold = plan_step(c, p, "hold", held_s);
        hold->loading.on = list;
        hold->loading.n_on = 1;
        if (k < 2) {
            plan_step(c, p, "off", 1.0);
            jv_plan_step *again = plan_step(c, p, "again", 1.0);
            again->loading.on = list;
            again->loading.n_on = 2;
        }
        jv_sequence_options how = plain;
        how.every_s = 0.5;
        jv_sequence *s = plan_play(c, &how);
        if (k < 2)
            assert_int_equal(plan_count(s, JV_RELAY_PULLS), k == 0); /* it is held from the start */
        else
            assert_close(s->parts[relay].ends_c,
                         20.0 + 52.0 * (1.0 - exp(-held_s / tau)) * exp(-shown_s / tau), 1e-5, 0.0);
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
}

/* --- what ends a step --- */

/* 10 in/min at 24 A and 12 V, 20 ms to get there: x = v (t - tau (1 - e^(-t/tau))), so that 20 mm
 * take 20/4.2333 s + 20 ms = 4.744 s. The step may last 60 s, and ends there. */
static void a_step_ends_at_the_end_of_the_stroke(void **state) {
    (void)state;
    static const double ends = 20.0 / (254.0 / 60.0) + 0.020;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    uint32_t jack = rig_jack(c, "jack", "post", "minus");
    build_quantity(c, "stroke", "20 mm");
    build_quantity(c, "heat.winding", "1e9 J/K");
    build_close(c);
    rig_finish(c);
    jv_plan *p = plan_new(c, "run");
    jv_plan_step *lift = plan_step(c, p, "lift", 60.0);
    lift->stroke_end = true;
    plan_run(lift, jack, 1, JV_LOAD_AMPS, 24.0);
    plan_step(c, p, "pause", 1.0);
    jv_sequence *s = plan_play(c, &plain);
    assert_close(plan_event(s, JV_STROKE_END, 0.0)->t_s, ends, 0.0, 1e-5);
    assert_close(plan_event(s, JV_JACK_STOPS, 0.0)->t_s, ends, 0.0, 1e-5);
    assert_close(s->step_starts[1], ends, 0.0, 1e-5);
    assert_close(s->parts[jack].extension_m, 0.020, 1e-9, 0.0);
    assert_int_equal(s->stop, JV_STOP_DONE);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* By its plate it takes 4 A and 20 A more for 1000 lbf; its force goes from 20 to 1000 lbf over 30
 * mm behind the 40 mm. At 14 A it turns with 10.6 V, 4.674 mm/s, and its load grows by 3.05 A/s:
 * the slowing rotor gives tau 3.05 A/s = 0.061 A of 14.061 A, which are 503.05 lbf, at 54.787 mm.
 * Its start, 120 A, is no sign of load. */
static void a_step_ends_at_a_current_but_not_in_the_start(void **state) {
    (void)state;
    static const double at_m = 0.054787;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    uint32_t jack = rig_jack(c, "jack", "post", "minus");
    build_quantity(c, "travel.free", "40 mm");
    build_quantity(c, "travel.ramp", "30 mm");
    build_quantity(c, "heat.winding", "1e9 J/K");
    build_close(c);
    rig_finish(c);
    jv_plan_step *lift = plan_step(c, plan_new(c, "run"), "lift", 60.0);
    lift->current_a = 14.0;
    plan_run(lift, jack, 1, JV_LOAD_TRAVEL, 0.0);
    jv_sequence *s = plan_play(c, &plain);
    double stops = plan_event(s, JV_JACK_STOPS, 0.0)->t_s;
    assert_close(s->parts[jack].peak_a, 120.0, 1e-3, 0.0);
    assert_close(plan_value(s, "jack", "m", stops), at_m, 0.0, 2e-5);
    assert_int_equal(s->stop, JV_STOP_DONE);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* Held fast behind 0.1 ohm: 60 A, 6 V, under the 11 V of the watch from the start: it acts after
 * its 0.5 s, and what it does is end the step, not stop all. */
static void a_step_ends_when_a_watch_acts(void **state) {
    (void)state;
    jv_circuit *c = rig_circuit("12 V", "0.1 ohm");
    uint32_t jack = rig_jack(c, "jack", "post", "minus");
    build_close(c);
    plan_watch(c, "low", "post", "minus", 11.0, 0.5, JV_STOP_ALL)->state = JV_RUNNING;
    legs_finish(c);
    jv_plan *p = plan_new(c, "run");
    jv_plan_step *held = plan_step(c, p, "held", NAN);
    held->until_watch = 0;
    plan_run(held, jack, 1, JV_LOAD_STALLED, 0.0);
    plan_step(c, p, "pause", 2.0);
    jv_sequence *s = plan_play(c, &plain);
    assert_close(s->step_starts[1], 0.5, 0.0, 1e-6);
    assert_int_equal(s->stop, JV_STOP_DONE);
    assert_close(s->end_s, 0.5 + 2.0 + 1.0, 0.0, 1e-6); /* a second of rest is shown */
    assert_close(s->parts[jack].runs_s, 0.5, 0.0, 1e-6);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* --- a pump with permanent magnets behind its start contactor --- */

/* i = I + (Is - I) e^(-t/tau) from 7 ms on, when the contactor has pulled in: 400 A at first, 80 A
 * of load, 50 ms. The winding warms by half a kelvin meanwhile: 2e-3 of the ohms. */
static void a_magnet_pump_starts_when_its_contactor_is_in(void **state) {
    (void)state;
    static const double stall = 400.0, asks = 80.0, tau = 0.050, pulls_s = 0.007;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    uint32_t pump = build_between(c, "pump", "pump", "stud", "minus");
    build_quantity(c, "rated_current", "100 A");
    build_quantity(c, "stall_current", "400 A");
    build_quantity(c, "spin_up", "50 ms");
    build_close(c);
    build_between(c, "relay", "contactor", "post", "stud");
    build_terminal(c, "coil_plus", "post");
    build_terminal(c, "coil_minus", "minus");
    build_quantity(c, "resistance", "0 ohm");
    build_reference(c, "commanded_by", "pump");
    build_close(c);
    rig_finish(c);
    plan_run(plan_step(c, plan_new(c, "run"), "run", 1.0), pump, 1, JV_LOAD_AMPS, asks);
    jv_sequence *s = plan_play(c, &plain);
    assert_close(plan_event(s, JV_RELAY_PULLS, 0.0)->t_s, pulls_s, 0.0, 1e-6);
    assert_close(s->parts[pump].peak_a, stall, 1e-6, 0.0);
    assert_close(plan_value(s, "pump", "A", 0.005), 0.0, 0.0, 1e-9);
    for (double t = 0.010; t < 0.3; t += 0.010)
        assert_close(plan_value(s, "pump", "A", t),
                     asks + (stall - asks) * exp((pulls_s - t) / tau), 5e-3, 0.0);
    assert_close(plan_value(s, "pump", "A", 0.99), asks, 1e-3, 0.0);
    assert_int_equal(plan_count(s, JV_STALLS), 0);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_step_may_have_its_own_air),
        cmocka_unit_test(the_resting_check_comes_before_the_first_step),
        cmocka_unit_test(a_soft_start_is_a_ramp_of_the_volts),
        cmocka_unit_test(a_coil_that_is_warm_does_not_pull_in_again),
        cmocka_unit_test(a_step_ends_at_the_end_of_the_stroke),
        cmocka_unit_test(a_step_ends_at_a_current_but_not_in_the_start),
        cmocka_unit_test(a_step_ends_when_a_watch_acts),
        cmocka_unit_test(a_magnet_pump_starts_when_its_contactor_is_in),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
