/* test_sequence_moments.c - moments of sensors, cables, cut-outs, stalls and breakers, by hand.
 * SPDX-License-Identifier: MIT */
#include "jackvolt/heat.h"
#include "tests/support/build.h"
#include "tests/support/close.h"
#include "tests/support/legs.h"
#include "tests/support/plan.h"
#include "tests/support/rig.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <gsl/gsl_integration.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

static const jv_sequence_options plain = {.every_s = 1e-3, .no_cures = true};

static uint32_t load(jv_circuit *c, const char *name, const char *plus, const char *amps, bool on) {
    uint32_t part = build_between(c, "load", name, plus, "minus");
    build_quantity(c, "current", amps);
    build_flag(c, "on", on);
    build_close(c);
    return part;
}

/* 5 V, at least 0.6 V below its input; a sensor of 5 mA that needs `least`. */
static uint32_t rail(jv_circuit *c, const char *in, const char *least) {
    build_between(c, "sensor_supply", "regulator", in, "minus");
    build_terminal(c, "out", "rail");
    build_quantity(c, "set_voltage", "5 V");
    build_quantity(c, "dropout", "0.6 V");
    build_quantity(c, "limit", "250 mA");
    build_close(c);
    uint32_t sensor = build_between(c, "hall", "sensor", "rail", "minus");
    build_quantity(c, "current", "5 mA");
    build_quantity(c, "minimum", least);
    build_close(c);
    return sensor;
}

static void switch_on(jv_circuit *c, jv_plan_step *s, uint32_t part) {
    s->loading.on = jv_arena_alloc(&c->arena, 1, sizeof *s->loading.on);
    assert_non_null(s->loading.on);
    s->loading.on[0] = part;
    s->loading.n_on = 1;
}

/* --- sensors --- */

/* A start of 12 V behind 0.2 ohm into 0.1 ohm: 12/0.3 = 40 A at first, 4 V at the post, 3.4 V on
 * the rail: the sensor, which needs 4.5 V, starves with the command. The amps fall to those of the
 * load, 10 A, with tau = 20 ms (0.1 + 0.2)/0.1 = 60 ms. It works again at 1.02 x 4.5 V = 4.59 V,
 * 5.19 V at the post, which is 34.05 A less the sensor's own 5 mA. */
