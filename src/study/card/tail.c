/* tail.c - from a name to its end: power off, repair, shorts, power back, proof.
 * SPDX-License-Identifier: MIT */
#include "study/card/card.h"

#include <math.h>
#include <string.h>

/* The steps of a repair as the walk has them, in their order. */
typedef struct jv_tail {
    jv_sketch before[4]; /* safe, isolated, dead, as far as they are still to be done */
    size_t n_before;
    jv_sketch repair, shorts, restore, proof, repeat;
    bool has_proof, by_complaint; /* the proof is read where the complaint was felt */
    const char *proof_words;
    double shorts_ohm;
    jv_check proof_check;
} jv_tail;

/* A proof holds within so many standard deviations of what a sound circuit reads. */
static const double proof_sds = 3.0;

/* An answer that lets each of them pass. */
const char *jv_passing(const jv_step *s) {
    switch (s->act) {
    case JV_ACT_PROVE_DEAD:
        return "0.000 V";
    case JV_ACT_SHORTS:
        return "OL";
    case JV_ACT_PROOF:
        return "skip";
    default:
        return "done";
    }
}

static jv_status pass(jv_card_work *x) {
    return jv_card_answer_walk(x, jv_passing(&x->w->step));
}

static jv_status walk_before(jv_card_work *x, jv_tail *t) {
    enum { MOST = sizeof t->before / sizeof t->before[0] };
    jv_status status = JV_OK;
    while (status == JV_OK && x->w->step.act != JV_ACT_REPAIR) {
        if (t->n_before == MOST)
            return JV_ERR_UNSOLVED;
        jv_sketch_step(x, &t->before[t->n_before++]);
        status = pass(x);
    }
    return status;
}

static jv_status walk_after(jv_card_work *x, jv_tail *t) {
    jv_status status = pass(x); /* mended */
    for (int k = 0; k < 4 && status == JV_OK; k++) {
        const jv_step *s = &x->w->step;
        switch (s->act) {
        case JV_ACT_SHORTS:
            jv_sketch_step(x, &t->shorts);
            t->shorts_ohm = x->w->shorts_limit;
            break;
        case JV_ACT_RESTORE:
            jv_sketch_step(x, &t->restore);
            break;
        case JV_ACT_PROOF:
            jv_sketch_step(x, &t->proof);
            t->has_proof = true;
            t->by_complaint = s->check != x->w->finder->suspects[x->w->suspect].own[0];
            t->proof_check = *jv_finder_check(x->w->finder, s->check);
            t->proof_words = jv_store_text(&x->store, t->proof_check.text);
            break;
        case JV_ACT_REPEAT:
            jv_sketch_step(x, &t->repeat);
            return JV_OK;
        default:
            return JV_ERR_UNSOLVED;
        }
        status = pass(x);
    }
    return status == JV_OK ? JV_ERR_UNSOLVED : status;
}

/* --- the nodes, from the end --- */

static size_t proved(jv_card_work *x) {
    jv_sketch d;
    memset(&d, 0, sizeof d);
    d.node.act = JV_ACT_END;
    d.node.wants = JV_WANTS_NOTHING;
    d.node.end = JV_CARD_PROVED;
    d.node.title = jv_store_text(&x->store, "Repaired and proved");
    d.node.reads = d.node.how = d.node.named = jv_store_text(&x->store, "");
    jv_sketch_line(x, &d,
                   "The complaint stays away in two full runs. The list below is the record.");
    return jv_store_node(&x->store, &d);
}

static size_t not_cured(jv_card_work *x) {
    return jv_end_stop(
        x, "Not cured",
        "What was mended was not the cause, or not the only one; what was read before the repair "
        "counts no more. Begin the card again with a fresh complaint, or hand it over: tell the "
        "technician what was mended and every answer of the list below.",
        false);
}

