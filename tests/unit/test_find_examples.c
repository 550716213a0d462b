/* test_find_examples.c - published examples of troubleshooting. SPDX-License-Identifier: MIT */
#include "study/find/table.h"
#include "tests/support/close.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

/* --- polybox: de Kleer and Williams, Artificial Intelligence 32 (1987) 97-130 --- */

enum { A1 = 1, A2 = 2, M1 = 4, M2 = 8, M3 = 16, COMPONENTS = 5, NONE = -1, VALUES = 16 };

/* Value that a set of faulty components leaves predictable, NONE when nothing says. Inputs A=3,
 * B=2, C=2, D=3, E=3; F=10 and G=12 seen. X = M1, Y = M2, Z = M3, F = X+Y (A1), G = Y+Z (A2). */
static void predict(unsigned faulty, int *x, int *y, int *z) {
    bool a1 = !(faulty & A1), a2 = !(faulty & A2);
    *x = faulty & M1 ? NONE : 6;
    *y = faulty & M2 ? NONE : 6;
    *z = faulty & M3 ? NONE : 6;
    for (int round = 0; round < 3; round++) {
        if (*y == NONE && a1 && *x != NONE)
            *y = 10 - *x;
        if (*y == NONE && a2 && *z != NONE)
            *y = 12 - *z;
        if (*x == NONE && a1 && *y != NONE)
            *x = 10 - *y;
        if (*z == NONE && a2 && *y != NONE)
            *z = 12 - *y;
    }
}

static bool consistent(unsigned faulty) {
    int x, y, z;
    predict(faulty, &x, &y, &z);
    bool f = faulty & A1 || x == NONE || y == NONE || x + y == 10;
    bool g = faulty & A2 || y == NONE || z == NONE || y + z == 12;
    return f && g;
}

typedef struct jv_polybox {
    const char *seen;
    uint32_t conflicts[4];
    uint32_t candidates[5];
} jv_polybox;

/* First four rows printed (University of Edinburgh, Knowledge Engineering slides, p. 121), the
 * rest recomputed. */
static const jv_polybox rows[] = {
    {"F=10, G=12", {A1 | M1 | M2, A1 | A2 | M1 | M3}, {A1, M1, A2 | M2, M2 | M3}},
    {"X=4", {M1}, {M1}},
    {"X=6", {A1 | M2, A1 | A2 | M3}, {A1, A2 | M2, M2 | M3}},
    {"X=5", {M1, A1 | M2, A1 | A2 | M3}, {A1 | M1, A2 | M1 | M2, M1 | M2 | M3}},
    {"Y=6", {A1 | M1}, {A1, M1}},
    {"Y=4", {M2, A2 | M3}, {A2 | M2, M2 | M3}},
    {"Z=6", {A1 | A2 | M1, A1 | M1 | M2}, {A1, M1, A2 | M2}},
    {"Z=8", {M3, A2 | M2, A1 | M1 | M2}, {M2 | M3, A1 | A2 | M3, A2 | M1 | M3}},
};

static bool holds(const uint32_t *list, size_t n, uint32_t set) {
    for (size_t k = 0; k < n; k++)
        if (list[k] == set)
            return true;
    return false;
}

static void polybox_candidates(void **state) {
    (void)state;
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        uint32_t out[64];
        size_t n_conflicts = 0, n_candidates = 0;
        while (n_conflicts < 4 && rows[r].conflicts[n_conflicts])
            n_conflicts++;
        while (n_candidates < 5 && rows[r].candidates[n_candidates])
            n_candidates++;
        size_t n = jv_sets_hitting(rows[r].conflicts, n_conflicts, out, 64);
        if (n != n_candidates)
            fail_msg("%s: %zu candidates, %zu expected", rows[r].seen, n, n_candidates);
        for (size_t k = 0; k < n_candidates; k++)
            if (!holds(out, n, rows[r].candidates[k]))
                fail_msg("%s: candidate %zu is missing", rows[r].seen, k);
    }
}

