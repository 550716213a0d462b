/* cable.c - one circuit without a file: which cable, which fuse.
 * SPDX-License-Identifier: MIT */
#include "jackvolt/cable.h"

#include "jackvolt/fuse.h"
#include "jackvolt/heat.h"

#include <math.h>
#include <string.h>

/* The published drop tables are made for 12 V; a battery under a jack's load is
 * near it. */
#define SUPPLY_V 12.0
/* The ambient of 33 CFR 183.425 Table 5 and of NFPA 70 Table 310.17. */
#define AIR_C 30.0
/* Lowest rating of automotive primary cable (SAE J1128, 80 degC). */
#define INSULATION "GPT"
/* Where an insulation's rating is known from memory only: the lowest rating of
 * any cable here that was read, 60 degC (UL 1426). */
#define INSULATION_SOLID_C 60.0
/* The feed and the return lie side by side. */
#define CABLES_TOGETHER 2
/* Rounding of the arithmetic must not refuse a size that holds exactly. */
#define HOLDS_TO (1.0 + 1e-9)

#define WEAK_INSULATION "the insulation's limit is known from memory only"

static const jv_wall walls[] = {JV_WALL_THIN, JV_WALL_GENERAL, JV_WALL_THICK};
enum { WALLS = sizeof walls / sizeof walls[0] };

const char *jv_cable_verdict_word(jv_cable_verdict verdict) {
    switch (verdict) {
    case JV_CABLE_FITS:
        return "fits";
    case JV_CABLE_TOO_MUCH_DROP:
        return "too much drop";
    case JV_CABLE_TOO_HOT:
        return "too hot";
    case JV_CABLE_NO_FUSE:
        return "no fuse fits";
    case JV_CABLE_UNKNOWN:
        break;
    }
    return "unknown";
}

static bool in_range(double value, double most) {
    return isfinite(value) && value > 0 && value <= most;
}

/* Volts that may be lost, from whatever the limit was stated in. */
static jv_status set_limit(jv_cable_answer *a) {
    const jv_cable_question *q = &a->question;
    double supply = q->supply_v;
    if (q->limit == JV_CABLE_LIMIT_DEFAULT) {
        jv_status status = jv_table_rule("ABYC-08a", &a->limit_rule);
        if (status != JV_OK)
            return status;
        a->limit_drop_v = a->limit_rule.value / 100 * supply;
    } else if (q->limit == JV_CABLE_LIMIT_SHARE) {
        a->limit_drop_v = q->limit_value * supply;
    } else if (q->limit == JV_CABLE_LIMIT_DROP) {
        a->limit_drop_v = q->limit_value;
    } else {
        a->limit_drop_v = supply - q->limit_value;
    }
    return isfinite(a->limit_drop_v) && a->limit_drop_v > 0 && a->limit_drop_v <= supply
               ? JV_OK
               : JV_ERR_RANGE;
}

/* Fill in what the question left open and check the rest. */
static jv_status set_question(const jv_cable_question *question, jv_cable_answer *a) {
    a->question = *question;
    jv_cable_question *q = &a->question;
    a->supply_assumed = q->supply_v == 0;
    a->air_assumed = !q->has_air;
    a->insulation_assumed = !q->insulation;
    if (a->supply_assumed)
        q->supply_v = SUPPLY_V;
    if (a->air_assumed)
        q->air_c = AIR_C;
    if (a->insulation_assumed)
        q->insulation = INSULATION;
    if (!in_range(q->current_a, JV_CABLE_MOST_A) || !in_range(q->loop_m, JV_CABLE_MOST_M) ||
        !in_range(q->supply_v, JV_CABLE_MOST_V) || !isfinite(q->air_c) || !(q->for_s >= 0))
        return JV_ERR_RANGE;
    a->one_way_m = q->loop_m / 2;
    jv_status status = jv_table_insulation(q->insulation, &a->insulation_c);
    if (status != JV_OK)
        return status;
    a->insulation_solid_c = a->insulation_c.value;
    if (a->insulation_c.confidence == JV_WEAK)
        a->insulation_solid_c = fmin(a->insulation_solid_c, INSULATION_SOLID_C);
    if (q->air_c >= a->insulation_solid_c)
        return JV_ERR_RANGE;
    return set_limit(a);
}

/* True when the row's name begins with the insulation asked for, ASCII case ignored
 * ("flry" and "FLRY-A / FLRY-B"). */
static bool names_row(const char *cell, const char *insulation) {
    for (; *insulation; insulation++, cell++) {
        int a = *cell >= 'a' && *cell <= 'z' ? *cell - 'a' + 'A' : *cell;
        int b = *insulation >= 'a' && *insulation <= 'z' ? *insulation - 'a' + 'A' : *insulation;
        if (a != b) {
            return false;
        }
    }
    return true;
}

