/* checks.c - readings that a person can take. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include "circuit/kinds.h"

#include <math.h>
#include <string.h>

enum { MOST_RUNS = 4 };
/* A part is worth a drop reading when it carries this much in the run, A; at rest, A. */
static const double run_a = 0.5, rest_a = 0.005;
/* Share of the largest current from which a terminal belongs to the trunk (judgement). */
static const double trunk_share = 0.6;

static bool same_off(const jv_check *a, const jv_check *b) {
    return a->n_off == b->n_off &&
           (!a->n_off || memcmp(a->off, b->off, a->n_off * sizeof *a->off) == 0);
}

static bool same(const jv_check *a, const jv_check *b) {
    bool probes = a->plus == b->plus && a->minus == b->minus;
    bool by_part = a->kind == JV_CHECK_AMPS || a->kind == JV_CHECK_LOOK;
    return a->kind == b->kind && a->setup == b->setup && a->loading == b->loading &&
           (by_part ? a->part == b->part : probes) && same_off(a, b);
}

static bool is_jack_place(const jv_finder *f, const jv_check *v) {
    (void)f;
    return v->place == JV_PLACE_JACK || v->far_place == JV_PLACE_JACK ||
           (v->care & JV_CARE_SUPPORT && v->n_off && v->setup == JV_SETUP_REST);
}

jv_status jv_check_add(jv_finder *f, const jv_check *view, size_t setup, const jv_look *look,
                       size_t *check) {
    for (size_t k = 0; k < f->n_checks; k++)
        if (same(&f->checks[k].view, view)) {
            if (check)
                *check = k;
            return JV_OK;
        }
    if (f->n_checks == f->cap_checks) {
        size_t wanted = f->cap_checks ? 2 * f->cap_checks : 128;
        jv_find_check *moved = jv_resize(f->checks, wanted, sizeof *moved);
        if (!moved)
            return JV_ERR_MEMORY;
        f->checks = moved;
        f->cap_checks = wanted;
    }
    jv_find_check *c = &f->checks[f->n_checks];
    memset(c, 0, sizeof *c);
    c->view = *view;
    c->setup = setup;
    c->sound = NAN;
    c->look = look ? jv_setup_look(&f->setups[setup], look) : 0;
    jv_check_effort(f, c);
    c->view.text = jv_find_check_text(f, c);
    if (c->look == JV_FIND_NONE || !c->view.text)
        return JV_ERR_MEMORY;
    c->skipped = (f->options.no_clamp && view->kind == JV_CHECK_AMPS) ||
                 (f->options.no_ohms && view->kind == JV_CHECK_OHMS) ||
                 (f->options.owner && is_jack_place(f, &c->view));
    if (check)
        *check = f->n_checks;
    f->n_checks++;
    return JV_OK;
}

static jv_check view_of(const jv_finder *f, jv_check_kind kind, size_t setup) {
    jv_check v;
    memset(&v, 0, sizeof v);
    v.kind = kind;
    v.loading = v.plus = v.minus = v.part = JV_FIND_NONE;
    v.setup = JV_SETUP_REST;
    if (setup != JV_FIND_NONE) {
        const jv_find_setup *s = &f->setups[setup];
        v.setup = s->kind;
        v.loading = s->kind == JV_SETUP_RUN ? s->loading : JV_FIND_NONE;
        v.off = s->off_public;
        v.n_off = s->n_off_public;
    }
    return v;
}

static void look_between(jv_look *look, jv_look_kind kind, int32_t plus, int32_t minus) {
    memset(look, 0, sizeof *look);
    look->kind = (uint8_t)kind;
    look->metered = true;
    look->motor = -1;
    look->index[0] = plus;
    look->weight[0] = 1.0;
    look->index[1] = minus;
    look->weight[1] = -1.0;
    look->n = 2;
}

jv_status jv_check_volts(jv_finder *f, size_t setup, int32_t plus, int32_t minus, size_t part,
                         size_t *check) {
    jv_look look;
    if (plus < 0 || minus < 0 || plus == minus || !f->setups[setup].usable)
        return JV_OK;
    jv_check v = view_of(f, JV_CHECK_VOLTS, setup);
    v.plus = (size_t)plus;
    v.minus = (size_t)minus;
    v.part = part;
    look_between(&look, JV_LOOK_VOLTS, plus, minus);
    return jv_check_add(f, &v, setup, &look, check);
}

