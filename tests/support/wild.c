/* wild.c - random circuits of every part kind for tests. SPDX-License-Identifier: MIT */
#include "wild.h"

#include "build.h"
#include "circuit/drivers.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

enum { NAME_BYTES = 32, PLAN = 96 };

/* Parts are planned first, so that they can be built in any order. */
typedef struct plan_item {
    const char *kind;
    char name[NAME_BYTES];
    char ends[3][NAME_BYTES];
    unsigned seed;    /* for its numbers */
    const char *note; /* variant */
    char to[2][NAME_BYTES];
} plan_item;

typedef struct plan {
    plan_item items[PLAN];
    size_t n;
    unsigned seed;
    unsigned plus, minus; /* nodes of either web */
    wild_options options;
} plan;

unsigned wild_draw(unsigned *seed) {
    *seed = *seed * 1664525u + 1013904223u; /* Numerical Recipes, quick generator */
    return *seed >> 8;
}

double wild_between(unsigned *seed, double low, double high) {
    return low + (high - low) * (double)wild_draw(seed) / 16777216.0;
}

static unsigned below(unsigned *seed, unsigned n) {
    return (wild_draw(seed) >> 4) % n;
}

static bool chance(unsigned *seed, double odds) {
    return wild_between(seed, 0.0, 1.0) < odds;
}

static bool is_monotone(const plan *p) {
    return p->options.monotone || p->options.one_source;
}

static void node_name(char *out, char web, unsigned k) {
    snprintf(out, NAME_BYTES, "%c%u", web, k);
}

static void some_node(plan *p, char *out, char web) {
    bool plus = web == 'p';
    if (p->options.hostile && chance(&p->seed, 0.25))
        plus = !plus;
    node_name(out, plus ? 'p' : 'm', below(&p->seed, plus ? p->plus : p->minus));
}

static plan_item *add(plan *p, const char *kind, const char *first, const char *second) {
    assert_true(p->n < PLAN);
    plan_item *item = &p->items[p->n];
    memset(item, 0, sizeof *item);
    item->kind = kind;
    snprintf(item->name, NAME_BYTES, "%s %zu", kind, p->n++);
    snprintf(item->ends[0], NAME_BYTES, "%s", first);
    snprintf(item->ends[1], NAME_BYTES, "%s", second);
    item->seed = wild_draw(&p->seed);
    item->note = "";
    return item;
}

/* Across the two webs. */
static plan_item *across(plan *p, const char *kind) {
    char plus[NAME_BYTES], minus[NAME_BYTES];
    some_node(p, plus, 'p');
    do
        some_node(p, minus, 'm');
    while (strcmp(plus, minus) == 0);
    return add(p, kind, plus, minus);
}

static const char *some_conductor(plan *p) {
    static const char *const kinds[] = {"cable", "cable",   "contact", "fuse",
                                        "lead",  "breaker", "switch",  "connector"};
    return kinds[below(&p->seed, sizeof kinds / sizeof kinds[0])];
}

static void plan_web(plan *p, char web, unsigned n) {
    char a[NAME_BYTES], b[NAME_BYTES];
    for (unsigned k = 1; k < n; k++) {
        node_name(a, web, below(&p->seed, k));
        node_name(b, web, k);
        add(p, some_conductor(p), a, b);
    }
    for (unsigned k = 0; n > 2 && k < 1 + below(&p->seed, 3); k++) {
        unsigned from = below(&p->seed, n), to = (from + 1 + below(&p->seed, n - 1)) % n;
        node_name(a, web, from);
        node_name(b, web, to);
        add(p, some_conductor(p), a, b);
    }
}

