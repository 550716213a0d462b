/* controller.h - the module that drives the motors. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_CONTROLLER_H
#define CIRCUIT_PARTS_CONTROLLER_H

#include "circuit/part_kind.h"

enum {
    JV_CONTROLLER_PLUS,
    JV_CONTROLLER_MINUS,
    JV_CONTROLLER_OUTPUTS,
    JV_CONTROLLER_INPUTS,
    JV_CONTROLLER_INPUT_RESISTANCE,
    JV_CONTROLLER_CURRENT,
    JV_CONTROLLER_REVERSE_DROP,
    JV_CONTROLLER_CHANNEL_RESISTANCE,
    JV_CONTROLLER_RESET_VOLTAGE,
    JV_CONTROLLER_STOP_CURRENT,
    JV_CONTROLLER_TIME_LIMIT,
    JV_CONTROLLER_SOFT_START,
    JV_CONTROLLER_RESET_HELD,
    JV_CONTROLLER_RESTART,
    JV_CONTROLLER_STOP_HELD,
    JV_CONTROLLER_STOP_IGNORED,
    JV_CONTROLLER_PULSE_TIMEOUT,
    JV_CONTROLLER_KEYS
};

/* Which of a controller's elements one is (jv_element.role). Outputs follow each other in
 * the order of the file: FEED for a single one; FEED, BACK, FEED_TURNED, BACK_TURNED for a
 * pair. */
enum {
    JV_CONTROLLER_OWN,         /* its own current, plus to minus */
    JV_CONTROLLER_FEED,        /* plus to the output, or to the first of a pair: lifts */
    JV_CONTROLLER_BACK,        /* second of a pair to minus: lifts */
    JV_CONTROLLER_FEED_TURNED, /* plus to the second of a pair: lowers */
    JV_CONTROLLER_BACK_TURNED, /* first of a pair to minus: lowers */
    JV_CONTROLLER_INPUT        /* an input to minus */
};

/* The outputs of a controller: index = first terminal, second = the other of a pair or -1. */
const jv_slot *jv_controller_outputs(const jv_circuit *c, const jv_part *p, size_t *n);
/* What it senses of the volts between its pins, V. */
double jv_controller_senses_v(const jv_scene *s, const jv_part *p, double pins_v);
/* Volts between its pins and what it senses (reverse-battery drop), V; 0 when not given. */
double jv_controller_reverse_drop(const jv_scene *s, const jv_part *p);
/* Which way it drives an output in the scene's case: +1 lifts, -1 lowers, 0 off. */
int jv_controller_drives(const jv_scene *s, const jv_part *p, size_t output);

#endif
