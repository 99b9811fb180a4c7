/* Sparse linear systems of one pattern and many values, over KLU.
 *
 * The pattern is ordered once. Each new set of values is refactored with the pivots of the last full factorisation;
 * where these have become bad (a zero pivot, or growth), it is factored anew. See Davis and Palamadai Natarajan, "KLU, a
 * direct sparse solver for circuit simulation problems", ACM TOMS 37(3), 2010. Everything belongs to the arena. */
#ifndef NUM_SPARSE_H
#define NUM_SPARSE_H

#include "base/arena.h"

typedef struct sparse sparse;

/* An n by n pattern with the entries (row[k], column[k]); the same place may be named often. slot[k] receives where the
 * value of entry k stands in sparse_values. */
sparse *sparse_create(arena *a, int n, int n_entries, const int *row, const int *column, int *slot);

/* The values, n_values of them, for the caller to fill. */
double *sparse_values(sparse *s);
int sparse_n_values(const sparse *s);

/* Factors the values as they stand. False when the matrix is singular to working precision. */
bool sparse_factor(sparse *s);
/* The unknown at which the last factorisation found no pivot; -1 if it did. */
int sparse_singular_unknown(const sparse *s);
/* Full factorisations so far (the rest were refactored): for tests and benchmarks. */
long sparse_n_full(const sparse *s);

/* x becomes the solution of A x = b; x holds b on entry. Needs a successful sparse_factor. */
void sparse_solve(sparse *s, double *x);
/* The same with A turned over: rows for columns. */
void sparse_solve_transposed(sparse *s, double *x);

#endif
