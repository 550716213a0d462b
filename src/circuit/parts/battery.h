/* battery.h - what reports and sequences ask of a battery. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_BATTERY_H
#define CIRCUIT_PARTS_BATTERY_H

#include "circuit/part_kind.h"
#include "jackvolt/battery.h"

enum {
    JV_BATTERY_PLUS,
    JV_BATTERY_MINUS,
    JV_BATTERY_OPEN_CIRCUIT,
    JV_BATTERY_RESISTANCE,
    JV_BATTERY_CHEMISTRY,
    JV_BATTERY_CAPACITY,
    JV_BATTERY_CHARGE,
    JV_BATTERY_RESTED,
    JV_BATTERY_RESTED_FOR,
    JV_BATTERY_CHARGED_AGO,
    JV_BATTERY_CRANKING,
    JV_BATTERY_STANDARD,
    JV_BATTERY_GROUP,
    JV_BATTERY_AGE,
    JV_BATTERY_TEMPERATURE,
    JV_BATTERY_RESERVE,
    JV_BATTERY_TESTER_RESISTANCE,
    JV_BATTERY_TESTER_CRANKING,
    JV_BATTERY_CUTOFF_VOLTAGE,
    JV_BATTERY_CUTOFF_RESET,
    JV_BATTERY_CUTOFF_CURRENT,
    JV_BATTERY_CUTOFF_DELAY,
    JV_BATTERY_CUTOFF_COLD,
    JV_BATTERY_CUTOFF_COLD_CHARGE,
    JV_BATTERY_KEYS
};

/* The battery in this scene, its faults apart from added ohms and openings included:
 * its figures, and the notes of where they come from. Statuses of jv_battery_model_make. */
jv_status jv_battery_of_scene(const jv_scene *s, const jv_part *p, jv_battery_model *out);
/* The cut-offs of a managed pack; NAN where one is not fitted. The one delay of the file
 * counts for low volts and for current. */
void jv_battery_limits(const jv_scene *s, const jv_part *p, jv_pack_limits *out);
/* Electrolyte temperature in this scene, degC. */
double jv_battery_temperature_c(const jv_scene *s, const jv_part *p);

#endif
