/* See docks.h. */
#include "sheets/docks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FINGER 3.5 /* mm; a target of 7 mm */
#define LEAST 0.5

void dock_add(docks *d, int terminal, double x_mm, double y_mm)
{
    *ARRAY_ADD(d->arena, &d->all) = (dock){terminal, {x_mm, y_mm}};
}

bool dock_of(const docks *d, int terminal, point *out)
{
    for (size_t i = 0; i < d->all.n; i++) {
        if (d->all.at[i].terminal != terminal) continue;
        *out = d->all.at[i].at;
        return true;
    }
    return false;
}

static int by_x(const void *x, const void *y)
{
    const dock *a = *(const dock *const *)x, *b = *(const dock *const *)y;
    if (a->at.x_mm != b->at.x_mm) return a->at.x_mm < b->at.x_mm ? -1 : 1;
    return (a > b) - (a < b);
}

static double reach_of(const dock *a, const dock *b)
{
    return a->terminal == b->terminal ? HUGE_VAL : hypot(a->at.x_mm - b->at.x_mm, a->at.y_mm - b->at.y_mm) / 2;
}

/* Half way to the nearest other terminal, and no more than a finger needs; by the places' index. */
static double *radii_of(const docks *d)
{
    size_t n = d->all.n;
    const dock **sorted = ARENA_ARRAY(d->arena, const dock *, n + 1);
    double *radii_mm = ARENA_ARRAY(d->arena, double, n + 1);
    for (size_t i = 0; i < n; i++) {
        sorted[i] = &d->all.at[i];
        radii_mm[i] = FINGER;
    }
    qsort(sorted, n, sizeof *sorted, by_x);
    for (size_t i = 0; i < n; i++)
        for (size_t k = i + 1; k < n && sorted[k]->at.x_mm - sorted[i]->at.x_mm < 2 * FINGER; k++) {
            double reach = fmax(LEAST, reach_of(sorted[i], sorted[k]));
            double *a = &radii_mm[sorted[i] - d->all.at], *b = &radii_mm[sorted[k] - d->all.at];
            *a = fmin(*a, reach);
            *b = fmin(*b, reach);
        }
    return radii_mm;
}

/* The places of each terminal, as a chain from `first`. */
typedef struct chains {
    int *first, *next;
} chains;

static chains chains_of(const docks *d, int n_terminals)
{
    chains c = {ARENA_ARRAY(d->arena, int, (size_t)n_terminals + 1), ARENA_ARRAY(d->arena, int, d->all.n + 1)};
    for (int t = 0; t < n_terminals; t++) c.first[t] = -1;
    for (int i = (int)d->all.n - 1; i >= 0; i--) {
        c.next[i] = c.first[d->all.at[i].terminal];
        c.first[d->all.at[i].terminal] = i;
    }
    return c;
}

void docks_draw(const docks *d, const van *v, scene *s)
{
    static const pen none = {.stroke = INK_NONE, .fill = INK_NONE};
    const double *radii_mm = radii_of(d);
    chains c = chains_of(d, v->n_terminals);
    for (int t = 0; t < v->n_terminals; t++) {
        if (c.first[t] < 0) continue;
        scene_open(s, scene_id(s->arena, "terminal", v->terminals[t].name), "terminal", v->terminals[t].name);
        for (int i = c.first[t]; i >= 0; i = c.next[i]) {
            scene_circle(s, none, d->all.at[i].at.x_mm, d->all.at[i].at.y_mm, radii_mm[i]);
            scene_mark(s, "hit");
        }
        scene_close(s);
    }
}
