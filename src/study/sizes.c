/* How thick and how warm each conductor is.
 *
 * Temperature. A conductor that carries I settles at
 *
 *     T = Ta + (Tmax - 30 degC) (I / Iz)^2,    at most Tmax
 *
 * with Ta the air around it, Tmax the rating of its insulation and Iz what it bears at 30 degC, bundling included: the
 * law behind the ambient factors of NFPA 70, table 310.15(B)(1)(1), whose published rows it reproduces. It takes no
 * credit for the lower resistance of a cooler conductor, so it reads a little high under part load. The current at that
 * temperature differs little from the current at Ta: a few operating points give the temperatures, a pass over all
 * positions uses them, and is repeated should its currents not bear them out.
 *
 * Size. A wire of size `auto` gets the smallest size of the practice's series that
 *     1. the practice allows for a wire run like this;
 *     2. bears the worst current, corrected;
 *     3. bears the whole rating of its protective device (the rule may allow less; what we choose does not lean on it);
 *     4. keeps the loss to every load behind it within that load's limit. Where the loss is too large, the chosen wire
 *        of the loop that loses most goes up one size, until it is not.
 * Passes repeat until no size changes. Sizes only grow, so that ends. */
#include "study/parts.h"

#include <math.h>

#define TABLE_AIR_K 303.15 /* 30 degC: air to which the ampacity tables are referred */

enum { rounds_most = 8 };
static const double near_K = 0.5; /* closer than this a temperature changes a resistance by less than 0.2 % */
static const double same = 1e-6;  /* of a current: 25.0000001 A is 25 A */

typedef enum binding { BY_LEAST, BY_CURRENT, BY_PROTECTOR, BY_DROP } binding;

typedef struct sizing {
    conductor_size *sizes; /* those that the next pass uses */
    binding *bindings;
    double *wire_K[N_SEASONS];
    bool has_auto;
} sizing;

double wire_ambient_K(const study *s, int index, season when)
{
    const van *v = s->van;
    if (when == SEASON_FULL) return v->coldest_K;
    if (!v->wires[index].is_in_engine_space) return v->hottest_K;
    return fmax(v->hottest_K, limit_of(v->practice, "engine-space-air")->value);
}

double wire_ohm(const study *s, int index, conductor_size size, double temperature_K)
{
    const wire *w = &s->van->wires[index];
    return w->length_m * conductor_ohm_per_m(size, w->is_solid, temperature_K);
}

static double ambient_factor(const study *s, int index)
{
    const wire *w = &s->van->wires[index];
    source from;
    /* The tables of currents give no credit for air cooler than theirs. */
    const double by_air = fmin(1, ampacity_ambient_factor(w->insulation_K, s->van->hottest_K, &from));
    return w->is_in_engine_space ? fmin(by_air, ampacity_engine_factor(w->insulation_K, &from)) : by_air;
}

double wire_bears_A(const study *s, int index, conductor_size size)
{
    const wire_study *ws = &s->wires[index];
    source from;
    return ampacity_A(size, s->van->wires[index].insulation_K, &from) * ws->ambient_factor * ws->bundle_factor;
}

static void ampacity_fill(study *s, int index)
{
    wire_study *ws = &s->wires[index];
    const wire *w = &s->van->wires[index];
    ws->ambient_factor = ambient_factor(s, index);
    source from;
    ws->bundle_factor = ampacity_bundle_factor(s->van->practice, w->n_bundled, &from);
    if (ws->size.series == SIZE_UNSET) return;
    ws->ohm_20 = wire_ohm(s, index, ws->size, 293.15);
    ws->base_ampacity_A = ampacity_A(ws->size, w->insulation_K, &ws->ampacity_from);
    ws->ampacity_A = wire_bears_A(s, index, ws->size);
}

static const conductor_size *series_of(const study *s, int *n)
{
    return conductor_series(s->van->practice == PRACTICE_NORTH_AMERICA ? SIZE_AWG : SIZE_METRIC, n);
}

static conductor_size least_size(const study *s, int index)
{
    const char *name = s->van->wires[index].is_sheathed ? "least-size-sheathed" : "least-size-single";
    const double least_m2 = limit_of(s->van->practice, name)->value;
    int n;
    const conductor_size *all = series_of(s, &n);
    for (int i = 0; i < n; i++)
        if (all[i].area_m2 >= least_m2 * 0.9999) return all[i];
    return all[n - 1];
}

