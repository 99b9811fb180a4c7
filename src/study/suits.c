/* Which other sizes would do: what a remedy may name. Losses are scaled from those of the study, so that they hold as long as
 * the currents stay what they are; a thicker conductor only lets them fall. */
#include "study/parts.h"

#include <math.h>

static bool is_allowed(const study *s, int w, conductor_size size)
{
    const wire *file = &s->van->wires[w];
    const char *least = file->is_sheathed ? "least-size-sheathed" : "least-size-single";
    return size.area_m2 >= limit_of(s->van->practice, least)->value * 0.999 &&
           !terminal_fit(s->van, file->from, size.area_m2) && !terminal_fit(s->van, file->to, size.area_m2);
}

/* What a wire of a load's loop would lose more, at most, with another size. */
static double more_V(const study *s, const load_study *l, int i, conductor_size size)
{
    const int w = l->feed->loop_wires[i];
    const double now_ohm = wire_ohm(s, w, s->wires[w].size, 293.15);
    return now_ohm > 0 ? l->wire_V[i] * (wire_ohm(s, w, size, 293.15) / now_ohm - 1) : 0;
}

static bool is_measured(const load_study *l)
{
    return l->is_main && l->is_fed && !isnan(l->worst_V) && !isnan(l->drop);
}

/* How much less a load may get than it does; negative: it gets too little already. */
static double spare_V(const study *s, const load_study *l)
{
    return fmin(l->worst_V - l->needs_V, (study_drop_limit(s, l) - l->drop) * l->nominal_V);
}

static bool starves(const study *s, int w, conductor_size size)
{
    for (int k = 0; k < s->n_loads; k++) {
        const load_study *l = &s->loads[k];
        if (!is_measured(l)) continue;
        for (int i = 0; i < l->feed->n_loop_wires; i++) {
            if (l->feed->loop_wires[i] != w) continue;
            const double more = more_V(s, l, i, size);
            if (more > 0 && more > spare_V(s, l) * 0.98) return true;
        }
    }
    return false;
}

bool study_size_suits(const study *s, int wire, conductor_size size, double protector_A)
{
    const double bears_A = wire_bears_A(s, wire, size);
    return is_allowed(s, wire, size) && bears_A > 0 && bears_A >= fmax(s->wires[wire].worst_A, protector_A) &&
           !starves(s, wire, size);
}

static bool first_that_suits(const study *s, int wire, double protector_A, double above_m2, conductor_size *out)
{
    if (s->wires[wire].size.series == SIZE_UNSET) return false;
    int n;
    const conductor_size *all = conductor_series(s->wires[wire].size.series, &n);
    for (int i = 0; i < n; i++) {
        if (all[i].area_m2 <= above_m2 * 1.0001 || !study_size_suits(s, wire, all[i], protector_A)) continue;
        *out = all[i];
        return true;
    }
    return false;
}

bool study_size_that_suits(const study *s, int wire, double protector_A, conductor_size *out)
{
    return first_that_suits(s, wire, protector_A, 0, out);
}

bool study_size_thicker(const study *s, int wire, double protector_A, conductor_size *out)
{
    return first_that_suits(s, wire, protector_A, s->wires[wire].size.area_m2, out);
}

/* ---- a whole loop ---- */

/* Copper of more than four times the area is no longer a plain remedy: something else is wrong. */
static const double area_grows_at_most = 4.2;

static bool next_allowed(const study *s, int w, conductor_size *size)
{
    int n;
    const conductor_size *all = conductor_series(size->series, &n);
    for (int i = 0; i < n; i++) {
        if (conductor_compare(all[i], *size) <= 0 || !is_allowed(s, w, all[i])) continue;
        if (all[i].area_m2 > s->wires[w].size.area_m2 * area_grows_at_most) return false;
        *size = all[i];
        return true;
    }
    return false;
}

/* Of the loop, the wire that would still lose most and can be thicker; -1: none. */
static int most_lossy(const study *s, const load_study *l, const conductor_size *sizes)
{
    int found = -1;
    double most_V = 0;
    for (int i = 0; i < l->feed->n_loop_wires; i++) {
        conductor_size next = sizes[i];
        if (sizes[i].series == SIZE_UNSET || !next_allowed(s, l->feed->loop_wires[i], &next)) continue;
        const double lost_V = l->wire_V[i] + more_V(s, l, i, sizes[i]);
        if (lost_V <= most_V) continue;
        most_V = lost_V;
        found = i;
    }
    return found;
}

int study_sizes_for_load(const study *s, int load, sized_wire *out)
{
    const load_study *l = &s->loads[load];
    if (!is_measured(l)) return 0;
    const int n = l->feed->n_loop_wires;
    conductor_size *sizes = ARENA_ARRAY(s->arena, conductor_size, n + 1);
    for (int i = 0; i < n; i++) sizes[i] = s->wires[l->feed->loop_wires[i]].size;
    for (double missing_V = -spare_V(s, l); missing_V > -1e-3;) {
        const int i = most_lossy(s, l, sizes);
        if (i < 0) return 0;
        missing_V -= more_V(s, l, i, sizes[i]);
        next_allowed(s, l->feed->loop_wires[i], &sizes[i]);
        missing_V += more_V(s, l, i, sizes[i]);
    }
    int n_changed = 0;
    for (int i = 0; i < n; i++) {
        const int w = l->feed->loop_wires[i];
        if (conductor_compare(sizes[i], s->wires[w].size) > 0) out[n_changed++] = (sized_wire){w, sizes[i]};
    }
    return n_changed;
}