/* Conflicts and candidates are each other's minimal hitting sets (Reiter 1987). */
static void polybox_conflicts_from_the_box(void **state) {
    (void)state;
    uint32_t sets[32], back[64];
    size_t n = 0;
    for (unsigned k = 0; k < 32; k++)
        if (consistent(k))
            sets[n++] = k;
    assert_int_equal(n, 27); /* of 32: recomputed in the reference */
    n = jv_sets_minimal(sets, n);
    assert_int_equal(n, 4);
    size_t m = jv_sets_hitting(sets, n, back, 64);
    assert_int_equal(m, 2);
    assert_true(holds(back, m, A1 | M1 | M2) && holds(back, m, A1 | A2 | M1 | M3));
}

typedef struct jv_probe_row {
    double p, entropy, single, pair, x, y, z;
} jv_probe_row;

/* Recomputed in the reference with natural logarithms, 16 values; best probe X, as printed. */
static const jv_probe_row probes[] = {
    {0.1, 2.930461, 0.319441, 0.035493, -0.82668, -0.33906, -0.24053},
    {0.01, 1.359445, 0.478026, 0.004829, -0.71615, -0.05628, -0.03257},
    {0.001, 1.051273, 0.497755, 0.000498, -0.69644, -0.00791, -0.00432},
};

static void polybox_best_probe(void **state) {
    (void)state;
    enum { TESTS = 3 };
    const double ln2 = 0.69314718055994531, cost[TESTS] = {1.0, 1.0, 1.0};
    unsigned set[32];
    size_t n = 0;
    for (unsigned k = 0; k < 32; k++)
        if (consistent(k))
            set[n++] = k;
    double *like = calloc(TESTS * VALUES * n, sizeof *like), p[32], scratch[32];
    assert_non_null(like);
    for (size_t k = 0; k < n; k++) {
        int v[TESTS];
        predict(set[k], &v[0], &v[1], &v[2]);
        for (size_t t = 0; t < TESTS; t++)
            for (int o = 0; o < VALUES; o++) /* (B2) of the reference's theory: 1, 0 or 1/m */
                like[(t * VALUES + (size_t)o) * n + k] =
                    v[t] == NONE ? 1.0 / VALUES : (v[t] == o ? 1.0 : 0.0);
    }
    const jv_table_tests table = {n, TESTS, VALUES, like, cost};
    for (size_t r = 0; r < sizeof probes / sizeof probes[0]; r++) {
        const jv_probe_row *row = &probes[r];
        double total = 0.0;
        for (size_t k = 0; k < n; k++) {
            p[k] = 1.0;
            for (unsigned bit = 1; bit <= M3; bit <<= 1)
                p[k] *= set[k] & bit ? row->p : 1.0 - row->p;
            total += p[k];
        }
        assert_close(jv_entropy_bits(p, n, total), row->entropy, 1e-6, 0);
        for (size_t k = 0; k < n; k++) {
            if (set[k] == A1 || set[k] == M1)
                assert_close(p[k] / total, row->single, 2e-6, 0);
            if (set[k] == (A2 | M2) || set[k] == (M2 | M3))
                assert_close(p[k] / total, row->pair, 0, 1e-6);
        }
        assert_close(-ln2 * jv_table_information(&table, p, 0, scratch), row->x, 0, 6e-6);
        assert_close(-ln2 * jv_table_information(&table, p, 1, scratch), row->y, 0, 6e-6);
        assert_close(-ln2 * jv_table_information(&table, p, 2, scratch), row->z, 0, 6e-6);
        size_t next;
        assert_int_equal(jv_table_next(&table, p, false, &next), JV_OK);
        assert_int_equal(next, 0); /* X */
    }
    free(like);
}

/* --- orders of repair --- */

static double ordered_cost(const jv_action *a, size_t n, double call) {
    size_t order[8];
    jv_action_order(a, n, order);
    return jv_action_cost(a, order, n, call);
}

