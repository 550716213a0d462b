/* test_sample.c - odds and shares against closed forms. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "study/sample.h"
#include "tests/support/close.h"

/* A response whose odds and shares are known: one figure of the values of a few quantities. */
enum { MOST = 8 };
typedef struct known_response {
    double (*figure)(const double x[MOST]);
    double limit;
    jv_vary list[MOST];
    size_t n;
} known_response;

static jv_status hire(void *ctx, void **worker) {
    *worker = ctx;
    return JV_OK;
}
static void dismiss(void *ctx, void *worker) {
    (void)ctx;
    (void)worker;
}
static void block(void *worker) {
    (void)worker;
}
static jv_status respond(void *worker, unsigned of, double (*values)[JV_SIDE],
                         double (*seen)[JV_SIDE], double (*limit)[JV_SIDE], unsigned *solved,
                         unsigned *scalar) {
    const known_response *r = worker;
    *solved = of;
    *scalar = 0;
    for (unsigned k = 0; k < JV_SIDE; k++) {
        double x[MOST] = {0};
        for (size_t q = 0; q < r->n; q++)
            x[q] = values[q][k];
        seen[0][k] = r->figure(x);
        limit[0][k] = r->limit;
    }
    return JV_OK;
}

static void add(known_response *r, jv_value value) {
    r->list[r->n].shown.value = value;
    r->list[r->n].address = 1000 + r->n;
    r->n++;
}

static void run(known_response *r, uint64_t draws, uint64_t seed, unsigned threads,
                jv_tally *tally) {
    const jv_response response = {r, r->list, r->n, 1, hire, dismiss, block, respond};
    const jv_sample_plan plan = {
        .draws = draws, .seed = seed, .threads = threads, .slice = 1, .of = 1};
    bool interrupted;
    assert_int_equal(jv_tally_make(r->n, 1, tally), JV_OK);
    assert_int_equal(jv_sample_run(&response, &plan, tally, &interrupted), JV_OK);
    assert_false(interrupted);
    assert_int_equal(tally->draws, draws);
}

/* How often of 1,000 seeds the 95 % interval holds the true odds: 93 to 97 % of them. */
static void check_coverage(known_response *r, double odds) {
    enum { SEEDS = 1000, DRAWS = 1000 };
    unsigned held = 0;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        jv_tally tally;
        double shares[MOST];
        jv_scatter_watch w = {0};
        run(r, DRAWS, seed, 1, &tally);
        jv_tally_figures(&tally, 0, shares, &w);
        held += w.low95 <= odds && odds <= w.high95;
        jv_tally_clear(&tally);
    }
    print_message("%u of %d intervals hold the odds %.4f\n", held, SEEDS, odds);
    assert_in_range(held, 930, 970);
}

static double sum_of(const double x[MOST]) {
    return x[0] + x[1] + x[2] + x[3] + x[4];
}

/* A sum of independent normals is normal: mean 12, deviation sqrt(0.3^2 + 0.2^2 + 0.25^2 + 0.1^2
 * + 0.15^2) = 0.475. (The cut at three deviations takes 0.25 % off it, a tenth of what 1,000
 * draws can tell.) */
static void odds_of_a_sum_of_normals(void **state) {
    static const double deviations[] = {0.3, 0.2, 0.25, 0.1, 0.15};
    (void)state;
    known_response r = {.figure = sum_of, .limit = 11.5};
    double variance = 0.0;
    for (size_t k = 0; k < 5; k++) {
        double middle = k ? -1.0 : 16.0, s = deviations[k];
        jv_value v = {middle, middle - 2.0 * s, middle + 2.0 * s, JV_NORMAL};
        add(&r, v);
        variance += s * s;
    }
    check_coverage(&r, gsl_cdf_ugaussian_P((11.5 - 12.0) / sqrt(variance)));
}

static double product_of(const double x[MOST]) {
    return x[0] * x[1] * x[2];
}

/* The logarithm of a product of log-normals is normal: median 4, deviation of the logarithm half
 * of sqrt(ln(2)^2 + ln(1.5)^2 + ln(1.2)^2), a factor being two deviations. */
