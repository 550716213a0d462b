/* diag.h - faults of an input, collected. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_DIAG_H
#define JACKVOLT_DIAG_H

#include "jackvolt/memory.h"
#include "jackvolt/status.h"
#include "jackvolt/text.h"

#include <stdbool.h>
#include <stddef.h>

/* All faults are collected and reported together. Codes come from one list
 * (jackvolt/codes.def), which expands to the enum here, to the titles and to
 * docs/errors.md. E1xx syntax and bytes, E2xx quantities, E3xx circuit, E4xx
 * command line, E5xx files and system, E6xx harness files, W7xx warnings. */
typedef enum jv_code {
#define JV_CODE(name, number, title, advice) JV_CODE_##name = number,
#include "jackvolt/codes.def"
#undef JV_CODE
    JV_CODE_END_
} jv_code;

typedef enum jv_severity { JV_NOTE, JV_WARNING, JV_ERROR } jv_severity;

/* Where in an input. file and pointer may be NULL; line and column count from 1,
 * 0 = not known; a column counts characters (code points), not bytes. pointer is a
 * JSON pointer (RFC 6901) or an XML path. */
typedef struct jv_place {
    const char *file;
    const char *pointer;
    size_t line;
    size_t column;
} jv_place;

typedef struct jv_diag {
    jv_code code;
    jv_severity severity;
    jv_place place;
    const char *message;     /* what was read and why it cannot stand, with units */
    const char *hint;        /* what would be right; NULL = none */
    const char *source_line; /* the line of the input, for syntax faults; NULL = none */
} jv_diag;

/* A zeroed struct is a valid empty list. At most JV_DIAG_LIMIT entries are kept;
 * further ones are only counted, but an error takes the place of the last kept
 * entry that is none, so that warnings never crowd out an error. */
#define JV_DIAG_LIMIT 50
typedef struct jv_diags {
    jv_arena arena;
    jv_diag *items;
    size_t count;    /* kept */
    size_t errors;   /* all errors, kept or not */
    size_t warnings; /* all warnings, kept or not */
    size_t newest;   /* index + 1 of the entry added last; 0 when it was only counted */
    bool out_of_memory;
} jv_diags;

/* Add one. Texts are copied, control characters in them (an input may hold any) become '?';
 * place and hint may be NULL. It is counted even when memory is short (out_of_memory is set).
 * message is printf-like. The hint is plain text (build it with jv_text when it needs numbers). */
void jv_diag_add(jv_diags *d, jv_severity severity, jv_code code, const jv_place *place,
                 const char *hint, const char *message, ...) __attribute__((format(printf, 6, 7)));
/* Attach the text of the offending line to the newest entry (copied, cut at JV_DIAG_LINE bytes,
 * bad bytes shown as '?'). Call it before jv_diags_sort. */
#define JV_DIAG_LINE 160
void jv_diag_source_line(jv_diags *d, const char *line, size_t length);
/* Order by file, line, column (stable). */
void jv_diags_sort(jv_diags *d);
/* One entry in our form: `file:line:col: error E203: message` then pointer, source
 * line with caret, hint, each on its own line. */
void jv_diag_print(const jv_diag *diag, jv_text *out);
void jv_diags_print(const jv_diags *d, jv_text *out); /* all, and "and N more" */
void jv_diags_clear(jv_diags *d);

const char *jv_code_title(jv_code code);  /* never NULL */
const char *jv_code_advice(jv_code code); /* never NULL */

#endif
