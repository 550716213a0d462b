/* choose.c - the check that tells most a minute. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"
#include "study/find/table.h"

#include <math.h>
#include <string.h>

enum {
    OUTCOMES = 8,     /* strata of each reading (trial: more do not help) */
    CONSIDERED = 160, /* states with the greatest weight */
    AHEAD = 6         /* of the best a minute, and of the best: looked two steps ahead */
};
/* Suspects with a share below this of the best state are not asked. */
static const double least_weight = 1e-4;
/* A check that tells less than this is not worth any time, bits (judgement). */
static const double least_bits = 0.01;
static const double root_two_pi = 2.5066282746310002;

/* The states that count, and what each check reads under them. */
typedef struct jv_field {
    size_t state[CONSIDERED];
    size_t group[CONSIDERED]; /* suspect, numbered from 0 */
    double weight[CONSIDERED];
    size_t n, n_groups;
    size_t suspect[CONSIDERED]; /* group of suspects of each */
    double none;
    double *mean, *sd; /* checks x states */
    double *none_mean, *none_var;
    double *bits, *cost;
} jv_field;

static double entropy(const double *p, size_t n, double total) {
    double h = 0.0;
    for (size_t k = 0; k < n; k++)
        if (p[k] > 0.0)
            h -= p[k] / total * log2(p[k] / total);
    return h;
}

/* Inverse of the normal distribution function by Acklam's rational form is more than is needed:
 * three points of a stratum's own normal are enough. */
static double within(double u) {
    /* Quantile by bisection on erfc: 30 halvings of -8 .. 8. */
    double low = -8.0, high = 8.0;
    for (int k = 0; k < 30; k++) {
        double z = 0.5 * (low + high);
        if (0.5 * erfc(-z * 0.7071067811865476) < u)
            low = z;
        else
            high = z;
    }
    return 0.5 * (low + high);
}

static void gather(const jv_finder *f, jv_field *x) {
    double best = 0.0, log_best = f->none_log, least = 0.0;
    x->n = x->n_groups = 0;
    for (size_t k = 0; k < f->n_states; k++)
        if (f->states[k].alive)
            log_best = fmax(log_best, f->states[k].log_weight);
    (void)best;
    /* Keep the heaviest: raise the bar until they fit. */
    for (least = least_weight;; least *= 3.0) {
        size_t n = 0;
        for (size_t k = 0; k < f->n_states; k++)
            n += f->states[k].alive && exp(f->states[k].log_weight - log_best) >= least;
        if (n <= CONSIDERED)
            break;
    }
    double total = x->none = exp(f->none_log - log_best);
    for (size_t k = 0; k < f->n_states; k++) {
        double w = f->states[k].alive ? exp(f->states[k].log_weight - log_best) : 0.0;
        if (w < least || w == 0.0)
            continue;
        size_t s = f->states[k].suspect;
        size_t group = 0;
        while (group < x->n_groups && x->suspect[group] != f->suspects[s].group)
            group++;
        if (group == x->n_groups)
            x->suspect[x->n_groups++] = f->suspects[s].group;
        x->state[x->n] = k;
        x->group[x->n] = group;
        x->weight[x->n++] = w;
        total += w;
    }
    for (size_t k = 0; k < x->n; k++)
        x->weight[k] /= total;
    x->none /= total;
}

static double density(double y, double mean, double sd) {
    double z = (y - mean) / sd;
    return z * z > 80.0 ? 0.0 : exp(-0.5 * z * z) / (root_two_pi * sd);
}

/* Live before dead: ohms only when something has been read with power on. */
static bool offered(const jv_finder *f, const jv_find_check *c) {
    bool live = c->view.setup != JV_SETUP_ISOLATED;
    for (size_t k = 0; k < f->n_entries && !live; k++)
        live = f->entries[k].kind == JV_ENTRY_READING &&
               f->checks[f->entries[k].check].view.setup != JV_SETUP_ISOLATED;
    return live && !c->taken && !c->skipped;
}

static jv_status predict(jv_finder *f, jv_field *x, size_t check) {
    const jv_find_check *c = &f->checks[check];
    jv_status status = JV_OK;
    for (size_t k = 0; k < x->n && status == JV_OK; k++) {
        double *mean = &x->mean[check * CONSIDERED + k], *sd = &x->sd[check * CONSIDERED + k], var;
        if (c->view.kind == JV_CHECK_LOOK) {
            *mean = jv_look_bad(f, &f->states[x->state[k]], c->view.part);
            continue;
        }
        status = jv_expect_now(f, x->state[k], c->setup, c->look, mean, &var, NULL);
        *sd = sqrt(var + jv_reading_noise(f, c, *mean) + jv_reading_bend(f, c, *mean));
    }
    if (status == JV_OK && c->view.kind != JV_CHECK_LOOK)
        status = jv_expect_now(f, f->sound, c->setup, c->look, &x->none_mean[check],
                               &x->none_var[check], NULL);
    return status;
}

