/* Who feeds what, on small vans whose answers can be read off their wires. */
#include "circuit/feeds.h"

#include "read/read.h"
#include "tap.h"
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static arena *A;
static van *V;
static network *N;
static feeds *F;

static void set_up(void) { A = arena_create(); }
static void tear_down(void) { arena_destroy(A); }

static void trace(const char *items, const char *wires)
{
    const char *text =
        arena_printf(A, "loomwall: 1\nname: Test\npractice: north-america\nitems:\n%s\nwires:\n%s\n", items, wires);
    report *r = report_create(A, "test.yaml");
    V = read_van(A, "test.yaml", text, strlen(text), r);
    ck_assert_msg(V != NULL, "%s", report_text(r, A));
    const conditions c = conditions_meter();
    N = network_build(A, V, &c);
    F = feeds_trace(A, N);
}

static const wire_feed *feed_of(const char *label)
{
    const int w = van_wire(V, label);
    ck_assert_int_ge(w, 0);
    return &F->wires[w];
}

static const load_feed *load_of(const char *id)
{
    const int i = van_item(V, id);
    for (int k = 0; k < F->n_loads; k++)
        if (F->loads[k].item == i) return &F->loads[k];
    ck_abort_msg("%s has no load", id);
}

static int circuit_of(const char *id) { return F->circuit_of_item[van_item(V, id)]; }

static const char *item_of_element(int e) { return e < 0 ? "" : V->items[N->elements[e].item].id; }

static bool loops_through(const load_feed *l, const char *label)
{
    for (int i = 0; i < l->n_loop_wires; i++)
        if (l->loop_wires[i] == van_wire(V, label)) return true;
    return false;
}

static const char house_items[] = "  bank: {kind: battery, capacity: 100 Ah}\n"
                                  "  main-fuse: {kind: fuse, rating: 100 A}\n"
                                  "  fuses: {kind: fuse-block, slots: [10 A, 5 A]}\n"
                                  "  returns: {kind: busbar, studs: 5}\n"
                                  "  body: {kind: chassis}\n"
                                  "  pump-switch: {kind: lit-switch}\n"
                                  "  pump: {kind: pump, draws: 5 A}\n"
                                  "  dimmer: {kind: low-side-dimmer, rating: 5 A}\n"
                                  "  strip: {kind: led-light, draws: 20 W}\n";
static const char house_wires[] =
    "  P1: {from: bank.pos, to: main-fuse.in, length: 0.2 m, size: 4 AWG, sheathed: true}\n"
    "  P2: {from: main-fuse.out, to: fuses.in, length: 1 m, size: 4 AWG}\n"
    "  P3: {from: fuses.1, to: pump-switch.feed, length: 3 m, size: 14 AWG}\n"
    "  P4: {from: pump-switch.out, to: pump.pos, length: 2 m, size: 14 AWG}\n"
    "  P5: {from: fuses.2, to: strip.pos, length: 2 m, size: 16 AWG}\n"
    "  P6: {from: dimmer.pos, to: strip.pos, length: 1 m, size: 16 AWG}\n"
    "  D1: {from: strip.neg, to: dimmer.load-neg, length: 1 m, size: 16 AWG}\n"
    "  N1: {from: returns.1, to: bank.neg, length: 1 m, size: 4 AWG}\n"
    "  N2: {from: pump.neg, to: returns.2, length: 3 m, size: 14 AWG}\n"
    "  N3: {from: pump-switch.lamp-return, to: returns.3, length: 3 m, size: 18 AWG}\n"
    "  N4: {from: dimmer.neg, to: returns.4, length: 2 m, size: 16 AWG}\n"
    "  B1: {from: returns.5, to: body.stud, length: 0.5 m, size: 4 AWG}\n";

