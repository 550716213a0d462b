/* protection.c - does a fuse or breaker guard a cable? SPDX-License-Identifier: MIT */
#include "jackvolt/protection.h"

#include <math.h>
#include <string.h>

/* Highest conductor temperature of a short, degC: IEC 60364-5-54 (thermoplastic up to 300 mm2,
 * cross-linked, 60 degC rubber); a rule for buildings, here a yardstick. */
static const double short_thermoplastic_c = 160, short_cross_linked_c = 250, short_rubber_c = 200;
static const double table_air_c = 30; /* of the printed ampacity tables */

static char lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* Does a row's type begin with the name, as a word: "FLRY" of "FLRY-A / FLRY-B"? */
static bool is_type(const char *cell, const char *name) {
    size_t i = 0;
    for (; name[i]; i++)
        if (lower(cell[i]) != lower(name[i]))
            return false;
    char next = lower(cell[i]);
    return !((next >= 'a' && next <= 'z') || (next >= '0' && next <= '9'));
}

/* Short-time limit of the material in the insulation table; the lowest where it is not told. */
static double short_limit_c(const char *name) {
    const jv_table *t = jv_table_get("insulation");
    size_t type = jv_table_column_find(t, "type"), material = jv_table_column_find(t, "material");
    double limit = INFINITY;
    for (size_t row = 0; row < t->row_count; row++) {
        if (!is_type(jv_table_cell(t, row, type), name))
            continue;
        const char *of = jv_table_cell(t, row, material);
        double c = short_thermoplastic_c;
        if (strstr(of, "rubber"))
            c = short_rubber_c;
        if (strstr(of, "XLPE") && !strstr(of, "PVC"))
            c = short_cross_linked_c;
        limit = fmin(limit, c);
    }
    return isfinite(limit) ? limit : short_thermoplastic_c;
}

void jv_cable_limits_of(const char *insulation, bool wet, jv_cable_limits *out) {
    static const char lowest[] = "GPT", boat[] = "BC-5W2";
    jv_figure own, least;
    if (jv_table_insulation(lowest, &least) != JV_OK) /* a row of the constant table */
        least = (jv_figure){.value = table_air_c, .confidence = JV_WEAK};
    const char *name = insulation ? insulation : lowest;
    if (insulation && wet && is_type(boat, insulation))
        name = "BC-5W2 wet";
    bool known = insulation && jv_table_insulation(name, &own) == JV_OK;
    if (!known)
        own = least;
    out->assumed = !known;
    out->lasting_c = own.value;
    out->confidence = known ? own.confidence : JV_WEAK;
    out->source = own.source;
    out->solid_c = out->confidence == JV_WEAK ? fmin(own.value, least.value) : own.value;
    out->short_c = short_limit_c(known ? insulation : lowest);
}

/* Lasting amps that a printed table gives; infinity when none has the size. */
static double printed_amps(const jv_size *size, jv_metal metal, const jv_conductor *c,
                           const jv_surroundings *where, double solid_c) {
    jv_ampacity_table table =
        size->system == JV_SIZE_MM2 ? JV_AMPACITY_THIN_WALL : JV_AMPACITY_33CFR183;
    jv_figure amps;
    if (metal > JV_METAL_TINNED_COPPER ||
        jv_table_ampacity(table, size, solid_c, false, &amps) != JV_OK ||
        amps.confidence == JV_WEAK)
        return INFINITY;
    double factor = fmin(1, jv_ambient_factor(solid_c, table_air_c, where->air_c)) *
                    jv_bundle_factor(where->loaded_together);
    if (size->system == JV_SIZE_SAE)
        factor *= fmin(1, c->metal_area_mm2 / jv_awg_area_mm2(size->gauge));
    return amps.value * factor;
}

