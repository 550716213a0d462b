/* test_walk.c - a walk: replay, undoing, locating, reopening, fuses, hand-over.
 * SPDX-License-Identifier: MIT
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "circuit/circuit.h"
#include "jackvolt/evidence.h"
#include "jackvolt/read.h"
#include "jackvolt/render.h"
#include "jackvolt/walk.h"
#include "study/walk/walk.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"

typedef struct stage {
    jv_circuit *c;
    jv_walk *w;
    jv_text problem;
} stage;

static void begin(stage *s, const char *file, jv_walk_kind kind, const char *const *sets,
                  size_t n_sets) {
    jv_diags d = {0};
    const jv_read_options how = {sets, n_sets};
    const jv_walk_options walk = {.kind = kind};
    memset(s, 0, sizeof *s);
    assert_int_equal(jv_circuit_read_file(file, &how, &d, &s->c), JV_OK);
    assert_int_equal(jv_walk_new(s->c, &walk, &s->w), JV_OK);
    jv_diags_clear(&d);
}

static void end(stage *s) {
    jv_walk_free(&s->w);
    jv_circuit_free(&s->c);
    jv_text_clear(&s->problem);
}

static void say(stage *s, const char *text) {
    jv_text_clear(&s->problem);
    if (jv_walk_answer(s->w, text, &s->problem) != JV_OK)
        fail_msg("\"%s\" not taken in \"%s\": %s", text, jv_walk_step(s->w)->title,
                 jv_text_str(&s->problem));
}

static void refuse(stage *s, const char *text, const char *why) {
    size_t before = jv_walk_answers(s->w);
    jv_text_clear(&s->problem);
    assert_int_equal(jv_walk_answer(s->w, text, &s->problem), JV_ERR_INPUT);
    assert_non_null(strstr(jv_text_str(&s->problem), why));
    assert_int_equal(jv_walk_answers(s->w), before);
}

static const char *title(const stage *s) {
    return jv_walk_step(s->w)->title;
}

/* Past the opening: nothing connected, the first complaint, first of all that is asked. */
static void open_walk(stage *s) {
    while (jv_walk_step(s->w)->act == JV_ACT_ANSWER)
        say(s, "1");
}

/* Make a suspect the named one, as if its readings had been taken. */
static size_t suspect_with(const stage *s, const char *words) {
    for (size_t k = 0; k < jv_finder_suspects(jv_walk_finder(s->w)); k++)
        if (strcmp(jv_finder_suspect(jv_walk_finder(s->w), k)->words, words) == 0)
            return k;
    fail_msg("no suspect \"%s\"", words);
    return 0;
}

static void name(stage *s, const char *words, jv_phase phase) {
    s->w->suspect = suspect_with(s, words);
    s->w->phase = phase;
    s->w->safe = s->w->isolated = s->w->dead = true;
    jv_walk_make_step(s->w);
}

/* An answer that the first step behind the opening takes: it is a reading, or makes the vehicle
 * safe before a jack runs. */
static const char *first_answer(const jv_walk *w) {
    return jv_walk_step(w)->wants == JV_WANTS_DONE ? "done" : "12.4 V";
}

