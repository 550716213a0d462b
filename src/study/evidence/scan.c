/* scan.c - reading a line of evidence from the left. SPDX-License-Identifier: MIT */
#include "study/evidence/scan.h"

#include <string.h>

enum { NEAR = 3, SHOWN = 40 };

void jv_scan_fault(jv_scan *s, const char *hint, const char *message, ...) {
    jv_text t = {0};
    va_list args;
    if (s->failed)
        return;
    s->failed = true;
    va_start(args, message);
    jv_text_vaddf(&t, message, args);
    va_end(args);
    jv_diag_add(s->diags, JV_ERROR, s->code, s->place, hint, "'%s': %s", s->text, jv_text_str(&t));
    s->diags->out_of_memory |= t.failed;
    jv_text_clear(&t);
}

static void skip_blanks(jv_scan *s) {
    while (*s->at == ' ' || *s->at == '\t' || *s->at == '\r')
        s->at++;
}

static bool ends_name(char c) {
    return !c || c == ' ' || c == '\t' || c == '=' || c == ',' || c == '\r';
}

bool jv_scan_end(const jv_scan *s) {
    const char *p = s->at;
    while (*p == ' ' || *p == '\t' || *p == '\r')
        p++;
    return !*p;
}

bool jv_scan_word(jv_scan *s, const char *word) {
    skip_blanks(s);
    size_t n = strlen(word);
    if (strncmp(s->at, word, n) != 0)
        return false;
    bool sign = strcmp(word, "=") == 0 || strcmp(word, ",") == 0;
    if (!sign && !ends_name(s->at[n]))
        return false;
    s->at += n;
    return true;
}

static size_t count(const jv_circuit *c, jv_names names) {
    switch (names) {
    case JV_NAME_TERMINAL:
        return c->n_terminals;
    case JV_NAME_PART:
        return c->n_parts;
    case JV_NAME_CASE:
        return c->n_cases;
    case JV_NAME_WATCH:
        break;
    }
    return c->n_watches;
}

static const char *name_at(const jv_circuit *c, jv_names names, size_t i) {
    switch (names) {
    case JV_NAME_TERMINAL:
        return c->terminals[i];
    case JV_NAME_PART:
        return c->parts[i].name;
    case JV_NAME_CASE:
        return c->cases[i].name;
    case JV_NAME_WATCH:
        break;
    }
    return c->watches[i].name;
}

long jv_scan_try(jv_scan *s, jv_names names) {
    skip_blanks(s);
    bool quoted = *s->at == '"';
    const char *from = s->at + quoted, *close = quoted ? strchr(from, '"') : NULL;
    long best = -1;
    size_t most = 0;
    if (quoted && !close)
        return -1;
    for (size_t i = 0; i < count(s->c, names); i++) {
        const char *name = name_at(s->c, names, i);
        size_t n = strlen(name);
        bool fits =
            strncmp(from, name, n) == 0 && (quoted ? from + n == close : ends_name(from[n]));
        if (fits && n > most) {
            most = n;
            best = (long)i;
        }
    }
    if (best >= 0)
        s->at = from + most + quoted;
    return best;
}

/* The nearest name to what stands there, for the hint. */
static const char *nearest(const jv_scan *s, jv_names names, const char *word) {
    const char *best = NULL;
    size_t least = NEAR + 1;
    for (size_t i = 0; i < count(s->c, names); i++) {
        const char *name = name_at(s->c, names, i);
        size_t d = jv_text_distance(word, name, NEAR);
        if (d < least && d < strlen(name)) {
            least = d;
            best = name;
        }
    }
    return best;
}

long jv_scan_name(jv_scan *s, jv_names names) {
    static const char *const what[] = {"terminal", "part", "case", "watch"};

    long found = jv_scan_try(s, names);
    if (found >= 0 || s->failed)
        return found;
    char word[SHOWN + 1];
    size_t n = 0;
    bool quoted = *s->at == '"';
    const char *p = s->at + quoted;
    while (n < SHOWN && p[n] && (quoted ? p[n] != '"' : !ends_name(p[n]))) {
        word[n] = p[n];
        n++;
    }
    word[n] = '\0';
    jv_text hint = {0};
    const char *near = nearest(s, names, word);
    if (near)
        jv_text_addf(&hint, "did you mean \"%s\"?", near);
    else if (count(s->c, names) > 0)
        jv_text_addf(&hint, "names are those of the file, for example \"%s\"",
                     name_at(s->c, names, 0));
    if (n)
        jv_scan_fault(s, jv_text_str(&hint), "there is no %s \"%s\"", what[names], word);
    else
        jv_scan_fault(s, jv_text_str(&hint), "the name of a %s is missing", what[names]);
    jv_text_clear(&hint);
    return -1;
}
