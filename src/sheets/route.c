/* The way of each wire through the grid: down its lane where it can, else the cheapest way after Dijkstra, with a price
 * on each bend, each crossing and each step. Where every lane is taken, a new column opens. See plan.h.
 *
 * While searching, spots between columns count too: spot 2 * position + 1 is a column, an even spot lies between
 * two columns (or outside all), where a new one would go. */
#include "sheets/plan.h"

#include <assert.h>
#include <limits.h>
#include <string.h>

enum {
    COST_ROW = 1,
    COST_STEP = 4,
    COST_BEND = 10,
    COST_CROSSING = 30,
    COST_COLUMN = 40,
    COST_STRETCH = 1,
    COST_BARRED = 1000
};

/* How a state was reached: at the start, along a lane, or across. */
typedef enum came { CAME_START, CAME_DOWN, CAME_UP, CAME_LEFT, CAME_RIGHT, N_CAME } came;
static bool is_lane(came c) { return c == CAME_DOWN || c == CAME_UP; }
static bool is_across(came c) { return c == CAME_LEFT || c == CAME_RIGHT; }
typedef struct state {
    int spot, channel;
    came came;
} state;

typedef struct level_part {
    int from, to;
} level_part; /* column ids; a level part of a wire's way */
typedef ARRAY(level_part) level_parts;

typedef struct waiting {
    int price, index;
} waiting; /* a state in the heap */

typedef struct router {
    plan *p;
    int n_rows, n_channels;
    ARRAY(char *) taken;         /* of each column id: rows where something stands or runs */
    ARRAY(unsigned char *) pins; /* of each column id: channels that something enters from above (1), from below (2) */
    char *gap_taken;             /* row * (n columns + 1) + gap: an item stands across */
    bool *has_straight;          /* of each terminal: a wire runs straight on from its port; others turn off */
    int *bar_from, *bar_to;      /* of each bar: column ids that it reaches so far; -1 */
    int *bars, n_bars;           /* items */
    level_parts *parts;          /* of each channel */
    /* search */
    ARRAY(waiting) heap;
    int *cost, *before; /* of each state; INT_MAX where the search has not been */
    ARRAY(int) met;     /* states where it has */
    int n_states;
} router;

static bool is_bar(const plan *p, int i) { return p->stand[i] != STAND_ITEM; }
static int n_columns(const router *r) { return (int)r->p->order.n; }
static int id_at(const router *r, int at) { return r->p->order.at[at]; }

static void stand_items(router *r)
{
    for (int i = 0; i < r->p->van->n_items; i++) {
        int from, to;
        if (is_bar(r->p, i)) continue;
        plan_span(r->p, i, &from, &to);
        for (int at = from; at <= to; at++) r->taken.at[id_at(r, at)][plan_row(r->p, i)] = 1;
    }
}

static void note_columns(router *r)
{
    while ((int)r->taken.n < n_columns(r)) {
        *ARRAY_ADD(r->p->arena, &r->taken) = ARENA_ARRAY(r->p->arena, char, (size_t)r->n_rows + 1);
        *ARRAY_ADD(r->p->arena, &r->pins) = ARENA_ARRAY(r->p->arena, unsigned char, (size_t)r->n_channels + 1);
    }
    size_t width = (size_t)n_columns(r) + 1;
    r->gap_taken = ARENA_ARRAY(r->p->arena, char, width *((size_t)r->n_rows + 1));
    for (int i = 0; i < r->p->van->n_items; i++) {
        int from, to;
        if (is_bar(r->p, i)) continue;
        plan_span(r->p, i, &from, &to);
        for (int at = from + 1; at <= to; at++) r->gap_taken[(size_t)plan_row(r->p, i) * width + (size_t)at] = 1;
    }
    stand_items(r); /* a new column inside a wide item is as taken as its neighbours */
    int n = (2 * n_columns(r) + 1) * r->n_channels * N_CAME;
    if (n > r->n_states) {
        r->n_states = n + n / 2;
        r->cost = ARENA_ARRAY(r->p->arena, int, (size_t)r->n_states);
        r->before = ARENA_ARRAY(r->p->arena, int, (size_t)r->n_states);
        for (int i = 0; i < r->n_states; i++) r->cost[i] = INT_MAX;
        r->met.n = 0;
    }
}

