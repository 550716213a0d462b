/* test_network_dense.c - whole circuits against dense algebra and print. SPDX-License-Identifier:
 * MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "solve/point.h"
#include "tests/support/build.h"
#include "tests/support/close.h"
#include "tests/support/dense.h"
#include "tests/support/wild.h"

static double largest_source(const jv_net *net) {
    double most = 0.0;
    for (size_t k = 0; k < net->n_elements; k++)
        most = fmax(most, fabs(net->elements[k].e));
    return most;
}

/* Volts against the ground of the island, as the dense answer counts them. */
static double island_volts(const dense_point *d, const jv_point *p, size_t node) {
    return p->v[node] - p->v[d->ground[node]];
}

typedef struct tally {
    int same, other_branch, cannot, chatters, lost, unmatched;
    double backward, volts, drop;
    int kinds[32];
} tally;

/* What a zero may come out as, a share of the largest source; and the least volts that count
 * as one. */
static const double rounding = 1e-13, dead = 1.0;
/* More than dense.c gives parallel joints of zero ohms, with room for their number, ohm. */
static const double next_to_none_ohm = 1e-11;

/* True when the answers agree; `say` tells where they do not. */
static bool agree(const jv_net *net, const jv_point *p, const dense_point *d, tally *t, bool say) {
    double scale = fmax(1e-9, 10.0 * d->ferr), top = fmax(largest_source(net), dead), amps = 0.0;
    bool good = true;
    for (size_t k = 0; k < net->n_elements; k++)
        amps = fmax(amps, fabs(d->i[k]));
    for (size_t k = 0; k < net->n_nodes; k++) {
        double off = fabs(island_volts(d, p, k) - d->v[k]);
        if (off <= scale * top) {
            t->volts = fmax(t->volts, off / top);
            continue;
        }
        good = false;
        if (say)
            print_error("node %zu: %.15g V, dense %.15g V\n", k, island_volts(d, p, k), d->v[k]);
    }
    for (size_t k = 0; k < net->n_elements; k++) {
        const jv_element *e = &net->elements[k];
        if (e->law != JV_SERIES || e->open)
            continue;
        double drop = p->r[k] * p->i[k], want = d->r[k] * d->i[k];
        /* A branch without current has a drop of rounding alone: that of its ohms at the
         * rounding of the largest current. */
        double bound = scale * fabs(want) + fmax(1e-12, d->ferr) * d->r[k] * amps + rounding * top;
        if (d->even)
            bound += next_to_none_ohm * amps;
        if (fabs(drop - want) <= bound)
            continue;
        good = false;
        if (say)
            print_error("element %zu of \"%s\": drop %.15g V, dense %.15g V\n", k,
                        net->circuit->parts[e->part].name, drop, want);
    }
    return good;
}

/* One circuit: 0 = fine. */
static int hold_up(unsigned seed, const wild_options *options, tally *t) {
    wild w;
    wild_make(&w, seed, options);
    jv_net *net = build_net(w.c, w.loading, w.faults, w.n_faults);
    jv_system *s = NULL;
    assert_int_equal(jv_system_new(net, &s), JV_OK);
    jv_point p;
    jv_status status = jv_point_find(s, false, &p);
    int wrong = 0;
    for (size_t k = 0; k < w.c->n_parts; k++)
        for (size_t m = 0; m < jv_kinds_count; m++)
            t->kinds[m] += w.c->parts[k].kind == jv_kinds[m];
    if (status != JV_OK || p.outcome == JV_POINT_NOT_FOUND) {
        print_error("seed %u: no operating point, status %d, near %s, residual %.3g A\n", seed,
                    (int)status, p.where ? p.where : "?", p.residual_a);
        t->lost++;
        wrong = 1;
    } else if (p.outcome == JV_POINT_CHATTERS) {
        t->chatters++;
    } else if (p.outcome == JV_POINT_CANNOT_DELIVER) {
        t->cannot++; /* test_network_properties.c */
    } else {
        dense_point d;
        bool found = dense_solve(net, NULL, NULL, seed, &d);
        bool same = found && agree(net, &p, &d, t, false);
        if (!same) { /* a law with a falling piece may have two points: is ours one? */
            dense_free(&d);
            found = dense_solve(net, p.v, p.i, seed, &d);
            same = found && agree(net, &p, &d, t, true);
            t->other_branch += same;
        }
        double backward = found ? dense_backward(net, &d, p.v, p.i) : 0.0;
        t->same += same;
        t->backward = fmax(t->backward, fmax(backward, p.backward));
        if (!same || backward > 1e-12 || p.backward > 1e-12) {
            print_error("seed %u: %s, backward error %.3g (own %.3g), ferr %.3g, %d solves\n", seed,
                        !found ? "dense search found nothing"
                        : same ? "agrees"
                               : "differs",
                        backward, p.backward, d.ferr, d.solves);
            wrong = 1;
        }
        dense_free(&d);
    }
    jv_system_free(&s);
    jv_net_free(&net);
    wild_free(&w);
    return wrong;
}

static int many(unsigned from, unsigned n, const wild_options *options, tally *t) {
    int wrong = 0;
    if (getenv("JV_LONG"))
        n *= 20;
    for (unsigned k = 0; k < n; k++)
        wrong += hold_up(from + k, options, t);
    if (getenv("V"))
        print_message("%d the same, %d on another branch, %d cannot deliver, %d chatter, %d lost; "
                      "backward %.3g, volts %.3g\n",
                      t->same, t->other_branch, t->cannot, t->chatters, t->lost, t->backward,
                      t->volts);
    return wrong;
}

static void random_circuits_agree_with_dense_algebra(void **state) {
    (void)state;
    const wild_options options = {0};
    tally t = {0};
    assert_int_equal(many(1, 160, &options, &t), 0);
    assert_true(t.same >= 140);
    for (size_t m = 0; m < jv_kinds_count; m++) /* every kind took part */
        assert_true(t.kinds[m] > 0);
}

static void hostile_circuits_agree_with_dense_algebra(void **state) {
    (void)state;
    const wild_options options = {.hostile = true};
    tally t = {0};
    assert_int_equal(many(5001, 120, &options, &t), 0);
    assert_true(t.same >= 90);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_circuits_agree_with_dense_algebra),
        cmocka_unit_test(hostile_circuits_agree_with_dense_algebra),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
