/* vec_components.c - fuses and other electrical components of a VEC file.
 * SPDX-License-Identifier: MIT */
#include "read/vec.h"

#include <math.h>
#include <string.h>

static bool is_electrical(uint16_t role) {
    return role == VEC_EE_COMPONENT_ROLE || role == VEC_FUSE_ROLE || role == VEC_MULTI_FUSE_ROLE ||
           role == VEC_BATTERY_ROLE || role == VEC_RELAY_ROLE || role == VEC_DIODE_ROLE ||
           role == VEC_CAPACITOR_ROLE || role == VEC_POTENTIAL_DISTRIBUTOR_ROLE;
}

/* Put the point of each pin of a component into the mark of the pin's part, or take it out: what
 * is said of pins in the part is said of them. Gives the first two points. */
static size_t mark_pins(jv_vec *v, jv_xml_at role, bool in, size_t first[2]) {
    size_t n = 0;
    for (jv_xml_at ref = jv_xml_child(v->xml, role, VEC_HOUSING_COMPONENT_REF); ref != 0;
         ref = jv_xml_again(v->xml, ref)) {
        for (jv_xml_at p = jv_xml_child(v->xml, ref, VEC_PIN_COMPONENT_REF); p != 0;
             p = jv_xml_again(v->xml, p)) {
            jv_xml_at link = jv_xml_child(v->xml, p, VEC_PIN_COMPONENT);
            const char *text = jv_xml_own_text(v->xml, link), *id;
            size_t length = jv_xml_next_id(&text, &id);
            jv_xml_at pin = length > 0 ? jv_xml_find(v->xml, id, length) : 0;
            if (pin != 0 && jv_xml_get(v->xml, pin)->name == VEC_PIN_COMPONENT) {
                jv_vec_mark(v, pin, in ? jv_vec_point(v, p) : JV_HARNESS_NONE);
            }
            if (n < 2) {
                first[n] = jv_vec_point(v, p);
            }
            n++;
        }
    }
    return n;
}

/* Points of the pins that a list links to; how many there are. */
static size_t points_of(jv_vec *v, jv_xml_at list, size_t first[2]) {
    const char *text = jv_xml_own_text(v->xml, list), *id;
    size_t n = 0;
    for (size_t length; (length = jv_xml_next_id(&text, &id)) > 0; n++) {
        jv_xml_at pin = jv_xml_link_id(v->xml, list, id, length, VEC_PIN_COMPONENT, 0, v->diags);
        if (n < 2) {
            first[n] = jv_vec_point(v, pin);
        }
    }
    return n;
}

/* Pins that the part joins inside: one potential, for the standard gives no ohms. */
static void join_pins(jv_vec *v, jv_xml_at specification) {
    for (jv_xml_at c = jv_xml_child(v->xml, specification, VEC_CONNECTIONS); c != 0;
         c = jv_xml_again(v->xml, c)) {
        jv_xml_at list = jv_xml_child(v->xml, c, VEC_PINS);
        const char *text = jv_xml_own_text(v->xml, list), *id;
        size_t point = JV_HARNESS_NONE;
        for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
            jv_xml_at pin = jv_xml_link_id(v->xml, list, id, n, VEC_PIN_COMPONENT, 0, v->diags);
            size_t other = jv_vec_point(v, pin);
            jv_harness_join(v->h, point, other);
            point = point != JV_HARNESS_NONE ? point : other;
        }
    }
}

static const char *type_text(const jv_vec *v, jv_xml_at specification) {
    jv_xml_at type = jv_xml_child(v->xml, specification, VEC_FUSE_TYPE);
    const char *key = jv_xml_text(v->xml, type, VEC_KEY);
    return key != NULL ? key : jv_xml_own_text(v->xml, type);
}

