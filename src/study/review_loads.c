/* review_loads.c - rules about currents: fuses that must carry, parts that must stand them.
 * SPDX-License-Identifier: MIT */
#include "study/review_work.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"
#include "circuit/parts/fuse.h"
#include "study/inrush.h"

#include <math.h>
#include <string.h>

static const double sheet_air_c = 25; /* up to here a fuse's sheet holds as printed */
static const char in_sheet[] =
    "the fuse's own data sheet: derating over temperature, and its times as \"curve\"";

static double rating_of(const jv_circuit *c, uint32_t part) {
    const jv_slot *s = jv_part_slot(c, &c->parts[part], JV_FUSE_RATING);
    return s ? s->value.nominal : NAN;
}

static double hot_current(const jv_case_view *v, uint32_t part) {
    return v->answer && v->hot_a ? fabs(v->hot_a[v->bench->net->first[part]]) : 0;
}

/* What a lasting current may be, as a share of the rating. */
static double lasting_share(const jv_circuit *c, uint32_t part, double air_c,
                            jv_confidence *confidence, const char **note) {
    const jv_part *p = &c->parts[part];
    jv_figure share;
    jv_rule rule;
    *note = "";
    if (p->kind == &jv_kind_breaker) { /* device at 125 % of a lasting load */
        *confidence = jv_table_rule("NEC-08", &rule) == JV_OK ? rule.confidence : JV_WEAK;
        *note = "a breaker at 125 % of a lasting load, NFPA 70 210.20(A)";
        return *confidence == JV_WEAK ? 1 : 100 / rule.value;
    }
    if (air_c <= sheet_air_c && jv_table_fuse_continuous(&share) == JV_OK) {
        *confidence = share.confidence;
        return share.value;
    }
    int style = jv_part_word(c, p, JV_FUSE_STYLE, JV_FUSE_BLADE_C);
    if (jv_fuse_lasting_share((jv_fuse_style)style, air_c, &share) != JV_OK) {
        *confidence = JV_WEAK;
        return 1;
    }
    *confidence = share.confidence;
    *note = share.note;
    return share.value;
}

/* A case that lasts a known time: the fuse must not open within it. */
static bool holds_for(const jv_circuit *c, uint32_t part, double current_a, double air_c,
                      double time_s, jv_finding *f) {
    jv_device device;
    if (jv_fuse_part_device(c, &c->parts[part], NAN, air_c, &device) != JV_OK)
        return false;
    jv_opening o = jv_device_at(&device, current_a);
    f->confidence = o.extended ? JV_WEAK : device.confidence;
    f->figure = o.from_s;
    f->limit = time_s;
    f->unit = "s";
    f->least = true;
    f->holds = f->figure >= time_s;
    return true;
}

bool jv_fuse_lasts(const jv_circuit *c, uint32_t part, const jv_case *loading, double current_a,
                   double air_c) {
    jv_confidence confidence;
    const char *note;
    jv_finding f = {0};
    if (current_a <= rating_of(c, part) * lasting_share(c, part, air_c, &confidence, &note))
        return true;
    return loading->has_time && holds_for(c, part, current_a, air_c, jv_case_on_s(loading), &f) &&
           f.holds;
}

/* "30 s", "10 times 30 s with pauses of 60 s". */
static const char *for_words(jv_review_work *w, const jv_case *k) {
    double times = jv_case_times(k), on = k->run_for.nominal;
    if (times <= 1)
        return jv_review_say(w, "%.0f s", on);
    if (isinf(times))
        return jv_review_say(w, "%.0f s again and again, with pauses of %.0f s", on, k->pause_s);
    return jv_review_say(w, "%.0f times %.0f s with pauses of %.0f s", times, on, k->pause_s);
}

