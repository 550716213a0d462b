/* quantity.c - read quantities with units and spread. SPDX-License-Identifier: MIT
 *
 *   quantity = side [".." side | "+/-" side | "+/-" number "%" | "*" "/" number]
 *   side     = number unit {number unit}        "22 ft 6 in", "1 h 20 min"
 *   number   = [sign] decimal | [sign] [whole] whole "/" whole   "3/8", "6 1/2"
 */
#include "jackvolt/quantity.h"

#include "base/plain.h"
#include "base/units.h"
#include "jackvolt/diag.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define UNIT_LENGTH 24          /* longer than every unit of the table */
#define ABSOLUTE_ZERO (-273.15) /* degC */
#define ABSOLUTE_ZERO_ROOM 1e-9 /* K; -459.67 degF must not fail by rounding */
#define NORMAL_CUT 3.0 /* standard deviations at which draws are cut, design of the spreads */
#define ROUNDING 1e-12 /* relative; 12 in are a whole foot though they round below it */
#define SQRT_2 1.4142135623730951

static const char RANGE_HINT[] = "write a range as 'low .. high', with the unit at the end";

typedef enum join { JOIN_NONE, JOIN_RANGE, JOIN_TOLERANCE, JOIN_FACTOR } join;

typedef struct reader {
    jv_plain plain;
    jv_dim dim;
    size_t at;
} reader;

/* One side as written; it becomes a value only when its unit is known. */
typedef struct side {
    double number;
    bool negative;
    double further;       /* SI, 0 or above: the inches of "22 ft 6 in" */
    const jv_unit *is_in; /* NULL: none was written */
    bool percent;         /* "%" where the dimension is no ratio: a tolerance */
    size_t start;         /* of the number */
    size_t unit;          /* of the first unit, the end of the number when there is none */
    size_t unit_end;      /* of the first unit */
} side;

static jv_status fault(const reader *r, jv_code code, size_t start, size_t end, const char *behind,
                       const char *hint) {
    return jv_plain_fault(&r->plain, code, start, end, "", behind, hint);
}

static void skip_blanks(reader *r) {
    r->at = jv_plain_skip_blanks(&r->plain, r->at);
}

/* What joins two sides at `at`; *length is set to its bytes. */
static join join_at(const reader *r, size_t at, size_t *length) {
    const char *c = r->plain.c + at;
    if (c[0] == '.' && c[1] == '.') {
        *length = 2;
        return JOIN_RANGE;
    }
    if (strncmp(c, "+/-", 3) == 0 || strncmp(c, "+-", 2) == 0) {
        *length = c[1] == '/' ? 3 : 2;
        return JOIN_TOLERANCE;
    }
    if (c[0] == '*') {
        const size_t slash = jv_plain_skip_blanks(&r->plain, at + 1);
        if (r->plain.c[slash] == '/') {
            *length = slash + 1 - at;
            return JOIN_FACTOR;
        }
    }
    *length = 0;
    return JOIN_NONE;
}

/* Whole digits at `at`; *end is set behind them. */
static double read_whole(const jv_plain *plain, size_t at, size_t *end) {
    double value = 0.0;
    while (jv_plain_is_digit(plain->c[at])) {
        value = value * 10.0 + (plain->c[at++] - '0');
    }
    *end = at;
    return value;
}

/* "3/8" or the "1/2" of "6 1/2" at `at`, lengths being written so; false = none stands there. */
static bool read_fraction(reader *r, size_t at, double *value) {
    size_t slash;
    size_t end;
    const double over = read_whole(&r->plain, at, &slash);
    if (slash == at || r->plain.c[slash] != '/') {
        return false;
    }
    const double under = read_whole(&r->plain, slash + 1, &end);
    if (end == slash + 1 || under == 0.0) {
        return false;
    }
    *value = over / under;
    r->at = end;
    return true;
}

