/* locate.c - where on a lead it is shorted. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"

#include <math.h>

/* A share of the lead within which a place must be known (two standard deviations) to be worth
 * looking for with this meter (judgement). */
static const double fine_share = 0.25;
/* Counts as a uniform error: standard deviation = half-width / sqrt 3. */
static const double uniform = 0.5773502691896258;
/* Ohms per metre, from a temperature that is known to 10 K; the test current, as a meter shows it;
 * a slide wire or dial read to one part in two hundred (judgement). */
static const double ohms_share = 0.04, amps_share = 0.02, dial = 0.005;
static const double least_a = 0.02, most_a = 2.0;
static const double feet = 0.3048;

typedef struct jv_run_of_lead {
    double per_m, length;
    const char *near_end, *far_end, *name;
} jv_run_of_lead;

static bool lead_of(const jv_walk *w, jv_run_of_lead *out) {
    const jv_suspect *x = jv_finder_suspect(w->finder, w->suspect);
    if (!x || !x->along || x->n != 1)
        return false;
    const jv_part *p = &w->c->parts[x->part[0]];
    const jv_slot *length = jv_part_slot(w->c, p, JV_CABLE_LENGTH);
    jv_conductor wire;
    if ((p->kind != &jv_kind_lead && p->kind != &jv_kind_cable) || !length ||
        jv_cable_conductor(w->c, p, &wire) != JV_OK)
        return false;
    out->per_m = wire.r20_ohm_per_m;
    out->length = length->value.nominal;
    out->near_end = jv_walk_terminal(w, (size_t)jv_part_terminal(w->c, p, JV_CABLE_A));
    out->far_end = jv_walk_terminal(w, (size_t)jv_part_terminal(w->c, p, JV_CABLE_B));
    out->name = p->name;
    return out->length > 0.0 && out->per_m > 0.0;
}

bool jv_walk_can_locate(const jv_walk *w) {
    jv_run_of_lead lead;
    return lead_of(w, &lead);
}

/* Standard deviation of a place by ohms from both ends, d = (L + (R1 - R2)/r') / 2, r' ohm/m
 * (continuity practice: both ends, the same return): m. */
static double sd_by_ohms(const jv_walk *w, const jv_run_of_lead *lead) {
    double each = jv_meter_error(&w->meter.ohms, lead->per_m * lead->length) * uniform;
    return sqrt(2.0) * each / (2.0 * lead->per_m);
}

static bool ohms_can(const jv_walk *w) {
    jv_run_of_lead lead;
    return !w->options.find.no_ohms && lead_of(w, &lead) &&
           2.0 * sd_by_ohms(w, &lead) <= fine_share * lead.length;
}

/* The choices that there are, in their order. */
static size_t list_ways(const jv_walk *w, jv_locate out[4]) {
    size_t n = 0;
    out[n++] = JV_LOCATE_DROP;
    out[n++] = JV_LOCATE_BRIDGE;
    if (ohms_can(w))
        out[n++] = JV_LOCATE_OHMS;
    out[n++] = JV_LOCATE_NONE;
    return n;
}

static void step_way(jv_walk *w) {
    static const char *const words[] = {
        "no: I look along the lead with my eyes", "with ohms, from both ends",
        "with a limited current (a lamp or a bench source) and millivolts",
        "with a bridge: a slide wire or a dial, and a sound lead of the same kind to join at the "
        "far "
        "end"};
    jv_locate ways[4];
    size_t n = list_ways(w, ways);
    w->step.act = JV_ACT_ANSWER;
    w->step.wants = JV_WANTS_CHOICE;
    w->step.suspect = w->suspect;
    w->step.title = "Shall the place of the short be measured? With what?";
    for (size_t k = 0; k < n; k++)
        jv_walk_choice(w, words[ways[k]]);
    w->step.why = ohms_can(w) ? "A place that is known saves opening the whole run."
                              : "This meter's ohms are too coarse for this lead: a step of its "
                                "display is a good part of it. Millivolts at a known current, or a "
                                "bridge, tell it.";
    w->step.how = "The lead and what it touches are unplugged at both ends for all of these.";
}

static void both_ends(jv_walk *w, const jv_run_of_lead *lead, bool far_end) {
    jv_step *s = &w->step;
    s->wants = JV_WANTS_OHMS;
    s->title = jv_walk_say(w, "Ohms of the short from %s end", far_end ? "the far" : "the near");
    s->red = far_end ? lead->far_end : lead->near_end;
    s->black = "what it is shorted to";
    jv_walk_line(w,
                 "Black on one point of what the lead is shorted to, and leave it there for both "
                 "readings; red on \"%s\".",
                 s->red);
    jv_walk_line(w, "Hold until it stands; write it, leads included.");
}

static void step_amps(jv_walk *w, const jv_run_of_lead *lead) {
    jv_step *s = &w->step;
    s->wants = JV_WANTS_AMPS;
    s->title = "Send a limited current into the short";
    jv_walk_line(w,
                 "Connect the source through its lamp or limit: plus to \"%s\", minus to what the "
                 "lead is shorted to. %.2g to %.2g A, steady.",
                 lead->near_end, least_a, most_a);
    jv_walk_line(w, "Write the current.");
}

static void step_drop(jv_walk *w, const jv_run_of_lead *lead) {
    jv_step *s = &w->step;
    s->wants = JV_WANTS_MILLIVOLTS;
    s->title = "Millivolts along the lead";
    s->red = lead->near_end;
    s->black = lead->far_end;
    jv_walk_line(
        w,
        "While %.2f A flow: meter on millivolts, red on \"%s\", black on \"%s\", with a long "
        "test lead.",
        w->test_a, s->red, s->black);
    jv_walk_line(w, "Beyond the short no current flows, so the far end is as good as the place "
                    "itself.");
}

