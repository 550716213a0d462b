/* cures.c - what it would take that a watch does not trip. SPDX-License-Identifier: MIT */
#include "study/sequence/play.h"

#include <math.h>
#include <string.h>

/* Each cure is found by running the sequence again, changed, until the watch trips or the end. */
enum { MOST_STAGGER_MS = 2000 }; /* searched up to, and found to 1 ms */
static const double second_ms = 1e3;
static const double charge_to = 0.01, ohm_to = 0.02; /* of the charge; of the ohms */
static const double dwell_up = 1.02;        /* a dwell just as long as the dip would still act */
static const double probe_tolerance = 1e-4; /* of runs that only say yes or no */
static const double probe_longest_s = 3600.0;
enum { HALVINGS = 8 };

typedef struct jv_bench {
    const jv_circuit *c;
    const jv_plan *plan;
    const jv_sequence_options *options;
    jv_arena *arena;
    jv_sequence *out;
    jv_sequence_cure *list;
    size_t n;
    size_t watch;
    jv_status status;
    double wall_start;
    double longest_s;        /* time under the limit when the watch does not act */
    jv_sequence_stop search; /* CLOCK, ASKED: a run was ended by it: it says nothing */
} jv_bench;

static bool cut_short(const jv_bench *b) {
    return b->search != JV_STOP_DONE;
}

static bool trips(jv_bench *b, const jv_plan *plan, const jv_tweak *tweak, double *longest) {
    jv_arena arena = {0};
    jv_play play = {0};
    jv_sequence_options how = *b->options;
    how.tolerance = probe_tolerance;
    how.sink = NULL;
    how.longest_s = probe_longest_s; /* one after the other takes longer than together */
    play.c = b->c;
    play.plan = plan;
    play.options = &how;
    play.tweak = tweak;
    play.arena = &arena;
    play.wall_start = b->wall_start; /* one clock for all that is asked */
    bool tripped = true;
    jv_status status = jv_play_run(&play);
    if (status == JV_OK) {
        tripped = play.tracks[b->watch].trips > 0 || play.stop != JV_STOP_DONE;
        if (play.stop == JV_STOP_CLOCK || play.stop == JV_STOP_ASKED)
            b->search = play.stop;
        if (longest)
            *longest = play.tracks[b->watch].longest;
    } else {
        b->status = status;
    }
    jv_play_free(&play);
    jv_arena_clear(&arena);
    return tripped;
}

static jv_tweak plain(const jv_bench *b) {
    return (jv_tweak){-1, 0.0, (int32_t)b->watch, false};
}

static void add(jv_bench *b, jv_cure_kind kind, size_t part, double amount, const char *format, ...)
    __attribute__((format(printf, 5, 6)));
static void add(jv_bench *b, jv_cure_kind kind, size_t part, double amount, const char *format,
                ...) {
    if (cut_short(b))
        return;
    jv_text t = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&t, format, args);
    va_end(args);
    jv_sequence_cure *c = &b->list[b->n++];
    c->kind = kind;
    c->watch = b->watch;
    c->part = part;
    c->amount = amount;
    c->text = jv_arena_copy(b->arena, jv_text_str(&t), t.length);
    if (!c->text)
        b->status = JV_ERR_MEMORY;
    jv_text_clear(&t);
}

/* Each step with several motors becomes one step for each. */
static jv_plan *split(jv_bench *b) {
    size_t n = 0;
    for (size_t i = 0; i < b->plan->n_steps; i++)
        n += b->plan->steps[i].loading.n_runs > 1 ? b->plan->steps[i].loading.n_runs : 1;
    jv_plan *out = jv_arena_alloc(b->arena, 1, sizeof *out);
    jv_plan_step *steps = jv_arena_alloc(b->arena, n + 1, sizeof *steps);
    if (!out || !steps) {
        b->status = JV_ERR_MEMORY;
        return NULL;
    }
    *out = *b->plan;
    out->steps = steps;
    out->n_steps = 0;
    for (size_t i = 0; i < b->plan->n_steps; i++) {
        const jv_plan_step *s = &b->plan->steps[i];
        size_t parts = s->loading.n_runs > 1 ? s->loading.n_runs : 1;
        for (size_t k = 0; k < parts; k++) {
            jv_plan_step *o = &steps[out->n_steps++];
            *o = *s;
            if (parts == 1)
                continue;
            o->loading.runs = s->loading.runs + k;
            o->loading.n_runs = 1;
        }
    }
    return out;
}

