/* test_card.c - cards: every way through them, and the page. SPDX-License-Identifier: MIT
 *
 * The two circuits are small, so that all ways are gone through in a moment; tests/browser/card.mjs
 * taps through cards of the examples. The rules of care are those of test_walk_care.c, written
 * from the safety texts (OSHA 29 CFR 1910.147, NEETS module 16 p. 1-17 and 3-30). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/card.h"
#include "jackvolt/care.h"
#include "jackvolt/render.h"
#include "tests/support/circuit_text.h"
#include "tests/support/failing.h"

static const char one_jack[] =
    "{\"circuit\": \"one jack\", \"parts\": {"
    "\"bat\": {\"is\": \"battery\", \"plus\": \"post+\", \"minus\": \"post-\", \"open_circuit\": "
    "\"12.6 V +/- 1 %\", \"resistance\": \"10 mohm\"},"
    "\"clamp\": {\"is\": \"contact\", \"a\": \"post+\", \"b\": \"in\", \"resistance\": "
    "\"0.2 mohm .. 1 mohm\"},"
    "\"feed\": {\"is\": \"cable\", \"a\": \"in\", \"b\": \"jack+\", \"size\": \"6 AWG\", "
    "\"length\": \"20 ft\", \"insulation\": \"SGX\"},"
    "\"back\": {\"is\": \"cable\", \"a\": \"jack-\", \"b\": \"post-\", \"size\": \"6 AWG\", "
    "\"length\": \"20 ft\", \"insulation\": \"SGX\"},"
    "\"jack\": {\"is\": \"jack\", \"plus\": \"jack+\", \"minus\": \"jack-\", \"rated_force\": "
    "\"2000 lbf\", \"rated_current\": \"24 A\", \"no_load_current\": \"4 A\", \"stall_current\": "
    "\"90 A\"}},"
    "\"watches\": {\"stop\": {\"at\": [\"jack+\", \"jack-\"], \"below\": \"10 V\", \"held_for\": "
    "\"200 ms\", \"while\": \"running\", \"then\": \"stop all\"}},"
    "\"cases\": {\"at rest\": {}, \"lifting\": {\"lift\": {\"jack\": \"24 A\"}}}}";

static const char one_sensor[] =
    "{\"circuit\": \"one sensor\", \"parts\": {" SOURCE ","
    "\"reg\": {\"is\": \"sensor_supply\", \"in\": \"post+\", \"minus\": \"post-\", \"out\": "
    "\"rail\", \"set_voltage\": \"5 V\", \"dropout\": \"0.6 V\", \"limit\": \"100 mA\", "
    "\"short_circuit_current\": \"60 mA\"},"
    "\"supply lead\": {\"is\": \"lead\", \"a\": \"rail\", \"b\": \"s+\", \"size\": \"20 AWG\", "
    "\"length\": \"8 ft\"},"
    "\"ground lead\": {\"is\": \"lead\", \"a\": \"s-\", \"b\": \"post-\", \"size\": \"20 AWG\", "
    "\"length\": \"8 ft\"},"
    "\"sensor\": {\"is\": \"hall\", \"supply\": \"s+\", \"minus\": \"s-\", \"signal\": \"sig\", "
    "\"current\": \"5 mA\", \"minimum\": \"4.5 V\", \"output\": \"open drain\", \"pull_up\": \"10 "
    "kohm\", \"pull_up_to\": \"rail\"}},"
    "\"cases\": {\"at rest\": {}}}";

typedef struct made {
    jv_circuit *circuit;
    jv_card *card;
} made;

static made cards[2];

static int make_cards(void **state) {
    (void)state;
    for (int k = 0; k < 2; k++) {
        jv_card_options how = {.walk = {.kind = k ? JV_WALK_SENSOR : JV_WALK_SAG}};
        cards[k].circuit = sound(k ? one_sensor : one_jack, NULL, 0);
        if (!cards[k].circuit || jv_card_make(cards[k].circuit, &how, &cards[k].card) != JV_OK)
            return -1;
    }
    return 0;
}

static int free_cards(void **state) {
    (void)state;
    for (int k = 0; k < 2; k++) {
        jv_card_free(&cards[k].card);
        jv_circuit_free(&cards[k].circuit);
    }
    return 0;
}

/* --- the graph --- */

