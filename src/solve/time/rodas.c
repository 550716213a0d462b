/* rodas.c - coefficients of the time method and its long sums. SPDX-License-Identifier: MIT */
#include "solve/time/rodas.h"

const double jv_rodas_gamma = 0.25;
static const double a_[JV_STAGES][JV_STAGES] = {
    {0},
    {3.0},
    {1.831036793486759, 0.4955183967433795},
    {2.304376582692669, -0.05249275245743001, -1.176798761832782},
    {-7.170454962423024, -4.741636671481785, -16.31002631330971, -1.062004044111401},
    {-7.170454962423024, -4.741636671481785, -16.31002631330971, -1.062004044111401, 1.0},
};
static const double c_[JV_STAGES][JV_STAGES] = {
    {0},
    {-12.0},
    {-8.791795173947035, -2.207865586973518},
    {10.81793056857153, 6.780270611428266, 19.53485944642410},
    {34.19095006749676, 15.49671153725963, 54.74760875964130, 14.16005392148534},
    {34.62605830930532, 15.30084976114473, 56.99955578662667, 18.40807009793095,
     -5.714285714285717},
};
static const double d_[2][JV_STAGES] = {
    {25.09876703708589, 11.62013104361867, 28.49148307714626, -5.664021568594133, 0.0},
    {1.638054557396973, -0.7373619806678748, 8.477918219238990, 15.99253148779520,
     -1.882352941176471},
};

/* Eight numbers that stand anywhere. */
typedef double eight __attribute__((vector_size(64), aligned(8), may_alias));
enum { EIGHT = 8 };

JV_LANE_BODY eight *in(double *v, size_t i) {
    return (eight *)(void *)(v + i);
}

JV_LANE_BODY const eight *of(const double *v, size_t i) {
    return (const eight *)(const void *)(v + i);
}

/* --- bodies, each with a copy for every width of register --- */

JV_LANE_BODY void stage_sums(int stage, size_t n, const double *now, double *const k[JV_STAGES],
                             double h, double *out, double *fixed) {
    const double per_s = 1.0 / h;
    for (size_t i = 0; i < n; i += EIGHT) {
        /* the last two stages share their a, but for the 1 of the last k */
        eight to, sum = {0};
        if (stage == JV_STAGES - 1)
            to = *of(out, i) + *of(k[stage - 1], i);
        else
            to = *of(now, i);
        JV_LANE_UNROLL
        for (int j = 0; j < stage; j++) {
            eight kj = *of(k[j], i);
            if (stage < JV_STAGES - 1)
                to += a_[stage][j] * kj;
            sum += c_[stage][j] * kj;
        }
        *in(out, i) = to;
        *in(fixed, i) = sum * per_s;
    }
}

JV_LANE_BODY void any_stage(int stage, size_t n, const double *now, double *const k[JV_STAGES],
                            double h, double *out, double *fixed) {
    switch (stage) { /* each with its own numbers in the code */
    case 0:
        stage_sums(0, n, now, k, h, out, fixed);
        break;
    case 1:
        stage_sums(1, n, now, k, h, out, fixed);
        break;
    case 2:
        stage_sums(2, n, now, k, h, out, fixed);
        break;
    case 3:
        stage_sums(3, n, now, k, h, out, fixed);
        break;
    case 4:
        stage_sums(4, n, now, k, h, out, fixed);
        break;
    default:
        stage_sums(5, n, now, k, h, out, fixed);
        break;
    }
}

JV_LANE_BODY void end_sums(size_t n, double *const k[JV_STAGES], double *out) {
    for (size_t i = 0; i < n; i += EIGHT)
        *in(out, i) += *of(k[JV_STAGES - 1], i);
}

JV_LANE_BODY void dense_sums(size_t n, double *const k[JV_STAGES], double *c3, double *c4) {
    for (size_t i = 0; i < n; i += EIGHT) {
        eight three = {0}, four = {0};
        JV_LANE_UNROLL
        for (int j = 0; j < JV_STAGES - 1; j++) {
            eight kj = *of(k[j], i);
            three += d_[0][j] * kj;
            four += d_[1][j] * kj;
        }
        *in(c3, i) = three;
        *in(c4, i) = four;
    }
}

