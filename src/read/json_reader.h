/* json_reader.h - what the files of the JSON reader share. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_READ_JSON_READER_H
#define JACKVOLT_READ_JSON_READER_H

#include "read/json.h"

/* The text holds no zero byte (such files are refused before), so that a zero
 * stands for its end: jv_json_byte. */

typedef enum jv_json_kind { JV_JSON_DOCUMENT, JV_JSON_IN_ARRAY, JV_JSON_IN_OBJECT } jv_json_kind;

typedef enum jv_json_want {
    JV_WANT_KEY,
    JV_WANT_COLON,
    JV_WANT_VALUE,
    JV_WANT_COMMA, /* or the closing bracket */
    JV_WANT_END    /* of the document */
} jv_json_want;

/* One open array or object; frame 0 is the document. */
typedef struct jv_json_frame {
    jv_json_value *node; /* NULL for the document */
    jv_json_value *last; /* newest child */
    size_t count;        /* children */
    size_t behind;       /* byte behind the last key, colon or value */
    size_t comma;        /* where the last comma stands */
    const char *key;
    size_t key_length;
    size_t key_offset;
    size_t opener; /* room for jv_json_suspect */
    jv_json_kind kind;
    jv_json_want want;
    bool after_comma; /* nothing came since the comma */
    bool in_child;    /* the key (or index) belongs to the pointer of a fault */
    bool quiet;       /* a fault was reported in this gap already */
    bool members;     /* an array that holds "key": value, reported once */
    bool compared;    /* an object whose keys were looked through for duplicates */
} jv_json_frame;

#define JV_JSON_MOST_DEPTH 4096 /* levels that options may ask for */
#define JV_JSON_CACHE 256

typedef struct jv_json_reader {
    const char *text;
    size_t length;
    size_t at;
    jv_json_doc *doc;
    jv_diags *diags;
    jv_json_frame *frames;
    size_t depth; /* index of the innermost frame */
    size_t max_depth;
    jv_json_value *pool; /* nodes not yet used */
    size_t pool_left;
    char *chars; /* room for strings */
    size_t chars_left;
    const char *cache[JV_JSON_CACHE]; /* short strings seen, so that equal ones share memory */
    jv_text scratch;
    size_t faults;
    bool bad_bytes; /* the text is not valid UTF-8 throughout */
    bool unsound;   /* after a fault the structure is a guess */
    bool quiet_end; /* what is open at the end was explained already */
    bool deep_told; /* JSON_DEPTH was reported */
    bool stop;      /* enough faults */
    bool out_of_memory;
} jv_json_reader;

/* A string or word of the text and what it means. */
typedef struct jv_json_token {
    size_t start;
    size_t end; /* where reading goes on */
    const char *string;
    size_t length;
    double number;
    jv_json_type type;
} jv_json_token;

/* json_fault.c */
/* Report a fault at a byte of the text. Counts it, adds pointer and line. */
void jv_json_report(jv_json_reader *r, jv_code code, size_t offset, const char *hint,
                    const char *message, ...) __attribute__((format(printf, 5, 6)));
/* Append one step of a JSON pointer, "/" and the key with ~ and / escaped. */
void jv_json_pointer_step(jv_text *out, const char *key, size_t length);
#define JV_JSON_QUOTE 64
/* A piece of the text fit for a message: at most about 40 bytes, no control
 * characters, valid UTF-8. Returns out. */
const char *jv_json_quote(const char *text, size_t length, char out[JV_JSON_QUOTE]);

/* json_bytes.c */
/* Length of the valid UTF-8 character at s (left bytes remain); 0 when it is none. */
size_t jv_utf8_step(const char *s, size_t left);
/* Size, byte order mark, emptiness, binary content and UTF-8 of the text; fills
 * doc->marks. False: nothing to parse. */
bool jv_json_open(jv_json_reader *r, const jv_json_options *options);

/* json_scan.c */
void jv_json_skip_space(jv_json_reader *r);
/* Is there a quotation mark that opens a string, right or wrong? */
bool jv_json_at_quote(const jv_json_reader *r);
/* Read the string at r->at (jv_json_at_quote); as_key: a colon is due behind it. */
void jv_json_scan_string(jv_json_reader *r, bool as_key, jv_json_token *token);
/* A lasting copy of a string; NULL when memory is short. */
const char *jv_json_keep(jv_json_reader *r, const char *s, size_t length);

