/* json_key.c - keys of a JSON text that stand without quotes. SPDX-License-Identifier: MIT */
#include "read/json_reader.h"

#include <string.h>

/* The end of a run of words that may be a key; *colon is where its colon stands, 0 = none. */
static size_t bare_key_end(const jv_json_reader *r, size_t start, size_t *colon) {
    size_t at = start;
    while (at < r->length && strchr(":=,}]{[\"'\n", r->text[at]) == NULL) {
        at++;
    }
    size_t behind = at;
    if (jv_json_byte(r, at) == '"' || jv_json_byte(r, at) == '\'') { /* closed, never opened */
        behind = jv_json_past_blanks(r, behind + 1);
    }
    *colon = jv_json_byte(r, behind) == ':' ? behind : 0;
    while (at > start && jv_json_is_blank(r->text[at - 1])) {
        at--;
    }
    return at;
}

bool jv_json_bare_key_at(const jv_json_reader *r, size_t at) {
    size_t colon = 0;
    char c = jv_json_byte(r, at);
    bool letter = (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (unsigned char)c >= 0x80;
    return (letter || c == '_' || c == '$') && bare_key_end(r, at, &colon) > at && colon > 0;
}

bool jv_json_scan_bare_key(jv_json_reader *r, jv_json_token *token) {
    char shown[JV_JSON_QUOTE];
    size_t colon = 0;
    size_t end = bare_key_end(r, r->at, &colon);
    end = end > r->at ? end : r->at + 1;
    const char *s = r->text + r->at;
    jv_json_quote(s, end - r->at, shown);
    token->start = r->at;
    token->end = colon > 0 ? colon : end;
    char behind = jv_json_byte(r, jv_json_past_blanks(r, end));
    r->at = token->end;
    if (behind == '"' && colon == 0) { /* does the true key follow? */
        size_t next = jv_json_past_blanks(r, jv_json_skip_string(r, jv_json_past_blanks(r, end)));
        behind = jv_json_byte(r, next) == ':' ? '\0' : behind;
    }
    if (colon == 0 && (behind == '\0' || strchr("{[\"=", behind) == NULL)) {
        jv_json_report(r, JV_CODE_JSON_SYNTAX, token->start, "a member is \"key\": value",
                       "%s is not a member of an object", shown);
        return false;
    }
    jv_text advice = {0};
    jv_text_addf(&advice, "write \"%s\"", shown);
    jv_json_report(r, JV_CODE_JSON_SYNTAX, token->start, jv_text_str(&advice),
                   "key %s stands without quotes", shown);
    r->out_of_memory = r->out_of_memory || advice.failed;
    jv_text_clear(&advice);
    token->type = JV_JSON_STRING;
    r->unsound = r->unsound || r->bad_bytes; /* nothing that is no UTF-8 gets into the tree */
    token->length = end - token->start;
    token->string = jv_json_keep(r, s, token->length);
    return true;
}