static bool shares_starts(const jv_plan *plan) {
    for (size_t i = 0; i < plan->n_steps; i++)
        if (plan->steps[i].loading.n_runs > 1)
            return true;
    return false;
}

static void one_at_a_time(jv_bench *b) {
    jv_tweak tweak = plain(b);
    jv_plan *plan = split(b);
    if (!plan)
        return;
    bool helps = !trips(b, plan, &tweak, NULL);
    add(b, JV_CURE_ONE_AT_A_TIME, b->c->n_parts, helps ? 1.0 : NAN,
        helps ? "run one jack at a time" : "one jack at a time does not help");
}

static bool trips_staggered(jv_bench *b, jv_plan *plan, double gap) {
    for (size_t i = 0; i < plan->n_steps; i++) {
        plan->steps[i] = b->plan->steps[i];
        if (plan->steps[i].loading.n_runs < 2)
            continue;
        plan->steps[i].stagger_s = fmax(gap, b->plan->steps[i].stagger_s);
        plan->steps[i].for_s += gap * (double)(plan->steps[i].loading.n_runs - 1);
    }
    jv_tweak tweak = plain(b);
    return trips(b, plan, &tweak, NULL);
}

static bool searching(const jv_bench *b) {
    return b->status == JV_OK && !cut_short(b);
}

/* In whole milliseconds. The next start should come when the dip of the one before is over: the
 * search begins with what the watch saw of it, and doubles that until it helps. */
static void stagger(jv_bench *b) {
    jv_plan plan = *b->plan;
    plan.steps = jv_arena_alloc(b->arena, plan.n_steps + 1, sizeof *plan.steps);
    if (!plan.steps) {
        b->status = JV_ERR_MEMORY;
        return;
    }
    int low = 0, high = (int)fmin(ceil(second_ms * b->longest_s) + 1.0, MOST_STAGGER_MS);
    while (searching(b) && trips_staggered(b, &plan, high / second_ms)) {
        if (high == MOST_STAGGER_MS) {
            add(b, JV_CURE_STAGGER, b->c->n_parts, NAN, "starts %g s apart do not help",
                high / second_ms);
            return;
        }
        low = high;
        high = 2 * high < MOST_STAGGER_MS ? 2 * high : MOST_STAGGER_MS;
    }
    while (high - low > 1 && searching(b)) {
        int middle = (low + high) / 2;
        if (trips_staggered(b, &plan, middle / second_ms))
            low = middle;
        else
            high = middle;
    }
    add(b, JV_CURE_STAGGER, b->c->n_parts, high / second_ms,
        "start the jacks of a step %d ms apart", high);
}

/* What is told must help: figures are rounded up. */
static double two_digits_up(double value) {
    double unit = pow(10.0, floor(log10(value)) - 1.0);
    return unit * ceil(value / unit);
}

/* Out of the part with the widest drop at the trip. */
static void less_ohms(jv_bench *b) {
    const jv_sequence_cause *cause = &b->out->watches[b->watch].cause;
    size_t part = cause->widest;
    if (part >= b->c->n_parts || !b->c->parts[part].kind->is_series || !(cause->current_a > 0.0))
        return;
    const char *name = b->c->parts[part].name;
    double low = 0.0, high = cause->widest_v / cause->current_a, all = high;
    jv_tweak tweak = plain(b);
    tweak.less_part = (int32_t)part;
    tweak.less_ohm = high;
    if (trips(b, b->plan, &tweak, NULL)) {
        add(b, JV_CURE_LESS_OHMS, part, NAN, "even no ohms at all in %s do not help alone", name);
        return;
    }
    while (high - low > ohm_to * all && searching(b)) {
        tweak.less_ohm = 0.5 * (low + high);
        if (trips(b, b->plan, &tweak, NULL))
            low = tweak.less_ohm;
        else
            high = tweak.less_ohm;
    }
    high = fmin(two_digits_up(high), all);
    add(b, JV_CURE_LESS_OHMS, part, high, "take %.2g mohm out of %s (it has %.2g mohm)", 1e3 * high,
        name, 1e3 * all);
}

