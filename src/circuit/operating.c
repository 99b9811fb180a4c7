/* The operating point: positions, chopper phases, relays and cut-outs around the solver of one instant. See operating.h
 * and docs/methods/operating-point.md. */
#include "circuit/operating.h"

#include "circuit/balance.h"
#include "circuit/solve.h"
#include <math.h>
#include <string.h>

enum {
    choppers_exact = 6, /* up to here every on/off pattern is solved: 2^6 */
    flips_most = 3,     /* an item that wants to switch more often than this chatters */
};
static const double nothing_V = 1e-9;  /* a load with less is behind an open switch: cutting it out changes nothing */
static const double runs_share = 0.01; /* of its rated power or current: below, it does not run */

typedef struct chopper_state {
    int element;
    double duty;
} chopper_state;

struct op_plan {
    const network *net;
    topology *topology;
    solver *solver;
    phase *phases;
    int n_phases, n_phases_ready;
    position *at;    /* of each item, those with a coil as the solver found them */
    bool *is_cut;    /* of each element */
    bool *is_pulled; /* of each element */
    int *n_flips;    /* of each element */
    int *contacts, *choppers, *coils, *cuttables, *transfers, *main_elements;
    int n_contacts, n_choppers, n_coils, n_cuttables, n_transfers;
    double *duty;          /* of each of choppers */
    chopper_state *active; /* choppers with a duty between 0 and 1 */
    int n_active;
    double *leaving_A; /* scratch of op_check */
    operating_point op;
    arena *arena;
};

const char *outcome_word(outcome o)
{
    static const char *const words[] = {
#define X(NAME, word) word,
        OUTCOMES(X)
#undef X
    };
    return words[o];
}

/* ------------------------------------------------------------------ plan */

static void list_elements(op_plan *p)
{
    const network *net = p->net;
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        bool can_stop = (e->type == ELEMENT_LOAD || e->type == ELEMENT_TRANSFER) && e->stops_below_V > 0;
        if (e->type == ELEMENT_CONTACT) p->contacts[p->n_contacts++] = k;
        if (e->type == ELEMENT_CHOPPER) p->choppers[p->n_choppers++] = k;
        if (e->type == ELEMENT_COIL && e->item >= 0) p->coils[p->n_coils++] = k;
        if (e->type == ELEMENT_TRANSFER) p->transfers[p->n_transfers++] = k;
        if (can_stop) p->cuttables[p->n_cuttables++] = k;
    }
}

op_plan *op_plan_create(arena *a, const network *net)
{
    op_plan *p = ARENA_NEW(a, op_plan);
    size_t n_elements = (size_t)net->n_elements + 1, n_items = (size_t)net->van->n_items + 1;
    p->net = net;
    p->arena = a;
    int **lists[] = {&p->contacts, &p->choppers, &p->coils, &p->cuttables, &p->transfers, &p->n_flips};
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) *lists[i] = ARENA_ARRAY(a, int, n_elements);
    list_elements(p);
    p->main_elements = ARENA_ARRAY(a, int, n_items);
    for (int i = 0; i < net->van->n_items; i++) p->main_elements[i] = network_main_element(net, i);
    p->topology = topology_create(a, net);
    p->solver = solver_create(a, net, p->topology);
    int n_patterns = 1 << (p->n_choppers < choppers_exact ? p->n_choppers : choppers_exact);
    int n_phases = n_patterns > p->n_choppers + 1 ? n_patterns : p->n_choppers + 1;
    p->phases = ARENA_ARRAY(a, phase, n_phases);
    p->at = ARENA_ARRAY(a, position, n_items);
    p->is_cut = ARENA_ARRAY(a, bool, n_elements);
    p->is_pulled = ARENA_ARRAY(a, bool, n_elements);
    p->duty = ARENA_ARRAY(a, double, (size_t)p->n_choppers + 1);
    p->leaving_A = ARENA_ARRAY(a, double, (size_t)net->n_nodes + 1);
    p->active = ARENA_ARRAY(a, chopper_state, (size_t)p->n_choppers + 1);
    operating_point *op = &p->op;
    op->node_V = ARENA_ARRAY(a, double, (size_t)net->n_nodes + 1);
    double **results[] = {&op->current_A, &op->rms_A, &op->output_A, &op->across_V};
    for (size_t i = 0; i < sizeof results / sizeof *results; i++) *results[i] = ARENA_ARRAY(a, double, n_elements);
    op->items = ARENA_ARRAY(a, item_state, n_items);
    return p;
}

