/* sections.h - the sections of a circuit file. SPDX-License-Identifier: MIT */
#ifndef READ_SECTIONS_H
#define READ_SECTIONS_H

#include "read/form.h"

/* Each takes the value of its key of the file; target is not used. Parts come first. */
void jv_parts_take(jv_reader *r, void *target, const jv_key *key, jv_source from);
void jv_watches_take(jv_reader *r, void *target, const jv_key *key, jv_source from);
void jv_cases_take(jv_reader *r, void *target, const jv_key *key, jv_source from);
void jv_waivers_take(jv_reader *r, void *target, const jv_key *key, jv_source from);
void jv_plans_take(jv_reader *r, void *target, const jv_key *key, jv_source from);

/* What a case, or a step of a sequence, has already said of each part: numbers of cases, from
 * 1. The takes of case_object.c work on it. */
typedef struct jv_said {
    jv_case *loading;
    jv_plan_step *step; /* NULL: a case */
    uint32_t number;
    uint32_t *runs;
    uint32_t *switched;
    jv_source pause, repeats; /* node NULL = not given */
} jv_said;
void jv_case_take_lift(jv_reader *r, void *object, const jv_key *key, jv_source from);
void jv_case_take_lower(jv_reader *r, void *object, const jv_key *key, jv_source from);
void jv_case_take_on(jv_reader *r, void *object, const jv_key *key, jv_source from);
void jv_case_take_off(jv_reader *r, void *object, const jv_key *key, jv_source from);
void jv_case_take_comment(jv_reader *r, void *object, const jv_key *key, jv_source from);

/* part_map.c: keys of a part that are maps or lists; a slot each entry. */
void jv_part_map_take(jv_reader *r, unsigned number, const jv_key *key, jv_source from);
/* A new slot of the part that is read, with its place and text; NULL without memory. */
jv_slot *jv_part_slot_new(jv_reader *r, unsigned number, jv_source from, const char *text);
/* A terminal, made when new; -1 with a fault. */
int32_t jv_part_terminal_take(jv_reader *r, const char *name, jv_source from);

/* A part or terminal by name; -1 with a fault that names the nearest. */
int32_t jv_refer_part(jv_reader *r, jv_source from, const char *name);
int32_t jv_refer_terminal(jv_reader *r, jv_source from, const char *name);

#endif
