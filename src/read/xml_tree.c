/* xml_tree.c - looking things up in the lean tree. SPDX-License-Identifier: MIT */
#include "read/xml_tree.h"

#include "jackvolt/text.h"
#include "read/xml_read.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

enum { FEWEST_BUCKETS = 64 };

jv_xml_at jv_xml_child(const jv_xml *xml, jv_xml_at parent, uint16_t name) {
    if (parent == 0) {
        return 0;
    }
    jv_xml_at at = jv_xml_get(xml, parent)->first;
    while (at != 0 && jv_xml_get(xml, at)->name != name) {
        at = jv_xml_get(xml, at)->next;
    }
    return at;
}

jv_xml_at jv_xml_again(const jv_xml *xml, jv_xml_at at) {
    uint16_t name = jv_xml_get(xml, at)->name;
    do {
        at = jv_xml_get(xml, at)->next;
    } while (at != 0 && jv_xml_get(xml, at)->name != name);
    return at;
}

const char *jv_xml_own_text(const jv_xml *xml, jv_xml_at at) {
    const char *text = at != 0 ? jv_xml_get(xml, at)->text : NULL;
    bool none = text == NULL || strcmp(text, "/NULL") == 0 || strcmp(text, "/ANY") == 0;
    return none ? NULL : text;
}

const char *jv_xml_text(const jv_xml *xml, jv_xml_at parent, uint16_t name) {
    return jv_xml_own_text(xml, jv_xml_child(xml, parent, name));
}

/* FNV-1a, 32 bits (Fowler, Noll, Vo; public domain constants). */
static uint32_t hash_of(const char *s, size_t length) {
    uint32_t h = UINT32_C(2166136261);
    for (size_t i = 0; i < length; i++) {
        h = (h ^ (unsigned char)s[i]) * UINT32_C(16777619);
    }
    return h ^ (h >> 15);
}

static jv_xml_name *place_of(const jv_xml *xml, uint32_t hash, const char *id, size_t length) {
    size_t k = hash & (xml->name_buckets - 1);
    for (;; k = (k + 1) & (xml->name_buckets - 1)) {
        jv_xml_name *name = &xml->names[k];
        if (name->node == 0) {
            return name;
        }
        if (name->hash != hash) {
            continue;
        }
        const char *other = jv_xml_get(xml, name->node)->id;
        if (strncmp(other, id, length) == 0 && other[length] == '\0') {
            return name;
        }
    }
}

jv_status jv_xml_index(jv_xml *xml, jv_diags *diags) {
    size_t n = 0;
    for (jv_xml_at at = 1; at <= xml->n_nodes; at++) {
        n += jv_xml_get(xml, at)->id != NULL;
    }
    size_t buckets = FEWEST_BUCKETS;
    while (buckets < 2 * n) {
        buckets *= 2;
    }
    xml->names = jv_zalloc(buckets, sizeof *xml->names);
    if (xml->names == NULL) {
        return JV_ERR_MEMORY;
    }
    xml->name_buckets = buckets;
    for (jv_xml_at at = 1; at <= xml->n_nodes; at++) {
        const char *id = jv_xml_get(xml, at)->id;
        if (id == NULL) {
            continue;
        }
        size_t length = strlen(id);
        uint32_t hash = hash_of(id, length);
        jv_xml_name *name = place_of(xml, hash, id, length);
        if (name->node != 0) {
            jv_xml_fault(xml, at, diags, JV_CODE_HARNESS_DUPLICATE,
                         "Each id stands once in a file.",
                         "id \"%s\" stands twice; first on line %u", id,
                         (unsigned)jv_xml_get(xml, name->node)->line);
            continue;
        }
        *name = (jv_xml_name){hash, at};
    }
    return JV_OK;
}

jv_xml_at jv_xml_find(const jv_xml *xml, const char *id, size_t length) {
    return place_of(xml, hash_of(id, length), id, length)->node;
}

