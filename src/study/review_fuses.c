/* review_fuses.c - rules between a cable and the fuse over it. SPDX-License-Identifier: MIT */
#include "study/review_work.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"
#include "circuit/parts/fuse.h"

#include <math.h>
#include <string.h>

bool jv_cable_limited(const jv_cable_watched *w, const jv_guarded *g) {
    double carries = jv_carries_a(g);
    return w->known && !w->unsolved && w->strong_a <= carries && w->back_a <= carries;
}

static double rating_of(const jv_circuit *c, uint32_t part) {
    const jv_slot *s = jv_part_slot(c, &c->parts[part], JV_FUSE_RATING);
    return s ? s->value.nominal : NAN;
}

static const char *insulation_text(const jv_circuit *c, const jv_part *p) {
    const jv_slot *s = jv_part_slot(c, p, JV_CABLE_INSULATION);
    return s ? s->text : "no insulation given";
}

static const char *cable_basis(jv_review_work *w, const jv_part *p, const jv_guarded *g) {
    const jv_slot *size = jv_part_slot(w->c, p, JV_CABLE_SIZE);
    return jv_review_say(w, "%s, %s: %.0f degC%s%s; air %.0f degC; heat balance%s", size->text,
                         insulation_text(w->c, p), g->limits.solid_c,
                         g->limits.assumed ? " (lowest of vehicle cable, assumed)" : "",
                         !g->limits.assumed && g->limits.confidence == JV_WEAK
                             ? " (its own figure is from memory)"
                             : "",
                         g->body.air_c,
                         isfinite(g->printed_a) ? " and printed ampacity table, the lesser" : "");
}

/* What insulation documents to look in. */
static const char in_insulation[] =
    "SAE J1128 / J1127 or ISO 6722-1, or the cable's data sheet: temperature class and overload";
static const char in_sheet[] =
    "the fuse's own data sheet: give its times as \"curve\" with \"curve_source\"";

/* Each cable with a guard, once. */
typedef void (*with_guard)(jv_review_work *w, const jv_cable_watched *k, const jv_guarded *g);
static void each_guarded(jv_review_work *w, with_guard judge) {
    for (size_t i = 0; i < w->guards.n && w->status == JV_OK; i++) {
        const jv_cable_watched *k = &w->guards.cables[i];
        jv_guarded g;
        if (k->guard == UINT32_MAX ||
            jv_guarded_of_part(w->c, &w->c->parts[k->part], w->guards.hot_c, &g) != JV_OK ||
            jv_cable_limited(k, &g))
            continue;
        judge(w, k, &g);
    }
}

static void fits(jv_review_work *w, const jv_cable_watched *k, const jv_guarded *g) {
    jv_finding f = jv_review_about(w, k->part);
    const jv_part *p = &w->c->parts[k->part];
    f.figure = rating_of(w->c, k->guard);
    f.limit = jv_carries_a(g);
    f.unit = "A";
    f.holds = f.figure <= f.limit;
    /* A limit that was assumed or is from memory cannot fail a cable. */
    if (!f.holds && g->limits.confidence == JV_WEAK)
        f.confidence = JV_WEAK;
    f.look_in = in_insulation;
    const char *reason =
        jv_review_say(w, "%s \"%s\" of %g A; \"%s\" carries %.0f A for good%s",
                      w->c->parts[k->guard].kind->name, w->c->parts[k->guard].name, f.figure,
                      p->name, f.limit,
                      f.holds ? "" : ": fit a thicker cable or a smaller fuse, never a larger one");
    jv_review_add(w, &f, cable_basis(w, p, g), reason);
}

void jv_judge_fuse_fits_cable(jv_review_work *w) {
    each_guarded(w, fits);
}

