/* vec_contacts.c - connectors, contact points and couplings of a VEC file.
 * SPDX-License-Identifier: MIT */
#include "read/vec.h"

#include <math.h>
#include <string.h>

enum { MOST_PAIRINGS = 1024 }; /* of terminals with known ohms that are looked at */

/* Two parts whose terminals have known ohms when they are mated. */
typedef struct pairing {
    jv_xml_at first, second, at;
} pairing;

typedef struct pairings {
    pairing all[MOST_PAIRINGS];
    size_t n;
} pairings;

static bool has_several(const jv_vec *v, jv_xml_at parent, uint16_t name) {
    jv_xml_at first = jv_xml_child(v->xml, parent, name);
    return first != 0 && jv_xml_again(v->xml, first) != 0;
}

/* Description is a text, or holds one in a language. */
static const char *description(const jv_vec *v, jv_xml_at at) {
    jv_xml_at d = jv_xml_child(v->xml, at, VEC_DESCRIPTION);
    const char *own = jv_xml_own_text(v->xml, d);
    return own != NULL ? own : jv_xml_text(v->xml, d, VEC_VALUE);
}

/* The part occurrence that a role or pin belongs to. */
static jv_xml_at owner(const jv_vec *v, jv_xml_at at) {
    while (at != 0 && jv_xml_get(v->xml, at)->name != VEC_COMPONENT &&
           jv_xml_get(v->xml, at)->name != VEC_PART_USAGE) {
        at = jv_xml_get(v->xml, at)->parent;
    }
    return at;
}

static size_t add_connector(jv_vec *v, jv_xml_at component, const char *more,
                            jv_harness_connector_kind kind) {
    const char *name = jv_xml_text(v->xml, component, VEC_IDENTIFICATION);
    const char *id = jv_xml_get(v->xml, component)->id;
    jv_text whole = {0};
    jv_text_add(&whole, name != NULL ? name : id != NULL ? id : "unnamed");
    if (more != NULL) {
        jv_text_addf(&whole, ".%s", more);
    }
    v->h->out_of_memory = v->h->out_of_memory || whole.failed;
    size_t c =
        jv_harness_add_connector(v->h, jv_text_str(&whole), id, kind, jv_vec_line(v, component));
    jv_text_clear(&whole);
    const char *about = jv_harness_copy(v->h, description(v, component));
    if (c != JV_HARNESS_NONE) {
        v->h->connectors[c].about = about;
    }
    return c;
}

/* A point for each cavity that a housing role refers to. */
static void read_housing(jv_vec *v, jv_xml_at role, size_t connector) {
    bool several = has_several(v, role, VEC_SLOT_REFERENCE);
    for (jv_xml_at s = jv_xml_child(v->xml, role, VEC_SLOT_REFERENCE); s != 0;
         s = jv_xml_again(v->xml, s)) {
        jv_xml_at part = jv_xml_link(v->xml, jv_xml_child(v->xml, s, VEC_REFERENCED_SLOT), VEC_SLOT,
                                     0, v->diags);
        const char *slot = jv_xml_text(v->xml, part, VEC_SLOT_NUMBER);
        slot = slot != NULL ? slot : jv_xml_text(v->xml, s, VEC_IDENTIFICATION);
        for (jv_xml_at c = jv_xml_child(v->xml, s, VEC_CAVITY_REFERENCE); c != 0;
             c = jv_xml_again(v->xml, c)) {
            jv_xml_at cavity = jv_xml_link(v->xml, jv_xml_child(v->xml, c, VEC_REFERENCED_CAVITY),
                                           VEC_CAVITY, 0, v->diags);
            const char *number = jv_xml_text(v->xml, cavity, VEC_CAVITY_NUMBER);
            number = number != NULL ? number : jv_xml_text(v->xml, c, VEC_IDENTIFICATION);
            size_t point = jv_harness_add_point(v->h, connector, several ? slot : NULL, number,
                                                jv_vec_line(v, c));
            jv_vec_mark(v, c, point);
        }
    }
}