static bool is_free(const router *r, int spot, int row)
{
    if (row < 0 || row >= r->n_rows) return false;
    if (spot % 2) return !r->taken.at[id_at(r, spot / 2)][row];
    return !r->gap_taken[(size_t)row * ((size_t)n_columns(r) + 1) + (size_t)(spot / 2)];
}

/* Where a wire's end meets the grid. */
typedef struct end {
    bool is_bar;
    int bar, column, channel, t;
} end;

static end end_of(const router *r, int t)
{
    const plan *p = r->p;
    int i = p->van->terminals[t].item;
    if (is_bar(p, i)) return (end){true, i, -1, plan_channel(p, i), t};
    return (end){false, -1, p->column[t], plan_row(p, i) + !p->is_top[t], t};
}

static void touch_bar(router *r, int bar, int id)
{
    const int *order = r->p->position;
    if (r->bar_from[bar] < 0 || order[id] < order[r->bar_from[bar]]) r->bar_from[bar] = id;
    if (r->bar_to[bar] < 0 || order[id] > order[r->bar_to[bar]]) r->bar_to[bar] = id;
}

/* Takes the lanes of a way and notes its level parts. */
static void lay(router *r, int w, way way_of)
{
    plan *p = r->p;
    const wire *at = &p->van->wires[w];
    end ends[2] = {end_of(r, at->from), end_of(r, at->to)};
    p->ways[w] = way_of;
    for (int i = 0; i + 1 < way_of.n; i++) {
        corner a = way_of.at[i], b = way_of.at[i + 1];
        if (a.column != b.column) {
            *ARRAY_ADD(p->arena, &r->parts[a.channel]) = (level_part){a.column, b.column};
            continue;
        }
        int top = a.channel < b.channel ? a.channel : b.channel, bottom = a.channel + b.channel - top;
        for (int row = top; row < bottom; row++) {
            r->taken.at[a.column][row] = 1;
            r->pins.at[a.column][row] |= 2;
            r->pins.at[a.column][row + 1] |= 1;
        }
    }
    for (int e = 0; e < 2; e++) {
        corner tip = e ? way_of.at[way_of.n - 1] : way_of.at[0];
        corner next = e ? way_of.at[way_of.n - 2 + (way_of.n == 1)] : way_of.at[way_of.n > 1];
        if (ends[e].is_bar)
            touch_bar(r, ends[e].bar, tip.column);
        else if (tip.column == next.column)
            r->has_straight[ends[e].t] = true;
    }
}

static way one_lane(const router *r, int column, int a, int b)
{
    way w = {ARENA_ARRAY(r->p->arena, corner, 2), a == b ? 1 : 2};
    w.at[0] = (corner){column, a};
    w.at[1] = (corner){column, b};
    return w;
}

/* Straight down one lane, if nothing stands in it. */
static bool try_straight(router *r, int w)
{
    plan *p = r->p;
    end a = end_of(r, p->van->wires[w].from), b = end_of(r, p->van->wires[w].to);
    if (a.is_bar && b.is_bar) return false;
    if ((!a.is_bar && r->has_straight[a.t]) || (!b.is_bar && r->has_straight[b.t])) return false;
    int column = a.is_bar ? b.column : a.column;
    if (!a.is_bar && !b.is_bar && a.column != b.column) return false;
    int top = a.channel < b.channel ? a.channel : b.channel, bottom = a.channel + b.channel - top;
    for (int row = top; row < bottom; row++)
        if (r->taken.at[column][row]) return false;
    lay(r, w, one_lane(r, column, a.channel, b.channel));
    return true;
}

