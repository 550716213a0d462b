/* safe.c - steps that make the work safe. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include "circuit/kinds.h"

#include <math.h>
#include <string.h>

/* Ohms between plus and minus of the feed, controller unplugged and loads off, from which power may
 * come back (common practice, no source); less where a sound circuit itself reads less: this share
 * of it. */
static const double clear_ohm = 2.0, clear_share = 0.5;

static bool is_kind(const jv_walk *w, size_t part, const jv_part_kind *kind) {
    return w->c->parts[part].kind == kind;
}

static bool is_lithium(const jv_walk *w) {
    for (size_t k = 0; k < jv_finder_checks(w->finder); k++)
        if (jv_finder_check(w->finder, k)->care & JV_CARE_LITHIUM)
            return true;
    return false;
}

/* Names of all parts of a kind, quoted, or nothing. */
static size_t names_of(const jv_walk *w, const jv_part_kind *kind, jv_text *out) {
    size_t n = 0;
    for (size_t i = 0; i < w->c->n_parts; i++)
        if (is_kind(w, i, kind))
            jv_text_addf(out, "%s\"%s\"", n++ ? ", " : "", jv_walk_part(w, i));
    return n;
}

void jv_walk_step_safe(jv_walk *w) {
    jv_step *s = &w->step;
    s->act = JV_ACT_SAFE;
    s->wants = JV_WANTS_DONE;
    s->title = "Make the vehicle safe before a jack moves or anybody reaches under";
    jv_walk_care(w, JV_CARE_SUPPORT | JV_CARE_CHOCKS | JV_CARE_UNCOMMANDED);
    jv_walk_line(w, "Park on firm, level ground. Set the parking brake.");
    jv_walk_line(w, "Chock the wheels that stay down, on both sides of each.");
    jv_walk_line(w,
                 "Let the vehicle stand on its wheels. Where the work is under it, or a wheel is "
                 "off the ground, put rated stands or cribbing under the frame and let them "
                 "carry the weight.");
    jv_walk_line(w, "One person has the key and the switch, sees everybody, and runs nothing until "
                    "all are clear.");
    s->why =
        "Later steps run the jacks or have somebody near a leg. Chocks and supports come first, "
        "once, and stay until the end.";
    s->how =
        "A chock on each side of the wheel, pushed tight. Stands under the frame, not under an "
        "axle that can turn; lower the weight on to them and try it before you reach under.";
}

void jv_walk_step_isolate(jv_walk *w) {
    jv_step *s = &w->step;
    jv_text list = {0};
    s->act = JV_ACT_ISOLATE;
    s->wants = JV_WANTS_DONE;
    s->title = "Take every source off";
    jv_walk_care(w, JV_CARE_SOURCES | JV_CARE_BEFORE_OFF | JV_CARE_RINGS | JV_CARE_MINUS_FIRST |
                        JV_CARE_GAS | JV_CARE_UNCOMMANDED | JV_CARE_CHOCKS |
                        (is_lithium(w) ? JV_CARE_LITHIUM : 0));
    jv_walk_line(w, "Key and jacks off. Note saved positions; see that the breakaway brake is not "
                    "needed to hold the vehicle.");
    if (names_of(w, &jv_kind_supply, &list))
        jv_walk_line(w, "Switch off and unplug %s.", jv_text_str(&list));
    jv_walk_line(w, "Unplug the shore cord and the tow vehicle; cover or unplug solar panels.");
    jv_text_clear(&list);
    if (names_of(w, &jv_kind_battery, &list))
        jv_walk_line(w, "Take the minus clamp off %s, tuck it away and tag it.",
                     jv_text_str(&list));
    jv_text_clear(&list);
    if (names_of(w, &jv_kind_controller, &list))
        jv_walk_line(w, "Wait five minutes, then unplug %s.", jv_text_str(&list));
    jv_text_clear(&list);
    s->why =
        "What comes next touches the circuit with ohms or with tools: no source may be left on.";
    s->how =
        "Minus clamps first. A second battery, a charger, a panel or a tow vehicle each keep the "
        "circuit alive by themselves: go through them one by one.";
}

/* Where the feed of the jacks ends: controller, else a motor, else the battery. */
static bool feed_ends(const jv_walk *w, int32_t *plus, int32_t *minus) {
    const jv_part_kind *const order[] = {&jv_kind_controller, &jv_kind_pump, &jv_kind_jack,
                                         &jv_kind_battery, &jv_kind_supply};
    for (size_t k = 0; k < sizeof order / sizeof order[0]; k++)
        for (size_t i = 0; i < w->c->n_parts; i++) {
            if (!is_kind(w, i, order[k]))
                continue;
            *plus = jv_part_terminal(w->c, &w->c->parts[i], 0);
            *minus = jv_part_terminal(w->c, &w->c->parts[i], 1);
            if (*plus >= 0 && *minus >= 0)
                return true;
        }
    return false;
}