/* The point of the cavity that a pin sits in; JV_HARNESS_NONE when it has none here. */
static size_t cavity_of_pin(jv_vec *v, jv_xml_at reference, jv_xml_at pin) {
    const char *wanted = jv_xml_text(v->xml, pin, VEC_REFERENCED_CAVITY);
    jv_xml_at role = jv_xml_child(v->xml, reference, VEC_CONNECTOR_HOUSING_ROLE);
    for (jv_xml_at s = jv_xml_child(v->xml, role, VEC_SLOT_REFERENCE); s != 0 && wanted != NULL;
         s = jv_xml_again(v->xml, s)) {
        for (jv_xml_at c = jv_xml_child(v->xml, s, VEC_CAVITY_REFERENCE); c != 0;
             c = jv_xml_again(v->xml, c)) {
            const char *its = jv_xml_text(v->xml, c, VEC_REFERENCED_CAVITY);
            if (its != NULL && strcmp(its, wanted) == 0) {
                return jv_vec_point(v, c);
            }
        }
    }
    return JV_HARNESS_NONE;
}

/* Housings and pins of an electrical component. */
static void read_device(jv_vec *v, jv_xml_at component, jv_xml_at role) {
    bool several = has_several(v, role, VEC_HOUSING_COMPONENT_REF);
    for (jv_xml_at ref = jv_xml_child(v->xml, role, VEC_HOUSING_COMPONENT_REF); ref != 0;
         ref = jv_xml_again(v->xml, ref)) {
        const char *name = jv_xml_text(v->xml, ref, VEC_IDENTIFICATION);
        size_t connector = add_connector(v, component, several ? name : NULL, JV_HARNESS_PLUG);
        read_housing(v, jv_xml_child(v->xml, ref, VEC_CONNECTOR_HOUSING_ROLE), connector);
        for (jv_xml_at p = jv_xml_child(v->xml, ref, VEC_PIN_COMPONENT_REF); p != 0;
             p = jv_xml_again(v->xml, p)) {
            jv_xml_at pin = jv_xml_link(v->xml, jv_xml_child(v->xml, p, VEC_PIN_COMPONENT),
                                        VEC_PIN_COMPONENT, 0, v->diags);
            const char *number = jv_xml_text(v->xml, p, VEC_IDENTIFICATION);
            number = number != NULL ? number : jv_xml_text(v->xml, pin, VEC_IDENTIFICATION);
            size_t point = cavity_of_pin(v, ref, pin);
            if (point == JV_HARNESS_NONE) {
                point = jv_harness_add_point(v->h, connector, NULL, number, jv_vec_line(v, p));
            }
            jv_vec_mark(v, p, point);
            jv_xml_at terminal = jv_xml_child(v->xml, p, VEC_TERMINAL_ROLE);
            if (terminal != 0) {
                jv_vec_mark(v, terminal, point);
            }
        }
    }
}

/* Terminals that are a place of their own, without a housing. */
static bool stands_alone(uint16_t type, jv_harness_connector_kind *kind) {
    *kind = type == VEC_SPLICE_TERMINAL_ROLE          ? JV_HARNESS_SPLICE
            : type == VEC_OPEN_WIRE_END_TERMINAL_ROLE ? JV_HARNESS_END
                                                      : JV_HARNESS_RING;
    return type == VEC_SPLICE_TERMINAL_ROLE || type == VEC_OPEN_WIRE_END_TERMINAL_ROLE ||
           type == VEC_RING_TERMINAL_ROLE;
}

static void read_component(jv_vec *v, jv_xml_at component) {
    for (jv_xml_at role = jv_xml_child(v->xml, component, VEC_ROLE); role != 0;
         role = jv_xml_again(v->xml, role)) {
        jv_harness_connector_kind kind;
        uint16_t type = jv_xml_get(v->xml, role)->type;
        if (type == VEC_CONNECTOR_HOUSING_ROLE) {
            read_housing(v, role, add_connector(v, component, NULL, JV_HARNESS_PLUG));
        } else if (stands_alone(type, &kind)) {
            size_t c = add_connector(v, component, NULL, kind);
            jv_vec_mark(v, role,
                        jv_harness_add_point(v->h, c, NULL, NULL, jv_vec_line(v, component)));
        } else if (jv_xml_child(v->xml, role, VEC_HOUSING_COMPONENT_REF) != 0) {
            read_device(v, component, role);
        }
    }
}

