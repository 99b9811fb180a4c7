/* By parts: exact extremes from few operating points, where circuits meet only in the supply. The method and its proof:
 * docs/methods/switch-positions.md.
 *
 * Every number comes from the full network: a row is one operating point with all that the watches read from it. What is
 * saved is rows. Two backgrounds frame all others: `least`, where every group of switches draws least, and `most`. In
 * both, each group is moved through its states, one group at a time. That shows what a group does to a quantity, its
 * effect. A group's effect changes with what the others do, but only through the voltage that they cost each other:
 *
 *   S = kappa * sum over the other groups k of |effect of k| * relative change of voltage that this group causes at k
 *
 * bounds that change. Where an effect has one sign in both backgrounds and is larger than S, the group's best state is
 * known whatever the others do. Groups for which it is not known are looked at again with the known ones in their best
 * states, and at last gone through one by one.
 *
 * Inside a part with two taps all depends on its own state and the one voltage between the taps; so the extremes over
 * the others lie where that voltage is extreme, if the quantity runs one way with it. */
#ifndef CIRCUIT_PARTS_H
#define CIRCUIT_PARTS_H

#include "circuit/survey.h"

enum { grounds_most = 16, stands_most = 8 };

/* Where a row of late was solved: the next one starts from the nearest. */
typedef struct stand {
    uint16_t *at;
    op_state *state;
} stand;

/* The digits of one part, moved together. */
typedef struct group {
    int part;
    int n_states;
    const int *digits;
    int n_digits;
    const uint32_t *states; /* [state * n_digits + i] */
    int least, most;        /* the states that draw least and most */
} group;

typedef struct row {
    const uint16_t *at;                     /* state of each group */
    const double *values, *taps_V, *taps_A; /* taps_A: out of each tap into its part */
    const unsigned char *conditions;        /* of each condition element: bit 0 open, bit 1 closed */
    double power_W;
    int n_away;
    const position *positions;
    int set; /* number in survey.sets, or -1 */
    int circumstance;
    const op_state *state;             /* NULL where there is no room for more */
    struct sensitivity *sensitivities; /* those found so far, see parts_estimate.c */
} row;

/* What a part knows of the others: rows of theirs in which the voltage at its taps is extreme. */
typedef struct window {
    bool is_tried, is_found;
    const uint16_t *low, *high;        /* states of all groups; its own is ignored */
    int strongest;                     /* the group with the largest effect, -1: none has any */
    int strongest_low, strongest_high; /* its state in low and high */
} window;

/* All others' states while one group is moved at a time, and the rows that came of it: moved[group][state], -1: not
 * looked up yet. */
typedef struct ground {
    uint16_t *at;
    int **moved;
} ground;

/* What groups would do on a ground of its own, see parts_estimate.c. */
typedef struct estimate {
    bool is_ready;
    double value;        /* of the target on the ground itself */
    const double *per_A; /* of each tap: change of the target for an ampere more into its part */
} estimate;

typedef struct parts_run {
    survey *s;
    arena *a;
    const position *fixed;
    const split *sp;
    op_plan *plan;
    stand stands[stands_most];
    int n_stands, last_stand; /* last: the plan stands there; -1: elsewhere */
    size_t states_bytes;      /* that rows keep */
    group *groups;
    int n_groups;
    int *group_of_part, *group_of_digit, *part_of_value; /* -1: the trunk, or several parts */
    ARRAY(row) rows;
    int *buckets;
    size_t n_buckets;
    const int *taps; /* all taps, part after part; first_tap[part] */
    int *first_tap;
    window *windows;
    /* Elements that can be in one regime or another: cut out, pulled in, limited, conducting. */
    int *kinked, n_kinked;
    signed char **regimes; /* [kinked][state of its group]: -1 not seen yet */
    /* Regimes of those that no group of switches owns (chargers, a panel's diode): each combination seen is a
     * circumstance. Effects are measured in every one. */
    ARRAY(signed char *) circumstances;
    signed char *now;
    int *conditions, n_conditions, *condition_of_element;
    double
        *influence[grounds_most]; /* [group * n_parts + part]: largest relative change of voltage at the part's taps */
    double *influence_most[grounds_most]; /* of each group: the largest at any part */
    double *supply_V;                     /* of each part: least seen between its taps while one group is moved */
    double kappa;
    bool is_chopped;
    const char *why;
    /* Scratch of choose(). */
    ground on[grounds_most];   /* at work: the first draws least, the second most, others as circumstances need */
    ground base[grounds_most]; /* as the groups' least and most say */
    ground own[grounds_most];  /* room for any others */
    int n_grounds;
    estimate estimates[grounds_most]; /* for each of `on` and the target at hand */
    op_sensitivity *sought;           /* what is looked for at once, and for which */
    struct sensitivity **sought_for;
    int *sought_values;
    struct tap_term *tap_terms; /* the elements of the parts at their taps */
    int n_tap_terms;
    double sag; /* largest sum of relative changes of voltage at one part */
    uint16_t *probe_at;
    double *effect[grounds_most]; /* of each group */
    double effect_sum[grounds_most];
    unsigned char **allowed; /* [group][state] for the watch at hand */
} parts_run;