/* An unsigned number at r->at. */
static bool read_number(reader *r, double *value) {
    const char *start = r->plain.c + r->at;
    const char *end;
    if (*start == '+' || *start == '-' || !jv_number_read(start, value, &end)) {
        return false;
    }
    const size_t at = r->at;
    r->at += (size_t)(end - start);
    if (r->dim != JV_DIM_LENGTH || *value != floor(*value)) {
        return true;
    }
    double part;
    if (*end == '/' && read_fraction(r, at, &part)) {
        *value = part;
    } else if (*end == ' ' && read_fraction(r, jv_plain_skip_blanks(&r->plain, r->at), &part) &&
               part < 1.0) {
        *value += part;
    }
    return true;
}

/* Copies the unit at r->at without blanks; stops at the end, at a join, at a number. A digit right
 * behind a letter belongs to the unit (mm2). False when it is too long for any unit. */
static bool take_unit(reader *r, char unit[UNIT_LENGTH]) {
    size_t n = 0;
    size_t length;
    bool fits = true;
    for (skip_blanks(r); r->plain.c[r->at] != '\0'; r->at++) {
        const char c = r->plain.c[r->at];
        const char before = r->at > 0 ? r->plain.c[r->at - 1] : ' ';
        const char behind = r->plain.c[r->at + 1];
        if (join_at(r, r->at, &length) != JOIN_NONE || c == '+') {
            break;
        }
        if ((jv_plain_is_digit(c) || (c == '.' && jv_plain_is_digit(behind))) &&
            !(n > 0 && jv_plain_is_letter(before))) {
            break;
        }
        const bool hyphen = jv_plain_is_letter(before) && jv_plain_is_letter(behind);
        if (c == '-' && !(n > 0 && hyphen)) {
            break;
        }
        /* Dropped: blanks, the '*' of "N*m", the '-' of "ft-lbf", the point of "ft.". */
        if (c == ' ' || c == '*' || c == '-' || (c == '.' && jv_plain_is_letter(before))) {
            continue;
        }
        fits = fits && n + 1 < UNIT_LENGTH;
        if (fits) {
            unit[n++] = c;
        }
    }
    unit[n] = '\0';
    return fits;
}

/* Why `unit`, written from start to end, does not fit. */
static jv_status unit_fault(const reader *r, const char *unit, size_t start, size_t end) {
    char behind[120];
    char hint[120];
    const jv_unit *other = jv_unit_find_any(unit);
    if (strcmp(unit, "to") == 0) {
        return fault(r, JV_CODE_QUANTITY_SPREAD, start, end, " cannot join two values", RANGE_HINT);
    }
    if (unit[0] == ',') {
        return fault(r, JV_CODE_QUANTITY_FORM, start, end, ": a comma cannot stand in a number",
                     "write 1800 or 1.8, with a point and without a comma");
    }
    if (r->dim == JV_DIM_NUMBER) {
        return fault(r, JV_CODE_QUANTITY_UNIT, start, end, " stands behind a plain number",
                     "write the number without a unit");
    }
    if (other != NULL) {
        snprintf(behind, sizeof behind, " is a unit of %s, not of %s", jv_dim_name(other->dim),
                 jv_dim_name(r->dim));
    } else {
        snprintf(behind, sizeof behind, " is no unit of %s", jv_dim_name(r->dim));
    }
    snprintf(hint, sizeof hint, "units that fit: %s", jv_dim_units(r->dim));
    return fault(r, JV_CODE_QUANTITY_UNIT, start, end, behind, hint);
}

static jv_status bare_fault(const reader *r, const side *s) {
    char behind[80];
    char hint[120];
    snprintf(behind, sizeof behind, " has no unit, and %s needs one", jv_dim_name(r->dim));
    snprintf(hint, sizeof hint, "units that fit: %s", jv_dim_units(r->dim));
    return fault(r, JV_CODE_QUANTITY_BARE, s->start, s->unit, behind, hint);
}

