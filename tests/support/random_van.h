/* Random vans for the switch positions: the same van for the same seed. */
#ifndef TESTS_RANDOM_VAN_H
#define TESTS_RANDOM_VAN_H

#include "hand.h"

typedef struct dice {
    uint64_t state;
} dice;
uint32_t dice_roll(dice *d, uint32_t n); /* 0 .. n-1 */
double dice_between(dice *d, double low, double high);
bool dice_chance(dice *d, int percent);

typedef struct van_plan {
    int most_switches;
    bool is_plain_house; /* only what the method is made for: separate switched circuits */
    bool has_cut_outs, has_never_with, has_choppers;
    bool is_weak; /* thin wires and large loads: voltages sag, some loads go beyond */
} van_plan;

/* Makes a van of at most plan->most_switches movable items and finishes it. */
hand *random_van(uint64_t seed, const van_plan *plan);

/* `n` separate switched circuits on two fuse blocks; a load by power and a lamp in each. */
hand *separate_circuits(int n);
/* `n` switches, each shorting a piece of one chain of resistors: nothing falls apart. */
hand *one_chain(int n);

#endif
