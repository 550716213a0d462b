/* kbl.c - KBL harness files: what is read of them, units and numbers. SPDX-License-Identifier: MIT
 */
#include "read/kbl.h"

#include <math.h>
#include <string.h>

static const char *const words[KBL_WORDS] = {
    [KBL_CONTAINER] = "KBL_container",
    [KBL_ASSEMBLY_PART] = "Assembly_part",
    [KBL_ASSOCIATED_PARTS] = "Associated_parts",
    [KBL_CAVITIES] = "Cavities",
    [KBL_CAVITY_NUMBER] = "Cavity_number",
    [KBL_COLOUR_TYPE] = "Colour_type",
    [KBL_COLOUR_VALUE] = "Colour_value",
    [KBL_COMPONENT] = "Component",
    [KBL_COMPONENT_BOX] = "Component_box",
    [KBL_COMPONENT_BOX_CONNECTORS] = "Component_box_connectors",
    [KBL_COMPONENT_BOX_OCCURRENCE] = "Component_box_occurrence",
    [KBL_COMPONENT_CAVITIES] = "Component_cavities",
    [KBL_COMPONENT_OCCURRENCE] = "Component_occurrence",
    [KBL_COMPONENT_SLOTS] = "Component_slots",
    [KBL_CONNECTION] = "Connection",
    [KBL_CONNECTIONS] = "Connections",
    [KBL_CONNECTOR_HOUSING] = "Connector_housing",
    [KBL_CONNECTOR_OCCURRENCE] = "Connector_occurrence",
    [KBL_CONTACTED_CAVITY] = "Contacted_cavity",
    [KBL_CONTACT_POINT] = "Contact_point",
    [KBL_CONTACT_POINTS] = "Contact_points",
    [KBL_CORE] = "Core",
    [KBL_CORE_COLOUR] = "Core_colour",
    [KBL_CORE_OCCURRENCE] = "Core_occurrence",
    [KBL_COVER_COLOUR] = "Cover_colour",
    [KBL_CROSS_SECTION_AREA] = "Cross_section_area",
    [KBL_DESCRIPTION] = "Description",
    [KBL_EXTREMITIES] = "Extremities",
    [KBL_FUSE] = "Fuse",
    [KBL_FUSE_OCCURRENCE] = "Fuse_occurrence",
    [KBL_GENERAL_WIRE] = "General_wire",
    [KBL_GENERAL_WIRE_OCCURRENCE] = "General_wire_occurrence",
    [KBL_HARNESS] = "Harness",
    [KBL_HOUSING_TYPE] = "Housing_type",
    [KBL_ID] = "Id",
    [KBL_INTEGRATED_SLOTS] = "Integrated_slots",
    [KBL_KEY] = "Key",
    [KBL_LENGTH_INFORMATION] = "Length_information",
    [KBL_LENGTH_TYPE] = "Length_type",
    [KBL_LENGTH_VALUE] = "Length_value",
    [KBL_MATED_CAVITIES] = "Mated_cavities",
    [KBL_MATED_SLOTS] = "Mated_slots",
    [KBL_MATERIAL_INFORMATION] = "Material_information",
    [KBL_MATERIAL_KEY] = "Material_key",
    [KBL_MAX_CURRENT] = "Max_current",
    [KBL_MIN_CURRENT] = "Min_current",
    [KBL_MODULE] = "Module",
    [KBL_MOUNTING] = "Mounting",
    [KBL_NOMINAL_CURRENT] = "Nominal_current",
    [KBL_PART] = "Part",
    [KBL_PART_NUMBER] = "Part_number",
    [KBL_PHYSICAL_LENGTH] = "Physical_length",
    [KBL_POSITION_ON_WIRE] = "Position_on_wire",
    [KBL_ROUTED_WIRE] = "Routed_wire",
    [KBL_ROUTING] = "Routing",
    [KBL_SEGMENT] = "Segment",
    [KBL_SEGMENTS] = "Segments",
    [KBL_SIGNAL_NAME] = "Signal_name",
    [KBL_SI_DIMENSION] = "Si_dimension",
    [KBL_SI_PREFIX] = "Si_prefix",
    [KBL_SI_UNIT_NAME] = "Si_unit_name",
    [KBL_SLOTS] = "Slots",
    [KBL_SPECIAL_TERMINAL_OCCURRENCE] = "Special_terminal_occurrence",
    [KBL_SPECIAL_WIRE_ID] = "Special_wire_id",
    [KBL_SPECIAL_WIRE_OCCURRENCE] = "Special_wire_occurrence",
    [KBL_SPECIFIED_COMPONENT_OCCURRENCE] = "Specified_component_occurrence",
    [KBL_SPECIFIED_FUSE_OCCURRENCE] = "Specified_fuse_occurrence",
    [KBL_SPECIFIED_SPECIAL_WIRE_OCCURRENCE] = "Specified_special_wire_occurrence",
    [KBL_SPECIFIED_WIRE_OCCURRENCE] = "Specified_wire_occurrence",
    [KBL_TYPE] = "Type",
    [KBL_UNCONNECTED] = "Unconnected",
    [KBL_UNIT] = "Unit",
    [KBL_UNIT_COMPONENT] = "Unit_component",
    [KBL_UNIT_NAME] = "Unit_name",
    [KBL_USAGE] = "Usage",
    [KBL_VALID_FUSE_TYPES] = "Valid_fuse_types",
    [KBL_VALUE_COMPONENT] = "Value_component",
    [KBL_VIRTUAL_LENGTH] = "Virtual_length",
    [KBL_WIRE] = "Wire",
    [KBL_WIRE_NUMBER] = "Wire_number",
    [KBL_WIRE_OCCURRENCE] = "Wire_occurrence",
};