jv_status jv_check_amps(jv_finder *f, size_t setup, size_t element, size_t part, double sign,
                        size_t *check) {
    const jv_find_setup *s = &f->setups[setup];
    jv_look look;
    if (!s->usable || s->system->current[element] < 0)
        return JV_OK;
    jv_check v = view_of(f, JV_CHECK_AMPS, setup);
    v.part = part;
    memset(&look, 0, sizeof look);
    look.kind = JV_LOOK_AMPS;
    look.metered = true;
    look.motor = -1;
    look.index[0] = s->system->current[element];
    look.weight[0] = sign;
    look.n = 1;
    return jv_check_add(f, &v, setup, &look, check);
}

jv_status jv_check_ohms(jv_finder *f, const size_t *off, size_t n_off, int32_t p, int32_t q,
                        size_t part, size_t *check) {
    jv_look look;
    size_t setup;
    if (p < 0 || q < 0 || p == q)
        return JV_OK;
    jv_status status = jv_setup_get(f, JV_SETUP_ISOLATED, JV_FIND_NONE, off, n_off, p, q, &setup);
    if (status != JV_OK || !f->setups[setup].usable)
        return status;
    jv_check v = view_of(f, JV_CHECK_OHMS, setup);
    v.plus = (size_t)p;
    v.minus = (size_t)q;
    v.part = part;
    look_between(&look, JV_LOOK_OHMS, p, q);
    look.metered = false;
    look.full = f->meter.ohms.full_scale > 0.0 ? f->meter.ohms.full_scale : 400.0;
    /* A hand meter changes its range by itself up to some megohms (from memory). */
    look.full = fmax(look.full, 4e6);
    return jv_check_add(f, &v, setup, &look, check);
}

jv_status jv_check_looking(jv_finder *f, size_t part, size_t *check) {
    jv_check v = view_of(f, JV_CHECK_LOOK, JV_FIND_NONE);
    v.part = part;
    return jv_check_add(f, &v, f->rest, NULL, check);
}

/* --- what is listed --- */

static bool public_node(const jv_finder *f, int32_t t) {
    return t >= 0 && (size_t)t < f->c->n_terminals;
}

/* Drops across everything in the way of the current, plus probe on the higher side. */
static jv_status drops(jv_finder *f, size_t setup, double least_a) {
    jv_find_setup *s = &f->setups[setup];
    jv_status status = JV_OK;
    for (size_t k = 0; k < s->net->n_elements && status == JV_OK; k++) {
        const jv_element *e = &s->net->elements[k];
        const jv_part *p = &f->c->parts[e->part];
        if (e->law != JV_SERIES || p->kind->is_source || s->system->current[k] < 0)
            continue;
        double i = s->x[s->system->current[k]];
        if (fabs(i) < least_a || !public_node(f, e->a) || !public_node(f, e->b))
            continue;
        status =
            jv_check_volts(f, setup, i > 0.0 ? e->a : e->b, i > 0.0 ? e->b : e->a, e->part, NULL);
    }
    return status;
}

/* Bonds of a frame end inside it: from bond to bond instead. */
static jv_status frame_drops(jv_finder *f, size_t setup) {
    jv_status status = JV_OK;
    for (size_t i = 0; i < f->c->n_parts; i++) {
        const jv_part *p = &f->c->parts[i];
        size_t n = 0;
        if (p->kind != &jv_kind_frame)
            continue;
        const jv_slot *points = jv_part_entries(f->c, p, 0, &n);
        for (size_t a = 0; a < n; a++)
            for (size_t b = a + 1; b < n && status == JV_OK; b++) {
                const double *x = f->setups[setup].x;
                bool turned = x[points[a].index] < x[points[b].index];
                status = jv_check_volts(f, setup, points[turned ? b : a].index,
                                        points[turned ? a : b].index, i, NULL);
            }
    }
    return status;
}

/* Sources, controllers, loads and motors: their two terminals are keys 0 and 1. */
static jv_status terminals(jv_finder *f, size_t setup) {
    jv_status status = JV_OK;
    for (size_t i = 0; i < f->c->n_parts && status == JV_OK; i++) {
        const jv_part *p = &f->c->parts[i];
        bool running = f->setups[setup].kind == JV_SETUP_RUN;
        bool two = p->kind->is_source || p->kind == &jv_kind_controller ||
                   (p->kind == &jv_kind_load && !running);
        for (size_t m = 0; m < f->setups[setup].n_motors; m++)
            two = two || f->setups[setup].net->elements[f->setups[setup].motor[m]].part == i;
        int32_t a = two ? jv_part_terminal(f->c, p, 0) : -1;
        int32_t b = two ? jv_part_terminal(f->c, p, 1) : -1;
        if (a >= 0 && b >= 0 && f->setups[setup].x[a] < f->setups[setup].x[b] && running &&
            p->kind->is_motor)
            status = jv_check_volts(f, setup, b, a, i, NULL);
        else
            status = jv_check_volts(f, setup, a, b, i, NULL);
    }
    return status;
}

