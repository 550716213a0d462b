/* lanes.c - eight operating points side by side. SPDX-License-Identifier: MIT */
#include "solve/lanes.h"

#include "jackvolt/memory.h"
#include "solve/curve.h"
#include "solve/lanes_lu.h"
#include "solve/system.h"

#include <math.h>
#include <string.h>

enum {
    NODAL = 4, /* entries of an eliminated element: aa, ab, ba, bb */
    STEPS = 10 /* before a lane is handed back */
};
/* A series element with fewer ohms at the start keeps its current: it may have none in a draw. */
static const double small_ohm = 1e-6;
/* As in laws.c: slope of a law that is flat; current of a regulator fades below; least ohms. */
static const double slope_floor = 1e-9, own_current_knee_v = 1.0, ohm_floor = 1e-9;
/* An element's law must be met to this, V; pieces keep this apart, V. */
static const double met_v = 1e-9, border_v = 1e-10, border_a = 1e-9;

/* One element at work. */
typedef struct jv_lane_part {
    uint32_t element;
    uint8_t law;
    bool keeps;      /* its current is an unknown */
    bool follows;    /* a regulator whose input is too low: its output follows it */
    bool dead;       /* a regulator without input: it holds 0 V */
    bool moves;      /* stamped at each step; else it stands in the base */
    int32_t a, b, c; /* places of its nodes in the order of the columns */
    int32_t row_a, row_b, row_c;
    int32_t j, row_j;   /* the current it keeps */
    int32_t own[NODAL]; /* entries of a regulator's own current */
    int32_t at[NODAL];  /* entries: nodal, or of the row j: a, b, c, j */
    const jv_heat_curve *curve;
    double r_slope, r_at_c;
} jv_lane_part;

struct jv_lanes {
    size_t n_elements, n_nodes;
    jv_lane (*number)[JV_FIELDS]; /* of each element */
    jv_lane_part *parts;          /* closed elements: the moving ones first */
    size_t n_parts, n_moving;
    uint32_t *part_of; /* of each element; UINT32_MAX = open */
    jv_lane *base;     /* entries that never change */
    jv_lane *base_b;
    jv_lane *b;                   /* right side, then the unknowns */
    int8_t (*mode)[JV_LANES];     /* of each part */
    jv_lane *amps, *ohms, *slope; /* of each part: linearised about this current */
    double *start_i;              /* of each part */
    int8_t *start_mode;
    double *start_v; /* of each part across it, V */
    jv_lanes_lu lu;
    size_t steps;
};

double *jv_field_of(jv_element *e, jv_field field) {
    switch (field) {
    case JV_FIELD_R:
        return &e->r;
    case JV_FIELD_E:
        return &e->e;
    case JV_FIELD_LIMIT:
        return &e->limit;
    case JV_FIELD_BACK:
        return &e->back;
    case JV_FIELD_DROP:
        return &e->drop;
    case JV_FIELD_QUIESCENT:
    case JV_FIELDS:
        break;
    }
    return &e->quiescent;
}

void jv_lanes_free(jv_lanes **lanes) {
    if (!lanes || !*lanes)
        return;
    jv_lanes *l = *lanes;
    void *const blocks[] = {l->number,  l->parts,      l->part_of, l->base, l->base_b,
                            l->b,       l->mode,       l->amps,    l->ohms, l->slope,
                            l->start_i, l->start_mode, l->start_v};
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
    jv_lanes_lu_clear(&l->lu);
    jv_free(l);
    *lanes = NULL;
}

/* --- setting up --- */

/* A piece of a source or regulator that lanes can hold. */
static bool fits(const jv_element *e, int8_t mode) {
    if (e->heat && !e->curve)
        return false;
    if (e->law == JV_REGULATOR)
        return mode != JV_MODE_LIMIT;
    if (e->law == JV_SOURCE)
        return mode != JV_MODE_LIMIT || e->back >= e->limit;
    return true;
}

static bool keeps_current(const jv_element *e) {
    if (e->law == JV_SERIES)
        return !(e->r > small_ohm);
    return jv_law_has_current((jv_law)e->law);
}

/* Resistances with fixed numbers need no look at each step. */
static bool moves(const jv_element *e, uint8_t bits) {
    if (bits || e->heat || e->law == JV_POWER)
        return true;
    return e->law == JV_SINK && isfinite(e->limit);
}

