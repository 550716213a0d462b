/* random.c - counter-based random numbers, side by side. SPDX-License-Identifier: MIT */
#include "study/random.h"

#include "base/lane.h"

#include <math.h>
#include <string.h>

/* Multipliers and key increments of Philox 4x32 (Salmon et al. 2011, section 3.3 and table 2:
 * the increments are the golden ratio and the square root of three less one). */
static const uint64_t multiplier_0 = 0xD2511F53u, multiplier_1 = 0xCD9E8D57u;
static const uint32_t increment_0 = 0x9E3779B9u, increment_1 = 0xBB67AE85u;
enum { ROUNDS = 10 };

void jv_philox(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4]) {
    uint32_t c0 = counter[0], c1 = counter[1], c2 = counter[2], c3 = counter[3];
    uint32_t k0 = key[0], k1 = key[1];
    for (int r = 0; r < ROUNDS; r++) {
        uint64_t p0 = multiplier_0 * c0, p1 = multiplier_1 * c2;
        uint32_t n0 = (uint32_t)(p1 >> 32) ^ c1 ^ k0, n2 = (uint32_t)(p0 >> 32) ^ c3 ^ k1;
        c1 = (uint32_t)p1;
        c3 = (uint32_t)p0;
        c0 = n0;
        c2 = n2;
        k0 += increment_0;
        k1 += increment_1;
    }
    out[0] = c0;
    out[1] = c1;
    out[2] = c2;
    out[3] = c3;
}

/* 52 bits k of two words as (2 k + 1) / 2^53: exact, and never 0 or 1. The bits become the
 * fraction of a number in 1 .. 2, which costs no conversion. */
/* 52 bits k of two words make (2 k + 1) / 2^53: exact, and never 0 or 1. The bits become the
 * fraction of a number in 1 .. 2, which costs no conversion. */
enum { TOGETHER = 4 }; /* quantities, so that their multiplications overlap */

/* The uniforms of four quantities: two to a vector of eight counters. */
JV_LANE_BODY void uniforms(uint64_t seed, uint64_t first, const uint64_t address[TOGETHER],
                           jv_lane u[TOGETHER]) {
    enum { VECTORS = TOGETHER / 2 };
    const uint64_t low = 0xFFFFFFFFu, exponent_of_one = UINT64_C(0x3FF) << 52;
    const double below_one = 1.0 - 0x1p-53;
    uint64_t n = first / 2, at = n & low;
    uint32_t k0 = (uint32_t)seed, k1 = (uint32_t)(seed >> 32);
    jv_lane_words c0[VECTORS], c1[VECTORS], c2[VECTORS], c3[VECTORS];
    for (unsigned v = 0; v < VECTORS; v++) {
        uint64_t a = address[2 * v], b = address[2 * v + 1];
        /* n is a multiple of four: counting up within it carries nothing. */
        c0[v] = (jv_lane_words){at, at + 1, at + 2, at + 3, at, at + 1, at + 2, at + 3};
        c1[v] = (jv_lane_words){0} + (n >> 32);
        c2[v] = (jv_lane_words){a, a, a, a, b, b, b, b} & low;
        c3[v] = (jv_lane_words){a, a, a, a, b, b, b, b} >> 32;
    }
    for (int r = 0; r < ROUNDS; r++) {
        JV_LANE_UNROLL
        for (unsigned v = 0; v < VECTORS; v++) {
            jv_lane_words p0 = multiplier_0 * c0[v], p1 = multiplier_1 * c2[v];
            c0[v] = (p1 >> 32) ^ c1[v] ^ k0;
            c2[v] = (p0 >> 32) ^ c3[v] ^ k1;
            c1[v] = p1 & low;
            c3[v] = p0 & low;
        }
        k0 += increment_0;
        k1 += increment_1;
    }
    for (unsigned v = 0; v < VECTORS; v++) {
        jv_lane_words x = exponent_of_one | (c0[v] << 20) | (c1[v] >> 12);
        jv_lane_words y = exponent_of_one | (c2[v] << 20) | (c3[v] >> 12);
        u[2 * v] = (jv_lane)__builtin_shufflevector(x, y, 0, 1, 2, 3, 8, 9, 10, 11) - below_one;
        u[2 * v + 1] =
            (jv_lane)__builtin_shufflevector(x, y, 4, 5, 6, 7, 12, 13, 14, 15) - below_one;
    }
}

/* AS 241, PPND16: (p - 1/2)^2 within this takes the middle form, a tail whose sqrt(-ln p) is
 * within `far_tail` the second. */
static const double middle_2 = 0.180625, far_tail = 5.0, tail_shift = 1.6;

enum { TERMS = 8 };
/* clang-format off */
static const double middle_up[TERMS] = {
    3.3871328727963666080, 1.3314166789178437745e2, 1.9715909503065514427e3,
    1.3731693765509461125e4, 4.5921953931549871457e4, 6.7265770927008700853e4,
    3.3430575583588128105e4, 2.5090809287301226727e3};
