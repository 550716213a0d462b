/* report_people.c - cautions, and the pages for owner and technician.
 * SPDX-License-Identifier: MIT */
#include "circuit/part_kind.h"
#include "render/drop_words.h"
#include "render/report_part.h"

#include <math.h>
#include <string.h>

#define COUNT(a) (sizeof(a) / sizeof(a)[0])

/* --- cautions --- */

/* When a caution is shown. */
typedef enum jv_when { ALWAYS, WITH_FUSE, WITH_LITHIUM, WITH_ACID, WITH_SUPPLY, MEASURING } jv_when;

/* Words by ANSI Z535.4 (its 2007 text read in a public copy): hazard, consequence, how to
 * avoid. The public rules behind each stand beside it. */
typedef struct jv_caution {
    const char *word;
    const char *text;
    jv_when when;
} jv_caution;

static const jv_caution cautions[] = {
    /* 29 CFR 1910.244(a)(2), 1926.305(c); WAC 296-307-22509(3) */
    {"DANGER",
     "A vehicle can come off its jacks and crush. Nobody goes, reaches or leans under a vehicle "
     "that stands on its jacks, for any reason.",
     ALWAYS},
    /* TM 10-4320-226-14; 29 CFR 1910.178(g)(8) */
    {"WARNING",
     "It can roll. Chock the wheels both ways, set the parking brake, stand on firm level ground.",
     ALWAYS},
    /* 29 CFR 1910.147(d)(4)-(5) */
    {"WARNING",
     "A jack can move without a command and crush. Clip the leads on with the wheels down and the "
     "jacks off, come out, run the jack, and read the meter from where it is safe.",
     MEASURING},
    /* TM 10-3930-671-24 p. F-303; 29 CFR 1910.178(g)(12) */
    {"WARNING",
     "A ring or a tool between post and frame burns to the bone. Take metal off your hands; "
     "battery minus comes off first and goes on last.",
     ALWAYS},
    /* TM 9-6140-200-14 p. 4-12; 29 CFR 1926.441 */
    {"WARNING",
     "A lead-acid battery gives off gas that explodes and holds acid that blinds. Air the box, no "
     "flame, no spark, goggles on; leave a swollen, frozen or leaking one alone.",
     WITH_ACID},
    /* from memory: makers' instructions differ */
    {"WARNING",
     "A lithium pack can burn, and can open and close by itself. Follow its maker's instructions; "
     "do not charge it below freezing.",
     WITH_LITHIUM},
    /* NEETS module 16 p. 1-17 */
    {"WARNING",
     "A larger fuse makes the wire the fuse, and wire burns. Same type, same amps; never bridge "
     "one. If it opens twice, find the cause.",
     WITH_FUSE},
    /* NEETS module 16 p. 3-30 */
    {"WARNING",
     "Ohms on a live circuit harm meter and hand. Measure ohms only with every source off and the "
     "circuit proved dead by volts.",
     MEASURING},
    /* 29 CFR 1910.331 to .335: qualified persons */
    {"WARNING", "Shore power kills. Pull its plug; leave what it feeds to a licensed electrician.",
     WITH_SUPPLY},
    /* TM 9-6115-729-24 WP 0090 */
    {"WARNING", "Gas or fuel smell: switch nothing, connect nothing; leave and let it air.",
     ALWAYS},
};

static bool has_kind(const jv_circuit *c, const char *kind) {
    for (size_t i = 0; i < c->n_parts; i++)
        if (!strcmp(c->parts[i].kind->name, kind))
            return true;
    return false;
}

/* Any battery with (or without) the word "lfp": one of unknown chemistry counts as acid. */
static bool has_battery(const jv_circuit *c, bool lithium) {
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        bool lfp = false;
        if (strcmp(p->kind->name, "battery") != 0)
            continue;
        for (unsigned k = 0; k < p->kind->n_keys; k++) {
            const jv_slot *s = jv_part_slot(c, p, k);
            if (s && s->text && !strcmp(p->kind->keys[k].name, "chemistry"))
                lfp = !strcmp(s->text, "lfp");
        }
        if (lfp == lithium)
            return true;
    }
    return false;
}

