/* Sparse linear systems of one pattern and many values, over KLU: see sparse.h. */
#include "num/sparse.h"

#include <math.h>
#include <suitesparse/klu.h>

/* Refactoring keeps old pivots. They are looked at more closely once the ratio of the least to the largest pivot has
 * fallen by `rcond_fall` since they were chosen, or below `rcond_low`, and dropped when growth takes more than half of
 * the digits (reciprocal growth below `growth_bad`). */
static const double rcond_fall = 1e-3;
static const double rcond_low = 1e-13;
static const double growth_bad = 1e-8;

struct sparse {
    arena *arena;
    int n, n_values;
    int *column_start, *row; /* compressed columns */
    double *value;
    klu_common common;
    klu_symbolic *symbolic;
    klu_numeric *numeric;
    double rcond_full; /* of the last full factorisation */
    int singular_unknown;
    long n_full;
};

static void release(void *what)
{
    sparse *s = what;
    klu_free_numeric(&s->numeric, &s->common);
    klu_free_symbolic(&s->symbolic, &s->common);
}

/* Entries sorted by column, then row, by two stable counting sorts: order[] lists them. */
static void sort_entries(arena *a, int n, int n_entries, const int *row, const int *column, int *order)
{
    int *by_row = ARENA_ARRAY(a, int, (size_t)n_entries + 1);
    int *start = ARENA_ARRAY(a, int, (size_t)n + 2);
    for (int k = 0; k < n_entries; k++) start[row[k] + 1]++;
    for (int i = 0; i < n; i++) start[i + 1] += start[i];
    for (int k = 0; k < n_entries; k++) by_row[start[row[k]]++] = k;
    for (int i = 0; i <= n; i++) start[i] = 0;
    for (int k = 0; k < n_entries; k++) start[column[k] + 1]++;
    for (int i = 0; i < n; i++) start[i + 1] += start[i];
    for (int k = 0; k < n_entries; k++) order[start[column[by_row[k]]]++] = by_row[k];
}

sparse *sparse_create(arena *a, int n, int n_entries, const int *row, const int *column, int *slot)
{
    sparse *s = ARENA_NEW(a, sparse);
    s->arena = a;
    s->n = n;
    s->column_start = ARENA_ARRAY(a, int, (size_t)n + 1);
    s->row = ARENA_ARRAY(a, int, (size_t)n_entries + 1);
    s->singular_unknown = -1;
    int *order = ARENA_ARRAY(a, int, (size_t)n_entries + 1);
    sort_entries(a, n, n_entries, row, column, order);
    for (int k = 0; k < n_entries; k++) {
        int e = order[k], before = k > 0 ? order[k - 1] : -1;
        if (before < 0 || column[before] != column[e] || row[before] != row[e]) {
            s->row[s->n_values++] = row[e];
            s->column_start[column[e] + 1] = s->n_values;
        }
        slot[e] = s->n_values - 1;
    }
    for (int j = 0; j < n; j++)
        if (s->column_start[j + 1] < s->column_start[j]) s->column_start[j + 1] = s->column_start[j];
    s->value = ARENA_ARRAY(a, double, (size_t)s->n_values + 1);

    klu_defaults(&s->common);
    s->common.btf = 0;    /* the networks are of one piece: block form would only cost permutations */
    s->common.scale = -1; /* rows of a network are alike enough; growth is watched in any case */
    arena_defer(a, release, s);
    if (n == 0) return s;
    s->symbolic = klu_analyze(n, s->column_start, s->row, &s->common);
    if (s->symbolic == NULL) arena_leave(a);
    return s;
}

double *sparse_values(sparse *s) { return s->value; }
int sparse_n_values(const sparse *s) { return s->n_values; }
int sparse_singular_unknown(const sparse *s) { return s->singular_unknown; }
long sparse_n_full(const sparse *s) { return s->n_full; }

static bool factor_anew(sparse *s)
{
    klu_free_numeric(&s->numeric, &s->common);
    s->numeric = klu_factor(s->column_start, s->row, s->value, s->symbolic, &s->common);
    s->n_full++;
    if (s->common.status == KLU_OUT_OF_MEMORY || s->common.status == KLU_TOO_LARGE) arena_leave(s->arena);
    if (s->numeric == NULL || s->common.status == KLU_SINGULAR) {
        s->singular_unknown = s->common.singular_col < s->n ? s->common.singular_col : -1;
        klu_free_numeric(&s->numeric, &s->common);
        return false;
    }
    klu_rcond(s->symbolic, s->numeric, &s->common);
    s->rcond_full = s->common.rcond;
    return isfinite(s->rcond_full) && s->rcond_full > 0;
}

static bool refactor(sparse *s)
{
    if (!klu_refactor(s->column_start, s->row, s->value, s->symbolic, s->numeric, &s->common)) return false;
    if (s->common.status != KLU_OK) return false;
    klu_rcond(s->symbolic, s->numeric, &s->common);
    double rcond = s->common.rcond;
    if (!(rcond > 0)) return false;
    if (rcond > rcond_low && rcond > rcond_fall * s->rcond_full) return true;
    klu_rgrowth(s->column_start, s->row, s->value, s->symbolic, s->numeric, &s->common);
    return s->common.rgrowth > growth_bad;
}

bool sparse_factor(sparse *s)
{
    s->singular_unknown = -1;
    if (s->n == 0) return true;
    if (s->numeric != NULL && refactor(s)) return true;
    return factor_anew(s);
}

void sparse_solve(sparse *s, double *x)
{
    if (s->n > 0) klu_solve(s->symbolic, s->numeric, s->n, 1, x, &s->common);
}

void sparse_solve_transposed(sparse *s, double *x)
{
    if (s->n > 0) klu_tsolve(s->symbolic, s->numeric, s->n, 1, x, &s->common);
}
