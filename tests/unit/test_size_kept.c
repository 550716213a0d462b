/* test_size_kept.c - fuses and sizes where the user keeps some cables. SPDX-License-Identifier: MIT
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <math.h>
#include <stdlib.h>
#include <cmocka.h>

#include "jackvolt/conductor.h"
#include "jackvolt/memory.h"
#include "jackvolt/protection.h"
#include "jackvolt/read.h"
#include "jackvolt/review.h"
#include "jackvolt/size.h"
#include "tests/support/close.h"

/* Park and Miller, Communications of the ACM 31 (1988) 1192: x' = 16807 x mod (2^31 - 1). */
static double draw(uint32_t *seed) {
    *seed = (uint32_t)((uint64_t)*seed * 16807u % 2147483647u);
    return (double)*seed / 2147483647.0;
}
static double between(uint32_t *seed, double low, double high) {
    return low + (high - low) * draw(seed);
}
static size_t one_of(uint32_t *seed, size_t n) {
    size_t k = (size_t)(draw(seed) * (double)n);
    return k < n ? k : n - 1;
}

/* ---- a main fuse, a trunk out and back, branches with fuses of their own or without ---- */

enum { FEED, RETURN, BRANCH, BRANCHES = 3, CABLES = BRANCH + BRANCHES, FUSES = BRANCHES + 1 };
enum { SIZES = 5, OPEN = 0 };
static const int gauges[SIZES] = {14, 12, 10, 8, 6};
static const char *const insulations[] = {"BC-5W2 dry", "SGX", "GPT"};
static const char *const names[CABLES] = {"feed", "return", "branch 0", "branch 1", "branch 2"};
static const char *const fuse_names[FUSES] = {"main", "fuse 0", "fuse 1", "fuse 2"};
static const double fuse_ohm = 0.0005, wire_c = 20, air_c = 20, longer = 1.05;

typedef struct tree {
    size_t branches;
    double source_v, source_ohm;
    double length_m[CABLES];
    size_t was[CABLES]; /* index of the size in the file */
    bool kept[CABLES];
    const char *insulation[CABLES];
    double amps[BRANCHES], limit_v[BRANCHES];
    bool fused[BRANCHES];
    const char *style[FUSES];
    double rating_a[FUSES]; /* of the main fuse, then of the branches */
    double price[SIZES];
} tree;

static size_t cables(const tree *t) {
    return BRANCH + t->branches;
}

/* Short and thin: a short passes more at its weakest than any of these sizes carries, so that each
 * cable hangs on its fuse. */
static tree random_tree(uint32_t *seed) {
    static const double blade_e[] = {20, 30, 40, 50, 60}, blade_c[] = {5, 10, 15, 20, 30};
    tree t = {.branches = 2 + one_of(seed, 2)};
    double total = 0, price = between(seed, 0.3, 0.5);
    t.source_v = between(seed, 12.2, 12.8);
    t.source_ohm = between(seed, 0.004, 0.009);
    for (size_t i = 0; i < SIZES; i++, price *= between(seed, 1.2, 1.9))
        t.price[i] = price;
    for (size_t i = 0; i < cables(&t); i++) {
        t.length_m[i] = between(seed, 0.8, 2.8);
        t.was[i] = one_of(seed, SIZES);
        t.kept[i] = draw(seed) < 0.4;
        t.insulation[i] = insulations[one_of(seed, 3)];
    }
    for (size_t i = 0; i < t.branches; i++) {
        t.amps[i] = between(seed, 5, 26);
        total += t.amps[i];
        t.fused[i] = draw(seed) < 0.6;
        t.style[i + 1] = draw(seed) < 0.5 ? "blade C" : "blade E";
        t.rating_a[i + 1] = t.style[i + 1][6] == 'C' ? blade_c[one_of(seed, 5)] //
                                                     : blade_e[one_of(seed, 5)];
    }
    t.style[0] = "blade E";
    t.rating_a[0] = blade_e[one_of(seed, 5)];
    for (size_t i = 0; i < t.branches; i++)
        t.limit_v[i] = t.source_v - total * (t.source_ohm + fuse_ohm) - between(seed, 0.2, 2.5);
    return t;
}

