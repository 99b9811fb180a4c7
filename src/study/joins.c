/* What is joined to what whatever position anything stands in. Two terminals in one component are one conductor to a
 * builder; a dimmer whose two sides are in one component is by-passed, and two batteries whose posts are, are tied. */
#include "study/parts.h"

static int root_of(int *parent, int node)
{
    while (parent[node] != node) node = parent[node] = parent[parent[node]];
    return node;
}

static int *components(arena *a, const network *net, bool with_protection)
{
    int *parent = ARENA_ARRAY(a, int, net->n_nodes);
    for (int i = 0; i < net->n_nodes; i++) parent[i] = i;
    for (int e = 0; e < net->n_elements; e++) {
        const net_element *el = &net->elements[e];
        if (el->a < 0 || el->b < 0) continue;
        if (el->type != ELEMENT_CONDUCTOR && !(with_protection && el->type == ELEMENT_FUSIBLE)) continue;
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
    s->solid = components(s->arena, net, true);
    s->joined = components(s->arena, net, false);
    s->islands = network_islands(s->arena, net, NULL, &s->n_islands);
}
