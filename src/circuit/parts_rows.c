/* Rows: one operating point each, made once, found again by the states of all groups. See parts.h. */
#include "circuit/parts.h"

#include <math.h>
#include <string.h>

enum { near_groups = 2, rows_most = 1 << 15, numbers_most = 1 << 26, states_bytes_most = 1 << 26 };

double parts_target_value(const parts_run *r, target t, const row *at)
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
        const double most_A = e->limit_A > 0 ? e->limit_A : e->limit_W > 0 ? e->limit_W / e->voltage_V : INFINITY;
        if (op->output_A[k] >= most_A * (1 - 1e-4)) return 3;
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

void parts_rehash(parts_run *r)
{
    r->n_buckets = r->n_buckets ? 2 * r->n_buckets : 256;
    r->buckets = ARENA_ARRAY(r->a, int, r->n_buckets);
    for (size_t i = 0; i < r->rows.n; i++) {
        size_t b = hash_of(r->rows.at[i].at, r->n_groups) & (r->n_buckets - 1);
        while (r->buckets[b]) b = (b + 1) & (r->n_buckets - 1);
        r->buckets[b] = (int)i + 1;
    }
}

int parts_find_row(const parts_run *r, const uint16_t *at)
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
    double *taps_A = ARENA_ARRAY(r->a, double, (size_t)n_taps + 1);
    unsigned char *conditions = ARENA_ARRAY(r->a, unsigned char, (size_t)r->n_conditions + 1);
    probe_read(p, op, values);
    parts_read_taps_A(r, op, taps_A);
    for (int i = 0; i < n_taps; i++) taps_V[i] = op->node_V[r->taps[i]];
    for (int i = 0; i < r->n_conditions; i++)
        conditions[i] = (unsigned char)(probe_is_open(p, r->conditions[i], positions, op) |
                                        probe_is_closed(p, r->conditions[i], positions, op) << 1);
    *into = (row){.at = states,
                  .values = values,
                  .taps_V = taps_V,
                  .taps_A = taps_A,
                  .conditions = conditions,
                  .power_W = op->power_W,
                  .positions = positions,
                  .set = -1};
    into->n_away = survey_n_away(r->s, positions);
    if (op->n_phases > 1) r->is_chopped = true;
}

static int n_apart(const parts_run *r, const uint16_t *i, const uint16_t *j)
{
    int n = 0;
    for (int g = 0; g < r->n_groups; g++) n += i[g] != j[g];
    return n;
}

/* Rows come by turns from different grounds, each near to the last one of its own. */
static const operating_point *solve_near(parts_run *r, const uint16_t *at, const position *positions)
{
    int best = -1, least = 0;
    for (int i = 0; i < r->n_stands; i++) {
        const int n = n_apart(r, at, r->stands[i].at);
        if (best >= 0 && n >= least) continue;
        best = i;
        least = n;
    }
    if (best >= 0 && best != r->last_stand) op_go_back(r->plan, r->stands[best].state);
    const operating_point *op = op_solve(r->plan, positions, true);
    if (best < 0 || (least > near_groups && r->n_stands < stands_most)) {
        best = r->n_stands++;
        r->stands[best].at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    }
    memcpy(r->stands[best].at, at, (size_t)r->n_groups * sizeof *at);
    r->stands[best].state = op_keep(r->plan, r->stands[best].state, r->a);
    r->last_stand = best;
    return op;
}

void parts_stand_at(parts_run *r, int number)
{
    const row *x = &r->rows.at[number];
    if (x->state)
        op_go_back(r->plan, x->state);
    else
        solve_near(r, x->at, x->positions);
    r->last_stand = -1;
}

static void keep_state(parts_run *r, row *x)
{
    const size_t bytes = op_state_bytes(r->plan);
    if (r->states_bytes + bytes > states_bytes_most) return;
    r->states_bytes += bytes;
    x->state = op_keep(r->plan, NULL, r->a);
}

int parts_row_at(parts_run *r, const uint16_t *at)
{
    const int known = parts_find_row(r, at);
    if (known >= 0) return known;
    if (r->rows.n >= rows_most ||
        r->rows.n * (size_t)(r->s->probe->n_values + r->first_tap[r->sp->n_parts]) > numbers_most) {
        r->why = "too many circuits act on each other for the parts to be looked at one by one";
        return -1;
    }
    survey *s = r->s;
    survey_leave_if_stale(s, r->a);
    position *positions = ARENA_ARRAY(r->a, position, (size_t)s->net->van->n_items + 1);
    memcpy(positions, r->fixed, (size_t)s->net->van->n_items * sizeof *positions);
    for (int g = 0; g < r->n_groups; g++)
        for (int k = 0; k < r->groups[g].n_digits; k++)
            combos_set(s->c, r->groups[g].digits[k], (int)r->groups[g].states[at[g] * r->groups[g].n_digits + k],
                       positions);
    const operating_point *op = solve_near(r, at, positions);
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
    keep_state(r, into);
    const int number = (int)r->rows.n - 1;
    if (2 * r->rows.n > r->n_buckets) {
        parts_rehash(r);
        return number;
    }
    size_t b = hash_of(at, r->n_groups) & (r->n_buckets - 1);
    while (r->buckets[b]) b = (b + 1) & (r->n_buckets - 1);
    r->buckets[b] = number + 1;
    return number;
}

int parts_row_moved(parts_run *r, const uint16_t *at, int g, int s)
{
    memcpy(r->probe_at, at, (size_t)r->n_groups * sizeof *at);
    r->probe_at[g] = (uint16_t)s;
    return parts_row_at(r, r->probe_at);
}

int parts_row_on(parts_run *r, ground *on, int g, int s)
{
    if (on->moved[g][s] < 0) on->moved[g][s] = parts_row_moved(r, on->at, g, s);
    return on->moved[g][s];
}

int parts_known_on(parts_run *r, ground *on, int g, int s)
{
    if (on->moved[g][s] >= 0) return on->moved[g][s];
    memcpy(r->probe_at, on->at, (size_t)r->n_groups * sizeof *on->at);
    r->probe_at[g] = (uint16_t)s;
    return on->moved[g][s] = parts_find_row(r, r->probe_at);
}

void parts_ground_forget(const parts_run *r, ground *on)
{
    for (int g = 0; g < r->n_groups; g++) memset(on->moved[g], -1, (size_t)r->groups[g].n_states * sizeof(int));
}

void parts_ground_make(parts_run *r, ground *on)
{
    on->at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    on->moved = ARENA_ARRAY(r->a, int *, (size_t)r->n_groups + 1);
    for (int g = 0; g < r->n_groups; g++) on->moved[g] = ARENA_ARRAY(r->a, int, (size_t)r->groups[g].n_states);
    parts_ground_forget(r, on);
}

void parts_offer_row(parts_run *r, int watch, int number)
{
    row *x = &r->rows.at[number];
    if (x->set < 0) x->set = (int)survey_set(r->s, x->positions);
    record_offer(&r->s->records[watch], r->s->probe, watch, x->values, x->n_away, (uint64_t)x->set);
}
