/* point.c - semismooth Newton, states, continuation. SPDX-License-Identifier: MIT */
#include "solve/point.h"

#include "jackvolt/memory.h"
#include "solve/laws.h"

#include <math.h>
#include <string.h>

/* A residual this small against |A||x| + |b| is rounding. */
static const double converged_at = 1e-13;
/* Enough for a look at what a change would do: some microvolts. */
static const double glance = 1e-7;
/* Good enough when rounding keeps it from falling further. */
static const double acceptable = 1e-11;
/* Factors serve another step while the residual falls to this share in one. */
static const double kept_fall = 0.05;
enum {
    STEPS = 80,         /* Newton steps */
    FREE_STEPS = 12,    /* of them with all pieces changing at once */
    ROUNDS = 50,        /* settlings of relays and cut-offs */
    POWER_HALVINGS = 24 /* bisections for the deliverable share of power */
};

typedef struct jv_newton {
    jv_status status;
    bool converged;
    int steps;
    double backward;
    int bad; /* unknown where the matrix was singular, -1 = none */
} jv_newton;

/* Takes f off x; the largest size that is left. */
static double take_off(double *x, const double *f, size_t n) {
    double most[4] = {0.0, 0.0, 0.0, 0.0};
    size_t k = 0;
    for (; k + 4 <= n; k += 4)
        for (size_t m = 0; m < 4; m++) {
            x[k + m] -= f[k + m];
            most[m] = jv_greater(fabs(x[k + m]), most[m]);
        }
    for (; k < n; k++) {
        x[k] -= f[k];
        most[0] = jv_greater(fabs(x[k]), most[0]);
    }
    return jv_greater(jv_greater(most[0], most[1]), jv_greater(most[2], most[3]));
}

/* Takes the step, which stands in f, off x. */
static jv_largest step_back(jv_system *s) {
    const size_t nodes = s->net->n_nodes;
    return (jv_largest){take_off(s->x, s->f, nodes),
                        take_off(s->x + nodes, s->f + nodes, (size_t)s->n - nodes)};
}

/* Residual at the start of a step, the pieces turned before it. Right after a start from zero the
 * currents are those of the wrong pieces: cables follow their heat only when none turns. */
static double look(jv_system *s, int step, bool warm, jv_largest largest, size_t *changed) {
    const size_t most = step == 0 && !warm ? 0 : step < FREE_STEPS ? SIZE_MAX : 1;
    s->as_warm = !warm && step == 1 && s->n_pieces;
    double backward = jv_system_turn_and_evaluate(s, most, largest, changed);
    bool hasty = s->as_warm && !*changed;
    s->as_warm = false;
    return hasty ? jv_system_evaluate_taken(s) : backward;
}

/* Semismooth Newton: each step solves the linear system of the pieces that hold at x. At
 * first all elements change their piece at once; when that has not settled after FREE_STEPS
 * only the lowest-numbered one may change, which ends for every monotone network (Murty's
 * least-index rule). */
static jv_newton newton(jv_system *s, bool warm) {
    jv_newton n = {JV_OK, false, 0, INFINITY, -1};
    bool fresh = false;
    if (!warm) {
        memset(s->x, 0, (size_t)s->n * sizeof *s->x);
        memset(s->mode, 0, s->net->n_elements);
    }
    double last = INFINITY, good = jv_greater(converged_at, s->enough);
    jv_largest largest = {0.0, 0.0};
    if (warm)
        largest = jv_system_largest(s);
    for (; n.steps < STEPS; n.steps++) {
        size_t changed;
        n.backward = look(s, n.steps, warm, largest, &changed);
        if (!isfinite(n.backward))
            return n;
        bool stuck = n.backward <= acceptable && n.backward > 0.5 * last;
        if (!changed && (n.steps > 0 || warm) && (n.backward <= good || stuck)) {
            n.converged = true;
            return n;
        }
        /* Old pivots that no longer serve show as a residual that does not fall. */
        fresh = !changed && n.steps > 3 && n.backward > 0.5 * last && n.backward > acceptable;
        /* A glance comes near enough on the factors of its first step. */
        bool keep = s->enough > 0.0 && n.steps > 0 && !changed && n.backward < kept_fall * last;
        last = n.backward;
        if (!keep)
            n.status = jv_lu_factor(s->lu, s->ax, fresh, &n.bad);
        if (n.status != JV_OK)
            return n;
        n.status = jv_lu_solve(s->lu, s->f); /* the residual becomes the step */
        if (n.status != JV_OK)
            return n;
        largest = step_back(s);
    }
    n.backward = jv_system_evaluate_taken(s); /* for the report: not converged */
    return n;
}

