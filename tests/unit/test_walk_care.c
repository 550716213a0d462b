/* test_walk_care.c - care, as properties of every step that walks produce. SPDX-License-Identifier:
 * MIT
 *
 * Walks of every circuit of circuits/ and of random circuits are answered at random: sensible
 * readings, the readings of a suspect, nonsense, skips, shorts that stay, repairs that do not cure.
 * Each screen is judged by rules written here from the safety texts (OSHA 29 CFR 1910.147 and
 * 1910.178(g), NEETS module 16 p. 1-17 and 3-30, WAC 296-807-17015), not by what the walk says of
 * itself. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "circuit/kinds.h"
#include "circuit/part_kind.h"
#include "circuit/parts/cable.h"
#include "jackvolt/heat.h"
#include "jackvolt/read.h"
#include "jackvolt/render.h"
#include "jackvolt/tables.h"
#include "jackvolt/walk.h"
#include "tests/support/wild.h"

enum { STEPS = 40, FEW_STEPS = 20, NAME = 300 };

/* What has happened to the vehicle, kept apart from the walk. */
typedef struct vehicle {
    bool chocked;        /* chocks and supports are in place */
    bool off;            /* every source */
    bool dead;           /* and a reading has shown it */
    bool repaired;       /* since it was switched off */
    bool free_of_shorts; /* checked since the repair */
} vehicle;

static size_t screens, ohms_seen, runs_seen, restores_seen, cranks_seen, fuses_seen, locates_seen;

static bool has(const jv_step *s, jv_care care) {
    return (s->care & (uint32_t)care) != 0;
}

/* Places of two texts in the screen; the first must be there and come first. */
static void assert_before(const char *screen, const char *first, const char *then,
                          const char *title) {
    const char *a = strstr(screen, first), *b = strstr(screen, then);
    if (!a || (b && b < a))
        fail_msg("\"%s\" does not come before \"%s\" in step: %s", first, then, title);
}

/* The first words of a text, short enough to stand on one line of the screen. */
static void first_words(const char *text, char out[40]) {
    size_t n = 0;
    while (text[n] && n < 28)
        n++;
    while (n > 0 && text[n] && text[n] != ' ')
        n--;
    memcpy(out, text, n);
    out[n] = '\0';
}

/* Every caution of the step is on the screen, with its signal word, before what is to be done. */
static void cautions_come_first(const jv_step *s) {
    const jv_style style = {.width = 80};
    jv_text screen = {0};
    char act[40], caution[40];
    jv_step_text(s, &style, &screen);
    assert_false(screen.failed);
    assert_true(s->n_lines || !s->n_cautions);
    if (s->n_lines)
        first_words(s->lines[0], act);
    const char *body = s->n_lines ? strstr(jv_text_str(&screen), act) : NULL;
    assert_true(body || !s->n_lines);
    size_t told = 0;
    for (size_t k = 0; k < jv_precaution_count(); k++) {
        const jv_precaution *p = jv_precaution_at(k);
        if (!has(s, p->care))
            continue;
        told++;
        first_words(s->told & (uint32_t)p->care ? p->brief : p->text, caution);
        const char *at = strstr(jv_text_str(&screen), caution);
        if (!at || at > body)
            fail_msg("caution \"%s\" is missing or late in step: %s", caution, s->title);
        assert_before(jv_text_str(&screen), jv_signal_word(p->signal), caution, s->title);
        if (s->n_lines)
            assert_before(jv_text_str(&screen), caution, act, s->title);
    }
    assert_int_equal(told, s->n_cautions);
    jv_text_clear(&screen);
}

static bool says(const jv_step *s, const char *words) {
    for (size_t k = 0; k < s->n_lines; k++)
        if (strstr(s->lines[k], words))
            return true;
    return false;
}

static size_t line_of(const jv_step *s, const char *words) {
    for (size_t k = 0; k < s->n_lines; k++)
        if (strstr(s->lines[k], words))
            return k;
    fail_msg("\"%s\" is not said in step: %s", words, s->title);
    return 0;
}

/* --- rules of each kind of act --- */

