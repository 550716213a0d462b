/* harness_plan.c - which parts of a harness become parts of a circuit. SPDX-License-Identifier: MIT
 */
#include "read/harness_plan.h"

#include "read/name_map.h"
#include "read/reader.h"

#include <math.h>
#include <string.h>

/* One conductor between two terminals: a wire, a fuse, or a pair of mated cavities. */
typedef struct edge {
    uint32_t from, to;
    unsigned char *fate;
} edge;

typedef struct planner {
    jv_harness_plan shown; /* first: what the public sees */
    const jv_harness *harness;
    jv_diags *diags;
    jv_arena arena;
    jv_name_map points;    /* point + 1 */
    jv_name_map terminals; /* terminal + 1 */
    jv_name_map parts;     /* 1 = a part of the harness */
    jv_name_map added;     /* number of the part of the side file + 1 */
    const jv_json_value **side_parts;
    const char **joint_names; /* of each point that stands for a joint */
    const char **names;       /* of terminals */
    size_t *terminal;
    unsigned char *wire_fate, *fuse_fate, *mate_fate;
    uint32_t *degree;     /* of each terminal: edges and parts of the side file that touch it */
    uint32_t *touched_by; /* the last part of the side file that did, + 1 */
    bool *anchored;
    edge *edges;
    size_t n_edges, n_own, room; /* n_own: parts that the side file brings */
    bool out_of_memory;
} planner;

static const planner *of(const jv_harness_plan *plan) {
    return (const planner *)(const void *)plan;
}

const char *jv_harness_plan_name(const jv_harness_plan *plan, const char *name) {
    const planner *p = of(plan);
    uint32_t point = jv_name_map_get(&p->points, name);
    return point > 0 ? p->joint_names[plan->harness->points[point - 1].joint] : name;
}

const jv_json_value *jv_harness_plan_added(const jv_harness_plan *plan, const char *part) {
    uint32_t number = jv_name_map_get(&of(plan)->added, part);
    return number > 0 ? of(plan)->side_parts[number - 1] : NULL;
}

bool jv_harness_plan_adds(const jv_harness_plan *plan, const jv_json_value *part) {
    return part->key != NULL && jv_harness_plan_added(plan, part->key) == part;
}

const char *jv_harness_plan_cavity(const jv_harness_plan *plan, size_t point) {
    const jv_harness_point *p = &plan->harness->points[point];
    size_t length = strlen(plan->harness->connectors[p->connector].name);
    return p->name[length] == '.' ? p->name + length + 1 : p->name;
}

static void *room_for(planner *p, size_t n, size_t size) {
    void *room = jv_arena_alloc(&p->arena, n + 1, size);
    p->out_of_memory = p->out_of_memory || room == NULL;
    return room;
}

static void add_name(planner *p, jv_name_map *map, const char *name, size_t number) {
    if (!p->out_of_memory && !jv_name_map_add(map, name, (uint32_t)number)) {
        p->out_of_memory = true;
    }
}

/* Index of a terminal, made when new. */
static uint32_t intern(planner *p, const char *name) {
    uint32_t known = jv_name_map_get(&p->terminals, name);
    if (known > 0) {
        return known - 1;
    }
    if (p->shown.n_terminals == p->room) {
        p->out_of_memory = true; /* room was made for all that can be named */
        return 0;
    }
    size_t t = p->shown.n_terminals++;
    p->names[t] = name;
    add_name(p, &p->terminals, name, t + 1);
    return (uint32_t)t;
}

/* Points that are near a word that is none, for a hint; the search is long, so it is made for
 * few. */
static void hint_point(const planner *p, const char *word, jv_text *hint) {
    jv_near near = jv_near_begin(word);
    size_t n = p->diags->errors < JV_DIAG_LIMIT ? p->shown.harness->n_points : 0; /* else unseen */
    for (size_t i = 0; i < n; i++) {
        jv_near_try(&near, p->shown.harness->points[i].name);
    }
    jv_near_hint(&near, "'jackvolt import HARNESS --list' shows the points.", hint);
}