/* ------------------------------------------------------------------ positions and phases */

static void rest_at(op_plan *p, const position *positions)
{
    const van *v = p->net->van;
    memcpy(p->at, positions, (size_t)v->n_items * sizeof *positions);
    for (int i = 0; i < p->n_coils; i++) {
        int moved = p->net->elements[p->coils[i]].item;
        p->at[moved] = v->items[moved].n_positions > 0 ? v->items[moved].positions[0] : (position){0, 0};
        p->is_pulled[p->coils[i]] = false;
    }
    memset(p->is_cut, 0, (size_t)p->net->n_elements * sizeof *p->is_cut);
    memset(p->n_flips, 0, (size_t)p->net->n_elements * sizeof *p->n_flips);
    p->n_active = 0;
    for (int i = 0; i < p->n_choppers; i++) {
        const net_element *e = &p->net->elements[p->choppers[i]];
        double duty = e->is_dialled && e->item >= 0 ? p->at[e->item].fraction : e->duty;
        p->duty[i] = duty;
        if (duty > 0 && duty < 1) p->active[p->n_active++] = (chopper_state){p->choppers[i], duty};
    }
}

static void make_phases(op_plan *p, int n)
{
    for (; p->n_phases_ready < n; p->n_phases_ready++) phase_init(&p->phases[p->n_phases_ready], p->arena, p->solver);
    p->n_phases = n;
}

static void close_contacts(op_plan *p)
{
    const net_element *elements = p->net->elements;
    for (int j = 0; j < p->n_phases; j++) {
        unsigned char *is_closed = p->phases[j].is_closed;
        for (int i = 0; i < p->n_contacts; i++) {
            const net_element *e = &elements[p->contacts[i]];
            uint32_t index = e->item >= 0 ? (uint32_t)p->at[e->item].index : 0;
            is_closed[p->contacts[i]] = index < 32 && (e->closed_in >> index & 1u);
        }
    }
}

/* Every on/off pattern of the choppers at work, each for the part of the time that independent choppers spend in it. */
static void set_all_patterns(op_plan *p)
{
    make_phases(p, 1 << p->n_active);
    for (int j = 0; j < p->n_phases; j++) {
        p->phases[j].weight = 1;
        for (int i = 0; i < p->n_active; i++) {
            bool is_on = (unsigned)j >> i & 1u;
            p->phases[j].is_closed[p->active[i].element] = is_on;
            p->phases[j].weight *= is_on ? p->active[i].duty : 1 - p->active[i].duty;
        }
    }
}

/* Too many for that: all are taken to switch on at one instant, and each off when its part is over. A pattern that can
 * occur, with all on-times together, so that what they share heats most. */
static void set_aligned_patterns(op_plan *p)
{
    for (int i = 1; i < p->n_active; i++) /* by duty, falling; few */
        for (int j = i; j > 0 && p->active[j].duty > p->active[j - 1].duty; j--) {
            chopper_state swap = p->active[j];
            p->active[j] = p->active[j - 1];
            p->active[j - 1] = swap;
        }
    make_phases(p, p->n_active + 1);
    for (int j = 0; j < p->n_phases; j++) { /* phase j: the first j are on */
        double from = j < p->n_active ? p->active[j].duty : 0, to = j > 0 ? p->active[j - 1].duty : 1;
        p->phases[j].weight = to - from;
        for (int i = 0; i < p->n_active; i++) p->phases[j].is_closed[p->active[i].element] = i < j;
    }
}

static void set_phases(op_plan *p)
{
    bool is_exact = p->n_active <= choppers_exact;
    if (is_exact)
        set_all_patterns(p);
    else
        set_aligned_patterns(p);
    p->op.is_rms_exact = is_exact;
    p->op.n_phases = p->n_phases;
    for (int i = 0; i < p->n_choppers; i++) {
        if (p->duty[i] > 0 && p->duty[i] < 1) continue;
        for (int j = 0; j < p->n_phases; j++) p->phases[j].is_closed[p->choppers[i]] = p->duty[i] >= 1;
    }
    close_contacts(p);
}

/* ------------------------------------------------------------------ relays and cut-outs */

