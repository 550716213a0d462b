/* test_find_engine.c - the fault finder on whole circuits. SPDX-License-Identifier: MIT */
#include "circuit/kinds.h"
#include "jackvolt/read.h"
#include "study/find/sweep.h"
#include "tests/support/close.h"
#include "tests/support/truth.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

static jv_circuit *read_circuit(const char *file) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    if (jv_circuit_read_file(file, NULL, &d, &c) != JV_OK)
        fail_msg("%s cannot be read", file);
    jv_diags_clear(&d);
    return c;
}

static jv_finder *make(const jv_circuit *c, const jv_find_options *options) {
    jv_finder *f = NULL;
    assert_int_equal(jv_finder_new(c, options, &f), JV_OK);
    return f;
}

/* --- low rank against the whole --- */

/* Largest difference of a terminal's volts, and of a slope, between the two ways of solving. */
static void compare(jv_finder *f, size_t state, size_t setup, double *volts, double *slopes,
                    size_t *compared) {
    jv_find_setup *s = &f->setups[setup];
    jv_record *r = NULL, *w = jv_zalloc(1, sizeof *w);
    assert_int_equal(jv_record_get(f, state, setup, &r), JV_OK);
    if (r->how != JV_RECORD_RANK) {
        jv_record_free(&w);
        return;
    }
    w->x = jv_zalloc((size_t)s->n + 1, sizeof *w->x);
    w->emf = jv_zalloc(s->n_motors + 1, sizeof *w->emf);
    assert_int_equal(jv_record_whole(f, &f->states[state], s, w), JV_OK);
    if (w->how != JV_RECORD_WHOLE) { /* a state that does not last from a cold start */
        jv_record_free(&w);
        return;
    }
    (*compared)++;
    for (size_t i = 0; s->kind != JV_SETUP_ISOLATED && i < f->c->n_terminals; i++) {
        /* Nodes apart from the reference have volts of their own. */
        if (s->island[i] == s->island[f->c->reference])
            *volts = fmax(*volts, fabs(r->x[i] - w->x[i]));
    }
    /* Ohms: volts between the two probes over the test current, so 1e-9 V is 2e-6 ohm. */
    if (s->kind == JV_SETUP_ISOLATED && s->n_looks && isnan(w->mean[0]))
        *volts = fmax(*volts, fabs(r->x[s->inject_p] - r->x[s->inject_q] - w->x[s->inject_p] +
                                   w->x[s->inject_q]));
    double *slope = jv_zalloc(f->n_unknowns, sizeof *slope), mean;
    /* What moves to and fro is spread over its way; unknowns do not count beside it. */
    assert_true(!r->swing == !w->swing);
    for (size_t k = 0; k < s->n_looks && !r->swing; k += 7) {
        if (s->looks[k].kind == JV_LOOK_OHMS || !isnan(w->mean[k]))
            continue;
        assert_int_equal(jv_expect_look(f, state, setup, k, &mean, slope), JV_OK);
        for (size_t u = 0; u + 5 < f->n_unknowns; u++)
            *slopes = fmax(*slopes, fabs(slope[u] - (double)w->slope[k * f->n_unknowns + u]));
    }
    jv_free(slope);
    jv_record_free(&w);
}

/* Predictions by low rank are those of solving the faulted net anew: volts to 1e-9 V; slopes,
 * which a whole solve keeps in single precision, to that. */
static void low_rank_is_the_whole(void **state) {
    (void)state;
    static const char *const files[] = {"circuits/small-trailer.json",
                                        "circuits/sensor-harness.json", "circuits/work-truck.json"};
    for (size_t k = 0; k < sizeof files / sizeof files[0]; k++) {
        jv_circuit *c = read_circuit(files[k]);
        jv_finder *f = make(c, NULL);
        double volts = 0.0, slopes = 0.0;
        size_t most = f->n_setups < 8 ? f->n_setups : 8, compared = 0;
        for (size_t setup = 0; setup < most; setup++)
            for (size_t s = setup; f->setups[setup].usable && s < f->n_states; s += 41)
                compare(f, s, setup, &volts, &slopes, &compared);
        if (volts > 1e-9 || slopes > 1e-5)
            fail_msg("%s: volts differ by %g, slopes by %g", files[k], volts, slopes);
        assert_true(compared > 40);
        jv_finder_free(&f);
        jv_circuit_free(&c);
    }
}

typedef struct jv_sampled {
    jv_finder *f;
    size_t setup, seen, compared;
    double worst;
} jv_sampled;

