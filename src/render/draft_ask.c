/* draft_ask.c - what a layout leaves to be asked. SPDX-License-Identifier: MIT */
#include "render/draft.h"

#include <math.h>
#include <string.h>

/* A watch below this limit guards a sensor supply, not a battery: it is left as it is, since what
 * is assumed of an unknown limit is a 12 V supply's. V, judgement. */
static const double sensor_volts = 6.0;
/* Names shown in a question before "and N more". */
enum { NAMES_SHOWN = 4 };

const char *const jv_ask_about[JV_ASK_KINDS] = {"name",         "temperature",   "chemistry",
                                                "capacity",     "charge",        "age",
                                                "rating",       "length",        "size",
                                                "metal",        "rated load",    "rated current",
                                                "free current", "stall current", "limit"};

const char *jv_draft_value(const jv_json_value *object, const char *key) {
    const jv_json_value *v = jv_json_member(object, key);
    return v && v->type == JV_JSON_STRING ? v->as.string : NULL;
}

bool jv_draft_is(const jv_json_value *part, const char *kind) {
    const char *is = jv_draft_value(part, "is");
    return is && strcmp(is, kind) == 0;
}

const jv_json_value *jv_ask_object(const jv_draft *d, const jv_asked *q, uint32_t target) {
    if (q->ask == JV_ASK_NAME || q->ask == JV_ASK_AMBIENT)
        return d->doc.root;
    return q->ask == JV_ASK_STOP ? d->watches[target] : d->parts[target];
}

const char *jv_ask_key(const jv_draft *d, const jv_asked *q, uint32_t target) {
    static const char *const keys[JV_ASK_KINDS] = {
        "circuit",     "ambient",       "chemistry",       "capacity",      "charge",
        "age",         "rating",        "length",          "size",          "metal",
        "rated_force", "rated_current", "no_load_current", "stall_current", "below"};
    bool pump = q->n_targets && (q->ask == JV_ASK_LOAD || q->ask == JV_ASK_FREE) &&
                jv_draft_is(d->parts[target], "pump");
    if (pump)
        return q->ask == JV_ASK_LOAD ? "rated_pressure" : "idle_current";
    return keys[q->ask];
}

const char *jv_ask_layout(const jv_draft *d, const jv_asked *q, uint32_t target) {
    return jv_draft_value(jv_ask_object(d, q, target), jv_ask_key(d, q, target));
}

const jv_asked *jv_asked_of(const jv_draft *d, jv_ask ask, uint32_t target) {
    for (size_t i = 0; i < d->n_asked; i++)
        for (size_t k = 0; k < d->asked[i].n_targets && d->asked[i].ask == ask; k++)
            if (d->asked[i].targets[k] == target)
                return &d->asked[i];
    return NULL;
}

/* --- finding them --- */

static bool is_branch(const jv_draft *d, const jv_json_value *part) {
    for (size_t i = 0; i < d->n_prefixes; i++)
        if (jv_has_prefix(part->key, d->prefixes[i]))
            return true;
    return false;
}

static bool same_text(const jv_json_value *a, const jv_json_value *b, const char *key) {
    const char *x = jv_draft_value(a, key), *y = jv_draft_value(b, key);
    return x && y ? strcmp(x, y) == 0 : !x && !y;
}

/* Are two parts alike, so that one question does for both? */
static bool is_alike(const jv_draft *d, const jv_asked *q, uint32_t target) {
    static const char *const plate[] = {
        "is",           "rated_force",  "rated_pressure", "rated_current", "no_load_current",
        "idle_current", "stall_current"};
    const jv_json_value *a = d->parts[q->targets[0]], *b = d->parts[target];
    if (q->branch != is_branch(d, b))
        return false;
    if (q->ask == JV_ASK_LENGTH)
        return same_text(a, b, "length");
    if (q->ask == JV_ASK_SIZE || q->ask == JV_ASK_METAL)
        return same_text(a, b, "size") && same_text(a, b, "metal");
    if (q->ask == JV_ASK_FUSE)
        return q->branch && same_text(a, b, "is") && same_text(a, b, "rating");
    if (q->ask < JV_ASK_LOAD || q->ask > JV_ASK_STALL)
        return false;
    for (size_t i = 0; i < sizeof plate / sizeof plate[0]; i++)
        if (!same_text(a, b, plate[i]))
            return false;
    return true;
}

static jv_asked *add(jv_draft *d, jv_ask ask, bool branch, bool targeted, uint32_t target) {
    jv_asked *q = d->n_asked < JV_MOST_ASKED ? &d->asked[d->n_asked] : NULL;
    if (!q)
        return NULL;
    memset(q, 0, sizeof *q);
    q->ask = ask;
    q->branch = branch;
    q->targets = jv_arena_alloc(&d->arena, d->n_parts + d->n_watches + 1, sizeof *q->targets);
    if (!q->targets) {
        d->failed = true;
        return NULL;
    }
    if (targeted)
        q->targets[q->n_targets++] = target;
    d->n_asked++;
    return q;
}

