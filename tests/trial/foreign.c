/* foreign.c - faults that are in no list. SPDX-License-Identifier: MIT */
#include "loop.h"

#include "circuit/kinds.h"
#include "circuit/parts/controller.h"

#include <math.h>
#include <string.h>

static const char *const names[LOOP_FOREIGN] = {
    "hidden in the controller, all outputs",
    "unlisted load",
    "joint bad half of the time",
    "meter reads 6 to 12 % low, and a joint",
    "two faults on an unlisted pair",
    "wire not where the file says, and a joint",
    "wrong lengths in the file",
    "everything stiff: all motors drag",
    "two cables of half the section",
    "a battery of 0.3 V less, and a joint",
    "two joints of one jack",
    "every joint old: five times its ohms, and one bad",
};

bool loop_foreign_tuned(int kind) {
    return kind < 5 || kind == 6;
}

const char *loop_foreign_name(int kind) {
    return names[kind];
}

static double between(truth *t, double low, double high) {
    return low * pow(high / low, truth_uniform(&t->random));
}

static void put(truth *t, size_t part, jv_way way, double value, const char *pin, int32_t to) {
    enum { MOST = 8 };
    if (t->n_faults == MOST)
        return;
    jv_fault *x = &t->fault[t->n_faults++];
    memset(x, 0, sizeof *x);
    x->part = (uint32_t)part;
    x->way = (uint8_t)way;
    x->value = value;
    x->pin = pin;
    x->to = to;
}

/* A random part of one kind; JV_FIND_NONE when there is none. */
static size_t any(truth *t, const jv_part_kind *kind) {
    size_t n = 0, pick = JV_FIND_NONE;
    for (size_t i = 0; i < t->c->n_parts; i++)
        if (t->c->parts[i].kind == kind && truth_uniform(&t->random) * (double)++n < 1.0)
            pick = i;
    return pick;
}

static bool bad_joint(truth *t) {
    size_t part = any(t, &jv_kind_contact);
    if (part == JV_FIND_NONE)
        part = any(t, &jv_kind_cable);
    if (part == JV_FIND_NONE)
        return false;
    put(t, part, JV_WAY_ADDED, between(t, 0.02, 0.2), NULL, -1);
    return true;
}

static bool in_controller(truth *t) {
    size_t part = any(t, &jv_kind_controller), n = 0;
    if (part == JV_FIND_NONE)
        return false;
    const jv_slot *out = jv_controller_outputs(t->c, &t->c->parts[part], &n);
    double ohm = between(t, 0.03, 0.3);
    for (size_t k = 0; k < n; k++)
        put(t, part, JV_WAY_ADDED, ohm, out[k].text, -1);
    return n > 1;
}

static bool unlisted_load(truth *t) {
    size_t battery = any(t, &jv_kind_battery), controller = any(t, &jv_kind_controller);
    if (battery == JV_FIND_NONE || controller == JV_FIND_NONE)
        return false;
    put(t, controller, JV_WAY_LEAK, between(t, 60.0, 150.0), NULL, -1);
    return true;
}

static bool unlisted_pair(truth *t) {
    size_t a = any(t, &jv_kind_cable), b = any(t, &jv_kind_connector);
    if (b == JV_FIND_NONE)
        b = any(t, &jv_kind_cable);
    if (a == JV_FIND_NONE || a == b)
        return false;
    put(t, a, JV_WAY_ADDED, between(t, 0.03, 0.3), NULL, -1);
    put(t, b, JV_WAY_ADDED, between(t, 0.03, 0.3), NULL, -1);
    return true;
}

/* One cable of the vehicle ends at the battery's minus instead. */
static bool moved_wire(truth *t) {
    size_t battery = any(t, &jv_kind_battery), cable = JV_FIND_NONE;
    if (battery == JV_FIND_NONE)
        return false;
    int32_t minus = jv_part_terminal(t->c, &t->c->parts[battery], 1);
    for (size_t i = 0; i < t->c->n_parts && cable == JV_FIND_NONE; i++) {
        const char *name = t->c->parts[i].name;
        if (t->c->parts[i].kind == &jv_kind_cable && strstr(name, "return") &&
            truth_uniform(&t->random) < 0.5)
            cable = i;
    }
    if (cable == JV_FIND_NONE)
        return false;
    for (uint32_t k = 0; k < t->c->parts[cable].n_slots; k++) {
        jv_slot *s = &t->c->slots[t->c->parts[cable].first_slot + k];
        if (s->key == 1)
            s->index = minus;
    }
    return bad_joint(t);
}

