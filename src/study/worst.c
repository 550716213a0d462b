/* worst.c - the worst case of a watch over all spreads. SPDX-License-Identifier: MIT */
#include "study/worst.h"

#include "solve/adjoint.h"
#include "study/random.h"

#include <math.h>
#include <string.h>

/* What a quantity does to the margin over its whole range counts from here, V. */
static const double noticed_v = 1e-9;
enum {
    ROUNDS = 40, /* corners looked at before the search gives up */
    TRIED = 200  /* points between */
};
/* Half a step of the differences by which the loading of parts is looked at, of the range:
 * small for the elements, which answer exactly; wider for what heats conductors, whose
 * temperature in time is known to 1e-4 K. */
static const double fine_step = 1e-5, wide_step = 1e-3;

/* lambda . F of the parts that quantity q reaches, and the margin itself, with q at a value. */
static void look(jv_trial *t, size_t watch, size_t q, double value, const double *lambda,
                 double *residual, double *margin) {
    const jv_vary *v = &t->spreads->list[q];
    const jv_net *net = t->net;
    jv_trial_put(t, q, value);
    jv_trial_load(t, q);
    *residual = 0.0;
    for (size_t k = 0; k < v->n_parts; k++)
        *residual += jv_adjoint_residual(t->system, lambda, net->first[v->parts[k]],
                                         net->first[v->parts[k] + 1]);
    *margin = jv_trial_seen(t, watch, t->system->x) - t->limit[watch];
}

jv_status jv_worst_slopes(jv_trial *t, size_t watch, const double *values, double *per) {
    const jv_spreads *s = t->spreads;
    const jv_watch *w = &s->circuit->watches[watch];
    size_t n = (size_t)t->system->n;
    double *gradient = jv_zalloc(2 * n + 1, sizeof *gradient);
    if (!gradient)
        return JV_ERR_MEMORY;
    double *lambda = gradient + n;
    gradient[w->plus] += 1.0;
    gradient[w->minus] -= 1.0;
    jv_status status = jv_adjoint_solve(t->system, gradient, lambda);
    for (size_t q = 0; q < s->n && status == JV_OK; q++) {
        const jv_vary *v = &s->list[q];
        jv_target_kind kind = v->targets[0].kind;
        bool heats = kind == JV_TARGET_AMBIENT || kind == JV_TARGET_TIME;
        double h = (heats ? wide_step : fine_step) * (v->shown.value.high - v->shown.value.low);
        double up, down, margin_up, margin_down;
        look(t, watch, q, values[q] + h, lambda, &up, &margin_up);
        look(t, watch, q, values[q] - h, lambda, &down, &margin_down);
        jv_trial_put(t, q, values[q]);
        jv_trial_load(t, q);
        per[q] = (margin_up - margin_down - (up - down)) / (2.0 * h);
    }
    jv_free(gradient);
    return status;
}

typedef struct jv_search {
    jv_trial *t;
    size_t watch;
    double *values; /* where we are */
    double *slopes; /* there */
    double *best;   /* values of the least margin so far */
    int8_t *sign;   /* in which each quantity pulled at all points so far; 0 = not at all */
    double least;   /* margin there, V; infinity = none yet */
    double seen;    /* volts there */
    bool turned;    /* a quantity pulled both ways */
    jv_status status;
} jv_search;

/* Solve at search->values: notes the margin, and the slopes when asked to. */
static bool visit(jv_search *s, bool slopes, double *margin) {
    jv_point point;
    size_t n = s->t->spreads->n;
    for (size_t q = 0; q < n; q++)
        jv_trial_put(s->t, q, s->values[q]);
    if (!jv_trial_solve(s->t, &point, &s->status))
        return false;
    double seen = jv_trial_seen(s->t, s->watch, point.v);
    *margin = seen - s->t->limit[s->watch];
    if (*margin < s->least) {
        s->least = *margin;
        s->seen = seen;
        memcpy(s->best, s->values, n * sizeof *s->best);
    }
    if (!slopes)
        return true;
    jv_status status = jv_worst_slopes(s->t, s->watch, s->values, s->slopes);
    if (status == JV_ERR_MEMORY)
        s->status = status;
    if (status != JV_OK)
        return false;
    for (size_t q = 0; q < n; q++) {
        const jv_value *v = &s->t->spreads->list[q].shown.value;
        double pull = s->slopes[q] * (v->high - v->low);
        int8_t sign = (int8_t)((pull > noticed_v) - (pull < -noticed_v));
        if (sign && s->sign[q] && sign != s->sign[q])
            s->turned = true;
        if (sign)
            s->sign[q] = sign;
    }
    return true;
}

