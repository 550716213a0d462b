/* test_harness_kbl.c - KBL files and their accidents. SPDX-License-Identifier: MIT
 *
 * Expected figures are those that stand in the file read, in SI. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "tests/support/close.h"
#include "tests/support/harness_text.h"

static const char own_file[] = "tests/harness/rear-jacks.kbl";

static jv_harness *own(void) {
    jv_diags d = {0};
    jv_harness *h = NULL;
    assert_int_equal(jv_harness_read_file(own_file, &d, &h), JV_OK);
    assert_int_equal(d.count, 0);
    return h;
}

static void own_file_gives_its_wires(void **state) {
    (void)state;
    static const struct {
        const char *name, *from, *to, *colour, *length_kind;
        double mm2, mm, route_mm;
    } wires[] = {
        {"wire 1", "BAT+.1", "RA.1", "rt", "Production", 16, 600, 590},
        {"wire 2", "RB.1", "CTL.1", "rt", "DMU", 16, 6400, 6400.002},
        {"wire 4", "S1.1", "BAT-.1", "br", "DMU", 16, 200, NAN},
        {"wire 6", "CTL.3", "LEFT.1", "gn/ws", "DMU", 4, 1800, 1800},
        {"wire 9", "RIGHT.2", "CTL.6", "gn/ws", "routed", 4, 2700, 2700},
        {"SC1-A", "CTL.7", "SENS.1", "RD", "DMU", 0.5, 2100, 2100.03},
    };
    jv_harness *h = own();
    assert_int_equal(jv_harness_content(h)->n_wires, 15); /* 11, one cut in two, and 3 cores */
    for (size_t i = 0; i < sizeof wires / sizeof wires[0]; i++) {
        const jv_harness_wire *w = harness_wire(h, wires[i].name);
        assert_string_equal(harness_point(h, w->from), wires[i].from);
        assert_string_equal(harness_point(h, w->to), wires[i].to);
        assert_string_equal(w->colour, wires[i].colour);
        assert_string_equal(w->length_kind, wires[i].length_kind);
        assert_close(w->area_m2, wires[i].mm2 * 1e-6, 1e-12, 0.0);
        assert_close(w->length_m, wires[i].mm * 1e-3, 1e-12, 0.0);
        if (isnan(wires[i].route_mm)) {
            assert_true(isnan(w->routed_m));
        } else {
            assert_close(w->routed_m, wires[i].route_mm * 1e-3, 1e-12, 0.0);
        }
    }
    assert_string_equal(harness_wire(h, "wire 1")->metal, "Cu");
    assert_null(harness_wire(h, "wire 2")->cable);
    assert_string_equal(harness_wire(h, "SC1-A")->cable, "SC1");
    assert_string_equal(harness_wire(h, "wire 2")->signal, "30 fused");
    jv_harness_free(&h);
}

static void own_file_gives_fuses_in_their_slots(void **state) {
    (void)state;
    jv_harness *h = own();
    const jv_harness_parts *p = jv_harness_content(h);
    assert_int_equal(p->n_fuses, 2); /* the template in the Assembly_part is none */
    assert_int_equal(harness_skipped(h, "Assembly_part"), 1);
    const jv_harness_fuse *f = harness_fuse(h, "F1");
    assert_close(f->rating_a, 60.0, 0.0, 0.0);
    assert_string_equal(f->place, "BOX.F1");
    assert_string_equal(harness_point(h, f->from), "BOX.F1.in");
    assert_string_equal(harness_point(h, f->to), "BOX.F1.out");
    /* The bars: A.1 feeds both slots, and leads out to B.1 and C.1. */
    const jv_harness_fuse *g = harness_fuse(h, "F2");
    assert_int_equal(p->points[f->from].joint, p->points[g->from].joint);
    assert_string_equal(p->points[p->points[f->from].joint].name, "BOX.A.1");
    assert_string_equal(p->points[p->points[f->to].joint].name, "BOX.B.1");
    assert_string_equal(p->points[p->points[g->to].joint].name, "BOX.C.1");
    assert_int_equal(harness_found(h, JV_CODE_HARNESS_FUSE, "\"F2\" of 10 A"), 1);
    assert_int_equal(p->n_mates, 2);
    assert_string_equal(harness_point(h, p->mates[0].from), "BOX.A.1");
    assert_string_equal(harness_point(h, p->mates[0].to), "RA.1");
    jv_harness_free(&h);
}