/* The fuse in its hardest case. */
void jv_judge_fuse_lasting(jv_review_work *w) {
    for (uint32_t part = 0; part < w->c->n_parts && w->status == JV_OK; part++) {
        if (!jv_fuse_is(&w->c->parts[part]))
            continue;
        jv_finding worst = jv_review_about(w, part);
        const char *reason = NULL, *basis = "";
        double rating = rating_of(w->c, part), most = 0;
        jv_review_device *device = jv_review_device_of(w, part);
        for (size_t i = 0; i < w->c->n_cases; i++) {
            const jv_case_view *v = &w->cases[i];
            if (jv_case_holds_fast(v->loading))
                continue; /* fuse-stall asks of those */
            double a = hot_current(v, part);
            jv_finding f = jv_review_about(w, part);
            const char *note = "";
            double share = lasting_share(w->c, part, v->hot_air_c, &f.confidence, &note);
            f.loading = v->loading;
            f.figure = a;
            f.limit = rating * share;
            f.unit = "A";
            f.holds = a <= f.limit;
            f.look_in = in_sheet;
            bool timed = v->loading->has_time && !f.holds &&
                         holds_for(w->c, part, a, v->hot_air_c, jv_case_on_s(v->loading), &f);
            double used = timed ? f.limit / f.figure : a / f.limit;
            if (!(used > most))
                continue;
            most = used;
            worst = f;
            device->running_a = a;
            device->running_case = v->loading->name;
            basis = jv_review_say(w, "loads at their high end, air %.0f degC%s%s", v->hot_air_c,
                                  *note ? "; " : "", note);
            reason =
                timed ? jv_review_say(w,
                                      "%.1f A for %s; \"%s\" of %g A holds that for at "
                                      "least %.3g s%s",
                                      a, for_words(w, v->loading), f.part, rating, f.figure,
                                      jv_case_times(v->loading) > 1
                                          ? " in all (that it cools in the pauses is not counted)"
                                          : "")
                      : jv_review_say(w, "%.1f A is %.0f %% of \"%s\" (%g A)%s", a,
                                      100 * a / rating, f.part, rating,
                                      f.holds ? ""
                                              : ": with \"for\" in the case, its time is "
                                                "counted too; a larger fuse needs a cable "
                                                "that carries it");
        }
        if (reason)
            jv_review_add(w, &worst, basis, reason);
    }
}

/* ---- a motor held fast, and the start ---- */

/* The case with run `only` (or, n_runs, all of them) held fast; currents at the strongest. */
static bool held_fast(jv_review_work *w, const jv_case *loading, size_t only, jv_bench **out,
                      jv_point *p) {
    jv_status status = jv_review_bench(w, loading, NULL, 0, out);
    if (status == JV_OK) {
        for (size_t r = 0; r < loading->n_runs; r++)
            if (only == loading->n_runs || r == only)
                (*out)->loading.runs[r].kind = JV_LOAD_STALLED;
        jv_bench_turn_strong(*out, 1);
        jv_bench_load(*out);
        status = jv_bench_find(*out, p);
    }
    if (status != JV_OK) {
        w->status = status;
        jv_bench_free(out);
    }
    return status == JV_OK && jv_point_is_answer(p);
}

typedef struct stall {
    jv_guard_verdict verdict;
    uint32_t cable;
    const jv_case *loading;
    const char *motor;
    double device_a, cable_a, opens_s, damage_s, temp_c;
} stall;

/* The wires that the device guards, at the currents of this point. */
static void stall_wires(jv_review_work *w, uint32_t device, const jv_device *d, const jv_bench *b,
                        const jv_point *p, stall *now, stall *worst) {
    now->device_a = fabs(p->i[b->net->first[device]]);
    now->opens_s = jv_device_at(d, now->device_a).by_s;
    for (size_t i = 0; i < w->guards.n; i++) {
        const jv_cable_watched *k = &w->guards.cables[i];
        jv_guarded g;
        if (k->guard != device ||
            jv_guarded_of_part(w->c, &w->c->parts[k->part], w->guards.hot_c, &g) != JV_OK)
            continue;
        now->cable = k->part;
        now->cable_a = fabs(p->i[b->net->first[k->part]]);
        now->verdict = jv_guard_at(&g, now->cable_a, now->opens_s, &now->temp_c);
        now->damage_s = jv_damage_s(&g, now->cable_a);
        bool worse = now->verdict > worst->verdict ||
                     (now->verdict == worst->verdict && now->temp_c > worst->temp_c);
        if (worst->cable == UINT32_MAX || worse)
            *worst = *now;
    }
}

static stall worst_stall(jv_review_work *w, uint32_t device, const jv_device *d) {
    stall worst = {.cable = UINT32_MAX};
    for (size_t i = 0; i < w->c->n_cases; i++) {
        const jv_case *k = &w->c->cases[i];
        for (size_t r = 0; r < k->n_runs; r++) {
            jv_bench *b = NULL;
            jv_point p;
            if (held_fast(w, k, r, &b, &p)) {
                stall now = {.loading = k, .motor = w->c->parts[k->runs[r].part].name};
                stall_wires(w, device, d, b, &p, &now, &worst);
            }
            jv_bench_free(&b);
        }
    }
    return worst;
}