static bool wrong_lengths(truth *t) {
    bool any_length = false;
    for (size_t i = 0; i < t->c->n_parts; i++)
        for (uint32_t k = 0; t->c->parts[i].kind == &jv_kind_cable && k < t->c->parts[i].n_slots;
             k++) {
            jv_slot *s = &t->c->slots[t->c->parts[i].first_slot + k];
            if (t->c->parts[i].kind->keys[s->key].dim != JV_DIM_LENGTH)
                continue;
            s->value.nominal *= 2.2;
            any_length = true;
        }
    return any_length && bad_joint(t);
}

static bool all_stiff(truth *t) {
    double factor = between(t, 1.5, 2.2);
    for (size_t i = 0; i < t->c->n_parts; i++)
        if (t->c->parts[i].kind->is_motor)
            put(t, i, JV_WAY_DRAG, factor, NULL, -1);
    return t->n_faults > 1;
}

/* Ohms of two cables twice what the file says. */
static bool thin_cables(truth *t) {
    size_t done = 0;
    for (size_t i = 0; i < t->c->n_parts && done < 2; i++) {
        if (t->c->parts[i].kind != &jv_kind_cable || truth_uniform(&t->random) < 0.5)
            continue;
        put(t, i, JV_WAY_ADDED, between(t, 0.01, 0.05), NULL, -1);
        done++;
    }
    return done == 2;
}

static bool other_battery(truth *t) {
    static const double less_v = 0.3;
    size_t battery = any(t, &jv_kind_battery);
    for (uint32_t k = 0; battery != JV_FIND_NONE && k < t->c->parts[battery].n_slots; k++) {
        jv_slot *s = &t->c->slots[t->c->parts[battery].first_slot + k];
        if (strcmp(t->c->parts[battery].kind->keys[s->key].name, "open_circuit") == 0)
            s->value.nominal -= less_v;
    }
    return battery != JV_FIND_NONE && bad_joint(t);
}

/* Two parts that carry one jack's current alone: their names begin with the jack's. */
static bool two_of_one_jack(truth *t) {
    size_t jack = any(t, &jv_kind_jack), done = 0;
    if (jack == JV_FIND_NONE)
        return false;
    const char *name = t->c->parts[jack].name;
    size_t n = strlen(name) > 5 ? strlen(name) - 5 : 0; /* " jack" */
    for (size_t i = 0; n && i < t->c->n_parts && done < 2; i++) {
        const jv_part *p = &t->c->parts[i];
        bool series = p->kind == &jv_kind_cable || p->kind == &jv_kind_contact;
        if (series && strncmp(p->name, name, n) == 0) {
            put(t, i, JV_WAY_ADDED, between(t, 0.05, 0.3), NULL, -1);
            done++;
        }
    }
    return done == 2;
}

static bool old_joints(truth *t) {
    static const double factor = 5.0;
    for (size_t i = 0; i < t->c->n_parts; i++)
        for (uint32_t k = 0; t->c->parts[i].kind == &jv_kind_contact && k < t->c->parts[i].n_slots;
             k++) {
            jv_slot *s = &t->c->slots[t->c->parts[i].first_slot + k];
            if (t->c->parts[i].kind->keys[s->key].dim == JV_DIM_RESISTANCE)
                s->value.nominal *= factor;
        }
    return bad_joint(t);
}

bool loop_foreign(truth *t, const jv_finder *f, int kind) {
    (void)f;
    t->n_faults = 0;
    t->foreign = true;
    switch (kind) {
    case 0:
        return in_controller(t);
    case 1:
        return unlisted_load(t);
    case 2:
        t->present = 0.5;
        return bad_joint(t);
    case 3:
        t->scale_v = 0.88 + 0.06 * truth_uniform(&t->random);
        return bad_joint(t);
    case 4:
        return unlisted_pair(t);
    case 5:
        return moved_wire(t);
    case 6:
        return wrong_lengths(t);
    case 7:
        return all_stiff(t);
    case 8:
        return thin_cables(t);
    case 9:
        return other_battery(t);
    case 10:
        return two_of_one_jack(t);
    default:
        return old_joints(t);
    }
}
