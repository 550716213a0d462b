/* diag.c - faults of an input, collected. SPDX-License-Identifier: MIT */
#include "jackvolt/diag.h"

#include <stdarg.h>
#include <string.h>

const char *jv_code_title(jv_code code) {
    switch (code) {
#define JV_CODE(name, number, title, advice) \
    case JV_CODE_##name:                     \
        return title;
#include "jackvolt/codes.def"
#undef JV_CODE
    case JV_CODE_END_:
        break;
    }
    return "unknown fault";
}

const char *jv_code_advice(jv_code code) {
    switch (code) {
#define JV_CODE(name, number, title, advice) \
    case JV_CODE_##name:                     \
        return advice;
#include "jackvolt/codes.def"
#undef JV_CODE
    case JV_CODE_END_:
        break;
    }
    return "";
}

/* What comes from an input may hold bytes that are no UTF-8, that steer a terminal or that break a
 * line: C0 controls, DEL, and the C1 controls U+0080 .. U+009F (C2 80 .. C2 9F). */
static void tame(char *s, size_t length, bool keep_tab) {
    size_t start = 0;
    size_t bad;
    while (!jv_text_is_utf8(s + start, length - start, &bad)) {
        start += bad;
        s[start] = '?';
    }
    for (size_t i = 0; i < length; i++) {
        const unsigned char c = (unsigned char)s[i];
        if ((c < 0x20 && !(keep_tab && c == '\t')) || c == 0x7F) {
            s[i] = '?';
        } else if (c == 0xC2 && (unsigned char)s[i + 1] <= 0x9F) {
            s[i] = '?';
            s[i + 1] = '?';
        }
    }
}

static char *tame_copy(jv_diags *d, const char *text) {
    if (text == NULL) {
        return NULL;
    }
    const size_t length = strlen(text);
    char *copy = jv_arena_copy(&d->arena, text, length);
    if (copy == NULL) {
        d->out_of_memory = true;
        return NULL;
    }
    tame(copy, length, false);
    return copy;
}

/* The slot for a new entry; NULL when it can only be counted. */
static jv_diag *new_slot(jv_diags *d, jv_severity severity) {
    d->newest = 0;
    if (d->items == NULL) {
        d->items = jv_arena_alloc(&d->arena, JV_DIAG_LIMIT, sizeof *d->items);
        if (d->items == NULL) {
            d->out_of_memory = true;
            return NULL;
        }
    }
    if (d->count < JV_DIAG_LIMIT) {
        d->newest = ++d->count;
    } else if (severity == JV_ERROR) {
        size_t i = d->count;
        while (i > 0 && d->items[i - 1].severity == JV_ERROR) {
            i--;
        }
        d->newest = i;
    }
    return d->newest == 0 ? NULL : &d->items[d->newest - 1];
}

void jv_diag_add(jv_diags *d, jv_severity severity, jv_code code, const jv_place *place,
                 const char *hint, const char *message, ...) {
    d->errors += severity == JV_ERROR;
    d->warnings += severity == JV_WARNING;
    jv_diag *slot = new_slot(d, severity);
    if (slot == NULL) {
        return;
    }
    jv_text text = {0};
    va_list args;
    va_start(args, message);
    jv_text_vaddf(&text, message, args);
    va_end(args);
    d->out_of_memory = d->out_of_memory || text.failed;

    *slot = (jv_diag){.code = code, .severity = severity};
    const char *copied = text.failed ? NULL : tame_copy(d, jv_text_str(&text));
    slot->message = copied != NULL ? copied : jv_code_title(code);
    slot->hint = tame_copy(d, hint);
    if (place != NULL) {
        slot->place = *place;
        slot->place.file = tame_copy(d, place->file);
        slot->place.pointer = tame_copy(d, place->pointer);
    }
    jv_text_clear(&text);
}

