/* page.h - a page that was written, read back as XML. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_PAGE_H
#define TESTS_SUPPORT_PAGE_H

#include "jackvolt/text.h"

#include <libxml/parser.h>
#include <libxml/xpath.h>

/* In the paths `h` is XHTML and `s` is SVG. */
typedef struct read_page {
    xmlDoc *doc;
    xmlXPathContext *paths;
} read_page;

/* Fails the test when the text is not well formed. */
void page_read(read_page *p, const jv_text *text);
void page_free(read_page *p);

double page_number(const read_page *p, const char *path);
/* Text of the first node; "" when there is none. Free with xmlFree. */
char *page_text(const read_page *p, const char *path);
void page_assert_text(const read_page *p, const char *path, const char *expected);

#endif
