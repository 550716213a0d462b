/* lanes.c - eight operating points side by side. SPDX-License-Identifier: MIT */
#include "solve/lanes.h"

#include "solve/lanes_net.h"
#include "solve/system.h"

#include <math.h>
#include <string.h>

enum { STEPS = 10 }; /* before a lane is handed back */
/* The law of a string must be met to this, V: what is missed is a share of it. Pieces keep this
 * apart, V and A. */
static const double met_v = 5e-8, border_v = 1e-10, border_a = 1e-9;

JV_LANE_BODY unsigned all_lanes(void) {
    return (1u << JV_LANES) - 1u;
}

/* Checks are sums of squares and not comparisons: gcc 12 takes vectors apart that it compares in
 * a body. A NaN stays one. */
JV_LANE_BODY void add_miss(const jv_lane *off, double bound, jv_lane *miss) {
    jv_lane share = *off * (1.0 / bound);
    *miss += share * share;
}

/* Adds nothing where |x| <= 1, and something where it is not. */
JV_LANE_BODY void add_outside(const jv_lane *x, jv_lane *outside) {
    const jv_lane_bits size = (jv_lane_bits){0} + INT64_MAX;
    jv_lane beyond = *x * *x - 1.0;
    *outside += beyond + (jv_lane)((jv_lane_bits)beyond & size);
}

JV_LANE_BODY unsigned bits_of_met(const jv_lane *miss) {
    unsigned bits = 0;
    for (unsigned n = 0; n < JV_LANES; n++)
        bits |= (unsigned)((*miss)[n] <= 1.0) << n;
    return bits;
}

JV_LANE_BODY bool is_outside(const jv_lane *outside) {
    double sum = 0.0;
    for (unsigned n = 0; n < JV_LANES; n++)
        sum += (*outside)[n];
    return !(sum <= 0.0);
}

/* --- strings --- */

/* Ohms of a warm member by its curve, lane by lane: where its polynomial does not reach. */
static unsigned warm_by_curve(const jv_lane_member *m, const jv_lane *r, const jv_lane *amps,
                              jv_lane *ohms, jv_lane *slope) {
    unsigned lost = 0;
    for (unsigned n = 0; n < JV_LANES; n++) {
        double temp, per_a;
        if (!jv_heat_curve_at(m->curve, (*amps)[n], &temp, &per_a)) {
            lost |= 1u << n;
            continue;
        }
        double warm = 1.0 + m->r_slope * (temp - m->r_at_c);
        (*ohms)[n] += (*r)[n] * warm;
        (*slope)[n] += (*r)[n] * (warm + (*amps)[n] * m->r_slope * per_a);
    }
    return lost;
}

/* The same by the polynomial. */
JV_LANE_BODY void warm_by_polynomial(const jv_lane_member *m, const jv_lane *r, const jv_lane *amps,
                                     jv_lane *ohms, jv_lane *slope, jv_lane *outside) {
    const jv_lane_bits sign = (jv_lane_bits){0} + INT64_MAX;
    jv_lane size = (jv_lane)((jv_lane_bits)*amps & sign);
    jv_lane x = (size - m->middle) * m->per_half;
    add_outside(&x, outside);
    jv_lane temp = (jv_lane){0} + m->term[JV_LANES_TERMS - 1], per = {0};
    JV_LANE_UNROLL
    for (int k = JV_LANES_TERMS - 2; k >= 0; k--) {
        per = per * x + temp;
        temp = temp * x + m->term[k];
    }
    jv_lane warm = 1.0 + m->r_slope * (temp - m->r_at_c);
    *ohms += *r * warm;
    *slope += *r * (warm + size * per * (m->r_slope * m->per_half));
}

/* The same where its air or its time differ: its terms do too. */
JV_LANE_BODY void warm_by_drawn(const jv_lane_member *m, const jv_lane *r, const jv_lane *amps,
                                jv_lane *ohms, jv_lane *slope, jv_lane *outside) {
    const jv_lane_bits sign = (jv_lane_bits){0} + INT64_MAX;
    jv_lane size = (jv_lane)((jv_lane_bits)*amps & sign);
    jv_lane x = (size - m->middle) * m->per_half;
    add_outside(&x, outside);
    jv_lane temp = m->drawn[JV_LANES_TERMS - 1], per = {0};
    JV_LANE_UNROLL
    for (int k = JV_LANES_TERMS - 2; k >= 0; k--) {
        per = per * x + temp;
        temp = temp * x + m->drawn[k];
    }
    jv_lane warm = 1.0 + m->r_slope * (temp - m->r_at_c);
    *ohms += *r * warm;
    *slope += *r * (warm + size * per * (m->r_slope * m->per_half));
}

