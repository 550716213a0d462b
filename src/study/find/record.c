/* record.c - the operating point of a state by low rank. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include <math.h>
#include <string.h>

enum {
    ROUNDS = 60,     /* of pieces, knees and relays */
    FREE_ROUNDS = 8, /* of them with all pieces changing at once */
    MOVES = 5,       /* of relays and sensors, from which it does not come to rest */
    SETTLED = 8      /* parts whose relays or cut-offs moved */
};
/* A pivot below this share of the row's own size means that the gate cuts a bridge: solve the
 * net as a whole. */
static const double least_pivot = 1e-7;

void jv_record_free(jv_record **r) {
    if (!r || !*r)
        return;
    for (size_t k = 0; k < (*r)->n_kept; k++)
        jv_free((*r)->kept[k]);
    void *const blocks[] = {(*r)->gates, (*r)->flips, (*r)->minv, (*r)->x,    (*r)->emf,
                            (*r)->mean,  (*r)->slope, (*r)->kept, (*r)->swing};
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
    jv_free(*r);
    *r = NULL;
}

/* All that is tried while one record is made. */
typedef struct jv_try {
    jv_finder *f;
    const jv_find_state *state;
    jv_find_setup *s;
    jv_gate gates[JV_MAX_GATES];
    size_t n;
    int32_t opened[JV_MAX_GATES];
    size_t n_opened;
    size_t settled[SETTLED];
    size_t n_settled;
    bool faded[2];
    bool chatters;
    bool turning; /* pieces are moving: falling limits are held where they were, or they lead up */
    int8_t *mode;
    double *x;
    double *before; /* x where relays and sensors last moved */
    double minv[JV_MAX_GATES * JV_MAX_GATES];
    double size[JV_MAX_GATES];   /* of each row, for the pivots */
    double amount[JV_MAX_GATES]; /* s of each gate */
} jv_try;

/* Element laws off the piece of the sound net; they take the place of a fault's own gate. */
static bool add_flips(jv_try *t) {
    for (size_t k = 0; k < t->s->net->n_elements; k++) {
        if (t->mode[k] == t->s->mode[k] || t->s->net->elements[k].open)
            continue;
        size_t at = 0;
        while (at < t->n && t->gates[at].element != (int32_t)k)
            at++;
        if (at == JV_MAX_GATES ||
            !jv_gate_of_flip(t->s, k, t->mode[k], t->turning ? t->x : NULL, &t->gates[at]))
            return false;
        if (at == t->n)
            t->n++;
    }
    return true;
}

/* While pieces move an open conductor lets a little through, so that loads behind it which ask a
 * steady current can be seen to go without, and come off their limit. */
static void leave_ajar(jv_try *t) {
    static const double ajar_s = 1e-6;
    for (size_t g = 0; g < t->n; g++) {
        jv_gate *gate = &t->gates[g];
        const jv_element *e = gate->element >= 0 ? &t->s->net->elements[gate->element] : NULL;
        if (e && e->law == JV_SERIES && e->open && !gate->fixed)
            gate->r = ajar_s;
    }
}

static bool gather(jv_try *t) {
    t->n = t->n_opened = 0;
    for (size_t k = 0; k < t->state->n_faults; k++) {
        const jv_fault *fault = &t->state->fault[k];
        if (!jv_gates_of_part(t->s, fault->part, t->gates, &t->n, t->opened, &t->n_opened) ||
            !jv_gate_of_branch(t->s, fault, t->faded[k], t->gates, &t->n))
            return false;
    }
    for (size_t k = 0; k < t->n_settled; k++)
        if (!jv_gates_of_part(t->s, t->settled[k], t->gates, &t->n, t->opened, &t->n_opened))
            return false;
    if (!add_flips(t))
        return false;
    if (t->turning)
        leave_ajar(t);
    return true;
}