void jv_guarded_make(const jv_size *size, jv_metal metal, const jv_conductor *conductor,
                     const jv_surroundings *where, const jv_cable_limits *limits, jv_guarded *out) {
    static const jv_wall walls[] = {JV_WALL_THIN, JV_WALL_GENERAL, JV_WALL_THICK};
    jv_guarded g = {.metal_j_per_m_k = conductor->heat_j_per_m_k,
                    .start_c = where->air_c,
                    .limits = *limits};
    double least = INFINITY;
    for (size_t i = 0; i < sizeof walls / sizeof walls[0]; i++) {
        jv_heat_body body;
        jv_heat_body_make(conductor, walls[i], where, &body);
        double amps = jv_heat_current_for(&body, limits->solid_c);
        if (i > 0 && amps >= least)
            continue;
        least = amps;
        g.body = body;
    }
    g.printed_a = printed_amps(size, metal, conductor, where, limits->solid_c);
    *out = g;
}

/* The body as it warms within seconds. */
static jv_heat_body quick_body(const jv_guarded *g) {
    jv_heat_body b = g->body;
    b.capacity = g->metal_j_per_m_k;
    return b;
}

double jv_damage_s(const jv_guarded *cable, double current_a) {
    const jv_guarded *g = cable;
    jv_heat_steady steady = jv_heat_steady_at(&g->body, current_a);
    if (!steady.none && steady.temp_c <= g->limits.solid_c && g->start_c <= g->limits.solid_c)
        return INFINITY;
    if (g->start_c >= g->limits.short_c)
        return 0;
    jv_heat_body quick = quick_body(g);
    double t = jv_heat_time_to(&quick, current_a, g->start_c, g->limits.short_c);
    if (t <= JV_SHORT_TIME_S)
        return t;
    t = g->start_c < g->limits.solid_c
            ? jv_heat_time_to(&g->body, current_a, g->start_c, g->limits.solid_c)
            : 0;
    return fmax(t, JV_SHORT_TIME_S);
}

double jv_carries_a(const jv_guarded *cable) {
    return fmin(jv_heat_current_for(&cable->body, cable->limits.solid_c), cable->printed_a);
}

double jv_opens_by_s(const jv_time_curve *curve, double rating_a, double current_a, bool stepped) {
    double fraction = fabs(current_a) / rating_a, by = INFINITY;
    for (size_t i = 0; i < curve->count && curve->points[i].fraction <= fraction; i++)
        by = fmin(by, curve->points[i].greatest_s);
    if (stepped || isinf(by))
        return by;
    jv_fuse_band band = jv_fuse_opens(curve, fraction);
    return isfinite(band.greatest_s) ? fmin(by, band.greatest_s) : by;
}

double jv_opens_from_s(const jv_time_curve *curve, double rating_a, double share,
                       double current_a) {
    double fraction = fabs(current_a) / (rating_a * share);
    if (!(fraction > 0))
        return INFINITY;
    jv_fuse_band band = jv_fuse_opens(curve, fraction);
    if (isfinite(band.least_s))
        return band.least_s;
    /* Between a point with and one without a lower limit the later, lower one counts. */
    double from = 0;
    for (size_t i = curve->count; i-- > 0;)
        if (curve->points[i].fraction >= fraction && curve->points[i].least_s > 0)
            from = curve->points[i].least_s;
    return from;
}

double jv_must_open_a(const jv_time_curve *curve, double rating_a) {
    for (size_t i = 0; i < curve->count; i++)
        if (isfinite(curve->points[i].greatest_s))
            return curve->points[i].fraction * rating_a;
    return INFINITY;
}

double jv_device_hold_a(const jv_device *d) {
    const jv_time_curve *curve = &d->curve;
    size_t i = 0;
    while (i < curve->count && isinf(curve->points[i].greatest_s))
        i++;
    if (i == curve->count)
        return INFINITY;
    double fraction = i > 0 ? curve->points[i - 1].fraction : fmin(1, curve->points[0].fraction);
    return fraction * d->rating_a * d->share;
}

jv_opening jv_device_at(const jv_device *d, double current_a) {
    static const double nudge = 1.0 + 1e-9; /* a current at a printed point is not below it */
    double amps = fabs(current_a) * nudge, fraction = amps / (d->rating_a * d->share);
    jv_opening o = {.from_s = INFINITY, .by_s = INFINITY};
    if (d->curve.count == 0 || !(fraction > 0))
        return o;
    o.by_s = jv_opens_by_s(&d->curve, d->rating_a, amps, false);
    o.from_s = jv_opens_from_s(&d->curve, d->rating_a, d->share, amps);
    const jv_time_point *last = &d->curve.points[d->curve.count - 1];
    if (fraction > last->fraction && last->least_s > 0) {
        double ratio = last->fraction / fraction;
        o.from_s = last->least_s * ratio * ratio;
        o.extended = true;
    }
    return o;
}

