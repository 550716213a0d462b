/* table.c - odds, information and plans over plain tables. SPDX-License-Identifier: MIT */
#include "study/find/table.h"

#include "jackvolt/memory.h"

#include <math.h>
#include <string.h>

/* A test that tells less than this tells nothing, bits. */
static const double nothing_bits = 1e-9;

double jv_entropy_bits(const double *p, size_t n, double total) {
    double h = 0.0;
    for (size_t k = 0; k < n; k++)
        if (p[k] > 0.0)
            h -= p[k] / total * log2(p[k] / total);
    return h;
}

double jv_weigh(const double *weight, const double *likelihood, size_t n, double *out) {
    double sum = 0.0;
    for (size_t k = 0; k < n; k++) {
        out[k] = weight[k] * likelihood[k];
        sum += out[k];
    }
    return sum;
}

static const double *row(const jv_table_tests *t, size_t test, size_t outcome) {
    return t->likelihood + (test * t->n_outcomes + outcome) * t->n_hypotheses;
}

double jv_table_information(const jv_table_tests *t, const double *weight, size_t test,
                            double *scratch) {
    double total = 0.0, after = 0.0;
    for (size_t k = 0; k < t->n_hypotheses; k++)
        total += weight[k];
    for (size_t o = 0; o < t->n_outcomes; o++) {
        double sum = jv_weigh(weight, row(t, test, o), t->n_hypotheses, scratch);
        if (sum > 0.0)
            after += sum / total * jv_entropy_bits(scratch, t->n_hypotheses, sum);
    }
    return jv_entropy_bits(weight, t->n_hypotheses, total) - after;
}

static size_t greedy(const jv_table_tests *t, const double *weight, double *scratch) {
    size_t best = t->n_tests;
    double most = 0.0;
    for (size_t k = 0; k < t->n_tests; k++) {
        double bits = jv_table_information(t, weight, k, scratch);
        /* Ties go to the first: a later one must be better by more than rounding. */
        if (bits > nothing_bits && bits / t->cost[k] > most * (1.0 + nothing_bits)) {
            most = bits / t->cost[k];
            best = k;
        }
    }
    return best;
}

static jv_status cost_from(const jv_table_tests *t, const double *weight, bool ahead, size_t first,
                           double *cost);

jv_status jv_table_next(const jv_table_tests *t, const double *weight, bool ahead, size_t *test) {
    double *scratch = jv_alloc(t->n_hypotheses + 1, sizeof *scratch), least = INFINITY;
    if (!scratch)
        return JV_ERR_MEMORY;
    jv_status status = JV_OK;
    *test = t->n_tests;
    if (!ahead)
        *test = greedy(t, weight, scratch);
    for (size_t k = 0; ahead && k < t->n_tests && status == JV_OK; k++) {
        double cost;
        if (jv_table_information(t, weight, k, scratch) <= nothing_bits)
            continue;
        status = cost_from(t, weight, false, k, &cost);
        if (status == JV_OK && cost < least * (1.0 - nothing_bits)) {
            least = cost;
            *test = k;
        }
    }
    jv_free(scratch);
    return status;
}

static jv_status cost_from(const jv_table_tests *t, const double *weight, bool ahead, size_t first,
                           double *cost) {
    double *after = jv_alloc(t->n_hypotheses + 1, sizeof *after), total = 0.0;
    if (!after)
        return JV_ERR_MEMORY;
    jv_status status = JV_OK;
    for (size_t k = 0; k < t->n_hypotheses; k++)
        total += weight[k];
    *cost = t->cost[first];
    for (size_t o = 0; o < t->n_outcomes && status == JV_OK; o++) {
        double more = 0.0, sum = jv_weigh(weight, row(t, first, o), t->n_hypotheses, after);
        if (sum <= 0.0)
            continue;
        status = jv_table_cost(t, after, ahead, &more);
        *cost += sum / total * more;
    }
    jv_free(after);
    return status;
}

jv_status jv_table_cost(const jv_table_tests *t, const double *weight, bool ahead, double *cost) {
    size_t test;
    *cost = 0.0;
    jv_status status = jv_table_next(t, weight, ahead, &test);
    if (status != JV_OK || test == t->n_tests)
        return status;
    return cost_from(t, weight, ahead, test, cost);
}

/* --- repairs --- */

void jv_action_order(const jv_action *a, size_t n, size_t *order) {
    for (size_t k = 0; k < n; k++) {
        size_t at = k;
        for (; at > 0; at--) {
            const jv_action *before = &a[order[at - 1]];
            if (before->p * a[k].check >= a[k].p * before->check)
                break;
            order[at] = order[at - 1];
        }
        order[at] = k;
    }
}

double jv_action_cost(const jv_action *a, const size_t *order, size_t m, double call) {
    double left = 1.0, cost = 0.0;
    for (size_t k = 0; k < m; k++) {
        const jv_action *x = &a[order[k]];
        cost += left * x->check + x->p * x->repair;
        left -= x->p;
    }
    return cost + fmax(left, 0.0) * call;
}

size_t jv_action_plan(const jv_action *a, const size_t *order, size_t n, double call,
                      double *cost) {
    size_t best = 0;
    *cost = call;
    for (size_t m = 1; m <= n; m++) {
        double c = jv_action_cost(a, order, m, call);
        if (c < *cost * (1.0 - nothing_bits)) {
            *cost = c;
            best = m;
        }
    }
    return best;
}

/* --- conflicts --- */

size_t jv_sets_minimal(uint32_t *sets, size_t n) {
    size_t kept = 0;
    for (size_t k = 0; k < n; k++) {
        bool minimal = true;
        /* Those in front have been thinned out to `kept`, but what was dropped there has a
         * smaller one among the kept or behind. */
        for (size_t t = 0; t < kept && minimal; t++)
            minimal = (sets[t] & sets[k]) != sets[t];
        for (size_t t = k + 1; t < n && minimal; t++)
            minimal = (sets[t] & sets[k]) != sets[t] || sets[t] == sets[k];
        if (minimal)
            sets[kept++] = sets[k];
    }
    return kept;
}

/* Sets that a conflict misses are extended by each of its members (theory (b)). */
size_t jv_sets_hitting(const uint32_t *conflicts, size_t n, uint32_t *out, size_t most) {
    size_t have = 1;
    if (!most)
        return 0;
    out[0] = 0;
    for (size_t c = 0; c < n; c++) {
        size_t before = have;
        for (size_t k = 0; k < before; k++) {
            if (out[k] & conflicts[c])
                continue;
            uint32_t base = out[k];
            bool first = true;
            for (uint32_t bit = 1; bit && bit <= conflicts[c]; bit <<= 1) {
                if (!(conflicts[c] & bit))
                    continue;
                if (first)
                    out[k] = base | bit;
                else if (have < most)
                    out[have++] = base | bit;
                first = false;
            }
        }
        have = jv_sets_minimal(out, have);
    }
    return have;
}
