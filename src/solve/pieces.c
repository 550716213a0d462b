/* pieces.c - which piece of its law each element is on. SPDX-License-Identifier: MIT */
#include "solve/laws.h"

/* What an answer may miss a border between two pieces by and still fit both, so that rounding
 * alone never turns an element to and fro: a share of the largest volts and amps. */
static const double border = 1e-11;

jv_give jv_piece_give(jv_largest largest) {
    return (jv_give){border * largest.v, border * largest.a};
}

jv_largest jv_system_largest(const jv_system *s) {
    const size_t nodes = s->net->n_nodes;
    return (jv_largest){jv_greatest(s->x, nodes), jv_greatest(s->x + nodes, (size_t)s->n - nodes)};
}

static int8_t sink_mode(const jv_system *s, int8_t mode, const jv_lean *l, const jv_give *give) {
    double v = s->x[l->a] - s->x[l->b], most = l->limit / l->siemens, least = -l->back / l->siemens;
    /* From one limit to the other only by way of the middle: without that the pieces circle. */
    if (mode == JV_MODE_LIMIT)
        return v < most - give->v ? JV_MODE_LINEAR : JV_MODE_LIMIT;
    if (mode == JV_MODE_BACK)
        return v > least + give->v ? JV_MODE_LINEAR : JV_MODE_BACK;
    if (v > most + give->v)
        return JV_MODE_LIMIT;
    return v < least - give->v ? JV_MODE_BACK : JV_MODE_LINEAR;
}

static int8_t source_mode(const jv_system *s, size_t k, const jv_give *give) {
    const jv_element *e = &s->net->elements[k];
    double j = -s->x[s->current[k]], v = s->x[e->a] - s->x[e->b];
    switch (s->mode[k]) {
    case JV_MODE_BACK:
        return v < e->e - give->v ? JV_MODE_LINEAR : JV_MODE_BACK;
    case JV_MODE_LIMIT:
        return v > e->e - e->r * e->limit + give->v ? JV_MODE_LINEAR : JV_MODE_LIMIT;
    default:
        break;
    }
    if (j < -give->a)
        return JV_MODE_BACK;
    return j > e->limit + give->a ? JV_MODE_LIMIT : JV_MODE_LINEAR;
}

static int8_t regulator_mode(const jv_system *s, size_t k, const jv_give *give) {
    const jv_element *e = &s->net->elements[k];
    double j = s->x[s->current[k]], out = s->x[e->c] - s->x[e->b];
    double room = s->x[e->a] - s->x[e->b] - e->drop;
    double hair = s->mode[k] == JV_MODE_STARVED ? give->v : -give->v;
    int8_t holds = room < e->e + hair ? JV_MODE_STARVED : JV_MODE_LINEAR;
    double target = jv_regulator_target(e, s->x[e->a] - s->x[e->b]);
    switch (s->mode[k]) {
    case JV_MODE_BACK:
        return out < target - give->v ? holds : JV_MODE_BACK;
    case JV_MODE_LIMIT:
        return out > target - e->r * j + give->v ? holds : JV_MODE_LIMIT;
    default:
        break;
    }
    if (j < -give->a)
        return JV_MODE_BACK;
    return j > e->limit + give->a ? JV_MODE_LIMIT : holds;
}

bool jv_piece_change(jv_system *s, size_t k, const jv_lean *l, const jv_give *give) {
    int8_t mode;
    if (l->law == JV_POWER || l->open)
        return false;
    if (l->law == JV_SINK)
        mode = sink_mode(s, s->mode[k], l, give);
    else
        mode = l->law == JV_SOURCE ? source_mode(s, k, give) : regulator_mode(s, k, give);
    if (mode == s->mode[k])
        return false;
    s->mode[k] = mode;
    return true;
}

size_t jv_system_modes(jv_system *s, size_t most) {
    size_t changed = 0;
    const jv_give give = jv_piece_give(jv_system_largest(s));
    for (size_t m = 0; m < s->n_pieces && changed < most; m++) {
        jv_lean lean = {.heat = 0};
        jv_lean_heat heat = {NAN, 0.0, NULL};
        jv_lean_take(&s->net->elements[s->pieces[m]], &lean, &heat);
        changed += jv_piece_change(s, s->pieces[m], &lean, &give);
    }
    return changed;
}
