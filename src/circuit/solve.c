/* One instant of a network by Newton's method: see solve.h and docs/methods/operating-point.md. */
#include "circuit/solve.h"

#include "circuit/operating.h"
#include "num/sparse.h"
#include <math.h>
#include <string.h>

static const double still_V = 1e-10;      /* a step this small, against 1 V or the largest voltage, ends the search */
static const double rounding_V = 1e-5;    /* steps below this that no longer shrink are rounding: they end it too */
static const double balanced_A = 1e-8;    /* and V: what may be left over where the next step is not made */
static const double stale_drift = 0.01;   /* slopes that drifted by more than this share are factored anew where the */
static const double wrong_drift = 0.3;    /* steps no longer shrink tenfold by the old ones, or at once beyond this */
static const double dead_V = 1e-9;        /* less than this across a load: nothing feeds it */
static const double level_V = 1e-9;       /* a fall of less than this is none */
static const double least_step = 1e-5;    /* how finely the fraction of the loads that has a solution is found */
static const double starving_step = 0.01; /* a load whose feed can't deliver this share of it does not run at all */
static const double ground_S = 1;
enum { steps_most = 60, steps_plain = 10, tries_most = 200 };

typedef struct slots {
    int aa, ab, ba, bb;
} slots; /* places of a conductance between a and b in the matrix */
/* Pieces of wiring in series, from node a to node b: one piece in most cases, and always one for what is no wiring. */
typedef struct linear {
    int a, b;
    double conductance_S, source_V;
    slots at;
    int first, n; /* its pieces, in s->pieces */
    bool is_open; /* as the contacts stand */
} linear;
typedef struct piece {
    int element;
    int end;         /* node of the network at its end towards b */
    bool is_forward; /* its own a lies towards a */
} piece;
typedef struct ideal {
    int element, a, b, row;
    double source_V;
    int a_row, b_row, row_a, row_b, row_row;
    bool is_switched;
} ideal;
typedef struct curved { /* LOAD, DIODE */
    int element, a, b;
    slots at;
    bool is_by_power;
} curved;
typedef struct transferring {
    int element, a, b, to_a, to_b, row;
    slots at;
    int a_to_a, a_to_b, a_row, b_to_a, b_to_b, b_row; /* input current by output voltage and current */
    int to_a_row, to_b_row, row_to_a, row_to_b, row_row;
} transferring;

struct solver {
    const network *net;
    topology *topology;
    sparse *matrix;
    int n, n_nodes;
    double supply_V, most_V; /* most: all sources in series */
    int *kept;     /* of each node of the network: its number among the unknowns, -1 for one that is left out */
    int *piece_of; /* of each element: what is it a piece of, -1 */
    piece *pieces;
    int n_pieces;
    int *grounds, n_grounds; /* of the islands, numbered as unknowns */
    int *ground_of_island;
    linear *linears;
    ideal *ideals;
    curved *curves;
    transferring *transfers;
    int n_linears, n_ideals, n_curves, n_transfers;
    int *diagonal;              /* place of each node's own entry */
    double *base;               /* values of all that does not depend on voltage */
    unsigned char *base_closed; /* the contacts it holds for */
    bool is_base_set, is_factored;
    double *imbalance, *step, *trial, *good; /* one an unknown */
    double *slope, *slope_factored;          /* one a curve */
    transfer_law *law, *law_factored;        /* one a transfer */
    double *no_load_V;                       /* one a curve, then one a transfer */
    unsigned char *good_mode;
    double drift;   /* of the slopes at the last evaluation */
    bool *is_woken; /* one a curve: a load that had no feed at the last answer and has now */
    double *live_V; /* one a curve: across a load when it last ran */
    long n_steps;
};

/* ------------------------------------------------------------------ building */

typedef struct entries {
    arena *arena;
    ARRAY(int) rows;
    ARRAY(int) columns;
} entries;

static int entry(entries *m, int row, int column)
{
    *ARRAY_ADD(m->arena, &m->rows) = row;
    *ARRAY_ADD(m->arena, &m->columns) = column;
    return (int)m->rows.n - 1;
}

static slots entry_slots(entries *m, int a, int b)
{
    return (slots){entry(m, a, a), entry(m, a, b), entry(m, b, a), entry(m, b, b)};
}

static void count_elements(solver *s)
{
    for (int k = 0; k < s->net->n_elements; k++) {
        const net_element *e = &s->net->elements[k];
        if (e->type == ELEMENT_TRANSFER)
            s->n_transfers++;
        else if (e->type == ELEMENT_LOAD || e->type == ELEMENT_DIODE)
            s->n_curves++;
        else if (element_is_ideal(e))
            s->n_ideals++;
        else if (element_conductance_S(e) > 0)
            s->n_linears++;
    }
}

/* ---- what is left out ---- */

static bool is_switch(const net_element *e) { return e->type == ELEMENT_CONTACT || e->type == ELEMENT_CHOPPER; }

static bool is_piece(const net_element *e)
{
    bool is_wiring = e->type == ELEMENT_CONDUCTOR || e->type == ELEMENT_FUSIBLE || is_switch(e);
    return is_wiring && !element_is_ideal(e) && element_conductance_S(e) > 0;
}

/* The pieces at each node: how many, and the sum of their numbers, of which one gives the other. What is no piece counts
 * enough to keep its nodes. */
typedef struct meeting {
    int n;
    long sum;
} meeting;

static void meet(meeting *m, int element, bool is_of_pieces)
{
    m->n += is_of_pieces ? 1 : 3;
    m->sum += element;
}

