/* file.c - reading a whole file. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L
#include "read/file.h"

#include "jackvolt/memory.h"

#include <errno.h>
#include <fcntl.h>
#include <stdint.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define FIRST_BYTES 65536 /* room for an input whose size is not known before */

static jv_status refuse(const char *path, jv_diags *diags, jv_code code, const char *message) {
    jv_place place = {path, NULL, 0, 0};
    jv_diag_add(diags, JV_ERROR, code, &place, jv_code_advice(code), "%s", message);
    return JV_ERR_SYSTEM;
}

/* The reason is told in our words: strerror depends on the locale. */
static jv_status refuse_errno(const char *path, jv_diags *diags, int error) {
    switch (error) {
    case ENOENT:
        return refuse(path, diags, JV_CODE_FILE_MISSING, "there is no such file");
    case ENOTDIR:
        return refuse(path, diags, JV_CODE_FILE_MISSING,
                      "there is no such file: a part of the path is no directory");
    case EACCES:
    case EPERM:
        return refuse(path, diags, JV_CODE_FILE_PERMISSION, "the system does not allow reading it");
    case EISDIR:
        return refuse(path, diags, JV_CODE_FILE_DIRECTORY, "this is a directory, not a file");
    case ENOMEM:
        return JV_ERR_MEMORY;
    default: {
        jv_place place = {path, NULL, 0, 0};
        jv_diag_add(diags, JV_ERROR, JV_CODE_FILE_READ, &place, jv_code_advice(JV_CODE_FILE_READ),
                    "reading failed (system error %d)", error);
        return JV_ERR_SYSTEM;
    }
    }
}

static jv_status refuse_size(const char *path, jv_diags *diags, size_t max_bytes) {
    jv_place place = {path, NULL, 0, 0};
    jv_diag_add(diags, JV_ERROR, JV_CODE_FILE_TOO_LARGE, &place,
                jv_code_advice(JV_CODE_FILE_TOO_LARGE),
                "the file has more than the %zu bytes that are read at most", max_bytes);
    return JV_ERR_SYSTEM;
}

/* Reads to the end; the size that the system gave is where the room starts, and one
 * byte more tells whether the file ends there. */
static jv_status read_all(int fd, const char *path, size_t room, size_t max_bytes, jv_diags *diags,
                          char **data, size_t *size) {
    size_t n = 0;
    char *buffer = jv_alloc(room + 1, 1);
    if (buffer == NULL) {
        return JV_ERR_MEMORY;
    }
    for (;;) {
        if (n == room + 1) {
            char *larger = room > max_bytes ? NULL : jv_resize(buffer, 2 * room + 1, 1);
            if (larger == NULL) {
                jv_free(buffer);
                return room > max_bytes ? refuse_size(path, diags, max_bytes) : JV_ERR_MEMORY;
            }
            buffer = larger;
            room *= 2;
        }
        ssize_t got = read(fd, buffer + n, room + 1 - n);
        if (got < 0 && errno == EINTR) {
            continue;
        }
        if (got < 0) {
            jv_status status = refuse_errno(path, diags, errno);
            jv_free(buffer);
            return status;
        }
        n += (size_t)got;
        if (got == 0 || n > max_bytes) {
            break;
        }
    }
    if (n > max_bytes) {
        jv_free(buffer);
        return refuse_size(path, diags, max_bytes);
    }
    buffer[n] = '\0'; /* the end was seen with at least one byte of room left */
    *data = buffer;
    *size = n;
    return JV_OK;
}

static jv_status read_open(int fd, const char *path, size_t max_bytes, jv_diags *diags, char **data,
                           size_t *size) {
    struct stat info;
    if (fstat(fd, &info) != 0) {
        return refuse_errno(path, diags, errno);
    }
    if (S_ISDIR(info.st_mode)) {
        return refuse_errno(path, diags, EISDIR);
    }
    size_t room = FIRST_BYTES;
    if (S_ISREG(info.st_mode) && info.st_size > 0) {
        if ((uintmax_t)info.st_size > max_bytes) {
            return refuse_size(path, diags, max_bytes);
        }
        room = (size_t)info.st_size;
    }
    return read_all(fd, path, room, max_bytes, diags, data, size);
}

/* Opens a file, or standard input when path is "-" (*name then says so). -1: refused. */
static int open_input(const char *path, jv_diags *diags, jv_status *status, const char **name) {
    *name = path;
    *status = JV_OK;
    if (strcmp(path, "-") == 0) {
        *name = "standard input";
        return STDIN_FILENO;
    }
    int fd;
    do {
        fd = open(path, O_RDONLY | O_CLOEXEC);
    } while (fd < 0 && errno == EINTR);
    if (fd < 0) {
        *status = refuse_errno(path, diags, errno);
    }
    return fd;
}

static void close_input(int fd) {
    if (fd >= 0 && fd != STDIN_FILENO) {
        close(fd);
    }
}

jv_status jv_file_read(const char *path, size_t max_bytes, jv_diags *diags, char **data,
                       size_t *size) {
    jv_status status;
    const char *name;
    int fd = open_input(path, diags, &status, &name);
    if (fd >= 0) {
        status = read_open(fd, name, max_bytes, diags, data, size);
    }
    close_input(fd);
    return status;
}

static jv_status stream_open(int fd, const char *path, size_t max_bytes, jv_diags *diags,
                             bool (*take)(void *ctx, const char *bytes, size_t length), void *ctx) {
    struct stat info;
    if (fstat(fd, &info) == 0 && S_ISREG(info.st_mode) && info.st_size > 0 &&
        (uintmax_t)info.st_size > max_bytes) { /* told at once, not when so much has been read */
        return refuse_size(path, diags, max_bytes);
    }
    char *block = jv_alloc(FIRST_BYTES, 1);
    size_t all = 0;
    jv_status status = block != NULL ? JV_OK : JV_ERR_MEMORY;
    while (status == JV_OK) {
        ssize_t got = read(fd, block, FIRST_BYTES);
        if (got < 0 && errno == EINTR) {
            continue;
        }
        if (got < 0) {
            status = refuse_errno(path, diags, errno);
            break;
        }
        all += (size_t)got;
        if (all > max_bytes) {
            status = refuse_size(path, diags, max_bytes);
        } else if (got == 0 || !take(ctx, block, (size_t)got)) {
            break;
        }
    }
    jv_free(block);
    return status;
}

jv_status jv_file_stream(const char *path, size_t max_bytes, jv_diags *diags,
                         bool (*take)(void *ctx, const char *bytes, size_t length), void *ctx) {
    jv_status status;
    const char *name;
    int fd = open_input(path, diags, &status, &name);
    if (fd >= 0) {
        status = stream_open(fd, name, max_bytes, diags, take, ctx);
    }
    close_input(fd);
    return status;
}
