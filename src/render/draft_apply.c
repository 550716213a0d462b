/* draft_apply.c - answers as changes of a layout's tree. SPDX-License-Identifier: MIT */
#include "render/draft.h"

#include <math.h>
#include <string.h>

/* Columns of the comment at the head of the file. */
enum { COMMENT_COLUMNS = 78 };

static jv_known known_of(const jv_asked *q) {
    return q ? q->shown.known : JV_KNOWN_OPEN;
}

/* Does the person say anything of it, be it that it is not known? */
static bool is_said(const jv_asked *q) {
    return known_of(q) == JV_KNOWN_GIVEN || known_of(q) == JV_KNOWN_NOT;
}

static void put(jv_changes_list *out, const jv_json_value *object, const char *key,
                const char *text) {
    jv_tree_put(out, object, key, text ? JV_PUT_TEXT : JV_PUT_NOTHING, text, NULL);
}

/* Keys that tell of the layout's own part go. */
static void drop_keys(jv_changes_list *out, const jv_json_value *object, const char *const *keys,
                      size_t n) {
    for (size_t i = 0; i < n; i++)
        if (jv_json_member(object, keys[i]))
            put(out, object, keys[i], NULL);
}

/* A part's own comment: what of it is not known. */
typedef struct jv_notes {
    jv_text spread; /* keys that got a spread */
    jv_text taken;  /* keys that the layout's value was left in */
    jv_text other;  /* sentences */
} jv_notes;

static void note(jv_text *list, const char *before, const char *word) {
    jv_text_addf(list, "%s%s", list->length ? before : "", word);
}

static void put_notes(jv_changes_list *out, const jv_json_value *object, jv_notes *notes) {
    jv_text all = {0};
    if (notes->spread.length)
        jv_text_addf(&all, "Not known, the spread is judgement: %s.\n",
                     jv_text_str(&notes->spread));
    if (notes->taken.length)
        jv_text_addf(&all, "Not known, taken from the layout: %s.\n", jv_text_str(&notes->taken));
    jv_text_add(&all, jv_text_str(&notes->other));
    while (all.length && all.data[all.length - 1] == '\n')
        all.data[--all.length] = '\0';
    if (all.length)
        jv_tree_put(out, object, "comment", JV_PUT_LINES, jv_text_str(&all), NULL);
    out->failed |= all.failed || notes->spread.failed || notes->taken.failed || notes->other.failed;
    jv_text_clear(&all);
    jv_text_clear(&notes->spread);
    jv_text_clear(&notes->taken);
    jv_text_clear(&notes->other);
}

/* Parts that are alike and not known vary together: what is wrong for one is wrong for all. */
static void put_together(const jv_draft *d, jv_changes_list *out, const jv_asked *q,
                         uint32_t target) {
    const jv_json_value *object = d->parts[target];
    jv_text tag = {0};
    if (q->n_targets < 2 || jv_json_member(object, "with"))
        return;
    jv_text_addf(&tag, "like %s", d->parts[q->targets[0]]->key);
    put(out, object, "with", jv_text_str(&tag));
    out->failed |= tag.failed;
    jv_text_clear(&tag);
}

/* A value, the spread of an unknown one, or nothing new. */
static void put_answer(const jv_draft *d, jv_changes_list *out, const jv_asked *q, uint32_t target,
                       jv_notes *notes) {
    const jv_json_value *object = jv_ask_object(d, q, target);
    const char *key = jv_ask_key(d, q, target);
    jv_text spread = {0};
    if (known_of(q) == JV_KNOWN_GIVEN) {
        put(out, object, key, q->shown.answer);
    } else if (known_of(q) == JV_KNOWN_NOT && jv_draft_spread(d, q, target, &spread)) {
        put(out, object, key, jv_text_str(&spread));
        if (notes)
            note(&notes->spread, ", ", key);
        if (q->n_targets)
            put_together(d, out, q, target);
    } else if (known_of(q) == JV_KNOWN_NOT && notes && jv_ask_layout(d, q, target)) {
        note(&notes->taken, ", ", key);
    }
    out->failed |= spread.failed;
    jv_text_clear(&spread);
}

/* --- battery --- */

static bool is_volts(const char *text) {
    jv_value v;
    return jv_quantity_read(text, JV_DIM_VOLTAGE, &v, NULL) == JV_OK;
}

static bool is_lithium(const char *chemistry) {
    return chemistry && strcmp(chemistry, "lfp") == 0;
}

