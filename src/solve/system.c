/* system.c - pattern of the sparse system and its islands. SPDX-License-Identifier: MIT */
#include "solve/system.h"

#include <string.h>

/* Entries of the matrix that an element touches, in the order in which laws.c fills them:
 *   SERIES, SOURCE (nodes a b, current j): (a,j) (b,j) (j,a) (j,b) (j,j)
 *   SINK, POWER: (a,a) (a,b) (b,a) (b,b)
 *   REGULATOR: (a,j) (c,j) (j,a) (j,b) (j,c) (j,j) (a,a) (a,b) (b,a) (b,b) */
enum { ENTRIES_BRANCH = 5, ENTRIES_NODAL = 4, ENTRIES_REGULATOR = 10 };

static size_t entries_of(uint8_t law) {
    if (law == JV_REGULATOR)
        return ENTRIES_REGULATOR;
    return jv_law_has_current((jv_law)law) ? ENTRIES_BRANCH : ENTRIES_NODAL;
}

/* Row and column of entry k of an element. */
static void entry(const jv_element *e, int32_t j, size_t k, int32_t *row, int32_t *col) {
    const int32_t a = e->a, b = e->b, c = e->c;
    const int32_t branch[][2] = {{a, j}, {b, j}, {j, a}, {j, b}, {j, j}};
    const int32_t nodal[][2] = {{a, a}, {a, b}, {b, a}, {b, b}};
    const int32_t regulator[][2] = {{a, j}, {c, j}, {j, a}, {j, b}, {j, c}, {j, j}};
    const int32_t *at;
    if (e->law == JV_REGULATOR)
        at = k < 6 ? regulator[k] : nodal[k - 6];
    else
        at = jv_law_has_current((jv_law)e->law) ? branch[k] : nodal[k];
    *row = at[0];
    *col = at[1];
}

typedef struct jv_pattern {
    size_t n_entries; /* with repeats */
    int32_t *row, *col;
} jv_pattern;

static void list_entries(const jv_system *s, jv_pattern *p) {
    size_t k = 0;
    for (size_t i = 0; i < s->net->n_nodes; i++, k++)
        p->row[k] = p->col[k] = (int32_t)i;
    for (size_t i = 0; i < s->net->n_elements; i++) {
        const jv_element *e = &s->net->elements[i];
        for (size_t m = 0; m < entries_of(e->law); m++, k++)
            entry(e, s->current[i], m, &p->row[k], &p->col[k]);
    }
}

/* Sorts entry numbers by (column, row) with two counting sorts: linear in their number. */
static jv_status sort_entries(const jv_pattern *p, int n, int32_t *order) {
    int32_t *start = jv_alloc((size_t)n + 1, sizeof *start);
    int32_t *half = jv_alloc(p->n_entries + 1, sizeof *half);
    if (!start || !half) {
        jv_free(start);
        jv_free(half);
        return JV_ERR_MEMORY;
    }
    for (int pass = 0; pass < 2; pass++) {
        const int32_t *key = pass ? p->col : p->row;
        memset(start, 0, ((size_t)n + 1) * sizeof *start);
        for (size_t k = 0; k < p->n_entries; k++)
            start[key[k] + 1]++;
        for (int i = 0; i < n; i++)
            start[i + 1] += start[i];
        for (size_t k = 0; k < p->n_entries; k++) {
            int32_t number = pass ? half[k] : (int32_t)k;
            (pass ? order : half)[start[key[number]]++] = number;
        }
    }
    jv_free(start);
    jv_free(half);
    return JV_OK;
}

/* Merges repeats, writes ap and ai, and tells each entry where its number stands. */
static void compress(jv_system *s, const jv_pattern *p, const int32_t *order, int32_t *place) {
    int count = -1;
    int32_t row = -1, col = -1;
    for (size_t k = 0; k < p->n_entries; k++) {
        int32_t number = order[k];
        if (p->row[number] != row || p->col[number] != col) {
            while (col < p->col[number])
                s->ap[++col] = count + 1;
            row = p->row[number];
            s->ai[++count] = row;
        }
        place[number] = count;
    }
    while (col < s->n)
        s->ap[++col] = count + 1;
    s->ap[s->n] = count + 1;
    size_t nodes = s->net->n_nodes;
    memcpy(s->diagonal, place, nodes * sizeof *place);
    memcpy(s->slot, place + nodes, (p->n_entries - nodes) * sizeof *place);
}

static jv_status make_pattern(jv_system *s, size_t n_entries) {
    jv_pattern p = {n_entries, NULL, NULL};
    p.row = jv_alloc(n_entries + 1, sizeof *p.row);
    p.col = jv_alloc(n_entries + 1, sizeof *p.col);
    int32_t *order = jv_alloc(n_entries + 1, sizeof *order);
    int32_t *place = jv_alloc(n_entries + 1, sizeof *place);
    jv_status status = JV_ERR_MEMORY;
    if (p.row && p.col && order && place) {
        list_entries(s, &p);
        status = sort_entries(&p, s->n, order);
        if (status == JV_OK)
            compress(s, &p, order, place);
    }
    jv_free(p.row);
    jv_free(p.col);
    jv_free(order);
    jv_free(place);
    return status;
}

static void number_unknowns(jv_system *s, size_t *n_entries) {
    size_t next = s->net->n_nodes, entries = s->net->n_nodes;
    uint32_t at = 0;
    for (size_t i = 0; i < s->net->n_elements; i++) {
        uint8_t law = s->net->elements[i].law;
        s->current[i] = jv_law_has_current((jv_law)law) ? (int32_t)next++ : -1;
        if (law != JV_SERIES)
            s->pieces[s->n_pieces++] = (uint32_t)i;
        s->slot_at[i] = at;
        at += (uint32_t)entries_of(law);
        entries += entries_of(law);
    }
    s->n = (int)next;
    *n_entries = entries;
}

