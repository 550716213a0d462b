/* value.h - single values of a circuit file. SPDX-License-Identifier: MIT */
#ifndef READ_VALUE_H
#define READ_VALUE_H

#include "read/reader.h"

/* Each reads the value of a key, or reports why it cannot. key->name stands in messages. */

/* A quantity of key->dim within the rules of the key. */
bool jv_read_quantity(jv_reader *r, jv_source from, const jv_key *key, jv_value *out);
/* The number of a word among key->choices. */
bool jv_read_word(jv_reader *r, jv_source from, const jv_key *key, int *out);
bool jv_read_flag(jv_reader *r, jv_source from, const jv_key *key, bool *out);
/* A text that is not empty, as long-lived as the document; NULL when there is none. */
const char *jv_read_text(jv_reader *r, jv_source from, const char *name);
bool jv_read_size(jv_reader *r, jv_source from, const jv_key *key, jv_size *out);
/* The value of a key in words for messages: the text, or "22" of a number. */
bool jv_read_is(jv_reader *r, jv_source from, const char *name, jv_json_type type,
                const char *wanted, const char *hint);
/* A limit of a key, as short as it is exact: "-60 degC". */
void jv_print_limit(jv_text *out, double value, jv_dim dim);
/* A comment: a text or a list of texts, joined by line ends; kept when keep is not NULL. */
void jv_read_comment(jv_reader *r, jv_source from, const char **keep);

#endif