/* Every so many pairs are solved as a whole net with both faults in it. */
static void compare_pair(void *ctx, size_t i, size_t k, const double *mean) {
    enum { STRIDE = 211 };
    jv_sampled *t = ctx;
    if (t->seen++ % STRIDE != 0 || t->f->suspects[i].view.part[0] == t->f->suspects[k].view.part[0])
        return;
    jv_find_setup *s = &t->f->setups[t->setup];
    const jv_find_suspect *a = &t->f->suspects[i], *b = &t->f->suspects[k];
    jv_find_state both;
    memset(&both, 0, sizeof both);
    both.n_faults = 2;
    both.fault[0] = t->f->states[a->first + a->n / 2].fault[0];
    both.fault[1] = t->f->states[b->first + b->n / 2].fault[0];
    jv_record *w = jv_zalloc(1, sizeof *w);
    w->x = jv_zalloc((size_t)s->n + 1, sizeof *w->x);
    w->emf = jv_zalloc(s->n_motors + 1, sizeof *w->emf);
    assert_int_equal(jv_record_whole(t->f, &both, s, w), JV_OK);
    for (size_t c = 0; w->how == JV_RECORD_WHOLE && c < s->n_looks; c += 5) {
        const jv_look *look = &s->looks[c];
        double sum = 0.0;
        for (size_t q = 0; q < look->n; q++)
            sum += look->weight[q] * w->x[look->index[q]];
        t->worst = fmax(t->worst, fabs(sum - mean[c]));
    }
    t->compared += w->how == JV_RECORD_WHOLE;
    jv_record_free(&w);
}

/* The sweep over all pairs predicts what solving each pair's net gives, to 1e-9 V and A. */
static void swept_pairs_are_the_whole(void **state) {
    (void)state;
    jv_circuit *c = read_circuit("circuits/corroded-stud.json");
    jv_finder *f = make(c, NULL);
    jv_sampled t = {f, 0, 0, 0, 0.0};
    jv_sweep all;
    while (f->setups[t.setup].kind != JV_SETUP_RUN)
        t.setup++;
    assert_int_equal(jv_sweep_run(f, t.setup, compare_pair, &t, &all), JV_OK);
    assert_true(all.singles > 20 && all.pairs > 200 && t.compared > 3);
    assert_true(all.solves < all.pairs);
    if (t.worst > 1e-9)
        fail_msg("pairs differ by %g", t.worst);
    jv_finder_free(&f);
    jv_circuit_free(&c);
}

/* --- naming a hidden fault --- */

typedef struct jv_hidden {
    const char *circuit;
    const char *fault;
    jv_symptom_kind kind;
    const char *subject; /* part, or watch */
    const char *loading; /* NULL = at rest */
    const char *part;    /* to be named */
} jv_hidden;

static const jv_hidden hidden[] = {
    {"circuits/long-trailer.json", "ground stud: 60 mohm added", JV_SYMPTOM_TRIPS,
     "low-voltage stop", "rear pair lifting", "ground stud"},
    {"circuits/long-trailer.json", "battery: weak 400 %", JV_SYMPTOM_TRIPS, "low-voltage stop",
     "all four lifting", "battery"},
    {"circuits/long-trailer.json", "plus clamp: 50 mohm added", JV_SYMPTOM_TRIPS,
     "low-voltage stop", "all four lifting", "plus clamp"},
    {"circuits/long-trailer.json", "rear left cable: 150 mohm added", JV_SYMPTOM_SLOW,
     "rear left jack", "rear pair lifting", "rear left cable"},
    {"circuits/sensor-harness.json", "rear left supply lead: shorted to ctl- at 40 % from a",
     JV_SYMPTOM_SENSOR, "rear left sensor", NULL, "rear left supply lead"},
    {"circuits/sensor-harness.json", "rear left supply lead: open", JV_SYMPTOM_SENSOR,
     "rear left sensor", NULL, "rear left supply lead"},
    {"circuits/sensor-harness.json", "front right sensor: shorted inside 2 ohm", JV_SYMPTOM_SENSOR,
     "front right sensor", NULL, "front right sensor"},
};

static size_t find_watch(const jv_circuit *c, const char *name) {
    for (size_t k = 0; k < c->n_watches; k++)
        if (strcmp(c->watches[k].name, name) == 0)
            return k;
    return 0;
}

static void put_fault(truth *t, const char *text) {
    jv_diags d = {0};
    jv_faults *faults = jv_faults_new();
    size_t n;
    assert_int_equal(jv_faults_add(faults, t->c, text, &d), JV_OK);
    t->fault[0] = jv_faults_list(faults, &n)[0];
    t->n_faults = 1;
    jv_faults_free(&faults);
    jv_diags_clear(&d);
}

/* Every step asked for is answered by the vehicle; returns the part that was named, or NONE. */
static size_t walk(jv_finder *f, truth *t, size_t *steps) {
    jv_next next;
    for (*steps = 0;; (*steps)++) {
        double value;
        bool over;
        assert_int_equal(jv_finder_next(f, &next), JV_OK);
        if (next.kind != JV_NEXT_CHECK && next.kind != JV_NEXT_CONFIRM)
            break;
        truth_reading(t, f, next.check, &value, &over);
        assert_int_equal(jv_finder_add_reading(f, next.check, value, over), JV_OK);
    }
    return next.kind == JV_NEXT_REPAIR ? f->suspects[next.suspect].view.part[0] : JV_FIND_NONE;
}