static void add_cable(jv_text *j, const tree *t, const size_t *pick, size_t k, const char *a,
                      const char *b) {
    jv_text_addf(j,
                 ",\n\"%s\": {\"is\": \"cable\", \"a\": \"%s\", \"b\": \"%s\", \"size\": \"%d "
                 "AWG\", \"length\": \"%.17g m +/- 5 %%\", \"insulation\": \"%s\", "
                 "\"conductor_temperature\": \"%g degC\"}",
                 names[k], a, b, gauges[pick[k]], t->length_m[k], t->insulation[k], wire_c);
}

static void add_fuse(jv_text *j, size_t k, const char *style, double rating_a, const char *a,
                     const char *b) {
    jv_text_addf(j,
                 ",\n\"%s\": {\"is\": \"fuse\", \"a\": \"%s\", \"b\": \"%s\", \"rating\": \"%g "
                 "A\", \"style\": \"%s\", \"resistance\": \"%g ohm\"}",
                 fuse_names[k], a, b, rating_a, style, fuse_ohm);
}

static jv_circuit *circuit_of(const tree *t, const size_t *pick, const double *rating_a,
                              const char *const *style) {
    jv_text j = {0};
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_text_addf(&j,
                 "{\"circuit\": \"tree\", \"ambient\": \"%g degC\", \"parts\": {\n\"source\": "
                 "{\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", \"open_circuit\": "
                 "\"%.17g V\", \"resistance\": \"%.17g ohm\"}",
                 air_c, t->source_v, t->source_ohm);
    add_fuse(&j, 0, style[0], rating_a[0], "p", "f");
    add_cable(&j, t, pick, FEED, "f", "x");
    add_cable(&j, t, pick, RETURN, "y", "m");
    for (size_t i = 0; i < t->branches; i++) {
        char at[] = "b0", end[] = "l0";
        at[1] = end[1] = (char)('0' + i);
        if (t->fused[i])
            add_fuse(&j, i + 1, style[i + 1], rating_a[i + 1], "x", at);
        add_cable(&j, t, pick, BRANCH + i, t->fused[i] ? at : "x", end);
        jv_text_addf(&j,
                     ",\n\"load %zu\": {\"is\": \"load\", \"plus\": \"%s\", \"minus\": \"y\", "
                     "\"current\": \"%.17g A\"}",
                     i, end, t->amps[i]);
    }
    jv_text_add(&j, "},\n\"watches\": {");
    for (size_t i = 0; i < t->branches; i++)
        jv_text_addf(&j,
                     "%s\"watch %zu\": {\"at\": [\"l%zu\", \"y\"], \"below\": \"%.17g V\", "
                     "\"while\": \"always\"}",
                     i ? ", " : "", i, i, t->limit_v[i]);
    jv_text_add(&j, "}, \"cases\": {\"on\": {}}}\n");
    assert_false(j.failed);
    jv_status status = jv_circuit_read_text(jv_text_str(&j), j.length, "tree", NULL, &d, &c);
    if (status != JV_OK)
        print_error("%s\n", jv_text_str(&j));
    assert_int_equal(status, JV_OK);
    jv_diags_clear(&d);
    jv_text_clear(&j);
    return c;
}

/* ---- the same by other means ---- */

static double ohm_per_m(size_t size) {
    jv_size s = {JV_SIZE_AWG, gauges[size], 0};
    jv_conductor w = {0};
    assert_int_equal(jv_conductor_make(&s, JV_METAL_COPPER, &w), JV_OK);
    return jv_conductor_resistance(&w, 1, wire_c);
}

static double carries(const tree *t, size_t cable, size_t size) {
    jv_size s = {JV_SIZE_AWG, gauges[size], 0};
    jv_conductor wire = {0};
    jv_cable_limits limits;
    jv_guarded g;
    jv_surroundings where = {.air_c = air_c};
    assert_int_equal(jv_conductor_make(&s, JV_METAL_COPPER, &wire), JV_OK);
    jv_cable_limits_of(t->insulation[cable], false, &limits);
    jv_guarded_make(&s, JV_METAL_COPPER, &wire, &where, &limits, &g);
    return jv_carries_a(&g);
}

