/* vec_wires.c - wires, cores and routes of a VEC file. SPDX-License-Identifier: MIT */
#include "read/vec.h"

#include <math.h>
#include <string.h>

/* Length of a segment: what is rounded for production before what was designed. */
static double segment_m(jv_vec *v, jv_xml_at segment) {
    double best = NAN;
    bool adapted = false;
    for (jv_xml_at l = jv_xml_child(v->xml, segment, VEC_LENGTH_INFORMATION); l != 0;
         l = jv_xml_again(v->xml, l)) {
        const char *kind = jv_xml_text(v->xml, l, VEC_CLASSIFICATION);
        bool is_adapted = kind != NULL && strcmp(kind, "Adapted") == 0;
        double length = jv_vec_value(v, l, VEC_LENGTH, VEC_DIM_LENGTH);
        if (isnan(best) || (is_adapted && !adapted && !isnan(length))) {
            best = length;
            adapted = is_adapted;
        }
    }
    return best;
}

static double path_m(jv_vec *v, jv_xml_at routing) {
    jv_xml_at path = jv_xml_child(v->xml, routing, VEC_PATH);
    double sum = NAN;
    for (jv_xml_at list = jv_xml_child(v->xml, path, VEC_SEGMENT); list != 0;
         list = jv_xml_again(v->xml, list)) {
        const char *text = jv_xml_own_text(v->xml, list), *id;
        for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
            jv_xml_at s = jv_xml_link_id(v->xml, list, id, n, VEC_TOPOLOGY_SEGMENT, 0, v->diags);
            double length = segment_m(v, s);
            sum = isnan(sum) ? length : sum + length;
            if (isnan(sum)) {
                return NAN;
            }
        }
    }
    return sum;
}

static void add_route(jv_vec *v, jv_xml_at element, jv_xml_at routing) {
    enum { FIRST = 64 };
    jv_xml_node *node = jv_xml_get(v->xml, element);
    if (node->mark > 0) {
        v->routes[node->mark - 1] = NAN;
        jv_harness_note(v->h, JV_CODE_HARNESS_VARIANTS, jv_vec_line(v, routing),
                        "wire element %s has more than one routing, as in variants",
                        node->id != NULL ? node->id : "");
        return;
    }
    if (v->n_routes == v->route_room) {
        size_t room = v->route_room > 0 ? 2 * v->route_room : FIRST;
        double *more = jv_resize(v->routes, room, sizeof *more);
        if (more == NULL) {
            v->h->out_of_memory = true;
            return;
        }
        v->routes = more;
        v->route_room = room;
    }
    v->routes[v->n_routes++] = path_m(v, routing);
    node->mark = (uint32_t)v->n_routes;
}

/* A routing leads a wire element, or a connection of the schematic, which is none. */
static void read_routes(jv_vec *v) {
    for (jv_xml_at s = 0; (s = jv_vec_next(v, s, VEC_ROUTING_SPECIFICATION, true)) != 0;) {
        for (jv_xml_at r = jv_xml_child(v->xml, s, VEC_ROUTING); r != 0;
             r = jv_xml_again(v->xml, r)) {
            const char *text = jv_xml_text(v->xml, r, VEC_ROUTED_ELEMENT), *id;
            size_t n = jv_xml_next_id(&text, &id);
            jv_xml_at element = n > 0 ? jv_xml_find(v->xml, id, n) : 0;
            if (element != 0 && jv_xml_get(v->xml, element)->name == VEC_WIRE_ELEMENT_REFERENCE) {
                add_route(v, element, r);
            }
        }
    }
}

/* Which length counts for a drop: the one that is cut, the one fixed by design, the drawn, the
 * model's, the negotiated. */
