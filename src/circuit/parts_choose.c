/* The states that make a quantity extreme, whatever the others do. See parts.h. */
#include "circuit/parts.h"

#include <math.h>
#include <string.h>

static const double weak_V = 0.1;      /* least voltage that changes at a part's taps are held against */
static const double flat_share = 0.02; /* an effect that shrinks below this share from one background to the other is
                                          not taken as having one sign */
enum { weak_most = 4096 };

/* The values of a target with group g in state s, over all grounds. */
static bool read_values(parts_run *r, target t, int g, int s, double v[grounds_most])
{
    for (int on = 0; on < r->n_grounds; on++) {
        const int i = parts_row_on(r, &r->on[on], g, s);
        if (i < 0) return false;
        v[on] = parts_target_value(r, t, &r->rows.at[i]);
    }
    return true;
}

bool parts_measure_effects(parts_run *r, target t, const bool *is_free, double *scale)
{
    bool has_value = false, has_none = false;
    *scale = 0;
    for (int g = 0; g < r->n_groups; g++) {
        double low[grounds_most] = {0}, high[grounds_most] = {0}, v[grounds_most] = {0};
        for (int on = 0; on < r->n_grounds; on++) {
            low[on] = INFINITY;
            high[on] = -INFINITY;
            r->effect[on][g] = 0;
        }
        for (int s = 0; is_free[g] && s < r->groups[g].n_states; s++) {
            if (r->allowed[g] && !r->allowed[g][s]) continue;
            if (!read_values(r, t, g, s, v)) return false;
            for (int on = 0; on < r->n_grounds; on++) {
                has_none |= isnan(v[on]);
                has_value |= !isnan(v[on]);
                low[on] = fmin(low[on], v[on]);
                high[on] = fmax(high[on], v[on]);
                if (!isnan(v[on])) *scale = fmax(*scale, fabs(v[on]));
            }
        }
        for (int on = 0; on < r->n_grounds; on++)
            if (high[on] > low[on]) r->effect[on][g] = high[on] - low[on];
    }
    if (has_none && !has_value) *scale = NAN;
    if (has_none && has_value) r->why = "a terminal is joined to the rest only in some positions of other circuits";
    return !r->why;
}

/* S of the file's head on one ground, for any two states of group g. */
static double interplay(const parts_run *r, int on, const bool *is_free, int g)
{
    double sum = 0;
    for (int k = 0; k < r->n_groups; k++)
        if (k != g && is_free[k] && r->effect[on][k] > 0)
            sum += r->effect[on][k] * r->influence[on][r->groups[k].part * r->n_groups + g];
    return r->kappa * sum;
}

/* The same for two given states, which may differ less than others do; their rows are known. */
static double interplay_of(const parts_run *r, int on, const bool *is_free, int g, int s, int t)
{
    double sum = 0;
    for (int k = 0; k < r->n_groups; k++) {
        if (k == g || !is_free[k] || !(r->effect[on][k] > 0)) continue;
        const int part = r->groups[k].part;
        const double V = parts_change_at(r, part, r->on[on].moved[g][s], r->on[on].moved[g][t]);
        sum += r->effect[on][k] * V / fmax(r->supply_V[part], weak_V);
    }
    return r->kappa * sum;
}

/* Is state s worse than the best one, or the same, whatever the others do? It must be so in every circumstance; where
 * circumstances differ, an effect may shrink from one to the next as far as it likes. */
static bool is_beaten(const parts_run *r, const double *best, const double *v, int sign, const double *S, double tie)
{
    double less = INFINITY, more = 0;
    for (int on = 0; on < r->n_grounds; on++) {
        const double ahead = sign * (best[on] - v[on]);
        if (fabs(ahead) <= tie && S[on] <= tie) continue;
        if (ahead <= S[on] + tie) return false;
        less = fmin(less, ahead);
        more = fmax(more, ahead);
    }
    const bool is_same_circumstance = r->circumstances.n < 2;
    return !is_same_circumstance || more == 0 || less > flat_share * more;
}

bool parts_choose(parts_run *r, target t, int sign, const bool *is_free, int g, double tie, choice *c)
{
    const group *of = &r->groups[g];
    double best[grounds_most] = {0}, v[grounds_most] = {0}, S[grounds_most];
    c->best = -1;
    for (int s = 0; s < of->n_states; s++) {
        c->is_candidate[s] = false;
        if (r->allowed[g] && !r->allowed[g][s]) continue;
        if (!read_values(r, t, g, s, v)) return false;
        double ahead = 0;
        for (int on = 0; on < r->n_grounds && fabs(ahead) <= tie; on++) ahead = sign * (v[on] - best[on]);
        if (c->best >= 0 && ahead <= tie) continue;
        c->best = s;
        memcpy(best, v, sizeof best);
    }
    c->n_candidates = 1;
    c->is_candidate[c->best] = true;
    for (int s = 0; s < of->n_states; s++) {
        if (s == c->best || (r->allowed[g] && !r->allowed[g][s])) continue;
        if (!read_values(r, t, g, s, v)) return false;
        for (int on = 0; on < r->n_grounds; on++) S[on] = interplay(r, on, is_free, g);
        if (is_beaten(r, best, v, sign, S, tie)) continue;
        for (int on = 0; on < r->n_grounds; on++) S[on] = interplay_of(r, on, is_free, g, s, c->best);
        if (is_beaten(r, best, v, sign, S, tie)) continue;
        c->is_candidate[s] = true;
        c->n_candidates++;
    }
    c->is_known = c->n_candidates == 1;
    return true;
}