static void judge_reading(const jv_step *s, const jv_check *v, const vehicle *x) {
    assert_non_null(v);
    if (s->wants == JV_WANTS_OHMS || v->kind == JV_CHECK_OHMS) {
        ohms_seen++;
        assert_true(x->off && x->dead);
        assert_true(has(s, JV_CARE_METER) && has(s, JV_CARE_SOURCES));
        assert_true(line_of(s, "volts first") < line_of(s, "Then ohms"));
    } else if (v->kind != JV_CHECK_LOOK) {
        assert_false(x->off); /* a live reading wants the power on */
        assert_true(has(s, JV_CARE_METER));
    }
    if (v->setup == JV_SETUP_RUN) {
        runs_seen++;
        assert_true(x->chocked);
        assert_true(has(s, JV_CARE_CHOCKS) && has(s, JV_CARE_SUPPORT));
        assert_true(has(s, JV_CARE_CLIP_ON) && has(s, JV_CARE_UNCOMMANDED));
        /* leads on with nothing running, out from under, then the run, read from outside */
        size_t clip =
            line_of(s, v->kind == JV_CHECK_AMPS ? "Close it round" : "Nothing runs: clip");
        size_t out = line_of(s, "Come out from under"), run = line_of(s, "Run \"");
        assert_true(clip < out && out < run);
        assert_true(says(s, "from where you stand safe"));
    } else {
        assert_false(says(s, "Run \""));
    }
    bool under = v->place == JV_PLACE_JACK || v->far_place == JV_PLACE_JACK;
    if (under) {
        assert_true(x->chocked);
        assert_true(has(s, JV_CARE_SUPPORT) && has(s, JV_CARE_UNCOMMANDED));
    }
    bool battery = v->place == JV_PLACE_BATTERY || v->far_place == JV_PLACE_BATTERY;
    if (battery && v->kind != JV_CHECK_LOOK)
        assert_true(has(s, JV_CARE_RINGS) && has(s, JV_CARE_GAS));
    for (size_t k = 0; k < v->n_off; k++)
        if (says(s, "unplug") || says(s, "Unplug"))
            assert_true(has(s, JV_CARE_UNPLUG));
}

/* What the cables that touch either end of a fuse carry for good at 30 degC, A: an upper bound of
 * what may be advised, worked out here from the heat balance alone. */
static double touching_limit(const jv_circuit *c, size_t fuse) {
    const jv_part *p = &c->parts[fuse];
    double least = INFINITY;
    int32_t b = jv_part_terminal(c, p, 1);
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *cable = &c->parts[i];
        jv_conductor wire;
        jv_heat_body body;
        jv_figure limit;
        const jv_surroundings where = {30.0, 1, false};
        if (cable->kind != &jv_kind_cable || jv_cable_conductor(c, cable, &wire) != JV_OK)
            continue;
        bool touches =
            b >= 0 && (jv_part_terminal(c, cable, 0) == b || jv_part_terminal(c, cable, 1) == b);
        const jv_slot *s = jv_part_slot(c, cable, JV_CABLE_INSULATION);
        if (!touches || jv_table_insulation(s ? s->text : "GPT", &limit) != JV_OK)
            continue;
        jv_heat_body_make(&wire, jv_cable_wall(c, cable), &where, &body);
        least = fmin(least, jv_heat_current_for(&body, limit.value));
    }
    return least;
}

static void judge_repair(const jv_circuit *c, const jv_walk *w, const jv_step *s,
                         const vehicle *x) {
    const jv_suspect *named = jv_finder_suspect(jv_walk_finder(w), s->suspect);
    assert_true(x->off && x->dead && x->chocked);
    assert_true(has(s, JV_CARE_RINGS) && has(s, JV_CARE_UNCOMMANDED));
    for (size_t k = 0; k < named->n; k++) {
        const jv_part_kind *kind = c->parts[named->part[k]].kind;
        if (kind != &jv_kind_fuse && kind != &jv_kind_breaker)
            continue;
        assert_true(has(s, JV_CARE_FUSE));
        if (isnan(s->fuse_a))
            continue;
        fuses_seen++;
        const jv_slot *rating = jv_part_slot(c, &c->parts[named->part[k]], 2);
        assert_true(s->fuse_a <= rating->value.nominal);
        if (named->n == 1)
            assert_true(s->fuse_a <= touching_limit(c, named->part[k]));
    }
    /* no other step of a repair puts amps of a fuse into a person's head */
    for (size_t k = 0; k < s->n_lines; k++)
        assert_null(strstr(s->lines[k], "larger fuse"));
}

