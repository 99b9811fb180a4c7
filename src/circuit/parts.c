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
#include "circuit/survey.h"

#include <math.h>
#include <string.h>

static const double weak_V = 0.1;      /* least voltage that changes at a part's taps are held against */
static const double sag_most = 0.4;    /* of the voltage at a part, by all groups together: beyond, S is no bound */
static const double flat_share = 0.02; /* an effect that shrinks below this share from one background to the other is
                                          not taken as having one sign */
enum { grounds_most = 16, states_most = 1024, rows_most = 1 << 15, weak_most = 4096, numbers_most = 1 << 26 };

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
    const uint16_t *at; /* state of each group */
    const double *values, *taps_V;
    const unsigned char *conditions; /* of each condition element: bit 0 open, bit 1 closed */
    double power_W;
    int n_away;
    const position *positions;
    int set; /* number in survey.sets, or -1 */
    int circumstance;
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

typedef struct parts_run {
    survey *s;
    arena *a;
    const position *fixed;
    const split *sp;
    op_plan *plan;
    group *groups;
    int n_groups;
    int *group_of_part, *group_of_digit;
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
        *influence[grounds_most]; /* [part * n_groups + group]: largest relative change of voltage at the part's taps */
    double *supply_V;             /* of each part: least seen between its taps while one group is moved */
    double kappa;
    bool is_chopped;
    const char *why;
    /* Scratch of choose(). */
    ground on[grounds_most];   /* at work: the first draws least, the second most, others as circumstances need */
    ground base[grounds_most]; /* as the groups' least and most say */
    ground own[grounds_most];  /* room for any others */
    int n_grounds;
    uint16_t *probe_at;
    double *effect[grounds_most]; /* of each group */
    unsigned char **allowed;      /* [group][state] for the watch at hand */
} parts_run;

/* A quantity as a function of the row. */
typedef struct target {
    int value; /* index into values; or -1: voltage between the taps of `part` */
    int part;
} target;

/* ---- rows ---- */

static double target_value(const parts_run *r, target t, const row *at)
{
    if (t.value >= 0) return at->values[t.value];
    const double *V = at->taps_V + r->first_tap[t.part];
    return V[0] - V[1];
}

static int regime(const net_element *e, int k, const operating_point *op, const op_phase *phase)
{
    switch (e->type) {
    case ELEMENT_COIL:
        return op->items[e->item].is_pulled;
    case ELEMENT_DIODE:
        return op->across_V[k] > e->drop_V;
    case ELEMENT_LOAD:
        return phase->is_closed[k] != 0;
    default: {
        if (!phase->is_closed[k]) return 0;
        const double given_W = op->output_A[k] * e->voltage_V;
        if (e->limit_W > 0 && given_W >= e->limit_W * (1 - 1e-4)) return 3;
        return op->output_A[k] > 0 ? 2 : 1;
    }
    }
}

static int find_circumstance(parts_run *r)
{
    for (size_t c = 0; c < r->circumstances.n; c++)
        if (memcmp(r->circumstances.at[c], r->now, (size_t)r->n_kinked) == 0) return (int)c;
    signed char *copy = ARENA_ARRAY(r->a, signed char, (size_t)r->n_kinked + 1);
    memcpy(copy, r->now, (size_t)r->n_kinked);
    *ARRAY_ADD(r->a, &r->circumstances) = copy;
    return (int)r->circumstances.n - 1;
}

/* The circumstance of a point; -1 when an element that a group owns is in another regime than before, though its group
 * stands where it stood. */
static int check_regimes(parts_run *r, const uint16_t *at, const operating_point *op)
{
    const op_phase phase = op_phase_of(r->plan, 0);
    for (int i = 0; i < r->n_kinked; i++) {
        const int k = r->kinked[i], part = r->sp->part_of_element[k], g = part >= 0 ? r->group_of_part[part] : -1;
        const int now = regime(&r->s->net->elements[k], k, op, &phase);
        const element_type type = r->s->net->elements[k].type;
        const bool is_source = g < 0 && (type == ELEMENT_TRANSFER || type == ELEMENT_DIODE);
        r->now[i] = is_source ? (signed char)now : 0;
        if (is_source) continue;
        signed char *seen = &r->regimes[i][g >= 0 ? at[g] : 0];
        if (*seen >= 0 && *seen != now) {
            r->why = "a cut-out, relay, diode or limit of one circuit depends on the positions of others";
            return -1;
        }
        *seen = (signed char)now;
    }
    return find_circumstance(r);
}

static size_t hash_of(const uint16_t *at, int n)
{
    uint64_t h = 1469598103934665603u;
    for (int i = 0; i < n; i++) h = (h ^ at[i]) * 1099511628211u;
    return (size_t)(h ^ h >> 29);
}

static void rehash(parts_run *r)
{
    r->n_buckets = r->n_buckets ? 2 * r->n_buckets : 256;
    r->buckets = ARENA_ARRAY(r->a, int, r->n_buckets);
    for (size_t i = 0; i < r->rows.n; i++) {
        size_t b = hash_of(r->rows.at[i].at, r->n_groups) & (r->n_buckets - 1);
        while (r->buckets[b]) b = (b + 1) & (r->n_buckets - 1);
        r->buckets[b] = (int)i + 1;
    }
}

static int find_row(const parts_run *r, const uint16_t *at)
{
    for (size_t b = hash_of(at, r->n_groups) & (r->n_buckets - 1); r->buckets[b]; b = (b + 1) & (r->n_buckets - 1)) {
        const int i = r->buckets[b] - 1;
        if (memcmp(r->rows.at[i].at, at, (size_t)r->n_groups * sizeof *at) == 0) return i;
    }
    return -1;
}

