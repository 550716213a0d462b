/* vec.h - what the files of the VEC reader share. SPDX-License-Identifier: MIT */
#ifndef READ_VEC_H
#define READ_VEC_H

#include "read/harness_build.h"

/* VEC (VDA 4968) 1.x and 2.x. Names of elements and of xsi:type that are read. */
typedef enum jv_vec_word {
    VEC_NOT_READ, /* not a word */
    VEC_CONTENT,
    VEC_ADAPTED,
    VEC_BASE_COLOR,
    VEC_BATTERY_ROLE,
    VEC_BATTERY_SPECIFICATION,
    VEC_BOLT_TERMINAL_ROLE,
    VEC_BRIDGE_TERMINAL_ROLE,
    VEC_CAPACITOR_ROLE,
    VEC_CAVITY,
    VEC_CAVITY_COUPLING,
    VEC_CAVITY_MOUNTING,
    VEC_CAVITY_NUMBER,
    VEC_CAVITY_REFERENCE,
    VEC_CLAMP_NAME,
    VEC_CLASSIFICATION,
    VEC_COMPONENT,
    VEC_COMPOSITE_UNIT,
    VEC_COMPOSITION_SPECIFICATION,
    VEC_CONDUCTOR_SPECIFICATION,
    VEC_CONNECTED_PINS,
    VEC_CONNECTIONS,
    VEC_CONNECTOR_HOUSING_ROLE,
    VEC_CONNECTOR_HOUSING_SPECIFICATION,
    VEC_CONTACTING_SPECIFICATION,
    VEC_CONTACT_POINT,
    VEC_CONTACT_RESISTANCE,
    VEC_CORE_SPECIFICATION,
    VEC_COUPLING_POINT,
    VEC_COUPLING_SPECIFICATION,
    VEC_CROSS_SECTION_AREA,
    VEC_DESCRIPTION,
    VEC_DIODE_ROLE,
    VEC_DOCUMENT_TYPE,
    VEC_DOCUMENT_VERSION,
    VEC_EE_COMPONENT_ROLE,
    VEC_EE_COMPONENT_SPECIFICATION,
    VEC_EQUIPPED_CAVITY_REF,
    VEC_EXPONENT,
    VEC_FACTORS,
    VEC_FIRST_CAVITY,
    VEC_FIRST_CONNECTOR,
    VEC_FIRST_IDENTIFICATION_COLOR,
    VEC_FIRST_TERMINAL,
    VEC_FIRST_TERMINAL_ROLE,
    VEC_FLAT_CORE_SPECIFICATION,
    VEC_FUSE_COMPONENTS,
    VEC_FUSE_ROLE,
    VEC_FUSE_SPECIFICATION,
    VEC_FUSE_TYPE,
    VEC_HOUSING_COMPONENT,
    VEC_HOUSING_COMPONENT_REF,
    VEC_IDENTIFICATION,
    VEC_I_MAX,
    VEC_INSULATION_SPECIFICATION,
    VEC_KEY,
    VEC_LENGTH,
    VEC_LENGTH_INFORMATION,
    VEC_LENGTH_TYPE,
    VEC_LENGTH_VALUE,
    VEC_MATERIAL,
    VEC_MATING_POINT,
    VEC_MODULAR_SLOT,
    VEC_MODULAR_SLOT_REFERENCE,
    VEC_MOUNTED_TERMINAL,
    VEC_MULTI_FUSE_ROLE,
    VEC_MULTI_FUSE_SPECIFICATION,
    VEC_OPEN_WIRE_END_TERMINAL_ROLE,
    VEC_PART,
    VEC_PART_NUMBER,
    VEC_PART_USAGE,
    VEC_PART_USAGE_SPECIFICATION,
    VEC_PART_VERSION,
    VEC_PATH,
    VEC_PIN_COMPONENT,
    VEC_PIN_COMPONENT_REF,
    VEC_PINS,
    VEC_PLUGGABLE_TERMINAL_ROLE,
    VEC_POSITION_ON_WIRE,
    VEC_POTENTIAL_DISTRIBUTOR_ROLE,
    VEC_POTENTIAL_DISTRIBUTOR_SPECIFICATION,
    VEC_PRIMARY_PART_TYPE,
    VEC_REFERENCED_CAVITY,
    VEC_REFERENCED_SLOT,
    VEC_REFERENCED_WIRE_ELEMENT,
    VEC_REFERENCED_WIRE_END,
    VEC_RELAY_ROLE,
    VEC_RELAY_SPECIFICATION,
    VEC_RESISTANCE,
    VEC_RING_TERMINAL_ROLE,
    VEC_ROLE,
    VEC_ROUTED_ELEMENT,
    VEC_ROUTING,
    VEC_ROUTING_SPECIFICATION,
    VEC_SECOND_CAVITY,
    VEC_SECOND_CONNECTOR,
    VEC_SECOND_IDENTIFICATION_COLOR,
    VEC_SECOND_TERMINAL,
    VEC_SECOND_TERMINAL_ROLE,
    VEC_SEGMENT,
    VEC_SHIELD_SPECIFICATION,
    VEC_SIGNAL,
    VEC_SIGNAL_NAME,
    VEC_SIGNAL_SPECIFICATION,
    VEC_SI_PREFIX,
    VEC_SI_UNIT,
    VEC_SI_UNIT_NAME,
    VEC_SLOT,
    VEC_SLOT_COUPLING,
    VEC_SLOT_NUMBER,
    VEC_SLOT_REFERENCE,
    VEC_SPECIFICATION,
    VEC_SPLICE_TERMINAL_ROLE,
    VEC_SUB_WIRE_ELEMENT,
    VEC_TERMINAL_PAIRING,
    VEC_TERMINAL_PAIRING_SPECIFICATION,
    VEC_TERMINAL_ROLE,
    VEC_TOPOLOGY_SEGMENT,
    VEC_TOPOLOGY_SPECIFICATION,
    VEC_UNCONNECTED,
    VEC_UNIT,
    VEC_UNIT_COMPONENT,
    VEC_VALUE,
    VEC_VALUE_COMPONENT,
    VEC_VERSION,
    VEC_WIRE_ELEMENT,
    VEC_WIRE_ELEMENT_REFERENCE,
    VEC_WIRE_ELEMENT_SPECIFICATION,
    VEC_WIRE_END,
    VEC_WIRE_LENGTH,
    VEC_WIRE_MOUNTING,
    VEC_WIRE_ROLE,
    VEC_WIRE_SPECIFICATION,
    VEC_WORDS
} jv_vec_word;

