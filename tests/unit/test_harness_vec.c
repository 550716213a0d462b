/* test_harness_vec.c - VEC files and their accidents. SPDX-License-Identifier: MIT
 *
 * Expected figures are those that stand in the file read, in SI. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/render.h"
#include "tests/support/circuit_text.h"
#include "tests/support/close.h"
#include "tests/support/harness_text.h"

static const char own_file[] = "tests/harness/feed-and-sensor.vec";

static jv_harness *own(void) {
    jv_diags d = {0};
    jv_harness *h = NULL;
    assert_int_equal(jv_harness_read_file(own_file, &d, &h), JV_OK);
    assert_int_equal(d.count, 0);
    return h;
}

/* NAN: the file does not say. */
static void same(double actual, double expected) {
    if (isnan(expected)) {
        assert_true(isnan(actual));
    } else {
        assert_close(actual, expected, 1e-12, 0.0);
    }
}

static void own_file_gives_its_wires(void **state) {
    (void)state;
    static const struct {
        const char *name, *from, *to, *colour, *length_kind, *cable;
        double mm2, mm, route_mm;
    } wires[] = {
        /* Production goes before DMU; the route takes the adapted length before the designed. */
        {"W1", "X1", "H1.1", "RD/WH", "Production", NULL, 6, 1230, 1205},
        /* No length: 1205 mm and 800 mm of the route. */
        {"W2", "H1.2", "S1", "RD/WH", "routed", NULL, 6, 2005, 2005},
        /* One segment is run through twice: 800 mm + 2 x 400 mm. "/NULL" is no stripe. */
        {"W3", "S1", "J1.1", "BK", "DMU", NULL, 4, 1600.2, 1600},
        {"W4", "S1", "J1.4", "BK", "DMU", NULL, 4, NAN, NAN}, /* length "NaN" */
        {"C1.A", "J1.2", "J2.1", "#00CC00", "Functional", "C1", 0.5, 900, 400},
        {"C1.B", "J1.4", "J2.2", "BK", "DMU", "C1", 0.5, NAN, NAN}, /* routes of variants */
        {"C1.screen", "J1.1", "nowhere", NULL, NULL, "C1", 1, NAN, NAN},
    };
    enum { WIRES = sizeof wires / sizeof wires[0] };
    jv_harness *h = own();
    assert_int_equal(jv_harness_content(h)->n_wires, WIRES); /* the jacket has no conductor, and
                                                                the template is no occurrence */
    for (size_t i = 0; i < WIRES; i++) {
        const jv_harness_wire *w = harness_wire(h, wires[i].name);
        assert_string_equal(harness_point(h, w->from), wires[i].from);
        assert_string_equal(harness_point(h, w->to), wires[i].to);
        assert_true(wires[i].colour == NULL ? w->colour == NULL
                                            : strcmp(w->colour, wires[i].colour) == 0);
        assert_true(wires[i].cable == NULL ? w->cable == NULL
                                           : strcmp(w->cable, wires[i].cable) == 0);
        if (!isnan(wires[i].mm)) {
            assert_string_equal(w->length_kind, wires[i].length_kind);
        }
        same(w->area_m2, wires[i].mm2 * 1e-6);
        same(w->length_m, wires[i].mm * 1e-3);
        same(w->routed_m, wires[i].route_mm * 1e-3);
    }
    assert_string_equal(jv_harness_content(h)->version, "2.1.0");
    assert_string_equal(harness_wire(h, "W1")->signal, "feed");
    assert_string_equal(harness_wire(h, "W1")->metal, "Cu-ETP");
    jv_harness_free(&h);
}

static void resistance_counts_only_per_length(void **state) {
    (void)state;
    jv_harness *h = own(); /* 3.14 mohm/m by a composite unit; 0.02 ohm says nothing */
    same(harness_wire(h, "W1")->ohm_per_m, 3.14e-3);
    same(harness_wire(h, "W3")->ohm_per_m, NAN);
    harness_found(h, JV_CODE_HARNESS_UNSAID, "conductor \"core 4\" is not per length");
    jv_harness_free(&h);
}