static void read_row(parts_run *r, row *into, const uint16_t *at, const position *positions, const operating_point *op)
{
    const probe *p = r->s->probe;
    uint16_t *states = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    memcpy(states, at, (size_t)r->n_groups * sizeof *at);
    double *values = ARENA_ARRAY(r->a, double, (size_t)p->n_values + 1);
    const int n_taps = r->first_tap[r->sp->n_parts];
    double *taps_V = ARENA_ARRAY(r->a, double, (size_t)n_taps + 1);
    unsigned char *conditions = ARENA_ARRAY(r->a, unsigned char, (size_t)r->n_conditions + 1);
    probe_read(p, op, values);
    for (int i = 0; i < n_taps; i++) taps_V[i] = op->node_V[r->taps[i]];
    for (int i = 0; i < r->n_conditions; i++)
        conditions[i] = (unsigned char)(probe_is_open(p, r->conditions[i], positions, op) |
                                        probe_is_closed(p, r->conditions[i], positions, op) << 1);
    *into = (row){.at = states,
                  .values = values,
                  .taps_V = taps_V,
                  .conditions = conditions,
                  .power_W = op->power_W,
                  .positions = positions,
                  .set = -1};
    into->n_away = survey_n_away(r->s, positions);
    if (op->n_phases > 1) r->is_chopped = true;
}

/* The row for these states of all groups, solved when it is new. -1: no operating point, or a regime changed. */
static int row_at(parts_run *r, const uint16_t *at)
{
    const int known = find_row(r, at);
    if (known >= 0) return known;
    if (r->rows.n >= rows_most ||
        r->rows.n * (size_t)(r->s->probe->n_values + r->first_tap[r->sp->n_parts]) > numbers_most) {
        r->why = "too many circuits act on each other for the parts to be looked at one by one";
        return -1;
    }
    survey *s = r->s;
    position *positions = ARENA_ARRAY(r->a, position, (size_t)s->net->van->n_items + 1);
    memcpy(positions, r->fixed, (size_t)s->net->van->n_items * sizeof *positions);
    for (int g = 0; g < r->n_groups; g++)
        for (int k = 0; k < r->groups[g].n_digits; k++)
            combos_set(s->c, r->groups[g].digits[k], (int)r->groups[g].states[at[g] * r->groups[g].n_digits + k],
                       positions);
    const operating_point *op = op_solve(r->plan, positions, false);
    s->n_solves++;
    if (op->outcome != OUTCOME_SOLVED) {
        survey_trouble(s, op->outcome, op->culprit_element, positions);
        r->why = "in some positions there is no operating point";
        return -1;
    }
    op = op_check(r->plan);
    if (op->residual_A > s->worst_residual_A) s->worst_residual_A = op->residual_A;
    const int circumstance = check_regimes(r, at, op);
    if (circumstance < 0) return -1;
    row *into = ARRAY_ADD(r->a, &r->rows);
    read_row(r, into, at, positions, op);
    into->circumstance = circumstance;
    const int number = (int)r->rows.n - 1;
    if (2 * r->rows.n > r->n_buckets) {
        rehash(r);
        return number;
    }
    size_t b = hash_of(at, r->n_groups) & (r->n_buckets - 1);
    while (r->buckets[b]) b = (b + 1) & (r->n_buckets - 1);
    r->buckets[b] = number + 1;
    return number;
}

/* The row `at` with group g moved to state s. */
static int row_moved(parts_run *r, const uint16_t *at, int g, int s)
{
    memcpy(r->probe_at, at, (size_t)r->n_groups * sizeof *at);
    r->probe_at[g] = (uint16_t)s;
    return row_at(r, r->probe_at);
}

/* The same for a ground at work, which remembers. */
static int row_on(parts_run *r, ground *on, int g, int s)
{
    if (on->moved[g][s] < 0) on->moved[g][s] = row_moved(r, on->at, g, s);
    return on->moved[g][s];
}

static void ground_forget(const parts_run *r, ground *on)
{
    for (int g = 0; g < r->n_groups; g++) memset(on->moved[g], -1, (size_t)r->groups[g].n_states * sizeof(int));
}

static void ground_make(parts_run *r, ground *on)
{
    on->at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    on->moved = ARENA_ARRAY(r->a, int *, (size_t)r->n_groups + 1);
    for (int g = 0; g < r->n_groups; g++) on->moved[g] = ARENA_ARRAY(r->a, int, (size_t)r->groups[g].n_states);
    ground_forget(r, on);
}

static void offer_row(parts_run *r, int watch, int number)
{
    row *x = &r->rows.at[number];
    if (x->set < 0) x->set = (int)survey_set(r->s, x->positions);
    record_offer(&r->s->records[watch], r->s->probe, watch, x->values, x->n_away, (uint64_t)x->set);
}

/* ---- preparation ---- */

/* All combinations of a live part's digits. */
static bool list_product(parts_run *r, group *g)
{
    const combos *c = r->s->c;
    const double n = r->sp->parts[g->part].n_states;
    if (n > states_most) {
        r->why = "one circuit has too many combinations of its own";
        return false;
    }
    g->n_states = (int)n;
    uint32_t *states = ARENA_ARRAY(r->a, uint32_t, (size_t)g->n_states * (size_t)g->n_digits + 1);
    for (int s = 0; s < g->n_states; s++)
        for (int k = g->n_digits - 1, left = s; k >= 0; k--) {
            const int m = c->digits[g->digits[k]].n_states;
            states[s * g->n_digits + k] = (uint32_t)(left % m);
            left /= m;
        }
    g->states = states;
    return true;
}

/* Contacts that a digit closes in a state, as a set of bits of its part's elements: is there one state that closes all
 * that any state closes? -1 if not. */
static int fullest_state(const parts_run *r, int of_digit)
{
    const network *net = r->s->net;
    const digit *d = &r->s->c->digits[of_digit];
    for (int s = 0; s < d->n_states; s++) {
        bool is_full = true;
        for (int i = 0; i < d->n_items && is_full; i++) {
            const item *it = &net->van->items[d->items[i]];
            const position *p = &it->positions[d->choice[s * d->n_items + i]];
            for (int k = net->first_element[d->items[i]]; k < net->first_element[d->items[i] + 1]; k++) {
                const net_element *e = &net->elements[k];
                if (e->type == ELEMENT_CHOPPER && e->is_dialled) is_full = is_full && p->fraction > 0;
                if (e->type != ELEMENT_CONTACT) continue;
                bool can_close = false;
                for (int q = 0; q < it->n_positions; q++)
                    can_close |= (e->closed_in >> it->positions[q].index & 1u) != 0;
                is_full = is_full && (!can_close || (e->closed_in >> p->index & 1u));
            }
        }
        if (is_full) return s;
    }
    return -1;
}