/* ---- search ---- */

static int index_of(const router *r, state s)
{
    return (s.channel * (2 * n_columns(r) + 1) + s.spot) * N_CAME + (int)s.came;
}

static state state_at(const router *r, int index)
{
    int width = 2 * n_columns(r) + 1;
    return (state){index / N_CAME % width, index / N_CAME / width, (came)(index % N_CAME)};
}

static bool is_before(waiting a, waiting b) { return a.price != b.price ? a.price < b.price : a.index < b.index; }

static void swap(waiting *a, waiting *b)
{
    waiting kept = *a;
    *a = *b;
    *b = kept;
}

static void push(router *r, waiting w)
{
    *ARRAY_ADD(r->p->arena, &r->heap) = w;
    waiting *h = r->heap.at;
    for (size_t i = r->heap.n - 1; i && is_before(h[i], h[(i - 1) / 2]); i = (i - 1) / 2) swap(&h[i], &h[(i - 1) / 2]);
}

static waiting pop(router *r)
{
    waiting *h = r->heap.at, best = h[0];
    size_t n = --r->heap.n, i = 0;
    h[0] = h[n];
    for (;;) {
        size_t least = i;
        for (size_t c = 2 * i + 1; c <= 2 * i + 2 && c < n; c++)
            if (is_before(h[c], h[least])) least = c;
        if (least == i) return best;
        swap(&h[i], &h[least]);
        i = least;
    }
}

static void offer(router *r, state to, int price, int from)
{
    int index = index_of(r, to);
    if (r->cost[index] <= price) return;
    if (r->cost[index] == INT_MAX) *ARRAY_ADD(r->p->arena, &r->met) = index;
    r->cost[index] = price;
    r->before[index] = from;
    push(r, (waiting){price, index});
}

static bool covers(const plan *p, int from, int to, int spot)
{
    int a = 2 * p->position[from] + 1, b = 2 * p->position[to] + 1;
    return a < b ? spot > a && spot < b : spot > b && spot < a;
}

static int crossings_at(const router *r, state s, int own_a, int own_b)
{
    int n = 0;
    const level_parts *parts = &r->parts[s.channel];
    for (size_t i = 0; i < parts->n; i++) n += covers(r->p, parts->at[i].from, parts->at[i].to, s.spot);
    for (int k = 0; k < r->n_bars; k++) {
        int i = r->bars[k];
        if (plan_channel(r->p, i) == s.channel && i != own_a && i != own_b && r->bar_from[i] >= 0)
            n += covers(r->p, r->bar_from[i], r->bar_to[i], s.spot);
    }
    return n;
}

/* Turning where another wire meets the same lane from the other side would tie the order of both. */
static int turning_cost(const router *r, state s, int other_side)
{
    if (s.spot % 2 == 0) return 0;
    int column = id_at(r, s.spot / 2);
    for (size_t i = 0; i < r->p->barred.n; i++)
        if (r->p->barred.at[i].column == column && r->p->barred.at[i].channel == s.channel) return COST_BARRED;
    return r->pins.at[column][s.channel] & other_side ? 2 * COST_COLUMN : 0;
}

static void step_down(router *r, state s, int by, int price, int index, const end *a, const end *b)
{
    if (!is_free(r, s.spot, by > 0 ? s.channel : s.channel - 1)) return;
    if (s.came == (by > 0 ? CAME_UP : CAME_DOWN)) return; /* never back */
    if (s.came == CAME_START && !a->is_bar && r->has_straight[a->t]) return;
    price += COST_ROW + (is_across(s.came) ? COST_BEND + turning_cost(r, s, by > 0 ? 1 : 2) : 0);
    if (s.spot % 2 == 0) price += COST_COLUMN;
    if (is_lane(s.came)) price += COST_CROSSING * crossings_at(r, s, a->bar, b->bar);
    offer(r, (state){s.spot, s.channel + by, by > 0 ? CAME_DOWN : CAME_UP}, price, index);
}

