/* Which way up: the diagram reads from the positive side at the top to the negative side at the bottom, so each
 * terminal gets a side and a distance, by walking the wiring as a graph from the battery's first hub on either side.
 * No current and no voltage is asked: a van that is wired wrong is drawn as it is wired. See plan.h. */
#include "sheets/plan.h"

#include <limits.h>
#include <string.h>

#define HEIGHT_TOP 1000000

int plan_wire_count(const plan *p, int t) { return p->first_wire[t + 1] - p->first_wire[t]; }

int plan_other_end(const plan *p, int w, int t)
{
    const wire *at = &p->van->wires[w];
    return at->from == t ? at->to : at->from;
}

int plan_height(const plan *p, int t)
{
    return p->side[t] == SIDE_LOW ? p->distance[t] - HEIGHT_TOP : HEIGHT_TOP - p->distance[t];
}

static void list_wires(plan *p)
{
    const van *v = p->van;
    p->first_wire = ARENA_ARRAY(p->arena, int, (size_t)v->n_terminals + 1);
    p->wires = ARENA_ARRAY(p->arena, int, 2 * (size_t)v->n_wires + 1);
    int *next = ARENA_ARRAY(p->arena, int, (size_t)v->n_terminals + 1);
    for (int w = 0; w < v->n_wires; w++) {
        p->first_wire[v->wires[w].from + 1]++;
        p->first_wire[v->wires[w].to + 1]++;
        p->is_wired[v->terminals[v->wires[w].from].item] = p->is_wired[v->terminals[v->wires[w].to].item] = true;
    }
    for (int t = 0; t < v->n_terminals; t++) next[t + 1] = p->first_wire[t + 1] += p->first_wire[t];
    for (int w = 0; w < v->n_wires; w++) {
        p->wires[next[v->wires[w].from]++] = w;
        p->wires[next[v->wires[w].to]++] = w;
    }
}

/* Inside an item: which terminals does metal join, contacts taken as closed? */
static int find(int *parent, int i)
{
    while (parent[i] != i) i = parent[i] = parent[parent[i]];
    return i;
}

static int end_node(const van *v, const item *it, element_end e, int number)
{
    if (e.form == END_INNER) return it->n_terminals + e.index;
    for (int t = 0; t < it->n_terminals; t++) {
        const terminal *at = &v->terminals[it->first_terminal + t];
        if (at->template_index == e.index && (e.form == END_TERMINAL || at->number == number)) return t;
    }
    return 0;
}

static bool conducts(element_type t)
{
    return t == ELEMENT_CONDUCTOR || t == ELEMENT_CONTACT || t == ELEMENT_FUSIBLE || t == ELEMENT_DIODE ||
           t == ELEMENT_CHOPPER;
}

static void group_item(plan *p, int i)
{
    const van *v = p->van;
    const item *it = &v->items[i];
    const kind *of = &v->kinds[it->kind];
    int n = it->n_terminals + of->n_inner, row = 0;
    int *parent = ARENA_ARRAY(p->arena, int, (size_t)n + 1);
    for (int k = 0; k < n; k++) parent[k] = k;
    for (int t = 0; t < it->n_terminals; t++)
        if (v->terminals[it->first_terminal + t].number > row) row = v->terminals[it->first_terminal + t].number;
    for (int e = 0; e < of->n_elements; e++) {
        const element *el = &of->elements[e];
        if (!conducts(el->type)) continue;
        int first = el->is_repeated ? 1 : 0, last = el->is_repeated ? row : 0;
        for (int number = first; number <= last; number++)
            parent[find(parent, end_node(v, it, el->a, number))] = find(parent, end_node(v, it, el->b, number));
    }
    for (int t = 0; t < it->n_terminals; t++) p->group[it->first_terminal + t] = find(parent, t);
}

static stand stand_of(const kind *k)
{
    if (k->role == ROLE_CHASSIS) return STAND_CHASSIS;
    if (k->role == ROLE_SPREADER) return STAND_BAR;
    if (k->role == ROLE_PROTECTION && k->row >= 0) return STAND_BLOCK;
    return STAND_ITEM;
}

