/* The units, one row each: the only list of them. A unit's size in SI is the exact fraction num/den.
 *
 * Source of every factor: NIST SP 811 (2008), appendix B.8, and the definitions it rests on (1 in = 0.0254 m,
 * 1 lb = 0.453 592 37 kg, 1 gal (US) = 231 in3, standard gravity 9.806 65 m/s2); a bar is 10^5 Pa.
 * X(dimension, symbol, num, den) */
#ifndef UNITS_UNIT_H
#define UNITS_UNIT_H

#include "units/quantity.h"

#define UNITS_LENGTH(X, D)                                                                                             \
    X(D, "m", 1, 1)                                                                                                    \
    X(D, "mm", 1, 1000)                                                                                                \
    X(D, "cm", 1, 100)                                                                                                 \
    X(D, "km", 1000, 1)                                                                                                \
    X(D, "ft", 3048, 10000)                                                                                            \
    X(D, "in", 254, 10000)                                                                                             \
    X(D, "yd", 9144, 10000)                                                                                            \
    X(D, "mi", 1609344, 1000)
/* AWG is a gauge, not a unit: it is read apart (gauge.h). */
#define UNITS_AREA(X, D)                                                                                               \
    X(D, "mm2", 1, 1000000)                                                                                            \
    X(D, "cm2", 1, 10000)                                                                                              \
    X(D, "m2", 1, 1)                                                                                                   \
    X(D, "in2", 64516, 100000000)                                                                                      \
    X(D, "ft2", 9290304, 100000000)
#define UNITS_VOLTAGE(X, D)                                                                                            \
    X(D, "V", 1, 1)                                                                                                    \
    X(D, "mV", 1, 1000)                                                                                                \
    X(D, "kV", 1000, 1)
#define UNITS_CURRENT(X, D)                                                                                            \
    X(D, "A", 1, 1)                                                                                                    \
    X(D, "mA", 1, 1000)                                                                                                \
    X(D, "kA", 1000, 1)
#define UNITS_POWER(X, D)                                                                                              \
    X(D, "W", 1, 1)                                                                                                    \
    X(D, "mW", 1, 1000)                                                                                                \
    X(D, "kW", 1000, 1)
#define UNITS_RESISTANCE(X, D)                                                                                         \
    X(D, "ohm", 1, 1)                                                                                                  \
    X(D, "mohm", 1, 1000)                                                                                              \
    X(D, "kohm", 1000, 1)                                                                                              \
    X(D, "Mohm", 1000000, 1)
#define UNITS_CHARGE(X, D)                                                                                             \
    X(D, "Ah", 3600, 1)                                                                                                \
    X(D, "mAh", 3600, 1000)                                                                                            \
    X(D, "C", 1, 1)
#define UNITS_ENERGY(X, D)                                                                                             \
    X(D, "Wh", 3600, 1)                                                                                                \
    X(D, "kWh", 3600000, 1)                                                                                            \
    X(D, "J", 1, 1)                                                                                                    \
    X(D, "kJ", 1000, 1)                                                                                                \
    X(D, "MJ", 1000000, 1)
/* Temperatures also have a zero point: quantity.c. */
#define UNITS_TEMPERATURE(X, D)                                                                                        \
    X(D, "degC", 1, 1)                                                                                                 \
    X(D, "degF", 5, 9)                                                                                                 \
    X(D, "K", 1, 1)
#define UNITS_TIME(X, D)                                                                                               \
    X(D, "s", 1, 1)                                                                                                    \
    X(D, "ms", 1, 1000)                                                                                                \
    X(D, "min", 60, 1)                                                                                                 \
    X(D, "h", 3600, 1)                                                                                                 \
    X(D, "d", 86400, 1)
#define UNITS_MASS(X, D)                                                                                               \
    X(D, "kg", 1, 1)                                                                                                   \
    X(D, "g", 1, 1000)                                                                                                 \
    X(D, "t", 1000, 1)                                                                                                 \
    X(D, "lb", 45359237, 100000000)                                                                                    \
    X(D, "oz", 45359237, 1600000000)
/* psi: 1 lb * 9.806 65 m/s2 / (1 in)^2. */
#define UNITS_PRESSURE(X, D)                                                                                           \
    X(D, "bar", 100000, 1)                                                                                             \
    X(D, "mbar", 100, 1)                                                                                               \
    X(D, "Pa", 1, 1)                                                                                                   \
    X(D, "kPa", 1000, 1)                                                                                               \
    X(D, "MPa", 1000000, 1)                                                                                            \
    X(D, "psi", 44482216152605, 6451600000)
#define UNITS_FLOW(X, D)                                                                                               \
    X(D, "L/min", 1, 60000)                                                                                            \
    X(D, "L/h", 1, 3600000)                                                                                            \
    X(D, "L/s", 1, 1000)                                                                                               \
    X(D, "m3/h", 1, 3600)                                                                                              \
    X(D, "m3/s", 1, 1)                                                                                                 \
    X(D, "gal/min", 3785411784, 60000000000000)                                                                        \
    X(D, "gal/h", 3785411784, 3600000000000000)
#define UNITS_VOLUME(X, D)                                                                                             \
    X(D, "L", 1, 1000)                                                                                                 \
    X(D, "mL", 1, 1000000)                                                                                             \
    X(D, "m3", 1, 1)                                                                                                   \
    X(D, "gal", 3785411784, 1000000000000)                                                                             \
    X(D, "qt", 946352946, 1000000000000)                                                                               \
    X(D, "ft3", 28316846592, 1000000000000)                                                                            \
    X(D, "in3", 16387064, 1000000000000)
/* The degree is the one unit that no fraction gives: pi/180. */
#define UNITS_ANGLE(X, D)                                                                                              \
    X(D, "deg", M_PI, 180)                                                                                             \
    X(D, "rad", 1, 1)
#define UNITS_FRACTION(X, D) X(D, "%", 1, 100)
#define UNITS_FREQUENCY(X, D)                                                                                          \
    X(D, "Hz", 1, 1)                                                                                                   \
    X(D, "kHz", 1000, 1)
#define UNITS_SPEED(X, D)                                                                                              \
    X(D, "m/s", 1, 1)                                                                                                  \
    X(D, "km/h", 10, 36)                                                                                               \
    X(D, "mph", 1609344, 3600000)                                                                                      \
    X(D, "ft/s", 3048, 10000)
#define UNITS_NUMBER(X, D)

typedef struct unit {
    const char *symbol;
    dimension dimension;
    double num, den; /* both exact in a double (but for deg) */
} unit;

/* All units in the order above. */
extern const unit unit_table[];
extern const int n_units;

/* Index into unit_table of a symbol of n bytes, or -1. */
int unit_find(const char *symbol, size_t n);

/* Value in the unit to SI and back; a zero point of a temperature scale included. */
double unit_to_SI(const unit *u, double value);
double unit_from_SI(const unit *u, double si_value);

/* The symbol that was meant by `word`, when it is a known slip ("amps", "gpm", "°C") or near a unit; NULL if none. */
const char *unit_nearest(const char *word);

#endif
