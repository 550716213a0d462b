/* checks_sensor.c - readings of a sensor rail: live first, then unplugged, then ohms.
 * SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include "circuit/kinds.h"

#include <string.h>

enum { SUPPLY_IN, SUPPLY_MINUS, SUPPLY_OUT };
enum { HALL_SUPPLY, HALL_MINUS, HALL_SIGNAL };
enum { MOST = 32 };

/* One rail and what hangs on it. */
typedef struct jv_rail {
    jv_finder *f;
    int32_t in, minus, out;
    int32_t *by_leads; /* terminals joined by leads alone */
    int32_t *by_all;   /* by leads and plugs */
    size_t sensor[MOST];
    size_t n_sensors;
    size_t plug[MOST];   /* of each sensor: a plug of its own, or JV_FIND_NONE */
    size_t shared[MOST]; /* plugs that carry the rail to several */
    size_t n_shared;
} jv_rail;

static int32_t root(int32_t *parent, int32_t i) {
    while (parent[i] != i)
        i = parent[i] = parent[parent[i]];
    return i;
}

static void join(jv_rail *r) {
    const jv_circuit *c = r->f->c;
    for (size_t t = 0; t < c->n_terminals; t++)
        r->by_leads[t] = r->by_all[t] = (int32_t)t;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        if (p->kind == &jv_kind_lead) {
            int32_t a = jv_part_terminal(c, p, 0), b = jv_part_terminal(c, p, 1);
            r->by_leads[root(r->by_leads, a)] = root(r->by_leads, b);
            r->by_all[root(r->by_all, a)] = root(r->by_all, b);
        } else if (p->kind == &jv_kind_connector) {
            size_t n = 0;
            const jv_slot *pins = jv_part_entries(c, p, 0, &n);
            for (size_t k = 0; k < n; k++)
                r->by_all[root(r->by_all, pins[k].index)] = root(r->by_all, pins[k].second);
        }
    }
}

/* Sensors, and loads such as a level sensor, fed by this rail. */
static void find_sensors(jv_rail *r) {
    const jv_circuit *c = r->f->c;
    for (size_t i = 0; i < c->n_parts && r->n_sensors < MOST; i++) {
        const jv_part *p = &c->parts[i];
        if (p->kind != &jv_kind_hall && p->kind != &jv_kind_load)
            continue;
        int32_t t = jv_part_terminal(c, p, HALL_SUPPLY);
        if (t >= 0 && root(r->by_all, t) == root(r->by_all, r->out))
            r->sensor[r->n_sensors++] = i;
    }
}

static bool carries(jv_rail *r, const jv_part *plug, int32_t net) {
    size_t n = 0;
    const jv_slot *pins = jv_part_entries(r->f->c, plug, 0, &n);
    for (size_t k = 0; k < n; k++)
        if (root(r->by_leads, pins[k].index) == net || root(r->by_leads, pins[k].second) == net)
            return true;
    return false;
}

/* A sensor's own plug is the only one that its supply wire meets; one that meets several is a
 * trunk, and no plug of it is the sensor's alone. */
static size_t own_plug(jv_rail *r, size_t sensor) {
    const jv_circuit *c = r->f->c;
    int32_t net = root(r->by_leads, jv_part_terminal(c, &c->parts[sensor], HALL_SUPPLY));
    size_t own = JV_FIND_NONE, met = 0;
    if (net == root(r->by_leads, r->out))
        return JV_FIND_NONE;
    for (size_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].kind == &jv_kind_connector && carries(r, &c->parts[i], net)) {
            own = i;
            met++;
        }
    return met == 1 ? own : JV_FIND_NONE;
}

