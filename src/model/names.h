/* Names to indices, by hash: an id, a terminal or a label is found in the time that it takes to read it, however many
 * there are. */
#ifndef MODEL_NAMES_H
#define MODEL_NAMES_H

#include "base/arena.h"

typedef struct names names;

names *names_create(arena *a);

/* Notes `name` (not copied: it must live as long) as `index`. False, and nothing noted, when the name is there already.
 */
bool names_add(names *n, const char *name, int index);

/* The index noted with a name, or -1. */
int names_find(const names *n, const char *name);

#endif