static void contacts_join_cavities_and_wire_ends(void **state) {
    (void)state;
    jv_harness *h = own();
    const jv_harness_parts *p = jv_harness_content(h);
    /* J1.2 and J1.3 are one contact; W3 and the screen meet in J1.1 by two contact points. */
    size_t joint[2] = {0, 1};
    for (size_t i = 0; i < p->n_points; i++) {
        if (strcmp(p->points[i].name, "J1.2") == 0) {
            joint[0] = p->points[i].joint;
        }
        if (strcmp(p->points[i].name, "J1.3") == 0) {
            joint[1] = p->points[i].joint;
        }
    }
    assert_int_equal(joint[0], joint[1]);
    assert_int_equal(harness_wire(h, "W3")->to, harness_wire(h, "C1.screen")->from);
    assert_int_equal(harness_wire(h, "W2")->to, harness_wire(h, "W3")->from); /* the splice */
    assert_int_equal(p->connectors[1].kind, JV_HARNESS_SPLICE);
    assert_string_equal(p->connectors[0].about, "battery plus");
    assert_int_equal(p->connectors[0].kind, JV_HARNESS_RING);
    jv_harness_free(&h);
}

static void fuses_sit_between_their_pins(void **state) {
    (void)state;
    static const struct {
        const char *name, *from, *to;
    } fuses[] = {{"F1", "F1.1", "F1.2"}, {"MF.F1", "MF.V", "MF.1A"}, {"MF.F2", "MF.V", "MF.2A"}};
    enum { FUSES = sizeof fuses / sizeof fuses[0] };
    jv_harness *h = own();
    assert_int_equal(jv_harness_content(h)->n_fuses, FUSES);
    for (size_t i = 0; i < FUSES; i++) {
        const jv_harness_fuse *f = harness_fuse(h, fuses[i].name);
        same(f->rating_a, 40.0);
        assert_string_equal(f->type, "blade");
        assert_string_equal(harness_point(h, f->from), fuses[i].from);
        assert_string_equal(harness_point(h, f->to), fuses[i].to);
    }
    const jv_harness_parts *p = jv_harness_content(h);
    assert_int_equal(p->n_devices, 1);
    assert_string_equal(p->devices[0].kind, "BatterySpecification");
    assert_int_equal(p->n_mates, 2);
    same(p->mates[0].ohm, 1.2e-3); /* the pairing of the two terminals */
    jv_harness_free(&h);
}

static void what_was_passed_over_is_counted_by_type(void **state) {
    (void)state;
    jv_harness *h = own();
    assert_int_equal(harness_skipped(h, "WireGroupSpecification"), 1);
    assert_int_equal(harness_skipped(h, "PlaceableElementRole"), 1);
    assert_int_equal(harness_skipped(h, "SimpleValueProperty"), 1);
    assert_int_equal(harness_skipped(h, "TopologyNode"), 4);
    jv_harness_free(&h);
}

