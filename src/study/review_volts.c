/* review_volts.c - rules about volts: watches, drops, sensors, relays. SPDX-License-Identifier: MIT
 */
#include "study/review_work.h"

#include "circuit/kinds.h"
#include "circuit/parts/battery.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

void jv_judge_operating_point(jv_review_work *w) {
    for (size_t i = 0; i < w->c->n_cases && w->status == JV_OK; i++) {
        const jv_case_view *v = &w->cases[i];
        jv_finding f = {.part = w->c->name ? w->c->name : "circuit",
                        .loading = v->loading,
                        .line = v->loading->line,
                        .figure = NAN,
                        .limit = NAN,
                        .unit = "",
                        .confidence = JV_SOLID};
        f.holds = v->point.outcome == JV_POINT_FOUND;
        const char *reason = "found";
        if (v->point.outcome == JV_POINT_CANNOT_DELIVER)
            reason = jv_review_say(w, "the loads ask for more power than can be had: %.0f %% of it",
                                   100 * v->point.power_share);
        else if (v->point.outcome == JV_POINT_CHATTERS)
            reason = jv_review_say(w, "\"%s\" finds no state that lasts",
                                   v->point.where ? v->point.where : "a relay");
        else if (!f.holds)
            reason = "no operating point was found";
        jv_review_add(w, &f, "nominal values", reason);
    }
}

/* Volts of a dead circuit are rounding: plain zero, not minus 1e-25. */
static double nothing_is_zero(double volts) {
    static const double noise_v = 1e-9;
    return fabs(volts) < noise_v ? 0 : volts;
}

/* ---- watches ---- */

/* Batteries whose ohms rest on memory or custom, given none at all: what still fails then
 * fails whatever they are. */
static size_t ideal_batteries(const jv_review_work *w, const jv_case *k, jv_fault *faults,
                              const char **weak) {
    static const double no_ohms = 1e-6; /* factor on its resistance */
    size_t n = 0;
    jv_scene s = {.circuit = w->c, .loading = k, .ambient_c = w->c->ambient.nominal};
    for (uint32_t i = 0; i < w->c->n_parts; i++) {
        jv_battery_model m;
        if (w->c->parts[i].kind != &jv_kind_battery ||
            jv_battery_of_scene(&s, &w->c->parts[i], &m) != JV_OK || m.confidence != JV_WEAK)
            continue;
        *weak = w->c->parts[i].name;
        faults[n++] = (jv_fault){.part = i, .way = JV_WAY_WEAK, .value = no_ohms, .to = -1};
    }
    return n;
}

/* Values that nobody gave, turned to the end that helps: what fails all the same is no matter
 * of them. */
static void turn_assumed_kindly(jv_bench *b) {
    for (size_t i = 0; i < b->n_knobs; i++) {
        const jv_knob *k = &b->knobs[i];
        if (k->kind == JV_KNOB_SLOT && b->c->slots[k->index].origin == JV_FALLBACK)
            jv_bench_turn(b, i, -k->end);
    }
}

/* A trip that hangs on assumed figures alone is no failure but a question. */
static jv_status trips_without_assumed(jv_review_work *w, const jv_bench *worst, const jv_case *k,
                                       const jv_watch *watch, bool *trips, const char **weak) {
    jv_fault *faults = jv_arena_alloc(w->arena, w->c->n_parts + 1, sizeof *faults);
    if (!faults)
        return JV_ERR_MEMORY;
    size_t n = ideal_batteries(w, k, faults, weak);
    jv_bench *b = NULL;
    jv_point p;
    jv_status status = jv_review_bench(w, k, faults, n, &b);
    if (status == JV_OK) {
        for (size_t i = 0; i < b->n_knobs; i++)
            jv_bench_turn(b, i, worst->knobs[i].end);
        turn_assumed_kindly(b);
        jv_bench_load(b);
        status = jv_bench_find(b, &p);
    }
    *trips = status == JV_OK && (!jv_point_is_answer(&p) || jv_measure_watch(b, &p, watch) < 0);
    jv_bench_free(&b);
    return status;
}

