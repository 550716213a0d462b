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

static bool is_assumed_ohm(const jv_circuit *c, const jv_part *p, const jv_slot *slot) {
    (void)c;
    const jv_key *key = &p->kind->keys[slot->key];
    return slot->origin == JV_FALLBACK && key->type == JV_KEY_QUANTITY &&
           key->dim == JV_DIM_RESISTANCE && !p->kind->is_motor;
}

/* Slot values with every assumed ohm at one end. */
static void fill(const jv_circuit *c, bool high, double *x) {
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        for (size_t k = p->first_slot; k < p->first_slot + p->n_slots; k++) {
            const jv_value *v = &c->slots[k].value;
            x[k] = v->nominal;
            if (is_assumed_ohm(c, p, &c->slots[k]))
                x[k] = high ? v->high : v->low;
        }
    }
}

static jv_status see(const jv_doubt *d, bool high, double *x, double *seen) {
    jv_net *net = d->system->net;
    const jv_circuit *c = net->circuit;
    jv_point point;
    for (size_t k = 0; k < d->n_batteries; k++) {
        d->batteries[k].value = 1.0;
        d->batteries[k].value = battery_share(&net->scene, &d->batteries[k], high);
    }
    fill(c, high, x);
    jv_net_load(net, x);
    jv_status status = jv_point_refine(d->system, &point);
    bool found = status == JV_OK && point.outcome != JV_POINT_NOT_FOUND;
    for (size_t k = 0; k < c->n_watches; k++)
        seen[k] = found ? jv_watch_seen(&net->scene, &c->watches[k], point.v) : NAN;
    return status == JV_ERR_MEMORY ? status : JV_OK;
}

jv_status jv_doubt_find(const jv_doubt *d, double *low_v, double *high_v) {
    jv_net *net = d->system->net;
    double *x = jv_zalloc(net->circuit->n_slots + 1, sizeof *x);
    if (!x)
        return JV_ERR_MEMORY;
    jv_status status = see(d, true, x, low_v);
    if (status == JV_OK)
        status = see(d, false, x, high_v);
    for (size_t k = 0; k < d->n_batteries; k++)
        d->batteries[k].value = 1.0;
    jv_net_load(net, NULL);
    jv_point point;
    jv_status back = jv_point_refine(d->system, &point);
    jv_free(x);
    return status == JV_OK && back == JV_ERR_MEMORY ? back : status;
}
