/* Conductors: series of sizes, resistance, and the current that a conductor bears.
 *
 * Resistance of a size in AWG: area after ASTM B258, copper of 1/58 ohm mm2/m at 20 degC (IEC 60028), 2 % more for
 * strands. Resistance of a size in mm2: the largest that IEC 60228 allows, class 5 (class 1 if solid).
 * At another temperature: R = R20 * (1 + 0.00393 (T - 293.15 K)). */
#ifndef REF_CONDUCTOR_H
#define REF_CONDUCTOR_H

#include "ref/source.h"
#include "units/quantity.h"
#include <stdbool.h>

typedef enum size_series { SIZE_UNSET, SIZE_AWG, SIZE_METRIC } size_series;

typedef struct conductor_size {
    size_series series; /* SIZE_UNSET: not known (auto) */
    int gauge;          /* AWG number (1/0 is 0 ... 4/0 is -3); for SIZE_AWG */
    double area_m2;     /* nominal */
} conductor_size;

typedef enum practice { PRACTICE_NORTH_AMERICA, PRACTICE_EUROPE } practice;

/* The standard sizes of a series in rising area (for AWG: those that the ampacity table has, and smaller ones down to
 * 24; for metric: 0.5 mm2 to 150 mm2). */
const conductor_size *conductor_series(size_series s, int *n);
/* The size that a quantity names: AWG as a gauge, mm2 by its area. SIZE_UNSET when it is no cross-section. */
conductor_size conductor_size_of(const quantity *q);
/* True when the size is one that the series lists. */
bool conductor_is_listed(conductor_size size);
/* "16 AWG", "2/0 AWG", "2.5 mm2"; static text for listed sizes and every gauge, "auto" when unset, else "unlisted". */
const char *conductor_size_text(conductor_size size);
/* -1, 0, 1 by area. */
int conductor_compare(conductor_size a, conductor_size b);

/* ohm/m at temperature_K. The size must be listed (or AWG of any gauge from -3 to 40), else NAN. */
double conductor_ohm_per_m(conductor_size size, bool is_solid, double temperature_K);
source conductor_resistance_source(conductor_size size);

/* Continuous current at 30 degC ambient, one conductor in free air, for insulation rated insulation_K (the nearest
 * column not above it). 0 when the table has no such size or column: then it is unproven, never good. */
double ampacity_A(conductor_size size, double insulation_K, source *from);
/* Factor for ambient_K: sqrt((Tc - Ta)/(Tc - 30 degC)), 0 at or above the rating. Air below 10 degC counts as 10 degC,
 * where the table of the code ends. */
double ampacity_ambient_factor(double insulation_K, double ambient_K, source *from);
/* Factor for n loaded conductors that run touching. 1 where the table of the practice starts later. */
double ampacity_bundle_factor(practice p, int n_bundled, source *from);
/* Factor in an engine space (50 degC), from the table of the rule (the nearest row not above the rating; 0 below the
 * first); use it in place of the ambient factor. */
double ampacity_engine_factor(double insulation_K, source *from);

#endif
