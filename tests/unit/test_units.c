/* units: what is read, what is refused and how it is told, what is printed. Factors are held against data/units.tsv by
 * tests/tables. */
#include "units/gauge.h"
#include "units/quantity.h"

#include "tap.h"
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static arena *a;

static void setup(void) { a = arena_create(); }
static void teardown(void) { arena_destroy(a); }

static quantity read_well(const char *text)
{
    quantity q = {0};
    const char *wrong = "";
    ck_assert_msg(quantity_parse(text, strlen(text), &q, a, &wrong), "`%s` %s", text, wrong);
    return q;
}

typedef struct reading {
    const char *text;
    double value;
    dimension dimension;
} reading;

/* Values by hand: each is the number times the definition of its unit. */
static const reading readings[] = {
    {"3.2 m", 3.2, DIMENSION_LENGTH},
    {"3.2m", 3.2, DIMENSION_LENGTH},
    {"  250 mm ", 0.25, DIMENSION_LENGTH},
    {"12 ft 6 in", 150 * 0.0254, DIMENSION_LENGTH},
    {"12ft 6in", 150 * 0.0254, DIMENSION_LENGTH},
    {"-1 ft 6 in", -18 * 0.0254, DIMENSION_LENGTH},
    {"1 m 5 mm", 1.005, DIMENSION_LENGTH},
    {"2.5 mm2", 2.5e-6, DIMENSION_AREA},
    {"45 degC", 318.15, DIMENSION_TEMPERATURE},
    {"-40 degF", 233.15, DIMENSION_TEMPERATURE},
    {"212 degF", 373.15, DIMENSION_TEMPERATURE},
    {"0 K", 0, DIMENSION_TEMPERATURE},
    {"200 Ah", 720000, DIMENSION_CHARGE},
    {"45 psi", 45 * 6894.757293168361, DIMENSION_PRESSURE},
    {"9 L/min", 0.00015, DIMENSION_FLOW},
    {"1 gal/min", 6.30901964e-5, DIMENSION_FLOW},
    {"40%", 0.4, DIMENSION_FRACTION},
    {"5 mohm", 0.005, DIMENSION_RESISTANCE},
    {"+12 V", 12, DIMENSION_VOLTAGE},
    {".5 A", 0.5, DIMENSION_CURRENT},
    {"1e3 W", 1000, DIMENSION_POWER},
    {"1 h 30 min", 5400, DIMENSION_TIME},
    {"1 d 2 h 3 min 4.5 s", 93784.5, DIMENSION_TIME},
    {"5 lb 8 oz", 5.5 * 0.45359237, DIMENSION_MASS},
    {"8", 8, DIMENSION_NUMBER},
    {"90 deg", M_PI / 2, DIMENSION_ANGLE},
    {"60 mph", 26.8224, DIMENSION_SPEED},
    {"1.5 kWh", 5.4e6, DIMENSION_ENERGY},
};

START_TEST(reads_what_people_write)
{
    for (size_t i = 0; i < sizeof readings / sizeof *readings; i++) {
        quantity q = read_well(readings[i].text);
        ck_assert_msg(q.dimension == readings[i].dimension, "%s is a %s", readings[i].text,
                      dimension_name(q.dimension));
        double slack = 1e-14 * fabs(readings[i].value);
        ck_assert_msg(fabs(q.value - readings[i].value) <= slack, "%s reads as %.17g", readings[i].text, q.value);
        ck_assert(!q.is_gauge);
    }
}
END_TEST

START_TEST(reads_gauges)
{
    static const struct {
        const char *text;
        int gauge;
    } gauges[] = {{"14 AWG", 14}, {"2/0 AWG", -1}, {"2/0AWG", -1},   {"4/0  AWG ", -3}, {"1/0 AWG", 0},
                  {"0 AWG", 0},   {"00 AWG", -1},  {"0000 AWG", -3}, {"1 AWG", 1},      {"40 AWG", 40}};
    for (size_t i = 0; i < sizeof gauges / sizeof *gauges; i++) {
        quantity q = read_well(gauges[i].text);
        ck_assert_msg(q.is_gauge && q.gauge == gauges[i].gauge, "%s reads as %d", gauges[i].text, q.gauge);
        ck_assert(q.dimension == DIMENSION_AREA);
        ck_assert_double_eq(q.value, gauge_area_m2(q.gauge));
    }
}
END_TEST

