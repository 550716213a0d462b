/* laws.c - the branch laws: residual, Jacobian, pieces. SPDX-License-Identifier: MIT */
#include "solve/laws.h"
#include "jackvolt/heat.h"
#include "solve/curve.h"

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

void jv_system_take(jv_system *s, size_t first, size_t end) {
    const jv_element *e = s->net->elements;
    uint8_t changed = 0;
    for (size_t k = first; k < end; k++) {
        changed |= (uint8_t)(s->lean[k].open != e[k].open);
        jv_lean_take(&e[k], &s->lean[k], s->heats);
    }
    s->opened |= changed != 0;
    s->standing = false;
}

static inline double warm_c(const jv_lean *l, const jv_lean_heat *h, double i) {
    return l->heat_c + h->per_a * (i - h->current_a);
}

/* Finds the temperature of a warm conductor anew when its current i has moved. */
static inline void follow_heat(jv_element *e, jv_lean *l, jv_lean_heat *h, double i) {
    double moved = fabs(i - h->current_a), size = fabs(i);
    if (moved <= same_in_time * size)
        return;
    if (l->warm == JV_WARM_BY_ELEMENT) {
        if (isinf(e->heat_s) && moved <= same_steady * size)
            return;
        find_heat(e, i);
        l->heat_c = e->heat_c;
        h->per_a = e->heat_per_a;
    } else if (moved <= same_steady * size) {
        return;
    } else if (i == 0.0) {
        l->heat_c = h->body->air_c;
        h->per_a = 0.0;
    } else {
        jv_heat_steady now = jv_heat_steady_near(h->body, i, l->heat_c);
        l->heat_c = now.temp_c;
        h->per_a = now.slope;
    }
    h->current_a = i;
}

/* A current that is an unknown leaves one node and enters another. */
static inline void flow(jv_system *s, int32_t from, int32_t to, double i) {
    s->f[from] += i;
    s->f[to] -= i;
    s->scale[from] += fabs(i);
    s->scale[to] += fabs(i);
}

/* Row of a current, with what multiplies V(a), V(b) and the current itself. */
static inline void put_row(jv_system *s, const int32_t *at, double of_a, double of_b, double own) {
    s->ax[at[JV_AT_A]] = of_a;
    s->ax[at[JV_AT_B]] = at[JV_AT_A] == at[JV_AT_B] ? of_a + of_b : of_b;
    s->ax[at[JV_AT_OWN]] = own;
}

static inline double own_entry(double slope) {
    return fabs(slope) < ohm_floor ? -ohm_floor : -slope;
}

static inline void series(jv_system *s, size_t k, jv_lean *l, jv_lean_heat *h, int32_t j,
                          const int32_t *at) {
    double i = s->x[j], va = s->x[l->a], vb = s->x[l->b];
    flow(s, l->a, l->b, i);
    if (l->open) {
        s->f[j] = i;
        s->scale[j] = fabs(i);
        if (!s->standing)
            put_row(s, at, 0.0, 0.0, 1.0);
    } else if (l->warm) {
        if (!s->as_warm)
            follow_heat(&s->net->elements[k], l, h, i);
        double r = l->r_at_zero + l->r_per_k * warm_c(l, h, i);
        double own = own_entry(r + i * l->r_per_k * h->per_a);
        s->f[j] = va - vb - r * i;
        s->scale[j] = fabs(va) + fabs(vb) + r * fabs(i);
        if (s->standing)
            s->ax[at[JV_AT_OWN]] = own;
        else
            put_row(s, at, 1.0, -1.0, own);
    } else {
        s->f[j] = va - vb - l->r * i - l->e;
        s->scale[j] = fabs(va) + fabs(vb) + l->r * fabs(i) + fabs(l->e);
        if (!s->standing)
            put_row(s, at, 1.0, -1.0, own_entry(l->r));
    }
}