static void odds_of_a_product_of_log_normals(void **state) {
    static const double factors[] = {2.0, 1.5, 1.2}, medians[] = {0.5, 2.0, 4.0};
    (void)state;
    known_response r = {.figure = product_of, .limit = 5.5};
    double variance = 0.0;
    for (size_t k = 0; k < 3; k++) {
        jv_value v = {medians[k], medians[k] / factors[k], medians[k] * factors[k], JV_LOG_NORMAL};
        add(&r, v);
        variance += pow(log(factors[k]) / 2.0, 2.0);
    }
    check_coverage(&r, gsl_cdf_ugaussian_P(log(5.5 / 4.0) / sqrt(variance)));
}

/* A range is uniform: odds of a sum of two, by the area of a triangle: x + y < 0.3 for x, y in
 * 0 .. 1 has probability 0.3^2 / 2. */
static double sum_of_two(const double x[MOST]) {
    return x[0] + x[1];
}
static void odds_of_a_sum_of_ranges(void **state) {
    (void)state;
    known_response r = {.figure = sum_of_two, .limit = 0.3};
    const jv_value range = {0.5, 0.0, 1.0, JV_UNIFORM};
    add(&r, range);
    add(&r, range);
    check_coverage(&r, 0.045);
}

static double weighted(const double x[MOST]) {
    return 3.0 * x[0] + 2.0 * x[1] + x[2] + 0.5 * x[3];
}

/* An additive function of independent ranges of one width: shares as the squares of the
 * factors, 9 : 4 : 1 : 0.25, nothing together. Percentiles and mean of the sum besides. */
static void shares_of_an_additive_function(void **state) {
    static const double squares[] = {9.0, 4.0, 1.0, 0.25};
    (void)state;
    known_response r = {.figure = weighted, .limit = 6.5};
    const jv_value range = {1.0, 0.0, 2.0, JV_UNIFORM};
    for (int k = 0; k < 4; k++)
        add(&r, range);
    jv_tally tally;
    double shares[MOST], sum = 0.0;
    jv_scatter_watch w = {0};
    run(&r, 400000, 11, 2, &tally);
    jv_tally_figures(&tally, 0, shares, &w);
    for (int k = 0; k < 4; k++) {
        assert_close(shares[k], squares[k] / 14.25, 0.0, 0.004);
        sum += shares[k];
    }
    assert_close(sum + w.rest, 1.0, 1e-12, 0.0);
    assert_close(w.rest, 0.0, 0.0, 0.004);
    /* mean 6.5; variance 14.25 / 3; the density is even about the mean */
    assert_close(w.mean_v, 6.5, 0.0, 4.0 * sqrt(14.25 / 3.0 / 400000.0));
    assert_close(w.deviation_v, sqrt(14.25 / 3.0), 0.003, 0.0);
    assert_close(w.p50_v, 6.5, 0.0, 0.02);
    assert_close(w.p1_v + w.p99_v, 13.0, 0.0, 0.06);
    assert_close(w.trip_probability, 0.5, 0.0, 0.0035);
    jv_tally_clear(&tally);
}

/* Ishigami and Homma (1990): sin x1 + a sin^2 x2 + b x3^4 sin x1, x in -pi .. pi; shares by hand
 * (Sobol and Levitan 1999): V1 = (1 + b pi^4 / 5)^2 / 2, V2 = a^2 / 8,
 * V13 = b^2 pi^8 (1/18 - 1/50), V3 = 0. a = 7, b = 0.1: shares 0.3139, 0.4424, 0, together
 * 0.2437. */
static double ishigami(const double x[MOST]) {
    double s = sin(x[1]);
    return sin(x[0]) + 7.0 * s * s + 0.1 * pow(x[2], 4.0) * sin(x[0]);
}
static void shares_of_the_ishigami_function(void **state) {
    static const double pi = 3.14159265358979323846, a = 7.0, b = 0.1;
    (void)state;
    double v1 = pow(1.0 + b * pow(pi, 4.0) / 5.0, 2.0) / 2.0, v2 = a * a / 8.0;
    double v13 = b * b * pow(pi, 8.0) * (1.0 / 18.0 - 1.0 / 50.0), all = v1 + v2 + v13;
    known_response r = {.figure = ishigami, .limit = 0.0};
    const jv_value range = {0.0, -pi, pi, JV_UNIFORM};
    for (int k = 0; k < 3; k++)
        add(&r, range);
    jv_tally tally;
    double shares[MOST];
    jv_scatter_watch w = {0};
    run(&r, 400000, 5, 2, &tally);
    jv_tally_figures(&tally, 0, shares, &w);
    print_message("shares %.4f %.4f %.4f, together %.4f\n", shares[0], shares[1], shares[2],
                  w.rest);
    assert_close(shares[0], v1 / all, 0.0, 0.005);
    assert_close(shares[1], v2 / all, 0.0, 0.005);
    assert_close(shares[2], 0.0, 0.0, 0.003);
    assert_close(w.rest, v13 / all, 0.0, 0.008);
    jv_tally_clear(&tally);
}

