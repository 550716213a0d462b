/* cause.c - where the volts went in the moment of a trip. SPDX-License-Identifier: MIT */
#include "study/sequence/play.h"

#include "study/way.h"

#include <math.h>
#include <string.h>

/* The running motor with the lowest volts. */
static uint32_t lowest_motor(const jv_play *p) {
    uint32_t best = UINT32_MAX;
    double lowest = INFINITY;
    for (size_t k = 0; k < p->n_runners; k++) {
        const jv_element *e = &p->net->elements[p->runners[k].element];
        double v = fabs(p->motion->now[e->a] - p->motion->now[e->b]);
        if (!p->runners[k].on || v >= lowest)
            continue;
        lowest = v;
        best = p->runners[k].element;
    }
    return best;
}

static void add_way(jv_play *p, const jv_way_found *way, jv_sequence_cause *out) {
    for (size_t k = 0; k < way->n; k++) {
        const jv_way_step *s = &way->steps[k];
        uint32_t part = p->net->elements[s->element].part;
        if (s->side == JV_SIDE_SOURCE)
            out->source_v += s->drop_v;
        if (s->side == JV_SIDE_PLUS || s->side == JV_SIDE_BETWEEN)
            out->plus_v += s->drop_v;
        if (s->side == JV_SIDE_RETURN)
            out->return_v += s->drop_v;
        if (s->side == JV_SIDE_SOURCE)
            out->current_a = s->current_a;
        if (s->drop_v <= out->widest_v)
            continue;
        out->widest_v = s->drop_v;
        out->widest = part;
    }
}

void jv_cause_find(jv_play *p, const jv_monitor *m, jv_sequence_cause *out) {
    memset(out, 0, sizeof *out);
    out->step = p->step;
    out->widest = p->c->n_parts;
    out->seen_v = jv_monitor_value(p, m, p->motion->now);
    out->open_v = NAN;
    uint32_t load = lowest_motor(p);
    if (load == UINT32_MAX || p->tweak)
        return;
    jv_system *s = p->motion->system;
    memcpy(s->x, p->motion->now, p->motion->n_y * sizeof *s->x);
    jv_system_evaluate(s);
    jv_point point = {0};
    point.v = s->x;
    point.i = s->i_now;
    point.r = s->r_now;
    jv_way_found way;
    p->status = jv_way_find(p->net, &point, load, &way);
    if (p->status != JV_OK || !way.n)
        return;
    out->open_v = way.source_v;
    add_way(p, &way, out);
    jv_way_free(&way);
}
