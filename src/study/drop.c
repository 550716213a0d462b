/* drop.c - the steady study: one operating point a case. SPDX-License-Identifier: MIT */
#include "jackvolt/drop.h"

#include "circuit/fault.h"
#include "circuit/kinds.h"
#include "circuit/parts/battery.h"
#include "study/doubt.h"
#include "study/levers.h"
#include "study/remarks.h"
#include "study/watch.h"
#include "study/way.h"

#include <math.h>
#include <string.h>

typedef struct jv_drop_owner {
    jv_drop result; /* first: the public pointer is the owner's */
    jv_arena arena;
    jv_drop_case *cases;
} jv_drop_owner;

/* All that one case needs while it is worked on. */
typedef struct jv_case_work {
    jv_drop_owner *owner;
    const jv_circuit *c;
    const jv_case *loading;
    jv_drop_case *out;
    jv_fault *faults; /* the user's, then for batteries: JV_WAY_CHARGE of the levers, JV_WAY_WEAK
                         of doubt */
    size_t n_user, n_charge, n_doubt;
    double *charge_now;
    jv_net *net;
    jv_system *system;
    jv_point point;
    jv_way_found way;
} jv_case_work;

/* The charge of a battery, where its figures follow from it. */
static bool known_charge(const jv_scene *s, const jv_part *p, double *charge) {
    jv_battery_model model;
    if (p->kind != &jv_kind_battery || jv_battery_of_scene(s, p, &model) != JV_OK)
        return false;
    *charge = model.charge;
    return !model.fixed_voltage;
}

/* The user's faults, and room to move the charge of each battery that has one. */
static jv_status gather_faults(jv_case_work *w, const jv_drop_options *options) {
    size_t n = 0;
    const jv_fault *given = options->faults ? jv_faults_list(options->faults, &n) : NULL;
    w->faults = jv_zalloc(n + 2 * w->c->n_parts + 1, sizeof *w->faults);
    w->charge_now = jv_zalloc(w->c->n_parts + 1, sizeof *w->charge_now);
    if (!w->faults || !w->charge_now)
        return JV_ERR_MEMORY;
    if (n)
        memcpy(w->faults, given, n * sizeof *given);
    w->n_user = n;
    jv_scene scene = {0};
    scene.circuit = w->c;
    scene.loading = w->loading;
    scene.faults = w->faults;
    scene.n_faults = n;
    scene.ambient_c = w->loading->has_ambient ? w->loading->ambient.nominal : w->c->ambient.nominal;
    for (size_t i = 0; i < w->c->n_parts && !options->no_levers; i++) {
        double charge;
        if (!known_charge(&scene, &w->c->parts[i], &charge))
            continue;
        jv_fault *f = &w->faults[n + w->n_charge];
        f->part = (uint32_t)i;
        f->way = JV_WAY_CHARGE;
        f->value = charge;
        f->to = -1;
        w->charge_now[w->n_charge++] = charge;
    }
    w->n_doubt = jv_doubt_batteries(&scene, w->faults + n + w->n_charge);
    return JV_OK;
}

/* Figures of a part from its element with the most current. */
static void part_figures(const jv_case_work *w, size_t index, jv_drop_part *d) {
    const jv_net *net = w->net;
    d->drop_v = d->current_a = d->resistance_ohm = d->temperature_c = NAN;
    d->share = d->delivers_a = d->open_circuit_v = d->speed_share = d->load_a = NAN;
    d->power_w = 0.0;
    uint32_t main = UINT32_MAX;
    for (uint32_t k = net->first[index]; k < net->first[index + 1]; k++) {
        const jv_element *e = &net->elements[k];
        double i = w->point.i[k], v = w->point.v[e->a] - w->point.v[e->b];
        if (e->law == JV_REGULATOR)
            d->power_w +=
                (i + fmin(1.0, v) * e->quiescent) * v - i * (w->point.v[e->c] - w->point.v[e->b]);
        else if (e->law == JV_SERIES)
            d->power_w += e->open ? 0.0 : i * (e->e + w->point.r[k] * i);
        else
            d->power_w += i * v;
        if (main == UINT32_MAX || fabs(i) > fabs(w->point.i[main]))
            main = k;
    }
    if (w->c->parts[index].kind == &jv_kind_relay)
        main = net->first[index]; /* its contact */
    if (main == UINT32_MAX)
        return;
    const jv_element *e = &net->elements[main];
    double i = w->point.i[main], v = w->point.v[e->a] - w->point.v[e->b];
    bool source = w->c->parts[index].kind->is_source;
    d->current_a = i;
    d->drop_v = v;
    if (e->law == JV_REGULATOR)
        d->drop_v = w->point.v[e->a] - w->point.v[e->c];
    if (e->law == JV_SERIES && !e->open) {
        d->resistance_ohm = w->point.r[main];
        if (!source)
            d->drop_v = w->point.r[main] * i;
        d->temperature_c = e->temperature_c;
    }
    if (source) {
        d->delivers_a = -i;
        d->open_circuit_v = e->e;
        if (e->law == JV_SOURCE)
            d->resistance_ohm = e->r;
    }
}

