/* card.c - the page of a card: steps that are tapped through. SPDX-License-Identifier: MIT */
#include "jackvolt/care.h"
#include "jackvolt/memory.h"
#include "jackvolt/render.h"
#include "jackvolt/version.h"
#include "render/card_part.h"

#include <string.h>

/* Many nodes show the same step and differ only in where their answers lead: a step stands once,
 * as section c.., a node n.. names it by its class. The step whose node is the target of the
 * address is shown, by rules of the style or by the script: links alone do the walk. The script
 * takes all steps but that one off the page, which a phone lays out faster, and adds the list of
 * answers, the way back and the place of the focus. */

enum { CAUTIONS = 32 };

/* --- which step a node shows --- */

static bool same_lines(const jv_card_node *a, const jv_card_node *b) {
    if (a->n_lines != b->n_lines)
        return false;
    for (size_t k = 0; k < a->n_lines; k++)
        if (strcmp(a->lines[k], b->lines[k]) != 0)
            return false;
    return true;
}

static bool same_words(const char *a, const char *b) {
    return a == b || (a && b && strcmp(a, b) == 0);
}

static bool same_step(const jv_card_node *a, const jv_card_node *b) {
    return a->act == b->act && a->wants == b->wants && a->end == b->end && a->care == b->care &&
           same_words(a->title, b->title) && same_words(a->red, b->red) &&
           same_words(a->black, b->black) && same_words(a->reads, b->reads) &&
           same_words(a->how, b->how) && same_lines(a, b);
}

/* step[k]: the first node that shows what node k shows. */
static void find_steps(const jv_card *card, size_t *step) {
    for (size_t k = 0; k < card->n_nodes; k++) {
        step[k] = k;
        for (size_t i = 0; i < k && step[k] == k; i++)
            if (step[i] == i && same_step(&card->nodes[i], &card->nodes[k]))
                step[k] = i;
    }
}

/* --- pieces --- */

static void add_cautions(jv_page *page, jv_tag *to, uint32_t care, bool full) {
    const jv_precaution *list[CAUTIONS];
    size_t n = jv_precautions_of(care, list, CAUTIONS);
    if (!n)
        return;
    jv_tag *ul = jv_tag_add(page, to, "ul", "care");
    for (size_t k = 0; k < n && k < CAUTIONS; k++) {
        bool danger = list[k]->signal == JV_SIGNAL_DANGER;
        jv_tag *li = jv_tag_add(page, ul, "li", danger ? "danger" : NULL);
        jv_tag_text(page, li, "strong", NULL, jv_signal_word(list[k]->signal));
        jv_tag_say(page, li, " ");
        jv_tag_say(page, li, full ? list[k]->text : list[k]->brief);
    }
}

static void add_probes(jv_page *page, jv_tag *to, const jv_card_node *v) {
    if (!v->red)
        return;
    jv_tag *p = jv_tag_add(page, to, "p", "probes");
    jv_tag_text(page, p, "strong", NULL, "red");
    jv_tag_say(page, p, " ");
    jv_tag_text(page, p, "span", "at", v->red);
    for (size_t k = 0; k < v->n_way; k++) {
        jv_tag_say(page, p, " \xE2\x80\x93 ");
        jv_tag_text(page, p, "span", "part", v->way[k].part);
        jv_tag_say(page, p, " \xE2\x80\x93 ");
        if (k + 1 < v->n_way)
            jv_tag_say(page, p, v->way[k].to);
    }
    if (!v->n_way)
        jv_tag_say(page, p, " \xE2\x80\xA6 ");
    jv_tag_text(page, p, "span", "at", v->black);
    jv_tag_say(page, p, " ");
    jv_tag_text(page, p, "strong", NULL, "black");
}

