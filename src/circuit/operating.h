/* The operating point: all voltages and currents for one set of positions.
 *
 * Modified nodal analysis over KLU with Newton's method; where that fails or finds a collapsed point, the load is stepped
 * up from the no-load point, so that the physical one of a constant-power load's two solutions is found. A plan orders
 * the network once; each solve refactors. The laws of the elements are in law.h, the method is told in
 * docs/methods/operating-point.md.
 *
 * History: a solve does not depend on the one before. Loads with a cut-out are taken to have been running, relays to have
 * been at rest; then the one that must change is changed, one at a time, until nothing changes. */
#ifndef CIRCUIT_OPERATING_H
#define CIRCUIT_OPERATING_H

#include "circuit/network.h"

/* X(NAME, word) */
#define OUTCOMES(X)                                                                                                    \
    X(SOLVED, "solved")                                                                                                \
    X(BEYOND, "beyond")               /* no operating point: a load is beyond what the wiring can carry */             \
    X(CONTRADICTION, "contradiction") /* a loop of sources or shorts without resistance */                             \
    X(CHATTERS, "chatters")           /* a relay or a load switches itself on and off without end */                   \
    X(STALLED, "stalled")             /* Newton did not converge: the answer is unproven */
typedef enum outcome {
#define X(NAME, word) OUTCOME_##NAME,
    OUTCOMES(X)
#undef X
} outcome;
const char *outcome_word(outcome o);

/* What happens in one item. */
typedef struct item_state {
    bool runs;       /* a load above its cut-out, with more than 1 % of its rated current; a transfer that gives */
    bool is_starved; /* has voltage, but below its cut-out or below 1 V, or its feed can't bring a hundredth of what it
                        asks for: it does not run, whatever voltage a meter shows there */
    bool lamp_lit;   /* any LAMP at or above lights-above */
    double lamp_V;   /* the most across a LAMP, average of its size */
    bool is_pulled;  /* a coil is pulled in */
    double volts;    /* across its main element, average; also inside a floating island; NAN if it has none */
    double watts;    /* taken by the item as a whole (negative: given), average */
} item_state;

/* With CHATTERS the values are of the last state tried; with any outcome but that and SOLVED they are NAN. */
typedef struct operating_point {
    outcome outcome;
    double *node_V;    /* average; NAN where a node has no conducting path to the reference */
    double *current_A; /* of each element, average, from a to b (a TRANSFER's: at its input) */
    double *rms_A;     /* equals |current_A| where nothing is chopped */
    double *output_A;  /* TRANSFER: average current out of to_a; 0 for all others */
    double *across_V;  /* voltage of a against b of each element, average; also inside a floating island. NAN across an
                          open contact that nothing else joins */
    item_state *items;
    bool is_rms_exact; /* false when so many choppers run at once (more than 6) that averages and rms are an estimate */
    int n_phases;      /* on/off patterns of choppers that were solved: 1 when nothing is chopped */
    /* How well. */
    int iterations;
    double residual_A; /* op_check: largest imbalance of current at a node, by balance.h's code; NAN before */
    int residual_node;
    double law_residual_A;   /* op_check: largest departure of an element from its law */
    double power_residual_W; /* op_check: power over the van: sources less everything else */
    double power_W;          /* op_check: given by all sources: the scale of the above */
    /* When there is no solution. */
    int culprit_element; /* BEYOND: the load; CONTRADICTION: one of the loop; CHATTERS: the coil or load; -1 */
    double culprit_V;    /* BEYOND: its voltage at load_step */
    int bottleneck_wire; /* BEYOND: the wire of its loop with the largest drop when the load's step ended; -1 */
    double load_step;    /* BEYOND: the largest fraction of the loads that has a solution, to 1e-5 */
} operating_point;

typedef struct op_plan op_plan;

/* Orders the network. The plan keeps scratch memory in the arena `a`. One plan is for one thread. */
op_plan *op_plan_create(arena *a, const network *net);

/* Solves for one position of every item (item order; ignored where an item has none or a coil moves it). Results live
 * until the next solve on this plan. Starts from the previous solution when `is_warm` and falls back to the careful way;
 * the answer is the same but for rounding. Takes no memory after the first solve with as many choppers at work. */
const operating_point *op_solve(op_plan *plan, const position *positions, bool is_warm);

/* Recomputes the balance of the last solve with balance.h's code and writes it into the result, which is returned. */
const operating_point *op_check(op_plan *plan);

/* Where the last solve, which found an answer, ended; kept in `into` or, if that is NULL, in the arena. The plan can be put
 * back there: its next warm solve starts from it, and op_sensitivities looks about there. */
typedef struct op_state op_state;
op_state *op_keep(const op_plan *plan, op_state *into, arena *a);
void op_go_back(op_plan *plan, const op_state *to);
size_t op_state_bytes(const op_plan *plan); /* that op_keep would take now */

/* By how much quantities of elements change for each ampere that is drawn from each node, on average, near the last solve,
 * which found an answer. What is drawn from one node goes back into another: only differences mean anything. is_had is false
 * where that is not to be had. */
typedef enum op_quantity { OP_CURRENT, OP_VOLTS, OP_SIZE_OF_VOLTS } op_quantity; /* the last: either way round */
typedef struct op_sensitivity {
    int element;
    op_quantity of;
    double *per_A; /* of each node: filled in */
    bool is_had;
} op_sensitivity;
void op_sensitivities(op_plan *plan, op_sensitivity *sought, int n);

/* Phases of the last solve (op->n_phases of them), for those who check: fraction of the time, and raw voltages of all
 * nodes, each floating island against a node of its own, with the currents of the elements. */
enum { PHASE_OPEN = 0, PHASE_CLOSED = 1, PHASE_STARVED = 2 };
typedef struct op_phase {
    double weight;
    const double *node_V, *current_A, *output_A;
    const unsigned char *is_closed; /* one an element: PHASE_CLOSED is a contact that is closed, a chopper that is on, a
                                       load that is not cut out, a transfer that is awake; PHASE_STARVED a load that is
                                       not fed. Other elements: any */
} op_phase;
op_phase op_phase_of(op_plan *plan, int phase);

/* First position of every item (usually off): n_items entries in `a`. A dial stands at its first fraction. */
position *positions_rest(const van *v, arena *a);

/* Words for an outcome that is not SOLVED, in the builder's terms: which load, which wire, what contradicts what. */
const char *op_explain(const network *net, const operating_point *op, arena *a);

/* Terminals that nothing connects, floating islands: component number of each node over all conducting elements with
 * every contact taken as closed (or as in `positions`). Component 0 holds the reference. */
int *network_islands(arena *a, const network *net, const position *positions_or_null, int *n_islands);

/* Equivalent resistance between two nodes, as an ohmmeter reads it with all sources taken as their inner resistance:
 * wiring, lamps and coils count; loads, diodes, transfers and choppers do not. INFINITY when not connected. */
double network_resistance_ohm(arena *a, const network *net, const position *positions, int node_a, int node_b);

#endif
