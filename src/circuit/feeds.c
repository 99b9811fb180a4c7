/* Who feeds what: what must a fuse protect, how far is it from the battery, which switch is whose.
 *
 * Current flows from a source's positive through wiring to a load and back through wiring to the source's negative. So
 * the wiring falls apart at the loads into a feed side and a return side, and every question here is one of reaching:
 * regions of what is joined without passing one type of element (graph.h), and shortest paths. */
#include "circuit/feeds.h"

#include "circuit/graph.h"
#include <math.h>
#include <string.h>

#define WIRING (TYPE_BIT(CONDUCTOR) | TYPE_BIT(FUSIBLE))

typedef struct tracing {
    arena *a;
    const network *net;
    const graph *g;
    bool *is_positive, *is_negative, *is_terminal_of_source; /* nodes: posts of sources that are not mains */
    int *source_item;                                        /* of a positive node, a battery first; -1 */
    unsigned char *side;                                     /* of nodes: a wire_side; never BOND */
    int *queue;
    feeds *f;
} tracing;

static role role_of(const network *net, int item) { return item < 0 ? ROLE_OTHER : item_kind(net->van, item)->role; }

static bool is_mains_source(const network *net, const net_element *e)
{
    return e->type == ELEMENT_TRANSFER && role_of(net, e->item) == ROLE_INVERTER;
}

static bool is_battery(const network *net, int item) { return role_of(net, item) == ROLE_BATTERY; }

static const char *terminal_word(const van *v, int node)
{
    const terminal *t = &v->terminals[node];
    return item_kind(v, t->item)->terminals[t->template_index].name;
}

static bool is_earth(const network *net, int node)
{
    const van *v = net->van;
    if (node >= v->n_terminals) return false;
    return role_of(net, v->terminals[node].item) == ROLE_CHASSIS || strcmp(terminal_word(v, node), "earth") == 0;
}

/* ---- sources ---- */

static void note_source(tracing *t, int positive, int negative, int item)
{
    t->is_positive[positive] = t->is_negative[negative] = true;
    t->is_terminal_of_source[positive] = t->is_terminal_of_source[negative] = true;
    if (t->source_item[positive] < 0 || (is_battery(t->net, item) && !is_battery(t->net, t->source_item[positive])))
        t->source_item[positive] = item;
}

static bool is_source(const network *net, const net_element *e)
{
    return e->type == ELEMENT_EMF || (e->type == ELEMENT_TRANSFER && !is_mains_source(net, e));
}

static void find_sources(tracing *t)
{
    for (int i = 0; i < t->net->n_nodes; i++) t->source_item[i] = -1;
    for (int k = 0; k < t->net->n_elements; k++) {
        const net_element *e = &t->net->elements[k];
        if (e->type == ELEMENT_EMF) note_source(t, e->a, e->b, e->item);
        if (e->type == ELEMENT_TRANSFER && !is_mains_source(t->net, e)) note_source(t, e->to_a, e->to_b, e->item);
    }
}

/* ---- sides ---- */

/* Spreads `side` from the nodes that have it over elements of the types in `through`, into nodes of no side. */
static void spread(tracing *t, unsigned through, bool stops_at_earth)
{
    int head = 0, tail = 0;
    for (int i = 0; i < t->net->n_nodes; i++)
        if (t->side[i]) t->queue[tail++] = i;
    while (head < tail) {
        const int at = t->queue[head++];
        for (int k = t->g->first[at]; k < t->g->first[at + 1]; k++) {
            const int e = t->g->edge_element[k], next = t->g->edge_node[k];
            if (t->side[next] || !(through >> t->net->elements[e].type & 1u)) continue;
            if (stops_at_earth && is_earth(t->net, next)) continue;
            t->side[next] = t->side[at];
            t->queue[tail++] = next;
        }
    }
}

/* Positives first, so that what both posts reach counts as feed: the cautious reading. Contacts are passed only after
 * all solid wiring has its side. */
static void find_sides(tracing *t)
{
    const network *net = t->net;
    for (int i = 0; i < net->n_nodes; i++)
        if (t->is_positive[i]) t->side[i] = SIDE_FEED;
    spread(t, WIRING, false);
    for (int i = 0; i < net->n_nodes; i++)
        if (t->is_negative[i] && !t->side[i]) t->side[i] = SIDE_RETURN;
    spread(t, WIRING, false);
    spread(t, WIRING | TYPE_BIT(CONTACT) | TYPE_BIT(DIODE), false);
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (e->type != ELEMENT_CHOPPER || !t->side[e->a] == !t->side[e->b]) continue;
        const int known = t->side[e->a] ? e->a : e->b, other = known == e->a ? e->b : e->a;
        t->side[other] = t->side[known] == SIDE_RETURN ? SIDE_CHOPPED : t->side[known];
    }
    spread(t, WIRING | TYPE_BIT(CONTACT) | TYPE_BIT(DIODE), false);
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (!is_mains_source(net, e)) continue;
        if (!t->side[e->to_a]) t->side[e->to_a] = SIDE_MAINS;
        if (!t->side[e->to_b]) t->side[e->to_b] = SIDE_MAINS;
    }
    spread(t, WIRING | TYPE_BIT(CONTACT), true);
}

