/* kbl_components.c - fuses and untyped components of a KBL file. SPDX-License-Identifier: MIT */
#include "read/kbl.h"

#include <math.h>
#include <string.h>

/* What the slot says of the fuse in it. */
static void check_slot(jv_kbl *k, jv_xml_at slot, jv_harness_fuse *fuse) {
    jv_xml_at part =
        jv_xml_link(k->xml, jv_xml_child(k->xml, slot, KBL_PART), KBL_COMPONENT_SLOTS, 0, k->diags);
    fuse->slot_least_a = jv_kbl_value(k, part, KBL_MIN_CURRENT, KBL_CURRENT);
    fuse->slot_most_a = jv_kbl_value(k, part, KBL_MAX_CURRENT, KBL_CURRENT);
    if (fuse->rating_a < fuse->slot_least_a || fuse->rating_a > fuse->slot_most_a) {
        jv_harness_note(k->h, JV_CODE_HARNESS_FUSE, fuse->line,
                        "fuse \"%s\" of %g A sits in a slot for %g A to %g A", fuse->name,
                        fuse->rating_a, fuse->slot_least_a, fuse->slot_most_a);
    }
    bool listed = false, fits = false;
    for (jv_xml_at at = jv_xml_child(k->xml, part, KBL_VALID_FUSE_TYPES); at != 0;
         at = jv_xml_again(k->xml, at)) {
        const char *key = jv_xml_text(k->xml, at, KBL_KEY);
        listed = listed || key != NULL;
        fits = fits || (key != NULL && fuse->type != NULL && strcmp(key, fuse->type) == 0);
    }
    if (listed && fuse->type != NULL && !fits) {
        jv_harness_note(k->h, JV_CODE_HARNESS_FUSE, fuse->line,
                        "fuse \"%s\" is of type %s, which its slot does not list", fuse->name,
                        fuse->type);
    }
    if (jv_xml_get(k->xml, slot)->mark != 0) {
        jv_harness_note(k->h, JV_CODE_HARNESS_FUSE, fuse->line,
                        "fuse \"%s\" sits in a slot that another fuse is in, too", fuse->name);
    }
    jv_xml_get(k->xml, slot)->mark = 1;
}

/* "BOX.F1" out of "BOX.F1.1": the place is named by its first cavity. */
static void name_place(jv_kbl *k, jv_xml_at slot, jv_harness_fuse *fuse) {
    jv_xml_at part =
        jv_xml_link(k->xml, jv_xml_child(k->xml, slot, KBL_PART), KBL_COMPONENT_SLOTS, 0, k->diags);
    const char *id = jv_xml_text(k->xml, part, KBL_ID);
    size_t box =
        fuse->from != JV_HARNESS_NONE ? k->h->points[fuse->from].connector : JV_HARNESS_NONE;
    jv_text place = {0};
    jv_text_add(&place, box != JV_HARNESS_NONE ? k->h->connectors[box].name : "box");
    jv_text_addf(&place, ".%s", id != NULL ? id : "slot");
    k->h->out_of_memory = k->h->out_of_memory || place.failed;
    fuse->place = jv_harness_copy(k->h, jv_text_str(&place));
    jv_text_clear(&place);
}

