/* lanes_make.c - setting up lanes: strings, pattern, order. SPDX-License-Identifier: MIT */
#include "jackvolt/memory.h"
#include "solve/lanes_net.h"
#include "solve/system.h"

#include <math.h>
#include <string.h>

/* A series element with fewer ohms at the start keeps its current: it may have none in a draw. */
static const double small_ohm = 1e-6;

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
    case JV_FIELD_AIR:
        return &e->air_c;
    case JV_FIELD_TIME:
        return &e->heat_s;
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
    for (size_t k = 0; k < l->n_members; k++) {
        jv_free(l->members[k].of_term);
        jv_free(l->members[k].drawn);
    }
    void *const blocks[] = {l->number, l->parts,   l->members,    l->part_of, l->sign_of,  l->base,
                            l->base_b, l->b,       l->mode,       l->amps,    l->ohms,     l->slope,
                            l->emf,    l->start_i, l->start_mode, l->start_v, l->number_of};
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
    jv_lanes_lu_clear(&l->lu);
    jv_free(l);
    *lanes = NULL;
}

/* What moves how an element heats; NULL = nothing does. */
static const jv_lanes_by *by_of(const jv_lanes_start *s, size_t element) {
    for (size_t k = 0; k < s->n_by; k++)
        if (s->by[k].element == element)
            return &s->by[k];
    return NULL;
}

/* A piece of a source or regulator that lanes can hold. */
static bool fits(const jv_lanes_start *s, size_t element) {
    const jv_element *e = &s->elements[element];
    int8_t mode = s->mode[element];
    if (e->heat && !e->curve && !by_of(s, element))
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

static bool is_link(const jv_element *e) {
    return !e->open && e->law == JV_SERIES && !keeps_current(e);
}

/* --- strings --- */

static void add_member(jv_lanes *l, const jv_lanes_start *s, size_t element, double sign) {
    const jv_element *e = &s->elements[element];
    jv_lane_member *m = &l->members[l->n_members++];
    memset(m, 0, sizeof *m);
    m->element = (uint32_t)element;
    m->sign = l->sign_of[element] = sign;
    m->r_slope = e->r_slope;
    m->r_at_c = e->r_at_c;
    m->has_e = e->e != 0.0 || (s->moves[element] & 1u << JV_FIELD_E);
    double amps = fabs(s->i[element]);
    const jv_lanes_by *by = e->heat ? by_of(s, element) : NULL;
    m->curve = e->heat && !by ? e->curve : NULL;
    if (m->curve)
        jv_lanes_fit(m, amps);
    if (by && l->status == JV_OK)
        l->status = jv_lanes_fit_by(s, by, amps, m);
}

/* The two links at each node that nothing else touches and nobody asks for; -1 where there are
 * not just two. */
typedef struct jv_knots {
    int32_t (*link)[2];
    uint8_t *count; /* of closed elements, up to 3 */
} jv_knots;

static void tie(jv_knots *k, int32_t node, int32_t element) {
    if (node < 0 || k->count[node] > 2)
        return;
    if (k->count[node] < 2)
        k->link[node][k->count[node]] = element;
    k->count[node]++;
}

static jv_status find_knots(const jv_lanes_start *s, jv_knots *k) {
    enum { MANY = 3 };
    k->link = jv_alloc(s->n_nodes + 1, sizeof *k->link);
    k->count = jv_zalloc(s->n_nodes + 1, sizeof *k->count);
    if (!k->link || !k->count)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < s->n_elements; i++) {
        const jv_element *e = &s->elements[i];
        if (e->open)
            continue;
        tie(k, e->a, (int32_t)i);
        tie(k, e->b, (int32_t)i);
        tie(k, e->c, (int32_t)i);
        if (!is_link(e)) /* no string goes through where something else hangs */
            k->count[e->a] = k->count[e->b] = MANY;
        if (!is_link(e) && e->c >= 0)
            k->count[e->c] = MANY;
    }
    for (size_t n = 0; n < s->n_nodes; n++)
        if (s->anchored[n] || s->needed[n])
            k->count[n] = MANY;
    return JV_OK;
}

/* From an element over its node `at` to the end of the string; *node: where it ends. */
static int32_t walk(const jv_lanes_start *s, const jv_knots *k, int32_t element, int32_t *node) {
    while (k->count[*node] == 2) {
        int32_t next = k->link[*node][0] == element ? k->link[*node][1] : k->link[*node][0];
        if (next == element)
            break;
        element = next;
        *node = s->elements[element].a == *node ? s->elements[element].b : s->elements[element].a;
    }
    return element;
}

