/* opening.c - before the meter: what feeds it, what it does, when, what changed, and what stops a
 * jack with sound wiring. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include "circuit/kinds.h"

#include <math.h>
#include <string.h>

enum { NOTHING_ELSE = 1 };

/* --- what is connected --- */

static void ask_connected(jv_walk *w) {
    jv_step *s = &w->step;
    s->title = "What is connected to the vehicle besides its own battery?";
    jv_walk_choice(w, "nothing");
    jv_walk_choice(w, "a tow vehicle");
    jv_walk_choice(w, "a charger, converter or shore cord");
    jv_walk_choice(w, "solar panels");
    jv_walk_choice(w, "several of these, or I am not sure");
    s->why = "Each of them holds the volts up and hides a weak battery. A reading at rest with one "
             "connected says nothing of the battery.";
    s->how = "Look for the cord, the coupler, the panel on the roof and the switch of the charger.";
}

static void ask_disconnect(jv_walk *w) {
    jv_step *s = &w->step;
    s->act = JV_ACT_DISCONNECT;
    s->wants = JV_WANTS_DONE;
    s->title = "Take the other sources off";
    jv_walk_care(w, JV_CARE_CHOCKS | JV_CARE_BEFORE_OFF | JV_CARE_UNCOMMANDED);
    jv_walk_line(w, "Chock the wheels before a tow vehicle leaves.");
    jv_walk_line(w, "Switch the charger off, then unplug the shore cord at its outlet; uncouple or "
                    "unplug the tow vehicle; cover the panels, then unplug them.");
    jv_walk_line(w,
                 "Switch the lights on for two minutes and off again, and wait ten minutes: that "
                 "takes the fresh charge off the battery's surface (times by common practice, no "
                 "source).");
    jv_walk_line(w, "From here on a step says so when one of them is to be on.");
    s->why = "Chargers, panels and tow vehicles hide the battery.";
    s->how = s->why;
}

/* --- the complaint --- */

/* A watch that acts while jacks run. */
static bool acts_in_run(const jv_watch *x) {
    return x->state != JV_RESTING;
}

static size_t count_kind(const jv_walk *w, const jv_part_kind *kind) {
    size_t n = 0;
    for (size_t i = 0; i < w->c->n_parts; i++)
        n += w->c->parts[i].kind == kind;
    return n;
}

static size_t count_motors(const jv_walk *w) {
    size_t n = 0;
    for (size_t i = 0; i < w->c->n_parts; i++)
        n += w->c->parts[i].kind->is_motor;
    return n;
}

/* Behind the watches: */
typedef enum jv_sag_choice {
    ONE_SLOW,
    ALL_SLOW,
    ONE_STILL,
    SAG_UNKNOWN,
    SAG_CHOICES
} jv_sag_choice;
typedef enum jv_sensor_choice { ALL_LOST, SENSOR_UNKNOWN } jv_sensor_choice;

static void ask_sag(jv_walk *w) {
    for (size_t k = 0; k < w->c->n_watches; k++) {
        const jv_watch *x = &w->c->watches[k];
        const char *does = x->action == JV_WARN           ? "warns"
                           : x->action == JV_REFUSE_START ? "refuses to start"
                           : x->action == JV_STOP_JACK    ? "stops the jack"
                                                          : "stops everything";
        jv_walk_choice(w, acts_in_run(x)
                              ? jv_walk_say(w, "\"%s\" %s while jacks run", x->name, does)
                              : jv_walk_say(w, "\"%s\" %s", x->name, does));
    }
    jv_walk_choice(w, "one jack is clearly slower than the others");
    jv_walk_choice(w, "every jack is slow");
    jv_walk_choice(w, "one jack does not move at all");
    jv_walk_choice(w, "something else, or I do not know");
}

static void ask_sensor(jv_walk *w) {
    for (size_t i = 0; i < w->c->n_parts; i++)
        if (w->c->parts[i].kind == &jv_kind_hall)
            jv_walk_choice(w, jv_walk_say(w, "only \"%s\" is lost", jv_walk_part(w, i)));
    jv_walk_choice(w, "every sensor is lost");
    jv_walk_choice(w, "something else, or I do not know");
}

