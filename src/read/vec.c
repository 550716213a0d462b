/* vec.c - VEC harness files: what is read of them. SPDX-License-Identifier: MIT */
#include "read/vec.h"

#include <string.h>

static const char *const words[VEC_WORDS] = {
    [VEC_CONTENT] = "VecContent",
    [VEC_ADAPTED] = "Adapted",
    [VEC_BASE_COLOR] = "BaseColor",
    [VEC_BATTERY_ROLE] = "BatteryRole",
    [VEC_BATTERY_SPECIFICATION] = "BatterySpecification",
    [VEC_BOLT_TERMINAL_ROLE] = "BoltTerminalRole",
    [VEC_BRIDGE_TERMINAL_ROLE] = "BridgeTerminalRole",
    [VEC_CAPACITOR_ROLE] = "CapacitorRole",
    [VEC_CAVITY] = "Cavity",
    [VEC_CAVITY_COUPLING] = "CavityCoupling",
    [VEC_CAVITY_MOUNTING] = "CavityMounting",
    [VEC_CAVITY_NUMBER] = "CavityNumber",
    [VEC_CAVITY_REFERENCE] = "CavityReference",
    [VEC_CLAMP_NAME] = "ClampName",
    [VEC_CLASSIFICATION] = "Classification",
    [VEC_COMPONENT] = "Component",
    [VEC_COMPOSITE_UNIT] = "CompositeUnit",
    [VEC_COMPOSITION_SPECIFICATION] = "CompositionSpecification",
    [VEC_CONDUCTOR_SPECIFICATION] = "ConductorSpecification",
    [VEC_CONNECTED_PINS] = "ConnectedPins",
    [VEC_CONNECTIONS] = "Connections",
    [VEC_CONNECTOR_HOUSING_ROLE] = "ConnectorHousingRole",
    [VEC_CONNECTOR_HOUSING_SPECIFICATION] = "ConnectorHousingSpecification",
    [VEC_CONTACTING_SPECIFICATION] = "ContactingSpecification",
    [VEC_CONTACT_POINT] = "ContactPoint",
    [VEC_CONTACT_RESISTANCE] = "ContactResistance",
    [VEC_CORE_SPECIFICATION] = "CoreSpecification",
    [VEC_COUPLING_POINT] = "CouplingPoint",
    [VEC_COUPLING_SPECIFICATION] = "CouplingSpecification",
    [VEC_CROSS_SECTION_AREA] = "CrossSectionArea",
    [VEC_DESCRIPTION] = "Description",
    [VEC_DIODE_ROLE] = "DiodeRole",
    [VEC_DOCUMENT_TYPE] = "DocumentType",
    [VEC_DOCUMENT_VERSION] = "DocumentVersion",
    [VEC_EE_COMPONENT_ROLE] = "EEComponentRole",
    [VEC_EE_COMPONENT_SPECIFICATION] = "EEComponentSpecification",
    [VEC_EQUIPPED_CAVITY_REF] = "EquippedCavityRef",
    [VEC_EXPONENT] = "Exponent",
    [VEC_FACTORS] = "Factors",
    [VEC_FIRST_CAVITY] = "FirstCavity",
    [VEC_FIRST_CONNECTOR] = "FirstConnector",
    [VEC_FIRST_IDENTIFICATION_COLOR] = "FirstIdentificationColor",
    [VEC_FIRST_TERMINAL] = "FirstTerminal",
    [VEC_FIRST_TERMINAL_ROLE] = "FirstTerminalRole",
    [VEC_FLAT_CORE_SPECIFICATION] = "FlatCoreSpecification",
    [VEC_FUSE_COMPONENTS] = "FuseComponents",
    [VEC_FUSE_ROLE] = "FuseRole",
    [VEC_FUSE_SPECIFICATION] = "FuseSpecification",
    [VEC_FUSE_TYPE] = "FuseType",
    [VEC_HOUSING_COMPONENT] = "HousingComponent",
    [VEC_HOUSING_COMPONENT_REF] = "HousingComponentRef",
    [VEC_IDENTIFICATION] = "Identification",
    [VEC_I_MAX] = "IMax",
    [VEC_INSULATION_SPECIFICATION] = "InsulationSpecification",
    [VEC_KEY] = "Key",
    [VEC_LENGTH] = "Length",
    [VEC_LENGTH_INFORMATION] = "LengthInformation",
    [VEC_LENGTH_TYPE] = "LengthType",
    [VEC_LENGTH_VALUE] = "LengthValue",
    [VEC_MATERIAL] = "Material",
    [VEC_MATING_POINT] = "MatingPoint",
    [VEC_MODULAR_SLOT] = "ModularSlot",
    [VEC_MODULAR_SLOT_REFERENCE] = "ModularSlotReference",
    [VEC_MOUNTED_TERMINAL] = "MountedTerminal",
    [VEC_MULTI_FUSE_ROLE] = "MultiFuseRole",
    [VEC_MULTI_FUSE_SPECIFICATION] = "MultiFuseSpecification",
    [VEC_OPEN_WIRE_END_TERMINAL_ROLE] = "OpenWireEndTerminalRole",
    [VEC_PART] = "Part",
    [VEC_PART_NUMBER] = "PartNumber",
    [VEC_PART_USAGE] = "PartUsage",
    [VEC_PART_USAGE_SPECIFICATION] = "PartUsageSpecification",
    [VEC_PART_VERSION] = "PartVersion",
    [VEC_PATH] = "Path",
    [VEC_PIN_COMPONENT] = "PinComponent",
    [VEC_PIN_COMPONENT_REF] = "PinComponentRef",
    [VEC_PINS] = "Pins",
    [VEC_PLUGGABLE_TERMINAL_ROLE] = "PluggableTerminalRole",
    [VEC_POSITION_ON_WIRE] = "PositionOnWire",
    [VEC_POTENTIAL_DISTRIBUTOR_ROLE] = "PotentialDistributorRole",
    [VEC_POTENTIAL_DISTRIBUTOR_SPECIFICATION] = "PotentialDistributorSpecification",
    [VEC_PRIMARY_PART_TYPE] = "PrimaryPartType",
    [VEC_REFERENCED_CAVITY] = "ReferencedCavity",
    [VEC_REFERENCED_SLOT] = "ReferencedSlot",
    [VEC_REFERENCED_WIRE_ELEMENT] = "ReferencedWireElement",
    [VEC_REFERENCED_WIRE_END] = "ReferencedWireEnd",
    [VEC_RELAY_ROLE] = "RelayRole",
    [VEC_RELAY_SPECIFICATION] = "RelaySpecification",
    [VEC_RESISTANCE] = "Resistance",
    [VEC_RING_TERMINAL_ROLE] = "RingTerminalRole",
    [VEC_ROLE] = "Role",
    [VEC_ROUTED_ELEMENT] = "RoutedElement",
    [VEC_ROUTING] = "Routing",
    [VEC_ROUTING_SPECIFICATION] = "RoutingSpecification",
    [VEC_SECOND_CAVITY] = "SecondCavity",
    [VEC_SECOND_CONNECTOR] = "SecondConnector",
    [VEC_SECOND_IDENTIFICATION_COLOR] = "SecondIdentificationColor",
    [VEC_SECOND_TERMINAL] = "SecondTerminal",
    [VEC_SECOND_TERMINAL_ROLE] = "SecondTerminalRole",
    [VEC_SEGMENT] = "Segment",
    [VEC_SHIELD_SPECIFICATION] = "ShieldSpecification",
    [VEC_SIGNAL] = "Signal",
    [VEC_SIGNAL_NAME] = "SignalName",
    [VEC_SIGNAL_SPECIFICATION] = "SignalSpecification",
    [VEC_SI_PREFIX] = "SiPrefix",
    [VEC_SI_UNIT] = "SIUnit",
    [VEC_SI_UNIT_NAME] = "SiUnitName",
    [VEC_SLOT] = "Slot",
    [VEC_SLOT_COUPLING] = "SlotCoupling",
    [VEC_SLOT_NUMBER] = "SlotNumber",
    [VEC_SLOT_REFERENCE] = "SlotReference",
    [VEC_SPECIFICATION] = "Specification",
    [VEC_SPLICE_TERMINAL_ROLE] = "SpliceTerminalRole",
    [VEC_SUB_WIRE_ELEMENT] = "SubWireElement",
    [VEC_TERMINAL_PAIRING] = "TerminalPairing",
    [VEC_TERMINAL_PAIRING_SPECIFICATION] = "TerminalPairingSpecification",
    [VEC_TERMINAL_ROLE] = "TerminalRole",
    [VEC_TOPOLOGY_SEGMENT] = "TopologySegment",
    [VEC_TOPOLOGY_SPECIFICATION] = "TopologySpecification",
    [VEC_UNCONNECTED] = "Unconnected",
    [VEC_UNIT] = "Unit",
    [VEC_UNIT_COMPONENT] = "UnitComponent",
    [VEC_VALUE] = "Value",
    [VEC_VALUE_COMPONENT] = "ValueComponent",
    [VEC_VERSION] = "VecVersion",
    [VEC_WIRE_ELEMENT] = "WireElement",
    [VEC_WIRE_ELEMENT_REFERENCE] = "WireElementReference",
    [VEC_WIRE_ELEMENT_SPECIFICATION] = "WireElementSpecification",
    [VEC_WIRE_END] = "WireEnd",
    [VEC_WIRE_LENGTH] = "WireLength",
    [VEC_WIRE_MOUNTING] = "WireMounting",
    [VEC_WIRE_ROLE] = "WireRole",
    [VEC_WIRE_SPECIFICATION] = "WireSpecification",
};