static bool asks_power(const jv_element *e) {
    return e->law == JV_POWER && !e->open;
}

static bool has_power_loads(const jv_system *s) {
    for (size_t m = 0; m < s->n_pieces; m++) {
        const jv_lean *l = &s->lean[s->pieces[m]];
        if (l->law == JV_POWER && !l->open)
            return true;
    }
    return false;
}

/* Marks the constant-power loads that sit below their floor though none of them draws: others
 * starve them, and the second root is no matter of theirs. */
static void mark_starved(jv_system *s) {
    for (size_t m = 0; m < s->n_pieces; m++) {
        size_t k = s->pieces[m];
        const jv_element *e = &s->net->elements[k];
        if (asks_power(e))
            s->mode[k] = s->x[e->a] - s->x[e->b] > e->e ? JV_MODE_LINEAR : JV_MODE_STARVED;
    }
}

/* True when every other constant-power load sits above its floor: the upper of its roots. */
static bool power_upper(const jv_system *s) {
    for (size_t m = 0; m < s->n_pieces; m++) {
        size_t k = s->pieces[m];
        const jv_element *e = &s->net->elements[k];
        if (asks_power(e) && s->mode[k] != JV_MODE_STARVED && !(s->x[e->a] - s->x[e->b] > e->e))
            return false;
    }
    return true;
}

/* From a start without constant-power loads to a share of what they ask. */
static jv_newton at_share(jv_system *s, bool warm, double share) {
    s->power_share = 0.0;
    jv_newton n = newton(s, warm);
    s->power_share = share;
    if (!n.converged)
        return n;
    mark_starved(s);
    if (share == 0.0)
        return n;
    int steps = n.steps;
    n = newton(s, true);
    n.steps += steps;
    return n;
}

/* Constant power has two roots: start without those loads, then ask for all of it. When that
 * fails, the share that can be had is bracketed by bisection, each from the last good point. */
static jv_newton follow_power(jv_system *s, bool warm, double *share) {
    *share = s->power_share = 1.0;
    if (!has_power_loads(s))
        return newton(s, warm);
    jv_newton n = at_share(s, warm, 1.0);
    if (n.status != JV_OK || (n.converged && power_upper(s)))
        return n;
    double low = 0.0, high = 1.0;
    int steps = n.steps;
    for (int k = 0; k < POWER_HALVINGS && n.status != JV_ERR_MEMORY; k++) {
        double middle = 0.5 * (low + high);
        n = at_share(s, false, middle);
        steps += n.steps;
        if (n.converged && power_upper(s))
            low = middle;
        else
            high = middle;
    }
    *share = low;
    n = at_share(s, false, low);
    n.steps += steps;
    return n;
}

/* Sources less everything else by each element's own law, not by its node volts: an
 * independent check of the solution. */
static double power_error(const jv_system *s) {
    double sum = 0.0;
    for (size_t k = 0; k < s->net->n_elements; k++) {
        const jv_lean *l = &s->lean[k];
        double i = s->i_now[k], v = s->x[l->a] - s->x[l->b];
        if (l->law == JV_SERIES) {
            if (!l->open)
                sum += i * ((l->warm ? 0.0 : l->e) + s->r_now[k] * i);
        } else if (l->law == JV_REGULATOR) {
            const jv_element *e = &s->net->elements[k];
            double own = e->open ? 0.0 : fmin(1.0, v) * e->quiescent;
            sum += (i + own) * v - i * (s->x[e->c] - s->x[e->b]);
        } else {
            sum += i * v;
        }
    }
    return fabs(sum);
}

static void describe(jv_system *s, const jv_newton *n, jv_point *out) {
    int32_t reference = s->net->circuit->reference;
    double zero = reference >= 0 ? s->x[reference] : 0.0;
    out->residual_a = 0.0;
    for (size_t k = 0; k < s->net->n_nodes; k++)
        if (!s->anchored[k])
            out->residual_a = fmax(out->residual_a, fabs(s->f[k]));
    /* The anchor holds the reference at zero but for rounding: take that off. */
    if (zero != 0.0)
        for (size_t k = 0; k < s->net->n_nodes; k++)
            s->x[k] -= zero;
    out->backward = n->backward;
    out->power_error_w = power_error(s);
    out->v = s->x;
    out->i = s->i_now;
    out->r = s->r_now;
    if (n->bad >= 0)
        out->where = jv_system_unknown_name(s, n->bad);
}

/* Each kind brings its discrete states in line; true when one changed. What changed is loaded and
 * taken again: no part's numbers hang on another's state. */
