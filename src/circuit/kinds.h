/* kinds.h - the part kinds, each defined in its own file of parts/. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_KINDS_H
#define CIRCUIT_KINDS_H

#include "circuit/part_kind.h"

extern const jv_part_kind jv_kind_battery, jv_kind_supply, jv_kind_cable, jv_kind_lead,
    jv_kind_contact, jv_kind_frame, jv_kind_fuse, jv_kind_breaker, jv_kind_switch, jv_kind_relay,
    jv_kind_connector, jv_kind_controller, jv_kind_jack, jv_kind_pump, jv_kind_load,
    jv_kind_sensor_supply, jv_kind_hall;

#endif