void jv_judge_fuse_stall(jv_review_work *w) {
    for (uint32_t part = 0; part < w->c->n_parts && w->status == JV_OK; part++) {
        jv_device d;
        if (!jv_fuse_is(&w->c->parts[part]) ||
            jv_fuse_part_device(w->c, &w->c->parts[part], NAN, sheet_air_c, &d) != JV_OK)
            continue;
        stall s = worst_stall(w, part, &d);
        if (s.cable == UINT32_MAX)
            continue;
        jv_review_device *device = jv_review_device_of(w, part);
        device->stall_a = s.device_a;
        device->stall_motor = s.motor;
        jv_finding f = jv_review_about(w, part);
        f.loading = s.loading;
        f.figure = s.damage_s;
        f.limit = s.opens_s;
        f.unit = "s";
        f.least = true;
        f.holds = s.verdict == JV_GUARD_HOLDS;
        f.confidence = isinf(s.opens_s) && f.holds ? JV_SOLID : d.curve.confidence;
        f.look_in = in_sheet;
        if (s.verdict == JV_GUARD_WARM) {
            f.confidence = JV_WEAK;
            f.look_in = "ISO 6722-1 or the cable's data sheet: overload of the insulation";
        }
        const char *when =
            isinf(s.opens_s) ? "need not open" : jv_review_say(w, "is open by %.3g s", s.opens_s);
        const char *reason = jv_review_say(
            w,
            "\"%s\" held fast: %.0f A, at which \"%s\" %s; \"%s\" comes to %.0f degC. That guards "
            "the cable; whether the motor stands it is another matter, which the file does not "
            "tell",
            s.motor, s.device_a, f.part, when, w->c->parts[s.cable].name, s.temp_c);
        jv_review_add(w, &f, "strongest source, one motor of the case held fast, the others run",
                      reason);
    }
}

/* The case that draws most through the device as all its motors start. */
static const jv_case *hardest_start(jv_review_work *w, uint32_t part, double *most) {
    const jv_case *loading = NULL;
    *most = 0;
    for (size_t i = 0; i < w->c->n_cases && w->status == JV_OK; i++) {
        const jv_case *k = &w->c->cases[i];
        jv_bench *b = NULL;
        jv_point p;
        if (k->n_runs && held_fast(w, k, k->n_runs, &b, &p)) {
            double a = fabs(p.i[b->net->first[part]]);
            if (a > *most) {
                *most = a;
                loading = k;
            }
        }
        jv_bench_free(&b);
    }
    return loading;
}

/* What the starts take out of the devices, of the cases whose motors' starts are known. */
typedef struct starts {
    double *used;            /* of each part: the most of any case; NAN = of no case */
    const jv_case **loading; /* in which */
    const char *unknown;     /* a motor whose start nobody knows */
} starts;

static bool time_starts(jv_review_work *w, starts *s) {
    size_t n = w->c->n_parts + 1;
    double *used = jv_arena_alloc(w->arena, n, sizeof *used);
    double *peak = jv_arena_alloc(w->arena, n, sizeof *peak);
    s->used = jv_arena_alloc(w->arena, n, sizeof *s->used);
    s->loading = jv_arena_alloc(w->arena, n, sizeof *s->loading);
    if (!used || !peak || !s->used || !s->loading) {
        w->status = JV_ERR_MEMORY;
        return false;
    }
    for (size_t i = 0; i < n; i++)
        s->used[i] = NAN;
    for (size_t k = 0; k < w->c->n_cases; k++) {
        const jv_case *loading = &w->c->cases[k];
        const char *unknown = jv_inrush_unknown(w->c, loading);
        s->unknown = s->unknown ? s->unknown : unknown;
        if (!loading->n_runs || unknown || jv_case_holds_fast(loading))
            continue;
        jv_status status = jv_inrush_find(w->c, loading, used, peak);
        if (status == JV_ERR_MEMORY)
            w->status = status;
        for (size_t i = 0; status == JV_OK && i < w->c->n_parts; i++)
            if (!(s->used[i] >= used[i])) {
                s->used[i] = used[i];
                s->loading[i] = loading;
            }
    }
    return w->status == JV_OK;
}