static void put_wire_end(jv_vec *v, jv_xml_at end, size_t point) {
    size_t before = jv_vec_point(v, end);
    if (before != JV_HARNESS_NONE && before != point && point != JV_HARNESS_NONE) {
        jv_harness_note(v->h, JV_CODE_HARNESS_VARIANTS, jv_vec_line(v, end),
                        "a wire end is contacted at %s and at %s, as in variants; the first is "
                        "taken",
                        v->h->points[before].name, v->h->points[point].name);
    } else if (point != JV_HARNESS_NONE) {
        jv_vec_mark(v, end, point);
    }
}

/* The ends of wires that a contact point holds are at its point. */
static void put_wire_ends(jv_vec *v, jv_xml_at mounting, size_t point) {
    for (jv_xml_at list = jv_xml_child(v->xml, mounting, VEC_REFERENCED_WIRE_END); list != 0;
         list = jv_xml_again(v->xml, list)) {
        const char *text = jv_xml_own_text(v->xml, list), *id;
        for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
            jv_xml_at end = jv_xml_link_id(v->xml, list, id, n, VEC_WIRE_END, 0, v->diags);
            if (end != 0) {
                put_wire_end(v, end, point);
            }
        }
    }
}

/* The cavities of a contact point are one potential, and so is a terminal without a housing. */
static size_t point_of_contact(jv_vec *v, jv_xml_at contact, jv_xml_at terminal) {
    size_t point = jv_vec_point(v, terminal);
    for (jv_xml_at m = jv_xml_child(v->xml, contact, VEC_CAVITY_MOUNTING); m != 0;
         m = jv_xml_again(v->xml, m)) {
        for (jv_xml_at list = jv_xml_child(v->xml, m, VEC_EQUIPPED_CAVITY_REF); list != 0;
             list = jv_xml_again(v->xml, list)) {
            const char *text = jv_xml_own_text(v->xml, list), *id;
            for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
                size_t other = jv_vec_point(v, jv_xml_link_id(v->xml, list, id, n,
                                                              VEC_CAVITY_REFERENCE, 0, v->diags));
                jv_harness_join(v->h, point, other);
                point = point != JV_HARNESS_NONE ? point : other;
            }
        }
    }
    return point;
}

static void read_contact(jv_vec *v, jv_xml_at contact) {
    jv_xml_at terminal = jv_xml_link(v->xml, jv_xml_child(v->xml, contact, VEC_MOUNTED_TERMINAL),
                                     VEC_ROLE, VEC_TERMINAL_ROLE, v->diags);
    size_t point = point_of_contact(v, contact, terminal);
    if (point == JV_HARNESS_NONE) { /* neither cavity nor known terminal: a place of its own */
        jv_xml_at component = owner(v, terminal);
        component = component != 0 ? component : contact;
        size_t c = add_connector(v, component, NULL, JV_HARNESS_END);
        point = jv_harness_add_point(v->h, c, NULL, NULL, jv_vec_line(v, contact));
    }
    if (terminal != 0 && jv_vec_point(v, terminal) == JV_HARNESS_NONE) {
        jv_vec_mark(v, terminal, point); /* couplings name terminals */
    }
    for (jv_xml_at m = jv_xml_child(v->xml, contact, VEC_WIRE_MOUNTING); m != 0;
         m = jv_xml_again(v->xml, m)) {
        put_wire_ends(v, m, point);
    }
}

static jv_xml_at part_of_terminal(jv_vec *v, jv_xml_at terminal) {
    return jv_xml_link(v->xml, jv_xml_child(v->xml, owner(v, terminal), VEC_PART), VEC_PART_VERSION,
                       0, v->diags);
}

/* Ohms of two terminals that are mated, where a pairing of their parts says so. */
static double pairing_ohm(jv_vec *v, const pairings *known, jv_xml_at a, jv_xml_at b) {
    if (known->n == 0) {
        return NAN;
    }
    a = part_of_terminal(v, a);
    b = part_of_terminal(v, b);
    for (size_t i = 0; i < known->n && a != 0 && b != 0; i++) {
        const pairing *p = &known->all[i];
        if ((p->first == a && p->second == b) || (p->first == b && p->second == a)) {
            return jv_vec_value(v, p->at, VEC_CONTACT_RESISTANCE, VEC_DIM_OHM);
        }
    }
    return NAN;
}

