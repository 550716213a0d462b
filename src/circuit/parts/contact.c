/* contact.c - a joint: crimp, stud, post clamp, bond, holder. SPDX-License-Identifier: MIT */
#include "jackvolt/contact.h"
#include "circuit/body.h"
#include "circuit/kinds.h"
#include "circuit/parts/joint.h"

#include <math.h>
#include <string.h>

enum { A, B, KIND, RESISTANCE, HOT_RESISTANCE, HEATS_IN, PRESENT, STUD, KEYS };

static const jv_key keys[KEYS] = {
    {"a", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "terminal on one side"},
    {"b", JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, "terminal on the other side"},
    {"kind", JV_KEY_WORD, 0, 0, 0, 0, "crimp|stud|post clamp|bond|holder|blade", NULL, NULL,
     "what joint it is; gives its ohms when resistance is absent"},
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "ohms of the joint, cold; those of a sound joint of its kind when absent"},
    {"hot_resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "ohms when it has warmed in the run; a steady answer of a run takes these"},
    {"heats_in", JV_KEY_QUANTITY, JV_DIM_TIME, JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "time in which it has warmed up; at once when absent"},
    {"present", JV_KEY_QUANTITY, JV_DIM_RATIO, JV_ZERO_OK | JV_NO_SPREAD, 0, 1, NULL, NULL, NULL,
     "share of the time for which it is bad; a steady answer takes the resistance as present"},
    {"stud", JV_KEY_TEXT, 0, 0, 0, 0, NULL, NULL, NULL,
     "stud or screw that holds it, for the cut list: \"M8\", \"3/8 in\""},
};

/* In the order of the words of KIND. */
static const jv_contact_kind table_kinds[] = {
    JV_CONTACT_CRIMP, JV_CONTACT_STUD,   JV_CONTACT_POST_CLAMP,
    JV_CONTACT_BOND,  JV_CONTACT_HOLDER, JV_CONTACT_BLADE,
};

static void assume(jv_circuit *c, const jv_part *p) {
    int kind = jv_part_word(c, p, KIND, -1);
    if (kind < 0 || kind >= (int)(sizeof table_kinds / sizeof table_kinds[0]))
        return;
    jv_joint_assume(c, RESISTANCE, table_kinds[kind]);
}

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    /* A word that was refused leaves a slot: its own fault is enough. */
    if (!jv_part_has(c, p, RESISTANCE) && !jv_part_has(c, p, KIND))
        jv_part_fault(
            d, c, p, -1, JV_CODE_KEY_MISSING,
            "Give \"resistance\": \"0.5 mohm\", or \"kind\": \"stud\" for that of a sound one.",
            "contact \"%s\" has no resistance", p->name);
    if (jv_part_has(c, p, HEATS_IN) && !jv_part_has(c, p, HOT_RESISTANCE))
        jv_part_fault(d, c, p, HEATS_IN, JV_CODE_KEY_MISSING,
                      "Give \"hot_resistance\", or take \"heats_in\" out.",
                      "contact \"%s\" says how fast it heats but not what it comes to", p->name);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_wiring_add(w, p, JV_SERIES, 0, jv_part_terminal(c, p, A), jv_part_terminal(c, p, B), -1);
}

/* A joint that gets worse as it warms does so within a minute, when the file says nothing
 * (common practice, no source). */
static const double usual_heats_in_s = 60.0;

/* Cold and warm ohms, and the time from one to the other. */
typedef struct jv_contact_warmth {
    double cold, hot; /* hot: NAN = it does not change */
    double heats_in_s;
} jv_contact_warmth;

static jv_contact_warmth warmth(const jv_scene *s, const jv_part *p) {
    jv_contact_warmth w = {jv_scene_value(s, p, RESISTANCE, NAN),
                           jv_scene_value(s, p, HOT_RESISTANCE, NAN),
                           jv_scene_value(s, p, HEATS_IN, 0.0)};
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;) {
        if (f->way != JV_WAY_HOT)
            continue;
        if (!(w.heats_in_s > 0.0))
            w.heats_in_s = usual_heats_in_s;
        w.hot = (isnan(w.hot) ? w.cold : w.hot) + f->value;
    }
    return w;
}

