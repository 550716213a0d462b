/* replay.c - runs a fuzz target over the files named, without a fuzzer.
 * SPDX-License-Identifier: MIT */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* The whole file as one block of exactly its size, so that a sanitizer sees a read
 * past its end. NULL when it cannot be read. */
static uint8_t *read_file(const char *path, size_t *size) {
    FILE *file = fopen(path, "rb");
    if (file == NULL) {
        return NULL;
    }
    uint8_t *data = NULL;
    if (fseek(file, 0, SEEK_END) == 0) {
        long end = ftell(file);
        *size = end > 0 ? (size_t)end : 0;
        data = malloc(*size > 0 ? *size : 1);
    }
    rewind(file);
    if (data != NULL && fread(data, 1, *size, file) != *size) {
        free(data);
        data = NULL;
    }
    fclose(file);
    return data;
}

int main(int argc, char **argv) {
    for (int i = 1; i < argc; i++) {
        size_t size = 0;
        uint8_t *data = read_file(argv[i], &size);
        if (data == NULL) {
            fprintf(stderr, "%s: cannot be read\n", argv[i]);
            return 1;
        }
        LLVMFuzzerTestOneInput(data, size);
        free(data);
    }
    return 0;
}
