/* walk.c - a walk's life, and its record. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include <string.h>

static bool suits(const jv_circuit *c, jv_walk_kind kind) {
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part_kind *k = c->parts[i].kind;
        if (kind == JV_WALK_SENSOR ? strcmp(k->name, "sensor_supply") == 0 : k->is_motor)
            return true;
    }
    return false;
}

jv_status jv_walk_new(const jv_circuit *c, const jv_walk_options *options, jv_walk **out) {
    if (!suits(c, options->kind))
        return JV_ERR_UNKNOWN;
    jv_walk *w = jv_zalloc(1, sizeof *w);
    if (!w)
        return JV_ERR_MEMORY;
    w->c = c;
    w->options = *options;
    w->options.find.meter = NULL; /* the walk has its own copy */
    w->meter = options->find.meter ? *options->find.meter : jv_meter_plain();
    w->suspect = w->proof = w->forced = w->retaken = JV_FIND_NONE;
    w->next.check = w->next.suspect = JV_FIND_NONE;
    w->meaning = w->result = "";
    w->phase = JV_PHASE_CONNECTED;
    jv_status status = jv_walk_new_finder(w, false);
    if (status == JV_OK)
        jv_walk_make_step(w);
    if (status == JV_OK && w->out_of_memory)
        status = JV_ERR_MEMORY;
    if (status != JV_OK) {
        jv_walk_free(&w);
        return status;
    }
    *out = w;
    return JV_OK;
}

void jv_walk_free(jv_walk **walk) {
    if (!walk || !*walk)
        return;
    jv_walk *w = *walk;
    if (!w->kept)
        jv_finder_free(&w->finder);
    jv_free(w->clues);
    jv_free(w->entries);
    jv_arena_clear(&w->arena);
    jv_free(w);
    *walk = NULL;
}

const jv_step *jv_walk_step(const jv_walk *w) {
    return &w->step;
}

static jv_walk_entry *add_entry(jv_walk *w, const char *text, const char *words) {
    if (w->n_entries == w->cap_entries) {
        size_t wanted = w->cap_entries ? 2 * w->cap_entries : 32;
        jv_walk_entry *moved = jv_resize(w->entries, wanted, sizeof *moved);
        if (!moved)
            return NULL;
        w->entries = moved;
        w->cap_entries = wanted;
    }
    jv_walk_entry *e = &w->entries[w->n_entries];
    memset(e, 0, sizeof *e);
    const jv_step *s = &w->step;
    e->title = s->title;
    e->act = s->act;
    e->asked = s->red ? jv_walk_say(w, "red on \"%s\", black on \"%s\"", s->red, s->black) : "";
    e->answer = jv_arena_copy(&w->arena, text, strlen(text));
    e->words = jv_arena_copy(&w->arena, words, strlen(words));
    return e->answer && e->words ? e : NULL;
}

/* The answer as a person reads it back: a choice in its words. */
static const char *in_words(const jv_walk *w, const jv_given *g, const char *text) {
    if (g->kind == JV_GIVEN_CHOICE && g->choice < w->step.n_choices)
        return w->step.choices[g->choice];
    return text;
}

jv_status jv_walk_answer(jv_walk *w, const char *text, jv_text *problem) {
    jv_given g;
    jv_status status = jv_walk_read(w, text, &g, problem);
    if (status != JV_OK)
        return status;
    jv_walk_entry *e = add_entry(w, text, in_words(w, &g, text));
    if (!e)
        return JV_ERR_MEMORY;
    status = jv_walk_go(w, &g, problem);
    if (status == JV_ERR_RANGE) {
        jv_text_add(problem,
                    "that value cannot be: check range, function and probes, and read again");
        status = JV_ERR_INPUT;
    }
    if (status != JV_OK)
        return status;
    e->meaning = w->meaning;
    w->n_entries++;
    w->told |= w->step.care;
    jv_walk_make_step(w);
    return w->out_of_memory ? JV_ERR_MEMORY : JV_OK;
}

const char *jv_walk_meaning(const jv_walk *w) {
    return w->meaning;
}

jv_status jv_walk_back(jv_walk *w) {
    jv_walk *fresh = NULL;
    if (!w->n_entries)
        return JV_ERR_RANGE;
    jv_walk_options how = w->options;
    how.find.meter = &w->meter;
    jv_status status = jv_walk_new(w->c, &how, &fresh);
    for (size_t k = 0; k + 1 < w->n_entries && status == JV_OK; k++) {
        jv_text problem = {0};
        status = jv_walk_answer(fresh, w->entries[k].answer, &problem);
        jv_text_clear(&problem);
    }
    if (status != JV_OK) {
        jv_walk_free(&fresh);
        return status;
    }
    jv_walk old = *w;
    *w = *fresh;
    *fresh = old;
    /* The step points into its own walk. */
    jv_walk_make_step(w);
    jv_walk_free(&fresh);
    return JV_OK;
}

size_t jv_walk_answers(const jv_walk *w) {
    return w->n_entries;
}
const jv_walk_entry *jv_walk_entry_at(const jv_walk *w, size_t i) {
    return i < w->n_entries ? &w->entries[i] : NULL;
}
jv_walk_end jv_walk_ended(const jv_walk *w) {
    return w->end;
}
const char *jv_walk_result(const jv_walk *w) {
    return w->result;
}
const jv_suspect *jv_walk_named(const jv_walk *w) {
    return w->suspect != JV_FIND_NONE ? jv_finder_suspect(w->finder, w->suspect) : NULL;
}
jv_finder *jv_walk_finder(const jv_walk *w) {
    return w->finder;
}
bool jv_walk_is_dead(const jv_walk *w) {
    return w->isolated && w->dead;
}
jv_walk_kind jv_walk_kind_of(const jv_walk *w) {
    return w->options.kind;
}
const jv_circuit *jv_walk_circuit(const jv_walk *w) {
    return w->c;
}
