/* The operating point against printed answers, closed forms and laws. Sources stand beside each number:
 * LEC: T. Kuphaldt et al., Lessons In Electric Circuits. OSUP: OpenStax, University Physics, volume 2.
 * DOE: DOE-HDBK-1011/1-92, Electrical Science, volume 1. */
#include "circuit/balance.h"
#include "circuit/law.h"
#include "hand.h"
#include "tap.h"
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

/* ------------------------------------------------------------------ laws of the elements */

/* The slope of each law against a central difference, away from its corners. */
START_TEST(test_slopes)
{
    static const net_element elements[] = {
        {.type = ELEMENT_LOAD, .power_W = 60},
        {.type = ELEMENT_LOAD, .current_A = 5},
        {.type = ELEMENT_LOAD, .load_ohm = 2.4},
        {.type = ELEMENT_LOAD},
        {.type = ELEMENT_DIODE, .drop_V = 0.4, .resistance_ohm = 0.01},
    };
    static const double volts[] = {-14, -0.3, 0.2, 0.6, 0.9, 1.1, 3, 12.6};
    for (size_t i = 0; i < sizeof elements / sizeof *elements; i++)
        for (size_t j = 0; j < sizeof volts / sizeof *volts; j++)
            for (int mode = LOAD_CUT_OUT; mode <= LOAD_STARVED; mode++)
                for (double scale = 0; scale <= 1; scale += 0.5) {
                    double V = volts[j], d = 1e-6;
                    double up = element_law(&elements[i], V + d, (load_mode)mode, scale, 12.8).i_A;
                    double down = element_law(&elements[i], V - d, (load_mode)mode, scale, 12.8).i_A;
                    double slope = element_law(&elements[i], V, (load_mode)mode, scale, 12.8).slope_S;
                    near((up - down) / (2 * d), slope, 1e-6 * fmax(1, fabs(slope)));
                }
}
END_TEST

/* The curves of loads by power and by current meet at the knee in value and slope, and both start at the origin. */
START_TEST(test_knee)
{
    net_element by_power = {.type = ELEMENT_LOAD, .power_W = 60}, by_current = {.type = ELEMENT_LOAD, .current_A = 5};
    const net_element *both[] = {&by_power, &by_current};
    for (int i = 0; i < 2; i++) {
        law below = element_law(both[i], KNEE_V - 1e-9, LOAD_ON, 1, 12),
            above = element_law(both[i], KNEE_V, LOAD_ON, 1, 12);
        near(below.i_A, above.i_A, 1e-6);
        near(below.slope_S, above.slope_S, 1e-6);
        near(element_law(both[i], 0, LOAD_ON, 1, 12).i_A, 0, 1e-15);
    }
}
END_TEST

START_TEST(test_transfer_slopes)
{
    net_element e = {.type = ELEMENT_TRANSFER, .voltage_V = 14.4, .efficiency = 0.88, .standby_W = 3, .limit_W = 250};
    static const double volts[] = {-2, 0.5, 12.1, 14.4, 15}, amperes[] = {-1, 2, 20};
    const double d = 1e-6;
    for (int mode = TRANSFER_ASLEEP; mode <= TRANSFER_LIMIT + 1; mode++)
        for (size_t i = 0; i < 5; i++)
            for (size_t j = 1; j < 5; j++)
                for (size_t k = 0; k < 3; k++) {
                    double in = volts[i], V = volts[j], J = amperes[k];
                    transfer_mode m = mode > TRANSFER_LIMIT ? TRANSFER_LIMIT : (transfer_mode)mode;
                    e.limit_A = mode > TRANSFER_LIMIT ? 17 : 0;
                    transfer_law l = transfer_law_of(&e, in, V, J, m, 1);
#define PART(field, dI, dV, dJ)                                                                                        \
    ((transfer_law_of(&e, in + (dI), V + (dV), J + (dJ), m, 1).field -                                                 \
      transfer_law_of(&e, in - (dI), V - (dV), J - (dJ), m, 1).field) /                                                \
     (2 * d))
                    near(PART(in_A, d, 0, 0), l.in_by_in_S, 1e-5 * fmax(1, fabs(l.in_by_in_S)));
                    near(PART(in_A, 0, d, 0), l.in_by_out_S, 1e-5 * fmax(1, fabs(l.in_by_out_S)));
                    near(PART(in_A, 0, 0, d), l.in_by_J, 1e-5 * fmax(1, fabs(l.in_by_J)));
                    near(PART(row, 0, d, 0), l.row_by_V, 1e-5 * fmax(1, fabs(l.row_by_V)));
                    near(PART(row, 0, 0, d), l.row_by_J, 1e-5 * fmax(1, fabs(l.row_by_J)));
#undef PART
                }
}
END_TEST

/* ------------------------------------------------------------------ random linear networks: what must hold for all */

static uint64_t dice_state;
static double dice(double least, double most)
{
    dice_state = dice_state * 6364136223846793005u + 1442695040888963407u;
    return least + (most - least) * (double)(dice_state >> 11) / 9007199254740992.0;
}
static int dice_int(int n) { return (int)dice(0, n - 1e-9); }

