/* draft.c - a circuit file in the making. SPDX-License-Identifier: MIT */
#include "render/draft.h"

#include "circuit/part_kind.h"
#include "jackvolt/read.h"
#include "read/resolve.h"

#include <stdio.h>
#include <string.h>

/* --- layouts --- */

static size_t count_jacks(const jv_json_value *root) {
    size_t n = 0;
    const jv_json_value *parts = jv_json_member(root, "parts");
    for (const jv_json_value *m = parts ? parts->as.first : NULL; m; m = m->next)
        n += jv_draft_is(m, "jack");
    return n;
}

static jv_status read_layout(const jv_layout *layout, jv_json_doc *doc) {
    jv_diags diags = {0};
    jv_status status = jv_json_read(layout->text, layout->length, layout->name, NULL, &diags, doc);
    jv_diags_clear(&diags);
    return status;
}

size_t jv_layout_jacks(const jv_layout *layout) {
    jv_json_doc doc = {0};
    size_t n = read_layout(layout, &doc) == JV_OK ? count_jacks(doc.root) : 0;
    jv_json_doc_clear(&doc);
    return n;
}

jv_status jv_layout_title(const jv_layout *layout, jv_text *out) {
    jv_json_doc doc = {0};
    jv_status status = read_layout(layout, &doc);
    const char *title = status == JV_OK ? jv_draft_value(doc.root, "circuit") : NULL;
    if (title)
        jv_text_add(out, title);
    jv_json_doc_clear(&doc);
    return status == JV_OK && out->failed ? JV_ERR_MEMORY : status;
}

/* --- beginning --- */

static void refuse(jv_refusal *r, jv_code code, const char *hint, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* As much of a text as fits; no half character is left at its end. */
static void keep(char *to, size_t room, const char *from) {
    jv_text cut = {0};
    size_t bad = 0, n = from ? strlen(from) : 0;
    jv_text_add_n(&cut, from ? from : "", n < room ? n : room - 1);
    if (!jv_text_is_utf8(jv_text_str(&cut), cut.length, &bad))
        cut.data[cut.length = bad] = '\0';
    memcpy(to, jv_text_str(&cut), cut.length + 1);
    jv_text_clear(&cut);
}

static void refuse(jv_refusal *r, jv_code code, const char *hint, const char *format, ...) {
    jv_text text = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&text, format, args);
    va_end(args);
    r->code = code;
    keep(r->message, sizeof r->message, jv_text_str(&text));
    keep(r->hint, sizeof r->hint, hint);
    jv_text_clear(&text);
}

static bool check_jacks(const jv_layout *layout, size_t jacks, size_t has, jv_refusal *r) {
    if (jacks == 0 || (has && jacks <= JV_DRAFT_MOST_JACKS))
        return true;
    if (!has)
        refuse(r, JV_CODE_OPTION_CONFLICT, "its pump moves all legs together",
               "layout %s has no jacks to count", layout->name);
    else
        refuse(r, JV_CODE_OPTION_CHOICE, "write a whole number from 1 to 8",
               "%zu jacks are too many", jacks);
    return false;
}

/* The layout's text with so many jacks, and its tree. */
static jv_status make_base(jv_draft *d, size_t jacks, jv_refusal *refusal) {
    jv_json_doc first = {0};
    jv_diags diags = {0};
    jv_status status = read_layout(d->layout, &first);
    size_t has = status == JV_OK ? count_jacks(first.root) : 0;
    if (status == JV_OK && !check_jacks(d->layout, jacks, has, refusal))
        status = JV_ERR_INPUT;
    d->n_jacks = jacks ? jacks : has;
    if (status == JV_OK)
        status = jv_tree_recount(first.root, d->n_jacks, &d->base);
    jv_json_doc_clear(&first);
    if (status == JV_OK)
        status = jv_json_read(jv_text_str(&d->base), d->base.length, d->layout->name, NULL, &diags,
                              &d->doc);
    jv_diags_clear(&diags);
    return status;
}

