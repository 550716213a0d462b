/* nodes.c - nodes and texts of a card, each once. SPDX-License-Identifier: MIT */
#include "study/card/card.h"

#include <string.h>

enum { LEAST_ROOM = 256 };

void jv_store_clear(jv_card_store *s) {
    jv_free(s->nodes);
    jv_free(s->asked);
    jv_free(s->node_at);
    jv_free(s->text_at);
    jv_free(s->memo_at);
    jv_free(s->texts);
    jv_free(s->memos);
    jv_arena_clear(&s->arena);
    memset(s, 0, sizeof *s);
}

/* FNV-1a, 64 bits (Fowler, Noll, Vo: offset and prime of their draft). */
static const uint64_t fnv_offset = 14695981039346656037u, fnv_prime = 1099511628211u;

static uint64_t mix(uint64_t h, const void *data, size_t n) {
    const unsigned char *p = data;
    for (size_t k = 0; k < n; k++)
        h = (h ^ p[k]) * fnv_prime;
    return h;
}

static uint64_t hash_text(const char *text) {
    return mix(fnv_offset, text, strlen(text));
}

/* Texts are kept once, so that their pointers stand for them. */
static uint64_t hash_node(const jv_card_node *v) {
    uint64_t h = mix(fnv_offset, &v->title, sizeof v->title);
    h = mix(h, &v->care, sizeof v->care);
    for (size_t k = 0; k < v->n_lines; k++)
        h = mix(h, &v->lines[k], sizeof v->lines[k]);
    for (size_t k = 0; k < v->n_answers; k++) {
        h = mix(h, &v->answers[k].words, sizeof v->answers[k].words);
        h = mix(h, &v->answers[k].to, sizeof v->answers[k].to);
    }
    return h;
}

/* Title, lines and probes tell most; what else there is is told here. */
static bool same_check(const jv_check *a, const jv_check *b) {
    if (!a || !b)
        return a == b;
    return a->kind == b->kind && a->setup == b->setup && a->loading == b->loading &&
           a->plus == b->plus && a->minus == b->minus && a->part == b->part &&
           a->n_off == b->n_off &&
           (!a->n_off || memcmp(a->off, b->off, a->n_off * sizeof *a->off) == 0);
}

static bool same_answers(const jv_card_node *a, const jv_card_node *b) {
    if (a->n_answers != b->n_answers)
        return false;
    for (size_t k = 0; k < a->n_answers; k++) {
        const jv_card_answer *p = &a->answers[k], *q = &b->answers[k];
        if (p->words != q->words || p->note != q->note || p->to != q->to || p->sound != q->sound ||
            memcmp(&p->low, &q->low, sizeof p->low) != 0 ||
            memcmp(&p->high, &q->high, sizeof p->high) != 0)
            return false;
    }
    return true;
}

static bool same_node(const jv_card_node *a, const jv_card_node *b) {
    if (a->act != b->act || a->wants != b->wants || a->end != b->end ||
        !same_check(a->check, b->check) || a->title != b->title || a->care != b->care ||
        a->reads != b->reads || a->how != b->how || a->named != b->named ||
        a->proved_name != b->proved_name || a->red != b->red || a->black != b->black ||
        a->n_lines != b->n_lines || a->n_way != b->n_way)
        return false;
    for (size_t k = 0; k < a->n_lines; k++)
        if (a->lines[k] != b->lines[k])
            return false;
    return same_answers(a, b);
}

/* A table with more room and nothing in it; the caller puts its members in again. */
static uint32_t *grow_table(uint32_t **table, size_t *room) {
    size_t wanted = *room ? 2 * *room : LEAST_ROOM;
    uint32_t *fresh = jv_zalloc(wanted, sizeof *fresh);
    if (!fresh)
        return NULL;
    jv_free(*table);
    *table = fresh;
    *room = wanted;
    return fresh;
}

