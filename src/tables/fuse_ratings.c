/* fuse_ratings.c - fuse ratings to choose from. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* The ends of each range stand in the document named; the steps between them are trade knowledge
 * from memory, so a missing step is no fault. */
static const jv_table_column columns[] = {
    {"style", "", 0},
    {"ratings", "A", 0},
    {"range", "A", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"blade C", "3 5 7.5 10 15 20 25 30 35 40", "3-40"}, "MEM blade20_2010", JV_WEAK},
    {{"blade E", "20 25 30 35 40 50 60 70 80", "20-80"}, "MEM maxi40_note", JV_WEAK},
    {{"blade F", "2 3 5 7.5 10 15 20 25 30", "2-30"}, "MEM sae_j2077_scope", JV_WEAK},
    {{"bolt-in strip", "30 40 50 60 70 80 100 125 150 175 200 225 250 300 350 400 450 500",
      "30-500"}, "MEM iso8820_5_scope", JV_WEAK},
    {{"glass", "1 2 3 5 7.5 10 15 20 25 30", "1-30"}, "MEM sae_j554_scope", JV_WEAK},
};
/* clang-format on */

const jv_table jv_rows_fuse_ratings = {"fuse-ratings", "Fuse ratings sold, by style",
                                       columns,        JV_COUNT(columns),
                                       rows,           JV_COUNT(rows)};
