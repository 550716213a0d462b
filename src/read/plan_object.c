/* plan_object.c - the sequences of a circuit file. SPDX-License-Identifier: MIT */
#include "circuit/kinds.h"
#include "circuit/parts/jack.h"
#include "read/sections.h"
#include "read/value.h"

#include <math.h>
#include <string.h>

/* Longest sequence, s: an hour (judgement; finds a unit mistaken). */
#define LONGEST_S 3600.0
static const double mm = 1e-3, inch = 0.0254, newton_per_lbf = 4.4482216152605; /* exact */
static const double just_more = 1.0 + 1e-9; /* the same length in another unit is not more */

/* What is read into: the sequence, and what its steps have said. */
typedef struct jv_planning {
    jv_plan *plan;
    jv_said *said;
} jv_planning;

static jv_plan_step *step_of(void *said) {
    return ((jv_said *)said)->step;
}

static void take_name(jv_reader *r, void *said, const jv_key *key, jv_source from) {
    const char *name = jv_read_text(r, from, key->name);
    if (name != NULL) {
        step_of(said)->loading.name = jv_reader_keep(r, name);
    }
}

static void take_number(jv_reader *r, const jv_key *key, jv_source from, double *out) {
    jv_value v;
    if (jv_read_quantity(r, from, key, &v)) {
        *out = v.nominal;
    }
}

static void take_for(jv_reader *r, void *said, const jv_key *key, jv_source from) {
    take_number(r, key, from, &step_of(said)->for_s);
}

static void take_stagger(jv_reader *r, void *said, const jv_key *key, jv_source from) {
    take_number(r, key, from, &step_of(said)->stagger_s);
}

static void take_extension(jv_reader *r, void *said, const jv_key *key, jv_source from) {
    take_number(r, key, from, &step_of(said)->extension_m);
}

static void take_force(jv_reader *r, void *said, const jv_key *key, jv_source from) {
    take_number(r, key, from, &step_of(said)->force_n);
}

static void take_current(jv_reader *r, void *said, const jv_key *key, jv_source from) {
    take_number(r, key, from, &step_of(said)->current_a);
}

static void take_stroke(jv_reader *r, void *said, const jv_key *key, jv_source from) {
    jv_read_flag(r, from, key, &step_of(said)->stroke_end);
}

static void take_step_ambient(jv_reader *r, void *said, const jv_key *key, jv_source from) {
    jv_case *c = &step_of(said)->loading;
    c->has_ambient = jv_read_quantity(r, from, key, &c->ambient);
}

static void take_watch(jv_reader *r, void *said, const jv_key *key, jv_source from) {
    const char *name = jv_read_text(r, from, key->name);
    if (name == NULL) {
        return;
    }
    jv_near near = jv_near_begin(name);
    for (size_t i = 0; i < r->circuit->n_watches; i++) {
        if (strcmp(r->circuit->watches[i].name, name) == 0) {
            step_of(said)->until_watch = (int32_t)i;
            return;
        }
        jv_near_try(&near, r->circuit->watches[i].name);
    }
    jv_text hint = {0};
    jv_near_hint(&near, "Use the name of a watch of this file.", &hint);
    jv_reader_fault(r, from, false, JV_CODE_WORD_UNKNOWN, jv_text_str(&hint),
                    "there is no watch \"%s\"", name);
    jv_text_clear(&hint);
}

#define PLAIN(name, type, help) \
    { name, type, JV_DIM_NUMBER, 0, 0, 0, NULL, NULL, NULL, help }
#define GOAL(name, dim, most, help, take)                                                          \
    {                                                                                              \
        {name, JV_KEY_QUANTITY, dim, JV_NO_SPREAD, 0, most, NULL, NULL, NULL, help}, JV_SHAPE_KEY, \
            take                                                                                   \
    }