/* Wires that lead from returns only to the chassis or an earth terminal. Dead ends are pruned from the graph of wiring;
 * what was pruned beyond such a terminal carries no current. */
static void find_bonds(tracing *t)
{
    const network *net = t->net;
    int *degree = ARENA_ARRAY(t->a, int, (size_t)net->n_nodes + 1);
    bool *is_loaded = ARENA_ARRAY(t->a, bool, (size_t)net->n_nodes + 1),
         *has_earth = ARENA_ARRAY(t->a, bool, (size_t)net->n_nodes + 1);
    bool *is_pruned = ARENA_ARRAY(t->a, bool, (size_t)net->n_nodes + 1);
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (WIRING >> e->type & 1u) continue;
        is_loaded[e->a] = is_loaded[e->b] = true;
        if (e->type == ELEMENT_TRANSFER) is_loaded[e->to_a] = is_loaded[e->to_b] = true;
    }
    int head = 0, tail = 0;
    for (int i = 0; i < net->n_nodes; i++) {
        has_earth[i] = is_earth(net, i);
        for (int k = t->g->first[i]; k < t->g->first[i + 1]; k++) {
            const int e = t->g->edge_element[k];
            degree[i] += (int)(WIRING >> net->elements[e].type & 1u);
        }
        if (degree[i] == 1 && !is_loaded[i]) t->queue[tail++] = i;
    }
    while (head < tail) {
        const int at = t->queue[head++];
        is_pruned[at] = true;
        for (int k = t->g->first[at]; k < t->g->first[at + 1]; k++) {
            const int e = t->g->edge_element[k], next = t->g->edge_node[k];
            if (is_pruned[next] || !(WIRING >> net->elements[e].type & 1u)) continue;
            has_earth[next] = has_earth[next] || has_earth[at];
            if (e < net->van->n_wires && has_earth[at] && t->side[at] != SIDE_FEED) t->f->wires[e].side = SIDE_BOND;
            if (--degree[next] == 1 && !is_loaded[next]) t->queue[tail++] = next;
        }
    }
}

static void wire_sides(tracing *t)
{
    const van *v = t->net->van;
    find_bonds(t);
    for (int w = 0; w < v->n_wires; w++) {
        wire_feed *wf = &t->f->wires[w];
        const int from = v->wires[w].from, to = v->wires[w].to;
        if (wf->side == SIDE_BOND) continue;
        if (t->side[from])
            wf->side = (wire_side)t->side[from];
        else
            wf->side = (wire_side)t->side[to];
        if (!t->side[from] && (is_earth(t->net, from) || is_earth(t->net, to))) wf->side = SIDE_BOND;
    }
}

/* ---- protection ---- */

static double wire_length_m(const network *net, int element)
{
    return element >= 0 && element < net->van->n_wires ? net->van->wires[element].length_m : 0;
}

typedef struct paths {
    double *length_m; /* of nodes; INFINITY: not reached */
    int *edge;        /* element that led to the node, -1 for starts */
    int *before;      /* node before it, -1 for starts */
    bool *is_done;
    int *heap, *place; /* nodes by length, and where a node stands in the heap (-1: not in it) */
    int n_heap;
} paths;

static paths paths_make(arena *a, const network *net)
{
    const size_t n = (size_t)net->n_nodes + 1;
    return (paths){.length_m = ARENA_ARRAY(a, double, n),
                   .edge = ARENA_ARRAY(a, int, n),
                   .before = ARENA_ARRAY(a, int, n),
                   .is_done = ARENA_ARRAY(a, bool, n),
                   .heap = ARENA_ARRAY(a, int, n),
                   .place = ARENA_ARRAY(a, int, n)};
}

static void paths_clear(paths *p, int n_nodes)
{
    p->n_heap = 0;
    for (int i = 0; i < n_nodes; i++) {
        p->length_m[i] = INFINITY;
        p->edge[i] = p->before[i] = p->place[i] = -1;
        p->is_done[i] = false;
    }
}