static void every_node_is_reached_and_every_way_ends(void **state) {
    (void)state;
    for (int c = 0; c < 2; c++) {
        const jv_card *card = cards[c].card;
        char reached[4096] = {1};
        size_t ends = 0;
        assert_true(card->n_nodes > 20 && card->n_nodes < sizeof reached);
        for (size_t k = 0; k < card->n_nodes; k++) {
            const jv_card_node *v = &card->nodes[k];
            assert_true(reached[k]);
            /* An answer leads on to a later node: no way comes back, so every way ends. */
            for (size_t a = 0; a < v->n_answers; a++) {
                assert_true(v->answers[a].to > k && v->answers[a].to < card->n_nodes);
                reached[v->answers[a].to] = 1;
            }
            assert_int_equal(v->n_answers == 0, v->end != JV_CARD_GOES_ON);
            assert_int_equal(v->act == JV_ACT_END, v->end != JV_CARD_GOES_ON);
            ends += v->n_answers == 0;
        }
        assert_true(ends >= 4);
    }
}

/* Whatever a meter shows has its answer, and one only. */
static void bands_meet_and_leave_nothing_out(void **state) {
    (void)state;
    size_t seen = 0;
    for (int c = 0; c < 2; c++)
        for (size_t k = 0; k < cards[c].card->n_nodes; k++) {
            const jv_card_node *v = &cards[c].card->nodes[k];
            double at = -INFINITY;
            size_t bands = 0;
            if (!v->check || v->check->kind == JV_CHECK_LOOK)
                continue;
            for (size_t a = 0; a < v->n_answers; a++) {
                if (isnan(v->answers[a].low))
                    continue;
                assert_true(v->answers[a].low == at && v->answers[a].high > at);
                at = v->answers[a].high;
                bands++;
            }
            assert_true(isinf(at) && at > 0.0);
            assert_true(bands >= 2);
            seen++;
        }
    assert_true(seen > 10);
}

/* --- care, on all ways at once --- */

/* What may have happened on the ways to a node: bits of sets of states. */
enum { CHOCKED = 1, OFF = 2, DEAD = 4, MENDED = 8, CLEAR = 16, STATES = 32 };

static uint32_t after(const jv_card_node *v, size_t a, uint32_t before) {
    const jv_card_answer *x = &v->answers[a];
    bool first = a == 0;
    switch (v->act) {
    case JV_ACT_SAFE:
        return first ? before | CHOCKED : before;
    case JV_ACT_ISOLATE:
        if (!first)
            return before;
        return before | OFF |
               (isnan(x->low) ? 0u : (uint32_t)DEAD); /* the second time with its proof */
    case JV_ACT_PROVE_DEAD:
        return first ? before | DEAD : before;
    case JV_ACT_REPAIR:
        return first ? (before | MENDED) & ~(uint32_t)CLEAR : before;
    case JV_ACT_SHORTS: /* the limit or more */
        return x->low > 0.0 ? before | CLEAR : before;
    case JV_ACT_RESTORE:
        return before & ~(uint32_t)(OFF | DEAD);
    default:
        return before;
    }
}

static bool says(const jv_card_node *v, const char *words) {
    for (size_t k = 0; k < v->n_lines; k++)
        if (strstr(v->lines[k], words))
            return true;
    return false;
}

static void judge(const jv_card_node *v, uint32_t s) {
    bool dead = (s & OFF) && (s & DEAD), live = v->check && v->check->setup != JV_SETUP_ISOLATED;
    if (v->check && v->check->kind == JV_CHECK_OHMS)
        assert_true(dead);
    if (v->act == JV_ACT_SHORTS || v->act == JV_ACT_REPAIR)
        assert_true(dead);
    if (v->act == JV_ACT_SHORTS)
        assert_true(s & MENDED);
    if (v->act == JV_ACT_RESTORE)
        assert_true((s & MENDED) && (s & CLEAR) && dead);
    if (v->check && v->check->setup == JV_SETUP_RUN)
        assert_true((s & CHOCKED) && !(s & OFF));
    if (v->act == JV_ACT_CRANK || v->act == JV_ACT_REPEAT)
        assert_true((s & CHOCKED) && !(s & OFF));
    if (live && v->check->kind != JV_CHECK_LOOK)
        assert_false(s & OFF);
    if (v->end != JV_CARD_GOES_ON && dead)
        assert_true(says(v, "stays off"));
}

