/* The states that make a quantity extreme, whatever the others do. See parts.h. */
#include "circuit/parts.h"

#include <math.h>
#include <string.h>

static const double weak_V = 0.1;      /* least voltage that changes at a part's taps are held against */
static const double flat_share = 0.02; /* an effect that shrinks below this share from one background to the other is
                                          not taken as having one sign */
static const double lamp_tie_V = 1e-5;
enum { weak_most = 4096 };

/* A target with group g in state s, over all grounds. */
typedef struct readings {
    double v[grounds_most], off[grounds_most];
} readings;

static bool read_values(parts_run *r, target t, int g, int s, readings *x)
{
    for (int on = 0; on < r->n_grounds; on++)
        if (!parts_read(r, t, on, g, s, &x->v[on], &x->off[on])) return false;
    return true;
}

bool parts_measure_effects(parts_run *r, target t, const bool *is_free, double *scale)
{
    bool has_value = false, has_none = false;
    *scale = 0;
    for (int g = 0; g < r->n_groups; g++) {
        double low[grounds_most] = {0}, high[grounds_most] = {0};
        readings x = {0};
        for (int on = 0; on < r->n_grounds; on++) {
            low[on] = INFINITY;
            high[on] = -INFINITY;
            r->effect[on][g] = 0;
            if (g == 0) r->effect_sum[on] = 0;
        }
        for (int s = 0; is_free[g] && s < r->groups[g].n_states; s++) {
            if (r->allowed[g] && !r->allowed[g][s]) continue;
            if (!read_values(r, t, g, s, &x)) return false;
            for (int on = 0; on < r->n_grounds; on++) {
                has_none |= isnan(x.v[on]);
                has_value |= !isnan(x.v[on]);
                low[on] = fmin(low[on], x.v[on] - x.off[on]);
                high[on] = fmax(high[on], x.v[on] + x.off[on]);
                if (!isnan(x.v[on])) *scale = fmax(*scale, fabs(x.v[on]));
            }
        }
        for (int on = 0; on < r->n_grounds; on++)
            if (high[on] > low[on]) r->effect_sum[on] += r->effect[on][g] = high[on] - low[on];
    }
    if (has_none && !has_value) *scale = NAN;
    if (has_none && has_value) r->why = "a terminal is joined to the rest only in some positions of other circuits";
    return !r->why;
}

/* S of the file's head on one ground, for any two states of group g. Groups that are not free have no effect. */
static double interplay(const parts_run *r, int on, int g)
{
    const double *effect = r->effect[on], *influence = &r->influence[on][g * r->sp->n_parts];
    double sum = -effect[g] * influence[r->groups[g].part];
    for (int k = 0; k < r->n_groups; k++) sum += effect[k] * influence[r->groups[k].part];
    return r->kappa * fmax(sum, 0);
}

/* No less than that, and quick. */
static double interplay_at_most(const parts_run *r, int on, int g)
{
    return r->kappa * fmax(r->effect_sum[on] - r->effect[on][g], 0) * r->influence_most[on][g];
}

/* The same for two given states, which may differ less than others do; their rows are known, here or on the base. */
static double interplay_of(const parts_run *r, int on, const bool *is_free, int g, int s, int t)
{
    double sum = 0;
    for (int k = 0; k < r->n_groups; k++) {
        if (k == g || !is_free[k] || !(r->effect[on][k] > 0)) continue;
        const int part = r->groups[k].part;
        const ground *rows = r->on[on].moved[g][s] >= 0 && r->on[on].moved[g][t] >= 0 ? &r->on[on] : &r->base[on];
        const double V = parts_change_at(r, part, rows->moved[g][s], rows->moved[g][t]);
        sum += r->effect[on][k] * V / fmax(r->supply_V[part], weak_V);
    }
    return r->kappa * sum;
}

/* Is state s worse than the best one, or the same, whatever the others do? It must be so in every circumstance; where
 * circumstances differ, an effect may shrink from one to the next as far as it likes. */
