/* Circuits that are joined behind their protective devices, so that both feed what lies there.
 *
 * Only devices that one battery feeds side by side are meant. Batteries and chargers that meet on a bar have a device
 * each, and must. Neither are feeds meant of which a switch, or `never-with`, lets one in at a time. */
#include "circuit/graph.h"
#include "study/parts.h"

#define BEHIND (TYPE_BIT(CONDUCTOR) | TYPE_BIT(CONTACT) | TYPE_BIT(CHOPPER))
#define BEFORE (BEHIND | TYPE_BIT(DIODE) | TYPE_BIT(FUSIBLE))

enum { steps_most = 20000 }; /* of the search between two devices: the rest counts as not joined */

typedef struct tie_search {
    const study *s;
    const network *net;
    const graph *g;
    const regions *r;
    uint32_t *may_stand; /* of each item: the positions in which all its contacts on the way are closed */
    bool *is_on_way;     /* of each node */
    int *way;            /* elements */
    int n_way, n_steps;
} tie_search;

static uint32_t positions_of(const item *it)
{
    uint32_t all = 0;
    for (int i = 0; i < it->n_positions; i++) all |= 1u << it->positions[i].index;
    return all;
}

/* The contacts of the way, all closed at once, are not what never-with forbids. */
static bool is_allowed(const tie_search *t)
{
    const van *v = t->s->van;
    for (int k = 0; k < t->n_way; k++) {
        const net_element *el = &t->net->elements[t->way[k]];
        if (el->type != ELEMENT_CONTACT) continue;
        const item *it = &v->items[el->item];
        const uint32_t rest = 1u << it->positions[0].index;
        for (int x = 0; x < it->n_exclusions; x++) {
            const exclusion *ex = &it->exclusions[x];
            const uint32_t here = ex->here < 0 ? ~rest : 1u << ex->here;
            if (!(t->may_stand[el->item] & ~here) && !(t->may_stand[ex->other] & ~(1u << ex->there.index)))
                return false;
        }
    }
    return true;
}

static bool way_find(tie_search *t, int at, int to)
{
    if (at == to) return is_allowed(t);
    if (t->n_steps++ > steps_most) return false;
    t->is_on_way[at] = true;
    bool is_found = false;
    for (int k = t->g->first[at]; k < t->g->first[at + 1] && !is_found; k++) {
        const int e = t->g->edge_element[k], next = t->g->edge_node[k];
        const net_element *el = &t->net->elements[e];
        if (!(BEHIND >> el->type & 1u) || t->is_on_way[next]) continue;
        uint32_t before = 0;
        if (el->type == ELEMENT_CONTACT) {
            before = t->may_stand[el->item];
            if (!(before & el->closed_in)) continue;
            t->may_stand[el->item] = before & el->closed_in;
        }
        t->way[t->n_way++] = e;
        is_found = way_find(t, next, to);
        if (is_found) break;
        t->n_way--;
        if (el->type == ELEMENT_CONTACT) t->may_stand[el->item] = before;
    }
    t->is_on_way[at] = false;
    return is_found;
}

/* The wires between the first contact of the way and the last: those that join. All of them where no contact is. */
static void tie_keep(const tie_search *t, study *s, int device, int other)
{
    tie *found = ARRAY_ADD(s->arena, &s->ties);
    int *wires = ARENA_ARRAY(s->arena, int, t->n_way + 1);
    position *at = positions_rest(s->van, s->arena);
    int first = -1, last = -1;
    for (int k = 0; k < t->n_way; k++) {
        const net_element *el = &t->net->elements[t->way[k]];
        if (el->type != ELEMENT_CONTACT) continue;
        if (first < 0) first = k;
        last = k;
        while (!(t->may_stand[el->item] >> at[el->item].index & 1u)) at[el->item].index++;
    }
    *found = (tie){.devices = {device, other}, .wires = wires, .positions = at};
    for (int k = 0; k < t->n_way; k++) {
        const int w = t->net->elements[t->way[k]].wire;
        if (w >= 0 && (first == last || (k > first && k < last))) wires[found->n_wires++] = w;
    }
}

