/* go.c - what an answer leads to. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include <math.h>
#include <string.h>

static const double percent = 100.0;
/* Dead: less than this between any two points, V (common practice, no source). */
static const double dead_v = 0.05;
/* A second reading within this of the first confirms it: V, A; share of ohms. */
static const double same_v = 0.05, same_share = 0.1;

void jv_walk_close(jv_walk *w, jv_walk_end end, const char *result) {
    w->phase = JV_PHASE_END;
    w->end = end;
    w->result = result;
}

/* --- hand-over --- */

static const char *where_power_is(const jv_walk *w) {
    return w->isolated ? " The power is off: it stays off until something is repaired and a check "
                         "for shorts has passed."
                       : "";
}

static jv_status hand_over(jv_walk *w, const char *why, const char *next) {
    jv_text t = {0};
    size_t n, shown = 0;
    enum { MOST = 3 };
    static const double worth = 0.05;
    const jv_odds *odds = jv_finder_odds(w->finder, &n);
    jv_text_addf(&t, "%s ", why);
    for (size_t k = 0; k < n && shown < MOST; k++)
        if (odds[k].probability >= worth && odds[k].suspect + 1 != n)
            jv_text_addf(&t, "%s%s (%.0f %%)",
                         shown++ ? ", " : "Likeliest of the faults considered: ",
                         jv_finder_suspect(w->finder, odds[k].suspect)->words,
                         percent * odds[k].probability);
    jv_text_addf(&t, "%sNext: %s%s", shown ? ". " : "", next, where_power_is(w));
    jv_walk_close(w, JV_WALK_HANDED_ON, jv_walk_keep(w, &t));
    return JV_OK;
}

/* --- looking --- */

/* The rail of each sensor supply, live at the controller, before all else. */
static size_t rail_check(const jv_walk *w) {
    enum { MINUS = 1, OUT = 2 };
    size_t best = JV_FIND_NONE, least = 0;
    for (size_t i = 0; i < w->c->n_parts; i++) {
        const jv_part *p = &w->c->parts[i];
        if (strcmp(p->kind->name, "sensor_supply") != 0)
            continue;
        int32_t minus = jv_part_terminal(w->c, p, MINUS), out = jv_part_terminal(w->c, p, OUT);
        for (size_t k = 0; k < jv_finder_checks(w->finder); k++) {
            const jv_check *v = jv_finder_check(w->finder, k);
            if (v->kind == JV_CHECK_VOLTS && v->setup == JV_SETUP_REST && v->plus == (size_t)out &&
                v->minus == (size_t)minus && (best == JV_FIND_NONE || v->n_off < least)) {
                best = k;
                least = v->n_off;
            }
        }
        if (best != JV_FIND_NONE)
            return best;
    }
    return best;
}

static size_t readings(const jv_walk *w) {
    size_t n = 0;
    for (size_t k = 0; k < w->n_clues; k++)
        n += w->clues[k].kind != JV_CLUE_SYMPTOM;
    return n;
}

static jv_status offer_repairs(jv_walk *w) {
    size_t list[JV_WALK_REPAIRS], n = JV_WALK_REPAIRS;
    jv_status status = jv_finder_repair_order(w->finder, list, &n);
    if (status != JV_OK)
        return status;
    if (n == 0)
        return hand_over(
            w, "No fault that is considered fits the readings.",
            "a technician with this record; check what the circuit file says of lengths, "
            "sizes and connections against the vehicle.");
    memcpy(w->repairs, list, n * sizeof list[0]);
    w->n_repairs = n;
    w->phase = JV_PHASE_CHOOSE;
    return JV_OK;
}

/* The finder has nothing to ask: a reading that fits nothing is taken again, then ohms, then
 * repairs that are not proved. */
