/* case_object.c - the cases of a circuit file. SPDX-License-Identifier: MIT */
#include "read/change.h"
#include "read/sections.h"
#include "read/value.h"

#include <math.h>
#include <string.h>

static const char load_form[] =
    "Write \"1700 lbf\" (a jack), \"1500 psi\" (a pump), \"31 A\", \"60 %\", \"free\", \"rated\", "
    "\"stalled\" "
    "or \"travel\".";

/* Loads with a unit, in the order in which they are tried. */
static const struct {
    jv_key key;
    jv_load_kind kind;
} load_units[] = {
    {{"current", JV_KEY_QUANTITY, JV_DIM_CURRENT, 0, 0, 0, NULL, NULL, NULL, "by a clamp"},
     JV_LOAD_AMPS},
    {{"force", JV_KEY_QUANTITY, JV_DIM_FORCE, JV_ZERO_OK, 0, 0, NULL, NULL, NULL, "of a jack"},
     JV_LOAD_FORCE},
    {{"pressure", JV_KEY_QUANTITY, JV_DIM_PRESSURE, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
      "of a pump"},
     JV_LOAD_PRESSURE},
    {{"share", JV_KEY_QUANTITY, JV_DIM_RATIO, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
      "of the rated load"},
     JV_LOAD_SHARE},
};

static bool word_load(const char *text, uint8_t *kind) {
    static const struct {
        const char *word;
        jv_load_kind kind;
    } words[] = {{"free", JV_LOAD_FREE},
                 {"rated", JV_LOAD_RATED},
                 {"stalled", JV_LOAD_STALLED},
                 {"travel", JV_LOAD_TRAVEL}};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (strcmp(text, words[i].word) == 0) {
            *kind = (uint8_t)words[i].kind;
            return true;
        }
    }
    return false;
}

static bool read_load(jv_reader *r, jv_source from, const jv_part *p, jv_run *run) {
    if (from.node->type == JV_JSON_NUMBER) {
        jv_reader_fault(r, from, false, JV_CODE_QUANTITY_BARE, load_form,
                        "the load of \"%s\" is a bare number", p->name);
        return false;
    }
    if (!jv_read_is(r, from, p->name, JV_JSON_STRING, "a load", load_form)) {
        return false;
    }
    if (word_load(from.node->as.string, &run->kind)) {
        return true;
    }
    for (size_t i = 0; i < sizeof load_units / sizeof load_units[0]; i++) {
        jv_quantity_fault why;
        jv_value v;
        jv_status read = jv_quantity_read(from.node->as.string, load_units[i].key.dim, &v, &why);
        bool mine = read == JV_OK || why.code == JV_CODE_QUANTITY_RANGE ||
                    why.code == JV_CODE_QUANTITY_SPREAD;
        if (mine) {
            run->kind = (uint8_t)load_units[i].kind;
            jv_key key = load_units[i].key;
            key.name = p->name;
            return jv_read_quantity(r, from, &key, &run->value);
        }
    }
    jv_reader_fault(r, from, false, JV_CODE_QUANTITY_FORM, load_form,
                    "the load of \"%s\" cannot be \"%s\"", p->name, from.node->as.string);
    return false;
}

/* The motor that is told to run; NULL with a fault. at_key: its name is a key. */
static const jv_part *take_motor(jv_reader *r, jv_said *said, jv_source entry, bool at_key,
                                 const char *name) {
    int32_t index = jv_refer_part(r, entry, name);
    if (index < 0) {
        return NULL;
    }
    const jv_part *p = &r->circuit->parts[index];
    if (!p->kind->is_motor) {
        jv_reader_fault(r, entry, at_key, JV_CODE_PART_KIND,
                        "Only a jack or a pump can be run; switch others with \"on\".",
                        "\"%s\" is a %s and cannot be run", p->name, p->kind->name);
        return NULL;
    }
    if (said->runs[index] == said->number) {
        jv_reader_fault(r, entry, at_key, JV_CODE_KEYS_CLASH, "Keep one of them.",
                        "\"%s\" is told to run twice", p->name);
        return NULL;
    }
    said->runs[index] = said->number;
    return p;
}

static void take_load(jv_reader *r, jv_said *said, const jv_key *key, jv_source entry,
                      int8_t direction) {
    const jv_part *p = take_motor(r, said, entry, true, entry.node->key);
    if (p == NULL) {
        return;
    }
    jv_run run = {(uint32_t)(p - r->circuit->parts), direction, 0, jv_value_exact(0.0)};
    if (read_load(r, jv_changes_entry(r, key->name, entry), p, &run)) {
        said->loading->runs[said->loading->n_runs++] = run;
    }
}

