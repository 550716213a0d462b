/* fuse_resistance.c - cold resistance of fuses. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* I2t is the typical melting figure, not a clearing limit. */
static const jv_table_column columns[] = {
    {"style", "", 0},
    {"rating", "A", 0},
    {"cold resistance", "mohm", 0},
    {"drop at rating", "mV", 0},
    {"melting I2t", "A2 s", 0},
    {"test cable", "mm2", 0},
    {"note", "", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"mini blade 32 V", "7.5", "10.85", "", "82", "",
      "I2t is typical pre-arcing, not a clearing limit"}, "mini7_note", JV_USABLE},
    {{"mini blade 32 V", "15", "4.58", "", "308", "", "another definition gives 270 A2s"},
     "mini15_note", JV_SOLID},
    {{"mini blade 32 V", "25", "", "", "625"}, "mini25_i2t_note", JV_USABLE},
    {{"mini blade 58 V", "10", "", "", "93", "", "typical melting figure"},
     "mini58_note", JV_USABLE},
    {{"regular blade 32 V", "20", "3.38", "98", "520"}, "blade20_2010", JV_USABLE},
    {{"regular blade 32 V", "40", "1.44", "96", "3300", "6"}, "blade40_note", JV_USABLE},
    {{"regular blade style 58 V", "30", "1.9", "80", "1070", "",
      "here the resistance is a maximum, the drop typical"}, "blade58_2012", JV_USABLE},
    {{"maxi blade 32 V", "30", "1.9", "", "4100"}, "maxi40_note", JV_USABLE},
    {{"maxi blade 32 V", "35", "1.7", "", "6000"}, "maxi40_note", JV_USABLE},
    {{"maxi blade 32 V", "40", "1.4", "75", "8500", "4"}, "maxi40_note", JV_USABLE},
    {{"midi bolt-in 70 V", "30", "", "", "3200"}, "midi70_note", JV_WEAK},
    {{"EV cylindrical 14x38", "80", "1.03", "150", "8020", "",
      "datum for high-current size; not a 12 V part"}, "evfuse80_note", JV_USABLE},
    {{"board-mount high-current", "100", "0.71", "110", "", "",
      "measured on wide heavy copper; holder losses not included"}, "smd100_note", JV_USABLE},
    {{"regular blade", "10", "7.69", "", "", "", "field chart"}, "fuse_drop_training", JV_USABLE},
    {{"mini blade", "15", "4.59", "", "", "", "field chart"}, "fuse_drop_trade2017", JV_SOLID},
    {{"regular blade 32 V", "5", "17.85", "", "26", "", "default only"}, "MEM", JV_WEAK},
    {{"regular blade 32 V", "7.5", "10.91", "", "60", "", "default only"}, "MEM", JV_WEAK},
    {{"regular blade 32 V", "10", "7.7", "", "115", "", "default only"}, "MEM", JV_WEAK},
    {{"regular blade 32 V", "15", "4.8", "", "340", "", "default only"}, "MEM", JV_WEAK},
    {{"regular blade 32 V", "25", "2.52", "", "1080", "", "default only"}, "MEM", JV_WEAK},
    {{"regular blade 32 V", "30", "1.97", "", "1510", "", "default only"}, "MEM", JV_WEAK},
    {{"mini blade 32 V", "10", "7.41", "", "", "", "default only"}, "MEM", JV_WEAK},
    {{"mini blade 32 V", "20", "3.21", "", "", "", "default only"}, "MEM", JV_WEAK},
    {{"mini blade 32 V", "30", "1.85", "", "", "", "default only"}, "MEM", JV_WEAK},
};
/* clang-format on */

const jv_table jv_rows_fuse_resistance = {
    "fuse-resistance",
    "Fuses: cold resistance, drop at rated current, melting I2t",
    columns,
    JV_COUNT(columns),
    rows,
    JV_COUNT(rows)};