static void it_becomes_a_circuit(void **state) {
    (void)state;
    static const char text[] =
        "{\"parts\": {\"bat\": {\"is\": \"battery\", \"plus\": \"X1\", \"minus\": \"m\", "
        "\"open_circuit\": \"12.6 V\", \"resistance\": \"10 mohm\"}, \"ctl\": {\"is\": \"load\", "
        "\"plus\": \"J1.1\", \"minus\": \"m\", \"current\": \"9 A\"}}}";
    jv_diags d = {0};
    jv_harness *h = own();
    jv_harness_side *side = NULL;
    jv_harness_plan *plan = NULL;
    jv_text out = {0};
    jv_circuit *c = NULL;
    assert_int_equal(jv_harness_side_read_text(text, sizeof text - 1, "side", &d, &side), JV_OK);
    assert_int_equal(jv_harness_plan_make(h, side, &d, &plan), JV_OK);
    assert_int_equal(jv_harness_circuit(plan, &out), JV_OK);
    assert_int_equal(jv_circuit_read_text(jv_text_str(&out), out.length, "made", NULL, &d, &c),
                     JV_OK);
    /* 3.14 mohm/m x 1.23 m and x 2.005 m by hand; contacts of 1.2 mohm; W3 by its size. */
    assert_close(value_of(c, "W1", "resistance"), 3.8622e-3, 1e-9, 0.0);
    assert_close(value_of(c, "W2", "resistance"), 6.2957e-3, 1e-9, 0.0);
    assert_close(value_of(c, "H1.1 to F1.1", "resistance"), 1.2e-3, 1e-9, 0.0);
    assert_close(value_of(c, "W3", "size"), 4.0, 0.0, 0.0);
    assert_int_equal(c->n_parts, 3 + 1 + 2 + 2);          /* wires, fuse, contacts, side file */
    assert_int_equal(jv_harness_assumed_copper(plan), 1); /* W3 */
    jv_circuit_free(&c);
    jv_text_clear(&out);
    jv_harness_plan_free(&plan);
    jv_harness_side_free(&side);
    jv_harness_free(&h);
}

#define VEC_ROOT                                                           \
    "<v:VecContent xmlns:v=\"http://www.prostep.org/ecad-if/2011/vec\" "   \
    "xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\" id=\"root\">" \
    "<VecVersion>1.1.3</VecVersion>\n"
#define VEC_END                                                                            \
    "<Unit xsi:type=\"v:SIUnit\" id=\"mm2\"><Exponent>2</Exponent><SiUnitName>Metre"       \
    "</SiUnitName><SiPrefix>Milli</SiPrefix></Unit><Unit xsi:type=\"v:SIUnit\" id=\"mm\">" \
    "<SiUnitName>Metre</SiUnitName><SiPrefix>Milli</SiPrefix></Unit>\n"                    \
    "<Unit xsi:type=\"v:OtherUnit\" id=\"piece\"><OtherUnitName>Piece</OtherUnitName>"     \
    "</Unit></v:VecContent>\n"
#define VEC_WIRE(elements, unit, reference)                                                      \
    VEC_ROOT                                                                                     \
    "<DocumentVersion id=\"d\"><Specification xsi:type=\"v:CoreSpecification\" id=\"core\">"     \
    "<Identification>core</Identification><CrossSectionArea id=\"a\"><UnitComponent>" unit       \
    "</UnitComponent><ValueComponent>2.5</ValueComponent></CrossSectionArea></Specification>\n"  \
    "<Specification xsi:type=\"v:WireElementSpecification\" id=\"wes\"><ConductorSpecification>" \
    "core</ConductorSpecification></Specification>\n<Specification "                             \
    "xsi:type=\"v:WireSpecification\" id=\"ws\">" elements "</Specification>\n<Specification "   \
    "xsi:type=\"v:CompositionSpecification\" id=\"comp\"><Component id=\"c\"><Identification>7"  \
    "</Identification><Role xsi:type=\"v:WireRole\" id=\"r\">" reference                         \
    "</Role></Component></Specification></DocumentVersion>" VEC_END

static void a_flat_list_of_elements_is_read(void **state) {
    (void)state; /* 1.1.3: WireElement 1..*, no tree */
    static const char file[] =
        VEC_WIRE("<WireElement id=\"e0\"><WireElementSpecification>x</WireElementSpecification>"
                 "</WireElement><WireElement id=\"e1\"><WireElementSpecification>wes"
                 "</WireElementSpecification></WireElement>",
                 "mm2",
                 "<WireElementReference id=\"w\"><ReferencedWireElement>e1</ReferencedWireElement>"
                 "</WireElementReference>");
    jv_harness *h = harness_sound(file);
    same(harness_wire(h, "wire 7")->area_m2, 2.5e-6);
    harness_found(h, JV_CODE_HARNESS_OPEN, "\"wire 7\" has no end");
    jv_harness_free(&h);
}

