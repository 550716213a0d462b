/* wild.h - random circuits of every part kind for tests. SPDX-License-Identifier: MIT */
#ifndef TESTS_SUPPORT_WILD_H
#define TESTS_SUPPORT_WILD_H

#include "circuit/net.h"

#include <stdbool.h>

enum { WILD_FAULTS = 8 };

/* A circuit of two webs of conductors, plus and minus, with meshes; batteries and supplies,
 * jacks both ways round, pumps with their relay, loads of each kind, a controller with its
 * outputs, sensors with their regulator across them; one case; some faults. Same seed, same
 * circuit. */
typedef struct wild {
    jv_circuit *c;
    jv_case *loading;
    jv_fault faults[WILD_FAULTS];
    size_t n_faults;
} wild;

typedef struct wild_options {
    bool hostile;     /* ends of parts anywhere, zero ohms, many breaks */
    bool monotone;    /* nothing that has two operating points: no relay, no constant power, no
                         limit that falls with the volts, no sensor that lets go */
    bool one_source;  /* the same with one battery alone and nothing broken */
    unsigned shuffle; /* order of the parts in the file; 0 = as built */
} wild_options;

void wild_make(wild *w, unsigned seed, const wild_options *options);
void wild_free(wild *w);

/* The next of a row of pseudo-random numbers, 0 .. 2^24 - 1, and one in [low, high). */
unsigned wild_draw(unsigned *seed);
double wild_between(unsigned *seed, double low, double high);

#endif
