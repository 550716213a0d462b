/* test_sequence_events.c - relays, controllers, packs, sensors, limits. SPDX-License-Identifier:
 * MIT */
#include "tests/support/build.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"
#include "tests/support/legs.h"
#include "tests/support/plan.h"
#include "tests/support/rig.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

static const jv_sequence_options plain = {.every_s = 1e-3, .no_cures = true};

/* A controller with one reversing output; its keys may follow. */
static uint32_t controller(jv_circuit *c) {
    uint32_t part = build_between(c, "controller", "controller", "post", "minus");
    build_pin(c, "outputs", "jack", "out+", "out-");
    build_quantity(c, "channel_resistance", "0 ohm");
    build_quantity(c, "current", "0 A");
    return part;
}

/* loads/models.md (h): it chatters when R/(R + Rs) < V_drop/V_oc. R 0.1 ohm, V_drop 3 V, V_oc 12.5
 * V: Rs > 0.317 ohm. A cycle is release and pull-in time: 5 and 7 ms, 83 Hz. */
static void a_relay_chatters_where_it_must(void **state) {
    (void)state;
    static const char *const ohms[] = {"0.45 ohm", "0.2 ohm"};
    for (int k = 0; k < 2; k++) {
        jv_circuit *c = rig_circuit("12.5 V", ohms[k]);
        uint32_t motor = rig_jack(c, "jack", "motor", "minus");
        build_close(c);
        uint32_t relay = build_between(c, "relay", "relay", "post", "motor");
        build_terminal(c, "coil_plus", "post");
        build_terminal(c, "coil_minus", "minus");
        build_quantity(c, "resistance", "0 ohm");
        build_quantity(c, "drop_out", "3 V");
        build_reference(c, "commanded_by", "jack");
        build_close(c);
        rig_finish(c);
        plan_run(plan_step(c, plan_new(c, "run"), "run", 0.5), motor, 1, JV_LOAD_AMPS, 10.0);
        jv_sequence *s = plan_play(c, &plain);
        if (k == 0) {
            assert_true(s->parts[relay].releases >= 3);
            assert_int_equal(plan_count(s, JV_CHATTERS), 1);
            double first = plan_event(s, JV_RELAY_DROPS, 0.0)->t_s;
            double next = plan_event(s, JV_RELAY_DROPS, first + 1e-4)->t_s;
            assert_close(next - first, 0.012, 0.02, 0.0);
            assert_true(s->finding);
        } else {
            assert_int_equal(s->parts[relay].releases, 0);
            assert_close(plan_event(s, JV_RELAY_PULLS, 0.0)->t_s, 0.007, 0.0, 1e-6);
        }
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
}

/* The start takes the controller under its reset volts for longer than 5 ms: 12 V behind 0.1 ohm
 * and a rotor of 0.1 ohm, 6 V at first, back above 8 V when I = 40 A. */
static void a_controller_resets_and_comes_back(void **state) {
    (void)state;
    jv_circuit *c = rig_circuit("12 V", "0.1 ohm");
    uint32_t module = controller(c);
    build_quantity(c, "reset_voltage", "8 V");
    build_quantity(c, "restart_time", "0.5 s");
    build_close(c);
    uint32_t motor = rig_jack(c, "jack", "out+", "out-");
    build_close(c);
    rig_finish(c);
    plan_run(plan_step(c, plan_new(c, "run"), "run", 3.0), motor, 1, JV_LOAD_AMPS, 10.0);
    jv_sequence *s = plan_play(c, &plain);
    const jv_sequence_event *down = plan_event(s, JV_BROWN_OUT, 0.0);
    assert_int_equal(down->part, module);
    assert_close(down->t_s, 0.005, 0.0, 1e-6);
    assert_close(plan_event(s, JV_RESTART, 0.0)->t_s, 0.505, 0.0, 1e-6);
    assert_int_equal(s->stop, JV_STOP_TRIPPED);
    assert_close(s->parts[motor].runs_s, 0.005, 0.0, 1e-6);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

static void a_controller_keeps_its_limits(void **state) {
    (void)state;
    /* Held fast: 120 A through, the stop looks from 0.3 s on and waits 0.2 s. */
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    controller(c);
    build_quantity(c, "stop_current", "60 A");
    build_quantity(c, "stop_held_for", "0.2 s");
    build_quantity(c, "stop_ignored_for", "0.3 s");
    build_quantity(c, "time_limit", "5 s");
    build_close(c);
    uint32_t motor = rig_jack(c, "jack", "out+", "out-");
    build_close(c);
    rig_finish(c);
    jv_plan *p = plan_new(c, "run");
    plan_run(plan_step(c, p, "stuck", 2.0), motor, 1, JV_LOAD_STALLED, 0.0);
    plan_step(c, p, "pause", 1.0);
    plan_run(plan_step(c, p, "long", 20.0), motor, 1, JV_LOAD_AMPS, 20.0);
    jv_sequence *s = plan_play(c, &plain);
    assert_close(plan_event(s, JV_OVER_CURRENT, 0.0)->t_s, 0.5, 0.0, 1e-6);
    double began = plan_event(s, JV_STEP_STARTS, 1.0)->t_s;
    assert_close(plan_event(s, JV_TIME_LIMIT, 0.0)->t_s, began + 5.0, 0.0, 1e-6);
    assert_close(s->parts[motor].limit_s, 5.0, 1e-12, 0.0);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* Leads exchanged: told to lift it goes down, from 100 mm. */
static void a_motor_with_exchanged_leads_goes_the_other_way(void **state) {
    (void)state;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    controller(c);
    build_close(c);
    uint32_t motor = rig_jack(c, "jack", "out-", "out+");
    build_quantity(c, "travel.start", "30 mm");
    build_close(c);
    rig_finish(c);
    c->parts[motor].driver = 1; /* the search for drivers starts at the plus of a motor */
    c->parts[motor].driver_output = 0;
    plan_run(plan_step(c, plan_new(c, "run"), "run", 2.0), motor, 1, JV_LOAD_TRAVEL, 0.0);
    jv_sequence *s = plan_play(c, &plain);
    plan_event(s, JV_WRONG_WAY, 0.0);
    assert_true(s->parts[motor].travel_m < -5e-3);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* A managed pack: 100 A for 0.3 s open it; too low volts open it and it comes back when they rise.
 */
static void a_managed_pack_waits_before_it_opens(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "battery", "post", "minus");
    build_quantity(c, "open_circuit", "12 V");
    build_quantity(c, "resistance", "10 mohm");
    build_quantity(c, "cutoff_current", "80 A");
    build_quantity(c, "cutoff_delay", "0.3 s");
    build_close(c);
    uint32_t motor = rig_jack(c, "jack", "post", "minus");
    build_close(c);
    rig_finish(c);
    /* The start passes 80 A for less than the delay; the stall does not. */
    jv_plan *p = plan_new(c, "run");
    plan_run(plan_step(c, p, "start", 2.0), motor, 1, JV_LOAD_AMPS, 20.0);
    plan_step(c, p, "pause", 1.0);
    plan_run(plan_step(c, p, "stuck", 2.0), motor, 1, JV_LOAD_STALLED, 0.0);
    jv_sequence *s = plan_play(c, &plain);
    assert_int_equal(plan_count(s, JV_CUT_OFF), 1);
    assert_close(plan_event(s, JV_CUT_OFF, 0.0)->t_s, 3.0 + 0.3, 0.0, 1e-5);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* Two pulses a turn of the motor: 2 (V - I R)/(2 pi ke) = 2 (12.6 - 3.55 x 0.1)/(2 pi 0.028) =
 * 139.2 Hz free (loads/events.md has 137 Hz behind its 40 mohm). A sensor that gets too few volts
 * loses them, and a controller that counts stops the jack. */
static void pulses_are_counted_and_missed(void **state) {
    (void)state;
    for (int starved = 0; starved < 2; starved++) {
        jv_circuit *c = rig_circuit("12.6 V", "0 ohm");
        controller(c);
        build_quantity(c, "pulse_timeout", "0.5 s");
        build_close(c);
        legs_add_between(c, "leg", "out+", "out-");
        build_between(c, "hall", "sensor", "post", "minus");
        build_quantity(c, "pulses_per_turn", "2");
        build_quantity(c, "minimum", starved ? "15 V" : "4.5 V");
        build_reference(c, "counts", "leg");
        build_close(c);
        rig_finish(c);
        plan_run(plan_step(c, plan_new(c, "run"), "run", 6.0), 2, 1, JV_LOAD_TRAVEL, 0.0);
        jv_sequence *s = plan_play(c, &plain);
        if (starved) {
            assert_close(plan_event(s, JV_PULSES_MISSING, 0.0)->t_s, 0.5, 0.0, 1e-6);
            assert_true(s->parts[2].pulses == 0.0 && s->parts[2].lost_pulses > 40.0);
        } else {
            /* The start loses J R/ke^2 = 19 ms of it, braking to a stop gives about that back. */
            assert_close(s->parts[2].pulses, 139.2 * 6.0, 0.005, 0.0);
            assert_true(s->parts[2].lost_pulses == 0.0);
        }
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
}

/* Goals: each stops the jack where it should. Force of the ramp: 1000 lbf over 30 mm after 40 mm,
 * from a drag of 20 lbf, so 510 lbf is the middle of the ramp: 55 mm. */
static void a_jack_stops_at_its_goal(void **state) {
    (void)state;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    uint32_t motor = rig_jack(c, "jack", "post", "minus");
    build_quantity(c, "travel.free", "40 mm");
    build_quantity(c, "travel.ramp", "30 mm");
    build_close(c);
    rig_finish(c);
    jv_plan *p = plan_new(c, "run");
    jv_plan_step *s1 = plan_step(c, p, "length", 60.0);
    s1->extension_m = 0.020;
    plan_run(s1, motor, 1, JV_LOAD_TRAVEL, 0.0);
    plan_step(c, p, "pause", 1.0);
    jv_plan_step *s2 = plan_step(c, p, "force", 60.0);
    s2->force_n = 510.0 * 4.4482216152605;
    plan_run(s2, motor, 1, JV_LOAD_TRAVEL, 0.0);
    plan_step(c, p, "pause", 1.0);
    jv_sequence_options how = plain;
    jv_sequence *s = plan_play(c, &how);
    const jv_sequence_event *first = plan_event(s, JV_JACK_STOPS, 0.0);
    assert_close(plan_value(s, "jack", "m", first->t_s), 0.020, 0.0, 1e-6);
    const jv_sequence_event *second = plan_event(s, JV_JACK_STOPS, first->t_s + 1.0);
    assert_close(plan_value(s, "jack", "m", second->t_s), 0.055, 0.0, 1e-6);
    assert_int_equal(s->stop, JV_STOP_DONE);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* A winding that reaches its cut-out stops the motor; by hand: 120 A^2 0.1 ohm into 58 J/K. */
static void a_thermal_cut_out_opens(void **state) {
    (void)state;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    uint32_t motor = rig_jack(c, "jack", "post", "minus");
    build_quantity(c, "cutout.opens", "120 degC");
    build_quantity(c, "heat.winding", "58 J/K");
    build_quantity(c, "heat.winding_to_case", "1e9 K/W");
    build_close(c);
    rig_finish(c);
    plan_run(plan_step(c, plan_new(c, "run"), "run", 20.0), motor, 1, JV_LOAD_STALLED, 0.0);
    jv_sequence_options how = plain;
    how.every_s = 0.1;
    jv_sequence *s = plan_play(c, &how);
    /* C dT/dt = V^2/(R20 (234.5 + T)/254.5): the square of (234.5 + T) grows evenly. */
    double seconds = (354.5 * 354.5 - 254.5 * 254.5) / (2.0 * 144.0 / 0.1 * 254.5 / 58.0);
    assert_close(plan_event(s, JV_WINDING_OPENS, 0.0)->t_s, seconds, 1e-5, 0.0);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

static bool three_rows(void *context, const jv_sequence *heads, double t, const double *values) {
    int *rows = context;
    (void)t;
    (void)values;
    assert_true(heads->n_traces > 0);
    return ++*rows < 3;
}

/* What never ends is ended, by its own time, by the clock, by the sink or by being asked to. */
static void a_run_can_always_be_ended(void **state) {
    (void)state;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    uint32_t motor = rig_jack(c, "jack", "post", "minus");
    build_close(c);
    rig_finish(c);
    jv_plan_step *step = plan_step(c, plan_new(c, "run"), "run", NAN);
    step->extension_m = 1.0;
    plan_run(step, motor, 1, JV_LOAD_STALLED, 0.0);
    jv_sequence_options how = plain;
    how.every_s = 0.1;
    how.longest_s = 30.0;
    jv_sequence *s = plan_play(c, &how);
    assert_int_equal(s->stop, JV_STOP_LONGEST);
    assert_close(s->end_s, 30.0, 0.0, 1e-6);
    assert_true(s->finding);
    jv_sequence_free(&s);
    how.wall_s = 1e-9;
    s = plan_play(c, &how);
    assert_int_equal(s->stop, JV_STOP_CLOCK);
    jv_sequence_free(&s);
    /* samples closer than any run could have them do not hold up the clock */
    static const double close_s[] = {1e-12, 1e-300};
    for (size_t k = 0; k < sizeof close_s / sizeof close_s[0]; k++) {
        how.every_s = close_s[k];
        how.wall_s = 0.05;
        s = plan_play(c, &how);
        assert_int_equal(s->stop, JV_STOP_CLOCK);
        assert_true(s->effort.wall_s < 2.0);
        jv_sequence_free(&s);
    }
    how.every_s = 0.1;
    how.wall_s = 0.0;
    int rows = 0;
    how.sink = three_rows;
    how.sink_context = &rows;
    s = plan_play(c, &how);
    assert_int_equal(s->stop, JV_STOP_ASKED);
    jv_sequence_free(&s);
    volatile sig_atomic_t asked = 1;
    how.sink = NULL;
    how.asked = &asked;
    s = plan_play(c, &how);
    assert_int_equal(s->stop, JV_STOP_ASKED);
    jv_sequence_free(&s);
    how.name = "no such thing";
    assert_int_equal(jv_sequence_run(c, &how, &s), JV_ERR_UNKNOWN);
    jv_circuit_free(&c);
}

/* Too few volts at rest: nothing starts. */
static void a_start_is_refused(void **state) {
    (void)state;
    jv_circuit *c = rig_circuit("11.5 V", "10 mohm");
    uint32_t motor = rig_jack(c, "jack", "post", "minus");
    build_close(c);
    plan_watch(c, "rest", "post", "minus", 12.0, 0.5, JV_REFUSE_START)->state = JV_RESTING;
    legs_finish(c);
    jv_plan *p = plan_new(c, "run");
    plan_step(c, p, "rest", 2.0);
    plan_run(plan_step(c, p, "lift", 5.0), motor, 1, JV_LOAD_AMPS, 20.0);
    jv_sequence *s = plan_play(c, &plain);
    assert_int_equal(s->stop, JV_STOP_REFUSED);
    assert_int_equal(plan_count(s, JV_JACK_STARTS), 0);
    assert_close(s->watches[0].first_trip_s, 0.5, 0.0, 1e-6);
    assert_close(plan_event(s, JV_REFUSED, 0.0)->t_s, 0.5, 0.0, 1e-6);
    assert_int_equal(plan_event(s, JV_REFUSED, 0.0)->watch, 0);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

static void running_out_of_memory_is_a_clean_fault(void **state) {
    (void)state;
    jv_circuit *c = legs_circuit(1);
    c->watches[0].below = jv_value_exact(11.5);
    c->watches[0].action = JV_STOP_ALL;
    plan_run(plan_step(c, plan_new(c, "lift"), "lift", 0.05), 3, 1, JV_LOAD_TRAVEL, 0.0);
    failing_start(0);
    jv_sequence *s = plan_play(c, &plain);
    size_t calls = failing_calls();
    jv_sequence_free(&s);
    assert_int_equal(failing_blocks(), 0);
    failing_stop();
    assert_true(calls > 20);
    for (size_t n = 1; n <= calls; n++) {
        failing_start(n);
        jv_status status = jv_sequence_run(c, &plain, &s);
        assert_int_equal(status, JV_ERR_MEMORY);
        assert_null(s);
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
    }
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_relay_chatters_where_it_must),
        cmocka_unit_test(a_controller_resets_and_comes_back),
        cmocka_unit_test(a_controller_keeps_its_limits),
        cmocka_unit_test(a_motor_with_exchanged_leads_goes_the_other_way),
        cmocka_unit_test(a_managed_pack_waits_before_it_opens),
        cmocka_unit_test(pulses_are_counted_and_missed),
        cmocka_unit_test(a_jack_stops_at_its_goal),
        cmocka_unit_test(a_thermal_cut_out_opens),
        cmocka_unit_test(a_run_can_always_be_ended),
        cmocka_unit_test(a_start_is_refused),
        cmocka_unit_test(running_out_of_memory_is_a_clean_fault),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