static void step_across(router *r, state s, int by, int price, int index)
{
    int spot = s.spot + by;
    if (spot < 0 || spot > 2 * n_columns(r)) return;
    if (s.came == (by > 0 ? CAME_LEFT : CAME_RIGHT)) return;
    price += COST_STEP / 2 + (is_across(s.came) ? 0 : COST_BEND);
    if (is_lane(s.came)) price += turning_cost(r, s, s.came == CAME_DOWN ? 2 : 1);
    if (spot % 2) {
        int pins = r->pins.at[id_at(r, spot / 2)][s.channel];
        price += COST_CROSSING / 2 * ((pins & 1) + (pins >> 1));
    }
    offer(r, (state){spot, s.channel, by > 0 ? CAME_RIGHT : CAME_LEFT}, price, index);
}

/* What it costs to end here; -1 when the wire can't end here. */
static int ending_cost(const router *r, state s, const end *a, const end *b)
{
    const plan *p = r->p;
    if (s.channel != b->channel) return -1;
    if (!b->is_bar) {
        if (s.spot != 2 * p->position[b->column] + 1) return -1;
        if (is_across(s.came)) return COST_BEND;
        return r->has_straight[b->t] || s.came == CAME_START ? -1 : 0;
    }
    if (is_across(s.came) || (s.came == CAME_START && r->has_straight[a->t]) ||
        (s.came == CAME_START && s.spot % 2 == 0))
        return -1;
    if (r->bar_from[b->bar] < 0) return 0;
    int from = 2 * p->position[r->bar_from[b->bar]] + 1, to = 2 * p->position[r->bar_to[b->bar]] + 1;
    return COST_STRETCH * (s.spot < from ? from - s.spot : s.spot > to ? s.spot - to : 0);
}

static void start_search(router *r, const end *a)
{
    for (size_t i = 0; i < r->met.n; i++) r->cost[r->met.at[i]] = INT_MAX;
    r->met.n = 0;
    r->heap.n = 0;
    if (!a->is_bar) {
        offer(r, (state){2 * r->p->position[a->column] + 1, a->channel, CAME_START}, 0, -1);
        return;
    }
    for (int spot = 0; spot <= 2 * n_columns(r); spot++) {
        int stretch = ending_cost(r, (state){spot, a->channel, CAME_DOWN}, a, a);
        for (int by = -1; by <= 1; by += 2) {
            if (!is_free(r, spot, by > 0 ? a->channel : a->channel - 1)) continue;
            int price = stretch + COST_ROW + (spot % 2 ? 0 : COST_COLUMN);
            offer(r, (state){spot, a->channel + by, by > 0 ? CAME_DOWN : CAME_UP}, price, -3 - by);
        }
    }
}

