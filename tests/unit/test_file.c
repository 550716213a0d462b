/* test_file.c - whole files: read, or refused with the reason. SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>
#include <cmocka.h>

#include "jackvolt/memory.h"
#include "read/file.h"
#include "tests/support/failing.h"

static const size_t ROOM = (size_t)1 << 20;

static char folder[] = P_tmpdir "/jackvolt-test-XXXXXX";
static char path[sizeof folder + 16];

static int make_folder(void **state) {
    (void)state;
    return mkdtemp(folder) == NULL;
}

static int remove_folder(void **state) {
    (void)state;
    return rmdir(folder);
}

static void write_file(const char *name, const char *data, size_t size) {
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(data, 1, size, file), size);
    assert_int_equal(fclose(file), 0);
}

static jv_code refused(const char *name, size_t max_bytes) {
    jv_diags d = {0};
    char *data = NULL;
    size_t size = 0;
    assert_int_equal(jv_file_read(name, max_bytes, &d, &data, &size), JV_ERR_SYSTEM);
    assert_null(data);
    assert_int_equal(d.count, 1);
    assert_string_equal(d.items[0].place.file, name);
    assert_non_null(d.items[0].hint);
    jv_code code = d.items[0].code;
    jv_diags_clear(&d);
    return code;
}

static void reads_all_bytes_and_a_zero(void **state) {
    (void)state;
    for (size_t size = 0; size < 3; size++) {
        write_file("a.json", "{}", size);
        jv_diags d = {0};
        char *data = NULL;
        size_t got = 99;
        assert_int_equal(jv_file_read(path, size, &d, &data, &got), JV_OK);
        assert_int_equal(got, size);
        assert_memory_equal(data, "{}", size);
        assert_int_equal(data[size], 0);
        jv_free(data);
        unlink(path);
    }
}

static void refuses_with_the_reason(void **state) {
    (void)state;
    assert_int_equal(refused(folder, ROOM), JV_CODE_FILE_DIRECTORY);
    assert_int_equal(refused("no/such/file.json", ROOM), JV_CODE_FILE_MISSING);
    write_file("b.json", "12345", 5);
    assert_int_equal(refused(path, 4), JV_CODE_FILE_TOO_LARGE);
    char inside[sizeof path + 8];
    snprintf(inside, sizeof inside, "%s/x", path);
    assert_int_equal(refused(inside, ROOM), JV_CODE_FILE_MISSING);
    unlink(path);
    /* Endless: refused as soon as it passes the limit. */
    assert_int_equal(refused("/dev/zero", ROOM), JV_CODE_FILE_TOO_LARGE);
}

/* The system owner may read everything, so the child becomes nobody first. */
static void refuses_what_may_not_be_read(void **state) {
    (void)state;
    const uid_t nobody = 65534;
    write_file("c.json", "{}", 2);
    assert_int_equal(chmod(path, 0), 0);
    assert_int_equal(chmod(folder, 0755), 0);
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        jv_diags d = {0};
        char *data = NULL;
        size_t size = 0;
        bool ready = geteuid() != 0 || setuid(nobody) == 0;
        bool right = ready && jv_file_read(path, ROOM, &d, &data, &size) == JV_ERR_SYSTEM &&
                     d.count == 1 && d.items[0].code == JV_CODE_FILE_PERMISSION;
        jv_diags_clear(&d);
        _exit(right ? 0 : 1);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), 0);
    unlink(path);
}

enum { PIECES = 30, PIECE = 10000 };

static void write_pieces(int fd) {
    char piece[PIECE];
    memset(piece, 'x', sizeof piece);
    bool right = true;
    for (int i = 0; i < PIECES; i++) {
        right = right && write(fd, piece, sizeof piece) == (ssize_t)sizeof piece;
    }
    _exit(right ? 0 : 1);
}

/* Reads PIECES pieces from a pipe as standard input: a pipe does not tell its size, and
 * gives what it has piece by piece. */
static jv_status read_pipe(size_t max_bytes, jv_diags *d, char **data, size_t *size) {
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(ends[0]); /* else the pipe would still have a reader when the parent is done */
        write_pieces(ends[1]);
    }
    close(ends[1]);
    int saved = dup(STDIN_FILENO);
    assert_int_equal(dup2(ends[0], STDIN_FILENO), STDIN_FILENO);
    jv_status status = jv_file_read("-", max_bytes, d, data, size);
    dup2(saved, STDIN_FILENO);
    close(saved);
    close(ends[0]); /* a writer that is not done gets a signal and ends */
    assert_int_equal(waitpid(child, NULL, 0), child);
    return status;
}

static void reads_standard_input(void **state) {
    (void)state;
    jv_diags d = {0};
    char *data = NULL;
    size_t size = 0;
    assert_int_equal(read_pipe(ROOM, &d, &data, &size), JV_OK);
    assert_int_equal(size, (size_t)PIECES * PIECE);
    assert_int_equal(strspn(data, "x"), size);
    jv_free(data);
}

static void stops_a_pipe_at_the_limit(void **state) {
    (void)state;
    jv_diags d = {0};
    char *data = NULL;
    size_t size = 0;
    assert_int_equal(read_pipe((size_t)PIECES * PIECE - 1, &d, &data, &size), JV_ERR_SYSTEM);
    assert_null(data);
    assert_int_equal(d.items[0].code, JV_CODE_FILE_TOO_LARGE);
    assert_string_equal(d.items[0].place.file, "standard input");
    jv_diags_clear(&d);
}

static void tells_what_the_system_refuses(void **state) {
    (void)state;
    int saved = dup(STDIN_FILENO);
    close(STDIN_FILENO);
    assert_int_equal(open("/dev/null", O_WRONLY), STDIN_FILENO);
    jv_diags d = {0};
    char *data = NULL;
    size_t size = 0;
    jv_status unreadable = jv_file_read("-", ROOM, &d, &data, &size);
    close(STDIN_FILENO); /* fstat has nothing to look at */
    jv_status closed = jv_file_read("-", ROOM, &d, &data, &size);
    dup2(saved, STDIN_FILENO);
    close(saved);
    assert_int_equal(unreadable, JV_ERR_SYSTEM);
    assert_int_equal(closed, JV_ERR_SYSTEM);
    assert_int_equal(d.count, 2);
    assert_int_equal(d.items[0].code, JV_CODE_FILE_READ);
    assert_int_equal(d.items[1].code, JV_CODE_FILE_READ);
    jv_diags_clear(&d);
}

static void every_failed_allocation_is_a_clean_error(void **state) {
    (void)state;
    for (size_t n = 1;; n++) {
        failing_start(n);
        jv_diags d = {0};
        char *data = NULL;
        size_t size = 0;
        jv_status status = read_pipe(ROOM, &d, &data, &size);
        bool reached = failing_calls() >= n;
        assert_int_equal(status, reached ? JV_ERR_MEMORY : JV_OK);
        assert_true((data == NULL) == reached);
        jv_free(data);
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
        if (!reached) {
            assert_true(n > 3); /* the room had to grow */
            return;
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_all_bytes_and_a_zero),
        cmocka_unit_test(refuses_with_the_reason),
        cmocka_unit_test(refuses_what_may_not_be_read),
        cmocka_unit_test(reads_standard_input),
        cmocka_unit_test(stops_a_pipe_at_the_limit),
        cmocka_unit_test(tells_what_the_system_refuses),
        cmocka_unit_test(every_failed_allocation_is_a_clean_error),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