static meeting *meetings_of(const network *net, arena *a)
{
    meeting *at = ARENA_ARRAY(a, meeting, (size_t)net->n_nodes + 1);
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        bool is_there = e->type == ELEMENT_LOAD || e->type == ELEMENT_DIODE || e->type == ELEMENT_TRANSFER ||
                        element_is_ideal(e) || element_conductance_S(e) > 0;
        if (!is_there) continue;
        meet(&at[e->a], k, is_piece(e));
        meet(&at[e->b], k, is_piece(e));
        if (e->type != ELEMENT_TRANSFER) continue;
        meet(&at[e->to_a], k, false);
        meet(&at[e->to_b], k, false);
    }
    if (net->reference >= 0) at[net->reference].n += 3;
    return at;
}

/* From a kept node along a piece to the next kept one; the pieces are noted in order. */
static void follow_pieces(solver *s, const meeting *at, int from, int element)
{
    linear *l = &s->linears[s->n_linears++];
    *l = (linear){.a = s->kept[from], .first = s->n_pieces};
    double sum_ohm = 0;
    for (int node = from;;) {
        const net_element *e = &s->net->elements[element];
        bool is_forward = e->a == node;
        node = is_forward ? e->b : e->a;
        sum_ohm += e->resistance_ohm;
        s->piece_of[element] = s->n_linears - 1;
        s->pieces[s->n_pieces++] = (piece){element, node, is_forward};
        if (s->kept[node] >= 0) {
            l->b = s->kept[node];
            break;
        }
        element = (int)(at[node].sum - element);
    }
    l->n = s->n_pieces - l->first;
    l->conductance_S = 1 / sum_ohm;
}

/* Numbers the nodes that are kept, and notes the pieces between them. A ring of pieces alone keeps one of its nodes. */
static void leave_out(solver *s, arena *a)
{
    const network *net = s->net;
    meeting *at = meetings_of(net, a);
    s->kept = ARENA_ARRAY(a, int, (size_t)net->n_nodes + 1);
    s->piece_of = ARENA_ARRAY(a, int, (size_t)net->n_elements + 1);
    s->pieces = ARENA_ARRAY(a, piece, (size_t)net->n_elements + 1);
    for (int k = 0; k < net->n_elements; k++) s->piece_of[k] = -1;
    for (int i = 0; i < net->n_nodes; i++) s->kept[i] = at[i].n == 2 ? -1 : s->n_nodes++;
    for (int round = 0; round < 2; round++) {
        for (int k = 0; k < net->n_elements; k++) {
            const net_element *e = &net->elements[k];
            if (!is_piece(e) || s->piece_of[k] >= 0) continue;
            if (round == 1 && s->kept[e->a] < 0) s->kept[e->a] = s->n_nodes++;
            if (s->kept[e->a] >= 0)
                follow_pieces(s, at, e->a, k);
            else if (s->kept[e->b] >= 0)
                follow_pieces(s, at, e->b, k);
        }
    }
}

static void place_transfer(solver *s, entries *m, const net_element *e, int k, int row)
{
    transferring *t = &s->transfers[s->n_transfers++];
    const int *at = s->kept;
    *t = (transferring){
        .element = k, .a = at[e->a], .b = at[e->b], .to_a = at[e->to_a], .to_b = at[e->to_b], .row = row};
    t->at = entry_slots(m, t->a, t->b);
    t->a_to_a = entry(m, t->a, t->to_a);
    t->a_to_b = entry(m, t->a, t->to_b);
    t->a_row = entry(m, t->a, row);
    t->b_to_a = entry(m, t->b, t->to_a);
    t->b_to_b = entry(m, t->b, t->to_b);
    t->b_row = entry(m, t->b, row);
    t->to_a_row = entry(m, t->to_a, row);
    t->to_b_row = entry(m, t->to_b, row);
    t->row_to_a = entry(m, row, t->to_a);
    t->row_to_b = entry(m, row, t->to_b);
    t->row_row = entry(m, row, row);
}

static void place_ideal(solver *s, entries *m, const net_element *e, int k, int row)
{
    ideal *i = &s->ideals[s->n_ideals++];
    *i = (ideal){.element = k, .a = s->kept[e->a], .b = s->kept[e->b], .row = row};
    i->source_V = e->type == ELEMENT_EMF ? e->voltage_V : 0;
    i->is_switched = is_switch(e);
    i->a_row = entry(m, i->a, row);
    i->b_row = entry(m, i->b, row);
    i->row_a = entry(m, row, i->a);
    i->row_b = entry(m, row, i->b);
    i->row_row = entry(m, row, row);
}

static void place_element(solver *s, entries *m, int k)
{
    const net_element *e = &s->net->elements[k];
    if (e->type == ELEMENT_TRANSFER) {
        place_transfer(s, m, e, k, s->n++);
    } else if (e->type == ELEMENT_LOAD || e->type == ELEMENT_DIODE) {
        s->curves[s->n_curves++] =
            (curved){.element = k,
                     .a = s->kept[e->a],
                     .b = s->kept[e->b],
                     .at = entry_slots(m, s->kept[e->a], s->kept[e->b]),
                     .is_by_power = e->type == ELEMENT_LOAD && e->power_W > 0 && !(e->load_ohm > 0)};
    } else if (element_is_ideal(e)) {
        place_ideal(s, m, e, k, s->n++);
    } else if (element_conductance_S(e) > 0 && s->piece_of[k] < 0) {
        s->pieces[s->n_pieces] = (piece){k, e->b, true};
        s->linears[s->n_linears++] = (linear){.a = s->kept[e->a],
                                              .b = s->kept[e->b],
                                              .conductance_S = element_conductance_S(e),
                                              .source_V = e->type == ELEMENT_EMF ? e->voltage_V : 0,
                                              .first = s->n_pieces++,
                                              .n = 1};
    }
}

static slots slots_in(slots s, const int *slot) { return (slots){slot[s.aa], slot[s.ab], slot[s.ba], slot[s.bb]}; }

