/* Quantities as people write them ("12 ft 6 in", "2/0 AWG", "45 degC") to SI doubles and back.
 *
 * This is the only place where units are converted. Factors are exact fractions after NIST SP 811 (2008), appendix B,
 * where the unit has one. Inside the program all is SI: metres, kelvin, coulombs, joules. A variable that holds a
 * dimension ends in its unit. */
#ifndef UNITS_QUANTITY_H
#define UNITS_QUANTITY_H

#include "base/arena.h"

/* X(NAME, name for people, SI unit, unit to print in) */
#define DIMENSIONS(X)                                                                                                  \
    X(NUMBER, "number", "", "")                                                                                        \
    X(LENGTH, "length", "m", "m")                                                                                      \
    X(AREA, "cross-section", "m2", "mm2")                                                                              \
    X(VOLTAGE, "voltage", "V", "V")                                                                                    \
    X(CURRENT, "current", "A", "A")                                                                                    \
    X(POWER, "power", "W", "W")                                                                                        \
    X(RESISTANCE, "resistance", "ohm", "ohm")                                                                          \
    X(CHARGE, "charge", "C", "Ah")                                                                                     \
    X(ENERGY, "energy", "J", "Wh")                                                                                     \
    X(TEMPERATURE, "temperature", "K", "degC")                                                                         \
    X(TIME, "time", "s", "s")                                                                                          \
    X(MASS, "mass", "kg", "kg")                                                                                        \
    X(PRESSURE, "pressure", "Pa", "bar")                                                                               \
    X(FLOW, "flow", "m3/s", "L/min")                                                                                   \
    X(VOLUME, "volume", "m3", "L")                                                                                     \
    X(ANGLE, "angle", "rad", "deg")                                                                                    \
    X(FRACTION, "fraction", "1", "%")                                                                                  \
    X(FREQUENCY, "frequency", "Hz", "Hz")                                                                              \
    X(SPEED, "speed", "m/s", "m/s")

typedef enum dimension {
#define X(NAME, name, si, shown) DIMENSION_##NAME,
    DIMENSIONS(X)
#undef X
        N_DIMENSIONS
} dimension;

typedef struct quantity {
    double value;        /* SI */
    dimension dimension; /* NUMBER for a bare number */
    bool is_gauge;       /* written in AWG: value is the nominal area after ASTM B258 */
    int gauge;           /* AWG number; 1/0 is 0, 2/0 is -1, 3/0 is -2, 4/0 is -3 */
} quantity;

/* Reads the whole of text[0..n): a number and a unit, or several of one dimension in falling size ("12 ft 6 in").
 * Spaces between number and unit may be left out. On failure `out` is untouched, the result is false and *wrong (in
 * the arena) says why, in words that fit after "`TEXT` ", with the nearest known unit when there is one. Refuses what
 * is not finite, and temperatures below absolute zero. */
bool quantity_parse(const char *text, size_t n, quantity *out, arena *a, const char **wrong);

/* The units that would do for a dimension, for messages: "m, mm, cm, ft, in". */
const char *dimension_units(dimension d);
const char *dimension_name(dimension d);
/* The dimension that a unit symbol names ("A", "mohm", "degC", "%"); false if none. For `in:` of a kind. */
bool dimension_of_unit(const char *symbol, dimension *out);

/* For people: three significant digits in the unit that suits the size ("12.6 V", "8.2 mohm", "45 degC"). */
const char *quantity_text(double si_value, dimension d, int digits, arena *a);
/* The same value in a given unit, as a number. Asserts that the unit exists and has the dimension. */
double quantity_in(double si_value, dimension d, const char *symbol);

#endif
