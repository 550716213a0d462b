/* page.c - an XHTML page with SVG, built as a tree. SPDX-License-Identifier: MIT */
#include "render/page.h"

#include <libxml/tree.h>
#include <libxml/xmlsave.h>
#include <stdarg.h>
#include <string.h>

static const char xhtml_space[] = "http://www.w3.org/1999/xhtml";
static const char svg_space[] = "http://www.w3.org/2000/svg";

static const xmlChar *x(const char *s) {
    return (const xmlChar *)s;
}

static xmlNode *node_of(jv_tag *tag) {
    return (xmlNode *)(void *)tag;
}

static jv_tag *tag_of(jv_page *page, xmlNode *node) {
    if (!node)
        page->failed = true;
    return (jv_tag *)(void *)node;
}

/* XML 1.0 knows no control characters but tab and line ends, and not U+FFFE and U+FFFF. */
static bool is_fit(const unsigned char *s) {
    if (s[0] < 0x20)
        return s[0] == '\t' || s[0] == '\n' || s[0] == '\r';
    return !(s[0] == 0xEF && s[1] == 0xBF && (s[2] == 0xBE || s[2] == 0xBF));
}

/* The text as it may stand in a page: itself, or a mended copy in `room`. */
static const char *fit(const char *text, jv_text *room) {
    const unsigned char *s = (const unsigned char *)text;
    size_t i = 0;
    while (s[i] && is_fit(s + i))
        i++;
    if (!s[i])
        return text;
    for (i = 0; s[i]; i++) {
        if (is_fit(s + i)) {
            jv_text_add_char(room, text[i]);
            continue;
        }
        jv_text_add(room, "\xEF\xBF\xBD");
        i += s[i] < 0x20 ? 0 : 2; /* U+FFFE and U+FFFF take three bytes */
    }
    return jv_text_str(room);
}

jv_tag *jv_tag_add(jv_page *page, jv_tag *parent, const char *name, const char *class_name) {
    if (!parent || page->failed)
        return NULL;
    xmlNode *up = node_of(parent);
    jv_tag *tag = tag_of(page, xmlNewChild(up, up->ns, x(name), NULL));
    if (class_name)
        jv_tag_set(page, tag, "class", class_name);
    return tag;
}

void jv_tag_say(jv_page *page, jv_tag *tag, const char *text) {
    if (!tag || page->failed)
        return;
    jv_text room = {0};
    xmlNode *node = xmlNewText(x(fit(text, &room)));
    if (!node || room.failed || !xmlAddChild(node_of(tag), node))
        page->failed = true;
    jv_text_clear(&room);
}

jv_tag *jv_tag_text(jv_page *page, jv_tag *parent, const char *name, const char *class_name,
                    const char *text) {
    jv_tag *tag = jv_tag_add(page, parent, name, class_name);
    jv_tag_say(page, tag, text);
    return tag;
}

jv_tag *jv_tag_textf(jv_page *page, jv_tag *parent, const char *name, const char *class_name,
                     const char *format, ...) {
    jv_text text = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&text, format, args);
    va_end(args);
    jv_tag *tag = jv_tag_text(page, parent, name, class_name, jv_text_str(&text));
    if (text.failed)
        page->failed = true;
    jv_text_clear(&text);
    return tag;
}

void jv_tag_set(jv_page *page, jv_tag *tag, const char *attribute, const char *value) {
    if (!tag || page->failed)
        return;
    jv_text room = {0};
    if (!xmlSetProp(node_of(tag), x(attribute), x(fit(value, &room))) || room.failed)
        page->failed = true;
    jv_text_clear(&room);
}

void jv_tag_setf(jv_page *page, jv_tag *tag, const char *attribute, const char *format, ...) {
    if (!tag || page->failed)
        return;
    jv_text text = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&text, format, args);
    va_end(args);
    jv_tag_set(page, tag, attribute, jv_text_str(&text));
    if (text.failed)
        page->failed = true;
    jv_text_clear(&text);
}

