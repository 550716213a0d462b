/* circuit.c - building a circuit in memory and asking it. SPDX-License-Identifier: MIT */
#include "circuit/circuit.h"

#include "circuit/part_kind.h"

#include <math.h>
#include <string.h>

#define FIRST_BUCKETS 64u
#define NO_ENTRY UINT32_MAX

/* FNV-1a, 32 bits (Fowler, Noll, Vo; public domain constants). */
static uint32_t hash_text(const char *s) {
    uint32_t h = 2166136261u;
    for (; *s; s++) {
        h ^= (unsigned char)*s;
        h *= 16777619u;
    }
    return h;
}

jv_circuit *jv_circuit_new(void) {
    jv_circuit *c = jv_zalloc(1, sizeof *c);
    if (!c)
        return NULL;
    c->reference = -1;
    return c;
}

void jv_circuit_free(jv_circuit **circuit) {
    if (!circuit || !*circuit)
        return;
    jv_circuit *c = *circuit;
    jv_free(c->terminals);
    jv_free(c->parts);
    jv_free(c->slots);
    jv_free(c->slot_keys);
    jv_free(c->slot_index);
    jv_free(c->watches);
    jv_free(c->cases);
    jv_free(c->plans);
    jv_free(c->terminal_table);
    jv_free(c->part_table);
    jv_arena_clear(&c->arena);
    jv_free(c);
    *circuit = NULL;
}

/* Makes room for one more item; false (and the circuit marked) when memory is short. */
static bool grow(jv_circuit *c, void *items, size_t *capacity, size_t count, size_t size) {
    void **slot = items;
    if (count < *capacity)
        return true;
    size_t wanted = *capacity ? *capacity + *capacity / 2 + 1 : 16;
    void *moved = jv_resize(*slot, wanted, size);
    if (!moved) {
        c->out_of_memory = true;
        return false;
    }
    *slot = moved;
    *capacity = wanted;
    return true;
}

static const char *terminal_at(const jv_circuit *c, uint32_t i) {
    return c->terminals[i];
}
static const char *part_at(const jv_circuit *c, uint32_t i) {
    return c->parts[i].name;
}

typedef const char *(*name_at)(const jv_circuit *c, uint32_t i);

/* Open addressing; the table is at most half full. */
static int32_t table_find(const jv_circuit *c, const uint32_t *table, size_t buckets, name_at at,
                          const char *name) {
    if (!buckets)
        return -1;
    for (size_t k = hash_text(name) & (buckets - 1); table[k] != NO_ENTRY;
         k = (k + 1) & (buckets - 1))
        if (strcmp(at(c, table[k]), name) == 0)
            return (int32_t)table[k];
    return -1;
}

static void table_put(uint32_t *table, size_t buckets, const char *name, uint32_t index) {
    size_t k = hash_text(name) & (buckets - 1);
    while (table[k] != NO_ENTRY)
        k = (k + 1) & (buckets - 1);
    table[k] = index;
}

static bool table_room(jv_circuit *c, uint32_t **table, size_t *buckets, size_t count, name_at at) {
    if (2 * (count + 1) <= *buckets)
        return true;
    size_t wanted = *buckets ? 2 * *buckets : FIRST_BUCKETS;
    uint32_t *fresh = jv_alloc(wanted, sizeof *fresh);
    if (!fresh) {
        c->out_of_memory = true;
        return false;
    }
    for (size_t k = 0; k < wanted; k++)
        fresh[k] = NO_ENTRY;
    for (uint32_t i = 0; i < count; i++)
        table_put(fresh, wanted, at(c, i), i);
    jv_free(*table);
    *table = fresh;
    *buckets = wanted;
    return true;
}

int32_t jv_circuit_find_terminal(const jv_circuit *c, const char *name) {
    return table_find(c, c->terminal_table, c->terminal_buckets, terminal_at, name);
}

int32_t jv_circuit_find_part(const jv_circuit *c, const char *name) {
    return table_find(c, c->part_table, c->part_buckets, part_at, name);
}

static const char *copy_name(jv_circuit *c, const char *name) {
    const char *copy = jv_arena_copy(&c->arena, name, strlen(name));
    if (!copy)
        c->out_of_memory = true;
    return copy;
}

int32_t jv_circuit_terminal(jv_circuit *c, const char *name) {
    int32_t known = jv_circuit_find_terminal(c, name);
    if (known >= 0)
        return known;
    if (!grow(c, &c->terminals, &c->cap_terminals, c->n_terminals, sizeof *c->terminals))
        return -1;
    if (!table_room(c, &c->terminal_table, &c->terminal_buckets, c->n_terminals, terminal_at))
        return -1;
    const char *copy = copy_name(c, name);
    if (!copy)
        return -1;
    uint32_t index = (uint32_t)c->n_terminals++;
    c->terminals[index] = copy;
    table_put(c->terminal_table, c->terminal_buckets, copy, index);
    return (int32_t)index;
}

