/* harness_build.h - the neutral model while a reader fills it. SPDX-License-Identifier: MIT */
#ifndef READ_HARNESS_BUILD_H
#define READ_HARNESS_BUILD_H

#include "jackvolt/harness.h"
#include "jackvolt/memory.h"
#include "read/name_map.h"
#include "read/xml_tree.h"

typedef enum jv_harness_space {
    JV_SPACE_PARTS, /* wires, fuses, mated connectors: they become parts of one circuit */
    JV_SPACE_CONNECTORS,
    JV_SPACE_POINTS,
    JV_SPACES
} jv_harness_space;

/* Everything is added by functions that copy texts into the harness; when memory is short they
 * set out_of_memory and answer JV_HARNESS_NONE: look once, at the end. */
struct jv_harness {
    jv_arena arena;
    jv_harness_parts parts; /* the arrays below, for the public */
    jv_harness_wire *wires;
    jv_harness_point *points;
    jv_harness_connector *connectors;
    jv_harness_fuse *fuses;
    jv_harness_mate *mates;
    jv_harness_device *devices;
    jv_harness_skip *skips;
    jv_harness_finding *findings;
    size_t wire_room, point_room, connector_room, fuse_room, mate_room, device_room, skip_room,
        finding_room;
    jv_name_map taken[JV_SPACES]; /* names in use */
    size_t n_again;               /* names that were made unique by a number */
    bool out_of_memory;
};

/* A name as wished, or "NAME (2)" and on when it is taken; NULL = `otherwise` is wished. */
const char *jv_harness_unique(jv_harness *h, jv_harness_space space, const char *wish,
                              const char *otherwise);
const char *jv_harness_copy(jv_harness *h, const char *text); /* NULL stays NULL */

/* Which of the lengths that a file gives a wire counts: the first of these kinds; one of no kind
 * or another comes after them, one that is not above zero after all. */
typedef struct jv_length_ranks {
    const char *const *order; /* of names of static storage */
    size_t n;
    size_t best; /* rank of what the wire has; SIZE_MAX at first */
} jv_length_ranks;
void jv_harness_offer_length(jv_harness *h, jv_harness_wire *wire, jv_length_ranks *ranks,
                             const char *type, double length_m);
/* After the last: a wire without a length takes that of its route, when there is one. */
void jv_harness_close_length(jv_harness_wire *wire);

/* An entry that says nothing: figures NAN, points none. */
jv_harness_wire jv_harness_wire_new(void);
jv_harness_fuse jv_harness_fuse_new(void);
/* Their texts must be the harness's own (jv_harness_copy, jv_harness_unique). */
void jv_harness_add_wire(jv_harness *h, const jv_harness_wire *wire);
void jv_harness_add_fuse(jv_harness *h, const jv_harness_fuse *fuse);
void jv_harness_add_device(jv_harness *h, const jv_harness_device *device);
/* Indexes come back. name is made unique. */
size_t jv_harness_add_connector(jv_harness *h, const char *name, const char *id,
                                jv_harness_connector_kind kind, size_t line);
/* "CONNECTOR.SLOT.CAVITY"; slot and cavity may be NULL. */
size_t jv_harness_add_point(jv_harness *h, size_t connector, const char *slot, const char *cavity,
                            size_t line);
void jv_harness_add_mate(jv_harness *h, size_t from, size_t to, double ohm);
/* Two points become one potential. */
void jv_harness_join(jv_harness *h, size_t a, size_t b);
void jv_harness_note(jv_harness *h, jv_code code, size_t line, const char *text, ...)
    __attribute__((format(printf, 4, 5)));
void jv_harness_skip_add(jv_harness *h, const char *kind, size_t count);

/* The last step of a reader: joints settled, mates given twice taken once, used points marked,
 * wire ends counted, lengths held against routes. */
void jv_harness_settle(jv_harness *h);

/* A wire with taps is cut at each: the ends in order along it. */
typedef struct jv_harness_end {
    double position; /* 0 .. 1 */
    size_t point;
} jv_harness_end;
/* Add `whole` as one wire, or as pieces between its ends (sorted here). */
void jv_harness_add_pieces(jv_harness *h, const jv_harness_wire *whole, jv_harness_end *ends,
                           size_t n_ends);

/* The readers of the two standards: they fill h from a tree that is indexed. Faults go to
 * diags; JV_ERR_INPUT when there is one. */
extern const jv_xml_form jv_kbl_form, jv_vec_form;
jv_status jv_kbl_read(jv_xml *xml, jv_harness *h, jv_diags *diags);
jv_status jv_vec_read(jv_xml *xml, jv_harness *h, jv_diags *diags);

#endif
