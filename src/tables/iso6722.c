/* iso6722.c - ISO 6722 largest resistances. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* Bare values of 10 mm2 and of 25 mm2 and more, and all tinned values, are from memory. */
static const jv_table_column columns[] = {
    {"nominal area", "mm2", 0},
    {"bare", "mohm/m", 0},
    {"tinned", "mohm/m", JV_WEAK},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"0.35", "54.4", "55.5"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"0.5", "37.1", "38.2"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"0.75", "24.7", "25.4"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"1", "18.5", "19.1"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"1.5", "12.7", "13.0"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"2", "9.42", "9.69"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"2.5", "7.6", "7.82"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"3", "6.15", "6.36"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"4", "4.71", "4.85"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"6", "3.14", "3.23"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"10", "1.82", "1.85"}, "MEM-ISO", JV_WEAK},
    {{"16", "1.16", "1.18"}, "ISO6722-T MEM-ISO", JV_SOLID},
    {{"25", "0.743", "0.757"}, "MEM-ISO", JV_WEAK},
    {{"35", "0.527", "0.538"}, "MEM-ISO", JV_WEAK},
    {{"50", "0.368", "0.375"}, "MEM-ISO", JV_WEAK},
    {{"70", "0.259", "0.264"}, "MEM-ISO", JV_WEAK},
    {{"95", "0.196", "0.2"}, "MEM-ISO", JV_WEAK},
    {{"120", "0.153", "0.156"}, "MEM-ISO", JV_WEAK},
};
/* clang-format on */

const jv_table jv_rows_iso6722 = {
    "iso6722", "ISO 6722 road vehicle conductors: largest resistance at 20 degC",
    columns,   JV_COUNT(columns),
    rows,      JV_COUNT(rows)};
