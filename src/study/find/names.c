/* names.c - short names of suspects and checks. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include "jackvolt/tables.h"

#include <string.h>

static const char *keep(jv_finder *f, jv_text *t) {
    const char *copy = t->failed ? NULL : jv_arena_copy(&f->arena, jv_text_str(t), t->length);
    jv_text_clear(t);
    return copy;
}

/* What a place of a failure's words becomes when the size is not known yet: "<R> added" is
 * "added resistance", "weak <P>" is "weak". */
static void add_way(jv_text *t, const jv_circuit *c, const jv_fault *fault) {
    static const char *const dropped[] = {" to <P>", " at <P> from <E>", " <P>", " <R>", " <I>"};
    const char *s = c->parts[fault->part].kind->failures[fault->failure].words;
    static const char added[] = "<R> added";
    if (strncmp(s, added, strlen(added)) == 0) {
        jv_text_add(t, "added resistance");
        s += strlen(added);
    }
    while (*s) {
        size_t k = 0, n = sizeof dropped / sizeof dropped[0];
        while (k < n && strncmp(s, dropped[k], strlen(dropped[k])) != 0)
            k++;
        if (k < n) {
            s += strlen(dropped[k]);
        } else if (strncmp(s, "<N>", strlen("<N>")) == 0) {
            jv_text_add(t, fault->pin ? fault->pin : "?");
            s += strlen("<N>");
        } else if (strncmp(s, "<T>", strlen("<T>")) == 0) {
            jv_text_add(t, fault->to >= 0 ? c->terminals[fault->to] : "?");
            s += strlen("<T>");
        } else if (strncmp(s, "<W>", strlen("<W>")) == 0) {
            jv_text_add(t, jv_metal_name((jv_metal)fault->value));
            s += strlen("<W>");
        } else {
            jv_text_add_char(t, *s++);
        }
    }
}

const char *jv_find_suspect_words(jv_finder *f, const jv_fault *fault, size_t n) {
    jv_text t = {0};
    for (size_t k = 0; k < n; k++) {
        jv_text_addf(&t, "%s%s: ", k ? " and " : "", f->c->parts[fault[k].part].name);
        add_way(&t, f->c, &fault[k]);
    }
    return keep(f, &t);
}

static void add_when(jv_text *t, const jv_finder *f, const jv_check *v) {
    if (v->setup == JV_SETUP_RUN)
        jv_text_addf(t, ", case \"%s\" running", f->c->cases[v->loading].name);
    else
        jv_text_add(t, v->setup == JV_SETUP_REST ? ", at rest" : ", isolated and proved dead");
    for (size_t k = 0; k < v->n_off; k++)
        jv_text_addf(t, "%s%s", k ? ", " : " with off or unplugged: ", f->c->parts[v->off[k]].name);
}

const char *jv_find_check_text(jv_finder *f, const jv_find_check *c) {
    static const char *const what[] = {"volts", "amps", "ohms", "look"};
    const jv_check *v = &c->view;
    jv_text t = {0};
    jv_text_add(&t, what[v->kind]);
    if (v->kind == JV_CHECK_LOOK)
        jv_text_addf(&t, " at %s and move it", f->c->parts[v->part].name);
    else if (v->kind == JV_CHECK_AMPS)
        jv_text_addf(&t, " through %s", f->c->parts[v->part].name);
    else
        jv_text_addf(&t, " from \"%s\" to \"%s\"", f->c->terminals[v->plus],
                     f->c->terminals[v->minus]);
    if (v->kind == JV_CHECK_VOLTS && v->part != JV_FIND_NONE)
        jv_text_addf(&t, " (%s)", f->c->parts[v->part].name);
    if (v->kind != JV_CHECK_LOOK)
        add_when(&t, f, v);
    return keep(f, &t);
}
