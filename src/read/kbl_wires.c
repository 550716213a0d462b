/* kbl_wires.c - wires, cores and routes of a KBL file. SPDX-License-Identifier: MIT */
#include "read/kbl.h"

#include <math.h>
#include <string.h>

/* Sum of the segments of a routing. Virtual lengths are the model's, physical ones are rounded
 * for production: one kind for all of them. */
static double segments_m(jv_kbl *k, jv_xml_at routing) {
    jv_xml_at list = jv_xml_child(k->xml, routing, KBL_SEGMENTS);
    const char *text = jv_xml_own_text(k->xml, list), *id;
    double as_modelled = 0.0, as_made = 0.0;
    bool any = false;
    for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
        jv_xml_at segment = jv_xml_link_id(k->xml, list, id, n, KBL_SEGMENT, 0, k->diags);
        as_modelled += jv_kbl_value(k, segment, KBL_VIRTUAL_LENGTH, KBL_LENGTH);
        as_made += jv_kbl_value(k, segment, KBL_PHYSICAL_LENGTH, KBL_LENGTH);
        any = true;
    }
    return !any ? NAN : isnan(as_modelled) ? as_made : as_modelled;
}

static bool route_room(jv_kbl *k) {
    enum { FIRST = 64 };
    if (k->n_routes < k->route_room) {
        return true;
    }
    size_t room = k->route_room > 0 ? 2 * k->route_room : FIRST;
    double *more = jv_resize(k->routes, room, sizeof *more);
    if (more == NULL) {
        k->h->out_of_memory = true;
        return false;
    }
    k->routes = more;
    k->route_room = room;
    return true;
}

/* The route of each connection; its mark counts from 1. A wire that has several routes (of
 * variants) has none that could be checked. */
static void read_routes(jv_kbl *k) {
    for (jv_xml_at at = jv_xml_child(k->xml, k->root, KBL_ROUTING); at != 0;
         at = jv_xml_again(k->xml, at)) {
        jv_xml_at wire = jv_xml_link(k->xml, jv_xml_child(k->xml, at, KBL_ROUTED_WIRE),
                                     KBL_CONNECTION, 0, k->diags);
        double length = segments_m(k, at);
        if (wire == 0 || !route_room(k)) {
            continue;
        }
        jv_xml_node *node = jv_xml_get(k->xml, wire);
        if (node->mark > 0) {
            k->routes[node->mark - 1] = NAN;
            jv_harness_note(k->h, JV_CODE_HARNESS_VARIANTS, jv_xml_get(k->xml, at)->line,
                            "connection %s has more than one routing",
                            node->id != NULL ? node->id : "");
            continue;
        }
        k->routes[k->n_routes++] = length;
        node->mark = (uint32_t)k->n_routes;
    }
}

/* Which length counts for a drop: the one that is cut, then the drawn, then the model's. */
static void choose_length(jv_kbl *k, jv_xml_at at, jv_harness_wire *wire) {
    static const char *const order[] = {"Production", "Drawing", "DMU", "Contract"};
    jv_length_ranks ranks = {order, sizeof order / sizeof order[0], SIZE_MAX};
    for (jv_xml_at l = jv_xml_child(k->xml, at, KBL_LENGTH_INFORMATION); l != 0;
         l = jv_xml_again(k->xml, l)) {
        const char *type = jv_xml_text(k->xml, l, KBL_LENGTH_TYPE);
        double length = jv_kbl_value(k, l, KBL_LENGTH_VALUE, KBL_LENGTH);
        jv_harness_offer_length(k->h, wire, &ranks, type, length);
    }
    jv_harness_close_length(wire);
}

/* "nd" stands for "not defined" in the public files. */
static const char *colour_of(jv_kbl *k, jv_xml_at at) {
    const char *value = jv_xml_text(k->xml, at, KBL_COLOUR_VALUE);
    return value != NULL && strcmp(value, "nd") == 0 ? NULL : value;
}

static bool is_base(jv_kbl *k, jv_xml_at at) {
    const char *type = jv_xml_text(k->xml, at, KBL_COLOUR_TYPE);
    return type != NULL && (strcmp(type, "base colour") == 0 || strcmp(type, "Grundfarbe") == 0);
}

/* Base colour, then the stripes: "rt/ws". */
static const char *colours(jv_kbl *k, jv_xml_at part, uint16_t name) {
    jv_text all = {0};
    for (int base = 1; base >= 0; base--) {
        for (jv_xml_at at = jv_xml_child(k->xml, part, name); at != 0;
             at = jv_xml_again(k->xml, at)) {
            const char *value = is_base(k, at) == (base != 0) ? colour_of(k, at) : NULL;
            if (value != NULL) {
                jv_text_addf(&all, "%s%s", all.length > 0 ? "/" : "", value);
            }
        }
    }
    const char *own = all.length > 0 ? jv_harness_copy(k->h, jv_text_str(&all)) : NULL;
    k->h->out_of_memory = k->h->out_of_memory || all.failed;
    jv_text_clear(&all);
    return own;
}

