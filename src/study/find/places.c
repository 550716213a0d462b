/* places.c - where a person stands, what it costs, what to beware of. SPDX-License-Identifier: MIT
 */
#include "study/find/finder.h"

#include "circuit/kinds.h"
#include "circuit/parts/battery.h"

#include <string.h>

/* Minutes, typical; common practice, no source, shaped by the allocation chart of TM
 * 9-2320-361-24-2 (batteries inspected in 0.1 h). */
static const double rest_min = 1.0, run_min = 2.0, clamp_branch_min = 3.0, ohms_min = 2.0;
static const double look_min = 5.0;                         /* look at a joint and move it */
static const double long_lead_min = 5.0;                    /* the two probes are at two places */
static const double open_min[] = {3.0, 8.0, 3.0, 3.0, 4.0}; /* of each kind of place */
static const double under_min = 20.0;  /* supports, chocks: once for all jacks */
static const double isolate_min = 8.0; /* off, every source, proved dead: once */
static const double unplug_min = 3.0;  /* each plug, and in again */

enum { KINDS = 5, OPEN_UNDER = KINDS, OPEN_ISOLATED, OPEN_PARTS };

static void anchor(jv_finder *f, int32_t t, jv_place_kind kind, size_t part, int32_t *queue,
                   size_t *tail, bool *seen) {
    if (t < 0 || seen[t])
        return;
    seen[t] = true;
    f->place[t] = kind;
    f->place_part[t] = kind == JV_PLACE_JACK ? part : JV_FIND_NONE;
    queue[(*tail)++] = t;
}

static bool anchors_at(const jv_part *p, int pass, jv_place_kind *kind) {
    const jv_part_kind *k = p->kind;
    if (pass == 0 && (k == &jv_kind_battery || k == &jv_kind_supply))
        *kind = JV_PLACE_BATTERY;
    else if (pass == 1 && (k == &jv_kind_controller || k == &jv_kind_sensor_supply))
        *kind = JV_PLACE_CONTROLLER;
    else if (pass == 2 && (k->is_motor || k == &jv_kind_hall))
        *kind = JV_PLACE_JACK;
    else if (pass == 3 && k == &jv_kind_frame)
        *kind = JV_PLACE_FRAME;
    else
        return false;
    return true;
}

/* Terminals of a part, from its slots. */
static size_t terminals_of(const jv_circuit *c, const jv_part *p, int32_t *out, size_t most) {
    size_t n = 0;
    for (uint32_t i = 0; i < p->n_slots; i++) {
        const jv_slot *s = &c->slots[p->first_slot + i];
        jv_key_type type = p->kind->keys[s->key].type;
        bool one = type == JV_KEY_TERMINAL || type == JV_KEY_POINTS;
        bool two = type == JV_KEY_PINS || type == JV_KEY_OUTPUTS;
        if ((one || two) && s->index >= 0 && n < most)
            out[n++] = s->index;
        if (two && s->second >= 0 && n < most)
            out[n++] = s->second;
    }
    return n;
}

/* A pull-up belongs to where it is wired, not to the sensor. */
static bool far_key(const jv_part *p, size_t terminal_number) {
    enum { HALL_OWN_TERMINALS = 3 };
    return p->kind == &jv_kind_hall && terminal_number >= HALL_OWN_TERMINALS;
}

/* Short parts keep their two ends in one place; cables and leads do not. */
static bool is_short_part(const jv_part *p) {
    return p->kind->is_series && p->kind != &jv_kind_cable && p->kind != &jv_kind_lead &&
           p->kind != &jv_kind_frame;
}

static void spread_pair(jv_finder *f, int32_t a, int32_t b, int32_t *queue, size_t *tail,
                        bool *seen, int32_t at) {
    if (a < 0 || b < 0 || (a != at && b != at))
        return;
    int32_t to = a == at ? b : a;
    if (seen[to])
        return;
    seen[to] = true;
    f->place[to] = f->place[at];
    f->place_part[to] = f->place_part[at];
    queue[(*tail)++] = to;
}

static void spread(jv_finder *f, int32_t *queue, size_t *tail, bool *seen) {
    const jv_circuit *c = f->c;
    for (size_t head = 0; head < *tail; head++) {
        int32_t at = queue[head];
        for (size_t i = 0; i < c->n_parts; i++) {
            const jv_part *p = &c->parts[i];
            size_t n = 0;
            if (!is_short_part(p))
                continue;
            if (p->kind == &jv_kind_connector) {
                const jv_slot *pins = jv_part_entries(c, p, 0, &n);
                for (size_t k = 0; k < n; k++)
                    spread_pair(f, pins[k].index, pins[k].second, queue, tail, seen, at);
            } else {
                spread_pair(f, jv_part_terminal(c, p, 0), jv_part_terminal(c, p, 1), queue, tail,
                            seen, at);
            }
        }
    }
}

