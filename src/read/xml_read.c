/* xml_read.c - libxml2 streams a file into the lean tree. SPDX-License-Identifier: MIT */
#include "jackvolt/harness.h"
#include "read/file.h"
#include "read/xml_tree.h"

#include <libxml/parser.h>
#include <libxml/xmlerror.h>
#include <string.h>

enum {
    MOST_WORDS = 256,       /* of a form; the forms have fewer */
    SYMBOLS = 1024,         /* room for names of elements, twice the words of a form and more */
    FIRST_CHUNKS = 64,      /* of nodes */
    POOL = 1 << 16,         /* bytes of texts taken from the arena at a time */
    MOST_SKIP_KINDS = 4096, /* different kinds that are counted by name */
    FEED = 1 << 20          /* bytes handed to the parser at a time; it takes an int */
};

static const char schema_instance[] = "http://www.w3.org/2001/XMLSchema-instance";

/* The dictionary of the parser gives equal names one address: a name is looked up by that. */
typedef struct symbol {
    const xmlChar *name;
    uint16_t word;
} symbol;

typedef struct reader {
    jv_xml *xml;
    jv_diags *diags;
    const jv_xml_form *const *forms;
    size_t n_forms;
    xmlParserCtxtPtr parser;
    symbol symbols[SYMBOLS];
    bool target[MOST_WORDS]; /* by word: links may lead to such elements */
    size_t n_symbols;
    jv_xml_at open[JV_HARNESS_DEPTH + 1]; /* kept elements from the root down */
    jv_xml_at last[JV_HARNESS_DEPTH + 1]; /* the newest child of each */
    size_t depth;                         /* of open */
    size_t skipped;                       /* levels inside an element that is passed over */
    jv_text text;                         /* of the innermost element so far */
    bool refused, out_of_memory;
    bool ended; /* all bytes were handed to the parser */
} reader;

static size_t line_of(const reader *r) {
    return r->parser->input != NULL && r->parser->input->line > 0 ? (size_t)r->parser->input->line
                                                                  : 0;
}

/* Report a fault at the place that is being read, and read no further. */
static void refuse(reader *r, jv_code code, const char *hint, const char *message) {
    if (r->refused || r->out_of_memory) {
        return;
    }
    jv_place place = {r->xml->file, NULL, line_of(r), 0};
    jv_text pointer = {0};
    for (size_t i = 1; i <= r->depth; i++) {
        const jv_xml_node *node = jv_xml_get(r->xml, r->open[i]);
        jv_text_addf(&pointer, "/%s", r->xml->form->words[node->name]);
    }
    place.pointer = jv_text_str(&pointer);
    jv_diag_add(r->diags, JV_ERROR, code, &place, hint, "%s", message);
    jv_text_clear(&pointer);
    r->refused = true;
    xmlStopParser(r->parser);
}

static void no_memory(reader *r) {
    r->out_of_memory = true;
    xmlStopParser(r->parser);
}

/* The word of a name; 0 = none. Names that are no word are remembered too, while there is room. */
static uint16_t word_of(reader *r, const xmlChar *name) {
    size_t k = ((uintptr_t)name >> 3) % SYMBOLS;
    while (r->symbols[k].name != NULL && r->symbols[k].name != name) {
        k = (k + 1) % SYMBOLS;
    }
    if (r->symbols[k].name != NULL) {
        return r->symbols[k].word;
    }
    const jv_xml_form *form = r->xml->form;
    uint16_t word = 0;
    for (size_t i = 1; i < form->n_words && word == 0; i++) {
        word = strcmp(form->words[i], (const char *)name) == 0 ? (uint16_t)i : 0;
    }
    if (r->n_symbols < SYMBOLS / 2) {
        r->symbols[k].name = name;
        r->symbols[k].word = word;
        r->n_symbols++;
    }
    return word;
}