/* A start that draws more than the rating: does it last long enough to open the device? */
static const char *judge_start(jv_review_work *w, uint32_t part, const starts *s, double most,
                               const jv_device *device, const char *at_first, jv_finding *f) {
    static const char in_motor[] =
        "the motor's sheet, or a clamp meter with peak hold: how long the start lasts, then give "
        "\"spin_up\" or \"motor.inertia\"";
    jv_opening o = jv_device_at(device, most);
    f->confidence = JV_WEAK;
    f->look_in = in_motor;
    if (s->unknown || isnan(s->used[part]))
        return jv_review_say(w,
                             "%s; \"%s\" holds that for at least %.3g s, and how long the start of "
                             "\"%s\" lasts is not known",
                             at_first, f->part, o.from_s, s->unknown ? s->unknown : "its motors");
    f->loading = s->loading[part];
    f->unit = "%";
    f->figure = 100 * s->used[part];
    f->limit = 100;
    f->holds = f->figure < f->limit;
    f->confidence = o.extended ? JV_WEAK : device->confidence;
    f->look_in = in_sheet;
    return f->holds ? jv_review_say(w,
                                    "%s; followed in time, the start uses %.3g %% of what may open "
                                    "\"%s\" at the earliest",
                                    at_first, f->figure, f->part)
                    : jv_review_say(w,
                                    "%s; followed in time, the start lasts long enough that \"%s\" "
                                    "may open",
                                    at_first, f->part);
}

static void inrush_row(jv_review_work *w, uint32_t part, const jv_case *loading, double most,
                       const starts *s) {
    jv_finding f = jv_review_about(w, part);
    jv_device device;
    bool known =
        jv_fuse_part_device(w->c, &w->c->parts[part], NAN, w->guards.hot_c, &device) == JV_OK;
    f.loading = loading;
    f.figure = most;
    f.limit = rating_of(w->c, part) * (known ? device.share : 1);
    f.unit = "A";
    f.holds = most <= f.limit;
    const char *reason =
        jv_review_say(w, "all motors of the case at rest draw %.0f A at first", most);
    if (!f.holds && known) {
        reason = judge_start(w, part, s, most, &device, reason, &f);
    } else if (!f.holds) {
        f.confidence = JV_WEAK;
        f.look_in = in_sheet;
        reason = jv_review_say(w, "%s; when \"%s\" opens is not known", reason, f.part);
    }
    jv_review_add(w, &f, "strongest source, all motors of the case start at once", reason);
}

void jv_judge_fuse_inrush(jv_review_work *w) {
    starts s = {0};
    for (uint32_t part = 0; part < w->c->n_parts && w->status == JV_OK; part++) {
        if (!jv_fuse_is(&w->c->parts[part]))
            continue;
        double most;
        const jv_case *loading = hardest_start(w, part, &most);
        if (!loading)
            continue;
        jv_review_device *device = jv_review_device_of(w, part);
        device->inrush_a = most;
        device->inrush_case = loading->name;
        if (!s.used && !time_starts(w, &s))
            return;
        inrush_row(w, part, loading, most, &s);
    }
}

/* ---- plain ratings ---- */

void jv_judge_breaker_type(jv_review_work *w) {
    for (uint32_t part = 0; part < w->c->n_parts && w->status == JV_OK; part++) {
        const jv_part *p = &w->c->parts[part];
        if (p->kind != &jv_kind_breaker)
            continue;
        jv_finding f = jv_review_about(w, part);
        int type = jv_part_word(w->c, p, JV_FUSE_STYLE, JV_BREAKER_AUTOMATIC);
        bool given = jv_part_has(w->c, p, JV_FUSE_STYLE);
        f.holds = type == JV_BREAKER_MANUAL;
        if (!given)
            f.confidence = JV_WEAK;
        f.look_in = "the breaker itself: how it resets, then give \"reset\"";
        jv_review_add(w, &f, given ? "\"reset\" of the file" : "\"reset\" is not given",
                      f.holds ? "manual reset"
                      : given ? "it closes again by itself, so a fault is fed over and over"
                              : "how it resets is not told; automatic is taken");
    }
}