static void put_probes(jv_walk *w, int32_t red, int32_t black) {
    w->step.red = jv_walk_terminal(w, (size_t)red);
    w->step.black = jv_walk_terminal(w, (size_t)black);
    w->step.n_way = jv_walk_find_way(w, (size_t)red, (size_t)black, w->way, JV_WALK_WAY);
}

void jv_walk_step_dead(jv_walk *w) {
    jv_step *s = &w->step;
    int32_t plus = -1, minus = -1;
    const jv_check *v =
        w->phase == JV_PHASE_LOOKING ? jv_finder_check(w->finder, jv_walk_due(w)) : NULL;
    s->act = JV_ACT_PROVE_DEAD;
    s->wants = JV_WANTS_VOLTS;
    s->setup = JV_SETUP_REST;
    s->title = "Prove it dead";
    jv_walk_care(w, JV_CARE_METER | JV_CARE_CAPACITORS | JV_CARE_SOURCES);
    if (v && v->plus != JV_FIND_NONE && v->minus != JV_FIND_NONE) {
        plus = (int32_t)v->plus;
        minus = (int32_t)v->minus;
    } else if (!feed_ends(w, &plus, &minus)) {
        plus = minus = 0;
    }
    put_probes(w, plus, minus);
    jv_walk_line(w, "Meter on volts. Check it on a live point first: the battery's own posts must "
                    "show its volts.");
    jv_walk_line(w, "Now red on \"%s\", black on \"%s\", then from each of them to bare frame.",
                 s->red, s->black);
    jv_walk_line(w, "Write the largest of these readings. Dead is less than 50 mV.");
    s->has_healthy = true;
    s->healthy = (jv_expected){0.0, 0.0, 0.05};
    s->why =
        "Ohms on a circuit that still has volts read nonsense and can spoil the meter; a tool in "
        "it makes an arc.";
    s->how = "If it reads more, a source is still on or charge is left: wait, look for it, measure "
             "again.";
}

void jv_walk_step_crank(jv_walk *w) {
    jv_step *s = &w->step;
    s->act = JV_ACT_CRANK;
    s->wants = JV_WANTS_DONE;
    s->title = "Move the jack by hand, made safe first";
    jv_walk_care(w, JV_CARE_SUPPORT | JV_CARE_CHOCKS | JV_CARE_UNCOMMANDED | JV_CARE_FUSE |
                        JV_CARE_UNPLUG | JV_CARE_HOT);
    jv_walk_line(w,
                 "Chocks and supports are in place. Key out; pull the fuse of the jacks and keep "
                 "it with you.");
    jv_walk_line(w,
                 "Unplug the motor of the jack that is to be moved, so that it cannot start while "
                 "a crank is in it.");
    jv_walk_line(w, "Put the crank in, stand to its side, turn slowly. Stop when it gets stiff: a "
                    "drill or a bar can break the gear.");
    jv_walk_line(w, "Take the crank out. Plug the motor in again, then the same fuse, of the same "
                    "type and rating.");
    s->why =
        "A motor that starts with the crank in it breaks an arm; a leg let go by hand lets the "
        "vehicle down.";
    s->how = "The maker's instructions say where the crank goes and which way it turns.";
}

static void find_shorts_limit(jv_walk *w, int32_t plus, int32_t minus) {
    size_t *off = jv_alloc(w->c->n_parts + 1, sizeof *off), n = 0, check;
    bool turned;
    w->shorts_limit = clear_ohm;
    if (!off) {
        w->out_of_memory = true;
        return;
    }
    for (size_t i = 0; i < w->c->n_parts; i++)
        if (is_kind(w, i, &jv_kind_load))
            off[n++] = i;
    jv_check wanted;
    memset(&wanted, 0, sizeof wanted);
    wanted.kind = JV_CHECK_OHMS;
    wanted.setup = JV_SETUP_ISOLATED;
    wanted.loading = wanted.part = JV_FIND_NONE;
    wanted.plus = (size_t)plus;
    wanted.minus = (size_t)minus;
    wanted.off = off;
    wanted.n_off = n;
    if (jv_finder_find_check(w->finder, &wanted, &check, &turned) == JV_OK) {
        w->step.healthy = jv_finder_expect(w->finder, check, JV_FIND_NONE);
        w->step.has_healthy = !isnan(w->step.healthy.value);
        if (w->step.has_healthy && clear_share * w->step.healthy.low < clear_ohm)
            w->shorts_limit = clear_share * w->step.healthy.low;
    }
    jv_free(off);
}

