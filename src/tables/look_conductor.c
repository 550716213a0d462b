/* look_conductor.c - sizes, metals, insulation, ampacity. SPDX-License-Identifier: MIT */
#include "tables/look.h"

#include "jackvolt/text.h"

#include <math.h>
#include <pthread.h>
#include <string.h>

/* 1 circular mil: the area of a circle of 0.001 in = 25.4 um across, pi/4 (0.0254 mm)^2. */
#define MM2_PER_CMIL 5.0670748e-4

#define G(gauge) \
    { JV_SIZE_AWG, gauge, 0.0 }
static const jv_size awg_sizes[] = {G(22), G(20), G(18), G(16), G(14), G(12), G(10), G(8),
                                    G(6),  G(4),  G(2),  G(1),  G(0),  G(-1), G(-2), G(-3)};
#undef G
#define G(gauge) \
    { JV_SIZE_SAE, gauge, 0.0 }
static const jv_size sae_sizes[] = {G(22), G(20), G(18), G(16), G(14), G(12), G(10), G(8),
                                    G(6),  G(4),  G(2),  G(1),  G(0),  G(-1), G(-2), G(-3)};
#undef G
#define A(area) \
    { JV_SIZE_MM2, 0, area }
static const jv_size mm2_sizes[] = {A(0.35), A(0.5), A(0.75), A(1),  A(1.5), A(2),
                                    A(2.5),  A(3),   A(4),    A(6),  A(10),  A(16),
                                    A(25),   A(35),  A(50),   A(70), A(95),  A(120)};
#undef A

const jv_size *jv_table_sizes(jv_size_system system, size_t *n) {
    switch (system) {
    case JV_SIZE_AWG:
        *n = JV_COUNT(awg_sizes);
        return awg_sizes;
    case JV_SIZE_SAE:
        *n = JV_COUNT(sae_sizes);
        return sae_sizes;
    case JV_SIZE_MM2:
        *n = JV_COUNT(mm2_sizes);
        return mm2_sizes;
    }
    *n = 0;
    return NULL;
}

/* Does a cell such as "6", "2/0" or "2.5" name this size? */
static bool names_size(const char *cell, const jv_size *size) {
    double number;
    const char *end;
    if (!jv_number_read(cell, &number, &end)) {
        return false;
    }
    if (size->system == JV_SIZE_MM2) {
        return *end == '\0' && fabs(number - size->area_mm2) < 1e-9;
    }
    if (strcmp(end, "/0") == 0) {
        return (double)(1 - size->gauge) == number;
    }
    return *end == '\0' && size->gauge > 0 && (double)size->gauge == number;
}

static size_t size_row(const jv_table *t, const jv_size *size) {
    size_t row = 0;
    while (row < t->row_count && !names_size(jv_table_cell(t, row, 0), size)) {
        row++;
    }
    return row;
}

jv_status jv_table_sae_area(int gauge, jv_figure *mm2) {
    const jv_size size = {JV_SIZE_SAE, gauge, 0.0};
    size_t row = size_row(&jv_rows_sae, &size);
    if (jv_look_number(&jv_rows_sae, row, "printed area", MM2_PER_CMIL, mm2) == JV_OK) {
        return JV_OK;
    }
    return jv_look_number(&jv_rows_sae, row, "J1128 area, from memory", 1.0, mm2);
}

jv_status jv_table_metric_resistance(double nominal_mm2, jv_metric_class of_class, bool tinned,
                                     jv_figure *ohm_per_m) {
    const jv_size size = {JV_SIZE_MM2, 0, nominal_mm2};
    const jv_table *t = of_class == JV_METRIC_ISO_6722 ? &jv_rows_iso6722 : &jv_rows_metric;
    const char *column = NULL;
    switch (of_class) { /* mohm/m and ohm/km are the same unit */
    case JV_METRIC_ISO_6722:
        column = tinned ? "tinned" : "bare";
        break;
    case JV_METRIC_IEC_CLASS_2:
        column = tinned ? "class 2 tinned" : "class 2 plain";
        break;
    case JV_METRIC_IEC_CLASS_5:
        column = tinned ? "class 5 tinned" : "class 5 plain";
        break;
    }
    if (!column) {
        return JV_ERR_RANGE;
    }
    return jv_look_number(t, size_row(t, &size), column, 1e-3, ohm_per_m);
}

