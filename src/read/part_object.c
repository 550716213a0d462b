/* part_object.c - the parts of a circuit file. SPDX-License-Identifier: MIT */
#include "read/sections.h"
#include "read/value.h"

#include <math.h>
#include <string.h>

const jv_row jv_part_rows[JV_COMMON_KEYS] = {
    [JV_COMMON_IS] = {{"is", JV_KEY_WORD, JV_DIM_NUMBER, JV_NEEDED, 0, 0, NULL, NULL, NULL,
                       "what kind of part it is"},
                      JV_SHAPE_KEY,
                      NULL},
    [JV_COMMON_COMMENT] = {{"comment", JV_KEY_TEXT, JV_DIM_NUMBER, 0, 0, 0, NULL, NULL, NULL,
                            "for people; a text or a list of texts"},
                           JV_SHAPE_COMMENT,
                           NULL},
    [JV_COMMON_WITH] = {{"with", JV_KEY_TEXT, JV_DIM_NUMBER, 0, 0, 0, NULL, NULL, NULL,
                         "tag of a shared spread: parts of one reel, age or temperature vary "
                         "together"},
                        JV_SHAPE_KEY,
                        NULL},
};

jv_slot *jv_part_slot_new(jv_reader *r, unsigned number, jv_source from, const char *text) {
    const char *kept = text != NULL ? jv_reader_keep(r, text) : NULL;
    jv_slot *s = jv_circuit_add_slot(r->circuit, number);
    if (s == NULL) {
        return NULL;
    }
    s->text = kept;
    s->origin = from.doc == r->doc ? JV_GIVEN : JV_SET;
    if (s->origin == JV_GIVEN) {
        jv_reader_mark(r, from.node->offset, false, &s->line, &s->column);
    } else { /* the text of the change has one line, which is none of the file */
        const jv_part *p = &r->circuit->parts[r->circuit->n_parts - 1];
        s->line = p->line;
        s->column = p->column;
    }
    return s;
}

int32_t jv_part_terminal_take(jv_reader *r, const char *name, jv_source from) {
    if (jv_read_text(r, from, name) == NULL ||
        !jv_reader_is_name(r, from, false, from.node->as.string)) {
        r->circuit->incomplete = true;
        return -1;
    }
    return jv_circuit_terminal(r->circuit, from.node->as.string);
}

static void take_quantity(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    jv_value value;
    if (!jv_read_quantity(r, from, key, &value)) {
        return;
    }
    jv_text digits = {0};
    if (from.node->type == JV_JSON_NUMBER) {
        jv_text_add_n(&digits, from.doc->text + from.node->offset, from.node->length);
    }
    bool is_text = from.node->type == JV_JSON_STRING;
    jv_slot *s =
        jv_part_slot_new(r, number, from, is_text ? from.node->as.string : jv_text_str(&digits));
    jv_text_clear(&digits);
    if (s != NULL) {
        s->value = value;
    }
}

static void take_size(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    jv_size size;
    if (jv_read_size(r, from, key, &size)) {
        jv_slot *s = jv_part_slot_new(r, number, from, from.node->as.string);
        if (s != NULL) {
            s->index = (int32_t)size.system;
            s->second = size.gauge;
            s->value = jv_value_exact(size.area_mm2);
        }
    }
}

static void take_word(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    int word = 0;
    if (jv_read_word(r, from, key, &word)) {
        jv_slot *s = jv_part_slot_new(r, number, from, from.node->as.string);
        if (s != NULL) {
            s->index = word;
        }
    }
}

static void take_flag(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    bool flag = false;
    if (jv_read_flag(r, from, key, &flag)) {
        jv_slot *s = jv_part_slot_new(r, number, from, NULL);
        if (s != NULL) {
            s->index = flag ? 1 : 0;
            s->text = flag ? "true" : "false";
        }
    }
}