/* The volts that a motor's plate speaks of. */
static double rated_volts(const jv_scene *s, const jv_part *p) {
    static const double usual_v = 12.0; /* design default of the key */
    for (unsigned k = 0; k < p->kind->n_keys; k++)
        if (strcmp(p->kind->keys[k].name, "rated_voltage") == 0)
            return jv_scene_value(s, p, k, usual_v);
    return usual_v;
}

static void motor_figures(const jv_case_work *w, size_t index, jv_drop_part *d) {
    const jv_part *p = &w->c->parts[index];
    const jv_element *e = &w->net->elements[w->net->first[index]];
    if (!p->kind->is_motor || e->open)
        return;
    double i = w->point.i[w->net->first[index]];
    d->load_a = isinf(e->limit) ? NAN : e->limit;
    d->stalled = isinf(e->limit) || w->system->mode[w->net->first[index]] == JV_MODE_LINEAR;
    /* Speed follows the back EMF: (V - I R)/(Vr - I R) at the same load (theory M1). */
    double rated = rated_volts(&w->net->scene, p) - fabs(i) * e->r;
    d->speed_share = 0.0;
    if (!d->stalled)
        d->speed_share = rated > 0.0 ? (fabs(d->drop_v) - fabs(i) * e->r) / rated : NAN;
}

static jv_status fill_parts(jv_case_work *w) {
    jv_drop_part *parts = jv_arena_take(&w->owner->arena, w->c->n_parts + 1, sizeof *parts);
    double *v = jv_arena_take(&w->owner->arena, w->c->n_terminals + 1, sizeof *v);
    if (!parts || !v)
        return JV_ERR_MEMORY;
    memcpy(v, w->point.v, w->c->n_terminals * sizeof *v);
    for (size_t i = 0; i < w->c->n_parts; i++) {
        parts[i] = (jv_drop_part){0};
        part_figures(w, i, &parts[i]);
        motor_figures(w, i, &parts[i]);
    }
    /* Every loss on the way adds to its part's share. */
    for (size_t k = 0; k < w->way.n; k++) {
        const jv_way_step *s = &w->way.steps[k];
        jv_drop_part *d = &parts[w->net->elements[s->element].part];
        double share = s->drop_v / w->way.lost_v;
        d->share = isnan(d->share) ? share : d->share + share;
        d->side = s->side;
    }
    w->out->parts = parts;
    w->out->terminal_v = v;
    return JV_OK;
}

static jv_status fill_way(jv_case_work *w, uint32_t load) {
    jv_drop_case *out = w->out;
    out->load = w->c->n_parts;
    if (!w->way.n)
        return JV_OK;
    jv_drop_step *steps = jv_arena_alloc(&w->owner->arena, w->way.n, sizeof *steps);
    if (!steps)
        return JV_ERR_MEMORY;
    const jv_element *e = &w->net->elements[load];
    double foot = w->point.v[w->point.i[load] < 0.0 ? e->a : e->b];
    for (size_t k = 0; k < w->way.n; k++) {
        const jv_way_step *s = &w->way.steps[k];
        steps[k].part = w->net->elements[s->element].part;
        steps[k].from = (size_t)s->from;
        steps[k].to = (size_t)s->to;
        steps[k].drop_v = s->drop_v;
        steps[k].current_a = s->current_a;
        steps[k].level_v = w->point.v[s->to] - foot;
        steps[k].side = s->side;
    }
    out->steps = steps;
    out->n_steps = w->way.n;
    out->load = e->part;
    out->source_v = w->way.source_v;
    out->load_v = w->way.load_v;
    out->lost_v = w->way.lost_v;
    return JV_OK;
}