/* A tree of resistors over n nodes, n more on top, two sources. sign and scale multiply the sources. */
static void grow_linear(uint64_t seed, int n_nodes, double scale_first, double scale_second)
{
    dice_state = seed;
    hand_nodes(H, n_nodes);
    for (int i = 1; i < n_nodes; i++) hand_resistor(H, i, dice_int(i), pow(10, dice(-3, 2)));
    for (int i = 0; i < n_nodes; i++) {
        int a = dice_int(n_nodes), b = dice_int(n_nodes);
        if (a != b) hand_resistor(H, a, b, pow(10, dice(-3, 2)));
    }
    double first_V = dice(5, 30), second_V = dice(5, 30);
    hand_source(H, n_nodes - 1, 0, scale_first * first_V, dice(0.001, 0.1));
    hand_source(H, n_nodes / 2, 1, scale_second * second_V, dice(0.001, 0.1));
}

static double *voltages_of(uint64_t seed, double first, double second, int n_nodes)
{
    double *copy = calloc((size_t)n_nodes, sizeof *copy);
    tear_down();
    set_up();
    grow_linear(seed, n_nodes, first, second);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert_double_lt(op->residual_A, 1e-8);
    ck_assert_double_lt(fabs(op->power_residual_W), 1e-9 * fmax(1, op->power_W));
    memcpy(copy, op->node_V, (size_t)n_nodes * sizeof *copy);
    return copy;
}

/* Superposition: both sources together give the sum of each alone. Scaling and reversal: -2 times the sources, -2 times
 * the voltages. Kirchhoff and power in every one of them (above). */
START_TEST(test_linear_laws)
{
    for (uint64_t seed = 1; seed <= 40; seed++) {
        int n = 4 + (int)(seed % 30);
        double *both = voltages_of(seed, 1, 1, n), *first = voltages_of(seed, 1, 0, n);
        double *second = voltages_of(seed, 0, 1, n), *reversed = voltages_of(seed, -2, -2, n);
        for (int i = 0; i < n; i++) {
            near(first[i] + second[i], both[i], 1e-8);
            near(reversed[i], -2 * both[i], 1e-8);
        }
        free(both);
        free(first);
        free(second);
        free(reversed);
    }
}
END_TEST

/* Rayleigh: a wire more never raises the resistance between any two points, and a wire less never lowers it. */
START_TEST(test_rayleigh)
{
    for (uint64_t seed = 100; seed < 140; seed++) {
        tear_down();
        set_up();
        int n = 5 + (int)(seed % 20);
        grow_linear(seed, n, 1, 1);
        hand_finish(H);
        position none = {0, 0};
        int a = dice_int(n), b = (a + 1 + dice_int(n - 1)) % n;
        double before = network_resistance_ohm(H->arena, &H->net, &none, a, b);
        ck_assert_double_gt(before, 0);
        hand_resistor(H, dice_int(n), dice_int(n), dice(0, 5));
        hand_finish(H);
        double after = network_resistance_ohm(H->arena, &H->net, &none, a, b);
        ck_assert_double_le(after, before * (1 + 1e-9));
        near(network_resistance_ohm(H->arena, &H->net, &none, b, a), after, 1e-9 * after);
    }
}
END_TEST

/* Input resistance of a ladder with R = 1 ohm in each rail and each shunt: x = (2 + x) / (3 + x) from x = 1; for ever
 * longer ladders sqrt(3) - 1, OSUP m58458. */
START_TEST(test_ladder)
{
    static const double known[] = {1, 0.75, 0.733333, 0.732143, 0.732057, 0.7320513, 0.73205084, 0.73205081};
    static const double digits[] = {1e-12, 1e-12, 5e-7, 5e-7, 5e-7, 5e-8, 5e-9, 5e-9};
    int n_shunts = _i + 1, top = hand_nodes(H, 2), bottom = top + 1;
    int first_top = top, first_bottom = bottom;
    hand_resistor(H, top, bottom, 1);
    for (int k = 1; k < n_shunts; k++) {
        int next = hand_nodes(H, 2);
        hand_resistor(H, top, next, 1);
        hand_resistor(H, bottom, next + 1, 1);
        hand_resistor(H, next, next + 1, 1);
        top = next;
        bottom = next + 1;
    }
    hand_finish(H);
    position none = {0, 0};
    near(network_resistance_ohm(H->arena, &H->net, &none, first_top, first_bottom), known[_i], digits[_i]);
}
END_TEST

/* ------------------------------------------------------------------ diodes */

/* LEC src/Semi/diode.sml: LED of 1.6 V behind 220 ohm at 6 V takes 20 mA, and behind 1.12 kohm at 24 V. A zener of
 * 12.6 V seen from behind is a diode with that drop: 45 V, 1 kohm: 32.4 mA; with 500 ohm beside it 25.2 and 7.2 mA;
 * through 100 kohm it does not conduct: 447.76 uA. */
static const struct {
    double E, R, drop_V, load_ohm, diode_A, load_A, tolerance;
} diodes[] = {
    {6, 220, 1.6, 0, 20e-3, 0, 1e-5},           {24, 1120, 1.6, 0, 20e-3, 0, 1e-5},
    {45, 1000, 12.6, 0, 32.4e-3, 0, 2e-5},      {45, 1000, 12.6, 500, 7.2e-3, 25.2e-3, 2e-5},
    {45, 100e3, 12.6, 500, 0, 447.76e-6, 3e-7},
};

