/* fault.c - reading faults from words, and writing them. SPDX-License-Identifier: MIT */
#include "circuit/fault.h"

#include "jackvolt/tables.h"

#include <math.h>
#include <string.h>

/* A kind lists its ways to fail as patterns: plain words, and places for values (part_kind.h).
 * A text is matched from the left, word by word; a place takes one word or more. What may
 * be left out:
 *   - the value of a failure that has a spread, with the small word in front of it;
 *   - of a short: " from <E>" (then from a), " at <P> from <E>" (then the middle);
 * and a short may end in " through <R>" (else 0 ohm). */

struct jv_faults {
    jv_fault *items;
    size_t n, capacity;
};

/* One try to read a text as one failure. */
typedef struct jv_match {
    const jv_circuit *c;
    const jv_part *p;
    const jv_failure *failure;
    jv_fault fault;
    bool has_value;
    bool lenient;   /* a place may hold anything, if nothing right matches */
    bool complains; /* the place read now may: keep what is wrong with it */
    jv_code wrong;
    jv_text why, better;
} jv_match;

/* Longest text of a place, bytes: names and quantities are shorter. */
enum { PLACE_BYTES = 240 };
/* Middle of the conductor, and the whole of it. */
static const double middle = 0.5, whole = 1.0;

jv_faults *jv_faults_new(void) {
    return jv_zalloc(1, sizeof(jv_faults));
}

void jv_faults_free(jv_faults **faults) {
    if (!faults || !*faults)
        return;
    jv_free((*faults)->items);
    jv_free(*faults);
    *faults = NULL;
}

const jv_fault *jv_faults_list(const jv_faults *faults, size_t *n) {
    *n = faults ? faults->n : 0;
    return faults ? faults->items : NULL;
}

double jv_failure_middle(const jv_failure *failure) {
    return failure->low > 0.0 ? sqrt(failure->low * failure->high) : 0.0;
}

static size_t word_length(const char *s) {
    return strcspn(s, " \t");
}
static const char *skip_space(const char *s) {
    return s + strspn(s, " \t");
}

static int folded(char c) {
    return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c;
}

static bool same_word(const char *a, const char *b, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (folded(a[i]) != folded(b[i]))
            return false;
    return true;
}

static void complain(jv_match *m, jv_code code, const char *why, const char *better) {
    m->wrong = code;
    jv_text_clear(&m->why);
    jv_text_clear(&m->better);
    jv_text_add(&m->why, why);
    if (better)
        jv_text_add(&m->better, better);
}

/* The terminals at the two ends of a conductor are its first two keys. */
static bool read_end(jv_match *m, const char *text, bool *from_b) {
    bool a = strcmp(text, "a") == 0, b = strcmp(text, "b") == 0;
    for (unsigned key = 0; key < 2 && !a && !b; key++) {
        int32_t t = jv_part_terminal(m->c, m->p, key);
        if (t < 0 || strcmp(text, m->c->terminals[t]) != 0)
            continue;
        a = key == 0;
        b = key == 1;
    }
    *from_b = b;
    if (!a && !b && m->complains)
        complain(m, JV_CODE_FAULT_FORM, "the end is none of this part",
                 "Write \"from a\" or \"from b\".");
    return a || b;
}

/* A pin, output or point of this part. The name lives as long as the circuit. */
static const char *find_pin(const jv_match *m, const char *text) {
    for (uint32_t i = 0; i < m->p->n_slots; i++) {
        const jv_slot *s = &m->c->slots[m->p->first_slot + i];
        jv_key_type type = m->p->kind->keys[s->key].type;
        bool named = type == JV_KEY_PINS || type == JV_KEY_OUTPUTS || type == JV_KEY_POINTS;
        if (named && s->text && strcmp(s->text, text) == 0)
            return s->text;
    }
    return NULL;
}

/* May a failure of this way have this size? Says what is wrong, or NULL. */
static const char *size_is_wrong(jv_way way, double value) {
    if (value < 0.0)
        return "it must not be negative";
    if (way == JV_WAY_CHARGE && value > whole)
        return "a battery has at most 100 %";
    if (way == JV_WAY_THIN && value > whole)
        return "it has at most 100 % of its section";
    bool from_zero = way == JV_WAY_ADDED || way == JV_WAY_CHARGE || way == JV_WAY_SHORT ||
                     way == JV_WAY_INSIDE || way == JV_WAY_HOT || way == JV_WAY_LOOSE;
    if (!from_zero && value <= 0.0)
        return "it must be above zero";
    return NULL;
}

