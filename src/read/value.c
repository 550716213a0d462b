/* value.c - single values of a circuit file. SPDX-License-Identifier: MIT */
#include "read/value.h"

#include <math.h>
#include <string.h>

bool jv_read_is(jv_reader *r, jv_source from, const char *name, jv_json_type type,
                const char *wanted, const char *hint) {
    jv_json_type is = (jv_json_type)from.node->type;
    if (is == type) {
        return true;
    }
    if (is == JV_JSON_BAD) {
        r->faulted = true;
    } else {
        jv_reader_fault(r, from, false, JV_CODE_KEY_TYPE, hint, "\"%s\" must be %s, not %s", name,
                        wanted, jv_json_type_name(is));
    }
    return false;
}

const char *jv_read_text(jv_reader *r, jv_source from, const char *name) {
    if (!jv_read_is(r, from, name, JV_JSON_STRING, "a text", "Write it in double quotes.")) {
        return NULL;
    }
    if (from.node->length == 0) {
        jv_reader_fault(r, from, false, JV_CODE_KEY_TYPE, "Write a name or a word in it.",
                        "\"%s\" is an empty text", name);
        return NULL;
    }
    return from.node->as.string;
}

/* The digits of a number of the file, as they were written. */
static void add_number(jv_source from, jv_text *out) {
    jv_text_add_n(out, from.doc->text + from.node->offset, from.node->length);
}

static void tell_bare(jv_reader *r, jv_source from, const jv_key *key) {
    jv_text hint = {0};
    jv_text number = {0};
    const char *units = jv_dim_units(key->dim);
    add_number(from, &number);
    jv_text_addf(&hint, "Write a text with a unit: \"%s %.*s\". Units that fit: %s.",
                 jv_text_str(&number), (int)strcspn(units, ","), units, units);
    jv_reader_fault(r, from, false, JV_CODE_QUANTITY_BARE, jv_text_str(&hint),
                    "\"%s\" is a %s and needs a unit, got the bare number %s", key->name,
                    jv_dim_name(key->dim), jv_text_str(&number));
    jv_text_clear(&hint);
    jv_text_clear(&number);
}

void jv_print_limit(jv_text *out, double value, jv_dim dim) {
    enum { MOST_DIGITS = 4 };
    int digits = 1;
    for (double back = NAN; digits < MOST_DIGITS; digits++) {
        jv_text text = {0};
        jv_text_addf(&text, "%.*g", digits, value);
        bool read = jv_number_read(jv_text_str(&text), &back, NULL);
        jv_text_clear(&text);
        if (!read || back == value) {
            break;
        }
    }
    jv_quantity_print(out, value, dim, JV_UNITS_SI, digits);
}

/* Beyond these a value is a slip, since no vehicle comes near (judgement), and the equations would
 * lose their digits; for keys without a range of their own. SI, see quantity.h; 0 = none. */
static const double beyond[JV_DIM_COUNT_] = {
    [JV_DIM_NUMBER] = 1e9,         [JV_DIM_RATIO] = 100.0, [JV_DIM_LENGTH] = 1e4,
    [JV_DIM_AREA] = 10.0,          [JV_DIM_VOLTAGE] = 1e4, [JV_DIM_CURRENT] = 1e5,
    [JV_DIM_RESISTANCE] = 1e9,     [JV_DIM_POWER] = 1e7,   [JV_DIM_CHARGE] = 1e9,
    [JV_DIM_TIME] = 4e9,           [JV_DIM_FORCE] = 1e8,   [JV_DIM_PRESSURE] = 1e10,
    [JV_DIM_MASS] = 1e6,           [JV_DIM_SPEED] = 1e3,   [JV_DIM_INDUCTANCE] = 1e6,
    [JV_DIM_INERTIA] = 1e6,        [JV_DIM_TORQUE] = 1e8,  [JV_DIM_FREQUENCY] = 1e9,
    [JV_DIM_MOTOR_CONSTANT] = 1e4,
};

