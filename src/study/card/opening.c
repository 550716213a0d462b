/* opening.c - what comes before the complaint. SPDX-License-Identifier: MIT */
#include "study/card/card.h"

#include <string.h>

/* The walk asks these after the complaint, and makes all safe when a step needs it. None of it
 * changes what the finder knows: on a card it comes first, once for every way. */

/* The step of a phase, without having walked there. */
static void go_to(jv_card_work *x, jv_phase phase, size_t sound, jv_sketch *d) {
    x->w->phase = phase;
    x->w->sound = sound;
    jv_walk_make_step(x->w);
    jv_sketch_step(x, d);
}

/* What a choice means. */
static const char *meaning(jv_card_work *x, size_t choice) {
    jv_text number = {0};
    jv_text_addf(&number, "%zu", choice + 1);
    jv_phase phase = x->w->phase;
    jv_status status = jv_card_answer_walk(x, jv_text_str(&number));
    const char *note = status == JV_OK ? jv_walk_meaning(x->w) : "";
    jv_text_clear(&number);
    x->w->phase = phase;
    jv_walk_make_step(x->w);
    return note;
}

static size_t changed(jv_card_work *x, size_t next) {
    jv_sketch d;
    go_to(x, JV_PHASE_CHANGED, 0, &d);
    size_t n = x->w->step.n_choices;
    for (size_t k = 0; k < n; k++) {
        const char *words = jv_store_text(&x->store, x->w->step.choices[k]);
        jv_sketch_answer(x, &d, words, next)->note = jv_store_text(&x->store, meaning(x, k));
    }
    return jv_store_node(&x->store, &d);
}

/* Putting right what stops a jack with sound wiring. */
static size_t sound_do(jv_card_work *x, size_t sound, size_t next) {
    jv_sketch d, end;
    go_to(x, JV_PHASE_SOUND_DO, sound, &d);
    memset(&end, 0, sizeof end);
    end.node.act = JV_ACT_END;
    end.node.wants = JV_WANTS_NOTHING;
    end.node.end = JV_CARD_PROVED;
    end.node.title = jv_store_text(&x->store, "Put right and proved");
    end.node.reads = end.node.how = end.node.named = jv_store_text(&x->store, "");
    jv_sketch_line(x, &end,
                   "The wiring was not the cause. It was put right and proved by two full runs.");
    jv_sketch_answer(x, &d, x->w->step.choices[0], jv_store_node(&x->store, &end));
    jv_sketch_answer(x, &d, x->w->step.choices[1], next);
    return jv_store_node(&x->store, &d);
}

static size_t sound(jv_card_work *x, size_t next) {
    size_t to[JV_WALK_CHOICES];
    jv_sketch d;
    go_to(x, JV_PHASE_SOUND, 0, &d);
    size_t n = x->w->step.n_choices;
    for (size_t k = 0; k < n; k++)
        to[k] = k ? sound_do(x, k, next) : next;
    go_to(x, JV_PHASE_SOUND, 0, &d);
    for (size_t k = 0; k < n; k++)
        jv_sketch_answer(x, &d, x->w->step.choices[k], to[k]);
    return jv_store_node(&x->store, &d);
}

static size_t done(jv_card_work *x, jv_phase phase, size_t next) {
    jv_sketch d;
    go_to(x, phase, 0, &d);
    jv_sketch_answer(x, &d, "done", next);
    return jv_store_node(&x->store, &d);
}

/* The first choice goes on, every other one through a step of its own. */
static size_t aside(jv_card_work *x, jv_phase asked, jv_phase first, size_t next) {
    jv_sketch d;
    size_t by = done(x, first, next);
    go_to(x, asked, 0, &d);
    size_t n = x->w->step.n_choices;
    for (size_t k = 0; k < n; k++)
        jv_sketch_answer(x, &d, x->w->step.choices[k], k ? by : next);
    return jv_store_node(&x->store, &d);
}

static bool has_motor(const jv_circuit *c) {
    for (size_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].kind->is_motor)
            return true;
    return false;
}

static size_t before_complaint(jv_card_work *x, size_t complaint) {
    size_t next = changed(x, complaint);
    next = sound(x, next);
    if (has_motor(x->c))
        next = aside(x, JV_PHASE_BY_HAND, JV_PHASE_CRANK, next);
    return aside(x, JV_PHASE_CONNECTED, JV_PHASE_DISCONNECT, next);
}

jv_status jv_card_open(jv_card_work *x, size_t *node) {
    jv_mark m;
    jv_sketch safe;
    size_t complaint = 0;
    jv_status status = jv_mark_take(x, &m);
    if (status != JV_OK)
        return status;
    go_to(x, JV_PHASE_CRANK, 0, &safe); /* it is what a crank needs first */
    x->w->safe = true;
    x->w->phase = JV_PHASE_COMPLAINT;
    jv_walk_make_step(x->w);
    status = jv_card_explore(x, &complaint);
    if (status == JV_OK)
        *node = jv_before_nodes(x, &safe, 1, before_complaint(x, complaint));
    jv_status back = jv_mark_back(x, &m);
    return status == JV_OK ? back : status;
}
