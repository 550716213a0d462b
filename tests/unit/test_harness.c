/* test_harness.c - safe reading of harness files; public samples where they are at hand.
 * SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <cmocka.h>

#include "read/kbl.h"
#include "read/xml_tree.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"
#include "tests/support/harness_text.h"

static const char plain[] = KBL_FILE("", KBL_PLAIN(""));

static void refused(const char *text, jv_code code, const char *words) {
    jv_diags d = {0};
    assert_int_equal(harness_refused(text, &d), JV_ERR_INPUT);
    harness_tells(&d, code, words);
    assert_int_equal(d.errors, 1); /* one thing is wrong, so one thing is told */
    assert_true(d.items[0].place.line > 0);
    jv_diags_clear(&d);
}

static void entities_that_multiply_are_refused(void **state) {
    (void)state;
    refused("<?xml version=\"1.0\"?>\n<!DOCTYPE a [<!ENTITY a \"ha\">\n<!ENTITY b \"&a;&a;&a;&a;\">"
            "<!ENTITY c \"&b;&b;&b;&b;\">]>\n<KBL_container>&c;</KBL_container>",
            JV_CODE_HARNESS_DOCTYPE, "document type declaration is not read");
}

static void other_files_are_not_opened(void **state) {
    (void)state;
    refused("<!DOCTYPE a [<!ENTITY x SYSTEM \"file:///etc/hostname\">]><KBL_container>&x;"
            "</KBL_container>",
            JV_CODE_HARNESS_DOCTYPE, "name other files");
    refused("<!DOCTYPE KBL_container SYSTEM \"http://127.0.0.1/x.dtd\"><KBL_container/>",
            JV_CODE_HARNESS_DOCTYPE, "name other files");
    refused("<KBL_container><Harness>&x;</Harness></KBL_container>", JV_CODE_HARNESS_XML,
            "Entity 'x' not defined");
}

static void deep_nesting_is_refused(void **state) {
    (void)state;
    enum { LEVELS = 100000 };
    jv_text t = {0};
    jv_text_add(&t, "<KBL_container>");
    jv_text_repeat(&t, "<a>", LEVELS);
    refused(jv_text_str(&t), JV_CODE_HARNESS_DEPTH, "more than 64 levels");
    jv_text_clear(&t);
}

static void a_huge_text_is_refused(void **state) {
    (void)state;
    jv_text t = {0};
    jv_text_add(&t, "<KBL_container><Harness><Description>");
    jv_text_repeat(&t, "0123456789abcdef", (JV_HARNESS_TEXT >> 4) + 1);
    jv_text_add(&t, "</Description></Harness></KBL_container>");
    refused(jv_text_str(&t), JV_CODE_HARNESS_LARGE, "1048576 bytes");
    jv_text_clear(&t);
}

/* The limit itself takes more memory than a test should: a smaller one is set. */
static void too_many_elements_are_refused(void **state) {
    (void)state;
    static const jv_xml_form *const forms[] = {&jv_kbl_form};
    /* Elements of `plain` that the form keeps are told by a first reading. */
    jv_xml whole = {0}, cut = {0};
    jv_diags d = {0};
    assert_int_equal(jv_xml_read_text(plain, sizeof plain - 1, "h", forms, 1, &d, &whole), JV_OK);
    assert_true(whole.n_nodes > 20 && d.count == 0);
    for (size_t short_by = 0; short_by < 2; short_by++) {
        cut.most_nodes = whole.n_nodes - short_by;
        assert_int_equal(jv_xml_read_text(plain, sizeof plain - 1, "h", forms, 1, &d, &cut),
                         short_by ? JV_ERR_INPUT : JV_OK);
        jv_xml_clear(&cut);
    }
    harness_tells(&d, JV_CODE_HARNESS_LARGE, "more elements than the");
    assert_int_equal(d.errors, 1);
    jv_xml_clear(&whole);
    jv_diags_clear(&d);
}