/* Turns entry numbers into places in the matrix. */
static void resolve_entries(solver *s, const int *slot)
{
    for (int i = 0; i < s->n_nodes; i++) s->diagonal[i] = slot[s->diagonal[i]];
    for (int i = 0; i < s->n_linears; i++) s->linears[i].at = slots_in(s->linears[i].at, slot);
    for (int i = 0; i < s->n_curves; i++) s->curves[i].at = slots_in(s->curves[i].at, slot);
    for (int i = 0; i < s->n_ideals; i++) {
        ideal *d = &s->ideals[i];
        int *all[] = {&d->a_row, &d->b_row, &d->row_a, &d->row_b, &d->row_row};
        for (size_t j = 0; j < sizeof all / sizeof *all; j++) *all[j] = slot[*all[j]];
    }
    for (int i = 0; i < s->n_transfers; i++) {
        transferring *t = &s->transfers[i];
        t->at = slots_in(t->at, slot);
        int *all[] = {&t->a_to_a,   &t->a_to_b,   &t->a_row,    &t->b_to_a,   &t->b_to_b, &t->b_row,
                      &t->to_a_row, &t->to_b_row, &t->row_to_a, &t->row_to_b, &t->row_row};
        for (size_t j = 0; j < sizeof all / sizeof *all; j++) *all[j] = slot[*all[j]];
    }
}

/* All sources in series: no two nodes are further apart while nothing is drawn. */
static double all_sources_V(const network *net)
{
    double sum_V = 0;
    for (int k = 0; k < net->n_elements; k++)
        if (net->elements[k].type == ELEMENT_EMF || net->elements[k].type == ELEMENT_TRANSFER)
            sum_V += fabs(net->elements[k].voltage_V);
    return sum_V;
}

solver *solver_create(arena *a, const network *net, topology *t)
{
    solver *s = ARENA_NEW(a, solver);
    s->net = net;
    s->topology = t;
    s->supply_V = supply_V_of(net);
    s->most_V = all_sources_V(net);
    count_elements(s);
    s->linears = ARENA_ARRAY(a, linear, (size_t)s->n_linears + 1);
    s->ideals = ARENA_ARRAY(a, ideal, (size_t)s->n_ideals + 1);
    s->curves = ARENA_ARRAY(a, curved, (size_t)s->n_curves + 1);
    s->transfers = ARENA_ARRAY(a, transferring, (size_t)s->n_transfers + 1);
    s->n_linears = s->n_ideals = s->n_curves = s->n_transfers = 0;
    leave_out(s, a);
    s->n = s->n_nodes;
    s->grounds = ARENA_ARRAY(a, int, (size_t)s->n_nodes + 1);
    s->ground_of_island = ARENA_ARRAY(a, int, (size_t)net->n_nodes + 1);

    entries m = {.arena = a};
    s->diagonal = ARENA_ARRAY(a, int, (size_t)s->n_nodes + 1);
    for (int i = 0; i < s->n_nodes; i++) s->diagonal[i] = entry(&m, i, i);
    for (int k = 0; k < net->n_elements; k++) place_element(s, &m, k);
    for (int i = 0; i < s->n_linears; i++) s->linears[i].at = entry_slots(&m, s->linears[i].a, s->linears[i].b);
    int *slot = ARENA_ARRAY(a, int, m.rows.n + 1);
    s->matrix = sparse_create(a, s->n, (int)m.rows.n, m.rows.at, m.columns.at, slot);
    resolve_entries(s, slot);

    size_t n = (size_t)s->n + 1, n_curves = (size_t)s->n_curves + 1, n_transfers = (size_t)s->n_transfers + 1;
    s->base = ARENA_ARRAY(a, double, (size_t)sparse_n_values(s->matrix) + 1);
    s->base_closed = ARENA_ARRAY(a, unsigned char, (size_t)net->n_elements + 1);
    s->imbalance = ARENA_ARRAY(a, double, n);
    s->step = ARENA_ARRAY(a, double, n);
    s->trial = ARENA_ARRAY(a, double, n);
    s->good = ARENA_ARRAY(a, double, n);
    s->slope = ARENA_ARRAY(a, double, n_curves);
    s->slope_factored = ARENA_ARRAY(a, double, n_curves);
    s->law = ARENA_ARRAY(a, transfer_law, n_transfers);
    s->law_factored = ARENA_ARRAY(a, transfer_law, n_transfers);
    s->is_woken = ARENA_ARRAY(a, bool, n_curves);
    s->live_V = ARENA_ARRAY(a, double, n_curves);
    for (int i = 0; i < s->n_curves; i++) s->live_V[i] = s->supply_V;
    s->no_load_V = ARENA_ARRAY(a, double, n_curves + n_transfers);
    s->good_mode = ARENA_ARRAY(a, unsigned char, (size_t)net->n_elements + 1);
    return s;
}

void phase_init_kept(phase *p, arena *a, const solver *s)
{
    size_t n_elements = (size_t)s->net->n_elements + 1;
    p->is_closed = ARENA_ARRAY(a, unsigned char, n_elements);
    p->x = ARENA_ARRAY(a, double, (size_t)s->n + 1);
    p->mode = ARENA_ARRAY(a, unsigned char, n_elements);
}

size_t phase_kept_bytes(const solver *s)
{
    return sizeof(phase) + (size_t)s->n * sizeof(double) + 2 * (size_t)s->net->n_elements;
}

void phase_init(phase *p, arena *a, const solver *s)
{
    size_t n_elements = (size_t)s->net->n_elements + 1;
    phase_init_kept(p, a, s);
    p->node_V = ARENA_ARRAY(a, double, (size_t)s->net->n_nodes + 1);
    p->current_A = ARENA_ARRAY(a, double, n_elements);
    p->output_A = ARENA_ARRAY(a, double, n_elements);
}

void phase_copy(const solver *s, phase *to, const phase *from)
{
    size_t n_elements = (size_t)s->net->n_elements;
    to->weight = from->weight;
    to->is_solved = from->is_solved;
    memcpy(to->x, from->x, (size_t)s->n * sizeof *to->x);
    memcpy(to->mode, from->mode, n_elements);
    memcpy(to->is_closed, from->is_closed, n_elements);
}