static const double middle_down[TERMS] = {
    1.0, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
    2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4,
    5.2264952788528545610e3};
static const double near_up[TERMS] = {
    1.42343711074968357734, 4.63033784615654529590, 5.76949722146069140550,
    3.64784832476320460504, 1.27045825245236838258, 2.41780725177450611770e-1,
    2.27238449892691845833e-2, 7.74545014278341407640e-4};
static const double near_down[TERMS] = {
    1.0, 2.05319162663775882187, 1.67638483018380384940, 6.89767334985100004550e-1,
    1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4,
    1.05075007164441684324e-9};
static const double far_up[TERMS] = {
    6.65790464350110377720, 5.46378491116411436990, 1.78482653991729133580,
    2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3,
    2.71155556874348757815e-5, 2.01033439929228813265e-7};
static const double far_down[TERMS] = {
    1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
    7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7,
    2.04426310338993978564e-15};
/* clang-format on */

static double polynomial(const double c[TERMS], double x) {
    double sum = c[TERMS - 1];
    for (int k = TERMS - 2; k >= 0; k--)
        sum = sum * x + c[k];
    return sum;
}

static double tail(double u) {
    double q = u - 0.5, r = sqrt(-log(q < 0.0 ? u : 1.0 - u)), z;
    if (r <= far_tail)
        z = polynomial(near_up, r - tail_shift) / polynomial(near_down, r - tail_shift);
    else
        z = polynomial(far_up, r - far_tail) / polynomial(far_down, r - far_tail);
    return q < 0.0 ? -z : z;
}

JV_LANE_BODY void normals(const jv_lane *u, jv_lane *z) {
    jv_lane q = *u - 0.5, r = middle_2 - q * q;
    jv_lane up = (jv_lane){0} + middle_up[TERMS - 1], down = (jv_lane){0} + middle_down[TERMS - 1];
    JV_LANE_UNROLL
    for (int t = TERMS - 2; t >= 0; t--) {
        up = up * r + middle_up[t];
        down = down * r + middle_down[t];
    }
    *z = q * up / down;
    /* Beyond the middle q^2 is above middle^2, and r negative: its sign tells. */
    const uint64_t sign = 63; /* the place of it */
    jv_lane_words signs = (jv_lane_words)r >> sign;
    unsigned tails = 0;
    for (unsigned k = 0; k < JV_SIDE; k++)
        tails |= (unsigned)signs[k] << k;
    for (unsigned k = 0; tails; k++, tails >>= 1)
        if (tails & 1u)
            (*z)[k] = tail((*u)[k]);
}

/* e^x = 2^n e^r with n the whole number nearest to x / ln 2: |r| <= 0.35, where the Taylor
 * series to the 13th power is good to 5e-18. ln 2 in two parts, so that n ln 2 is exact in the
 * first (W. J. Cody, W. Waite, "Software manual for the elementary functions", 1980, ch. 6). */
JV_LANE_BODY void exponentials(const jv_lane *x, jv_lane *out) {
    enum { POWERS = 13 };
    static const double inverse[POWERS + 1] = {1.0,
                                               1.0,
                                               1.0 / 2,
                                               1.0 / 6,
                                               1.0 / 24,
                                               1.0 / 120,
                                               1.0 / 720,
                                               1.0 / 5040,
                                               1.0 / 40320,
                                               1.0 / 362880,
                                               1.0 / 3628800,
                                               1.0 / 39916800,
                                               1.0 / 479001600,
                                               1.0 / 6227020800};
    const double per_ln2 = 1.4426950408889634074, ln2_high = 0x1.62e42feep-1,
                 ln2_low = 1.9082149292705877000e-10;
    const double rounder = 0x1.8p52; /* adding it leaves the whole number in the low bits */
    const int64_t bias = 1023, fraction = 52;
    jv_lane shifted = *x * per_ln2 + rounder, n = shifted - rounder;
    jv_lane r = (*x - n * ln2_high) - n * ln2_low, sum = (jv_lane){0} + inverse[POWERS];
    JV_LANE_UNROLL
    for (int t = POWERS - 1; t >= 0; t--)
        sum = sum * r + inverse[t];
    jv_lane_bits power = ((jv_lane_bits)shifted + bias) << fraction; /* 2^n */
    *out = sum * (jv_lane)power;
}

/* Each number not below `least` and not above `most`. */
JV_LANE_BODY void clip(jv_lane *x, double least, double most) {
    double t[JV_SIDE];
    memcpy(t, x, sizeof t);
    for (int k = 0; k < JV_SIDE; k++)
        t[k] = t[k] < least ? least : t[k];
    for (int k = 0; k < JV_SIDE; k++)
        t[k] = t[k] > most ? most : t[k];
    memcpy(x, t, sizeof t);
}