const jv_row jv_step_rows[] = {
    {PLAIN("step", JV_KEY_TEXT, "its name; its number when absent"), JV_SHAPE_KEY, take_name},
    {PLAIN("lift", JV_KEY_TEXT,
           "jacks that lift: a list of those that go by their travel, or "
           "the load of each"),
     JV_SHAPE_STEP_LOADS, jv_case_take_lift},
    {PLAIN("lower", JV_KEY_TEXT, "jacks that lower, in the same way"), JV_SHAPE_STEP_LOADS,
     jv_case_take_lower},
    {PLAIN("run", JV_KEY_TEXT, "pumps that run, with the load of each"), JV_SHAPE_LOADS,
     jv_case_take_lift},
    {PLAIN("on", JV_KEY_TEXT, "parts that are switched on in this step"), JV_SHAPE_LIST,
     jv_case_take_on},
    {PLAIN("off", JV_KEY_TEXT, "parts that are switched off in this step"), JV_SHAPE_LIST,
     jv_case_take_off},
    {{"ambient", JV_KEY_QUANTITY, JV_DIM_TEMPERATURE, JV_ZERO_OK | JV_NEGATIVE_OK | JV_NO_SPREAD,
      -60, 90, NULL, NULL, NULL,
      "temperature around motors, cables and coils in this step; that of the sequence when absent"},
     JV_SHAPE_KEY,
     take_step_ambient},
    GOAL("for", JV_DIM_TIME, LONGEST_S, "how long the step lasts at most", take_for),
    GOAL("stagger", JV_DIM_TIME, 60, "time between the starts of its jacks; none when absent",
         take_stagger),
    GOAL("until.extension", JV_DIM_LENGTH, 0, "a jack stops when it is extended so far",
         take_extension),
    GOAL("until.force", JV_DIM_FORCE, 0, "a jack that goes by its travel stops at this force",
         take_force),
    GOAL("until.current", JV_DIM_CURRENT, 0, "a jack that is up to speed stops at this current",
         take_current),
    {PLAIN("until.end_of_stroke", JV_KEY_FLAG, "a jack stops at the end of its stroke"),
     JV_SHAPE_KEY, take_stroke},
    {PLAIN("until.watch", JV_KEY_TEXT, "the step ends when this watch acts"), JV_SHAPE_KEY,
     take_watch},
    {PLAIN("comment", JV_KEY_TEXT, "for people; a text or a list of texts"), JV_SHAPE_COMMENT,
     jv_case_take_comment},
};
const size_t jv_step_rows_count = sizeof jv_step_rows / sizeof jv_step_rows[0];

static bool has_goal(const jv_plan_step *s) {
    return s->stroke_end || !isnan(s->extension_m) || !isnan(s->force_n) || !isnan(s->current_a) ||
           s->until_watch >= 0;
}

static double value_of(const jv_circuit *c, const jv_part *p, unsigned key) {
    const jv_slot *slot = jv_part_slot(c, p, key);
    return slot != NULL ? slot->value.nominal : NAN;
}

/* A step must be able to end. */
static void check_end(jv_reader *r, const jv_plan_step *s, jv_source object) {
    if (!isnan(s->for_s) || has_goal(s)) {
        return;
    }
    jv_reader_fault(r, object, false, JV_CODE_KEY_MISSING,
                    "Give \"for\": \"12 s\", or \"until\": {\"extension\": \"90 mm\"}.",
                    "it can never end");
}

/* The forces of a jack over its travel, N; NAN: not known, INFINITY: no end in sight. */
static void forces_of(const jv_circuit *c, const jv_part *p, double *least, double *most) {
    double rated = value_of(c, p, JV_JACK_RATED_FORCE), rate = value_of(c, p, JV_JACK_TRAVEL_RATE);
    double full = value_of(c, p, JV_JACK_TRAVEL_FORCE), drag = value_of(c, p, JV_JACK_TRAVEL_DRAG);
    double ramp = value_of(c, p, JV_JACK_TRAVEL_RAMP);
    double below = value_of(c, p, JV_JACK_STROKE) - value_of(c, p, JV_JACK_TRAVEL_FREE);
    *least = isnan(drag) ? 0.0 : drag;
    *most = isnan(full) ? rated : full;
    if (below < ramp) /* its stroke ends before its whole load is on */
        *most = *least + (*most - *least) * fmax(below, 0.0) / ramp;
    else if (rate > 0.0) /* it goes on growing up to the end of its stroke */
        *most += rate * (below - ramp);
    if (rate > 0.0 && isnan(*most))
        *most = INFINITY;
}