/* The terms of such members for the draws at hand. */
JV_LANE_BODY void draw_terms(jv_lanes *l) {
    for (size_t k = 0; k < l->n_members; k++) {
        const jv_lane_member *m = &l->members[k];
        if (!m->drawn)
            continue;
        jv_lane y = (l->number[m->element][m->by] - m->by_middle) * m->per_by_half;
        for (int n = 0; n < JV_LANES_TERMS; n++) {
            const double *term = m->of_term + n * JV_LANES_BY_TERMS;
            jv_lane sum = (jv_lane){0} + term[JV_LANES_BY_TERMS - 1];
            JV_LANE_UNROLL
            for (int q = JV_LANES_BY_TERMS - 2; q >= 0; q--)
                sum = sum * y + term[q];
            m->drawn[n] = sum;
        }
    }
}

/* Ohms, slope and volts of a string at its current, by the polynomials; adds to *outside where
 * they do not hold. */
JV_LANE_BODY void sum_string(jv_lanes *l, size_t k, jv_lane *outside) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane_member *m = &l->members[p->first], *end = m + p->n_members;
    jv_lane ohms = {0}, slope = {0}, emf = {0}, amps = l->amps[k];
    for (; m < end; m++) {
        const jv_lane *number = l->number[m->element];
        if (m->curve) {
            warm_by_polynomial(m, &number[JV_FIELD_R], &amps, &ohms, &slope, outside);
        } else if (m->drawn) {
            warm_by_drawn(m, &number[JV_FIELD_R], &amps, &ohms, &slope, outside);
        } else {
            ohms += number[JV_FIELD_R];
            slope += number[JV_FIELD_R];
        }
        if (m->has_e)
            emf += m->sign * number[JV_FIELD_E];
    }
    l->ohms[k] = ohms;
    l->slope[k] = slope;
    l->emf[k] = emf;
}

/* The same by the curves themselves. Bits of the lanes that left them. */
static unsigned sum_by_curves(jv_lanes *l, size_t k) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane_member *m = &l->members[p->first], *end = m + p->n_members;
    unsigned lost = 0;
    l->ohms[k] = l->slope[k] = l->emf[k] = (jv_lane){0};
    for (; m < end; m++) {
        const jv_lane *r = &l->number[m->element][JV_FIELD_R];
        l->emf[k] += m->sign * l->number[m->element][JV_FIELD_E];
        if (m->curve) {
            lost |= warm_by_curve(m, r, &l->amps[k], &l->ohms[k], &l->slope[k]);
        } else if (m->drawn) { /* there is no curve behind it: such lanes are handed back */
            jv_lane outside = {0};
            warm_by_drawn(m, r, &l->amps[k], &l->ohms[k], &l->slope[k], &outside);
            for (unsigned n = 0; n < JV_LANES; n++)
                lost |= (unsigned)!(outside[n] <= 0.0) << n;
        } else {
            l->ohms[k] += *r;
            l->slope[k] += *r;
        }
    }
    return lost;
}

/* Each part linearised about the current of the start; a load of power about its volts. */
JV_LANE_BODY void rewind_parts(jv_lanes *l, size_t end) {
    draw_terms(l);
    for (size_t k = 0; k < end; k++) {
        const jv_lane_part *p = &l->parts[k];
        memset(l->mode[k], l->start_mode[k], sizeof l->mode[k]);
        l->amps[k] = (jv_lane){0} + (p->law == JV_POWER ? l->start_v[k] : l->start_i[k]);
        if (!p->n_members)
            continue;
        jv_lane outside = {0};
        if (p->rough)
            sum_by_curves(l, k);
        else
            sum_string(l, k, &outside);
    }
}

void jv_lanes_rewind(jv_lanes *l) {
    rewind_parts(l, l->n_parts);
}

/* --- a step --- */

