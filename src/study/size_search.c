/* size_search.c - branch and bound over sizes. SPDX-License-Identifier: MIT */
#include "study/size_model.h"

#include <math.h>
#include <string.h>

/* A measure this little below zero is rounding, V. */
static const double rounding_v = 1e-9;
enum {
    PRICES = 14,          /* multipliers tried for each limit */
    MOST_NODES = 30000000 /* then the search gives up its proof */
};

/* A limit of a scene, flat, with what the runs from a depth on can still do for it. */
typedef struct jv_row {
    double ref;
    const double *delta;
    double *best_left;        /* of each depth: sum of the largest deltas from there on */
    double price[PRICES];     /* multipliers, cost per volt */
    double *cheapest[PRICES]; /* of each depth: sum of least (cost - price delta) */
} jv_row;

typedef struct jv_search {
    const jv_size_model *m;
    const jv_size_cut *cuts;
    size_t n_cuts;
    jv_row *rows;
    size_t n_rows;
    size_t *order;     /* runs in the order of the depth */
    double *left_cost; /* of each depth: sum of the least costs from there on */
    double *at;        /* rows x depths: measure so far */
    size_t *pick;
    jv_size_found *out;
} jv_search;

static bool usable(const jv_choice *c) {
    return !c->why_not;
}

/* Does the cut keep out this choice of this run? */
static bool cut_meets(const jv_size_cut *cut, size_t run, size_t choice) {
    size_t at = cut->choice[run];
    if (cut->only)
        return choice == at;
    if (at == SIZE_MAX)
        return true;
    return cut->burns && run != cut->own ? choice >= at : choice <= at;
}

size_t jv_size_cut_of(const jv_size_model *m, const jv_size_cut *cuts, size_t n_cuts,
                      const size_t *pick) {
    for (size_t k = 0; k < n_cuts; k++) {
        bool all = true;
        for (size_t r = 0; r < m->n_runs && all; r++)
            all = cut_meets(&cuts[k], r, pick[r]);
        if (all)
            return k;
    }
    return n_cuts;
}

void jv_size_doubt_add(const jv_size_model *m, size_t cut, double cost, const size_t *pick,
                       jv_size_found *found) {
    size_t i = found->n_doubts;
    found->n_doubts++;
    if (!found->doubts || i >= JV_SIZE_DOUBTS)
        return;
    found->doubts[i].cut = cut;
    found->doubts[i].cost = cost;
    memcpy(found->doubts[i].pick, pick, m->n_runs * sizeof *pick);
}

/* A return never has less copper than the feed it belongs to. */
static bool returns_fit(const jv_size_model *m, const size_t *pick, const bool *set, size_t run) {
    static const double rounding = 1e-6;
    for (size_t f = 0; f < m->n_runs; f++) {
        size_t r = m->runs[f].back;
        if (r == m->n_runs || (r != run && f != run) || !set[r] || !set[f])
            continue;
        if (m->runs[r].list[pick[r]].copper_mm2 <
            m->runs[f].list[pick[f]].copper_mm2 * (1 - rounding))
            return false;
    }
    return true;
}

/* What the runs from depth d on cost at least, and do at most for a row. */
static void fill_row(jv_search *s, jv_row *row) {
    const jv_size_model *m = s->m;
    for (size_t d = m->n_runs; d-- > 0;) {
        const jv_choices *run = &m->runs[s->order[d]];
        const double *delta = row->delta + m->first[s->order[d]];
        double best = -INFINITY, least[PRICES];
        for (size_t k = 0; k < PRICES; k++)
            least[k] = INFINITY;
        for (size_t c = 0; c < run->n; c++) {
            if (!usable(&run->list[c]))
                continue;
            best = fmax(best, delta[c]);
            for (size_t k = 0; k < PRICES; k++)
                least[k] = fmin(least[k], run->list[c].cost - row->price[k] * delta[c]);
        }
        row->best_left[d] = best + (d + 1 < m->n_runs ? row->best_left[d + 1] : 0);
        for (size_t k = 0; k < PRICES; k++)
            row->cheapest[k][d] = least[k] + (d + 1 < m->n_runs ? row->cheapest[k][d + 1] : 0);
    }
}

