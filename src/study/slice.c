/* slice.c - joining the slices of a scatter study. SPDX-License-Identifier: MIT */
#include "jackvolt/scatter.h"
#include "read/file.h"
#include "read/json.h"
#include "study/scatter.h"

#include <math.h>
#include <string.h>

/* A slice of a circuit of thousands of quantities stays below this, bytes. */
static const size_t largest = (size_t)256 << 20;

/* One file on its way in. All getters mark it bad instead of failing one by one. */
typedef struct jv_slice {
    const char *path;
    char *data;
    size_t size;
    jv_json_doc doc;
    bool bad; /* a key is missing or of another kind */
    bool short_of_memory;
    uint64_t study, seed, asked;
    unsigned slice, of;
    bool interrupted;
} jv_slice;

static const jv_json_value *get(jv_slice *s, const jv_json_value *o, const char *key,
                                jv_json_type type) {
    const jv_json_value *v = o ? jv_json_member(o, key) : NULL;
    if (v && v->type == (uint32_t)type)
        return v;
    s->bad = true;
    return NULL;
}

static bool get_bool(jv_slice *s, const jv_json_value *o, const char *key) {
    const jv_json_value *v = get(s, o, key, JV_JSON_BOOL);
    return v && v->as.boolean;
}

/* A number; null stands for one that is not finite. */
static double number_of(jv_slice *s, const jv_json_value *v) {
    if (v && v->type == JV_JSON_NUMBER)
        return v->as.number;
    if (!v || v->type != JV_JSON_NULL)
        s->bad = true;
    return NAN;
}

static double get_number(jv_slice *s, const jv_json_value *o, const char *key) {
    return number_of(s, o ? jv_json_member(o, key) : NULL);
}

static size_t get_count(jv_slice *s, const jv_json_value *o, const char *key, double most) {
    double n = get_number(s, o, key);
    if (n >= 0.0 && n <= most && n == floor(n))
        return (size_t)n;
    s->bad = true;
    return 0;
}

static const char *get_text(jv_slice *s, const jv_json_value *o, const char *key) {
    const jv_json_value *v = get(s, o, key, JV_JSON_STRING);
    return v ? v->as.string : "";
}

/* A whole number at *at, moved past it. */
static uint64_t take_whole(jv_slice *s, const char **at) {
    uint64_t n = 0;
    if (**at < '0' || **at > '9')
        s->bad = true;
    for (; **at >= '0' && **at <= '9'; (*at)++) {
        uint64_t digit = (uint64_t)(**at - '0');
        if (n > (UINT64_MAX - digit) / 10)
            s->bad = true;
        n = n * 10 + digit;
    }
    return n;
}

static int64_t take_signed(jv_slice *s, const char **at) {
    bool minus = **at == '-';
    *at += minus;
    uint64_t n = take_whole(s, at);
    if (n > (uint64_t)INT64_MAX)
        s->bad = true;
    return minus ? -(int64_t)(n & (uint64_t)INT64_MAX) : (int64_t)(n & (uint64_t)INT64_MAX);
}

static uint64_t get_whole(jv_slice *s, const jv_json_value *o, const char *key) {
    const char *at = get_text(s, o, key);
    uint64_t n = take_whole(s, &at);
    if (*at)
        s->bad = true;
    return n;
}

static void get_counts(jv_slice *s, const jv_json_value *o, const char *key, uint64_t *counts,
                       size_t n) {
    const char *at = get_text(s, o, key);
    while (*at && !s->bad) {
        uint64_t index = take_whole(s, &at);
        if (*at++ != ':' || index >= n) {
            s->bad = true;
            return;
        }
        counts[index] = take_whole(s, &at);
        if (*at == ' ')
            at++;
    }
}

/* --- the answer from a slice --- */

static const char *keep(jv_slice *s, jv_arena *arena, const char *text) {
    const char *copy = jv_arena_copy(arena, text, strlen(text));
    if (!copy)
        s->short_of_memory = true;
    return copy;
}