/* The outcomes of a check: OUTCOMES strata of the mixture, or good and bad. */
static size_t outcomes(const jv_finder *f, const jv_field *x, const double *weight, size_t check,
                       double *y) {
    const double *mean = x->mean + check * CONSIDERED, *sd = x->sd + check * CONSIDERED;
    double all = 0.0, at = 0.0;
    size_t k = 0;
    if (f->checks[check].view.kind == JV_CHECK_LOOK) {
        y[0] = 0.0;
        y[1] = 1.0;
        return 2;
    }
    for (size_t s = 0; s < x->n; s++)
        all += weight[s];
    for (size_t o = 0; o < OUTCOMES; o++) {
        double target = all * ((double)o + 0.5) / OUTCOMES;
        while (k + 1 < x->n && at + weight[k] < target)
            at += weight[k++];
        double u = weight[k] > 0.0 ? (target - at) / weight[k] : 0.5;
        y[o] = mean[k] + sd[k] * within(fmin(fmax(u, 0.05), 0.95));
    }
    return OUTCOMES;
}

/* Weights after an outcome; returns their sum with "none of these". */
static double after(const jv_finder *f, const jv_field *x, const double *weight, double none,
                    size_t check, double y, double *out, double *out_none) {
    static const double wild = 0.002;
    const jv_find_check *c = &f->checks[check];
    const double *mean = x->mean + check * CONSIDERED, *sd = x->sd + check * CONSIDERED;
    bool look = c->view.kind == JV_CHECK_LOOK;
    double flat = look ? 0.0 : wild * jv_reading_flat(f, c), like[CONSIDERED];
    *out_none =
        none * (look ? 0.5 : jv_reading_none(f, c, y, x->none_mean[check], x->none_var[check]));
    for (size_t k = 0; k < x->n; k++)
        like[k] = look ? (y > 0.5 ? mean[k] : 1.0 - mean[k])
                       : (1.0 - wild) * density(y, mean[k], sd[k]) + flat;
    return *out_none + jv_weigh(weight, like, x->n, out);
}

static double group_entropy(const jv_field *x, const double *weight, double none, double total,
                            double *group) {
    memset(group, 0, (x->n_groups + 1) * sizeof *group);
    for (size_t k = 0; k < x->n; k++)
        group[x->group[k]] += weight[k];
    group[x->n_groups] = none;
    return entropy(group, x->n_groups + 1, total);
}

/* Expected fall of the entropy over suspects, bits. */
static double information(const jv_finder *f, const jv_field *x, const double *weight, double none,
                          size_t check) {
    double y[OUTCOMES], out[CONSIDERED], group[CONSIDERED + 1], sum = none, n_sum = 0.0, h = 0.0;
    for (size_t k = 0; k < x->n; k++)
        sum += weight[k];
    double before = group_entropy(x, weight, none, sum, group);
    size_t n = outcomes(f, x, weight, check, y);
    bool look = n == 2;
    for (size_t o = 0; o < n; o++) {
        double none_after, total = after(f, x, weight, none, check, y[o], out, &none_after);
        if (total <= 0.0)
            continue;
        /* Strata are equally likely; good and bad by their own probability. */
        double share = look ? total : 1.0;
        h += share * group_entropy(x, out, none_after, total, group);
        n_sum += share;
    }
    return n_sum > 0.0 ? before - h / n_sum : 0.0;
}

typedef struct jv_choice {
    size_t check[2 * AHEAD];
    double bits[2 * AHEAD], cost[2 * AHEAD];
    size_t n;
} jv_choice;

/* Best information a minute of the two steps that begin with one check: the second is the best
 * after each outcome, with the places open that the first opened. */
