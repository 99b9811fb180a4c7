/* The study of a van: every analysis that it needs, run once, with the results in one place. The checks and the sheets
 * read it and compute no physics of their own. */
#ifndef STUDY_STUDY_H
#define STUDY_STUDY_H

#include "circuit/feeds.h"
#include "circuit/states.h"

/* Sets of conditions that bracket what the van meets. */
typedef enum season {
    SEASON_HARD /* hottest conductors, battery at 20 %, no charging: lowest voltage, largest constant-
                         power current */
    ,
    SEASON_FULL /* coldest conductors, battery full, chargers on: highest voltage */,
    SEASON_CHARGE /* hottest conductors, battery at 20 %, chargers on: largest current of every charger. Only where
                     there is a charger; else its states are NULL */
    ,
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
    season worst_season;
    const position *worst_at; /* positions, n_items entries */
    double peak_A;            /* with the one largest start peak of a load behind it on top */
    int peak_item;            /* whose start that is, -1: none */
    int protector;      /* FUSIBLE element that ends a fault on this wire: the nearest upstream of a feed, or where
                                 there is none the one that all of its current passes further on; of a
                                 return the largest of those that bound protector_A; -1: none */
    double protector_A; /* its rating; of a return what the feeds of the loads behind it can push through it: the
                                 sum over their devices, where no device further up lets through less; 0: none or not
                                 known */
    int n_circuits;     /* of a return: how many devices the loads behind it hang off */
    int drop_load;      /* index of the load whose drop limit bound a chosen size, -1 */
} wire_study;

typedef struct load_study {
    const load_feed *feed;
    bool is_main;     /* the element that `volts` of its item are taken across; the rest below is empty otherwise */
    bool is_fed;      /* some allowed positions close its own contacts and give it a voltage */
    bool is_critical; /* takes the narrower limit of voltage drop */
    bool is_needs_given;
    bool runs_at_worst;
    bool off_runs, off_lit;
    int source;        /* item that feeds it (battery or charger), -1 */
    double needs_V;    /* the least voltage that it needs: its own `needs`, else the practice's fraction of nominal */
    double made_for_V; /* the voltage that it is made for, where the file says anything about it; else 0 */
    double nominal_V;  /* of its source */
    double worst_V; /* least voltage across it while its own contacts are closed, its dimmer fully up; NAN: never so */
    const position *worst_at;
    season worst_season;
    int worst_wire; /* wire of the loop that loses most, -1 */
    double worst_wire_V;
    double *wire_V; /* lost in each of feed->loop_wires */
    double drop;    /* fraction of nominal lost in the loop at worst_at (source rest voltage less its volts, less
                       the battery's own sag) */
    double off_V;   /* most voltage across it while its own contacts are open */
    const position *off_at;
    double most_V; /* highest voltage over all positions; NAN where nothing says what it bears */
} load_study;

typedef struct item_study {
    double worst_A; /* largest current through one of its contacts, fusibles, choppers or studs, rms */
    int worst_element;
    const position *worst_at;
    double whole_A;     /* fuse block: largest current into the whole of it; the sum of its slots' worst where several
                       wires feed it, which is never less */
    double most_V;      /* across its main load, where the file says what that bears; else NAN */
    double rest_W;      /* taken at rest */
    int lamp;           /* its first LAMP element, -1: none */
    bool is_lamp_wired; /* both terminals of the lamp are connected to something */
    bool lamp_ever_lit, lamp_ever_dark;
    bool lamp_lit_when_open, lamp_lit_when_closed; /* ever lit while its own contacts are all open, all closed */
    bool is_live_when_closed; /* its contacts, closed, ever have a voltage behind them (lamps that should then glow) */
    const position *lamp_open_at, *lamp_lit_at;
} item_study;

/* Two protective devices that feed one place at once, from the same battery. */
typedef struct tie {
    int devices[2];   /* FUSIBLE elements */
    const int *wires; /* those that join the two circuits */
    int n_wires;
    const position *positions; /* in which they do */
} tie;