static jv_status nothing_left(jv_walk *w) {
    jv_closure now;
    jv_status status = jv_finder_closure(w->finder, &now);
    if (status != JV_OK)
        return status;
    bool odd = now.state == JV_FIND_UNEXPLAINED && now.odd_check != JV_FIND_NONE;
    const jv_check *v = odd ? jv_finder_check(w->finder, now.odd_check) : NULL;
    if (odd && w->retaken == JV_FIND_NONE && v->kind != JV_CHECK_LOOK &&
        (v->setup == JV_SETUP_ISOLATED) == w->isolated) {
        w->forced = w->retaken = now.odd_check;
        w->again = true;
        return JV_OK;
    }
    if (!w->with_ohms && !w->options.find.no_ohms && now.state != JV_FIND_NAMED) {
        status = jv_walk_new_finder(w, true);
        if (status == JV_OK && jv_walk_has_ohms_checks(w))
            return jv_walk_look(w);
        if (status != JV_OK)
            return status;
    }
    if (now.state == JV_FIND_UNEXPLAINED)
        return hand_over(
            w,
            "No modelled fault explains the readings: check the meter and the probes; "
            "else it is something that the circuit file does not have.",
            "a technician with this record; compare the file with the vehicle (lengths, "
            "sizes, what is joined where, loads that are not listed).");
    return offer_repairs(w);
}

/* What no check can tell from the suspect named, as a sentence; NULL when there is nothing. */
static const char *say_twins(jv_walk *w, const jv_closure *now) {
    jv_text t = {0};
    if (!now->n_twins)
        return NULL;
    for (size_t k = 0; k < now->n_twins; k++)
        jv_text_addf(&t, "%s%s", k ? "; " : "No check that can be taken here tells it from: ",
                     jv_finder_suspect(w->finder, now->twins[k])->words);
    jv_text_add(&t, ". Look at both.");
    return jv_walk_keep(w, &t);
}

/* A suspect stands out, or was chosen. */
static jv_status go_to_repair(jv_walk *w, size_t suspect, bool proved) {
    jv_closure now;
    w->suspect = suspect;
    w->proved_name = proved;
    w->proof = JV_FIND_NONE;
    w->twins = NULL;
    if (proved) {
        jv_status status = jv_finder_closure(w->finder, &now);
        if (status != JV_OK)
            return status;
        w->proof = now.proof;
        w->proof_reads = now.proof_reads;
        w->twins = say_twins(w, &now);
    }
    w->phase = jv_walk_can_locate(w) ? JV_PHASE_LOCATE_WAY : JV_PHASE_REPAIR;
    return JV_OK;
}

jv_status jv_walk_look(jv_walk *w) {
    w->phase = JV_PHASE_LOOKING;
    w->forced = JV_FIND_NONE;
    if (w->options.kind == JV_WALK_SENSOR && readings(w) == 0) {
        w->forced = rail_check(w);
        if (w->forced != JV_FIND_NONE)
            return JV_OK;
    }
    jv_status status = jv_finder_next(w->finder, &w->next);
    if (status != JV_OK)
        return status;
    if (w->next.kind == JV_NEXT_REPAIR)
        return go_to_repair(w, w->next.suspect, true);
    const jv_check *v = jv_finder_check(w->finder, w->next.check);
    if ((w->next.kind == JV_NEXT_CHECK || w->next.kind == JV_NEXT_CONFIRM) && v)
        return JV_OK;
    return nothing_left(w);
}

/* --- what a reading meant --- */

typedef struct jv_before {
    double *odds; /* by suspect */
    size_t n;
} jv_before;

static bool odds_before(const jv_walk *w, jv_before *b) {
    const jv_odds *odds = jv_finder_odds(w->finder, &b->n);
    b->odds = jv_zalloc(b->n + 1, sizeof *b->odds);
    for (size_t k = 0; b->odds && k < b->n; k++)
        b->odds[odds[k].suspect] = odds[k].probability;
    return b->odds != NULL;
}