static const jv_json_value **members(jv_draft *d, const char *section, size_t *n) {
    const jv_json_value *object = jv_json_member(d->doc.root, section);
    size_t count = object && object->type == JV_JSON_OBJECT ? object->length : 0;
    const jv_json_value **list = jv_arena_alloc(&d->arena, count + 1, sizeof *list);
    *n = 0;
    for (const jv_json_value *m = count ? object->as.first : NULL; m && list; m = m->next)
        list[(*n)++] = m;
    d->failed |= !list;
    return list;
}

static void find_prefixes(jv_draft *d) {
    d->prefixes = jv_arena_alloc(&d->arena, d->n_parts + 1, sizeof *d->prefixes);
    d->failed |= !d->prefixes;
    for (size_t i = 0; i < d->n_parts && !d->failed; i++) {
        const char *name = d->parts[i]->key;
        if (!jv_draft_is(d->parts[i], "jack"))
            continue;
        d->prefixes[d->n_prefixes] = jv_arena_copy(&d->arena, name, jv_prefix_length(name));
        d->failed |= !d->prefixes[d->n_prefixes];
        d->n_prefixes++;
    }
}

jv_status jv_draft_new(const jv_layout *layout, size_t jacks, jv_units units, jv_refusal *refusal,
                       jv_draft **out) {
    jv_draft *d = jv_zalloc(1, sizeof *d);
    if (!d)
        return JV_ERR_MEMORY;
    d->layout = layout;
    d->units = units;
    jv_status status = make_base(d, jacks, refusal);
    if (status == JV_OK) {
        d->scratch = jv_circuit_new();
        d->asked = jv_arena_alloc(&d->arena, JV_MOST_ASKED, sizeof *d->asked);
        d->sets = jv_arena_alloc(&d->arena, JV_MOST_SETS, sizeof *d->sets);
        d->parts = members(d, "parts", &d->n_parts);
        d->watches = members(d, "watches", &d->n_watches);
        d->failed |= !d->scratch || !d->asked || !d->sets;
        if (!d->failed)
            find_prefixes(d);
        if (!d->failed)
            jv_ask_all(d);
        status = d->failed ? JV_ERR_MEMORY : JV_OK;
    }
    if (status != JV_OK)
        jv_draft_free(&d);
    else
        *out = d;
    return status;
}

void jv_draft_free(jv_draft **draft) {
    jv_draft *d = *draft;
    if (!d)
        return;
    jv_json_doc_clear(&d->doc);
    jv_text_clear(&d->base);
    jv_circuit_free(&d->scratch);
    jv_arena_clear(&d->arena);
    jv_free(d);
    *draft = NULL;
}

/* --- writing --- */

/* Is it a key that holds true or false? */
static bool is_flag(const jv_json_value *object, const char *key) {
    const char *is = jv_draft_value(object, "is");
    const jv_part_kind *kind = is ? jv_kind_find(is) : NULL;
    for (size_t i = 0; kind && i < kind->n_keys; i++)
        if (strcmp(kind->keys[i].name, key) == 0)
            return kind->keys[i].type == JV_KEY_FLAG;
    return false;
}

/* A value that is set is a text, but true and false, lists and objects. */
static void put_set(jv_changes_list *list, const jv_resolved *c) {
    const jv_json_value *v = c->value;
    if (v->type == JV_JSON_STRING && is_flag(c->object, c->key)) {
        jv_json_value *flag = jv_arena_alloc(&list->arena, 1, sizeof *flag);
        list->failed |= !flag;
        if (!flag)
            return;
        flag->type = JV_JSON_BOOL;
        flag->as.boolean = strcmp(v->as.string, "true") == 0;
        v = flag;
    }
    /* The deepest object of a dotted key that is there already takes the rest of it. */
    const jv_json_value *object = c->object;
    const char *key = c->key, *dot;
    while ((dot = strchr(key, '.')) != NULL) {
        jv_text name = {0};
        jv_text_add_n(&name, key, (size_t)(dot - key));
        const jv_json_value *inner = jv_json_member(object, jv_text_str(&name));
        list->failed |= name.failed;
        jv_text_clear(&name);
        if (!inner || inner->type != JV_JSON_OBJECT)
            break;
        object = inner;
        key = dot + 1;
    }
    jv_tree_put(list, object, key, JV_PUT_NODE, NULL, v);
}