double jv_device_rate(const jv_device *d, double current_a, bool late) {
    static const double shortest_s = 1e-6;
    if (fabs(current_a) <= jv_device_hold_a(d))
        return 0;
    jv_opening o = jv_device_at(d, current_a);
    double seconds = late ? o.by_s : o.from_s;
    if (isinf(seconds) || !(seconds > 0))
        return 0;
    return 1 / fmax(seconds, shortest_s);
}

static double temperature_after(const jv_guarded *g, double current_a, double time_s) {
    if (isinf(time_s)) {
        jv_heat_steady s = jv_heat_steady_at(&g->body, current_a);
        return s.none ? INFINITY : fmax(s.temp_c, fmin(g->start_c, s.temp_c));
    }
    jv_heat_body quick = quick_body(g);
    const jv_heat_body *body = time_s <= JV_SHORT_TIME_S ? &quick : &g->body;
    double t = jv_heat_after(body, current_a, g->start_c, time_s);
    return t < body->limit_c ? t : INFINITY;
}

static jv_guard_verdict judge(const jv_guarded *g, double time_s, double temp_c) {
    if (temp_c > g->limits.short_c)
        return JV_GUARD_FAILS;
    if (time_s <= JV_SHORT_TIME_S || temp_c <= g->limits.solid_c)
        return JV_GUARD_HOLDS;
    return JV_GUARD_WARM;
}

jv_guard_verdict jv_guard_at(const jv_guarded *cable, double current_a, double opens_s,
                             double *temp_c) {
    double t = temperature_after(cable, current_a, opens_s);
    if (temp_c)
        *temp_c = t;
    return judge(cable, opens_s, t);
}

/* The judgement at one current goes into the guard when it is worse than what is there, or as
 * good and closer. closeness: share of the cable's rise to its limit that is used. */
static void consider(const jv_guarded *g, double current_a, double time_s, double *closest,
                     jv_guard *out) {
    double temp = temperature_after(g, current_a, time_s);
    jv_guard_verdict v = judge(g, time_s, temp);
    double limit = time_s <= JV_SHORT_TIME_S ? g->limits.short_c : g->limits.solid_c;
    double used = (temp - g->start_c) / (limit - g->start_c);
    if (v < out->verdict || (v == out->verdict && !(used > *closest)))
        return;
    *closest = used;
    out->verdict = v;
    out->current_a = current_a;
    out->opens_s = time_s;
    out->damage_s = jv_damage_s(g, current_a);
    out->temp_c = temp;
}

/* Points of the scan between the must-open current and the largest. */
enum { SCAN = 64 };

static void scan(const jv_time_curve *curve, double rating_a, const jv_guarded *g, double most_a,
                 bool stepped, jv_guard *out) {
    double closest = -INFINITY, first = jv_must_open_a(curve, rating_a);
    out->verdict = JV_GUARD_HOLDS;
    /* What is just below the must-open point may flow for ever. */
    consider(g, fmin(first, most_a), INFINITY, &closest, out);
    if (!(most_a > first))
        return;
    for (int i = 0; i <= SCAN; i++) {
        double a = first * pow(most_a / first, (double)i / SCAN);
        consider(g, a, jv_opens_by_s(curve, rating_a, a, stepped), &closest, out);
    }
    /* A step's dearest current is just below the next printed point. */
    for (size_t i = 1; i < curve->count; i++) {
        double edge = curve->points[i].fraction * rating_a;
        if (edge > first && edge <= most_a)
            consider(g, edge, jv_opens_by_s(curve, rating_a, edge * (1 - 1e-9), stepped), &closest,
                     out);
    }
}

