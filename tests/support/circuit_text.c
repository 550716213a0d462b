/* circuit_text.c - circuit files written in a test. SPDX-License-Identifier: MIT */
#include "circuit_text.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

#include "circuit/part_kind.h"

const char example[] =
    "{\n"
    "  \"circuit\": \"small trailer, two rear jacks\",\n"
    "  \"ambient\": \"20 degC\",\n"
    "  \"parts\": {\n"
    "    \"house battery\": {\"is\": \"battery\", \"plus\": \"post+\", \"minus\": \"post-\",\n"
    "                      \"chemistry\": \"flooded\", \"capacity\": \"100 Ah\",\n"
    "                      \"charge\": \"65 % .. 95 %\"},\n"
    "    \"main fuse\": {\"is\": \"fuse\", \"a\": \"post+\", \"b\": \"feed.in\", \"rating\": \"60 "
    "A\",\n"
    "                  \"style\": \"blade F\"},\n"
    "    \"feed\": {\"is\": \"cable\", \"a\": \"feed.in\", \"b\": \"ctl+\", \"size\": \"6 AWG\",\n"
    "             \"length\": \"22 ft\", \"insulation\": \"SGX\"},\n"
    "    \"return\": {\"is\": \"cable\", \"a\": \"ctl-\", \"b\": \"post-\", \"size\": \"6 AWG\",\n"
    "               \"length\": \"22 ft\"},\n"
    "    \"left jack\": {\"is\": \"jack\", \"plus\": \"ctl+\", \"minus\": \"ctl-\",\n"
    "                  \"rated_force\": \"2000 lbf\", \"rated_current\": \"28 A\",\n"
    "                  \"no_load_current\": \"6 A\", \"stall_current\": \"90 A\"}\n"
    "  },\n"
    "  \"watches\": {\n"
    "    \"low-voltage stop\": {\"at\": [\"ctl+\", \"ctl-\"], \"below\": \"10.0 V\",\n"
    "                         \"held_for\": \"200 ms\", \"while\": \"running\", \"then\": \"stop "
    "all\"}\n"
    "  },\n"
    "  \"cases\": {\n"
    "    \"lifting\": {\"lift\": {\"left jack\": \"24 A\"}}\n"
    "  }\n"
    "}\n";

jv_status read_with(const char *text, const char *const *sets, size_t n_sets, jv_diags *d,
                    jv_circuit **out) {
    jv_read_options options = {sets, n_sets};
    return jv_circuit_read_text(text, strlen(text), "c.json", &options, d, out);
}

jv_circuit *sound(const char *text, const char *const *sets, size_t n_sets) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_status status = read_with(text, sets, n_sets, &d, &c);
    if (status != JV_OK) {
        jv_text out = {0};
        jv_diags_print(&d, &out);
        print_error("%s\n", jv_text_str(&out));
        jv_text_clear(&out);
    }
    jv_diags_clear(&d);
    assert_int_equal(status, JV_OK);
    return c;
}

const jv_slot *slot_of(const jv_circuit *c, const char *part, const char *key) {
    int32_t index = jv_circuit_find_part(c, part);
    assert_true(index >= 0);
    const jv_part *p = &c->parts[index];
    for (unsigned k = 0; k < p->kind->n_keys; k++) {
        if (strcmp(p->kind->keys[k].name, key) == 0) {
            return jv_part_slot(c, p, k);
        }
    }
    fail_msg("%s has no key %s", part, key);
    return NULL;
}

double value_of(const jv_circuit *c, const char *part, const char *key) {
    const jv_slot *s = slot_of(c, part, key);
    assert_non_null(s);
    return s->value.nominal;
}

size_t faults_of(const char *text, const char *const *sets, size_t n_sets, jv_diags *d) {
    jv_circuit *c = (jv_circuit *)d; /* must stay as it is */
    assert_int_equal(read_with(text, sets, n_sets, d, &c), JV_ERR_INPUT);
    assert_ptr_equal(c, d);
    return d->errors;
}
