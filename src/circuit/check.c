/* check.c - does a circuit hang together? SPDX-License-Identifier: MIT */
#include "circuit/circuit.h"
#include "circuit/drivers.h"
#include "circuit/net.h"
#include "circuit/part_kind.h"
#include "jackvolt/tables.h"

#include <math.h>
#include <string.h>

/* A part whose ends meet carries nothing: a name was written twice by mistake. */
static void check_ends(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    const jv_key *keys = p->kind->keys;
    if (p->kind->n_keys < 2 || keys[0].type != JV_KEY_TERMINAL || keys[1].type != JV_KEY_TERMINAL)
        return;
    int32_t a = jv_part_terminal(c, p, 0), b = jv_part_terminal(c, p, 1);
    if (a < 0 || a != b)
        return;
    jv_part_fault(d, c, p, 1, JV_CODE_SHORTED_PART, "Give its two ends two different terminals.",
                  "both ends of %s \"%s\" are at terminal \"%s\"", p->kind->name, p->name,
                  c->terminals[a]);
}

/* The kinds' own rules between their keys. */
static void check_kinds(const jv_circuit *c, jv_diags *d) {
    for (size_t i = 0; i < c->n_parts; i++) {
        if (c->parts[i].faulted)
            continue;
        check_ends(c, &c->parts[i], d);
        if (c->parts[i].kind->check)
            c->parts[i].kind->check(c, &c->parts[i], d);
    }
}

static void note_touch(int32_t *owner, int32_t terminal, int32_t part) {
    enum { NOBODY = -1, SEVERAL = -2 };
    if (terminal < 0)
        return;
    if (owner[terminal] == NOBODY)
        owner[terminal] = part;
    else if (owner[terminal] != part)
        owner[terminal] = SEVERAL;
}

/* The name nearest to `name` among the other terminals, NULL when none is near. */
static const char *near_terminal(const jv_circuit *c, size_t self) {
    enum { SEARCHED = 4000, NEAR = 2 };
    const char *best = NULL;
    size_t least = NEAR + 1;
    size_t n = c->n_terminals < SEARCHED ? c->n_terminals : SEARCHED;
    for (size_t i = 0; i < n; i++) {
        if (i == self)
            continue;
        size_t distance = jv_text_distance(c->terminals[i], c->terminals[self], NEAR);
        if (distance < least) {
            least = distance;
            best = c->terminals[i];
        }
    }
    return best;
}

static void report_lone(const jv_circuit *c, jv_diags *d, const jv_part *p, const jv_slot *s,
                        int32_t terminal) {
    const char *near = d->errors < JV_DIAG_LIMIT ? near_terminal(c, (size_t)terminal) : NULL;
    jv_text hint = {0};
    if (near)
        jv_text_addf(&hint, "Did you mean \"%s\"? Otherwise join a second part to it.", near);
    else
        jv_text_add(&hint, "Join a second part to it, or take the part out.");
    jv_slot_fault(d, c, p, s, JV_CODE_TERMINAL_LONE, jv_text_str(&hint),
                  "terminal \"%s\" is touched by part \"%s\" alone", c->terminals[terminal],
                  p->name);
    jv_text_clear(&hint);
}

static bool is_terminal_key(jv_key_type type) {
    return type == JV_KEY_TERMINAL || type == JV_KEY_PINS || type == JV_KEY_OUTPUTS ||
           type == JV_KEY_POINTS;
}

static void check_lone(const jv_circuit *c, jv_diags *d) {
    int32_t *owner = jv_alloc(c->n_terminals + 1, sizeof *owner);
    if (!owner) {
        d->out_of_memory = true;
        return;
    }
    for (size_t i = 0; i < c->n_terminals; i++)
        owner[i] = -1;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        for (const jv_slot *s = c->slots + p->first_slot; s < c->slots + p->first_slot + p->n_slots;
             s++) {
            if (!is_terminal_key(p->kind->keys[s->key].type))
                continue;
            note_touch(owner, s->index, (int32_t)i);
            note_touch(owner, s->second, (int32_t)i);
        }
    }
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        for (const jv_slot *s = c->slots + p->first_slot; s < c->slots + p->first_slot + p->n_slots;
             s++) {
            const jv_key *key = &p->kind->keys[s->key];
            if (!is_terminal_key(key->type) || (key->flags & JV_LONE_OK))
                continue;
            if (s->index >= 0 && owner[s->index] >= 0)
                report_lone(c, d, p, s, s->index);
            if (s->second >= 0 && owner[s->second] >= 0)
                report_lone(c, d, p, s, s->second);
        }
    }
    jv_free(owner);
}

static uint32_t root_of(uint32_t *parent, uint32_t i) {
    while (parent[i] != i) {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    return i;
}

static void join(uint32_t *parent, int32_t a, int32_t b) {
    if (a < 0 || b < 0)
        return;
    uint32_t x = root_of(parent, (uint32_t)a), y = root_of(parent, (uint32_t)b);
    if (x < y)
        parent[y] = x;
    else
        parent[x] = y;
}

/* One message an island: its first part, and how many parts it has. */
static void report_islands(const jv_circuit *c, uint32_t *parent, jv_diags *d) {
    uint32_t *members = jv_zalloc(c->n_terminals + 1, sizeof *members);
    if (!members) {
        d->out_of_memory = true;
        return;
    }
    uint32_t home = root_of(parent, (uint32_t)c->reference);
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i < c->n_parts; i++) {
            const jv_part *p = &c->parts[i];
            int32_t t = -1;
            for (uint32_t k = 0; k < p->n_slots && t < 0; k++) {
                const jv_slot *s = &c->slots[p->first_slot + k];
                if (is_terminal_key(p->kind->keys[s->key].type))
                    t = s->index;
            }
            if (t < 0)
                continue;
            uint32_t root = root_of(parent, (uint32_t)t);
            if (root >= c->n_terminals || root == home)
                continue;
            if (pass == 0) {
                members[root]++;
            } else if (members[root]) {
                jv_part_fault(
                    d, c, p, -1, JV_CODE_ISLAND,
                    "Join it to the rest by a part, for example the return cable.",
                    "part \"%s\" and %u more have no path to the reference terminal \"%s\"",
                    p->name, members[root] - 1, c->terminals[c->reference]);
                members[root] = 0;
            }
        }
    }
    jv_free(members);
}

