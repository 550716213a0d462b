/* gates.c - faults as rank-one changes of the equations. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include <math.h>
#include <string.h>

/* A gate adds u s to the residual F, and its own equation R s = v x + c. With x the sound
 * operating point and A its Jacobian, several gates give
 *     (R + V A^-1 U) s = V x + c,   x' = x - A^-1 U s          (Woodbury)
 * so that one backward solve a column serves every severity. */

static void u_term(jv_gate *g, int32_t i, double u) {
    g->iu[g->nu] = i;
    g->u[g->nu++] = u;
}
static void v_term(jv_gate *g, int32_t i, double v) {
    g->iv[g->nv] = i;
    g->v[g->nv++] = v;
}

/* A current from a to b. */
static void u_branch(jv_gate *g, const jv_element *e) {
    u_term(g, e->a, 1.0);
    u_term(g, e->b, -1.0);
}
static void v_branch(jv_gate *g, const jv_element *e, double weight) {
    v_term(g, e->a, weight);
    v_term(g, e->b, -weight);
}

/* SERIES: v - r i - e. */
static bool series(const jv_find_setup *s, size_t k, jv_gate *g) {
    const jv_element *was = &s->sound[k], *now = &s->net->elements[k];
    int32_t j = s->system->current[k];
    if (was->open) {
        g->fixed = true;
        return now->open; /* what closes again is another net */
    }
    u_term(g, j, -1.0);
    if (now->open) { /* i = 0, whatever the volts */
        v_term(g, j, 1.0);
        return true;
    }
    double dr = now->r - was->r, de = now->e - was->e;
    if (dr == 0.0) {
        g->fixed = true;
        g->c = de;
        return true;
    }
    v_term(g, j, 1.0);
    g->r = 1.0 / dr;
    g->c = de / dr;
    return true;
}

/* SINK: i = v / r, or a limit. */
static bool sink(const jv_find_setup *s, size_t k, jv_gate *g) {
    const jv_element *was = &s->sound[k], *now = &s->net->elements[k];
    int8_t mode = s->mode[k];
    if (was->open) {
        g->fixed = true;
        return now->open;
    }
    double held = mode == JV_MODE_LIMIT ? was->limit : -was->back;
    double next = now->open ? 0.0 : (mode == JV_MODE_LIMIT ? now->limit : -now->back);
    u_branch(g, now);
    if (mode == JV_MODE_LINEAR) {
        double dg = (now->open ? 0.0 : 1.0 / now->r) - 1.0 / was->r;
        if (dg == 0.0) {
            g->fixed = true;
            g->c = 0.0;
            return true;
        }
        v_branch(g, now, 1.0);
        g->r = 1.0 / dg;
        return true;
    }
    if (isinf(next)) { /* held fast: v / r takes the place of the limit */
        v_branch(g, now, 1.0);
        g->r = now->r;
        g->c = -held * now->r;
        return true;
    }
    g->fixed = true;
    g->c = next - held;
    return true;
}

static bool changed(const jv_element *a, const jv_element *b) {
    return a->open != b->open || a->r != b->r || a->e != b->e || a->limit != b->limit ||
           a->back != b->back || a->drop != b->drop || a->quiescent != b->quiescent;
}

/* Opens its current law, whatever it was: a dead regulator or supply. */
static void dead_source(const jv_find_setup *s, size_t k, jv_gate *g) {
    u_term(g, s->system->current[k], 1.0);
    v_term(g, s->system->current[k], 1.0);
}

static bool of_element(const jv_find_setup *s, size_t k, jv_gate *g) {
    const jv_element *now = &s->net->elements[k];
    memset(g, 0, sizeof *g);
    g->element = (int32_t)k;
    switch ((jv_law)now->law) {
    case JV_SERIES:
        return series(s, k, g);
    case JV_SINK:
        return sink(s, k, g);
    case JV_SOURCE:
    case JV_REGULATOR:
        if (!now->open || now->quiescent != 0.0)
            return false;
        dead_source(s, k, g);
        return true;
    case JV_POWER:
        break;
    }
    return false;
}