static void more_charge(jv_bench *b) {
    jv_plan plan = *b->plan;
    double low = 0.0, high = 1.0;
    jv_tweak tweak = plain(b);
    plan.has_charge = true;
    plan.charge = jv_value_exact(high);
    if (trips(b, &plan, &tweak, NULL)) {
        add(b, JV_CURE_CHARGE, b->c->n_parts, NAN, "a full battery alone does not help");
        return;
    }
    for (int k = 0; k < HALVINGS && high - low > charge_to && searching(b); k++) {
        plan.charge = jv_value_exact(0.5 * (low + high));
        if (trips(b, &plan, &tweak, NULL))
            low = plan.charge.nominal;
        else
            high = plan.charge.nominal;
    }
    high = fmin(ceil(100.0 * high) / 100.0, 1.0);
    add(b, JV_CURE_CHARGE, b->c->n_parts, high, "charge the battery to %.0f %% or more",
        100.0 * high);
}

/* How long the watch is under its limit at a stretch when it does not act. */
static void let_pass(jv_bench *b) {
    jv_tweak tweak = plain(b);
    tweak.disarm = true;
    b->longest_s = 0.0;
    trips(b, b->plan, &tweak, &b->longest_s);
}

static void longer_dwell(jv_bench *b) {
    if (!(b->longest_s > 0.0))
        return;
    double wait = b->longest_s * dwell_up, unit = wait < 1.0 ? 1e-3 : 0.1;
    wait = unit * ceil(wait / unit);
    if (wait < 1.0)
        add(b, JV_CURE_DWELL, b->c->n_parts, wait,
            "the watch would have to wait %.0f ms (a setting of the vehicle's maker: not a repair)",
            1e3 * wait);
    else
        add(b, JV_CURE_DWELL, b->c->n_parts, wait,
            "the watch would have to wait %.1f s (a setting of the vehicle's maker: not a repair)",
            wait);
}

/* Each begins only while there is time for it. */
static void find_for_watch(jv_bench *b) {
    static void (*const cures[])(jv_bench *) = {let_pass,  one_at_a_time, stagger,
                                                less_ohms, more_charge,   longer_dwell};
    for (size_t k = 0; k < sizeof cures / sizeof cures[0] && searching(b); k++)
        if (shares_starts(b->plan) || (cures[k] != one_at_a_time && cures[k] != stagger))
            cures[k](b);
}

jv_status jv_cures_find(const jv_circuit *c, const jv_plan *plan,
                        const jv_sequence_options *options, double wall_start, jv_arena *arena,
                        jv_sequence *out) {
    enum { KINDS = 5 };
    jv_bench b = {0};
    b.c = c;
    b.plan = plan;
    b.options = options;
    b.arena = arena;
    b.out = out;
    b.wall_start = wall_start;
    b.list = jv_arena_alloc(arena, c->n_watches * KINDS + 1, sizeof *b.list);
    if (!b.list)
        return JV_ERR_MEMORY;
    if (out->stop == JV_STOP_CLOCK || out->stop == JV_STOP_ASKED)
        b.search = out->stop;
    size_t tripped = 0;
    for (b.watch = 0; b.watch < c->n_watches; b.watch++) {
        if (!out->watches[b.watch].trips)
            continue;
        tripped++;
        find_for_watch(&b);
    }
    out->search = tripped ? b.search : JV_STOP_DONE;
    out->cures = b.list;
    out->n_cures = b.n;
    return b.status;
}
