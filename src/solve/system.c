/* system.c - pattern of the sparse system and its islands. SPDX-License-Identifier: MIT */
#include "solve/system.h"
#include "solve/laws.h"

#include <stdlib.h>
#include <string.h>

/* Entries of the matrix that an element touches:
 *   SERIES, SOURCE (nodes a b, current j): (a,j) (b,j); (j,a) (j,b) (j,j)
 *   SINK, POWER: (a,a) (a,b) (b,a) (b,b)
 *   REGULATOR: (a,j) (c,j); (j,a) (j,b) (j,j) (j,c) (a,a) (a,b) (b,a) (b,b)
 * Those before the semicolon never change and are written once; the others have a slot each,
 * in this order. */

/* Node c of element k, -1 = it has none. */
static inline int32_t third_node(const jv_system *s, size_t k) {
    return s->lean[k].law == JV_REGULATOR ? s->net->elements[k].c : -1;
}

/* The elements at each node, rising: those of node i at start[i] .. start[i + 1] - 1. */
typedef struct jv_incidence {
    uint32_t *start, *element;
} jv_incidence;

static jv_status find_incidence(const jv_system *s, jv_incidence *at) {
    const jv_net *net = s->net;
    size_t n = 0;
    at->start = jv_zalloc(net->n_nodes + 2, sizeof *at->start);
    if (!at->start)
        return JV_ERR_MEMORY;
    /* One place further than they belong: filling moves each to its own. */
    uint32_t *count = at->start + 1;
    for (size_t k = 0; k < net->n_elements; k++) {
        const int32_t nodes[] = {s->lean[k].a, s->lean[k].b, third_node(s, k)};
        for (int m = 0; m < 3; m++)
            if (nodes[m] >= 0) {
                count[nodes[m]]++;
                n++;
            }
    }
    at->element = jv_alloc(n + 1, sizeof *at->element);
    if (!at->element)
        return JV_ERR_MEMORY;
    uint32_t sum = 0;
    for (size_t i = 0; i < net->n_nodes; i++) {
        uint32_t here = count[i];
        count[i] = sum;
        sum += here;
    }
    for (size_t k = 0; k < net->n_elements; k++) {
        const int32_t nodes[] = {s->lean[k].a, s->lean[k].b, third_node(s, k)};
        for (int m = 0; m < 3; m++)
            if (nodes[m] >= 0)
                at->element[count[nodes[m]]++] = (uint32_t)k;
    }
    return JV_OK;
}

static int by_row(const void *left, const void *right) {
    int a = *(const int *)left, b = *(const int *)right;
    return (a > b) - (a < b);
}

/* Column of node i: rows of nodes by nodal laws, then rows of currents. `at` of a row is its
 * place in ai when that lies in this column. */
static void node_column(jv_system *s, const jv_incidence *near, int32_t i, int32_t *at) {
    const int first = s->ap[i];
    int count = first;
    bool sums = false;
    const uint32_t *list = near->element + near->start[i];
    const size_t n = near->start[i + 1] - near->start[i];
    s->ai[count++] = i;
    at[i] = first;
    for (size_t m = 0; m < n; m++) {
        const jv_lean *e = &s->lean[list[m]];
        if (e->law != JV_SINK && e->law != JV_POWER && e->law != JV_REGULATOR)
            continue;
        sums = true;
        int32_t other = e->a == i ? e->b : e->b == i ? e->a : i;
        if (at[other] < first) {
            at[other] = count;
            s->ai[count++] = other;
        }
    }
    if (count > first + 1) {
        qsort(s->ai + first, (size_t)(count - first), sizeof *s->ai, by_row);
        for (int k = first; k < count; k++) {
            at[s->ai[k]] = k;
        }
    }
    for (int k = first; sums && k < count; k++)
        s->sums[s->n_sums++] = k;
    s->diagonal[i] = at[i];
    for (size_t m = 0; m < n; m++) {
        const jv_lean *e = &s->lean[list[m]];
        int32_t *slot = s->slot + s->slot_at[list[m]];
        int32_t j = s->current[list[m]];
        if (j >= 0) {
            if (s->ai[count - 1] != j)
                s->ai[count++] = j;
            if (e->a == i)
                slot[JV_AT_A] = count - 1;
            if (e->b == i)
                slot[JV_AT_B] = count - 1;
            if (e->law != JV_REGULATOR)
                continue;
            if (s->net->elements[list[m]].c == i)
                slot[JV_AT_C] = count - 1;
            slot += JV_AT_NODAL;
        }
        if (e->a == i) {
            slot[0] = at[e->a];
            slot[2] = at[e->b];
        }
        if (e->b == i) {
            slot[1] = at[e->a];
            slot[3] = at[e->b];
        }
    }
    s->ap[i + 1] = count;
}

