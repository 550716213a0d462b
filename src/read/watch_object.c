/* watch_object.c - the watches of a circuit file. SPDX-License-Identifier: MIT */
#include "read/sections.h"
#include "read/value.h"

#include <math.h>
#include <string.h>

static const char at_form[] = "Write [\"TERMINAL\", \"TERMINAL\"], or the name of a controller.";

static jv_watch *watch_of(jv_reader *r) {
    return &r->circuit->watches[r->circuit->n_watches - 1];
}

static void take_controller(jv_reader *r, jv_source from) {
    const char *name = jv_read_text(r, from, "at");
    int32_t part = name != NULL ? jv_refer_part(r, from, name) : -1;
    if (part < 0) {
        return;
    }
    const jv_part *p = &r->circuit->parts[part];
    if (strcmp(p->kind->name, "controller") != 0) {
        jv_reader_fault(r, from, false, JV_CODE_PART_KIND, at_form,
                        "\"at\" must name a controller; \"%s\" is a %s", name, p->kind->name);
        return;
    }
    jv_watch *w = watch_of(r);
    w->part = part;
    w->plus = jv_part_terminal(r->circuit, p, 0);
    w->minus = jv_part_terminal(r->circuit, p, 1);
}

static void take_at(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    if (from.node->type == JV_JSON_STRING) {
        take_controller(r, from);
        return;
    }
    if (!jv_read_is(r, from, key->name, JV_JSON_ARRAY, "two terminals or a controller", at_form)) {
        return;
    }
    if (from.node->length != 2) {
        jv_reader_fault(r, from, false, JV_CODE_KEY_TYPE, at_form,
                        "\"at\" must be a list of two terminals, not of %u",
                        (unsigned)from.node->length);
        return;
    }
    int32_t ends[2] = {-1, -1};
    const jv_json_value *n = from.node->as.first;
    for (int i = 0; i < 2; i++, n = n->next) {
        jv_source end = jv_reader_at(from, n);
        const char *name = jv_read_text(r, end, key->name);
        ends[i] = name != NULL ? jv_refer_terminal(r, end, name) : -1;
    }
    if (ends[0] >= 0 && ends[0] == ends[1]) {
        jv_reader_fault(r, from, false, JV_CODE_KEYS_CLASH, at_form,
                        "both terminals of \"at\" are \"%s\"", r->circuit->terminals[ends[0]]);
        return;
    }
    watch_of(r)->plus = ends[0];
    watch_of(r)->minus = ends[1];
}

static void take_below(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    jv_read_quantity(r, from, key, &watch_of(r)->below);
}

static void take_held_for(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    jv_read_quantity(r, from, key, &watch_of(r)->held_for);
}

/* Stands behind "below" in the rows: both are known here. */
static void take_reset_above(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    jv_watch *w = watch_of(r);
    if (!jv_read_quantity(r, from, key, &w->reset_above)) {
        return;
    }
    if (w->reset_above.nominal < w->below.nominal) {
        jv_reader_fault(r, from, false, JV_CODE_KEYS_CLASH,
                        "Give volts above those of \"below\", or leave it out.",
                        "\"reset_above\" is %.4g V, under the limit of %.4g V",
                        w->reset_above.nominal, w->below.nominal);
    }
}

static void take_ignored_for(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    jv_read_quantity(r, from, key, &watch_of(r)->ignored_for);
}

static void take_while(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    int word = 0;
    if (jv_read_word(r, from, key, &word)) {
        watch_of(r)->state = (jv_watch_state)word;
    }
}

static void take_then(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    int word = 0;
    if (jv_read_word(r, from, key, &word)) {
        watch_of(r)->action = (jv_watch_action)word;
    }
}

static void take_comment(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    (void)key;
    jv_read_comment(r, from, NULL);
}

#define VOLTS(name, help, take)                                                                   \
    {                                                                                             \
        {name, JV_KEY_QUANTITY, JV_DIM_VOLTAGE, 0, 0, 100, NULL, NULL, NULL, help}, JV_SHAPE_KEY, \
            take                                                                                  \
    }
#define SECONDS(name, help, take)                                                          \
    {                                                                                      \
        {name, JV_KEY_QUANTITY, JV_DIM_TIME, JV_ZERO_OK, 0, 3600, NULL, NULL, NULL, help}, \
            JV_SHAPE_KEY, take                                                             \
    }

const jv_row jv_watch_rows[] = {
    {{"at", JV_KEY_TEXT, JV_DIM_NUMBER, JV_NEEDED, 0, 0, NULL, NULL, NULL,
      "where it looks: two terminals, plus first; or the name of a controller, for the volts that "
      "the controller senses itself"},
     JV_SHAPE_WATCHED,
     take_at},
    VOLTS("below", "its limit; assumed, and said so, when absent", take_below),
    SECONDS("held_for", "how long the volts must stay below the limit; at once when absent",
            take_held_for),
    VOLTS("reset_above", "volts at which it forgets; the limit when absent", take_reset_above),
    SECONDS("ignored_for", "how long it looks away after a motor starts; not at all when absent",
            take_ignored_for),
    /* In the order of jv_watch_state and jv_watch_action. */
    {{"while", JV_KEY_WORD, JV_DIM_NUMBER, 0, 0, 0, "always|resting|running", NULL, NULL,
      "when it counts: always, at rest, or while any motor is told to run; always when absent"},
     JV_SHAPE_KEY,
     take_while},
    {{"then", JV_KEY_WORD, JV_DIM_NUMBER, 0, 0, 0, "warn|refuse to start|stop this jack|stop all",
      NULL, NULL, "what it does; stop all when absent"},
     JV_SHAPE_KEY,
     take_then},
    {{"comment", JV_KEY_TEXT, JV_DIM_NUMBER, 0, 0, 0, NULL, NULL, NULL,
      "for people; a text or a list of texts"},
     JV_SHAPE_COMMENT,
     take_comment},
};
const size_t jv_watch_rows_count = sizeof jv_watch_rows / sizeof jv_watch_rows[0];

void jv_watches_take(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    jv_reader_own(r, NULL, NULL);
    if (!jv_read_is(r, from, key->name, JV_JSON_OBJECT, "an object of watches",
                    "Write {\"NAME\": {\"at\": [...], \"below\": \"10 V\"}, ...}.")) {
        return;
    }
    for (const jv_json_value *n = from.node->as.first; n != NULL && !r->circuit->out_of_memory;
         n = n->next) {
        jv_source object = jv_reader_at(from, n);
        jv_reader_own(r, "watch", n->key);
        if (n->key == NULL || !jv_reader_take_name(r, object, "watch", n->key) ||
            !jv_form_is_object(r, object, "a watch")) {
            continue;
        }
        jv_watch *w = jv_circuit_add_watch(r->circuit, n->key);
        if (w != NULL) {
            jv_reader_mark(r, n->key_offset, true, &w->line, &w->column);
            jv_form_read(r, jv_watch_rows, jv_watch_rows_count, object, NULL);
        }
    }
    jv_reader_own(r, NULL, NULL);
}
