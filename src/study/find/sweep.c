/* sweep.c - all singles and all their pairs at once. SPDX-License-Identifier: MIT */
#include "study/find/sweep.h"

#include <math.h>
#include <string.h>

/* One suspect as one gate, with what it does to every look and to every other gate. */
typedef struct jv_sweep_work {
    jv_finder *f;
    jv_find_setup *s;
    jv_gate *gate;
    size_t *suspect;
    size_t n, n_looks, n_guards;
    jv_look *guard; /* below zero: a law leaves its piece */
    double *effect; /* [gate][look + guard]: change by one unit of s */
    double *sound;  /* [look + guard] */
    double *cross;  /* [gate][gate]: v A^-1 u */
    double *start;  /* v x + c */
    size_t *other;  /* suspects that are not one gate here */
    size_t n_others;
    double *x, *emf; /* of a record by more gates */
} jv_sweep_work;

static void work_free(jv_sweep_work *w) {
    void *const blocks[] = {w->gate,  w->suspect, w->guard, w->effect, w->sound,
                            w->cross, w->start,   w->other, w->x,      w->emf};
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
}

static size_t middle_state(const jv_find_suspect *u) {
    return u->first + u->n / 2;
}

/* Singles that are one gate; an open bridge, or a motor that shorts, is a net of its own. */
static void gather(jv_sweep_work *w) {
    jv_net *net = w->s->net;
    for (size_t k = 0; k + 1 < w->f->n_suspects; k++) {
        const jv_find_suspect *u = &w->f->suspects[k];
        const jv_fault *fault = w->f->states[middle_state(u)].fault;
        jv_gate gates[JV_MAX_GATES];
        int32_t opened[JV_MAX_GATES];
        size_t n = 0, n_opened = 0, first = net->first[fault->part];
        if (u->view.n != 1)
            continue;
        jv_setup_load_part(w->s, fault, 1, fault->part);
        bool one = jv_gates_of_part(w->s, fault->part, gates, &n, opened, &n_opened) &&
                   jv_gate_of_branch(w->s, fault, false, gates, &n);
        memcpy(net->elements + first, w->s->sound + first,
               (net->first[fault->part + 1] - first) * sizeof *net->elements);
        one = one && n == 1 && !n_opened && fault->way != JV_WAY_OPEN;
        if (one) {
            w->gate[w->n] = gates[0];
            w->suspect[w->n++] = k;
        } else if (n) {
            w->other[w->n_others++] = k;
        }
    }
}

static void add_guard(jv_sweep_work *w, int32_t a, int32_t b, double weight, double offset) {
    jv_look *g = &w->guard[w->n_guards++];
    memset(g, 0, sizeof *g);
    g->index[g->n] = a;
    g->weight[g->n++] = weight;
    if (b >= 0) {
        g->index[g->n] = b;
        g->weight[g->n++] = -weight;
    }
    g->offset = offset;
}

/* Motors that may stall, loads that may reach their limit, supplies and regulators at theirs. */
static void make_guards(jv_sweep_work *w) {
    for (size_t k = 0; k < w->s->net->n_elements; k++) {
        const jv_element *e = &w->s->sound[k];
        int8_t mode = w->s->mode[k];
        int32_t j = w->s->system->current[k];
        if (e->open)
            continue;
        if (e->law == JV_SINK && mode == JV_MODE_LIMIT)
            add_guard(w, e->a, e->b, 1.0, e->limit * e->r);
        else if (e->law == JV_SINK && mode == JV_MODE_LINEAR && isfinite(e->limit))
            add_guard(w, e->a, e->b, -1.0, -e->limit * e->r);
        else if (e->law == JV_REGULATOR && mode == JV_MODE_LINEAR) {
            add_guard(w, j, -1, -1.0, -e->limit);
            add_guard(w, e->a, e->b, 1.0, e->drop + e->e);
        } else if (e->law == JV_SOURCE && mode == JV_MODE_LINEAR) {
            add_guard(w, j, -1, -1.0, 0.0);
            if (isfinite(e->limit))
                add_guard(w, j, -1, 1.0, -e->limit);
        }
    }
}

