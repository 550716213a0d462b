/* test_tables_lookup.c - typed lookups in SI against documents. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/tables.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"

static const jv_size awg6 = {JV_SIZE_AWG, 6, 0.0};

static void sae_areas(void **state) {
    (void)state;
    jv_figure f;
    /* 24 538 cmil x 5.0670748e-4 mm2 = 12.434 mm2; 205 500 cmil = 104.13 mm2 */
    assert_int_equal(jv_table_sae_area(6, &f), JV_OK);
    assert_close(f.value, 12.434, 1e-4, 0.0);
    assert_int_equal(f.confidence, JV_SOLID);
    assert_int_equal(jv_table_sae_area(-3, &f), JV_OK);
    assert_close(f.value, 104.13, 1e-4, 0.0);
    /* 22 and 1: only from memory */
    assert_int_equal(jv_table_sae_area(22, &f), JV_OK);
    assert_close(f.value, 0.324, 1e-12, 0.0);
    assert_int_equal(f.confidence, JV_WEAK);
    assert_int_equal(jv_table_sae_area(1, &f), JV_OK);
    assert_int_equal(f.confidence, JV_WEAK);
    /* the column in mm2 that people read is the same figure, to its four digits */
    const jv_table *t = jv_table_get("sae");
    const jv_size *sizes;
    size_t n;
    sizes = jv_table_sizes(JV_SIZE_SAE, &n);
    for (size_t i = 2; i < n; i++) {
        jv_figure shown;
        assert_int_equal(jv_table_number(t, i, jv_table_column_find(t, "area from it"), &shown),
                         JV_OK);
        assert_int_equal(jv_table_sae_area(sizes[i].gauge, &f), JV_OK);
        assert_close(shown.value, f.value, 6e-4, 0.0);
    }
    assert_int_equal(jv_table_sae_area(7, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_sae_area(-4, &f), JV_ERR_UNKNOWN);
}