/* Which rule of the key the value breaks: "must be above 0 m"; false when none. */
static bool broken_rule(const jv_key *key, const jv_value *v, jv_text *rule) {
    bool ranged = key->least != 0.0 || key->most != 0.0;
    bool zero_ok = (key->flags & JV_ZERO_OK) != 0;
    bool negative_ok = (key->flags & JV_NEGATIVE_OK) != 0;
    bool too_low = !negative_ok && (zero_ok ? v->low < 0.0 : v->low <= 0.0);
    bool outside = ranged && (v->low < key->least || v->high > key->most);
    double most = ranged ? 0.0 : beyond[key->dim];
    if (!too_low && !outside && (most == 0.0 || v->high <= most)) {
        return false;
    }
    if (ranged && (key->least != 0.0 || zero_ok)) {
        jv_text_add(rule, "must lie between ");
        jv_print_limit(rule, key->least, key->dim);
        jv_text_add(rule, " and ");
        jv_print_limit(rule, key->most, key->dim);
    } else if (ranged) {
        jv_text_add(rule, "must be above zero and at most ");
        jv_print_limit(rule, key->most, key->dim);
    } else {
        jv_text_add(rule, zero_ok ? "must not be below " : "must be above ");
        jv_print_limit(rule, 0.0, key->dim);
    }
    if (most > 0.0 && !too_low) {
        jv_text_add(rule, " and at most ");
        jv_print_limit(rule, most, key->dim);
    }
    return true;
}

static bool check_quantity(jv_reader *r, jv_source from, const jv_key *key, const char *text,
                           const jv_value *v) {
    if ((key->flags & JV_NO_SPREAD) != 0 && v->spread != JV_EXACT) {
        jv_reader_fault(r, from, false, JV_CODE_QUANTITY_SPREAD, "Give one value.",
                        "\"%s\" cannot have a spread, got \"%s\"", key->name, text);
        return false;
    }
    jv_text rule = {0};
    bool broken = broken_rule(key, v, &rule);
    if (broken) {
        const char *spread = v->spread == JV_EXACT ? "" : " (its spread is part of it)";
        jv_reader_fault(r, from, false, JV_CODE_QUANTITY_RANGE, "Check the value and its unit.",
                        "\"%s\" %s, got \"%s\"%s", key->name, jv_text_str(&rule), text, spread);
    }
    jv_text_clear(&rule);
    return !broken;
}

static bool read_number(jv_reader *r, jv_source from, const jv_key *key, jv_value *out) {
    if (key->dim != JV_DIM_NUMBER) {
        tell_bare(r, from, key);
        return false;
    }
    jv_value v = jv_value_exact(from.node->as.number);
    jv_text text = {0};
    add_number(from, &text);
    bool sound = check_quantity(r, from, key, jv_text_str(&text), &v);
    jv_text_clear(&text);
    if (sound) {
        *out = v;
    }
    return sound;
}

bool jv_read_quantity(jv_reader *r, jv_source from, const jv_key *key, jv_value *out) {
    if (from.node->type == JV_JSON_NUMBER) {
        return read_number(r, from, key, out);
    }
    jv_text wanted = {0};
    if (from.node->type != JV_JSON_STRING) {
        jv_text_addf(&wanted, "Units that fit: %s.", jv_dim_units(key->dim));
    }
    bool is_text = jv_read_is(r, from, key->name, JV_JSON_STRING, "a text with a number and a unit",
                              jv_text_str(&wanted));
    jv_text_clear(&wanted);
    if (!is_text) {
        return false;
    }
    jv_value v;
    jv_quantity_fault why;
    const char *text = from.node->as.string;
    if (jv_quantity_read(text, key->dim, &v, &why) != JV_OK) {
        jv_reader_fault(r, from, false, (jv_code)why.code, why.hint[0] != '\0' ? why.hint : NULL,
                        "\"%s\": %s", key->name, why.message);
        return false;
    }
    if (!check_quantity(r, from, key, text, &v)) {
        return false;
    }
    *out = v;
    return true;
}

bool jv_read_size(jv_reader *r, jv_source from, const jv_key *key, jv_size *out) {
    static const char form[] = "Write \"6 AWG\", \"2/0\", \"SAE 6\" or \"16 mm2\".";
    jv_quantity_fault why;
    if (from.node->type == JV_JSON_NUMBER) {
        jv_reader_fault(r, from, false, JV_CODE_SIZE_FORM, form,
                        "\"%s\" is a bare number; a conductor size needs its system", key->name);
        return false;
    }
    if (!jv_read_is(r, from, key->name, JV_JSON_STRING, "a conductor size", form)) {
        return false;
    }
    if (jv_size_read(from.node->as.string, out, &why) != JV_OK) {
        jv_reader_fault(r, from, false, (jv_code)why.code, why.hint[0] != '\0' ? why.hint : form,
                        "\"%s\": %s", key->name, why.message);
        return false;
    }
    return true;
}

