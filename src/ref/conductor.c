/* What is known of conductors: sizes and resistance. What they bear is in ampacity.c.
 *
 * In AWG the size fixes the geometry, so resistance follows from area and resistivity. In mm2 the size is a label:
 * IEC 60228 fixes the largest resistance that a conductor of that name may have. */
#include "ref/conductor.h"

#include "tables.h"
#include "units/gauge.h"

#include <assert.h>
#include <math.h>
#include <pthread.h>
#include <stdio.h>

static const double rho_20_ohm_m = 1.0 / 58.0 * 1e-6; /* annealed copper at 20 degC, 1/58 ohm mm2/m, IEC 60028 */
static const double alpha_20_per_K = 0.00393;         /* of the same copper, IEC 60028 */
static const double lay = 1.02; /* strands are longer than the conductor, NFPA 70 chapter 9 table 8
                                                         over table of solid: 1.018 to 1.025 */
static const double reference_K = 293.15;

/* ---- sizes ---- */

/* Gauges that are sold for vehicles and boats: those of the ampacity table, and three smaller ones. */
static const int listed_gauges[] = {24, 22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 0, -1, -2, -3};

enum {
    n_listed_gauges = sizeof listed_gauges / sizeof *listed_gauges,
    n_gauges = gauge_thinnest - gauge_thickest + 1,
    text_room = 24,
};

/* Worked out once, then only read: areas of gauges, and how sizes are written. */
static struct {
    pthread_once_t once;
    conductor_size gauges[n_listed_gauges], metrics[n_iec_60228_class_5];
    char gauge_texts[n_gauges][text_room], metric_texts[n_iec_60228_class_5][text_room];
} sizes = {.once = PTHREAD_ONCE_INIT};

static void work_out_sizes(void)
{
    for (int i = 0; i < n_listed_gauges; i++) {
        int gauge = listed_gauges[i];
        sizes.gauges[i] = (conductor_size){SIZE_AWG, gauge, gauge_area_m2(gauge)};
    }
    for (int gauge = gauge_thickest; gauge <= gauge_thinnest; gauge++) {
        char *text = sizes.gauge_texts[gauge - gauge_thickest];
        if (gauge < 1)
            snprintf(text, text_room, "%d/0 AWG", 1 - gauge);
        else
            snprintf(text, text_room, "%d AWG", gauge);
    }
    for (int i = 0; i < n_iec_60228_class_5; i++) {
        double area_mm2 = table_iec_60228_class_5[i].area_mm2;
        sizes.metrics[i] = (conductor_size){SIZE_METRIC, 0, area_mm2 / 1e6};
        snprintf(sizes.metric_texts[i], text_room, "%g mm2", area_mm2);
    }
}

const conductor_size *conductor_series(size_series s, int *n)
{
    pthread_once(&sizes.once, work_out_sizes);
    assert(s != SIZE_UNSET);
    *n = s == SIZE_AWG ? (int)n_listed_gauges : (int)n_iec_60228_class_5;
    return s == SIZE_AWG ? sizes.gauges : sizes.metrics;
}

/* Row of the metric series, or -1. 2.5 mm2 may have come by another unit, so the last digits don't count. */
static int metric_row(double area_m2)
{
    for (int i = 0; i < n_iec_60228_class_5; i++) {
        double row_m2 = table_iec_60228_class_5[i].area_mm2 / 1e6;
        if (fabs(area_m2 - row_m2) <= 1e-9 * row_m2) return i;
    }
    return -1;
}

conductor_size conductor_size_of(const quantity *q)
{
    if (q->dimension != DIMENSION_AREA) return (conductor_size){SIZE_UNSET, 0, 0};
    if (q->is_gauge) return (conductor_size){SIZE_AWG, q->gauge, q->value};
    return (conductor_size){SIZE_METRIC, 0, q->value};
}

bool conductor_is_listed(conductor_size size)
{
    if (size.series == SIZE_METRIC) return metric_row(size.area_m2) >= 0;
    if (size.series == SIZE_UNSET) return false;
    for (int i = 0; i < n_listed_gauges; i++) {
        if (listed_gauges[i] == size.gauge) return true;
    }
    return false;
}

const char *conductor_size_text(conductor_size size)
{
    pthread_once(&sizes.once, work_out_sizes);
    if (size.series == SIZE_UNSET) return "auto";
    if (size.series == SIZE_AWG) {
        bool exists = size.gauge >= gauge_thickest && size.gauge <= gauge_thinnest;
        return exists ? sizes.gauge_texts[size.gauge - gauge_thickest] : "unlisted";
    }
    int row = metric_row(size.area_m2);
    return row < 0 ? "unlisted" : sizes.metric_texts[row];
}

int conductor_compare(conductor_size a, conductor_size b) { return (a.area_m2 > b.area_m2) - (a.area_m2 < b.area_m2); }

/* ---- resistance ---- */

/* R20 = rho20 / A (times the lay of strands) in AWG; the table's in mm2. */
static double ohm_per_m_at_20(conductor_size size, bool is_solid)
{
    if (size.series == SIZE_AWG) {
        if (size.gauge < gauge_thickest || size.gauge > gauge_thinnest) return NAN;
        return rho_20_ohm_m / gauge_area_m2(size.gauge) * (is_solid ? 1.0 : lay);
    }
    int row = size.series == SIZE_METRIC ? metric_row(size.area_m2) : -1;
    if (row < 0) return NAN;
    double ohm_per_km =
        is_solid ? table_iec_60228_class_1[row].plain_ohm_per_km : table_iec_60228_class_5[row].plain_ohm_per_km;
    return ohm_per_km / 1e3;
}

/* R = R20 (1 + alpha20 (T - 20 degC)) */
double conductor_ohm_per_m(conductor_size size, bool is_solid, double temperature_K)
{
    static_assert((int)n_iec_60228_class_1 == (int)n_iec_60228_class_5, "both tables have the same sizes");
    return ohm_per_m_at_20(size, is_solid) * (1.0 + alpha_20_per_K * (temperature_K - reference_K));
}

source conductor_resistance_source(conductor_size size)
{
    if (size.series == SIZE_METRIC) return source_iec_60228_class_5;
    return (source){"ASTM B258 (area) and IEC 60028 (annealed copper)", ORIGIN_COMPUTED};
}