static bool applies(const jv_report_work *work, jv_when when) {
    const jv_circuit *c = work->circuit;
    switch (when) {
    case ALWAYS:
        return true;
    case WITH_FUSE:
        return has_kind(c, "fuse") || has_kind(c, "breaker");
    case WITH_LITHIUM:
        return has_battery(c, true);
    case WITH_ACID:
        return has_battery(c, false);
    case WITH_SUPPLY:
        return has_kind(c, "supply");
    case MEASURING:
        return work->report->kind != JV_REPORT_OWNER;
    }
    return true;
}

jv_tag *jv_report_cautions(jv_report_work *work, jv_tag *section) {
    return jv_tag_add(&work->page, section, "ul", "cautions");
}

void jv_report_caution(jv_report_work *work, jv_tag *list, const char *word, const char *text) {
    jv_page *page = &work->page;
    const char *kind = !strcmp(word, "DANGER")    ? "caution danger"
                       : !strcmp(word, "WARNING") ? "caution warning"
                                                  : "caution heed";
    jv_tag *p = jv_tag_add(page, jv_tag_add(page, list, "li", kind), "p", NULL);
    jv_tag_textf(page, p, "span", "word", "%s.", word);
    jv_tag_say(page, p, jv_report_printf(work, " %s", text));
}

void jv_section_cautions(jv_report_work *work, jv_tag *section) {
    jv_tag *list = jv_report_cautions(work, section);
    for (size_t i = 0; i < COUNT(cautions); i++)
        if (applies(work, cautions[i].when))
            jv_report_caution(work, list, cautions[i].word, cautions[i].text);
}

/* --- the owner's page --- */

/* A part on the way that loses the most, and how much of all that is lost. */
static void say_worst(jv_report_work *work, jv_tag *section) {
    const jv_drop_case *k = work->drawn;
    size_t worst = jv_words_worst(work->report->drop, k);
    if (worst >= work->circuit->n_parts || k->lost_v <= 0.0)
        return;
    jv_tag_textf(&work->page, section, "p", NULL,
                 "Of %.1f V at the battery, %.1f V arrive at \"%s\". The most, %.1f V, is lost in "
                 "\"%s\".",
                 k->source_v, k->load_v, work->circuit->parts[k->load].name,
                 k->parts[worst].share * k->lost_v, work->circuit->parts[worst].name);
}

void jv_section_owner_found(jv_report_work *work, jv_tag *section) {
    jv_page *page = &work->page;
    const jv_drop_case *k = work->drawn;
    if (!k) {
        jv_tag_text(page, section, "p", NULL, "Nothing was worked out: the file has no case.");
        return;
    }
    const jv_drop_watch *w = jv_words_watch(k);
    bool stops = w && w->verdict == JV_TRIPS, guessed = w && w->assumed && !stops;
    jv_tag *p = jv_tag_add(page, section, "p",
                           stops || !k->converged  ? "verdict bad"
                           : k->finding || guessed ? "verdict unsure"
                                                   : "verdict good");
    if (!k->converged) {
        jv_tag_textf(page, p, "strong", NULL, "No answer for \"%s\".", k->name);
        jv_tag_say(page, p, " The circuit finds no state in which it stays.");
        return;
    }
    if (stops)
        jv_tag_textf(page, p, "strong", NULL, "With \"%s\" the volts fall too far.", k->name);
    else
        jv_tag_textf(page, p, "strong", NULL, "With \"%s\" the volts are %senough.", k->name,
                     guessed ? "probably " : "");
    if (w)
        jv_tag_say(page, p,
                   jv_report_printf(work,
                                    " The %s acts below %.1f V%s and sees %.1f V: %.1f V too %s.",
                                    w->name, w->limit_v, w->assumed ? " (assumed)" : "",
                                    jv_words_volts(w->seen_v), fabs(w->margin_v),
                                    stops ? "little" : "much to act"));
    if (guessed)
        jv_tag_text(
            page, section, "p", NULL,
            "Nobody gave the volts at which the controller stops the jacks: they are assumed. "
            "Its manual may tell them.");
    if (k->finding && !stops)
        jv_tag_text(page, section, "p", NULL,
                    "But something else is not right; a technician should look:");
    for (size_t i = 0; i < k->n_remarks; i++)
        if (k->remarks[i].serious && k->remarks[i].part < work->circuit->n_parts)
            jv_tag_textf(page, section, "p", NULL, "%s %s.",
                         work->circuit->parts[k->remarks[i].part].name, k->remarks[i].text);
    say_worst(work, section);
}