static void find_pairings(jv_vec *v, pairings *known) {
    for (jv_xml_at s = 0;
         (s = jv_vec_next(v, s, VEC_TERMINAL_PAIRING_SPECIFICATION, false)) != 0;) {
        for (jv_xml_at p = jv_xml_child(v->xml, s, VEC_TERMINAL_PAIRING);
             p != 0 && known->n < MOST_PAIRINGS; p = jv_xml_again(v->xml, p)) {
            pairing *one = &known->all[known->n++];
            one->at = p;
            one->first = jv_xml_link(v->xml, jv_xml_child(v->xml, p, VEC_FIRST_TERMINAL),
                                     VEC_PART_VERSION, 0, v->diags);
            one->second = jv_xml_link(v->xml, jv_xml_child(v->xml, p, VEC_SECOND_TERMINAL),
                                      VEC_PART_VERSION, 0, v->diags);
        }
    }
}

static void read_mating(jv_vec *v, const pairings *known, jv_xml_at at) {
    jv_xml_at a = jv_xml_link(v->xml, jv_xml_child(v->xml, at, VEC_FIRST_TERMINAL_ROLE), VEC_ROLE,
                              VEC_TERMINAL_ROLE, v->diags);
    jv_xml_at b = jv_xml_link(v->xml, jv_xml_child(v->xml, at, VEC_SECOND_TERMINAL_ROLE), VEC_ROLE,
                              VEC_TERMINAL_ROLE, v->diags);
    if (a != 0 && b != 0) {
        jv_harness_add_mate(v->h, jv_vec_point(v, a), jv_vec_point(v, b),
                            pairing_ohm(v, known, a, b));
    }
}

static void read_coupling(jv_vec *v, const pairings *known, jv_xml_at point) {
    for (jv_xml_at m = jv_xml_child(v->xml, point, VEC_MATING_POINT); m != 0;
         m = jv_xml_again(v->xml, m)) {
        read_mating(v, known, m);
    }
    for (jv_xml_at s = jv_xml_child(v->xml, point, VEC_SLOT_COUPLING); s != 0;
         s = jv_xml_again(v->xml, s)) {
        for (jv_xml_at c = jv_xml_child(v->xml, s, VEC_CAVITY_COUPLING); c != 0;
             c = jv_xml_again(v->xml, c)) {
            jv_xml_at a = jv_xml_link(v->xml, jv_xml_child(v->xml, c, VEC_FIRST_CAVITY),
                                      VEC_CAVITY_REFERENCE, 0, v->diags);
            jv_xml_at b = jv_xml_link(v->xml, jv_xml_child(v->xml, c, VEC_SECOND_CAVITY),
                                      VEC_CAVITY_REFERENCE, 0, v->diags);
            jv_harness_add_mate(v->h, jv_vec_point(v, a), jv_vec_point(v, b), NAN);
        }
    }
}

static void read_couplings(jv_vec *v) {
    pairings *known = jv_zalloc(1, sizeof *known);
    if (known == NULL) {
        v->h->out_of_memory = true;
        return;
    }
    find_pairings(v, known);
    for (jv_xml_at s = 0; (s = jv_vec_next(v, s, VEC_COUPLING_SPECIFICATION, true)) != 0;) {
        for (jv_xml_at p = jv_xml_child(v->xml, s, VEC_COUPLING_POINT); p != 0;
             p = jv_xml_again(v->xml, p)) {
            read_coupling(v, known, p);
        }
    }
    jv_free(known);
}

void jv_vec_read_contacts(jv_vec *v) {
    for (jv_xml_at c = 0; (c = jv_vec_next_component(v, c)) != 0;) {
        read_component(v, c);
    }
    for (jv_xml_at s = 0; (s = jv_vec_next(v, s, VEC_CONTACTING_SPECIFICATION, true)) != 0;) {
        for (jv_xml_at c = jv_xml_child(v->xml, s, VEC_CONTACT_POINT); c != 0;
             c = jv_xml_again(v->xml, c)) {
            read_contact(v, c);
        }
    }
    read_couplings(v);
}
