/* harness_build.c - filling the neutral model of a harness. SPDX-License-Identifier: MIT */
#include "read/harness_build.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

enum { FIRST_ROOM = 16 };

/* The array with room for one more entry of `size` bytes; NULL when memory is short. */
static void *grow(jv_harness *h, void *array, size_t n, size_t *room, size_t size) {
    if (n < *room) {
        return array;
    }
    size_t wanted = *room > 0 ? 2 * *room : FIRST_ROOM;
    void *more = jv_resize(array, wanted, size);
    if (more == NULL) {
        h->out_of_memory = true;
        return NULL;
    }
    *room = wanted;
    return more;
}

const char *jv_harness_copy(jv_harness *h, const char *text) {
    const char *copy = text != NULL ? jv_arena_copy(&h->arena, text, strlen(text)) : NULL;
    h->out_of_memory = h->out_of_memory || (text != NULL && copy == NULL);
    return copy;
}

/* Takes `name` unless it is in use; NULL: it is, or memory is short. */
static const char *take(jv_harness *h, jv_harness_space space, const char *name) {
    jv_name_map *map = &h->taken[space];
    const char *copy = jv_name_map_get(map, name) == 0 ? jv_harness_copy(h, name) : NULL;
    if (copy != NULL && !jv_name_map_add(map, copy, 1)) {
        h->out_of_memory = true;
        return NULL;
    }
    return copy;
}

const char *jv_harness_unique(jv_harness *h, jv_harness_space space, const char *wish,
                              const char *otherwise) {
    const char *name = wish != NULL ? wish : otherwise != NULL ? otherwise : "unnamed";
    const char *own = take(h, space, name);
    for (bool first = true; own == NULL && !h->out_of_memory; first = false) {
        jv_text other = {0};
        if (first && otherwise != NULL && name != otherwise) {
            jv_text_addf(&other, "%s (%s)", name, otherwise); /* an id is free at once */
        } else {
            jv_text_addf(&other, "%s (%zu)", name, 1 + ++h->n_again);
        }
        own = other.failed ? NULL : take(h, space, jv_text_str(&other));
        h->out_of_memory = h->out_of_memory || other.failed;
        jv_text_clear(&other);
    }
    return own != NULL ? own : "";
}

jv_harness_wire jv_harness_wire_new(void) {
    jv_harness_wire w = {.area_m2 = NAN, .length_m = NAN, .routed_m = NAN, .ohm_per_m = NAN};
    w.from = w.to = JV_HARNESS_NONE;
    return w;
}

jv_harness_fuse jv_harness_fuse_new(void) {
    jv_harness_fuse f = {.rating_a = NAN, .slot_least_a = NAN, .slot_most_a = NAN};
    f.from = f.to = JV_HARNESS_NONE;
    return f;
}

void jv_harness_add_wire(jv_harness *h, const jv_harness_wire *wire) {
    jv_harness_wire *all = grow(h, h->wires, h->parts.n_wires, &h->wire_room, sizeof *h->wires);
    if (all != NULL) {
        h->wires = all;
        h->wires[h->parts.n_wires++] = *wire;
    }
}

void jv_harness_add_fuse(jv_harness *h, const jv_harness_fuse *fuse) {
    jv_harness_fuse *all = grow(h, h->fuses, h->parts.n_fuses, &h->fuse_room, sizeof *h->fuses);
    if (all != NULL) {
        h->fuses = all;
        h->fuses[h->parts.n_fuses++] = *fuse;
    }
}

void jv_harness_add_device(jv_harness *h, const jv_harness_device *device) {
    jv_harness_device *all =
        grow(h, h->devices, h->parts.n_devices, &h->device_room, sizeof *h->devices);
    if (all != NULL) {
        h->devices = all;
        h->devices[h->parts.n_devices++] = *device;
    }
}

size_t jv_harness_add_connector(jv_harness *h, const char *name, const char *id,
                                jv_harness_connector_kind kind, size_t line) {
    jv_harness_connector *all =
        grow(h, h->connectors, h->parts.n_connectors, &h->connector_room, sizeof *h->connectors);
    if (all == NULL) {
        return JV_HARNESS_NONE;
    }
    h->connectors = all;
    jv_harness_connector *c = &all[h->parts.n_connectors];
    *c = (jv_harness_connector){.kind = kind, .line = line};
    c->name = jv_harness_unique(h, JV_SPACE_CONNECTORS, name, id);
    return h->parts.n_connectors++;
}