/* ---- metals ---- */

static const char *const metal_names[] = {"copper", "tinned copper", "copper-clad aluminium",
                                          "aluminium"};
/* Which row stands for each. Tinned: the higher of the two rows that NFPA 70 Table 8 bears
 * out (strands of 0.28 to 0.51 mm, as in road vehicle cable). Copper-clad: the 10 % grade,
 * the higher resistivity. */
static const char *const metal_rows[] = {"copper annealed (IACS)",
                                         "tinned copper strand 0.28-0.51 mm",
                                         "copper-clad aluminium 10A (ASTM B566)",
                                         "aluminium 1350 / EC grade 61 % IACS"};
/* Share of copper by volume, for the heat capacity of a mixed conductor. */
static const double copper_share[] = {1.0, 1.0, 0.10, 0.0};

const char *jv_metal_name(jv_metal metal) {
    return (size_t)metal < JV_COUNT(metal_names) ? metal_names[metal] : "unknown metal";
}

jv_status jv_metal_read(const char *name, jv_metal *out) {
    size_t i = jv_look_name(metal_names, JV_COUNT(metal_names), name);
    if (i == JV_COUNT(metal_names)) {
        return JV_ERR_UNKNOWN;
    }
    *out = (jv_metal)i;
    return JV_OK;
}

/* beta and Qc. A mixed conductor has no printed pair: Qc is mixed by volume, and beta follows
 * from the coefficient at 20 degC (beta = 1/alpha - 20, exact for a linear law). */
static jv_status adiabatic(jv_metal metal, jv_metal_figures *f) {
    const jv_table *t = &jv_rows_adiabatic;
    size_t copper = jv_table_row_find(t, 0, "copper", 0);
    size_t aluminium = jv_table_row_find(t, 0, "aluminium", 0);
    double share = copper_share[metal];
    jv_figure cu;
    jv_figure al;
    const double per_m3 = 1e9; /* J/(mm3 K) to J/(m3 K) */
    if (jv_look_number(t, share > 0.5 ? copper : aluminium, "beta", 1.0, &f->beta) != JV_OK ||
        jv_look_number(t, copper, "Qc", per_m3, &cu) != JV_OK ||
        jv_look_number(t, aluminium, "Qc", per_m3, &al) != JV_OK) {
        return JV_ERR_UNKNOWN;
    }
    f->heat_capacity = share > 0.5 ? cu : al;
    if (metal == JV_METAL_COPPER_CLAD_ALUMINIUM) {
        f->beta.value = 1.0 / f->alpha.value - 20.0;
        f->beta.confidence = jv_confidence_worse(f->alpha.confidence, JV_USABLE);
        f->beta.note = "from the coefficient at 20 degC";
        f->heat_capacity.value = share * cu.value + (1.0 - share) * al.value;
        f->heat_capacity.confidence = JV_USABLE;
        f->heat_capacity.note = "mixed by volume, 10 % copper";
    }
    return JV_OK;
}

