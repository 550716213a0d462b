/* hint.c - what is told before the meter: when it happens, what changed last.
 * SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include "circuit/kinds.h"

/* Factors on the weight of a fault that such a word fits, by common practice, no source. People
 * remember badly and look for a cause: none is above 4. */
static const double cold_fits = 2.0, minutes_fit = 4.0, charge_fits = 1.5, turns_fit = 4.0;
static const double touched = 2.0, new_load = 4.0, wet = 1.5;

static bool in_wiring(const jv_part_kind *k) {
    return k == &jv_kind_contact || k == &jv_kind_connector || k == &jv_kind_cable ||
           k == &jv_kind_lead || k == &jv_kind_frame || k == &jv_kind_fuse;
}

static bool at_place(const jv_finder *f, const jv_part *p, jv_place_kind place) {
    for (uint32_t i = 0; i < p->n_slots; i++) {
        const jv_slot *s = &f->c->slots[p->first_slot + i];
        if (p->kind->keys[s->key].type == JV_KEY_TERMINAL && s->index >= 0 &&
            f->place[s->index] == place)
            return true;
    }
    return false;
}

static double cold(const jv_part_kind *kind, jv_way way) {
    bool battery = kind == &jv_kind_battery && way != JV_WAY_LEAK;
    return battery || way == JV_WAY_DRAG || way == JV_WAY_STUCK ? cold_fits : 1.0;
}

static double minutes(jv_way way) {
    if (way == JV_WAY_HOT)
        return minutes_fit;
    return way == JV_WAY_CHARGE ? charge_fits : 1.0;
}

static double wiring(const jv_part_kind *kind, const jv_failure *how) {
    bool load =
        how->way == JV_WAY_LEAK && (kind == &jv_kind_battery || kind == &jv_kind_controller);
    if (load)
        return new_load;
    return in_wiring(kind) ? touched : 1.0;
}

static double weather(const jv_part_kind *kind, jv_way way) {
    bool joint = kind == &jv_kind_contact || kind == &jv_kind_connector || kind == &jv_kind_frame;
    bool corrodes = way == JV_WAY_ADDED || way == JV_WAY_LOOSE || way == JV_WAY_HOT;
    return (joint && corrodes) || (kind == &jv_kind_hall && way == JV_WAY_LEAK) ? wet : 1.0;
}

static double of_fault(const jv_finder *f, const jv_fault *x, jv_hint hint) {
    const jv_part *p = &f->c->parts[x->part];
    jv_way way = (jv_way)x->way;
    switch (hint) {
    case JV_HINT_COLD:
        return cold(p->kind, way);
    case JV_HINT_MINUTES:
        return minutes(way);
    case JV_HINT_BY_TURNS:
        return way == JV_WAY_LOOSE ? turns_fit : 1.0;
    case JV_HINT_BATTERY:
        return p->kind == &jv_kind_battery || at_place(f, p, JV_PLACE_BATTERY) ? touched : 1.0;
    case JV_HINT_WIRING:
        return wiring(p->kind, &p->kind->failures[x->failure]);
    case JV_HINT_JACK:
        return p->kind->is_motor || p->kind == &jv_kind_hall || at_place(f, p, JV_PLACE_JACK)
                   ? touched
                   : 1.0;
    case JV_HINT_WEATHER:
        return weather(p->kind, way);
    case JV_HINTS:
        break;
    }
    return 1.0;
}

double jv_hint_weight(const jv_finder *f, const jv_find_state *s, jv_hint hint) {
    double most = 1.0;
    for (size_t k = 0; k < s->n_faults; k++) {
        double one = of_fault(f, &s->fault[k], hint);
        most = one > most ? one : most;
    }
    return most;
}