/* One figure of a battery that is described anew. */
static void put_figure(const jv_draft *d, jv_changes_list *out, jv_asked q, uint32_t part,
                       jv_notes *notes) {
    const jv_json_value *object = d->parts[part];
    if (!is_said(&q) && !jv_ask_layout(d, &q, part))
        q.shown.known = JV_KNOWN_NOT; /* the layout gives its battery in another way */
    if (q.ask == JV_ASK_CHARGE && known_of(&q) == JV_KNOWN_GIVEN && is_volts(q.shown.answer)) {
        put(out, object, "charge", NULL);
        put(out, object, "rested", q.shown.answer);
        return;
    }
    if (q.ask == JV_ASK_CHEMISTRY && known_of(&q) == JV_KNOWN_NOT && !jv_ask_layout(d, &q, part)) {
        put(out, object, "chemistry", jv_draft_usual_chemistry);
        note(&notes->other, "\n", "Not known: chemistry; the most usual one is taken.");
        return;
    }
    put_answer(d, out, &q, part, notes);
}

static void apply_battery(const jv_draft *d, jv_changes_list *out, uint32_t part) {
    static const char *const own[] = {"open_circuit",    "resistance",
                                      "rested",          "rested_for",
                                      "charged_ago",     "group",
                                      "cold_cranking",   "cranking_standard",
                                      "reserve",         "tester_resistance",
                                      "tester_cranking", "temperature",
                                      "comment"};
    static const char *const managed[] = {"cutoff_voltage", "cutoff_reset", "cutoff_current",
                                          "cutoff_delay",   "cutoff_cold",  "cutoff_cold_charge"};
    const jv_json_value *object = d->parts[part];
    const jv_asked *q[4];
    bool said = false;
    jv_notes notes = {0};
    for (unsigned i = 0; i < 4; i++) {
        q[i] = jv_asked_of(d, (jv_ask)(JV_ASK_CHEMISTRY + i), part);
        said = said || is_said(q[i]);
    }
    if (!said)
        return;
    drop_keys(out, object, own, sizeof own / sizeof own[0]);
    const char *chemistry =
        known_of(q[0]) == JV_KNOWN_GIVEN ? q[0]->shown.answer : jv_draft_value(object, "chemistry");
    if (!is_lithium(chemistry))
        drop_keys(out, object, managed, sizeof managed / sizeof managed[0]);
    else if (!is_lithium(jv_draft_value(object, "chemistry")))
        note(&notes.other, "\n",
             "Its own guard (cutoff_voltage, cutoff_current) is not known and left out.");
    for (unsigned i = 0; i < 4; i++)
        if (q[i])
            put_figure(d, out, *q[i], part, &notes);
    put_notes(out, object, &notes);
}

/* --- wiring --- */

static void apply_cable(const jv_draft *d, jv_changes_list *out, uint32_t part) {
    const jv_json_value *object = d->parts[part];
    const jv_asked *length = jv_asked_of(d, JV_ASK_LENGTH, part);
    const jv_asked *size = jv_asked_of(d, JV_ASK_SIZE, part);
    const jv_asked *metal = jv_asked_of(d, JV_ASK_METAL, part);
    jv_text ohms = {0};
    jv_notes notes = {0};
    if (metal)
        put_answer(d, out, metal, part, &notes);
    if (known_of(size) == JV_KNOWN_NOT && jv_draft_ohms(d, part, &ohms)) {
        static const char *const gone[] = {"size", "length", "conductor_temperature", "strands"};
        drop_keys(out, object, gone, sizeof gone / sizeof gone[0]);
        put(out, object, "resistance", jv_text_str(&ohms));
        put_together(d, out, size, part);
        note(&notes.other, "\n",
             known_of(length) == JV_KNOWN_NOT
                 ? "Not known: size and length; ohms of two gauge numbers "
                   "thinner to two thicker,\nof a length that is judgement."
                 : "Not known: size; ohms of two gauge numbers thinner to two "
                   "thicker.");
    } else {
        if (length)
            put_answer(d, out, length, part, &notes);
        if (size)
            put_answer(d, out, size, part, NULL);
    }
    out->failed |= ohms.failed;
    put_notes(out, object, &notes);
    jv_text_clear(&ohms);
}

static bool is_anything_said(const jv_draft *d) {
    for (size_t i = 0; i < d->n_asked; i++)
        if (is_said(&d->asked[i]) && d->asked[i].ask != JV_ASK_NAME)
            return true;
    return false;
}

/* A joint of the layout may be a bad one; of another vehicle's nothing is known yet. */
static void apply_joint(jv_changes_list *out, const jv_json_value *object) {
    static const char *const gone[] = {"resistance", "hot_resistance", "heats_in", "present",
                                       "comment"};
    if (jv_draft_value(object, "kind"))
        drop_keys(out, object, gone, sizeof gone / sizeof gone[0]);
}

/* --- motors --- */

static bool is_plate_said(const jv_draft *d, uint32_t part) {
    for (jv_ask ask = JV_ASK_LOAD; ask <= JV_ASK_FREE; ask++)
        if (is_said(jv_asked_of(d, ask, part)))
            return true;
    return false;
}