/* Clamps: each source, and each motor by the conductor at its plus terminal. */
static jv_status clamps(jv_finder *f, size_t setup) {
    jv_find_setup *s = &f->setups[setup];
    jv_status status = JV_OK;
    for (size_t k = 0; k < s->net->n_elements && status == JV_OK; k++) {
        const jv_part *p = &f->c->parts[s->net->elements[k].part];
        if (p->kind->is_source)
            status = jv_check_amps(f, setup, k, s->net->elements[k].part, -1.0, NULL);
    }
    for (size_t m = 0; m < s->n_motors && status == JV_OK; m++) {
        const jv_element *e = &s->net->elements[s->motor[m]];
        for (size_t k = 0; k < s->net->n_elements; k++) {
            const jv_element *o = &s->net->elements[k];
            if (o->law != JV_SERIES || o->open || (o->b != e->a && o->a != e->a))
                continue;
            double i = s->x[s->system->current[k]];
            status = jv_check_amps(f, setup, k, e->part, i < 0.0 ? -1.0 : 1.0, NULL);
            break;
        }
    }
    return status;
}

static const jv_part *first_of(const jv_circuit *c, const jv_part_kind *kind) {
    for (size_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].kind == kind)
            return &c->parts[i];
    return NULL;
}

/* Long spans from the battery: they split the way in halves. */
static jv_status spans(jv_finder *f, size_t setup) {
    const jv_part *battery = first_of(f->c, &jv_kind_battery);
    jv_find_setup *s = &f->setups[setup];
    jv_status status = JV_OK;
    double most = 0.0;
    if (!battery)
        return JV_OK;
    int32_t plus = jv_part_terminal(f->c, battery, 0), minus = jv_part_terminal(f->c, battery, 1);
    double half = 0.5 * (s->x[plus] + s->x[minus]);
    for (size_t k = 0; k < s->net->n_elements; k++)
        if (s->system->current[k] >= 0)
            most = fmax(most, fabs(s->x[s->system->current[k]]));
    for (size_t k = 0; k < s->net->n_elements && status == JV_OK; k++) {
        const jv_element *e = &s->net->elements[k];
        bool trunk = e->law == JV_SERIES && s->system->current[k] >= 0 &&
                     fabs(s->x[s->system->current[k]]) >= trunk_share * most;
        bool motor = false;
        for (size_t m = 0; m < s->n_motors; m++)
            motor = motor || s->motor[m] == k;
        if (f->c->parts[e->part].kind->is_source || (!trunk && !motor))
            continue;
        const int32_t ends[2] = {e->a, e->b};
        for (size_t t = 0; t < 2 && status == JV_OK; t++) {
            if (!public_node(f, ends[t]) || ends[t] == plus || ends[t] == minus)
                continue;
            bool high = s->x[ends[t]] > half;
            status = jv_check_volts(f, setup, high ? plus : ends[t], high ? ends[t] : minus,
                                    JV_FIND_NONE, NULL);
        }
    }
    return status;
}

static jv_status run_checks(jv_finder *f, size_t setup) {
    jv_status status = terminals(f, setup);
    if (status == JV_OK)
        status = clamps(f, setup);
    if (status == JV_OK)
        status = drops(f, setup, run_a);
    if (status == JV_OK)
        status = frame_drops(f, setup);
    if (status == JV_OK)
        status = spans(f, setup);
    return status;
}

/* Amps that the battery gives in a setup at rest. */
static jv_status battery_amps(jv_finder *f, size_t setup) {
    jv_find_setup *s = &f->setups[setup];
    jv_status status = JV_OK;
    for (size_t k = 0; s->usable && k < s->net->n_elements && status == JV_OK; k++)
        if (f->c->parts[s->net->elements[k].part].kind == &jv_kind_battery)
            status = jv_check_amps(f, setup, k, s->net->elements[k].part, -1.0, NULL);
    return status;
}