static void measure(jv_vec *v, jv_xml_at reference, jv_harness_wire *wire) {
    static const char *const order[] = {"Production", "Functional", "Drawing", "DMU", "Contract"};
    jv_length_ranks ranks = {order, sizeof order / sizeof order[0], SIZE_MAX};
    for (jv_xml_at l = jv_xml_child(v->xml, reference, VEC_WIRE_LENGTH); l != 0;
         l = jv_xml_again(v->xml, l)) {
        const char *type = jv_xml_text(v->xml, l, VEC_LENGTH_TYPE);
        double length = jv_vec_value(v, l, VEC_LENGTH_VALUE, VEC_DIM_LENGTH);
        jv_harness_offer_length(v->h, wire, &ranks, type, length);
    }
    jv_harness_close_length(wire);
}

/* Base colour and stripes: "RD/WH". */
static const char *colours(jv_vec *v, jv_xml_at insulation) {
    static const uint16_t names[] = {VEC_BASE_COLOR, VEC_FIRST_IDENTIFICATION_COLOR,
                                     VEC_SECOND_IDENTIFICATION_COLOR};
    jv_text all = {0};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        for (jv_xml_at c = jv_xml_child(v->xml, insulation, names[i]); c != 0;
             c = jv_xml_again(v->xml, c)) {
            const char *key = jv_xml_text(v->xml, c, VEC_KEY);
            if (key != NULL) {
                jv_text_addf(&all, "%s%s", all.length > 0 ? "/" : "", key);
            }
        }
    }
    const char *own = all.length > 0 ? jv_harness_copy(v->h, jv_text_str(&all)) : NULL;
    v->h->out_of_memory = v->h->out_of_memory || all.failed;
    jv_text_clear(&all);
    return own;
}

/* The specification of the wire element that a reference uses. */
static jv_xml_at element_of(jv_vec *v, jv_xml_at reference) {
    jv_xml_at link = jv_xml_child(v->xml, reference, VEC_REFERENCED_WIRE_ELEMENT);
    jv_xml_at element = jv_xml_link(v->xml, link, VEC_WIRE_ELEMENT, VEC_SUB_WIRE_ELEMENT, v->diags);
    return jv_vec_specification(v, element, VEC_WIRE_ELEMENT_SPECIFICATION);
}

static void describe(jv_vec *v, jv_xml_at reference, jv_xml_at conductor, jv_xml_at element,
                     jv_harness_wire *wire) {
    wire->line = jv_vec_line(v, reference);
    wire->area_m2 = jv_vec_value(v, conductor, VEC_CROSS_SECTION_AREA, VEC_DIM_AREA);
    wire->ohm_per_m = jv_vec_ohm_per_m(v, conductor);
    wire->metal =
        jv_harness_copy(v->h, jv_xml_text(v->xml, jv_xml_child(v->xml, conductor, VEC_MATERIAL),
                                          VEC_KEY));
    wire->colour = colours(v, jv_vec_specification(v, element, VEC_INSULATION_SPECIFICATION));
    jv_xml_at signal =
        jv_xml_link(v->xml, jv_xml_child(v->xml, reference, VEC_SIGNAL), VEC_SIGNAL, 0, v->diags);
    const char *name = jv_xml_text(v->xml, signal, VEC_SIGNAL_NAME);
    name = name != NULL ? name : jv_xml_text(v->xml, signal, VEC_CLAMP_NAME);
    wire->signal =
        jv_harness_copy(v->h,
                        name != NULL ? name : jv_xml_text(v->xml, signal, VEC_IDENTIFICATION));
}

/* A wire is named by its occurrence; a core by its cable and itself. */
static void name_wire(jv_vec *v, jv_xml_at component, jv_xml_at reference, bool several,
                      jv_harness_wire *wire) {
    const char *cable = jv_xml_text(v->xml, component, VEC_IDENTIFICATION);
    const char *own = jv_xml_text(v->xml, reference, VEC_IDENTIFICATION);
    const char *id = jv_xml_get(v->xml, reference)->id;
    const char *name = cable != NULL ? cable : own != NULL ? own : id != NULL ? id : "";
    jv_text whole = {0};
    jv_text_addf(&whole, "%s%s", name[0] >= '0' && name[0] <= '9' ? "wire " : "", name);
    if (several && cable != NULL && own != NULL) {
        jv_text_addf(&whole, ".%s", own);
    }
    v->h->out_of_memory = v->h->out_of_memory || whole.failed;
    wire->name = jv_harness_unique(v->h, JV_SPACE_PARTS, jv_text_str(&whole), id);
    wire->cable = several ? jv_harness_copy(v->h, cable) : NULL;
    jv_text_clear(&whole);
}

