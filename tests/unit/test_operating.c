/* The operating point against printed answers, closed forms and laws. Sources stand beside each number:
 * LEC: T. Kuphaldt et al., Lessons In Electric Circuits. OSUP: OpenStax, University Physics, volume 2.
 * DOE: DOE-HDBK-1011/1-92, Electrical Science, volume 1. */
#include "circuit/balance.h"
#include "circuit/law.h"
#include "hand.h"
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static hand *H;
static void set_up(void) { H = hand_create(); }
static void tear_down(void) { hand_destroy(H); }

#define near(value, wanted, tolerance) ck_assert_double_eq_tol((value), (wanted), (tolerance))

/* ------------------------------------------------------------------ printed circuits */

/* "V a b volts; R a b ohm; ..." over numbered nodes, node 0 the reference. */
typedef struct printed {
    const char *id, *source, *netlist, *answers; /* answers: "V n value tolerance; I part value tolerance; ..." */
} printed;

static const printed printed_circuits[] = {
    {"D01", "LEC src/DC/dcnet.sml", "V 1 0 28; V 3 0 7; R 1 2 4; R 2 0 2; R 2 3 1",
     "V 1 28 1e-3; V 2 8.000 5e-4; V 3 7 5e-4; I 2 5 5e-3; I 3 4 5e-3; I 4 1 5e-3"},
    {"D02", "LEC src/DC/dcnet.sml", "V 1 0 24; R 1 2 150; R 1 3 50; R 2 3 100; R 2 0 300; R 3 0 250",
     "V 2 17.66 5e-3; V 3 19.31 5e-3; I 0 -0.136092 5e-7"},
    {"D03", "LEC src/DC/dcnet.sml", "V 1 0 10; R 1 2 12; R 1 3 18; R 2 3 6; R 2 0 18; R 3 0 12",
     "V 2 5.294 5e-4; V 3 4.706 5e-4"},
    {"D04", "OSUP m58458", "V 1 0 20; R 1 2 5; R 2 3 15; R 2 4 10; R 3 0 10; R 4 0 15; R 3 4 5",
     "I 0 -1.17 5e-3; I 2 0.50 5e-3; I 3 0.67 5e-3; I 4 0.67 5e-3; I 5 0.50 5e-3; I 6 -0.17 5e-3"},
    {"D06", "OSUP m58455 (third resistor from its printed 0.80 W)", "V 1 0 24; R 1 2 10; R 2 3 30; V 3 4 12; R 4 0 20",
     "I 0 -0.20 5e-3; I 3 0.20 5e-3"},
    {"D07", "OSUP m58455", "V 1 0 12; R 1 2 4; R 2 0 3; V 1 3 5; R 3 2 2; R 1 3 2",
     "I 1 1.5 5e-2; I 2 2 5e-2; I 4 0.5 5e-2; I 5 2.5 5e-2; I 3 -2 5e-2"},
    {"D08a", "OSUP m58455", "V 1 0 1.6; R 1 2 2000; V 1 3 1.4; R 3 2 1000; R 2 0 1000",
     "I 1 0.6e-3 5e-5; I 4 0.4e-3 5e-5; I 3 -0.2e-3 5e-5"},
    {"D08b", "OSUP m58455", "V 1 0 1.6; R 1 2 2000; V 3 1 1.4; R 3 2 1000; R 2 0 1000",
     "I 1 0.04e-3 5e-6; I 4 1.52e-3 5e-6; I 3 1.48e-3 5e-6"},
    {"D09", "OSUP m58453", "V 1 0 12; R 1 2 0.1; R 2 0 0.5", "I 1 20.00 5e-3; V 2 10.00 5e-3"},
    {"D11", "LEC src/DC/dcnet.sml", "V 1 0 11.2; R 1 2 0.8; R 2 0 0.8", "V 2 5.6 5e-3; I 1 7 5e-3"},
    {"D14", "LEC src/DC/batt.sml", "V 1 0 10; R 1 2 0.2; R 2 0 1", "I 1 8.333 5e-4"},
    {"D15", "OSUP m58458", "V 1 0 1.5; R 1 2 1; V 3 2 1.5; R 3 4 1; V 5 0 1.5; R 5 6 1; V 7 6 1.5; R 7 4 1; R 4 0 10",
     "I 8 0.273 5e-4; V 2 1.36 5e-3"},
    {"D17", "OSUP m58458", "V 1 0 30; R 1 2 1; R 2 3 9; R 2 3 18; R 3 4 10; R 3 4 10; R 4 0 8",
     "I 1 1.50 5e-3; I 2 1.00 5e-3; I 3 0.50 5e-3; I 4 0.75 5e-3; I 6 1.50 5e-3; V 4 12.00 5e-3"},
    {"D18", "OSUP m58458", "V 1 0 24; R 1 2 14; R 2 3 9; R 2 3 18; R 3 0 4",
     "I 1 1.00 5e-3; I 2 0.67 5e-3; I 3 0.33 5e-3; V 3 4.00 5e-3"},
    {"D19", "OSUP m58454", "V 1 0 12; R 1 2 1; R 2 0 6; R 2 0 13",
     "I 1 2.35 5e-3; V 2 9.65 5e-3; I 2 1.61 5e-3; I 3 0.742 5e-4"},
    {"D20", "LEC src/DC/s_p.sml", "V 1 0 24; R 1 4 100; R 1 4 250; R 4 0 350; R 4 0 200",
     "I 1 86.27e-3 5e-6; I 2 34.51e-3 5e-6; I 3 43.92e-3 5e-6; I 4 76.86e-3 5e-6; V 4 15.37 5e-3"},
    {"D21", "OSUP m58454", "V 1 0 3; R 1 0 1; R 1 0 2; R 1 0 2", "I 0 -6.00 5e-3; I 1 3.00 5e-3; I 2 1.50 5e-3"},
    {"D22", "OSUP m58454", "V 1 0 9; R 1 2 20; R 2 3 20; R 3 4 20; R 4 5 20; R 5 0 10", "I 1 0.1 5e-4; V 5 1 5e-3"},
    {"D23", "DOE figure 36; answer computed", "V 1 0 6; R 1 2 2; R 2 0 6; R 2 0 3",
     "I 1 1.5 1e-9; I 2 0.5 1e-9; I 3 1 1e-9"},
    {"N4", "LEC src/DC/dcnet.sml", "V 3 0 10; V 4 0 -4; R 3 1 2; R 1 0 4; R 1 2 2.5; R 2 0 5; R 2 4 1",
     "V 1 3.809524 5e-7; V 2 -1.547619 5e-7"},
    {"N10", "DOE figure 45, weak: the figure is garbled; answer computed",
     "V 1 0 60; R 1 2 8; V 3 0 20; R 3 2 4; R 2 0 6", "V 2 23.0769 5e-5"},
    {"motor", "OSUP m58454: 120 V, 0.8 ohm, 75 W bulb (192 ohm), 15.0 A in all",
     "V 1 0 120; R 1 2 0.8; R 2 0 192; C 2 0 14.4375", "V 2 108.0 5e-2; I 1 15.0 5e-2"},
};