/* The two cavities that a fuse bridges: those of its slot, or the two that it names. */
static void mount(jv_kbl *k, jv_xml_at at, jv_harness_fuse *fuse) {
    jv_xml_at list = jv_xml_child(k->xml, at, KBL_MOUNTING);
    const char *text = jv_xml_own_text(k->xml, list), *id;
    jv_xml_at slot = 0, cavity[2] = {0, 0};
    size_t n_cavities = 0;
    for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
        jv_xml_at to = jv_xml_link_id(k->xml, list, id, n, KBL_COMPONENT_SLOTS,
                                      KBL_COMPONENT_CAVITIES, k->diags);
        if (to != 0 && jv_xml_get(k->xml, to)->name == KBL_COMPONENT_CAVITIES) {
            cavity[n_cavities < 2 ? n_cavities : 1] = to;
            n_cavities++;
        } else if (to != 0) {
            slot = to;
        }
    }
    if (slot != 0) {
        n_cavities = 0;
        for (jv_xml_at c = jv_xml_child(k->xml, slot, KBL_COMPONENT_CAVITIES); c != 0;
             c = jv_xml_again(k->xml, c)) {
            cavity[n_cavities < 2 ? n_cavities : 1] = c;
            n_cavities++;
        }
    }
    if (n_cavities == 2) {
        fuse->from = jv_kbl_point(k, cavity[0]);
        fuse->to = jv_kbl_point(k, cavity[1]);
    } else {
        jv_harness_note(k->h, JV_CODE_HARNESS_FUSE, fuse->line,
                        n_cavities == 0 ? "fuse \"%s\" is mounted nowhere"
                                        : "fuse \"%s\" sits in a slot without exactly two cavities",
                        fuse->name);
    }
    if (slot != 0) {
        name_place(k, slot, fuse);
        check_slot(k, slot, fuse);
    }
}

static void read_fuse(jv_kbl *k, jv_xml_at at, jv_xml_at part) {
    const jv_xml_node *node = jv_xml_get(k->xml, at);
    jv_harness_fuse fuse = jv_harness_fuse_new();
    fuse.line = node->line;
    fuse.name = jv_harness_unique(k->h, JV_SPACE_PARTS, jv_xml_text(k->xml, at, KBL_ID), node->id);
    fuse.about = jv_harness_copy(k->h, jv_xml_text(k->xml, at, KBL_DESCRIPTION));
    fuse.type =
        jv_harness_copy(k->h, jv_xml_text(k->xml, jv_xml_child(k->xml, part, KBL_TYPE), KBL_KEY));
    fuse.rating_a = jv_kbl_value(k, part, KBL_NOMINAL_CURRENT, KBL_CURRENT);
    if (!(fuse.rating_a > 0.0)) {
        fuse.rating_a = NAN;
        jv_harness_note(k->h, JV_CODE_HARNESS_UNSAID, fuse.line, "fuse \"%s\" has no rating",
                        fuse.name);
    }
    mount(k, at, &fuse);
    jv_harness_add_fuse(k->h, &fuse);
}

static void read_device(jv_kbl *k, jv_xml_at at, jv_xml_at part) {
    jv_harness_device device = {.line = jv_xml_get(k->xml, at)->line};
    const char *name = jv_xml_text(k->xml, at, KBL_ID);
    device.name = jv_harness_copy(k->h, name != NULL ? name : jv_xml_get(k->xml, at)->id);
    device.about = jv_harness_copy(k->h, jv_xml_text(k->xml, at, KBL_DESCRIPTION));
    device.kind = jv_harness_copy(k->h, jv_xml_text(k->xml, part, KBL_DESCRIPTION));
    if (device.name == NULL) {
        device.name = "unnamed";
    }
    jv_harness_add_device(k->h, &device);
}

void jv_kbl_read_components(jv_kbl *k) {
    const jv_kbl_list *all = &k->lists[KBL_COMPONENT_OCCURRENCE];
    for (size_t i = 0; i < all->n; i++) {
        jv_xml_at at = all->at[i];
        jv_xml_at part =
            jv_xml_link(k->xml, jv_xml_child(k->xml, at, KBL_PART), KBL_COMPONENT, 0, k->diags);
        uint16_t type = jv_xml_get(k->xml, at)->type;
        bool is_fuse = type == KBL_FUSE_OCCURRENCE || type == KBL_SPECIFIED_FUSE_OCCURRENCE ||
                       (part != 0 && jv_xml_get(k->xml, part)->type == KBL_FUSE);
        if (is_fuse) {
            read_fuse(k, at, part);
        } else {
            read_device(k, at, part);
        }
    }
}
