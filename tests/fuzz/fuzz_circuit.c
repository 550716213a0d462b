/* fuzz_circuit.c - any bytes as a circuit file, with a change behind "\n--set ".
 * SPDX-License-Identifier: MIT */
#include "jackvolt/circuit.h"
#include "jackvolt/read.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void require(bool holds) {
    if (!holds) {
        abort();
    }
}

static const char mark[] = "\n--set ";
enum { MARK = sizeof mark - 1 };

/* Where the last mark starts; size when there is none. */
static size_t find_mark(const uint8_t *data, size_t size) {
    for (size_t i = size; i >= MARK; i--) {
        if (memcmp(data + i - MARK, mark, MARK) == 0) {
            return i - MARK;
        }
    }
    return size;
}

static void check_circuit(const jv_circuit *c) {
    require(jv_circuit_name(c) != NULL && jv_circuit_cases(c) > 0 && jv_circuit_memory(c) > 0);
    for (size_t i = 0; i < jv_circuit_parts(c); i++) {
        require(jv_circuit_part_name(c, i) != NULL && jv_circuit_part_kind(c, i) != NULL);
    }
    for (size_t i = 0; i < jv_circuit_terminals(c); i++) {
        require(jv_circuit_terminal_name(c, i)[0] != '\0');
    }
    for (size_t i = 0; i < jv_circuit_cases(c); i++) {
        require(jv_circuit_find_case(c, jv_circuit_case_name(c, i)) == i);
    }
}

static void check_faults(const jv_diags *d) {
    size_t bad = 0;
    jv_text out = {0};
    for (size_t i = 0; i < d->count; i++) {
        const char *message = d->items[i].message;
        require(message[0] != '\0' && jv_text_is_utf8(message, strlen(message), &bad));
    }
    jv_diags_print(d, &out);
    require(out.failed || out.length > 0);
    jv_text_clear(&out);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    size_t end = find_mark(data, size);
    size_t rest = end < size ? size - end - MARK : 0;
    char *text = malloc(end + 1);
    char *change = malloc(rest + 1);
    require(text != NULL && change != NULL);
    if (end > 0) {
        memcpy(text, data, end);
    }
    if (rest > 0) {
        memcpy(change, data + end + MARK, rest);
    }
    text[end] = '\0';
    change[rest] = '\0';
    const char *sets[] = {change};
    jv_read_options options = {sets, end < size ? 1 : 0};
    jv_diags diags = {0};
    jv_circuit *c = NULL;
    jv_status status = jv_circuit_read_text(text, end, "fuzz.json", &options, &diags, &c);
    if (status == JV_OK) {
        require(diags.errors == 0);
        check_circuit(c);
    } else {
        require(status == JV_ERR_INPUT && c == NULL && diags.errors > 0);
        check_faults(&diags);
    }
    jv_circuit_free(&c);
    jv_diags_clear(&diags);
    free(text);
    free(change);
    return 0;
}