/* The unit behind a number, NULL when none is written. */
static jv_status read_unit(reader *r, side *s, const jv_unit **unit) {
    char text[UNIT_LENGTH];
    skip_blanks(r);
    const size_t start = r->at;
    const bool fits = take_unit(r, text);
    *unit = NULL;
    if (text[0] == '\0') {
        r->at = start;
        return JV_OK;
    }
    if (strcmp(text, "%") == 0 && r->dim != JV_DIM_RATIO) {
        s->percent = true;
        return JV_OK;
    }
    *unit = fits ? jv_unit_find(text, r->dim) : NULL;
    return *unit != NULL ? JV_OK : unit_fault(r, fits ? text : "", start, r->at);
}

/* The further terms of "22 ft 6 in": each smaller than one of the unit before, which was whole. */
static jv_status read_further(reader *r, side *s) {
    const jv_unit *unit = s->is_in;
    double number = s->number;
    while (unit != NULL && (r->dim == JV_DIM_LENGTH || r->dim == JV_DIM_TIME)) {
        skip_blanks(r);
        const size_t start = r->at;
        const double bound = (1.0 - ROUNDING) * jv_unit_to_si(unit, 1.0);
        double next;
        const jv_unit *next_unit;
        if (!read_number(r, &next)) {
            return JV_OK;
        }
        const jv_status status = read_unit(r, s, &next_unit);
        if (status != JV_OK) {
            return status;
        }
        if (next_unit == NULL || number != floor(number) ||
            jv_unit_to_si(next_unit, next) >= bound) {
            return fault(r, JV_CODE_QUANTITY_FORM, start, r->at,
                         " cannot follow what stands before",
                         "write parts as in 22 ft 6 in: whole feet, then less than a foot");
        }
        s->further += jv_unit_to_si(next_unit, next);
        unit = next_unit;
        number = next;
    }
    return JV_OK;
}

/* `code`: what a missing number is. */
static jv_status read_side(reader *r, side *s, jv_code code) {
    *s = (side){0};
    skip_blanks(r);
    s->start = r->at;
    const char sign = r->plain.c[r->at];
    s->negative = sign == '-';
    if (sign == '-' || sign == '+') {
        r->at++;
        skip_blanks(r);
    }
    if (!read_number(r, &s->number)) {
        return jv_plain_fault(&r->plain, code, s->start, r->plain.length,
                              "a number is due here, got ", "",
                              code == JV_CODE_QUANTITY_SPREAD
                                  ? "write a .. b, x +/- 5 %, or x */ 2"
                                  : "write a number, a space and a unit");
    }
    s->number = s->negative ? -s->number : s->number;
    skip_blanks(r);
    s->unit = r->at;
    const jv_status status = read_unit(r, s, &s->is_in);
    s->unit_end = r->at;
    return status == JV_OK ? read_further(r, s) : status;
}

/* The side in SI units; as a difference (a tolerance) the zero of a temperature plays no part. */
static jv_status to_si(const reader *r, const side *s, bool difference, double *value) {
    double v = s->number;
    if (r->dim != JV_DIM_NUMBER) {
        if (s->is_in == NULL) {
            return s->percent ? unit_fault(r, "%", s->unit, s->unit_end) : bare_fault(r, s);
        }
        v = difference ? jv_unit_difference_to_si(s->is_in, v) : jv_unit_to_si(s->is_in, v);
        v += s->negative ? -s->further : s->further;
    } else if (s->percent) {
        return unit_fault(r, "%", s->unit, s->unit_end);
    }
    if (!isfinite(v)) {
        return fault(r, JV_CODE_QUANTITY_RANGE, s->start, s->unit_end, " is too large",
                     "check the number and its unit");
    }
    if (r->dim == JV_DIM_TEMPERATURE && !difference && v < ABSOLUTE_ZERO - ABSOLUTE_ZERO_ROOM) {
        return fault(r, JV_CODE_QUANTITY_RANGE, s->start, s->unit_end, " is below absolute zero",
                     "the lowest temperature is -273.15 degC, -459.67 degF");
    }
    *value = v == 0.0 ? 0.0 : v; /* no minus zero */
    return JV_OK;
}

