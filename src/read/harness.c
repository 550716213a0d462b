/* harness.c - a harness file read into the neutral model. SPDX-License-Identifier: MIT */
#include "jackvolt/harness.h"

#include "read/harness_build.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int compare_ends(const void *a, const void *b) {
    const jv_harness_end *x = a, *y = b;
    if (x->position != y->position) {
        return x->position < y->position ? -1 : 1;
    }
    return (x->point > y->point) - (x->point < y->point);
}

void jv_harness_add_pieces(jv_harness *h, const jv_harness_wire *whole, jv_harness_end *ends,
                           size_t n_ends) {
    jv_harness_wire w = *whole;
    if (n_ends < 2) {
        w.from = n_ends > 0 ? ends[0].point : JV_HARNESS_NONE;
        jv_harness_add_wire(h, &w);
        return;
    }
    qsort(ends, n_ends, sizeof *ends, compare_ends);
    w.from = ends[0].point;
    w.to = ends[1].point;
    if (n_ends == 2) {
        jv_harness_add_wire(h, &w);
        return;
    }
    for (size_t i = 0; i + 1 < n_ends; i++) {
        double share = ends[i + 1].position - ends[i].position;
        jv_text name = {0};
        jv_text_addf(&name, "%s piece %zu", whole->name, i + 1);
        h->out_of_memory = h->out_of_memory || name.failed;
        w.name = jv_harness_unique(h, JV_SPACE_PARTS, jv_text_str(&name), NULL);
        jv_text_clear(&name);
        w.length_m = whole->length_m * share;
        w.routed_m = whole->routed_m * share;
        w.from = ends[i].point;
        w.to = ends[i + 1].point;
        jv_harness_add_wire(h, &w);
    }
}

static int compare_size(size_t a, size_t b) {
    return (a > b) - (a < b);
}

static int compare_mates(const void *a, const void *b) {
    const jv_harness_mate *x = a, *y = b;
    int order = compare_size(x->from_connector, y->from_connector);
    order = order != 0 ? order : compare_size(x->to_connector, y->to_connector);
    order = order != 0 ? order : compare_size(x->from, y->from);
    order = order != 0 ? order : compare_size(x->to, y->to);
    return order != 0 ? order : (isnan(x->ohm) != 0) - (isnan(y->ohm) != 0); /* ohms said: first */
}

/* The part of a circuit that a pair becomes: all pairs of two connectors one connector part, but
 * a contact of its own when its ohms are known. */
static void name_mate(jv_harness *h, jv_harness_mate *m, const jv_harness_mate *before) {
    bool contact = !isnan(m->ohm);
    if (!contact && before != NULL && isnan(before->ohm) &&
        before->from_connector == m->from_connector && before->to_connector == m->to_connector) {
        m->part = before->part;
        return;
    }
    jv_text name = {0};
    jv_text_addf(&name, "%s to %s",
                 contact ? h->points[m->from].name : h->connectors[m->from_connector].name,
                 contact ? h->points[m->to].name : h->connectors[m->to_connector].name);
    h->out_of_memory = h->out_of_memory || name.failed;
    m->part = jv_harness_unique(h, JV_SPACE_PARTS, jv_text_str(&name), NULL);
    jv_text_clear(&name);
}

/* A pair is given at both of its sides: one of the two is enough. */
static void settle_mates(jv_harness *h) {
    size_t n = 0, plain = JV_HARNESS_NONE; /* the last one without ohms */
    if (h->parts.n_mates > 0) {
        qsort(h->mates, h->parts.n_mates, sizeof *h->mates, compare_mates);
    }
    for (size_t i = 0; i < h->parts.n_mates; i++) {
        jv_harness_mate m = h->mates[i];
        if (n > 0 && h->mates[n - 1].from == m.from && h->mates[n - 1].to == m.to) {
            continue;
        }
        name_mate(h, &m, plain != JV_HARNESS_NONE ? &h->mates[plain] : NULL);
        plain = isnan(m.ohm) ? n : plain;
        h->mates[n++] = m;
    }
    h->parts.n_mates = n;
}

static void touch(jv_harness *h, size_t point) {
    if (point != JV_HARNESS_NONE) {
        h->points[point].used = true;
    }
}

static void settle_points(jv_harness *h) {
    for (size_t i = 0; i < h->parts.n_points; i++) {
        size_t joint = h->points[i].joint; /* a joint's first point comes before the others */
        h->points[i].joint = h->points[joint].joint;
    }
    for (size_t i = 0; i < h->parts.n_wires; i++) {
        touch(h, h->wires[i].from);
        touch(h, h->wires[i].to);
    }
    for (size_t i = 0; i < h->parts.n_fuses; i++) {
        touch(h, h->fuses[i].from);
        touch(h, h->fuses[i].to);
    }
    for (size_t i = 0; i < h->parts.n_mates; i++) {
        touch(h, h->mates[i].from);
        touch(h, h->mates[i].to);
    }
}