/* i = j + g (va - vb) into the nodal matrix. */
JV_LANE_BODY void stamp_nodal(const jv_lane_part *p, const jv_lane *g, const jv_lane *j,
                              jv_lane *value, jv_lane *b) {
    value[p->at[0]] += *g;
    value[p->at[1]] -= *g;
    value[p->at[2]] -= *g;
    value[p->at[3]] += *g;
    b[p->row_a] -= *j;
    b[p->row_b] += *j;
}

/* At a limit the slope is next to none, about the volts of the start. */
JV_LANE_BODY void stamp_sink(const jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    jv_lane g = 1.0 / number[JV_FIELD_R], j = {0};
    for (unsigned n = 0; n < JV_LANES; n++) {
        if (l->mode[k][n] == JV_MODE_LINEAR)
            continue;
        g[n] *= jv_lanes_slope_floor;
        j[n] =
            l->mode[k][n] == JV_MODE_LIMIT ? number[JV_FIELD_LIMIT][n] : -number[JV_FIELD_BACK][n];
        j[n] -= g[n] * l->start_v[k];
    }
    stamp_nodal(p, &g, &j, value, b);
}

JV_LANE_BODY void stamp_power(const jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    jv_lane amps = l->number[p->element][JV_FIELD_LIMIT] / l->amps[k];
    jv_lane g = -amps / l->amps[k], j = 2.0 * amps;
    stamp_nodal(p, &g, &j, value, b);
}

/* A regulator's own current: steady, or fading below its knee where it was so at the start. */
JV_LANE_BODY void stamp_own_current(const jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    jv_lane own = l->number[p->element][JV_FIELD_QUIESCENT];
    if (l->start_v[k] >= jv_lanes_knee_v) {
        b[p->row_a] -= own;
        b[p->row_b] += own;
        return;
    }
    own /= jv_lanes_knee_v;
    value[p->own[0]] += own;
    value[p->own[1]] -= own;
    value[p->own[2]] -= own;
    value[p->own[3]] += own;
}

JV_LANE_BODY void stamp_kept(const jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    int8_t mode = l->start_mode[k];
    if (p->law == JV_REGULATOR) {
        if (mode != JV_MODE_BACK) {
            value[p->at[3]] += number[JV_FIELD_R];
            if (p->follows)
                b[p->row_j] -= number[JV_FIELD_DROP];
            else if (!p->dead)
                b[p->row_j] += number[JV_FIELD_E];
        }
        stamp_own_current(l, k, value, b);
    } else if (mode == JV_MODE_LINEAR) {
        jv_lane ohms = p->n_members ? l->ohms[k] : number[JV_FIELD_R];
        jv_lane slope = p->n_members ? l->slope[k] : ohms;
        for (unsigned n = 0; n < JV_LANES; n++)
            slope[n] = slope[n] < jv_lanes_ohm_floor ? jv_lanes_ohm_floor : slope[n];
        value[p->at[3]] -= slope;
        b[p->row_j] += number[JV_FIELD_E] + (ohms - slope) * l->amps[k];
    } else if (mode == JV_MODE_LIMIT) {
        b[p->row_j] -= number[JV_FIELD_LIMIT];
    }
}

JV_LANE_BODY void stamp(jv_lanes *l, size_t k, jv_lane *value, jv_lane *b) {
    const jv_lane_part *p = &l->parts[k];
    if (p->keeps) {
        stamp_kept(l, k, value, b);
    } else if (p->law == JV_SINK) {
        stamp_sink(l, k, value, b);
    } else if (p->law == JV_POWER) {
        stamp_power(l, k, value, b);
    } else {
        /* v = emf + ohms i0 + slope (i - i0) */
        jv_lane g = 1.0 / l->slope[k];
        jv_lane j = l->amps[k] - g * (l->ohms[k] * l->amps[k] + l->emf[k]);
        stamp_nodal(p, &g, &j, value, b);
    }
}

void jv_lanes_stamp_base(jv_lanes *l, size_t part) {
    stamp(l, part, l->base, l->base_b);
}