static double two_steps(const jv_finder *f, const jv_field *x, const jv_choice *list, size_t at) {
    double y[OUTCOMES], out[CONSIDERED], sum = 0.0, more = 0.0, longer = 0.0;
    double cost[2 * AHEAD];
    size_t first = list->check[at], n = outcomes(f, x, x->weight, first, y);
    for (size_t k = 0; k < list->n; k++)
        cost[k] = jv_check_minutes_after(f, list->check[k], first);
    for (size_t o = 0; o < n; o++) {
        double none, best = 0.0, best_bits = 0.0, best_cost = 0.0;
        double total = after(f, x, x->weight, x->none, first, y[o], out, &none);
        double share = n == 2 ? total : 1.0;
        for (size_t k = 0; k < list->n && total > 0.0; k++) {
            double b = k == at ? 0.0 : information(f, x, out, none, list->check[k]);
            if (b / cost[k] > best) {
                best = b / cost[k];
                best_bits = b;
                best_cost = cost[k];
            }
        }
        /* The second is taken where it tells something. */
        if (best_bits > least_bits) {
            more += share * best_bits;
            longer += share * best_cost;
        }
        sum += share;
    }
    if (!(sum > 0.0))
        return list->bits[at] / list->cost[at];
    return (list->bits[at] + more / sum) / (list->cost[at] + longer / sum);
}

/* The two suspects that the check tells apart best, and who else stands out. */
static void who(const jv_finder *f, const jv_field *x, size_t *leading, size_t *n_leading) {
    enum { MOST = 4 };
    *n_leading = 0;
    for (size_t k = 0; k < f->n_suspects && *n_leading < MOST; k++) {
        static const double shown = 0.02;
        if (f->odds[k].probability >= shown && f->odds[k].suspect + 1 != f->n_suspects)
            leading[(*n_leading)++] = f->odds[k].suspect;
    }
    (void)x;
}

/* Adds the check with the greatest score that is not in the list yet. */
static void take_best(const jv_finder *f, const double *bits, const double *cost, bool a_minute,
                      jv_choice *list) {
    size_t best = JV_FIND_NONE;
    double most = 0.0;
    for (size_t k = 0; k < f->n_checks; k++) {
        bool had = !(bits[k] >= least_bits);
        for (size_t t = 0; t < list->n && !had; t++)
            had = list->check[t] == k;
        /* Among equals the cheaper: what it tells in a very long run. */
        static const double patience_min = 120.0;
        double score = had ? 0.0 : bits[k] / (a_minute ? cost[k] : cost[k] + patience_min);
        if (score > most) {
            most = score;
            best = k;
        }
    }
    if (best == JV_FIND_NONE)
        return;
    list->check[list->n] = best;
    list->bits[list->n] = bits[best];
    list->cost[list->n++] = cost[best];
}

static jv_status choose(jv_finder *f, jv_field *x, size_t *check, double *bits, double *minutes) {
    jv_choice list;
    memset(&list, 0, sizeof list);
    *check = JV_FIND_NONE;
    *bits = *minutes = 0.0;
    for (size_t k = 0; k < f->n_checks; k++) {
        x->bits[k] = 0.0;
        if (!offered(f, &f->checks[k]))
            continue;
        jv_status status = predict(f, x, k);
        if (status != JV_OK)
            return status;
        x->bits[k] = information(f, x, x->weight, x->none, k);
        x->cost[k] = jv_check_minutes(f, k);
    }
    for (int k = 0; k < AHEAD; k++)
        take_best(f, x->bits, x->cost, true, &list);
    for (int k = 0; k < AHEAD; k++)
        take_best(f, x->bits, x->cost, false, &list);
    double top = 0.0;
    for (size_t k = 0; k < list.n; k++) {
        double score = two_steps(f, x, &list, k);
        if (score > top) {
            top = score;
            *check = list.check[k];
            *bits = list.bits[k];
            *minutes = list.cost[k];
        }
    }
    return JV_OK;
}

jv_status jv_choose(jv_finder *f, size_t *check, double *bits, double *minutes, size_t *leading,
                    size_t *n_leading) {
    jv_field *x = jv_zalloc(1, sizeof *x);
    if (!x)
        return JV_ERR_MEMORY;
    size_t n = f->n_checks * CONSIDERED + 1;
    x->mean = jv_zalloc(n, sizeof *x->mean);
    x->sd = jv_zalloc(n, sizeof *x->sd);
    x->none_mean = jv_zalloc(f->n_checks + 1, sizeof *x->none_mean);
    x->none_var = jv_zalloc(f->n_checks + 1, sizeof *x->none_var);
    x->bits = jv_zalloc(f->n_checks + 1, sizeof *x->bits);
    x->cost = jv_zalloc(f->n_checks + 1, sizeof *x->cost);
    jv_status status = JV_ERR_MEMORY;
    if (x->mean && x->sd && x->none_mean && x->none_var && x->bits && x->cost) {
        gather(f, x);
        status = choose(f, x, check, bits, minutes);
        who(f, x, leading, n_leading);
    }
    jv_free(x->mean);
    jv_free(x->sd);
    jv_free(x->none_mean);
    jv_free(x->none_var);
    jv_free(x->bits);
    jv_free(x->cost);
    jv_free(x);
    return status;
}
