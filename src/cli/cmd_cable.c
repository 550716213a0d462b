/* cmd_cable.c - jackvolt cable: one circuit without a file.
 * SPDX-License-Identifier: MIT */
#include "cli/cli.h"
#include "jackvolt/cable.h"

#include <string.h>

/* Of a quantity with a spread the worse end counts: this says which. */
typedef enum worse { WORSE_LOW, WORSE_HIGH } worse;

/* An option as a number above zero and not above `most`; leaves *out alone
 * otherwise. */
static bool read_number(cli_job *job, const char *name, jv_dim dim, const char *bare, worse end,
                        double most, double *out) {
    jv_value v;
    if (!cli_quantity(job, name, dim, bare, &v))
        return false;
    double x = end == WORSE_HIGH ? v.high : v.low;
    if (x > 0 && x <= most) {
        *out = x;
        return true;
    }
    jv_text hint = {0};
    jv_text_add(&hint, "from above 0 to ");
    jv_quantity_print(&hint, most, dim, JV_UNITS_SI, 4);
    cli_fault(job, JV_CODE_QUANTITY_RANGE, jv_text_str(&hint), "--%s '%s' is out of range", name,
              cli_value(&job->args, name));
    jv_text_clear(&hint);
    return false;
}

static void read_length(cli_job *job, jv_cable_question *q) {
    bool one_way = cli_has(&job->args, "one-way"), loop = cli_has(&job->args, "loop");
    if (one_way && loop)
        cli_fault(job, JV_CODE_OPTION_CONFLICT, "--one-way is half of --loop: give one of them",
                  "--one-way and --loop are both given");
    else if (!one_way && !loop)
        cli_fault(job, JV_CODE_OPTION_MISSING,
                  "--one-way \"24 ft\" when the return is the same cable, --loop \"48 ft\" for all "
                  "the conductor, out and back",
                  "the length is missing");
    double length;
    if (one_way &&
        read_number(job, "one-way", JV_DIM_LENGTH, NULL, WORSE_HIGH, JV_CABLE_MOST_M / 2, &length))
        q->loop_m = 2 * length;
    if (loop && read_number(job, "loop", JV_DIM_LENGTH, NULL, WORSE_HIGH, JV_CABLE_MOST_M, &length))
        q->loop_m = length;
}

/* --drop is a share of the supply or volts; the unit tells. */
static void read_drop(cli_job *job, jv_cable_question *q) {
    const char *text = cli_value(&job->args, "drop");
    jv_value share;
    if (!text)
        return;
    if (cli_is_bare(text)) {
        cli_fault(job, JV_CODE_QUANTITY_BARE, "write \"3 %\" of the supply, or \"0.5 V\"",
                  "--drop: '%s' has no unit, and may be percent or volts", text);
        return;
    }
    if (strchr(text, '%') || strstr(text, "percent")) {
        if (!cli_quantity(job, "drop", JV_DIM_RATIO, NULL, &share))
            return;
        q->limit = JV_CABLE_LIMIT_SHARE;
        q->limit_value = share.low;
        if (!(share.low > 0 && share.low < 1))
            cli_fault(job, JV_CODE_QUANTITY_RANGE, "from above 0 % to below 100 %",
                      "--drop '%s' is out of range", text);
    } else if (read_number(job, "drop", JV_DIM_VOLTAGE, NULL, WORSE_LOW, JV_CABLE_MOST_V,
                           &q->limit_value)) {
        q->limit = JV_CABLE_LIMIT_DROP;
    }
}

static void read_limit(cli_job *job, jv_cable_question *q) {
    bool keep = cli_has(&job->args, "keep"), drop = cli_has(&job->args, "drop");
    if (keep && drop)
        cli_fault(job, JV_CODE_OPTION_CONFLICT, "give the volts to keep, or the drop to allow",
                  "--keep and --drop are both given");
    if (keep &&
        read_number(job, "keep", JV_DIM_VOLTAGE, "V", WORSE_HIGH, JV_CABLE_MOST_V, &q->limit_value))
        q->limit = JV_CABLE_LIMIT_KEEP;
    if (drop)
        read_drop(job, q);
}

static void read_basis(cli_job *job, jv_cable_question *q) {
    const char *basis = cli_value(&job->args, "basis");
    q->basis = JV_SIZE_SAE;
    if (!basis || !strcmp(basis, "sae"))
        return;
    if (!strcmp(basis, "awg"))
        q->basis = JV_SIZE_AWG;
    else if (!strcmp(basis, "mm2"))
        q->basis = JV_SIZE_MM2;
    else
        cli_fault(job, JV_CODE_OPTION_CHOICE, "write awg, sae or mm2", "--basis '%s' is not known",
                  basis);
}

static void read_insulation(cli_job *job, jv_cable_question *q) {
    jv_figure limit;
    q->insulation = cli_value(&job->args, "insulation");
    if (!q->insulation || jv_table_insulation(q->insulation, &limit) == JV_OK)
        return;
    jv_text hint = {0};
    jv_text_add(&hint, "known are ");
    const char *name;
    for (size_t i = 0; (name = jv_table_insulation_name(i)); i++)
        jv_text_addf(&hint, "%s%s", i ? ", " : "", name);
    cli_fault(job, JV_CODE_OPTION_CHOICE, jv_text_str(&hint), "--insulation '%s' is not known",
              q->insulation);
    jv_text_clear(&hint);
}

