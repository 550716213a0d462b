/* kbl_connectors.c - connectors, splices, fuse boxes and fuses of a KBL file.
 * SPDX-License-Identifier: MIT */
#include "read/kbl.h"

#include <math.h>
#include <string.h>

static size_t line_at(const jv_kbl *k, jv_xml_at at) {
    return jv_xml_get(k->xml, at)->line;
}

/* The part that an occurrence is one of; 0 = none, or a fault was reported. */
static jv_xml_at part_of(const jv_kbl *k, jv_xml_at at, uint16_t name, uint16_t other) {
    return jv_xml_link(k->xml, jv_xml_child(k->xml, at, KBL_PART), name, other, k->diags);
}

static bool has_several(const jv_kbl *k, jv_xml_at parent, uint16_t name) {
    jv_xml_at first = jv_xml_child(k->xml, parent, name);
    return first != 0 && jv_xml_again(k->xml, first) != 0;
}

/* A point for each cavity (child `name`) of a slot that is in use. */
static void read_cavities(jv_kbl *k, jv_xml_at parent, uint16_t name, size_t connector,
                          const char *slot) {
    size_t n = 0;
    for (jv_xml_at at = jv_xml_child(k->xml, parent, name); at != 0;
         at = jv_xml_again(k->xml, at)) {
        jv_text place = {0};
        jv_text_addf(&place, "%zu", ++n); /* where it has no number */
        const char *number = jv_xml_text(k->xml, part_of(k, at, name, 0), KBL_CAVITY_NUMBER);
        k->h->out_of_memory = k->h->out_of_memory || place.failed;
        size_t point =
            jv_harness_add_point(k->h, connector, slot,
                                 number != NULL ? number : jv_text_str(&place), line_at(k, at));
        jv_kbl_mark(k, at, point);
        jv_text_clear(&place);
    }
}

/* The slots of a connector, or of one connector of a box; in front: what stands before the
 * cavity's number, or NULL. */
static void read_slots(jv_kbl *k, jv_xml_at parent, size_t connector, const char *in_front) {
    bool several = has_several(k, parent, KBL_SLOTS);
    for (jv_xml_at at = jv_xml_child(k->xml, parent, KBL_SLOTS); at != 0;
         at = jv_xml_again(k->xml, at)) {
        const char *slot = in_front;
        jv_xml_at part = part_of(k, at, KBL_SLOTS, KBL_INTEGRATED_SLOTS);
        if (several && jv_xml_text(k->xml, part, KBL_ID) != NULL) {
            slot = jv_xml_text(k->xml, part, KBL_ID);
        }
        read_cavities(k, at, KBL_CAVITIES, connector, slot);
    }
}

/* What a ring terminal is bolted to is said of the terminal, not of its connector. */
static void describe_ring(jv_kbl *k, jv_xml_at contact, size_t connector) {
    const char *text = jv_xml_text(k->xml, contact, KBL_ASSOCIATED_PARTS), *id;
    if (connector == JV_HARNESS_NONE || k->h->connectors[connector].about != NULL) {
        return;
    }
    for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
        jv_xml_at terminal = jv_xml_find(k->xml, id, n); /* others are seals and plugs, not read */
        if (terminal != 0 &&
            jv_xml_get(k->xml, terminal)->name == KBL_SPECIAL_TERMINAL_OCCURRENCE) {
            k->h->connectors[connector].about =
                jv_harness_copy(k->h, jv_xml_text(k->xml, terminal, KBL_DESCRIPTION));
            return;
        }
    }
}

/* A contact point is one potential: the cavities that it sits in are joined. */
static void read_contacts(jv_kbl *k, jv_xml_at parent, size_t connector) {
    for (jv_xml_at at = jv_xml_child(k->xml, parent, KBL_CONTACT_POINTS); at != 0;
         at = jv_xml_again(k->xml, at)) {
        jv_xml_at list = jv_xml_child(k->xml, at, KBL_CONTACTED_CAVITY);
        describe_ring(k, at, connector);
        const char *text = jv_xml_own_text(k->xml, list), *id;
        size_t point = JV_HARNESS_NONE;
        for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
            jv_xml_at cavity =
                jv_xml_link_id(k->xml, list, id, n, KBL_CAVITIES, KBL_COMPONENT_CAVITIES, k->diags);
            size_t other = jv_kbl_point(k, cavity);
            jv_harness_join(k->h, point, other);
            point = point != JV_HARNESS_NONE ? point : other;
        }
        if (point == JV_HARNESS_NONE) {
            point = jv_harness_add_point(k->h, connector, NULL, NULL, line_at(k, at));
        }
        jv_kbl_mark(k, at, point);
    }
}