static void plan_sources(plan *p) {
    unsigned batteries = p->options.one_source ? 1 : 1 + below(&p->seed, 3);
    for (unsigned k = 0; k < batteries; k++) {
        plan_item *first = across(p, "battery");
        if (p->options.one_source || !chance(&p->seed, 0.2))
            continue;
        /* two of 6 V in series */
        first->note = "half";
        plan_item *second = add(p, "battery", "middle", first->ends[1]);
        second->note = "half";
        snprintf(second->ends[0], NAME_BYTES, "middle %u", k);
        snprintf(first->ends[1], NAME_BYTES, "middle %u", k);
    }
    for (unsigned k = 0; !p->options.one_source && k < below(&p->seed, 3); k++)
        across(p, "supply");
}

static void plan_motors(plan *p) {
    for (unsigned k = 0; k < 1 + below(&p->seed, 3); k++) {
        plan_item *jack = across(p, "jack");
        if (chance(&p->seed, 0.3)) { /* the other way round */
            char swap[NAME_BYTES];
            memcpy(swap, jack->ends[0], NAME_BYTES);
            memcpy(jack->ends[0], jack->ends[1], NAME_BYTES);
            memcpy(jack->ends[1], swap, NAME_BYTES);
        }
    }
    if (chance(&p->seed, 0.5)) {
        plan_item *box = across(p, "controller");
        snprintf(box->ends[2], NAME_BYTES, "out plus");
        add(p, "cable", "out plus", "motor plus");
        add(p, "cable", "motor minus", "out minus");
        add(p, "jack", "motor plus", "motor minus");
        plan_item *other = across(p, "jack");
        snprintf(other->ends[0], NAME_BYTES, "single");
    }
    if (chance(&p->seed, 0.4)) {
        plan_item *pump = across(p, "pump");
        if (is_monotone(p))
            return;
        plan_item *relay = add(p, "relay", pump->ends[0], "pump plus");
        pump = relay - 1;
        some_node(p, relay->to[0], 'p');
        some_node(p, relay->to[1], 'm');
        if (strcmp(relay->to[0], relay->to[1]) == 0)
            relay->to[0][0] = '\0';
        snprintf(pump->ends[0], NAME_BYTES, "pump plus");
        snprintf(relay->ends[2], NAME_BYTES, "%s", pump->name);
    }
}

static void plan_rest(plan *p) {
    static const char *const loads[] = {"current", "resistance", "power"};
    for (unsigned k = 0; k < below(&p->seed, 4); k++)
        across(p, "load")->note = loads[below(&p->seed, is_monotone(p) ? 2 : 3)];
    if (chance(&p->seed, 0.5)) {
        plan_item *rail = across(p, "sensor_supply");
        snprintf(rail->ends[2], NAME_BYTES, "rail");
        rail->note = is_monotone(p) ? "firm" : "";
        add(p, "lead", "rail", "sensor plus");
        plan_item *hall = add(p, "hall", "sensor plus", rail->ends[1]);
        bool two_wire = chance(&p->seed, 0.3) || is_monotone(p);
        hall->note = two_wire ? "two wire" : "open drain";
        if (chance(&p->seed, 0.4))
            add(p, "load", "rail", rail->ends[1])->note = "small";
    }
    if (chance(&p->seed, 0.4) && p->minus > 2)
        add(p, "frame", "m0", "m1");
}

/* --- building --- */

static const char *number(char *out, double value, const char *unit) {
    snprintf(out, NAME_BYTES, "%.9f %s", value, unit);
    return out;
}

static void quantity(jv_circuit *c, const char *key, double value, const char *unit) {
    char text[NAME_BYTES];
    build_quantity(c, key, number(text, value, unit));
}

static void ohms(jv_circuit *c, plan *p, unsigned *s, const char *key, double low, double high) {
    bool zero = p->options.hostile && chance(s, 0.2);
    quantity(c, key, zero ? 0.0 : wild_between(s, low, high), "mohm");
}

