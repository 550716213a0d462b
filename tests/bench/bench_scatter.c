/* bench_scatter.c - a million draws against the bare KLU calls. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L
#include "jackvolt/read.h"
#include "study/draws.h"
#include "timing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <suitesparse/klu.h>
#include <time.h>

/* Bars of the design, section 6. */
static const double scalar_bar = 1.5; /* one at a time, over the bare calls */
static const double lanes_bar = 6.0;  /* the bare calls, over side by side */
static const double threads_bar = 1.7;
static const double memory_bar = 1.0; /* kB that ten times the draws may take */
enum { TERMINALS = 40, REPEATS = 3, MILLION = 1000000 };

/* A trailer of 40 terminals: two batteries, feed, four jacks with breaker, cables and plug each,
 * return by cable and frame, lights. What a real file would give with a spread has one. */
static void write_circuit(jv_text *t) {
    jv_text_add(
        t,
        "{\"circuit\":\"bench\",\"parts\":{"
        "\"battery\":{\"is\":\"battery\",\"plus\":\"p\",\"minus\":\"m\",\"chemistry\":\"agm\","
        "\"capacity\":\"100 Ah\",\"charge\":\"60 % .. 95 %\"},"
        "\"second\":{\"is\":\"battery\",\"plus\":\"p2\",\"minus\":\"m\",\"open_circuit\":"
        "\"12.4 V .. 12.7 V\",\"resistance\":\"8 mohm .. 14 mohm\"},"
        "\"link\":{\"is\":\"cable\",\"a\":\"p\",\"b\":\"p2\",\"size\":\"2 AWG\",\"length\":\"2 "
        "ft\"},"
        "\"clamp\":{\"is\":\"contact\",\"a\":\"p\",\"b\":\"c\",\"resistance\":\"0.3 mohm .. 2 "
        "mohm\"},"
        "\"fuse\":{\"is\":\"fuse\",\"a\":\"c\",\"b\":\"f\",\"rating\":\"150 A\",\"resistance\":"
        "\"0.4 mohm */ 1.5\"},"
        "\"lug\":{\"is\":\"contact\",\"a\":\"f\",\"b\":\"g\",\"resistance\":\"0.2 mohm */ 2\"},"
        "\"feed\":{\"is\":\"cable\",\"a\":\"g\",\"b\":\"x\",\"size\":\"2 AWG\",\"length\":"
        "\"18 ft +/- 5 %\"},"
        "\"switch\":{\"is\":\"switch\",\"a\":\"x\",\"b\":\"u\",\"resistance\":\"0.5 mohm */ 2\"},"
        "\"return\":{\"is\":\"cable\",\"a\":\"y\",\"b\":\"s\",\"size\":\"2 AWG\",\"length\":"
        "\"18 ft +/- 5 %\"},"
        "\"frame\":{\"is\":\"frame\",\"points\":{\"y\":\"1 mohm .. 10 mohm\",\"s\":"
        "\"1 mohm .. 10 mohm\"},\"resistance\":\"2 mohm */ 1.5\"},"
        "\"stud\":{\"is\":\"contact\",\"a\":\"s\",\"b\":\"n\",\"resistance\":\"0.3 mohm .. 3 "
        "mohm\"},"
        "\"strap\":{\"is\":\"cable\",\"a\":\"n\",\"b\":\"m\",\"size\":\"2 AWG\",\"length\":\"2 "
        "ft\"},"
        "\"lead\":{\"is\":\"cable\",\"a\":\"c\",\"b\":\"l\",\"size\":\"12 AWG\",\"length\":\"12 "
        "ft\"},"
        "\"lights\":{\"is\":\"load\",\"plus\":\"l\",\"minus\":\"y\",\"current\":\"4 A\"},");
    for (int k = 1; k <= 4; k++)
        jv_text_addf(
            t,
            "\"breaker %d\":{\"is\":\"breaker\",\"a\":\"u\",\"b\":\"b%d\",\"rating\":\"40 A\","
            "\"resistance\":\"2 mohm */ 1.5\"},"
            "\"out %d\":{\"is\":\"cable\",\"a\":\"b%d\",\"b\":\"c%d\",\"size\":\"10 "
            "AWG\",\"length\":"
            "\"%d ft +/- 5 %%\"},"
            "\"splice %d\":{\"is\":\"contact\",\"a\":\"c%d\",\"b\":\"d%d\",\"resistance\":"
            "\"0.3 mohm */ 2\"},"
            "\"plug %d\":{\"is\":\"connector\",\"pins\":{\"plus\":[\"d%d\",\"j%d\"],\"minus\":"
            "[\"k%d\",\"e%d\"]},\"resistance\":\"0.6 mohm .. 3 mohm\"},"
            "\"jack %d\":{\"is\":\"jack\",\"plus\":\"j%d\",\"minus\":\"k%d\",\"rated_current\":"
            "\"30 A\",\"no_load_current\":\"5 A\",\"stall_current\":\"110 A\"},"
            "\"back splice %d\":{\"is\":\"contact\",\"a\":\"e%d\",\"b\":\"i%d\",\"resistance\":"
            "\"0.3 mohm */ 2\"},"
            "\"back %d\":{\"is\":\"cable\",\"a\":\"i%d\",\"b\":\"y\",\"size\":\"10 "
            "AWG\",\"length\":"
            "\"%d ft +/- 5 %%\"}%s",
            k, k, k, k, k, 6 + 4 * k, k, k, k, k, k, k, k, k, k, k, k, k, k, k, k, k, 6 + 4 * k,
            k < 4 ? "," : "");
    jv_text_add(t, "},\"watches\":{\"stop\":{\"at\":[\"x\",\"y\"],\"below\":\"11.4 V\"}},"
                   "\"cases\":{\"lifting\":{\"lift\":{\"jack 1\":\"20 A .. 26 A\",\"jack 2\":"
                   "\"20 A .. 26 A\",\"jack 3\":\"20 A .. 26 A\",\"jack 4\":\"20 A .. 26 A\"}}}}");
}

