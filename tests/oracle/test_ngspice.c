/* The operating point against an independent solver: random networks with every kind of element, node by node.
 *
 * Each network is written as a netlist for libngspice and solved there, once for each on/off pattern of its choppers.
 * What libngspice is known to do wrong is kept away from it: nodes that an element without resistance joins are one node
 * there (it would take 1 mohm for it, and loses digits over a source of 0 V), each island is grounded once (a floating node drifts), loads by power start from its own solution of
 * the circuit without load (it would return the collapsed one), every run has a process of its own (it keeps state).
 *
 * Elements with states (diodes, cut-outs, relays, transfers) stand in the netlist in the state that we answer; then the
 * other solver's voltages must confirm that state. For diodes that is enough: a network of parts that take more current
 * at more voltage has only one consistent state. */
#include "circuit/law.h"
#include "fewer.h"
#include "hand.h"
#include <math.h>
#include <ngspice/sharedspice.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { n_networks = 560, n_least = 500, nodes_most = 400, lines_most = 2000 };
static const double edge_V = 1e-5;    /* how near to a corner of its law an element may stand on either side of it */
static const double tolerance = 1e-6; /* relative to the voltage, or to 10 mV where that is more */

/* ------------------------------------------------------------------ random networks */

static uint64_t dice_state;
static double dice(double least, double most)
{
    dice_state = dice_state * 6364136223846793005u + 1442695040888963407u;
    return least + (most - least) * (double)(dice_state >> 11) / 9007199254740992.0;
}
static int dice_int(int n) { return (int)dice(0, n - 1e-9); }
static bool chance(double p) { return dice(0, 1) < p; }
static double dice_ohm(double least, double most) { return least * pow(most / least, dice(0, 1)); }

typedef struct side { /* nodes of one polarity */
    int nodes[64], n;
} side;

static int any_of(const side *s) { return s->nodes[dice_int(s->n)]; }
static void add_node(side *s, int node)
{
    if (s->n < 64) s->nodes[s->n++] = node;
}

/* Something that leads from a node of the feed to a new one. */
static void grow_feed(hand *h, side *feed)
{
    int from = any_of(feed), to = hand_nodes(h, 1), r = dice_int(9);
    bool is_ideal = chance(0.15);
    double ohm = is_ideal ? 0 : dice_ohm(0.002, 0.2);
    if (r < 3)
        hand_resistor(h, from, to, ohm);
    else if (r < 4)
        hand_part(h, -1,
                  (net_element){.type = ELEMENT_FUSIBLE, .a = from, .b = to, .resistance_ohm = dice_ohm(0.001, 0.02)});
    else if (r < 7)
        hand_contact(h, hand_item(h, "switch", 2), from, to, 1u << dice_int(2), chance(0.3) ? 0 : 0.005);
    else if (r < 8)
        hand_diode(h, chance(0.85) ? from : to, from == to ? from : 0, 0, 0);
    else
        hand_resistor(h, from, to, ohm);
    if (r == 7) { /* the diode above, put right: from one to the other */
        net_element *d = &h->parts.at[h->parts.n - 1];
        d->b = d->a == from ? to : from;
        d->drop_V = dice(0.2, 0.7);
        d->resistance_ohm = dice(0.002, 0.05);
    }
    add_node(feed, to);
}

static void add_load(hand *h, const side *feed, const side *back, int *chopped)
{
    int a = any_of(feed), b = any_of(back), it = hand_item(h, "load", 0);
    if (chance(0.06)) { /* connected the wrong way round */
        int swap = a;
        a = b;
        b = swap;
    }
    if (*chopped < 2 && chance(0.12)) { /* dimmed at its low side */
        int low = hand_nodes(h, 1);
        hand_chopper(h, low, b, chance(0.2) ? (double)dice_int(2) : dice(0.05, 0.95), chance(0.3) ? 0 : 0.01);
        b = low;
        ++*chopped;
    }
    int r = dice_int(6);
    if (r == 0)
        hand_power(h, it, a, b, dice(1, 80));
    else if (r == 1)
        hand_current(h, it, a, b, dice(0.1, 6));
    else if (r == 2)
        hand_part(h, it, (net_element){.type = ELEMENT_LOAD, .a = a, .b = b, .load_ohm = dice(1, 60)});
    else if (r == 3)
        hand_part(
            h, it,
            (net_element){.type = ELEMENT_LAMP, .a = a, .b = b, .load_ohm = dice_ohm(5, 1200), .lights_above_V = 6});
    else if (r == 4)
        hand_part(h, it,
                  (net_element){.type = ELEMENT_LOAD,
                                .a = a,
                                .b = b,
                                .power_W = dice(5, 60),
                                .stops_below_V = dice(10, 12.4),
                                .starts_above_V = dice(12.5, 14)});
    else
        hand_diode(h, b, a, dice(0.3, 0.8), 0.02); /* freewheel */
}

