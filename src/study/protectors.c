/* Which device ends a fault on each wire, and what a start adds to the current.
 *
 * A feed is ended by the protective device nearest upstream. One that lies before any, on the way to a device that all of
 * its current passes, burns in an overload that this device bears: so that one counts. A return carries, when a load behind it shorts, what the
 * feed of that load lets through: so the largest of the devices that feed the loads which return through it counts. */
#include "study/parts.h"

#include <math.h>

/* The protective device that the load's feed passes last. */
static int protector_of_load(const study *s, const load_feed *f)
{
    int found = -1;
    for (int i = 0; i < f->n_loop_wires; i++) {
        const wire_feed *wf = &s->feeds->wires[f->loop_wires[i]];
        if (wf->side != SIDE_FEED || wf->protector < 0) continue;
        if (found < 0 || wf->protector_A < s->nets[SEASON_HARD]->elements[found].rating_A) found = wf->protector;
    }
    return found;
}

static int protector_in_series(const study *s, int w)
{
    for (int e = s->series[w]; e >= 0; e = s->series_next[e])
        if (s->nets[SEASON_HARD]->elements[e].type == ELEMENT_FUSIBLE) return e;
    return -1;
}

void protectors_assign(study *s)
{
    const net_element *elements = s->nets[SEASON_HARD]->elements;
    for (int w = 0; w < s->van->n_wires; w++) {
        s->wires[w].protector = -1;
        if (s->feeds->wires[w].side != SIDE_RETURN && s->feeds->wires[w].side != SIDE_CHOPPED)
            s->wires[w].protector = s->feeds->wires[w].protector;
        if (s->wires[w].protector < 0 && s->feeds->wires[w].side == SIDE_FEED)
            s->wires[w].protector = protector_in_series(s, w);
    }
    for (int i = 0; i < s->n_loads; i++) {
        const load_feed *f = s->loads[i].feed;
        const int protector = protector_of_load(s, f);
        for (int j = 0; protector >= 0 && j < f->n_loop_wires; j++) {
            wire_study *ws = &s->wires[f->loop_wires[j]];
            const wire_side side = s->feeds->wires[f->loop_wires[j]].side;
            if (side != SIDE_RETURN && side != SIDE_CHOPPED) continue;
            if (ws->protector < 0 || elements[protector].rating_A > elements[ws->protector].rating_A)
                ws->protector = protector;
        }
    }
    for (int w = 0; w < s->van->n_wires; w++)
        s->wires[w].protector_A = s->wires[w].protector < 0 ? 0 : elements[s->wires[w].protector].rating_A;
}

/* What the start of a load adds to its running current. */
static double start_adds_A(const study *s, const load_feed *f)
{
    const net_element *el = &s->nets[SEASON_HARD]->elements[f->element];
    if (!(el->peak_A > 0)) return 0;
    double runs_A = el->current_A;
    if (el->power_W > 0) runs_A = el->power_W / s->nominal_V;
    if (el->load_ohm > 0) runs_A = s->nominal_V / el->load_ohm;
    return fmax(0, el->peak_A - runs_A);
}

void peaks_add(study *s)
{
    for (int w = 0; w < s->van->n_wires; w++) {
        s->wires[w].peak_A = s->wires[w].worst_A;
        s->wires[w].peak_item = -1;
    }
    const int n_elements = s->nets[SEASON_HARD]->n_elements;
    s->element_peak_A = ARENA_ARRAY(s->arena, double, n_elements);
    s->element_peak_item = ARENA_ARRAY(s->arena, int, n_elements);
    for (int e = 0; e < n_elements; e++) {
        s->element_peak_A[e] = s->element_A[e];
        s->element_peak_item[e] = -1;
    }
    for (int i = 0; i < s->n_loads; i++) {
        const load_feed *f = s->loads[i].feed;
        const double adds_A = start_adds_A(s, f);
        for (int j = 0; adds_A > 0 && j < f->n_loop_wires; j++) {
            wire_study *ws = &s->wires[f->loop_wires[j]];
            if (ws->worst_A + adds_A > ws->peak_A) {
                ws->peak_A = ws->worst_A + adds_A;
                ws->peak_item = f->item;
            }
            const wire_feed *wf = &s->feeds->wires[f->loop_wires[j]];
            const int e = wf->side == SIDE_FEED ? wf->protector : -1;
            if (e < 0 || s->element_A[e] + adds_A <= s->element_peak_A[e]) continue;
            s->element_peak_A[e] = s->element_A[e] + adds_A;
            s->element_peak_item[e] = f->item;
        }
    }
}