/* Current, ohms and temperature of a SERIES element at x. */
static inline void series_now(jv_system *s, size_t k, const jv_lean *l, const jv_lean_heat *h,
                              int32_t j) {
    double i = s->x[j];
    s->i_now[k] = i;
    if (l->open) {
        s->r_now[k] = INFINITY;
    } else if (!l->warm) {
        s->r_now[k] = l->r;
    } else {
        jv_element *e = &s->net->elements[k];
        e->heat_a = h->current_a;
        e->heat_c = l->heat_c;
        e->heat_per_a = h->per_a;
        e->temperature_c = warm_c(l, h, i);
        s->r_now[k] = l->r_at_zero + l->r_per_k * e->temperature_c;
    }
}

static inline void add_nodal(jv_system *s, int32_t a, int32_t b, const int32_t *at, double i,
                             double g, double size) {
    s->f[a] += i;
    s->f[b] -= i;
    s->scale[a] += size;
    s->scale[b] += size;
    s->ax[at[0]] += g;
    s->ax[at[1]] -= g;
    s->ax[at[2]] -= g;
    s->ax[at[3]] += g;
}

static inline void sink(jv_system *s, size_t k, const jv_lean *l, const int32_t *at) {
    if (l->open) {
        s->i_now[k] = 0.0;
        return;
    }
    double va = s->x[l->a], vb = s->x[l->b], g = l->siemens;
    if (s->mode[k] == JV_MODE_LINEAR) {
        s->i_now[k] = g * (va - vb);
        add_nodal(s, l->a, l->b, at, s->i_now[k], g, g * (fabs(va) + fabs(vb)));
    } else {
        s->i_now[k] = s->mode[k] == JV_MODE_LIMIT ? l->limit : -l->back;
        add_nodal(s, l->a, l->b, at, s->i_now[k], slope_floor * g, fabs(s->i_now[k]));
    }
}

static void power(jv_system *s, size_t k, const int32_t *at) {
    const jv_element *e = &s->net->elements[k];
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
    add_nodal(s, e->a, e->b, at, i, g, fabs(i) + fabs(g) * (fabs(s->x[e->a]) + fabs(s->x[e->b])));
}

static void source(jv_system *s, size_t k, int32_t j, const int32_t *at) {
    const jv_element *e = &s->net->elements[k];
    double i = s->x[j], va = s->x[e->a], vb = s->x[e->b];
    s->i_now[k] = i;
    flow(s, e->a, e->b, i);
    if (e->open || s->mode[k] == JV_MODE_LIMIT) {
        double held = e->open ? 0.0 : e->limit, floor = e->open ? 0.0 : slope_floor;
        s->f[j] = i + held;
        s->scale[j] = fabs(i) + held;
        put_row(s, at, -floor, floor, 1.0);
        return;
    }
    if (s->mode[k] == JV_MODE_BACK) { /* i = g (v - e) */
        s->f[j] = i - JV_BLOCKED_LEAK_S * (va - vb - e->e);
        s->scale[j] = fabs(i) + JV_BLOCKED_LEAK_S * (fabs(va) + fabs(vb) + fabs(e->e));
        put_row(s, at, -JV_BLOCKED_LEAK_S, JV_BLOCKED_LEAK_S, 1.0);
        return;
    }
    s->f[j] = va - vb - e->e - e->r * i;
    s->scale[j] = fabs(va) + fabs(vb) + fabs(e->e) + e->r * fabs(i);
    put_row(s, at, 1.0, -1.0, -jv_greater(e->r, ohm_floor));
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
        add_nodal(s, e->a, e->b, at, g * v, g, g * (fabs(va) + fabs(vb)));
    else
        add_nodal(s, e->a, e->b, at, e->quiescent, slope_floor * g, e->quiescent);
}

/* Row of a regulator's current; nodes may coincide. */
static void put_regulator_row(jv_system *s, const int32_t *at, double of_a, double of_b,
                              double of_c, double own) {
    s->ax[at[JV_AT_A]] = s->ax[at[JV_AT_B]] = s->ax[at[JV_AT_C]] = 0.0;
    s->ax[at[JV_AT_A]] += of_a;
    s->ax[at[JV_AT_B]] += of_b;
    s->ax[at[JV_AT_C]] += of_c;
    s->ax[at[JV_AT_OWN]] = own;
}