static void ratio_orders(void **state) {
    (void)state;
    /* hideoushumpbackfreak.com, algorithms-schedule-optimization: jobs (length, weight), printed
     * optimum 275 twice, 425 the other way round; as probabilities weight/sum. */
    const jv_action one[] = {{10.0 / 35, 5, 0}, {20.0 / 35, 5, 0}, {5.0 / 35, 5, 0}};
    assert_close(35.0 * ordered_cost(one, 3, 0), 275.0, 1e-12, 0);
    const size_t back[] = {2, 0, 1};
    assert_close(35.0 * jv_action_cost(one, back, 3, 0), 425.0, 1e-12, 0);
    const jv_action two[] = {{1.0 / 3, 20, 0}, {1.0 / 3, 5, 0}, {1.0 / 3, 10, 0}};
    assert_close(15.0 * ordered_cost(two, 3, 0), 275.0, 1e-12, 0);
    const size_t longest[] = {0, 2, 1};
    assert_close(15.0 * jv_action_cost(two, longest, 3, 0), 425.0, 1e-12, 0);
    /* Ratio beats difference (Roughgarden, Algorithms Illuminated 3, from memory): 22 against 23.
     */
    const jv_action three[] = {{3.0 / 4, 5, 0}, {1.0 / 4, 2, 0}};
    assert_close(4.0 * ordered_cost(three, 2, 0), 22.0, 1e-12, 0);
    const size_t difference[] = {1, 0};
    assert_close(4.0 * jv_action_cost(three, difference, 2, 0), 23.0, 1e-12, 0);
}

/* Constructed, best of all 120 orders by enumeration. */
static void expected_costs(void **state) {
    (void)state;
    const jv_action a[] = {{0.35, 6, 0}, {0.25, 10, 0}, {0.20, 3, 0}, {0.10, 20, 0}, {0.10, 40, 0}};
    const size_t best[] = {2, 0, 1, 3, 4}, by_p[] = {0, 1, 2, 3, 4};
    size_t order[5];
    jv_action_order(a, 5, order);
    assert_memory_equal(order, best, sizeof best);
    assert_close(jv_action_cost(a, order, 5, 0), 20.3, 1e-12, 0);
    assert_close(jv_action_cost(a, by_p, 5, 0), 21.7, 1e-12, 0);
}

static void when_to_call(void **state) {
    (void)state;
    const jv_action a[] = {{0.35, 6, 0}, {0.25, 10, 0}, {0.15, 3, 0}, {0.10, 20, 0}, {0.05, 40, 0}};
    static const struct {
        double call;
        size_t done;
        double cost;
    } plans[] = {
        {30, 3, 20.45}, {60, 4, 26.95}, {120, 4, 35.95}, {300, 5, 53.95}, {900, 5, 113.95}};
    size_t order[5];
    jv_action_order(a, 5, order); /* A C B D E */
    for (size_t k = 0; k < sizeof plans / sizeof plans[0]; k++) {
        double cost;
        assert_int_equal(jv_action_plan(a, order, 5, plans[k].call, &cost), plans[k].done);
        assert_close(cost, plans[k].cost, 1e-12, 0);
    }
    /* Thresholds: D from 50, E from 120 on. */
    double cost;
    assert_int_equal(jv_action_plan(a, order, 5, 49.9, &cost), 3);
    assert_int_equal(jv_action_plan(a, order, 5, 50.1, &cost), 4);
    assert_int_equal(jv_action_plan(a, order, 5, 120.1, &cost), 5);
}