static size_t repeat_node(jv_card_work *x, jv_tail *t) {
    jv_sketch_answer(x, &t->repeat, "it works now", proved(x));
    jv_sketch_answer(x, &t->repeat, "the complaint is still there", not_cured(x));
    return jv_store_node(&x->store, &t->repeat);
}

static void bounds(jv_card_answer *a, double low, double high) {
    a->low = low;
    a->high = high;
}

/* The reading that was told with the name: one step for every name. */
static size_t told_proof(jv_card_work *x, const jv_tail *t, size_t next) {
    jv_sketch d = t->proof;
    d.node.title = jv_store_text(&x->store, "Proof of the repair");
    d.node.care = JV_CARE_SUPPORT | JV_CARE_CHOCKS | JV_CARE_UNCOMMANDED | JV_CARE_CLIP_ON |
                  JV_CARE_METER | JV_CARE_BURN | JV_CARE_UNPLUG;
    d.node.check = NULL;
    d.node.wants = JV_WANTS_CHOICE;
    d.node.red = d.node.black = NULL;
    d.node.n_lines = d.node.n_way = 0;
    d.node.reads = d.node.how = jv_store_text(&x->store, "");
    jv_sketch_line(x, &d,
                   "Take the proof reading that the step \"Found\" or \"Not proved\" told; the "
                   "list below has it. Clip on with nothing running, come out, and only then run "
                   "what it says.");
    jv_sketch_answer(x, &d, "it reads as told there", next);
    jv_sketch_answer(x, &d, "it reads otherwise", not_cured(x));
    jv_sketch_answer(x, &d, "cannot take it: the complaint itself must tell", next);
    return jv_store_node(&x->store, &d);
}

/* What the proof must read is that of the sound circuit, before anything was learnt of this one. */
static size_t proof_node(jv_card_work *x, jv_tail *t, size_t next) {
    jv_expected e = jv_sketch_sound(x, &t->proof_check, proof_sds);
    jv_sketch *d = &t->proof;
    jv_text low = {0}, high = {0};
    if (!t->has_proof || isnan(e.value) || isinf(e.value))
        return next;
    if (!t->by_complaint)
        return told_proof(x, t, next);
    jv_check_kind kind = t->proof_check.kind;
    jv_reading_print(&low, kind, e.low);
    jv_reading_print(&high, kind, e.high);
    d->node.reads = jv_store_textf(&x->store, "The mended circuit reads %s to %s.",
                                   jv_text_str(&low), jv_text_str(&high));
    size_t wrong = not_cured(x);
    bounds(jv_sketch_answer(x, d, jv_store_textf(&x->store, "less than %s", jv_text_str(&low)),
                            wrong),
           -INFINITY, e.low);
    jv_card_answer *good = jv_sketch_answer(
        x, d, jv_store_textf(&x->store, "%s to %s", jv_text_str(&low), jv_text_str(&high)), next);
    bounds(good, e.low, e.high);
    good->sound = true;
    bounds(jv_sketch_answer(x, d, jv_store_textf(&x->store, "%s or more", jv_text_str(&high)),
                            wrong),
           e.high, INFINITY);
    jv_sketch_answer(x, d, "cannot take it: the complaint itself must tell", next);
    x->store.failed |= low.failed || high.failed;
    jv_text_clear(&low);
    jv_text_clear(&high);
    return jv_store_node(&x->store, d);
}

static size_t restore_node(jv_card_work *x, jv_tail *t, size_t next) {
    jv_sketch_answer(x, &t->restore, "done", next);
    return jv_store_node(&x->store, &t->restore);
}

