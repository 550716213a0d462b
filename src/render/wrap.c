/* wrap.c - plain sentences in lines of a given width. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"

#include <string.h>

/* Columns already on the last line of the buffer. */
static size_t current_column(const jv_text *out) {
    const char *text = jv_text_str(out);
    const char *newline = strrchr(text, '\n');
    return jv_text_columns(newline ? newline + 1 : text);
}

static size_t word_columns(const char *word, size_t length) {
    size_t columns = 0;
    /* One column a character: count the bytes that start one (UTF-8 continuation
     * bytes are 10xxxxxx). */
    for (size_t i = 0; i < length; i++)
        columns += ((unsigned char)word[i] & 0xC0) != 0x80;
    return columns;
}

void jv_wrap(jv_text *out, const char *text, size_t indent, size_t width) {
    if (!width)
        width = JV_STYLE_WIDTH;
    size_t column = current_column(out);
    bool line_has_words = false;
    while (*text) {
        size_t length = strcspn(text, " \n");
        if (text[length] == ' ' && text[length + 1] == '%')
            length += 1 + strcspn(text + length + 1, " \n"); /* "24 %" stays together */
        size_t columns = word_columns(text, length);
        if (length) {
            if (line_has_words && column + 1 + columns > width) {
                jv_text_add_char(out, '\n');
                column = 0;
                line_has_words = false;
            }
            size_t gap = line_has_words ? 1 : column < indent ? indent - column : 0;
            jv_text_repeat(out, " ", gap);
            jv_text_add_n(out, text, length);
            column += gap + columns;
            line_has_words = true;
        }
        text += length;
        if (*text == '\n') {
            jv_text_add_char(out, '\n');
            column = 0;
            line_has_words = false;
        }
        text += *text != '\0';
    }
    if (column)
        jv_text_add_char(out, '\n');
}