/* Each load unplugged: what is wrong in it goes with it, what is wrong elsewhere stays. */
static jv_status loads_off(jv_finder *f) {
    const jv_find_setup *rest = &f->setups[f->rest];
    size_t n = rest->n_off_public, setup, loading = rest->loading;
    jv_status status = JV_OK;
    size_t *off = jv_alloc(n + 1, sizeof *off);
    if (!off)
        return JV_ERR_MEMORY;
    if (n)
        memcpy(off, rest->off_public, n * sizeof *off);
    for (size_t i = 0; i < f->c->n_parts && status == JV_OK; i++) {
        const jv_part *p = &f->c->parts[i];
        if (p->kind != &jv_kind_load)
            continue;
        off[n] = i;
        status = jv_setup_get(f, JV_SETUP_REST, loading, off, n + 1, -1, -1, &setup);
        if (status == JV_OK)
            status = jv_check_volts(f, setup, jv_part_terminal(f->c, p, 0),
                                    jv_part_terminal(f->c, p, 1), i, NULL);
        if (status == JV_OK)
            status = battery_amps(f, setup);
    }
    jv_free(off);
    return status;
}

static jv_status looks(jv_finder *f) {
    jv_status status = JV_OK;
    for (size_t i = 0; i < f->c->n_parts && status == JV_OK; i++) {
        const jv_part_kind *k = f->c->parts[i].kind;
        if (k == &jv_kind_contact || k == &jv_kind_connector)
            status = jv_check_looking(f, i, NULL);
    }
    return status;
}

jv_status jv_checks_make(jv_finder *f) {
    jv_status status = terminals(f, f->rest);
    if (status == JV_OK)
        status = clamps(f, f->rest);
    if (status == JV_OK)
        status = drops(f, f->rest, rest_a);
    for (size_t k = 0; k < f->n_setups && status == JV_OK; k++)
        if (f->setups[k].kind == JV_SETUP_RUN && f->setups[k].usable)
            status = run_checks(f, k);
    if (status == JV_OK)
        status = jv_checks_sensors(f);
    if (status == JV_OK)
        status = loads_off(f);
    if (status == JV_OK)
        status = looks(f);
    return status;
}

/* --- own readings --- */

static bool is_battery(const jv_finder *f, size_t part) {
    return f->c->parts[part].kind == &jv_kind_battery;
}

/* How well a check fits as the own reading of a part that fails in this way; 0 = not at all. */
static int fitness(const jv_finder *f, const jv_find_check *c, const jv_fault *x) {
    const jv_check *v = &c->view;
    const jv_part_kind *kind = f->c->parts[x->part].kind;
    bool inside = x->way == JV_WAY_INSIDE || x->way == JV_WAY_LEAK;
    bool amps = x->way == JV_WAY_DRAG || x->way == JV_WAY_STUCK || x->way == JV_WAY_LEAK ||
                (x->way == JV_WAY_INSIDE && kind->is_motor);
    if (v->part != x->part || v->kind == JV_CHECK_LOOK)
        return 0;
    if (v->setup == JV_SETUP_ISOLATED)
        return 1;
    int points = 2;
    if ((v->kind == JV_CHECK_AMPS) == amps)
        points += 4;
    if (v->setup == JV_SETUP_RUN)
        points += 2 + (int)f->setups[c->setup].n_motors;
    if (x->way == JV_WAY_CHARGE && v->setup == JV_SETUP_REST)
        points += 16;
    bool unplugs = kind == &jv_kind_load || kind == &jv_kind_hall;
    if (inside && unplugs && v->n_off && v->off[v->n_off - 1] == x->part)
        points += 16;                        /* unplugged: it is inside, or it is not */
    if (x->pin && v->plus != JV_FIND_NONE) { /* the pin, output or bond that is meant */
        const jv_part *p = &f->c->parts[x->part];
        bool at = false;
        for (uint32_t i = 0; i < p->n_slots; i++) {
            const jv_slot *s = &f->c->slots[p->first_slot + i];
            if (s->text && strcmp(s->text, x->pin) == 0)
                at = at || s->index == (int32_t)v->plus || s->index == (int32_t)v->minus ||
                     s->second == (int32_t)v->plus || s->second == (int32_t)v->minus;
        }
        if (!at)
            return 0;
    }
    return points;
}

static size_t best_own(const jv_finder *f, const jv_fault *x, bool rest_only, bool run_only) {
    size_t best = JV_FIND_NONE;
    int most = 0;
    for (size_t k = 0; k < f->n_checks; k++) {
        const jv_find_check *c = &f->checks[k];
        int points = c->skipped ? 0 : fitness(f, c, x);
        if ((rest_only && c->view.setup != JV_SETUP_REST) ||
            (run_only && c->view.setup != JV_SETUP_RUN))
            continue;
        if (points > most) {
            most = points;
            best = k;
        }
    }
    return best;
}

