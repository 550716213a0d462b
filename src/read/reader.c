/* reader.c - what the readers of one circuit file share. SPDX-License-Identifier: MIT */
#include "read/reader.h"

#include <string.h>

bool jv_reader_full(const jv_reader *r) {
    return r->diags->errors >= JV_DIAG_LIMIT;
}

void jv_reader_own(jv_reader *r, const char *kind, const char *name) {
    r->owner_kind = kind;
    r->owner_name = name;
    r->faulted = false;
}

void jv_reader_fault(jv_reader *r, jv_source at, bool at_key, jv_code code, const char *hint,
                     const char *message, ...) {
    r->faulted = true;
    if (jv_reader_full(r)) {
        jv_diag_add(r->diags, JV_ERROR, code, NULL, NULL, "%s", jv_code_title(code));
        return;
    }
    jv_text text = {0};
    if (r->owner_name != NULL) {
        jv_text_addf(&text, "%s \"%s\": ", r->owner_kind, r->owner_name);
    }
    va_list args;
    va_start(args, message);
    jv_text_vaddf(&text, message, args);
    va_end(args);
    jv_json_fault(at.doc, at.node, at_key, r->diags, code, hint, "%s", jv_text_str(&text));
    if (text.failed) {
        r->diags->out_of_memory = true;
    }
    jv_text_clear(&text);
}

const char *jv_reader_keep(jv_reader *r, const char *text) {
    const char *copy = jv_arena_copy(&r->circuit->arena, text, strlen(text));
    if (copy == NULL) {
        r->circuit->out_of_memory = true;
    }
    return copy;
}

void jv_reader_mark(jv_reader *r, size_t offset, bool keep, uint32_t *line, uint16_t *column) {
    enum { NEAR = 1024 }; /* bytes; further on the marks of the document are quicker */
    jv_place place = {NULL, NULL, r->known_line, r->known_column};
    if (r->known_line == 0 || offset < r->known_offset || offset - r->known_offset > NEAR) {
        place = jv_json_place_at(r->doc, offset);
    } else {
        for (size_t i = r->known_offset; i < offset; i++) {
            unsigned char c = (unsigned char)r->doc->text[i];
            place.line += c == '\n';
            if (c == '\n') {
                place.column = 1;
            } else if ((c & 0xC0U) != 0x80U) { /* a character counts once: at its first byte */
                place.column++;
            }
        }
    }
    if (keep) {
        r->known_offset = offset;
        r->known_line = place.line;
        r->known_column = place.column;
    }
    *line = place.line < UINT32_MAX ? (uint32_t)place.line : UINT32_MAX;
    *column = place.column < UINT16_MAX ? (uint16_t)place.column : UINT16_MAX;
}

jv_source jv_reader_at(jv_source parent, const jv_json_value *node) {
    jv_source source = {parent.doc, node};
    return source;
}

enum { FIRST_BUCKETS = 64 };

/* FNV-1a, 64 bits (Fowler, Noll, Vo; public domain constants). */
static size_t hash_name(const char *s) {
    uint64_t h = UINT64_C(14695981039346656037);
    for (; *s != '\0'; s++) {
        h = (h ^ (unsigned char)*s) * UINT64_C(1099511628211);
    }
    return (size_t)(h ^ (h >> 32));
}

static jv_taken *find_name(jv_taken *table, size_t buckets, const char *name) {
    size_t k = hash_name(name) & (buckets - 1);
    while (table[k].name != NULL && strcmp(table[k].name, name) != 0) {
        k = (k + 1) & (buckets - 1);
    }
    return &table[k];
}

static bool name_room(jv_reader *r) {
    if (2 * (r->n_taken + 1) <= r->taken_buckets) {
        return true;
    }
    size_t wanted = r->taken_buckets > 0 ? 2 * r->taken_buckets : FIRST_BUCKETS;
    jv_taken *fresh = jv_zalloc(wanted, sizeof *fresh);
    if (fresh == NULL) {
        r->circuit->out_of_memory = true;
        return false;
    }
    for (size_t i = 0; i < r->taken_buckets; i++) {
        if (r->taken[i].name != NULL) {
            *find_name(fresh, wanted, r->taken[i].name) = r->taken[i];
        }
    }
    jv_free(r->taken);
    r->taken = fresh;
    r->taken_buckets = wanted;
    return true;
}

