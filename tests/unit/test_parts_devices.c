/* test_parts_devices.c - sources, controllers, loads and sensors. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/kinds.h"
#include "circuit/parts/battery.h"
#include "circuit/parts/controller.h"
#include "circuit/parts/hall.h"
#include "tests/support/close.h"
#include "tests/support/one_part.h"

/* --- every kind --- */

static void fallbacks_read_and_keys_lead_with_terminals(void **state) {
    (void)state;
    static const jv_part_kind *const kinds[] = {&jv_kind_battery,       &jv_kind_supply,
                                                &jv_kind_controller,    &jv_kind_jack,
                                                &jv_kind_pump,          &jv_kind_load,
                                                &jv_kind_sensor_supply, &jv_kind_hall};
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        for (size_t k = 0; k < kinds[i]->n_keys; k++) {
            const jv_key *key = &kinds[i]->keys[k];
            jv_value value;
            assert_non_null(key->name);
            assert_non_null(key->help);
            assert_true((key->fallback == NULL) == (key->basis == NULL));
            if (key->fallback)
                assert_int_equal(jv_quantity_read(key->fallback, key->dim, &value, NULL), JV_OK);
        }
        assert_int_equal(kinds[i]->keys[0].type, JV_KEY_TERMINAL);
        assert_int_equal(kinds[i]->keys[1].type, JV_KEY_TERMINAL);
        for (size_t k = 0; k < kinds[i]->n_failures; k++) {
            assert_true(kinds[i]->failures[k].weight > 0.0);
            assert_true(kinds[i]->failures[k].low <= kinds[i]->failures[k].high);
            assert_non_null(kinds[i]->failures[k].repair);
            assert_non_null(kinds[i]->failures[k].basis);
        }
    }
}

/* --- battery --- */

static jv_circuit *plain_battery(void) {
    jv_circuit *c = alone("battery");
    build_quantity(c, "open_circuit", "12.0 V");
    build_quantity(c, "resistance", "0.03 ohm");
    build_close(c);
    return c;
}

/* Worked example A5 of the sources: 12.0 V open and 11.4 V at 20 A, so 0.03 ohm. */
static void battery_by_its_volts_and_ohms(void **state) {
    (void)state;
    jv_circuit *c = plain_battery();
    jv_element e = element(c, 0, 0, NULL, NULL);
    assert_int_equal(e.law, JV_SERIES);
    assert_int_equal(e.open, 0);
    /* SERIES: v = r i + e; it delivers 20 A, so i from plus to minus is -20 A. */
    assert_close(e.r * -20.0 + e.e, 11.4, 1e-12, 0);
    jv_circuit_free(&c);
}

static void battery_faults(void **state) {
    (void)state;
    jv_circuit *c = plain_battery();
    jv_fault added = build_fault(0, JV_WAY_ADDED, 0.01);
    assert_close(element(c, 0, 0, NULL, &added).r, 0.04, 1e-12, 0);
    jv_fault weak = build_fault(0, JV_WAY_WEAK, 2.5);
    assert_close(element(c, 0, 0, NULL, &weak).r, 0.075, 1e-12, 0);
    assert_close(element(c, 0, 0, NULL, &weak).e, 12.0, 1e-12, 0);
    /* One of six cells gives nothing: 12 V x 5/6; ohms x 2. */
    jv_fault cell = build_fault(0, JV_WAY_CELL, 2.0);
    assert_close(element(c, 0, 0, NULL, &cell).e, 10.0, 1e-12, 0);
    assert_close(element(c, 0, 0, NULL, &cell).r, 0.06, 1e-12, 0);
    jv_fault open = build_fault(0, JV_WAY_OPEN, 0);
    assert_int_equal(element(c, 0, 0, NULL, &open).open, 1);
    uint32_t off = 0;
    jv_case unplugged = {.name = "k", .off = &off, .n_off = 1};
    assert_int_equal(element(c, 0, 0, &unplugged, NULL).open, 1);
    jv_circuit_free(&c);
}