static void judge(const jv_circuit *c, const jv_walk *w, const jv_step *s, const vehicle *x) {
    screens++;
    cautions_come_first(s);
    switch (s->act) {
    case JV_ACT_VOLTS:
    case JV_ACT_AMPS:
    case JV_ACT_OHMS:
    case JV_ACT_LOOK:
    case JV_ACT_PROOF:
        judge_reading(s, jv_finder_check(jv_walk_finder(w), s->check), x);
        break;
    case JV_ACT_DISCONNECT:
        assert_true(has(s, JV_CARE_CHOCKS) && has(s, JV_CARE_BEFORE_OFF));
        break;
    case JV_ACT_SAFE:
        assert_true(has(s, JV_CARE_SUPPORT) && has(s, JV_CARE_CHOCKS));
        break;
    case JV_ACT_CRANK:
        cranks_seen++;
        assert_true(x->chocked);
        assert_true(has(s, JV_CARE_SUPPORT) && has(s, JV_CARE_CHOCKS) &&
                    has(s, JV_CARE_UNCOMMANDED));
        assert_true(line_of(s, "pull the fuse") < line_of(s, "Put the crank in"));
        assert_true(line_of(s, "Unplug the motor") < line_of(s, "Put the crank in"));
        break;
    case JV_ACT_ISOLATE:
        assert_true(x->chocked); /* the battery may hold a brake */
        assert_true(has(s, JV_CARE_SOURCES) && has(s, JV_CARE_BEFORE_OFF) &&
                    has(s, JV_CARE_MINUS_FIRST) && has(s, JV_CARE_RINGS) && has(s, JV_CARE_GAS));
        for (size_t i = 0; i < c->n_parts; i++) /* every source by its name */
            if (c->parts[i].kind->is_source)
                assert_true(says(s, c->parts[i].name));
        break;
    case JV_ACT_PROVE_DEAD:
        assert_true(x->off);
        assert_true(has(s, JV_CARE_METER) && has(s, JV_CARE_CAPACITORS));
        assert_true(says(s, "live point first"));
        assert_int_equal(s->wants, JV_WANTS_VOLTS);
        break;
    case JV_ACT_LOCATE:
        locates_seen++;
        assert_true(x->off && x->dead);
        assert_true(has(s, JV_CARE_LIMITED) && has(s, JV_CARE_NO_FEED) && has(s, JV_CARE_UNPLUG));
        break;
    case JV_ACT_REPAIR:
        judge_repair(c, w, s, x);
        break;
    case JV_ACT_SHORTS:
        assert_true(x->off && x->dead && x->repaired);
        assert_true(has(s, JV_CARE_METER) && has(s, JV_CARE_SOURCES));
        break;
    case JV_ACT_RESTORE:
        restores_seen++;
        assert_true(x->repaired && x->free_of_shorts);
        assert_true(has(s, JV_CARE_RESTORE) && has(s, JV_CARE_MINUS_FIRST));
        assert_true(line_of(s, "people out") < line_of(s, "minus clamps"));
        break;
    case JV_ACT_REPEAT:
        assert_true(x->chocked);
        assert_false(x->off);
        assert_true(has(s, JV_CARE_CHOCKS) && has(s, JV_CARE_SUPPORT) &&
                    has(s, JV_CARE_UNCOMMANDED));
        break;
    case JV_ACT_ANSWER:
    case JV_ACT_END:
        assert_null(s->red); /* no probe is held in either */
        break;
    }
}

/* --- answers at random --- */

static void put_reading(jv_text *t, jv_check_kind kind, double value) {
    if (kind == JV_CHECK_OHMS && !(value < 1e7))
        jv_text_add(t, "OL");
    else
        jv_text_addf(t, "%.4f %s", fmin(fmax(value, -29.0), 1e7),
                     kind == JV_CHECK_OHMS   ? "ohm"
                     : kind == JV_CHECK_AMPS ? "A"
                                             : "V");
}

static void answer_reading(const jv_walk *w, const jv_step *s, unsigned *seed, size_t culprit,
                           jv_text *t) {
    const jv_check *v = jv_finder_check(jv_walk_finder(w), s->check);
    unsigned kind = wild_draw(seed) % 16;
    if (kind == 0) {
        jv_text_add(t, wild_draw(seed) % 2 ? "skip" : "cannot reach");
    } else if (kind == 1) {
        jv_text_addf(t, "%.3f", wild_between(seed, -5.0, 15.0));
    } else if (v->kind == JV_CHECK_LOOK) {
        jv_text_add(t, wild_draw(seed) % 2 ? "1" : "2");
    } else {
        jv_expected x =
            jv_finder_expect(jv_walk_finder(w), s->check, kind < 4 ? JV_FIND_NONE : culprit);
        put_reading(t, v->kind, isnan(x.value) ? 0.0 : x.value);
    }
}