static void add_relay(hand *h, side *feed, const side *back)
{
    int relay = hand_item(h, "relay", 2), to = hand_nodes(h, 1);
    double pulls_V = dice(6, 10);
    hand_part(h, relay,
              (net_element){.type = ELEMENT_COIL,
                            .a = any_of(feed),
                            .b = any_of(back),
                            .resistance_ohm = dice(40, 200),
                            .pulls_above_V = pulls_V,
                            .drops_below_V = dice(1, 5),
                            .moves = 1});
    hand_contact(h, relay, any_of(feed), to, 1u << dice_int(2), 0.004);
    add_node(feed, to);
}

/* A converter onto a circuit of its own, sometimes on the common return, sometimes with a battery on it. */
static void add_transfer(hand *h, const side *feed, const side *back)
{
    int out = hand_nodes(h, 2), to_b = chance(0.6) ? any_of(back) : out + 1;
    double volts = chance(0.5) ? 14.4 : dice(5, 28);
    hand_transfer(h, hand_item(h, "converter", 0), any_of(feed), any_of(back), out, to_b, volts, dice(0.8, 0.98),
                  dice(0, 3), dice(20, 150));
    if (chance(0.4)) hand_source(h, out, to_b, volts * dice(0.85, 1.04), dice(0.05, 0.5));
    hand_part(h, -1,
              (net_element){.type = ELEMENT_LOAD, .a = out, .b = to_b, .load_ohm = volts * volts / dice(5, 200)});
}

static void grow(hand *h, uint64_t seed)
{
    dice_state = seed * 2654435761u + 99;
    for (int i = 0; i < 8; i++) dice(0, 1);
    side feed = {0}, back = {0};
    int chopped = 0, n = hand_nodes(h, 2);
    add_node(&back, n);
    add_node(&feed, n + 1);
    hand_source(h, n + 1, n, dice(11.8, 14.2), chance(0.15) ? 0 : dice_ohm(0.002, 0.05));
    int n_feed = 2 + dice_int(14), n_back = 1 + dice_int(8), n_loads = 1 + dice_int(10);
    for (int i = 0; i < n_back; i++) {
        int from = any_of(&back), to = hand_nodes(h, 1);
        hand_resistor(h, to, from, chance(0.15) ? 0 : dice_ohm(0.001, 0.1));
        add_node(&back, to);
    }
    for (int i = 0; i < n_feed; i++) grow_feed(h, &feed);
    for (int i = 0; i < 2; i++) /* rings */
        if (chance(0.3)) hand_resistor(h, any_of(&feed), any_of(&feed), dice_ohm(0.01, 0.3));
    if (chance(0.3)) hand_source(h, any_of(&feed), any_of(&back), dice(12, 13.5), dice_ohm(0.01, 0.1));
    if (chance(0.25)) add_relay(h, &feed, &back);
    for (int i = 0; i < n_loads; i++) add_load(h, &feed, &back, &chopped);
    if (chance(0.3)) add_transfer(h, &feed, &back);
    if (chance(0.2)) hand_resistor(h, hand_nodes(h, 1), any_of(&back), 0.01);
    if (chance(0.2)) hand_nodes(h, 1); /* a terminal that nothing connects */
}

/* ------------------------------------------------------------------ netlists */

typedef struct netlist {
    char *lines[lines_most];
    int n;
} netlist;

/* The node that stands for each: the lowest of those that it is joined with without resistance. */
static int alias[nodes_most];