/* Turns the chain of states that ends at `index` into corners, with a new column wherever it runs down between two. */
static way trace(router *r, int index, const end *a)
{
    plan *p = r->p;
    ARRAY(state) back = {0};
    int at = index;
    while (at >= 0) {
        *ARRAY_ADD(p->arena, &back) = state_at(r, at);
        if (r->before[at] < -1) /* left a bar: -3 - by */
            *ARRAY_ADD(p->arena, &back) = (state){state_at(r, at).spot, a->channel, CAME_START};
        at = r->before[at];
    }
    /* Corners first, as places: then columns can be put in from right to left without moving the places that count. */
    ARRAY(state) bends = {0};
    for (size_t i = 0; i < back.n; i++) {
        bool is_between = i > 0 && i + 1 < back.n &&
                          (back.at[i - 1].spot == back.at[i].spot) == (back.at[i].spot == back.at[i + 1].spot);
        if (!is_between) *ARRAY_ADD(p->arena, &bends) = back.at[i];
    }
    int *ids = ARENA_ARRAY(p->arena, int, bends.n);
    for (size_t i = 0; i < bends.n; i++) ids[i] = bends.at[i].spot % 2 ? id_at(r, bends.at[i].spot / 2) : -1;
    for (;;) {
        int rightmost = -1;
        for (size_t i = 0; i < bends.n; i++)
            if (ids[i] < 0 && bends.at[i].spot > rightmost) rightmost = bends.at[i].spot;
        if (rightmost < 0) break;
        int gap = rightmost / 2;
        int id = gap < n_columns(r) ? plan_insert(p, id_at(r, gap), false) : plan_insert(p, -1, false);
        for (size_t i = 0; i < bends.n; i++)
            if (ids[i] < 0 && bends.at[i].spot == rightmost) ids[i] = id;
    }
    way w = {ARENA_ARRAY(p->arena, corner, bends.n), (int)bends.n};
    for (size_t i = 0; i < bends.n; i++) /* bends run from the end to the start */
        w.at[bends.n - 1 - i] = (corner){ids[i], bends.at[i].channel};
    note_columns(r);
    return w;
}

static bool search(router *r, int w)
{
    plan *p = r->p;
    const wire *at = &p->van->wires[w];
    end a = end_of(r, at->from), b = end_of(r, at->to);
    bool is_turned = a.is_bar && !b.is_bar; /* from the port to the bar: fewer places to start from */
    if (is_turned) {
        end kept = a;
        a = b;
        b = kept;
    }
    assert(r->cost);
    start_search(r, &a);
    int best = INT_MAX, best_index = -1;
    while (r->heap.n) {
        waiting next = pop(r);
        int index = next.index, price = next.price;
        if (price > r->cost[index]) continue;
        if (price >= best) break;
        state s = state_at(r, index);
        int ending = ending_cost(r, s, &a, &b);
        if (ending >= 0 && price + ending < best) best = price + ending, best_index = index;
        step_down(r, s, 1, price, index, &a, &b);
        step_down(r, s, -1, price, index, &a, &b);
        step_across(r, s, 1, price, index);
        step_across(r, s, -1, price, index);
    }
    if (best_index < 0) return false;
    way found = trace(r, best_index, &a);
    if (is_turned)
        for (int i = 0; i < found.n / 2; i++) {
            corner kept = found.at[i];
            found.at[i] = found.at[found.n - 1 - i];
            found.at[found.n - 1 - i] = kept;
        }
    lay(r, w, found);
    return true;
}

void plan_route(plan *p)
{
    const van *v = p->van;
    p->n_placed = (int)p->order.n;
    p->n_forced = 0;
    router r = {.p = p, .n_rows = p->n_rows, .n_channels = p->n_rows + 1};
    p->ways = ARENA_ARRAY(p->arena, way, (size_t)v->n_wires + 1);
    r.bar_from = ARENA_ARRAY(p->arena, int, (size_t)v->n_items + 1);
    r.bar_to = ARENA_ARRAY(p->arena, int, (size_t)v->n_items + 1);
    r.bars = ARENA_ARRAY(p->arena, int, (size_t)v->n_items + 1);
    r.parts = ARENA_ARRAY(p->arena, level_parts, (size_t)r.n_channels + 1);
    for (int i = 0; i < v->n_items; i++) {
        r.bar_from[i] = r.bar_to[i] = -1;
        if (is_bar(p, i)) r.bars[r.n_bars++] = i;
    }
    r.has_straight = ARENA_ARRAY(p->arena, bool, (size_t)v->n_terminals + 1);
    note_columns(&r);
    for (int w = 0; w < v->n_wires; w++) try_straight(&r, w);
    for (int w = 0; w < v->n_wires; w++)
        if (!p->ways[w].n && !search(&r, w)) p->n_forced++;
}
