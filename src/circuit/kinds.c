/* kinds.c - the table of part kinds: one row each. SPDX-License-Identifier: MIT */
#include "circuit/kinds.h"

#include <string.h>

const jv_part_kind *const jv_kinds[] = {
    &jv_kind_battery, &jv_kind_supply, &jv_kind_cable,     &jv_kind_lead,
    &jv_kind_contact, &jv_kind_frame,  &jv_kind_fuse,      &jv_kind_breaker,
    &jv_kind_switch,  &jv_kind_relay,  &jv_kind_connector, &jv_kind_controller,
    &jv_kind_jack,    &jv_kind_pump,   &jv_kind_load,      &jv_kind_sensor_supply,
    &jv_kind_hall,
};
const size_t jv_kinds_count = sizeof jv_kinds / sizeof jv_kinds[0];

const jv_part_kind *jv_kind_find(const char *name) {
    for (size_t i = 0; i < jv_kinds_count; i++)
        if (strcmp(jv_kinds[i]->name, name) == 0)
            return jv_kinds[i];
    return NULL;
}
