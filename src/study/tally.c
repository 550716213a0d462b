/* tally.c - what is kept of many draws, in whole numbers. SPDX-License-Identifier: MIT */
#include "study/tally.h"

#include <math.h>
#include <string.h>

static const double step_v = 0x1p-20, clip_v = 64.0;
enum { CELLS = JV_TALLY_CELLS };

jv_status jv_tally_make(size_t n_quantities, size_t n_watches, jv_tally *out) {
    memset(out, 0, sizeof *out);
    out->n_quantities = n_quantities;
    size_t cells = n_quantities * CELLS + 1;
    out->cell_count = jv_zalloc(cells, sizeof *out->cell_count);
    out->watches = jv_zalloc(n_watches + 1, sizeof *out->watches);
    out->steps = jv_zalloc(n_watches + 1, sizeof *out->steps);
    jv_status status = out->cell_count && out->watches && out->steps ? JV_OK : JV_ERR_MEMORY;
    for (size_t k = 0; k < n_watches && status == JV_OK; k++) {
        jv_tally_watch *w = &out->watches[k];
        w->bins = jv_zalloc(JV_SCATTER_BINS, sizeof *w->bins);
        w->cell_sum = jv_zalloc(cells, sizeof *w->cell_sum);
        out->n_watches = k + 1;
        if (!w->bins || !w->cell_sum)
            status = JV_ERR_MEMORY;
    }
    if (status != JV_OK)
        jv_tally_clear(out);
    return status;
}

void jv_tally_clear(jv_tally *t) {
    for (size_t k = 0; k < t->n_watches; k++) {
        jv_free(t->watches[k].bins);
        jv_free(t->watches[k].cell_sum);
    }
    jv_free(t->watches);
    jv_free(t->steps);
    jv_free(t->cell_count);
    memset(t, 0, sizeof *t);
}

static size_t bin_of(double volts) {
    double place = (volts - JV_SCATTER_LEAST_V) / JV_SCATTER_BIN_V;
    if (!(place > 0.0))
        return 0;
    return place < JV_SCATTER_BINS - 1.0 ? (size_t)place : JV_SCATTER_BINS - 1;
}

/* 128 bits in two halves. */
static void add_wide(uint64_t *low, uint64_t *high, uint64_t more_low, uint64_t more_high) {
    *low += more_low;
    *high += more_high + (*low < more_low);
}

static void add_watch(jv_tally_watch *w, unsigned solved, const double *seen, const double *limit,
                      int64_t steps[JV_SIDE]) {
    for (unsigned k = 0; k < JV_SIDE; k++) {
        steps[k] = 0;
        if (!(solved >> k & 1u))
            continue;
        double volts = seen[k] < -clip_v ? -clip_v : seen[k] > clip_v ? clip_v : seen[k];
        steps[k] = (int64_t)floor(volts / step_v + 0.5);
        w->trips += seen[k] < limit[k];
        w->sum += steps[k];
        add_wide(&w->square_low, &w->square_high, (uint64_t)(steps[k] * steps[k]), 0);
        w->bins[bin_of(seen[k])]++;
    }
}

static unsigned count_bits(unsigned bits) {
    unsigned n = 0;
    for (; bits; bits &= bits - 1)
        n++;
    return n;
}

/* Where each of the draws of a quantity falls; those that are not solved fall nowhere. */
static void add_cells(jv_tally *t, size_t q, unsigned solved, const double *u,
                      const int64_t (*steps)[JV_SIDE]) {
    uint64_t *count = t->cell_count + q * CELLS;
    size_t cell[JV_SIDE];
    for (unsigned k = 0; k < JV_SIDE; k++) {
        cell[k] = (size_t)(u[k] * CELLS);
        count[cell[k]] += solved >> k & 1u;
    }
    for (size_t w = 0; w < t->n_watches; w++) {
        int64_t *sum = t->watches[w].cell_sum + q * CELLS;
        for (unsigned k = 0; k < JV_SIDE; k++)
            sum[cell[k]] += steps[w][k];
    }
}

void jv_tally_add(jv_tally *t, unsigned of, unsigned solved, double (*u)[JV_SIDE],
                  double (*seen)[JV_SIDE], double (*limit)[JV_SIDE]) {
    solved &= of;
    t->draws += count_bits(of);
    t->unsolved += count_bits(of & ~solved);
    for (size_t w = 0; w < t->n_watches; w++)
        add_watch(&t->watches[w], solved, seen[w], limit[w], t->steps[w]);
    for (size_t q = 0; q < t->n_quantities; q++)
        add_cells(t, q, solved, u[q], (const int64_t(*)[JV_SIDE])t->steps);
}

