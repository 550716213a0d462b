/* dense.c - the operating point of a net by dense linear algebra. SPDX-License-Identifier: MIT */
#include "dense.h"

#include "jackvolt/heat.h"

#include <lapacke.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TRIES = 400, CALM = 40, FOLLOW = 200 };

/* Pieces. SINK: LINEAR, UPPER, LOWER. SOURCE: LINEAR, UPPER, BLOCKED. REGULATOR: LINEAR (holds
 * its volts), STARVED, DEAD (no input: holds 0 V), BLOCKED, and at its limit: UPPER (output at or
 * above its set volts), FOLD (between), BOTTOM (output below zero). POWER: UPPER (constant power),
 * LINEAR (below). */
enum { LINEAR, UPPER, LOWER, BLOCKED, STARVED, DEAD, FOLD, BOTTOM };

typedef struct equations {
    const jv_net *net;
    dense_point *p;
    size_t n;
    double *a, *b, *z, *work;
    double *spare_a;
    lapack_int *pivots;
    double *v_was, *i_was; /* last answer, for what is not piecewise linear */
    unsigned seed;
} equations;

static unsigned draw(unsigned *seed) {
    *seed = *seed * 1664525u + 1013904223u; /* Numerical Recipes, quick generator */
    return *seed >> 8;
}

static double *at(equations *q, size_t row, size_t col) {
    return &q->a[col * q->n + row];
}

/* --- islands --- */

static int32_t root(const int32_t *up, int32_t k) {
    while (up[k] != k)
        k = up[k];
    return k;
}

static void unite(int32_t *up, int32_t a, int32_t b) {
    int32_t x = root(up, a), y = root(up, b);
    if (x < y)
        up[y] = x;
    else
        up[x] = y;
}

/* The reference where it belongs, elsewhere the first node: volts are counted, and with them
 * rounding is measured, from there. */
static void find_grounds(const jv_net *net, dense_point *p) {
    for (size_t k = 0; k < p->n_nodes; k++)
        p->ground[k] = (int32_t)k;
    for (size_t k = 0; k < net->n_elements; k++) {
        const jv_element *e = &net->elements[k];
        const int32_t ends[3] = {e->a, e->b, e->law == JV_REGULATOR ? e->c : e->a};
        for (int m = 1; m < 3 && !e->open; m++)
            unite(p->ground, ends[0], ends[m]);
    }
    for (size_t k = 0; k < p->n_nodes; k++)
        p->ground[k] = root(p->ground, (int32_t)k);
    int32_t reference = net->circuit->reference, home = reference >= 0 ? p->ground[reference] : -1;
    for (size_t k = 0; k < p->n_nodes; k++)
        if (p->ground[k] == home)
            p->ground[k] = reference;
}

/* --- laws --- */

static double ohms_at(const jv_element *e, double i) {
    i = fabs(i);
    if (!e->heat)
        return e->r;
    double t = isinf(e->heat_s) ? jv_heat_steady_at(e->heat, i).temp_c
                                : jv_heat_after_quick(e->heat, i, e->air_c, e->heat_s, NULL);
    return e->r * (1.0 + e->r_slope * (t - e->r_at_c));
}

/* V(a) - V(b) - r I = e, or I = held. */
static void volts_row(equations *q, size_t row, const jv_element *e, double r, double rhs) {
    *at(q, row, (size_t)e->a) += 1.0;
    *at(q, row, (size_t)e->b) -= 1.0;
    *at(q, row, row) -= r;
    q->b[row] = rhs;
}

static void held_row(equations *q, size_t row, double amps) {
    *at(q, row, row) = 1.0;
    q->b[row] = amps;
}

static void power_row(equations *q, size_t row, const jv_element *e, size_t k) {
    double v = q->v_was[e->a] - q->v_was[e->b];
    if (q->p->piece[k] == LINEAR) { /* I = P v / e2 */
        *at(q, row, row) = 1.0;
        *at(q, row, (size_t)e->a) -= e->limit / (e->e * e->e);
        *at(q, row, (size_t)e->b) += e->limit / (e->e * e->e);
        return;
    }
    /* I = P/v0 - P/v0^2 (v - v0) */
    v = fmax(v, 0.5 * e->e);
    *at(q, row, row) = 1.0;
    *at(q, row, (size_t)e->a) += e->limit / (v * v);
    *at(q, row, (size_t)e->b) -= e->limit / (v * v);
    q->b[row] = 2.0 * e->limit / v;
}

