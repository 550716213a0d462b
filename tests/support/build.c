/* build.c - build small circuits in a test, keys by name. SPDX-License-Identifier: MIT */
#include "build.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

jv_circuit *build_circuit(void) {
    jv_circuit *c = jv_circuit_new();
    assert_non_null(c);
    c->ambient = jv_value_exact(20.0);
    return c;
}

uint32_t build_part_of(jv_circuit *c, const jv_part_kind *kind, const char *name) {
    assert_non_null(jv_circuit_add_part(c, kind, name));
    return (uint32_t)(c->n_parts - 1);
}

uint32_t build_part(jv_circuit *c, const char *kind, const char *name) {
    const jv_part_kind *k = jv_kind_find(kind);
    if (!k)
        fail_msg("there is no kind \"%s\"", kind);
    return build_part_of(c, k, name);
}

static const jv_key *key_of(const jv_circuit *c, const char *name, unsigned *index) {
    const jv_part_kind *kind = c->parts[c->n_parts - 1].kind;
    for (unsigned k = 0; k < kind->n_keys; k++) {
        if (strcmp(kind->keys[k].name, name) == 0) {
            *index = k;
            return &kind->keys[k];
        }
    }
    fail_msg("kind \"%s\" has no key \"%s\"", kind->name, name);
    return NULL;
}

/* A slot of that key, which must be of one of two types. */
static jv_slot *slot_of(jv_circuit *c, const char *key, jv_key_type type, jv_key_type other,
                        const char *text) {
    unsigned index = 0;
    const jv_key *k = key_of(c, key, &index);
    if (k->type != type && k->type != other)
        fail_msg("key \"%s\" is of another type", key);
    jv_slot *s = jv_circuit_add_slot(c, index);
    assert_non_null(s);
    s->text = jv_arena_copy(&c->arena, text, strlen(text));
    assert_non_null(s->text);
    return s;
}

static int32_t terminal_of(jv_circuit *c, const char *name) {
    int32_t t = jv_circuit_terminal(c, name);
    assert_true(t >= 0);
    return t;
}

void build_terminal(jv_circuit *c, const char *key, const char *terminal) {
    slot_of(c, key, JV_KEY_TERMINAL, JV_KEY_TERMINAL, terminal)->index = terminal_of(c, terminal);
}

static void read_into(jv_slot *s, const jv_circuit *c, const char *text) {
    const jv_part_kind *kind = c->parts[c->n_parts - 1].kind;
    jv_quantity_fault fault;
    if (jv_quantity_read(text, kind->keys[s->key].dim, &s->value, &fault) != JV_OK)
        fail_msg("\"%s\": %s", text, fault.message);
}

void build_quantity(jv_circuit *c, const char *key, const char *text) {
    read_into(slot_of(c, key, JV_KEY_QUANTITY, JV_KEY_QUANTITY, text), c, text);
}

void build_word(jv_circuit *c, const char *key, const char *word) {
    jv_slot *s = slot_of(c, key, JV_KEY_WORD, JV_KEY_WORD, word);
    const char *at = c->parts[c->n_parts - 1].kind->keys[s->key].choices;
    for (int32_t i = 0; at; i++) {
        size_t length = strcspn(at, "|");
        if (length == strlen(word) && strncmp(at, word, length) == 0) {
            s->index = i;
            return;
        }
        at = at[length] ? at + length + 1 : NULL;
    }
    fail_msg("\"%s\" is no choice of key \"%s\"", word, key);
}

void build_flag(jv_circuit *c, const char *key, bool value) {
    slot_of(c, key, JV_KEY_FLAG, JV_KEY_FLAG, value ? "true" : "false")->index = value;
}

void build_text(jv_circuit *c, const char *key, const char *text) {
    slot_of(c, key, JV_KEY_TEXT, JV_KEY_SIZE, text);
}

void build_reference(jv_circuit *c, const char *key, const char *part) {
    int32_t index = jv_circuit_find_part(c, part);
    assert_true(index >= 0);
    slot_of(c, key, JV_KEY_PART, JV_KEY_PART, part)->index = index;
}

void build_point(jv_circuit *c, const char *key, const char *terminal, const char *quantity) {
    jv_slot *s = slot_of(c, key, JV_KEY_POINTS, JV_KEY_POINTS, terminal);
    s->index = terminal_of(c, terminal);
    read_into(s, c, quantity);
}

void build_pin(jv_circuit *c, const char *key, const char *name, const char *first,
               const char *second) {
    jv_slot *s = slot_of(c, key, JV_KEY_PINS, JV_KEY_OUTPUTS, name);
    s->index = terminal_of(c, first);
    s->second = second ? terminal_of(c, second) : -1;
}

void build_curve(jv_circuit *c, const char *key, double percent, double least_s,
                 double greatest_s) {
    jv_slot *s = slot_of(c, key, JV_KEY_CURVE, JV_KEY_CURVE, "");
    s->value = (jv_value){percent, least_s, greatest_s, JV_EXACT};
}

void build_close(jv_circuit *c) {
    jv_circuit_close_part(c);
    assert_false(c->out_of_memory);
}

uint32_t build_between(jv_circuit *c, const char *kind, const char *name, const char *first,
                       const char *second) {
    uint32_t part = build_part(c, kind, name);
    build_terminal(c, c->parts[part].kind->keys[0].name, first);
    build_terminal(c, c->parts[part].kind->keys[1].name, second);
    return part;
}

jv_net *build_net(const jv_circuit *c, const jv_case *loading, const jv_fault *faults, size_t n) {
    jv_net *net = NULL;
    assert_int_equal(jv_net_build(c, loading, faults, n, &net), JV_OK);
    return net;
}

jv_element *build_element(const jv_net *net, uint32_t part, size_t k) {
    assert_true(net->first[part] + k < net->first[part + 1]);
    return &net->elements[net->first[part] + k];
}

jv_fault build_fault(uint32_t part, jv_way way, double value) {
    jv_fault f = {0};
    f.part = part;
    f.way = (uint8_t)way;
    f.value = value;
    f.to = -1;
    return f;
}

size_t build_count(const jv_diags *d, jv_code code) {
    size_t n = 0;
    for (size_t i = 0; i < d->count; i++)
        n += d->items[i].code == code;
    return n;
}
