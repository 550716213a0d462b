/* breakers.c - breaker types. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* The calibration table of SAE J553 was not found: its points are from memory. */
static const jv_table_column columns[] = {
    {"standard", "", 0},  {"type", "", 0},     {"property", "", 0}, {"current", "% of rating", 0},
    {"shortest", "s", 0}, {"longest", "s", 0}, {"value", "", 0},    {"unit", "", 0},
    {"note", "", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"SAE J553 (2022)", "I automatic reset", "behaviour", "", "", "",
      "re-closes by itself, cycles while the fault lasts", "",
      "needs a second device; cycling looks like a bad joint"}, "j553_2022_summary", JV_USABLE},
    {{"SAE J553 (2022)", "II modified reset", "behaviour", "", "", "",
      "stays open while the supply lasts", "", "can cycle a few times at first"},
     "j553_2022_summary", JV_USABLE},
    {{"SAE J553 (2022)", "III manual reset", "behaviour", "", "", "",
      "stays open until reset by hand; trip-free", "",
      "holding the button cannot keep it closed on a fault"}, "j553_2022_summary", JV_USABLE},
    {{"SAE J553 trade description", "II modified reset", "mechanism", "", "", "",
      "internal resistor keeps the bimetal hot", "",
      "reset = switch the circuit or the feed off"}, "breaker_trade", JV_USABLE},
    {{"SAE J553 MAY96", "all", "upper rating", "", "", "", "50", "A", "12 V and 24 V"},
     "j553_1996", JV_SOLID},
    {{"SAE J553 JUL2016", "all", "upper rating", "", "", "", "200", "A",
      "absorbed SAE J1625 (heavy duty 50-200 A)"}, "j553_2016", JV_SOLID},
    {{"SAE J553 (2022)", "all", "system voltages", "", "", "", "12; 24; 48", "V"},
     "j553_2022_summary", JV_USABLE},
    {{"SAE J553 (2022)", "all", "test battery 0-50 A at 12 V", "", "", "",
      "575-750 CCA; 14.0 +/- 0.5 V open circuit; 30 A max charge"}, "j553_2022_summary", JV_USABLE},
    {{"SAE J553", "all", "test ambient", "", "", "", "23 +/- 3 C; 45-75 % RH", "",
      "its figures were not readable"}, "j553_note_2009", JV_USABLE},
    {{"SAE J553", "all", "carry", "100", "3600", "", "", "", "verify before use"}, "MEM", JV_WEAK},
    {{"SAE J553", "all", "must open", "135", "", "3600", "", "", "verify before use"},
     "MEM", JV_WEAK},
    {{"SAE J553", "all", "must open", "200", "", "120", "", "",
      "verify before use; some typical sheets are much faster"}, "MEM", JV_WEAK},
    {{"none (seller graph)", "III manual reset", "continuous carry", "70", "", "",
      "carries continuously", "", "one seller; disagrees with the 100 % carry of J553"},
     "breaker_seller_au", JV_WEAK},
    {{"none (seller graph)", "III manual reset", "opens", "100", "", "100"},
     "breaker_seller_au", JV_WEAK},
    {{"none (seller graph)", "III manual reset", "opens", "200", "", "5"},
     "breaker_seller_au", JV_WEAK},
    {{"none (seller graph)", "III manual reset", "short circuit", "", "", "0.2"},
     "breaker_seller_au", JV_WEAK},
    {{"AC building breakers (IEC 60898 style)", "thermal-magnetic", "must not trip", "113",
      "7200", "", "", "", "2 h as posted; from memory IEC 60898 uses 1 h up to 63 A"},
     "piclist_2015", JV_WEAK},
    {{"AC building breakers (IEC 60898 style)", "thermal-magnetic", "must trip", "145", "",
      "7200", "", "", "not a 12 V device"}, "piclist_2015", JV_WEAK},
    {{"33 CFR 183.455(a)", "III only", "permitted type", "", "", "",
      "manually reset and trip-free breaker or a fuse", "", "automatic reset does not meet it"},
     "cfr183_455", JV_SOLID},
    {{"ABYC E-11.10", "III only", "permitted type", "", "", "", "breakers must be trip-free", "",
      "self-resetting only inside a motor"}, "abyc_summary", JV_USABLE},
    {{"UL 1500", "marine", "scope", "", "", "", "ignition protection test for marine products",
      "", "UL 1500 is not a trip-curve standard"}, "MEM", JV_WEAK},
    {{"SAE J1428", "marine", "pointer", "", "", "", "marine circuit breakers", "",
      "text not seen"}, "j553_1996", JV_SOLID},
};
/* clang-format on */

const jv_table jv_rows_breakers = {
    "breakers", "Circuit breakers: types, reset, carry and opening points",
    columns,    JV_COUNT(columns),
    rows,       JV_COUNT(rows)};