static double blocked_target(const equations *q, const jv_element *e) {
    return fmax(0.0, fmin(e->e, q->v_was[e->a] - q->v_was[e->b] - e->drop));
}

static void regulator_row(equations *q, size_t row, const jv_element *e, size_t k) {
    size_t a = (size_t)e->a, b = (size_t)e->b, c = (size_t)e->c;
    double fold = (e->limit - e->back) / e->e;
    switch (q->p->piece[k]) {
    case LINEAR: /* V(c) - V(b) + r J = e */
    case STARVED:
    case DEAD:
        *at(q, row, c) += 1.0;
        *at(q, row, b) -= 1.0;
        *at(q, row, row) += e->r;
        q->b[row] = q->p->piece[k] == LINEAR ? e->e : 0.0;
        if (q->p->piece[k] != STARVED)
            return;
        *at(q, row, a) -= 1.0; /* V(c) - V(b) + r J = V(a) - V(b) - drop */
        *at(q, row, b) += 1.0;
        q->b[row] = -e->drop;
        return;
    case FOLD: /* J = back + fold (V(c) - V(b)) */
        held_row(q, row, e->back);
        *at(q, row, c) -= fold;
        *at(q, row, b) += fold;
        return;
    case BOTTOM:
        held_row(q, row, e->back);
        return;
    case UPPER:
        held_row(q, row, e->limit);
        return;
    default: /* J = -g (V(c) - V(b) - target) */
        held_row(q, row, JV_BLOCKED_LEAK_S * blocked_target(q, e));
        *at(q, row, c) += JV_BLOCKED_LEAK_S;
        *at(q, row, b) -= JV_BLOCKED_LEAK_S;
        return;
    }
}

/* Below 1 V of input its own current fades (element.h says nothing of it: laws.c does). */
static void own_row(equations *q, size_t row, const jv_element *e) {
    double v = q->v_was[e->a] - q->v_was[e->b];
    *at(q, row, row) = 1.0;
    if (e->open)
        return;
    if (v >= 1.0) {
        q->b[row] = e->quiescent;
        return;
    }
    *at(q, row, (size_t)e->a) -= e->quiescent;
    *at(q, row, (size_t)e->b) += e->quiescent;
}

/* Joints of zero ohms in parallel share evenly: as if each had this, ohm. At 1000 A that is
 * 1e-9 V, and dgesvx bounds what it costs in digits. */
static const double next_to_none_ohm = 1e-12;

/* V(a) - V(b) - r(I) I = e, r linear about the last current by a difference of it. */
static void series_row(equations *q, size_t row, const jv_element *e, size_t k) {
    double i = q->i_was[k], step = fmax(1e-4 * fabs(i), 1e-4), slope = 0.0;
    double r = q->p->r[k] = ohms_at(e, i);
    if (e->heat)
        slope = (ohms_at(e, i + step) - ohms_at(e, i - step)) / (2.0 * step);
    if (q->p->even)
        r = fmax(r, next_to_none_ohm);
    volts_row(q, row, e, r + slope * i, e->e - slope * i * i);
}

static void source_row(equations *q, size_t row, const jv_element *e, size_t k) {
    if (q->p->piece[k] == LINEAR)
        volts_row(q, row, e, q->p->even ? fmax(e->r, next_to_none_ohm) : e->r, e->e);
    else if (q->p->piece[k] == UPPER)
        held_row(q, row, -e->limit);
    else { /* I = g (v - e) */
        held_row(q, row, -JV_BLOCKED_LEAK_S * e->e);
        *at(q, row, (size_t)e->a) -= JV_BLOCKED_LEAK_S;
        *at(q, row, (size_t)e->b) += JV_BLOCKED_LEAK_S;
    }
}

