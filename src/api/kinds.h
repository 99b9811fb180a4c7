/* A kind as JSON. */
#ifndef API_KINDS_H
#define API_KINDS_H

#include "base/print.h"
#include "model/kind.h"

/* One object: kind, says, role, symbol, terminals, positions, dial, parameters. */
void json_kind(sink *s, const kind *k);

/* Symbols of units that would do for any of the dimensions: ["A", "mA"]. */
void json_units(sink *s, const dimension *dimensions, int n);
/* An end of a range: "10 A", a bare number for a count, null where there is none. */
void json_bound(sink *s, double value, dimension d);

#endif