static void the_same_answers_lead_to_the_same_step(void **state) {
    (void)state;
    stage a, b;
    begin(&a, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    begin(&b, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    open_walk(&a);
    open_walk(&b);
    jv_text before = {0};
    jv_text_add(&before, title(&a));
    say(&b, first_answer(b.w));
    assert_int_equal(jv_walk_back(b.w), JV_OK); /* undone: as if never said */
    const jv_style style = {.width = 80};
    jv_text x = {0}, y = {0};
    jv_step_text(jv_walk_step(a.w), &style, &x);
    jv_step_text(jv_walk_step(b.w), &style, &y);
    assert_string_equal(jv_text_str(&x), jv_text_str(&y));
    assert_string_equal(title(&b), jv_text_str(&before));
    while (jv_walk_answers(b.w))
        assert_int_equal(jv_walk_back(b.w), JV_OK);
    assert_int_equal(jv_walk_back(b.w), JV_ERR_RANGE);
    assert_int_equal(jv_walk_step(b.w)->number, 1);
    jv_text_clear(&before);
    jv_text_clear(&x);
    jv_text_clear(&y);
    end(&a);
    end(&b);
}

static void a_saved_walk_comes_back(void **state) {
    (void)state;
    stage s;
    jv_walk_saved saved;
    jv_text file = {0};
    jv_diags d = {0};
    const char *const sets[] = {"feed.length=18 ft", "house battery.charge=\"60 %\""};
    begin(&s, "circuits/small-trailer.json", JV_WALK_SENSOR, NULL, 0);
    open_walk(&s);
    jv_walk_save(s.w, sets, 2, "no \"clamp\"", &file);
    assert_int_equal(jv_walk_load(jv_text_str(&file), file.length, "w", &d, &saved), JV_OK);
    assert_int_equal(saved.kind, JV_WALK_SENSOR);
    assert_string_equal(saved.circuit, "small trailer, two rear jacks");
    assert_int_equal(saved.n_sets, 2);
    assert_string_equal(saved.sets[1], sets[1]);
    assert_string_equal(saved.meter, "no \"clamp\"");
    assert_true(!saved.owner);
    assert_int_equal(saved.n_answers, jv_walk_answers(s.w));
    assert_string_equal(saved.answers[0], "1");
    jv_walk_saved_clear(&saved);
    static const char lines[] = "# taken by hand\r\n\n 12.4 V \r\n35 mV";
    assert_int_equal(jv_walk_load(lines, strlen(lines), "l", &d, &saved), JV_OK);
    assert_int_equal(saved.n_answers, 2);
    assert_string_equal(saved.answers[0], "12.4 V");
    assert_string_equal(saved.answers[1], "35 mV");
    jv_walk_saved_clear(&saved);
    jv_diags_clear(&d);
    jv_text_clear(&file);
    end(&s);
}

static void nothing_is_ohmed_or_powered_by_skipping(void **state) {
    (void)state;
    stage s;
    begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    open_walk(&s);
    s.w->suspect = suspect_with(&s, "minus clamp: added resistance");
    s.w->phase = JV_PHASE_REPAIR;
    jv_walk_make_step(s.w);
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_SAFE);
    refuse(&s, "skip", "keeps you safe");
    say(&s, "done");
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_ISOLATE);
    refuse(&s, "cannot reach", "keeps you safe");
    say(&s, "done");
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_PROVE_DEAD);
    refuse(&s, "skip", "keeps you safe");
    refuse(&s, "OL", "range");
    say(&s, "11.9"); /* not dead: back to the sources */
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_ISOLATE);
    say(&s, "done");
    say(&s, "3 mV");
    assert_true(jv_walk_is_dead(s.w));
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_REPAIR);
    say(&s, "done");
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_SHORTS);
    say(&s, "0.1 ohm"); /* a short: the power stays off */
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_SHORTS);
    assert_true(jv_walk_is_dead(s.w));
    refuse(&s, "-0.4", "still voltage");
    say(&s, "OL");
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_RESTORE);
    say(&s, "done");
    assert_false(jv_walk_is_dead(s.w));
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_PROOF);
    end(&s);
}

static void a_hand_over_with_the_power_off_says_so(void **state) {
    (void)state;
    stage s;
    begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    open_walk(&s);
    name(&s, "minus clamp: added resistance", JV_PHASE_REPAIR);
    say(&s, "cannot reach");
    assert_int_equal(jv_walk_ended(s.w), JV_WALK_HANDED_ON);
    assert_non_null(strstr(jv_walk_result(s.w), "Next:"));
    assert_non_null(strstr(jv_walk_result(s.w), "stays off"));
    end(&s);
}

static void a_repair_that_does_not_cure_opens_the_walk_again(void **state) {
    (void)state;
    stage s;
    begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    open_walk(&s);
    name(&s, "main fuse: added resistance", JV_PHASE_REPAIR);
    say(&s, "done");
    say(&s, "OL");
    say(&s, "done");
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_PROOF);
    say(&s, "8.9 V"); /* as bad as before */
    assert_non_null(strstr(jv_walk_meaning(s.w), "not cured"));
    assert_int_equal(jv_walk_ended(s.w), JV_WALK_GOES_ON);
    assert_null(jv_walk_named(s.w));
    assert_true(jv_walk_step(s.w)->check != JV_FIND_NONE);
    end(&s);
}

