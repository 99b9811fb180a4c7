/* Where a van's wiring falls apart into circuits: see split.h. */
#include "circuit/split.h"

#include "circuit/graph.h"
#include <math.h>

/* What an element is while the fixed items stand still. */
typedef enum role_now { NOW_OPEN, NOW_WIRING, NOW_PART } role_now;

enum { LABEL_NONE = -1, LABEL_SEVERAL = -2 };

typedef struct splitting {
    arena *a;
    const network *net;
    const combos *c;
    const position *positions;
    const bool *is_fixed;
    unsigned char *now; /* role_now of each element */
    bool *is_moved;     /* elements that a digit or a coil moves */
    int *wiring;        /* union-find of nodes over NOW_WIRING */
    bool *is_trunk;     /* nodes */
    int *cluster;       /* union-find: nodes, then elements; what belongs together off the trunk */
    int *part_of_root;  /* of cluster: part number or -1 */
    split *s;
} splitting;

static role_now contact_now(const splitting *x, const net_element *e)
{
    if (e->item >= 0) {
        const int digit = x->c->digit_of_item[e->item];
        if (x->c->has_coil[e->item] || (digit >= 0 && !x->is_fixed[digit])) return NOW_PART;
    }
    const int at = e->item >= 0 ? x->positions[e->item].index : 0;
    return at < 32 && (e->closed_in >> at & 1u) ? NOW_WIRING : NOW_OPEN;
}

static role_now chopper_now(const splitting *x, const net_element *e)
{
    const int digit = e->item >= 0 ? x->c->digit_of_item[e->item] : -1;
    if (e->is_dialled && digit >= 0 && !x->is_fixed[digit]) return NOW_PART;
    const double duty = e->is_dialled && e->item >= 0 ? x->positions[e->item].fraction : e->duty;
    return duty <= 0 ? NOW_OPEN : duty >= 1 ? NOW_WIRING : NOW_PART;
}

static role_now element_now(const splitting *x, const net_element *e)
{
    switch (e->type) {
    case ELEMENT_CONDUCTOR:
    case ELEMENT_FUSIBLE:
    case ELEMENT_EMF:
        return isfinite(e->resistance_ohm) ? NOW_WIRING : NOW_OPEN;
    case ELEMENT_CONTACT:
        return contact_now(x, e);
    case ELEMENT_CHOPPER:
        return chopper_now(x, e);
    default:
        return NOW_PART;
    }
}

static void mark_trunk(splitting *x, const bool *is_root_trunk)
{
    for (int i = 0; i < x->net->n_nodes; i++) x->is_trunk[i] = is_root_trunk[graph_root(x->wiring, i)];
}

/* Wiring that holds a source; then what a transfer feeds whose input is of the trunk already. */
static void find_trunk(splitting *x)
{
    const network *net = x->net;
    bool *is_root_trunk = ARENA_ARRAY(x->a, bool, (size_t)net->n_nodes + 1);
    for (int i = 0; i < net->n_nodes; i++) x->wiring[i] = i;
    for (int k = 0; k < net->n_elements; k++)
        if (x->now[k] == NOW_WIRING) graph_unite(x->wiring, net->elements[k].a, net->elements[k].b);
    for (int k = 0; k < net->n_elements; k++)
        if (net->elements[k].type == ELEMENT_EMF && x->now[k] == NOW_WIRING)
            is_root_trunk[graph_root(x->wiring, net->elements[k].a)] = true;
    for (bool is_more = true; is_more;) {
        is_more = false;
        for (int k = 0; k < net->n_elements; k++) {
            const net_element *e = &net->elements[k];
            if (e->type != ELEMENT_TRANSFER) continue;
            bool *to_a = &is_root_trunk[graph_root(x->wiring, e->to_a)],
                 *to_b = &is_root_trunk[graph_root(x->wiring, e->to_b)];
            const bool is_fed =
                is_root_trunk[graph_root(x->wiring, e->a)] && is_root_trunk[graph_root(x->wiring, e->b)];
            if (!is_fed || (*to_a && *to_b)) continue;
            *to_a = *to_b = is_more = true;
        }
    }
    mark_trunk(x, is_root_trunk);
}