size_t jv_xml_next_id(const char **text, const char **id) {
    static const char blanks[] = " \t\r\n";
    if (*text == NULL) {
        return 0;
    }
    *id = *text + strspn(*text, blanks);
    size_t length = strcspn(*id, blanks);
    *text = *id + length;
    return length;
}

jv_xml_at jv_xml_link_id(const jv_xml *xml, jv_xml_at at, const char *id, size_t length,
                         uint16_t name, uint16_t other, jv_diags *diags) {
    enum { SHOWN = 60 }; /* bytes of an id in a message */
    jv_xml_at found = jv_xml_find(xml, id, length);
    const char *const *words = xml->form->words;
    int shown = (int)(length < SHOWN ? length : SHOWN);
    if (found == 0) {
        jv_xml_fault(xml, at, diags, JV_CODE_HARNESS_LINK, "Export the file anew, complete.",
                     "\"%.*s\" is the id of nothing; a %s is meant", shown, id, words[name]);
        return 0;
    }
    uint16_t its = jv_xml_get(xml, found)->name;
    if (its != name && (other == 0 || its != other)) {
        jv_xml_fault(xml, at, diags, JV_CODE_HARNESS_LINK, "Export the file anew.",
                     "\"%.*s\" is a %s (line %u); a %s is meant", shown, id, words[its],
                     (unsigned)jv_xml_get(xml, found)->line, words[name]);
        return 0;
    }
    return found;
}

jv_xml_at jv_xml_link(const jv_xml *xml, jv_xml_at at, uint16_t name, uint16_t other,
                      jv_diags *diags) {
    const char *text = jv_xml_own_text(xml, at);
    const char *id;
    size_t length = jv_xml_next_id(&text, &id);
    return length > 0 ? jv_xml_link_id(xml, at, id, length, name, other, diags) : 0;
}

bool jv_xml_number(const jv_xml *xml, jv_xml_at at, double *value, jv_diags *diags) {
    const char *text = jv_xml_own_text(xml, at);
    const char *end;
    *value = NAN;
    if (text == NULL || strcmp(text, "NaN") == 0) {
        return true;
    }
    if (jv_number_read(text, value, &end) && *end == '\0' && isfinite(*value)) {
        return true;
    }
    *value = NAN;
    jv_xml_fault(xml, at, diags, JV_CODE_HARNESS_NUMBER, "Write a number like 1082.07.",
                 "\"%.60s\" is not a number", text);
    return false;
}

/* "/KBL_container/Harness/Connection[id_314_0]". */
static void add_path(const jv_xml *xml, jv_xml_at at, jv_text *out) {
    jv_xml_at way[64]; /* the depth that is read at most */
    size_t n = 0;
    for (; at != 0 && n < sizeof way / sizeof way[0]; at = jv_xml_get(xml, at)->parent) {
        way[n++] = at;
    }
    while (n-- > 0) {
        const jv_xml_node *node = jv_xml_get(xml, way[n]);
        jv_text_addf(out, "/%s", xml->form->words[node->name]);
        if (node->id != NULL && n < 2 && node->parent != 0) {
            jv_text_addf(out, "[%s]", node->id);
        }
    }
}

void jv_xml_fault(const jv_xml *xml, jv_xml_at at, jv_diags *diags, jv_code code, const char *hint,
                  const char *message, ...) {
    jv_text text = {0}, path = {0};
    va_list args;
    va_start(args, message);
    jv_text_vaddf(&text, message, args);
    va_end(args);
    jv_place place = {xml->file, NULL, at != 0 ? jv_xml_get(xml, at)->line : 0, 0};
    if (diags->errors < JV_DIAG_LIMIT) {
        add_path(xml, at, &path);
        place.pointer = jv_text_str(&path);
    }
    jv_diag_add(diags, JV_ERROR, code, &place, hint, "%s", jv_text_str(&text));
    diags->out_of_memory = diags->out_of_memory || text.failed || path.failed;
    jv_text_clear(&text);
    jv_text_clear(&path);
}