static void add_ends(jv_vec *v, jv_xml_at reference, const jv_harness_wire *wire) {
    enum { FEW = 8 };
    jv_harness_end few[FEW], *ends = few;
    size_t n = 0, found = 0;
    for (jv_xml_at e = jv_xml_child(v->xml, reference, VEC_WIRE_END); e != 0;
         e = jv_xml_again(v->xml, e)) {
        n++;
    }
    if (n > FEW && (ends = jv_alloc(n, sizeof *ends)) == NULL) {
        v->h->out_of_memory = true;
        return;
    }
    for (jv_xml_at e = jv_xml_child(v->xml, reference, VEC_WIRE_END); e != 0;
         e = jv_xml_again(v->xml, e)) {
        jv_xml_at place = jv_xml_child(v->xml, e, VEC_POSITION_ON_WIRE);
        double position;
        jv_xml_number(v->xml, place, &position, v->diags);
        if (position < 0.0 || position > 1.0) {
            jv_xml_fault(v->xml, place, v->diags, JV_CODE_HARNESS_NUMBER,
                         "0 is the start of the wire and 1 its end.",
                         "position %g lies outside the wire", position);
        }
        size_t point = jv_vec_point(v, e);
        if (point != JV_HARNESS_NONE) {
            ends[found].position = isnan(position) ? (double)found : position;
            ends[found++].point = point;
        }
    }
    jv_harness_add_pieces(v->h, wire, ends, found);
    if (ends != few) {
        jv_free(ends);
    }
}

/* A reference to an element without a conductor (a twist, an outer jacket) is no wire. */
static bool read_reference(jv_vec *v, jv_xml_at component, jv_xml_at reference, bool several) {
    jv_xml_at element = element_of(v, reference);
    jv_xml_at conductor = jv_vec_specification(v, element, VEC_CONDUCTOR_SPECIFICATION);
    if (element != 0 && conductor == 0 && jv_xml_child(v->xml, reference, VEC_WIRE_END) == 0) {
        return false;
    }
    uint32_t route = jv_xml_get(v->xml, reference)->mark;
    jv_harness_wire wire = jv_harness_wire_new();
    describe(v, reference, conductor, element, &wire);
    name_wire(v, component, reference, several, &wire);
    wire.routed_m = route > 0 ? v->routes[route - 1] : NAN;
    measure(v, reference, &wire);
    if (isnan(wire.routed_m)) {
        jv_harness_note(v->h, JV_CODE_HARNESS_ROUTE, wire.line,
                        route > 0 ? "the route of wire \"%s\" has no length"
                                  : "wire \"%s\" has no route",
                        wire.name);
    }
    add_ends(v, reference, &wire);
    return true;
}

size_t jv_vec_read_wires(jv_vec *v) {
    size_t n = 0;
    read_routes(v);
    for (jv_xml_at c = 0; (c = jv_vec_next_component(v, c)) != 0;) {
        for (jv_xml_at role = jv_xml_child(v->xml, c, VEC_ROLE); role != 0;
             role = jv_xml_again(v->xml, role)) {
            jv_xml_at first = jv_xml_child(v->xml, role, VEC_WIRE_ELEMENT_REFERENCE);
            bool several = first != 0 && jv_xml_again(v->xml, first) != 0;
            for (jv_xml_at r = first; r != 0; r = jv_xml_again(v->xml, r)) {
                n += read_reference(v, c, r, several);
            }
        }
    }
    return n;
}
