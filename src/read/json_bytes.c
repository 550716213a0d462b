/* json_bytes.c - is it text at all, and where its lines are. SPDX-License-Identifier: MIT */
#include "read/json_reader.h"

#include <string.h>

#define MARK_STEP 4096     /* bytes between marks: a place costs at most so many steps */
#define BINARY_SAMPLE 4096 /* bytes looked at to tell rubbish from text */
#define BINARY_SHARE 10    /* one byte in so many may be odd in a text */
#define FEW_ODD 3          /* a short text of another encoding is a text all the same */
#define LISTED_LINES 5     /* lines with bad bytes that the message names */

/* Line and column (characters) of the byte at a multiple of MARK_STEP, from 0. */
typedef struct jv_json_mark {
    uint32_t line;
    uint32_t column;
} jv_json_mark;

/* The table 3-7 of the Unicode standard: which second bytes are valid. */
static bool second_byte_fits(unsigned char first, unsigned char second) {
    switch (first) {
    case 0xe0:
        return second >= 0xa0 && second <= 0xbf;
    case 0xed:
        return second >= 0x80 && second <= 0x9f;
    case 0xf0:
        return second >= 0x90 && second <= 0xbf;
    case 0xf4:
        return second >= 0x80 && second <= 0x8f;
    default:
        return (second & 0xc0) == 0x80;
    }
}

size_t jv_utf8_step(const char *s, size_t left) {
    unsigned char first = (unsigned char)s[0];
    if (first < 0x80) {
        return 1;
    }
    if (first < 0xc2 || first > 0xf4) {
        return 0;
    }
    size_t n = first < 0xe0 ? 2 : first < 0xf0 ? 3 : 4;
    if (left < n || !second_byte_fits(first, (unsigned char)s[1])) {
        return 0;
    }
    for (size_t i = 2; i < n; i++) {
        if (((unsigned char)s[i] & 0xc0) != 0x80) {
            return 0;
        }
    }
    return n;
}

/* The first byte from offset on that is not UTF-8, or length. */
static size_t first_bad_byte(const char *text, size_t length, size_t offset) {
    const uint64_t high_bits = UINT64_C(0x8080808080808080);
    while (offset < length) {
        uint64_t eight;
        if (length - offset >= sizeof eight) {
            memcpy(&eight, text + offset, sizeof eight);
            if ((eight & high_bits) == 0) {
                offset += sizeof eight;
                continue;
            }
        }
        size_t step = jv_utf8_step(text + offset, length - offset);
        if (step == 0) {
            return offset;
        }
        offset += step;
    }
    return length;
}

static void advance(const char *s, size_t n, jv_json_mark *mark) {
    for (size_t i = 0; i < n; i++) {
        if (s[i] == '\n') {
            mark->line++;
            mark->column = 0;
        } else if (((unsigned char)s[i] & 0xc0) != 0x80) {
            mark->column++;
        }
    }
}

static bool set_marks(jv_json_doc *doc) {
    doc->marks = jv_alloc(doc->length / MARK_STEP + 1, sizeof *doc->marks);
    if (doc->marks == NULL) {
        return false;
    }
    jv_json_mark mark = {0, 0};
    for (size_t offset = 0; offset <= doc->length; offset += MARK_STEP) {
        doc->marks[offset / MARK_STEP] = mark;
        size_t left = doc->length - offset;
        advance(doc->text + offset, left < MARK_STEP ? left : MARK_STEP, &mark);
    }
    return true;
}

jv_place jv_json_place_at(const jv_json_doc *doc, size_t offset) {
    jv_json_mark mark = {0, 0};
    size_t start = 0;
    if (offset > doc->length) {
        offset = doc->length;
    }
    if (doc->marks != NULL) {
        start = offset / MARK_STEP * MARK_STEP;
        mark = doc->marks[offset / MARK_STEP];
    }
    advance(doc->text + start, offset - start, &mark);
    return (jv_place){doc->file, NULL, (size_t)mark.line + 1, (size_t)mark.column + 1};
}

/* A fault of the file as a whole. */
static void whole_fault(jv_json_reader *r, jv_code code, const char *hint, const char *message) {
    jv_place place = {r->doc->file, NULL, 0, 0};
    jv_diag_add(r->diags, JV_ERROR, code, &place, hint, "%s", message);
    r->faults++;
}

