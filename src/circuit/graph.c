/* The network as a graph: see graph.h. */
#include "circuit/graph.h"

int graph_root(int *parent, int i)
{
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
}

void graph_unite(int *parent, int i, int j)
{
    i = graph_root(parent, i);
    j = graph_root(parent, j);
    parent[i > j ? i : j] = i > j ? j : i;
}

static void count_edge(int *first, int a, int b)
{
    first[a + 1]++;
    first[b + 1]++;
}

static void add_edge(graph *g, int *fill, int element, int a, int b)
{
    g->edge_element[fill[a]] = element;
    g->edge_node[fill[a]++] = b;
    g->edge_element[fill[b]] = element;
    g->edge_node[fill[b]++] = a;
}

graph *graph_create(arena *a, const network *net)
{
    graph *g = ARENA_NEW(a, graph);
    g->n_nodes = net->n_nodes;
    g->first = ARENA_ARRAY(a, int, (size_t)net->n_nodes + 1);
    for (int e = 0; e < net->n_elements; e++) count_edge(g->first, net->elements[e].a, net->elements[e].b);
    for (int i = 0; i < net->n_nodes; i++) g->first[i + 1] += g->first[i];
    const size_t n_edges = (size_t)g->first[net->n_nodes] + 1;
    g->edge_element = ARENA_ARRAY(a, int, n_edges);
    g->edge_node = ARENA_ARRAY(a, int, n_edges);
    int *fill = ARENA_ARRAY(a, int, (size_t)net->n_nodes + 1);
    for (int i = 0; i < net->n_nodes; i++) fill[i] = g->first[i];
    for (int e = 0; e < net->n_elements; e++) add_edge(g, fill, e, net->elements[e].a, net->elements[e].b);
    return g;
}

static void number_regions(arena *a, const network *net, const graph *g, unsigned inside, regions *r)
{
    int *parent = ARENA_ARRAY(a, int, (size_t)net->n_nodes + 1);
    for (int i = 0; i < net->n_nodes; i++) parent[i] = i;
    for (int i = 0; i < net->n_nodes; i++)
        for (int k = g->first[i]; k < g->first[i + 1]; k++) {
            const int e = g->edge_element[k];
            if (inside >> net->elements[e].type & 1u) graph_unite(parent, i, g->edge_node[k]);
        }
    r->of_node = ARENA_ARRAY(a, int, (size_t)net->n_nodes + 1);
    for (int i = 0; i < net->n_nodes; i++) {
        const int root = graph_root(parent, i); /* the lowest node of its region */
        r->of_node[i] = root == i ? r->n++ : r->of_node[root];
    }
}

regions *regions_find(arena *a, const network *net, const graph *g, unsigned inside, element_type gate,
                      const bool *is_source)
{
    regions *r = ARENA_NEW(a, regions);
    number_regions(a, net, g, inside, r);
    const size_t n = (size_t)r->n + 1;
    r->has_source = ARENA_ARRAY(a, bool, n);
    r->first = ARENA_ARRAY(a, int, n);
    r->mark = ARENA_ARRAY(a, int, n);
    r->stack = ARENA_ARRAY(a, int, n);
    for (int i = 0; i < net->n_nodes; i++)
        if (is_source[i]) r->has_source[r->of_node[i]] = true;
    for (int pass = 0; pass < 2; pass++) {
        int *fill = pass ? ARENA_ARRAY(a, int, n) : NULL;
        for (int i = 0; pass && i < r->n; i++) fill[i] = r->first[i];
        for (int e = 0; e < net->n_elements; e++) {
            const int x = r->of_node[net->elements[e].a], y = r->of_node[net->elements[e].b];
            if (net->elements[e].type != gate || x == y) continue;
            if (!pass) {
                count_edge(r->first, x, y);
                continue;
            }
            r->gate[fill[x]] = r->gate[fill[y]] = e;
            r->beyond[fill[x]++] = y;
            r->beyond[fill[y]++] = x;
        }
        if (pass) break;
        for (int i = 0; i < r->n; i++) r->first[i + 1] += r->first[i];
        r->gate = ARENA_ARRAY(a, int, (size_t)r->first[r->n] + 1);
        r->beyond = ARENA_ARRAY(a, int, (size_t)r->first[r->n] + 1);
    }
    return r;
}

/* Depth first from region `start`, never into `barred`. */
static bool reaches_source(regions *r, int start, int barred)
{
    int n = 0;
    r->stamp++;
    r->mark[barred] = r->mark[start] = r->stamp;
    r->stack[n++] = start;
    while (n) {
        const int at = r->stack[--n];
        if (r->has_source[at]) return true;
        for (int k = r->first[at]; k < r->first[at + 1]; k++) {
            const int next = r->beyond[k];
            if (r->mark[next] == r->stamp) continue;
            r->mark[next] = r->stamp;
            r->stack[n++] = next;
        }
    }
    return false;
}

int regions_upstream(regions *r, int region, int *gates)
{
    int n = 0;
    for (int k = r->first[region]; k < r->first[region + 1]; k++)
        if (reaches_source(r, r->beyond[k], region)) gates[n++] = r->gate[k];
    return n;
}