static void read_netlist(const char *text)
{
    int highest = 0, a, b, n;
    char what;
    double amount;
    for (const char *at = text; sscanf(at, " %c %d %d %lf%n", &what, &a, &b, &amount, &n) == 4;
         at += n + (at[n] == ';')) {
        if (a > highest) highest = a;
        if (b > highest) highest = b;
    }
    hand_nodes(H, highest + 1);
    for (const char *at = text; sscanf(at, " %c %d %d %lf%n", &what, &a, &b, &amount, &n) == 4;
         at += n + (at[n] == ';')) {
        if (what == 'V')
            hand_source(H, a, b, amount, 0);
        else if (what == 'C')
            hand_current(H, -1, a, b, amount);
        else
            hand_resistor(H, a, b, amount);
    }
}

START_TEST(test_printed)
{
    const printed *p = &printed_circuits[_i];
    read_netlist(p->netlist);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_msg(op->outcome == OUTCOME_SOLVED, "%s", p->id);
    char what;
    int index, n, n_answers = 0;
    double wanted, tolerance;
    for (const char *at = p->answers; sscanf(at, " %c %d %lf %lf%n", &what, &index, &wanted, &tolerance, &n) == 4;
         at += n + (at[n] == ';')) {
        double is = what == 'V' ? op->node_V[index] : op->current_A[H->index[index]];
        ck_assert_msg(fabs(is - wanted) <= tolerance, "%s (%s): %c %d is %.9g, printed %.9g", p->id, p->source, what,
                      index, is, wanted);
        n_answers++;
    }
    ck_assert_int_gt(n_answers, 0);
    ck_assert_double_lt(op->residual_A, 1e-9);
    ck_assert_double_lt(fabs(op->power_residual_W), 1e-9 * fmax(1, op->power_W));
}
END_TEST