static void heap_put(paths *p, int at, int node)
{
    p->heap[at] = node;
    p->place[node] = at;
}

static void heap_rise(paths *p, int at, int node)
{
    while (at > 0 && p->length_m[p->heap[(at - 1) / 2]] > p->length_m[node]) {
        heap_put(p, at, p->heap[(at - 1) / 2]);
        at = (at - 1) / 2;
    }
    heap_put(p, at, node);
}

static int heap_take(paths *p)
{
    const int top = p->heap[0], last = p->heap[--p->n_heap];
    int at = 0;
    if (p->n_heap == 0) return top;
    for (int child = 1; child < p->n_heap; child = 2 * at + 1) {
        if (child + 1 < p->n_heap && p->length_m[p->heap[child + 1]] < p->length_m[p->heap[child]]) child++;
        if (p->length_m[p->heap[child]] >= p->length_m[last]) break;
        heap_put(p, at, p->heap[child]);
        at = child;
    }
    heap_put(p, at, last);
    return top;
}

static void paths_offer(paths *p, int node, double length_m, int edge, int before)
{
    if (p->is_done[node] || length_m >= p->length_m[node]) return;
    p->length_m[node] = length_m;
    p->edge[node] = edge;
    p->before[node] = before;
    heap_rise(p, p->place[node] < 0 ? p->n_heap++ : p->place[node], node);
}

/* Shortest conductor lengths from what was offered, through the types in `through`, never through element `barred`. */
static void paths_run(paths *p, const tracing *t, unsigned through, int barred)
{
    while (p->n_heap) {
        const int at = heap_take(p);
        p->is_done[at] = true;
        for (int k = t->g->first[at]; k < t->g->first[at + 1]; k++) {
            const int e = t->g->edge_element[k];
            if (e == barred || !(through >> t->net->elements[e].type & 1u)) continue;
            paths_offer(p, t->g->edge_node[k], p->length_m[at] + wire_length_m(t->net, e), e, at);
        }
    }
}

static bool is_path_sheathed(const paths *p, const network *net, int node)
{
    for (; p->before[node] >= 0; node = p->before[node]) {
        const int e = p->edge[node];
        if (e >= 0 && e < net->van->n_wires && !net->van->wires[e].is_sheathed) return false;
    }
    return true;
}

#define UNPROTECTED (TYPE_BIT(CONDUCTOR) | TYPE_BIT(CONTACT) | TYPE_BIT(DIODE) | TYPE_BIT(CHOPPER))

/* From its far end on to the nearest protective device, not back through the wire. */
static void measure_stretch(const tracing *t, paths *p, const paths *from_source, const bool *is_device, int w,
                            int near, int far)
{
    const network *net = t->net;
    wire_feed *wf = &t->f->wires[w];
    const double so_far_m = from_source->length_m[near] + wire_length_m(net, w);
    wf->is_sheathed_all_way = net->van->wires[w].is_sheathed && is_path_sheathed(from_source, net, near);
    wf->to_protector_m = INFINITY;
    paths_clear(p, net->n_nodes);
    paths_offer(p, far, so_far_m, -1, -1);
    p->is_done[near] = true;
    paths_run(p, t, UNPROTECTED, w);
    int end = -1;
    for (int i = 0; i < net->n_nodes; i++)
        if (is_device[i] && i != near && p->length_m[i] < wf->to_protector_m) {
            wf->to_protector_m = p->length_m[i];
            end = i;
        }
    if (end >= 0) wf->is_sheathed_all_way = wf->is_sheathed_all_way && is_path_sheathed(p, net, end);
}

/* Wires that a source reaches without passing a protective device. Batteries are looked at before chargers. */
static void find_unprotected(tracing *t, bool of_batteries)
{
    const network *net = t->net;
    paths from = paths_make(t->a, net), on = paths_make(t->a, net);
    bool *is_device = ARENA_ARRAY(t->a, bool, (size_t)net->n_nodes + 1);
    for (int k = 0; k < net->n_elements; k++)
        if (net->elements[k].type == ELEMENT_FUSIBLE)
            is_device[net->elements[k].a] = is_device[net->elements[k].b] = true;
    paths_clear(&from, net->n_nodes);
    for (int i = 0; i < net->n_nodes; i++)
        if (t->is_positive[i] && is_battery(net, t->source_item[i]) == of_batteries) paths_offer(&from, i, 0, -1, -1);
    paths_run(&from, t, UNPROTECTED, -1);
    for (int w = 0; w < net->van->n_wires; w++) {
        wire_feed *wf = &t->f->wires[w];
        const int a = net->van->wires[w].from, b = net->van->wires[w].to;
        if (wf->side != SIDE_FEED || wf->is_before_protector) continue;
        if (isinf(from.length_m[a]) && isinf(from.length_m[b])) continue;
        int near = from.length_m[a] <= from.length_m[b] ? a : b;
        if (from.edge[a] == w) near = b;
        if (from.edge[b] == w) near = a;
        int start = near;
        while (from.before[start] >= 0) start = from.before[start];
        wf->is_before_protector = true;
        wf->source = t->source_item[start];
        measure_stretch(t, &on, &from, is_device, w, near, near == a ? b : a);
    }
}

