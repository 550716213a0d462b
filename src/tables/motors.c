/* motors.c - motor examples. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* R = V / stall current, kt = stall torque / (stall - no-load current). */
static const jv_table_column columns[] = {
    {"id", "", 0},
    {"kind", "", 0},
    {"rated", "V", 0},
    {"no-load", "rev/min", 0},
    {"no-load current", "A", 0},
    {"stall current", "A", 0},
    {"stall torque", "N m", 0},
    {"R", "ohm", 0},
    {"kt", "N m/A", 0},
    {"ke", "V s/rad", 0},
    {"friction", "N m", 0},
    {"note", "", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"PM12-A", "open frame 64 mm class, about 340 W peak", "12", "5310", "2.7", "133", "2.42",
      "0.0902", "0.01857", "0.02114", "0.05708", "R, kt, ke derived; size class from memory"},
     "WPILIB", JV_SOLID},
    {{"PM12-B", "64 mm class, shorter stack", "12", "5840", "3", "89", "1.41", "0.1348",
      "0.01640", "0.01896", "0.05688", "R, kt, ke derived; size class from memory"},
     "WPILIB", JV_SOLID},
    {{"PM12-C", "40 mm class", "12", "13180", "1.8", "53", "0.43", "0.2264", "0.00840", "0.00840",
      "0.01512", "R, kt, ke derived; size class from memory"}, "WPILIB", JV_SOLID},
    {{"PM12-D", "45 mm class, fan cooled, high speed", "12", "18730", "0.7", "134", "0.71",
      "0.0896", "0.00533", "0.00609", "0.00426", "R, kt, ke derived; size class from memory"},
     "WPILIB", JV_SOLID},
    {{"PM12-E", "45 mm class, low speed wind", "12", "5800", "1.6", "18", "0.28", "0.6667",
      "0.01707", "0.01800", "0.02880", "R, kt, ke derived; size class from memory"},
     "WPILIB", JV_SOLID},
    {{"PM12-F", "45 mm class, high speed wind", "12", "13050", "2.7", "97", "0.72", "0.1237",
      "0.00764", "0.00854", "0.02305", "R, kt, ke derived; size class from memory"},
     "WPILIB", JV_SOLID},
    {{"PM12-G", "37 mm class", "12", "14270", "3.7", "71", "0.36", "0.1690", "0.00535", "0.00761",
      "0.02816", "R, kt, ke derived; size class from memory"}, "WPILIB", JV_SOLID},
    {{"PM12-H", "38 mm class", "12", "19000", "0.4", "84", "0.38", "0.1429", "0.00455", "0.00600",
      "0.00240", "R, kt, ke derived; size class from memory"}, "WPILIB", JV_SOLID},
    {{"PM12-I", "30 mm class small motor, 8.5 W", "12", "7200", "0.19", "6.031", "0.0910057",
      "1.9897", "0.01558", "0.01541", "0.00293", "a bench measurement gave about 2.9 ohm"},
     "MOTOR-UB", JV_USABLE},
    {{"PM12-K", "12 V 26 W", "12", "", "", "20.0", "0.382", "0.6", "0.0191", "0.0191", "",
      "stall derived; not fully consistent"}, "MOTOR-EE", JV_USABLE},
    {{"PM24-L", "24 V 121 W", "24", "", "", "55.8", "4.465", "0.43", "0.08", "0.08", "",
      "stall derived; not fully consistent"}, "MOTOR-EE", JV_USABLE},
    {{"PM48-M", "48 V 192 W", "48", "", "", "68.6", "9.689", "0.7", "0.1413", "0.1413", "",
      "stall derived; not fully consistent"}, "MOTOR-EE", JV_USABLE},
    {{"GM-N", "geared PM motor, spur", "", "600", "", "", "0.325", "", "", "", "",
      "only no-load speed and stall torque given"}, "MOTOR-MIT", JV_USABLE},
    {{"GM-O", "PM motor, direct", "", "3750", "", "", "0.0722", "", "", "", "",
      "only no-load speed and stall torque given"}, "MOTOR-MIT", JV_USABLE},
    {{"GM-P", "worm gearmotor", "", "92", "", "", "1.6", "", "", "", "",
      "only no-load speed and stall torque given"}, "MOTOR-MIT", JV_USABLE},
};
/* clang-format on */

const jv_table jv_rows_motors = {
    "motors", "Permanent-magnet motors: published points, and R, kt, ke from them",
    columns,  JV_COUNT(columns),
    rows,     JV_COUNT(rows)};