/* Moves each quantity to the end that lowers the margin. True when one moved. */
static bool step_to_corner(jv_search *s) {
    bool moved = false;
    for (size_t q = 0; q < s->t->spreads->n; q++) {
        const jv_value *v = &s->t->spreads->list[q].shown.value;
        double pull = s->slopes[q] * (v->high - v->low), to = s->values[q];
        if (pull > noticed_v)
            to = v->low;
        if (pull < -noticed_v)
            to = v->high;
        moved = moved || to != s->values[q];
        s->values[q] = to;
    }
    return moved;
}

/* From where the slopes were taken, corner by corner until the signs stand. False when a
 * corner has no operating point. */
static bool descend(jv_search *s, size_t *rounds) {
    double margin;
    for (*rounds = 0; *rounds < ROUNDS && step_to_corner(s); (*rounds)++)
        if (!visit(s, true, &margin))
            return false;
    return true;
}

/* Point `number` between the ends, uniform in each range (of logarithms where it is one). */
static void put_between(jv_search *s, uint64_t seed, uint64_t number) {
    static const uint64_t apart = UINT64_C(0x776F727374); /* other addresses than the draws' */
    for (size_t q = 0; q < s->t->spreads->n; q++) {
        const jv_vary *v = &s->t->spreads->list[q];
        jv_value range = v->shown.value;
        bool ratio = range.spread == JV_LOG_UNIFORM || range.spread == JV_LOG_NORMAL;
        range.spread = ratio ? JV_LOG_UNIFORM : JV_UNIFORM;
        double u[JV_SIDE], values[JV_SIDE];
        jv_uniforms(seed, number / JV_SIDE * JV_SIDE, v->address ^ apart, u);
        jv_values_at(&range, u, values);
        s->values[q] = values[number % JV_SIDE];
    }
}

/* Tries points between against the corner; from one that is lower the search goes on. */
static void try_between(jv_search *s, uint64_t seed, jv_scatter_worst *out) {
    size_t more;
    for (; out->tried < TRIED && s->status == JV_OK; out->tried++) {
        double corner = s->least, margin;
        put_between(s, seed, out->tried);
        if (!visit(s, true, &margin)) {
            out->proved = false;
            continue;
        }
        if (margin >= corner - noticed_v)
            continue;
        out->proved = false;
        descend(s, &more);
    }
    if (s->turned)
        out->proved = false;
}

static jv_status prepare(jv_search *s, jv_arena *arena, jv_scatter_worst *out) {
    size_t n = s->t->spreads->n + 1;
    double *per = jv_arena_alloc(arena, n, sizeof *per);
    s->best = jv_arena_alloc(arena, n, sizeof *s->best);
    s->values = jv_alloc(n, sizeof *s->values);
    s->slopes = jv_zalloc(n, sizeof *s->slopes);
    s->sign = jv_zalloc(n, sizeof *s->sign);
    out->at = s->best;
    out->per = per;
    if (!per || !s->best || !s->values || !s->slopes || !s->sign)
        return JV_ERR_MEMORY;
    for (size_t q = 0; q + 1 < n; q++)
        s->values[q] = s->best[q] = s->t->spreads->list[q].shown.value.nominal;
    double margin;
    out->found = visit(s, true, &margin);
    for (size_t q = 0; q + 1 < n; q++) {
        const jv_value *v = &s->t->spreads->list[q].shown.value;
        per[q] = s->slopes[q] * (v->high - v->low);
    }
    return s->status;
}

jv_status jv_worst_find(jv_trial *t, size_t watch, uint64_t seed, jv_arena *arena,
                        jv_scatter_worst *out) {
    memset(out, 0, sizeof *out);
    out->seen_v = out->margin_v = NAN;
    jv_search s = {.t = t, .watch = watch, .least = INFINITY, .seen = NAN, .status = JV_OK};
    jv_status status = prepare(&s, arena, out);
    if (status == JV_OK && out->found) {
        out->found = descend(&s, &out->rounds);
        out->proved = out->found && out->rounds < ROUNDS;
        if (out->found && t->spreads->n)
            try_between(&s, seed, out);
        status = s.status;
    }
    if (out->found) {
        out->seen_v = s.seen;
        out->margin_v = s.least;
    }
    for (size_t q = 0; q < t->spreads->n; q++)
        jv_trial_put(t, q, t->spreads->list[q].shown.value.nominal);
    jv_free(s.values);
    jv_free(s.slopes);
    jv_free(s.sign);
    return status;
}