typedef struct state_list {
    parts_run *r;
    const group *g;
    ARRAY(uint32_t) at;
    int n;
} state_list;

static void add_state(state_list *l, const uint32_t *at)
{
    const int n = l->g->n_digits;
    for (int s = 0; s < l->n; s++)
        if (memcmp(l->at.at + s * n, at, (size_t)n * sizeof *at) == 0) return;
    for (int k = 0; k < n; k++) *ARRAY_ADD(l->r->a, &l->at) = at[k];
    l->n++;
}

static int local_digit(const group *g, int of_digit)
{
    for (int k = 0; k < g->n_digits; k++)
        if (g->digits[k] == of_digit) return k;
    return -1;
}

/* All states of the digits with `is_loose`, the others as they stand in `at`. */
static bool add_product(state_list *l, uint32_t *at, const bool *is_loose)
{
    const group *g = l->g;
    for (int k = 0; k < g->n_digits; k++)
        if (is_loose[k]) at[k] = 0;
    for (;;) {
        if (l->n >= states_most) return false;
        add_state(l, at);
        int k = 0;
        for (; k < g->n_digits; k++) {
            if (!is_loose[k]) continue;
            if (++at[k] < (uint32_t)l->r->s->c->digits[g->digits[k]].n_states) break;
            at[k] = 0;
        }
        if (k == g->n_digits) return true;
    }
}

/* Digits that a watch has conditions on, besides those that are loose anyway; how many there are. */
static int conditioned(const parts_run *r, const group *g, int watch_number, bool *is_loose)
{
    const watch *x = &r->s->probe->watches[watch_number];
    int n = 0;
    for (int k = 0; k < x->n_open + x->n_closed; k++) {
        const int e = k < x->n_open ? x->open[k] : x->closed[k - x->n_open], of_item = r->s->net->elements[e].item;
        const int at = of_item < 0 ? -1 : local_digit(g, r->s->c->digit_of_item[of_item]);
        if (at < 0 || is_loose[at]) continue;
        is_loose[at] = true;
        n++;
    }
    return n;
}

/* A dead part: no current flows in it. What its contacts decide is only which of its terminals hang together with its
 * tap. All closed joins most, so rest, all closed, and all closed but one digit show every terminal joined and apart.
 * Digits without one state that closes all they can close go through all their states, and so do those that a watch
 * has conditions on. */
static bool list_dead(parts_run *r, group *g)
{
    if (r->sp->parts[g->part].n_states <= 16) return list_product(r, g);
    const combos *c = r->s->c;
    const size_t n = (size_t)g->n_digits + 1;
    state_list l = {.r = r, .g = g};
    uint32_t *at = ARENA_ARRAY(r->a, uint32_t, n), *full = ARENA_ARRAY(r->a, uint32_t, n);
    bool *is_loose = ARENA_ARRAY(r->a, bool, n), *is_loose_here = ARENA_ARRAY(r->a, bool, n);
    add_state(&l, at);
    for (int k = 0; k < g->n_digits; k++) {
        const int fullest = fullest_state(r, g->digits[k]);
        is_loose[k] = fullest < 0;
        full[k] = fullest < 0 ? 0 : (uint32_t)fullest;
    }
    bool is_listed = true;
    for (int k = -1; k < g->n_digits && is_listed; k++)
        for (int s = 0; s < (k < 0 ? 1 : c->digits[g->digits[k]].n_states) && is_listed; s++) {
            memcpy(at, full, n * sizeof *at);
            if (k >= 0) at[k] = (uint32_t)s;
            is_listed = add_product(&l, at, is_loose);
        }
    for (int w = 0; w < r->s->probe->n_watches && is_listed; w++) {
        memcpy(is_loose_here, is_loose, n * sizeof *is_loose);
        if (conditioned(r, g, w, is_loose_here) < 2) continue;
        memcpy(at, full, n * sizeof *at);
        is_listed = add_product(&l, at, is_loose_here);
    }
    if (!is_listed) r->why = "behind an open switch, too many contacts exclude each other";
    g->states = l.at.at;
    g->n_states = l.n;
    return is_listed;
}

static bool make_groups(parts_run *r)
{
    const split *sp = r->sp;
    r->groups = ARENA_ARRAY(r->a, group, (size_t)sp->n_parts + 1);
    r->group_of_part = ARENA_ARRAY(r->a, int, (size_t)sp->n_parts + 1);
    r->group_of_digit = ARENA_ARRAY(r->a, int, (size_t)r->s->c->n_digits + 1);
    for (int d = 0; d < r->s->c->n_digits; d++) r->group_of_digit[d] = -1;
    for (int p = 0; p < sp->n_parts; p++) {
        r->group_of_part[p] = -1;
        if (sp->parts[p].n_digits == 0) continue;
        group *g = &r->groups[r->n_groups];
        *g = (group){.part = p, .digits = sp->parts[p].digits, .n_digits = sp->parts[p].n_digits};
        if (!(sp->parts[p].is_live ? list_product(r, g) : list_dead(r, g))) return false;
        for (int k = 0; k < g->n_digits; k++) r->group_of_digit[g->digits[k]] = r->n_groups;
        r->group_of_part[p] = r->n_groups++;
    }
    return true;
}

static bool is_kinked(const net_element *e)
{
    return e->type == ELEMENT_DIODE || e->type == ELEMENT_TRANSFER || (e->type == ELEMENT_COIL && e->item >= 0) ||
           (e->type == ELEMENT_LOAD && e->stops_below_V > 0);
}

