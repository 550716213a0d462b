/* rows.h - the tables and the citations, for the lookups. SPDX-License-Identifier: MIT */
#ifndef JV_TABLES_ROWS_H
#define JV_TABLES_ROWS_H

#include "jackvolt/tables.h"

#define JV_COUNT(array) (sizeof(array) / sizeof((array)[0]))

extern const jv_table jv_rows_awg;
extern const jv_table jv_rows_sae;
extern const jv_table jv_rows_metric;
extern const jv_table jv_rows_iso6722;
extern const jv_table jv_rows_metals;
extern const jv_table jv_rows_adiabatic;
extern const jv_table jv_rows_withstand;
extern const jv_table jv_rows_insulation;
extern const jv_table jv_rows_ampacity;
extern const jv_table jv_rows_ampacity_factors;
extern const jv_table jv_rows_drop_tables;
extern const jv_table jv_rows_fuse_times;
extern const jv_table jv_rows_fuse_resistance;
extern const jv_table jv_rows_fuse_derating;
extern const jv_table jv_rows_fuse_rules;
extern const jv_table jv_rows_fuse_ratings;
extern const jv_table jv_rows_breakers;
extern const jv_table jv_rows_contacts;
extern const jv_table jv_rows_drop_limits;
extern const jv_table jv_rows_rules;
extern const jv_table jv_rows_ocv;
extern const jv_table jv_rows_battery_resistance;
extern const jv_table jv_rows_cranking;
extern const jv_table jv_rows_battery_models;
extern const jv_table jv_rows_supplies;
extern const jv_table jv_rows_undervoltage;
extern const jv_table jv_rows_hall;
extern const jv_table jv_rows_meter;
extern const jv_table jv_rows_motors;
extern const jv_table jv_rows_screws;
extern const jv_table jv_rows_screw_friction;
extern const jv_table jv_rows_gears;
extern const jv_table jv_rows_vehicle_loads;

extern const jv_source jv_sources_conductors[];
extern const size_t jv_sources_conductors_count;
extern const jv_source jv_sources_protection[];
extern const size_t jv_sources_protection_count;
extern const jv_source jv_sources_supply[];
extern const size_t jv_sources_supply_count;
extern const jv_source jv_sources_load[];
extern const size_t jv_sources_load_count;

#endif
