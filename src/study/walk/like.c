/* like.c - a layout made one's own by a few questions. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include "circuit/kinds.h"
#include "circuit/parts/battery.h"
#include "circuit/parts/cable.h"

#include <string.h>

typedef enum jv_like { LIKE_LENGTH, LIKE_SIZE, LIKE_CAPACITY, LIKE_COUNT } jv_like;

/* The longest power cable: the run that the layout hangs on; -1 = none. */
static const jv_part *longest(const jv_circuit *c) {
    const jv_part *best = NULL;
    double most = 0.0;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_slot *s = c->parts[i].kind == &jv_kind_cable
                               ? jv_part_slot(c, &c->parts[i], JV_CABLE_LENGTH)
                               : NULL;
        if (s && s->value.nominal > most) {
            most = s->value.nominal;
            best = &c->parts[i];
        }
    }
    return best;
}

static const jv_part *battery(const jv_circuit *c) {
    for (size_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].kind == &jv_kind_battery &&
            jv_part_slot(c, &c->parts[i], JV_BATTERY_CAPACITY))
            return &c->parts[i];
    return NULL;
}

bool jv_like_ask(const jv_circuit *c, size_t i, jv_text *question) {
    const jv_part *cable = longest(c), *source = battery(c);
    const jv_slot *size = cable ? jv_part_slot(c, cable, JV_CABLE_SIZE) : NULL;
    if (i >= LIKE_COUNT)
        return false;
    if (i == LIKE_LENGTH && cable) {
        jv_text_addf(question, "How long is \"%s\" on your vehicle, one way? This layout has ",
                     cable->name);
        jv_quantity_print(question, jv_part_slot(c, cable, JV_CABLE_LENGTH)->value.nominal,
                          JV_DIM_LENGTH, JV_UNITS_US, 3);
        jv_text_add(question, ". Write for example 18 ft or 5.5 m, or same.");
    } else if (i == LIKE_SIZE && size) {
        jv_text_addf(question,
                     "What size is \"%s\"? This layout has %s. Write for example 4 AWG, SAE 6 or "
                     "16 mm2 (printed on the cable), or same.",
                     cable->name, size->text);
    } else if (i == LIKE_CAPACITY && source) {
        jv_text_addf(question, "How large is \"%s\"? This layout has ", source->name);
        jv_quantity_print(question, jv_part_slot(c, source, JV_BATTERY_CAPACITY)->value.nominal,
                          JV_DIM_CHARGE, JV_UNITS_SI, 3);
        jv_text_add(question, ". Write for example 80 Ah, or same.");
    } else {
        jv_text_add(question, "This layout leaves nothing to ask here: write same.");
    }
    return true;
}

static bool same_words(const char *s) {
    return !*s || strcmp(s, "same") == 0 || strcmp(s, "skip") == 0;
}

/* Every cable that is as the asked one now: out and back are made of one reel. */
static void set_alike(const jv_circuit *c, const jv_part *cable, unsigned key, const char *name,
                      const char *answer, jv_text *sets) {
    const jv_slot *own = jv_part_slot(c, cable, key);
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        const jv_slot *s = p->kind == &jv_kind_cable ? jv_part_slot(c, p, key) : NULL;
        if (s && s->text && own->text && strcmp(s->text, own->text) == 0)
            jv_text_addf(sets, "%s.%s=%s\n", p->name, name, answer);
    }
}

static jv_status refuse(const jv_quantity_fault *fault, jv_text *problem) {
    jv_text_addf(problem, "%s%s%s", fault->message, fault->hint[0] ? "; " : "", fault->hint);
    return JV_ERR_INPUT;
}

jv_status jv_like_take(const jv_circuit *c, size_t i, const char *answer, jv_text *sets,
                       jv_text *problem) {
    const jv_part *cable = longest(c), *source = battery(c);
    jv_quantity_fault fault;
    jv_value v;
    jv_size size;
    memset(&fault, 0, sizeof fault);
    if (same_words(answer) || i >= LIKE_COUNT)
        return JV_OK;
    if (i == LIKE_LENGTH && cable) {
        if (jv_quantity_read(answer, JV_DIM_LENGTH, &v, &fault) != JV_OK)
            return refuse(&fault, problem);
        set_alike(c, cable, JV_CABLE_LENGTH, "length", answer, sets);
    } else if (i == LIKE_SIZE && cable && jv_part_slot(c, cable, JV_CABLE_SIZE)) {
        if (jv_size_read(answer, &size, &fault) != JV_OK)
            return refuse(&fault, problem);
        set_alike(c, cable, JV_CABLE_SIZE, "size", answer, sets);
    } else if (i == LIKE_CAPACITY && source) {
        if (jv_quantity_read(answer, JV_DIM_CHARGE, &v, &fault) != JV_OK)
            return refuse(&fault, problem);
        jv_text_addf(sets, "%s.capacity=%s\n", source->name, answer);
    }
    return JV_OK;
}
