/* cable_text.c - the cable for one circuit, for the person who fits it.
 * SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "render/text_table.h"

#include <math.h>

/* The international avoirdupois pound, exact. */
#define KG_PER_LB 0.45359237

static void add_quantity(jv_text *t, const jv_style *style, double value, jv_dim dim, int digits) {
    jv_quantity_print(t, value, dim, style->units, digits);
}

/* Volts with the two decimals of a meter on its 20 V range. */
static void add_volts(jv_text *t, double volts) {
    jv_text_addf(t, "%.2f V", volts);
}

static double shown_temperature(const jv_style *style, double celsius) {
    return style->units == JV_UNITS_US ? celsius * 9 / 5 + 32 : celsius;
}

static void add_lengths(jv_text *t, const jv_style *style, const jv_cable_answer *a) {
    add_quantity(t, style, a->one_way_m, JV_DIM_LENGTH, 3);
    jv_text_add(t, " one way (");
    add_quantity(t, style, a->question.loop_m, JV_DIM_LENGTH, 3);
    jv_text_add(t, " of conductor, out and back)");
}

static void add_limit(jv_text *t, const jv_cable_answer *a) {
    jv_text_add(t, "May be lost: ");
    add_volts(t, a->limit_drop_v);
    jv_text_addf(t, " (%.3g %%), so that ", 100 * a->limit_drop_v / a->question.supply_v);
    add_volts(t, a->question.supply_v - a->limit_drop_v);
    jv_text_add(t, " reach the load");
    if (a->question.limit == JV_CABLE_LIMIT_DEFAULT)
        jv_text_addf(
            t, ". The %.3g %% is assumed: %s, made for %s, here a yardstick; give --drop or --keep",
            a->limit_rule.value, a->limit_rule.standard, a->limit_rule.applies);
    jv_text_add_char(t, '.');
}

static void add_cable(jv_text *t, const jv_style *style, const jv_cable_answer *a) {
    static const char *const systems[] = {
        "AWG sizes (vehicle cable sold by SAE size has less copper: --basis sae)",
        "SAE sizes, as most vehicle cable is (less copper than AWG of the same number)",
        "metric sizes"};
    jv_text_addf(t, "Cable: %s, %s; insulation %s, good for ", jv_metal_name(a->question.metal),
                 systems[a->question.basis], a->question.insulation);
    add_quantity(t, style, a->insulation_c.value, JV_DIM_TEMPERATURE, 3);
    if (a->insulation_assumed)
        jv_text_add(t, " (assumed; give --insulation)");
    if (a->insulation_solid_c < a->insulation_c.value) {
        jv_text_add(t, " from memory, so ");
        add_quantity(t, style, a->insulation_solid_c, JV_DIM_TEMPERATURE, 3);
        jv_text_add(t, " decides");
    }
    jv_text_add(t, "; air ");
    add_quantity(t, style, a->question.air_c, JV_DIM_TEMPERATURE, 3);
    jv_text_add(t, a->air_assumed ? " (assumed; give --air). " : ". ");
    if (a->question.for_s > 0) {
        jv_text_add(t, "The current lasts ");
        add_quantity(t, style, a->question.for_s, JV_DIM_TIME, 3);
        jv_text_add(t, " from cold.");
    } else {
        jv_text_add(t, "The current lasts for good.");
    }
}

static void wrap_and_clear(jv_text *line, size_t indent, const jv_style *style, jv_text *out) {
    out->failed |= line->failed;
    jv_wrap(out, jv_text_str(line), indent, style->width);
    jv_text_clear(line);
}

static void print_question(const jv_cable_answer *a, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    jv_text_addf(&line, "%.4g A over ", a->question.current_a);
    add_lengths(&line, style, a);
    jv_text_add_char(&line, '.');
    wrap_and_clear(&line, 0, style, out);
    jv_text_add(&line, "Supply at the source under that load: ");
    add_volts(&line, a->question.supply_v);
    jv_text_add(&line, a->supply_assumed ? " (assumed; give --supply)." : ".");
    wrap_and_clear(&line, 0, style, out);
    add_limit(&line, a);
    wrap_and_clear(&line, 0, style, out);
    add_cable(&line, style, a);
    wrap_and_clear(&line, 0, style, out);
    jv_text_add_char(out, '\n');
}

