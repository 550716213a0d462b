/* sketch.c - the step that is due as a node of a card, and ends of the card's own.
 * SPDX-License-Identifier: MIT */
#include "study/card/card.h"

#include <math.h>
#include <string.h>

void jv_sketch_line(jv_card_work *x, jv_sketch *d, const char *format, ...) {
    jv_text t = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&t, format, args);
    va_end(args);
    if (d->node.n_lines < sizeof d->lines / sizeof d->lines[0])
        d->lines[d->node.n_lines++] = jv_store_text(&x->store, jv_text_str(&t));
    x->store.failed |= t.failed;
    jv_text_clear(&t);
}

jv_card_answer *jv_sketch_answer(jv_card_work *x, jv_sketch *d, const char *words, size_t to) {
    jv_card_answer *a = &d->answers[d->node.n_answers];
    if (d->node.n_answers + 1 < JV_CARD_ANSWERS)
        d->node.n_answers++;
    memset(a, 0, sizeof *a);
    a->words = jv_store_text(&x->store, words);
    a->note = jv_store_text(&x->store, "");
    a->low = a->high = NAN;
    a->to = to;
    return a;
}

static void keep_texts(jv_card_work *x, jv_sketch *d) {
    jv_card_store *s = &x->store;
    jv_card_node *v = &d->node;
    v->title = jv_store_text(s, v->title ? v->title : "");
    v->red = jv_store_text(s, v->red);
    v->black = jv_store_text(s, v->black);
    v->reads = jv_store_text(s, v->reads ? v->reads : "");
    v->how = jv_store_text(s, v->how ? v->how : "");
    v->named = jv_store_text(s, v->named ? v->named : "");
    for (size_t k = 0; k < v->n_lines; k++)
        d->lines[k] = jv_store_text(s, d->lines[k]);
    for (size_t k = 0; k < v->n_way; k++) {
        d->way[k].from = jv_store_text(s, d->way[k].from);
        d->way[k].part = jv_store_text(s, d->way[k].part);
        d->way[k].to = jv_store_text(s, d->way[k].to);
    }
}

/* The band of the sound circuit at a check, wider or narrower than 95 %. */
jv_expected jv_sketch_sound(jv_card_work *x, const jv_check *check, double sds) {
    static const double two_sided = 1.96;
    jv_expected unknown = {NAN, NAN, NAN};
    size_t found;
    bool turned;
    jv_finder *f = x->fresh[check->kind == JV_CHECK_OHMS];
    if (jv_finder_find_check(f, check, &found, &turned) != JV_OK || turned)
        return unknown;
    jv_expected e = jv_finder_expect(f, found, JV_FIND_NONE);
    double factor = sds / two_sided;
    if (isnan(e.value) || isinf(e.value))
        return e;
    return (jv_expected){e.value, e.value - factor * (e.value - e.low),
                         e.value + factor * (e.high - e.value)};
}

static void say_sound(jv_card_work *x, jv_sketch *d, size_t check) {
    static const double sds = 1.96;
    const jv_check *v = jv_finder_check(x->w->finder, check);
    jv_expected e = jv_sketch_sound(x, v, sds);
    if (isnan(e.value))
        return;
    jv_text band = {0};
    jv_band_print(&band, v->kind, &e);
    d->node.reads = jv_store_textf(&x->store, "A sound circuit reads %s.", jv_text_str(&band));
    x->store.failed |= band.failed;
    jv_text_clear(&band);
}

void jv_sketch_step(jv_card_work *x, jv_sketch *d) {
    const jv_step *s = &x->w->step;
    memset(d, 0, sizeof *d);
    d->node.act = s->act;
    d->node.wants = s->wants;
    d->node.title = s->title;
    d->node.care = s->care;
    d->node.red = s->red;
    d->node.black = s->black;
    d->node.how = s->how;
    d->node.n_lines = s->n_lines;
    d->node.n_way = s->n_way;
    for (size_t k = 0; k < s->n_lines; k++)
        d->lines[k] = s->lines[k];
    for (size_t k = 0; k < s->n_way; k++)
        d->way[k] = s->way[k];
    keep_texts(x, d);
    if (s->check != JV_FIND_NONE)
        d->node.check = jv_store_check(&x->store, jv_finder_check(x->w->finder, s->check));
    if (s->check != JV_FIND_NONE && s->act != JV_ACT_PROOF)
        say_sound(x, d, s->check);
}

/* --- ends --- */

static const char stays_off[] =
    "The power is off. It stays off, tags on, until something is repaired and a check for shorts "
    "has passed.";

static void begin_end(jv_card_work *x, jv_sketch *d, jv_card_end end, const char *title) {
    memset(d, 0, sizeof *d);
    d->node.act = JV_ACT_END;
    d->node.wants = JV_WANTS_NOTHING;
    d->node.end = end;
    d->node.title = title;
    keep_texts(x, d);
}

static size_t finish_end(jv_card_work *x, jv_sketch *d, bool off) {
    if (off) {
        jv_sketch_line(x, d, "%s", stays_off);
        d->node.care = JV_CARE_RESTORE;
    }
    return jv_store_node(&x->store, d);
}

size_t jv_end_beyond(jv_card_work *x, bool off) {
    jv_sketch d;
    begin_end(x, &d, JV_CARD_BEYOND, "Beyond this card");
    jv_sketch_line(
        x, &d,
        "What was read so far hardly ever comes together, or the reading that tells more "
        "was not taken: the card does not go on from here.");
    jv_sketch_line(
        x, &d,
        "Read once more what was read last, probes on bare metal. If it is another value "
        "go back one step and tap that.");
    jv_sketch_line(
        x, &d,
        "If it stands: hand it over to a technician with the list of what was answered, "
        "or run the walk on a computer with the same file; it goes on from any reading.");
    return finish_end(x, &d, off);
}

size_t jv_end_again(jv_card_work *x, bool off) {
    jv_sketch d;
    begin_end(x, &d, JV_CARD_HANDED_ON, "This fits no fault that is considered");
    jv_sketch_line(
        x, &d,
        "Take the reading that was taken last once more: the meter's function, probes on "
        "bare metal, what runs and what is unplugged. If it is another value go back one "
        "step and tap that.");
    jv_sketch_line(
        x, &d,
        "If it stands it is something that the circuit file does not have. Hand it over: "
        "tell the technician every answer of the list below, and to compare the file with "
        "the vehicle (lengths, sizes, what is joined where, loads that are not listed).");
    return finish_end(x, &d, off);
}

size_t jv_end_stop(jv_card_work *x, const char *title, const char *line, bool off) {
    jv_sketch d;
    begin_end(x, &d, JV_CARD_HANDED_ON, title);
    jv_sketch_line(x, &d, "%s", line);
    return finish_end(x, &d, off);
}