static void find_plugs(jv_rail *r) {
    const jv_circuit *c = r->f->c;
    for (size_t s = 0; s < r->n_sensors; s++)
        r->plug[s] = own_plug(r, r->sensor[s]);
    for (size_t i = 0; i < c->n_parts; i++) {
        size_t n = 0;
        bool on_rail = false;
        if (c->parts[i].kind != &jv_kind_connector)
            continue;
        const jv_slot *pins = jv_part_entries(c, &c->parts[i], 0, &n);
        for (size_t k = 0; k < n; k++)
            on_rail = on_rail || root(r->by_all, pins[k].index) == root(r->by_all, r->out);
        for (size_t s = 0; s < r->n_sensors; s++)
            on_rail = on_rail && r->plug[s] != i;
        if (on_rail && r->n_shared < MOST)
            r->shared[r->n_shared++] = i;
    }
}

static jv_status rail_with_off(jv_rail *r, const size_t *off, size_t n_off, size_t part) {
    size_t setup;
    jv_finder *f = r->f;
    jv_status status =
        jv_setup_get(f, JV_SETUP_REST, f->setups[f->rest].loading, off, n_off, -1, -1, &setup);
    if (status == JV_OK && f->setups[setup].usable)
        status = jv_check_volts(f, setup, r->out, r->minus, part, NULL);
    return status;
}

/* The controller's input that a signal comes to; -1 = none. */
static int32_t input_of(jv_rail *r, int32_t signal) {
    const jv_circuit *c = r->f->c;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        if (p->kind != &jv_kind_controller)
            continue;
        for (uint32_t k = 0; k < p->n_slots; k++) {
            const jv_slot *s = &c->slots[p->first_slot + k];
            if (strcmp(p->kind->keys[s->key].name, "inputs") == 0 && s->index >= 0 &&
                root(r->by_all, s->index) == root(r->by_all, signal))
                return s->index;
        }
    }
    return -1;
}

static jv_status live(jv_rail *r, size_t setup) {
    jv_finder *f = r->f;
    jv_status status = jv_check_volts(f, setup, r->out, r->minus, JV_FIND_NONE, NULL);
    if (status == JV_OK)
        status = jv_check_volts(f, setup, r->in, r->minus, JV_FIND_NONE, NULL);
    for (size_t s = 0; s < r->n_sensors && status == JV_OK; s++) {
        const jv_part *p = &f->c->parts[r->sensor[s]];
        status = jv_check_volts(f, setup, jv_part_terminal(f->c, p, HALL_SUPPLY),
                                jv_part_terminal(f->c, p, HALL_MINUS), r->sensor[s], NULL);
        /* While a jack turns its signal is pulses, which a meter averages. */
        bool still = f->setups[setup].kind != JV_SETUP_RUN && p->kind == &jv_kind_hall;
        int32_t signal = still ? jv_part_terminal(f->c, p, HALL_SIGNAL) : -1;
        if (signal < 0 || status != JV_OK)
            continue;
        status = jv_check_volts(f, setup, input_of(r, signal), r->minus, JV_FIND_NONE, NULL);
        if (status == JV_OK)
            status = jv_check_volts(f, setup, signal, r->minus, JV_FIND_NONE, NULL);
    }
    return status;
}

/* Volts along each lead of the rail, both ends at once with a long test lead. */
static jv_status along_leads(jv_rail *r) {
    jv_finder *f = r->f;
    jv_status status = JV_OK;
    for (size_t i = 0; i < f->c->n_parts && status == JV_OK; i++) {
        const jv_part *p = &f->c->parts[i];
        if (p->kind != &jv_kind_lead)
            continue;
        status = jv_check_volts(f, f->rest, jv_part_terminal(f->c, p, 0),
                                jv_part_terminal(f->c, p, 1), i, NULL);
    }
    return status;
}

/* Plugs of sensors likewise: each pin at rest. */
static jv_status along_pins(jv_rail *r) {
    jv_finder *f = r->f;
    jv_status status = JV_OK;
    for (size_t s = 0; s < r->n_sensors + r->n_shared && status == JV_OK; s++) {
        size_t part = s < r->n_sensors ? r->plug[s] : r->shared[s - r->n_sensors], n = 0;
        if (part == JV_FIND_NONE)
            continue;
        const jv_slot *pins = jv_part_entries(f->c, &f->c->parts[part], 0, &n);
        for (size_t k = 0; k < n && status == JV_OK; k++)
            status = jv_check_volts(f, f->rest, pins[k].index, pins[k].second, part, NULL);
    }
    return status;
}

