/* Rows and columns. Rows: the longest way down from the top decides, and what only returns follow sinks to the bottom,
 * so that loads stand in line. Columns: a walk from the top rail, depth first and in the order of the panel's switches
 * (file order), opens a new column wherever the wiring branches; the battery's branch comes first. See plan.h. */
#include "sheets/plan.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

int plan_row(const plan *p, int i) { return (p->level[i] - 1) / 2; }
int plan_channel(const plan *p, int i) { return p->level[i] / 2; }

void plan_span(const plan *p, int i, int *from, int *to)
{
    const item *it = &p->van->items[i];
    *from = INT_MAX;
    *to = -1;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        if (p->column[t] < 0) continue;
        int at = p->position[p->column[t]];
        if (at < *from) *from = at;
        if (at > *to) *to = at;
    }
    if (*to < 0) *from = 0;
}

int plan_insert(plan *p, int id, bool is_after)
{
    int added = (int)p->order.n, at = id < 0 ? added : p->position[id] + is_after;
    *ARRAY_ADD(p->arena, &p->order) = added;
    if (added >= p->position_room) {
        int room = p->position_room ? 2 * p->position_room : 64;
        int *moved = ARENA_ARRAY(p->arena, int, (size_t)room);
        if (added) memcpy(moved, p->position, (size_t)added * sizeof(int));
        p->position = moved;
        p->position_room = room;
    }
    memmove(&p->order.at[at + 1], &p->order.at[at], (size_t)(added - at) * sizeof(int));
    p->order.at[at] = added;
    for (int i = at; i <= added; i++) p->position[p->order.at[i]] = i;
    return added;
}

/* ---- rows ---- */

typedef struct edge {
    int above, below, step;
} edge;
typedef struct levels {
    int *first_below; /* edges sorted by above */
    edge *edges;
    int n_edges;
    int *sorted;    /* items, whatever is above first */
    int *floors;    /* no item stands higher than this */
    bool is_frozen; /* nothing sinks any more */
} levels;

static bool is_bar(const plan *p, int i) { return p->stand[i] != STAND_ITEM; }

static bool edge_of(const plan *p, int w, edge *out)
{
    const wire *at = &p->van->wires[w];
    int a = p->van->terminals[at->from].item, b = p->van->terminals[at->to].item;
    if (a == b) return false;
    bool a_is_above;
    if (p->stand[a] == STAND_CHASSIS || p->stand[b] == STAND_CHASSIS)
        a_is_above = p->stand[b] == STAND_CHASSIS; /* the ground is down */
    else if (is_bar(p, a) && is_bar(p, b))
        a_is_above = plan_height(p, at->from) > plan_height(p, at->to);
    else if (is_bar(p, a))
        a_is_above = p->is_top[at->to];
    else if (is_bar(p, b))
        a_is_above = !p->is_top[at->from];
    else if (p->is_top[at->from] == p->is_top[at->to])
        return false;
    else
        a_is_above = !p->is_top[at->from];
    *out = (edge){a_is_above ? a : b, a_is_above ? b : a, is_bar(p, a) == is_bar(p, b) ? 2 : 1};
    return true;
}

static int by_above(const void *x, const void *y)
{
    const edge *a = x, *b = y;
    return a->above != b->above ? (a->above > b->above) - (a->above < b->above)
                                : (a->below > b->below) - (a->below < b->below);
}

static void list_edges(plan *p, levels *l)
{
    int n = p->van->n_items;
    l->edges = ARENA_ARRAY(p->arena, edge, (size_t)p->van->n_wires + 1);
    for (int w = 0; w < p->van->n_wires; w++)
        if (edge_of(p, w, &l->edges[l->n_edges])) l->n_edges++;
    qsort(l->edges, (size_t)l->n_edges, sizeof(edge), by_above);
    l->first_below = ARENA_ARRAY(p->arena, int, (size_t)n + 2);
    for (int e = 0; e < l->n_edges; e++) l->first_below[l->edges[e].above + 1]++;
    for (int i = 0; i < n; i++) l->first_below[i + 1] += l->first_below[i];
}