jv_status jv_draft_write(const jv_draft *d, jv_text *out) {
    jv_changes_list list = {0};
    jv_diags diags = {0};
    jv_resolution r;
    jv_draft_apply(d, &list);
    jv_status status = jv_resolve(&d->doc, d->scratch, d->sets, d->n_sets, &diags, &r);
    for (size_t i = 0; i < r.n && status == JV_OK; i++)
        if (r.items[i].object)
            put_set(&list, &r.items[i]);
    if (status == JV_OK)
        status = jv_tree_write(d->doc.root, &list, out);
    jv_resolution_clear(&r);
    jv_changes_list_clear(&list);
    jv_diags_clear(&diags);
    return status;
}

/* The file as it is now, read with changes for one run. */
static jv_status try_read(const jv_draft *d, const char *const *sets, size_t n, jv_diags *diags) {
    jv_text made = {0};
    jv_circuit *c = NULL;
    jv_read_options how = {sets, n};
    jv_status status = jv_draft_write(d, &made);
    if (status == JV_OK)
        status = jv_circuit_read_text(jv_text_str(&made), made.length, NULL, &how, diags, &c);
    jv_circuit_free(&c);
    jv_text_clear(&made);
    return status;
}

/* --- answers --- */

size_t jv_draft_questions(const jv_draft *d) {
    return d->n_asked;
}

const jv_question *jv_draft_question(const jv_draft *d, size_t i) {
    return i < d->n_asked ? &d->asked[i].shown : NULL;
}

void jv_draft_reopen(jv_draft *d, size_t i) {
    if (i < d->n_asked) {
        d->asked[i].shown.known = JV_KNOWN_OPEN;
        d->asked[i].shown.answer = NULL;
    }
}

void jv_draft_close(jv_draft *d, jv_known known) {
    for (size_t i = 0; i < d->n_asked; i++)
        if (d->asked[i].shown.known == JV_KNOWN_OPEN)
            d->asked[i].shown.known = known;
}

static void refuse_first(const jv_diags *diags, jv_refusal *r) {
    for (size_t i = 0; i < diags->count; i++)
        if (diags->items[i].severity == JV_ERROR) {
            refuse(r, diags->items[i].code, diags->items[i].hint, "%s", diags->items[i].message);
            return;
        }
    refuse(r, JV_CODE_QUANTITY_FORM, NULL, "it cannot be read");
}

jv_status jv_draft_answer(jv_draft *d, size_t i, const char *text, jv_refusal *refusal) {
    jv_question *q = i < d->n_asked ? &d->asked[i].shown : NULL;
    if (!q)
        return JV_ERR_RANGE;
    jv_question before = *q;
    jv_diags diags = {0};
    q->answer = NULL;
    q->known = !*text || strcmp(text, "unknown") == 0 ? JV_KNOWN_NOT : JV_KNOWN_GIVEN;
    if (strcmp(text, "same") == 0) {
        if (!q->layout) {
            refuse(refusal, JV_CODE_OPTION_CHOICE, "give a value, or unknown",
                   "the layout says nothing here");
            *q = before;
            return JV_ERR_INPUT;
        }
        q->known = JV_KNOWN_LAYOUT;
    }
    if (q->known == JV_KNOWN_GIVEN)
        q->answer = jv_arena_copy(&d->arena, text, strlen(text));
    jv_status status = q->known == JV_KNOWN_GIVEN && !q->answer ? JV_ERR_MEMORY : JV_OK;
    if (status == JV_OK)
        status = try_read(d, NULL, 0, &diags);
    if (status == JV_ERR_INPUT) {
        refuse_first(&diags, refusal);
        if (d->asked[i].ask == JV_ASK_CHARGE && refusal->code >= JV_CODE_QUANTITY_BARE &&
            refusal->code <= JV_CODE_QUANTITY_FORM)
            keep(refusal->hint, sizeof refusal->hint,
                 "write percent or rested volts: 80 %, 12.5 V");
    }
    if (status != JV_OK)
        *q = before;
    jv_diags_clear(&diags);
    return status;
}