static void outlives(jv_review_work *w, const jv_cable_watched *k, const jv_guarded *g) {
    jv_finding f = jv_review_about(w, k->part);
    const jv_part *device = &w->c->parts[k->guard];
    jv_time_curve curve;
    jv_guard guard = {0};
    f.unit = "s";
    f.least = true;
    f.look_in = in_sheet;
    jv_guarded cable = *g;
    bool known = jv_fuse_part_curve(w->c, device, &curve) == JV_OK &&
                 jv_guard_check(&curve, rating_of(w->c, k->guard), &cable, fmax(k->strong_a, 1e-3),
                                &guard) == JV_OK;
    const char *basis = cable_basis(w, &w->c->parts[k->part], g);
    if (!known || guard.verdict == JV_GUARD_UNKNOWN) {
        f.confidence = JV_WEAK;
        jv_review_add(w, &f, basis,
                      jv_review_say(w,
                                    "when \"%s\" opens is not known: it has no style and no "
                                    "curve",
                                    device->name));
        return;
    }
    f.figure = guard.damage_s;
    f.limit = guard.opens_s;
    f.holds = guard.verdict == JV_GUARD_HOLDS;
    jv_review_wire *wire = jv_review_wire_of(w, k);
    if (wire) {
        wire->closest_a = guard.current_a;
        wire->opens_s = guard.opens_s;
        wire->stands_s = guard.damage_s;
    }
    f.confidence = guard.confidence;
    const char *reason;
    if (f.holds) {
        reason =
            jv_review_say(w, "holds from %.0f A, below which \"%s\" need not open, to %.0f A%s",
                          fmin(guard.never_below_a, k->strong_a), device->name, k->strong_a,
                          guard.stepped ? "" : " (between printed points the line is taken)");
    } else if (isinf(guard.opens_s)) {
        reason = jv_review_say(w,
                               "just below %.0f A \"%s\" may never open, and the conductor would "
                               "settle at %.0f degC",
                               guard.current_a, device->name, guard.temp_c);
        if (isinf(guard.temp_c))
            reason = jv_review_say(w,
                                   "just below %.0f A \"%s\" may never open, and the conductor "
                                   "would find no steady temperature: it burns",
                                   guard.current_a, device->name);
    } else {
        reason = jv_review_say(w,
                               "at %.0f A \"%s\" may take %.3g s to open; the cable stands that "
                               "for %.3g s",
                               guard.current_a, device->name, guard.opens_s, guard.damage_s);
    }
    if (guard.verdict == JV_GUARD_WARM) {
        f.confidence = JV_WEAK;
        f.look_in = in_insulation;
        reason = jv_review_say(w,
                               "%s; that is above what the insulation stands for good and below "
                               "its short-time limit of %.0f degC: how long it stands that was "
                               "read nowhere",
                               reason, g->limits.short_c);
    } else if (!f.holds && g->limits.confidence == JV_WEAK) {
        f.confidence = JV_WEAK;
        f.look_in = in_insulation;
    }
    jv_review_add(w, &f, basis, reason);
}

void jv_judge_cable_outlives_fuse(jv_review_work *w) {
    each_guarded(w, outlives);
}

