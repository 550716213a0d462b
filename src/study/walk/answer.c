/* answer.c - reading what a person wrote. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include "jackvolt/quantity.h"

#include <math.h>
#include <string.h>

enum { MOST_LENGTH = 100 };
/* No meter on a sound or faulty 12 V vehicle shows more: V; A; ohm (40 Mohm ranges exist). */
static const double most_v = 32.0, most_a = 2000.0, most_ohm = 1e8;
/* A bare number above this, where millivolts are due, V. */
static const double doubtful_v = 2.0, fine_v = 0.2;
static const double milli = 1e-3;

static char lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* Lower case, single spaces, none at the ends. False: too long. */
static bool tidy(const char *text, char out[MOST_LENGTH + 1]) {
    size_t n = 0;
    bool gap = false;
    for (; *text; text++) {
        bool blank = *text == ' ' || *text == '\t' || *text == '\r' || *text == '\n';
        if (blank) {
            gap = n > 0;
            continue;
        }
        if (n + 2 > MOST_LENGTH)
            return false;
        if (gap)
            out[n++] = ' ';
        gap = false;
        out[n++] = lower(*text);
    }
    out[n] = '\0';
    return true;
}

static bool one_of(const char *s, const char *const *words, size_t n) {
    for (size_t k = 0; k < n; k++)
        if (strcmp(s, words[k]) == 0)
            return true;
    return false;
}

static bool is_skip(const char *s) {
    static const char *const words[] = {"skip", "cannot reach", "can't reach", "can not reach",
                                        "cannot"};
    return one_of(s, words, sizeof words / sizeof words[0]);
}
static bool is_over(const char *s) {
    static const char *const words[] = {"ol",       "o.l",  "o.l.", "o/l",     "1 .",
                                        "overload", "over", "open", "no beep", "infinite"};
    return one_of(s, words, sizeof words / sizeof words[0]);
}
static bool is_done(const char *s) {
    static const char *const words[] = {"done", "d", "y", "yes", "ok", "ready"};
    return one_of(s, words, sizeof words / sizeof words[0]);
}

/* --- choices --- */

static bool contains(const char *haystack, const char *needle) {
    size_t n = strlen(needle);
    for (; *haystack; haystack++) {
        size_t k = 0;
        while (k < n && haystack[k] && lower(haystack[k]) == needle[k])
            k++;
        if (k == n)
            return true;
    }
    return false;
}

static jv_status read_choice(const jv_walk *w, const char *s, jv_given *out, jv_text *problem) {
    const jv_step *step = &w->step;
    const char *end;
    double number;
    size_t found = step->n_choices, hits = 0;
    out->kind = JV_GIVEN_CHOICE;
    if (jv_number_read(s, &number, &end) && !*end) {
        if (number >= 1.0 && number <= (double)step->n_choices && number == floor(number)) {
            out->choice = (size_t)number - 1;
            return JV_OK;
        }
        jv_text_addf(problem, "write a number from 1 to %zu", step->n_choices);
        return JV_ERR_INPUT;
    }
    for (size_t k = 0; *s && k < step->n_choices; k++)
        if (contains(step->choices[k], s)) {
            found = k;
            hits++;
        }
    out->choice = found;
    if (hits == 1)
        return JV_OK;
    jv_text_addf(problem,
                 hits ? "that fits %zu of the choices: write its number"
                      : "write the number of one of the %zu choices",
                 hits ? hits : step->n_choices);
    return JV_ERR_INPUT;
}

/* --- readings --- */

static jv_dim dim_of(jv_wants wants) {
    switch (wants) {
    case JV_WANTS_AMPS:
        return JV_DIM_CURRENT;
    case JV_WANTS_OHMS:
        return JV_DIM_RESISTANCE;
    case JV_WANTS_RATIO:
        return JV_DIM_NUMBER;
    default:
        return JV_DIM_VOLTAGE;
    }
}

