/* The network as a graph: which nodes a set of element types joins, and what lies upstream of what. No numbers.
 *
 * A region is what a choice of element types joins. Regions meet in gates: elements of one other type (protective
 * devices, contacts, choppers). A gate of a region is upstream when a source can be reached behind it without coming
 * back through the region. */
#ifndef CIRCUIT_GRAPH_H
#define CIRCUIT_GRAPH_H

#include "circuit/network.h"

/* Elements at each node: element edge_element[k] leads to edge_node[k], for k from first[node] up to first[node + 1]. */
typedef struct graph {
    int n_nodes;
    int *first;
    int *edge_element, *edge_node;
} graph;

#define TYPE_BIT(type) (1u << (ELEMENT_##type))

graph *graph_create(arena *a, const network *net);

int graph_root(int *parent, int i);
void graph_unite(int *parent, int i, int j);

typedef struct regions {
    int n;
    int *of_node;
    bool *has_source;
    /* Gates at each region: gate[k] leads to the region beyond[k], for k from first[region] up to first[region + 1].
     * A gate whose ends lie in one region is none. */
    int *first, *gate, *beyond;
    int *mark, *stack; /* scratch */
    int stamp;
} regions;

/* `inside`: TYPE_BITs of what joins; `gate`: the type of gates. `is_source`: one a node. */
regions *regions_find(arena *a, const network *net, const graph *g, unsigned inside, element_type gate,
                      const bool *is_source);

/* Fills `gates` (room for all gates of the region) with those upstream, in element order; returns how many. */
int regions_upstream(regions *r, int region, int *gates);

#endif
