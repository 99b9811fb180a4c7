/* What the watches read from an operating point: see probe.h. */
#include "circuit/probe.h"

#include <math.h>

typedef struct numbering {
    probe *p;
    int *number[N_READINGS]; /* by index: value number + 1 */
} numbering;

static int value_number(numbering *n, reading how, int index)
{
    int *at = &n->number[how][index];
    if (!*at) {
        n->p->values[n->p->n_values++] = (value_of){how, index};
        *at = n->p->n_values;
    }
    return *at - 1;
}

static reading reading_of(watch_kind k)
{
    switch (k) {
    case WATCH_WIRE_A:
    case WATCH_ELEMENT_A:
        return READ_AVERAGE_A;
    case WATCH_WIRE_RMS_A:
    case WATCH_ELEMENT_RMS_A:
        return READ_RMS_A;
    case WATCH_ITEM_V:
        return READ_ITEM_V;
    case WATCH_ITEM_W:
        return READ_ITEM_W;
    case WATCH_ITEM_RUNS:
        return READ_RUNS;
    case WATCH_LAMP_LIT:
        return READ_LIT;
    default:
        return READ_NODE_V;
    }
}

static bool is_magnitude(watch_kind k)
{
    return k == WATCH_ELEMENT_A || k == WATCH_WIRE_RMS_A || k == WATCH_ELEMENT_RMS_A;
}

static int only_lamp(const network *net, int item)
{
    int lamp = -1;
    for (int e = net->first_element[item]; e < net->first_element[item + 1]; e++) {
        if (net->elements[e].type != ELEMENT_LAMP) continue;
        if (lamp >= 0) return -1;
        lamp = e;
    }
    return lamp;
}

static int *coils_of_items(arena *a, const network *net)
{
    int *coil = ARENA_ARRAY(a, int, (size_t)net->van->n_items + 1);
    for (int i = 0; i < net->van->n_items; i++) coil[i] = -1;
    for (int e = net->n_elements - 1; e >= 0; e--)
        if (net->elements[e].type == ELEMENT_COIL && net->elements[e].item >= 0) coil[net->elements[e].item] = e;
    return coil;
}

probe *probe_make(arena *a, const network *net, const watch *watches, int n_watches)
{
    probe *p = ARENA_NEW(a, probe);
    *p = (probe){.net = net, .watches = watches, .n_watches = n_watches};
    numbering n = {.p = p};
    for (int r = 0; r < N_READINGS; r++)
        n.number[r] =
            ARENA_ARRAY(a, int, (size_t)net->n_elements + (size_t)net->n_nodes + (size_t)net->van->n_items + 1);
    p->guide = ARENA_ARRAY(a, int, (size_t)n_watches + 1);
    p->values = ARENA_ARRAY(a, value_of, 2 * (size_t)n_watches + 1);
    p->main = ARENA_ARRAY(a, int, (size_t)n_watches + 1);
    p->current = ARENA_ARRAY(a, int, (size_t)n_watches + 1);
    p->coil = coils_of_items(a, net);
    for (int w = 0; w < n_watches; w++) {
        p->main[w] = value_number(&n, reading_of(watches[w].kind), watches[w].index);
        p->current[w] = is_magnitude(watches[w].kind) ? value_number(&n, READ_AVERAGE_A, watches[w].index) : -1;
        const int lamp = watches[w].kind == WATCH_LAMP_LIT ? only_lamp(net, watches[w].index) : -1;
        p->guide[w] = lamp >= 0 ? value_number(&n, READ_LAMP_V, lamp) : -1;
    }
    return p;
}

void probe_read(const probe *p, const operating_point *op, double *values)
{
    for (int k = 0; k < p->n_values; k++) {
        const int i = p->values[k].index;
        switch (p->values[k].how) {
        case READ_AVERAGE_A:
            values[k] = op->current_A[i];
            break;
        case READ_RMS_A:
            values[k] = op->rms_A[i];
            break;
        case READ_ITEM_V:
            values[k] = op->items[i].volts;
            break;
        case READ_ITEM_W:
            values[k] = op->items[i].watts;
            break;
        case READ_RUNS:
            values[k] = op->items[i].runs;
            break;
        case READ_LIT:
            values[k] = op->items[i].lamp_lit;
            break;
        case READ_LAMP_V:
            values[k] = op->items[p->net->elements[i].item].lamp_V;
            break;
        default:
            values[k] = op->node_V[i];
            break;
        }
    }
}

static int position_index(const probe *p, int of_item, const position *positions, const operating_point *op)
{
    if (of_item < 0) return 0;
    if (p->coil[of_item] < 0) return positions[of_item].index;
    const item *it = &p->net->van->items[of_item];
    if (op->items[of_item].is_pulled) return p->net->elements[p->coil[of_item]].moves;
    return it->n_positions > 0 ? it->positions[0].index : 0;
}

static double duty(const net_element *e, const position *positions)
{
    return e->is_dialled && e->item >= 0 ? positions[e->item].fraction : e->duty;
}

bool probe_is_closed(const probe *p, int element, const position *positions, const operating_point *op)
{
    const net_element *e = &p->net->elements[element];
    if (e->type == ELEMENT_CHOPPER) return duty(e, positions) >= (e->is_dialled ? 1 : 1e-12);
    return e->closed_in >> position_index(p, e->item, positions, op) & 1u;
}

bool probe_is_open(const probe *p, int element, const position *positions, const operating_point *op)
{
    const net_element *e = &p->net->elements[element];
    if (e->type == ELEMENT_CHOPPER) return duty(e, positions) <= 0;
    return !probe_is_closed(p, element, positions, op);
}

bool probe_meets(const probe *p, int w, const position *positions, const operating_point *op)
{
    const watch *x = &p->watches[w];
    for (int k = 0; k < x->n_open; k++)
        if (!probe_is_open(p, x->open[k], positions, op)) return false;
    for (int k = 0; k < x->n_closed; k++)
        if (!probe_is_closed(p, x->closed[k], positions, op)) return false;
    return true;
}

bool best_offer(best *b, int sign, double value, int n_away, uint64_t rank)
{
    const double tie = tie_of(value);
    if (isnan(value)) return false;
    if (b->is_met && sign * value < sign * b->top - tie) return false;
    const bool is_new_top = !b->is_met || sign * value > sign * b->top;
    const double top = is_new_top ? value : b->top;
    const bool is_behind = b->is_met && sign * b->value < sign * top - tie;
    const bool is_named = !b->is_met || is_behind || n_away < b->n_away || (n_away == b->n_away && rank < b->rank);
    b->top = top;
    b->is_met = true;
    if (!is_named) return false;
    b->value = value;
    b->n_away = n_away;
    b->rank = rank;
    return true;
}

bool best_merge(best *b, int sign, const best *later)
{
    if (!later->is_met) return false;
    const bool is_named = best_offer(b, sign, later->value, later->n_away, later->rank);
    if (sign * later->top > sign * b->top) b->top = later->top;
    return is_named;
}