/* Normal kinds are cut here, deviations (quantity.h). */
static const double cut = 3.0;

JV_LANE_BODY void values_at(const jv_drawn *d, const jv_lane *u, jv_lane *out) {
    const jv_value *v = &d->value;
    jv_lane z, power;
    double nominal = v->nominal, low = v->low, high = v->high;
    switch (v->spread) {
    case JV_UNIFORM:
        *out = low + *u * (high - low);
        clip(out, low, high); /* rounding must not leave the range */
        return;
    case JV_LOG_UNIFORM:
        z = *u * d->scale;
        exponentials(&z, &power);
        *out = low * power;
        clip(out, low, high);
        return;
    case JV_NORMAL:
        normals(u, &z);
        clip(&z, -cut, cut);
        *out = nominal + z * (high - low) / 4.0;
        if (low >= 0.0)
            clip(out, 0.0, INFINITY);
        else if (high <= 0.0)
            clip(out, -INFINITY, 0.0);
        return;
    case JV_LOG_NORMAL:
        normals(u, &z);
        clip(&z, -cut, cut);
        z *= d->scale;
        exponentials(&z, &power);
        *out = nominal * power;
        return;
    case JV_EXACT:
        break;
    }
    *out = (jv_lane){0} + nominal;
}

/* --- for all --- */

void jv_uniforms(uint64_t seed, uint64_t first, uint64_t address, double u[JV_SIDE]) {
    const uint64_t all[TOGETHER] = {address, address, address, address};
    jv_lane l[TOGETHER];
    uniforms(seed, first, all, l);
    memcpy(u, &l[0], sizeof l[0]);
}

void jv_normals(const double u[JV_SIDE], double z[JV_SIDE]) {
    jv_lane in, out;
    memcpy(&in, u, sizeof in);
    normals(&in, &out);
    memcpy(z, &out, sizeof out);
}

void jv_exponentials(const double x[JV_SIDE], double out[JV_SIDE]) {
    jv_lane in, l;
    memcpy(&in, x, sizeof in);
    exponentials(&in, &l);
    memcpy(out, &l, sizeof l);
}

jv_drawn jv_drawn_make(uint64_t address, const jv_value *value) {
    jv_drawn d = {address, *value, 0.0};
    if (value->spread == JV_LOG_UNIFORM)
        d.scale = log(value->high / value->low);
    if (value->spread == JV_LOG_NORMAL)
        d.scale = log(value->high / value->nominal) / 2.0;
    return d;
}

void jv_values_at(const jv_value *v, const double u[JV_SIDE], double out[JV_SIDE]) {
    const jv_drawn d = jv_drawn_make(0, v);
    jv_lane in, l;
    memcpy(&in, u, sizeof in);
    values_at(&d, &in, &l);
    memcpy(out, &l, sizeof l);
}

JV_LANE_BODY void draw(uint64_t seed, uint64_t first, const jv_drawn *list, size_t n,
                       double (*u)[JV_SIDE], double (*out)[JV_SIDE]) {
    for (size_t q = 0; q < n; q += TOGETHER) {
        size_t here = n - q < TOGETHER ? n - q : TOGETHER;
        uint64_t address[TOGETHER] = {0};
        jv_lane x[TOGETHER], y;
        for (size_t k = 0; k < here; k++)
            address[k] = list[q + k].address;
        uniforms(seed, first, address, x);
        for (size_t k = 0; k < here; k++) {
            values_at(&list[q + k], &x[k], &y);
            memcpy(u[q + k], &x[k], sizeof x[k]);
            memcpy(out[q + k], &y, sizeof y);
        }
    }
}

static void draw_plain(uint64_t seed, uint64_t first, const jv_drawn *list, size_t n,
                       double (*u)[JV_SIDE], double (*out)[JV_SIDE]) {
    draw(seed, first, list, n, u, out);
}
JV_LANE_AVX2 static void draw_256(uint64_t seed, uint64_t first, const jv_drawn *list, size_t n,
                                  double (*u)[JV_SIDE], double (*out)[JV_SIDE]) {
    draw(seed, first, list, n, u, out);
}
JV_LANE_AVX512 static void draw_512(uint64_t seed, uint64_t first, const jv_drawn *list, size_t n,
                                    double (*u)[JV_SIDE], double (*out)[JV_SIDE]) {
    draw(seed, first, list, n, u, out);
}

void jv_draw_all(jv_lane_width width, uint64_t seed, uint64_t first, const jv_drawn *list, size_t n,
                 double (*u)[JV_SIDE], double (*out)[JV_SIDE]) {
    switch (width) {
    case JV_LANE_512:
        draw_512(seed, first, list, n, u, out);
        return;
    case JV_LANE_256:
        draw_256(seed, first, list, n, u, out);
        return;
    case JV_LANE_PLAIN:
        break;
    }
    draw_plain(seed, first, list, n, u, out);
}
