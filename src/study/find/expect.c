/* expect.c - what a look shows under a state, and by how much it varies. SPDX-License-Identifier:
 * MIT */
#include "study/find/finder.h"

#include <math.h>
#include <string.h>

/* Ohms are weighed on ln(1 + R / half_ohm): fine where a hand meter is fine, and an overload is
 * a place on the scale and not infinity. */
static const double half_ohm = 0.5;
/* Back EMF below this share of its limit counts as slow (a person notices a fifth); that of a jack
 * that just creeps, V (judgement, no source). */
static const double slow_share = 0.8;
static const double creep_v = 0.6;
/* Each severity cell keeps this much of its own width as an unknown, so that cells join (trial:
 * narrow cells without a width cost 5 % false "open"). */
static const double cell_width = 0.4;
/* Half the most that volts may read when nothing can be delivered. */
static const double nothing_sd = 3.0;

double jv_ohms_to_scale(double ohms, double full) {
    return log1p(fmin(fmax(ohms, 0.0), full) / half_ohm);
}
double jv_ohms_from_scale(double y, double full) {
    double ohms = half_ohm * expm1(fmax(y, 0.0));
    return ohms >= 0.999 * full ? INFINITY : ohms;
}

static double weighed(const jv_look *look, const double *x) {
    double sum = 0.0;
    for (size_t k = 0; k < look->n; k++)
        sum += look->weight[k] * x[look->index[k]];
    return sum;
}

/* Mean over the other motors (motor < 0: all) of back EMF as a share of that in the sound circuit:
 * jacks at the end of long cables are slower from the start. */
static double mean_share(const jv_find_setup *s, const double *emf, int motor) {
    double sum = 0.0;
    size_t n = 0;
    for (size_t k = 0; k < s->n_motors; k++)
        if ((int)k != motor && s->sound_emf[k] > 0.0) {
            sum += emf[k] / s->sound_emf[k];
            n++;
        }
    return n ? sum / (double)n : 0.0;
}

static bool apart(const jv_find_setup *s, const jv_look *look) {
    int32_t nodes = (int32_t)s->net->n_nodes;
    return look->n == 2 && look->index[0] < nodes && look->index[1] < nodes &&
           s->island[look->index[0]] != s->island[look->index[1]];
}

static double look_mean(const jv_finder *f, const jv_find_setup *s, const jv_look *look,
                        const jv_record *r, size_t number) {
    bool whole = r->how == JV_RECORD_WHOLE;
    double v;
    switch ((jv_look_kind)look->kind) {
    case JV_LOOK_SPEED:
        return r->emf[look->motor] -
               slow_share * s->sound_emf[look->motor] * mean_share(s, r->emf, look->motor);
    case JV_LOOK_ALL:
        return (mean_share(s, r->emf, -1) - slow_share) * s->sound_emf[0];
    case JV_LOOK_STILL:
        return r->emf[look->motor] - creep_v;
    case JV_LOOK_OHMS:
        v = weighed(look, r->x) / f->meter.test_a;
        if (whole ? isinf(r->mean[number]) : apart(s, look))
            v = INFINITY;
        return jv_ohms_to_scale(v, look->full);
    case JV_LOOK_VOLTS:
        if (whole ? !isnan(r->mean[number]) : apart(s, look))
            return -look->offset;
        break;
    case JV_LOOK_AMPS:
        break;
    }
    return weighed(look, r->x) - look->offset;
}

static bool in_flips(const jv_record *r, int32_t element) {
    for (size_t k = 0; k < r->n_flips; k++)
        if (r->flips[k] == element)
            return true;
    return false;
}

/* --- slopes by low rank --- */