__attribute__((format(printf, 2, 3))) static void say(netlist *l, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    if (l->n >= lines_most - 1 || vasprintf(&l->lines[l->n], format, args) < 0) abort();
    l->n++;
    va_end(args);
}

static void free_netlist(netlist *l)
{
    for (int i = 0; i < l->n; i++) free(l->lines[i]);
}

static void say_resistance(netlist *l, int k, int a, int b, double ohm)
{
    if (ohm > 0) say(l, "R%d n%d n%d %.17g", k, a, b, ohm);
}

static void say_source(netlist *l, int k, int a, int b, double volts, double ohm)
{
    if (ohm > 0) {
        say(l, "I%d n%d n%d %.17g", k, b, a, volts / ohm); /* Norton's form: no inner node, no lost digits */
        say(l, "R%d n%d n%d %.17g", k, a, b, ohm);
    } else {
        say(l, "V%d n%d n%d %.17g", k, a, b, volts);
    }
}

/* Where on its law a load stands. Nested conditions in a source expression make libngspice converge on points that are
 * none, so the piece is chosen here and confirmed afterwards. */
typedef enum piece { PIECE_REVERSED, PIECE_KNEE, PIECE_ABOVE } piece;
static piece piece_of(double V) { return V < 0 ? PIECE_REVERSED : V < 1 ? PIECE_KNEE : PIECE_ABOVE; }

static void say_load(netlist *l, int k, const net_element *e, int state, const double *V, double supply_V)
{
    char v[64];
    snprintf(v, sizeof v, "v(n%d,n%d)", e->a, e->b);
    bool is_by_power = e->power_W > 0;
    piece p = piece_of(V[e->a] - V[e->b]);
    if (state == PHASE_OPEN)
        say(l, "R%d n%d n%d 1e6", k, e->a, e->b);
    else if (e->load_ohm > 0)
        say(l, "R%d n%d n%d %.17g", k, e->a, e->b, e->load_ohm);
    else if (state == PHASE_STARVED)
        say(l, "R%d n%d n%d %.17g", k, e->a, e->b,
            is_by_power ? supply_V * supply_V / e->power_W : supply_V / e->current_A);
    else if (p == PIECE_REVERSED)
        say(l, "R%d n%d n%d 1e6", k, e->a, e->b);
    else if (p == PIECE_KNEE && is_by_power)
        say(l, "B%d n%d n%d i = %.17g*(3*%s-2*%s*%s)", k, e->a, e->b, e->power_W, v, v, v);
    else if (p == PIECE_KNEE)
        say(l, "B%d n%d n%d i = %.17g*(2*%s-%s*%s)", k, e->a, e->b, e->current_A, v, v, v);
    else if (is_by_power)
        say(l, "B%d n%d n%d i = %.17g/%s", k, e->a, e->b, e->power_W, v);
    else
        say(l, "I%d n%d n%d %.17g", k, e->a, e->b, e->current_A);
}

static bool diode_conducts(const net_element *e, const double *V) { return V[e->a] - V[e->b] > e->drop_V; }

typedef enum gives { GIVES_NOTHING, GIVES_HELD, GIVES_LIMIT } gives;
static gives transfer_gives(const net_element *e, const double *V, double J, int state)
{
    double out_V = V[e->to_a] - V[e->to_b];
    if (state == PHASE_OPEN || J <= 0) return GIVES_NOTHING;
    return out_V >= e->voltage_V * (1 - 1.0000001 * DROOP) ? GIVES_HELD : GIVES_LIMIT;
}

