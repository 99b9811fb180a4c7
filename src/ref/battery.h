/* Batteries: rest voltage against state of charge, and inner resistance, by chemistry. Tables in data/battery-*.tsv. */
#ifndef REF_BATTERY_H
#define REF_BATTERY_H

#include "ref/source.h"
#include <stdbool.h>

/* X(NAME, word) */
#define CHEMISTRIES(X) X(LFP, "lfp") X(AGM, "agm") X(FLOODED, "flooded") X(GEL, "gel")
typedef enum chemistry {
#define X(NAME, word) CHEMISTRY_##NAME,
    CHEMISTRIES(X)
#undef X
        N_CHEMISTRIES
} chemistry;

bool chemistry_of(const char *word, chemistry *out);

/* Rest voltage of a battery of nominal_V (12 V is four LFP cells or six lead-acid cells) at charge 0..1, linear
 * between the rows of the table. *slope_V, if given, is dV/dcharge. */
double battery_rest_V(chemistry c, double nominal_V, double charge, double *slope_V, source *from);
/* Inner resistance with its protection and posts, from capacity (C) and nominal voltage. Orders of magnitude only. */
double battery_resistance_ohm(chemistry c, double nominal_V, double capacity_C, source *from);

#endif