/* Example: 12 V over a lead of 0.5 m would be much; d = V / (I r'), by hand. 20 AWG: d = 0.127 mm x
 * 92^((36-20)/39) = 0.8118 mm, area 0.5176 mm2, 1/58 ohm mm2/m: 0.03331 ohm/m solid; stranded
 * copper has a lay factor above one, so the place lies within 6 % of this. 0.5 A and 20 mV: 1.20 m.
 */
static void millivolts_at_a_known_current_tell_the_place(void **state) {
    (void)state;
    stage s;
    begin(&s, "circuits/small-trailer.json", JV_WALK_SENSOR, NULL, 0);
    open_walk(&s);
    name(&s, "left sensor supply lead: shorted to ctl-", JV_PHASE_LOCATE_WAY);
    say(&s, "limited current");
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_LOCATE);
    refuse(&s, "30 A", "test current");
    say(&s, "0.5 A");
    refuse(&s, "500", "along a lead of"); /* 30 m */
    say(&s, "20");
    const char *said = strstr(jv_walk_meaning(s.w), "is ");
    double place;
    assert_non_null(said);
    assert_true(jv_number_read(said + 3, &place, NULL));
    assert_close(place, 1.20, 0.06, 0.0);
    assert_int_equal(jv_walk_step(s.w)->act, JV_ACT_REPAIR);
    end(&s);
}

/* Murray's loop, d = 2 L Q / (P + Q): examians.com (MGVCL paper 30-07-2021 shift 2) prints 300 m
 * for 600 m and P : Q = 3 : 1, half of the length; the lead here is 8 ft, so 4 ft = 1.2192 m. */
static void a_bridge_tells_the_place(void **state) {
    (void)state;
    stage s;
    double place;
    begin(&s, "circuits/small-trailer.json", JV_WALK_SENSOR, NULL, 0);
    open_walk(&s);
    name(&s, "left sensor supply lead: shorted to ctl-", JV_PHASE_LOCATE_WAY);
    say(&s, "bridge");
    refuse(&s, "1.5", "between 0 and 1");
    say(&s, "0.25");
    assert_true(jv_number_read(strstr(jv_walk_meaning(s.w), "is ") + 3, &place, NULL));
    assert_close(place, 1.2192, 0.0, 0.006);
    end(&s);
}

/* Both ends: d = (L + (R1 - R2) / r') / 2. The plain meter steps 0.1 ohm, three metres of 20 AWG:
 * not offered for 8 ft, offered for 300 ft. 300 ft = 91.44 m; R1 - R2 = 1.0 ohm moves it by half of
 * 1.0 / 0.0340 = 14.7 m from the middle: 60.4 m. */
static void ohms_are_offered_only_where_the_meter_can(void **state) {
    (void)state;
    stage s;
    double place;
    const char *const sets[] = {"left sensor supply lead.length=300 ft"};
    begin(&s, "circuits/small-trailer.json", JV_WALK_SENSOR, NULL, 0);
    open_walk(&s);
    name(&s, "left sensor supply lead: shorted to ctl-", JV_PHASE_LOCATE_WAY);
    refuse(&s, "with ohms", "number of one");
    end(&s);
    begin(&s, "circuits/small-trailer.json", JV_WALK_SENSOR, sets, 1);
    open_walk(&s);
    name(&s, "left sensor supply lead: shorted to ctl-", JV_PHASE_LOCATE_WAY);
    say(&s, "with ohms");
    say(&s, "2.5 ohm");
    say(&s, "1.5 ohm");
    assert_true(jv_number_read(strstr(jv_walk_meaning(s.w), "is ") + 3, &place, NULL));
    assert_close(place, 60.4, 0.015, 0.0);
    end(&s);
}

/* The file asks for 200 A on 6 AWG with SGX; 33 CFR 183.425 Table 5 gives 6 AWG 125 A with
 * insulation of 125 degC, outside an engine space. */