static const char *example(jv_wants wants) {
    switch (wants) {
    case JV_WANTS_AMPS:
        return "48 A";
    case JV_WANTS_OHMS:
        return "0.4 ohm, or OL";
    case JV_WANTS_RATIO:
        return "0.35";
    case JV_WANTS_MILLIVOLTS:
        return "35 mV";
    default:
        return "12.43 V, or 35 mV";
    }
}

static jv_status refuse_unit(jv_wants wants, const char *s, const jv_quantity_fault *fault,
                             jv_text *problem) {
    jv_value other;
    static const struct {
        jv_dim dim;
        const char *name;
    } dims[] = {{JV_DIM_VOLTAGE, "volts"}, {JV_DIM_CURRENT, "amps"}, {JV_DIM_RESISTANCE, "ohms"}};
    for (size_t k = 0; k < sizeof dims / sizeof dims[0]; k++)
        if (dims[k].dim != dim_of(wants) &&
            jv_quantity_read(s, dims[k].dim, &other, NULL) == JV_OK) {
            jv_text_addf(
                problem,
                "'%s' is in %s, and this step measures %s: check the meter's function, then "
                "write for example %s",
                s, dims[k].name, jv_dim_name(dim_of(wants)), example(wants));
            return JV_ERR_INPUT;
        }
    jv_text_addf(problem, "cannot read '%s' (%s); write for example %s", s,
                 fault->message[0] ? fault->message : "not a reading", example(wants));
    return JV_ERR_INPUT;
}

/* Bare numbers have the unit of the step. */
static jv_status read_number(jv_wants wants, const char *text, const char *s, double *value,
                             bool *bare, jv_text *problem) {
    const char *end;
    jv_quantity_fault fault;
    jv_value v;
    *bare = jv_number_read(s, value, &end) && !*end;
    if (*bare) {
        if (wants == JV_WANTS_MILLIVOLTS)
            *value *= milli;
        return JV_OK;
    }
    if (wants == JV_WANTS_RATIO) {
        jv_text_add(problem, "write a plain number, for example 0.35");
        return JV_ERR_INPUT;
    }
    memset(&fault, 0, sizeof fault);
    if (jv_quantity_read(text, dim_of(wants), &v, &fault) != JV_OK)
        return refuse_unit(wants, text, &fault, problem);
    if (v.spread != JV_EXACT) {
        jv_text_add(problem, "write one reading, as the meter shows it");
        return JV_ERR_INPUT;
    }
    *value = v.nominal;
    return JV_OK;
}

/* Digits behind the point of a number that is written in whole volts. */
static size_t decimals(const char *s) {
    const char *point = strchr(s, '.');
    size_t n = 0;
    while (point && point[n + 1] >= '0' && point[n + 1] <= '9')
        n++;
    return n;
}

/* Small volts to a count of 10 mV: the range below tells more, and the finder counts on it. */
static bool too_coarse(const jv_walk *w, double value, const char *s) {
    enum { FINE_DECIMALS = 3 };
    const jv_step *step = &w->step;
    return step->wants == JV_WANTS_VOLTS && step->check != JV_FIND_NONE &&
           w->meter.millivolts.step > 0.0 && fabs(value) < w->meter.millivolts.full_scale &&
           !strstr(s, "mv") && decimals(s) < FINE_DECIMALS;
}