static double volts_in(const op_plan *p, const phase *ph, int which)
{
    const net_element *e = &p->net->elements[which];
    return ph->node_V[e->a] - ph->node_V[e->b];
}

static double average_V(const op_plan *p, int which)
{
    double sum = 0;
    for (int j = 0; j < p->n_phases; j++) sum += p->phases[j].weight * volts_in(p, &p->phases[j], which);
    return sum;
}

static double most_V(const op_plan *p, int which)
{
    double most = -INFINITY;
    for (int j = 0; j < p->n_phases; j++) most = fmax(most, volts_in(p, &p->phases[j], which));
    return most;
}

/* The load that is furthest below its cut-out, as a share of it; -1 when none is below. */
static int load_to_cut(const op_plan *p)
{
    int worst = -1;
    double least = 1;
    for (int i = 0; i < p->n_cuttables; i++) {
        int k = p->cuttables[i];
        double V = most_V(p, k), share = V / p->net->elements[k].stops_below_V;
        if (!p->is_cut[k] && V > nothing_V && share < least) {
            least = share;
            worst = k;
        }
    }
    return worst;
}

static int load_to_start(const op_plan *p)
{
    for (int i = 0; i < p->n_cuttables; i++) {
        const net_element *e = &p->net->elements[p->cuttables[i]];
        if (p->is_cut[p->cuttables[i]] && e->starts_above_V > 0 && most_V(p, p->cuttables[i]) >= e->starts_above_V)
            return p->cuttables[i];
    }
    return -1;
}

static int coil_to_move(const op_plan *p)
{
    for (int i = 0; i < p->n_coils; i++) {
        int k = p->coils[i];
        const net_element *e = &p->net->elements[k];
        double V = fabs(average_V(p, k));
        if (p->is_pulled[k] ? V < e->drops_below_V : V > 0 && V >= e->pulls_above_V) return k;
    }
    return -1;
}

static void move_coil(op_plan *p, int coil)
{
    const net_element *e = &p->net->elements[coil];
    const item *it = &p->net->van->items[e->item];
    p->is_pulled[coil] = !p->is_pulled[coil];
    if (p->is_pulled[coil])
        p->at[e->item].index = e->moves;
    else
        p->at[e->item] = it->n_positions > 0 ? it->positions[0] : (position){0, 0};
}

/* Changes the one thing that must change, coils before loads; the element, or -1 when all stays as it is. */
static int change_one(op_plan *p)
{
    int k = coil_to_move(p);
    if (k >= 0) {
        move_coil(p, k);
        close_contacts(p);
    } else if ((k = load_to_cut(p)) >= 0) {
        p->is_cut[k] = true;
    } else if ((k = load_to_start(p)) >= 0) {
        p->is_cut[k] = false;
    }
    return k;
}

/* On the way down to a point that does not exist, a load with a cut-out lets go: the lowest, else the culprit itself. */
static int cut_one_beyond(op_plan *p, const phase *ph, int culprit)
{
    int worst = culprit >= 0 && p->net->elements[culprit].stops_below_V > 0 ? culprit : -1;
    double least = 1;
    for (int i = 0; i < p->n_cuttables; i++) {
        int k = p->cuttables[i];
        double V = volts_in(p, ph, k), share = V / p->net->elements[k].stops_below_V;
        if (!p->is_cut[k] && V > nothing_V && share < least) {
            least = share;
            worst = k;
        }
    }
    if (worst >= 0) p->is_cut[worst] = true;
    return worst;
}

/* ------------------------------------------------------------------ results */

static void write_nodes(op_plan *p)
{
    double *node_V = p->op.node_V;
    int n_nodes = p->net->n_nodes;
    memset(node_V, 0, (size_t)n_nodes * sizeof *node_V);
    for (int j = 0; j < p->n_phases; j++) {
        const phase *ph = &p->phases[j];
        if (p->n_phases > 1) topology_find(p->topology, ph->is_closed);
        for (int i = 0; i < n_nodes; i++)
            node_V[i] += p->net->reference >= 0 && p->topology->island[i] == 0 ? ph->weight * ph->node_V[i] : NAN;
        for (int k = 0; k < p->net->n_elements; k++) {
            const net_element *e = &p->net->elements[k];
            bool is_one = p->topology->island[e->a] == p->topology->island[e->b];
            p->op.across_V[k] += is_one ? ph->weight * (ph->node_V[e->a] - ph->node_V[e->b]) : NAN;
        }
    }
}