/* An extension, a force or an end of stroke that this jack cannot come to, whatever its volts. */
static void check_reach(jv_reader *r, const jv_plan_step *s, const jv_run *run, jv_source object) {
    const jv_circuit *c = r->circuit;
    const jv_part *p = &c->parts[run->part];
    double stroke = value_of(c, p, JV_JACK_STROKE), least, most;
    bool lifts = run->direction > 0;
    if (p->faulted) {
        return;
    }
    if (lifts && s->extension_m > just_more * stroke) {
        jv_reader_fault(r, object, false, JV_CODE_QUANTITY_RANGE,
                        "Give an extension within its stroke, or \"until\": {\"end_of_stroke\": "
                        "true}.",
                        "until.extension: \"%s\" has a stroke of %.0f mm (%.1f in) and never comes "
                        "to %.0f mm (%.1f in)",
                        p->name, stroke / mm, stroke / inch, s->extension_m / mm,
                        s->extension_m / inch);
    }
    if (s->stroke_end && lifts && isnan(stroke)) {
        jv_reader_fault(r, object, false, JV_CODE_KEY_MISSING, "Give the jack its \"stroke\".",
                        "until.end_of_stroke: \"%s\" has no stroke, so it never ends", p->name);
    }
    if (isnan(s->force_n)) {
        return;
    }
    if (run->kind != JV_LOAD_TRAVEL) {
        jv_reader_fault(r, object, false, JV_CODE_QUANTITY_RANGE,
                        "List the jack without a load: then it goes by its travel.",
                        "until.force: the load of \"%s\" is given here and never changes", p->name);
        return;
    }
    forces_of(c, p, &least, &most);
    if (lifts ? s->force_n > just_more * most : just_more * s->force_n < least) {
        jv_reader_fault(r, object, false, JV_CODE_QUANTITY_RANGE,
                        "Give a force that it meets on its travel.",
                        "until.force: \"%s\" meets no %s than %.0f N (%.0f lbf) on its travel and "
                        "never comes to %.0f N (%.0f lbf)",
                        p->name, lifts ? "more" : "less", lifts ? most : least,
                        (lifts ? most : least) / newton_per_lbf, s->force_n,
                        s->force_n / newton_per_lbf);
    }
}

static void check_goals(jv_reader *r, const jv_plan_step *s, jv_source object) {
    size_t jacks = 0;
    for (size_t i = 0; i < s->loading.n_runs; i++) {
        if (r->circuit->parts[s->loading.runs[i].part].kind != &jv_kind_jack) {
            continue;
        }
        jacks++;
        check_reach(r, s, &s->loading.runs[i], object);
    }
    bool travels = s->stroke_end || !isnan(s->extension_m) || !isnan(s->force_n);
    if (travels && jacks == 0) {
        jv_reader_fault(r, object, false, JV_CODE_QUANTITY_RANGE,
                        "Name the jacks of the step, or end it with \"for\".",
                        "no jack moves in it, so \"until\" never comes true");
    }
}

static void read_step(jv_reader *r, jv_planning *p, jv_source object) {
    if (!jv_form_is_object(r, object, "a step")) {
        return;
    }
    jv_text name = {0};
    jv_text_addf(&name, "step %zu", p->plan->n_steps + 1);
    const char *kept = jv_reader_keep(r, jv_text_str(&name));
    jv_text_clear(&name);
    if (kept == NULL) {
        return;
    }
    jv_plan_step *s = &p->plan->steps[p->plan->n_steps++];
    *s = jv_plan_step_new(kept);
    p->said->step = s;
    p->said->loading = &s->loading;
    p->said->number++;
    jv_reader_own(r, "step", kept); /* changes for one run do not reach into steps */
    jv_form_read(r, jv_step_rows, jv_step_rows_count, object, p->said);
    if (!r->faulted) {
        check_end(r, s, object);
        check_goals(r, s, object);
    }
    jv_reader_own(r, "sequence", p->plan->name);
}