/* What is read inside each element; the lists end with 0. An element that is not named here
 * holds a text only. */
static const uint16_t in_container[] = {KBL_COMPONENT,    KBL_COMPONENT_BOX, KBL_CONNECTOR_HOUSING,
                                        KBL_GENERAL_WIRE, KBL_HARNESS,       KBL_ROUTING,
                                        KBL_SEGMENT,      KBL_UNIT,          0};
static const uint16_t in_harness[] = {KBL_COMPONENT_BOX_OCCURRENCE,
                                      KBL_COMPONENT_OCCURRENCE,
                                      KBL_CONNECTION,
                                      KBL_CONNECTOR_OCCURRENCE,
                                      KBL_DESCRIPTION,
                                      KBL_GENERAL_WIRE_OCCURRENCE,
                                      KBL_MODULE,
                                      KBL_PART_NUMBER,
                                      KBL_SPECIAL_TERMINAL_OCCURRENCE,
                                      0};
static const uint16_t in_general_wire[] = {KBL_CORE,
                                           KBL_COVER_COLOUR,
                                           KBL_PART_NUMBER,
                                           KBL_CROSS_SECTION_AREA,
                                           KBL_DESCRIPTION,
                                           KBL_MATERIAL_INFORMATION,
                                           0};
static const uint16_t in_core[] = {KBL_ID, KBL_CROSS_SECTION_AREA, KBL_CORE_COLOUR, 0};
static const uint16_t in_colour[] = {KBL_COLOUR_TYPE, KBL_COLOUR_VALUE, 0};
static const uint16_t in_material[] = {KBL_MATERIAL_KEY, 0};
static const uint16_t in_value[] = {KBL_UNIT_COMPONENT, KBL_VALUE_COMPONENT, 0};
static const uint16_t in_component[] = {KBL_DESCRIPTION, KBL_NOMINAL_CURRENT, KBL_PART_NUMBER,
                                        KBL_TYPE, 0};
static const uint16_t in_key[] = {KBL_KEY, 0};
static const uint16_t in_component_box[] = {KBL_COMPONENT_BOX_CONNECTORS, KBL_COMPONENT_SLOTS,
                                            KBL_CONNECTIONS, 0};
