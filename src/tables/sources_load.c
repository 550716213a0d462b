/* sources_load.c - citations behind the motor, gear, screw and load tables.
 * SPDX-License-Identifier: MIT */
#include "tables/rows.h"

/* clang-format off */
const jv_source jv_sources_load[] = {
    {"SHIGLEY-8-5",
     "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed. (2011), Table "
     "8-5, page 422.",
     ""},
    {"SHIGLEY-8-6",
     "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed. (2011), Table "
     "8-6, page 422.",
     ""},
    {"SHIGLEY-8-3",
     "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed. (2011), Table "
     "8-3, page 414.",
     ""},
    {"SHIGLEY-EQ",
     "Computed: Budynas and Nisbett, 9th ed., equation 8-5 with the thread angle, no collar, "
     "dm = d - p/2.",
     ""},
    {"SHIGLEY8-SOL",
     "Shigley's Mechanical Engineering Design, 8th ed., solution of problem 8-6 (an assumed "
     "value).",
     ""},
    {"MEDH-WORM",
     "Computed: Mechanical Engineer's Data Handbook, 2.10.6, page 99, efficiency of a worm mesh.",
     ""},
    {"MEAD", "Engineering web note on the efficiency of gears.",
     "http://www.meadinfo.org/2008/11/gear-efficiency-spur-helical-bevel-worm.html"},
    {"ACME-A", "Trade article on Acme, ball and roller screws.",
     "https://www.tsktech.in/critical-look-at-acme-ball-and-roller-screws-for-linear-motion/"},
    {"ACME-B", "A screw maker's Acme glossary and technical data.",
     "https://www.nookindustries.com/resources/general-technical-references/acme-screw-glossary-and-technical-data/"},
    {"STATICS", "Statics text, screw threads, problem 3.",
     "https://adaptivebooks.org/library/statics/friction-the-application-of-statics-to-machine-design/screw-threads"},
    {"UNSEEL", "Engineering web note on Acme lead screws.",
     "https://unseel.com/engineering/lead-screw-acme.html"},
    {"WPILIB", "WPILib motor constants (BSD licence), DCMotor.h: volts, no-load and stall points.",
     "https://github.com/wpilibsuite/allwpilib"},
    {"MOTOR-UB", "Public student project, small 12 V motor (spec sheet values).",
     "https://github.com/hannahvsawiuk/ll391"},
    {"MOTOR-EE", "University project data, three motors, taken from maker sheets.",
     "https://github.com/galanodel2010/ee462"},
    {"MOTOR-MIT", "MIT course page on motors.", "http://lancet.mit.edu/motor/motors4.html"},
    {"TONGUE-A", "Vehicle owner manual, tongue load 10 to 15 %.",
     "http://www.nissaguide.com/nicon-982.html"},
    {"TONGUE-B", "Vehicle owner manual, tongue load 9 to 11 %.",
     "https://www.tsienna.net/trailer_tongue_weight-133.html"},
    {"TONGUE-C", "Trailer magazine answer on hitch weight.",
     "https://www.trailerlife.com/tech/diy/travel-trailer-hitch-weight/"},
    {"TONGUE-D", "Boat trailer shop article on jacks.",
     "https://blog.easternmarine.com/trailer-jacks/"},
    {"TONGUE-E", "Trailer forum note on tongue load.",
     "https://community.turnvalves.com/forum/product-discussions/truck-trailer-systems/53-trailer-safety-tongue-load"},
    {"JACK-SIZE", "Common practice; one boating text advises one size up.",
     "https://boatlyfe.com/choosing-the-right-trailer-tongue-jack"},
};
/* clang-format on */
const size_t jv_sources_load_count = JV_COUNT(jv_sources_load);