static void own_file_gives_connectors_by_use(void **state) {
    (void)state;
    jv_harness *h = own();
    const jv_harness_parts *p = jv_harness_content(h);
    size_t of[JV_HARNESS_BOX + 1] = {0};
    for (size_t i = 0; i < p->n_connectors; i++) {
        of[p->connectors[i].kind]++;
    }
    assert_int_equal(of[JV_HARNESS_PLUG], 6); /* CTL, LEFT, RIGHT, SENS, two lamps */
    assert_int_equal(of[JV_HARNESS_RING], 5);
    assert_int_equal(of[JV_HARNESS_SPLICE], 1);
    assert_int_equal(of[JV_HARNESS_END], 1);
    assert_int_equal(of[JV_HARNESS_BOX], 1);
    assert_int_equal(p->n_devices, 1);
    assert_string_equal(p->devices[0].name, "K1");
    assert_string_equal(p->devices[0].kind, "relay 12 V");
    jv_harness_free(&h);
}

static void a_tap_cuts_a_wire_by_its_positions(void **state) {
    (void)state;
    jv_harness *h = own(); /* wire 10: 5000 mm, taps at 0, 0.4 and 1, written out of order */
    const jv_harness_wire *a = harness_wire(h, "wire 10 piece 1");
    const jv_harness_wire *b = harness_wire(h, "wire 10 piece 2");
    assert_close(a->length_m, 2.0, 1e-12, 0.0);
    assert_close(b->length_m, 3.0, 1e-12, 0.0);
    assert_string_equal(harness_point(h, a->from), "BOX.C.1");
    assert_string_equal(harness_point(h, a->to), "LAMP1.1");
    assert_string_equal(harness_point(h, b->to), "LAMP2.1");
    assert_null(a->colour); /* "/NULL" */
    jv_harness_free(&h);
}

static void one_contact_in_two_cavities_is_one_potential(void **state) {
    (void)state;
    static const char file[] = KBL_FILE(
        "<Connector_housing id=\"h2\"><Slots id=\"h2s\"><Cavities id=\"h2a\"><Cavity_number>A"
        "</Cavity_number></Cavities><Cavities id=\"h2b\"><Cavity_number>B</Cavity_number>"
        "</Cavities></Slots></Connector_housing>",
        "<Connector_occurrence id=\"c3\"><Id>X3</Id><Part>h2</Part><Contact_points id=\"p_X3\">"
        "<Contacted_cavity> x3a\n x3b </Contacted_cavity></Contact_points><Slots id=\"s3\">"
        "<Part>h2s</Part><Cavities id=\"x3a\"><Part>h2a</Part></Cavities><Cavities id=\"x3b\">"
        "<Part>h2b</Part></Cavities></Slots></Connector_occurrence>" KBL_RING("X1", "")
            KBL_WIRE("o1", "1", KBL_LENGTH("DMU", "10"))
                KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("1", "p_X3")));
    jv_harness *h = harness_sound(file);
    const jv_harness_parts *p = jv_harness_content(h);
    assert_string_equal(harness_point(h, p->wires[0].to), "X3.A");
    assert_int_equal(p->n_points, 3);
    assert_int_equal(p->points[0].joint, p->points[1].joint);
    jv_harness_free(&h);
}

static void one_contact_may_hold_two_wires(void **state) {
    (void)state;
    jv_harness *h = own(); /* CTL.2 holds wire 3 and core B */
    assert_int_equal(harness_wire(h, "wire 3")->from, harness_wire(h, "SC1-B")->from);
    jv_harness_free(&h);
}