START_TEST(test_diodes)
{
    int n = hand_nodes(H, 3);
    hand_source(H, n + 1, n, diodes[_i].E, 0);
    hand_resistor(H, n + 1, n + 2, diodes[_i].R);
    int d = hand_diode(H, n + 2, n, diodes[_i].drop_V, 0.001);
    int load = diodes[_i].load_ohm > 0 ? hand_resistor(H, n + 2, n, diodes[_i].load_ohm) : -1;
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->current_A[H->index[d]], diodes[_i].diode_A, diodes[_i].tolerance);
    if (load >= 0) near(op->current_A[H->index[load]], diodes[_i].load_A, diodes[_i].tolerance);
    ck_assert_double_lt(op->law_residual_A, 1e-9);
}
END_TEST

/* Two batteries isolated by diodes: the higher one feeds, the other rests. */
START_TEST(test_isolating_diodes)
{
    int n = hand_nodes(H, 4);
    int high = hand_source(H, n + 1, n, 13.2, 0.01), low = hand_source(H, n + 2, n, 12.4, 0.01);
    hand_diode(H, n + 1, n + 3, 0.35, 0.004);
    hand_diode(H, n + 2, n + 3, 0.35, 0.004);
    hand_power(H, -1, n + 3, n, 40);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert_double_gt(-op->current_A[H->index[high]], 3);
    near(op->current_A[H->index[low]], 0, 1e-6);
    ck_assert_double_lt(op->law_residual_A, 1e-9);
}
END_TEST

/* ------------------------------------------------------------------ loads that do not run */

/* Reversed, a load by power or current draws nothing; a resistance draws either way round. */
START_TEST(test_reversed)
{
    int n = hand_nodes(H, 2);
    hand_source(H, n + 1, n, 12, 0.01);
    int power = hand_power(H, -1, n, n + 1, 60), current = hand_current(H, -1, n, n + 1, 5);
    int heater = hand_part(H, -1, (net_element){.type = ELEMENT_LOAD, .a = n, .b = n + 1, .load_ohm = 6});
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->current_A[H->index[power]], 0, 2e-5);
    near(op->current_A[H->index[current]], 0, 2e-5);
    near(op->current_A[H->index[heater]], -2, 0.01);
}
END_TEST

/* A load by current behind more resistance than it can draw through: 12 V over 10 ohm gives less than 1.2 A, and the
 * load never pushes its voltage below nothing. */
START_TEST(test_current_let_go)
{
    int n = hand_nodes(H, 3);
    hand_source(H, n + 1, n, 12, 0);
    hand_resistor(H, n + 1, n + 2, 10);
    int load = hand_current(H, hand_item(H, "Fan", 0), n + 2, n, 6);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert_double_gt(op->node_V[2], 0);
    ck_assert_double_lt(op->node_V[2], KNEE_V);
    near(op->current_A[H->index[load]], (12 - op->node_V[2]) / 10, 1e-9);
    ck_assert(op->items[0].is_starved && !op->items[0].runs);
}
END_TEST

/* A pump that only an indicator lamp feeds does not run; the lamp glows through it. */
START_TEST(test_fed_through_lamp)
{
    int n = hand_nodes(H, 3);
    int lamp_item = hand_item(H, "Lit switch", 0), pump = hand_item(H, "Pump", 0);
    hand_source(H, n + 1, n, 12, 0.01);
    hand_part(H, lamp_item,
              (net_element){.type = ELEMENT_LAMP, .a = n + 1, .b = n + 2, .load_ohm = 1000, .lights_above_V = 6});
    hand_power(H, pump, n + 2, n, 60);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(op->items[lamp_item].lamp_lit);
    ck_assert(op->items[pump].is_starved && !op->items[pump].runs);
    near(op->node_V[2], 12 * 2.4 / 1002.4, 1e-3); /* 12 V and 60 W: 2.4 ohm */
}
END_TEST

/* ------------------------------------------------------------------ no resistance */

/* Switch, busbar and shunt without resistance carry a current all the same. */
START_TEST(test_ideal_carries)
{
    int n = hand_nodes(H, 4), sw = hand_item(H, "Switch", 2);
    hand_source(H, n + 1, n, 12, 0);
    int contact = hand_contact(H, sw, n + 1, n + 2, 2, 0);
    int bar = hand_resistor(H, n + 2, n + 3, 0);
    hand_resistor(H, n + 3, n, 4);
    position on = {1, 1}, off = {0, 0};
    const operating_point *op = hand_solve(H, &on);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->current_A[H->index[contact]], 3, 1e-12);
    near(op->current_A[H->index[bar]], 3, 1e-12);
    op = hand_solve(H, &off);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->current_A[H->index[contact]], 0, 1e-12);
    near(op->node_V[3], 0, 1e-12);
}
END_TEST

START_TEST(test_ideal_source_shorted)
{
    int n = hand_nodes(H, 3), bank = hand_item(H, "Bank", 0), starter = hand_item(H, "Starter battery", 0);
    hand_part(H, bank, (net_element){.type = ELEMENT_EMF, .a = n + 1, .b = n, .voltage_V = 12.8});
    hand_part(H, starter, (net_element){.type = ELEMENT_EMF, .a = n + 2, .b = n, .voltage_V = 12.6});
    hand_wire(H, "P4", n + 1, n + 2, 0);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_CONTRADICTION);
    ck_assert_int_ge(op->culprit_element, 0);
    const char *says = op_explain(&H->net, op, H->arena);
    ck_assert_ptr_nonnull(strstr(says, "Bank"));
    ck_assert_ptr_nonnull(strstr(says, "Starter battery"));
    ck_assert_ptr_nonnull(strstr(says, "wire P4"));
    ck_assert(isnan(op->node_V[1]) && isnan(op->current_A[0]));
}
END_TEST