/* Of a box and of its occurrence. */
static const uint16_t in_box_connectors[] = {KBL_ID, KBL_INTEGRATED_SLOTS, KBL_PART, KBL_SLOTS, 0};
static const uint16_t in_component_slots[] = {
    KBL_COMPONENT_CAVITIES, KBL_ID, KBL_MAX_CURRENT, KBL_MIN_CURRENT, KBL_PART,
    KBL_VALID_FUSE_TYPES,   0};
static const uint16_t in_component_cavities[] = {KBL_CAVITY_NUMBER, KBL_PART, 0};
static const uint16_t in_connections[] = {KBL_CAVITIES, KBL_COMPONENT_CAVITIES, 0};
static const uint16_t in_housing[] = {KBL_HOUSING_TYPE, KBL_SLOTS, 0};
/* Of a housing, a box and an occurrence. */
static const uint16_t in_slots[] = {KBL_CAVITIES, KBL_ID, KBL_MATED_SLOTS, KBL_PART, 0};
static const uint16_t in_cavities[] = {KBL_CAVITY_NUMBER, KBL_MATED_CAVITIES, KBL_PART, 0};
static const uint16_t in_connector[] = {KBL_CONTACT_POINTS, KBL_DESCRIPTION, KBL_ID, KBL_PART,
                                        KBL_SLOTS,          KBL_USAGE,       0};
static const uint16_t in_contact_points[] = {KBL_ASSOCIATED_PARTS, KBL_CONTACTED_CAVITY, 0};
static const uint16_t in_special_terminal[] = {KBL_DESCRIPTION, 0};
static const uint16_t in_box_occurrence[] = {KBL_COMPONENT_BOX_CONNECTORS,
                                             KBL_COMPONENT_SLOTS,
                                             KBL_CONTACT_POINTS,
                                             KBL_DESCRIPTION,
                                             KBL_ID,
                                             KBL_PART,
                                             0};
static const uint16_t in_component_occurrence[] = {KBL_DESCRIPTION, KBL_ID, KBL_MOUNTING, KBL_PART,
                                                   0};
static const uint16_t in_connection[] = {KBL_EXTREMITIES, KBL_ID, KBL_SIGNAL_NAME, KBL_WIRE, 0};
static const uint16_t in_extremities[] = {KBL_CONTACT_POINT, KBL_POSITION_ON_WIRE, 0};
static const uint16_t in_wire_occurrence[] = {KBL_CORE_OCCURRENCE, KBL_LENGTH_INFORMATION, KBL_PART,
                                              KBL_SPECIAL_WIRE_ID, KBL_WIRE_NUMBER,        0};
static const uint16_t in_core_occurrence[] = {KBL_LENGTH_INFORMATION, KBL_PART, KBL_UNCONNECTED,
                                              KBL_WIRE_NUMBER, 0};
static const uint16_t in_length[] = {KBL_LENGTH_TYPE, KBL_LENGTH_VALUE, 0};
static const uint16_t in_routing[] = {KBL_ROUTED_WIRE, KBL_SEGMENTS, 0};
static const uint16_t in_segment[] = {KBL_PHYSICAL_LENGTH, KBL_VIRTUAL_LENGTH, 0};
static const uint16_t in_unit[] = {KBL_SI_DIMENSION, KBL_SI_PREFIX, KBL_SI_UNIT_NAME, KBL_UNIT_NAME,
                                   0};