static void put(uint32_t *table, size_t room, uint64_t hash, size_t number) {
    size_t at = (size_t)hash & (room - 1);
    while (table[at])
        at = (at + 1) & (room - 1);
    table[at] = (uint32_t)number + 1;
}

/* The list with room for one more; NULL, and the list as it was, when memory is short. */
static void *make_room(void *list, size_t n, size_t *cap, size_t size) {
    if (n < *cap)
        return list;
    size_t wanted = *cap ? 2 * *cap : LEAST_ROOM;
    void *moved = jv_resize(list, wanted, size);
    if (moved)
        *cap = wanted;
    return moved;
}

/* --- texts --- */

static bool grow_texts(jv_card_store *s) {
    if (2 * (s->n_texts + 1) <= s->room_texts)
        return true;
    if (!grow_table(&s->text_at, &s->room_texts))
        return false;
    for (size_t k = 0; k < s->n_texts; k++)
        put(s->text_at, s->room_texts, hash_text(s->texts[k]), k);
    return true;
}

const char *jv_store_text(jv_card_store *s, const char *text) {
    if (!text)
        return NULL;
    uint64_t hash = hash_text(text);
    const char **texts = make_room(s->texts, s->n_texts, &s->cap_texts, sizeof *texts);
    if (texts)
        s->texts = texts;
    if (s->failed || !texts || !grow_texts(s)) {
        s->failed = true;
        return "";
    }
    for (size_t at = (size_t)hash & (s->room_texts - 1); s->text_at[at];
         at = (at + 1) & (s->room_texts - 1))
        if (strcmp(s->texts[s->text_at[at] - 1], text) == 0)
            return s->texts[s->text_at[at] - 1];
    const char *copy = jv_arena_copy(&s->arena, text, strlen(text));
    if (!copy) {
        s->failed = true;
        return "";
    }
    put(s->text_at, s->room_texts, hash, s->n_texts);
    s->texts[s->n_texts++] = copy;
    return copy;
}

const char *jv_store_textf(jv_card_store *s, const char *format, ...) {
    jv_text t = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&t, format, args);
    va_end(args);
    const char *kept = jv_store_text(s, jv_text_str(&t));
    s->failed |= t.failed;
    jv_text_clear(&t);
    return kept;
}

/* --- checks --- */

/* Off and text belong to a finder that is gone when the card is read. */
const jv_check *jv_store_check(jv_card_store *s, const jv_check *check) {
    jv_check *copy = jv_arena_alloc(&s->arena, 1, sizeof *copy);
    size_t *off = jv_arena_alloc(&s->arena, check->n_off + 1, sizeof *off);
    if (!copy || !off) {
        s->failed = true;
        return NULL;
    }
    *copy = *check;
    if (check->n_off)
        memcpy(off, check->off, check->n_off * sizeof *off);
    copy->off = off;
    copy->text = jv_store_text(s, check->text);
    return copy;
}

/* --- nodes --- */

static bool grow_nodes(jv_card_store *s) {
    if (2 * (s->n_nodes + 1) <= s->room_nodes)
        return true;
    if (!grow_table(&s->node_at, &s->room_nodes))
        return false;
    for (size_t k = 0; k < s->n_nodes; k++)
        put(s->node_at, s->room_nodes, hash_node(&s->nodes[k]), k);
    return true;
}

static void *keep(jv_card_store *s, const void *list, size_t n, size_t size) {
    void *copy = jv_arena_alloc(&s->arena, n + 1, size);
    if (!copy)
        s->failed = true;
    else if (n)
        memcpy(copy, list, n * size);
    return copy;
}

void jv_asked_add(jv_asked *a, size_t check, bool with_ohms) {
    enum { BITS = 64 };
    size_t bit = (2 * check + with_ohms) % (BITS * JV_ASKED_WORDS);
    a->bits[bit / BITS] |= (uint64_t)1 << (bit % BITS);
}