static void a_start_starves_the_sensors_until_it_is_over(void **state) {
    (void)state;
    static const double own = 0.005, source = 0.2, motor = 0.1, asks = 10.0, tau = 0.060;
    jv_circuit *c = rig_circuit("12 V", "0.2 ohm");
    uint32_t motor_part = rig_jack(c, "jack", "post", "minus");
    build_quantity(c, "heat.winding", "1e9 J/K");
    build_close(c);
    uint32_t sensor = rail(c, "post", "4.5 V");
    rig_finish(c);
    jv_plan *p = plan_new(c, "run");
    plan_step(c, p, "rest", 1.0);
    plan_run(plan_step(c, p, "run", 1.0), motor_part, 1, JV_LOAD_AMPS, asks);
    jv_sequence *s = plan_play(c, &plain);
    double first = (12.0 - source * own) / (source + motor);
    double back = (12.0 - 5.19) / source - own;
    double after = tau * log((first - asks) / (back - asks));
    assert_true(after > 0.012 && after < 0.015);
    const jv_sequence_event *starves = plan_event(s, JV_SENSORS_STARVE, 0.0);
    assert_int_equal(starves->part, sensor);
    assert_true(starves->serious && s->finding);
    assert_close(starves->t_s, 1.0, 0.0, 1e-6);
    assert_close(plan_event(s, JV_SENSORS_BACK, 0.0)->t_s, 1.0 + after, 0.0, 2e-5);
    assert_int_equal(plan_count(s, JV_SENSORS_STARVE), 1);
    assert_int_equal(plan_count(s, JV_SENSORS_BACK), 1);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* A stud that goes from 0.1 to 0.4 ohm with 10 s (a third of heats_in) while a jack runs:
 * R(t) = 0.4 - 0.3 e^(-t/10 s), and 12 - I R(t) behind it. A lamp of 5 A alone is no matter. At 5 s
 * a heater of 15 A comes on: 20.005 A with the sensor. The regulator is at its dropout at 5.6 V,
 * R = 0.3199 ohm, t = 13.21 s; the rail is at 4.9 V at 5.5 V, R = 0.3249 ohm, t = 13.85 s; the
 * sensor, which needs 4.75 V, starves at 5.35 V, R = 0.3324 ohm, t = 14.90 s. It works again when
 * the heater goes off at 20 s. */
static void a_rail_passes_its_dropout_when_a_second_load_is_on(void **state) {
    (void)state;
    static const double amps = 20.005, tau = 10.0;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    uint32_t motor = rig_jack(c, "jack", "post", "minus");
    build_close(c);
    build_between(c, "contact", "stud", "post", "bus");
    build_quantity(c, "resistance", "0.1 ohm");
    build_quantity(c, "hot_resistance", "0.4 ohm");
    build_quantity(c, "heats_in", "30 s");
    build_close(c);
    load(c, "lamp", "bus", "5 A", true);
    uint32_t heater = load(c, "heater", "bus", "15 A", false);
    uint32_t sensor = rail(c, "bus", "4.75 V");
    plan_watch(c, "rail", "rail", "minus", 4.9, 0.0, JV_WARN);
    legs_finish(c);
    jv_plan *p = plan_new(c, "run");
    plan_run(plan_step(c, p, "lamp", 5.0), motor, 1, JV_LOAD_AMPS, 10.0);
    jv_plan_step *both = plan_step(c, p, "lamp and heater", 15.0);
    plan_run(both, motor, 1, JV_LOAD_AMPS, 10.0);
    switch_on(c, both, heater);
    plan_run(plan_step(c, p, "lamp again", 2.0), motor, 1, JV_LOAD_AMPS, 10.0);
    jv_sequence_options how = plain;
    how.every_s = 0.01;
    jv_sequence *s = plan_play(c, &how);
    double at_4v9 = -tau * log((0.4 - 6.5 / amps) / 0.3);
    double starved = -tau * log((0.4 - 6.65 / amps) / 0.3);
    assert_close(at_4v9, 13.85, 0.0, 0.01);
    assert_close(starved, 14.90, 0.0, 0.01);
    /* up to its dropout it holds 5 V, from there on it follows 0.6 V below its input */
    assert_close(plan_value(s, "rail", "V", 13.20), 5.0, 0.0, 1e-4);
    assert_close(plan_value(s, "rail", "V", 14.5),
                 12.0 - amps * (0.4 - 0.3 * exp(-14.5 / tau)) - 0.6, 0.0, 1e-4);
    assert_close(s->watches[0].first_trip_s, at_4v9, 0.0, 5e-4);
    assert_close(plan_event(s, JV_SENSORS_STARVE, 0.0)->t_s, starved, 0.0, 5e-4);
    assert_int_equal(plan_event(s, JV_SENSORS_STARVE, 0.0)->part, sensor);
    assert_close(plan_event(s, JV_SENSORS_BACK, 0.0)->t_s, 20.0, 0.0, 1e-6);
    assert_int_equal(plan_count(s, JV_SENSORS_STARVE), 1);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* --- motors --- */

/* Held fast it reaches 120 degC, its cut-out opens, and with no current it cools into a case that
 * stays at 20 degC: T = 20 + 100 e^(-t/(58 J/K 2 K/W)), 80 degC after 116 s ln(100/60) = 59.26 s.
 * The command is still on: it warms and opens again. */
static void a_cut_out_closes_when_its_winding_has_cooled(void **state) {
    (void)state;
    static const double tau = 58.0 * 2.0;
    jv_circuit *c = rig_circuit("12 V", "0 ohm");
    uint32_t motor = rig_jack(c, "jack", "post", "minus");
    build_quantity(c, "cutout.opens", "120 degC");
    build_quantity(c, "cutout.closes", "80 degC");
    build_quantity(c, "heat.winding", "58 J/K");
    build_quantity(c, "heat.winding_to_case", "2 K/W");
    build_quantity(c, "heat.case", "1e12 J/K");
    build_close(c);
    rig_finish(c);
    plan_run(plan_step(c, plan_new(c, "run"), "run", 80.0), motor, 1, JV_LOAD_STALLED, 0.0);
    jv_sequence_options how = plain;
    how.every_s = 0.01;
    jv_sequence *s = plan_play(c, &how);
    double opened = plan_event(s, JV_WINDING_OPENS, 0.0)->t_s;
    const jv_sequence_event *closes = plan_event(s, JV_WINDING_CLOSES, 0.0);
    assert_close(closes->t_s - opened, tau * log(100.0 / 60.0), 1e-5, 0.0);
    assert_int_equal(closes->part, motor);
    assert_close(plan_value(s, "jack", "A", opened + 30.0), 0.0, 0.0, 1e-9);
    /* 0.1 ohm at 20 degC is 0.1 (234.5 + 80)/254.5 = 0.12358 ohm */
    assert_close(plan_value(s, "jack", "A", closes->t_s + 0.01), 12.0 / 0.12358, 2e-3, 0.0);
    assert_true(plan_count(s, JV_WINDING_OPENS) >= 2);
    assert_close(s->parts[motor].hottest_c, 120.0, 1e-6, 0.0);
    /* 248 degF and 176 degF: what is told must serve whoever thinks in either */
    assert_non_null(strstr(plan_event(s, JV_WINDING_OPENS, 0.0)->text, "120 degC (248 degF)"));
    assert_non_null(strstr(closes->text, "80 degC (176 degF)"));
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* 12 V behind 0.1 ohm, a jack of 0.1 ohm that asks for 50 A: at its speed u = 12 - 0.2 x 50 = 2 V.
 * A heater of 40 A leaves 8 V behind the 0.1 ohm: held fast it would get 40 A only, so it slows
 * down, u = -2 + 4 e^(-t/40 ms), and stands after 40 ms ln 2 = 27.7 ms. With the heater off it gets
 * 60 A and turns again. */
static void a_stalled_jack_turns_again_when_a_load_goes(void **state) {
    (void)state;
    jv_circuit *c = rig_circuit("12 V", "0.1 ohm");
    uint32_t motor = rig_jack(c, "jack", "post", "minus");
    build_quantity(c, "heat.winding", "1e9 J/K");
    build_close(c);
    uint32_t heater = load(c, "heater", "post", "40 A", false);
    rig_finish(c);
    jv_plan *p = plan_new(c, "run");
    plan_run(plan_step(c, p, "alone", 1.0), motor, 1, JV_LOAD_AMPS, 50.0);
    jv_plan_step *both = plan_step(c, p, "with the heater", 1.0);
    plan_run(both, motor, 1, JV_LOAD_AMPS, 50.0);
    switch_on(c, both, heater);
    plan_run(plan_step(c, p, "alone again", 1.0), motor, 1, JV_LOAD_AMPS, 50.0);
    jv_sequence *s = plan_play(c, &plain);
    const jv_sequence_event *stalls = plan_event(s, JV_STALLS, 0.0);
    assert_close(stalls->t_s, 1.0 + 0.040 * log(2.0), 0.0, 2e-5);
    assert_true(stalls->serious);
    assert_close(plan_value(s, "jack", "A", 1.5), 40.0, 1e-6, 0.0);
    const jv_sequence_event *again = plan_event(s, JV_TURNS_AGAIN, 0.0);
    assert_close(again->t_s, 2.0, 0.0, 1e-6);
    assert_int_equal(again->part, motor);
    assert_false(again->serious);
    assert_int_equal(plan_count(s, JV_TURNS_AGAIN), 1);
    /* from standing: i = 50 + (60 - 50) e^(-t/40 ms) */
    assert_close(plan_value(s, "jack", "A", 2.040), 50.0 + 10.0 * exp(-1.0), 1e-3, 0.0);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* --- cables --- */

static const double copper_per_k = 0.00393; /* of annealed copper at 20 degC, IEC 60228 / 60287 */
enum { CABLE = 1 };

/* 1 m of 16 AWG that carries `amps` for some seconds, its insulation good for 125 degC (SGX, SAE
 * J1128); heat: its body as the net has it. */
static jv_circuit *warming(const char *amps, double for_s, jv_heat_body *heat) {
    jv_circuit *c = rig_circuit("100 V", "0 ohm");
    build_between(c, "cable", "cable", "post", "end");
    build_text(c, "size", "16 AWG");
    build_quantity(c, "length", "1 m");
    build_text(c, "insulation", "SGX");
    build_close(c);
    load(c, "heater", "end", amps, true);
    plan_watch(c, "cable", "post", "end", 1e-6, 0.0, JV_WARN);
    legs_finish(c);
    plan_step(c, plan_new(c, "wait"), "wait", for_s);
    jv_net *net = build_net(c, NULL, NULL, 0);
    net->elements[net->first[CABLE]].heat = &net->heats[0];
    jv_net_load(net, NULL);
    *heat = net->heats[0];
    jv_net_free(&net);
    return c;
}

/* What its volts say: V = I R20 (1 + a (T - 20)). */
static double temperature(const jv_sequence *s, double t, double amps, double ohm20) {
    return 20.0 + (plan_value(s, "cable", "V", t) / (amps * ohm20) - 1.0) / copper_per_k;
}

/* No heat leaves in so short a time (half a percent at the end): C dT/dt = I^2 r20 (1 + a (T -
 * 20)), so T = 20 + (e^(k t) - 1)/a with k = I^2 r20 a/C; 125 degC after ln(1 + 105 a)/k. */
static void a_cable_in_a_short_warms_as_its_closed_form(void **state) {
    (void)state;
    static const double amps = 400.0;
    jv_heat_body h;
    jv_circuit *c = warming("400 A", 1.0, &h);
    jv_sequence *s = plan_play(c, &plain);
    double k = amps * amps * h.r20 * copper_per_k / h.capacity;
    double passes = log(1.0 + 105.0 * copper_per_k) / k;
    assert_true(passes > 0.05 && passes < 1.0);
    for (double t = 0.02; t < passes; t += 0.02)
        assert_close(temperature(s, t, amps, h.r20), 20.0 + expm1(k * t) / copper_per_k, 5e-3,
                     0.02);
    const jv_sequence_event *hot = plan_event(s, JV_TOO_HOT, 0.0);
    assert_close(hot->t_s, passes, 5e-3, 0.0);
    assert_int_equal(hot->part, CABLE);
    assert_true(hot->serious && s->finding);
    assert_non_null(strstr(hot->text, "125 degC (257 degF)"));
    assert_int_equal(plan_count(s, JV_TOO_HOT), 1); /* told once */
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

typedef struct jv_warming {
    const jv_heat_body *h;
    double amps;
} jv_warming;

/* dt/dT of C dT/dt = I^2 r20 (1 + a (T - 20)) - q(T); q is Mills's cable (test_heat.c). */
static double seconds_per_k(double t, void *context) {
    const jv_warming *w = context;
    double made = w->amps * w->amps * w->h->r20 * (1.0 + copper_per_k * (t - 20.0));
    return w->h->capacity / (made - jv_heat_flow(w->h, t, NULL));
}

/* With its heat leaving the variables still part: t = integral of dT/(dT/dt), here by GSL's
 * adaptive rule. 28 A: warm in the end, but not too warm. */
static void a_cable_warms_as_the_integral_of_its_heat(void **state) {
    (void)state;
    static const double amps = 28.0;
    jv_heat_body h;
    jv_circuit *c = warming("28 A", 1500.0, &h);
    jv_sequence_options how = plain;
    how.every_s = 0.1;
    how.longest_s = 2000.0;
    jv_sequence *s = plan_play(c, &how);
    jv_warming w = {&h, amps};
    gsl_function f = {seconds_per_k, &w};
    gsl_integration_workspace *room = gsl_integration_workspace_alloc(200);
    size_t looked = 0;
    double end = s->parts[CABLE].hottest_c;
    assert_true(end > 60.0 && end < 125.0);
    for (double to = 25.0; to < end - 0.5; to += 5.0, looked++) {
        double seconds, error;
        assert_int_equal(gsl_integration_qag(&f, 20.0, to, 0.0, 1e-10, 200, GSL_INTEG_GAUSS31, room,
                                             &seconds, &error),
                         0);
        double sample = floor(seconds / 0.1) * 0.1, later = sample + 0.1;
        double a = temperature(s, sample, amps, h.r20), b = temperature(s, later, amps, h.r20);
        assert_close(a + (b - a) * (seconds - sample) / 0.1, to, 0.0, 2e-3);
    }
    assert_true(looked >= 8);
    /* and its end: all that is made leaves */
    double made = amps * amps * h.r20 * (1.0 + copper_per_k * (end - 20.0));
    assert_close(jv_heat_flow(&h, end, NULL), made, 1e-4, 0.0);
    assert_int_equal(plan_count(s, JV_TOO_HOT), 0);
    gsl_integration_workspace_free(room);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* --- breakers --- */

/* A breaker of 20 A and a load of so many percent, in time; curve: its own, else that of the
 * tables. */
static jv_sequence *broken(double percent, const double (*curve)[3], size_t n, const char *reset,
                           jv_circuit **out) {
    char amps[32];
    jv_circuit *c = rig_circuit("12 V", "1 mohm");
    build_between(c, "breaker", "breaker", "post", "in");
    build_quantity(c, "rating", "20 A");
    build_word(c, "reset", reset);
    for (size_t k = 0; k < n; k++)
        build_curve(c, "curve", curve[k][0], curve[k][1], curve[k][2]);
    if (n)
        build_text(c, "curve_source", "sheet of its maker");
    build_close(c);
    snprintf(amps, sizeof amps, "%.10g A", 20.0 * percent / 100.0);
    load(c, "load", "in", amps, true);
    rig_finish(c);
    plan_step(c, plan_new(c, "wait"), "wait", 3700.0);
    jv_sequence_options how = plain;
    how.every_s = 60.0;
    how.longest_s = 4000.0;
    *out = c;
    return plan_play(c, &how);
}

/* src/tables/breakers.c, SAE J553, all types: carries 100 % for an hour, must open within 3600 s at
 * 135 % and within 120 s at 200 % (from memory: it opens by then, and is not sure). Nothing is
 * printed above: more current never takes longer, so 120 s there, too. A manual one stays open. */
static void a_breaker_of_no_curve_opens_inside_the_band_of_its_standard(void **state) {
    (void)state;
    static const struct {
        double percent, by_s;
    } rows[] = {{135.0, 3600.0}, {200.0, 120.0}, {350.0, 120.0}, {600.0, 120.0}};
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        jv_circuit *c;
        jv_sequence *s = broken(rows[k].percent, NULL, 0, "manual", &c);
        assert_close(s->parts[CABLE].opens_s, rows[k].by_s, 1e-5, 0.0);
        assert_true(s->parts[CABLE].may_open_s <= s->parts[CABLE].opens_s);
        assert_true(s->parts[CABLE].used_early == 1.0 && s->parts[CABLE].used_late == 1.0);
        assert_true(s->parts[CABLE].open_at_end && s->parts[CABLE].weak_times);
        assert_int_equal(plan_count(s, JV_OPENS), 1);
        assert_int_equal(plan_count(s, JV_CLOSES), 0);
        assert_true(plan_event(s, JV_OPENS, 0.0)->weak);
        jv_sequence_free(&s);
        jv_circuit_free(&c);
    }
    /* It carries its rating. */
    jv_circuit *c;
    jv_sequence *s = broken(100.0, NULL, 0, "manual", &c);
    assert_true(isnan(s->parts[CABLE].opens_s) && s->parts[CABLE].used_late == 0.0);
    jv_sequence_free(&s);
    jv_circuit_free(&c);
}

/* A band of its own at all four currents: the run opens at both its ends; an automatic one closes
 * again 15 s after it opened, and is cold. */
static void a_breaker_of_its_own_curve_opens_inside_it(void **state) {
    (void)state;
    static const double band[][3] = {
        {135.0, 90.0, 1200.0}, {200.0, 12.0, 60.0}, {350.0, 2.5, 14.0}, {600.0, 0.6, 4.0}};
    for (size_t k = 0; k < sizeof band / sizeof band[0]; k++) {
        for (int automatic = 0; automatic < 2; automatic++) {
            jv_circuit *c;
            jv_sequence *s = broken(band[k][0], band, 4, automatic ? "automatic" : "modified", &c);
            assert_close(s->parts[CABLE].may_open_s, band[k][1], 1e-5, 1e-5);
            assert_close(s->parts[CABLE].opens_s, band[k][2], 1e-5, 1e-5);
            assert_false(s->parts[CABLE].weak_times);
            assert_false(plan_event(s, JV_OPENS, 0.0)->weak);
            if (automatic) {
                double closes = plan_event(s, JV_CLOSES, 0.0)->t_s;
                assert_close(closes, band[k][2] + 15.0, 1e-5, 0.0);
                assert_close(plan_event(s, JV_MAY_OPEN, closes)->t_s, closes + band[k][1], 1e-5,
                             1e-5);
            } else {
                assert_int_equal(plan_count(s, JV_CLOSES), 0);
                assert_true(s->parts[CABLE].open_at_end);
            }
            jv_sequence_free(&s);
            jv_circuit_free(&c);
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_start_starves_the_sensors_until_it_is_over),
        cmocka_unit_test(a_rail_passes_its_dropout_when_a_second_load_is_on),
        cmocka_unit_test(a_cut_out_closes_when_its_winding_has_cooled),
        cmocka_unit_test(a_stalled_jack_turns_again_when_a_load_goes),
        cmocka_unit_test(a_cable_in_a_short_warms_as_its_closed_form),
        cmocka_unit_test(a_cable_warms_as_the_integral_of_its_heat),
        cmocka_unit_test(a_breaker_of_no_curve_opens_inside_the_band_of_its_standard),
        cmocka_unit_test(a_breaker_of_its_own_curve_opens_inside_it),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
