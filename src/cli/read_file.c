/* read_file.c - a whole file as text. SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700 /* POSIX 2008 with realpath */
#include "cli/read_file.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

static const size_t most_bytes = (size_t)16 << 20;

static void fault(cli_job *job, const char *path, int error) {
    jv_code code = error == ENOENT   ? JV_CODE_FILE_MISSING
                   : error == EACCES ? JV_CODE_FILE_PERMISSION
                   : error == EISDIR ? JV_CODE_FILE_DIRECTORY
                                     : JV_CODE_FILE_READ;
    cli_fault(job, code, NULL, "cannot read %s: %s", path, strerror(error));
}

static int read_all(int fd, jv_text *out) {
    enum { BLOCK = 16384 };
    char block[BLOCK];
    for (;;) {
        ssize_t n = read(fd, block, sizeof block);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return errno;
        if (n == 0)
            return 0;
        jv_text_add_n(out, block, (size_t)n);
        if (out->failed)
            return ENOMEM;
        if (out->length > most_bytes)
            return EFBIG;
    }
}

bool cli_read_file_if(cli_job *job, const char *path, jv_text *out, bool *there) {
    bool standard = strcmp(path, "-") == 0;
    int fd = standard ? STDIN_FILENO : open(path, O_RDONLY);
    *there = fd >= 0;
    if (fd < 0 && errno == ENOENT)
        return true;
    int error = fd < 0 ? errno : read_all(fd, out);
    if (fd >= 0 && !standard)
        close(fd);
    if (error)
        fault(job, path, error);
    return !error;
}

bool cli_read_file(cli_job *job, const char *path, jv_text *out) {
    bool there;
    if (!cli_read_file_if(job, path, out, &there))
        return false;
    if (!there)
        fault(job, path, ENOENT);
    return there;
}