START_TEST(test_ideal_loop)
{
    int n = hand_nodes(H, 3);
    hand_source(H, n + 1, n, 12, 0.1);
    hand_wire(H, "P1", n + 1, n + 2, 0);
    hand_wire(H, "P2", n + 1, n + 2, 0);
    hand_resistor(H, n + 2, n, 1);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_CONTRADICTION);
    const char *says = op_explain(&H->net, op, H->arena);
    ck_assert_ptr_nonnull(strstr(says, "P1"));
    ck_assert_ptr_nonnull(strstr(says, "P2"));
}
END_TEST

/* ------------------------------------------------------------------ islands */

/* Behind an open switch: nothing. Behind it and a load that leads back: 0 V against the return. */
START_TEST(test_islands)
{
    int n = hand_nodes(H, 8), sw = hand_item(H, "Switch", 2), own = hand_item(H, "Torch", 0);
    hand_source(H, n + 1, n, 12, 0.01);
    hand_contact(H, sw, n + 1, n + 2, 2, 0.005);
    hand_power(H, -1, n + 2, n, 60);
    hand_contact(H, sw, n + 1, n + 3, 2, 0.005); /* node 3 leads nowhere */
    hand_source(H, n + 5, n + 4, 6, 0.5);        /* an island with a source of its own */
    int torch = hand_part(H, own, (net_element){.type = ELEMENT_LOAD, .a = n + 5, .b = n + 4, .load_ohm = 2.5});
    position off[] = {{0, 0}, {0, 0}}, on[] = {{1, 1}, {0, 0}};
    const operating_point *op = hand_solve(H, off);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->node_V[2], 0, 1e-9);
    ck_assert(isnan(op->node_V[3]) && isnan(op->node_V[4]) && isnan(op->node_V[5]) && isnan(op->node_V[6]));
    near(op->current_A[H->index[torch]], 2, 1e-9);
    near(op->items[own].volts, 5, 1e-9);
    near(op->items[own].watts, 10, 1e-8);
    op = hand_solve(H, on);
    near(op->node_V[3], op->node_V[1], 1e-12);
    ck_assert_double_gt(op->node_V[2], 11);
    int n_islands;
    const int *island = network_islands(H->arena, &H->net, NULL, &n_islands);
    ck_assert_int_eq(n_islands, 4); /* the van, the torch, two bare nodes */
    ck_assert_int_eq(island[0], 0);
    ck_assert_int_eq(island[3], 0);
    ck_assert_int_eq(island[4], island[5]);
    network_islands(H->arena, &H->net, off, &n_islands);
    ck_assert_int_eq(n_islands, 5);
}
END_TEST

/* ------------------------------------------------------------------ relays and cut-outs */

/* 12 V behind `ohm`, a coil of 80 ohm that pulls above 8 V and drops below 3 V, and a load on its contact. */
static const operating_point *relay_circuit(double ohm, double load_ohm, bool is_self_cutting)
{
    int n = hand_nodes(H, 4), relay = hand_item(H, "Relay", 2);
    hand_source(H, n + 1, n, 12, 0);
    hand_resistor(H, n + 1, n + 2, ohm);
    int coil_a = is_self_cutting ? n + 3 : n + 2;
    hand_part(H, relay,
              (net_element){.type = ELEMENT_COIL,
                            .a = coil_a,
                            .b = n,
                            .resistance_ohm = 80,
                            .pulls_above_V = 8,
                            .drops_below_V = 3,
                            .moves = 1});
    hand_contact(H, relay, n + 2, n + 3, is_self_cutting ? 1 : 2, 0.01);
    hand_resistor(H, n + 3, n, load_ohm);
    return hand_solve(H, NULL);
}

START_TEST(test_relay_pulls)
{
    const operating_point *op = relay_circuit(1, 5, false);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(op->items[0].is_pulled);
    near(op->node_V[3], 12 * (5 / 5.01) / (1 / (1 / 80. + 1 / 5.01) + 1) / (1 / 80. + 1 / 5.01), 1e-9);
}
END_TEST

/* Pulled, the load takes the coil to 4.3 V: above where it drops, so it holds although it could not pull there. */
START_TEST(test_relay_holds)
{
    const operating_point *op = relay_circuit(10, 6, false);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(op->items[0].is_pulled);
    ck_assert_double_lt(op->node_V[2], 8);
    ck_assert_double_gt(op->node_V[2], 3);
}
END_TEST

START_TEST(test_relay_stays)
{
    const operating_point *op = relay_circuit(60, 5, false); /* 12 V * 80 / 140 = 6.9 V at the coil: it never pulls */
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(!op->items[0].is_pulled);
    near(op->node_V[3], 0, 1e-9);
}
END_TEST