START_TEST(test_a_house)
{
    trace(house_items, house_wires);
    ck_assert_int_eq(feed_of("P1")->side, SIDE_FEED);
    ck_assert_int_eq(feed_of("P4")->side, SIDE_FEED);
    ck_assert_int_eq(feed_of("D1")->side, SIDE_CHOPPED);
    ck_assert_int_eq(feed_of("N1")->side, SIDE_RETURN);
    ck_assert_int_eq(feed_of("N3")->side, SIDE_RETURN);
    ck_assert_int_eq(feed_of("B1")->side, SIDE_BOND);
    ck_assert(feed_of("P1")->is_before_protector);
    ck_assert_int_eq(feed_of("P1")->protector, -1);
    ck_assert_double_eq_tol(feed_of("P1")->to_protector_m, 0.2, 1e-12);
    ck_assert(feed_of("P1")->is_sheathed_all_way);
    ck_assert_int_eq(feed_of("P1")->source, van_item(V, "bank"));
    ck_assert(!feed_of("P2")->is_before_protector);
    ck_assert_str_eq(item_of_element(feed_of("P2")->protector), "main-fuse");
    ck_assert_double_eq(feed_of("P2")->protector_A, 100);
    ck_assert_double_eq(feed_of("P3")->protector_A, 10);
    ck_assert_double_eq(feed_of("P4")->protector_A, 10);
    ck_assert_double_eq(feed_of("P5")->protector_A, 5);
    ck_assert_double_eq(feed_of("P3")->to_protector_m, 0);
    ck_assert(!feed_of("P3")->is_both_ends_fed);
}
END_TEST

START_TEST(test_loads_of_a_house)
{
    trace(house_items, house_wires);
    const load_feed *pump = load_of("pump"), *strip = load_of("strip");
    ck_assert_int_eq(pump->n_own, 1);
    ck_assert_str_eq(item_of_element(pump->own[0]), "pump-switch");
    ck_assert_int_eq(pump->chopper, -1);
    ck_assert_int_eq(strip->n_own, 0);
    ck_assert_str_eq(item_of_element(strip->chopper), "dimmer");
    ck_assert(loops_through(pump, "P1") && loops_through(pump, "P4") && loops_through(pump, "N2"));
    ck_assert(!loops_through(pump, "P5") && !loops_through(pump, "N3"));
    ck_assert_int_eq(pump->n_loop_wires, 6);
    ck_assert(loops_through(strip, "D1") && loops_through(strip, "N4"));
}
END_TEST

START_TEST(test_circuits_of_a_house)
{
    trace(house_items, house_wires);
    ck_assert_int_eq(F->n_circuits, 2);
    ck_assert_int_eq(circuit_of("pump-switch"), 0);
    ck_assert_int_eq(circuit_of("pump"), 0);
    ck_assert_int_eq(circuit_of("dimmer"), 1);
    ck_assert_int_eq(circuit_of("strip"), 1);
    ck_assert_int_eq(circuit_of("bank"), -1);
    ck_assert_int_eq(circuit_of("fuses"), -1);
    ck_assert_int_eq(circuit_of("main-fuse"), -1);
    ck_assert_int_eq(circuit_of("returns"), -1);
}
END_TEST

/* The nearest contact on each side is a load's own: the master switch only where nothing stands nearer. */
START_TEST(test_whose_switch)
{
    trace("  bank: {kind: battery, capacity: 100 Ah}\n  main: {kind: switch}\n"
          "  fuses: {kind: fuse-block, slots: [10 A, 10 A]}\n  low: {kind: switch}\n  up: {kind: switch}\n"
          "  pump: {kind: pump, draws: 5 A}\n  fan: {kind: fan, draws: 1 A}\n",
          "  P1: {from: bank.pos, to: main.feed, length: 1 m, size: 4 AWG}\n"
          "  P2: {from: main.out, to: fuses.in, length: 1 m, size: 4 AWG}\n"
          "  P3: {from: fuses.1, to: pump.pos, length: 1 m, size: 14 AWG}\n"
          "  P4: {from: fuses.2, to: up.feed, length: 1 m, size: 14 AWG}\n"
          "  P5: {from: up.out, to: fan.pos, length: 1 m, size: 14 AWG}\n"
          "  N1: {from: pump.neg, to: low.feed, length: 1 m, size: 14 AWG}\n"
          "  N2: {from: low.out, to: bank.neg, length: 1 m, size: 14 AWG}\n"
          "  N3: {from: fan.neg, to: bank.neg, length: 1 m, size: 14 AWG}\n");
    const load_feed *pump = load_of("pump"), *fan = load_of("fan");
    ck_assert_int_eq(pump->n_own, 2); /* nothing nearer on its feed, so the master cuts it too */
    ck_assert_int_eq(fan->n_own, 1);
    ck_assert_str_eq(item_of_element(fan->own[0]), "up");
    ck_assert_int_eq(feed_of("N1")->side, SIDE_RETURN);
    ck_assert_double_eq_tol(feed_of("P1")->to_protector_m, 2, 1e-12);
    ck_assert_double_eq_tol(feed_of("P2")->to_protector_m, 2, 1e-12);
}
END_TEST