/* Sorts so that every edge points on; an edge that would close a circle is dropped (its step becomes 0). */
static void sort_items(plan *p, levels *l)
{
    enum { FRESH, OPEN, DONE };
    int n = p->van->n_items, at = n;
    char *state = ARENA_ARRAY(p->arena, char, (size_t)n + 1);
    int *stack = ARENA_ARRAY(p->arena, int, (size_t)n + 1), *next = ARENA_ARRAY(p->arena, int, (size_t)n + 1);
    bool *has_above = ARENA_ARRAY(p->arena, bool, (size_t)n + 1);
    for (int e = 0; e < l->n_edges; e++) has_above[l->edges[e].below] = true;
    l->sorted = ARENA_ARRAY(p->arena, int, (size_t)n + 1);
    for (int pass = 0; pass < 2; pass++) { /* from the tops first */
        for (int root = 0; root < n; root++) {
            if (state[root] != FRESH || (pass == 0 && has_above[root])) continue;
            int depth = 0;
            stack[depth++] = root;
            state[root] = OPEN;
            next[root] = l->first_below[root];
            while (depth) {
                int i = stack[depth - 1];
                if (next[i] == l->first_below[i + 1]) {
                    state[i] = DONE;
                    l->sorted[--at] = i;
                    depth--;
                    continue;
                }
                edge *e = &l->edges[next[i]++];
                if (state[e->below] == OPEN) e->step = 0;
                if (state[e->below] != FRESH) continue;
                state[e->below] = OPEN;
                next[e->below] = l->first_below[e->below];
                stack[depth++] = e->below;
            }
        }
    }
}

/* A thing sinks when nothing on the positive side hangs from it. */
static bool may_sink(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    int n = 0;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        if ((is_bar(p, i) || !p->is_top[t]) && p->side[t] == SIDE_HIGH) return false;
        n += plan_wire_count(p, t);
    }
    return n > 1 || !is_bar(p, i) || p->stand[i] == STAND_CHASSIS; /* a dead end stays near what leads to it */
}

static bool is_low(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        if (plan_wire_count(p, t) && p->side[t] == SIDE_HIGH) return false;
    return true;
}

static void set_levels(plan *p, const levels *l)
{
    int n = p->van->n_items, bottom = 0;
    for (int i = 0; i < n; i++) p->level[i] = l->floors[i];
    for (int k = 0; k < n; k++) {
        int i = l->sorted[k];
        for (int e = l->first_below[i]; e < l->first_below[i + 1]; e++) {
            const edge *at = &l->edges[e];
            if (at->step && p->level[at->below] < p->level[i] + at->step) p->level[at->below] = p->level[i] + at->step;
        }
        int end = p->level[i] + (is_bar(p, i) ? 0 : 1);
        if (end > bottom) bottom = end;
    }
    p->n_rows = bottom / 2;
    if (l->is_frozen) return;
    bool *sinks = ARENA_ARRAY(p->arena, bool, (size_t)n + 1);
    for (int k = n - 1; k >= 0; k--) {
        int i = l->sorted[k], lowest = is_bar(p, i) ? bottom : bottom - 1;
        bool can = p->is_wired[i] && may_sink(p, i) && (is_low(p, i) || l->first_below[i] < l->first_below[i + 1]);
        for (int e = l->first_below[i]; e < l->first_below[i + 1]; e++) {
            const edge *at = &l->edges[e];
            if (!at->step) continue;
            can = can && sinks[at->below];
            if (lowest > p->level[at->below] - at->step) lowest = p->level[at->below] - at->step;
        }
        sinks[i] = can;
        if (can && lowest > p->level[i]) p->level[i] = lowest;
    }
}

/* ---- columns ---- */

/* One thing left to do on the walk: a port whose wires are to be followed, or a bar whose children are to be placed. */
typedef struct task {
    int t;            /* port, or -1 */
    int next;         /* wires of the port, gone through twice: simple items first */
    bool has_column;  /* its lane goes on already */
    const int *wires; /* of the bar, in the order of their columns */
    int n_wires;
    int column; /* of the bar: the lane by which it was reached, for its first child; -1 */
} task;

typedef struct late {
    int entry, column;
} late;

typedef struct walk {
    plan *p;
    ARRAY(task) stack;
    bool *is_placed;
    int *partner; /* the port that shares a terminal's lane on the other edge of its item; -1 */
    int *stamp;
    int stamps;
    ARRAY(int) low_bars; /* met on the way, still to be expanded */
    ARRAY(late) late;    /* what stands beside a return port: placed after all that is fed */
} walk;

static int item_at(const walk *k, int t) { return k->p->van->terminals[t].item; }

static int n_wired(const plan *p, int i, bool is_top)
{
    const item *it = &p->van->items[i];
    int n = 0;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        n += p->is_top[t] == is_top && plan_wire_count(p, t) > 0;
    return n;
}

/* Do all wires of a port end at once, at a return rail or at what is placed already? */
static bool is_leaf(const walk *k, int t)
{
    const plan *p = k->p;
    for (int i = p->first_wire[t]; i < p->first_wire[t + 1]; i++) {
        int u = plan_other_end(p, p->wires[i], t), m = item_at(k, u);
        if (is_bar(p, m) ? p->side[u] == SIDE_HIGH : !k->is_placed[m]) return false;
    }
    return true;
}

