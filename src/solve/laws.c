/* laws.c - the branch laws: residual, Jacobian, pieces. SPDX-License-Identifier: MIT */
#include "jackvolt/heat.h"
#include "solve/curve.h"
#include "solve/system.h"

#include <math.h>
#include <string.h>

/* Where the slope of a law is zero the Jacobian gets this share of its own conductance, so
 * that a node that nothing else holds does not make it singular. The residual stays the
 * true law, so the answer does not move. */
static const double slope_floor = 1e-9;
/* Least ohms in the Jacobian, ohm: parts of zero ohms in parallel share the current evenly
 * instead of making it singular. The residual keeps the true ohms here too. */
static const double ohm_floor = 1e-9;
/* Volts and amps below this everywhere are a dead circuit: only rounding is left in it. */
static const double nothing = 1e-9;
/* Below this input, V, a regulator's own current fades to zero. */
static const double own_current_knee_v = 1.0;

/* fmax without its care for NaN, which costs a call each time. */
static inline double greater(double a, double b) {
    return a > b ? a : b;
}

/* A current this near to that of the last search, as a share, takes its temperature by the
 * slope: what is left out is rounding. A slope in time is a difference, less exact. */
static const double same_steady = 1e-9, same_in_time = 1e-12;

/* Temperature of a warm conductor at current i and its slope, kept in the element. */
static void find_heat(jv_element *e, double i) {
    e->heat_a = i;
    if (e->curve && jv_heat_curve_at(e->curve, i, &e->heat_c, &e->heat_per_a))
        return;
    if (i == 0.0) {
        e->heat_c = e->air_c;
        e->heat_per_a = 0.0;
    } else if (isinf(e->heat_s)) {
        jv_heat_steady now = jv_heat_steady_at(e->heat, i);
        e->heat_c = now.temp_c;
        e->heat_per_a = now.slope;
    } else {
        /* Half a percent of the rise is far below what is known of a cable's air. */
        e->heat_c = jv_heat_after_quick(e->heat, i, e->air_c, e->heat_s, &e->heat_per_a);
    }
}

/* Ohms of a SERIES element at current i, and d(r i)/di. */
static double series_ohms(jv_element *e, double i, double *slope) {
    if (!e->heat) {
        *slope = e->r;
        return e->r;
    }
    double same = isinf(e->heat_s) ? same_steady : same_in_time;
    if (!(fabs(i - e->heat_a) <= same * fabs(i)))
        find_heat(e, i);
    e->temperature_c = e->heat_c + e->heat_per_a * (i - e->heat_a);
    double r = e->r * (1.0 + e->r_slope * (e->temperature_c - e->r_at_c));
    *slope = r + i * e->r * e->r_slope * e->heat_per_a;
    return r;
}

/* A current that is an unknown leaves one node and enters another. */
static void flow(jv_system *s, int32_t from, int32_t to, const int32_t *at, double i) {
    s->f[from] += i;
    s->f[to] -= i;
    s->scale[from] += fabs(i);
    s->scale[to] += fabs(i);
    s->ax[at[0]] += 1.0;
    s->ax[at[1]] -= 1.0;
}

static void series(jv_system *s, size_t k) {
    jv_element *e = &s->net->elements[k];
    const int32_t *at = s->slot + s->slot_at[k];
    int32_t j = s->current[k];
    double i = s->x[j], va = s->x[e->a], vb = s->x[e->b];
    s->i_now[k] = i;
    flow(s, e->a, e->b, at, i);
    if (e->open) {
        s->r_now[k] = INFINITY;
        s->f[j] = i;
        s->scale[j] = fabs(i);
        s->ax[at[4]] += 1.0;
        return;
    }
    double slope, r = series_ohms(e, i, &slope);
    s->r_now[k] = r;
    s->f[j] = va - vb - r * i - e->e;
    s->scale[j] = fabs(va) + fabs(vb) + r * fabs(i) + fabs(e->e);
    s->ax[at[2]] += 1.0;
    s->ax[at[3]] -= 1.0;
    s->ax[at[4]] -= fabs(slope) < ohm_floor ? ohm_floor : slope;
}

