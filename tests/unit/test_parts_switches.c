/* test_parts_switches.c - switches, relays and connectors. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/kinds.h"
#include "tests/support/close.h"
#include "tests/support/one_part.h"

/* --- switch --- */

static void switch_follows_file_and_case(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    uint32_t sw = build_between(c, "switch", "disconnect", "x", "y");
    build_close(c);
    uint32_t off = build_between(c, "switch", "lights", "x", "y");
    build_flag(c, "closed", false);
    build_close(c);
    uint32_t both[] = {sw, off};
    jv_case all_off = {.name = "off", .off = both, .n_off = 2};
    jv_case all_on = {.name = "on", .on = both, .n_on = 2};
    assert_false(is_open(c, sw, NULL, NULL, 0));
    assert_true(is_open(c, off, NULL, NULL, 0));
    assert_true(is_open(c, sw, &all_off, NULL, 0));
    assert_true(is_open(c, off, &all_off, NULL, 0));
    assert_false(is_open(c, sw, &all_on, NULL, 0));
    assert_false(is_open(c, off, &all_on, NULL, 0));
    /* 30 A automotive relay, data sheet: typical 3 mohm. */
    assert_close(ohms(c, sw, NULL, NULL, 0), 3e-3, 1e-12, 0);
    jv_circuit_free(&c);
}

/* --- relay --- */

enum { COIL_PLUS, COIL_MINUS, TERMINALS = 8 };

static uint32_t relay_in(jv_circuit *c, const char *name) {
    /* The coil's terminals come first: nodes 0 and 1 of every circuit here. */
    assert_int_equal(jv_circuit_terminal(c, "coil+"), COIL_PLUS);
    assert_int_equal(jv_circuit_terminal(c, "coil-"), COIL_MINUS);
    uint32_t relay = build_between(c, "relay", name, "x", "y");
    build_terminal(c, "coil_plus", "coil+");
    build_terminal(c, "coil_minus", "coil-");
    return relay;
}

/* Puts volts on the coil and lets the relay settle; is its contact closed then? */
static bool closes_at(jv_net *net, uint32_t relay, double volts) {
    double v[TERMINALS] = {0}, i[TERMINALS] = {0};
    v[COIL_PLUS] = volts;
    const jv_part *p = &net->circuit->parts[relay];
    jv_element *e = build_element(net, relay, 0);
    bool before = !e->open;
    bool changed = p->kind->settle(&net->scene, p, e, net->own[relay], v, i);
    assert_int_equal(changed, before == (e->open != 0));
    assert_false(p->kind->settle(&net->scene, p, e, net->own[relay], v, i));
    return !e->open;
}

static void relay_has_hysteresis(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    uint32_t relay = relay_in(c, "K1");
    build_close(c);
    jv_net *net = build_net(c, NULL, NULL, 0);
    assert_int_equal(build_element(net, relay, 0)->open, 1);
    assert_int_equal(build_element(net, relay, 1)->law, JV_SINK);
    assert_int_equal(build_element(net, relay, 1)->open, 0);
    assert_true(isinf(build_element(net, relay, 1)->limit));
    /* 12 V relays guarantee pull-in at 60 % and drop-out at 10 %: 7.2 V and 1.2 V. */
    assert_false(closes_at(net, relay, 7.19));
    assert_true(closes_at(net, relay, 7.21));
    assert_true(closes_at(net, relay, 5.0));
    jv_net_load(net, NULL); /* a new draw keeps the state */
    assert_int_equal(build_element(net, relay, 0)->open, 0);
    assert_true(closes_at(net, relay, 1.21));
    assert_false(closes_at(net, relay, 1.19));
    assert_false(closes_at(net, relay, 5.0));
    jv_net_free(&net);
    jv_circuit_free(&c);
}

static void relay_needs_more_volts_when_hot(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    uint32_t relay = relay_in(c, "K1");
    build_quantity(c, "coil_temperature", "60 degC");
    build_close(c);
    jv_net *net = build_net(c, NULL, NULL, 0);
    /* Copper: (234.5 + 60) / (234.5 + 20) = 294.5 / 254.5 = 1.157171.
     * 7.2 V x 1.157171 = 8.331631 V; 90 ohm x 1.157171 = 104.145383 ohm. */
    assert_close(build_element(net, relay, 1)->r, 104.145383, 1e-7, 0);
    assert_false(closes_at(net, relay, 8.3316));
    assert_true(closes_at(net, relay, 8.3317));
    jv_net_free(&net);
    jv_circuit_free(&c);
}

static void relay_takes_the_ambient_of_the_case(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    uint32_t relay = relay_in(c, "K1");
    build_close(c);
    jv_case hot = {.name = "hot", .has_ambient = true, .ambient = {60, 60, 60, JV_EXACT}};
    jv_net *net = build_net(c, &hot, NULL, 0);
    assert_close(build_element(net, relay, 1)->r, 104.145383, 1e-7, 0);
    jv_net_free(&net);
    jv_circuit_free(&c);
}