/* What is read inside each element; the lists end with 0. An element that is not named here
 * holds a text only. */
static const uint16_t in_content[] = {VEC_VERSION, VEC_DOCUMENT_VERSION, VEC_PART_VERSION, VEC_UNIT,
                                      0};
static const uint16_t in_document[] = {VEC_DOCUMENT_TYPE, VEC_SPECIFICATION, 0};
/* Of all types of specification that are read. */
static const uint16_t in_specification[] = {VEC_IDENTIFICATION,
                                            VEC_COMPONENT,
                                            VEC_PART_USAGE,
                                            VEC_CONTACT_POINT,
                                            VEC_TOPOLOGY_SEGMENT,
                                            VEC_ROUTING,
                                            VEC_COUPLING_POINT,
                                            VEC_TERMINAL_PAIRING,
                                            VEC_SLOT,
                                            VEC_WIRE_ELEMENT,
                                            VEC_WIRE_ELEMENT_SPECIFICATION,
                                            VEC_CONDUCTOR_SPECIFICATION,
                                            VEC_INSULATION_SPECIFICATION,
                                            VEC_CROSS_SECTION_AREA,
                                            VEC_RESISTANCE,
                                            VEC_MATERIAL,
                                            VEC_BASE_COLOR,
                                            VEC_FIRST_IDENTIFICATION_COLOR,
                                            VEC_SECOND_IDENTIFICATION_COLOR,
                                            VEC_FUSE_TYPE,
                                            VEC_I_MAX,
                                            VEC_HOUSING_COMPONENT,
                                            VEC_FUSE_COMPONENTS,
                                            VEC_CONNECTIONS,
                                            VEC_SIGNAL,
                                            0};
