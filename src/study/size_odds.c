/* size_odds.c - sizes at chosen odds: draws instead of worst corners. SPDX-License-Identifier: MIT
 */
#include "jackvolt/scatter.h"
#include "study/draws.h"
#include "study/size_work.h"
#include "study/watch.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Draws that a search counts: enough that some forty of them may fail. */
static const double failing_draws = 40, draws_least = 4000, draws_most = 40000;
/* The answer is checked by other draws, this many times as many. */
enum { CHECK_TIMES = 10, CHECK_MOST = 200000, SEARCH_SEED = 1, CHECK_SEED = 2 };
static const double rounding_v = 1e-9;

/* ---- draws of one case, with what stands in the copy ---- */

typedef struct jv_odds_draw {
    jv_spreads spreads;
    jv_trial nominal;
    jv_moves moves;
    jv_drawn *drawn;
    double (*u)[JV_SIDE], (*values)[JV_SIDE], (*seen)[JV_SIDE], (*limit)[JV_SIDE];
} jv_odds_draw;

static void draw_clear(jv_odds_draw *o) {
    void *const blocks[] = {o->drawn, o->u, o->values, o->seen, o->limit};
    jv_moves_clear(&o->moves);
    jv_trial_clear(&o->nominal);
    jv_spreads_clear(&o->spreads);
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
}

static jv_status draw_make(const jv_circuit *c, const jv_case *loading, jv_odds_draw *o) {
    memset(o, 0, sizeof *o);
    jv_status status = jv_spreads_find(c, loading, &o->spreads);
    if (status == JV_OK)
        status = jv_trial_make(&o->spreads, NULL, 0, NULL, &o->nominal);
    if (status == JV_OK)
        status = jv_moves_find(&o->nominal, &o->moves);
    if (status != JV_OK)
        return status;
    size_t n = o->spreads.n + 1, watches = c->n_watches + 1;
    o->drawn = jv_alloc(n, sizeof *o->drawn);
    o->u = jv_alloc(n, sizeof *o->u);
    o->values = jv_alloc(n, sizeof *o->values);
    o->seen = jv_alloc(watches, sizeof *o->seen);
    o->limit = jv_alloc(watches, sizeof *o->limit);
    if (!o->drawn || !o->u || !o->values || !o->seen || !o->limit)
        return JV_ERR_MEMORY;
    for (size_t q = 0; q < o->spreads.n; q++)
        o->drawn[q] = jv_drawn_make(o->spreads.list[q].address, &o->spreads.list[q].shown.value);
    return JV_OK;
}

/* What each watch sees less its limit, of each draw; -INFINITY: no operating point. */
static jv_status draw_all(jv_odds_draw *o, const size_t *watches, size_t n_watches, size_t draws,
                          double **margin) {
    const jv_lane_width width = jv_lane_widest();
    jv_draws d = {.spreads = &o->spreads,
                  .nominal = &o->nominal,
                  .moves = &o->moves,
                  .watches = watches,
                  .n_watches = n_watches,
                  .width = width};
    jv_response r = jv_draws_response(&d);
    void *worker = NULL;
    jv_status status = r.hire(r.ctx, &worker);
    for (size_t at = 0; at < draws && status == JV_OK; at += JV_SIDE) {
        unsigned solved, scalar;
        if (at % JV_SAMPLE_BLOCK == 0)
            r.block(worker);
        jv_draw_all(width, SEARCH_SEED, at, o->drawn, o->spreads.n, o->u, o->values);
        status =
            r.respond(worker, (1u << JV_SIDE) - 1u, o->values, o->seen, o->limit, &solved, &scalar);
        for (size_t w = 0; w < n_watches; w++)
            for (unsigned k = 0; k < JV_SIDE; k++)
                margin[w][at + k] = solved >> k & 1u ? o->seen[w][k] - o->limit[w][k] : -INFINITY;
    }
    if (worker)
        r.dismiss(r.ctx, worker);
    return status;
}

static jv_status draw_case(const jv_size_model *m, size_t loading, const size_t *watches,
                           size_t n_watches, double **margin) {
    jv_odds_draw o;
    jv_status status = draw_make(&m->copy, &m->copy.cases[loading], &o);
    if (status == JV_OK)
        status = draw_all(&o, watches, n_watches, m->odds->draws, margin);
    draw_clear(&o);
    return status;
}