static void a_squared_prefix_counts_twice(void **state) {
    (void)state;
    /* 2.5 cm2 = 2.5 (1e-2 m)^2 = 250 mm2; 40 um = 4e-5 m. */
    static const char file[] = KBL_ROOT KBL_HOUSING "<General_wire id=\"w\">" KBL_VALUE(
        "Cross_section_area", "cm2",
        "2.5") "</General_wire>"
               "<Harness id=\"harness\">" KBL_RING("X1", "")
                   KBL_RING("X2",
                            "") "<General_wire_occurrence xsi:type=\"kbl:Wire_occurrence\" "
                                "id=\"o1\"><Part>w</Part>"
                                "<Length_information><Length_type>DMU</Length_type>" KBL_VALUE(
                                    "Length_value", "um",
                                    "40") "</Length_information><Wire_number>W1</Wire_number></"
                                          "General_wire_occurrence>" KBL_CONNECTION(
                                              "k1", "o1",
                                              KBL_END("0", "p_X1") KBL_END("1", "p_X2")) "</"
                                                                                         "Harnes"
                                                                                         "s>"
                                                                                         "<Unit "
                                                                                         "id="
                                                                                         "\"cm2"
                                                                                         "\"><"
                                                                                         "Si_"
                                                                                         "unit_"
                                                                                         "name>"
                                                                                         "metre<"
                                                                                         "/Si_"
                                                                                         "unit_"
                                                                                         "name><"
                                                                                         "Si_"
                                                                                         "prefix"
                                                                                         ">centi"
                                                                                         "</"
                                                                                         "Si_"
                                                                                         "prefix"
                                                                                         ">"
                                                                                         "<Si_"
                                                                                         "dimens"
                                                                                         "ion>"
                                                                                         "square"
                                                                                         "</"
                                                                                         "Si_"
                                                                                         "dimens"
                                                                                         "ion></"
                                                                                         "Unit><"
                                                                                         "Unit "
                                                                                         "id="
                                                                                         "\"um\""
                                                                                         "><Si_"
                                                                                         "unit_"
                                                                                         "name>"
                                                                                         "metre"
                                                                                         "</"
                                                                                         "Si_"
                                                                                         "unit_"
                                                                                         "name><"
                                                                                         "Si_"
                                                                                         "prefix"
                                                                                         ">micro"
                                                                                         "</"
                                                                                         "Si_"
                                                                                         "prefix"
                                                                                         "></"
                                                                                         "Unit><"
                                                                                         "/kbl:"
                                                                                         "KBL_"
                                                                                         "contai"
                                                                                         "ner>";
    jv_harness *h = harness_sound(file);
    assert_close(harness_wire(h, "W1")->area_m2, 250e-6, 1e-12, 0.0);
    assert_close(harness_wire(h, "W1")->length_m, 4e-5, 1e-12, 0.0);
    jv_harness_free(&h);
}

static void a_unit_that_does_not_fit_is_refused(void **state) {
    (void)state;
    jv_diags d = {0};
    static const char file[] = KBL_ROOT KBL_HOUSING "<General_wire id=\"w\">" KBL_VALUE(
        "Cross_section_area", "mm",
        "6") "</General_wire><Harness id=\"harness\">" KBL_PLAIN("") "</Harness>" KBL_UNITS
                                                                     "</kbl:KBL_container>";
    assert_int_equal(harness_refused(file, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_UNIT,
                  "the unit is milli metre; an area in square metre is meant");
    assert_string_equal(d.items[0].place.pointer,
                        "/KBL_container/General_wire[w]/Cross_section_area");
    assert_int_equal(d.items[0].place.line, 3);
    jv_diags_clear(&d);
}

static void zero_length_is_unknown_not_short(void **state) {
    (void)state;
    static const char file[] =
        KBL_FILE("",
                 KBL_RING("X1", "") KBL_RING("X2", "") KBL_WIRE("o1", "1", KBL_LENGTH("DMU", "0.0"))
                     KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("1", "p_X2")));
    jv_harness *h = harness_sound(file);
    assert_true(isnan(harness_wire(h, "wire 1")->length_m));
    harness_found(h, JV_CODE_HARNESS_UNSAID, "length 0, which says that it is not known");
    jv_harness_free(&h);
}

static void the_length_that_is_cut_goes_first(void **state) {
    (void)state;
    static const char file[] =
        KBL_FILE("", KBL_RING("X1", "") KBL_RING("X2", "")
                         KBL_WIRE("o1", "1",
                                  KBL_LENGTH("Contract", "4") KBL_LENGTH("DMU", "3")
                                      KBL_LENGTH("Production", "0") KBL_LENGTH("Drawing", "2"))
                             KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("1", "p_X2")));
    jv_harness *h = harness_sound(file); /* Production says 0: nothing; Drawing is next */
    assert_close(harness_wire(h, "wire 1")->length_m, 2e-3, 1e-12, 0.0);
    assert_string_equal(harness_wire(h, "wire 1")->length_kind, "Drawing");
    jv_harness_free(&h);
}