static void list_kinked(parts_run *r)
{
    const network *net = r->s->net;
    r->kinked = ARENA_ARRAY(r->a, int, (size_t)net->n_elements + 1);
    for (int k = 0; k < net->n_elements; k++)
        if (is_kinked(&net->elements[k])) r->kinked[r->n_kinked++] = k;
    r->regimes = ARENA_ARRAY(r->a, signed char *, (size_t)r->n_kinked + 1);
    r->now = ARENA_ARRAY(r->a, signed char, (size_t)r->n_kinked + 1);
    for (int i = 0; i < r->n_kinked; i++) {
        const int part = r->sp->part_of_element[r->kinked[i]], g = part >= 0 ? r->group_of_part[part] : -1;
        const size_t n = g >= 0 ? (size_t)r->groups[g].n_states : 1;
        r->regimes[i] = ARENA_ARRAY(r->a, signed char, n);
        memset(r->regimes[i], -1, n);
    }
}

static void list_conditions(parts_run *r)
{
    const probe *p = r->s->probe;
    const size_t n = (size_t)r->s->net->n_elements + 1;
    r->conditions = ARENA_ARRAY(r->a, int, n);
    r->condition_of_element = ARENA_ARRAY(r->a, int, n);
    for (int w = 0; w < p->n_watches; w++)
        for (int k = 0; k < p->watches[w].n_open + p->watches[w].n_closed; k++) {
            const watch *x = &p->watches[w];
            const int e = k < x->n_open ? x->open[k] : x->closed[k - x->n_open];
            if (r->condition_of_element[e]) continue;
            r->conditions[r->n_conditions++] = e;
            r->condition_of_element[e] = r->n_conditions;
        }
}

static void list_taps(parts_run *r)
{
    const split *sp = r->sp;
    r->first_tap = ARENA_ARRAY(r->a, int, (size_t)sp->n_parts + 1);
    for (int p = 0; p < sp->n_parts; p++) r->first_tap[p + 1] = r->first_tap[p] + sp->parts[p].n_taps;
    int *taps = ARENA_ARRAY(r->a, int, (size_t)r->first_tap[sp->n_parts] + 1);
    for (int p = 0; p < sp->n_parts; p++)
        for (int k = 0; k < sp->parts[p].n_taps; k++) taps[r->first_tap[p] + k] = sp->parts[p].taps[k];
    r->taps = taps;
    r->windows = ARENA_ARRAY(r->a, window, (size_t)sp->n_parts + 1);
}

/* ---- backgrounds ---- */

/* A group's states by the power that the sources give with all others at rest. */
static bool rank_states(parts_run *r)
{
    uint16_t *rest = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    if (row_at(r, rest) < 0) return false;
    for (int g = 0; g < r->n_groups; g++) {
        double least_W = INFINITY, most_W = -INFINITY;
        for (int s = 0; s < r->groups[g].n_states; s++) {
            const int number = row_moved(r, rest, g, s);
            if (number < 0) return false;
            const double power_W = r->rows.at[number].power_W;
            if (power_W < least_W - 1e-9) {
                least_W = power_W;
                r->groups[g].least = s;
            }
            if (power_W > most_W + 1e-9) {
                most_W = power_W;
                r->groups[g].most = s;
            }
        }
    }
    return true;
}

/* Largest change of a difference of voltage between the taps of a part, from row i to row j. */
static double change_at(const parts_run *r, int part, int i, int j)
{
    const double *x = r->rows.at[i].taps_V, *y = r->rows.at[j].taps_V;
    double low = INFINITY, high = -INFINITY;
    for (int k = r->first_tap[part]; k < r->first_tap[part + 1]; k++) {
        const double change = y[k] - x[k];
        if (isnan(change)) continue;
        low = fmin(low, change);
        high = fmax(high, change);
    }
    return high > low ? high - low : 0;
}

static double voltage_at(const parts_run *r, int part, int i)
{
    double low = INFINITY, high = -INFINITY;
    for (int k = r->first_tap[part]; k < r->first_tap[part + 1]; k++) {
        const double V = r->rows.at[i].taps_V[k];
        if (isnan(V)) continue;
        low = fmin(low, V);
        high = fmax(high, V);
    }
    return high > low ? high - low : 0;
}

static bool measure_influence_on(parts_run *r, int on)
{
    const int n_parts = r->sp->n_parts, base = row_at(r, r->on[on].at);
    if (base < 0) return false;
    r->influence[on] = ARENA_ARRAY(r->a, double, (size_t)n_parts *(size_t)r->n_groups + 1);
    for (int g = 0; g < r->n_groups; g++)
        for (int s = 0; s < r->groups[g].n_states; s++) {
            const int moved = row_on(r, &r->on[on], g, s);
            if (moved < 0) return false;
            /* Two states that both differ from the background's may differ twice as much from each other. */
            const double factor = r->groups[g].n_states > 2 ? 2 : 1;
            for (int p = 0; p < n_parts; p++) {
                if (r->sp->parts[p].n_taps < 2) continue;
                double *at = &r->influence[on][p * r->n_groups + g];
                const double V = fmin(voltage_at(r, p, base), voltage_at(r, p, moved));
                r->supply_V[p] = fmin(r->supply_V[p], V);
                *at = fmax(*at, factor * change_at(r, p, base, moved) / fmax(V, weak_V));
            }
        }
    return true;
}

/* A ground for each circumstance that no ground has yet, as its first row stands. */
static bool add_grounds(parts_run *r)
{
    for (size_t c = 0; c < r->circumstances.n; c++) {
        bool is_covered = false;
        size_t first = r->rows.n;
        for (int on = 0; on < r->n_grounds; on++) {
            const int number = find_row(r, r->base[on].at);
            is_covered |= number >= 0 && r->rows.at[number].circumstance == (int)c;
        }
        for (size_t i = r->rows.n; i-- > 0;)
            if (r->rows.at[i].circumstance == (int)c) first = i;
        if (is_covered || first == r->rows.n) continue;
        if (r->n_grounds == grounds_most) {
            r->why = "chargers or panels stand in too many circumstances";
            return false;
        }
        memcpy(r->base[r->n_grounds].at, r->rows.at[first].at, (size_t)r->n_groups * sizeof(uint16_t));
        r->on[r->n_grounds] = r->base[r->n_grounds];
        r->n_grounds++;
    }
    return true;
}

