/* page.h - an XHTML page with SVG, built as a tree. SPDX-License-Identifier: MIT */
#ifndef RENDER_PAGE_H
#define RENDER_PAGE_H

#include "jackvolt/status.h"
#include "jackvolt/text.h"

#include <stdbool.h>

/* The one place of the layer that knows libxml2. Nothing is pasted: elements, attributes and
 * texts are nodes, so that the page is well formed whatever a name holds. A function given a
 * NULL tag does nothing, and a failure stays in page->failed: only jv_page_print needs its
 * status checked. Texts are copied; characters that XML does not know become U+FFFD. */

typedef struct jv_tag jv_tag; /* an element, owned by its page */

typedef struct jv_page {
    void *tree;
    jv_tag *head, *body;
    unsigned ids; /* figures numbered so far */
    bool failed;
} jv_page;

/* Start a page; on failure page->failed is set. css: lines, ended by NULL, with none of < > &: a
 * browser that reads the page as HTML does not undo their escapes there. */
void jv_page_begin(jv_page *page, const char *title, const char *const *css);
/* Append the page to out and free it. */
jv_status jv_page_print(jv_page *page, jv_text *out);
void jv_page_clear(jv_page *page); /* frees without printing */

/* A new last child; class_name and text may be NULL. */
jv_tag *jv_tag_add(jv_page *page, jv_tag *parent, const char *name, const char *class_name);
jv_tag *jv_tag_text(jv_page *page, jv_tag *parent, const char *name, const char *class_name,
                    const char *text);
jv_tag *jv_tag_textf(jv_page *page, jv_tag *parent, const char *name, const char *class_name,
                     const char *format, ...) __attribute__((format(printf, 5, 6)));
/* Text behind what the element holds. */
void jv_tag_say(jv_page *page, jv_tag *tag, const char *text);
void jv_tag_set(jv_page *page, jv_tag *tag, const char *attribute, const char *value);
void jv_tag_setf(jv_page *page, jv_tag *tag, const char *attribute, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* An SVG drawing of width x height units with its name and description for who does not see
 * it; its children are drawn with jv_tag_add and svg.h. */
jv_tag *jv_tag_svg(jv_page *page, jv_tag *parent, double width, double height, const char *title,
                   const char *description);

#endif
