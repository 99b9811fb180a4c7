/* Which device ends a fault on each wire, and what a start adds to the current.
 *
 * A feed is ended by the protective device nearest upstream. One that lies before any, on the way to a device that all of
 * its current passes, burns in an overload that this device bears: so that one counts. A return bears what the feeds of
 * the loads behind it can push through it together: each circuit as much as its device lets through, and circuits that
 * hang off one device further up no more than that one does. */
#include "circuit/graph.h"
#include "study/parts.h"

#include <math.h>

/* The devices as trees: `parent` is the next one towards the source. */
typedef struct device_tree {
    const study *study;
    int *parent;     /* of each element; -1: none */
    int *last;       /* of each load: the device that its feed passes last; -1: none */
    double *lets_A;  /* scratch for one return: what the devices further down let through */
    bool *is_behind; /* scratch: a load behind the return hangs off this device itself */
    int *met;        /* scratch: devices on the way to those loads, each after all that lie behind it */
} device_tree;

static bool is_above(const device_tree *t, int device, int below)
{
    for (int d = below; d >= 0; d = t->parent[d])
        if (d == device) return true;
    return false;
}

static int protector_along(const study *s, const load_feed *f, int i)
{
    const wire_feed *wf = &s->feeds->wires[f->loop_wires[i]];
    return wf->side == SIDE_FEED ? wf->protector : -1;
}

#define FEEDING (TYPE_BIT(CONDUCTOR) | TYPE_BIT(CONTACT) | TYPE_BIT(DIODE) | TYPE_BIT(CHOPPER) | TYPE_BIT(FUSIBLE))

/* Without `above` no battery reaches the device: banks whose batteries have a device each do. */
static bool is_only_way(const study *s, int above, int device)
{
    const network *net = s->nets[SEASON_HARD];
    int *parent = ARENA_ARRAY(s->arena, int, net->n_nodes + 1);
    for (int i = 0; i < net->n_nodes; i++) parent[i] = i;
    for (int e = 0; e < net->n_elements; e++)
        if (e != above && e != device && FEEDING >> net->elements[e].type & 1u)
            graph_unite(parent, net->elements[e].a, net->elements[e].b);
    const int a = graph_root(parent, net->elements[device].a), b = graph_root(parent, net->elements[device].b);
    for (int e = 0; e < net->n_elements; e++) {
        if (net->elements[e].type != ELEMENT_EMF || !(net->elements[e].capacity_C > 0)) continue;
        const int from = graph_root(parent, net->elements[e].a);
        if (from == a || from == b) return false;
    }
    return true;
}

static device_tree tree_make(const study *s)
{
    const int n = s->nets[SEASON_HARD]->n_elements;
    device_tree t = {.study = s,
                     .parent = ARENA_ARRAY(s->arena, int, n + 1),
                     .last = ARENA_ARRAY(s->arena, int, s->n_loads + 1),
                     .lets_A = ARENA_ARRAY(s->arena, double, n + 1),
                     .is_behind = ARENA_ARRAY(s->arena, bool, n + 1),
                     .met = ARENA_ARRAY(s->arena, int, n + 1)};
    bool *is_placed = ARENA_ARRAY(s->arena, bool, n + 1);
    for (int e = 0; e < n; e++) t.parent[e] = -1;
    for (int l = 0; l < s->n_loads; l++) {
        int above = -1;
        for (int i = 0; i < s->loads[l].feed->n_loop_wires; i++) {
            const int device = protector_along(s, s->loads[l].feed, i);
            if (device < 0 || device == above) continue;
            if (above >= 0 && !is_placed[device] && !is_above(&t, device, above) && is_only_way(s, above, device))
                t.parent[device] = above;
            is_placed[device] = true;
            above = device;
        }
        t.last[l] = above;
    }
    return t;
}

static int protector_in_series(const study *s, int w)
{
    for (int e = s->series[w]; e >= 0; e = s->series_next[e])
        if (s->nets[SEASON_HARD]->elements[e].type == ELEMENT_FUSIBLE) return e;
    return -1;
}

static bool is_return(const study *s, int w)
{
    const wire_side side = s->feeds->wires[w].side;
    return side == SIDE_RETURN || side == SIDE_CHOPPED;
}

static bool returns_through(const load_feed *f, int w)
{
    for (int i = 0; i < f->n_loop_wires; i++)
        if (f->loop_wires[i] == w) return true;
    return false;
}

static int depth_of(const device_tree *t, int device)
{
    int depth = 0;
    for (int d = t->parent[device]; d >= 0; d = t->parent[d]) depth++;
    return depth;
}