typedef struct study {
    const van *van;
    network *nets[N_SEASONS];
    feeds *feeds;
    const states *states[N_SEASONS];
    wire_study *wires;
    load_study *loads; /* one for each of feeds->loads */
    int n_loads;
    item_study *items;
    network *rest_net;
    const operating_point *rest; /* everything in its rest position, 20 degC, 80 % charge, not charging */
    double standby_A;            /* out of the batteries at rest */
    double days_to_empty; /* least over the batteries of usable charge over current; INFINITY: nothing is drawn */
    double usable_C;
    int *islands; /* component of each node, all contacts closed; 0 holds the reference */
    int n_islands;
    int *solid;       /* component of each node over conductors and protective devices alone: what is joined whatever
                     position anything stands in */
    int *joined;      /* the same over conductors alone */
    int *series_next; /* the next of them after this one, -1: the last */
    int *series;      /* the first of the elements that carry the same current as this one, -1: it carries none */
    double *terminal_most_V; /* highest voltage of terminals joined to a protective device; else NAN */
    double *element_A;       /* largest rms current of each element over positions and seasons */
    const position **element_at;
    double *element_peak_A; /* FUSIBLE: with the one largest start peak behind it on top */
    int *element_peak_item;
    ARRAY(tie) ties;
    double prospective_A; /* what the largest battery can drive into a short at its posts: rest voltage when full over
                             inner resistance; 0 without a battery */
    double nominal_V;     /* of the string that holds the first battery; 0 if there is none */
    bool is_given_up;     /* a pass over the positions was not complete; later ones did not try to be */
    bool is_proven;       /* states complete, all converged, sizes and lengths known */
    const char *why_unproven;
    arena *arena;
} study;

typedef struct study_options {
    int n_threads;
    void (*progress)(void *context, double done);
    bool (*is_stale)(void *context); /* see states_options */
    void *context;
    double most_plain; /* combinations that may be gone through one by one; 0: as states_defaults has it */
} study_options;

study *study_run(arena *a, const van *v, const study_options *o);

/* No more of a study than a drawing needs: which side each wire is on. No current is worked out. */
study *study_outline(arena *a, const van *v);

/* What would mend it: the smallest listed size of the wire's series, with its corrections, that bears `needed_A`; false
 * when the tables have none. */
bool study_size_for_current(const study *s, int index, double needed_A, conductor_size *out);
/* The smallest size of the wire that loses most in a load's loop which brings the drop within the load's limit, the other
 * wires as they are; false when no size of that wire alone does. */
bool study_size_for_drop(const study *s, int load, conductor_size *out);
/* A conductor that is to be thicker, or thinner. */
typedef struct sized_wire {
    int wire;
    conductor_size size;
} sized_wire;
/* Would a wire do with that size? The practice allows it, both terminals take it, it bears its worst current and
 * `protector_A`, and no load behind it gets less than it may that does not get less already. */
bool study_size_suits(const study *s, int wire, conductor_size size, double protector_A);
/* The smallest size of the wire's series that suits; of the two for thicker ones: the smallest that is thicker. */
bool study_size_that_suits(const study *s, int wire, double protector_A, conductor_size *out);
bool study_size_thicker(const study *s, int wire, double protector_A, conductor_size *out);
/* Sizes that give a load what it needs, its wiring within the limit of drop: the wire of its loop that loses most goes up a
 * size, as long as its terminals take that, until it is enough. Room for all wires of the loop; how many change; 0: none
 * do, or no sizes are enough. */
int study_sizes_for_load(const study *s, int load, sized_wire *out);
/* The bar to which most loads of a block return; for -1, or without any, one that has returns; -1: none. */
int study_return_bar(const study *s, int block);
bool study_has_side(const study *s, int item, wire_side side);
/* The shortest way of feeds from a terminal back to a protective device, through switches and joints: the wires, the nearest
 * last, and the item of the device; 0: none. Room for all wires. */
int study_way_back(const study *s, int terminal, int *wires, int *device);
/* Are two terminals joined by conductors and protective devices alone, with a wire taken away? */
bool study_is_joined_without(const study *s, int a, int b, int wire);
/* The share of nominal that a load's wiring may lose. */
double study_drop_limit(const study *s, const load_study *l);

/* `loomwall meter`: one set of positions under given conditions, with all that the command prints. */
typedef struct meter_reading {
    const network *net;
    const operating_point *op;
    int reference; /* node that voltages are against */
} meter_reading;
meter_reading *study_meter(arena *a, const van *v, const position *positions, const conditions *c,
                           int reference_terminal);
/* Of the negative posts of the batteries that can be measured, the lowest voltage; NAN when there is none. */
double meter_lowest_V(const meter_reading *m);

#endif