/* A fault or a case that says 30 % must give the battery whose file says 30 %. */
static void discharged_is_the_same_as_less_charge(void **state) {
    (void)state;
    static const char *const charges[] = {"90 %", "30 %"};
    jv_circuit *made[2];
    for (int i = 0; i < 2; i++) {
        made[i] = alone("battery");
        build_word(made[i], "chemistry", "agm");
        build_quantity(made[i], "capacity", "100 Ah");
        build_quantity(made[i], "charge", charges[i]);
        build_close(made[i]);
    }
    jv_element low = element(made[1], 0, 0, NULL, NULL);
    jv_fault fault = build_fault(0, JV_WAY_CHARGE, 0.30);
    jv_element by_fault = element(made[0], 0, 0, NULL, &fault);
    jv_case k = {.name = "k", .has_charge = true, .charge = jv_value_exact(0.30)};
    jv_element by_case = element(made[0], 0, 0, &k, NULL);
    jv_element full = element(made[0], 0, 0, NULL, NULL);
    assert_close(by_fault.e, low.e, 1e-12, 0);
    assert_close(by_fault.r, low.r, 1e-12, 0);
    assert_close(by_case.e, low.e, 1e-12, 0);
    assert_close(by_case.r, low.r, 1e-12, 0);
    assert_true(full.e > low.e + 0.3 && full.r < low.r);
    for (int i = 0; i < 2; i++)
        jv_circuit_free(&made[i]);
}

/* A battery given by its volts is discharged by the difference of the rest curve. */
static void fixed_volts_can_be_discharged(void **state) {
    (void)state;
    jv_circuit *c = alone("battery");
    build_quantity(c, "open_circuit", "12.5 V");
    build_quantity(c, "resistance", "0.03 ohm");
    build_close(c);
    jv_fault low = build_fault(0, JV_WAY_CHARGE, 0.20);
    jv_element e = element(c, 0, 0, NULL, &low);
    /* 12.5 V lies on the rest curve, so the fault must end on it too. */
    assert_close(e.e, jv_battery_ocv(JV_CHEMISTRY_FLOODED, 0.20, 20.0), 1e-6, 0);
    assert_true(e.e < 12.2);
    assert_true(e.r > 0.03);
    jv_circuit_free(&c);
}

static void surface_charge_goes_when_a_jack_runs(void **state) {
    (void)state;
    jv_circuit *c = alone("battery");
    build_word(c, "chemistry", "flooded");
    build_quantity(c, "charge", "100 %");
    build_quantity(c, "charged_ago", "0 h");
    build_close(c);
    uint32_t jack = build_between(c, "jack", "jack", "x", "y");
    build_quantity(c, "rated_current", "28 A");
    build_close(c);
    jv_run run = run_of(jack, 1, JV_LOAD_AMPS, 20.0);
    jv_case lifting = case_of(&run, 1);
    /* (B8) 0.5 V right after the charge. */
    double rest = element(c, 0, 0, NULL, NULL).e, load = element(c, 0, 0, &lifting, NULL).e;
    assert_close(rest - load, 0.5, 1e-9, 0);
    jv_circuit_free(&c);
}

static void pack_opens_and_stays(void **state) {
    (void)state;
    jv_circuit *c = alone("battery");
    build_quantity(c, "open_circuit", "13.2 V");
    build_quantity(c, "resistance", "10 mohm");
    build_quantity(c, "cutoff_voltage", "10 V");
    build_quantity(c, "cutoff_current", "100 A");
    build_quantity(c, "cutoff_cold", "-20 degC");
    build_close(c);
    jv_net *net = build_net(c, NULL, NULL, 0);
    jv_element *e = build_element(net, 0, 0);
    double sound[2] = {12.3, 0.0}, low[2] = {9.9, 0.0}, amps = -90.0, too_many = -101.0;
    const jv_part *p = &c->parts[0];
    assert_false(p->kind->settle(&net->scene, p, e, 1, sound, &amps));
    assert_int_equal(e->open, 0);
    assert_true(p->kind->settle(&net->scene, p, e, 1, sound, &too_many));
    assert_int_equal(e->state, JV_PACK_OVER_CURRENT);
    assert_int_equal(e->open, 1);
    assert_false(p->kind->settle(&net->scene, p, e, 1, sound, &amps));
    jv_net_load(net, NULL);
    assert_int_equal(e->open, 1);
    e->state = JV_PACK_CLOSED;
    jv_net_load(net, NULL);
    assert_int_equal(e->open, 0);
    assert_true(p->kind->settle(&net->scene, p, e, 1, low, &amps));
    assert_int_equal(e->state, JV_PACK_LOW_VOLTS);
    jv_net_free(&net);
    jv_case frost = {.name = "k", .has_ambient = true, .ambient = jv_value_exact(-25.0)};
    net = build_net(c, &frost, NULL, 0);
    e = build_element(net, 0, 0);
    assert_true(p->kind->settle(&net->scene, p, e, 1, sound, &amps));
    assert_int_equal(e->state, JV_PACK_COLD);
    jv_net_free(&net);
    jv_circuit_free(&c);
}