static bool read_quantity(jv_match *m, const char *text, jv_dim dim, double *out) {
    jv_quantity_fault why;
    jv_value value;
    memset(&why, 0, sizeof why);
    if (jv_quantity_read(text, dim, &value, &why) != JV_OK) {
        if (m->complains)
            complain(m, (jv_code)why.code, why.message, why.hint);
        return false;
    }
    if (value.spread != JV_EXACT) {
        if (m->complains)
            complain(m, JV_CODE_QUANTITY_SPREAD, "a fault has one size, not a spread", NULL);
        return false;
    }
    *out = value.nominal;
    return true;
}

static bool read_size(jv_match *m, const char *text, jv_dim dim) {
    double value;
    if (!read_quantity(m, text, dim, &value))
        return false;
    const char *wrong = size_is_wrong(m->failure->way, value);
    if (wrong && m->complains)
        complain(m, JV_CODE_QUANTITY_RANGE, wrong, NULL);
    if (wrong)
        return false;
    m->fault.value = value;
    m->has_value = true;
    return true;
}

static bool read_position(jv_match *m, const char *text) {
    double value;
    if (!read_quantity(m, text, JV_DIM_RATIO, &value))
        return false;
    bool fits = value >= 0.0 && value <= whole;
    if (fits)
        m->fault.position = value;
    else if (m->complains)
        complain(m, JV_CODE_QUANTITY_RANGE, "a place on the conductor is 0 % to 100 %", NULL);
    return fits;
}

static void complain_terminal(jv_match *m, const char *text) {
    enum { FAR = 4 };
    const char *best = NULL;
    size_t least = FAR;
    for (size_t i = 0; i < m->c->n_terminals; i++) {
        size_t distance = jv_text_distance(m->c->terminals[i], text, FAR);
        if (distance >= least)
            continue;
        least = distance;
        best = m->c->terminals[i];
    }
    complain(m, JV_CODE_TERMINAL_UNKNOWN, "", NULL);
    jv_text_addf(&m->why, "there is no terminal \"%s\"", text);
    if (best)
        jv_text_addf(&m->better, "Did you mean \"%s\"?", best);
}

static bool read_terminal(jv_match *m, const char *text) {
    m->fault.to = jv_circuit_find_terminal(m->c, text);
    if (m->fault.to >= 0)
        return true;
    if (m->complains)
        complain_terminal(m, text);
    return false;
}

static bool read_pin(jv_match *m, const char *text) {
    m->fault.pin = find_pin(m, text);
    if (!m->fault.pin && m->complains)
        complain(m, JV_CODE_FAULT_FORM, "the part has no such pin, output or point",
                 "Use a name of its \"pins\", \"outputs\" or \"points\".");
    return m->fault.pin != NULL;
}

static bool read_metal(jv_match *m, const char *text) {
    jv_metal metal;
    bool known = jv_metal_read(text, &metal) == JV_OK;
    m->fault.value = known ? (double)metal : 0.0;
    m->has_value = known;
    if (!known && m->complains)
        complain(m, JV_CODE_WORD_UNKNOWN, "there is no such metal",
                 "Write \"copper-clad aluminium\" or \"aluminium\".");
    return known;
}

/* Reads text (n bytes) for one place such as <R>. When lenient every text will do. */
static bool read_place(jv_match *m, char place, const char *s, size_t n, bool lenient) {
    char text[PLACE_BYTES];
    bool from_b = false, good = false;
    if (n == 0 || n >= sizeof text)
        return false;
    m->complains = lenient;
    memcpy(text, s, n);
    text[n] = '\0';
    bool is_short = m->failure->way == JV_WAY_SHORT;
    switch (place) {
    case 'R':
        good = read_size(m, text, JV_DIM_RESISTANCE);
        break;
    case 'I':
        good = read_size(m, text, JV_DIM_CURRENT);
        break;
    case 'V':
        good = read_size(m, text, JV_DIM_VOLTAGE);
        break;
    case 'P':
        good = is_short ? read_position(m, text) : read_size(m, text, JV_DIM_RATIO);
        break;
    case 'T':
        good = read_terminal(m, text);
        break;
    case 'N':
        good = read_pin(m, text);
        break;
    case 'W':
        good = read_metal(m, text);
        break;
    case 'E':
        good = read_end(m, text, &from_b);
        if (from_b)
            m->fault.position = whole - m->fault.position;
        break;
    default:
        break;
    }
    return good || lenient;
}

static bool match_rest(jv_match *m, const char *pattern, const char *text);

