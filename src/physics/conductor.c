/* conductor.c - what a wire is made of and how it resists. SPDX-License-Identifier: MIT */
#include "jackvolt/conductor.h"

#include <math.h>

#define PI 3.14159265358979323846

static const double mm2_per_m2 = 1e6;
static const double m_per_inch = 0.0254;                 /* international inch */
static const double awg_36_mm = 0.127;                   /* diameter of 36 AWG, ASTM B258 */
static const double awg_ratio = 92.0;                    /* 4/0 over 36 AWG, 39 steps, same */
static const double cmil_mm2 = PI / 4 * 0.0254 * 0.0254; /* circle of 1 mil */
static const double iacs_ohm_mm2_m = 17.241e-3;          /* 100 % IACS at 20 degC, IEC 60028 */
static const double lay = 1.02;                          /* class B strand, ASTM B8 */
static const double reference_c = 20.0;                  /* IEC 60028 */
static const double fill = 19.0 / 25.0; /* 19 round strands in a ring 5 strands wide: geometry */

enum { AWG_THINNEST = 40, AWG_THICKEST = -3 };
static const double area_least_mm2 = 0.05, area_most_mm2 = 1000;

double jv_awg_diameter_m(int gauge) {
    return awg_36_mm * 1e-3 * pow(awg_ratio, (36.0 - gauge) / 39.0);
}

double jv_awg_area_mm2(int gauge) {
    double d_mm = jv_awg_diameter_m(gauge) * 1e3;
    return PI / 4 * d_mm * d_mm;
}

double jv_mm2_from_cmil(double cmil) {
    return cmil * cmil_mm2;
}
double jv_cmil_from_mm2(double area_mm2) {
    return area_mm2 / cmil_mm2;
}

/* Gauges of ASTM B258: the area is exact, the strands are longer than the wire. */
static jv_status from_awg(int gauge, jv_conductor *c) {
    if (gauge > AWG_THINNEST || gauge < AWG_THICKEST)
        return JV_ERR_RANGE;
    c->metal_area_mm2 = jv_awg_area_mm2(gauge);
    c->r20_ohm_per_m = iacs_ohm_mm2_m * lay / c->metal_area_mm2;
    c->basis = "AWG area by formula (ASTM B258), 2 % lay allowance (ASTM B8)";
    c->confidence = JV_SOLID;
    return JV_OK;
}

/* SAE sizes: least area. Cables sold have 5 to 11 % more, which covers the lay. */
static jv_status from_sae(int gauge, jv_conductor *c) {
    jv_figure area;
    jv_status status = jv_table_sae_area(gauge, &area);
    if (status != JV_OK)
        return status;
    c->metal_area_mm2 = area.value;
    c->r20_ohm_per_m = iacs_ohm_mm2_m / area.value;
    c->basis = "least area of the SAE size";
    c->source = area.source;
    c->confidence = area.confidence;
    return JV_OK;
}

/* Metric sizes: the standards limit the resistance, so that is taken, never the nominal
 * area. A limit that was read goes before one from memory (class 5 is the higher, so the
 * safer, of the two). A size without a row keeps its nominal area and is marked. */
static jv_status from_mm2(double nominal_mm2, bool tinned, jv_conductor *c) {
    static const struct {
        jv_metric_class of;
        const char *basis;
    } order[] = {
        {JV_METRIC_ISO_6722, "largest resistance of ISO 6722"},
        {JV_METRIC_IEC_CLASS_5, "largest resistance of IEC 60228 class 5"},
        {JV_METRIC_IEC_CLASS_2, "largest resistance of IEC 60228 class 2"},
    };
    if (!(nominal_mm2 >= area_least_mm2 && nominal_mm2 <= area_most_mm2))
        return JV_ERR_RANGE;
    for (size_t i = 0; i < sizeof order / sizeof order[0]; i++) {
        jv_figure r;
        if (jv_table_metric_resistance(nominal_mm2, order[i].of, tinned, &r) != JV_OK)
            continue;
        if (c->basis && r.confidence == JV_WEAK)
            continue;
        c->r20_ohm_per_m = r.value;
        c->metal_area_mm2 = iacs_ohm_mm2_m * lay / r.value;
        c->basis = order[i].basis;
        c->source = r.source;
        c->confidence = r.confidence;
        if (r.confidence != JV_WEAK)
            return JV_OK;
    }
    if (c->basis) /* a remembered limit is still better than the nominal area */
        return JV_OK;
    c->metal_area_mm2 = nominal_mm2;
    c->r20_ohm_per_m = iacs_ohm_mm2_m * lay / nominal_mm2;
    c->basis = "nominal area, 2 % lay allowance: no table has this size";
    c->assumed = true;
    c->confidence = JV_USABLE;
    return JV_OK;
}

