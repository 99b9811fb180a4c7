/* Items, and what refers to items: their settings by the parameters of their kind, their terminals, their positions and
 * the positions that exclude each other. */
#ifndef READ_ITEMS_H
#define READ_ITEMS_H

#include "read/values.h"

/* Fills items and terminals of the van from the mapping `items:`; its kinds stand already. */
void items_read(reader *r, const node *mapping, const names *kinds, van *v);

/* Reports `never-with` that leaves an item no way out of its rest position (never-with.c). */
void check_exclusions(reader *r, const van *v);

/* A position of an item by its word ("on", "40%"), among those it may stand in; false if it has none such. */
bool position_of(const van *v, int item, const char *word, arena *a, position *out);

#endif