static void check_then_repair(void **state) {
    (void)state;
    const jv_action a[] = {{0.2, 2, 3}, {0.3, 8, 10}, {0.5, 10, 30}}; /* fuse, stud, battery */
    static const struct {
        size_t order[3];
        double cost;
    } all[] = {{{0, 2, 1}, 31}, {{2, 0, 1}, 32}, {{0, 1, 2}, 32},
               {{2, 1, 0}, 33}, {{1, 0, 2}, 33}, {{1, 2, 0}, 34}};
    for (size_t k = 0; k < sizeof all / sizeof all[0]; k++)
        assert_close(jv_action_cost(a, all[k].order, 3, 0), all[k].cost, 1e-12, 0);
    size_t order[3];
    jv_action_order(a, 3, order);
    assert_memory_equal(order, all[0].order, sizeof order);
}

/* J. Vomlel, slides "Decision theoretic troubleshooting", 11 July 2007: inputs printed. */
static void light_print(void **state) {
    (void)state;
    const double p[] = {0.4, 0.3, 0.2, 0.1};
    const double a2_yes[] = {0.9, 0.9, 0, 0}, a2_no[] = {0.1, 0.1, 1, 1};
    const double q1[] = {1, 1, 0, 0, 0, 0, 1, 1}, cost[] = {2.0};
    double out[4];
    double yes = jv_weigh(p, a2_yes, 4, out);
    assert_close(yes, 0.63, 1e-12, 0);
    assert_close(yes / 15.0, 0.042, 1e-12, 0);
    double no = jv_weigh(p, a2_no, 4, out);
    static const double after[] = {0.108108, 0.081081, 0.540541, 0.270270};
    for (size_t k = 0; k < 4; k++)
        assert_close(out[k] / no, after[k], 0, 6e-7);
    double q = jv_weigh(p, q1, 4, out);
    assert_close(q, 0.7, 1e-12, 0);
    assert_close(out[0] / q, 4.0 / 7, 1e-12, 0);
    const jv_table_tests table = {4, 1, 2, q1, cost};
    assert_close(jv_table_information(&table, p, 0, out), 0.881291, 1e-6, 0);
}

/* --- test sequences --- */

/* Matrix of Pattipati and Alexandridis, IEEE Trans. SMC 20 (1990) 872-887, recalled; the optimum
 * 2.18 came out as recalled. Greedy information ends at 2.86. */
static void test_sequencing(void **state) {
    (void)state;
    enum { STATES = 6, TESTS = 5 };
    static const double p[STATES] = {0.70, 0.01, 0.02, 0.10, 0.05, 0.12};
    static const int fails[STATES][TESTS] = {{0, 0, 0, 0, 0}, {0, 1, 0, 0, 1}, {0, 0, 1, 1, 0},
                                             {1, 0, 0, 1, 1}, {1, 1, 0, 0, 0}, {1, 1, 1, 1, 0}};
    double like[TESTS * 2 * STATES], cost[TESTS], found, scratch[STATES];
    for (size_t t = 0; t < TESTS; t++) {
        cost[t] = 1.0;
        for (size_t s = 0; s < STATES; s++) {
            like[(t * 2) * STATES + s] = fails[s][t] ? 0.0 : 1.0;
            like[(t * 2 + 1) * STATES + s] = fails[s][t] ? 1.0 : 0.0;
        }
    }
    const jv_table_tests table = {STATES, TESTS, 2, like, cost};
    size_t first;
    assert_close(jv_entropy_bits(p, STATES, 1.0), 1.454873, 1e-6, 0);
    assert_close(jv_table_information(&table, p, 0, scratch), 0.8415, 1e-4, 0);
    assert_int_equal(jv_table_next(&table, p, false, &first), JV_OK);
    assert_int_equal(first, 0); /* t1: the trap */
    assert_int_equal(jv_table_cost(&table, p, false, &found), JV_OK);
    assert_close(found, 2.86, 1e-12, 0);
    assert_int_equal(jv_table_next(&table, p, true, &first), JV_OK);
    assert_true(first == 1 || first == 3); /* t2 and t4 both lead to the optimum */
    assert_int_equal(jv_table_cost(&table, p, true, &found), JV_OK);
    assert_close(found, 2.18, 1e-12, 0);
}