/* Everything unplugged that can be: its nearest plug, else the sensor itself. */
static size_t all_off(const jv_rail *r, size_t *off) {
    size_t n = 0;
    for (size_t s = 0; s < r->n_sensors; s++)
        off[n++] = r->plug[s] != JV_FIND_NONE ? r->plug[s] : r->sensor[s];
    return n;
}

static jv_status unplugged(jv_rail *r) {
    size_t off[MOST], n;
    jv_status status = JV_OK;
    for (size_t s = 0; s < r->n_sensors && status == JV_OK; s++) {
        status = rail_with_off(r, &r->sensor[s], 1, r->sensor[s]);
        if (status == JV_OK && r->plug[s] != JV_FIND_NONE)
            status = rail_with_off(r, &r->plug[s], 1, JV_FIND_NONE);
    }
    n = all_off(r, off);
    if (status == JV_OK && n > 1)
        status = rail_with_off(r, off, n, JV_FIND_NONE);
    for (size_t s = 0; s < r->n_shared && status == JV_OK; s++)
        status = rail_with_off(r, &r->shared[s], 1, JV_FIND_NONE);
    return status;
}

static jv_status ohms(jv_rail *r) {
    jv_finder *f = r->f;
    size_t off[MOST], n = all_off(r, off);
    jv_status status = jv_check_ohms(f, off, n, r->out, r->minus, JV_FIND_NONE, NULL);
    if (status == JV_OK)
        status = jv_check_ohms(f, off, n, r->out, r->in, JV_FIND_NONE, NULL);
    for (size_t s = 0; s < r->n_sensors && status == JV_OK; s++) {
        const jv_part *p = &f->c->parts[r->sensor[s]];
        int32_t signal = p->kind == &jv_kind_hall ? jv_part_terminal(f->c, p, HALL_SIGNAL) : -1;
        int32_t input = signal >= 0 ? input_of(r, signal) : -1;
        if (input < 0)
            continue;
        status = jv_check_ohms(f, off, n, input, r->minus, JV_FIND_NONE, NULL);
        if (status == JV_OK)
            status = jv_check_ohms(f, off, n, input, r->out, JV_FIND_NONE, NULL);
    }
    return status;
}

static jv_status rail_checks(jv_rail *r) {
    join(r);
    find_sensors(r);
    find_plugs(r);
    jv_status status = live(r, r->f->rest);
    for (size_t k = 0; k < r->f->n_setups && status == JV_OK; k++)
        if (r->f->setups[k].kind == JV_SETUP_RUN && r->f->setups[k].usable)
            status = live(r, k);
    if (status == JV_OK)
        status = along_leads(r);
    if (status == JV_OK)
        status = along_pins(r);
    if (status == JV_OK)
        status = unplugged(r);
    return status == JV_OK && !r->f->options.no_ohms ? ohms(r) : status;
}

jv_status jv_checks_sensors(jv_finder *f) {
    const jv_circuit *c = f->c;
    jv_status status = JV_OK;
    int32_t *sets = jv_alloc(2 * c->n_terminals + 1, sizeof *sets);
    if (!sets)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < c->n_parts && status == JV_OK; i++) {
        const jv_part *p = &c->parts[i];
        if (p->kind != &jv_kind_sensor_supply)
            continue;
        jv_rail r;
        memset(&r, 0, sizeof r);
        r.f = f;
        r.in = jv_part_terminal(c, p, SUPPLY_IN);
        r.minus = jv_part_terminal(c, p, SUPPLY_MINUS);
        r.out = jv_part_terminal(c, p, SUPPLY_OUT);
        r.by_leads = sets;
        r.by_all = sets + c->n_terminals;
        status = rail_checks(&r);
    }
    jv_free(sets);
    return status;
}
