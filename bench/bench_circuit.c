/* Operating points a second: against libngspice on the same network in one run, and against size.
 *
 * The network is a van in small: a battery, fuses, wires, a switch and a load to each circuit, half of the loads by power,
 * half lamps. One switch is turned before each solve. libngspice parses its netlist once, alters the resistance of the
 * switch, and solves again; the time to alter is not counted. Medians of rounds that alternate between the two. */
#include "hand.h"
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#ifdef HAVE_NGSPICE
#include <ngspice/sharedspice.h>
#endif

enum { n_rounds = 9 };

/* Processor time: what else the machine does shall not count. */
static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *values, int n)
{
    qsort(values, (size_t)n, sizeof *values, by_value);
    return values[n / 2];
}

static uint64_t dice_state;
static double dice(double least, double most)
{
    dice_state = dice_state * 6364136223846793005u + 1442695040888963407u;
    return least + (most - least) * (double)(dice_state >> 11) / 9007199254740992.0;
}

/* Four nodes to a circuit. The supply grows with the van. */
static hand *grow(int n_circuits)
{
    hand *h = hand_create();
    double share = 10.0 / n_circuits;
    int n = hand_nodes(h, 4), pos = n + 1, bus = n + 2, back = n + 3;
    dice_state = 12;
    hand_source(h, pos, n, 12.8, 0.004 * share);
    hand_resistor(h, pos, bus, 0.003 * share);
    hand_resistor(h, back, n, 0.002 * share);
    for (int i = 0; i < n_circuits; i++) {
        int m = hand_nodes(h, 4), sw = hand_item(h, "switch", 2), load = hand_item(h, "load", 0);
        hand_resistor(h, bus, m, 0.1 / 15);
        hand_resistor(h, m, m + 1, dice(0.01, 0.1));
        hand_contact(h, sw, m + 1, m + 2, 2, 0.005);
        hand_resistor(h, m + 3, back, dice(0.01, 0.1));
        if (i % 2)
            hand_part(h, load, (net_element){.type = ELEMENT_LAMP, .a = m + 2, .b = m + 3, .load_ohm = dice(3, 90)});
        else
            hand_power(h, load, m + 2, m + 3, dice(2, 30));
    }
    hand_finish(h);
    return h;
}

typedef struct turner {
    hand *hand;
    op_plan *plan;
    position *at;
    int n_circuits, turned; /* the circuit whose switch was turned last */
    bool is_lamps_only;
} turner;

static turner turner_of(hand *h, int n_circuits, bool is_lamps_only)
{
    turner t = {h, op_plan_create(h->arena, &h->net), positions_rest(&h->van, h->arena), n_circuits, 0, is_lamps_only};
    for (int i = 0; i < n_circuits; i++) t.at[2 * i].index = is_lamps_only || i % 3 != 0;
    return t;
}

static void turn_one(turner *t)
{
    t->turned = (int)dice(0, t->n_circuits - 1e-9);
    if (t->is_lamps_only) t->turned = t->turned / 2 * 2 + 1;
    t->at[2 * t->turned].index ^= 1;
}

static const operating_point *solve(turner *t)
{
    const operating_point *op = op_solve(t->plan, t->at, true);
    if (op->outcome != OUTCOME_SOLVED) exit(EXIT_FAILURE);
    return op;
}

static double seconds_each(turner *t, int n_solves)
{
    double start_s = now_s();
    for (int i = 0; i < n_solves; i++) {
        turn_one(t);
        solve(t);
    }
    return (now_s() - start_s) / n_solves;
}

/* ------------------------------------------------------------------ against libngspice */

#ifdef HAVE_NGSPICE
static int ignore_text(char *text, int id, void *context)
{
    (void)id, (void)context;
    if (strstr(text, "rror") || strstr(text, "singular")) fprintf(stderr, "libngspice: %s\n", text);
    return 0;
}
static int leave(int status, NG_BOOL unload, NG_BOOL quit, int id, void *context)
{
    (void)status, (void)unload, (void)quit, (void)id, (void)context;
    exit(EXIT_FAILURE);
}

static void run(const char *text)
{
    char command[80];
    snprintf(command, sizeof command, "%s", text);
    if (ngSpice_Command(command) != 0) exit(EXIT_FAILURE);
}

static double contact_ohm(bool is_closed) { return is_closed ? 0.005 : 1e9; }

