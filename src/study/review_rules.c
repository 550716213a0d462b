/* review_rules.c - the list of design rules: a row adds one. SPDX-License-Identifier: MIT */
#include "study/review_work.h"

/* Rules of boats, aircraft and buildings are yardsticks on a vehicle, and say so. Sources of the
 * figures stand in the tables; each rule's own text was read unless its rows say otherwise. */
#define BOATS " (boats: a yardstick here)"
#define TRAILERS " (park trailers: a yardstick here)"
#define AIRCRAFT " (aircraft: a yardstick here)"
#define BUILDINGS " (buildings: a yardstick here)"

const jv_review_entry_rule jv_review_rules[] = {
    {{"operating-point", "The circuit finds an operating point in every case.",
      "network equations of this program", ""},
     jv_judge_operating_point},
    {{"watch-worst-case",
      "No watch trips in the worst case of all that varies: weak battery, bad joints, high loads.",
      "the limits of the circuit file", ""},
     jv_judge_watch},
    {{"fuse-fits-cable", "A fuse is rated no higher than the cable behind it carries for good.",
      "FAA AC 43.13-1B" AIRCRAFT, "11-48"},
     jv_judge_fuse_fits_cable},
    {{"cable-outlives-fuse",
      "At every current that can flow the fuse opens before the cable is too hot.",
      "IEC 60364-5-54" BUILDINGS, "Annex A"},
     jv_judge_cable_outlives_fuse},
    {{"short-opens-fuse",
      "A short at the far end opens the fuse before the wires that it heats pass their limit.",
      "IEC 60364-5-54" BUILDINGS, "Annex A"},
     jv_judge_short_opens_fuse},
    {{"unfused-length", "No cable runs further without a fuse than the rule allows.",
      "33 CFR 183.455" BOATS, "(b)(1), (b)(2)"},
     jv_judge_unfused_length},
    {{"fuse-near-source", "The first fuse sits close to the source.", "33 CFR 183.455" BOATS,
      "(b)(1), (b)(2)"},
     jv_judge_fuse_near_source},
    {{"fuse-lasting", "A lasting current leaves the fuse a margin for age and heat.",
      "Fuse application guide; EDN, The fuse-selection checklist, 1996", ""},
     jv_judge_fuse_lasting},
    {{"fuse-stall",
      "With a motor held fast the cables stand the current until the fuse opens, or for good.",
      "IEC 60364-5-54" BUILDINGS, "Annex A"},
     jv_judge_fuse_stall},
    {{"fuse-inrush", "The start of the motors does not open the fuse.",
      "opening times of the fuse's sheet", ""},
     jv_judge_fuse_inrush},
    {{"breaker-type", "A breaker stays open until someone resets it.", "33 CFR 183.455" BOATS,
      "(a)"},
     jv_judge_breaker_type},
    {{"fuse-breaks-short", "The fuse can break the largest short that can flow.",
      "ISO 8820-3:2015 and ISO 8820-5:2015", "scope"},
     jv_judge_breaking},
    {{"conductor-temperature", "No conductor runs hotter than its insulation stands.",
      "SAE J1128 and J1127 cable data", "temperature rating"},
     jv_judge_conductor_temperature},
    {{"connector-rating", "No pin carries more than its rating.", "the ratings of the circuit file",
      ""},
     jv_judge_connector_rating},
    {{"drop-motors", "The wiring between source and motor loses at most 10 % of the volts.",
      "ABYC E-11" BOATS, "quoted rule: other circuits"},
     jv_judge_drop_motors},
    {{"drop-loads", "The wiring to lights and electronics loses at most 3 % of the volts.",
      "ABYC E-11" BOATS, "quoted rule: critical circuits"},
     jv_judge_drop_loads},
    {{"sensor-supply", "The sensor supply holds at the lowest volts that the module sees.",
      "the figures of the circuit file", ""},
     jv_judge_sensor_supply},
    {{"relay-pull-in", "A hot relay pulls in at the lowest volts that its coil gets.",
      "copper's coefficient on pull-in volts, IEC 60028", ""},
     jv_judge_relay_pull_in},
    {{"return-size", "The return conductor is as large as the feed.", "NFPA 70 Art. 552" TRAILERS,
      "552.10(C)(4)"},
     jv_judge_return_size},
    {{"metal", "Power conductors are stranded copper.", "NFPA 70 Art. 552" TRAILERS,
      "552.10(B)(1)(2)"},
     jv_judge_metal},
    {{"frame-bond", "A cable to the frame that returns current is at least 8 AWG.",
      "NFPA 70 Art. 552" TRAILERS, "552.10(C)(4)"},
     jv_judge_frame_bond},
};
const size_t jv_review_rules_count = sizeof jv_review_rules / sizeof jv_review_rules[0];

size_t jv_review_rule_count(void) {
    return jv_review_rules_count;
}

const jv_review_rule *jv_review_rule_at(size_t i) {
    return i < jv_review_rules_count ? &jv_review_rules[i].rule : NULL;
}
