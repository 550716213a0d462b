/* harness_circuit.c - a planned harness as a circuit file. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"

#include "read/harness_plan.h"
#include "render/json_out.h"

#include <math.h>
#include <string.h>

static const double MM_PER_M = 1e3, MM2_PER_M2 = 1e6, MOHM_PER_OHM = 1e3;

/* What is written, and the plan behind it. */
typedef struct writer {
    jv_json j;
    const jv_harness_plan *plan;
    const char *file; /* name of the harness file without its directories */
} writer;

/* "1082.07 mm": nine digits show what a file of any size of digits can mean. */
static void add_quantity(writer *w, jv_json_node *part, const char *key, double value,
                         const char *unit) {
    jv_text text = {0};
    jv_text_addf(&text, "%.9g %s", value, unit);
    jv_json_text(&w->j, part, key, jv_text_str(&text));
    w->j.failed = w->j.failed || text.failed;
    jv_text_clear(&text);
}

static char lower(char c) {
    return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

/* The metals that names in harness files leave no doubt of; NULL = none of them. */
static const char *metal_of(const char *written) {
    static const char *const known[][2] = {
        {"cu", "copper"},           {"copper", "copper"},      {"kupfer", "copper"},
        {"cu-etp", "copper"},       {"cusn", "tinned copper"}, {"al", "aluminium"},
        {"aluminium", "aluminium"}, {"aluminum", "aluminium"}, {"cca", "copper-clad aluminium"},
    };
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        size_t n = strlen(known[i][0]), same = 0;
        while (same < n && lower(written[same]) == known[i][0][same]) {
            same++;
        }
        if (same == n && written[n] == '\0') {
            return known[i][1];
        }
    }
    return NULL;
}

bool jv_harness_metal_known(const char *metal) {
    return metal != NULL && metal_of(metal) != NULL;
}

typedef enum resolve { AS_IT_IS, STRINGS, KEYS } resolve;

/* A value of the side file as it stands, but names of points become those of their joints. */
static void add_value(writer *w, jv_json_node *parent, const char *key, const jv_json_value *value,
                      resolve how) {
    jv_json_node *node;
    switch ((jv_json_type)value->type) {
    case JV_JSON_STRING:
        jv_json_text(&w->j, parent, key,
                     how == STRINGS ? jv_harness_plan_name(w->plan, value->as.string)
                                    : value->as.string);
        return;
    case JV_JSON_NUMBER:
        jv_json_number(&w->j, parent, key, value->as.number, NULL);
        return;
    case JV_JSON_BOOL:
        jv_json_bool(&w->j, parent, key, value->as.boolean);
        return;
    case JV_JSON_ARRAY:
    case JV_JSON_OBJECT:
        node = value->type == JV_JSON_ARRAY ? jv_json_array(&w->j, parent, key)
                                            : jv_json_object(&w->j, parent, key);
        for (const jv_json_value *c = value->as.first; c != NULL; c = c->next) {
            const char *name = value->type == JV_JSON_ARRAY ? NULL : c->key;
            name = how == KEYS && name != NULL ? jv_harness_plan_name(w->plan, name) : name;
            add_value(w, node, name, c, how == KEYS ? AS_IT_IS : how);
        }
        return;
    case JV_JSON_NULL:
    case JV_JSON_BAD:
        break;
    }
    jv_json_null(&w->j, parent, key, NULL);
}

/* Is a key of a harness part given anew by the side file? */
static bool is_given(const jv_json_value *added, const char *key) {
    return added != NULL && jv_json_member(added, key) != NULL;
}

static void add_given(writer *w, jv_json_node *part, const jv_json_value *added) {
    for (const jv_json_value *m = added != NULL ? added->as.first : NULL; m != NULL; m = m->next) {
        if (m->key != NULL && strcmp(m->key, "is") != 0) {
            add_value(w, part, m->key, m, AS_IT_IS);
        }
    }
}

/* A new part: its kind, unless the side file says another. */
static jv_json_node *begin_part(writer *w, jv_json_node *parts, const char *name, const char *kind,
                                const jv_json_value *added) {
    jv_json_node *part = jv_json_object(&w->j, parts, name);
    const jv_json_value *is = added != NULL ? jv_json_member(added, "is") : NULL;
    jv_json_text(&w->j, part, "is",
                 is != NULL && is->type == JV_JSON_STRING ? is->as.string : kind);
    return part;
}

static const char *terminal(const writer *w, size_t point) {
    return w->plan->terminals[w->plan->terminal[point]];
}

static void add_ends(writer *w, jv_json_node *part, size_t from, size_t to) {
    jv_json_text(&w->j, part, "a", terminal(w, from));
    jv_json_text(&w->j, part, "b", terminal(w, to));
}

static void add_comment(writer *w, jv_json_node *part, const char *label, const char *text) {
    jv_text all = {0};
    jv_text_addf(&all, "%s %s", label, text);
    jv_json_text(&w->j, part, "comment", jv_text_str(&all));
    w->j.failed = w->j.failed || all.failed;
    jv_text_clear(&all);
}

