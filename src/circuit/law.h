/* What current each element takes at a given voltage, and how that changes with voltage: value and slope together.
 *
 * Voltage is that of a against b; current counts positive from a to b through the element. The laws, and what is assumed
 * where the real thing is not known:
 *
 *   conductor, fusible, lamp, coil   I = V / R
 *   contact, chopper                 I = V / R while closed, 0 while open
 *   emf                              I = (V - E) / R, so a source that gives current has a negative I
 *   diode                            I = (V - drop) / R above its drop, plus a leak
 *   load by resistance               I = V / R
 *   load by current                  I = I0 above the knee; below it (2x - x^2) I0 with x = V / knee
 *   load by power                    I = P / V above the knee; below it (3x - 2x^2) P / knee
 *
 * Both knee curves start at the origin and meet the law above with the same slope. A load never pushes: with reversed
 * voltage, or cut out, it draws what a leak draws, unless it is a load by resistance, which works either way round.
 * A load by power or current that is not fed (see topology.h), only through indicator lamps, coils or its like, can't run; it is
 * then the resistance that would take its rated power or current at the supply's voltage, either way round.
 *
 * The scale (0..1) steps loads up from nothing; at scale 0 a load is a leak. */
#ifndef CIRCUIT_LAW_H
#define CIRCUIT_LAW_H

#include "circuit/network.h"

/* Through an off load or diode: 1 Mohm, so that the far side of a load behind an open switch has a voltage, as it has
 * for a voltmeter. Common practice; 13 uA at 13 V. */
#define LEAK_S 1e-6
/* Below this voltage no load of a van works any more; loads by power or current let go. Common practice. */
#define KNEE_V 1.0
/* A TRANSFER loses this fraction of its voltage at its limit: so small that nobody sees it, and two that are tied
 * together share the current all the same. */
#define DROOP 1e-6
/* A diode has at least this resistance: a bond of a power diode. Common practice. */
#define DIODE_LEAST_OHM 1e-3
/* Resistance at or below which an element joins its ends without loss: its current is then an unknown of its own. */
#define IDEAL_OHM 1e-9

typedef enum load_mode { LOAD_CUT_OUT, LOAD_ON, LOAD_STARVED } load_mode;

typedef struct law {
    double i_A, slope_S;
} law;

/* True for a conductor, fusible, contact, chopper or emf without resistance. */
bool element_is_ideal(const net_element *e);
/* True when it asks for power or current whatever its voltage: what load stepping scales. */
bool element_is_driven(const net_element *e);
/* Conductance of an element that is a plain resistance (in series with an emf): 1 / R; 0 when it has none. */
double element_conductance_S(const net_element *e);

/* What a load that is not fed is rated at: the voltage of the first source; 12 V when there is none. */
double supply_V_of(const network *net);

/* LOAD and DIODE; supply_V is what a starved load is rated at. A diode ignores mode and scale. */
law element_law(const net_element *e, double v_V, load_mode mode, double scale, double supply_V);

/* A TRANSFER: its input takes what its output gives, over its efficiency, plus standby; its output holds the voltage
 * between to_a and to_b as long as the current J out of to_a stands between nothing and the limit.
 *   off:   J = -leak V          (V above what it holds: nothing flows back)
 *   hold:  V + r J = voltage    (r: droop)
 *   limit: J = limit / V        (below the knee on a straight line of the same slope), or the limit where it is a current
 *   in:    I = scale (max(0, V J) / efficiency + standby) / V_in */
typedef enum transfer_mode { TRANSFER_ASLEEP, TRANSFER_OFF, TRANSFER_HOLD, TRANSFER_LIMIT } transfer_mode;
typedef struct transfer_law {
    double in_A, in_by_in_S, in_by_out_S, in_by_J; /* input current; slopes by V_in, V and J */
    double row, row_by_V, row_by_J;                /* output equation: row = 0 */
} transfer_law;
transfer_law transfer_law_of(const net_element *e, double in_V, double out_V, double out_A, transfer_mode mode,
                             double scale);
/* The mode that suits a point, from the mode in which it was found. */
transfer_mode transfer_mode_next(const net_element *e, double out_V, double out_A, transfer_mode mode);

#endif