jv_status jv_draft_option(jv_draft *d, const char *option, const char *text, jv_refusal *refusal) {
    bool found = false;
    for (size_t i = 0; i < d->n_asked; i++) {
        const jv_question *q = &d->asked[i].shown;
        if (!q->option || strcmp(q->option, option) != 0)
            continue;
        found = true;
        if (q->known != JV_KNOWN_OPEN)
            continue;
        jv_status status = jv_draft_answer(d, i, text, refusal);
        if (status != JV_OK)
            return status;
    }
    if (!found)
        refuse(refusal, JV_CODE_OPTION_CONFLICT, "leave it out, or choose another layout",
               "layout %s has nothing that it tells of", d->layout->name);
    return found ? JV_OK : JV_ERR_UNKNOWN;
}

/* Has a question of its own, split from those that were alike, been answered? */
static bool answer_part(jv_draft *d, const jv_resolved *c, const char *text) {
    for (size_t i = 0; i < d->n_asked; i++) {
        jv_asked *q = &d->asked[i];
        size_t n = q->n_targets ? q->n_targets : 1;
        for (size_t k = 0; k < n; k++) {
            uint32_t target = q->n_targets ? q->targets[k] : 0;
            bool keyed = strcmp(c->key, jv_ask_key(d, q, target)) == 0 ||
                         (q->ask == JV_ASK_CHARGE && strcmp(c->key, "rested") == 0);
            if (!keyed || jv_ask_object(d, q, target) != c->object)
                continue;
            if (q->n_targets > 1) {
                if (d->n_asked == JV_MOST_ASKED)
                    return false;
                jv_asked *own = &d->asked[d->n_asked++];
                *own = *q;
                own->targets = jv_arena_alloc(&d->arena, 1, sizeof *own->targets);
                d->failed |= !own->targets;
                if (d->failed)
                    return false;
                own->targets[0] = target;
                own->n_targets = 1;
                memmove(&q->targets[k], &q->targets[k + 1],
                        (q->n_targets - k - 1) * sizeof q->targets[0]);
                q->n_targets--;
                jv_ask_text(d, q);
                jv_ask_text(d, own);
                q = own;
            }
            q->shown.known = JV_KNOWN_GIVEN;
            q->shown.answer = jv_arena_copy(&d->arena, text, strlen(text));
            d->failed |= !q->shown.answer;
            return true;
        }
    }
    return false;
}

/* Rested volts stand for the charge, so they are not tried beside the layout's own charge. */
static jv_status set_rested(jv_draft *d, const jv_resolved *c, jv_diags *diags) {
    jv_diags why = {0};
    jv_refusal refusal = {0};
    if (!answer_part(d, c, c->value->as.string))
        return JV_ERR_MEMORY;
    jv_status status = try_read(d, NULL, 0, &why);
    if (status == JV_ERR_INPUT) {
        const jv_place place = {.file = "--set", .line = 1, .column = 1};
        refuse_first(&why, &refusal);
        jv_diag_add(diags, JV_ERROR, refusal.code, &place, refusal.hint[0] ? refusal.hint : NULL,
                    "%s", refusal.message);
    }
    jv_diags_clear(&why);
    return status;
}

jv_status jv_draft_set(jv_draft *d, const char *text, jv_diags *diags) {
    jv_resolution r = {0};
    const char *own = jv_arena_copy(&d->arena, text, strlen(text));
    jv_status status = own ? jv_resolve(&d->doc, d->scratch, &own, 1, diags, &r) : JV_ERR_MEMORY;
    const jv_resolved *c = status == JV_OK && r.items[0].object ? &r.items[0] : NULL;
    bool plain = c && c->value->type == JV_JSON_STRING;
    if (status == JV_OK && !c) {
        status = JV_ERR_INPUT;
    } else if (plain && strcmp(c->key, "rested") == 0 && jv_draft_is(c->object, "battery")) {
        status = set_rested(d, c, diags);
    } else if (c) {
        status = try_read(d, &own, 1, diags);
        if (status == JV_OK && !(plain && answer_part(d, c, c->value->as.string)) &&
            d->n_sets < JV_MOST_SETS)
            d->sets[d->n_sets++] = own;
    }
    jv_resolution_clear(&r);
    return status == JV_OK && d->failed ? JV_ERR_MEMORY : status;
}