static void watch_row(jv_review_work *w, const jv_case *k, const jv_watch *watch) {
    jv_bench *b = NULL;
    jv_bench_answer a;
    jv_bench_question q = {.measure = jv_measure_watch, .ctx = watch};
    jv_status status = jv_review_bench(w, k, NULL, 0, &b);
    if (status == JV_OK)
        status = jv_bench_worst(b, &q, &a, NULL);
    jv_finding f = {.part = watch->name, .loading = k, .line = watch->line, .unit = "V"};
    f.confidence = JV_SOLID;
    const char *weak = NULL;
    bool trips = true;
    if (status == JV_OK && a.worst < 0)
        status = trips_without_assumed(w, b, k, watch, &trips, &weak);
    jv_bench_free(&b);
    if (status != JV_OK) {
        w->status = status;
        return;
    }
    f.limit = fmax(watch->below.high, watch->below.nominal);
    f.figure = isfinite(a.worst) ? nothing_is_zero(a.worst + f.limit) : NAN;
    f.least = true;
    f.holds = a.worst >= 0;
    const char *reason =
        isfinite(a.worst)
            ? jv_review_say(w, "sees %.2f V at worst (%.2f V with nominal values): %.2f V %s",
                            f.figure, nothing_is_zero(a.nominal + f.limit), fabs(a.worst),
                            f.holds ? "to spare" : "short")
            : jv_review_say(w, "at the worst corner there is no operating point");
    if (!f.holds && !trips) {
        f.confidence = JV_WEAK;
        f.look_in = weak ? "the battery itself: a tester's ohms, or its cold-cranking figure"
                         : "the parts marked as assumed: measure or give their ohms";
        reason =
            jv_review_say(w, "%s; it hangs on figures that are assumed or from memory", reason);
    }
    if (watch->assumed) {
        f.confidence = JV_WEAK;
        f.look_in = "the controller's data sheet: its low-voltage limit";
        reason = jv_review_say(w, "%s; the limit itself is assumed (%s)", reason,
                               watch->basis ? watch->basis : "nobody gave it");
    }
    jv_review_add(w, &f,
                  jv_review_say(w, "every spread at its worse end%s",
                                a.settled ? "" : "; the corner is not proved to be the worst"),
                  reason);
}

void jv_judge_watch(jv_review_work *w) {
    for (size_t i = 0; i < w->c->n_cases; i++)
        for (size_t k = 0; k < w->c->n_watches && w->status == JV_OK; k++)
            if (jv_watch_counts(&w->c->watches[k], w->c->cases[i].n_runs > 0))
                watch_row(w, &w->c->cases[i], &w->c->watches[k]);
}

/* ---- drop budgets ---- */

static bool is_assumed(const jv_circuit *c, const jv_part *p) {
    const jv_slot *ohms = jv_part_named(c, p, "resistance");
    return ohms && ohms->origin == JV_FALLBACK;
}

/* Volts that the wiring of a way loses, all of it and without what is assumed. */
static void wiring_loss(const jv_review_work *w, const jv_net *net, const jv_way_found *way,
                        double *all, double *given) {
    *all = *given = 0;
    for (size_t k = 0; k < way->n; k++) {
        const jv_part *p = &w->c->parts[net->elements[way->steps[k].element].part];
        if (p->kind->is_source)
            continue;
        *all += way->steps[k].drop_v;
        if (!is_assumed(w->c, p))
            *given += way->steps[k].drop_v;
    }
}

typedef struct loss {
    const jv_case *loading;
    double share, given_share, volts;
} loss;

/* Of one element that draws, in all cases: the case with the largest share lost. */
static loss worst_loss(jv_review_work *w, uint32_t part) {
    loss worst = {0};
    for (size_t i = 0; i < w->c->n_cases && w->status == JV_OK; i++) {
        const jv_case_view *v = &w->cases[i];
        uint32_t k = v->bench->net->first[part];
        if (!v->answer || v->bench->net->elements[k].open || v->point.i[k] == 0 ||
            jv_case_holds_fast(v->loading))
            continue;
        jv_way_found way;
        w->status = jv_way_find(v->bench->net, &v->point, k, &way);
        if (w->status != JV_OK)
            return worst;
        double all, given;
        wiring_loss(w, v->bench->net, &way, &all, &given);
        double supply = way.load_v + all;
        if (way.n && supply > 0 && all / supply > worst.share)
            worst = (loss){v->loading, all / supply, given / supply, all};
        jv_way_free(&way);
    }
    return worst;
}

static void drop_row(jv_review_work *w, uint32_t part, const char *rule_id) {
    jv_rule rule;
    if (jv_table_rule(rule_id, &rule) != JV_OK)
        return;
    loss l = worst_loss(w, part);
    if (!l.loading)
        return;
    jv_finding f = jv_review_about(w, part);
    f.loading = l.loading;
    f.figure = 100 * l.share;
    f.limit = rule.value;
    f.unit = "%";
    f.holds = f.figure <= f.limit;
    f.confidence = rule.confidence;
    if (!f.holds && 100 * l.given_share <= f.limit) {
        f.confidence = JV_WEAK;
        f.look_in = "the joints marked as assumed: measure the drop across them under load";
    }
    jv_review_add(w, &f, "nominal values, conductors warm, share of the source's volts under load",
                  jv_review_say(w, "%.2f V of the wiring, feed and return together", l.volts));
}

void jv_judge_drop_motors(jv_review_work *w) {
    for (uint32_t i = 0; i < w->c->n_parts && w->status == JV_OK; i++)
        if (w->c->parts[i].kind->is_motor)
            drop_row(w, i, "ABYC-08b");
}

/* Loads with a least voltage of their own, and controllers at rest. */
void jv_judge_drop_loads(jv_review_work *w) {
    for (uint32_t i = 0; i < w->c->n_parts && w->status == JV_OK; i++) {
        const jv_part *p = &w->c->parts[i];
        if (p->kind == &jv_kind_load && jv_part_named(w->c, p, "minimum"))
            drop_row(w, i, "ABYC-08a");
    }
}