/* From the least to the most drawing ground, group by group: shows the circumstances between. */
static bool walk_between(parts_run *r)
{
    uint16_t *at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    memcpy(at, r->base[0].at, (size_t)r->n_groups * sizeof *at);
    for (int g = 0; g < r->n_groups; g++) {
        at[g] = r->base[1].at[g];
        if (row_at(r, at) < 0) return false;
    }
    return true;
}

static bool measure_influence(parts_run *r)
{
    const int n_parts = r->sp->n_parts;
    if (!r->supply_V) {
        r->supply_V = ARENA_ARRAY(r->a, double, (size_t)n_parts + 1);
        for (int p = 0; p < n_parts; p++) r->supply_V[p] = INFINITY;
    }
    for (int on = 0; on < r->n_grounds; on++) {
        if (!r->influence[on] && !measure_influence_on(r, on)) return false;
        if (on == 1 && r->circumstances.n > 1 && !walk_between(r)) return false;
        if (on >= 1 && !add_grounds(r)) return false;
    }
    double sag = 0;
    const int least = row_at(r, r->base[0].at);
    for (int on = 0; on < r->n_grounds; on++)
        for (int p = 0; p < n_parts; p++) {
            double sum = 0;
            for (int g = 0; g < r->n_groups; g++) sum += r->influence[on][p * r->n_groups + g];
            if (voltage_at(r, p, least) > 1) sag = fmax(sag, sum);
        }
    if (sag > sag_most) r->why = "the circuits pull each other's voltage down too far";
    r->kappa = 2 / ((1 - sag) * (1 - sag));
    return sag <= sag_most;
}

/* ---- choosing states ---- */

typedef struct choice {
    int best;      /* state */
    bool is_known; /* it is the best whatever the others do */
    int n_candidates;
    bool *is_candidate;
} choice;

/* The values of a target with group g in state s, over all grounds. */
static bool read_values(parts_run *r, target t, int g, int s, double v[grounds_most])
{
    for (int on = 0; on < r->n_grounds; on++) {
        const int i = row_on(r, &r->on[on], g, s);
        if (i < 0) return false;
        v[on] = target_value(r, t, &r->rows.at[i]);
    }
    return true;
}

/* Largest effect of each free group on each ground, over its allowed states. A scale of NAN: the target has no value in
 * any of them. */
static bool measure_effects(parts_run *r, target t, const bool *is_free, double *scale)
{
    bool has_value = false, has_none = false;
    *scale = 0;
    for (int g = 0; g < r->n_groups; g++) {
        double low[grounds_most], high[grounds_most], v[grounds_most];
        for (int on = 0; on < r->n_grounds; on++) {
            low[on] = INFINITY;
            high[on] = -INFINITY;
            r->effect[on][g] = 0;
        }
        for (int s = 0; is_free[g] && s < r->groups[g].n_states; s++) {
            if (r->allowed[g] && !r->allowed[g][s]) continue;
            if (!read_values(r, t, g, s, v)) return false;
            for (int on = 0; on < r->n_grounds; on++) {
                has_none |= isnan(v[on]);
                has_value |= !isnan(v[on]);
                low[on] = fmin(low[on], v[on]);
                high[on] = fmax(high[on], v[on]);
                if (!isnan(v[on])) *scale = fmax(*scale, fabs(v[on]));
            }
        }
        for (int on = 0; on < r->n_grounds; on++)
            if (high[on] > low[on]) r->effect[on][g] = high[on] - low[on];
    }
    if (has_none && !has_value) *scale = NAN;
    if (has_none && has_value) r->why = "a terminal is joined to the rest only in some positions of other circuits";
    return !r->why;
}

/* S of the file's head on one ground, for any two states of group g. */
static double interplay(const parts_run *r, int on, const bool *is_free, int g)
{
    double sum = 0;
    for (int k = 0; k < r->n_groups; k++)
        if (k != g && is_free[k] && r->effect[on][k] > 0)
            sum += r->effect[on][k] * r->influence[on][r->groups[k].part * r->n_groups + g];
    return r->kappa * sum;
}

/* The same for two given states, which may differ less than others do; their rows are known. */
static double interplay_of(const parts_run *r, int on, const bool *is_free, int g, int s, int t)
{
    double sum = 0;
    for (int k = 0; k < r->n_groups; k++) {
        if (k == g || !is_free[k] || !(r->effect[on][k] > 0)) continue;
        const int part = r->groups[k].part;
        const double V = change_at(r, part, r->on[on].moved[g][s], r->on[on].moved[g][t]);
        sum += r->effect[on][k] * V / fmax(r->supply_V[part], weak_V);
    }
    return r->kappa * sum;
}

/* Is state s worse than the best one, or the same, whatever the others do? It must be so in every circumstance; where
 * circumstances differ, an effect may shrink from one to the next as far as it likes. */
static bool is_beaten(const parts_run *r, const double *best, const double *v, int sign, const double *S, double tie)
{
    double less = INFINITY, more = 0;
    for (int on = 0; on < r->n_grounds; on++) {
        const double ahead = sign * (best[on] - v[on]);
        if (fabs(ahead) <= tie && S[on] <= tie) continue;
        if (ahead <= S[on] + tie) return false;
        less = fmin(less, ahead);
        more = fmax(more, ahead);
    }
    const bool is_same_circumstance = r->circumstances.n < 2;
    return !is_same_circumstance || more == 0 || less > flat_share * more;
}

