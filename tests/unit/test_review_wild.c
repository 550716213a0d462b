/* test_review_wild.c - review and sizing of random circuits of every kind. SPDX-License-Identifier:
 * MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/review.h"
#include "jackvolt/size.h"
#include "tests/support/wild.h"

/* Every row has its texts, an unknown one a document to look in, and the counts are those of the
 * rows; a sizing that is possible keeps every watch, and its fuses stay under their cables. */
static void wild_circuits_are_judged(void **state) {
    (void)state;
    enum { CIRCUITS = 60 };
    size_t rows = 0, possible = 0;
    for (unsigned seed = 1; seed <= CIRCUITS; seed++) {
        wild w;
        const wild_options how = {.hostile = seed % 2 == 0};
        wild_make(&w, seed, &how);
        jv_review *r = NULL;
        assert_int_equal(jv_review_run(w.c, &r), JV_OK);
        size_t counts[4] = {0};
        for (size_t i = 0; i < r->n_rows; i++) {
            const jv_review_row *row = &r->rows[i];
            assert_true(*row->reason && *row->basis && *row->part);
            assert_true(row->verdict != JV_RULE_UNKNOWN || row->look_in);
            counts[row->verdict]++;
        }
        assert_int_equal(counts[JV_RULE_FAIL], r->failed);
        assert_int_equal(counts[JV_RULE_UNKNOWN], r->unknown);
        assert_int_equal(counts[JV_RULE_PASS], r->passed);
        rows += r->n_rows;
        jv_review_free(&r);
        jv_sizing *s = NULL;
        jv_diags d = {0};
        const jv_size_options options = {.no_budget = true};
        assert_int_equal(jv_size_find(w.c, &options, &d, &s), JV_OK);
        if (s->possible)
            possible++;
        else
            assert_true(s->n_misses > 0);
        for (size_t i = 0; s->possible && i < s->n_watches; i++)
            assert_true(s->watches[i].worst_v >= s->watches[i].limit_v - 1e-6);
        for (size_t i = 0; s->possible && i < s->n_fuses; i++)
            assert_true(s->fuses[i].rating_a <= s->fuses[i].carries_a || !s->n_runs);
        jv_sizing_free(&s);
        jv_diags_clear(&d);
        wild_free(&w);
    }
    print_message("%zu rows, %zu of %d circuits sized\n", rows, possible, (int)CIRCUITS);
    assert_true(rows > 10 * CIRCUITS);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wild_circuits_are_judged),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
