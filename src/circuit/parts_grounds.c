/* The backgrounds that frame all others, and what groups do to each other's voltage. See parts.h. */
#include "circuit/parts.h"

#include <math.h>
#include <string.h>

static const double weak_V = 0.1;   /* least voltage that changes at a part's taps are held against */
static const double sag_most = 0.4; /* of the voltage at a part, by all groups together: beyond, S is no bound */

bool parts_rank_states(parts_run *r)
{
    uint16_t *rest = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    if (parts_row_at(r, rest) < 0) return false;
    for (int g = 0; g < r->n_groups; g++) {
        double least_W = INFINITY, most_W = -INFINITY;
        for (int s = 0; s < r->groups[g].n_states; s++) {
            const int number = parts_row_moved(r, rest, g, s);
            if (number < 0) return false;
            const double power_W = r->rows.at[number].power_W;
            if (power_W < least_W - 1e-9) {
                least_W = power_W;
                r->groups[g].least = s;
            }
            if (power_W > most_W + 1e-9) {
                most_W = power_W;
                r->groups[g].most = s;
            }
        }
    }
    return true;
}

double parts_change_at(const parts_run *r, int part, int i, int j)
{
    const double *x = r->rows.at[i].taps_V, *y = r->rows.at[j].taps_V;
    double low = INFINITY, high = -INFINITY;
    for (int k = r->first_tap[part]; k < r->first_tap[part + 1]; k++) {
        const double change = y[k] - x[k];
        if (isnan(change)) continue;
        low = fmin(low, change);
        high = fmax(high, change);
    }
    return high > low ? high - low : 0;
}

static double voltage_at(const parts_run *r, int part, int i)
{
    double low = INFINITY, high = -INFINITY;
    for (int k = r->first_tap[part]; k < r->first_tap[part + 1]; k++) {
        const double V = r->rows.at[i].taps_V[k];
        if (isnan(V)) continue;
        low = fmin(low, V);
        high = fmax(high, V);
    }
    return high > low ? high - low : 0;
}

static bool measure_influence_on(parts_run *r, int on)
{
    const int n_parts = r->sp->n_parts, base = parts_row_at(r, r->on[on].at);
    if (base < 0) return false;
    r->influence[on] = ARENA_ARRAY(r->a, double, (size_t)n_parts *(size_t)r->n_groups + 1);
    r->influence_most[on] = ARENA_ARRAY(r->a, double, (size_t)r->n_groups + 1);
    double *base_V = ARENA_ARRAY(r->a, double, (size_t)n_parts + 1);
    for (int p = 0; p < n_parts; p++) base_V[p] = voltage_at(r, p, base);
    for (int g = 0; g < r->n_groups; g++)
        for (int s = 0; s < r->groups[g].n_states; s++) {
            const int moved = parts_row_on(r, &r->on[on], g, s);
            if (moved < 0) return false;
            /* Two states that both differ from the background's may differ twice as much from each other. */
            const double factor = r->groups[g].n_states > 2 ? 2 : 1;
            for (int p = 0; p < n_parts; p++) {
                if (r->sp->parts[p].n_taps < 2) continue;
                double *at = &r->influence[on][g * n_parts + p];
                const double V = fmin(base_V[p], voltage_at(r, p, moved));
                r->supply_V[p] = fmin(r->supply_V[p], V);
                *at = fmax(*at, factor * parts_change_at(r, p, base, moved) / fmax(V, weak_V));
                r->influence_most[on][g] = fmax(r->influence_most[on][g], *at);
            }
        }
    return true;
}

bool parts_add_grounds(parts_run *r)
{
    for (size_t c = 0; c < r->circumstances.n; c++) {
        bool is_covered = false;
        size_t first = r->rows.n;
        for (int on = 0; on < r->n_grounds; on++) {
            const int number = parts_find_row(r, r->base[on].at);
            is_covered |= number >= 0 && r->rows.at[number].circumstance == (int)c;
        }
        for (size_t i = r->rows.n; i-- > 0;)
            if (r->rows.at[i].circumstance == (int)c) first = i;
        if (is_covered || first == r->rows.n) continue;
        if (r->n_grounds == grounds_most) {
            r->why = "chargers or panels stand in too many circumstances";
            return false;
        }
        memcpy(r->base[r->n_grounds].at, r->rows.at[first].at, (size_t)r->n_groups * sizeof(uint16_t));
        r->on[r->n_grounds] = r->base[r->n_grounds];
        r->n_grounds++;
    }
    return true;
}

/* From the least to the most drawing ground, group by group: shows the circumstances between. */
static bool walk_between(parts_run *r)
{
    uint16_t *at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    memcpy(at, r->base[0].at, (size_t)r->n_groups * sizeof *at);
    for (int g = 0; g < r->n_groups; g++) {
        at[g] = r->base[1].at[g];
        if (parts_row_at(r, at) < 0) return false;
    }
    return true;
}

bool parts_measure_influence(parts_run *r)
{
    const int n_parts = r->sp->n_parts;
    if (!r->supply_V) {
        r->supply_V = ARENA_ARRAY(r->a, double, (size_t)n_parts + 1);
        for (int p = 0; p < n_parts; p++) r->supply_V[p] = INFINITY;
    }
    for (int on = 0; on < r->n_grounds; on++) {
        if (!r->influence[on] && !measure_influence_on(r, on)) return false;
        if (on == 1 && r->circumstances.n > 1 && !walk_between(r)) return false;
        if (on >= 1 && !parts_add_grounds(r)) return false;
    }
    double sag = 0;
    const int least = parts_row_at(r, r->base[0].at);
    for (int on = 0; on < r->n_grounds; on++)
        for (int p = 0; p < n_parts; p++) {
            double sum = 0;
            for (int g = 0; g < r->n_groups; g++) sum += r->influence[on][g * n_parts + p];
            if (voltage_at(r, p, least) > 1) sag = fmax(sag, sum);
        }
    if (sag > sag_most) r->why = "the circuits pull each other's voltage down too far";
    r->sag = sag;
    r->kappa = 2 / ((1 - sag) * (1 - sag));
    return sag <= sag_most;
}
