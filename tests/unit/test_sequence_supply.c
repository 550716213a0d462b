/* test_sequence_supply.c - sources that come and go, cold and weak ones, and a turned motor in
 * time. SPDX-License-Identifier: MIT */
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
#include <string.h>
#include <cmocka.h>

static const jv_sequence_options plain = {.every_s = 1e-3, .no_cures = true};

static void battery(jv_circuit *c, const char *volts, const char *ohm) {
    build_between(c, "battery", "battery", "post", "minus");
    build_quantity(c, "open_circuit", volts);
    build_quantity(c, "resistance", ohm);
}

/* 13.8 V less 10 mohm, 30 A at most. */
static uint32_t supply(jv_circuit *c, bool hiccup) {
    uint32_t part = build_between(c, "supply", "converter", "post", "minus");
    build_quantity(c, "set_voltage", "13.8 V");
    build_quantity(c, "limit", "30 A");
    build_quantity(c, "resistance", "10 mohm");
    if (hiccup)
        build_word(c, "overload", "hiccup");
    build_close(c);
    return part;
}

static uint32_t heater(jv_circuit *c, const char *name, const char *amps) {
    uint32_t part = build_between(c, "load", name, "post", "minus");
    build_quantity(c, "current", amps);
    build_close(c);
    return part;
}

static jv_plan_step *step_without(jv_circuit *c, jv_plan *p, const char *name, double for_s,
                                  uint32_t *off, size_t n) {
    jv_plan_step *s = plan_step(c, p, name, for_s);
    s->loading.off = off;
    s->loading.n_off = n;
    return s;
}

/* 12 V behind 50 mohm and 40 A. Alone the battery is at 12 - 2 = 10 V. With the converter on, that
 * gives its 30 A and the battery 10 A: 11.5 V. With the load off instead the battery takes the 30
 * A: 13.5 V, and 13.8 - 0.3 = 13.5 V is what the converter holds with them: the border. At 12.5 V
 * of the battery it is regulated: I = (13.8 - 12.5)/(50 + 10 mohm) = 21.67 A. */
static void a_supply_is_switched_from_step_to_step(void **state) {
    (void)state;
    static const struct {
        const char *volts;
        double on_v, idle_a;
    } rows[] = {{"12 V", 11.5, 30.0}, {"12.5 V", 12.0, 1.3 / 0.060}};
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        jv_circuit *c = build_circuit();
        battery(c, rows[r].volts, "50 mohm");
        build_close(c);
        uint32_t converter = supply(c, false), load = heater(c, "heater", "40 A");
        uint32_t motor = build_between(c, "jack", "jack", "post", "minus");
        build_quantity(c, "rated_current", "24 A");
        build_quantity(c, "no_load_current", "4 A");
        build_close(c);
        rig_finish(c);
        jv_plan *p = plan_new(c, "run");
        step_without(c, p, "alone", 1.0, &converter, 1);
        plan_step(c, p, "helped", 1.0);
        step_without(c, p, "idle", 1.0, &load, 1);
        step_without(c, p, "alone again", 1.0, &converter, 1);
        jv_sequence *s = plan_play(c, &plain);
        double open = r ? 12.5 : 12.0;
        assert_close(plan_value(s, "battery", "V", 0.5), open - 2.0, 1e-9, 0.0);
        assert_close(plan_value(s, "converter", "A", 0.5), 0.0, 0.0, 1e-9);
        assert_close(plan_value(s, "battery", "V", 1.5), rows[r].on_v, 1e-9, 0.0);
        assert_close(plan_value(s, "converter", "A", 1.5), 30.0, 1e-9, 0.0);
        assert_close(plan_value(s, "converter", "A", 2.5), rows[r].idle_a, 1e-6, 0.0);
        assert_close(plan_value(s, "battery", "A", 2.5), -rows[r].idle_a, 1e-6, 0.0);
        assert_close(plan_value(s, "battery", "V", 3.5), open - 2.0, 1e-9, 0.0);
        /* charge: (-40 - 10 + idle - 40) A s out of the battery, and a second of rest without
         * steps at the end, in which all is on again: 10 A */
        assert_close(-s->parts[0].charge_as, 90.0 - rows[r].idle_a + 10.0, 1e-6, 0.0);
        assert_close(s->balance.energy_error, 0.0, 0.0, 1e-6);
        (void)motor;
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
}

