/* care.c - cautions in words. SPDX-License-Identifier: MIT */
#include "jackvolt/care.h"

/* Sentences are our own. Basis: the public rule or manual behind each; "CFR" is the Code of Federal
 * Regulations of the US, whose part 1910 binds employers and is good practice for owners. */
static const jv_precaution cautions[] = {
    {JV_CARE_SUPPORT, JV_SIGNAL_DANGER,
     "A vehicle that only its jacks hold up can come down and crush you. Keep every part of your "
     "body out from under it. Put rated stands or cribbing under the frame and let them carry the "
     "weight before you reach in.",
     "Nobody reaches under a vehicle that only its jacks hold: loaded stands first.",
     "29 CFR 1910.244(a)(2) (from memory); WAC 296-307-22509(3); 29 CFR 1926.305(c)"},
    {JV_CARE_CHOCKS, JV_SIGNAL_WARNING,
     "A vehicle can roll off its jacks. On firm, level ground set the parking brake and chock both "
     "sides of the wheels that stay down, before a jack moves, by motor or by hand.",
     "Brake set, wheels chocked both ways, firm level ground, before any jack moves.",
     "TM 10-4320-226-14 p. 4-67; 29 CFR 1910.178(g)(8)"},
    {JV_CARE_UNCOMMANDED, JV_SIGNAL_WARNING,
     "A jack can start by itself: somebody at the switch, a stored command, a chafed wire, power "
     "that comes back. It crushes. Keep the key in your pocket, tag the switch, and pull the "
     "jack's "
     "fuse or plug before you touch a jack or its wires.",
     "A jack may start by itself: key in your pocket, switch tagged.",
     "29 CFR 1910.147(d)(4)-(5); NEETS module 16 p. 1-17"},
    {JV_CARE_CLIP_ON, JV_SIGNAL_WARNING,
     "A moving leg shears and crushes. Clip the meter leads on with the wheels down and nothing "
     "running, lay them clear of legs and screws, come out, and only then run the jack. Read the "
     "meter from where you stand safe; hold no probe by hand.",
     "Clip on with nothing running, come out, run, read from where it is safe.",
     "29 CFR 1910.147(f)(1) (from memory); common practice"},
    {JV_CARE_SOURCES, JV_SIGNAL_WARNING,
     "A circuit with one source left on is live and can burn you or spoil the meter. Take off "
     "every "
     "one: batteries, charger and shore cord, solar panels, tow vehicle's lead. Then prove it dead "
     "with a meter that has just shown a live point.",
     "Every source off, then proved dead.",
     "NEETS module 16 p. 1-17; 29 CFR 1910.147(d)(6) (from memory)"},
    {JV_CARE_BEFORE_OFF, JV_SIGNAL_WARNING,
     "With its battery off a trailer may lose the power of its breakaway brake and roll; saved "
     "positions are lost, and a solar regulator can be damaged. Chock the wheels, note the "
     "positions, and cover or unplug the panels before the battery goes off.",
     "Breakaway brake, saved positions, solar panels: before the battery goes off.",
     "common practice, no source"},
    {JV_CARE_CAPACITORS, JV_SIGNAL_WARNING,
     "Charge stays in a controller after the battery is off, and a raised load or a spring keeps "
     "its "
     "force. A spark or a falling leg can injure. Rest the load on its supports, wait five "
     "minutes, "
     "and measure before you touch.",
     "Wait five minutes for stored charge, then measure.", "29 CFR 1910.147(d)(5)(i)"},
    {JV_CARE_RINGS, JV_SIGNAL_WARNING,
     "A ring or a spanner between a live post and the frame glows at once and burns to the bone. "
     "Take off rings, watch and chains, wrap the tool, lay nothing on the battery, cover the other "
     "post.",
     "No rings, watch or chains; tools wrapped.",
     "TM 10-3930-669-20 p. 7-106; 29 CFR 1910.178(g)(12)"},
    {JV_CARE_MINUS_FIRST, JV_SIGNAL_WARNING,
     "A tool that slips from the plus clamp to the frame makes an arc. Take the minus clamp off "
     "first and put it on last.",
     "Minus clamp first off, last on.", "TM 10-3930-671-24 p. F-303"},
    {JV_CARE_GAS, JV_SIGNAL_WARNING,
     "A battery gives off gas that explodes, and its acid blinds. No flame, no smoking, no sparks; "
     "open the compartment and let it air; goggles and gloves on. Acid in an eye: flush for 15 "
     "minutes and get medical help. Leave a frozen, swollen, cracked or leaking battery alone.",
     "Battery gas and acid: air, no sparks, goggles.",
     "TM 9-6140-200-14 p. 4-12; TM 9-2350-287-20-2; 29 CFR 1926.441"},
    {JV_CARE_LITHIUM, JV_SIGNAL_WARNING,
     "A lithium pack can cut itself off under load and come back by itself, so that a jack stops "
     "and "
     "starts; misused it burns. Follow its maker's instructions, and do not charge it below "
     "freezing.",
     "Lithium pack: its maker's instructions; it may cut off under load.", "from memory"},
    {JV_CARE_BURN, JV_SIGNAL_WARNING,
     "Between the battery and its first fuse nothing limits the current: a slip of the probe welds "
     "and throws hot metal. Use shrouded probes, one hand, eye protection, and touch one point at "
     "a "
     "time.",
     "No fuse guards this stretch: shrouded probes, one point at a time.", "29 CFR 1910.333(a)(1)"},
    {JV_CARE_FUSE, JV_SIGNAL_WARNING,
     "A larger fuse, or a bridge across one, lets the wire burn in its place. Fit only the type "
     "and "
     "rating that the wire is made for, and never bridge a fuse to look for a fault.",
     "Fuses of the right type and rating only, never larger, never bridged.",
     "NEETS module 16 p. 1-17; NEETS module 3 p. 2-31"},
    {JV_CARE_BREAKER, JV_SIGNAL_WARNING,
     "A breaker that is reset again and again heats the wires behind it until they burn. Reset it "
     "once; when it opens again, look for the cause.",
     "Reset a breaker once only.", "29 CFR 1910.334(b)(2) (from memory)"},
    {JV_CARE_METER, JV_SIGNAL_WARNING,
     "A meter on the wrong function can short the circuit through its leads and burst. Look before "
     "each reading: volts and the volts jack on a live circuit, ohms only on a dead one, leads "
     "whole.",
     "Meter on the right function and jacks before it touches anything.",
     "NEETS module 16 p. 3-30; NAVEDTRA 14009"},
    {JV_CARE_LIMITED, JV_SIGNAL_WARNING,
     "Too much test current burns a thin lead and the controller behind it. Use a lamp or a "
     "limited "
     "source that the thinnest lead can carry, the controller unplugged, away from fuel and gas, "
     "and "
     "watch it all the time.",
     "Limited test current only, controller unplugged, watched.", "common practice, no source"},
    {JV_CARE_RESTORE, JV_SIGNAL_WARNING,
     "When power comes back a jack may move and a short may burn. Tools and people out, covers on, "
     "everybody told; power only after the repair and a check for shorts. Plus clamp first, minus "
     "clamp last.",
     "People and tools out; power only after the repair and a check for shorts.",
     "29 CFR 1910.147(e) (from memory); NEETS module 16 p. 1-17"},
    {JV_CARE_HOT, JV_SIGNAL_CAUTION,
     "Motors, brakes, relays, fuse holders and bad joints get hot in a run and burn the skin. Let "
     "them cool, or feel with the back of a gloved hand.",
     "Motors and joints are hot after a run.", "ISO 13732-1 (from memory)"},
    {JV_CARE_UNPLUG, JV_SIGNAL_NOTICE,
     "A plug pulled with the power on, a pierced wire or a spread pin makes the next fault. Switch "
     "off first, touch bare frame, use the back of the plug or a test pin that fits.",
     "Switch off before you unplug; pierce nothing, spread no pins.", "TM 9-6115-729-24 WP 0090"},
    {JV_CARE_NO_FEED, JV_SIGNAL_NOTICE,
     "Battery volts in a sensor lead destroy sensors and controller. Never feed one into it, and "
     "do "
     "not plug the controller in while a sensor lead reads shorted to the battery feed.",
     "No battery volts into a sensor lead.", "common practice, no source"},
    {JV_CARE_DUTY, JV_SIGNAL_NOTICE,
     "A motor run longer than its duty time overheats, and low volts stall it. Keep a run to a few "
     "seconds, at most 30, and let it rest for two minutes.",
     "Short runs, with rests: mind the duty time of the motors.",
     "TM 10-3930-671-24 p. F-303 (30 s, then 2 min, for starters)"},
};

