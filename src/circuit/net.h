/* net.h - the elements of a circuit in one case with its faults. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_NET_H
#define CIRCUIT_NET_H

#include "circuit/part_kind.h"

/* Topology is fixed when the net is built; numbers are loaded any number of times.
 * Node numbers: terminals first (their index), then inner nodes. */
typedef struct jv_net {
    const jv_circuit *circuit;
    jv_element *elements;
    size_t n_elements;
    uint32_t *first; /* of part p: elements first[p] .. first[p + 1] - 1 */
    uint16_t *own;   /* of part p: how many of them the kind itself emitted */
    size_t n_nodes;
    jv_scene scene;             /* the scene loaded last */
    uint8_t *off;               /* per part, from the case */
    struct jv_heat_body *heats; /* one for each element that warms */
    size_t most_warm;           /* elements that use one: no more than this */
    double *nominal;            /* slot values of the nominal scene */
    int32_t *links;             /* what the scene's look-ups by part point into */
} jv_net;

/* Build for one case (NULL = at rest) with faults (copied by reference: they must
 * outlive the net), and load the nominal values. *out must be freed. */
jv_status jv_net_build(const jv_circuit *c, const jv_case *loading, const jv_fault *faults,
                       size_t n_faults, jv_net **out);
/* After the runs of the scene's case have changed: look-ups follow; then load. JV_ERR_MEMORY. */
jv_status jv_net_command(jv_net *net);
/* Load other slot values x[n_slots] (NULL = nominal). States of the elements are kept. */
void jv_net_load(jv_net *net, const double *x);
/* Load one part again from the values loaded last (after a change of its faults). */
void jv_net_load_part(jv_net *net, size_t part);
/* A consumer that is off in the case is unplugged: what is wrong inside it goes with it. */
bool jv_net_unplugged(const jv_scene *s, const jv_part *p);
void jv_net_free(jv_net **net);

#endif