static void metric_resistances(void **state) {
    (void)state;
    jv_figure f;
    /* IEC 60228: 25 mm2 class 2 0.727 ohm/km, class 5 tinned 0.795; ISO 6722: 6 mm2 3.14 mohm/m */
    assert_int_equal(jv_table_metric_resistance(25, JV_METRIC_IEC_CLASS_2, false, &f), JV_OK);
    assert_close(f.value, 0.727e-3, 1e-12, 0.0);
    assert_int_equal(jv_table_metric_resistance(25, JV_METRIC_IEC_CLASS_5, true, &f), JV_OK);
    assert_close(f.value, 0.795e-3, 1e-12, 0.0);
    assert_int_equal(jv_table_metric_resistance(6, JV_METRIC_ISO_6722, false, &f), JV_OK);
    assert_close(f.value, 3.14e-3, 1e-12, 0.0);
    assert_int_equal(f.confidence, JV_SOLID);
    assert_int_equal(jv_table_metric_resistance(6, JV_METRIC_ISO_6722, true, &f), JV_OK);
    assert_int_equal(f.confidence, JV_WEAK); /* tinned values are from memory */
    assert_int_equal(jv_table_metric_resistance(25, JV_METRIC_ISO_6722, false, &f), JV_OK);
    assert_int_equal(f.confidence, JV_WEAK);
    assert_int_equal(jv_table_metric_resistance(0.35, JV_METRIC_IEC_CLASS_5, false, &f),
                     JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_metric_resistance(7, JV_METRIC_ISO_6722, false, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_metric_resistance(6, (jv_metric_class)9, false, &f), JV_ERR_RANGE);
}

static void metals(void **state) {
    (void)state;
    jv_metal_figures m;
    /* IEC 60028 and IEC 60364-5-54 (Qc 3.45e-3 J/(K mm3) = 3.45e6 J/(m3 K)) */
    assert_int_equal(jv_table_metal(JV_METAL_COPPER, &m), JV_OK);
    assert_close(m.resistivity.value, 1.7241e-8, 1e-12, 0.0);
    assert_close(m.alpha.value, 0.00393, 1e-12, 0.0);
    assert_close(m.density.value, 8890.0, 1e-12, 0.0);
    assert_close(m.beta.value, 234.5, 1e-12, 0.0);
    assert_close(m.heat_capacity.value, 3.45e6, 1e-12, 0.0);
    assert_int_equal(m.resistivity.confidence, JV_SOLID);
    assert_int_equal(jv_table_metal(JV_METAL_ALUMINIUM, &m), JV_OK);
    assert_close(m.resistivity.value, 2.8264e-8, 1e-12, 0.0);
    assert_close(m.heat_capacity.value, 2.5e6, 1e-12, 0.0);
    assert_int_equal(m.density.confidence, JV_WEAK);
    /* ASTM B566 10 %: 62.85 % IACS; 0.1 x 3.45e6 + 0.9 x 2.5e6 = 2.595e6; 1/0.00405 - 20 = 226.9 */
    assert_int_equal(jv_table_metal(JV_METAL_COPPER_CLAD_ALUMINIUM, &m), JV_OK);
    assert_close(m.resistivity.value, 1.7241e-8 / 0.6285, 1e-3, 0.0);
    assert_close(m.heat_capacity.value, 2.595e6, 1e-9, 0.0);
    assert_close(m.beta.value, 226.9, 1e-3, 0.0);
    assert_int_equal(m.alpha.confidence, JV_WEAK);
    assert_int_equal(m.beta.confidence, JV_WEAK);
    /* NFPA 70 Table 8, 18 AWG: coated over uncoated 1.063 +- 0.002 */
    assert_int_equal(jv_table_metal(JV_METAL_TINNED_COPPER, &m), JV_OK);
    assert_close(m.resistivity.value, 1.7241e-8 * 1.063, 2e-3, 0.0);
    assert_int_equal(m.resistivity.confidence, JV_USABLE);
    assert_int_equal(jv_table_metal((jv_metal)9, &m), JV_ERR_RANGE);
    jv_metal read;
    assert_int_equal(jv_metal_read("Copper-Clad Aluminium", &read), JV_OK);
    assert_int_equal(read, JV_METAL_COPPER_CLAD_ALUMINIUM);
    assert_int_equal(jv_metal_read("tin", &read), JV_ERR_UNKNOWN);
    assert_string_equal(jv_metal_name(JV_METAL_TINNED_COPPER), "tinned copper");
    assert_string_equal(jv_metal_name((jv_metal)9), "unknown metal");
}

/* SAE J1128 / J1127 texts: GXL 125 degC; GPT 80 in two texts, 85 in a third; TWP 85 or 105; SGT
 * 105 or 85; SGX 125. BC-5W2: 105 dry, 75 wet. */
static void insulation(void **state) {
    (void)state;
    static const struct {
        const char *name;
        double degC;
        bool differ;
    } expected[] = {{"GXL", 125, false},   {"gpt", 80, true},
                    {"TWP", 85, true},     {"SGT", 85, true},
                    {"SGX", 125, false},   {"FLRY", 105, false},
                    {"FLRYW", 125, false}, {"FL2X", 125, false},
                    {"BC-5W2", 75, true},  {"ISO 6722 class B", 100, false}};
    for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
        jv_figure f;
        assert_int_equal(jv_table_insulation(expected[i].name, &f), JV_OK);
        assert_close(f.value, expected[i].degC, 0.0, 0.0);
        assert_int_equal(strstr(f.note, "differ") != NULL, expected[i].differ);
    }
    jv_figure f;
    assert_int_equal(jv_table_insulation("HDT", &f), JV_OK);
    assert_int_equal(f.confidence, JV_WEAK);
    assert_int_equal(jv_table_insulation("", &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_insulation("GX", &f), JV_ERR_UNKNOWN);
    assert_int_equal(
        jv_table_insulation("a name so long that it could not be any insulation at all "
                            "in any table of the world",
                            &f),
        JV_ERR_UNKNOWN);
    size_t n = 0;
    while (jv_table_insulation_name(n)) {
        assert_int_equal(jv_table_insulation(jv_table_insulation_name(n), &f), JV_OK);
        n++;
    }
    assert_int_equal(n, 26); /* 29 rows, three of them second texts */
}

static double amps(jv_ampacity_table table, const jv_size *size, double degC, bool engine,
                   jv_figure *f) {
    return jv_table_ampacity(table, size, degC, engine, f) == JV_OK ? f->value : NAN;
}

/* 33 CFR 183.425 Table 5, 6 AWG: 80, 95, 100 (80 degC), 100 (90), 120 (105), 125 (125), 135. */
static void ampacity(void **state) {
    (void)state;
    jv_figure f;
    assert_close(amps(JV_AMPACITY_33CFR183, &awg6, 60, false, &f), 80, 0.0, 0.0);
    assert_close(amps(JV_AMPACITY_33CFR183, &awg6, 79, false, &f), 95, 0.0, 0.0);
    assert_close(amps(JV_AMPACITY_33CFR183, &awg6, 105, false, &f), 120, 0.0, 0.0);
    assert_int_equal(f.confidence, JV_SOLID);
    assert_close(amps(JV_AMPACITY_33CFR183, &awg6, 105, true, &f), 120 * 0.85, 1e-12, 0.0);
    assert_int_equal(f.confidence, JV_SOLID);
    assert_close(amps(JV_AMPACITY_33CFR183, &awg6, 75, true, &f), 95 * 0.75, 1e-12, 0.0);
    assert_int_equal(f.confidence, JV_WEAK); /* that factor is from memory */
    assert_int_equal(jv_table_ampacity(JV_AMPACITY_33CFR183, &awg6, 50, false, &f), JV_ERR_UNKNOWN);
    assert_close(amps(JV_AMPACITY_ABYC_E11, &awg6, 105, false, &f), 120, 0.0, 0.0);
    assert_close(amps(JV_AMPACITY_ABYC_E11, &awg6, 125, true, &f), 102, 0.0, 0.0);
    assert_close(amps(JV_AMPACITY_NEC_310_17, &awg6, 125, false, &f), 105, 0.0, 0.0);
    assert_int_equal(jv_table_ampacity(JV_AMPACITY_NEC_310_17, &awg6, 90, true, &f),
                     JV_ERR_UNKNOWN);
    const jv_size sae6 = {JV_SIZE_SAE, 6, 0.0};
    assert_close(amps(JV_AMPACITY_33CFR183, &sae6, 105, false, &f), 120, 0.0, 0.0);
    assert_non_null(strstr(f.note, "less copper"));
    const jv_size big = {JV_SIZE_AWG, -1, 0.0};
    assert_close(amps(JV_AMPACITY_33CFR183, &big, 105, false, &f), 330, 0.0, 0.0);
    const jv_size mm6 = {JV_SIZE_MM2, 0, 6.0};
    assert_int_equal(jv_table_ampacity(JV_AMPACITY_33CFR183, &mm6, 105, false, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_ampacity(JV_AMPACITY_ISO_10133, &awg6, 105, false, &f),
                     JV_ERR_UNKNOWN);
    /* ISO 10133 in an engine space: sqrt((105 - 60) / (105 - 30)) = 0.7746 */
    double outside = amps(JV_AMPACITY_ISO_10133, &mm6, 105, false, &f);
    assert_int_equal(f.confidence, JV_WEAK);
    assert_close(amps(JV_AMPACITY_ISO_10133, &mm6, 105, true, &f), outside * 0.7746, 1e-4, 0.0);
    const jv_size mm25 = {JV_SIZE_MM2, 0, 2.5};
    assert_close(amps(JV_AMPACITY_THIN_WALL, &mm25, 125, false, &f), 29, 0.0, 0.0);
    const jv_size odd = {JV_SIZE_AWG, 5, 0.0};
    assert_int_equal(jv_table_ampacity(JV_AMPACITY_33CFR183, &odd, 105, false, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_ampacity((jv_ampacity_table)9, &awg6, 105, false, &f), JV_ERR_RANGE);
    failing_start(1);
    assert_int_equal(jv_table_ampacity(JV_AMPACITY_33CFR183, &awg6, 105, false, &f), JV_ERR_MEMORY);
    assert_int_equal(failing_blocks(), 0);
    failing_stop();
    double air;
    assert_int_equal(jv_table_ampacity_air(JV_AMPACITY_FAA, false, &air), JV_OK);
    assert_close(air, 70, 0.0, 0.0);
    assert_int_equal(jv_table_ampacity_air(JV_AMPACITY_ABYC_E11, true, &air), JV_OK);
    assert_close(air, 50, 0.0, 0.0);
    assert_int_equal(jv_table_ampacity_air(JV_AMPACITY_THIN_WALL, false, &air), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_ampacity_air(JV_AMPACITY_FAA, true, &air), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_ampacity_air((jv_ampacity_table)9, true, &air), JV_ERR_RANGE);
}

/* NFPA 70 310.15(B)(1), 30 degC base. */
static void ambient_factors(void **state) {
    (void)state;
    jv_figure f;
    assert_int_equal(jv_table_ampacity_ambient(75, 45, &f), JV_OK);
    assert_close(f.value, 0.82, 1e-12, 0.0);
    assert_int_equal(jv_table_ampacity_ambient(75, 42, &f), JV_OK); /* band 41 to 45 */
    assert_close(f.value, 0.82, 1e-12, 0.0);
    assert_int_equal(jv_table_ampacity_ambient(90, 30, &f), JV_OK);
    assert_close(f.value, 1.0, 1e-12, 0.0);
    assert_int_equal(jv_table_ampacity_ambient(85, 60, &f), JV_OK); /* the 75 degC column */
    assert_close(f.value, 0.58, 1e-12, 0.0);
    /* 80 degC insulation at 10 degC: sqrt(70/50) = 1.1832, less than 1.20 of the 75 column */
    assert_int_equal(jv_table_ampacity_ambient(80, 10, &f), JV_OK);
    assert_close(f.value, 1.1832, 1e-4, 0.0);
    /* 125 degC: no column; sqrt((125 - 60) / 95) = 0.8272 */
    assert_int_equal(jv_table_ampacity_ambient(125, 60, &f), JV_OK);
    assert_close(f.value, 0.8272, 1e-4, 0.0);
    assert_int_equal(f.confidence, JV_USABLE);
    assert_int_equal(jv_table_ampacity_ambient(60, 60, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_ampacity_ambient(59, 30, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_ampacity_ambient(NAN, 30, &f), JV_ERR_UNKNOWN);
}

static void fuse_curves(void **state) {
    (void)state;
    jv_time_curve c;
    /* ISO 8820-3 type C sheet: 110 % holds 100 h; 135 % 0.75-600 s; 200 % 0.15-5; 350 % 0.08-0.5 */
    assert_int_equal(jv_table_fuse_curve(JV_FUSE_BLADE_C, 20, &c), JV_OK);
    assert_int_equal(c.count, 4);
    assert_close(c.points[0].fraction, 1.10, 1e-12, 0.0);
    assert_close(c.points[0].least_s, 360000, 0.0, 0.0);
    assert_true(isinf(c.points[0].greatest_s));
    assert_close(c.points[3].fraction, 3.5, 1e-12, 0.0);
    assert_close(c.points[3].least_s, 0.08, 0.0, 0.0);
    assert_close(c.points[3].greatest_s, 0.5, 0.0, 0.0);
    assert_int_equal(c.points[3].confidence, JV_SOLID);
    assert_int_equal(c.confidence, JV_USABLE);
    /* the 35 and 40 A sheet holds at 100 % and adds 600 % within 0.15 s, no lower limit */
    assert_int_equal(jv_table_fuse_curve(JV_FUSE_BLADE_C, 40, &c), JV_OK);
    assert_int_equal(c.count, 5);
    assert_close(c.points[0].fraction, 1.0, 1e-12, 0.0);
    assert_close(c.points[4].least_s, 0.0, 0.0, 0.0);
    assert_close(c.points[4].greatest_s, 0.15, 0.0, 0.0);
    /* maxi: 200 % 2-50 s */
    assert_int_equal(jv_table_fuse_curve(JV_FUSE_BLADE_E, 60, &c), JV_OK);
    assert_int_equal(c.count, 5);
    assert_close(c.points[2].least_s, 2, 0.0, 0.0);
    assert_close(c.points[2].greatest_s, 50, 0.0, 0.0);
    assert_int_equal(jv_table_fuse_curve(JV_FUSE_BLADE_F, 15, &c), JV_OK);
    assert_int_equal(c.count, 5);
    assert_int_equal(c.confidence, JV_SOLID);
    for (int style = JV_FUSE_BLADE_C; style <= JV_FUSE_GLASS; style++) {
        assert_int_equal(jv_table_fuse_curve((jv_fuse_style)style, 30, &c), JV_OK);
        for (size_t i = 0; i < c.count; i++) {
            assert_true(c.points[i].least_s < c.points[i].greatest_s);
            assert_non_null(c.points[i].source);
            if (i > 0) {
                assert_true(c.points[i].fraction > c.points[i - 1].fraction);
                assert_true(c.points[i].least_s < c.points[i - 1].least_s);
                assert_true(c.points[i].greatest_s < c.points[i - 1].greatest_s);
            }
        }
        if (style >= JV_FUSE_BOLT_IN) {
            assert_int_equal(c.confidence, JV_WEAK); /* from memory */
        }
        jv_fuse_style read;
        assert_int_equal(jv_fuse_style_read(jv_fuse_style_name((jv_fuse_style)style), &read),
                         JV_OK);
        assert_int_equal(read, style);
    }
    assert_int_equal(jv_table_fuse_curve(JV_FUSE_BLADE_C, 0, &c), JV_ERR_RANGE);
    assert_int_equal(jv_table_fuse_curve((jv_fuse_style)9, 10, &c), JV_ERR_RANGE);
    jv_fuse_style read;
    assert_int_equal(jv_fuse_style_read("BLADE c", &read), JV_OK);
    assert_int_equal(jv_fuse_style_read("blade", &read), JV_ERR_UNKNOWN);
    assert_string_equal(jv_fuse_style_name((jv_fuse_style)9), "unknown style");
}

static void fuse_resistances(void **state) {
    (void)state;
    jv_figure f;
    /* regular 20 A 3.38 mohm, maxi 40 A 1.4, mini 15 A 4.58 (data sheets) */
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_BLADE_C, 20, &f), JV_OK);
    assert_close(f.value, 3.38e-3, 1e-12, 0.0);
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_BLADE_E, 40, &f), JV_OK);
    assert_close(f.value, 1.4e-3, 1e-12, 0.0);
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_BLADE_F, 15, &f), JV_OK);
    assert_close(f.value, 4.58e-3, 1e-12, 0.0);
    assert_int_equal(f.confidence, JV_SOLID);
    /* 10 A: the field chart of a training text, 1/0.130 mohm, goes before memory (7.7) */
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_BLADE_C, 10, &f), JV_OK);
    assert_close(f.value, 1e-3 / 0.130, 1e-3, 0.0);
    assert_int_equal(f.confidence, JV_USABLE);
    /* no sheet: 57 mV / 60 A = 0.95 mohm; 60 mV / 20 A of a maxi; 78 mV / 3 A */
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_BLADE_E, 60, &f), JV_OK);
    assert_close(f.value, 0.95e-3, 1e-9, 0.0);
    assert_int_equal(f.confidence, JV_WEAK);
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_BLADE_E, 20, &f), JV_OK);
    assert_close(f.value, 3e-3, 1e-9, 0.0);
    assert_int_equal(f.confidence, JV_USABLE);
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_BLADE_F, 3, &f), JV_OK);
    assert_close(f.value, 26e-3, 1e-9, 0.0);
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_BOLT_IN, 100, &f), JV_OK);
    assert_close(f.value, 0.7e-3, 1e-9, 0.0);
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_GLASS, 20, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_fuse_resistance(JV_FUSE_BLADE_C, -1, &f), JV_ERR_RANGE);
    jv_range r;
    assert_int_equal(jv_table_fuse_hot_ratio(&r), JV_OK);
    assert_close(r.low, 1.3, 1e-12, 0.0);
    assert_close(r.typical, 1.5, 1e-12, 0.0);
    assert_close(r.high, 1.7, 1e-12, 0.0);
    assert_int_equal(jv_table_fuse_continuous(&f), JV_OK);
    assert_close(f.value, 0.75, 1e-12, 0.0);
    /* maxi sheet: 1 at 20 degC, 0.85 at 65, 0.75 at 85, 0.55 at 125; halfway 65-85 is 0.80 */
    assert_int_equal(jv_table_fuse_ambient(JV_FUSE_BLADE_E, 20, &f), JV_OK);
    assert_close(f.value, 1.0, 1e-12, 0.0);
    assert_int_equal(jv_table_fuse_ambient(JV_FUSE_BLADE_E, 75, &f), JV_OK);
    assert_close(f.value, 0.80, 1e-12, 0.0);
    assert_int_equal(f.confidence, JV_USABLE);
    assert_int_equal(jv_table_fuse_ambient(JV_FUSE_BLADE_C, 125, &f), JV_OK);
    assert_close(f.value, 0.55, 1e-12, 0.0);
    assert_int_equal(f.confidence, JV_WEAK);
    assert_int_equal(jv_table_fuse_ambient(JV_FUSE_BLADE_F, 0, &f), JV_OK);
    assert_int_equal(jv_table_fuse_ambient(JV_FUSE_BLADE_C, 126, &f), JV_ERR_RANGE);
    assert_int_equal(jv_table_fuse_ambient(JV_FUSE_BLADE_C, NAN, &f), JV_ERR_RANGE);
}

