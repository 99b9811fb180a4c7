/* From a van file to a network with numbers in it: nodes, elements, what stands in for what is not given. */
#include "circuit/operating.h"
#include "read/read.h"
#include "ref/battery.h"
#include "tap.h"
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char text[] = "loomwall: 1\n"
                           "name: Wagtail\n"
                           "practice: north-america\n"
                           "conditions: {hottest: 40 degC, coldest: -10 degC}\n"
                           "items:\n"
                           "  bank:   {kind: battery, chemistry: agm, capacity: 100 Ah}\n"
                           "  fuses:  {kind: fuse-block, slots: [10 A, 5 A]}\n"
                           "  switch: {kind: switch}\n"
                           "  lamp:   {kind: led-light, draws: 6 W}\n"
                           "  pad:    {kind: heater, draws: 48 W, at: 12 V}\n"
                           "  dimmer: {kind: low-side-dimmer, rating: 5 A}\n"
                           "  strip:  {kind: led-light, draws: 0.5 A}\n"
                           "wires:\n"
                           "  P1: {from: bank.pos, to: fuses.in, length: 1 m, size: 6 AWG}\n"
                           "  P2: {from: fuses.1, to: switch.feed, length: 1000 ft, size: 14 AWG, solid: true}\n"
                           "  P3: {from: switch.out, to: lamp.pos, length: 1 m, size: 16 AWG}\n"
                           "  P4: {from: fuses.2, to: pad.pos, length: 1 m, size: 16 AWG}\n"
                           "  P5: {from: fuses.2, to: strip.pos, length: 1 m, size: 16 AWG}\n"
                           "  P6: {from: fuses.2, to: dimmer.pos, length: 1 m, size: 16 AWG}\n"
                           "  N1: {from: lamp.neg, to: bank.neg, length: 1 m, size: 16 AWG}\n"
                           "  N2: {from: pad.neg, to: bank.neg, length: 1 m, size: 16 AWG}\n"
                           "  N3: {from: strip.neg, to: dimmer.load-neg, length: 1 m, size: 16 AWG}\n"
                           "  N4: {from: dimmer.neg, to: bank.neg, length: 1 m, size: auto}\n";

static arena *A;
static const van *V;
static network *N;

static void set_up(void)
{
    A = arena_create();
    report *r = report_create(A, "wagtail.yaml");
    V = read_van(A, "wagtail.yaml", text, sizeof text - 1, r);
    ck_assert_msg(V != NULL, "%s", report_text(r, A));
    conditions c = conditions_meter();
    N = network_build(A, V, &c);
}
static void tear_down(void) { arena_destroy(A); }

#define near(value, wanted, tolerance) ck_assert_double_eq_tol((value), (wanted), (tolerance))

/* The n-th element of a type in an item. */
static const net_element *element_in(const char *id, element_type type, int n)
{
    int at = van_item(V, id);
    for (int k = N->first_element[at]; k < N->first_element[at + 1]; k++)
        if (N->elements[k].type == type && n-- == 0) return &N->elements[k];
    ck_abort_msg("%s has no such element", id);
    return NULL;
}

/* 1,000 ft of solid 14 AWG copper: 2.525 ohm, NBS Handbook 100 (1966), table 2. */
START_TEST(test_wires)
{
    const net_element *p2 = &N->elements[van_wire(V, "P2")];
    ck_assert_int_eq(p2->type, ELEMENT_CONDUCTOR);
    near(p2->resistance_ohm, 2.525, 2.525e-3);
    ck_assert_int_eq(p2->a, van_terminal(V, "fuses.1"));
    ck_assert_int_eq(p2->b, van_terminal(V, "switch.feed"));
    ck_assert(isinf(N->elements[van_wire(V, "N4")].resistance_ohm)); /* its size is not known: it joins nothing */
}
END_TEST

START_TEST(test_conditions)
{
    conditions c = conditions_meter();
    conductor_size *sizes = ARENA_ARRAY(A, conductor_size, (size_t)V->n_wires);
    for (int w = 0; w < V->n_wires; w++) sizes[w] = V->wires[w].size;
    sizes[van_wire(V, "N4")] = V->wires[van_wire(V, "N3")].size;
    c.sizes = sizes;
    c.conductor_K = 343.15; /* 50 K warmer: 1 + 50 * 0.00393 */
    c.charge = 0.2;
    const network *other = network_build(A, V, &c);
    int p2 = van_wire(V, "P2"), n4 = van_wire(V, "N4");
    near(other->elements[p2].resistance_ohm / N->elements[p2].resistance_ohm, 1 + 50 * 0.00393, 1e-9);
    ck_assert(isfinite(other->elements[n4].resistance_ohm));
    int emf = N->first_element[van_item(V, "bank")];
    ck_assert_double_lt(other->elements[emf].voltage_V, N->elements[emf].voltage_V);
}
END_TEST

START_TEST(test_items)
{
    const net_element *emf = element_in("bank", ELEMENT_EMF, 0);
    near(emf->voltage_V, battery_rest_V(CHEMISTRY_AGM, 12, 0.8, NULL, NULL), 1e-12);
    near(emf->capacity_C, 360000, 1e-6);
    ck_assert_double_gt(emf->resistance_ohm, 0);
    ck_assert_int_eq(N->reference, van_terminal(V, "bank.neg"));
    const net_element *first = element_in("fuses", ELEMENT_FUSIBLE, 0),
                      *second = element_in("fuses", ELEMENT_FUSIBLE, 1);
    near(first->rating_A, 10, 1e-12);
    near(second->rating_A, 5, 1e-12);
    ck_assert_int_eq(second->number, 2);
    ck_assert_int_eq(second->b, van_terminal(V, "fuses.2"));
    ck_assert_double_gt(second->resistance_ohm, first->resistance_ohm);
    const net_element *lamp = &N->elements[network_main_element(N, van_item(V, "lamp"))];
    near(lamp->power_W, 6, 1e-12);
    const net_element *pad = &N->elements[network_main_element(N, van_item(V, "pad"))];
    near(pad->load_ohm, 3, 1e-12); /* 12 V^2 / 48 W */
    near(pad->power_W, 0, 1e-12);
    near(N->elements[network_main_element(N, van_item(V, "strip"))].current_A, 0.5, 1e-12);
    ck_assert(element_in("dimmer", ELEMENT_CHOPPER, 0)->is_dialled);
}
END_TEST

/* The whole way: the lamp runs with its switch on; a terminal behind the open switch stands at the return's 0 V. */
START_TEST(test_solves)
{
    op_plan *plan = op_plan_create(A, N);
    position *at = positions_rest(V, A);
    const operating_point *op = op_solve(plan, at, false);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(!op->items[van_item(V, "lamp")].runs);
    near(op->node_V[van_terminal(V, "lamp.pos")], 0, 1e-6);
    at[van_item(V, "switch")].index = 1;
    op_solve(plan, at, true);
    op = op_check(plan);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(op->items[van_item(V, "lamp")].runs && op->items[van_item(V, "pad")].runs);
    near(op->items[van_item(V, "lamp")].watts, 6, 1e-6);
    near(op->current_A[van_wire(V, "P3")], op->current_A[van_wire(V, "N1")], 1e-9);
    ck_assert_double_lt(op->residual_A, 1e-8);
    ck_assert_double_lt(fabs(op->power_residual_W), 1e-7);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("network");
    TCase *c = tcase_create("network");
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_test(c, test_wires);
    tcase_add_test(c, test_conditions);
    tcase_add_test(c, test_items);
    tcase_add_test(c, test_solves);
    suite_add_tcase(s, c);
    return tap_run(s);
}