static bool make_room(jv_shared *h, const jv_find_setup *s) {
    size_t n = (size_t)s->n;
    if (h->cap_terms < s->n_terms) {
        double *term = jv_resize(h->term, s->n_terms, sizeof *term);
        if (!term)
            return false;
        h->term = term;
        h->cap_terms = s->n_terms;
    }
    if (h->cap_n < n) {
        double *gate = jv_resize(h->gate, JV_MAX_GATES * n, sizeof *gate);
        if (gate)
            h->gate = gate;
        double *adjoint = jv_resize(h->adjoint, n, sizeof *adjoint);
        if (adjoint)
            h->adjoint = adjoint;
        if (!gate || !adjoint)
            return false;
        h->cap_n = n;
    }
    return true;
}

/* Terms at the state's point, and v A^-1 of its gates: the same for all looks. */
static jv_status share(jv_finder *f, size_t state, size_t setup, const jv_record *r) {
    jv_shared *h = &f->shared;
    jv_find_setup *s = &f->setups[setup];
    size_t n = (size_t)s->n;
    if (h->state == state && h->setup == setup)
        return JV_OK;
    h->state = JV_FIND_NONE;
    if (!make_room(h, s))
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < s->n_terms; k++) {
        const jv_term *t = &s->terms[k];
        h->term[k] = r->n_flips && in_flips(r, t->element) ? 0.0 : jv_term_at(t, r->x);
    }
    for (size_t g = 0; g < r->n_gates; g++) {
        const jv_gate *gate = &r->gates[g];
        double *to = h->gate + g * n;
        memset(to, 0, n * sizeof *to);
        for (size_t q = 0; !gate->fixed && q < gate->nv; q++) {
            const double *w = jv_setup_row(s, gate->iv[q]);
            if (!w)
                return JV_ERR_MEMORY;
            for (size_t k = 0; k < n; k++)
                to[k] += gate->v[q] * w[k];
        }
    }
    h->state = state;
    h->setup = setup;
    return JV_OK;
}

/* d look = -y dF + (m Z) M^-1 (W dF), with y = A^-T m, Z = A^-1 U, W = A^-T V, M = R + V Z. */
static jv_status rank_slopes(jv_finder *f, size_t state, size_t setup, const jv_look *look,
                             const jv_record *r, double *slope) {
    jv_find_setup *s = &f->setups[setup];
    double mz[JV_MAX_GATES] = {0};
    size_t n = r->n_gates, size = (size_t)s->n;
    jv_status status = share(f, state, setup, r);
    if (status != JV_OK)
        return status;
    double *a = f->shared.adjoint;
    memset(a, 0, size * sizeof *a);
    for (size_t k = 0; k < look->n; k++) {
        const double *y = jv_setup_row(s, look->index[k]);
        double w = look->weight[k];
        if (!y)
            return JV_ERR_MEMORY;
        for (size_t q = 0; q < size; q++)
            a[q] -= w * y[q];
        for (size_t g = 0; g < n; g++)
            for (size_t t = 0; t < r->gates[g].nu; t++)
                mz[g] += w * y[r->gates[g].iu[t]] * r->gates[g].u[t];
    }
    for (size_t g = 0; g < n; g++) {
        const double *w = f->shared.gate + g * size;
        double coef = 0.0;
        for (size_t h = 0; h < n; h++)
            coef += mz[h] * r->minv[h * n + g];
        if (coef == 0.0)
            continue;
        for (size_t q = 0; q < size; q++)
            a[q] += coef * w[q];
    }
    for (size_t k = 0; k < s->n_terms; k++)
        slope[s->terms[k].unknown] += a[s->terms[k].row] * f->shared.term[k];
    return JV_OK;
}

/* Mean in a neighbouring cell; the state's own when there is none. */
static jv_status neighbour(jv_finder *f, size_t state, size_t setup, size_t look, long step,
                           double own, double *out) {
    size_t other = (size_t)((long)state + step);
    jv_record *r;
    *out = own;
    jv_status status = jv_record_get(f, other, setup, &r);
    if (status == JV_OK && r->how != JV_RECORD_NOTHING)
        *out = look_mean(f, &f->setups[setup], &f->setups[setup].looks[look], r, look);
    return status;
}