typedef struct refusal {
    const char *text, *wrong;
} refusal;

static const refusal refusals[] = {
    {"", "is empty"},
    {"   ", "is empty"},
    {"m", "does not start with a number"},
    {"nan V", "does not start with a number"},
    {"inf A", "does not start with a number"},
    {"- 3 m", "does not start with a number"},
    {". m", "does not start with a number"},
    {"--3 m", "does not start with a number"},
    {"1e400 m", "is too large"},
    {"1e31 m", "is too large"},
    {"1e-400 m", "is too small"},
    {"1e-31 m", "is too small"},
    {"0.00000000000000000000000000000000000000001 m", "has a number with too many digits"},
    {"2,5 mm2", "has a comma; a decimal point is a full stop"},
    {"12 amps", "has a unit that is not known, `amps` (did you mean `A`?)"},
    {"12 ah", "has a unit that is not known, `ah` (did you mean `Ah`?)"},
    {"45 F", "has a unit that is not known, `F` (did you mean `degF`?)"},
    {"45 °C", "has a unit that is not known, `°C` (did you mean `degC`?)"},
    {"3 mohmm", "has a unit that is not known, `mohmm` (did you mean `mohm`?)"},
    {"3 qqqq", "has a unit that is not known, `qqqq`"},
    {"0x10 m", "has a unit that is not known, `x10`"},
    {"14 awg", "has a unit that is not known, `awg` (did you mean `AWG`?)"},
    {"3 thisIsAVeryLongWordThatIsNoUnit", "has a unit that is not known"},
    {"3 \x1b[31m", "has a unit that is not known"},
    {"5/0 AWG", "is not a gauge of AWG (4/0 to 1/0, then 1 to 40)"},
    {"41 AWG", "is not a gauge of AWG (4/0 to 1/0, then 1 to 40)"},
    {"14.5 AWG", "is not a gauge of AWG (4/0 to 1/0, then 1 to 40)"},
    {"-3 AWG", "is not a gauge of AWG (4/0 to 1/0, then 1 to 40)"},
    {"AWG", "is not a gauge of AWG (4/0 to 1/0, then 1 to 40)"},
    {"014 AWG", "is not a gauge of AWG (4/0 to 1/0, then 1 to 40)"},
    {"2/0", "has a unit that is not known, `/0` (did you mean `/0 AWG`?)"},
    {"1/2 in", "has a fraction; write it with a decimal point"},
    {"6 1/2 in", "has a fraction; write it with a decimal point"},
    {"12 6 in", "has a number without a unit"},
    {"12 ft 6", "has a number without a unit"},
    {"12 ft 6 V", "mixes a length with a voltage"},
    {"6 in 12 ft", "has `ft` after `in`; units go from large to small"},
    {"6 in 3 in", "has `in` after `in`; units go from large to small"},
    {"12.5 ft 6 in", "has a part of a `ft` twice"},
    {"12 ft 14 in", "has 14 in where less than 1 ft is meant"},
    {"12 ft -6 in", "has -6 in where less than 1 ft is meant"},
    {"20 degC 5 degF", "has more than one number"},
    {"-300 degC", "is below absolute zero"},
    {"-1 K", "is below absolute zero"},
    {"-460 degF", "is below absolute zero"},
};

START_TEST(refuses_and_says_why)
{
    for (size_t i = 0; i < sizeof refusals / sizeof *refusals; i++) {
        quantity q = {.value = 7, .gauge = 9};
        const char *wrong = NULL;
        ck_assert_msg(!quantity_parse(refusals[i].text, strlen(refusals[i].text), &q, a, &wrong), "`%s` was read",
                      refusals[i].text);
        ck_assert_str_eq(wrong, refusals[i].wrong);
        ck_assert_msg(q.value == 7 && q.gauge == 9, "`%s` touched the result", refusals[i].text);
    }
}
END_TEST