static void say_moved(jv_walk *w, const jv_before *b, jv_text *t) {
    static const double notable = 0.03;
    size_t n, up = JV_FIND_NONE, down = JV_FIND_NONE;
    double most = notable, least = -notable, up_now = 0.0, down_now = 0.0;
    const jv_odds *odds = jv_finder_odds(w->finder, &n);
    for (size_t k = 0; k < n && k < b->n; k++) {
        double moved = odds[k].probability - b->odds[odds[k].suspect];
        if (moved > most) {
            most = moved;
            up = odds[k].suspect;
            up_now = odds[k].probability;
        }
        if (moved < least) {
            least = moved;
            down = odds[k].suspect;
            down_now = odds[k].probability;
        }
    }
    if (up != JV_FIND_NONE)
        jv_text_addf(t, " It speaks for %s (%.0f %% before, %.0f %% now)",
                     jv_finder_suspect(w->finder, up)->words, percent * b->odds[up],
                     percent * up_now);
    if (down != JV_FIND_NONE)
        jv_text_addf(t, "%s against %s (%.0f %% before, %.0f %% now)",
                     up != JV_FIND_NONE ? " and" : " It speaks",
                     jv_finder_suspect(w->finder, down)->words, percent * b->odds[down],
                     percent * down_now);
    jv_text_add(t, up == JV_FIND_NONE && down == JV_FIND_NONE ? " It moves the odds little." : ".");
}

static void say_against_healthy(jv_walk *w, double value, jv_text *t) {
    const jv_step *s = &w->step;
    const jv_check *v = jv_finder_check(w->finder, s->check);
    jv_text read = {0}, band = {0};
    jv_reading_print(&read, v->kind, value);
    jv_band_print(&band, v->kind, &s->healthy);
    jv_text_addf(t, "%s reads %s here; %s is %s.",
                 s->act == JV_ACT_PROOF ? "The mended circuit" : "A sound circuit",
                 jv_text_str(&band), jv_text_str(&read),
                 value < s->healthy.low    ? "less"
                 : value > s->healthy.high ? "more"
                                           : "in that range");
    t->failed |= read.failed || band.failed;
    jv_text_clear(&read);
    jv_text_clear(&band);
}

static double given_value(const jv_walk *w, const jv_given *g) {
    if (w->step.act == JV_ACT_LOOK)
        return g->choice == 0 ? 0.0 : 1.0;
    return g->kind == JV_GIVEN_OVER ? INFINITY : g->value;
}

/* Takes the newest reading of a check back; its check, as the arena keeps it, comes out. */
static jv_check take_back(jv_walk *w, size_t check) {
    const jv_check *v = jv_finder_check(w->finder, check);
    for (size_t k = w->n_clues; k-- > 0;) {
        const jv_check *x = &w->clues[k].check;
        bool same = w->clues[k].kind == JV_CLUE_READING && x->kind == v->kind &&
                    x->setup == v->setup && x->loading == v->loading && x->plus == v->plus &&
                    x->minus == v->minus && x->part == v->part && x->n_off == v->n_off &&
                    (!x->n_off || memcmp(x->off, v->off, x->n_off * sizeof *x->off) == 0);
        if (!same)
            continue;
        const jv_check kept = *x;
        memmove(&w->clues[k], &w->clues[k + 1], (w->n_clues - k - 1) * sizeof *w->clues);
        w->n_clues--;
        return kept;
    }
    return *v;
}

/* The newest reading of a check; NAN when there is none. */
static double value_of(const jv_walk *w, size_t check) {
    const jv_check *v = jv_finder_check(w->finder, check);
    for (size_t k = w->n_clues; k-- > 0;) {
        const jv_clue *x = &w->clues[k];
        if (x->kind == JV_CLUE_READING && x->check.kind == v->kind && x->check.plus == v->plus &&
            x->check.minus == v->minus && x->check.setup == v->setup &&
            x->check.loading == v->loading)
            return x->over ? INFINITY : x->value;
    }
    return NAN;
}

/* An odd reading was taken again. */
static jv_status took_again(jv_walk *w, double value, bool over) {
    jv_status status = JV_OK;
    double first = value_of(w, w->forced);
    size_t check = w->forced;
    bool same = fabs(value - first) <= same_v + same_share * fabs(first);
    w->again = false;
    w->forced = JV_FIND_NONE;
    if (same) {
        jv_text t = {0};
        jv_text read = {0};
        jv_reading_print(&read, jv_finder_check(w->finder, check)->kind, value);
        jv_text_addf(&t, "%s again: the reading stands, and no modelled fault explains it.",
                     jv_text_str(&read));
        t.failed |= read.failed;
        jv_text_clear(&read);
        w->meaning = jv_walk_keep(w, &t);
        return nothing_left(w);
    }
    bool turned;
    const jv_check kept = take_back(w, check);
    status = jv_walk_new_finder(w, w->with_ohms);
    if (status == JV_OK)
        status = jv_finder_find_check(w->finder, &kept, &check, &turned);
    if (status == JV_OK)
        status = jv_walk_add_reading(w, check, over ? 0.0 : value, over);
    w->meaning = "Another value this time: the first is taken back.";
    return status == JV_OK ? jv_walk_look(w) : status;
}