/* Ratings of blade C and E (data sheets of the table fuse-rules) and of bolt-in strips from 100 A:
 * the least at or above 4/3 of the lasting current (75 %, Fuse application guide). */
static double wanted_a(const char *style, double rating_a, double amps) {
    static const double c[] = {3, 5, 7.5, 10, 15, 20, 25, 30, 35, 40};
    static const double e[] = {20, 25, 30, 35, 40, 50, 60, 70, 80};
    static const double strip[] = {100, 125, 150};
    double least = amps / 0.75;
    if (rating_a >= least)
        return rating_a;
    for (size_t i = 0; style[6] == 'C' && i < sizeof c / sizeof c[0]; i++)
        if (c[i] >= least)
            return c[i];
    for (size_t i = 0; i < sizeof e / sizeof e[0]; i++)
        if (e[i] >= least)
            return e[i];
    for (size_t i = 0; i < sizeof strip / sizeof strip[0]; i++)
        if (strip[i] >= least)
            return strip[i];
    return NAN;
}

/* The least of the fuses on the way to a cable. */
static double guard_a(const tree *t, size_t cable, const double *rating_a) {
    if (cable < BRANCH || !t->fused[cable - BRANCH])
        return rating_a[0];
    return fmin(rating_a[0], rating_a[1 + cable - BRANCH]);
}

static bool behind(const tree *t, size_t fuse, size_t cable) {
    return fuse == 0 || (t->fused[fuse - 1] && cable == BRANCH + fuse - 1);
}

/* What the fuses are to be: raised where too low, but not over a cable that keeps its size, does
 * not carry that, and has no smaller fuse before it. */
static void fuses_by_hand(const tree *t, double *out) {
    double wanted[FUSES], total = 0;
    for (size_t i = 0; i < t->branches; i++) {
        total += t->amps[i];
        wanted[i + 1] = wanted_a(t->style[i + 1], t->rating_a[i + 1], t->amps[i]);
    }
    wanted[0] = wanted_a(t->style[0], t->rating_a[0], total);
    for (size_t f = 0; f <= t->branches; f++) {
        out[f] = wanted[f];
        for (size_t k = 0; k < cables(t); k++)
            if (t->kept[k] && behind(t, f, k) && wanted[f] > t->rating_a[f] &&
                guard_a(t, k, wanted) == wanted[f] && wanted[f] > carries(t, k, t->was[k]))
                out[f] = t->rating_a[f];
    }
}

/* Every limit but the shorts: volts with lengths 5 % longer, a return no thinner than its feed, no
 * fuse above what a cable to be sized carries. */
static bool holds_by_hand(const tree *t, const size_t *pick, const double *rating_a) {
    double total = 0;
    for (size_t i = 0; i < t->branches; i++)
        total += t->amps[i];
    for (size_t k = 0; k < cables(t); k++)
        if (!t->kept[k] && guard_a(t, k, rating_a) > carries(t, k, pick[k]))
            return false;
    if (pick[RETURN] < pick[FEED] && !t->kept[RETURN])
        return false;
    double trunk = t->source_ohm + fuse_ohm;
    for (size_t k = FEED; k <= RETURN; k++)
        trunk += ohm_per_m(pick[k]) * t->length_m[k] * longer;
    for (size_t i = 0; i < t->branches; i++) {
        double own = ohm_per_m(pick[BRANCH + i]) * t->length_m[BRANCH + i] * longer;
        double v = t->source_v - total * trunk - t->amps[i] * (own + (t->fused[i] ? fuse_ohm : 0));
        if (v < t->limit_v[i])
            return false;
    }
    return true;
}

static double cost_of(const tree *t, const size_t *pick) {
    double sum = 0;
    for (size_t k = 0; k < cables(t); k++)
        sum += t->kept[k] ? 0 : t->length_m[k] * t->price[pick[k]];
    return sum;
}