static double melting_c(jv_metal metal) {
    /* Copper 1083 degC (Onderdonk, Brooks and Adam 2015); aluminium 660 degC (textbook
     * value, from memory), which also ends copper-clad aluminium. */
    bool copper = metal == JV_METAL_COPPER || metal == JV_METAL_TINNED_COPPER;
    return copper ? 1083 : 660;
}

jv_status jv_conductor_make(const jv_size *size, jv_metal metal, jv_conductor *out) {
    jv_metal_figures copper, own;
    jv_status status = jv_table_metal(JV_METAL_COPPER, &copper);
    if (status == JV_OK)
        status = jv_table_metal(metal, &own);
    if (status != JV_OK)
        return status;
    jv_conductor c = {0};
    bool tinned = metal == JV_METAL_TINNED_COPPER;
    bool tin_counted = tinned;
    switch (size->system) {
    case JV_SIZE_AWG:
        status = from_awg(size->gauge, &c), tin_counted = false;
        break;
    case JV_SIZE_SAE:
        status = from_sae(size->gauge, &c), tin_counted = false;
        break;
    case JV_SIZE_MM2:
        status = from_mm2(size->area_mm2, tinned, &c);
        break;
    default:
        status = JV_ERR_RANGE;
        break;
    }
    if (status != JV_OK)
        return status;
    if (c.assumed)
        tin_counted = false;
    if (!tin_counted) {
        c.r20_ohm_per_m *= own.resistivity.value / copper.resistivity.value;
        if (metal != JV_METAL_COPPER)
            c.confidence = jv_confidence_worse(c.confidence, own.resistivity.confidence);
    }
    c.alpha20_per_k = own.alpha.value;
    double area_m2 = c.metal_area_mm2 / mm2_per_m2;
    c.mass_kg_per_m = own.density.value * area_m2 * lay;
    c.heat_j_per_m_k = own.heat_capacity.value * area_m2 * lay;
    c.diameter_m = sqrt(4 * area_m2 / (PI * fill));
    c.melts_c = melting_c(metal);
    *out = c;
    return JV_OK;
}

double jv_resistance_at(double r20, double alpha20_per_k, double temp_c) {
    return r20 * (1 + alpha20_per_k * (temp_c - reference_c));
}

double jv_conductor_resistance(const jv_conductor *c, double length_m, double temp_c) {
    return jv_resistance_at(c->r20_ohm_per_m * length_m, c->alpha20_per_k, temp_c);
}

double jv_temperature_from_resistance(double r1, double t1_c, double r2, double alpha20_per_k) {
    double zero = 1 / alpha20_per_k - reference_c; /* degC below 0 where R would vanish */
    return r2 / r1 * (zero + t1_c) - zero;
}

double jv_run_at_temperature(double run20_m, double alpha20_per_k, double temp_c) {
    return run20_m / jv_resistance_at(1, alpha20_per_k, temp_c);
}

/* Walls in m: a + b d. Fitted to nominal walls of SAE J1128 and J1127 cable, from memory. */
static double wall_m(double bare_m, jv_wall wall) {
    switch (wall) {
    case JV_WALL_THIN:
        return 0.33e-3 + 0.06 * bare_m;
    case JV_WALL_THICK:
        return 0.58e-3 + 0.15 * bare_m;
    case JV_WALL_GENERAL:
    default:
        return 0.44e-3 + 0.12 * bare_m;
    }
}

double jv_cable_diameter_m(const jv_conductor *c, jv_wall wall) {
    return c->diameter_m + 2 * wall_m(c->diameter_m, wall);
}

double jv_cable_mass_kg_per_m(const jv_conductor *c, jv_wall wall) {
    static const double insulation_kg_m3 = 1300; /* between XLPE and filled PVC; from memory */
    double outer = jv_cable_diameter_m(c, wall);
    double ring = PI / 4 * (outer * outer - c->diameter_m * c->diameter_m);
    return c->mass_kg_per_m + insulation_kg_m3 * ring;
}