static void say_transfer(netlist *l, int k, const net_element *e, gives mode, int state, bool is_loaded)
{
    char watts[160];
    if (mode == GIVES_HELD) {
        say(l, "V%d m%d n%d %.17g", k, k, e->to_b, e->voltage_V);
        say(l, "R%d m%d n%d %.17g", k, k, e->to_a, DROOP * e->voltage_V * e->voltage_V / e->limit_W);
        snprintf(watts, sizeof watts, "(-i(V%d)*v(n%d,n%d)/%.17g+%.17g)", k, e->to_a, e->to_b, e->efficiency,
                 e->standby_W);
    } else if (mode == GIVES_LIMIT) {
        say(l, "BO%d n%d n%d i = %.17g/v(n%d,n%d)", k, e->to_b, e->to_a, e->limit_W, e->to_a, e->to_b);
        snprintf(watts, sizeof watts, "%.17g", e->limit_W / e->efficiency + e->standby_W);
    } else {
        say(l, "RO%d n%d n%d 1e6", k, e->to_a, e->to_b);
        snprintf(watts, sizeof watts, "%.17g", e->standby_W);
    }
    if (state == PHASE_OPEN || !is_loaded)
        say(l, "RI%d n%d n%d 1e6", k, e->a, e->b);
    else
        say(l, "BI%d n%d n%d i = %s/v(n%d,n%d)", k, e->a, e->b, watts, e->a, e->b);
}

/* Islands once more, in the plainest way: spread the lowest number until nothing changes. With is_ideal only what has no
 * resistance spreads it. */
static void spread_lowest(const network *net, const op_phase *ph, bool is_ideal, int *lowest)
{
    for (int i = 0; i < net->n_nodes; i++) lowest[i] = i;
    for (bool is_changed = true; is_changed;) {
        is_changed = false;
        for (int k = 0; k < net->n_elements; k++) {
            const net_element *e = &net->elements[k];
            bool is_wiring = e->type == ELEMENT_CONDUCTOR || e->type == ELEMENT_CONTACT || e->type == ELEMENT_CHOPPER;
            bool is_open = (e->type == ELEMENT_CONTACT || e->type == ELEMENT_CHOPPER) && !ph->is_closed[k];
            if (is_open || (is_ideal && !(is_wiring && e->resistance_ohm == 0))) continue;
            int ends[2][2] = {{e->a, e->b}, {e->to_a, e->to_b}};
            for (int j = 0; j < (e->type == ELEMENT_TRANSFER ? 2 : 1); j++) {
                int a = lowest[ends[j][0]], b = lowest[ends[j][1]];
                is_changed = is_changed || a != b;
                lowest[ends[j][0]] = lowest[ends[j][1]] = a < b ? a : b;
            }
        }
    }
}

/* Without load (is_loaded false) loads and inputs of transfers are what a leak is. */
static void write_netlist(netlist *l, const network *net, const op_phase *ph, const int *island, double supply_V,
                          bool is_loaded, const double *start_V)
{
    say(l, "random network");
    say(l, "Vref n%d 0 0", alias[net->reference]);
    for (int i = 0; i < net->n_nodes; i++)
        if (island[i] == i && i != net->reference) say(l, "Rg%d n%d 0 1", i, i);
    for (int k = 0; k < net->n_elements; k++) {
        net_element here = net->elements[k];
        const net_element *e = &here;
        int *ends[] = {&here.a, &here.b, &here.to_a, &here.to_b};
        for (int j = 0; j < 4; j++) *ends[j] = *ends[j] >= 0 ? alias[*ends[j]] : -1;
        int state = ph->is_closed[k];
        gives mode;
        switch (e->type) {
        case ELEMENT_CONDUCTOR:
        case ELEMENT_FUSIBLE:
            say_resistance(l, k, e->a, e->b, e->resistance_ohm);
            break;
        case ELEMENT_EMF:
            say_source(l, k, e->a, e->b, e->voltage_V, e->resistance_ohm);
            break;
        case ELEMENT_CONTACT:
        case ELEMENT_CHOPPER:
            if (state) say_resistance(l, k, e->a, e->b, e->resistance_ohm);
            break;
        case ELEMENT_LAMP:
            say(l, "R%d n%d n%d %.17g", k, e->a, e->b, e->load_ohm);
            break;
        case ELEMENT_COIL:
            say(l, "R%d n%d n%d %.17g", k, e->a, e->b, e->resistance_ohm);
            break;
        case ELEMENT_LOAD:
            say_load(l, k, e, is_loaded ? state : PHASE_OPEN, ph->node_V, supply_V);
            break;
        case ELEMENT_DIODE:
            say(l, "RL%d n%d n%d 1e6", k, e->a, e->b);
            if (diode_conducts(e, ph->node_V)) say_source(l, k, e->a, e->b, e->drop_V, e->resistance_ohm);
            break;
        case ELEMENT_TRANSFER:
            mode = transfer_gives(e, ph->node_V, ph->output_A[k], state);
            say_transfer(l, k, e, mode == GIVES_LIMIT && !is_loaded ? GIVES_HELD : mode, state, is_loaded);
            break;
        default:
            break;
        }
    }
    for (int i = 0; start_V != NULL && i < net->n_nodes; i++)
        if (alias[i] == i && isfinite(start_V[i])) say(l, ".nodeset v(n%d)=%.17g", i, start_V[i]);
    say(l, ".options reltol=1e-8 abstol=1e-8 vntol=1e-9 itl1=500 gmin=1e-18");
    say(l, ".end");
}