static void take_terminal(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    int32_t terminal = jv_part_terminal_take(r, key->name, from);
    jv_slot *s = terminal >= 0 ? jv_part_slot_new(r, number, from, NULL) : NULL;
    if (s != NULL) {
        s->index = terminal;
        s->text = r->circuit->terminals[terminal];
    }
}

/* TEXT, and PART, which is resolved when all parts are known. */
static void take_text(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    if (jv_read_text(r, from, key->name) != NULL &&
        jv_reader_is_name(r, from, false, from.node->as.string)) {
        jv_part_slot_new(r, number, from, from.node->as.string);
    }
}

static void take_key(jv_reader *r, unsigned number, const jv_key *key, jv_source from) {
    switch (key->type) {
    case JV_KEY_QUANTITY:
        take_quantity(r, number, key, from);
        break;
    case JV_KEY_WORD:
        take_word(r, number, key, from);
        break;
    case JV_KEY_FLAG:
        take_flag(r, number, key, from);
        break;
    case JV_KEY_SIZE:
        take_size(r, number, key, from);
        break;
    case JV_KEY_TERMINAL:
        take_terminal(r, number, key, from);
        break;
    case JV_KEY_TEXT:
    case JV_KEY_PART:
        take_text(r, number, key, from);
        break;
    case JV_KEY_POINTS:
    case JV_KEY_PINS:
    case JV_KEY_OUTPUTS:
    case JV_KEY_CURVE:
        jv_part_map_take(r, number, key, from);
        break;
    }
}

static bool has_terminals(jv_key_type type) {
    return type == JV_KEY_TERMINAL || type == JV_KEY_PINS || type == JV_KEY_OUTPUTS ||
           type == JV_KEY_POINTS;
}

/* Keys in the order of the kind, so that the order in the file changes nothing. */
static void take_keys(jv_reader *r, const jv_part_kind *kind, jv_source object,
                      const jv_source *found) {
    for (unsigned i = 0; i < kind->n_keys; i++) {
        const jv_key *key = &kind->keys[i];
        if (found[i].node != NULL) {
            take_key(r, i, key, found[i]);
            continue;
        }
        if ((key->flags & JV_NEEDED) != 0 && found[i].doc == NULL) {
            jv_form_missing(r, object, key);
        }
        if (has_terminals(key->type) && ((key->flags & JV_NEEDED) != 0 || found[i].doc != NULL)) {
            r->circuit->incomplete = true;
        }
    }
}

static const jv_part_kind *find_kind(jv_reader *r, jv_source object, jv_source is) {
    if (is.node == NULL) {
        if (is.doc == NULL) {
            jv_form_missing(r, object, &jv_part_rows[JV_COMMON_IS].key);
        }
        return NULL;
    }
    const char *word = jv_read_text(r, is, "is");
    const jv_part_kind *kind = word != NULL ? jv_kind_find(word) : NULL;
    if (word == NULL || kind != NULL) {
        return kind;
    }
    jv_near near = jv_near_begin(word);
    jv_text known = {0};
    jv_text hint = {0};
    for (size_t i = 0; i < jv_kinds_count; i++) {
        jv_near_try(&near, jv_kinds[i]->name);
        jv_text_addf(&known, "%s%s", i > 0 ? ", " : "Kinds of parts: ", jv_kinds[i]->name);
    }
    jv_text_add(&known, ".");
    jv_near_hint(&near, jv_text_str(&known), &hint);
    jv_reader_fault(r, is, false, JV_CODE_WORD_UNKNOWN, jv_text_str(&hint),
                    "there is no kind of part \"%s\"", word);
    jv_text_clear(&known);
    jv_text_clear(&hint);
    return NULL;
}

/* The kind of a part decides which keys it may have: look for "is" before the others. */
static jv_source find_is(jv_source object) {
    const jv_json_value *is = jv_json_member(object.node, "is");
    jv_source none = {NULL, NULL};
    jv_source bad = {object.doc, NULL};
    if (is == NULL) {
        return none;
    }
    return is->type == JV_JSON_BAD ? bad : jv_reader_at(object, is);
}

