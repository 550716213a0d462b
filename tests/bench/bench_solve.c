/* bench_solve.c - the steady study against bare KLU, and its growth. SPDX-License-Identifier: MIT
 */
#define _POSIX_C_SOURCE 200809L
#include "circuit/circuit.h"
#include "jackvolt/drop.h"
#include "jackvolt/read.h"
#include "jackvolt/solver.h"
#include "jackvolt/text.h"
#include "solve/point.h"
#include "timing.h"

#include <limits.h>
#include <malloc.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <suitesparse/klu.h>

/* Bars of design section 6. */
static const double growth_bar = 1.5;   /* cost of a part, largest over smallest circuit */
static const double klu_bar = 1.5;      /* assembly, Newton and KLU over the bare KLU calls */
static const double bytes_bar = 1000.0; /* a part, once read */
static const double start_bar_s = 0.010;

enum { BLOCK_PARTS = 25, SIZES = 4 };
static const double WARM_S = 0.3;

/* One vehicle: battery, feed, return by cable and frame (a mesh), controller with two jacks, a
 * sensor with its regulator, a relay, loads; two cables join it to the next one. */
static void add_block(jv_text *t, unsigned b, bool last) {
    jv_text_addf(
        t,
        "\"battery %u\":{\"is\":\"battery\",\"plus\":\"p%u\",\"minus\":\"m%u\","
        "\"open_circuit\":\"12.6 V\",\"resistance\":\"8 mohm\"},\n"
        "\"fuse %u\":{\"is\":\"fuse\",\"a\":\"p%u\",\"b\":\"f%u\",\"rating\":\"60 A\"},\n"
        "\"feed %u\":{\"is\":\"cable\",\"a\":\"f%u\",\"b\":\"c+%u\",\"size\":\"6 AWG\","
        "\"length\":\"22 ft\"},\n"
        "\"return %u\":{\"is\":\"cable\",\"a\":\"c-%u\",\"b\":\"s%u\",\"size\":\"6 AWG\","
        "\"length\":\"22 ft\"},\n"
        "\"stud %u\":{\"is\":\"contact\",\"a\":\"s%u\",\"b\":\"m%u\",\"resistance\":\"1 mohm\"},\n"
        "\"frame %u\":{\"is\":\"frame\",\"points\":{\"s%u\":\"1 mohm\",\"c-%u\":\"2 mohm\"}},\n"
        "\"controller %u\":{\"is\":\"controller\",\"plus\":\"c+%u\",\"minus\":\"c-%u\","
        "\"outputs\":{\"left\":[\"l+%u\",\"l-%u\"],\"right\":[\"r+%u\",\"r-%u\"]}},\n",
        b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b);
    for (int side = 0; side < 2; side++) {
        char s = side ? 'r' : 'l';
        jv_text_addf(
            t,
            "\"%c cable %u\":{\"is\":\"cable\",\"a\":\"%c+%u\",\"b\":\"%cp%u\",\"size\":\"10 AWG\","
            "\"length\":\"8 ft\"},\n"
            "\"%c back %u\":{\"is\":\"cable\",\"a\":\"%cn%u\",\"b\":\"%c-%u\",\"size\":\"10 AWG\","
            "\"length\":\"8 ft\"},\n"
            "\"%c plug %u\":{\"is\":\"connector\",\"pins\":{\"1\":[\"%cp%u\",\"%cj%u\"],"
            "\"2\":[\"%cn%u\",\"%ck%u\"]},\"resistance\":\"2 mohm\"},\n"
            "\"%c jack %u\":{\"is\":\"jack\",\"plus\":\"%cj%u\",\"minus\":\"%ck%u\","
            "\"rated_current\":\"28 A\",\"no_load_current\":\"6 A\",\"stall_current\":\"90 A\"},\n",
            s, b, s, b, s, b, s, b, s, b, s, b, s, b, s, b, s, b, s, b, s, b, s, b, s, b, s, b);
    }
    jv_text_addf(
        t,
        "\"rail %u\":{\"is\":\"sensor_supply\",\"in\":\"c+%u\",\"minus\":\"c-%u\",\"out\":\"v%u\","
        "\"set_voltage\":\"5 V\",\"limit\":\"100 mA\"},\n"
        "\"lead %u\":{\"is\":\"lead\",\"a\":\"v%u\",\"b\":\"h%u\",\"size\":\"18 AWG\","
        "\"length\":\"10 ft\"},\n"
        "\"sensor %u\":{\"is\":\"hall\",\"supply\":\"h%u\",\"minus\":\"c-%u\"},\n"
        "\"relay %u\":{\"is\":\"relay\",\"a\":\"c+%u\",\"b\":\"y%u\",\"coil_plus\":\"c+%u\","
        "\"coil_minus\":\"c-%u\"},\n"
        "\"valve %u\":{\"is\":\"load\",\"plus\":\"y%u\",\"minus\":\"c-%u\",\"resistance\":\"6 "
        "ohm\"},\n"
        "\"switch %u\":{\"is\":\"switch\",\"a\":\"f%u\",\"b\":\"w%u\"},\n"
        "\"light %u\":{\"is\":\"load\",\"plus\":\"w%u\",\"minus\":\"s%u\",\"current\":\"2 A\"},\n"
        "\"board %u\":{\"is\":\"load\",\"plus\":\"f%u\",\"minus\":\"s%u\",\"current\":\"300 mA\"}",
        b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b, b);
    if (!last)
        jv_text_addf(t,
                     ",\n\"plus link %u\":{\"is\":\"cable\",\"a\":\"p%u\",\"b\":\"p%u\","
                     "\"size\":\"8 AWG\",\"length\":\"12 ft\"},\n"
                     "\"minus link %u\":{\"is\":\"cable\",\"a\":\"m%u\",\"b\":\"m%u\","
                     "\"size\":\"8 AWG\",\"length\":\"12 ft\"},\n",
                     b, b, b + 1, b, b, b + 1);
}

