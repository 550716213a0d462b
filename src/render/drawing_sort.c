/* drawing_sort.c - sides of the nodes, and what belongs to the sensors.
 * SPDX-License-Identifier: MIT */
#include "circuit/part_kind.h"
#include "render/drawing.h"

#include <string.h>

static bool reached(const jv_drawing *d, int32_t node) {
    return d->nodes[node].side != JV_DRAW_NONE;
}

static void reach(jv_drawing *d, int32_t node, jv_draw_side side, int32_t parent) {
    jv_draw_node *n = &d->nodes[node];
    n->side = side;
    n->parent = parent;
    n->place = (uint32_t)d->n_order;
    d->order[d->n_order++] = node;
}

static void turn(jv_piece *p, int32_t from) {
    p->to = p->from = from;
    p->to = p->a == from ? p->b : p->a;
}

/* Breadth first over the series pieces from all nodes reached so far; `done` tells how far an
 * earlier search came. */
static void search(jv_drawing *d, size_t *done) {
    for (; *done < d->n_order; (*done)++) {
        int32_t u = d->order[*done];
        for (size_t i = 0; i < d->n_pieces; i++) {
            jv_piece *p = &d->pieces[i];
            bool channel = p->symbol == JV_SYMBOL_CHANNEL;
            if (p->across || p->from >= 0 || (p->a != u && (p->b != u || channel)))
                continue;
            int32_t v = p->a == u ? p->b : p->a;
            turn(p, u);
            if (!reached(d, v))
                reach(d, v, d->nodes[u].side, (int32_t)i);
            else
                p->chord = d->nodes[u].side == d->nodes[v].side;
        }
    }
}

/* Sources in series and loads in series: a piece between a reached node and one that nothing
 * else reaches is drawn on the line. */
static bool bridge_on(jv_drawing *d) {
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        if (!p->across || reached(d, p->a) == reached(d, p->b))
            continue;
        int32_t from = reached(d, p->a) ? p->a : p->b;
        p->across = false;
        turn(p, from);
        reach(d, p->to, d->nodes[from].side, (int32_t)i);
        return true;
    }
    return false;
}

static void reach_signals(jv_drawing *d) {
    const jv_circuit *c = d->circuit;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        for (uint32_t k = 0; k < p->n_slots; k++) {
            const jv_slot *s = &c->slots[p->first_slot + k];
            if (!strcmp(p->kind->keys[s->key].name, "inputs") && s->index >= 0 &&
                !reached(d, s->index))
                reach(d, s->index, JV_DRAW_SIGNAL, -1);
        }
    }
}

/* After the search: pieces between two sides hang across, pieces within one side are loops. */
static void settle(jv_drawing *d) {
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        jv_draw_side a = d->nodes[p->a].side, b = d->nodes[p->b].side;
        if (a == JV_DRAW_NONE || b == JV_DRAW_NONE)
            continue;
        if (p->across && a == b) {
            p->across = false;
            p->chord = true;
            turn(p, d->nodes[p->a].place <= d->nodes[p->b].place ? p->a : p->b);
        } else if (!p->across && a != b) {
            p->across = true;
            p->from = p->to = -1;
        }
        if (p->across && a > b) {
            int32_t swap = p->a;
            p->a = p->b;
            p->b = swap;
        }
    }
}

static bool is_regulator(const jv_piece *p) {
    return p->symbol == JV_SYMBOL_BOX && !p->across;
}

/* What a regulator feeds is drawn with the sensors. */
static void find_beyond(jv_drawing *d) {
    for (size_t k = 0; k < d->n_order; k++) {
        jv_draw_node *n = &d->nodes[d->order[k]];
        if (n->parent < 0)
            continue;
        const jv_piece *p = &d->pieces[n->parent];
        n->beyond = is_regulator(p) || d->nodes[p->from].beyond;
    }
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        p->sensor = p->symbol == JV_SYMBOL_SENSOR || is_regulator(p) || d->nodes[p->a].beyond;
    }
}

static void count(jv_drawing *d, int32_t node, bool sensor) {
    if (node < 0)
        return;
    if (sensor)
        d->nodes[node].sensors = true;
    else
        d->nodes[node].others = true;
}

/* A return that serves sensors and nothing else is drawn with them, and so is every signal. */
static void find_sensors(jv_drawing *d) {
    find_beyond(d);
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        if ((int32_t)i == d->source || (!p->across && !p->chord))
            continue;
        count(d, p->a, p->sensor);
        count(d, p->b, p->sensor);
        count(d, p->signal, true);
    }
    for (size_t k = d->n_order; k-- > 0;) {
        const jv_draw_node *n = &d->nodes[d->order[k]];
        if (n->parent < 0)
            continue;
        jv_piece *p = &d->pieces[n->parent];
        jv_draw_node *up = &d->nodes[p->from];
        p->sensor =
            p->sensor || n->side == JV_DRAW_SIGNAL || n->beyond || (n->sensors && !n->others);
        /* The way past a regulator is drawn apart, so that its own need does not count. */
        if (is_regulator(p))
            continue;
        up->sensors = up->sensors || n->sensors;
        up->others = up->others || n->others;
    }
}

jv_status jv_drawing_sort(jv_drawing *d, size_t main_source, jv_arena *arena) {
    d->order = jv_arena_alloc(arena, d->n_nodes + 1, sizeof *d->order);
    if (!d->order)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < d->n_nodes; i++)
        d->nodes[i].parent = -1;
    for (size_t i = 0; i < d->n_pieces; i++) {
        d->pieces[i].from = d->pieces[i].to = -1;
        if (d->pieces[i].part == main_source && d->pieces[i].across && d->source < 0)
            d->source = (int32_t)i;
    }
    if (d->source < 0)
        return JV_OK;
    size_t done = 0;
    reach(d, d->pieces[d->source].a, JV_DRAW_PLUS, -1);
    reach(d, d->pieces[d->source].b, JV_DRAW_RETURN, -1);
    do
        search(d, &done);
    while (bridge_on(d));
    reach_signals(d);
    search(d, &done);
    for (size_t i = 0; i < d->n_pieces; i++)
        if (d->pieces[i].signal >= 0 && !reached(d, d->pieces[i].signal))
            reach(d, d->pieces[i].signal, JV_DRAW_SIGNAL, -1);
    search(d, &done);
    settle(d);
    find_sensors(d);
    return JV_OK;
}
