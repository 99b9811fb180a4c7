/* Wires, their labels, and the decisions that name what a finding names.
 *
 * A label is printed on both sleeves of its wire, so it never changes and never comes back on another one. The file gives
 * most; a wire of `unlabelled` gets a proposed one: `W` and the next number above every number that ends a label of the
 * file, in the order of the file. It stands only once it is written there (edit.h). */
#ifndef READ_WIRES_H
#define READ_WIRES_H

#include "read/values.h"

typedef struct wire_nodes {
    const node *wires, *unlabelled, *retired; /* NULL: not in the file */
} wire_nodes;

/* 1 to 16 letters, digits and marks, no spaces: it is printed on a sleeve. */
bool label_is_sound(const char *label);
/* The number that ends a label, if it is higher than `number`: a new label takes the next one. */
int label_higher(int number, const char *label);

void wires_read(reader *r, const wire_nodes *nodes, van *v);
void decisions_read(reader *r, const node *list, van *v);

#endif