static void add_wire(writer *w, jv_json_node *parts, const jv_harness_wire *wire) {
    const jv_json_value *added = jv_harness_plan_added(w->plan, wire->name);
    jv_json_node *part = begin_part(w, parts, wire->name, "cable", added);
    add_ends(w, part, wire->from, wire->to);
    if (!isnan(wire->area_m2) && !is_given(added, "size")) {
        add_quantity(w, part, "size", wire->area_m2 * MM2_PER_M2, "mm2");
    }
    if (!isnan(wire->length_m) && !is_given(added, "length")) {
        add_quantity(w, part, "length", wire->length_m * MM_PER_M, "mm");
    }
    if (!isnan(wire->ohm_per_m) && !isnan(wire->length_m) && !is_given(added, "resistance") &&
        !is_given(added, "length")) {
        add_quantity(w, part, "resistance", wire->ohm_per_m * wire->length_m * MOHM_PER_OHM,
                     "mohm");
    }
    if (jv_harness_metal_known(wire->metal) && !is_given(added, "metal")) {
        jv_json_text(&w->j, part, "metal", metal_of(wire->metal));
    }
    if (wire->colour != NULL && !is_given(added, "colour")) {
        jv_json_text(&w->j, part, "colour", wire->colour);
    }
    if (wire->signal != NULL && !is_given(added, "comment")) {
        add_comment(w, part, "signal", wire->signal);
    }
    add_given(w, part, added);
}

static void add_fuse(writer *w, jv_json_node *parts, const jv_harness_fuse *fuse) {
    const jv_json_value *added = jv_harness_plan_added(w->plan, fuse->name);
    jv_json_node *part = begin_part(w, parts, fuse->name, "fuse", added);
    add_ends(w, part, fuse->from, fuse->to);
    if (!isnan(fuse->rating_a) && !is_given(added, "rating")) {
        add_quantity(w, part, "rating", fuse->rating_a, "A");
    }
    if (fuse->type != NULL && !is_given(added, "comment")) {
        add_comment(w, part, "type", fuse->type);
    }
    add_given(w, part, added);
}

static void add_pin(writer *w, jv_json_node *pins, const jv_harness_mate *m) {
    jv_json_node *pin = jv_json_array(&w->j, pins, jv_harness_plan_cavity(w->plan, m->from));
    jv_json_text(&w->j, pin, NULL, terminal(w, m->from));
    jv_json_text(&w->j, pin, NULL, terminal(w, m->to));
}

/* Pairs of two connectors stand behind each other: one part for all that are kept. */
static void add_mates(writer *w, jv_json_node *parts) {
    const jv_harness_parts *h = w->plan->harness;
    const char *open = NULL;
    jv_json_node *pins = NULL;
    const jv_json_value *added = NULL;
    for (size_t i = 0; i < h->n_mates; i++) {
        const jv_harness_mate *m = &h->mates[i];
        if (w->plan->mate_fate[i] != JV_HARNESS_KEPT) {
            continue;
        }
        if (!isnan(m->ohm)) {
            added = jv_harness_plan_added(w->plan, m->part);
            jv_json_node *contact = begin_part(w, parts, m->part, "contact", added);
            add_ends(w, contact, m->from, m->to);
            if (!is_given(added, "resistance")) {
                add_quantity(w, contact, "resistance", m->ohm * MOHM_PER_OHM, "mohm");
            }
            add_given(w, contact, added);
            continue;
        }
        if (open == NULL || strcmp(open, m->part) != 0) {
            added = jv_harness_plan_added(w->plan, m->part);
            jv_json_node *part = begin_part(w, parts, m->part, "connector", added);
            pins = jv_json_object(&w->j, part, "pins");
            add_given(w, part, added);
            open = m->part;
        }
        add_pin(w, pins, m);
    }
}

/* The parts that the side file brings. */
static void add_side_parts(writer *w, jv_json_node *parts) {
    const jv_json_value *given = jv_harness_side_section(w->plan->side, "parts");
    for (const jv_json_value *p = given != NULL ? given->as.first : NULL; p != NULL; p = p->next) {
        if (p->key == NULL || jv_harness_plan_adds(w->plan, p)) {
            continue;
        }
        jv_json_node *part = jv_json_object(&w->j, parts, p->key);
        const jv_part_kind *kind = jv_harness_side_kind(p);
        for (const jv_json_value *m = p->as.first; m != NULL; m = m->next) {
            const jv_key *key = jv_harness_side_key(kind, m);
            add_value(w, part, m->key, m,
                      key == NULL                  ? AS_IT_IS
                      : key->type == JV_KEY_POINTS ? KEYS
                                                   : STRINGS);
        }
    }
}

static void add_parts(writer *w, jv_json_node *root) {
    const jv_harness_parts *h = w->plan->harness;
    jv_json_node *parts = jv_json_object(&w->j, root, "parts");
    for (size_t i = 0; i < h->n_wires; i++) {
        if (w->plan->wire_fate[i] == JV_HARNESS_KEPT) {
            add_wire(w, parts, &h->wires[i]);
        }
    }
    for (size_t i = 0; i < h->n_fuses; i++) {
        if (w->plan->fuse_fate[i] == JV_HARNESS_KEPT) {
            add_fuse(w, parts, &h->fuses[i]);
        }
    }
    add_mates(w, parts);
    add_side_parts(w, parts);
}