static void build_conductor(jv_circuit *c, plan *p, plan_item *i) {
    static const char *const sizes[] = {"4 AWG", "6 AWG", "SAE 8", "16 mm2", "2 AWG", "10 AWG"};
    unsigned *s = &i->seed;
    if (strcmp(i->kind, "connector") == 0) {
        build_part(c, i->kind, i->name);
        build_pin(c, "pins", "1", i->ends[0], i->ends[1]);
        ohms(c, p, s, "resistance", 0.5, 10.0);
        return;
    }
    build_between(c, i->kind, i->name, i->ends[0], i->ends[1]);
    if (strcmp(i->kind, "fuse") == 0 || strcmp(i->kind, "breaker") == 0)
        quantity(c, "rating", 60.0, "A");
    if (strcmp(i->kind, "cable") != 0) {
        ohms(c, p, s, "resistance", 0.1, strcmp(i->kind, "lead") == 0 ? 500.0 : 5.0);
        return;
    }
    build_text(c, "size", sizes[below(s, sizeof sizes / sizeof sizes[0])]);
    quantity(c, "length", wild_between(s, 0.3, 12.0), "m");
    if (chance(s, 0.2))
        quantity(c, "conductor_temperature", wild_between(s, 10.0, 80.0), "degC");
}

static void build_source(jv_circuit *c, plan *p, plan_item *i) {
    unsigned *s = &i->seed;
    build_between(c, i->kind, i->name, i->ends[0], i->ends[1]);
    if (strcmp(i->kind, "battery") == 0) {
        double half = i->note[0] ? 0.5 : 1.0;
        quantity(c, "open_circuit", half * wild_between(s, 11.8, 13.2), "V");
        quantity(c, "resistance", wild_between(s, 3.0, 40.0), "mohm");
        return;
    }
    quantity(c, "set_voltage", wild_between(s, 11.5, 14.6), "V");
    bool limited = chance(s, 0.7); /* without a limit zero ohms on a short have no answer */
    if (limited)
        ohms(c, p, s, "resistance", 1.0, 20.0);
    else
        quantity(c, "resistance", wild_between(s, 1.0, 20.0), "mohm");
    if (!limited)
        return;
    quantity(c, "limit", wild_between(s, 2.0, 70.0), "A");
    if (chance(s, 0.4) && !is_monotone(p))
        build_word(c, "overload", "hiccup");
}

static void build_device(jv_circuit *c, plan_item *i) {
    unsigned *s = &i->seed;
    build_between(c, i->kind, i->name, i->ends[0], i->ends[1]);
    if (strcmp(i->kind, "jack") == 0) {
        quantity(c, "rated_force", 2000.0, "lbf");
        quantity(c, "rated_current", wild_between(s, 15.0, 40.0), "A");
        quantity(c, "no_load_current", wild_between(s, 3.0, 8.0), "A");
        quantity(c, "stall_current", wild_between(s, 60.0, 120.0), "A");
    } else if (strcmp(i->kind, "pump") == 0) {
        quantity(c, "rated_pressure", 2500.0, "psi");
        quantity(c, "rated_current", wild_between(s, 60.0, 150.0), "A");
        quantity(c, "idle_current", 30.0, "A");
        quantity(c, "stall_current", 400.0, "A");
    } else if (strcmp(i->kind, "load") == 0 && strcmp(i->note, "small") == 0) {
        quantity(c, "current", wild_between(s, 1.0, 120.0), "mA");
    } else if (strcmp(i->note, "current") == 0) {
        quantity(c, "current", wild_between(s, 0.2, 15.0), "A");
    } else if (strcmp(i->note, "power") == 0) {
        quantity(c, "power", wild_between(s, 5.0, 200.0), "W");
    } else {
        quantity(c, "resistance", wild_between(s, 0.8, 60.0), "ohm");
    }
}