static void *room(jv_slice *s, jv_arena *arena, size_t n, size_t size) {
    void *p = jv_arena_alloc(arena, n + 1, size);
    if (!p)
        s->short_of_memory = s->bad = true;
    return p;
}

static void read_quantities(jv_slice *s, jv_scatter_owner *o) {
    const jv_json_value *list = get(s, s->doc.root, "quantities", JV_JSON_ARRAY);
    if (!list)
        return;
    o->quantities = room(s, &o->arena, list->length, sizeof *o->quantities);
    size_t n = 0;
    for (const jv_json_value *v = list->as.first; v && o->quantities; v = v->next) {
        jv_scatter_quantity *q = &o->quantities[n++];
        q->name = keep(s, &o->arena, get_text(s, v, "name"));
        q->dim = (jv_dim)get_count(s, v, "dim", JV_DIM_COUNT_ - 1);
        q->value.spread = (jv_spread)get_count(s, v, "spread", JV_LOG_NORMAL);
        q->value.nominal = get_number(s, v, "nominal");
        q->value.low = get_number(s, v, "low");
        q->value.high = get_number(s, v, "high");
        q->parts = get_count(s, v, "parts", UINT32_MAX);
    }
    o->result.quantities = o->quantities;
    o->result.n_quantities = n;
}

static const double *read_numbers(jv_slice *s, jv_scatter_owner *o, const jv_json_value *parent,
                                  const char *key) {
    const jv_json_value *list = jv_json_member(parent, key);
    size_t n = o->result.n_quantities;
    double *x = room(s, &o->arena, n, sizeof *x);
    if (!list || !x)
        return x;
    if (list->type != JV_JSON_ARRAY || list->length != n) {
        s->bad = true;
        return x;
    }
    size_t k = 0;
    for (const jv_json_value *v = list->as.first; v; v = v->next)
        x[k++] = number_of(s, v);
    return x;
}

static void read_worst(jv_slice *s, jv_scatter_owner *o, const jv_json_value *watch,
                       jv_scatter_worst *w) {
    const jv_json_value *v = get(s, watch, "worst", JV_JSON_OBJECT);
    if (!v)
        return;
    w->found = get_bool(s, v, "found");
    w->seen_v = get_number(s, v, "seen_V");
    w->margin_v = get_number(s, v, "margin_V");
    w->proved = get_bool(s, v, "proved");
    w->tried = get_count(s, v, "tried", UINT32_MAX);
    w->rounds = get_count(s, v, "rounds", UINT32_MAX);
    w->at = read_numbers(s, o, v, "at");
    w->per = read_numbers(s, o, v, "per");
}

/* The head of a watch; its tally comes later. */
static void read_watches(jv_slice *s, jv_scatter_owner *o, size_t *counted) {
    const jv_json_value *list = get(s, s->doc.root, "watches", JV_JSON_ARRAY);
    if (!list)
        return;
    o->watches = room(s, &o->arena, list->length, sizeof *o->watches);
    size_t n = 0;
    for (const jv_json_value *v = list->as.first; v && o->watches; v = v->next) {
        jv_scatter_watch *w = &o->watches[n++];
        w->name = keep(s, &o->arena, get_text(s, v, "name"));
        w->counts = get_bool(s, v, "counts");
        w->limit_v = get_number(s, v, "limit_V");
        w->assumed = get_bool(s, v, "assumed");
        if (jv_json_member(v, "basis"))
            w->basis = keep(s, &o->arena, get_text(s, v, "basis"));
        if (!w->counts)
            continue;
        (*counted)++;
        w->nominal_v = get_number(s, v, "nominal_V");
        read_worst(s, o, v, &w->worst);
    }
    o->result.watches = o->watches;
    o->result.n_watches = n;
}