/* A string at its new current: how far its law was from its line. *outside: as in sum_string. */
JV_LANE_BODY void look_at_string(jv_lanes *l, size_t k, const jv_lane *x, unsigned *lost,
                                 jv_lane *outside, jv_lane *miss) {
    const jv_lane_part *p = &l->parts[k];
    jv_lane v = x[p->a] - x[p->b], line = l->emf[k] + l->ohms[k] * l->amps[k];
    if (p->keeps)
        l->amps[k] = x[p->j];
    else
        l->amps[k] += (v - line) / l->slope[k];
    if (p->rough)
        *lost |= sum_by_curves(l, k);
    else
        sum_string(l, k, outside);
    jv_lane off = v - l->emf[k] - l->ohms[k] * l->amps[k];
    add_miss(&off, met_v, miss);
}

/* Some have left the polynomials: all strings once more by the curves. */
static void look_again(jv_lanes *l, const jv_lane *x, unsigned *lost, jv_lane *miss) {
    for (size_t k = 0; k < l->n_moving; k++) {
        const jv_lane_part *p = &l->parts[k];
        if (!p->n_members)
            continue;
        *lost |= sum_by_curves(l, k);
        jv_lane off = x[p->a] - x[p->b] - l->emf[k] - l->ohms[k] * l->amps[k];
        add_miss(&off, met_v, miss);
    }
}

JV_LANE_BODY unsigned look_at_sink(jv_lanes *l, size_t k, const jv_lane *x) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    jv_lane v = x[p->a] - x[p->b], most = number[JV_FIELD_LIMIT] * number[JV_FIELD_R],
            least = -number[JV_FIELD_BACK] * number[JV_FIELD_R];
    unsigned same = 0;
    for (unsigned n = 0; n < JV_LANES; n++) {
        int8_t was = l->mode[k][n], now = was;
        bool back_on_slope = (was == JV_MODE_LIMIT && v[n] < most[n] - border_v) ||
                             (was == JV_MODE_BACK && v[n] > least[n] + border_v);
        if (back_on_slope)
            now = JV_MODE_LINEAR;
        else if (was == JV_MODE_LINEAR && v[n] > most[n] + border_v)
            now = JV_MODE_LIMIT;
        else if (was == JV_MODE_LINEAR && v[n] < least[n] - border_v)
            now = JV_MODE_BACK;
        l->mode[k][n] = now;
        same |= (unsigned)(now == was) << n;
    }
    return same;
}

JV_LANE_BODY void look_at_power(jv_lanes *l, size_t k, const jv_lane *x, unsigned *lost,
                                jv_lane *miss) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    jv_lane v = x[p->a] - x[p->b], moved = v - l->amps[k];
    static const double near_v = 1e-6; /* the error is the square of it over the volts */
    for (unsigned n = 0; n < JV_LANES; n++)
        if (!(v[n] > number[JV_FIELD_E][n]))
            *lost |= 1u << n;
    l->amps[k] = v;
    add_miss(&moved, near_v, miss);
}

/* Sources and regulators must stay on the piece where they were at the start. */
JV_LANE_BODY unsigned strayed(const jv_lanes *l, size_t k, const jv_lane *x) {
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[p->element];
    int8_t mode = l->start_mode[k];
    jv_lane v = x[p->a] - x[p->b], i = x[p->j], e = number[JV_FIELD_E];
    unsigned bits = 0;
    for (unsigned n = 0; n < JV_LANES; n++) {
        bool good;
        if (p->law == JV_REGULATOR) {
            double most = fmin(number[JV_FIELD_LIMIT][n], number[JV_FIELD_BACK][n]);
            double spare = v[n] - number[JV_FIELD_DROP][n] - e[n];
            good = (v[n] >= jv_lanes_knee_v) == (l->start_v[k] >= jv_lanes_knee_v);
            if (mode != JV_MODE_BACK)
                good = good && i[n] >= -border_a && i[n] <= most;
            if (mode == JV_MODE_BACK || p->dead)
                good = good && v[n] <= number[JV_FIELD_DROP][n];
            else
                good = good && v[n] > number[JV_FIELD_DROP][n] &&
                       (p->follows ? spare <= 0.0 : spare >= 0.0);
        } else if (mode == JV_MODE_LINEAR) {
            good = i[n] <= 0.0 && -i[n] <= number[JV_FIELD_LIMIT][n];
        } else if (mode == JV_MODE_BACK) {
            good = v[n] >= e[n];
        } else {
            good = v[n] <= e[n] - number[JV_FIELD_R][n] * number[JV_FIELD_LIMIT][n];
        }
        bits |= (unsigned)!good << n;
    }
    return bits;
}

