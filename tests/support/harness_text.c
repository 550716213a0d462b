/* harness_text.c - small harness files written in a test. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

#include "tests/support/harness_text.h"

static void show(const jv_diags *d) {
    jv_text text = {0};
    jv_diags_print(d, &text);
    print_message("%s", jv_text_str(&text));
    jv_text_clear(&text);
}

jv_harness *harness_sound(const char *text) {
    jv_diags d = {0};
    jv_harness *h = NULL;
    jv_status status = jv_harness_read_text(text, strlen(text), "test.xml", &d, &h);
    if (status != JV_OK) {
        show(&d);
    }
    assert_int_equal(status, JV_OK);
    assert_int_equal(d.errors, 0);
    jv_diags_clear(&d);
    return h;
}

jv_status harness_refused(const char *text, jv_diags *d) {
    jv_harness *h = NULL;
    jv_status status = jv_harness_read_text(text, strlen(text), "test.xml", d, &h);
    assert_null(h);
    return status;
}

void harness_tells(const jv_diags *d, jv_code code, const char *words) {
    for (size_t i = 0; i < d->count; i++) {
        if (d->items[i].code == code && strstr(d->items[i].message, words) != NULL) {
            assert_non_null(d->items[i].place.file);
            return;
        }
    }
    show(d);
    fail_msg("no fault %d holds \"%s\"", (int)code, words);
}

size_t harness_found(const jv_harness *h, jv_code code, const char *words) {
    const jv_harness_parts *p = jv_harness_content(h);
    size_t n = 0;
    bool told = false;
    for (size_t i = 0; i < p->n_findings; i++) {
        n += p->findings[i].code == code;
        told = told || (p->findings[i].code == code && strstr(p->findings[i].text, words) != NULL);
    }
    if (!told) {
        for (size_t i = 0; i < p->n_findings; i++) {
            print_message("W%d %s\n", (int)p->findings[i].code, p->findings[i].text);
        }
        fail_msg("no finding %d holds \"%s\"", (int)code, words);
    }
    return n;
}

const jv_harness_wire *harness_wire(const jv_harness *h, const char *name) {
    const jv_harness_parts *p = jv_harness_content(h);
    for (size_t i = 0; i < p->n_wires; i++) {
        if (strcmp(p->wires[i].name, name) == 0) {
            return &p->wires[i];
        }
    }
    fail_msg("no wire \"%s\"", name);
    return NULL;
}

const jv_harness_fuse *harness_fuse(const jv_harness *h, const char *name) {
    const jv_harness_parts *p = jv_harness_content(h);
    for (size_t i = 0; i < p->n_fuses; i++) {
        if (strcmp(p->fuses[i].name, name) == 0) {
            return &p->fuses[i];
        }
    }
    fail_msg("no fuse \"%s\"", name);
    return NULL;
}

const char *harness_point(const jv_harness *h, size_t point) {
    return point != JV_HARNESS_NONE ? jv_harness_content(h)->points[point].name : "nowhere";
}

size_t harness_skipped(const jv_harness *h, const char *kind) {
    const jv_harness_parts *p = jv_harness_content(h);
    for (size_t i = 0; i < p->n_skips; i++) {
        if (strcmp(p->skips[i].kind, kind) == 0) {
            return p->skips[i].count;
        }
    }
    return 0;
}