/* Takes the string that holds an element: members in order from one end to the other. */
static void take_string(jv_lanes *l, const jv_lanes_start *s, const jv_knots *k, size_t element,
                        jv_lane_part *p) {
    int32_t node = s->elements[element].a;
    int32_t at = walk(s, k, (int32_t)element, &node);
    p->element = (uint32_t)at;
    p->law = JV_SERIES;
    p->first = (uint32_t)l->n_members;
    p->node_a = node;
    for (;;) {
        const jv_element *e = &s->elements[at];
        bool forward = e->a == node;
        add_member(l, s, (size_t)at, forward ? 1.0 : -1.0);
        p->moves = p->moves || moves(e, s->moves[at]);
        p->n_members++;
        node = forward ? e->b : e->a;
        if (k->count[node] != 2)
            break;
        int32_t next = k->link[node][0] == at ? k->link[node][1] : k->link[node][0];
        if (next == at)
            break;
        at = next;
    }
    p->node_b = node;
    p->node_c = -1;
}

static void take_single(jv_lanes *l, const jv_lanes_start *s, size_t element, jv_lane_part *p) {
    const jv_element *e = &s->elements[element];
    bool starved = e->law == JV_REGULATOR && s->mode[element] == JV_MODE_STARVED;
    p->element = (uint32_t)element;
    p->law = e->law;
    p->keeps = keeps_current(e);
    p->moves = moves(e, s->moves[element]);
    p->follows = starved && s->v[e->a] - s->v[e->b] > e->drop;
    p->dead = starved && !p->follows;
    p->node_a = e->a;
    p->node_b = e->b;
    p->node_c = e->c;
    if (e->law == JV_SERIES) {
        p->first = (uint32_t)l->n_members;
        p->n_members = 1;
        add_member(l, s, element, 1.0);
    }
}

static void start_of_part(jv_lanes *l, const jv_lanes_start *s, size_t k) {
    jv_lane_part *p = &l->parts[k];
    for (uint32_t m = p->first; m < p->first + p->n_members; m++)
        p->rough = p->rough || (l->members[m].curve && !l->members[m].smooth);
    l->start_i[k] = s->i[p->element];
    if (p->n_members)
        l->start_i[k] *= l->members[p->first].sign;
    l->start_mode[k] = s->mode[p->element];
    l->start_v[k] = s->v[p->node_a] - s->v[p->node_b];
    for (uint32_t m = p->first; m < p->first + p->n_members; m++)
        l->part_of[l->members[m].element] = (uint32_t)k;
    l->part_of[p->element] = (uint32_t)k;
}

/* The moving parts first: what was taken is put in order by two passes over it. */
static jv_status order_parts(jv_lanes *l, const jv_lanes_start *s) {
    jv_lane_part *taken = jv_alloc(l->n_parts + 1, sizeof *taken);
    if (!taken)
        return JV_ERR_MEMORY;
    memcpy(taken, l->parts, l->n_parts * sizeof *taken);
    size_t n = 0;
    for (int pass = 0; pass < 2; pass++) {
        for (size_t k = 0; k < l->n_parts; k++)
            if (taken[k].moves == (pass == 0)) {
                l->parts[n] = taken[k];
                start_of_part(l, s, n++);
            }
        if (pass == 0)
            l->n_moving = n;
    }
    jv_free(taken);
    return JV_OK;
}

static jv_status list_parts(jv_lanes *l, const jv_lanes_start *s) {
    jv_knots knots = {0};
    for (size_t k = 0; k < s->n_elements; k++) {
        l->part_of[k] = UINT32_MAX;
        if (!s->elements[k].open && !fits(s, k))
            return JV_ERR_UNSOLVED;
    }
    jv_status status = find_knots(s, &knots);
    for (size_t k = 0; k < s->n_elements && status == JV_OK; k++) {
        if (s->elements[k].open || l->part_of[k] != UINT32_MAX)
            continue;
        jv_lane_part *p = &l->parts[l->n_parts];
        memset(p, 0, sizeof *p);
        size_t before = l->n_members;
        if (is_link(&s->elements[k]))
            take_string(l, s, &knots, k, p);
        else
            take_single(l, s, k, p);
        for (size_t m = before; m < l->n_members; m++)
            l->part_of[l->members[m].element] = (uint32_t)l->n_parts;
        l->n_parts++;
    }
    jv_free(knots.link);
    jv_free(knots.count);
    if (status == JV_OK)
        status = l->status;
    return status == JV_OK ? order_parts(l, s) : status;
}