/* A list of jacks: each by its travel. */
static void take_names(jv_reader *r, jv_said *said, const jv_key *key, jv_source from,
                       int8_t direction) {
    for (const jv_json_value *n = from.node->as.first; n != NULL; n = n->next) {
        jv_source entry = jv_reader_at(from, n);
        const char *name = jv_read_text(r, entry, key->name);
        const jv_part *p = name != NULL ? take_motor(r, said, entry, false, name) : NULL;
        if (p != NULL) {
            jv_run run = {(uint32_t)(p - r->circuit->parts), direction, JV_LOAD_TRAVEL,
                          jv_value_exact(0.0)};
            said->loading->runs[said->loading->n_runs++] = run;
        }
    }
}

static void take_loads(jv_reader *r, jv_said *said, const jv_key *key, jv_source from,
                       int8_t direction) {
    bool list = said->step != NULL && from.node->type == JV_JSON_ARRAY;
    if (!list && !jv_read_is(r, from, key->name, JV_JSON_OBJECT, "an object of loads",
                             "Write {\"PART\": \"30 A\", ...}.")) {
        return;
    }
    jv_case *k = said->loading;
    jv_run *runs = jv_arena_alloc(&r->circuit->arena, k->n_runs + from.node->length, sizeof *runs);
    if (runs == NULL) {
        r->circuit->out_of_memory = true;
        return;
    }
    if (k->n_runs > 0) {
        memcpy(runs, k->runs, k->n_runs * sizeof *runs);
    }
    k->runs = runs;
    if (list) {
        take_names(r, said, key, from, direction);
        return;
    }
    for (const jv_json_value *n = from.node->as.first; n != NULL; n = n->next) {
        if (n->key != NULL) {
            take_load(r, said, key, jv_reader_at(from, n), direction);
        }
    }
}

void jv_case_take_lift(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    take_loads(r, object, key, from, 1);
}

void jv_case_take_lower(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    take_loads(r, object, key, from, -1);
}

static void take_list(jv_reader *r, jv_said *said, const jv_key *key, jv_source from,
                      uint32_t **list, size_t *count) {
    static const char form[] = "Write [\"PART\", ...].";
    if (!jv_read_is(r, from, key->name, JV_JSON_ARRAY, "a list of parts", form)) {
        return;
    }
    *list = jv_arena_alloc(&r->circuit->arena, from.node->length, sizeof **list);
    if (*list == NULL) {
        r->circuit->out_of_memory = true;
        return;
    }
    for (const jv_json_value *n = from.node->as.first; n != NULL; n = n->next) {
        jv_source entry = jv_reader_at(from, n);
        const char *name = jv_read_text(r, entry, key->name);
        int32_t part = name != NULL ? jv_refer_part(r, entry, name) : -1;
        if (part < 0) {
            continue;
        }
        if (said->switched[part] == said->number) {
            jv_reader_fault(r, entry, false, JV_CODE_KEYS_CLASH, "Keep one of them.",
                            "\"%s\" is switched twice", name);
            continue;
        }
        said->switched[part] = said->number;
        (*list)[(*count)++] = (uint32_t)part;
    }
}

void jv_case_take_off(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_said *said = object;
    take_list(r, said, key, from, &said->loading->off, &said->loading->n_off);
}

void jv_case_take_on(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_said *said = object;
    take_list(r, said, key, from, &said->loading->on, &said->loading->n_on);
}

static void take_ambient(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_case *k = ((jv_said *)object)->loading;
    k->has_ambient = jv_read_quantity(r, from, key, &k->ambient);
}

static void take_charge(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_case *k = ((jv_said *)object)->loading;
    k->has_charge = jv_read_quantity(r, from, key, &k->charge);
}

static void take_for(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_case *k = ((jv_said *)object)->loading;
    k->has_time = jv_read_quantity(r, from, key, &k->run_for);
}

static void take_pause(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_said *said = object;
    jv_value v;
    said->pause = from;
    if (jv_read_quantity(r, from, key, &v))
        said->loading->pause_s = v.nominal;
}

static void take_repeats(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    jv_said *said = object;
    jv_value v;
    said->repeats = from;
    if (!jv_read_quantity(r, from, key, &v))
        return;
    said->loading->repeats = v.nominal;
    if (v.nominal != floor(v.nominal))
        jv_reader_fault(r, from, false, JV_CODE_QUANTITY_RANGE, "Write a whole number: 10.",
                        "\"repeats\" must be a whole number, got %g", v.nominal);
}

/* A duty needs all of its words. */
static void check_duty(jv_reader *r, const jv_said *said, bool has_for) {
    if (said->pause.node && !has_for)
        jv_reader_fault(r, said->pause, true, JV_CODE_KEY_MISSING,
                        "Give \"for\": how long it runs each time.",
                        "a case with \"pause\" needs \"for\"");
    if (said->repeats.node && !said->pause.node)
        jv_reader_fault(r, said->repeats, true, JV_CODE_KEY_MISSING,
                        "Give \"pause\": how long it rests between two runs.",
                        "a case with \"repeats\" needs \"pause\"");
}