jv_status jv_places_make(jv_finder *f) {
    enum { MOST = 64, PASSES = 4 };
    const jv_circuit *c = f->c;
    size_t n = c->n_terminals + 1, tail = 0;
    int32_t list[MOST];
    f->place = jv_arena_alloc(&f->arena, n, sizeof *f->place);
    f->place_part = jv_arena_alloc(&f->arena, n, sizeof *f->place_part);
    f->open_place = jv_arena_alloc(&f->arena, OPEN_PARTS + c->n_parts + 1, sizeof *f->open_place);
    int32_t *queue = jv_alloc(n, sizeof *queue);
    bool *seen = jv_zalloc(n, sizeof *seen);
    bool ok = f->place && f->place_part && f->open_place && queue && seen;
    for (size_t t = 0; ok && t < n; t++) {
        f->place[t] = JV_PLACE_WAY;
        f->place_part[t] = JV_FIND_NONE;
    }
    for (int pass = 0; ok && pass < PASSES; pass++)
        for (size_t i = 0; i < c->n_parts; i++) {
            jv_place_kind kind;
            if (!anchors_at(&c->parts[i], pass, &kind))
                continue;
            size_t m = terminals_of(c, &c->parts[i], list, MOST);
            for (size_t k = 0; k < m; k++)
                if (!far_key(&c->parts[i], k))
                    anchor(f, list[k], kind, i, queue, &tail, seen);
        }
    if (ok)
        spread(f, queue, &tail, seen);
    jv_free(queue);
    jv_free(seen);
    return ok ? JV_OK : JV_ERR_MEMORY;
}

/* --- one check --- */

static int32_t part_terminal(const jv_finder *f, size_t part) {
    enum { ONE = 1 };
    int32_t t[ONE];
    return terminals_of(f->c, &f->c->parts[part], t, ONE) ? t[0] : -1;
}

static bool is_lithium(const jv_circuit *c) {
    for (size_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].kind == &jv_kind_battery &&
            jv_part_word(c, &c->parts[i], JV_BATTERY_CHEMISTRY, 0) == (int)JV_CHEMISTRY_LFP)
            return true;
    return false;
}

static uint32_t care_of(const jv_finder *f, const jv_check *v) {
    uint32_t care = JV_CARE_METER;
    bool battery = v->place == JV_PLACE_BATTERY || v->far_place == JV_PLACE_BATTERY;
    bool under = v->place == JV_PLACE_JACK || v->far_place == JV_PLACE_JACK;
    for (size_t k = 0; k < v->n_off; k++) {
        int32_t t = part_terminal(f, v->off[k]);
        under = under || (t >= 0 && f->place[t] == JV_PLACE_JACK);
    }
    if (battery)
        care |= JV_CARE_RINGS | JV_CARE_GAS | (v->setup == JV_SETUP_ISOLATED ? 0 : JV_CARE_BURN);
    if (battery && is_lithium(f->c))
        care |= JV_CARE_LITHIUM;
    if (under)
        care |= JV_CARE_SUPPORT | JV_CARE_CHOCKS | JV_CARE_UNCOMMANDED;
    if (v->setup == JV_SETUP_RUN)
        care |= JV_CARE_CHOCKS | JV_CARE_CLIP_ON | JV_CARE_HOT | JV_CARE_DUTY | JV_CARE_SUPPORT |
                JV_CARE_UNCOMMANDED;
    if (v->setup == JV_SETUP_ISOLATED)
        care |= JV_CARE_SOURCES | JV_CARE_CAPACITORS | JV_CARE_MINUS_FIRST | JV_CARE_BEFORE_OFF |
                JV_CARE_RINGS | JV_CARE_GAS | JV_CARE_UNCOMMANDED;
    if (v->n_off)
        care |= JV_CARE_UNPLUG;
    if (v->part != JV_FIND_NONE && f->c->parts[v->part].kind == &jv_kind_fuse)
        care |= JV_CARE_FUSE;
    if (v->part != JV_FIND_NONE && f->c->parts[v->part].kind == &jv_kind_breaker)
        care |= JV_CARE_BREAKER;
    if (v->kind == JV_CHECK_LOOK) /* moved by hand: nothing runs, the place is made dead */
        care |= JV_CARE_UNCOMMANDED | JV_CARE_RINGS;
    return care;
}

