/* fixed.c - fixed procedures, to race against. SPDX-License-Identifier: MIT */
#include "loop.h"

#include "circuit/kinds.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Rules of the trade as a careful person keeps them: rested battery, posts under load, then every
 * drop in order against the drop worked out for it: more than 1.35 of it and 0.11 V is bad. */
static const double drop_factor = 1.35, drop_more_v = 0.11, rest_low_v = 0.15, sag_factor = 1.8,
                    sag_more_v = 0.25, amps_factor = 1.3;
enum { MOST = 256 };

typedef struct jv_order {
    size_t check[MOST];
    double level[MOST];
    size_t branch[MOST]; /* motor whose branch it is; JV_FIND_NONE = trunk */
    size_t n;
} jv_order;

static double sound_of(jv_finder *f, size_t check) {
    return jv_finder_expect(f, check, JV_FIND_NONE).value;
}

/* The run with most motors in which the complaint can be looked for. */
static size_t heavy_setup(const jv_finder *f, const loop_complaint *y) {
    if (f->setups[y->setup].kind == JV_SETUP_RUN)
        return y->setup;
    size_t best = JV_FIND_NONE;
    for (size_t k = 0; k < f->n_setups; k++)
        if (f->setups[k].kind == JV_SETUP_RUN && f->setups[k].usable &&
            (best == JV_FIND_NONE || f->setups[k].n_motors > f->setups[best].n_motors))
            best = k;
    return best;
}

/* The motor that draws through this check's part alone: nearest in name of the current. */
static size_t branch_of(const jv_finder *f, size_t setup, size_t part) {
    const jv_find_setup *s = &f->setups[setup];
    double most = 0.0, own = 0.0;
    for (size_t k = 0; k < s->net->n_elements; k++) {
        int32_t j = s->system->current[k];
        if (j < 0)
            continue;
        most = fmax(most, fabs(s->x[j]));
        if (s->net->elements[k].part == part)
            own = fmax(own, fabs(s->x[j]));
    }
    if (own > 0.6 * most || s->n_motors < 2)
        return JV_FIND_NONE;
    /* The names of a branch begin alike: the longest common beginning tells. */
    size_t best = JV_FIND_NONE, longest = 2;
    for (size_t m = 0; m < s->n_motors; m++) {
        size_t motor = s->net->elements[s->motor[m]].part, n = 0;
        const char *a = f->c->parts[motor].name, *b = f->c->parts[part].name;
        while (a[n] && a[n] == b[n])
            n++;
        if (n > longest) {
            longest = n;
            best = motor;
        }
    }
    return best;
}

static void gather(jv_finder *f, size_t setup, jv_order *o) {
    o->n = 0;
    for (size_t k = 0; k < f->n_checks && o->n < MOST; k++) {
        const jv_find_check *c = &f->checks[k];
        if (c->setup != setup || c->view.part == JV_FIND_NONE || c->view.plus == JV_FIND_NONE)
            continue;
        const jv_part_kind *kind = f->c->parts[c->view.part].kind;
        if (kind->is_source || kind->is_motor || kind == &jv_kind_load ||
            (kind == &jv_kind_controller && sound_of(f, k) > 5.0))
            continue;
        o->check[o->n] = k;
        o->level[o->n] = f->setups[setup].x[c->view.plus];
        o->branch[o->n++] = branch_of(f, setup, c->view.part);
    }
    for (size_t k = 1; k < o->n; k++) /* from the battery's plus to its minus */
        for (size_t at = k; at > 0 && o->level[at - 1] < o->level[at]; at--) {
            double level = o->level[at];
            size_t check = o->check[at], branch = o->branch[at];
            o->level[at] = o->level[at - 1];
            o->check[at] = o->check[at - 1];
            o->branch[at] = o->branch[at - 1];
            o->level[at - 1] = level;
            o->check[at - 1] = check;
            o->branch[at - 1] = branch;
        }
}

static double take(truth *t, jv_finder *f, size_t check, loop_result *out) {
    double value = 0.0;
    bool over;
    out->minutes += jv_check_minutes(f, check);
    jv_check_open_place(f, check);
    out->checks++;
    truth_reading(t, f, check, &value, &over);
    return value;
}

static bool name(const truth *t, size_t part, loop_result *out) {
    out->named = true;
    for (size_t b = 0; b < t->n_faults; b++)
        out->right = out->right || t->fault[b].part == part;
    return true;
}

static size_t find_volts(const jv_finder *f, size_t setup, size_t part, jv_check_kind kind) {
    for (size_t k = 0; k < f->n_checks; k++)
        if (f->checks[k].setup == setup && f->checks[k].view.part == part &&
            f->checks[k].view.kind == kind)
            return k;
    return JV_FIND_NONE;
}