static int end_of(const net_element *e, int k)
{
    switch (k) {
    case 0:
        return e->a;
    case 1:
        return e->b;
    case 2:
        return e->to_a;
    default:
        return e->to_b;
    }
}

static int n_ends(const net_element *e) { return e->type == ELEMENT_TRANSFER ? 4 : 2; }

/* Elements that move together belong together: an item's, a digit's, a coil's and what it moves. */
static void find_clusters(splitting *x)
{
    const network *net = x->net;
    const int n = net->n_nodes;
    for (int i = 0; i < n + net->n_elements; i++) x->cluster[i] = i;
    int *of_digit = ARENA_ARRAY(x->a, int, (size_t)x->c->n_digits + 1),
        *of_item = ARENA_ARRAY(x->a, int, (size_t)net->van->n_items + 1);
    for (int d = 0; d < x->c->n_digits; d++) of_digit[d] = -1;
    for (int i = 0; i < net->van->n_items; i++) of_item[i] = -1;
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (x->now[k] == NOW_OPEN) continue;
        for (int end = 0; end < n_ends(e); end++) {
            const int node = end_of(e, end);
            if (x->is_trunk[node]) continue;
            graph_unite(x->cluster, n + k, node);
        }
        if (x->now[k] != NOW_PART || e->item < 0) continue;
        const int digit = x->c->digit_of_item[e->item];
        const bool is_switching = e->type == ELEMENT_CONTACT || (e->type == ELEMENT_CHOPPER && e->is_dialled);
        int *first = NULL;
        if (x->c->has_coil[e->item] && (is_switching || e->type == ELEMENT_COIL))
            first = &of_item[e->item];
        else if (digit >= 0 && !x->is_fixed[digit] && is_switching)
            first = &of_digit[digit];
        if (!first) continue;
        x->is_moved[k] = true;
        if (*first >= 0) graph_unite(x->cluster, n + k, n + *first);
        *first = k;
    }
}

static void number_parts(splitting *x)
{
    const network *net = x->net;
    split *s = x->s;
    const int n = net->n_nodes;
    for (int i = 0; i < n + net->n_elements; i++) x->part_of_root[i] = -1;
    for (int k = 0; k < net->n_elements; k++) {
        s->part_of_element[k] = -1;
        const bool is_off_trunk =
            x->now[k] == NOW_PART || (x->now[k] == NOW_WIRING && !x->is_trunk[net->elements[k].a]);
        if (!is_off_trunk) continue;
        int *number = &x->part_of_root[graph_root(x->cluster, n + k)];
        if (*number < 0) *number = s->n_parts++;
        s->part_of_element[k] = *number;
    }
    for (int i = 0; i < n; i++) s->part_of_node[i] = x->is_trunk[i] ? -1 : x->part_of_root[graph_root(x->cluster, i)];
    s->parts = ARENA_ARRAY(x->a, part, (size_t)s->n_parts + 1);
    for (int p = 0; p < s->n_parts; p++) s->parts[p].n_states = 1;
}

/* Lists by part: counts, then fills, out of one block. */
static void give_digits(splitting *x)
{
    split *s = x->s;
    for (int d = 0; d < x->c->n_digits; d++) s->part_of_digit[d] = -1;
    for (int k = 0; k < x->net->n_elements; k++) {
        const net_element *e = &x->net->elements[k];
        if (!x->is_moved[k] || x->c->has_coil[e->item]) continue;
        s->part_of_digit[x->c->digit_of_item[e->item]] = s->part_of_element[k];
    }
    for (int d = 0; d < x->c->n_digits; d++)
        if (s->part_of_digit[d] >= 0) {
            part *p = &s->parts[s->part_of_digit[d]];
            p->n_digits++;
            p->n_states *= x->c->digits[d].n_states;
        }
    for (int p = 0; p < s->n_parts; p++) {
        int *digits = ARENA_ARRAY(x->a, int, (size_t)s->parts[p].n_digits + 1), n = 0;
        if (s->parts[p].n_digits)
            for (int d = 0; d < x->c->n_digits; d++)
                if (s->part_of_digit[d] == p) digits[n++] = d;
        s->parts[p].digits = digits;
    }
}

