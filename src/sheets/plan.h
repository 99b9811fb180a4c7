/* The circuit diagram before it has millimetres: which way up each item stands, its row, its column, and the way of
 * each wire through a grid of columns and channels.
 *
 * Rows hold items. Between the rows run channels, which hold what lies across: busbars, fuse blocks and the level
 * parts of wires. Channel r lies above row r. A column is a lane for things that run down. An item stands on the lanes
 * of its ports, a wire runs down a lane where no item stands, and two things never share a stretch of lane: so nothing
 * can come to lie on anything else, whatever the van is. docs/sheets.md tells the method. */
#ifndef SHEETS_PLAN_H
#define SHEETS_PLAN_H

#include "sheets/page.h"

typedef enum side {
    SIDE_NONE,
    SIDE_HIGH /* towards the positive post */,
    SIDE_LOW /* towards the negative post */
} side;

/* How an item stands in the plan. */
typedef enum stand {
    STAND_ITEM /* in a row */,
    STAND_BAR /* across, in a channel */,
    STAND_BLOCK /* a bar with a fuse
                     at each slot */
    ,
    STAND_CHASSIS /* a bar with the sign of a chassis */
} stand;

/* A corner of a wire's way: column and channel. */
typedef struct corner {
    int column, channel;
} corner;
typedef struct way {
    corner *at;
    int n;
} way;

/* Columns are named by ids that stay while new ones are put between them. */
typedef struct plan {
    book *book;
    arena *arena;
    const van *van;

    int *first_wire, *wires; /* wires at terminal t: wires[first_wire[t]] up to wires[first_wire[t + 1]] */

    int *group;     /* of each terminal: terminals of one item joined inside it share a group */
    side *side;     /* of each terminal */
    int *distance;  /* of each terminal, from the root of its side */
    bool *is_top;   /* of each terminal: its wires leave upwards */
    stand *stand;   /* of each item */
    bool *is_wired; /* of each item */

    int *level;  /* of each item: 2 * channel of a bar, 2 * row + 1 of another item */
    int *column; /* of each terminal of a STAND_ITEM that has wires: its lane */
    int n_rows;
    ARRAY(int) order; /* column ids from left to right */
    int *position;    /* of each column id in order; ids are order.n in number */
    int position_room;
    int n_placed; /* columns before the routing */

    way *ways;            /* of each wire */
    int n_forced;         /* places where lanes had to be shared after all: none on a sound plan */
    ARRAY(corner) barred; /* where no wire may turn, because two would meet on the lane */
} plan;

int plan_wire_count(const plan *p, int terminal);
int plan_other_end(const plan *p, int wire, int terminal);
int plan_row(const plan *p, int item);     /* of a STAND_ITEM */
int plan_channel(const plan *p, int item); /* of a bar */
/* Leftmost and rightmost position that an item stands on; 0 and -1 when it stands on none. */
void plan_span(const plan *p, int item, int *from, int *to);
/* A new column before (or after) the given id; -1: at the right end. Returns its id. */
int plan_insert(plan *p, int id, bool is_after);
/* Larger is higher: towards the positive post on the high side, away from the negative post on the low side. */
int plan_height(const plan *p, int terminal);

/* Gives the lane on one side of a channel, of the item below or above it, a column of its own, and takes all ways up
 * again. False when neither item has its port there. */
bool plan_part_lane(plan *p, corner at);
/* From now on no wire turns there. Takes all ways up again. */
void plan_bar_turn(plan *p, corner at);

/* The stages, in order. */
plan *plan_orient(book *b); /* groups, sides, distances, tops */
void plan_place(plan *p);   /* levels and columns */
void plan_route(plan *p);   /* ways */

#endif
