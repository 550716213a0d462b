/* harness.h - wiring harnesses described in open-standard XML. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_HARNESS_H
#define JACKVOLT_HARNESS_H

#include "jackvolt/diag.h"
#include "jackvolt/status.h"
#include "jackvolt/text.h"

#include <stdbool.h>
#include <stddef.h>

/* A harness file in KBL (VDA 4964, 2.3 to 2.5) or VEC (VDA 4968, 1.x and 2.x) is read into one
 * plain model: wires between points, and what joins points. It holds no battery, motor,
 * current or watch; those come from a side file. All is SI; NAN = the file does not say.
 *
 * Reading is safe: the file is streamed, nothing is fetched, a document type declaration is
 * refused (so no entity is ever declared or expanded), and size, depth, length of one
 * text and number of elements are limited. */
typedef struct jv_harness jv_harness;

#define JV_HARNESS_BYTES ((size_t)1 << 30) /* of a file */
#define JV_HARNESS_TEXT ((size_t)1 << 20)  /* bytes of one text in it */
#define JV_HARNESS_DEPTH 64                /* levels of elements */
#define JV_HARNESS_NODES ((size_t)1 << 25) /* elements that matter here */

#define JV_HARNESS_NONE ((size_t)-1) /* an index that points to nothing */

/* A place where wires end: a cavity of a connector, named "CONNECTOR.CAVITY". Points of one
 * joint are one potential: a contact that sits in two cavities, the bar of a fuse box. */
typedef struct jv_harness_point {
    const char *name;
    size_t connector;
    size_t joint; /* the point that stands for the joint: equal for all points of it */
    bool used;    /* a wire, a fuse or a mated cavity touches it */
    size_t line;
} jv_harness_point;

typedef enum jv_harness_connector_kind {
    JV_HARNESS_PLUG, /* a housing that mates with another or with a device */
    JV_HARNESS_RING, /* a ring terminal on a stud */
    JV_HARNESS_SPLICE,
    JV_HARNESS_END, /* an open wire end, or nothing */
    JV_HARNESS_BOX  /* a fuse box */
} jv_harness_connector_kind;

typedef struct jv_harness_connector {
    const char *name;
    const char *about; /* description; NULL = none */
    jv_harness_connector_kind kind;
    size_t line;
} jv_harness_connector;

/* One wire, or one core of a cable, or the piece of it between two taps. */
typedef struct jv_harness_wire {
    const char *name;        /* its number, made unique */
    const char *cable;       /* number of the cable that it is a core of; NULL = none */
    const char *signal;      /* NULL = none */
    const char *colour;      /* as the file writes it, base/stripe; NULL = none */
    const char *metal;       /* conductor material as the file writes it; NULL = not given */
    const char *length_kind; /* which of its lengths this is: "Production"; "routed" = there
                                was none, so the segments were added; NULL = unknown */
    double area_m2, length_m;
    double routed_m;  /* sum of the segments that it runs through */
    double ohm_per_m; /* when the file gives the conductor's resistance */
    size_t from, to;  /* points; JV_HARNESS_NONE = it ends nowhere */
    size_t line;
} jv_harness_wire;

typedef struct jv_harness_fuse {
    const char *name;
    const char *about;                /* NULL = none */
    const char *type;                 /* NULL = none */
    const char *place;                /* the slot it sits in; NULL = not mounted */
    double rating_a;                  /* */
    double slot_least_a, slot_most_a; /* that its slot takes */
    size_t from, to;                  /* points; JV_HARNESS_NONE = not mounted */
    size_t line;
} jv_harness_fuse;

/* Two cavities that are plugged together. */
typedef struct jv_harness_mate {
    const char *part; /* of a circuit: all pairs of two connectors are one
                         connector, but a contact each when ohms are given */
    size_t from_connector, to_connector;
    size_t from, to; /* points */
    double ohm;      /* NAN = not given */
} jv_harness_mate;

/* Something that the standard has no type for: a person must say what it is. */
typedef struct jv_harness_device {
    const char *name;
    const char *about; /* NULL = none */
    const char *kind;  /* as far as the file says; NULL = not at all */
    size_t line;
} jv_harness_device;

typedef struct jv_harness_skip {
    const char *kind; /* name of the element or of its type */
    size_t count;
} jv_harness_skip;