bool jv_asked_meet(const jv_asked *a, const jv_asked *b) {
    uint64_t both = 0;
    for (size_t k = 0; k < JV_ASKED_WORDS; k++)
        both |= a->bits[k] & b->bits[k];
    return both != 0;
}

static jv_asked asked_behind(const jv_card_store *s, const jv_sketch *d) {
    jv_asked all = d->asked;
    for (size_t k = 0; k < d->node.n_answers; k++)
        for (size_t i = 0; i < JV_ASKED_WORDS; i++)
            all.bits[i] |= s->asked[d->answers[k].to].bits[i];
    return all;
}

size_t jv_store_node(jv_card_store *s, const jv_sketch *d) {
    jv_card_node v = d->node;
    v.lines = d->lines;
    v.way = d->way;
    v.answers = d->answers;
    jv_card_node *nodes = make_room(s->nodes, s->n_nodes, &s->cap_nodes, sizeof *nodes);
    if (nodes)
        s->nodes = nodes;
    jv_asked *asked = make_room(s->asked, s->n_nodes, &s->cap_asked, sizeof *asked);
    if (asked)
        s->asked = asked;
    if (s->failed || !nodes || !asked || !grow_nodes(s)) {
        s->failed = true;
        return 0;
    }
    uint64_t hash = hash_node(&v);
    for (size_t at = (size_t)hash & (s->room_nodes - 1); s->node_at[at];
         at = (at + 1) & (s->room_nodes - 1))
        if (same_node(&s->nodes[s->node_at[at] - 1], &v))
            return s->node_at[at] - 1;
    v.lines = keep(s, d->lines, v.n_lines, sizeof *d->lines);
    v.way = keep(s, d->way, v.n_way, sizeof *d->way);
    v.answers = keep(s, d->answers, v.n_answers, sizeof *d->answers);
    put(s->node_at, s->room_nodes, hash, s->n_nodes);
    s->nodes[s->n_nodes] = v;
    s->asked[s->n_nodes] = asked_behind(s, d);
    return s->n_nodes++;
}

/* --- situations --- */

static jv_card_memo *find_memo(const jv_card_store *s, const char *key) {
    if (!s->room_memos)
        return NULL;
    for (size_t at = (size_t)hash_text(key) & (s->room_memos - 1); s->memo_at[at];
         at = (at + 1) & (s->room_memos - 1))
        if (strcmp(s->memos[s->memo_at[at] - 1].key, key) == 0)
            return &s->memos[s->memo_at[at] - 1];
    return NULL;
}

size_t jv_store_find(const jv_card_store *s, const char *key, double reach) {
    static const double rarer = 0.3;
    const jv_card_memo *m = find_memo(s, key);
    return m && m->reach >= rarer * reach ? m->node : JV_FIND_NONE;
}

static bool grow_memos(jv_card_store *s) {
    if (2 * (s->n_memos + 1) <= s->room_memos)
        return true;
    if (!grow_table(&s->memo_at, &s->room_memos))
        return false;
    for (size_t k = 0; k < s->n_memos; k++)
        put(s->memo_at, s->room_memos, hash_text(s->memos[k].key), k);
    return true;
}

void jv_store_note(jv_card_store *s, const char *key, size_t node, double reach) {
    jv_card_memo *known = find_memo(s, key);
    if (known) {
        known->node = node;
        known->reach = reach;
        return;
    }
    const char *copy = s->failed ? NULL : jv_arena_copy(&s->arena, key, strlen(key));
    jv_card_memo *memos = make_room(s->memos, s->n_memos, &s->cap_memos, sizeof *memos);
    if (memos)
        s->memos = memos;
    if (!copy || !memos || !grow_memos(s)) {
        s->failed = true;
        return;
    }
    put(s->memo_at, s->room_memos, hash_text(copy), s->n_memos);
    s->memos[s->n_memos++] = (jv_card_memo){copy, node, reach};
}
