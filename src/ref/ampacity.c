/* The current that a conductor bears: a table for one conductor in air at 30 degC, and factors for what is hotter.
 *
 * Heat leaves in proportion to the rise over the air, and comes in proportion to I^2, so in air at Ta a conductor whose
 * insulation bears Tc carries sqrt((Tc - Ta)/(Tc - 30 degC)) of the table's current: the formula of NFPA 70 310.15(B). */
#include "ref/conductor.h"

#include "tables.h"

#include <math.h>
#include <string.h>

static const double freezing_K = 273.15;
static const double table_ambient_K = 303.15;  /* of all the ampacity tables */
static const double coldest_credit_K = 283.15; /* NFPA 70 table 310.15(B)(1) ends at 10 degC: no more is credited */
static const double rating_slack_K = 1e-6;     /* 105 degC by way of another unit is still 105 degC */

/* ---- the tables ---- */

enum { no_column = -1 };

/* The last of rising ratings that is not above the insulation's; no_column when all are above it. */
static int column_of(const double *ratings_C, int n, double insulation_K)
{
    int column = no_column;
    for (int i = 0; i < n; i++) {
        if (ratings_C[i] + freezing_K <= insulation_K + rating_slack_K) column = i;
    }
    return column;
}

static double north_america_A(const char *awg, double insulation_K)
{
    static const double ratings_C[] = {60, 75, 80, 90, 105, 125, 200};
    int column = column_of(ratings_C, sizeof ratings_C / sizeof *ratings_C, insulation_K);
    if (column == no_column) return 0.0;
    for (int i = 0; i < n_ampacity_north_america; i++) {
        const row_ampacity_north_america *r = &table_ampacity_north_america[i];
        const double row_A[] = {r->at_60C, r->at_75C, r->at_80C, r->at_90C, r->at_105C, r->at_125C, r->at_200C};
        if (strcmp(r->awg, awg) == 0) return row_A[column];
    }
    return 0.0;
}

static double europe_A(double area_m2, double insulation_K)
{
    static const double ratings_C[] = {60, 70, 85, 105, 125, 200};
    int column = column_of(ratings_C, sizeof ratings_C / sizeof *ratings_C, insulation_K);
    if (column == no_column) return 0.0;
    for (int i = 0; i < n_ampacity_europe; i++) {
        const row_ampacity_europe *r = &table_ampacity_europe[i];
        const double row_A[] = {r->at_60C, r->at_70C, r->at_85C, r->at_105C, r->at_125C, r->at_200C};
        if (fabs(area_m2 * 1e6 - r->area_mm2) <= 1e-9 * r->area_mm2) return row_A[column];
    }
    return 0.0;
}

double ampacity_A(conductor_size size, double insulation_K, source *from)
{
    if (size.series == SIZE_METRIC) {
        source_give(from, source_ampacity_europe);
        return europe_A(size.area_m2, insulation_K);
    }
    source_give(from, source_ampacity_north_america);
    if (size.series == SIZE_UNSET) return 0.0;
    char awg[24];
    const char *text = conductor_size_text(size);
    size_t n = strcspn(text, " ");
    memcpy(awg, text, n);
    awg[n] = '\0';
    return north_america_A(awg, insulation_K);
}

/* ---- the factors ---- */

double ampacity_ambient_factor(double insulation_K, double ambient_K, source *from)
{
    source_give(from, (source){"NFPA 70 (National Electrical Code), 310.15(B), formula", ORIGIN_COMPUTED});
    double air_K = fmax(ambient_K, coldest_credit_K);
    if (air_K >= insulation_K || insulation_K <= table_ambient_K) return 0.0;
    return sqrt((insulation_K - air_K) / (insulation_K - table_ambient_K));
}

double ampacity_bundle_factor(practice p, int n_bundled, source *from)
{
    const char *word = p == PRACTICE_EUROPE ? "europe" : "north-america";
    double factor = 1.0;
    for (int i = 0; i < n_ampacity_bundle; i++) {
        const row_ampacity_bundle *r = &table_ampacity_bundle[i];
        if (strcmp(r->practice, word) != 0) continue;
        if (factor == 1.0) source_give(from, (source){r->source, r->how});
        if (n_bundled >= r->conductors) factor = r->factor;
    }
    return factor;
}

double ampacity_engine_factor(double insulation_K, source *from)
{
    double factor = 0.0;
    source row_from = source_ampacity_engine_space;
    for (int i = 0; i < n_ampacity_engine_space; i++) {
        const row_ampacity_engine_space *r = &table_ampacity_engine_space[i];
        if (r->insulation_C + freezing_K > insulation_K + rating_slack_K) break;
        factor = r->factor;
        row_from.how = r->how;
    }
    source_give(from, row_from);
    return factor;
}