static jv_harness_connector_kind kind_of(const jv_kbl *k, jv_xml_at connector, jv_xml_at housing) {
    const char *usage = jv_xml_text(k->xml, connector, KBL_USAGE);
    const char *type = jv_xml_text(k->xml, housing, KBL_HOUSING_TYPE);
    if (usage == NULL) {
        return type != NULL && strcmp(type, "splice") == 0 ? JV_HARNESS_SPLICE : JV_HARNESS_PLUG;
    }
    return strcmp(usage, "ring terminal") == 0 ? JV_HARNESS_RING
           : strcmp(usage, "splice") == 0      ? JV_HARNESS_SPLICE
                                               : JV_HARNESS_END; /* "no end", "dangler" */
}

static size_t add_connector(jv_kbl *k, jv_xml_at at, jv_harness_connector_kind kind) {
    size_t connector = jv_harness_add_connector(k->h, jv_xml_text(k->xml, at, KBL_ID),
                                                jv_xml_get(k->xml, at)->id, kind, line_at(k, at));
    const char *about = jv_harness_copy(k->h, jv_xml_text(k->xml, at, KBL_DESCRIPTION));
    if (connector != JV_HARNESS_NONE) {
        k->h->connectors[connector].about = about;
    }
    return connector;
}

static void read_connector(jv_kbl *k, jv_xml_at at) {
    jv_xml_at housing = part_of(k, at, KBL_CONNECTOR_HOUSING, 0);
    size_t connector = add_connector(k, at, kind_of(k, at, housing));
    read_slots(k, at, connector, NULL);
    read_contacts(k, at, connector);
}

/* The bars of a box join its cavities; they are told of the part, so the cavities of this box
 * are found through their parts. */
static void join_bars(jv_kbl *k, jv_xml_at box) {
    static const uint16_t lists[] = {KBL_CAVITIES, KBL_COMPONENT_CAVITIES};
    for (jv_xml_at bar = jv_xml_child(k->xml, box, KBL_CONNECTIONS); bar != 0;
         bar = jv_xml_again(k->xml, bar)) {
        size_t first = JV_HARNESS_NONE;
        for (size_t i = 0; i < 2; i++) {
            jv_xml_at list = jv_xml_child(k->xml, bar, lists[i]);
            const char *text = jv_xml_own_text(k->xml, list), *id;
            for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
                jv_xml_at cavity = jv_xml_link_id(k->xml, list, id, n, lists[i], 0, k->diags);
                size_t point = jv_kbl_point(k, cavity);
                jv_harness_join(k->h, first, point);
                first = first != JV_HARNESS_NONE ? first : point;
            }
        }
    }
}

/* Put the point of each cavity of this box into the mark of the cavity's part, or take it out. */
static void mark_parts(jv_kbl *k, jv_xml_at slot, uint16_t name, bool in) {
    for (jv_xml_at at = jv_xml_child(k->xml, slot, name); at != 0; at = jv_xml_again(k->xml, at)) {
        jv_xml_at link = jv_xml_child(k->xml, at, KBL_PART);
        const char *text = jv_xml_own_text(k->xml, link), *id;
        size_t n = jv_xml_next_id(&text, &id);
        jv_xml_at part = n > 0 ? jv_xml_find(k->xml, id, n) : 0; /* faults are reported already */
        if (part != 0 && jv_xml_get(k->xml, part)->name == name) {
            jv_kbl_mark(k, part, in ? jv_kbl_point(k, at) : JV_HARNESS_NONE);
        }
    }
}

static void mark_box(jv_kbl *k, jv_xml_at at, bool in) {
    for (jv_xml_at c = jv_xml_child(k->xml, at, KBL_COMPONENT_BOX_CONNECTORS); c != 0;
         c = jv_xml_again(k->xml, c)) {
        for (jv_xml_at s = jv_xml_child(k->xml, c, KBL_SLOTS); s != 0;
             s = jv_xml_again(k->xml, s)) {
            mark_parts(k, s, KBL_CAVITIES, in);
        }
    }
    for (jv_xml_at s = jv_xml_child(k->xml, at, KBL_COMPONENT_SLOTS); s != 0;
         s = jv_xml_again(k->xml, s)) {
        mark_parts(k, s, KBL_COMPONENT_CAVITIES, in);
    }
}

