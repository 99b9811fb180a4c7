/* Wires, and the decisions that name what a finding names. */
#ifndef READ_WIRES_H
#define READ_WIRES_H

#include "read/values.h"

void wires_read(reader *r, const node *mapping, van *v);
void decisions_read(reader *r, const node *list, van *v);

#endif
