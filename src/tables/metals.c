/* metals.c - Metals of conductors, frames and terminals. SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* The two tinned rows that agree with the coated / uncoated ratios of NFPA 70 Table 8 are
 * usable; a source MEM behind others covers one column only (density or coefficient). */
static const jv_table_column columns[] = {
    {"metal", "", 0},
    {"resistivity 20 degC", "ohm m", 0},
    {"coefficient 20 degC", "1/K", 0},
    {"conductivity", "% IACS", 0},
    {"density", "g/cm3", 0},
};

/* clang-format off */
static const jv_table_row rows[] = {
    {{"copper annealed (IACS)", "1.7241e-08", "0.00393", "100", "8.89"},
     "IEC60028 HB100-NOTE IPEAH", JV_SOLID},
    {{"copper pure element (CRC)", "1.678e-08", "0.004041", "102.7", "8.93"},
     "LIEC5 FREESTUDY", JV_SOLID},
    {{"tinned copper strand 0.51-2.6 mm", "1.793e-08", "0.00393", "96.16", "8.89"},
     "MEM-B33 NEC8-B", JV_USABLE},
    {{"tinned copper strand 0.28-0.51 mm", "1.831e-08", "0.00393", "94.16", "8.89"},
     "MEM-B33 NEC8-A", JV_USABLE},
    {{"tinned copper strand below 0.28 mm", "1.851e-08", "0.00393", "93.15", "8.89"},
     "MEM-B33", JV_WEAK},
    {{"tinned copper solid 2.6-7.4 mm", "1.7745e-08", "0.00393", "97.16", "8.89"},
     "MEM-B33", JV_WEAK},
    {{"copper-clad aluminium 10A (ASTM B566)", "2.743e-08", "0.00405", "62.85", "3.32"},
     "CCA-A CCA-B MEM", JV_SOLID},
    {{"copper-clad aluminium 15A (ASTM B566)", "2.676e-08", "0.00404", "64.4", "3.63"},
     "CCA-A CCA-B MEM", JV_SOLID},
    {{"aluminium 1350 / EC grade 61 % IACS", "2.8264e-08", "0.00403", "61.0", "2.7"},
     "IPEAH K-IEC MEM", JV_SOLID},
    {{"aluminium 1350 / EC grade 60 % IACS", "2.873e-08", "0.00396", "60.0", "2.7"},
     "IPEAH MEM", JV_SOLID},
    {{"aluminium pure element (CRC)", "2.65e-08", "0.004308", "65.06", "2.71"},
     "LIEC5 FREESTUDY", JV_SOLID},
    {{"brass C26000 cartridge 70/30 annealed", "6.16e-08", "0.0015", "28", "8.53"},
     "C260 FREESTUDY", JV_SOLID},
    {{"brass 70/30 (second text)", "8e-08", "0.0015", "21.55", "8.5"}, "FREESTUDY", JV_SOLID},
    {{"iron pure (CRC)", "9.61e-08", "0.005671", "17.94", "7.87"}, "LIEC5 FREESTUDY", JV_SOLID},
    {{"iron pure (second text)", "1e-07", "0.0065", "17.24", "7.87"}, "FREESTUDY", JV_SOLID},
    {{"steel 99.5 Fe 0.5 C", "1.662e-07", "0.003", "10.37", "7.85"}, "LIEC5 MEM", JV_SOLID},
    {{"steel protective conductor (IEC 60364-5-54)", "1.38e-07", "0.004505", "12.49", "7.85"},
     "K-IEC MEM", JV_SOLID},
    {{"lead (IEC 60364-5-54)", "2.14e-07", "0.004", "8.057", "11.34"}, "K-IEC MEM", JV_SOLID},
};
/* clang-format on */

const jv_table jv_rows_metals = {"metals", "Metals: resistivity, temperature coefficient, density",
                                 columns,  JV_COUNT(columns),
                                 rows,     JV_COUNT(rows)};