static void take_steps(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_planning *p = object;
    static const char form[] = "Write [{\"lift\": [\"JACK\", \"JACK\"], \"for\": \"10 s\"}, ...].";
    if (!jv_read_is(r, from, key->name, JV_JSON_ARRAY, "a list of steps", form)) {
        return;
    }
    p->plan->steps =
        jv_arena_alloc(&r->circuit->arena, from.node->length + 1, sizeof(jv_plan_step));
    if (p->plan->steps == NULL) {
        r->circuit->out_of_memory = true;
        return;
    }
    for (const jv_json_value *n = from.node->as.first; n != NULL && !r->circuit->out_of_memory;
         n = n->next) {
        read_step(r, p, jv_reader_at(from, n));
    }
    if (p->plan->n_steps == 0 && from.node->as.first == NULL) {
        jv_reader_fault(r, from, false, JV_CODE_KEY_TYPE, form, "\"%s\" has no step", key->name);
    }
}

static void take_longest(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    take_number(r, key, from, &((jv_planning *)object)->plan->longest_s);
}

static void take_ambient(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_plan *p = ((jv_planning *)object)->plan;
    p->has_ambient = jv_read_quantity(r, from, key, &p->ambient);
}

static void take_charge(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_plan *p = ((jv_planning *)object)->plan;
    p->has_charge = jv_read_quantity(r, from, key, &p->charge);
}

static void take_comment(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)key;
    jv_read_comment(r, from, &((jv_planning *)object)->plan->comment);
}

const jv_row jv_plan_rows[] = {
    {{"steps", JV_KEY_TEXT, JV_DIM_NUMBER, JV_NEEDED, 0, 0, NULL, NULL, NULL,
      "the steps, one after the other"},
     JV_SHAPE_STEPS,
     take_steps},
    GOAL("longest", JV_DIM_TIME, LONGEST_S, "how long it may take; 600 s when absent",
         take_longest),
    {{"ambient", JV_KEY_QUANTITY, JV_DIM_TEMPERATURE, JV_ZERO_OK | JV_NEGATIVE_OK, -60, 90, NULL,
      NULL, NULL, "temperature around; that of the file when absent"},
     JV_SHAPE_KEY,
     take_ambient},
    {{"charge", JV_KEY_QUANTITY, JV_DIM_RATIO, JV_ZERO_OK, 0, 1, NULL, NULL, NULL,
      "charge of every battery at the start; what each battery says when absent"},
     JV_SHAPE_KEY,
     take_charge},
    {PLAIN("comment", JV_KEY_TEXT, "for people; a text or a list of texts"), JV_SHAPE_COMMENT,
     take_comment},
};
const size_t jv_plan_rows_count = sizeof jv_plan_rows / sizeof jv_plan_rows[0];

static void read_plan(jv_reader *r, jv_said *said, jv_source object) {
    jv_reader_own(r, "sequence", object.node->key);
    if (object.node->key == NULL || !jv_reader_take_name(r, object, "sequence", object.node->key) ||
        !jv_form_is_object(r, object, "a sequence")) {
        return;
    }
    jv_planning p = {jv_circuit_add_plan(r->circuit, object.node->key), said};
    if (p.plan == NULL) {
        return;
    }
    p.plan->line = (uint32_t)jv_json_key_place(object.doc, object.node).line;
    jv_form_read(r, jv_plan_rows, jv_plan_rows_count, object, &p);
}

void jv_plans_take(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    jv_reader_own(r, NULL, NULL);
    if (!jv_read_is(
            r, from, key->name, JV_JSON_OBJECT, "an object of sequences",
            "Write {\"NAME\": {\"steps\": [{\"lift\": [\"JACK\"], \"for\": \"10 s\"}]}}.")) {
        return;
    }
    size_t n = r->circuit->n_parts + 1;
    jv_said said = {0};
    said.runs = jv_zalloc(n, sizeof *said.runs);
    said.switched = jv_zalloc(n, sizeof *said.switched);
    if (said.runs == NULL || said.switched == NULL) {
        r->circuit->out_of_memory = true;
    }
    for (const jv_json_value *c = from.node->as.first; c != NULL && !r->circuit->out_of_memory;
         c = c->next) {
        read_plan(r, &said, jv_reader_at(from, c));
    }
    jv_free(said.runs);
    jv_free(said.switched);
    jv_reader_own(r, NULL, NULL);
}