/* Slope by the width of each severity cell, from the means of its neighbours. */
static jv_status cell_slopes(jv_finder *f, size_t state, size_t setup, size_t look, double mean,
                             double *slope) {
    const jv_find_state *s = &f->states[state];
    const jv_find_suspect *u = &f->suspects[s->suspect];
    size_t second = u->view.along ? JV_SHORT_OHMS : (u->view.n == 2 ? u->cells : 1);
    size_t count[2] = {u->n / second, second};
    long step[2] = {(long)second, 1};
    for (size_t d = 0; d < 2; d++) {
        double below = mean, above = mean;
        double cells = 0.0;
        jv_status status = JV_OK;
        if (s->cell[d] > 0) {
            status = neighbour(f, state, setup, look, -step[d], mean, &below);
            cells += 1.0;
        }
        if (status == JV_OK && s->cell[d] + 1u < count[d]) {
            status = neighbour(f, state, setup, look, step[d], mean, &above);
            cells += 1.0;
        }
        if (status != JV_OK)
            return status;
        if (cells > 0.0)
            slope[f->cell[d]] += cell_width * (above - below) / cells;
    }
    return JV_OK;
}

jv_status jv_expect_look(jv_finder *f, size_t state, size_t setup, size_t number, double *mean,
                         double *slope) {
    jv_find_setup *s = &f->setups[setup];
    const jv_look *look = &s->looks[number];
    jv_record *r;
    jv_status status = jv_record_get(f, state, setup, &r);
    if (status != JV_OK)
        return status;
    if (slope)
        memset(slope, 0, f->n_unknowns * sizeof *slope);
    if (r->how == JV_RECORD_NOTHING) { /* everything is down, nobody knows how far */
        bool ohms = look->kind == JV_LOOK_OHMS;
        *mean = ohms ? 0.5 * jv_ohms_to_scale(look->full, look->full) : -look->offset;
        if (slope)
            slope[f->cell[0]] = nothing_sd;
        return JV_OK;
    }
    *mean = look_mean(f, s, look, r, number);
    if (!slope)
        return JV_OK;
    if (r->how == JV_RECORD_WHOLE) {
        for (size_t k = 0; k < f->n_unknowns; k++)
            slope[k] = (double)r->slope[number * f->n_unknowns + k];
    } else {
        status = rank_slopes(f, state, setup, look, r, slope);
    }
    if (r->swing) /* anywhere between the two ends, wherever else the healthy values put them */
        slope[f->swing] = weighed(look, r->swing);
    if (look->kind == JV_LOOK_OHMS) {
        double ohms = half_ohm * expm1(*mean);
        bool over = ohms >= 0.999 * look->full;
        for (size_t k = 0; k < f->n_unknowns; k++)
            slope[k] *= over ? 0.0 : 1.0 / (f->meter.test_a * (half_ohm + ohms));
    }
    if (look->metered)
        slope[look->kind == JV_LOOK_AMPS ? f->gain_a : f->gain_v] +=
            *mean * f->unknowns[look->kind == JV_LOOK_AMPS ? f->gain_a : f->gain_v].sd;
    if (status == JV_OK && state != f->sound)
        status = cell_slopes(f, state, setup, number, *mean, slope);
    return status;
}

/* --- looks kept --- */

/* Above this the looks of all states are let go, bytes. */
static const size_t most_bytes = (size_t)256 << 20;

void jv_expect_trim(jv_finder *f) {
    if (f->kept_bytes < most_bytes)
        return;
    for (size_t k = 0; k < f->n_states; k++)
        for (size_t t = 0; f->states[k].record && t < f->n_setups; t++) {
            jv_record *r = f->states[k].record[t];
            for (size_t i = 0; r && i < r->n_kept; i++) {
                jv_free(r->kept[i]);
                r->kept[i] = NULL;
            }
        }
    f->kept_bytes = 0;
}