static void read_metal(cli_job *job, jv_cable_question *q) {
    const char *metal = cli_value(&job->args, "metal");
    if (metal && jv_metal_read(metal, &q->metal) != JV_OK)
        cli_fault(job, JV_CODE_OPTION_CHOICE,
                  "write copper, tinned copper, copper-clad aluminium or aluminium",
                  "--metal '%s' is not known", metal);
}

static void read_surroundings(cli_job *job, jv_cable_question *q) {
    /* A day: longer than that is for good. */
    const double most_s = 86400.0;
    jv_value air;
    if (cli_quantity(job, "air", JV_DIM_TEMPERATURE, NULL, &air)) {
        q->has_air = true;
        q->air_c = air.high;
        /* Cable is made for -40 degC and up; above 150 degC no table here reaches.
         */
        if (air.low < -60 || air.high > 150)
            cli_fault(job, JV_CODE_QUANTITY_RANGE, "from -60 degC to 150 degC",
                      "--air '%s' is out of range", cli_value(&job->args, "air"));
    }
    read_number(job, "for", JV_DIM_TIME, NULL, WORSE_HIGH, most_s, &q->for_s);
}

/* What only the answer can tell: options that contradict each other. */
static void explain_refusal(cli_job *job, const jv_cable_question *q) {
    if (q->limit == JV_CABLE_LIMIT_KEEP)
        cli_fault(job, JV_CODE_OPTION_CONFLICT,
                  "--keep must be below --supply (12 V when not given)",
                  "--keep '%s' leaves nothing to lose", cli_value(&job->args, "keep"));
    else if (q->limit == JV_CABLE_LIMIT_DROP)
        cli_fault(job, JV_CODE_OPTION_CONFLICT,
                  "--drop must not be above --supply (12 V when not given)",
                  "--drop '%s' is more than there is", cli_value(&job->args, "drop"));
    else
        cli_fault(job, JV_CODE_OPTION_CONFLICT, "give an insulation for more heat, or cooler air",
                  "the air is at or above what the insulation stands");
}

static cli_exit run(cli_job *job) {
    jv_cable_question q = {0};
    if (!read_number(job, "amps", JV_DIM_CURRENT, "A", WORSE_HIGH, JV_CABLE_MOST_A, &q.current_a) &&
        !cli_has(&job->args, "amps"))
        cli_fault(job, JV_CODE_OPTION_MISSING, "--amps 30", "the current is missing");
    read_length(job, &q);
    read_number(job, "supply", JV_DIM_VOLTAGE, "V", WORSE_LOW, JV_CABLE_MOST_V, &q.supply_v);
    read_limit(job, &q);
    read_basis(job, &q);
    read_insulation(job, &q);
    read_metal(job, &q);
    read_surroundings(job, &q);
    if (job->faults.errors)
        return CLI_CANNOT;
    jv_cable_answer answer;
    if (jv_cable_find(&q, &answer) != JV_OK) {
        explain_refusal(job, &q);
        return CLI_CANNOT;
    }
    if (!job->common.json)
        jv_cable_text(&answer, &job->common.style, &job->out);
    else if (jv_cable_json(&answer, &job->out) != JV_OK)
        job->faults.out_of_memory = true;
    return answer.chosen < answer.count ? CLI_HOLDS : CLI_FINDING;
}

static const cli_option options[] = {
    {"amps", "A", "The current: 30, \"30 A\". Needed.", false},
    {"one-way", "L",
     "From source to load, the return being the same cable: \"24 ft\", \"7.3 "
     "m\".",
     false},
    {"loop", "L", "All the conductor, out and back. Give this or --one-way.", false},
    {"supply", "V", "At the source under that load: 12.2, \"12.2 V\". Default: 12 V.", false},
    {"keep", "V", "Volts that must reach the load: 11, \"11 V\".", false},
    {"drop", "P",
     "What may be lost, of the supply or in volts: \"3 %\", \"0.5 V\". "
     "Default: 3 %.",
     false},
    {"basis", "awg|sae|mm2",
     "Sizes to choose from. Default: sae, the smaller copper of vehicle cable.", false},
    {"insulation", "TYPE", "GPT, TXL, SGX, ... (jackvolt table insulation). Default: GPT.", false},
    {"air", "TEMP", "Air around the cable: \"95 degF\", \"35 degC\". Default: 30 degC.", false},
    {"for", "TIME",
     "How long the current lasts from cold: \"90 s\", \"5 min\". Default: for "
     "good.",
     false},
    {"metal", "METAL",
     "copper, \"tinned copper\", \"copper-clad aluminium\" or aluminium. "
     "Default: copper.",
     false},
};

const cli_command cli_cmd_cable = {
    .name = "cable",
    .summary = "Which cable and fuse for a current over a length.",
    .usage = "--amps A (--one-way L | --loop L) [--supply V] [--keep V | "
             "--drop P] [options]",
    .about = "Works out each size for a source, a cable out, a load and a "
             "cable back: the drop with the "
             "conductor as warm as the current makes it, the volts left, the "
             "fuse, the metal. It names "
             "the least size that keeps the drop, stays cooler than its "
             "insulation stands and can be "
             "protected by a fuse that is not above what it carries. One way "
             "and loop are confused every "
             "day: every answer says both.",
    .examples = "  jackvolt cable --amps 30 --one-way \"24 ft\"\n"
                "  jackvolt cable --amps 90 --loop \"11 m\" --keep \"11 V\" "
                "--supply \"12.3 V\" "
                "--for \"90 s\"\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .run = run,
};