/* ------------------------------------------------------------------ the other solver */

static bool has_complained;
static int on_text(char *text, int id, void *context)
{
    (void)id;
    (void)context;
    if (getenv("SHOW_NETLIST")) fprintf(stderr, "# %s\n", text);
    if (strcasestr(text, "error") || strcasestr(text, "singular") || strcasestr(text, "failed") ||
        strcasestr(text, "transient op"))
        has_complained = true;
    return 0;
}
static int on_exit_asked(int status, NG_BOOL unload, NG_BOOL quit, int id, void *context)
{
    (void)status, (void)unload, (void)quit, (void)id, (void)context;
    _exit(3);
}
static int on_running(NG_BOOL is_not_running, int id, void *context)
{
    (void)is_not_running, (void)id, (void)context;
    return 0;
}

/* In the child: solves and writes the node voltages to the pipe. */
static void run_in_child(netlist *l, int n_nodes, int pipe_end)
{
    static double V[nodes_most];
    ngSpice_Init(on_text, NULL, on_exit_asked, NULL, NULL, on_running, NULL);
    l->lines[l->n] = NULL;
    char command[] = "op";
    if (ngSpice_Circ(l->lines) != 0 || ngSpice_Command(command) != 0) _exit(4);
    if (has_complained) _exit(5);
    for (int i = 0; i < n_nodes; i++) {
        char name[32];
        snprintf(name, sizeof name, "n%d", alias[i]);
        pvector_info v = ngGet_Vec_Info(name);
        V[i] = v != NULL && v->v_length > 0 && v->v_realdata != NULL ? v->v_realdata[v->v_length - 1] : NAN;
    }
    ssize_t n_bytes = (ssize_t)((size_t)n_nodes * sizeof *V);
    _exit(write(pipe_end, V, (size_t)n_bytes) == n_bytes ? 0 : 6);
}

static bool run_ngspice(netlist *l, int n_nodes, double *V)
{
    int ends[2];
    if (pipe(ends) != 0) return false;
    fflush(stdout);
    pid_t child = fork();
    if (child == 0) {
        close(ends[0]);
        run_in_child(l, n_nodes, ends[1]);
    }
    close(ends[1]);
    size_t wanted = (size_t)n_nodes * sizeof *V, got = 0;
    for (ssize_t n; got < wanted && (n = read(ends[0], (char *)V + got, wanted - got)) > 0;) got += (size_t)n;
    close(ends[0]);
    int status = -1;
    waitpid(child, &status, 0);
    return child > 0 && got == wanted && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

/* ------------------------------------------------------------------ comparison */

static int n_of_type[N_ELEMENTS];
static double worst_relative;
static const char no_answer[] = "libngspice has no answer";

/* The states that the netlist was written with, against the other solver's voltages. */
static const char *confirm_states(const network *net, const op_phase *ph, const double *V)
{
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        double across_V = V[e->a] - V[e->b];
        piece p = piece_of(across_V), ours = piece_of(ph->node_V[e->a] - ph->node_V[e->b]);
        bool is_at_edge = fabs(across_V) < edge_V || fabs(across_V - 1) < edge_V;
        if (e->type == ELEMENT_LOAD && p != ours && !is_at_edge) return "a load stands wrong";
        if (e->type == ELEMENT_DIODE) {
            bool is_on = diode_conducts(e, ph->node_V);
            if (is_on ? across_V < e->drop_V - edge_V : across_V > e->drop_V + edge_V) return "a diode stands wrong";
        }
        if (e->type == ELEMENT_TRANSFER) {
            double out_V = V[e->to_a] - V[e->to_b], J = ph->output_A[k];
            if ((ph->is_closed[k] != 0) != (across_V >= KNEE_V)) return "a transfer sleeps or wakes wrongly";
            switch (transfer_gives(e, ph->node_V, J, ph->is_closed[k])) {
            case GIVES_HELD:
                if (J * out_V > e->limit_W * (1 + 1e-5)) return "a transfer holds beyond its limit";
                break;
            case GIVES_LIMIT:
                if (out_V > e->voltage_V) return "a transfer at its limit above its voltage";
                break;
            default:
                if (ph->is_closed[k] && out_V < e->voltage_V * (1 - 1e-6)) return "a transfer rests below its voltage";
            }
        }
    }
    return NULL;
}

