/* What hangs together, by union-find: see topology.h. */
#include "circuit/topology.h"

#include "circuit/law.h"
#include <math.h>

/* A resistance in a feed passes at most V^2 / 4R to what stands behind it (matched load). With less than this it feeds
 * nothing: indicator lamps and relay coils. Common practice: the least thing that runs takes about a watt. */
static const double feeding_W = 1;

static join join_of(const net_element *e)
{
    switch (e->type) {
    case ELEMENT_CONDUCTOR:
    case ELEMENT_FUSIBLE:
    case ELEMENT_CONTACT:
    case ELEMENT_CHOPPER:
    case ELEMENT_EMF:
        if (!isfinite(e->resistance_ohm)) return JOIN_NEVER;
        return element_is_ideal(e) ? JOIN_IDEAL : JOIN_WIRING;
    case ELEMENT_DIODE:
        return JOIN_WIRING;
    case ELEMENT_LAMP:
        return element_conductance_S(e) > 0 ? JOIN_SOFT : JOIN_NEVER;
    case ELEMENT_COIL:
        return element_conductance_S(e) > 0 ? JOIN_SOFT : JOIN_NEVER;
    default:
        return JOIN_SOFT;
    }
}

static bool could_feed(const net_element *e, double supply_V)
{
    double R = e->type == ELEMENT_COIL ? e->resistance_ohm : e->load_ohm;
    bool is_resistance = e->type == ELEMENT_COIL || e->type == ELEMENT_LAMP || e->type == ELEMENT_LOAD;
    return is_resistance && R > 0 && supply_V * supply_V / (4 * R) >= feeding_W;
}

static int root_of(int *parent, int i)
{
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
}

/* The lower root wins, so that an island's root is its first node. False when they were one already. */
static bool unite(int *parent, int i, int j)
{
    i = root_of(parent, i);
    j = root_of(parent, j);
    if (i == j) return false;
    parent[i > j ? i : j] = i > j ? j : i;
    return true;
}

static bool joins(const link *l, const unsigned char *is_closed, int k)
{
    return l->join != JOIN_NEVER && (!l->is_switched || is_closed[k]);
}

static bool is_wiring(const link *l) { return l->join != JOIN_NEVER && (l->join != JOIN_SOFT || l->is_feeding); }

static void list_links(topology *t)
{
    const network *net = t->net;
    double supply_V = supply_V_of(net);
    for (int i = 0; i < net->n_elements; i++) {
        const net_element *e = &net->elements[i];
        bool is_switched = e->type == ELEMENT_CONTACT || e->type == ELEMENT_CHOPPER;
        t->links[t->n_links++] = (link){e->a, e->b, (unsigned char)join_of(e), is_switched, could_feed(e, supply_V)};
        if (t->links[i].join == JOIN_IDEAL) t->ideals[t->n_ideal++] = i;
        if (e->type == ELEMENT_TRANSFER) t->transfers[t->n_transfers++] = i;
    }
    for (int k = 0; k < t->n_transfers; k++) {
        const net_element *e = &net->elements[t->transfers[k]];
        t->links[t->n_links++] = (link){e->to_a, e->to_b, JOIN_WIRING, false, false};
    }
}

static void make_lumps(topology *t)
{
    int *parent = t->parent;
    for (int i = 0; i < t->net->n_nodes; i++) parent[i] = i;
    for (int k = 0; k < t->n_links; k++)
        if (is_wiring(&t->links[k]) && !t->links[k].is_switched) unite(parent, t->links[k].a, t->links[k].b);
    for (int i = 0; i < t->net->n_nodes; i++) {
        const int root = root_of(parent, i);
        if (root == i) t->first_of_lump[t->n_lumps++] = i;
        t->lump[i] = root == i ? t->n_lumps - 1 : t->lump[root];
    }
    for (int k = 0; k < t->n_links; k++) {
        const link *l = &t->links[k];
        const bool is_between = t->lump[l->a] != t->lump[l->b];
        if (is_between && l->is_switched && is_wiring(l)) t->switched[t->n_switched++] = k;
        if (l->join != JOIN_SOFT) continue;
        t->is_fed[k] = !is_between;
        if (is_between) t->soft[t->n_soft++] = k;
    }
}

topology *topology_create(arena *a, const network *net)
{
    topology *t = ARENA_NEW(a, topology);
    size_t n_elements = (size_t)net->n_elements, n_nodes = (size_t)net->n_nodes;
    t->net = net;
    t->links = ARENA_ARRAY(a, link, 2 * n_elements + 1);
    int **of_elements[] = {&t->transfers, &t->ideals, &t->switched, &t->soft};
    int **of_nodes[] = {&t->island, &t->ground,        &t->parent,        &t->ideal_parent,
                        &t->lump,   &t->first_of_lump, &t->island_of_lump};
    for (size_t i = 0; i < sizeof of_elements / sizeof *of_elements; i++)
        *of_elements[i] = ARENA_ARRAY(a, int, n_elements + 1);
    for (size_t i = 0; i < sizeof of_nodes / sizeof *of_nodes; i++) *of_nodes[i] = ARENA_ARRAY(a, int, n_nodes + 1);
    t->is_fed = ARENA_ARRAY(a, bool, n_elements + 1);
    list_links(t);
    make_lumps(t);
    return t;
}

