/* step.c - the step that is due. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include <math.h>
#include <string.h>

void jv_walk_line(jv_walk *w, const char *format, ...) {
    jv_text t = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&t, format, args);
    va_end(args);
    const char *kept = jv_walk_keep(w, &t);
    if (w->step.n_lines < JV_WALK_LINES)
        w->lines[w->step.n_lines++] = kept;
}

void jv_walk_choice(jv_walk *w, const char *text) {
    if (w->step.n_choices < JV_WALK_CHOICES)
        w->choices[w->step.n_choices++] = text;
}

void jv_walk_care(jv_walk *w, uint32_t care) {
    w->step.care |= care;
}

size_t jv_walk_due(const jv_walk *w) {
    if (w->phase == JV_PHASE_PROOF)
        return w->proof;
    return w->forced != JV_FIND_NONE ? w->forced : w->next.check;
}

/* Runs a jack, or has a person at or under one. */
static bool wants_safe(const jv_check *v) {
    return v->setup == JV_SETUP_RUN || v->place == JV_PLACE_JACK || v->far_place == JV_PLACE_JACK ||
           (v->care & (JV_CARE_SUPPORT | JV_CARE_CHOCKS));
}

static jv_need need_isolated(const jv_walk *w) {
    if (!w->safe)
        return JV_NEED_SAFE; /* a trailer's brake may need the battery that goes off */
    if (!w->isolated)
        return JV_NEED_ISOLATED;
    return w->dead ? JV_NEED_NOTHING : JV_NEED_DEAD;
}

jv_need jv_walk_need(const jv_walk *w) {
    const jv_check *v = NULL;
    switch (w->phase) {
    case JV_PHASE_LOOKING:
    case JV_PHASE_PROOF:
        v = jv_finder_check(w->finder, jv_walk_due(w));
        if (v && v->setup == JV_SETUP_ISOLATED)
            return need_isolated(w);
        return v && wants_safe(v) && !w->safe ? JV_NEED_SAFE : JV_NEED_NOTHING;
    case JV_PHASE_CRANK:
    case JV_PHASE_SOUND_DO:
    case JV_PHASE_REPEAT:
        return w->safe ? JV_NEED_NOTHING : JV_NEED_SAFE;
    case JV_PHASE_LOCATE_AMPS:
    case JV_PHASE_LOCATE:
    case JV_PHASE_REPAIR:
    case JV_PHASE_SHORTS:
        return need_isolated(w);
    default:
        return JV_NEED_NOTHING;
    }
}

static void make_end(jv_walk *w) {
    w->step.act = JV_ACT_END;
    w->step.wants = JV_WANTS_NOTHING;
    w->step.title =
        w->end == JV_WALK_PROVED ? "Repaired and proved" : "Open: hand it over with this";
    jv_walk_line(w, "%s", w->result ? w->result : "");
}

static void make_phase(jv_walk *w) {
    switch (w->phase) {
    case JV_PHASE_LOOKING:
        jv_walk_step_check(w, jv_walk_due(w), false);
        break;
    case JV_PHASE_PROOF:
        jv_walk_step_check(w, w->proof, true);
        break;
    case JV_PHASE_CRANK:
        jv_walk_step_crank(w);
        break;
    case JV_PHASE_LOCATE_WAY:
    case JV_PHASE_LOCATE_AMPS:
    case JV_PHASE_LOCATE:
        jv_walk_step_locate(w);
        break;
    case JV_PHASE_CHOOSE:
        jv_walk_step_choose(w);
        break;
    case JV_PHASE_REPAIR:
        jv_walk_step_repair(w);
        break;
    case JV_PHASE_SHORTS:
        jv_walk_step_shorts(w);
        break;
    case JV_PHASE_RESTORE:
        jv_walk_step_restore(w);
        break;
    case JV_PHASE_REPEAT:
        jv_walk_step_repeat(w);
        break;
    case JV_PHASE_END:
        make_end(w);
        break;
    default:
        jv_walk_step_opening(w);
        break;
    }
}

void jv_walk_make_step(jv_walk *w) {
    jv_step *s = &w->step;
    memset(s, 0, sizeof *s);
    s->number = w->n_entries + 1;
    s->check = s->suspect = JV_FIND_NONE;
    s->setup = JV_SETUP_REST;
    s->fuse_a = NAN;
    s->lines = w->lines;
    s->choices = w->choices;
    s->cautions = w->cautions;
    s->way = w->way;
    s->why = s->how = "";
    s->told = w->told;
    switch (jv_walk_need(w)) {
    case JV_NEED_SAFE:
        jv_walk_step_safe(w);
        break;
    case JV_NEED_ISOLATED:
        jv_walk_step_isolate(w);
        break;
    case JV_NEED_DEAD:
        jv_walk_step_dead(w);
        break;
    case JV_NEED_NOTHING:
        make_phase(w);
        break;
    }
    size_t n = jv_precautions_of(s->care, w->cautions, JV_WALK_CAUTIONS);
    s->n_cautions = n < JV_WALK_CAUTIONS ? n : JV_WALK_CAUTIONS;
}