static void battery_refuses_what_contradicts(void **state) {
    (void)state;
    jv_circuit *c = alone("battery");
    build_quantity(c, "charge", "80 %");
    build_quantity(c, "rested", "12.4 V");
    build_quantity(c, "cutoff_voltage", "10 V");
    build_quantity(c, "cutoff_reset", "9 V");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEYS_CLASH), 2);
    jv_circuit_free(&c);
}

/* --- supply --- */

static void supply_limits_or_hiccups(void **state) {
    (void)state;
    jv_circuit *c = alone("supply");
    build_quantity(c, "set_voltage", "13.6 V");
    build_quantity(c, "limit", "55 A");
    build_quantity(c, "resistance", "8 mohm");
    build_close(c);
    jv_element e = element(c, 0, 0, NULL, NULL);
    assert_int_equal(e.law, JV_SOURCE);
    assert_close(e.e, 13.6, 1e-12, 0);
    assert_close(e.r, 8e-3, 1e-12, 0);
    assert_close(e.limit, 55.0, 1e-12, 0);
    assert_close(e.back, 55.0, 1e-12, 0);
    jv_fault dead = build_fault(0, JV_WAY_DEAD, 0);
    assert_int_equal(element(c, 0, 0, NULL, &dead).open, 1);
    jv_circuit_free(&c);

    c = alone("supply");
    build_quantity(c, "set_voltage", "13.6 V");
    build_quantity(c, "limit", "40 A");
    build_word(c, "overload", "hiccup");
    build_quantity(c, "hiccup_share", "25 %");
    build_close(c);
    assert_close(element(c, 0, 0, NULL, NULL).back, 10.0, 1e-12, 0);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 0);
    uint32_t off = 0;
    jv_case away = {.name = "k", .off = &off, .n_off = 1};
    assert_int_equal(element(c, 0, 0, &away, NULL).open, 1);
    jv_circuit_free(&c);

    c = alone("supply");
    build_quantity(c, "set_voltage", "13.6 V");
    build_word(c, "overload", "hiccup");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 1);
    jv_circuit_free(&c);
}

/* --- controller --- */

/* A battery, a controller with a pair and a single output, a jack on each, one input. */
typedef struct rig {
    jv_circuit *c;
    uint32_t controller, turning, single;
} rig;

static rig make_rig(void) {
    rig r;
    r.c = build_circuit();
    build_between(r.c, "battery", "battery", "ctl+", "ctl-");
    build_quantity(r.c, "open_circuit", "12.6 V");
    build_quantity(r.c, "resistance", "10 mohm");
    build_close(r.c);
    r.controller = build_between(r.c, "controller", "controller", "ctl+", "ctl-");
    build_pin(r.c, "outputs", "left", "l+", "l-");
    build_pin(r.c, "outputs", "pump", "p+", NULL);
    build_pin(r.c, "inputs", "count", "signal", NULL);
    build_quantity(r.c, "current", "0.2 A");
    build_quantity(r.c, "channel_resistance", "12 mohm");
    build_quantity(r.c, "input_resistance", "47 kohm");
    build_close(r.c);
    r.turning = build_between(r.c, "jack", "left jack", "l+", "l-");
    build_quantity(r.c, "rated_current", "28 A");
    build_close(r.c);
    r.single = build_between(r.c, "jack", "front jack", "p+", "ctl-");
    build_quantity(r.c, "rated_current", "28 A");
    build_close(r.c);
    jv_diags d = {0};
    jv_circuit_finish(r.c, &d);
    assert_int_equal(d.errors, 0);
    jv_diags_clear(&d);
    return r;
}

static void assert_open(const jv_circuit *c, uint32_t part, const jv_case *k, const jv_fault *f,
                        const char *pattern) {
    for (size_t i = 0; pattern[i]; i++)
        assert_int_equal(element(c, part, i, k, f).open, pattern[i] == '1');
}