static jv_status allocate_vectors(jv_system *s, size_t n_entries) {
    size_t n = (size_t)s->n + 1;
    s->ap = jv_alloc(n, sizeof *s->ap);
    s->ai = jv_alloc(n_entries + 1, sizeof *s->ai);
    s->ax = jv_alloc(n_entries + 1, sizeof *s->ax);
    s->slot = jv_alloc(n_entries + 1, sizeof *s->slot);
    s->x = jv_zalloc(n, sizeof *s->x);
    s->f = jv_alloc(n, sizeof *s->f);
    s->dx = jv_alloc(n, sizeof *s->dx);
    s->scale = jv_alloc(n, sizeof *s->scale);
    if (!s->ap || !s->ai || !s->ax || !s->slot || !s->x || !s->f || !s->dx || !s->scale)
        return JV_ERR_MEMORY;
    return JV_OK;
}

static jv_status set_up(jv_system *s) {
    size_t elements = s->net->n_elements + 1, nodes = s->net->n_nodes + 1, n_entries = 0;
    s->current = jv_alloc(elements, sizeof *s->current);
    s->slot_at = jv_alloc(elements, sizeof *s->slot_at);
    s->mode = jv_zalloc(elements, sizeof *s->mode);
    s->pieces = jv_alloc(elements, sizeof *s->pieces);
    s->i_now = jv_zalloc(elements, sizeof *s->i_now);
    s->r_now = jv_zalloc(elements, sizeof *s->r_now);
    s->diagonal = jv_alloc(nodes, sizeof *s->diagonal);
    s->anchored = jv_zalloc(nodes, sizeof *s->anchored);
    if (!s->current || !s->slot_at || !s->mode || !s->pieces || !s->i_now || !s->r_now ||
        !s->diagonal || !s->anchored)
        return JV_ERR_MEMORY;
    number_unknowns(s, &n_entries);
    jv_status status = allocate_vectors(s, n_entries);
    if (status == JV_OK)
        status = make_pattern(s, n_entries);
    if (status == JV_OK)
        status = jv_lu_new(s->n, s->ap, s->ai, &s->lu);
    if (status == JV_OK)
        status = jv_system_anchor(s);
    return status;
}

jv_status jv_system_new(jv_net *net, jv_system **out) {
    jv_system *s = jv_zalloc(1, sizeof *s);
    if (!s)
        return JV_ERR_MEMORY;
    s->net = net;
    s->power_share = 1.0;
    jv_status status = set_up(s);
    if (status != JV_OK) {
        jv_system_free(&s);
        return status;
    }
    *out = s;
    return JV_OK;
}

void jv_system_free(jv_system **system) {
    if (!system || !*system)
        return;
    jv_system *s = *system;
    void *const blocks[] = {s->ap,       s->ai,    s->ax,      s->x,       s->f,    s->scale,
                            s->dx,       s->slot,  s->current, s->slot_at, s->mode, s->pieces,
                            s->diagonal, s->i_now, s->r_now,   s->anchored};
    jv_lu_free(&s->lu);
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++)
        jv_free(blocks[i]);
    jv_free(s);
    *system = NULL;
}

static int32_t root_of(int32_t *parent, int32_t i) {
    while (parent[i] != i) {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    return i;
}

static void join(int32_t *parent, int32_t a, int32_t b) {
    int32_t x = root_of(parent, a), y = root_of(parent, b);
    if (x < y)
        parent[y] = x;
    else
        parent[x] = y;
}

jv_status jv_system_anchor(jv_system *s) {
    size_t nodes = s->net->n_nodes;
    int32_t *parent = jv_alloc(nodes + 1, sizeof *parent);
    if (!parent)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < nodes; i++)
        parent[i] = (int32_t)i;
    for (size_t i = 0; i < s->net->n_elements; i++) {
        const jv_element *e = &s->net->elements[i];
        if (e->open)
            continue;
        join(parent, e->a, e->b);
        if (e->c >= 0)
            join(parent, e->b, e->c);
    }
    memset(s->anchored, 0, nodes);
    int32_t reference = s->net->circuit->reference;
    int32_t home = reference >= 0 ? root_of(parent, reference) : -1;
    for (size_t i = 0; i < nodes; i++)
        if (root_of(parent, (int32_t)i) == (int32_t)i && (int32_t)i != home)
            s->anchored[i] = 1;
    if (reference >= 0)
        s->anchored[reference] = 1;
    jv_free(parent);
    return JV_OK;
}

const char *jv_system_unknown_name(const jv_system *s, int unknown) {
    const jv_circuit *c = s->net->circuit;
    if (unknown >= 0 && (size_t)unknown < c->n_terminals)
        return c->terminals[unknown];
    for (size_t i = 0; i < s->net->n_elements; i++) {
        const jv_element *e = &s->net->elements[i];
        if (s->current[i] == unknown || e->a == unknown || e->b == unknown)
            return c->parts[e->part].name;
    }
    return "the circuit";
}

size_t jv_system_memory(const jv_system *s) {
    size_t n = (size_t)s->n, entries = (size_t)s->ap[s->n];
    return sizeof *s + n * (4 * sizeof(double) + sizeof(int)) +
           entries * (sizeof(double) + sizeof(int) + sizeof(int32_t)) +
           s->net->n_elements * (2 * sizeof(double) + 3 * sizeof(int32_t) + 1) +
           s->net->n_nodes * (sizeof(int32_t) + 1) + jv_lu_memory(s->lu);
}