static void opens(jv_review_work *w, const jv_cable_watched *k, const jv_guarded *g) {
    jv_finding f = jv_review_about(w, k->part);
    const jv_part *device = &w->c->parts[k->guard];
    jv_time_curve curve;
    double rating = rating_of(w->c, k->guard);
    jv_short_outcome o;
    uint32_t hot = k->part;
    f.loading = &w->c->cases[k->loading];
    f.unit = "A";
    f.least = true;
    f.look_in = in_sheet;
    const char *basis =
        jv_review_say(w,
                      "dead short from \"%s\" to \"%s\", weakest source and joints, wires warm "
                      "from the case; %s",
                      w->c->terminals[k->from], w->c->terminals[k->to],
                      cable_basis(w, &w->c->parts[k->part], g));
    f.figure = k->weak_a;
    bool known = jv_fuse_part_curve(w->c, device, &curve) == JV_OK;
    jv_status status = jv_guards_follow(w->c, &w->guards, k, &o, &hot, NULL);
    if (status == JV_ERR_MEMORY)
        w->status = status;
    if (!known || status != JV_OK) {
        f.confidence = JV_WEAK;
        jv_review_add(w, &f, basis,
                      jv_review_say(w,
                                    known ? "no answer was found for the short"
                                          : "when \"%s\" opens is not known",
                                    device->name));
        return;
    }
    f.figure = o.first_a;
    f.limit = jv_must_open_a(&curve, rating);
    jv_review_wire *wire = jv_review_wire_of(w, k);
    if (wire) {
        wire->short_least_a = o.first_a;
        wire->short_opens_s = o.opens ? o.opens_s : INFINITY;
    }
    f.confidence = jv_confidence_worse(curve.confidence, JV_SOLID);
    f.holds = o.opens && !o.over_short && !o.over_solid;
    const char *hot_name = w->c->parts[hot].name;
    const char *reason;
    if (o.opens)
        reason = jv_review_say(w,
                               "%.0f A at first, %.0f A when the wires are hot: \"%s\" is open "
                               "by %.3g s, \"%s\" at %.0f degC by then",
                               o.first_a, o.last_a, device->name, o.opens_s, hot_name, o.hottest_c);
    else if (o.over_short)
        reason =
            jv_review_say(w,
                          "%.0f A at first, %.0f A when the wires are hot%s: \"%s\" reaches "
                          "%.0f degC, past its limit, after %.3g s, before \"%s\" must open",
                          o.first_a, o.last_a, o.first_a >= f.limit ? ", enough but too late" : "",
                          hot_name, o.hottest_c, o.end_s, device->name);
    else
        reason = jv_review_say(w,
                               "%.0f A at first, %.0f A when the wires are hot: \"%s\" need not "
                               "open below %.0f A, the short goes on, \"%s\" at %.0f degC",
                               o.first_a, o.last_a, device->name, f.limit, hot_name, o.hottest_c);
    if (o.opens && !o.over_short && o.over_solid) {
        f.confidence = JV_WEAK;
        f.look_in = in_insulation;
        reason = jv_review_say(w,
                               "%s; that is above its lasting limit for longer than the %.0f s "
                               "of the short-time limits",
                               reason, JV_SHORT_TIME_S);
    }
    jv_review_add(w, &f, basis, reason);
}

void jv_judge_short_opens_fuse(jv_review_work *w) {
    each_guarded(w, opens);
}

/* ---- without a fuse ---- */

static double rule_length_m(const char *id, jv_confidence *confidence) {
    static const double m_per_inch = 0.0254;
    jv_rule rule;
    if (jv_table_rule(id, &rule) != JV_OK || !rule.has_value)
        return 0;
    *confidence = jv_confidence_worse(*confidence, rule.confidence);
    return rule.value * m_per_inch;
}

/* 7 in along the conductor, 40 in where all of it is sheathed (here: in a loom). */
static double free_length_m(const jv_circuit *c, const jv_part *p, jv_confidence *confidence) {
    bool sheathed = p && jv_part_flag(c, p, JV_CABLE_LOOM, false);
    return rule_length_m(sheathed ? "CFR-04" : "CFR-03", confidence);
}

void jv_judge_unfused_length(jv_review_work *w) {
    for (size_t i = 0; i < w->guards.n && w->status == JV_OK; i++) {
        const jv_cable_watched *k = &w->guards.cables[i];
        const jv_part *p = &w->c->parts[k->part];
        jv_guarded g;
        bool guarded = k->guard != UINT32_MAX && (k->back_guarded || k->back_a <= 1);
        if (jv_guarded_of_part(w->c, p, w->guards.hot_c, &g) != JV_OK ||
            (guarded && !jv_cable_limited(k, &g)))
            continue;
        jv_finding f = jv_review_about(w, k->part);
        f.figure = jv_part_slot(w->c, p, JV_CABLE_LENGTH)->value.nominal;
        f.limit = free_length_m(w->c, p, &f.confidence);
        f.unit = "m";
        const char *basis = cable_basis(w, p, &g);
        if (jv_cable_limited(k, &g)) {
            f.holds = true;
            f.limit = NAN;
            jv_review_add(w, &f, basis,
                          jv_review_say(w,
                                        "needs no fuse: a short draws %.3g A at most, it carries "
                                        "%.0f A",
                                        fmax(k->strong_a, k->back_a), jv_carries_a(&g)));
            continue;
        }
        if (!k->known) {
            f.confidence = JV_WEAK;
            f.look_in = "the drawing: a case in which it carries current shows what feeds it";
            jv_review_add(w, &f, basis,
                          k->loading == w->c->n_cases
                              ? "it carries nothing in any case, so what a short would draw is open"
                              : "several feeds share it: judged by the shorts of those feeds");
            continue;
        }
        f.holds = f.figure <= f.limit;
        bool behind = k->guard == UINT32_MAX;
        jv_review_add(w, &f, basis,
                      jv_review_say(w, "no fuse stops the %.0f A that a short at %s draws",
                                    behind ? k->strong_a : k->back_a,
                                    behind ? "its far end" : "its near end, from a second source"));
    }
}