static void no_fuse_is_advised_above_what_the_cable_carries(void **state) {
    (void)state;
    stage s;
    const char *const sets[] = {"main fuse.rating=200 A"};
    begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, sets, 1);
    open_walk(&s);
    name(&s, "main fuse: open", JV_PHASE_REPAIR);
    const jv_step *step = jv_walk_step(s.w);
    assert_true(step->fuse_a < 200.0 && step->fuse_a <= 125.0 && step->fuse_a > 0.0);
    assert_true((step->care & JV_CARE_FUSE) != 0);
    end(&s);
    begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    open_walk(&s);
    name(&s, "main fuse: open", JV_PHASE_REPAIR);
    assert_close(jv_walk_step(s.w)->fuse_a, 60.0, 0.0, 0.0); /* as the file has it */
    end(&s);
}

static void a_reading_that_fits_nothing_is_asked_twice(void **state) {
    (void)state;
    stage s;
    begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    open_walk(&s);
    bool asked = false;
    for (int k = 0; k < 12 && jv_walk_ended(s.w) == JV_WALK_GOES_ON && !asked; k++) {
        const jv_step *step = jv_walk_step(s.w);
        asked = strstr(step->why, "fits no fault") != NULL;
        if (step->act == JV_ACT_VOLTS)
            say(&s, "14.9 V");
        else if (step->act == JV_ACT_AMPS || step->act == JV_ACT_LOOK)
            say(&s, "skip");
        else if (step->wants == JV_WANTS_DONE)
            say(&s, "done");
        else
            break;
    }
    assert_true(asked);
    assert_non_null(strstr(jv_walk_meaning(s.w), "no modelled fault explains it"));
    end(&s);
}

/* The lines of a step, joined. */
static bool step_says(const stage *s, const char *words) {
    const jv_step *step = jv_walk_step(s->w);
    for (size_t k = 0; k < step->n_lines; k++)
        if (strstr(step->lines[k], words))
            return true;
    return false;
}

/* What fails after minutes is measured warm, and the other way about not. */
static void what_fails_warm_is_measured_warm(void **state) {
    (void)state;
    static const char *const when[] = {"1", "4"}; /* always; after minutes of work */
    for (size_t t = 0; t < 2; t++) {
        stage s;
        begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
        for (size_t k = 0; jv_walk_step(s.w)->act == JV_ACT_ANSWER; k++)
            say(&s, k == 3 ? when[t] : "1");
        for (int k = 0; k < 8 && jv_walk_step(s.w)->setup != JV_SETUP_RUN; k++)
            say(&s, jv_walk_step(s.w)->wants == JV_WANTS_DONE ? "done" : "skip");
        assert_int_equal(jv_walk_step(s.w)->setup, JV_SETUP_RUN);
        assert_true(step_says(&s, "Take it warm") == (t == 1));
        assert_true(jv_walk_step(s.w)->care & JV_CARE_DUTY);
        end(&s);
    }
}

static void layouts_are_made_ones_own(void **state) {
    (void)state;
    stage s;
    jv_text t = {0};
    begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    assert_true(jv_like_ask(s.c, 0, &t));
    assert_non_null(strstr(jv_text_str(&t), "22.0 ft"));
    jv_text_clear(&t);
    assert_int_equal(jv_like_take(s.c, 0, "5.5 m", &t, &s.problem), JV_OK);
    assert_string_equal(jv_text_str(&t), "feed.length=5.5 m\nreturn.length=5.5 m\n");
    jv_text_clear(&t);
    assert_int_equal(jv_like_take(s.c, 1, "six", &t, &s.problem), JV_ERR_INPUT);
    assert_int_equal(jv_like_take(s.c, 2, "same", &t, &s.problem), JV_OK);
    assert_int_equal(t.length, 0);
    assert_false(jv_like_ask(s.c, 3, &t));
    jv_text_clear(&t);
    end(&s);
}

/* --- evidence --- */

