/* Who feeds what: paths of the wiring as a graph, without numbers of current. Sources, protective devices on the way,
 * lengths along the conductor, which switch is a load's own, which side a wire is on. */
#ifndef CIRCUIT_FEEDS_H
#define CIRCUIT_FEEDS_H

#include "circuit/network.h"

/* Which conductor of the installation a wire is. */
typedef enum wire_side {
    SIDE_UNKNOWN,
    SIDE_FEED,
    SIDE_RETURN,
    SIDE_CHOPPED, /* between a load and its low-side dimmer */
    SIDE_BOND,    /* to the chassis or an earth terminal, carrying no load's current */
    SIDE_MAINS
} wire_side;

typedef struct wire_feed {
    wire_side side;
    int protector; /* FUSIBLE element nearest upstream (towards the source); of several (a wire fed from more sides than
                      one) the largest; -1: none between it and a battery */
    int source;    /* item of the source that feeds it without that protection, a battery before a charger; if there is
                      none, the nearest source; -1: nothing feeds it */
    double to_protector_m; /* conductor length from the source (battery post, charger output) through this wire to the
                              first protective device on its way, for wires that lie before it; INFINITY when no device
                              follows; 0 after it */
    bool is_before_protector; /* lies between a source and its first protective device */
    bool is_sheathed_all_way; /* all wires of that stretch are sheathed */
    double protector_A;       /* rating; 0: none or not known */
    bool is_both_ends_fed;    /* can be fed from either end (two sources, or a ring) */
} wire_feed;

typedef struct load_feed {
    int element; /* LOAD, or input of a TRANSFER, of an item */
    int item;
    const int
        *own; /* CONTACT elements that are its own: in series between a source and itself, the nearest ones, reached
                       through conductors, fusibles, choppers and diodes only; that cut it when all stand open. Contacts
                       of one item that are never closed together are alternatives. Empty: nothing cuts it */
    int n_own;
    const int
        *loop_wires;  /* wires on its feed and return path (shortest path by number of elements), for drop: from the
                              source to the load and back */
    int n_loop_wires; /* the links of the string included */
    int top, bottom;  /* elements: the string of batteries in series that feeds it, by its positive and its negative
                         end; one and the same for a single battery or a charger, -1 where none reaches both poles */
    int chopper;      /* CHOPPER in series, or -1 */
} load_feed;

typedef struct feeds {
    wire_feed *wires; /* one a wire */
    load_feed *loads; /* one for each LOAD element, and TRANSFER input, in element order */
    int n_loads;
    int *
        circuit_of_item; /* number of the column (circuit) that the item belongs to, -1: supply and returns. A circuit is
                             what hangs off one protective device that has no other behind it, or off none; numbered in
                             the order of the file */
    int n_circuits;
} feeds;

/* Sources are the emf elements and the outputs of transfers. A return is joined to a source's negative without a load on
 * the way, and to no positive. The studs of all chassis items are one. Wires count whether their size is known or not. */
feeds *feeds_trace(arena *a, const network *net);

#endif