START_TEST(reads_no_further_than_it_is_told)
{
    quantity q;
    const char *wrong;
    ck_assert(quantity_parse("3 mm2", 3, &q, a, &wrong));
    ck_assert(q.dimension == DIMENSION_LENGTH && q.value == 3);
    ck_assert(!quantity_parse("3 m\0m", 5, &q, a, &wrong));
}
END_TEST

START_TEST(prints_for_people)
{
    static const struct {
        double si_value;
        dimension dimension;
        const char *text;
    } prints[] = {
        {12.6049, DIMENSION_VOLTAGE, "12.6 V"},
        {0.0082, DIMENSION_RESISTANCE, "8.2 mohm"},
        {318.15, DIMENSION_TEMPERATURE, "45 degC"},
        {2.5e-6, DIMENSION_AREA, "2.5 mm2"},
        {0.2, DIMENSION_LENGTH, "0.2 m"},
        {0.0127, DIMENSION_LENGTH, "12.7 mm"},
        {0.012, DIMENSION_CURRENT, "12 mA"},
        {720000, DIMENSION_CHARGE, "200 Ah"},
        {0.03, DIMENSION_FRACTION, "3 %"},
        {2592000, DIMENSION_TIME, "30 d"},
        {0, DIMENSION_CURRENT, "0 A"},
        {-0.5, DIMENSION_CURRENT, "-0.5 A"},
        {8, DIMENSION_NUMBER, "8"},
        {20000, DIMENSION_CURRENT, "20 kA"},
        {0.00015, DIMENSION_FLOW, "9 L/min"},
        {M_PI, DIMENSION_ANGLE, "180 deg"},
    };
    for (size_t i = 0; i < sizeof prints / sizeof *prints; i++) {
        ck_assert_str_eq(quantity_text(prints[i].si_value, prints[i].dimension, 3, a), prints[i].text);
    }
}
END_TEST

START_TEST(names_dimensions)
{
    dimension d;
    ck_assert(dimension_of_unit("mohm", &d) && d == DIMENSION_RESISTANCE);
    ck_assert(dimension_of_unit("AWG", &d) && d == DIMENSION_AREA);
    ck_assert(dimension_of_unit("%", &d) && d == DIMENSION_FRACTION);
    ck_assert(!dimension_of_unit("count", &d));
    ck_assert(!dimension_of_unit("", &d));
    ck_assert_str_eq(dimension_units(DIMENSION_LENGTH), "m, mm, cm, km, ft, in, yd, mi");
    ck_assert_str_eq(dimension_units(DIMENSION_FRACTION), "%");
    ck_assert_str_eq(dimension_name(DIMENSION_AREA), "cross-section");
    ck_assert_double_eq(quantity_in(0.0254, DIMENSION_LENGTH, "in"), 1);
}
END_TEST

/* What is printed reads back as what was meant, in every dimension and over 24 decades. */
START_TEST(what_is_printed_reads_back)
{
    for (int d = 0; d < N_DIMENSIONS; d++) {
        for (int decade = -6; decade <= 18; decade++) {
            double value = 1.2345678 * pow(10, decade);
            quantity q = read_well(quantity_text(value, (dimension)d, 9, a));
            ck_assert_msg(q.dimension == (dimension)d, "%s", quantity_text(value, (dimension)d, 9, a));
            double scale = d == DIMENSION_TEMPERATURE ? value + 273.15 : value;
            ck_assert_msg(fabs(q.value - value) <= 1e-8 * scale + 1e-11, "%s",
                          quantity_text(value, (dimension)d, 9, a));
        }
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("units");
    TCase *t = tcase_create("quantity");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, reads_what_people_write);
    tcase_add_test(t, reads_gauges);
    tcase_add_test(t, refuses_and_says_why);
    tcase_add_test(t, reads_no_further_than_it_is_told);
    tcase_add_test(t, prints_for_people);
    tcase_add_test(t, names_dimensions);
    tcase_add_test(t, what_is_printed_reads_back);
    suite_add_tcase(s, t);
    return tap_run(s);
}
