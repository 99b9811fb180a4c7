/* What stands on one page of the circuit diagram, or on the screen, where the whole strip is one page without a frame. */
#ifndef SHEETS_DIAGRAM_H
#define SHEETS_DIAGRAM_H

#include "sheets/layout.h"
#include "sheets/sheet.h"

/* A lane that is cut at the upper or lower end of a band, and what runs in it. */
typedef struct lane_end {
    double x_mm; /* of the strip */
    bool is_bottom;
    pen pen;
    sink labels;
} lane_end;

typedef struct sheet_page {
    const layout *l;
    const tile *tile;
    book *book;
    scene *scene;
    paper_size size;
    area in;                /* for the drawing */
    int page, first_number; /* this page in the diagram; number of the diagram's first page in the set */
    bool has_references;
    ARRAY(lane_end) lane_ends; /* met on the way, drawn together */
} sheet_page;

/* `tracks`: on which track the stretch from this point to the next lies; -1: it runs down a lane. */
typedef struct line_points {
    point *at;
    int *tracks, n;
} line_points;

/* From millimetres of the strip to those of the page. */
double diagram_x(const sheet_page *g, double x_mm);
double diagram_y(const sheet_page *g, double y_mm);

/* The plan with its wires run, as one strip. */
layout *diagram_lay_out(plan *p);
/* The whole way of a wire in strip millimetres, at the heights of this page. `first_part` is its first level part. */
line_points diagram_points(const sheet_page *g, int w, int first_part);
/* Where a fuse of a block or a stud of a bar meets its wire, or would: y on the strip. */
double diagram_pin_y(const sheet_page *g, int terminal, bool is_up);
/* Where an item stands on the page. */
spot diagram_spot(const sheet_page *g, int item);
/* "wire feed". */
const char *wire_class(pen p);

void diagram_label(sheet_page *g, int w);
void diagram_bar(sheet_page *g, const track *t);
void diagram_items(sheet_page *g);
void diagram_dots(sheet_page *g);

#endif
