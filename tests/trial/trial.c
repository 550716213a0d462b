/* trial.c - the fault finder in a closed loop, with figures. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L
#include "loop.h"

#include "jackvolt/read.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* trial [CASES [CIRCUIT..]]: accepted vehicles a row and circuit. Without arguments a short run
 * that fails when a bar with room for its few draws is missed; CASES of 400 or more hold the bars
 * of docs/trial.md over the circuits and kinds that were held out as well. JV_JOBS: circuits at
 * once; JV_TELL: print each vehicle that was missed (2: with its readings); JV_ONLY: the one
 * vehicle of this seed; JV_ROWS: only these (0 1 2: the listed faults, f: the foreign). */

typedef struct trial_row {
    size_t n, right, wrong, open, proved, closed_wrong, checks;
    double minutes;
} trial_row;

typedef struct trial_fixed {
    size_t n, right;
    double minutes, engine_minutes;
} trial_fixed;

enum { ROWS = 3, PROCEDURES = 3 };

/* All that one circuit gave, and the sum over several. */
typedef struct trial_sums {
    trial_row row[ROWS];
    trial_row foreign[LOOP_FOREIGN];
    trial_fixed fixed[PROCEDURES];
    loop_bins bins;
    bool usable;
} trial_sums;

typedef struct trial_circuit {
    const char *file;
    bool tuned; /* looked at while the finder was tuned */
} trial_circuit;

static const trial_circuit usual[] = {
    {"circuits/long-trailer.json", true},    {"circuits/small-trailer.json", true},
    {"circuits/work-truck.json", false},     {"circuits/sensor-harness.json", true},
    {"circuits/thin-feed.json", true},       {"circuits/corroded-stud.json", false},
    {"circuits/shore-power.json", true},     {"circuits/lithium-pack.json", true},
    {"circuits/frame-return.json", true},    {"circuits/four-jacks.json", false},
    {"circuits/motor-home-pump.json", true}, {"circuits/tow-vehicle.json", false},
};
enum { CIRCUITS = sizeof usual / sizeof usual[0] };

static const char *const row_names[ROWS] = {"as the engine believes",
                                            "mis-set: spread x1.4, severity x0.75, flat",
                                            "2 % of readings wrong by up to 9 V"};
static const char *const procedures[PROCEDURES] = {"front to back", "slow jack first",
                                                   "half split"};
static const truth_style styles[ROWS] = {{1.0, 1.0, false, 0.0},
                                         {1.4, 0.75, true, 0.0},
                                         {1.0, 1.0, false, 0.02}};

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
    row->closed_wrong += r->proof_held && !r->right;
    row->checks += r->checks;
    row->minutes += r->minutes;
}

static double percent(size_t part, size_t of) {
    return of ? 100.0 * (double)part / (double)of : 0.0;
}

static void print_row(const char *what, const trial_row *r) {
    double n = (double)r->n;
    printf(
        "  %-42s n %5zu  right %5.1f %%  wrong %4.1f %%  open %4.1f %%  closed %5.1f %%, wrongly "
        "%zu  checks %4.1f  minutes %5.1f\n",
        what, r->n, percent(r->right, r->n), percent(r->wrong, r->n), percent(r->open, r->n),
        percent(r->proved, r->n), r->closed_wrong, r->n ? (double)r->checks / n : 0.0,
        r->n ? r->minutes / n : 0.0);
}

