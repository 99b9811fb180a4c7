/* Networks written by hand: for tests and benchmarks of the circuit that need no van file. */
#ifndef TESTS_HAND_H
#define TESTS_HAND_H

#include "circuit/operating.h"

typedef struct hand {
    arena *arena;
    van van;
    kind kind;
    network net;
    ARRAY(net_element) parts;
    ARRAY(item) items;
    ARRAY(wire) wires;
    int *index; /* of each part in net.elements, after hand_finish */
} hand;

hand *hand_create(void);
void hand_destroy(hand *h);
int hand_nodes(hand *h, int n); /* the first of n new nodes; the very first node is the reference */
int hand_item(hand *h, const char *name, int n_positions);

/* Each returns the number of the part. Item -1: of no item. */
int hand_part(hand *h, int item, net_element e);
int hand_wire(hand *h, const char *label, int a, int b, double ohm);
int hand_resistor(hand *h, int a, int b, double ohm);
int hand_source(hand *h, int positive, int negative, double volts, double ohm);
int hand_power(hand *h, int item, int a, int b, double watts);
int hand_current(hand *h, int item, int a, int b, double amperes);
int hand_contact(hand *h, int item, int a, int b, uint32_t closed_in, double ohm);
int hand_diode(hand *h, int a, int b, double drop_V, double ohm);
int hand_chopper(hand *h, int a, int b, double duty, double ohm);
int hand_transfer(hand *h, int item, int a, int b, int to_a, int to_b, double volts, double efficiency,
                  double standby_W, double limit_W);

/* Orders the parts as a network has them: wires, then items, then the rest. */
const network *hand_finish(hand *h);
/* A plan, and its answer with every item in `positions` (NULL: all in their first). Makes the network if need be. */
const operating_point *hand_solve(hand *h, const position *positions);

#endif
