/* draws.c - the circuit as a response to draws. SPDX-License-Identifier: MIT */
#include "study/draws.h"

#include "circuit/part_kind.h"
#include "study/abreast.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

/* How a watch sees the volts between its terminals. */
enum { VIEW_PLAIN, VIEW_BY_PART, VIEW_BY_DRAW };

typedef struct jv_draw_worker {
    const jv_draws *draws;
    jv_trial trial;
    double (*numbers)[JV_SIDE]; /* of each move, in the order of the parts */
    unsigned *load;             /* of each moving part: draws for which it must be loaded */
    unsigned now;               /* the draw of the eight that is being solved */
    jv_abreast *abreast;        /* NULL: the circuit does not fit lanes */
    uint8_t *views;             /* of each watch */
    size_t *limit_of;           /* .. and the quantity that is its limit; beyond all = none */
} jv_draw_worker;

static size_t moves_in_all(const jv_moves *m) {
    size_t n = 0;
    for (size_t k = 0; k < m->n; k++)
        n += m->parts[k].n_moves;
    return n;
}

/* Puts the numbers of one draw into the elements. */
static void set_numbers(jv_draw_worker *w) {
    const jv_moves *m = w->draws->moves;
    jv_net *net = w->trial.net;
    size_t next = 0;
    for (size_t p = 0; p < m->n; p++) {
        const jv_move_part *part = &m->parts[p];
        bool load = part->heats || (w->load[p] >> w->now & 1u);
        if (load)
            jv_net_load_part(net, part->part);
        for (size_t k = 0; k < part->n_moves; k++, next++)
            if (!load)
                *jv_field_of(&net->elements[part->moves[k].element], part->moves[k].field) =
                    w->numbers[next][w->now];
    }
}

/* A state has changed: parts that have states are loaded again, and what moves with them. */
static void reload(void *ctx) {
    jv_draw_worker *w = ctx;
    const jv_circuit *c = w->draws->spreads->circuit;
    for (size_t p = 0; p < c->n_parts; p++)
        if (c->parts[p].kind->settle)
            jv_net_load_part(w->trial.net, p);
    set_numbers(w);
}

static void dismiss(void *ctx, void *worker) {
    (void)ctx;
    jv_draw_worker *w = worker;
    if (w->draws->counts && w->trial.system)
        *w->draws->counts = jv_lu_counted(w->trial.system->lu);
    jv_abreast_free(&w->abreast);
    jv_trial_clear(&w->trial);
    jv_free(w->numbers);
    jv_free(w->load);
    jv_free(w->views);
    jv_free(w->limit_of);
    jv_free(w);
}

/* A watch at two terminals sees the volts between them; one at a controller what that makes of
 * them, which may vary. */
static void find_views(jv_draw_worker *w) {
    const jv_draws *d = w->draws;
    const jv_spreads *s = d->spreads;
    for (size_t i = 0; i < d->n_watches; i++) {
        int32_t part = s->circuit->watches[d->watches[i]].part;
        w->limit_of[i] = s->n;
        for (size_t q = 0; q < s->n; q++)
            for (size_t k = 0; k < s->list[q].n_targets; k++)
                if (s->list[q].targets[k].kind == JV_TARGET_LIMIT &&
                    s->list[q].targets[k].index == d->watches[i])
                    w->limit_of[i] = q;
        w->views[i] = part < 0 ? VIEW_PLAIN : VIEW_BY_PART;
        for (size_t q = 0; q < s->n && part >= 0; q++)
            for (size_t k = 0; k < s->list[q].n_parts; k++)
                if (s->list[q].parts[k] == (uint32_t)part)
                    w->views[i] = VIEW_BY_DRAW;
    }
}

static jv_status set_up(jv_draw_worker *w) {
    const jv_draws *d = w->draws;
    jv_status status = jv_trial_make(d->spreads, d->faults, d->n_faults, d->nominal, &w->trial);
    w->numbers = jv_alloc(moves_in_all(d->moves) + 1, sizeof *w->numbers);
    w->load = jv_alloc(d->moves->n + 1, sizeof *w->load);
    w->views = jv_alloc(d->n_watches + 1, sizeof *w->views);
    w->limit_of = jv_alloc(d->n_watches + 1, sizeof *w->limit_of);
    if (status == JV_OK && (!w->numbers || !w->load || !w->views || !w->limit_of))
        status = JV_ERR_MEMORY;
    if (status == JV_OK)
        find_views(w);
    if (status == JV_OK && !d->one_at_a_time)
        status = jv_abreast_new(&w->trial, d->moves, d->width, &w->abreast);
    return status == JV_ERR_UNSOLVED ? JV_OK : status;
}

static jv_status hire(void *ctx, void **worker) {
    const jv_draws *d = ctx;
    jv_draw_worker *w = jv_zalloc(1, sizeof *w);
    if (!w)
        return JV_ERR_MEMORY;
    w->draws = d;
    jv_status status = set_up(w);
    if (status != JV_OK) {
        dismiss(ctx, w);
        return status;
    }
    w->trial.system->reload = reload;
    w->trial.system->reload_ctx = w;
    *worker = w;
    return JV_OK;
}