static const char *keep_text(reader *r, const char *text, size_t length) {
    jv_xml *xml = r->xml;
    if (length + 1 > xml->pool_left) {
        if (length + 1 > POOL / 2) { /* its own piece, so that the pool is not wasted */
            const char *own = jv_arena_copy(&xml->arena, text, length);
            r->out_of_memory = r->out_of_memory || own == NULL;
            return own;
        }
        xml->pool = jv_arena_alloc(&xml->arena, POOL, 1);
        xml->pool_left = xml->pool != NULL ? POOL : 0;
    }
    if (xml->pool == NULL) {
        r->out_of_memory = true;
        return NULL;
    }
    char *copy = xml->pool;
    memcpy(copy, text, length);
    copy[length] = '\0';
    xml->pool += length + 1;
    xml->pool_left -= length + 1;
    return copy;
}

static bool make_chunk(jv_xml *xml, size_t chunk) {
    if (chunk == xml->chunk_room) {
        size_t room = xml->chunk_room > 0 ? 2 * xml->chunk_room : FIRST_CHUNKS;
        jv_xml_node **more = jv_resize(xml->chunks, room, sizeof *more);
        if (more == NULL) {
            return false;
        }
        memset(more + xml->chunk_room, 0, (room - xml->chunk_room) * sizeof(jv_xml_node *));
        xml->chunks = more;
        xml->chunk_room = room;
    }
    xml->chunks[chunk] = jv_zalloc(JV_XML_CHUNK, sizeof(jv_xml_node));
    return xml->chunks[chunk] != NULL;
}

static jv_xml_node *new_node(reader *r, uint16_t name, uint16_t type) {
    jv_xml *xml = r->xml;
    jv_xml_at at = (jv_xml_at)(xml->n_nodes + 1);
    size_t most = xml->most_nodes > 0 ? xml->most_nodes : JV_HARNESS_NODES;
    if (xml->n_nodes >= most) {
        jv_text message = {0};
        jv_text_addf(&message, "the file has more elements than the %zu that are read at most",
                     most);
        refuse(r, JV_CODE_HARNESS_LARGE, "Export one harness at a time.", jv_text_str(&message));
        jv_text_clear(&message);
        return NULL;
    }
    size_t chunk = at >> JV_XML_CHUNK_BITS;
    if ((chunk >= xml->chunk_room || xml->chunks[chunk] == NULL) && !make_chunk(xml, chunk)) {
        no_memory(r);
        return NULL;
    }
    xml->n_nodes++;
    jv_xml_node *node = jv_xml_get(xml, at);
    size_t line = line_of(r);
    *node = (jv_xml_node){.name = name, .type = type, .parent = r->open[r->depth]};
    node->line = line < UINT32_MAX ? (uint32_t)line : UINT32_MAX;
    if (r->last[r->depth] != 0) {
        jv_xml_get(xml, r->last[r->depth])->next = at;
    } else if (r->depth > 0) {
        jv_xml_get(xml, r->open[r->depth])->first = at;
    }
    r->last[r->depth] = at;
    r->depth++;
    r->open[r->depth] = at;
    r->last[r->depth] = 0;
    return node;
}

/* One more element of a kind that is passed over. */
static void count_skip(reader *r, const char *kind, size_t length) {
    jv_xml *xml = r->xml;
    for (size_t i = 0; i < xml->n_skips; i++) {
        if (strncmp(xml->skips[i].kind, kind, length) == 0 && xml->skips[i].kind[length] == '\0') {
            xml->skips[i].count++;
            return;
        }
    }
    if (xml->n_skips == MOST_SKIP_KINDS) {
        xml->skips[MOST_SKIP_KINDS - 1].count++;
        return;
    }
    if (xml->n_skips == xml->skip_room) {
        size_t room = xml->skip_room > 0 ? 2 * xml->skip_room : 16;
        jv_xml_skip *more = jv_resize(xml->skips, room, sizeof *more);
        if (more == NULL) {
            no_memory(r);
            return;
        }
        xml->skips = more;
        xml->skip_room = room;
    }
    const char *copy = keep_text(r, kind, length);
    if (copy == NULL) {
        no_memory(r);
        return;
    }
    xml->skips[xml->n_skips++] = (jv_xml_skip){copy, 1};
}

