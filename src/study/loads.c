/* What each load gets: its source, what it needs, what the wiring loses on the way, and in which wire. */
#include "study/parts.h"

#include <math.h>
#include <string.h>

/* The two nodes between which an item gives a voltage, and the voltage that it is called by. */
static bool source_nodes(const network *net, int i, int *pos, int *neg, double *nominal_V)
{
    for (int e = net->first_element[i]; e < net->first_element[i + 1]; e++) {
        const net_element *el = &net->elements[e];
        const bool is_transfer = el->type == ELEMENT_TRANSFER;
        if (!is_transfer && el->type != ELEMENT_EMF) continue;
        const double given_V = item_number(net->van, i, "voltage", 0);
        *pos = is_transfer ? el->to_a : el->a;
        *neg = is_transfer ? el->to_b : el->b;
        *nominal_V = given_V > 0 ? given_V : el->voltage_V;
        if (is_transfer || el->capacity_C > 0) return true;
    }
    return false;
}

/* Of batteries in series: the sum over those that feed the load. */
static bool is_in_series(const load_feed *f) { return f->top != f->bottom; }

static double series_nominal_V(const network *net, const load_feed *f)
{
    double sum_V = net->elements[f->bottom].nominal_V;
    for (int e = f->top; e != f->bottom; e = net->below[e]) sum_V += net->elements[e].nominal_V;
    return sum_V;
}

static double battery_V(const network *net, int e, const operating_point *op)
{
    return op->node_V[net->elements[e].a] - op->node_V[net->elements[e].b];
}

static double series_V(const network *net, const load_feed *f, const operating_point *op)
{
    double sum_V = battery_V(net, f->bottom, op);
    for (int e = f->top; e != f->bottom; e = net->below[e]) sum_V += battery_V(net, e, op);
    return sum_V;
}

static int source_of(const study *s, const load_feed *f)
{
    int found = -1;
    for (int i = 0; i < f->n_loop_wires; i++) {
        const int giver = s->feeds->wires[f->loop_wires[i]].source;
        if (giver < 0) continue;
        if (found < 0) found = giver;
        if (item_kind(s->van, giver)->role == ROLE_BATTERY) return giver;
    }
    return found;
}

static int first_battery(const van *v)
{
    for (int i = 0; i < v->n_items; i++)
        if (item_kind(v, i)->role == ROLE_BATTERY) return i;
    return -1;
}

void loads_prepare(study *s)
{
    const network *net = s->nets[SEASON_HARD];
    if (s->nominal_V > 0) s->nominal_V = net->nominal_V;
    for (int i = 0; i < s->n_loads; i++) {
        load_study *l = &s->loads[i];
        const load_feed *f = &s->feeds->loads[i];
        *l = (load_study){.feed = f, .source = source_of(s, f), .worst_wire = -1, .off_V = NAN, .worst_V = NAN};
        if (l->source < 0) l->source = first_battery(s->van);
        l->is_main = network_main_element(net, f->item) == f->element;
        const item *it = &s->van->items[f->item];
        l->is_critical = it->is_critical || item_kind(s->van, f->item)->is_critical;
        int pos, neg;
        if (l->source < 0 || !source_nodes(net, l->source, &pos, &neg, &l->nominal_V)) l->nominal_V = s->nominal_V;
        if (is_in_series(f)) l->nominal_V = series_nominal_V(net, f);
        const setting *needs = item_setting(s->van, f->item, "needs");
        l->is_needs_given = needs && needs->number > 0 && !needs->is_auto;
        l->needs_V = l->is_needs_given ? needs->number : limit_of(s->van->practice, "load-needs")->value * l->nominal_V;
        const setting *at = item_setting(s->van, f->item, "at");
        /* One whose least voltage is given is made for about a sixth more: 10.2 V for one of 12 V. */
        l->made_for_V = at && at->number > 0 ? at->number
                        : l->is_needs_given  ? l->needs_V / limit_of(s->van->practice, "load-needs")->value
                                             : 0;
    }
}

double study_drop_limit(const study *s, const load_study *l)
{
    return limit_of(s->van->practice, l->is_critical ? "drop-critical" : "drop-other")->value;
}

static void measure(study *s, load_study *l, const operating_point *op)
{
    const network *net = s->nets[SEASON_HARD];
    if (op->outcome != OUTCOME_SOLVED) return;
    l->runs_at_worst = op->items[l->feed->item].runs;
    int pos, neg;
    double nominal_V;
    if (l->source < 0 || !source_nodes(net, l->source, &pos, &neg, &nominal_V)) return;
    const double given_V = is_in_series(l->feed) ? series_V(net, l->feed, op) : op->node_V[pos] - op->node_V[neg];
    l->drop = (given_V - op->items[l->feed->item].volts) / l->nominal_V;
    for (int i = 0; i < l->feed->n_loop_wires; i++) {
        const int w = l->feed->loop_wires[i];
        const double lost_V = fabs(op->node_V[s->van->wires[w].from] - op->node_V[s->van->wires[w].to]);
        l->wire_V[i] = lost_V;
        if (l->worst_wire >= 0 && !(lost_V > l->worst_wire_V)) continue;
        l->worst_wire = w;
        l->worst_wire_V = lost_V;
    }
}

/* Loads whose worst positions are the same share one operating point. */
void loads_measure(study *s)
{
    op_plan *plan = op_plan_create(s->arena, s->nets[SEASON_HARD]);
    for (int i = 0; i < s->n_loads; i++) {
        s->loads[i].worst_wire = -1;
        s->loads[i].drop = NAN;
        if (!s->loads[i].wire_V) s->loads[i].wire_V = ARENA_ARRAY(s->arena, double, s->loads[i].feed->n_loop_wires + 1);
    }
    for (int i = 0; i < s->n_loads; i++) {
        const position *at = s->loads[i].worst_at;
        if (!at || s->loads[i].worst_wire >= 0 || !isnan(s->loads[i].drop)) continue;
        const operating_point *op = op_solve(plan, at, i > 0);
        for (int j = i; j < s->n_loads; j++)
            if (s->loads[j].worst_at == at) measure(s, &s->loads[j], op);
    }
}

/* Does a load that should be off run? Asked only where it has a voltage at all. */
void loads_off_measure(study *s)
{
    const double off_V = limit_of(s->van->practice, "off-voltage")->value * s->nominal_V;
    op_plan *plan = NULL;
    for (int i = 0; i < s->n_loads; i++) {
        load_study *l = &s->loads[i];
        l->most_V = s->items[l->feed->item].most_V;
        if (!l->off_at || !(l->off_V > off_V)) continue;
        if (!plan) plan = op_plan_create(s->arena, s->nets[SEASON_FULL]);
        const operating_point *op = op_solve(plan, l->off_at, false);
        l->off_runs = op->items[l->feed->item].runs;
        l->off_lit = op->items[l->feed->item].lamp_lit;
    }
}