/* The largest of the devices upstream of each region, where a battery is not in the region itself. */
static void find_protectors(tracing *t)
{
    const network *net = t->net;
    bool *battery = ARENA_ARRAY(t->a, bool, (size_t)net->n_nodes + 1);
    bool has_battery = false;
    for (int i = 0; i < net->n_nodes; i++)
        has_battery |= battery[i] = t->is_positive[i] && is_battery(net, t->source_item[i]);
    regions *r = regions_find(t->a, net, t->g, UNPROTECTED, ELEMENT_FUSIBLE, has_battery ? battery : t->is_positive);
    int *best = ARENA_ARRAY(t->a, int, (size_t)r->n + 1);
    int *gates = ARENA_ARRAY(t->a, int, (size_t)r->first[r->n] + 1);
    for (int i = 0; i < r->n; i++) {
        best[i] = -1;
        if (r->has_source[i]) continue;
        const int n = regions_upstream(r, i, gates);
        for (int k = 0; k < n; k++)
            if (best[i] < 0 || net->elements[gates[k]].rating_A > net->elements[best[i]].rating_A) best[i] = gates[k];
    }
    for (int w = 0; w < net->van->n_wires; w++) {
        wire_feed *wf = &t->f->wires[w];
        if (wf->side != SIDE_FEED) continue;
        wf->protector = best[r->of_node[net->van->wires[w].from]];
        if (wf->protector >= 0) wf->protector_A = net->elements[wf->protector].rating_A;
    }
}

/* The device that ends a fault of a string: the largest one that hangs on its positive end. -1 where there is none, or
 * where a wire leaves that end without any. */
static int protector_of_string(const tracing *t, const regions *r, int top)
{
    const network *net = t->net;
    const int region = r->of_node[net->elements[top].a];
    for (int w = 0; w < net->van->n_wires; w++)
        if (r->of_node[net->van->wires[w].from] == region && t->f->wires[w].is_before_protector &&
            isinf(t->f->wires[w].to_protector_m))
            return -1;
    int best = -1;
    for (int k = r->first[region]; k < r->first[region + 1]; k++)
        if (best < 0 || net->elements[r->gate[k]].rating_A > net->elements[best].rating_A) best = r->gate[k];
    return best;
}

/* A link between batteries in series carries what the ends of their string carry, and lies behind its device. */
static void protect_links(tracing *t)
{
    const network *net = t->net;
    const regions *r = NULL;
    for (int k = 0; k < net->n_elements; k++) {
        const int node = net->elements[k].b;
        if (net->below[k] < 0 || !net->is_in_link[node]) continue;
        if (!r) r = regions_find(t->a, net, t->g, UNPROTECTED, ELEMENT_FUSIBLE, t->is_positive);
        int top = k;
        while (net->above[top] >= 0) top = net->above[top];
        const int protector = protector_of_string(t, r, top);
        for (int w = 0; protector >= 0 && w < net->van->n_wires; w++) {
            wire_feed *wf = &t->f->wires[w];
            if (r->of_node[net->van->wires[w].from] != r->of_node[node] || wf->side != SIDE_FEED) continue;
            wf->is_before_protector = false;
            wf->to_protector_m = 0;
            wf->protector = protector;
            wf->protector_A = net->elements[protector].rating_A;
        }
    }
}

#define FEEDING (WIRING | TYPE_BIT(CONTACT) | TYPE_BIT(DIODE) | TYPE_BIT(CHOPPER))

/* The nearest source by number of elements, for wires that are protected from all. */
static void find_nearest_sources(tracing *t)
{
    const network *net = t->net;
    int *item = ARENA_ARRAY(t->a, int, (size_t)net->n_nodes + 1);
    int head = 0, tail = 0;
    for (int i = 0; i < net->n_nodes; i++) {
        item[i] = t->source_item[i];
        if (item[i] >= 0) t->queue[tail++] = i;
    }
    while (head < tail) {
        const int at = t->queue[head++];
        for (int k = t->g->first[at]; k < t->g->first[at + 1]; k++) {
            const int e = t->g->edge_element[k], next = t->g->edge_node[k];
            if (item[next] >= 0 || !(FEEDING >> net->elements[e].type & 1u)) continue;
            item[next] = item[at];
            t->queue[tail++] = next;
        }
    }
    for (int w = 0; w < net->van->n_wires; w++)
        if (t->f->wires[w].side == SIDE_FEED && t->f->wires[w].source < 0)
            t->f->wires[w].source = item[net->van->wires[w].from];
}