static int end_in(const tie_search *t, int device, int region)
{
    const net_element *el = &t->net->elements[device];
    return t->r->of_node[el->a] == region ? el->a : el->b;
}

static int end_beyond(const tie_search *t, int device, int region)
{
    const net_element *el = &t->net->elements[device];
    return t->r->of_node[el->a] == region ? el->b : el->a;
}

/* What a battery reaches without entering the region. */
static bool *reach_around(const tie_search *t, int battery_node, int region)
{
    bool *is_reached = ARENA_ARRAY(t->s->arena, bool, t->net->n_nodes + 1);
    int *queue = ARENA_ARRAY(t->s->arena, int, t->net->n_nodes + 1);
    int n = 0;
    queue[n++] = battery_node;
    is_reached[battery_node] = true;
    for (int i = 0; i < n; i++)
        for (int k = t->g->first[queue[i]]; k < t->g->first[queue[i] + 1]; k++) {
            const int next = t->g->edge_node[k];
            if (!(BEFORE >> t->net->elements[t->g->edge_element[k]].type & 1u)) continue;
            if (is_reached[next] || t->r->of_node[next] == region) continue;
            is_reached[next] = true;
            queue[n++] = next;
        }
    return is_reached;
}

static bool has_sources_of_their_own(const tie_search *t, int x, int y)
{
    const int *of = t->r->of_node;
    return of[x] != of[y] && t->r->has_source[of[x]] && t->r->has_source[of[y]];
}

static void way_clear(tie_search *t)
{
    const van *v = t->s->van;
    for (int i = 0; i < v->n_items; i++) t->may_stand[i] = positions_of(&v->items[i]);
    for (int i = 0; i < t->net->n_nodes; i++) t->is_on_way[i] = false;
    t->n_way = t->n_steps = 0;
}

static void region_search(tie_search *t, study *s, int region, const int *gates, int n_gates, const bool *is_reached,
                          bool *is_told)
{
    for (int i = 0; i < n_gates; i++)
        for (int j = i + 1; j < n_gates; j++) {
            const int x = end_beyond(t, gates[i], region), y = end_beyond(t, gates[j], region);
            if (is_told[j] || !is_reached[x] || !is_reached[y] || has_sources_of_their_own(t, x, y)) continue;
            way_clear(t);
            if (!way_find(t, end_in(t, gates[i], region), end_in(t, gates[j], region))) continue;
            tie_keep(t, s, gates[i], gates[j]);
            is_told[j] = true; /* of three that are joined two ties are told */
        }
}

void ties_find(study *s)
{
    const network *net = s->nets[SEASON_HARD];
    arena *a = s->arena;
    bool *is_battery = ARENA_ARRAY(a, bool, net->n_nodes + 1);
    for (int e = 0; e < net->n_elements; e++)
        if (net->elements[e].type == ELEMENT_EMF && net->elements[e].capacity_C > 0)
            is_battery[net->elements[e].a] = true;
    const graph *g = graph_create(a, net);
    regions *r = regions_find(a, net, g, BEHIND, ELEMENT_FUSIBLE, is_battery);
    tie_search t = {.s = s,
                    .net = net,
                    .g = g,
                    .r = r,
                    .may_stand = ARENA_ARRAY(a, uint32_t, s->van->n_items + 1),
                    .is_on_way = ARENA_ARRAY(a, bool, net->n_nodes + 1),
                    .way = ARENA_ARRAY(a, int, net->n_nodes + 1)};
    int *gates = ARENA_ARRAY(a, int, r->first[r->n] + 1);
    for (int i = 0; i < r->n; i++) {
        if (r->has_source[i] || r->first[i + 1] - r->first[i] < 2) continue;
        const int n = regions_upstream(r, i, gates);
        bool *is_told = n > 1 ? ARENA_ARRAY(a, bool, n) : NULL;
        for (int node = 0; node < net->n_nodes && n > 1; node++)
            if (is_battery[node]) region_search(&t, s, i, gates, n, reach_around(&t, node, i), is_told);
    }
}