static void relay_follows_its_switch(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    assert_int_equal(jv_circuit_terminal(c, "coil+"), COIL_PLUS);
    assert_int_equal(jv_circuit_terminal(c, "coil-"), COIL_MINUS);
    uint32_t button = build_between(c, "switch", "button", "p", "q");
    build_flag(c, "closed", false);
    build_close(c);
    uint32_t relay = relay_in(c, "K1");
    build_reference(c, "commanded_by", "button");
    build_close(c);
    assert_int_equal(faults_found(c, relay, JV_CODE_PART_KIND), 0);
    jv_net *net = build_net(c, NULL, NULL, 0);
    assert_int_equal(build_element(net, relay, 1)->open, 1);
    assert_false(closes_at(net, relay, 12.0));
    jv_net_free(&net);
    jv_case pressed = {.name = "pressed", .on = &button, .n_on = 1};
    net = build_net(c, &pressed, NULL, 0);
    assert_int_equal(build_element(net, relay, 1)->open, 0);
    assert_true(closes_at(net, relay, 12.0));
    jv_net_free(&net);
    jv_circuit_free(&c);
}

static void nothing_to_connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    (void)w;
    (void)c;
    (void)p;
}

static void nothing_to_load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)s;
    (void)p;
    (void)e;
    (void)n;
}

/* A motor without elements: all that a relay asks of it is whether it runs. */
static const jv_part_kind still_motor = {
    .name = "still motor",
    .summary = "a motor for tests",
    .is_motor = true,
    .connect = nothing_to_connect,
    .load = nothing_to_load,
};

static void relay_follows_its_motor(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    uint32_t motor = build_part_of(c, &still_motor, "pump");
    build_close(c);
    uint32_t contactor = build_between(c, "relay", "contactor", "x", "y");
    build_reference(c, "commanded_by", "pump");
    build_close(c);
    jv_run run = {.part = motor, .direction = 1, .kind = JV_LOAD_RATED};
    jv_case lifting = {.name = "lifting", .runs = &run, .n_runs = 1};
    /* Without coil terminals it closes by command alone. */
    assert_true(is_open(c, contactor, NULL, NULL, 0));
    assert_false(is_open(c, contactor, &lifting, NULL, 0));
    /* Its one element must not take a fault twice: 3 mohm + 20 mohm. */
    jv_fault added = build_fault(contactor, JV_WAY_ADDED, 20e-3);
    assert_close(ohms(c, contactor, &lifting, &added, 1), 23e-3, 1e-12, 0);
    jv_circuit_free(&c);
}

static void relay_fails_in_its_ways(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    uint32_t relay = relay_in(c, "K1");
    build_close(c);
    jv_fault dead = build_fault(relay, JV_WAY_DEAD, 0);
    jv_net *net = build_net(c, NULL, &dead, 1);
    assert_int_equal(build_element(net, relay, 1)->open, 1);
    assert_false(closes_at(net, relay, 12.0));
    jv_net_free(&net);
    jv_fault stuck = build_fault(relay, JV_WAY_STUCK, 0);
    assert_false(is_open(c, relay, NULL, &stuck, 1));
    jv_fault burnt = build_fault(relay, JV_WAY_OPEN, 0);
    net = build_net(c, NULL, &burnt, 1);
    double v[TERMINALS] = {12.0}, i[TERMINALS] = {0};
    const jv_part *p = &c->parts[relay];
    p->kind->settle(&net->scene, p, build_element(net, relay, 0), net->own[relay], v, i);
    assert_int_equal(build_element(net, relay, 0)->open, 1); /* held, yet no contact */
    jv_net_free(&net);
    jv_case pulled = {.name = "pulled", .off = &relay, .n_off = 1};
    assert_true(is_open(c, relay, &pulled, &stuck, 1));
    jv_circuit_free(&c);
}

static void relay_refuses_what_cannot_be(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    build_between(c, "switch", "s", "p", "q");
    build_close(c);
    build_between(c, "contact", "stud", "p", "q");
    build_quantity(c, "resistance", "1 mohm");
    build_close(c);
    uint32_t idle = build_between(c, "relay", "idle", "x", "y");
    build_close(c);
    assert_int_equal(faults_found(c, idle, JV_CODE_KEY_MISSING), 1);
    uint32_t half = build_between(c, "relay", "half", "x", "y");
    build_terminal(c, "coil_plus", "coil+");
    build_reference(c, "commanded_by", "stud");
    build_quantity(c, "drop_out", "8 V");
    build_close(c);
    assert_int_equal(faults_found(c, half, JV_CODE_KEY_MISSING), 1);
    assert_int_equal(faults_found(c, half, JV_CODE_PART_KIND), 1);
    assert_int_equal(faults_found(c, half, JV_CODE_KEYS_CLASH), 1); /* 8 V against 7.2 V */
    uint32_t shorted = build_between(c, "relay", "shorted", "x", "y");
    build_terminal(c, "coil_plus", "coil+");
    build_terminal(c, "coil_minus", "coil+");
    build_close(c);
    assert_int_equal(faults_found(c, shorted, JV_CODE_SHORTED_PART), 1);
    jv_circuit_free(&c);
}