/* Exponents of the units that matter here, and what one of the unit is in them. */
typedef struct jv_vec_unit {
    int metre, ohm, ampere, other; /* other: of any further unit */
    double factor;
} jv_vec_unit;

typedef struct jv_vec {
    jv_xml *xml;
    jv_harness *h;
    jv_diags *diags;
    double *routes; /* m; marks of WireElementReference count from 1 in here */
    size_t n_routes, route_room;
} jv_vec;

/* vec_value.c */
typedef enum jv_vec_dim { VEC_DIM_LENGTH, VEC_DIM_AREA, VEC_DIM_CURRENT, VEC_DIM_OHM } jv_vec_dim;
/* A NumericalValue (child `name` of parent) in SI: NAN when it is absent or says nothing. */
double jv_vec_value(jv_vec *v, jv_xml_at parent, uint16_t name, jv_vec_dim dim);
/* A conductor's resistance in ohm/m; NAN when it is absent, and with a note when it is in plain
 * ohm, which says nothing without a length. */
double jv_vec_ohm_per_m(jv_vec *v, jv_xml_at conductor);

/* vec.c */
/* The specification that child `name` of a node links to; 0 = none. */
jv_xml_at jv_vec_specification(jv_vec *v, jv_xml_at at, uint16_t name);
/* Walk over all specifications of a type: start with at = 0; 0 = no more. Those of a part master
 * are left out when `harness_only`. */
jv_xml_at jv_vec_next(const jv_vec *v, jv_xml_at at, uint16_t type, bool harness_only);
/* Walk over the components of all compositions and part usages. */
jv_xml_at jv_vec_next_component(const jv_vec *v, jv_xml_at at);
static inline size_t jv_vec_point(const jv_vec *v, jv_xml_at at) {
    uint32_t mark = at != 0 ? jv_xml_get(v->xml, at)->mark : 0;
    return mark > 0 ? (size_t)mark - 1 : JV_HARNESS_NONE;
}
static inline void jv_vec_mark(const jv_vec *v, jv_xml_at at, size_t point) {
    jv_xml_get(v->xml, at)->mark = point != JV_HARNESS_NONE ? (uint32_t)(point + 1) : 0;
}
static inline size_t jv_vec_line(const jv_vec *v, jv_xml_at at) {
    return jv_xml_get(v->xml, at)->line;
}

/* vec_contacts.c: connectors, contact points, what is plugged together. Leaves point + 1 in
 * the marks of cavity references, pin references, terminal roles and wire ends. */
void jv_vec_read_contacts(jv_vec *v);
/* vec_components.c: fuses, and components that a person must classify. */
void jv_vec_read_components(jv_vec *v);
/* vec_wires.c: wires by the references to their elements. Gives how many there are. */
size_t jv_vec_read_wires(jv_vec *v);

#endif