static void make_text(jv_text *t, unsigned parts) {
    unsigned blocks = parts / BLOCK_PARTS;
    jv_text_add(t, "{\"circuit\":\"yard\",\n\"ambient\":\"20 degC\",\n\"parts\":{\n");
    for (unsigned b = 0; b < blocks; b++)
        add_block(t, b, b + 1 == blocks);
    jv_text_add(t, "},\n\"watches\":{\"stop\":{\"at\":[\"c+0\",\"c-0\"],\"below\":\"10.5 V\","
                   "\"while\":\"running\"}},\n\"cases\":{\"lifting\":{\"lift\":{");
    for (unsigned b = 0; b < blocks; b++)
        jv_text_addf(t, "%s\"l jack %u\":\"%u A\"", b ? "," : "", b, 15 + b % 17);
    jv_text_add(t, "}}}}\n");
}

/* --- what is timed --- */

typedef struct job {
    const jv_text *text;
    jv_circuit *c;
    jv_net *net;
    jv_system *system;
    jv_point point;
    jv_drop *drop;
    jv_lu_counts counts;
    bool failed;
} job;

static void read_it(void *ctx) {
    job *j = ctx;
    jv_diags d = {0};
    jv_circuit_free(&j->c);
    if (jv_circuit_read_text(j->text->data, j->text->length, "yard", NULL, &d, &j->c) != JV_OK) {
        j->failed = true;
        if (d.count)
            fprintf(stderr, "%s\n", d.items[0].message);
    }
    jv_diags_clear(&d);
}

static void build_it(void *ctx) {
    job *j = ctx;
    jv_net_free(&j->net);
    if (jv_net_build(j->c, &j->c->cases[0], NULL, 0, &j->net) != JV_OK)
        j->failed = true;
}

static void solve_it(void *ctx) {
    job *j = ctx;
    jv_system_free(&j->system);
    if (jv_system_new(j->net, &j->system) != JV_OK ||
        jv_point_first(j->system, &j->point) != JV_OK || j->point.outcome != JV_POINT_FOUND)
        j->failed = true;
    else
        j->counts = jv_lu_counted(j->system->lu);
}