static void add_nodal(jv_system *s, const jv_element *e, const int32_t *at, double i, double g,
                      double size) {
    s->f[e->a] += i;
    s->f[e->b] -= i;
    s->scale[e->a] += size;
    s->scale[e->b] += size;
    s->ax[at[0]] += g;
    s->ax[at[1]] -= g;
    s->ax[at[2]] -= g;
    s->ax[at[3]] += g;
}

static void sink(jv_system *s, size_t k) {
    const jv_element *e = &s->net->elements[k];
    const int32_t *at = s->slot + s->slot_at[k];
    if (e->open) {
        s->i_now[k] = 0.0;
        return;
    }
    double va = s->x[e->a], vb = s->x[e->b], g = 1.0 / e->r;
    if (s->mode[k] == JV_MODE_LINEAR) {
        s->i_now[k] = g * (va - vb);
        add_nodal(s, e, at, s->i_now[k], g, g * (fabs(va) + fabs(vb)));
    } else {
        s->i_now[k] = s->mode[k] == JV_MODE_LIMIT ? e->limit : -e->back;
        add_nodal(s, e, at, s->i_now[k], slope_floor * g, fabs(s->i_now[k]));
    }
}

static void power(jv_system *s, size_t k) {
    const jv_element *e = &s->net->elements[k];
    const int32_t *at = s->slot + s->slot_at[k];
    double v = s->x[e->a] - s->x[e->b], watts = e->limit * s->power_share, i, g;
    if (e->open) {
        s->i_now[k] = 0.0;
        return;
    }
    if (v > e->e) {
        i = watts / v;
        g = -i / v;
    } else {
        g = watts / (e->e * e->e);
        i = g * v;
    }
    s->i_now[k] = i;
    double least = slope_floor * e->limit / (e->e * e->e);
    if (fabs(g) < least)
        g = least;
    add_nodal(s, e, at, i, g, fabs(i) + fabs(g) * (fabs(s->x[e->a]) + fabs(s->x[e->b])));
}

static void source(jv_system *s, size_t k) {
    const jv_element *e = &s->net->elements[k];
    const int32_t *at = s->slot + s->slot_at[k];
    int32_t j = s->current[k];
    double i = s->x[j], va = s->x[e->a], vb = s->x[e->b];
    s->i_now[k] = i;
    flow(s, e->a, e->b, at, i);
    if (e->open || s->mode[k] == JV_MODE_LIMIT) {
        double held = e->open ? 0.0 : e->limit;
        s->f[j] = i + held;
        s->scale[j] = fabs(i) + held;
        s->ax[at[4]] += 1.0;
        s->ax[at[2]] -= e->open ? 0.0 : slope_floor;
        s->ax[at[3]] += e->open ? 0.0 : slope_floor;
        return;
    }
    if (s->mode[k] == JV_MODE_BACK) { /* i = g (v - e) */
        s->f[j] = i - JV_BLOCKED_LEAK_S * (va - vb - e->e);
        s->scale[j] = fabs(i) + JV_BLOCKED_LEAK_S * (fabs(va) + fabs(vb) + fabs(e->e));
        s->ax[at[4]] += 1.0;
        s->ax[at[2]] -= JV_BLOCKED_LEAK_S;
        s->ax[at[3]] += JV_BLOCKED_LEAK_S;
        return;
    }
    s->f[j] = va - vb - e->e - e->r * i;
    s->scale[j] = fabs(va) + fabs(vb) + fabs(e->e) + e->r * fabs(i);
    s->ax[at[2]] += 1.0;
    s->ax[at[3]] -= 1.0;
    s->ax[at[4]] -= greater(e->r, ohm_floor);
}

/* Current limit of a regulator at output volts u, and its slope dI/du. */
static double fold_back(const jv_element *e, double u, double *slope) {
    *slope = 0.0;
    if (isinf(e->limit) || e->back >= e->limit || u >= e->e)
        return e->limit;
    if (u <= 0.0)
        return e->back;
    *slope = (e->limit - e->back) / e->e;
    return e->back + *slope * u;
}

static void regulator_own_current(jv_system *s, const jv_element *e, const int32_t *at) {
    double va = s->x[e->a], vb = s->x[e->b], v = va - vb;
    double g = e->quiescent / own_current_knee_v;
    if (v < own_current_knee_v)
        add_nodal(s, e, at + 6, g * v, g, g * (fabs(va) + fabs(vb)));
    else
        add_nodal(s, e, at + 6, e->quiescent, slope_floor * g, e->quiescent);
}