static void step_bridge(jv_walk *w, const jv_run_of_lead *lead) {
    jv_step *s = &w->step;
    s->wants = JV_WANTS_RATIO;
    s->title = "Balance the bridge";
    jv_walk_line(w, "At the far end join \"%s\" to a sound lead of the same size and length.",
                 lead->far_end);
    jv_walk_line(w, "At the near end put the slide wire between the two leads, the meter on the "
                    "same two; a limited source from the slider to what the lead is shorted to.");
    jv_walk_line(w,
                 "Move the slider until the meter shows nothing. Write the share of the wire on "
                 "the side of \"%s\", 0 to 1.",
                 lead->near_end);
}

void jv_walk_step_locate(jv_walk *w) {
    jv_step *s = &w->step;
    jv_run_of_lead lead;
    if (w->phase == JV_PHASE_LOCATE_WAY || !lead_of(w, &lead)) {
        step_way(w);
        return;
    }
    s->act = JV_ACT_LOCATE;
    s->setup = JV_SETUP_ISOLATED;
    s->suspect = w->suspect;
    jv_walk_care(w, JV_CARE_SOURCES | JV_CARE_LIMITED | JV_CARE_METER | JV_CARE_UNPLUG |
                        JV_CARE_NO_FEED);
    jv_walk_line(w,
                 "\"%s\" and what it touches unplugged at both ends, controller and sensors off.",
                 lead.name);
    if (w->locate == JV_LOCATE_OHMS)
        both_ends(w, &lead, w->phase == JV_PHASE_LOCATE);
    else if (w->locate == JV_LOCATE_BRIDGE)
        step_bridge(w, &lead);
    else if (w->phase == JV_PHASE_LOCATE_AMPS)
        step_amps(w, &lead);
    else
        step_drop(w, &lead);
    s->why = "Where the lead is shorted, as well as the tools can tell.";
    s->how = "Skip it if you cannot: the repair then looks along the whole lead.";
}

/* --- answers --- */

static jv_status beyond(jv_text *problem, const jv_run_of_lead *lead, double d) {
    jv_text_addf(
        problem,
        "that would be %.2f m along a lead of %.2f m: check the current, the units and the "
        "probes, or write skip",
        d, lead->length);
    return JV_ERR_INPUT;
}

static void keep_place(jv_walk *w, const jv_run_of_lead *lead, double d, double sd) {
    double at = fmin(fmax(d, 0.0), lead->length), band = 2.0 * sd;
    w->located = jv_walk_say(w,
                             "The short is %.2f m (%.1f ft) from \"%s\" along \"%s\", give or take "
                             "%.2f m (%.1f ft).",
                             at, at / feet, lead->near_end, lead->name, band, band / feet);
    w->meaning = w->located;
    w->phase = JV_PHASE_REPAIR;
}

/* Slack at both ends before a place off the lead is refused. */
static bool off_lead(const jv_run_of_lead *lead, double d, double sd) {
    static const double slack_sds = 3.0;
    return d < -slack_sds * sd || d > lead->length + slack_sds * sd;
}

static jv_status place(jv_walk *w, const jv_run_of_lead *lead, double value, jv_text *problem) {
    double d, sd;
    if (w->locate == JV_LOCATE_OHMS) {
        d = 0.5 * (lead->length + (w->test_a - value) / lead->per_m);
        sd = sd_by_ohms(w, lead);
    } else if (w->locate == JV_LOCATE_DROP) { /* d = V / (I r') */
        double volts = jv_meter_error(&w->meter.millivolts, value) * uniform;
        d = value / (w->test_a * lead->per_m);
        sd = hypot(volts / (w->test_a * lead->per_m), d * hypot(ohms_share, amps_share));
    } else { /* Murray: d = 2 L share, both leads alike */
        if (value < 0.0 || value > 1.0) {
            jv_text_add(problem, "a share lies between 0 and 1");
            return JV_ERR_INPUT;
        }
        d = 2.0 * lead->length * value;
        sd = 2.0 * lead->length * dial * uniform;
    }
    if (off_lead(lead, d, sd))
        return beyond(problem, lead, d);
    keep_place(w, lead, d, sd);
    return JV_OK;
}

jv_status jv_walk_go_locate(jv_walk *w, const jv_given *g, jv_text *problem) {
    jv_run_of_lead lead;
    jv_locate ways[4];
    if (w->phase == JV_PHASE_LOCATE_WAY) {
        list_ways(w, ways);
        w->locate = ways[g->choice];
        w->phase = w->locate == JV_LOCATE_NONE     ? JV_PHASE_REPAIR
                   : w->locate == JV_LOCATE_BRIDGE ? JV_PHASE_LOCATE
                                                   : JV_PHASE_LOCATE_AMPS;
        return JV_OK;
    }
    if (g->kind == JV_GIVEN_SKIP || !lead_of(w, &lead)) {
        w->phase = JV_PHASE_REPAIR;
        return JV_OK;
    }
    if (g->kind == JV_GIVEN_OVER) {
        jv_text_add(problem, "overload: the way of the current is open; look at the clips");
        return JV_ERR_INPUT;
    }
    if (w->phase == JV_PHASE_LOCATE_AMPS) {
        if (w->locate == JV_LOCATE_DROP && (g->value < least_a || g->value > most_a)) {
            jv_text_addf(problem, "the test current has to lie between %.2g and %.2g A", least_a,
                         most_a);
            return JV_ERR_INPUT;
        }
        w->test_a = g->value; /* OHMS: the reading at the near end */
        w->phase = JV_PHASE_LOCATE;
        return JV_OK;
    }
    return place(w, &lead, g->value, problem);
}
