/* By parts: each watch answered from the rows that are known to hold its extremes. See parts.h. */
#include "circuit/parts.h"

#include <math.h>
#include <string.h>

static const double flat_share = 0.02; /* an effect that shrinks below this share from one background to the other is
                                          not taken as having one sign */

/* The extremes of the voltage between a part's two taps, over all groups but its own. Its own moves it least and most
 * in the backgrounds, so that what it does to the others' effects is in the measure. */
static void find_window(parts_run *r, int part)
{
    window *w = &r->windows[part];
    const int own = r->group_of_part[part];
    const target t = {.value = -1, .part = part};
    bool *is_free = ARENA_ARRAY(r->a, bool, (size_t)r->n_groups + 1);
    uint16_t *ends[2];
    double scale;
    choice c;
    double strongest_V = 0;
    w->is_tried = true;
    w->strongest = -1;
    parts_base_grounds(r);
    for (int g = 0; g < r->n_groups; g++) is_free[g] = g != own;
    if (!parts_measure_effects(r, t, is_free, &scale) || isnan(scale)) return;
    for (int g = 0; g < r->n_groups; g++)
        for (int on = 0; on < r->n_grounds; on++) {
            if (r->effect[on][g] <= fmax(strongest_V, tie_of(scale))) continue;
            strongest_V = r->effect[on][g];
            w->strongest = g;
        }
    for (int side = 0; side < 2; side++) {
        ends[side] = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
        for (int g = 0; g < r->n_groups; g++) {
            if (!is_free[g]) continue;
            c.is_candidate = ARENA_ARRAY(r->a, bool, (size_t)r->groups[g].n_states);
            if (!parts_choose(r, t, side ? 1 : -1, is_free, g, tie_of(scale), &c) || !c.is_known) return;
            ends[side][g] = (uint16_t)c.best;
        }
    }
    w->low = ends[0];
    w->high = ends[1];
    if (w->strongest >= 0) {
        w->strongest_low = w->low[w->strongest];
        w->strongest_high = w->high[w->strongest];
    }
    w->is_found = true;
}

/* Rows of one own state at the ends of the window and one step inside. */
typedef struct ends {
    int low, low_next, high_next, high;
} ends;

static bool find_ends(parts_run *r, const window *w, int own, int own_state, ends *e)
{
    uint16_t *at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
    for (int side = 0; side < 2; side++) {
        memcpy(at, side ? w->high : w->low, (size_t)r->n_groups * sizeof *at);
        if (own >= 0) at[own] = (uint16_t)own_state;
        const int end = parts_row_at(r, at);
        if (end < 0) return false;
        int next = end;
        if (w->strongest >= 0) next = parts_row_moved(r, at, w->strongest, side ? w->strongest_low : w->strongest_high);
        if (next < 0) return false;
        if (side) {
            e->high = end;
            e->high_next = next;
        } else {
            e->low = end;
            e->low_next = next;
        }
    }
    return true;
}

/* Does the value run one way with the voltage? By its slope at both ends. */
static bool runs_one_way(const parts_run *r, int value, const ends *e)
{
    const double low = r->rows.at[e->low].values[value], high = r->rows.at[e->high].values[value];
    const double first = r->rows.at[e->low_next].values[value] - low,
                 last = high - r->rows.at[e->high_next].values[value];
    const double tie = tie_of(fmax(fabs(low), fabs(high)));
    if (isnan(low) && isnan(high)) return true;
    if (isnan(first) || isnan(last)) return false;
    if (fabs(first) <= tie && fabs(last) <= tie) return fabs(high - low) <= tie;
    const double less = fmin(fabs(first), fabs(last)), more = fmax(fabs(first), fabs(last));
    return (first > 0) == (last > 0) && less > flat_share * more;
}

static bool is_step(const probe *p, int value)
{
    return p->values[value].how == READ_RUNS || p->values[value].how == READ_LIT;
}

