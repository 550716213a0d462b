/* way.c - the way from one probe to the other. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include <math.h>
#include <string.h>

/* Steps through conductors are short, through anything else (a battery, a motor) long, so that the
 * drawing keeps to the wires where it can. */
enum { SHORT_STEP = 1, LONG_STEP = 50, FAR_AWAY = 1 << 28, PART_TERMINALS = 64 };

typedef struct jv_search {
    const jv_walk *w;
    int *distance;
    int32_t *from, *part;
    bool moved;
} jv_search;

static void try_step(jv_search *s, int32_t a, int32_t b, size_t part, int cost) {
    if (a < 0 || b < 0 || s->distance[a] + cost >= s->distance[b])
        return;
    s->distance[b] = s->distance[a] + cost;
    s->from[b] = a;
    s->part[b] = (int32_t)part;
    s->moved = true;
}

static void both_ways(jv_search *s, int32_t a, int32_t b, size_t part, int cost) {
    try_step(s, a, b, part, cost);
    try_step(s, b, a, part, cost);
}

static void relax_part(jv_search *s, size_t part) {
    const jv_circuit *c = s->w->c;
    const jv_part *p = &c->parts[part];
    int32_t list[PART_TERMINALS];
    size_t n = 0;
    int cost = p->kind->is_series ? SHORT_STEP : LONG_STEP;
    for (uint32_t i = 0; i < p->n_slots; i++) {
        const jv_slot *slot = &c->slots[p->first_slot + i];
        jv_key_type type = p->kind->keys[slot->key].type;
        if (type == JV_KEY_PINS || type == JV_KEY_OUTPUTS)
            both_ways(s, slot->index, slot->second, part, SHORT_STEP);
        if ((type == JV_KEY_TERMINAL || type == JV_KEY_POINTS || type == JV_KEY_OUTPUTS) &&
            n < PART_TERMINALS)
            list[n++] = slot->index;
    }
    for (size_t i = 0; i < n; i++)
        for (size_t k = i + 1; k < n; k++)
            both_ways(s, list[i], list[k], part, cost);
}

static void search(jv_search *s, size_t from) {
    const jv_circuit *c = s->w->c;
    for (size_t t = 0; t < c->n_terminals; t++) {
        s->distance[t] = FAR_AWAY;
        s->from[t] = s->part[t] = -1;
    }
    s->distance[from] = 0;
    for (size_t round = 0; round < c->n_terminals; round++) {
        s->moved = false;
        for (size_t i = 0; i < c->n_parts; i++)
            relax_part(s, i);
        if (!s->moved)
            break;
    }
}

static size_t trace(const jv_search *s, size_t from, size_t to, jv_hop *way, size_t most) {
    size_t n = 0;
    for (int32_t t = (int32_t)to; t >= 0 && (size_t)t != from; t = s->from[t])
        n++;
    if (n > most || s->distance[to] >= FAR_AWAY)
        return 0;
    int32_t t = (int32_t)to;
    for (size_t k = n; k-- > 0; t = s->from[t])
        way[k] =
            (jv_hop){jv_walk_terminal(s->w, (size_t)s->from[t]),
                     jv_walk_part(s->w, (size_t)s->part[t]), jv_walk_terminal(s->w, (size_t)t)};
    return n;
}

size_t jv_walk_find_way(const jv_walk *w, size_t from, size_t to, jv_hop *way, size_t most) {
    size_t n = w->c->n_terminals, hops = 0;
    if (from >= n || to >= n || from == to)
        return 0;
    jv_search s = {w, jv_alloc(n, sizeof(int)), jv_alloc(n, sizeof(int32_t)),
                   jv_alloc(n, sizeof(int32_t)), false};
    if (s.distance && s.from && s.part) {
        search(&s, from);
        hops = trace(&s, from, to, way, most);
    }
    jv_free(s.distance);
    jv_free(s.from);
    jv_free(s.part);
    return hops;
}