static jv_status finish_range(const reader *r, side *low, const side *high, jv_value *out) {
    double a = 0.0;
    double b = 0.0;
    if (low->is_in == NULL && !low->percent) {
        low->is_in = high->is_in; /* the unit given once, at the end */
    }
    jv_status status = to_si(r, low, false, &a);
    status = status == JV_OK ? to_si(r, high, false, &b) : status;
    if (status != JV_OK) {
        return status;
    }
    if (a > b) {
        return fault(r, JV_CODE_QUANTITY_SPREAD, low->start, r->at, " is upside down",
                     "write the lower end first: low .. high");
    }
    *out = (jv_value){a / 2.0 + b / 2.0, a, b, JV_UNIFORM};
    if (a == b) {
        *out = jv_value_exact(a);
    } else if (r->dim == JV_DIM_RESISTANCE && a > 0.0) {
        out->spread = JV_LOG_UNIFORM;
        out->nominal = sqrt(a) * sqrt(b);
    }
    return JV_OK;
}

/* The half width of "x +/- 5 %"; a percentage of a percentage or of degrees would not say of what.
 */
static jv_status percent_half_width(const reader *r, const side *width, double nominal,
                                    double *half) {
    const double whole = 100.0; /* percent */
    if (r->dim == JV_DIM_TEMPERATURE) {
        return fault(r, JV_CODE_QUANTITY_SPREAD, width->start, r->at,
                     " of a temperature depends on where its zero is",
                     "write the tolerance in degrees, as in 20 degC +/- 5 degC");
    }
    if (width->number > whole) {
        return fault(r, JV_CODE_QUANTITY_SPREAD, width->start, r->at, " is more than the value",
                     "write low .. high, or x */ 2");
    }
    *half = fabs(nominal) * width->number / whole;
    return JV_OK;
}

static jv_status finish_tolerance(const reader *r, side *middle, const side *width, jv_value *out) {
    double nominal = 0.0;
    double half = 0.0;
    if (r->dim == JV_DIM_RATIO) {
        return fault(r, JV_CODE_QUANTITY_SPREAD, middle->start, r->at,
                     ": a percentage cannot carry a tolerance",
                     "write a range, such as 75 % .. 85 %");
    }
    if (middle->is_in == NULL && !middle->percent) {
        middle->is_in = width->is_in;
    }
    jv_status status = to_si(r, middle, false, &nominal);
    if (status != JV_OK) {
        return status;
    }
    status = width->percent ? percent_half_width(r, width, nominal, &half)
                            : to_si(r, width, true, &half);
    if (status != JV_OK) {
        return status;
    }
    const double low = nominal - half;
    const double high = nominal + half;
    if (width->negative || !isfinite(low) || !isfinite(high) ||
        (r->dim == JV_DIM_TEMPERATURE && low < ABSOLUTE_ZERO - ABSOLUTE_ZERO_ROOM)) {
        return fault(r, JV_CODE_QUANTITY_SPREAD, width->start, r->at, " cannot be a tolerance",
                     "write a tolerance of zero or above that leaves a possible value");
    }
    *out = (jv_value){nominal, low, high, JV_NORMAL};
    if (!(low < high)) {
        *out = jv_value_exact(nominal);
    }
    return JV_OK;
}

/* The bare factor of "x *" "/ 2". */
static jv_status finish_factor(const reader *r, const side *middle, const side *factor,
                               jv_value *out) {
    double nominal = 0.0;
    const jv_status status = to_si(r, middle, false, &nominal);
    if (status != JV_OK) {
        return status;
    }
    const double f = factor->number;
    if (factor->is_in != NULL || factor->percent || !(f >= 1.0) || !isfinite(f)) {
        return fault(r, JV_CODE_QUANTITY_SPREAD, factor->start, r->at, " is no factor",
                     "write a plain number of 1 or above, as in 2 mohm */ 2");
    }
    if (r->dim == JV_DIM_TEMPERATURE || nominal <= 0.0 || !isfinite(nominal * f)) {
        return fault(r, JV_CODE_QUANTITY_SPREAD, middle->start, r->at, " cannot carry a factor",
                     "a factor spreads a value above zero that is no temperature");
    }
    *out = (jv_value){nominal, nominal / f, nominal * f, JV_LOG_NORMAL};
    if (f == 1.0) {
        *out = jv_value_exact(nominal);
    }
    return JV_OK;
}

