/* Reading and printing quantities. The grammar:
 *
 *     quantity = term { space term }          several terms: one dimension, each unit smaller than the one before
 *     term     = number [space] [unit]
 *     number   = [+|-] digits [. digits] [e [+|-] digits]      or a gauge: 14, 2/0, 00 before AWG
 *
 * What is refused, in the order of the code: an empty text, no number where one must stand, a number too long, too
 * large or too small to mean anything, a unit that is not known, a gauge that does not exist, a bare number among
 * several terms, mixed dimensions, terms that are not in falling size, a temperature below absolute zero. */
#include "units/quantity.h"

#include "base/print.h"
#include "units/gauge.h"
#include "units/unit.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Magnitudes outside of this mean nothing in a van, and could overflow when they are converted. SI units. */
static const double magnitude_most = 1e30, magnitude_least = 1e-30;

enum { number_most = 40, unit_shown_most = 24 };

/* ---- reading ---- */

typedef struct reader {
    const char *at, *end;
    arena *arena;
    const char *wrong;
} reader;

typedef struct term {
    double value;     /* as written */
    const unit *unit; /* NULL: none was written */
} term;

static bool is_digit(char c) { return c >= '0' && c <= '9'; }
static bool is_space(char c) { return c == ' ' || c == '\t'; }

static void skip_spaces(reader *r)
{
    while (r->at < r->end && is_space(*r->at)) r->at++;
}

static const char *skip_digits(const char *at, const char *end)
{
    while (at < end && is_digit(*at)) at++;
    return at;
}

static bool refuse(reader *r, const char *wrong)
{
    r->wrong = wrong;
    return false;
}

/* End of the number that starts at `at`, or `at` when there is none. */
static const char *number_end(const char *at, const char *end)
{
    const char *start = at;
    if (at < end && (*at == '+' || *at == '-')) at++;
    const char *digits = at;
    at = skip_digits(at, end);
    bool has_digits = at > digits;
    if (at < end && *at == '.') {
        const char *fraction = at + 1;
        at = skip_digits(fraction, end);
        has_digits = has_digits || at > fraction;
    }
    if (!has_digits) return start;
    if (at < end && (*at == 'e' || *at == 'E')) {
        const char *exponent = at + 1;
        if (exponent < end && (*exponent == '+' || *exponent == '-')) exponent++;
        const char *after = skip_digits(exponent, end);
        if (after > exponent) at = after;
    }
    return at;
}

static bool read_number(reader *r, double *value)
{
    const char *end = number_end(r->at, r->end);
    size_t n = (size_t)(end - r->at);
    if (n == 0) return refuse(r, "does not start with a number");
    if (n > number_most) return refuse(r, "has a number with too many digits");
    char text[number_most + 1];
    memcpy(text, r->at, n);
    text[n] = '\0';
    *value = strtod(text, NULL);
    if (!isfinite(*value)) return refuse(r, "is too large");
    if (*value == 0.0 && is_digit(text[strcspn(text, "123456789eE")])) return refuse(r, "is too small");
    r->at = end;
    if (r->at < r->end && *r->at == ',') return refuse(r, "has a comma; a decimal point is a full stop");
    return true;
}

/* A message shows what was written if it is short and would not move the cursor of a terminal. */
static bool is_showable(const char *text, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if ((unsigned char)text[i] < ' ' || text[i] == 0x7f) return false;
    }
    return n <= unit_shown_most;
}

/* The unit that stands before the next space. Leaves *u NULL when the text ends or the next number follows. */
static bool read_unit(reader *r, const unit **u)
{
    skip_spaces(r);
    const char *start = r->at;
    if (start == r->end || number_end(start, r->end) > start) return true;
    while (r->at < r->end && !is_space(*r->at)) r->at++;
    size_t n = (size_t)(r->at - start);
    int found = unit_find(start, n);
    if (found >= 0) {
        *u = &unit_table[found];
        return true;
    }
    if (n >= 2 && start[0] == '/' && start[1] >= '1' && start[1] <= '9') {
        return refuse(r, "has a fraction; write it with a decimal point");
    }
    if (!is_showable(start, n)) return refuse(r, "has a unit that is not known");
    const char *word = arena_text_n(r->arena, start, n);
    const char *nearest = unit_nearest(word);
    if (nearest != NULL) {
        return refuse(r,
                      arena_printf(r->arena, "has a unit that is not known, `%s` (did you mean `%s`?)", word, nearest));
    }
    return refuse(r, arena_printf(r->arena, "has a unit that is not known, `%s`", word));
}

static bool read_term(reader *r, term *t)
{
    *t = (term){0};
    return read_number(r, &t->value) && read_unit(r, &t->unit);
}