size_t jv_harness_add_point(jv_harness *h, size_t connector, const char *slot, const char *cavity,
                            size_t line) {
    jv_harness_point *all =
        grow(h, h->points, h->parts.n_points, &h->point_room, sizeof *h->points);
    if (all == NULL || connector == JV_HARNESS_NONE) {
        return JV_HARNESS_NONE;
    }
    h->points = all;
    jv_text name = {0};
    jv_text_add(&name, h->connectors[connector].name);
    if (slot != NULL) {
        jv_text_addf(&name, ".%s", slot);
    }
    if (cavity != NULL) {
        jv_text_addf(&name, ".%s", cavity);
    }
    h->out_of_memory = h->out_of_memory || name.failed;
    size_t i = h->parts.n_points;
    all[i] = (jv_harness_point){.connector = connector, .joint = i, .line = line};
    all[i].name = jv_harness_unique(h, JV_SPACE_POINTS, jv_text_str(&name), NULL);
    jv_text_clear(&name);
    h->parts.n_points++;
    return i;
}

void jv_harness_add_mate(jv_harness *h, size_t from, size_t to, double ohm) {
    jv_harness_mate *all = grow(h, h->mates, h->parts.n_mates, &h->mate_room, sizeof *h->mates);
    if (all == NULL || from == JV_HARNESS_NONE || to == JV_HARNESS_NONE || from == to) {
        return;
    }
    h->mates = all;
    jv_harness_mate mate = {.from = from < to ? from : to, .to = from < to ? to : from, .ohm = ohm};
    mate.from_connector = h->points[mate.from].connector;
    mate.to_connector = h->points[mate.to].connector;
    all[h->parts.n_mates++] = mate;
}

/* The point that stands for the joint of a point; the way there is halved on the go. */
static size_t joint_of(jv_harness *h, size_t point) {
    while (h->points[point].joint != point) {
        h->points[point].joint = h->points[h->points[point].joint].joint;
        point = h->points[point].joint;
    }
    return point;
}

void jv_harness_join(jv_harness *h, size_t a, size_t b) {
    if (a == JV_HARNESS_NONE || b == JV_HARNESS_NONE) {
        return;
    }
    a = joint_of(h, a);
    b = joint_of(h, b);
    h->points[a < b ? b : a].joint = a < b ? a : b; /* the first of the file stands for all */
}

void jv_harness_note(jv_harness *h, jv_code code, size_t line, const char *text, ...) {
    jv_harness_finding *all =
        grow(h, h->findings, h->parts.n_findings, &h->finding_room, sizeof *h->findings);
    jv_text own = {0};
    va_list args;
    va_start(args, text);
    jv_text_vaddf(&own, text, args);
    va_end(args);
    const char *copy = own.failed ? NULL : jv_harness_copy(h, jv_text_str(&own));
    h->out_of_memory = h->out_of_memory || own.failed;
    jv_text_clear(&own);
    if (all != NULL) {
        h->findings = all;
    }
    if (all != NULL && copy != NULL) {
        all[h->parts.n_findings++] = (jv_harness_finding){code, copy, line};
    }
}

void jv_harness_skip_add(jv_harness *h, const char *kind, size_t count) {
    jv_harness_skip *all = grow(h, h->skips, h->parts.n_skips, &h->skip_room, sizeof *h->skips);
    const char *copy = jv_harness_copy(h, kind);
    if (all != NULL) {
        h->skips = all;
    }
    if (all != NULL && copy != NULL) {
        all[h->parts.n_skips++] = (jv_harness_skip){copy, count};
    }
}

void jv_harness_offer_length(jv_harness *h, jv_harness_wire *wire, jv_length_ranks *ranks,
                             const char *type, double length_m) {
    size_t rank = 0;
    while (rank < ranks->n && (type == NULL || strcmp(type, ranks->order[rank]) != 0)) {
        rank++;
    }
    bool known = length_m > 0.0, had = wire->length_m > 0.0;
    if (isnan(wire->length_m) || (known && (!had || rank < ranks->best))) {
        wire->length_m = length_m;
        wire->length_kind = rank < ranks->n ? ranks->order[rank]
                                            : jv_harness_copy(h, type != NULL ? type : "untyped");
        ranks->best = rank;
    }
}

void jv_harness_close_length(jv_harness_wire *wire) {
    if (!(wire->length_m > 0.0) && wire->routed_m > 0.0) {
        wire->length_m = wire->routed_m;
        wire->length_kind = "routed";
    }
}