static void readings_find_their_checks(void **state) {
    (void)state;
    static const char *const good[] = {
        "volts ctl+ ctl- in lifting = 9.6 V",
        "volts \"ctl+\" \"ctl-\" in \"lifting\" = 9.6 V",
        "volts across minus clamp in lifting = 35 mV",
        "volts across left plug pin plus in lifting = 35 mV",
        "volts sensor+ ctl- without left sensor = 5.01 V",
        "volts left jack+ left jack- in lifting = 9 V",
        "volts ctl- ctl+ = -12.4 V",
        "amps house battery in lifting = 48 A",
        "look plus clamp = bad",
        "ohms sensor+ ctl- without left sensor, right sensor = OL",
    };
    static const char *const bad[] = {
        "volts ctl+ in lifting = 9.6 V",
        "volts ctl+ ctl+ = 9.6 V",
        "volts ctl+ ctl- = 9.6",
        "volts ctl+ ctl- = 9.6 A",
        "volts ctl+ ctl- in dancing = 9 V",
        "volts ctl+ ctl- 9.6 V",
        "volts ctl+ ctl- = 900 V",
        "watts ctl+ = 3 W",
        "look plus clamp = fair",
        "volts across left plug = 3 mV",
        "volts ctl+ ctl- = 9.6 V +/- 1 V",
        "",
    };
    stage s;
    jv_diags d = {0};
    const jv_place place = {.file = "t"};
    begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    jv_finder *f = jv_walk_finder(s.w);
    for (size_t k = 0; k < sizeof good / sizeof good[0]; k++)
        if (jv_reading_take(f, s.c, good[k], &place, &d) != JV_OK)
            fail_msg("not taken: %s", good[k]);
    assert_int_equal(d.errors, 0);
    for (size_t k = 0; k < sizeof bad / sizeof bad[0]; k++)
        if (jv_reading_take(f, s.c, bad[k], &place, &d) != JV_ERR_INPUT)
            fail_msg("taken: %s", bad[k]);
    assert_int_equal(d.errors, sizeof bad / sizeof bad[0]); /* one fault each */
    jv_diags_clear(&d);
    end(&s);
}