START_TEST(test_relay_chatters)
{
    const operating_point *op = relay_circuit(1, 50, true); /* a buzzer: it cuts its own coil */
    ck_assert_int_eq(op->outcome, OUTCOME_CHATTERS);
    ck_assert_ptr_nonnull(strstr(op_explain(&H->net, op, H->arena), "Relay"));
}
END_TEST

/* A fridge that stops below 10.4 V and starts above `starts_V`, on 12 V behind 0.2 ohm with a heater of 1.5 ohm. */
static const operating_point *fridge_circuit(double watts, double starts_V)
{
    int n = hand_nodes(H, 3), fridge = hand_item(H, "Fridge", 0);
    hand_source(H, n + 1, n, 12, 0);
    hand_wire(H, "P1", n + 1, n + 2, 0.2);
    hand_resistor(H, n + 2, n, 1.5);
    hand_part(H, fridge,
              (net_element){.type = ELEMENT_LOAD,
                            .a = n + 2,
                            .b = n,
                            .power_W = watts,
                            .stops_below_V = 10.4,
                            .starts_above_V = starts_V});
    return hand_solve(H, NULL);
}

START_TEST(test_fridge_runs)
{
    const operating_point *op = fridge_circuit(5, 11.7); /* 12 * 1.5/1.7 = 10.59 V without it */
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(op->items[0].runs && !op->items[0].is_starved);
}
END_TEST

START_TEST(test_fridge_stops)
{
    const operating_point *op = fridge_circuit(60, 11.7);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(!op->items[0].runs && op->items[0].is_starved);
    near(op->node_V[2], 12 * 1.5 / 1.7, 1e-5);
}
END_TEST

START_TEST(test_fridge_chatters)
{
    const operating_point *op = fridge_circuit(60, 10.5); /* off it sees 10.59 V and starts again */
    ck_assert_int_eq(op->outcome, OUTCOME_CHATTERS);
    ck_assert_int_eq(H->net.elements[op->culprit_element].type, ELEMENT_LOAD);
}
END_TEST

/* More than the wiring can carry: a load with a cut-out lets go on the way down. */
START_TEST(test_fridge_lets_go)
{
    const operating_point *op = fridge_circuit(2000, 11.7);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(!op->items[0].runs && op->items[0].is_starved);
}
END_TEST

/* ------------------------------------------------------------------ transfers */

/* A charger from 24 V onto `load_ohm`: 14.4 V, 90 %, 2 W standby, at most `limit` watts. */
static int charger_circuit(double in_V, double in_ohm, double load_ohm, double limit_W)
{
    int n = hand_nodes(H, 4), charger = hand_item(H, "Charger", 0);
    hand_source(H, n + 1, n, in_V, in_ohm);
    int t = hand_transfer(H, charger, n + 1, n, n + 2, n, 14.4, 0.9, 2, limit_W);
    hand_resistor(H, n + 2, n, load_ohm);
    return t;
}

START_TEST(test_transfer_holds)
{
    int t = charger_circuit(24, 0.01, 2, 250);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->node_V[2], 14.4, 1e-5);
    near(op->output_A[H->index[t]], 7.2, 1e-5);
    near(op->current_A[H->index[t]] * op->node_V[1], 14.4 * 7.2 / 0.9 + 2, 1e-3);
    near(op->items[0].watts, 14.4 * 7.2 / 0.9 + 2 - 14.4 * 7.2, 1e-3);
    ck_assert_double_lt(op->law_residual_A, 1e-6);
}
END_TEST

START_TEST(test_transfer_limit)
{
    int t = charger_circuit(24, 0.01, 0.5, 200); /* V^2 / 0.5 ohm = 200 W: 10 V, 20 A */
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->node_V[2], 10, 1e-9);
    near(op->output_A[H->index[t]], 20, 1e-8);
    ck_assert_double_lt(op->law_residual_A, 1e-6);
}
END_TEST

/* A limit in amperes is one, whatever the voltage: 17 A through 0.5 ohm are 8.5 V. */
START_TEST(test_transfer_limit_of_current)
{
    int t = charger_circuit(24, 0.01, 0.5, 0);
    H->parts.at[t].limit_A = 17;
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->node_V[2], 8.5, 1e-9);
    near(op->output_A[H->index[t]], 17, 1e-9);
    near(op->current_A[H->index[t]] * op->node_V[1], 8.5 * 17 / 0.9 + 2, 1e-6);
    ck_assert_double_lt(op->law_residual_A, 1e-6);
}
END_TEST

/* A battery that stands higher than the charger gets nothing from it and gives nothing back. */
START_TEST(test_transfer_one_way)
{
    int t = charger_circuit(24, 0.01, 100, 250);
    hand_source(H, 2, 0, 15, 0.05);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->output_A[H->index[t]], 0, 2e-5);
    near(op->current_A[H->index[t]] * op->node_V[1], 2, 1e-6); /* standby alone */
}
END_TEST

START_TEST(test_transfer_asleep)
{
    int t = charger_circuit(0, 0.01, 2, 250);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->output_A[H->index[t]], 0, 1e-9);
    near(op->node_V[2], 0, 1e-6);
    ck_assert(!op->items[0].runs);
}
END_TEST

/* 24 V behind 1 ohm brings at most 144 W; the load wants 14.4^2/1 = 207 W and more. */
START_TEST(test_transfer_runs_dry)
{
    int t = charger_circuit(24, 1, 1, 250);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_BEYOND);
    ck_assert_int_eq(op->culprit_element, H->index[t]);
    near(op->load_step, 144 / (14.4 * 14.4 / 0.9 + 2), 1e-4);
}
END_TEST