void jv_page_begin(jv_page *page, const char *title, const char *const *css) {
    memset(page, 0, sizeof *page);
    xmlDoc *doc = xmlNewDoc(x("1.0"));
    page->tree = doc;
    xmlNode *root = doc ? xmlNewDocNode(doc, NULL, x("html"), NULL) : NULL;
    if (!root) {
        page->failed = true;
        return;
    }
    xmlDocSetRootElement(doc, root);
    xmlNs *space = xmlNewNs(root, x(xhtml_space), NULL);
    xmlSetNs(root, space);
    jv_tag *html = tag_of(page, root);
    if (!space || !xmlCreateIntSubset(doc, x("html"), NULL, NULL))
        page->failed = true;
    jv_tag_set(page, html, "lang", "en");
    if (!page->failed && !xmlNewNsProp(root, xmlSearchNs(doc, root, x("xml")), x("lang"), x("en")))
        page->failed = true;
    page->head = jv_tag_add(page, html, "head", NULL);
    jv_tag *meta = jv_tag_add(page, page->head, "meta", NULL);
    jv_tag_set(page, meta, "http-equiv", "Content-Type");
    jv_tag_set(page, meta, "content", "text/html; charset=UTF-8");
    meta = jv_tag_add(page, page->head, "meta", NULL);
    jv_tag_set(page, meta, "name", "viewport");
    jv_tag_set(page, meta, "content", "width=device-width, initial-scale=1");
    jv_tag_text(page, page->head, "title", NULL, title);
    jv_tag *style = jv_tag_add(page, page->head, "style", NULL);
    for (; *css; css++)
        jv_tag_say(page, style, *css);
    page->body = jv_tag_add(page, html, "body", NULL);
}

jv_tag *jv_tag_svg(jv_page *page, jv_tag *parent, double width, double height, const char *title,
                   const char *description) {
    jv_tag *svg = jv_tag_add(page, parent, "svg", NULL);
    if (!svg)
        return NULL;
    xmlNs *space = xmlNewNs(node_of(svg), x(svg_space), NULL);
    if (!space) {
        page->failed = true;
        return NULL;
    }
    xmlSetNs(node_of(svg), space);
    unsigned id = ++page->ids;
    jv_tag_setf(page, svg, "viewBox", "0 0 %.0f %.0f", width, height);
    jv_tag_setf(page, svg, "width", "%.0f", width);
    jv_tag_setf(page, svg, "height", "%.0f", height);
    jv_tag_set(page, svg, "role", "img");
    jv_tag_setf(page, svg, "aria-labelledby", "figure-%u-title figure-%u-text", id, id);
    jv_tag *t = jv_tag_text(page, svg, "title", NULL, title);
    jv_tag_setf(page, t, "id", "figure-%u-title", id);
    t = jv_tag_text(page, svg, "desc", NULL, description);
    jv_tag_setf(page, t, "id", "figure-%u-text", id);
    return svg;
}

/* Written by the rules that both readings share: no XML declaration, every element closed
 * by a tag of its own but those that HTML knows as empty. */
jv_status jv_page_print(jv_page *page, jv_text *out) {
    xmlBuffer *buffer = page->failed ? NULL : xmlBufferCreate();
    xmlSaveCtxt *save =
        buffer ? xmlSaveToBuffer(buffer, "UTF-8", XML_SAVE_XHTML | XML_SAVE_NO_DECL) : NULL;
    bool done = save && xmlSaveDoc(save, page->tree) >= 0;
    if (save && xmlSaveClose(save) < 0)
        done = false;
    if (done)
        jv_text_add_n(out, (const char *)xmlBufferContent(buffer), (size_t)xmlBufferLength(buffer));
    xmlBufferFree(buffer);
    jv_page_clear(page);
    return done && !out->failed ? JV_OK : JV_ERR_MEMORY;
}

void jv_page_clear(jv_page *page) {
    if (page->tree)
        xmlFreeDoc(page->tree);
    memset(page, 0, sizeof *page);
}