/* json_number.c */
/* A number of JSON's grammar, taken apart. */
typedef struct jv_json_digits {
    size_t length; /* 0: not a number */
    uint64_t digits;
    size_t count; /* of digits but leading zeros */
    int scale;    /* power of ten of the last digit */
    bool negative;
} jv_json_digits;
/* The number of JSON's grammar at `start`; length 0 when there is none. */
jv_json_digits jv_json_number_at(const jv_json_reader *r, size_t start);
/* Its value, correctly rounded, infinite when too large. False: memory is short. */
bool jv_json_number_value(jv_json_reader *r, size_t start, const jv_json_digits *n, double *value);

/* json_word.c */
/* Read a number, a literal, or whatever else stands bare where a value is due. */
void jv_json_scan_word(jv_json_reader *r, jv_json_token *token);
/* Does true, false or null stand at `at`? */
bool jv_json_literal_at(const jv_json_reader *r, size_t at, jv_json_token *token);

/* json_key.c */
/* Read a key without quotes; false when no key can be made of it (reported). */
bool jv_json_scan_bare_key(jv_json_reader *r, jv_json_token *token);
/* Does word : stand at `at`? */
bool jv_json_bare_key_at(const jv_json_reader *r, size_t at);

/* json_mend.c */
/* Behind the string that opens at `at`, or at the end of its line when it has no end. */
size_t jv_json_skip_string(const jv_json_reader *r, size_t at);
/* A closing bracket that does not fit: how many frames to close with it. 0: it is
 * one too many. 1: it is the wrong kind. More: the inner ones lack theirs. */
size_t jv_json_frames_to_close(const jv_json_reader *r, char closer);
/* Is the innermost array short of its closing bracket? */
bool jv_json_array_unclosed(const jv_json_reader *r);
/* Behind the bracket that matches the one at offset, or the end of the text. */
size_t jv_json_skip_nested(const jv_json_reader *r, size_t offset);
/* The opening bracket whose closing one is indented like another's: most likely the
 * one that lacks its own. False: none stands out. */
bool jv_json_suspect(jv_json_reader *r, size_t *offset);

/* json_tree.c */
/* A new child of the innermost frame, NULL when memory is short. */
jv_json_value *jv_json_add(jv_json_reader *r, jv_json_type type, size_t offset);
/* The child of the innermost frame is complete; the text goes on at `behind`. */
void jv_json_value_done(jv_json_reader *r, size_t behind);
/* A child in whose place a fault stands. */
void jv_json_add_bad(jv_json_reader *r, size_t offset, size_t behind);
/* Report the duplicate keys of the innermost frame, an object. */
void jv_json_find_duplicates(jv_json_reader *r);

/* json_bracket.c */
char jv_json_closer(const jv_json_frame *f);
/* Handle the opening or closing bracket at r->at. */
void jv_json_open_bracket(jv_json_reader *r);
void jv_json_close_bracket(jv_json_reader *r);
/* The innermost frame ends; the text goes on at r->at. */
void jv_json_close_frame(jv_json_reader *r);
/* Report that the innermost array or object is not closed before offset. */
void jv_json_tell_missing_closer(jv_json_reader *r, size_t offset);
/* Report that the text ends inside arrays or objects. */
void jv_json_tell_unclosed(jv_json_reader *r);

static inline bool jv_json_is_blank(char c) /* a line end is none */
{
    return c == ' ' || c == '\t' || c == '\r';
}

static inline bool jv_json_is_digit(char c) {
    return c >= '0' && c <= '9';
}

static inline char jv_json_byte(const jv_json_reader *r, size_t offset) {
    return offset < r->length ? r->text[offset] : '\0';
}

/* The first byte from `at` on that is no blank. */
static inline size_t jv_json_past_blanks(const jv_json_reader *r, size_t at) {
    while (jv_json_is_blank(jv_json_byte(r, at))) {
        at++;
    }
    return at;
}

/* The scratch text, emptied. */
static inline jv_text *jv_json_scratch(jv_json_reader *r) {
    r->scratch.length = 0;
    if (r->scratch.data != NULL) {
        r->scratch.data[0] = '\0';
    }
    return &r->scratch;
}

#endif
