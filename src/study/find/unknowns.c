/* unknowns.c - what varies in a sound circuit. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include "circuit/kinds.h"

#include <math.h>
#include <string.h>

/* Spread of what the file states exactly, as one standard deviation; all judgement, no source:
 * a length is paced out, a joint ages, a load differs from its plate. Values with a spread of
 * their own keep it. */
static const double cable_sd = 0.03;     /* of the ohms of a conductor */
static const double joint_sd = 0.35;     /* of those of any joint */
static const double battery_sd = 0.15;   /* of those of a battery */
static const double battery_v_sd = 0.06; /* V, of its open circuit */
static const double source_sd = 0.01;    /* of the volts that a supply or regulator holds */
static const double load_sd = 0.10;      /* of what a load draws */
static const double motors_sd = 0.087;   /* of all motors together: +-15 % uniform */
static const double motor_sd = 0.05;     /* of each motor */

/* Points and weights of Gauss-Hermite quadrature of order 5 for a standard normal (Abramowitz
 * and Stegun 25.10, table 25.10 with x sqrt 2 and w / sqrt pi). */
static const double point[5] = {-2.856970013872806, -1.355626179974266, 0.0, 1.355626179974266,
                                2.856970013872806};
static const double share[5] = {0.011257411327720689, 0.22207592200561263, 0.5333333333333333,
                                0.22207592200561263, 0.011257411327720689};

static void moments(const jv_value *v, double *mean, double *sd) {
    double m = 0.0, q = 0.0;
    for (size_t k = 0; k < 5; k++) {
        double x = jv_value_at(v, point[k]);
        m += share[k] * x;
        q += share[k] * x * x;
    }
    *mean = m;
    *sd = sqrt(fmax(q - m * m, 0.0));
}

static bool add(jv_finder *f, jv_unknown_kind kind, size_t part, size_t slot, int32_t element,
                double sd) {
    if (f->n_unknowns == f->cap_unknowns) {
        size_t wanted = f->cap_unknowns ? 2 * f->cap_unknowns : 64;
        jv_unknown *moved = jv_resize(f->unknowns, wanted, sizeof *moved);
        if (!moved)
            return false;
        f->unknowns = moved;
        f->cap_unknowns = wanted;
    }
    bool own_scale = kind >= JV_UNKNOWN_GAIN_V;
    jv_unknown *u = &f->unknowns[f->n_unknowns++];
    u->kind = kind;
    u->part = (uint32_t)part;
    u->slot = (uint32_t)slot;
    u->element = element;
    u->sd = own_scale ? sd : sd * f->options.spread_scale;
    return true;
}

/* Which of the part's own elements a slot moves: bit set of the first 64. */
static uint64_t moved_by(jv_net *net, double *x, size_t part, size_t slot, double to,
                         jv_element *before) {
    enum { BITS = 64 };
    size_t first = net->first[part], n = net->own[part] < BITS ? net->own[part] : BITS;
    uint64_t bits = 0;
    double was = x[slot];
    memcpy(before, net->elements + first, n * sizeof *before);
    x[slot] = to;
    jv_net_load_part(net, part);
    for (size_t k = 0; k < n; k++) {
        const jv_element *a = &before[k], *b = &net->elements[first + k];
        if (a->r != b->r || a->e != b->e || a->limit != b->limit)
            bits |= (uint64_t)1 << k;
    }
    x[slot] = was;
    jv_net_load_part(net, part);
    return bits;
}

static double default_ohms_sd(const jv_part *p) {
    if (p->kind == &jv_kind_cable || p->kind == &jv_kind_lead)
        return cable_sd;
    return p->kind == &jv_kind_battery ? battery_sd : joint_sd;
}