static const uint16_t *const inside[KBL_WORDS] = {
    [KBL_CONTAINER] = in_container,
    [KBL_HARNESS] = in_harness,
    [KBL_GENERAL_WIRE] = in_general_wire,
    [KBL_CORE] = in_core,
    [KBL_COVER_COLOUR] = in_colour,
    [KBL_CORE_COLOUR] = in_colour,
    [KBL_MATERIAL_INFORMATION] = in_material,
    [KBL_CROSS_SECTION_AREA] = in_value,
    [KBL_NOMINAL_CURRENT] = in_value,
    [KBL_MIN_CURRENT] = in_value,
    [KBL_MAX_CURRENT] = in_value,
    [KBL_LENGTH_VALUE] = in_value,
    [KBL_PHYSICAL_LENGTH] = in_value,
    [KBL_VIRTUAL_LENGTH] = in_value,
    [KBL_COMPONENT] = in_component,
    [KBL_TYPE] = in_key,
    [KBL_VALID_FUSE_TYPES] = in_key,
    [KBL_COMPONENT_BOX] = in_component_box,
    [KBL_COMPONENT_BOX_CONNECTORS] = in_box_connectors,
    [KBL_COMPONENT_SLOTS] = in_component_slots,
    [KBL_COMPONENT_CAVITIES] = in_component_cavities,
    [KBL_CONNECTIONS] = in_connections,
    [KBL_CONNECTOR_HOUSING] = in_housing,
    [KBL_SLOTS] = in_slots,
    [KBL_INTEGRATED_SLOTS] = in_slots,
    [KBL_CAVITIES] = in_cavities,
    [KBL_CONNECTOR_OCCURRENCE] = in_connector,
    [KBL_CONTACT_POINTS] = in_contact_points,
    [KBL_COMPONENT_BOX_OCCURRENCE] = in_box_occurrence,
    [KBL_COMPONENT_OCCURRENCE] = in_component_occurrence,
    [KBL_CONNECTION] = in_connection,
    [KBL_EXTREMITIES] = in_extremities,
    [KBL_GENERAL_WIRE_OCCURRENCE] = in_wire_occurrence,
    [KBL_CORE_OCCURRENCE] = in_core_occurrence,
    [KBL_LENGTH_INFORMATION] = in_length,
    [KBL_SPECIAL_TERMINAL_OCCURRENCE] = in_special_terminal,
    [KBL_ROUTING] = in_routing,
    [KBL_SEGMENT] = in_segment,
    [KBL_UNIT] = in_unit,
};

static bool keep(uint16_t parent, uint16_t name, uint16_t type) {
    (void)type;
    if (parent == 0) {
        return name == KBL_CONTAINER;
    }
    const uint16_t *list = inside[parent];
    while (list != NULL && *list != 0 && *list != name) {
        list++;
    }
    return list != NULL && *list != 0;
}

static const uint16_t targets[] = {KBL_CAVITIES,
                                   KBL_COMPONENT,
                                   KBL_COMPONENT_BOX,
                                   KBL_COMPONENT_BOX_CONNECTORS,
                                   KBL_COMPONENT_CAVITIES,
                                   KBL_COMPONENT_OCCURRENCE,
                                   KBL_COMPONENT_SLOTS,
                                   KBL_CONNECTION,
                                   KBL_CONNECTOR_HOUSING,
                                   KBL_CONNECTOR_OCCURRENCE,
                                   KBL_CONTACT_POINTS,
                                   KBL_COMPONENT_BOX_OCCURRENCE,
                                   KBL_CORE,
                                   KBL_CORE_OCCURRENCE,
                                   KBL_GENERAL_WIRE,
                                   KBL_GENERAL_WIRE_OCCURRENCE,
                                   KBL_INTEGRATED_SLOTS,
                                   KBL_SEGMENT,
                                   KBL_SLOTS,
                                   KBL_SPECIAL_TERMINAL_OCCURRENCE,
                                   KBL_UNIT,
                                   0};

const jv_xml_form jv_kbl_form = {words, KBL_WORDS, keep, targets};

/* Power of ten of an SI prefix of the standard; false: not one of them. */
static bool prefix_factor(const char *prefix, double *factor) {
    static const struct {
        const char *name;
        double factor;
    } known[] = {{"milli", 1e-3}, {"centi", 1e-2}, {"micro", 1e-6}, {"kilo", 1e3}};
    *factor = 1.0;
    if (prefix == NULL) {
        return true;
    }
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        if (strcmp(prefix, known[i].name) == 0) {
            *factor = known[i].factor;
            return true;
        }
    }
    return false;
}