/* A number alone would be an odd name for a part. */
static const char *wire_name(jv_kbl *k, const char *number, const char *id) {
    jv_text name = {0};
    bool bare = number != NULL && number[0] >= '0' && number[0] <= '9';
    jv_text_addf(&name, "%s%s", bare || number == NULL ? "wire " : "",
                 number != NULL ? number
                 : id != NULL   ? id
                                : "");
    k->h->out_of_memory = k->h->out_of_memory || name.failed;
    const char *own = jv_harness_unique(k->h, JV_SPACE_PARTS, jv_text_str(&name), id);
    jv_text_clear(&name);
    return own;
}

/* What a kind of wire or core is made of: read once, for many wires are of one kind. */
typedef struct jv_kbl_kind {
    double area_m2;
    const char *colour, *metal;
} jv_kbl_kind;

static jv_kbl_kind read_kind(jv_kbl *k, jv_xml_at part) {
    bool is_core = jv_xml_get(k->xml, part)->name == KBL_CORE;
    jv_xml_at whole = is_core ? jv_xml_get(k->xml, part)->parent : part;
    jv_xml_at material = jv_xml_child(k->xml, whole, KBL_MATERIAL_INFORMATION);
    jv_kbl_kind kind = {.area_m2 = jv_kbl_value(k, part, KBL_CROSS_SECTION_AREA, KBL_AREA)};
    kind.colour = colours(k, part, is_core ? KBL_CORE_COLOUR : KBL_COVER_COLOUR);
    kind.metal = jv_harness_copy(k->h, jv_xml_text(k->xml, material, KBL_MATERIAL_KEY));
    return kind;
}

static jv_kbl_kind kind_of(jv_kbl *k, jv_xml_at part) {
    enum { FIRST = 16 };
    jv_kbl_kind none = {.area_m2 = NAN};
    if (part == 0) {
        return none;
    }
    jv_xml_node *node = jv_xml_get(k->xml, part);
    if (node->mark > 0) {
        return k->kinds[node->mark - 1];
    }
    if (k->n_kinds == k->kind_room) {
        size_t room = k->kind_room > 0 ? 2 * k->kind_room : FIRST;
        jv_kbl_kind *more = jv_resize(k->kinds, room, sizeof *more);
        if (more == NULL) {
            k->h->out_of_memory = true;
            return none;
        }
        k->kinds = more;
        k->kind_room = room;
    }
    k->kinds[k->n_kinds++] = read_kind(k, part);
    node->mark = (uint32_t)k->n_kinds;
    return k->kinds[k->n_kinds - 1];
}

/* What a wire or a core is. */
static jv_harness_wire describe(jv_kbl *k, jv_xml_at at) {
    jv_harness_wire wire = jv_harness_wire_new();
    bool is_core = jv_xml_get(k->xml, at)->name == KBL_CORE_OCCURRENCE;
    jv_kbl_kind kind = kind_of(k, jv_xml_link(k->xml, jv_xml_child(k->xml, at, KBL_PART),
                                              is_core ? KBL_CORE : KBL_GENERAL_WIRE, 0, k->diags));
    wire.line = jv_xml_get(k->xml, at)->line;
    wire.area_m2 = kind.area_m2;
    wire.colour = kind.colour;
    wire.metal = kind.metal;
    wire.name = wire_name(k, jv_xml_text(k->xml, at, KBL_WIRE_NUMBER), jv_xml_get(k->xml, at)->id);
    if (is_core) {
        jv_xml_at cable = jv_xml_get(k->xml, at)->parent;
        const char *id = jv_xml_text(k->xml, cable, KBL_SPECIAL_WIRE_ID);
        wire.cable = jv_harness_copy(k->h, id != NULL ? id : jv_xml_get(k->xml, cable)->id);
    }
    return wire;
}

/* The core's own length goes before that of its cable. */
static void measure(jv_kbl *k, jv_xml_at at, jv_harness_wire *wire) {
    choose_length(k, at, wire);
    if (!(wire->length_m > 0.0) && jv_xml_get(k->xml, at)->name == KBL_CORE_OCCURRENCE) {
        choose_length(k, jv_xml_get(k->xml, at)->parent, wire);
    }
}