long solver_steps(const solver *s) { return s->n_steps; }

/* ------------------------------------------------------------------ matrix and imbalance */

static void stamp(double *values, slots at, double conductance_S)
{
    values[at.aa] += conductance_S;
    values[at.ab] -= conductance_S;
    values[at.ba] -= conductance_S;
    values[at.bb] += conductance_S;
}

static bool is_piece_open(const solver *s, const phase *p, const piece *at)
{
    return is_switch(&s->net->elements[at->element]) && !p->is_closed[at->element];
}

static bool is_any_open(const solver *s, const phase *p, const linear *l)
{
    for (int k = 0; k < l->n; k++)
        if (is_piece_open(s, p, &s->pieces[l->first + k])) return true;
    return false;
}

/* One kept node of each island: the one that topology names, or the first. An island of left-out nodes needs none. */
static void find_grounds(solver *s)
{
    const topology *t = s->topology;
    int *of_island = s->ground_of_island;
    for (int i = 0; i < t->n_islands; i++) of_island[i] = s->kept[t->ground[i]];
    for (int i = 0; i < s->net->n_nodes; i++)
        if (of_island[t->island[i]] < 0) of_island[t->island[i]] = s->kept[i];
    s->n_grounds = 0;
    for (int i = 0; i < t->n_islands; i++)
        if (of_island[i] >= 0) s->grounds[s->n_grounds++] = of_island[i];
}

/* Contacts and islands as they stand: false when a loop has no resistance. */
static bool set_base(solver *s, const phase *p)
{
    size_t n_elements = (size_t)s->net->n_elements;
    if (s->is_base_set && memcmp(s->base_closed, p->is_closed, n_elements) == 0) return true;
    s->is_base_set = s->is_factored = false;
    topology_find(s->topology, p->is_closed);
    if (s->topology->loop_element >= 0) return false;

    double *base = s->base;
    memset(base, 0, (size_t)sparse_n_values(s->matrix) * sizeof *base);
    for (int i = 0; i < s->n_linears; i++) {
        linear *l = &s->linears[i];
        l->is_open = is_any_open(s, p, l);
        if (!l->is_open) stamp(base, l->at, l->conductance_S);
    }
    for (int i = 0; i < s->n_ideals; i++) {
        const ideal *d = &s->ideals[i];
        base[d->a_row] += 1;
        base[d->b_row] -= 1;
        if (d->is_switched && !p->is_closed[d->element]) {
            base[d->row_row] += 1; /* open: its current is 0 */
        } else {
            base[d->row_a] += 1;
            base[d->row_b] -= 1;
        }
    }
    for (int i = 0; i < s->n_transfers; i++) {
        const transferring *t = &s->transfers[i];
        base[t->to_a_row] -= 1;
        base[t->to_b_row] += 1;
    }
    find_grounds(s);
    for (int i = 0; i < s->n_grounds; i++) base[s->diagonal[s->grounds[i]]] += ground_S;
    memcpy(s->base_closed, p->is_closed, n_elements);
    s->is_base_set = true;
    return true;
}

/* By what share a slope has changed since it was factored. */
static double drift_of(double now, double then) { return now == then ? 0 : fabs(now - then) / fabs(then); }

static double drift_of_law(const transfer_law *now, const transfer_law *then)
{
    return fmax(fmax(drift_of(now->in_by_in_S, then->in_by_in_S), drift_of(now->in_by_out_S, then->in_by_out_S)),
                fmax(drift_of(now->in_by_J, then->in_by_J),
                     fmax(drift_of(now->row_by_V, then->row_by_V), drift_of(now->row_by_J, then->row_by_J))));
}

/* The tangent where it ran last: from there one step nearly gets to where it runs now. */
static law law_of_woken(const solver *s, const phase *p, const double *x, int i)
{
    const curved *c = &s->curves[i];
    law l = element_law(&s->net->elements[c->element], s->live_V[i], p->mode[c->element], 1, s->supply_V);
    l.i_A += l.slope_S * (x[c->a] - x[c->b] - s->live_V[i]);
    return l;
}

/* Imbalance of every equation at x, slopes of all that is curved, and the current of each element into p. Tells how far
 * the slopes have drifted from those that were factored: the largest share; INFINITY when nothing was. */
static double evaluate(solver *s, phase *p, const double *x, double scale)
{
    double *f = s->imbalance;
    double drift = s->is_factored ? 0 : INFINITY;
    memset(f, 0, (size_t)s->n * sizeof *f);
    for (int i = 0; i < s->n_linears; i++) {
        const linear *l = &s->linears[i];
        if (l->is_open) continue;
        double current_A = l->conductance_S * (x[l->a] - x[l->b] - l->source_V);
        f[l->a] += current_A;
        f[l->b] -= current_A;
    }
    for (int i = 0; i < s->n_ideals; i++) {
        const ideal *d = &s->ideals[i];
        bool is_open = d->is_switched && !p->is_closed[d->element];
        double current_A = x[d->row];
        p->current_A[d->element] = current_A;
        f[d->a] += current_A;
        f[d->b] -= current_A;
        f[d->row] = is_open ? current_A : x[d->a] - x[d->b] - d->source_V;
    }
    for (int i = 0; i < s->n_curves; i++) {
        const curved *c = &s->curves[i];
        law l = s->is_woken[i] ? law_of_woken(s, p, x, i)
                               : element_law(&s->net->elements[c->element], x[c->a] - x[c->b], p->mode[c->element],
                                             scale, s->supply_V);
        p->current_A[c->element] = l.i_A;
        f[c->a] += l.i_A;
        f[c->b] -= l.i_A;
        s->slope[i] = l.slope_S;
        drift = fmax(drift, drift_of(s->slope[i], s->slope_factored[i]));
    }
    for (int i = 0; i < s->n_transfers; i++) {
        const transferring *t = &s->transfers[i];
        transfer_law l = transfer_law_of(&s->net->elements[t->element], x[t->a] - x[t->b], x[t->to_a] - x[t->to_b],
                                         x[t->row], p->mode[t->element], scale);
        p->current_A[t->element] = l.in_A;
        p->output_A[t->element] = x[t->row];
        f[t->a] += l.in_A;
        f[t->b] -= l.in_A;
        f[t->to_a] -= x[t->row];
        f[t->to_b] += x[t->row];
        f[t->row] = l.row;
        s->law[i] = l;
        drift = fmax(drift, drift_of_law(&l, &s->law_factored[i]));
    }
    for (int i = 0; i < s->n_grounds; i++) f[s->grounds[i]] += ground_S * x[s->grounds[i]];
    return s->drift = drift;
}

