/* drawing.h - a circuit as a drawing: its pieces and where they stand. SPDX-License-Identifier: MIT
 */
#ifndef RENDER_DRAWING_H
#define RENDER_DRAWING_H

#include "circuit/circuit.h"
#include "jackvolt/drop.h"

#include <stdbool.h>
#include <stdint.h>

/* The layout follows the habit of circuit diagrams (IEC 61082-1): the flow from left to right,
 * plus lines above, return lines below, what consumes in between.
 *
 * A piece is one symbol: most parts are one, a connector is one for each pin, a controller
 * one for each wire it switches. A series piece lies on a line; an across piece hangs between
 * two. Every node has a side (plus, return or signal) and a boundary, counted from the left;
 * a series piece lies in the column before the boundary of its far node. Every across piece
 * has a row of its own, which no line but its own passes: symbols and texts cannot meet. A
 * node with several lines is a vertical at its boundary; verticals that would meet get tracks
 * side by side. What loops back or leads nowhere has a row of its own at the bottom. */

typedef enum jv_symbol {
    JV_SYMBOL_WIRE,
    JV_SYMBOL_JOINT,
    JV_SYMBOL_FUSE,
    JV_SYMBOL_BREAKER,
    JV_SYMBOL_CONTACT, /* make contact of a switch or relay */
    JV_SYMBOL_PLUG,
    JV_SYMBOL_CHANNEL, /* wire switched inside a controller: part of its box */
    JV_SYMBOL_FRAME,
    JV_SYMBOL_BATTERY,
    JV_SYMBOL_SUPPLY,
    JV_SYMBOL_MOTOR,
    JV_SYMBOL_LOAD,
    JV_SYMBOL_COIL,
    JV_SYMBOL_BOX,
    JV_SYMBOL_SENSOR
} jv_symbol;

typedef enum jv_draw_side {
    JV_DRAW_NONE,
    JV_DRAW_PLUS,
    JV_DRAW_RETURN,
    JV_DRAW_SIGNAL
} jv_draw_side;

typedef struct jv_piece {
    uint32_t part;
    jv_symbol symbol;
    bool across;
    bool sensor;     /* belongs to the sheet of the sensors */
    bool hidden;     /* left out by who asks for the drawing */
    const char *pin; /* pin, output or point; NULL = the whole part */
    int32_t a, b;    /* nodes; an across piece: plus and minus side */
    int32_t signal;  /* node of a sensor's signal; -1 = none */
    /* layout */
    bool placed, chord;
    int32_t from, to; /* series: away from the source */
    int32_t row;      /* across and chords */
    int32_t column;
    double x, y;     /* centre */
    double y_a, y_b; /* across: its lines */
    double y_signal;
} jv_piece;

typedef struct jv_draw_node {
    jv_draw_side side;
    int32_t terminal;     /* -1 = inside a part */
    int32_t parent;       /* piece; -1 = root or not reached */
    uint32_t place;       /* in the order of the search */
    bool beyond;          /* fed by a regulator */
    bool sensors, others; /* what its subtree feeds */
    /* layout */
    bool shown;    /* touched by a piece of the sheet */
    bool labelled; /* the line ends here, with the name of the terminal */
    bool output;   /* leaves the box of a controller */
    int32_t boundary, depth;
    int32_t least_row, greatest_row; /* of its subtree; -1 = none */
    double x, y;                     /* its boundary; its own line */
    double top, bottom;              /* its vertical */
    int track;
} jv_draw_node;

typedef struct jv_drawing {
    const jv_circuit *circuit;
    jv_piece *pieces;
    size_t n_pieces;
    jv_draw_node *nodes;
    size_t n_nodes;
    int32_t *order; /* nodes as they were reached from the source; n_order */
    size_t n_order;
    int32_t source; /* the piece drawn at the left; -1 = none */
    /* Room between two columns, where the volts of a node lie on the line, and by how much
     * in all the texts of a series piece may stand out of their column into it. */
    double gap, over;
    double *column_x, *column_width;
    int32_t n_columns;
    double *row_end; /* y below each row */
    int32_t n_rows;
    double width, height;
    size_t left_out; /* pieces that found no place */
} jv_drawing;

/* Room that the texts of a piece want: width with its symbol; height above and below its line,
 * or for an across piece between its lines. */
typedef struct jv_draw_room {
    double width, above, below;
} jv_draw_room;
typedef jv_draw_room jv_draw_measure(const void *context, const jv_piece *piece);

/* The larger of these has no place on a page (judgement). */
enum { JV_DRAWING_MOST = 600 };

/* Pieces of a circuit, all memory from the arena. JV_ERR_RANGE: more than JV_DRAWING_MOST. */
jv_status jv_drawing_make(const jv_circuit *c, jv_arena *arena, jv_drawing *out);
/* Decide sides and what belongs to the sensors. main_source: part drawn at the left. */
jv_status jv_drawing_sort(jv_drawing *d, size_t main_source, jv_arena *arena);
/* Place the pieces of one sheet; false in *any when it has none. */
jv_status jv_drawing_place(jv_drawing *d, bool sensors, jv_draw_measure *measure,
                           const void *context, jv_arena *arena, bool *any);

/* IEC 81346-2 letters and a number, "W3"; one for each part, from the arena. NULL when memory
 * is short. */
const char **jv_designators(const jv_circuit *c, jv_arena *arena);

#endif
