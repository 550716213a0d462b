/* fuse_rules.c - rules of thumb for fuses without a sheet. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* Products of the cold resistance and rating of the sheets read: regular 20 A 67.6 mV and 40 A
 * 57.6, maxi 57.0, 59.5 and 56.0, mini 15 A 68.7 and 7.5 A 81.4. Hot over cold: 1.34 (maxi 40),
 * 1.40 (58 V 30), 1.45 (regular 20), 1.67 (regular 40). */
static const jv_table_column columns[] = {
    {"rule", "", 0}, {"low", "", 0}, {"typical", "", 0}, {"high", "", 0}, {"unit", "", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"cold resistance x rating, blade and maxi 15-40 A", "56", "60", "69", "mV"},
     "DER blade20_2010 blade40_note maxi40_note mini15_note", JV_USABLE},
    {{"cold resistance x rating, mini below 15 A", "74", "78", "81", "mV"},
     "DER mini7_note MEM", JV_WEAK},
    {{"cold resistance x rating, maxi 50-80 A", "56", "57", "60", "mV"},
     "DER maxi40_note", JV_WEAK},
    {{"cold resistance x rating, bolt-in strip", "60", "70", "82", "mV"},
     "DER smd100_note evfuse80_note", JV_WEAK},
    {{"resistance at rated current / cold", "1.3", "1.5", "1.7", "ratio"},
     "DER blade20_2010 blade40_note blade58_2012 maxi40_note", JV_USABLE},
    {{"lasting current / rating at 25 degC", "", "0.75", "", "ratio"},
     "edn1996 fuseology_guide", JV_SOLID},
};
/* clang-format on */

const jv_table jv_rows_fuse_rules = {
    "fuse-rules", "Fuses: rules drawn from the rows of the other fuse tables",
    columns,      JV_COUNT(columns),
    rows,         JV_COUNT(rows)};