/* A circuit without curves must have no start: libngspice would answer with what held it there. */
static bool is_curved(const network *net, const op_phase *ph)
{
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        bool is_load = e->type == ELEMENT_LOAD && !(e->load_ohm > 0) && ph->is_closed[k] == PHASE_CLOSED;
        bool is_above = piece_of(ph->node_V[e->a] - ph->node_V[e->b]) == PIECE_ABOVE;
        bool is_knee = piece_of(ph->node_V[e->a] - ph->node_V[e->b]) == PIECE_KNEE;
        if (is_load && (is_knee || (is_above && e->power_W > 0))) return true;
        if (e->type == ELEMENT_TRANSFER && ph->is_closed[k]) return true;
    }
    return false;
}

/* Its parabola can't be reached from the no-load side. */
static bool has_load_in_knee(const network *net, const op_phase *ph)
{
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        bool is_driven = e->type == ELEMENT_LOAD && !(e->load_ohm > 0) && ph->is_closed[k] == PHASE_CLOSED;
        if (is_driven && piece_of(ph->node_V[e->a] - ph->node_V[e->b]) == PIECE_KNEE) return true;
    }
    return false;
}

static const char *compare_phase(const network *net, const op_phase *ph, double supply_V, bool *is_in_reference,
                                 double *average_V)
{
    static double start_V[nodes_most], V[nodes_most];
    static int island[nodes_most];
    static char says[200];
    spread_lowest(net, ph, false, island);
    spread_lowest(net, ph, true, alias);
    netlist no_load = {0}, loaded = {0};
    bool is_run = true, needs_start = is_curved(net, ph);
    if (needs_start) {
        write_netlist(&no_load, net, ph, island, supply_V, false, NULL);
        is_run = run_ngspice(&no_load, net->n_nodes, start_V);
        if (has_load_in_knee(net, ph)) memcpy(start_V, ph->node_V, (size_t)net->n_nodes * sizeof *start_V);
    }
    write_netlist(&loaded, net, ph, island, supply_V, true, needs_start && is_run ? start_V : NULL);
    is_run = is_run && run_ngspice(&loaded, net->n_nodes, V);
    if (!is_run && getenv("SHOW_NETLIST"))
        for (int i = 0; i < loaded.n; i++) printf("# %s\n", loaded.lines[i]);
    free_netlist(&no_load);
    free_netlist(&loaded);
    if (!is_run) return no_answer;
    for (int i = 0; i < net->n_nodes; i++) {
        /* islands are held at different nodes: compare differences within each */
        double ours = ph->node_V[i] - ph->node_V[island[i]], theirs = V[i] - V[island[i]];
        if (!isfinite(theirs)) continue; /* nothing connects it */
        double relative = fabs(ours - theirs) / fmax(fabs(theirs), 0.01);
        worst_relative = fmax(worst_relative, relative);
        if (!(relative <= tolerance)) {
            snprintf(says, sizeof says, "node %d: %.12g V here, %.12g V there", i, ours, theirs);
            return says;
        }
        if (island[i] != island[net->reference]) is_in_reference[i] = false;
        average_V[i] += ph->weight * (V[i] - V[net->reference]);
    }
    return confirm_states(net, ph, V);
}

