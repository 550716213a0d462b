/* read_file.h - a whole file as text. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CLI_READ_FILE_H
#define JACKVOLT_CLI_READ_FILE_H

#include "cli/cli.h"

/* Append what a file holds ("-": standard input), at most 16 MiB. False: a fault is recorded. */
bool cli_read_file(cli_job *job, const char *path, jv_text *out);
/* The same, but a file that is not there is no fault: *there tells. */
bool cli_read_file_if(cli_job *job, const char *path, jv_text *out, bool *there);

#endif