static void settle_wire(jv_harness *h, jv_harness_wire *w) {
    if (w->from == JV_HARNESS_NONE || w->to == JV_HARNESS_NONE) {
        jv_harness_note(h, JV_CODE_HARNESS_OPEN, w->line, "wire \"%s\" has %s", w->name,
                        w->from == JV_HARNESS_NONE ? "no end in the file" : "one end only");
    } else if (h->points[w->from].joint == h->points[w->to].joint) {
        jv_harness_note(h, JV_CODE_HARNESS_OPEN, w->line, "both ends of wire \"%s\" are at %s",
                        w->name, h->points[w->from].name);
    }
    if (!(w->area_m2 > 0.0)) {
        w->area_m2 = NAN;
    }
    if (isnan(w->area_m2) && isnan(w->ohm_per_m)) {
        jv_harness_note(h, JV_CODE_HARNESS_UNSAID, w->line, "wire \"%s\" has no area", w->name);
    }
    if (!(w->length_m > 0.0)) {
        jv_harness_note(h, JV_CODE_HARNESS_UNSAID, w->line, "wire \"%s\" has %s", w->name,
                        w->length_m == 0.0 ? "the length 0, which says that it is not known"
                                           : "no length");
        w->length_m = NAN;
        w->length_kind = NULL;
    }
    double off = fabs(w->length_m - w->routed_m);
    bool measured = w->length_kind != NULL && strcmp(w->length_kind, "routed") != 0;
    if (off > JV_HARNESS_ROUNDING_M && measured) {
        jv_harness_note(h, JV_CODE_HARNESS_LENGTH, w->line,
                        "wire \"%s\" is %.7g mm long (%s) and its route %.7g mm", w->name,
                        w->length_m * 1e3, w->length_kind, w->routed_m * 1e3);
    }
}

void jv_harness_settle(jv_harness *h) {
    settle_mates(h);
    settle_points(h);
    for (size_t i = 0; i < h->parts.n_wires && !h->out_of_memory; i++) {
        settle_wire(h, &h->wires[i]);
    }
    h->parts.wires = h->wires;
    h->parts.points = h->points;
    h->parts.connectors = h->connectors;
    h->parts.fuses = h->fuses;
    h->parts.mates = h->mates;
    h->parts.devices = h->devices;
    h->parts.skips = h->skips;
    h->parts.findings = h->findings;
    for (size_t i = 0; i < JV_SPACES; i++) {
        jv_name_map_clear(&h->taken[i]); /* no name is taken any more */
    }
}

static jv_status fill(jv_xml *xml, jv_harness *h, jv_diags *diags) {
    size_t before = diags->errors;
    jv_status status = jv_xml_index(xml, diags);
    if (status != JV_OK) {
        return status;
    }
    h->parts.file = jv_harness_copy(h, xml->file);
    status = xml->form == &jv_kbl_form ? jv_kbl_read(xml, h, diags) : jv_vec_read(xml, h, diags);
    for (size_t i = 0; i < xml->n_skips && status == JV_OK; i++) {
        jv_harness_skip_add(h, xml->skips[i].kind, xml->skips[i].count);
    }
    if (status == JV_OK) {
        jv_harness_settle(h);
    }
    if (h->out_of_memory || diags->out_of_memory) {
        return JV_ERR_MEMORY;
    }
    return diags->errors > before ? JV_ERR_INPUT : status;
}

static jv_status read_from(const char *path, const char *text, size_t length, const char *name,
                           jv_diags *diags, jv_harness **out) {
    static const jv_xml_form *const forms[] = {&jv_kbl_form, &jv_vec_form};
    enum { FORMS = sizeof forms / sizeof forms[0] };
    jv_xml xml = {0};
    jv_harness *h = jv_zalloc(1, sizeof *h);
    if (h == NULL) {
        return JV_ERR_MEMORY;
    }
    jv_status status = path != NULL
                           ? jv_xml_read_file(path, forms, FORMS, diags, &xml)
                           : jv_xml_read_text(text, length, name, forms, FORMS, diags, &xml);
    if (status == JV_OK) {
        status = fill(&xml, h, diags);
    }
    jv_xml_clear(&xml);
    if (status != JV_OK) {
        jv_harness_free(&h);
        return status;
    }
    *out = h;
    return JV_OK;
}

jv_status jv_harness_read_file(const char *path, jv_diags *diags, jv_harness **out) {
    return read_from(path, NULL, 0, NULL, diags, out);
}

jv_status jv_harness_read_text(const char *text, size_t length, const char *name, jv_diags *diags,
                               jv_harness **out) {
    return read_from(NULL, text, length, name, diags, out);
}

void jv_harness_free(jv_harness **harness) {
    jv_harness *h = *harness;
    if (h == NULL) {
        return;
    }
    jv_free(h->wires);
    jv_free(h->points);
    jv_free(h->connectors);
    jv_free(h->fuses);
    jv_free(h->mates);
    jv_free(h->devices);
    jv_free(h->skips);
    jv_free(h->findings);
    for (size_t i = 0; i < JV_SPACES; i++) {
        jv_name_map_clear(&h->taken[i]);
    }
    jv_arena_clear(&h->arena);
    jv_free(h);
    *harness = NULL;
}

const jv_harness_parts *jv_harness_content(const jv_harness *harness) {
    return &harness->parts;
}