static bool choose(parts_run *r, target t, int sign, const bool *is_free, int g, double tie, choice *c)
{
    const group *of = &r->groups[g];
    double best[grounds_most] = {0}, v[grounds_most] = {0}, S[grounds_most];
    c->best = -1;
    for (int s = 0; s < of->n_states; s++) {
        c->is_candidate[s] = false;
        if (r->allowed[g] && !r->allowed[g][s]) continue;
        if (!read_values(r, t, g, s, v)) return false;
        double ahead = 0;
        for (int on = 0; on < r->n_grounds && fabs(ahead) <= tie; on++) ahead = sign * (v[on] - best[on]);
        if (c->best >= 0 && ahead <= tie) continue;
        c->best = s;
        memcpy(best, v, sizeof best);
    }
    c->n_candidates = 1;
    c->is_candidate[c->best] = true;
    for (int s = 0; s < of->n_states; s++) {
        if (s == c->best || (r->allowed[g] && !r->allowed[g][s])) continue;
        if (!read_values(r, t, g, s, v)) return false;
        for (int on = 0; on < r->n_grounds; on++) S[on] = interplay(r, on, is_free, g);
        if (is_beaten(r, best, v, sign, S, tie)) continue;
        for (int on = 0; on < r->n_grounds; on++) S[on] = interplay_of(r, on, is_free, g, s, c->best);
        if (is_beaten(r, best, v, sign, S, tie)) continue;
        c->is_candidate[s] = true;
        c->n_candidates++;
    }
    c->is_known = c->n_candidates == 1;
    return true;
}

/* Goes through all candidates of the groups that are still free, over low_at. Notes the best row. */
static int best_of_candidates(parts_run *r, target t, int sign, const bool *is_free, bool *const *is_candidate,
                              double n)
{
    if (n > weak_most) {
        r->why = "too many circuits act on each other";
        return -1;
    }
    uint16_t *at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    memcpy(at, r->on[0].at, (size_t)r->n_groups * sizeof *at);
    for (int g = 0; g < r->n_groups; g++)
        if (is_free[g])
            for (at[g] = 0; !is_candidate[g][at[g]];) at[g]++;
    int best = -1;
    double best_value = 0;
    for (;;) {
        const int number = row_at(r, at);
        if (number < 0) return -1;
        const double value = target_value(r, t, &r->rows.at[number]);
        if (best < 0 || sign * value > sign * best_value) {
            best = number;
            best_value = value;
        }
        int g = 0;
        for (; g < r->n_groups; g++) {
            if (!is_free[g]) continue;
            int s = at[g] + 1;
            while (s < r->groups[g].n_states && !is_candidate[g][s]) s++;
            if (s < r->groups[g].n_states) {
                at[g] = (uint16_t)s;
                break;
            }
            for (at[g] = 0; !is_candidate[g][at[g]];) at[g]++;
        }
        if (g == r->n_groups) return best;
    }
}

static int nearest_allowed(const parts_run *r, int g, int wanted)
{
    if (!r->allowed[g] || r->allowed[g][wanted]) return wanted;
    for (int s = 0; s < r->groups[g].n_states; s++)
        if (r->allowed[g][s]) return s;
    return -1;
}

/* From the base grounds, or from those at work, into room of their own: states of some groups will differ. */
static void own_grounds(parts_run *r)
{
    for (int on = 0; on < r->n_grounds; on++) {
        if (r->on[on].at != r->own[on].at) memcpy(r->own[on].at, r->on[on].at, (size_t)r->n_groups * sizeof(uint16_t));
        r->on[on] = r->own[on];
        ground_forget(r, &r->on[on]);
    }
}

static void base_grounds(parts_run *r)
{
    for (int on = 0; on < r->n_grounds; on++) r->on[on] = r->base[on];
}

/* The base grounds, with allowed states; group `own` stands in `own_state` in all. */
static void set_grounds(parts_run *r, int own, int own_state)
{
    base_grounds(r);
    bool is_base = own < 0;
    for (int g = 0; g < r->n_groups; g++) is_base = is_base && !r->allowed[g];
    if (is_base) return;
    own_grounds(r);
    for (int on = 0; on < r->n_grounds; on++)
        for (int g = 0; g < r->n_groups; g++)
            r->on[on].at[g] = (uint16_t)(g == own ? own_state : nearest_allowed(r, g, r->base[on].at[g]));
}

/* The row in which the target is extreme over all states of the groups but `own`; -1 on failure. */
static int extreme_row(parts_run *r, target t, int sign, int own, int own_state)
{
    bool *is_free = ARENA_ARRAY(r->a, bool, (size_t)r->n_groups + 1);
    bool **is_candidate = ARENA_ARRAY(r->a, bool *, (size_t)r->n_groups + 1);
    choice *choices = ARENA_ARRAY(r->a, choice, (size_t)r->n_groups + 1);
    set_grounds(r, own, own_state);
    int n_free = 0;
    for (int g = 0; g < r->n_groups; g++) {
        is_candidate[g] = choices[g].is_candidate = ARENA_ARRAY(r->a, bool, (size_t)r->groups[g].n_states);
        n_free += is_free[g] = g != own;
    }
    while (n_free) {
        double scale, n = 1;
        int n_known = 0;
        if (!measure_effects(r, t, is_free, &scale)) return -1;
        if (isnan(scale)) return row_at(r, r->on[0].at);
        for (int g = 0; g < r->n_groups; g++) {
            if (!is_free[g]) continue;
            if (!choose(r, t, sign, is_free, g, tie_of(scale), &choices[g])) return -1;
            n_known += choices[g].is_known;
            n *= choices[g].n_candidates;
        }
        if (!n_known) return best_of_candidates(r, t, sign, is_free, is_candidate, n);
        own_grounds(r);
        for (int g = 0; g < r->n_groups; g++)
            if (is_free[g] && choices[g].is_known) {
                for (int on = 0; on < r->n_grounds; on++) r->on[on].at[g] = (uint16_t)choices[g].best;
                is_free[g] = false;
                n_free--;
            }
    }
    return row_at(r, r->on[0].at);
}

/* ---- watches ---- */

/* The extremes of the voltage between a part's two taps, over all groups but its own. Its own moves it least and most
 * in the backgrounds, so that what it does to the others' effects is in the measure. */