static jv_status list_parts(jv_lanes *l, const jv_lanes_start *s) {
    for (size_t k = 0; k < s->n_elements; k++) {
        l->part_of[k] = UINT32_MAX;
        if (!s->elements[k].open && !fits(&s->elements[k], s->mode[k]))
            return JV_ERR_UNSOLVED;
    }
    for (int pass = 0; pass < 2; pass++) {
        for (size_t k = 0; k < s->n_elements; k++) {
            const jv_element *e = &s->elements[k];
            if (e->open || moves(e, s->moves[k]) != (pass == 0))
                continue;
            jv_lane_part *p = &l->parts[l->n_parts];
            memset(p, 0, sizeof *p);
            p->element = (uint32_t)k;
            p->law = e->law;
            p->keeps = keeps_current(e);
            p->moves = pass == 0;
            p->curve = e->heat ? e->curve : NULL;
            p->r_slope = e->r_slope;
            p->r_at_c = e->r_at_c;
            bool starved = e->law == JV_REGULATOR && s->mode[k] == JV_MODE_STARVED;
            p->follows = starved && s->v[e->a] - s->v[e->b] > e->drop;
            p->dead = starved && !p->follows;
            l->start_i[l->n_parts] = s->i[k];
            l->start_mode[l->n_parts] = s->mode[k];
            l->start_v[l->n_parts] = s->v[e->a] - s->v[e->b];
            l->part_of[k] = (uint32_t)l->n_parts++;
        }
        if (pass == 0)
            l->n_moving = l->n_parts;
    }
    return JV_OK;
}

/* The pattern as triples; numbers come from the start. */
typedef struct jv_triples {
    int *row, *col;
    double *x;
    size_t n;
} jv_triples;

static void triple(jv_triples *t, int row, int col, double x) {
    t->row[t->n] = row;
    t->col[t->n] = col;
    t->x[t->n++] = x;
}

static double ohms_at_start(const jv_lane_part *p, const jv_element *e, double i) {
    double temp, slope;
    if (p->curve && jv_heat_curve_at(p->curve, i, &temp, &slope))
        return e->r * (1.0 + p->r_slope * (temp - p->r_at_c));
    return e->r;
}

static void part_triples(jv_triples *t, const jv_lane_part *p, const jv_element *e, int j,
                         int8_t mode, double i, double v) {
    if (!p->keeps) {
        double g = 1.0 / ohms_at_start(p, e, i);
        if (p->law == JV_SINK && mode != JV_MODE_LINEAR)
            g *= slope_floor;
        if (p->law == JV_POWER)
            g = -e->limit / (v * v);
        triple(t, e->a, e->a, g);
        triple(t, e->a, e->b, -g);
        triple(t, e->b, e->a, -g);
        triple(t, e->b, e->b, g);
        return;
    }
    bool regulator = p->law == JV_REGULATOR, holds = mode == JV_MODE_LINEAR;
    bool starved = p->follows;
    if (regulator) {
        double own = v < own_current_knee_v ? e->quiescent / own_current_knee_v : 0.0;
        triple(t, e->a, e->a, own);
        triple(t, e->a, e->b, -own);
        triple(t, e->b, e->a, -own);
        triple(t, e->b, e->b, own);
    }
    triple(t, e->a, j, 1.0);
    triple(t, regulator ? e->c : e->b, j, -1.0);
    double r = fmax(e->r, ohm_floor);
    if (regulator && mode == JV_MODE_BACK) {
        triple(t, j, j, 1.0);
    } else if (regulator) {
        triple(t, j, e->c, 1.0);
        triple(t, j, starved ? e->a : e->b, -1.0);
        triple(t, j, j, e->r);
    } else {
        triple(t, j, e->a, holds ? 1.0 : 0.0);
        triple(t, j, e->b, holds ? -1.0 : 0.0);
        triple(t, j, j, holds ? -r : 1.0);
    }
}

static int by_column(const jv_triples *t, size_t x, size_t y) {
    if (t->col[x] != t->col[y])
        return t->col[x] < t->col[y] ? -1 : 1;
    return (t->row[x] > t->row[y]) - (t->row[x] < t->row[y]);
}

/* Heap sort of numbers: no recursion, no memory, any size. */
static void sift(const jv_triples *t, size_t *order, size_t from, size_t n) {
    for (size_t child; (child = 2 * from + 1) < n; from = child) {
        if (child + 1 < n && by_column(t, order[child], order[child + 1]) < 0)
            child++;
        if (by_column(t, order[from], order[child]) >= 0)
            return;
        size_t swap = order[from];
        order[from] = order[child];
        order[child] = swap;
    }
}