static void add_fuse(jv_vec *v, jv_xml_at component, const char *inner, jv_xml_at specification,
                     const size_t points[2], size_t n_points) {
    jv_harness_fuse fuse = jv_harness_fuse_new();
    const char *name = jv_xml_text(v->xml, component, VEC_IDENTIFICATION);
    jv_text whole = {0};
    jv_text_addf(&whole, "%s%s%s", name != NULL ? name : "fuse", inner != NULL ? "." : "",
                 inner != NULL ? inner : "");
    v->h->out_of_memory = v->h->out_of_memory || whole.failed;
    fuse.line = jv_vec_line(v, component);
    fuse.name = jv_harness_unique(v->h, JV_SPACE_PARTS, jv_text_str(&whole),
                                  jv_xml_get(v->xml, component)->id);
    jv_text_clear(&whole);
    fuse.type = jv_harness_copy(v->h, type_text(v, specification));
    fuse.rating_a = jv_vec_value(v, specification, VEC_I_MAX, VEC_DIM_CURRENT);
    if (!(fuse.rating_a > 0.0)) {
        fuse.rating_a = NAN;
        jv_harness_note(v->h, JV_CODE_HARNESS_UNSAID, fuse.line, "fuse \"%s\" has no rating",
                        fuse.name);
    }
    if (n_points == 2) {
        fuse.from = points[0];
        fuse.to = points[1];
    } else {
        jv_harness_note(v->h, JV_CODE_HARNESS_FUSE, fuse.line,
                        "fuse \"%s\" does not have two pins in the file", fuse.name);
    }
    jv_harness_add_fuse(v->h, &fuse);
}

static void read_multi_fuse(jv_vec *v, jv_xml_at component, jv_xml_at specification) {
    for (jv_xml_at f = jv_xml_child(v->xml, specification, VEC_FUSE_COMPONENTS); f != 0;
         f = jv_xml_again(v->xml, f)) {
        size_t points[2] = {JV_HARNESS_NONE, JV_HARNESS_NONE};
        size_t n = points_of(v, jv_xml_child(v->xml, f, VEC_CONNECTED_PINS), points);
        add_fuse(v, component, jv_xml_text(v->xml, f, VEC_IDENTIFICATION),
                 jv_vec_specification(v, f, VEC_FUSE_SPECIFICATION), points, n);
    }
}

static void add_device(jv_vec *v, jv_xml_at component, uint16_t type) {
    jv_harness_device device = {.line = jv_vec_line(v, component)};
    const char *name = jv_xml_text(v->xml, component, VEC_IDENTIFICATION);
    jv_xml_at about = jv_xml_child(v->xml, component, VEC_DESCRIPTION);
    const char *text = jv_xml_own_text(v->xml, about);
    device.name = jv_harness_copy(v->h, name != NULL ? name : "unnamed");
    device.about =
        jv_harness_copy(v->h, text != NULL ? text : jv_xml_text(v->xml, about, VEC_VALUE));
    device.kind = jv_harness_copy(v->h, type != 0 ? v->xml->form->words[type] : NULL);
    jv_harness_add_device(v->h, &device);
}

static void read_role(jv_vec *v, jv_xml_at component, jv_xml_at role) {
    jv_xml_at specification = jv_vec_specification(v, role, VEC_EE_COMPONENT_SPECIFICATION);
    uint16_t type = specification != 0 ? jv_xml_get(v->xml, specification)->type : 0;
    size_t points[2] = {JV_HARNESS_NONE, JV_HARNESS_NONE};
    size_t n = mark_pins(v, role, true, points);
    if (type == VEC_FUSE_SPECIFICATION) {
        add_fuse(v, component, NULL, specification, points, n);
    } else if (type == VEC_MULTI_FUSE_SPECIFICATION) {
        read_multi_fuse(v, component, specification);
    } else {
        if (type == VEC_EE_COMPONENT_SPECIFICATION ||
            type == VEC_POTENTIAL_DISTRIBUTOR_SPECIFICATION) {
            join_pins(v, specification);
        }
        add_device(v, component, type);
    }
    mark_pins(v, role, false, points);
}

void jv_vec_read_components(jv_vec *v) {
    for (jv_xml_at c = 0; (c = jv_vec_next_component(v, c)) != 0;) {
        for (jv_xml_at role = jv_xml_child(v->xml, c, VEC_ROLE); role != 0;
             role = jv_xml_again(v->xml, role)) {
            if (is_electrical(jv_xml_get(v->xml, role)->type)) {
                read_role(v, c, role);
            }
        }
    }
}
