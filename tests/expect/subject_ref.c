/* Batteries, protective devices, colours and limits. */
#include "ref/battery.h"
#include "ref/device.h"

#include "subjects.h"

#include <math.h>
#include <string.h>

static practice practice_in(expect_case *c)
{
    const char *word = given_text(c, 0, "practice", NULL);
    if (strcmp(word, "europe") == 0) return PRACTICE_EUROPE;
    if (strcmp(word, "north-america") != 0) case_refuse(c, 0, "practice is north-america or europe");
    return PRACTICE_NORTH_AMERICA;
}

/* given battery chemistry=lfp voltage=12_V [charge=80_%] [capacity=100_Ah]
 * expect rest, resistance */
answer answer_battery(expect_case *c, const char *wanted)
{
    source from;
    chemistry chem = CHEMISTRY_LFP;
    if (!chemistry_of(given_text(c, 0, "chemistry", NULL), &chem)) case_refuse(c, 0, "no such chemistry");
    double nominal_V = given_SI(c, 0, "voltage", DIMENSION_VOLTAGE, "12 V");
    if (strcmp(wanted, "rest") == 0) {
        double charge = given_SI(c, 0, "charge", DIMENSION_FRACTION, NULL);
        return answer_number(battery_rest_V(chem, nominal_V, charge, NULL, &from), DIMENSION_VOLTAGE);
    }
    if (strcmp(wanted, "resistance") != 0) return answer_unknown(c, wanted);
    double capacity_C = given_SI(c, 0, "capacity", DIMENSION_CHARGE, NULL);
    return answer_number(battery_resistance_ohm(chem, nominal_V, capacity_C, &from), DIMENSION_RESISTANCE);
}

/* given device style=blade [current=17_A]
 * expect voltage, interrupts, next-rating (the smallest that is not below the current) */
answer answer_device(expect_case *c, const char *wanted)
{
    source from;
    device_style style = DEVICE_BLADE;
    if (!device_style_of(given_text(c, 0, "style", NULL), &style)) case_refuse(c, 0, "no such style");
    if (strcmp(wanted, "voltage") == 0) return answer_number(device_voltage_V(style, &from), DIMENSION_VOLTAGE);
    if (strcmp(wanted, "interrupts") == 0) return answer_number(device_interrupts_A(style, &from), DIMENSION_CURRENT);
    if (strcmp(wanted, "next-rating") != 0) return answer_unknown(c, wanted);
    int n;
    const double *ratings_A = device_ratings(style, &n, &from);
    double current_A = given_SI(c, 0, "current", DIMENSION_CURRENT, NULL);
    for (int i = 0; i < n; i++) {
        if (ratings_A[i] >= current_A) return answer_number(ratings_A[i], DIMENSION_CURRENT);
    }
    return answer_word("none");
}

/* given colour practice=europe use=return colour=black
 * expect suits yes */
answer answer_colour(expect_case *c, const char *wanted)
{
    practice p = practice_in(c);
    const char *use = given_text(c, 0, "use", NULL), *colour = given_text(c, 0, "colour", NULL), *list;
    if (c->wrong != NULL || strcmp(wanted, "suits") != 0) return answer_unknown(c, wanted);
    source from;
    return answer_word(colour_suits(p, use, colour, &list, &from) ? "yes" : "no");
}

/* given limit practice=north-america name=protector-distance
 * expect value 7 in tolerance 0 %, printed 7 in */
answer answer_limit(expect_case *c, const char *wanted)
{
    practice p = practice_in(c);
    const char *name = given_text(c, 0, "name", NULL), *wrong = NULL;
    if (c->wrong != NULL) return answer_number(NAN, DIMENSION_NUMBER);
    const limit *l = limit_of(p, name);
    const char *printed = limit_printed(l);
    if (strcmp(wanted, "printed") == 0) return answer_word(printed);
    if (strcmp(wanted, "how") == 0) return answer_word(origin_word(l->from.how));
    if (strcmp(wanted, "value") != 0) return answer_unknown(c, wanted);
    quantity q = {0};
    if (!quantity_parse(printed, strlen(printed), &q, c->arena, &wrong)) case_refuse(c, 0, wrong);
    return answer_number(l->value, q.dimension);
}
