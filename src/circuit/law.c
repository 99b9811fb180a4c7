/* What current each element takes at a given voltage: see law.h. */
#include "circuit/law.h"

#include <math.h>

bool element_is_ideal(const net_element *e)
{
    switch (e->type) {
    case ELEMENT_CONDUCTOR:
    case ELEMENT_FUSIBLE:
    case ELEMENT_CONTACT:
    case ELEMENT_CHOPPER:
    case ELEMENT_EMF:
        return e->resistance_ohm <= IDEAL_OHM;
    default:
        return false;
    }
}

bool element_is_driven(const net_element *e)
{
    return e->type == ELEMENT_TRANSFER || (e->type == ELEMENT_LOAD && (e->power_W > 0 || e->current_A > 0));
}

double element_conductance_S(const net_element *e)
{
    double R = e->type == ELEMENT_LAMP ? e->load_ohm : e->resistance_ohm;
    return R > 0 && isfinite(R) ? 1 / R : 0;
}

double supply_V_of(const network *net)
{
    for (int k = 0; k < net->n_elements; k++)
        if (net->elements[k].type == ELEMENT_EMF && net->elements[k].voltage_V > 0) return net->elements[k].voltage_V;
    return 12;
}

static law leak(double V) { return (law){LEAK_S * V, LEAK_S}; }

static law resistance(double V, double R) { return R > 0 ? (law){V / R, 1 / R} : leak(V); }

static law diode(double V, double drop, double resistance_ohm)
{
    double R = fmax(resistance_ohm, DIODE_LEAST_OHM);
    law l = leak(V);
    if (V > drop) {
        l.i_A += (V - drop) / R;
        l.slope_S += 1 / R;
    }
    return l;
}

/* I0, or below the knee (2x - x^2) I0. */
static law constant_current(double V, double I0)
{
    double x = V / KNEE_V;
    if (x >= 1) return (law){I0, 0};
    return (law){I0 * x * (2 - x), I0 * (2 - 2 * x) / KNEE_V};
}

/* P / V, or below the knee (3x - 2x^2) P / knee. */
static law constant_power(double V, double P)
{
    double x = V / KNEE_V;
    if (x >= 1) return (law){P / V, -P / (V * V)};
    return (law){P / KNEE_V * x * (3 - 2 * x), P / KNEE_V * (3 - 4 * x) / KNEE_V};
}

law element_law(const net_element *e, double V, load_mode mode, double scale, double supply_V)
{
    if (e->type == ELEMENT_DIODE) return diode(V, e->drop_V, e->resistance_ohm);
    if (mode == LOAD_CUT_OUT) return leak(V);
    if (e->load_ohm > 0) return resistance(V, e->load_ohm);
    if (!element_is_driven(e)) return leak(V);
    if (mode == LOAD_STARVED) { /* either way round: a corner at nothing would be stepped over for ever */
        double I0 = e->power_W > 0 ? e->power_W / supply_V : e->current_A;
        return resistance(V, supply_V / I0);
    }
    if (V < 0) return leak(V);
    law l = e->power_W > 0 ? constant_power(V, e->power_W) : constant_current(V, e->current_A);
    law none = leak(V);
    return (law){scale * l.i_A + (1 - scale) * none.i_A, scale * l.slope_S + (1 - scale) * none.slope_S};
}

/* r = DROOP V / I, or DROOP V^2 / P, so that the limit is reached DROOP below the voltage held. */
static double droop_ohm(const net_element *e)
{
    if (e->limit_A > 0) return DROOP * e->voltage_V / e->limit_A;
    return e->limit_W > 0 ? DROOP * e->voltage_V * e->voltage_V / e->limit_W : DROOP;
}

static law limited_current(const net_element *e, double V)
{
    if (e->limit_A > 0) return (law){e->limit_A, 0};
    double L = e->limit_W;
    if (V >= KNEE_V) return (law){L / V, -L / (V * V)};
    return (law){L / KNEE_V * (2 - V / KNEE_V), -L / (KNEE_V * KNEE_V)};
}

transfer_law transfer_law_of(const net_element *e, double in_V, double out_V, double out_A, transfer_mode mode,
                             double scale)
{
    double V = out_V, J = out_A;
    transfer_law t = {0};
    if (mode == TRANSFER_HOLD) {
        double r = droop_ohm(e);
        t.row = V + r * J - e->voltage_V;
        t.row_by_V = 1;
        t.row_by_J = r;
    } else if (mode == TRANSFER_LIMIT) {
        law l = limited_current(e, V);
        t.row = J - l.i_A;
        t.row_by_V = -l.slope_S;
        t.row_by_J = 1;
    } else {
        t.row = J + LEAK_S * V;
        t.row_by_V = LEAK_S;
        t.row_by_J = 1;
    }
    law none = leak(in_V);
    t.in_A = none.i_A;
    t.in_by_in_S = none.slope_S;
    if (mode == TRANSFER_ASLEEP || in_V < 0) return t;

    double efficiency = e->efficiency > 0 ? e->efficiency : 1;
    bool gives = V > 0 && J > 0;
    double P = (gives ? V * J / efficiency : 0) + e->standby_W;
    law in = constant_power(in_V, P);
    t.in_A = scale * in.i_A + (1 - scale) * none.i_A;
    t.in_by_in_S = scale * in.slope_S + (1 - scale) * none.slope_S;
    if (gives) {
        double per_W = scale * constant_power(in_V, 1).i_A / efficiency;
        t.in_by_out_S = per_W * J;
        t.in_by_J = per_W * V;
    }
    return t;
}

static bool is_beyond_limit(const net_element *e, double V, double J)
{
    if (e->limit_A > 0) return J > e->limit_A * (1 + DROOP);
    return e->limit_W > 0 && V * J > e->limit_W * (1 + DROOP);
}

transfer_mode transfer_mode_next(const net_element *e, double V, double J, transfer_mode mode)
{
    switch (mode) {
    case TRANSFER_ASLEEP:
        return TRANSFER_ASLEEP;
    case TRANSFER_OFF:
        return V < e->voltage_V ? TRANSFER_HOLD : TRANSFER_OFF;
    case TRANSFER_LIMIT:
        return V > e->voltage_V * (1 - 0.5 * DROOP) ? TRANSFER_HOLD : TRANSFER_LIMIT;
    default:
        if (J < -LEAK_S * e->voltage_V) return TRANSFER_OFF;
        return is_beyond_limit(e, V, J) ? TRANSFER_LIMIT : TRANSFER_HOLD;
    }
}