static void build_electronics(jv_circuit *c, plan_item *i) {
    unsigned *s = &i->seed;
    build_part(c, i->kind, i->name);
    if (strcmp(i->kind, "sensor_supply") == 0) {
        build_terminal(c, "in", i->ends[0]);
        build_terminal(c, "minus", i->ends[1]);
        build_terminal(c, "out", i->ends[2]);
        quantity(c, "set_voltage", chance(s, 0.4) ? 12.0 : 5.0, "V");
        quantity(c, "limit", wild_between(s, 20.0, 200.0), "mA");
        if (chance(s, 0.4) && !i->note[0])
            quantity(c, "short_circuit_current", wild_between(s, 5.0, 19.0), "mA");
        quantity(c, "current", 3.0, "mA");
        if (chance(s, 0.5))
            quantity(c, "resistance", 0.5, "ohm");
        return;
    }
    build_terminal(c, "supply", i->ends[0]);
    build_terminal(c, "minus", i->ends[1]);
    build_word(c, "output", i->note);
    if (strcmp(i->note, "two wire") == 0) {
        quantity(c, "high_current", 14.0, "mA");
        build_word(c, "output_state", chance(s, 0.5) ? "high" : "low");
        return;
    }
    build_terminal(c, "signal", "signal");
    quantity(c, "pull_up", 4.7, "kohm");
    build_terminal(c, "pull_up_to", "rail");
}

static void build_frame(jv_circuit *c, plan_item *i) {
    unsigned *s = &i->seed;
    char text[NAME_BYTES];
    build_part(c, i->kind, i->name);
    for (unsigned k = 0; k < 3; k++) {
        char at[NAME_BYTES];
        node_name(at, 'm', k);
        build_point(c, "points", at, number(text, wild_between(s, 0.1, 3.0), "mohm"));
    }
    quantity(c, "resistance", wild_between(s, 0.5, 5.0), "mohm");
}

static void build_controller(jv_circuit *c, plan_item *i) {
    build_between(c, i->kind, i->name, i->ends[0], i->ends[1]);
    build_pin(c, "outputs", "pair", "out plus", "out minus");
    build_pin(c, "outputs", "single", "single", NULL);
    build_pin(c, "inputs", "pulses", i->ends[0], NULL);
}

static void build_item(jv_circuit *c, plan *p, plan_item *i) {
    const char *k = i->kind;
    if (strcmp(k, "battery") == 0 || strcmp(k, "supply") == 0)
        build_source(c, p, i);
    else if (strcmp(k, "jack") == 0 || strcmp(k, "pump") == 0 || strcmp(k, "load") == 0)
        build_device(c, i);
    else if (strcmp(k, "sensor_supply") == 0 || strcmp(k, "hall") == 0)
        build_electronics(c, i);
    else if (strcmp(k, "frame") == 0)
        build_frame(c, i);
    else if (strcmp(k, "controller") == 0)
        build_controller(c, i);
    else if (strcmp(k, "relay") == 0) {
        build_between(c, k, i->name, i->ends[0], i->ends[1]);
        if (i->to[0][0]) {
            build_terminal(c, "coil_plus", i->to[0]);
            build_terminal(c, "coil_minus", i->to[1]);
        }
        build_reference(c, "commanded_by", i->ends[2]);
    } else
        build_conductor(c, p, i);
    build_close(c);
}

/* Parts in another order; a relay stays behind the pump it names. */
static void shuffle(plan *p) {
    unsigned seed = p->options.shuffle;
    for (size_t k = p->n; k > 1; k--) {
        size_t other = below(&seed, (unsigned)k);
        plan_item swap = p->items[k - 1];
        p->items[k - 1] = p->items[other];
        p->items[other] = swap;
    }
    for (size_t k = 0; k < p->n; k++) {
        if (strcmp(p->items[k].kind, "relay") != 0)
            continue;
        plan_item relay = p->items[k];
        memmove(&p->items[k], &p->items[k + 1], (p->n - k - 1) * sizeof relay);
        p->items[p->n - 1] = relay;
        break;
    }
}

/* --- the case and the faults: drawn by part name, so that order changes nothing --- */

static unsigned name_seed(const char *name, unsigned seed) {
    for (; *name; name++)
        seed = (seed ^ (unsigned char)*name) * 16777619u; /* FNV-1a */
    return seed;
}