/* What a watch sees, before doubt. */
static void fill_watch(const jv_case_work *w, const jv_watch *watch, jv_drop_watch *d) {
    d->name = watch->name;
    d->limit_v = watch->below.nominal;
    d->assumed = watch->assumed;
    d->basis = watch->basis;
    d->levers.feed_ohm = d->levers.return_ohm = d->levers.charge = d->levers.load = NAN;
    d->seen_v = w->out->converged ? jv_watch_seen(&w->net->scene, watch, w->point.v) : NAN;
    d->margin_v = d->seen_v - d->limit_v;
    d->doubt_low_v = d->doubt_high_v = d->seen_v;
    if (!jv_watch_counts(watch, w->out->running))
        d->verdict = JV_NOT_WATCHED;
    else if (!w->out->converged)
        d->verdict = JV_VERDICT_UNKNOWN;
    else
        d->verdict = d->margin_v < 0.0 ? JV_TRIPS : JV_HOLDS;
}

/* A verdict that turns round within what assumed ohms may be is none. */
static jv_status doubt_watches(jv_case_work *w, jv_drop_watch *list) {
    double *low = jv_arena_alloc(&w->owner->arena, w->c->n_watches + 1, sizeof *low);
    double *high = jv_arena_alloc(&w->owner->arena, w->c->n_watches + 1, sizeof *high);
    if (!low || !high)
        return JV_ERR_MEMORY;
    const jv_doubt doubt = {w->system, w->faults + w->n_user + w->n_charge, w->n_doubt};
    jv_status status = jv_doubt_find(&doubt, low, high);
    for (size_t k = 0; k < w->c->n_watches && status == JV_OK; k++) {
        jv_drop_watch *d = &list[k];
        d->doubt_low_v = fmin(d->seen_v, low[k]);
        d->doubt_high_v = fmax(d->seen_v, high[k]);
        if ((d->verdict == JV_HOLDS && d->doubt_low_v < d->limit_v) ||
            (d->verdict == JV_TRIPS && d->doubt_high_v >= d->limit_v))
            d->verdict = JV_VERDICT_UNKNOWN;
    }
    return status;
}

