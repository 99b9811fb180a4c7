/* The operating point: all voltages and currents for one set of positions.
 *
 * Modified nodal analysis over KLU with a damped Newton; load stepped up from the no-load point, so that the physical
 * one of a constant-power load's two solutions is found. A plan orders the network once; each solve refactors. */
#ifndef CIRCUIT_OPERATING_H
#define CIRCUIT_OPERATING_H

#include "circuit/network.h"

/* X(NAME, word) */
#define OUTCOMES(X)                                                                                                    \
    X(SOLVED, "solved")                                                                                                \
    X(BEYOND, "beyond")               /* no operating point: a load is beyond what the wiring can carry */             \
    X(CONTRADICTION, "contradiction") /* ideal sources or shorts that contradict each other */                         \
    X(CHATTERS, "chatters")           /* a relay or a load switches itself on and off without end */                   \
    X(STALLED, "stalled")             /* Newton did not converge: the answer is unproven */
typedef enum outcome {
#define X(NAME, word) OUTCOME_##NAME,
    OUTCOMES(X)
#undef X
} outcome;

/* What happens in one item. */
typedef struct item_state {
    bool runs;       /* a load above its cut-out, with more than 1 % of its rated current */
    bool is_starved; /* has voltage, but below its cut-out */
    bool lamp_lit;   /* any LAMP at or above lights-above */
    bool is_pulled;  /* a coil is pulled in */
    double volts;    /* across its main element, average; NAN if floating */
    double watts;    /* taken by the item as a whole (negative: given), average */
} item_state;

typedef struct operating_point {
    outcome outcome;
    double *node_V;    /* average; NAN where a node has no conducting path to the reference */
    double *current_A; /* of each element, average, from a to b */
    double *rms_A;     /* equals |current_A| where nothing is chopped */
    item_state *items;
    bool is_rms_exact; /* false when so many choppers run at once that rms is an estimate */
    /* How well. */
    int iterations;
    double residual_A; /* largest imbalance of current at a node, recomputed by balance.h's code */
    int residual_node;
    double power_residual_W; /* power over the van: sources less everything else */
    double power_W;          /* given by all sources: the scale of the above */
    /* When there is no solution. */
    int culprit_element; /* BEYOND: the load; CONTRADICTION: one of the loop; CHATTERS: the coil or load; -1 */
    int bottleneck_wire; /* BEYOND: the wire of its loop with the largest drop when the load's step ended; -1 */
    double load_step;    /* BEYOND: the largest fraction of the loads that has a solution */
} operating_point;

typedef struct op_plan op_plan;

/* Orders the network. The plan keeps scratch memory in its own arena `a`. One plan is for one thread. */
op_plan *op_plan_create(arena *a, const network *net);

/* Solves for one position of every item (item order; ignored where an item has none). Results live until the next solve
 * on this plan. Starts from the previous solution when `is_warm` and falls back to the careful path. */
const operating_point *op_solve(op_plan *plan, const position *positions, bool is_warm);

/* First position of every item (usually off): n_items entries in `a`. A dial stands at 0. */
position *positions_rest(const van *v, arena *a);

/* Words for an outcome that is not SOLVED, in the builder's terms: which load, which wire, what contradicts what. */
const char *op_explain(const network *net, const operating_point *op, arena *a);

/* Terminals that nothing connects, floating islands: component number of each node over all conducting elements with
 * every contact taken as closed (or as in `positions`). Component 0 holds the reference. */
int *network_islands(arena *a, const network *net, const position *positions_or_null, int *n_islands);

/* Equivalent resistance between two nodes with all sources dead and loads off; INFINITY when not connected. */
double network_resistance_ohm(arena *a, const network *net, const position *positions, int node_a, int node_b);

#endif