static void every_way_keeps_the_rules_of_care(void **state) {
    (void)state;
    for (int c = 0; c < 2; c++) {
        const jv_card *card = cards[c].card;
        uint32_t may[4096] = {1}; /* bit s: a way comes here in state s */
        size_t ohms = 0, restored = 0;
        for (size_t k = 0; k < card->n_nodes; k++) {
            const jv_card_node *v = &card->nodes[k];
            for (uint32_t s = 0; s < STATES; s++) {
                if (!(may[k] >> s & 1))
                    continue;
                judge(v, s);
                for (size_t a = 0; a < v->n_answers; a++)
                    may[v->answers[a].to] |= 1u << after(v, a, s);
            }
            ohms += v->act == JV_ACT_SHORTS;
            restored += v->act == JV_ACT_RESTORE;
        }
        assert_true(ohms > 0 && restored > 0);
    }
}

static void steps_carry_their_cautions(void **state) {
    (void)state;
    for (int c = 0; c < 2; c++)
        for (size_t k = 0; k < cards[c].card->n_nodes; k++) {
            const jv_card_node *v = &cards[c].card->nodes[k];
            uint32_t want = 0;
            if (v->act == JV_ACT_SAFE)
                want = JV_CARE_SUPPORT | JV_CARE_CHOCKS;
            if (v->act == JV_ACT_ISOLATE)
                want = JV_CARE_SOURCES | JV_CARE_MINUS_FIRST | JV_CARE_RINGS | JV_CARE_BEFORE_OFF;
            if (v->act == JV_ACT_SHORTS || v->act == JV_ACT_OHMS)
                want = JV_CARE_METER;
            if (v->act == JV_ACT_RESTORE)
                want = JV_CARE_RESTORE | JV_CARE_MINUS_FIRST;
            if (v->act == JV_ACT_REPAIR)
                want = JV_CARE_UNCOMMANDED | JV_CARE_FUSE;
            if (v->check && v->check->setup == JV_SETUP_RUN)
                want = JV_CARE_SUPPORT | JV_CARE_CHOCKS | JV_CARE_UNCOMMANDED;
            assert_int_equal(v->care & want, want);
        }
    assert_int_equal(cards[0].card->nodes[0].act, JV_ACT_SAFE);
}

/* A part is named after its own reading, or said to be not proved. */
static void names_are_told_apart_from_guesses(void **state) {
    (void)state;
    size_t named = 0;
    for (int c = 0; c < 2; c++)
        for (size_t k = 0; k < cards[c].card->n_nodes; k++) {
            const jv_card_node *v = &cards[c].card->nodes[k];
            if (!*v->named)
                continue;
            named++;
            assert_true(strstr(v->title, v->named) != NULL);
            assert_int_equal(strncmp(v->title, "Found:", 6) == 0, v->proved_name);
            assert_true(says(v, "What mends it"));
        }
    assert_true(named >= 6);
}

/* --- the way to a fault --- */

/* Taps through a card: a reading of `value` at every check of `part` (and of what `spans` it),
 * elsewhere as a sound circuit reads. */
static const jv_card_node *tap(const jv_card *card, const char *complaint, double wrong_v,
                               const char *part) {
    size_t at = 0;
    while (card->nodes[at].n_answers && !*card->nodes[at].named) {
        const jv_card_node *v = &card->nodes[at];
        size_t pick = 0;
        if (strcmp(v->title, "What does it do?") == 0)
            for (size_t a = 0; a < v->n_answers; a++)
                pick = strstr(v->answers[a].words, complaint) ? a : pick;
        for (size_t a = 0; v->check && a < v->n_answers; a++) {
            bool spans = strstr(v->title, part) != NULL;
            const jv_card_answer *x = &v->answers[a];
            if (spans ? wrong_v >= x->low && wrong_v < x->high : x->sound)
                pick = a;
        }
        at = v->answers[pick].to;
    }
    return &card->nodes[at];
}