/* A chain of n sections and its n - 1 points between them: bad when the fault is before it. */
static double *chain(size_t n) {
    double *like = calloc((n - 1) * 2 * n, sizeof *like);
    assert_non_null(like);
    for (size_t t = 0; t + 1 < n; t++)
        for (size_t s = 0; s < n; s++)
            like[(t * 2 + (s <= t)) * n + s] = 1.0;
    return like;
}

/* Constructed: 8 equal sections, points 1 to 3 cost 1, points 4 to 7 under the vehicle 6. */
static void half_split_with_costs(void **state) {
    (void)state;
    enum { N = 8 };
    double *like = chain(N), p[N], found;
    const double dear[N - 1] = {1, 1, 1, 6, 6, 6, 6}, equal[N - 1] = {1, 1, 1, 1, 1, 1, 1};
    for (size_t k = 0; k < N; k++)
        p[k] = 1.0 / N;
    const jv_table_tests by_cost = {N, N - 1, 2, like, dear}, plain = {N, N - 1, 2, like, equal};
    assert_int_equal(jv_table_cost(&by_cost, p, false, &found), JV_OK);
    assert_close(found, 10.625, 1e-12, 0);
    assert_int_equal(jv_table_cost(&by_cost, p, true, &found), JV_OK);
    assert_close(found, 10.625, 1e-12, 0); /* the optimum */
    assert_int_equal(jv_table_cost(&plain, p, false, &found), JV_OK);
    assert_close(found, 3.0, 1e-12, 0);
    free(like);
}

/* Printed: US Army Intelligence Center, subcourse IT0338 (May 1996), frames 9-11: eight equal
 * sections between the points A .. I. The first check is at the middle, E; it is good, and the next
 * one is half way from E to I: at G. */
static void half_split_of_the_subcourse(void **state) {
    (void)state;
    enum { SECTIONS = 8, POINTS = 7, E = 3, G = 5 }; /* test 0 is at B */
    double like[POINTS][2][SECTIONS], cost[POINTS], weight[SECTIONS];
    for (size_t t = 0; t < POINTS; t++) {
        cost[t] = 1.0;
        for (size_t h = 0; h < SECTIONS; h++) {
            like[t][0][h] = h > t ? 1.0 : 0.0; /* good: the fault lies behind the point */
            like[t][1][h] = 1.0 - like[t][0][h];
            weight[h] = 1.0 / SECTIONS;
        }
    }
    const jv_table_tests tests = {SECTIONS, POINTS, 2, &like[0][0][0], cost};
    size_t test;
    assert_int_equal(jv_table_next(&tests, weight, false, &test), JV_OK);
    assert_int_equal(test, E);
    jv_weigh(weight, like[E][0], SECTIONS, weight);
    assert_int_equal(jv_table_next(&tests, weight, false, &test), JV_OK);
    assert_int_equal(test, G);
}

/* ceil(log2 N) tests at most: N = 2 .. 32 by table, and 1001 numbers within 10 questions
 * (ljackso.medium.com, half-splitting); the worst way is followed. */
static void half_split_depths(void **state) {
    (void)state;
    static const size_t size[] = {2, 4, 8, 10, 16, 32, 1001}, depth[] = {1, 2, 3, 4, 4, 5, 10};
    for (size_t r = 0; r < sizeof size / sizeof size[0]; r++) {
        size_t n = size[r], steps = 0, test, left = n;
        double *like = chain(n), *p = calloc(n, sizeof *p), *cost = calloc(n, sizeof *cost);
        double *out = calloc(n, sizeof *out);
        assert_true(p && cost && out);
        for (size_t k = 0; k < n; k++)
            p[k] = cost[k] = 1.0;
        const jv_table_tests table = {n, n - 1, 2, like, cost};
        while (left > 1) {
            size_t most = 0, worst = 0;
            assert_int_equal(jv_table_next(&table, p, false, &test), JV_OK);
            for (size_t o = 0; o < 2; o++) {
                size_t count = (size_t)jv_weigh(p, like + (test * 2 + o) * n, n, out);
                if (count > most) {
                    most = count;
                    worst = o;
                }
            }
            left = (size_t)jv_weigh(p, like + (test * 2 + worst) * n, n, out);
            memcpy(p, out, n * sizeof *p);
            steps++;
        }
        assert_int_equal(steps, depth[r]);
        free(like);
        free(p);
        free(cost);
        free(out);
    }
}

