/* The study: runs what the checks and the sheets need, once each, in the order in which one rests on the other. */
#include "study/parts.h"

#include <math.h>

static bool *wired_terminals(const study *s)
{
    bool *is_wired = ARENA_ARRAY(s->arena, bool, s->van->n_terminals + 1);
    for (int w = 0; w < s->van->n_wires; w++) is_wired[s->van->wires[w].from] = is_wired[s->van->wires[w].to] = true;
    return is_wired;
}

void items_prepare(study *s)
{
    const network *net = s->nets[SEASON_HARD];
    const bool *is_wired = wired_terminals(s);
    s->element_A = ARENA_ARRAY(s->arena, double, net->n_elements + 1);
    s->element_at = ARENA_ARRAY(s->arena, const position *, net->n_elements + 1);
    for (int i = 0; i < s->van->n_items; i++) {
        item_study *is = &s->items[i];
        is->worst_element = is->lamp = -1;
        is->most_V = NAN;
        for (int e = net->first_element[i]; is->lamp < 0 && e < net->first_element[i + 1]; e++)
            if (net->elements[e].type == ELEMENT_LAMP) is->lamp = e;
        if (is->lamp < 0) continue;
        const net_element *lamp = &net->elements[is->lamp];
        is->is_lamp_wired = (lamp->a >= s->van->n_terminals || is_wired[lamp->a]) &&
                            (lamp->b >= s->van->n_terminals || is_wired[lamp->b]);
    }
}

static void lamps_finish(study *s)
{
    const network *net = s->nets[SEASON_HARD];
    for (int e = 0; e < net->n_elements; e++)
        if (net->elements[e].type == ELEMENT_CONTACT && s->element_A[e] > 1e-4)
            s->items[net->elements[e].item].is_live_when_closed = true;
    for (int l = 0; l < s->n_loads; l++)
        for (int o = 0; s->loads[l].is_fed && o < s->loads[l].feed->n_own; o++)
            s->items[net->elements[s->loads[l].feed->own[o]].item].is_live_when_closed = true;
}

/* Current into the whole of a fuse block: that of the one wire at its common terminal; where there are several, or
 * none, the sum of the slots' worst, which is never less. */
static void blocks_measure(study *s)
{
    const van *v = s->van;
    for (int i = 0; i < v->n_items; i++) {
        const kind *k = item_kind(v, i);
        if (k->role != ROLE_PROTECTION || k->row < 0) continue;
        double sum_A = 0, fed_A = 0;
        int n_feeding = 0;
        for (int e = s->nets[SEASON_HARD]->first_element[i]; e < s->nets[SEASON_HARD]->first_element[i + 1]; e++)
            if (s->nets[SEASON_HARD]->elements[e].type == ELEMENT_FUSIBLE) sum_A += s->element_A[e];
        for (int w = 0; w < v->n_wires; w++)
            for (int end = 0; end < 2; end++) {
                const terminal *t = &v->terminals[end ? v->wires[w].to : v->wires[w].from];
                if (t->item != i || t->number) continue;
                n_feeding++;
                fed_A = s->wires[w].worst_A;
            }
        s->items[i].whole_A = n_feeding == 1 ? fed_A : sum_A;
    }
}

static void batteries_measure(study *s)
{
    const network *net = s->nets[SEASON_FULL];
    for (int e = 0; e < net->n_elements; e++) {
        const net_element *el = &net->elements[e];
        if (el->type != ELEMENT_EMF || !(el->capacity_C > 0) || !(el->resistance_ohm > 0)) continue;
        s->prospective_A = fmax(s->prospective_A, el->voltage_V / el->resistance_ohm);
    }
}

static const char *unproven(const study *s)
{
    const van *v = s->van;
    for (int w = 0; w < v->n_wires; w++) {
        if (v->wires[w].is_length_auto)
            return arena_printf(s->arena, "the length of wire %s is not known", v->wires[w].label);
        if (s->wires[w].size.series == SIZE_UNSET)
            return arena_printf(s->arena, "the size of wire %s is not known", v->wires[w].label);
    }
    for (int when = 0; when < N_SEASONS; when++) {
        const states *st = s->states[when];
        if (!st) continue;
        if (!st->is_complete) return st->why_not;
        for (int i = 0; i < st->n_troubles; i++)
            if (st->troubles[i].outcome == OUTCOME_STALLED) return st->troubles[i].says;
    }
    return NULL;
}

static void study_start(study *s)
{
    const van *v = s->van;
    arena *a = s->arena;
    s->wires = ARENA_ARRAY(a, wire_study, v->n_wires + 1);
    s->items = ARENA_ARRAY(a, item_study, v->n_items + 1);
    s->terminal_most_V = ARENA_ARRAY(a, double, v->n_terminals + 1);
    for (int i = 0; i < v->n_items && !(s->nominal_V > 0); i++)
        if (item_kind(v, i)->role == ROLE_BATTERY) s->nominal_V = item_number(v, i, "voltage", 0);
}

study *study_run(arena *a, const van *v, const study_options *o)
{
    study *s = ARENA_NEW(a, study);
    s->van = v;
    s->arena = a;
    study_start(s);
    inquiry *full;
    hard_season(s, o, &full);
    if (full)
        questions_wait(s, full);
    else
        questions_answer(s, SEASON_FULL, o);
    loads_off_measure(s);
    lamps_finish(s);
    blocks_measure(s);
    batteries_measure(s);
    peaks_add(s);
    rest_measure(s);
    ties_find(s);
    s->why_unproven = unproven(s);
    s->is_proven = !s->why_unproven;
    return s;
}

study *study_outline(arena *a, const van *v)
{
    const conditions any = conditions_meter();
    study *s = ARENA_NEW(a, study);
    s->van = v;
    s->arena = a;
    s->feeds = feeds_trace(a, network_build(a, v, &any));
    return s;
}
