/* card.c - a walk computed ahead. SPDX-License-Identifier: MIT */
#include "study/card/card.h"

#include <string.h>

static const double least_share = 0.2;
/* Bands tell less than readings: a part is named from these odds on (judgement; its proof is read
 * in any case). */
static const double name_at = 0.9;
/* A band that is wide says little against "none of these": it begins with less (judgement). */
static const double none_prior = 0.003;
/* Two faults at once are left to the walk: what this leaves of them never counts. */
static const double no_pairs = 1e-9;

jv_status jv_card_begin(jv_card_work *x, const jv_circuit *c, const jv_card_options *options) {
    memset(x, 0, sizeof *x);
    x->c = c;
    x->options = *options;
    if (!(x->options.least > 0.0))
        x->options.least = least_share;
    jv_find_options *find = &x->options.walk.find;
    if (!(find->name_at > 0.0))
        find->name_at = name_at;
    if (!(find->pair_factor > 0.0))
        find->pair_factor = no_pairs;
    if (!(find->none_prior > 0.0))
        find->none_prior = none_prior;
    jv_status status = jv_walk_new(c, &x->options.walk, &x->w);
    for (int k = 0; k < 2 && status == JV_OK; k++) {
        jv_find_options how = *find;
        how.meter = &x->w->meter;
        how.no_ohms = k == 0;
        status = jv_finder_new(c, &how, &x->fresh[k]);
    }
    if (status != JV_OK)
        return status;
    x->kept.finder[0] = x->w->finder;
    x->kept.checks[0] = jv_finder_checks(x->w->finder);
    x->w->kept = &x->kept;
    x->w->coarse = true;
    return JV_OK;
}

void jv_card_finish(jv_card_work *x) {
    if (x->w && x->w->kept) {
        jv_finder_free(&x->kept.finder[0]);
        jv_finder_free(&x->kept.finder[1]);
    }
    jv_walk_free(&x->w);
    jv_finder_free(&x->fresh[0]);
    jv_finder_free(&x->fresh[1]);
    jv_store_clear(&x->store);
}

/* --- the card of a store --- */

/* Which nodes the first one leads to. Numbers fall along every way. */
static void mark_reached(const jv_card_store *s, size_t first, bool *reached) {
    reached[first] = true;
    for (size_t k = first + 1; k-- > 0;)
        for (size_t a = 0; reached[k] && a < s->nodes[k].n_answers; a++)
            reached[s->nodes[k].answers[a].to] = true;
}

/* Cautions that every way to a node has shown in full. */
static void tell(jv_card_node *nodes, size_t n) {
    static const uint32_t all = 0xFFFFFFFFu;
    for (size_t k = 1; k < n; k++)
        nodes[k].told = all;
    nodes[0].told = 0;
    for (size_t k = 0; k < n; k++)
        for (size_t a = 0; a < nodes[k].n_answers; a++)
            nodes[nodes[k].answers[a].to].told &= nodes[k].told | nodes[k].care;
}

static jv_status turn_round(jv_card_store *s, size_t first, jv_card *card) {
    bool *reached = jv_zalloc(s->n_nodes + 1, sizeof *reached);
    size_t *number = jv_zalloc(s->n_nodes + 1, sizeof *number);
    jv_card_node *nodes = jv_arena_alloc(&s->arena, s->n_nodes + 1, sizeof *nodes);
    size_t n = 0;
    jv_status status = reached && number && nodes ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK) {
        mark_reached(s, first, reached);
        for (size_t k = first + 1; k-- > 0;)
            if (reached[k])
                number[k] = n++;
    }
    for (size_t k = 0; status == JV_OK && k <= first; k++) {
        if (!reached[k])
            continue;
        jv_card_node *v = &nodes[number[k]];
        *v = s->nodes[k];
        jv_card_answer *answers = jv_arena_alloc(&s->arena, v->n_answers + 1, sizeof *answers);
        if (!answers) {
            status = JV_ERR_MEMORY;
            break;
        }
        for (size_t a = 0; a < v->n_answers; a++) {
            answers[a] = v->answers[a];
            answers[a].to = number[v->answers[a].to];
        }
        v->answers = answers;
    }
    if (status == JV_OK) {
        tell(nodes, n);
        card->nodes = nodes;
        card->n_nodes = n;
        card->arena = s->arena; /* the card has it from here on */
        memset(&s->arena, 0, sizeof s->arena);
    }
    jv_free(reached);
    jv_free(number);
    return status;
}

jv_status jv_card_make(const jv_circuit *c, const jv_card_options *options, jv_card **out) {
    jv_card_work x;
    size_t first = 0;
    *out = NULL;
    jv_status status = jv_card_begin(&x, c, options);
    if (status == JV_OK)
        status = jv_card_open(&x, &first);
    jv_card *card = status == JV_OK ? jv_zalloc(1, sizeof *card) : NULL;
    if (status == JV_OK && !card)
        status = JV_ERR_MEMORY;
    if (status == JV_OK)
        status = turn_round(&x.store, first, card);
    if (status == JV_OK) {
        card->kind = options->walk.kind;
        card->circuit = c;
        card->walked = x.walked;
        *out = card;
    } else {
        jv_free(card);
    }
    jv_card_finish(&x);
    return status;
}

void jv_card_free(jv_card **card) {
    if (!card || !*card)
        return;
    jv_arena_clear(&(*card)->arena);
    jv_free(*card);
    *card = NULL;
}
