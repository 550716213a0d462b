/* output.c - results to standard output or, whole or not at all, to a file.
 * SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700 /* POSIX 2008 with realpath */
#include "cli/cli.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static void output_fault(cli_job *job, const char *path, const char *what, int error) {
    cli_fault(job, JV_CODE_OUTPUT_WRITE, NULL, "cannot %s %s: %s", what, path, strerror(error));
}

/* All bytes, over short writes and interrupts; an errno, 0 = done. */
static int write_all(int fd, const char *data, size_t length) {
    while (length) {
        ssize_t n = write(fd, data, length);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return errno;
        data += n;
        length -= (size_t)n;
    }
    return 0;
}

/* Where `path` leads to, through symbolic links, so that the rename replaces the file
 * and not the link. Free with free(); NULL when the file is not there yet. */
static char *resolve(const char *path) {
    return realpath(path, NULL);
}

/* Permissions of a file made anew: what the umask leaves; of an old one: as they were. */
static mode_t mode_for(const struct stat *old) {
    if (old)
        return old->st_mode & 0777;
    mode_t mask = umask(0);
    umask(mask);
    return 0666 & ~mask;
}

/* Write beside the target and rename over it: a reader sees the old file or the new
 * one, and a full disk leaves the old one. */
static bool replace_file(cli_job *job, const char *target, const struct stat *old,
                         const jv_text *text) {
    jv_text temporary = {0};
    jv_text_addf(&temporary, "%s.XXXXXX", target);
    if (temporary.failed) {
        job->faults.out_of_memory = true;
        return false;
    }
    int fd = mkstemp(temporary.data);
    if (fd < 0) {
        output_fault(job, target, "write", errno);
        jv_text_clear(&temporary);
        return false;
    }
    int error = write_all(fd, jv_text_str(text), text->length);
    if (!error && (fchmod(fd, mode_for(old)) || fsync(fd)))
        error = errno;
    if (close(fd) && !error)
        error = errno;
    if (!error && rename(temporary.data, target))
        error = errno;
    if (error) {
        unlink(temporary.data);
        output_fault(job, target, "write", error);
    }
    jv_text_clear(&temporary);
    return !error;
}

/* A device or a pipe has no "whole": it is written straight. */
static bool write_special(cli_job *job, const char *path, const jv_text *text) {
    int fd = open(path, O_WRONLY);
    int error = fd < 0 ? errno : write_all(fd, jv_text_str(text), text->length);
    if (fd >= 0 && close(fd) && !error)
        error = errno;
    if (error)
        output_fault(job, path, "write", error);
    return !error;
}

static bool write_file(cli_job *job, const char *path, const jv_text *text) {
    struct stat old;
    bool there = stat(path, &old) == 0;
    if (there && S_ISDIR(old.st_mode)) {
        cli_fault(job, JV_CODE_OUTPUT_DIRECTORY, "give the name of a file in it",
                  "-o %s is a directory", path);
        return false;
    }
    if (there && !S_ISREG(old.st_mode))
        return write_special(job, path, text);
    char *target = there ? resolve(path) : NULL;
    bool done = replace_file(job, target ? target : path, there ? &old : NULL, text);
    free(target);
    return done;
}

static bool same_file(const struct stat *a, const char *path) {
    struct stat b;
    return path && stat(path, &b) == 0 && a->st_dev == b.st_dev && a->st_ino == b.st_ino;
}

static void guard(cli_job *job, const char *option, const char *path) {
    struct stat out;
    bool read = false;
    if (!path || stat(path, &out) != 0 || !S_ISREG(out.st_mode))
        return;
    for (size_t i = 0; i < job->args.word_count; i++)
        read = read || same_file(&out, job->args.words[i]);
    for (size_t i = 0; i < job->args.given_count; i++)
        if (job->args.given[i].value != path)
            read = read || same_file(&out, job->args.given[i].value);
    if (read)
        cli_fault(job, JV_CODE_OUTPUT_IS_INPUT, "give another name",
                  "%s %s is a file that this run reads", option, path);
}

void cli_output_guard(cli_job *job) {
    guard(job, "-o", cli_value(&job->args, "o"));
    guard(job, "--csv", cli_value(&job->args, "csv"));
    guard(job, "--fit", cli_value(&job->args, "fit"));
}

bool cli_output_write(cli_job *job, const char *path, const jv_text *text) {
    if (text->failed) {
        job->faults.out_of_memory = true;
        return false;
    }
    if (path && strcmp(path, "-") != 0)
        return write_file(job, path, text);
    int error = write_all(STDOUT_FILENO, jv_text_str(text), text->length);
    if (error)
        output_fault(job, "standard output", "write to", error);
    return !error;
}

void cli_faults_print(cli_job *job) {
    jv_text text = {0};
    jv_text_add(&text, jv_text_str(&job->aside));
    jv_diags_print(&job->faults, &text);
    if (job->faults.out_of_memory || text.failed)
        jv_text_add(&text, "jackvolt: error: out of memory\n");
    if (text.failed)
        write_all(STDERR_FILENO, "jackvolt: error: out of memory\n", 31);
    /* Nothing is left to tell a person when standard error fails too. */
    write_all(STDERR_FILENO, jv_text_str(&text), text.length);
    jv_text_clear(&text);
}
