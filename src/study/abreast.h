/* abreast.h - draws of a circuit solved side by side. SPDX-License-Identifier: MIT */
#ifndef STUDY_ABREAST_H
#define STUDY_ABREAST_H

#include "study/moves.h"
#include "study/spread.h"

/* Relays that pull in and packs that cut off make the answer in stages: at each, the circuit is
 * solved in the states so far, and the parts say which states follow. In lanes each draw must
 * take the same stages as the nominal circuit; one that does not is handed back. */
typedef struct jv_abreast jv_abreast;

/* From a trial of one's own at its nominal point; it is moved about. moves must stay.
 * JV_ERR_UNSOLVED: this circuit does not fit lanes. JV_ERR_MEMORY. */
jv_status jv_abreast_new(jv_trial *t, const jv_moves *moves, jv_lane_width width, jv_abreast **out);
void jv_abreast_free(jv_abreast **abreast);

/* Solve JV_SIDE draws. numbers[move] as jv_move_values gives them; load[part]: draws for which a
 * moving part must be loaded. Bits of the draws that have an answer. */
unsigned jv_abreast_solve(jv_abreast *a, double (*values)[JV_SIDE], double (*numbers)[JV_SIDE],
                          const unsigned *load);
/* Volts of a node in each draw. */
const double *jv_abreast_volts(const jv_abreast *a, size_t node);

#endif
