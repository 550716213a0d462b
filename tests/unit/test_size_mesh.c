/* test_size_mesh.c - sizing where currents hang on the sizes: meshes and relays, against full
 * enumeration. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <cmocka.h>

#include "jackvolt/conductor.h"
#include "jackvolt/read.h"
#include "jackvolt/size.h"
#include "tests/support/close.h"

/* Park and Miller, Communications of the ACM 31 (1988) 1192: x' = 16807 x mod (2^31 - 1). */
static double draw(uint32_t *seed) {
    *seed = (uint32_t)((uint64_t)*seed * 16807u % 2147483647u);
    return (double)*seed / 2147483647.0;
}
static double between(uint32_t *seed, double low, double high) {
    return low + (high - low) * draw(seed);
}

enum { SIZES = 10, RUNS = 5, WATCHES = 2 };
static const int gauges[SIZES] = {16, 14, 12, 10, 8, 6, 4, 2, 0, -1};
static const char *const names[RUNS] = {"run 0", "run 1", "run 2", "run 3", "run 4"};
static const double wire_c = 20, tolerance = 0.05;

/* Volts over their limits of a circuit, with ohms of each run: what the search must keep above 0.
 */
typedef struct net net;
typedef double (*least_margin)(const net *n, const double *ohm, double source_ohm);
struct net {
    size_t runs;
    double source_v, source_ohm; /* spread: 0.8 to 1 of it */
    double length_m[RUNS], price[SIZES], limit_v[WATCHES];
    double amps, lamp_a, lamp_ohm, coil_ohm, pull_in_v; /* as the circuit needs them */
    least_margin margin;
    bool tied; /* run 1 returns what run 0 feeds: no less copper */
};

static double ohm_per_m(size_t size) {
    jv_size s = {JV_SIZE_AWG, gauges[size], 0};
    jv_conductor w = {0};
    assert_int_equal(jv_conductor_make(&s, JV_METAL_COPPER, &w), JV_OK);
    return jv_conductor_resistance(&w, 1, wire_c);
}

/* The least over all corners of lengths and source. Volts of a resistive net are ratios of
 * multilinear forms in each resistance, so monotone in each: the worst is a corner. */
static double worst_margin(const net *n, const double *ohm) {
    double least = INFINITY;
    for (size_t corner = 0; corner < (size_t)2 << n->runs; corner++) {
        double now[RUNS];
        for (size_t r = 0; r < n->runs; r++)
            now[r] = ohm[r] * n->length_m[r] * (corner >> r & 1 ? 1 + tolerance : 1 - tolerance);
        least = fmin(least, n->margin(n, now, n->source_ohm * (corner >> n->runs & 1 ? 1 : 0.8)));
    }
    return least;
}

static double cost_of(const net *n, const size_t *pick) {
    double sum = 0;
    for (size_t r = 0; r < n->runs; r++)
        sum += n->length_m[r] * n->price[pick[r]];
    return sum;
}

static double margin_of(const net *n, const size_t *pick) {
    double ohm[RUNS];
    if (n->tied && pick[1] < pick[0])
        return -INFINITY;
    for (size_t r = 0; r < n->runs; r++)
        ohm[r] = ohm_per_m(pick[r]);
    return worst_margin(n, ohm);
}

/* Every choice, tried; INFINITY = none holds. */
static double enumerate(const net *n) {
    size_t pick[RUNS] = {0}, r;
    double least = INFINITY;
    do {
        double cost = cost_of(n, pick);
        if (cost < least && margin_of(n, pick) >= 0)
            least = cost;
        for (r = 0; r < n->runs && ++pick[r] == SIZES; r++)
            pick[r] = 0;
    } while (r < n->runs);
    return least;
}

/* ---- a mesh: two feeds with a link between their ends, one return ---- */

/* Nodes: 0 p, 1 the lamp of fixed ohms, 2 the load of fixed amps, 3 y; the reference is the
 * battery's minus. Runs: 0 p-1, 1 p-2, 2 y-m, 3 1-2, 4 a second return y-m. Gauss with pivots. */