static bool factor(solver *s)
{
    double *values = sparse_values(s->matrix);
    memcpy(values, s->base, (size_t)sparse_n_values(s->matrix) * sizeof *values);
    for (int i = 0; i < s->n_curves; i++) stamp(values, s->curves[i].at, s->slope[i]);
    for (int i = 0; i < s->n_transfers; i++) {
        const transferring *t = &s->transfers[i];
        const transfer_law *l = &s->law[i];
        stamp(values, t->at, l->in_by_in_S);
        values[t->a_to_a] += l->in_by_out_S;
        values[t->a_to_b] -= l->in_by_out_S;
        values[t->b_to_a] -= l->in_by_out_S;
        values[t->b_to_b] += l->in_by_out_S;
        values[t->a_row] += l->in_by_J;
        values[t->b_row] -= l->in_by_J;
        values[t->row_to_a] += l->row_by_V;
        values[t->row_to_b] -= l->row_by_V;
        values[t->row_row] += l->row_by_J;
    }
    memcpy(s->slope_factored, s->slope, (size_t)s->n_curves * sizeof *s->slope);
    memcpy(s->law_factored, s->law, (size_t)s->n_transfers * sizeof *s->law);
    s->is_factored = sparse_factor(s->matrix);
    return s->is_factored;
}

/* ------------------------------------------------------------------ Newton */

/* Modes of transfers that suit x; true when one changed. */
static bool follow_modes(solver *s, phase *p)
{
    bool is_changed = false;
    for (int i = 0; i < s->n_transfers; i++) {
        const transferring *t = &s->transfers[i];
        const net_element *e = &s->net->elements[t->element];
        transfer_mode now = p->mode[t->element];
        transfer_mode next = transfer_mode_next(e, p->x[t->to_a] - p->x[t->to_b], p->x[t->row], now);
        p->mode[t->element] = (unsigned char)next;
        is_changed = is_changed || next != now;
    }
    return is_changed;
}

static double slope_along(const solver *s)
{
    double sum = 0;
    for (int i = 0; i < s->n_nodes; i++) sum += s->imbalance[i] * s->step[i];
    return sum;
}

/* How far to go along the step. Where all elements take more current at more voltage, the balanced point is the least of
 * a convex function (the co-content) whose slope along a step is imbalance . step: stop where that slope is small. */
static double share_of_step(solver *s, phase *p, double scale)
{
    double low = 0, high = 1, share = 1, at_start = slope_along(s);
    for (int k = 0; k < 12; k++) {
        for (int i = 0; i < s->n; i++) s->trial[i] = p->x[i] + share * s->step[i];
        evaluate(s, p, s->trial, scale);
        double here = slope_along(s);
        if (here <= 0.1 * fabs(at_start) && share == 1) return 1;
        if (fabs(here) <= 0.5 * fabs(at_start)) return share;
        *(here > 0 ? &high : &low) = share;
        share = 0.5 * (low + high);
    }
    return share;
}

/* A load or transfer that had its voltage without load and must not lose it: fed, awake, asking. */
static bool is_asking(const solver *s, const phase *p, int k)
{
    const net_element *e = &s->net->elements[k];
    if (e->type == ELEMENT_TRANSFER) return p->mode[k] != TRANSFER_ASLEEP;
    return element_is_driven(e) && s->topology->is_fed[k] && p->mode[k] == LOAD_ON;
}

static bool has_collapsed(const solver *s, const phase *p)
{
    for (int i = 0; i < s->n_curves; i++) {
        const curved *c = &s->curves[i];
        if (c->is_by_power && s->no_load_V[i] >= KNEE_V && is_asking(s, p, c->element) &&
            p->x[c->a] - p->x[c->b] < KNEE_V)
            return true;
    }
    for (int i = 0; i < s->n_transfers; i++) {
        const transferring *t = &s->transfers[i];
        if (is_asking(s, p, t->element) && s->no_load_V[s->n_curves + i] >= KNEE_V && p->x[t->a] - p->x[t->b] < KNEE_V)
            return true;
    }
    return false;
}

/* The first unless the second is larger, NAN included: so that one spoils the whole. */
static double larger(double a, double b) { return b > a || isnan(b) ? b : a; }

static bool is_balanced(const solver *s)
{
    for (int i = 0; i < s->n; i++)
        if (!(fabs(s->imbalance[i]) <= balanced_A)) return false;
    return true;
}

/* Newton from p->x at one scale of the loads, with the last slopes as long as the steps shrink tenfold by them, since
 * factoring is most of the work. (Slopes from nearer to no load only shorten the steps from there: Ortega and Rheinboldt,
 * Iterative Solution of Nonlinear Equations, 1970, section 13.3.) With is_watched it gives up as soon as a load that asks for power falls
 * below the knee: from the no-load side Newton comes down to the physical solution without passing it (the imbalance is
 * convex there), so a fall means that there is none. */
