/* tables.h - published figures with their source. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_TABLES_H
#define JACKVOLT_TABLES_H

#include "jackvolt/quantity.h"
#include "jackvolt/status.h"

#include <stdbool.h>
#include <stddef.h>

/* Every figure here carries the document it was read in and how far it may be
 * trusted. Two faces read the same rows: typed lookups for the physics (SI units),
 * and plain tables of text cells for printing. All data are constants: nothing is
 * allocated, nothing has to be freed, every function may be called from any thread.
 * Unless a function says otherwise it answers
 *   JV_OK           and sets *out,
 *   JV_ERR_RANGE    an argument outside the range stated, or an enum value not listed,
 *   JV_ERR_UNKNOWN  no published figure is known; *out is not touched. Never zero instead. */

/* ---- confidence and sources ---- */

/* How far a figure may be trusted. Numbers grow as trust falls. Zero is no value. */
typedef enum jv_confidence {
    JV_SOLID = 1, /* "solid": text read, or computed from a cited formula; may decide a verdict */
    JV_USABLE,    /* "usable": second-hand or derived; a failing verdict must say it hangs on it */
    JV_WEAK       /* "not for a verdict": memory, common practice or judgement; default or hint */
} jv_confidence;

/* "solid", "usable", "not for a verdict"; never NULL. */
const char *jv_confidence_word(jv_confidence c);
/* The less trusted of the two. */
jv_confidence jv_confidence_worse(jv_confidence a, jv_confidence b);

/* One document (or "from memory", "common practice", "computed here"). */
typedef struct jv_source {
    const char *key;   /* short name that rows carry */
    const char *title; /* document, edition, clause, table, page */
    const char *url;   /* "" unless it is the only way to identify the document */
} jv_source;

const jv_source *jv_source_find(const char *key); /* NULL when not known */
size_t jv_source_count(void);
const jv_source *jv_source_at(size_t i); /* NULL from jv_source_count() on */

/* A value with its origin. `source` is never NULL after JV_OK. `note` is a short
 * caveat to show beside the figure ("other texts say 105 degC"), or "". */
typedef struct jv_figure {
    double value;
    const jv_source *source;
    jv_confidence confidence;
    const char *note;
} jv_figure;

/* A range with its origin: low <= typical <= high. */
typedef struct jv_range {
    double low;
    double typical;
    double high;
    const jv_source *source;
    jv_confidence confidence;
    const char *note;
} jv_range;

/* ---- plain tables (for printing and for lookups not listed below) ---- */

enum { JV_TABLE_COLUMNS = 12 }; /* the most a table has */

typedef struct jv_table_column {
    const char *name;    /* "resistivity" */
    const char *unit;    /* "ohm m"; "" = text or plain number */
    jv_confidence limit; /* figures of this column are never better than this; 0 = no limit */
} jv_table_column;

typedef struct jv_table_row {
    const char *cells[JV_TABLE_COLUMNS]; /* as printed; "" or NULL = no figure known */
    const char *sources;                 /* source keys, separated by one space; the first leads */
    jv_confidence confidence;
} jv_table_row;

typedef struct jv_table {
    const char *name;  /* "insulation" */
    const char *title; /* one line */
    const jv_table_column *columns;
    size_t column_count;
    const jv_table_row *rows;
    size_t row_count;
} jv_table;

size_t jv_table_count(void);
const jv_table *jv_table_at(size_t i);          /* in printing order; NULL from the count on */
const jv_table *jv_table_get(const char *name); /* NULL when there is no such table */
/* The cell's text; "" when empty or when an index is out of range. */
const char *jv_table_cell(const jv_table *t, size_t row, size_t column);
/* Index of the column of that name; t->column_count when there is none. */
size_t jv_table_column_find(const jv_table *t, const char *name);
/* First row at or behind `from` whose cell equals text; t->row_count when none. */
size_t jv_table_row_find(const jv_table *t, size_t column, const char *text, size_t from);
/* The cell as a number in the column's own unit (not SI). JV_ERR_UNKNOWN when the
 * cell is empty or not one plain number. Confidence is the worse of row and column. */
jv_status jv_table_number(const jv_table *t, size_t row, size_t column, jv_figure *out);
/* The i-th source of a row (0 leads); NULL behind the last. */
const jv_source *jv_table_row_source(const jv_table_row *row, size_t i);