static double mesh_margin(const net *n, const double *ohm, double source_ohm) {
    enum { N = 4 };
    double g[N][N + 1] = {{0}};
    static const int ends[RUNS][2] = {{0, 1}, {0, 2}, {3, -1}, {1, 2}, {3, -1}};
    for (size_t r = 0; r < n->runs; r++) {
        int a = ends[r][0], b = ends[r][1];
        g[a][a] += 1 / ohm[r];
        if (b < 0)
            continue;
        g[b][b] += 1 / ohm[r];
        g[a][b] -= 1 / ohm[r];
        g[b][a] -= 1 / ohm[r];
    }
    g[0][0] += 1 / source_ohm;
    g[0][N] = n->source_v / source_ohm;
    g[1][1] += 1 / n->lamp_ohm;
    g[3][3] += 1 / n->lamp_ohm;
    g[1][3] -= 1 / n->lamp_ohm;
    g[3][1] -= 1 / n->lamp_ohm;
    g[2][N] -= n->amps;
    g[3][N] += n->amps;
    for (int k = 0; k < N; k++)
        for (int i = k + 1; i < N; i++) {
            double f = g[i][k] / g[k][k]; /* positive definite: no pivoting is needed */
            for (int j = k; j <= N; j++)
                g[i][j] -= f * g[k][j];
        }
    double v[N];
    for (int i = N - 1; i >= 0; i--) {
        v[i] = g[i][N];
        for (int j = i + 1; j < N; j++)
            v[i] -= g[i][j] * v[j];
        v[i] /= g[i][i];
    }
    return fmin(v[1] - v[3] - n->limit_v[0], v[2] - v[3] - n->limit_v[1]);
}

static void add_run(jv_text *j, const net *n, size_t r, const char *a, const char *b) {
    jv_text_addf(j,
                 ",\n\"%s\": {\"is\": \"cable\", \"a\": \"%s\", \"b\": \"%s\", \"size\": \"16 "
                 "AWG\", \"length\": \"%.17g m +/- 5 %%\", \"conductor_temperature\": \"%g degC\"}",
                 names[r], a, b, n->length_m[r], wire_c);
}

static jv_circuit *finish(jv_text *j, const net *n, const char *first, const char *second) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_text_addf(j,
                 "},\n\"watches\": {\"watch 0\": {\"at\": [\"%s\", \"y\"], \"below\": \"%.17g "
                 "V\", \"while\": \"always\"}, \"watch 1\": {\"at\": [\"%s\", \"y\"], \"below\": "
                 "\"%.17g V\", \"while\": \"always\"}}, \"cases\": {\"on\": {}}}\n",
                 first, n->limit_v[0], second, n->limit_v[1]);
    assert_false(j->failed);
    jv_status status = jv_circuit_read_text(jv_text_str(j), j->length, "mesh", NULL, &d, &c);
    if (status != JV_OK) {
        jv_text t = {0};
        jv_diags_print(&d, &t);
        print_error("%s\n%s\n", jv_text_str(&t), jv_text_str(j));
        jv_text_clear(&t);
    }
    assert_int_equal(status, JV_OK);
    jv_diags_clear(&d);
    jv_text_clear(j);
    return c;
}

static void begin(jv_text *j, const net *n) {
    jv_text_addf(j,
                 "{\"circuit\": \"mesh\", \"ambient\": \"20 degC\", \"parts\": {\n\"source\": "
                 "{\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", \"open_circuit\": "
                 "\"%.17g V\", \"resistance\": \"%.17g ohm .. %.17g ohm\"}",
                 n->source_v, n->source_ohm * 0.8, n->source_ohm);
}