/* ---- sensors and relays ---- */

typedef struct regulator_ctx {
    uint32_t element;
} regulator_ctx;

static double measure_input(const jv_bench *b, const jv_point *p, const void *ctx) {
    const regulator_ctx *r = ctx;
    const jv_element *e = &b->net->elements[r->element];
    return p->v[e->a] - p->v[e->b];
}

/* The least of a measure over all cases; *loading NULL when no case has an answer. */
static double least_over_cases(jv_review_work *w, const jv_fault *faults, size_t n_faults,
                               jv_measure measure, uint32_t part, uint32_t nth,
                               const jv_case **loading, bool running_only) {
    const jv_case *cases = w->c->cases;
    double least = INFINITY;
    *loading = NULL;
    for (size_t i = 0; cases && i < w->c->n_cases && w->status == JV_OK; i++) {
        jv_bench *b = NULL;
        jv_bench_answer a = {.worst = INFINITY};
        if (running_only && !cases[i].n_runs)
            continue;
        w->status = jv_review_bench(w, &cases[i], faults, n_faults, &b);
        if (w->status == JV_OK) {
            regulator_ctx ctx = {b->net->first[part] + nth};
            jv_bench_question q = {.measure = measure, .ctx = &ctx};
            if (!b->net->elements[ctx.element].open)
                w->status = jv_bench_worst(b, &q, &a, NULL);
        }
        if (w->status == JV_OK && a.worst < least) {
            least = a.worst;
            *loading = &cases[i];
        }
        jv_bench_free(&b);
    }
    return least;
}

void jv_judge_sensor_supply(jv_review_work *w) {
    for (uint32_t i = 0; i < w->c->n_parts && w->status == JV_OK; i++) {
        const jv_part *p = &w->c->parts[i];
        if (p->kind != &jv_kind_sensor_supply)
            continue;
        jv_finding f = jv_review_about(w, i);
        const jv_slot *set = jv_part_named(w->c, p, "set_voltage");
        const jv_slot *dropout = jv_part_named(w->c, p, "dropout");
        f.figure =
            nothing_is_zero(least_over_cases(w, NULL, 0, measure_input, i, 0, &f.loading, false));
        if (!f.loading)
            continue;
        bool assumed = !dropout || dropout->origin == JV_FALLBACK;
        f.limit = set->value.nominal + (dropout ? dropout->value.high : 0);
        f.unit = "V";
        f.least = true;
        f.holds = f.figure >= f.limit;
        f.confidence = assumed ? JV_USABLE : JV_SOLID;
        f.look_in = "the regulator's data sheet: dropout";
        jv_review_add(w, &f,
                      jv_review_say(w, "worst case of all cases; %g V and a dropout of %g V%s",
                                    set->value.nominal, dropout ? dropout->value.high : 0,
                                    assumed ? " (assumed from a data sheet of its class)" : ""),
                      jv_review_say(w, "its input falls to %.2f V and must keep %.2f V", f.figure,
                                    f.limit));
    }
}

/* Volts at the coil while the contact is still open: a fault holds it so. */
void jv_judge_relay_pull_in(jv_review_work *w) {
    static const double copper_c = 234.5, reference_c = 20; /* IEC 60028 */
    enum { COIL = 1 };
    for (uint32_t i = 0; i < w->c->n_parts && w->status == JV_OK; i++) {
        const jv_part *p = &w->c->parts[i];
        const jv_slot *pull_in = jv_part_named(w->c, p, "pull_in");
        if (p->kind != &jv_kind_relay || !pull_in || !jv_part_named(w->c, p, "coil_plus"))
            continue;
        jv_fault open = {.part = i, .way = JV_WAY_OPEN, .to = -1};
        jv_finding f = jv_review_about(w, i);
        f.figure = least_over_cases(w, &open, 1, measure_input, i, COIL, &f.loading, true);
        if (!f.loading)
            continue;
        const jv_slot *coil = jv_part_named(w->c, p, "coil_temperature");
        double hot = coil ? coil->value.high : w->guards.hot_c;
        f.limit = pull_in->value.high * (copper_c + hot) / (copper_c + reference_c);
        f.unit = "V";
        f.least = true;
        f.holds = f.figure >= f.limit;
        f.confidence = pull_in->origin == JV_FALLBACK ? JV_WEAK : JV_SOLID;
        f.look_in = "the relay's data sheet: pull-in volts, then give \"pull_in\"";
        jv_review_add(w, &f,
                      jv_review_say(w, "worst case, contact still open; coil at %.0f degC%s", hot,
                                    coil ? ""
                                         : " (the hottest ambient: it heats itself beyond that; "
                                           "give \"coil_temperature\")"),
                      jv_review_say(w, "its coil gets %.2f V and needs %.2f V when hot", f.figure,
                                    f.limit));
    }
}