static const uint16_t in_keyed[] = {VEC_KEY, 0};
static const uint16_t in_value[] = {VEC_UNIT_COMPONENT, VEC_VALUE_COMPONENT, 0};
static const uint16_t in_description[] = {VEC_VALUE, 0};
static const uint16_t in_component[] = {VEC_IDENTIFICATION, VEC_DESCRIPTION, VEC_ROLE, VEC_PART, 0};
/* Of all types of role that are read. */
static const uint16_t in_role[] = {VEC_IDENTIFICATION,
                                   VEC_CONNECTOR_HOUSING_SPECIFICATION,
                                   VEC_SLOT_REFERENCE,
                                   VEC_WIRE_ELEMENT_REFERENCE,
                                   VEC_EE_COMPONENT_SPECIFICATION,
                                   VEC_HOUSING_COMPONENT_REF,
                                   0};
static const uint16_t in_slot_reference[] = {VEC_IDENTIFICATION, VEC_REFERENCED_SLOT,
                                             VEC_CAVITY_REFERENCE, 0};
static const uint16_t in_cavity_reference[] = {VEC_IDENTIFICATION, VEC_REFERENCED_CAVITY, 0};
static const uint16_t in_slot[] = {VEC_SLOT_NUMBER, VEC_CAVITY, 0};
static const uint16_t in_cavity[] = {VEC_CAVITY_NUMBER, 0};
static const uint16_t in_element_reference[] = {VEC_IDENTIFICATION,
                                                VEC_REFERENCED_WIRE_ELEMENT,
                                                VEC_UNCONNECTED,
                                                VEC_SIGNAL,
                                                VEC_WIRE_END,
                                                VEC_WIRE_LENGTH,
                                                0};
