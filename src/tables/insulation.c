/* insulation.c - temperature ratings of cable insulation. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* Where two texts differ both rows stay ("second text"); lookups take the lower. */
static const jv_table_column columns[] = {
    {"type", "", 0},
    {"standard", "", 0},
    {"material", "", 0},
    {"lowest", "degC", 0},
    {"highest continuous", "degC", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"GPT", "SAE J1128", "PVC", "-40", "80"}, "CAB-N AWC-FAQ", JV_SOLID},
    {{"GPT (second text)", "SAE J1128:2020 summary", "PVC", "-40", "85"}, "TNL PURK", JV_SOLID},
    {{"TWP", "SAE J1128", "PVC thin wall", "-40", "85"}, "CAB-N", JV_SOLID},
    {{"TWP (second text)", "SAE J1128:2020 summary", "described as crosslinked PVC", "-40",
      "105"}, "TNL", JV_SOLID},
    {{"GXL", "SAE J1128", "XLPE general wall", "-40", "125"}, "GXL-DS", JV_SOLID},
    {{"SXL", "SAE J1128", "XLPE special (thick) wall", "-51", "125"}, "AWC-FAQ", JV_SOLID},
    {{"TXL", "SAE J1128", "XLPE thin wall", "-40", "125"}, "TNL AWC-FAQ", JV_SOLID},
    {{"HDT", "SAE J1128", "PVC heavy wall", "-40", "80"}, "MEM", JV_WEAK},
    {{"SGT", "SAE J1127", "PVC battery cable", "-40", "105"}, "AWC-BC", JV_SOLID},
    {{"SGT (second text)", "SAE J1127", "PVC battery cable", "", "85"}, "CBC", JV_SOLID},
    {{"SGX", "SAE J1127", "XLPE battery cable", "-40", "125"}, "CBC", JV_SOLID},
    {{"STX", "SAE J1127", "XLPE thin wall battery cable", "-40", "125"}, "AWC-BC", JV_SOLID},
    {{"SGR", "SAE J1127", "synthetic rubber battery cable", "", "125"}, "MEM", JV_WEAK},
    {{"ISO 6722 class A", "ISO 6722-1", "any", "-40", "85"}, "MEM-ISO", JV_WEAK},
    {{"ISO 6722 class B", "ISO 6722-1", "any (PVC)", "-40", "100"}, "MEM-ISO", JV_WEAK},
    {{"ISO 6722 class C", "ISO 6722-1", "any (XLPE)", "-40", "125"}, "MEM-ISO", JV_WEAK},
    {{"ISO 6722 class D", "ISO 6722-1", "any", "-40", "150"}, "MEM-ISO", JV_WEAK},
    {{"ISO 6722 class E", "ISO 6722-1", "any", "-40", "175"}, "MEM-ISO", JV_WEAK},
    {{"ISO 6722 class F", "ISO 6722-1", "any", "-40", "200"}, "MEM-ISO", JV_WEAK},
    {{"FLRY-A / FLRY-B", "ISO 6722 (German code)", "PVC thin wall", "-40", "105"},
     "CAB-N", JV_SOLID},
    {{"FLRYW", "ISO 6722 (German code)", "heat resistant PVC thin wall", "-40", "125"},
     "CAB-N", JV_SOLID},
    {{"FLR2X / FL2X", "ISO 6722 (German code)", "XLPE", "-40", "125"}, "CAB-N", JV_SOLID},
    {{"BC-5W2 dry", "UL 1426", "boat cable", "", "105"}, "UL1426-A", JV_SOLID},
    {{"BC-5W2 wet", "UL 1426", "boat cable", "", "75"}, "UL1426-A", JV_SOLID},
    {{"UL 1426 range dry lowest", "UL 1426", "boat cable", "", "60"}, "UL1426-A", JV_SOLID},
    {{"UL 1426 range dry highest", "UL 1426", "boat cable", "", "200"}, "UL1426-A", JV_SOLID},
    {{"PVC 70", "IEC 60364-5-54", "thermoplastic", "", "70"}, "K-IEC", JV_SOLID},
    {{"PVC 90", "IEC 60364-5-54", "thermoplastic", "", "90"}, "K-IEC", JV_SOLID},
    {{"XLPE/EPR 90", "IEC 60364-5-54", "thermosetting", "", "90"}, "K-IEC", JV_SOLID},
};
/* clang-format on */

const jv_table jv_rows_insulation = {
    "insulation", "Insulation: lowest and highest continuous conductor temperature",
    columns,      JV_COUNT(columns),
    rows,         JV_COUNT(rows)};
