/* What the watches read from an operating point, and the extremes kept of it.
 *
 * Each quantity is read once, however many watches ask for it. A watch of a magnitude (|average|, rms) is also followed
 * as the signed average current: where that can run either way, the least magnitude is given as 0. */
#ifndef CIRCUIT_PROBE_H
#define CIRCUIT_PROBE_H

#include "circuit/states.h"

/* X: how a value is read */
typedef enum reading {
    READ_AVERAGE_A,
    READ_RMS_A,
    READ_ITEM_V,
    READ_ITEM_W,
    READ_RUNS,
    READ_LIT,
    READ_LAMP_V,
    READ_NODE_V,
    N_READINGS
} reading;

typedef struct value_of {
    reading how;
    int index; /* element, item or node */
} value_of;

typedef struct probe {
    const network *net;
    const watch *watches;
    int n_watches;
    value_of *values;
    int n_values;
    int *main;    /* of each watch: index into values; ELEMENT_A: the signed average */
    int *current; /* of each watch of a magnitude: the signed average current; else -1 */
    int *guide;   /* of each watch of a lamp: the voltage that lights it, if the item has but one lamp; else -1 */
    int *coil;    /* COIL element that moves each item, -1 */
} probe;

probe *probe_make(arena *a, const network *net, const watch *watches, int n_watches);
void probe_read(const probe *p, const operating_point *op, double *values);

/* Where the item of a contact or chopper stands; a coil's item by what the coil did. */
bool probe_is_closed(const probe *p, int element, const position *positions, const operating_point *op);
bool probe_is_open(const probe *p, int element, const position *positions, const operating_point *op);
bool probe_meets(const probe *p, int watch, const position *positions, const operating_point *op);

/* The least or the most so far. Among values within `tie` of the extreme, the one with the fewest items away from rest
 * is named, then the first. */
#define TIE 1e-9 /* relative; and in absolute terms 1e-9 A, V or W: far below what any meter shows */
typedef struct best {
    bool is_met;
    double top;   /* the true extreme */
    double value; /* of the positions that are named */
    int n_away;
    uint64_t rank; /* whose it is: for whoever keeps it */
} best;

static inline double tie_of(double value) { return TIE * (1 + (value < 0 ? -value : value)); }
/* `sign`: +1 for the most, -1 for the least. True when these positions are now the ones named. */
bool best_offer(best *b, int sign, double value, int n_away, uint64_t rank);
/* `b` comes before `later` in rank. */
bool best_merge(best *b, int sign, const best *later);

typedef struct record {
    best least, most, least_A, most_A; /* of main; of the signed current, for magnitudes */
} record;

#endif