static const uint16_t in_wire_end[] = {VEC_POSITION_ON_WIRE, 0};
static const uint16_t in_wire_length[] = {VEC_LENGTH_TYPE, VEC_LENGTH_VALUE, 0};
static const uint16_t in_wire_element[] = {VEC_IDENTIFICATION, VEC_WIRE_ELEMENT_SPECIFICATION,
                                           VEC_SUB_WIRE_ELEMENT, 0};
static const uint16_t in_contact_point[] = {VEC_IDENTIFICATION, VEC_MOUNTED_TERMINAL,
                                            VEC_CAVITY_MOUNTING, VEC_WIRE_MOUNTING, 0};
static const uint16_t in_cavity_mounting[] = {VEC_EQUIPPED_CAVITY_REF, 0};
static const uint16_t in_wire_mounting[] = {VEC_REFERENCED_WIRE_END, 0};
static const uint16_t in_segment[] = {VEC_LENGTH_INFORMATION, 0};
static const uint16_t in_length[] = {VEC_LENGTH, VEC_CLASSIFICATION, 0};
static const uint16_t in_routing[] = {VEC_ROUTED_ELEMENT, VEC_PATH, 0};
static const uint16_t in_path[] = {VEC_SEGMENT, 0};
static const uint16_t in_coupling_point[] = {VEC_FIRST_CONNECTOR, VEC_SECOND_CONNECTOR,
                                             VEC_MATING_POINT, VEC_SLOT_COUPLING, 0};
static const uint16_t in_mating_point[] = {VEC_FIRST_TERMINAL_ROLE, VEC_SECOND_TERMINAL_ROLE, 0};
static const uint16_t in_slot_coupling[] = {VEC_CAVITY_COUPLING, 0};
static const uint16_t in_cavity_coupling[] = {VEC_FIRST_CAVITY, VEC_SECOND_CAVITY, 0};
static const uint16_t in_pairing[] = {VEC_FIRST_TERMINAL, VEC_SECOND_TERMINAL,
                                      VEC_CONTACT_RESISTANCE, 0};
static const uint16_t in_housing_component[] = {VEC_PIN_COMPONENT, 0};
static const uint16_t in_pin_component[] = {VEC_IDENTIFICATION, VEC_REFERENCED_CAVITY, 0};
static const uint16_t in_housing_reference[] = {VEC_IDENTIFICATION, VEC_CONNECTOR_HOUSING_ROLE,
                                                VEC_PIN_COMPONENT_REF, 0};
static const uint16_t in_pin_reference[] = {VEC_IDENTIFICATION, VEC_PIN_COMPONENT,
                                            VEC_TERMINAL_ROLE, 0};
static const uint16_t in_fuse_components[] = {VEC_IDENTIFICATION, VEC_CONNECTED_PINS,
                                              VEC_FUSE_SPECIFICATION, 0};