/* ---- conductors ---- */

/* The sizes to choose from, thinnest first. AWG and SAE as sold (22, 20 .. 2, 1, 1/0 .. 4/0),
 * metric 0.35 .. 120 mm2 (ISO 6722). *n is set; NULL (and *n = 0) for a wrong system. */
const jv_size *jv_table_sizes(jv_size_system system, size_t *n);

/* SAE conductor: smallest copper area, mm2, from the printed circular mils
 * (1 cmil = 5.0670748e-4 mm2). gauge as in jv_size. 22 and 20 rest on memory. */
jv_status jv_table_sae_area(int gauge, jv_figure *mm2);

typedef enum jv_metric_class {
    JV_METRIC_ISO_6722,    /* road vehicle cable */
    JV_METRIC_IEC_CLASS_2, /* stranded, IEC 60228 */
    JV_METRIC_IEC_CLASS_5  /* fine stranded, IEC 60228 */
} jv_metric_class;

/* Largest resistance at 20 degC, ohm/m, of a nominal size (mm2) of a class. */
jv_status jv_table_metric_resistance(double nominal_mm2, jv_metric_class of_class, bool tinned,
                                     jv_figure *ohm_per_m);

typedef enum jv_metal {
    JV_METAL_COPPER,
    JV_METAL_TINNED_COPPER,
    JV_METAL_COPPER_CLAD_ALUMINIUM,
    JV_METAL_ALUMINIUM
} jv_metal;

typedef struct jv_metal_figures {
    jv_figure resistivity;   /* ohm m at 20 degC */
    jv_figure alpha;         /* 1/K, relative to 20 degC */
    jv_figure density;       /* kg/m3 */
    jv_figure beta;          /* degC; reciprocal coefficient at 0 degC, IEC 60364-5-54 */
    jv_figure heat_capacity; /* J/(m3 K), Qc of IEC 60364-5-54; copper-clad: mixed by volume */
} jv_metal_figures;

jv_status jv_table_metal(jv_metal metal, jv_metal_figures *out);
/* "copper", "tinned copper", "copper-clad aluminium", "aluminium". */
const char *jv_metal_name(jv_metal metal); /* never NULL */
jv_status jv_metal_read(const char *name, jv_metal *out);

/* Highest continuous conductor temperature, degC, of an insulation ("GPT", "TWP", "GXL",
 * "SXL", "TXL", "HDT", "SGT", "SGX", "STX", "SGR", "FLRY", ... ASCII case ignored). Where
 * texts differ: the lowest, the note names the other. */
jv_status jv_table_insulation(const char *name, jv_figure *max_degC);
/* The lowest of them all, degC: a conductor below it passes no limit. Looked up once. */
double jv_table_insulation_coolest(void);
const char *jv_table_insulation_name(size_t i); /* names known, for messages; NULL at the end */

typedef enum jv_ampacity_table {
    JV_AMPACITY_33CFR183,   /* 33 CFR 183.425 Table 5, boats, AWG */
    JV_AMPACITY_ABYC_E11,   /* ABYC E-11, 105 degC column, AWG */
    JV_AMPACITY_NEC_310_17, /* NFPA 70 Table 310.17, single conductors in free air, AWG */
    JV_AMPACITY_ISO_10133,  /* ISO 10133 Table A.1, small craft, mm2; from memory */
    JV_AMPACITY_FAA,        /* FAA AC 43.13-1B Table 11-9, aircraft, AWG */
    JV_AMPACITY_THIN_WALL   /* thin-wall road vehicle cable (ISO 6722 class B), mm2 */
} jv_ampacity_table;

/* Continuous amps of one conductor outside (or inside) an engine space. The column is the
 * highest insulation temperature of the table that insulation_degC reaches. Air of the figures:
 * jv_table_ampacity_air. SAE sizes are looked up by their gauge, which is a little generous
 * (their copper is smaller): the note says so. */
jv_status jv_table_ampacity(jv_ampacity_table table, const jv_size *size, double insulation_degC,
                            bool engine_space, jv_figure *amps);
