/* The network: items and wires as nodes and primitive elements with numbers in them.
 *
 * Every terminal of the van is a node, every inner node of an item is one, and every wire is a CONDUCTOR element, the
 * first n_wires elements in the order of the van. The studs of all chassis items are on one metal body: each but the
 * first has a conductor to the first. Conductors that carry no resistance stay in the network as elements: the solver
 * gives their current too. Nothing here depends on positions: a contact says in which positions it is closed.
 */
#ifndef CIRCUIT_NETWORK_H
#define CIRCUIT_NETWORK_H

#include "model/van.h"

/* How the numbers are chosen. */
typedef struct conditions {
    double conductor_K;   /* temperature of all conductors, unless wire_K is given */
    const double *wire_K; /* one for each wire, or NULL */
    double charge;        /* of the batteries, 0..1 */
    bool is_charging;     /* for states.h: items of role CHARGER stand in their last position, else in their first */
    const conductor_size *sizes; /* one for each wire, in place of the file's, or NULL; for wires of size auto */
} conditions;

/* meter's: 20 degC, 80 %, not charging. */
conditions conditions_meter(void);

typedef struct net_element {
    element_type type;
    int a, b;         /* nodes; current positive from a to b */
    int to_a, to_b;   /* TRANSFER */
    int wire;         /* wire index, or -1 */
    int item;         /* item index, or -1 */
    int kind_element; /* index into the kind's elements, or -1 */
    int number;       /* 1..n when repeated for a row, else 0 */
    double resistance_ohm;
    double voltage_V;                      /* EMF; TRANSFER: held at the output */
    double nominal_V;                      /* EMF: what it is called by */
    double power_W, current_A, load_ohm;   /* LOAD: exactly one is > 0 (all 0: draws nothing); PEAK below */
    double peak_A;                         /* LOAD: start peak, 0 if none */
    double stops_below_V, starts_above_V;  /* LOAD; 0: never stops */
    double rating_A;                       /* CONTACT, FUSIBLE; 0 when not known */
    double interrupts_A, device_voltage_V; /* FUSIBLE */
    double drop_V;                         /* DIODE */
    double lights_above_V;                 /* LAMP; its resistance is load_ohm */
    double pulls_above_V, drops_below_V;   /* COIL */
    int moves;                             /* COIL */
    double efficiency, standby_W;          /* TRANSFER */
    double limit_W, limit_A;               /* TRANSFER: the most it gives, as a power or a current; 0: no such limit */
    double capacity_C;                     /* EMF of a battery, else 0 */
    uint32_t closed_in;                    /* CONTACT */
    double duty;                           /* CHOPPER: when no dial sets it */
    bool is_dialled;                       /* CHOPPER: its item's position is the duty */
} net_element;

typedef struct network {
    const van *van;
    conditions conditions;
    int n_nodes; /* the first van->n_terminals are the terminals */
    net_element *elements;
    int n_elements;
    int *first_element; /* of each item; van->n_items + 1 entries; elements of an item are contiguous */
    int reference;      /* node of the negative end of the string that holds the first battery, or -1 */
    double nominal_V;   /* of that string; 12 V when there is no battery */
    /* Batteries in series, of each element: the battery whose positive post plain wiring joins to this one's negative
     * post, and the one whose negative post it joins to this one's positive; -1: none. Of several side by side, the
     * first. */
    int *below, *above;
    bool *is_in_link; /* nodes: on wiring between batteries in series that nothing else is joined to */
    arena *arena;
} network;

/* Builds it. Wires of unknown size or length count as absent (the checks say so). Findings and refusals are not made
 * here. */
network *network_build(arena *a, const van *v, const conditions *c);

/* The main element of an item for "runs / volts / watts": its first TRANSFER (a converter is
 * judged by what comes in), else its first LOAD, LAMP or COIL; -1. */
int network_main_element(const network *net, int item);

#endif