/* ---- rows ---- */

static double *numbers(jv_size_model *m) {
    return jv_arena_alloc(m->arena, m->odds->draws + JV_SIDE, sizeof(double));
}

static bool moves_any(const double *delta, size_t n) {
    static const double nothing_v = 1e-9;
    for (size_t i = 0; i < n; i++)
        if (!(fabs(delta[i]) <= nothing_v))
            return true;
    return false;
}

/* How the draws of a case change as run r takes choice c; all other runs at their largest. */
static jv_status fill_choice(jv_size_model *m, jv_odds_row *rows, size_t n, const size_t *watches,
                             size_t r, size_t c) {
    double **margin = jv_arena_alloc(m->arena, n + 1, sizeof *margin);
    size_t draws = m->odds->draws;
    for (size_t w = 0; w < n; w++)
        if (!margin || !(margin[w] = numbers(m)))
            return JV_ERR_MEMORY;
    jv_size_put(m, r, c);
    jv_status status = draw_case(m, rows[0].loading, watches, n, margin);
    jv_size_put(m, r, m->runs[r].n - 1);
    for (size_t w = 0; w < n && status == JV_OK; w++) {
        for (size_t i = 0; i < draws; i++) /* none at all stays none */
            margin[w][i] = isinf(rows[w].ref[i]) ? 0 : margin[w][i] - rows[w].ref[i];
        if (moves_any(margin[w], draws))
            rows[w].delta[m->first[r] + c] = margin[w];
    }
    return status;
}

static jv_status fill_rows(jv_size_model *m, jv_odds_row *rows, size_t n, const size_t *watches) {
    double **ref = jv_arena_alloc(m->arena, n + 1, sizeof *ref);
    if (!ref)
        return JV_ERR_MEMORY;
    for (size_t w = 0; w < n; w++) {
        rows[w].ref = ref[w] = numbers(m);
        rows[w].delta = jv_arena_alloc(m->arena, m->first[m->n_runs] + 1, sizeof *rows[w].delta);
        if (!ref[w] || !rows[w].delta)
            return JV_ERR_MEMORY;
    }
    jv_status status = draw_case(m, rows[0].loading, watches, n, ref);
    for (size_t r = 0; r < m->n_runs; r++)
        for (size_t c = 0; c + 1 < m->runs[r].n && status == JV_OK; c++)
            if (!m->runs[r].list[c].why_not)
                status = fill_choice(m, rows, n, watches, r, c);
    return status;
}

jv_status jv_size_odds_make(jv_size_model *m) {
    jv_size_odds *o = jv_arena_alloc(m->arena, 1, sizeof *o);
    const jv_circuit *c = &m->copy;
    if (!o)
        return JV_ERR_MEMORY;
    m->odds = o;
    o->share = m->options->odds;
    double wanted = fmin(fmax(failing_draws / (1 - o->share), draws_least), draws_most);
    o->draws = JV_SIDE * (size_t)ceil(wanted / JV_SIDE);
    o->may_fail = (size_t)floor((double)o->draws * (1 - o->share) + rounding_v);
    o->rows = jv_arena_alloc(m->arena, c->n_cases * c->n_watches + 1, sizeof *o->rows);
    size_t *watches = jv_arena_alloc(m->arena, c->n_watches + 1, sizeof *watches);
    if (!o->rows || !watches)
        return JV_ERR_MEMORY;
    jv_status status = JV_OK;
    for (size_t k = 0; k < c->n_cases && status == JV_OK; k++) {
        size_t n = 0;
        for (size_t i = 0; i < c->n_watches; i++) {
            if (!jv_watch_counts(&c->watches[i], c->cases[k].n_runs > 0))
                continue;
            o->rows[o->n + n] = (jv_odds_row){.loading = k, .watch = i};
            watches[n++] = i;
        }
        if (n)
            status = fill_rows(m, &o->rows[o->n], n, watches);
        o->n += n;
    }
    return status;
}

/* ---- in the search ---- */