/* A short that is still there: looked for, and measured once more. */
static size_t shorts_node(jv_card_work *x, jv_tail *t, size_t next) {
    size_t no_power = jv_end_stop(
        x, "No power: hand it over",
        "Do not connect the battery. Tell the technician that the check for shorts was not passed "
        "or not taken; somebody takes the ohms of the feed first.",
        true);
    jv_sketch still = t->shorts;
    const char *clear =
        jv_store_textf(&x->store, "%.2f ohm or more, or OL: no short", t->shorts_ohm);
    still.node.title = jv_store_text(&x->store, "A short is still there: the power stays off");
    still.node.n_lines = 0;
    jv_sketch_line(x, &still,
                   "Look at what was just mended, at pinched wires and turned clamps; put that "
                   "right, then measure the same two points again, volts first, then ohms.");
    bounds(jv_sketch_answer(x, &still, clear, next), t->shorts_ohm, INFINITY);
    bounds(jv_sketch_answer(x, &still, "still less, or I cannot find it", no_power), -INFINITY,
           t->shorts_ohm);
    size_t again = jv_store_node(&x->store, &still);
    bounds(jv_sketch_answer(x, &t->shorts, clear, next), t->shorts_ohm, INFINITY);
    bounds(jv_sketch_answer(x, &t->shorts,
                            jv_store_textf(&x->store, "less than %.2f ohm", t->shorts_ohm), again),
           -INFINITY, t->shorts_ohm);
    jv_sketch_answer(x, &t->shorts, "cannot take it", no_power);
    return jv_store_node(&x->store, &t->shorts);
}

/* The repair in words that suit every name, so that this step and all before it are shared. */
static size_t mend_node(jv_card_work *x, jv_tail *t, size_t next) {
    jv_sketch d = t->repair;
    d.node.title = jv_store_text(&x->store, "Now mend what was named");
    d.node.care |= JV_CARE_SUPPORT | JV_CARE_CHOCKS | JV_CARE_HOT | JV_CARE_FUSE;
    d.node.how = jv_store_text(&x->store, "");
    d.node.n_lines = 0;
    jv_sketch_line(x, &d,
                   "Everything is off and proved dead. Do the repair that the step \"Found\" or "
                   "\"Not proved\" told; the list below has it.");
    jv_sketch_line(x, &d, "A fuse: only the same type, of no more than the rating told there.");
    jv_sketch_answer(x, &d, "done", next);
    jv_sketch_answer(x, &d, "I cannot do this repair here",
                     jv_end_stop(x, "Hand it over: the repair could not be done here",
                                 "Tell the technician the part that was named, what mends it, and "
                                 "every answer of the list below.",
                                 true));
    return jv_store_node(&x->store, &d);
}

static size_t dead_node(jv_card_work *x, jv_sketch *d, const jv_sketch *isolate, size_t next) {
    static const double dead_v = 0.05;
    jv_sketch again = *isolate;
    bool known = isolate->node.act == JV_ACT_ISOLATE;
    size_t stop = jv_end_stop(
        x, "Not dead: stop here",
        "A source is still on or charge is left. No ohms, no tool in the circuit. Keep everybody "
        "off it and hand it over: tell the technician what was switched off and unplugged.",
        false);
    if (known) {
        again.node.title = jv_store_text(&x->store, "Not dead: go through the sources again");
        again.node.n_answers = 0;
        jv_sketch_line(
            x, &again,
            "Then prove it dead again: the meter on a live point first, then between the "
            "same two points and from each to bare frame.");
        bounds(jv_sketch_answer(x, &again, "now less than 50 mV everywhere", next), -INFINITY,
               dead_v);
        bounds(jv_sketch_answer(x, &again, "it still shows more", stop), dead_v, INFINITY);
    }
    d->node.reads = jv_store_text(&x->store, "Dead is less than 50 mV.");
    d->node.n_answers = 0;
    bounds(jv_sketch_answer(x, d, "less than 50 mV, everywhere", next), -INFINITY, dead_v);
    bounds(jv_sketch_answer(x, d, "50 mV or more", known ? jv_store_node(&x->store, &again) : stop),
           dead_v, INFINITY);
    return jv_store_node(&x->store, d);
}

