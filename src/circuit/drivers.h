/* drivers.h - which controller output feeds which motor. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_DRIVERS_H
#define CIRCUIT_DRIVERS_H

#include "circuit/net.h"

/* Sets driver and driver_output of every motor that is reached from a controller's
 * output through conductors alone. JV_ERR_MEMORY or JV_OK. */
jv_status jv_drivers_find(jv_circuit *c, const jv_net *net);

#endif
