/* way.c - the way of the current to a load and back. SPDX-License-Identifier: MIT */
#include "study/way.h"

#include <math.h>
#include <string.h>

static const jv_part_kind *kind_of(const jv_net *net, const jv_element *e) {
    return net->circuit->parts[e->part].kind;
}

static double volts(const jv_point *p, const jv_element *e) {
    return p->v[e->a] - p->v[e->b];
}

uint32_t jv_way_load(const jv_net *net, const jv_point *point, bool *motor) {
    uint32_t best = UINT32_MAX, most = UINT32_MAX;
    double lowest = INFINITY, power = 0.0;
    for (uint32_t k = 0; k < net->n_elements; k++) {
        const jv_element *e = &net->elements[k];
        if (e->open || (e->law != JV_SINK && e->law != JV_POWER))
            continue;
        double v = fabs(volts(point, e)), watts = v * fabs(point->i[k]);
        if (kind_of(net, e)->is_motor && v < lowest) {
            lowest = v;
            best = k;
        }
        if (watts > power) {
            power = watts;
            most = k;
        }
    }
    *motor = best != UINT32_MAX;
    return *motor ? best : most;
}

/* Elements by node, compressed rows; conductors and sources only. */
typedef struct jv_incidence {
    uint32_t *start;
    uint32_t *element;
    uint8_t *seen; /* of each element */
} jv_incidence;

static bool carries(const jv_element *e) {
    return e->law == JV_SERIES || e->law == JV_SOURCE;
}

static void incidence_free(jv_incidence *g) {
    jv_free(g->start);
    jv_free(g->element);
    jv_free(g->seen);
}

static jv_status incidence_make(const jv_net *net, jv_incidence *g) {
    g->start = jv_zalloc(net->n_nodes + 2, sizeof *g->start);
    g->element = jv_alloc(2 * net->n_elements + 1, sizeof *g->element);
    g->seen = jv_zalloc(net->n_elements + 1, sizeof *g->seen);
    if (!g->start || !g->element || !g->seen)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < net->n_elements; k++) {
        if (!carries(&net->elements[k]))
            continue;
        g->start[net->elements[k].a + 2]++;
        g->start[net->elements[k].b + 2]++;
    }
    for (size_t i = 2; i < net->n_nodes + 2; i++)
        g->start[i] += g->start[i - 1];
    for (uint32_t k = 0; k < net->n_elements; k++) {
        const jv_element *e = &net->elements[k];
        if (!carries(e))
            continue;
        g->element[g->start[e->a + 1]++] = k;
        g->element[g->start[e->b + 1]++] = k;
    }
    return JV_OK;
}

/* The unseen element with the most current into a node (sense 1) or out of it (-1). */
static uint32_t largest_at(const jv_net *net, const jv_point *p, const jv_incidence *g,
                           int32_t node, double sense, double *most) {
    uint32_t best = UINT32_MAX;
    *most = 0.0;
    for (uint32_t m = g->start[node]; m < g->start[node + 1]; m++) {
        uint32_t k = g->element[m];
        if (g->seen[k])
            continue;
        double current = sense * (net->elements[k].b == node ? p->i[k] : -p->i[k]);
        if (current > *most) {
            *most = current;
            best = k;
        }
    }
    return best;
}

static double lost_in(const jv_net *net, const jv_point *p, uint32_t k, double current) {
    const jv_element *e = &net->elements[k];
    if (e->law == JV_SERIES)
        return p->r[k] * current;
    /* A source: from its set volts to its terminals, whatever limits it. */
    return e->e - volts(p, e);
}

/* One step on from a node, against the current (sense 1) or with it (-1); false = no more. */
static bool step_on(const jv_net *net, const jv_point *p, jv_incidence *g, double sense,
                    int32_t *node, jv_way_step *out) {
    double current;
    uint32_t k = largest_at(net, p, g, *node, sense, &current);
    if (k == UINT32_MAX)
        return false;
    g->seen[k] = 1;
    int32_t other = net->elements[k].b == *node ? net->elements[k].a : net->elements[k].b;
    jv_way_step step = {k,
                        sense > 0.0 ? other : *node,
                        sense > 0.0 ? *node : other,
                        lost_in(net, p, k, current),
                        current,
                        JV_SIDE_NONE};
    *out = step;
    *node = other;
    return true;
}