static size_t count_ends(const jv_kbl *k, jv_xml_at connection) {
    size_t n = 0;
    for (jv_xml_at at = jv_xml_child(k->xml, connection, KBL_EXTREMITIES); at != 0;
         at = jv_xml_again(k->xml, at)) {
        n++;
    }
    return n;
}

static void read_ends(jv_kbl *k, jv_xml_at connection, const jv_harness_wire *wire) {
    enum { FEW = 8 };
    jv_harness_end few[FEW], *ends = few;
    size_t n = count_ends(k, connection), found = 0;
    if (n > FEW && (ends = jv_alloc(n, sizeof *ends)) == NULL) {
        k->h->out_of_memory = true;
        return;
    }
    for (jv_xml_at at = jv_xml_child(k->xml, connection, KBL_EXTREMITIES); at != 0;
         at = jv_xml_again(k->xml, at)) {
        jv_xml_at link = jv_xml_child(k->xml, at, KBL_CONTACT_POINT);
        jv_xml_at contact = jv_xml_link(k->xml, link, KBL_CONTACT_POINTS, 0, k->diags);
        jv_xml_at place = jv_xml_child(k->xml, at, KBL_POSITION_ON_WIRE);
        double position;
        jv_xml_number(k->xml, place, &position, k->diags);
        if (position < 0.0 || position > 1.0) {
            jv_xml_fault(k->xml, place, k->diags, JV_CODE_HARNESS_NUMBER,
                         "0 is the start of the wire and 1 its end.",
                         "position %g lies outside the wire", position);
        }
        if (contact != 0) {
            ends[found].position = isnan(position) ? (double)found : position;
            ends[found++].point = jv_kbl_point(k, contact);
        }
    }
    jv_harness_add_pieces(k->h, wire, ends, found);
    if (ends != few) {
        jv_free(ends);
    }
}

static void read_connection(jv_kbl *k, jv_xml_at connection) {
    jv_xml_at link = jv_xml_child(k->xml, connection, KBL_WIRE);
    jv_xml_at at =
        jv_xml_link(k->xml, link, KBL_GENERAL_WIRE_OCCURRENCE, KBL_CORE_OCCURRENCE, k->diags);
    if (at == 0) {
        return;
    }
    uint32_t route = jv_xml_get(k->xml, connection)->mark;
    jv_harness_wire wire = describe(k, at);
    wire.signal = jv_harness_copy(k->h, jv_xml_text(k->xml, connection, KBL_SIGNAL_NAME));
    wire.routed_m = route > 0 ? k->routes[route - 1] : NAN;
    measure(k, at, &wire);
    if (isnan(wire.routed_m)) {
        jv_harness_note(k->h, JV_CODE_HARNESS_ROUTE, wire.line,
                        route > 0 ? "the route of wire \"%s\" has no length"
                                  : "wire \"%s\" has no route",
                        wire.name);
    }
    read_ends(k, connection, &wire);
    jv_xml_get(k->xml, at)->mark = 1;
}

/* A wire that no connection uses. */
static void read_unused(jv_kbl *k, jv_xml_at at) {
    if (jv_xml_get(k->xml, at)->mark != 0) {
        return;
    }
    jv_harness_wire wire = describe(k, at);
    measure(k, at, &wire);
    jv_harness_add_wire(k->h, &wire);
}

static bool is_known_type(uint16_t type) {
    return type == KBL_WIRE_OCCURRENCE || type == KBL_SPECIAL_WIRE_OCCURRENCE ||
           type == KBL_SPECIFIED_WIRE_OCCURRENCE || type == KBL_SPECIFIED_SPECIAL_WIRE_OCCURRENCE;
}

/* Wires and cores that no connection uses. */
static void read_rest(jv_kbl *k, jv_xml_at at) {
    if (!is_known_type(jv_xml_get(k->xml, at)->type)) {
        jv_harness_note(k->h, JV_CODE_HARNESS_STRANGE, jv_xml_get(k->xml, at)->line,
                        "a General_wire_occurrence is of a type that is not known; it is read "
                        "as a wire");
    }
    jv_xml_at core = jv_xml_child(k->xml, at, KBL_CORE_OCCURRENCE);
    if (core == 0) {
        read_unused(k, at);
    }
    for (; core != 0; core = jv_xml_again(k->xml, core)) {
        read_unused(k, core);
    }
}

void jv_kbl_read_wires(jv_kbl *k) {
    const jv_kbl_list *connections = &k->lists[KBL_CONNECTION];
    const jv_kbl_list *wires = &k->lists[KBL_GENERAL_WIRE_OCCURRENCE];
    read_routes(k);
    for (size_t i = 0; i < connections->n; i++) {
        read_connection(k, connections->at[i]);
    }
    for (size_t i = 0; i < wires->n; i++) {
        read_rest(k, wires->at[i]);
    }
}