/* One end of a place: text[0..n), and the rest of the pattern behind it. */
static bool match_until(jv_match *m, const char *pattern, const char *text, size_t n,
                        bool lenient) {
    bool at_end = text[n] == '\0' || text[n] == ' ' || text[n] == '\t';
    if (n == 0 || !at_end || text[n - 1] == ' ' || text[n - 1] == '\t')
        return false;
    jv_fault before = m->fault;
    bool had = m->has_value;
    if (read_place(m, pattern[1], text, n, lenient) &&
        match_rest(m, skip_space(pattern + strlen("<R>")), skip_space(text + n)))
        return true;
    m->fault = before;
    m->has_value = had;
    return false;
}

/* A place ends at a space or at the end of the text: the longest first, so that names with
 * spaces win over their beginnings. A wrong one (lenient) is the shortest that lets the
 * rest match, and counts only when no right one does. */
static bool match_place(jv_match *m, const char *pattern, const char *text) {
    size_t longest = strlen(text);
    if (longest >= PLACE_BYTES)
        longest = PLACE_BYTES - 1;
    for (size_t n = longest; n > 0; n--)
        if (match_until(m, pattern, text, n, false))
            return true;
    for (size_t n = 1; n <= longest && m->lenient; n++)
        if (match_until(m, pattern, text, n, true))
            return true;
    return false;
}

/* The rest of a short that may be left out. */
static bool match_short_tail(jv_match *m, const char *pattern, const char *text) {
    static const char through[] = "through ";
    bool optional = *pattern == '\0' || strncmp(pattern, "at <P>", strlen("at <P>")) == 0 ||
                    strncmp(pattern, "from <E>", strlen("from <E>")) == 0;
    if (!optional)
        return false;
    if (*text == '\0')
        return true;
    if (strncmp(text, through, strlen(through)) != 0)
        return false;
    const char *ohms = skip_space(text + strlen(through));
    return read_place(m, 'R', ohms, strlen(ohms), m->lenient);
}

/* Can the pattern go on behind a value that is left out? Steps over "<R>", and over a
 * small word that only leads to it: "to <P>". NULL when it cannot. */
static const char *without_value(const jv_match *m, const char *pattern) {
    static const char *const leading[] = {"", "to ", "by ", "at "};
    if (m->failure->low <= 0.0 || m->failure->way == JV_WAY_SHORT)
        return NULL;
    for (size_t k = 0; k < sizeof leading / sizeof leading[0]; k++) {
        size_t n = strlen(leading[k]);
        const char *at = pattern + n;
        if (strncmp(pattern, leading[k], n) != 0 || at[0] != '<')
            continue;
        if (at[1] == 'R' || at[1] == 'I' || at[1] == 'V' || at[1] == 'P')
            return skip_space(at + strlen("<R>"));
    }
    return NULL;
}

static bool match_rest(jv_match *m, const char *pattern, const char *text) {
    if (m->failure->way == JV_WAY_SHORT && match_short_tail(m, pattern, text))
        return true;
    const char *shorter = without_value(m, pattern);
    if (shorter && match_rest(m, shorter, text))
        return true;
    if (*pattern == '\0')
        return *text == '\0';
    if (*pattern == '<')
        return match_place(m, pattern, text);
    size_t n = word_length(pattern);
    if (word_length(text) != n || !same_word(pattern, text, n))
        return false;
    return match_rest(m, skip_space(pattern + n), skip_space(text + n));
}

static bool match_failure(jv_match *m, const jv_failure *failure, const char *text, bool lenient) {
    m->failure = failure;
    m->lenient = lenient;
    m->has_value = false;
    m->fault.way = (uint8_t)failure->way;
    m->fault.failure = (uint8_t)(failure - m->p->kind->failures);
    m->fault.value = 0.0;
    m->fault.position = failure->way == JV_WAY_SHORT ? middle : 0.0;
    m->fault.to = -1;
    m->fault.pin = NULL;
    if (!match_rest(m, failure->words, text))
        return false;
    if (!m->has_value && failure->way != JV_WAY_SHORT)
        m->fault.value = jv_failure_middle(failure);
    return true;
}

/* Copy without space at either end. */
static void trimmed(jv_text *out, const char *s, size_t n) {
    while (n > 0 && (*s == ' ' || *s == '\t')) {
        s++;
        n--;
    }
    while (n > 0 && (s[n - 1] == ' ' || s[n - 1] == '\t'))
        n--;
    jv_text_add_n(out, s, n);
}