static void sort(const jv_triples *t, size_t *order) {
    for (size_t k = 0; k < t->n; k++)
        order[k] = k;
    for (size_t k = t->n / 2; k-- > 0;)
        sift(t, order, k, t->n);
    for (size_t n = t->n; n-- > 1;) {
        size_t swap = order[0];
        order[0] = order[n];
        order[n] = swap;
        sift(t, order, 0, n);
    }
}

/* Compressed columns of the triples, repeats added up, then the factors' places. */
static jv_status factor(jv_lanes *l, const jv_triples *t, int n) {
    size_t *order = jv_alloc(t->n + 1, sizeof *order);
    int *ap = jv_zalloc((size_t)n + 2, sizeof *ap), *ai = jv_alloc(t->n + 1, sizeof *ai);
    double *ax = jv_alloc(t->n + 1, sizeof *ax);
    jv_status status = order && ap && ai && ax ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK) {
        sort(t, order);
        int count = 0, col = 0;
        for (size_t k = 0; k < t->n; k++) {
            size_t m = order[k];
            bool repeat = k && by_column(t, order[k - 1], m) == 0;
            while (col < t->col[m])
                ap[++col] = count;
            if (!repeat) {
                ai[count] = t->row[m];
                ax[count++] = 0.0;
            }
            ax[count - 1] += t->x[m];
        }
        while (col < n)
            ap[++col] = count;
        status = jv_lanes_lu_make(n, ap, ai, ax, &l->lu);
    }
    jv_free(order);
    jv_free(ap);
    jv_free(ai);
    jv_free(ax);
    return status;
}

static void find_places(jv_lanes *l, const jv_lanes_start *s, jv_lane_part *p, int j) {
    const jv_element *e = &s->elements[p->element];
    const jv_lanes_lu *f = &l->lu;
    p->a = f->at_col[e->a];
    p->b = f->at_col[e->b];
    p->c = e->c >= 0 ? f->at_col[e->c] : 0;
    p->row_a = f->at_row[e->a];
    p->row_b = f->at_row[e->b];
    p->row_c = e->c >= 0 ? f->at_row[e->c] : 0;
    if (!p->keeps) {
        p->at[0] = jv_lanes_lu_place(f, e->a, e->a);
        p->at[1] = jv_lanes_lu_place(f, e->a, e->b);
        p->at[2] = jv_lanes_lu_place(f, e->b, e->a);
        p->at[3] = jv_lanes_lu_place(f, e->b, e->b);
        return;
    }
    if (p->law == JV_REGULATOR) {
        p->own[0] = jv_lanes_lu_place(f, e->a, e->a);
        p->own[1] = jv_lanes_lu_place(f, e->a, e->b);
        p->own[2] = jv_lanes_lu_place(f, e->b, e->a);
        p->own[3] = jv_lanes_lu_place(f, e->b, e->b);
    }
    p->j = f->at_col[j];
    p->row_j = f->at_row[j];
    p->at[3] = jv_lanes_lu_place(f, j, j);
}

/* Fixed ones of a kept current; its own ohms and volts are stamped like the rest. */
static void base_of_kept(jv_lanes *l, const jv_lanes_start *s, const jv_lane_part *p, int j,
                         int8_t mode) {
    const jv_element *e = &s->elements[p->element];
    const jv_lanes_lu *f = &l->lu;
    bool regulator = p->law == JV_REGULATOR;
    l->base[jv_lanes_lu_place(f, e->a, j)] += 1.0;
    l->base[jv_lanes_lu_place(f, regulator ? e->c : e->b, j)] -= 1.0;
    if (regulator && mode == JV_MODE_BACK) {
        l->base[p->at[3]] += 1.0;
    } else if (regulator) {
        l->base[jv_lanes_lu_place(f, j, e->c)] += 1.0;
        l->base[jv_lanes_lu_place(f, j, p->follows ? e->a : e->b)] -= 1.0;
    } else if (mode == JV_MODE_LINEAR) {
        l->base[jv_lanes_lu_place(f, j, e->a)] += 1.0;
        l->base[jv_lanes_lu_place(f, j, e->b)] -= 1.0;
    } else {
        l->base[p->at[3]] += 1.0;
    }
}

