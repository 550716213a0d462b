/* trial.c - the fault finder in a closed loop, with figures. SPDX-License-Identifier: MIT */
#include "loop.h"

#include "jackvolt/read.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* trial [CASES [CIRCUIT..]]: accepted vehicles a row and circuit. Without arguments a short run
 * that fails when a bar with room for its few draws is missed; CASES of 400 or more hold the bars
 * of docs/trial.md. */

typedef struct trial_row {
    size_t n, right, wrong, open, proved, checks;
    double minutes;
} trial_row;

typedef struct trial_fixed {
    size_t n, right;
    double minutes, engine_minutes;
} trial_fixed;

static const char *const usual[] = {"circuits/long-trailer.json", "circuits/small-trailer.json",
                                    "circuits/work-truck.json",   "circuits/sensor-harness.json",
                                    "circuits/thin-feed.json",    "circuits/corroded-stud.json",
                                    "circuits/shore-power.json",  "circuits/lithium-pack.json"};

static double seconds(void) {
    return (double)clock() / CLOCKS_PER_SEC;
}

static jv_finder *open_finder(const char *file, jv_circuit **c) {
    jv_diags d = {0};
    jv_finder *f = NULL;
    *c = NULL;
    if (jv_circuit_read_file(file, NULL, &d, c) == JV_OK)
        jv_finder_new(*c, NULL, &f);
    jv_diags_clear(&d);
    return f;
}

static void count(trial_row *row, const loop_result *r) {
    row->n++;
    row->right += r->right;
    row->wrong += r->named && !r->right;
    row->open += !r->named;
    row->proved += r->proof_held;
    row->checks += r->checks;
    row->minutes += r->minutes;
}

static double percent(size_t part, size_t of) {
    return of ? 100.0 * (double)part / (double)of : 0.0;
}

static void print_row(const char *what, const trial_row *r) {
    printf("  %-42s n %5zu  right %5.1f %%  wrong %4.1f %%  open %4.1f %%  closed %5.1f %%  "
           "checks %4.1f  minutes %5.1f\n",
           what, r->n, percent(r->right, r->n), percent(r->wrong, r->n), percent(r->open, r->n),
           percent(r->proved, r->n), r->n ? (double)r->checks / (double)r->n : 0.0,
           r->n ? r->minutes / (double)r->n : 0.0);
}

static void race(const char *file, const truth *t, jv_finder *f, const loop_complaint *y,
                 const loop_result *engine, uint64_t seed, const truth_style *style,
                 trial_fixed *fixed) {
    for (int k = 0; k < 3 && !y->sensors; k++) {
        truth twin;
        loop_result r;
        if (!truth_make(&twin, file, style, seed))
            return;
        memcpy(twin.fault, t->fault, sizeof twin.fault);
        twin.n_faults = t->n_faults;
        if (loop_fixed(&twin, f, y, (loop_fixed_kind)k, &r)) {
            fixed[k].n++;
            fixed[k].right += r.right;
            fixed[k].minutes += r.minutes;
            fixed[k].engine_minutes += engine->minutes;
        }
        truth_clear(&twin);
    }
}

static void tell_miss(const truth *t, const jv_finder *f, const loop_result *r, uint64_t seed) {
    jv_text w = {0};
    for (size_t k = 0; k < t->n_faults; k++)
        jv_text_addf(&w, "%s%s way %d %.3g", k ? "; " : "", t->c->parts[t->fault[k].part].name,
                     t->fault[k].way, t->fault[k].value);
    printf("    seed %llu: %s -> %s (%zu checks)\n", (unsigned long long)seed, jv_text_str(&w),
           r->named ? f->suspects[r->suspect].view.words : "open", r->checks);
    jv_text_clear(&w);
}

/* Faults of the list. foreign_share: of foreign ones mixed in, for calibration. */
static void listed(const char *file, jv_finder *f, size_t cases, const truth_style *style,
                   uint64_t seed, trial_row *row, trial_fixed *fixed, loop_bins *bins) {
    for (size_t tries = 0; row->n < cases && tries < 40 * cases; tries++, seed++) {
        truth t;
        loop_complaint y;
        loop_result r;
        if (!truth_make(&t, file, style, seed))
            return;
        bool stranger = bins && truth_uniform(&t.random) < f->options.none_prior;
        if (stranger)
            stranger = loop_foreign(&t, f, (int)(truth_uniform(&t.random) * LOOP_FOREIGN));
        if (!stranger) {
            t.foreign = false;
            t.present = t.scale_v = 1.0;
            loop_draw(&t, f, style);
        }
        jv_fault kept[8];
        size_t n_kept = t.n_faults;
        memcpy(kept, t.fault, sizeof kept);
        if (loop_complain(&t, f, &y) && loop_engine(&t, f, &y, bins, &r) && !stranger) {
            count(row, &r);
            memcpy(t.fault, kept, sizeof kept);
            t.n_faults = n_kept;
            if (!r.right && getenv("JV_TELL"))
                tell_miss(&t, f, &r, seed);
            if (fixed)
                race(file, &t, f, &y, &r, seed, style, fixed);
        }
        truth_clear(&t);
    }
}