static jv_status took_reading(jv_walk *w, const jv_given *g) {
    size_t check = jv_walk_due(w);
    jv_before before;
    jv_text t = {0};
    jv_status status;
    if (g->kind == JV_GIVEN_SKIP) {
        w->again = false;
        w->meaning = "Left out: it is not asked for again.";
        status = jv_walk_skip(w, check);
        return status == JV_OK ? jv_walk_look(w) : status;
    }
    double value = given_value(w, g);
    bool over = g->kind == JV_GIVEN_OVER;
    if (w->again)
        return took_again(w, value, over);
    if (!odds_before(w, &before))
        return JV_ERR_MEMORY;
    status = jv_walk_add_reading(w, check, over ? 0.0 : value, over);
    if (status == JV_OK) {
        if (w->step.has_healthy)
            say_against_healthy(w, value, &t);
        say_moved(w, &before, &t);
        w->meaning = jv_walk_keep(w, &t);
        status = jv_walk_look(w);
    }
    jv_text_clear(&t);
    jv_free(before.odds);
    return status;
}

/* --- after the name --- */

/* Runs that prove the repair of what comes and goes, as in the finder (next.c). */
static const size_t more_runs = 8;

static jv_status took_repair(jv_walk *w, const jv_given *g) {
    jv_closure now;
    if (g->kind == JV_GIVEN_SKIP)
        return hand_over(w, "The repair could not be done here.",
                         jv_walk_say(w, "%s, with this record.",
                                     jv_finder_suspect(w->finder, w->suspect)->repair));
    jv_status status = jv_finder_repaired(w->finder, w->suspect);
    if (status == JV_OK)
        status = jv_finder_closure(w->finder, &now);
    if (status != JV_OK)
        return status;
    w->proof = now.proof;
    w->proof_reads = now.proof_reads;
    w->runs = w->comes_and_goes && now.runs < more_runs ? more_runs : now.runs;
    w->before_repair = w->n_clues;
    w->phase = JV_PHASE_SHORTS;
    return JV_OK;
}

static jv_status took_shorts(jv_walk *w, const jv_given *g) {
    if (g->kind == JV_GIVEN_SKIP)
        return hand_over(w, "The check for shorts was not taken.",
                         "do not connect the battery; somebody takes the ohms of the feed first.");
    if (g->kind == JV_GIVEN_VALUE && g->value < w->shorts_limit) {
        w->meaning = jv_walk_say(w,
                                 "%.2f ohm: a short is still there. The power stays off. Look at "
                                 "what was just mended, pinched wires and turned clamps, and "
                                 "measure again.",
                                 g->value);
        return JV_OK;
    }
    w->meaning = "No short: power may come back.";
    w->phase = JV_PHASE_RESTORE;
    return JV_OK;
}

static jv_status not_cured(jv_walk *w, const char *why) {
    if (w->reopened + 1 >= JV_WALK_REOPENS)
        return hand_over(
            w, "Several repairs did not cure it.",
            "a technician with this record: more than one fault, or one that the circuit "
            "file does not have.");
    jv_status status = jv_walk_reopen(w, why);
    return status == JV_OK ? jv_walk_look(w) : status;
}