static void a_route_of_another_length_is_told(void **state) {
    (void)state;
    jv_harness *h = own();
    assert_int_equal(harness_found(h, JV_CODE_HARNESS_LENGTH,
                                   "wire \"wire 1\" is 600 mm long (Production) and its route 590"),
                     1);
    assert_int_equal(harness_found(h, JV_CODE_HARNESS_ROUTE, "wire \"wire 4\" has no route"), 3);
    jv_harness_free(&h);
}

static void routes_of_variants_are_not_added_up(void **state) {
    (void)state;
    static const char file[] = KBL_FILE(
        "<Segment id=\"g1\">" KBL_VALUE(
            "Virtual_length", "mm",
            "900") "</Segment><Segment id=\"g2\">" KBL_VALUE("Virtual_length", "mm",
                                                             "1000") "</Segment>"
                                                                     "<Routing><Routed_wire>k1</"
                                                                     "Routed_wire><Segments>g1</"
                                                                     "Segments></Routing>"
                                                                     "<Routing><Routed_wire>k1</"
                                                                     "Routed_wire><Segments>g2</"
                                                                     "Segments></Routing>",
        KBL_PLAIN(""));
    jv_harness *h = harness_sound(file);
    assert_true(isnan(harness_wire(h, "wire 1")->routed_m));
    harness_found(h, JV_CODE_HARNESS_VARIANTS, "k1 has more than one routing");
    jv_harness_free(&h);
}

static void modules_are_all_read_and_told(void **state) {
    (void)state;
    static const char file[] =
        KBL_FILE("", KBL_PLAIN("") "<Module id=\"m1\"><Part_number>1</Part_number></Module>"
                                   "<Module id=\"m2\"><Part_number>2</Part_number></Module>");
    jv_harness *h = harness_sound(file);
    assert_int_equal(harness_found(h, JV_CODE_HARNESS_VARIANTS, "told in 2 modules"), 1);
    jv_harness_free(&h);
}

static void a_ring_says_what_it_is_bolted_to(void **state) {
    (void)state;
    static const char file[] = KBL_FILE(
        "", "<Special_terminal_occurrence id=\"t\"><Id>X9</Id><Description>starter</Description>"
            "</Special_terminal_occurrence><Connector_occurrence id=\"c\"><Id>X9</Id><Usage>ring "
            "terminal</Usage><Part>h</Part><Contact_points id=\"p\"><Associated_parts>seal t"
            "</Associated_parts></Contact_points></Connector_occurrence>");
    jv_harness *h = harness_sound(file);
    assert_string_equal(jv_harness_content(h)->connectors[0].about, "starter");
    assert_int_equal(jv_harness_content(h)->connectors[0].kind, JV_HARNESS_RING);
    jv_harness_free(&h);
}

static void fewer_than_two_ends_are_told(void **state) {
    (void)state;
    static const char file[] =
        KBL_FILE("", KBL_RING("X1", "") KBL_WIRE("o1", "1", KBL_LENGTH("DMU", "7"))
                         KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1"))
                             KBL_WIRE("o2", "2", KBL_LENGTH("DMU", "7")));
    jv_harness *h = harness_sound(file);
    assert_string_equal(harness_point(h, harness_wire(h, "wire 1")->from), "X1.1");
    assert_string_equal(harness_point(h, harness_wire(h, "wire 1")->to), "nowhere");
    harness_found(h, JV_CODE_HARNESS_OPEN, "\"wire 1\" has one end only");
    assert_int_equal(harness_found(h, JV_CODE_HARNESS_OPEN, "\"wire 2\" has no end"), 2);
    jv_harness_free(&h);
}