/* The wall class of an insulation, from the words of its first row. */
static jv_wall wall_of(const char *insulation) {
    const jv_table *t = jv_table_get("insulation");
    size_t row = 0;
    while (t && row < t->row_count && !names_row(jv_table_cell(t, row, 0), insulation)) {
        row++;
    }
    for (size_t c = 0; t && c < t->column_count; c++) {
        const char *cell = jv_table_cell(t, row, c); /* "" when no row was found */
        if (strstr(cell, "thin wall")) {
            return JV_WALL_THIN;
        }
        if (strstr(cell, "thick") || strstr(cell, "heavy wall")) {
            return JV_WALL_THICK;
        }
    }
    return JV_WALL_GENERAL;
}

/* Conductor of a size. Metric sizes whose vehicle figure is from memory are
 * worked out with the IEC 60228 class 5 limit, which was read. */
static jv_status make_conductor(const jv_size *size, jv_metal metal, jv_conductor *c) {
    jv_status status = jv_conductor_make(size, metal, c);
    if (status != JV_OK || c->confidence != JV_WEAK || size->system != JV_SIZE_MM2 ||
        metal > JV_METAL_TINNED_COPPER)
        return status;
    jv_figure r;
    if (jv_table_metric_resistance(size->area_mm2, JV_METRIC_IEC_CLASS_5,
                                   metal == JV_METAL_TINNED_COPPER, &r) == JV_OK &&
        r.confidence != JV_WEAK) {
        c->metal_area_mm2 *= c->r20_ohm_per_m / r.value;
        c->mass_kg_per_m *= c->r20_ohm_per_m / r.value;
        c->r20_ohm_per_m = r.value;
        c->source = r.source;
        c->confidence = r.confidence;
    }
    return JV_OK;
}

/* What the heat balance says of one conductor, over the three walls. */
typedef struct warmth {
    double temp_c;    /* for the wall named; NAN: no steady temperature */
    double least_c;   /* coolest wall */
    double most_c;    /* warmest wall; infinity: no steady temperature */
    double carries_a; /* of the wall that cools worst */
} warmth;

static double temperature(const jv_heat_body *body, const jv_cable_question *q) {
    if (q->for_s > 0) {
        double t = jv_heat_after(body, q->current_a, q->air_c, q->for_s);
        return t < body->limit_c ? t : INFINITY;
    }
    jv_heat_steady s = jv_heat_steady_at(body, q->current_a);
    return s.none ? INFINITY : s.temp_c;
}

/* Continuous amps that a printed table gives the size: 33 CFR 183.425 Table 5 (boats) for
 * gauges, a maker's table of thin-wall vehicle cable for mm2; less in air above the 30 degC of the
 * tables (H9), and for the smaller copper of an SAE size. Infinity when no table has it. */
static double printed_amps(const jv_cable_answer *a, const jv_size *size, const jv_conductor *c) {
    jv_ampacity_table table =
        size->system == JV_SIZE_MM2 ? JV_AMPACITY_THIN_WALL : JV_AMPACITY_33CFR183;
    jv_figure amps;
    if (jv_table_ampacity(table, size, a->insulation_solid_c, false, &amps) != JV_OK ||
        amps.confidence == JV_WEAK)
        return INFINITY;
    double factor = jv_ambient_factor(a->insulation_solid_c, AIR_C, a->question.air_c);
    if (size->system == JV_SIZE_SAE)
        factor *= fmin(1, c->metal_area_mm2 / jv_awg_area_mm2(size->gauge));
    return amps.value * fmin(1, factor);
}

static warmth find_warmth(const jv_cable_answer *a, const jv_conductor *c, jv_wall named) {
    warmth w = {NAN, INFINITY, -INFINITY, INFINITY};
    const jv_surroundings where = {.air_c = a->question.air_c, .loaded_together = CABLES_TOGETHER};
    for (size_t i = 0; i < WALLS; i++) {
        jv_heat_body body;
        jv_heat_body_make(c, walls[i], &where, &body);
        /* Within seconds the insulation has hardly warmed: it gets no credit (safe side). */
        body.capacity = c->heat_j_per_m_k;
        double t = temperature(&body, &a->question);
        if (walls[i] == named && isfinite(t))
            w.temp_c = t;
        w.least_c = fmin(w.least_c, t);
        w.most_c = fmax(w.most_c, t);
        w.carries_a = fmin(w.carries_a, jv_heat_current_for(&body, a->insulation_solid_c));
    }
    return w;
}

/* The least rating sold that carries the current for good and is not above what
 * the cable carries. NAN when there is none; *possible tells whether any rating
 * could be. */
static double find_fuse(const jv_cable_answer *a, double carries_a, jv_fuse_style *style,
                        bool *possible) {
    static const jv_fuse_style styles[] = {JV_FUSE_BLADE_C, JV_FUSE_BLADE_E, JV_FUSE_BOLT_IN};
    double best = NAN;
    jv_figure lasting;
    *possible = jv_table_fuse_continuous(&lasting) == JV_OK &&
                a->question.current_a / lasting.value <= carries_a;
    for (size_t s = 0; s < sizeof styles / sizeof styles[0]; s++) {
        jv_figure share;
        size_t n;
        const double *ratings = jv_table_fuse_ratings(styles[s], &n);
        if (jv_fuse_lasting_share(styles[s], a->question.air_c, &share) != JV_OK || !ratings)
            continue;
        double least = a->question.current_a / share.value;
        for (size_t i = 0; i < n; i++) {
            if (ratings[i] < least || ratings[i] > carries_a)
                continue;
            if (isnan(best) || ratings[i] < best) {
                best = ratings[i];
                *style = styles[s];
            }
            break;
        }
    }
    return best;
}