static void ask_complaint(jv_walk *w) {
    jv_step *s = &w->step;
    s->title = "What does it do?";
    if (w->options.kind == JV_WALK_SENSOR)
        ask_sensor(w);
    else
        ask_sag(w);
    s->why = "What acted, and when, rules faults in and out before any reading: a fault must make "
             "that happen in the model too.";
    s->how = "Take the one that describes the trouble best. If in doubt take the last one.";
}

static void ask_which(jv_walk *w) {
    jv_step *s = &w->step;
    jv_text motors = {0};
    s->title = w->which_parts ? "Which jack?" : "With what running?";
    for (size_t k = 0; k < w->n_which; k++) {
        if (w->which_parts) {
            jv_walk_choice(w, jv_walk_part(w, w->which_list[k]));
            continue;
        }
        jv_walk_motors(&motors, w, w->which_list[k]);
        jv_walk_choice(w, jv_walk_say(w, "%s: %s", w->c->cases[w->which_list[k]].name,
                                      jv_text_str(&motors)));
        jv_text_clear(&motors);
    }
    s->why =
        "Later steps run the jacks as in one of these cases, and the trouble is looked for there.";
    s->how = "Take the case that comes nearest to what you do when it fails.";
}

static void ask_when(jv_walk *w) {
    jv_step *s = &w->step;
    s->title = "When does it happen?";
    if (w->options.kind == JV_WALK_SENSOR) {
        jv_walk_choice(w, "always, at rest too");
        jv_walk_choice(w, "only while jacks run");
        jv_walk_choice(w, "in the wet, or now and then");
    } else {
        jv_walk_choice(w, "always");
        jv_walk_choice(w, "only with several jacks at once");
        jv_walk_choice(w, "in the cold");
        jv_walk_choice(w, "after minutes of work, or several lifts");
        jv_walk_choice(w, "now and then");
    }
    s->why = "Cold points to battery and stiff grease, minutes of work to heat and charge, several "
             "jacks to what they share, now and then to a loose joint.";
    s->how = "As you have seen it, not as you think it should be.";
}

static void ask_changed(jv_walk *w) {
    jv_step *s = &w->step;
    s->title = "What changed last, before it began?";
    jv_walk_choice(w, "nothing that I know of");
    jv_walk_choice(w, "the battery: new, charged, moved or left standing");
    jv_walk_choice(w, "work on the wiring, or something new was connected");
    jv_walk_choice(w, "a jack or a sensor was repaired or hit something");
    jv_walk_choice(w, "rain, salt, a wash, or a long stand outside");
    s->why = "Whatever was touched last is the first place to look with your eyes.";
    s->how = s->why;
}

static void ask_by_hand(jv_walk *w) {
    jv_step *s = &w->step;
    s->title = "Must a jack be moved by hand before you can go on?";
    jv_walk_choice(w, "no");
    jv_walk_choice(w, "yes, the vehicle has to come off its legs or be moved");
    s->why = "A leg that is stuck down must not be dragged; moving it by hand has its own dangers.";
    s->how = "Do it only when the vehicle cannot stay where it is.";
}

/* --- what stops a jack with sound wiring --- */

static const char *const sound_group[] = {"none of these", "the ground", "the leg",
                                          "the sensing of level", "the person"};

static void ask_sound(jv_walk *w) {
    jv_step *s = &w->step;
    s->title = "Four things stop a jack whose wiring is sound. Does one of them apply?";
    jv_walk_choice(w, "none of these");
    jv_walk_choice(w, "the ground: a foot sinks or slides, or the slope takes more travel than the "
                      "legs have");
    jv_walk_choice(w, "the leg: at the end of its travel, bent, dry, iced up, or carrying far more "
                      "than its share");
    jv_walk_choice(w, "the sensing of level: sensor loose, turned, dirty, or never set after work "
                      "on it");
    jv_walk_choice(w,
                   "the person: key, brake or interlock not set, another order of buttons, or run "
                   "so long that a motor protects itself");
    s->why =
        "A motor's current follows the load on its leg, and its speed follows the volts: a leg "
        "that carries twice its share draws about twice the current with every wire sound, and "
        "a controller that is told the wrong level or the wrong order stops it on purpose.";
    s->how = "Look, do not measure: the foot, the leg, the sensor's screws, the key and the brake.";
}

