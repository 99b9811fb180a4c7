/* Every switch position: by parts against one by one, one by one against a loop of its own, on random vans; clocks,
 * threads, and what it says when it can't be complete. */
#include "circuit/states.h"

#include "fewer.h"
#include "random_van.h"
#include "tap.h"
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static double seconds(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* ---- watches ---- */

typedef ARRAY(watch) watch_list;

static void add_watch(const hand *h, watch_list *l, watch_kind kind, int index)
{
    *ARRAY_ADD(h->arena, l) = (watch){.kind = kind, .index = index};
}

/* With a random contact or two open or closed. */
static void add_conditional(const hand *h, watch_list *l, dice *d, watch w)
{
    int *picked = ARENA_ARRAY(h->arena, int, 2), n = 0;
    for (int tries = 0; tries < 60 && n < 2; tries++) {
        const int e = (int)dice_roll(d, (uint32_t)h->net.n_elements);
        const element_type type = h->net.elements[e].type;
        if (type == ELEMENT_CONTACT || type == ELEMENT_CHOPPER) picked[n++] = e;
    }
    if (n == 2 && dice_chance(d, 60)) n = 1;
    if (dice_chance(d, 50)) {
        w.open = picked;
        w.n_open = n;
    } else {
        w.closed = picked;
        w.n_closed = n;
    }
    *ARRAY_ADD(h->arena, l) = w;
}

static watch_list all_watches(const hand *h, uint64_t seed)
{
    watch_list l = {0};
    dice d = {seed};
    for (int e = 0; e < h->net.n_elements; e++) {
        add_watch(h, &l, WATCH_ELEMENT_A, e);
        add_watch(h, &l, WATCH_ELEMENT_RMS_A, e);
        if (e < h->net.van->n_wires) add_watch(h, &l, WATCH_WIRE_A, e);
    }
    for (int i = 0; i < h->net.van->n_items; i++) {
        add_watch(h, &l, WATCH_ITEM_V, i);
        add_watch(h, &l, WATCH_ITEM_W, i);
        add_watch(h, &l, WATCH_ITEM_RUNS, i);
        add_watch(h, &l, WATCH_LAMP_LIT, i);
    }
    for (int n = 0; n < h->net.n_nodes; n++) add_watch(h, &l, WATCH_TERMINAL_V, n);
    const size_t n = l.n;
    for (size_t k = 0; k < n; k += 3) add_conditional(h, &l, &d, l.at[k]);
    return l;
}

/* Magnitudes, whose least is given as 0 where the current can run either way. */
static bool is_magnitude(watch_kind k)
{
    return k == WATCH_ELEMENT_A || k == WATCH_ELEMENT_RMS_A || k == WATCH_WIRE_RMS_A;
}

static double scale_of(double a, double b) { return 1e-8 * (1 + fabs(a) + fabs(b)); }

static bool is_near(double a, double b) { return fabs(a - b) <= 10 * scale_of(a, b); }

static double value_in(const network *net, const operating_point *op, const watch *w)
{
    (void)net;
    switch (w->kind) {
    case WATCH_WIRE_A:
        return op->current_A[w->index];
    case WATCH_ELEMENT_A:
        return fabs(op->current_A[w->index]);
    case WATCH_WIRE_RMS_A:
    case WATCH_ELEMENT_RMS_A:
        return op->rms_A[w->index];
    case WATCH_ITEM_V:
        return op->items[w->index].volts;
    case WATCH_ITEM_W:
        return op->items[w->index].watts;
    case WATCH_ITEM_RUNS:
        return op->items[w->index].runs;
    case WATCH_LAMP_LIT:
        return op->items[w->index].lamp_lit;
    default:
        return op->node_V[w->index];
    }
}

static bool is_contact_closed(const hand *h, int e, const position *at, const operating_point *op, bool *is_open)
{
    const net_element *x = &h->net.elements[e];
    if (x->type == ELEMENT_CHOPPER) {
        *is_open = at[x->item].fraction <= 0;
        return at[x->item].fraction >= 1;
    }
    int index = at[x->item].index;
    for (int k = 0; k < h->net.n_elements; k++)
        if (h->net.elements[k].type == ELEMENT_COIL && h->net.elements[k].item == x->item)
            index = op->items[x->item].is_pulled ? h->net.elements[k].moves : 0;
    const bool is_closed = x->closed_in >> index & 1u;
    *is_open = !is_closed;
    return is_closed;
}

static bool meets(const hand *h, const watch *w, const position *at, const operating_point *op)
{
    bool is_open;
    for (int k = 0; k < w->n_open; k++) {
        is_contact_closed(h, w->open[k], at, op, &is_open);
        if (!is_open) return false;
    }
    for (int k = 0; k < w->n_closed; k++)
        if (!is_contact_closed(h, w->closed[k], at, op, &is_open)) return false;
    return true;
}

/* ---- a loop of its own ---- */

static bool is_allowed(const van *v, const position *at)
{
    for (int i = 0; i < v->n_items; i++)
        for (int k = 0; k < v->items[i].n_exclusions; k++) {
            const exclusion *x = &v->items[i].exclusions[k];
            const bool is_there = at[x->other].index == x->there.index && at[x->other].fraction == x->there.fraction;
            const position *first = &v->items[i].positions[0];
            const bool is_away = at[i].index != first->index || at[i].fraction != first->fraction;
            if (is_there && (x->here < 0 ? is_away : at[i].index == x->here)) return false;
        }
    return true;
}

static bool has_coil(const hand *h, int item)
{
    for (int k = 0; k < h->net.n_elements; k++)
        if (h->net.elements[k].type == ELEMENT_COIL && h->net.elements[k].item == item) return true;
    return false;
}

typedef struct loop {
    double n;
    double *least, *most, *least_A, *most_A;
    bool *is_met;
} loop;

static void look(const hand *h, op_plan *plan, const position *at, const watch_list *l, loop *x)
{
    const operating_point *op = op_solve(plan, at, false);
    if (op->outcome != OUTCOME_SOLVED) return;
    for (size_t w = 0; w < l->n; w++) {
        const double value = value_in(&h->net, op, &l->at[w]);
        if (isnan(value) || !meets(h, &l->at[w], at, op)) continue;
        const double A = is_magnitude(l->at[w].kind) ? op->current_A[l->at[w].index] : 0;
        x->least[w] = x->is_met[w] ? fmin(x->least[w], value) : value;
        x->most[w] = x->is_met[w] ? fmax(x->most[w], value) : value;
        x->least_A[w] = fmin(x->least_A[w], A);
        x->most_A[w] = fmax(x->most_A[w], A);
        x->is_met[w] = true;
    }
}

static loop loop_over(const hand *h, const watch_list *l)
{
    arena *a = h->arena;
    const van *v = h->net.van;
    loop x = {0,
              ARENA_ARRAY(a, double, l->n),
              ARENA_ARRAY(a, double, l->n),
              ARENA_ARRAY(a, double, l->n),
              ARENA_ARRAY(a, double, l->n),
              ARENA_ARRAY(a, bool, l->n)};
    for (size_t w = 0; w < l->n; w++) {
        x.least_A[w] = INFINITY;
        x.most_A[w] = -INFINITY;
    }
    op_plan *plan = op_plan_create(a, &h->net);
    position *at = positions_rest(v, a);
    int *stand = ARENA_ARRAY(a, int, (size_t)v->n_items + 1);
    bool *is_moved = ARENA_ARRAY(a, bool, (size_t)v->n_items + 1);
    for (int i = 0; i < v->n_items; i++) is_moved[i] = v->items[i].n_positions > 1 && !has_coil(h, i);
    for (;;) {
        for (int i = 0; i < v->n_items; i++)
            if (is_moved[i]) at[i] = v->items[i].positions[stand[i]];
        if (is_allowed(v, at)) {
            x.n++;
            look(h, plan, at, l, &x);
        }
        int i = 0;
        for (; i < v->n_items; i++) {
            if (!is_moved[i]) continue;
            if (++stand[i] < v->items[i].n_positions) break;
            stand[i] = 0;
        }
        if (i == v->n_items) return x;
    }
}

START_TEST(test_plain_against_a_loop)
{
    static const van_plan plan = {6, false, true, true, true, true};
    hand *h = random_van(1000 + (uint64_t)_i, &plan);
    const watch_list l = all_watches(h, (uint64_t)_i);
    const loop x = loop_over(h, &l);
    states_options o = states_defaults();
    o.method = STATES_PLAIN;
    const states *st = states_run(h->arena, &h->net, l.at, (int)l.n, &o);
    ck_assert_double_eq(st->n_positions, x.n);
    ck_assert_double_eq(st->n_examined, x.n);
    for (size_t w = 0; w < l.n; w++) {
        const extreme *e = &st->extremes[w];
        ck_assert_int_eq(e->is_met, x.is_met[w]);
        if (!e->is_met) continue;
        const bool can_turn = is_magnitude(l.at[w].kind) && x.least_A[w] < 0 && x.most_A[w] > 0;
        ck_assert_msg(is_near(e->most, x.most[w]), "watch %zu: most %.12g, not %.12g", w, e->most, x.most[w]);
        if (can_turn)
            ck_assert(e->least <= x.least[w] + 1e-9);
        else
            ck_assert_msg(is_near(e->least, x.least[w]), "watch %zu: least %.12g, not %.12g", w, e->least, x.least[w]);
    }
    hand_destroy(h);
}
END_TEST

/* ---- by parts against one by one ---- */

static void check_named(const hand *h, const watch_list *l, const states *st)
{
    op_plan *plan = op_plan_create(h->arena, &h->net);
    for (int set = 0; set < st->n_sets; set++) {
        const operating_point *op = op_solve(plan, st->positions[set], false);
        ck_assert(is_allowed(h->net.van, st->positions[set]));
        for (size_t w = 0; w < l->n; w++) {
            const extreme *e = &st->extremes[w];
            if (!e->is_met) continue;
            for (int side = 0; side < 2; side++) {
                if ((side ? e->most_at : e->least_at) != (uint32_t)set) continue;
                if (!side && is_magnitude(l->at[w].kind) && e->least == 0) continue;
                ck_assert(meets(h, &l->at[w], st->positions[set], op));
                const double value = value_in(&h->net, op, &l->at[w]), said = side ? e->most : e->least;
                ck_assert_msg(is_near(value, said), "watch %zu says %.12g, its positions give %.12g", w, said, value);
            }
        }
    }
}

static void compare(const hand *h, const watch_list *l, const states *by_parts, const states *plain, int seed)
{
    ck_assert_double_eq(by_parts->n_positions, plain->n_positions);
    ck_assert(by_parts->is_complete == plain->is_complete);
    ck_assert_double_eq(by_parts->n_examined, plain->n_examined);
    for (size_t w = 0; w < l->n; w++) {
        const extreme *e = &by_parts->extremes[w], *x = &plain->extremes[w];
        ck_assert_msg(e->is_met == x->is_met, "seed %d watch %zu (%d of %d)", seed, w, (int)l->at[w].kind,
                      l->at[w].index);
        if (!e->is_met) continue;
        ck_assert_msg(is_near(e->most, x->most) && is_near(e->least, x->least),
                      "seed %d watch %zu (kind %d of %d): %.12g..%.12g, not %.12g..%.12g", seed, w, (int)l->at[w].kind,
                      l->at[w].index, e->least, e->most, x->least, x->most);
    }
    check_named(h, l, by_parts);
}

static void compare_methods(uint64_t seed, const van_plan *plan)
{
    hand *h = random_van(seed, plan);
    const watch_list l = all_watches(h, seed);
    states_options o = states_defaults();
    o.method = STATES_GROUPS;
    const states *by_parts = states_run(h->arena, &h->net, l.at, (int)l.n, &o);
    o.method = STATES_PLAIN;
    const states *plain = states_run(h->arena, &h->net, l.at, (int)l.n, &o);
    if (getenv("STATES_TELL"))
        printf("# seed %d: %s, %g positions, %ld solves\n", (int)seed, by_parts->method, plain->n_positions,
               by_parts->n_solves);
    compare(h, &l, by_parts, plain, (int)seed);
    hand_destroy(h);
}

START_TEST(test_houses)
{
    const van_plan plan = {8, true, false, false, false, _i % 3 == 0};
    compare_methods((uint64_t)_i, &plan);
}
END_TEST

START_TEST(test_vans)
{
    const van_plan plan = {9, false, true, true, true, _i % 4 == 0};
    compare_methods(500 + (uint64_t)_i, &plan);
}
END_TEST

START_TEST(test_wide_vans)
{
    static const van_plan plan = {12, false, false, true, false, false};
    compare_methods(9000 + (uint64_t)_i, &plan);
}
END_TEST

/* The method is worth its name: of plain houses most are gone through by parts, with few solves. */
START_TEST(test_parts_are_used)
{
    static const van_plan plan = {12, true, false, false, false, false};
    int n_parts = 0, n = 0;
    for (uint64_t seed = 0; seed < 40; seed++) {
        hand *h = random_van(20000 + seed, &plan);
        const watch_list l = all_watches(h, seed);
        const states_options o = states_defaults();
        const states *st = states_run(h->arena, &h->net, l.at, (int)l.n, &o);
        if (st->n_positions >= 256) {
            n++;
            n_parts += strcmp(st->method, "groups") == 0 && (double)st->n_solves < st->n_positions;
        }
        hand_destroy(h);
    }
    ck_assert_int_gt(n, 5);
    ck_assert_msg(n_parts * 10 >= n * 7, "%d of %d", n_parts, n);
}
END_TEST

/* ---- size ---- */

static watch_list few_watches(const hand *h)
{
    watch_list l = {0};
    for (int w = 0; w < h->net.van->n_wires; w++) add_watch(h, &l, WATCH_WIRE_RMS_A, w);
    for (int i = 0; i < h->net.van->n_items; i++) add_watch(h, &l, WATCH_ITEM_V, i);
    return l;
}

static void count_progress(void *context, double done)
{
    double *last = context;
    ck_assert(done > *last && done <= 1);
    *last = done;
}

/* 2^20 combinations of separate circuits: a minute is asked for; by parts it is a matter of moments. */
START_TEST(test_a_million_positions)
{
    hand *h = separate_circuits(20);
    const watch_list l = few_watches(h);
    states_options o = states_defaults();
    double done = 0;
    o.progress = count_progress;
    o.context = &done;
    const double start = seconds();
    const states *st = states_run(h->arena, &h->net, l.at, (int)l.n, &o);
    ck_assert(seconds() - start < 20);
    ck_assert(st->is_complete);
    ck_assert_double_eq(st->n_positions, 1 << 20);
    ck_assert_double_eq(st->n_examined, 1 << 20);
    ck_assert_str_eq(st->method, "groups");
    ck_assert_double_eq(done, 1);
    ck_assert_int_lt(st->n_solves, 2000);
    hand_destroy(h);
}
END_TEST

/* A chain in which every switch acts on every load: gone through one by one, under a clock; then told that it may not. */
START_TEST(test_nothing_falls_apart)
{
    hand *h = one_chain(12);
    const watch_list l = few_watches(h);
    states_options o = states_defaults();
    o.n_threads = 2;
    double done = 0;
    o.progress = count_progress;
    o.context = &done;
    const states *st = states_run(h->arena, &h->net, l.at, (int)l.n, &o);
    ck_assert(st->is_complete);
    ck_assert_double_eq(st->n_examined, 1 << 12);
    ck_assert_double_eq(done, 1);
    o.most_plain = 1 << 10;
    o.progress = NULL;
    st = states_run(h->arena, &h->net, l.at, (int)l.n, &o);
    ck_assert(!st->is_complete);
    ck_assert(st->why_not && strstr(st->why_not, "too many"));
    ck_assert_double_lt(st->n_examined, st->n_positions);
    hand_destroy(h);
}
END_TEST

START_TEST(test_threads_agree_to_the_bit)
{
    static const van_plan plan = {11, false, true, true, true, true};
    hand *h = _i ? one_chain(12) : random_van(77, &plan);
    const watch_list l = few_watches(h);
    states_options o = states_defaults();
    o.method = STATES_PLAIN;
    const states *one = states_run(h->arena, &h->net, l.at, (int)l.n, &o);
    for (int n = 2; n <= 8; n += 6) {
        o.n_threads = n;
        const states *more = states_run(h->arena, &h->net, l.at, (int)l.n, &o);
        ck_assert_int_eq(more->n_sets, one->n_sets);
        for (size_t w = 0; w < l.n; w++) {
            const extreme *x = &one->extremes[w], *y = &more->extremes[w];
            ck_assert_int_eq(x->is_met, y->is_met);
            ck_assert(memcmp(&x->least, &y->least, sizeof x->least) == 0);
            ck_assert(memcmp(&x->most, &y->most, sizeof x->most) == 0);
            ck_assert_uint_eq(x->least_at, y->least_at);
            ck_assert_uint_eq(x->most_at, y->most_at);
        }
    }
    hand_destroy(h);
}
END_TEST

/* ---- positions that are named ---- */

/* A watch of one circuit's lamp names its own switch alone, and of the supply's voltage all that draw. */
START_TEST(test_positions_are_minimal)
{
    hand *h = separate_circuits(8);
    int load = -1;
    for (int i = 0; load < 0; i++)
        if (strcmp(h->net.van->items[i].name, "load") == 0) load = i;
    const watch l[] = {{.kind = WATCH_ITEM_RUNS, .index = load}, {.kind = WATCH_ITEM_V, .index = load}};
    const states_options o = states_defaults();
    const states *st = states_run(h->arena, &h->net, l, 2, &o);
    ck_assert_str_eq(st->method, "groups");
    int n_away = 0, n_most = 0;
    for (int i = 0; i < h->net.van->n_items; i++) {
        n_away += st->positions[st->extremes[0].most_at][i].index != 0;
        n_most += st->positions[st->extremes[1].most_at][i].index != 0;
    }
    ck_assert_double_eq(st->extremes[0].most, 1);
    ck_assert_int_eq(n_away, 1);
    ck_assert_int_eq(n_most, 1);
    hand_destroy(h);
}
END_TEST

/* A load that the wiring can't carry in some positions is a trouble, with its words; the rest is still answered. */
START_TEST(test_beyond_is_told)
{
    hand *h = hand_create();
    const int neg = hand_nodes(h, 3), pos = neg + 1, far = neg + 2, item = hand_item(h, "heater-switch", 2);
    h->net.reference = neg;
    hand_source(h, pos, neg, 12, 0.01);
    hand_wire(h, "P1", pos, far, 0.5);
    const int out = hand_nodes(h, 1), load = hand_item(h, "inverter", 0);
    hand_contact(h, item, far, out, 2, 0.01);
    hand_power(h, load, out, neg, 300);
    hand_finish(h);
    const watch l[] = {{.kind = WATCH_WIRE_A, .index = 0}};
    const states_options o = states_defaults();
    const states *st = states_run(h->arena, &h->net, l, 1, &o);
    ck_assert_int_eq(st->n_troubles, 1);
    ck_assert_int_eq(st->troubles[0].outcome, OUTCOME_BEYOND);
    ck_assert_int_eq(st->troubles[0].item, load);
    ck_assert_int_eq(st->positions[st->troubles[0].at][item].index, 1);
    ck_assert(st->troubles[0].says[0] != 0);
    hand_destroy(h);
}
END_TEST

START_TEST(test_no_source_and_nothing)
{
    hand *h = hand_create();
    hand_finish(h);
    const states_options o = states_defaults();
    const states *st = states_run(h->arena, &h->net, NULL, 0, &o);
    ck_assert_double_eq(st->n_positions, 1);
    ck_assert(st->is_complete);
    hand_destroy(h);
    h = hand_create();
    const int a = hand_nodes(h, 2), item = hand_item(h, "switch", 2);
    h->net.reference = -1;
    hand_contact(h, item, a, a + 1, 2, 0.01);
    hand_finish(h);
    const watch l[] = {{.kind = WATCH_ELEMENT_A, .index = 0}};
    st = states_run(h->arena, &h->net, l, 1, &o);
    ck_assert_double_eq(st->n_positions, 2);
    ck_assert(st->is_complete);
    hand_destroy(h);
}
END_TEST

/* Two switches that may never be on together: three of four; a third position that nobody may take: none. */
START_TEST(test_never_with_counts)
{
    hand *h = one_chain(3);
    item *items = h->items.at;
    int first = -1, second = -1;
    for (size_t i = 0; i < h->items.n; i++)
        if (items[i].n_positions == 2) {
            second = first < 0 ? -1 : second < 0 ? (int)i : second;
            first = first < 0 ? (int)i : first;
        }
    items[first].exclusions = ARENA_ARRAY(h->arena, exclusion, 1);
    items[first].n_exclusions = 1;
    items[first].exclusions[0] = (exclusion){second, {1, 1}, -1};
    const states_options o = states_defaults();
    const states *st = states_run(h->arena, &h->net, NULL, 0, &o);
    ck_assert_double_eq(st->n_positions, 6);
    hand_destroy(h);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("states");
    TCase *t = tcase_create("states");
    tcase_set_timeout(t, 240);
    tcase_add_loop_test(t, test_plain_against_a_loop, 0, fewer(30));
    tcase_add_loop_test(t, test_houses, 0, fewer(80));
    tcase_add_loop_test(t, test_vans, 0, fewer(120));
    tcase_add_loop_test(t, test_wide_vans, 0, fewer(8));
    tcase_add_test(t, test_parts_are_used);
    tcase_add_test(t, test_a_million_positions);
    tcase_add_test(t, test_nothing_falls_apart);
    tcase_add_loop_test(t, test_threads_agree_to_the_bit, 0, 2);
    tcase_add_test(t, test_positions_are_minimal);
    tcase_add_test(t, test_beyond_is_told);
    tcase_add_test(t, test_no_source_and_nothing);
    tcase_add_test(t, test_never_with_counts);
    suite_add_tcase(s, t);
    return tap_run(s);
}
