/* Batteries: rest voltage and inner resistance, from the tables. */
#include "ref/battery.h"

#include "tables.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

static const char *const chemistry_words[] = {
#define X(NAME, word) word,
    CHEMISTRIES(X)
#undef X
};

bool chemistry_of(const char *word, chemistry *out)
{
    for (int i = 0; i < N_CHEMISTRIES; i++) {
        if (strcmp(chemistry_words[i], word) == 0) {
            *out = (chemistry)i;
            return true;
        }
    }
    return false;
}

/* A nominal 12 V is four LFP cells, whether it is called 12 V or 12.8 V; what is less than 10 V counts cells of 3.2 V. */
static double lfp_cells(double nominal_V)
{
    return nominal_V < 10.0 ? fmax(1.0, round(nominal_V / 3.2)) : 4.0 * round(nominal_V / 12.0);
}

/* The line between two rows of a table of voltage by charge, both 0..1; the ends hold beyond them. */
typedef struct point {
    double charge, voltage_V;
} point;

static double between(point low, point high, double charge, double *slope_V)
{
    *slope_V = (high.voltage_V - low.voltage_V) / (high.charge - low.charge);
    return low.voltage_V + *slope_V * (charge - low.charge);
}

static point lfp_point(int i)
{
    return (point){table_battery_rest_lfp[i].charge_percent / 100.0, table_battery_rest_lfp[i].cell_V};
}

static double lfp_cell_V(double charge, double *slope_V)
{
    int i = 0;
    while (i < n_battery_rest_lfp - 2 && lfp_point(i + 1).charge < charge) i++;
    return between(lfp_point(i), lfp_point(i + 1), charge, slope_V);
}

static point lead_acid_point(int i)
{
    return (point){table_battery_rest_lead_acid[i].charge_percent / 100.0, table_battery_rest_lead_acid[i].rest_V};
}

/* Rows of one chemistry stand together, charge rising. */
static double lead_acid_V(chemistry c, double charge, double *slope_V)
{
    const row_battery_rest_lead_acid *rows = table_battery_rest_lead_acid;
    int first = 0;
    while (strcmp(rows[first].chemistry, chemistry_words[c]) != 0) first++;
    int i = first;
    while (i + 2 < n_battery_rest_lead_acid && strcmp(rows[i + 2].chemistry, chemistry_words[c]) == 0 &&
           lead_acid_point(i + 1).charge < charge) {
        i++;
    }
    return between(lead_acid_point(i), lead_acid_point(i + 1), charge, slope_V);
}

double battery_rest_V(chemistry c, double nominal_V, double charge, double *slope_V, source *from)
{
    double within = fmin(fmax(charge, 0.0), 1.0);
    double slope, scale, one_V;
    if (c == CHEMISTRY_LFP) {
        source_give(from, source_battery_rest_lfp);
        scale = lfp_cells(nominal_V);
        one_V = lfp_cell_V(within, &slope);
    } else {
        source_give(from, source_battery_rest_lead_acid);
        scale = nominal_V / 12.0;
        one_V = lead_acid_V(c, within, &slope);
    }
    if (slope_V != NULL) *slope_V = slope * scale;
    return one_V * scale;
}

/* Cells in series add their resistance, plates in parallel share it: R = R(12 V, 100 Ah) * V/12 V * 100 Ah/C. */
double battery_resistance_ohm(chemistry c, double nominal_V, double capacity_C, source *from)
{
    const double table_C = 100.0 * 3600.0, table_V = 12.0;
    source_give(from, source_battery_resistance);
    for (int i = 0; i < n_battery_resistance; i++) {
        const row_battery_resistance *r = &table_battery_resistance[i];
        if (strcmp(r->chemistry, chemistry_words[c]) == 0) {
            return r->mohm_at_100Ah / 1e3 * (nominal_V / table_V) * (table_C / capacity_C);
        }
    }
    assert(false && "every chemistry has a row");
    return NAN;
}
