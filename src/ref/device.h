/* Protective devices and terminals: ratings that exist, what they can interrupt, at what voltage, and rules. */
#ifndef REF_DEVICE_H
#define REF_DEVICE_H

#include "ref/conductor.h"

/* X(NAME, word) styles of protective device */
#define DEVICE_STYLES(X)                                                                                               \
    X(BLADE, "blade")                                                                                                  \
    X(LARGE_BLADE, "large-blade") X(BOLTED, "bolted") X(CLASS_T, "class-t") X(GLASS, "glass")                          \
        X(THERMAL_BREAKER, "thermal-breaker")
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

/* True when the practice gives this colour to that use ("feed", "return", "bond", ...). `wanted` lists what it takes. */
bool colour_suits(practice p, const char *use, const char *colour, const char **wanted, source *from);

/* Stud or screw diameter (M6 ...) and conductor: terminals to buy. "M8 lug, 16 mm2". For the buying list. */
#endif