/* Gauss-Jordan with row pivots on a small matrix, to its inverse; false when singular. */
static bool invert(double *m, double *out, const double *size, size_t n) {
    memset(out, 0, n * n * sizeof *out);
    double scale[JV_MAX_GATES];
    for (size_t i = 0; i < n; i++) {
        out[i * n + i] = 1.0;
        scale[i] = size[i];
    }
    for (size_t c = 0; c < n; c++) {
        size_t p = c;
        for (size_t i = c + 1; i < n; i++)
            if (fabs(m[i * n + c]) * scale[p] > fabs(m[p * n + c]) * scale[i])
                p = i;
        if (!(fabs(m[p * n + c]) > least_pivot * scale[p]))
            return false;
        for (size_t k = 0; k < n && p != c; k++) {
            double a = m[c * n + k], b = out[c * n + k];
            m[c * n + k] = m[p * n + k];
            m[p * n + k] = a;
            out[c * n + k] = out[p * n + k];
            out[p * n + k] = b;
        }
        double s = scale[c];
        scale[c] = scale[p];
        scale[p] = s;
        double d = 1.0 / m[c * n + c];
        for (size_t k = 0; k < n; k++) {
            m[c * n + k] *= d;
            out[c * n + k] *= d;
        }
        for (size_t i = 0; i < n; i++) {
            double w = m[i * n + c];
            if (i == c || w == 0.0)
                continue;
            for (size_t k = 0; k < n; k++) {
                m[i * n + k] -= w * m[c * n + k];
                out[i * n + k] -= w * out[c * n + k];
            }
        }
    }
    return true;
}

/* Row i of the small system gets v times V A^-1 U, row being v's row of A^-1. */
static void add_row(jv_try *t, size_t i, double v, const double *row, double *m) {
    for (size_t j = 0; j < t->n; j++) {
        const jv_gate *o = &t->gates[j];
        for (size_t k = 0; k < o->nu; k++) {
            double add = v * row[o->iu[k]] * o->u[k];
            m[j] += add;
            if (i == j)
                t->size[i] += fabs(add);
        }
    }
}

/* Row i of R + V A^-1 U; a fixed gate has 1 on its diagonal and its amount as right side. */
static jv_status equations(jv_try *t, double *m, double *b) {
    size_t n = t->n;
    memset(m, 0, n * n * sizeof *m);
    for (size_t i = 0; i < n; i++) {
        const jv_gate *g = &t->gates[i];
        b[i] = g->c;
        m[i * n + i] = g->fixed ? 1.0 : g->r;
        t->size[i] = fabs(m[i * n + i]);
        for (size_t a = 0; !g->fixed && a < g->nv; a++) {
            const double *row = jv_setup_row(t->s, g->iv[a]);
            if (!row)
                return JV_ERR_MEMORY;
            b[i] += g->v[a] * t->s->x[g->iv[a]];
            add_row(t, i, g->v[a], row, m + i * n);
        }
        t->size[i] = t->size[i] > 0.0 ? t->size[i] : 1e-30;
    }
    return JV_OK;
}

/* x' = x - A^-1 U s. */
static jv_status solve(jv_try *t, bool *sound) {
    double m[JV_MAX_GATES * JV_MAX_GATES], b[JV_MAX_GATES];
    size_t n = t->n;
    jv_status status = equations(t, m, b);
    *sound = status == JV_OK && invert(m, t->minv, t->size, n);
    memcpy(t->x, t->s->x, (size_t)t->s->n * sizeof *t->x);
    for (size_t i = 0; *sound && i < n; i++) {
        double s = 0.0;
        for (size_t j = 0; j < n; j++)
            s += t->minv[i * n + j] * b[j];
        t->amount[i] = s;
        for (size_t k = 0; k < t->gates[i].nu; k++) {
            const double *col = jv_setup_col(t->s, t->gates[i].iu[k]);
            if (!col)
                return JV_ERR_MEMORY;
            double w = s * t->gates[i].u[k];
            for (int q = 0; q < t->s->n; q++)
                t->x[q] -= w * col[q];
        }
    }
    return status;
}

/* Brings the pieces in line with x'; how many changed. */
static size_t move_modes(jv_try *t, size_t most) {
    jv_system *y = t->s->system;
    double *x = y->x;
    int8_t *mode = y->mode;
    y->x = t->x;
    y->mode = t->mode;
    size_t changed = jv_system_modes(y, most);
    y->x = x;
    y->mode = mode;
    return changed;
}