/* A converter that hiccups gives a fifth of its 30 A while it is asked for more. 13.6 V behind 50
 * mohm and 100 A: 13.6 - 0.05 (100 - 6) = 8.9 V. With 10 A left it gives, once it has tried again
 * (every second), (13.8 - 13.6 + 0.05 x 10)/0.060 = 11.67 A: 13.683 V; until then its 6 A:
 * 13.4 V. */
static void a_supply_that_hiccups_tries_again(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    battery(c, "13.6 V", "50 mohm");
    build_close(c);
    uint32_t converter = supply(c, true), load = heater(c, "heater", "90 A");
    heater(c, "lamp", "10 A");
    build_between(c, "jack", "jack", "post", "minus");
    build_quantity(c, "rated_current", "24 A");
    build_quantity(c, "no_load_current", "4 A");
    build_close(c);
    rig_finish(c);
    jv_plan *p = plan_new(c, "run");
    plan_step(c, p, "both", 2.5);
    step_without(c, p, "lamp", 2.5, &load, 1);
    jv_sequence *s = plan_play(c, &plain);
    assert_close(plan_event(s, JV_SUPPLY_OVERLOADED, 0.0)->t_s, 0.0, 0.0, 1e-6);
    assert_int_equal(plan_event(s, JV_SUPPLY_OVERLOADED, 0.0)->part, converter);
    assert_close(plan_value(s, "battery", "V", 0.5), 8.9, 1e-9, 0.0);
    assert_close(plan_value(s, "converter", "A", 2.4), 6.0, 1e-9, 0.0);
    assert_close(plan_value(s, "battery", "V", 2.9), 13.4, 1e-9, 0.0);
    assert_close(plan_value(s, "converter", "A", 3.1), 0.7 / 0.060, 1e-9, 0.0);
    assert_close(plan_value(s, "battery", "V", 4.5), 13.8 - 0.01 * 0.7 / 0.060, 1e-9, 0.0);
    assert_close(plan_event(s, JV_SUPPLY_BACK, 0.0)->t_s, 3.0, 0.0, 2e-3);
    /* the second of rest at the end has both loads on again: overloaded once more */
    assert_int_equal(plan_count(s, JV_SUPPLY_OVERLOADED), 2);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* A lithium pack under its least temperature opens before anything starts; one that is only too
 * cold to take charge opens when the converter pushes current in, and not before. */
static void a_pack_that_is_too_cold_opens(void **state) {
    (void)state;
    for (int charged = 0; charged < 2; charged++) {
        jv_circuit *c = build_circuit();
        build_between(c, "battery", "battery", "post", "minus");
        build_word(c, "chemistry", "lfp");
        build_quantity(c, "capacity", "100 Ah");
        build_quantity(c, "charge", "60 %");
        build_quantity(c, "temperature", "-10 degC");
        build_quantity(c, charged ? "cutoff_cold_charge" : "cutoff_cold", "0 degC");
        build_close(c);
        uint32_t converter = build_between(c, "supply", "converter", "post", "minus");
        build_quantity(c, "set_voltage", "14.4 V");
        build_quantity(c, "limit", "20 A");
        build_close(c);
        uint32_t load = heater(c, "heater", "10 A");
        uint32_t motor = build_between(c, "jack", "jack", "post", "minus");
        build_quantity(c, "rated_current", "24 A");
        build_quantity(c, "no_load_current", "4 A");
        build_close(c);
        (void)motor, (void)load;
        rig_finish(c);
        jv_plan *p = plan_new(c, "run");
        step_without(c, p, "alone", 2.0, &converter, 1);
        plan_step(c, p, "charging", 2.0);
        jv_sequence *s = plan_play(c, &plain);
        assert_int_equal(plan_count(s, JV_CUT_OFF), 1);
        const jv_sequence_event *e = plan_event(s, JV_CUT_OFF, 0.0);
        assert_close(e->t_s, charged ? 2.0 : 0.0, 0.0, 1e-5);
        assert_non_null(
            strstr(e->text, charged ? "too cold to take charge" : "too cold to deliver"));
        assert_true(s->finding);
        /* alone it carried the heater, or it was dead; afterwards the converter has it alone */
        assert_close(plan_value(s, "battery", "A", 1.0), charged ? 10.0 : 0.0, 0.0, 1e-6);
        assert_close(plan_value(s, "converter", "A", 3.0), 10.0, 1e-6, 0.0);
        assert_close(plan_value(s, "battery", "A", 3.0), 0.0, 0.0, 1e-6);
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
}

/* A lithium pack with a limit of 60 A for 100 ms: the start of a jack of 0.1 ohm behind 12.8 V
 * passes it, I = I0 + (Is - I0) e^(-t/tau) with Is = 128 A, I0 = 24 A and tau = 20 ms, for 20 ms
 * ln(104/36) = 21 ms; a jack that is stuck passes it for good. Ohms of the pack: none. */
static void a_pack_stands_a_start_but_no_stall(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    battery(c, "12.8 V", "0 ohm");
    build_quantity(c, "cutoff_current", "60 A");
    build_quantity(c, "cutoff_delay", "100 ms");
    build_close(c);
    uint32_t motor = build_between(c, "jack", "jack", "post", "minus");
    build_quantity(c, "rated_current", "24 A");
    build_quantity(c, "no_load_current", "4 A");
    build_quantity(c, "stall_current", "120 A");
    build_quantity(c, "spin_up", "20 ms");
    build_quantity(c, "heat.winding", "1e9 J/K");
    build_close(c);
    rig_finish(c);
    jv_plan *p = plan_new(c, "run");
    plan_run(plan_step(c, p, "start", 1.0), motor, 1, JV_LOAD_AMPS, 24.0);
    plan_step(c, p, "pause", 1.0);
    plan_run(plan_step(c, p, "stuck", 1.0), motor, 1, JV_LOAD_STALLED, 0.0);
    jv_sequence *s = plan_play(c, &plain);
    assert_close(plan_value(s, "jack", "A", 0.010), 24.0 + 104.0 * exp(-0.5), 1e-3, 0.0);
    assert_close(plan_value(s, "jack", "A", 0.020 * log(104.0 / 36.0)), 60.0, 0.03, 0.0);
    assert_int_equal(plan_count(s, JV_CUT_OFF), 1);
    assert_close(plan_event(s, JV_CUT_OFF, 0.0)->t_s, 2.1, 0.0, 1e-5);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* loads/events.md, "Variation cases", 3: 12.0 V, 40 mohm, two legs: 12.0/(0.12 + 2 x 0.05) = 54.5 A
 * each held fast, 6.55 V at the bus (10 mohm of common harness, 20 mohm a branch). */
static void a_weak_battery_with_two_legs_held_fast(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    battery(c, "12.0 V", "40 mohm");
    build_close(c);
    build_between(c, "cable", "harness", "post", "bus");
    build_quantity(c, "resistance", "10 mohm");
    build_close(c);
    uint32_t legs[2];
    for (int k = 0; k < 2; k++) {
        build_between(c, "cable", k ? "branch 2" : "branch 1", "bus", k ? "end 2" : "end 1");
        build_quantity(c, "resistance", "20 mohm");
        build_close(c);
        legs[k] = (uint32_t)c->n_parts;
        legs_add(c, k ? "leg 2" : "leg 1", k ? "end 2" : "end 1");
    }
    plan_watch(c, "bus", "bus", "minus", 1.0, 0.0, JV_WARN);
    legs_finish(c);
    jv_plan_step *step = plan_step(c, plan_new(c, "run"), "held", 1.0);
    plan_run(step, legs[0], 1, JV_LOAD_STALLED, 0.0);
    plan_run(step, legs[1], 1, JV_LOAD_STALLED, 0.0);
    jv_sequence *s = plan_play(c, &plain);
    assert_close(plan_value(s, "leg 1", "A", 0.5), 54.5, 0.001, 0.05);
    assert_close(plan_value(s, "bus", "V", 0.5), 6.55, 0.001, 0.005);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* The same text, "Never step from 14 to extension without a pause": up to (V + ke w)/(R + Rs) = 176
 * A. Its start peaks at 84 A of 90 A, 93 %, since the rotor moves meanwhile; a turned motor must
 * do about as much of its 176 A. It stops on the way, which is no stall, and runs down after. */
static void a_motor_turned_round_without_a_pause(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    battery(c, "12.6 V", "10 mohm");
    build_close(c);
    build_between(c, "cable", "harness", "post", "bus");
    build_quantity(c, "resistance", "30 mohm");
    build_close(c);
    build_between(c, "controller", "controller", "bus", "minus");
    build_pin(c, "outputs", "leg", "out+", "out-");
    build_quantity(c, "channel_resistance", "0 ohm");
    build_quantity(c, "current", "0 A");
    build_close(c);
    uint32_t leg = (uint32_t)c->n_parts;
    legs_add_between(c, "leg", "out+", "out-");
    plan_watch(c, "bus", "bus", "minus", 1.0, 0.0, JV_WARN);
    legs_finish(c);
    jv_plan *p = plan_new(c, "run");
    plan_run(plan_step(c, p, "up", 2.0), leg, 1, JV_LOAD_TRAVEL, 0.0);
    plan_run(plan_step(c, p, "down", 1.0), leg, -1, JV_LOAD_TRAVEL, 0.0);
    jv_sequence *s = plan_play(c, &plain);
    double share = s->parts[leg].peak_a / 176.0;
    assert_true(share > 0.90 && share < 0.97);
    assert_close(s->parts[leg].peak_at_s, 2.0025, 0.0, 0.001);
    assert_int_equal(plan_count(s, JV_STALLS), 0);
    assert_false(s->finding);
    assert_true(plan_value(s, "leg", "m", 2.9) < plan_value(s, "leg", "m", 2.1));
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* Nothing of a run depends on what ran before it: the same to the bit. */
static void a_run_is_the_same_every_time(void **state) {
    (void)state;
    jv_circuit *c = legs_circuit(2);
    jv_plan_step *step = plan_step(c, plan_new(c, "lift"), "lift", 9.0);
    plan_run(step, 3, 1, JV_LOAD_TRAVEL, 0.0);
    plan_run(step, 5, 1, JV_LOAD_TRAVEL, 0.0);
    jv_sequence_options how = plain;
    how.every_s = 0.01;
    jv_sequence *a = plan_play(c, &how), *b = plan_play(c, &how);
    assert_int_equal(a->n_samples, b->n_samples);
    assert_int_equal(a->n_events, b->n_events);
    assert_true(a->n_samples > 900);
    assert_memory_equal(a->times, b->times, a->n_samples * sizeof *a->times);
    for (size_t k = 0; k < a->n_traces; k++)
        assert_memory_equal(a->traces[k].values, b->traces[k].values,
                            a->n_samples * sizeof(double));
    for (size_t k = 0; k < a->n_samples; k++) { /* even times carry no rounding of a sum */
        double n = a->times[k] / 0.01;
        if (fabs(n - round(n)) < 1e-9)
            assert_true(a->times[k] == round(n) / 100.0);
    }
    assert_true(a->times[a->n_samples - 1] == a->end_s);
    jv_sequence_free(&a);
    jv_sequence_free(&b);
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_supply_is_switched_from_step_to_step),
        cmocka_unit_test(a_supply_that_hiccups_tries_again),
        cmocka_unit_test(a_pack_that_is_too_cold_opens),
        cmocka_unit_test(a_pack_stands_a_start_but_no_stall),
        cmocka_unit_test(a_weak_battery_with_two_legs_held_fast),
        cmocka_unit_test(a_motor_turned_round_without_a_pause),
        cmocka_unit_test(a_run_is_the_same_every_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