static void stamp_base(jv_lanes *l, size_t part);

static jv_status make_matrix(jv_lanes *l, const jv_lanes_start *s) {
    enum { MOST = 9 };
    jv_triples t = {0};
    size_t room = MOST * l->n_parts + s->n_nodes + 1;
    int n = (int)s->n_nodes;
    t.row = jv_alloc(room, sizeof *t.row);
    t.col = jv_alloc(room, sizeof *t.col);
    t.x = jv_alloc(room, sizeof *t.x);
    jv_status status = t.row && t.col && t.x ? JV_OK : JV_ERR_MEMORY;
    for (size_t k = 0; k < s->n_nodes && status == JV_OK; k++)
        triple(&t, (int)k, (int)k, s->anchored[k] ? 1.0 : 0.0);
    for (size_t k = 0; k < l->n_parts && status == JV_OK; k++) {
        const jv_element *e = &s->elements[l->parts[k].element];
        part_triples(&t, &l->parts[k], e, n, l->start_mode[k], l->start_i[k], l->start_v[k]);
        n += l->parts[k].keeps;
    }
    if (status == JV_OK)
        status = factor(l, &t, n);
    jv_free(t.row);
    jv_free(t.col);
    jv_free(t.x);
    return status;
}

static jv_status make_base(jv_lanes *l, const jv_lanes_start *s) {
    size_t entries = (size_t)l->lu.start[l->lu.n], n = (size_t)l->lu.n;
    l->base = jv_zalloc(entries + 1, sizeof *l->base);
    l->base_b = jv_zalloc(n + 1, sizeof *l->base_b);
    l->b = jv_zalloc(n + 1, sizeof *l->b);
    if (!l->base || !l->base_b || !l->b)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < s->n_nodes; k++)
        if (s->anchored[k])
            l->base[jv_lanes_lu_place(&l->lu, (int)k, (int)k)] += 1.0;
    int j = (int)s->n_nodes;
    for (size_t k = 0; k < l->n_parts; k++) {
        find_places(l, s, &l->parts[k], j);
        if (l->parts[k].keeps)
            base_of_kept(l, s, &l->parts[k], j++, l->start_mode[k]);
        if (!l->parts[k].moves)
            stamp_base(l, k);
    }
    return JV_OK;
}

/* Each part linearised about the current of the start. */
JV_LANE_BODY void rewind_parts(jv_lanes *l, size_t end) {
    for (size_t k = 0; k < end; k++) {
        const jv_lane_part *p = &l->parts[k];
        const jv_lane r = l->number[p->element][JV_FIELD_R];
        memset(l->mode[k], l->start_mode[k], sizeof l->mode[k]);
        l->amps[k] = (jv_lane){0} + l->start_i[k];
        l->ohms[k] = l->slope[k] = r;
        double temp, slope;
        if (p->curve && jv_heat_curve_at(p->curve, l->start_i[k], &temp, &slope)) {
            double warm = 1.0 + p->r_slope * (temp - p->r_at_c);
            l->ohms[k] = r * warm;
            l->slope[k] = r * (warm + l->start_i[k] * p->r_slope * slope);
        }
        if (p->law == JV_POWER)
            l->amps[k] = (jv_lane){0} + l->start_v[k]; /* linearised about volts */
    }
}

static jv_status allocate(jv_lanes *l, const jv_lanes_start *s) {
    size_t n = s->n_elements + 1;
    l->n_elements = s->n_elements;
    l->n_nodes = s->n_nodes;
    l->number = jv_alloc(n, sizeof *l->number);
    l->parts = jv_alloc(n, sizeof *l->parts);
    l->part_of = jv_alloc(n, sizeof *l->part_of);
    l->mode = jv_alloc(n, sizeof *l->mode);
    l->amps = jv_alloc(n, sizeof *l->amps);
    l->ohms = jv_alloc(n, sizeof *l->ohms);
    l->slope = jv_alloc(n, sizeof *l->slope);
    l->start_i = jv_alloc(n, sizeof *l->start_i);
    l->start_v = jv_alloc(n, sizeof *l->start_v);
    l->start_mode = jv_alloc(n, sizeof *l->start_mode);
    if (!l->number || !l->parts || !l->part_of || !l->mode || !l->amps || !l->ohms || !l->slope ||
        !l->start_i || !l->start_v || !l->start_mode)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < s->n_elements; k++) {
        jv_element e = s->elements[k];
        for (int field = 0; field < JV_FIELDS; field++)
            l->number[k][field] = (jv_lane){0} + *jv_field_of(&e, (jv_field)field);
    }
    return JV_OK;
}