static jv_status check_range(const jv_walk *w, double value, bool bare, jv_text *problem) {
    const jv_step *s = &w->step;
    if ((s->wants == JV_WANTS_VOLTS || s->wants == JV_WANTS_MILLIVOLTS) && fabs(value) > most_v)
        jv_text_addf(problem,
                     "%.4g V is more than a 12 V vehicle has: check the range; if the meter shows "
                     "millivolts write \"%.4g mV\"",
                     value, value);
    else if (s->wants == JV_WANTS_VOLTS && bare && s->has_healthy && fabs(value) > doubtful_v &&
             s->act != JV_ACT_PROVE_DEAD && fabs(s->healthy.high) < fine_v)
        jv_text_addf(problem,
                     "millivolts are expected here: write the unit, \"%.4g mV\" or \"%.4g V\"",
                     value, value);
    else if (s->wants == JV_WANTS_AMPS && fabs(value) > most_a)
        jv_text_addf(problem, "%.4g A is more than any clamp meter reads here: check the range",
                     value);
    else if (s->wants == JV_WANTS_OHMS && value < 0.0)
        jv_text_add(problem,
                    "ohms below zero: there is still voltage on the circuit. Stop, find the "
                    "source that is on, prove it dead again");
    else if (s->wants == JV_WANTS_OHMS && value > most_ohm)
        jv_text_add(problem, "no hand meter shows that many ohms: write OL for overload");
    else
        return JV_OK;
    return JV_ERR_INPUT;
}

static jv_status read_reading(const jv_walk *w, const char *text, const char *s, jv_given *out,
                              jv_text *problem) {
    bool bare;
    if (is_over(s)) {
        out->kind = JV_GIVEN_OVER;
        if (w->step.wants == JV_WANTS_OHMS)
            return JV_OK;
        jv_text_add(problem,
                    "overload here means that the range is too small: take the next larger "
                    "one and read again");
        return JV_ERR_INPUT;
    }
    if (strcmp(s, "beep") == 0 || strcmp(s, "beeps") == 0) {
        jv_text_add(problem, "a beep is not zero (some meters beep at 100 ohm): read the number");
        return JV_ERR_INPUT;
    }
    out->kind = JV_GIVEN_VALUE;
    jv_status status = read_number(w->step.wants, text, s, &out->value, &bare, problem);
    if (status == JV_OK && too_coarse(w, out->value, s)) {
        jv_text_addf(
            problem,
            "that small, take it on millivolts and write for example \"%.0f mV\" (or three "
            "decimals of a volt)",
            out->value / milli);
        return JV_ERR_INPUT;
    }
    return status == JV_OK ? check_range(w, out->value, bare, problem) : status;
}

/* Steps that may be left out. */
static bool may_skip(const jv_walk *w) {
    switch (w->step.act) {
    case JV_ACT_VOLTS:
    case JV_ACT_AMPS:
    case JV_ACT_OHMS:
    case JV_ACT_LOOK:
    case JV_ACT_LOCATE:
    case JV_ACT_REPAIR:
    case JV_ACT_SHORTS:
    case JV_ACT_PROOF:
        return true;
    default:
        return false;
    }
}

jv_status jv_walk_read(const jv_walk *w, const char *text, jv_given *out, jv_text *problem) {
    char s[MOST_LENGTH + 1];
    memset(out, 0, sizeof *out);
    if (!tidy(text, s)) {
        jv_text_addf(problem, "longer than any answer: at most %d characters", (int)MOST_LENGTH);
        return JV_ERR_INPUT;
    }
    if (is_skip(s)) {
        out->kind = JV_GIVEN_SKIP;
        if (may_skip(w))
            return JV_OK;
        jv_text_add(problem,
                    w->step.wants == JV_WANTS_CHOICE
                        ? "this question has an answer for not knowing: take that one"
                        : "this step keeps you safe and cannot be left out; write quit when "
                          "you cannot do it, all is saved");
        return JV_ERR_INPUT;
    }
    switch (w->step.wants) {
    case JV_WANTS_CHOICE:
        return read_choice(w, s, out, problem);
    case JV_WANTS_DONE:
        out->kind = JV_GIVEN_DONE;
        if (is_done(s))
            return JV_OK;
        jv_text_add(problem, "write done when it is done");
        return JV_ERR_INPUT;
    case JV_WANTS_NOTHING:
        jv_text_add(problem, "the walk has ended");
        return JV_ERR_INPUT;
    default:
        return read_reading(w, text, s, out, problem);
    }
}