/* ---- fed from both ends ---- */

static int *subtree_order(tracing *t, const bool *is_open, int *parent_edge, int *parent, int *low, int *seen)
{
    const network *net = t->net;
    int *order = ARENA_ARRAY(t->a, int, (size_t)net->n_nodes + 1),
        *next = ARENA_ARRAY(t->a, int, (size_t)net->n_nodes + 1);
    int n = 0;
    for (int i = 0; i < net->n_nodes; i++) {
        next[i] = t->g->first[i];
        seen[i] = -1;
    }
    for (int root = 0; root < net->n_nodes; root++) {
        if (seen[root] >= 0) continue;
        int at = root;
        parent[root] = parent_edge[root] = -1;
        seen[root] = low[root] = n;
        order[n++] = root;
        while (at >= 0) {
            if (next[at] == t->g->first[at + 1]) {
                if (parent[at] >= 0 && low[at] < low[parent[at]]) low[parent[at]] = low[at];
                at = parent[at];
                continue;
            }
            const int k = next[at]++, e = t->g->edge_element[k], to = t->g->edge_node[k];
            if (!(FEEDING >> net->elements[e].type & 1u) || is_open[e] || e == parent_edge[at]) continue;
            if (seen[to] >= 0) {
                if (seen[to] < low[at]) low[at] = seen[to];
                continue;
            }
            parent[to] = at;
            parent_edge[to] = e;
            seen[to] = low[to] = n;
            order[n++] = to;
            at = to;
        }
    }
    return order;
}

/* A wire in a ring, or one with a source on either side (Tarjan's bridges), with the contacts as `is_open` says. */
static void find_both_ends_fed(tracing *t, const bool *is_open)
{
    const network *net = t->net;
    const size_t n = (size_t)net->n_nodes + 1;
    int *parent_edge = ARENA_ARRAY(t->a, int, n), *parent = ARENA_ARRAY(t->a, int, n), *low = ARENA_ARRAY(t->a, int, n),
        *seen = ARENA_ARRAY(t->a, int, n), *below = ARENA_ARRAY(t->a, int, n), *all = ARENA_ARRAY(t->a, int, n);
    const int *order = subtree_order(t, is_open, parent_edge, parent, low, seen);
    for (int k = net->n_nodes - 1; k >= 0; k--) {
        const int at = order[k];
        below[at] += t->is_positive[at];
        if (parent[at] >= 0) below[parent[at]] += below[at];
    }
    for (int k = 0; k < net->n_nodes; k++)
        all[order[k]] = parent[order[k]] < 0 ? below[order[k]] : all[parent[order[k]]];
    for (int w = 0; w < net->van->n_wires; w++) {
        wire_feed *wf = &t->f->wires[w];
        const int a = net->van->wires[w].from, b = net->van->wires[w].to;
        if (wf->side != SIDE_FEED || a == b || all[a] == 0) continue;
        const int child = parent_edge[a] == w ? a : parent_edge[b] == w ? b : -1;
        const bool is_bridge = child >= 0 && low[child] == seen[child];
        if (!is_bridge || (below[child] > 0 && below[child] < all[child])) wf->is_both_ends_fed = true;
    }
}

/* Contacts that exclude each other (a changeover's) are never taken as closed together: every item stands in its first
 * position, then in its second, and so on. Items with one contact are closed throughout. */
static void find_all_both_ends_fed(tracing *t)
{
    const network *net = t->net;
    bool *is_open = ARENA_ARRAY(t->a, bool, (size_t)net->n_elements + 1);
    uint32_t *common = ARENA_ARRAY(t->a, uint32_t, (size_t)net->van->n_items + 1);
    for (int i = 0; i < net->van->n_items; i++) common[i] = UINT32_MAX;
    int most = 1;
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (e->type == ELEMENT_CONTACT && e->item >= 0) common[e->item] &= e->closed_in;
    }
    for (int i = 0; i < net->van->n_items; i++)
        if (common[i] == 0 && item_kind(net->van, i)->n_positions > most) most = item_kind(net->van, i)->n_positions;
    for (int p = 0; p < most; p++) {
        for (int k = 0; k < net->n_elements; k++) {
            const net_element *e = &net->elements[k];
            is_open[k] =
                e->type == ELEMENT_CONTACT && e->item >= 0 && common[e->item] == 0 && !(e->closed_in >> p & 1u);
        }
        find_both_ends_fed(t, is_open);
    }
}