/* A bridge of `ohm` from the place `at` along element k to a terminal:
 *   the far part carries i - s, so v - r i + r (1 - at) s = 0;
 *   the bridge: V(a) - r at i - V(to) = ohm s. */
static bool short_along(const jv_find_setup *s, size_t k, const jv_fault *f, jv_gate *g) {
    const jv_element *e = &s->net->elements[k];
    int32_t j = s->system->current[k];
    if (e->open || e->law != JV_SERIES || f->to < 0)
        return false;
    u_term(g, e->b, 1.0);
    u_term(g, f->to, -1.0);
    u_term(g, j, e->r * (1.0 - f->position));
    v_term(g, e->a, 1.0);
    v_term(g, j, -e->r * f->position);
    v_term(g, f->to, -1.0);
    g->r = f->value;
    return true;
}

/* A resistance across the part, or a steady current through it. */
static void across(const jv_find_setup *s, size_t k, const jv_fault *f, bool faded, jv_gate *g) {
    jv_element way = s->net->elements[k];
    if (f->way == JV_WAY_LEAK && f->to >= 0)
        way.b = f->to;
    u_branch(g, &way);
    v_branch(g, &way, 1.0);
    if (f->way == JV_WAY_LEAK) {
        g->leak_a = f->value;
        g->fixed = !faded;
        g->c = faded ? 0.0 : f->value;
        g->r = JV_LEAK_KNEE_V / f->value;
        return;
    }
    g->r = f->value;
}

bool jv_gates_of_part(const jv_find_setup *s, size_t part, jv_gate *gates, size_t *n,
                      int32_t *opened, size_t *n_opened) {
    size_t first = s->net->first[part], own = s->net->own[part];
    for (size_t k = first; k < first + own; k++) {
        const jv_element *now = &s->net->elements[k];
        if (!changed(&s->sound[k], now))
            continue;
        if (*n == JV_MAX_GATES || *n_opened == JV_MAX_GATES || !of_element(s, k, &gates[*n]))
            return false;
        if (now->law == JV_SINK && now->open && !s->sound[k].open)
            opened[(*n_opened)++] = (int32_t)k;
        if (!gates[*n].fixed || gates[*n].c != 0.0)
            (*n)++;
    }
    return true;
}

bool jv_gate_of_branch(const jv_find_setup *s, const jv_fault *fault, bool faded, jv_gate *gates,
                       size_t *n) {
    size_t first = s->net->first[fault->part];
    bool adds =
        fault->way == JV_WAY_SHORT || fault->way == JV_WAY_LEAK || fault->way == JV_WAY_INSIDE;
    if (!adds || !s->net->own[fault->part])
        return true;
    if (*n == JV_MAX_GATES)
        return false;
    const jv_element *e = &s->net->elements[first];
    if (fault->way != JV_WAY_SHORT &&
        jv_net_unplugged(&s->net->scene, &s->net->circuit->parts[fault->part]))
        return true;
    int32_t to = fault->to >= 0 ? fault->to : e->b;
    int32_t one = s->island[e->a], two = s->island[to];
    if (one != two) {
        /* A single link between two islands carries nothing. It matters where a reading spans
         * both, and then the two anchors are one too many for a gate. */
        if (s->kind == JV_SETUP_ISOLATED) {
            int32_t p = s->island[s->inject_p], q = s->island[s->inject_q];
            return !((p == one && q == two) || (p == two && q == one));
        }
        int32_t home = s->net->circuit->reference;
        return home < 0 || (s->island[home] != one && s->island[home] != two);
    }
    jv_gate *g = &gates[(*n)++];
    memset(g, 0, sizeof *g);
    g->element = -1;
    if (fault->way == JV_WAY_SHORT)
        return short_along(s, first, fault, g);
    across(s, first, fault, faded, g);
    return true;
}