static bool is_kept(const tree *t, const char *part) {
    for (size_t k = 0; k < cables(t); k++)
        if (strcmp(names[k], part) == 0)
            return t->kept[k];
    return true;
}

/* Does the review find a short or an overload that burns a wire before a fuse opens? It knows
 * nothing of the search. of_sized: of a cable that was to be sized. */
static bool burns(const tree *t, const size_t *pick, const double *rating_a,
                  const char *const *style, bool of_sized) {
    static const char *const rules[] = {"short-opens-fuse", "cable-outlives-fuse"};
    jv_circuit *c = circuit_of(t, pick, rating_a, style);
    jv_review *r = NULL;
    bool fails = false;
    assert_int_equal(jv_review_run(c, &r), JV_OK);
    for (size_t i = 0; i < r->n_rows; i++)
        for (size_t k = 0; k < 2; k++)
            fails = fails || (r->rows[i].verdict == JV_RULE_FAIL &&
                              strcmp(r->rows[i].rule->id, rules[k]) == 0 &&
                              !(of_sized && is_kept(t, r->rows[i].part)));
    jv_review_free(&r);
    jv_circuit_free(&c);
    return fails;
}

/* The next choice of the cables that may change, like an odometer; false after the last. */
static bool next(const tree *t, size_t *pick) {
    for (size_t k = 0; k < cables(t); k++) {
        if (t->kept[k])
            continue;
        if (++pick[k] < SIZES)
            return true;
        pick[k] = 0;
    }
    return false;
}

/* ---- the trials ---- */

typedef struct count {
    size_t possible, raised, spared, cheaper, wrong_way;
} count;

static void picked(const tree *t, const jv_sizing *s, size_t *pick) {
    memcpy(pick, t->was, sizeof t->was);
    for (size_t i = 0; i < s->n_runs; i++)
        for (size_t k = 0; k < cables(t); k++)
            for (size_t g = 0; g < SIZES; g++)
                if (strcmp(s->runs[i].name, names[k]) == 0 && s->runs[i].size.gauge == gauges[g])
                    pick[k] = g;
}

/* Ratings and styles after the sizing. The style of a fuse that outgrew its own is the first with
 * such a rating: blade E to 80 A, then the bolt-in strip. */
static void check_fuses(const tree *t, const jv_sizing *s, double *rating_a, const char **style,
                        count *n) {
    fuses_by_hand(t, rating_a);
    for (size_t f = 0; f < FUSES; f++) {
        style[f] = t->style[f];
        if (rating_a[f] > 80)
            style[f] = "bolt-in strip";
        else if (style[f] && style[f][6] == 'C' && rating_a[f] > 40)
            style[f] = "blade E";
    }
    for (size_t i = 0; i < s->n_fuses; i++)
        for (size_t f = 0; f <= t->branches; f++) {
            if (strcmp(s->fuses[i].name, fuse_names[f]) != 0)
                continue;
            assert_close(s->fuses[i].rating_a, rating_a[f], 0, 0);
            assert_int_equal(s->fuses[i].changed, rating_a[f] > t->rating_a[f]);
            n->raised += s->fuses[i].changed;
            n->spared += strstr(s->fuses[i].note, "keeps its size") != NULL;
        }
    /* The care owed, in plain: a fuse that was raised is carried by all behind it, or a smaller one
     * stands before them. */
    for (size_t f = 0; f <= t->branches; f++)
        for (size_t k = 0; k < cables(t); k++)
            if (rating_a[f] > t->rating_a[f] && behind(t, f, k) && t->kept[k])
                assert_true(guard_a(t, k, rating_a) <= carries(t, k, t->was[k]) ||
                            guard_a(t, k, rating_a) < rating_a[f]);
}

