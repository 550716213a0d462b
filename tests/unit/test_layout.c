/* test_layout.c - the example circuits that the program carries. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "jackvolt/diag.h"
#include "jackvolt/layout.h"
#include "jackvolt/read.h"
#include "jackvolt/text.h"

#include <glob.h>
#include <stdio.h>
#include <string.h>

static void read_whole(const char *path, jv_text *out) {
    char block[4096];
    size_t n;
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    while ((n = fread(block, 1, sizeof block, file)) > 0)
        jv_text_add_n(out, block, n);
    assert_int_equal(fclose(file), 0);
}

/* Tests run in the top directory. */
static void layouts_are_the_files_of_circuits(void **state) {
    (void)state;
    glob_t found;
    const jv_layout *list;
    assert_int_equal(glob("circuits/*.json", 0, NULL, &found), 0);
    assert_int_equal(jv_layouts(&list), found.gl_pathc);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        jv_text path = {0}, text = {0};
        jv_text_addf(&path, "circuits/%s.json", list[i].name);
        assert_string_equal(jv_text_str(&path), found.gl_pathv[i]);
        read_whole(found.gl_pathv[i], &text);
        assert_int_equal(list[i].length, text.length);
        assert_string_equal(list[i].text, jv_text_str(&text));
        jv_text_clear(&path);
        jv_text_clear(&text);
    }
    globfree(&found);
}

static void a_layout_is_found_by_its_name_and_no_other(void **state) {
    (void)state;
    const jv_layout *layout = jv_layout_find("small-trailer");
    jv_diags diags = {0};
    jv_circuit *c = NULL;
    assert_non_null(layout);
    assert_int_equal(
        jv_circuit_read_text(layout->text, layout->length, layout->name, NULL, &diags, &c), JV_OK);
    assert_string_equal(jv_circuit_name(c), "small trailer, two rear jacks");
    assert_null(jv_layout_find("small"));
    assert_null(jv_layout_find("small-trailer.json"));
    assert_null(jv_layout_find(""));
    jv_circuit_free(&c);
    jv_diags_clear(&diags);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(layouts_are_the_files_of_circuits),
        cmocka_unit_test(a_layout_is_found_by_its_name_and_no_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
