/* page.c - a page that was written, read back as XML. SPDX-License-Identifier: MIT */
#include "tests/support/page.h"

#include <libxml/xpathInternals.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

void page_read(read_page *p, const jv_text *text) {
    p->doc = xmlReadMemory(text->data, (int)text->length, "page", NULL, XML_PARSE_NONET);
    assert_non_null(p->doc);
    p->paths = xmlXPathNewContext(p->doc);
    assert_non_null(p->paths);
    xmlXPathRegisterNs(p->paths, (const xmlChar *)"h",
                       (const xmlChar *)"http://www.w3.org/1999/xhtml");
    xmlXPathRegisterNs(p->paths, (const xmlChar *)"s",
                       (const xmlChar *)"http://www.w3.org/2000/svg");
}

void page_free(read_page *p) {
    xmlXPathFreeContext(p->paths);
    xmlFreeDoc(p->doc);
}

double page_number(const read_page *p, const char *path) {
    xmlXPathObject *o = xmlXPathEval((const xmlChar *)path, p->paths);
    assert_non_null(o);
    double value = xmlXPathCastToNumber(o);
    xmlXPathFreeObject(o);
    return value;
}

char *page_text(const read_page *p, const char *path) {
    xmlXPathObject *o = xmlXPathEval((const xmlChar *)path, p->paths);
    assert_non_null(o);
    char *text = (char *)xmlXPathCastToString(o);
    xmlXPathFreeObject(o);
    return text;
}

void page_assert_text(const read_page *p, const char *path, const char *expected) {
    char *text = page_text(p, path);
    if (strcmp(text, expected) != 0)
        print_message("%s\n", path);
    assert_string_equal(text, expected);
    xmlFree(text);
}