/* Unknowns of what no slot with a spread moves. */
static bool defaults_of(jv_finder *f, const jv_net *net, size_t part, uint64_t moved) {
    const jv_part *p = &f->c->parts[part];
    bool ok = true;
    for (size_t k = 0; k < net->own[part] && k < 64 && ok; k++) {
        const jv_element *e = &net->elements[net->first[part] + k];
        bool had = moved >> k & 1;
        int32_t at = (int32_t)k;
        if (p->kind->is_motor && e->law == JV_SINK)
            ok = add(f, JV_UNKNOWN_LOAD, part, 0, at, motor_sd);
        else if (had || p->kind == &jv_kind_lead)
            continue; /* thin leads carry milliamps: their ohms do not show */
        else if (e->law == JV_SERIES && e->r > 0.0)
            ok = add(f, JV_UNKNOWN_OHMS, part, 0, at, default_ohms_sd(p));
        else if (e->law == JV_SINK)
            ok = add(f, JV_UNKNOWN_LOAD, part, 0, at, load_sd);
        if (!ok || had)
            continue;
        if (p->kind == &jv_kind_battery && k == 0)
            ok = add(f, JV_UNKNOWN_VOLTS, part, 0, at, battery_v_sd);
        else if (e->law == JV_SOURCE || e->law == JV_REGULATOR)
            ok = add(f, JV_UNKNOWN_VOLTS, part, 0, at, source_sd * e->e);
    }
    return ok;
}

static bool unknowns_of(jv_finder *f, jv_net *net, size_t part, jv_element *before) {
    const jv_part *p = &f->c->parts[part];
    uint64_t moved = 0;
    for (uint32_t i = 0; i < p->n_slots; i++) {
        size_t slot = p->first_slot + i;
        const jv_slot *s = &f->c->slots[slot];
        jv_key_type type = p->kind->keys[s->key].type;
        if ((type != JV_KEY_QUANTITY && type != JV_KEY_POINTS) || s->value.spread == JV_EXACT)
            continue;
        double mean, sd;
        moments(&s->value, &mean, &sd);
        uint64_t bits = moved_by(net, f->mean_x, part, slot, mean + sd, before);
        if (!bits)
            continue;
        moved |= bits;
        bool several = (bits & (bits - 1)) != 0;
        /* Pins of one plug, bonds of one frame: as many joints, each with the spread. */
        for (int32_t k = 0; k < 64; k++) {
            if (several && !(bits >> k & 1))
                continue;
            if (!add(f, JV_UNKNOWN_SLOT, part, slot, several ? k : -1, sd))
                return false;
            if (!several)
                break;
        }
    }
    return defaults_of(f, net, part, moved);
}

jv_status jv_unknowns_make(jv_finder *f) {
    enum { ELEMENTS = 64 };
    const jv_circuit *c = f->c;
    f->mean_x = jv_zalloc(c->n_slots + 1, sizeof *f->mean_x);
    jv_element *before = jv_alloc(ELEMENTS, sizeof *before);
    jv_net *net = NULL;
    jv_status status = f->mean_x && before ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK)
        status = jv_net_build(c, NULL, NULL, 0, &net);
    for (size_t i = 0; status == JV_OK && i < c->n_slots; i++) {
        double sd;
        f->mean_x[i] = c->slots[i].value.nominal;
        if (c->slots[i].value.spread != JV_EXACT)
            moments(&c->slots[i].value, &f->mean_x[i], &sd);
    }
    if (status == JV_OK)
        jv_net_load(net, f->mean_x);
    for (size_t i = 0; status == JV_OK && i < c->n_parts; i++)
        if (!unknowns_of(f, net, i, before))
            status = JV_ERR_MEMORY;
    f->gain_v = f->n_unknowns + 1;
    /* A band of +-a % is taken as uniform: its standard deviation is a / sqrt 3. */
    static const double uniform = 0.5773502691896258;
    double volts = f->meter.volts.percent / 100.0 * uniform;
    double amps = f->meter.amps.percent / 100.0 * uniform;
    if (status == JV_OK &&
        (!add(f, JV_UNKNOWN_LOADS, 0, 0, -1, motors_sd) ||
         !add(f, JV_UNKNOWN_GAIN_V, 0, 0, -1, volts) ||
         !add(f, JV_UNKNOWN_GAIN_A, 0, 0, -1, amps) || !add(f, JV_UNKNOWN_CELL, 0, 0, -1, 1.0) ||
         !add(f, JV_UNKNOWN_CELL, 0, 0, -1, 1.0) || !add(f, JV_UNKNOWN_SWING, 0, 0, -1, 1.0)))
        status = JV_ERR_MEMORY;
    f->gain_a = f->gain_v + 1;
    f->cell[0] = f->gain_v + 2;
    f->cell[1] = f->gain_v + 3;
    f->swing = f->gain_v + 4;
    jv_net_free(&net);
    jv_free(before);
    return status;
}