/* ---- loads ---- */

static int *gates_of_load(tracing *t, regions *r, const net_element *e, int *n)
{
    int *gates = ARENA_ARRAY(t->a, int, (size_t)(r->first[r->n] + 1) * 2);
    const int ends[2] = {r->of_node[e->a], r->of_node[e->b]};
    *n = 0;
    for (int i = 0; i < 2 && (i == 0 || ends[1] != ends[0]); i++)
        if (!r->has_source[ends[i]]) *n += regions_upstream(r, ends[i], gates + *n);
    int n_kept = 0;
    for (int i = 0; i < *n; i++) {
        bool is_double = false;
        for (int j = 0; j < n_kept; j++) is_double |= gates[j] == gates[i];
        if (!is_double) gates[n_kept++] = gates[i];
    }
    *n = n_kept;
    return gates;
}

typedef struct tree {
    int *edge, *before, *far;
} tree;

/* Shortest paths by number of elements from all nodes of `is_start`. */
static tree breadth_first(tracing *t, const bool *is_start)
{
    const network *net = t->net;
    const size_t n = (size_t)net->n_nodes + 1;
    tree b = {ARENA_ARRAY(t->a, int, n), ARENA_ARRAY(t->a, int, n), ARENA_ARRAY(t->a, int, n)};
    int head = 0, tail = 0;
    for (int i = 0; i < net->n_nodes; i++) {
        b.edge[i] = b.before[i] = b.far[i] = -1;
        if (!is_start[i]) continue;
        b.far[i] = 0;
        t->queue[tail++] = i;
    }
    while (head < tail) {
        const int at = t->queue[head++];
        for (int k = t->g->first[at]; k < t->g->first[at + 1]; k++) {
            const int e = t->g->edge_element[k], next = t->g->edge_node[k];
            if (b.far[next] >= 0 || !(FEEDING >> net->elements[e].type & 1u)) continue;
            b.far[next] = b.far[at] + 1;
            b.edge[next] = e;
            b.before[next] = at;
            t->queue[tail++] = next;
        }
    }
    return b;
}

static int wires_back(const tracing *t, const tree *b, int node, int *wires)
{
    int n = 0;
    for (; b->far[node] > 0; node = b->before[node])
        if (b->edge[node] >= 0 && b->edge[node] < t->net->van->n_wires) wires[n++] = b->edge[node];
    return n;
}

/* One source, or batteries in series: all paths from its positive end, and all from its negative one. */
typedef struct supply {
    tree plus, minus;
    int top, bottom;  /* elements */
    const int *links; /* wires between its batteries */
    int n_links;
    bool is_battery;
} supply;

static tree paths_from(tracing *t, bool *is_start, int node)
{
    is_start[node] = true;
    const tree b = breadth_first(t, is_start);
    is_start[node] = false;
    return b;
}

/* How many batteries in series hang below this one. */
static int n_below(const network *net, int element)
{
    int n = 0;
    while ((element = net->below[element]) >= 0) n++;
    return n;
}

/* The same supply with the battery below its last one. */
static supply supply_longer(tracing *t, bool *is_start, supply p)
{
    const network *net = t->net;
    const int below = net->below[p.bottom], joint = net->elements[below].a;
    int *links =
        ARENA_ARRAY(t->a, int, (size_t)p.n_links + (size_t)(p.minus.far[joint] > 0 ? p.minus.far[joint] : 0) + 1);
    for (int i = 0; i < p.n_links; i++) links[i] = p.links[i];
    p.n_links += wires_back(t, &p.minus, joint, links + p.n_links);
    p.links = links;
    p.bottom = below;
    p.minus = paths_from(t, is_start, net->elements[below].b);
    return p;
}

static supply *find_supplies(tracing *t, int *n)
{
    const network *net = t->net;
    bool *is_start = ARENA_ARRAY(t->a, bool, (size_t)net->n_nodes + 1);
    *n = 0;
    for (int k = 0; k < net->n_elements; k++)
        if (is_source(net, &net->elements[k])) *n += 1 + n_below(net, k);
    supply *supplies = ARENA_ARRAY(t->a, supply, (size_t)*n + 1);
    for (int k = 0, i = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (!is_source(net, e)) continue;
        const bool is_emf = e->type == ELEMENT_EMF;
        supplies[i++] = (supply){.plus = paths_from(t, is_start, is_emf ? e->a : e->to_a),
                                 .minus = paths_from(t, is_start, is_emf ? e->b : e->to_b),
                                 .top = k,
                                 .bottom = k,
                                 .is_battery = is_battery(net, e->item)};
        for (; net->below[supplies[i - 1].bottom] >= 0; i++) supplies[i] = supply_longer(t, is_start, supplies[i - 1]);
    }
    return supplies;
}

