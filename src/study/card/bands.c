/* bands.c - the readings of a check, parted where they tell faults apart. SPDX-License-Identifier:
 * MIT */
#include "study/card/card.h"

#include <math.h>
#include <string.h>

enum { MOST_EDGES = 400, MOST_BANDS = 6 };
/* Two bands are one while telling them apart is worth less than this, bits (judgement; the trial of
 * tests/unit/test_card.c names all single faults with it). */
static const double worth_bits = 0.03;
/* Rare faults count more than their odds when bands are made: odds to this power (judgement). */
static const double flatten = 0.6;
/* States below this share of all do not count. */
static const double least_share = 1e-6;
/* Expected readings reach so many standard deviations to either side. */
static const double wide_sds = 4.0;

/* One state, or "none of these" as the last. */
typedef struct jv_ray {
    double p, mean, sd;
    double reach; /* of a single fault, so far; else 0 */
    size_t class; /* suspects mended at the same part are one */
} jv_ray;

/* Everything that a check may read now. */
typedef struct jv_view {
    jv_finder *f;
    const jv_find_check *c;
    jv_ray *rays;
    size_t n, n_classes;
    size_t *class_group;
    double none, none_mean, none_var;
    double edge[MOST_EDGES];  /* on the scale of the reading */
    double shown[MOST_EDGES]; /* as a meter shows them */
    size_t n_edges;
    double floor; /* of reach: what is rarer does not count */
    double *mass; /* bins x (classes + none) */
} jv_view;

/* --- what it may read --- */

double jv_reach(const jv_finder *f) {
    double most = 0.0;
    for (size_t k = 0; k < f->n_states; k++) {
        const jv_find_state *s = &f->states[k];
        if (s->alive && f->suspects[s->suspect].view.n == 1)
            most = fmax(most, exp(s->log_weight - s->log_prior));
    }
    return most;
}

static size_t class_of(jv_view *v, size_t group) {
    size_t k = 0;
    while (k < v->n_classes && v->class_group[k] != group)
        k++;
    if (k == v->n_classes)
        v->class_group[v->n_classes++] = group;
    return k;
}

static jv_status cast(jv_view *v) {
    jv_finder *f = v->f;
    double best = f->none_log, total;
    for (size_t k = 0; k < f->n_states; k++)
        if (f->states[k].alive)
            best = fmax(best, f->states[k].log_weight);
    total = v->none = exp(f->none_log - best);
    for (size_t k = 0; k < f->n_states; k++) {
        const jv_find_state *s = &f->states[k];
        double p = s->alive ? exp(s->log_weight - best) : 0.0, var;
        bool single = f->suspects[s->suspect].view.n == 1;
        double reach = s->alive && single ? exp(s->log_weight - s->log_prior) : 0.0;
        if (!s->alive || (p < least_share && reach < least_share))
            continue;
        jv_ray *r = &v->rays[v->n];
        jv_status status = jv_expect_now(f, k, v->c->setup, v->c->look, &r->mean, &var, NULL);
        if (status != JV_OK)
            return status;
        r->sd = sqrt(var + jv_reading_noise(f, v->c, r->mean) + jv_reading_bend(f, v->c, r->mean));
        r->p = p;
        r->reach = reach;
        r->class = class_of(v, f->suspects[s->suspect].group);
        total += p;
        v->n++;
    }
    for (size_t k = 0; k < v->n; k++)
        v->rays[k].p /= total;
    v->none /= total;
    return jv_expect_now(f, f->sound, v->c->setup, v->c->look, &v->none_mean, &v->none_var, NULL);
}

/* --- edges: numbers that a person reads off easily --- */

static void add_edge(jv_view *v, double shown, double low, double high) {
    double y = jv_reading_of_value(v->f, v->c, shown, false);
    bool behind = !v->n_edges || y > v->edge[v->n_edges - 1] + 1e-9;
    if (y > low && y < high && behind && v->n_edges < MOST_EDGES) {
        v->shown[v->n_edges] = shown;
        v->edge[v->n_edges++] = y;
    }
}

static void volt_edges(jv_view *v, double low, double high) {
    static const double fine[] = {0.002, 0.005, 0.01, 0.015, 0.02, 0.03, 0.04, 0.05,
                                  0.075, 0.1,   0.15, 0.2,   0.25, 0.3,  0.4,  0.5};
    enum { FINE = sizeof fine / sizeof fine[0], TENTHS = 160, FROM = 6 };
    for (int k = TENTHS; k >= FROM; k--)
        add_edge(v, -0.1 * k, low, high);
    for (int k = FINE; k-- > 0;)
        add_edge(v, -fine[k], low, high);
    for (int k = 0; k < FINE; k++)
        add_edge(v, fine[k], low, high);
    for (int k = FROM; k <= TENTHS; k++)
        add_edge(v, 0.1 * k, low, high);
}