/* Units that the standard leaves to free text and that leave no doubt. */
static bool free_unit(const char *name, jv_kbl_dim dim, double *factor) {
    static const struct {
        const char *name;
        jv_kbl_dim dim;
        double factor;
    } known[] = {{"ampere", KBL_CURRENT, 1.0}, {"Ampere", KBL_CURRENT, 1.0},
                 {"A", KBL_CURRENT, 1.0},      {"mm", KBL_LENGTH, 1e-3},
                 {"m", KBL_LENGTH, 1.0},       {"mm2", KBL_AREA, 1e-6}};
    for (size_t i = 0; name != NULL && i < sizeof known / sizeof known[0]; i++) {
        if (known[i].dim == dim && strcmp(name, known[i].name) == 0) {
            *factor = known[i].factor;
            return true;
        }
    }
    return false;
}

/* What one of a unit is in SI; false: it does not fit. A prefix counts once for each
 * dimension: milli and square is 1e-6 m2. */
static bool unit_factor(const jv_xml *xml, jv_xml_at unit, jv_kbl_dim dim, double *factor) {
    const char *name = jv_xml_text(xml, unit, KBL_SI_UNIT_NAME);
    const char *dimension = jv_xml_text(xml, unit, KBL_SI_DIMENSION);
    double one;
    if (name == NULL) {
        return free_unit(jv_xml_text(xml, unit, KBL_UNIT_NAME), dim, factor);
    }
    if (!prefix_factor(jv_xml_text(xml, unit, KBL_SI_PREFIX), &one)) {
        return false;
    }
    if (dim == KBL_AREA) {
        *factor = one * one;
        return strcmp(name, "metre") == 0 && dimension != NULL && strcmp(dimension, "square") == 0;
    }
    *factor = one;
    return dimension == NULL && strcmp(name, dim == KBL_LENGTH ? "metre" : "ampere") == 0;
}

/* A unit as the file says it: "milli metre square". */
static void name_unit(const jv_xml *xml, jv_xml_at unit, jv_text *out) {
    static const uint16_t words_of[] = {KBL_SI_PREFIX, KBL_SI_UNIT_NAME, KBL_SI_DIMENSION,
                                        KBL_UNIT_NAME};
    for (size_t i = 0; i < sizeof words_of / sizeof words_of[0]; i++) {
        const char *word = jv_xml_text(xml, unit, words_of[i]);
        if (word != NULL) {
            jv_text_addf(out, "%s%s", out->length > 0 ? " " : "", word);
        }
    }
    if (out->length == 0) {
        jv_text_add(out, "not said");
    }
}

double jv_kbl_value(jv_kbl *k, jv_xml_at parent, uint16_t name, jv_kbl_dim dim) {
    static const char *const wanted[] = {"a length in metre", "an area in square metre",
                                         "a current in ampere"};
    jv_xml_at value = jv_xml_child(k->xml, parent, name);
    jv_xml_at number = jv_xml_child(k->xml, value, KBL_VALUE_COMPONENT);
    double x, factor;
    if (value == 0 || !jv_xml_number(k->xml, number, &x, k->diags) || isnan(x)) {
        return NAN;
    }
    jv_xml_at link = jv_xml_child(k->xml, value, KBL_UNIT_COMPONENT);
    jv_xml_at unit = jv_xml_link(k->xml, link, KBL_UNIT, 0, k->diags);
    if (unit != 0 && unit_factor(k->xml, unit, dim, &factor)) {
        return x * factor;
    }
    if (unit != 0 || jv_xml_own_text(k->xml, link) == NULL) {
        jv_text said = {0};
        name_unit(k->xml, unit, &said);
        jv_xml_fault(k->xml, value, k->diags, JV_CODE_HARNESS_UNIT,
                     "Give it a Unit whose Si_unit_name, Si_prefix and Si_dimension fit.",
                     "the unit is %s; %s is meant", jv_text_str(&said), wanted[dim]);
        jv_text_clear(&said);
    }
    return NAN;
}