void jv_judge_breaking(jv_review_work *w) {
    /* Breaking capacity by the scopes of the standards, A; the texts were not read. */
    static const double blade_a = 1000, strip_a = 2000;
    for (uint32_t part = 0; part < w->c->n_parts && w->status == JV_OK; part++) {
        const jv_part *p = &w->c->parts[part];
        if (p->kind != &jv_kind_fuse)
            continue;
        int style = jv_part_word(w->c, p, JV_FUSE_STYLE, JV_FUSE_BLADE_C);
        jv_finding f = jv_review_about(w, part);
        f.limit = style == JV_FUSE_BOLT_IN ? strip_a : blade_a;
        f.figure = 0;
        for (size_t i = 0; i < w->guards.n; i++)
            if (w->guards.cables[i].guard == part)
                f.figure = fmax(f.figure, w->guards.cables[i].strong_a);
        if (f.figure <= f.limit)
            continue; /* figures known from a scope alone neither pass nor fail a fuse */
        f.unit = "A";
        f.confidence = JV_WEAK;
        f.look_in = "the fuse's data sheet: breaking capacity";
        jv_review_add(w, &f, "strongest source and joints",
                      jv_review_say(w,
                                    "a short draws up to %.0f A; fuses of its style are said to "
                                    "break %.0f A",
                                    f.figure, f.limit));
    }
}

void jv_judge_conductor_temperature(jv_review_work *w) {
    for (size_t n = 0; n < w->guards.n && w->status == JV_OK; n++) {
        uint32_t part = w->guards.cables[n].part;
        const jv_part *p = &w->c->parts[part];
        jv_guarded g;
        jv_finding f = jv_review_about(w, part);
        double most = -INFINITY, amps = 0;
        if (jv_guarded_of_part(w->c, p, w->guards.hot_c, &g) != JV_OK)
            continue;
        for (size_t i = 0; i < w->c->n_cases; i++) {
            const jv_case_view *v = &w->cases[i];
            if (!v->answer || !v->hot_c || jv_case_holds_fast(v->loading))
                continue;
            uint32_t k = v->bench->net->first[part];
            if (!(v->hot_c[k] > most) || !(fabs(v->hot_a[k]) > 0))
                continue;
            most = v->hot_c[k];
            amps = fabs(v->hot_a[k]);
            f.loading = v->loading;
        }
        if (!f.loading)
            continue;
        f.figure = most;
        f.limit = g.limits.solid_c;
        f.unit = "degC";
        f.holds = most <= f.limit;
        f.look_in = "SAE J1128 / J1127, ISO 6722-1, or the cable's data sheet: temperature class";
        if (!f.holds && g.limits.confidence == JV_WEAK)
            f.confidence = JV_WEAK;
        const jv_slot *type = jv_part_slot(w->c, p, JV_CABLE_INSULATION);
        jv_review_add(
            w, &f,
            jv_review_say(w, "%s; %s; loads at their high end; heat balance%s",
                          type ? type->text : "insulation not given, the lowest of vehicle cable",
                          f.loading->has_time ? jv_review_say(w, "for %s", for_words(w, f.loading))
                                              : "for good",
                          jv_part_flag(w->c, p, JV_CABLE_LOOM, false) ? ", in a loom" : ""),
            jv_review_say(w, "%.1f A bring it to %.0f degC", amps, most));
    }
}

void jv_judge_connector_rating(jv_review_work *w) {
    for (uint32_t part = 0; part < w->c->n_parts && w->status == JV_OK; part++) {
        const jv_part *p = &w->c->parts[part];
        if (p->kind != &jv_kind_connector)
            continue;
        jv_finding f = jv_review_about(w, part);
        const jv_slot *rating = jv_part_named(w->c, p, "rating");
        f.figure = 0;
        for (size_t i = 0; i < w->c->n_cases; i++) {
            const jv_case_view *v = &w->cases[i];
            if (jv_case_holds_fast(v->loading))
                continue;
            for (uint32_t k = v->bench->net->first[part];
                 v->answer && v->hot_a && k < v->bench->net->first[part + 1]; k++)
                if (fabs(v->hot_a[k]) > f.figure) {
                    f.figure = fabs(v->hot_a[k]);
                    f.loading = v->loading;
                }
        }
        f.unit = "A";
        f.limit = rating ? rating->value.nominal : NAN;
        f.holds = rating && f.figure <= f.limit;
        if (!rating)
            f.confidence = JV_WEAK;
        f.look_in = "the connector's data sheet: current of a pin, then give \"rating\"";
        jv_review_add(w, &f, "loads at their high end, the pin with most current",
                      rating
                          ? jv_review_say(w, "%.1f A through a pin rated %g A", f.figure, f.limit)
                          : jv_review_say(w, "%.1f A through a pin without a rating in the file",
                                          f.figure));
    }
}