/* Goes through all candidates of the groups that are still free, over low_at. Notes the best row. */
static int best_of_candidates(parts_run *r, target t, int sign, const bool *is_free, bool *const *is_candidate,
                              double n)
{
    if (n > weak_most) {
        r->why = "too many circuits act on each other";
        return -1;
    }
    uint16_t *at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    memcpy(at, r->on[0].at, (size_t)r->n_groups * sizeof *at);
    for (int g = 0; g < r->n_groups; g++)
        if (is_free[g])
            for (at[g] = 0; !is_candidate[g][at[g]];) at[g]++;
    int best = -1;
    double best_value = 0;
    for (;;) {
        const int number = parts_row_at(r, at);
        if (number < 0) return -1;
        const double value = parts_target_value(r, t, &r->rows.at[number]);
        if (best < 0 || sign * value > sign * best_value) {
            best = number;
            best_value = value;
        }
        int g = 0;
        for (; g < r->n_groups; g++) {
            if (!is_free[g]) continue;
            int s = at[g] + 1;
            while (s < r->groups[g].n_states && !is_candidate[g][s]) s++;
            if (s < r->groups[g].n_states) {
                at[g] = (uint16_t)s;
                break;
            }
            for (at[g] = 0; !is_candidate[g][at[g]];) at[g]++;
        }
        if (g == r->n_groups) return best;
    }
}

static int nearest_allowed(const parts_run *r, int g, int wanted)
{
    if (!r->allowed[g] || r->allowed[g][wanted]) return wanted;
    for (int s = 0; s < r->groups[g].n_states; s++)
        if (r->allowed[g][s]) return s;
    return -1;
}

/* From the base grounds, or from those at work, into room of their own: states of some groups will differ. */
static void own_grounds(parts_run *r)
{
    for (int on = 0; on < r->n_grounds; on++) {
        if (r->on[on].at != r->own[on].at) memcpy(r->own[on].at, r->on[on].at, (size_t)r->n_groups * sizeof(uint16_t));
        r->on[on] = r->own[on];
        parts_ground_forget(r, &r->on[on]);
    }
}

void parts_base_grounds(parts_run *r)
{
    for (int on = 0; on < r->n_grounds; on++) r->on[on] = r->base[on];
}

void parts_set_grounds(parts_run *r, int own, int own_state)
{
    parts_base_grounds(r);
    bool is_base = own < 0;
    for (int g = 0; g < r->n_groups; g++) is_base = is_base && !r->allowed[g];
    if (is_base) return;
    own_grounds(r);
    for (int on = 0; on < r->n_grounds; on++)
        for (int g = 0; g < r->n_groups; g++)
            r->on[on].at[g] = (uint16_t)(g == own ? own_state : nearest_allowed(r, g, r->base[on].at[g]));
}

int parts_extreme_row(parts_run *r, target t, int sign, int own, int own_state)
{
    bool *is_free = ARENA_ARRAY(r->a, bool, (size_t)r->n_groups + 1);
    bool **is_candidate = ARENA_ARRAY(r->a, bool *, (size_t)r->n_groups + 1);
    choice *choices = ARENA_ARRAY(r->a, choice, (size_t)r->n_groups + 1);
    parts_set_grounds(r, own, own_state);
    int n_free = 0;
    for (int g = 0; g < r->n_groups; g++) {
        is_candidate[g] = choices[g].is_candidate = ARENA_ARRAY(r->a, bool, (size_t)r->groups[g].n_states);
        n_free += is_free[g] = g != own;
    }
    while (n_free) {
        double scale, n = 1;
        int n_known = 0;
        if (!parts_measure_effects(r, t, is_free, &scale)) return -1;
        if (isnan(scale)) return parts_row_at(r, r->on[0].at);
        for (int g = 0; g < r->n_groups; g++) {
            if (!is_free[g]) continue;
            if (!parts_choose(r, t, sign, is_free, g, tie_of(scale), &choices[g])) return -1;
            n_known += choices[g].is_known;
            n *= choices[g].n_candidates;
        }
        if (!n_known) return best_of_candidates(r, t, sign, is_free, is_candidate, n);
        own_grounds(r);
        for (int g = 0; g < r->n_groups; g++)
            if (is_free[g] && choices[g].is_known) {
                for (int on = 0; on < r->n_grounds; on++) r->on[on].at[g] = (uint16_t)choices[g].best;
                is_free[g] = false;
                n_free--;
            }
    }
    return parts_row_at(r, r->on[0].at);
}