static double weighed(const jv_look *look, const double *x) {
    double sum = 0.0;
    for (size_t k = 0; k < look->n; k++)
        sum += look->weight[k] * x[look->index[k]];
    return sum;
}

static jv_status effects(jv_sweep_work *w) {
    size_t columns = w->n_looks + w->n_guards, n = (size_t)w->s->n;
    double *z = jv_alloc(n + 1, sizeof *z);
    if (!z)
        return JV_ERR_MEMORY;
    for (size_t c = 0; c < columns; c++)
        w->sound[c] = c < w->n_looks ? weighed(&w->s->looks[c], w->s->x)
                                     : weighed(&w->guard[c - w->n_looks], w->s->x) -
                                           w->guard[c - w->n_looks].offset;
    for (size_t i = 0; i < w->n; i++) {
        const jv_gate *g = &w->gate[i];
        memset(z, 0, n * sizeof *z);
        for (size_t k = 0; k < g->nu; k++) {
            const double *col = jv_setup_col(w->s, g->iu[k]);
            for (size_t q = 0; col && q < n; q++)
                z[q] += g->u[k] * col[q];
            if (!col) {
                jv_free(z);
                return JV_ERR_MEMORY;
            }
        }
        for (size_t c = 0; c < columns; c++)
            w->effect[i * columns + c] = c < w->n_looks ? weighed(&w->s->looks[c], z)
                                                        : weighed(&w->guard[c - w->n_looks], z);
        w->start[i] = g->c;
        for (size_t k = 0; !g->fixed && k < g->nv; k++)
            w->start[i] += g->v[k] * w->s->x[g->iv[k]];
        for (size_t j = 0; j < w->n; j++) {
            const jv_gate *o = &w->gate[j];
            double sum = 0.0;
            for (size_t k = 0; !o->fixed && k < o->nv; k++)
                sum += o->v[k] * z[o->iv[k]];
            w->cross[j * w->n + i] = sum;
        }
    }
    jv_free(z);
    return JV_OK;
}

static double own(const jv_sweep_work *w, size_t i) {
    return w->gate[i].fixed ? 1.0 : w->gate[i].r + w->cross[i * w->n + i];
}

/* Two equations for two gates; false where they cut a bridge together. */
static bool amounts(const jv_sweep_work *w, size_t i, size_t k, double *a, double *b) {
    static const double least = 1e-7;
    double ii = own(w, i), ik = w->cross[i * w->n + k], ki = w->cross[k * w->n + i], kk = own(w, k);
    double d = ii * kk - ik * ki;
    if (!(fabs(d) > least * (fabs(ii * kk) + fabs(ik * ki))))
        return false;
    *a = (w->start[i] * kk - w->start[k] * ik) / d;
    *b = (w->start[k] * ii - w->start[i] * ki) / d;
    return true;
}

/* Where a law leaves its piece: as many gates as it takes. */
static jv_status by_gates(jv_sweep_work *w, size_t i, size_t k, double *mean, bool *found) {
    jv_find_state both;
    memset(&both, 0, sizeof both);
    both.fault[both.n_faults++] = w->f->states[middle_state(&w->f->suspects[i])].fault[0];
    if (k != i)
        both.fault[both.n_faults++] = w->f->states[middle_state(&w->f->suspects[k])].fault[0];
    jv_record *r = jv_zalloc(1, sizeof *r);
    *found = false;
    if (!r)
        return JV_ERR_MEMORY;
    r->x = w->x;
    r->emf = w->emf;
    jv_status status = jv_record_rank(w->f, &both, w->s, r, found);
    *found = *found && !r->swing; /* to and fro is no one point */
    for (size_t c = 0; *found && c < w->n_looks; c++)
        mean[c] = weighed(&w->s->looks[c], r->x);
    r->x = r->emf = NULL;
    jv_record_free(&r);
    return status;
}

typedef void jv_sweep_take(void *ctx, size_t i, size_t k, const double *mean);

