/* test_random.c - random numbers against what others publish. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "study/random.h"
#include "tests/support/close.h"

/* Known answers that the authors of Philox publish with it (Random123, kat_vectors, rows
 * "philox4x32 10"): the last counter and key are digits of pi. */
static void philox_gives_the_published_words(void **state) {
    static const struct {
        uint32_t counter[4], key[2], out[4];
    } known[] = {
        {{0, 0, 0, 0}, {0, 0}, {0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}},
        {{0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff},
         {0xffffffff, 0xffffffff},
         {0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}},
        {{0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344},
         {0xa4093822, 0x299f31d0},
         {0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}},
    };
    (void)state;
    for (size_t k = 0; k < sizeof known / sizeof known[0]; k++) {
        uint32_t out[4];
        jv_philox(known[k].counter, known[k].key, out);
        assert_memory_equal(out, known[k].out, sizeof out);
    }
}

/* The uniforms are those words: the high one and 20 bits of the low one, at the middle of their
 * step. Draws 8 n + k and 8 n + 4 + k share counter 4 n + k. */
static void uniforms_are_the_words_of_their_counter(void **state) {
    const uint64_t seed = UINT64_C(0x299f31d0a4093822), address = UINT64_C(0x0370734413198a2e);
    const uint64_t first = UINT64_C(0x5a308d3243f6a88);
    double u[JV_SIDE], all[7][JV_SIDE], values[7][JV_SIDE];
    const jv_value range = {0.5, 0.0, 1.0, JV_UNIFORM};
    jv_drawn list[7];
    (void)state;
    jv_uniforms(seed, first, address, u);
    for (unsigned k = 0; k < JV_SIDE; k++) {
        uint64_t n = first / 2 + k % 4;
        const uint32_t counter[4] = {(uint32_t)n, (uint32_t)(n >> 32), (uint32_t)address,
                                     (uint32_t)(address >> 32)};
        const uint32_t key[2] = {(uint32_t)seed, (uint32_t)(seed >> 32)};
        uint32_t out[4], *word = out + k / 4 * 2;
        jv_philox(counter, key, out);
        assert_true(u[k] == (word[0] * 0x1p20 + (word[1] >> 12) + 0.5) * 0x1p-52);
    }
    /* Many at once are each the same, whatever stands beside them. */
    for (size_t q = 0; q < 7; q++)
        list[q] = jv_drawn_make(q == 5 ? address : q, &range);
    jv_draw_all(jv_lane_widest(), seed, first, list, 7, all, values);
    assert_memory_equal(all[5], u, sizeof u);
    for (size_t q = 0; q < 7; q++) {
        jv_uniforms(seed, first, list[q].address, u);
        assert_memory_equal(all[q], u, sizeof u);
        jv_values_at(&range, u, u);
        assert_memory_equal(values[q], u, sizeof u);
    }
}

static void draws_do_not_depend_on_their_neighbours(void **state) {
    double a[JV_SIDE], b[JV_SIDE];
    (void)state;
    jv_uniforms(3, 800, 17, a);
    jv_uniforms(3, 808, 17, b);
    jv_uniforms(3, 800, 17, b);
    assert_memory_equal(a, b, sizeof a);
    jv_uniforms(3, 800, 18, b);
    assert_true(memcmp(a, b, sizeof a) != 0);
    jv_uniforms(4, 800, 17, b);
    assert_true(memcmp(a, b, sizeof a) != 0);
}

/* Against the normal quantile of the GNU Scientific Library, itself good to some 1e-15. */
static void normals_are_those_of_gsl(void **state) {
    static const double edges[JV_SIDE] = {1e-300,    1e-20,     1e-9,      0.0749999,
                                          0.0750001, 0.9249999, 0.9250001, 1.0 - 1e-12};
    double u[JV_SIDE], z[JV_SIDE];
    (void)state;
    jv_normals(edges, z);
    for (int k = 0; k < JV_SIDE; k++)
        assert_close(z[k], gsl_cdf_ugaussian_Pinv(edges[k]), 1e-13, 1e-15);
    for (uint64_t d = 0; d < 20000; d += JV_SIDE) {
        jv_uniforms(1, d, 5, u);
        jv_normals(u, z);
        for (int k = 0; k < JV_SIDE; k++)
            assert_close(z[k], gsl_cdf_ugaussian_Pinv(u[k]), 1e-13, 1e-15);
    }
}

static void exponentials_are_those_of_the_c_library(void **state) {
    (void)state;
    for (double x = -700.0; x <= 700.0; x += 0.0937) {
        const double in[JV_SIDE] = {x, -x, x / 7.0, x / 1000.0, 0.0, 1e-300, x / 64.0, -x / 3.0};
        double out[JV_SIDE];
        jv_exponentials(in, out);
        for (int k = 0; k < JV_SIDE; k++)
            assert_close(out[k], exp(in[k]), 4.5e-16, 0.0);
    }
}

/* jv_value_at is the one map from a draw to a value: the fast way gives the same. */
static void values_are_those_of_the_one_map(void **state) {
    static const jv_value values[] = {
        {0.8, 0.65, 0.95, JV_UNIFORM},
        {-5.0, -10.0, 0.0, JV_UNIFORM},
        {0.001, 0.0003, 0.005, JV_LOG_UNIFORM},
        {7.3, 6.9, 7.7, JV_NORMAL},
        {1.0, 0.0, 2.0, JV_NORMAL},
        {0.002, 0.001, 0.004, JV_LOG_NORMAL},
        {3.0, 3.0, 3.0, JV_EXACT},
    };
    (void)state;
    for (size_t v = 0; v < sizeof values / sizeof values[0]; v++)
        for (uint64_t d = 0; d < 4000; d += JV_SIDE) {
            double u[JV_SIDE], out[JV_SIDE];
            jv_uniforms(9, d, v, u);
            jv_values_at(&values[v], u, out);
            for (int k = 0; k < JV_SIDE; k++) {
                double z = gsl_cdf_ugaussian_Pinv(u[k]);
                assert_close(out[k], jv_value_at(&values[v], z), 1e-12, 1e-15);
                if (values[v].spread != JV_NORMAL && values[v].spread != JV_LOG_NORMAL)
                    assert_true(out[k] >= values[v].low && out[k] <= values[v].high);
            }
        }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(philox_gives_the_published_words),
        cmocka_unit_test(uniforms_are_the_words_of_their_counter),
        cmocka_unit_test(draws_do_not_depend_on_their_neighbours),
        cmocka_unit_test(normals_are_those_of_gsl),
        cmocka_unit_test(exponentials_are_those_of_the_c_library),
        cmocka_unit_test(values_are_those_of_the_one_map),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