/* Printed values of sarthaks.com/2642028 (1.75), csep521 lecture 10 (1.3, 1.6, 0.65), cscie129
 * lecture 2 (5); the last two from memory (Cover and Thomas; Shannon 1948). */
static void entropies(void **state) {
    (void)state;
    static const double a[] = {0.5, 0.25, 0.125, 0.125}, b[] = {0.125, 0.25, 0.625};
    static const double c[] = {1, 1, 1}, d[] = {2, 10};
    static const double e[] = {0.5, 0.25, 0.125, 0.0625, 0.015625, 0.015625, 0.015625, 0.015625};
    static const double f[] = {3, 2, 1};
    double equal[32];
    for (size_t k = 0; k < 32; k++)
        equal[k] = 1.0;
    assert_close(jv_entropy_bits(a, 4, 1), 1.75, 1e-12, 0);
    assert_close(jv_entropy_bits(b, 3, 1), 1.298795, 1e-6, 0);
    assert_close(jv_entropy_bits(c, 3, 3), 1.584963, 1e-6, 0);
    assert_close(jv_entropy_bits(d, 2, 12), 0.650022, 1e-6, 0);
    assert_close(jv_entropy_bits(equal, 32, 32), 5.0, 1e-12, 0);
    assert_close(jv_entropy_bits(e, 8, 1), 2.0, 1e-12, 0);
    assert_close(jv_entropy_bits(f, 3, 6), 1.459148, 1e-6, 0);
}

/* --- Bayes --- */

/* Constructed: prior 0.30, detection 0.9, false alarm 0.1. */
static void imperfect_test(void **state) {
    (void)state;
    const double p[] = {0.3, 0.7}, bad[] = {0.9, 0.1}, good[] = {0.1, 0.9};
    double out[2], sum = jv_weigh(p, bad, 2, out);
    assert_close(out[0] / sum, 0.794118, 1e-6, 0);
    sum = jv_weigh(p, good, 2, out);
    assert_close(out[0] / sum, 0.045455, 1e-5, 0);
}

enum { GRID = 4001, PLANE = 301 };

static double normal(double x, double sd) {
    return exp(-0.5 * x * x / (sd * sd)) / (2.5066282746310002 * sd);
}

/* ln R on a grid over 12 deviations: weights of its normal prior, trapezoid. */
static void ohms_grid(double *ohm, double *weight, size_t n, double median, double s, double span) {
    double step = 2.0 * span * s / (double)(n - 1);
    for (size_t k = 0; k < n; k++) {
        double t = -span * s + step * (double)k;
        ohm[k] = median * exp(t);
        weight[k] = normal(t, s) * step * (k == 0 || k + 1 == n ? 0.5 : 1.0);
    }
}

/* Constructed, by quadrature: one resistance at exactly 30 A, sigma 0.02 V; healthy ln N(10 mohm,
 * 0.15), degraded ln N(60 mohm, 0.8), prior 0.05. Severities are states of the same table. */
