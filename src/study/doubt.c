/* doubt.c - does a verdict hang on figures that nobody gave? SPDX-License-Identifier: MIT */
#include "study/doubt.h"

#include "circuit/kinds.h"
#include "circuit/parts/battery.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

size_t jv_doubt_batteries(const jv_scene *s, jv_fault *faults) {
    size_t n = 0;
    for (size_t i = 0; i < s->circuit->n_parts; i++) {
        jv_battery_model m;
        const jv_part *p = &s->circuit->parts[i];
        if (p->kind != &jv_kind_battery || jv_battery_of_scene(s, p, &m) != JV_OK)
            continue;
        if (m.ohm_low_share == 1.0 && m.ohm_high_share == 1.0)
            continue;
        jv_fault f = {.part = (uint32_t)i, .way = JV_WAY_WEAK, .value = 1.0, .to = -1};
        faults[n++] = f;
    }
    return n;
}

/* The share by which the ohms of a battery may be off on one side. */
static double battery_share(const jv_scene *s, const jv_fault *f, bool high) {
    jv_battery_model m;
    if (jv_battery_of_scene(s, &s->circuit->parts[f->part], &m) != JV_OK)
        return 1.0;
    return high ? m.ohm_high_share : m.ohm_low_share;
}

static bool is_ohm(const jv_part *p, unsigned k) {
    const jv_key *key = &p->kind->keys[k];
    return key->type == JV_KEY_QUANTITY && key->dim == JV_DIM_RESISTANCE && !p->kind->is_motor;
}

/* An assumed ohm, taken together: the slots lie far apart, and each end is loaded from here. */
typedef struct jv_doubtful_ohm {
    uint32_t slot, part;
    double low, nominal, high; /* ohm */
} jv_doubtful_ohm;

typedef struct jv_doubtful {
    const jv_doubt *d;
    jv_doubtful_ohm *ohms; /* those of a part one after the other */
    size_t n_ohms, room;
} jv_doubtful;

static bool add_ohm(jv_doubtful *w, size_t slot, size_t part, const jv_value *v) {
    enum { FIRST_ROOM = 64 };
    if (w->n_ohms == w->room) {
        size_t room = w->room ? 2 * w->room : FIRST_ROOM;
        jv_doubtful_ohm *ohms = jv_resize(w->ohms, room, sizeof *ohms);
        if (!ohms)
            return false;
        w->ohms = ohms;
        w->room = room;
    }
    w->ohms[w->n_ohms++] =
        (jv_doubtful_ohm){(uint32_t)slot, (uint32_t)part, v->low, v->nominal, v->high};
    return true;
}

static jv_status gather(const jv_doubt *d, jv_doubtful *out) {
    const jv_circuit *c = d->system->net->circuit;
    *out = (jv_doubtful){.d = d};
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        for (size_t k = p->first_slot; k < p->first_slot + p->n_slots; k++)
            if (is_ohm(p, c->slot_keys[k]) && c->slots[k].origin == JV_FALLBACK &&
                !add_ohm(out, k, i, &c->slots[k].value))
                return JV_ERR_MEMORY;
    }
    return JV_OK;
}

typedef enum jv_end { END_LOW, END_HIGH, END_NONE } jv_end;

static void load_part(const jv_doubtful *w, size_t part) {
    jv_system *s = w->d->system;
    jv_net_load_part(s->net, part);
    jv_system_take(s, s->net->first[part], s->net->first[part + 1]);
}

/* Loads the parts with every assumed ohm at one end (END_NONE: as it was). No part's numbers hang
 * on another's slots: the others stay as they are, warm. */
static void load(const jv_doubtful *w, jv_end end) {
    jv_net *net = w->d->system->net;
    net->scene.x = net->nominal;
    for (size_t k = 0; k < w->n_ohms; k++) {
        const jv_doubtful_ohm *o = &w->ohms[k];
        net->nominal[o->slot] = end == END_HIGH ? o->high : end == END_LOW ? o->low : o->nominal;
        if (k + 1 == w->n_ohms || w->ohms[k + 1].part != o->part)
            load_part(w, o->part);
    }
    for (size_t k = 0; k < w->d->n_batteries; k++)
        load_part(w, w->d->batteries[k].part);
}

static jv_status see(const jv_doubtful *w, bool high, double *seen) {
    const jv_doubt *d = w->d;
    jv_net *net = d->system->net;
    const jv_circuit *c = net->circuit;
    jv_point point;
    for (size_t k = 0; k < d->n_batteries; k++) {
        d->batteries[k].value = 1.0;
        d->batteries[k].value = battery_share(&net->scene, &d->batteries[k], high);
    }
    load(w, high ? END_HIGH : END_LOW);
    jv_status status = jv_point_glance(d->system, &point);
    bool found = status == JV_OK && point.outcome != JV_POINT_NOT_FOUND;
    for (size_t k = 0; k < c->n_watches; k++)
        seen[k] = found ? jv_watch_seen(&net->scene, &c->watches[k], point.v) : NAN;
    return status == JV_ERR_MEMORY ? status : JV_OK;
}

static void put_back(const jv_doubtful *w, const jv_state *before) {
    for (size_t k = 0; k < w->d->n_batteries; k++)
        w->d->batteries[k].value = 1.0;
    load(w, END_NONE);
    jv_state_put_back(w->d->system, before);
}

jv_status jv_doubt_find(const jv_doubt *d, double *low_v, double *high_v) {
    jv_doubtful w;
    jv_state before = {0};
    for (size_t k = 0; k < d->system->net->circuit->n_watches; k++)
        low_v[k] = high_v[k] = NAN;
    jv_status status = gather(d, &w);
    if (status == JV_OK && w.n_ohms + d->n_batteries) {
        status = jv_state_keep(d->system, &before);
        if (status == JV_OK)
            status = see(&w, true, low_v);
        if (status == JV_OK)
            status = see(&w, false, high_v);
        if (before.x)
            put_back(&w, &before);
        jv_state_clear(&before);
    }
    jv_free(w.ohms);
    return status;
}