/* The air, degC, that a table's figures mean; JV_ERR_UNKNOWN where it does not say. */
jv_status jv_table_ampacity_air(jv_ampacity_table table, bool engine_space, double *degC);
/* Factor on an ampacity of a 30 degC table for another ambient, NFPA 70 310.15(B)(1), columns
 * 60, 75, 90 degC; between its bands the hotter band counts. Insulation above 90 degC: the
 * square-root rule sqrt((Ti - Ta) / (Ti - 30)) which the printed factors follow within 2.5 %.
 * JV_ERR_UNKNOWN below 60 degC insulation, or where the ambient leaves nothing. */
jv_status jv_table_ampacity_ambient(double insulation_degC, double ambient_degC, jv_figure *factor);

/* ---- fuses, breakers, contacts ---- */

typedef enum jv_fuse_style {
    JV_FUSE_BLADE_C, /* regular blade, ISO 8820-3 type C */
    JV_FUSE_BLADE_E, /* maxi blade, ISO 8820-3 type E */
    JV_FUSE_BLADE_F, /* mini blade, ISO 8820-3 type F */
    JV_FUSE_BOLT_IN, /* bolt-in strip, ISO 8820-5 */
    JV_FUSE_GLASS    /* glass cartridge, SAE J554 */
} jv_fuse_style;

/* "blade C", "blade E", "blade F", "bolt-in strip", "glass". */
const char *jv_fuse_style_name(jv_fuse_style style); /* never NULL */
jv_status jv_fuse_style_read(const char *name, jv_fuse_style *out);

/* At `fraction` of its rating the device opens not before least_s and not after
 * greatest_s. No lower limit: 0. No upper limit (a hold point): infinity. */
typedef struct jv_time_point {
    double fraction;
    double least_s;
    double greatest_s;
    const jv_source *source;
    jv_confidence confidence;
} jv_time_point;

enum { JV_TIME_POINTS = 8 };
typedef struct jv_time_curve {
    size_t count;
    jv_time_point points[JV_TIME_POINTS]; /* rising fraction */
    jv_confidence confidence;             /* the worst of the points */
} jv_time_curve;

/* Time-current limits of a style at 20 .. 25 degC. rating_A > 0 (blade C of 35 A and more
 * has a sheet of its own). No limit was read in a standard: the limits come from data
 * sheets that declare it; bolt-in and glass rest on memory. */
jv_status jv_table_fuse_curve(jv_fuse_style style, double rating_A, jv_time_curve *out);
/* Ratings sold, A, rising; *n is set. The ends of the range come from documents, the steps
 * from memory (table fuse-ratings). NULL and *n = 0 for a wrong style. */
const double *jv_table_fuse_ratings(jv_fuse_style style, size_t *n);
/* Cold resistance, ohm: a sheet's figure for that rating, else about 0.06 V / rating (derived,
 * the note says so). Glass: JV_ERR_UNKNOWN. */
jv_status jv_table_fuse_resistance(jv_fuse_style style, double rating_A, jv_figure *ohm);
/* Resistance at rated current over cold resistance, 1.3 .. 1.7. */
jv_status jv_table_fuse_hot_ratio(jv_range *out);
/* Share of the rating that ambient leaves, relative to 20 degC, -40 .. 125 degC. */
jv_status jv_table_fuse_ambient(jv_fuse_style style, double ambient_degC, jv_figure *fraction);
/* Share of the rating that a lasting current should not pass (0.75 at 25 degC). */
jv_status jv_table_fuse_continuous(jv_figure *fraction);

typedef enum jv_breaker_type {
    JV_BREAKER_AUTOMATIC, /* SAE J553 type I: closes again by itself, and cycles */
    JV_BREAKER_MODIFIED,  /* type II: stays open while the supply lasts */
    JV_BREAKER_MANUAL     /* type III: stays open until someone resets it */
} jv_breaker_type;

const char *jv_breaker_type_name(jv_breaker_type type); /* "automatic", "modified", "manual" */
jv_status jv_breaker_type_read(const char *name, jv_breaker_type *out); /* also "I" "II" "III" */
/* Carry and must-open points; all of them from memory (SAE J553 limits were not read). */
jv_status jv_table_breaker_curve(jv_breaker_type type, jv_time_curve *out);