static jv_circuit *mesh_circuit(const net *n) {
    static const char *const ends[RUNS][2] = {
        {"p", "u"}, {"p", "v"}, {"y", "m"}, {"u", "v"}, {"y", "m"}};
    jv_text j = {0};
    begin(&j, n);
    for (size_t r = 0; r < n->runs; r++)
        add_run(&j, n, r, ends[r][0], ends[r][1]);
    jv_text_addf(&j,
                 ",\n\"lamp\": {\"is\": \"load\", \"plus\": \"u\", \"minus\": \"y\", "
                 "\"resistance\": \"%.17g ohm\"},\n\"load\": {\"is\": \"load\", \"plus\": \"v\", "
                 "\"minus\": \"y\", \"current\": \"%.17g A\"}",
                 n->lamp_ohm, n->amps);
    return finish(&j, n, "u", "v");
}

static net random_net(uint32_t *seed, size_t runs) {
    net n = {.runs = runs};
    double price = between(seed, 0.2, 0.4);
    n.source_v = between(seed, 12.2, 12.8);
    n.source_ohm = between(seed, 0.004, 0.02);
    for (size_t i = 0; i < SIZES; i++, price *= between(seed, 1.1, 1.9))
        n.price[i] = price;
    for (size_t r = 0; r < runs; r++)
        n.length_m[r] = between(seed, 1, 9);
    n.amps = between(seed, 5, 30);
    return n;
}

static net random_mesh(uint32_t *seed, size_t runs) {
    net n = random_net(seed, runs);
    n.lamp_ohm = between(seed, 0.5, 2);
    n.margin = mesh_margin;
    double most = n.source_v - (n.amps + n.source_v / n.lamp_ohm) * n.source_ohm;
    for (size_t i = 0; i < WATCHES; i++)
        n.limit_v[i] = most - between(seed, 0.05, 1.5);
    return n;
}

/* ---- a relay that must pull in beside a lamp, and then feeds the load ---- */

static const double contact_ohm = 0.003;

/* Runs: 0 feed, 1 return, 2 from the contact to the load, 3 a second feed beside the first. The
 * coil hangs at the end of the feed. Before it pulls in the feed carries lamp and coil. */
static double relay_margin(const net *n, const double *ohm, double source_ohm) {
    double feed = n->runs > 3 ? 1 / (1 / ohm[0] + 1 / ohm[3]) : ohm[0];
    double loop = source_ohm + feed + ohm[1];
    double share = 1 / (1 + loop / n->coil_ohm);
    double open_v = (n->source_v - loop * n->lamp_a) * share;
    if (open_v < n->pull_in_v)
        return -INFINITY;
    double at = (n->source_v - loop * (n->lamp_a + n->amps)) * share;
    double load = at - n->amps * (contact_ohm + ohm[2]);
    return fmin(at - n->limit_v[0], load - n->limit_v[1]);
}

static jv_circuit *relay_circuit(const net *n) {
    static const char *const ends[RUNS][2] = {{"p", "x"}, {"y", "m"}, {"z", "l"}, {"p", "x"}};
    jv_text j = {0};
    begin(&j, n);
    for (size_t r = 0; r < n->runs; r++)
        add_run(&j, n, r, ends[r][0], ends[r][1]);
    jv_text_addf(&j,
                 ",\n\"relay\": {\"is\": \"relay\", \"a\": \"x\", \"b\": \"z\", \"coil_plus\": "
                 "\"x\", \"coil_minus\": \"y\", \"resistance\": \"%g ohm\", \"coil_resistance\": "
                 "\"%.17g ohm\", \"pull_in\": \"%.17g V\", \"drop_out\": \"1.2 V\"},\n\"lamp\": "
                 "{\"is\": \"load\", \"plus\": \"x\", \"minus\": \"y\", \"current\": \"%.17g "
                 "A\"},\n\"load\": {\"is\": \"load\", \"plus\": \"l\", \"minus\": \"y\", "
                 "\"current\": \"%.17g A\"}",
                 contact_ohm, n->coil_ohm, n->pull_in_v, n->lamp_a, n->amps);
    return finish(&j, n, "x", "l");
}