/* A free or a stall current that is not asked yet, of a motor whose rated current is given, is
 * none of the layout's motor any more. */
static jv_known known_with_plate(const jv_draft *d, const jv_asked *q, uint32_t part) {
    bool other = known_of(jv_asked_of(d, JV_ASK_CURRENT, part)) == JV_KNOWN_GIVEN;
    return known_of(q) == JV_KNOWN_OPEN && other ? JV_KNOWN_NOT : known_of(q);
}

static void apply_motor(const jv_draft *d, jv_changes_list *out, uint32_t part) {
    const jv_json_value *object = d->parts[part];
    const jv_asked *load = jv_asked_of(d, JV_ASK_LOAD, part);
    const jv_asked *stall = jv_asked_of(d, JV_ASK_STALL, part);
    jv_notes notes = {0};
    for (jv_ask ask = JV_ASK_LOAD; ask <= JV_ASK_FREE; ask++) {
        const jv_asked *q = jv_asked_of(d, ask, part);
        if (!q)
            continue;
        jv_asked now = *q;
        if (ask == JV_ASK_FREE)
            now.shown.known = known_with_plate(d, q, part);
        put_answer(d, out, &now, part, &notes);
    }
    if (known_of(stall) == JV_KNOWN_GIVEN) {
        put(out, object, "stall_current", stall->shown.answer);
    } else if (known_with_plate(d, stall, part) == JV_KNOWN_NOT &&
               jv_draft_value(object, "stall_current")) {
        put(out, object, "stall_current", NULL);
        note(&notes.other, "\n", "Not known: stall_current; left to what is assumed.");
    }
    const jv_json_value *travel = jv_json_member(object, "travel");
    double force = jv_draft_nominal(jv_draft_value(travel, "force"), JV_DIM_FORCE);
    if (known_of(load) == JV_KNOWN_GIVEN && force > 0.0) {
        jv_text t = {0};
        double ratio = jv_draft_nominal(load->shown.answer, JV_DIM_FORCE) /
                       jv_draft_nominal(jv_ask_layout(d, load, part), JV_DIM_FORCE);
        if (ratio > 0.0) {
            jv_quantity_print(&t, force * ratio, JV_DIM_FORCE, d->units, 3);
            put(out, travel, "force", jv_text_str(&t));
        }
        out->failed |= t.failed;
        jv_text_clear(&t);
    }
    put_notes(out, object, &notes);
}

/* Amps, a force or a pressure as a share of what the layout's motor is rated for; NAN when it is
 * none of them. A jack's current is linear in its load between the free and the rated one. */
static double share_of(const jv_json_value *motor, const char *text) {
    bool pump = jv_draft_is(motor, "pump");
    double amps = jv_draft_nominal(text, JV_DIM_CURRENT);
    double rated = jv_draft_nominal(jv_draft_value(motor, "rated_current"), JV_DIM_CURRENT);
    double idle = jv_draft_nominal(jv_draft_value(motor, pump ? "idle_current" : "no_load_current"),
                                   JV_DIM_CURRENT);
    if (!isnan(amps))
        return (amps - idle) / (rated - idle);
    jv_dim dim = pump ? JV_DIM_PRESSURE : JV_DIM_FORCE;
    return jv_draft_nominal(text, dim) /
           jv_draft_nominal(jv_draft_value(motor, pump ? "rated_pressure" : "rated_force"), dim);
}

/* The loads of a case or a step: those of the layout's motors, as shares of their rating. */
static void apply_loads(const jv_draft *d, jv_changes_list *out, const jv_json_value *loading) {
    static const char *const keys[] = {"lift", "lower", "run"};
    for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++) {
        const jv_json_value *map = jv_json_member(loading, keys[k]);
        if (!map || map->type != JV_JSON_OBJECT)
            continue;
        for (uint32_t i = 0; i < d->n_parts; i++) {
            const char *text = jv_draft_value(map, d->parts[i]->key);
            double share = text && is_plate_said(d, i) ? share_of(d->parts[i], text) : NAN;
            jv_text t = {0};
            if (isnan(share))
                continue;
            jv_text_addf(&t, "%.0f %%", 100.0 * fmax(share, 0.0));
            put(out, map, d->parts[i]->key, jv_text_str(&t));
            out->failed |= t.failed;
            jv_text_clear(&t);
        }
    }
}

static void apply_cases(const jv_draft *d, jv_changes_list *out) {
    const jv_json_value *cases = jv_json_member(d->doc.root, "cases");
    const jv_json_value *plans = jv_json_member(d->doc.root, "sequences");
    for (const jv_json_value *c = cases ? cases->as.first : NULL; c; c = c->next)
        apply_loads(d, out, c);
    for (const jv_json_value *p = plans ? plans->as.first : NULL; p; p = p->next) {
        const jv_json_value *steps = jv_json_member(p, "steps");
        for (const jv_json_value *s = steps ? steps->as.first : NULL; s; s = s->next)
            apply_loads(d, out, s);
    }
}