static void find_window(parts_run *r, int part)
{
    window *w = &r->windows[part];
    const int own = r->group_of_part[part];
    const target t = {.value = -1, .part = part};
    bool *is_free = ARENA_ARRAY(r->a, bool, (size_t)r->n_groups + 1);
    uint16_t *ends[2];
    double scale;
    choice c;
    double strongest_V = 0;
    w->is_tried = true;
    w->strongest = -1;
    base_grounds(r);
    for (int g = 0; g < r->n_groups; g++) is_free[g] = g != own;
    if (!measure_effects(r, t, is_free, &scale) || isnan(scale)) return;
    for (int g = 0; g < r->n_groups; g++)
        for (int on = 0; on < r->n_grounds; on++) {
            if (r->effect[on][g] <= fmax(strongest_V, tie_of(scale))) continue;
            strongest_V = r->effect[on][g];
            w->strongest = g;
        }
    for (int side = 0; side < 2; side++) {
        ends[side] = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
        for (int g = 0; g < r->n_groups; g++) {
            if (!is_free[g]) continue;
            c.is_candidate = ARENA_ARRAY(r->a, bool, (size_t)r->groups[g].n_states);
            if (!choose(r, t, side ? 1 : -1, is_free, g, tie_of(scale), &c) || !c.is_known) return;
            ends[side][g] = (uint16_t)c.best;
        }
    }
    w->low = ends[0];
    w->high = ends[1];
    if (w->strongest >= 0) {
        w->strongest_low = w->low[w->strongest];
        w->strongest_high = w->high[w->strongest];
    }
    w->is_found = true;
}

/* Rows of one own state at the ends of the window and one step inside. */
typedef struct ends {
    int low, low_next, high_next, high;
} ends;

static bool find_ends(parts_run *r, const window *w, int own, int own_state, ends *e)
{
    uint16_t *at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    for (int side = 0; side < 2; side++) {
        memcpy(at, side ? w->high : w->low, (size_t)r->n_groups * sizeof *at);
        if (own >= 0) at[own] = (uint16_t)own_state;
        const int end = row_at(r, at);
        if (end < 0) return false;
        int next = end;
        if (w->strongest >= 0) next = row_moved(r, at, w->strongest, side ? w->strongest_low : w->strongest_high);
        if (next < 0) return false;
        if (side) {
            e->high = end;
            e->high_next = next;
        } else {
            e->low = end;
            e->low_next = next;
        }
    }
    return true;
}

/* Does the value run one way with the voltage? By its slope at both ends. */
static bool runs_one_way(const parts_run *r, int value, const ends *e)
{
    const double low = r->rows.at[e->low].values[value], high = r->rows.at[e->high].values[value];
    const double first = r->rows.at[e->low_next].values[value] - low,
                 last = high - r->rows.at[e->high_next].values[value];
    const double tie = tie_of(fmax(fabs(low), fabs(high)));
    if (isnan(low) && isnan(high)) return true;
    if (isnan(first) || isnan(last)) return false;
    if (fabs(first) <= tie && fabs(last) <= tie) return fabs(high - low) <= tie;
    const double less = fmin(fabs(first), fabs(last)), more = fmax(fabs(first), fabs(last));
    return (first > 0) == (last > 0) && less > flat_share * more;
}

static bool is_step(const probe *p, int value)
{
    return p->values[value].how == READ_RUNS || p->values[value].how == READ_LIT;
}

/* The part that a value belongs to; -1: the trunk, or several. */
static int part_of_value(const parts_run *r, int value)
{
    const network *net = r->s->net;
    const value_of *x = &r->s->probe->values[value];
    switch (x->how) {
    case READ_AVERAGE_A:
    case READ_RMS_A:
        return r->sp->part_of_element[x->index];
    case READ_NODE_V:
        return r->sp->part_of_node[x->index];
    default:
        break;
    }
    if (x->how == READ_ITEM_V || x->how == READ_RUNS) {
        const int main = network_main_element(net, x->index);
        return main < 0 ? -1 : r->sp->part_of_element[main];
    }
    int part = -1;
    for (int k = net->first_element[x->index]; k < net->first_element[x->index + 1]; k++) {
        const int now = r->sp->part_of_element[k];
        if (x->how == READ_LIT && net->elements[k].type != ELEMENT_LAMP) continue;
        if (now < 0 || (part >= 0 && part != now)) return -1;
        part = now;
    }
    return part;
}

static bool offer_extremes(parts_run *r, int watch, int value, int own, int own_state)
{
    const struct watch *x = &r->s->probe->watches[watch];
    for (int sign = -1; sign <= 1; sign += 2) {
        if (sign < 0 ? x->is_most_only : x->is_least_only) continue;
        const int number = extreme_row(r, (target){.value = value}, sign, own, own_state);
        if (number < 0) return false;
        offer_row(r, watch, number);
    }
    return true;
}

static bool are_others_free(const parts_run *r, int own)
{
    for (int g = 0; g < r->n_groups; g++)
        if (g != own && r->allowed[g]) return false;
    return true;
}

/* One state of the part's own group (or none of its own). */
static bool resolve_own(parts_run *r, int watch, int value, int part, int own, int own_state)
{
    const split *sp = r->sp;
    const bool is_voltage = r->s->probe->values[value].how == READ_NODE_V;
    if (!is_voltage && sp->parts[part].n_taps <= 1) {
        set_grounds(r, own, own_state);
        const int number = row_at(r, r->on[0].at);
        if (number >= 0) offer_row(r, watch, number);
        return number >= 0;
    }
    if (is_voltage || sp->parts[part].n_taps != 2 || !are_others_free(r, own))
        return offer_extremes(r, watch, value, own, own_state);
    if (!r->windows[part].is_tried) find_window(r, part);
    if (r->why) return false;
    ends e = {-1, -1, -1, -1};
    if (!r->windows[part].is_found) return offer_extremes(r, watch, value, own, own_state);
    if (!find_ends(r, &r->windows[part], own, own_state, &e)) return false;
    if (!is_step(r->s->probe, value) && !runs_one_way(r, value, &e))
        return offer_extremes(r, watch, value, own, own_state);
    offer_row(r, watch, e.low);
    offer_row(r, watch, e.high);
    return true;
}