START_TEST(test_no_fuse_at_all)
{
    trace("  bank: {kind: battery, capacity: 100 Ah}\n  lamp: {kind: led-light, draws: 10 W}\n",
          "  P1: {from: bank.pos, to: lamp.pos, length: 2 m, size: 14 AWG}\n"
          "  N1: {from: lamp.neg, to: bank.neg, length: 2 m, size: 14 AWG}\n");
    ck_assert(feed_of("P1")->is_before_protector);
    ck_assert_int_eq(feed_of("P1")->protector, -1);
    ck_assert(isinf(feed_of("P1")->to_protector_m));
    ck_assert_int_eq(load_of("lamp")->n_own, 0);
    ck_assert_int_eq(F->n_circuits, 1);
}
END_TEST

/* A battery at either end of a fused cable: each wire has the other battery's fuse upstream, none is unprotected but
 * the two stubs; and the middle can be fed from either end. */
START_TEST(test_two_batteries)
{
    trace("  one: {kind: battery, capacity: 100 Ah}\n  two: {kind: battery, capacity: 100 Ah}\n"
          "  f1: {kind: fuse, rating: 60 A}\n  f2: {kind: fuse, rating: 80 A}\n",
          "  P1: {from: one.pos, to: f1.in, length: 0.1 m, size: 4 AWG}\n"
          "  P2: {from: f1.out, to: f2.out, length: 5 m, size: 4 AWG}\n"
          "  P3: {from: two.pos, to: f2.in, length: 0.3 m, size: 4 AWG}\n"
          "  N1: {from: one.neg, to: two.neg, length: 5 m, size: 4 AWG}\n");
    ck_assert(feed_of("P1")->is_before_protector && feed_of("P3")->is_before_protector);
    ck_assert(!feed_of("P2")->is_before_protector);
    ck_assert_double_eq_tol(feed_of("P3")->to_protector_m, 0.3, 1e-12);
    ck_assert_double_eq(feed_of("P2")->protector_A, 80); /* the larger of the two */
    ck_assert(feed_of("P2")->is_both_ends_fed && feed_of("P1")->is_both_ends_fed);
    ck_assert_int_eq(feed_of("N1")->side, SIDE_RETURN);
    ck_assert(!feed_of("N1")->is_both_ends_fed);
}
END_TEST

/* A changeover never joins its two sources, so neither feeds the other's cable. */
START_TEST(test_changeover)
{
    trace("  one: {kind: battery, capacity: 100 Ah}\n  two: {kind: battery, capacity: 100 Ah}\n"
          "  choice: {kind: changeover, rating: 50 A}\n  fan: {kind: fan, draws: 1 A}\n",
          "  P1: {from: one.pos, to: choice.a, length: 1 m, size: 4 AWG}\n"
          "  P2: {from: two.pos, to: choice.b, length: 1 m, size: 4 AWG}\n"
          "  P3: {from: choice.common, to: fan.pos, length: 1 m, size: 4 AWG}\n"
          "  N1: {from: one.neg, to: two.neg, length: 1 m, size: 4 AWG}\n"
          "  N2: {from: fan.neg, to: one.neg, length: 1 m, size: 4 AWG}\n");
    ck_assert(!feed_of("P1")->is_both_ends_fed && !feed_of("P2")->is_both_ends_fed && !feed_of("P3")->is_both_ends_fed);
    ck_assert_int_eq(load_of("fan")->n_own, 2);
}
END_TEST

