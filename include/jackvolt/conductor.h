/* conductor.h - what a wire is made of and how it resists. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CONDUCTOR_H
#define JACKVOLT_CONDUCTOR_H

#include "jackvolt/quantity.h"
#include "jackvolt/status.h"
#include "jackvolt/tables.h"

#include <stdbool.h>

/* Equation numbers (C1) .. refer to docs/theory.md. Lengths in m, areas in mm2
 * where the name says so, resistances in ohm, temperatures in degC. Copper means
 * annealed copper of 100 % IACS: 17.241 ohm mm2/km at 20 degC. */

/* (C1) d = 0.127 mm 92^((36 - n)/39); n = 0, -1, -2, -3 for 1/0 .. 4/0. ASTM B258. */
double jv_awg_diameter_m(int gauge);
/* (C2) A = pi d^2 / 4, in mm2. */
double jv_awg_area_mm2(int gauge);
/* (C3) 1 circular mil = pi/4 (0.0254 mm)^2 = 5.0670748e-4 mm2. */
double jv_mm2_from_cmil(double cmil);
double jv_cmil_from_mm2(double area_mm2);

/* One kind of wire, ready to be asked. Plain data, no ownership. */
typedef struct jv_conductor {
    double metal_area_mm2;    /* metal in the section; metric: what r20 amounts to in copper */
    double r20_ohm_per_m;     /* at 20 degC, stranded */
    double alpha20_per_k;     /* temperature coefficient referred to 20 degC */
    double mass_kg_per_m;     /* metal alone */
    double heat_j_per_m_k;    /* heat capacity of the metal */
    double diameter_m;        /* over the bare strand, estimated with the fill of a bunch */
    double melts_c;           /* melting point of the metal */
    const char *basis;        /* static text: where r20 comes from */
    const jv_source *source;  /* of r20; NULL = computed by formula (ASTM B258, B3, B8) */
    bool assumed;             /* true: no table row for this size, computed from its area */
    jv_confidence confidence; /* of the row that r20 rests on */
} jv_conductor;

/* A wire of a size and metal. (C4) AWG: rho / (pi d^2 / 4) with the 2 % lay allowance of
 * ASTM B8; SAE size: rho / (least area of its table), same allowance left out, since the
 * table area is the sum over the strands laid up; mm2: the largest resistance that the
 * standard allows the class (ISO 6722 first, then IEC 60228 class 5, then class 2; a limit
 * that was read before one from memory), never interpolated: an area without a row is rho / area
 * with the allowance, and `assumed`. Other metals scale the copper figure with the ratio of
 * resistivities. JV_ERR_RANGE: gauge outside 40 .. 4/0 or area outside 0.05 .. 1000 mm2;
 * JV_ERR_UNKNOWN: no SAE size of that number. */
jv_status jv_conductor_make(const jv_size *size, jv_metal metal, jv_conductor *out);

/* (C5) R(T) = r20 l (1 + alpha20 (T - 20)). length_m >= 0, temp_c any. */
double jv_conductor_resistance(const jv_conductor *c, double length_m, double temp_c);
/* The same for a bare number: r at temp_c from r20. */
double jv_resistance_at(double r20, double alpha20_per_k, double temp_c);
/* (C6) temperature at which a resistance known at t1_c has become r2 (metal of copper kind:
 * T2 = (r2/r1)(T0 + T1) - T0 with T0 = 1/alpha20 - 20). */
double jv_temperature_from_resistance(double r1, double t1_c, double r2, double alpha20_per_k);
/* (C7) longest run at temp_c for a run of run20_m allowed at 20 degC, copper: 254.5/(234.5 + T). */
double jv_run_at_temperature(double run20_m, double alpha20_per_k, double temp_c);

/* How thick the insulation is: an estimate that only heat and mass use. */
typedef enum jv_wall { JV_WALL_THIN, JV_WALL_GENERAL, JV_WALL_THICK } jv_wall;
/* Overall diameter and mass with insulation. (C8) wall = a + b d, fitted to the nominal
 * walls of thin, general and thick automotive cable; from memory, so it may size and warn
 * but never fail anything. */
double jv_cable_diameter_m(const jv_conductor *c, jv_wall wall);
double jv_cable_mass_kg_per_m(const jv_conductor *c, jv_wall wall);

/* Least copper for a drop. (C9) A = rho(T) I L / dV in mm2, loop_m counts all conductor, out
 * and back. lay: 1 for areas that already count the strands, 1.02 for AWG areas.
 * Returns infinity when drop_v <= 0. */
double jv_area_for_drop_mm2(double current_a, double loop_m, double drop_v, double temp_c,
                            double lay);
/* (C10) ABYC E-11: CM = 10.75 I L / E in cmil with L in ft and E in V. */
double jv_cmil_for_drop_marine(double current_a, double loop_ft, double drop_v);

/* Short-time limits, all heat kept in the metal.
 * (C11) k = K sqrt(ln((b + Tf)/(b + Ti))), A s^0.5/mm2; IEC 60364-5-54 Annex A. */
double jv_fault_k(jv_metal metal, double initial_c, double final_c);
/* (C12) I^2 t = k^2 S^2. */
double jv_fault_time_s(double k, double area_mm2, double current_a); /* longest time */
double jv_fault_area_mm2(double k, double current_a, double time_s); /* least area */
double jv_fault_i2t(double k, double area_mm2);                      /* A2s that it stands */
/* (C13) ICEA P-32-382, copper: (I/A)^2 t = 0.0297 log10((T2+234)/(T1+234)), A in cmil;
 * aluminium 0.0125 and 228. Returns the current, A. */
double jv_icea_current_a(jv_metal metal, double cmil, double time_s, double initial_c,
                         double final_c);
/* (C14) Onderdonk, copper melting at 1083 degC: 33 (I/A)^2 t = log10((Tm-Ta)/(234+Ta) + 1).
 * Good to a few seconds. */
double jv_onderdonk_current_a(double cmil, double time_s, double ambient_c);
double jv_onderdonk_time_s(double cmil, double current_a, double ambient_c);
/* (C15) Preece, copper in free air, steady: I = 10244 d^1.5 with d in inches. */
double jv_preece_current_a(double diameter_m);

/* Effective copper area of a size: 17.241e-3 / r20 (mm2), the measure by which sizes of
 * different systems compare. JV_ERR_* as jv_conductor_make. Sizes sold: jv_table_sizes. */
jv_status jv_size_effective_mm2(const jv_size *size, double *out);
/* Nearest sold size with at least / at most that effective copper area.
 * JV_ERR_UNKNOWN when there is none. */
jv_status jv_size_up(jv_size_system system, double effective_mm2, jv_size *out);
jv_status jv_size_down(jv_size_system system, double effective_mm2, jv_size *out);

#endif