/* A file with a hole of more than the limit takes no room. */
static void a_file_that_is_too_large_is_refused_unread(void **state) {
    (void)state;
    FILE *file = tmpfile();
    assert_non_null(file);
    int fd = fileno(file);
    char name[40];
    snprintf(name, sizeof name, "/dev/fd/%d", fd);
    assert_int_equal(ftruncate(fd, (off_t)JV_HARNESS_BYTES + 1), 0);
    jv_diags d = {0};
    jv_harness *h = NULL;
    assert_int_equal(jv_harness_read_file(name, &d, &h), JV_ERR_SYSTEM);
    assert_null(h);
    harness_tells(&d, JV_CODE_FILE_TOO_LARGE, "more than the 1073741824 bytes");
    /* At the limit it is read, and is no XML. */
    jv_diags_clear(&d);
    assert_int_equal(ftruncate(fd, (off_t)JV_HARNESS_BYTES), 0);
    assert_int_equal(jv_harness_read_file(name, &d, &h), JV_ERR_INPUT);
    harness_tells(&d, JV_CODE_HARNESS_XML, "not well-formed XML");
    fclose(file);
    jv_diags_clear(&d);
}

static void what_is_no_xml_is_refused(void **state) {
    (void)state;
    refused("", JV_CODE_HARNESS_XML, "not well-formed XML");
    refused("{\"circuit\": \"x\"}", JV_CODE_HARNESS_XML, "not well-formed XML");
    refused("<KBL_container><Harness></KBL_container>", JV_CODE_HARNESS_XML, "Harness");
    refused("<html><body/></html>", JV_CODE_HARNESS_ROOT, "the root element is <html>");
    jv_text t = {0}; /* a file that was cut off */
    jv_text_add_n(&t, plain, sizeof plain / 2);
    refused(jv_text_str(&t), JV_CODE_HARNESS_XML, "not well-formed XML");
    jv_text_clear(&t);
}

static void character_references_and_cdata_are_texts(void **state) {
    (void)state;
    static const char file[] =
        KBL_FILE("", "<Connector_occurrence id=\"a\"><Id>X&amp;1 &lt; &#x32;</Id><Description>"
                     "<![CDATA[a<b]]> c</Description></Connector_occurrence>");
    jv_harness *h = harness_sound(file);
    const jv_harness_parts *p = jv_harness_content(h);
    assert_string_equal(p->connectors[0].name, "X&1 < 2");
    assert_string_equal(p->connectors[0].about, "a<b c");
    jv_harness_free(&h);
}

static void a_missing_file_is_told(void **state) {
    (void)state;
    jv_diags d = {0};
    jv_harness *h = NULL;
    assert_int_equal(jv_harness_read_file("tests/harness/nothing.kbl", &d, &h), JV_ERR_SYSTEM);
    assert_int_equal(d.items[0].code, JV_CODE_FILE_MISSING);
    assert_int_equal(jv_harness_read_file("tests/harness", &d, &h), JV_ERR_SYSTEM);
    assert_int_equal(d.items[1].code, JV_CODE_FILE_DIRECTORY);
    assert_null(h);
    jv_diags_clear(&d);
}

/* The n-th allocation fails, for every n: a clean answer, and nothing is lost. */
static void each_failed_allocation_is_a_clean_error(void **state) {
    (void)state;
    static const char *const files[] = {"tests/harness/rear-jacks.kbl",
                                        "tests/harness/feed-and-sensor.vec"};
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        failing_start(0);
        jv_diags d = {0};
        jv_harness *h = NULL;
        assert_int_equal(jv_harness_read_file(files[i], &d, &h), JV_OK);
        jv_harness_free(&h);
        size_t all = failing_calls();
        assert_int_equal(failing_blocks(), 0);
        assert_true(all > 20);
        for (size_t n = 1; n <= all; n++) {
            failing_start(n);
            assert_int_equal(jv_harness_read_file(files[i], &d, &h), JV_ERR_MEMORY);
            assert_null(h);
            jv_diags_clear(&d);
            assert_int_equal(failing_blocks(), 0);
        }
        failing_stop();
    }
}

/* Figures that the published sample files print, where they are at hand: JV_HARNESS_SAMPLES
 * names their directory. They are not part of this project. */
typedef struct sample_wire {
    const char *name, *from, *to, *colour;
    double mm2, mm, route_mm;
} sample_wire;

static jv_harness *sample(const char *name) {
    jv_text path = {0};
    jv_diags d = {0};
    jv_harness *h = NULL;
    jv_text_addf(&path, "%s/%s", getenv("JV_HARNESS_SAMPLES"), name);
    assert_int_equal(jv_harness_read_file(jv_text_str(&path), &d, &h), JV_OK);
    assert_int_equal(d.count, 0);
    jv_text_clear(&path);
    return h;
}