/* A ring of feed wires behind one fuse: each of its wires is fed from both ends. */
START_TEST(test_ring)
{
    trace("  bank: {kind: battery, capacity: 100 Ah}\n  f: {kind: fuse, rating: 30 A}\n  j1: {kind: joint}\n"
          "  j2: {kind: joint}\n  fan: {kind: fan, draws: 1 A}\n",
          "  P1: {from: bank.pos, to: f.in, length: 0.1 m, size: 10 AWG}\n"
          "  P2: {from: f.out, to: j1.1, length: 1 m, size: 10 AWG}\n"
          "  P3: {from: j1.2, to: j2.1, length: 1 m, size: 10 AWG}\n"
          "  P4: {from: j1.3, to: j2.2, length: 2 m, size: 10 AWG}\n"
          "  P5: {from: j2.3, to: fan.pos, length: 1 m, size: 10 AWG}\n"
          "  N1: {from: fan.neg, to: bank.neg, length: 1 m, size: 10 AWG}\n");
    ck_assert(feed_of("P3")->is_both_ends_fed && feed_of("P4")->is_both_ends_fed);
    ck_assert(!feed_of("P2")->is_both_ends_fed && !feed_of("P5")->is_both_ends_fed);
    ck_assert_double_eq(feed_of("P5")->protector_A, 30);
}
END_TEST

/* A charger's cable has its fuse at the battery's end: the battery can't burn it, the charger feeds it. */
START_TEST(test_charger)
{
    trace("  bank: {kind: battery, capacity: 100 Ah}\n  f: {kind: fuse, rating: 40 A}\n"
          "  shore: {kind: shore-charger, gives: 20 A}\n",
          "  P1: {from: bank.pos, to: f.in, length: 0.1 m, size: 8 AWG}\n"
          "  P2: {from: f.out, to: shore.out-pos, length: 1.5 m, size: 8 AWG}\n"
          "  N1: {from: shore.out-neg, to: bank.neg, length: 1.5 m, size: 8 AWG}\n");
    const wire_feed *p2 = feed_of("P2");
    ck_assert_int_eq(p2->side, SIDE_FEED);
    ck_assert_str_eq(item_of_element(p2->protector), "f");
    ck_assert(p2->is_before_protector);
    ck_assert_int_eq(p2->source, van_item(V, "shore"));
    ck_assert_double_eq_tol(p2->to_protector_m, 1.5, 1e-12);
    ck_assert(p2->is_both_ends_fed);
    ck_assert_int_eq(feed_of("N1")->side, SIDE_RETURN);
}
END_TEST

/* Loads that return through the body: the wires to it are returns, not bonds. */
START_TEST(test_return_through_the_body)
{
    trace("  bank: {kind: battery, capacity: 100 Ah}\n  f: {kind: fuse, rating: 10 A}\n  front: {kind: chassis}\n"
          "  rear: {kind: chassis}\n  lamp: {kind: led-light, draws: 10 W}\n",
          "  P1: {from: bank.pos, to: f.in, length: 0.1 m, size: 12 AWG}\n"
          "  P2: {from: f.out, to: lamp.pos, length: 3 m, size: 12 AWG}\n"
          "  N1: {from: lamp.neg, to: rear.stud, length: 0.3 m, size: 12 AWG}\n"
          "  N2: {from: front.stud, to: bank.neg, length: 0.3 m, size: 12 AWG}\n");
    ck_assert_int_eq(feed_of("N1")->side, SIDE_RETURN);
    ck_assert_int_eq(feed_of("N2")->side, SIDE_RETURN);
    ck_assert(loops_through(load_of("lamp"), "N1") && loops_through(load_of("lamp"), "N2"));
}
END_TEST

static const char series_items[] = "  a: {kind: battery, capacity: 100 Ah}\n  b: {kind: battery, capacity: 100 Ah}\n"
                                   "  f: {kind: fuse, rating: 10 A}\n  tap: {kind: fuse, rating: 5 A}\n"
                                   "  lamp: {kind: led-light, draws: 2 A}\n  radio: {kind: load, draws: 1 A}\n";
#define SERIES_WIRES                                                                                                   \
    "  P1: {from: a.pos, to: f.in, length: 0.1 m, size: 12 AWG}\n"                                                     \
    "  P2: {from: f.out, to: lamp.pos, length: 3 m, size: 12 AWG}\n"                                                   \
    "  L1: {from: a.neg, to: b.pos, length: 0.4 m, size: 12 AWG}\n"                                                    \
    "  N1: {from: lamp.neg, to: b.neg, length: 3 m, size: 12 AWG}\n"

