/* Text to van: YAML events, tables of keys, located messages. Nothing is half-read: either the whole file stands in
 * the van, or the report has every fault that it holds. */
#ifndef READ_READ_H
#define READ_READ_H

#include "base/print.h"
#include "model/van.h"

/* Reads text[0..n). `file` is for messages. NULL when anything was wrong; then the report is not empty. Leaves through
 * the arena's guard when memory runs out. Limits: 4 MiB of text, depth 64, 20,000 items, 50,000 wires, 1,000 kinds. */
van *read_van(arena *a, const char *file, const char *text, size_t n, report *r);

/* The built-in kinds, in the order of their names; read anew at each call. Asserts that they are sound. */
const kind *built_in_kinds(arena *a, int *n);

/* The same as read_van with built-in kinds that were read before, for whoever reads often. They must live as long as the
 * van. */
van *read_van_with(arena *a, const kind *built_in, int n_built_in, const char *file, const char *text, size_t n,
                   report *r);

/* JSON Schema (2020-12) of the file, from the tables that the reader uses. */
const char *read_schema(arena *a);

/* What `loomwall kinds NAME` prints: terminals, parameters with default, range and source, positions, what is inside. */
const char *kind_text(const kind *k, arena *a);

/* A text as a scalar of YAML: plain where that is certain to be a text, in single quotes otherwise. */
const char *scalar_text(const char *text, arena *a);

/* A commented starter file for a practice. Reads without errors and judges clean. */
const char *starter_text(practice p, double nominal_V, const char *name, arena *a);

#endif
