/* kbl.h - what the files of the KBL reader share. SPDX-License-Identifier: MIT */
#ifndef READ_KBL_H
#define READ_KBL_H

#include "read/harness_build.h"

/* KBL (VDA 4964) 2.3 to 2.5. Names of elements and of xsi:type that are read. */
typedef enum jv_kbl_word {
    KBL_NOT_READ, /* not a word */
    KBL_CONTAINER,
    KBL_ASSEMBLY_PART,
    KBL_ASSOCIATED_PARTS,
    KBL_CAVITIES,
    KBL_CAVITY_NUMBER,
    KBL_COLOUR_TYPE,
    KBL_COLOUR_VALUE,
    KBL_COMPONENT,
    KBL_COMPONENT_BOX,
    KBL_COMPONENT_BOX_CONNECTORS,
    KBL_COMPONENT_BOX_OCCURRENCE,
    KBL_COMPONENT_CAVITIES,
    KBL_COMPONENT_OCCURRENCE,
    KBL_COMPONENT_SLOTS,
    KBL_CONNECTION,
    KBL_CONNECTIONS,
    KBL_CONNECTOR_HOUSING,
    KBL_CONNECTOR_OCCURRENCE,
    KBL_CONTACTED_CAVITY,
    KBL_CONTACT_POINT,
    KBL_CONTACT_POINTS,
    KBL_CORE,
    KBL_CORE_COLOUR,
    KBL_CORE_OCCURRENCE,
    KBL_COVER_COLOUR,
    KBL_CROSS_SECTION_AREA,
    KBL_DESCRIPTION,
    KBL_EXTREMITIES,
    KBL_FUSE,
    KBL_FUSE_OCCURRENCE,
    KBL_GENERAL_WIRE,
    KBL_GENERAL_WIRE_OCCURRENCE,
    KBL_HARNESS,
    KBL_HOUSING_TYPE,
    KBL_ID,
    KBL_INTEGRATED_SLOTS,
    KBL_KEY,
    KBL_LENGTH_INFORMATION,
    KBL_LENGTH_TYPE,
    KBL_LENGTH_VALUE,
    KBL_MATED_CAVITIES,
    KBL_MATED_SLOTS,
    KBL_MATERIAL_INFORMATION,
    KBL_MATERIAL_KEY,
    KBL_MAX_CURRENT,
    KBL_MIN_CURRENT,
    KBL_MODULE,
    KBL_MOUNTING,
    KBL_NOMINAL_CURRENT,
    KBL_PART,
    KBL_PART_NUMBER,
    KBL_PHYSICAL_LENGTH,
    KBL_POSITION_ON_WIRE,
    KBL_ROUTED_WIRE,
    KBL_ROUTING,
    KBL_SEGMENT,
    KBL_SEGMENTS,
    KBL_SIGNAL_NAME,
    KBL_SI_DIMENSION,
    KBL_SI_PREFIX,
    KBL_SI_UNIT_NAME,
    KBL_SLOTS,
    KBL_SPECIAL_TERMINAL_OCCURRENCE,
    KBL_SPECIAL_WIRE_ID,
    KBL_SPECIAL_WIRE_OCCURRENCE,
    KBL_SPECIFIED_COMPONENT_OCCURRENCE,
    KBL_SPECIFIED_FUSE_OCCURRENCE,
    KBL_SPECIFIED_SPECIAL_WIRE_OCCURRENCE,
    KBL_SPECIFIED_WIRE_OCCURRENCE,
    KBL_TYPE,
    KBL_UNCONNECTED,
    KBL_UNIT,
    KBL_UNIT_COMPONENT,
    KBL_UNIT_NAME,
    KBL_USAGE,
    KBL_VALID_FUSE_TYPES,
    KBL_VALUE_COMPONENT,
    KBL_VIRTUAL_LENGTH,
    KBL_WIRE,
    KBL_WIRE_NUMBER,
    KBL_WIRE_OCCURRENCE,
    KBL_WORDS
} jv_kbl_word;

typedef enum jv_kbl_dim { KBL_LENGTH, KBL_AREA, KBL_CURRENT } jv_kbl_dim;

/* Children of the harness of one name, in the order of the file. */
typedef struct jv_kbl_list {
    jv_xml_at *at;
    size_t n;
} jv_kbl_list;

typedef struct jv_kbl {
    jv_xml *xml;
    jv_harness *h;
    jv_diags *diags;
    jv_xml_at root, harness;
    jv_kbl_list lists[KBL_WORDS]; /* of the harness, by word: it may have very many children */
    double *routes;               /* m; Connection marks count from 1 in here */
    size_t n_routes, route_room;
    struct jv_kbl_kind *kinds; /* of wires and cores; marks of their parts count from 1 in here */
    size_t n_kinds, kind_room;
} jv_kbl;

/* kbl.c */
/* A Numerical_value (child `name` of parent) in SI: NAN when it is absent or says nothing. */
double jv_kbl_value(jv_kbl *k, jv_xml_at parent, uint16_t name, jv_kbl_dim dim);

/* kbl_connectors.c: connectors, boxes, what is mated. Leaves point + 1 in the marks of
 * cavities and contact points of the harness. */
void jv_kbl_read_connectors(jv_kbl *k);
/* Fuses in their slots, and components that the standard has no type for. */
void jv_kbl_read_components(jv_kbl *k);
/* The point behind a mark; JV_HARNESS_NONE = none. */
static inline size_t jv_kbl_point(const jv_kbl *k, jv_xml_at at) {
    uint32_t mark = at != 0 ? jv_xml_get(k->xml, at)->mark : 0;
    return mark > 0 ? (size_t)mark - 1 : JV_HARNESS_NONE;
}
static inline void jv_kbl_mark(const jv_kbl *k, jv_xml_at at, size_t point) {
    jv_xml_get(k->xml, at)->mark = point != JV_HARNESS_NONE ? (uint32_t)(point + 1) : 0;
}

/* kbl_wires.c: routes, wires and their cores, by the connections that use them. */
void jv_kbl_read_wires(jv_kbl *k);

#endif