static void judge(const jv_cable_answer *a, const warmth *w, bool fuse_possible,
                  jv_cable_row *row) {
    if (w->least_c > a->insulation_c.value && a->insulation_c.confidence != JV_WEAK) {
        row->verdict = JV_CABLE_TOO_HOT;
        row->why = "the conductor runs hotter than its insulation stands";
    } else if (row->drop_v > a->limit_drop_v * HOLDS_TO) {
        row->verdict = JV_CABLE_TOO_MUCH_DROP;
        row->why = "more volts are lost than allowed";
    } else if (w->most_c > a->insulation_solid_c) {
        row->verdict = JV_CABLE_UNKNOWN;
        row->why = a->insulation_c.confidence == JV_WEAK
                       ? WEAK_INSULATION
                       : "hot or not depends on the thickness of the insulation";
    } else if (isnan(row->fuse_a) && !fuse_possible && a->insulation_c.confidence == JV_WEAK) {
        row->verdict = JV_CABLE_UNKNOWN;
        row->why = WEAK_INSULATION;
    } else if (isnan(row->fuse_a) && !fuse_possible) {
        row->verdict = JV_CABLE_NO_FUSE;
        row->why = "a fuse that carries the current is above what the cable carries";
    } else if (isnan(row->fuse_a)) {
        row->verdict = JV_CABLE_UNKNOWN;
        row->why = "no fuse rating is known here that lies between current and cable";
    } else {
        row->verdict = JV_CABLE_FITS;
        row->why = "drop, heat and fuse all hold";
    }
}

static jv_cable_row make_row(const jv_cable_answer *a, const jv_size *size, const jv_conductor *c) {
    const jv_cable_question *q = &a->question;
    warmth w = find_warmth(a, c, wall_of(q->insulation));
    jv_cable_row row = {.size = *size,
                        .area_mm2 = c->metal_area_mm2,
                        .temp_c = w.temp_c,
                        .carries_a = w.carries_a,
                        .mass_kg = c->mass_kg_per_m * q->loop_m,
                        .confidence = c->confidence};
    if (q->metal <= JV_METAL_TINNED_COPPER) /* the printed tables are for copper */
        row.carries_a = fmin(row.carries_a, printed_amps(a, size, c));
    row.resistance_ohm = isnan(w.temp_c) ? NAN : jv_conductor_resistance(c, q->loop_m, w.temp_c);
    row.drop_v = row.resistance_ohm * q->current_a;
    row.drop_share = row.drop_v / q->supply_v;
    row.left_v = q->supply_v - row.drop_v;
    bool possible;
    row.fuse_a = find_fuse(a, row.carries_a, &row.fuse_style, &possible);
    judge(a, &w, possible, &row);
    return row;
}

/* A size whose copper is known from memory may not decide by itself. It fails
 * for sure when AWG of the same number fails, because SAE copper is smaller; it
 * fits for sure when a thinner size that was read fits. */
static void doubt_weak_row(jv_cable_answer *a, jv_cable_row *row) {
    if (row->verdict == JV_CABLE_FITS) {
        for (size_t i = 0; i < a->count; i++)
            if (a->rows[i].verdict == JV_CABLE_FITS)
                return;
    } else if (row->size.system == JV_SIZE_SAE) {
        jv_size awg = {.system = JV_SIZE_AWG, .gauge = row->size.gauge};
        jv_conductor c;
        if (jv_conductor_make(&awg, a->question.metal, &c) == JV_OK &&
            make_row(a, &awg, &c).verdict == row->verdict)
            return;
    }
    row->verdict = JV_CABLE_UNKNOWN;
    row->why = "the copper of this size is known from memory only";
}

jv_status jv_cable_find(const jv_cable_question *question, jv_cable_answer *out) {
    jv_cable_answer a = {0};
    jv_status status = set_question(question, &a);
    if (status != JV_OK)
        return status;
    size_t n;
    const jv_size *sizes = jv_table_sizes(a.question.basis, &n);
    size_t chosen = n;
    for (size_t i = 0; sizes && i < n && a.count < JV_CABLE_ROWS; i++) {
        jv_conductor c;
        if (make_conductor(&sizes[i], a.question.metal, &c) != JV_OK)
            continue;
        jv_cable_row row = make_row(&a, &sizes[i], &c);
        if (row.confidence == JV_WEAK)
            doubt_weak_row(&a, &row);
        if (row.verdict == JV_CABLE_FITS && chosen == n)
            chosen = a.count;
        a.rows[a.count++] = row;
    }
    a.chosen = chosen < a.count ? chosen : a.count;
    jv_fuse_style style = a.chosen < a.count ? a.rows[a.chosen].fuse_style : JV_FUSE_BLADE_E;
    status = jv_fuse_lasting_share(style, a.question.air_c, &a.fuse_share);
    if (status == JV_OK)
        *out = a;
    return status;
}