/* Multipliers around the cost that a volt has over the whole span of the choices. */
static void set_prices(const jv_size_model *m, jv_row *row) {
    static const double least_share = 1.0 / 64, step = 2.0;
    double cost = 0, volts = 0;
    for (size_t r = 0; r < m->n_runs; r++) {
        const jv_choices *run = &m->runs[r];
        cost += run->list[run->n - 1].cost;
        double lowest = 0;
        for (size_t c = 0; c < run->n; c++)
            if (usable(&run->list[c]) && isfinite(row->delta[m->first[r] + c]))
                lowest = fmin(lowest, row->delta[m->first[r] + c]);
        volts -= lowest;
    }
    double price = volts > 0 ? cost / volts * least_share : 0;
    for (size_t k = 0; k < PRICES; k++, price *= step)
        row->price[k] = price;
}

/* May anything below this node be cheaper than the best, and hold? */
static bool worth(const jv_search *s, size_t depth, double cost) {
    const jv_size_model *m = s->m;
    if (s->out->any && cost + (depth < m->n_runs ? s->left_cost[depth] : 0) >= s->out->cost)
        return false;
    for (size_t i = 0; i < s->n_rows; i++) {
        const jv_row *row = &s->rows[i];
        double now = s->at[depth * s->n_rows + i];
        double left = depth < m->n_runs ? row->best_left[depth] : 0;
        if (now + left < -s->m->slack_v - rounding_v)
            return false;
        if (!s->out->any || depth == m->n_runs)
            continue;
        /* Lagrange: any way to hold needs sum of deltas >= -now. */
        for (size_t k = 0; k < PRICES; k++)
            if (cost + row->cheapest[k][depth] -
                    row->price[k] * (now + s->m->slack_v + rounding_v) >=
                s->out->cost)
                return false;
    }
    return true;
}

static void take(jv_search *s, double cost) {
    size_t cut = jv_size_cut_of(s->m, s->cuts, s->n_cuts, s->pick);
    if (cut < s->n_cuts) {
        if (!s->cuts[cut].only)
            jv_size_doubt_add(s->m, cut, cost, s->pick, s->out);
        return;
    }
    s->out->any = true;
    s->out->cost = cost;
    memcpy(s->out->pick, s->pick, s->m->n_runs * sizeof *s->pick);
}

/* Depth first, an explicit stack of the choices taken. */
static void dive(jv_search *s, bool *set) {
    const jv_size_model *m = s->m;
    size_t depth = 0, n = m->n_runs;
    double *cost = s->left_cost + n + 1; /* of each depth: so far */
    size_t *next = s->order + n;         /* of each depth: the choice to try */
    cost[0] = 0;
    if (n)
        next[0] = 0;
    if (!worth(s, 0, 0))
        return;
    for (;;) {
        size_t run = s->order[depth];
        if (next[depth] == m->runs[run].n) {
            if (depth == 0)
                return;
            set[run] = false;
            depth--;
            set[s->order[depth]] = false;
            continue;
        }
        size_t c = next[depth]++;
        const jv_choice *choice = &m->runs[run].list[c];
        if (!usable(choice))
            continue;
        if (++s->out->nodes > MOST_NODES) {
            s->out->complete = false;
            return;
        }
        s->pick[run] = c;
        set[run] = true;
        for (size_t i = 0; i < s->n_rows; i++)
            s->at[(depth + 1) * s->n_rows + i] =
                s->at[depth * s->n_rows + i] + s->rows[i].delta[m->first[run] + c];
        double now = cost[depth] + choice->cost;
        bool go = returns_fit(m, s->pick, set, run) && worth(s, depth + 1, now) &&
                  (!m->odds || jv_size_odds_step(m, depth, run, c));
        if (go && depth + 1 == n) {
            take(s, now);
        } else if (go) {
            cost[depth + 1] = now;
            next[++depth] = 0;
            continue;
        }
        set[run] = false;
    }
}

