/* Every switch position: the worst of each quantity over all combinations that `positions` and `never-with` allow.
 *
 * Groups of circuits that meet only in the supply are enumerated on their own, against the extremes of all others; where
 * the conditions under which that is exact do not hold, plain enumeration follows; where that is too large, the result
 * says that it is not complete. The method and its proof: docs/methods/switch-positions.md. */
#ifndef CIRCUIT_STATES_H
#define CIRCUIT_STATES_H

#include "circuit/operating.h"

/* X(NAME, word): what is watched. `index` is a wire, element, item or terminal. The least of a magnitude (ELEMENT_A and
 * both rms) whose current can run either way is given as 0: it is a bound, no position need reach it. */
#define WATCHES(X)                                                                                                     \
    X(WIRE_A, "wire current, average")                                                                                 \
    X(WIRE_RMS_A, "wire current, rms")                                                                                 \
    X(ELEMENT_A, "element current, magnitude of the average")                                                          \
    X(ELEMENT_RMS_A, "element current, rms")                                                                           \
    X(ITEM_V, "volts at the item")                                                                                     \
    X(ITEM_W, "watts taken by the item")                                                                               \
    X(ITEM_RUNS, "the item runs (1) or not (0)")                                                                       \
    X(LAMP_LIT, "a lamp of the item is lit (1) or not (0)")                                                            \
    X(TERMINAL_V, "voltage of a terminal against the reference")
typedef enum watch_kind {
#define X(NAME, word) WATCH_##NAME,
    WATCHES(X)
#undef X
} watch_kind;

/* A watch asks for least and most of a quantity over the positions in which each of the listed contacts (elements of
 * type CONTACT) is open, and each of `closed` is closed. Empty lists: over all positions. Both lists may name a CHOPPER
 * too: it counts as open at a duty of 0 and as closed at 100 % (one that no dial sets: closed at any duty above 0), so
 * that the volts at a dimmed lamp can be asked for with its dimmer turned fully up. */
typedef struct watch {
    watch_kind kind;
    int index;
    const int *open;
    int n_open;
    const int *closed;
    int n_closed;
    bool is_most_only, is_least_only; /* the other extreme is not asked for: it need not be exact, which is quicker */
} watch;

typedef struct extreme {
    bool is_met; /* false: no allowed position meets the condition and gives the quantity a value */
    double least, most;
    uint32_t least_at, most_at; /* index into states.positions */
} extreme;

typedef struct states {
    double n_positions; /* number of allowed combinations (exact below 2^53) */
    double n_examined;  /* combinations that the answer covers */
    bool is_complete;
    const char *why_not;              /* when it is not */
    const char *method;               /* "groups", "plain" */
    extreme *extremes;                /* one a watch, in the caller's order */
    const position *const *positions; /* sets of positions that extremes refer to; each n_items entries */
    int n_sets;
    /* Positions without an operating point, one example of each kind of trouble. */
    struct {
        outcome outcome;
        uint32_t at;
        const char *says;
        int item;
        int wire;
    } * troubles;
    int n_troubles;
    double worst_residual_A; /* over all solves made */
    long n_solves;
} states;

typedef enum states_method {
    STATES_BEST,
    STATES_PLAIN,
    STATES_GROUPS /* by groups wherever that is exact, even where one by one would take no longer: for tests */
} states_method;

typedef struct states_options {
    states_method method;
    double most_plain;                            /* combinations that plain enumeration may take; default 2^21 */
    int n_threads;                                /* 1..16; the answer does not depend on it */
    void (*progress)(void *context, double done); /* may be NULL; called from the calling thread, done in 0..1 */
    /* May be NULL; called from any thread. When it says that the answer is no longer wanted, and from then on, control
     * leaves to the innermost arena_try on the caller's arena, as when memory runs out. */
    bool (*is_stale)(void *context);
    void *context;
} states_options;
states_options states_defaults(void);

states *states_run(arena *a, const network *net, const watch *watches, int n_watches, const states_options *o);

#endif
