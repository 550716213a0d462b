/* cable.h - what cables and thin leads share. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_CABLE_H
#define CIRCUIT_PARTS_CABLE_H

#include "circuit/part_kind.h"
#include "jackvolt/conductor.h"
#include "jackvolt/heat.h"

/* Keys of cable and lead, in the order of their tables. */
enum {
    JV_CABLE_A,
    JV_CABLE_B,
    JV_CABLE_SIZE,
    JV_CABLE_LENGTH,
    JV_CABLE_METAL,
    JV_CABLE_INSULATION,
    JV_CABLE_AIR,
    JV_CABLE_LOOM,
    JV_CABLE_BUNDLE,
    JV_CABLE_WET,
    JV_CABLE_TEMPERATURE,
    JV_CABLE_STRANDS,
    JV_CABLE_RESISTANCE,
    JV_CABLE_COLOUR,
    JV_CABLE_TERMINALS,
    JV_CABLE_KEYS
};

extern const jv_key jv_cable_keys[JV_CABLE_KEYS];

void jv_cable_check(const jv_circuit *c, const jv_part *p, jv_diags *d);
void jv_cable_connect(jv_wiring *w, const jv_circuit *c, const jv_part *p);
void jv_cable_load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n);

void jv_cable_remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                     const double *v, const double *i, const double *r, jv_remarks *out);

/* The wire of a cable given by size. JV_ERR_UNKNOWN when it is given by its ohms. */
jv_status jv_cable_conductor(const jv_circuit *c, const jv_part *p, jv_conductor *out);
/* How it heats in air of another temperature; all else as the file says. JV_ERR_UNKNOWN likewise.
 */
jv_status jv_cable_body(const jv_circuit *c, const jv_part *p, double air_c, jv_heat_body *out);
/* Wall of its insulation, from its name; general when it is not known. */
jv_wall jv_cable_wall(const jv_circuit *c, const jv_part *p);

#endif
