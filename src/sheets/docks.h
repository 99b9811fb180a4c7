/* Where wires meet terminals on a scene for the screen: places that a finger can find, and drag a wire to. */
#ifndef SHEETS_DOCKS_H
#define SHEETS_DOCKS_H

#include "sheets/page.h"

typedef struct dock {
    int terminal;
    point at;
} dock;

typedef struct docks {
    arena *arena;
    ARRAY(dock) all;
} docks;

void dock_add(docks *d, int terminal, double x_mm, double y_mm);
/* The first place of a terminal; false when it has none. */
bool dock_of(const docks *d, int terminal, point *out);
/* A group for each terminal, in the order of the van, with a transparent circle at each of its places: as large as a finger where
 * no other terminal is nearer. Drawn last, so that nothing lies over them. */
void docks_draw(const docks *d, const van *v, scene *s);

#endif
