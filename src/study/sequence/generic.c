/* generic.c - our own sequence where the file has none. SPDX-License-Identifier: MIT */
#include "study/sequence/play.h"

#include "circuit/kinds.h"
#include "circuit/parts/jack.h"
#include "circuit/parts/pump.h"

#include <math.h>
#include <string.h>

/* A vehicle is levelled in pairs: those whose names share a word of place lift together, a tongue
 * jack alone; the others two by two in the order of the file. Each lifts until its load is on and
 * 20 mm more, or for 20 s; a pump runs 15 s. General practice, judgement. */
static const double beyond_m = 0.020, most_s = 20.0, pause_s = 1.0, pump_s = 15.0;
static const double free_m = 0.040, ramp_m = 0.030; /* as jack_time.c takes them */

static const char *const places[] = {"front", "middle", "mid", "rear", "back", "tongue"};
enum { PLACES = sizeof places / sizeof places[0], NO_PLACE = PLACES };

static int place_of(const char *name) {
    for (int k = 0; k < PLACES; k++) {
        const char *word = places[k];
        for (const char *s = name; *s; s++) {
            size_t n = 0;
            while (word[n] && s[n] && (s[n] | 0x20) == word[n])
                n++;
            if (!word[n])
                return k;
        }
    }
    return NO_PLACE;
}

/* By its travel where its plate allows that, else at its rated load. */
static jv_run run_of(const jv_circuit *c, uint32_t part) {
    const jv_part *p = &c->parts[part];
    bool jack = p->kind == &jv_kind_jack;
    bool travel = jack && (jv_jack_has_leg(c, p) ? jv_part_has(c, p, JV_JACK_RATED_FORCE) ||
                                                       jv_part_has(c, p, JV_JACK_TRAVEL_FORCE)
                                                 : jv_part_has(c, p, JV_JACK_RATED_CURRENT) &&
                                                       jv_part_has(c, p, JV_JACK_NO_LOAD_CURRENT));
    bool rated =
        jack
            ? jv_part_has(c, p, JV_JACK_RATED_CURRENT) || jv_part_has(c, p, JV_JACK_RATED_FORCE)
            : jv_part_has(c, p, JV_PUMP_RATED_CURRENT) || jv_part_has(c, p, JV_PUMP_RATED_PRESSURE);
    jv_run run = {part, 1,
                  (uint8_t)(travel  ? JV_LOAD_TRAVEL
                            : rated ? JV_LOAD_RATED
                                    : JV_LOAD_FREE),
                  jv_value_exact(0.0)};
    return run;
}

static double goal_m(const jv_circuit *c, uint32_t part) {
    jv_scene s = {0};
    s.circuit = c;
    const jv_part *p = &c->parts[part];
    double goal = jv_scene_value(&s, p, JV_JACK_TRAVEL_FREE, free_m) +
                  jv_scene_value(&s, p, JV_JACK_TRAVEL_RAMP, ramp_m) + beyond_m;
    return fmin(goal, jv_scene_value(&s, p, JV_JACK_STROKE, INFINITY));
}

static jv_status add_step(const jv_circuit *c, jv_arena *arena, jv_plan *plan,
                          const uint32_t *parts, size_t n) {
    jv_text name = {0};
    for (size_t k = 0; k < n; k++)
        jv_text_addf(&name, "%s%s",
                     k                                          ? " and "
                     : c->parts[parts[0]].kind == &jv_kind_jack ? "lift "
                                                                : "run ",
                     c->parts[parts[k]].name);
    const char *kept = jv_arena_copy(arena, jv_text_str(&name), name.length);
    jv_text_clear(&name);
    jv_plan_step *s = &plan->steps[plan->n_steps++];
    jv_plan_step *pause = &plan->steps[plan->n_steps++];
    *s = jv_plan_step_new(kept);
    *pause = jv_plan_step_new("pause");
    pause->for_s = pause_s;
    s->loading.runs = jv_arena_alloc(arena, n, sizeof *s->loading.runs);
    if (!s->loading.runs || !kept)
        return JV_ERR_MEMORY;
    s->loading.n_runs = n;
    bool jack = c->parts[parts[0]].kind == &jv_kind_jack;
    s->for_s = jack ? most_s : pump_s;
    for (size_t k = 0; k < n; k++) {
        s->loading.runs[k] = run_of(c, parts[k]);
        if (!jack || s->loading.runs[k].kind != JV_LOAD_TRAVEL)
            continue;
        double goal = goal_m(c, parts[k]);
        s->extension_m = isnan(s->extension_m) ? goal : fmin(s->extension_m, goal);
    }
    return JV_OK;
}

jv_status jv_plan_generic(const jv_circuit *c, jv_arena *arena, jv_plan *out) {
    uint32_t *group = jv_arena_alloc(arena, c->n_parts + 1, sizeof *group);
    uint8_t *done = jv_arena_alloc(arena, c->n_parts + 1, sizeof *done);
    memset(out, 0, sizeof *out);
    out->steps = jv_arena_alloc(arena, 2 * c->n_parts + 1, sizeof *out->steps);
    if (!group || !done || !out->steps)
        return JV_ERR_MEMORY;
    out->name = "levelling, as assumed";
    out->longest_s = NAN;
    for (uint32_t i = 0; i < c->n_parts; i++) {
        const jv_part_kind *kind = c->parts[i].kind;
        if (!kind->is_motor || done[i])
            continue;
        size_t n = 0;
        int place = place_of(c->parts[i].name);
        bool alone =
            kind != &jv_kind_jack || (place < PLACES && strcmp(places[place], "tongue") == 0);
        for (uint32_t k = i; k < c->n_parts && n < 2; k++) {
            if (c->parts[k].kind != kind || done[k] || (alone && k != i))
                continue;
            if (place_of(c->parts[k].name) != place)
                continue;
            group[n++] = k;
            done[k] = 1;
        }
        jv_status status = add_step(c, arena, out, group, n);
        if (status != JV_OK)
            return status;
    }
    return out->n_steps ? JV_OK : JV_ERR_UNKNOWN;
}