static void write_currents(op_plan *p)
{
    size_t n = (size_t)p->net->n_elements;
    operating_point *op = &p->op;
    if (p->n_phases == 1) {
        memcpy(op->current_A, p->phases[0].current_A, n * sizeof *op->current_A);
        memcpy(op->output_A, p->phases[0].output_A, n * sizeof *op->output_A);
        for (size_t k = 0; k < n; k++) op->rms_A[k] = fabs(op->current_A[k]);
        return;
    }
    memset(op->current_A, 0, n * sizeof *op->current_A);
    memset(op->output_A, 0, n * sizeof *op->output_A);
    memset(op->rms_A, 0, n * sizeof *op->rms_A);
    for (int j = 0; j < p->n_phases; j++) {
        const phase *ph = &p->phases[j];
        for (size_t k = 0; k < n; k++) {
            op->current_A[k] += ph->weight * ph->current_A[k];
            op->output_A[k] += ph->weight * ph->output_A[k];
            op->rms_A[k] += ph->weight * ph->current_A[k] * ph->current_A[k];
        }
    }
    for (size_t k = 0; k < n; k++) op->rms_A[k] = sqrt(op->rms_A[k]);
}

/* Watts that an element takes, average over the phases. */
static double watts_of(const op_plan *p, int which)
{
    const net_element *e = &p->net->elements[which];
    double sum = 0;
    for (int j = 0; j < p->n_phases; j++) {
        const phase *ph = &p->phases[j];
        double W = (ph->node_V[e->a] - ph->node_V[e->b]) * ph->current_A[which];
        if (e->type == ELEMENT_TRANSFER) W -= (ph->node_V[e->to_a] - ph->node_V[e->to_b]) * ph->output_A[which];
        sum += ph->weight * W;
    }
    return sum;
}

static void judge_load(const op_plan *p, int which, double watts, item_state *state)
{
    const net_element *e = &p->net->elements[which];
    double V = most_V(p, which);
    bool is_starved = p->is_cut[which], runs = false;
    for (int j = 0; j < p->n_phases; j++) is_starved = is_starved || p->phases[j].mode[which] == LOAD_STARVED;
    is_starved = (is_starved || V < KNEE_V) && V > nothing_V;
    if (!p->is_cut[which] && V >= KNEE_V) {
        if (e->power_W > 0)
            runs = watts > runs_share * e->power_W;
        else if (e->current_A > 0)
            runs = p->op.current_A[which] > runs_share * e->current_A;
        else
            runs = e->load_ohm > 0;
    }
    state->runs = state->runs || runs;
    state->is_starved = state->is_starved || (is_starved && !runs);
}

static void judge_lamp(const op_plan *p, int which, item_state *state)
{
    double sum = 0;
    for (int j = 0; j < p->n_phases; j++) sum += p->phases[j].weight * fabs(volts_in(p, &p->phases[j], which));
    state->lamp_V = fmax(state->lamp_V, sum);
    state->lamp_lit = state->lamp_lit || (sum > 0 && sum >= p->net->elements[which].lights_above_V);
}

static void write_items(op_plan *p)
{
    int n_items = p->net->van->n_items;
    memset(p->op.items, 0, (size_t)n_items * sizeof *p->op.items);
    for (int k = 0; k < p->net->n_elements; k++) {
        const net_element *e = &p->net->elements[k];
        if (e->item < 0) continue;
        item_state *state = &p->op.items[e->item];
        double watts = watts_of(p, k);
        state->watts += watts;
        if (e->type == ELEMENT_LOAD)
            judge_load(p, k, watts, state);
        else if (e->type == ELEMENT_LAMP)
            judge_lamp(p, k, state);
        else if (e->type == ELEMENT_COIL)
            state->is_pulled = state->is_pulled || p->is_pulled[k];
        else if (e->type == ELEMENT_TRANSFER)
            state->runs = state->runs || p->op.output_A[k] > LEAK_S * KNEE_V;
    }
    for (int i = 0; i < n_items; i++)
        p->op.items[i].volts = p->main_elements[i] >= 0 ? p->op.across_V[p->main_elements[i]] : NAN;
}