static void read_head(jv_slice *s, jv_scatter_owner *o) {
    const jv_json_value *root = s->doc.root;
    jv_scatter *r = &o->result;
    size_t counted = 0;
    r->circuit = keep(s, &o->arena, get_text(s, root, "circuit"));
    r->case_name = keep(s, &o->arena, get_text(s, root, "case"));
    r->running = get_bool(s, root, "running");
    r->seed = s->seed;
    r->asked = s->asked;
    r->slice = r->of = 1;
    o->study = s->study;
    read_quantities(s, o);
    read_watches(s, o, &counted);
    if (!s->bad && jv_tally_make(r->n_quantities, counted, &o->tally) != JV_OK)
        s->short_of_memory = true;
}

static void read_watch_tally(jv_slice *s, const jv_json_value *watch, jv_tally_watch *t,
                             size_t cells) {
    const jv_json_value *v = get(s, watch, "tally", JV_JSON_OBJECT);
    if (!v)
        return;
    t->trips = get_whole(s, v, "trips");
    t->square_low = get_whole(s, v, "square_low");
    t->square_high = get_whole(s, v, "square_high");
    const char *at = get_text(s, v, "sum");
    t->sum = take_signed(s, &at);
    get_counts(s, v, "bins", t->bins, JV_SCATTER_BINS);
    at = get_text(s, v, "cells");
    for (size_t k = 0; k < cells && !s->bad; k++) {
        t->cell_sum[k] = take_signed(s, &at);
        at += *at == ' ';
    }
    if (*at)
        s->bad = true;
}

/* Adds the tally of a slice to the answer. */
static void add_tally(jv_slice *s, jv_scatter_owner *o) {
    const jv_json_value *root = s->doc.root;
    jv_tally t;
    size_t cells = o->tally.n_quantities * JV_TALLY_CELLS, next = 0;
    if (jv_tally_make(o->tally.n_quantities, o->tally.n_watches, &t) != JV_OK) {
        s->short_of_memory = true;
        return;
    }
    t.draws = get_whole(s, root, "draws");
    t.unsolved = get_whole(s, root, "unsolved");
    t.scalar = get_whole(s, root, "scalar");
    get_counts(s, root, "cells", t.cell_count, cells);
    const jv_json_value *list = get(s, root, "watches", JV_JSON_ARRAY);
    for (const jv_json_value *v = list ? list->as.first : NULL; v && !s->bad; v = v->next) {
        if (!get_bool(s, v, "counts"))
            continue;
        if (next < t.n_watches)
            read_watch_tally(s, v, &t.watches[next], cells);
        next++;
    }
    if (next != t.n_watches)
        s->bad = true;
    if (!s->bad)
        jv_tally_join(&o->tally, &t);
    jv_tally_clear(&t);
}

/* --- files --- */

static void tell(jv_diags *d, const char *path, jv_code code, const char *hint,
                 const char *message) {
    const jv_place place = {.file = path};
    jv_diag_add(d, JV_ERROR, code, &place, hint, "%s", message);
}

static jv_status open_slice(const char *path, jv_diags *d, jv_slice *s) {
    enum { DEPTH = 8, MOST_SLICES = 1000000 };
    const jv_json_options how = {DEPTH, largest};
    s->path = path;
    jv_status status = jv_file_read(path, largest, d, &s->data, &s->size);
    if (status == JV_OK)
        status = jv_json_read(s->data, s->size, path, &how, d, &s->doc);
    if (status != JV_OK)
        return status;
    const jv_json_value *root = s->doc.root;
    if (get_count(s, root, "jackvolt_scatter_slice", 1.0) != 1)
        s->bad = true;
    s->study = get_whole(s, root, "study");
    s->seed = get_whole(s, root, "seed");
    s->asked = get_whole(s, root, "asked");
    s->slice = (unsigned)get_count(s, root, "slice", MOST_SLICES);
    s->of = (unsigned)get_count(s, root, "of", MOST_SLICES);
    s->interrupted = get_bool(s, root, "interrupted");
    if (s->bad || !s->slice || s->slice > s->of) {
        tell(d, path, JV_CODE_SLICE_FORM, "Give files that jackvolt scatter --slice has written.",
             "this is no slice of a scatter study");
        return JV_ERR_INPUT;
    }
    return JV_OK;
}