jv_status jv_lanes_new(const jv_lanes_start *start, jv_lanes **out) {
    jv_lanes *l = jv_zalloc(1, sizeof *l);
    if (!l)
        return JV_ERR_MEMORY;
    jv_status status = allocate(l, start);
    if (status == JV_OK)
        status = list_parts(l, start);
    if (status == JV_OK)
        status = make_matrix(l, start);
    if (status == JV_OK) {
        rewind_parts(l, l->n_parts);
        status = make_base(l, start);
    }
    if (status != JV_OK) {
        jv_lanes_free(&l);
        return status;
    }
    *out = l;
    return JV_OK;
}

/* --- a step --- */

/* i = j + g (va - vb) into the nodal matrix. */
JV_LANE_BODY void stamp_nodal(const jv_lane_part *p, const jv_lane *g, const jv_lane *j,
                              jv_lane *value, jv_lane *b) {
    value[p->at[0]] += *g;
    value[p->at[1]] -= *g;
    value[p->at[2]] -= *g;
    value[p->at[3]] += *g;
    b[p->row_a] -= *j;
    b[p->row_b] += *j;
}

JV_LANE_BODY void stamp_sink(const jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    jv_lane g = 1.0 / number[JV_FIELD_R], j = {0};
    for (unsigned n = 0; n < JV_LANES; n++) {
        if (l->mode[k][n] == JV_MODE_LINEAR)
            continue;
        g[n] *= slope_floor;
        j[n] =
            l->mode[k][n] == JV_MODE_LIMIT ? number[JV_FIELD_LIMIT][n] : -number[JV_FIELD_BACK][n];
    }
    stamp_nodal(p, &g, &j, value, b);
}

JV_LANE_BODY void stamp_power(const jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    jv_lane amps = l->number[p->element][JV_FIELD_LIMIT] / l->amps[k];
    jv_lane g = -amps / l->amps[k], j = 2.0 * amps;
    stamp_nodal(p, &g, &j, value, b);
}

/* A regulator's own current: steady, or fading below its knee where it was so at the start. */
JV_LANE_BODY void stamp_own_current(const jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    jv_lane own = l->number[p->element][JV_FIELD_QUIESCENT];
    if (l->start_v[k] >= own_current_knee_v) {
        b[p->row_a] -= own;
        b[p->row_b] += own;
        return;
    }
    own /= own_current_knee_v;
    value[p->own[0]] += own;
    value[p->own[1]] -= own;
    value[p->own[2]] -= own;
    value[p->own[3]] += own;
}

JV_LANE_BODY void stamp_kept(const jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    int8_t mode = l->start_mode[k];
    if (p->law == JV_REGULATOR) {
        if (mode != JV_MODE_BACK) {
            value[p->at[3]] += number[JV_FIELD_R];
            if (p->follows)
                b[p->row_j] -= number[JV_FIELD_DROP];
            else if (!p->dead)
                b[p->row_j] += number[JV_FIELD_E];
        }
        stamp_own_current(l, k, value, b);
    } else if (mode == JV_MODE_LINEAR) {
        jv_lane slope = l->slope[k];
        for (unsigned n = 0; n < JV_LANES; n++)
            slope[n] = slope[n] < ohm_floor ? ohm_floor : slope[n];
        value[p->at[3]] -= slope;
        b[p->row_j] += number[JV_FIELD_E] + (l->ohms[k] - slope) * l->amps[k];
    } else if (mode == JV_MODE_LIMIT) {
        b[p->row_j] -= number[JV_FIELD_LIMIT];
    }
}

JV_LANE_BODY void stamp(jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    if (p->keeps) {
        stamp_kept(l, k, value, b);
    } else if (p->law == JV_SINK) {
        stamp_sink(l, k, value, b);
    } else if (p->law == JV_POWER) {
        stamp_power(l, k, value, b);
    } else {
        /* v = e + r i0 + slope (i - i0) */
        jv_lane g = 1.0 / l->slope[k], e = l->number[p->element][JV_FIELD_E];
        jv_lane j = l->amps[k] - g * (l->ohms[k] * l->amps[k] + e);
        stamp_nodal(p, &g, &j, value, b);
    }
}

