/* terms.c - what each unknown moves in the equations of a setup. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include <math.h>
#include <string.h>

static bool add(jv_find_setup *s, const jv_term *t) {
    if (t->c0 == 0.0 && t->c1 == 0.0 && t->c2 == 0.0)
        return true;
    if (s->n_terms == s->cap_terms) {
        size_t wanted = s->cap_terms ? 2 * s->cap_terms : 64;
        jv_term *moved = jv_resize(s->terms, wanted, sizeof *moved);
        if (!moved)
            return false;
        s->terms = moved;
        s->cap_terms = wanted;
    }
    s->terms[s->n_terms++] = *t;
    return true;
}

/* F of a sink at node a is +i, at node b is -i. */
static bool add_sink(jv_find_setup *s, jv_term t, const jv_element *e) {
    t.i1 = e->a;
    t.i2 = e->b;
    t.row = e->a;
    if (!add(s, &t))
        return false;
    t.row = e->b;
    t.c0 = -t.c0;
    t.c1 = -t.c1;
    t.c2 = -t.c2;
    return add(s, &t);
}

/* The change of one element's numbers, put into its own law (laws.c). */
static bool element_terms(jv_find_setup *s, uint32_t unknown, size_t k, double dr, double de,
                          double dlimit) {
    const jv_element *e = &s->sound[k];
    jv_term t = {unknown, (int32_t)k, -1, -1, -1, 0.0, 0.0, 0.0};
    if (e->open)
        return true;
    switch ((jv_law)e->law) {
    case JV_SERIES: /* v - r i - e */
        t.row = t.i1 = s->system->current[k];
        t.c0 = -de;
        t.c1 = -dr;
        return add(s, &t);
    case JV_SINK:
        if (s->mode[k] == JV_MODE_LIMIT)
            t.c0 = dlimit;
        else if (s->mode[k] == JV_MODE_BACK)
            t.c0 = -dlimit;
        else {
            t.c1 = -dr / (e->r * e->r);
            t.c2 = -t.c1;
        }
        return add_sink(s, t, e);
    case JV_SOURCE:
        if (s->mode[k] != JV_MODE_LINEAR)
            return true;
        t.row = t.i1 = s->system->current[k];
        t.c0 = -de;
        t.c1 = -dr;
        return add(s, &t);
    case JV_REGULATOR:
        if (s->mode[k] != JV_MODE_LINEAR)
            return true;
        t.row = s->system->current[k];
        t.i1 = t.row;
        t.c0 = -de;
        return add(s, &t);
    case JV_POWER:
        break;
    }
    return true;
}

/* A slot's spread: the part loaded half above and half below. */
static bool slot_terms(jv_finder *f, jv_find_setup *s, uint32_t number) {
    enum { MOST = 64 };
    const jv_unknown *u = &f->unknowns[number];
    size_t first = s->net->first[u->part], n = s->net->own[u->part];
    double *x = f->mean_x, was = x[u->slot], up_r[MOST], up_e[MOST], up_l[MOST];
    bool ok = true;
    n = n < MOST ? n : MOST;
    /* Half a standard deviation keeps wide spreads of joints above zero. */
    x[u->slot] = was + 0.5 * u->sd;
    jv_setup_load_part(s, NULL, 0, u->part);
    for (size_t k = 0; k < n; k++) {
        up_r[k] = s->net->elements[first + k].r;
        up_e[k] = s->net->elements[first + k].e;
        up_l[k] = s->net->elements[first + k].limit;
    }
    x[u->slot] = was - 0.5 * u->sd;
    jv_setup_load_part(s, NULL, 0, u->part);
    for (size_t k = 0; k < n && ok; k++) {
        const jv_element *e = &s->net->elements[first + k];
        if (u->element >= 0 && (size_t)u->element != k)
            continue;
        double dl = isfinite(e->limit) ? up_l[k] - e->limit : 0.0;
        ok = element_terms(s, number, first + k, up_r[k] - e->r, up_e[k] - e->e, dl);
    }
    x[u->slot] = was;
    jv_setup_load_part(s, NULL, 0, u->part);
    return ok;
}

static bool load_term(jv_find_setup *s, uint32_t number, size_t k, double sd) {
    const jv_element *e = &s->sound[k];
    bool limited = isfinite(e->limit);
    return element_terms(s, number, k, limited ? 0.0 : sd * e->r, 0.0,
                         limited ? sd * e->limit : 0.0);
}

static bool unknown_terms(jv_finder *f, jv_find_setup *s, uint32_t number) {
    const jv_unknown *u = &f->unknowns[number];
    size_t k = s->net->first[u->part] + (size_t)(u->element < 0 ? 0 : u->element);
    bool ok = true;
    switch (u->kind) {
    case JV_UNKNOWN_SLOT:
        return slot_terms(f, s, number);
    case JV_UNKNOWN_OHMS:
        return element_terms(s, number, k, u->sd * s->sound[k].r, 0.0, 0.0);
    case JV_UNKNOWN_VOLTS:
        return element_terms(s, number, k, 0.0, u->sd, 0.0);
    case JV_UNKNOWN_LOAD:
        return load_term(s, number, k, u->sd);
    case JV_UNKNOWN_LOADS:
        for (size_t m = 0; m < s->n_motors && ok; m++)
            ok = load_term(s, number, s->motor[m], u->sd);
        return ok;
    case JV_UNKNOWN_GAIN_V:
    case JV_UNKNOWN_GAIN_A:
    case JV_UNKNOWN_CELL:
    case JV_UNKNOWN_SWING:
        break;
    }
    return true;
}

jv_status jv_terms_make(jv_finder *f, jv_find_setup *s) {
    for (uint32_t k = 0; k < f->n_unknowns; k++)
        if (!unknown_terms(f, s, k))
            return JV_ERR_MEMORY;
    return JV_OK;
}
