/* bench_import.c - import of a harness of 100,000 wires, and drop on the circuit made.
 * SPDX-License-Identifier: MIT */
#define _DEFAULT_SOURCE /* wait4 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/time.h>
#include <sys/wait.h>
#include <unistd.h>

/* The bars of the design: import under 2 s and 500 MB, drop under 1 s, of 100,000 wires. */
static const double most_import_s = 2.0, most_import_mb = 500.0, most_drop_s = 1.0;
static const double kb_per_mb = 1024.0;
enum { ROWS = 1000, WIRES_A_ROW = 100, RUNS = 3 };

/* Rows of wires in a chain of splices, all from the ring IN to the ring OUT: current in all. */
static void write_part(FILE *f) {
    fputs("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
          "<kbl:KBL_container xmlns:kbl=\"http://www.prostep.org/Car_electric_container/KBL2.3/"
          "KBLSchema\" xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\" id=\"c\" "
          "version_id=\"2.4\">\n"
          "\t<Connector_housing id=\"h\">\n\t\t<Slots id=\"hs\">\n\t\t\t<Cavities id=\"hc\">\n"
          "\t\t\t\t<Cavity_number>1</Cavity_number>\n\t\t\t</Cavities>\n\t\t</Slots>\n"
          "\t</Connector_housing>\n"
          "\t<General_wire id=\"w\">\n\t\t<Cross_section_area id=\"wa\">\n"
          "\t\t\t<Unit_component>mm2</Unit_component>\n\t\t\t<Value_component>6</Value_component>\n"
          "\t\t</Cross_section_area>\n\t\t<Cover_colour id=\"wc\">\n"
          "\t\t\t<Colour_type>Grundfarbe</Colour_type>\n\t\t\t<Colour_value>rt</Colour_value>\n"
          "\t\t</Cover_colour>\n\t</General_wire>\n\t<Harness id=\"har\">\n",
          f);
}

static void write_connector(FILE *f, const char *id, const char *usage) {
    fprintf(f,
            "\t\t<Connector_occurrence id=\"c_%s\">\n\t\t\t<Id>%s</Id>\n\t\t\t<Usage>%s</Usage>\n"
            "\t\t\t<Part>h</Part>\n\t\t\t<Contact_points id=\"p_%s\">\n\t\t\t\t<Id>%s-1</Id>\n"
            "\t\t\t\t<Contacted_cavity>v_%s</Contacted_cavity>\n\t\t\t</Contact_points>\n"
            "\t\t\t<Slots id=\"s_%s\">\n\t\t\t\t<Part>hs</Part>\n\t\t\t\t<Cavities id=\"v_%s\">\n"
            "\t\t\t\t\t<Part>hc</Part>\n\t\t\t\t</Cavities>\n\t\t\t</Slots>\n"
            "\t\t</Connector_occurrence>\n",
            id, id, usage, id, id, id, id, id);
}

/* Name of the place behind k wires of a row. */
static const char *place(int row, int k, char room[32]) {
    snprintf(room, 32, k == 0 ? "IN" : k == WIRES_A_ROW ? "OUT" : "S%d_%d", row, k);
    return room;
}

static void write_wire(FILE *f, int row, int k) {
    char from[32], to[32];
    place(row, k, from);
    place(row, k + 1, to);
    fprintf(f,
            "\t\t<Connection id=\"k%d_%d\">\n\t\t\t<Id>V.%d.%d</Id>\n"
            "\t\t\t<Signal_name>feed %d</Signal_name>\n\t\t\t<Wire>o%d_%d</Wire>\n"
            "\t\t\t<Extremities id=\"x%d_%d_0\">\n\t\t\t\t<Position_on_wire>0</Position_on_wire>\n"
            "\t\t\t\t<Contact_point>p_%s</Contact_point>\n\t\t\t</Extremities>\n"
            "\t\t\t<Extremities id=\"x%d_%d_1\">\n\t\t\t\t<Position_on_wire>1</Position_on_wire>\n"
            "\t\t\t\t<Contact_point>p_%s</Contact_point>\n\t\t\t</Extremities>\n"
            "\t\t</Connection>\n",
            row, k, row, k, row, row, k, row, k, from, row, k, to);
    fprintf(f,
            "\t\t<General_wire_occurrence xsi:type=\"kbl:Wire_occurrence\" id=\"o%d_%d\">\n"
            "\t\t\t<Part>w</Part>\n\t\t\t<Length_information id=\"l%d_%d\">\n"
            "\t\t\t\t<Length_type>DMU</Length_type>\n\t\t\t\t<Length_value id=\"q%d_%d\">\n"
            "\t\t\t\t\t<Unit_component>mm</Unit_component>\n"
            "\t\t\t\t\t<Value_component>%d.5</Value_component>\n\t\t\t\t</Length_value>\n"
            "\t\t\t</Length_information>\n\t\t\t<Wire_number>%d</Wire_number>\n"
            "\t\t</General_wire_occurrence>\n",
            row, k, row, k, row, k, 200 + (row + k) % 100, row * WIRES_A_ROW + k + 1);
}