static const char *compare_coils(const hand *h, const operating_point *op)
{
    for (int k = 0; k < h->net.n_elements; k++) {
        const net_element *e = &h->net.elements[k];
        if (e->type != ELEMENT_COIL) continue;
        double V = fabs(op->across_V[k]);
        if (op->items[e->item].is_pulled ? V < e->drops_below_V : V >= e->pulls_above_V) return "a relay stands wrong";
    }
    return NULL;
}

/* NULL when both agree; *is_solved false when we have no operating point to compare. */
static const char *compare(uint64_t seed, bool *is_solved)
{
    static double average_V[nodes_most];
    static bool is_in_reference[nodes_most];
    static char says[200];
    const char *wrong = NULL;
    hand *h = hand_create();
    grow(h, seed);
    const network *net = hand_finish(h);
    op_plan *plan = op_plan_create(h->arena, net);
    position *at = positions_rest(&h->van, h->arena);
    for (int i = 0; i < h->van.n_items; i++)
        if (h->van.items[i].n_positions > 1) at[i].index = dice_int(2);
    const operating_point *op = op_solve(plan, at, false);
    op_check(plan);
    *is_solved = op->outcome == OUTCOME_SOLVED;
    double supply_V = 0;
    for (int k = net->n_elements - 1; k >= 0; k--)
        if (net->elements[k].type == ELEMENT_EMF) supply_V = net->elements[k].voltage_V;
    for (int i = 0; i < net->n_nodes; i++) {
        average_V[i] = 0;
        is_in_reference[i] = true;
    }
    if (*is_solved && !(op->residual_A < 1e-6 && op->law_residual_A < 1e-5)) wrong = "our own balance is off";
    for (int j = 0; *is_solved && wrong == NULL && j < op->n_phases; j++) {
        op_phase ph = op_phase_of(plan, j);
        wrong = compare_phase(net, &ph, supply_V, is_in_reference, average_V);
    }
    for (int i = 0; *is_solved && wrong == NULL && i < net->n_nodes; i++) {
        bool is_off =
            is_in_reference[i] && fabs(op->node_V[i] - average_V[i]) > tolerance * fmax(fabs(average_V[i]), 0.01);
        if (isnan(op->node_V[i]) != !is_in_reference[i] && isfinite(average_V[i])) is_off = true;
        if (!is_off) continue;
        snprintf(says, sizeof says, "average at node %d: %.12g V here, %.12g V there", i, op->node_V[i], average_V[i]);
        wrong = says;
    }
    if (*is_solved && wrong == NULL) wrong = compare_coils(h, op);
    for (int k = 0; *is_solved && k < net->n_elements; k++) n_of_type[net->elements[k].type]++;
    hand_destroy(h);
    return wrong;
}

int main(int argc, char **argv)
{
    int n_compared = 0, n_failed = 0, only = argc > 1 ? atoi(argv[1]) : 0, n_lines = 0;
    const int last = only ? only : fewer(n_networks);
    for (int seed = only ? only : 1; seed <= last; seed++) {
        bool is_solved;
        const char *wrong = compare((uint64_t)seed, &is_solved);
        if (!is_solved) continue; /* beyond, contradiction, chatter: tested elsewhere */
        if (wrong == no_answer) {
            printf("# network %d: %s\n", seed, wrong);
            continue;
        }
        n_compared++;
        if (wrong) n_failed++;
        printf("%s %d - network %d%s%s\n", wrong ? "not ok" : "ok", ++n_lines, seed, wrong ? ": " : "",
               wrong ? wrong : "");
    }
    if (!only) {
        for (int t = 0; t < N_ELEMENTS; t++)
            printf("%s %d - %d elements of the kind %s\n", n_of_type[t] >= fewer(40) ? "ok" : "not ok", ++n_lines,
                   n_of_type[t], element_type_word((element_type)t));
        printf("%s %d - %d of %d networks compared\n", n_compared >= fewer(n_least) ? "ok" : "not ok", ++n_lines,
               n_compared, last);
    }
    printf("# largest difference %.2g relative\n1..%d\n", worst_relative, n_lines);
    return n_failed || (!only && n_compared < fewer(n_least));
}