void jv_walk_step_shorts(jv_walk *w) {
    jv_step *s = &w->step;
    int32_t plus = 0, minus = 0;
    jv_text list = {0};
    s->act = JV_ACT_SHORTS;
    s->wants = JV_WANTS_OHMS;
    s->setup = JV_SETUP_ISOLATED;
    s->title = "Check for shorts before power comes back";
    jv_walk_care(w, JV_CARE_METER | JV_CARE_SOURCES | JV_CARE_NO_FEED);
    feed_ends(w, &plus, &minus);
    put_probes(w, plus, minus);
    find_shorts_limit(w, plus, minus);
    if (names_of(w, &jv_kind_load, &list))
        jv_walk_line(w, "Switch off %s.", jv_text_str(&list));
    jv_text_clear(&list);
    if (names_of(w, &jv_kind_switch, &list))
        jv_walk_line(w, "Leave %s as they are for the reading.", jv_text_str(&list));
    jv_text_clear(&list);
    jv_walk_line(w, "Fuses in, controller still unplugged, battery clamps still off.");
    jv_walk_line(w,
                 "Meter on volts between the two points once more: nothing. Then on ohms: red on "
                 "\"%s\", black on \"%s\".",
                 s->red, s->black);
    jv_walk_line(w, "Power may come back at %.2f ohm or more (common practice, no source).",
                 w->shorts_limit);
    s->why =
        "A wire pinched in the repair burns when the battery comes back. One reading shows it.";
    s->how = "Write what the meter shows; OL is open, which is good here. When you cannot take it, "
             "write cannot reach: the walk then ends with the power off.";
}

void jv_walk_step_restore(jv_walk *w) {
    jv_step *s = &w->step;
    s->act = JV_ACT_RESTORE;
    s->wants = JV_WANTS_DONE;
    s->title = "Power back";
    jv_walk_care(w, JV_CARE_RESTORE | JV_CARE_MINUS_FIRST | JV_CARE_GAS | JV_CARE_RINGS |
                        JV_CARE_UNCOMMANDED | (is_lithium(w) ? JV_CARE_LITHIUM : 0));
    jv_walk_line(w, "Tools and people out, covers on, everybody told.");
    jv_walk_line(w, "Plug the controller and everything else in again. Take your tags off.");
    jv_walk_line(w, "Plus clamps on and tight, then the minus clamps. Leave charger, shore cord, "
                    "panels and tow vehicle off.");
    jv_walk_line(w, "Stand clear before you switch on. Smoke, heat or a fuse that opens: minus off "
                    "at once.");
    s->why = "The repair is done and no short is left: now it may be powered to prove it.";
    s->how = "Last connection away from the battery where you can: sparks light its gas.";
}

void jv_walk_step_repeat(jv_walk *w) {
    jv_step *s = &w->step;
    jv_text motors = {0};
    s->act = JV_ACT_REPEAT;
    s->wants = JV_WANTS_CHOICE;
    s->setup = JV_SETUP_RUN;
    s->title = "Repeat what failed";
    jv_walk_care(w, JV_CARE_CHOCKS | JV_CARE_SUPPORT | JV_CARE_UNCOMMANDED | JV_CARE_HOT |
                        JV_CARE_DUTY);
    size_t loading = JV_FIND_NONE;
    for (size_t k = 0; k < w->n_clues; k++)
        if (w->clues[k].kind == JV_CLUE_SYMPTOM && loading == JV_FIND_NONE)
            loading = w->clues[k].symptom.loading;
    jv_walk_motors(&motors, w, loading);
    jv_walk_line(w,
                 "Everybody clear, nobody under. Do what failed before: run %s the whole way, "
                 "%s, with a rest between.",
                 jv_text_str(&motors), w->runs > 2 ? "eight times" : "twice");
    if (w->runs > 2)
        jv_walk_line(w,
                     "Eight, because %s: it may come and go, and be away just now. Keep to the "
                     "rests that the motors ask for; they may be spread over days.",
                     w->comes_and_goes ? "it fails now and then"
                                       : "no reading of the part itself was bad");
    jv_text_clear(&motors);
    jv_walk_choice(w, "it works now");
    jv_walk_choice(w, "the complaint is still there");
    s->why = "A reading proves the part; only the complaint that stays away proves the vehicle.";
    s->how = "As it failed: same jacks, same load, same time; cold if it failed in the cold.";
}