static void branch_row(equations *q, size_t row, const jv_element *e, size_t k) {
    if (e->open) {
        held_row(q, row, 0.0);
        return;
    }
    switch ((jv_law)e->law) {
    case JV_SERIES:
        series_row(q, row, e, k);
        return;
    case JV_SINK:
        if (q->p->piece[k] == LINEAR)
            volts_row(q, row, e, e->r, 0.0);
        else
            held_row(q, row, q->p->piece[k] == UPPER ? e->limit : -e->back);
        return;
    case JV_POWER:
        power_row(q, row, e, k);
        return;
    case JV_SOURCE:
        source_row(q, row, e, k);
        return;
    case JV_REGULATOR:
        regulator_row(q, row, e, k);
        return;
    }
}

static void write_down(equations *q) {
    const jv_net *net = q->net;
    memset(q->a, 0, q->n * q->n * sizeof *q->a);
    memset(q->b, 0, q->n * sizeof *q->b);
    size_t nodes = q->p->n_nodes, branches = q->p->n_elements, own = nodes + branches;
    for (size_t k = 0; k < branches; k++) {
        const jv_element *e = &net->elements[k];
        size_t i = nodes + k;
        int32_t out = e->law == JV_REGULATOR ? e->c : e->b;
        *at(q, (size_t)e->a, i) += 1.0;
        *at(q, (size_t)out, i) -= 1.0;
        branch_row(q, i, e, k);
        if (e->law != JV_REGULATOR)
            continue;
        *at(q, (size_t)e->a, own) += 1.0;
        *at(q, (size_t)e->b, own) -= 1.0;
        own_row(q, own++, e);
    }
    for (size_t k = 0; k < nodes; k++) {
        if (q->p->ground[k] != (int32_t)k)
            continue;
        for (size_t m = 0; m < q->n; m++)
            *at(q, k, m) = 0.0;
        *at(q, k, k) = 1.0;
    }
}

/* --- which piece does an answer ask for? --- */

/* A hair of give, so that an answer on the border of two pieces fits both. */
static bool above(double x, double y, double size) {
    return x > y + 1e-10 * size;
}

static int sink_piece(const jv_element *e, int now, double v, double i) {
    if (now == LINEAR)
        return above(i, e->limit, e->limit) ? UPPER : above(-e->back, i, e->back) ? LOWER : LINEAR;
    if (now == UPPER)
        return above(e->r * e->limit, v, 1.0) ? LINEAR : UPPER;
    return above(v, -e->r * e->back, 1.0) ? LINEAR : LOWER;
}

static int source_piece(const jv_element *e, int now, double v, double i) {
    if (now == LINEAR)
        return above(i, 0.0, 1.0) ? BLOCKED : above(-i, e->limit, e->limit) ? UPPER : LINEAR;
    if (now == BLOCKED)
        return above(e->e, v, 1.0) ? LINEAR : BLOCKED;
    return above(v, e->e - e->r * e->limit, 1.0) ? LINEAR : UPPER;
}

static int limit_piece(const jv_element *e, double out) {
    return e->back >= e->limit || out >= e->e ? UPPER : out <= 0.0 ? BOTTOM : FOLD;
}

/* Which of the three volts it tries to hold; a hair of give keeps the present one. */
static int held_piece(const jv_element *e, int now, double room) {
    if (now == STARVED && !above(0.0, room, 1.0) && !above(room, e->e, 1.0))
        return STARVED;
    return room <= 0.0 ? DEAD : room < e->e ? STARVED : LINEAR;
}

static int regulator_piece(const jv_element *e, int now, const double *v, double j) {
    double in = v[e->a] - v[e->b], out = v[e->c] - v[e->b], room = in - e->drop;
    double target = fmax(0.0, fmin(e->e, room)) - e->r * j;
    int held = held_piece(e, now, room);
    switch (now) {
    case LINEAR:
    case STARVED:
    case DEAD:
        if (above(0.0, j, 1.0))
            return BLOCKED;
        return above(j, e->limit, 1.0) ? limit_piece(e, out) : held;
    case BLOCKED:
        return above(target, out, 1.0) ? held : BLOCKED;
    default:
        return above(out, target, 1.0) ? held : limit_piece(e, out);
    }
}

