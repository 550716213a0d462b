/* levers.c - how far a watch is from its limit, in terms of repairs. SPDX-License-Identifier: MIT
 */
#include "study/levers.h"

#include <math.h>

/* Searches end here: more is no wiring fault but a break (ohm), or no load that a jack can
 * have (times its present one). Judgement. */
static const double most_ohm = 2.0;
static const double most_load = 4.0;
static const double resolution_v = 1e-5;     /* of the volts at the watch */
enum { STEPS = 60, BISECT = 8, NEARER = 6 }; /* every eighth step halves the interval */
enum { MOST_ABREAST = 8 };

/* Conductors between the same two terminals: ohms in line with all of them are these ohms over
 * its share of the current in each, which leaves the shares as they are. */
typedef struct jv_abreast {
    uint32_t element[MOST_ABREAST];
    double share[MOST_ABREAST];
    size_t n;
} jv_abreast;

/* One change at a time: `alter` makes it, `undo` takes it back. */
typedef struct jv_lever {
    const jv_lever_bench *bench;
    const jv_watch *watch;
    void (*alter)(const struct jv_lever *l, double amount);
    void (*undo)(const struct jv_lever *l);
    jv_abreast into;               /* that ohms go into */
    jv_element kept[MOST_ABREAST]; /* as they were */
    jv_status status;
} jv_lever;

/* Volts above the limit with the change made; NAN when there is no operating point. */
static double excess(jv_lever *l, double amount) {
    jv_system *s = l->bench->system;
    jv_point point;
    l->alter(l, amount);
    jv_system_take(s, 0, s->net->n_elements);
    jv_status status = jv_point_glance(s, &point);
    double volts = NAN;
    if (status == JV_ERR_MEMORY)
        l->status = status;
    if (status == JV_OK && point.outcome != JV_POINT_NOT_FOUND)
        volts = jv_watch_seen(&s->net->scene, l->watch, point.v) - l->watch->below.nominal;
    l->undo(l);
    return volts;
}

/* Regula falsi, Illinois form (the end that stays is halved in weight), with bisection where
 * a kink holds it up, between amounts on both sides of the limit. */
static double between(jv_lever *l, double a, double fa, double b, double fb) {
    int side = 0;
    for (int k = 0; k < STEPS; k++) {
        double c = k % BISECT == BISECT - 1 ? 0.5 * (a + b) : (a * fb - b * fa) / (fb - fa);
        double fc = excess(l, c);
        if (isnan(fc))
            return NAN;
        if (fabs(fc) < resolution_v)
            return c;
        if ((fc > 0.0) == (fb > 0.0)) {
            b = c;
            fb = fc;
            if (side == 1)
                fa *= 0.5;
            side = 1;
        } else {
            a = c;
            fa = fc;
            if (side == -1)
                fb *= 0.5;
            side = -1;
        }
    }
    return 0.5 * (a + b);
}

/* The amount at which the watch is at its limit, between `least` (<= 0, better) and `most`
 * (>= 0, worse); NAN when neither end gets it there. */
static double amount_at_limit(jv_lever *l, double least, double most) {
    double now = l->bench->now_v - l->watch->below.nominal;
    /* Far out there may be no operating point: come nearer until there is. */
    double end = now > 0.0 ? most : least, there = excess(l, end);
    for (int k = 0; k < NEARER && isnan(there); k++)
        there = excess(l, end *= 0.5);
    if (isnan(there) || (there > 0.0) == (now > 0.0))
        return NAN;
    return between(l, 0.0, now, end, there);
}

static void add_ohms(const jv_lever *l, double ohm) {
    for (size_t k = 0; k < l->into.n; k++) {
        jv_element *e = &l->bench->system->net->elements[l->into.element[k]];
        double sum = e->r + ohm / l->into.share[k];
        /* Added ohms do not follow the conductor's temperature. */
        if (sum > 0.0 && e->r > 0.0)
            e->r_slope *= e->r / sum;
        e->r = sum;
    }
}

static void take_ohms(const jv_lever *l) {
    for (size_t k = 0; k < l->into.n; k++) {
        jv_element *e = &l->bench->system->net->elements[l->into.element[k]];
        e->r = l->kept[k].r;
        e->r_slope = l->kept[k].r_slope;
    }
}

/* An element and those beside it. Alone it carries all; so it does where a share cannot be told
 * (no ohms, or too many abreast). */
static jv_abreast beside(const jv_net *net, uint32_t element) {
    const jv_element *own = &net->elements[element];
    jv_abreast all = {.n = 0}, alone = {.element = {element}, .share = {1.0}, .n = 1};
    double siemens = 0.0;
    for (uint32_t k = 0; k < net->n_elements; k++) {
        const jv_element *e = &net->elements[k];
        bool along = (e->a == own->a && e->b == own->b) || (e->a == own->b && e->b == own->a);
        if (e->law != JV_SERIES || e->open || e->e != 0.0 || !along)
            continue;
        if (!(e->r > 0.0) || all.n == MOST_ABREAST)
            return alone;
        all.element[all.n] = k;
        all.share[all.n++] = 1.0 / e->r;
        siemens += 1.0 / e->r;
    }
    for (size_t k = 0; k < all.n; k++)
        all.share[k] /= siemens;
    return all.n ? all : alone;
}