/* Not for showing: controls up to U+001F, U+007F to U+009F; marks of direction U+202A to
 * U+202E and U+2066 to U+2069 (Unicode, UAX 9). */
static bool is_unshown(const unsigned char *text) {
    enum { SPACE = 0x20, DELETE = 0x7F };
    if (text[0] < SPACE || text[0] == DELETE) {
        return true;
    }
    if (text[0] == 0xC2 && text[1] < 0xA0) {
        return true;
    }
    bool embeds = text[0] == 0xE2 && text[1] == 0x80 && text[2] >= 0xAA && text[2] <= 0xAE;
    bool isolates = text[0] == 0xE2 && text[1] == 0x81 && text[2] >= 0xA6 && text[2] <= 0xA9;
    return embeds || isolates;
}

bool jv_reader_shows(const char *text, const char *also) {
    for (; *text != '\0'; text++) {
        if (is_unshown((const unsigned char *)text) && strchr(also, *text) == NULL) {
            return false;
        }
    }
    return true;
}

bool jv_reader_is_name(jv_reader *r, jv_source at, bool at_key, const char *name) {
    const char *why = name[0] == '\0'              ? "a name is empty"
                      : !jv_reader_shows(name, "") ? "a name holds a control character"
                                                   : NULL;
    if (why != NULL) {
        jv_reader_fault(r, at, at_key, JV_CODE_KEY_TYPE, "Write a name that can be read.", "%s",
                        why);
    }
    return why == NULL;
}

bool jv_reader_take_name(jv_reader *r, jv_source at, const char *section, const char *name) {
    if (!jv_reader_is_name(r, at, true, name) || !name_room(r)) {
        return false;
    }
    jv_taken *place = find_name(r->taken, r->taken_buckets, name);
    if (place->name == NULL) {
        place->name = name;
        place->section = section;
        r->n_taken++;
        return true;
    }
    if (strcmp(place->section, section) != 0) {
        jv_reader_fault(r, at, true, JV_CODE_NAME_DUPLICATE,
                        "Give each part and each watch a name of its own.",
                        "a %s has that name already", place->section);
    }
    return false;
}

void jv_reader_free_names(jv_reader *r) {
    jv_free(r->taken);
    r->taken = NULL;
    r->n_taken = 0;
    r->taken_buckets = 0;
}

jv_near jv_near_begin(const char *word) {
    enum { FEWEST = 1, MOST = 3 }; /* slips in a word; a third of its letters, within these */
    size_t slips = strlen(word) / 3;
    slips = slips < FEWEST ? FEWEST : slips > MOST ? MOST : slips;
    jv_near n = {word, NULL, slips + 1};
    return n;
}

/* "held" for "held_for": as near as one slip. */
static bool is_beginning(const char *word, const char *name) {
    enum { ENOUGH = 3 }; /* letters that are hardly a chance */
    size_t length = strlen(word);
    return length >= ENOUGH && strncmp(word, name, length) == 0;
}

void jv_near_try(jv_near *n, const char *name) {
    if (n->least == 0) {
        return;
    }
    if (n->least > 1 && name[0] != '\0' && is_beginning(n->word, name)) {
        n->least = 1;
        n->best = name;
    }
    size_t distance = jv_text_distance(n->word, name, n->least - 1);
    if (distance < n->least) {
        n->least = distance;
        n->best = name;
    }
}

void jv_near_hint(const jv_near *n, const char *otherwise, jv_text *hint) {
    if (n->best != NULL) {
        jv_text_addf(hint, "Did you mean \"%s\"?", n->best);
    } else {
        jv_text_add(hint, otherwise);
    }
}