jv_status jv_guard_check(const jv_time_curve *curve, double rating_a, const jv_guarded *cable,
                         double most_a, jv_guard *out) {
    if (!(rating_a > 0) || !(most_a > 0))
        return JV_ERR_RANGE;
    jv_guard g = {.confidence = JV_SOLID}, steps = {0};
    for (size_t i = 0; i < curve->count; i++)
        if (isfinite(curve->points[i].greatest_s))
            g.confidence = jv_confidence_worse(g.confidence, curve->points[i].confidence);
    g.never_below_a = jv_must_open_a(curve, rating_a);
    scan(curve, rating_a, cable, most_a, false, &g);
    scan(curve, rating_a, cable, most_a, true, &steps);
    g.stepped = steps.verdict == JV_GUARD_HOLDS;
    if (isinf(g.never_below_a) && g.verdict != JV_GUARD_HOLDS) {
        g.verdict = JV_GUARD_UNKNOWN;
        g.confidence = JV_WEAK;
    }
    *out = g;
    return JV_OK;
}

/* ---- a short that heats its own wires ---- */

/* First step, growth of the steps, and when a change of the current no longer counts. */
static const double first_step_s = 1e-3, step_growth = 1.08, longest_s = 1e5;

static void warm(jv_short_wire *w, double time_s, double step_s) {
    jv_heat_body quick = quick_body(&w->cable);
    const jv_heat_body *body = time_s + step_s <= JV_SHORT_TIME_S ? &quick : &w->cable.body;
    w->temp_c = jv_heat_after(body, w->current_a, w->temp_c, step_s);
}

/* Of wires as near to their limit as rounding can tell, the first. */
static const double alike = 1e-9;

/* Which wire is nearest to its limit, and whether one has passed it. */
static void look(const jv_short_wire *wires, size_t n, double time_s, jv_short_outcome *out) {
    double closest = -INFINITY;
    for (size_t i = 0; i < n; i++) {
        const jv_cable_limits *l = &wires[i].cable.limits;
        double t = wires[i].temp_c;
        out->over_short = out->over_short || t > l->short_c;
        out->over_solid = out->over_solid || (time_s > JV_SHORT_TIME_S && t > l->solid_c);
        double used = t / (time_s <= JV_SHORT_TIME_S ? l->short_c : l->solid_c);
        if (i == 0 || used > closest + alike) {
            closest = used;
            out->hottest = i;
            out->hottest_c = t;
        }
    }
}

/* Does no wire get warmer by more than this share of its rise while the time doubles? */
static bool settled(const jv_short_wire *wires, size_t n) {
    static const double share = 1e-4;
    for (size_t i = 0; i < n; i++) {
        jv_heat_steady s = jv_heat_steady_at(&wires[i].cable.body, wires[i].current_a);
        if (s.none || fabs(s.temp_c - wires[i].temp_c) > share * fmax(1, s.temp_c))
            return false;
    }
    return true;
}

jv_status jv_short_follow(jv_short_wire *wires, size_t n, const jv_time_curve *curve,
                          double rating_a, jv_short_currents currents, void *ctx,
                          jv_short_outcome *out) {
    jv_short_outcome o = {0};
    double device_a, time_s = 0, step_s = first_step_s;
    for (size_t i = 0; i < n; i++)
        wires[i].temp_c = wires[i].cable.start_c;
    if (!currents(ctx, wires, n, &device_a))
        return JV_ERR_UNSOLVED;
    o.first_a = o.last_a = fabs(device_a);
    while (time_s < longest_s) {
        for (size_t i = 0; i < n; i++)
            warm(&wires[i], time_s, step_s);
        time_s += step_s;
        if (!currents(ctx, wires, n, &device_a))
            return JV_ERR_UNSOLVED;
        o.last_a = fabs(device_a);
        look(wires, n, time_s, &o);
        if (o.over_short)
            break;
        if (curve && time_s >= jv_opens_by_s(curve, rating_a, o.last_a, false)) {
            o.opens = true;
            o.opens_s = time_s;
            break;
        }
        if (settled(wires, n) && (!curve || isinf(jv_opens_by_s(curve, rating_a, o.last_a, false))))
            break;
        step_s *= step_growth;
    }
    o.end_s = time_s;
    *out = o;
    return JV_OK;
}
