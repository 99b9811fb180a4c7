/* Conductors, what they bear, and the voltage that they lose. */
#include "ref/conductor.h"
#include "ref/device.h"

#include "subjects.h"
#include "units/gauge.h"

#include <string.h>

static practice practice_in(expect_case *c)
{
    const char *word = given_text(c, 0, "practice", "north-america");
    if (strcmp(word, "europe") == 0) return PRACTICE_EUROPE;
    if (strcmp(word, "north-america") != 0) case_refuse(c, 0, "practice is north-america or europe");
    return PRACTICE_NORTH_AMERICA;
}

static conductor_size size_in(expect_case *c)
{
    quantity q = given_quantity(c, 0, "size", DIMENSION_AREA, NULL);
    return conductor_size_of(&q);
}

/* given conductor copper [solid] size=14_AWG [length=1000_ft] [temperature=20_degC]
 * expect resistance, area, diameter, listed */
answer answer_conductor(expect_case *c, const char *wanted)
{
    if (!given_word(c, 0, "copper")) case_refuse(c, 0, "only copper is known");
    conductor_size size = size_in(c);
    if (strcmp(wanted, "area") == 0) return answer_number(size.area_m2, DIMENSION_AREA);
    if (strcmp(wanted, "listed") == 0) return answer_word(conductor_is_listed(size) ? "yes" : "no");
    if (strcmp(wanted, "diameter") == 0 && size.series == SIZE_AWG) {
        return answer_number(gauge_diameter_m(size.gauge), DIMENSION_LENGTH);
    }
    if (strcmp(wanted, "resistance") != 0) return answer_unknown(c, wanted);
    bool is_solid = given_word(c, 0, "solid");
    double length_m = given_SI(c, 0, "length", DIMENSION_LENGTH, NULL);
    double temperature_K = given_SI(c, 0, "temperature", DIMENSION_TEMPERATURE, "20 degC");
    return answer_number(conductor_ohm_per_m(size, is_solid, temperature_K) * length_m, DIMENSION_RESISTANCE);
}

/* given ampacity size=12_AWG insulation=105_degC [ambient=30_degC | engine-space] [bundled=3] [practice=europe]
 * expect current, ambient-factor, bundle-factor, engine-factor, device-most */
answer answer_ampacity(expect_case *c, const char *wanted)
{
    source from;
    practice p = practice_in(c);
    double insulation_K = given_SI(c, 0, "insulation", DIMENSION_TEMPERATURE, "105 degC");
    double ambient_K = given_SI(c, 0, "ambient", DIMENSION_TEMPERATURE, "30 degC");
    bool is_engine_space = given_word(c, 0, "engine-space");
    double engine = ampacity_engine_factor(insulation_K, &from);
    double ambient = ampacity_ambient_factor(insulation_K, ambient_K, &from);
    double bundle = ampacity_bundle_factor(p, (int)given_SI(c, 0, "bundled", DIMENSION_NUMBER, "1"), &from);
    if (strcmp(wanted, "ambient-factor") == 0) return answer_number(ambient, DIMENSION_NUMBER);
    if (strcmp(wanted, "bundle-factor") == 0) return answer_number(bundle, DIMENSION_NUMBER);
    if (strcmp(wanted, "engine-factor") == 0) return answer_number(engine, DIMENSION_NUMBER);
    double alone_A = ampacity_A(size_in(c), insulation_K, &from);
    double bears_A = alone_A * (is_engine_space ? engine : ambient) * bundle;
    if (strcmp(wanted, "current") == 0) return answer_number(bears_A, DIMENSION_CURRENT);
    if (strcmp(wanted, "device-most") == 0) { /* of what the table says, uncorrected: 33 CFR 183.455(c) */
        return answer_number(alone_A * limit_of(p, "protector-over-conductor")->value, DIMENSION_CURRENT);
    }
    return answer_unknown(c, wanted);
}

/* The resistance of the run: a printed one per foot or metre, or that of a size. */
static double run_ohm(expect_case *c)
{
    double length_m = given_SI(c, 0, "length", DIMENSION_LENGTH, NULL);
    const char *printed = given_text(c, 0, "resistance", "");
    if (printed[0] != '\0') {
        double per_m = given_SI(c, 0, "per", DIMENSION_LENGTH, "1 m");
        return given_SI(c, 0, "resistance", DIMENSION_RESISTANCE, NULL) / per_m * length_m;
    }
    double temperature_K = given_SI(c, 0, "temperature", DIMENSION_TEMPERATURE, "20 degC");
    return conductor_ohm_per_m(size_in(c), given_word(c, 0, "solid"), temperature_K) * length_m;
}

/* given drop current=20_A length=107_ft size=6_AWG [solid] [temperature=20_degC] [source=12_V]
 * or    drop current=20_A length=107_ft resistance=0.00044_ohm per=1_ft; length is out and back
 * expect voltage, share */
answer answer_drop(expect_case *c, const char *wanted)
{
    double drop_V = given_SI(c, 0, "current", DIMENSION_CURRENT, NULL) * run_ohm(c);
    if (strcmp(wanted, "voltage") == 0) return answer_number(drop_V, DIMENSION_VOLTAGE);
    if (strcmp(wanted, "share") != 0) return answer_unknown(c, wanted);
    return answer_number(drop_V / given_SI(c, 0, "source", DIMENSION_VOLTAGE, NULL), DIMENSION_FRACTION);
}