static void answer(const jv_walk *w, const jv_step *s, unsigned *seed, size_t culprit, jv_text *t) {
    unsigned d = wild_draw(seed);
    jv_text_clear(t);
    if (s->act == JV_ACT_PROVE_DEAD)
        jv_text_add(t, d % 4 ? "0 V" : "11.9 V");
    else if (s->act == JV_ACT_SHORTS)
        jv_text_add(t, d % 8 == 0 ? "cannot reach" : d % 4 == 1 ? "0.05 ohm" : "OL");
    else if (s->act == JV_ACT_LOCATE)
        jv_text_add(t, s->wants == JV_WANTS_AMPS         ? "0.5 A"
                       : s->wants == JV_WANTS_MILLIVOLTS ? "12"
                       : s->wants == JV_WANTS_RATIO      ? "0.2"
                                                         : "skip");
    else if (s->wants == JV_WANTS_DONE)
        jv_text_add(t, "done");
    else if (strncmp(s->title, "Four things", strlen("Four things")) == 0)
        jv_text_add(t, d % 4 ? "1" : "3"); /* sound wiring ends most walks early */
    else if (s->wants == JV_WANTS_CHOICE && s->act != JV_ACT_LOOK)
        jv_text_addf(t, "%zu", s->n_choices ? 1 + d % s->n_choices : 1);
    else
        answer_reading(w, s, seed, culprit, t);
}

/* What a taken answer did to the vehicle. */
static void move_on(vehicle *x, jv_act act, const char *text) {
    switch (act) {
    case JV_ACT_SAFE:
        x->chocked = true;
        break;
    case JV_ACT_ISOLATE:
        x->off = true;
        x->dead = x->repaired = x->free_of_shorts = false;
        break;
    case JV_ACT_PROVE_DEAD:
        x->dead = strcmp(text, "0 V") == 0;
        break;
    case JV_ACT_REPAIR:
        x->repaired = true;
        x->free_of_shorts = false;
        break;
    case JV_ACT_SHORTS:
        x->free_of_shorts = strcmp(text, "OL") == 0;
        break;
    case JV_ACT_RESTORE:
        x->off = x->dead = x->repaired = x->free_of_shorts = false;
        break;
    default:
        break;
    }
}

static void one_walk(const jv_circuit *c, jv_walk_options how, unsigned seed, int steps) {
    jv_walk *w = NULL;
    vehicle x = {0};
    jv_text text = {0}, problem = {0};
    jv_status status = jv_walk_new(c, &how, &w);
    if (status == JV_ERR_UNKNOWN || status == JV_ERR_UNSOLVED)
        return; /* no such walk of this circuit */
    assert_int_equal(status, JV_OK);
    size_t suspects = jv_finder_suspects(jv_walk_finder(w));
    size_t culprit = wild_draw(&seed) % suspects;
    for (int k = 0; k < steps; k++) {
        const jv_step *s = jv_walk_step(w);
        judge(c, w, s, &x);
        if (jv_walk_ended(w) != JV_WALK_GOES_ON)
            break;
        jv_act act = s->act;
        answer(w, s, &seed, culprit, &text);
        jv_text_clear(&problem);
        status = jv_walk_answer(w, jv_text_str(&text), &problem);
        assert_true(status == JV_OK || status == JV_ERR_INPUT);
        if (status == JV_OK)
            move_on(&x, act, jv_text_str(&text));
        else
            assert_true(problem.length > 0);
    }
    assert_int_equal(jv_walk_is_dead(w), x.off && x.dead);
    jv_text_clear(&text);
    jv_text_clear(&problem);
    jv_walk_free(&w);
}

static unsigned rounds(unsigned few) {
    return getenv("JV_LONG") ? 20 * few : few;
}