/* How much two ports of an item belong together: joined inside, or named alike ("out-pos", "out-neg"). */
static int affinity(const plan *p, int t, int u)
{
    if (p->group[t] == p->group[u]) return 2;
    const char *a = p->van->terminals[t].name, *b = p->van->terminals[u].name;
    size_t n = strlen(a), m = strlen(b);
    return n == m && n > 3 && strncmp(a, b, n - 3) == 0;
}

static int best_partner(const walk *k, int i, int t)
{
    const plan *p = k->p;
    const item *it = &p->van->items[i];
    int best = -1, score = -1;
    for (int u = it->first_terminal; u < it->first_terminal + it->n_terminals; u++) {
        if (p->is_top[u] == p->is_top[t] || !plan_wire_count(p, u) || k->partner[u] >= 0) continue;
        int s = 2 * affinity(p, t, u) + !is_leaf(k, u);
        if (s > score) best = u, score = s;
    }
    return best;
}

static void push_port(walk *k, int t, bool has_column)
{
    *ARRAY_ADD(k->p->arena, &k->stack) = (task){.t = t, .has_column = has_column, .column = -1};
}

static void set_column(walk *k, int t, int column)
{
    k->p->column[t] = column;
    if (k->partner[t] >= 0) k->p->column[k->partner[t]] = column;
}

static void place_item(walk *k, int entry, int column)
{
    plan *p = k->p;
    int i = item_at(k, entry);
    const item *it = &p->van->items[i];
    int first = it->first_terminal, end = first + it->n_terminals;
    k->is_placed[i] = true;
    /* Lanes: the port by which we came and the one that goes on from it, then the others in pairs. */
    int partner = best_partner(k, i, entry);
    k->partner[entry] = partner;
    if (partner >= 0) k->partner[partner] = entry;
    set_column(k, entry, column);
    int leftmost = column;
    for (int t = first; t < end; t++) {
        if (!plan_wire_count(p, t) || p->column[t] >= 0) continue;
        if (k->partner[t] < 0 && p->is_top[t]) {
            int other = best_partner(k, i, t);
            if (other >= 0 && affinity(p, t, other) > 0) k->partner[t] = other, k->partner[other] = t;
        }
        int lower = p->is_top[t] ? k->partner[t] : t;
        bool goes_left = lower < 0 || is_leaf(k, lower);
        if (goes_left) set_column(k, t, leftmost = plan_insert(p, leftmost, false));
    }
    /* What is pushed last is followed first: the lane downwards, then ports to the right, then what leaves upwards. */
    for (int t = end - 1; t >= first; t--)
        if (plan_wire_count(p, t) && p->is_top[t] && t != partner) push_port(k, t, t == entry);
    for (int t = end - 1; t >= first; t--)
        if (plan_wire_count(p, t) && !p->is_top[t] && t != partner) push_port(k, t, t == entry);
    if (partner >= 0) push_port(k, partner, false);
}

typedef struct branch {
    int wire, rank, first;
} branch;

static int by_rank(const void *x, const void *y)
{
    const branch *a = x, *b = y;
    if (a->rank != b->rank) return a->rank - b->rank;
    if (a->first != b->first) return a->first < b->first ? -1 : 1;
    return (a->wire > b->wire) - (a->wire < b->wire);
}

/* What hangs on a wire of a bar: a battery (rank 0), a charger (1), or loads, by their first switch in the file. */
static branch survey(walk *k, int bar, int w, int start)
{
    const plan *p = k->p;
    const van *v = p->van;
    branch b = {w, 2, INT_MAX};
    int first_battery = INT_MAX, first_charger = INT_MAX, first_switch = INT_MAX, first_item = INT_MAX;
    ARRAY(int) open = {0};
    *ARRAY_ADD(p->arena, &open) = start;
    k->stamp[start] = ++k->stamps;
    k->stamp[bar] = k->stamps;
    while (open.n) {
        int i = open.at[--open.n];
        role r = item_kind(v, i)->role;
        int *first = r == ROLE_BATTERY   ? &first_battery
                     : r == ROLE_CHARGER ? &first_charger
                     : r == ROLE_SWITCH  ? &first_switch
                                         : &first_item;
        if (i < *first && !is_bar(p, i) && r != ROLE_PROTECTION) *first = i;
        const item *it = &v->items[i];
        for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
            for (int e = p->first_wire[t]; e < p->first_wire[t + 1]; e++) {
                int u = plan_other_end(p, p->wires[e], t), m = item_at(k, u);
                if (k->stamp[m] == k->stamps || k->is_placed[m] || (is_bar(p, m) && p->side[u] == SIDE_LOW)) continue;
                k->stamp[m] = k->stamps;
                *ARRAY_ADD(p->arena, &open) = m;
            }
    }
    if (first_battery < INT_MAX)
        b.rank = 0, b.first = first_battery;
    else if (first_charger < INT_MAX)
        b.rank = 1, b.first = first_charger;
    else
        b.first = first_switch < INT_MAX ? first_switch : first_item;
    return b;
}