/* Two ideal chargers on one battery share and none of it contradicts. */
START_TEST(test_transfers_tied)
{
    int n = hand_nodes(H, 4);
    hand_source(H, n + 1, n, 24, 0.01);
    int t1 = hand_transfer(H, -1, n + 1, n, n + 2, n, 14.4, 0.9, 2, 100);
    int t2 = hand_transfer(H, -1, n + 1, n, n + 2, n, 14.4, 0.9, 2, 100);
    hand_resistor(H, n + 2, n, 14.4 * 14.4 / 120);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    near(op->output_A[H->index[t1]], op->output_A[H->index[t2]], 1e-6);
    near(op->node_V[2], 14.4, 2e-5);
}
END_TEST

/* ------------------------------------------------------------------ choppers */

/* Pulses of I through a plain circuit: mean D I, rms I sqrt(D): an identity of the wave form. */
START_TEST(test_chopper)
{
    static const double duties[] = {0, 0.1, 0.25, 0.5, 0.75, 1};
    double D = duties[_i];
    int n = hand_nodes(H, 3);
    hand_source(H, n + 1, n, 12, 0);
    int wire_part = hand_wire(H, "N1", n + 1, n + 2, 1);
    int c = hand_chopper(H, n + 2, n, D, 2); /* 4 A while on */
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    ck_assert(op->is_rms_exact);
    near(op->current_A[H->index[wire_part]], 4 * D, 1e-12);
    near(op->rms_A[H->index[c]], 4 * sqrt(D), 1e-12);
    near(op->across_V[H->index[c]], 8 * D + 12 * (1 - D), 1e-9);
    ck_assert_int_eq(op->n_phases, D > 0 && D < 1 ? 2 : 1);
    ck_assert_double_lt(fabs(op->power_residual_W), 1e-9);
}
END_TEST

/* Two independent choppers on one feed without loss: I = 4 A at D1 and 6 A at D2. Mean D1 4 + D2 6; mean square
 * D1 16 + D2 36 + 2 D1 D2 24. */
START_TEST(test_two_choppers)
{
    int n = hand_nodes(H, 4);
    hand_source(H, n + 1, n, 12, 0);
    int feed = hand_resistor(H, n + 1, n + 2, 0);
    hand_chopper(H, n + 2, n, 0.3, 3);
    hand_chopper(H, n + 2, n, 0.6, 2);
    const operating_point *op = hand_solve(H, NULL);
    ck_assert_int_eq(op->n_phases, 4);
    near(op->current_A[H->index[feed]], 0.3 * 4 + 0.6 * 6, 1e-12);
    near(op->rms_A[H->index[feed]], sqrt(0.3 * 16 + 0.6 * 36 + 2 * 0.3 * 0.6 * 24), 1e-12);
}
END_TEST

/* Eight at once, aligned: mean exact here (no shared resistance), rms an estimate on the safe side, and said so. */
START_TEST(test_many_choppers)
{
    int n = hand_nodes(H, 3);
    hand_source(H, n + 1, n, 12, 0);
    int feed = hand_resistor(H, n + 1, n + 2, 0);
    double mean_A = 0, independent_A2 = 0;
    for (int i = 0; i < 8; i++) {
        double D = 0.1 + 0.1 * i;
        hand_chopper(H, n + 2, n, D, 12);
        mean_A += D;
        independent_A2 += D - D * D;
    }
    op_plan *plan = op_plan_create(H->arena, hand_finish(H));
    const operating_point *op = op_solve(plan, positions_rest(&H->van, H->arena), false);
    ck_assert_int_eq(op->n_phases, 9);
    ck_assert(!op->is_rms_exact);
    near(op->current_A[H->index[feed]], mean_A, 1e-12);
    ck_assert_double_ge(op->rms_A[H->index[feed]], sqrt(independent_A2 + mean_A * mean_A));
    double whole = 0;
    for (int i = 0; i < op->n_phases; i++) whole += op_phase_of(plan, i).weight;
    near(whole, 1, 1e-12);
}
END_TEST

/* ------------------------------------------------------------------ warm and cold */

/* A van-like tree: battery, fuses, switches, loads of every kind on common returns. */
static int grow_van(uint64_t seed, int n_circuits)
{
    dice_state = seed;
    int n = hand_nodes(H, 4), pos = n + 1, bus = n + 2, back = n + 3, last = 0;
    hand_source(H, pos, n, 12.8, 0.004);
    hand_resistor(H, pos, bus, 0.003);
    hand_resistor(H, back, n, 0.002);
    for (int i = 0; i < n_circuits; i++) {
        int m = hand_nodes(H, 4), sw = hand_item(H, "switch", 2), load = hand_item(H, "load", 0);
        hand_resistor(H, bus, m, 0.1 / 15);
        hand_resistor(H, m, m + 1, dice(0.01, 0.1));
        hand_contact(H, sw, m + 1, m + 2, 2, dice(0, 1) < 0.3 ? 0 : 0.005);
        hand_resistor(H, m + 3, back, dice(0.01, 0.1));
        double kind_of = dice(0, 6);
        if (kind_of < 2)
            hand_power(H, load, m + 2, m + 3, dice(2, 60));
        else if (kind_of < 3)
            hand_current(H, load, m + 2, m + 3, dice(0.2, 5));
        else if (kind_of < 4)
            hand_part(H, load,
                      (net_element){.type = ELEMENT_LOAD,
                                    .a = m + 2,
                                    .b = m + 3,
                                    .power_W = dice(5, 50),
                                    .stops_below_V = 11.9,
                                    .starts_above_V = 12.75});
        else if (kind_of < 5)
            hand_part(H, load, (net_element){.type = ELEMENT_LAMP, .a = m + 2, .b = m + 3, .load_ohm = dice(3, 90)});
        else {
            hand_chopper(H, m + 2, m + 3, 1, dice(5, 9));
            hand_diode(H, m + 3, m + 2, 0.5, 0.02);
        }
        last = m + 3;
    }
    return last;
}