static int merged_label(int label, int with)
{
    return label == LABEL_NONE || label == with ? with : with == LABEL_NONE ? label : LABEL_SEVERAL;
}

/* Prunes dead ends of the trunk into the one part that they serve; those that serve none go to nobody. */
static void give_branches(splitting *x)
{
    const network *net = x->net;
    split *s = x->s;
    const size_t n = (size_t)net->n_nodes + 1;
    int *label = ARENA_ARRAY(x->a, int, n), *degree = ARENA_ARRAY(x->a, int, n), *queue = ARENA_ARRAY(x->a, int, n);
    int *first = ARENA_ARRAY(x->a, int, n + 1), *edges = ARENA_ARRAY(x->a, int, 2 * (size_t)net->n_elements + 1);
    bool *is_held = ARENA_ARRAY(x->a, bool, n), *is_gone = ARENA_ARRAY(x->a, bool, (size_t)net->n_elements + 1);
    for (int i = 0; i < net->n_nodes; i++) label[i] = LABEL_NONE;
    if (net->reference >= 0) is_held[net->reference] = true;
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        const bool is_edge = x->now[k] == NOW_WIRING && x->is_trunk[e->a] && e->a != e->b;
        is_gone[k] = !is_edge;
        if (is_edge) {
            degree[e->a]++;
            degree[e->b]++;
        }
        if (e->type == ELEMENT_EMF && x->now[k] == NOW_WIRING) is_held[e->a] = is_held[e->b] = true;
        for (int end = 0; s->part_of_element[k] >= 0 && end < n_ends(e); end++) {
            const int node = end_of(e, end);
            if (x->is_trunk[node]) label[node] = merged_label(label[node], s->part_of_element[k]);
            if (end >= 2 && x->is_trunk[node]) is_held[node] = true;
        }
    }
    for (int i = 0; i < net->n_nodes; i++) first[i + 1] = first[i] + degree[i];
    int *fill = ARENA_ARRAY(x->a, int, n);
    for (int i = 0; i < net->n_nodes; i++) fill[i] = first[i];
    for (int k = 0; k < net->n_elements; k++)
        if (!is_gone[k]) edges[fill[net->elements[k].a]++] = edges[fill[net->elements[k].b]++] = k;
    int head = 0, tail = 0;
    for (int i = 0; i < net->n_nodes; i++)
        if (degree[i] == 1 && !is_held[i] && label[i] != LABEL_SEVERAL) queue[tail++] = i;
    while (head < tail) {
        const int at = queue[head++];
        if (label[at] == LABEL_SEVERAL || degree[at] != 1) continue;
        for (int k = first[at]; k < first[at + 1]; k++) {
            if (is_gone[edges[k]]) continue;
            const net_element *e = &net->elements[edges[k]];
            const int next = e->a == at ? e->b : e->a;
            is_gone[edges[k]] = true;
            s->part_of_element[edges[k]] = s->part_of_node[at] = label[at];
            label[next] = merged_label(label[next], label[at]);
            degree[at]--;
            if (--degree[next] == 1 && !is_held[next]) queue[tail++] = next;
        }
    }
}