/* The run that can save most first. */
static void set_order(jv_search *s) {
    const jv_size_model *m = s->m;
    for (size_t r = 0; r < m->n_runs; r++) {
        double span = m->runs[r].list[m->runs[r].n - 1].cost;
        size_t k = r;
        for (; k > 0; k--) {
            const jv_choices *before = &m->runs[s->order[k - 1]];
            if (before->list[before->n - 1].cost >= span)
                break;
            s->order[k] = s->order[k - 1];
        }
        s->order[k] = r;
    }
    for (size_t d = m->n_runs; d-- > 0;) {
        const jv_choices *run = &m->runs[s->order[d]];
        double least = INFINITY;
        for (size_t c = 0; c < run->n; c++)
            if (usable(&run->list[c]))
                least = fmin(least, run->list[c].cost);
        s->left_cost[d] = least + (d + 1 < m->n_runs ? s->left_cost[d + 1] : 0);
    }
}

static bool fill_rows(jv_search *s, jv_arena *a) {
    const jv_size_model *m = s->m;
    size_t n = 0, runs = m->n_runs + 1;
    for (size_t k = 0; k < m->n_scenes; k++)
        n += m->scenes[k].n;
    s->rows = jv_arena_alloc(a, n + 1, sizeof *s->rows);
    s->at = jv_arena_alloc(a, (n + 1) * runs, sizeof *s->at);
    if (!s->rows || !s->at)
        return false;
    for (size_t k = 0; k < m->n_scenes; k++)
        for (size_t i = 0; i < m->scenes[k].n; i++) {
            jv_row *row = &s->rows[s->n_rows];
            double *room = jv_arena_alloc(a, (PRICES + 1) * runs, sizeof *room);
            if (!room)
                return false;
            row->ref = m->scenes[k].limits[i].ref;
            row->delta = m->scenes[k].limits[i].delta;
            row->best_left = room;
            for (size_t p = 0; p < PRICES; p++)
                row->cheapest[p] = room + (p + 1) * runs;
            set_prices(m, row);
            fill_row(s, row);
            s->at[s->n_rows++] = row->ref;
        }
    return true;
}

jv_status jv_size_search(jv_size_model *m, const jv_size_cut *cuts, size_t n_cuts,
                         jv_size_found *out) {
    jv_arena a = {0};
    jv_search s = {.m = m, .cuts = cuts, .n_cuts = n_cuts, .out = out};
    size_t n = m->n_runs;
    s.order = jv_arena_alloc(&a, 2 * n + 2, sizeof *s.order);
    s.left_cost = jv_arena_alloc(&a, 2 * n + 3, sizeof *s.left_cost);
    s.pick = jv_arena_alloc(&a, n + 1, sizeof *s.pick);
    bool *set = jv_arena_alloc(&a, n + 1, sizeof *set);
    jv_status status = JV_ERR_MEMORY;
    out->any = false;
    out->n_doubts = 0;
    out->complete = true;
    out->cost = INFINITY;
    if (s.order && s.left_cost && s.pick && set && n) {
        set_order(&s);
        status = fill_rows(&s, &a) ? JV_OK : JV_ERR_MEMORY;
        if (status == JV_OK && m->odds)
            status = jv_size_odds_order(m, s.order, &a);
        if (status == JV_OK)
            dive(&s, set);
    } else if (!n) {
        status = JV_OK;
    }
    jv_arena_clear(&a);
    return status;
}

/* ---- without linear limits: every node is solved ---- */

enum { FEW = 1500, MOST_SOLVED = 4000, MOST_TRIED = 20000 };

