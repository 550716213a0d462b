/* drivers.c - which controller output feeds which motor. SPDX-License-Identifier: MIT */
#include "circuit/drivers.h"

#include "circuit/kinds.h"
#include "circuit/parts/controller.h"

#include <string.h>

/* Neighbour lists of the terminals, over conductors only (compressed rows). */
typedef struct jv_neighbours {
    uint32_t *start;
    int32_t *node;
    int32_t *queue;
    int32_t *seen; /* number of the last search that was here; 0 = none */
} jv_neighbours;

static bool is_conductor(const jv_net *net, const jv_element *e) {
    return e->law == JV_SERIES && net->circuit->parts[e->part].kind->is_series;
}

static void neighbours_free(jv_neighbours *g) {
    jv_free(g->start);
    jv_free(g->node);
    jv_free(g->queue);
    jv_free(g->seen);
}

static jv_status neighbours_make(const jv_net *net, jv_neighbours *g) {
    memset(g, 0, sizeof *g);
    g->start = jv_zalloc(net->n_nodes + 2, sizeof *g->start);
    g->node = jv_alloc(2 * net->n_elements + 1, sizeof *g->node);
    g->queue = jv_alloc(net->n_nodes + 1, sizeof *g->queue);
    g->seen = jv_zalloc(net->n_nodes + 1, sizeof *g->seen);
    if (!g->start || !g->node || !g->queue || !g->seen) {
        neighbours_free(g);
        return JV_ERR_MEMORY;
    }
    for (size_t i = 0; i < net->n_elements; i++) {
        if (!is_conductor(net, &net->elements[i]))
            continue;
        g->start[net->elements[i].a + 2]++;
        g->start[net->elements[i].b + 2]++;
    }
    for (size_t i = 2; i < net->n_nodes + 2; i++)
        g->start[i] += g->start[i - 1];
    for (size_t i = 0; i < net->n_elements; i++) {
        const jv_element *e = &net->elements[i];
        if (!is_conductor(net, e))
            continue;
        g->node[g->start[e->a + 1]++] = e->b;
        g->node[g->start[e->b + 1]++] = e->a;
    }
    return JV_OK;
}

/* Everything that conductors reach from one terminal gets the mark. */
static void spread(jv_neighbours *g, int32_t from, int32_t mark) {
    size_t head = 0, tail = 0;
    if (from < 0 || g->seen[from])
        return;
    g->seen[from] = mark;
    g->queue[tail++] = from;
    while (head < tail) {
        int32_t at = g->queue[head++];
        for (uint32_t k = g->start[at]; k < g->start[at + 1]; k++) {
            int32_t to = g->node[k];
            if (g->seen[to])
                continue;
            g->seen[to] = mark;
            g->queue[tail++] = to;
        }
    }
}

typedef struct jv_output_at {
    int32_t controller;
    int16_t output;
} jv_output_at;

jv_status jv_drivers_find(jv_circuit *c, const jv_net *net) {
    size_t n_outputs = 0, n;
    for (size_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].kind == &jv_kind_controller) {
            jv_controller_outputs(c, &c->parts[i], &n);
            n_outputs += n;
        }
    if (!n_outputs)
        return JV_OK;
    jv_neighbours g;
    jv_output_at *marks = jv_alloc(n_outputs, sizeof *marks);
    if (!marks)
        return JV_ERR_MEMORY;
    if (neighbours_make(net, &g) != JV_OK) {
        jv_free(marks);
        return JV_ERR_MEMORY;
    }
    int32_t mark = 0;
    for (size_t i = 0; i < c->n_parts; i++) {
        if (c->parts[i].kind != &jv_kind_controller)
            continue;
        const jv_slot *outputs = jv_controller_outputs(c, &c->parts[i], &n);
        for (size_t k = 0; k < n; k++) {
            marks[mark].controller = (int32_t)i;
            marks[mark].output = (int16_t)k;
            spread(&g, outputs[k].index, ++mark);
        }
    }
    for (size_t i = 0; i < c->n_parts; i++) {
        if (!c->parts[i].kind->is_motor)
            continue;
        int32_t plus = jv_part_terminal(c, &c->parts[i], 0);
        if (plus < 0 || !g.seen[plus])
            continue;
        c->parts[i].driver = marks[g.seen[plus] - 1].controller;
        c->parts[i].driver_output = marks[g.seen[plus] - 1].output;
    }
    neighbours_free(&g);
    jv_free(marks);
    return JV_OK;
}