static void race(const char *file, const truth *t, jv_finder *f, const loop_complaint *y,
                 const loop_result *engine, uint64_t seed, const truth_style *style,
                 trial_fixed *fixed) {
    for (int k = 0; k < PROCEDURES && !y->sensors; k++) {
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

/* Is this the one vehicle asked for, or is none? */
static bool wanted(uint64_t seed) {
    const char *only = getenv("JV_ONLY");
    return !only || strtoull(only, NULL, 10) == seed;
}

/* Is this row asked for, or all? */
static bool row_wanted(char row) {
    const char *rows = getenv("JV_ROWS");
    return !rows || strchr(rows, row);
}

/* Each reading, and what it did to the likeliest suspect that is at fault. */
static void tell_readings(const truth *t, jv_finder *f) {
    const jv_reason *r = NULL;
    size_t n = 0, readings = 0, at = f->n_suspects;
    for (size_t k = 0; k < f->n_suspects && at == f->n_suspects; k++) {
        const jv_find_suspect *s = &f->suspects[f->odds[k].suspect];
        for (size_t b = 0; b < t->n_faults; b++)
            if (s->view.n == 1 && s->view.part[0] == t->fault[b].part &&
                s->fault[0].way == t->fault[b].way)
                at = f->odds[k].suspect;
    }
    if (at < f->n_suspects && jv_finder_explain(f, at, &r, &n) == JV_OK)
        printf("        of: %s\n", f->suspects[at].view.words);
    for (size_t k = 0; k < f->n_entries; k++) {
        const jv_entry *e = &f->entries[k];
        if (e->kind != JV_ENTRY_READING)
            continue;
        printf("        %s = %.3f%s, misfit %.1f", f->checks[e->check].view.text, e->value,
               e->over ? " OL" : "", e->misfit);
        while (readings < n && r[readings].check == JV_FIND_NONE)
            readings++;
        if (readings < n) {
            printf(", expected %.3f, sd %.3f, bits %.1f, odds %.3f", r[readings].expected,
                   r[readings].sd, r[readings].for_it, r[readings].odds_after);
            readings++;
        }
        printf("\n");
    }
}

static void tell_miss(const truth *t, jv_finder *f, const loop_result *r, uint64_t seed) {
    jv_text w = {0};
    size_t n;
    for (size_t k = 0; k < t->n_faults; k++)
        jv_text_addf(&w, "%s%s way %d %.3g", k ? "; " : "", t->c->parts[t->fault[k].part].name,
                     t->fault[k].way, t->fault[k].value);
    const jv_odds *o = jv_finder_odds(f, &n);
    printf("    seed %llu: %s -> %s (%zu checks, %.0f minutes%s)", (unsigned long long)seed,
           jv_text_str(&w), r->named ? f->suspects[r->suspect].view.words : "open", r->checks,
           r->minutes, r->proof_held ? ", proved" : "");
    for (size_t k = 0; k < 3 && !r->named; k++)
        printf(", %.2f %s", o[k].probability, f->suspects[o[k].suspect].view.words);
    printf("\n");
    if (getenv("JV_TELL")[0] > '1')
        tell_readings(t, f);
    jv_text_clear(&w);
}

/* Faults of the list; with bins, foreign ones at their prior, for calibration. */
static void listed(const char *file, jv_finder *f, size_t cases, const truth_style *style,
                   uint64_t seed, trial_row *row, trial_fixed *fixed, loop_bins *bins) {
    for (size_t tries = 0; row->n < cases && tries < 40 * cases; tries++, seed++) {
        truth t;
        loop_complaint y;
        loop_result r;
        if (!wanted(seed))
            continue;
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
            if (getenv("JV_TELL") && (!r.right || getenv("JV_TELL")[0] > '2'))
                tell_miss(&t, f, &r, seed);
            if (fixed)
                race(file, &t, f, &y, &r, seed, style, fixed);
        }
        truth_clear(&t);
    }
}

static void strangers(const char *file, jv_finder *f, size_t cases, int kind, uint64_t seed,
                      trial_row *row) {
    for (size_t tries = 0; row->n < cases && tries < 10 * cases; tries++, seed++) {
        truth t;
        loop_complaint y;
        loop_result r;
        if (!wanted(seed))
            continue;
        if (!truth_make(&t, file, &styles[0], seed))
            return;
        if (loop_foreign(&t, f, kind) && loop_complain(&t, f, &y) &&
            loop_engine(&t, f, &y, NULL, &r)) {
            count(row, &r);
            if (r.named && !r.right && loop_foreign_tuned(kind) && getenv("JV_TELL"))
                tell_miss(&t, f, &r, seed);
        }
        truth_clear(&t);
    }
}

static bool bar(const char *what, double figure, double limit, bool at_least, bool *ok) {
    bool holds = at_least ? figure >= limit : figure <= limit;
    printf("  bar: %-58s %7.2f  %s %.2f  %s\n", what, figure, at_least ? "at least" : "at most",
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

static void add_row(trial_row *all, const trial_row *one) {
    all->n += one->n;
    all->right += one->right;
    all->wrong += one->wrong;
    all->open += one->open;
    all->proved += one->proved;
    all->closed_wrong += one->closed_wrong;
    all->checks += one->checks;
    all->minutes += one->minutes;
}

static void add_sums(trial_sums *all, const trial_sums *one) {
    for (int k = 0; k < ROWS; k++)
        add_row(&all->row[k], &one->row[k]);
    for (int k = 0; k < LOOP_FOREIGN; k++)
        add_row(&all->foreign[k], &one->foreign[k]);
    for (int k = 0; k < PROCEDURES; k++) {
        all->fixed[k].n += one->fixed[k].n;
        all->fixed[k].right += one->fixed[k].right;
        all->fixed[k].minutes += one->fixed[k].minutes;
        all->fixed[k].engine_minutes += one->fixed[k].engine_minutes;
    }
    for (int k = 0; k < LOOP_BINS; k++) {
        all->bins.said[k] += one->bins.said[k];
        all->bins.right[k] += one->bins.right[k];
        all->bins.n[k] += one->bins.n[k];
    }
}

static void print_sums(const trial_sums *s) {
    trial_row seen = {0}, held = {0};
    for (int k = 0; k < ROWS; k++)
        print_row(row_names[k], &s->row[k]);
    for (int k = 0; k < PROCEDURES; k++)
        if (s->fixed[k].n)
            printf(
                "  %-42s n %5zu  right %5.1f %%  minutes %5.1f, the engine's %5.1f: ratio %.2f\n",
                procedures[k], s->fixed[k].n, percent(s->fixed[k].right, s->fixed[k].n),
                s->fixed[k].minutes / (double)s->fixed[k].n,
                s->fixed[k].engine_minutes / (double)s->fixed[k].n,
                s->fixed[k].engine_minutes / s->fixed[k].minutes);
    print_bins(&s->bins);
    for (int k = 0; k < LOOP_FOREIGN; k++) {
        if (s->foreign[k].n)
            print_row(loop_foreign_name(k), &s->foreign[k]);
        add_row(loop_foreign_tuned(k) ? &seen : &held, &s->foreign[k]);
    }
    print_row("foreign, kinds seen while tuning", &seen);
    print_row("foreign, kinds held out", &held);
}

/* Odds said of the likeliest part against how often it was so. */
static void calibration_bars(const loop_bins *b, bool *ok) {
    enum { ENOUGH = 400 };
    static const double within_points = 7.0;
    double worst = 0.0, said = 0.0, right = 0.0;
    for (int k = 0; k < LOOP_BINS; k++) {
        if (b->n[k] >= ENOUGH)
            worst = fmax(worst, 100.0 * fabs(b->said[k] - b->right[k]) / (double)b->n[k]);
        if (k == LOOP_CALLED_90) {
            said = (double)b->n[k];
            right = b->right[k];
        }
    }
    bar("calibration, worst bin of 400 steps and more, points", worst, within_points, false, ok);
    if (said >= ENOUGH) {
        bar("right of those called 90 %, %", 100.0 * right / said, 85.0, true, ok);
        bar("right of those called 90 %, %", 100.0 * right / said, 95.0, false, ok);
    }
}

static void bars(const trial_sums *s, double room, bool *ok) {
    trial_row all = {0};
    for (int k = 0; k < LOOP_FOREIGN; k++)
        add_row(&all, &s->foreign[k]);
    if (s->row[0].n >= 6)
        bar("named part right, %", percent(s->row[0].right, s->row[0].n), 97.0 - room, true, ok);
    if (s->row[1].n >= 10)
        bar("named part right when mis-set, %", percent(s->row[1].right, s->row[1].n), 94.0 - room,
            true, ok);
    if (s->row[2].n >= 10)
        bar("named part right with slips, %", percent(s->row[2].right, s->row[2].n), 95.0 - room,
            true, ok);
    if (all.n >= 10) {
        bar("foreign faults open or right before a repair, %", percent(all.open + all.right, all.n),
            90.0 - 2 * room, true, ok);
        bar("foreign faults closed as repaired though not, %", percent(all.closed_wrong, all.n),
            room, false, ok);
    }
    if (s->fixed[0].n >= 10 && room == 0.0) {
        bar("minutes against front to back", s->fixed[0].engine_minutes / s->fixed[0].minutes, 0.55,
            false, ok);
        bar("minutes against slow jack first", s->fixed[1].engine_minutes / s->fixed[1].minutes,
            0.80, false, ok);
    }
    if (room == 0.0)
        calibration_bars(&s->bins, ok);
}

/* Suspects that no check of this circuit can tell apart: each group once. They count as one. */
static void print_twins(jv_finder *f) {
    enum { MOST = 32 };
    bool *said = calloc(f->n_suspects, sizeof *said);
    for (size_t k = 0; said && k + 1 < f->n_suspects; k++) {
        size_t list[MOST], n = 0;
        if (said[k] || f->suspects[k].view.n != 1 || jv_twins(f, k, 0.0, list, MOST, &n) != JV_OK ||
            !n)
            continue;
        printf("  cannot be told apart: %s", f->suspects[k].view.words);
        for (size_t t = 0; t < n; t++) {
            printf("; %s", f->suspects[list[t]].view.words);
            said[list[t]] = true;
        }
        printf("\n");
    }
    free(said);
}

/* A few draws leave room for chance: three standard deviations of the rate. */
static const double rough_room = 12.0;

static void one_circuit(const char *file, size_t cases, bool rough, trial_sums *s) {
    jv_circuit *c;
    jv_finder *f = open_finder(file, &c);
    memset(s, 0, sizeof *s);
    if (f) {
        double start = seconds();
        bool ok = true;
        s->usable = true;
        size_t fewer = rough ? cases / 2 : cases;
        if (row_wanted('0'))
            listed(file, f, cases, &styles[0], 1000, &s->row[0], s->fixed, &s->bins);
        if (row_wanted('1'))
            listed(file, f, fewer, &styles[1], 500000, &s->row[1], NULL, NULL);
        if (row_wanted('2'))
            listed(file, f, fewer, &styles[2], 900000, &s->row[2], NULL, NULL);
        for (int k = 0; k < LOOP_FOREIGN && row_wanted('f'); k++)
            strangers(file, f, rough ? cases / 4 + 2 : cases / 10, k, 2000000 + 10000 * (uint64_t)k,
                      &s->foreign[k]);
        printf("%s: %zu suspects, %zu checks\n", file, f->n_suspects - 1, f->n_checks);
        print_sums(s);
        if (!rough) {
            jv_odds_reset(f);
            print_twins(f);
        }
        printf("  %.0f s\n", seconds() - start);
        bars(s, rough ? rough_room : 0.0, &ok);
    } else {
        printf("%s: cannot be used\n", file);
    }
    jv_finder_free(&f);
    jv_circuit_free(&c);
}

/* --- several circuits at once --- */

typedef struct trial_job {
    pid_t child;
    FILE *text, *sums;
} trial_job;

static bool start(trial_job *j, const char *file, size_t cases, bool rough) {
    trial_sums s;
    j->text = tmpfile();
    j->sums = tmpfile();
    fflush(stdout);
    if (!j->text || !j->sums || (j->child = fork()) < 0)
        return false;
    if (j->child > 0)
        return true;
    dup2(fileno(j->text), STDOUT_FILENO);
    one_circuit(file, cases, rough, &s);
    fflush(stdout);
    bool kept = fwrite(&s, sizeof s, 1, j->sums) == 1 && fflush(j->sums) == 0;
    _exit(kept ? 0 : 1);
}

static void finish(trial_job *j, trial_sums *s) {
    int status, c;
    memset(s, 0, sizeof *s);
    waitpid(j->child, &status, 0);
    rewind(j->text);
    while ((c = getc(j->text)) != EOF)
        putchar(c);
    rewind(j->sums);
    if (fread(s, sizeof *s, 1, j->sums) != 1)
        s->usable = false;
    fclose(j->text);
    fclose(j->sums);
    fflush(stdout);
}

static bool is_tuned(const char *file) {
    for (size_t k = 0; k < CIRCUITS; k++)
        if (strcmp(usual[k].file, file) == 0)
            return usual[k].tuned;
    return false;
}

int main(int argc, char **argv) {
    enum { MOST = 64 };
    size_t cases = argc > 1 ? (size_t)strtoul(argv[1], NULL, 10) : 8;
    bool rough = cases > 0 && cases < 400, ok = true;
    size_t n = argc > 2 ? (size_t)argc - 2 : (rough && argc < 2 ? 2 : CIRCUITS);
    size_t jobs = getenv("JV_JOBS") ? (size_t)strtoul(getenv("JV_JOBS"), NULL, 10) : 1, begun = 0;
    trial_job job[MOST];
    trial_sums all[2] = {{.usable = true}, {.usable = true}}, one;
    for (size_t k = 0; k < n && n <= MOST; k++) {
        for (; begun < n && begun < k + (jobs ? jobs : 1); begun++)
            if (!start(&job[begun], argc > 2 ? argv[begun + 2] : usual[begun].file, cases, rough))
                return 2;
        finish(&job[k], &one);
        ok = ok && one.usable;
        add_sums(&all[is_tuned(argc > 2 ? argv[k + 2] : usual[k].file)], &one);
    }
    for (int tuned = 1; tuned >= 0; tuned--) {
        if (!all[tuned].row[0].n)
            continue;
        printf("all circuits %s\n", tuned ? "looked at while tuning" : "held out");
        print_sums(&all[tuned]);
        bars(&all[tuned], rough ? rough_room : 0.0, &ok);
    }
    printf("%s\n", ok ? "all bars hold" : "a bar is missed");
    return ok ? 0 : 1;
}
