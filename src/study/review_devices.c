/* review_devices.c - time against current of each fuse and its cables. SPDX-License-Identifier: MIT
 */
#include "study/review_work.h"

#include "circuit/parts/fuse.h"

#include <math.h>

jv_review_device *jv_review_device_of(const jv_review_work *w, uint32_t part) {
    for (size_t i = 0; i < w->n_devices; i++)
        if (w->devices[i].part == w->c->parts[part].name)
            return &w->devices[i];
    return NULL;
}

/* The wires are the arena's, writable here alone. */
static jv_review_wire *wires_of(const jv_review_device *d) {
    return (jv_review_wire *)(uintptr_t)d->wires;
}

jv_review_wire *jv_review_wire_of(const jv_review_work *w, const jv_cable_watched *k) {
    const jv_review_device *d = k->guard == UINT32_MAX ? NULL : jv_review_device_of(w, k->guard);
    for (size_t i = 0; d && i < d->n_wires; i++)
        if (d->wires[i].part == w->c->parts[k->part].name)
            return &wires_of(d)[i];
    return NULL;
}

static bool guards_it(const jv_review_work *w, uint32_t device, const jv_cable_watched *k,
                      jv_guarded *g) {
    return k->guard == device &&
           jv_guarded_of_part(w->c, &w->c->parts[k->part], w->guards.hot_c, g) == JV_OK &&
           !jv_cable_limited(k, g);
}

static jv_status add_wires(jv_review_work *w, uint32_t device, jv_review_device *d) {
    jv_review_wire *wires = jv_arena_alloc(w->arena, w->guards.n + 1, sizeof *wires);
    if (!wires)
        return JV_ERR_MEMORY;
    d->wires = wires;
    for (size_t i = 0; i < w->guards.n; i++) {
        const jv_cable_watched *k = &w->guards.cables[i];
        jv_guarded g;
        if (!guards_it(w, device, k, &g))
            continue;
        jv_review_wire *wire = &wires[d->n_wires++];
        *wire = (jv_review_wire){.part = w->c->parts[k->part].name,
                                 .carries_a = jv_carries_a(&g),
                                 .confidence = g.limits.confidence,
                                 .short_least_a = NAN,
                                 .short_most_a = k->strong_a,
                                 .short_opens_s = NAN,
                                 .closest_a = NAN,
                                 .opens_s = NAN,
                                 .stands_s = NAN};
        for (size_t m = 0; m < d->curve.count; m++)
            wire->at_points[m] = jv_damage_s(&g, d->curve.points[m].fraction * d->rating_a);
    }
    return JV_OK;
}

jv_status jv_review_devices_begin(jv_review_work *w) {
    const jv_circuit *c = w->c;
    w->devices = jv_arena_alloc(w->arena, c->n_parts + 1, sizeof *w->devices);
    if (!w->devices)
        return JV_ERR_MEMORY;
    for (uint32_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        const jv_slot *rating = jv_fuse_is(p) ? jv_part_slot(c, p, JV_FUSE_RATING) : NULL;
        if (!rating)
            continue;
        jv_review_device *d = &w->devices[w->n_devices++];
        *d = (jv_review_device){.part = p->name,
                                .rating_a = rating->value.nominal,
                                .must_open_a = NAN,
                                .running_a = NAN,
                                .stall_a = NAN,
                                .inrush_a = NAN};
        d->known = jv_fuse_part_curve(c, p, &d->curve) == JV_OK;
        if (d->known)
            d->must_open_a = jv_must_open_a(&d->curve, d->rating_a);
        else
            d->curve.count = 0;
        jv_status status = add_wires(w, i, d);
        if (status != JV_OK)
            return status;
    }
    return JV_OK;
}

/* Even steps of the logarithm from where it no longer stands for good, up to most_a. */
static jv_status draw_wire(jv_review_work *w, const jv_guarded *g, double most_a,
                           jv_review_wire *wire) {
    enum { POINTS = 40 };
    static const double beyond = 1.0005; /* of the current that it just stands for good */
    double from = beyond * jv_heat_current_for(&g->body, g->limits.solid_c);
    jv_review_stand *curve = jv_arena_alloc(w->arena, POINTS, sizeof *curve);
    if (!curve)
        return JV_ERR_MEMORY;
    wire->curve = curve;
    if (!(from > 0.0) || !(most_a > from))
        return JV_OK;
    for (size_t i = 0; i < POINTS; i++) {
        double a = from * pow(most_a / from, (double)i / (POINTS - 1));
        curve[wire->n_curve++] = (jv_review_stand){a, jv_damage_s(g, a)};
    }
    return JV_OK;
}

/* The largest current that has a meaning for the device, and some room. */
static double most_amps(const jv_review_device *d) {
    static const double room = 1.3;
    double most = fmax(d->rating_a, fmax(d->stall_a, d->inrush_a));
    if (d->curve.count)
        most = fmax(most, d->curve.points[d->curve.count - 1].fraction * d->rating_a);
    for (size_t i = 0; i < d->n_wires; i++)
        most = fmax(most, d->wires[i].short_most_a);
    return room * most;
}

jv_status jv_review_devices_draw(jv_review_work *w) {
    for (size_t i = 0; i < w->guards.n; i++) {
        const jv_cable_watched *k = &w->guards.cables[i];
        jv_review_wire *wire = jv_review_wire_of(w, k);
        jv_guarded g;
        if (!wire || !guards_it(w, k->guard, k, &g))
            continue;
        jv_status status = draw_wire(w, &g, most_amps(jv_review_device_of(w, k->guard)), wire);
        if (status != JV_OK)
            return status;
    }
    return JV_OK;
}
