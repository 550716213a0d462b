/* fuse_derating.c - ambient derating of fuses and holders. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

static const jv_table_column columns[] = {
    {"item", "", 0},     {"style", "", 0}, {"rating", "A", 0}, {"ambient", "degC", 0},
    {"allowed", "A", 0}, {"share", "", 0}, {"note", "", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"fuse", "maxi blade 32 V", "40", "-40", "40", "1.0"}, "maxi40_note", JV_USABLE},
    {{"fuse", "maxi blade 32 V", "40", "20", "40", "1.0"}, "maxi40_note", JV_USABLE},
    {{"fuse", "maxi blade 32 V", "40", "65", "34", "0.85"}, "maxi40_note", JV_USABLE},
    {{"fuse", "maxi blade 32 V", "40", "85", "30", "0.75"}, "maxi40_note", JV_USABLE},
    {{"fuse", "maxi blade 32 V", "40", "110", "25", "0.625"}, "maxi40_note", JV_USABLE},
    {{"fuse", "maxi blade 32 V", "40", "125", "22", "0.55"}, "maxi40_note", JV_USABLE},
    {{"fuse", "mini blade 32 V", "5", "40", "4.0", "0.8", "20 % margin already inside"},
     "mini7_note", JV_USABLE},
    {{"fuse", "mini blade 32 V", "7.5", "40", "6.0", "0.8", "20 % margin already inside"},
     "mini7_note", JV_USABLE},
    {{"fuse", "mini blade 32 V", "7.5", "60", "5.5", "0.733", "20 % margin already inside"},
     "mini7_note", JV_USABLE},
    {{"fuse", "mini blade 32 V", "7.5", "80", "5.1", "0.68", "20 % margin already inside"},
     "mini7_note", JV_USABLE},
    {{"fuse", "mini blade 32 V", "15", "20", "13", "0.867"}, "mini15_note", JV_USABLE},
    {{"fuse", "mini blade 32 V", "15", "100", "9", "0.6"}, "mini15_note", JV_USABLE},
    {{"fuse", "mini blade 58 V", "10", "0", "9.8", "0.98"}, "mini58_note", JV_USABLE},
    {{"fuse", "mini blade 58 V", "10", "80", "7.3", "0.73"}, "mini58_note", JV_USABLE},
    {{"fuse", "mini blade 58 V", "15", "80", "11", "0.733"}, "mini58_note", JV_USABLE},
    {{"fuse", "regular blade style 58 V", "30", "23", "22.5", "0.75", "largest lasting current"},
     "blade58_2012", JV_USABLE},
    {{"fuse", "any small fuse", "", "25", "", "0.75",
      "normal operating current not above 75 % of rating"}, "edn1996 fuseology_guide", JV_SOLID},
    {{"fuse", "distribution fuses", "", "25", "", "1.1",
      "open air 25 C; 100 % in an enclosure at 40 C"}, "derating_curve_guide", JV_USABLE},
    {{"fuse", "space grade cermet fuse", "", "", "", "0.65", "upper bound for blade fuses"},
     "ecss_note", JV_USABLE},
    {{"holder", "mini board holder", "30", "", "", "",
      "catalogue rating of the holder, not the fuse"}, "mini7_note", JV_USABLE},
    {{"holder", "regular in-line holder standard", "20"}, "maxi40_note", JV_USABLE},
    {{"holder", "regular in-line holder heavy duty", "30", "", "", "",
      "12 AWG leads; none for a 40 A blade"}, "maxi40_note", JV_USABLE},
    {{"holder", "maxi in-line holder", "60", "80", "45", "0.75",
      "45 A continuous, 60 A maximum, 6 AWG leads, 80 C maximum"}, "maxi40_note", JV_USABLE},
};
/* clang-format on */

const jv_table jv_rows_fuse_derating = {"fuse-derating",
                                        "Fuses and holders: what the ambient leaves of the rating",
                                        columns,
                                        JV_COUNT(columns),
                                        rows,
                                        JV_COUNT(rows)};