/* Elements: own, pair (feed, back, feed turned, back turned), single feed, input. */
static void controller_drives_what_the_case_runs(void **state) {
    (void)state;
    rig r = make_rig();
    jv_run up = run_of(r.turning, 1, JV_LOAD_AMPS, 20),
           down = run_of(r.turning, -1, JV_LOAD_AMPS, 9);
    jv_run other = run_of(r.single, 1, JV_LOAD_AMPS, 20);
    jv_case lifts = case_of(&up, 1), lowers = case_of(&down, 1), third = case_of(&other, 1);
    assert_open(r.c, r.controller, NULL, NULL, "0111110");
    assert_open(r.c, r.controller, &lifts, NULL, "0001110");
    assert_open(r.c, r.controller, &lowers, NULL, "0110010");
    assert_open(r.c, r.controller, &third, NULL, "0111100");
    jv_element own = element(r.c, r.controller, 0, NULL, NULL);
    assert_int_equal(own.law, JV_SINK);
    assert_close(own.limit, 0.2, 1e-12, 0);
    /* A channel of 12 mohm: 6 at each end of the pair, all of it in the single one. */
    assert_close(element(r.c, r.controller, 1, &lifts, NULL).r, 6e-3, 1e-12, 0);
    assert_close(element(r.c, r.controller, 2, &lifts, NULL).r, 6e-3, 1e-12, 0);
    assert_close(element(r.c, r.controller, 5, &third, NULL).r, 12e-3, 1e-12, 0);
    assert_close(element(r.c, r.controller, 6, NULL, NULL).r, 47e3, 1e-12, 0);
    jv_circuit_free(&r.c);
}

static void controller_pair_joins_the_right_ends(void **state) {
    (void)state;
    rig r = make_rig();
    int32_t plus = jv_circuit_find_terminal(r.c, "ctl+"),
            minus = jv_circuit_find_terminal(r.c, "ctl-");
    int32_t first = jv_circuit_find_terminal(r.c, "l+"),
            second = jv_circuit_find_terminal(r.c, "l-");
    const int32_t ends[4][2] = {{plus, first}, {second, minus}, {plus, second}, {first, minus}};
    for (size_t k = 0; k < 4; k++) {
        jv_element e = element(r.c, r.controller, 1 + k, NULL, NULL);
        assert_int_equal(e.a, ends[k][0]);
        assert_int_equal(e.b, ends[k][1]);
    }
    jv_circuit_free(&r.c);
}

static void controller_faults_hit_their_output_once(void **state) {
    (void)state;
    rig r = make_rig();
    jv_run up = run_of(r.turning, 1, JV_LOAD_AMPS, 20);
    jv_case lifts = case_of(&up, 1);
    jv_fault added = build_fault(r.controller, JV_WAY_ADDED, 50e-3);
    added.pin = "left";
    double sum = 0.0;
    for (size_t k = 1; k <= 2; k++)
        sum += element(r.c, r.controller, k, &lifts, &added).r;
    assert_close(sum, 62e-3, 1e-12, 0);
    assert_close(element(r.c, r.controller, 5, &lifts, &added).r, 12e-3, 1e-12, 0);
    jv_fault open = build_fault(r.controller, JV_WAY_OPEN, 0);
    open.pin = "left";
    assert_int_equal(element(r.c, r.controller, 1, &lifts, &open).open, 1);
    jv_fault dead = build_fault(r.controller, JV_WAY_DEAD, 0);
    assert_open(r.c, r.controller, &lifts, &dead, "1111111");
    jv_circuit_free(&r.c);
}

/* --- load --- */

