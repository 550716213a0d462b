/* hall.h - what reports ask of a sensor. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_HALL_H
#define CIRCUIT_PARTS_HALL_H

#include "circuit/part_kind.h"
#include "jackvolt/hall.h"

enum {
    JV_HALL_SUPPLY,
    JV_HALL_MINUS,
    JV_HALL_SIGNAL,
    JV_HALL_CURRENT,
    JV_HALL_HIGH_CURRENT,
    JV_HALL_MINIMUM,
    JV_HALL_OUTPUT,
    JV_HALL_OUTPUT_STATE,
    JV_HALL_ON_RESISTANCE,
    JV_HALL_PULL_UP,
    JV_HALL_PULL_UP_TO,
    JV_HALL_PULSES,
    JV_HALL_COUNTS,
    JV_HALL_KEYS
};

/* Its elements (jv_element.role). */
enum {
    JV_HALL_OWN,   /* its own current, supply to minus */
    JV_HALL_STAGE, /* its output, signal to minus: closed = low */
    JV_HALL_PULL   /* the pull-up, to the signal */
};

/* The sensor in this scene, for jv_hall_check and jv_hall_signal. */
jv_hall jv_hall_of_scene(const jv_scene *s, const jv_part *p);

#endif