/* Terminals that take part in the flood, first in first out. */
typedef struct queue {
    int *at;
    int head, n;
} queue;

static void reach(plan *p, queue *q, int t, side s, int distance)
{
    if (p->side[t] != SIDE_NONE) return;
    p->side[t] = s;
    p->distance[t] = distance;
    q->at[q->n++] = t;
}

static void flood(plan *p, queue *q)
{
    const van *v = p->van;
    while (q->head < q->n) {
        int t = q->at[q->head++];
        for (int i = p->first_wire[t]; i < p->first_wire[t + 1]; i++)
            reach(p, q, plan_other_end(p, p->wires[i], t), p->side[t], p->distance[t] + 1);
        const item *it = &v->items[v->terminals[t].item];
        for (int u = it->first_terminal; u < it->first_terminal + it->n_terminals; u++)
            if (p->group[u] == p->group[t]) reach(p, q, u, p->side[t], p->distance[t] + 1);
    }
}

/* The one other terminal that has wires and that an item joins to t; -1 when there is none or more than one. */
static int passage(const plan *p, int t)
{
    const van *v = p->van;
    const item *it = &v->items[v->terminals[t].item];
    int found = -1;
    for (int u = it->first_terminal; u < it->first_terminal + it->n_terminals; u++) {
        if (u == t || p->group[u] != p->group[t] || !plan_wire_count(p, u)) continue;
        if (found >= 0) return -1;
        found = u;
    }
    return found;
}

/* Walks from a post along wires and through what has one way in and one way out, up to the first hub, and seeds its
 * terminals: that is where the diagram has its top (or bottom) rail. Without a hub, the rail is the wire behind the
 * first protective device or shunt. */
static void seed_from_post(plan *p, queue *q, int post, side s)
{
    const van *v = p->van;
    int t = post, rail = -1;
    for (int steps = 0; steps < v->n_terminals; steps++) {
        if (plan_wire_count(p, t) != 1) { /* a hub at a stud, or a loose end */
            if (plan_wire_count(p, t) > 1) {
                reach(p, q, t, s, 0);
                return;
            }
            break;
        }
        int w = p->wires[p->first_wire[t]], u = plan_other_end(p, w, t);
        int i = v->terminals[u].item;
        if (rail < 0 || (t != post && rail == p->wires[p->first_wire[post]])) rail = w;
        if (p->stand[i] != STAND_ITEM) {
            for (int k = 0; k < v->items[i].n_terminals; k++) reach(p, q, v->items[i].first_terminal + k, s, 0);
            return;
        }
        if (plan_wire_count(p, u) > 1) {
            reach(p, q, u, s, 0);
            return;
        }
        t = passage(p, u);
        if (t < 0 || t == post) break;
    }
    if (rail < 0)
        reach(p, q, post, s, 0);
    else {
        reach(p, q, v->wires[rail].from, s, 0);
        reach(p, q, v->wires[rail].to, s, 0);
    }
}

static bool ends_with(const char *text, const char *end)
{
    size_t n = strlen(text), m = strlen(end);
    return n >= m && strcmp(text + n - m, end) == 0;
}

static side pole_of(const van *v, int t)
{
    const char *name = v->terminals[t].name;
    if (ends_with(name, "pos") || ends_with(name, ".line")) return SIDE_HIGH;
    if (ends_with(name, "neg") || ends_with(name, ".neutral") || ends_with(name, ".earth")) return SIDE_LOW;
    return SIDE_NONE;
}