static void every_step_of_every_example_is_careful(void **state) {
    (void)state;
    DIR *dir = opendir("circuits");
    struct dirent *e;
    size_t files = 0;
    assert_non_null(dir);
    while ((e = readdir(dir)) != NULL) {
        char path[NAME];
        jv_diags d = {0};
        jv_circuit *c = NULL;
        if (!strstr(e->d_name, ".json"))
            continue;
        snprintf(path, sizeof path, "circuits/%s", e->d_name);
        assert_int_equal(jv_circuit_read_file(path, NULL, &d, &c), JV_OK);
        files++;
        for (unsigned k = 0; k < rounds(2); k++) {
            jv_walk_options how = {.kind = k % 2 ? JV_WALK_SENSOR : JV_WALK_SAG};
            how.find.owner = k % 5 == 4;
            how.find.no_clamp = k % 3 == 2;
            one_walk(c, how, 77u * k + (unsigned)files, STEPS);
        }
        jv_circuit_free(&c);
        jv_diags_clear(&d);
    }
    closedir(dir);
    assert_true(files >= 11);
    /* the rules were put to the test */
    if (getenv("JV_LONG"))
        print_message(
            "%zu screens: %zu runs, %zu ohms, %zu restores, %zu cranks, %zu fuses, %zu places\n",
            screens, runs_seen, ohms_seen, restores_seen, cranks_seen, fuses_seen, locates_seen);
    assert_true(screens > 300 && runs_seen > 50 && restores_seen > 3 && cranks_seen > 3);
}

static void every_step_of_random_circuits_is_careful(void **state) {
    (void)state;
    for (unsigned k = 0; k < rounds(2); k++) {
        wild made;
        const wild_options how = {.hostile = false};
        jv_walk_options walk = {.kind = k % 2 ? JV_WALK_SENSOR : JV_WALK_SAG};
        wild_make(&made, 1000 + k, &how);
        one_walk(made.c, walk, k, FEW_STEPS);
        wild_free(&made);
    }
}

/* Ohms come last: here the rail reads shorted and every other live reading is left out, so that
 * they must come. */
static void ohms_follow_isolation_and_proof_of_dead(void **state) {
    (void)state;
    jv_diags d = {0};
    jv_circuit *c = NULL;
    assert_int_equal(jv_circuit_read_file("circuits/small-trailer.json", NULL, &d, &c), JV_OK);
    const jv_walk_options how = {.kind = JV_WALK_SENSOR};
    jv_walk *w = NULL;
    vehicle x = {0};
    jv_text problem = {0};
    assert_int_equal(jv_walk_new(c, &how, &w), JV_OK);
    size_t before = ohms_seen, rail = 0;
    for (int k = 0; k < 400 && jv_walk_ended(w) == JV_WALK_GOES_ON && ohms_seen < before + 3; k++) {
        const jv_step *s = jv_walk_step(w);
        jv_act act = s->act;
        judge(c, w, s, &x);
        const char *text = act == JV_ACT_PROVE_DEAD                            ? "0 V"
                           : s->number == 2                                    ? "every sensor"
                           : act == JV_ACT_VOLTS && !rail++                    ? "0.200 V"
                           : act == JV_ACT_OHMS                                ? "OL"
                           : s->wants == JV_WANTS_DONE                         ? "done"
                           : s->wants == JV_WANTS_CHOICE && act != JV_ACT_LOOK ? "1"
                                                                               : "skip";
        assert_int_equal(jv_walk_answer(w, text, &problem), JV_OK);
        move_on(&x, act, text);
    }
    assert_true(ohms_seen > before);
    jv_walk_free(&w);
    jv_circuit_free(&c);
    jv_diags_clear(&d);
}

static void each_care_has_one_text_worst_first(void **state) {
    (void)state;
    enum { BITS = 21 };
    uint32_t seen = 0;
    jv_signal last = JV_SIGNAL_DANGER;
    for (size_t k = 0; k < jv_precaution_count(); k++) {
        const jv_precaution *p = jv_precaution_at(k);
        assert_true(p->care && !(p->care & (p->care - 1)));
        assert_false(seen & (uint32_t)p->care);
        seen |= (uint32_t)p->care;
        assert_true(p->signal >= last);
        last = p->signal;
        assert_true(strlen(p->text) > 40 && strlen(p->brief) > 10 && strlen(p->basis) > 0);
    }
    assert_int_equal(seen, (1u << BITS) - 1);
    assert_null(jv_precaution_at(jv_precaution_count()));
    /* safety texts: being beneath a vehicle on its jacks is the one DANGER */
    assert_int_equal(jv_precaution_at(0)->care, JV_CARE_SUPPORT);
    assert_int_equal(jv_precaution_at(1)->signal, JV_SIGNAL_WARNING);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_care_has_one_text_worst_first),
        cmocka_unit_test(every_step_of_every_example_is_careful),
        cmocka_unit_test(every_step_of_random_circuits_is_careful),
        cmocka_unit_test(ohms_follow_isolation_and_proof_of_dead),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