static double own_minutes(const jv_check *v) {
    bool two = v->place != v->far_place;
    double more = two ? long_lead_min : 0.0;
    switch (v->kind) {
    case JV_CHECK_LOOK:
        return look_min;
    case JV_CHECK_OHMS:
        return ohms_min + more;
    case JV_CHECK_AMPS:
        return v->place == JV_PLACE_BATTERY ? run_min : clamp_branch_min;
    case JV_CHECK_VOLTS:
        break;
    }
    return (v->setup == JV_SETUP_RUN ? run_min : rest_min) + more;
}

void jv_check_effort(const jv_finder *f, jv_find_check *c) {
    jv_check *v = &c->view;
    int32_t a = v->plus != JV_FIND_NONE ? (int32_t)v->plus : -1;
    int32_t b = v->minus != JV_FIND_NONE ? (int32_t)v->minus : -1;
    if (a < 0 && v->part != JV_FIND_NONE)
        a = b = part_terminal(f, v->part);
    v->place = a >= 0 ? f->place[a] : JV_PLACE_WAY;
    v->far_place = b >= 0 ? f->place[b] : v->place;
    v->place_part = a >= 0 ? f->place_part[a] : JV_FIND_NONE;
    if (v->place_part == JV_FIND_NONE && b >= 0)
        v->place_part = f->place_part[b];
    v->minutes = own_minutes(v);
    v->care = care_of(f, v);
}

/* Calls back for each thing that must be open, paid or not. */
static double opening(const jv_finder *f, const jv_check *v, bool *open) {
    double minutes = 0.0;
    jv_place_kind kinds[2] = {v->place, v->far_place};
    bool under = false;
    for (size_t k = 0; k < 2; k++) {
        if (kinds[k] == JV_PLACE_JACK) {
            under = true;
        } else if (!open[kinds[k]]) {
            minutes += open_min[kinds[k]];
            open[kinds[k]] = true;
        }
    }
    for (size_t k = 0; k < v->n_off; k++) {
        int32_t t = part_terminal(f, v->off[k]);
        if (f->c->parts[v->off[k]].kind->is_source)
            continue;
        minutes += unplug_min;
        under = under || (t >= 0 && f->place[t] == JV_PLACE_JACK);
    }
    if (under && !open[OPEN_UNDER]) {
        minutes += under_min;
        open[OPEN_UNDER] = true;
    }
    if (v->place_part != JV_FIND_NONE && !open[OPEN_PARTS + v->place_part]) {
        minutes += open_min[JV_PLACE_JACK];
        open[OPEN_PARTS + v->place_part] = true;
    }
    if (v->setup == JV_SETUP_ISOLATED && !open[OPEN_ISOLATED]) {
        minutes += isolate_min;
        open[OPEN_ISOLATED] = true;
    }
    return minutes;
}

double jv_check_minutes_after(const jv_finder *f, size_t check, size_t first) {
    const jv_check *v = &f->checks[check].view;
    const jv_check *w = first != JV_FIND_NONE ? &f->checks[first].view : v;
    /* What the two open is put back after it has been counted. */
    bool was[OPEN_PARTS], *open = f->open_place;
    bool no = false, *one = v->place_part != JV_FIND_NONE ? &open[OPEN_PARTS + v->place_part] : &no;
    bool *two = w->place_part != JV_FIND_NONE ? &open[OPEN_PARTS + w->place_part] : &no;
    bool had_one = *one, had_two = *two;
    memcpy(was, open, sizeof was);
    if (first != JV_FIND_NONE)
        opening(f, w, open);
    double minutes = v->minutes + opening(f, v, open);
    memcpy(open, was, sizeof was);
    *two = had_two;
    *one = had_one;
    return minutes;
}

double jv_check_minutes(const jv_finder *f, size_t check) {
    return jv_check_minutes_after(f, check, JV_FIND_NONE);
}

void jv_check_open_place(jv_finder *f, size_t check) {
    const jv_check *v = &f->checks[check].view;
    opening(f, v, f->open_place);
    /* Power is on again after a live reading. */
    if (v->setup != JV_SETUP_ISOLATED)
        f->open_place[OPEN_ISOLATED] = false;
}
