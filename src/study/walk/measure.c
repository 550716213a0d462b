/* measure.c - the step of a reading. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include "circuit/kinds.h"

#include <math.h>
#include <string.h>

static const char *place_words(jv_place_kind place) {
    static const char *const words[] = {"at the battery", "at the controller", "at the frame",
                                        "on the way between", "at the jack"};
    return words[place];
}

static bool listed(const size_t *list, size_t n, size_t part) {
    for (size_t k = 0; k < n; k++)
        if (list[k] == part)
            return true;
    return false;
}

static bool off_in_case(const jv_walk *w, size_t loading, size_t part) {
    if (loading >= w->c->n_cases)
        return false;
    const jv_case *k = &w->c->cases[loading];
    for (size_t i = 0; i < k->n_off; i++)
        if (k->off[i] == part)
            return true;
    return false;
}

/* A load that draws in the file as it stands. */
static bool is_on(const jv_walk *w, size_t part) {
    const jv_part *p = &w->c->parts[part];
    for (unsigned k = 0; k < p->kind->n_keys; k++)
        if (strcmp(p->kind->keys[k].name, "on") == 0)
            return jv_part_flag(w->c, p, k, true);
    return true;
}

/* Supplies and loads that are on or off for it, and what the case opens or switches on. */
static void say_sources(jv_walk *w, const jv_check *v) {
    jv_text on = {0}, off = {0};
    size_t n_on = 0, n_off = 0;
    for (size_t i = 0; i < w->c->n_parts; i++) {
        bool is_load = w->c->parts[i].kind == &jv_kind_load;
        bool is_supply = w->c->parts[i].kind == &jv_kind_supply || (is_load && is_on(w, i));
        bool is_off = off_in_case(w, v->loading, i) || listed(v->off, v->n_off, i);
        if (is_supply && !is_off)
            jv_text_addf(&on, "%s\"%s\"", n_on++ ? ", " : "", jv_walk_part(w, i));
        else if ((is_supply && is_off) || off_in_case(w, v->loading, i))
            jv_text_addf(&off, "%s\"%s\"", n_off++ ? ", " : "", jv_walk_part(w, i));
    }
    const jv_case *k = v->loading < w->c->n_cases ? &w->c->cases[v->loading] : NULL;
    for (size_t i = 0; k && i < k->n_on; i++)
        jv_text_addf(&on, "%s\"%s\"", n_on++ ? ", " : "", jv_walk_part(w, k->on[i]));
    if (n_off)
        jv_walk_line(w, "Off for this reading: %s.", jv_text_str(&off));
    if (n_on)
        jv_walk_line(w, "On for this reading: %s.", jv_text_str(&on));
    w->out_of_memory |= on.failed || off.failed;
    jv_text_clear(&on);
    jv_text_clear(&off);
}

static void say_unplug(jv_walk *w, const jv_check *v) {
    jv_text list = {0};
    size_t n = 0;
    for (size_t k = 0; k < v->n_off; k++)
        if (!w->c->parts[v->off[k]].kind->is_source)
            jv_text_addf(&list, "%s\"%s\"", n++ ? ", " : "", jv_walk_part(w, v->off[k]));
    if (n && v->setup == JV_SETUP_ISOLATED)
        jv_walk_line(w, "Unplug %s; leave everything else as it is.", jv_text_str(&list));
    else if (n)
        jv_walk_line(w,
                     "Switch the controller off, unplug %s only, everything else plugged in, and "
                     "switch on again.",
                     jv_text_str(&list));
    w->out_of_memory |= list.failed;
    jv_text_clear(&list);
}

/* It fails after minutes of work, as was told before the meter. */
static bool fails_warm(const jv_walk *w) {
    for (size_t k = 0; k < w->n_clues; k++)
        if (w->clues[k].kind == JV_CLUE_SYMPTOM && w->clues[k].symptom.kind == JV_SYMPTOM_HINT &&
            w->clues[k].symptom.subject == JV_HINT_MINUTES)
            return true;
    return false;
}