static void load_case(wild *w, unsigned seed) {
    jv_circuit *c = w->c;
    jv_case *k = jv_circuit_add_case(c, "some");
    k->runs = jv_arena_alloc(&c->arena, c->n_parts, sizeof *k->runs);
    k->off = jv_arena_alloc(&c->arena, c->n_parts, sizeof *k->off);
    if (seed % 4 == 1) {
        k->has_time = true;
        k->run_for = jv_value_exact(90.0);
    }
    for (uint32_t i = 0; i < c->n_parts; i++) {
        unsigned s = name_seed(c->parts[i].name, seed);
        double odds = wild_between(&s, 0.0, 1.0);
        if (!c->parts[i].kind->is_motor || odds > 0.75)
            continue;
        jv_run *run = &k->runs[k->n_runs++];
        run->part = i;
        run->direction = chance(&s, 0.6) ? 1 : -1;
        run->kind = JV_LOAD_AMPS;
        run->value = jv_value_exact(wild_between(&s, 2.0, 45.0));
        if (odds < 0.1)
            run->kind = JV_LOAD_STALLED;
        else if (odds < 0.2)
            run->kind = JV_LOAD_FREE;
        else if (odds < 0.3)
            run->kind = JV_LOAD_RATED;
    }
    w->loading = k;
}

static bool may_open(const wild *w, uint32_t part) {
    const jv_part_kind *kind = w->c->parts[part].kind;
    return kind->is_series || kind->is_source;
}

static void put_fault(wild *w, uint32_t part, unsigned *s) {
    const jv_part *p = &w->c->parts[part];
    jv_fault f = build_fault(part, JV_WAY_ADDED, wild_between(s, 0.001, 0.2));
    bool cable = strcmp(p->kind->name, "cable") == 0;
    if (cable && chance(s, 0.3)) {
        f.way = JV_WAY_SHORT;
        f.position = wild_between(s, 0.05, 0.95);
        f.to = jv_circuit_find_terminal(w->c, "m0");
        f.value = wild_between(s, 0.05, 5.0);
    } else if (strcmp(p->kind->name, "load") == 0) {
        f.way = chance(s, 0.5) ? JV_WAY_LEAK : JV_WAY_INSIDE;
        f.value = wild_between(s, 0.05, 3.0);
    } else if (!p->kind->is_series)
        return;
    w->faults[w->n_faults++] = f;
}

static void break_things(wild *w, unsigned seed, const wild_options *options) {
    jv_case *k = w->loading;
    if (options->one_source)
        return;
    for (uint32_t i = 0; i < w->c->n_parts; i++) {
        unsigned s = name_seed(w->c->parts[i].name, seed + 77u);
        if (may_open(w, i) && chance(&s, options->hostile ? 0.15 : 0.03))
            k->off[k->n_off++] = i;
        else if (w->n_faults < WILD_FAULTS && chance(&s, 0.06))
            put_fault(w, i, &s);
    }
}

void wild_make(wild *w, unsigned seed, const wild_options *options) {
    static plan p; /* large */
    memset(&p, 0, sizeof p);
    memset(w, 0, sizeof *w);
    p.options = *options;
    p.seed = seed * 2654435761u + 1u;
    wild_draw(&p.seed);
    p.plus = 3 + below(&p.seed, 5);
    p.minus = 3 + below(&p.seed, 3);
    plan_sources(&p);
    plan_web(&p, 'p', p.plus);
    plan_web(&p, 'm', p.minus);
    plan_motors(&p);
    plan_rest(&p);
    if (options->shuffle)
        shuffle(&p);
    w->c = build_circuit();
    for (size_t k = 0; k < p.n; k++)
        build_item(w->c, &p, &p.items[k]);
    w->c->reference = jv_circuit_find_terminal(w->c, "m0");
    assert_true(w->c->reference >= 0);
    load_case(w, seed);
    break_things(w, seed, options);
    jv_net *net = build_net(w->c, NULL, NULL, 0);
    assert_int_equal(jv_drivers_find(w->c, net), JV_OK);
    jv_net_free(&net);
}

void wild_free(wild *w) {
    jv_circuit_free(&w->c);
}