JV_LANE_BODY unsigned all_lanes(void) {
    return (1u << JV_LANES) - 1u;
}

/* Bits of the lanes in which every one of eight sizes is within a bound; NaN is not. */
JV_LANE_BODY unsigned within(const jv_lane *x, double bound) {
    unsigned bits = 0;
    for (unsigned n = 0; n < JV_LANES; n++)
        bits |= (unsigned)(fabs((*x)[n]) <= bound) << n;
    return bits;
}

/* A series element at its new current: how far its law was from its line. */
JV_LANE_BODY unsigned look_at_series(jv_lanes *l, size_t k, const jv_lane *x, unsigned *lost) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    jv_lane v = x[p->a] - x[p->b];
    jv_lane i;
    if (p->keeps)
        i = x[p->j];
    else
        i = l->amps[k] + (v - l->ohms[k] * l->amps[k] - number[JV_FIELD_E]) / l->slope[k];
    l->amps[k] = i;
    if (p->curve) {
        const jv_lane r = number[JV_FIELD_R];
        for (unsigned n = 0; n < JV_LANES; n++) {
            double temp, slope;
            if (!jv_heat_curve_at(p->curve, i[n], &temp, &slope)) {
                *lost |= 1u << n;
                continue;
            }
            double warm = 1.0 + p->r_slope * (temp - p->r_at_c);
            l->ohms[k][n] = r[n] * warm;
            l->slope[k][n] = r[n] * (warm + i[n] * p->r_slope * slope);
        }
    }
    jv_lane off = v - number[JV_FIELD_E] - l->ohms[k] * i;
    return within(&off, met_v);
}

JV_LANE_BODY unsigned look_at_sink(jv_lanes *l, size_t k, const jv_lane *x) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    jv_lane v = x[p->a] - x[p->b], most = number[JV_FIELD_LIMIT] * number[JV_FIELD_R],
            least = -number[JV_FIELD_BACK] * number[JV_FIELD_R];
    unsigned same = 0;
    for (unsigned n = 0; n < JV_LANES; n++) {
        int8_t was = l->mode[k][n], now = was;
        if (was == JV_MODE_LIMIT && v[n] < most[n] - border_v)
            now = JV_MODE_LINEAR;
        else if (was == JV_MODE_BACK && v[n] > least[n] + border_v)
            now = JV_MODE_LINEAR;
        else if (was == JV_MODE_LINEAR && v[n] > most[n] + border_v)
            now = JV_MODE_LIMIT;
        else if (was == JV_MODE_LINEAR && v[n] < least[n] - border_v)
            now = JV_MODE_BACK;
        l->mode[k][n] = now;
        same |= (unsigned)(now == was) << n;
    }
    return same;
}

JV_LANE_BODY unsigned look_at_power(jv_lanes *l, size_t k, const jv_lane *x, unsigned *lost) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    jv_lane v = x[p->a] - x[p->b], moved = v - l->amps[k];
    static const double near_v = 1e-6; /* the error is the square of it over the volts */
    for (unsigned n = 0; n < JV_LANES; n++)
        if (!(v[n] > number[JV_FIELD_E][n]))
            *lost |= 1u << n;
    l->amps[k] = v;
    return within(&moved, near_v);
}

/* Sources and regulators must stay on the piece where they were at the start. */
JV_LANE_BODY unsigned strayed(const jv_lanes *l, size_t k, const jv_lane *x) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    int8_t mode = l->start_mode[k];
    jv_lane v = x[p->a] - x[p->b], i = x[p->j], e = number[JV_FIELD_E];
    unsigned bits = 0;
    for (unsigned n = 0; n < JV_LANES; n++) {
        bool good;
        if (p->law == JV_REGULATOR) {
            double most = fmin(number[JV_FIELD_LIMIT][n], number[JV_FIELD_BACK][n]);
            double spare = v[n] - number[JV_FIELD_DROP][n] - e[n];
            good = (v[n] >= own_current_knee_v) == (l->start_v[k] >= own_current_knee_v);
            if (mode != JV_MODE_BACK)
                good = good && i[n] >= -border_a && i[n] <= most;
            if (mode == JV_MODE_BACK || p->dead)
                good = good && v[n] <= number[JV_FIELD_DROP][n];
            else
                good = good && v[n] > number[JV_FIELD_DROP][n] &&
                       (p->follows ? spare <= 0.0 : spare >= 0.0);
        } else if (mode == JV_MODE_LINEAR) {
            good = i[n] <= 0.0 && -i[n] <= number[JV_FIELD_LIMIT][n];
        } else if (mode == JV_MODE_BACK) {
            good = v[n] >= e[n];
        } else {
            good = v[n] <= e[n] - number[JV_FIELD_R][n] * number[JV_FIELD_LIMIT][n];
        }
        bits |= (unsigned)!good << n;
    }
    return bits;
}