static bool slot_room(jv_circuit *c) {
    return grow(c, &c->slots, &c->cap_slots, c->n_slots, sizeof *c->slots) &&
           grow(c, &c->slot_keys, &c->cap_slot_keys, c->n_slots, sizeof *c->slot_keys);
}

jv_part *jv_circuit_add_part(jv_circuit *c, const jv_part_kind *kind, const char *name) {
    if (!grow(c, &c->parts, &c->cap_parts, c->n_parts, sizeof *c->parts))
        return NULL;
    /* Even a part without slots points into the arrays: there must be one. */
    if (!slot_room(c))
        return NULL;
    if (!table_room(c, &c->part_table, &c->part_buckets, c->n_parts, part_at))
        return NULL;
    const char *copy = copy_name(c, name);
    if (!copy)
        return NULL;
    uint32_t index = (uint32_t)c->n_parts++;
    jv_part *p = &c->parts[index];
    memset(p, 0, sizeof *p);
    p->kind = kind;
    p->name = copy;
    p->first_slot = (uint32_t)c->n_slots;
    p->driver = -1;
    p->driver_output = -1;
    table_put(c->part_table, c->part_buckets, copy, index);
    return p;
}

jv_slot *jv_circuit_add_slot(jv_circuit *c, unsigned key) {
    if (!slot_room(c))
        return NULL;
    jv_free(c->slot_index); /* which would be too short */
    c->slot_index = NULL;
    c->slot_keys[c->n_slots] = (uint8_t)key;
    jv_slot *s = &c->slots[c->n_slots++];
    memset(s, 0, sizeof *s);
    s->key = (uint8_t)key;
    s->index = -1;
    s->second = -1;
    c->parts[c->n_parts - 1].n_slots++;
    return s;
}

void jv_circuit_close_part(jv_circuit *c) {
    jv_part *p = &c->parts[c->n_parts - 1];
    for (unsigned k = 0; k < p->kind->n_keys; k++) {
        const jv_key *key = &p->kind->keys[k];
        if (!key->fallback || key->type != JV_KEY_QUANTITY || jv_part_has(c, p, k))
            continue;
        jv_slot *s = jv_circuit_add_slot(c, k);
        if (!s)
            return;
        p = &c->parts[c->n_parts - 1];
        s->origin = JV_FALLBACK;
        s->text = key->fallback;
        s->line = p->line;
        s->column = p->column;
        /* Fallbacks are constants of the kind; the unit test of the kinds reads each. */
        if (jv_quantity_read(key->fallback, key->dim, &s->value, NULL) != JV_OK)
            s->value = jv_value_exact(NAN);
    }
    if (p->kind->assume && !p->faulted)
        p->kind->assume(c, p);
}

/* Moves a text into the circuit's arena; NULL (and the circuit marked) when memory is short. */
static const char *keep_text(jv_circuit *c, jv_text *t) {
    const char *copy = t->failed ? NULL : jv_arena_copy(&c->arena, jv_text_str(t), t->length);
    if (!copy)
        c->out_of_memory = true;
    jv_text_clear(t);
    return copy;
}

void jv_circuit_assume(jv_circuit *c, unsigned key, const jv_value *value, const char *basis, ...) {
    enum { DIGITS = 3 };
    const jv_part *p = &c->parts[c->n_parts - 1];
    if (jv_part_has(c, p, key))
        return;
    jv_dim dim = p->kind->keys[key].dim;
    uint32_t line = p->line;
    uint16_t column = p->column;
    jv_slot *s = jv_circuit_add_slot(c, key);
    if (!s)
        return;
    jv_text text = {0}, why = {0};
    va_list args;
    va_start(args, basis);
    jv_text_vaddf(&why, basis, args);
    va_end(args);
    jv_quantity_print(&text, value->nominal, dim, JV_UNITS_SI, DIGITS);
    s->origin = JV_FALLBACK;
    s->value = *value;
    s->line = line;
    s->column = column;
    s->text = keep_text(c, &text);
    s->basis = keep_text(c, &why);
}

