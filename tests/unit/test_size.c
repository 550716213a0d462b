/* test_size.c - conductor sizes read and printed. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

#include "jackvolt/diag.h"
#include "jackvolt/quantity.h"

static void reads_trade_forms_and_prints_one(void **state) {
    (void)state;
    static const struct {
        const char *text;
        jv_size_system system;
        int gauge;
        double area_mm2;
        const char *printed;
    } cases[] = {
        {"6 AWG", JV_SIZE_AWG, 6, 0, "6 AWG"},
        {"6AWG", JV_SIZE_AWG, 6, 0, "6 AWG"},
        {"AWG 6", JV_SIZE_AWG, 6, 0, "6 AWG"},
        {"AWG6", JV_SIZE_AWG, 6, 0, "6 AWG"},
        {"awg2", JV_SIZE_AWG, 2, 0, "2 AWG"},
        {"#6", JV_SIZE_AWG, 6, 0, "6 AWG"},
        {"# 6 AWG", JV_SIZE_AWG, 6, 0, "6 AWG"},
        {"6 ga", JV_SIZE_AWG, 6, 0, "6 AWG"},
        {"6 gauge", JV_SIZE_AWG, 6, 0, "6 AWG"},
        {"0 AWG", JV_SIZE_AWG, 0, 0, "1/0 AWG"},
        {"1/0 AWG", JV_SIZE_AWG, 0, 0, "1/0 AWG"},
        {"2/0", JV_SIZE_AWG, -1, 0, "2/0 AWG"},
        {"00", JV_SIZE_AWG, -1, 0, "2/0 AWG"},
        {"000 ga", JV_SIZE_AWG, -2, 0, "3/0 AWG"},
        {"#4/0", JV_SIZE_AWG, -3, 0, "4/0 AWG"},
        {"40 AWG", JV_SIZE_AWG, 40, 0, "40 AWG"},
        {"SAE 6", JV_SIZE_SAE, 6, 0, "SAE 6"},
        {"sae6", JV_SIZE_SAE, 6, 0, "SAE 6"},
        {"SAE 2/0", JV_SIZE_SAE, -1, 0, "SAE 2/0"},
        {"16 mm2", JV_SIZE_MM2, 0, 16, "16 mm2"},
        {"16mm^2", JV_SIZE_MM2, 0, 16, "16 mm2"},
        {" 2.5 mm\xC2\xB2 ", JV_SIZE_MM2, 0, 2.5, "2.5 mm2"},
        {"0.05 sq mm", JV_SIZE_MM2, 0, 0.05, "0.05 mm2"},
        {"1000 mm2", JV_SIZE_MM2, 0, 1000, "1000 mm2"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jv_size size;
        jv_quantity_fault f = {0};
        if (jv_size_read(cases[i].text, &size, &f) != JV_OK) {
            fail_msg("'%s' refused: %s", cases[i].text, f.message);
        }
        assert_int_equal(size.system, cases[i].system);
        assert_int_equal(size.gauge, cases[i].gauge);
        assert_true(size.area_mm2 == cases[i].area_mm2);
        jv_text out = {0};
        jv_size_print(&out, &size);
        assert_string_equal(jv_text_str(&out), cases[i].printed);
        jv_text_clear(&out);
    }
}

static void every_gauge_comes_back(void **state) {
    (void)state;
    for (int system = JV_SIZE_AWG; system <= JV_SIZE_SAE; system++) {
        for (int gauge = -3; gauge <= 40; gauge++) {
            const jv_size size = {(jv_size_system)system, gauge, 0.0};
            jv_size back;
            jv_text out = {0};
            jv_size_print(&out, &size);
            assert_int_equal(jv_size_read(jv_text_str(&out), &back, NULL), JV_OK);
            assert_int_equal(back.system, system);
            assert_int_equal(back.gauge, gauge);
            jv_text_clear(&out);
        }
    }
}

static void refuses_what_is_no_size(void **state) {
    (void)state;
    static const struct {
        const char *text;
        jv_code code;
    } cases[] = {
        {"", JV_CODE_QUANTITY_FORM},
        {"6", JV_CODE_QUANTITY_BARE},
        {"0", JV_CODE_QUANTITY_BARE},
        {"2.5", JV_CODE_QUANTITY_BARE},
        {"AWG", JV_CODE_SIZE_FORM},
        {"6.5 AWG", JV_CODE_SIZE_FORM},
        {"06 AWG", JV_CODE_SIZE_FORM},
        {"-6 AWG", JV_CODE_SIZE_FORM},
        {"10/3", JV_CODE_SIZE_FORM},
        {"0/0", JV_CODE_SIZE_FORM},
        {"/0", JV_CODE_SIZE_FORM},
        {"2/0 mm2", JV_CODE_SIZE_FORM},
        {"6 SAE", JV_CODE_SIZE_FORM},
        {"SAE 6 AWG", JV_CODE_SIZE_FORM},
        {"AWG 6 AWG", JV_CODE_SIZE_FORM},
        {"6 AWG copper", JV_CODE_SIZE_FORM},
        {"6 AWG 2", JV_CODE_SIZE_FORM},
        {"16 mm", JV_CODE_SIZE_FORM},
        {"1.2.3 mm2", JV_CODE_SIZE_FORM},
        {"16 mm2x", JV_CODE_SIZE_FORM},
        {"41 AWG", JV_CODE_QUANTITY_RANGE},
        {"5/0", JV_CODE_QUANTITY_RANGE},
        {"00000", JV_CODE_QUANTITY_RANGE},
        {"99999999999999999999 AWG", JV_CODE_QUANTITY_RANGE},
        {"0.01 mm2", JV_CODE_QUANTITY_RANGE},
        {"1001 mm2", JV_CODE_QUANTITY_RANGE},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jv_size size = {JV_SIZE_SAE, 17, 3.0};
        jv_quantity_fault f = {0};
        print_message("'%s'\n", cases[i].text);
        assert_int_equal(jv_size_read(cases[i].text, &size, &f), JV_ERR_INPUT);
        assert_int_equal(f.code, cases[i].code);
        assert_true(strlen(f.message) > 8 && strlen(f.hint) > 8);
        assert_true(size.gauge == 17 && size.area_mm2 == 3.0);
        assert_int_equal(jv_size_read(cases[i].text, &size, NULL), JV_ERR_INPUT);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_trade_forms_and_prints_one),
        cmocka_unit_test(every_gauge_comes_back),
        cmocka_unit_test(refuses_what_is_no_size),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