static jv_status fill_watches(jv_case_work *w, const jv_drop_options *options) {
    jv_drop_watch *list = jv_arena_alloc(&w->owner->arena, w->c->n_watches + 1, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    jv_lever_bench bench = {w->system,     &w->way,     w->faults + w->n_user,
                            w->charge_now, w->n_charge, NAN};
    for (size_t k = 0; k < w->c->n_watches; k++)
        fill_watch(w, &w->c->watches[k], &list[k]);
    w->out->watches = list;
    w->out->n_watches = w->c->n_watches;
    jv_status status = w->out->converged ? doubt_watches(w, list) : JV_OK;
    for (size_t k = 0; k < w->c->n_watches && status == JV_OK; k++) {
        if (list[k].verdict == JV_TRIPS || list[k].verdict == JV_VERDICT_UNKNOWN)
            w->out->finding = true;
        bench.now_v = list[k].seen_v;
        if (list[k].verdict != JV_NOT_WATCHED && !options->no_levers && w->out->converged)
            status = jv_levers_find(&bench, &w->c->watches[k], &list[k].levers);
    }
    return status;
}

/* A battery that the file gives no ohms; NULL when there is none. */
static const char *ideal_battery(const jv_net *net) {
    for (size_t k = 0; k < net->n_elements; k++) {
        const jv_element *e = &net->elements[k];
        if (e->law == JV_SERIES && !e->open && e->e > 0.0 && e->r <= 0.0)
            return net->circuit->parts[e->part].name;
    }
    return NULL;
}

static const char *trouble_text(jv_case_work *w) {
    jv_text t = {0};
    const char *ideal = ideal_battery(w->net);
    if (w->point.outcome == JV_POINT_CHATTERS)
        jv_text_addf(
            &t, "\"%s\" finds no state that lasts: it lets go and pulls in again, over and over",
            w->point.where);
    else if (ideal)
        jv_text_addf(&t,
                     "nothing limits the current of \"%s\", which has no ohms in the file: give it "
                     "its resistance, or take the short away",
                     ideal);
    else
        jv_text_addf(&t, "no operating point was found (residual %.3g A%s%s)", w->point.residual_a,
                     w->point.where ? ", near " : "", w->point.where ? w->point.where : "");
    const char *copy = jv_arena_copy(&w->owner->arena, jv_text_str(&t), t.length);
    jv_text_clear(&t);
    return copy ? copy : "no operating point was found";
}

static jv_status solve_case(jv_case_work *w, const jv_drop_options *options) {
    jv_status status = gather_faults(w, options);
    if (status == JV_OK)
        status = jv_net_build(w->c, w->loading, w->faults, w->n_user + w->n_charge + w->n_doubt,
                              &w->net);
    if (status == JV_OK)
        status = jv_system_new(w->net, &w->system);
    if (status == JV_OK)
        status = jv_point_first(w->system, &w->point);
    if (status == JV_ERR_UNSOLVED)
        status = JV_OK; /* the case tells */
    if (status != JV_OK)
        return status;
    jv_drop_case *out = w->out;
    out->name = w->loading->name;
    out->converged =
        w->point.outcome == JV_POINT_FOUND || w->point.outcome == JV_POINT_CANNOT_DELIVER;
    out->residual_a = w->point.residual_a;
    out->power_error_w = w->point.power_error_w;
    out->deliverable = w->point.power_share;
    out->running = w->loading->n_runs > 0;
    if (!out->converged) {
        out->trouble = trouble_text(w);
        out->finding = true;
    }
    bool motor;
    uint32_t load = jv_way_load(w->net, &w->point, &motor);
    if (out->converged)
        status = jv_way_find(w->net, &w->point, load, &w->way);
    if (status == JV_OK)
        status = fill_way(w, load);
    if (status == JV_OK)
        status = fill_parts(w);
    if (status == JV_OK)
        status = jv_remarks_gather(w->net, &w->point, &w->owner->arena, out);
    /* Last: the levers move the system about. */
    if (status == JV_OK)
        status = fill_watches(w, options);
    return status;
}

static jv_status run_case(jv_drop_owner *owner, const jv_circuit *c, const jv_case *loading,
                          const jv_drop_options *options, jv_drop_case *out) {
    jv_case_work w = {0};
    w.owner = owner;
    w.c = c;
    w.loading = loading;
    w.out = out;
    jv_status status = solve_case(&w, options);
    jv_way_free(&w.way);
    jv_system_free(&w.system);
    jv_net_free(&w.net);
    jv_free(w.faults);
    jv_free(w.charge_now);
    return status;
}

jv_status jv_drop_run(const jv_circuit *c, const jv_drop_options *options, jv_drop **out) {
    static const jv_drop_options usual = {0};
    if (!options)
        options = &usual;
    if (options->only_case && jv_circuit_find_case(c, options->only_case) == c->n_cases)
        return JV_ERR_UNKNOWN;
    jv_drop_owner *owner = jv_zalloc(1, sizeof *owner);
    if (!owner)
        return JV_ERR_MEMORY;
    jv_drop *drop = &owner->result;
    owner->cases = jv_arena_alloc(&owner->arena, c->n_cases + 1, sizeof *owner->cases);
    jv_status status = owner->cases ? JV_OK : JV_ERR_MEMORY;
    for (size_t k = 0; k < c->n_cases && status == JV_OK; k++) {
        if (options->only_case && strcmp(options->only_case, c->cases[k].name) != 0)
            continue;
        status = run_case(owner, c, &c->cases[k], options, &owner->cases[drop->n_cases]);
        if (owner->cases[drop->n_cases].finding)
            drop->finding = true;
        drop->n_cases++;
    }
    drop->circuit = c;
    drop->cases = owner->cases;
    if (status != JV_OK) {
        jv_drop_free(&drop);
        return status;
    }
    *out = drop;
    return JV_OK;
}

void jv_drop_free(jv_drop **drop) {
    if (!drop || !*drop)
        return;
    jv_drop_owner *owner = (jv_drop_owner *)*drop;
    jv_arena_clear(&owner->arena);
    jv_free(owner);
    *drop = NULL;
}