#define VEC_ELEMENT                                        \
    "<WireElement id=\"e1\"><WireElementSpecification>wes" \
    "</WireElementSpecification></WireElement>"
#define VEC_REFERENCE                                                                  \
    "<WireElementReference id=\"w\"><ReferencedWireElement>e1</ReferencedWireElement>" \
    "</WireElementReference>"

static void a_unit_that_does_not_fit_is_refused(void **state) {
    (void)state;
    jv_diags d = {0};
    static const char length[] = VEC_WIRE(VEC_ELEMENT, "mm", VEC_REFERENCE);
    static const char piece[] = VEC_WIRE(VEC_ELEMENT, "piece", VEC_REFERENCE);
    static const char none[] = VEC_WIRE(VEC_ELEMENT, "", VEC_REFERENCE);
    assert_int_equal(harness_refused(length, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_UNIT, "an area in Metre with Exponent 2 is meant");
    assert_int_equal(harness_refused(piece, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_UNIT, "its unit is not one of SI");
    assert_int_equal(harness_refused(none, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_UNIT, "its unit is not said");
    jv_diags_clear(&d);
}

static void a_link_astray_is_refused(void **state) {
    (void)state;
    jv_diags d = {0};
    static const char file[] = VEC_WIRE(
        VEC_ELEMENT, "mm2",
        "<WireElementReference id=\"w\"><ReferencedWireElement>core</ReferencedWireElement>"
        "<WireEnd id=\"we\"><PositionOnWire>1.5</PositionOnWire></WireEnd></WireElementReference>");
    assert_int_equal(harness_refused(file, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_LINK, "\"core\" is a Specification");
    harness_tells(&d, JV_CODE_HARNESS_NUMBER, "position 1.5 lies outside the wire");
    jv_diags_clear(&d);
}

static void a_part_master_is_told_as_such(void **state) {
    (void)state;
    jv_diags d = {0};
    static const char file[] = VEC_ROOT
        "<DocumentVersion id=\"d\"><DocumentType>PartMaster</DocumentType></DocumentVersion>"
        "<PartVersion id=\"p\"><PartNumber>/NULL</PartNumber></PartVersion>" VEC_END;
    assert_int_equal(harness_refused(file, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_NONE, "no harness found: the file describes 1 part and 0");
    jv_diags_clear(&d);
}

#define VEC_CAVITIES(name)                                                                    \
    "<SlotReference id=\"s_" name "\"><ReferencedSlot>slot</ReferencedSlot><CavityReference " \
    "id=\"" name "1\"><ReferencedCavity>cav1</ReferencedCavity></CavityReference>"            \
    "<CavityReference id=\"" name "2\"><ReferencedCavity>cav2</ReferencedCavity>"             \
    "</CavityReference></SlotReference>"

static void a_distributor_joins_its_pins_and_meets_a_plug(void **state) {
    (void)state;
    /* Box D with pins in the cavities of its own housing, joined inside; plug P of a wire is put
     * on it, cavity by cavity. */
    static const char file[] = VEC_ROOT
        "<DocumentVersion id=\"d\"><Specification xsi:type=\"v:ConnectorHousingSpecification\" "
        "id=\"h\"><Slot id=\"slot\"><Cavity id=\"cav1\"><CavityNumber>1</CavityNumber></Cavity>"
        "<Cavity id=\"cav2\"><CavityNumber>2</CavityNumber></Cavity></Slot></Specification>"
        "<Specification xsi:type=\"v:EEComponentSpecification\" id=\"ee\"><HousingComponent "
        "id=\"hc\"><PinComponent id=\"pin1\"><ReferencedCavity>cav1</ReferencedCavity>"
        "</PinComponent><PinComponent id=\"pin2\"><ReferencedCavity>cav2</ReferencedCavity>"
        "</PinComponent></HousingComponent><Connections id=\"in\"><Pins>pin1 pin2</Pins>"
        "</Connections></Specification><Specification xsi:type=\"v:CompositionSpecification\" "
        "id=\"comp\"><Component id=\"cd\"><Identification>D</Identification><Description>bus"
        "</Description><Role xsi:type=\"v:EEComponentRole\" id=\"rd\"><EEComponentSpecification>ee"
        "</EEComponentSpecification><HousingComponentRef id=\"hr\"><ConnectorHousingRole "
        "id=\"ch\">" VEC_CAVITIES(
            "d") "</ConnectorHousingRole><PinComponentRef id=\"pr1\"><PinComponent>pin1"
                 "</PinComponent></PinComponentRef><PinComponentRef id=\"pr2\"><PinComponent>pin2"
                 "</PinComponent></PinComponentRef></HousingComponentRef></Role></Component>"
                 "<Component id=\"cp\"><Identification>P</Identification><Role "
                 "xsi:type=\"v:ConnectorHousingRole\" id=\"rp\">" VEC_CAVITIES(
                     "p") "</Role></Component>"
                          "<Component id=\"cw\"><Identification>W</Identification><Role "
                          "xsi:type=\"v:WireRole\" "
                          "id=\"rw\"><WireElementReference id=\"w\"><WireEnd "
                          "id=\"e1\"><PositionOnWire>0"
                          "</PositionOnWire></WireEnd></WireElementReference></Role></Component></"
                          "Specification>"
                          "<Specification xsi:type=\"v:ContactingSpecification\" "
                          "id=\"con\"><ContactPoint id=\"k1\">"
                          "<CavityMounting><EquippedCavityRef>p1</EquippedCavityRef></"
                          "CavityMounting><WireMounting>"
                          "<ReferencedWireEnd>e1</ReferencedWireEnd></WireMounting></"
                          "ContactPoint></Specification>"
                          "<Specification xsi:type=\"v:CouplingSpecification\" "
                          "id=\"cou\"><CouplingPoint id=\"x\">"
                          "<SlotCoupling><CavityCoupling><FirstCavity>p1</"
                          "FirstCavity><SecondCavity>d1</SecondCavity>"
                          "</CavityCoupling><CavityCoupling><FirstCavity>d2</"
                          "FirstCavity><SecondCavity>p2"
                          "</SecondCavity></CavityCoupling></SlotCoupling></CouplingPoint></"
                          "Specification>"
                          "</DocumentVersion>" VEC_END;
    jv_harness *h = harness_sound(file);
    const jv_harness_parts *p = jv_harness_content(h);
    assert_int_equal(p->n_points, 4); /* the pins are in cavities, and no points of their own */
    assert_string_equal(p->points[0].name, "D.1");
    assert_int_equal(p->points[0].joint, p->points[1].joint);
    assert_int_not_equal(p->points[2].joint, p->points[3].joint);
    assert_int_equal(p->n_mates, 2);
    assert_string_equal(harness_point(h, p->mates[0].from), "D.1");
    assert_string_equal(harness_point(h, p->mates[0].to), "P.1");
    assert_string_equal(harness_point(h, p->mates[1].to), "P.2");
    assert_string_equal(p->mates[1].part, "D to P");
    assert_string_equal(harness_point(h, harness_wire(h, "W")->from), "P.1");
    assert_string_equal(p->devices[0].about, "bus");
    jv_harness_free(&h);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(own_file_gives_its_wires),
        cmocka_unit_test(resistance_counts_only_per_length),
        cmocka_unit_test(contacts_join_cavities_and_wire_ends),
        cmocka_unit_test(fuses_sit_between_their_pins),
        cmocka_unit_test(what_was_passed_over_is_counted_by_type),
        cmocka_unit_test(it_becomes_a_circuit),
        cmocka_unit_test(a_flat_list_of_elements_is_read),
        cmocka_unit_test(a_unit_that_does_not_fit_is_refused),
        cmocka_unit_test(a_link_astray_is_refused),
        cmocka_unit_test(a_part_master_is_told_as_such),
        cmocka_unit_test(a_distributor_joins_its_pins_and_meets_a_plug),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
