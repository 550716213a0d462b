/* repair.c - a named part, its repair, and repairs that are not proved. SPDX-License-Identifier:
 * MIT
 */
#include "study/walk/walk.h"

#include "circuit/kinds.h"
#include "circuit/parts/fuse.h"

#include <math.h>
#include <string.h>

static const double percent = 100.0;

static void add_severity(jv_walk *w) {
    size_t n;
    const jv_odds *odds = jv_finder_odds(w->finder, &n);
    const jv_suspect *x = jv_finder_suspect(w->finder, w->suspect);
    for (size_t k = 0; k < n && !w->coarse; k++) {
        const jv_odds *o = &odds[k];
        if (o->suspect != w->suspect || x->n != 1 || x->along || !(o->severity > 0.0))
            continue;
        if (strstr(x->way[0], "<R>")) {
            jv_text ohms = {0};
            jv_quantity_print(&ohms, o->severity, JV_DIM_RESISTANCE, JV_UNITS_SI, 2);
            jv_walk_line(w, "By the readings it is about %s.", jv_text_str(&ohms));
            w->out_of_memory |= ohms.failed;
            jv_text_clear(&ohms);
        }
    }
}

/* What may be fitted: the rating of the file, but never more than the cables carry. */
static void say_fuse(jv_walk *w, size_t part) {
    double rating = jv_walk_rating(w->c, part), limit = jv_walk_fuse_limit(w->c, part);
    jv_walk_care(w,
                 JV_CARE_FUSE | (w->c->parts[part].kind == &jv_kind_breaker ? JV_CARE_BREAKER : 0));
    if (isnan(rating))
        return;
    if (!isnan(limit) && rating > limit) {
        w->step.fuse_a = floor(limit);
        jv_walk_line(
            w,
            "The file has %.0f A there, more than the %.0f A that the thinnest cable behind "
            "it carries for good: fit at most %.0f A, or have the cable made larger.",
            rating, limit, w->step.fuse_a);
        return;
    }
    w->step.fuse_a = rating;
    jv_walk_line(w,
                 "Only the same type and rating, %.0f A%s. It opened or worked loose for a reason: "
                 "look for it.",
                 rating,
                 isnan(limit)
                     ? " (what the cables behind it carry is not known: ask before you fit it)"
                     : "");
}

static void say_part(jv_walk *w, size_t part) {
    const jv_part_kind *kind = w->c->parts[part].kind;
    if (kind == &jv_kind_fuse || kind == &jv_kind_breaker)
        say_fuse(w, part);
    else if (kind == &jv_kind_cable)
        jv_walk_line(w,
                     "A new cable is of the same size or thicker, with the fuse that it has now.");
    else if (kind == &jv_kind_contact || kind == &jv_kind_frame)
        jv_walk_line(w,
                     "Bare metal on both faces, tight, then grease or paint over it to keep water "
                     "out.");
    if (kind->is_motor || kind == &jv_kind_hall || kind == &jv_kind_connector ||
        kind == &jv_kind_lead)
        jv_walk_care(w, JV_CARE_SUPPORT | JV_CARE_CHOCKS | JV_CARE_HOT);
}

void jv_walk_step_repair(jv_walk *w) {
    jv_step *s = &w->step;
    const jv_suspect *x = jv_finder_suspect(w->finder, w->suspect);
    s->act = JV_ACT_REPAIR;
    s->wants = JV_WANTS_DONE;
    s->setup = JV_SETUP_ISOLATED;
    s->suspect = w->suspect;
    s->minutes = x->minutes;
    s->title =
        jv_walk_say(w, "%s %s",
                    w->proved_name ? "Found:" : "Not proved, but likeliest to pay:", x->words);
    jv_walk_care(w, JV_CARE_UNCOMMANDED | JV_CARE_RINGS);
    add_severity(w);
    if (w->located)
        jv_walk_line(w, "%s", w->located);
    if (w->twins)
        jv_walk_line(w, "%s", w->twins);
    jv_walk_line(w, "What mends it: %s (about %.0f minutes).", x->repair, x->minutes);
    for (size_t k = 0; k < x->n; k++)
        say_part(w, x->part[k]);
    if (w->proof != JV_FIND_NONE && !w->coarse) {
        jv_text band = {0};
        jv_band_print(&band, jv_finder_check(w->finder, w->proof)->kind, &w->proof_reads);
        jv_walk_line(w, "It will be proved by this: %s should then read %s.",
                     jv_finder_check(w->finder, w->proof)->text, jv_text_str(&band));
        w->out_of_memory |= band.failed;
        jv_text_clear(&band);
    }
    s->why = jv_walk_say(w, "Odds of %.0f %% among the faults considered%s.",
                         percent * (x->n == 1 ? jv_finder_part_odds(w->finder, x->part[0])
                                              : jv_finder_part_odds(w->finder, x->part[1])),
                         w->proved_name ? ", and its own reading agrees"
                                        : "; its own reading is "
                                          "missing");
    s->how = jv_walk_say(w,
                         "Where weight and minutes come from: %s. When you cannot do it, write "
                         "cannot reach: the walk then hands over.",
                         x->basis);
}

void jv_walk_step_choose(jv_walk *w) {
    jv_step *s = &w->step;
    s->act = JV_ACT_ANSWER;
    s->wants = JV_WANTS_CHOICE;
    s->title = "No reading that is left tells more than it costs. What will you do?";
    jv_walk_line(w, "Repairs in the order of least expected minutes to a working vehicle. None of "
                    "these parts is proved.");
    for (size_t k = 0; k < w->n_repairs; k++) {
        const jv_suspect *x = jv_finder_suspect(w->finder, w->repairs[k]);
        jv_walk_choice(w, jv_walk_say(w, "%s: %s (about %.0f minutes)", x->words, x->repair,
                                      x->minutes));
    }
    jv_walk_choice(w, "none of these: hand it over");
    s->why = "Likely and quick ones come first: odds divided by minutes.";
    s->how =
        "Every repair is followed by its proof; if that fails, the walk opens again with what it "
        "learnt.";
}