enum { CAUTIONS = sizeof cautions / sizeof cautions[0] };

const char *jv_signal_word(jv_signal signal) {
    static const char *const words[] = {"DANGER", "WARNING", "CAUTION", "NOTICE"};
    return (size_t)signal < sizeof words / sizeof words[0] ? words[signal] : "NOTICE";
}

size_t jv_precaution_count(void) {
    return CAUTIONS;
}

const jv_precaution *jv_precaution_at(size_t i) {
    return i < CAUTIONS ? &cautions[i] : NULL;
}

size_t jv_precautions_of(uint32_t care, const jv_precaution **out, size_t most) {
    size_t n = 0;
    for (size_t i = 0; i < CAUTIONS; i++)
        if (care & (uint32_t)cautions[i].care) {
            if (n < most)
                out[n] = &cautions[i];
            n++;
        }
    return n;
}

const char *jv_care_preface(void) {
    return "Local law, the instructions of the makers of vehicle and equipment, and the rules of "
           "your workplace come before this page. Where they ask for a licensed electrician or a "
           "qualified technician, stop and call one. Conductors at 120 or 230 V (shore cord, "
           "inverter) are not part of this: unplug the cord and leave them alone. When you smell "
           "gas or fuel, or see smoke or melting, touch nothing electrical, leave, and let it air. "
           "Never work under a raised vehicle in wind, on soft or sloping ground, or in water. "
           "What "
           "follows are estimates from the readings that you enter, and no certificate of safety.";
}
