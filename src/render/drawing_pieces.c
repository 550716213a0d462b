/* drawing_pieces.c - the symbols that a circuit is drawn with. SPDX-License-Identifier: MIT */
#include "circuit/part_kind.h"
#include "render/drawing.h"

#include <string.h>

/* One row a kind: letter by IEC 81346-2 (battery, fuse, breaker, relay, cable, connector and
 * sensor read in secondary texts; motor, switch and load from memory), its symbol and how its
 * terminals are named. A kind without a row is a box between its first two terminals. */
typedef struct jv_look {
    const char *kind;
    const char *letters;
    jv_symbol symbol;
    bool across;
    const char *a, *b; /* keys of its terminals; NULL = pins, points or outputs */
} jv_look;

static const jv_look looks[] = {
    {"battery", "GB", JV_SYMBOL_BATTERY, true, "plus", "minus"},
    {"supply", "G", JV_SYMBOL_SUPPLY, true, "plus", "minus"},
    {"cable", "W", JV_SYMBOL_WIRE, false, "a", "b"},
    {"lead", "W", JV_SYMBOL_WIRE, false, "a", "b"},
    {"contact", "X", JV_SYMBOL_JOINT, false, "a", "b"},
    {"frame", "X", JV_SYMBOL_FRAME, false, NULL, NULL},
    {"fuse", "F", JV_SYMBOL_FUSE, false, "a", "b"},
    {"breaker", "F", JV_SYMBOL_BREAKER, false, "a", "b"},
    {"switch", "S", JV_SYMBOL_CONTACT, false, "a", "b"},
    {"relay", "K", JV_SYMBOL_CONTACT, false, "a", "b"},
    {"connector", "X", JV_SYMBOL_PLUG, false, NULL, NULL},
    {"controller", "K", JV_SYMBOL_CHANNEL, false, "plus", "minus"},
    {"jack", "M", JV_SYMBOL_MOTOR, true, "plus", "minus"},
    {"pump", "M", JV_SYMBOL_MOTOR, true, "plus", "minus"},
    {"load", "E", JV_SYMBOL_LOAD, true, "plus", "minus"},
    {"sensor_supply", "G", JV_SYMBOL_BOX, true, "in", "minus"},
    {"hall", "B", JV_SYMBOL_SENSOR, true, "supply", "minus"},
};
static const jv_look plain = {"", "A", JV_SYMBOL_BOX, true, NULL, NULL};

static const jv_look *look_of(const jv_part *p) {
    for (size_t i = 0; i < sizeof looks / sizeof looks[0]; i++)
        if (!strcmp(looks[i].kind, p->kind->name))
            return &looks[i];
    return &plain;
}

const char **jv_designators(const jv_circuit *c, jv_arena *arena) {
    enum { ROWS = sizeof looks / sizeof looks[0] + 1 };
    const char **names = jv_arena_alloc(arena, c->n_parts + 1, sizeof *names);
    size_t counts[ROWS] = {0};
    if (!names)
        return NULL;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_look *look = look_of(&c->parts[i]);
        size_t row = 0;
        while (row < ROWS - 1 && strcmp(looks[row].letters, look->letters) != 0)
            row++;
        jv_text text = {0};
        jv_text_addf(&text, "%s%zu", look->letters, ++counts[row]);
        names[i] = text.failed ? NULL : jv_arena_copy(arena, text.data, text.length);
        jv_text_clear(&text);
        if (!names[i])
            return NULL;
    }
    return names;
}

static int32_t terminal_of(const jv_circuit *c, const jv_part *p, const char *key) {
    for (unsigned k = 0; key && k < p->kind->n_keys; k++)
        if (p->kind->keys[k].type == JV_KEY_TERMINAL && !strcmp(p->kind->keys[k].name, key))
            return jv_part_terminal(c, p, k);
    return -1;
}

/* The n-th terminal key that has a value: for a kind without a row. */
static int32_t any_terminal(const jv_circuit *c, const jv_part *p, size_t n) {
    for (unsigned k = 0; k < p->kind->n_keys; k++) {
        if (p->kind->keys[k].type != JV_KEY_TERMINAL || jv_part_terminal(c, p, k) < 0)
            continue;
        if (!n--)
            return jv_part_terminal(c, p, k);
    }
    return -1;
}