/* "terminals" of the side file: a name of one's own for a joint. */
static void name_joints(planner *p) {
    const jv_harness_parts *parts = p->shown.harness;
    const jv_harness_side *side = p->shown.side;
    const jv_json_value *given = jv_harness_side_section(side, "terminals");
    for (const jv_json_value *t = given != NULL ? given->as.first : NULL; t != NULL; t = t->next) {
        uint32_t point = t->key != NULL ? jv_name_map_get(&p->points, t->key) : 0;
        jv_text hint = {0};
        if (t->type != JV_JSON_STRING || t->as.string[0] == '\0') {
            jv_json_fault(&side->doc, t, false, p->diags, JV_CODE_KEY_TYPE,
                          "Write {\"X1.1\": \"post+\"}.", "a name of a terminal is a text");
        } else if (point == 0) {
            hint_point(p, t->key != NULL ? t->key : "", &hint);
            jv_json_fault(&side->doc, t, true, p->diags, JV_CODE_HARNESS_SIDE, jv_text_str(&hint),
                          "the harness has no point \"%.80s\"", t->key);
        } else if (p->joint_names[parts->points[point - 1].joint] != NULL &&
                   strcmp(p->joint_names[parts->points[point - 1].joint], t->as.string) != 0) {
            jv_json_fault(&side->doc, t, false, p->diags, JV_CODE_HARNESS_SIDE, "Keep one name.",
                          "that joint of the harness was named \"%.80s\" already",
                          p->joint_names[parts->points[point - 1].joint]);
        } else {
            p->joint_names[parts->points[point - 1].joint] = t->as.string;
        }
        jv_text_clear(&hint);
    }
    for (size_t i = 0; i < parts->n_points; i++) { /* the first point in use names its joint */
        if (parts->points[i].used && p->joint_names[parts->points[i].joint] == NULL) {
            p->joint_names[parts->points[i].joint] = parts->points[i].name;
        }
    }
    for (size_t i = 0; i < parts->n_points; i++) {
        size_t joint = parts->points[i].joint;
        if (p->joint_names[joint] == NULL) {
            p->joint_names[joint] = parts->points[joint].name;
        }
        p->terminal[i] = parts->points[i].used ? intern(p, p->joint_names[joint]) : JV_HARNESS_NONE;
    }
}

static void name_parts(planner *p) {
    const jv_harness_parts *parts = p->shown.harness;
    for (size_t i = 0; i < parts->n_wires; i++) {
        add_name(p, &p->parts, parts->wires[i].name, 1);
    }
    for (size_t i = 0; i < parts->n_fuses; i++) {
        add_name(p, &p->parts, parts->fuses[i].name, 1);
    }
    for (size_t i = 0; i < parts->n_mates; i++) {
        if (jv_name_map_get(&p->parts, parts->mates[i].part) == 0) {
            add_name(p, &p->parts, parts->mates[i].part, 1);
        }
    }
}

/* What a part of the side file touches; ctx of the walk over its names. */
typedef struct toucher {
    planner *p;
    uint32_t part;
} toucher;

static void touch(void *ctx, const jv_json_value *at, const char *name) {
    (void)at;
    const toucher *t = ctx;
    planner *p = t->p;
    uint32_t terminal = intern(p, jv_harness_plan_name(&p->shown, name));
    if (p->touched_by[terminal] != t->part + 1) {
        p->touched_by[terminal] = t->part + 1;
        p->degree[terminal]++;
        p->anchored[terminal] = true;
    }
}

static void read_added(planner *p, const jv_json_value *part, size_t number) {
    static const char *const ends[] = {"a", "b", "pins"};
    add_name(p, &p->added, part->key, number + 1);
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
        const jv_json_value *end = jv_json_member(part, ends[i]);
        if (end != NULL) {
            jv_json_fault(&p->shown.side->doc, end, true, p->diags, JV_CODE_HARNESS_SIDE,
                          "Take it out; where a part of the harness ends is said there.",
                          "\"%s\" is a part of the harness, which says where it ends", part->key);
        }
    }
}