/* Ask about a part, together with those that are alike. */
static void ask_part(jv_draft *d, jv_ask ask, uint32_t target) {
    for (size_t i = 0; i < d->n_asked; i++) {
        jv_asked *q = &d->asked[i];
        if (q->ask == ask && is_alike(d, q, target)) {
            q->targets[q->n_targets++] = target;
            return;
        }
    }
    add(d, ask, is_branch(d, d->parts[target]), true, target);
}

static void ask_batteries(jv_draft *d) {
    for (uint32_t i = 0; i < d->n_parts; i++)
        for (jv_ask ask = JV_ASK_CHEMISTRY;
             ask <= JV_ASK_AGE && jv_draft_is(d->parts[i], "battery"); ask++)
            ask_part(d, ask, i);
}

/* Parts that are in a jack's branch, or those that are not. */
static void ask_wiring(jv_draft *d, bool branch) {
    for (jv_ask ask = JV_ASK_FUSE; ask <= JV_ASK_METAL; ask++)
        for (uint32_t i = 0; i < d->n_parts; i++) {
            const jv_json_value *p = d->parts[i];
            bool fuse = jv_draft_is(p, "fuse") || jv_draft_is(p, "breaker");
            bool fits = ask == JV_ASK_FUSE ? fuse && jv_draft_value(p, "rating")
                                           : jv_draft_is(p, "cable") && jv_draft_value(p, "size") &&
                                                 jv_draft_value(p, "length");
            if (ask == JV_ASK_METAL)
                fits = fits && jv_draft_value(p, "metal");
            if (fits && is_branch(d, p) == branch)
                ask_part(d, ask, i);
        }
}

/* All of one kind of motor before the next. */
static void ask_motors(jv_draft *d) {
    for (uint32_t i = 0; i < d->n_parts; i++) {
        const jv_json_value *p = d->parts[i];
        if (!jv_draft_is(p, "jack") && !jv_draft_is(p, "pump"))
            continue;
        for (jv_ask ask = JV_ASK_LOAD; ask <= JV_ASK_STALL; ask++)
            ask_part(d, ask, i);
    }
}

static void ask_watches(jv_draft *d) {
    for (uint32_t i = 0; i < d->n_watches; i++)
        if (jv_draft_nominal(jv_draft_value(d->watches[i], "below"), JV_DIM_VOLTAGE) > sensor_volts)
            add(d, JV_ASK_STOP, false, true, i);
}

/* --- which option answers which --- */

/* The longest cable outside the jacks' branches: the run that a layout hangs on; NULL = none. */
static const jv_asked *main_run(const jv_draft *d) {
    const jv_asked *best = NULL;
    double most = 0.0;
    for (size_t i = 0; i < d->n_asked; i++) {
        const jv_asked *q = &d->asked[i];
        double length = q->ask == JV_ASK_LENGTH && !q->branch
                            ? jv_draft_nominal(jv_ask_layout(d, q, q->targets[0]), JV_DIM_LENGTH)
                            : 0.0;
        if (length > most) {
            most = length;
            best = q;
        }
    }
    return best;
}

static bool has_target(const jv_asked *q, uint32_t target) {
    for (size_t i = 0; i < q->n_targets; i++)
        if (q->targets[i] == target)
            return true;
    return false;
}

static const char *option_of(const jv_draft *d, const jv_asked *q, const jv_asked *run,
                             const jv_asked *fuse) {
    static const char *const names[JV_ASK_KINDS] = {"name",         "ambient",       "chemistry",
                                                    "capacity",     "charge",        "age",
                                                    "jack-fuse",    "jack-length",   "jack-size",
                                                    "jack-metal",   "force",         "current",
                                                    "free-current", "stall-current", "stop"};
    bool of_run = run && q->n_targets && has_target(q, run->targets[0]);
    if (q->ask == JV_ASK_LOAD && jv_draft_is(d->parts[q->targets[0]], "pump"))
        return "pressure";
    if (q->ask == JV_ASK_STOP) {
        const char *state = jv_draft_value(d->watches[q->targets[0]], "while");
        return state && strcmp(state, "resting") == 0 ? "rest" : "stop";
    }
    if (q->ask < JV_ASK_FUSE || q->ask > JV_ASK_METAL || q->branch)
        return names[q->ask];
    if (q->ask == JV_ASK_FUSE)
        return q == fuse ? "fuse" : NULL;
    if (q->ask == JV_ASK_LENGTH)
        return q == run ? "length" : NULL;
    return of_run ? (q->ask == JV_ASK_SIZE ? "size" : "metal") : NULL;
}