/* At its current limit, or off. */
static void regulator_limits(jv_system *s, size_t k, const int32_t *at) {
    const jv_element *e = &s->net->elements[k];
    int32_t j = s->current[k];
    double i = s->x[j], vb = s->x[e->b], vc = s->x[e->c], slope = 0.0, held = 0.0;
    if (!e->open)
        held = fold_back(e, vc - vb, &slope);
    s->f[j] = i - held;
    s->scale[j] = fabs(i) + held + slope * (fabs(vc) + fabs(vb));
    /* A falling limit follows the volts of the last step until the pieces hold: the way
     * a real one goes down. Its slope alone would lead back up. */
    if (s->turning)
        slope = 0.0;
    s->ax[at[5]] += 1.0;
    s->ax[at[4]] -= slope - slope_floor;
    s->ax[at[3]] += slope - slope_floor;
}

/* Volts that it tries to hold at its output. */
static double regulator_target(const jv_element *e, double input) {
    double room = input - e->drop;
    return room < e->e ? (room > 0.0 ? room : 0.0) : e->e;
}

static void regulator(jv_system *s, size_t k) {
    const jv_element *e = &s->net->elements[k];
    const int32_t *at = s->slot + s->slot_at[k];
    int32_t j = s->current[k];
    double i = s->x[j], va = s->x[e->a], vb = s->x[e->b], vc = s->x[e->c];
    s->i_now[k] = i;
    flow(s, e->a, e->c, at, i);
    if (!e->open)
        regulator_own_current(s, e, at);
    if (e->open || s->mode[k] == JV_MODE_LIMIT) {
        regulator_limits(s, k, at);
        return;
    }
    /* weight u + r i = weight target: blocked, i = -g (u - target). */
    bool blocked = s->mode[k] == JV_MODE_BACK;
    bool starved = s->mode[k] == JV_MODE_STARVED && va - vb > e->drop;
    double weight = blocked ? JV_BLOCKED_LEAK_S : 1.0, r = blocked ? 1.0 : e->r;
    double target = s->mode[k] == JV_MODE_LINEAR ? e->e : regulator_target(e, va - vb);
    s->f[j] = weight * (vc - vb - target) + r * i;
    s->scale[j] = weight * (fabs(vc) + fabs(vb) + fabs(target)) + fabs(r * i);
    if (starved)
        s->scale[j] += fabs(va);
    s->ax[at[4]] += weight;
    s->ax[at[3]] += starved ? 0.0 : -weight;
    s->ax[at[2]] += starved ? -1.0 : 0.0;
    s->ax[at[5]] += r;
}

void jv_system_stamp(jv_system *s, size_t k) {
    switch ((jv_law)s->net->elements[k].law) {
    case JV_SERIES:
        series(s, k);
        break;
    case JV_SINK:
        sink(s, k);
        break;
    case JV_POWER:
        power(s, k);
        break;
    case JV_SOURCE:
        source(s, k);
        break;
    case JV_REGULATOR:
        regulator(s, k);
        break;
    }
}

double jv_system_evaluate(jv_system *s) {
    memset(s->ax, 0, (size_t)s->ap[s->n] * sizeof *s->ax);
    memset(s->f, 0, (size_t)s->n * sizeof *s->f);
    memset(s->scale, 0, (size_t)s->n * sizeof *s->scale);
    for (size_t i = 0; i < s->net->n_nodes; i++) {
        if (!s->anchored[i])
            continue;
        s->ax[s->diagonal[i]] += 1.0;
        s->f[i] += s->x[i];
        s->scale[i] += fabs(s->x[i]);
    }
    for (size_t k = 0; k < s->net->n_elements; k++)
        jv_system_stamp(s, k);
    /* A row that nothing flows through is measured by the largest row: its rounding comes
     * from there. */
    double largest = 0.0, worst = 0.0;
    for (int i = 0; i < s->n; i++)
        largest = greater(largest, s->scale[i]);
    double least = 1e-6 * largest;
    for (int i = 0; i < s->n; i++) {
        double f = fabs(s->f[i]), by = s->scale[i] > least ? s->scale[i] : least;
        if (!(f <= worst * by)) /* few pass, so few divisions */
            worst = f / by;
    }
    return largest > nothing ? worst : 0.0;
}