static void breakers(void **state) {
    (void)state;
    jv_time_curve c;
    jv_breaker_type type;
    /* from memory of SAE J553: carries 100 %, opens at 135 % within 1 h, at 200 % within 120 s */
    assert_int_equal(jv_table_breaker_curve(JV_BREAKER_MANUAL, &c), JV_OK);
    assert_int_equal(c.count, 3);
    assert_close(c.points[0].least_s, 3600, 0.0, 0.0);
    assert_true(isinf(c.points[0].greatest_s));
    assert_close(c.points[1].greatest_s, 3600, 0.0, 0.0);
    assert_close(c.points[2].fraction, 2.0, 1e-12, 0.0);
    assert_close(c.points[2].greatest_s, 120, 0.0, 0.0);
    assert_int_equal(c.confidence, JV_WEAK);
    assert_int_equal(jv_table_breaker_curve((jv_breaker_type)9, &c), JV_ERR_RANGE);
    assert_int_equal(jv_breaker_type_read("II", &type), JV_OK);
    assert_int_equal(type, JV_BREAKER_MODIFIED);
    assert_int_equal(jv_breaker_type_read("manual", &type), JV_OK);
    assert_int_equal(type, JV_BREAKER_MANUAL);
    assert_int_equal(jv_breaker_type_read("IV", &type), JV_ERR_UNKNOWN);
    assert_string_equal(jv_breaker_type_name(JV_BREAKER_AUTOMATIC), "automatic");
    assert_string_equal(jv_breaker_type_name((jv_breaker_type)9), "unknown type");
}