/* Amps that the battery gives in the heaviest run: a load that is in no file shows there. */
static size_t total_amps(const jv_finder *f, size_t battery) {
    size_t best = JV_FIND_NONE;
    for (size_t k = 0; k < f->n_checks; k++) {
        const jv_find_check *c = &f->checks[k];
        if (c->view.kind == JV_CHECK_AMPS && c->view.part == battery && !c->skipped &&
            c->view.setup == JV_SETUP_RUN &&
            (best == JV_FIND_NONE ||
             f->setups[c->setup].n_motors > f->setups[f->checks[best].setup].n_motors))
            best = k;
    }
    return best;
}

/* Without a clamp the drop along the cable that carries most is the ammeter: its ohms are known. */
static size_t drop_as_amps(const jv_finder *f) {
    size_t best = JV_FIND_NONE;
    double most = 0.0;
    for (size_t k = 0; k < f->n_checks; k++) {
        const jv_find_check *c = &f->checks[k];
        if (c->view.part == JV_FIND_NONE || c->view.kind != JV_CHECK_VOLTS || c->skipped ||
            c->view.setup != JV_SETUP_RUN || f->c->parts[c->view.part].kind != &jv_kind_cable)
            continue;
        const double *x = f->setups[c->setup].x;
        double drop = fabs(x[c->view.plus] - x[c->view.minus]);
        if (drop > most) {
            most = drop;
            best = k;
        }
    }
    return best;
}

/* Volts that a regulator holds: they tell a meter that reads low from a low battery. */
static size_t known_volts(const jv_finder *f) {
    for (size_t k = 0; k < f->n_checks; k++) {
        const jv_find_check *c = &f->checks[k];
        for (size_t i = 0; c->setup == f->rest && c->view.kind == JV_CHECK_VOLTS && !c->skipped &&
                           i < f->c->n_parts;
             i++) {
            enum { MINUS_KEY = 1, OUT_KEY = 2 };
            const jv_part *p = &f->c->parts[i];
            if (p->kind == &jv_kind_sensor_supply &&
                (int32_t)c->view.plus == jv_part_terminal(f->c, p, OUT_KEY) &&
                (int32_t)c->view.minus == jv_part_terminal(f->c, p, MINUS_KEY))
                return k;
        }
    }
    return JV_FIND_NONE;
}

/* A battery is blamed only after its volts at rest and in a run (weak and discharged look alike
 * but for both), after the amps that it gives, and by a meter that reads known volts right. */
static void own_of_battery(jv_finder *f, jv_find_suspect *s, size_t which) {
    if (s->view.n == 1) {
        s->own[0] = best_own(f, &s->fault[0], true, false);
        s->own[1] = best_own(f, &s->fault[0], false, true);
    }
    s->own[2] = total_amps(f, s->view.part[which]);
    if (s->own[2] == JV_FIND_NONE)
        s->own[2] = drop_as_amps(f);
    if (s->fault[which].way == JV_WAY_CHARGE)
        s->own[3] = known_volts(f);
}

/* Amps of the battery with this load unplugged. */
static size_t amps_without(const jv_finder *f, size_t load) {
    for (size_t k = 0; k < f->n_checks; k++) {
        const jv_check *v = &f->checks[k].view;
        if (v->kind == JV_CHECK_AMPS && v->setup == JV_SETUP_REST && v->n_off &&
            v->off[v->n_off - 1] == load && !f->checks[k].skipped)
            return k;
    }
    return JV_FIND_NONE;
}

void jv_checks_own(jv_finder *f) {
    for (size_t k = 0; k + 1 < f->n_suspects; k++) {
        jv_find_suspect *s = &f->suspects[k];
        s->own[0] = best_own(f, &s->fault[0], false, false);
        s->own[1] = s->view.n == 2 ? best_own(f, &s->fault[1], false, false) : JV_FIND_NONE;
        bool draws = s->fault[0].way == JV_WAY_INSIDE || s->fault[0].way == JV_WAY_LEAK;
        size_t without = amps_without(f, s->view.part[0]);
        if (s->view.n == 1 && draws && without != JV_FIND_NONE)
            s->own[0] = without;
        for (size_t t = 0; t < s->view.n; t++)
            if (is_battery(f, s->view.part[t]))
                own_of_battery(f, s, t);
            else if (f->c->parts[s->view.part[t]].kind->is_source)
                s->own[3] = known_volts(f);
    }
}
