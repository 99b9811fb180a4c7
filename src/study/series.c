/* Which elements are in series: whatever passes one passes the others, in every position, chopped or not. One question
 * to the switch positions then answers for a fuse, its wire, the contact behind it and the load at the end.
 *
 * Two elements that are alone at a node are in series. What ends in a node of its own carries nothing. */
#include "study/parts.h"

#include <math.h>

static int root_of(int *parent, int e)
{
    while (parent[e] != e) e = parent[e] = parent[parent[e]];
    return e;
}

static bool is_present(const net_element *el) { return el->wire < 0 || isfinite(el->resistance_ohm); }

typedef struct incidence {
    int degree;
    int sum; /* of the elements that are there: of two, the other one by subtraction; of one, itself */
} incidence;

static void meet(incidence *at, int e)
{
    at->degree++;
    at->sum += e;
}

static void part(incidence *at, int e)
{
    at->degree--;
    at->sum -= e;
}

void series_find(study *s)
{
    const network *net = s->nets[SEASON_HARD];
    arena *a = s->arena;
    incidence *nodes = ARENA_ARRAY(a, incidence, net->n_nodes + 1);
    int *parent = ARENA_ARRAY(a, int, net->n_elements + 1), *ends = ARENA_ARRAY(a, int, net->n_nodes + 1);
    bool *is_dead = ARENA_ARRAY(a, bool, net->n_elements + 1);
    int n_ends = 0;
    for (int e = 0; e < net->n_elements; e++) {
        const net_element *el = &net->elements[e];
        parent[e] = e;
        if (!is_present(el)) {
            is_dead[e] = true;
            continue;
        }
        meet(&nodes[el->a], e);
        meet(&nodes[el->b], e);
        if (el->type != ELEMENT_TRANSFER) continue;
        nodes[el->to_a].degree += 3; /* its output is no element of its own: never in series, never an end */
        nodes[el->to_b].degree += 3;
    }
    for (int i = 0; i < net->n_nodes; i++)
        if (nodes[i].degree == 1) ends[n_ends++] = i;
    for (int k = 0; k < n_ends; k++) {
        if (nodes[ends[k]].degree != 1) continue;
        const int e = nodes[ends[k]].sum;
        const net_element *el = &net->elements[e];
        const int other = el->a == ends[k] ? el->b : el->a;
        is_dead[e] = true;
        part(&nodes[el->a], e);
        part(&nodes[el->b], e);
        if (nodes[other].degree == 1) ends[n_ends++] = other;
    }
    for (int e = 0; e < net->n_elements; e++) {
        const net_element *el = &net->elements[e];
        const int ends_of[2] = {el->a, el->b};
        for (int k = 0; k < 2 && !is_dead[e] && el->a != el->b; k++) {
            const incidence *at = &nodes[ends_of[k]];
            if (at->degree != 2) continue;
            const int x = root_of(parent, e), y = root_of(parent, at->sum - e);
            if (x < y)
                parent[y] = x;
            else
                parent[x] = y;
        }
    }
    for (int e = 0; e < net->n_elements; e++) parent[e] = is_dead[e] ? -1 : root_of(parent, e);
    s->series = parent;
    s->series_next = ARENA_ARRAY(a, int, net->n_elements + 1);
    int *after = ARENA_ARRAY(a, int, net->n_elements + 1); /* of each first: the next that was found from behind */
    for (int e = 0; e < net->n_elements; e++) after[e] = -1;
    for (int e = net->n_elements - 1; e >= 0; e--) {
        s->series_next[e] = parent[e] < 0 ? -1 : after[parent[e]];
        if (parent[e] >= 0) after[parent[e]] = e;
    }
}