/* The smallest size, not below `from`, that bears `needed_A`; the largest there is when none does. */
static conductor_size size_that_bears(const study *s, int index, conductor_size from, double needed_A)
{
    int n;
    const conductor_size *all = series_of(s, &n);
    for (int i = 0; i < n; i++)
        if (conductor_compare(all[i], from) >= 0 && wire_bears_A(s, index, all[i]) >= needed_A * (1 - same))
            return all[i];
    return all[n - 1];
}

static bool next_size(const study *s, conductor_size *size)
{
    int n;
    const conductor_size *all = series_of(s, &n);
    for (int i = 0; i < n; i++)
        if (conductor_compare(all[i], *size) > 0) {
            *size = all[i];
            return true;
        }
    return false;
}

static void build(study *s, season when, sizing *z)
{
    const conditions c = {
        .conductor_K = when == SEASON_FULL ? s->van->coldest_K : s->van->hottest_K,
        .wire_K = z->wire_K[when],
        .charge = when == SEASON_FULL ? 1 : limit_of(s->van->practice, "battery-low")->value,
        .is_charging = when != SEASON_HARD,
        .sizes = z->sizes,
    };
    s->nets[when] = network_build(s->arena, s->van, &c);
}

static double *ambient_all(study *s, season when)
{
    double *all = ARENA_ARRAY(s->arena, double, s->van->n_wires + 1);
    for (int w = 0; w < s->van->n_wires; w++) all[w] = wire_ambient_K(s, w, when);
    return all;
}

/* The temperature that a wire's current gives it in the hard season. */
static double settled_K(const study *s, int index, double amps)
{
    const wire_study *ws = &s->wires[index];
    const double ambient_K = wire_ambient_K(s, index, SEASON_HARD), rating_K = s->van->wires[index].insulation_K;
    const double bears_A = ws->base_ampacity_A * ws->bundle_factor;
    const double share = bears_A > 0 ? amps / bears_A : amps > 0 ? 1 : 0;
    const double risen_K = ambient_K + fmax(0, rating_K - TABLE_AIR_K) * share * share;
    return fmax(ambient_K, fmin(risen_K, rating_K));
}

/* How much the largest change is, against what the pass took. */
static double temperatures_update(study *s, sizing *z)
{
    double most_K = 0;
    for (int w = 0; w < s->van->n_wires; w++) {
        s->wires[w].temperature_K = settled_K(s, w, s->wires[w].worst_A);
        most_K = fmax(most_K, fabs(s->wires[w].temperature_K - z->wire_K[SEASON_HARD][w]));
        z->wire_K[SEASON_HARD][w] = s->wires[w].temperature_K;
    }
    return most_K;
}

/* All items in their first position, then in their second, and so on: in nearly every van that meets the largest
 * current of every wire, so that the temperatures are right before the first pass. */
static void currents_guess(study *s, season when)
{
    const van *v = s->van;
    op_plan *plan = op_plan_create(s->arena, s->nets[when]);
    position *at = positions_rest(v, s->arena);
    for (int i = 0; i < v->n_items && when == SEASON_CHARGE; i++)
        if (item_kind(v, i)->role == ROLE_CHARGER) at[i] = v->items[i].positions[v->items[i].n_positions - 1];
    for (int p = 1; p < kind_positions_most; p++) {
        bool is_any = false;
        for (int i = 0; i < v->n_items; i++) {
            const bool has_more = p < v->items[i].n_positions;
            if (kind_coil(item_kind(v, i)) >= 0 || item_kind(v, i)->role == ROLE_CHARGER) continue;
            if (has_more) at[i] = v->items[i].positions[p];
            is_any = is_any || has_more;
        }
        if (!is_any && p > 1) break;
        const operating_point *op = op_solve(plan, at, p > 1);
        for (int w = 0; op->outcome == OUTCOME_SOLVED && w < v->n_wires; w++)
            s->wires[w].worst_A = fmax(s->wires[w].worst_A, op->rms_A[w]);
    }
}

static bool grow(sizing *z, int index, conductor_size to, binding why)
{
    if (conductor_compare(to, z->sizes[index]) <= 0) return false;
    z->sizes[index] = to;
    z->bindings[index] = why;
    return true;
}