jv_watch *jv_circuit_add_watch(jv_circuit *c, const char *name) {
    if (!grow(c, &c->watches, &c->cap_watches, c->n_watches, sizeof *c->watches))
        return NULL;
    const char *copy = copy_name(c, name);
    if (!copy)
        return NULL;
    jv_watch *w = &c->watches[c->n_watches++];
    memset(w, 0, sizeof *w);
    w->name = copy;
    w->plus = w->minus = w->part = -1;
    w->below = jv_value_exact(NAN);
    w->held_for = jv_value_exact(0.0);
    w->ignored_for = jv_value_exact(0.0);
    w->reset_above = jv_value_exact(NAN);
    w->state = JV_ALWAYS;
    w->action = JV_STOP_ALL;
    return w;
}

jv_case *jv_circuit_add_case(jv_circuit *c, const char *name) {
    if (!grow(c, &c->cases, &c->cap_cases, c->n_cases, sizeof *c->cases))
        return NULL;
    const char *copy = copy_name(c, name);
    if (!copy)
        return NULL;
    jv_case *k = &c->cases[c->n_cases++];
    memset(k, 0, sizeof *k);
    k->name = copy;
    return k;
}

jv_plan *jv_circuit_add_plan(jv_circuit *c, const char *name) {
    if (!grow(c, &c->plans, &c->cap_plans, c->n_plans, sizeof *c->plans))
        return NULL;
    const char *copy = copy_name(c, name);
    if (!copy)
        return NULL;
    jv_plan *p = &c->plans[c->n_plans++];
    memset(p, 0, sizeof *p);
    p->name = copy;
    p->longest_s = NAN;
    return p;
}

jv_plan_step jv_plan_step_new(const char *name) {
    jv_plan_step s;
    memset(&s, 0, sizeof s);
    s.loading.name = name;
    s.for_s = s.extension_m = s.force_n = s.current_a = NAN;
    s.until_watch = -1;
    return s;
}

jv_place jv_circuit_place(const jv_circuit *c, uint32_t line, uint16_t column,
                          const char *pointer) {
    jv_place place = {c->file, pointer, line, column};
    return place;
}

/* --- public questions --- */

const char *jv_circuit_name(const jv_circuit *c) {
    return c->name;
}
const char *jv_circuit_comment(const jv_circuit *c) {
    return c->comment;
}
size_t jv_circuit_parts(const jv_circuit *c) {
    return c->n_parts;
}
size_t jv_circuit_terminals(const jv_circuit *c) {
    return c->n_terminals;
}
size_t jv_circuit_watches(const jv_circuit *c) {
    return c->n_watches;
}
size_t jv_circuit_cases(const jv_circuit *c) {
    return c->n_cases;
}

const char *jv_circuit_part_name(const jv_circuit *c, size_t part) {
    return part < c->n_parts ? c->parts[part].name : NULL;
}

const char *jv_circuit_part_kind(const jv_circuit *c, size_t part) {
    return part < c->n_parts ? c->parts[part].kind->name : NULL;
}

const char *jv_circuit_terminal_name(const jv_circuit *c, size_t terminal) {
    return terminal < c->n_terminals ? c->terminals[terminal] : NULL;
}

const char *jv_circuit_case_name(const jv_circuit *c, size_t loading) {
    return loading < c->n_cases ? c->cases[loading].name : NULL;
}

size_t jv_circuit_find_case(const jv_circuit *c, const char *name) {
    for (size_t i = 0; i < c->n_cases; i++)
        if (strcmp(c->cases[i].name, name) == 0)
            return i;
    return c->n_cases;
}

size_t jv_circuit_memory(const jv_circuit *c) {
    return sizeof *c + c->arena.total + c->cap_terminals * sizeof *c->terminals +
           c->cap_parts * sizeof *c->parts + c->cap_slots * sizeof *c->slots + c->cap_slot_keys +
           (c->slot_index ? c->n_slots * sizeof *c->slot_index : 0) +
           c->cap_watches * sizeof *c->watches + c->cap_cases * sizeof *c->cases +
           (c->terminal_buckets + c->part_buckets) * sizeof(uint32_t);
}

size_t jv_circuit_sequences(const jv_circuit *c) {
    return c->n_plans;
}

const char *jv_circuit_sequence_name(const jv_circuit *c, size_t sequence) {
    return sequence < c->n_plans ? c->plans[sequence].name : NULL;
}

size_t jv_circuit_find_sequence(const jv_circuit *c, const char *name) {
    size_t i = 0;
    while (i < c->n_plans && strcmp(c->plans[i].name, name) != 0)
        i++;
    return i;
}

double jv_case_times(const jv_case *k) {
    return k->pause_s > 0 ? k->repeats : 1;
}

double jv_case_on_s(const jv_case *k) {
    return k->run_for.nominal * jv_case_times(k);
}