typedef struct bench {
    jv_circuit *circuit;
    jv_spreads spreads;
    jv_trial nominal;
    jv_moves moves;
    jv_draws draws;
    uint64_t count;
    unsigned threads;
    double trips, scalar;
} bench;

static void fail(const char *what) {
    fprintf(stderr, "bench_scatter: %s\n", what);
    exit(1);
}

static void set_up(bench *b) {
    static const size_t watches[] = {0};
    jv_text t = {0};
    jv_diags d = {0};
    write_circuit(&t);
    if (jv_circuit_read_text(jv_text_str(&t), t.length, "bench", NULL, &d, &b->circuit) != JV_OK) {
        jv_text out = {0};
        jv_diags_print(&d, &out);
        fail(jv_text_str(&out));
    }
    jv_text_clear(&t);
    jv_diags_clear(&d);
    if (jv_circuit_terminals(b->circuit) != TERMINALS)
        fail("not 40 terminals");
    if (jv_spreads_find(b->circuit, &b->circuit->cases[0], &b->spreads) != JV_OK ||
        jv_trial_make(&b->spreads, NULL, 0, NULL, &b->nominal) != JV_OK ||
        jv_moves_find(&b->nominal, &b->moves) != JV_OK)
        fail("no memory");
    b->draws = (jv_draws){.spreads = &b->spreads,
                          .nominal = &b->nominal,
                          .moves = &b->moves,
                          .watches = watches,
                          .n_watches = 1,
                          .width = jv_lane_widest()};
}

static void run(void *ctx) {
    bench *b = ctx;
    jv_tally tally;
    bool interrupted;
    const jv_response response = jv_draws_response(&b->draws);
    const jv_sample_plan plan = {.draws = b->count,
                                 .seed = 1,
                                 .threads = b->threads,
                                 .slice = 1,
                                 .of = 1,
                                 .width = jv_lane_widest()};
    if (jv_tally_make(b->spreads.n, 1, &tally) != JV_OK ||
        jv_sample_run(&response, &plan, &tally, &interrupted) != JV_OK)
        fail("no memory");
    b->trips = (double)tally.watches[0].trips / (double)tally.draws;
    b->scalar = (double)tally.scalar;
    jv_tally_clear(&tally);
}

/* Least seconds a call takes, of the clock or of the processor: other work on the machine can only
 * add to them. */
static double least_of(void (*work)(void *ctx), void *ctx, int repeats, bool processor) {
    double least = INFINITY;
    for (int k = 0; k < repeats; k++) {
        double start = processor ? timing_now() : timing_wall();
        work(ctx);
        least = fmin(least, (processor ? timing_now() : timing_wall()) - start);
    }
    return least;
}

/* Seconds a draw. */
static double time_draws(bench *b, bool one_at_a_time, unsigned threads, uint64_t count,
                         bool processor) {
    b->draws.one_at_a_time = one_at_a_time;
    b->threads = threads;
    b->count = count;
    return least_of(run, b, REPEATS, processor) / (double)count;
}

/* The bare calls on the matrix of the nominal point, with fresh numbers in it each time as a
 * draw has them. */
typedef struct bare {
    jv_system *s;
    klu_symbolic *symbolic;
    klu_numeric *numeric;
    klu_common common;
    double *ax, *b;
    int calls;
} bare;

static void refactor(void *ctx) {
    bare *k = ctx;
    for (int i = 0; i < k->calls; i++)
        klu_refactor(k->s->ap, k->s->ai, k->ax, k->symbolic, k->numeric, &k->common);
}

static void solve(void *ctx) {
    bare *k = ctx;
    for (int i = 0; i < k->calls; i++) {
        memcpy(k->b, k->s->f, (size_t)k->s->n * sizeof *k->b);
        klu_solve(k->symbolic, k->numeric, k->s->n, 1, k->b, &k->common);
    }
}