static void amp_edges(jv_view *v, double low, double high) {
    static const double steps[] = {0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0};
    enum { STEPS = sizeof steps / sizeof steps[0], TENS = 10, FINE_TO = 60, MOST = 1000 };
    for (int k = STEPS; k-- > 0;)
        add_edge(v, -steps[k], low, high);
    for (int k = 0; k < STEPS; k++)
        add_edge(v, steps[k], low, high);
    for (int k = TENS; k <= MOST; k += k < FINE_TO ? 1 : 5)
        add_edge(v, k, low, high);
}

static void ohm_edges(jv_view *v, double low, double high) {
    static const double steps[] = {1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.5};
    enum { STEPS = sizeof steps / sizeof steps[0] };
    static const int first = -1, last = 7; /* 0.1 ohm to 10 megohm */
    for (int decade = first; decade <= last; decade++)
        for (int k = 0; k < STEPS; k++)
            add_edge(v, pow(10.0, decade) * steps[k], low, high);
}

static void make_edges(jv_view *v) {
    double low = v->none_mean, high = v->none_mean;
    for (size_t k = 0; k < v->n; k++) {
        low = fmin(low, v->rays[k].mean - wide_sds * v->rays[k].sd);
        high = fmax(high, v->rays[k].mean + wide_sds * v->rays[k].sd);
    }
    if (v->c->view.kind == JV_CHECK_OHMS)
        ohm_edges(v, low, high);
    else if (v->c->view.kind == JV_CHECK_AMPS)
        amp_edges(v, low, high);
    else
        volt_edges(v, low, high);
}

/* --- bins --- */

static jv_band bin(const jv_view *v, size_t from, size_t to) {
    return (jv_band){true, from ? v->edge[from - 1] : -INFINITY,
                     to < v->n_edges ? v->edge[to] : INFINITY};
}

static void fill(jv_view *v) {
    size_t bins = v->n_edges + 1, width = v->n_classes + 1;
    double shift, shrink;
    for (size_t b = 0; b < bins; b++) {
        jv_band band = bin(v, b, b);
        double *row = v->mass + b * width;
        for (size_t k = 0; k < v->n; k++) {
            const jv_ray *r = &v->rays[k];
            double m = jv_band_mass(&band, r->mean, r->sd, &shift, &shrink);
            row[r->class] += r->p * m;
        }
        row[v->n_classes] =
            v->none * jv_reading_none_band(v->f, v->c, &band, v->none_mean, v->none_var);
    }
}

/* Rare faults count more; "none of these" does not. */
static void flatten_classes(jv_view *v) {
    size_t bins = v->n_edges + 1, width = v->n_classes + 1;
    double total = v->none;
    for (size_t g = 0; g < v->n_classes; g++) {
        double sum = 0.0;
        for (size_t b = 0; b < bins; b++)
            sum += v->mass[b * width + g];
        double factor = sum > 0.0 ? pow(sum, flatten) / sum : 0.0;
        total += factor * sum;
        for (size_t b = 0; b < bins; b++)
            v->mass[b * width + g] *= factor;
    }
    for (size_t k = 0; k < bins * width; k++)
        v->mass[k] /= total;
}

/* --- joining: what telling two neighbours apart is worth --- */

static double term(double a, double sum) {
    return a > 0.0 ? a * log2(a / sum) : 0.0;
}

static double worth(const double *a, const double *b, size_t width) {
    double sum_a = 0.0, sum_b = 0.0, bits = 0.0;
    for (size_t g = 0; g < width; g++) {
        sum_a += a[g];
        sum_b += b[g];
    }
    for (size_t g = 0; g < width; g++)
        bits += term(a[g], sum_a) + term(b[g], sum_b) - term(a[g] + b[g], sum_a + sum_b);
    return bits;
}

static double worth_at(const jv_view *v, const size_t *first, size_t n, size_t b) {
    size_t width = v->n_classes + 1;
    return b + 1 < n ? worth(v->mass + first[b] * width, v->mass + first[b + 1] * width, width)
                     : INFINITY;
}

/* first[k]: the first bin of band k; returns the number of bands. bits[k]: what telling band k
 * from the next is worth. */
