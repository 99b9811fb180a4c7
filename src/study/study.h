/* The study of a van: every analysis that it needs, run once, with the results in one place. The checks and the sheets
 * read it and compute no physics of their own. */
#ifndef STUDY_STUDY_H
#define STUDY_STUDY_H

#include "circuit/feeds.h"
#include "circuit/states.h"

/* Two sets of conditions bracket what the van meets. */
typedef enum season {
    SEASON_HARD /* hottest conductors, battery at 20 %, no charging: lowest voltage, largest constant-
                         power current */
    ,
    SEASON_FULL /* coldest conductors, battery full, chargers on: highest voltage */,
    N_SEASONS
} season;

typedef struct wire_study {
    conductor_size size; /* the file's, or the one that was chosen for `auto` */
    bool is_size_chosen;
    const char *why_size;   /* how it was chosen, for people; NULL if given */
    double ohm_20;          /* at 20 degC */
    double temperature_K;   /* working temperature in its worst positions */
    double base_ampacity_A; /* at 30 degC, alone */
    double ambient_factor, bundle_factor;
    double ampacity_A;    /* corrected; 0: the tables have none (unproven) */
    source ampacity_from; /* of the base value */
    double worst_A;       /* largest rms current over all positions and seasons, loads running */
    double worst_average_A;
    season worst_season;
    const position *worst_at; /* positions, n_items entries */
    double peak_A;            /* with the one largest start peak of a load behind it on top */
} wire_study;

typedef struct load_study {
    const load_feed *feed;
    double worst_V; /* least voltage across it while its own contacts are closed */
    season worst_season;
    const position *worst_at;
    double drop;    /* fraction of nominal lost in the loop at worst_at (source rest voltage less its volts, less
                              the battery's own sag) */
    int worst_wire; /* wire of the loop that loses most, -1 */
    double worst_wire_V;
    bool runs_at_worst;
    double off_V; /* most voltage across it while its own contacts are open */
    bool off_runs, off_lit;
    const position *off_at;
    double most_V; /* highest voltage over all positions and seasons */
} load_study;

typedef struct item_study {
    double worst_A; /* largest current through its contacts, slots or whole, rms */
    int worst_element;
    const position *worst_at;
    double least_V, most_V, standby_W;
    bool lamp_ever_lit, lamp_ever_dark;
} item_study;

typedef struct study {
    const van *van;
    network *nets[N_SEASONS];
    feeds *feeds;
    states *states[N_SEASONS];
    wire_study *wires;
    load_study *loads; /* one for each of feeds->loads */
    int n_loads;
    item_study *items;
    const operating_point *rest; /* everything in its rest position, 20 degC, 80 % charge */
    double standby_A;            /* out of the batteries at rest */
    double days_to_empty;        /* usable capacity over standby; INFINITY when nothing is drawn */
    double usable_C;
    int *islands; /* component of each node, all contacts closed */
    int n_islands;
    double nominal_V; /* of the first battery; 0 if there is none */
    bool is_proven;   /* states complete, all converged, sizes and lengths known */
    const char *why_unproven;
    arena *arena;
} study;

typedef struct study_options {
    int n_threads;
    void (*progress)(void *context, double done);
    void *context;
} study_options;

study *study_run(arena *a, const van *v, const study_options *o);

/* `loomwall meter`: one set of positions under given conditions, with all that the command prints. */
typedef struct meter_reading {
    const network *net;
    const operating_point *op;
    int reference; /* node that voltages are against */
} meter_reading;
meter_reading *study_meter(arena *a, const van *v, const position *positions, const conditions *c,
                           int reference_terminal);

#endif