static int wanted(const equations *q, const double *v, const double *i, size_t k) {
    const jv_element *e = &q->net->elements[k];
    int now = q->p->piece[k];
    double volts = v[e->a] - v[e->b];
    if (e->open)
        return LINEAR;
    switch ((jv_law)e->law) {
    case JV_SINK:
        return sink_piece(e, now, volts, i[k]);
    case JV_POWER:
        return volts > e->e ? UPPER : LINEAR;
    case JV_SOURCE:
        return source_piece(e, now, volts, i[k]);
    case JV_REGULATOR:
        return regulator_piece(e, now, v, i[k]);
    case JV_SERIES:
        break;
    }
    return LINEAR;
}

/* --- solving --- */

static void keep(equations *q) {
    memcpy(q->v_was, q->z, q->p->n_nodes * sizeof *q->v_was);
    memcpy(q->i_was, q->z + q->p->n_nodes, q->p->n_elements * sizeof *q->i_was);
}

static bool solve_once(equations *q) {
    lapack_int n = (lapack_int)q->n;
    write_down(q);
    double *largest = q->work;
    memset(largest, 0, q->n * sizeof *largest);
    for (size_t k = 0; k < q->n * q->n; k++)
        if (q->a[k] != 0.0)
            largest[k % q->n] = fmax(largest[k % q->n], fabs(q->a[k]));
    for (size_t k = 0; k < q->n * q->n; k++)
        q->spare_a[k] = q->a[k] == 0.0 ? 0.0 : q->a[k] / largest[k % q->n];
    for (size_t row = 0; row < q->n; row++)
        q->z[row] = largest[row] > 0.0 ? q->b[row] / largest[row] : 0.0;
    q->p->solves++;
    if (LAPACKE_dgesv_work(LAPACK_COL_MAJOR, n, 1, q->spare_a, n, q->pivots, q->z, n) != 0)
        return false;
    double least = INFINITY, most = 0.0;
    for (size_t k = 0; k < q->n; k++) {
        double pivot = fabs(q->spare_a[k * q->n + k]);
        least = fmin(least, pivot);
        most = fmax(most, pivot);
    }
    return least > 1e-14 * most;
}

/* The last system once more, equilibrated and refined, with its condition. */
static bool solve_finely(equations *q) {
    lapack_int n = (lapack_int)q->n;
    char equed = 'N';
    double berr, growth, *rows = q->work, *columns = q->work + q->n;
    write_down(q);
    lapack_int info =
        LAPACKE_dgesvx(LAPACK_COL_MAJOR, 'E', 'N', n, 1, q->a, n, q->spare_a, n, q->pivots, &equed,
                       rows, columns, q->b, n, q->z, n, &q->p->rcond, &q->p->ferr, &berr, &growth);
    keep(q);
    return info == 0;
}

static bool solve_linear(equations *q) {
    q->p->even = false;
    if (solve_once(q))
        return true;
    q->p->even = true;
    return solve_once(q);
}

/* The change of the answer against the last one, over its size. */
static double change(const equations *q) {
    double most = 0.0, size = 0.0;
    for (size_t k = 0; k < q->p->n_nodes; k++) {
        most = fmax(most, fabs(q->z[k] - q->v_was[k]));
        size = fmax(size, fabs(q->z[k]));
    }
    double most_a = 0.0, size_a = 0.0;
    for (size_t k = 0; k < q->p->n_elements; k++) {
        most_a = fmax(most_a, fabs(q->z[q->p->n_nodes + k] - q->i_was[k]));
        size_a = fmax(size_a, fabs(q->z[q->p->n_nodes + k]));
    }
    return fmax(size > 0.0 ? most / size : 0.0, size_a > 0.0 ? most_a / size_a : 0.0);
}

/* Follows what is not piecewise linear, the pieces held. */
static bool follow(equations *q) {
    double last = INFINITY;
    for (int k = 0; k < FOLLOW; k++) {
        if (!solve_linear(q))
            return false;
        double moved = change(q);
        keep(q);
        if (moved < 1e-14 || (moved < 1e-10 && moved >= last))
            return true;
        last = moved;
    }
    return false;
}