static bool newton(solver *s, phase *p, double scale, bool is_watched)
{
    double before_V = INFINITY;
    double drift = evaluate(s, p, p->x, scale);
    bool is_slow = true, is_stuck = false;
    for (int k = 0; k < steps_most; k++) {
        s->n_steps++;
        bool is_stale = drift > wrong_drift || (drift > stale_drift && is_slow);
        if (is_stale && !factor(s)) return false;
        for (int i = 0; i < s->n; i++) s->step[i] = -s->imbalance[i];
        sparse_solve(s->matrix, s->step);
        double share = is_stuck && s->n_curves > 0 ? share_of_step(s, p, scale) : 1;
        double step_V = 0, most_V = 1;
        for (int i = 0; i < s->n_nodes; i++) {
            step_V = larger(step_V, fabs(s->step[i]));
            p->x[i] += share * s->step[i];
            most_V = larger(most_V, fabs(p->x[i]));
        }
        for (int i = s->n_nodes; i < s->n; i++) p->x[i] += share * s->step[i];
        if (!isfinite(step_V) || !isfinite(most_V)) return false;
        if (is_watched && has_collapsed(s, p)) return false;
        bool is_switched = follow_modes(s, p);
        drift = evaluate(s, p, p->x, scale);
        is_slow = !(step_V < 0.1 * before_V);
        /* Still: by this step; by the next one, if it shrinks as this one did; or as far as rounding lets it. */
        bool is_still =
            step_V <= still_V * most_V ||
            (k > 0 && drift <= stale_drift && !is_slow && step_V * step_V <= still_V * before_V && is_balanced(s)) ||
            (k > 2 && step_V <= rounding_V && step_V > 0.5 * before_V && is_balanced(s));
        if (is_still && !is_switched && share == 1) return true;
        is_stuck = k >= steps_plain || (k > 1 && step_V > 0.9 * before_V); /* to and fro over a corner, say */
        before_V = step_V;
    }
    return false;
}

/* ------------------------------------------------------------------ which solution */

/* No load has more without load than all sources in series; one that has kept half of its no-load voltage is not past
 * its turning point. Quick, and enough for most vans. */
static bool has_half_of_all(const solver *s, const phase *p)
{
    for (int i = 0; i < s->n_curves; i++) {
        const curved *c = &s->curves[i];
        double V = p->x[c->a] - p->x[c->b];
        if (c->is_by_power && p->mode[c->element] == LOAD_ON && V > dead_V && V <= 0.5 * s->most_V) return false;
    }
    for (int i = 0; i < s->n_transfers; i++) {
        const transferring *t = &s->transfers[i];
        if (p->mode[t->element] != TRANSFER_ASLEEP && p->x[t->a] - p->x[t->b] <= 0.5 * s->most_V) return false;
    }
    return true;
}

/* Physical or collapsed? Raise all demands a little: at the physical point the voltage of every load falls. With
 * u the load voltages and J the slopes, J y = (currents of the loads by power) gives y = -du/dscale, and y >= 0 for all
 * (0 on a source without resistance) proves that no load is past its turning point and that no other such point exists (docs/methods/operating-point.md). */
static bool is_physical(solver *s, phase *p, bool is_no_load_known)
{
    double *y = s->step;
    int n_asking = 0;
    if (has_half_of_all(s, p)) return true;
    memset(y, 0, (size_t)s->n * sizeof *y);
    for (int i = 0; i < s->n_curves; i++) {
        const curved *c = &s->curves[i];
        if (!c->is_by_power || p->mode[c->element] != LOAD_ON) continue;
        double V = p->x[c->a] - p->x[c->b];
        if (V <= dead_V || (is_no_load_known && s->no_load_V[i] < KNEE_V)) continue;
        if (V < KNEE_V) return false;
        y[c->a] += p->current_A[c->element];
        y[c->b] -= p->current_A[c->element];
        n_asking++;
    }
    for (int i = 0; i < s->n_transfers; i++) {
        const transferring *t = &s->transfers[i];
        if (p->mode[t->element] == TRANSFER_ASLEEP) continue;
        y[t->a] += p->current_A[t->element];
        y[t->b] -= p->current_A[t->element];
        n_asking++;
    }
    if (n_asking == 0) return true;
    if (s->drift > stale_drift && !factor(s)) return false;
    sparse_solve(s->matrix, y);
    for (int i = 0; i < s->n_curves; i++) {
        const curved *c = &s->curves[i];
        bool is_asked = c->is_by_power && p->mode[c->element] == LOAD_ON && p->x[c->a] - p->x[c->b] >= KNEE_V;
        if (is_asked && !(y[c->a] - y[c->b] > -level_V)) return false;
    }
    for (int i = 0; i < s->n_transfers; i++) {
        const transferring *t = &s->transfers[i];
        if (p->mode[t->element] != TRANSFER_ASLEEP && p->current_A[t->element] > 0 && !(y[t->a] - y[t->b] > -level_V))
            return false;
    }
    return true;
}

/* A transfer is awake exactly when its input has a voltage to work from. True when one had to be woken or sent to sleep. */
static bool wake_transfers(solver *s, phase *p, const bool *is_cut)
{
    bool is_changed = false;
    for (int i = 0; i < s->n_transfers; i++) {
        const transferring *t = &s->transfers[i];
        bool is_fed = !is_cut[t->element] && p->x[t->a] - p->x[t->b] >= KNEE_V;
        bool is_awake = p->mode[t->element] != TRANSFER_ASLEEP;
        if (is_fed != is_awake) p->mode[t->element] = is_fed ? TRANSFER_HOLD : TRANSFER_ASLEEP;
        is_changed = is_changed || is_fed != is_awake;
    }
    return is_changed;
}

static void set_load_modes(solver *s, phase *p, const bool *is_cut, bool is_warm)
{
    for (int i = 0; i < s->n_curves; i++) {
        int k = s->curves[i].element;
        bool can_run = s->topology->is_fed[k] || s->net->elements[k].load_ohm > 0;
        load_mode now = is_cut[k] ? LOAD_CUT_OUT : can_run ? LOAD_ON : LOAD_STARVED;
        s->is_woken[i] = is_warm && now == LOAD_ON && p->mode[k] != LOAD_ON;
        p->mode[k] = (unsigned char)now;
    }
}