/* --- pattern --- */

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

static double ohms_at_start(const jv_lanes *l, const jv_lanes_start *s, size_t part) {
    const jv_lane_part *p = &l->parts[part];
    double sum = 0.0;
    if (!p->n_members)
        return s->elements[p->element].r;
    for (uint32_t k = p->first; k < p->first + p->n_members; k++) {
        const jv_lane_member *m = &l->members[k];
        double temp, slope, warm = 1.0;
        if (m->curve && jv_heat_curve_at(m->curve, l->start_i[part], &temp, &slope))
            warm += m->r_slope * (temp - m->r_at_c);
        if (m->drawn)
            warm += m->r_slope *
                    (jv_lanes_warm_at(m, l->start_i[part], l->number[m->element][m->by][0]) -
                     m->r_at_c);
        sum += s->elements[m->element].r * warm;
    }
    return sum;
}

static void four(jv_triples *t, int a, int b, double g) {
    triple(t, a, a, g);
    triple(t, a, b, -g);
    triple(t, b, a, -g);
    triple(t, b, b, g);
}

static void part_triples(jv_triples *t, const jv_lanes *l, const jv_lanes_start *s, size_t part,
                         int j) {
    const jv_lane_part *p = &l->parts[part];
    const jv_element *e = &s->elements[p->element];
    int8_t mode = l->start_mode[part];
    double v = l->start_v[part];
    int a = p->node_a, b = p->node_b, c = p->node_c;
    if (!p->keeps) {
        double g = 1.0 / ohms_at_start(l, s, part);
        if (p->law == JV_SINK && mode != JV_MODE_LINEAR)
            g *= jv_lanes_slope_floor;
        if (p->law == JV_POWER)
            g = -e->limit / (v * v);
        four(t, a, b, g);
        return;
    }
    bool regulator = p->law == JV_REGULATOR;
    triple(t, a, j, 1.0);
    triple(t, regulator ? c : b, j, -1.0);
    if (regulator) {
        bool off = mode == JV_MODE_BACK;
        four(t, a, b, v < jv_lanes_knee_v ? e->quiescent / jv_lanes_knee_v : 0.0);
        triple(t, j, c, off ? 0.0 : 1.0);
        triple(t, j, p->follows ? a : b, off ? 0.0 : -1.0);
        triple(t, j, j, off ? 1.0 : e->r);
    } else {
        bool holds = mode == JV_MODE_LINEAR;
        triple(t, j, a, holds ? 1.0 : 0.0);
        triple(t, j, b, holds ? -1.0 : 0.0);
        triple(t, j, j, holds ? -fmax(e->r, jv_lanes_ohm_floor) : 1.0);
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

static void four_places(const jv_lanes_lu *f, int a, int b, int32_t at[JV_LANES_NODAL]) {
    at[0] = jv_lanes_lu_place(f, a, a);
    at[1] = jv_lanes_lu_place(f, a, b);
    at[2] = jv_lanes_lu_place(f, b, a);
    at[3] = jv_lanes_lu_place(f, b, b);
}

static void find_places(jv_lanes *l, jv_lane_part *p, int j) {
    const jv_lanes_lu *f = &l->lu;
    p->a = f->at_col[p->node_a];
    p->b = f->at_col[p->node_b];
    p->row_a = f->at_row[p->node_a];
    p->row_b = f->at_row[p->node_b];
    if (!p->keeps) {
        four_places(f, p->node_a, p->node_b, p->at);
        return;
    }
    if (p->law == JV_REGULATOR)
        four_places(f, p->node_a, p->node_b, p->own);
    p->j = f->at_col[j];
    p->row_j = f->at_row[j];
    p->at[3] = jv_lanes_lu_place(f, j, j);
}

/* The fixed entries of a kept current; its own ohms and volts are stamped like the rest. */
static void base_of_kept(jv_lanes *l, const jv_lane_part *p, int j, int8_t mode) {
    const jv_lanes_lu *f = &l->lu;
    bool regulator = p->law == JV_REGULATOR;
    l->base[jv_lanes_lu_place(f, p->node_a, j)] += 1.0;
    l->base[jv_lanes_lu_place(f, regulator ? p->node_c : p->node_b, j)] -= 1.0;
    if (regulator && mode != JV_MODE_BACK) {
        l->base[jv_lanes_lu_place(f, j, p->node_c)] += 1.0;
        l->base[jv_lanes_lu_place(f, j, p->follows ? p->node_a : p->node_b)] -= 1.0;
    } else if (!regulator && mode == JV_MODE_LINEAR) {
        l->base[jv_lanes_lu_place(f, j, p->node_a)] += 1.0;
        l->base[jv_lanes_lu_place(f, j, p->node_b)] -= 1.0;
    } else {
        l->base[p->at[3]] += 1.0;
    }
}

/* Numbers the nodes that have an equation: those inside strings have none. The parts take the new
 * numbers. */
static jv_status number_nodes(jv_lanes *l, const jv_lanes_start *s) {
    l->number_of = jv_alloc(s->n_nodes + 1, sizeof *l->number_of);
    if (!l->number_of)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < s->n_nodes; k++)
        l->number_of[k] = s->anchored[k] ? 0 : -1;
    for (size_t k = 0; k < l->n_parts; k++) {
        const jv_lane_part *p = &l->parts[k];
        l->number_of[p->node_a] = l->number_of[p->node_b] = 0;
        if (p->node_c >= 0)
            l->number_of[p->node_c] = 0;
    }
    for (size_t k = 0; k < s->n_nodes; k++)
        if (l->number_of[k] == 0)
            l->number_of[k] = (int32_t)l->n_nodes++;
    for (size_t k = 0; k < l->n_parts; k++) {
        jv_lane_part *p = &l->parts[k];
        p->node_a = l->number_of[p->node_a];
        p->node_b = l->number_of[p->node_b];
        if (p->node_c >= 0)
            p->node_c = l->number_of[p->node_c];
    }
    return JV_OK;
}

static jv_status make_matrix(jv_lanes *l, const jv_lanes_start *s) {
    enum { MOST = 9 };
    jv_triples t = {0};
    size_t room = MOST * l->n_parts + s->n_nodes + 1;
    int n = (int)l->n_nodes;
    t.row = jv_alloc(room, sizeof *t.row);
    t.col = jv_alloc(room, sizeof *t.col);
    t.x = jv_alloc(room, sizeof *t.x);
    jv_status status = t.row && t.col && t.x ? JV_OK : JV_ERR_MEMORY;
    for (size_t k = 0; k < s->n_nodes && status == JV_OK; k++)
        if (l->number_of[k] >= 0)
            triple(&t, l->number_of[k], l->number_of[k], s->anchored[k] ? 1.0 : 0.0);
    for (size_t k = 0; k < l->n_parts && status == JV_OK; k++) {
        part_triples(&t, l, s, k, n);
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
            l->base[jv_lanes_lu_place(&l->lu, l->number_of[k], l->number_of[k])] += 1.0;
    int j = (int)l->n_nodes;
    for (size_t k = 0; k < l->n_parts; k++) {
        find_places(l, &l->parts[k], j);
        if (l->parts[k].keeps)
            base_of_kept(l, &l->parts[k], j++, l->start_mode[k]);
        if (!l->parts[k].moves)
            jv_lanes_stamp_base(l, k);
    }
    return JV_OK;
}

static jv_status allocate(jv_lanes *l, const jv_lanes_start *s) {
    size_t n = s->n_elements + 1;
    l->n_elements = s->n_elements;
    l->width = s->width;
    l->number = jv_alloc(n, sizeof *l->number);
    l->parts = jv_alloc(n, sizeof *l->parts);
    l->members = jv_alloc(n, sizeof *l->members);
    l->sign_of = jv_alloc(n, sizeof *l->sign_of);
    l->emf = jv_alloc(n, sizeof *l->emf);
    l->part_of = jv_alloc(n, sizeof *l->part_of);
    l->mode = jv_alloc(n, sizeof *l->mode);
    l->amps = jv_alloc(n, sizeof *l->amps);
    l->ohms = jv_alloc(n, sizeof *l->ohms);
    l->slope = jv_alloc(n, sizeof *l->slope);
    l->start_i = jv_alloc(n, sizeof *l->start_i);
    l->start_v = jv_alloc(n, sizeof *l->start_v);
    l->start_mode = jv_alloc(n, sizeof *l->start_mode);
    if (!l->number || !l->parts || !l->part_of || !l->members || !l->sign_of || !l->emf ||
        !l->mode || !l->amps || !l->ohms || !l->slope || !l->start_i || !l->start_v ||
        !l->start_mode)
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
        status = number_nodes(l, start);
    if (status == JV_OK)
        status = make_matrix(l, start);
    if (status == JV_OK) {
        jv_lanes_rewind(l);
        status = make_base(l, start);
    }
    if (status != JV_OK) {
        jv_lanes_free(&l);
        return status;
    }
    *out = l;
    return JV_OK;
}
