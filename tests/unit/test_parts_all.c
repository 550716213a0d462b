/* test_parts_all.c - what holds for every kind of part. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/kinds.h"
#include "circuit/parts/fuse.h"
#include "tests/support/build.h"
#include "tests/support/failing.h"

static void both_ends_at_one_terminal_is_refused(void **state) {
    (void)state;
    jv_circuit *c = build_circuit();
    build_between(c, "switch", "s", "x", "x");
    build_close(c);
    build_between(c, "switch", "t", "x", "y");
    build_close(c);
    jv_diags d = {0};
    jv_circuit_finish(c, &d);
    assert_int_equal(build_count(&d, JV_CODE_SHORTED_PART), 1);
    jv_diags_clear(&d);
    jv_circuit_free(&c);
}

static void memory_that_runs_short_is_noticed(void **state) {
    (void)state;
    static const size_t enough = 40;
    bool done = false;
    for (size_t n = 1; n <= enough && !done; n++) {
        failing_start(n);
        jv_circuit *c = jv_circuit_new();
        if (c && jv_circuit_add_part(c, &jv_kind_fuse, "F1")) {
            jv_slot *rating = jv_circuit_add_slot(c, JV_FUSE_RATING);
            if (rating) {
                rating->value = jv_value_exact(30.0);
                jv_circuit_close_part(c);
                done = !c->out_of_memory;
                assert_true(c->out_of_memory || jv_part_has(c, &c->parts[0], JV_FUSE_RESISTANCE));
            }
        }
        jv_circuit_free(&c);
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
    }
    assert_true(done);
}

static void every_fallback_reads_as_its_dimension(void **state) {
    (void)state;
    for (size_t i = 0; i < jv_kinds_count; i++)
        for (size_t k = 0; k < jv_kinds[i]->n_keys; k++) {
            const jv_key *key = &jv_kinds[i]->keys[k];
            if (!key->fallback) {
                assert_null(key->basis);
                continue;
            }
            jv_value v;
            jv_quantity_fault why = {0};
            if (key->type == JV_KEY_QUANTITY &&
                jv_quantity_read(key->fallback, key->dim, &v, &why) != JV_OK)
                fail_msg("%s.%s: \"%s\": %s", jv_kinds[i]->name, key->name, key->fallback,
                         why.message);
            if (!key->basis || !key->basis[0])
                fail_msg("%s.%s: a fallback without a basis", jv_kinds[i]->name, key->name);
        }
}

static void names_are_unique_and_explained(void **state) {
    (void)state;
    for (size_t i = 0; i < jv_kinds_count; i++) {
        const jv_part_kind *kind = jv_kinds[i];
        assert_ptr_equal(jv_kind_find(kind->name), kind);
        assert_non_null(kind->summary);
        assert_non_null(kind->connect);
        assert_non_null(kind->load);
        for (size_t k = 0; k < kind->n_keys; k++) {
            assert_non_null(kind->keys[k].help);
            assert_int_equal(kind->keys[k].type == JV_KEY_WORD, kind->keys[k].choices != NULL);
            for (size_t m = 0; m < k; m++)
                if (strcmp(kind->keys[k].name, kind->keys[m].name) == 0)
                    fail_msg("%s has key \"%s\" twice", kind->name, kind->keys[k].name);
        }
    }
}

/* The first two keys of the kinds that have two ends, as the circuit and the drop rely on. */
static const struct ends {
    const char *kind, *first, *second;
} ends[] = {
    {"battery", "plus", "minus"}, {"supply", "plus", "minus"},
    {"cable", "a", "b"},          {"lead", "a", "b"},
    {"contact", "a", "b"},        {"fuse", "a", "b"},
    {"breaker", "a", "b"},        {"switch", "a", "b"},
    {"relay", "a", "b"},          {"controller", "plus", "minus"},
    {"jack", "plus", "minus"},    {"pump", "plus", "minus"},
    {"load", "plus", "minus"},    {"sensor_supply", "in", "minus"},
    {"hall", "supply", "minus"},
};

static void first_two_keys_are_the_ends(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
        const jv_part_kind *kind = jv_kind_find(ends[i].kind);
        assert_non_null(kind);
        assert_string_equal(kind->keys[0].name, ends[i].first);
        assert_string_equal(kind->keys[1].name, ends[i].second);
        assert_int_equal(kind->keys[0].type, JV_KEY_TERMINAL);
        assert_int_equal(kind->keys[1].type, JV_KEY_TERMINAL);
    }
    assert_int_equal(jv_kind_frame.keys[0].type, JV_KEY_POINTS);
    assert_int_equal(jv_kind_connector.keys[0].type, JV_KEY_PINS);
    assert_int_equal(jv_kinds_count, sizeof ends / sizeof ends[0] + 2);
}

static void failures_are_complete(void **state) {
    (void)state;
    for (size_t i = 0; i < jv_kinds_count; i++)
        for (size_t k = 0; k < jv_kinds[i]->n_failures; k++) {
            const jv_failure *f = &jv_kinds[i]->failures[k];
            if (!f->words || !f->repair || !f->basis || !(f->weight > 0) || !(f->minutes > 0))
                fail_msg("%s: failure %d is not complete", jv_kinds[i]->name, (int)k);
            if (f->low > f->high || (f->low == 0 && f->high != 0))
                fail_msg("%s: %s: a severity that cannot be drawn", jv_kinds[i]->name, f->words);
            /* The priors of all kinds are shares of the complaints: none is above 1. */
            if (f->weight > 1)
                fail_msg("%s: %s: weight %g", jv_kinds[i]->name, f->words, f->weight);
            for (size_t m = 0; m < k; m++)
                assert_string_not_equal(f->words, jv_kinds[i]->failures[m].words);
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_ends_at_one_terminal_is_refused),
        cmocka_unit_test(memory_that_runs_short_is_noticed),
        cmocka_unit_test(every_fallback_reads_as_its_dimension),
        cmocka_unit_test(names_are_unique_and_explained),
        cmocka_unit_test(first_two_keys_are_the_ends),
        cmocka_unit_test(failures_are_complete),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
