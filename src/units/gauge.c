/* The wire-gauge progression of ASTM B258; the equation is in the header. */
#include "units/gauge.h"

#include <math.h>

double gauge_diameter_m(int gauge)
{
    const double anchor_m = 0.005 * 0.0254; /* 36 AWG */
    return anchor_m * pow(92.0, (36 - gauge) / 39.0);
}

double gauge_area_m2(int gauge)
{
    double d_m = gauge_diameter_m(gauge);
    return M_PI / 4.0 * d_m * d_m;
}