static jv_status took_proof(jv_walk *w, const jv_given *g) {
    jv_closure now;
    jv_text t = {0};
    if (g->kind == JV_GIVEN_SKIP) {
        w->meaning = "Without its proof reading only the complaint itself can tell.";
        w->phase = JV_PHASE_REPEAT;
        return JV_OK;
    }
    jv_status status =
        jv_walk_add_reading(w, w->proof, given_value(w, g), g->kind == JV_GIVEN_OVER);
    if (status == JV_OK)
        status = jv_finder_closure(w->finder, &now);
    if (status != JV_OK)
        return status;
    const char *mended = jv_finder_suspect(w->finder, w->suspect)->words;
    say_against_healthy(w, given_value(w, g), &t);
    if (now.state == JV_FIND_NOT_CURED) {
        jv_text_addf(&t,
                     " So it is not cured by \"%s\". The walk opens again; what was read before "
                     "the repair counts no more.",
                     mended);
        return not_cured(w, jv_walk_keep(w, &t));
    }
    jv_text_addf(&t, " That proves the repair of \"%s\".", mended);
    w->meaning = jv_walk_keep(w, &t);
    w->phase = JV_PHASE_REPEAT;
    return JV_OK;
}

static jv_status took_repeat(jv_walk *w, const jv_given *g) {
    const char *mended = jv_finder_suspect(w->finder, w->suspect)->words;
    if (g->choice == 0) {
        jv_walk_close(w, JV_WALK_PROVED,
                      jv_walk_say(w,
                                  "%s: mended, and the complaint stays away in %s full runs."
                                  "%s%s%s%s",
                                  mended, w->runs > 2 ? "eight" : "two", w->located ? " " : "",
                                  w->located ? w->located : "", w->twins ? " " : "",
                                  w->twins ? w->twins : ""));
        return JV_OK;
    }
    return not_cured(w,
                     jv_walk_say(w,
                                 "Mending \"%s\" did not take the complaint away. The walk opens "
                                 "again; what was read before the repair counts no more.",
                                 mended));
}

static jv_status took_dead(jv_walk *w, const jv_given *g) {
    if (fabs(g->value) < dead_v) {
        w->dead = true;
        w->meaning = "Dead. Leave it so, tags on, until the walk brings the power back.";
        return JV_OK;
    }
    w->isolated = false;
    w->meaning =
        jv_walk_say(w,
                    "%.2f V: not dead. A source is still on, or charge is left. Go through "
                    "the sources again.",
                    g->value);
    return JV_OK;
}

static jv_status go_need(jv_walk *w, jv_need need, const jv_given *g) {
    if (need == JV_NEED_SAFE)
        w->safe = true;
    else if (need == JV_NEED_ISOLATED)
        w->isolated = true;
    else
        return took_dead(w, g);
    return JV_OK;
}

jv_status jv_walk_go(jv_walk *w, const jv_given *g, jv_text *problem) {
    jv_need need = jv_walk_need(w);
    w->meaning = "";
    if (need != JV_NEED_NOTHING)
        return go_need(w, need, g);
    switch (w->phase) {
    case JV_PHASE_LOOKING:
        return took_reading(w, g);
    case JV_PHASE_CRANK:
        w->phase = JV_PHASE_SOUND;
        return JV_OK;
    case JV_PHASE_LOCATE_WAY:
    case JV_PHASE_LOCATE_AMPS:
    case JV_PHASE_LOCATE:
        return jv_walk_go_locate(w, g, problem);
    case JV_PHASE_CHOOSE:
        if (g->choice < w->n_repairs)
            return go_to_repair(w, w->repairs[g->choice], false);
        return hand_over(
            w, "No reading that is left tells more than it costs.",
            "a technician with this record, who can take the readings that were left out, "
            "or swap the likeliest part.");
    case JV_PHASE_REPAIR:
        return took_repair(w, g);
    case JV_PHASE_SHORTS:
        return took_shorts(w, g);
    case JV_PHASE_RESTORE:
        w->isolated = w->dead = false;
        w->phase = w->proof != JV_FIND_NONE ? JV_PHASE_PROOF : JV_PHASE_REPEAT;
        return JV_OK;
    case JV_PHASE_PROOF:
        return took_proof(w, g);
    case JV_PHASE_REPEAT:
        return took_repeat(w, g);
    case JV_PHASE_END:
        return JV_ERR_RANGE;
    default:
        return jv_walk_go_opening(w, g);
    }
}
