/* test_sha256.c - FIPS 180-4's published examples. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "base/sha256.h"
#include "jackvolt/memory.h"

static void expect(const void *data, size_t n, const char *digest) {
    char out[65];
    jv_sha256_hex(data, n, out);
    assert_string_equal(out, digest);
}

/* NIST, Cryptographic Standards and Guidelines, example values of SHA-256: one block, two blocks;
 * the empty message and the million times "a" of the same test set. */
static void published_examples(void **state) {
    (void)state;
    expect("abc", 3, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    const char *two = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
    expect(two, strlen(two), "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    expect("", 0, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    size_t n = 1000000;
    char *a = jv_alloc(n, 1);
    assert_non_null(a);
    memset(a, 'a', n);
    expect(a, n, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
    jv_free(a);
}

/* A tail of 55 bytes fits its block with the length, one of 56 does not. Digests by the
 * sha256sum of the GNU core utilities. */
static void tails_at_the_edge(void **state) {
    (void)state;
    static const char zeros[64] = {0};
    expect(zeros, 55, "02779466cdec163811d078815c633f21901413081449002f24aa3e80f0b88ef7");
    expect(zeros, 56, "d4817aa5497628e7c77e6b606107042bbba3130888c5f47a375e6179be789fbb");
    expect(zeros, 64, "f5a5fd42d16a20302798ef6ed309979b43003d2320d9f0e8ea9831a92759fb4b");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_examples),
        cmocka_unit_test(tails_at_the_edge),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