static bool grow_for_current(study *s, sizing *z, int index)
{
    const wire_study *ws = &s->wires[index];
    const conductor_size to = size_that_bears(s, index, z->sizes[index], fmax(ws->worst_A, ws->protector_A));
    return grow(z, index, to, ws->worst_A > ws->protector_A ? BY_CURRENT : BY_PROTECTOR);
}

/* What the wires of a load's loop would lose with the sizes that stand now, scaled from the pass with the old ones. */
static double rescaled_V(const study *s, const sizing *z, const load_study *l, int i)
{
    const int w = l->feed->loop_wires[i];
    if (!s->wires[w].is_size_chosen) return l->wire_V[i];
    const double before = wire_ohm(s, w, s->wires[w].size, 293.15);
    return before > 0 ? l->wire_V[i] * wire_ohm(s, w, z->sizes[w], 293.15) / before : 0;
}

static bool grow_for_drop(study *s, sizing *z, int load)
{
    const load_study *l = &s->loads[load];
    const double allowed_V = study_drop_limit(s, l) * l->nominal_V;
    bool has_grown = false;
    if (!l->is_fed || isnan(l->drop)) return false;
    for (;;) {
        double total_V = l->drop * l->nominal_V, most_V = 0;
        int worst = -1;
        for (int i = 0; i < l->feed->n_loop_wires; i++) {
            const int w = l->feed->loop_wires[i];
            const double V = rescaled_V(s, z, l, i);
            conductor_size next = z->sizes[w];
            total_V += V - l->wire_V[i];
            if (!s->wires[w].is_size_chosen || V <= most_V || !next_size(s, &next)) continue;
            most_V = V;
            worst = w;
        }
        if (total_V <= allowed_V || worst < 0) return has_grown;
        conductor_size next = z->sizes[worst];
        next_size(s, &next);
        has_grown = grow(z, worst, next, BY_DROP) || has_grown;
        s->wires[worst].drop_load = load;
    }
}

/* A pass that found no operating point says nothing of drops: every chosen wire goes up one size. */
static bool grow_all(study *s, sizing *z)
{
    bool has_grown = false;
    for (int w = 0; w < s->van->n_wires; w++) {
        conductor_size next = z->sizes[w];
        if (s->wires[w].is_size_chosen && next_size(s, &next)) has_grown = grow(z, w, next, BY_DROP) || has_grown;
    }
    return has_grown;
}

static bool sizes_grow(study *s, sizing *z)
{
    bool has_grown = false;
    for (int w = 0; w < s->van->n_wires; w++)
        if (s->wires[w].is_size_chosen) has_grown = grow_for_current(s, z, w) || has_grown;
    for (int i = 0; i < s->n_loads; i++) has_grown = grow_for_drop(s, z, i) || has_grown;
    const states *st = s->states[SEASON_HARD];
    for (int i = 0; i < st->n_troubles; i++)
        if (st->troubles[i].outcome == OUTCOME_BEYOND) return grow_all(s, z) || has_grown;
    return has_grown;
}

static void sizes_take(study *s, const sizing *z)
{
    for (int w = 0; w < s->van->n_wires; w++) {
        s->wires[w].size = z->sizes[w];
        ampacity_fill(s, w);
    }
}

static const char *reason(const study *s, const sizing *z, int w)
{
    const wire_study *ws = &s->wires[w];
    arena *a = s->arena;
    switch (z->bindings[w]) {
    case BY_LEAST:
        return "the smallest that the practice allows for a wire run like this";
    case BY_CURRENT:
        return arena_printf(a, "the smallest that bears the worst current, %.3g A", ws->worst_A);
    case BY_PROTECTOR:
        if (ws->n_circuits > 1)
            return arena_printf(a, "the smallest that bears the %.4g A that the circuits behind it can push through it",
                                ws->protector_A);
        return arena_printf(a, "the smallest that bears its protective device of %.4g A", ws->protector_A);
    case BY_DROP:
        if (ws->drop_load >= 0)
            return arena_printf(a, "the smallest that keeps the voltage drop to %s within %.3g %%",
                                s->van->items[s->loads[ws->drop_load].feed->item].id,
                                100 * study_drop_limit(s, &s->loads[ws->drop_load]));
        break;
    }
    return "thinner ones leave a load without an operating point";
}