double jv_area_for_drop_mm2(double current_a, double loop_m, double drop_v, double temp_c,
                            double lay_factor) {
    static const double alpha = 0.00393; /* copper, IEC 60028 */
    if (!(drop_v > 0))
        return INFINITY;
    return jv_resistance_at(iacs_ohm_mm2_m * lay_factor, alpha, temp_c) * fabs(current_a) * loop_m /
           drop_v;
}

double jv_cmil_for_drop_marine(double current_a, double loop_ft, double drop_v) {
    static const double k = 10.75; /* ohm cmil/ft, ABYC E-11 */
    return drop_v > 0 ? k * fabs(current_a) * loop_ft / drop_v : INFINITY;
}

double jv_fault_k(jv_metal metal, double initial_c, double final_c) {
    jv_metal_figures m;
    if (jv_table_metal(metal, &m) != JV_OK)
        return NAN;
    double qc = m.heat_capacity.value * 1e-9; /* J/(K mm3) */
    double rho = m.resistivity.value * 1e3;   /* ohm mm */
    double k = sqrt(qc * (m.beta.value + reference_c) / rho);
    return k * sqrt(log((m.beta.value + final_c) / (m.beta.value + initial_c)));
}

double jv_fault_time_s(double k, double area_mm2, double current_a) {
    return jv_fault_i2t(k, area_mm2) / (current_a * current_a);
}
double jv_fault_area_mm2(double k, double current_a, double time_s) {
    return fabs(current_a) * sqrt(time_s) / k;
}
double jv_fault_i2t(double k, double area_mm2) {
    return k * k * area_mm2 * area_mm2;
}

double jv_icea_current_a(jv_metal metal, double cmil, double time_s, double initial_c,
                         double final_c) {
    /* ICEA P-32-382-2007 */
    bool copper = metal == JV_METAL_COPPER || metal == JV_METAL_TINNED_COPPER;
    double factor = copper ? 0.0297 : 0.0125, zero = copper ? 234 : 228;
    return cmil * sqrt(factor * log10((final_c + zero) / (initial_c + zero)) / time_s);
}

static const double onderdonk = 33;        /* Onderdonk, GE Review 1928 */
static const double onderdonk_zero = 234;  /* degC, same */
static const double onderdonk_melt = 1083; /* degC, copper, same */

static double onderdonk_log(double ambient_c) {
    return log10((onderdonk_melt - ambient_c) / (onderdonk_zero + ambient_c) + 1);
}
double jv_onderdonk_current_a(double cmil, double time_s, double ambient_c) {
    return cmil * sqrt(onderdonk_log(ambient_c) / (onderdonk * time_s));
}
double jv_onderdonk_time_s(double cmil, double current_a, double ambient_c) {
    double density = current_a / cmil;
    return onderdonk_log(ambient_c) / (onderdonk * density * density);
}

double jv_preece_current_a(double diameter_m) {
    static const double copper = 10244; /* A/inch^1.5, Preece 1884-88 */
    return copper * pow(diameter_m / m_per_inch, 1.5);
}

jv_status jv_size_effective_mm2(const jv_size *size, double *out) {
    jv_conductor c;
    jv_status status = jv_conductor_make(size, JV_METAL_COPPER, &c);
    if (status == JV_OK)
        *out = iacs_ohm_mm2_m / c.r20_ohm_per_m;
    return status;
}

jv_status jv_size_up(jv_size_system system, double effective_mm2, jv_size *out) {
    size_t n;
    const jv_size *sizes = jv_table_sizes(system, &n);
    for (size_t i = 0; i < n; i++) {
        double area;
        if (jv_size_effective_mm2(&sizes[i], &area) == JV_OK && area >= effective_mm2) {
            *out = sizes[i];
            return JV_OK;
        }
    }
    return JV_ERR_UNKNOWN;
}

jv_status jv_size_down(jv_size_system system, double effective_mm2, jv_size *out) {
    size_t n;
    const jv_size *sizes = jv_table_sizes(system, &n);
    for (size_t i = n; i-- > 0;) {
        double area;
        if (jv_size_effective_mm2(&sizes[i], &area) == JV_OK && area <= effective_mm2) {
            *out = sizes[i];
            return JV_OK;
        }
    }
    return JV_ERR_UNKNOWN;
}