static void strangers(const char *file, jv_finder *f, size_t cases, int kind, uint64_t seed,
                      trial_row *row) {
    static const truth_style style = {1.0, 1.0, false, 0.0};
    for (size_t tries = 0; row->n < cases && tries < 10 * cases; tries++, seed++) {
        truth t;
        loop_complaint y;
        loop_result r;
        if (!truth_make(&t, file, &style, seed))
            return;
        if (loop_foreign(&t, f, kind) && loop_complain(&t, f, &y) &&
            loop_engine(&t, f, &y, NULL, &r))
            count(row, &r);
        truth_clear(&t);
    }
}

static bool bar(const char *what, double figure, double limit, bool at_least, bool *ok) {
    bool holds = at_least ? figure >= limit : figure <= limit;
    printf("  bar: %-44s %7.2f  %s %.2f  %s\n", what, figure, at_least ? "at least" : "at most",
           limit, holds ? "holds" : "MISSED");
    *ok = *ok && holds;
    return holds;
}

static void print_bins(const loop_bins *b) {
    printf("  calibration, said / got (steps):");
    for (size_t k = 0; k < LOOP_BINS; k++)
        if (b->n[k])
            printf("  %.2f/%.2f (%zu)", b->said[k] / (double)b->n[k], b->right[k] / (double)b->n[k],
                   b->n[k]);
    printf("\n");
}

static void add(trial_row *all, const trial_row *one) {
    all->n += one->n;
    all->right += one->right;
    all->wrong += one->wrong;
    all->open += one->open;
    all->proved += one->proved;
    all->checks += one->checks;
    all->minutes += one->minutes;
}

static bool one_circuit(const char *file, size_t cases, bool rough, bool *ok) {
    static const truth_style as_told = {1.0, 1.0, false, 0.0}, misset = {1.4, 0.75, true, 0.0},
                             slips = {1.0, 1.0, false, 0.02};
    static const char *const procedures[] = {"front to back", "slow jack first", "half split"};
    jv_circuit *c;
    jv_finder *f = open_finder(file, &c);
    if (!f) {
        jv_circuit_free(&c);
        printf("%s: cannot be used\n", file);
        return false;
    }
    double start = seconds();
    trial_row told = {0}, off = {0}, wrong = {0}, even = {0}, odd = {0};
    trial_fixed fixed[3] = {{0}};
    loop_bins bins = {{0}, {0}, {0}};
    listed(file, f, cases, &as_told, 1000, &told, fixed, &bins);
    listed(file, f, rough ? cases / 2 : cases, &misset, 500000, &off, NULL, NULL);
    listed(file, f, rough ? cases / 2 : cases, &slips, 900000, &wrong, NULL, NULL);
    printf("%s: %zu suspects, %zu checks\n", file, f->n_suspects - 1, f->n_checks);
    print_row("as the engine believes", &told);
    print_row("mis-set: spread x1.4, severity x0.75, flat", &off);
    print_row("2 % of readings wrong by up to 9 V", &wrong);
    for (int k = 0; k < 3; k++)
        if (fixed[k].n)
            printf(
                "  %-42s n %5zu  right %5.1f %%  minutes %5.1f, the engine's %5.1f: ratio %.2f\n",
                procedures[k], fixed[k].n, percent(fixed[k].right, fixed[k].n),
                fixed[k].minutes / (double)fixed[k].n, fixed[k].engine_minutes / (double)fixed[k].n,
                fixed[k].engine_minutes / fixed[k].minutes);
    print_bins(&bins);
    for (int k = 0; k < LOOP_FOREIGN; k++) {
        trial_row row = {0};
        strangers(file, f, rough ? 4 : cases / 10, k, 2000000 + 10000 * (uint64_t)k, &row);
        if (row.n && !rough)
            print_row(loop_foreign_name(k), &row);
        add(k % 2 ? &odd : &even, &row);
    }
    print_row("foreign, kinds seen while tuning", &even);
    print_row("foreign, kinds held out", &odd);
    printf("  %.0f s\n", seconds() - start);
    /* A few draws leave room for chance: three standard deviations of the rate. */
    double room = rough ? 12.0 : 0.0;
    if (told.n >= 6)
        bar("named part right, %", percent(told.right, told.n), 97.0 - room, true, ok);
    if (off.n >= 10)
        bar("named part right when mis-set, %", percent(off.right, off.n), 94.0 - room, true, ok);
    if (wrong.n >= 10)
        bar("named part right with slips, %", percent(wrong.right, wrong.n), 95.0 - room, true, ok);
    if (even.n + odd.n >= 10)
        bar("foreign faults open or right before a repair, %",
            percent(even.open + even.right + odd.open + odd.right, even.n + odd.n), 90.0 - 2 * room,
            true, ok);
    if (fixed[0].n >= 10 && !rough) {
        bar("minutes against front to back", fixed[0].engine_minutes / fixed[0].minutes, 0.55,
            false, ok);
        bar("minutes against slow jack first", fixed[1].engine_minutes / fixed[1].minutes, 0.80,
            false, ok);
    }
    jv_finder_free(&f);
    jv_circuit_free(&c);
    return true;
}

int main(int argc, char **argv) {
    size_t cases = argc > 1 ? (size_t)strtoul(argv[1], NULL, 10) : 8;
    bool rough = cases < 400, ok = true;
    size_t n = argc > 2 ? (size_t)argc - 2 : (rough ? 2 : sizeof usual / sizeof usual[0]);
    for (size_t k = 0; k < n; k++)
        ok = one_circuit(argc > 2 ? argv[k + 2] : usual[k], cases, rough, &ok) && ok;
    printf("%s\n", ok ? "all bars hold" : "a bar is missed");
    return ok ? 0 : 1;
}