static void loads_draw_by_their_law(void **state) {
    (void)state;
    jv_circuit *c = alone("load");
    build_quantity(c, "current", "4 A");
    build_close(c);
    jv_element e = element(c, 0, 0, NULL, NULL);
    assert_int_equal(e.law, JV_SINK);
    assert_close(e.limit, 4.0, 1e-12, 0);
    assert_true(e.r * e.limit <= 1.0); /* at full current from a volt on */
    uint32_t self = 0;
    jv_case off = {.name = "k", .off = &self, .n_off = 1};
    assert_int_equal(element(c, 0, 0, &off, NULL).open, 1);
    jv_circuit_free(&c);

    c = alone("load");
    build_quantity(c, "power", "50 W");
    build_quantity(c, "minimum", "10.5 V");
    build_flag(c, "on", false);
    build_close(c);
    e = element(c, 0, 0, NULL, NULL);
    assert_int_equal(e.law, JV_POWER);
    assert_int_equal(e.open, 1);
    jv_case on = {.name = "k", .on = &self, .n_on = 1};
    e = element(c, 0, 0, &on, NULL);
    assert_int_equal(e.open, 0);
    assert_close(e.limit, 50.0, 1e-12, 0);
    assert_close(e.e, 10.5, 1e-12, 0);
    jv_circuit_free(&c);

    c = alone("load");
    build_quantity(c, "resistance", "3 ohm");
    build_close(c);
    e = element(c, 0, 0, NULL, NULL);
    assert_int_equal(e.law, JV_SINK);
    assert_close(e.r, 3.0, 1e-12, 0);
    assert_true(isinf(e.limit));
    jv_fault open = build_fault(0, JV_WAY_OPEN, 0);
    assert_int_equal(element(c, 0, 0, NULL, &open).open, 1);
    jv_circuit_free(&c);
}

static void load_says_once_what_it_draws(void **state) {
    (void)state;
    jv_circuit *c = alone("load");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 1);
    jv_circuit_free(&c);
    c = alone("load");
    build_quantity(c, "current", "4 A");
    build_quantity(c, "power", "50 W");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEYS_CLASH), 1);
    jv_circuit_free(&c);
}

/* --- sensor supply and sensor --- */

static void sensor_supply_regulates(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    build_between(c, "sensor_supply", "rail", "ctl+", "ctl-");
    build_terminal(c, "out", "5V");
    build_quantity(c, "set_voltage", "5 V");
    build_quantity(c, "limit", "250 mA");
    build_quantity(c, "short_circuit_current", "80 mA");
    build_quantity(c, "current", "2 mA");
    build_close(c);
    jv_element e = element(c, 0, 0, NULL, NULL);
    assert_int_equal(e.law, JV_REGULATOR);
    assert_int_equal(e.a, jv_circuit_find_terminal(c, "ctl+"));
    assert_int_equal(e.b, jv_circuit_find_terminal(c, "ctl-"));
    assert_int_equal(e.c, jv_circuit_find_terminal(c, "5V"));
    assert_close(e.e, 5.0, 1e-12, 0);
    assert_close(e.limit, 0.25, 1e-12, 0);
    assert_close(e.back, 0.08, 1e-12, 0);
    assert_close(e.quiescent, 2e-3, 1e-12, 0);
    jv_fault failed = build_fault(0, JV_WAY_DEAD, 0);
    assert_int_equal(element(c, 0, 0, NULL, &failed).open, 1);
    jv_circuit_free(&c);

    c = build_circuit();
    build_between(c, "sensor_supply", "rail", "ctl+", "ctl-");
    build_terminal(c, "out", "5V");
    build_quantity(c, "set_voltage", "5 V");
    build_quantity(c, "limit", "80 mA");
    build_close(c);
    assert_close(element(c, 0, 0, NULL, NULL).back, 0.08, 1e-12, 0); /* no fold-back given */
    jv_circuit_free(&c);
}

static jv_circuit *hall_with_pull_up(const char *stands) {
    jv_circuit *c = build_circuit();
    build_between(c, "hall", "sensor", "5V", "gnd");
    build_terminal(c, "signal", "sig");
    build_quantity(c, "current", "8 mA");
    build_quantity(c, "minimum", "4.5 V");
    build_word(c, "output_state", stands);
    build_quantity(c, "on_resistance", "22 ohm");
    build_quantity(c, "pull_up", "4.7 kohm");
    build_terminal(c, "pull_up_to", "5V");
    build_close(c);
    return c;
}