static const uint16_t in_connections[] = {VEC_PINS, 0};
static const uint16_t in_signal[] = {VEC_IDENTIFICATION, VEC_SIGNAL_NAME, VEC_CLAMP_NAME, 0};
static const uint16_t in_part_version[] = {VEC_PART_NUMBER, VEC_PRIMARY_PART_TYPE, 0};
static const uint16_t in_unit[] = {VEC_EXPONENT, VEC_SI_UNIT_NAME, VEC_SI_PREFIX, VEC_FACTORS, 0};

static const uint16_t *const inside[VEC_WORDS] = {
    [VEC_CONTENT] = in_content,
    [VEC_DOCUMENT_VERSION] = in_document,
    [VEC_SPECIFICATION] = in_specification,
    [VEC_MATERIAL] = in_keyed,
    [VEC_BASE_COLOR] = in_keyed,
    [VEC_FIRST_IDENTIFICATION_COLOR] = in_keyed,
    [VEC_SECOND_IDENTIFICATION_COLOR] = in_keyed,
    [VEC_FUSE_TYPE] = in_keyed,
    [VEC_CROSS_SECTION_AREA] = in_value,
    [VEC_RESISTANCE] = in_value,
    [VEC_I_MAX] = in_value,
    [VEC_LENGTH_VALUE] = in_value,
    [VEC_LENGTH] = in_value,
    [VEC_CONTACT_RESISTANCE] = in_value,
    [VEC_DESCRIPTION] = in_description,
    [VEC_COMPONENT] = in_component,
    [VEC_PART_USAGE] = in_component,
    [VEC_ROLE] = in_role,
    [VEC_CONNECTOR_HOUSING_ROLE] = in_role,
    [VEC_SLOT_REFERENCE] = in_slot_reference,
    [VEC_CAVITY_REFERENCE] = in_cavity_reference,
    [VEC_SLOT] = in_slot,
    [VEC_CAVITY] = in_cavity,
    [VEC_WIRE_ELEMENT_REFERENCE] = in_element_reference,
    [VEC_WIRE_END] = in_wire_end,
    [VEC_WIRE_LENGTH] = in_wire_length,
    [VEC_WIRE_ELEMENT] = in_wire_element,
    [VEC_SUB_WIRE_ELEMENT] = in_wire_element,
    [VEC_CONTACT_POINT] = in_contact_point,
    [VEC_CAVITY_MOUNTING] = in_cavity_mounting,
    [VEC_WIRE_MOUNTING] = in_wire_mounting,
    [VEC_TOPOLOGY_SEGMENT] = in_segment,
    [VEC_LENGTH_INFORMATION] = in_length,
    [VEC_ROUTING] = in_routing,
    [VEC_PATH] = in_path,
    [VEC_COUPLING_POINT] = in_coupling_point,
    [VEC_MATING_POINT] = in_mating_point,
    [VEC_SLOT_COUPLING] = in_slot_coupling,
    [VEC_CAVITY_COUPLING] = in_cavity_coupling,
    [VEC_TERMINAL_PAIRING] = in_pairing,
    [VEC_HOUSING_COMPONENT] = in_housing_component,
    [VEC_PIN_COMPONENT] = in_pin_component,
    [VEC_HOUSING_COMPONENT_REF] = in_housing_reference,
    [VEC_PIN_COMPONENT_REF] = in_pin_reference,
    [VEC_FUSE_COMPONENTS] = in_fuse_components,
    [VEC_CONNECTIONS] = in_connections,
    [VEC_SIGNAL] = in_signal,
    [VEC_PART_VERSION] = in_part_version,
    [VEC_UNIT] = in_unit,
};