static bool is_beaten(const parts_run *r, const readings *best, const readings *x, int sign, const double *S,
                      double tie)
{
    double less = INFINITY, more = 0;
    for (int on = 0; on < r->n_grounds; on++) {
        const double ahead = sign * (best->v[on] - x->v[on]), wrong = S[on] + best->off[on] + x->off[on];
        if (fabs(ahead) <= tie && wrong <= tie) continue;
        if (ahead <= wrong + tie) return false;
        less = fmin(less, ahead);
        more = fmax(more, ahead);
    }
    const bool is_same_circumstance = r->circumstances.n < 2;
    return !is_same_circumstance || more == 0 || less > flat_share * more;
}

bool parts_choose(parts_run *r, target t, int sign, const bool *is_free, int g, double tie, choice *c)
{
    const group *of = &r->groups[g];
    readings best = {0}, x = {0};
    double S[grounds_most];
    c->best = -1;
    for (int s = 0; s < of->n_states; s++) {
        c->is_candidate[s] = false;
        if (r->allowed[g] && !r->allowed[g][s]) continue;
        if (!read_values(r, t, g, s, &x)) return false;
        double ahead = 0;
        for (int on = 0; on < r->n_grounds && fabs(ahead) <= tie; on++) ahead = sign * (x.v[on] - best.v[on]);
        if (c->best >= 0 && ahead <= tie) continue;
        c->best = s;
        best = x;
    }
    c->n_candidates = 1;
    c->is_candidate[c->best] = true;
    double S_most[grounds_most], S_any[grounds_most];
    bool is_any_known = false;
    for (int on = 0; on < r->n_grounds; on++) S_most[on] = interplay_at_most(r, on, g);
    for (int s = 0; s < of->n_states; s++) {
        if (s == c->best || (r->allowed[g] && !r->allowed[g][s])) continue;
        if (!read_values(r, t, g, s, &x)) return false;
        if (is_beaten(r, &best, &x, sign, S_most, tie)) continue;
        for (int on = 0; on < r->n_grounds && !is_any_known; on++) S_any[on] = interplay(r, on, g);
        is_any_known = true;
        if (is_beaten(r, &best, &x, sign, S_any, tie)) continue;
        if (of->n_states > 2) /* else these two states are all that S_any is of */
            for (int on = 0; on < r->n_grounds; on++) S[on] = interplay_of(r, on, is_free, g, s, c->best);
        if (of->n_states > 2 && is_beaten(r, &best, &x, sign, S, tie)) continue;
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
    parts_estimate_none(r);
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

/* Differences that are none. A lamp's voltage is only held against the one that lights it. */
static double tie_for(const parts_run *r, target t, double scale)
{
    const bool is_guide = t.value >= 0 && r->s->probe->values[t.value].how == READ_LAMP_V;
    return is_guide ? lamp_tie_V : tie_of(scale);
}

int parts_extreme_row(parts_run *r, target t, int sign, int own, int own_state)
{
    bool *is_free = ARENA_ARRAY(r->a, bool, (size_t)r->n_groups + 1);
    bool **is_candidate = ARENA_ARRAY(r->a, bool *, (size_t)r->n_groups + 1);
    choice *choices = ARENA_ARRAY(r->a, choice, (size_t)r->n_groups + 1);
    parts_set_grounds(r, own, own_state);
    if (!parts_estimate(r, t)) return -1;
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
            if (!parts_choose(r, t, sign, is_free, g, tie_for(r, t, scale), &choices[g])) return -1;
            n_known += choices[g].is_known;
            n *= choices[g].n_candidates;
        }
        if (!n_known && parts_estimate_none(r)) continue; /* by rows, then */
        if (!n_known) return best_of_candidates(r, t, sign, is_free, is_candidate, n);
        own_grounds(r);
        for (int g = 0; g < r->n_groups; g++)
            if (is_free[g] && choices[g].is_known) {
                for (int on = 0; on < r->n_grounds; on++) r->on[on].at[g] = (uint16_t)choices[g].best;
                is_free[g] = false;
                n_free--;
            }
        if (n_free && !parts_estimate(r, t)) return -1;
    }
    return parts_row_at(r, r->on[0].at);
}