size_t jv_before_nodes(jv_card_work *x, jv_sketch *list, size_t n, size_t next) {
    for (size_t k = n; k-- > 0;) {
        jv_sketch *d = &list[k];
        if (d->node.act == JV_ACT_PROVE_DEAD) {
            static const jv_sketch none;
            next = dead_node(x, d, k ? &list[k - 1] : &none, next);
            continue;
        }
        d->node.n_answers = 0;
        jv_sketch_answer(x, d, "done", next);
        jv_sketch_answer(x, d, "I cannot do all of this",
                         jv_end_stop(x, "Stop here",
                                     "This step keeps you safe and cannot be left out. Leave "
                                     "everything as it is and hand it over with the list below.",
                                     false));
        next = jv_store_node(&x->store, d);
    }
    return next;
}

static void say_proof(jv_card_work *x, const jv_tail *t, jv_sketch *d) {
    jv_expected e = jv_sketch_sound(x, &t->proof_check, proof_sds);
    jv_text band = {0};
    if (!t->has_proof || isnan(e.value) || isinf(e.value))
        return;
    jv_band_print(&band, t->proof_check.kind, &e);
    jv_sketch_line(x, d, "The proof, once it is mended: %s reads %s.", t->proof_words,
                   jv_text_str(&band));
    x->store.failed |= band.failed;
    jv_text_clear(&band);
}

static size_t found_node(jv_card_work *x, jv_tail *t, size_t next, bool off) {
    jv_sketch d = t->repair;
    const jv_walk *w = x->w;
    const jv_suspect *s = jv_finder_suspect(w->finder, w->suspect);
    d.node.act = JV_ACT_ANSWER;
    d.node.wants = JV_WANTS_CHOICE;
    d.node.named = jv_store_text(&x->store, s->words);
    d.node.proved_name = w->proved_name;
    d.node.how = jv_store_text(&x->store, "");
    if (s->along)
        jv_sketch_line(x, &d,
                       "Where along it: look along the whole run. The walk on a computer works the "
                       "place out from readings at its ends.");
    say_proof(x, t, &d);
    jv_sketch_line(x, &d,
                   off ? "Everything is still off and dead: it may be mended next."
                       : "Do nothing to it yet: the power goes off first.");
    jv_sketch_answer(x, &d, off ? "go on to the repair" : "go on: the power off", next);
    jv_sketch_answer(x, &d, "I cannot do this repair here",
                     jv_end_stop(x, "Hand it over: the repair could not be done here",
                                 "Tell the technician the part that was named, what mends it, and "
                                 "every answer of the list below.",
                                 off));
    return jv_store_node(&x->store, &d);
}

static size_t build(jv_card_work *x, jv_tail *t, bool off) {
    size_t next = repeat_node(x, t);
    next = proof_node(x, t, next);
    next = restore_node(x, t, next);
    next = shorts_node(x, t, next);
    next = mend_node(x, t, next);
    next = jv_before_nodes(x, t->before, t->n_before, next);
    return found_node(x, t, next, off);
}

jv_status jv_card_tail(jv_card_work *x, size_t *node) {
    jv_mark m;
    bool off = x->w->isolated && x->w->dead;
    jv_tail *t = jv_zalloc(1, sizeof *t);
    jv_status status = t ? jv_mark_take(x, &m) : JV_ERR_MEMORY;
    if (status != JV_OK) {
        jv_free(t);
        return status;
    }
    if (x->w->phase == JV_PHASE_LOCATE_WAY) { /* the last way is to look along it */
        jv_text last = {0};
        jv_text_addf(&last, "%zu", x->w->step.n_choices);
        status = jv_card_answer_walk(x, jv_text_str(&last));
        jv_text_clear(&last);
    }
    if (status == JV_OK)
        status = walk_before(x, t);
    if (status == JV_OK) {
        jv_sketch_step(x, &t->repair);
        status = walk_after(x, t);
    }
    jv_status back = jv_mark_back(x, &m);
    if (status == JV_OK)
        status = back;
    if (status == JV_OK)
        *node = build(x, t, off);
    jv_free(t);
    return status;
}