static const char *question(const jv_card_node *v) {
    if (!v->n_answers)
        return NULL;
    switch (v->wants) {
    case JV_WANTS_VOLTS:
    case JV_WANTS_AMPS:
    case JV_WANTS_OHMS:
    case JV_WANTS_MILLIVOLTS:
        return "What does it read?";
    case JV_WANTS_DONE:
        return "When it is done:";
    default:
        return *v->named ? "What next?" : "Which is it?";
    }
}

static void add_step(jv_page *page, jv_tag *to, const jv_card_node *v, size_t number) {
    jv_tag *s = jv_tag_add(page, to, "section", v->end ? "step end" : "step");
    jv_tag_setf(page, s, "id", "c%zu", number);
    jv_tag_text(page, s, "h2", NULL, v->title);
    add_cautions(page, s, v->care, false);
    if (v->n_lines) {
        bool one = v->n_lines == 1 || v->end;
        jv_tag *list = one ? s : jv_tag_add(page, s, "ol", NULL);
        for (size_t k = 0; k < v->n_lines; k++)
            jv_tag_text(page, list, one ? "p" : "li", NULL, v->lines[k]);
    }
    add_probes(page, s, v);
    if (*v->reads)
        jv_tag_text(page, s, "p", "reads", v->reads);
    if (*v->how && v->red) {
        jv_tag *more = jv_tag_add(page, s, "details", NULL);
        jv_tag_text(page, more, "summary", NULL, "How");
        jv_tag_text(page, more, "p", NULL, v->how);
    }
    const char *ask = question(v);
    if (ask)
        jv_tag_text(page, s, "p", "ask", ask);
}

static void add_node(jv_page *page, jv_tag *to, const jv_card *card, size_t k, size_t step) {
    const jv_card_node *v = &card->nodes[k];
    jv_tag *list = jv_tag_add(page, to, "ul", NULL);
    jv_tag_setf(page, list, "class", *v->named ? "node c%zu found" : "node c%zu", step);
    jv_tag_setf(page, list, "id", "n%zu", k);
    jv_tag *which = jv_tag_add(page, list, "li", "which");
    jv_tag *link = jv_tag_text(page, which, "a", NULL, "what to do");
    jv_tag_setf(page, link, "href", "#c%zu", step);
    for (size_t a = 0; a < v->n_answers; a++) {
        const jv_card_answer *x = &v->answers[a];
        jv_tag *li = jv_tag_add(page, list, "li", NULL);
        jv_tag *go = jv_tag_text(page, li, "a", NULL, x->words);
        jv_tag_setf(page, go, "href", "#n%zu", x->to);
        if (x->sound && v->red)
            jv_tag_text(page, go, "i", NULL, "as when sound");
        if (*x->note)
            jv_tag_text(page, li, "small", NULL, x->note);
    }
}

static void add_start(jv_page *page, jv_tag *main, const jv_card *card) {
    uint32_t care = 0;
    for (size_t k = 0; k < card->n_nodes; k++)
        care |= card->nodes[k].care;
    jv_tag *s = jv_tag_add(page, main, "section", "start");
    jv_tag_set(page, s, "id", "start");
    jv_tag_set(page, s, "aria-labelledby", "start-heading");
    jv_tag *h = jv_tag_text(page, s, "h2", NULL, "Before you begin");
    jv_tag_set(page, h, "id", "start-heading");
    jv_tag_text(page, s, "p", NULL, jv_care_preface());
    add_cautions(page, s, care, true);
    jv_tag_text(page, s, "p", NULL,
                "Do what a step says, then tap what you see or what the meter shows. Each caution "
                "comes back, in a line, before the step that it belongs to. The way back is the "
                "back key. Nothing leaves this page; it needs no network.");
    jv_tag *p = jv_tag_add(page, s, "p", "begin");
    jv_tag *a = jv_tag_text(page, p, "a", NULL, "Begin");
    jv_tag_set(page, a, "href", "#n0");
}