/* Against the current from the load's plus side to a source and past it; and with the
 * current from the load's minus side until the two meet behind that source. Walking one way
 * only would go astray where several loads share the return. met: as many as nodes, zeroed.
 * Steps come out last first, the load's return at the end; 0 = the two do not meet. */
static size_t walk(const jv_net *net, const jv_point *p, jv_incidence *g, uint32_t load,
                   jv_way_step *steps, uint32_t *met) {
    const jv_element *e = &net->elements[load];
    bool turned = p->i[load] < 0.0, past_source = false;
    int32_t node = turned ? e->b : e->a;
    size_t back = 0, n;
    while (step_on(net, p, g, 1.0, &node, &steps[back])) {
        past_source = past_source || kind_of(net, &net->elements[steps[back].element])->is_source;
        back++;
        if (past_source && !met[node])
            met[node] = (uint32_t)back;
    }
    node = turned ? e->a : e->b;
    jv_way_step *forth = steps + back;
    size_t m = 0;
    while (!met[node])
        if (!step_on(net, p, g, -1.0, &node, &forth[m++]))
            return 0;
    n = met[node];
    for (size_t k = 0; k < m / 2; k++) {
        jv_way_step swap = forth[k];
        forth[k] = forth[m - 1 - k];
        forth[m - 1 - k] = swap;
    }
    memmove(steps + n, forth, m * sizeof *steps);
    return n + m;
}

/* Order of the result: the walk reversed, starting behind the first source's minus. The
 * walk, reversed, runs: load minus .. return .. source minus, source, plus side, load. */
static void arrange(const jv_net *net, jv_way_step *steps, size_t n, jv_way_step *out) {
    size_t first = n, last = n; /* sources nearest to the load on plus and on minus side */
    for (size_t k = 0; k < n; k++) {
        if (!kind_of(net, &net->elements[steps[k].element])->is_source)
            continue;
        if (first == n)
            first = k;
        last = k;
    }
    for (size_t k = 0; k < n; k++) {
        bool source = kind_of(net, &net->elements[steps[k].element])->is_source;
        if (source)
            steps[k].side = JV_SIDE_SOURCE;
        else if (k < first)
            steps[k].side = JV_SIDE_PLUS;
        else if (k > last)
            steps[k].side = JV_SIDE_RETURN;
        else
            steps[k].side = JV_SIDE_BETWEEN;
    }
    /* steps[0] ends at the load; steps[last] is the source farthest back. */
    size_t head = last < n ? last : n - 1, m = 0;
    for (size_t k = head + 1; k-- > 0;)
        out[m++] = steps[k];
    for (size_t k = n; k-- > head + 1;)
        out[m++] = steps[k];
}

static void add_up(const jv_net *net, const jv_point *p, uint32_t load, jv_way_found *out) {
    out->load_v = fabs(volts(p, &net->elements[load]));
    out->lost_v = out->source_v = 0.0;
    for (size_t k = 0; k < out->n; k++) {
        out->lost_v += out->steps[k].drop_v;
        if (out->steps[k].side == JV_SIDE_SOURCE)
            out->source_v += net->elements[out->steps[k].element].e;
    }
}

jv_status jv_way_find(const jv_net *net, const jv_point *point, uint32_t load, jv_way_found *out) {
    memset(out, 0, sizeof *out);
    if (load == UINT32_MAX || point->i[load] == 0.0)
        return JV_OK;
    jv_incidence g = {0};
    jv_way_step *walked = jv_alloc(net->n_elements + 1, sizeof *walked);
    uint32_t *met = jv_zalloc(net->n_nodes + 1, sizeof *met);
    jv_status status = walked && met ? incidence_make(net, &g) : JV_ERR_MEMORY;
    if (status == JV_OK) {
        size_t n = walk(net, point, &g, load, walked, met);
        if (n) {
            out->steps = jv_alloc(n, sizeof *out->steps);
            if (!out->steps)
                status = JV_ERR_MEMORY;
            else
                arrange(net, walked, n, out->steps);
            out->n = out->steps ? n : 0;
        }
    }
    if (status == JV_OK && out->n)
        add_up(net, point, load, out);
    incidence_free(&g);
    jv_free(walked);
    jv_free(met);
    return status;
}

void jv_way_free(jv_way_found *way) {
    jv_free(way->steps);
    memset(way, 0, sizeof *way);
}