static void expand_bar(walk *k, int bar, int column)
{
    plan *p = k->p;
    const item *it = &p->van->items[bar];
    ARRAY(branch) branches = {0};
    k->is_placed[bar] = true;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        for (int e = p->first_wire[t]; e < p->first_wire[t + 1]; e++) {
            int m = item_at(k, plan_other_end(p, p->wires[e], t));
            if (!k->is_placed[m]) *ARRAY_ADD(p->arena, &branches) = survey(k, bar, p->wires[e], m);
        }
    if (!branches.n) return;
    qsort(branches.at, branches.n, sizeof(branch), by_rank);
    int *wires = ARENA_ARRAY(p->arena, int, branches.n);
    for (size_t i = 0; i < branches.n; i++) wires[i] = branches.at[i].wire;
    *ARRAY_ADD(p->arena, &k->stack) = (task){.t = -1, .wires = wires, .n_wires = (int)branches.n, .column = column};
}

/* Meets what is at the far end of a wire. True when it was placed in the lane that was offered (-1: none is). */
static bool meet(walk *k, int u, int column)
{
    plan *p = k->p;
    int m = item_at(k, u);
    if (k->is_placed[m]) return false;
    if (!is_bar(p, m)) {
        place_item(k, u, column >= 0 ? column : plan_insert(p, -1, false));
        return true;
    }
    if (p->side[u] == SIDE_LOW)
        *ARRAY_ADD(p->arena, &k->low_bars) = m;
    else
        expand_bar(k, m, column);
    return p->side[u] != SIDE_LOW;
}

static void follow_port(walk *k, task at)
{
    plan *p = k->p;
    int n = plan_wire_count(p, at.t);
    if (p->column[at.t] < 0) set_column(k, at.t, plan_insert(p, -1, false));
    while (at.next < 2 * n) {
        bool is_late = at.next >= n;
        int u = plan_other_end(p, p->wires[p->first_wire[at.t] + at.next++ % n], at.t), m = item_at(k, u);
        if (k->is_placed[m] || (!is_late && !is_bar(p, m) && n_wired(p, m, true) > 1)) continue;
        if (!is_bar(p, m) && !p->is_top[at.t] && !p->is_top[u]) {
            *ARRAY_ADD(p->arena, &k->late) = (late){u, p->column[at.t]};
            continue;
        }
        bool goes_on = is_bar(p, m) ? !p->is_top[at.t] : p->is_top[u] != p->is_top[at.t];
        int column = goes_on && !at.has_column ? p->column[at.t] : -1;
        at.has_column = at.has_column || column >= 0;
        *ARRAY_ADD(p->arena, &k->stack) = at;
        meet(k, u, column);
        return;
    }
}

static void follow_bar(walk *k, task at)
{
    plan *p = k->p;
    while (at.next < at.n_wires) {
        const wire *w = &p->van->wires[at.wires[at.next++]];
        int u = k->is_placed[item_at(k, w->from)] ? w->to : w->from;
        if (k->is_placed[item_at(k, u)]) continue;
        int column = at.column;
        at.column = -1;
        *ARRAY_ADD(p->arena, &k->stack) = at;
        meet(k, u, column);
        return;
    }
}

static void follow_all(walk *k)
{
    while (k->stack.n) {
        task at = k->stack.at[--k->stack.n];
        if (at.t >= 0)
            follow_port(k, at);
        else
            follow_bar(k, at);
    }
}