static bool move_leaks(jv_try *t) {
    bool moved = false;
    for (size_t k = 0; k < t->state->n_faults; k++) {
        const jv_fault *fault = &t->state->fault[k];
        if (fault->way != JV_WAY_LEAK)
            continue;
        const jv_element *e = &t->s->net->elements[t->s->net->first[fault->part]];
        bool faded = t->x[e->a] - t->x[fault->to >= 0 ? fault->to : e->b] < JV_LEAK_KNEE_V;
        moved = moved || faded != t->faded[k];
        t->faded[k] = faded;
    }
    return moved;
}

/* Currents of one part's elements at x'. */
static void currents(const jv_try *t, size_t part, double *i, size_t most) {
    const jv_net *net = t->s->net;
    for (size_t k = 0; k < net->own[part] && k < most; k++) {
        size_t at = net->first[part] + k;
        const jv_element *e = &net->elements[at];
        int32_t j = t->s->system->current[at];
        double v = t->x[e->a] - t->x[e->b];
        i[k] = j >= 0 ? t->x[j] : (e->open ? 0.0 : fmin(fmax(v / e->r, -e->back), e->limit));
    }
}

/* Relays, cut-offs and starved sensors: one that moves joins the changed parts. */
static bool settle(jv_try *t, bool *full) {
    enum { MOST = 64 };
    double i[MOST];
    const jv_circuit *c = t->f->c;
    *full = false;
    if (t->s->kind == JV_SETUP_ISOLATED)
        return false;
    bool moved = false;
    for (size_t p = 0; p < c->n_parts; p++) {
        const jv_part_kind *kind = c->parts[p].kind;
        if (!kind->settle || t->s->net->own[p] > MOST)
            continue;
        currents(t, p, i, MOST);
        if (!kind->settle(&t->s->net->scene, &c->parts[p],
                          t->s->net->elements + t->s->net->first[p], t->s->net->own[p], t->x, i))
            continue;
        moved = true;
        bool known = false;
        for (size_t k = 0; k < t->state->n_faults; k++)
            known = known || t->state->fault[k].part == p;
        for (size_t k = 0; k < t->n_settled; k++)
            known = known || t->settled[k] == p;
        if (known)
            continue;
        if (t->n_settled == SETTLED) {
            *full = true;
            return true;
        }
        t->settled[t->n_settled++] = p;
    }
    return moved;
}

/* Laws that bend where the gates do not follow: constant power, and a regulator's own current
 * below its knee. */
static bool bends(const jv_try *t) {
    static const double knee_v = 1.0, bent = 0.02; /* laws.c; share of the volts */
    for (size_t k = 0; k < t->s->net->n_elements; k++) {
        const jv_element *e = &t->s->net->elements[k];
        if (e->open || (e->law != JV_POWER && e->law != JV_REGULATOR))
            continue;
        double now = t->x[e->a] - t->x[e->b], was = t->s->x[e->a] - t->s->x[e->b];
        if (e->law == JV_POWER && fabs(now - was) > bent * fabs(was))
            return true;
        if (e->law == JV_REGULATOR && e->quiescent > 0.0 && (now < knee_v) != (was < knee_v))
            return true;
    }
    return false;
}

/* A step of iterative refinement: with f = A (x' - x) + U s and g = V x' + c - R s,
 *     ds = (R + V A^-1 U)^-1 (g - V A^-1 f),   dx = -A^-1 f - A^-1 U ds. */