/* ---- gauges ---- */

static const char gauge_word[] = "AWG";
enum { gauge_word_n = sizeof gauge_word - 1 };

/* Then nothing but a gauge is meant. */
static bool ends_in_AWG(const reader *r)
{
    return r->end - r->at >= gauge_word_n && memcmp(r->end - gauge_word_n, gauge_word, gauge_word_n) == 0;
}

/* "14", "0", "2/0", "00": the AWG number; false when it is none of these or not a gauge that exists. */
static bool gauge_number(const char *at, size_t n, int *gauge)
{
    size_t zeros = 0;
    while (zeros < n && at[zeros] == '0') zeros++;
    if (zeros == n && n >= 1 && n <= 4) {
        *gauge = 1 - (int)n;
        return true;
    }
    if (n == 3 && at[0] >= '1' && at[0] <= '4' && at[1] == '/' && at[2] == '0') {
        *gauge = 1 - (at[0] - '0');
        return true;
    }
    if (n == 0 || n > 2 || at[0] == '0' || skip_digits(at, at + n) != at + n) return false;
    *gauge = n == 1 ? at[0] - '0' : (at[0] - '0') * 10 + (at[1] - '0');
    return *gauge <= gauge_thinnest;
}

static bool read_gauge(reader *r, quantity *q)
{
    const char *start = r->at, *end = r->end - gauge_word_n;
    while (end > start && is_space(end[-1])) end--;
    int gauge;
    if (!gauge_number(start, (size_t)(end - start), &gauge)) {
        return refuse(r, "is not a gauge of AWG (4/0 to 1/0, then 1 to 40)");
    }
    *q = (quantity){.value = gauge_area_m2(gauge), .dimension = DIMENSION_AREA, .is_gauge = true, .gauge = gauge};
    return true;
}

/* ---- several terms ---- */

static double unit_size(const unit *u) { return u->num / u->den; }

/* May `next` follow `before`? "12 ft 6 in": one dimension, whole numbers but for the last, each term less than one of
 * the unit before it. */
static bool may_follow(reader *r, const term *before, const term *next)
{
    if (before->unit == NULL || next->unit == NULL) return refuse(r, "has a number without a unit");
    if (before->unit->dimension != next->unit->dimension) {
        return refuse(r, arena_printf(r->arena, "mixes a %s with a %s", dimension_name(before->unit->dimension),
                                      dimension_name(next->unit->dimension)));
    }
    if (before->unit->dimension == DIMENSION_TEMPERATURE || before->unit->dimension == DIMENSION_FRACTION) {
        return refuse(r, "has more than one number");
    }
    if (unit_size(next->unit) >= unit_size(before->unit)) {
        return refuse(r, arena_printf(r->arena, "has `%s` after `%s`; units go from large to small", next->unit->symbol,
                                      before->unit->symbol));
    }
    if (before->value != trunc(before->value)) {
        return refuse(r, arena_printf(r->arena, "has a part of a `%s` twice", before->unit->symbol));
    }
    double share = next->value * unit_size(next->unit) / unit_size(before->unit);
    if (next->value < 0 || share >= 1.0) {
        return refuse(r, arena_printf(r->arena, "has %g %s where less than 1 %s is meant", next->value,
                                      next->unit->symbol, before->unit->symbol));
    }
    return true;
}

/* What stands after the first term is added away from zero, so that "-1 ft 6 in" is -18 in. */
static bool read_more_terms(reader *r, const term *first, double *si_value)
{
    term before = *first;
    double sign = signbit(first->value) ? -1.0 : 1.0;
    for (skip_spaces(r); r->at < r->end; skip_spaces(r)) {
        term next;
        if (!read_term(r, &next) || !may_follow(r, &before, &next)) return false;
        *si_value += sign * unit_to_SI(next.unit, next.value);
        before = next;
    }
    return true;
}

static bool read_quantity(reader *r, quantity *q)
{
    skip_spaces(r);
    while (r->end > r->at && is_space(r->end[-1])) r->end--;
    if (r->at == r->end) return refuse(r, "is empty");
    if (ends_in_AWG(r)) return read_gauge(r, q);
    term first;
    if (!read_term(r, &first)) return false;
    double si_value = first.unit == NULL ? first.value : unit_to_SI(first.unit, first.value);
    if (!read_more_terms(r, &first, &si_value)) return false;
    dimension d = first.unit == NULL ? DIMENSION_NUMBER : first.unit->dimension;
    if (d == DIMENSION_TEMPERATURE && si_value < 0) return refuse(r, "is below absolute zero");
    if (fabs(si_value) > magnitude_most) return refuse(r, "is too large");
    if (si_value != 0 && fabs(si_value) < magnitude_least) return refuse(r, "is too small");
    *q = (quantity){.value = si_value, .dimension = d};
    return true;
}