/* A file may hold more than one vehicle has: all of it is read, and that is told. */
static void tell_modules(jv_kbl *k) {
    size_t n = k->lists[KBL_MODULE].n;
    if (n > 1) {
        jv_harness_note(k->h, JV_CODE_HARNESS_VARIANTS,
                        jv_xml_get(k->xml, k->lists[KBL_MODULE].at[0])->line,
                        "the harness is told in %zu modules; all of them are read", n);
    }
}

static jv_status refuse_without(jv_kbl *k) {
    jv_text found = {0};
    static const uint16_t parts[] = {KBL_CONNECTOR_HOUSING, KBL_GENERAL_WIRE, KBL_COMPONENT,
                                     KBL_COMPONENT_BOX};
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        size_t n = 0;
        for (jv_xml_at at = jv_xml_child(k->xml, k->root, parts[i]); at != 0;
             at = jv_xml_again(k->xml, at)) {
            n++;
        }
        if (n > 0) {
            jv_text_addf(&found, "%s%zu %s", found.length > 0 ? ", " : "", n, words[parts[i]]);
        }
    }
    jv_xml_fault(k->xml, k->root, k->diags, JV_CODE_HARNESS_NONE,
                 "Give the file of a harness: it has an element Harness.",
                 "no harness found: the file holds %s",
                 found.length > 0 ? jv_text_str(&found) : "nothing that is read");
    jv_text_clear(&found);
    return JV_ERR_INPUT;
}

/* Sort the children of the harness by name, once. False: memory is short. */
static bool list_children(jv_kbl *k) {
    size_t fill[KBL_WORDS] = {0};
    jv_xml_at first = jv_xml_get(k->xml, k->harness)->first;
    for (jv_xml_at at = first; at != 0; at = jv_xml_get(k->xml, at)->next) {
        k->lists[jv_xml_get(k->xml, at)->name].n++;
    }
    for (size_t i = 0; i < KBL_WORDS; i++) {
        jv_kbl_list *list = &k->lists[i];
        list->at = list->n > 0 ? jv_alloc(list->n, sizeof *list->at) : NULL;
        if (list->n > 0 && list->at == NULL) {
            return false;
        }
    }
    for (jv_xml_at at = first; at != 0; at = jv_xml_get(k->xml, at)->next) {
        uint16_t name = jv_xml_get(k->xml, at)->name;
        k->lists[name].at[fill[name]++] = at;
    }
    return true;
}

static void read_all(jv_kbl *k) {
    tell_modules(k);
    jv_kbl_read_connectors(k);
    jv_kbl_read_components(k);
    jv_kbl_read_wires(k);
}

jv_status jv_kbl_read(jv_xml *xml, jv_harness *h, jv_diags *diags) {
    jv_kbl k = {.xml = xml, .h = h, .diags = diags, .root = 1};
    k.harness = jv_xml_child(xml, k.root, KBL_HARNESS);
    if (k.harness == 0) {
        return refuse_without(&k);
    }
    h->parts.format = "KBL";
    h->parts.version = jv_harness_copy(h, xml->version_hint);
    const char *name = jv_xml_text(xml, k.harness, KBL_DESCRIPTION);
    h->parts.name =
        jv_harness_copy(h, name != NULL ? name : jv_xml_text(xml, k.harness, KBL_PART_NUMBER));
    if (list_children(&k)) {
        read_all(&k);
    } else {
        h->out_of_memory = true;
    }
    for (size_t i = 0; i < KBL_WORDS; i++) {
        jv_free(k.lists[i].at);
    }
    jv_free(k.routes);
    jv_free(k.kinds);
    return JV_OK;
}
