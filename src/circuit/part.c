/* part.c - how part kinds read their own keys and faults. SPDX-License-Identifier: MIT */
#include "circuit/part_kind.h"

#include <math.h>
#include <string.h>

/* Where in the slots of the part the first of this key stands; their number: nowhere. */
static uint32_t find_slot(const jv_circuit *c, const jv_part *p, unsigned key) {
    const uint8_t *keys = c->slot_keys + p->first_slot;
    uint32_t i = 0;
    while (i < p->n_slots && keys[i] != key)
        i++;
    return i;
}

const jv_slot *jv_part_slot(const jv_circuit *c, const jv_part *p, unsigned key) {
    uint32_t i = find_slot(c, p, key);
    return i < p->n_slots ? &c->slots[p->first_slot + i] : NULL;
}

bool jv_part_has(const jv_circuit *c, const jv_part *p, unsigned key) {
    return jv_part_slot(c, p, key) != NULL;
}

double jv_scene_value(const jv_scene *s, const jv_part *p, unsigned key, double otherwise) {
    const jv_slot *slot = jv_part_slot(s->circuit, p, key);
    if (!slot)
        return otherwise;
    return s->x ? s->x[slot - s->circuit->slots] : slot->value.nominal;
}

int jv_part_word(const jv_circuit *c, const jv_part *p, unsigned key, int otherwise) {
    const jv_slot *slot = jv_part_slot(c, p, key);
    return slot ? (int)slot->index : otherwise;
}

bool jv_part_flag(const jv_circuit *c, const jv_part *p, unsigned key, bool otherwise) {
    const jv_slot *slot = jv_part_slot(c, p, key);
    return slot ? slot->index != 0 : otherwise;
}

int32_t jv_part_terminal(const jv_circuit *c, const jv_part *p, unsigned key) {
    uint32_t i = find_slot(c, p, key);
    if (i == p->n_slots)
        return -1;
    return c->slot_index ? c->slot_index[p->first_slot + i] : c->slots[p->first_slot + i].index;
}

const jv_slot *jv_part_entries(const jv_circuit *c, const jv_part *p, unsigned key, size_t *n) {
    const uint8_t *keys = c->slot_keys + p->first_slot;
    const uint32_t first = find_slot(c, p, key);
    uint32_t end = first;
    while (end < p->n_slots && keys[end] == key)
        end++;
    *n = end - first;
    return *n ? &c->slots[p->first_slot + first] : NULL;
}

const jv_run *jv_scene_run(const jv_scene *s, const jv_part *p) {
    if (!s->loading)
        return NULL;
    uint32_t index = (uint32_t)(p - s->circuit->parts);
    if (s->run_of)
        return s->run_of[index] >= 0 ? &s->loading->runs[s->run_of[index]] : NULL;
    for (size_t i = 0; i < s->loading->n_runs; i++)
        if (s->loading->runs[i].part == index)
            return &s->loading->runs[i];
    return NULL;
}

double jv_scene_air_c(const jv_scene *s, const jv_part *p, unsigned key) {
    return jv_scene_value(s, p, key, s->ambient_c);
}

const jv_fault *jv_scene_fault(const jv_scene *s, const jv_part *p, size_t *at) {
    uint32_t index = (uint32_t)(p - s->circuit->parts);
    if (s->first_fault) {
        /* *at: 0 to begin, else one more than the fault to go on from. */
        int32_t k = *at ? s->next_fault[*at - 1] : s->first_fault[index];
        if (k < 0)
            return NULL;
        *at = (size_t)k + 1;
        return &s->faults[k];
    }
    while (*at < s->n_faults) {
        const jv_fault *f = &s->faults[(*at)++];
        if (f->part == index)
            return f;
    }
    return NULL;
}

bool jv_scene_is_off(const jv_scene *s, const jv_part *p) {
    return s->plugged_off && s->plugged_off[p - s->circuit->parts] == 1;
}

/* What a cure leaves at least of a conductor, ohm. */
static const double least_ohm = 1e-9;

void jv_series_faults(const jv_scene *s, const jv_part *p, jv_element *e, const char *pin) {
    if (jv_scene_is_off(s, p))
        e->open = 1;
    size_t at = 0;
    const jv_fault *f;
    while ((f = jv_scene_fault(s, p, &at)) != NULL) {
        if (f->pin && (!pin || strcmp(f->pin, pin) != 0))
            continue;
        if (f->way == JV_WAY_OPEN)
            e->open = 1;
        /* Ohms of a bad joint are not the conductor's own: they do not follow its
         * temperature. e->r is scaled so that r(T) stays right at r_at_C only, so the
         * slope is thinned in the same measure. */
        bool ohms = f->way == JV_WAY_ADDED || f->way == JV_WAY_LOOSE;
        if (ohms && f->value != 0.0) { /* below zero: what a cure takes out */
            double sum = fmax(e->r + f->value, least_ohm);
            e->r_slope *= e->r / sum;
            e->r = sum;
        }
    }
}

/* One step of a JSON pointer (RFC 6901); the points of a key are steps of their own. */
static void add_step(jv_text *out, const char *name, bool is_key) {
    jv_text_add_char(out, '/');
    for (; *name != '\0'; name++) {
        if (*name == '~' || *name == '/')
            jv_text_add(out, *name == '~' ? "~0" : "~1");
        else
            jv_text_add_char(out, is_key && *name == '.' ? '/' : *name);
    }
}

/* key: -1 = the part; s: where the fault stands, NULL = at the part; entry: that of a map. */
static void tell(jv_diags *d, const jv_circuit *c, const jv_part *p, int key, const jv_slot *s,
                 const char *entry, jv_code code, const char *hint, jv_text *message) {
    jv_text pointer = {0};
    jv_text_add(&pointer, "/parts");
    add_step(&pointer, p->name, false);
    if (key >= 0)
        add_step(&pointer, p->kind->keys[key].name, true);
    if (entry)
        add_step(&pointer, entry, false);
    jv_place place = jv_circuit_place(c, s ? s->line : p->line, s ? s->column : p->column,
                                      jv_text_str(&pointer));
    jv_diag_add(d, JV_ERROR, code, &place, hint, "%s", jv_text_str(message));
    if (message->failed || pointer.failed)
        d->out_of_memory = true;
    jv_text_clear(message);
    jv_text_clear(&pointer);
}

void jv_part_fault(jv_diags *d, const jv_circuit *c, const jv_part *p, int key, jv_code code,
                   const char *hint, const char *message, ...) {
    jv_text text = {0};
    va_list args;
    va_start(args, message);
    jv_text_vaddf(&text, message, args);
    va_end(args);
    const jv_slot *s = key >= 0 ? jv_part_slot(c, p, (unsigned)key) : NULL;
    tell(d, c, p, key, s, NULL, code, hint, &text);
}

void jv_slot_fault(jv_diags *d, const jv_circuit *c, const jv_part *p, const jv_slot *s,
                   jv_code code, const char *hint, const char *message, ...) {
    jv_text text = {0};
    va_list args;
    va_start(args, message);
    jv_text_vaddf(&text, message, args);
    va_end(args);
    jv_key_type type = p->kind->keys[s->key].type;
    bool named = type == JV_KEY_POINTS || type == JV_KEY_PINS || type == JV_KEY_OUTPUTS;
    tell(d, c, p, s->key, s, named ? s->text : NULL, code, hint, &text);
}