static void write_nothing(op_plan *p)
{
    operating_point *op = &p->op;
    for (int i = 0; i < p->net->n_nodes; i++) op->node_V[i] = NAN;
    for (int k = 0; k < p->net->n_elements; k++)
        op->current_A[k] = op->rms_A[k] = op->output_A[k] = op->across_V[k] = NAN;
    for (int i = 0; i < p->net->van->n_items; i++) op->items[i] = (item_state){.volts = NAN, .watts = NAN};
}

/* From one end of the culprit along the element that brings (or takes) most current, up to a source; of the wires on
 * that way the one that loses most. */
static void follow_current(const op_plan *p, const phase *ph, int which, int node, double sign, int *worst_wire,
                           double *lost)
{
    int came_by = which;
    for (int n = 0; n < p->net->n_nodes; n++) {
        int best = -1;
        double best_A = 0;
        for (int k = 0; k < p->net->n_elements; k++) {
            const net_element *e = &p->net->elements[k];
            if (k == came_by || k == which || (e->a != node && e->b != node)) continue;
            double into = sign * (e->b == node ? ph->current_A[k] : -ph->current_A[k]);
            if (into > best_A) {
                best_A = into;
                best = k;
            }
        }
        if (best < 0) return;
        const net_element *e = &p->net->elements[best];
        double loss = fabs(ph->node_V[e->a] - ph->node_V[e->b]);
        if (e->wire >= 0 && loss > *lost) {
            *lost = loss;
            *worst_wire = e->wire;
        }
        if (e->type == ELEMENT_EMF || e->type == ELEMENT_TRANSFER) return;
        node = e->a == node ? e->b : e->a;
        came_by = best;
    }
}

static int bottleneck_of(const op_plan *p, const phase *ph, int which)
{
    int worst_wire = -1;
    double lost = 0;
    const net_element *e = &p->net->elements[which];
    follow_current(p, ph, which, e->a, 1, &worst_wire, &lost);
    follow_current(p, ph, which, e->b, -1, &worst_wire, &lost);
    return worst_wire;
}

static void write_trouble(op_plan *p, const phase *ph, const solve_report *r)
{
    static const outcome outcomes[] = {[SOLVE_DONE] = OUTCOME_SOLVED,
                                       [SOLVE_BEYOND] = OUTCOME_BEYOND,
                                       [SOLVE_LOOP] = OUTCOME_CONTRADICTION,
                                       [SOLVE_STALLED] = OUTCOME_STALLED};
    p->op.outcome = outcomes[r->end];
    p->op.culprit_element = r->culprit;
    if (r->end != SOLVE_BEYOND) return;
    p->op.load_step = r->load_step;
    p->op.culprit_V = volts_in(p, ph, r->culprit);
    p->op.bottleneck_wire = bottleneck_of(p, ph, r->culprit);
}

/* ------------------------------------------------------------------ */

/* The phase that has no answer, or -1. */
static int solve_phases(op_plan *p, bool is_warm, solve_report *r)
{
    for (int j = 0; j < p->n_phases; j++) {
        *r = solver_solve(p->solver, &p->phases[j], p->is_cut, is_warm);
        if (r->end != SOLVE_DONE) return j;
    }
    return -1;
}

static void clear_result(operating_point *op)
{
    op->outcome = OUTCOME_SOLVED;
    op->residual_A = op->law_residual_A = op->power_residual_W = op->power_W = op->culprit_V = NAN;
    op->residual_node = op->culprit_element = op->bottleneck_wire = -1;
    op->load_step = 1;
}

const operating_point *op_solve(op_plan *p, const position *positions, bool is_warm)
{
    long steps_before = solver_steps(p->solver);
    clear_result(&p->op);
    rest_at(p, positions);
    set_phases(p);
    for (;;) {
        solve_report r;
        int failed = solve_phases(p, is_warm, &r);
        int k = failed < 0              ? change_one(p)
                : r.end == SOLVE_BEYOND ? cut_one_beyond(p, &p->phases[failed], r.culprit)
                                        : -1;
        if (k >= 0 && ++p->n_flips[k] > flips_most) {
            p->op.outcome = OUTCOME_CHATTERS;
            p->op.culprit_element = k;
            break;
        }
        if (k < 0) {
            if (failed >= 0) write_trouble(p, &p->phases[failed], &r);
            break;
        }
        is_warm = true;
    }
    p->op.iterations = (int)(solver_steps(p->solver) - steps_before);
    if (p->op.outcome == OUTCOME_SOLVED || p->op.outcome == OUTCOME_CHATTERS) {
        memset(p->op.across_V, 0, (size_t)p->net->n_elements * sizeof *p->op.across_V);
        write_nodes(p);
        write_currents(p);
        write_items(p);
    } else {
        write_nothing(p);
    }
    return &p->op;
}