static jv_status look_metal(jv_metal metal, jv_metal_figures *out) {
    const jv_table *t = &jv_rows_metals;
    size_t row = jv_table_row_find(t, 0, metal_rows[metal], 0);
    jv_metal_figures f;
    if (jv_look_number(t, row, "resistivity 20 degC", 1.0, &f.resistivity) != JV_OK ||
        jv_look_number(t, row, "coefficient 20 degC", 1.0, &f.alpha) != JV_OK ||
        jv_look_number(t, row, "density", 1e3, &f.density) != JV_OK) {
        return JV_ERR_UNKNOWN;
    }
    if (metal == JV_METAL_COPPER_CLAD_ALUMINIUM) {
        f.alpha.confidence = JV_WEAK;
        f.alpha.note = "coefficient from memory";
    }
    if (metal == JV_METAL_ALUMINIUM) {
        f.density.confidence = JV_WEAK;
        f.density.note = "density from memory";
    }
    jv_status status = adiabatic(metal, &f);
    if (status == JV_OK) {
        *out = f;
    }
    return status;
}

/* Every cable asks for its metal at every loading, so the rows are read once. */
static struct {
    jv_status status[JV_COUNT(metal_rows)];
    jv_metal_figures figures[JV_COUNT(metal_rows)];
} kept;

static void look_all_up(void) {
    for (size_t i = 0; i < JV_COUNT(metal_rows); i++) {
        kept.status[i] = look_metal((jv_metal)i, &kept.figures[i]);
    }
}

jv_status jv_table_metal(jv_metal metal, jv_metal_figures *out) {
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    if ((size_t)metal >= JV_COUNT(metal_rows)) {
        return JV_ERR_RANGE;
    }
    pthread_once(&once, look_all_up);
    if (kept.status[metal] == JV_OK) {
        *out = kept.figures[metal];
    }
    return kept.status[metal];
}

/* ---- insulation ---- */

/* Is `name` the type of this cell: one of its names parted by " / ", with or without
 * something behind a space or a dash ("FLRY-A", "GPT (second text)")? */
static bool is_type(const char *cell, const char *name) {
    size_t length = strlen(name);
    if (length == 0) {
        return false;
    }
    while (cell) {
        char head[64];
        if (strlen(cell) >= length && length < sizeof head) {
            memcpy(head, cell, length);
            head[length] = '\0';
            if (jv_look_same(head, name) && strchr(" -", cell[length])) {
                return true; /* strchr finds the end of the text too */
            }
        }
        cell = strstr(cell, " / ");
        cell = cell ? cell + 3 : NULL;
    }
    return false;
}

jv_status jv_table_insulation(const char *name, jv_figure *max_degC) {
    const jv_table *t = &jv_rows_insulation;
    jv_figure best = {0};
    bool found = false;
    bool differ = false;
    for (size_t row = 0; row < t->row_count; row++) {
        jv_figure f;
        if (!is_type(jv_table_cell(t, row, 0), name) ||
            jv_look_number(t, row, "highest continuous", 1.0, &f) != JV_OK) {
            continue;
        }
        differ = differ || (found && f.value != best.value);
        if (!found || f.value < best.value) {
            best = f;
        }
        found = true;
    }
    if (!found) {
        return JV_ERR_UNKNOWN;
    }
    if (differ) {
        best.note = "texts differ; the lower temperature is taken";
    }
    *max_degC = best;
    return JV_OK;
}

static double coolest_limit = INFINITY;

static void look_coolest_up(void) {
    const jv_table *t = &jv_rows_insulation;
    for (size_t row = 0; row < t->row_count; row++) {
        jv_figure f;
        if (jv_look_number(t, row, "highest continuous", 1.0, &f) == JV_OK) {
            coolest_limit = fmin(coolest_limit, f.value);
        }
    }
}

double jv_table_insulation_coolest(void) {
    static pthread_once_t once = PTHREAD_ONCE_INIT;
    pthread_once(&once, look_coolest_up);
    return coolest_limit;
}

const char *jv_table_insulation_name(size_t i) {
    const jv_table *t = &jv_rows_insulation;
    for (size_t row = 0; row < t->row_count; row++) {
        const char *name = jv_table_cell(t, row, 0);
        if (strstr(name, "(second text)")) {
            continue;
        }
        if (i == 0) {
            return name;
        }
        i--;
    }
    return NULL;
}