/* Low at 5 V: 5 V x 22/(4700 + 22) = 23.3 mV by the divider of stage and pull-up. */
static void hall_pulls_its_signal_down(void **state) {
    (void)state;
    jv_circuit *c = hall_with_pull_up("low");
    jv_element own = element(c, 0, 0, NULL, NULL), stage = element(c, 0, 1, NULL, NULL);
    jv_element pull = element(c, 0, 2, NULL, NULL);
    assert_int_equal(own.law, JV_SINK);
    assert_close(own.limit, 8e-3, 1e-12, 0);
    assert_true(own.r * own.limit < 4.5);
    assert_int_equal(stage.open, 0);
    assert_close(5.0 * stage.r / (stage.r + pull.r), 0.0233, 0, 5e-5);
    assert_int_equal(pull.a, jv_circuit_find_terminal(c, "5V"));
    assert_int_equal(pull.b, jv_circuit_find_terminal(c, "sig"));
    jv_fault open = build_fault(0, JV_WAY_OPEN, 0);
    assert_int_equal(element(c, 0, 0, NULL, &open).open, 1);
    assert_int_equal(element(c, 0, 1, NULL, &open).open, 1);
    assert_int_equal(element(c, 0, 2, NULL, &open).open, 0); /* in the receiver */
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 0);
    jv_circuit_free(&c);
    c = hall_with_pull_up("high");
    assert_int_equal(element(c, 0, 1, NULL, NULL).open, 1);
    jv_circuit_free(&c);
}

static void starved_hall_lets_go(void **state) {
    (void)state;
    jv_circuit *c = hall_with_pull_up("low");
    jv_net *net = build_net(c, NULL, NULL, 0);
    jv_element *e = build_element(net, 0, 0);
    const jv_part *p = &c->parts[0];
    double v[3] = {0};
    v[e[0].a] = 4.6;
    double i[3] = {0};
    assert_false(p->kind->settle(&net->scene, p, e, 3, v, i));
    v[e[0].a] = 4.4;
    assert_true(p->kind->settle(&net->scene, p, e, 3, v, i));
    assert_int_equal(e[1].open, 1);
    assert_false(p->kind->settle(&net->scene, p, e, 3, v, i));
    v[e[0].a] = 5.0;
    assert_true(p->kind->settle(&net->scene, p, e, 3, v, i));
    assert_int_equal(e[1].open, 0);
    jv_net_free(&net);
    jv_circuit_free(&c);
}

static void two_wire_hall_signals_by_current(void **state) {
    (void)state;
    static const char *const stands[] = {"low", "high"};
    const double amps[] = {7e-3, 14e-3};
    for (int i = 0; i < 2; i++) {
        jv_circuit *c = build_circuit();
        build_between(c, "hall", "sensor", "5V", "gnd");
        build_quantity(c, "current", "7 mA");
        build_quantity(c, "high_current", "14 mA");
        build_word(c, "output", "two wire");
        build_word(c, "output_state", stands[i]);
        build_close(c);
        assert_close(element(c, 0, 0, NULL, NULL).limit, amps[i], 1e-12, 0);
        assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 0);
        jv_circuit_free(&c);
    }
}

static void hall_says_what_it_misses(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    build_between(c, "hall", "sensor", "5V", "gnd");
    build_terminal(c, "pull_up_to", "5V");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 2); /* pull_up, signal */
    jv_circuit_free(&c);
    c = build_circuit();
    build_between(c, "hall", "sensor", "5V", "gnd");
    build_terminal(c, "signal", "sig");
    build_word(c, "output", "two wire");
    build_close(c);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEYS_CLASH), 1);
    assert_int_equal(faults_found(c, 0, JV_CODE_KEY_MISSING), 1); /* high_current */
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fallbacks_read_and_keys_lead_with_terminals),
        cmocka_unit_test(battery_by_its_volts_and_ohms),
        cmocka_unit_test(battery_faults),
        cmocka_unit_test(discharged_is_the_same_as_less_charge),
        cmocka_unit_test(fixed_volts_can_be_discharged),
        cmocka_unit_test(surface_charge_goes_when_a_jack_runs),
        cmocka_unit_test(pack_opens_and_stays),
        cmocka_unit_test(battery_refuses_what_contradicts),
        cmocka_unit_test(supply_limits_or_hiccups),
        cmocka_unit_test(controller_drives_what_the_case_runs),
        cmocka_unit_test(controller_pair_joins_the_right_ends),
        cmocka_unit_test(controller_faults_hit_their_output_once),
        cmocka_unit_test(loads_draw_by_their_law),
        cmocka_unit_test(load_says_once_what_it_draws),
        cmocka_unit_test(sensor_supply_regulates),
        cmocka_unit_test(hall_pulls_its_signal_down),
        cmocka_unit_test(starved_hall_lets_go),
        cmocka_unit_test(two_wire_hall_signals_by_current),
        cmocka_unit_test(hall_says_what_it_misses),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