static bool offer_extremes(parts_run *r, int watch, int value, int own, int own_state)
{
    const struct watch *x = &r->s->probe->watches[watch];
    for (int sign = -1; sign <= 1; sign += 2) {
        if (sign < 0 ? x->is_most_only : x->is_least_only) continue;
        const int number = parts_extreme_row(r, (target){.value = value}, sign, own, own_state);
        if (number < 0) return false;
        parts_offer_row(r, watch, number);
    }
    return true;
}

static bool are_others_free(const parts_run *r, int own)
{
    for (int g = 0; g < r->n_groups; g++)
        if (g != own && r->allowed[g]) return false;
    return true;
}

/* One state of the part's own group (or none of its own). */
static bool resolve_own(parts_run *r, int watch, int value, int part, int own, int own_state)
{
    const split *sp = r->sp;
    const bool is_voltage = r->s->probe->values[value].how == READ_NODE_V;
    if (!is_voltage && sp->parts[part].n_taps <= 1) {
        parts_set_grounds(r, own, own_state);
        const int number = parts_row_at(r, r->on[0].at);
        if (number >= 0) parts_offer_row(r, watch, number);
        return number >= 0;
    }
    if (is_voltage || sp->parts[part].n_taps != 2 || !are_others_free(r, own))
        return offer_extremes(r, watch, value, own, own_state);
    if (!r->windows[part].is_tried) find_window(r, part);
    if (r->why) return false;
    ends e = {-1, -1, -1, -1};
    if (!r->windows[part].is_found) return offer_extremes(r, watch, value, own, own_state);
    if (!find_ends(r, &r->windows[part], own, own_state, &e)) return false;
    if (!is_step(r->s->probe, value) && !runs_one_way(r, value, &e))
        return offer_extremes(r, watch, value, own, own_state);
    parts_offer_row(r, watch, e.low);
    parts_offer_row(r, watch, e.high);
    return true;
}

static bool resolve(parts_run *r, int watch, int value)
{
    const int part = r->part_of_value[value], own = part >= 0 ? r->group_of_part[part] : -1;
    if (part < 0) return offer_extremes(r, watch, value, -1, 0);
    if (own < 0) return resolve_own(r, watch, value, part, -1, 0);
    for (int s = 0; s < r->groups[own].n_states; s++) {
        if (r->allowed[own] && !r->allowed[own][s]) continue;
        if (!resolve_own(r, watch, value, part, own, s)) return false;
    }
    return true;
}

/* Which states of each group meet the watch's conditions; false when none do. A coil stands where it stood when its
 * group was moved alone: regimes are the same in all rows. */
static bool allow_states(parts_run *r, int of_watch, unsigned char **masks)
{
    const watch *x = &r->s->probe->watches[of_watch];
    for (int g = 0; g < r->n_groups; g++) r->allowed[g] = NULL;
    for (int k = 0; k < x->n_open + x->n_closed; k++) {
        const int e = k < x->n_open ? x->open[k] : x->closed[k - x->n_open];
        const int condition = r->condition_of_element[e] - 1, wanted = k < x->n_open ? 1 : 2;
        const int part = r->sp->part_of_element[e],
                  item_digit =
                      r->s->net->elements[e].item < 0 ? -1 : r->s->c->digit_of_item[r->s->net->elements[e].item];
        int g = item_digit >= 0 ? r->group_of_digit[item_digit] : -1;
        if (g < 0 && part >= 0) g = r->group_of_part[part];
        if (g < 0) {
            uint16_t *at = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
            const int number = parts_row_at(r, at);
            if (number < 0 || !(r->rows.at[number].conditions[condition] & wanted)) return false;
            continue;
        }
        if (!r->allowed[g]) {
            r->allowed[g] = masks[g];
            memset(masks[g], 1, (size_t)r->groups[g].n_states);
        }
        bool is_any = false;
        uint16_t *rest = ARENA_ARRAY(r->a, uint16_t, (size_t)r->n_groups + 1);
        for (int s = 0; s < r->groups[g].n_states; s++) {
            const int number = parts_row_moved(r, rest, g, s);
            if (number < 0) return false;
            if (!(r->rows.at[number].conditions[condition] & wanted)) masks[g][s] = 0;
            is_any |= masks[g][s] != 0;
        }
        if (!is_any) return false;
    }
    return true;
}