typedef struct jv_solving {
    jv_size_model *m;
    const jv_size_cut *cuts;
    size_t n_cuts;
    bool exact;
    size_t most;
    size_t *pick;
    bool *set;
    jv_size_found *out;
    jv_status status;
} jv_solving;

static bool holds_now(jv_solving *s) {
    double least;
    size_t scene, limit;
    if (++s->out->nodes > s->most) {
        s->out->complete = false;
        return false;
    }
    s->status = jv_size_solve(s->m, &least, &scene, &limit);
    return s->status == JV_OK && least >= -rounding_v;
}

static double least_from(const jv_size_model *m, size_t run) {
    double sum = 0;
    for (size_t r = run; r < m->n_runs; r++) {
        double least = INFINITY;
        for (size_t c = 0; c < m->runs[r].n; c++)
            if (usable(&m->runs[r].list[c]))
                least = fmin(least, m->runs[r].list[c].cost);
        sum += least;
    }
    return sum;
}

/* Runs behind `run` stand at their largest: what fails so fails for all of them, if thicker
 * is never worse. Depth is the number of runs. */
static void solve_from(jv_solving *s, size_t run, double cost) {
    jv_size_model *m = s->m;
    for (size_t c = 0; c < m->runs[run].n && s->status == JV_OK && s->out->complete; c++) {
        const jv_choice *choice = &m->runs[run].list[c];
        double now = cost + choice->cost;
        if (!usable(choice) || now + least_from(m, run + 1) >= s->out->cost)
            continue;
        s->pick[run] = c;
        s->set[run] = true;
        jv_size_put(m, run, c);
        bool last = run + 1 == m->n_runs;
        bool go = returns_fit(m, s->pick, s->set, run);
        if (go && (last || !s->exact))
            go = holds_now(s);
        size_t cut = go && last ? jv_size_cut_of(m, s->cuts, s->n_cuts, s->pick) : s->n_cuts;
        if (cut < s->n_cuts && s->cuts[cut].only) {
            continue;
        } else if (cut < s->n_cuts) {
            jv_size_doubt_add(m, cut, now, s->pick, s->out);
        } else if (go && last) {
            s->out->any = true;
            s->out->cost = now;
            memcpy(s->out->pick, s->pick, m->n_runs * sizeof *s->pick);
        } else if (go) {
            solve_from(s, run + 1, now);
        }
    }
    s->set[run] = false;
    jv_size_put(m, run, m->runs[run].n - 1);
}

static jv_status solve_all(jv_solving *s, double below) {
    jv_size_model *m = s->m;
    s->pick = jv_zalloc(m->n_runs + 1, sizeof *s->pick);
    s->set = jv_zalloc(m->n_runs + 1, sizeof *s->set);
    s->out->any = false;
    s->out->n_doubts = 0;
    s->out->complete = true;
    s->out->cost = below;
    if (!s->pick || !s->set)
        s->status = JV_ERR_MEMORY;
    else if (m->n_runs)
        solve_from(s, 0, 0);
    jv_free(s->pick);
    jv_free(s->set);
    return s->status;
}

jv_status jv_size_search_solving(jv_size_model *m, const jv_size_cut *cuts, size_t n_cuts,
                                 jv_size_found *out, bool *exact) {
    jv_solving s = {.m = m, .cuts = cuts, .n_cuts = n_cuts, .out = out, .most = MOST_SOLVED};
    double all = 1;
    for (size_t r = 0; r < m->n_runs; r++)
        all *= (double)m->runs[r].n;
    s.exact = *exact = all <= FEW;
    return solve_all(&s, INFINITY);
}

jv_status jv_size_search_below(jv_size_model *m, const jv_size_cut *cuts, size_t n_cuts,
                               double below, jv_size_found *out) {
    jv_solving s = {.m = m, .cuts = cuts, .n_cuts = n_cuts, .out = out, .most = MOST_TRIED};
    s.exact = true;
    out->nodes = 0;
    return solve_all(&s, below);
}