static void say_run(jv_walk *w, const jv_check *v) {
    jv_text motors = {0};
    jv_walk_motors(&motors, w, v->loading);
    if (fails_warm(w))
        jv_walk_line(w, "Take it warm: the work after which it fails comes first, within the duty "
                        "time of the motors.");
    if (w->meter.peak_hold && v->kind == JV_CHECK_VOLTS)
        jv_walk_line(w, "Peak hold on before the run, if it holds the greatest reading; write what "
                        "it kept.");
    jv_walk_line(w, "Come out from under and see that everybody is clear.");
    jv_walk_line(w,
                 "Run %s, lifting as in case \"%s\", for 3 seconds. Read the meter while it runs, "
                 "from where you stand safe, then stop.",
                 jv_text_str(&motors), w->c->cases[v->loading].name);
    w->out_of_memory |= motors.failed;
    jv_text_clear(&motors);
}

static void say_volts(jv_walk *w, const jv_check *v) {
    jv_step *s = &w->step;
    static const double fine_v = 0.2; /* the millivolt range of a plain meter ends at 0.4 V */
    bool fine = s->has_healthy && fabs(s->healthy.high) < fine_v;
    const char *far = v->far_place != v->place ? place_words(v->far_place) : "";
    say_sources(w, v);
    say_unplug(w, v);
    jv_walk_line(w, "Meter on %s.",
                 fine ? "volts; on millivolts as soon as it shows less than 0.4 V" : "volts");
    if (v->setup == JV_SETUP_RUN) {
        jv_walk_line(w, "Nothing runs: clip red on \"%s\" %s, black on \"%s\"%s%s.", s->red,
                     place_words(v->place), s->black, *far ? " " : "", far);
        say_run(w, v);
    } else {
        jv_walk_line(w, "Nothing runs. Red on \"%s\" %s, black on \"%s\"%s%s. Read.", s->red,
                     place_words(v->place), s->black, *far ? " " : "", far);
    }
    s->how =
        "Touch the metal of the post, stud or pin itself, not the clamp, lug or wire beside it, "
        "unless the joint is what you measure. A minus sign counts: write it.";
}

static void say_amps(jv_walk *w, const jv_check *v) {
    say_sources(w, v);
    jv_walk_line(w, "Clamp on direct current, zeroed away from the wires%s.",
                 v->setup == JV_SETUP_RUN ? ", while nothing runs" : "");
    jv_walk_line(w,
                 "Close it round one conductor of \"%s\" %s, all of that conductor and no other, "
                 "arrow from plus.",
                 jv_walk_part(w, v->part), place_words(v->place));
    if (v->setup == JV_SETUP_RUN)
        say_run(w, v);
    else
        jv_walk_line(w, "Nothing runs. Read.");
    w->step.how =
        "If two cables leave the plus side, close the clamp round both. An outgoing and a "
        "returning wire in one clamp read nothing.";
}

static void say_ohms(jv_walk *w, const jv_check *v) {
    jv_step *s = &w->step;
    say_unplug(w, v);
    jv_walk_line(
        w,
        "Meter on volts first, red on \"%s\", black on \"%s\": it must show nothing. If it "
        "shows more than 50 mV stop: a source is on.",
        s->red, s->black);
    jv_walk_line(w,
                 "Then ohms, the same two points. Hold ten seconds and write what it shows, leads "
                 "included.");
    s->how = "A beep is not zero: read the number. OL means open. A number that climbs is a "
             "capacitor: wait until it stands.";
}

static void say_look(jv_walk *w, const jv_check *v) {
    jv_walk_line(w, "Nothing runs, key in your pocket.");
    jv_walk_line(w,
                 "Look at \"%s\" %s: rust, green or white crust, heat marks, water, a pin that "
                 "stands back. Move and pull it gently.",
                 jv_walk_part(w, v->part), place_words(v->place));
    jv_walk_choice(w, "it looks good and is firm");
    jv_walk_choice(w, "it looks bad or moves");
    w->step.how = "Pull as hard as a small bag of shopping weighs, no harder: about 4 kg.";
}

static void add_leading(jv_walk *w, size_t check) {
    enum { MOST = 4 };
    static const double worth = 0.01;
    jv_step *s = &w->step;
    size_t n;
    const jv_odds *odds = jv_finder_odds(w->finder, &n);
    for (size_t k = 0; k < n && s->n_leading < MOST; k++) {
        const jv_suspect *x = jv_finder_suspect(w->finder, odds[k].suspect);
        if (odds[k].probability < worth || x->n == 0 || odds[k].suspect + 1 == n)
            continue;
        jv_expected reads = jv_finder_expect(w->finder, check, odds[k].suspect);
        if (isnan(reads.value))
            continue;
        s->leading[s->n_leading++] =
            (jv_lead_reads){odds[k].suspect, x->words, odds[k].probability, reads};
    }
}