static void read_side_part(planner *p, const jv_json_value *part, size_t number) {
    const jv_json_doc *doc = &p->shown.side->doc;
    if (jv_name_map_get(&p->parts, part->key) > 0) {
        read_added(p, part, number);
        return;
    }
    if (jv_json_member(part, "is") == NULL) {
        jv_near near = jv_near_begin(part->key);
        jv_text hint = {0};
        bool seen = p->diags->errors < JV_DIAG_LIMIT;
        for (size_t i = 0; seen && i < p->shown.harness->n_wires; i++) {
            jv_near_try(&near, p->shown.harness->wires[i].name);
        }
        for (size_t i = 0; seen && i < p->shown.harness->n_fuses; i++) {
            jv_near_try(&near, p->shown.harness->fuses[i].name);
        }
        jv_near_hint(&near, "Say what it \"is\", or use a name that import --list shows.", &hint);
        jv_json_fault(doc, part, true, p->diags, JV_CODE_HARNESS_SIDE, jv_text_str(&hint),
                      "the harness has no part \"%.80s\", and the side file does not say what it "
                      "is",
                      part->key);
        jv_text_clear(&hint);
        return;
    }
    const jv_part_kind *kind = jv_harness_side_kind(part);
    p->n_own++;
    p->shown.has_source = p->shown.has_source || (kind != NULL && kind->is_source);
    toucher t = {p, (uint32_t)number};
    for (const jv_json_value *m = part->as.first; m != NULL && !p->out_of_memory; m = m->next) {
        const jv_key *key = jv_harness_side_key(kind, m);
        if (key != NULL) {
            jv_harness_side_names(key->type, m, touch, &t);
        }
    }
}

static void read_side_parts(planner *p) {
    const jv_json_value *parts = jv_harness_side_section(p->shown.side, "parts");
    if (parts == NULL) {
        return;
    }
    p->side_parts = room_for(p, parts->length, sizeof *p->side_parts);
    size_t n = 0;
    for (const jv_json_value *part = parts->as.first; part != NULL && !p->out_of_memory;
         part = part->next) {
        if (part->key != NULL) {
            p->side_parts[n] = part;
            read_side_part(p, part, n++);
        }
    }
}

static void add_edge(planner *p, size_t from, size_t to, unsigned char *fate) {
    *fate = JV_HARNESS_BROKEN;
    if (from == JV_HARNESS_NONE || to == JV_HARNESS_NONE || p->terminal[from] == p->terminal[to]) {
        return;
    }
    *fate = JV_HARNESS_KEPT;
    edge *e = &p->edges[p->n_edges++];
    *e = (edge){(uint32_t)p->terminal[from], (uint32_t)p->terminal[to], fate};
    p->degree[e->from]++;
    p->degree[e->to]++;
}

static void make_edges(planner *p) {
    const jv_harness_parts *parts = p->shown.harness;
    p->edges = room_for(p, parts->n_wires + parts->n_fuses + parts->n_mates, sizeof *p->edges);
    if (p->out_of_memory) {
        return;
    }
    for (size_t i = 0; i < parts->n_wires; i++) {
        add_edge(p, parts->wires[i].from, parts->wires[i].to, &p->wire_fate[i]);
    }
    for (size_t i = 0; i < parts->n_fuses; i++) {
        add_edge(p, parts->fuses[i].from, parts->fuses[i].to, &p->fuse_fate[i]);
    }
    for (size_t i = 0; i < parts->n_mates; i++) {
        add_edge(p, parts->mates[i].from, parts->mates[i].to, &p->mate_fate[i]);
    }
}

/* Edges by terminal: those of t are list[start[t]] to list[start[t + 1] - 1]. */
typedef struct adjacency {
    uint32_t *start, *list, *stack;
} adjacency;