/* Column of the current j of element k: it leaves one node and enters another, always. */
static void current_column(jv_system *s, size_t k) {
    const jv_lean *e = &s->lean[k];
    int32_t j = s->current[k], from = e->a, to = e->law == JV_REGULATOR ? third_node(s, k) : e->b;
    int count = s->ap[j];
    int low = from < to ? from : to, high = from < to ? to : from;
    s->ax[count] = low == high ? 0.0 : low == from ? 1.0 : -1.0;
    s->ai[count++] = low;
    if (high != low) {
        s->ax[count] = high == from ? 1.0 : -1.0;
        s->ai[count++] = high;
    }
    s->slot[s->slot_at[k] + JV_AT_OWN] = count;
    s->ai[count++] = j;
    s->ap[j + 1] = count;
}

static jv_status make_pattern(jv_system *s) {
    size_t nodes = s->net->n_nodes;
    jv_incidence near = {NULL, NULL};
    int32_t *at = jv_alloc(nodes + 1, sizeof *at);
    jv_status status = at ? find_incidence(s, &near) : JV_ERR_MEMORY;
    if (status == JV_OK) {
        for (size_t i = 0; i < nodes; i++)
            at[i] = -1;
        s->ap[0] = 0;
        for (size_t i = 0; i < nodes; i++)
            node_column(s, &near, (int32_t)i, at);
        for (size_t k = 0; k < s->net->n_elements; k++)
            if (s->current[k] >= 0)
                current_column(s, k);
    }
    jv_free(at);
    jv_free(near.start);
    jv_free(near.element);
    return status;
}

/* Hands out pieces of one block: a large one lies on huge pages, many small ones do not. Called
 * first with base NULL for the size. */
typedef struct jv_carver {
    char *base;
    size_t used;
} jv_carver;

enum { LINE = 64 }; /* of the cache */

/* Takes the block whose size is known by now. */
static bool start_carving(jv_carver *c, void **block) {
    char *start = *block = jv_alloc(1, c->used + LINE);
    if (start)
        start += LINE - (uintptr_t)start % LINE;
    *c = (jv_carver){start, 0};
    return start != NULL;
}

static void *carve(jv_carver *c, size_t n, size_t size) {
    void *piece = c->base ? c->base + c->used : NULL;
    c->used += ((n + 1) * size + LINE - 1) / LINE * LINE;
    return piece;
}

static void carve_by_element(jv_system *s, jv_carver *c) {
    const size_t elements = s->net->n_elements, nodes = s->net->n_nodes;
    s->lean = carve(c, elements, sizeof *s->lean);
    s->heats = carve(c, s->net->most_warm, sizeof *s->heats);
    s->i_now = carve(c, elements, sizeof *s->i_now);
    s->r_now = carve(c, elements, sizeof *s->r_now);
    s->current = carve(c, elements, sizeof *s->current);
    s->slot_at = carve(c, elements, sizeof *s->slot_at);
    s->pieces = carve(c, elements, sizeof *s->pieces);
    s->diagonal = carve(c, nodes, sizeof *s->diagonal);
    s->mode = carve(c, elements, sizeof *s->mode);
    s->anchored = carve(c, nodes, sizeof *s->anchored);
    s->anchors = carve(c, nodes, sizeof *s->anchors);
}

typedef struct jv_counts {
    size_t entries, slots; /* of the matrix, repeats and all */
} jv_counts;

static void carve_by_unknown(jv_system *s, const jv_counts *n, jv_carver *c) {
    const size_t unknowns = (size_t)s->n;
    s->x = carve(c, unknowns, sizeof *s->x);
    s->f = carve(c, unknowns, sizeof *s->f);
    s->scale = carve(c, unknowns, sizeof *s->scale);
    s->dx = carve(c, unknowns, sizeof *s->dx);
    s->ax = carve(c, n->entries, sizeof *s->ax);
    s->ai = carve(c, n->entries, sizeof *s->ai);
    s->ap = carve(c, unknowns + 1, sizeof *s->ap);
    s->slot = carve(c, n->slots, sizeof *s->slot);
    s->sums = carve(c, 4 * s->n_pieces, sizeof *s->sums);
}

static bool allocate_by_element(jv_system *s) {
    jv_carver c = {NULL, 0};
    carve_by_element(s, &c);
    if (!start_carving(&c, &s->by_element))
        return false;
    carve_by_element(s, &c);
    memset(s->mode, 0, s->net->n_elements);
    memset(s->i_now, 0, s->net->n_elements * sizeof *s->i_now);
    memset(s->r_now, 0, s->net->n_elements * sizeof *s->r_now);
    return true;
}