START_TEST(test_warm_is_cold)
{
    grow_van(77 + (uint64_t)_i, 14);
    const network *net = hand_finish(H);
    op_plan *warm = op_plan_create(H->arena, net), *cold = op_plan_create(H->arena, net);
    position *at = positions_rest(&H->van, H->arena);
    for (int k = 0; k < 200; k++) {
        int moved = 2 * dice_int(14);
        at[moved].index = !at[moved].index;
        const operating_point *w = op_solve(warm, at, true), *c = op_solve(cold, at, false);
        ck_assert_int_eq(w->outcome, c->outcome);
        if (w->outcome != OUTCOME_SOLVED) continue;
        for (int i = 0; i < net->n_nodes; i++) {
            ck_assert(isnan(w->node_V[i]) == isnan(c->node_V[i]));
            if (!isnan(w->node_V[i])) near(w->node_V[i], c->node_V[i], 1e-8);
        }
        for (int i = 0; i < H->van.n_items; i++) ck_assert(w->items[i].runs == c->items[i].runs);
        op_check(warm);
        ck_assert_double_lt(w->residual_A, 1e-7);
        ck_assert_double_lt(w->law_residual_A, 1e-7);
        ck_assert_double_lt(fabs(w->power_residual_W), 1e-7 * fmax(1, w->power_W));
    }
}
END_TEST

/* A warm start must not stay where a load has collapsed: 6 W behind 2.6 ohm has a point at 0.34 V next to the off state's
 * 0 V. With the second source the quick proof fails and the tangent must do it. */
START_TEST(test_warm_leaves_collapse)
{
    int n = hand_nodes(H, 4), sw = hand_item(H, "Switch", 2);
    hand_source(H, n + 1, n, 12.6, 0.01);
    if (_i > 0) hand_source(H, n + 1, n, 12.6, 0.01);
    hand_contact(H, sw, n + 1, n + 2, 2, 0.005);
    hand_resistor(H, n + 2, n + 3, 2.6);
    hand_power(H, -1, n + 3, n, 6);
    op_plan *plan = op_plan_create(H->arena, hand_finish(H));
    position off = {0, 0}, on = {1, 1};
    for (int k = 0; k < 3; k++) {
        op_solve(plan, &off, true);
        const operating_point *op = op_solve(plan, &on, true);
        ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
        near(op->node_V[3], (12.6 + sqrt(12.6 * 12.6 - 4 * 2.615 * 6)) / 2, 0.01);
    }
}
END_TEST

/* What an ampere more does, against what a thousandth of one does. */
START_TEST(test_sensitivity)
{
    grow_van(311 + (uint64_t)_i, 10);
    int from = 4 + 4 * dice_int(10), to = 3, drawn = hand_current(H, -1, from, to, 1);
    hand_chopper(H, from, to, _i % 2 ? 0.4 : 1, 40);
    const network *net = hand_finish(H);
    op_plan *plan = op_plan_create(H->arena, net), *before = op_plan_create(H->arena, net),
            *other = op_plan_create(H->arena, net);
    position *at = positions_rest(&H->van, H->arena);
    for (int i = 0; i < H->van.n_items; i++) at[i].index = dice(0, 1) < 0.7;
    double *per_A = ARENA_ARRAY(H->arena, double, (size_t)net->n_nodes);
    const operating_point *op = op_solve(before, at, false);
    ck_assert_int_eq(op->outcome, OUTCOME_SOLVED);
    op_solve(plan, at, false);
    const double more_A = 1e-3;
    const op_state *there = op_keep(plan, NULL, H->arena);
    op_solve(plan, positions_rest(&H->van, H->arena), true);
    op_go_back(plan, there);
    H->net.elements[H->index[drawn]].current_A += more_A;
    const operating_point *moved = op_solve(other, at, false);
    int n_known = 0;
    for (int k = 0; k < 2 * net->n_elements; k++) {
        const bool is_current = k % 2;
        const int e = k / 2;
        op_sensitivity x = {.element = e, .of = is_current ? OP_CURRENT : OP_VOLTS, .per_A = per_A};
        op_sensitivities(plan, &x, 1);
        if (e == H->index[drawn] || !x.is_had) continue;
        const double says = per_A[from] - per_A[to];
        const double is =
            (is_current ? moved->current_A[e] - op->current_A[e] : moved->across_V[e] - op->across_V[e]) / more_A;
        ck_assert_msg(fabs(says - is) <= 1e-4 + 1e-3 * fabs(is), "element %d: %g, not %g", e, says, is);
        n_known++;
    }
    ck_assert_int_gt(n_known, net->n_elements);
}
END_TEST