static bool clashes(jv_diags *d, const jv_slice *first, const jv_slice *s) {
    const char *what = NULL;
    if (s->study != first->study)
        what = "another circuit, case, change or fault than the first file";
    else if (s->seed != first->seed)
        what = "another seed than the first file";
    else if (s->asked != first->asked)
        what = "another number of draws than the first file";
    else if (s->of != first->of)
        what = "a study that was cut into another number of slices";
    else if (s->interrupted)
        what = "a slice that was stopped early; run it again";
    if (!what)
        return false;
    jv_text t = {0};
    jv_text_addf(&t, "this is of %s", what);
    tell(d, s->path, JV_CODE_SLICE_CLASH, NULL, jv_text_str(&t));
    jv_text_clear(&t);
    return true;
}

/* Each slice once, none missing. JV_ERR_INPUT, JV_ERR_MEMORY. */
static jv_status check_together(jv_slice *slices, size_t n, jv_diags *d) {
    unsigned of = slices[0].of;
    uint8_t *given = jv_zalloc((size_t)of + 1, sizeof *given);
    if (!given)
        return JV_ERR_MEMORY;
    bool good = true;
    for (size_t k = 0; k < n; k++) {
        jv_slice *s = &slices[k];
        if (clashes(d, &slices[0], s)) {
            good = false;
            continue;
        }
        if (given[s->slice]++) {
            jv_text t = {0};
            jv_text_addf(&t, "slice %u of %u is given twice", s->slice, of);
            tell(d, s->path, JV_CODE_SLICE_CLASH, NULL, jv_text_str(&t));
            jv_text_clear(&t);
            good = false;
        }
    }
    for (unsigned k = 1; k <= of && good; k++)
        if (!given[k]) {
            jv_text t = {0};
            jv_text_addf(&t, "slice %u of %u is missing", k, of);
            tell(d, slices[0].path, JV_CODE_SLICE_CLASH, NULL, jv_text_str(&t));
            jv_text_clear(&t);
            good = false;
            break;
        }
    jv_free(given);
    return good ? JV_OK : JV_ERR_INPUT;
}

static jv_status join(jv_slice *slices, size_t n, jv_diags *d, jv_scatter_owner *o) {
    read_head(&slices[0], o);
    for (size_t k = 0; k < n; k++) {
        if (!slices[k].bad && !slices[0].bad && !slices[0].short_of_memory)
            add_tally(&slices[k], o);
        if (slices[k].short_of_memory)
            return JV_ERR_MEMORY;
        if (slices[k].bad)
            tell(d, slices[k].path, JV_CODE_SLICE_FORM, "Run this slice again.",
                 "this slice is damaged");
    }
    return d->errors ? JV_ERR_INPUT : jv_scatter_conclude(o);
}

jv_status jv_scatter_join(const char *const *paths, size_t n, jv_diags *d, jv_scatter **out) {
    jv_slice *slices = jv_zalloc(n, sizeof *slices);
    jv_scatter_owner *owner = jv_zalloc(1, sizeof *owner);
    jv_status status = slices && owner ? JV_OK : JV_ERR_MEMORY;
    for (size_t k = 0; k < n && slices && status != JV_ERR_MEMORY; k++) {
        jv_status opened = open_slice(paths[k], d, &slices[k]);
        if (opened != JV_OK)
            status = opened;
    }
    if (status == JV_OK)
        status = check_together(slices, n, d);
    if (status == JV_OK)
        status = join(slices, n, d, owner);
    for (size_t k = 0; k < n && slices; k++) {
        jv_json_doc_clear(&slices[k].doc);
        jv_free(slices[k].data);
    }
    jv_free(slices);
    jv_scatter *result = owner ? &owner->result : NULL;
    if (status != JV_OK)
        jv_scatter_free(&result);
    else
        *out = result;
    return status;
}