/* Brings all parts to the new unknowns. Bits of the lanes in which each law was met. */
JV_LANE_BODY unsigned look(jv_lanes *l, unsigned *lost) {
    jv_lane miss = {0}, outside = {0}, powers = {0};
    unsigned same = all_lanes();
    for (size_t k = 0; k < l->n_moving; k++) {
        switch ((jv_law)l->parts[k].law) {
        case JV_SERIES:
            look_at_string(l, k, l->b, lost, &outside, &miss);
            break;
        case JV_SINK:
            same &= look_at_sink(l, k, l->b);
            break;
        case JV_POWER:
            look_at_power(l, k, l->b, lost, &powers);
            break;
        case JV_SOURCE:
        case JV_REGULATOR:
            break;
        }
    }
    if (is_outside(&outside)) {
        miss = (jv_lane){0};
        look_again(l, l->b, lost, &miss);
    }
    miss += powers;
    return bits_of_met(&miss) & same;
}

JV_LANE_BODY unsigned solve(jv_lanes *l) {
    size_t entries = (size_t)l->lu.start[l->lu.n], n = (size_t)l->lu.n;
    unsigned met = 0, lost = 0;
    rewind_parts(l, l->n_moving);
    for (int step = 0; step < STEPS && (met | lost) != all_lanes(); step++) {
        memcpy(l->lu.value, l->base, entries * sizeof *l->base);
        memcpy(l->b, l->base_b, n * sizeof *l->b);
        for (size_t k = 0; k < l->n_moving; k++)
            stamp(l, k, l->lu.value, l->b);
        lost |= ~jv_lanes_lu_eliminate(&l->lu, l->b) & all_lanes();
        met = look(l, &lost);
        l->steps++;
    }
    for (size_t k = 0; k < l->n_parts; k++)
        if (l->parts[k].law == JV_SOURCE || l->parts[k].law == JV_REGULATOR)
            lost |= strayed(l, k, l->b);
    return met & ~lost;
}

static unsigned solve_plain(jv_lanes *l) {
    return solve(l);
}
JV_LANE_AVX2 static unsigned solve_256(jv_lanes *l) {
    return solve(l);
}
JV_LANE_AVX512 static unsigned solve_512(jv_lanes *l) {
    return solve(l);
}

unsigned jv_lanes_solve(jv_lanes *l) {
    switch (l->width) {
    case JV_LANE_512:
        return solve_512(l);
    case JV_LANE_256:
        return solve_256(l);
    case JV_LANE_PLAIN:
        break;
    }
    return solve_plain(l);
}

/* --- answers --- */

double *jv_lanes_number(jv_lanes *l, size_t element, jv_field field) {
    return (double *)&l->number[element][field];
}

const double *jv_lanes_volts(const jv_lanes *l, size_t node) {
    return (const double *)&l->b[l->lu.at_col[l->number_of[node]]];
}

void jv_lanes_current(const jv_lanes *l, size_t element, double out[JV_LANES]) {
    size_t k = l->part_of[element];
    if (k == UINT32_MAX) {
        memset(out, 0, JV_LANES * sizeof *out);
        return;
    }
    const jv_lane_part *p = &l->parts[k];
    const jv_lane *number = l->number[element];
    jv_lane v = l->b[p->a] - l->b[p->b], i;
    if (p->keeps)
        i = l->b[p->j];
    else if (p->law == JV_SERIES)
        i = (v - l->emf[k]) / l->ohms[k] * l->sign_of[element];
    else if (p->law == JV_POWER)
        i = number[JV_FIELD_LIMIT] / v;
    else
        i = v / number[JV_FIELD_R];
    for (unsigned n = 0; n < JV_LANES; n++) {
        out[n] = i[n];
        if (p->law == JV_SINK && l->mode[k][n] != JV_MODE_LINEAR)
            out[n] = l->mode[k][n] == JV_MODE_LIMIT ? number[JV_FIELD_LIMIT][n]
                                                    : -number[JV_FIELD_BACK][n];
    }
}

size_t jv_lanes_steps(const jv_lanes *l) {
    return l->steps;
}
