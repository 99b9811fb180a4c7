/* Combinations of positions: who may be moved by hand, and which positions exclude each other.
 *
 * Items that never-with ties together make one digit: its states are the combinations of theirs that are allowed. All
 * other movable items are a digit each. So every choice of one state a digit is allowed, and none is missed. */
#ifndef CIRCUIT_COMBOS_H
#define CIRCUIT_COMBOS_H

#include "circuit/network.h"

typedef struct digit {
    const int *items; /* in file order */
    int n_items;
    int n_states;           /* state 0 is the first allowed one: rest, where rest is allowed */
    const uint16_t *choice; /* [state * n_items + i]: index into the positions of items[i] */
    const uint16_t *n_away; /* [state]: items that are not in their first position */
} digit;

typedef struct combos {
    const van *van;
    position *base; /* of every item: rest; chargers as the conditions say */
    digit *digits;
    int n_digits;
    const bool *has_coil; /* of each item: a coil moves it, nobody else */
    int *digit_of_item;   /* -1: nobody moves it by hand, or it has one position only */
    double n;             /* allowed combinations; exact below 2^53 */
    const char *why_not;  /* a digit with more states than can be listed, else NULL */
} combos;

/* More states than this in one digit are not listed. */
enum { digit_states_most = 1 << 18 };

combos *combos_make(arena *a, const network *net);
void combos_set(const combos *c, int digit, int state, position *positions);

#endif