static void check_wires(const jv_harness *h, const sample_wire *wires, size_t n) {
    assert_int_equal(jv_harness_content(h)->n_wires, n);
    for (size_t i = 0; i < n; i++) {
        const jv_harness_wire *w = harness_wire(h, wires[i].name);
        assert_string_equal(harness_point(h, w->from), wires[i].from);
        assert_string_equal(harness_point(h, w->to), wires[i].to);
        assert_string_equal(w->colour, wires[i].colour);
        assert_string_equal(w->length_kind, "DMU");
        assert_close(w->area_m2, wires[i].mm2 * 1e-6, 1e-12, 0.0);
        assert_close(w->length_m, wires[i].mm * 1e-3, 1e-12, 0.0);
        assert_close(w->routed_m, wires[i].route_mm * 1e-3, 1e-9, 0.0);
        assert_true(fabs(w->length_m - w->routed_m) < 0.03e-3); /* as the notes on them say */
    }
}

static void sample_of_one_battery_cable(void **state) {
    (void)state;
    static const sample_wire wires[] = {
        {"wire 1", "XA.A.1.Last.1", "XB.B.1.1", "sw", 25, 1082.07, 1082.076241}};
    jv_harness *h = sample("battery_plus_kbl23sr1.kbl");
    check_wires(h, wires, sizeof wires / sizeof wires[0]);
    assert_int_equal(jv_harness_content(h)->connectors[0].kind, JV_HARNESS_RING);
    assert_string_equal(jv_harness_content(h)->connectors[0].about, "Anlasser");
    jv_harness_free(&h);
}

static void sample_of_a_generator_harness(void **state) {
    (void)state;
    static const sample_wire wires[] = {
        {"wire 1", "TMM.2A1.3", "XA.C.1.2", "sw/vi", 0.5, 261.31, 261.319438},
        {"wire 2", "XB.C.1.1", "TMM.2A1.2", "rt/ge", 0.5, 321.1, 321.110711},
        {"wire 3", "XB.C.1.1", "TMM.2A1.1", "rt/ws", 6, 321.1, 321.110711}};
    jv_harness *h = sample("generator_kbl23sr1.kbl");
    check_wires(h, wires, sizeof wires / sizeof wires[0]);
    /* One contact point of the ring terminal holds two wires. */
    assert_int_equal(harness_wire(h, "wire 2")->from, harness_wire(h, "wire 3")->from);
    jv_harness_free(&h);
}

static void sample_of_a_fuse_box(void **state) {
    (void)state;
    static const sample_wire wires[] = {
        {"wire 1", "XA.L2.1.6", "D50.1", "bl", 0.5, 325.29, 325.304526},
        {"wire 2", "D50.1", "XA.L1.1.5", "ws/gn", 0.5, 338.74, 338.752082},
        {"wire 3", "XG.SR1.1.1A", "XB.V454.1.1", "rt", 12, 1030.89, 1030.913632},
        {"wire 4", "W8.1", "XA.V86.1.2", "br", 10, 316.62, 316.634847},
        {"wire 5", "XF.SR1.1.1A", "XA.Z1.1.1", "br", 10, 1209.79, 1209.804799},
        {"wire 6", "XJ.SR1.1.J.4", "D50.1", "ws/bl", 0.5, 1031.33, 1031.345413},
        {"wire 7", "W8.1", "XH.SR1.1.1A", "br", 10, 973.12, 973.133506},
        {"wire 8", "XD.SR1.1.1A", "XA.V64.1.2", "sw", 16, 1143.21, 1143.227619},
        {"wire 9", "W8.1", "XB.V454.1.2", "rt/sw", 10, 292.98, 292.995915},
        {"wire 100", "XA.SR1.1.1", "XA.A.1.1", "br", 35, 1206.89, 1206.899494}};
    static const struct {
        const char *name, *place;
        double amps;
    } fuses[] = {{"MF1_F1", "XJ.SR1.1.F1", 150},   {"MF1_F2", "XJ.SR1.1.F2", 110},
                 {"MF1_F3", "XJ.SR1.1.F3", 80},    {"MF1_F4", "XJ.SR1.1.F4", 40},
                 {"MF1_F5", "XJ.SR1.1.F5", 50},    {"MF1_F6", "XJ.SR1.1.F6", 60},
                 {"SR1.1_FS4", "XJ.SR1.1.FS4", 25}};
    enum { FUSES = sizeof fuses / sizeof fuses[0] };
    jv_harness *h = sample("fuse_box_kbl24.kbl");
    const jv_harness_parts *p = jv_harness_content(h);
    check_wires(h, wires, sizeof wires / sizeof wires[0]);
    assert_int_equal(p->n_fuses, FUSES); /* not the six templates again */
    for (size_t i = 0; i < FUSES; i++) {
        assert_close(harness_fuse(h, fuses[i].name)->rating_a, fuses[i].amps, 0.0, 0.0);
        assert_string_equal(harness_fuse(h, fuses[i].name)->place, fuses[i].place);
    }
    size_t splices = 0;
    for (size_t i = 0; i < p->n_connectors; i++) {
        splices += p->connectors[i].kind == JV_HARNESS_SPLICE;
    }
    assert_int_equal(splices, 2);
    assert_int_equal(p->n_mates, 5); /* five ring terminals sit on bolts of the box */
    jv_harness_free(&h);
}

