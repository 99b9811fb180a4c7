/* American wire gauge: numbers to diameters and areas.
 *
 * ASTM B258 fixes the diameters of 4/0 (0.46 in) and 36 AWG (0.005 in) and spaces the 38 gauges between them in a
 * geometric progression:
 *     d = 0.005 in * 92^((36 - n) / 39),   n = 0 for 1/0, -1 for 2/0, -2 for 3/0, -3 for 4/0. */
#ifndef UNITS_GAUGE_H
#define UNITS_GAUGE_H

enum { gauge_thickest = -3, gauge_thinnest = 40 };

double gauge_diameter_m(int gauge);
/* Nominal area: the copper of a solid round conductor of that diameter. */
double gauge_area_m2(int gauge);

#endif
