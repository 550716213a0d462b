/* refer.c - parts and terminals named by watches and cases. SPDX-License-Identifier: MIT */
#include "read/sections.h"

int32_t jv_refer_part(jv_reader *r, jv_source from, const char *name) {
    const jv_circuit *c = r->circuit;
    int32_t part = jv_circuit_find_part(c, name);
    if (part >= 0) {
        return part;
    }
    r->faulted = true;
    if (c->incomplete) {
        return -1; /* it may be one of those that could not be read */
    }
    jv_near near = jv_near_begin(name);
    for (size_t i = 0; i < c->n_parts && !jv_reader_full(r); i++) {
        jv_near_try(&near, c->parts[i].name);
    }
    jv_text hint = {0};
    jv_near_hint(&near, "Use the name of a part.", &hint);
    jv_reader_fault(r, from, false, JV_CODE_PART_UNKNOWN, jv_text_str(&hint),
                    "there is no part \"%s\"", name);
    jv_text_clear(&hint);
    return -1;
}

int32_t jv_refer_terminal(jv_reader *r, jv_source from, const char *name) {
    const jv_circuit *c = r->circuit;
    int32_t terminal = jv_circuit_find_terminal(c, name);
    if (terminal >= 0) {
        return terminal;
    }
    r->faulted = true;
    if (c->incomplete) {
        return -1;
    }
    jv_near near = jv_near_begin(name);
    for (size_t i = 0; i < c->n_terminals && !jv_reader_full(r); i++) {
        jv_near_try(&near, c->terminals[i]);
    }
    jv_text hint = {0};
    jv_near_hint(&near, "Use a terminal that a part has.", &hint);
    jv_reader_fault(r, from, false, JV_CODE_TERMINAL_UNKNOWN, jv_text_str(&hint),
                    "no part has a terminal \"%s\"", name);
    jv_text_clear(&hint);
    return -1;
}
