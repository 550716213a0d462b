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

static bool is_assumed_ohm(const jv_part *p, const jv_slot *slot) {
    const jv_key *key = &p->kind->keys[slot->key];
    return slot->origin == JV_FALLBACK && key->type == JV_KEY_QUANTITY &&
           key->dim == JV_DIM_RESISTANCE && !p->kind->is_motor;
}

/* The parts that may be off. */
typedef struct jv_doubtful {
    const jv_doubt *d;
    uint32_t *parts;
    size_t n_parts;
} jv_doubtful;

static bool has_assumed_ohm(const jv_circuit *c, const jv_part *p) {
    for (size_t k = p->first_slot; k < p->first_slot + p->n_slots; k++)
        if (is_assumed_ohm(p, &c->slots[k]))
            return true;
    return false;
}

static jv_status gather(const jv_doubt *d, jv_doubtful *out) {
    const jv_net *net = d->system->net;
    const jv_circuit *c = net->circuit;
    *out = (jv_doubtful){.d = d};
    out->parts = jv_alloc(c->n_parts + d->n_batteries + 1, sizeof *out->parts);
    if (!out->parts)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < c->n_parts; i++)
        if (has_assumed_ohm(c, &c->parts[i]))
            out->parts[out->n_parts++] = (uint32_t)i;
    for (size_t k = 0; k < d->n_batteries; k++)
        out->parts[out->n_parts++] = d->batteries[k].part;
    return JV_OK;
}

typedef enum jv_end { END_LOW, END_HIGH, END_NONE } jv_end;

/* Loads the parts with every assumed ohm at one end (END_NONE: as it was). No part's numbers hang
 * on another's slots: the others stay as they are, warm. */
static void load(const jv_doubtful *w, jv_end end) {
    jv_net *net = w->d->system->net;
    const jv_circuit *c = net->circuit;
    net->scene.x = net->nominal;
    for (size_t i = 0; i < w->n_parts; i++) {
        const jv_part *p = &c->parts[w->parts[i]];
        for (size_t k = p->first_slot; k < p->first_slot + p->n_slots; k++) {
            const jv_value *v = &c->slots[k].value;
            if (is_assumed_ohm(p, &c->slots[k]))
                net->nominal[k] = end == END_HIGH ? v->high : end == END_LOW ? v->low : v->nominal;
        }
        jv_net_load_part(net, w->parts[i]);
    }
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
    if (status == JV_OK && w.n_parts) {
        status = jv_state_keep(d->system, &before);
        if (status == JV_OK)
            status = see(&w, true, low_v);
        if (status == JV_OK)
            status = see(&w, false, high_v);
        if (before.x)
            put_back(&w, &before);
        jv_state_clear(&before);
    }
    jv_free(w.parts);
    return status;
}
