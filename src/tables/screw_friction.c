/* screw_friction.c - coefficients of friction. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

static const jv_table_column columns[] = {
    {"pair", "", 0},      {"moving", "", 0}, {"fixed", "", 0},
    {"condition", "", 0}, {"low", "", 0},    {"high", "", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"thread", "steel", "steel", "dry", "0.15", "0.25"}, "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "steel", "bronze", "dry", "0.15", "0.23"}, "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "steel", "brass", "dry", "0.15", "0.19"}, "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "steel", "cast iron", "dry", "0.15", "0.25"}, "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "steel", "steel", "machine oil", "0.11", "0.17"}, "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "steel", "bronze", "machine oil", "0.10", "0.16"}, "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "steel", "brass", "machine oil", "0.10", "0.15"}, "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "steel", "cast iron", "machine oil", "0.11", "0.17"}, "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "bronze", "steel", "not stated in table", "0.08", "0.12"}, "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "bronze", "bronze", "not stated in table", "0.04", "0.06"},
     "SHIGLEY-8-5", JV_SOLID},
    {{"thread", "bronze", "cast iron", "not stated in table", "0.06", "0.09"},
     "SHIGLEY-8-5", JV_SOLID},
    {{"thrust collar, running", "soft steel", "cast iron", "", "0.12", "0.12"},
     "SHIGLEY-8-6", JV_SOLID},
    {{"thrust collar, starting", "soft steel", "cast iron", "", "0.17", "0.17"},
     "SHIGLEY-8-6", JV_SOLID},
    {{"thrust collar, running", "hard steel", "cast iron", "", "0.09", "0.09"},
     "SHIGLEY-8-6", JV_SOLID},
    {{"thrust collar, starting", "hard steel", "cast iron", "", "0.15", "0.15"},
     "SHIGLEY-8-6", JV_SOLID},
    {{"thrust collar, running", "soft steel", "bronze", "", "0.08", "0.08"},
     "SHIGLEY-8-6", JV_SOLID},
    {{"thrust collar, starting", "soft steel", "bronze", "", "0.10", "0.10"},
     "SHIGLEY-8-6", JV_SOLID},
    {{"thrust collar, running", "hard steel", "bronze", "", "0.06", "0.06"},
     "SHIGLEY-8-6", JV_SOLID},
    {{"thrust collar, starting", "hard steel", "bronze", "", "0.08", "0.08"},
     "SHIGLEY-8-6", JV_SOLID},
    {{"worm gear mesh", "hardened steel worm", "bronze wheel", "lubricated", "0.02", "0.06"},
     "MEAD", JV_USABLE},
    {{"thread (lead screw)", "steel", "bronze or polymer", "", "0.15", "0.20"},
     "UNSEEL", JV_USABLE},
    {{"thread", "steel", "acetal or filled polymer", "dry", "0.08", "0.15"}, "MEM", JV_WEAK},
    {{"thread", "steel", "steel or bronze", "greased, clean", "0.10", "0.15"}, "MEM", JV_WEAK},
    {{"thread", "steel", "steel or bronze", "old grease, grit, light rust", "0.18", "0.30"},
     "MEM", JV_WEAK},
    {{"thrust bearing (ball), referred to mean ball radius", "steel", "steel", "greased", "0.002",
      "0.005"}, "MEM", JV_WEAK},
    {{"telescoping tube side rub", "steel", "steel", "dry painted or plated", "0.15", "0.40"},
     "MEM", JV_WEAK},
};
/* clang-format on */

const jv_table jv_rows_screw_friction = {"screw-friction",
                                         "Friction of screw threads, collars and guides",
                                         columns,
                                         JV_COUNT(columns),
                                         rows,
                                         JV_COUNT(rows)};