/* Seeds the poles of the next item of such a role that no flood has met; false when there is none. */
static bool seed_next(plan *p, queue *q, role wanted, bool any_role)
{
    const van *v = p->van;
    for (int i = 0; i < v->n_items; i++) {
        if (!any_role && item_kind(v, i)->role != wanted) continue;
        bool has_seeded = false;
        for (int k = 0; k < v->items[i].n_terminals; k++) {
            int t = v->items[i].first_terminal + k;
            side s = pole_of(v, t);
            if (p->side[t] != SIDE_NONE || s == SIDE_NONE) continue;
            seed_from_post(p, q, t, s);
            if (p->side[t] == SIDE_NONE && q->head == q->n) reach(p, q, t, s, 0);
            has_seeded = true;
        }
        if (has_seeded) return true;
    }
    return false;
}

static bool has_high(const plan *p, int i)
{
    const item *it = &p->van->items[i];
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
        if (p->side[t] == SIDE_HIGH) return true;
    return false;
}

static void find_sides(plan *p)
{
    const van *v = p->van;
    queue q = {ARENA_ARRAY(p->arena, int, (size_t)v->n_terminals + 1), 0, 0};
    static const role roles[] = {ROLE_BATTERY, ROLE_CHARGER, ROLE_INVERTER};
    for (int r = 0; r < 3; r++)
        while (seed_next(p, &q, roles[r], false)) flood(p, &q);
    while (seed_next(p, &q, ROLE_OTHER, true)) flood(p, &q);
    for (int pass = 0; pass < 2; pass++) /* nets that no pole touches: the far side of what they hang on */
        for (int t = 0; t < v->n_terminals; t++) {
            if (pass == 0 && (p->stand[v->terminals[t].item] != STAND_ITEM || !plan_wire_count(p, t))) continue;
            reach(p, &q, t, has_high(p, v->terminals[t].item) ? SIDE_LOW : SIDE_HIGH, 0);
            flood(p, &q);
        }
}

/* Of terminals that an item joins inside, the highest looks up and the others down; one that stands alone looks up on
 * the high side and down on the low side. What an inverter gives hangs below it. */
static void find_tops(plan *p, int i)
{
    const van *v = p->van;
    const item *it = &v->items[i];
    bool is_inverter = item_kind(v, i)->role == ROLE_INVERTER;
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        bool is_alone = true, is_highest = true;
        for (int u = it->first_terminal; u < it->first_terminal + it->n_terminals; u++) {
            if (u == t || p->group[u] != p->group[t]) continue;
            is_alone = false;
            int above = plan_height(p, u) - plan_height(p, t);
            if (above > 0 || (above == 0 && u < t)) is_highest = false;
        }
        bool is_pole = plan_wire_count(p, t) ? p->side[t] == SIDE_HIGH : pole_of(v, t) == SIDE_HIGH;
        p->is_top[t] = is_alone ? is_pole : is_highest;
        if (is_inverter && !ends_with(v->terminals[t].name, "pos")) p->is_top[t] = false;
    }
}

plan *plan_orient(book *b)
{
    plan *p = ARENA_NEW(b->arena, plan);
    const van *v = b->van;
    size_t n_terminals = (size_t)v->n_terminals + 1, n_items = (size_t)v->n_items + 1;
    p->book = b;
    p->arena = b->arena;
    p->van = v;
    p->group = ARENA_ARRAY(p->arena, int, n_terminals);
    p->side = ARENA_ARRAY(p->arena, side, n_terminals);
    p->distance = ARENA_ARRAY(p->arena, int, n_terminals);
    p->is_top = ARENA_ARRAY(p->arena, bool, n_terminals);
    p->column = ARENA_ARRAY(p->arena, int, n_terminals);
    p->stand = ARENA_ARRAY(p->arena, stand, n_items);
    p->is_wired = ARENA_ARRAY(p->arena, bool, n_items);
    p->level = ARENA_ARRAY(p->arena, int, n_items);
    list_wires(p);
    for (int i = 0; i < v->n_items; i++) {
        p->stand[i] = stand_of(item_kind(v, i));
        group_item(p, i);
    }
    find_sides(p);
    for (int i = 0; i < v->n_items; i++)
        if (p->stand[i] == STAND_ITEM) find_tops(p, i);
    return p;
}