/* Brings all parts to the new unknowns. Bits of the lanes in which each law was met. */
JV_LANE_BODY unsigned look(jv_lanes *l, unsigned *lost) {
    unsigned met = all_lanes();
    for (size_t k = 0; k < l->n_moving; k++) {
        switch ((jv_law)l->parts[k].law) {
        case JV_SERIES:
            met &= look_at_series(l, k, l->b, lost);
            break;
        case JV_SINK:
            met &= look_at_sink(l, k, l->b);
            break;
        case JV_POWER:
            met &= look_at_power(l, k, l->b, lost);
            break;
        case JV_SOURCE:
        case JV_REGULATOR:
            break;
        }
    }
    return met;
}

static void stamp_base(jv_lanes *l, size_t part) {
    stamp(l, part, l->base, l->base_b);
}

JV_LANE_BODY unsigned solve(jv_lanes *l) {
    size_t entries = (size_t)l->lu.start[l->lu.n], n = (size_t)l->lu.n;
    unsigned met = 0, lost = 0;
    rewind_parts(l, l->n_moving);
    for (int step = 0; step < STEPS && (met | lost) != all_lanes(); step++) {
        memcpy(l->lu.value, l->base, entries * sizeof *l->base);
        memcpy(l->b, l->base_b, n * sizeof *l->b);
        for (size_t k = 0; k < l->n_moving; k++)
            stamp(l, k, l->lu.value, l->b);
        lost |= ~jv_lanes_lu_eliminate(&l->lu, l->b) & all_lanes();
        met = look(l, &lost);
        l->steps++;
    }
    for (size_t k = 0; k < l->n_parts; k++)
        if (l->parts[k].law == JV_SOURCE || l->parts[k].law == JV_REGULATOR)
            lost |= strayed(l, k, l->b);
    return met & ~lost;
}

static unsigned solve_plain(jv_lanes *l) {
    return solve(l);
}
JV_LANE_AVX2 static unsigned solve_256(jv_lanes *l) {
    return solve(l);
}
JV_LANE_AVX512 static unsigned solve_512(jv_lanes *l) {
    return solve(l);
}

unsigned jv_lanes_solve(jv_lanes *l) {
    switch (jv_lane_widest()) {
    case JV_LANE_512:
        return solve_512(l);
    case JV_LANE_256:
        return solve_256(l);
    case JV_LANE_PLAIN:
        break;
    }
    return solve_plain(l);
}

/* --- answers --- */

double *jv_lanes_number(jv_lanes *l, size_t element, jv_field field) {
    return (double *)&l->number[element][field];
}

const double *jv_lanes_volts(const jv_lanes *l, size_t node) {
    return (const double *)&l->b[l->lu.at_col[node]];
}

void jv_lanes_current(const jv_lanes *l, size_t element, double out[JV_LANES]) {
    size_t k = l->part_of[element];
    if (k == UINT32_MAX) {
        memset(out, 0, JV_LANES * sizeof *out);
        return;
    }
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[element];
    jv_lane v = l->b[p->a] - l->b[p->b], i;
    if (p->keeps)
        i = l->b[p->j];
    else if (p->law == JV_SERIES)
        i = (v - number[JV_FIELD_E]) / l->ohms[k];
    else if (p->law == JV_POWER)
        i = number[JV_FIELD_LIMIT] / v;
    else
        i = v / number[JV_FIELD_R];
    for (unsigned n = 0; n < JV_LANES; n++) {
        out[n] = i[n];
        if (p->law == JV_SINK && l->mode[k][n] != JV_MODE_LINEAR)
            out[n] = l->mode[k][n] == JV_MODE_LIMIT ? number[JV_FIELD_LIMIT][n]
                                                    : -number[JV_FIELD_BACK][n];
    }
}

size_t jv_lanes_steps(const jv_lanes *l) {
    return l->steps;
}