static bool is_utf16(const char *text, size_t length) {
    if (length < 2) {
        return false;
    }
    return memcmp(text, "\xff\xfe", 2) == 0 || memcmp(text, "\xfe\xff", 2) == 0 ||
           (text[0] == '\0' && strchr("{[\"", text[1]) != NULL && text[1] != '\0') ||
           (text[1] == '\0' && strchr("{[\"", text[0]) != NULL && text[0] != '\0');
}

static bool looks_binary(const char *text, size_t length) {
    if (memchr(text, '\0', length) != NULL) {
        return true;
    }
    size_t sample = length < BINARY_SAMPLE ? length : BINARY_SAMPLE;
    size_t odd = 0;
    for (size_t i = 0; i < sample;) {
        size_t step = jv_utf8_step(text + i, length - i);
        bool control = (unsigned char)text[i] < ' ' && strchr("\t\n\r\f", text[i]) == NULL;
        odd += step == 0 || control;
        i += step == 0 ? 1 : step;
    }
    return odd * BINARY_SHARE > sample && (odd > FEW_ODD || odd * 2 > sample);
}

static bool is_blank(const char *text, size_t length) {
    for (size_t i = 0; i < length; i++) {
        if (strchr(" \t\r\n", text[i]) == NULL) {
            return false;
        }
    }
    return true;
}

/* One message for all bytes that are not UTF-8: they have one cause, the encoding in
 * which the file was saved. */
static void check_utf8(jv_json_reader *r) {
    size_t bad = first_bad_byte(r->text, r->length, 0);
    if (bad == r->length) {
        return;
    }
    r->bad_bytes = true;
    jv_text lines = {0};
    size_t count = 0;
    size_t told = 0;
    for (size_t at = bad; at < r->length; at = first_bad_byte(r->text, r->length, at + 1)) {
        size_t line = jv_json_place_at(r->doc, at).line;
        if (line != told && count < LISTED_LINES) {
            jv_text_addf(&lines, "%s%zu", count > 0 ? ", " : "", line);
            count++;
        } else if (line != told) {
            jv_text_add(&lines, " and more");
            break;
        }
        told = line;
    }
    r->out_of_memory = r->out_of_memory || lines.failed;
    jv_json_report(r, JV_CODE_JSON_UTF8, bad,
                   "save the file as UTF-8 (editors call it encoding); a sign such as the degree "
                   "sign or ohm can also be written degF, ohm",
                   "byte 0x%02X is not UTF-8 text (line %s)", (unsigned)(unsigned char)r->text[bad],
                   jv_text_str(&lines));
    jv_text_clear(&lines);
}

bool jv_json_open(jv_json_reader *r, const jv_json_options *options) {
    const size_t most = ((size_t)1 << 29) - 1; /* jv_json_value.length has 29 bits */
    size_t limit =
        options != NULL && options->max_bytes > 0 ? options->max_bytes : JV_JSON_DEFAULT_BYTES;
    limit = limit < most ? limit : most;
    if (r->length > limit) {
        jv_place place = {r->doc->file, NULL, 0, 0};
        jv_diag_add(r->diags, JV_ERROR, JV_CODE_JSON_TOO_LARGE, &place, NULL,
                    "the text has %zu bytes; at most %zu are read", r->length, limit);
        r->faults++;
        return false;
    }
    if (is_utf16(r->text, r->length)) {
        whole_fault(r, JV_CODE_JSON_UTF8, "save the file as UTF-8",
                    "the text is UTF-16, two bytes a character");
        return false;
    }
    if (r->length >= 3 && memcmp(r->text, "\xef\xbb\xbf", 3) == 0) {
        r->text += 3;
        r->length -= 3;
    }
    r->doc->text = r->text;
    r->doc->length = r->length;
    if (is_blank(r->text, r->length)) {
        whole_fault(r, JV_CODE_JSON_EMPTY, "start from one of the example circuits",
                    r->length == 0 ? "the file is empty" : "the file holds nothing but blanks");
        return false;
    }
    if (looks_binary(r->text, r->length)) {
        whole_fault(r, JV_CODE_JSON_BINARY, "give a JSON file, which is plain text",
                    "this is no text: it holds zero bytes, control characters or rubbish");
        return false;
    }
    if (!set_marks(r->doc)) {
        r->out_of_memory = true;
        return false;
    }
    check_utf8(r);
    return true;
}