/* By hand: with "supply lead" open the sensor is lost, the rail reads its 5 V as when sound, the
 * lead has the whole 5 V across it and the sensor none. */
static void an_open_lead_is_found(void **state) {
    (void)state;
    const jv_card_node *v = tap(cards[1].card, "is lost", 5.0, "supply lead");
    assert_true(strstr(v->named, "supply lead") != NULL);
}

/* --- the page --- */

static size_t count(const char *text, const char *words) {
    size_t n = 0;
    for (const char *s = strstr(text, words); s; s = strstr(s + 1, words))
        n++;
    return n;
}

static void the_page_needs_nothing_else(void **state) {
    (void)state;
    jv_text page = {0};
    const jv_card *card = cards[0].card;
    assert_int_equal(jv_card_page(card, &page), JV_OK);
    const char *s = jv_text_str(&page);
    assert_int_equal(count(s, "<ul class=\"node"), card->n_nodes);
    assert_int_equal(count(s, " src="), 0);
    assert_int_equal(count(s, "<link"), 0);
    assert_int_equal(count(s, "url("), 0);
    assert_int_equal(count(s, "http://"), 1); /* the name of the language */
    assert_int_equal(count(s, "https://"), 0);
    /* A browser that reads the page as HTML takes no references in a style or a script. */
    static const char *const raw[][2] = {{"<style", "</style>"}, {"<script", "</script>"}};
    for (size_t k = 0; k < 2; k++)
        for (const char *at = strstr(s, raw[k][0]); at; at = strstr(at + 1, raw[k][0]))
            assert_true(strchr(at, '&') == NULL || strchr(at, '&') > strstr(at, raw[k][1]));
    /* Cautions stand before what is to be done: the start before all, in each step first. */
    for (const char *step = strstr(s, "<section class=\"step"); step;) {
        const char *next = strstr(step + 1, "<section"), *care = strstr(step, "class=\"care\"");
        const char *act = strstr(step, "<ol>");
        if (care && act && act < next && care < next)
            assert_true(care < act);
        step = strstr(next, "<section class=\"step");
    }
    assert_true(strstr(s, "id=\"start\"") < strstr(s, "<section class=\"step"));
    for (size_t k = 0; k < card->n_nodes; k++)
        for (size_t a = 0; a < card->nodes[k].n_answers; a++) {
            char id[40];
            snprintf(id, sizeof id, " id=\"n%zu\"", card->nodes[k].answers[a].to);
            assert_int_equal(count(s, id), 1);
        }
    jv_text_clear(&page);
}

static void a_card_needs_what_its_walk_needs(void **state) {
    (void)state;
    jv_card *card = NULL;
    jv_card_options how = {.walk = {.kind = JV_WALK_SENSOR}};
    assert_int_equal(jv_card_make(cards[0].circuit, &how, &card), JV_ERR_UNKNOWN);
    assert_null(card);
}

static void memory_that_is_short_is_told(void **state) {
    (void)state;
    jv_card_options how = {.walk = {.kind = JV_WALK_SENSOR}, .least = 0.6};
    jv_card *card = NULL;
    failing_start(0);
    assert_int_equal(jv_card_make(cards[1].circuit, &how, &card), JV_OK);
    jv_card_free(&card);
    assert_int_equal(failing_blocks(), 0);
    size_t calls = failing_calls();
    for (size_t n = 1; n < calls; n += 1 + n / 8) {
        failing_start(n);
        assert_int_equal(jv_card_make(cards[1].circuit, &how, &card), JV_ERR_MEMORY);
        assert_null(card);
        assert_int_equal(failing_blocks(), 0);
    }
    failing_stop();
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_node_is_reached_and_every_way_ends),
        cmocka_unit_test(bands_meet_and_leave_nothing_out),
        cmocka_unit_test(every_way_keeps_the_rules_of_care),
        cmocka_unit_test(steps_carry_their_cautions),
        cmocka_unit_test(names_are_told_apart_from_guesses),
        cmocka_unit_test(an_open_lead_is_found),
        cmocka_unit_test(the_page_needs_nothing_else),
        cmocka_unit_test(a_card_needs_what_its_walk_needs),
        cmocka_unit_test(memory_that_is_short_is_told),
    };
    return cmocka_run_group_tests(tests, make_cards, free_cards);
}