/* Numbers the unknown currents and the slots. */
static jv_counts number_unknowns(jv_system *s) {
    size_t next = s->net->n_nodes;
    jv_counts n = {s->net->n_nodes, 0};
    for (size_t i = 0; i < s->net->n_elements; i++) {
        jv_law law = (jv_law)s->lean[i].law;
        size_t slots = jv_law_slots(law);
        bool has_current = jv_law_has_current(law);
        s->current[i] = has_current ? (int32_t)next++ : -1;
        if (law != JV_SERIES)
            s->pieces[s->n_pieces++] = (uint32_t)i;
        s->slot_at[i] = (uint32_t)n.slots;
        n.slots += slots;
        n.entries += slots + (has_current ? 2 : 0);
    }
    s->n = (int)next;
    return n;
}

static bool allocate_by_unknown(jv_system *s, const jv_counts *n) {
    jv_carver c = {NULL, 0};
    carve_by_unknown(s, n, &c);
    if (!start_carving(&c, &s->by_unknown))
        return false;
    carve_by_unknown(s, n, &c);
    memset(s->x, 0, (size_t)s->n * sizeof *s->x);
    return true;
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

jv_status jv_system_anchor_taken(jv_system *s) {
    size_t nodes = s->net->n_nodes;
    int32_t *parent = jv_alloc(nodes + 1, sizeof *parent);
    if (!parent)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < nodes; i++)
        parent[i] = (int32_t)i;
    for (size_t i = 0; i < s->net->n_elements; i++) {
        const jv_lean *e = &s->lean[i];
        if (e->open)
            continue;
        join(parent, e->a, e->b);
        int32_t c = third_node(s, i);
        if (c >= 0)
            join(parent, e->b, c);
    }
    memset(s->anchored, 0, nodes);
    int32_t reference = s->net->circuit->reference;
    int32_t home = reference >= 0 ? root_of(parent, reference) : -1;
    s->n_anchors = 0;
    for (size_t i = 0; i < nodes; i++)
        if (root_of(parent, (int32_t)i) == (int32_t)i && (int32_t)i != home)
            s->anchors[s->n_anchors++] = (int32_t)i;
    if (reference >= 0)
        s->anchors[s->n_anchors++] = reference;
    for (size_t k = 0; k < s->n_anchors; k++)
        s->anchored[s->anchors[k]] = 1;
    s->opened = s->standing = false;
    jv_free(parent);
    return JV_OK;
}

static jv_status list_settling(jv_system *s) {
    const jv_circuit *c = s->net->circuit;
    size_t n = 0;
    for (size_t p = 0; p < c->n_parts; p++)
        n += c->parts[p].kind->settle != NULL;
    s->settling = jv_alloc(n + 1, sizeof *s->settling);
    if (!s->settling)
        return JV_ERR_MEMORY;
    for (size_t p = 0; p < c->n_parts; p++)
        if (c->parts[p].kind->settle)
            s->settling[s->n_settling++] = (uint32_t)p;
    return JV_OK;
}

/* Takes all elements, and numbers those that may warm. */
static void take_first(jv_system *s) {
    uint32_t heats = 0;
    for (size_t k = 0; k < s->net->n_elements; k++) {
        const jv_element *e = &s->net->elements[k];
        s->lean[k].heat = heats;
        jv_lean_take(e, &s->lean[k], s->heats);
        heats += e->warms || e->heat;
    }
}

static jv_status set_up(jv_system *s) {
    if (!allocate_by_element(s))
        return JV_ERR_MEMORY;
    take_first(s);
    jv_counts counts = number_unknowns(s);
    jv_status status = allocate_by_unknown(s, &counts) ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK)
        status = make_pattern(s);
    if (status == JV_OK)
        status = jv_lu_new(s->n, s->ap, s->ai, &s->lu);
    if (status == JV_OK)
        status = list_settling(s);
    if (status == JV_OK)
        status = jv_system_anchor_taken(s);
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
    jv_lu_free(&s->lu);
    jv_free(s->by_element);
    jv_free(s->by_unknown);
    jv_free(s->settling);
    jv_free(s);
    *system = NULL;
}

jv_status jv_system_anchor(jv_system *s) {
    for (size_t k = 0; k < s->net->n_elements; k++)
        s->lean[k].open = s->net->elements[k].open; /* what the next take compares with */
    return jv_system_anchor_taken(s);
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
           s->net->n_elements * (2 * sizeof(double) + sizeof(jv_lean) + 3 * sizeof(int32_t) + 1) +
           s->net->most_warm * sizeof(jv_lean_heat) + s->net->n_nodes * (2 * sizeof(int32_t) + 1) +
           jv_lu_memory(s->lu);
}