static bool flip_sink(const jv_find_setup *s, size_t k, int8_t mode, jv_gate *g) {
    const jv_element *was = &s->sound[k], *now = &s->net->elements[k];
    double held = s->mode[k] == JV_MODE_LIMIT ? was->limit : -was->back;
    double next = mode == JV_MODE_LIMIT ? now->limit : -now->back;
    u_branch(g, now);
    if (s->mode[k] == JV_MODE_LINEAR) { /* s = next - v / r */
        v_branch(g, now, -1.0 / was->r);
        g->r = 1.0;
        g->c = next;
    } else if (mode == JV_MODE_LINEAR) { /* s = v / r - held */
        v_branch(g, now, 1.0);
        g->r = now->r;
        g->c = -held * now->r;
    } else {
        g->fixed = true;
        g->c = next - held;
    }
    return true;
}

/* A law of its own row: that row is let go, and another one put in its place. */
static bool flip_source(const jv_find_setup *s, size_t k, int8_t mode, jv_gate *g) {
    const jv_element *e = &s->net->elements[k];
    int32_t j = s->system->current[k];
    u_term(g, j, 1.0);
    if (mode == JV_MODE_LINEAR) { /* v - e - r i */
        v_branch(g, e, 1.0);
        v_term(g, j, -e->r);
        g->c = -e->e;
    } else { /* i + held */
        v_term(g, j, 1.0);
        g->c = mode == JV_MODE_LIMIT ? fmin(e->limit, e->back) : 0.0;
    }
    return true;
}

/* x: volts at which a limit that falls with the output is taken, as it falls; NULL: by its slope.
 */
static bool flip_regulator(const jv_find_setup *s, size_t k, int8_t mode, const double *x,
                           jv_gate *g) {
    const jv_element *e = &s->net->elements[k];
    int32_t j = s->system->current[k];
    u_term(g, j, 1.0);
    if (mode == JV_MODE_LINEAR) { /* V(c) - V(b) - e + r i */
        v_term(g, e->c, 1.0);
        v_term(g, e->b, -1.0);
        v_term(g, j, e->r);
        g->c = -e->e;
        return true;
    }
    if (mode == JV_MODE_STARVED) { /* V(c) - V(a) + drop + r i */
        v_term(g, e->c, 1.0);
        v_term(g, e->a, -1.0);
        v_term(g, j, e->r);
        g->c = e->drop;
        return true;
    }
    v_term(g, j, 1.0);
    if (mode == JV_MODE_BACK) { /* i + leak (V(c) - V(b) - e) */
        v_term(g, e->c, JV_BLOCKED_LEAK_S);
        v_term(g, e->b, -JV_BLOCKED_LEAK_S);
        g->c = -JV_BLOCKED_LEAK_S * e->e;
    }
    if (mode != JV_MODE_LIMIT) /* i - held - slope (V(c) - V(b)) */
        return true;
    bool folds = isfinite(e->limit) && e->back < e->limit;
    double slope = folds ? (e->limit - e->back) / e->e : 0.0;
    if (folds && x) {
        double u = fmin(fmax(x[e->c] - x[e->b], 0.0), e->e);
        g->c = -(e->back + slope * u);
        return true;
    }
    v_term(g, e->c, -slope);
    v_term(g, e->b, slope);
    g->c = -(folds ? e->back : e->limit);
    return true;
}

bool jv_gate_of_flip(const jv_find_setup *s, size_t element, int8_t mode, const double *x,
                     jv_gate *gate) {
    memset(gate, 0, sizeof *gate);
    gate->element = (int32_t)element;
    switch ((jv_law)s->net->elements[element].law) {
    case JV_SINK:
        return flip_sink(s, element, mode, gate);
    case JV_SOURCE:
        return flip_source(s, element, mode, gate);
    case JV_REGULATOR:
        return flip_regulator(s, element, mode, x, gate);
    case JV_SERIES:
    case JV_POWER:
        break;
    }
    return false;
}