/* The part named before a colon; names may hold colons, the longest name wins. Returns its
 * index and sets *words, or -1. */
static int32_t find_named(const jv_circuit *c, const char *text, const char **words,
                          jv_text *name) {
    for (size_t n = strlen(text); n > 0; n--) {
        if (text[n - 1] != ':')
            continue;
        jv_text_clear(name);
        trimmed(name, text, n - 1);
        *words = skip_space(text + n);
        int32_t part = jv_circuit_find_part(c, jv_text_str(name));
        if (part >= 0)
            return part;
    }
    return -1; /* name: what stands before the first colon */
}

/* Reports at a byte of the text, which is shown as the line of a file is. */
static void report(jv_diags *d, const char *text, size_t offset, jv_code code, const char *hint,
                   const char *message, ...) __attribute__((format(printf, 6, 7)));

static void report(jv_diags *d, const char *text, size_t offset, jv_code code, const char *hint,
                   const char *message, ...) {
    jv_text said = {0}, before = {0};
    va_list args;
    va_start(args, message);
    jv_text_vaddf(&said, message, args);
    va_end(args);
    jv_text_add_n(&before, text, offset);
    jv_place place = {"--fault", NULL, 1, jv_text_columns(jv_text_str(&before)) + 1};
    jv_diag_add(d, JV_ERROR, code, &place, hint, "%s", jv_text_str(&said));
    if (strlen(text) <= JV_DIAG_LINE)
        jv_diag_source_line(d, text, strlen(text));
    d->out_of_memory |= said.failed || before.failed;
    jv_text_clear(&said);
    jv_text_clear(&before);
}

static void report_no_part(const jv_circuit *c, const char *text, const char *name, jv_diags *d) {
    enum { FAR = 6 };
    const char *best = NULL;
    size_t least = FAR;
    for (size_t i = 0; i < c->n_parts; i++) {
        size_t distance = jv_text_distance(c->parts[i].name, name, FAR);
        if (distance >= least)
            continue;
        least = distance;
        best = c->parts[i].name;
    }
    jv_text hint = {0};
    if (best)
        jv_text_addf(&hint, "Did you mean \"%s\"?", best);
    else
        jv_text_add(&hint, "'jackvolt drop FILE' lists the parts of a file.");
    report(d, text, 0, JV_CODE_PART_UNKNOWN, jv_text_str(&hint),
           "there is no part \"%s\" to put a fault in", name);
    if (hint.failed)
        d->out_of_memory = true;
    jv_text_clear(&hint);
}

/* The words that the part takes, with an example in each place. */
static void list_words(jv_text *out, const jv_part *p) {
    static const char *const examples[][2] = {
        {"<R>", "35 mohm"},  {"<I>", "2 A"},  {"<V>", "0.5 V"}, {"<P>", "40 %"},
        {"<T>", "TERMINAL"}, {"<N>", "NAME"}, {"<E>", "a"},     {"<W>", "aluminium"},
    };
    for (size_t i = 0; i < p->kind->n_failures; i++) {
        jv_text_add(out, i ? ", \"" : "Write \"");
        for (const char *s = p->kind->failures[i].words; *s;) {
            size_t k = 0, n = sizeof examples / sizeof examples[0];
            while (k < n && strncmp(s, examples[k][0], strlen(examples[k][0])) != 0)
                k++;
            if (k < n)
                jv_text_add(out, examples[k][1]);
            else
                jv_text_add_char(out, *s);
            s += k < n ? strlen(examples[k][0]) : 1;
        }
        jv_text_add_char(out, '"');
    }
    jv_text_add(out, p->kind->n_failures ? "." : "This kind of part has no way to fail.");
}

/* words: the text behind the part's name, which begins at a byte of it. */
static void report_words(jv_match *m, const char *text, size_t offset, const char *words,
                         jv_diags *d) {
    jv_text hint = {0};
    bool near = false;
    for (size_t i = 0; i < m->p->kind->n_failures && !near; i++)
        near = match_failure(m, &m->p->kind->failures[i], words, true) && m->why.length > 0;
    if (near) {
        jv_text_add(&hint, jv_text_str(&m->better));
        if (hint.length)
            jv_text_add(&hint, hint.data[hint.length - 1] == '?' ? " " : ". ");
        list_words(&hint, m->p);
        report(d, text, offset, m->wrong, jv_text_str(&hint), "in fault \"%s\": %s", words,
               jv_text_str(&m->why));
    } else {
        list_words(&hint, m->p);
        report(d, text, offset, JV_CODE_FAULT_FORM, jv_text_str(&hint),
               "%s \"%s\" cannot fail in the way \"%s\"", m->p->kind->name, m->p->name, words);
    }
    if (hint.failed || m->why.failed || m->better.failed)
        d->out_of_memory = true;
    jv_text_clear(&hint);
}

