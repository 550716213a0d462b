/* sae.c - SAE J1127 and J1128 conductor areas. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* The printed circular mils reproduce 87 of 89 cells of ABYC E-11 Table IX; the areas
 * that were remembered only are lower still and stand beside them for comparison. */
static const jv_table_column columns[] = {
    {"size", "SAE", 0},
    {"standard", "", 0},
    {"printed area", "cmil", 0},
    {"area from it", "mm2", 0},
    {"J1128 area, from memory", "mm2", JV_WEAK},
    {"typical strands", "n x mm", 0},
    {"typical area", "mm2", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"22", "J1128", "", "", "0.324"}, "MEM-J1128", JV_WEAK},
    {{"20", "J1128", "", "", "0.508", "7 x 0.32", "0.563"}, "MEM-J1128 GXL-DS", JV_WEAK},
    {{"18", "J1128", "1537", "0.7788", "0.76", "16 x 0.254", "0.8107"},
     "SAECM-A GXL-DS MEM-J1128", JV_SOLID},
    {{"16", "J1128", "2336", "1.184", "1.12", "19 x 0.287", "1.229"},
     "SAECM-A GXL-DS MEM-J1128", JV_SOLID},
    {{"14", "J1128", "3702", "1.876", "1.85", "19 x 0.361", "1.945"},
     "SAECM-A GXL-DS MEM-J1128", JV_SOLID},
    {{"12", "J1128", "5833", "2.956", "2.91", "19 x 0.455", "3.089"},
     "SAECM-A GXL-DS MEM-J1128", JV_SOLID},
    {{"10", "J1128", "9343", "4.734", "4.65", "19 x 0.574", "4.917"},
     "SAECM-A GXL-DS MEM-J1128", JV_SOLID},
    {{"8", "J1128", "14810", "7.504", "7.23", "19 x 0.724", "7.822"},
     "SAECM-INF GXL-DS MEM-J1128", JV_SOLID},
    {{"6", "J1127", "24538", "12.43"}, "SAECM-B", JV_SOLID},
    {{"4", "J1127", "37360", "18.93"}, "SAECM-B", JV_SOLID},
    {{"2", "J1127", "62450", "31.64"}, "SAECM-B", JV_SOLID},
    {{"1", "J1127", "77790", "39.42"}, "MEM-ABYC", JV_WEAK},
    {{"1/0", "J1127", "98980", "50.15"}, "SAECM-B", JV_SOLID},
    {{"2/0", "J1127", "125100", "63.39"}, "SAECM-B", JV_SOLID},
    {{"3/0", "J1127", "158600", "80.36"}, "MEM-ABYC", JV_WEAK},
    {{"4/0", "J1127", "205500", "104.1"}, "SAECM-B", JV_SOLID},
};
/* clang-format on */

const jv_table jv_rows_sae = {
    "sae",   "SAE conductors: smallest copper area, less than the AWG size of the same number",
    columns, JV_COUNT(columns),
    rows,    JV_COUNT(rows)};