static void write_rest(FILE *f) {
    fputs("\t</Harness>\n", f);
    for (int row = 0; row < ROWS; row++) {
        for (int k = 0; k < WIRES_A_ROW; k++) {
            fprintf(f,
                    "\t<Routing id=\"r%d_%d\">\n\t\t<Routed_wire>k%d_%d</Routed_wire>\n"
                    "\t\t<Segments>g%d</Segments>\n\t</Routing>\n",
                    row, k, row, k, (row + k) % 100);
        }
    }
    for (int g = 0; g < 100; g++) {
        fprintf(f,
                "\t<Segment id=\"g%d\">\n\t\t<Virtual_length id=\"gl%d\">\n"
                "\t\t\t<Unit_component>mm</Unit_component>\n"
                "\t\t\t<Value_component>%d.5</Value_component>\n\t\t</Virtual_length>\n"
                "\t</Segment>\n",
                g, g, 200 + g);
    }
    fputs("\t<Unit id=\"mm\">\n\t\t<Si_unit_name>metre</Si_unit_name>\n"
          "\t\t<Si_prefix>milli</Si_prefix>\n\t</Unit>\n\t<Unit id=\"mm2\">\n"
          "\t\t<Si_unit_name>metre</Si_unit_name>\n\t\t<Si_prefix>milli</Si_prefix>\n"
          "\t\t<Si_dimension>square</Si_dimension>\n\t</Unit>\n</kbl:KBL_container>\n",
          f);
}

/* Bytes written; 0 = it failed. */
static long write_harness(const char *path) {
    char room[32];
    FILE *f = fopen(path, "w");
    if (!f)
        return 0;
    write_part(f);
    for (int row = 0; row < ROWS; row++)
        for (int k = 0; k < WIRES_A_ROW; k++)
            write_wire(f, row, k);
    write_connector(f, "IN", "ring terminal");
    write_connector(f, "OUT", "ring terminal");
    for (int row = 0; row < ROWS; row++)
        for (int k = 1; k < WIRES_A_ROW; k++)
            write_connector(f, place(row, k, room), "splice");
    write_rest(f);
    long size = ftell(f);
    return fclose(f) == 0 ? size : 0;
}

static int write_side(const char *path) {
    FILE *f = fopen(path, "w");
    if (!f)
        return 0;
    fputs("{\"parts\": {\"battery\": {\"is\": \"battery\", \"plus\": \"IN.1\", \"minus\": \"m\", "
          "\"open_circuit\": \"12.6 V\", \"resistance\": \"5 mohm\"}, \"load\": {\"is\": \"load\", "
          "\"plus\": \"OUT.1\", \"minus\": \"m\", \"current\": \"40 A\"}}}\n",
          f);
    return fclose(f) == 0;
}

static double seconds_of(struct timeval t) {
    return (double)t.tv_sec + 1e-6 * (double)t.tv_usec;
}

/* Run a program; its processor seconds (what others do on the machine counts less) and its largest
 * memory come back. -1: it did not do its work. */
static double run(char *const arguments[], double *mb) {
    pid_t child = fork();
    if (child == 0) {
        if (freopen("/dev/null", "w", stdout) && freopen("/dev/null", "w", stderr))
            execvp(arguments[0], arguments);
        _exit(127);
    }
    int status;
    struct rusage used;
    if (child < 0 || wait4(child, &status, 0, &used) != child)
        return -1.0;
    *mb = (double)used.ru_maxrss / kb_per_mb;
    return WIFEXITED(status) && WEXITSTATUS(status) <= 1
               ? seconds_of(used.ru_utime) + seconds_of(used.ru_stime)
               : -1.0;
}

static double least(char *const arguments[], double *mb) {
    double best = -1.0, most = 0.0;
    for (int i = 0; i < RUNS; i++) {
        double seconds = run(arguments, mb);
        if (seconds < 0.0)
            return -1.0;
        best = best < 0.0 || seconds < best ? seconds : best;
        most = *mb > most ? *mb : most;
    }
    *mb = most;
    return best;
}

static int measure(const char *directory) {
    char harness[200], side[200], circuit[200];
    snprintf(harness, sizeof harness, "%s/h.kbl", directory);
    snprintf(side, sizeof side, "%s/side.json", directory);
    snprintf(circuit, sizeof circuit, "%s/c.json", directory);
    char program[] = "jackvolt", import[] = "import", with[] = "--with", o[] = "-o",
         replace[] = "--replace", drop[] = "drop", quiet[] = "--quiet";
    char *const importing[] = {program, import, harness, with, side, o, circuit, replace, NULL};
    char *const dropping[] = {program, drop, circuit, quiet, NULL};
    long size = write_harness(harness);
    double import_mb = 0.0, drop_mb = 0.0;
    int missed = size == 0 || !write_side(side);
    double import_s = missed ? -1.0 : least(importing, &import_mb);
    double drop_s = import_s < 0.0 ? -1.0 : least(dropping, &drop_mb);
    printf("import: %d wires, %.0f MB of KBL: %.2f s, %.0f MB at most (least of %d runs)\n",
           ROWS * WIRES_A_ROW, (double)size / 1e6, import_s, import_mb, RUNS);
    printf("drop on the circuit made: %.2f s, %.0f MB at most\n", drop_s, drop_mb);
    missed = missed || import_s < 0.0 || import_s > most_import_s || import_mb > most_import_mb ||
             drop_s < 0.0 || drop_s > most_drop_s;
    printf("  bars: import under %.0f s and %.0f MB, drop under %.0f s: %s\n", most_import_s,
           most_import_mb, most_drop_s, missed ? "missed" : "holds");
    remove(harness);
    remove(side);
    remove(circuit);
    return missed;
}

int main(void) {
    char directory[] = "build/bench_import.XXXXXX";
    if (!mkdtemp(directory)) {
        printf("import: no directory to work in\n");
        return EXIT_FAILURE;
    }
    int missed = measure(directory);
    rmdir(directory);
    return missed ? EXIT_FAILURE : EXIT_SUCCESS;
}