static void start_pieces(equations *q) {
    for (size_t k = 0; k < q->p->n_elements; k++) {
        const jv_element *e = &q->net->elements[k];
        q->p->piece[k] = e->law == JV_POWER ? UPPER : LINEAR;
    }
    memset(q->i_was, 0, q->p->n_elements * sizeof *q->i_was);
    for (size_t k = 0; k < q->p->n_nodes; k++)
        q->v_was[k] = 0.0;
    /* Constant power starts from no load: high volts. */
    for (size_t k = 0; k < q->p->n_elements; k++)
        if (q->net->elements[k].law == JV_POWER)
            q->v_was[q->net->elements[k].a] = 100.0;
}

/* One round of repair: all that the answer contradicts, or one of them, drawn. True when
 * nothing was contradicted. */
static bool repair(equations *q, bool all) {
    size_t wrong = 0, pick = SIZE_MAX;
    for (size_t k = 0; k < q->p->n_elements; k++) {
        int to = wanted(q, q->v_was, q->i_was, k);
        if (to == q->p->piece[k])
            continue;
        wrong++;
        if (all)
            q->p->piece[k] = to;
        else if (draw(&q->seed) % wrong == 0)
            pick = k;
    }
    if (pick != SIZE_MAX)
        q->p->piece[pick] = wanted(q, q->v_was, q->i_was, pick);
    return wrong == 0;
}

/* The pieces that an answer lies on. */
static void guess_pieces(equations *q) {
    for (size_t k = 0; k < q->p->n_elements; k++) {
        const jv_element *e = &q->net->elements[k];
        const double *v = q->v_was;
        double volts = v[e->a] - v[e->b], i = q->i_was[k];
        int *piece = &q->p->piece[k];
        if (e->law == JV_SINK)
            *piece = volts > e->r * e->limit ? UPPER : volts < -e->r * e->back ? LOWER : LINEAR;
        else if (e->law == JV_POWER)
            *piece = volts > e->e ? UPPER : LINEAR;
        else if (e->law == JV_SOURCE)
            *piece = above(volts, e->e, 1.0)                   ? BLOCKED
                     : isinf(e->limit) || -i < e->limit - 1e-8 ? LINEAR
                                                               : UPPER;
        else if (e->law == JV_REGULATOR) {
            double out = v[e->c] - v[e->b], target = fmax(0.0, fmin(e->e, volts - e->drop));
            *piece = held_piece(e, LINEAR, volts - e->drop);
            if (above(out, target, 1.0))
                *piece = BLOCKED;
            else if (above(target - e->r * i, out, 1.0))
                *piece = limit_piece(e, out);
        }
    }
}

static bool search(equations *q, const double *guess_v, const double *guess_i) {
    start_pieces(q);
    if (guess_v && guess_i) {
        memcpy(q->v_was, guess_v, q->p->n_nodes * sizeof *q->v_was);
        memcpy(q->i_was, guess_i, q->p->n_elements * sizeof *q->i_was);
        guess_pieces(q);
    }
    for (int k = 0; k < TRIES; k++) {
        /* Pieces that leave a node without hold, or a runaway: draw one anew. */
        if (!follow(q)) {
            size_t pick = draw(&q->seed) % q->p->n_elements;
            if (q->net->elements[pick].law != JV_SERIES)
                q->p->piece[pick] = LINEAR;
            continue;
        }
        if (repair(q, k < CALM))
            return solve_finely(q);
    }
    return false;
}

/* Threads cost more than they give at these sizes. */
extern void openblas_set_num_threads(int) __attribute__((weak));

