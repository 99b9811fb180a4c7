/* Millimetres for a plan: how wide each column must be for what is written beside its lane, in which order things lie
 * across a channel, where each label stands, where the strip is cut into pages. See plan.h for the grid. */
#ifndef SHEETS_LAYOUT_H
#define SHEETS_LAYOUT_H

#include "sheets/symbols.h"

/* Where a wire's label stands: beside its lane under (or over) the edge of a channel, beside its lane in a row that it
 * runs through, over a level part, or on the left of its lane beyond the place where others leave its port. */
typedef enum site_form { SITE_NONE, SITE_UPPER, SITE_LOWER, SITE_ROW, SITE_PART, SITE_STUB } site_form;
typedef struct site {
    site_form form;
    int at, column;
} site; /* at: channel, row, part or terminal */

typedef struct part {
    int w, channel, from, to, track;
} part; /* level part of a wire; column ids */

/* Something that meets a track: a lane from above or from below. */
typedef struct pin {
    int column;
    bool is_up;
    int terminal;
} pin; /* terminal of a bar, -1 on a wire */

/* What lies across a channel at one height: a bar, or level parts that are joined end to end at their ports. */
typedef struct track {
    int channel, bar; /* bar: item, or -1 */
    ARRAY(pin) pins;
    int from, to;             /* column ids, leftmost and rightmost */
    double left_mm, right_mm; /* with captions */
    double above_mm, below_mm, y_mm;
    int rank; /* in its channel, from the top */
} track;

/* The name of a bar, once on each page that it crosses. */
typedef struct bar_caption {
    int track, page;
    lines text;
    double x_mm;
    bool is_above;
} bar_caption;

typedef struct layout {
    plan *p;
    const book *book;
    arena *arena;
    double *x_mm, *left_mm, *right_mm;                         /* of each column id */
    double *row_top_mm, *row_mm;                               /* of each row */
    double *channel_top_mm, *channel_mm, *upper_mm, *lower_mm; /* of each channel: whole, and zones for labels */
    spot *spots;                                               /* of each item */
    site *sites;                                               /* of each wire */
    ARRAY(part) parts;
    ARRAY(track) tracks;
    int *track_of_bar;
    ARRAY(bar_caption) captions;
    double *cuts_mm; /* n_pages + 1 places */
    int n_pages;
    double width_mm, height_mm;
    int n_forced;    /* places where things had to lie on each other: none on a sound layout */
    corner conflict; /* the first lane on which two level lines can't both have their way; column -1: none */
} layout;

/* Lays the plan out; `page_mm` is the width that a page has for the drawing, margins for references already taken off
 * when more than one page is needed. */
layout *layout_run(plan *p);
/* Cuts it for pages of that width and sets all heights. False when one thing is wider than a page. */
bool layout_cut(layout *l, double page_mm, double cut_page_mm);

double layout_port_y(const layout *l, int t);
/* Top of the label of a wire with a SITE_STUB. */
double layout_stub_y(const layout *l, int w);
double track_y(const layout *l, int t);

#define LABEL_GAP 1.5
#define LABEL_HEIGHT 7.5
double label_width(const book *b, int w);

#endif
