/* What could not be proven, and positions in which nothing works out. It never reads as good. */
#include "judge/find.h"

CHECK(unproven_positions)
{
    for (int when = 0; when < N_SEASONS; when++) {
        const states *st = f->study->states[when];
        if (!st) continue;
        const char *why = st->is_complete ? NULL : st->why_not;
        for (int i = 0; !why && i < st->n_troubles; i++)
            if (st->troubles[i].outcome == OUTCOME_STALLED) why = st->troubles[i].says;
        if (!why && st->is_complete) continue;
        finding *n = raise_finding(f, (place){0});
        set_value(n, st->n_examined, st->n_positions, "positions");
        SAYS(f, n, "%s of %s combinations of switch positions are proven: %s.", num(f, st->n_examined),
             num(f, st->n_positions), why ? why : "the rest was too much to work out");
        MEND(f, n, "Say with `positions` and `never-with` what can't occur.");
        return;
    }
}

CHECK(length_unknown)
{
    for (int w = 0; w < f->van->n_wires; w++) {
        if (!f->van->wires[w].is_length_auto) continue;
        finding *n = raise_finding(f, f->van->wires[w].length_place);
        add_wire(f, n, w);
        SAYS(f, n, "The length of %s is not known; whatever it feeds is unproven.", f->van->wires[w].label);
        MEND(f, n, "Measure it from terminal to terminal, with slack, and write it as `length`.");
    }
}

/* One finding for each outcome, item and wire, whichever season met it first. */
static void raise_troubles(finder *f, outcome wanted)
{
    const size_t first = f->findings.n;
    for (int when = 0; when < N_SEASONS; when++) {
        const states *st = f->study->states[when];
        for (int i = 0; st && i < st->n_troubles; i++) {
            if (st->troubles[i].outcome != wanted) continue;
            const int culprit = st->troubles[i].item, narrow = st->troubles[i].wire;
            bool is_known = false;
            for (size_t k = first; k < f->findings.n; k++) {
                const int at = culprit >= 0 ? (int)f->findings.at[k].value : -1;
                is_known = is_known || at == culprit;
            }
            if (is_known) continue;
            place where = {0};
            if (narrow >= 0) where = f->van->wires[narrow].where;
            if (culprit >= 0) where = f->van->items[culprit].where;
            finding *n = raise_finding(f, where);
            if (culprit >= 0) add_item(f, n, culprit);
            if (narrow >= 0) add_wire(f, n, narrow);
            n->value = culprit;
            set_positions(f, n, st->positions[st->troubles[i].at]);
            SAYS(f, n, "%s", st->troubles[i].says);
            if (wanted == OUTCOME_BEYOND && narrow >= 0)
                MEND(f, n, "Take a thicker %s, which loses most (it is %s, %s m), or a shorter run.",
                     f->van->wires[narrow].label, size_words(f->study->wires[narrow].size),
                     num(f, f->van->wires[narrow].length_m));
            else if (wanted == OUTCOME_CHATTERS)
                MEND(f, n,
                     "Feed what switches from a point that it does not switch itself, or take thicker conductors.");
            else
                MEND(f, n, "Find the connection that should not be there.");
        }
    }
    for (size_t k = first; k < f->findings.n; k++) f->findings.at[k].value = NAN;
}

CHECK(no_operating_point) { raise_troubles(f, OUTCOME_BEYOND); }
CHECK(sources_contradict) { raise_troubles(f, OUTCOME_CONTRADICTION); }
CHECK(relay_chatters) { raise_troubles(f, OUTCOME_CHATTERS); }

/* Raised after the decisions were matched. */
CHECK(decision_without_finding) { (void)f; }