/* The value of an attribute; NULL when it is absent. libxml2 gives five pointers each: name,
 * prefix, namespace, begin and end of the value. */
static const char *attribute(const xmlChar **attributes, int n, const char *space, const char *name,
                             size_t *length) {
    for (int i = 0; i < n; i++, attributes += 5) {
        const char *its = (const char *)attributes[2];
        bool same_space = space == NULL ? its == NULL : its != NULL && strcmp(its, space) == 0;
        if (same_space && strcmp((const char *)attributes[0], name) == 0) {
            *length = (size_t)(attributes[4] - attributes[3]);
            return (const char *)attributes[3];
        }
    }
    return NULL;
}

/* xsi:type without its prefix. */
static const char *type_of(const xmlChar **attributes, int n, size_t *length) {
    const char *type = attribute(attributes, n, schema_instance, "type", length);
    const char *colon = type != NULL ? memchr(type, ':', *length) : NULL;
    if (colon != NULL) {
        *length -= (size_t)(colon + 1 - type);
        type = colon + 1;
    }
    while (type != NULL && *length > 0 && strchr(" \t\r\n", type[*length - 1]) != NULL) {
        (*length)--;
    }
    return type;
}

/* The root tells what file it is. */
static void open_root(reader *r, const char *name, const xmlChar **attributes, int n) {
    for (size_t i = 0; i < r->n_forms && r->xml->form == NULL; i++) {
        if (strcmp(r->forms[i]->words[1], name) == 0) {
            r->xml->form = r->forms[i];
        }
    }
    if (r->xml->form == NULL) {
        jv_text message = {0};
        bool old = strcmp(name, "KBL_schema") == 0;
        jv_text_addf(&message, "the root element is <%.80s>: %s", name,
                     old ? "KBL before 2.3, which is not read" : "not a harness file");
        refuse(r, JV_CODE_HARNESS_ROOT,
               old ? "Export it as KBL 2.3 or later."
                   : "Give a KBL file (root KBL_container) or a VEC file (root VecContent).",
               jv_text_str(&message));
        jv_text_clear(&message);
        return;
    }
    for (const uint16_t *t = r->xml->form->targets; *t != 0; t++) {
        r->target[*t] = true;
    }
    size_t length;
    const char *version = attribute(attributes, n, NULL, "version_id", &length);
    if (version != NULL) {
        r->xml->version_hint = keep_text(r, version, length);
    }
}

static void keep_element(reader *r, uint16_t name, uint16_t type, const char *id, size_t length) {
    jv_xml_node *node = new_node(r, name, type);
    r->text.length = 0;
    if (node != NULL && id != NULL && r->target[name]) {
        node->id = keep_text(r, id, length);
        if (node->id == NULL) {
            no_memory(r);
        }
    }
}

static void start_element(void *ctx, const xmlChar *name, const xmlChar *prefix,
                          const xmlChar *space, int n_spaces, const xmlChar **spaces,
                          int n_attributes, int n_defaulted, const xmlChar **attributes) {
    (void)prefix, (void)space, (void)n_spaces, (void)spaces, (void)n_defaulted;
    reader *r = ctx;
    if (r->refused || r->out_of_memory) {
        return;
    }
    if (r->depth + r->skipped >= JV_HARNESS_DEPTH) {
        refuse(r, JV_CODE_HARNESS_DEPTH, "A harness file nests about ten levels.",
               "elements are nested more than 64 levels deep");
        return;
    }
    if (r->skipped > 0) {
        r->skipped++;
        return;
    }
    if (r->depth == 0) {
        open_root(r, (const char *)name, attributes, n_attributes);
        if (r->refused) {
            return;
        }
    }
    size_t id_length = 0, type_length = 0;
    const char *id = attribute(attributes, n_attributes, NULL, "id", &id_length);
    const char *type = type_of(attributes, n_attributes, &type_length);
    uint16_t word = word_of(r, name), type_word = 0;
    if (type != NULL) {
        const xmlChar *own =
            xmlDictLookup(r->parser->dict, (const xmlChar *)type, (int)type_length);
        if (own == NULL) {
            no_memory(r);
            return;
        }
        type_word = word_of(r, own);
    }
    uint16_t parent = r->depth > 0 ? jv_xml_get(r->xml, r->open[r->depth])->name : 0;
    if (word != 0 && r->xml->form->keep(parent, word, type_word)) {
        keep_element(r, word, type_word, id, id_length);
        return;
    }
    r->skipped = 1;
    r->text.length = 0;
    if (id != NULL) { /* an object, not a mere value */
        if (type != NULL) {
            count_skip(r, type, type_length);
        } else {
            count_skip(r, (const char *)name, strlen((const char *)name));
        }
    }
}

static bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

static void end_element(void *ctx, const xmlChar *name, const xmlChar *prefix,
                        const xmlChar *space) {
    (void)name, (void)prefix, (void)space;
    reader *r = ctx;
    if (r->refused || r->out_of_memory) {
        return;
    }
    if (r->skipped > 0) {
        r->skipped--;
        return;
    }
    jv_xml_node *node = jv_xml_get(r->xml, r->open[r->depth]);
    const char *text = r->text.data;
    size_t length = r->text.length;
    while (length > 0 && is_blank(*text)) {
        text++;
        length--;
    }
    while (length > 0 && is_blank(text[length - 1])) {
        length--;
    }
    if (length > 0 && node->first == 0) {
        node->text = keep_text(r, text, length);
    }
    r->text.length = 0;
    r->depth--;
    if (r->out_of_memory) {
        no_memory(r);
    }
}

static void characters(void *ctx, const xmlChar *text, int length) {
    reader *r = ctx;
    if (r->refused || r->out_of_memory || r->skipped > 0 || length <= 0) {
        return;
    }
    if (r->text.length + (size_t)length > JV_HARNESS_TEXT) {
        refuse(r, JV_CODE_HARNESS_LARGE, "A name, a number or a list of links is meant here.",
               "one text is longer than the 1048576 bytes that are read at most");
        return;
    }
    jv_text_add_n(&r->text, (const char *)text, (size_t)length);
    if (r->text.failed) {
        no_memory(r);
    }
}

/* Entities can only be declared in a document type; neither standard uses one. */
static void document_type(void *ctx, const xmlChar *name, const xmlChar *external,
                          const xmlChar *system) {
    (void)name, (void)external, (void)system;
    refuse(ctx, JV_CODE_HARNESS_DOCTYPE, "Take the <!DOCTYPE ...> out: KBL and VEC use none.",
           "a document type declaration is not read: it can declare entities and name other "
           "files");
}

/* What libxml2 found, in one line. */
static void tell_syntax(reader *r) {
    const xmlError *error = xmlCtxtGetLastError(r->parser);
    jv_place place = {r->xml->file, NULL, line_of(r), 0};
    jv_text message = {0};
    if (error != NULL && error->code == XML_ERR_NO_MEMORY) {
        r->out_of_memory = true;
        return;
    }
    jv_text_add(&message, "not well-formed XML");
    if (error != NULL && r->ended && error->code == XML_ERR_DOCUMENT_END) {
        jv_text_add(&message, ": the file ends before its root element does");
    } else if (error != NULL && error->message != NULL) {
        size_t length = strlen(error->message);
        while (length > 0 && is_blank(error->message[length - 1])) {
            length--;
        }
        jv_text_add(&message, ": ");
        jv_text_add_n(&message, error->message, length);
        if (error->line > 0) {
            place.line = (size_t)error->line;
        }
    }
    jv_diag_add(r->diags, JV_ERROR, JV_CODE_HARNESS_XML, &place,
                "Export the file anew; a part of it may be missing.", "%s", jv_text_str(&message));
    r->out_of_memory = r->out_of_memory || message.failed;
    r->refused = true;
    jv_text_clear(&message);
}