/* The same input gives the same bytes. */
START_TEST(test_same_bytes)
{
    grow_van(5, 12);
    position *on = positions_rest(&H->van, (hand_finish(H), H->arena));
    for (int i = 0; i < H->van.n_items; i += 2) on[i].index = 1;
    const operating_point *first = hand_solve(H, on), *second = hand_solve(H, on);
    ck_assert_ptr_ne(first, second);
    ck_assert_mem_eq(first->node_V, second->node_V, (size_t)H->net.n_nodes * sizeof(double));
    ck_assert_mem_eq(first->current_A, second->current_A, (size_t)H->net.n_elements * sizeof(double));
}
END_TEST

/* The separate balance sees what is wrong: a current or a voltage that is off by a little. */
START_TEST(test_balance_sees)
{
    grow_van(9, 6);
    position *on = positions_rest(&H->van, (hand_finish(H), H->arena));
    for (int i = 0; i < H->van.n_items; i += 2) on[i].index = 1;
    op_plan *plan = op_plan_create(H->arena, &H->net);
    op_solve(plan, on, false);
    op_phase ph = op_phase_of(plan, 0);
    double *leaving_A = ARENA_ARRAY(H->arena, double, (size_t)H->net.n_nodes);
    ck_assert_double_lt(balance_of(&H->net, &ph, leaving_A).current_A, 1e-9);
    ck_assert_double_lt(balance_of(&H->net, &ph, leaving_A).law_A, 1e-9);
    double *wrong = ARENA_ARRAY(H->arena, double, (size_t)H->net.n_elements);
    memcpy(wrong, ph.current_A, (size_t)H->net.n_elements * sizeof *wrong);
    wrong[3] += 1e-3;
    op_phase off = ph;
    off.current_A = wrong;
    near(balance_of(&H->net, &off, leaving_A).current_A, 1e-3, 1e-8);
    near(balance_of(&H->net, &off, leaving_A).law_A, 1e-3, 1e-8);
    ck_assert_int_eq(balance_of(&H->net, &off, leaving_A).element, 3);
    double *volts = ARENA_ARRAY(H->arena, double, (size_t)H->net.n_nodes);
    memcpy(volts, ph.node_V, (size_t)H->net.n_nodes * sizeof *volts);
    volts[2] += 1e-3;
    off = ph;
    off.node_V = volts;
    ck_assert_double_gt(balance_of(&H->net, &off, leaving_A).law_A, 1e-3);
}
END_TEST

static void add_case(Suite *s, const char *name, const TTest *const *tests, size_t n)
{
    TCase *c = tcase_create(name);
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_set_timeout(c, 60);
    for (size_t i = 0; i < n; i++) tcase_add_test(c, tests[i]);
    suite_add_tcase(s, c);
}

static void add_loop(Suite *s, const char *name, const TTest *test, int n)
{
    TCase *c = tcase_create(name);
    tcase_add_checked_fixture(c, set_up, tear_down);
    tcase_set_timeout(c, 60);
    tcase_add_loop_test(c, test, 0, n);
    suite_add_tcase(s, c);
}

#define CASE(name, ...)                                                                                                \
    add_case(s, name, (const TTest *const[]){__VA_ARGS__},                                                             \
             sizeof((const TTest *const[]){__VA_ARGS__}) / sizeof(TTest *))
#define COUNT(array) ((int)(sizeof(array) / sizeof *(array)))

static Suite *operating_suite(void)
{
    Suite *s = suite_create("operating");
    add_loop(s, "printed circuits", test_printed, COUNT(printed_circuits));
    add_loop(s, "constant power", test_power_root, COUNT(powers));
    CASE("beyond", test_power_beyond);
    CASE("laws of elements", test_slopes, test_knee, test_transfer_slopes);
    CASE("linear networks", test_linear_laws, test_rayleigh);
    add_loop(s, "ladder", test_ladder, 8);
    add_loop(s, "diodes", test_diodes, COUNT(diodes));
    CASE("isolating diodes", test_isolating_diodes);
    CASE("loads that do not run", test_reversed, test_current_let_go, test_fed_through_lamp);
    CASE("no resistance", test_ideal_carries, test_ideal_source_shorted, test_ideal_loop);
    CASE("islands", test_islands);
    CASE("relays", test_relay_pulls, test_relay_holds, test_relay_stays, test_relay_chatters);
    CASE("cut-outs", test_fridge_runs, test_fridge_stops, test_fridge_chatters, test_fridge_lets_go);
    CASE("transfers", test_transfer_holds, test_transfer_limit, test_transfer_limit_of_current, test_transfer_one_way,
         test_transfer_asleep, test_transfer_runs_dry, test_transfers_tied);
    add_loop(s, "chopper", test_chopper, 6);
    CASE("choppers", test_two_choppers, test_many_choppers);
    add_loop(s, "warm and cold", test_warm_is_cold, 12);
    add_loop(s, "warm and collapsed", test_warm_leaves_collapse, 2);
    add_loop(s, "sensitivity", test_sensitivity, 12);
    CASE("the answer", test_same_bytes, test_balance_sees);
    return s;
}

int main(void) { return tap_run(operating_suite()); }
