/* What is joined to what whatever position anything stands in. Two terminals in one component are one conductor to a
 * builder; a dimmer whose two sides are in one component is by-passed, and two batteries whose posts are, are tied. */
#include "study/parts.h"

/* A conductor inside an item above this is a resistor, which joins nothing. Wires join however long they are. */
#define JOINS_BELOW_OHM 1.0

static bool is_joint(const net_element *el, bool with_protection)
{
    if (el->type == ELEMENT_FUSIBLE) return with_protection;
    return el->type == ELEMENT_CONDUCTOR && (el->wire >= 0 || el->resistance_ohm < JOINS_BELOW_OHM);
}

static int root_of(int *parent, int node)
{
    while (parent[node] != node) node = parent[node] = parent[parent[node]];
    return node;
}

static int *components(arena *a, const network *net, bool with_protection, int without)
{
    int *parent = ARENA_ARRAY(a, int, net->n_nodes);
    for (int i = 0; i < net->n_nodes; i++) parent[i] = i;
    for (int e = 0; e < net->n_elements; e++) {
        const net_element *el = &net->elements[e];
        if (!is_joint(el, with_protection) || (without >= 0 && el->wire == without)) continue;
        int x = root_of(parent, el->a), y = root_of(parent, el->b);
        if (x < y)
            parent[y] = x;
        else
            parent[x] = y;
    }
    for (int i = 0; i < net->n_nodes; i++) parent[i] = root_of(parent, i);
    return parent;
}

void joins_find(study *s)
{
    const network *net = s->nets[SEASON_HARD];
    s->solid = components(s->arena, net, true, -1);
    s->joined = components(s->arena, net, false, -1);
    s->islands = network_islands(s->arena, net, NULL, &s->n_islands);
}

bool study_is_joined_without(const study *s, int a, int b, int wire)
{
    const int *component = components(s->arena, s->nets[SEASON_HARD], true, wire);
    return component[a] == component[b];
}
