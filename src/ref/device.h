/* Protective devices and terminals: ratings that exist, what they can interrupt, at what voltage, and rules. */
#ifndef REF_DEVICE_H
#define REF_DEVICE_H

#include "ref/conductor.h"

/* X(NAME, word) styles of protective device */
#define DEVICE_STYLES(X)                                                                                               \
    X(BLADE, "blade")                                                                                                  \
    X(LARGE_BLADE, "large-blade")                                                                                      \
    X(BOLTED, "bolted") X(CLASS_T, "class-t") X(GLASS, "glass") X(THERMAL_BREAKER, "thermal-breaker")
typedef enum device_style {
#define X(NAME, word) DEVICE_##NAME,
    DEVICE_STYLES(X)
#undef X
        N_DEVICE_STYLES
} device_style;

bool device_style_of(const char *word, device_style *out);
const char *device_style_word(device_style s);

/* Standard ratings of a style in rising order, in A. */
const double *device_ratings(device_style s, int *n, source *from);
double device_voltage_V(device_style s, source *from);    /* highest d.c. voltage */
double device_interrupts_A(device_style s, source *from); /* largest current that it can interrupt */

/* Limits of a practice by name, from data/limits.tsv. Each has value (SI), unit and source; `why RULE` prints them.
 * Asserts that the name exists: names are the program's own. */
typedef struct limit {
    const char *name;
    double value;
    const char *unit;
    const char *says;
    source from;
} limit;
const limit *limit_of(practice p, const char *name);
/* All limits, for `why` and the tests: the i-th row of the table, NULL past the end. Rows of `both` practices come once
 * with both true. */
const limit *limit_row(int i, bool for_practice[2]);
/* How the source prints the limit: "7 in". */
const char *limit_printed(const limit *l);

/* True when the practice gives this colour to that use ("feed", "return", "chopped", "bond", "line", "neutral",
 * "earth"). `wanted` lists what it takes: "black, yellow". Asserts that the use exists. */
bool colour_suits(practice p, const char *use, const char *colour, const char **wanted, source *from);

#endif