/* Something that a person should know about one object of the file. */
typedef struct jv_harness_finding {
    jv_code code; /* a W7xx */
    const char *text;
    size_t line;
} jv_harness_finding;

/* Plain arrays, valid as long as the harness; NULL and 0 when empty. */
typedef struct jv_harness_parts {
    const char *file;    /* as given */
    const char *format;  /* "KBL" or "VEC" */
    const char *version; /* as the file says; NULL = not said */
    const char *name;    /* of the harness; NULL = none */
    const jv_harness_wire *wires;
    size_t n_wires;
    const jv_harness_point *points;
    size_t n_points;
    const jv_harness_connector *connectors;
    size_t n_connectors;
    const jv_harness_fuse *fuses;
    size_t n_fuses;
    const jv_harness_mate *mates;
    size_t n_mates;
    const jv_harness_device *devices;
    size_t n_devices;
    const jv_harness_skip *skips;
    size_t n_skips;
    const jv_harness_finding *findings;
    size_t n_findings;
} jv_harness_parts;

/* Read a harness file ("-" = standard input) or a text in memory. JV_ERR_INPUT: refused, with
 * file, line and place in diags; JV_ERR_SYSTEM: the file cannot be read; JV_ERR_MEMORY. A file
 * of parts only, without a harness, is refused as such. Free with jv_harness_free; name is copied.
 */
jv_status jv_harness_read_file(const char *path, jv_diags *diags, jv_harness **out);
jv_status jv_harness_read_text(const char *text, size_t length, const char *name, jv_diags *diags,
                               jv_harness **out);
void jv_harness_free(jv_harness **harness); /* takes NULL, leaves NULL */
const jv_harness_parts *jv_harness_content(const jv_harness *harness);

/* Differences between a wire's length and its route up to here are rounding: the public sample
 * files round to 0.1 mm at most; ten times that. m. */
#define JV_HARNESS_ROUNDING_M 1e-3

/* What the standard does not hold stands in a side file: JSON with the sections of a circuit
 * file, whose parts may name points of the harness as terminals, and "terminals", which
 * gives points names of one's own: {"X1.1": "post+"}. A part of the side file with the
 * name of a part of the harness adds keys to it. docs/format.md. */
typedef struct jv_harness_side jv_harness_side;
jv_status jv_harness_side_read_file(const char *path, jv_diags *diags, jv_harness_side **out);
jv_status jv_harness_side_read_text(const char *text, size_t length, const char *name,
                                    jv_diags *diags, jv_harness_side **out);
void jv_harness_side_free(jv_harness_side **side); /* takes NULL, leaves NULL */

/* What becomes of a wire, a fuse or a pair of cavities. */
typedef enum jv_harness_fate {
    JV_HARNESS_KEPT,
    JV_HARNESS_BROKEN, /* fewer than two ends, or both at one joint: no part of a circuit */
    JV_HARNESS_OPEN,   /* it leads to nothing: no current can flow in it */
    JV_HARNESS_APART   /* it hangs together with nothing of the side file */
} jv_harness_fate;

/* How a harness becomes a circuit. With parts in the side file, what leads to nothing is left
 * out, for a circuit file takes no terminal that one part touches alone; without, all is kept. */
typedef struct jv_harness_plan {
    const jv_harness_parts *harness;
    const jv_harness_side *side;  /* NULL = none */
    const char *const *terminals; /* names */
    size_t n_terminals;
    const size_t *terminal;                                 /* of each point */
    const unsigned char *wire_fate, *fuse_fate, *mate_fate; /* jv_harness_fate */
    const size_t *lone; /* terminals that one part touches alone */
    size_t n_lone;
    const char *const *missing; /* "length of wire 7": what the circuit cannot do without */
    size_t n_missing;
    bool has_source; /* the side file brings a battery or a supply */
} jv_harness_plan;

/* side may be NULL; both must outlive the plan. JV_ERR_INPUT: the side file names what the
 * harness does not have (reasons in diags). Free with jv_harness_plan_free. */
jv_status jv_harness_plan_make(const jv_harness *harness, const jv_harness_side *side,
                               jv_diags *diags, jv_harness_plan **out);
void jv_harness_plan_free(jv_harness_plan **plan); /* takes NULL, leaves NULL */

#endif