static void ask_sound_do(jv_walk *w) {
    static const char *const put_right[] = {
        "",
        "Retract, move to firmer or flatter ground, or put a wide board under each foot; see that "
        "no foot slides.",
        "Take weight off that leg; clean and grease its screw; ice off; see that it is straight "
        "and "
        "not at its end.",
        "Tighten the sensor, clean it, and set level again as the maker's instructions say.",
        "Key on, brake set, interlocks closed; start the sequence as the instructions say, after a "
        "rest of ten minutes for the motors."};
    jv_step *s = &w->step;
    s->act = JV_ACT_REPEAT;
    s->wants = JV_WANTS_CHOICE;
    s->setup = JV_SETUP_RUN;
    s->title = jv_walk_say(w, "Put right what belongs to %s, then try", sound_group[w->sound]);
    jv_walk_care(w, JV_CARE_CHOCKS | JV_CARE_SUPPORT | JV_CARE_UNCOMMANDED | JV_CARE_HOT |
                        JV_CARE_DUTY);
    jv_walk_line(w, "%s", put_right[w->sound]);
    jv_walk_line(w, "Everybody clear. Run it the whole way, twice, with a rest between.");
    jv_walk_choice(w, "it works now, twice");
    jv_walk_choice(w, "it still fails");
    s->why = "If this cures it, no meter is needed.";
    s->how = "Nobody near the legs while they move.";
}

void jv_walk_step_opening(jv_walk *w) {
    w->step.act = JV_ACT_ANSWER;
    w->step.wants = JV_WANTS_CHOICE;
    switch (w->phase) {
    case JV_PHASE_CONNECTED:
        ask_connected(w);
        break;
    case JV_PHASE_DISCONNECT:
        ask_disconnect(w);
        break;
    case JV_PHASE_COMPLAINT:
        ask_complaint(w);
        break;
    case JV_PHASE_WHICH:
        ask_which(w);
        break;
    case JV_PHASE_WHEN:
        ask_when(w);
        break;
    case JV_PHASE_CHANGED:
        ask_changed(w);
        break;
    case JV_PHASE_BY_HAND:
        ask_by_hand(w);
        break;
    case JV_PHASE_SOUND:
        ask_sound(w);
        break;
    default:
        ask_sound_do(w);
        break;
    }
}

/* --- answers --- */

/* Cases that the finder runs: upwards, nothing held fast, the weather as it is. */
static bool can_run(const jv_case *k) {
    if (!k->n_runs || k->has_ambient || k->has_charge)
        return false;
    for (size_t i = 0; i < k->n_runs; i++)
        if (k->runs[i].kind == JV_LOAD_STALLED || k->runs[i].direction < 0)
            return false;
    return true;
}

static void list_cases(jv_walk *w, size_t with_part) {
    w->n_which = 0;
    w->which_parts = false;
    for (size_t k = 0; k < w->c->n_cases && w->n_which < JV_WALK_CHOICES; k++) {
        bool has = with_part == JV_FIND_NONE;
        for (size_t i = 0; i < w->c->cases[k].n_runs; i++)
            has = has || w->c->cases[k].runs[i].part == with_part;
        if (has && can_run(&w->c->cases[k]))
            w->which_list[w->n_which++] = k;
    }
}

static void list_motors(jv_walk *w) {
    w->n_which = 0;
    w->which_parts = true;
    for (size_t i = 0; i < w->c->n_parts && w->n_which < JV_WALK_CHOICES; i++)
        if (w->c->parts[i].kind->is_motor)
            w->which_list[w->n_which++] = i;
}