void jv_diag_source_line(jv_diags *d, const char *line, size_t length) {
    if (d->newest == 0 || d->items[d->newest - 1].source_line != NULL) {
        return;
    }
    size_t n = length < JV_DIAG_LINE ? length : JV_DIAG_LINE;
    /* Never cut inside a character. */
    while (n < length && n > 0 && ((unsigned char)line[n] & 0xC0U) == 0x80U) {
        n--;
    }
    char *copy = jv_arena_copy(&d->arena, line, n);
    if (copy == NULL) {
        d->out_of_memory = true;
        return;
    }
    tame(copy, n, true);
    d->items[d->newest - 1].source_line = copy;
}

static int compare_text(const char *a, const char *b) {
    if (a == NULL || b == NULL) {
        return (a != NULL) - (b != NULL);
    }
    return strcmp(a, b);
}

static int compare(const jv_diag *a, const jv_diag *b) {
    const int files = compare_text(a->place.file, b->place.file);
    if (files != 0) {
        return files;
    }
    if (a->place.line != b->place.line) {
        return a->place.line < b->place.line ? -1 : 1;
    }
    return (a->place.column > b->place.column) - (a->place.column < b->place.column);
}

/* By insertion: stable, and the list is short. */
void jv_diags_sort(jv_diags *d) {
    for (size_t i = 1; i < d->count; i++) {
        const jv_diag entry = d->items[i];
        size_t j = i;
        while (j > 0 && compare(&d->items[j - 1], &entry) > 0) {
            d->items[j] = d->items[j - 1];
            j--;
        }
        d->items[j] = entry;
    }
    d->newest = 0;
}

static void print_place(const jv_place *place, jv_text *out) {
    if (place->file == NULL && place->line == 0) {
        return;
    }
    jv_text_add(out, place->file != NULL ? place->file : "input");
    if (place->line > 0) {
        jv_text_addf(out, ":%zu", place->line);
        if (place->column > 0) {
            jv_text_addf(out, ":%zu", place->column);
        }
    }
    jv_text_add(out, ": ");
}

/* The line and, when the column lies in it or just behind it, a caret below. */
static void print_source_line(const jv_diag *diag, jv_text *out) {
    jv_text_addf(out, "    %s\n", diag->source_line);
    const size_t column = diag->place.column;
    if (column == 0 || column > jv_text_columns(diag->source_line) + 1) {
        return;
    }
    jv_text_add(out, "    ");
    size_t before = column - 1;
    for (const char *p = diag->source_line; before > 0; p++) {
        if (((unsigned char)*p & 0xC0U) != 0x80U) {
            jv_text_add_char(out, *p == '\t' ? '\t' : ' ');
            before--;
        }
    }
    jv_text_add(out, "^\n");
}

void jv_diag_print(const jv_diag *diag, jv_text *out) {
    static const char *const severities[] = {"note", "warning", "error"};
    const int first_warning = 700; /* codes from here on are W7xx, see diag.h */

    print_place(&diag->place, out);
    jv_text_addf(out, "%s %c%d: %s\n", severities[diag->severity],
                 (int)diag->code >= first_warning ? 'W' : 'E', (int)diag->code, diag->message);
    if (diag->place.pointer != NULL && diag->place.pointer[0] != '\0') {
        jv_text_addf(out, "  at %s\n", diag->place.pointer);
    }
    if (diag->source_line != NULL) {
        print_source_line(diag, out);
    }
    if (diag->hint != NULL && diag->hint[0] != '\0') {
        jv_text_addf(out, "  hint: %s\n", diag->hint);
    }
}

void jv_diags_print(const jv_diags *d, jv_text *out) {
    size_t kept = 0; /* notes are not counted among the rest: they only explain */
    for (size_t i = 0; i < d->count; i++) {
        jv_diag_print(&d->items[i], out);
        kept += d->items[i].severity != JV_NOTE;
    }
    const size_t all = d->errors + d->warnings;
    if (all > kept) {
        jv_text_addf(out, "and %zu more\n", all - kept);
    }
    if (d->out_of_memory) {
        jv_text_add(out, "memory ran short while faults were collected\n");
    }
}

void jv_diags_clear(jv_diags *d) {
    jv_arena_clear(&d->arena);
    *d = (jv_diags){0};
}