static net random_relay(uint32_t *seed, size_t runs) {
    net n = random_net(seed, runs);
    n.coil_ohm = between(seed, 2, 20); /* a contactor's */
    n.lamp_a = between(seed, 2, 20);
    n.pull_in_v = n.source_v - n.lamp_a * n.source_ohm - between(seed, 0.3, 1.5);
    n.margin = relay_margin;
    n.tied = runs == 3;
    double amps = n.amps + n.lamp_a + n.source_v / n.coil_ohm;
    for (size_t i = 0; i < WATCHES; i++)
        n.limit_v[i] = n.source_v - amps * n.source_ohm - between(seed, 0.05, 1.5);
    return n;
}

/* ---- the trials ---- */

typedef struct count {
    size_t possible, impossible, proved, open;
} count;

/* What is called proved is the least of all choices, and what is called impossible has none. What
 * is not proved says why, and holds. */
static void check(const net *n, jv_circuit *c, count *seen) {
    jv_price prices[SIZES];
    jv_diags d = {0};
    jv_sizing *s = NULL;
    for (size_t i = 0; i < SIZES; i++)
        prices[i] = (jv_price){{JV_SIZE_AWG, gauges[i], 0}, n->price[i]};
    const jv_size_options how = {.prices = prices, .n_prices = SIZES, .no_budget = true};
    assert_int_equal(jv_size_find(c, &how, &d, &s), JV_OK);
    double best = enumerate(n);
    if (s->possible) {
        size_t pick[RUNS] = {0};
        assert_int_equal(s->n_runs, n->runs);
        for (size_t r = 0; r < n->runs; r++)
            for (size_t g = 0; g < SIZES; g++)
                if (s->runs[r].size.gauge == gauges[g])
                    pick[r] = g;
        assert_true(margin_of(n, pick) >= -1e-6);
        assert_close(s->cost, cost_of(n, pick), 1e-12, 0);
        assert_true(s->cost >= best * (1 - 1e-12));
        if (s->proof == JV_SIZE_PROVED)
            assert_close(s->cost, best, 1e-12, 0);
        else
            assert_non_null(s->unproved);
    } else {
        assert_true(s->n_misses > 0);
        if (!s->unproved)
            assert_true(isinf(best));
    }
    seen->possible += s->possible;
    seen->impossible += !s->possible;
    seen->proved += s->proof == JV_SIZE_PROVED;
    seen->open += s->unproved != NULL;
    jv_sizing_free(&s);
    jv_circuit_free(&c);
    jv_diags_clear(&d);
}

static void tell(const count *n) {
    print_message("%zu possible, %zu proved, %zu impossible, %zu left open\n", n->possible,
                  n->proved, n->impossible, n->open);
}

static void meshes_of_three_and_four_runs(void **state) {
    const size_t circuits = getenv("JV_LONG") ? 200 : 16;
    uint32_t seed = 77;
    count n = {0};
    (void)state;
    for (size_t k = 0; k < circuits; k++) {
        net t = random_mesh(&seed, 3 + k % 2);
        check(&t, mesh_circuit(&t), &n);
    }
    tell(&n);
    assert_true(n.proved > circuits / 2 && n.impossible > 0);
}

static void relays_that_must_pull_in(void **state) {
    const size_t circuits = getenv("JV_LONG") ? 200 : 16;
    uint32_t seed = 505;
    count n = {0};
    (void)state;
    for (size_t k = 0; k < circuits; k++) {
        net t = random_relay(&seed, 3 + k % 2);
        check(&t, relay_circuit(&t), &n);
    }
    tell(&n);
    assert_true(n.proved > circuits / 2 && n.impossible > 0);
}

/* A hundred thousand choices: of the first of the short run those that are cheaper are too many to
 * try, of the second not. What it says must be true of both. */
static void a_mesh_of_five_runs(void **state) {
    const size_t circuits = getenv("JV_LONG") ? 20 : 2;
    uint32_t seed = 4;
    count n = {0};
    (void)state;
    for (size_t k = 0; k < circuits; k++) {
        net t = random_mesh(&seed, 5);
        check(&t, mesh_circuit(&t), &n);
    }
    tell(&n);
    assert_true(n.proved > 0 && n.open > 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(meshes_of_three_and_four_runs),
        cmocka_unit_test(relays_that_must_pull_in),
        cmocka_unit_test(a_mesh_of_five_runs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