jv_status jv_size_odds_order(jv_size_model *m, const size_t *order, jv_arena *a) {
    jv_size_odds *o = m->odds;
    size_t n = o->draws, runs = m->n_runs;
    o->at = jv_arena_alloc(a, (runs + 1) * o->n * n + 1, sizeof *o->at);
    for (size_t k = 0; k < o->n; k++) {
        jv_odds_row *row = &o->rows[k];
        row->left = jv_arena_alloc(a, (runs + 1) * n + 1, sizeof *row->left);
        if (!o->at || !row->left)
            return JV_ERR_MEMORY;
        memcpy(o->at + k * n, row->ref, n * sizeof *row->ref);
        for (size_t d = runs; d-- > 0;) {
            size_t r = order[d];
            double *left = row->left + d * n;
            for (size_t i = 0; i < n; i++)
                left[i] = -INFINITY;
            for (size_t c = 0; c < m->runs[r].n; c++) {
                const double *delta = row->delta[m->first[r] + c];
                for (size_t i = 0; i < n && !m->runs[r].list[c].why_not; i++)
                    left[i] = fmax(left[i], delta ? delta[i] : 0);
            }
            for (size_t i = 0; i < n; i++)
                left[i] += left[i + n]; /* 0 beyond the last run */
        }
    }
    return JV_OK;
}

bool jv_size_odds_step(const jv_size_model *m, size_t depth, size_t run, size_t choice) {
    const jv_size_odds *o = m->odds;
    size_t n = o->draws;
    bool may = true;
    for (size_t k = 0; k < o->n; k++) {
        const jv_odds_row *row = &o->rows[k];
        const double *delta = row->delta[m->first[run] + choice];
        const double *was = o->at + (depth * o->n + k) * n, *left = row->left + (depth + 1) * n;
        double *now = o->at + ((depth + 1) * o->n + k) * n;
        size_t fail = 0;
        for (size_t i = 0; i < n; i++) {
            now[i] = was[i] + (delta ? delta[i] : 0);
            fail += now[i] + left[i] < -rounding_v;
        }
        may = may && fail <= o->may_fail;
    }
    return may;
}

/* ---- answers ---- */

static int by_size(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

jv_status jv_size_odds_miss(const jv_size_model *m, const size_t *pick, size_t row, double *holds,
                            double *short_v) {
    const jv_size_odds *o = m->odds;
    const jv_odds_row *k = &o->rows[row];
    double *sum = jv_alloc(o->draws + 1, sizeof *sum);
    if (!sum)
        return JV_ERR_MEMORY;
    size_t fail = 0;
    for (size_t i = 0; i < o->draws; i++) {
        sum[i] = k->ref[i];
        for (size_t r = 0; pick && r < m->n_runs; r++)
            if (k->delta[m->first[r] + pick[r]])
                sum[i] += k->delta[m->first[r] + pick[r]][i];
        fail += sum[i] < -rounding_v;
    }
    qsort(sum, o->draws, sizeof *sum, by_size);
    *holds = 1 - (double)fail / (double)o->draws;
    *short_v = fmax(0, -sum[o->may_fail]);
    jv_free(sum);
    return JV_OK;
}

jv_status jv_size_odds_check(jv_size_work *w, bool *holds) {
    jv_size_model *m = &w->m;
    const jv_circuit *c = &m->copy;
    *holds = true;
    if (!m->odds->found)
        m->odds->found = jv_arena_alloc(m->arena, m->odds->n + 1, sizeof *m->odds->found);
    if (!m->odds->found)
        return JV_ERR_MEMORY;
    jv_size_put_all(w, w->found.pick);
    size_t draws = m->odds->draws * CHECK_TIMES;
    for (size_t i = 0; i < m->odds->n;) {
        size_t loading = m->odds->rows[i].loading;
        jv_scatter *s = NULL;
        jv_scatter_options how = {.case_name = c->cases[loading].name,
                                  .draws = draws < CHECK_MOST ? draws : CHECK_MOST,
                                  .seed = CHECK_SEED,
                                  .threads = m->options->threads,
                                  .no_worst = true};
        jv_status status = jv_scatter_run(c, &how, &s);
        if (status != JV_OK)
            return status;
        for (; i < m->odds->n && m->odds->rows[i].loading == loading; i++) {
            const jv_scatter_watch *seen = &s->watches[m->odds->rows[i].watch];
            double fail = (double)(seen->trips + seen->unsolved) / (double)s->draws;
            m->odds->found[i] = (jv_odds_found){1 - fail, 1 - seen->high95, 1 - seen->low95};
            *holds = *holds && fail <= 1 - m->odds->share;
        }
        m->odds->checked = s->draws;
        jv_scatter_free(&s);
    }
    return JV_OK;
}