static void check_islands(const jv_circuit *c, const jv_net *net, jv_diags *d) {
    uint32_t *parent = jv_alloc(net->n_nodes + 1, sizeof *parent);
    if (!parent) {
        d->out_of_memory = true;
        return;
    }
    for (uint32_t i = 0; i < net->n_nodes; i++)
        parent[i] = i;
    for (size_t i = 0; i < net->n_elements; i++) {
        join(parent, net->elements[i].a, net->elements[i].b);
        join(parent, net->elements[i].b, net->elements[i].c);
    }
    report_islands(c, parent, d);
    jv_free(parent);
}

/* The reference: as the file says, else the minus of the first battery, else of the
 * first source of another kind (keys 0 and 1 of a source are plus and minus). */
static void choose_reference(jv_circuit *c, jv_diags *d) {
    if (c->reference >= 0)
        return;
    for (int pass = 0; pass < 2 && c->reference < 0; pass++)
        for (size_t i = 0; i < c->n_parts && c->reference < 0; i++) {
            const jv_part *p = &c->parts[i];
            bool battery = strcmp(p->kind->name, "battery") == 0;
            if (p->kind->is_source && (pass == 1 || battery))
                c->reference = jv_part_terminal(c, p, 1);
        }
    if (c->reference >= 0 || c->incomplete)
        return;
    jv_place place = jv_circuit_place(c, 1, 1, "/parts");
    jv_diag_add(d, JV_ERROR, JV_CODE_NO_SOURCE, &place,
                "Add a battery (\"is\": \"battery\") or a supply.",
                "the circuit has no battery and no supply");
}

/* What a limit is assumed to be where nobody says: the lowest working volts of supply
 * code C, ISO 16750-2 Table 1, below which a module of that code need not work. */
static void assume_limit(jv_watch *w, jv_diags *d) {
    jv_figure least, most;
    if (jv_table_supply_code('C', &least, &most) != JV_OK) {
        d->out_of_memory = true; /* the constant table has the row; never reached */
        return;
    }
    w->below = jv_value_exact(least.value);
    w->assumed = true;
    w->basis = "ISO 16750-2 supply code C";
}

static void add_assumed_watch(jv_circuit *c, const jv_part *p, bool senses, jv_diags *d) {
    jv_text name = {0};
    jv_text_addf(&name, "assumed limit at %s", p->name);
    int32_t plus = jv_part_terminal(c, p, 0), minus = jv_part_terminal(c, p, 1);
    uint32_t index = (uint32_t)(p - c->parts);
    jv_watch *w = jv_circuit_add_watch(c, jv_text_str(&name));
    jv_text_clear(&name);
    if (!w)
        return;
    w->plus = plus;
    w->minus = minus;
    w->part = senses ? (int32_t)index : -1;
    w->state = JV_RUNNING;
    w->action = JV_STOP_ALL;
    assume_limit(w, d);
}

/* A file without watches gets one at each controller, else at each motor. */
static void complete_watches(jv_circuit *c, jv_diags *d) {
    for (size_t i = 0; i < c->n_watches; i++)
        if (isnan(c->watches[i].below.nominal))
            assume_limit(&c->watches[i], d);
    if (c->n_watches)
        return;
    for (size_t i = 0; i < c->n_parts; i++)
        if (strcmp(c->parts[i].kind->name, "controller") == 0)
            add_assumed_watch(c, &c->parts[i], true, d);
    if (c->n_watches)
        return;
    for (size_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].kind->is_motor)
            add_assumed_watch(c, &c->parts[i], false, d);
}

/* True when every part is known whole, so that a path that is not there is a fault of its own. */
static bool is_whole(const jv_circuit *c) {
    for (size_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].faulted)
            return false;
    return !c->incomplete;
}

/* Without memory for it the slots themselves serve. */
static void gather_indices(jv_circuit *c) {
    jv_free(c->slot_index);
    c->slot_index = jv_alloc(c->n_slots, sizeof *c->slot_index);
    for (size_t k = 0; c->slot_index && k < c->n_slots; k++)
        c->slot_index[k] = c->slots[k].index;
}

void jv_circuit_finish(jv_circuit *c, jv_diags *d) {
    size_t errors = d->errors;
    gather_indices(c);
    check_kinds(c, d);
    if (!c->incomplete)
        check_lone(c, d);
    choose_reference(c, d);
    complete_watches(c, d);
    if (!c->n_cases)
        jv_circuit_add_case(c, "at rest");
    if (c->out_of_memory)
        d->out_of_memory = true;
    if (d->out_of_memory || d->errors > errors || !is_whole(c))
        return;
    jv_net *net = NULL;
    if (jv_net_build(c, NULL, NULL, 0, &net) != JV_OK) {
        d->out_of_memory = true;
        return;
    }
    check_islands(c, net, d);
    if (jv_drivers_find(c, net) != JV_OK)
        d->out_of_memory = true;
    jv_net_free(&net);
}
