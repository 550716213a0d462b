/* test_review_memory.c - review and sizing when memory runs short. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/read.h"
#include "jackvolt/render.h"
#include "jackvolt/review.h"
#include "jackvolt/size.h"
#include "tests/support/failing.h"

static const char text[] =
    "{\"circuit\": \"small\", \"parts\": {"
    "\"battery\": {\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", \"open_circuit\": "
    "\"12.6 V\", "
    "\"resistance\": \"6 mohm .. 9 mohm\"},"
    "\"fuse\": {\"is\": \"fuse\", \"a\": \"p\", \"b\": \"f\", \"rating\": \"30 A\", \"style\": "
    "\"blade E\"},"
    "\"feed\": {\"is\": \"cable\", \"a\": \"f\", \"b\": \"x\", \"size\": \"4 AWG\", \"length\": "
    "\"5 m\", "
    "\"insulation\": \"SGX\"},"
    "\"return\": {\"is\": \"cable\", \"a\": \"y\", \"b\": \"m\", \"size\": \"4 AWG\", \"length\": "
    "\"5 m\", "
    "\"insulation\": \"SGX\", \"metal\": \"aluminium\"},"
    "\"jack\": {\"is\": \"jack\", \"plus\": \"x\", \"minus\": \"y\", \"rated_force\": \"2000 "
    "lbf\", "
    "\"rated_current\": \"24 A\", \"no_load_current\": \"4 A\", \"stall_current\": \"90 A\"}},"
    "\"watches\": {\"low\": {\"at\": [\"x\", \"y\"], \"below\": \"10 V\"}},"
    "\"cases\": {\"lift\": {\"lift\": {\"jack\": \"24 A\"}}}, \"waive\": {\"metal at return\": {"
    "\"reason\": \"stock\", \"name\": \"harness desk\", \"date\": \"2026-11-25\"}}}";

static jv_circuit *read_circuit(void) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    assert_int_equal(jv_circuit_read_text(text, strlen(text), "small", NULL, &d, &c), JV_OK);
    jv_diags_clear(&d);
    return c;
}

static jv_status review_once(const jv_circuit *c) {
    jv_review *r = NULL;
    jv_review_entry e = {.path = "small.json"};
    jv_review_batch b = {&e, 1};
    jv_text t = {0};
    jv_status status = jv_review_run(c, &r);
    e.review = r;
    if (status == JV_OK) {
        jv_style style = {0};
        jv_review_text(r, &style, &t);
        status = t.failed ? JV_ERR_MEMORY : JV_OK;
    }
    if (status == JV_OK)
        status = jv_review_batch_json(&b, &t);
    if (status == JV_OK)
        status = jv_review_batch_sarif(&b, &t);
    jv_review_free(&r);
    jv_text_clear(&t);
    return status;
}

static jv_status size_once(const jv_circuit *c) {
    jv_sizing *s = NULL;
    jv_diags d = {0};
    jv_text t = {0};
    jv_status status = jv_size_find(c, NULL, &d, &s);
    if (status == JV_OK) {
        jv_style style = {0};
        jv_size_text(s, &style, &t);
        status = t.failed ? JV_ERR_MEMORY : jv_size_json(s, &t);
    }
    jv_sizing_free(&s);
    jv_diags_clear(&d);
    jv_text_clear(&t);
    return status;
}

/* The n-th allocation and all behind it fail: an error comes back and nothing is left behind. n
 * runs through the first ones one by one, then in growing steps. */
static void fail_each(jv_status (*once)(const jv_circuit *)) {
    jv_circuit *c = read_circuit();
    failing_start(0);
    assert_int_equal(once(c), JV_OK);
    size_t all = failing_calls();
    assert_int_equal(failing_blocks(), 0);
    failing_stop();
    assert_true(all > 100);
    for (size_t n = 1; n <= all; n += 1 + n / 24) {
        failing_start(n);
        assert_int_equal(once(c), JV_ERR_MEMORY);
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
    }
    jv_circuit_free(&c);
}

static void review_survives_short_memory(void **state) {
    (void)state;
    fail_each(review_once);
}
static void sizing_survives_short_memory(void **state) {
    (void)state;
    fail_each(size_once);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(review_survives_short_memory),
        cmocka_unit_test(sizing_survives_short_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
