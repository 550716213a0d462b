/* harness_text.h - small harness files written in a test. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_HARNESS_TEXT_H
#define TESTS_SUPPORT_HARNESS_TEXT_H

#include "jackvolt/harness.h"

#define KBL_ROOT                                                                            \
    "<kbl:KBL_container xmlns:kbl=\"http://www.prostep.org/Car_electric_container/KBL2.3/"  \
    "KBLSchema\" xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\" id=\"container\" " \
    "version_id=\"2.4\">\n"
#define KBL_UNITS                                                                             \
    "<Unit id=\"mm\"><Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix></Unit>\n" \
    "<Unit id=\"mm2\"><Si_unit_name>metre</Si_unit_name><Si_prefix>milli</Si_prefix>"         \
    "<Si_dimension>square</Si_dimension></Unit>\n"                                            \
    "<Unit id=\"A\"><Unit_name>ampere</Unit_name></Unit>\n"
#define KBL_VALUE(tag, unit, value)                      \
    "<" tag "><Unit_component>" unit "</Unit_component>" \
    "<Value_component>" value "</Value_component></" tag ">\n"
#define KBL_GENERAL_WIRE                                                                           \
    "<General_wire id=\"w\">" KBL_VALUE(                                                           \
        "Cross_section_area", "mm2",                                                               \
        "6") "<Cover_colour>"                                                                      \
             "<Colour_type>Grundfarbe</Colour_type><Colour_value>rt</Colour_value></Cover_colour>" \
             "</General_wire>\n"
#define KBL_LENGTH(type, value)              \
    "<Length_information><Length_type>" type \
    "</Length_type>" KBL_VALUE("Length_value", "mm", value) "</Length_information>\n"
/* A wire occurrence of the part "w". */
#define KBL_WIRE(id, number, lengths)                                          \
    "<General_wire_occurrence xsi:type=\"kbl:Wire_occurrence\" id=\"" id "\">" \
    "<Part>w</Part>" lengths "<Wire_number>" number "</Wire_number>"           \
    "</General_wire_occurrence>\n"
#define KBL_END(position, contact)                                   \
    "<Extremities><Position_on_wire>" position "</Position_on_wire>" \
    "<Contact_point>" contact "</Contact_point></Extremities>"
#define KBL_CONNECTION(id, wire, ends) \
    "<Connection id=\"" id "\"><Wire>" wire "</Wire>" ends "</Connection>\n"
/* A connector of one cavity, with contact "p_ID" in cavity "v_ID"; more: other children. */
#define KBL_RING(id, more)                                                              \
    "<Connector_occurrence id=\"c_" id "\"><Id>" id "</Id>" more "<Part>h</Part>"       \
    "<Contact_points id=\"p_" id "\"><Contacted_cavity>v_" id "</Contacted_cavity>"     \
    "</Contact_points><Slots id=\"s_" id "\"><Part>hs</Part><Cavities id=\"v_" id "\">" \
    "<Part>hc</Part></Cavities></Slots></Connector_occurrence>\n"
#define KBL_HOUSING                                                     \
    "<Connector_housing id=\"h\"><Slots id=\"hs\"><Cavities id=\"hc\">" \
    "<Cavity_number>1</Cavity_number></Cavities></Slots></Connector_housing>\n"
/* A whole file: parts and routes beside the harness, and what stands in it. */
#define KBL_FILE(outside, inside)                 \
    KBL_ROOT KBL_HOUSING KBL_GENERAL_WIRE outside \
        "<Harness id=\"harness\">\n" inside "</Harness>\n" KBL_UNITS "</kbl:KBL_container>\n"
/* The least of a harness: one wire between two rings. */
#define KBL_PLAIN(ends_more)                       \
    KBL_RING("X1", "")                             \
    KBL_RING("X2", "")                             \
    KBL_WIRE("o1", "1", KBL_LENGTH("DMU", "1000")) \
    KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("1", "p_X2") ends_more)

/* Reads a text that is sound; shows what is wrong and fails otherwise. */
jv_harness *harness_sound(const char *text);
/* Status of a text that is refused; its faults come back in d. */
jv_status harness_refused(const char *text, jv_diags *d);
/* Fails unless one fault of that code holds the words. */
void harness_tells(const jv_diags *d, jv_code code, const char *words);
/* Fails unless a finding of that code holds the words; gives how many of the code there are. */
size_t harness_found(const jv_harness *h, jv_code code, const char *words);
/* By name, failing when there is none. */
const jv_harness_wire *harness_wire(const jv_harness *h, const char *name);
const jv_harness_fuse *harness_fuse(const jv_harness *h, const char *name);
/* The point at an end of something. */
const char *harness_point(const jv_harness *h, size_t point);
/* How many of a kind were passed over. */
size_t harness_skipped(const jv_harness *h, const char *kind);

#endif