static jv_tint verdict_tint(jv_cable_verdict verdict) {
    return verdict == JV_CABLE_FITS      ? JV_TINT_GOOD
           : verdict == JV_CABLE_UNKNOWN ? JV_TINT_UNSURE
                                         : JV_TINT_BAD;
}

static void add_row(jv_text_table *t, const jv_style *style, const jv_cable_answer *a, size_t i) {
    const jv_cable_row *row = &a->rows[i];
    /* More lost than there is: the supply cannot drive this current through it. */
    bool driven = row->left_v > 0;
    jv_text size = {0};
    jv_size_print(&size, &row->size);
    if (row->confidence == JV_WEAK)
        jv_text_add_char(&size, '*');
    t->failed |= size.failed;
    jv_text_table_row(t);
    jv_text_table_cell(t, i == a->chosen ? ">" : "", JV_TINT_GOOD);
    jv_text_table_cell(t, jv_text_str(&size), JV_TINT_NONE);
    jv_text_table_number(t, row->area_mm2, 2);
    jv_text_table_number(t, driven ? row->drop_v : NAN, 3);
    jv_text_table_number(t, driven ? 100 * row->drop_share : NAN, 1);
    jv_text_table_number(t, driven ? row->left_v : NAN, 2);
    jv_text_table_number(t, shown_temperature(style, row->temp_c), 0);
    jv_text_table_number(t, row->fuse_a, fmod(row->fuse_a, 1) > 0 ? 1 : 0);
    jv_text_table_number(t, style->units == JV_UNITS_US ? row->mass_kg / KG_PER_LB : row->mass_kg,
                         2);
    jv_text_table_cell(t, jv_cable_verdict_word(row->verdict), verdict_tint(row->verdict));
    jv_text_clear(&size);
}

/* Why nothing is said of a size, below the table. */
static void print_unknown(const jv_cable_answer *a, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    for (size_t i = 0; i < a->count; i++) {
        if (a->rows[i].verdict != JV_CABLE_UNKNOWN)
            continue;
        jv_size_print(&line, &a->rows[i].size);
        jv_text_addf(&line, " unknown: %s.", a->rows[i].why);
        wrap_and_clear(&line, 0, style, out);
    }
}

static void print_rows(const jv_cable_answer *a, const jv_style *style, jv_text *out) {
    bool us = style->units == JV_UNITS_US;
    const char *headings[] = {"mm2",    "drop V",        "%", "left V", us ? "degF" : "degC",
                              "fuse A", us ? "lb" : "kg"};
    jv_text_table t = {0};
    jv_text_table_column(&t, "", JV_LEFT);
    jv_text_table_column(&t, "size", JV_LEFT);
    for (size_t i = 0; i < sizeof headings / sizeof headings[0]; i++)
        jv_text_table_column(&t, headings[i], JV_RIGHT);
    jv_text_table_column(&t, "verdict", JV_LEFT);
    bool weak = false;
    for (size_t i = 0; i < a->count; i++) {
        add_row(&t, style, a, i);
        weak |= a->rows[i].confidence == JV_WEAK;
    }
    jv_text_table_print(&t, style, 0, out);
    if (weak)
        jv_wrap(out, "* The copper of this size is known from memory: it decides nothing alone.", 0,
                style->width);
    print_unknown(a, style, out);
    jv_text_add_char(out, '\n');
}

static void print_cautions(const jv_style *style, jv_text *out) {
    static const char *const cautions[] = {
        "DANGER: nobody goes under a vehicle that stands on its jacks. Wheels down and chocked.",
        "WARNING: a shorted cable burns and throws metal. Before any cable comes off: rings and "
        "watch off, every source away (battery, second battery, charger, solar panel, tow "
        "vehicle), the minus clamp first and on again last. Think of the breakaway brake and of "
        "saved positions before that.",
        "WARNING: the fuse goes at the source end, where the cable takes its power; never one "
        "above what the cable carries.",
        "Local codes, the vehicle maker's instructions and licensed practice come first. These are "
        "estimates, no certificate of safety."};
    for (size_t i = 0; i < sizeof cautions / sizeof cautions[0]; i++)
        jv_wrap(out, cautions[i], 0, style->width);
    jv_text_add_char(out, '\n');
}