void jv_case_take_comment(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)key;
    jv_read_comment(r, from, &((jv_said *)object)->loading->comment);
}

#define PLAIN(name, help) \
    { name, JV_KEY_TEXT, JV_DIM_NUMBER, 0, 0, 0, NULL, NULL, NULL, help }

const jv_row jv_case_rows[] = {
    {PLAIN("lift", "jacks that lift, with the load of each"), JV_SHAPE_LOADS, jv_case_take_lift},
    {PLAIN("lower", "jacks that lower, with the load of each"), JV_SHAPE_LOADS, jv_case_take_lower},
    {PLAIN("run", "pumps that run, with the load of each"), JV_SHAPE_LOADS, jv_case_take_lift},
    {PLAIN("on", "parts that are switched on, closed or plugged in"), JV_SHAPE_LIST,
     jv_case_take_on},
    {PLAIN("off", "parts that are switched off, opened or unplugged"), JV_SHAPE_LIST,
     jv_case_take_off},
    {{"ambient", JV_KEY_QUANTITY, JV_DIM_TEMPERATURE, JV_ZERO_OK | JV_NEGATIVE_OK, -60, 90, NULL,
      NULL, NULL, "temperature around; that of the file when absent"},
     JV_SHAPE_KEY,
     take_ambient},
    {{"charge", JV_KEY_QUANTITY, JV_DIM_RATIO, JV_ZERO_OK, 0, 1, NULL, NULL, NULL,
      "charge of every battery; what each battery says when absent"},
     JV_SHAPE_KEY,
     take_charge},
    {{"for", JV_KEY_QUANTITY, JV_DIM_TIME, JV_ZERO_OK, 0, 31557600, NULL, NULL, NULL,
      "how long it has run so far: cables have warmed that long; until they are as warm as they "
      "get when absent"},
     JV_SHAPE_KEY,
     take_for},
    {{"pause", JV_KEY_QUANTITY, JV_DIM_TIME, JV_NO_SPREAD, 0, 31557600, NULL, NULL, NULL,
      "rest between two such runs, in which cables cool; it runs once when absent"},
     JV_SHAPE_KEY,
     take_pause},
    {{"repeats", JV_KEY_QUANTITY, JV_DIM_NUMBER, JV_NO_SPREAD, 1, 1000, NULL, NULL, NULL,
      "how many such runs, pauses between them; again and again for ever when absent"},
     JV_SHAPE_KEY,
     take_repeats},
    {PLAIN("comment", "for people; a text or a list of texts"), JV_SHAPE_COMMENT,
     jv_case_take_comment},
};
const size_t jv_case_rows_count = sizeof jv_case_rows / sizeof jv_case_rows[0];

static void read_case(jv_reader *r, jv_said *said, jv_source object) {
    jv_reader_own(r, "case", object.node->key);
    if (object.node->key == NULL || !jv_reader_take_name(r, object, "case", object.node->key) ||
        !jv_form_is_object(r, object, "a case")) {
        return;
    }
    said->loading = jv_circuit_add_case(r->circuit, object.node->key);
    if (said->loading == NULL) {
        return;
    }
    said->number++;
    said->loading->repeats = INFINITY;
    said->pause.node = said->repeats.node = NULL;
    uint16_t column;
    jv_reader_mark(r, object.node->key_offset, true, &said->loading->line, &column);
    jv_form_read(r, jv_case_rows, jv_case_rows_count, object, said);
    check_duty(r, said, said->loading->has_time);
}

void jv_cases_take(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    jv_reader_own(r, NULL, NULL);
    if (!jv_read_is(r, from, key->name, JV_JSON_OBJECT, "an object of cases",
                    "Write {\"NAME\": {\"lift\": {\"PART\": \"30 A\"}}, ...}.")) {
        return;
    }
    jv_reader_free_names(r); /* a case may have the name of the part that it runs */
    size_t n = r->circuit->n_parts + 1;
    jv_said said = {0};
    said.runs = jv_zalloc(n, sizeof *said.runs);
    said.switched = jv_zalloc(n, sizeof *said.switched);
    if (said.runs == NULL || said.switched == NULL) {
        r->circuit->out_of_memory = true;
    }
    for (const jv_json_value *c = from.node->as.first; c != NULL && !r->circuit->out_of_memory;
         c = c->next) {
        read_case(r, &said, jv_reader_at(from, c));
    }
    jv_free(said.runs);
    jv_free(said.switched);
    jv_reader_own(r, NULL, NULL);
}