static jv_status polish(jv_try *t) {
    const jv_find_setup *s = t->s;
    const jv_system *y = s->system;
    double g[JV_MAX_GATES], *f = y->dx;
    memset(f, 0, (size_t)y->n * sizeof *f);
    for (int j = 0; j < y->n; j++)
        for (int k = y->ap[j]; k < y->ap[j + 1]; k++)
            f[y->ai[k]] += s->ax[k] * (t->x[j] - s->x[j]);
    for (size_t i = 0; i < t->n; i++) {
        const jv_gate *a = &t->gates[i];
        for (size_t k = 0; k < a->nu; k++)
            f[a->iu[k]] += a->u[k] * t->amount[i];
        g[i] = a->fixed ? a->c - t->amount[i] : a->c - a->r * t->amount[i];
        for (size_t k = 0; !a->fixed && k < a->nv; k++)
            g[i] += a->v[k] * t->x[a->iv[k]];
    }
    jv_status status = jv_lu_solve(y->lu, f);
    if (status != JV_OK)
        return status;
    for (size_t i = 0; i < t->n; i++)
        for (size_t k = 0; !t->gates[i].fixed && k < t->gates[i].nv; k++)
            g[i] -= t->gates[i].v[k] * f[t->gates[i].iv[k]];
    for (int q = 0; q < y->n; q++)
        t->x[q] -= f[q];
    for (size_t i = 0; i < t->n; i++) {
        double ds = 0.0;
        for (size_t j = 0; j < t->n; j++)
            ds += t->minv[i * t->n + j] * g[j];
        t->amount[i] += ds;
        for (size_t k = 0; k < t->gates[i].nu; k++) {
            const double *col = jv_setup_col(t->s, t->gates[i].iu[k]);
            for (int q = 0; q < y->n; q++)
                t->x[q] -= ds * t->gates[i].u[k] * col[q];
        }
    }
    return JV_OK;
}

/* The true equations at x', with the branches that the fault adds on top. */
static double residual(jv_try *t) {
    jv_system *y = t->s->system;
    double *x = y->x, worst = 0.0;
    int8_t *mode = y->mode;
    y->x = t->x;
    y->mode = t->mode;
    jv_system_evaluate(y);
    y->x = x;
    y->mode = mode;
    for (size_t g = 0; g < t->n; g++)
        for (size_t k = 0; t->gates[g].element < 0 && k < t->gates[g].nu; k++)
            y->f[t->gates[g].iu[k]] += t->gates[g].u[k] * t->amount[g];
    for (int i = 0; i < y->n; i++)
        worst = fmax(worst, fabs(y->f[i]));
    return worst;
}

/* Where a gate sets a current or volts outright, digits can be lost: polish, and look. */
static bool holds(jv_try *t, jv_status *status) {
    static const double rounding = 1e-9; /* A, V: of hundreds of amps */
    bool outright = false;
    for (size_t g = 0; g < t->n; g++)
        outright = outright || (!t->gates[g].fixed && t->gates[g].r == 0.0);
    if (!outright)
        return true;
    *status = polish(t);
    if (*status == JV_OK)
        *status = polish(t);
    return *status == JV_OK && residual(t) <= rounding;
}

static void restore(jv_try *t) {
    jv_net *net = t->s->net;
    for (size_t k = 0; k < t->state->n_faults + t->n_settled; k++) {
        size_t part =
            k < t->state->n_faults ? t->state->fault[k].part : t->settled[k - t->state->n_faults];
        size_t first = net->first[part];
        memcpy(net->elements + first, t->s->sound + first,
               (net->first[part + 1] - first) * sizeof *net->elements);
    }
    net->scene.faults = NULL;
    net->scene.n_faults = 0;
}

/* True when the operating point was found by gates. */
static bool find(jv_try *t, jv_status *status) {
    for (size_t k = 0; k < t->state->n_faults; k++)
        jv_setup_load_part(t->s, t->state->fault, t->state->n_faults, t->state->fault[k].part);
    t->s->net->scene.faults = t->state->fault;
    t->s->net->scene.n_faults = t->state->n_faults;
    for (size_t k = 0; k < t->state->n_faults; k++)
        t->turning = t->turning || t->state->fault[k].way == JV_WAY_OPEN;
    int moves = 0;
    for (int round = 0; round < ROUNDS; round++) {
        bool sound = false, full = false;
        if (!gather(t))
            return false;
        *status = solve(t, &sound);
        if (*status != JV_OK || !sound)
            return false;
        bool moved = move_modes(t, round < FREE_ROUNDS ? SIZE_MAX : 1) || move_leaks(t);
        bool was = t->turning;
        t->turning = moved;
        if (moved || was)
            continue;
        if (!settle(t, &full))
            return !bends(t) && holds(t, status);
        if (full)
            return false;
        if (++moves > MOVES) { /* it starves and recovers in turn: a meter shows the middle */
            for (int q = 0; q < t->s->n; q++) {
                t->before[q] = 0.5 * (t->x[q] - t->before[q]);
                t->x[q] -= t->before[q];
            }
            t->chatters = true;
            return true;
        }
        memcpy(t->before, t->x, (size_t)t->s->n * sizeof *t->x);
    }
    return false;
}