static jv_piece *add(jv_drawing *d, size_t part, jv_symbol symbol, bool across, int32_t a,
                     int32_t b) {
    if (a < 0 || b < 0 || d->n_pieces >= JV_DRAWING_MOST)
        return NULL;
    jv_piece *piece = &d->pieces[d->n_pieces++];
    memset(piece, 0, sizeof *piece);
    piece->part = (uint32_t)part;
    piece->symbol = symbol;
    piece->across = across;
    piece->a = a;
    piece->b = b;
    piece->signal = -1;
    return piece;
}

static void set_pin(jv_piece *piece, const char *pin) {
    if (piece)
        piece->pin = pin;
}

/* Pins, points and outputs: the entries of a map. */
static void add_entries(jv_drawing *d, size_t part, const jv_look *look) {
    const jv_circuit *c = d->circuit;
    const jv_part *p = &c->parts[part];
    int32_t plus = terminal_of(c, p, look->a), minus = terminal_of(c, p, look->b);
    int32_t hub = -1;
    bool returns = false;
    for (uint32_t i = 0; i < p->n_slots; i++) {
        const jv_slot *s = &c->slots[p->first_slot + i];
        switch (p->kind->keys[s->key].type) {
        case JV_KEY_PINS:
            set_pin(add(d, part, look->symbol, false, s->index, s->second), s->text);
            break;
        case JV_KEY_POINTS:
            if (hub < 0)
                hub = (int32_t)d->n_nodes++;
            set_pin(add(d, part, look->symbol, false, s->index, hub), s->text);
            break;
        case JV_KEY_OUTPUTS:
            if (strcmp(p->kind->keys[s->key].name, "outputs") != 0)
                break;
            set_pin(add(d, part, JV_SYMBOL_CHANNEL, false, plus, s->index), s->text);
            set_pin(add(d, part, JV_SYMBOL_CHANNEL, false, minus, s->second), s->text);
            returns = returns || s->second >= 0;
            break;
        default:
            break;
        }
    }
    if (plus >= 0 && minus >= 0 && !returns)
        set_pin(add(d, part, JV_SYMBOL_BOX, true, plus, minus), "own current");
}

static void add_part(jv_drawing *d, size_t part) {
    const jv_circuit *c = d->circuit;
    const jv_part *p = &c->parts[part];
    const jv_look *look = look_of(p);
    if (look == &plain) {
        add(d, part, look->symbol, true, any_terminal(c, p, 0), any_terminal(c, p, 1));
        return;
    }
    if (!look->a || look->symbol == JV_SYMBOL_CHANNEL) {
        add_entries(d, part, look);
        return;
    }
    int32_t a = terminal_of(c, p, look->a), b = terminal_of(c, p, look->b);
    jv_piece *piece = add(d, part, look->symbol, look->across, a, b);
    if (piece && look->symbol == JV_SYMBOL_SENSOR)
        piece->signal = terminal_of(c, p, "signal");
    if (terminal_of(c, p, "out") >= 0) /* a regulator passes volts on to its sensors */
        set_pin(add(d, part, JV_SYMBOL_BOX, false, a, terminal_of(c, p, "out")), "out");
    if (terminal_of(c, p, "coil_plus") >= 0)
        set_pin(add(d, part, JV_SYMBOL_COIL, true, terminal_of(c, p, "coil_plus"),
                    terminal_of(c, p, "coil_minus")),
                "coil");
}

jv_status jv_drawing_make(const jv_circuit *c, jv_arena *arena, jv_drawing *out) {
    memset(out, 0, sizeof *out);
    if (c->n_parts > JV_DRAWING_MOST)
        return JV_ERR_RANGE;
    out->circuit = c;
    out->source = -1;
    out->gap = 42.0;
    out->over = 32.0;
    out->n_nodes = c->n_terminals;
    out->pieces = jv_arena_alloc(arena, JV_DRAWING_MOST, sizeof *out->pieces);
    if (!out->pieces)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < c->n_parts; i++)
        add_part(out, i);
    if (out->n_pieces >= JV_DRAWING_MOST)
        return JV_ERR_RANGE;
    out->nodes = jv_arena_alloc(arena, out->n_nodes + 1, sizeof *out->nodes);
    if (!out->nodes)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < out->n_nodes; i++)
        out->nodes[i].terminal = i < c->n_terminals ? (int32_t)i : -1;
    return JV_OK;
}