static void read_part(jv_reader *r, jv_source object) {
    jv_circuit *c = r->circuit;
    const char *name = object.node->key;
    jv_reader_own(r, "part", name);
    if (!jv_form_is_object(r, object, "a part") || !jv_reader_take_name(r, object, "part", name)) {
        c->incomplete = true;
        return;
    }
    const jv_part_kind *kind = find_kind(r, object, find_is(object));
    if (kind == NULL) {
        c->incomplete = true;
        return;
    }
    r->owner_kind = kind->name;
    jv_source found[JV_FORM_MOST];
    jv_names blocks[] = {{kind->keys, sizeof *kind->keys, kind->n_keys},
                         {jv_part_rows, sizeof *jv_part_rows, JV_COMMON_KEYS}};
    jv_form_gather(r, object, blocks, 2, found);
    jv_part *p = jv_circuit_add_part(c, kind, name);
    if (p == NULL) {
        return;
    }
    jv_reader_mark(r, object.node->key_offset, true, &p->line, &p->column);
    const jv_source *common = found + kind->n_keys;
    if (common[JV_COMMON_COMMENT].node != NULL) {
        jv_read_comment(r, common[JV_COMMON_COMMENT], NULL);
    }
    if (common[JV_COMMON_WITH].node != NULL) {
        const char *with = jv_read_text(r, common[JV_COMMON_WITH], "with");
        p->with = with != NULL ? jv_reader_keep(r, with) : NULL;
    }
    take_keys(r, kind, object, found);
    p = &c->parts[c->n_parts - 1];
    p->faulted = r->faulted;
    if (!c->out_of_memory) {
        jv_circuit_close_part(c);
    }
}

/* PART keys name parts that may stand later in the file. */
static void resolve(jv_reader *r) {
    jv_circuit *c = r->circuit;
    for (size_t i = 0; i < c->n_parts; i++) {
        jv_part *p = &c->parts[i];
        for (uint32_t k = 0; k < p->n_slots; k++) {
            jv_slot *s = &c->slots[p->first_slot + k];
            if (p->kind->keys[s->key].type != JV_KEY_PART || s->index >= 0) {
                continue;
            }
            s->index = jv_circuit_find_part(c, s->text);
            if (s->index >= 0) {
                continue;
            }
            p->faulted = true;
            if (c->incomplete) {
                continue; /* it may be one of those that could not be read */
            }
            jv_near near = jv_near_begin(s->text);
            for (size_t n = 0; n < c->n_parts && !jv_reader_full(r); n++) {
                jv_near_try(&near, c->parts[n].name);
            }
            jv_text hint = {0};
            jv_near_hint(&near, "Use the name of a part.", &hint);
            jv_part_fault(r->diags, c, p, s->key, JV_CODE_PART_UNKNOWN, jv_text_str(&hint),
                          "%s \"%s\": there is no part \"%s\"", p->kind->name, p->name, s->text);
            jv_text_clear(&hint);
        }
    }
}

void jv_parts_take(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    if (!jv_read_is(r, from, key->name, JV_JSON_OBJECT, "an object of parts",
                    "Write {\"NAME\": {\"is\": ...}, ...}.")) {
        r->circuit->incomplete = true;
        return;
    }
    for (const jv_json_value *n = from.node->as.first; n != NULL && !r->circuit->out_of_memory;
         n = n->next) {
        if (n->key == NULL || jv_circuit_find_part(r->circuit, n->key) >= 0) {
            r->circuit->incomplete = true; /* a fault of the syntax or a duplicate, reported */
            continue;
        }
        read_part(r, jv_reader_at(from, n));
    }
    jv_reader_own(r, NULL, NULL);
    if (!r->circuit->out_of_memory) {
        resolve(r);
    }
}