static void hidden_faults_are_named(void **state) {
    (void)state;
    for (size_t k = 0; k < sizeof hidden / sizeof hidden[0]; k++) {
        const jv_hidden *h = &hidden[k];
        const truth_style style = {1.0, 1.0, false, 0.0};
        jv_circuit *c = read_circuit(h->circuit);
        jv_finder *f = make(c, NULL);
        truth t;
        size_t steps;
        assert_true(truth_make(&t, h->circuit, &style, 11 + k));
        put_fault(&t, h->fault);
        jv_symptom y = {h->kind, 0, JV_FIND_NONE, false};
        y.subject = h->kind == JV_SYMPTOM_TRIPS ? find_watch(c, h->subject)
                                                : (size_t)jv_circuit_find_part(c, h->subject);
        if (h->loading)
            y.loading = jv_circuit_find_case(c, h->loading);
        assert_int_equal(jv_finder_add_symptom(f, &y), JV_OK);
        size_t part = walk(f, &t, &steps);
        if (part == JV_FIND_NONE || strcmp(c->parts[part].name, h->part) != 0)
            fail_msg("%s: \"%s\" was hidden, %s was named after %zu steps", h->circuit, h->fault,
                     part == JV_FIND_NONE ? "nothing" : c->parts[part].name, steps);
        truth_clear(&t);
        jv_finder_free(&f);
        jv_circuit_free(&c);
    }
}

/* A supply lead that touches its sensor's signal lead is the same contact whichever lead is blamed:
 * no reading tells the two apart, so they are named together. By its own readings a stud has no
 * twin. */
static void twins_are_named_together(void **state) {
    (void)state;
    static const char file[] = "circuits/small-trailer.json";
    const truth_style style = {1.0, 1.0, false, 0.0};
    jv_circuit *c = read_circuit(file);
    jv_finder *f = make(c, NULL);
    truth t;
    size_t steps, found = 0;
    assert_true(truth_make(&t, file, &style, 5));
    put_fault(&t, "left sensor signal lead: shorted to sensor+ at 50 % from a");
    jv_symptom y = {JV_SYMPTOM_SENSOR, (size_t)jv_circuit_find_part(c, "left sensor"), JV_FIND_NONE,
                    false};
    assert_int_equal(jv_finder_add_symptom(f, &y), JV_OK);
    assert_true(walk(f, &t, &steps) != JV_FIND_NONE);
    jv_closure now;
    assert_int_equal(jv_finder_closure(f, &now), JV_OK);
    assert_int_equal(now.state, JV_FIND_NAMED);
    assert_int_equal(now.n_twins, 1);
    const size_t both[2] = {now.suspect, now.twins[0]};
    for (size_t k = 0; k < 2; k++) {
        const char *words = jv_finder_suspect(f, both[k])->words;
        found |= strcmp(words, "left sensor signal lead: shorted to sensor+") == 0 ? 1 : 0;
        found |=
            strcmp(words, "left sensor supply lead: shorted to left sensor.signal") == 0 ? 2 : 0;
    }
    assert_int_equal(found, 3);
    assert_true(now.probability > 0.95);
    truth_clear(&t);
    jv_finder_free(&f);
    jv_circuit_free(&c);
}

/* A consumer that is unplugged takes with it what is wrong inside it: every reading is then that of
 * the sound circuit without it. */
static void what_is_unplugged_leaves_no_trace(void **state) {
    (void)state;
    jv_circuit *c = read_circuit("circuits/shore-power.json");
    jv_finder *f = make(c, NULL);
    size_t compared = 0;
    for (size_t k = 0; k + 1 < f->n_suspects; k++) {
        const jv_find_suspect *s = &f->suspects[k];
        const jv_part_kind *kind = c->parts[s->fault[0].part].kind;
        bool inside = s->fault[0].way == JV_WAY_INSIDE || s->fault[0].way == JV_WAY_LEAK;
        bool consumer = kind == &jv_kind_hall || kind == &jv_kind_load;
        if (s->view.n != 1 || !inside || !consumer)
            continue;
        for (size_t i = 0; i < f->n_checks; i++) {
            const jv_find_check *x = &f->checks[i];
            bool off = false;
            double with, without;
            for (size_t t = 0; t < x->view.n_off; t++)
                off = off || x->view.off[t] == s->fault[0].part;
            if (!off || x->view.kind == JV_CHECK_LOOK)
                continue;
            assert_int_equal(jv_expect_look(f, s->first + s->n / 2, x->setup, x->look, &with, NULL),
                             JV_OK);
            assert_int_equal(jv_expect_look(f, f->sound, x->setup, x->look, &without, NULL), JV_OK);
            assert_close(with, without, 0, 1e-9);
            compared++;
        }
    }
    assert_true(compared > 8);
    jv_finder_free(&f);
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(low_rank_is_the_whole),
        cmocka_unit_test(swept_pairs_are_the_whole),
        cmocka_unit_test(hidden_faults_are_named),
        cmocka_unit_test(twins_are_named_together),
        cmocka_unit_test(what_is_unplugged_leaves_no_trace),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
