/* review_circuit.c - a small sound circuit for tests of review. SPDX-License-Identifier: MIT */
#include "tests/support/review_circuit.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "jackvolt/read.h"

const char review_waivers[] = ", \"waive\": {\"metal at feed\": {\"reason\": \"stock on the "
                              "shelf\", \"name\": \"harness desk\", "
                              "\"date\": \"2026-11-25\"}, \"metal at return\": {\"reason\": "
                              "\"none\", \"name\": \"harness desk\", "
                              "\"date\": \"2026-11-25\"}, \"no-such-rule\": {\"reason\": \"none\", "
                              "\"name\": \"harness desk\", "
                              "\"date\": \"2026-11-25\"}}";

/* A sound circuit: one jack, fuse at the post, cable out and back. `%s` are more parts and more
 * sections of the file. */
static const char sound[] =
    "{\"circuit\": \"sound\", \"revision\": \"C\", \"parts\": {"
    "\"battery\": {\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", \"open_circuit\": "
    "\"12.6 V\", \"resistance\": \"8 mohm\"},"
    "\"fuse\": {\"is\": \"fuse\", \"a\": \"p\", \"b\": \"f\", \"rating\": \"40 A\", \"style\": "
    "\"blade "
    "E\"},"
    "\"feed\": {\"is\": \"cable\", \"a\": \"f\", \"b\": \"x\", \"size\": \"4 AWG\", \"length\": "
    "\"5 m\", \"insulation\": \"SGX\"},"
    "\"return\": {\"is\": \"cable\", \"a\": \"y\", \"b\": \"m\", \"size\": \"4 AWG\", \"length\": "
    "\"5 m\", \"insulation\": \"SGX\"},"
    "\"jack\": {\"is\": \"jack\", \"plus\": \"x\", \"minus\": \"y\", \"rated_force\": \"2000 "
    "lbf\", "
    "\"rated_current\": \"24 A\", \"no_load_current\": \"4 A\", \"stall_current\": \"90 A\"}%s},"
    "\"watches\": {\"low\": {\"at\": [\"x\", \"y\"], \"below\": \"10 V\"}},"
    "\"cases\": {\"lift\": {\"lift\": {\"jack\": \"24 A\"}}}%s}";

jv_circuit *review_circuit(const char *parts, const char *sections, const char *const *sets,
                           size_t n_sets) {
    jv_text j = {0};
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_text_addf(&j, sound, parts, sections);
    const jv_read_options how = {sets, n_sets};
    jv_status status = jv_circuit_read_text(jv_text_str(&j), j.length, "sound.json", &how, &d, &c);
    if (status != JV_OK) {
        jv_text t = {0};
        jv_diags_print(&d, &t);
        print_error("%s\n", jv_text_str(&t));
        jv_text_clear(&t);
    }
    assert_int_equal(status, JV_OK);
    jv_text_clear(&j);
    jv_diags_clear(&d);
    return c;
}
