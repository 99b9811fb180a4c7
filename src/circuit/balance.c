/* Kirchhoff's law, the law of each element and the balance of power, recomputed: see balance.h.
 *
 * Nothing here is shared with law.c or solve.c. Each element is asked for the current that it should carry at its
 * voltage, from the definitions in docs/van-file.md, and where it joins without loss for the voltage it should have. */
#include "circuit/balance.h"

#include <math.h>

/* The same two conventions as law.h, written again on purpose. */
static const double leak_S = 1e-6, knee_V = 1;

/* A load that is not fed is the resistance that takes what it asks for at the voltage of the first source. */
static double departure_of_load(const net_element *e, double V, double I, unsigned char state, double supply_V)
{
    double leak = leak_S * V;
    bool is_by_power = e->power_W > 0;
    if (state == PHASE_OPEN) return I - leak;
    if (e->load_ohm > 0) return I - V / e->load_ohm;
    if (state == PHASE_STARVED) return I - V / supply_V * (is_by_power ? e->power_W / supply_V : e->current_A);
    if (V <= 0 || (e->power_W <= 0 && e->current_A <= 0)) return I - leak;
    if (V >= knee_V) return I - (is_by_power ? e->power_W / V : e->current_A);
    double x = V / knee_V;
    return I - (is_by_power ? e->power_W / knee_V * (3 * x - 2 * x * x) : e->current_A * (2 * x - x * x));
}

static double departure_of_diode(const net_element *e, double V, double I)
{
    double R = e->resistance_ohm > 1e-3 ? e->resistance_ohm : 1e-3;
    return I - leak_S * V - (V > e->drop_V ? (V - e->drop_V) / R : 0);
}

/* A voltage that is wrong by d shows as d over the resistance that is left, at least a milliohm. */
static double departure_of_wiring(double V, double I, double R, bool is_closed)
{
    if (!is_closed || !isfinite(R)) return I;
    return R > 1e-9 ? I - V / R : V / 1e-3;
}

static double departure_of_transfer(const net_element *e, double in_V, double in_A, double out_V, double J, bool is_on)
{
    double efficiency = e->efficiency > 0 ? e->efficiency : 1;
    if (!is_on) return fabs(in_A - leak_S * in_V) + fabs(J + leak_S * out_V);
    double should_W = (J > 0 ? out_V * J / efficiency : 0) + e->standby_W;
    double wrong_A = in_V > knee_V ? fabs(in_A - should_W / in_V) : 0;
    double most_A = e->limit_A > 0 ? e->limit_A : e->limit_W > 0 ? e->limit_W / out_V : INFINITY;
    bool is_holding = fabs(out_V - e->voltage_V) <= 1.1e-6 * fmax(e->voltage_V, isfinite(most_A) ? 0 : J);
    if (out_V > e->voltage_V && !is_holding) return wrong_A + fabs(J + leak_S * out_V);
    if (is_holding) return wrong_A + fmax(0, J - most_A * (1 + 2e-6));
    return out_V >= knee_V || e->limit_A > 0 ? wrong_A + fabs(J - most_A) : wrong_A;
}

static double departure_of(const net_element *e, double V, double I, double out_V, double J, unsigned char is_closed,
                           double supply_V)
{
    switch (e->type) {
    case ELEMENT_CONDUCTOR:
    case ELEMENT_FUSIBLE:
        return departure_of_wiring(V, I, e->resistance_ohm, true);
    case ELEMENT_COIL:
        return departure_of_wiring(V, I, e->resistance_ohm > 0 ? e->resistance_ohm : INFINITY, true);
    case ELEMENT_LAMP:
        return departure_of_wiring(V, I, e->load_ohm > 0 ? e->load_ohm : INFINITY, true);
    case ELEMENT_CONTACT:
    case ELEMENT_CHOPPER:
        return departure_of_wiring(V, I, e->resistance_ohm, is_closed);
    case ELEMENT_EMF:
        return departure_of_wiring(V - e->voltage_V, I, e->resistance_ohm, true);
    case ELEMENT_LOAD:
        return departure_of_load(e, V, I, is_closed, supply_V);
    case ELEMENT_DIODE:
        return departure_of_diode(e, V, I);
    case ELEMENT_TRANSFER:
        return departure_of_transfer(e, V, I, out_V, J, is_closed);
    default:
        return NAN;
    }
}

static double first_source_V(const network *net)
{
    for (int k = 0; k < net->n_elements; k++)
        if (net->elements[k].type == ELEMENT_EMF && net->elements[k].voltage_V > 0) return net->elements[k].voltage_V;
    return 12; /* no source: no load has a voltage */
}

/* Sum of the currents that leave each node. */
static void sum_leaving(const network *net, const op_phase *phase, double *leaving_A)
{
    for (int i = 0; i < net->n_nodes; i++) leaving_A[i] = 0;
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        leaving_A[e->a] += phase->current_A[k];
        leaving_A[e->b] -= phase->current_A[k];
        if (e->type != ELEMENT_TRANSFER) continue;
        leaving_A[e->to_a] -= phase->output_A[k];
        leaving_A[e->to_b] += phase->output_A[k];
    }
}

balance balance_of(const network *net, const op_phase *phase, double *leaving_A)
{
    balance b = {.current_A = 0, .node = -1, .law_A = 0, .element = -1};
    double supply_V = first_source_V(net);
    sum_leaving(net, phase, leaving_A);
    for (int i = 0; i < net->n_nodes; i++) {
        double wrong_A = fabs(leaving_A[i]);
        if (b.node < 0 || !(wrong_A <= b.current_A)) {
            b.current_A = wrong_A;
            b.node = i;
        }
    }
    for (int k = 0; k < net->n_elements; k++) {
        const net_element *e = &net->elements[k];
        double V = phase->node_V[e->a] - phase->node_V[e->b], I = phase->current_A[k];
        double out_V = 0, J = 0;
        if (e->type == ELEMENT_TRANSFER) {
            out_V = phase->node_V[e->to_a] - phase->node_V[e->to_b];
            J = phase->output_A[k];
        }
        double wrong_A = fabs(departure_of(e, V, I, out_V, J, phase->is_closed[k], supply_V));
        if (b.element < 0 || !(wrong_A <= b.law_A)) {
            b.law_A = wrong_A;
            b.element = k;
        }
        double W = V * I - out_V * J;
        if (e->type == ELEMENT_EMF)
            b.given_W -= W;
        else
            b.taken_W += W;
    }
    return b;
}