/* The devices on the way to the loads behind a return, deepest first; marks those that a load hangs off itself. */
static int devices_behind(const device_tree *t, int w)
{
    const study *s = t->study;
    int n = 0;
    for (int l = 0; l < s->n_loads; l++) {
        if (t->last[l] < 0 || t->is_behind[t->last[l]] || !returns_through(s->loads[l].feed, w)) continue;
        t->is_behind[t->last[l]] = true;
        for (int d = t->last[l]; d >= 0; d = t->parent[d]) {
            int at = 0;
            while (at < n && t->met[at] != d) at++;
            if (at < n) break;
            const int depth = depth_of(t, d);
            for (at = n++; at > 0 && depth_of(t, t->met[at - 1]) < depth; at--) t->met[at] = t->met[at - 1];
            t->met[at] = d;
        }
    }
    return n;
}

static void return_assign(study *s, const device_tree *t, int w)
{
    const net_element *elements = s->nets[SEASON_HARD]->elements;
    wire_study *ws = &s->wires[w];
    const int n = devices_behind(t, w);
    double most_A = 0;
    for (int i = 0; i < n; i++) {
        const int d = t->met[i];
        const double rating_A = elements[d].rating_A;
        const bool limits = t->is_behind[d] || (rating_A > 0 && rating_A <= t->lets_A[d]);
        const double passes_A = limits ? rating_A : t->lets_A[d];
        ws->n_circuits += t->is_behind[d];
        if (t->parent[d] >= 0)
            t->lets_A[t->parent[d]] += passes_A;
        else
            ws->protector_A += passes_A;
        if (limits && passes_A >= most_A) {
            most_A = passes_A;
            ws->protector = d;
        }
    }
    for (int i = 0; i < n; i++) {
        t->lets_A[t->met[i]] = 0;
        t->is_behind[t->met[i]] = false;
    }
}

void protectors_assign(study *s)
{
    const net_element *elements = s->nets[SEASON_HARD]->elements;
    for (int w = 0; w < s->van->n_wires; w++) {
        s->wires[w].protector = -1;
        if (s->feeds->wires[w].side != SIDE_RETURN && s->feeds->wires[w].side != SIDE_CHOPPED)
            s->wires[w].protector = s->feeds->wires[w].protector;
        if (s->wires[w].protector < 0 && s->feeds->wires[w].side == SIDE_FEED)
            s->wires[w].protector = protector_in_series(s, w);
    }
    for (int w = 0; w < s->van->n_wires; w++)
        s->wires[w].protector_A = s->wires[w].protector < 0 ? 0 : elements[s->wires[w].protector].rating_A;
    const device_tree t = tree_make(s);
    for (int w = 0; w < s->van->n_wires; w++)
        if (is_return(s, w)) return_assign(s, &t, w);
}

/* What the start of a load adds to its running current. */
static double start_adds_A(const study *s, const load_feed *f)
{
    const net_element *el = &s->nets[SEASON_HARD]->elements[f->element];
    if (!(el->peak_A > 0)) return 0;
    double runs_A = el->current_A;
    if (el->power_W > 0) runs_A = el->power_W / s->nominal_V;
    if (el->load_ohm > 0) runs_A = s->nominal_V / el->load_ohm;
    return fmax(0, el->peak_A - runs_A);
}

void peaks_add(study *s)
{
    for (int w = 0; w < s->van->n_wires; w++) {
        s->wires[w].peak_A = s->wires[w].worst_A;
        s->wires[w].peak_item = -1;
    }
    const int n_elements = s->nets[SEASON_HARD]->n_elements;
    s->element_peak_A = ARENA_ARRAY(s->arena, double, n_elements);
    s->element_peak_item = ARENA_ARRAY(s->arena, int, n_elements);
    for (int e = 0; e < n_elements; e++) {
        s->element_peak_A[e] = s->element_A[e];
        s->element_peak_item[e] = -1;
    }
    for (int i = 0; i < s->n_loads; i++) {
        const load_feed *f = s->loads[i].feed;
        const double adds_A = start_adds_A(s, f);
        for (int j = 0; adds_A > 0 && j < f->n_loop_wires; j++) {
            wire_study *ws = &s->wires[f->loop_wires[j]];
            if (ws->worst_A + adds_A > ws->peak_A) {
                ws->peak_A = ws->worst_A + adds_A;
                ws->peak_item = f->item;
            }
            const wire_feed *wf = &s->feeds->wires[f->loop_wires[j]];
            const int e = wf->side == SIDE_FEED ? wf->protector : -1;
            if (e < 0 || s->element_A[e] + adds_A <= s->element_peak_A[e]) continue;
            s->element_peak_A[e] = s->element_A[e] + adds_A;
            s->element_peak_item[e] = f->item;
        }
    }
}