/* --- the file itself --- */

static void apply_watch(jv_changes_list *out, const jv_draft *d, const jv_asked *q) {
    const jv_json_value *watch = d->watches[q->targets[0]];
    if (!is_said(q))
        return;
    put(out, watch, "below", known_of(q) == JV_KNOWN_GIVEN ? q->shown.answer : NULL);
    if (jv_json_member(watch, "reset_above"))
        put(out, watch, "reset_above", NULL); /* belongs to the layout's limit */
    if (known_of(q) == JV_KNOWN_NOT)
        jv_tree_put(out, watch, "comment", JV_PUT_LINES,
                    "Not known: below; an assumed limit is taken.", NULL);
}

/* "charge of \"house battery\"; length of \"feed\" and \"return\"", of those known so; the charge
 * of an unknown size is ohms. */
static void list_known(const jv_draft *d, jv_known known, jv_text *out) {
    for (size_t i = 0; i < d->n_asked; i++) {
        const jv_asked *q = &d->asked[i];
        if (q->shown.known != known)
            continue;
        jv_text_addf(out, "%s%s", out->length ? "; " : "", jv_ask_about[q->ask]);
        for (size_t k = 0; k < q->n_targets; k++)
            jv_text_addf(out, "%s%s", k ? ", " : " of ", jv_ask_object(d, q, q->targets[k])->key);
    }
}

static void add_known(const jv_draft *d, jv_known known, const char *before, jv_text *out) {
    jv_text list = {0};
    list_known(d, known, &list);
    if (list.length)
        jv_text_addf(out, "%s %s.\n", before, jv_text_str(&list));
    out->failed |= list.failed;
    jv_text_clear(&list);
}

static void apply_head(const jv_draft *d, jv_changes_list *out) {
    jv_text text = {0}, wrapped = {0};
    jv_text_addf(&text, "Written by jackvolt new from the layout %s.\n", d->layout->name);
    add_known(d, JV_KNOWN_GIVEN, "Given:", &text);
    add_known(d, JV_KNOWN_NOT,
              "Not known, and so a spread (judgement), assumed, or as in the layout:", &text);
    add_known(d, JV_KNOWN_LAYOUT, "Said to be as in the layout:", &text);
    if (d->n_sets)
        jv_text_addf(&text, "Changed besides: %zu keys.\n", d->n_sets);
    jv_text_add(&text, is_anything_said(d)
                           ? "All else is the layout's; joints are taken for sound ones."
                           : "All else is the layout's.");
    for (const char *line = jv_text_str(&text); *line;) {
        jv_text one = {0};
        size_t n = strcspn(line, "\n");
        jv_text_add_n(&one, line, n);
        jv_wrap(&wrapped, jv_text_str(&one), 0, COMMENT_COLUMNS);
        wrapped.failed |= one.failed;
        jv_text_clear(&one);
        line += n + (line[n] == '\n');
    }
    jv_tree_put(out, d->doc.root, "comment", JV_PUT_LINES, jv_text_str(&wrapped), NULL);
    out->failed |= text.failed || wrapped.failed;
    jv_text_clear(&text);
    jv_text_clear(&wrapped);
}

void jv_draft_apply(const jv_draft *d, jv_changes_list *out) {
    bool said = is_anything_said(d);
    apply_head(d, out);
    for (size_t i = 0; i < d->n_asked; i++) {
        const jv_asked *q = &d->asked[i];
        if (q->ask == JV_ASK_STOP)
            apply_watch(out, d, q);
        else if (q->ask == JV_ASK_NAME || q->ask == JV_ASK_AMBIENT)
            put_answer(d, out, q, 0, NULL);
    }
    for (uint32_t i = 0; i < d->n_parts; i++) {
        const jv_json_value *p = d->parts[i];
        const jv_asked *fuse = jv_asked_of(d, JV_ASK_FUSE, i);
        if (jv_draft_is(p, "battery"))
            apply_battery(d, out, i);
        else if (jv_draft_is(p, "cable"))
            apply_cable(d, out, i);
        else if (jv_draft_is(p, "contact") && said)
            apply_joint(out, p);
        else if (jv_draft_is(p, "jack") || jv_draft_is(p, "pump"))
            apply_motor(d, out, i);
        if (fuse) {
            jv_notes notes = {0};
            put_answer(d, out, fuse, i, &notes);
            put_notes(out, p, &notes);
        }
    }
    if (said)
        apply_cases(d, out);
}