static void read_box(jv_kbl *k, jv_xml_at at) {
    size_t connector = add_connector(k, at, JV_HARNESS_BOX);
    for (jv_xml_at c = jv_xml_child(k->xml, at, KBL_COMPONENT_BOX_CONNECTORS); c != 0;
         c = jv_xml_again(k->xml, c)) {
        jv_xml_at part = part_of(k, c, KBL_COMPONENT_BOX_CONNECTORS, 0);
        read_slots(k, c, connector, jv_xml_text(k->xml, part, KBL_ID));
    }
    for (jv_xml_at s = jv_xml_child(k->xml, at, KBL_COMPONENT_SLOTS); s != 0;
         s = jv_xml_again(k->xml, s)) {
        jv_xml_at part = part_of(k, s, KBL_COMPONENT_SLOTS, 0);
        read_cavities(k, s, KBL_COMPONENT_CAVITIES, connector, jv_xml_text(k->xml, part, KBL_ID));
    }
    mark_box(k, at, true);
    join_bars(k, part_of(k, at, KBL_COMPONENT_BOX, 0));
    mark_box(k, at, false);
    read_contacts(k, at, connector);
}

static const char *number_of(const jv_kbl *k, jv_xml_at cavity) {
    jv_xml_at link = jv_xml_child(k->xml, cavity, KBL_PART);
    const char *text = jv_xml_own_text(k->xml, link), *id;
    size_t n = jv_xml_next_id(&text, &id);
    return n > 0 ? jv_xml_text(k->xml, jv_xml_find(k->xml, id, n), KBL_CAVITY_NUMBER) : NULL;
}

/* Two slots are mated: their cavities meet by number, or because each has but one. */
static void mate_slots(jv_kbl *k, jv_xml_at a, jv_xml_at b) {
    jv_xml_at first = jv_xml_child(k->xml, a, KBL_CAVITIES);
    jv_xml_at other = jv_xml_child(k->xml, b, KBL_CAVITIES);
    bool single = first != 0 && other != 0 && jv_xml_again(k->xml, first) == 0 &&
                  jv_xml_again(k->xml, other) == 0;
    for (; first != 0; first = jv_xml_again(k->xml, first)) {
        const char *number = number_of(k, first);
        for (jv_xml_at at = other; at != 0; at = jv_xml_again(k->xml, at)) {
            const char *its = number_of(k, at);
            if (single || (number != NULL && its != NULL && strcmp(number, its) == 0)) {
                jv_harness_add_mate(k->h, jv_kbl_point(k, first), jv_kbl_point(k, at), NAN);
                break;
            }
        }
    }
}

/* Cavities that say with which others they are mated. True when one does. */
static bool mate_cavities(jv_kbl *k, jv_xml_at slot) {
    bool said = false;
    for (jv_xml_at at = jv_xml_child(k->xml, slot, KBL_CAVITIES); at != 0;
         at = jv_xml_again(k->xml, at)) {
        jv_xml_at list = jv_xml_child(k->xml, at, KBL_MATED_CAVITIES);
        const char *text = jv_xml_own_text(k->xml, list), *id;
        for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
            jv_xml_at cavity = jv_xml_link_id(k->xml, list, id, n, KBL_CAVITIES, 0, k->diags);
            jv_harness_add_mate(k->h, jv_kbl_point(k, at), jv_kbl_point(k, cavity), NAN);
            said = true;
        }
    }
    return said;
}

static void read_mates(jv_kbl *k, jv_xml_at parent) {
    for (jv_xml_at at = jv_xml_child(k->xml, parent, KBL_SLOTS); at != 0;
         at = jv_xml_again(k->xml, at)) {
        if (mate_cavities(k, at)) {
            continue;
        }
        jv_xml_at list = jv_xml_child(k->xml, at, KBL_MATED_SLOTS);
        const char *text = jv_xml_own_text(k->xml, list), *id;
        for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
            jv_xml_at slot = jv_xml_link_id(k->xml, list, id, n, KBL_SLOTS, 0, k->diags);
            if (slot != 0) {
                mate_slots(k, at, slot);
            }
        }
    }
}

void jv_kbl_read_connectors(jv_kbl *k) {
    const jv_xml *xml = k->xml;
    const jv_kbl_list *boxes = &k->lists[KBL_COMPONENT_BOX_OCCURRENCE];
    const jv_kbl_list *connectors = &k->lists[KBL_CONNECTOR_OCCURRENCE];
    for (size_t i = 0; i < boxes->n; i++) {
        read_box(k, boxes->at[i]);
    }
    for (size_t i = 0; i < connectors->n; i++) {
        read_connector(k, connectors->at[i]);
    }
    for (size_t i = 0; i < boxes->n; i++) {
        for (jv_xml_at c = jv_xml_child(xml, boxes->at[i], KBL_COMPONENT_BOX_CONNECTORS); c != 0;
             c = jv_xml_again(xml, c)) {
            read_mates(k, c);
        }
    }
    for (size_t i = 0; i < connectors->n; i++) {
        read_mates(k, connectors->at[i]);
    }
}