static void add_record(jv_page *page, jv_tag *main) {
    jv_tag *bar = jv_tag_add(page, main, "nav", NULL);
    jv_tag_set(page, bar, "aria-label", "Card");
    jv_tag *back = jv_tag_text(page, bar, "button", NULL, "Back");
    jv_tag_set(page, back, "type", "button");
    jv_tag_set(page, back, "id", "back");
    jv_tag_set(page, back, "hidden", "hidden");
    jv_tag *a = jv_tag_text(page, bar, "a", NULL, "Cautions in full, begin again");
    jv_tag_set(page, a, "href", "#start");
    jv_tag *s = jv_tag_add(page, main, "section", "record");
    jv_tag_set(page, s, "id", "record");
    jv_tag_set(page, s, "hidden", "hidden");
    jv_tag_set(page, s, "aria-labelledby", "record-heading");
    jv_tag *h = jv_tag_text(page, s, "h2", NULL, "What was answered");
    jv_tag_set(page, h, "id", "record-heading");
    jv_tag *list = jv_tag_add(page, s, "ol", NULL);
    jv_tag_set(page, list, "id", "answered");
}

/* One rule a step: it is shown when a node of its class is the target. */
static void add_rules(jv_page *page, const jv_card *card, const size_t *step) {
    jv_tag *style = jv_tag_add(page, page->head, "style", NULL);
    jv_text rules = {0};
    jv_tag_set(page, style, "id", "rules");
    jv_text_addf(&rules, "@supports selector(:has(a)){%s", jv_card_rules);
    for (size_t k = 0; k < card->n_nodes; k++)
        if (step[k] == k)
            jv_text_addf(&rules, "main:has(.c%zu:target) #c%zu{display:block}\n", k, k);
    jv_text_add(&rules, "}\n");
    jv_tag_say(page, style, jv_text_str(&rules));
    page->failed = page->failed || rules.failed;
    jv_text_clear(&rules);
}

static void add_head(jv_page *page, jv_tag *main, const jv_card *card) {
    jv_tag *head = jv_tag_add(page, main, "header", NULL);
    jv_tag_text(page, head, "p", "kind",
                card->kind == JV_WALK_SENSOR ? "jackvolt card: sensors"
                                             : "jackvolt card: slow jacks, stops");
    jv_tag_text(page, head, "h1", NULL, jv_circuit_name(card->circuit));
}

jv_status jv_card_page(const jv_card *card, jv_text *out) {
    jv_page page;
    jv_text title = {0};
    size_t *step = jv_alloc(card->n_nodes + 1, sizeof *step);
    if (!step)
        return JV_ERR_MEMORY;
    find_steps(card, step);
    jv_text_addf(&title, "%s: %s card", jv_circuit_name(card->circuit),
                 card->kind == JV_WALK_SENSOR ? "sensor" : "sag");
    jv_page_begin(&page, jv_text_str(&title), jv_card_css);
    add_rules(&page, card, step);
    jv_tag *main = jv_tag_add(&page, page.body, "main", NULL);
    add_head(&page, main, card);
    add_start(&page, main, card);
    for (size_t k = 0; k < card->n_nodes; k++)
        if (step[k] == k)
            add_step(&page, main, &card->nodes[k], k);
    for (size_t k = 0; k < card->n_nodes; k++)
        add_node(&page, main, card, k, step[k]);
    add_record(&page, main);
    jv_tag *foot = jv_tag_add(&page, page.body, "footer", NULL);
    jv_tag_textf(&page, foot, "p", NULL,
                 "Made by jackvolt %s. Local codes, the vehicle maker's instructions and licensed "
                 "practice come first; this card is an estimate from what was entered and no "
                 "certificate of safety.",
                 JV_VERSION);
    jv_tag_text(&page, page.body, "script", NULL, jv_card_script);
    page.failed = page.failed || title.failed;
    jv_text_clear(&title);
    jv_free(step);
    return jv_page_print(&page, out);
}
