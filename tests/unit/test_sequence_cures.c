/* test_sequence_cures.c - what it would take: each cure by hand, and that it is the border.
 * SPDX-License-Identifier: MIT */
#include "jackvolt/battery.h"
#include "jackvolt/render.h"
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
#include <time.h>
#include <cmocka.h>

static const jv_sequence_options plain = {.every_s = 1e-3, .no_cures = true};
static const jv_sequence_options curing = {.every_s = 1e-3};

/* The amount of the cure of a kind; NAN also where there is none. */
static double cure(const jv_sequence *s, jv_cure_kind kind) {
    for (size_t k = 0; k < s->n_cures; k++)
        if (s->cures[k].kind == kind)
            return s->cures[k].amount;
    return NAN;
}

static size_t trips(const jv_circuit *c) {
    jv_sequence *s = plan_play(c, &plain);
    size_t n = s->watches[0].trips;
    assert_true(s->stop == JV_STOP_DONE || n > 0);
    jv_sequence_free(&s);
    return n;
}

/* --- two jacks that start together --- */

typedef struct jv_pair {
    jv_circuit *c;
    jv_watch *watch;
    jv_plan_step *step;
    jv_slot *feed;
} jv_pair;

enum { FEED = 1 };

/* 12 V, 40 mohm of feed, two jacks of 0.1 ohm and 20 ms that ask for 12 A, a watch under 8 V for 5
 * ms. */
static jv_pair pair_new(void) {
    jv_pair p = {.c = rig_circuit("12 V", "0 ohm")};
    jv_circuit *c = p.c;
    uint32_t jacks[2];
    c->name = "pair";
    build_between(c, "contact", "feed", "post", "bus");
    build_quantity(c, "resistance", "40 mohm");
    build_close(c);
    for (int k = 0; k < 2; k++) {
        jacks[k] = rig_jack(c, k ? "right" : "left", "bus", "minus");
        build_quantity(c, "heat.winding", "1e9 J/K");
        build_close(c);
    }
    p.watch = plan_watch(c, "low", "bus", "minus", 8.0, 0.005, JV_STOP_ALL);
    p.watch->state = JV_RUNNING;
    legs_finish(c);
    p.step = plan_step(c, plan_new(c, "lift"), "lift", 3.0);
    for (int k = 0; k < 2; k++)
        plan_run(p.step, jacks[k], 1, JV_LOAD_AMPS, 12.0);
    const jv_part *feed = &c->parts[FEED];
    for (uint32_t k = 0; k < feed->n_slots; k++)
        if (fabs(c->slots[feed->first_slot + k].value.nominal - 0.040) < 1e-12)
            p.feed = &c->slots[feed->first_slot + k];
    assert_non_null(p.feed);
    return p;
}

/* With S the sum of both back EMFs and g = R/Rs: the bus has (12 + S Rs/R)/(1 + 2 Rs/R), and S goes
 * to S_end = 2 (12 - 24 Rs - 1.2) with tau = 20 ms (1 + 2 Rs/R). Volts of the bus t after the
 * second start, S being `sum` then. */
static double bus_after(double rs, double sum, double t) {
    double g = rs / 0.1, end = 2.0 * (12.0 - 24.0 * rs - 1.2), tau = 0.020 * (1.0 + 2.0 * g);
    return (12.0 + g * (end + (sum - end) * exp(-t / tau))) / (1.0 + 2.0 * g);
}

/* Back EMF of the first jack alone, t after its start. */
static double first_alone(double rs, double t) {
    double tau = 0.020 * (1.0 + rs / 0.1);
    return (12.0 - 12.0 * rs - 1.2) * (1.0 - exp(-t / tau));
}

/* By hand, Rs = 40 mohm: 6.67 V at first for both, 8.57 V for one: alone they hold. 8 V after 5 ms
 * need S = 3.96 V at the second start, which the first has after 28 ms ln(10.32/(10.32 - 3.96)) =
 * 13.56 ms: 14 ms apart hold, 13 ms do not. Together they are back at 8 V after 36 ms
 * ln(19.68/13.68) = 13.1 ms, the dwell it would need (2 % more are told: 14 ms). */