/* Something stands where the text should end, behind `s`, which may still lack its unit. */
static jv_status junk_fault(const reader *r, const side *s, bool unit_due) {
    const size_t end = r->plain.length;
    size_t length;
    if (join_at(r, r->at, &length) != JOIN_NONE) {
        return fault(r, JV_CODE_QUANTITY_SPREAD, r->at, end, " stands behind a spread",
                     "a quantity carries one spread");
    }
    if (r->plain.c[r->at] == '-') {
        return fault(r, JV_CODE_QUANTITY_SPREAD, r->at, end, " stands behind the value",
                     RANGE_HINT);
    }
    if (unit_due && s->is_in == NULL && !s->percent && r->dim != JV_DIM_NUMBER) {
        return bare_fault(r, s);
    }
    return fault(r, JV_CODE_QUANTITY_FORM, r->at, end, " stands behind the value",
                 "write one number and one unit");
}

static jv_status read_joined(reader *r, jv_value *out) {
    side first;
    side second;
    size_t length = 0;
    jv_status status = read_side(r, &first, JV_CODE_QUANTITY_FORM);
    if (status != JV_OK) {
        return status;
    }
    skip_blanks(r);
    const join how = join_at(r, r->at, &length);
    if (how == JOIN_NONE) {
        double value = 0.0;
        if (r->at != r->plain.length) {
            return junk_fault(r, &first, true);
        }
        status = to_si(r, &first, false, &value);
        *out = status == JV_OK ? jv_value_exact(value) : *out;
        return status;
    }
    r->at += length;
    status = read_side(r, &second, JV_CODE_QUANTITY_SPREAD);
    if (status != JV_OK) {
        return status;
    }
    skip_blanks(r);
    if (r->at != r->plain.length) {
        return junk_fault(r, &second, how != JOIN_FACTOR);
    }
    switch (how) {
    case JOIN_RANGE:
        return finish_range(r, &first, &second, out);
    case JOIN_TOLERANCE:
        return finish_tolerance(r, &first, &second, out);
    default:
        return finish_factor(r, &first, &second, out);
    }
}

jv_status jv_quantity_read(const char *text, jv_dim dim, jv_value *out, jv_quantity_fault *f) {
    reader r = {.dim = dim};
    jv_value value = {0};
    jv_status status = jv_plain_make(&r.plain, text, f);
    status = status == JV_OK ? read_joined(&r, &value) : status;
    if (status == JV_OK) {
        *out = value;
    }
    return status;
}

jv_value jv_value_exact(double x) {
    return (jv_value){x, x, x, JV_EXACT};
}

/* Phi(z), the standard normal distribution function (Abramowitz and Stegun 26.2.29). */
static double normal_probability(double z) {
    return 0.5 * erfc(-z / SQRT_2);
}

double jv_value_at(const jv_value *v, double z) {
    const double cut = fmin(fmax(z, -NORMAL_CUT), NORMAL_CUT);
    double x;
    switch (v->spread) {
    case JV_UNIFORM:
        x = v->low + normal_probability(z) * (v->high - v->low);
        return fmin(fmax(x, v->low), v->high); /* rounding must not leave the range */
    case JV_LOG_UNIFORM:
        x = v->low * exp(normal_probability(z) * log(v->high / v->low));
        return fmin(fmax(x, v->low), v->high);
    case JV_NORMAL:
        /* The half width is two standard deviations. A value whose ends are of one sign keeps it:
         * no length or resistance is drawn below zero. */
        x = v->nominal + cut * (v->high - v->low) / 4.0;
        if (v->low >= 0.0) {
            return fmax(x, 0.0);
        }
        return v->high <= 0.0 ? fmin(x, 0.0) : x;
    case JV_LOG_NORMAL:
        return v->nominal * exp(cut * log(v->high / v->nominal) / 2.0);
    case JV_EXACT:
        break;
    }
    return v->nominal;
}