/* Types of specification and of role that are read. */
static const uint16_t specifications[] = {VEC_BATTERY_SPECIFICATION,
                                          VEC_COMPOSITION_SPECIFICATION,
                                          VEC_CONNECTOR_HOUSING_SPECIFICATION,
                                          VEC_CONTACTING_SPECIFICATION,
                                          VEC_CORE_SPECIFICATION,
                                          VEC_COUPLING_SPECIFICATION,
                                          VEC_EE_COMPONENT_SPECIFICATION,
                                          VEC_FLAT_CORE_SPECIFICATION,
                                          VEC_FUSE_SPECIFICATION,
                                          VEC_INSULATION_SPECIFICATION,
                                          VEC_MULTI_FUSE_SPECIFICATION,
                                          VEC_PART_USAGE_SPECIFICATION,
                                          VEC_POTENTIAL_DISTRIBUTOR_SPECIFICATION,
                                          VEC_RELAY_SPECIFICATION,
                                          VEC_ROUTING_SPECIFICATION,
                                          VEC_SHIELD_SPECIFICATION,
                                          VEC_SIGNAL_SPECIFICATION,
                                          VEC_TERMINAL_PAIRING_SPECIFICATION,
                                          VEC_TOPOLOGY_SPECIFICATION,
                                          VEC_WIRE_ELEMENT_SPECIFICATION,
                                          VEC_WIRE_SPECIFICATION,
                                          0};
static const uint16_t roles[] = {VEC_BATTERY_ROLE,
                                 VEC_BOLT_TERMINAL_ROLE,
                                 VEC_BRIDGE_TERMINAL_ROLE,
                                 VEC_CAPACITOR_ROLE,
                                 VEC_CONNECTOR_HOUSING_ROLE,
                                 VEC_DIODE_ROLE,
                                 VEC_EE_COMPONENT_ROLE,
                                 VEC_FUSE_ROLE,
                                 VEC_MULTI_FUSE_ROLE,
                                 VEC_OPEN_WIRE_END_TERMINAL_ROLE,
                                 VEC_PLUGGABLE_TERMINAL_ROLE,
                                 VEC_POTENTIAL_DISTRIBUTOR_ROLE,
                                 VEC_RELAY_ROLE,
                                 VEC_RING_TERMINAL_ROLE,
                                 VEC_SPLICE_TERMINAL_ROLE,
                                 VEC_TERMINAL_ROLE,
                                 VEC_WIRE_ROLE,
                                 0};

static bool is_in(const uint16_t *list, uint16_t word) {
    while (list != NULL && *list != 0 && *list != word) {
        list++;
    }
    return list != NULL && *list != 0;
}

static bool keep(uint16_t parent, uint16_t name, uint16_t type) {
    if (parent == 0) {
        return name == VEC_CONTENT;
    }
    return is_in(inside[parent], name) &&
           (name != VEC_SPECIFICATION || is_in(specifications, type)) &&
           (name != VEC_ROLE || is_in(roles, type));
}

static const uint16_t targets[] = {VEC_CAVITY,
                                   VEC_CAVITY_REFERENCE,
                                   VEC_COMPONENT,
                                   VEC_CONTACT_POINT,
                                   VEC_PART_USAGE,
                                   VEC_PART_VERSION,
                                   VEC_PIN_COMPONENT,
                                   VEC_ROLE,
                                   VEC_SIGNAL,
                                   VEC_SLOT,
                                   VEC_SPECIFICATION,
                                   VEC_SUB_WIRE_ELEMENT,
                                   VEC_TERMINAL_ROLE,
                                   VEC_TOPOLOGY_SEGMENT,
                                   VEC_UNIT,
                                   VEC_WIRE_ELEMENT,
                                   VEC_WIRE_ELEMENT_REFERENCE,
                                   VEC_WIRE_END,
                                   0};

const jv_xml_form jv_vec_form = {words, VEC_WORDS, keep, targets};

jv_xml_at jv_vec_specification(jv_vec *v, jv_xml_at at, uint16_t name) {
    return jv_xml_link(v->xml, jv_xml_child(v->xml, at, name), VEC_SPECIFICATION, 0, v->diags);
}