/* The case with most motors that runs a part; JV_FIND_NONE = none. */
static size_t fullest(jv_walk *w, size_t part) {
    size_t best = JV_FIND_NONE;
    list_cases(w, part);
    for (size_t k = 0; k < w->n_which; k++)
        if (best == JV_FIND_NONE || w->c->cases[w->which_list[k]].n_runs > w->c->cases[best].n_runs)
            best = w->which_list[k];
    return best;
}

static jv_status symptom(jv_walk *w, jv_symptom_kind kind, size_t subject, size_t loading,
                         bool absent) {
    const jv_symptom s = {kind, subject, loading, absent};
    return jv_walk_add_symptom(w, &s);
}

static jv_status complaint_sag(jv_walk *w) {
    size_t watches = w->c->n_watches;
    size_t beyond = w->complaint - watches; /* huge for a watch */
    if (w->complaint < watches && !acts_in_run(&w->c->watches[w->complaint]))
        return symptom(w, JV_SYMPTOM_TRIPS, w->complaint, JV_FIND_NONE, false);
    if (w->complaint < watches || beyond == ALL_SLOW) {
        list_cases(w, JV_FIND_NONE);
    } else if (beyond == ONE_SLOW || beyond == ONE_STILL) {
        list_motors(w);
    }
    return JV_OK;
}

/* With the case or the jack known. */
static jv_status complaint_which(jv_walk *w) {
    size_t watches = w->c->n_watches, chosen = w->which_list[w->which];
    if (w->complaint < watches)
        return symptom(w, JV_SYMPTOM_TRIPS, w->complaint, chosen, false);
    size_t beyond = w->complaint - watches;
    if (beyond == ALL_SLOW)
        return symptom(w, JV_SYMPTOM_ALL_SLOW, JV_FIND_NONE, chosen, false);
    size_t loading = fullest(w, chosen);
    if (loading == JV_FIND_NONE)
        return JV_OK;
    jv_symptom_kind kind = beyond == ONE_SLOW ? JV_SYMPTOM_SLOW : JV_SYMPTOM_STILL;
    return symptom(w, kind, chosen, loading, false);
}

/* Sensors lost: all, or one and not the others; at rest, or only while jacks run. */
static jv_status sensors_lost(jv_walk *w, bool running) {
    size_t halls = count_kind(w, &jv_kind_hall), at = 0;
    jv_status status = JV_OK;
    if (w->complaint > halls) /* not known */
        return JV_OK;
    size_t loading = running ? fullest(w, JV_FIND_NONE) : JV_FIND_NONE;
    for (size_t i = 0; i < w->c->n_parts && status == JV_OK; i++) {
        if (w->c->parts[i].kind != &jv_kind_hall)
            continue;
        bool lost = w->complaint == halls || w->complaint == at;
        at++;
        status = symptom(w, JV_SYMPTOM_SENSOR, i, loading, !lost);
        if (status == JV_OK && running && lost)
            status = symptom(w, JV_SYMPTOM_SENSOR, i, JV_FIND_NONE, true);
    }
    return status;
}

static jv_status only_several(jv_walk *w) {
    jv_status status = JV_OK;
    if (w->complaint >= w->c->n_watches || !acts_in_run(&w->c->watches[w->complaint]))
        return JV_OK;
    for (size_t k = 0; k < w->c->n_cases && status == JV_OK; k++)
        if (can_run(&w->c->cases[k]) && w->c->cases[k].n_runs == 1) {
            w->meaning = "So one jack alone does not bring it about: what all of them share is "
                         "suspected more.";
            return symptom(w, JV_SYMPTOM_TRIPS, w->complaint, k, true);
        }
    return status;
}

/* Cards follow all answers to these questions as one. */
static jv_status hint(jv_walk *w, size_t what) {
    return w->coarse ? JV_OK : symptom(w, JV_SYMPTOM_HINT, what, JV_FIND_NONE, false);
}