void jv_tally_join(jv_tally *t, const jv_tally *more) {
    size_t cells = t->n_quantities * CELLS;
    t->draws += more->draws;
    t->unsolved += more->unsolved;
    t->scalar += more->scalar;
    for (size_t k = 0; k < cells; k++)
        t->cell_count[k] += more->cell_count[k];
    for (size_t w = 0; w < t->n_watches; w++) {
        jv_tally_watch *to = &t->watches[w];
        const jv_tally_watch *from = &more->watches[w];
        to->trips += from->trips;
        to->sum += from->sum;
        add_wide(&to->square_low, &to->square_high, from->square_low, from->square_high);
        for (size_t k = 0; k < JV_SCATTER_BINS; k++)
            to->bins[k] += from->bins[k];
        for (size_t k = 0; k < cells; k++)
            to->cell_sum[k] += from->cell_sum[k];
    }
}

/* --- figures --- */

void jv_wilson(double k, double n, double *low, double *high) {
    static const double z = 1.959963984540054; /* Phi(z) = 0.975 */
    *low = 0.0;
    *high = 1.0;
    if (!(n > 0.0))
        return;
    double p = k / n, middle = p + z * z / (2.0 * n);
    double half = z * sqrt(p * (1.0 - p) / n + z * z / (4.0 * n * n));
    /* At 0 and n the ends are exact; rounding must not move them. */
    if (k > 0.0)
        *low = (middle - half) / (1.0 + z * z / n);
    if (k < n)
        *high = (middle + half) / (1.0 + z * z / n);
}

/* Linear within the bin in which it falls. */
static double percentile(const uint64_t *bins, double n, double share) {
    double wanted = share * n, before = 0.0;
    for (size_t k = 0; k < JV_SCATTER_BINS; k++) {
        double here = (double)bins[k];
        if (here > 0.0 && before + here >= wanted)
            return JV_SCATTER_LEAST_V +
                   JV_SCATTER_BIN_V * ((double)k + fmax(wanted - before, 0.0) / here);
        before += here;
    }
    return NAN;
}

/* Variance of the volts among the cells of one quantity, less what chance alone brings there
 * (one-way analysis of variance: the mean square within estimates it). Steps squared. */
static double variance_between(const jv_tally *t, size_t watch, size_t q, double mean, double n,
                               double square_sum) {
    const uint64_t *count = t->cell_count + q * CELLS;
    const int64_t *sum = t->watches[watch].cell_sum + q * CELLS;
    double between = 0.0, used = 0.0;
    for (int k = 0; k < CELLS; k++) {
        double m = (double)count[k];
        if (m == 0.0)
            continue;
        double off = (double)sum[k] / m - mean;
        between += m * off * off;
        used += 1.0;
    }
    if (n <= used || used < 2.0)
        return 0.0;
    double within = (square_sum - between) / (n - used);
    return fmax(0.0, (between - (used - 1.0) * within) / n);
}

/* First-order shares: Var(E(V | x)) / Var(V) (Sobol 1993). They cannot pass one together:
 * where chance makes them, they are brought back in proportion. */
static double shares_of(const jv_tally *t, size_t watch, double mean, double n, double variance,
                        double *shares) {
    double sum = 0.0;
    for (size_t q = 0; q < t->n_quantities; q++) {
        shares[q] = 0.0;
        if (variance > 0.0)
            shares[q] = variance_between(t, watch, q, mean, n, variance * n) / variance;
        sum += shares[q];
    }
    if (sum <= 1.0)
        return 1.0 - sum;
    for (size_t q = 0; q < t->n_quantities; q++)
        shares[q] /= sum;
    return 0.0;
}

void jv_tally_figures(const jv_tally *t, size_t watch, double *shares, jv_scatter_watch *out) {
    const jv_tally_watch *w = &t->watches[watch];
    double n = (double)(t->draws - t->unsolved), all = (double)t->draws, unused;
    double trips = (double)w->trips;
    out->trips = w->trips;
    out->unsolved = t->unsolved;
    out->trip_probability = n > 0.0 ? trips / n : NAN;
    jv_wilson(trips, all, &out->low95, &unused);
    jv_wilson(trips + (double)t->unsolved, all, &unused, &out->high95);
    out->bins = w->bins;
    out->p1_v = percentile(w->bins, n, 0.01);
    out->p5_v = percentile(w->bins, n, 0.05);
    out->p50_v = percentile(w->bins, n, 0.50);
    out->p95_v = percentile(w->bins, n, 0.95);
    out->p99_v = percentile(w->bins, n, 0.99);
    double mean = n > 0.0 ? (double)w->sum / n : NAN;
    double square = (double)w->square_high * 0x1p64 + (double)w->square_low;
    double variance = n > 1.0 ? fmax(0.0, square / n - mean * mean) : 0.0;
    /* Below the step of the count there is only its rounding. */
    if (variance < 1.0)
        variance = 0.0;
    out->mean_v = mean * step_v;
    out->deviation_v = sqrt(n > 1.0 ? variance * n / (n - 1.0) : 0.0) * step_v;
    out->rest = shares_of(t, watch, mean, n, variance, shares);
    out->share = variance > 0.0 ? shares : NULL;
}
