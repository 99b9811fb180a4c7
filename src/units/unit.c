/* The table of units, their conversion, and what people write in their place. */
#include "units/unit.h"

#include "base/print.h"

#include <math.h>
#include <string.h>
#include <strings.h>

const unit unit_table[] = {
#define ROW(d, symbol, num, den) {symbol, d, num, den},
#define X(NAME, name, si, shown) UNITS_##NAME(ROW, DIMENSION_##NAME)
    DIMENSIONS(X)
#undef X
#undef ROW
};
const int n_units = (int)(sizeof unit_table / sizeof *unit_table);

int unit_find(const char *symbol, size_t n)
{
    for (int i = 0; i < n_units; i++) {
        if (strlen(unit_table[i].symbol) == n && memcmp(unit_table[i].symbol, symbol, n) == 0) return i;
    }
    return -1;
}

/* The zero of a temperature scale, in units of that scale above absolute zero. Exact: 0 degC is 273.15 K (SP 811,
 * B.6), 0 degF is 459.67 degF above absolute zero. */
static double zero_point(const unit *u)
{
    if (u->dimension != DIMENSION_TEMPERATURE) return 0.0;
    if (strcmp(u->symbol, "degC") == 0) return 273.15;
    if (strcmp(u->symbol, "degF") == 0) return 459.67;
    return 0.0;
}

double unit_to_SI(const unit *u, double value) { return (value + zero_point(u)) * u->num / u->den; }

double unit_from_SI(const unit *u, double si_value) { return si_value * u->den / u->num - zero_point(u); }

typedef struct slip {
    const char *written, *meant;
} slip;

static const slip slips[] = {
    {"/0", "/0 AWG"},       {"°C", "degC"},     {"°F", "degF"},     {"F", "degF"},   {"Celsius", "degC"},
    {"Fahrenheit", "degF"}, {"°", "deg"},       {"degrees", "deg"}, {"meter", "m"},  {"meters", "m"},
    {"metre", "m"},         {"metres", "m"},    {"feet", "ft"},     {"foot", "ft"},  {"'", "ft"},
    {"inch", "in"},         {"inches", "in"},   {"\"", "in"},       {"mm²", "mm2"},  {"mm^2", "mm2"},
    {"sqmm", "mm2"},        {"ga", "AWG"},      {"gauge", "AWG"},   {"amp", "A"},    {"amps", "A"},
    {"ampere", "A"},        {"volt", "V"},      {"volts", "V"},     {"watt", "W"},   {"watts", "W"},
    {"ohms", "ohm"},        {"Ω", "ohm"},       {"mΩ", "mohm"},     {"kΩ", "kohm"},  {"milliohm", "mohm"},
    {"amp-hours", "Ah"},    {"A·h", "Ah"},      {"sec", "s"},       {"second", "s"}, {"seconds", "s"},
    {"minute", "min"},      {"minutes", "min"}, {"hr", "h"},        {"hour", "h"},   {"hours", "h"},
    {"day", "d"},           {"days", "d"},      {"lbs", "lb"},      {"pound", "lb"}, {"ounce", "oz"},
    {"gpm", "gal/min"},     {"gph", "gal/h"},   {"lpm", "L/min"},   {"lph", "L/h"},  {"m³/h", "m3/h"},
    {"m³", "m3"},           {"gallon", "gal"},  {"gallons", "gal"}, {"liter", "L"},  {"litre", "L"},
    {"liters", "L"},        {"litres", "L"},    {"percent", "%"},   {"kmh", "km/h"}, {"kph", "km/h"},
    {"hertz", "Hz"},
};

const char *unit_nearest(const char *word)
{
    enum { n_slips = sizeof slips / sizeof *slips, words_most = 128 };
    for (int i = 0; i < n_slips; i++) {
        if (strcasecmp(word, slips[i].written) == 0) return slips[i].meant;
    }
    if (strcasecmp(word, "AWG") == 0) return "AWG";
    for (int i = 0; i < n_units; i++) {
        if (strcasecmp(word, unit_table[i].symbol) == 0) return unit_table[i].symbol;
    }
    enum { shortest = 3, longest = 8 }; /* every shorter word is near some unit, no longer one is near any */
    size_t n_word = strlen(word);
    if (n_word < shortest || n_word > longest) return NULL;
    const char *words[words_most];
    int n = 0;
    for (int i = 0; i < n_units && n < words_most; i++) {
        if (strlen(unit_table[i].symbol) >= 2) words[n++] = unit_table[i].symbol;
    }
    int nearest = nearest_word(word, words, n);
    return nearest < 0 ? NULL : words[nearest];
}
