/* Kirchhoff's law and the power balance, recomputed from an answer by code that the solver does not share: it reads
 * only element definitions, node voltages and currents. */
#ifndef CIRCUIT_BALANCE_H
#define CIRCUIT_BALANCE_H

#include "circuit/operating.h"

typedef struct balance {
    double current_A; /* largest imbalance at any node */
    int node;
    double law_A; /* largest departure of an element from its own law, as a current */
    int element;
    double given_W, taken_W; /* by sources; by everything else */
} balance;

/* For one phase: an instant in which nothing switches. Voltages are those that the solver worked with: no NAN.
 * leaving_A is scratch, one a node. */
balance balance_of(const network *net, const op_phase *phase, double *leaving_A);

#endif
