/* adiabatic.c - constants of adiabatic heating. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* K = sqrt(Qc (beta + 20) / rho20), IEC 60364-5-54 Annex A and IEC 60949. */
static const jv_table_column columns[] = {
    {"metal", "", 0},
    {"beta", "degC", 0},
    {"Qc", "J/(mm3 K)", 0},
    {"resistivity 20 degC", "ohm mm", 0},
    {"K printed", "A s^0.5/mm2", 0},
    {"K computed", "A s^0.5/mm2", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"copper", "234.5", "0.00345", "1.7241e-05", "226", "225.7"}, "K-IEC", JV_SOLID},
    {{"aluminium", "228", "0.0025", "2.8264e-05", "148", "148.1"}, "K-IEC", JV_SOLID},
    {{"lead", "230", "0.00145", "0.000214", "41", "41.16"}, "K-IEC", JV_SOLID},
    {{"steel", "202", "0.0038", "0.000138", "78", "78.19"}, "K-IEC", JV_SOLID},
};
/* clang-format on */

const jv_table jv_rows_adiabatic = {"adiabatic", "Adiabatic constants of IEC 60364-5-54",
                                    columns,     JV_COUNT(columns),
                                    rows,        JV_COUNT(rows)};