typedef enum jv_contact_kind {
    JV_CONTACT_CRIMP,           /* permanent joint: crimp, weld */
    JV_CONTACT_BLADE,           /* 6.3 mm blade receptacle with its crimp */
    JV_CONTACT_STUD,            /* ring on a stud, bolted joint */
    JV_CONTACT_POST_CLAMP,      /* battery post and clamp */
    JV_CONTACT_BOND,            /* bond of a lead or part to the frame */
    JV_CONTACT_HOLDER,          /* fuse holder */
    JV_CONTACT_CONNECTOR_SMALL, /* sealed connector, 0.35 .. 1.5 mm2 */
    JV_CONTACT_CONNECTOR_LARGE, /* 30 A class connector */
    JV_CONTACT_RELAY,           /* power relay contact */
    JV_CONTACT_SWITCH           /* switch, solenoid */
} jv_contact_kind;

typedef struct jv_contact_figures {
    bool has_typical, has_limit;
    jv_range typical; /* ohm: of a sound joint */
    jv_figure limit;  /* ohm: largest allowed of a new one */
} jv_contact_figures;

jv_status jv_table_contact(jv_contact_kind kind, jv_contact_figures *out);
const char *jv_contact_kind_name(jv_contact_kind kind); /* "crimp", "post clamp", ... */
jv_status jv_contact_kind_read(const char *name, jv_contact_kind *out);

/* Largest voltage drop in a loaded test, V, of a piece of a circuit. */
typedef enum jv_drop_piece {
    JV_DROP_SMALL_CONNECTION, /* 0 V */
    JV_DROP_POWER_CONNECTION, /* 0.1 V */
    JV_DROP_POWER_CABLE,      /* 0.2 V */
    JV_DROP_SWITCH,           /* 0.3 V */
    JV_DROP_ANY_TOTAL,        /* 1 V: above it a fault in any case */
    JV_DROP_GROUND,           /* 0.1 V */
    JV_DROP_POST_CLAMP,       /* 0 V */
    JV_DROP_ACCESSORY_TOTAL   /* 0.5 V, common practice without a source */
} jv_drop_piece;
jv_status jv_table_drop_limit(jv_drop_piece piece, jv_figure *volts);

/* ---- batteries and supplies ---- */

typedef enum jv_chemistry {
    JV_CHEMISTRY_FLOODED,
    JV_CHEMISTRY_AGM,
    JV_CHEMISTRY_GEL,
    JV_CHEMISTRY_LFP /* lithium iron phosphate, four cells in series */
} jv_chemistry;

const char *jv_chemistry_name(jv_chemistry chemistry); /* "flooded", "agm", "gel", "lfp" */
jv_status jv_chemistry_read(const char *name, jv_chemistry *out);

/* Points of a curve, x rising, straight between them, flat outside. */
enum { JV_CURVE_POINTS = 16 };
typedef struct jv_curve {
    size_t count;
    double x[JV_CURVE_POINTS];
    double y[JV_CURVE_POINTS];
    const jv_source *source;
    jv_confidence confidence;
    const char *note;
} jv_curve;
double jv_curve_at(const jv_curve *c, double x);
double jv_curve_slope(const jv_curve *c, double x);   /* dy/dx; right of x at a point; 0 outside */
double jv_curve_inverse(const jv_curve *c, double y); /* y must rise strictly; ends outside */

/* Rested volts of a 12 V battery (y) over charge 0 .. 1 (x) at the curve's own temperature,
 * given out in *at_degC. Take the curve once, then use jv_curve_at: it is the fast way. */
jv_status jv_table_ocv_curve(jv_chemistry chemistry, jv_curve *out, double *at_degC);
/* Volts to add (y) over temperature degC (x) relative to 26.7 degC; all lead-acid kinds the
 * same. LFP: no figure is known, JV_ERR_UNKNOWN (take none). */
jv_status jv_table_ocv_shift_curve(jv_chemistry chemistry, jv_curve *out);
/* Both together. charge 0 .. 1, -40 .. 60 degC. */
jv_status jv_table_ocv(jv_chemistry chemistry, double charge, double degC, jv_figure *volts);
/* The inverse: charge 0 .. 1 of rested volts; the ends when volts lie outside. */
jv_status jv_table_charge(jv_chemistry chemistry, double volts, double degC, jv_figure *charge);