static void what_it_would_take_is_the_border(void **state) {
    (void)state;
    static const double limit = 8.0, held = 0.005, least = 1e-3;
    jv_pair p = pair_new();
    jv_sequence *s = plan_play(p.c, &curing);
    assert_int_equal(s->watches[0].trips, 1);
    assert_int_equal(s->watches[0].cause.widest, FEED);
    assert_int_equal(s->search, JV_STOP_DONE);
    assert_null(jv_sequence_search_text(s));
    assert_true(cure(s, JV_CURE_ONE_AT_A_TIME) == 1.0);
    double stagger = cure(s, JV_CURE_STAGGER), dwell = cure(s, JV_CURE_DWELL);
    double less = cure(s, JV_CURE_LESS_OHMS);
    /* the hand work above, without its rounding */
    assert_true(bus_after(0.040, first_alone(0.040, stagger), held) > limit);
    assert_true(bus_after(0.040, first_alone(0.040, stagger - least), held) < limit);
    assert_close(stagger, 0.014, 0.0, 1e-9);
    assert_true(bus_after(0.040, 0.0, dwell) > limit);
    assert_close(dwell, 0.014, 0.0, 1e-9);
    /* ohms: found to 2 % of the 40 mohm, and rounded up */
    assert_true(bus_after(0.040 - less, 0.0, held) > limit);
    assert_true(bus_after(0.040 - less + 0.001, 0.0, held) < limit);
    jv_sequence_free(&s);
    /* What is told holds; a millisecond less trips. */
    p.step->stagger_s = stagger;
    assert_int_equal(trips(p.c), 0);
    p.step->stagger_s = stagger - least;
    assert_int_equal(trips(p.c), 1);
    p.step->stagger_s = 0.0;
    p.watch->held_for = jv_value_exact(dwell);
    assert_int_equal(trips(p.c), 0);
    p.watch->held_for = jv_value_exact(dwell - least);
    assert_int_equal(trips(p.c), 1);
    p.watch->held_for = jv_value_exact(held);
    p.feed->value = jv_value_exact(0.040 - less);
    assert_int_equal(trips(p.c), 0);
    p.feed->value = jv_value_exact(0.040 - less + 0.001);
    assert_int_equal(trips(p.c), 1);
    jv_circuit_free(&p.c);
}

/* The same to the millisecond where more or less is asked: 9 V need more of the first start, and
 * 8.4 V for no time at all as much as one start alone leaves: 8.57 V. */
static void a_stagger_is_found_to_a_millisecond(void **state) {
    (void)state;
    static const double least = 1e-3;
    static const struct {
        double limit, held;
    } rows[] = {{8.4, 0.010}, {8.0, 0.001}, {8.5, 0.005}, {9.0, 0.010}};
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        jv_pair p = pair_new();
        p.watch->below = jv_value_exact(rows[k].limit);
        p.watch->held_for = jv_value_exact(rows[k].held);
        jv_sequence *s = plan_play(p.c, &curing);
        double stagger = cure(s, JV_CURE_STAGGER), held = rows[k].held, limit = rows[k].limit;
        double by_hand = least;
        while (bus_after(0.040, first_alone(0.040, by_hand), held) < limit)
            by_hand += least;
        assert_close(stagger, by_hand, 0.0, 1e-9);
        jv_sequence_free(&s);
        p.step->stagger_s = stagger;
        assert_int_equal(trips(p.c), 0);
        p.step->stagger_s = stagger - least;
        assert_int_equal(trips(p.c), 1);
        jv_circuit_free(&p.c);
    }
}

/* Under 8.57 V for a moment each start alone trips: no stagger, and no one at a time. */
static void what_does_not_help_is_told(void **state) {
    (void)state;
    jv_pair p = pair_new();
    p.watch->below = jv_value_exact(8.6);
    p.watch->held_for = jv_value_exact(0.0);
    jv_sequence *s = plan_play(p.c, &curing);
    assert_true(isnan(cure(s, JV_CURE_STAGGER)) && isnan(cure(s, JV_CURE_ONE_AT_A_TIME)));
    size_t told = 0;
    for (size_t k = 0; k < s->n_cures; k++)
        told += isnan(s->cures[k].amount) && strstr(s->cures[k].text, "not help") != NULL;
    assert_int_equal(told, 3); /* and a full battery: it is one of fixed volts */
    jv_sequence_free(&s);
    jv_circuit_free(&p.c);
}

/* --- charge --- */

/* Volts of a flooded battery of 100 Ah after t under I from a charge z0:
 * U(z) - I (r(z) + r1 (1 - e^(-t/100 s))), z = z0 - I t/C, r1 a quarter (24 %) of r(z0) (theory
 * B1). Its 6 mohm were measured at its own charge of 50 %; curves of volts and ohms:
 * test_battery.c. */
static double volts_from(double z0, double amps, double t) {
    static const double tester_ohm = 0.006, tester_charge = 0.5, slow_share = 0.24, tau = 100.0;
    jv_battery_known known;
    jv_battery_model m;
    jv_battery_known_nothing(&known);
    known.chemistry_known = true;
    known.chemistry = JV_CHEMISTRY_FLOODED;
    known.capacity_ah = 100.0;
    known.charge = tester_charge;
    known.temp_c = 20.0;
    assert_int_equal(jv_battery_model_make(&known, &m), JV_OK);
    double z = z0 - amps * t / (100.0 * 3600.0);
    double per = tester_ohm / jv_curve_at(&m.charge_factor, tester_charge);
    double r = per * jv_curve_at(&m.charge_factor, z);
    double r1 = slow_share * per * jv_curve_at(&m.charge_factor, z0);
    return jv_battery_ocv(JV_CHEMISTRY_FLOODED, z, 20.0) - amps * (r + r1 * (1.0 - exp(-t / tau)));
}

/* A heater of 30 A for 20 s, and a watch set where a battery of 74.5 % just comes to at their end
 * (a second of rest with the heater on is shown behind it): 50 % trip, and the charge that it would
 * take lies there. */