static bool is_part_master(const jv_vec *v, jv_xml_at document) {
    const char *type = jv_xml_text(v->xml, document, VEC_DOCUMENT_TYPE);
    return type != NULL && strcmp(type, "PartMaster") == 0;
}

jv_xml_at jv_vec_next(const jv_vec *v, jv_xml_at at, uint16_t type, bool harness_only) {
    jv_xml_at document =
        at != 0 ? jv_xml_get(v->xml, at)->parent : jv_xml_child(v->xml, 1, VEC_DOCUMENT_VERSION);
    for (; document != 0; document = jv_xml_again(v->xml, document), at = 0) {
        if (harness_only && is_part_master(v, document)) {
            continue;
        }
        at = at != 0 ? jv_xml_again(v->xml, at) : jv_xml_child(v->xml, document, VEC_SPECIFICATION);
        for (; at != 0; at = jv_xml_again(v->xml, at)) {
            if (jv_xml_get(v->xml, at)->type == type) {
                return at;
            }
        }
    }
    return 0;
}

/* A part master describes what parts are made of: its compositions are no occurrences. */
jv_xml_at jv_vec_next_component(const jv_vec *v, jv_xml_at at) {
    static const struct {
        uint16_t specification, component;
    } kinds[] = {{VEC_COMPOSITION_SPECIFICATION, VEC_COMPONENT},
                 {VEC_PART_USAGE_SPECIFICATION, VEC_PART_USAGE}};
    enum { KINDS = sizeof kinds / sizeof kinds[0] };
    size_t k = 0;
    jv_xml_at specification = 0;
    if (at != 0) {
        jv_xml_at next = jv_xml_again(v->xml, at);
        if (next != 0) {
            return next;
        }
        specification = jv_xml_get(v->xml, at)->parent;
        k = jv_xml_get(v->xml, at)->name == VEC_COMPONENT ? 0 : 1;
    }
    for (; k < KINDS; k++, specification = 0) {
        while ((specification = jv_vec_next(v, specification, kinds[k].specification, true)) != 0) {
            jv_xml_at first = jv_xml_child(v->xml, specification, kinds[k].component);
            if (first != 0) {
                return first;
            }
        }
    }
    return 0;
}

static jv_status refuse_without(jv_vec *v) {
    size_t parts = 0, wires = 0;
    for (jv_xml_at p = jv_xml_child(v->xml, 1, VEC_PART_VERSION); p != 0;
         p = jv_xml_again(v->xml, p)) {
        parts++;
    }
    for (jv_xml_at w = 0; (w = jv_vec_next(v, w, VEC_WIRE_SPECIFICATION, false)) != 0;) {
        wires++;
    }
    jv_xml_fault(v->xml, 1, v->diags, JV_CODE_HARNESS_NONE,
                 "Give the file of a harness: it has a composition with wires.",
                 "no harness found: the file describes %zu part%s and %zu kind%s of wire, and uses "
                 "no wire",
                 parts, parts == 1 ? "" : "s", wires, wires == 1 ? "" : "s");
    return JV_ERR_INPUT;
}

static const char *harness_name(const jv_vec *v) {
    jv_xml_at at = jv_vec_next(v, 0, VEC_CONTACTING_SPECIFICATION, true);
    at = at != 0 ? at : jv_vec_next(v, 0, VEC_COMPOSITION_SPECIFICATION, true);
    return jv_xml_text(v->xml, at, VEC_IDENTIFICATION);
}

jv_status jv_vec_read(jv_xml *xml, jv_harness *h, jv_diags *diags) {
    jv_vec v = {.xml = xml, .h = h, .diags = diags};
    h->parts.format = "VEC";
    h->parts.version = jv_harness_copy(h, jv_xml_text(xml, 1, VEC_VERSION));
    h->parts.name = jv_harness_copy(h, harness_name(&v));
    jv_vec_read_contacts(&v);
    jv_vec_read_components(&v);
    size_t wires = jv_vec_read_wires(&v);
    jv_free(v.routes);
    return wires > 0 || h->out_of_memory ? JV_OK : refuse_without(&v);
}