/* Resistance times capacity of a sound warm full battery, ohm Ah, discharge pulse. */
jv_status jv_table_resistance_ah(jv_chemistry chemistry, jv_range *out);
/* Resistance relative to a full battery (y, 1 at 100 %) over charge 0 .. 1 (x). */
jv_status jv_table_resistance_charge(jv_chemistry chemistry, jv_curve *out);
/* Resistance relative to warm, 25 .. 27 degC (y), over temperature degC (x). Lead-acid: an upper
 * bound (no measured table was found; see the note). */
jv_status jv_table_resistance_temperature(jv_chemistry chemistry, jv_curve *out);
/* Charge left to use relative to warm (y) over temperature degC (x). */
jv_status jv_table_capacity_temperature(jv_chemistry chemistry, jv_curve *out);
/* Peukert exponent of a chemistry. */
jv_status jv_table_peukert(jv_chemistry chemistry, jv_range *out);

typedef enum jv_cranking_standard {
    JV_CRANKING_SAE, /* SAE J537 CCA */
    JV_CRANKING_EN,  /* EN 50342-1 */
    JV_CRANKING_IEC, /* IEC 95-1, the old 60 s test */
    JV_CRANKING_DIN, /* DIN 43539-2, withdrawn */
    JV_CRANKING_MCA  /* cranking amps at 0 degC */
} jv_cranking_standard;
typedef struct jv_cranking_test {
    double degC, seconds, end_volts; /* the rated current holds end_volts for seconds at degC */
    const jv_source *source;
    jv_confidence confidence;
} jv_cranking_test;
jv_status jv_table_cranking(jv_cranking_standard standard, jv_cranking_test *out);

/* What a group size usually is ("24", "27", "31", "35", "65"), all weak. kind: "starter",
 * "deep cycle" or "AGM". Amps (SAE cold cranking), seconds of reserve at 25 A, coulombs. */
typedef struct jv_group_figures {
    jv_range cold_cranking_A, reserve_s, capacity_C;
} jv_group_figures;
jv_status jv_table_battery_group(const char *group, const char *kind, jv_group_figures *out);

/* Lowest volts that a battery keeps under half its cold-cranking amps for 15 s, over
 * temperature, degC (x). */
jv_status jv_table_load_test(jv_curve *out);

/* Supply code of ISO 16750-2 Table 1, 12 V: 'A' .. 'D': lowest and highest working volts. */
jv_status jv_table_supply_code(char code, jv_figure *least_V, jv_figure *most_V);

/* A window of a data sheet or standard in SI units (mA, uA, mV, us, mT ... are turned into A,
 * V, s, T); NaN where the end is not stated. At least one of the three is a number. */
typedef struct jv_window {
    double least;
    double typical;
    double most;
    const char *unit;      /* as printed, before the conversion */
    const char *condition; /* "over temperature"; may be "" */
    const jv_source *source;
    jv_confidence confidence;
    const char *note;
} jv_window;

/* Hall sensors, encoders and sensor regulators, rows of the table "hall", e.g. "three-wire
 * low-cost switch", "supply current". */
jv_status jv_table_hall(const char *of_class, const char *parameter, jv_window *out);
/* Converters, alternators, tow lines, ISO 16750-2, rows of the table "supplies", e.g.
 * "converter setpoint", "boost / bulk". */
jv_status jv_table_supply(const char *kind, const char *item, jv_window *out);

/* ---- mechanics ---- */

/* Thread friction of a steel or bronze screw, e.g. "steel", "bronze", "machine oil". */
jv_status jv_table_thread_friction(const char *screw, const char *nut, const char *condition,
                                   jv_range *out);
/* Efficiency of one gear stage by the first words of its row, e.g. "worm and wheel". */
jv_status jv_table_gear_efficiency(const char *kind, jv_range *out);

/* ---- rules ---- */

typedef struct jv_rule {
    const char *id;       /* "CFR-05" */
    const char *standard; /* "33 CFR 183.455" */
    const char *clause;   /* "(c)(1)"; may be "" */
    const char *topic;    /* "device rating" */
    const char *rule;     /* what it asks, in short words */
    const char *unit;     /* as printed; "" = none */
    const char *applies;  /* "boats": on a vehicle only a yardstick */
    bool has_value;
    double value; /* in `unit`, not SI */
    const jv_source *source;
    jv_confidence confidence;
} jv_rule;
jv_status jv_table_rule(const char *id, jv_rule *out);

#endif