/* At its current limit, or off. */
static void regulator_limits(jv_system *s, size_t k, int32_t j, const int32_t *at) {
    const jv_element *e = &s->net->elements[k];
    double i = s->x[j], vb = s->x[e->b], vc = s->x[e->c], slope = 0.0, held = 0.0;
    if (!e->open)
        held = fold_back(e, vc - vb, &slope);
    s->f[j] = i - held;
    s->scale[j] = fabs(i) + held + slope * (fabs(vc) + fabs(vb));
    /* A falling limit follows the volts of the last step until the pieces hold: the way
     * a real one goes down. Its slope alone would lead back up. */
    if (s->turning)
        slope = 0.0;
    slope -= slope_floor;
    put_regulator_row(s, at, 0.0, slope, -slope, 1.0);
}

static void regulator(jv_system *s, size_t k, int32_t j, const int32_t *at) {
    const jv_element *e = &s->net->elements[k];
    double i = s->x[j], va = s->x[e->a], vb = s->x[e->b], vc = s->x[e->c];
    s->i_now[k] = i;
    flow(s, e->a, e->c, i);
    if (!e->open)
        regulator_own_current(s, e, at + JV_AT_NODAL);
    if (e->open || s->mode[k] == JV_MODE_LIMIT) {
        regulator_limits(s, k, j, at);
        return;
    }
    /* weight u + r i = weight target: blocked, i = -g (u - target). */
    bool blocked = s->mode[k] == JV_MODE_BACK;
    bool starved = s->mode[k] == JV_MODE_STARVED && va - vb > e->drop;
    double weight = blocked ? JV_BLOCKED_LEAK_S : 1.0, r = blocked ? 1.0 : e->r;
    double target = s->mode[k] == JV_MODE_LINEAR ? e->e : jv_regulator_target(e, va - vb);
    s->f[j] = weight * (vc - vb - target) + r * i;
    s->scale[j] = weight * (fabs(vc) + fabs(vb) + fabs(target)) + fabs(r * i);
    if (starved)
        s->scale[j] += fabs(va);
    put_regulator_row(s, at, starved ? -1.0 : 0.0, starved ? 0.0 : -weight, weight, r);
}

static void stamp_piece(jv_system *s, size_t k, const jv_lean *l, int32_t j, const int32_t *at) {
    switch ((jv_law)l->law) {
    case JV_SERIES: /* by its own function */
        break;
    case JV_SINK:
        sink(s, k, l, at);
        break;
    case JV_POWER:
        power(s, k, at);
        break;
    case JV_SOURCE:
        source(s, k, j, at);
        break;
    case JV_REGULATOR:
        regulator(s, k, j, at);
        break;
    }
}

/* From the element as it is now. */
static inline void stamp_now(jv_system *s, size_t k, int32_t j, const int32_t *at) {
    jv_lean lean = {.heat = 0};
    jv_lean_heat heat = {NAN, 0.0, NULL};
    jv_lean_take(&s->net->elements[k], &lean, &heat);
    if (lean.law == JV_SERIES) {
        series(s, k, &lean, &heat, j, at);
        series_now(s, k, &lean, &heat, j);
    } else {
        stamp_piece(s, k, &lean, j, at);
    }
}

void jv_system_stamp(jv_system *s, size_t k) {
    s->standing = false;
    stamp_now(s, k, s->current[k], s->slot + s->slot_at[k]);
}

/* Largest residual over its scale. A row that nothing flows through is measured by the largest
 * row: its rounding comes from there. */
static double worst_residual(const jv_system *s) {
    double worst = 0.0, sum = 0.0, largest = jv_greatest(s->scale, (size_t)s->n),
           least = 1e-6 * largest;
    const double *f = s->f, *scale = s->scale;
    for (int i = 0; i < s->n; i++) {
        double size = fabs(f[i]), by = jv_greater(scale[i], least);
        sum += size;
        if (!(size <= worst * by)) /* few pass, so few divisions */
            worst = size / by;
    }
    if (!isfinite(sum)) /* a row that is no number hides behind the next one */
        return NAN;
    return largest > nothing ? worst : 0.0;
}