static jv_status took_when(jv_walk *w, size_t choice) {
    static const char *const sag_says[] = {
        "", "", "Cold: a battery gives less and grease is stiffer. Take the readings in the cold.",
        "Work heats joints and uses charge: take the readings after some runs.",
        "Now and then: a loose joint. Take readings while it fails; a good one proves little."};
    enum { SENSOR_NOW_AND_THEN = 2, SAG_NOW_AND_THEN = 4 };
    bool sensor = w->options.kind == JV_WALK_SENSOR;
    w->comes_and_goes = choice == (sensor ? SENSOR_NOW_AND_THEN : SAG_NOW_AND_THEN);
    if (sensor) {
        jv_status status = JV_OK;
        if (w->comes_and_goes) {
            w->meaning =
                "Wet or loose: look into the plugs too; a good reading proves little while "
                "it works.";
            status = hint(w, JV_HINT_BY_TURNS);
        }
        return status == JV_OK ? sensors_lost(w, choice == 1) : status;
    }
    enum { SEVERAL = 1, COLD = 2 };
    w->meaning = sag_says[choice];
    if (choice == SEVERAL)
        return only_several(w);
    return choice < COLD ? JV_OK : hint(w, JV_HINT_COLD + (choice - COLD));
}

static const char *changed_says(size_t choice) {
    static const char *const says[] = {
        "", "A battery that was moved has clamps that were touched; one left standing may be flat.",
        "Look at every joint that was touched, and at what was connected.",
        "Look at the plug and the leads of that jack first.",
        "Look into plugs and at joints low on the frame: water works there."};
    return says[choice];
}

static jv_status begin_looking(jv_walk *w) {
    w->phase = JV_PHASE_LOOKING;
    return jv_walk_look(w);
}

static jv_status took_complaint(jv_walk *w, size_t choice) {
    jv_status status = JV_OK;
    w->complaint = choice;
    w->n_which = 0;
    if (w->options.kind == JV_WALK_SAG)
        status = complaint_sag(w);
    w->phase = w->n_which ? JV_PHASE_WHICH : JV_PHASE_WHEN;
    if (status == JV_OK && w->n_which == 1) {
        w->which = 0;
        w->phase = JV_PHASE_WHEN;
        status = complaint_which(w);
    }
    return status;
}

static jv_status took_sound_try(jv_walk *w, size_t choice) {
    if (choice == 0) {
        jv_walk_close(w, JV_WALK_PROVED,
                      jv_walk_say(w,
                                  "The wiring was not the cause: %s was. It was put right and "
                                  "proved by two full runs.",
                                  sound_group[w->sound]));
        return JV_OK;
    }
    w->meaning = "So it was not that alone: on to the meter.";
    return begin_looking(w);
}

jv_status jv_walk_go_opening(jv_walk *w, const jv_given *g) {
    switch (w->phase) {
    case JV_PHASE_CONNECTED:
        w->phase = g->choice + 1 == NOTHING_ELSE ? JV_PHASE_COMPLAINT : JV_PHASE_DISCONNECT;
        return JV_OK;
    case JV_PHASE_DISCONNECT:
        w->phase = JV_PHASE_COMPLAINT;
        return JV_OK;
    case JV_PHASE_COMPLAINT:
        return took_complaint(w, g->choice);
    case JV_PHASE_WHICH:
        w->which = g->choice;
        w->phase = JV_PHASE_WHEN;
        return complaint_which(w);
    case JV_PHASE_WHEN:
        w->phase = JV_PHASE_CHANGED;
        return took_when(w, g->choice);
    case JV_PHASE_CHANGED:
        w->phase = count_motors(w) ? JV_PHASE_BY_HAND : JV_PHASE_SOUND;
        w->meaning = changed_says(g->choice);
        return g->choice ? hint(w, JV_HINT_BATTERY + (g->choice - 1)) : JV_OK;
    case JV_PHASE_BY_HAND:
        w->phase = g->choice == 0 ? JV_PHASE_SOUND : JV_PHASE_CRANK;
        return JV_OK;
    case JV_PHASE_SOUND:
        w->sound = g->choice;
        w->phase = JV_PHASE_SOUND_DO;
        return g->choice == 0 ? begin_looking(w) : JV_OK;
    default:
        return took_sound_try(w, g->choice);
    }
}
