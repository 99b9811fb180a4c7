/* One instant of a network: Newton's method over the sparse solver, for contacts and choppers that stand still.
 *
 * Unknowns are the node voltages and the currents of elements without resistance and of transfer outputs (modified nodal
 * analysis: Ho, Ruehli, Brennan, IEEE Trans. CAS 22(6), 1975). Every node has its equation; one node of each island is
 * held by 1 S to nothing, which carries no current because an island has no other way out. So open contacts never
 * change the pattern of the matrix.
 *
 * Nodes where nothing but two pieces of wiring meet are left out: the pieces between two other nodes are one resistance,
 * and what lies between follows from its current. That leaves a third of a van's nodes.
 *
 * Signs: the sum of currents that leave a node through its elements is 0. */
#ifndef CIRCUIT_SOLVE_H
#define CIRCUIT_SOLVE_H

#include "circuit/law.h"
#include "circuit/topology.h"

typedef struct solver solver;
solver *solver_create(arena *a, const network *net, topology *t);

/* The state of one on/off pattern of the choppers: what stands closed, and the answer. */
typedef struct phase {
    double weight;
    unsigned char *is_closed; /* one an element: the caller sets contacts and choppers; loads and transfers follow */
    double *x;                /* unknowns: voltages of the nodes that are kept first (see chain in solve.c) */
    double *node_V;           /* of every node */
    unsigned char *mode;      /* of each element: load_mode or transfer_mode */
    double *current_A, *output_A; /* one an element */
    bool is_solved;               /* x is a solution to start from */
} phase;
void phase_init(phase *p, arena *a, const solver *s);
/* One that only keeps a solution: see phase_copy. */
void phase_init_kept(phase *p, arena *a, const solver *s);

typedef enum solve_end { SOLVE_DONE, SOLVE_BEYOND, SOLVE_LOOP, SOLVE_STALLED } solve_end;
typedef struct solve_report {
    solve_end end;
    int culprit;      /* element; -1 */
    double load_step; /* BEYOND */
} solve_report;

/* Solves the phase with the loads and transfers of is_cut (one an element) cut out. A warm start uses the phase's last
 * answer; the result is the same but for rounding. BEYOND leaves the last point that has a solution. */
solve_report solver_solve(solver *s, phase *p, const bool *is_cut, bool is_warm);
/* Newton steps since the solver was made. */
long solver_steps(const solver *s);

/* Stands at the solution in p, of which x, modes and contacts are enough. Until something is solved, the next two may be
 * asked. */
bool solver_stand(solver *s, phase *p);
/* By how much the current of an element, or the voltage across it, changes for each ampere that is drawn from each node of
 * the network, near there. False where that is not to be had. */
bool solver_sensitivity(solver *s, const phase *p, int element, bool is_current, double *per_A);
/* Is the element's b above its a? It has a sensitivity of voltage. */
bool solver_is_reversed(const solver *s, const phase *p, int element);

/* What one that only keeps takes of memory. */
size_t phase_kept_bytes(const solver *s);
/* Copies what a later solve starts from: x, modes, contacts. */
void phase_copy(const solver *s, phase *to, const phase *from);

#endif
