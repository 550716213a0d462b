/* size_json.c - a sizing as JSON. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "render/cautions.h"
#include "render/json_out.h"

#include <math.h>

static void add_size(jv_json *j, jv_json_node *o, const char *key, const jv_size *size) {
    jv_text text = {0};
    jv_size_print(&text, size);
    jv_json_text(j, o, key, jv_text_str(&text));
    j->failed |= text.failed;
    jv_text_clear(&text);
}

static void add_text(jv_json *j, jv_json_node *o, const char *key, const char *text) {
    if (text)
        jv_json_text(j, o, key, text);
    else
        jv_json_null(j, o, key, NULL);
}

static double rating_of(const jv_sizing *s, const char *fuse) {
    for (size_t i = 0; fuse && i < s->n_fuses; i++)
        if (s->fuses[i].name == fuse)
            return s->fuses[i].rating_a;
    return NAN;
}

static void add_runs(jv_json *j, jv_json_node *root, const jv_sizing *s) {
    jv_json_node *runs = jv_json_object(j, root, "runs");
    for (size_t i = 0; i < s->n_runs; i++) {
        const jv_size_run *r = &s->runs[i];
        jv_json_node *o = jv_json_object(j, runs, r->name);
        add_size(j, o, "size", &r->size);
        add_size(j, o, "was", &r->was);
        jv_json_number(j, o, "fuse_A", rating_of(s, r->fuse), "no fuse guards it");
        add_text(j, o, "fuse", r->fuse);
        jv_json_number(j, o, "conductor_m", r->length_m, NULL);
        jv_json_number(j, o, "mass_kg", r->mass_kg, NULL);
        jv_json_number(j, o, "cost", r->cost, "no price list");
        jv_json_number(j, o, "current_A", r->current_a, NULL);
        jv_json_number(j, o, "temperature_C", r->temp_c, "it carries nothing in any case");
        jv_json_number(j, o, "carries_A", r->carries_a, NULL);
        add_text(j, o, "colour", r->colour);
        add_text(j, o, "terminals", r->terminals);
        if (r->has_down) {
            add_size(j, o, "down", &r->down);
            add_text(j, o, "down_fails", r->down_fails);
        }
        if (r->has_up) {
            add_size(j, o, "up", &r->up);
            jv_json_number(j, o, "up_kg", r->up_kg, NULL);
            jv_json_number(j, o, "up_V", r->up_v, NULL);
        }
    }
}

static void add_watches(jv_json *j, jv_json_node *root, const jv_sizing *s) {
    jv_json_node *watches = jv_json_object(j, root, "watches");
    for (size_t i = 0; i < s->n_watches; i++) {
        const jv_size_watch *w = &s->watches[i];
        jv_json_node *cases = NULL;
        bool seen = false;
        for (size_t k = 0; k < i; k++)
            seen = seen || s->watches[k].name == w->name;
        if (seen)
            continue;
        cases = jv_json_object(j, watches, w->name);
        for (size_t k = i; k < s->n_watches; k++) {
            const jv_size_watch *c = &s->watches[k];
            if (c->name != w->name)
                continue;
            jv_json_node *o = jv_json_object(j, cases, c->loading);
            jv_json_number(j, o, "worst_V", c->worst_v, NULL);
            jv_json_number(j, o, "nominal_V", c->nominal_v, NULL);
            jv_json_number(j, o, "best_V", c->best_v, NULL);
            jv_json_number(j, o, "limit_V", c->limit_v, NULL);
            jv_json_number(j, o, "before_V", c->before_v, "no operating point before");
            jv_json_bool(j, o, "corner_settled", c->proved);
            if (s->odds > 0) {
                jv_json_number(j, o, "holds", c->holds, NULL);
                jv_json_number(j, o, "holds_low95", c->low95, NULL);
                jv_json_number(j, o, "holds_high95", c->high95, NULL);
            }
        }
    }
}

static void add_fuses(jv_json *j, jv_json_node *root, const jv_sizing *s) {
    jv_json_node *fuses = jv_json_object(j, root, "fuses");
    for (size_t i = 0; i < s->n_fuses; i++) {
        const jv_size_fuse *f = &s->fuses[i];
        jv_json_node *o = jv_json_object(j, fuses, f->name);
        jv_json_number(j, o, "rating_A", f->rating_a, NULL);
        jv_json_number(j, o, "was_A", f->was_a, NULL);
        jv_json_number(j, o, "runs_at_A", f->most_a, NULL);
        jv_json_number(j, o, "cables_carry_A", f->carries_a, "it guards no cable that needs it");
        jv_json_text(j, o, "note", f->note);
    }
}

static void add_list(jv_json *j, jv_json_node *root, const char *key, const char *const *texts,
                     size_t n) {
    jv_json_node *list = jv_json_array(j, root, key);
    for (size_t i = 0; i < n; i++)
        jv_json_text(j, list, NULL, texts[i]);
}

jv_status jv_size_json(const jv_sizing *s, jv_text *out) {
    static const char *const proofs[] = {"proved", "least if thicker is never worse", "none"};
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "circuit", jv_circuit_name(s->circuit));
    jv_json_text(&j, root, "caution", jv_caution_codes);
    jv_json_bool(&j, root, "possible", s->possible);
    jv_json_bool(&j, root, "proved_least", s->proof == JV_SIZE_PROVED);
    jv_json_text(&j, root, "proof", proofs[s->proof]);
    add_text(&j, root, "not_proved_because", s->unproved);
    if (s->odds > 0) {
        jv_json_node *odds = jv_json_object(&j, root, "odds");
        jv_json_number(&j, odds, "asked", s->odds, NULL);
        jv_json_number(&j, odds, "draws_searched", (double)s->searched, NULL);
        jv_json_number(&j, odds, "draws_checked", (double)s->draws, "nothing holds");
    }
    add_runs(&j, root, s);
    jv_json_number(&j, root, "copper_kg", s->possible ? s->copper_kg : NAN, "nothing holds");
    jv_json_number(&j, root, "was_kg", s->possible ? s->was_kg : NAN, "nothing holds");
    jv_json_number(&j, root, "cost", s->possible ? s->cost : NAN, "no price list");
    add_fuses(&j, root, s);
    add_watches(&j, root, s);
    jv_json_node *misses = jv_json_array(&j, root, "misses");
    for (size_t i = 0; i < s->n_misses; i++) {
        jv_json_node *o = jv_json_object(&j, misses, NULL);
        jv_json_text(&j, o, "part", s->misses[i].part);
        add_text(&j, o, "case", s->misses[i].loading);
        jv_json_text(&j, o, "what", s->misses[i].what);
    }
    add_list(&j, root, "set", s->sets, s->n_sets);
    jv_json_node *review = jv_json_object(&j, root, "review");
    jv_json_number(&j, review, "failed", (double)s->review_failed, NULL);
    jv_json_number(&j, review, "unknown", (double)s->review_unknown, NULL);
    if (s->odds > 0)
        jv_json_number(&j, review, "worst_cases_beyond_the_odds", (double)s->beyond_odds, NULL);
    add_list(&j, review, "fails", s->still, s->n_still);
    return jv_json_print(&j, out);
}
