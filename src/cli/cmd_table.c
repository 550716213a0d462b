/* cmd_table.c - jackvolt table: the reference tables. SPDX-License-Identifier:
 * MIT */
#include "cli/cli.h"

#include "jackvolt/memory.h"

static void unknown_table(cli_job *job, const char *name) {
    size_t count = jv_table_count();
    const char **names = jv_alloc(count + 1, sizeof *names);
    if (!names) {
        job->faults.out_of_memory = true;
        return;
    }
    for (size_t i = 0; i < count; i++)
        names[i] = jv_table_at(i)->name;
    const char *near = cli_nearest(name, names, count);
    jv_text hint = {0};
    if (near)
        jv_text_addf(&hint, "did you mean %s?", near);
    else
        jv_text_add(&hint, "jackvolt table lists the tables");
    cli_fault(job, JV_CODE_TABLE_UNKNOWN, jv_text_str(&hint), "no table is called '%s'", name);
    jv_text_clear(&hint);
    jv_free(names);
}

static void print_list(cli_job *job) {
    const jv_style *style = &job->common.style;
    if (job->common.json) {
        if (jv_table_list_json(&job->out) != JV_OK)
            job->faults.out_of_memory = true;
        return;
    }
    jv_table_list_text(style, &job->out);
    if (cli_has(&job->args, "sources")) {
        jv_text_add_char(&job->out, '\n');
        jv_table_sources_text(NULL, style, &job->out);
    }
}

static void print_table(cli_job *job, const jv_table *table) {
    const jv_style *style = &job->common.style;
    if (job->common.json) {
        if (jv_table_json(table, &job->out) != JV_OK)
            job->faults.out_of_memory = true;
        return;
    }
    jv_table_text(table, style, &job->out);
    if (cli_has(&job->args, "sources")) {
        jv_text_add_char(&job->out, '\n');
        jv_table_sources_text(table, style, &job->out);
    }
}

static cli_exit run(cli_job *job) {
    const char *name = job->args.word_count ? job->args.words[0] : NULL;
    const jv_table *table = name ? jv_table_get(name) : NULL;
    if (name && !table)
        unknown_table(job, name);
    if (job->faults.errors)
        return CLI_CANNOT;
    if (table)
        print_table(job, table);
    else
        print_list(job);
    return CLI_HOLDS;
}

static const cli_option options[] = {
    {"sources", NULL, "Also print the documents that the figures come from.", false},
};

const cli_command cli_cmd_table = {
    .name = "table",
    .summary = "The reference tables, each row with its source.",
    .usage = "[NAME] [--sources]",
    .about = "Prints a table of published figures: conductors, fuses, "
             "contacts, batteries, "
             "motors, screws. Each row says where it comes from and how far it "
             "may be trusted. "
             "Without a name it lists the tables. Cells are in the unit of the "
             "document.",
    .examples = "  jackvolt table insulation --sources\n  jackvolt table awg "
                "--format json\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "NAME",
    .most_words = 1,
    .run = run,
};