static void drop_it(void *ctx) {
    job *j = ctx;
    const jv_drop_options options = {.no_levers = true};
    jv_drop_free(&j->drop);
    if (jv_drop_run(j->c, &options, &j->drop) != JV_OK || !j->drop->cases[0].converged)
        j->failed = true;
}

static void drop_with_levers(void *ctx) {
    job *j = ctx;
    jv_drop_free(&j->drop);
    if (jv_drop_run(j->c, NULL, &j->drop) != JV_OK)
        j->failed = true;
}

/* The KLU calls of solve_it alone, on its last matrix: as many of each. */
static void call_klu(job *j, int scale) {
    jv_system *s = j->system;
    klu_common common;
    klu_defaults(&common);
    common.scale = scale;
    klu_symbolic *symbolic = klu_analyze(s->n, s->ap, s->ai, &common);
    klu_numeric *numeric = NULL;
    for (size_t k = 0; k < j->counts.factors; k++) {
        if (numeric)
            klu_free_numeric(&numeric, &common);
        numeric = klu_factor(s->ap, s->ai, s->ax, symbolic, &common);
    }
    for (size_t k = 0; numeric && k < j->counts.refactors; k++)
        klu_refactor(s->ap, s->ai, s->ax, symbolic, numeric, &common);
    for (size_t k = 0; numeric && k < j->counts.solves; k++) {
        memcpy(s->dx, s->f, (size_t)s->n * sizeof *s->dx);
        klu_solve(symbolic, numeric, s->n, 1, s->dx, &common);
    }
    if (!numeric)
        j->failed = true;
    klu_free_numeric(&numeric, &common);
    klu_free_symbolic(&symbolic, &common);
}

/* KLU as it comes: rows scaled by their largest entry. */
static void bare_klu(void *ctx) {
    call_klu(ctx, 2);
}

/* Without that, as jv_lu asks for it: its rows come scaled. */
static void bare_unscaled(void *ctx) {
    call_klu(ctx, -1);
}

typedef struct figures {
    double read, build, solve, klu, ratio, unscaled, drop, levers;
} figures;

static bool measure(unsigned parts, figures *out) {
    jv_text text = {0};
    make_text(&text, parts);
    job j = {.text = &text};
    int repeats = parts >= 100000 ? 11 : parts >= 10000 ? 15 : 51;
    read_it(&j);
    build_it(&j);
    for (double start = timing_now(); !j.failed && timing_now() - start < WARM_S;)
        solve_it(&j); /* until the processor has found its pace */
    out->read = timing_median(read_it, &j, repeats > 11 ? 5 : 3);
    if (!j.failed) {
        out->build = timing_median(build_it, &j, repeats);
        out->solve = timing_median(solve_it, &j, repeats);
        out->klu = j.failed ? NAN : timing_median(bare_klu, &j, repeats);
        out->ratio = j.failed ? NAN : timing_ratio(solve_it, bare_klu, &j, repeats);
        out->unscaled = j.failed ? NAN : timing_ratio(solve_it, bare_unscaled, &j, repeats);
        out->drop = timing_median(drop_it, &j, repeats);
        out->levers = timing_median(drop_with_levers, &j, repeats > 11 ? 5 : 3);
    }
    if (!j.failed)
        printf("solve: %7zu parts %8d unknowns: read %7.2f us/part, drop %5.2f, its net %5.2f, "
               "solving "
               "%5.2f (%d steps), bare KLU %5.2f (%zu factor %zu refactor %zu solve), ratio %4.2f "
               "(%4.2f to KLU that scales no rows), with "
               "levers %6.2f\n",
               j.c->n_parts, j.system->n, 1e6 * out->read / parts, 1e6 * out->drop / parts,
               1e6 * out->build / parts, 1e6 * out->solve / parts, j.point.iterations,
               1e6 * out->klu / parts, j.counts.factors, j.counts.refactors, j.counts.solves,
               out->ratio, out->unscaled, 1e6 * out->levers / parts);
    jv_drop_free(&j.drop);
    jv_system_free(&j.system);
    jv_net_free(&j.net);
    jv_circuit_free(&j.c);
    jv_text_clear(&text);
    return !j.failed;
}