/* Elements on the way from a supply to `feed` and from `back` to it again; -1 if one of them is missing. */
static int loop_length(const supply *p, int feed, int back)
{
    return p->plus.far[feed] < 0 || p->minus.far[back] < 0 ? -1 : p->plus.far[feed] + p->minus.far[back];
}

/* The supply of a load: a battery before a charger, then the nearest that both its poles reach, turned about or not. */
static const supply *supply_of(const supply *supplies, int n, const net_element *e, bool *is_turned)
{
    const supply *best = NULL;
    int least = 0;
    for (int turned = 0; turned < 2; turned++)
        for (int i = 0; i < n; i++) {
            const int length = loop_length(&supplies[i], turned ? e->b : e->a, turned ? e->a : e->b);
            if (length < 0 || (best && best->is_battery && !supplies[i].is_battery)) continue;
            if (best && best->is_battery == supplies[i].is_battery && length >= least) continue;
            best = &supplies[i];
            least = length;
            *is_turned = turned;
        }
    return best;
}

/* There and back by one source. A load that no source reaches at both poles keeps the half that is there. */
static void find_loop(tracing *t, const supply *supplies, int n_supplies, const supply *any, const net_element *e,
                      load_feed *lf)
{
    bool is_turned = any->plus.far[e->a] < 0 && any->plus.far[e->b] >= 0;
    const supply *p = supply_of(supplies, n_supplies, e, &is_turned);
    if (!p) p = any;
    const int feed = is_turned ? e->b : e->a, back = is_turned ? e->a : e->b;
    const int n_most = (p->plus.far[feed] > 0 ? p->plus.far[feed] : 0) +
                       (p->minus.far[back] > 0 ? p->minus.far[back] : 0) + p->n_links;
    int *wires = ARENA_ARRAY(t->a, int, (size_t)n_most + 1);
    int n = wires_back(t, &p->plus, feed, wires);
    for (int i = 0; i < n / 2; i++) {
        const int held = wires[i];
        wires[i] = wires[n - 1 - i];
        wires[n - 1 - i] = held;
    }
    n += wires_back(t, &p->minus, back, wires + n);
    for (int i = 0; i < p->n_links; i++) wires[n++] = p->links[i];
    lf->top = p->top;
    lf->bottom = p->bottom;
    lf->loop_wires = wires;
    lf->n_loop_wires = n;
}

static void find_loads(tracing *t)
{
    const network *net = t->net;
    const bool *posts = t->is_terminal_of_source;
    const unsigned solid = WIRING | TYPE_BIT(DIODE);
    regions *by_contact = regions_find(t->a, net, t->g, solid | TYPE_BIT(CHOPPER), ELEMENT_CONTACT, posts);
    regions *by_chopper = regions_find(t->a, net, t->g, solid | TYPE_BIT(CONTACT), ELEMENT_CHOPPER, posts);
    int n_supplies;
    const supply *supplies = find_supplies(t, &n_supplies);
    const supply any = {
        .plus = breadth_first(t, t->is_positive), .minus = breadth_first(t, t->is_negative), .top = -1, .bottom = -1};
    t->f->loads = ARENA_ARRAY(t->a, load_feed, (size_t)net->n_elements + 1);
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (e->type != ELEMENT_LOAD && e->type != ELEMENT_TRANSFER) continue;
        load_feed *lf = &t->f->loads[t->f->n_loads++];
        *lf = (load_feed){.element = k, .item = e->item, .chopper = -1};
        lf->own = gates_of_load(t, by_contact, e, &lf->n_own);
        int n_choppers;
        const int *choppers = gates_of_load(t, by_chopper, e, &n_choppers);
        if (n_choppers) lf->chopper = choppers[0];
        find_loop(t, supplies, n_supplies, &any, e, lf);
    }
}

/* ---- circuits ---- */

static bool is_in_supply(const network *net, int item)
{
    switch (role_of(net, item)) {
    case ROLE_BATTERY:
    case ROLE_SHUNT:
    case ROLE_CHASSIS:
        return true;
    default:
        return false;
    }
}

