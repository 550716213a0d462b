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
/* What a bit of doubt costs on the way to a name, minutes (as walks of the trial went). */
static const double bit_min = 5.0;
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
    double *ahead;             /* minutes of the check and of the own readings after it */
    uint8_t wants[CONSIDERED]; /* own readings of its suspect to come */
    size_t n_checks;           /* that there is room for */
} jv_field;

/* States that are left after an outcome, heaviest share kept. */
typedef struct jv_mix {
    size_t n;
    size_t at[CONSIDERED]; /* place in the field */
    double w[CONSIDERED];
    double none, total;
} jv_mix;

/* Quantile of the normal distribution, to 4.5e-4: Abramowitz and Stegun 26.2.23. */
static double quantile(double u) {
    double tail = u < 0.5 ? u : 1.0 - u, t = sqrt(-2.0 * log(tail));
    double z = t - (2.515517 + t * (0.802853 + t * 0.010328)) /
                       (1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
    return u < 0.5 ? -z : z;
}

static double weight_of(const jv_finder *f, size_t k, double log_best) {
    return f->states[k].alive ? exp(f->states[k].log_weight - log_best) : 0.0;
}

static void take_state(const jv_finder *f, jv_field *x, size_t k, double w) {
    size_t of = f->suspects[f->states[k].suspect].group, group = 0;
    while (group < x->n_groups && x->suspect[group] != of)
        group++;
    if (group == x->n_groups)
        x->suspect[x->n_groups++] = of;
    x->state[x->n] = k;
    x->group[x->n] = group;
    x->weight[x->n++] = w;
}

/* The heaviest states; of the next lighter ones, which are often alike, as many as there is room
 * for, evenly, each standing for those left out. */
static void gather(const jv_finder *f, jv_field *x) {
    static const double coarser = 3.0;
    double log_best = f->none_log, bar = least_weight;
    size_t n, most = 0, fringe = 0, at = 0;
    x->n = x->n_groups = 0;
    for (size_t k = 0; k < f->n_states; k++)
        if (f->states[k].alive)
            log_best = fmax(log_best, f->states[k].log_weight);
    for (;; bar *= coarser) {
        n = 0;
        for (size_t k = 0; k < f->n_states; k++)
            n += weight_of(f, k, log_best) >= bar;
        if (n <= CONSIDERED)
            break;
        most = n;
    }
    fringe = most > n ? most - n : 0;
    size_t room = fringe < CONSIDERED - n ? fringe : CONSIDERED - n;
    double total = x->none = exp(f->none_log - log_best);
    for (size_t k = 0; k < f->n_states; k++) {
        double w = weight_of(f, k, log_best);
        if (w >= bar) {
            take_state(f, x, k, w);
        } else if (fringe && w >= bar / coarser) {
            at++;
            if (at * room / fringe != (at - 1) * room / fringe)
                take_state(f, x, k, w * (double)fringe / (double)room);
        }
    }
    for (size_t k = 0; k < x->n; k++)
        total += x->weight[k];
    for (size_t k = 0; k < x->n; k++)
        x->weight[k] /= total;
    x->none /= total;
}

/* Live before dead: ohms only when something has been read with power on. */
static bool offered(const jv_finder *f, const jv_find_check *c) {
    bool live = c->view.setup != JV_SETUP_ISOLATED;
    for (size_t k = 0; k < f->n_entries && !live; k++)
        live = f->entries[k].kind == JV_ENTRY_READING &&
               f->checks[f->entries[k].check].view.setup != JV_SETUP_ISOLATED;
    return live && !c->taken && !c->skipped;
}

static jv_status predict_one(jv_finder *f, jv_field *x, size_t k, size_t check) {
    const jv_find_check *c = &f->checks[check];
    double *mean = &x->mean[check * CONSIDERED + k], *sd = &x->sd[check * CONSIDERED + k], var;
    if (c->view.kind == JV_CHECK_LOOK) {
        *mean = jv_look_bad(f, &f->states[x->state[k]], c->view.part);
        return JV_OK;
    }
    jv_status status = jv_expect_now(f, x->state[k], c->setup, c->look, mean, &var, NULL);
    if (status == JV_OK)
        *sd = sqrt(var + jv_reading_noise(f, c, *mean) + jv_reading_bend(f, c, *mean));
    return status;
}

/* State by state: what the looks of one state share is made once. */
static jv_status predict(jv_finder *f, jv_field *x) {
    jv_status status = JV_OK;
    for (size_t c = 0; c < f->n_checks && status == JV_OK; c++)
        if (offered(f, &f->checks[c]) && f->checks[c].view.kind != JV_CHECK_LOOK)
            status = jv_expect_now(f, f->sound, f->checks[c].setup, f->checks[c].look,
                                   &x->none_mean[c], &x->none_var[c], NULL);
    for (size_t k = 0; k < x->n; k++)
        for (size_t c = 0; c < f->n_checks && status == JV_OK; c++)
            if (offered(f, &f->checks[c]))
                status = predict_one(f, x, k, c);
    return status;
}

/* The outcomes of a check: OUTCOMES strata of the mixture, or good and bad. */
static size_t outcomes(const jv_finder *f, const jv_field *x, const jv_mix *m, size_t check,
                       double *y) {
    const double *mean = x->mean + check * CONSIDERED, *sd = x->sd + check * CONSIDERED;
    double all = m->total - m->none, at = 0.0;
    size_t k = 0;
    if (!m->n)
        return 0;
    if (f->checks[check].view.kind == JV_CHECK_LOOK) {
        y[0] = 0.0;
        y[1] = 1.0;
        return 2;
    }
    for (size_t o = 0; o < OUTCOMES; o++) {
        double target = all * ((double)o + 0.5) / OUTCOMES;
        while (k + 1 < m->n && at + m->w[k] < target)
            at += m->w[k++];
        double u = m->w[k] > 0.0 ? (target - at) / m->w[k] : 0.5;
        y[o] = mean[m->at[k]] + sd[m->at[k]] * quantile(fmin(fmax(u, 0.05), 0.95));
    }
    return OUTCOMES;
}

/* Weights after an outcome, states that hardly count left out. */
static void after(const jv_finder *f, const jv_field *x, const jv_mix *m, size_t check, double y,
                  jv_mix *out) {
    static const double wild = 0.002, far = 36.0, counts = 1e-5;
    const jv_find_check *c = &f->checks[check];
    const double *mean = x->mean + check * CONSIDERED, *sd = x->sd + check * CONSIDERED;
    bool look = c->view.kind == JV_CHECK_LOOK;
    double flat = look ? 0.0 : wild * jv_reading_flat(f, c), most = 0.0;
    out->n = 0;
    out->none =
        m->none * (look ? 0.5 : jv_reading_none(f, c, y, x->none_mean[check], x->none_var[check]));
    for (size_t k = 0; k < m->n; k++) {
        size_t at = m->at[k];
        double like = flat;
        if (look) {
            like = y > 0.5 ? mean[at] : 1.0 - mean[at];
        } else {
            double z = (y - mean[at]) / sd[at];
            if (z * z < far)
                like += (1.0 - wild) * exp(-0.5 * z * z) / (root_two_pi * sd[at]);
        }
        out->w[k] = m->w[k] * like; /* at its place in m, until they close up */
        most = fmax(most, out->w[k]);
    }
    out->total = out->none;
    for (size_t k = 0; k < m->n; k++) {
        double weight = out->w[k];
        if (weight < counts * most)
            continue;
        out->at[out->n] = m->at[k];
        out->w[out->n++] = weight;
        out->total += weight;
    }
}

static double group_entropy(const jv_field *x, const jv_mix *m) {
    double group[CONSIDERED + 1];
    memset(group, 0, (x->n_groups + 1) * sizeof *group);
    for (size_t k = 0; k < m->n; k++)
        group[x->group[m->at[k]]] += m->w[k];
    group[x->n_groups] = m->none;
    return jv_entropy_bits(group, x->n_groups + 1, m->total);
}

/* Expected fall of the entropy over suspects, bits. */
static double information(const jv_finder *f, const jv_field *x, const jv_mix *m, double before,
                          size_t check) {
    double y[OUTCOMES], sum = 0.0, h = 0.0;
    jv_mix out;
    size_t n = outcomes(f, x, m, check, y);
    for (size_t o = 0; o < n; o++) {
        after(f, x, m, check, y[o], &out);
        if (out.total <= 0.0)
            continue;
        /* Strata are equally likely; good and bad by their own probability. */
        double share = n == 2 ? out.total : 1.0;
        h += share * group_entropy(x, &out);
        sum += share;
    }
    return sum > 0.0 ? before - h / sum : 0.0;
}

/* Checks looked two steps ahead. own: of each state considered, minutes of its suspect's own
 * readings that are still to be taken, once the check has opened its places. */
typedef struct jv_choice {
    size_t check[2 * AHEAD];
    double bits[2 * AHEAD], cost[2 * AHEAD];
    double own[2 * AHEAD][CONSIDERED];
    double now[CONSIDERED]; /* of the check at hand */
    size_t n;
} jv_choice;

/* Minutes of the own readings that each state's suspect still wants, after a check. */
static void own_minutes(const jv_finder *f, const jv_field *x, size_t first, double *own) {
    size_t last = JV_FIND_NONE;
    for (size_t k = 0; k < x->n; k++) {
        size_t suspect = f->states[x->state[k]].suspect;
        const jv_find_suspect *s = &f->suspects[suspect];
        if (k > 0 && suspect == last) {
            own[k] = own[k - 1];
            continue;
        }
        own[k] = 0.0;
        last = suspect;
        for (size_t t = 0; t < JV_OWN; t++)
            if (x->wants[k] >> t & 1 && s->own[t] != first)
                own[k] += jv_check_minutes_after(f, s->own[t], first);
    }
}

/* Which own readings are to come before the suspect of each state is named: bit set. */
static void find_wants(const jv_finder *f, jv_field *x) {
    for (size_t k = 0; k < x->n; k++) {
        const jv_find_suspect *s = &f->suspects[f->states[x->state[k]].suspect];
        x->wants[k] = 0;
        for (size_t t = 0; t < JV_OWN; t++)
            if (s->own[t] != JV_FIND_NONE && !f->checks[s->own[t]].skipped &&
                !jv_own_is_read(f, s, s->own[t]))
                x->wants[k] |= (uint8_t)(1u << t);
    }
}

static double expected(const jv_mix *m, const double *own) {
    double sum = 0.0;
    for (size_t k = 0; k < m->n; k++)
        sum += m->w[k] * own[m->at[k]];
    return m->total > 0.0 ? sum / m->total : 0.0;
}

/* The lesser of two ways to the own readings, by the places that either check opens. */
static double expected_both(const jv_mix *m, const double *one, const double *two) {
    double sum = 0.0;
    for (size_t k = 0; k < m->n; k++)
        sum += m->w[k] * fmin(one[m->at[k]], two[m->at[k]]);
    return m->total > 0.0 ? sum / m->total : 0.0;
}

/* Minutes to go when one check is taken, and after each outcome the best second, or none: doubt
 * at its rate, and the own reading of the part that it turns out to be. */
static double to_go(const jv_finder *f, const jv_field *x, const jv_mix *m, const jv_choice *list,
                    size_t at) {
    double y[OUTCOMES], sum = 0.0, minutes = 0.0, cost[2 * AHEAD] = {0};
    size_t first = list->check[at], n = outcomes(f, x, m, first, y);
    for (size_t k = 0; k < list->n; k++)
        cost[k] = jv_check_minutes_after(f, list->check[k], first);
    for (size_t o = 0; o < n; o++) {
        jv_mix out;
        after(f, x, m, first, y[o], &out);
        double share = n == 2 ? out.total : 1.0;
        double left = out.total > 0.0 ? group_entropy(x, &out) : 0.0;
        double own = expected(&out, list->own[at]), best = bit_min * left + own;
        for (size_t k = 0; k < list->n; k++) {
            /* It tells no more than what is left. */
            if (k == at || left <= least_bits || cost[k] >= best)
                continue;
            double after_both = expected_both(&out, list->own[at], list->own[k]);
            if (cost[k] + after_both >= best)
                continue;
            double bits = information(f, x, &out, left, list->check[k]);
            best = fmin(best, cost[k] + bit_min * (left - bits) + after_both);
        }
        minutes += share * best;
        sum += share;
    }
    return list->cost[at] + (sum > 0.0 ? minutes / sum : 0.0);
}

/* The two suspects that the check tells apart best, and who else stands out. */
static void who(const jv_finder *f, size_t *leading, size_t *n_leading) {
    enum { MOST = 4 };
    *n_leading = 0;
    for (size_t k = 0; k < f->n_suspects && *n_leading < MOST; k++) {
        static const double shown = 0.02;
        if (f->odds[k].probability >= shown && f->odds[k].suspect + 1 != f->n_suspects)
            leading[(*n_leading)++] = f->odds[k].suspect;
    }
}

/* Adds the check with the best score that is not in the list yet: bits a minute, or least minutes
 * to go as far as one step shows. */
static void take_best(const jv_finder *f, const jv_field *x, bool a_minute, jv_choice *list) {
    size_t best = JV_FIND_NONE;
    double most = -INFINITY;
    for (size_t k = 0; k < f->n_checks; k++) {
        bool had = !(x->bits[k] >= least_bits);
        for (size_t t = 0; t < list->n && !had; t++)
            had = list->check[t] == k;
        double score = a_minute ? x->bits[k] / x->cost[k] : bit_min * x->bits[k] - x->ahead[k];
        if (!had && score > most) {
            most = score;
            best = k;
        }
    }
    if (best == JV_FIND_NONE)
        return;
    list->check[list->n] = best;
    list->bits[list->n] = x->bits[best];
    own_minutes(f, x, best, list->own[list->n]);
    list->cost[list->n++] = x->cost[best];
}

static jv_status choose(jv_finder *f, jv_field *x, jv_chosen *out) {
    jv_choice list;
    jv_mix now;
    list.n = 0;
    jv_status status = predict(f, x);
    if (status != JV_OK)
        return status;
    now.n = x->n;
    now.none = now.total = x->none;
    for (size_t k = 0; k < x->n; k++) {
        now.at[k] = k;
        now.w[k] = x->weight[k];
        now.total += x->weight[k];
    }
    double before = group_entropy(x, &now);
    find_wants(f, x);
    for (size_t k = 0; k < f->n_checks; k++) {
        x->bits[k] = 0.0;
        if (!offered(f, &f->checks[k]))
            continue;
        x->bits[k] = information(f, x, &now, before, k);
        x->cost[k] = jv_check_minutes(f, k);
        if (x->bits[k] >= least_bits) {
            own_minutes(f, x, k, list.now);
            x->ahead[k] = x->cost[k] + expected(&now, list.now);
        }
    }
    for (int k = 0; k < AHEAD; k++)
        take_best(f, x, true, &list);
    for (int k = 0; k < AHEAD; k++)
        take_best(f, x, false, &list);
    double least = INFINITY;
    for (size_t k = 0; k < list.n; k++) {
        double score = to_go(f, x, &now, &list, k);
        if (score < least) {
            least = score;
            out->check = list.check[k];
            out->bits = list.bits[k];
            out->minutes = list.cost[k];
        }
    }
    own_minutes(f, x, JV_FIND_NONE, list.now);
    out->saves = bit_min * before + expected(&now, list.now) - least;
    return JV_OK;
}

static void clear(jv_field *x) {
    void *const blocks[] = {x->mean, x->sd, x->none_mean, x->none_var, x->bits, x->cost, x->ahead};
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
    memset(x, 0, sizeof *x);
}

void jv_choose_free(jv_finder *f) {
    if (f->field)
        clear(f->field);
    jv_free(f->field);
}

/* Room for all checks, kept from step to step. */
static jv_field *field_of(jv_finder *f) {
    if (!f->field)
        f->field = jv_zalloc(1, sizeof *f->field);
    jv_field *x = f->field;
    if (!x || (x->mean && x->n_checks >= f->n_checks))
        return x;
    size_t room = f->n_checks + f->n_checks / 8 + 1;
    clear(x);
    x->mean = jv_zalloc(room * CONSIDERED, sizeof *x->mean);
    x->sd = jv_zalloc(room * CONSIDERED, sizeof *x->sd);
    x->none_mean = jv_zalloc(room, sizeof *x->none_mean);
    x->none_var = jv_zalloc(room, sizeof *x->none_var);
    x->bits = jv_zalloc(room, sizeof *x->bits);
    x->cost = jv_zalloc(room, sizeof *x->cost);
    x->ahead = jv_zalloc(room, sizeof *x->ahead);
    x->n_checks = room;
    if (x->mean && x->sd && x->none_mean && x->none_var && x->bits && x->cost && x->ahead)
        return x;
    clear(x);
    return NULL;
}

jv_status jv_choose(jv_finder *f, const jv_chosen **out) {
    jv_chosen *c = &f->chosen;
    *out = c;
    if (c->known && c->of_checks == f->n_checks)
        return JV_OK;
    jv_field *x = field_of(f);
    if (!x)
        return JV_ERR_MEMORY;
    memset(c, 0, sizeof *c);
    c->check = JV_FIND_NONE;
    gather(f, x);
    who(f, c->leading, &c->n_leading);
    jv_status status = choose(f, x, c);
    c->known = status == JV_OK;
    c->of_checks = f->n_checks;
    return status;
}