static bool resolve(parts_run *r, int watch, int value)
{
    const int part = part_of_value(r, value), own = part >= 0 ? r->group_of_part[part] : -1;
    if (part < 0) return offer_extremes(r, watch, value, -1, 0);
    if (own < 0) return resolve_own(r, watch, value, part, -1, 0);
    for (int s = 0; s < r->groups[own].n_states; s++) {
        if (r->allowed[own] && !r->allowed[own][s]) continue;
        if (!resolve_own(r, watch, value, part, own, s)) return false;
    }
    return true;
}

/* Which states of each group meet the watch's conditions; false when none do. A coil stands where it stood when its
 * group was moved alone: regimes are the same in all rows. */
static bool allow_states(parts_run *r, int of_watch, unsigned char **masks)
{
    const watch *x = &r->s->probe->watches[of_watch];
    for (int g = 0; g < r->n_groups; g++) r->allowed[g] = NULL;
    for (int k = 0; k < x->n_open + x->n_closed; k++) {
        const int e = k < x->n_open ? x->open[k] : x->closed[k - x->n_open];
        const int condition = r->condition_of_element[e] - 1, wanted = k < x->n_open ? 1 : 2;
        const int part = r->sp->part_of_element[e],
                  item_digit =
                      r->s->net->elements[e].item < 0 ? -1 : r->s->c->digit_of_item[r->s->net->elements[e].item];
        int g = item_digit >= 0 ? r->group_of_digit[item_digit] : -1;
        if (g < 0 && part >= 0) g = r->group_of_part[part];
        if (g < 0) {
            uint16_t *at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
            const int number = row_at(r, at);
            if (number < 0 || !(r->rows.at[number].conditions[condition] & wanted)) return false;
            continue;
        }
        if (!r->allowed[g]) {
            r->allowed[g] = masks[g];
            memset(masks[g], 1, (size_t)r->groups[g].n_states);
        }
        bool is_any = false;
        uint16_t *rest = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
        for (int s = 0; s < r->groups[g].n_states; s++) {
            const int number = row_moved(r, rest, g, s);
            if (number < 0) return false;
            if (!(r->rows.at[number].conditions[condition] & wanted)) masks[g][s] = 0;
            is_any |= masks[g][s] != 0;
        }
        if (!is_any) return false;
    }
    return true;
}

/* Is rms here something else than the magnitude of the average? */
static bool is_rms_apart(const parts_run *r, int main, int current)
{
    for (size_t i = 0; i < r->rows.n; i++) {
        const double rms_A = r->rows.at[i].values[main], average_A = fabs(r->rows.at[i].values[current]);
        if (fabs(rms_A - average_A) > tie_of(rms_A)) return true;
    }
    return false;
}

static bool can_run_both_ways(const record *x) { return x->least_A.top < -tie_of(0) && x->most_A.top > tie_of(0); }

static bool resolve_watch(parts_run *r, int watch)
{
    const probe *p = r->s->probe;
    if (p->current[watch] < 0) return resolve(r, watch, p->main[watch]);
    if (!resolve(r, watch, p->current[watch])) return false;
    if (!r->is_chopped || p->main[watch] == p->current[watch]) return true;
    if (!is_rms_apart(r, p->main[watch], p->current[watch])) return true;
    if (can_run_both_ways(&r->s->records[watch])) {
        r->why = "a chopped current can run either way";
        return false;
    }
    return resolve(r, watch, p->main[watch]);
}

static bool run(parts_run *r)
{
    if (!make_groups(r)) return false;
    list_kinked(r);
    list_conditions(r);
    list_taps(r);
    rehash(r);
    const size_t n = (size_t)r->n_groups + 1;
    r->probe_at = ARENA_ARRAY(r->a, uint16_t, n);
    for (int on = 0; on < grounds_most; on++) r->effect[on] = ARENA_ARRAY(r->a, double, n);
    r->allowed = ARENA_ARRAY(r->a, unsigned char *, n);
    r->plan = op_plan_create(r->a, r->s->net);
    unsigned char **masks = ARENA_ARRAY(r->a, unsigned char *, n);
    for (int g = 0; g < r->n_groups; g++) masks[g] = ARENA_ARRAY(r->a, unsigned char, (size_t)r->groups[g].n_states);
    for (int on = 0; on < grounds_most; on++) {
        ground_make(r, &r->base[on]);
        ground_make(r, &r->own[on]);
    }
    if (!rank_states(r)) return false;
    for (int g = 0; g < r->n_groups; g++) {
        r->base[0].at[g] = (uint16_t)r->groups[g].least;
        r->base[1].at[g] = (uint16_t)r->groups[g].most;
    }
    r->n_grounds = 2;
    base_grounds(r);
    if (!measure_influence(r)) return false;
    /* Rows that the watches ask for may show circumstances that no ground has: then all again, with those added. */
    for (size_t n_known = 0; n_known < r->circumstances.n;) {
        n_known = r->circumstances.n;
        for (int w = 0; w < r->s->probe->n_watches; w++) {
            if (allow_states(r, w, masks) && !resolve_watch(r, w)) return false;
            if (r->why) return false;
        }
        if (n_known == r->circumstances.n) return true;
        memset(r->windows, 0, (size_t)r->sp->n_parts * sizeof *r->windows);
        base_grounds(r);
        if (!add_grounds(r) || !measure_influence(r)) return false;
    }
    return true;
}

const char *survey_parts(survey *s, const position *fixed, const split *sp, const int *digits, int n_digits)
{
    parts_run r = {.s = s, .a = s->a, .fixed = fixed, .sp = sp};
    if (!run(&r)) return r.why ? r.why : "the circuits act on each other";
    double n = 1;
    for (int k = 0; k < n_digits; k++) n *= s->c->digits[digits[k]].n_states;
    s->n_examined += n;
    s->is_split = true;
    return NULL;
}