/* Newcombe, "Two-sided confidence intervals for the single proportion", Statistics in Medicine
 * 17 (1998) 857-872, Table I, method 3. */
static void wilson_intervals_as_published(void **state) {
    static const double known[][4] = {{81.0, 263.0, 0.2553, 0.3662},
                                      {15.0, 148.0, 0.0624, 0.1605},
                                      {0.0, 20.0, 0.0, 0.1611},
                                      {1.0, 29.0, 0.0061, 0.1718}};
    (void)state;
    for (size_t k = 0; k < sizeof known / sizeof known[0]; k++) {
        double low, high;
        jv_wilson(known[k][0], known[k][1], &low, &high);
        assert_close(low, known[k][2], 0.0, 5e-5);
        assert_close(high, known[k][3], 0.0, 5e-5);
        jv_wilson(known[k][1] - known[k][0], known[k][1], &low, &high);
        assert_close(1.0 - high, known[k][2], 0.0, 5e-5);
        assert_close(1.0 - low, known[k][3], 0.0, 5e-5);
    }
}

/* However many threads: the same counts, to the last one. 10,001 draws end within eight. */
static void threads_change_nothing(void **state) {
    (void)state;
    known_response r = {.figure = weighted, .limit = 6.0};
    const jv_value range = {1.0, 0.0, 2.0, JV_UNIFORM};
    for (int k = 0; k < 4; k++)
        add(&r, range);
    jv_tally one;
    run(&r, 10001, 3, 1, &one);
    for (unsigned threads = 2; threads <= 5; threads++) {
        jv_tally many;
        run(&r, 10001, 3, threads, &many);
        size_t cells = r.n * JV_TALLY_CELLS;
        const jv_tally_watch *a = &one.watches[0], *b = &many.watches[0];
        assert_int_equal(a->trips, b->trips);
        assert_true(a->sum == b->sum && a->square_low == b->square_low &&
                    a->square_high == b->square_high);
        assert_memory_equal(a->bins, b->bins, JV_SCATTER_BINS * sizeof *a->bins);
        assert_memory_equal(a->cell_sum, b->cell_sum, cells * sizeof *a->cell_sum);
        assert_memory_equal(one.cell_count, many.cell_count, cells * sizeof *one.cell_count);
        jv_tally_clear(&many);
    }
    jv_tally_clear(&one);
}

static bool stop_at_3000(void *ctx, uint64_t done, uint64_t of) {
    *(uint64_t *)ctx = of;
    return done < 3000;
}

/* Asked to stop, it gives what there is: whole blocks, at least those it was told of. */
static void stopped_early_it_gives_the_draws_so_far(void **state) {
    (void)state;
    known_response r = {.figure = sum_of_two, .limit = 0.3};
    const jv_value range = {0.5, 0.0, 1.0, JV_UNIFORM};
    add(&r, range);
    add(&r, range);
    uint64_t asked = 0;
    const jv_response response = {&r, r.list, r.n, 1, hire, dismiss, block, respond};
    const jv_sample_plan plan = {.draws = 100000,
                                 .seed = 1,
                                 .threads = 1,
                                 .slice = 1,
                                 .of = 1,
                                 .go_on = stop_at_3000,
                                 .ctx = &asked};
    jv_tally tally;
    bool interrupted = false;
    assert_int_equal(jv_tally_make(r.n, 1, &tally), JV_OK);
    assert_int_equal(jv_sample_run(&response, &plan, &tally, &interrupted), JV_OK);
    assert_true(interrupted);
    assert_int_equal(asked, 100000);
    assert_int_equal(tally.draws, 3 * JV_SAMPLE_BLOCK);
    jv_tally_clear(&tally);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(odds_of_a_sum_of_normals),
        cmocka_unit_test(odds_of_a_product_of_log_normals),
        cmocka_unit_test(odds_of_a_sum_of_ranges),
        cmocka_unit_test(shares_of_an_additive_function),
        cmocka_unit_test(shares_of_the_ishigami_function),
        cmocka_unit_test(wilson_intervals_as_published),
        cmocka_unit_test(threads_change_nothing),
        cmocka_unit_test(stopped_early_it_gives_the_draws_so_far),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
