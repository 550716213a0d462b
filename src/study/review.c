/* review.c - asks every rule, waives what the file waives. SPDX-License-Identifier: MIT */
#include "jackvolt/review.h"

#include "circuit/fault.h"
#include "study/review_work.h"

#include <math.h>
#include <string.h>

typedef struct jv_review_owner {
    jv_review result; /* first: the public pointer is the owner's */
    jv_arena arena;
} jv_review_owner;

const char *jv_rule_verdict_word(jv_rule_verdict v) {
    static const char *const words[] = {"fail", "unknown", "waived", "pass"};
    return (size_t)v < sizeof words / sizeof words[0] ? words[v] : "unknown";
}

const char *jv_review_say(jv_review_work *w, const char *format, ...) {
    jv_text t = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&t, format, args);
    va_end(args);
    const char *copy = t.failed ? NULL : jv_arena_copy(w->arena, jv_text_str(&t), t.length);
    jv_text_clear(&t);
    if (!copy)
        w->status = JV_ERR_MEMORY;
    return copy ? copy : "";
}

jv_finding jv_review_about(const jv_review_work *w, uint32_t part) {
    const jv_part *p = &w->c->parts[part];
    return (jv_finding){.part = p->name,
                        .line = p->line,
                        .figure = NAN,
                        .limit = NAN,
                        .unit = "",
                        .confidence = JV_SOLID};
}

static bool room_for_one(jv_review_work *w) {
    enum { FIRST = 64 };
    if (w->n < w->room)
        return true;
    size_t wanted = w->room ? 2 * w->room : FIRST;
    jv_review_row *moved = jv_arena_alloc(w->arena, wanted, sizeof *moved);
    if (!moved) {
        w->status = JV_ERR_MEMORY;
        return false;
    }
    if (w->n)
        memcpy(moved, w->rows, w->n * sizeof *moved);
    w->rows = moved;
    w->room = wanted;
    return true;
}

void jv_review_add(jv_review_work *w, const jv_finding *f, const char *basis, const char *reason) {
    if (!room_for_one(w))
        return;
    jv_rule_verdict verdict = f->holds ? JV_RULE_PASS : JV_RULE_FAIL;
    if (f->confidence == JV_WEAK)
        verdict = JV_RULE_UNKNOWN;
    if (verdict == JV_RULE_FAIL && f->confidence == JV_USABLE)
        reason = jv_review_say(w, "%s (this hangs on a second-hand or derived figure)", reason);
    w->rows[w->n++] = (jv_review_row){
        .rule = w->rule,
        .part = f->part,
        .loading = f->loading ? f->loading->name : NULL,
        .figure = f->figure,
        .limit = f->limit,
        .unit = f->unit,
        .limit_is_least = f->least,
        .verdict = verdict,
        .without_waiver = verdict,
        .confidence = f->confidence,
        .basis = basis,
        .reason = reason,
        .look_in = verdict == JV_RULE_UNKNOWN ? f->look_in : NULL,
        .line = f->line,
    };
}

jv_status jv_review_bench(jv_review_work *w, const jv_case *loading, const jv_fault *more, size_t n,
                          jv_bench **out) {
    if (!w->n_faults)
        return jv_bench_open(w->c, loading, more, n, out);
    jv_fault *all = jv_arena_alloc(w->arena, w->n_faults + n, sizeof *all);
    if (!all)
        return JV_ERR_MEMORY;
    memcpy(all, w->faults, w->n_faults * sizeof *all);
    if (n)
        memcpy(all + w->n_faults, more, n * sizeof *all);
    return jv_bench_open(w->c, loading, all, w->n_faults + n, out);
}

/* ---- the cases ---- */

static jv_status keep_hot(jv_review_work *w, jv_case_view *v) {
    size_t n = v->bench->net->n_elements;
    double *a = jv_arena_alloc(w->arena, n + 1, sizeof *a);
    double *c = jv_arena_alloc(w->arena, n + 1, sizeof *c);
    if (!a || !c)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < n; k++) {
        const jv_element *e = &v->bench->net->elements[k];
        a[k] = v->point.i[k];
        c[k] = e->heat ? e->temperature_c : NAN;
    }
    v->hot_a = a;
    v->hot_c = c;
    v->hot_air_c = v->bench->net->scene.ambient_c;
    return JV_OK;
}

static jv_status view_case(jv_review_work *w, const jv_case *loading, jv_case_view *v) {
    v->loading = loading;
    jv_status status = jv_review_bench(w, loading, NULL, 0, &v->bench);
    if (status != JV_OK)
        return status;
    jv_bench_turn_hot(v->bench);
    jv_bench_load(v->bench);
    status = jv_bench_find(v->bench, &v->point);
    if (status == JV_OK && jv_point_is_answer(&v->point))
        status = keep_hot(w, v);
    if (status != JV_OK)
        return status;
    jv_bench_turn_all(v->bench, 0);
    jv_bench_load(v->bench);
    status = jv_bench_find(v->bench, &v->point);
    v->answer = jv_point_is_answer(&v->point);
    return status;
}

