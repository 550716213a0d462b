/* test_memory.c - allocation hook and arena. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

#include "jackvolt/memory.h"
#include "jackvolt/status.h"
#include "tests/support/failing.h"

static void overflow_and_zero_give_null(void **state) {
    (void)state;
    assert_null(jv_alloc(SIZE_MAX / 2, 3));
    assert_null(jv_alloc(0, 8));
    assert_null(jv_zalloc(8, 0));
    jv_free(NULL);
}

static void zalloc_is_zero_and_resize_keeps(void **state) {
    (void)state;
    unsigned char *p = jv_zalloc(100, 1);
    assert_non_null(p);
    for (int i = 0; i < 100; i++) {
        assert_int_equal(p[i], 0);
        p[i] = (unsigned char)i;
    }
    p = jv_resize(p, 1000, 1);
    assert_non_null(p);
    for (int i = 0; i < 100; i++) {
        assert_int_equal(p[i], i);
    }
    assert_null(jv_resize(p, SIZE_MAX, 2)); /* the block must stay valid */
    assert_int_equal(p[99], 99);
    jv_free(p);
}

static void arena_is_zeroed_aligned_and_disjoint(void **state) {
    (void)state;
    jv_arena arena = {0};
    unsigned char *block[300];
    for (size_t i = 0; i < 300; i++) {
        const size_t size = 1 + i * 7 % 500;
        block[i] = jv_arena_alloc(&arena, size, 1);
        assert_non_null(block[i]);
        assert_int_equal((uintptr_t)block[i] % _Alignof(max_align_t), 0);
        for (size_t j = 0; j < size; j++) {
            assert_int_equal(block[i][j], 0);
        }
        memset(block[i], (int)(i % 255) + 1, size);
    }
    for (size_t i = 0; i < 300; i++) {
        for (size_t j = 0; j < 1 + i * 7 % 500; j++) {
            assert_int_equal(block[i][j], i % 255 + 1);
        }
    }
    jv_arena_clear(&arena);
    assert_null(arena.head);
    assert_int_equal(arena.total, 0);
}

static void arena_takes_large_empty_and_refuses_overflow(void **state) {
    (void)state;
    jv_arena arena = {0};
    const size_t large = (size_t)3 << 20;
    char *p = jv_arena_alloc(&arena, large, 1);
    assert_non_null(p);
    assert_int_equal(p[large - 1], 0);
    assert_non_null(jv_arena_alloc(&arena, 0, 8));
    assert_null(jv_arena_alloc(&arena, SIZE_MAX / 2, 4));
    assert_null(jv_arena_alloc(&arena, SIZE_MAX, 1));
    /* One large block must not make all later blocks as large. */
    const size_t before = arena.total;
    assert_non_null(jv_arena_alloc(&arena, 5000, 1));
    assert_true(arena.total - before < large / 2);
    jv_arena_clear(&arena);
}

static void arena_copies_text(void **state) {
    (void)state;
    jv_arena arena = {0};
    assert_string_equal(jv_arena_copy(&arena, "ground stud", 6), "ground");
    assert_string_equal(jv_arena_copy(&arena, "", 0), "");
    assert_null(jv_arena_copy(&arena, "x", SIZE_MAX));
    jv_arena_clear(&arena);
}

static void hook_sees_every_block_and_failure_is_null(void **state) {
    (void)state;
    failing_start(3);
    jv_arena arena = {0};
    assert_non_null(jv_arena_alloc(&arena, 1000, 1));
    assert_non_null(jv_arena_alloc(&arena, 1000, 1));
    assert_null(jv_arena_alloc(&arena, 9000, 1));
    assert_null(jv_arena_copy(&arena, "a text that does not fit", 4000));
    assert_int_equal(failing_blocks(), 2);
    jv_arena_clear(&arena);
    assert_int_equal(failing_blocks(), 0);
    assert_null(jv_zalloc(1, 1));
    failing_stop();
}

static void every_status_has_its_own_text(void **state) {
    (void)state;
    for (int a = JV_OK; a <= JV_ERR_SYSTEM; a++) {
        assert_true(strlen(jv_status_text((jv_status)a)) > 1);
        for (int b = JV_OK; b < a; b++) {
            assert_string_not_equal(jv_status_text((jv_status)a), jv_status_text((jv_status)b));
        }
    }
    assert_string_equal(jv_status_text((jv_status)99), "unknown status");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(overflow_and_zero_give_null),
        cmocka_unit_test(zalloc_is_zero_and_resize_keeps),
        cmocka_unit_test(arena_is_zeroed_aligned_and_disjoint),
        cmocka_unit_test(arena_takes_large_empty_and_refuses_overflow),
        cmocka_unit_test(arena_copies_text),
        cmocka_unit_test(hook_sees_every_block_and_failure_is_null),
        cmocka_unit_test(every_status_has_its_own_text),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
