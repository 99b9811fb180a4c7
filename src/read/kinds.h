/* Kinds from their language (docs/kinds.md): terminals, parameters, positions and the elements inside. A kind that holds
 * others is flattened here, so that what stands in the van is primitive. */
#ifndef READ_KINDS_H
#define READ_KINDS_H

#include "read/values.h"

typedef struct kind_set {
    kind *kinds; /* the built-in ones first */
    int n;
    names *names;
} kind_set;

/* The kinds of `mapping` (may be NULL) after `n_built_in` built-in ones. What is wrong is in the report. */
kind_set kinds_read(reader *r, const node *mapping, const kind *built_in, int n_built_in);

/* One value of a parameter, by the parameter's declaration; false after a fault. */
bool parameter_value(reader *r, const node *n, const parameter *p, value *out);

/* "`auto`", "one of a, b or c", "a current (A, mA)": what a parameter holds. */
const char *parameter_holds(reader *r, const parameter *p);

#endif