static void print_fit(const jv_cable_answer *a, const jv_style *style, jv_text *out) {
    const jv_cable_row *row = &a->rows[a->chosen];
    jv_text line = {0};
    jv_text_add(&line, "Fit ");
    jv_size_print(&line, &row->size);
    jv_text_add(&line, ", two pieces of ");
    add_quantity(&line, style, a->one_way_m, JV_DIM_LENGTH, 3);
    jv_text_add(&line, ", with a ");
    jv_text_addf(&line, "%.4g A fuse (%s) at the source end: the cable loses ", row->fuse_a,
                 jv_fuse_style_name(row->fuse_style));
    add_volts(&line, row->drop_v);
    jv_text_addf(&line, " (%.1f %%), leaves ", 100 * row->drop_share);
    add_volts(&line, row->left_v);
    jv_text_add(&line, " at the load and runs at ");
    add_quantity(&line, style, row->temp_c, JV_DIM_TEMPERATURE, 3);
    jv_text_addf(&line, "; for good it carries %.0f A.", floor(row->carries_a));
    wrap_and_clear(&line, 0, style, out);
    if (style->quiet)
        return;
    jv_text_add(
        &line,
        "Proof: meter on volts, its leads clipped on with the wheels down; come out, run the load, "
        "read from where it is safe. The plus cable from end to end, then the return: about ");
    add_volts(&line, row->drop_v / 2);
    jv_text_add(&line, " each. More is a joint, not the cable.");
    wrap_and_clear(&line, 0, style, out);
}

static void print_none(const jv_cable_answer *a, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    jv_text_addf(&line, "No %s size here is sure to do.",
                 a->question.basis == JV_SIZE_MM2   ? "metric"
                 : a->question.basis == JV_SIZE_SAE ? "SAE"
                                                    : "AWG");
    if (a->count) {
        const jv_cable_row *last = &a->rows[a->count - 1];
        jv_text_add(&line, " The thickest, ");
        jv_size_print(&line, &last->size);
        jv_text_addf(&line, ": %s.", last->why);
    }
    jv_text_add(&line, " Shorten the run, share the current over two circuits with a fuse each, or "
                       "allow more drop if the load bears it.");
    wrap_and_clear(&line, 0, style, out);
}

static void print_notes(const jv_cable_answer *a, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    jv_text_addf(
        &line,
        "Fuse: the least rating sold whose %.0f %% is the current or more (source %s, %s), "
        "and not above what the cable carries for good. The steps between ratings are "
        "from memory. A motor's inrush may ask for a slower style, never for more than "
        "the cable carries.",
        100 * a->fuse_share.value, a->fuse_share.source->key,
        jv_confidence_word(a->fuse_share.confidence));
    wrap_and_clear(&line, 0, style, out);
    jv_text_addf(&line, "Carries: by the heat balance in this air, or by %s, whichever is less.",
                 a->question.basis == JV_SIZE_MM2
                     ? "a maker's table of thin-wall vehicle cable"
                     : "33 CFR 183.425 Table 5, made for boats, here a yardstick");
    wrap_and_clear(&line, 0, style, out);
    jv_text_addf(&line, "Insulation: source %s, %s", a->insulation_c.source->key,
                 jv_confidence_word(a->insulation_c.confidence));
    if (a->insulation_c.note && *a->insulation_c.note)
        jv_text_addf(&line, "; %s", a->insulation_c.note);
    jv_text_add(&line, ". Joints, fuse and holder lose volts of their own: not counted here.");
    wrap_and_clear(&line, 0, style, out);
}

void jv_cable_text(const jv_cable_answer *answer, const jv_style *style, jv_text *out) {
    bool found = answer->chosen < answer->count;
    if (!style->quiet) {
        print_question(answer, style, out);
        print_rows(answer, style, out);
    }
    if (found && style->quiet)
        jv_wrap(out,
                "WARNING: every source off before a cable is touched; the fuse at the source end.",
                0, style->width);
    else if (!style->quiet)
        print_cautions(style, out);
    if (found)
        print_fit(answer, style, out);
    else
        print_none(answer, style, out);
    if (!style->quiet) {
        jv_text_add_char(out, '\n');
        print_notes(answer, style, out);
    }
}