/* --- connector --- */

static jv_circuit *connector_of_two(uint32_t *plug, const char *rating, const char *resistance) {
    jv_circuit *c = build_circuit();
    *plug = build_part(c, "connector", "jack plug");
    build_pin(c, "pins", "1", "w", "x");
    build_pin(c, "pins", "2", "y", "z");
    if (rating)
        build_quantity(c, "rating", rating);
    if (resistance)
        build_quantity(c, "resistance", resistance);
    build_close(c);
    return c;
}

static void connector_fails_pin_by_pin(void **state) {
    (void)state;
    uint32_t plug;
    jv_circuit *c = connector_of_two(&plug, NULL, "1.5 mohm");
    jv_fault f[2] = {build_fault(plug, JV_WAY_ADDED, 60e-3), build_fault(plug, JV_WAY_OPEN, 0)};
    f[0].pin = "1";
    f[1].pin = "2";
    jv_net *net = build_net(c, NULL, f, 2);
    assert_close(build_element(net, plug, 0)->r, 61.5e-3, 1e-12, 0);
    assert_close(build_element(net, plug, 1)->r, 1.5e-3, 1e-12, 0);
    assert_int_equal(build_element(net, plug, 0)->open, 0);
    assert_int_equal(build_element(net, plug, 1)->open, 1);
    jv_net_free(&net);
    jv_case unplugged = {.name = "unplugged", .off = &plug, .n_off = 1};
    net = build_net(c, &unplugged, NULL, 0);
    assert_int_equal(build_element(net, plug, 0)->open, 1);
    assert_int_equal(build_element(net, plug, 1)->open, 1);
    jv_net_free(&net);
    jv_circuit_free(&c);
}

static void connector_with_one_pin_takes_a_fault_once(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    uint32_t plug = build_part(c, "connector", "bullet");
    build_pin(c, "pins", "1", "w", "x");
    build_quantity(c, "resistance", "1 mohm");
    build_close(c);
    jv_fault all = build_fault(plug, JV_WAY_ADDED, 20e-3);
    assert_close(ohms(c, plug, NULL, &all, 1), 21e-3, 1e-12, 0);
    jv_circuit_free(&c);
}

static void connector_without_ohms_goes_by_its_rating(void **state) {
    (void)state;
    uint32_t plug;
    /* Small vehicle connector 4 mV per ampere (training text); bullet connector of 30 A typical
     * 0.55 mohm, its later sheet at most 1.0 mohm. */
    jv_circuit *c = connector_of_two(&plug, "10 A", NULL);
    assert_close(ohms(c, plug, NULL, NULL, 0), 4e-3, 1e-9, 0);
    jv_circuit_free(&c);
    c = connector_of_two(&plug, "30 A", NULL);
    assert_close(ohms(c, plug, NULL, NULL, 0), 0.55e-3, 1e-9, 0);
    jv_circuit_free(&c);
    c = connector_of_two(&plug, NULL, NULL);
    const jv_slot *s = slot_named(c, plug, "resistance");
    assert_close(s->value.low, 0.55e-3, 1e-9, 0);
    assert_close(s->value.high, 4e-3, 1e-9, 0);
    jv_circuit_free(&c);
}

static void connector_pin_has_two_sides(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    uint32_t plug = build_part(c, "connector", "plug");
    build_pin(c, "pins", "1", "w", "w");
    build_close(c);
    assert_int_equal(faults_found(c, plug, JV_CODE_SHORTED_PART), 1);
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(switch_follows_file_and_case),
        cmocka_unit_test(relay_has_hysteresis),
        cmocka_unit_test(relay_needs_more_volts_when_hot),
        cmocka_unit_test(relay_takes_the_ambient_of_the_case),
        cmocka_unit_test(relay_follows_its_switch),
        cmocka_unit_test(relay_follows_its_motor),
        cmocka_unit_test(relay_fails_in_its_ways),
        cmocka_unit_test(relay_refuses_what_cannot_be),
        cmocka_unit_test(connector_fails_pin_by_pin),
        cmocka_unit_test(connector_with_one_pin_takes_a_fault_once),
        cmocka_unit_test(connector_without_ohms_goes_by_its_rating),
        cmocka_unit_test(connector_pin_has_two_sides),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