/* ------------------------------------------------------------------ constant power */

/* V = (E + sqrt(E^2 - 4 R P)) / 2; none when P > E^2 / 4R. Closed form, computed; the row at 120 V agrees with the printed
 * 108 V and 15.0 A of OSUP m58454. */
static const struct {
    double E, R, P, V, I;
} powers[] = {
    {12, 0.1, 100, 11.0990195, 9.0098049},      {12.8, 0.05, 200, 11.9641711, 16.7165781},
    {12.8, 0.02, 1500, 9.7105891, 154.4705465}, {13.2, 0.015, 1000, 11.9441557, 83.7229543},
    {24, 0.1, 600, 21.1651514, 28.3484864},     {120, 0.8, 1620, 108, 15},
};

START_TEST(test_power_root)
{
    int n = hand_nodes(H, 3);
    hand_source(H, n + 1, n, powers[_i].E, 0);
    hand_wire(H, "P1", n + 1, n + 2, powers[_i].R);
    hand_power(H, -1, n + 2, n, powers[_i].P);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->node_V[2], powers[_i].V, 1e-7);
    near(op->current_A[0], powers[_i].I, 1e-6);
}
END_TEST

/* 12 V behind 0.1 ohm gives at most 360 W: 361 W is beyond, at 360/361 of it. Of two wires the larger is the bottleneck. */
START_TEST(test_power_beyond)
{
    int n = hand_nodes(H, 4);
    int heater = hand_item(H, "Heater", 0);
    hand_source(H, n + 1, n, 12, 0);
    hand_wire(H, "P1", n + 1, n + 2, 0.03);
    hand_wire(H, "P7", n + 2, n + 3, 0.07);
    int load = hand_power(H, heater, n + 3, n, 361);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_BEYOND);
    near(op->load_step, 360.0 / 361.0, 2e-5);
    ck_assert_int_eq(op->culprit_element, H->index[load]);
    ck_assert_int_eq(op->bottleneck_wire, 1);
    near(op->culprit_V, 6, 0.1);
    ck_assert(isnan(op->node_V[2]));
    const char *says = op_explain(&H->net, op, H->arena);
    ck_assert_ptr_nonnull(strstr(says, "Heater asks for more than its wiring can carry"));
    ck_assert_ptr_nonnull(strstr(says, "P7 loses most"));
}
END_TEST

static Suite *operating_suite(void)
{
    Suite *s = suite_create("operating");
    TCase *c = tcase_create("printed");
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_loop_test(c, test_printed, 0, (int)(sizeof printed_circuits / sizeof *printed_circuits));
    suite_add_tcase(s, c);
    c = tcase_create("constant power");
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_add_loop_test(c, test_power_root, 0, (int)(sizeof powers / sizeof *powers));
    tcase_add_test(c, test_power_beyond);
    suite_add_tcase(s, c);
    return s;
}

int main(void)
{
    SRunner *r = srunner_create(operating_suite());
    srunner_set_tap(r, "-");
    srunner_run_all(r, CK_SILENT);
    int n_failed = srunner_ntests_failed(r);
    srunner_free(r);
    return n_failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