static void sizing_start(study *s, sizing *z)
{
    const van *v = s->van;
    arena *a = s->arena;
    z->sizes = ARENA_ARRAY(a, conductor_size, v->n_wires + 1);
    z->bindings = ARENA_ARRAY(a, binding, v->n_wires + 1);
    for (int w = 0; w < v->n_wires; w++) {
        wire_study *ws = &s->wires[w];
        ws->is_size_chosen = v->wires[w].size.series == SIZE_UNSET;
        ws->drop_load = ws->peak_item = ws->protector = -1;
        z->has_auto = z->has_auto || ws->is_size_chosen;
        z->sizes[w] = ws->is_size_chosen ? least_size(s, w) : v->wires[w].size;
    }
    z->wire_K[SEASON_HARD] = z->wire_K[SEASON_CHARGE] = ambient_all(s, SEASON_HARD);
    z->wire_K[SEASON_FULL] = ambient_all(s, SEASON_FULL);
    sizes_take(s, z);
}

bool study_size_for_current(const study *s, int index, double needed_A, conductor_size *out)
{
    int n;
    const size_series own = s->wires[index].size.series;
    const conductor_size *all = own == SIZE_UNSET ? series_of(s, &n) : conductor_series(own, &n);
    for (int i = 0; i < n; i++) {
        if (wire_bears_A(s, index, all[i]) < needed_A * (1 - same) || !(needed_A > 0)) continue;
        *out = all[i];
        return true;
    }
    return false;
}

bool study_size_for_drop(const study *s, int load, conductor_size *out)
{
    const load_study *l = &s->loads[load];
    const int w = l->worst_wire;
    if (w < 0 || s->wires[w].size.series == SIZE_UNSET) return false;
    const double others_V = l->drop * l->nominal_V - l->worst_wire_V;
    const double now_ohm = wire_ohm(s, w, s->wires[w].size, 293.15);
    int n;
    const conductor_size *all = conductor_series(s->wires[w].size.series, &n);
    for (int i = 0; i < n; i++) {
        const double lost_V = others_V + l->worst_wire_V * wire_ohm(s, w, all[i], 293.15) / now_ohm;
        if (conductor_compare(all[i], s->wires[w].size) <= 0 || lost_V > study_drop_limit(s, l) * l->nominal_V)
            continue;
        *out = all[i];
        return true;
    }
    return false;
}

static void wiring_trace(study *s)
{
    s->feeds = feeds_trace(s->arena, s->nets[SEASON_HARD]);
    s->n_loads = s->feeds->n_loads;
    s->loads = ARENA_ARRAY(s->arena, load_study, s->n_loads + 1);
    joins_find(s);
    series_find(s);
    loads_prepare(s);
    protectors_assign(s);
    items_prepare(s);
}

static bool is_any_charger(const van *v)
{
    for (int i = 0; i < v->n_items; i++)
        if (item_kind(v, i)->role == ROLE_CHARGER) return true;
    return false;
}

void hard_season(study *s, const study_options *o, inquiry **full)
{
    *full = NULL;
    sizing z = {0};
    const bool has_charger = is_any_charger(s->van);
    sizing_start(s, &z);
    build(s, SEASON_HARD, &z);
    wiring_trace(s);
    for (int w = 0; w < s->van->n_wires; w++)
        if (s->wires[w].is_size_chosen) grow_for_current(s, &z, w);
    sizes_take(s, &z);
    build(s, SEASON_HARD, &z);
    currents_guess(s, SEASON_HARD);
    if (has_charger) {
        build(s, SEASON_CHARGE, &z);
        currents_guess(s, SEASON_CHARGE);
    }
    temperatures_update(s, &z);
    if (!z.has_auto && o && o->n_threads > 1) {
        build(s, SEASON_FULL, &z);
        *full = questions_put_beside(s, SEASON_FULL, o);
    }
    for (int round = 0; round < rounds_most; round++) {
        build(s, SEASON_HARD, &z);
        answers_clear(s);
        questions_answer(s, SEASON_HARD, o);
        loads_measure(s);
        if (has_charger) {
            build(s, SEASON_CHARGE, &z);
            questions_answer(s, SEASON_CHARGE, o);
        }
        const bool has_grown = z.has_auto && sizes_grow(s, &z);
        sizes_take(s, &z);
        if (temperatures_update(s, &z) <= near_K && !has_grown) break;
    }
    for (int w = 0; w < s->van->n_wires; w++)
        if (s->wires[w].is_size_chosen) s->wires[w].why_size = reason(s, &z, w);
    if (!*full) build(s, SEASON_FULL, &z);
}