/* A quantity as a function of the row. */
typedef struct target {
    int value; /* index into values; or -1: voltage between the taps of `part` */
    int part;
} target;

typedef struct choice {
    int best;      /* state */
    bool is_known; /* it is the best whatever the others do */
    int n_candidates;
    bool *is_candidate;
} choice;

/* ---- parts_rows.c ---- */

double parts_target_value(const parts_run *r, target t, const row *at);
void parts_rehash(parts_run *r);
int parts_find_row(const parts_run *r, const uint16_t *at);
/* The row for these states of all groups, solved when it is new. -1: no operating point, or a regime changed. */
int parts_row_at(parts_run *r, const uint16_t *at);
/* The plan goes back to a row. */
void parts_stand_at(parts_run *r, int number);
/* The row `at` with group g moved to state s. */
int parts_row_moved(parts_run *r, const uint16_t *at, int g, int s);
/* The same for a ground at work, which remembers; and the row if there is one already. */
int parts_row_on(parts_run *r, ground *on, int g, int s);
int parts_known_on(parts_run *r, ground *on, int g, int s);
void parts_ground_forget(const parts_run *r, ground *on);
void parts_ground_make(parts_run *r, ground *on);
void parts_offer_row(parts_run *r, int watch, int number);

/* ---- parts_groups.c ---- */

bool parts_make_groups(parts_run *r);
void parts_list_kinked(parts_run *r);
void parts_list_conditions(parts_run *r);
void parts_list_taps(parts_run *r);
void parts_list_values(parts_run *r);

/* ---- parts_grounds.c ---- */

/* A group's states by the power that the sources give with all others at rest. */
bool parts_rank_states(parts_run *r);
/* Largest change of a difference of voltage between the taps of a part, from row i to row j. */
double parts_change_at(const parts_run *r, int part, int i, int j);
/* A ground for each circumstance that no ground has yet, as its first row stands. */
bool parts_add_grounds(parts_run *r);
bool parts_measure_influence(parts_run *r);

/* ---- parts_estimate.c ---- */

void parts_list_tap_terms(parts_run *r);
void parts_read_taps_A(const parts_run *r, const operating_point *op, double *taps_A);
/* Rows from now on. False when it was so already. */
bool parts_estimate_none(parts_run *r);
/* From now on the target is estimated on the grounds at work, wherever that can be done. False on failure. */
bool parts_estimate(parts_run *r, target t);
/* The target with group g in state s on a ground at work, and what it may be off by: by 0 where it is that of a row. False
 * on failure. */
bool parts_read(parts_run *r, target t, int on, int g, int s, double *value, double *off);

/* ---- parts_choose.c ---- */

/* Largest effect of each free group on each ground, over its allowed states. A scale of NAN: the target has no value in
 * any of them. */
bool parts_measure_effects(parts_run *r, target t, const bool *is_free, double *scale);
bool parts_choose(parts_run *r, target t, int sign, const bool *is_free, int g, double tie, choice *c);
void parts_base_grounds(parts_run *r);
/* The base grounds, with allowed states; group `own` stands in `own_state` in all. */
void parts_set_grounds(parts_run *r, int own, int own_state);
/* The row in which the target is extreme over all states of the groups but `own`; -1 on failure. */
int parts_extreme_row(parts_run *r, target t, int sign, int own, int own_state);

#endif
