/* Ratings and sizes of a plan, by the rules that the van is judged against.
 *
 * A device carries its current times the factor for loads that run for hours, and its start. A conductor gets what the
 * study chooses for `auto`, as thick as its terminals ask for; where a load behind it then gets too little, the new wire of
 * its loop that loses most goes up a size, as long as its terminals take it. */
#include "ready/plan.h"

#include <math.h>
#include <string.h>

/* ---- ratings ---- */

/* Blade fuses below this are made and hardly sold (common practice). */
static const double least_blade_A = 3;

static double rating_for(device_style style, double needs_A)
{
    const double amps = style == DEVICE_BLADE ? fmax(needs_A, least_blade_A) : needs_A;
    int n;
    source from;
    const double *all_A = device_ratings(style, &n, &from);
    for (int i = 0; i < n; i++)
        if (all_A[i] >= amps * 0.9999) return all_A[i];
    return all_A[n - 1];
}

static int element_of(const study *s, const plan_device *d)
{
    const network *net = s->nets[SEASON_HARD];
    const int item = van_item(s->van, d->item);
    for (int e = 0; e < net->n_elements; e++)
        if (net->elements[e].type == ELEMENT_FUSIBLE && net->elements[e].item == item &&
            net->elements[e].number == d->slot)
            return e;
    return -1;
}

bool plan_rate(plan *p, const study *with, bool may_fall)
{
    const double continuous = limit_of(p->practice, "continuous-factor")->value;
    const double start = limit_of(p->practice, "start-peak")->value;
    bool has_changed = false;
    for (size_t i = 0; i < p->devices.n; i++) {
        plan_device *d = &p->devices.at[i];
        const int e = with ? element_of(with, d) : -1;
        double needs_A = continuous * d->estimate_A;
        if (e >= 0) {
            needs_A = fmax(needs_A, with->element_A[e] * continuous);
            if (with->element_peak_item[e] >= 0) needs_A = fmax(needs_A, with->element_peak_A[e] / start);
        }
        const double rating_A = rating_for(d->style, needs_A);
        if (!may_fall && rating_A <= d->rating_A) continue;
        has_changed = has_changed || rating_A != d->rating_A;
        d->rating_A = rating_A;
    }
    return has_changed;
}

/* ---- sizes ---- */

/* The size next to `size` that is thicker, or thinner; false at the end of the series. */
static bool neighbour(conductor_size *size, bool is_thicker)
{
    int n;
    const conductor_size *all = conductor_series(size->series, &n);
    int found = -1;
    for (int i = 0; i < n; i++) {
        const int order = conductor_compare(all[i], *size);
        if (is_thicker && order > 0 && found < 0) found = i;
        if (!is_thicker && order < 0) found = i;
    }
    if (found >= 0) *size = all[found];
    return found >= 0;
}

static conductor_size fitted(const van *v, const wire *w, conductor_size size)
{
    while ((terminal_fit(v, w->from, size.area_m2) < 0 || terminal_fit(v, w->to, size.area_m2) < 0) &&
           neighbour(&size, true))
        continue;
    while ((terminal_fit(v, w->from, size.area_m2) > 0 || terminal_fit(v, w->to, size.area_m2) > 0) &&
           neighbour(&size, false))
        continue;
    return size;
}

void plan_size(plan *p, const study *with)
{
    for (size_t i = 0; i < p->wires.n; i++) {
        const int w = van_wire(with->van, p->wires.at[i].label);
        if (w >= 0) p->wires.at[i].size = fitted(with->van, &with->van->wires[w], with->wires[w].size);
    }
}

static plan_wire *planned_wire(plan *p, const char *label)
{
    for (size_t i = 0; i < p->wires.n; i++)
        if (!strcmp(p->wires.at[i].label, label)) return &p->wires.at[i];
    return NULL;
}

/* It asks for more than its wiring carries, or turns itself off and on without end: its volts say nothing. */
static bool is_in_trouble(const study *s, const load_study *l)
{
    const states *st = s->states[SEASON_HARD];
    for (int i = 0; i < st->n_troubles; i++)
        if (st->troubles[i].item == l->feed->item && st->troubles[i].outcome != OUTCOME_STALLED) return true;
    return false;
}

static bool gets_too_little(const study *s, const load_study *l)
{
    if (is_in_trouble(s, l)) return true;
    if (!l->is_main || !l->is_fed || isnan(l->worst_V)) return false;
    return l->worst_V < l->needs_V || (!isnan(l->drop) && l->drop > study_drop_limit(s, l));
}

/* A wire that grew for another load in this round does not grow again. */
static bool grow_in_loop(plan *p, const study *s, const load_study *l, bool *has_grown)
{
    plan_wire *best = NULL;
    double most_V = 0;
    int best_wire = -1;
    conductor_size best_size = {0};
    for (int i = 0; i < l->feed->n_loop_wires; i++) {
        const int w = l->feed->loop_wires[i];
        plan_wire *planned = planned_wire(p, s->van->wires[w].label);
        const double lost_V = is_in_trouble(s, l) ? s->wires[w].ohm_20 : l->wire_V[i]; /* in trouble: at one ampere */
        if (!planned || lost_V <= most_V) continue;
        conductor_size next = planned->size;
        if (!neighbour(&next, true) || conductor_compare(fitted(s->van, &s->van->wires[w], next), next) != 0) continue;
        best = planned;
        best_wire = w;
        best_size = next;
        most_V = lost_V;
    }
    if (!best) return false;
    if (!has_grown[best_wire]) best->size = best_size;
    return has_grown[best_wire] = true;
}

/* A device that went up a rating takes its conductors along. */
static bool grow_for_device(const study *s, plan_wire *planned)
{
    const int w = van_wire(s->van, planned->label);
    conductor_size next = planned->size;
    if (s->wires[w].protector_A <= s->wires[w].ampacity_A || !neighbour(&next, true)) return false;
    if (conductor_compare(fitted(s->van, &s->van->wires[w], next), next) != 0) return false;
    planned->size = next;
    return true;
}

bool plan_grow(plan *p, const study *with)
{
    bool *has_grown = ARENA_ARRAY(p->arena, bool, with->van->n_wires + 1), is_any = false;
    for (int l = 0; l < with->n_loads; l++)
        if (gets_too_little(with, &with->loads[l]))
            is_any = grow_in_loop(p, with, &with->loads[l], has_grown) || is_any;
    for (size_t i = 0; i < p->wires.n; i++)
        if (!has_grown[van_wire(with->van, p->wires.at[i].label)])
            is_any = grow_for_device(with, &p->wires.at[i]) || is_any;
    return is_any;
}