/* scale 2: KLU as it comes, each row by its largest entry; -1: none, as jv_lu asks for it. */
static void time_bare(bench *b, int scale, double *refactor_s, double *solve_s) {
    bare k = {.s = b->nominal.system, .calls = 20000};
    jv_system_evaluate(k.s);
    klu_defaults(&k.common);
    k.common.scale = scale;
    k.symbolic = klu_analyze(k.s->n, k.s->ap, k.s->ai, &k.common);
    k.numeric = klu_factor(k.s->ap, k.s->ai, k.s->ax, k.symbolic, &k.common);
    k.ax = k.s->ax;
    k.b = malloc((size_t)k.s->n * sizeof *k.b);
    if (!k.symbolic || !k.numeric || !k.b)
        fail("no memory for KLU");
    *refactor_s = least_of(refactor, &k, 9, true) / k.calls;
    *solve_s = least_of(solve, &k, 9, true) / k.calls;
    printf("  matrix: %d unknowns, %d entries; klu_refactor %.2f us, klu_solve %.2f us%s\n", k.s->n,
           k.s->ap[k.s->n], 1e6 * *refactor_s, 1e6 * *solve_s,
           scale < 0 ? " without scaling of rows" : "");
    klu_free_numeric(&k.numeric, &k.common);
    klu_free_symbolic(&k.symbolic, &k.common);
    free(k.b);
}

/* Calls that one draw needs, counted over some thousand. */
static double count_calls(bench *b, double *solves) {
    enum { COUNTED = 4096 };
    jv_lu_counts counts;
    b->draws.one_at_a_time = true;
    b->draws.counts = &counts;
    b->threads = 1;
    b->count = COUNTED;
    run(b);
    b->draws.counts = NULL;
    *solves = (double)counts.solves / COUNTED;
    return (double)(counts.refactors + counts.factors) / COUNTED;
}

static bool judge(const char *what, double is, const char *sign, double bar, bool good) {
    printf("  %-58s %7.2f  bar %s %.1f  %s\n", what, is, sign, bar, good ? "met" : "MISSED");
    return good;
}

static double kilobytes(bench *b, uint64_t count) {
    b->draws.one_at_a_time = false;
    b->threads = 1;
    b->count = count;
    memory_start();
    run(b);
    double peak = (double)memory_peak() / 1000.0;
    memory_stop();
    return peak;
}

int main(void) {
    bench b = {0};
    double refactor_s, solve_s, solves;
    set_up(&b);
    printf("scatter: %d terminals, four jacks, %zu quantities with a spread\n", TERMINALS,
           b.spreads.n);
    double refactor_unscaled_s, solve_unscaled_s;
    time_bare(&b, 2, &refactor_s, &solve_s);
    time_bare(&b, -1, &refactor_unscaled_s, &solve_unscaled_s);
    double factors = count_calls(&b, &solves);
    double bare_s = factors * refactor_s + solves * solve_s;
    double unscaled_s = factors * refactor_unscaled_s + solves * solve_unscaled_s;
    printf("  a draw needs %.2f refactors and %.2f solves: %.2f us of bare KLU, %.2f us without "
           "scaling of rows\n",
           factors, solves, 1e6 * bare_s, 1e6 * unscaled_s);
    double scalar_s = time_draws(&b, true, 1, 100000, true);
    double odds = b.trips;
    double lanes_s = time_draws(&b, false, 1, MILLION, true);
    double stragglers = b.scalar;
    double one_s = time_draws(&b, false, 1, MILLION, false);
    double two_s = time_draws(&b, false, 2, MILLION, false);
    printf("  one at a time %.2f us a draw, side by side %.3f us, on two threads %.3f us\n",
           1e6 * scalar_s, 1e6 * lanes_s, 1e6 * two_s);
    printf("  odds %.4f one at a time, %.4f side by side; %.0f of %d draws handed back\n", odds,
           b.trips, stragglers, MILLION);
    printf("  to KLU that scales no rows: one at a time %.2f, it over side by side %.2f\n",
           scalar_s / unscaled_s, unscaled_s / lanes_s);
    double more = kilobytes(&b, 100000) - kilobytes(&b, 10000);
    bool good = judge("one at a time over the bare calls", scalar_s / bare_s, "<=", scalar_bar,
                      scalar_s <= scalar_bar * bare_s);
    good &= judge("bare calls over side by side, one thread", bare_s / lanes_s, ">=", lanes_bar,
                  bare_s >= lanes_bar * lanes_s);
    good &= judge("one thread over two, by the clock", one_s / two_s, ">=", threads_bar,
                  one_s >= threads_bar * two_s);
    good &= judge("kB more for ten times the draws", more, "<=", memory_bar, more <= memory_bar);
    jv_moves_clear(&b.moves);
    jv_trial_clear(&b.nominal);
    jv_spreads_clear(&b.spreads);
    jv_circuit_free(&b.circuit);
    return good ? 0 : 1;
}