static void an_unknown_type_is_read_all_the_same(void **state) {
    (void)state;
    static const char file[] = KBL_FILE(
        "",
        KBL_RING("X1", "") KBL_RING(
            "X2",
            "") "<General_wire_occurrence xsi:type=\"kbl:Hollow_occurrence\" id=\"o1\"><Part>w"
                "</Part>" KBL_LENGTH("DMU", "5") "<Wire_number>1</Wire_number>"
                                                 "</General_wire_occurrence>" KBL_CONNECTION(
                                                     "k1", "o1",
                                                     KBL_END("0", "p_X1") KBL_END("1", "p_X2")));
    jv_harness *h = harness_sound(file);
    assert_close(harness_wire(h, "wire 1")->length_m, 5e-3, 1e-12, 0.0);
    harness_found(h, JV_CODE_HARNESS_STRANGE, "type that is not known");
    jv_harness_free(&h);
}

static void the_prefix_of_a_type_is_anybodys(void **state) {
    (void)state;
    static const char file[] =
        "<a:KBL_container xmlns:a=\"http://www.prostep.org/Car_electric_container/KBL2.3/"
        "KBLSchema\" xmlns:i=\"http://www.w3.org/2001/XMLSchema-instance\" version_id=\"2.5\">"
        "<Component i:type=\" a:Fuse \" id=\"f\">" KBL_VALUE(
            "Nominal_current", "A",
            "25") "</Component><Harness><Component_occurrence id=\"o\"><Id>F9</Id><Part>f</Part>"
                  "</Component_occurrence></Harness><Unit "
                  "id=\"A\"><Si_unit_name>ampere</Si_unit_name></Unit>"
                  "</a:KBL_container>";
    jv_harness *h = harness_sound(file); /* 2.5: ampere is an SI name */
    assert_close(harness_fuse(h, "F9")->rating_a, 25.0, 0.0, 0.0);
    harness_found(h, JV_CODE_HARNESS_FUSE, "mounted nowhere");
    jv_harness_free(&h);
}

static void mated_cavities_meet_as_they_say(void **state) {
    (void)state;
    static const char file[] = KBL_FILE(
        "",
        KBL_RING("X1", "") KBL_RING(
            "X2",
            "") "<Connector_occurrence id=\"c3\"><Id>X3</Id><Part>h</Part><Slots id=\"s3\"><Part>hs"
                "</Part><Cavities id=\"v3\"><Mated_cavities>v_X2</Mated_cavities><Part>hc</Part>"
                "</Cavities></Slots></Connector_occurrence>" KBL_WIRE("o1", "1",
                                                                      KBL_LENGTH("DMU", "5"))
                    KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("1", "p_X2")));
    jv_harness *h = harness_sound(file);
    const jv_harness_parts *p = jv_harness_content(h);
    assert_int_equal(p->n_mates, 1);
    assert_string_equal(harness_point(h, p->mates[0].from), "X2.1");
    assert_string_equal(harness_point(h, p->mates[0].to), "X3.1");
    assert_string_equal(p->mates[0].part, "X2 to X3");
    jv_harness_free(&h);
}

static void names_that_stand_twice_are_told_apart(void **state) {
    (void)state;
    static const char file[] = KBL_FILE(
        "",
        KBL_RING("X1", "") KBL_RING(
            "X2",
            "") "<Connector_occurrence id=\"c3\"><Id>X1</Id><Part>h</Part><Contact_points "
                "id=\"p3\"><Contacted_cavity>v3</Contacted_cavity></Contact_points><Slots "
                "id=\"s3\"><Part>hs</Part><Cavities id=\"v3\"><Part>hc</Part></Cavities></Slots>"
                "</Connector_occurrence>" KBL_WIRE("o1", "1", KBL_LENGTH("DMU", "5"))
                    KBL_WIRE("o2", "1", KBL_LENGTH("DMU", "6"))
                        KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("1", "p_X2"))
                            KBL_CONNECTION("k2", "o2", KBL_END("0", "p3") KBL_END("1", "p_X2")));
    jv_harness *h = harness_sound(file);
    assert_string_equal(harness_point(h, harness_wire(h, "wire 1")->from), "X1.1");
    assert_string_equal(harness_point(h, harness_wire(h, "wire 1 (o2)")->from), "X1 (c3).1");
    jv_harness_free(&h);
}

