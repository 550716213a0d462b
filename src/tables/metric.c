/* metric.c - IEC 60228 largest resistances. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* A nominal size is defined by its largest resistance: its copper may be up to 14 % less
 * than the name says, so areas must not be put into a drop formula. */
static const jv_table_column columns[] = {
    {"nominal area", "mm2", 0},      {"class 2 plain", "ohm/km", 0},
    {"class 2 tinned", "ohm/km", 0}, {"class 5 plain", "ohm/km", 0},
    {"class 5 tinned", "ohm/km", 0}, {"class 6 plain", "ohm/km", 0},
    {"class 6 tinned", "ohm/km", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"0.5", "36.0", "36.7", "39.0", "40.1", "39.0", "40.1"}, "IEC60228-A IEC60228-B", JV_SOLID},
    {{"0.75", "24.5", "24.8", "26.0", "26.7", "26.0", "26.7"}, "IEC60228-A IEC60228-B", JV_SOLID},
    {{"1", "18.1", "18.2", "19.5", "20.0", "19.5", "20.0"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"1.5", "12.1", "12.2", "13.3", "13.7", "13.3", "13.7"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"2.5", "7.41", "7.56", "7.98", "8.21", "7.98", "8.21"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"4", "4.61", "4.7", "4.95", "5.09", "4.95", "5.09"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"6", "3.08", "3.11", "3.3", "3.39", "3.3", "3.39"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"10", "1.83", "1.84", "1.91", "1.95", "1.91", "1.95"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"16", "1.15", "1.16", "1.21", "1.24", "1.21", "1.24"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"25", "0.727", "0.734", "0.78", "0.795", "0.78", "0.795"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"35", "0.524", "0.529", "0.554", "0.565", "0.554", "0.565"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"50", "0.387", "0.391", "0.386", "0.393", "0.386", "0.393"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"70", "0.268", "0.27", "0.272", "0.277", "0.272", "0.277"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"95", "0.193", "0.195", "0.206", "0.21", "0.206", "0.21"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
    {{"120", "0.153", "0.154", "0.161", "0.164", "0.161", "0.164"},
     "IEC60228-A IEC60228-B IEC60228-C", JV_SOLID},
};
/* clang-format on */

const jv_table jv_rows_metric = {"metric", "IEC 60228 conductors: largest resistance at 20 degC",
                                 columns,  JV_COUNT(columns),
                                 rows,     JV_COUNT(rows)};