static size_t join(const jv_view *v, size_t *first, double *bits) {
    size_t n = v->n_edges + 1, width = v->n_classes + 1;
    for (size_t b = 0; b < n; b++)
        first[b] = b;
    for (size_t b = 0; b < n; b++)
        bits[b] = worth_at(v, first, n, b);
    while (n > 1) {
        size_t best = 0;
        for (size_t b = 1; b + 1 < n; b++)
            best = bits[b] < bits[best] ? b : best;
        if (bits[best] > worth_bits && n <= MOST_BANDS)
            break;
        double *into = v->mass + first[best] * width;
        const double *from = v->mass + first[best + 1] * width;
        for (size_t g = 0; g < width; g++)
            into[g] += from[g];
        memmove(first + best + 1, first + best + 2, (n - best - 2) * sizeof *first);
        memmove(bits + best + 1, bits + best + 2, (n - best - 2) * sizeof *bits);
        n--;
        bits[best] = worth_at(v, first, n, best);
        if (best)
            bits[best - 1] = worth_at(v, first, n, best - 1);
    }
    return n;
}

/* --- the bands --- */

static double middle(const jv_view *v, size_t b) {
    double low = b ? v->edge[b - 1] : v->edge[0], high = b < v->n_edges ? v->edge[b] : low;
    if (!b)
        low = high = v->edge[0];
    return 0.5 * (low + high);
}

static void describe(const jv_view *v, size_t from, size_t to, jv_reading_band *out) {
    double sum = 0.0, y = 0.0, shift, shrink;
    memset(out, 0, sizeof *out);
    out->band = bin(v, from, to);
    out->low = from ? v->shown[from - 1] : -INFINITY;
    out->high = to < v->n_edges ? v->shown[to] : INFINITY;
    for (size_t k = 0; k < v->n; k++) {
        const jv_ray *r = &v->rays[k];
        double m = jv_band_mass(&out->band, r->mean, r->sd, &shift, &shrink);
        sum += r->p * m;
        y += r->p * m * (r->mean + shift * r->sd);
        out->reach = fmax(out->reach, r->reach * m);
        if (r->reach >= v->floor)
            out->share = fmax(out->share, m);
    }
    out->mass = sum;
    y = sum > 0.0 ? y / sum : v->n_edges ? middle(v, from) : v->none_mean;
    y = fmin(fmax(y, out->band.low), out->band.high);
    out->value = jv_reading_to_value(v->f, v->c, y);
    out->over = isinf(out->value);
}

static bool make_view(jv_view *v, jv_finder *f, size_t check) {
    memset(v, 0, sizeof *v);
    v->f = f;
    v->c = &f->checks[check];
    v->rays = jv_zalloc(f->n_states + 1, sizeof *v->rays);
    v->class_group = jv_zalloc(f->n_states + 1, sizeof *v->class_group);
    return v->rays && v->class_group;
}

static bool make_bins(jv_view *v) {
    v->mass = jv_zalloc((v->n_edges + 1) * (v->n_classes + 1), sizeof *v->mass);
    return v->mass != NULL;
}

static void clear_view(jv_view *v) {
    jv_free(v->rays);
    jv_free(v->class_group);
    jv_free(v->mass);
}

jv_status jv_bands_make(jv_finder *f, size_t check, double floor, jv_bands *out) {
    jv_view *v = jv_alloc(1, sizeof *v);
    size_t first[MOST_EDGES + 1] = {0};
    double bits[MOST_EDGES + 1];
    jv_status status = v ? JV_OK : JV_ERR_MEMORY;
    out->n = 0;
    if (!v)
        return status;
    if (!make_view(v, f, check))
        status = JV_ERR_MEMORY;
    v->floor = floor;
    if (status == JV_OK)
        status = cast(v);
    if (status == JV_OK) {
        make_edges(v);
        status = make_bins(v) ? JV_OK : JV_ERR_MEMORY;
    }
    if (status == JV_OK) {
        fill(v);
        flatten_classes(v);
        out->n = join(v, first, bits);
        for (size_t k = 0; k < out->n; k++)
            describe(v, first[k], k + 1 < out->n ? first[k + 1] - 1 : v->n_edges, &out->list[k]);
    }
    clear_view(v);
    jv_free(v);
    return status;
}

void jv_band_words(jv_text *out, jv_check_kind kind, const jv_reading_band *b) {
    jv_text low = {0}, high = {0};
    jv_reading_print(&low, kind, b->low);
    jv_reading_print(&high, kind, b->high);
    const char *open = kind == JV_CHECK_OHMS ? ", or OL" : "";
    if (isinf(b->low) && isinf(b->high))
        jv_text_add(out, "whatever it reads");
    else if (isinf(b->low))
        jv_text_addf(out, "less than %s", jv_text_str(&high));
    else if (isinf(b->high))
        jv_text_addf(out, "%s or more%s", jv_text_str(&low), open);
    else
        jv_text_addf(out, "%s to %s", jv_text_str(&low), jv_text_str(&high));
    out->failed |= low.failed || high.failed;
    jv_text_clear(&low);
    jv_text_clear(&high);
}