/* f, scale and what is summed in ax, before the elements add theirs. */
static void begin(jv_system *s) {
    const size_t nodes = s->net->n_nodes;
    memset(s->f, 0, nodes * sizeof *s->f);
    memset(s->scale, 0, nodes * sizeof *s->scale);
    for (size_t k = 0; !s->standing && k < nodes; k++)
        s->ax[s->diagonal[k]] = 0.0;
    for (size_t k = 0; k < s->n_sums; k++)
        s->ax[s->sums[k]] = 0.0;
    for (size_t k = 0; k < s->n_anchors; k++) {
        int32_t i = s->anchors[k];
        s->ax[s->diagonal[i]] = 1.0;
        s->f[i] = s->x[i];
        s->scale[i] = fabs(s->x[i]);
    }
}

/* Both of these walk the unknown currents and the slots, which stand in the order of the
 * elements. */
double jv_system_evaluate(jv_system *s) {
    int32_t j = (int32_t)s->net->n_nodes;
    const int32_t *at = s->slot;
    s->standing = false;
    begin(s);
    for (size_t k = 0; k < s->net->n_elements; k++) {
        jv_law law = (jv_law)s->net->elements[k].law;
        stamp_now(s, k, j, at);
        at += jv_law_slots(law);
        j += jv_law_has_current(law);
    }
    return worst_residual(s);
}

double jv_system_evaluate_taken(jv_system *s) {
    size_t changed;
    return jv_system_turn_and_evaluate(s, 0, (jv_largest){0.0, 0.0}, &changed);
}

/* Regulators at a falling limit once more, when another element turned after them. */
static void fold_again(jv_system *s) {
    for (size_t m = 0; m < s->n_pieces; m++) {
        size_t k = s->pieces[m];
        const jv_lean *l = &s->lean[k];
        if (l->law == JV_REGULATOR && (l->open || s->mode[k] == JV_MODE_LIMIT))
            regulator_limits(s, k, s->current[k], s->slot + s->slot_at[k]);
    }
}

/* A source or regulator reads its whole element, which lies far from the last one: asked for some
 * pieces ahead, it has come by then. */
static inline void ask_ahead(const jv_system *s, size_t m) {
    enum { AHEAD = 4, LINE = 64 };
    if (m + AHEAD >= s->n_pieces)
        return;
    uint32_t k = s->pieces[m + AHEAD];
    if (s->lean[k].law == JV_SINK)
        return;
    const char *element = (const char *)&s->net->elements[k];
    for (size_t at = 0; at < sizeof(jv_element); at += LINE)
        __builtin_prefetch(element + at);
}

double jv_system_turn_and_evaluate(jv_system *s, size_t most, jv_largest largest, size_t *changed) {
    int32_t j = (int32_t)s->net->n_nodes;
    const int32_t *at = s->slot;
    const jv_give give = jv_piece_give(largest);
    size_t turned = 0, piece = 0;
    s->turning = false;
    begin(s);
    for (size_t k = 0; k < s->net->n_elements; k++) {
        jv_lean *l = &s->lean[k];
        if (l->law == JV_SERIES) {
            series(s, k, l, s->heats + l->heat, j++, at);
            at += JV_AT_OWN + 1;
            continue;
        }
        ask_ahead(s, piece++);
        if (turned < most)
            turned += jv_piece_change(s, k, l, &give);
        stamp_piece(s, k, l, j, at);
        at += jv_law_slots((jv_law)l->law);
        j += jv_law_has_current((jv_law)l->law);
    }
    s->standing = true;
    s->turning = turned > 0;
    if (turned)
        fold_again(s);
    *changed = turned;
    return worst_residual(s);
}

void jv_system_currents(jv_system *s) {
    int32_t j = (int32_t)s->net->n_nodes;
    for (size_t k = 0; k < s->net->n_elements; k++) {
        const jv_lean *l = &s->lean[k];
        if (l->law == JV_SERIES)
            series_now(s, k, l, s->heats + l->heat, j);
        j += jv_law_has_current((jv_law)l->law);
    }
}