/* Share of the current beside it that one element of them carries. */
static double own_share(const jv_abreast *all, uint32_t element) {
    for (size_t k = 0; k < all->n; k++)
        if (all->element[k] == element)
            return all->share[k];
    return 1.0;
}

static bool runs(const jv_net *net, const jv_element *e) {
    return e->law == JV_SINK && !e->open && net->circuit->parts[e->part].kind->is_motor;
}

static void scale_load(const jv_lever *l, double share) {
    jv_net *net = l->bench->system->net;
    for (size_t k = 0; k < net->n_elements; k++) {
        jv_element *e = &net->elements[k];
        if (!runs(net, e))
            continue;
        e->limit *= 1.0 + share;
        e->back *= 1.0 + share;
    }
}

static void restore_load(const jv_lever *l) {
    jv_net *net = l->bench->system->net;
    for (size_t k = 0; k < net->n_elements; k++)
        if (runs(net, &net->elements[k]))
            jv_net_load_part(net, net->elements[k].part);
}

static void lower_charge(const jv_lever *l, double less) {
    const jv_lever_bench *b = l->bench;
    for (size_t k = 0; k < b->n_batteries; k++) {
        b->charge_faults[k].value = fmin(1.0, fmax(0.0, b->charge_now[k] - less));
        jv_net_load_part(b->system->net, b->charge_faults[k].part);
    }
}

static void restore_charge(const jv_lever *l) {
    lower_charge(l, 0.0);
}

/* The element of one side of the way with the most current, upstream of the watch when the
 * way passes the watch, and the ohms of that side. UINT32_MAX when there is none. */
static uint32_t side_element(const jv_lever_bench *b, const jv_watch *w, jv_side side,
                             double *ohms) {
    const jv_way_found *way = b->way;
    int32_t node = side == JV_SIDE_PLUS ? w->plus : w->minus;
    uint32_t best = UINT32_MAX;
    double most = 0.0;
    bool passed = false;
    *ohms = 0.0;
    for (size_t k = 0; k < way->n; k++) {
        const jv_way_step *step = &way->steps[k];
        if (step->side == JV_SIDE_RETURN && step->from == node)
            passed = true;
        if (step->side != side || (side == JV_SIDE_PLUS && passed) ||
            (side == JV_SIDE_RETURN && !passed))
            continue;
        if (side == JV_SIDE_PLUS && step->from == node)
            passed = true;
        if (side == JV_SIDE_PLUS && passed)
            continue;
        if (b->system->net->elements[step->element].law != JV_SERIES)
            continue;
        const jv_abreast all = beside(b->system->net, step->element);
        double current_a = step->current_a / own_share(&all, step->element);
        *ohms += current_a > 0.0 ? step->drop_v / current_a : 0.0;
        if (current_a > most * (1.0 + 1e-9)) {
            most = current_a;
            best = step->element;
        }
    }
    return best;
}

static double ohms_on(const jv_lever_bench *b, const jv_watch *w, jv_side side, jv_status *status) {
    double ohms;
    jv_lever l = {.bench = b, .watch = w, .alter = add_ohms, .undo = take_ohms};
    uint32_t element = side_element(b, w, side, &ohms);
    if (element == UINT32_MAX)
        return NAN;
    l.into = beside(b->system->net, element);
    for (size_t k = 0; k < l.into.n; k++)
        l.kept[k] = b->system->net->elements[l.into.element[k]];
    double found = amount_at_limit(&l, -ohms, most_ohm);
    if (l.status != JV_OK)
        *status = l.status;
    return found;
}

jv_status jv_levers_find(const jv_lever_bench *b, const jv_watch *w, jv_levers *out) {
    out->feed_ohm = out->return_ohm = out->charge = out->load = NAN;
    if (!b->way->n)
        return JV_OK;
    jv_state before = {0};
    jv_status status = jv_state_keep(b->system, &before);
    if (status != JV_OK)
        return status;
    out->feed_ohm = ohms_on(b, w, JV_SIDE_PLUS, &status);
    out->return_ohm = ohms_on(b, w, JV_SIDE_RETURN, &status);
    jv_lever load = {.bench = b, .watch = w, .alter = scale_load, .undo = restore_load};
    out->load = amount_at_limit(&load, -1.0 + 1e-6, most_load);
    if (load.status != JV_OK)
        status = load.status;
    if (b->n_batteries) {
        double least = 0.0, most = 0.0;
        for (size_t k = 0; k < b->n_batteries; k++) {
            least = fmin(least, b->charge_now[k] - 1.0);
            most = fmax(most, b->charge_now[k]);
        }
        jv_lever charge = {.bench = b, .watch = w, .alter = lower_charge, .undo = restore_charge};
        out->charge = amount_at_limit(&charge, least, most);
        if (charge.status != JV_OK)
            status = charge.status;
    }
    jv_state_put_back(b->system, &before);
    jv_state_clear(&before);
    return status;
}