/* Does a part that is written stand on an assumption about its metal? */
static size_t count_unsaid_metal(const jv_harness_plan *plan) {
    size_t n = 0;
    for (size_t i = 0; i < plan->harness->n_wires; i++) {
        const jv_harness_wire *wire = &plan->harness->wires[i];
        const jv_json_value *added = jv_harness_plan_added(plan, wire->name);
        n += plan->wire_fate[i] == JV_HARNESS_KEPT && isnan(wire->ohm_per_m) &&
             !jv_harness_metal_known(wire->metal) && !is_given(added, "metal") &&
             !is_given(added, "resistance");
    }
    return n;
}

size_t jv_harness_assumed_copper(const jv_harness_plan *plan) {
    return count_unsaid_metal(plan);
}

/* Where the circuit comes from and what it rests on, then what the side file says of itself. */
static void add_about(writer *w, jv_json_node *root, const jv_json_value *side) {
    const jv_harness_parts *h = w->plan->harness;
    jv_json_node *lines = jv_json_array(&w->j, root, "comment");
    jv_text line = {0};
    jv_text_addf(&line, "Made by jackvolt import from %s (%s%s%s).", w->file, h->format,
                 h->version != NULL ? " " : "", h->version != NULL ? h->version : "");
    jv_json_text(&w->j, lines, NULL, jv_text_str(&line));
    size_t copper = jv_harness_assumed_copper(w->plan);
    if (copper > 0) {
        line.length = 0;
        jv_text_addf(&line, "Copper is assumed for %zu of its wires, whose metal it does not name.",
                     copper);
        jv_json_text(&w->j, lines, NULL, jv_text_str(&line));
    }
    w->j.failed = w->j.failed || line.failed;
    jv_text_clear(&line);
    const jv_json_value *own = side != NULL ? jv_json_member(side, "comment") : NULL;
    if (own != NULL && own->type == JV_JSON_STRING) {
        jv_json_text(&w->j, lines, NULL, own->as.string);
    }
    for (const jv_json_value *c = own != NULL && own->type == JV_JSON_ARRAY ? own->as.first : NULL;
         c != NULL; c = c->next) {
        add_value(w, lines, NULL, c, AS_IT_IS);
    }
}

/* "at" of a watch and "reference" name terminals. */
static void add_watches(writer *w, jv_json_node *root, const jv_json_value *watches) {
    jv_json_node *all = jv_json_object(&w->j, root, watches->key);
    for (const jv_json_value *one = watches->as.first; one != NULL; one = one->next) {
        if (one->type != JV_JSON_OBJECT) {
            add_value(w, all, one->key, one, AS_IT_IS);
            continue;
        }
        jv_json_node *watch = jv_json_object(&w->j, all, one->key);
        for (const jv_json_value *m = one->as.first; m != NULL; m = m->next) {
            bool at = m->key != NULL && strcmp(m->key, "at") == 0 && m->type == JV_JSON_ARRAY;
            add_value(w, watch, m->key, m, at ? STRINGS : AS_IT_IS);
        }
    }
}

static void add_sections(writer *w, jv_json_node *root, const jv_json_value *side) {
    static const char *const done[] = {"circuit", "comment", "parts", "terminals"};
    for (const jv_json_value *s = side != NULL ? side->as.first : NULL; s != NULL; s = s->next) {
        bool skip = s->key == NULL;
        for (size_t i = 0; i < sizeof done / sizeof done[0] && !skip; i++) {
            skip = strcmp(s->key, done[i]) == 0;
        }
        if (skip) {
            continue;
        }
        if (strcmp(s->key, "watches") == 0 && s->type == JV_JSON_OBJECT) {
            add_watches(w, root, s);
        } else {
            add_value(w, root, s->key, s, strcmp(s->key, "reference") == 0 ? STRINGS : AS_IT_IS);
        }
    }
}

jv_status jv_harness_circuit(const jv_harness_plan *plan, jv_text *out) {
    writer w = {.plan = plan};
    const jv_harness_parts *h = plan->harness;
    const char *file = h->file != NULL ? h->file : "a harness";
    const char *slash = strrchr(file, '/');
    w.file = slash != NULL ? slash + 1 : file;
    jv_json_node *root = jv_json_begin(&w.j);
    const jv_json_value *side = plan->side != NULL ? plan->side->doc.root : NULL;
    const jv_json_value *name = side != NULL ? jv_json_member(side, "circuit") : NULL;
    if (name != NULL) {
        add_value(&w, root, "circuit", name, AS_IT_IS);
    } else {
        jv_json_text(&w.j, root, "circuit", h->name != NULL ? h->name : w.file);
    }
    add_about(&w, root, side);
    add_parts(&w, root);
    add_sections(&w, root, side);
    return jv_json_print(&w.j, out);
}