static bool battery_first(truth *t, jv_finder *f, size_t setup, loop_result *out) {
    for (size_t i = 0; i < f->c->n_parts; i++) {
        if (f->c->parts[i].kind != &jv_kind_battery)
            continue;
        size_t rest = find_volts(f, f->rest, i, JV_CHECK_VOLTS);
        size_t load = find_volts(f, setup, i, JV_CHECK_VOLTS);
        if (rest == JV_FIND_NONE || load == JV_FIND_NONE)
            continue;
        double rested = take(t, f, rest, out), sound = sound_of(f, rest);
        if (rested < sound - rest_low_v)
            return name(t, i, out);
        double sag = rested - take(t, f, load, out), usual = sound - sound_of(f, load);
        if (sag > sag_factor * usual + sag_more_v)
            return name(t, i, out);
    }
    return false;
}

static bool drop_is_bad(truth *t, jv_finder *f, size_t check, loop_result *out) {
    double usual = fabs(sound_of(f, check));
    return fabs(take(t, f, check, out)) > drop_factor * usual + drop_more_v;
}

static bool one_branch(truth *t, jv_finder *f, size_t setup, const jv_order *o, size_t motor,
                       loop_result *out) {
    size_t amps = find_volts(f, setup, motor, JV_CHECK_AMPS);
    for (size_t k = 0; k < o->n; k++)
        if (o->branch[k] == motor && drop_is_bad(t, f, o->check[k], out))
            return name(t, f->checks[o->check[k]].view.part, out);
    if (amps == JV_FIND_NONE)
        return false;
    double usual = sound_of(f, amps), read = take(t, f, amps, out);
    if (read > amps_factor * usual || read < 0.5 * usual)
        return name(t, motor, out);
    return false;
}

static bool trunk(truth *t, jv_finder *f, const jv_order *o, loop_result *out) {
    for (size_t k = 0; k < o->n; k++)
        if (o->branch[k] == JV_FIND_NONE && drop_is_bad(t, f, o->check[k], out))
            return name(t, f->checks[o->check[k]].view.part, out);
    return false;
}

/* Drop from one place of the chain to another; made when it is not in the list. */
static size_t span(jv_finder *f, size_t setup, size_t from, size_t to) {
    size_t check = JV_FIND_NONE;
    if (jv_check_volts(f, setup, (int32_t)from, (int32_t)to, JV_FIND_NONE, &check) != JV_OK)
        return JV_FIND_NONE;
    return check;
}

/* The chain of trunk and one branch, halved by its length until one part is left. */
static bool halves(truth *t, jv_finder *f, size_t setup, const jv_order *o, size_t motor,
                   loop_result *out) {
    size_t chain[MOST], n = 0, low = 0;
    for (size_t k = 0; k < o->n; k++)
        if (o->branch[k] == JV_FIND_NONE || o->branch[k] == motor)
            chain[n++] = o->check[k];
    while (n - low > 1) {
        size_t mid = (low + n) / 2;
        size_t from = f->checks[chain[low]].view.plus, to = f->checks[chain[mid]].view.plus;
        const double *x = f->setups[setup].x;
        /* The motor lies between plus and minus side: cut there, not across it. */
        for (size_t k = low + 1; k < n; k++)
            if (x[f->checks[chain[k - 1]].view.plus] - x[f->checks[chain[k]].view.plus] > 3.0) {
                mid = k;
                to = f->checks[chain[k - 1]].view.minus;
            }
        size_t check = span(f, setup, from, to);
        if (check == JV_FIND_NONE)
            return false;
        if (drop_is_bad(t, f, check, out))
            n = mid;
        else
            low = mid;
    }
    if (n == low)
        return false;
    return drop_is_bad(t, f, chain[low], out) ? name(t, f->checks[chain[low]].view.part, out)
                                              : false;
}

bool loop_fixed(truth *t, jv_finder *f, const loop_complaint *y, loop_fixed_kind kind,
                loop_result *out) {
    jv_order *o = calloc(1, sizeof *o);
    size_t setup = heavy_setup(f, y);
    memset(out, 0, sizeof *out);
    f->n_entries = 0;
    if (!o || setup == JV_FIND_NONE || jv_odds_replay(f) != JV_OK) {
        free(o);
        return false;
    }
    gather(f, setup, o);
    bool done = false;
    if (kind == LOOP_SLOW_JACK_FIRST && y->motor != JV_FIND_NONE)
        done = one_branch(t, f, setup, o, y->motor, out);
    if (!done)
        done = battery_first(t, f, setup, out);
    if (kind == LOOP_HALF_SPLIT && !done) {
        size_t motor = y->motor;
        if (motor == JV_FIND_NONE && f->setups[setup].n_motors)
            motor = f->setups[setup].net->elements[f->setups[setup].motor[0]].part;
        done = halves(t, f, setup, o, motor, out);
    }
    if (!done)
        done = trunk(t, f, o, out);
    for (size_t m = 0; m < f->setups[setup].n_motors && !done; m++)
        done = one_branch(t, f, setup, o,
                          f->setups[setup].net->elements[f->setups[setup].motor[m]].part, out);
    free(o);
    return true;
}