static bool settle(jv_system *s, const char **who) {
    const jv_circuit *c = s->net->circuit;
    bool changed = false;
    for (size_t m = 0; m < s->n_settling; m++) {
        size_t p = s->settling[m], first = s->net->first[p];
        if (!c->parts[p].kind->settle(&s->net->scene, &c->parts[p], s->net->elements + first,
                                      s->net->own[p], s->x, s->i_now + first))
            continue;
        changed = true;
        *who = c->parts[p].name;
        if (s->reload)
            continue;
        jv_net_load_part(s->net, p);
        jv_system_take(s, first, s->net->first[p + 1]);
    }
    if (changed && s->reload) {
        s->reload(s->reload_ctx);
        jv_system_take(s, 0, s->net->n_elements);
    }
    return changed;
}

static jv_newton one_round(jv_system *s, bool warm, jv_point *out) {
    jv_newton n = follow_power(s, warm, &out->power_share);
    /* From a start that did not serve, once more from zero. */
    if (n.status != JV_ERR_MEMORY && !n.converged && warm)
        n = follow_power(s, false, &out->power_share);
    out->iterations += n.steps;
    return n;
}

static jv_status find_taken(jv_system *s, bool warm, jv_point *out) {
    memset(out, 0, sizeof *out);
    jv_newton n;
    const char *who = NULL;
    bool moving = true;
    do {
        jv_status status = s->opened ? jv_system_anchor_taken(s) : JV_OK;
        if (status != JV_OK)
            return status;
        n = one_round(s, warm, out);
        if (n.status == JV_ERR_MEMORY)
            return n.status;
        jv_system_currents(s);
        if (!n.converged)
            break;
        moving = settle(s, &who);
        warm = true;
        out->rounds++;
    } while (moving && out->rounds < ROUNDS);
    describe(s, &n, out);
    if (!n.converged)
        out->outcome = JV_POINT_NOT_FOUND;
    else if (moving)
        out->outcome = JV_POINT_CHATTERS;
    else if (out->power_share < 1.0)
        out->outcome = JV_POINT_CANNOT_DELIVER;
    else
        out->outcome = JV_POINT_FOUND;
    if (out->outcome == JV_POINT_CHATTERS)
        out->where = who;
    return n.status;
}

jv_status jv_point_find(jv_system *s, bool warm, jv_point *out) {
    jv_system_take(s, 0, s->net->n_elements);
    return find_taken(s, warm, out);
}

jv_status jv_point_first(jv_system *s, jv_point *out) {
    return find_taken(s, false, out);
}

static void say(const jv_newton *n, jv_point *out) {
    if (!n->converged)
        out->outcome = JV_POINT_NOT_FOUND;
    else
        out->outcome = out->power_share < 1.0 ? JV_POINT_CANNOT_DELIVER : JV_POINT_FOUND;
}

jv_status jv_point_refine(jv_system *s, jv_point *out) {
    memset(out, 0, sizeof *out);
    jv_system_take(s, 0, s->net->n_elements);
    jv_newton n = one_round(s, true, out);
    jv_system_currents(s);
    describe(s, &n, out);
    say(&n, out);
    return n.status;
}

jv_status jv_point_glance(jv_system *s, jv_point *out) {
    memset(out, 0, sizeof *out);
    s->enough = glance;
    jv_newton n = one_round(s, true, out);
    s->enough = 0.0;
    out->v = s->x;
    say(&n, out);
    return n.status;
}

jv_status jv_state_keep(const jv_system *s, jv_state *out) {
    size_t elements = s->net->n_elements;
    out->x = jv_alloc((size_t)s->n + 1, sizeof *out->x);
    out->i_now = jv_alloc(elements + 1, sizeof *out->i_now);
    out->mode = jv_alloc(elements + 1, sizeof *out->mode);
    if (!out->x || !out->i_now || !out->mode) {
        jv_state_clear(out);
        return JV_ERR_MEMORY;
    }
    memcpy(out->x, s->x, (size_t)s->n * sizeof *out->x);
    memcpy(out->i_now, s->i_now, elements * sizeof *out->i_now);
    memcpy(out->mode, s->mode, elements * sizeof *out->mode);
    out->power_share = s->power_share;
    return JV_OK;
}

void jv_state_put_back(jv_system *s, const jv_state *state) {
    size_t elements = s->net->n_elements;
    if (!state->x)
        return;
    memcpy(s->x, state->x, (size_t)s->n * sizeof *state->x);
    memcpy(s->i_now, state->i_now, elements * sizeof *state->i_now);
    memcpy(s->mode, state->mode, elements * sizeof *state->mode);
    s->power_share = state->power_share;
    s->turning = false;
}

void jv_state_clear(jv_state *state) {
    jv_free(state->x);
    jv_free(state->i_now);
    jv_free(state->mode);
    *state = (jv_state){NULL, NULL, NULL, 1.0};
}