bool dense_solve(const jv_net *net, const double *guess_v, const double *guess_i, unsigned seed,
                 dense_point *out) {
    if (openblas_set_num_threads)
        openblas_set_num_threads(1);
    memset(out, 0, sizeof *out);
    out->n_nodes = net->n_nodes;
    out->n_elements = net->n_elements;
    out->n = net->n_nodes + net->n_elements;
    for (size_t k = 0; k < net->n_elements; k++)
        out->n += net->elements[k].law == JV_REGULATOR;
    size_t n = out->n, elements = net->n_elements + 1, nodes = net->n_nodes + 1;
    equations q = {.net = net, .p = out, .n = n, .seed = seed};
    out->r = calloc(elements, sizeof *out->r);
    out->piece = calloc(elements, sizeof *out->piece);
    out->ground = calloc(nodes, sizeof *out->ground);
    q.v_was = out->v = calloc(nodes, sizeof *out->v);
    q.i_was = out->i = calloc(elements, sizeof *out->i);
    q.a = calloc(n * n, sizeof *q.a);
    q.spare_a = calloc(n * n, sizeof *q.spare_a);
    q.b = calloc(n, sizeof *q.b);
    q.pivots = calloc(n, sizeof *q.pivots);
    q.z = calloc(n, sizeof *q.z);
    q.work = calloc(2 * n, sizeof *q.work);
    find_grounds(net, out);
    bool found = search(&q, guess_v, guess_i);
    free(q.a);
    free(q.spare_a);
    free(q.b);
    free(q.pivots);
    free(q.z);
    free(q.work);
    return found;
}

/* The current of a law that is no unknown of the solver comes from the difference of two
 * volts: its rounding is that of each of them times the conductance. */
static void measure_nodal(const jv_net *net, const dense_point *p, const double *z, double *size) {
    for (size_t k = 0; k < p->n_elements; k++) {
        const jv_element *e = &net->elements[k];
        double g = 0.0;
        if (e->law == JV_SINK && p->piece[k] == LINEAR)
            g = 1.0 / e->r;
        else if (e->law == JV_REGULATOR)
            g = e->quiescent;
        else if (e->law == JV_POWER)
            g = e->limit / (e->e * e->e);
        if (e->open)
            continue;
        size[e->a] += g * (fabs(z[e->a]) + fabs(z[e->b]));
        size[e->b] += g * (fabs(z[e->a]) + fabs(z[e->b]));
    }
}

double dense_backward(const jv_net *net, const dense_point *p, const double *v, const double *i) {
    size_t n = p->n;
    dense_point same = *p;
    same.even = false;
    equations q = {.net = net, .p = &same, .n = n};
    same.r = calloc(p->n_elements + 1, sizeof *same.r);
    q.v_was = calloc(p->n_nodes + 1, sizeof *q.v_was);
    q.i_was = calloc(p->n_elements + 1, sizeof *q.i_was);
    q.a = calloc(n * n, sizeof *q.a);
    q.b = calloc(n, sizeof *q.b);
    q.z = calloc(n, sizeof *q.z);
    double *size = calloc(n, sizeof *size), *error = calloc(n, sizeof *error);
    for (size_t k = 0; k < p->n_nodes; k++)
        q.z[k] = q.v_was[k] = v[k] - v[p->ground[k]];
    size_t own = p->n_nodes + p->n_elements;
    for (size_t k = 0; k < p->n_elements; k++) {
        const jv_element *e = &net->elements[k];
        double input = q.z[e->a] - q.z[e->b];
        q.z[p->n_nodes + k] = q.i_was[k] = i[k];
        if (e->law == JV_REGULATOR)
            q.z[own++] = e->open ? 0.0 : e->quiescent * fmin(input, 1.0);
    }
    write_down(&q);
    double largest = 0.0, worst = 0.0;
    measure_nodal(net, p, q.z, size);
    for (size_t row = 0; row < n; row++) {
        error[row] = -q.b[row];
        size[row] += fabs(q.b[row]);
        for (size_t col = 0; col < n; col++) {
            error[row] += *at(&q, row, col) * q.z[col];
            size[row] += fabs(*at(&q, row, col) * q.z[col]);
        }
        largest = fmax(largest, size[row]);
    }
    for (size_t row = 0; row < n && largest > 1e-9; row++)
        worst = fmax(worst, fabs(error[row]) / fmax(size[row], 1e-6 * largest));
    free(same.r);
    free(q.v_was);
    free(q.i_was);
    free(q.a);
    free(q.b);
    free(q.z);
    free(size);
    free(error);
    return worst;
}

void dense_free(dense_point *p) {
    free(p->v);
    free(p->i);
    free(p->r);
    free(p->piece);
    free(p->ground);
    memset(p, 0, sizeof *p);
}