static const char *title_of(jv_walk *w, const jv_check *v, bool proof) {
    static const char *const kinds[] = {"Volts", "Amps", "Ohms", "Look"};
    bool named = v->part != JV_FIND_NONE &&
                 (v->kind != JV_CHECK_VOLTS || w->c->parts[v->part].kind != &jv_kind_load);
    const char *about = named ? jv_walk_part(w, v->part) : NULL;
    jv_text t = {0};
    jv_text_addf(&t, "%s%s", proof ? "Proof of the repair: " : "", kinds[v->kind]);
    if (about)
        jv_text_addf(&t, " %s \"%s\"", v->kind == JV_CHECK_AMPS ? "of" : "at", about);
    else
        jv_text_addf(&t, " from \"%s\" to \"%s\"", w->step.red, w->step.black);
    if (v->setup == JV_SETUP_RUN)
        jv_text_addf(&t, ", running \"%s\"", w->c->cases[v->loading].name);
    else if (v->setup == JV_SETUP_ISOLATED)
        jv_text_add(&t, ", everything dead");
    else
        jv_text_add(&t, ", at rest");
    size_t n = 0;
    for (size_t k = 0; k < v->n_off; k++)
        if (!w->c->parts[v->off[k]].kind->is_source)
            jv_text_addf(&t, "%s\"%s\"", n++ ? ", " : ", unplugged: ", jv_walk_part(w, v->off[k]));
    return jv_walk_keep(w, &t);
}

static void say_why(jv_walk *w, const jv_check *v, bool proof) {
    jv_step *s = &w->step;
    if (proof)
        s->why = "The repaired circuit must read what the model says of it; only then is the part "
                 "proved.";
    else if (w->again)
        s->why =
            "The reading before fits no fault that is considered: take it once more, probes on "
            "bare metal.";
    else if (w->forced != JV_FIND_NONE)
        s->why =
            "The rail at the controller, live, comes first: it tells a short from an open lead "
            "and costs a minute.";
    else if (w->next.kind == JV_NEXT_CONFIRM)
        s->why = jv_walk_say(w,
                             "\"%s\" leads, but no part is named before its own reading: this is "
                             "that reading.",
                             jv_finder_suspect(w->finder, w->next.suspect)->words);
    else
        s->why = jv_walk_say(w,
                             "Of all readings left it tells most for its time: about %.2f bit in "
                             "%.0f minutes%s.",
                             w->next.bits, w->next.minutes,
                             v->kind == JV_CHECK_LOOK ? "; eyes come before more measuring" : "");
}

void jv_walk_step_check(jv_walk *w, size_t check, bool proof) {
    static const jv_act acts[] = {JV_ACT_VOLTS, JV_ACT_AMPS, JV_ACT_OHMS, JV_ACT_LOOK};
    static const jv_wants wants[] = {JV_WANTS_VOLTS, JV_WANTS_AMPS, JV_WANTS_OHMS, JV_WANTS_CHOICE};
    jv_step *s = &w->step;
    const jv_check *v = jv_finder_check(w->finder, check);
    s->act = proof ? JV_ACT_PROOF : acts[v->kind];
    s->wants = wants[v->kind];
    s->check = check;
    s->setup = v->setup;
    s->minutes = proof ? 0.0 : w->forced != JV_FIND_NONE ? v->minutes : w->next.minutes;
    s->to_go = proof || w->forced != JV_FIND_NONE ? 0.0 : w->next.to_go;
    jv_walk_care(w, v->care);
    if (v->plus != JV_FIND_NONE && v->minus != JV_FIND_NONE) {
        s->red = jv_walk_terminal(w, v->plus);
        s->black = jv_walk_terminal(w, v->minus);
        s->n_way = jv_walk_find_way(w, v->plus, v->minus, w->way, JV_WALK_WAY);
    }
    s->title = title_of(w, v, proof);
    s->healthy = proof ? w->proof_reads : jv_finder_expect(w->finder, check, JV_FIND_NONE);
    s->has_healthy = !isnan(s->healthy.value);
    if (!proof)
        add_leading(w, check);
    say_why(w, v, proof);
    switch (v->kind) {
    case JV_CHECK_VOLTS:
        say_volts(w, v);
        break;
    case JV_CHECK_AMPS:
        say_amps(w, v);
        break;
    case JV_CHECK_OHMS:
        say_ohms(w, v);
        break;
    case JV_CHECK_LOOK:
        say_look(w, v);
        break;
    }
}