bool jv_read_flag(jv_reader *r, jv_source from, const jv_key *key, bool *out) {
    if (from.doc != r->doc && from.node->type == JV_JSON_STRING) {
        /* A change of this run is a plain text. */
        *out = strcmp(from.node->as.string, "true") == 0;
        if (*out || strcmp(from.node->as.string, "false") == 0) {
            return true;
        }
    }
    if (!jv_read_is(r, from, key->name, JV_JSON_BOOL, "true or false",
                    "Write true or false, without quotes.")) {
        return false;
    }
    *out = from.node->as.boolean;
    return true;
}

/* Length of the choice at s ("agm|gel"). */
static size_t choice_length(const char *s) {
    return strcspn(s, "|");
}

static void tell_word(jv_reader *r, jv_source from, const jv_key *key) {
    enum { WORD_BYTES = 64 };
    jv_near near = jv_near_begin(from.node->as.string);
    jv_text known = {0};
    jv_text hint = {0};
    jv_text best = {0};
    for (const char *s = key->choices;; s += choice_length(s) + 1) {
        char word[WORD_BYTES];
        size_t n = choice_length(s);
        n = n < sizeof word - 1 ? n : sizeof word - 1;
        memcpy(word, s, n);
        word[n] = '\0';
        size_t least = near.least;
        jv_near_try(&near, word);
        if (near.least < least) {
            jv_text_clear(&best);
            jv_text_add(&best, word);
        }
        jv_text_addf(&known, "%s\"%s\"", known.length > 0 ? ", " : "Words known here: ", word);
        if (s[choice_length(s)] == '\0') {
            break;
        }
    }
    jv_text_add(&known, ".");
    if (best.length > 0) {
        jv_text_addf(&hint, "Did you mean \"%s\"? ", jv_text_str(&best));
    }
    jv_text_add(&hint, jv_text_str(&known));
    jv_reader_fault(r, from, false, JV_CODE_WORD_UNKNOWN, jv_text_str(&hint),
                    "\"%s\" cannot be \"%s\"", key->name, from.node->as.string);
    jv_text_clear(&known);
    jv_text_clear(&hint);
    jv_text_clear(&best);
}

bool jv_read_word(jv_reader *r, jv_source from, const jv_key *key, int *out) {
    if (jv_read_text(r, from, key->name) == NULL) {
        return false;
    }
    const char *word = from.node->as.string;
    size_t length = from.node->length;
    int number = 0;
    for (const char *s = key->choices;; s += choice_length(s) + 1, number++) {
        if (choice_length(s) == length && memcmp(s, word, length) == 0) {
            *out = number;
            return true;
        }
        if (s[choice_length(s)] == '\0') {
            break;
        }
    }
    tell_word(r, from, key);
    return false;
}

void jv_read_comment(jv_reader *r, jv_source from, const char **keep) {
    static const char form[] = "Write a text, or a list of texts, one a line.";
    jv_text all = {0};
    if (from.node->type == JV_JSON_ARRAY) {
        for (const jv_json_value *n = from.node->as.first; n != NULL; n = n->next) {
            if (jv_read_is(r, jv_reader_at(from, n), "comment", JV_JSON_STRING,
                           "a text or a list of texts", form)) {
                jv_text_addf(&all, "%s%s", n == from.node->as.first ? "" : "\n", n->as.string);
            }
        }
    } else if (jv_read_is(r, from, "comment", JV_JSON_STRING, "a text or a list of texts", form)) {
        jv_text_add(&all, from.node->as.string);
    }
    if (all.failed) {
        r->diags->out_of_memory = true;
    }
    if (!jv_reader_shows(jv_text_str(&all), "\n\r\t")) {
        jv_reader_fault(r, from, false, JV_CODE_KEY_TYPE, "Take it out.",
                        "a comment holds a control character");
    }
    if (keep != NULL) {
        *keep = jv_reader_keep(r, jv_text_str(&all));
    }
    jv_text_clear(&all);
}