static void a_link_to_nothing_is_refused_with_its_place(void **state) {
    (void)state;
    jv_diags d = {0};
    static const char file[] = KBL_FILE("", KBL_PLAIN(KBL_END("0.5", "p_X7")));
    assert_int_equal(harness_refused(file, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_LINK, "\"p_X7\" is the id of nothing; a Contact_points is");
    assert_string_equal(d.items[0].place.pointer,
                        "/KBL_container/Harness/Connection/Extremities/Contact_point");
    jv_diags_clear(&d);
}

static void a_link_to_another_class_is_refused(void **state) {
    (void)state;
    jv_diags d = {0};
    static const char file[] = KBL_FILE("", KBL_PLAIN(KBL_END("0.5", "mm2")));
    assert_int_equal(harness_refused(file, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_LINK, "\"mm2\" is a Unit");
    jv_diags_clear(&d);
}

static void an_id_twice_is_refused(void **state) {
    (void)state;
    jv_diags d = {0};
    static const char file[] = KBL_FILE("", KBL_PLAIN("") KBL_RING("X1", ""));
    assert_int_equal(harness_refused(file, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_DUPLICATE, "id \"c_X1\" stands twice; first on line");
    jv_diags_clear(&d);
}

static void a_number_that_is_none_is_refused(void **state) {
    (void)state;
    jv_diags d = {0};
    static const char file[] =
        KBL_FILE("",
                 KBL_RING("X1", "") KBL_RING("X2", "") KBL_WIRE("o1", "1", KBL_LENGTH("DMU", "1,5"))
                     KBL_CONNECTION("k1", "o1", KBL_END("0", "p_X1") KBL_END("7", "p_X2")));
    assert_int_equal(harness_refused(file, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_NUMBER, "\"1,5\" is not a number");
    harness_tells(&d, JV_CODE_HARNESS_NUMBER, "position 7 lies outside the wire");
    jv_diags_clear(&d);
}

static void a_file_of_parts_says_what_it_holds(void **state) {
    (void)state;
    jv_diags d = {0};
    static const char file[] =
        KBL_ROOT KBL_HOUSING KBL_GENERAL_WIRE KBL_UNITS "</kbl:KBL_container>";
    assert_int_equal(harness_refused(file, &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_NONE,
                  "no harness found: the file holds 1 Connector_housing, 1 General_wire");
    jv_diags_clear(&d);
}

static void kbl_before_2_3_is_named(void **state) {
    (void)state;
    jv_diags d = {0};
    assert_int_equal(harness_refused("<KBL_schema/>", &d), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_ROOT, "KBL before 2.3");
    jv_diags_clear(&d);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(own_file_gives_its_wires),
        cmocka_unit_test(own_file_gives_fuses_in_their_slots),
        cmocka_unit_test(own_file_gives_connectors_by_use),
        cmocka_unit_test(a_tap_cuts_a_wire_by_its_positions),
        cmocka_unit_test(one_contact_in_two_cavities_is_one_potential),
        cmocka_unit_test(one_contact_may_hold_two_wires),
        cmocka_unit_test(a_squared_prefix_counts_twice),
        cmocka_unit_test(a_unit_that_does_not_fit_is_refused),
        cmocka_unit_test(zero_length_is_unknown_not_short),
        cmocka_unit_test(the_length_that_is_cut_goes_first),
        cmocka_unit_test(a_route_of_another_length_is_told),
        cmocka_unit_test(routes_of_variants_are_not_added_up),
        cmocka_unit_test(modules_are_all_read_and_told),
        cmocka_unit_test(a_ring_says_what_it_is_bolted_to),
        cmocka_unit_test(fewer_than_two_ends_are_told),
        cmocka_unit_test(an_unknown_type_is_read_all_the_same),
        cmocka_unit_test(the_prefix_of_a_type_is_anybodys),
        cmocka_unit_test(mated_cavities_meet_as_they_say),
        cmocka_unit_test(names_that_stand_twice_are_told_apart),
        cmocka_unit_test(a_link_to_nothing_is_refused_with_its_place),
        cmocka_unit_test(a_link_to_another_class_is_refused),
        cmocka_unit_test(an_id_twice_is_refused),
        cmocka_unit_test(a_number_that_is_none_is_refused),
        cmocka_unit_test(a_file_of_parts_says_what_it_holds),
        cmocka_unit_test(kbl_before_2_3_is_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
