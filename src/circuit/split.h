/* Where a van's wiring falls apart into circuits that meet only in the supply.
 *
 * With some items standing still, the trunk is what conducts whatever the others do and holds a source: sources, closed
 * contacts, fuses and wires joined to them, up to each open switch and each load. What is left falls apart into parts. A
 * dead-end branch of the trunk that serves one part alone belongs to that part. So parts touch the trunk in a few nodes
 * (their taps), and know of each other only through the voltages there.
 *
 *   live   two taps or more: current can flow
 *   dead   one tap or none: a part behind an open master switch, say. No current flows, whatever its own contacts do */
#ifndef CIRCUIT_SPLIT_H
#define CIRCUIT_SPLIT_H

#include "circuit/combos.h"

typedef struct part {
    const int *digits;
    int n_digits;
    double n_states; /* product of its digits' states */
    const int *taps; /* nodes of the trunk */
    int n_taps;
    bool is_live;
    bool is_bridge; /* can join two nodes of the trunk by contacts alone */
} part;

typedef struct split {
    part *parts; /* parts without digits too: loads that nothing switches, relays */
    int n_parts;
    int *part_of_element; /* -1: the trunk, or open for good */
    int *part_of_node;    /* -1: the trunk */
    int *part_of_digit;   /* -1: stands still, or moves nothing */
} split;

/* `positions` hold for the digits with `is_fixed`, and for all items that no digit moves. */
split *split_make(arena *a, const network *net, const combos *c, const position *positions, const bool *is_fixed);

#endif