static solve_report beyond(const solver *s, const phase *p, double load_step)
{
    solve_report r = {SOLVE_BEYOND, -1, load_step};
    double least = INFINITY;
    for (int i = 0; i < s->n_curves + s->n_transfers; i++) {
        bool is_curve = i < s->n_curves;
        const transferring *t = is_curve ? NULL : &s->transfers[i - s->n_curves];
        int k = is_curve ? s->curves[i].element : t->element;
        if (!is_asking(s, p, k) || (is_curve && !s->curves[i].is_by_power) || s->no_load_V[i] < KNEE_V) continue;
        double has_V = is_curve ? p->x[s->curves[i].a] - p->x[s->curves[i].b] : p->x[t->a] - p->x[t->b];
        double left = has_V / s->no_load_V[i];
        if (left < least) {
            least = left;
            r.culprit = k;
        }
    }
    if (r.culprit < 0) r.end = SOLVE_STALLED; /* nothing asks for power: Newton failed for another reason */
    return r;
}

/* Everything that the steps start from: all loads at nothing, transfers awake where their input has a voltage. */
static bool solve_no_load(solver *s, phase *p, const bool *is_cut)
{
    memset(p->x, 0, (size_t)s->n * sizeof *p->x);
    for (int i = 0; i < s->n_transfers; i++) {
        int k = s->transfers[i].element;
        p->mode[k] = is_cut[k] || !s->topology->is_fed[k] ? TRANSFER_ASLEEP : TRANSFER_HOLD;
    }
    for (int k = 0; k <= 2 * s->n_transfers; k++) {
        if (!newton(s, p, 0, false)) return false;
        if (!wake_transfers(s, p, is_cut)) break;
    }
    for (int i = 0; i < s->n_curves; i++) s->no_load_V[i] = p->x[s->curves[i].a] - p->x[s->curves[i].b];
    for (int i = 0; i < s->n_transfers; i++)
        s->no_load_V[s->n_curves + i] = p->x[s->transfers[i].a] - p->x[s->transfers[i].b];
    return true;
}

static void keep_good(solver *s, const phase *p)
{
    memcpy(s->good, p->x, (size_t)s->n * sizeof *p->x);
    memcpy(s->good_mode, p->mode, (size_t)s->net->n_elements);
}

static void back_to_good(solver *s, phase *p)
{
    memcpy(p->x, s->good, (size_t)s->n * sizeof *p->x);
    memcpy(p->mode, s->good_mode, (size_t)s->net->n_elements);
}

/* Loads up from nothing. First in one step; where that fails, by bisection, so that load_step is the largest scale that
 * has a solution to within least_step. */
static solve_report step_up(solver *s, phase *p)
{
    double good = 0, bad = INFINITY, next = 1;
    keep_good(s, p);
    for (int k = 0; k < tries_most; k++) {
        if (newton(s, p, next, true) && is_physical(s, p, true)) {
            good = next;
            if (good >= 1) return (solve_report){SOLVE_DONE, -1, 1};
            keep_good(s, p);
        } else {
            bad = next;
            back_to_good(s, p);
        }
        if (bad - good < least_step) { /* from further off it may have failed for a diode or a limit on the way */
            if (!newton(s, p, bad, true) || !is_physical(s, p, true)) {
                back_to_good(s, p);
                break;
            }
            good = bad;
            if (good >= 1) return (solve_report){SOLVE_DONE, -1, 1};
            bad = INFINITY;
            keep_good(s, p);
        }
        if (bad <= starving_step) break;
        next = good == 0 ? starving_step : bad > 1 ? 1 : 0.5 * (good + bad);
    }
    evaluate(s, p, p->x, good);
    return beyond(s, p, good);
}

/* The careful way. A load that can't get a hundredth of what it asks for starves, and the rest is solved without it. */
static solve_report solve_careful(solver *s, phase *p, const bool *is_cut)
{
    for (int k = 0; k <= s->n_curves; k++) {
        if (!solve_no_load(s, p, is_cut)) return (solve_report){SOLVE_STALLED, -1, 0};
        solve_report r = step_up(s, p);
        bool is_starving =
            r.end == SOLVE_BEYOND && r.load_step < starving_step && s->net->elements[r.culprit].type == ELEMENT_LOAD;
        if (!is_starving) return r;
        p->mode[r.culprit] = LOAD_STARVED;
    }
    return (solve_report){SOLVE_STALLED, -1, 0};
}

/* ------------------------------------------------------------------ */

/* What was left out: the current of a chain passes all of its pieces, and its voltage falls along them. Where it is open, the
 * nodes up to the first open contact hang on its one end, those from the last on the other, and nothing holds the rest. */
static void fill_chain(const solver *s, const phase *p, const linear *l, const double *x, double current_A,
                       double *node_V)
{
    const piece *at = &s->pieces[l->first];
    double V = x[l->a];
    for (int k = 0; k < l->n - 1; k++) {
        if (is_piece_open(s, p, &at[k])) V = 0;
        V -= current_A * s->net->elements[at[k].element].resistance_ohm;
        node_V[at[k].end] = V;
    }
    for (int k = l->n - 1; l->is_open && k > 0 && !is_piece_open(s, p, &at[k]); k--) node_V[at[k - 1].end] = x[l->b];
}

static void fill_nodes(const solver *s, const phase *p, const double *x, double *node_V)
{
    for (int i = 0; i < s->net->n_nodes; i++) node_V[i] = s->kept[i] >= 0 ? x[s->kept[i]] : 0;
    for (int i = 0; i < s->n_linears; i++) {
        const linear *l = &s->linears[i];
        if (l->n > 1) fill_chain(s, p, l, x, l->is_open ? 0 : l->conductance_S * (x[l->a] - x[l->b]), node_V);
    }
}