static void a_charge_that_is_told_holds_and_less_does_not(void **state) {
    (void)state;
    static const double amps = 30.0, for_s = 20.0, shown_s = 1.0, border = 0.745;
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "battery", "post", "minus");
    build_word(c, "chemistry", "flooded");
    build_quantity(c, "capacity", "100 Ah");
    build_quantity(c, "charge", "50 %");
    build_quantity(c, "tester_resistance", "6 mohm");
    build_close(c);
    build_between(c, "load", "heater", "post", "minus");
    build_quantity(c, "current", "30 A");
    build_close(c);
    double limit = volts_from(border, amps, for_s + shown_s);
    plan_watch(c, "low", "post", "minus", limit, 0.0, JV_WARN);
    legs_finish(c);
    jv_plan *plan = plan_new(c, "heat");
    plan_step(c, plan, "heat", for_s);
    jv_sequence *s = plan_play(c, &curing);
    assert_int_equal(s->watches[0].trips, 1);
    double charge = cure(s, JV_CURE_CHARGE);
    assert_true(charge >= border && charge <= border + 0.02); /* found to 1 %, rounded up */
    assert_true(isnan(cure(s, JV_CURE_STAGGER)));             /* nothing starts */
    jv_sequence_free(&s);
    plan->has_charge = true;
    plan->charge = jv_value_exact(charge);
    assert_int_equal(trips(c), 0);
    plan->charge = jv_value_exact(charge - 0.02);
    assert_int_equal(trips(c), 1);
    plan->charge = jv_value_exact(border + 1e-3);
    assert_int_equal(trips(c), 0);
    plan->charge = jv_value_exact(border - 1e-3);
    assert_int_equal(trips(c), 1);
    jv_circuit_free(&c);
}

/* --- a search that is cut short --- */

/* At the very end of the run, when all that is left to do is the search. */
typedef struct jv_late {
    double end_s, wait_s;
    volatile sig_atomic_t asked;
    bool ask;
} jv_late;

static double now_s(void) {
    struct timespec t;
    assert_true(timespec_get(&t, TIME_UTC) == TIME_UTC);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static bool at_the_end(void *context, const jv_sequence *heads, double t, const double *values) {
    jv_late *late = context;
    (void)heads;
    (void)values;
    if (t < late->end_s)
        return true;
    if (late->ask)
        late->asked = 1;
    for (double until = now_s() + late->wait_s; now_s() < until;)
        ;
    return true;
}

static void says(const jv_sequence *s, const char *words, const char *json_word) {
    jv_style style = {.width = 300};
    jv_text text = {0}, json = {0};
    assert_non_null(strstr(jv_sequence_search_text(s), words));
    jv_sequence_text(s, &style, &text);
    assert_non_null(strstr(jv_text_str(&text), words));
    assert_int_equal(jv_sequence_json(s, &json), JV_OK);
    assert_non_null(strstr(jv_text_str(&json), json_word));
    jv_text_clear(&text);
    jv_text_clear(&json);
}

/* One clock for the run and the search: a run that has used it up leaves none for the search, and
 * that is said. Nothing is told of a cure that was not looked into: above all not that it does not
 * help. */
static void a_search_that_is_cut_short_is_said_to_be(void **state) {
    (void)state;
    jv_pair p = pair_new();
    jv_sequence_options how = curing;
    how.every_s = 0.7; /* the end is a row of its own, after the last step */
    jv_sequence *s = plan_play(p.c, &how);
    jv_late late = {.end_s = s->end_s};
    assert_int_equal(s->n_cures, 5);
    jv_sequence_free(&s);
    how.sink = at_the_end;
    how.sink_context = &late;
    how.asked = &late.asked;
    for (int k = 0; k < 2; k++) {
        late.ask = k == 0;
        late.asked = 0;
        how.wall_s = k ? 0.3 : 0.0;
        late.wait_s = k ? 0.31 : 0.0;
        s = plan_play(p.c, &how);
        assert_int_equal(s->stop, JV_STOP_TRIPPED);
        assert_int_equal(s->search, k ? JV_STOP_CLOCK : JV_STOP_ASKED);
        assert_int_equal(s->n_cures, 0);
        says(s, k ? "cut short: its wall clock limit is over" : "cut short: it was asked to stop",
             k ? "\"search\": \"clock\"" : "\"search\": \"asked\"");
        jv_sequence_free(&s);
    }
    /* Without a search nothing is cut short. */
    how.no_cures = true;
    s = plan_play(p.c, &how);
    assert_int_equal(s->search, JV_STOP_DONE);
    jv_sequence_free(&s);
    jv_circuit_free(&p.c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_it_would_take_is_the_border),
        cmocka_unit_test(a_stagger_is_found_to_a_millisecond),
        cmocka_unit_test(what_does_not_help_is_told),
        cmocka_unit_test(a_charge_that_is_told_holds_and_less_does_not),
        cmocka_unit_test(a_search_that_is_cut_short_is_said_to_be),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
