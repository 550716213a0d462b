/* lane.h - eight numbers side by side. SPDX-License-Identifier: MIT */
#ifndef BASE_LANE_H
#define BASE_LANE_H

#include <stdint.h>

/* Eight numbers as one value, which gcc and clang turn into the vector instructions that there
 * are; no more aligned than memory comes. Element k is x[k]. Each element is rounded as a lone
 * number would be, whatever the width of the registers, so that answers are the same to the bit
 * on every processor (products are never fused with sums: -ffp-contract=off). */
typedef double jv_lane __attribute__((vector_size(64), aligned(16), may_alias));
typedef int64_t jv_lane_bits __attribute__((vector_size(64), aligned(16), may_alias));
typedef uint64_t jv_lane_words __attribute__((vector_size(64), aligned(16), may_alias));

/* A function worth wider registers is written once as a body, marked JV_LANE_BODY, and has a
 * copy marked with each of these beside the plain one; a jv_lane_width tells which to call. */
#define JV_LANE_BODY static inline __attribute__((always_inline))
#if defined(__x86_64__)
#define JV_LANE_AVX2 __attribute__((target("avx2")))
#define JV_LANE_AVX512 __attribute__((target("avx512f,avx512dq,avx512vl")))
#else
#define JV_LANE_AVX2
#define JV_LANE_AVX512
#endif

/* Before a loop of a few fixed steps: its body, that many times. */
#define JV_LANE_UNROLL _Pragma("GCC unroll 16")

typedef enum jv_lane_width { JV_LANE_PLAIN, JV_LANE_256, JV_LANE_512 } jv_lane_width;

/* Does this machine have them? */
static inline int jv_lane_has(jv_lane_width width) {
#if defined(__x86_64__)
    if (width == JV_LANE_512)
        return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq") &&
               __builtin_cpu_supports("avx512vl");
    if (width == JV_LANE_256)
        return __builtin_cpu_supports("avx2") != 0;
#endif
    return width == JV_LANE_PLAIN;
}

static inline jv_lane_width jv_lane_widest(void) {
    if (jv_lane_has(JV_LANE_512))
        return JV_LANE_512;
    return jv_lane_has(JV_LANE_256) ? JV_LANE_256 : JV_LANE_PLAIN;
}

#endif