bool quantity_parse(const char *text, size_t n, quantity *out, arena *a, const char **wrong)
{
    reader r = {.at = text, .end = text + n, .arena = a};
    quantity q;
    if (!read_quantity(&r, &q)) {
        *wrong = r.wrong;
        return false;
    }
    *out = q;
    return true;
}

/* ---- dimensions ---- */

static const char *const names[] = {
#define X(NAME, name, si, shown) [DIMENSION_##NAME] = name,
    DIMENSIONS(X)
#undef X
};

static const char *const shown_units[] = {
#define X(NAME, name, si, shown) [DIMENSION_##NAME] = shown,
    DIMENSIONS(X)
#undef X
};

const char *dimension_name(dimension d) { return names[d]; }

const char *dimension_units(dimension d)
{
    /* Each list starts with ", ", which is left out; AWG is no row of the table of units. */
    static const char *const lists[] = {
#define LISTED(d, symbol, num, den) ", " symbol
#define X(NAME, name, si, shown) [DIMENSION_##NAME] = "" UNITS_##NAME(LISTED, d),
        DIMENSIONS(X)
#undef X
    };
    if (d == DIMENSION_NUMBER) return "none: a bare number";
    if (d == DIMENSION_AREA) return "AWG" UNITS_AREA(LISTED, d);
    return lists[d] + 2;
}

bool dimension_of_unit(const char *symbol, dimension *out)
{
    if (strcmp(symbol, gauge_word) == 0) {
        *out = DIMENSION_AREA;
        return true;
    }
    int found = unit_find(symbol, strlen(symbol));
    if (found < 0) return false;
    *out = unit_table[found].dimension;
    return true;
}

/* ---- printing ---- */

/* From which magnitude (SI) on a unit reads better than the one before it in the list. */
typedef struct reach {
    dimension dimension;
    const char *symbol;
    double from;
} reach;

static const reach reaches[] = {
    {DIMENSION_LENGTH, "mm", 0.0},      {DIMENSION_LENGTH, "m", 0.1},        {DIMENSION_LENGTH, "km", 1e4},
    {DIMENSION_VOLTAGE, "mV", 0.0},     {DIMENSION_VOLTAGE, "V", 0.1},       {DIMENSION_CURRENT, "mA", 0.0},
    {DIMENSION_CURRENT, "A", 0.1},      {DIMENSION_CURRENT, "kA", 1e4},      {DIMENSION_POWER, "mW", 0.0},
    {DIMENSION_POWER, "W", 0.1},        {DIMENSION_POWER, "kW", 1e4},        {DIMENSION_RESISTANCE, "mohm", 0.0},
    {DIMENSION_RESISTANCE, "ohm", 0.1}, {DIMENSION_RESISTANCE, "kohm", 1e3}, {DIMENSION_CHARGE, "mAh", 0.0},
    {DIMENSION_CHARGE, "Ah", 360.0},    {DIMENSION_ENERGY, "Wh", 0.0},       {DIMENSION_ENERGY, "kWh", 3.6e7},
    {DIMENSION_TIME, "s", 0.0},         {DIMENSION_TIME, "min", 120.0},      {DIMENSION_TIME, "h", 7200.0},
    {DIMENSION_TIME, "d", 172800.0},    {DIMENSION_MASS, "g", 0.0},          {DIMENSION_MASS, "kg", 1.0},
    {DIMENSION_VOLUME, "mL", 0.0},      {DIMENSION_VOLUME, "L", 1e-4},
};

static const char *unit_that_suits(double si_value, dimension d)
{
    const char *suits = shown_units[d];
    if (si_value == 0) return suits;
    for (size_t i = 0; i < sizeof reaches / sizeof *reaches; i++) {
        if (reaches[i].dimension == d && fabs(si_value) >= reaches[i].from) suits = reaches[i].symbol;
    }
    return suits;
}

double quantity_in(double si_value, dimension d, const char *symbol)
{
    if (d == DIMENSION_NUMBER && symbol[0] == '\0') return si_value;
    int found = unit_find(symbol, strlen(symbol));
    assert(found >= 0 && unit_table[found].dimension == d);
    return unit_from_SI(&unit_table[found], si_value);
}

const char *quantity_text(double si_value, dimension d, int digits, arena *a)
{
    char number[number_room];
    const char *symbol = unit_that_suits(si_value, d);
    number_short(quantity_in(si_value, d, symbol), digits, number);
    if (symbol[0] == '\0') return arena_text(a, number);
    return arena_printf(a, "%s %s", number, symbol);
}