static void fill_in(const solver *s, phase *p)
{
    fill_nodes(s, p, p->x, p->node_V);
    for (int i = 0; i < s->n_linears; i++) {
        const linear *l = &s->linears[i];
        double current_A = l->is_open ? 0 : l->conductance_S * (p->x[l->a] - p->x[l->b] - l->source_V);
        for (const piece *at = &s->pieces[l->first]; at < &s->pieces[l->first + l->n]; at++)
            p->current_A[at->element] = at->is_forward ? current_A : -current_A;
    }
}

static void mark_closed(solver *s, phase *p)
{
    static const unsigned char marks[] = {
        [LOAD_CUT_OUT] = PHASE_OPEN, [LOAD_ON] = PHASE_CLOSED, [LOAD_STARVED] = PHASE_STARVED};
    for (int i = 0; i < s->n_curves; i++)
        if (s->net->elements[s->curves[i].element].type == ELEMENT_LOAD)
            p->is_closed[s->curves[i].element] = marks[p->mode[s->curves[i].element]];
    for (int i = 0; i < s->n_transfers; i++)
        p->is_closed[s->transfers[i].element] = p->mode[s->transfers[i].element] != TRANSFER_ASLEEP;
}

/* From the last answer, whatever has been switched since: a first step brings what was switched on to about where it ran
 * last. With transfers that fall asleep or wake too much changes: then false. */
static bool solve_warm(solver *s, phase *p, const bool *is_cut)
{
    for (int i = 0; i < s->n_transfers; i++) {
        int k = s->transfers[i].element;
        bool is_fed = !is_cut[k] && s->topology->is_fed[k];
        if (is_fed != (p->mode[k] != TRANSFER_ASLEEP)) return false;
    }
    double drift = evaluate(s, p, p->x, 1);
    memset(s->is_woken, 0, (size_t)s->n_curves * sizeof *s->is_woken);
    if (drift > stale_drift && !factor(s)) return false;
    for (int i = 0; i < s->n; i++) s->step[i] = -s->imbalance[i];
    sparse_solve(s->matrix, s->step);
    for (int i = 0; i < s->n; i++) p->x[i] += s->step[i];
    follow_modes(s, p);
    return newton(s, p, 1, false) && !wake_transfers(s, p, is_cut) && is_physical(s, p, false);
}

static void note_live(solver *s, const phase *p)
{
    for (int i = 0; i < s->n_curves; i++) {
        double V = p->x[s->curves[i].a] - p->x[s->curves[i].b];
        if (V >= KNEE_V) s->live_V[i] = V;
    }
}

/* Loads and transfers stand closed while contacts are compared; what became of them is marked at the end. */
static void close_all_loads(const solver *s, phase *p)
{
    for (int i = 0; i < s->n_curves; i++) p->is_closed[s->curves[i].element] = 1;
    for (int i = 0; i < s->n_transfers; i++) p->is_closed[s->transfers[i].element] = 1;
}

/* By how much the current of an element grows with each unknown; false for a transfer. */
static bool slopes_of_current(const solver *s, int element, double *c)
{
    for (int i = 0; i < s->n_ideals; i++)
        if (s->ideals[i].element == element) c[s->ideals[i].row] += 1;
    for (int i = 0; i < s->n_curves; i++) {
        if (s->curves[i].element != element) continue;
        c[s->curves[i].a] += s->slope[i];
        c[s->curves[i].b] -= s->slope[i];
    }
    for (int i = 0; i < s->n_linears; i++) {
        const linear *l = &s->linears[i];
        for (const piece *at = &s->pieces[l->first]; at < &s->pieces[l->first + l->n] && !l->is_open; at++) {
            if (at->element != element) continue;
            c[l->a] += at->is_forward ? l->conductance_S : -l->conductance_S;
            c[l->b] -= at->is_forward ? l->conductance_S : -l->conductance_S;
        }
    }
    return s->net->elements[element].type != ELEMENT_TRANSFER;
}

bool solver_stand(solver *s, phase *p)
{
    close_all_loads(s, p);
    bool is_standing = set_base(s, p) && (evaluate(s, p, p->x, 1) <= stale_drift || factor(s));
    mark_closed(s, p);
    return is_standing;
}

bool solver_sensitivity(solver *s, const phase *p, int element, bool is_current, double *per_A)
{
    const net_element *e = &s->net->elements[element];
    double *c = s->step;
    memset(c, 0, (size_t)s->n * sizeof *c);
    if (is_current ? !slopes_of_current(s, element, c) : s->kept[e->a] < 0 || s->kept[e->b] < 0) return false;
    if (!is_current) {
        c[s->kept[e->a]] += 1;
        c[s->kept[e->b]] -= 1;
    }
    sparse_solve_transposed(s->matrix, c);
    for (int i = 0; i < s->n; i++) c[i] = -c[i];
    fill_nodes(s, p, c, per_A);
    return true;
}

bool solver_is_reversed(const solver *s, const phase *p, int element)
{
    const net_element *e = &s->net->elements[element];
    return p->x[s->kept[e->a]] < p->x[s->kept[e->b]];
}

solve_report solver_solve(solver *s, phase *p, const bool *is_cut, bool is_warm)
{
    close_all_loads(s, p);
    if (!set_base(s, p)) {
        p->is_solved = false;
        return (solve_report){SOLVE_LOOP, s->topology->loop_element, 0};
    }
    is_warm = is_warm && p->is_solved;
    set_load_modes(s, p, is_cut, is_warm);
    solve_report r = {SOLVE_DONE, -1, 1};
    if (!is_warm || !solve_warm(s, p, is_cut)) {
        memset(s->is_woken, 0, (size_t)s->n_curves * sizeof *s->is_woken);
        r = solve_careful(s, p, is_cut);
    }
    p->is_solved = r.end == SOLVE_DONE;
    if (p->is_solved) note_live(s, p);
    fill_in(s, p);
    mark_closed(s, p);
    return r;
}