/* What a developer wants to see of a choice that was passed over. */
static void tell(const tree *t, const jv_sizing *s, const size_t *pick, const double *rating_a,
                 const char *const *style) {
    for (size_t f = 0; f <= t->branches; f++)
        print_error("%s: %s %g A, was %g A\n", fuse_names[f], style[f], rating_a[f],
                    t->rating_a[f]);
    for (size_t k = 0; k < cables(t); k++)
        print_error("%s%s: %d AWG of %s, was %d, carries %.1f A\n", names[k],
                    t->kept[k] ? ", kept" : "", gauges[pick[k]], t->insulation[k],
                    gauges[t->was[k]], carries(t, k, pick[k]));
    for (size_t i = 0; i < s->n_runs; i++)
        print_error("found %s: %d AWG; thinner: %s\n", s->runs[i].name, s->runs[i].size.gauge,
                    s->runs[i].down_fails ? s->runs[i].down_fails : "-");
    for (size_t i = 0; i < s->n_misses; i++)
        print_error("missed %s: %s\n", s->misses[i].part, s->misses[i].what);
}

static void check_least(const tree *t, const jv_sizing *s, const double *rating_a,
                        const char *const *style, count *n) {
    enum { MOST_REVIEWS = 12 };
    size_t pick[CABLES], found[CABLES], reviews = 0;
    memcpy(pick, t->was, sizeof pick);
    if (s->possible) {
        picked(t, s, found);
        assert_close(s->cost, cost_of(t, found), 1e-12, 1e-12);
        assert_true(holds_by_hand(t, found, rating_a));
        if (burns(t, found, rating_a, style, true)) {
            tell(t, s, found, rating_a, style);
            fail();
        }
        n->possible++;
        for (size_t k = 0; k < cables(t); k++)
            if (!t->kept[k])
                assert_true(guard_a(t, k, rating_a) <= carries(t, k, found[k]));
    }
    for (size_t k = 0; k < cables(t); k++)
        if (!t->kept[k])
            pick[k] = 0;
    do {
        if (s->possible && cost_of(t, pick) >= s->cost * (1 - 1e-12))
            continue;
        if (!holds_by_hand(t, pick, rating_a))
            continue;
        /* Cheaper, or possible against its word: then for a short alone. */
        n->cheaper++;
        if (reviews++ < MOST_REVIEWS && !burns(t, pick, rating_a, style, false)) {
            tell(t, s, pick, rating_a, style);
            fail();
        }
    } while (next(t, pick));
}

static void kept_cables_are_never_under_a_larger_fuse(void **state) {
    (void)state;
    const size_t circuits = getenv("JV_LONG") ? 3000 : 150;
    uint32_t seed = 20261125;
    count n = {0};
    for (size_t k = 0; k < circuits; k++) {
        tree t = random_tree(&seed);
        const char *resize[CABLES], *style[FUSES];
        double rating_a[FUSES];
        jv_price prices[SIZES];
        jv_diags d = {0};
        jv_size_options how = {.resize = resize, .prices = prices, .n_prices = SIZES};
        jv_sizing *s = NULL;
        for (size_t i = 0; i < SIZES; i++)
            prices[i] = (jv_price){{JV_SIZE_AWG, gauges[i], 0}, t.price[i]};
        for (size_t i = 0; i < cables(&t); i++)
            if (!t.kept[i])
                resize[how.n_resize++] = names[i];
        if (!how.n_resize)
            continue;
        how.no_budget = true;
        jv_circuit *c = circuit_of(&t, t.was, t.rating_a, t.style);
        assert_int_equal(jv_size_find(c, &how, &d, &s), JV_OK);
        check_fuses(&t, s, rating_a, style, &n);
        check_least(&t, s, rating_a, style, &n);
        if (s->possible)
            assert_int_equal(s->proof, JV_SIZE_PROVED);
        jv_sizing_free(&s);
        jv_circuit_free(&c);
        jv_diags_clear(&d);
    }
    print_message("%zu of %zu possible, %zu fuses raised, %zu left over a kept cable, %zu cheaper "
                  "choices that burn\n",
                  n.possible, circuits, n.raised, n.spared, n.cheaper);
    assert_true(n.possible > circuits / 4 && n.possible < circuits);
    assert_true(n.raised > circuits / 4 && n.spared > circuits / 40 && n.cheaper > circuits);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kept_cables_are_never_under_a_larger_fuse),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