/* The link lies behind the string's fuse and in the lamp's loop; without the fuse, or with a tap, it is a bare feed. */
START_TEST(test_batteries_in_series)
{
    trace(series_items, SERIES_WIRES);
    ck_assert_int_eq(N->reference, van_terminal(V, "b.neg"));
    ck_assert_double_eq(N->nominal_V, 24);
    const wire_feed *link = feed_of("L1");
    ck_assert_int_eq(link->side, SIDE_FEED);
    ck_assert_str_eq(item_of_element(link->protector), "f");
    ck_assert(!link->is_before_protector);
    ck_assert(feed_of("P1")->is_before_protector);
    const load_feed *lamp = load_of("lamp");
    ck_assert_str_eq(item_of_element(lamp->top), "a");
    ck_assert_str_eq(item_of_element(lamp->bottom), "b");
    ck_assert_int_eq(lamp->n_loop_wires, 4);
    ck_assert(loops_through(lamp, "L1"));
    trace(series_items, SERIES_WIRES "  P3: {from: a.pos, to: radio.pos, length: 1 m, size: 12 AWG}\n"
                                     "  N2: {from: radio.neg, to: b.neg, length: 1 m, size: 12 AWG}\n");
    ck_assert(feed_of("L1")->is_before_protector && isinf(feed_of("L1")->to_protector_m));
    trace(series_items, SERIES_WIRES "  P3: {from: b.pos, to: tap.in, length: 0.3 m, size: 12 AWG}\n"
                                     "  P4: {from: tap.out, to: radio.pos, length: 1 m, size: 12 AWG}\n"
                                     "  N2: {from: radio.neg, to: b.neg, length: 1 m, size: 12 AWG}\n");
    ck_assert(feed_of("P3")->is_before_protector && feed_of("L1")->is_before_protector);
    ck_assert_str_eq(item_of_element(load_of("radio")->top), "b");
    ck_assert_str_eq(item_of_element(load_of("radio")->bottom), "b");
    ck_assert_str_eq(item_of_element(load_of("lamp")->top), "a");
}
END_TEST

/* Batteries joined in a ring are a short circuit; batteries side by side are no string either. */
START_TEST(test_no_string)
{
    trace(series_items, SERIES_WIRES "  S1: {from: b.neg, to: a.pos, length: 0.4 m, size: 12 AWG}\n");
    ck_assert_double_eq(N->nominal_V, 12);
    trace(series_items, "  P1: {from: a.pos, to: b.pos, length: 0.4 m, size: 12 AWG}\n"
                        "  N1: {from: a.neg, to: b.neg, length: 0.4 m, size: 12 AWG}\n");
    ck_assert_double_eq(N->nominal_V, 12);
    ck_assert_int_eq(N->reference, van_terminal(V, "a.neg"));
}
END_TEST

START_TEST(test_nothing_to_feed)
{
    trace("  lamp: {kind: led-light, draws: 10 W}\n  s: {kind: switch}\n",
          "  P1: {from: s.out, to: lamp.pos, length: 3 m, size: 12 AWG}\n");
    ck_assert_int_eq(feed_of("P1")->side, SIDE_UNKNOWN);
    ck_assert_int_eq(feed_of("P1")->protector, -1);
    ck_assert_int_eq(feed_of("P1")->source, -1);
    ck_assert_int_eq(load_of("lamp")->n_own, 0);
    ck_assert_int_eq(load_of("lamp")->n_loop_wires, 0);
    ck_assert_int_eq(circuit_of("lamp"), -1);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("feeds");
    TCase *t = tcase_create("feeds");
    tcase_add_checked_fixture(t, set_up, tear_down);
    tcase_add_test(t, test_a_house);
    tcase_add_test(t, test_loads_of_a_house);
    tcase_add_test(t, test_circuits_of_a_house);
    tcase_add_test(t, test_whose_switch);
    tcase_add_test(t, test_no_fuse_at_all);
    tcase_add_test(t, test_two_batteries);
    tcase_add_test(t, test_changeover);
    tcase_add_test(t, test_ring);
    tcase_add_test(t, test_charger);
    tcase_add_test(t, test_return_through_the_body);
    tcase_add_test(t, test_batteries_in_series);
    tcase_add_test(t, test_no_string);
    tcase_add_test(t, test_nothing_to_feed);
    suite_add_tcase(s, t);
    return tap_run(s);
}