/* Is rms here something else than the magnitude of the average? */
static bool is_rms_apart(const parts_run *r, int main, int current)
{
    for (size_t i = 0; i < r->rows.n; i++) {
        const double rms_A = r->rows.at[i].values[main], average_A = fabs(r->rows.at[i].values[current]);
        if (fabs(rms_A - average_A) > tie_of(rms_A)) return true;
    }
    return false;
}

static bool can_run_both_ways(const record *x) { return x->least_A.top < -tie_of(0) && x->most_A.top > tie_of(0); }

static bool resolve_watch(parts_run *r, int watch)
{
    const probe *p = r->s->probe;
    /* A lamp is lit or dark by its voltage: what makes that extreme shows both. */
    if (p->guide[watch] >= 0) return resolve(r, watch, p->guide[watch]);
    if (p->current[watch] < 0) return resolve(r, watch, p->main[watch]);
    if (!resolve(r, watch, p->current[watch])) return false;
    if (!r->is_chopped || p->main[watch] == p->current[watch]) return true;
    if (!is_rms_apart(r, p->main[watch], p->current[watch])) return true;
    if (can_run_both_ways(&r->s->records[watch])) {
        r->why = "a chopped current can run either way";
        return false;
    }
    return resolve(r, watch, p->main[watch]);
}

static bool run(parts_run *r)
{
    if (!parts_make_groups(r)) return false;
    r->plan = op_plan_create(r->a, r->s->net);
    parts_list_kinked(r);
    parts_list_conditions(r);
    parts_list_taps(r);
    parts_list_values(r);
    parts_list_tap_terms(r);
    parts_rehash(r);
    const size_t n = (size_t)r->n_groups + 1;
    r->probe_at = ARENA_ARRAY(r->a, uint16_t, n);
    for (int on = 0; on < grounds_most; on++) r->effect[on] = ARENA_ARRAY(r->a, double, n);
    r->allowed = ARENA_ARRAY(r->a, unsigned char *, n);
    unsigned char **masks = ARENA_ARRAY(r->a, unsigned char *, n);
    for (int g = 0; g < r->n_groups; g++) masks[g] = ARENA_ARRAY(r->a, unsigned char, (size_t)r->groups[g].n_states);
    for (int on = 0; on < grounds_most; on++) {
        parts_ground_make(r, &r->base[on]);
        parts_ground_make(r, &r->own[on]);
    }
    if (!parts_rank_states(r)) return false;
    for (int g = 0; g < r->n_groups; g++) {
        r->base[0].at[g] = (uint16_t)r->groups[g].least;
        r->base[1].at[g] = (uint16_t)r->groups[g].most;
    }
    r->n_grounds = 2;
    parts_base_grounds(r);
    if (!parts_measure_influence(r)) return false;
    /* Rows that the watches ask for may show circumstances that no ground has: then all again, with those added. */
    for (size_t n_known = 0; n_known < r->circumstances.n;) {
        n_known = r->circumstances.n;
        for (int w = 0; w < r->s->probe->n_watches; w++) {
            if (allow_states(r, w, masks) && !resolve_watch(r, w)) return false;
            if (r->why) return false;
        }
        if (n_known == r->circumstances.n) return true;
        memset(r->windows, 0, (size_t)r->sp->n_parts * sizeof *r->windows);
        parts_base_grounds(r);
        if (!parts_add_grounds(r) || !parts_measure_influence(r)) return false;
    }
    return true;
}

const char *survey_parts(survey *s, const position *fixed, const split *sp, const int *digits, int n_digits)
{
    parts_run r = {.s = s, .a = s->a, .fixed = fixed, .sp = sp, .last_stand = -1};
    if (!run(&r)) return r.why ? r.why : "the circuits act on each other";
    double n = 1;
    for (int k = 0; k < n_digits; k++) n *= s->c->digits[digits[k]].n_states;
    s->n_examined += n;
    s->is_split = true;
    return NULL;
}