/* Starts at the top rails (distance 0 on the high side), then at return rails that were met, then at what is left. */
static void set_columns(plan *p)
{
    const van *v = p->van;
    walk k = {.p = p};
    k.is_placed = ARENA_ARRAY(p->arena, bool, (size_t)v->n_items + 1);
    k.stamp = ARENA_ARRAY(p->arena, int, (size_t)v->n_items + 1);
    k.partner = ARENA_ARRAY(p->arena, int, (size_t)v->n_terminals + 1);
    for (int t = 0; t < v->n_terminals; t++) k.partner[t] = p->column[t] = -1;
    for (int pass = 0; pass < 2; pass++)
        for (int t = 0; t < v->n_terminals; t++) {
            int i = v->terminals[t].item;
            if (k.is_placed[i] || !plan_wire_count(p, t)) continue;
            bool is_root = p->side[t] == SIDE_HIGH && p->distance[t] == 0;
            if (pass == 0 && !is_root) continue;
            if (is_bar(p, i))
                expand_bar(&k, i, -1);
            else
                place_item(&k, t, plan_insert(p, -1, false));
            follow_all(&k);
            for (size_t b = 0; b < k.late.n; b++) {
                late at = k.late.at[b];
                if (!k.is_placed[item_at(&k, at.entry)]) place_item(&k, at.entry, plan_insert(p, at.column, true));
                follow_all(&k);
            }
            for (size_t b = 0; b < k.low_bars.n; b++) {
                if (!k.is_placed[k.low_bars.at[b]]) expand_bar(&k, k.low_bars.at[b], -1);
                follow_all(&k);
            }
        }
    for (int i = 0; i < v->n_items && !p->book->is_screen; i++) /* connected to nothing: shown all the same */
        if (!p->is_wired[i] && p->stand[i] == STAND_ITEM && v->items[i].n_terminals)
            p->column[v->items[i].first_terminal] = plan_insert(p, -1, false);
}

/* ---- both ---- */

typedef struct stretch {
    int item, row, from, to;
} stretch;

static int by_row(const void *x, const void *y)
{
    const stretch *a = x, *b = y;
    if (a->row != b->row) return a->row - b->row;
    if (a->from != b->from) return a->from - b->from;
    return a->item - b->item;
}

/* Moves down what would stand on the lanes of another item in its row. True when something moved. */
static bool part_items(plan *p, levels *l)
{
    ARRAY(stretch) all = {0};
    bool has_moved = false;
    for (int i = 0; i < p->van->n_items; i++) {
        stretch s = {i, plan_row(p, i), 0, 0};
        plan_span(p, i, &s.from, &s.to);
        if (!is_bar(p, i) && s.to >= 0) *ARRAY_ADD(p->arena, &all) = s;
    }
    if (all.n) qsort(all.at, all.n, sizeof(stretch), by_row);
    for (size_t i = 1, last = 0; i < all.n; i++) {
        if (all.at[i].row == all.at[last].row && all.at[i].from <= all.at[last].to) {
            l->floors[all.at[i].item] = p->level[all.at[i].item] + 2;
            has_moved = true;
        } else
            last = i;
    }
    return has_moved;
}

void plan_place(plan *p)
{
    levels l = {.floors = ARENA_ARRAY(p->arena, int, (size_t)p->van->n_items + 1)};
    for (int i = 0; i < p->van->n_items; i++) l.floors[i] = is_bar(p, i) ? 0 : 1;
    list_edges(p, &l);
    sort_items(p, &l);
    set_levels(p, &l);
    set_columns(p);
    p->n_placed = (int)p->order.n;
    l.is_frozen = true;
    memcpy(l.floors, p->level, (size_t)p->van->n_items * sizeof(int));
    for (int rounds = 0; rounds <= p->van->n_items && part_items(p, &l); rounds++) set_levels(p, &l);
}

/* Forgets the columns that the routing added. */
static void drop_routed_columns(plan *p)
{
    size_t n = 0;
    for (size_t i = 0; i < p->order.n; i++)
        if (p->order.at[i] < p->n_placed) p->order.at[n++] = p->order.at[i];
    p->order.n = n;
    for (size_t i = 0; i < n; i++) p->position[p->order.at[i]] = (int)i;
}

static bool move_lane(plan *p, corner at, bool is_top)
{
    for (int i = 0; i < p->van->n_items; i++) {
        const item *it = &p->van->items[i];
        bool is_here = false;
        if (is_bar(p, i) || plan_row(p, i) != (is_top ? at.channel : at.channel - 1)) continue;
        for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
            is_here = is_here || (p->column[t] == at.column && p->is_top[t] == is_top);
        if (!is_here) continue;
        int column = plan_insert(p, at.column, true);
        for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
            if (p->column[t] == at.column) p->column[t] = column;
        return true;
    }
    return false;
}

bool plan_part_lane(plan *p, corner at)
{
    if (at.column >= p->n_placed) return false;
    drop_routed_columns(p);
    return move_lane(p, at, true) || move_lane(p, at, false);
}

void plan_bar_turn(plan *p, corner at)
{
    drop_routed_columns(p);
    *ARRAY_ADD(p->arena, &p->barred) = at;
}