static jv_status hard(jv_sweep_work *w, size_t i, size_t k, jv_sweep_take *take, void *ctx,
                      double *mean, jv_sweep *out) {
    bool found;
    jv_status status = by_gates(w, i, k, mean, &found);
    out->pairs += found;
    out->wholes += !found;
    if (found)
        out->sum += mean[0];
    if (found && take)
        take(ctx, i, k, mean);
    return status;
}

static jv_status pairs(jv_sweep_work *w, jv_sweep_take *take, void *ctx, double *mean,
                       jv_sweep *out) {
    size_t columns = w->n_looks + w->n_guards;
    jv_status status = JV_OK;
    for (size_t i = 0; i < w->n_others && status == JV_OK; i++)
        status = hard(w, w->other[i], w->other[i], take, ctx, mean, out);
    for (size_t i = 0; i < w->n; i++)
        for (size_t k = i; k < w->n && status == JV_OK; k++) {
            const double *one = w->effect + i * columns, *two = w->effect + k * columns;
            double a = w->start[i] / own(w, i), b = 0.0;
            bool stalls = k != i && !amounts(w, i, k, &a, &b);
            for (size_t c = w->n_looks; c < columns && !stalls; c++)
                stalls = w->sound[c] - a * one[c] - b * two[c] < 0.0;
            if (stalls) {
                out->flips++;
                status = hard(w, w->suspect[i], w->suspect[k], take, ctx, mean, out);
                continue;
            }
            for (size_t c = 0; c < w->n_looks; c++)
                mean[c] = w->sound[c] - a * one[c] - b * two[c];
            out->pairs++;
            out->sum += mean[0];
            if (take)
                take(ctx, w->suspect[i], w->suspect[k], mean);
        }
    return status;
}

jv_status jv_sweep_run(jv_finder *f, size_t setup,
                       void (*take)(void *ctx, size_t i, size_t k, const double *mean), void *ctx,
                       jv_sweep *out) {
    jv_sweep_work w;
    memset(&w, 0, sizeof w);
    memset(out, 0, sizeof *out);
    w.f = f;
    w.s = &f->setups[setup];
    w.n_looks = w.s->n_looks;
    if (!w.s->usable)
        return JV_ERR_UNSOLVED;
    size_t most = f->n_suspects + 1, guards = 2 * w.s->net->n_elements + 1;
    size_t before = jv_lu_counted(w.s->system->lu).solves;
    w.gate = jv_alloc(most, sizeof *w.gate);
    w.suspect = jv_alloc(most, sizeof *w.suspect);
    w.guard = jv_alloc(guards, sizeof *w.guard);
    w.start = jv_alloc(most, sizeof *w.start);
    w.other = jv_alloc(most, sizeof *w.other);
    w.x = jv_alloc((size_t)w.s->n + 1, sizeof *w.x);
    w.emf = jv_alloc(w.s->n_motors + 1, sizeof *w.emf);
    bool room = w.gate && w.suspect && w.guard && w.start && w.other && w.x && w.emf;
    jv_status status = room ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK) {
        gather(&w);
        make_guards(&w);
    }
    size_t columns = w.n_looks + w.n_guards + 1;
    if (status == JV_OK) {
        w.effect = jv_alloc(w.n * columns + 1, sizeof *w.effect);
        w.sound = jv_alloc(columns, sizeof *w.sound);
        w.cross = jv_alloc(w.n * w.n + 1, sizeof *w.cross);
        status = w.effect && w.sound && w.cross ? effects(&w) : JV_ERR_MEMORY;
    }
    double *mean = jv_alloc(columns, sizeof *mean);
    if (status == JV_OK && mean) {
        out->singles = w.n;
        out->others = w.n_others;
        status = pairs(&w, take, ctx, mean, out);
        out->solves = jv_lu_counted(w.s->system->lu).solves - before;
    } else if (status == JV_OK) {
        status = JV_ERR_MEMORY;
    }
    jv_free(mean);
    work_free(&w);
    return status;
}