static bool make_adjacency(planner *p, adjacency *a) {
    size_t n = p->shown.n_terminals;
    a->start = room_for(p, n + 1, sizeof *a->start);
    a->list = room_for(p, 2 * p->n_edges, sizeof *a->list);
    a->stack = room_for(p, n, sizeof *a->stack);
    if (p->out_of_memory) {
        return false;
    }
    for (size_t i = 0; i < p->n_edges; i++) {
        a->start[p->edges[i].from + 1]++;
        a->start[p->edges[i].to + 1]++;
    }
    for (size_t t = 0; t < n; t++) {
        a->start[t + 1] += a->start[t];
        a->stack[t] = a->start[t]; /* the next free place, until the list is full */
    }
    for (size_t i = 0; i < p->n_edges; i++) {
        a->list[a->stack[p->edges[i].from]++] = (uint32_t)i;
        a->list[a->stack[p->edges[i].to]++] = (uint32_t)i;
    }
    return true;
}

/* Take out, from its end, each branch that leads to nothing. */
static void prune_ends(planner *p, const adjacency *a) {
    for (size_t first = 0; first < p->shown.n_terminals; first++) {
        uint32_t t = (uint32_t)first;
        while (p->degree[t] == 1) {
            edge *last = NULL;
            for (uint32_t k = a->start[t]; k < a->start[t + 1] && last == NULL; k++) {
                edge *e = &p->edges[a->list[k]];
                last = *e->fate == JV_HARNESS_KEPT ? e : NULL;
            }
            if (last == NULL) {
                break; /* a part of the side file alone: check will tell */
            }
            *last->fate = JV_HARNESS_OPEN;
            p->degree[t]--;
            t = last->from == t ? last->to : last->from;
            p->degree[t]--;
        }
    }
}

/* Take out what no part of the side file hangs together with. */
static void prune_islands(planner *p, const adjacency *a) {
    size_t n = 0;
    bool *reached = room_for(p, p->shown.n_terminals, sizeof *reached);
    if (p->out_of_memory) {
        return;
    }
    for (size_t t = 0; t < p->shown.n_terminals; t++) {
        if (p->anchored[t]) {
            reached[t] = true;
            a->stack[n++] = (uint32_t)t;
        }
    }
    while (n > 0) {
        uint32_t t = a->stack[--n];
        for (uint32_t k = a->start[t]; k < a->start[t + 1]; k++) {
            const edge *e = &p->edges[a->list[k]];
            uint32_t other = e->from == t ? e->to : e->from;
            if (*e->fate == JV_HARNESS_KEPT && !reached[other]) {
                reached[other] = true;
                a->stack[n++] = other;
            }
        }
    }
    for (size_t i = 0; i < p->n_edges; i++) {
        edge *e = &p->edges[i];
        if (*e->fate == JV_HARNESS_KEPT && !reached[e->from]) {
            *e->fate = JV_HARNESS_APART;
            p->degree[e->from]--;
            p->degree[e->to]--;
        }
    }
}

static void list_lone(planner *p) {
    size_t *lone = room_for(p, p->shown.n_terminals, sizeof *lone);
    for (size_t t = 0; t < p->shown.n_terminals && !p->out_of_memory; t++) {
        if (p->degree[t] == 1) {
            lone[p->shown.n_lone++] = t;
        }
    }
    p->shown.lone = lone;
}

/* Does the side file give this key of a part of the harness? */
static bool gives(const planner *p, const char *part, const char *key) {
    const jv_json_value *added = jv_harness_plan_added(&p->shown, part);
    return added != NULL && jv_json_member(added, key) != NULL;
}

static void miss(planner *p, const char **list, const char *what, const char *part) {
    jv_text text = {0};
    jv_text_addf(&text, "%s of \"%s\"", what, part);
    const char *own =
        text.failed ? NULL : jv_arena_copy(&p->arena, jv_text_str(&text), text.length);
    p->out_of_memory = p->out_of_memory || own == NULL;
    jv_text_clear(&text);
    if (own != NULL) {
        list[p->shown.n_missing++] = own;
    }
}

