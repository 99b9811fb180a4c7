/* `loomwall meter`: what a voltmeter and an ammeter would read with every switch standing as told. */
#include "study/study.h"

#include <math.h>

/* Wires of size auto are absent from a network that is not told their size. */
static const conductor_size *chosen_sizes(arena *a, const van *v)
{
    bool is_any_auto = false;
    for (int w = 0; w < v->n_wires; w++) is_any_auto = is_any_auto || v->wires[w].size.series == SIZE_UNSET;
    if (!is_any_auto) return NULL;
    const study *s = study_run(a, v, NULL);
    conductor_size *sizes = ARENA_ARRAY(a, conductor_size, v->n_wires);
    for (int w = 0; w < v->n_wires; w++) sizes[w] = s->wires[w].size;
    return sizes;
}

meter_reading *study_meter(arena *a, const van *v, const position *positions, const conditions *c,
                           int reference_terminal)
{
    conditions with_sizes = c ? *c : conditions_meter();
    if (!with_sizes.sizes) with_sizes.sizes = chosen_sizes(a, v);
    network *net = network_build(a, v, &with_sizes);
    if (reference_terminal >= 0) net->reference = reference_terminal;
    meter_reading *m = ARENA_NEW(a, meter_reading);
    m->net = net;
    op_plan *plan = op_plan_create(a, net);
    op_solve(plan, positions ? positions : positions_rest(v, a), false);
    m->op = op_check(plan);
    m->reference = net->reference;
    return m;
}

double meter_lowest_V(const meter_reading *m)
{
    double lowest_V = NAN;
    for (int k = 0; k < m->net->n_elements; k++) {
        const net_element *e = &m->net->elements[k];
        if (e->type == ELEMENT_EMF) lowest_V = fmin(lowest_V, m->op->node_V[e->b]);
    }
    return lowest_V;
}