/* Starts near the answer: from nothing it does not find the physical solution. */
static void load_netlist(turner *t)
{
    const network *net = &t->hand->net;
    char **lines = ARENA_ARRAY(t->hand->arena, char *, 2 * (size_t)net->n_elements + (size_t)net->n_nodes + 8);
    arena *a = t->hand->arena;
    int n = 0;
    lines[n++] = arena_text(a, "van in small");
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        if (e->type == ELEMENT_EMF) {
            lines[n++] = arena_printf(a, "V%d n%d m%d %.17g", k, e->a, k, e->voltage_V);
            lines[n++] = arena_printf(a, "R%d m%d %s %.17g", k, k, "0", e->resistance_ohm);
        } else if (e->type == ELEMENT_LOAD) {
            lines[n++] = arena_printf(a, "B%d n%d n%d i=%.17g*v(n%d,n%d)/max(v(n%d,n%d),1)^2", k, e->a, e->b,
                                      e->power_W, e->a, e->b, e->a, e->b);
        } else {
            double ohm = e->type == ELEMENT_LAMP      ? e->load_ohm
                         : e->type == ELEMENT_CONTACT ? contact_ohm(t->at[e->item].index == 1)
                                                      : e->resistance_ohm;
            lines[n++] = arena_printf(a, "R%d n%d n%d %.17g", k, e->a, e->b, ohm);
        }
    }
    lines[n++] = arena_printf(a, "Vref n0 0 0");
    const operating_point *op = solve(t);
    for (int i = 1; i < net->n_nodes; i++) lines[n++] = arena_printf(a, ".nodeset v(n%d)=%.17g", i, op->node_V[i]);
    lines[n++] = arena_text(a, ".end");
    if (ngSpice_Circ(lines) != 0) exit(EXIT_FAILURE);
}

static void alter_turned(const turner *t)
{
    char command[80];
    for (int k = 0; k < t->hand->net.n_elements; k++) {
        const net_element *e = &t->hand->net.elements[k];
        if (e->type != ELEMENT_CONTACT || e->item != 2 * t->turned) continue;
        snprintf(command, sizeof command, "alter R%d = %g", k, contact_ohm(t->at[e->item].index == 1));
        run(command);
    }
}

static double largest_difference_V(const turner *t, const operating_point *op)
{
    double largest = 0;
    for (int i = 1; i < t->hand->net.n_nodes; i++) {
        char name[32];
        snprintf(name, sizeof name, "n%d", i);
        pvector_info v = ngGet_Vec_Info(name);
        if (v == NULL || v->v_realdata == NULL) exit(EXIT_FAILURE);
        largest = fmax(largest, fabs(v->v_realdata[v->v_length - 1] - op->node_V[i]));
    }
    return largest;
}

static void against_ngspice(void)
{
    enum { n_circuits = 50, n_solves = 20 };
    hand *h = grow(n_circuits); /* 204 nodes */
    turner t = turner_of(h, n_circuits, true);
    double ours_s[n_rounds], theirs_s[n_rounds], difference_V = 0;
    ngSpice_Init(ignore_text, NULL, leave, NULL, NULL, NULL, NULL);
    for (int round = 0; round < n_rounds; round++) {
        ours_s[round] = seconds_each(&t, 100 * n_solves);
        theirs_s[round] = 0;
        load_netlist(&t);
        for (int i = 0; i < n_solves; i++) {
            turn_one(&t);
            alter_turned(&t);
            double start_s = now_s();
            run("op");
            theirs_s[round] += (now_s() - start_s) / n_solves;
            difference_V = fmax(difference_V, largest_difference_V(&t, solve(&t)));
            run("destroy all");
        }
        run("remcirc");
    }
    double ours = median(ours_s, n_rounds), theirs = median(theirs_s, n_rounds), ratio = theirs / ours;
    printf("operating points, %d nodes       %8.0f a second; libngspice %.0f; ratio %.0f   target at least 50: %s"
           "   (answers within %.1g V)\n",
           h->net.n_nodes, 1 / ours, 1 / theirs, ratio, ratio >= 50 ? "met" : "MISSED", difference_V);
    hand_destroy(h);
}
#else
static void against_ngspice(void) { puts("operating points: libngspice is not here, nothing to compare with"); }
#endif

/* ------------------------------------------------------------------ against size */

static void against_size(void)
{
    static const int sizes[] = {10, 30, 100, 300, 1000};
    enum { n_sizes = sizeof sizes / sizeof *sizes };
    double each_s[n_sizes];
    puts("operating point by size           circuits     nodes        us   us a circuit");
    for (int i = 0; i < n_sizes; i++) {
        double rounds_s[n_rounds];
        hand *h = grow(sizes[i]);
        turner t = turner_of(h, sizes[i], false);
        for (int round = 0; round < n_rounds; round++) rounds_s[round] = seconds_each(&t, 20000 / sizes[i]);
        each_s[i] = median(rounds_s, n_rounds);
        printf("                                  %8d  %8d %9.1f %14.3f\n", sizes[i], h->net.n_nodes, 1e6 * each_s[i],
               1e6 * each_s[i] / sizes[i]);
        hand_destroy(h);
    }
    printf("  cost grows as size to the power %.2f from %d to %d circuits (1 is linear)\n",
           log(each_s[n_sizes - 1] / each_s[0]) / log((double)sizes[n_sizes - 1] / sizes[0]), sizes[0],
           sizes[n_sizes - 1]);
}

int main(void)
{
    against_ngspice();
    against_size();
    return EXIT_SUCCESS;
}