static void sample_of_a_topology_without_lengths(void **state) {
    (void)state;
    static const struct {
        const char *name, *from, *to;
    } wires[] = {{"W1", "A1.1", "A2.1"}, {"W2", "A1.1", "A3.1"}, {"W3", "A1.1", "A2.1"}};
    jv_harness *h = sample("routing_examples_vec210.vec");
    assert_int_equal(jv_harness_content(h)->n_wires, 3);
    for (size_t i = 0; i < 3; i++) {
        const jv_harness_wire *w = harness_wire(h, wires[i].name);
        assert_string_equal(harness_point(h, w->from), wires[i].from);
        assert_string_equal(harness_point(h, w->to), wires[i].to);
        assert_string_equal(w->colour, "BL");
        assert_close(w->area_m2, 0.5e-6, 1e-12, 0.0);
        assert_true(isnan(w->length_m) && isnan(w->routed_m));
    }
    harness_found(h, JV_CODE_HARNESS_VARIANTS, "more than one routing"); /* W2 of two variants */
    jv_harness_free(&h);
}

static void samples_of_part_masters(void **state) {
    (void)state;
    static const char *const names[] = {"housing_cap_vec200.vec", "multicore_wire_vec120.vec"};
    for (size_t i = 0; i < 2; i++) {
        jv_text path = {0};
        jv_diags d = {0};
        jv_harness *h = NULL;
        jv_text_addf(&path, "%s/%s", getenv("JV_HARNESS_SAMPLES"), names[i]);
        assert_int_equal(jv_harness_read_file(jv_text_str(&path), &d, &h), JV_ERR_INPUT);
        harness_tells(&d, JV_CODE_HARNESS_NONE, "no harness found: the file describes 1 part");
        assert_int_equal(d.errors, 1);
        jv_text_clear(&path);
        jv_diags_clear(&d);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(entities_that_multiply_are_refused),
        cmocka_unit_test(other_files_are_not_opened),
        cmocka_unit_test(deep_nesting_is_refused),
        cmocka_unit_test(a_huge_text_is_refused),
        cmocka_unit_test(too_many_elements_are_refused),
        cmocka_unit_test(a_file_that_is_too_large_is_refused_unread),
        cmocka_unit_test(what_is_no_xml_is_refused),
        cmocka_unit_test(character_references_and_cdata_are_texts),
        cmocka_unit_test(a_missing_file_is_told),
        cmocka_unit_test(each_failed_allocation_is_a_clean_error),
    };
    const struct CMUnitTest samples[] = {
        cmocka_unit_test(sample_of_one_battery_cable),
        cmocka_unit_test(sample_of_a_generator_harness),
        cmocka_unit_test(sample_of_a_fuse_box),
        cmocka_unit_test(sample_of_a_topology_without_lengths),
        cmocka_unit_test(samples_of_part_masters),
    };
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    if (getenv("JV_HARNESS_SAMPLES") != NULL) {
        failed += cmocka_run_group_tests(samples, NULL, NULL);
    }
    return failed;
}