/* Hand bytes to the parser; false = read no further. */
static bool feed(void *ctx, const char *bytes, size_t length) {
    reader *r = ctx;
    while (length > 0 && !r->refused && !r->out_of_memory) {
        size_t n = length < FEED ? length : FEED;
        int error = xmlParseChunk(r->parser, bytes, (int)n, 0);
        if (error != XML_ERR_OK && !r->refused && !r->out_of_memory && !r->parser->wellFormed) {
            tell_syntax(r);
        }
        bytes += n;
        length -= n;
    }
    return !r->refused && !r->out_of_memory;
}

static jv_status begin(reader *r, jv_xml *xml, const char *name, const jv_xml_form *const *forms,
                       size_t n_forms, jv_diags *diags) {
    xmlSAXHandler handler;
    memset(&handler, 0, sizeof handler);
    handler.initialized = XML_SAX2_MAGIC;
    handler.startElementNs = start_element;
    handler.endElementNs = end_element;
    handler.characters = characters;
    handler.cdataBlock = characters;
    handler.internalSubset = document_type;
    memset(r, 0, sizeof *r);
    r->xml = xml;
    r->diags = diags;
    r->forms = forms;
    r->n_forms = n_forms;
    xml->file = name != NULL ? jv_arena_copy(&xml->arena, name, strlen(name)) : NULL;
    r->parser = xmlCreatePushParserCtxt(&handler, r, NULL, 0, NULL);
    if (r->parser == NULL || (name != NULL && xml->file == NULL)) {
        return JV_ERR_MEMORY;
    }
    xmlCtxtUseOptions(r->parser, XML_PARSE_NONET | XML_PARSE_COMPACT);
    return JV_OK;
}

static jv_status finish(reader *r) {
    if (!r->refused && !r->out_of_memory) {
        r->ended = true;
        xmlParseChunk(r->parser, NULL, 0, 1);
        if (!r->refused && !r->out_of_memory && !r->parser->wellFormed) {
            tell_syntax(r);
        }
    }
    return r->out_of_memory ? JV_ERR_MEMORY : r->refused ? JV_ERR_INPUT : JV_OK;
}

static void end(reader *r) {
    if (r->parser != NULL) {
        xmlFreeParserCtxt(r->parser);
    }
    jv_text_clear(&r->text);
}

jv_status jv_xml_read_file(const char *path, const jv_xml_form *const *forms, size_t n_forms,
                           jv_diags *diags, jv_xml *xml) {
    reader *r = jv_alloc(1, sizeof *r);
    if (r == NULL) {
        return JV_ERR_MEMORY;
    }
    const char *name = strcmp(path, "-") == 0 ? "standard input" : path;
    jv_status status = begin(r, xml, name, forms, n_forms, diags);
    if (status == JV_OK) {
        status = jv_file_stream(path, JV_HARNESS_BYTES, diags, feed, r);
    }
    if (status == JV_OK) {
        status = finish(r);
    }
    end(r);
    jv_free(r);
    return status;
}

jv_status jv_xml_read_text(const char *text, size_t length, const char *name,
                           const jv_xml_form *const *forms, size_t n_forms, jv_diags *diags,
                           jv_xml *xml) {
    reader *r = jv_alloc(1, sizeof *r);
    if (r == NULL) {
        return JV_ERR_MEMORY;
    }
    jv_status status = begin(r, xml, name, forms, n_forms, diags);
    if (status == JV_OK) {
        feed(r, text, length);
        status = finish(r);
    }
    end(r);
    jv_free(r);
    return status;
}

void jv_xml_clear(jv_xml *xml) {
    for (size_t i = 0; i < xml->chunk_room; i++) {
        jv_free(xml->chunks[i]);
    }
    jv_free(xml->chunks);
    jv_free(xml->skips);
    jv_free(xml->names);
    jv_arena_clear(&xml->arena);
    *xml = (jv_xml){0};
}
