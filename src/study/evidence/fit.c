/* fit.c - the circuit as found, as a circuit file. SPDX-License-Identifier: MIT */
#include "jackvolt/evidence.h"

#include "circuit/kinds.h"
#include "circuit/part_kind.h"
#include "jackvolt/quantity.h"
#include "jackvolt/read.h"
#include "read/json.h"

#include <math.h>
#include <string.h>

/* Two standard deviations are the half-width of a spread in a file. */
static const double half_width_sds = 2.0;
enum { MOST_FITTED = 512, DIGITS = 4 };

/* One place of the text to be changed. */
typedef struct jv_edit {
    size_t from, to; /* bytes replaced; from = to: put in */
    const char *text;
} jv_edit;

typedef struct jv_fitting {
    const jv_circuit *c;
    const jv_json_doc *doc;
    jv_arena arena;
    jv_edit *edits;
    size_t n;
    bool new_keys; /* keys that the file does not have may be put in */
    bool failed;
} jv_fitting;

static const jv_key *key_of(const jv_part *p, const char *name, unsigned *index) {
    for (size_t k = 0; name && k < p->kind->n_keys; k++)
        if (strcmp(p->kind->keys[k].name, name) == 0) {
            *index = (unsigned)k;
            return &p->kind->keys[k];
        }
    return NULL;
}

/* "4.12 mohm * / 1.2" (without the space), "12.6 V +/- 0.1 V", "62 % .. 71 %". False: not to be
 * written. */
static bool print_spread(jv_text *out, const jv_key *key, double value, double sd) {
    double half = half_width_sds * sd;
    double low = value - half, high = value + half;
    bool bounded = key->least < key->most;
    if (!isfinite(value) || !isfinite(sd))
        return false;
    if (bounded) {
        value = fmin(fmax(value, key->least), key->most);
        low = fmax(low, key->least);
        high = fmin(high, key->most);
    }
    jv_dim rise = key->dim == JV_DIM_TEMPERATURE ? JV_DIM_TEMPERATURE_RISE : key->dim;
    if (!(half > 1e-9 * fabs(value)) || !(high > low)) {
        jv_quantity_print(out, value, key->dim, JV_UNITS_SI, DIGITS);
    } else if (key->dim == JV_DIM_RESISTANCE) {
        if (!(value > 0.0))
            return false;
        jv_quantity_print(out, value, key->dim, JV_UNITS_SI, DIGITS);
        jv_text_addf(out, " */ %.4g", fmax(1.0 + half / value, 1.001));
    } else if (key->dim == JV_DIM_RATIO || !(low > 0.0)) {
        if (low < 0.0 && !(key->flags & JV_NEGATIVE_OK))
            low = 0.0;
        if (!(low > 0.0) && !(key->flags & (JV_ZERO_OK | JV_NEGATIVE_OK)))
            return false;
        jv_quantity_print(out, low, key->dim, JV_UNITS_SI, DIGITS);
        jv_text_add(out, " .. ");
        jv_quantity_print(out, high, key->dim, JV_UNITS_SI, DIGITS);
    } else {
        jv_quantity_print(out, value, key->dim, JV_UNITS_SI, DIGITS);
        jv_text_add(out, " +/- ");
        jv_quantity_print(out, half, rise, JV_UNITS_SI, 2);
    }
    return true;
}

static void add_edit(jv_fitting *f, size_t from, size_t to, jv_text *text) {
    const char *kept =
        text->failed ? NULL : jv_arena_copy(&f->arena, jv_text_str(text), text->length);
    jv_text_clear(text);
    if (!kept) {
        f->failed = true;
        return;
    }
    for (size_t k = 0; k < f->n; k++) /* one change a place: the newest holds */
        if (f->edits[k].from == from && f->edits[k].to == to && from != to) {
            f->edits[k].text = kept;
            return;
        }
    if (f->n < MOST_FITTED)
        f->edits[f->n++] = (jv_edit){from, to, kept};
}

/* Behind the string that opens at a byte. */
static size_t behind_string(const jv_json_doc *doc, size_t at) {
    for (at++; at < doc->length && doc->text[at] != '"'; at++)
        if (doc->text[at] == '\\')
            at++;
    return at + 1;
}

static const jv_json_value *object_of(const jv_fitting *f, const jv_part *p) {
    return jv_json_member(jv_json_member(f->doc->root, "parts"), p->name);
}

/* The member "a.b" of an object. */
static const jv_json_value *member(const jv_json_value *object, const char *dotted) {
    char name[64];
    const char *dot = strchr(dotted, '.');
    size_t n = dot ? (size_t)(dot - dotted) : strlen(dotted);
    if (n >= sizeof name)
        return NULL;
    memcpy(name, dotted, n);
    name[n] = '\0';
    const jv_json_value *v = jv_json_member(object, name);
    return v && dot ? member(v, dot + 1) : v;
}

static void put_text(jv_fitting *f, const jv_part *p, const char *key, const char *value) {
    const jv_json_value *object = object_of(f, p), *old = object ? member(object, key) : NULL;
    jv_text t = {0};
    if (!object || object->type != JV_JSON_OBJECT)
        return;
    if (old && old->type == JV_JSON_STRING) {
        jv_text_addf(&t, "\"%s\"", value);
        add_edit(f, old->offset, behind_string(f->doc, old->offset), &t);
    } else if (!old && f->new_keys && !strchr(key, '.')) {
        jv_text_addf(&t, "\"%s\": \"%s\", ", key, value);
        add_edit(f, object->offset + 1, object->offset + 1, &t);
    }
}