JV_LANE_BODY void pure_sums(const jv_rodas_weights *w, size_t n, const double *now,
                            double *const g[JV_STAGES], double h, double *out, double *c3,
                            double *c4) {
    for (size_t i = 0; i < n; i += EIGHT) {
        eight end = {0}, three = {0}, four = {0};
        JV_LANE_UNROLL
        for (int j = 0; j < JV_STAGES; j++) {
            eight gj = *of(g[j], i) * h;
            end += w->weight[0][j] * gj;
            three += w->weight[1][j] * gj;
            four += w->weight[2][j] * gj;
        }
        *in(out, i) = *of(now, i) + end;
        *in(c3, i) = three;
        *in(c4, i) = four;
    }
}

/* --- copies --- */

static void stage_plain(int stage, size_t n, const double *now, double *const k[JV_STAGES],
                        double h, double *out, double *fixed) {
    any_stage(stage, n, now, k, h, out, fixed);
}

JV_LANE_AVX2 static void stage_256(int stage, size_t n, const double *now,
                                   double *const k[JV_STAGES], double h, double *out,
                                   double *fixed) {
    any_stage(stage, n, now, k, h, out, fixed);
}

JV_LANE_AVX512 static void stage_512(int stage, size_t n, const double *now,
                                     double *const k[JV_STAGES], double h, double *out,
                                     double *fixed) {
    any_stage(stage, n, now, k, h, out, fixed);
}

void jv_rodas_stage(jv_lane_width width, int stage, size_t n, const double *now,
                    double *const k[JV_STAGES], double h, double *out, double *fixed) {
    if (width == JV_LANE_512)
        stage_512(stage, n, now, k, h, out, fixed);
    else if (width == JV_LANE_256)
        stage_256(stage, n, now, k, h, out, fixed);
    else
        stage_plain(stage, n, now, k, h, out, fixed);
}

JV_LANE_AVX2 static void end_256(size_t n, double *const k[JV_STAGES], double *out) {
    end_sums(n, k, out);
}

void jv_rodas_end(jv_lane_width width, size_t n, double *const k[JV_STAGES], double *out) {
    if (width == JV_LANE_PLAIN)
        end_sums(n, k, out);
    else
        end_256(n, k, out);
}

JV_LANE_AVX2 static void dense_256(size_t n, double *const k[JV_STAGES], double *c3, double *c4) {
    dense_sums(n, k, c3, c4);
}

JV_LANE_AVX512 static void dense_512(size_t n, double *const k[JV_STAGES], double *c3, double *c4) {
    dense_sums(n, k, c3, c4);
}

void jv_rodas_dense(jv_lane_width width, size_t n, double *const k[JV_STAGES], double *c3,
                    double *c4) {
    if (width == JV_LANE_512)
        dense_512(n, k, c3, c4);
    else if (width == JV_LANE_256)
        dense_256(n, k, c3, c4);
    else
        dense_sums(n, k, c3, c4);
}

void jv_rodas_weigh(jv_rodas_weights *w) {
    for (int i = 0; i < JV_STAGES; i++) {
        double k[JV_STAGES] = {0}; /* of all stages, for g of stage i alone, by h */
        for (int row = i; row < JV_STAGES; row++) {
            double sum = row == i ? 1.0 : 0.0;
            for (int j = i; j < row; j++)
                sum += c_[row][j] * k[j];
            k[row] = jv_rodas_gamma * sum;
        }
        for (int what = 0; what < 3; what++) {
            const double *by = what ? d_[what - 1] : a_[JV_STAGES - 1];
            w->weight[what][i] = what ? 0.0 : k[JV_STAGES - 1];
            for (int j = 0; j < JV_STAGES - 1; j++)
                w->weight[what][i] += by[j] * k[j];
        }
    }
}

JV_LANE_AVX2 static void sums_256(const jv_rodas_weights *w, size_t n, const double *now,
                                  double *const g[JV_STAGES], double h, double *out, double *c3,
                                  double *c4) {
    pure_sums(w, n, now, g, h, out, c3, c4);
}

JV_LANE_AVX512 static void sums_512(const jv_rodas_weights *w, size_t n, const double *now,
                                    double *const g[JV_STAGES], double h, double *out, double *c3,
                                    double *c4) {
    pure_sums(w, n, now, g, h, out, c3, c4);
}

void jv_rodas_sums(jv_lane_width width, const jv_rodas_weights *w, size_t n, const double *now,
                   double *const g[JV_STAGES], double h, double *out, double *c3, double *c4) {
    if (width == JV_LANE_512)
        sums_512(w, n, now, g, h, out, c3, c4);
    else if (width == JV_LANE_256)
        sums_256(w, n, now, g, h, out, c3, c4);
    else
        pure_sums(w, n, now, g, h, out, c3, c4);
}