static void list_missing(planner *p) {
    const jv_harness_parts *parts = p->shown.harness;
    const char **list = room_for(p, 2 * parts->n_wires + parts->n_fuses, sizeof *list);
    for (size_t i = 0; i < parts->n_wires && !p->out_of_memory; i++) {
        const jv_harness_wire *w = &parts->wires[i];
        if (p->wire_fate[i] != JV_HARNESS_KEPT || gives(p, w->name, "resistance")) {
            continue;
        }
        if (isnan(w->length_m) && !gives(p, w->name, "length")) {
            miss(p, list, "length", w->name);
        }
        if (isnan(w->area_m2) && isnan(w->ohm_per_m) && !gives(p, w->name, "size")) {
            miss(p, list, "size", w->name);
        }
    }
    for (size_t i = 0; i < parts->n_fuses && !p->out_of_memory; i++) {
        const jv_harness_fuse *f = &parts->fuses[i];
        if (p->fuse_fate[i] == JV_HARNESS_KEPT && isnan(f->rating_a) &&
            !gives(p, f->name, "rating")) {
            miss(p, list, "rating", f->name);
        }
    }
    p->shown.missing = list;
}

/* How many terminals the side file can name at most: its strings and keys. */
static size_t count_values(const jv_json_value *node) {
    size_t n = 0;
    for (; node != NULL; node = node->next) {
        n++;
        if (node->type == JV_JSON_ARRAY || node->type == JV_JSON_OBJECT) {
            n += count_values(node->as.first); /* as deep as the reader allows: 64 levels */
        }
    }
    return n;
}

static void make_room(planner *p) {
    const jv_harness_parts *parts = p->shown.harness;
    size_t named = 0;
    if (p->shown.side != NULL) {
        named = count_values(p->shown.side->doc.root);
    }
    p->room = parts->n_points + named;
    p->names = room_for(p, p->room, sizeof *p->names);
    p->degree = room_for(p, p->room, sizeof *p->degree);
    p->touched_by = room_for(p, p->room, sizeof *p->touched_by);
    p->anchored = room_for(p, p->room, sizeof *p->anchored);
    p->joint_names = room_for(p, parts->n_points, sizeof *p->joint_names);
    p->terminal = room_for(p, parts->n_points, sizeof *p->terminal);
    p->wire_fate = room_for(p, parts->n_wires, 1);
    p->fuse_fate = room_for(p, parts->n_fuses, 1);
    p->mate_fate = room_for(p, parts->n_mates, 1);
    for (size_t i = 0; i < parts->n_points && !p->out_of_memory; i++) {
        add_name(p, &p->points, parts->points[i].name, i + 1);
    }
}

static void work(planner *p) {
    adjacency a;
    make_room(p);
    if (p->out_of_memory) {
        return;
    }
    name_joints(p);
    name_parts(p);
    read_side_parts(p);
    make_edges(p);
    if (!p->out_of_memory && p->n_own > 0 && make_adjacency(p, &a)) {
        prune_ends(p, &a);
        prune_islands(p, &a);
    }
    list_lone(p);
    list_missing(p);
    p->shown.terminals = p->names;
    p->shown.terminal = p->terminal;
    p->shown.wire_fate = p->wire_fate;
    p->shown.fuse_fate = p->fuse_fate;
    p->shown.mate_fate = p->mate_fate;
}

jv_status jv_harness_plan_make(const jv_harness *harness, const jv_harness_side *side,
                               jv_diags *diags, jv_harness_plan **out) {
    planner *p = jv_zalloc(1, sizeof *p);
    if (p == NULL) {
        return JV_ERR_MEMORY;
    }
    size_t before = diags->errors;
    p->shown.harness = jv_harness_content(harness);
    p->shown.side = side;
    p->diags = diags;
    work(p);
    jv_harness_plan *plan = &p->shown;
    jv_status status = p->out_of_memory || diags->out_of_memory ? JV_ERR_MEMORY
                       : diags->errors > before                 ? JV_ERR_INPUT
                                                                : JV_OK;
    if (status != JV_OK) {
        jv_harness_plan_free(&plan);
        return status;
    }
    *out = plan;
    return JV_OK;
}

void jv_harness_plan_free(jv_harness_plan **plan) {
    if (*plan == NULL) {
        return;
    }
    planner *p = (planner *)(void *)*plan;
    jv_name_map_clear(&p->points);
    jv_name_map_clear(&p->terminals);
    jv_name_map_clear(&p->parts);
    jv_name_map_clear(&p->added);
    jv_arena_clear(&p->arena);
    jv_free(p);
    *plan = NULL;
}
