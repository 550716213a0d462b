/* draft_text.c - a circuit file in the making, for people and scripts.
 * SPDX-License-Identifier: MIT */
#include "render/draft.h"

#include "render/json_out.h"

#include <string.h>

/* Column of the values. */
enum { VALUES_AT = 28 };

/* What stands for a question about one part: "22 ft", "15 ft .. 33 ft?", "22 ft*", "..". */
static void add_value(const jv_draft *d, const jv_asked *q, uint32_t target, jv_text *out) {
    const char *layout = jv_ask_layout(d, q, target);
    jv_text spread = {0};
    switch (q->shown.known) {
    case JV_KNOWN_OPEN:
        jv_text_add(out, "..");
        break;
    case JV_KNOWN_GIVEN:
        jv_text_add(out, q->shown.answer);
        break;
    case JV_KNOWN_LAYOUT:
        jv_text_addf(out, "%s*", layout ? layout : "");
        break;
    case JV_KNOWN_NOT:
        if ((q->ask == JV_ASK_SIZE && jv_draft_ohms(d, target, &spread)) ||
            jv_draft_spread(d, q, target, &spread))
            jv_text_addf(out, "%s?", jv_text_str(&spread));
        else if (q->ask == JV_ASK_STOP || q->ask == JV_ASK_STALL)
            jv_text_add(out, "what is usual?");
        else if (q->ask == JV_ASK_CHEMISTRY && !layout)
            jv_text_addf(out, "%s?", jv_draft_usual_chemistry);
        else
            jv_text_addf(out, "%s?", layout ? layout : "");
        break;
    }
    out->failed |= spread.failed;
    jv_text_clear(&spread);
}

/* The values of all questions about a part; false when none of them is answered. */
static bool add_values(const jv_draft *d, uint32_t part, jv_text *out) {
    static const char *const before[JV_ASK_KINDS] = {
        [JV_ASK_FREE] = "free ", [JV_ASK_STALL] = "held ", [JV_ASK_STOP] = "below "};
    bool any = false, answered = false;
    for (jv_ask ask = JV_ASK_CHEMISTRY; ask <= JV_ASK_STALL; ask++) {
        const jv_asked *q = jv_asked_of(d, ask, part);
        if (!q)
            continue;
        jv_text_addf(out, "%s%s", any ? ", " : "", before[ask] ? before[ask] : "");
        add_value(d, q, part, out);
        any = true;
        answered = answered || q->shown.known != JV_KNOWN_OPEN;
    }
    return answered;
}

static void add_row(const char *name, jv_text *values, size_t width, jv_text *out) {
    jv_text left = {0};
    jv_text_addf(&left, "  %s ", name);
    jv_text_add(out, jv_text_str(&left));
    if (jv_text_columns(jv_text_str(&left)) > VALUES_AT)
        jv_text_add(out, "\n");
    jv_wrap(out, jv_text_str(values), VALUES_AT, width);
    out->failed |= left.failed || values->failed;
    jv_text_clear(&left);
    jv_text_clear(values);
}

static void add_parts(const jv_draft *d, size_t width, jv_text *out) {
    for (uint32_t i = 0; i < d->n_parts; i++) {
        jv_text values = {0};
        if (add_values(d, i, &values))
            add_row(d->parts[i]->key, &values, width, out);
        jv_text_clear(&values);
    }
}

static size_t count(const jv_draft *d, jv_known known) {
    size_t n = 0;
    for (size_t i = 0; i < d->n_asked; i++)
        n += d->asked[i].shown.known == known;
    return n;
}

void jv_draft_text(const jv_draft *d, const jv_style *style, jv_text *out) {
    for (size_t i = 0; i < d->n_asked && d->asked[i].ask <= JV_ASK_AMBIENT; i++) {
        jv_text value = {0};
        if (d->asked[i].shown.known == JV_KNOWN_OPEN)
            continue;
        add_value(d, &d->asked[i], 0, &value);
        add_row(d->asked[i].shown.about, &value, style->width, out);
    }
    add_parts(d, style->width, out);
    for (size_t i = 0; i < d->n_asked; i++) {
        const jv_asked *q = &d->asked[i];
        jv_text value = {0};
        if (q->ask != JV_ASK_STOP || q->shown.known == JV_KNOWN_OPEN)
            continue;
        jv_text_add(&value, "acts below ");
        add_value(d, q, q->targets[0], &value);
        add_row(d->watches[q->targets[0]]->key, &value, style->width, out);
    }
    size_t open = count(d, JV_KNOWN_OPEN), unknown = count(d, JV_KNOWN_NOT);
    if (unknown)
        jv_text_add(out, "  ? not known\n");
    if (count(d, JV_KNOWN_LAYOUT))
        jv_text_add(out, "  * as in the layout\n");
    if (open)
        jv_text_addf(out, "  %zu of %zu questions to go\n", open, d->n_asked);
}

static void add_question(const jv_draft *d, const jv_asked *q, jv_json *j, jv_json_node *list) {
    static const char *const known[] = {"open", "given", "not known", "as in the layout"};
    jv_json_node *row = jv_json_object(j, list, NULL);
    jv_text value = {0};
    jv_json_text(j, row, "about", q->shown.about);
    jv_json_node *of = jv_json_array(j, row, "of");
    for (size_t k = 0; k < q->n_targets; k++)
        jv_json_text(j, of, NULL, jv_ask_object(d, q, q->targets[k])->key);
    jv_json_text(j, row, "known", known[q->shown.known]);
    add_value(d, q, q->n_targets ? q->targets[0] : 0, &value);
    if (value.length && (q->shown.known == JV_KNOWN_NOT || q->shown.known == JV_KNOWN_LAYOUT))
        value.data[--value.length] = '\0'; /* the mark for people */
    jv_json_text(j, row, "value", jv_text_str(&value));
    if (q->shown.layout)
        jv_json_text(j, row, "layout", q->shown.layout);
    else
        jv_json_null(j, row, "layout", NULL);
    j->failed |= value.failed;
    jv_text_clear(&value);
}

jv_status jv_draft_json(const jv_draft *d, const char *file, jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "file", file);
    jv_json_text(&j, root, "layout", d->layout->name);
    jv_json_number(&j, root, "jacks", (double)d->n_jacks, NULL);
    jv_json_node *list = jv_json_array(&j, root, "answers");
    for (size_t i = 0; i < d->n_asked; i++)
        add_question(d, &d->asked[i], &j, list);
    return jv_json_print(&j, out);
}
