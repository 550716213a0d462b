/* random.c - counter-based random numbers, side by side. SPDX-License-Identifier: MIT */
#include "study/random.h"

#include <math.h>
#include <string.h>

/* Multipliers and key increments of Philox 4x32 (Salmon et al. 2011, section 3.3 and table 2:
 * the increments are the golden ratio and the square root of three less one). */
static const uint64_t multiplier_0 = 0xD2511F53u, multiplier_1 = 0xCD9E8D57u;
static const uint32_t increment_0 = 0x9E3779B9u, increment_1 = 0xBB67AE85u;
enum { ROUNDS = 10, CALLS = JV_SIDE / 2 };

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

/* The words of CALLS counters that follow each other, kept in 64 bits each as the products
 * need them. */
static void philox_calls(uint64_t counter, uint64_t address, uint64_t seed, uint64_t c0[CALLS],
                         uint64_t c1[CALLS], uint64_t c2[CALLS], uint64_t c3[CALLS]) {
    const uint64_t low = 0xFFFFFFFFu;
    uint32_t k0 = (uint32_t)seed, k1 = (uint32_t)(seed >> 32);
    for (unsigned k = 0; k < CALLS; k++) {
        c0[k] = (counter + k) & low;
        c1[k] = (counter + k) >> 32;
        c2[k] = address & low;
        c3[k] = address >> 32;
    }
    for (int r = 0; r < ROUNDS; r++) {
        for (unsigned k = 0; k < CALLS; k++) {
            uint64_t p0 = multiplier_0 * c0[k], p1 = multiplier_1 * c2[k];
            c0[k] = (p1 >> 32) ^ c1[k] ^ k0;
            c2[k] = (p0 >> 32) ^ c3[k] ^ k1;
            c1[k] = p1 & low;
            c3[k] = p0 & low;
        }
        k0 += increment_0;
        k1 += increment_1;
    }
}

/* 52 bits k of two words as (2 k + 1) / 2^53: exact, and never 0 or 1. The bits become the
 * fraction of a number in 1 .. 2, which costs no conversion. */
static double uniform_of(uint64_t high, uint64_t low) {
    const uint64_t exponent_of_one = UINT64_C(0x3FF) << 52;
    const double below_one = 1.0 - 0x1p-53;
    uint64_t bits = exponent_of_one | (high << 20) | (low >> 12);
    double x;
    memcpy(&x, &bits, sizeof x);
    return x - below_one;
}

/* Two draws share a counter: the even one takes the first two words, the odd one the others. */
void jv_uniforms(uint64_t seed, uint64_t first, uint64_t address, double u[JV_SIDE]) {
    uint64_t c0[CALLS], c1[CALLS], c2[CALLS], c3[CALLS];
    philox_calls(first / 2, address, seed, c0, c1, c2, c3);
    for (unsigned k = 0; k < CALLS; k++) {
        u[2 * k] = uniform_of(c0[k], c1[k]);
        u[2 * k + 1] = uniform_of(c2[k], c3[k]);
    }
}

/* AS 241, PPND16: |p - 1/2| within this takes the middle form, a tail whose sqrt(-ln p) is
 * within `far_tail` the second. */
static const double middle = 0.425, middle_2 = 0.180625, far_tail = 5.0, tail_shift = 1.6;

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

void jv_normals(const double u[JV_SIDE], double z[JV_SIDE]) {
    double up[JV_SIDE], down[JV_SIDE], r[JV_SIDE];
    for (int k = 0; k < JV_SIDE; k++) {
        r[k] = middle_2 - (u[k] - 0.5) * (u[k] - 0.5);
        up[k] = middle_up[TERMS - 1];
        down[k] = middle_down[TERMS - 1];
    }
    for (int t = TERMS - 2; t >= 0; t--)
        for (int k = 0; k < JV_SIDE; k++) {
            up[k] = up[k] * r[k] + middle_up[t];
            down[k] = down[k] * r[k] + middle_down[t];
        }
    for (int k = 0; k < JV_SIDE; k++)
        z[k] = (u[k] - 0.5) * up[k] / down[k];
    for (int k = 0; k < JV_SIDE; k++)
        if (fabs(u[k] - 0.5) > middle)
            z[k] = tail(u[k]);
}

/* e^x = 2^n e^r with n the whole number nearest to x / ln 2: |r| <= 0.35, where the Taylor
 * series to the 13th power is good to 5e-18. ln 2 in two parts, so that n ln 2 is exact in the
 * first (W. J. Cody, W. Waite, "Software manual for the elementary functions", 1980, ch. 6). */
void jv_exponentials(const double x[JV_SIDE], double out[JV_SIDE]) {
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
    double r[JV_SIDE], sum[JV_SIDE], shifted[JV_SIDE];
    uint64_t bits[JV_SIDE];
    for (int k = 0; k < JV_SIDE; k++) {
        shifted[k] = x[k] * per_ln2 + rounder;
        double n = shifted[k] - rounder;
        r[k] = (x[k] - n * ln2_high) - n * ln2_low;
        sum[k] = inverse[POWERS];
    }
    for (int t = POWERS - 1; t >= 0; t--)
        for (int k = 0; k < JV_SIDE; k++)
            sum[k] = sum[k] * r[k] + inverse[t];
    memcpy(bits, shifted, sizeof bits);
    for (int k = 0; k < JV_SIDE; k++)
        bits[k] = (bits[k] + 1023) << 52; /* 2^n */
    double power[JV_SIDE];
    memcpy(power, bits, sizeof power);
    for (int k = 0; k < JV_SIDE; k++)
        out[k] = sum[k] * power[k];
}

/* Normal kinds are cut here, deviations (quantity.h). */
static const double cut = 3.0;

void jv_values_at(const jv_value *v, const double u[JV_SIDE], double out[JV_SIDE]) {
    double z[JV_SIDE], power[JV_SIDE], nominal = v->nominal, low = v->low, high = v->high;
    double step = high - low;
    switch (v->spread) {
    case JV_UNIFORM:
        for (int k = 0; k < JV_SIDE; k++)
            out[k] = low + u[k] * step;
        break;
    case JV_LOG_UNIFORM:
        step = log(high / low);
        for (int k = 0; k < JV_SIDE; k++)
            z[k] = u[k] * step;
        jv_exponentials(z, power);
        for (int k = 0; k < JV_SIDE; k++)
            out[k] = low * power[k];
        break;
    case JV_NORMAL:
        jv_normals(u, z);
        for (int k = 0; k < JV_SIDE; k++) {
            z[k] = z[k] < -cut ? -cut : z[k] > cut ? cut : z[k];
            out[k] = nominal + z[k] * step / 4.0;
            if (low >= 0.0)
                out[k] = out[k] < 0.0 ? 0.0 : out[k];
            else if (high <= 0.0)
                out[k] = out[k] > 0.0 ? 0.0 : out[k];
        }
        return;
    case JV_LOG_NORMAL:
        jv_normals(u, z);
        step = log(high / nominal) / 2.0;
        for (int k = 0; k < JV_SIDE; k++)
            z[k] = (z[k] < -cut ? -cut : z[k] > cut ? cut : z[k]) * step;
        jv_exponentials(z, power);
        for (int k = 0; k < JV_SIDE; k++)
            out[k] = nominal * power[k];
        return;
    case JV_EXACT:
        for (int k = 0; k < JV_SIDE; k++)
            out[k] = nominal;
        return;
    }
    for (int k = 0; k < JV_SIDE; k++) /* rounding must not leave the range */
        out[k] = out[k] < low ? low : out[k] > high ? high : out[k];
}