/* Conductor between a source and the first device on the way to a load; *first is the device,
 * UINT32_MAX = none. */
static double length_to_device(const jv_review_work *w, const jv_net *net, const jv_way_found *way,
                               uint32_t *source, uint32_t *first, const jv_part **longest) {
    double length = 0;
    *first = *source = UINT32_MAX;
    *longest = NULL;
    for (size_t k = 0; k < way->n; k++) {
        uint32_t part = net->elements[way->steps[k].element].part;
        const jv_part *p = &w->c->parts[part];
        if (p->kind->is_source && *source == UINT32_MAX)
            *source = part;
        if (way->steps[k].side != JV_SIDE_PLUS)
            continue;
        if (jv_fuse_is(p)) {
            *first = part;
            return length;
        }
        const jv_slot *s =
            p->kind == &jv_kind_cable ? jv_part_slot(w->c, p, JV_CABLE_LENGTH) : NULL;
        if (s) {
            length += s->value.nominal;
            *longest = p;
        }
    }
    return length;
}

static bool draws(const jv_case_view *v, size_t k) {
    static const double something_a = 0.5; /* less is electronics, fed behind a module's fuse */
    const jv_element *e = &v->bench->net->elements[k];
    return (e->law == JV_SINK || e->law == JV_POWER) && !e->open &&
           fabs(v->point.i[k]) > something_a;
}

static void near_row(jv_review_work *w, const jv_case_view *v, uint32_t source, uint32_t first,
                     double length, const jv_part *cable, uint32_t load) {
    jv_finding f = jv_review_about(w, first != UINT32_MAX ? first : source);
    f.loading = v->loading;
    f.figure = length;
    f.limit = free_length_m(w->c, cable, &f.confidence);
    f.unit = "m";
    f.holds = first != UINT32_MAX && length <= f.limit * (1 + 1e-9);
    const char *load_name = w->c->parts[load].name;
    /* No conductor is drawn that a fuse could guard: a lead there must be, though. */
    if (first == UINT32_MAX && !cable) {
        f.confidence = JV_WEAK;
        f.look_in = "the drawing: the lead of this load, which the file does not have";
    }
    const char *reason =
        first == UINT32_MAX
            ? jv_review_say(w, "no fuse on the way from \"%s\" to \"%s\"", f.part, load_name)
            : jv_review_say(w, "%.2f m of cable between \"%s\" and its first fuse \"%s\"", length,
                            w->c->parts[source].name, f.part);
    if (first == UINT32_MAX)
        f.figure = NAN;
    jv_review_add(w, &f, cable ? "length of the cables before the fuse" : "joints only", reason);
}

/* One row for each device that is first on a way, and one for each load without any. */
void jv_judge_fuse_near_source(jv_review_work *w) {
    uint8_t *seen = jv_arena_alloc(w->arena, 2 * w->c->n_parts + 1, sizeof *seen);
    if (!seen) {
        w->status = JV_ERR_MEMORY;
        return;
    }
    for (size_t i = 0; i < w->c->n_cases; i++) {
        const jv_case_view *v = &w->cases[i];
        for (uint32_t k = 0; v->answer && k < v->bench->net->n_elements; k++) {
            if (!draws(v, k))
                continue;
            jv_way_found way;
            w->status = jv_way_find(v->bench->net, &v->point, k, &way);
            if (w->status != JV_OK)
                return;
            uint32_t source, first, load = v->bench->net->elements[k].part;
            const jv_part *cable;
            double length = length_to_device(w, v->bench->net, &way, &source, &first, &cable);
            size_t mark = first != UINT32_MAX ? first : w->c->n_parts + load;
            if (way.n && source != UINT32_MAX && !seen[mark]) {
                seen[mark] = 1;
                near_row(w, v, source, first, length, cable, load);
            }
            jv_way_free(&way);
        }
    }
}