void jv_record_emf(const jv_find_setup *s, const jv_net *net, const uint32_t *motor,
                   const double *x, double *emf) {
    for (size_t k = 0; k < s->n_motors; k++) {
        const jv_element *e = &net->elements[motor[k]];
        double v = fabs(x[e->a] - x[e->b]);
        double i = fmin(v / e->r, e->limit);
        emf[k] = e->open ? 0.0 : fmax(v - i * e->r, 0.0);
    }
}

static bool keep(jv_try *t, jv_record *r) {
    size_t n = t->n, flips = 0;
    r->gates = jv_alloc(n + 1, sizeof *r->gates);
    r->minv = jv_alloc(n * n + 1, sizeof *r->minv);
    r->flips = jv_alloc(t->s->net->n_elements + JV_MAX_GATES, sizeof *r->flips);
    if (!r->gates || !r->minv || !r->flips)
        return false;
    memcpy(r->gates, t->gates, n * sizeof *t->gates);
    memcpy(r->minv, t->minv, n * n * sizeof *t->minv);
    for (size_t k = 0; k < t->s->net->n_elements; k++)
        if (t->mode[k] != t->s->mode[k])
            r->flips[flips++] = (int32_t)k;
    for (size_t k = 0; k < t->n_opened; k++)
        r->flips[flips++] = t->opened[k];
    r->n_gates = (uint8_t)n;
    r->n_flips = (uint8_t)(flips < UINT8_MAX ? flips : UINT8_MAX);
    r->how = JV_RECORD_RANK;
    return true;
}

jv_status jv_record_rank(jv_finder *f, const jv_find_state *state, jv_find_setup *s, jv_record *r,
                         bool *found) {
    jv_try t;
    memset(&t, 0, sizeof t);
    t.f = f;
    t.state = state;
    t.s = s;
    t.x = r->x;
    t.mode = jv_alloc(s->net->n_elements + 1, sizeof *t.mode);
    t.before = jv_alloc((size_t)s->n + 1, sizeof *t.before);
    jv_status status = t.mode && t.before ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK)
        memcpy(t.mode, s->mode, s->net->n_elements * sizeof *t.mode);
    *found = status == JV_OK && find(&t, &status);
    if (*found) {
        jv_record_emf(s, s->net, s->motor, t.x, r->emf);
        if (!keep(&t, r))
            status = JV_ERR_MEMORY;
    }
    restore(&t);
    jv_free(t.mode);
    if (t.chatters)
        r->swing = t.before;
    else
        jv_free(t.before);
    return status;
}

jv_status jv_record_get(jv_finder *f, size_t state, size_t setup, jv_record **out) {
    jv_find_state *st = &f->states[state];
    jv_find_setup *s = &f->setups[setup];
    if (!st->record) {
        st->record = jv_zalloc(f->cap_setups, sizeof *st->record);
        if (!st->record)
            return JV_ERR_MEMORY;
    }
    jv_record *r = st->record[setup];
    /* Looks that came after a whole solve need its slopes again. */
    if (r && r->how == JV_RECORD_WHOLE && r->n_looks < s->n_looks)
        jv_record_free(&st->record[setup]); /* its kept looks go with it */
    else if (r) {
        *out = r;
        return JV_OK;
    }
    r = jv_zalloc(1, sizeof *r);
    if (!r)
        return JV_ERR_MEMORY;
    r->x = jv_zalloc((size_t)s->n + 1, sizeof *r->x);
    r->emf = jv_zalloc(s->n_motors + 1, sizeof *r->emf);
    bool found = false;
    jv_status status = r->x && r->emf ? JV_OK : JV_ERR_MEMORY;
    r->how = JV_RECORD_NOTHING;
    if (status == JV_OK && s->usable)
        status = jv_record_rank(f, st, s, r, &found);
    f->n_rank += found;
    if (status == JV_OK && s->usable && !found)
        status = jv_record_whole(f, st, s, r);
    if (status != JV_OK) {
        jv_record_free(&r);
        return status;
    }
    st->record[setup] = *out = r;
    return JV_OK;
}