/* ---- waivers ---- */

static const char waiver_joint[] = " at ";

/* "RULE" or "RULE at PART". */
static bool meets(const jv_waiver *waiver, const jv_review_row *row) {
    size_t length = strlen(row->rule->id);
    if (strncmp(waiver->key, row->rule->id, length) != 0)
        return false;
    const char *rest = waiver->key + length;
    if (*rest == '\0')
        return true;
    return strncmp(rest, waiver_joint, strlen(waiver_joint)) == 0 &&
           strcmp(rest + strlen(waiver_joint), row->part) == 0;
}

static jv_status apply_waivers(jv_review_work *w, jv_review *out) {
    const jv_circuit *c = w->c;
    const char **idle = jv_arena_alloc(w->arena, c->n_waivers + 1, sizeof *idle);
    if (!idle)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < c->n_waivers; i++) {
        const jv_waiver *waiver = &c->waivers[i];
        bool used = false;
        for (size_t k = 0; k < w->n; k++) {
            jv_review_row *row = &w->rows[k];
            if (row->without_waiver == JV_RULE_PASS || !meets(waiver, row))
                continue;
            used = true;
            row->verdict = JV_RULE_WAIVED;
            row->waiver_reason = waiver->reason;
            row->waiver_name = waiver->name;
            row->waiver_date = waiver->date;
        }
        if (!used)
            idle[out->n_idle++] = waiver->key;
    }
    out->idle_waivers = idle;
    return JV_OK;
}

/* Worst first, otherwise in the order of the rules: an insertion sort, which is stable. */
static void sort_rows(jv_review_row *rows, size_t n) {
    for (size_t i = 1; i < n; i++) {
        jv_review_row row = rows[i];
        size_t k = i;
        for (; k > 0 && rows[k - 1].verdict > row.verdict; k--)
            rows[k] = rows[k - 1];
        rows[k] = row;
    }
}

static void count_rows(const jv_review_work *w, jv_review *out) {
    for (size_t i = 0; i < w->n; i++) {
        switch (w->rows[i].verdict) {
        case JV_RULE_FAIL:
            out->failed++;
            break;
        case JV_RULE_UNKNOWN:
            out->unknown++;
            break;
        case JV_RULE_WAIVED:
            out->waived++;
            break;
        case JV_RULE_PASS:
            out->passed++;
            break;
        }
    }
}

static jv_status judge_all(jv_review_work *w, jv_review *out) {
    const jv_circuit *c = w->c;
    w->cases = jv_arena_alloc(w->arena, c->n_cases + 1, sizeof *w->cases);
    jv_status status = w->cases ? JV_OK : JV_ERR_MEMORY;
    for (size_t k = 0; k < c->n_cases && status == JV_OK; k++)
        status = view_case(w, &c->cases[k], &w->cases[k]);
    if (status == JV_OK)
        status = jv_guards_find(c, w->arena, &w->guards);
    if (status == JV_OK)
        status = jv_review_devices_begin(w);
    for (size_t i = 0; i < jv_review_rules_count && status == JV_OK; i++) {
        w->rule = &jv_review_rules[i].rule;
        jv_review_rules[i].judge(w);
        status = w->status;
    }
    if (status == JV_OK)
        status = jv_review_devices_draw(w);
    if (status == JV_OK)
        status = apply_waivers(w, out);
    for (size_t k = 0; w->cases && k < c->n_cases; k++)
        jv_bench_free(&w->cases[k].bench);
    return status;
}

jv_status jv_review_run(const jv_circuit *c, jv_review **out) {
    return jv_review_run_with(c, NULL, out);
}

jv_status jv_review_run_with(const jv_circuit *c, const jv_faults *faults, jv_review **out) {
    jv_review_owner *owner = jv_zalloc(1, sizeof *owner);
    if (!owner)
        return JV_ERR_MEMORY;
    jv_review *r = &owner->result;
    jv_review_work w = {.c = c, .arena = &owner->arena};
    w.faults = jv_faults_list(faults, &w.n_faults);
    jv_status status = judge_all(&w, r);
    if (status != JV_OK) {
        jv_review_free(&r);
        return status;
    }
    sort_rows(w.rows, w.n);
    count_rows(&w, r);
    r->circuit = c->name ? c->name : "circuit";
    r->file = c->file;
    r->sha256 = c->sha256;
    r->revision = c->revision;
    r->changes = c->n_changes;
    r->rows = w.rows;
    r->n_rows = w.n;
    r->devices = w.devices;
    r->n_devices = w.n_devices;
    *out = r;
    return JV_OK;
}

void jv_review_free(jv_review **review) {
    if (!review || !*review)
        return;
    jv_review_owner *owner = (jv_review_owner *)*review;
    jv_arena_clear(&owner->arena);
    jv_free(owner);
    *review = NULL;
}