/* What an item hangs off: the region behind the last protective device, as a node of it; -1 when others lie behind it. */
static int hangs_off(const tracing *t, const regions *r, const bool *is_supply, int of_item)
{
    const van *v = t->net->van;
    const item *it = &v->items[of_item];
    for (int k = it->first_terminal; k < it->first_terminal + it->n_terminals; k++) {
        const bool is_live = t->side[k] == SIDE_FEED;
        if (is_live && !is_supply[r->of_node[k]]) return r->of_node[k];
    }
    return -1;
}

static bool takes_current(const network *net, int item)
{
    for (int k = net->first_element[item]; k < net->first_element[item + 1]; k++) {
        const element_type type = net->elements[k].type;
        if (type == ELEMENT_LOAD || type == ELEMENT_LAMP || type == ELEMENT_TRANSFER || type == ELEMENT_COIL)
            return true;
    }
    return false;
}

static bool is_connected(const tracing *t, int of_item)
{
    const item *it = &t->net->van->items[of_item];
    for (int k = it->first_terminal; k < it->first_terminal + it->n_terminals; k++)
        if (t->side[k] != SIDE_UNKNOWN) return true;
    return false;
}

/* The region to which a dimmer belongs whose own terminals are on returns only: that of the load it dims. */
static int hangs_off_chopped(const tracing *t, const regions *r, const bool *is_supply, int item)
{
    const network *net = t->net;
    for (int k = net->first_element[item]; k < net->first_element[item + 1]; k++) {
        if (net->elements[k].type != ELEMENT_CHOPPER) continue;
        for (int i = 0; i < t->f->n_loads; i++)
            if (t->f->loads[i].chopper == k) {
                const int found = hangs_off(t, r, is_supply, t->f->loads[i].item);
                if (found >= 0) return found;
            }
    }
    return -1;
}

/* A fuse block's slots and a fuse that others follow are supply; a fuse that feeds one circuit stands in it. */
static void find_circuits(tracing *t)
{
    const network *net = t->net;
    const van *v = net->van;
    regions *r = regions_find(t->a, net, t->g, UNPROTECTED, ELEMENT_FUSIBLE, t->is_positive);
    bool *is_supply = ARENA_ARRAY(t->a, bool, (size_t)r->n + 1);
    int *number = ARENA_ARRAY(t->a, int, (size_t)r->n + 1), *gates = ARENA_ARRAY(t->a, int, (size_t)r->first[r->n] + 1);
    for (int i = 0; i < r->n; i++) {
        number[i] = -1;
        const int n_up = r->has_source[i] ? 0 : regions_upstream(r, i, gates);
        is_supply[i] = r->first[i + 1] - r->first[i] > n_up;
    }
    t->f->circuit_of_item = ARENA_ARRAY(t->a, int, (size_t)v->n_items + 1);
    for (int i = 0; i < v->n_items; i++) {
        int *circuit = &t->f->circuit_of_item[i];
        *circuit = -1;
        if (is_in_supply(net, i)) continue;
        int region = hangs_off(t, r, is_supply, i);
        const bool is_spread =
            role_of(net, i) == ROLE_PROTECTION && net->first_element[i + 1] - net->first_element[i] > 1;
        if (is_spread) continue;
        if (region < 0) region = hangs_off_chopped(t, r, is_supply, i);
        if (region >= 0) {
            if (number[region] < 0) number[region] = t->f->n_circuits++;
            *circuit = number[region];
        } else if (takes_current(net, i) && is_connected(t, i)) {
            *circuit = t->f->n_circuits++;
        }
    }
}

feeds *feeds_trace(arena *a, const network *net)
{
    const size_t n = (size_t)net->n_nodes + 1;
    tracing t = {.a = a,
                 .net = net,
                 .g = graph_create(a, net),
                 .is_positive = ARENA_ARRAY(a, bool, n),
                 .is_negative = ARENA_ARRAY(a, bool, n),
                 .is_terminal_of_source = ARENA_ARRAY(a, bool, n),
                 .source_item = ARENA_ARRAY(a, int, n),
                 .side = ARENA_ARRAY(a, unsigned char, n),
                 .queue = ARENA_ARRAY(a, int, n),
                 .f = ARENA_NEW(a, feeds)};
    t.f->wires = ARENA_ARRAY(a, wire_feed, (size_t)net->van->n_wires + 1);
    for (int w = 0; w < net->van->n_wires; w++) t.f->wires[w].protector = t.f->wires[w].source = -1;
    find_sources(&t);
    find_sides(&t);
    wire_sides(&t);
    find_unprotected(&t, true);
    find_unprotected(&t, false);
    find_protectors(&t);
    protect_links(&t);
    find_nearest_sources(&t);
    find_all_both_ends_fed(&t);
    find_loads(&t);
    find_circuits(&t);
    return t.f;
}