/* Bytes a part once read (the circuit), and at the most in a study. */
static bool weigh(unsigned parts, double *bytes) {
    jv_text text = {0};
    make_text(&text, parts);
    memory_start();
    size_t before = memory_held();
    job j = {.text = &text};
    read_it(&j);
    size_t reader = memory_peak() - before, circuit = memory_held() - before;
    if (!j.failed)
        drop_it(&j);
    if (!j.failed)
        build_it(&j);
    if (!j.failed)
        solve_it(&j);
    *bytes = (double)circuit / parts;
    if (!j.failed)
        printf(
            "solve: memory a part: circuit %.0f B (reader's peak %.0f B, text %.0f B), net %.0f B, "
            "system and factors %.0f B\n",
            *bytes, (double)reader / parts, (double)text.length / parts,
            (double)(j.net->n_elements * sizeof *j.net->elements +
                     j.c->n_slots * sizeof *j.net->nominal + j.c->n_parts * 7) /
                parts,
            (double)jv_system_memory(j.system) / parts);
    jv_drop_free(&j.drop);
    jv_system_free(&j.system);
    jv_net_free(&j.net);
    jv_circuit_free(&j.c);
    memory_stop();
    jv_text_clear(&text);
    return !j.failed;
}

/* `drop` on an example, from process start to answer. */
static void run_program(void *ctx) {
    job *j = ctx;
    int status = system("jackvolt drop circuits/long-trailer.json >/dev/null");
    if (status < 0 || (status >> 8) > 1)
        j->failed = true;
}

static void verdict(const char *what, double value, double bar, const char *unit) {
    printf("solve: %-58s %8.3g %s, bar %g: %s\n", what, value, unit, bar,
           value <= bar ? "holds" : "MISSED");
}

int main(void) {
    static const unsigned sizes[SIZES] = {100, 1000, 10000, 100000};
    double least = INFINITY, most = 0.0, ratio = 0.0, bytes;
    double least_solve = INFINITY, most_solve = 0.0;
    /* What is given back stays with the process, for all sizes alike: else the large ones would
     * pay for the system clearing their pages anew each time, and the small ones would not. */
    mallopt(M_MMAP_MAX, 0);
    mallopt(M_TRIM_THRESHOLD, INT_MAX);
    jv_solver_large_blocks(); /* as the program does: for the bare calls too */
    for (int k = 0; k < SIZES; k++) {
        figures f = {0};
        if (!measure(sizes[k], &f)) {
            printf("solve: %u parts: no answer\n", sizes[k]);
            return 1;
        }
        least = fmin(least, f.drop / sizes[k]);
        most = fmax(most, f.drop / sizes[k]);
        least_solve = fmin(least_solve, f.solve / sizes[k]);
        most_solve = fmax(most_solve, f.solve / sizes[k]);
        ratio = fmax(ratio, f.ratio);
    }
    if (!weigh(10000, &bytes))
        return 1;
    job program = {0};
    double start = INFINITY; /* the least of many: how long it takes when nothing else runs */
    for (int k = 0; k < 31; k++) {
        double began = timing_wall();
        run_program(&program);
        start = fmin(start, timing_wall() - began);
    }
    if (program.failed) {
        printf("solve: the program did not run: is it on the path?\n");
        return 1;
    }
    verdict("cost of a part in solving, dearest over cheapest size", most_solve / least_solve,
            growth_bar, "x");
    verdict("cost of a part in drop, dearest over cheapest size", most / least, growth_bar, "x");
    verdict("assembly, Newton and KLU over the bare KLU calls, worst size", ratio, klu_bar, "x");
    verdict("memory of a part once read", bytes, bytes_bar, "B");
    verdict("drop on the five-jack trailer, start to answer", start, start_bar_s, "s");
    return 0;
}