/* Nodes of the trunk that a part's elements touch. */
static void find_taps(splitting *x)
{
    const network *net = x->net;
    split *s = x->s;
    int *last = ARENA_ARRAY(x->a, int, (size_t)net->n_nodes + 1);
    int *by_part = ARENA_ARRAY(x->a, int, (size_t)s->n_parts + 2),
        *order = ARENA_ARRAY(x->a, int, (size_t)net->n_elements + 1);
    for (int k = 0; k < net->n_elements; k++)
        if (s->part_of_element[k] >= 0) by_part[s->part_of_element[k] + 1]++;
    for (int p = 0; p < s->n_parts; p++) by_part[p + 1] += by_part[p];
    int *fill = ARENA_ARRAY(x->a, int, (size_t)s->n_parts + 1);
    for (int p = 0; p < s->n_parts; p++) fill[p] = by_part[p];
    for (int k = 0; k < net->n_elements; k++)
        if (s->part_of_element[k] >= 0) order[fill[s->part_of_element[k]]++] = k;
    for (int i = 0; i < net->n_nodes; i++) last[i] = -1;
    for (int p = 0; p < s->n_parts; p++) {
        int *taps = ARENA_ARRAY(x->a, int, 4 * (size_t)(by_part[p + 1] - by_part[p]) + 1);
        for (int j = by_part[p]; j < by_part[p + 1]; j++) {
            const net_element *e = &net->elements[order[j]];
            for (int end = 0; end < n_ends(e); end++) {
                const int node = end_of(e, end);
                if (s->part_of_node[node] >= 0 || last[node] == p || !x->is_trunk[node]) continue;
                last[node] = p;
                taps[s->parts[p].n_taps++] = node;
            }
        }
        s->parts[p].taps = taps;
        s->parts[p].is_live = s->parts[p].n_taps > 1;
    }
}

/* Joins what contacts and wiring join within parts, and sees whether two trunk nodes come together. */
static void find_bridges(splitting *x)
{
    const network *net = x->net;
    split *s = x->s;
    int *joined = ARENA_ARRAY(x->a, int, (size_t)net->n_nodes + 1),
        *tap = ARENA_ARRAY(x->a, int, (size_t)net->n_nodes + 1);
    for (int i = 0; i < net->n_nodes; i++) {
        joined[i] = i;
        tap[i] = -1;
    }
    for (int pass = 0; pass < 2; pass++)
        for (int k = 0; k < net->n_elements; k++) {
            const net_element *e = &net->elements[k];
            const bool conducts = x->now[k] == NOW_WIRING ||
                                  (x->now[k] == NOW_PART && (e->type == ELEMENT_CONTACT || e->type == ELEMENT_CHOPPER));
            const bool a_trunk = x->is_trunk[e->a], b_trunk = x->is_trunk[e->b];
            if (!conducts || s->part_of_element[k] < 0 || (a_trunk && b_trunk && x->now[k] == NOW_WIRING)) continue;
            if (pass == 0 && !a_trunk && !b_trunk) graph_unite(joined, e->a, e->b);
            if (pass == 1 && a_trunk && b_trunk && e->a != e->b) s->parts[s->part_of_element[k]].is_bridge = true;
            if (pass == 1 && a_trunk != b_trunk) {
                int *at = &tap[graph_root(joined, a_trunk ? e->b : e->a)];
                const int node = a_trunk ? e->a : e->b;
                if (*at >= 0 && *at != node) s->parts[s->part_of_element[k]].is_bridge = true;
                *at = node;
            }
        }
}

split *split_make(arena *a, const network *net, const combos *c, const position *positions, const bool *is_fixed)
{
    const size_t n_nodes = (size_t)net->n_nodes + 1, n_elements = (size_t)net->n_elements + 1;
    splitting x = {.a = a,
                   .net = net,
                   .c = c,
                   .positions = positions,
                   .is_fixed = is_fixed,
                   .now = ARENA_ARRAY(a, unsigned char, n_elements),
                   .is_moved = ARENA_ARRAY(a, bool, n_elements),
                   .wiring = ARENA_ARRAY(a, int, n_nodes),
                   .is_trunk = ARENA_ARRAY(a, bool, n_nodes),
                   .cluster = ARENA_ARRAY(a, int, n_nodes + n_elements),
                   .part_of_root = ARENA_ARRAY(a, int, n_nodes + n_elements),
                   .s = ARENA_NEW(a, split)};
    x.s->part_of_element = ARENA_ARRAY(a, int, n_elements);
    x.s->part_of_node = ARENA_ARRAY(a, int, n_nodes);
    x.s->part_of_digit = ARENA_ARRAY(a, int, (size_t)c->n_digits + 1);
    for (int k = 0; k < net->n_elements; k++) x.now[k] = (unsigned char)element_now(&x, &net->elements[k]);
    find_trunk(&x);
    find_clusters(&x);
    number_parts(&x);
    give_digits(&x);
    find_bridges(&x);
    give_branches(&x);
    find_taps(&x);
    return x.s;
}
