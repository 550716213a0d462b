/* scan.h - reading a line of evidence from the left. SPDX-License-Identifier: MIT */
#ifndef STUDY_EVIDENCE_SCAN_H
#define STUDY_EVIDENCE_SCAN_H

#include "circuit/circuit.h"
#include "jackvolt/diag.h"

#include <stdbool.h>

/* at moves along text. A fault is told once, at the place where reading stopped. */
typedef struct jv_scan {
    const jv_circuit *c;
    const char *text, *at;
    const jv_place *place;
    jv_diags *diags;
    jv_code code;
    bool failed;
} jv_scan;

typedef enum jv_names { JV_NAME_TERMINAL, JV_NAME_PART, JV_NAME_CASE, JV_NAME_WATCH } jv_names;

void jv_scan_fault(jv_scan *s, const char *hint, const char *message, ...)
    __attribute__((format(printf, 3, 4)));
/* Takes a word when it stands next, whole. */
bool jv_scan_word(jv_scan *s, const char *word);
bool jv_scan_end(const jv_scan *s);
/* The longest name that stands next, in quotes or bare; -1 when none does (nothing told). */
long jv_scan_try(jv_scan *s, jv_names names);
/* The same; told when none does. */
long jv_scan_name(jv_scan *s, jv_names names);

#endif