void jv_section_owner_not(jv_report_work *work, jv_tag *section) {
    static const char *const lines[] = {
        "Do not go under the vehicle, and let nobody else.",
        "Do not hold the button down against a jack that does not move.",
        "Do not fit a larger fuse, and do not bridge one.",
        "Do not join a second battery or a starter cable to push the jacks through.",
        "Do not drive off with a jack down; ask how to raise it by hand.",
    };
    jv_tag *list = jv_tag_add(&work->page, section, "ul", NULL);
    for (size_t i = 0; i < COUNT(lines); i++)
        jv_tag_text(&work->page, list, "li", NULL, lines[i]);
}

/* Ways in which a meter at the posts tells the battery from the rest. */
void jv_section_owner_call(jv_report_work *work, jv_tag *section) {
    jv_page *page = &work->page;
    const jv_drop_case *k = work->drawn;
    jv_tag_text(page, section, "p", NULL, "Read this out, with what you saw in your own words:");
    jv_tag *list = jv_tag_add(page, section, "ol", NULL);
    jv_tag_textf(page, list, "li", NULL, "The vehicle: %s.", jv_circuit_name(work->circuit));
    jv_tag_text(page, list, "li", NULL,
                "What it did: which jacks were running, up or down, what stopped, what lit up.");
    jv_tag_text(page, list, "li", NULL,
                "What was plugged in: shore power, tow vehicle, solar, charger.");
    jv_tag_text(page, list, "li", NULL,
                "The battery: its age, when it was last charged, how cold it was.");
    jv_tag_text(page, list, "li", NULL,
                "If you have a meter: volts straight on the battery posts, at rest and while the "
                "jacks run.");
    if (k && k->converged && k->n_steps && k->steps[0].to < work->circuit->n_terminals)
        jv_tag_textf(page, list, "li", NULL,
                     "The figures of this page: %.2f V inside the battery, %.2f V lost in \"%s\", "
                     "case \"%s\".",
                     k->source_v, k->lost_v, jv_circuit_name(work->circuit), k->name);
}

/* --- the technician's sheet --- */

static void box_cell(jv_report_work *work, jv_tag *row) {
    jv_tag *cell = jv_tag_add(&work->page, row, "td", NULL);
    jv_tag *box = jv_tag_add(&work->page, cell, "span", "box");
    jv_tag_set(&work->page, box, "aria-hidden", "true");
}

static const char *point_name(jv_report_work *work, size_t terminal) {
    return jv_report_printf(work, "%u  %s", work->points[terminal],
                            jv_circuit_terminal_name(work->circuit, terminal));
}

/* What a meter across each part of the way should show. */
void jv_section_points(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"Across", "Red on", "Black on", "#Expected", "Read"};
    size_t n = work->circuit->n_terminals;
    const jv_drop_case *k = work->healthy && work->healthy->converged && work->healthy->n_steps
                                ? work->healthy
                                : work->drawn;
    jv_tag *body = jv_report_table(
        work, section,
        jv_report_printf(work,
                         "Volts while \"%s\" runs, %s, by the middle of every range given. It is "
                         "live: never ohms here.",
                         k->name, work->healthy ? "without the fault" : "as the file says"),
        columns, COUNT(columns));
    for (size_t i = 0; i < k->n_steps; i++) {
        const jv_drop_step *s = &k->steps[i];
        bool source = s->side == JV_SIDE_SOURCE;
        size_t red = source ? s->to : s->from, black = source ? s->from : s->to;
        if (red >= n || black >= n || !work->points || !work->points[red] || !work->points[black])
            continue;
        jv_tag *row = jv_report_row(work, body, jv_report_part_name(work, s->part));
        jv_report_cell(work, row, false, point_name(work, red));
        jv_report_cell(work, row, false, point_name(work, black));
        jv_report_cellf(work, row, true, "%.2f V",
                        source ? k->terminal_v[red] - k->terminal_v[black] : s->drop_v + 0.0);
        box_cell(work, row);
    }
}

void jv_section_record(jv_report_work *work, jv_tag *section) {
    static const char *const lines[] = {
        "Complaint",         "Cause",  "Correction",  "Parts fitted",         "Volts before, amps",
        "Volts after, amps", "Meter",  "Temperature", "Charge, hours rested", "Plugged in",
        "Vehicle, date",     "Signed",
    };
    jv_tag *grid = jv_tag_add(&work->page, section, "div", "lines");
    for (size_t i = 0; i < COUNT(lines); i++)
        jv_tag_textf(&work->page, grid, "p", NULL, "%s:", lines[i]);
}