static void contacts(void **state) {
    (void)state;
    jv_contact_figures f;
    assert_int_equal(jv_table_contact(JV_CONTACT_STUD, &f), JV_OK);
    assert_true(f.has_limit && !f.has_typical);
    assert_close(f.limit.value, 7.5e-3 / 43.0, 0.005, 0.0); /* MIL-DTL-83454A: 7.5 mV at 43 A */
    assert_int_equal(jv_table_contact(JV_CONTACT_BLADE, &f), JV_OK);
    assert_close(f.limit.value, 80e-3 / 20.0, 1e-9, 0.0); /* 80 mV at 20 A, 12 AWG */
    assert_int_equal(jv_table_contact(JV_CONTACT_BOND, &f), JV_OK);
    assert_close(f.limit.value, 2.5e-3, 1e-12, 0.0); /* AC 43.13-1B 11-188 f */
    assert_int_equal(jv_table_contact(JV_CONTACT_CONNECTOR_SMALL, &f), JV_OK);
    assert_true(f.has_limit && f.has_typical);
    assert_close(f.typical.typical, 4e-3, 1e-9, 0.0); /* 4 mV per ampere */
    assert_close(f.limit.value, 5e-3, 1e-12, 0.0);    /* 5 mV/A after test */
    assert_int_equal(jv_table_contact(JV_CONTACT_CONNECTOR_LARGE, &f), JV_OK);
    assert_close(f.typical.typical, 0.55e-3, 1e-9, 0.0);
    assert_close(f.limit.value, 1e-3, 1e-12, 0.0);
    assert_int_equal(jv_table_contact(JV_CONTACT_CRIMP, &f), JV_OK);
    assert_true(f.has_typical && !f.has_limit);
    assert_close(f.typical.low, 0.01e-3, 1e-12, 0.0);
    assert_close(f.typical.high, 0.5e-3, 1e-12, 0.0);
    assert_int_equal(jv_table_contact(JV_CONTACT_RELAY, &f), JV_OK);
    assert_close(f.typical.low, 3e-3, 1e-12, 0.0);
    assert_close(f.limit.value, 50e-3, 1e-12, 0.0);
    /* nothing published in ohms */
    assert_int_equal(jv_table_contact(JV_CONTACT_POST_CLAMP, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_contact(JV_CONTACT_HOLDER, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_contact(JV_CONTACT_SWITCH, &f), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_contact((jv_contact_kind)99, &f), JV_ERR_RANGE);
    for (int k = JV_CONTACT_CRIMP; k <= JV_CONTACT_SWITCH; k++) {
        jv_contact_kind read;
        assert_int_equal(jv_contact_kind_read(jv_contact_kind_name((jv_contact_kind)k), &read),
                         JV_OK);
        assert_int_equal(read, k);
    }
    jv_contact_kind read;
    assert_int_equal(jv_contact_kind_read("weld", &read), JV_ERR_UNKNOWN);
    assert_string_equal(jv_contact_kind_name((jv_contact_kind)99), "unknown contact");
}

static void drop_limits_and_rules(void **state) {
    (void)state;
    /* repair manual quoting SAE; training text (ground); service manual of 2003 (post clamp) */
    static const double volts[] = {0.0, 0.1, 0.2, 0.3, 1.0, 0.1, 0.0, 0.5};
    jv_figure f;
    for (int p = JV_DROP_SMALL_CONNECTION; p <= JV_DROP_ACCESSORY_TOTAL; p++) {
        assert_int_equal(jv_table_drop_limit((jv_drop_piece)p, &f), JV_OK);
        assert_close(f.value, volts[p], 1e-12, 0.0);
    }
    assert_string_equal(f.source->key, "CP");
    assert_int_equal(f.confidence, JV_WEAK); /* the accessory total has no source */
    assert_int_equal(jv_table_drop_limit((jv_drop_piece)99, &f), JV_ERR_RANGE);
    jv_rule r;
    assert_int_equal(jv_table_rule("CFR-05", &r), JV_OK);
    assert_string_equal(r.standard, "33 CFR 183.455");
    assert_string_equal(r.clause, "(c)(1)");
    assert_string_equal(r.applies, "boats");
    assert_true(r.has_value);
    assert_close(r.value, 150, 0.0, 0.0);
    assert_int_equal(r.confidence, JV_SOLID);
    assert_int_equal(jv_table_rule("ABYC-03", &r), JV_OK);
    assert_int_equal(r.confidence, JV_WEAK);
    assert_int_equal(jv_table_rule("RV-01", &r), JV_OK);
    assert_false(r.has_value);
    assert_int_equal(jv_table_rule("CFR-99", &r), JV_ERR_UNKNOWN);
}

static void friction_and_gears(void **state) {
    (void)state;
    jv_range r;
    /* Shigley 9th ed. Table 8-5: 0.10 to 0.16 */
    assert_int_equal(jv_table_thread_friction("steel", "bronze", "machine oil", &r), JV_OK);
    assert_close(r.low, 0.10, 1e-12, 0.0);
    assert_close(r.typical, 0.13, 1e-12, 0.0);
    assert_close(r.high, 0.16, 1e-12, 0.0);
    assert_int_equal(r.confidence, JV_SOLID);
    assert_int_equal(jv_table_thread_friction("steel", "cheese", "dry", &r), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_gear_efficiency("worm and wheel", &r), JV_OK);
    assert_close(r.low, 0.5, 1e-12, 0.0);
    assert_close(r.high, 0.9, 1e-12, 0.0);
    assert_int_equal(r.confidence, JV_USABLE);
    assert_int_equal(jv_table_gear_efficiency("whole jack gear train with a worm", &r), JV_OK);
    assert_int_equal(r.confidence, JV_WEAK);
    assert_int_equal(jv_table_gear_efficiency("", &r), JV_ERR_UNKNOWN);
    assert_int_equal(jv_table_gear_efficiency("belt", &r), JV_ERR_UNKNOWN);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sae_areas),
        cmocka_unit_test(metric_resistances),
        cmocka_unit_test(metals),
        cmocka_unit_test(insulation),
        cmocka_unit_test(ampacity),
        cmocka_unit_test(ambient_factors),
        cmocka_unit_test(fuse_curves),
        cmocka_unit_test(fuse_resistances),
        cmocka_unit_test(breakers),
        cmocka_unit_test(contacts),
        cmocka_unit_test(drop_limits_and_rules),
        cmocka_unit_test(friction_and_gears),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