/* What an answer may miss a border between two pieces by and still fit both, so that rounding
 * alone never turns an element to and fro: a share of the largest volts and amps. */
static const double border = 1e-11;

typedef struct jv_give {
    double v, a;
} jv_give;

static jv_give give_at(const jv_system *s) {
    jv_give g = {0.0, 0.0};
    for (size_t k = 0; k < s->net->n_nodes; k++)
        g.v = greater(g.v, fabs(s->x[k]));
    for (size_t k = s->net->n_nodes; k < (size_t)s->n; k++)
        g.a = greater(g.a, fabs(s->x[k]));
    g.v *= border;
    g.a *= border;
    return g;
}

static int8_t sink_mode(const jv_system *s, size_t k, const jv_give *give) {
    const jv_element *e = &s->net->elements[k];
    double v = s->x[e->a] - s->x[e->b], most = e->limit * e->r, least = -e->back * e->r;
    /* From one limit to the other only by way of the middle: without that the pieces circle. */
    if (s->mode[k] == JV_MODE_LIMIT)
        return v < most - give->v ? JV_MODE_LINEAR : JV_MODE_LIMIT;
    if (s->mode[k] == JV_MODE_BACK)
        return v > least + give->v ? JV_MODE_LINEAR : JV_MODE_BACK;
    if (v > most + give->v)
        return JV_MODE_LIMIT;
    return v < least - give->v ? JV_MODE_BACK : JV_MODE_LINEAR;
}

static int8_t source_mode(const jv_system *s, size_t k, const jv_give *give) {
    const jv_element *e = &s->net->elements[k];
    double j = -s->x[s->current[k]], v = s->x[e->a] - s->x[e->b];
    switch (s->mode[k]) {
    case JV_MODE_BACK:
        return v < e->e - give->v ? JV_MODE_LINEAR : JV_MODE_BACK;
    case JV_MODE_LIMIT:
        return v > e->e - e->r * e->limit + give->v ? JV_MODE_LINEAR : JV_MODE_LIMIT;
    default:
        break;
    }
    if (j < -give->a)
        return JV_MODE_BACK;
    return j > e->limit + give->a ? JV_MODE_LIMIT : JV_MODE_LINEAR;
}

static int8_t regulator_mode(const jv_system *s, size_t k, const jv_give *give) {
    const jv_element *e = &s->net->elements[k];
    double j = s->x[s->current[k]], out = s->x[e->c] - s->x[e->b];
    double room = s->x[e->a] - s->x[e->b] - e->drop;
    double hair = s->mode[k] == JV_MODE_STARVED ? give->v : -give->v;
    int8_t holds = room < e->e + hair ? JV_MODE_STARVED : JV_MODE_LINEAR;
    double target = regulator_target(e, s->x[e->a] - s->x[e->b]);
    switch (s->mode[k]) {
    case JV_MODE_BACK:
        return out < target - give->v ? holds : JV_MODE_BACK;
    case JV_MODE_LIMIT:
        return out > target - e->r * j + give->v ? holds : JV_MODE_LIMIT;
    default:
        break;
    }
    if (j < -give->a)
        return JV_MODE_BACK;
    return j > e->limit + give->a ? JV_MODE_LIMIT : holds;
}

size_t jv_system_modes(jv_system *s, size_t most) {
    size_t changed = 0;
    const jv_give give = give_at(s);
    for (size_t m = 0; m < s->n_pieces && changed < most; m++) {
        size_t k = s->pieces[m];
        const jv_element *e = &s->net->elements[k];
        int8_t mode = JV_MODE_LINEAR;
        if (e->law == JV_POWER || e->open)
            continue;
        if (e->law == JV_SINK)
            mode = sink_mode(s, k, &give);
        else if (e->law == JV_SOURCE)
            mode = source_mode(s, k, &give);
        else
            mode = regulator_mode(s, k, &give);
        if (mode == s->mode[k])
            continue;
        s->mode[k] = mode;
        changed++;
    }
    return changed;
}
