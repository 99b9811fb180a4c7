/* The meter: one set of switch positions, and what a meter would read at each terminal and in each wire. */
#ifndef LOOMWALL_METER_H
#define LOOMWALL_METER_H

#include "loomwall/van.h"
#include <stdbool.h>

typedef struct lw_meter_options {
    const char *const *set; /* "pump-switch=on", "bench-dimmer=40%"; the rest stand in their first position */
    size_t n_set;
    double ambient_K;    /* of all conductors */
    double charge;       /* of the batteries, 0..1 */
    const char *against; /* terminal that voltages are measured against; NULL: the first battery's negative post */
} lw_meter_options;

/* Nothing set, 20 degC, 80 % charged, against the battery's negative post. */
lw_meter_options lw_meter_defaults(void);

/* Reads a quantity as people write it ("45 degC", "80 %") into SI: `unit` names its dimension. LW_REFUSED: *why, if
 * `why` is given, says what is wrong and what would be right; release it with lw_free. */
lw_status lw_quantity(const char *text, const char *unit, double *value, char **why);

typedef struct lw_reading lw_reading;

/* LW_REFUSED: an item, position or terminal of the options does not exist, or two positions exclude each other; *why,
 * if `why` is given, says so; release it with lw_free. A van without an operating point is an answer: see `trouble`. */
lw_status lw_meter(const lw_van *van, const lw_meter_options *options, lw_reading **reading, char **why);
void lw_reading_free(lw_reading *reading);

typedef struct lw_terminal_reading {
    const char *terminal; /* "pump.pos" */
    double volts;         /* average; NAN where nothing connects it to the reference */
} lw_terminal_reading;

/* CARRIES: a milliampere or more. Without that it is LIVE from 1 V above the lowest battery post that can be measured, else
 * DEAD. FLOATS: nothing connects it to the reference. */
typedef enum lw_wire_state { LW_WIRE_FLOATS, LW_WIRE_DEAD, LW_WIRE_LIVE, LW_WIRE_CARRIES } lw_wire_state;
const char *lw_wire_state_word(lw_wire_state state);

typedef struct lw_wire_reading {
    const char *wire, *from, *to;
    double amps, amps_rms; /* positive from `from` to `to`; rms, which heats the conductor, has no direction */
    lw_wire_state state;
} lw_wire_reading;

typedef enum lw_lamp { LW_NO_LAMP, LW_LAMP_DARK, LW_LAMP_LIT } lw_lamp;

/* DIMS: runs on a feed that is chopped. STARVED: has voltage, but too little to run. FLOATS: nothing connects it to the
 * reference. */
typedef enum lw_load_state { LW_LOAD_OFF, LW_LOAD_RUNS, LW_LOAD_DIMS, LW_LOAD_STARVED, LW_LOAD_FLOATS } lw_load_state;
const char *lw_load_state_word(lw_load_state state);

typedef struct lw_item_reading {
    const char *item, *name;
    const char *position; /* NULL for an item that has none */
    lw_lamp lamp;
    bool is_load; /* then the following four are its own */
    bool runs;
    lw_load_state state;
    double volts, watts; /* average; volts is NAN where it floats */
} lw_item_reading;

size_t lw_reading_n_terminals(const lw_reading *reading);
size_t lw_reading_n_wires(const lw_reading *reading);
size_t lw_reading_n_items(const lw_reading *reading);
lw_terminal_reading lw_reading_terminal(const lw_reading *reading, size_t i);
lw_wire_reading lw_reading_wire(const lw_reading *reading, size_t i);
lw_item_reading lw_reading_item(const lw_reading *reading, size_t i);

typedef struct lw_reading_quality {
    const char *reference; /* terminal that voltages are against; NULL when the van has none to give */
    bool is_converged;
    bool is_rms_exact;       /* false: so many choppers run at once that rms is an estimate */
    const char *trouble;     /* why there is no operating point, in words; NULL when there is one */
    double residual_A;       /* largest imbalance of current at any terminal, recomputed from the answer */
    double power_residual_W; /* sources less everything else, likewise */
} lw_reading_quality;
lw_reading_quality lw_reading_how_well(const lw_reading *reading);

/* The whole as JSON, as docs/van-file.md describes it. Release with lw_free. */
lw_status lw_reading_json(const lw_reading *reading, char **json);

#endif