op_phase op_phase_of(op_plan *p, int i)
{
    const phase *ph = &p->phases[i];
    return (op_phase){ph->weight, ph->node_V, ph->current_A, ph->output_A, ph->is_closed};
}

const operating_point *op_check(op_plan *p)
{
    operating_point *op = &p->op;
    if (op->outcome != OUTCOME_SOLVED && op->outcome != OUTCOME_CHATTERS) return op;
    op->residual_A = op->law_residual_A = -1;
    op->power_residual_W = op->power_W = 0;
    for (int j = 0; j < p->n_phases; j++) {
        op_phase ph = op_phase_of(p, j);
        balance b = balance_of(p->net, &ph, p->leaving_A);
        if (b.current_A > op->residual_A) {
            op->residual_A = b.current_A;
            op->residual_node = b.node;
        }
        op->law_residual_A = fmax(op->law_residual_A, b.law_A);
        op->power_residual_W += ph.weight * (b.given_W - b.taken_W);
        op->power_W += ph.weight * b.given_W;
    }
    return op;
}

struct op_state {
    phase *phases;
    int n_phases, n_phases_ready;
};

op_state *op_keep(const op_plan *p, op_state *into, arena *a)
{
    if (!into) into = ARENA_NEW(a, op_state);
    if (into->n_phases_ready < p->n_phases) {
        into->phases = ARENA_ARRAY(a, phase, p->n_phases);
        for (int j = 0; j < p->n_phases; j++) phase_init_kept(&into->phases[j], a, p->solver);
        into->n_phases_ready = p->n_phases;
    }
    into->n_phases = p->n_phases;
    for (int j = 0; j < p->n_phases; j++) phase_copy(p->solver, &into->phases[j], &p->phases[j]);
    return into;
}

size_t op_state_bytes(const op_plan *p) { return (size_t)p->n_phases * phase_kept_bytes(p->solver); }

/* Patterns that it does not have start from one that it has. */
void op_go_back(op_plan *p, const op_state *to)
{
    if (p->n_phases_ready < to->n_phases) make_phases(p, to->n_phases);
    p->n_phases = to->n_phases;
    for (int j = 0; j < p->n_phases_ready; j++) phase_copy(p->solver, &p->phases[j], &to->phases[j % to->n_phases]);
}

static void add_sensitivity(op_plan *p, const phase *ph, op_sensitivity *x)
{
    double *of_phase = p->leaving_A;
    x->is_had = x->is_had && solver_sensitivity(p->solver, ph, x->element, x->of == OP_CURRENT, of_phase);
    if (!x->is_had) return;
    bool is_reversed = x->of == OP_SIZE_OF_VOLTS && solver_is_reversed(p->solver, ph, x->element);
    double weight = is_reversed ? -ph->weight : ph->weight;
    for (int i = 0; i < p->net->n_nodes; i++) x->per_A[i] += weight * of_phase[i];
}

void op_sensitivities(op_plan *p, op_sensitivity *sought, int n)
{
    for (int k = 0; k < n; k++) {
        sought[k].is_had = true;
        memset(sought[k].per_A, 0, (size_t)p->net->n_nodes * sizeof(double));
    }
    for (int j = 0; j < p->n_phases; j++) {
        bool is_standing = solver_stand(p->solver, &p->phases[j]);
        for (int k = 0; k < n; k++) {
            sought[k].is_had = sought[k].is_had && is_standing;
            add_sensitivity(p, &p->phases[j], &sought[k]);
        }
    }
}

position *positions_rest(const van *v, arena *a)
{
    position *rest = ARENA_ARRAY(a, position, (size_t)v->n_items + 1);
    for (int i = 0; i < v->n_items; i++)
        if (v->items[i].n_positions > 0) rest[i] = v->items[i].positions[0];
    return rest;
}