static void swapped_probes_are_the_same_reading(void **state) {
    (void)state;
    stage a, b;
    jv_diags d = {0};
    const jv_place place = {.file = "t"};
    begin(&a, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    begin(&b, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    jv_finder *x = jv_walk_finder(a.w), *y = jv_walk_finder(b.w);
    assert_int_equal(jv_reading_take(x, a.c, "volts clamp- post- in lifting = 1.8 V", &place, &d),
                     JV_OK);
    assert_int_equal(jv_reading_take(y, b.c, "volts post- clamp- in lifting = -1.8 V", &place, &d),
                     JV_OK);
    for (size_t k = 0; k < jv_circuit_parts(a.c); k++)
        assert_close(jv_finder_part_odds(x, k), jv_finder_part_odds(y, k), 1e-9, 1e-12);
    jv_diags_clear(&d);
    end(&a);
    end(&b);
}

/* The circuit as found speaks of this vehicle: its resistance of the clamp is what Ohm's law gives,
 * 1.8 V at the 50 A that two jacks draw (24 A each, 3 A of lights: 51 A), 35 mohm. */
static void the_circuit_as_found_holds_what_was_read(void **state) {
    (void)state;
    stage s;
    jv_diags d = {0};
    jv_text file = {0}, made = {0};
    const jv_place place = {.file = "t"};
    begin(&s, "circuits/small-trailer.json", JV_WALK_SAG, NULL, 0);
    jv_finder *f = jv_walk_finder(s.w);
    static const char *const lines[] = {"volts across minus clamp in lifting = 1.8 V",
                                        "volts post+ post- in lifting = 12.0 V",
                                        "amps house battery in lifting = 51 A"};
    for (size_t k = 0; k < 3; k++)
        assert_int_equal(jv_reading_take(f, s.c, lines[k], &place, &d), JV_OK);
    FILE *in = fopen("circuits/small-trailer.json", "rb");
    assert_non_null(in);
    for (int c; (c = fgetc(in)) != EOF;)
        jv_text_add_char(&file, (char)c);
    fclose(in);
    assert_int_equal(jv_fit_write(f, s.c, jv_text_str(&file), file.length, true, &made), JV_OK);
    jv_circuit *found = NULL;
    assert_int_equal(
        jv_circuit_read_text(jv_text_str(&made), made.length, "found", NULL, &d, &found), JV_OK);
    assert_int_equal(d.errors, 0);
    int32_t clamp = jv_circuit_find_part(found, "minus clamp");
    double ohms = NAN;
    for (uint32_t k = 0; k < found->parts[clamp].n_slots; k++) {
        const jv_slot *slot = &found->slots[found->parts[clamp].first_slot + k];
        if (strcmp(found->parts[clamp].kind->keys[slot->key].name, "resistance") == 0)
            ohms = slot->value.nominal;
    }
    assert_close(ohms, 1.8 / 51.0, 0.05, 0.0);
    jv_circuit_free(&found);
    jv_text_clear(&made);
    /* without the fault it is a sound clamp again */
    assert_int_equal(jv_fit_write(f, s.c, jv_text_str(&file), file.length, false, &made), JV_OK);
    assert_null(strstr(jv_text_str(&made), "35."));
    jv_text_clear(&made);
    jv_text_clear(&file);
    jv_diags_clear(&d);
    end(&s);
}

/* A short walk, out and back; false when memory was short anywhere, cleanly. */
static bool short_walk(const jv_circuit *c) {
    const jv_walk_options how = {.kind = JV_WALK_SAG};
    const jv_style style = {.width = 80};
    jv_walk *w = NULL;
    jv_text problem = {0}, screen = {0};
    jv_status status = jv_walk_new(c, &how, &w);
    for (size_t k = 0; status == JV_OK && jv_walk_step(w)->act == JV_ACT_ANSWER; k++)
        status = jv_walk_answer(w, k == 1 ? "low-voltage" : "1", &problem);
    if (status == JV_OK)
        status = jv_walk_answer(w, first_answer(w), &problem);
    if (status == JV_OK)
        status = jv_walk_back(w);
    if (status == JV_OK)
        jv_step_text(jv_walk_step(w), &style, &screen);
    if (status == JV_OK)
        status = jv_walk_json(w, &screen);
    assert_true(status == JV_OK || status == JV_ERR_MEMORY);
    bool whole = status == JV_OK && !screen.failed;
    jv_text_clear(&problem);
    jv_text_clear(&screen);
    jv_walk_free(&w);
    return whole;
}

static void memory_that_is_short_is_a_clean_error(void **state) {
    (void)state;
    stage s;
    begin(&s, "circuits/four-jacks.json", JV_WALK_SAG, NULL, 0);
    jv_walk_free(&s.w);
    failing_start(0);
    assert_true(short_walk(s.c));
    size_t calls = failing_calls();
    assert_int_equal(failing_blocks(), 0);
    size_t spacing = getenv("JV_LONG") ? 37 : 1 + calls / 60;
    for (size_t n = 1; n <= calls; n += spacing) {
        failing_start(n);
        bool whole = short_walk(s.c);
        if (whole || failing_blocks() != 0)
            fail_msg("allocation %zu of %zu: %s, %ld blocks kept", n, calls,
                     whole ? "not noticed" : "noticed", failing_blocks());
    }
    failing_stop();
    end(&s);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_answers_lead_to_the_same_step),
        cmocka_unit_test(a_saved_walk_comes_back),
        cmocka_unit_test(nothing_is_ohmed_or_powered_by_skipping),
        cmocka_unit_test(a_hand_over_with_the_power_off_says_so),
        cmocka_unit_test(a_repair_that_does_not_cure_opens_the_walk_again),
        cmocka_unit_test(millivolts_at_a_known_current_tell_the_place),
        cmocka_unit_test(a_bridge_tells_the_place),
        cmocka_unit_test(ohms_are_offered_only_where_the_meter_can),
        cmocka_unit_test(no_fuse_is_advised_above_what_the_cable_carries),
        cmocka_unit_test(a_reading_that_fits_nothing_is_asked_twice),
        cmocka_unit_test(what_fails_warm_is_measured_warm),
        cmocka_unit_test(layouts_are_made_ones_own),
        cmocka_unit_test(readings_find_their_checks),
        cmocka_unit_test(swapped_probes_are_the_same_reading),
        cmocka_unit_test(the_circuit_as_found_holds_what_was_read),
        cmocka_unit_test(memory_that_is_short_is_a_clean_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
