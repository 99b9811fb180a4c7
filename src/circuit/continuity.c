/* What an ohmmeter would find: what hangs together, and the resistance between two nodes. See operating.h. */
#include "circuit/law.h"
#include "circuit/operating.h"
#include "circuit/topology.h"
#include "num/sparse.h"
#include <math.h>
#include <string.h>

/* Contacts and choppers as the positions have them, relays at rest. */
static unsigned char *closed_at(arena *a, const network *net, const position *positions)
{
    unsigned char *is_closed = ARENA_ARRAY(a, unsigned char, (size_t)net->n_elements + 1);
    if (positions == NULL) {
        memset(is_closed, 1, (size_t)net->n_elements);
        return is_closed;
    }
    const van *v = net->van;
    position *at = ARENA_ARRAY(a, position, (size_t)v->n_items + 1);
    memcpy(at, positions, (size_t)v->n_items * sizeof *at);
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (e->type != ELEMENT_COIL || e->item < 0) continue;
        at[e->item] = v->items[e->item].n_positions > 0 ? v->items[e->item].positions[0] : (position){0, 0};
    }
    contacts_in(net, at, is_closed);
    return is_closed;
}

int *network_islands(arena *a, const network *net, const position *positions_or_null, int *n_islands)
{
    topology *t = topology_create(a, net);
    topology_find(t, closed_at(a, net, positions_or_null));
    *n_islands = t->n_islands;
    return t->island;
}

/* ------------------------------------------------------------------ resistance */

static int root_of(int *parent, int i)
{
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
}

static bool is_ohmic(const net_element *e, bool is_closed)
{
    switch (e->type) {
    case ELEMENT_CONDUCTOR:
    case ELEMENT_FUSIBLE:
    case ELEMENT_EMF:
        return isfinite(e->resistance_ohm);
    case ELEMENT_CONTACT:
        return is_closed && isfinite(e->resistance_ohm);
    case ELEMENT_LAMP:
    case ELEMENT_COIL:
        return element_conductance_S(e) > 0;
    default:
        return false;
    }
}

typedef struct ohmic {
    int a, b; /* merged nodes */
    double conductance_S;
} ohmic;

/* Nodes joined without loss become one; what is left between different ones is listed. */
static int list_ohmic(arena *a, const network *net, const unsigned char *is_closed, int *parent, ohmic **out)
{
    ohmic *list = ARENA_ARRAY(a, ohmic, (size_t)net->n_elements + 1);
    int n = 0;
    for (int i = 0; i < net->n_nodes; i++) parent[i] = i;
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (is_ohmic(e, is_closed[k]) && element_is_ideal(e)) parent[root_of(parent, e->a)] = root_of(parent, e->b);
    }
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (!is_ohmic(e, is_closed[k]) || element_is_ideal(e)) continue;
        ohmic o = {root_of(parent, e->a), root_of(parent, e->b), element_conductance_S(e)};
        if (o.a != o.b) list[n++] = o;
    }
    *out = list;
    return n;
}

/* One ampere in at `from` and out at `to`, which is held at 0 V: the voltage at `from` is the resistance. Only nodes that
 * hang together with `to` take part. */
static double solve_resistance(arena *a, const ohmic *list, int n, int n_nodes, int from, int to)
{
    int *piece = ARENA_ARRAY(a, int, (size_t)n_nodes + 1), *unknown = ARENA_ARRAY(a, int, (size_t)n_nodes + 1);
    for (int i = 0; i < n_nodes; i++) piece[i] = i;
    for (int k = 0; k < n; k++) piece[root_of(piece, list[k].a)] = root_of(piece, list[k].b);
    if (root_of(piece, from) != root_of(piece, to)) return INFINITY;
    int n_unknowns = 0;
    for (int i = 0; i < n_nodes; i++)
        unknown[i] = i != to && root_of(piece, i) == root_of(piece, to) ? n_unknowns++ : -1;

    int *row = ARENA_ARRAY(a, int, 4 * (size_t)n + 1), *column = ARENA_ARRAY(a, int, 4 * (size_t)n + 1);
    int *slot = ARENA_ARRAY(a, int, 4 * (size_t)n + 1), n_entries = 0;
    double *siemens = ARENA_ARRAY(a, double, 4 * (size_t)n + 1);
    for (int k = 0; k < n; k++) {
        int ends[2] = {unknown[list[k].a], unknown[list[k].b]};
        for (int i = 0; i < 4; i++) {
            int r = ends[i / 2], c = ends[i % 2];
            if (r < 0 || c < 0) continue;
            row[n_entries] = r;
            column[n_entries] = c;
            siemens[n_entries++] = r == c ? list[k].conductance_S : -list[k].conductance_S;
        }
    }
    sparse *m = sparse_create(a, n_unknowns, n_entries, row, column, slot);
    for (int i = 0; i < n_entries; i++) sparse_values(m)[slot[i]] += siemens[i];
    double *x = ARENA_ARRAY(a, double, (size_t)n_unknowns + 1);
    x[unknown[from]] = 1;
    if (!sparse_factor(m)) return INFINITY;
    sparse_solve(m, x);
    return x[unknown[from]];
}

double network_resistance_ohm(arena *a, const network *net, const position *positions, int node_a, int node_b)
{
    int *parent = ARENA_ARRAY(a, int, (size_t)net->n_nodes + 1);
    ohmic *list;
    int n = list_ohmic(a, net, closed_at(a, net, positions), parent, &list);
    int from = root_of(parent, node_a), to = root_of(parent, node_b);
    return from == to ? 0 : solve_resistance(a, list, n, net->n_nodes, from, to);
}