static void put_value(jv_fitting *f, size_t part, const char *name, double value, double sd) {
    const jv_part *p = &f->c->parts[part];
    unsigned index = 0;
    const jv_key *key = key_of(p, name, &index);
    jv_text t = {0};
    if (!key || key->type != JV_KEY_QUANTITY)
        return;
    if (key->flags & JV_NO_SPREAD)
        sd = 0.0;
    if (print_spread(&t, key, value, sd))
        put_text(f, p, name, jv_text_str(&t));
    f->failed |= t.failed;
    jv_text_clear(&t);
}

/* --- the fault itself --- */

static void put_added(jv_fitting *f, const jv_fitted *x) {
    const jv_part *p = &f->c->parts[x->part];
    unsigned index = 0;
    const jv_key *key = key_of(p, "resistance", &index);
    const jv_slot *s = key ? jv_part_slot(f->c, p, index) : NULL;
    double before = s ? s->value.nominal : 0.0;
    put_value(f, x->part, "resistance", before + x->value, x->sd);
}

static void put_fault(jv_fitting *f, const jv_fitted *x) {
    const jv_part *p = &f->c->parts[x->part];
    bool joint = p->kind == &jv_kind_contact || p->kind == &jv_kind_switch ||
                 p->kind == &jv_kind_fuse || p->kind == &jv_kind_breaker ||
                 p->kind == &jv_kind_relay;
    if (x->key && strcmp(x->key, "<R> added") == 0 && joint) {
        put_added(f, x);
        return;
    }
    if (x->key && strncmp(x->key, "discharged", strlen("discharged")) == 0) {
        put_value(f, x->part, "charge", x->value, x->sd);
        return;
    }
    /* What no key can hold stands in the part's comment, to be given as --fault. */
    jv_text t = {0};
    const jv_json_value *object = object_of(f, p);
    if (!object || jv_json_member(object, "comment"))
        return;
    jv_text_addf(&t, "As found: %s (see --fault), size about %.3g.", x->key ? x->key : "faulty",
                 x->value);
    bool kept = f->new_keys;
    f->new_keys = true;
    put_text(f, p, "comment", jv_text_str(&t));
    f->new_keys = kept;
    f->failed |= t.failed;
    jv_text_clear(&t);
}

/* --- the text --- */

static void apply(const jv_fitting *f, jv_text *out) {
    size_t at = 0;
    for (;;) {
        const jv_edit *next = NULL;
        for (size_t k = 0; k < f->n; k++)
            if (f->edits[k].from >= at && (!next || f->edits[k].from < next->from))
                next = &f->edits[k];
        if (!next)
            break;
        jv_text_add_n(out, f->doc->text + at, next->from - at);
        jv_text_add(out, next->text);
        at = next->to;
        if (next->from == next->to) { /* more may be put in at the same place */
            for (size_t k = 0; k < f->n; k++)
                if (&f->edits[k] != next && f->edits[k].from == at && f->edits[k].to == at)
                    jv_text_add(out, f->edits[k].text);
            jv_text_add_n(out, f->doc->text + at, 1);
            at++;
        }
    }
    jv_text_add_n(out, f->doc->text + at, f->doc->length - at);
}

static bool reads(const jv_text *made) {
    jv_diags diags = {0};
    jv_circuit *again = NULL;
    jv_status status =
        jv_circuit_read_text(jv_text_str(made), made->length, "fitted", NULL, &diags, &again);
    jv_circuit_free(&again);
    jv_diags_clear(&diags);
    return status == JV_OK;
}

static jv_status make(jv_fitting *f, const jv_fitted *list, size_t n, bool with_fault,
                      jv_text *made) {
    f->n = 0;
    for (size_t k = 0; k < n; k++) {
        if (!list[k].fault)
            put_value(f, list[k].part, list[k].key, list[k].value, list[k].sd);
        else if (with_fault)
            put_fault(f, &list[k]);
    }
    apply(f, made);
    return f->failed || made->failed ? JV_ERR_MEMORY : JV_OK;
}

jv_status jv_fit_write(jv_finder *finder, const jv_circuit *c, const char *text, size_t length,
                       bool with_fault, jv_text *out) {
    jv_json_doc doc = {0};
    jv_diags diags = {0};
    jv_fitting f;
    memset(&f, 0, sizeof f);
    size_t n = MOST_FITTED;
    jv_fitted *list = jv_zalloc(MOST_FITTED, sizeof *list);
    f.edits = jv_zalloc(MOST_FITTED, sizeof *f.edits);
    jv_status status = list && f.edits ? jv_finder_fit(finder, list, &n) : JV_ERR_MEMORY;
    if (status == JV_OK)
        status = jv_json_read(text, length, NULL, NULL, &diags, &doc);
    f.c = c;
    f.doc = &doc;
    n = n < MOST_FITTED ? n : MOST_FITTED;
    /* With keys put in where the file has none; if that makes keys clash, without. */
    bool done = false;
    for (int way = 0; way < 2 && status == JV_OK && !done; way++) {
        jv_text made = {0};
        f.new_keys = way == 0;
        status = make(&f, list, n, with_fault, &made);
        done = status == JV_OK && reads(&made);
        if (done)
            jv_text_add_n(out, jv_text_str(&made), made.length);
        jv_text_clear(&made);
    }
    if (status == JV_OK && !done)
        jv_text_add_n(out, text, length); /* nothing of it can be written */
    jv_json_doc_clear(&doc);
    jv_diags_clear(&diags);
    jv_arena_clear(&f.arena);
    jv_free(list);
    jv_free(f.edits);
    return status == JV_OK && out->failed ? JV_ERR_MEMORY : status;
}