/* --- their words --- */

static void add_names(const jv_draft *d, const jv_asked *q, jv_text *out) {
    size_t shown = q->n_targets <= NAMES_SHOWN + 1 ? q->n_targets : NAMES_SHOWN;
    for (size_t i = 0; i < shown; i++)
        jv_text_addf(out, "%s\"%s\"",
                     i == 0                  ? ""
                     : i + 1 == q->n_targets ? " and "
                                             : ", ",
                     jv_ask_object(d, q, q->targets[i])->key);
    if (shown < q->n_targets)
        jv_text_addf(out, " and %zu more", q->n_targets - shown);
}

/* %s stands for the names. */
static const struct {
    const char *one, *many, *example;
} words[JV_ASK_KINDS] = {
    {"What shall the circuit be called?", NULL, "our trailer"},
    {"How warm is it where the vehicle stands?", NULL, "70 degF, 20 degC"},
    {"What kind of battery is %s: flooded, agm, gel or lfp (lithium iron phosphate)?", NULL, "agm"},
    {"How large is %s, by its label?", NULL, "100 Ah"},
    {"How full is %s: in percent, or its volts after some hours without charger and load?", NULL,
     "80 %, 12.5 V"},
    {"How long has %s been in service?", NULL, "3 years, 18 months"},
    {"What is printed on %s: its rating?", "What is printed on each of %s: its rating?", "60 A"},
    {"How long is %s, one way?", "How long is each of %s, one way?", "18 ft, 5.5 m"},
    {"What size is %s? It is printed on the cable.",
     "What size is each of %s? It is printed on the cable.", "6 AWG, SAE 6, 16 mm2"},
    {"What is %s made of: copper, tinned copper, copper-clad aluminium or aluminium?",
     "What are %s made of: copper, tinned copper, copper-clad aluminium or aluminium?", "copper"},
    {"What load is %s rated for?", "What load is each of %s rated for?", "2000 lbf, 9 kN"},
    {"How many amps does %s draw at its rated load, by its papers?",
     "How many amps does each of %s draw at its rated load, by its papers?", "25 A"},
    {"How many amps does %s draw running free?", "How many amps does each of %s draw running free?",
     "4 A"},
    {"How many amps does %s draw held fast? From its papers: hold no motor to find out.",
     "How many amps does each of %s draw held fast? From its papers: hold no motor to find out.",
     "90 A"},
    {"Below how many volts does %s act? The manual of the vehicle's controller says.", NULL,
     "10.5 V"},
};

void jv_ask_text(jv_draft *d, jv_asked *q) {
    jv_text names = {0}, text = {0};
    const char *form =
        q->n_targets > 1 && words[q->ask].many ? words[q->ask].many : words[q->ask].one;
    if (q->n_targets)
        add_names(d, q, &names);
    const char *mark = strstr(form, "%s");
    jv_text_add_n(&text, form, mark ? (size_t)(mark - form) : strlen(form));
    if (mark)
        jv_text_addf(&text, "%s%s", jv_text_str(&names), mark + 2);
    q->shown.text = jv_arena_copy(&d->arena, jv_text_str(&text), text.length);
    q->shown.about = jv_ask_about[q->ask];
    q->shown.example = words[q->ask].example;
    if (q->ask == JV_ASK_LOAD && jv_draft_is(d->parts[q->targets[0]], "pump"))
        q->shown.example = "2200 psi, 150 bar";
    q->shown.layout = jv_ask_layout(d, q, q->n_targets ? q->targets[0] : 0);
    d->failed |= !q->shown.text || text.failed || names.failed;
    jv_text_clear(&names);
    jv_text_clear(&text);
}

void jv_ask_all(jv_draft *d) {
    const jv_asked *fuse = NULL;
    add(d, JV_ASK_NAME, false, false, 0);
    add(d, JV_ASK_AMBIENT, false, false, 0);
    ask_batteries(d);
    ask_wiring(d, false);
    ask_wiring(d, true);
    ask_motors(d);
    ask_watches(d);
    const jv_asked *run = main_run(d);
    for (size_t i = 0; i < d->n_asked && !fuse; i++)
        if (d->asked[i].ask == JV_ASK_FUSE && !d->asked[i].branch)
            fuse = &d->asked[i];
    for (size_t i = 0; i < d->n_asked && !d->failed; i++) {
        jv_ask_text(d, &d->asked[i]);
        d->asked[i].shown.option = option_of(d, &d->asked[i], run, fuse);
    }
}