/* Eight sums side by side, which compilers turn into vectors. */
static double dot(const float *a, const float *b, size_t n) {
    enum { LANES = 8 };
    float sum[LANES] = {0};
    double rest = 0.0;
    size_t k = 0;
    for (; k + LANES <= n; k += LANES)
        for (size_t j = 0; j < LANES; j++)
            sum[j] += a[k + j] * b[k + j];
    for (; k < n; k++)
        rest += (double)a[k] * (double)b[k];
    for (size_t j = 0; j < LANES; j++)
        rest += (double)sum[j];
    return rest;
}

static jv_status keep(jv_finder *f, size_t state, size_t setup, size_t look, jv_kept **out) {
    jv_record *r;
    size_t n = f->n_unknowns;
    jv_status status = jv_record_get(f, state, setup, &r);
    if (status != JV_OK)
        return status;
    if (look >= r->n_kept) {
        size_t wanted = f->setups[setup].n_looks;
        jv_kept **moved = jv_resize(r->kept, wanted, sizeof *moved);
        if (!moved)
            return JV_ERR_MEMORY;
        memset(moved + r->n_kept, 0, (wanted - r->n_kept) * sizeof *moved);
        r->kept = moved;
        r->n_kept = wanted;
    }
    if ((*out = r->kept[look]))
        return JV_OK;
    size_t bytes = sizeof(jv_kept) + n * sizeof(float);
    jv_kept *kept = jv_alloc(1, bytes);
    if (!kept)
        return JV_ERR_MEMORY;
    status = jv_expect_look(f, state, setup, look, &kept->first, f->scratch);
    if (status != JV_OK) {
        jv_free(kept);
        return status;
    }
    for (size_t k = 0; k < n; k++)
        kept->slope[k] = (float)f->scratch[k];
    kept->epoch = 0;
    f->kept_bytes += bytes;
    *out = r->kept[look] = kept;
    return JV_OK;
}

jv_status jv_expect_gone(jv_finder *f, size_t state, size_t setup, size_t look, double *mean,
                         double *var, double *ps) {
    const jv_find_state *s = &f->states[state];
    size_t n = f->n_unknowns;
    jv_kept *kept;
    jv_status status = keep(f, f->sound, setup, look, &kept);
    if (status != JV_OK)
        return status;
    *mean = kept->first;
    *var = dot(kept->slope, kept->slope, n);
    for (size_t k = 0; k < n; k++)
        ps[k] = (double)kept->slope[k];
    for (size_t g = 0; g < s->n_gain; g++) {
        const float *gain = s->gain + g * n;
        double w = dot(kept->slope, gain, n);
        for (size_t k = 0; k < n; k++)
            ps[k] -= w * (double)gain[k];
        *mean += w * s->push[g];
        *var -= w * w;
    }
    *var = fmax(*var, 0.0);
    return JV_OK;
}

jv_status jv_expect_now(jv_finder *f, size_t state, size_t setup, size_t look, double *mean,
                        double *var, double *ps) {
    const jv_find_state *s = &f->states[state];
    size_t n = f->n_unknowns;
    jv_kept *kept;
    jv_status status = keep(f, state, setup, look, &kept);
    if (status != JV_OK)
        return status;
    if (kept->epoch != f->epoch) {
        kept->epoch = f->epoch;
        kept->applied = 0;
        kept->mean = kept->first;
        kept->var = dot(kept->slope, kept->slope, n);
    }
    for (size_t k = 0; ps && k < n; k++)
        ps[k] = (double)kept->slope[k];
    for (size_t g = ps ? 0 : kept->applied; g < s->n_gain; g++) {
        const float *gain = s->gain + g * n;
        double w = dot(kept->slope, gain, n);
        for (size_t k = 0; ps && k < n; k++)
            ps[k] -= w * (double)gain[k];
        if (g < kept->applied)
            continue;
        kept->mean += w * s->push[g];
        kept->var -= w * w;
    }
    kept->applied = s->n_gain;
    *mean = kept->mean;
    *var = fmax(kept->var, 0.0);
    return JV_OK;
}