static void find_ideal_loop(topology *t, const unsigned char *is_closed)
{
    t->loop_element = -1;
    for (int i = 0; i < t->n_ideal; i++) {
        const link *l = &t->links[t->ideals[i]];
        t->ideal_parent[l->a] = l->a;
        t->ideal_parent[l->b] = l->b;
    }
    for (int i = 0; i < t->n_ideal && t->loop_element < 0; i++) {
        const int k = t->ideals[i];
        const link *l = &t->links[k];
        if (joins(l, is_closed, k) && !unite(t->ideal_parent, l->a, l->b)) t->loop_element = k;
    }
}

static void number_islands(topology *t)
{
    const int reference = t->net->reference, root = reference >= 0 ? root_of(t->parent, t->lump[reference]) : -1;
    int *of_lump = t->island_of_lump;
    for (int i = 0; i < t->n_lumps; i++) of_lump[i] = -1;
    t->n_islands = 0;
    if (root >= 0) {
        t->ground[t->n_islands] = reference;
        of_lump[root] = t->n_islands++;
    }
    for (int i = 0; i < t->n_lumps; i++) {
        const int r = root_of(t->parent, i);
        if (of_lump[r] < 0) {
            t->ground[t->n_islands] = t->first_of_lump[r];
            of_lump[r] = t->n_islands++;
        }
        of_lump[i] = of_lump[r];
    }
    for (int i = 0; i < t->net->n_nodes; i++) t->island[i] = of_lump[t->lump[i]];
}

void topology_find(topology *t, const unsigned char *is_closed)
{
    find_ideal_loop(t, is_closed);
    int *parent = t->parent;
    for (int i = 0; i < t->n_lumps; i++) parent[i] = i;
    for (int i = 0; i < t->n_switched; i++) {
        const link *l = &t->links[t->switched[i]];
        if (is_closed[t->switched[i]]) unite(parent, t->lump[l->a], t->lump[l->b]);
    }
    for (int i = 0; i < t->n_soft; i++) {
        const link *l = &t->links[t->soft[i]];
        t->is_fed[t->soft[i]] = root_of(parent, t->lump[l->a]) == root_of(parent, t->lump[l->b]);
    }
    for (int i = 0; i < t->n_soft; i++) {
        const link *l = &t->links[t->soft[i]];
        unite(parent, t->lump[l->a], t->lump[l->b]);
    }
    number_islands(t);
}

/* Breadth first from one end of the element to the other over ideal elements; `from` notes the element that led to a
 * node. */
int topology_loop(const topology *t, const unsigned char *is_closed, int closing, int *elements)
{
    int n_nodes = t->net->n_nodes, start = t->links[closing].a, goal = t->links[closing].b;
    int *from = t->parent, *queue = t->ideal_parent, head = 0, tail = 0, n = 0;
    for (int i = 0; i < n_nodes; i++) from[i] = -1;
    from[start] = closing;
    queue[tail++] = start;
    while (head < tail && from[goal] < 0) {
        int node = queue[head++];
        for (int k = 0; k < t->net->n_elements; k++) {
            const link *l = &t->links[k];
            if (k == closing || l->join != JOIN_IDEAL || !joins(l, is_closed, k)) continue;
            int other = l->a == node ? l->b : l->b == node ? l->a : -1;
            if (other < 0 || from[other] >= 0) continue;
            from[other] = k;
            queue[tail++] = other;
        }
    }
    elements[n++] = closing;
    for (int node = goal; node != start && from[node] >= 0;) {
        const link *l = &t->links[from[node]];
        elements[n++] = from[node];
        node = l->a == node ? l->b : l->a;
    }
    return n;
}

void contacts_in(const network *net, const position *positions, unsigned char *is_closed)
{
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (e->type == ELEMENT_CONTACT) {
            uint32_t at = e->item >= 0 && positions ? (uint32_t)positions[e->item].index : 0;
            is_closed[k] = at < 32 && (e->closed_in >> at & 1u);
        } else if (e->type == ELEMENT_CHOPPER) {
            double duty = e->is_dialled && e->item >= 0 && positions ? positions[e->item].fraction : e->duty;
            is_closed[k] = duty > 0;
        } else {
            is_closed[k] = 1;
        }
    }
}