static void continuous_reading(void **state) {
    (void)state;
    static const struct {
        double drop, healthy, degraded, p;
    } seen[] = {{0.30, 2.0942, -2.0002, 0.000876},
                {0.40, 0.2340, -1.5482, 0.008778},
                {0.50, -3.7122, -1.2858, 0.373308},
                {0.60, -8.6424, -1.1289, 0.989739},
                {1.20, -41.3613, -1.0067, 1.000000}};
    static double ohm[2 * GRID], weight[2 * GRID], like[2 * GRID], out[2 * GRID];
    ohms_grid(ohm, weight, GRID, 0.010, 0.15, 14.0);
    ohms_grid(ohm + GRID, weight + GRID, GRID, 0.060, 0.8, 12.0);
    for (size_t r = 0; r < sizeof seen / sizeof seen[0]; r++) {
        for (size_t k = 0; k < 2 * GRID; k++)
            like[k] = normal(seen[r].drop - 30.0 * ohm[k], 0.02);
        double healthy = jv_weigh(weight, like, GRID, out);
        double degraded = jv_weigh(weight + GRID, like + GRID, GRID, out + GRID);
        assert_close(log(healthy), seen[r].healthy, 0, 6e-5);
        assert_close(log(degraded), seen[r].degraded, 0, 6e-5);
        const double prior[] = {0.95, 0.05}, evidence[] = {healthy, degraded};
        double sum = jv_weigh(prior, evidence, 2, out);
        assert_close(out[1] / sum, seen[r].p, 0, 1e-6);
    }
}

/* Constructed, by 2-D quadrature: two segments in series with those priors. */
static void explaining_away(void **state) {
    (void)state;
    static const struct {
        double positive; /* reading of it alone; NAN = not taken */
        double none, pos, gnd, both;
    } seen[] = {{NAN, 0, 0.496334, 0.496334, 0.007332},
                {1.18, 0, 0.998834, 0, 0.001166},
                {0.75, 0, 0.000004, 0.000002, 0.999994}};
    static double ohm[2][PLANE * 4], weight[2][PLANE * 4], like[PLANE * 4], out[PLANE * 4];
    const size_t n = PLANE * 4;
    ohms_grid(ohm[0], weight[0], n, 0.010, 0.15, 7.0);
    ohms_grid(ohm[1], weight[1], n, 0.060, 0.8, 7.0);
    for (size_t r = 0; r < sizeof seen / sizeof seen[0]; r++) {
        double z[4], p[4];
        for (size_t h = 0; h < 4; h++) { /* bit 0: positive degraded, bit 1: ground */
            z[h] = 0.0;
            for (size_t i = 0; i < n; i++) {
                double a = 30.0 * ohm[h & 1][i];
                double own = isnan(seen[r].positive) ? 1.0 : normal(seen[r].positive - a, 0.02);
                if (own < 1e-30)
                    continue;
                for (size_t k = 0; k < n; k++)
                    like[k] = normal(1.50 - a - 30.0 * ohm[h >> 1][k], 0.02);
                z[h] += weight[h & 1][i] * own * jv_weigh(weight[h >> 1], like, n, out);
            }
        }
        const double prior[] = {0.95 * 0.95, 0.05 * 0.95, 0.95 * 0.05, 0.05 * 0.05};
        double sum = jv_weigh(prior, z, 4, p);
        assert_close(p[0] / sum, seen[r].none, 0, 2e-5);
        assert_close(p[1] / sum, seen[r].pos, 0, 2e-5);
        assert_close(p[2] / sum, seen[r].gnd, 0, 2e-5);
        assert_close(p[3] / sum, seen[r].both, 0, 2e-5);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(polybox_candidates),
        cmocka_unit_test(polybox_conflicts_from_the_box),
        cmocka_unit_test(polybox_best_probe),
        cmocka_unit_test(ratio_orders),
        cmocka_unit_test(expected_costs),
        cmocka_unit_test(when_to_call),
        cmocka_unit_test(check_then_repair),
        cmocka_unit_test(light_print),
        cmocka_unit_test(test_sequencing),
        cmocka_unit_test(half_split_with_costs),
        cmocka_unit_test(half_split_of_the_subcourse),
        cmocka_unit_test(half_split_depths),
        cmocka_unit_test(entropies),
        cmocka_unit_test(imperfect_test),
        cmocka_unit_test(continuous_reading),
        cmocka_unit_test(explaining_away),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