static jv_status keep(jv_faults *faults, const jv_fault *fault) {
    enum { FIRST = 4 };
    if (faults->n == faults->capacity) {
        size_t wanted = faults->capacity ? 2 * faults->capacity : FIRST;
        jv_fault *moved = jv_resize(faults->items, wanted, sizeof *moved);
        if (!moved)
            return JV_ERR_MEMORY;
        faults->items = moved;
        faults->capacity = wanted;
    }
    faults->items[faults->n++] = *fault;
    return JV_OK;
}

static jv_status read_words(jv_faults *faults, const jv_circuit *c, uint32_t part, const char *text,
                            const char *words, jv_diags *d) {
    jv_match m;
    memset(&m, 0, sizeof m);
    m.c = c;
    m.p = &c->parts[part];
    m.fault.part = part;
    jv_text bare = {0};
    trimmed(&bare, words, strlen(words));
    jv_status status = JV_ERR_INPUT;
    bool found = false;
    for (size_t i = 0; i < m.p->kind->n_failures && !found; i++)
        found = match_failure(&m, &m.p->kind->failures[i], jv_text_str(&bare), false);
    if (bare.failed)
        d->out_of_memory = true;
    else if (found)
        status = keep(faults, &m.fault);
    else
        report_words(&m, text, (size_t)(words - text), jv_text_str(&bare), d);
    jv_text_clear(&bare);
    jv_text_clear(&m.why);
    jv_text_clear(&m.better);
    return d->out_of_memory ? JV_ERR_MEMORY : status;
}

jv_status jv_faults_add(jv_faults *faults, const jv_circuit *c, const char *text, jv_diags *d) {
    jv_text name = {0};
    const char *words = NULL;
    jv_status status = JV_ERR_INPUT;
    int32_t part = find_named(c, text, &words, &name);
    if (name.failed) {
        d->out_of_memory = true;
    } else if (part >= 0) {
        status = read_words(faults, c, (uint32_t)part, text, words, d);
    } else if (words) {
        report_no_part(c, text, jv_text_str(&name), d);
    } else {
        report(d, text, 0, JV_CODE_FAULT_FORM,
               "Write the part, a colon and what is wrong: \"ground stud: 35 mohm added\".",
               "fault \"%s\" has no colon", text);
    }
    jv_text_clear(&name);
    return d->out_of_memory ? JV_ERR_MEMORY : status;
}

/* --- writing --- */

static void print_size(jv_text *out, double value, jv_dim dim) {
    enum { DIGITS = 3 };
    jv_quantity_print(out, value, dim, JV_UNITS_SI, DIGITS);
}

static void print_place(jv_text *out, const jv_circuit *c, const jv_fault *f, char place) {
    switch (place) {
    case 'R':
        print_size(out, f->value, JV_DIM_RESISTANCE);
        break;
    case 'I':
        print_size(out, f->value, JV_DIM_CURRENT);
        break;
    case 'V':
        print_size(out, f->value, JV_DIM_VOLTAGE);
        break;
    case 'P':
        print_size(out, f->way == JV_WAY_SHORT ? f->position : f->value, JV_DIM_RATIO);
        break;
    case 'T':
        jv_text_add(out, f->to >= 0 ? c->terminals[f->to] : "?");
        break;
    case 'N':
        jv_text_add(out, f->pin ? f->pin : "?");
        break;
    case 'W':
        jv_text_add(out, jv_metal_name((jv_metal)f->value));
        break;
    case 'E':
        jv_text_add(out, "a");
        break;
    default:
        break;
    }
}

void jv_fault_print(jv_text *out, const jv_circuit *c, const jv_fault *fault) {
    const jv_part *p = &c->parts[fault->part];
    jv_text_addf(out, "%s: ", p->name);
    for (const char *s = p->kind->failures[fault->failure].words; *s;) {
        if (s[0] == '<' && s[1] && s[2] == '>') {
            print_place(out, c, fault, s[1]);
            s += strlen("<R>");
        } else {
            jv_text_add_char(out, *s++);
        }
    }
    if (fault->way == JV_WAY_SHORT && fault->value > 0.0) {
        jv_text_add(out, " through ");
        print_size(out, fault->value, JV_DIM_RESISTANCE);
    }
}