/* A joint warms by the current of a run; at rest it is cold. */
static double ohms(const jv_scene *s, const jv_part *p) {
    jv_contact_warmth w = warmth(s, p);
    if (isnan(w.hot) || !s->loading || !s->loading->n_runs)
        return w.cold;
    if (!s->loading->has_time)
        return w.hot;
    const jv_case *k = s->loading;
    return jv_contact_duty_ohm(w.cold, w.hot, w.heats_in_s, k->run_for.nominal, k->pause_s,
                               jv_case_times(k));
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    e->r = ohms(s, p);
    e->r_slope = 0.0;
}

/* Complaints lie at a battery terminal in 0.13, a ground stud 0.12, a lug 0.06, a fuse
 * holder 0.03 of the cases (judgement); a joint of unknown place takes about the middle.
 * Severity: two deviations about medians of 20 mohm in the trunk and 60 mohm in a branch. */
static const jv_failure failures[] = {
    {JV_WAY_ADDED, "<R> added", 0.09, 0.004, 0.300, "clean to bright metal, refit and tighten",
     15.0, "judgement, no published source"},
    {JV_WAY_OPEN, "open", 0.01, 0, 0, "remake the joint", 15.0, "judgement, no published source"},
    {JV_WAY_HOT, "<R> added when hot", 0.003, 0.004, 0.300,
     "clean to bright metal, refit and tighten", 15.0, "common practice, no source"},
    {JV_WAY_LOOSE, "<R> added now and then", 0.004, 0.010, 0.5,
     "take it apart, remake the crimp or clean, refit and tighten", 15.0,
     "common practice, no source"},
};

/* In time (body.h): v = (cold + (hot - cold) h) i + added i; h goes to 1 while anything runs and
 * to 0 while nothing does. "heats_in" are three time constants (contact.h). */
static const char *const state_names[] = {"warmed, 0 to 1"};
static const double state_scale[] = {0.1};

typedef struct jv_contact_time {
    double cold, more, added, tau_s, goal;
} jv_contact_time;

static bool start(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, jv_remarks *assumed) {
    static const double constants = 3.0;
    jv_contact_time *w = work;
    (void)e;
    (void)n;
    (void)assumed;
    jv_contact_warmth m = warmth(s, p);
    if (isnan(m.hot))
        return false;
    w->cold = m.cold;
    w->more = m.hot - w->cold;
    w->tau_s = m.heats_in_s / constants;
    x[0] = 0.0;
    return true;
}

static void command(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                    double *x, double t) {
    jv_contact_time *w = work;
    (void)n;
    (void)t;
    w->goal = s->loading && s->loading->n_runs ? 1.0 : 0.0;
    w->added = e->r - ohms(s, p);
    if (!(w->tau_s > 0.0)) /* at once */
        x[0] = w->goal;
}

static void law(const void *work, const double *x, double i, jv_body_law *out) {
    const jv_contact_time *w = work;
    memset(out, 0, sizeof *out);
    out->drop_i = w->cold + w->added + w->more * x[0];
    out->drop = out->drop_i * i;
    out->drop_x[0] = w->more * i;
    if (!(w->tau_s > 0.0))
        return;
    out->rate[0] = (w->goal - x[0]) / w->tau_s;
    out->rate_x[0][0] = -1.0 / w->tau_s;
}

const jv_body_kind jv_body_contact = {
    .n_states = 1,
    .n_core = 1,
    .names = state_names,
    .scale = state_scale,
    .work = sizeof(jv_contact_time),
    .start = start,
    .command = command,
    .law = law,
};

const jv_part_kind jv_kind_contact = {
    .name = "contact",
    .summary = "a joint: crimp, stud, post clamp, bond or holder",
    .keys = keys,
    .n_keys = KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_series = true,
    .assume = assume,
    .check = check,
    .connect = connect,
    .load = load,
    .body = &jv_body_contact,
};
