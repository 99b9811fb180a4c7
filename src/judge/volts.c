/* What the loads get: enough, too little, too much, or nothing. */
#include "judge/offer.h"

static bool is_judged(const finder *f, const load_study *l)
{
    return l->is_main && l->is_fed && !isnan(l->worst_V) && !is_explained(f, l);
}

static double lost_share(const load_study *l) { return isnan(l->drop) ? 0 : l->drop; }

static bool is_over_drop(const finder *f, const load_study *l)
{
    return lost_share(l) > study_drop_limit(f->study, l) * 1.0005;
}

static bool is_starved(const load_study *l) { return l->worst_V < l->needs_V * 0.9995; }

/* One wire where that is enough, else those of the loop that lose most. */
static void offer_for_load(finder *f, finding *n, int load)
{
    const load_study *l = &f->study->loads[load];
    sized_wire one = {.wire = l->worst_wire};
    if (study_size_for_drop(f->study, load, &one.size) && study_size_suits(f->study, one.wire, one.size, 0) &&
        !is_starved(l))
        offer_sizes(f, n, &one, 1);
    sized_wire *all = ARENA_ARRAY(f->arena, sized_wire, (size_t)l->feed->n_loop_wires + 1);
    const int n_all = study_sizes_for_load(f->study, load, all);
    if (!n->mends.n || n_all > 1) offer_sizes(f, n, all, n_all);
}

static void drop_mended(finder *f, finding *n, int load)
{
    const load_study *l = &f->study->loads[load];
    conductor_size size;
    if (l->worst_wire < 0) return;
    offer_for_load(f, n, load);
    if (study_size_for_drop(f->study, load, &size))
        MEND(f, n, "Take %s or thicker for %s, which loses most.", size_words(size),
             f->van->wires[l->worst_wire].label);
    else
        MEND(f, n, "No thicker %s alone does it: take thicker conductors for the whole loop, or a shorter run.",
             f->van->wires[l->worst_wire].label);
}

static void raise_drop(finder *f, int load)
{
    const load_study *l = &f->study->loads[load];
    const limit *most = limit_for(f, l->is_critical ? "drop-critical" : "drop-other");
    finding *n = raise_finding(f, f->van->items[l->feed->item].where);
    if (is_starved(l)) n->grade = GRADE_STOP;
    add_item(f, n, l->feed->item);
    if (l->worst_wire >= 0) add_wire(f, n, l->worst_wire);
    set_value(n, 100 * l->drop, 100 * most->value, "%");
    set_positions(f, n, l->worst_at);
    set_source(f, n, &most->from);
    SAYS(f, n, "%s gets %s V: its wiring loses %s %% of %s V, and %s is the limit%s.%s%s", item_words(f, l->feed->item),
         num(f, l->worst_V), num(f, 100 * l->drop), num(f, l->nominal_V), limit_printed(most),
         l->is_critical ? " for a critical load" : "",
         l->worst_wire < 0
             ? ""
             : arena_printf(f->arena, " %s (%s, %s m) loses most, %s V.", f->van->wires[l->worst_wire].label,
                            size_words(f->study->wires[l->worst_wire].size),
                            num(f, f->van->wires[l->worst_wire].length_m), num(f, l->worst_wire_V)),
         is_starved(l) ? arena_printf(f->arena, " It needs %s V.", num(f, l->needs_V)) : "");
    drop_mended(f, n, load);
}

static void raise_drops(finder *f, bool is_critical)
{
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        if (l->is_critical == is_critical && is_judged(f, l) && is_over_drop(f, l)) raise_drop(f, i);
    }
}

CHECK(drop_critical) { raise_drops(f, true); }
CHECK(drop_other) { raise_drops(f, false); }

CHECK(load_voltage_low)
{
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        if (!is_judged(f, l) || !is_starved(l) || is_over_drop(f, l)) continue;
        const limit *needs = limit_for(f, "load-needs");
        finding *n = raise_finding(f, f->van->items[l->feed->item].where);
        add_item(f, n, l->feed->item);
        if (l->worst_wire >= 0) add_wire(f, n, l->worst_wire);
        set_value(n, l->worst_V, l->needs_V, "V");
        set_positions(f, n, l->worst_at);
        offer_for_load(f, n, i);
        if (l->is_needs_given)
            n->source = "the item's `needs`, as the file has it";
        else
            set_source(f, n, &needs->from);
        SAYS(f, n, "%s gets %s V at worst, with the battery at %s, and needs %s V. Its wiring loses %s %% of %s V%s.",
             item_words(f, l->feed->item), num(f, l->worst_V), limit_printed(limit_for(f, "battery-low")),
             num(f, l->needs_V), num(f, 100 * lost_share(l)), num(f, l->nominal_V),
             l->worst_wire < 0 ? "" : arena_printf(f->arena, ", %s most of it", f->van->wires[l->worst_wire].label));
        MEND(f, n, "%s",
             l->is_needs_given ? "Thicker conductors help by what the wiring loses; the rest is the battery's: charge "
                                 "it earlier, or take a load that needs less."
                               : "Say what it really needs with `needs`; else take thicker conductors, or charge the "
                                 "battery earlier.");
    }
}

CHECK(load_over_voltage)
{
    const limit *bears = limit_for(f, "load-bears");
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        const double made_V = l->made_for_V;
        if (!l->is_main || is_explained(f, l) || !(made_V > 0) || !(l->most_V > made_V * bears->value)) continue;
        finding *n = raise_finding(f, f->van->items[l->feed->item].where);
        add_item(f, n, l->feed->item);
        set_value(n, l->most_V, made_V * bears->value, "V");
        set_source(f, n, &bears->from);
        SAYS(f, n, "%s gets up to %s V and is made for about %s V.", item_words(f, l->feed->item), num(f, l->most_V),
             num(f, made_V));
        MEND(f, n, "Take a load for %s V, or feed it through a converter.", num(f, l->nominal_V));
    }
}

/* Fed from nowhere, and nothing else that is found says why. "Never" takes all positions. */
CHECK(load_never_runs)
{
    if (f->study->is_given_up) return;
    for (int i = 0; i < f->study->n_loads; i++) {
        const load_study *l = &f->study->loads[i];
        if (!l->is_main || l->is_fed || is_explained(f, l) || f->study->states[SEASON_HARD]->n_troubles) continue;
        const kind *k = item_kind(f->van, l->feed->item);
        if (k->role == ROLE_CHARGER) continue; /* what feeds a charger may lie outside the file */
        finding *n = raise_finding(f, f->van->items[l->feed->item].where);
        add_item(f, n, l->feed->item);
        set_value(n, 0, l->needs_V, "V");
        SAYS(f, n, "%s gets no voltage in any allowed position.", item_words(f, l->feed->item));
        MEND(f, n, "Follow its feed from the supply: a switch that may only stand off, or both its wires on one side.");
    }
}