static void block(void *worker) {
    jv_draw_worker *w = worker;
    jv_trial_anew(&w->trial);
}

/* One draw of the eight, by the equations of the whole circuit. */
static jv_status one(jv_draw_worker *w, double (*values)[JV_SIDE], double (*seen)[JV_SIDE],
                     bool *solved) {
    const jv_draws *d = w->draws;
    jv_trial *t = &w->trial;
    jv_point point;
    for (size_t q = 0; q < d->spreads->n; q++)
        jv_trial_put(t, q, values[q][w->now]);
    jv_trial_rewind(t);
    t->net->scene.x = t->x;
    set_numbers(w);
    jv_status status = jv_point_find(t->system, true, &point);
    if (status == JV_ERR_UNSOLVED)
        status = JV_OK;
    *solved = status == JV_OK && point.outcome <= JV_POINT_CANNOT_DELIVER;
    for (size_t i = 0; i < d->n_watches; i++)
        seen[i][w->now] = *solved ? jv_trial_seen(t, d->watches[i], point.v) : NAN;
    return status;
}

/* The numbers of the eight draws, and the limits of the watches. */
static void work_out(jv_draw_worker *w, double (*values)[JV_SIDE]) {
    const jv_moves *m = w->draws->moves;
    size_t next = 0;
    for (size_t p = 0; p < m->n; p++) {
        const jv_move_part *part = &m->parts[p];
        int piece[JV_SIDE] = {0};
        double place[JV_SIDE] = {0};
        if (part->kind == JV_MOVE_LOAD)
            w->load[p] = ~0u;
        else
            jv_move_pieces(part, values, piece, place, &w->load[p]);
        for (size_t k = 0; k < part->n_moves; k++, next++)
            jv_move_values(part, &part->moves[k], values, piece, place, w->numbers[next]);
    }
}

static void set_limits(const jv_draw_worker *w, double (*values)[JV_SIDE],
                       double (*limit)[JV_SIDE]) {
    const jv_draws *d = w->draws;
    for (size_t i = 0; i < d->n_watches; i++) {
        size_t q = w->limit_of[i];
        double fixed = d->spreads->circuit->watches[d->watches[i]].below.nominal;
        for (unsigned k = 0; k < JV_SIDE; k++)
            limit[i][k] = q < d->spreads->n ? values[q][k] : fixed;
    }
}

/* What the watches see in the draws that were solved side by side. */
static void see(jv_draw_worker *w, double (*values)[JV_SIDE], unsigned solved,
                double (*seen)[JV_SIDE]) {
    const jv_spreads *s = w->draws->spreads;
    for (size_t i = 0; i < w->draws->n_watches; i++) {
        const jv_watch *watch = &s->circuit->watches[w->draws->watches[i]];
        const double *plus = jv_abreast_volts(w->abreast, (size_t)watch->plus);
        const double *minus = jv_abreast_volts(w->abreast, (size_t)watch->minus);
        for (unsigned k = 0; k < JV_SIDE; k++)
            seen[i][k] = plus[k] - minus[k];
        for (unsigned k = 0; k < JV_SIDE && w->views[i] != VIEW_PLAIN; k++) {
            if (!(solved >> k & 1u))
                continue;
            for (size_t q = 0; q < s->n && w->views[i] == VIEW_BY_DRAW; q++)
                jv_trial_put(&w->trial, q, values[q][k]);
            w->trial.net->scene.x = w->trial.x;
            w->trial.system->x[watch->plus] = plus[k];
            w->trial.system->x[watch->minus] = minus[k];
            seen[i][k] = jv_trial_seen(&w->trial, w->draws->watches[i], w->trial.system->x);
        }
    }
}

static jv_status respond(void *worker, unsigned of, double (*values)[JV_SIDE],
                         double (*seen)[JV_SIDE], double (*limit)[JV_SIDE], unsigned *solved,
                         unsigned *scalar) {
    jv_draw_worker *w = worker;
    jv_status status = JV_OK;
    *solved = *scalar = 0;
    work_out(w, values);
    set_limits(w, values, limit);
    if (w->abreast) {
        *solved = jv_abreast_solve(w->abreast, values, w->numbers, w->load);
        see(w, values, *solved, seen);
    }
    for (w->now = 0; w->now < JV_SIDE && status == JV_OK; w->now++) {
        bool found;
        if (!(of & ~*solved & 1u << w->now))
            continue;
        status = one(w, values, seen, &found);
        *solved |= (unsigned)found << w->now;
        (*scalar)++;
    }
    return status;
}

jv_response jv_draws_response(jv_draws *d) {
    jv_response r = {.ctx = d,
                     .quantities = d->spreads->list,
                     .n_quantities = d->spreads->n,
                     .n_watches = d->n_watches,
                     .hire = hire,
                     .dismiss = dismiss,
                     .block = block,
                     .respond = respond};
    return r;
}
