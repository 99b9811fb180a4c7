/* Millimetres for a plan: how wide each column must be for what is written beside its lane, in which order things lie
 * across a channel, where each label stands, where the strip is cut into pages and how high each page is. See plan.h for the grid. */
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
    int from, to; /* column ids, leftmost and rightmost */
    int rank;     /* in its channel, from the top */
    int n_free;   /* studs and slots of a bar without wires, which lie beyond its right end; on the screen only */
    /* On the page that is being set: */
    double left_mm, right_mm; /* with captions */
    double above_mm, below_mm;
} track;

/* The name of a bar, once on each page where something hangs on it. */
typedef struct bar_caption {
    int track, page;
    lines text;
    double x_mm;
    bool is_above;
} bar_caption;

/* One page: a stretch of columns and, where even that is too tall, a band of levels. Rows and channels in which nothing
 * stands on this page take no height, and what only runs across it is left out. All in millimetres of the page. */
typedef struct tile {
    int from, to;             /* positions of columns */
    int top, bottom;          /* levels: 2 * channel or 2 * row + 1 */
    double left_mm, right_mm; /* of the strip */
    double edge_mm;           /* right edge, moved out where the name of a bar needs the room */
    double *row_top_mm, *row_mm, *channel_top_mm, *channel_mm, *upper_mm, *lower_mm;
    double *track_y_mm; /* of each track; NAN: not on this page */
    double height_mm;
} tile;

/* Lanes in a channel and what is written on their right, for captions to keep off. */
typedef struct lane {
    double x_mm;
    int track; /* -1: runs straight through */
    bool is_up, is_down;
    double room_mm;
} lane;
typedef struct channel_view {
    int *tracks;
    int n_tracks;
    ARRAY(lane) lanes;
} channel_view;

typedef struct layout {
    plan *p;
    const book *book;
    arena *arena;
    double *x_mm, *left_mm, *right_mm; /* of each column id */
    spot *spots;                       /* of each item; top and bottom are set on its page */
    double *heights_mm;                /* of each item's symbol or box */
    site *sites;                       /* of each wire */
    ARRAY(part) parts;
    ARRAY(track) tracks;
    int *track_of_bar;
    channel_view *views; /* of each channel */
    ARRAY(bar_caption) captions;
    ARRAY(tile) tiles;
    double width_mm;
    double label_mm; /* the widest label of a wire */
    bool has_bands;  /* lanes have room for a reference beside them */
    bool is_shrunk;  /* larger than the paper, and drawn smaller to fit on it */
    int n_forced;    /* places where things had to lie on each other: none on a sound layout */
    ARRAY(corner)
    conflicts; /* lanes on which level lines meet that can't all have their way; empty on a sound layout */
} layout;

/* Lays the plan out as one strip. `has_bands`: lanes may be cut as well as level lines. */
layout *layout_run(plan *p, bool has_bands);

bool layout_is_slot(const layout *l, const track *t, const pin *at);
/* Where a bar ends at the right, and its n-th stud or slot without wires. In strip millimetres. */
double layout_bar_end(const layout *l, const track *t);
double layout_free_x(const layout *l, const track *t, int n);
/* On one lane what comes from above must end higher than what comes from below; and of what leaves one port, a bar that
 * the lane runs straight to lies beyond the tracks on which others turn off. */
bool track_must_be_above(const track *a, const track *b);

/* What a page holds, in mm: one that shows all; one of several, without the margins for references. */
typedef struct page_room {
    double whole_mm, cut_mm, height_mm;
} page_room;
/* Cuts the strip into pages. False when one thing is larger than a page, or lanes must be cut and have no room for it. */
bool layout_cut(layout *l, page_room room);

bool tile_has_column(const layout *l, const tile *t, int column);
bool tile_has_level(const tile *t, int level);
bool tile_has_item(const layout *l, const tile *t, int item);
/* Heights on a page; -HUGE_VAL and HUGE_VAL for what lies on a band above or below it. */
double layout_track_y(const layout *l, const tile *t, int track);
double layout_port_y(const layout *l, const tile *t, int terminal);
spot layout_spot(const layout *l, const tile *t, int item);
/* Top of the label of a wire with a SITE_STUB. */
double layout_stub_y(const layout *l, const tile *t, int w);

#define GUTTER 2.5
#define BAR_OVERHANG 3.0
#define FUSE_LENGTH 11.0
#define SLOT_ROOM 13.0 /* number and rating of a slot beside its fuse */
#define FREE_STUD_PITCH 5.0
#define FREE_STUDS_ROOM 60.0 /* of many studs; closer than the pitch, then */
#define NUMBER_ROOM 4.6      /* the number of a stud beside its wire */
#define LABEL_GAP 1.5
#define LABEL_HEIGHT 7.5
#define BAND_ROOM 14.0 /* for references above and below a band */
double label_width(const book *b, int w);

#endif
